"""Turns of a bare face that parted before it was cleaned once more: one turn after that does not answer them."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

import numpy as np

from sim.files.dial_readings import Readings
from sim.files.reading_faults import FACE_TWICE, TWICE, ReadingFault
from sim.files.readings_rows import AGAIN, CLEANED
from sim.files.rocking import by_what_was_felt
from sim.files.trace import Trace
from sim.parts.thickness import MEAN_OF

PARTED = "hub face: turns before it was cleaned once more differ by up to {size:.0f} µm, and no three agree: {why}"


def face_parted(readings: Readings) -> tuple[ReadingFault, ...]:
    """Ask for three turns of a face that was cleaned once more over turns that did not agree.

    Parameters
    ----------
    readings : Readings

    Notes
    -----
    By rule: a bearing that throws the hub does so after a cleaning too, and one of its turns may read true. Chi-square
    of a difference (`sim.files.reading_faults.read_twice`). [um]
    """
    faces = readings.of("hub face")
    before, since = ([one for one in faces if one.state == state] for state in (CLEANED, AGAIN))
    if not 0 < len(since) < MEAN_OF or _agree(readings, before):
        return ()
    size = max(_apart_um(one, other) for one, other in combinations(before, 2))
    why = by_what_was_felt(readings.bearing).of(FACE_TWICE)
    return (ReadingFault(TWICE, "hub face", (), size, 0.0, PARTED.format(size=size, why=why)),)


def _agree(readings: Readings, turns: Sequence[Trace]) -> bool:
    """Whether nothing parts them, or three of them agree."""
    parted = {(a, b) for a, b in combinations(range(len(turns)), 2) if readings.parted(turns[a], turns[b])}
    threes = combinations(range(len(turns)), MEAN_OF)
    return not parted or any(not parted & set(combinations(three, 2)) for three in threes)


def _apart_um(one: Trace, other: Trace) -> float:
    """How far two turns differ, an offset free. [um]."""
    return float(np.ptp(np.interp(one.angle_deg, other.angle_deg, other.value_um, period=360.0) - one.value_um))
