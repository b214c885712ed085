"""Display meshes of the parts: revolved, lightly chamfered, evenly meshed to bend smoothly; not computed with.

Stud holes are left out (the nuts cover them). A window can be cut into the hat so that the hub face is seen.
All meshes are in the hub frame: z outboard, hub face at z = 0, stud 1 on the x axis. Lengths in mm. The mesh library
loads where a mesh is made: who only asks for heights or outlines does without it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np

from sim.arrays import Floats
from sim.parts.case import Case, Debris, Hub, Rotor, Studs

if TYPE_CHECKING:
    import pyvista as pv

Point = tuple[float, float]

STEP_MM = 5.0
"""Longest edge of a section's outline after resampling: fine enough for the second and third harmonic."""
CHAMFER_MM = 1.0
WEDGE_DEG = 40.0
"""Width of the wedge cut out of the hat, where the nuts leave that much."""
NUT_MARGIN_DEG = 1.5


@dataclass(frozen=True)
class Levels:
    """Heights that pictures need, in mm."""

    flange_top_mm: float
    outboard_face_mm: float
    inboard_face_mm: float
    gauge_radius_mm: float


def levels(case: Case) -> Levels:
    """Axial heights of the rotor's faces and the radius that the dial reads, in mm."""
    rotor = case.rotor
    inboard = rotor.flange_thickness_mm - rotor.overall_height_mm
    gauge = rotor.outer_diameter_mm / 2.0 - case.gauge.from_edge_mm
    return Levels(rotor.flange_thickness_mm, inboard + rotor.thickness_mm, inboard, gauge)


def hat_outline(rotor: Rotor) -> list[Point]:
    """Section of flange and hat wall, counter-clockwise (r, z), in mm."""
    bore, outer = rotor.bore_diameter_mm / 2.0, rotor.hat_outer_diameter_mm / 2.0
    inner, top = outer - rotor.hat_wall_mm, rotor.flange_thickness_mm
    foot = top - rotor.overall_height_mm + rotor.thickness_mm
    return [(bore, 0.0), (inner, 0.0), (inner, foot), (outer, foot), (outer, top), (bore, top)]


def ring_outlines(rotor: Rotor) -> list[list[Point]]:
    """Sections of the friction ring: one plate, or two cheeks. Counter-clockwise (r, z), in mm."""
    outer, low = rotor.outer_diameter_mm / 2.0, rotor.flange_thickness_mm - rotor.overall_height_mm
    high, ring_inner = low + rotor.thickness_mm, rotor.ring_inner_diameter_mm / 2.0
    hat_inner = rotor.hat_outer_diameter_mm / 2.0 - rotor.hat_wall_mm
    if rotor.style != "vented":
        return [rectangle(min(ring_inner, hat_inner), outer, low, high)]
    cheek = rotor.cheek_thickness_mm or rotor.thickness_mm / 3.0
    return [rectangle(hat_inner, outer, high - cheek, high), rectangle(ring_inner, outer, low, low + cheek)]


def hub_outline(hub: Hub) -> list[Point]:
    """Section of the hub: flange, recess round the spigot, spigot, barrel. Counter-clockwise (r, z), in mm."""
    inner, barrel = hub.barrel_inner_diameter_mm / 2.0, hub.barrel_outer_diameter_mm / 2.0
    rim, rear = hub.face_diameter_mm / 2.0, -hub.flange_thickness_mm
    spigot, recess = hub.spigot_diameter_mm / 2.0, hub.face_inner_diameter_mm / 2.0
    end = rear - hub.barrel_length_mm
    outline = [(inner, end), (barrel, end), (barrel, rear), (rim, rear), (rim, 0.0)]
    if recess > spigot + 0.3:
        outline += [(recess, 0.0), (recess, -1.0), (spigot, -1.0)]
    else:
        outline += [(spigot, 0.0)]
    return [*outline, (spigot, hub.spigot_length_mm), (inner, hub.spigot_length_mm)]


def rectangle(r_low: float, r_high: float, z_low: float, z_high: float) -> list[Point]:
    """Rectangle, counter-clockwise (r, z)."""
    return [(r_low, z_low), (r_high, z_low), (r_high, z_high), (r_low, z_high)]


def chamfered(outline: list[Point], size: float = CHAMFER_MM) -> list[Point]:
    """Cut the outer corners of a counter-clockwise outline; inner corners stay sharp."""
    points = np.asarray(outline, dtype=float)
    result: list[Point] = []
    for before, here, after in zip(np.roll(points, 1, 0), points, np.roll(points, -1, 0), strict=True):
        back, ahead = before - here, after - here
        turns_left = -back[0] * ahead[1] + back[1] * ahead[0] > 0
        cut = min(size, float(np.linalg.norm(back)) / 3.0, float(np.linalg.norm(ahead)) / 3.0)
        if not turns_left or cut < 0.2:
            result.append((float(here[0]), float(here[1])))
            continue
        for leg in (back, ahead):
            corner = here + cut * leg / np.linalg.norm(leg)
            result.append((float(corner[0]), float(corner[1])))
    return result


def resampled(outline: list[Point], step: float = STEP_MM) -> Floats:
    """Outline with points added so that no edge is longer than ``step``. Shape (n, 2)."""
    points = np.asarray(outline, dtype=float)
    pieces = []
    for start, end in zip(points, np.roll(points, -1, 0), strict=True):
        count = max(1, math.ceil(float(np.linalg.norm(end - start)) / step))
        pieces.append(start + np.linspace(0.0, 1.0, count, endpoint=False)[:, None] * (end - start))
    return np.vstack(pieces)


def revolve(outline: list[Point], from_deg: float = 0.0, to_deg: float = 360.0, step_deg: float = 2.0) -> pv.PolyData:
    """Turn an outline round z; a part turn gets flat end caps.

    Parameters
    ----------
    outline : list of (r, z)
        Counter-clockwise, without the closing point. [mm]
    from_deg, to_deg : float
        Angles, right-handed about z. [deg]
    step_deg : float, default 2
        Angle between sections. [deg]

    Returns
    -------
    pyvista.PolyData
        Quads outward; caps are triangles.
    """
    import pyvista as pv

    section = resampled(outline)
    whole = abs(to_deg - from_deg) >= 360.0 - 1e-9
    count = max(3, math.ceil(abs(to_deg - from_deg) / step_deg))
    angle = np.deg2rad(np.linspace(from_deg, to_deg, count + (0 if whole else 1), endpoint=not whole))
    r, z = section[:, 0], section[:, 1]
    points = np.stack(
        [np.outer(np.cos(angle), r), np.outer(np.sin(angle), r), np.broadcast_to(z, (angle.size, z.size))], axis=-1
    ).reshape(-1, 3)
    size = section.shape[0]
    here = np.arange(count)[:, None] * size + np.arange(size)[None, :]
    along = np.arange(count)[:, None] * size + (np.arange(size)[None, :] + 1) % size
    ahead = (np.arange(count) + 1) % angle.size
    there = ahead[:, None] * size + np.arange(size)[None, :]
    both = ahead[:, None] * size + (np.arange(size)[None, :] + 1) % size
    quads = np.stack([np.full(here.shape, 4), here, there, both, along], axis=-1).reshape(-1, 5)
    mesh = pv.PolyData(points, quads.ravel())
    if whole:
        return mesh
    return mesh.append_polydata(_cap(section, from_deg, False), _cap(section, to_deg, True))


def _cap(section: Floats, angle_deg: float, far: bool) -> pv.PolyData:
    """Flat end of a part turn, meshed by ear clipping of the outline."""
    import pyvista as pv

    angle = math.radians(angle_deg)
    points = np.column_stack([section[:, 0] * math.cos(angle), section[:, 0] * math.sin(angle), section[:, 1]])
    order = np.arange(len(points))[::-1] if far else np.arange(len(points))
    return pv.PolyData(points, np.r_[len(points), order]).triangulate()


def rotor_meshes(rotor: Rotor, window_deg: tuple[float, float] | None = None) -> list[pv.PolyData]:
    """Rotor as display meshes: hat (with a window, if asked for), ring plates, vanes.

    Parameters
    ----------
    rotor : Rotor
        The part.
    window_deg : tuple of float, optional
        Angles between which the hat is cut open, counter-clockwise from the first to the second. [deg]

    Returns
    -------
    list of pyvista.PolyData
        Separate meshes, each closed, hat first.
    """
    hat = chamfered(hat_outline(rotor))
    if window_deg is None:
        meshes = [revolve(hat)]
    else:
        start, end = window_deg
        meshes = [revolve(hat, end, start + 360.0)]
    meshes += [revolve(chamfered(plate)) for plate in ring_outlines(rotor)]
    if rotor.style == "vented" and rotor.vane_count:
        meshes += [vanes(rotor, rotor.vane_count)]
    return meshes


def wedge_deg(studs: Studs, at_deg: float, widest_deg: float = WEDGE_DEG) -> tuple[float, float]:
    """Hub angles between which the hat may be cut open beside a place, metal left under every nut.

    Parameters
    ----------
    studs : Studs
        Their count, circle and seats.
    at_deg : float
        Place that is to be seen. [deg]
    widest_deg : float
        No wider than this. [deg]

    Returns
    -------
    tuple of float
        From, to; between the two nuts beside the place. [deg]

    Examples
    --------
    >>> from sim.parts.case import Studs
    >>> wedge_deg(Studs(), 36.0)
    (16.0, 56.0)
    """
    pitch = 360.0 / studs.count
    seat = math.degrees(math.asin(min(0.9, studs.seat_outer_diameter_mm / studs.pitch_circle_mm))) + NUT_MARGIN_DEG
    first = pitch * math.floor(at_deg / pitch)
    low, high = first + seat, first + pitch - seat
    wide = max(min(widest_deg, high - low), 0.2 * pitch)
    middle = min(max(at_deg, low + wide / 2.0), high - wide / 2.0) if high - low >= wide else first + pitch / 2.0
    return middle - wide / 2.0, middle + wide / 2.0


def cut_faces(rotor: Rotor, window_deg: tuple[float, float]) -> list[tuple[pv.PolyData, pv.PolyData]]:
    """The two faces of a wedge cut out of the hat, each with its hatching, lifted a hair's breadth off the metal."""
    section = resampled(chamfered(hat_outline(rotor)))
    faces = []
    for angle, far in ((window_deg[0], True), (window_deg[1], False)):
        turned = math.radians(angle)
        off = (0.08 if far else -0.08) * np.array([-math.sin(turned), math.cos(turned), 0.0])
        face, lines = _cap(section, angle, far), hatching(section, angle)
        faces.append((face.translate(off), lines.translate(1.8 * off)))
    return faces


def hatching(section: Floats, angle_deg: float, apart_mm: float = 3.2) -> pv.PolyData:
    """Lines at 45 degrees across a section (r, z) that stands at an angle."""
    import pyvista as pv

    r, z = section[:, 0], section[:, 1]
    level, after = z - r, np.roll(z - r, -1)
    ends: list[tuple[float, float]] = []
    for c in np.arange(level.min() + 0.5 * apart_mm, level.max(), apart_mm):
        crossed = np.flatnonzero((level - c) * (after - c) < 0.0)
        share = (c - level[crossed]) / (after[crossed] - level[crossed])
        at = np.sort(r[crossed] + share * (np.roll(r, -1)[crossed] - r[crossed]))
        ends += [(float(x), float(x + c)) for x in at[: 2 * (len(at) // 2)]]
    flat, turned = np.array(ends).reshape(-1, 2), math.radians(angle_deg)
    points = np.column_stack([flat[:, 0] * math.cos(turned), flat[:, 0] * math.sin(turned), flat[:, 1]])
    count = len(points) // 2
    lines = np.column_stack([np.full(count, 2), 2 * np.arange(count), 2 * np.arange(count) + 1])
    return pv.PolyData(points, lines=lines.ravel())


def hat_piece(rotor: Rotor, window_deg: tuple[float, float]) -> pv.PolyData:
    """The wedge that was cut out of the hat, its own faces left open so that it can be faded."""
    return revolve(chamfered(hat_outline(rotor)), *window_deg)


def vanes(rotor: Rotor, count: int) -> pv.PolyData:
    """Straight radial vanes between the cheeks of a vented rotor."""
    import pyvista as pv

    cheeks = ring_outlines(rotor)
    top, bottom = cheeks[0][0][1], cheeks[1][2][1]
    inner = (rotor.vane_inner_diameter_mm or rotor.ring_inner_diameter_mm) / 2.0
    outer = (rotor.vane_outer_diameter_mm or rotor.outer_diameter_mm) / 2.0
    half = (rotor.vane_thickness_mm or 5.0) / 2.0
    box = pv.Box((inner, outer, -half, half, bottom - 0.01, top + 0.01)).triangulate().subdivide(2)
    return pv.merge([box.rotate_z(360.0 * i / count) for i in range(count)])


def hub_mesh(hub: Hub) -> pv.PolyData:
    """Hub as one display mesh."""
    return revolve(chamfered(hub_outline(hub), 0.8))


def stud_angles_deg(studs: Studs) -> Floats:
    """Angles of the studs, hub frame, stud 1 at 0. Shape (count,), in degrees."""
    return np.arange(studs.count) * 360.0 / studs.count


def nut_mesh(studs: Studs, index: int, seat_mm: float, part: str = "both") -> pv.PolyData:
    """Stud through the flange and nut on it at ``seat_mm``; hexagon about 1.5 thread diameters across the flats.

    Parameters
    ----------
    studs : Studs
    index : int
        Which, 0 for stud 1.
    seat_mm : float
        Height of the seat. [mm]
    part : str
        ``both``, ``nut`` or ``stud``.
    """
    upright = _one_nut(thread_mm(studs.thread), studs.seat_outer_diameter_mm, seat_mm, part)
    whole = upright.translate((studs.pitch_circle_mm / 2.0, 0.0, seat_mm))
    return whole.rotate_z(float(stud_angles_deg(studs)[index]))


@lru_cache(maxsize=8)
def _one_nut(thread: float, collar_mm: float, seat_mm: float, part: str) -> pv.PolyData:
    """Nut and stud at the origin, alike for all studs; who asks moves a copy of it."""
    import pyvista as pv

    collar = cylinder((0.0, 0.0, 0.0), collar_mm / 2.0, 3.0, 36)
    hexagon = cylinder((0.0, 0.0, 3.0), 0.866 * thread, 0.9 * thread, 6)
    end = cylinder((0.0, 0.0, -seat_mm), thread / 2.0, seat_mm + 1.5 * thread, 24)
    pieces = {"both": (collar, hexagon, end), "nut": (collar, hexagon), "stud": (end,)}[part]
    return pv.merge([piece.triangulate() for piece in pieces])


def cylinder(foot_mm: tuple[float, float, float], radius_mm: float, height_mm: float, sides: int) -> pv.PolyData:
    """Upright cylinder (or prism) standing on ``foot_mm``."""
    import pyvista as pv

    x, y, z = foot_mm
    return pv.Cylinder(
        center=(x, y, z + height_mm / 2.0), direction=(0, 0, 1), radius=radius_mm, height=height_mm, resolution=sides
    )


def thread_mm(thread: str) -> float:
    """Nominal diameter in a thread's name, 12 where it cannot be read, in mm."""
    digits = thread.upper().lstrip("M").split("X")[0]
    try:
        return float(digits)
    except ValueError:
        return 12.0


def debris_mesh(debris: Debris, step_deg: float = 1.5) -> pv.PolyData:
    """Patch as a slab from z = 0 to z = 1; the stage stretches its height.

    The point array ``top`` tells which points lie on the upper side. A round patch is a disc.
    """
    if debris.shape == "round":
        middle = 0.5 * (debris.inner_radius_mm + debris.outer_radius_mm)
        disc = cylinder((middle, 0.0, 0.0), 0.5 * (debris.outer_radius_mm - debris.inner_radius_mm), 1.0, 36)
        disc = disc.rotate_z(debris.angle_deg)
        disc["top"] = disc.points[:, 2] > 0.5
        return disc
    flat = rectangle(debris.inner_radius_mm, debris.outer_radius_mm, 0.0, 1.0)
    half = debris.arc_deg / 2.0
    mesh = revolve(flat, debris.angle_deg - half, debris.angle_deg + half, min(step_deg, debris.arc_deg / 4.0))
    mesh["top"] = mesh.points[:, 2] > 0.5
    return mesh


def pad_meshes(
    case: Case, centre_deg: float, outboard: bool, band_mm: tuple[float, float]
) -> tuple[pv.PolyData, pv.PolyData]:
    """Lining and backing plate of one pad, its rubbing side at z = 0, body away from the rotor.

    Parameters
    ----------
    case : Case
        For the pads' arc and thickness.
    centre_deg : float
        Where the caliper stands. [deg]
    outboard : bool
        The outboard pad extends toward + z.
    band_mm : tuple of float
        Inner and outer radius. [mm]

    Returns
    -------
    tuple of pyvista.PolyData
        Lining, backing plate.
    """
    side = 1.0 if outboard else -1.0
    half, thick = case.pads.arc_deg / 2.0, case.pads.thickness_mm
    slabs = []
    for start, end, shrink in ((0.0, thick, 0.0), (thick, thick + 5.5, -1.5)):
        low, high = sorted((side * start, side * end))
        outline = chamfered(rectangle(band_mm[0] + shrink, band_mm[1] - shrink, low, high), 0.8)
        slabs.append(revolve(outline, centre_deg - half + shrink, centre_deg + half - shrink))
    return slabs[0], slabs[1]


def rim_mark(rotor: Rotor, angle_deg: float) -> pv.PolyData:
    """Patch laid on the rim and the edge of the outboard face, to mark a place such as the high spot."""
    radius, high = rotor.outer_diameter_mm / 2.0, rotor.flange_thickness_mm - rotor.overall_height_mm
    high += rotor.thickness_mm
    low = high - rotor.thickness_mm
    outline = [(radius - 9.0, high), (radius, high), (radius, low), (radius + 0.9, low), (radius + 0.9, high + 0.6),
               (radius - 9.0, high + 0.6)]  # fmt: skip
    return revolve(outline, angle_deg - 3.0, angle_deg + 3.0, 1.0)


def pad_band(case: Case) -> tuple[float, float]:
    """Inner and outer radius of the pads; where not given, just inside the friction faces, in mm."""
    inner, outer = case.rotor.friction_inner_diameter_mm / 2.0, case.rotor.outer_diameter_mm / 2.0
    return case.pads.inner_radius_mm or inner + 1.5, case.pads.outer_radius_mm or outer - 1.5
