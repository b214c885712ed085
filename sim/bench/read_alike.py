"""Which mounts of one stud still count: one that two others contradict, which agree and of which one was read last.

Dirt moves, a nut is pulled otherwise: no reading brings such a mount back, and a second one alike settles which stands.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import partial
from itertools import combinations

import numpy as np

from sim.bench.linked import Pair, further, linked
from sim.bench.mountings import ONE_SCREW, SCREW_ONLY, TOLD, first_orders_apart, name_of
from sim.bench.seatings import outvoted
from sim.files import face_turns
from sim.files.dial_readings import Readings, Trace
from sim.files.read_anew import LEAST_ALIKE, agreeing, enough
from sim.files.reading_faults import TWICE
from sim.files.rocking import by_what_was_felt
from sim.files.trace import BARE_FACE, LeftOut
from sim.files.without_signs import as_written, unsigned
from sim.turn import interpolate

#: Turns of the rotor as it was put on.
STANDING = ("mounted", "inboard", "radial")
NOT_HELD = "mount {gone} is left out: " + SCREW_ONLY
TURN_OUT = "mount {mount}: {gone} of {turns} turns {are} left out, {kept} agree and count{whole}{once}"
PARTED = "mount {gone} is left out: its turns differ and it stands no more; turns of mount {by} agree and count{once}"
WITH_PARTS = " ({parts} of them, but for its slip, beside the mean)"
NOTE = "mount {gone} is left out: mounts {alike} stand on the same stud and read alike, and not as it did"


def read_alike(readings: Readings) -> Readings:
    """Leave out a turn that the others of its mount contradict, and mounts that others on their stud do.

    Parameters
    ----------
    readings : Readings

    Returns
    -------
    Readings
        Without these turns and mounts, and with a note for each; the same where none is left out.

    Notes
    -----
    First orders apart by no more than 95 of 100 such pairs are (JCGM 100), as `sim.bench.mountings` holds them. The
    last mount on a stud counts, with those of its group: `sim.bench.linked`. [um]
    """
    return _rocked(mounts_alike(_turns_that_agree(_held(readings))))


def _rocked(readings: Readings) -> Readings:
    """Mark the mount that stands where a turn of the bare face was left out: that too may be a bearing with play."""
    faces, mounted = readings.with_parts_of("hub face"), readings.of("mounted")
    out, turns = face_turns.how_many_out(faces, readings.step_um) if faces else (0, 0)
    if not (mounted and out) or mounted[-1].left_out:
        return readings
    return marked(readings, LeftOut(BARE_FACE, faces[-1].state, out, turns))


def mounts_alike(readings: Readings) -> Readings:
    """Leave out mounts that two others on their stud contradict; see `read_alike`.

    Parameters
    ----------
    readings : Readings

    Notes
    -----
    Of one state: what was cleaned a second time is another, until it counts as cleaned. How many have to agree:
    `sim.bench.seatings.outvoted`. Once two or more are left out the bearing may have play, and the mount that stands is
    marked so. By rule. [um]
    """
    gone: dict[int, tuple[int, ...]] = {}
    rocked: list[LeftOut] = []
    here: LeftOut | None = None
    now = readings.of("mounted")[-1:]
    for there in by_stand(readings):
        kept, rivals = two_groups(readings, there)
        out = outvoted(readings, there, kept, rivals)
        gone |= dict.fromkeys(out, kept)
        if len(out) > 1:
            rocked.append(LeftOut(out[-1], there[-1].state, len(out)))
            here = rocked[-1] if now[0] is there[-1] else here
    notes = [
        NOTE.format(gone=mount, alike=f"{', '.join(map(str, alike[:-1]))} and {alike[-1]}")
        for mount, alike in gone.items()
    ]
    if not gone:
        return readings
    left = replace(without(readings, tuple(gone), notes), left_out=(*readings.left_out, *rocked))
    return left if here is None else marked(left, here)


def by_stand(readings: Readings) -> list[list[Trace]]:
    """Mounted turns by stud, state and how they were held, in sequence of the first of each. By definition.

    Parameters
    ----------
    readings : Readings
    """
    stands: dict[tuple[object, ...], list[Trace]] = {}
    for one in readings.of("mounted"):
        stands.setdefault((one.studs_turned, one.state, one.corner, one.clamped_by), []).append(one)
    return list(stands.values())


def two_groups(readings: Readings, there: Sequence[Trace]) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """Mounts that agree with the last, and of the others those that agree with the last of them; each first read first.

    Parameters
    ----------
    readings : Readings
    there : sequence of Trace
        Of one stud, state and way of holding them: `by_stand`. [um]

    Notes
    -----
    As `read_alike` holds them (JCGM 100), in whatever sequence they were read: `sim.bench.linked`.
    """
    apart: dict[tuple[int, int], Pair] = {}
    for one, other in combinations(sorted(there, key=lambda turn: turn.mount), 2):
        pair = one.mount, other.mount
        apart[pair] = further(apart.get(pair), _apart_um(readings, one, other))
    kept, *others = linked({one.mount for one in there}, apart)
    return kept, others[0] if others else ()


def marked(readings: Readings, gone: LeftOut) -> Readings:
    """Mark the mount that stands: something was left out beside it, and the hub is rocked first.

    Parameters
    ----------
    readings : Readings
    gone : LeftOut
        What it was; of a table whose turns show play its mount is `sim.files.trace.PLAY`.
    """
    last = readings.of("mounted")[-1]
    marked = replace(last, left_out=gone.out or 1, left_out_of=gone.mount, left_out_turns=gone.turns)
    return replace(readings, traces=tuple(marked if one is last else one for one in readings.traces))


def _turns_that_agree(readings: Readings) -> Readings:
    """Of the turns of a mount those that agree with the last, where they are enough (`sim.files.read_anew`); else all.

    What was doubted of the mount as read twice and different is settled so, and of those before it where two turns of
    a mount agree: nobody can read them as they stood. Where so many agree as a dial scatters, those count; else, of
    four and more, turns agree where two mountings would: nuts may have been tightened anew between. One that is theirs
    without its minus signs is left out too, and is no reason to rock the hub. By rule.
    """
    groups: dict[tuple[object, ...], list[Trace]] = {}
    for one in readings.with_parts_of("mounted"):
        groups.setdefault((one.mount, one.studs_turned, one.state, one.corner, one.clamped_by), []).append(one)
    out: list[Trace] = []
    counts: dict[Trace, LeftOut] = {}
    settled: list[str] = []
    notes: list[str] = []
    for turns in groups.values():
        last = next((one for one in reversed(turns) if not one.in_part), turns[-1])
        agree = agreeing(turns, last, readings.parted)
        if not enough(agree) and len(turns) > LEAST_ALIKE:
            agree = agreeing(turns, last, partial(_turns_part, readings))
        if len(turns) < LEAST_ALIKE or not enough(agree):
            continue
        left = [one for one, agrees in zip(turns, agree, strict=True) if not agrees]
        settled.append(name_of(last))
        out += [one for one in turns if one.in_part or one in left]
        of_the_pen = sum(_by_the_pen(readings, one, last) for one in left)
        counts[last] = LeftOut(last.mount, last.state, len(left) - of_the_pen, len(turns))
        kept = len(turns) - len(left)
        gone, are = ("one", "is") if len(left) == 1 else (str(len(left)), "are")
        parts = sum(one.in_part for one, agrees in zip(turns, agree, strict=True) if agrees)
        whole = WITH_PARTS.format(parts=parts) if parts else ""
        once = by_what_was_felt(readings.bearing).once
        out_of = TURN_OUT.format(
            mount=last.mount, turns=len(turns), kept=kept, gone=gone, are=are, whole=whole, once=once
        )
        notes += [out_of] * bool(left)
    apart = {one.trace for one in readings.faults if one.fault == TWICE} - set(settled)
    parted: dict[int, int] = {}  # a mount whose turns differ, and the later one that settles it
    before: list[Trace] = []
    for turns in groups.values():
        if len(turns) > 1 and name_of(turns[-1]) not in apart:
            parted |= {one.mount: turns[-1].mount for one in before if name_of(one) in apart}
        before.append(turns[-1])
    if not (settled or parted):
        return readings
    table = replace(
        readings,
        traces=tuple(
            replace(one, left_out=counts[one].out, left_out_turns=counts[one].turns) if one in counts else one
            for one in readings.traces
            if not any(one is gone for gone in out)
        ),
        faults=tuple(f for f in readings.faults if f.fault != TWICE or f.trace not in settled),
        notes=(*readings.notes, *notes),
        left_out=(*readings.left_out, *(one for one in counts.values() if one.out)),
    )
    return _without_parted(table, parted) if parted else table


def _by_the_pen(readings: Readings, odd: Trace, sound: Trace) -> bool:
    """Whether it is the turns that agree without their minus signs: no hub is rocked for that. By rule."""
    return unsigned(as_written(odd, readings.as_read), sound, readings.step_um(sound))


def _without_parted(readings: Readings, parted: Mapping[int, int]) -> Readings:
    """Leave out mounts whose turns differ and that nobody can read again: nothing of them counts, the hub is rocked."""
    once = by_what_was_felt(readings.bearing).once
    notes = [PARTED.format(gone=gone, by=by, once=once) for gone, by in parted.items()]
    gone = next(one for one in readings.traces if one.kind == "mounted" and one.mount == max(parted))
    return marked(without(readings, tuple(parted), notes), LeftOut(gone.mount, gone.state, len(parted)))


def _turns_part(readings: Readings, one: Trace, other: Trace) -> bool:
    """Whether two turns of a mount differ anywhere by more than the first orders of two mountings do. [um]."""
    apart = other.value_um - interpolate(one.angle_deg, one.value_um, other.angle_deg)
    return bool(np.ptp(apart) > 2.0 * TOLD * first_orders_apart(readings, one, other)[1])


def _held(readings: Readings) -> Readings:
    """Leave out what was read under one screw, where it was read held by nuts since."""
    mounted = readings.of("mounted")
    loose = tuple(dict.fromkeys(one.mount for one in mounted if one.clamped_by == ONE_SCREW))
    held = mounted and mounted[-1].clamped_by != ONE_SCREW
    return without(readings, loose, [NOT_HELD.format(gone=mount) for mount in loose]) if loose and held else readings


def without(readings: Readings, gone: Sequence[int], notes: Sequence[str]) -> Readings:
    """Take the turns of these mounts out of a table, and what was doubted of them; its thickness stays. By definition.

    Parameters
    ----------
    readings : Readings
    gone : sequence of int
        Mounts.
    notes : sequence of str
        What is said of each.
    """
    left_out = tuple(f", mount {mount}" for mount in gone)
    return replace(
        readings,
        traces=tuple(one for one in readings.traces if one.kind not in STANDING or one.mount not in gone),
        faults=tuple(
            one for one in readings.faults if not (one.trace.startswith(STANDING) and one.trace.endswith(left_out))
        ),
        notes=(*readings.notes, *notes),
    )


def _apart_um(readings: Readings, one: Trace, other: Trace) -> Pair:
    apart, sd = first_orders_apart(readings, one, other)
    return 2.0 * abs(apart), 2.0 * TOLD * sd
