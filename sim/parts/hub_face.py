"""What a dial would read on a hub face as its case describes it, bare and clean: lean, saddle, map, hollows."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from sim.parts.dial import Dial, against_limit

if TYPE_CHECKING:
    from sim.arrays import Floats
    from sim.parts.case import Case, Debris

ALIKE_UM = 0.5  # no dial tells less
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


@dataclass(frozen=True)
class GivenFace:
    """A bare hub face as its case gives it: runout, uncertainty and limit; where that stands, and who gives it. [um].

    ``whole``: with its saddle, measured heights and hollows.
    """

    runout_um: float
    doubt_um: float
    limit_um: float
    whole: bool
    whose: str

    @property
    def state(self) -> str:
        """Where it stands against its limit; by rule."""
        return against_limit(self.runout_um, self.limit_um, self.doubt_um)


def face_as_given(case: Case) -> GivenFace | None:
    """Hold a hub face against its limit as the case gives it; None where that gives none. [um].

    What is typed may have been read, by some dial: judgement.
    """
    value_um = bare_face_um(case)
    if value_um == 0:
        return None
    whole = value_um > case.hub.face_runout_um + ALIKE_UM
    whose = "the case file" if whole else case.where_from("hub", "face_runout_um")
    doubt_um = 0.0 if whose == "the part set" else Dial().doubt_um
    return GivenFace(value_um, doubt_um, case.hub_face_limit_um, whole, whose)


def _under(one: Debris, radius_mm: float) -> Floats:
    """Which degrees of a turn at this radius lie in a hollow. Shape (360,), 1 or 0."""
    away = (np.rad2deg(ANGLES_RAD) - one.angle_deg + 180.0) % 360.0 - 180.0
    inner, outer = one.inner_radius_mm, one.outer_radius_mm
    if one.shape == "round":
        middle, half = (inner + outer) / 2.0, (outer - inner) / 2.0
        apart = radius_mm**2 + middle**2 - 2.0 * radius_mm * middle * np.cos(np.deg2rad(away))
        return np.asarray(apart <= half**2, dtype=float)
    return np.asarray((inner <= radius_mm <= outer) & (np.abs(away) <= one.arc_deg / 2.0), dtype=float)
