"""How often a rotor was put on for some mounts, how it is put on anew, and how many seatings outvote others.

Nuts slackened and tightened leave a rotor on what it sits on: what is to be read anew is its seat, and two turns of one
seating on a grain are no two against the sound one before it.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from itertools import pairwise

from sim.files.dial_readings import Readings, Trace
from sim.files.read_anew import LEAST_ALIKE
from sim.files.readings_rows import RETORQUED

#: How a rotor is put on anew before it is read on the stud where it stood.
PUT_ON_ANEW = (
    "rotor off, both faces wiped, put {it} back on {place}, tighten the nuts crosswise in stages and read it there "
    "once more, under the next mount number"
)
ON_THE_SAME_STUD = PUT_ON_ANEW.format(it="it", place="the same stud")
ON_THAT_STUD = PUT_ON_ANEW.format(it="the painted hole", place="stud {stud}")
#: So many more have to agree than part, where those that part fit no second seat either. Judgement: of rotors that sit
#: otherwise each time three of five agree by chance.
MORE_ALIKE = 2
#: How mountings of one stud end, however many there are: `outvoted`, in the same words from ask to ask.
COUNT = (
    "those that read alike count once they are more than the others, or the last three; where the others part from "
    "each other too, once they are two more"
)


def seats(readings: Readings, there: Sequence[Trace]) -> int:
    """How often the rotor was put on for these turns of one stud, each mount as it was first read.

    Parameters
    ----------
    readings : Readings
    there : sequence of Trace
        [um]

    Notes
    -----
    By rule: `one_seating`. A table does not say whether the rotor was off; what is ordered now takes it off.
    """
    first = {one.mount: one for one in reversed(there)}
    mounts = [first[mount] for mount in sorted(first)]
    return len(mounts) - sum(one_seating(readings, one, later) for one, later in pairwise(mounts))


def one_seating(readings: Readings, one: Trace, later: Trace) -> bool:
    """Whether a mount of one stud is the one before it, the rotor not off between.

    Parameters
    ----------
    readings : Readings
    one, later : Trace
        [um]

    Notes
    -----
    By rule: the next mount, read by a finer dial, its nuts untouched as that reading is ordered, and no bare hub face
    in the lines between; or entered as retorqued.
    """
    return later.mount == one.mount + 1 and (_finer(readings, one, later) or RETORQUED in _entered(readings, later))


def untouched(readings: Readings, one: Trace, later: Trace) -> bool:
    """Whether a mount is the one before it, its nuts left alone too: the next, by a finer dial, nothing between.

    Parameters
    ----------
    readings : Readings
    one, later : Trace
        [um]

    Notes
    -----
    By rule: `one_seating`, but for nuts tightened anew, and a cleaning between.
    """
    anew = _entered(readings, later) - _entered(readings, one)
    return later.mount == one.mount + 1 and _finer(readings, one, later) and not anew


def _finer(readings: Readings, one: Trace, later: Trace) -> bool:
    return readings.step_um(later) < readings.step_um(one) and not _off_between(readings, one, later)


def _off_between(readings: Readings, one: Trace, later: Trace) -> bool:
    """Whether the bare hub face stands between the lines of two mounts: the rotor came off for it."""
    return any(one.line < face.line < later.line for face in readings.with_parts_of("hub face") if face.line)


def _entered(readings: Readings, one: Trace) -> set[str]:
    """States in which a mount was entered."""
    return {was.state for was in readings.as_entered if (was.kind, was.mount) == (one.kind, one.mount)}


def outvoted(
    readings: Readings, there: Sequence[Trace], kept: Collection[int], rivals: Collection[int]
) -> tuple[int, ...]:
    """Name the mounts of a stud that count no more beside those that agree; empty where none do, or too few agree.

    Parameters
    ----------
    readings : Readings
    there : sequence of Trace
        Of one stud, state and way of holding them. [um]
    kept, rivals : collection of int
        Mounts that agree with the last, and of the others those that agree with the last of them.

    Notes
    -----
    By rule, in seatings: two agree at least. Where the others agree with each other, more than they, or the last three.
    Where those part too the seat may not repeat: `MORE_ALIKE` more agree than part, as three in a row agree by chance.
    """
    each = list(dict.fromkeys(one.mount for one in there))
    out = tuple(mount for mount in each if mount not in kept)
    alike, against, parted = (
        seats(readings, [one for one in there if one.mount in group]) for group in (kept, rivals, out)
    )
    if alike < 2 or not out:
        return ()
    if set(out) != set(rivals):
        return out if alike >= parted + MORE_ALIKE else ()
    last = [one for one in there if one.mount in each[-LEAST_ALIKE:]]
    in_a_row = seats(readings, last) >= LEAST_ALIKE and set(kept).issuperset(each[-LEAST_ALIKE:])
    return out if alike > against or in_a_row else ()
