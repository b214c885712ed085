"""A worn rotor as a bench would read it: the traces that a forecast ends with, as a table of readings."""

from __future__ import annotations

import numpy as np

from sim import turn
from sim.files.dial_readings import Readings, Trace
from sim.files.feeler import LEAF_UM
from sim.one_thread import one_thread
from sim.seating.seat import Seat
from sim.wear.forecast import Forecast

#: Places of a turn that are written: three times as many as a job card holds, so that a few orders come through.
PLACES = 36
#: Step to which the values are written. [um]
STEP_UM = 0.1


@one_thread
def readings_of(seat: Seat, forecast: Forecast | None) -> Readings:
    """Write one turn of both faces and of the thickness, as read at the gauge radius at the end of the road.

    Parameters
    ----------
    seat : Seat
        The corner as it is read.
    forecast : Forecast or None
        What wore it; None for the rotor as fitted.

    Returns
    -------
    Readings
        Traces ``mounted``, ``inboard`` and ``thickness`` of mount 1 at `PLACES` places, ROTOR frame. Faces
        + outboard with their mean removed, thickness above its thinnest place. [um]

    Notes
    -----
    Wear takes metal off: it brings the outboard face inboard and the inboard face outboard. The rotor is read in the
    seating that it was fitted with.

    By definition: a dial tells position, faces that wear lose height.
    """
    outboard, inboard = np.array(seat.outboard_um), np.array(seat.inboard_um)
    thickness = np.array(seat.thickness_um)
    if forecast is not None:
        outboard = outboard - turn.resample(forecast.outboard_wear_um[-1], outboard.size)
        inboard = inboard + turn.resample(forecast.inboard_wear_um[-1], inboard.size)
        thickness = turn.resample(forecast.thickness_um[-1], thickness.size)
    every = outboard.size // PLACES
    angle = np.asarray(seat.angle_deg, dtype=float)[::every]
    studs, level = seat.case.studs, seat.case.gauge
    traces = []
    for kind, values in (("mounted", outboard), ("inboard", inboard), ("thickness", thickness - thickness.min())):
        values = values if kind == "thickness" else values - values.mean()
        rounded = STEP_UM * np.round(values[::every] / STEP_UM)
        clamped = "" if kind == "thickness" else studs.clamped_by
        leaf_um = None if kind == "thickness" else LEAF_UM
        step = STEP_UM if kind == "thickness" else None  # a micrometer that says nothing is taken for a coarse one
        traces.append(
            Trace(kind, 1, studs.studs_turned, angle, rounded, clamped_by=clamped, dial_um=step, feeler_um=leaf_um)
        )
    radius = seat.case.rotor.outer_diameter_mm / 2 - level.from_edge_mm
    return Readings(studs.count, radius, None, STEP_UM, tuple(traces))
