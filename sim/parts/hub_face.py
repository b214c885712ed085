"""What a dial would read on a hub face as its case describes it, bare and clean: lean, saddle, map, hollows."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from sim.arrays import Floats
    from sim.parts.case import Case, Debris

ANGLES_RAD = np.deg2rad(np.arange(360.0))


def bare_face_um(case: Case) -> float:
    """Runout (TIR) of the bare, clean hub face at the radius at which it is read. [um].

    Parameters
    ----------
    case : Case
        Its hub's lean, saddle and measured heights, and what is ground into it; dirt that lies on it is no part of it.

    Notes
    -----
    By definition: highest less lowest over a turn at one radius. A dish is alike all round and reads nothing.

    Examples
    --------
    >>> from sim.parts.case import Case, Hub
    >>> round(bare_face_um(Case(hub=Hub(face_runout_um=8.0, face_saddle_um=60.0))), 1)
    64.1
    """
    hub, radius = case.hub, case.hub.read_radius_mm
    high = ANGLES_RAD - np.deg2rad(hub.face_high_spot_deg)
    height = hub.face_runout_um / 2.0 * np.cos(high)
    if hub.face_saddle_um:
        height = height + hub.face_saddle_um / 2.0 * np.cos(2.0 * (ANGLES_RAD - np.deg2rad(hub.face_saddle_deg)))
    if case.hub_topography is not None:
        height = height + 1000.0 * case.hub_topography.at_mm(np.full(ANGLES_RAD.size, radius), ANGLES_RAD)
    depth = np.zeros(ANGLES_RAD.size)
    for one in case.debris:
        if one.on == "hub" and one.height_um < 0:
            depth = np.minimum(depth, _under(one, radius) * one.height_um)
    height = height + depth
    return float(height.max() - height.min())


def _under(one: Debris, radius_mm: float) -> Floats:
    """Which degrees of a turn at this radius lie in a hollow. Shape (360,), 1 or 0."""
    away = (np.rad2deg(ANGLES_RAD) - one.angle_deg + 180.0) % 360.0 - 180.0
    inner, outer = one.inner_radius_mm, one.outer_radius_mm
    if one.shape == "round":
        middle, half = (inner + outer) / 2.0, (outer - inner) / 2.0
        apart = radius_mm**2 + middle**2 - 2.0 * radius_mm * middle * np.cos(np.deg2rad(away))
        return np.asarray(apart <= half**2, dtype=float)
    return np.asarray((inner <= radius_mm <= outer) & (np.abs(away) <= one.arc_deg / 2.0), dtype=float)
