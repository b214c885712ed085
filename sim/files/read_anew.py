"""Turns of one thing that give a slip away: what of them still counts once it was read again, and what is still open.

A turn that slipped is never averaged. Its sound places are held against a turn without a slip all the same: what does
not come back there is no slip of the pen.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from sim.files.mended_turns import mended
from sim.files.reading_faults import CONFIRMED, DRIFT, REPLACED, STANDS_UP, ReadingFault
from sim.files.slip_odds import SLIPS_OF_PLACES
from sim.files.trace import Trace
from sim.turn import interpolate

NOTE = "{name}: a turn that gave a slip away was read again and counts no more"
READ_LAST = "{name}: a turn that gave a slip away counts no more, the sound one before it does"
PARTED = "{name}: a turn that gave a slip away was read again, and its other places do not come back either"
DRIFTED = "{name}: a turn off which the dial came back was read again, and they part by more than that explains"
COUNTS = "{name}: a turn with a slip, or dirt under the tip, was read again; its other places count with that"
MENDED = "{name}: read {turns} times, misread at other places each time; there the other turns count"
#: Fewer sound places say nothing of a turn.
LEAST_PLACES = 6
#: So many turns that agree settle what two that differ left open, with so few that do not: a bearing with play that
#: knocks to and fro reads alike by chance. Judgement.
LEAST_ALIKE, MOST_OUT = 3, 1


@dataclass(frozen=True)
class Anew:
    """What is left of a table: its turns, what is said of those that are not, and what is to be read again."""

    traces: tuple[Trace, ...]
    notes: tuple[str, ...]
    faults: tuple[ReadingFault, ...]


def enough(agree: Sequence[bool]) -> bool:
    """Whether turns of one thing settle it: three that agree and one at most that does not, or more do, the last three.

    Parameters
    ----------
    agree : sequence of bool
        Whether each turn, first read first, agrees with the last; the last does.

    Examples
    --------
    >>> enough((True, True)), enough((False, True, True)), enough((False, True, True, True))
    (True, False, True)
    >>> enough((False, True, True, False, True, True)), enough((False, False, True, True, True))
    (False, True)
    """
    out = sum(not one for one in agree)
    kept = len(agree) - out
    return not out or (kept >= LEAST_ALIKE and (out <= MOST_OUT or (kept > out and all(agree[-LEAST_ALIKE:]))))


def agreeing(
    turns: Sequence[Trace],
    last: Trace,
    parted: Callable[[Trace, Trace], bool],
    level_um: Callable[[Trace, Trace], float] = lambda one, other: 0.0,
) -> list[bool]:
    """Whether each turn agrees with one of them and with all that do so better, and is no nearer to one that does not.

    Parameters
    ----------
    turns : sequence of Trace
        Of one thing, ``last`` among them; that one agrees.
    last : Trace
    parted : callable
        Whether two turns differ by more than they scatter.
    level_um : callable
        How far two are apart all round, where that counts. [um]

    Notes
    -----
    Two against two are no three where one of them hardly parts from the other two. Nearness is the root of the mean
    square of what two differ by, each about its mean; judgement. [um]
    """

    def apart_um(one: Trace, other: Trace) -> float:
        return float(np.hypot(_apart_um(one, other), level_um(one, other)))

    kept = [last]
    for one in sorted((one for one in turns if one is not last), key=lambda one: apart_um(one, last)):
        if not any(parted(one, other) for other in kept):
            kept.append(one)
    out = [one for one in turns if all(one is not other for other in kept)]

    def nearest_um(one: Trace, others: Sequence[Trace]) -> float:
        return min((apart_um(one, other) for other in others if other is not one), default=np.inf)

    near = [one for one in kept if one is last or nearest_um(one, kept) <= nearest_um(one, out)]
    return [any(one is other for other in near) for one in turns]


@lru_cache(maxsize=1024)  # every turn is held against every other, once for each of them
def _apart_um(one: Trace, other: Trace) -> float:
    """Root of the mean square by which two turns differ, an offset free; at the places of the one of fewer. [um]."""
    few, more = sorted((one, other), key=lambda turn: turn.angle_deg.size)
    return float(np.std(few.value_um - interpolate(more.angle_deg, more.value_um, few.angle_deg)))


def read_anew(
    traces: Sequence[Trace],
    each: Sequence[Sequence[ReadingFault]],
    same: Sequence[Hashable],
    parted: Callable[[Trace, Trace], bool],
) -> Anew:
    """Leave out each turn that slipped beside a sound one, and say so.

    Parameters
    ----------
    traces : sequence of Trace
        In the sequence of the file.
    each : sequence of sequence of ReadingFault
        What each gives away.
    same : sequence
        What each read: turns of equal value read the same thing.
    parted : callable
        Whether two turns of it differ by more than they scatter.

    Returns
    -------
    Anew
        What two turns read alike is no slip. Of a turn that slipped those places are kept that did not, where they do
        not come back. A slip read last, or by every turn, is still to be read.
    """
    up = [any(fault.fault == STANDS_UP for fault in faults) for faults in each]
    # What stands up and is gone when it is read again was dirt: a slip only beside a later turn without it.
    slipped = [
        any(fault.fault != STANDS_UP for fault in faults)
        or (up[k] and any(what == same[k] and not up[k + 1 + j] for j, what in enumerate(same[k + 1 :])))
        for k, faults in enumerate(each)
    ]
    groups: dict[Hashable, list[int]] = {}
    for place, what in enumerate(same):
        groups.setdefault(what, []).append(place)
    kept: dict[int, Trace] = dict(enumerate(traces))
    notes: list[str] = []
    faults: dict[int, list[ReadingFault]] = {
        k: [_looked_at(k, fault, traces, same) for fault in each[k] if fault.fault == STANDS_UP] for k in kept
    }
    for there in groups.values():
        so_again = {k for k in there if slipped[k] and any(_again(k, j, traces, each, parted) for j in there)}
        if len(so_again) < sum(not slipped[k] for k in there):
            so_again = set()  # more turns read it otherwise
        bad = [k for k in there if slipped[k] and k not in so_again]
        sound = [k for k in there if k not in bad]
        for k in so_again:
            faults[k] += [replace(one, answer=CONFIRMED) for one in each[k] if one.fault != STANDS_UP]
        once = not sound and all(len(each[k]) == 1 for k in bad)  # several slips of one turn are no pen's
        right = mended([traces[k] for k in bad], [_in_part(traces[k], each[k]) for k in bad], parted) if once else ()
        if right:
            kept.update(zip(bad, right, strict=True))
            notes.append(MENDED.format(name=each[bad[0]][0].trace, turns=len(bad)))
            continue
        stands = sound or bad[-1:]
        for k in bad:
            name = each[k][0].trace
            last = k > max(stands)
            if k in stands:
                faults[k] += [one for one in each[k] if one.fault != STANDS_UP]
                continue
            again = last and not _moved_on(traces[k], traces[k + 1 :])
            faults[k] = [replace(one, read_last=True) for one in each[k]] if again else []
            beside = next((j for j in stands if j > k), stands[-1])
            part = _in_part(traces[k], each[k]) or _steadied(traces[k], traces[beside], each[k])
            other = traces[beside] if beside in sound else _in_part(traces[beside], each[beside])
            apart = part is not None and other is not None and parted(part, other)
            # Near its limit a bare face is judged by the middle of its turns: what of one is sound is in that too.
            if part is not None and (apart or part.kind == "hub face"):
                kept[k] = part
            else:
                del kept[k]
            parts = DRIFTED if any(one.fault == DRIFT for one in each[k]) else PARTED
            sound_too = parts if apart else COUNTS if k in kept else NOTE
            notes.append((READ_LAST if last and not apart else sound_too).format(name=name))
    return Anew(tuple(kept[k] for k in sorted(kept)), tuple(dict.fromkeys(notes)), _standing(traces, faults, same))


def _again(
    k: int,
    j: int,
    traces: Sequence[Trace],
    each: Sequence[Sequence[ReadingFault]],
    parted: Callable[[Trace, Trace], bool],
) -> bool:
    """Whether another turn reads a slip's places as that turn does, and the rest too."""
    told = [fault for fault in each[k] if fault.fault != STANDS_UP]
    if j == k or not told or any(fault.fault not in SLIPS_OF_PLACES for fault in told) or parted(traces[k], traces[j]):
        return False
    return all(_reads_so(fault, traces[k], traces[j]) for fault in told)


def _looked_at(k: int, fault: ReadingFault, traces: Sequence[Trace], same: Sequence[Hashable]) -> ReadingFault:
    """A place of a bare face that stands up, with whether another turn reads it so."""
    others = (traces[j] for j, what in enumerate(same) if j != k and what == same[k])
    return replace(fault, answer=CONFIRMED) if any(_reads_so(fault, traces[k], one) for one in others) else fault


def _reads_so(fault: ReadingFault, one: Trace, other: Trace) -> bool:
    """Whether another turn reads the places of a fault as its own turn does, by half of what they are off."""
    common, at, beside = np.intersect1d(one.angle_deg, other.angle_deg, return_indices=True)
    if not np.isin(fault.left_out_deg, common).all():
        return False
    apart = one.value_um[at] - other.value_um[beside]
    off = np.abs(apart - np.median(apart))
    return bool((off[np.isin(common, fault.left_out_deg)] <= abs(fault.size_um) / 2.0).all())


def _moved_on(one: Trace, after: Sequence[Trace]) -> bool:
    """Whether the rotor was put on anew since: nobody reads a mount again that stands no more."""
    stays = one.kind in ("hub face", "thickness")
    return not stays and any(
        other.kind == "mounted" and other.corner == one.corner and other.mount != one.mount for other in after
    )


def _in_part(trace: Trace, faults: Sequence[ReadingFault]) -> Trace | None:
    """The places of a turn that are in no doubt; None where the whole turn is, or too few are left."""
    if any(fault.fault == DRIFT or not fault.angle_deg for fault in faults):
        return None
    sound = ~np.isin(trace.angle_deg, [angle for fault in faults for angle in fault.angle_deg])
    if sound.sum() < LEAST_PLACES:
        return None
    return replace(trace, angle_deg=trace.angle_deg[sound], value_um=trace.value_um[sound], in_part=True)


def _steadied(one: Trace, other: Trace, faults: Sequence[ReadingFault]) -> Trace | None:
    """A turn of which nothing but the dial is in doubt, as near to another turn as its drift brings it; else None.

    The dial crept all the way round, or moved at once between two places. Least squares. [um]
    """
    off_um = one.drift_um
    if off_um is None or one.kind in ("hub face", "thickness") or any(fault.fault != DRIFT for fault in faults):
        return None
    share = one.angle_deg / 360.0
    ways = [share, *(1.0 * (one.angle_deg >= place) for place in one.angle_deg[1:])]
    moved = [sign * off_um * way for sign in (1, -1) for way in ways]  # on a dial that counts + away it is the other
    turns = [replace(one, value_um=one.value_um - by, in_part=True) for by in moved]
    return min(turns, key=lambda turn: _apart_um(turn, other))


def _standing(
    traces: Sequence[Trace], faults: dict[int, list[ReadingFault]], same: Sequence[Hashable]
) -> tuple[ReadingFault, ...]:
    """What is said of each turn; of one that was read since in another state nothing is to be read again."""

    def read_since(k: int) -> bool:
        one = traces[k]
        return any(
            (other.kind, other.corner, other.mount) == (one.kind, one.corner, one.mount) and same[j] != same[k]
            for j, other in enumerate(traces)
            if j > k
        )

    return tuple(
        replace(fault, answer=REPLACED) if (not fault.answer or fault.fault == STANDS_UP) and read_since(k) else fault
        for k in sorted(faults)
        for fault in faults[k]
    )
