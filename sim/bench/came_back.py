"""Mountings that came back to a stud: how far each lies from the first one there, and which of them read alike."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Protocol

import numpy as np

from sim.arrays import Complexes, Floats
from sim.bench.linked import Pair, came_back, further, linked
from sim.bench.seatings import one_seating
from sim.files.dial_readings import Readings, Trace


class Mount(Protocol):
    """A mounted turn with its orders and their standard deviations, that of the mounting in them. [um]."""

    @property
    def trace(self) -> Trace: ...  # noqa: D102
    @property
    def orders(self) -> Complexes: ...  # noqa: D102
    @property
    def sd_um(self) -> Floats: ...  # noqa: D102


@dataclass(frozen=True)
class Returned:
    """Two mountings at one stud position in one state.

    Parameters
    ----------
    mounts : tuple of int
    apart_um : float
        First orders apart. [um TIR]
    expected_um : float
        What 95 of 100 such pairs stay under. [um TIR]
    """

    mounts: tuple[int, int]
    apart_um: float
    expected_um: float

    @property
    def came_back(self) -> bool:
        """Whether the second reads like the first."""
        return came_back((self.apart_um, self.expected_um))


def returned(group: Sequence[Mount], readings: Readings, told_sds: float) -> list[Returned]:
    """Hold every mounting against the first one at its stud position; of one seating the turn that was read last.

    Parameters
    ----------
    group : sequence of Mount
        Of one state, in their sequence.
    readings : Readings
    told_sds : float
        So many standard deviations of a component are told.

    Notes
    -----
    First orders, JCGM 100:2008. [um TIR]
    """
    first: dict[int, Mount] = {}
    found: list[Returned] = []
    shown = group[0]
    for one in group:
        before = first.setdefault(one.trace.studs_turned, one)
        if before is one or before.trace.mount == one.trace.mount:
            continue
        pair = Returned((before.trace.mount, one.trace.mount), *_apart_um(before, one, told_sds))
        if pair.came_back and one_seating(readings, before.trace, one.trace):
            first[one.trace.studs_turned] = shown = one  # one seat: the rotor did not come back to it
            continue
        if found and found[-1].mounts[1] == shown.trace.mount and one_seating(readings, shown.trace, one.trace):
            found.pop()
        shown = one
        found.append(pair)
    return found


def alike(group: Sequence[Mount], readings: Readings, told_sds: float) -> tuple[tuple[int, ...], ...]:
    """Name the mounts that read alike, a group each, on every stud that was read in two mounts or more.

    Parameters
    ----------
    group : sequence of Mount
        Of one state, in their sequence.
    readings : Readings
    told_sds : float
        As `returned` takes it.

    Returns
    -------
    tuple of tuple of int
        On each stud first those that agree with the last mount there, then likewise of the rest, as `linked` has them;
        of one seating the turn that was read last.

    Notes
    -----
    As `sim.bench.read_alike` lets them count. By rule.
    """
    studs: dict[int, list[Mount]] = {}
    for one in group:
        studs.setdefault(one.trace.studs_turned, []).append(one)
    found: list[tuple[int, ...]] = []
    for turns_there in studs.values():
        there = [one for one in turns_there if not _seat_goes_on(readings, one, turns_there)]
        mounts = {one.trace.mount for one in there}
        found += linked(mounts, _apart_of_each_two(there, told_sds)) if len(mounts) > 1 else []
    return tuple(found)


def _seat_goes_on(readings: Readings, one: Mount, there: Sequence[Mount]) -> bool:
    return any(one_seating(readings, one.trace, later.trace) for later in there)


def _apart_of_each_two(there: Sequence[Mount], told_sds: float) -> dict[tuple[int, int], Pair]:
    found: dict[tuple[int, int], Pair] = {}
    for one, other in combinations(sorted(there, key=lambda turn: turn.trace.mount), 2):
        pair = one.trace.mount, other.trace.mount
        found[pair] = further(found.get(pair), _apart_um(one, other, told_sds))
    return found


def _apart_um(one: Mount, other: Mount, told_sds: float) -> tuple[float, float]:
    apart = 2.0 * abs(complex(one.orders[1] - other.orders[1]))
    return apart, 2.0 * told_sds * float(np.hypot(one.sd_um[1], other.sd_um[1]))
