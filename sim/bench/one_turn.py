"""What rests on one turn alone before reading ends: on which stud that is read once more, or whether the bare face is.

A whole turn begun a place late, or written the other way round, is as smooth as a sound one, and nothing in it says so.
What stays with the hub is the difference of two studs: where one of them was read by one turn, it is no surer than it.
The studs that were tried were chosen by the bare face: where that was read by one turn, the right one may be none of
them.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from itertools import pairwise

from sim.bench.mountings import told_apart
from sim.bench.read_alike import without
from sim.bench.seatings import one_seating
from sim.bench.told_by_mountings import Apart, ToldApart
from sim.files.dial_readings import Readings
from sim.files.readings_rows import CLEAN_STATES

#: So many studs read by more than one turn each carry hub and rotor without any that was read by one.
LEAST_STUDS = 2


def rests_on(readings: Readings, told: ToldApart) -> int | None:
    """Name the stud that was read by one turn, and without which the rest would leave nothing beyond the bare face.

    Parameters
    ----------
    readings : Readings
        Those that count: of `sim.bench.cleaned_again.settled`.
    told : ToldApart
        What they tell: more stays with the hub, cleaned twice, than its bare face explains.

    Returns
    -------
    int or None
        Stud pitches from stud 1, counter-clockwise; None where every stud that it rests on was read twice.

    Notes
    -----
    Least squares of what is left (`sim.bench.mountings.told_apart`); that a stud is asked for once is a rule, no
    probability.
    """
    last = told.states[-1]
    once, twice = _read_once(readings, last)
    if not once or last.positions[-1] in once:
        return None  # one that stands is read as it stands
    rest = {stud: told_apart(without(readings, _mounts(last, stud), ()), told.again) for stud in once}
    explains = [stud for stud, left in rest.items() if 1 in left.states[-1].hub and _by_its_face(left)]
    if explains:
        return explains[0]
    return once[0] if len(twice) < LEAST_STUDS else None


def bare_once(readings: Readings) -> bool:
    """Whether the bare face was read by one turn alone, clean where any turn of it was; not where nobody read it.

    By definition.

    Parameters
    ----------
    readings : Readings
    """
    turns = readings.with_parts_of("hub face")
    return len([one for one in turns if one.state in CLEAN_STATES] or turns) == 1


def read_there(told: ToldApart, studs_turned: int) -> tuple[int, ...]:
    """Mounts that were read on a stud in the last state: more than none where it is read there once more.

    Parameters
    ----------
    told : ToldApart
    studs_turned : int
        Stud pitches from stud 1, counter-clockwise.
    """
    return _mounts(told.states[-1], studs_turned)


def _mounts(state: Apart, stud: int) -> tuple[int, ...]:
    return tuple(mount for mount, at in zip(state.mounts, state.positions, strict=True) if at == stud)


def _read_once(readings: Readings, last: Apart) -> tuple[Sequence[int], Sequence[int]]:
    """Studs of the last state that were read by one turn, and by more."""
    there = [
        one
        for one in readings.of("mounted")
        if one.state in CLEAN_STATES and one.mount in last.mounts and one.clamped_by == last.clamped_by
    ]
    turns = Counter(one.studs_turned for one in there)
    for one, later in pairwise(there):
        turns[later.studs_turned] -= one.studs_turned == later.studs_turned and one_seating(readings, one, later)
    return [stud for stud, many in turns.items() if many == 1], [stud for stud, many in turns.items() if many > 1]


def _by_its_face(told: ToldApart) -> bool:
    return told.stayed_beyond is not None and not told.stayed_beyond.told
