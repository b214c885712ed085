"""Which turns of the micrometer count: the last, and with it those that repeat it and agree; what is still open."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from sim.arrays import Floats
from sim.files.read_anew import agreeing
from sim.files.reading_faults import (
    AGAIN,
    TAIL,
    TAIL_OF_PART,
    TWICE,
    ReadingFault,
    Turn,
    read_twice,
    so_often,
    waves_part,
)
from sim.files.trace import Trace
from sim.parts.discard import is_absolute
from sim.parts.hand_scatter import shaky_sd_um
from sim.parts.thickness import MEAN_OF, MOST_OF, micrometer_sd_um, middle_of_turns
from sim.turn import interpolate

#: Turns of one rotor are that near each other all round: a hand and its micrometer's zero differ by less, two rotors or
#: a worn one by more. Judgement, 10 .. 30. [um]
SAME_ROTOR_UM = 20.0

#: One place further off the others' than that many standard deviations of a reading is misread, not scatter: a turn of
#: twelve places has one by chance in fewer than a hundred. Judgement, 4.5 .. 6.
MISREAD_SDS = 5.0
#: Two turns of one rotor all round further apart than any hand: its level, not its shape.
LEVEL = (
    "{name}: read {times}, {apart:.2f} mm apart all round: a micrometer off its zero, or misread; set it to zero at "
    "its gauge, wipe anvils and faces, read it {again}: the turns that agree count, until then the thinner for the "
    "stamp"
)


#: Of a turn that others which agree contradict.
OUT = "{name}: one of {turns} turns is left out, {kept} agree and count: {why}"
OFF = "it stood {apart:.2f} mm off all round, a micrometer off its zero"
UNLIKE = "it is of another shape, another radius or dirt under the anvils"


def counted(turns: Sequence[Trace], graduation_um: float) -> Trace:
    """Middle of the turns that count.

    Parameters
    ----------
    turns : sequence of Trace
        Thickness, in the sequence of the file, at least one. [um]
    graduation_um : float
        Division of the micrometer that read the last. [um]

    Returns
    -------
    Trace
        The last turn, or the middle of those that read the same places with the same micrometer and agree, in whatever
        mount; with their number and the standard deviation of one of its values. Where more turns agree
        with each other than with the last, the last of those stands for it.

    Notes
    -----
    A turn that differs from the others by more than a micrometer scatters is no repeat, somebody slipped:
    `sim.files.reading_faults.read_twice`; the middle is that of `sim.parts.thickness.middle_of_turns`.
    """
    held = _held(tuple(turns), graduation_um)
    among = held.alike if held.settled else held.with_last
    last = next(one for one in reversed(among) if not one.in_part)
    same = [one for one in (held.turns if held.scatter else among) if _read_as(one, last)]
    agree = same if held.scatter else _agreeing(same, graduation_um)
    middle, sd = middle_of_turns(np.array([one.value_um for one in agree]), graduation_um)
    return last if len(agree) == 1 else replace(last, value_um=middle, turns=len(agree), noise_um=sd)


def unsettled(turns: Sequence[Trace], graduation_um: float) -> ReadingFault | None:
    """Say that turns of one rotor differ, in shape or all round, and nothing settles which counts; None where one does.

    Parameters
    ----------
    turns : sequence of Trace
        As `counted` takes them. [um]
    graduation_um : float

    Notes
    -----
    Two that agree settle it against one, three against two. Three of one level that
    all differ as a hand scatters count as they do, and so do five.
    """
    held = _held(tuple(turns), graduation_um)
    if held.settled:
        return None
    name = f"{turns[-1].kind}, mount {turns[-1].mount}"
    count = len(held.turns)
    if held.levels:
        mean = [one.value_um.mean() for one in held.turns]
        apart = float(np.ptp(mean))
        times = "twice" if count == 2 else f"{count} times"
        text = LEVEL.format(name=name, times=times, apart=apart / 1000.0, again=AGAIN)
        return so_often(ReadingFault(TWICE, name, (), apart, apart / SAME_ROTOR_UM, text), count)
    found = [
        fault
        for k, one in enumerate(held.turns)
        for other in held.turns[k + 1 :]
        if (fault := read_twice(_turn(one, name), _turn(other, name), graduation_um, TAIL_OF_PART)) is not None
    ]
    return so_often(max(found, key=lambda fault: fault.size_um), count)


def left_out(turns: Sequence[Trace], graduation_um: float) -> tuple[str, ...]:
    """Say which turns count no more, as others agree and they do not; nothing where all do, or nothing settles it.

    Parameters
    ----------
    turns : sequence of Trace
        As `counted` takes them. [um]
    graduation_um : float

    Notes
    -----
    By rule: `counted`; judgement (`SAME_ROTOR_UM`).
    """
    held = _held(tuple(turns), graduation_um)
    out = [one for one in turns_out(turns, graduation_um) if not one.in_part]
    off_um = {id(one): abs(_level_um(one, held.alike[-1])) for one in out}
    return tuple(
        OUT.format(
            name=f"{one.kind}, mount {one.mount}",
            turns=len(held.turns),
            kept=len(held.alike),
            why=OFF.format(apart=off_um[id(one)] / 1000.0) if off_um[id(one)] > SAME_ROTOR_UM else UNLIKE,
        )
        for one in out
    )


def turns_out(turns: Sequence[Trace], graduation_um: float) -> tuple[Trace, ...]:
    """Find the turns that count no more, as others agree and they do not; none where nothing settles it.

    Parameters
    ----------
    turns : sequence of Trace
        As `counted` takes them. [um]
    graduation_um : float

    Notes
    -----
    By rule: `counted`.
    """
    held = _held(tuple(turns), graduation_um)
    if not held.settled or held.scatter:
        return ()
    return tuple(one for one in held.turns if all(one is not kept for kept in held.alike))


def thicknesses_um(turns: Sequence[Trace], graduation_um: float) -> tuple[float, float]:
    """Thinnest place by the turn that counts, and while none does by the thinner and by the thicker of them. [um].

    Parameters
    ----------
    turns : sequence of Trace
        As `counted` takes them.
    graduation_um : float

    Notes
    -----
    By rule: what is under a stamp by every turn is scrap, what may be is not cleared.
    """
    held = _held(tuple(turns), graduation_um)
    if held.settled:
        least = float(counted(turns, graduation_um).value_um.min())
        return least, least
    each = [float(one.value_um.min()) for one in held.turns]
    return min(each), max(each)


def parted(one: Trace, other: Trace, graduation_um: float, in_company: bool = False) -> bool:
    """Whether two turns of one rotor differ by more than they scatter: all round, or in shape. [um].

    Parameters
    ----------
    one, other : Trace
    graduation_um : float
        Of the coarser micrometer.
    in_company : bool
        Whether there are more than these two: an odd one is seen sooner then.

    Notes
    -----
    Chi-square of `sim.files.reading_faults.read_twice`; `SAME_ROTOR_UM` all round, for readings that have a level.
    """
    if abs(_level_um(one, other)) > SAME_ROTOR_UM:
        return True
    tail = TAIL_OF_PART if in_company else TAIL
    return read_twice(_turn(one, one.kind), _turn(other, one.kind), graduation_um, tail) is not None


def of_this_rotor(turns: Sequence[Trace], graduation_um: float) -> Sequence[Trace]:
    """Turns that read the rotor as it is: of this mount, and of earlier ones those that are no thicker.

    Parameters
    ----------
    turns : sequence of Trace
        As `counted` takes them. [um]
    graduation_um : float
    """
    return _held(turns, graduation_um).turns


def shaky_hand_um(turns: Sequence[Trace], graduation_um: float) -> float:
    """Standard deviation of one reading where turns of this rotor scatter by more than a micrometer; else nought. [um].

    Parameters
    ----------
    turns : sequence of Trace
        As `counted` takes them. [um]
    graduation_um : float

    Notes
    -----
    Of all turns of the last one's micrometer, those that part from it too: two of many may agree by chance
    (`sim.parts.hand_scatter`; judgement).
    """
    return _hand_um(_held(tuple(turns), graduation_um).turns, graduation_um)


def _hand_um(there: Sequence[Trace], graduation_um: float) -> float:
    last = next((one for one in reversed(there) if not one.in_part), there[-1])
    return shaky_sd_um([one.value_um for one in there if _read_as(one, last)], graduation_um)


@dataclass(frozen=True)
class _Held:
    """Turns that are held against each other, those most that agree, those with the last, whether that settles it."""

    turns: list[Trace]
    alike: list[Trace]
    with_last: list[Trace]
    settled: bool
    levels: bool
    scatter: bool  # of one level and all different, as a hand scatters or after so many turns: all of them count


@lru_cache(maxsize=64)  # asked dozens of times on the way to one order
def _held(turns: tuple[Trace, ...], graduation_um: float) -> _Held:
    """Hold turns against each other: of a mount that was left those that are no thinner than the last.

    Metal goes and does not come back: a rotor that reads thinner in a later mount may have been cut between.
    """
    last = next((one for one in reversed(turns) if not one.in_part), turns[-1])
    there = [one for one in turns if _mounted_as(one, last) or _may_repeat(one, last)]
    coarse = max(graduation_um, *(one.dial_um or 0.0 for one in there))
    more = len(there) > 2
    near = [agreeing(there, k, lambda one, other: parted(one, other, coarse, more), _level_um) for k in there]
    of_last = near[there.index(last)]
    best = max(near, key=lambda row: (sum(row), row == of_last))
    alike = [one for one, agrees in zip(there, best, strict=True) if agrees]
    with_last = [one for one, agrees in zip(there, of_last, strict=True) if agrees]
    rest = [k for k, agrees in enumerate(best) if not agrees]
    second = max((sum(near[k][j] for j in rest) for k in rest), default=0)
    levels = any(abs(_level_um(one, other)) > SAME_ROTOR_UM for one in there for other in there)
    scatter = len(alike) == 1 and len(there) >= MEAN_OF and not levels
    scatter &= len(there) >= MOST_OF or not any(
        waves_part(_turn(one, one.kind), _turn(other, one.kind), coarse)
        for k, one in enumerate(there)
        for other in there[k + 1 :]
    )
    # Two of many turns of a shaky hand agree by chance: then too all of them count.
    scatter |= len(there) >= MOST_OF and not levels and _hand_um(there, coarse) > 0.0
    settled = not rest or scatter or (len(alike) > 1 and len(alike) > second)
    return _Held(there, alike, with_last, settled, levels, scatter)


def _turn(one: Trace, name: str) -> Turn:
    return Turn(one.kind, name, one.angle_deg, one.value_um)


@lru_cache(maxsize=1024)  # as often as `sim.files.read_anew` holds two turns against each other
def _level_um(one: Trace, other: Trace) -> float:
    """How much thicker one turn is than another all round; nought for readings from any zero. [um]."""
    if not (is_absolute(one.value_um) and is_absolute(other.value_um)):
        return 0.0
    few, more = sorted((one, other), key=lambda turn: turn.angle_deg.size)
    apart = few.value_um - interpolate(more.angle_deg, more.value_um, few.angle_deg)
    return float(np.median(apart)) * (1.0 if few is one else -1.0)


def _mounted_as(one: Trace, last: Trace) -> bool:
    how = [(t.mount, t.studs_turned, t.state, t.corner) for t in (one, last)]
    return how[0] == how[1]


def _may_repeat(one: Trace, last: Trace) -> bool:
    """Whether a turn of another mount reads what the last reads: the same metal, and no less of it since.

    A turn from any zero cannot show that metal went between.
    """
    return one.corner == last.corner and _level_um(one, last) <= SAME_ROTOR_UM


def _read_as(one: Trace, last: Trace) -> bool:
    """Whether a turn was read where and as the last one was, on the same rotor: in whatever mount, it is one metal."""
    if one.in_part or one.dial_um != last.dial_um:
        return False
    if not np.array_equal(one.angle_deg, last.angle_deg):
        return False
    return abs(float(one.value_um.mean() - last.value_um.mean())) <= SAME_ROTOR_UM


def _agreeing(same: Sequence[Trace], graduation_um: float) -> Sequence[Trace]:
    """Those that agree with the last of two, or with the middle one of more at every place; else all, as they scatter.

    Nobody reads on for ever because his hand scatters: the middle of all is then as unsure as they are apart.
    """
    last = same[-1]
    middle = last.value_um if len(same) < MEAN_OF else np.median([one.value_um for one in same], axis=0)
    reference = Turn(last.kind, last.kind, last.angle_deg, middle)
    agree = [
        one
        for one in same
        if read_twice(_turn(one, one.kind), reference, graduation_um) is None
        and not (len(same) >= MEAN_OF and _misread(one.value_um - middle, graduation_um))
    ]
    if len(same) < MEAN_OF or len(agree) >= MEAN_OF or (len(agree) > 1 and len(same) < 2 * MEAN_OF):
        return agree
    return same


def _misread(off_um: Floats, graduation_um: float) -> bool:
    """Whether one place of a turn stands off, which the others of that place do not bear out. [um]."""
    apart = np.abs(off_um - np.median(off_um))
    return bool(apart.max() > MISREAD_SDS * micrometer_sd_um(graduation_um) > np.partition(apart, -2)[-2])
