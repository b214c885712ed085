"""Exact seating of a rotor too stiff to bend: what three-point geometry says, for comparison and for large batches.

A stiff, flat rotor on the annulus of the hub face, held by the clamp forces at their centre p0, sinks as low at p0 as
the supports let it. Hub-face runout only leans the whole; own runout and own thickness variation of the rotor are added
as vectors. Rigid tilt is an upper bound that is good for dirt on the outer 10 mm of the face only: a real flange bends
over what lies further in.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sim import turn
from sim.arrays import Floats
from sim.errors import BadInput, Fault, Refused
from sim.one_thread import one_thread
from sim.parts.case import Case, Debris
from sim.rigid.bearing_points import Arc, Holes, Patch, face_arcs, patch_arcs
from sim.solvers import lowest_plane

# A share of the clamp force below this is none: the support only touches, and holds nothing down.
NO_SHARE = 1e-6


@dataclass(frozen=True)
class Support:
    """Where the seated rotor bears.

    Parameters
    ----------
    x_mm, y_mm, height_mm : float
        Place in the hub frame and height above the clean face. [mm]
    share : float
        Share of the clamp force that it carries.
    on : int
        -1 for the hub face itself, else the number of the patch.
    """

    x_mm: float
    y_mm: float
    height_mm: float
    share: float
    on: int


@dataclass(frozen=True)
class RigidSeat:
    """A stiff rotor at rest: its plane is ``height_mm + slope . (x - centre)`` above the hub face.

    Parameters
    ----------
    height_mm : float
        Of the rotor's mounting face at the clamp centre. [mm]
    slope_xy : tuple of float
        Lean, hub frame. Where the rotor is free to rock: the middle of the range. [mm/mm]
    supports : tuple of Support
        What it stands on.
    unique : bool
        False where it can rock without being lifted, as on two specks exactly opposite each other.
    slope_range : tuple of two tuples
        Lean at both ends of the rocking; twice ``slope_xy`` where unique.
    """

    height_mm: float
    slope_xy: tuple[float, float]
    supports: tuple[Support, ...]
    unique: bool
    slope_range: tuple[tuple[float, float], tuple[float, float]]

    def tir_mm(self, radius_mm: float) -> float:
        """Lateral runout (TIR) at a radius, from this lean alone. [mm].

        Closed form of a plane: twice radius times slope (geometry).
        """
        return 2.0 * radius_mm * float(np.hypot(*self.slope_xy))

    def tir_range_mm(self, radius_mm: float) -> tuple[float, float]:
        """Lowest and highest TIR within the rocking. [mm]. Closed form of a plane, as `tir_mm`."""
        low, high = np.array(self.slope_range[0]), np.array(self.slope_range[1])
        along = high - low
        length = float(along @ along)
        part = 0.0 if length == 0.0 else float(np.clip(-(low @ along) / length, 0.0, 1.0))
        least = float(np.hypot(*(low + part * along)))
        most = max(float(np.hypot(*low)), float(np.hypot(*high)))
        return 2.0 * radius_mm * least, 2.0 * radius_mm * most


@one_thread
def seat_rigid(
    patches: tuple[Patch, ...] | list[Patch],
    face_radius_mm: float,
    centre_xy_mm: tuple[float, float] = (0.0, 0.0),
    holes: Holes | None = None,
    face_inner_mm: float = 0.0,
    rings: tuple[tuple[float, float], ...] = (),
) -> RigidSeat:
    """Seat a stiff flat rotor on a hub face that carries patches.

    Parameters
    ----------
    patches : sequence of Patch
        What lies on either face, in the hub frame; any number, also none. Where two overlap the higher one counts.
    face_radius_mm : float
        Outer radius on which hub and rotor meet. [mm]
    centre_xy_mm : tuple of float
        Where the clamp forces act together. [mm]
    holes : Holes, optional
        Stud holes, inside which nothing bears.
    face_inner_mm : float
        Inner radius of the face (matters only where hollows take the whole rim away). [mm]
    rings : tuple of (radius_mm, height_mm)
        Further circles on which the face may bear, for a crowned face. [mm]

    Returns
    -------
    RigidSeat

    Raises
    ------
    Refused
        If the clamp centre lies outside everything that bears, or the rotor may rock without bound.
    BadInput
        If the face has no size.

    Notes
    -----
    Statics: of all planes that lie on or above every support, the one that is lowest under the clamp; three supports
    carry it.

    Examples
    --------
    >>> seat = seat_rigid([Patch(60.0, 68.0, 0.0, 20.0, 0.1)], 68.0)
    >>> round(seat.tir_mm(140.0), 4)
    0.2203
    """
    if not 0.0 <= face_inner_mm < face_radius_mm < np.inf:
        raise BadInput(Fault(f"face radii {face_inner_mm:g} .. {face_radius_mm:g} mm", key="face_diameter_mm"))
    arcs = _outline(tuple(patches), face_radius_mm, holes, face_inner_mm, rings)
    centre = np.array(centre_xy_mm, dtype=float)
    supports = _arcs(arcs)
    if arcs[0].half_rad >= np.pi and arcs[0].radius_mm > np.hypot(*centre):
        basis = lowest_plane.circle_triangle(arcs[0].radius_mm, arcs[0].height_mm, centre)
    else:
        grown = _arcs([Arc(arc.radius_mm, arc.radius_mm**2, arc.middle_rad, arc.half_rad, arc.owner) for arc in arcs])
        basis = lowest_plane.start_triangle(grown, max(arc.radius_mm for arc in arcs), centre)
        basis[:, 2] = [arcs[k].height_mm for k in lowest_plane.arc_number(basis[:, 3])]
    found, stood, share = lowest_plane.descend(supports, basis[None], centre)
    if not np.isfinite(found).all():
        raise Refused("the stiff rotor found no seat to round-off; its supports are all but in one line")
    return _seat(found[0], stood[0], share[0], supports, (arcs, centre, face_radius_mm))


def _outline(
    patches: tuple[Patch, ...],
    face_radius_mm: float,
    holes: Holes | None,
    face_inner_mm: float,
    rings: tuple[tuple[float, float], ...],
) -> list[Arc]:
    """Every arc on which the rotor may bear."""
    arcs = face_arcs(face_radius_mm, patches, holes, face_inner_mm) if not rings else []
    arcs += [Arc(radius, height, 0.0, np.pi, -1) for radius, height in rings]
    for number, patch in enumerate(patches):
        arcs += patch_arcs(patch, number, face_radius_mm, holes)
    if not arcs:
        raise Refused("nothing is left of the hub face for the rotor to bear on")
    return arcs


def _arcs(arcs: list[Arc]) -> lowest_plane.Arcs:
    columns = np.array([[arc.radius_mm, arc.height_mm, arc.middle_rad, arc.half_rad] for arc in arcs]).T
    return lowest_plane.Arcs(*columns)


def _seat(
    found: Floats, basis: Floats, share: Floats, supports: lowest_plane.Arcs, place: tuple[list[Arc], Floats, float]
) -> RigidSeat:
    arcs, centre, reach = place
    slope = found[1:]
    number = lowest_plane.arc_number(basis[:, 3])
    bearing = share > NO_SHARE
    stands = tuple(
        Support(float(x), float(y), float(h), float(part), arcs[k].owner)
        for (x, y, h, _), part, k in zip(basis[bearing], share[bearing], number[bearing], strict=True)
    )
    ends = (slope, slope)
    # Carried by two corners only, the rotor can rock about the line through them; a smooth arc would hold it.
    if bearing.sum() < 3 and not (basis[bearing, 3] >= 0.0).any():
        ends = _rocking(supports, found, basis[bearing], centre, reach)
    middle = (ends[0] + ends[1]) / 2.0
    wide = 2.0 * reach * float(np.hypot(*(ends[1] - ends[0])))
    unique = wide <= 1e-9 * max(float(np.abs(basis[:, 2]).max()), 1e-12)
    if unique:
        middle, ends = slope, (slope, slope)
    height = float(found[0] + slope @ centre)
    return RigidSeat(height, _pair(middle), stands, unique, (_pair(ends[0]), _pair(ends[1])))


def _pair(vector: Floats) -> tuple[float, float]:
    return float(vector[0]), float(vector[1])


def _rocking(
    supports: lowest_plane.Arcs, found: Floats, bearing: Floats, centre: Floats, reach: float
) -> tuple[Floats, Floats]:
    """Lean at both ends of the rocking about the line through two supports (or about one, across the way to it).

    The worst excess is convex in the added lean; from beyond the end, Newton's method walks back onto it.
    """
    line = bearing[-1, :2] - bearing[0, :2] if len(bearing) > 1 else bearing[0, :2]
    pivot = bearing[0, :2]
    across = np.array([-line[1], line[0]]) / np.hypot(*line)
    scale = float(np.ptp(supports.parts[1])) / reach
    ends = []
    for way in (-across, across):
        lean = 100.0 * scale
        for _ in range(100):
            slope = found[1:] + lean * way
            level = found[0] - lean * float(way @ pivot)
            excess, support = supports.worst(np.array([[level, *slope]]))
            gain = -float(way @ (support[0, :2] - pivot))
            if excess[0] <= 1e-13 * scale * reach or lean <= 0.0:
                break
            if gain <= 0.0:
                lean = 0.0
                break
            lean = max(lean - float(excess[0]) / gain, 0.0)
        if lean >= 99.0 * scale:
            raise Refused("the clamp forces act on the edge of what bears: the rotor may rock freely")
        ends.append(found[1:] + lean * way)
    return ends[0], ends[1]


@dataclass(frozen=True)
class RigidRunout:
    """First-order vectors at the gauge radius on the gauge's face, rotor frame; complex, amplitude in um.

    Parameters
    ----------
    seat : RigidSeat
        The lean from what lies between the faces.
    debris_um, hub_face_um, own_um, own_thickness_um : complex
        Shares of the runout; their sum is what the dial sees of a stiff rotor.
    """

    seat: RigidSeat
    debris_um: complex
    hub_face_um: complex
    own_um: complex
    own_thickness_um: complex

    @property
    def total_um(self) -> complex:
        """Sum of the vectors. [um amplitude]."""
        return self.debris_um + self.hub_face_um + self.own_um + self.own_thickness_um

    @property
    def tir_um(self) -> float:
        """Runout that the dial reads. [um TIR]. Closed form of a plane, as `tir_mm`."""
        return 2.0 * abs(self.total_um)


@one_thread
def rigid_runout_um(case: Case) -> float:
    """Lateral runout of a stiff rotor at the gauge radius, on the gauge's face, everything included. [um TIR]."""
    return rigid_runout(case).tir_um


@one_thread
def rigid_runout(case: Case) -> RigidRunout:
    """Runout of a case if nothing could bend or crush.

    Parameters
    ----------
    case : Case
        The corner.

    Returns
    -------
    RigidRunout

    Raises
    ------
    Refused
        No nut is on, or the rotor would rock on what lies there.

    Notes
    -----
    Lengths in mm, runouts in um. Statics of a plane on three supports; three-point figures by hand:
    tests/verification/test_rigid_seating.py.
    """
    rotor, hub, studs = case.rotor, case.hub, case.studs
    gauge_mm = case.gauge_radius_mm
    inner, reach = case.contact_zone_mm
    patches = [_patch(case, debris) for debris in case.debris]
    holes = Holes(studs.count, studs.pitch_radius_mm, rotor.hole_diameter_mm / 2.0)
    # A dish counts once for both faces: hollow ones bear on the rim, crowned ones on their inner edge as well.
    crown = -(hub.face_dish_um + rotor.flange_dish_um) / 1000.0
    rings = ((inner, 0.0), (reach, -crown)) if crown > 0.0 else ()
    seat = seat_rigid(
        patches, reach, clamp_centre_mm(case), holes if rotor.hole_diameter_mm > 0.0 else None, inner, rings
    )
    gx, gy = seat.slope_xy
    # c of Re(c exp(i theta)) for g . x = r (gx cos + gy sin), then into the rotor's frame: theta_hub = theta + turned.
    to_rotor = np.exp(1j * np.radians(studs.turned_deg))
    outboard = 1.0 if case.gauge.face == "outboard" else -1.0
    hub_um = turn.coefficient(hub.face_runout_um / 2.0, hub.face_high_spot_deg) * gauge_mm / hub.read_radius_mm
    own_um = (
        turn.coefficient(rotor.own_runout_um / 2.0, rotor.own_high_spot_deg) * gauge_mm / rotor.own_runout_read_at_mm
    )
    thick_um = turn.coefficient(outboard * rotor.own_thickness_variation_um / 4.0, rotor.own_thick_spot_deg)
    return RigidRunout(
        seat=seat,
        debris_um=complex((gx - 1j * gy) * gauge_mm * 1000.0 * to_rotor),
        hub_face_um=complex(hub_um * to_rotor),
        own_um=own_um,
        own_thickness_um=thick_um,
    )


def _patch(case: Case, debris: Debris) -> Patch:
    """Dirt where hub and rotor can touch: what of it lies in the recess or under the bore bears nothing."""
    low, high = case.contact_zone_mm
    inner, outer = max(debris.inner_radius_mm, low), debris.outer_radius_mm
    if outer <= inner:
        inner = outer = 2.0 * high  # beyond the face, where nothing bears; the numbers of the others stay
    return Patch(inner, outer, case.hub_angle_deg(debris), debris.arc_deg, debris.height_um / 1000.0)


@one_thread
def clamp_centre_mm(case: Case) -> tuple[float, float]:
    """Where the stud forces act together, hub frame; preloads rule, else torques (all studs alike otherwise). [mm].

    Where one screw holds the rotor, its place.

    Raises
    ------
    Refused
        If no nut is on.
    BadInput
        If the numbers are not one per stud.

    Notes
    -----
    Statics: the place at which one force has the studs' moments.
    """
    studs = case.studs
    if studs.clamped_by == "screw only":
        at = np.deg2rad(studs.screw_deg)
        return studs.pitch_radius_mm * float(np.cos(at)), studs.pitch_radius_mm * float(np.sin(at))
    given = studs.preload_n if studs.preload_n is not None else studs.torque_nm
    force = np.atleast_1d(np.asarray(1.0 if given is None else given, dtype=float))
    if force.size == 1:
        force = np.full(studs.count, force[0])
    if force.size != studs.count:
        raise BadInput(Fault(f"{force.size} values for {studs.count} studs", key="torque_nm"))
    if not force.sum() > 0.0:
        raise Refused("no nut is on: nothing holds the rotor against the hub")
    angle = 2.0 * np.pi * np.arange(studs.count) / studs.count
    radius = studs.pitch_radius_mm
    return (
        radius * float(force @ np.cos(angle)) / float(force.sum()),
        radius * float(force @ np.sin(angle)) / float(force.sum()),
    )
