"""Where a flat, stiff rotor can come to bear: rim of the hub face, corners and outer arcs of what lies on it.

A plane that rests on a flat-topped patch touches it first at a corner or along its OUTER arc: of a sector, only these
are corners of its hull. Everything is kept as exact circular arcs; a corner is an arc without length.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from sim.arrays import Floats
from sim.errors import BadInput, Fault

TURN = 2.0 * np.pi  # a whole turn
# Angles nearer to each other than this are one place. [rad]
SAME_ANGLE = 1e-12


@dataclass(frozen=True)
class Patch:
    """A flat-topped raised patch, or a hollow where the height is negative; angles in the hub frame.

    Parameters
    ----------
    inner_radius_mm, outer_radius_mm : float
        Radial extent. [mm]
    angle_deg, arc_deg : float
        Centre and full width; 0 for a point or a radial line, 360 for a ring. [deg]
    height_mm : float
        Above the clean face. [mm]

    Raises
    ------
    BadInput
        Radii that do not grow outward, an arc outside 0 ... 360, or a number that is not finite.
    """

    inner_radius_mm: float
    outer_radius_mm: float
    angle_deg: float
    arc_deg: float
    height_mm: float

    def __post_init__(self) -> None:
        faults = []
        if not np.isfinite([self.inner_radius_mm, self.outer_radius_mm, self.angle_deg, self.height_mm]).all():
            faults.append(Fault("a patch needs finite numbers"))
        if not 0.0 < self.inner_radius_mm <= self.outer_radius_mm:
            radii = f"{self.inner_radius_mm:g} .. {self.outer_radius_mm:g} mm"
            faults.append(Fault(f"patch radii {radii} do not grow outward from above 0", key="inner_radius_mm"))
        if not 0.0 <= self.arc_deg <= 360.0:
            faults.append(Fault(f"patch arc {self.arc_deg:g} deg", key="arc_deg", allowed="0 .. 360"))
        if faults:
            raise BadInput(faults)


@dataclass(frozen=True)
class Holes:
    """Stud holes: nothing bears inside them.

    Parameters
    ----------
    count : int
        How many, the first at angle 0.
    pitch_radius_mm, radius_mm : float
        Radius of the circle that they stand on, and of each hole. [mm]
    """

    count: int
    pitch_radius_mm: float
    radius_mm: float

    def angles_rad(self) -> Floats:
        """Angles of the hole centres. [rad]. Geometry."""
        return TURN * np.arange(self.count) / max(self.count, 1)

    def hold(self, radius_mm: ArrayLike, angle_rad: ArrayLike) -> NDArray[np.bool_]:
        """Whether points lie inside a hole; its edge counts as outside.

        Lengths in mm. Three supports carry a plane whose clamp pulls within their triangle (statics).
        """
        radius = np.atleast_1d(np.asarray(radius_mm, dtype=float))[:, None]
        angle = np.atleast_1d(np.asarray(angle_rad, dtype=float))[:, None] - self.angles_rad()
        square = radius**2 + self.pitch_radius_mm**2 - 2.0 * radius * self.pitch_radius_mm * np.cos(angle)
        return np.asarray((square < self.radius_mm**2 * (1.0 - 1e-9)).any(axis=1))

    def half_angle_rad(self, radius_mm: float) -> float:
        """Half of the angle over which one hole cuts the circle of this radius, 0 where it does not. [rad].

        Geometry.
        """
        if not abs(radius_mm - self.pitch_radius_mm) < self.radius_mm:
            return 0.0
        cosine = (radius_mm**2 + self.pitch_radius_mm**2 - self.radius_mm**2) / (2 * radius_mm * self.pitch_radius_mm)
        return float(np.arccos(np.clip(cosine, -1.0, 1.0)))


@dataclass(frozen=True)
class Arc:
    """Points at one radius and height: where the plane may bear. ``owner`` is -1 for the face, else the patch.

    Parameters
    ----------
    radius_mm, height_mm : float
        Radius and height. [mm]
    middle_rad, half_rad : float
        Middle and half width; half width 0 is a point, pi a whole circle. [rad]
    owner : int
        -1 = the hub face itself, else the number of the patch.
    """

    radius_mm: float
    height_mm: float
    middle_rad: float
    half_rad: float
    owner: int


def face_arcs(radius_mm: float, patches: tuple[Patch, ...], holes: Holes | None, inner_mm: float = 0.0) -> list[Arc]:
    """Outline of the clean face, hollows that break its rim taken off.

    Parameters
    ----------
    radius_mm : float
        Outer radius of the face. [mm]
    patches : tuple of Patch
        Of these only the hollows (negative height) count here.
    holes : Holes or None
        Stud holes that may cut the rim.
    inner_mm : float
        Inner radius of the face: where hollows leave nothing outside it there is no face. [mm]

    Returns
    -------
    list of Arc
        All at height 0 with owner -1.

    Notes
    -----
    Geometry: a flat face bears on arcs of its rim and of the outer edge of what lies on it, and on corners.
    """
    hollows = [patch for patch in patches if patch.height_mm < 0.0]
    edges = {0.0, TURN}
    for hollow in hollows:
        if hollow.arc_deg < 360.0:
            middle, half = np.radians(hollow.angle_deg), np.radians(hollow.arc_deg) / 2
            edges.update({float((middle - half) % TURN), float((middle + half) % TURN)})
    ordered = sorted(edges)
    pieces: list[tuple[float, float, float]] = []
    for start, end in zip(ordered, ordered[1:], strict=False):
        if end - start < SAME_ANGLE:
            continue
        reach = _reach(radius_mm, (start + end) / 2, hollows)
        if reach > inner_mm:
            pieces.append((reach, start, end))
    arcs: list[Arc] = []
    for reach, start, end in _joined(pieces):
        arcs += _outside_holes(Arc(reach, 0.0, (start + end) / 2, (end - start) / 2, -1), holes)
    return arcs


def _reach(radius_mm: float, angle_rad: float, hollows: list[Patch]) -> float:
    """How far out the clean face reaches at one angle."""
    here = [hollow for hollow in hollows if _covers(hollow, angle_rad)]
    reach = radius_mm
    for hollow in sorted(here, key=lambda one: -one.outer_radius_mm):
        if hollow.outer_radius_mm >= reach > hollow.inner_radius_mm:
            reach = hollow.inner_radius_mm
    return reach


def _covers(patch: Patch, angle_rad: float) -> bool:
    away = (angle_rad - np.radians(patch.angle_deg) + np.pi) % TURN - np.pi
    return patch.arc_deg >= 360.0 or bool(abs(away) < np.radians(patch.arc_deg) / 2)


def _joined(pieces: list[tuple[float, float, float]]) -> list[tuple[float, float, float]]:
    """Neighbouring pieces of one radius made one, across angle 0 too."""
    joined: list[tuple[float, float, float]] = []
    for radius, start, end in pieces:
        if joined and joined[-1][0] == radius and abs(joined[-1][2] - start) < SAME_ANGLE:
            joined[-1] = (radius, joined[-1][1], end)
        else:
            joined.append((radius, start, end))
    if len(joined) > 1 and joined[0][0] == joined[-1][0] and joined[0][1] == 0.0 and joined[-1][2] == TURN:
        first, last = joined.pop(0), joined.pop()
        joined.append((first[0], last[1] - TURN, first[2]))
    return joined


def patch_arcs(patch: Patch, owner: int, face_radius_mm: float, holes: Holes | None) -> list[Arc]:
    """Outer arc and inner corners of a patch, cut to the face, its share inside stud holes left out.

    Parameters
    ----------
    patch : Patch
        The patch.
    owner : int
        Its number.
    face_radius_mm : float
        What sticks out beyond this radius bears on nothing. [mm]
    holes : Holes or None
        Stud holes.

    Returns
    -------
    list of Arc
        Empty where the patch lies wholly outside the face or inside a hole.

    Notes
    -----
    A hole's edge, seen from the patch, is hollow: it adds only the points where it meets the outline.
    """
    outer = min(patch.outer_radius_mm, face_radius_mm)
    inner = patch.inner_radius_mm
    if inner > face_radius_mm:
        return []
    middle, half = float(np.radians(patch.angle_deg)), float(np.radians(patch.arc_deg) / 2)
    arcs = _outside_holes(Arc(outer, patch.height_mm, middle, half, owner), holes)
    if half >= np.pi:
        corners = []
    else:
        corners = [(inner, middle - half), (inner, middle + half)]
    if holes is not None:
        corners += _cut_points(outer, inner, middle, half, holes)
        corners = [(r, a) for r, a in corners if not holes.hold(r, a)[0]]
    return arcs + [Arc(r, patch.height_mm, a, 0.0, owner) for r, a in corners]


def _outside_holes(arc: Arc, holes: Holes | None) -> list[Arc]:
    """Parts of an arc that no hole takes away."""
    cut = holes.half_angle_rad(arc.radius_mm) if holes is not None else 0.0
    if holes is None or cut == 0.0:
        return [arc]
    start, end = arc.middle_rad - arc.half_rad, arc.middle_rad + arc.half_rad
    pitch = TURN / holes.count
    if 2.0 * cut >= pitch:
        return []
    parts: list[Arc] = []
    for number in range(int(np.floor(start / pitch)) - 1, int(np.ceil(end / pitch)) + 1):
        low, high = max(start, number * pitch + cut), min(end, (number + 1) * pitch - cut)
        if high >= low:
            parts.append(Arc(arc.radius_mm, arc.height_mm, (low + high) / 2, (high - low) / 2, arc.owner))
    return parts


def _cut_points(outer: float, inner: float, middle: float, half: float, holes: Holes) -> list[tuple[float, float]]:
    """Points where the edges of the holes cross the inner arc and the straight sides of a patch."""
    points: list[tuple[float, float]] = []
    cut = holes.half_angle_rad(inner)
    for centre in holes.angles_rad():
        for angle in (centre - cut, centre + cut) if cut else ():
            away = (angle - middle + np.pi) % TURN - np.pi
            if abs(away) <= half:
                points.append((inner, middle + away))
        for side in (middle - half, middle + half) if half < np.pi else ():
            across = holes.pitch_radius_mm * np.sin(side - centre)
            along = holes.pitch_radius_mm * np.cos(side - centre)
            if abs(across) < holes.radius_mm:
                chord = np.sqrt(holes.radius_mm**2 - across**2)
                points += [(r, side) for r in (along - chord, along + chord) if inner < r < outer]
    return points
