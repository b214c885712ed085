"""Watertight bodies of the parts, for pictures, sections and export: drawn to the same numbers that are computed with.

All lengths in mm, z outboard, hub face and rotor mounting face at z = 0, stud 1 at angle 0. Shapes that the case does
not give (nut, washer, stud head, back plate, rounded pad corners) are generic and our own. Circles are polygons with
their corners on the true circle, so a body is smaller than the real one by 5e-5 of its volume at 360 sections.
"""

from __future__ import annotations

import manifold3d
import numpy as np
import trimesh

from sim.arrays import Floats
from sim.errors import BadInput, Fault
from sim.parts.case import Case, Debris, Hub, Rotor, SpigotScale, Studs
from sim.parts.fastener import has_bolts, road_engagement_mm
from sim.parts.pad_band import pad_band
from sim.parts.threads import nominal_diameter_mm

SECTIONS = 360  # facets of a turn; volume within 5e-5 of a round one
HOLE_SECTIONS = 48  # facets of a stud or hole
# Generic fastener, in thread diameters: nut across flats and height, stud head, end of the stud beyond the nut.
NUT_ACROSS_FLATS = 1.5
NUT_HEIGHT = 1.2
HEAD_RADIUS = 0.75
HEAD_HEIGHT = 0.3
STUD_BEYOND_NUT = 0.5
WASHER_MM = 3.0
BACK_PLATE_MM = 5.0
# The back plate stands out over the lining by this much all round, and both have round corners.
PLATE_MARGIN_MM = 2.0
PAD_CORNER_MM = 6.0
RECESS_DEPTH_MM = 0.6
SPIGOT_CHAMFER_MM = 1.0


def rotor_solid(
    rotor: Rotor,
    studs: Studs,
    sections: int = SECTIONS,
    bore_chamfer_mm: float = 0.0,
    refine_mm: float | None = None,
) -> trimesh.Trimesh:
    """Rotor: hat, friction ring (solid, or two cheeks with straight vanes), bore and stud holes.

    Parameters
    ----------
    rotor : Rotor
        Its dimensions.
    studs : Studs
        How many holes, on which circle.
    sections : int
        Points round the circle.
    bore_chamfer_mm : float
        Chamfer of the bore at the mounting face. [mm]
    refine_mm : float, optional
        Longest edge of the section's outline, so that flat faces bend smoothly when displaced. [mm]

    Returns
    -------
    trimesh.Trimesh
        One watertight body; mounting face at z = 0.

    Raises
    ------
    BadInput
        If a vented rotor lacks its cheeks or vanes, or the dimensions do not make one body.
    """
    vented = rotor.style == "vented"
    body = _turned(_rotor_section(rotor, bore_chamfer_mm), sections, refine_mm)
    if vented:
        body = body + _vanes(rotor, sections)
    if rotor.hole_diameter_mm > 0.0:
        body = body - _holes(rotor.hole_diameter_mm, studs, -1.0, rotor.flange_thickness_mm + 1.0)
    return _one_body(body, "rotor")


def _rotor_section(rotor: Rotor, bore_chamfer_mm: float) -> manifold3d.CrossSection:
    """Section of the rotor in the r-z plane, without vanes and holes."""
    bore, hat = rotor.bore_diameter_mm / 2.0, rotor.hat_outer_diameter_mm / 2.0
    inside = hat - rotor.hat_wall_mm
    inner, outer = rotor.ring_inner_diameter_mm / 2.0, rotor.outer_diameter_mm / 2.0
    top = rotor.flange_thickness_mm
    inboard = top - rotor.overall_height_mm
    outboard = inboard + rotor.thickness_mm
    section = _box(bore, hat, 0.0, top)
    if rotor.style == "vented":
        cheek = _vent(rotor)[0]
        section += _box(inside, hat, outboard - cheek, top)
        section += _box(inside, outer, outboard - cheek, outboard)
        section += _box(inner, outer, inboard, inboard + cheek)
    else:
        section += _box(inside, hat, inboard, top)
        section += _box(inner, outer, inboard, outboard)
    if bore_chamfer_mm > 0.0:
        c = bore_chamfer_mm
        section -= _polygon([(bore - c, -c), (bore + 2.0 * c, -c), (bore - c, 2.0 * c)])
    return section


def _vent(rotor: Rotor) -> tuple[float, int, float, float, float]:
    """Cheek, number, thickness, inner and outer radius of the vanes; complains about every one that is missing."""
    names = (
        "cheek_thickness_mm",
        "vane_count",
        "vane_thickness_mm",
        "vane_inner_diameter_mm",
        "vane_outer_diameter_mm",
    )
    given = [getattr(rotor, name) for name in names]
    faults = [
        Fault("a vented rotor needs it", key=f"rotor.{name}")
        for name, value in zip(names, given, strict=True)
        if value is None
    ]
    if faults:
        raise BadInput(faults)
    cheek, count, thickness, inner, outer = given
    if 2.0 * cheek >= rotor.thickness_mm:
        raise BadInput(Fault("two cheeks leave no room for vanes", key="rotor.cheek_thickness_mm"))
    return float(cheek), int(count), float(thickness), float(inner) / 2.0, float(outer) / 2.0


def _vanes(rotor: Rotor, sections: int) -> manifold3d.Manifold:
    """Straight radial vanes, let into the cheeks by half their thickness so that they join as one body."""
    cheek, count, thickness, inner, outer = _vent(rotor)
    ring = manifold3d.CrossSection.circle(outer, sections) - manifold3d.CrossSection.circle(inner, sections)
    spokes = manifold3d.CrossSection()
    for number in range(count):
        spokes += _box(0.5 * inner, 1.5 * outer, -thickness / 2.0, thickness / 2.0).rotate(360.0 * number / count)
    low = rotor.flange_thickness_mm - rotor.overall_height_mm + cheek / 2.0
    height = rotor.thickness_mm - cheek
    return manifold3d.Manifold.extrude(spokes ^ ring, height).translate((0.0, 0.0, low))


def hub_solid(
    hub: Hub, studs: Studs | None = None, sections: int = SECTIONS, refine_mm: float | None = None
) -> trimesh.Trimesh:
    """Hub: flange with a shallow recess round the spigot, spigot tube with a chamfered end, barrel.

    Parameters
    ----------
    hub : Hub
        Its dimensions.
    studs : Studs, optional
        When given, holes of the thread's diameter are drilled for them.
    sections : int
        Points round the circle.
    refine_mm : float, optional
        Longest edge of the section's outline. [mm]

    Returns
    -------
    trimesh.Trimesh
        One watertight body; hub face at z = 0.

    Notes
    -----
    Geometry, the numbers that are computed with.
    """
    hollow, barrel = hub.barrel_inner_diameter_mm / 2.0, hub.barrel_outer_diameter_mm / 2.0
    spigot, face, recess = (d / 2.0 for d in (hub.spigot_diameter_mm, hub.face_diameter_mm, hub.face_inner_diameter_mm))
    back = -hub.flange_thickness_mm
    section = _box(hollow, face, back, 0.0)
    section += _box(hollow, barrel, back - hub.barrel_length_mm, back)
    # The recess is drawn by taking the face away round the spigot; the spigot tube is put in again to its root.
    if recess > spigot:
        section -= _box(spigot, recess, -RECESS_DEPTH_MM, 1.0)
    tip = hub.spigot_length_mm
    c = min(SPIGOT_CHAMFER_MM, tip / 2.0, (spigot - hollow) / 2.0)
    section += _polygon([(hollow, back), (spigot, back), (spigot, tip - c), (spigot - c, tip), (hollow, tip)])
    body = _turned(section, sections, refine_mm)
    if studs is not None:
        body = body - _holes(nominal_diameter_mm(studs.thread), studs, back - 1.0, 1.0)
    return _one_body(body, "hub")


def stud_solids(studs: Studs, rotor: Rotor, hub: Hub, nuts: bool = True) -> tuple[trimesh.Trimesh, ...]:
    """Studs, the first at angle 0, each with its washer (the seat on the rotor) and a generic hexagon nut; or bolts.

    Parameters
    ----------
    studs, rotor, hub : Studs, Rotor, Hub
        Thread and circle; where the nut sits; where the stud's head sits.
    nuts : bool
        Whether nuts and washers are on.

    Returns
    -------
    tuple of trimesh.Trimesh
        One body a stud; one a wheel bolt, as long as its thread in the hub, and none while they are out.

    Notes
    -----
    Lengths in mm; nut and head in common proportions of a hexagon, no source.

    Common practice for proportions, no source.
    """
    if has_bolts(studs) and not nuts:
        return ()
    d = nominal_diameter_mm(studs.thread)
    seat = rotor.flange_thickness_mm
    nut_height = NUT_HEIGHT * d
    top = seat + WASHER_MM + nut_height + STUD_BEYOND_NUT * d
    back = -hub.flange_thickness_mm
    if has_bolts(studs):
        deep = road_engagement_mm(Case(studs=studs, rotor=rotor, hub=hub))
        body = _cylinder(d / 2.0, -deep, seat + WASHER_MM + nut_height, HOLE_SECTIONS)
    else:
        body = _cylinder(d / 2.0, back, top, HOLE_SECTIONS)
        body += _cylinder(HEAD_RADIUS * d, back - HEAD_HEIGHT * d, back, HOLE_SECTIONS)
    if nuts:
        body += _cylinder(studs.seat_outer_diameter_mm / 2.0, seat, seat + WASHER_MM, 2 * HOLE_SECTIONS)
        body += _nut(NUT_ACROSS_FLATS * d, seat + WASHER_MM, nut_height)
    out = []
    for number in range(studs.count):
        placed = body.translate((studs.pitch_circle_mm / 2.0, 0.0, 0.0)).rotate(
            (0.0, 0.0, 360.0 * number / studs.count)
        )
        out.append(_one_body(placed, "bolt" if has_bolts(studs) else "stud"))
    return tuple(out)


def _nut(across_flats: float, low: float, height: float) -> manifold3d.Manifold:
    """Hexagon whose corners are turned off at 30 degrees at the outer end."""
    corner = across_flats / np.sqrt(3.0)
    hexagon = manifold3d.CrossSection.circle(corner, 6)
    block = manifold3d.Manifold.extrude(hexagon, height).translate((0.0, 0.0, low))
    fall = (corner - 0.95 * across_flats / 2.0) * np.tan(np.radians(30.0))
    end = low + height
    cone = manifold3d.Manifold.cylinder(fall, corner, 0.95 * across_flats / 2.0, 2 * HOLE_SECTIONS)
    envelope = _cylinder(corner, low, end - fall, 2 * HOLE_SECTIONS) + cone.translate((0.0, 0.0, end - fall))
    return block ^ envelope


def debris_solid(debris: Debris, lift_mm: float, sections: int = SECTIONS) -> trimesh.Trimesh:
    """Patch as a flat-topped sector, in the frame of what it sits on.

    Parameters
    ----------
    debris : Debris
        Where it lies.
    lift_mm : float
        Drawn height, exaggerated by whoever draws. [mm]
    sections : int
        Points on a whole turn.

    Returns
    -------
    trimesh.Trimesh
        On the hub it stands up from z = 0; on the rotor it hangs down from z = 0.

    Notes
    -----
    Geometry.
    """
    if not lift_mm > 0.0:
        raise BadInput(Fault(f"a patch drawn {lift_mm:g} mm high cannot be seen", key="lift_mm", allowed="above 0"))
    if debris.shape == "round":
        half = (debris.outer_radius_mm - debris.inner_radius_mm) / 2
        disc = manifold3d.CrossSection.circle(half, 64)
        flat = disc.translate((debris.inner_radius_mm + half, 0.0)).rotate(debris.angle_deg)
    else:
        flat = _sector(debris.inner_radius_mm, debris.outer_radius_mm, debris.angle_deg, debris.arc_deg, sections)
    low = 0.0 if debris.on == "hub" else -lift_mm
    return _one_body(manifold3d.Manifold.extrude(flat, lift_mm).translate((0.0, 0.0, low)), "patch")


def spigot_scale_solid(scale: SpigotScale, hub: Hub, lift_mm: float, sections: int = SECTIONS) -> trimesh.Trimesh:
    """Scale on the spigot as a shell of drawn thickness ``lift_mm`` over its arc and its band above the hub face.

    Lengths in mm; geometry.
    """
    spigot = hub.spigot_diameter_mm / 2.0
    high = min(scale.to_face_mm, hub.spigot_length_mm)
    if not (lift_mm > 0.0 and high > scale.from_face_mm):
        raise BadInput(Fault("the scale has no height or no band on the spigot", key="spigot_scale"))
    # Let a little into the spigot, so that no gap shows between the two polygons.
    flat = _sector(spigot - 0.2, spigot + lift_mm, scale.angle_deg, scale.arc_deg, sections)
    body = manifold3d.Manifold.extrude(flat, high - scale.from_face_mm)
    return _one_body(body.translate((0.0, 0.0, scale.from_face_mm)), "scale")


def pad_solids(
    case: Case, angle_deg: float = 90.0, gap_mm: float = 0.0, sections: int = SECTIONS
) -> dict[str, trimesh.Trimesh]:
    """Both pads: lining and back plate of a generic shape of our own.

    Parameters
    ----------
    case : Case
        Pads and rotor.
    angle_deg : float
        Where the middle of the pads stands. [deg]
    gap_mm : float
        Drawn gap between lining and disc, each side. [mm]
    sections : int
        Points on a whole turn.

    Returns
    -------
    dict of str to trimesh.Trimesh
        ``outboard lining``, ``outboard plate``, ``inboard lining``, ``inboard plate``.
    """
    inner, outer = pad_band(case.rotor, case.pads)
    lining = _rounded(_sector(inner, outer, angle_deg, case.pads.arc_deg, sections))
    grown = lining.offset(PLATE_MARGIN_MM, manifold3d.JoinType.Round, circular_segments=HOLE_SECTIONS)
    inboard = case.rotor.flange_thickness_mm - case.rotor.overall_height_mm
    outboard = inboard + case.rotor.thickness_mm
    thick = case.pads.thickness_mm
    parts = {
        "outboard lining": (lining, outboard + gap_mm, thick),
        "outboard plate": (grown, outboard + gap_mm + thick, BACK_PLATE_MM),
        "inboard lining": (lining, inboard - gap_mm - thick, thick),
        "inboard plate": (grown, inboard - gap_mm - thick - BACK_PLATE_MM, BACK_PLATE_MM),
    }
    return {
        name: _one_body(manifold3d.Manifold.extrude(flat, height).translate((0.0, 0.0, low)), name)
        for name, (flat, low, height) in parts.items()
    }


def _rounded(flat: manifold3d.CrossSection) -> manifold3d.CrossSection:
    """Corners rounded off, straight and curved sides kept."""
    shrunk = flat.offset(-PAD_CORNER_MM, manifold3d.JoinType.Miter)
    return shrunk.offset(PAD_CORNER_MM, manifold3d.JoinType.Round, circular_segments=HOLE_SECTIONS)


def _sector(inner: float, outer: float, angle_deg: float, arc_deg: float, sections: int) -> manifold3d.CrossSection:
    """Annular sector in the x-y plane; its arcs are polygons through the true circle."""
    if not (0.0 < inner < outer and arc_deg > 0.0):
        raise BadInput(Fault(f"a patch of radii {inner:g} .. {outer:g} mm and {arc_deg:g} deg has no area"))
    if arc_deg >= 360.0:
        return manifold3d.CrossSection.circle(outer, sections) - manifold3d.CrossSection.circle(inner, sections)
    count = max(2, int(np.ceil(sections * arc_deg / 360.0)) + 1)
    turn = np.radians(np.linspace(angle_deg - arc_deg / 2.0, angle_deg + arc_deg / 2.0, count))
    circle = np.column_stack([np.cos(turn), np.sin(turn)])
    return _polygon(np.vstack([outer * circle, inner * circle[::-1]]))


def _box(x0: float, x1: float, y0: float, y1: float) -> manifold3d.CrossSection:
    return _polygon([(x0, y0), (x1, y0), (x1, y1), (x0, y1)])


def _polygon(points: list[tuple[float, float]] | Floats) -> manifold3d.CrossSection:
    return manifold3d.CrossSection([np.asarray(points, dtype=float)])


def _cylinder(radius: float, low: float, high: float, sections: int) -> manifold3d.Manifold:
    return manifold3d.Manifold.cylinder(high - low, radius, radius, sections).translate((0.0, 0.0, low))


def _holes(diameter: float, studs: Studs, low: float, high: float) -> manifold3d.Manifold:
    """Drills for the stud holes, the first at angle 0."""
    drill = _cylinder(diameter / 2.0, low, high, HOLE_SECTIONS).translate((studs.pitch_circle_mm / 2.0, 0.0, 0.0))
    turns = [drill.rotate((0.0, 0.0, 360.0 * number / studs.count)) for number in range(studs.count)]
    return manifold3d.Manifold.batch_boolean(turns, manifold3d.OpType.Add)


def _turned(section: manifold3d.CrossSection, sections: int, refine_mm: float | None) -> manifold3d.Manifold:
    """Body of revolution; long straight edges of the section are divided where a finer surface is wanted."""
    loops = [_divided(loop, refine_mm) for loop in section.to_polygons()]
    return manifold3d.Manifold.revolve(manifold3d.CrossSection(loops), sections)


def _divided(loop: Floats, refine_mm: float | None) -> Floats:
    loop = np.asarray(loop, dtype=float)
    if refine_mm is None:
        return loop
    if not refine_mm > 0.0:
        raise BadInput(Fault(f"an edge length of {refine_mm:g} mm", key="refine_mm", allowed="above 0"))
    pieces = []
    for start, end in zip(loop, np.roll(loop, -1, axis=0), strict=True):
        count = max(1, int(np.ceil(np.hypot(*(end - start)) / refine_mm)))
        pieces.append(start + (end - start) * (np.arange(count) / count)[:, None])
    return np.vstack(pieces)


def _one_body(body: manifold3d.Manifold, name: str) -> trimesh.Trimesh:
    """Surface of a body, after making sure that it is one."""
    if body.status() != manifold3d.Error.NoError or body.is_empty():
        raise BadInput(Fault(f"these dimensions make no body: {body.status().name}", key=name))
    pieces = len(body.decompose())
    if pieces != 1:
        raise BadInput(Fault(f"these dimensions make {pieces} separate bodies", key=name))
    mesh = body.to_mesh64()
    return trimesh.Trimesh(
        vertices=np.asarray(mesh.vert_properties, dtype=float)[:, :3], faces=np.asarray(mesh.tri_verts), process=False
    )
