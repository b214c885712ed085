"""From the readings of a worn disc to what it remembers of its fitting, and to what remains once the hub is clean."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from scenes.work import cleaned
from sim import cache, library, readings, ring
from sim.errors import BadInput, Fault
from sim.forecast import faces_from_thickness
from sim.memory import Memory, WornDisc, remember
from sim.outlook import Remains
from sim.outlook import after_cleaning as cleaned_outlook
from sim.pads import brake_of
from sim.pair import Progress
from sim.parts import Case
from sim.readings import Readings, Trace
from sim.run import Run, pad_trace_um, versions
from sim.seating import seat

TURN = 360


def _known(case: Case) -> dict[str, float]:
    return {"studs": float(case.studs.count), "gauge_radius_mm": case.gauge_radius_mm}


def _first(found: Readings, kind: str) -> Trace | None:
    traces = found.of(kind)
    return traces[0] if traces else None


def _thickness(found: Readings, path: Path) -> Trace:
    trace = _first(found, "thickness")
    if trace is None:
        raise BadInput(Fault("has no thickness trace", file=str(path), allowed="at least one turn of `thickness`"))
    return trace


def remembered(case: Case, path: Path, km: float, tell: Progress) -> Memory:
    """Ask a worn disc what it remembers.

    Parameters
    ----------
    case : Case
        The corner that it ran in.
    path : Path
        Readings: ``thickness``, and ``mounted`` and ``inboard`` if it has not been moved since it was fitted.
    km : float
        Driven since then. [km]
    tell : callable(fraction, what)

    Returns
    -------
    Memory

    Raises
    ------
    BadInput
        For readings that cannot be.
    """
    found = readings.read(path, _known(case))
    thickness, out, inn = _thickness(found, path), _first(found, "mounted"), _first(found, "inboard")
    faces = None
    if out is not None and inn is not None:
        at = thickness.angle_deg
        faces = [ring.interpolate(one.angle_deg, one.value_um, at) for one in (out, inn)]
    disc = WornDisc(
        distance_km=km,
        angle_deg=thickness.angle_deg,
        thickness_um=thickness.value_um,
        outboard_um=None if faces is None else faces[0],
        inboard_um=None if faces is None else faces[1],
        doubt_um=max(found.dial_um / np.sqrt(12.0), 1.0),
    )
    return remember(case, disc, library=_shelf(case, km, tell), progress=tell)


def _shelf(case: Case, km: float, tell: Progress) -> library.Library:
    """Simulated worn discs of this corner at this distance, kept on disk."""

    def build() -> dict[str, NDArray]:
        tell(0.0, "wearing simulated discs (kept for the next time)")
        one = library.learn(case, [km], progress=tell)[0]
        return {"fitted": one.fitted_um, "lean": one.lean_um, "thickness": one.thickness_um}

    plain = replace(case, debris=(), spigot_scale=(), title="-")
    identity = repr((brake_of(plain), plain.rotor, plain.drive, plain.gauge, km, library.LIBRARY))
    arrays, _ = cache.fetch("worn-discs", identity, build)
    return library.Library(km, arrays["fitted"], arrays["lean"], arrays["thickness"])


def after_cleaning(case: Case, path: Path, worn_on: str, km: float, tell: Progress) -> tuple[Run, Remains]:
    """Clean the hub under a worn disc and drive on.

    Parameters
    ----------
    case : Case
        The corner; its dirt is left out.
    path : Path
        Readings with a ``thickness`` trace.
    worn_on : {"both faces", "outboard", "inboard"}
        Where the metal went.
    km : float
        Distance to drive on. [km]
    tell : callable(fraction, what)

    Returns
    -------
    Run
        The clean corner with the forecast from the worn disc on, for its plot.
    Remains
    """
    found = readings.read(path, _known(case))
    trace = _thickness(found, path)
    at = np.arange(TURN, dtype=float)
    worn = faces_from_thickness(ring.interpolate(trace.angle_deg, trace.value_um, at))
    if worn_on != "both faces":
        whole = worn.sum(axis=0)
        worn = np.stack([whole, 0 * whole] if worn_on == "outboard" else [0 * whole, whole])
    clean = replace(cleaned(case), title="A worn disc on a cleaned hub")
    seated = seat(clean)
    tell(0.2, "driving on with a clean hub")
    remains = cleaned_outlook(clean, worn, pad_trace_um(seated), km)
    return Run(clean, seated, remains.forecast, versions()), remains
