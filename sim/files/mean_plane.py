"""Runout of the disc's mean plane from a table of readings: what a road may start from in place of a seating."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from sim import turn
from sim.errors import BadInput, Fault
from sim.files import dial_readings
from sim.files.seated_home import refuse_unseated
from sim.parts.case import Case


def mean_plane_read(case: Case, path: Path) -> tuple[tuple[float, ...], str, float]:
    """Read the runout of the mean plane, what held the rotor, and the step of the dial.

    Both faces where both were read held alike, else the one that was; as held by the wheel before all others.

    Parameters
    ----------
    case : Case
        Its studs and radius are held against those of the table.
    path : Path

    Returns
    -------
    runout : tuple of float, length 360
        Every degree in the ROTOR frame, mean removed. [um]
    held : str
        Empty where the readings do not say.
    step : float
        Of the coarser dial, where the faces were read with two. [um]

    Raises
    ------
    BadInput
        Without a mounted trace, for faces read under different clampings, or readings that give a slip away.
    Refused
        For a turn that no seated rotor draws.

    Notes
    -----
    By definition: the mean plane is half the sum of both faces, each + outboard.
    """
    known = {"studs": float(case.studs.count), "gauge_radius_mm": case.gauge_radius_mm}
    found = dial_readings.read(path, known)
    groups = found.faces()
    if not groups:
        raise BadInput(Fault("has no mounted trace", file=str(path), allowed="at least one turn of `mounted`"))
    # With the wheel on it was read as it is driven.
    turns = next((group for group in groups if group[0].clamped_by == "wheel"), groups[0])
    apart = [group[0] for group in groups if {one.kind for one in group} == {"inboard"}]
    held = sorted({turns[0].clamped_by, *(one.clamped_by for one in apart if one.mount == turns[0].mount)})
    if turns[0].clamped_by != "wheel" and len(turns) == 1 and len(held) > 1:
        told = " and ".join(repr(one) for one in held)
        raise BadInput(Fault(f"its two faces were read under {told}", file=str(path), allowed="one clamping for both"))
    dial_readings.refuse_slips(found, path, *{one.kind for one in turns})
    for one in turns:
        refuse_unseated(one.value_um)
    at = np.arange(360.0)
    mean = np.mean([turn.interpolate(one.angle_deg, one.value_um, at) for one in turns], axis=0)
    step = max(found.step_um(one) for one in turns)
    return tuple(float(value) for value in mean - mean.mean()), turns[0].clamped_by, step
