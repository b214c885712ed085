"""Raised metal that was stoned off a bare hub face: what a second cleaning took goes with it, where it stood."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sim.bench.told_by_mountings import Vector
from sim.files.dial_readings import Readings
from sim.files.reading_faults import REPLACED, STANDS_UP
from sim.units import shortest_deg

#: Metal between two places of a turn, and a rotor that leans on it: so far off it is none of it. Judgement, 30 .. 60.
ASIDE_DEG = 45.0
#: A rotor on metal at one side of its seat leans by no more than that over the seat's breadth, with what mountings and
#: a dial scatter by. Judgement, 1.2 .. 2.
MOST = 1.5


@dataclass(frozen=True)
class Stoned:
    """Metal that stood up on a bare face and is gone.

    Parameters
    ----------
    angle_deg : float
        From stud 1. [deg]
    height_um : float
        As the dial showed it. [um]
    """

    angle_deg: float
    height_um: float


def stoned(readings: Readings) -> tuple[Stoned, ...]:
    """Name what stood up on the bare face and was read no more once that was cleaned again; by definition.

    Parameters
    ----------
    readings : Readings
    """
    return tuple(
        Stoned(float(np.mean(one.left_out_deg or one.angle_deg)), one.size_um)
        for one in readings.faults
        if (one.fault, one.trace, one.answer) == (STANDS_UP, "hub face", REPLACED)
    )


def explains(readings: Readings, took: Vector, studs_turned: int) -> bool:
    """Whether what was stoned explains what a cleaning took of a mounted runout: towards it, and no more than it lifts.

    Parameters
    ----------
    readings : Readings
    took : Vector
        First order, in the rotor's frame.
    studs_turned : int
        Stud pitches from stud 1, counter-clockwise, where it was read.

    Notes
    -----
    Metal of a height at one side of a seat leans what sits on it by that height over the seat, and by more in
    proportion to the radius: geometry; `MOST` and `ASIDE_DEG` are judgement. [um TIR, deg]
    """
    gauge, at_hub = readings.gauge_radius_mm, readings.hub_face_radius_mm
    lever = 1.0 if gauge is None or at_hub is None else gauge / at_hub
    on_hub = took.high_spot_deg + 360.0 / readings.studs * studs_turned
    return any(
        abs(shortest_deg(np.array(on_hub - one.angle_deg))) <= ASIDE_DEG + (took.high_spot_half_deg or 0.0)
        and took.runout_um <= MOST * one.height_um * lever
        for one in stoned(readings)
    )
