"""Room of the bore on the spigot, by geometry alone: how far it can be pushed about, or how much it is too tight.

The bore stands at a sideways shift t of the rotor. At the angle theta its gap is ``clearance - scale + t . n(theta)``.
Where some t leaves no gap negative the rotor is free within a convex region; else it is wedged by the largest gap that
can be had, taken negative.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from sim.arrays import Floats
from sim.one_thread import one_thread
from sim.parts.case import Case, SpigotScale
from sim.units import shortest_rad

# Bevel of the bore's edge, 45 degrees: judgement, 0.5 .. 1.5 mm is usual. Scale no higher than it lies in the root.
CHAMFER_MM = 1.0
STEPS = 240
JUST_OVER_MM = 1e-6
#: More play than this on diameter centres nothing: loose running fits of such a bore leave 0.03 to 0.25 mm (ISO 286-2,
#: H8/f7 to H9/d9, from memory). Judgement, 0.3 to 1. [mm]
UNCENTRED_MM = 0.5
#: More than this is told: a free running fit of such a bore leaves 0.06 to 0.15 mm (ISO 286-2, H8/e8, from memory).
#: Judgement, 0.1 to 0.2. [mm]
LOOSE_MM = 0.15
CENTRAL_UM = 1.0  # an axis this near the spigot's stands on it: less than any workshop dial reads; judgement


@dataclass(frozen=True)
class FreePlay:
    """What geometry says of the fit; shifts of the rotor against the spigot's axis.

    Parameters
    ----------
    most_um, least_um : float
        Movement from stop to stop along the loosest and along the tightest direction; 0 where wedged. [um]
    off_centre_um : tuple of float
        Smallest and largest distance of the rotor's axis from the spigot's. [um]
    hung_um : tuple of float
        The same for a rotor that hangs on its spigot, over all ways in which the hub may have stood. [um]
    wedge_um : float
        How much the bore is too tight, on radius; 0 where it is free. [um]
    middle_mm : tuple of float
        Shift with most room on all sides, or least overlap. [mm]
    """

    most_um: float
    least_um: float
    off_centre_um: tuple[float, float]
    hung_um: tuple[float, float]
    wedge_um: float
    middle_mm: tuple[float, float]

    @property
    def wedged(self) -> bool:
        """Whether the bore cannot go on without giving way."""
        return self.wedge_um > 0.0

    @property
    def off_centre_deg(self) -> float | None:
        """Hub angle towards which the rotor must stand off centre; None where it may be central. [deg]."""
        return None if self.off_centre_um[0] < CENTRAL_UM else direction_deg(*self.middle_mm)


def clearance_mm(case: Case) -> float:
    """Clearance of bore and spigot on radius; negative for a tight fit. [mm]. By definition."""
    return (case.rotor.bore_diameter_mm - case.hub.spigot_diameter_mm) / 2


def uncentred(case: Case) -> str:
    """Say that the spigot does not centre this rotor, by how much; empty where it does.

    Examples
    --------
    >>> from sim.parts.case import Case, Rotor
    >>> uncentred(Case(rotor=Rotor(bore_diameter_mm=72.6)))[:66]
    'bore of 72.6 mm and spigot of 64.94 mm leave 7.7 mm: the spigot do'
    >>> uncentred(Case())
    ''
    """
    gap_mm = 2.0 * clearance_mm(case)
    if gap_mm <= UNCENTRED_MM:
        return ""
    bore, spigot = case.rotor.bore_diameter_mm, case.hub.spigot_diameter_mm
    return (
        f"bore of {bore:g} mm and spigot of {spigot:g} mm leave {gap_mm:.1f} mm: the spigot does not centre this "
        "rotor. Another car's rotor, or a ring that is missing? Check it by part number; how it is centred the "
        "vehicle maker says"
    )


def loosely_centred(case: Case) -> str:
    """Say how far a rotor may sit off centre on a loose spigot, and what that does; empty for a tight or a wide one.

    Geometry: off centre by half the play, the rim runs out radially by all of it. [mm].
    Where scale or a fit is given the state on the spigot says it.

    Examples
    --------
    >>> from sim.parts.case import Case, Rotor
    >>> loosely_centred(Case(rotor=Rotor(bore_diameter_mm=65.24)))[:84]
    'bore and spigot leave 0.30 mm: the rotor may sit 0.15 mm off centre; that is radial '
    >>> loosely_centred(Case())
    ''
    """
    gap_mm = 2.0 * clearance_mm(case)
    if case.spigot_scale or case.hub.spigot_fit or not LOOSE_MM < gap_mm <= UNCENTRED_MM:
        return ""
    return (
        f"bore and spigot leave {gap_mm:.2f} mm: the rotor may sit {gap_mm / 2.0:.2f} mm off centre; that is radial "
        f"runout, {gap_mm:.2f} mm at its rim, and unbalance, which shakes the faster the car goes, braked or not, and "
        "no lateral runout: no dial on its face shows it. Check the part by its number; how it is centred the vehicle "
        "maker says"
    )


def in_root(scale: SpigotScale) -> bool:
    """Whether scale lies so low in the root that only the bore's chamfer can meet it."""
    return scale.to_face_mm <= CHAMFER_MM


def root_overlap_mm(case: Case, scale: SpigotScale) -> float:
    """How far the chamfer is held off the face by scale in the root that does not give; 0 where it clears it. [mm].

    Geometry of a 45 degree bevel; its size is judgement (`CHAMFER_MM`).
    """
    return max(scale.to_face_mm + scale.height_um / 1000.0 - clearance_mm(case) - CHAMFER_MM, 0.0)


def scale_at_mm(case: Case, angle_rad: Floats, band_mm: tuple[float, float] | None = None) -> Floats:
    """Thickest scale within an axial band of the spigot, at given angles; root scale left out. [mm]. Geometry."""
    return _scale_mm(case.spigot_scale, angle_rad, band_mm or (0.0, bore_reach_mm(case)))


def _scale_mm(scales: tuple[SpigotScale, ...], angle_rad: Floats, band_mm: tuple[float, float]) -> Floats:
    """Thickest scale within a band, at given angles. [mm]. Geometry."""
    low, high = band_mm
    height = np.zeros(angle_rad.shape)
    for scale in scales:
        if in_root(scale) or scale.from_face_mm >= high or scale.to_face_mm <= low:
            continue
        away = np.abs(shortest_rad(angle_rad - np.deg2rad(scale.angle_deg)))
        inside = away <= np.deg2rad(scale.arc_deg) / 2 + 1e-9
        height = np.where(inside, np.maximum(height, scale.height_um / 1000.0), height)
    return height


def bore_reach_mm(case: Case) -> float:
    """How far from the face the bore and the spigot can touch when the rotor is home. [mm]."""
    return min(case.rotor.flange_thickness_mm, case.hub.spigot_length_mm)


@lru_cache(maxsize=32)
def room(case: Case) -> FreePlay:
    """Free play of a case, remembered: one state asks for it many times."""
    return free_play(case)


def wedge_mm(case: Case) -> float:
    """How much the bore is too tight on radius; nothing is solved where no scale is higher than the clearance. [mm].

    Geometry: as `free_play`.
    """
    tops = [s.height_um for s in case.spigot_scale if not in_root(s)]
    if max(tops, default=0.0) <= 1000.0 * clearance_mm(case):
        return 0.0
    return room(case).wedge_um / 1000.0


def way_mm(case: Case) -> float:
    """How much the bore is too tight somewhere on its way home, where it covers other scale than at home. [mm].

    What a bore covers changes as its outboard edge passes the beginning of some scale; only there it can grow.

    Geometry: as `free_play`, place by place.
    """
    flange = case.rotor.flange_thickness_mm
    every = [scale for scale in case.spigot_scale if not in_root(scale)]
    if max((scale.height_um for scale in every), default=0.0) <= 1000.0 * clearance_mm(case):
        return 0.0
    lifts = {scale.from_face_mm - flange + JUST_OVER_MM for scale in every}
    plays = [free_play(case, (lift, lift + flange)) for lift in sorted(lifts) if lift > 0.0]
    return max((play.wedge_um for play in plays), default=0.0) / 1000.0


def hindrance(case: Case) -> str:
    """Say by geometry alone how scale on the spigot has a say in the seating; empty where the hub face alone decides.

    Parameters
    ----------
    case : Case

    Returns
    -------
    str
        Words for a message. Empty where the bore has room, off centre or not, and its chamfer clears the scale in the
        root: then scale makes no lateral runout under any clamping.

    Notes
    -----
    Lengths in um.
    """
    if (tight := wedge_mm(case)) > 0.0:
        return f"scale on the spigot makes the bore {1000.0 * tight:.0f} µm too tight on radius"
    if (held := root_mm(case)) > 0.0:
        return f"scale in the root of the spigot meets the bore's chamfer {1000.0 * held:.0f} µm before the faces meet"
    if (tight := way_mm(case)) > 0.0:
        return f"the bore has to be pushed over scale that it is {1000.0 * tight:.0f} µm too tight for on radius"
    return ""


def root_mm(case: Case) -> float:
    """How far all scale in the root together holds the chamfer off the face; 0 where it clears it. [mm]."""
    return max((root_overlap_mm(case, scale) for scale in case.spigot_scale if in_root(scale)), default=0.0)


def direction_deg(x: float, y: float) -> float:
    """Angle of a shift, 0 .. 360. [deg]."""
    return float(np.rad2deg(np.arctan2(y, x)) % 360.0)


@one_thread
def free_play(case: Case, band_mm: tuple[float, float] | None = None) -> FreePlay:
    """Room of a rotor that is home, or how much its bore is too tight.

    Parameters
    ----------
    case : Case
    band_mm : tuple of float, optional
        What the bore covers of the spigot, from the hub face, where it is not home. [mm]

    Returns
    -------
    FreePlay

    Notes
    -----
    Geometry of a circle among obstacles: a linear programme over its shifts.
    """
    return _play(clearance_mm(case), case.spigot_scale, band_mm or (0.0, bore_reach_mm(case)))


@lru_cache(maxsize=128)
def _play(clearance: float, scales: tuple[SpigotScale, ...], band_mm: tuple[float, float]) -> FreePlay:
    """Free play of a bore of some clearance [mm] over scale; remembered: corners that are varied mostly share it.

    Geometry; sizes in the units of `FreePlay` [um, mm].
    """
    angle = np.linspace(0.0, 2 * np.pi, STEPS, endpoint=False)
    edges = [np.deg2rad(s.angle_deg + side * s.arc_deg / 2) for s in scales for side in (-1, 1)]
    angle = np.concatenate([angle, edges])
    gap = clearance - _scale_mm(scales, angle, band_mm)
    normal = np.column_stack([np.cos(angle), np.sin(angle)])
    middle, room = most_room(gap, normal)
    if room <= 1e-9:
        return FreePlay(
            0.0,
            0.0,
            (1000 * float(np.hypot(*middle)),) * 2,
            (1000 * float(np.hypot(*middle)),) * 2,
            -1000.0 * min(room, 0.0),
            (float(middle[0]), float(middle[1])),
        )
    corners = _corners(gap, normal, middle)
    reach = normal[:STEPS] @ corners.T
    width = reach.max(axis=1) - reach.min(axis=1)
    off = np.hypot(*corners.T)
    hung = off[np.argmin(reach, axis=1)]
    return FreePlay(
        most_um=1000.0 * float(width.max()),
        least_um=1000.0 * float(width.min()),
        off_centre_um=(1000.0 * _nearest(gap, normal), 1000.0 * float(off.max())),
        hung_um=(1000.0 * float(hung.min()), 1000.0 * float(hung.max())),
        wedge_um=0.0,
        middle_mm=(float(middle[0]), float(middle[1])),
    )


def most_room(gap_mm: Floats, normal: Floats) -> tuple[Floats, float]:
    """Shift that leaves the largest smallest gap, and that gap. [mm].

    Geometry of a circle among obstacles: a linear programme.
    """
    from scipy.optimize import linprog  # slow to load, and a bare spigot asks for none of it

    count = gap_mm.size
    size = float(np.abs(gap_mm).max()) or 1.0
    found = linprog(
        [0.0, 0.0, -1.0],
        A_ub=np.column_stack([-normal, np.ones(count)]),
        b_ub=gap_mm / size,
        bounds=[(None, None)] * 3,
        method="highs",
    )
    return found.x[:2] * size, float(found.x[2]) * size


def _corners(gap_mm: Floats, normal: Floats, inside: Floats) -> Floats:
    """Corners of the region within which the rotor's axis can lie. Shape (corners, 2). [mm]."""
    from scipy.spatial import HalfspaceIntersection, QhullError

    try:
        return np.asarray(HalfspaceIntersection(np.column_stack([-normal, -gap_mm]), inside).intersections)
    except QhullError:
        return np.asarray(inside)[None, :]  # no room worth the name


def _nearest(gap_mm: Floats, normal: Floats) -> float:
    """Smallest distance of the rotor's axis from the spigot's. [mm].

    The region is cut by half planes, so the nearest point lies on one of them, or is the centre itself.
    """
    if gap_mm.min() >= 0:
        return 0.0
    foot = -normal * gap_mm[:, None]
    allowed = (gap_mm[:, None] + normal @ foot.T).min(axis=0) >= -1e-9
    candidates = np.hypot(*foot[allowed & (gap_mm < 0)].T)
    if candidates.size:
        return float(candidates.min())
    middle, _ = most_room(gap_mm, normal)
    corners = _corners(gap_mm, normal, middle)
    return float(np.hypot(*corners.T).min())
