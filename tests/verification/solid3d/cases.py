"""From a case of the bench to a three-dimensional model: which metal, which facets meet, what pulls where."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sim.parts.case import Case, Debris
from tests.verification.solid3d.deck import Body, Model, Pair, Patch
from tests.verification.solid3d.mesh import (
    Floats,
    Mesh,
    annulus_loads,
    graded,
    in_span,
    rectangles,
    revolve,
    subdivide,
)

# Grey iron (mid EN-GJL-250) and steel, as the bench has them; kept here so that the model stays on its own feet.
MATERIALS = {
    "grey iron": (110_000.0, 0.26),
    "steel": (205_000.0, 0.29),
    "light alloy": (70_000.0, 0.33),
    "rigid": (1.0e6, 0.0),
}
# The stud's head pulls on the hub's rear within an annulus of these radii, in stud diameters: judgement.
HUB_SEAT = (0.5, 0.75)
# Half the angle of a vane's mesh lines where the flange is, and no vane: a patch edge may not lie within. [deg]
VANE_SIDE_DEG = 2.0
# The rotor starts this much below touching, so that the first guess of the contact is "closed everywhere". [mm]
START_BELOW_MM = 1.0e-3


@dataclass(frozen=True)
class Density:
    """How fine the mesh is. Sizes in mm, sectors in deg; ``edge`` sizes hold in intervals next to contact edges.

    ``corner_mm`` is the size where hat wall and plates meet: bending springs from there, coarse corners are stiff.
    """

    sector_deg: float
    edge_sector_deg: float
    face_mm: float
    edge_mm: float
    flange_layers: int
    hub_layers: int
    plate_mm: float
    wall_mm: float
    corner_mm: float


DENSITIES = {
    "sparse": Density(10.0, 10.0, 20.0, 6.0, 1, 1, 30.0, 9.0, 8.0),  # two ways of solving agree on any mesh
    "light": Density(5.0, 5.0, 4.0, 2.0, 2, 2, 12.0, 3.0, 2.5),
    "coarse": Density(5.0, 2.5, 3.0, 1.0, 3, 3, 8.0, 2.0, 1.0),
    "fine": Density(2.5, 1.25, 1.5, 0.5, 5, 5, 5.0, 1.0, 0.6),
}


def build(case: Case, mirror_deg: float | None, density: Density) -> Model:
    """The model of one seating.

    Parameters
    ----------
    case : Case
        Parts, debris and preloads; holes in the flange, spigot scale and the rotor's own errors are not modelled.
    mirror_deg : float or None
        Angle of the case's plane of symmetry, of which half is modelled; None models the full circle.
    density : Density
        How fine.
    """
    mirror = mirror_deg
    turn = 0.0 if mirror is None else mirror
    theta = sector_lines(case.debris, turn, mirror is not None, density)
    r_face = face_lines(case, density)
    rotor = Body(rotor_mesh(case, r_face, theta, density), *material(case.rotor))
    hub = Body(hub_mesh(case, r_face, theta, density), *material(case.hub))
    _raise_faces(case, rotor.mesh, hub.mesh)
    pairs, patches = _meetings(case, rotor.mesh, hub.mesh, turn)
    first = rotor.mesh.nodes.shape[0]
    rotor.mesh.nodes[:, 2] -= START_BELOW_MM
    model = Model(
        rotor,
        hub,
        patches,
        pairs,
        case.contact.layer_stiffness_n_mm3,
        held=_held(case, rotor.mesh, hub.mesh, first, mirror is not None),
        watch=gauge_nodes(case, rotor.mesh),
    )
    force = np.zeros((model.node_count, 3))
    _pull(case, force, rotor.mesh, hub.mesh, turn)
    return replace(model, force=force)


def material(part: object) -> tuple[float, float]:
    """Young's modulus and Poisson's ratio of a part. [MPa, -]"""
    modulus, ratio = MATERIALS[part.material]
    own = getattr(part, "youngs_modulus_mpa", None)
    return (modulus if own is None else own), getattr(part, "poissons_ratio", None) or ratio


def sector_lines(debris: tuple[Debris, ...], turn: float, half: bool, density: Density) -> Floats:
    """Angles of the mesh lines, counted from the plane of symmetry, through every patch edge. [deg]"""
    end = 180.0 if half else 360.0
    edges = []
    for patch in debris:
        for side in (-0.5, 0.5):
            edge = (patch.angle_deg - turn + side * patch.arc_deg) % 360.0
            edges.append(360.0 - edge if half and edge > 180.0 else edge)
    edges = [e for e in edges if 1e-9 < e < end - 1e-9]
    around = [e + s * density.edge_sector_deg for e in edges for s in (-1, 1)]
    regular = [a for a in np.arange(0.0, end + 1e-9, density.sector_deg) if _clear(a, edges + around, density)]
    breaks = sorted({0.0, end, *edges, *regular, *(a for a in around if 0.0 < a < end)})
    return subdivide(breaks, density.sector_deg)


def _clear(angle: float, lines: list[float], density: Density) -> bool:
    return all(abs(angle - line) > 0.45 * density.edge_sector_deg or abs(angle - line) < 1e-9 for line in lines)


def face_lines(case: Case, density: Density, edges_mm: tuple[float, ...] = ()) -> Floats:
    """Radii of the mesh lines over the contact zone, common to both bodies, through patch and other edges. [mm]"""
    inner, outer = 0.5 * case.hub.face_inner_diameter_mm, 0.5 * case.hub.face_diameter_mm
    edges = {inner, outer, *edges_mm}
    for patch in case.debris:
        edges |= {max(inner, patch.inner_radius_mm), min(outer, patch.outer_radius_mm)}
    near = [e + s for e in edges for s in (-2.0 * density.edge_mm, 2.0 * density.edge_mm)]
    near = [n for n in near if inner < n < outer and all(abs(n - e) > density.edge_mm for e in edges)]
    return subdivide([*edges, *near], density.face_mm, density.edge_mm, tuple(edges))


def rotor_mesh(case: Case, r_face: Floats, theta: Floats, density: Density, extra_r_mm: tuple[float, ...] = ()) -> Mesh:
    """The solid rotor, with lines at extra radii of its ring if wanted; of a vented one, the sector of one vane."""
    part = case.rotor
    if part.style == "vented":
        return vented_sector(case, r_face, theta, density)
    bore, outer = 0.5 * part.bore_diameter_mm, 0.5 * part.outer_diameter_mm
    hat_outer, plate_inner = 0.5 * part.hat_outer_diameter_mm, 0.5 * part.ring_inner_diameter_mm
    hat_inner = hat_outer - part.hat_wall_mm
    top = part.flange_thickness_mm
    low = top - part.overall_height_mm
    high = low + part.thickness_mm
    gauge = outer - case.gauge.from_edge_mm
    big, corner = density.plate_mm, density.corner_mm
    beyond = sorted({plate_inner, hat_inner, hat_outer, gauge, outer, *extra_r_mm, *pad_breaks(case, density)[1:]})
    r = rotor_lines(case, r_face, beyond, density)
    z = np.concatenate(
        [
            graded(low, high, min(big, part.thickness_mm / 3.0), last=corner),
            graded(high, 0.0, big, corner, corner)[1:],
            graded(0.0, top, top / density.flange_layers, corner)[1:],
        ]
    )
    boxes = [(bore, hat_outer, 0.0, top), (hat_inner, hat_outer, low, top), (plate_inner, outer, low, high)]
    return revolve(r, z, theta, rectangles(r, z, boxes))


def rotor_lines(case: Case, r_face: Floats, beyond: list[float], density: Density) -> Floats:
    """Radii of the rotor's mesh lines: bore, contact zone, hat wall, and on through the breaks beyond it. [mm]"""
    hat_outer = 0.5 * case.rotor.hat_outer_diameter_mm
    hat_inner = hat_outer - case.rotor.hat_wall_mm
    lines = [
        [0.5 * case.rotor.bore_diameter_mm],
        r_face,
        subdivide([r_face[-1], *(b for b in beyond if b < hat_inner), hat_inner], density.corner_mm),
        subdivide([hat_inner, *(b for b in beyond if hat_inner < b < hat_outer), hat_outer], density.wall_mm),
        *_ring_lines([b for b in beyond if b >= hat_outer], density),
    ]
    return np.unique(np.round(np.concatenate(lines), 9))


def vented_sector(case: Case, r_face: Floats, theta: Floats, density: Density) -> Mesh:
    """One pitch of a vented rotor, its straight vane of even thickness in the middle.

    ``theta`` must hold the vane's middle and, next to it at ``VANE_SIDE_DEG``, its sides: those lines bend to them.
    """
    part = case.rotor
    outer, hat_outer = 0.5 * part.outer_diameter_mm, 0.5 * part.hat_outer_diameter_mm
    hat_inner, cheek_inner = hat_outer - part.hat_wall_mm, 0.5 * part.ring_inner_diameter_mm
    vane = 0.5 * part.vane_inner_diameter_mm, 0.5 * part.vane_outer_diameter_mm
    top, cheek = part.flange_thickness_mm, part.cheek_thickness_mm
    low = top - part.overall_height_mm
    high = low + part.thickness_mm
    big, corner = density.plate_mm, density.corner_mm
    gauge = outer - case.gauge.from_edge_mm
    r = rotor_lines(case, r_face, sorted({hat_inner, hat_outer, cheek_inner, *vane, gauge, outer}), density)
    layers = cheek / 3.0
    z = np.concatenate(
        [
            graded(low, low + cheek, layers),
            graded(low + cheek, high - cheek, big / 2.0, layers, layers)[1:],
            graded(high - cheek, high, layers, last=corner)[1:],
            graded(high, 0.0, big, corner, corner)[1:],
            graded(0.0, top, top / density.flange_layers, corner)[1:],
        ]
    )
    boxes = [
        (0.5 * part.bore_diameter_mm, hat_outer, 0.0, top),
        (hat_inner, hat_outer, high - cheek, top),
        (hat_inner, outer, high - cheek, high),
        (cheek_inner, outer, low, low + cheek),
    ]
    middle = 0.5 * (theta[0] + theta[-1])
    in_vane = np.abs(0.5 * (theta[1:] + theta[:-1]) - middle) < VANE_SIDE_DEG
    between = rectangles(r, z, [(*vane, low + cheek, high - cheek)])
    solid = rectangles(r, z, boxes)[..., None] | (between[..., None] & in_vane)
    side = np.degrees(np.arcsin(0.5 * part.vane_thickness_mm / np.maximum(r, vane[0])))
    # Out to where the ring leaves the hat the lines are straight, so that hub and flange have common ones.
    share = np.clip((r - hat_outer) / (vane[0] - hat_outer), 0.0, 1.0)
    side = VANE_SIDE_DEG + share * (side - VANE_SIDE_DEG)
    anchors = [theta[0], middle - VANE_SIDE_DEG, middle, middle + VANE_SIDE_DEG, theta[-1]]
    angle = np.array([np.interp(theta, anchors, [theta[0], middle - s, middle, middle + s, theta[-1]]) for s in side])
    return revolve(r, z, theta, solid, angle)


def _ring_lines(breaks: list[float], density: Density) -> list[Floats]:
    """Lines through the breaks of the friction ring, close together where it leaves the hat."""
    size, first = density.plate_mm, density.corner_mm
    pieces = []
    for low, high in zip(breaks[:-1], breaks[1:], strict=True):
        pieces.append(graded(low, high, size, first))
        first = None
    return pieces


def hub_mesh(case: Case, r_face: Floats, theta: Floats, density: Density) -> Mesh:
    """The hub: flange, spigot tube and barrel; of a rigid one only a layer under its face, all held."""
    part = case.hub
    if part.material == "rigid":
        z = np.array([-1.0, 0.0])
        return revolve(r_face, z, theta, np.ones((r_face.size - 1, 1), dtype=bool))
    bore, barrel = 0.5 * part.barrel_inner_diameter_mm, 0.5 * part.barrel_outer_diameter_mm
    spigot, edge = 0.5 * part.spigot_diameter_mm, 0.5 * part.face_diameter_mm
    rear = -part.flange_thickness_mm
    big, corner = density.plate_mm, 2.0 * density.corner_mm
    walls = [subdivide([bore, barrel], 2.0 * density.wall_mm), subdivide([barrel, spigot, r_face[0]], corner)]
    r = np.unique(np.round(np.concatenate([*walls, r_face]), 9))
    z = np.concatenate(
        [
            graded(rear - part.barrel_length_mm, rear, big, last=corner),
            graded(rear, 0.0, -rear / density.hub_layers, corner)[1:],
            subdivide([0.0, part.spigot_length_mm], big)[1:],
        ]
    )
    boxes = [
        (bore, edge, rear, 0.0),
        (bore, spigot, 0.0, part.spigot_length_mm),
        (bore, barrel, rear - part.barrel_length_mm, rear),
    ]
    return revolve(r, z, theta, rectangles(r, z, boxes))


def _raise_faces(case: Case, rotor: Mesh, hub: Mesh) -> None:
    """Give both faces their dish: a cone, nought where the contact zone ends outside and deepest where it begins."""
    inner, outer = 0.5 * case.hub.face_inner_diameter_mm, 0.5 * case.hub.face_diameter_mm
    for mesh, depth_um, sign in ((rotor, case.rotor.flange_dish_um, 1.0), (hub, case.hub.face_dish_um, -1.0)):
        if depth_um == 0.0:
            continue
        face = mesh.node_at[:, mesh.plane(0.0), :]
        slope = sign * 1.0e-3 * depth_um / (outer - inner)
        lift = np.where((mesh.r >= inner - 1e-9) & (mesh.r <= outer + 1e-9), slope * (outer - mesh.r), 0.0)
        for i in np.nonzero(lift)[0]:
            nodes = face[i][face[i] >= 0]
            mesh.nodes[nodes, 2] += lift[i]


def _meetings(case: Case, rotor: Mesh, hub: Mesh, turn: float) -> tuple[tuple[Pair, ...], tuple[Patch, ...]]:
    """Which facets may meet, and the patches that stand on the hub face."""
    inner, outer = 0.5 * case.hub.face_inner_diameter_mm, 0.5 * case.hub.face_diameter_mm
    under, above = hub.plane(0.0) - 1, rotor.plane(0.0)
    edges = rotor.sector_edges
    mid = 0.5 * (edges[1:] + edges[:-1]) + turn
    rings = [(hub.ring(r), rotor.ring(r)) for r in rotor.r if inner - 1e-9 < r < outer - 1e-9]
    owner = {}
    for i_hub, i_rotor in rings:
        middle = 0.5 * (rotor.r[i_rotor] + rotor.r[i_rotor + 1])
        for j, angle in enumerate(mid):
            owner[i_hub, i_rotor, j] = patch_there(case.debris, middle, angle)
    pairs, patches = [], []
    for number in range(-1, len(case.debris)):
        cells = np.array([cell for cell, who in owner.items() if who == number]).reshape(-1, 3)
        if not cells.size:
            continue
        upper = rotor.hex_at[cells[:, 1], above, cells[:, 2]]
        lower = hub.hex_at[cells[:, 0], under, cells[:, 2]]
        if number >= 0:
            # A flat top: as high above the hub's face plane everywhere, whatever the dish below it.
            facets = hub.hexes[lower][:, 4:]
            nodes = np.unique(facets)
            top = np.full(nodes.size, 1.0e-3 * case.debris[number].height_um)
            patches.append(Patch(nodes, facets, top))
            lower = np.arange(facets.shape[0])
        pairs.append(Pair("FACE" if number < 0 else f"PAD{number}", upper, lower, number))
    return tuple(pairs), tuple(patches)


def patch_there(debris: tuple[Debris, ...], radius: float, angle: float) -> int:
    """Number of the patch that covers a place of the hub face, -1 for the bare face."""
    for number, patch in enumerate(debris):
        span = (patch.angle_deg - 0.5 * patch.arc_deg, patch.angle_deg + 0.5 * patch.arc_deg)
        if patch.inner_radius_mm < radius < patch.outer_radius_mm and in_span(angle, span):
            return number
    return -1


def _held(case: Case, rotor: Mesh, hub: Mesh, first: int, half: bool) -> dict[int, NDArray[np.int64]]:
    """What is held: the hub's far end (or all of it), the plane of symmetry, the rotor against drifting sideways."""
    if case.hub.material == "rigid":
        fixed = np.arange(hub.nodes.shape[0]) + first
    else:
        end = hub.node_at[:, 0, :]
        fixed = end[end >= 0] + first
    held = {1: [fixed], 2: [fixed], 3: [fixed]}
    bore = rotor.node_at[0, rotor.plane(case.rotor.flange_thickness_mm), :]
    middle = int(np.argmin(np.abs(rotor.theta - 90.0)))
    held[1].append(bore[[middle]])
    if half:
        for mesh, shift in ((rotor, 0), (hub, first)):
            plane = np.abs(mesh.nodes[:, 1]) < 1e-9
            held[2].append(np.nonzero(plane)[0] + shift)
    else:
        opposite = int(np.argmin(np.abs(rotor.theta - 180.0)))
        held[2].append(bore[[0, opposite]])
    return {freedom: np.unique(np.concatenate(nodes)) for freedom, nodes in held.items()}


def pad_breaks(case: Case, density: Density) -> tuple[float, ...]:
    """Radii of the pad's edges and of a line beside the outer one; none where the wheel is off. [mm]"""
    if case.studs.clamped_by != "wheel":
        return ()
    inner, outer = pad_span(case)
    return inner, outer - density.edge_mm, outer, outer + density.edge_mm


def pad_span(case: Case) -> tuple[float, float]:
    """Inner and outer radius of the wheel's pad, given in every case that has one. [mm]"""
    return 0.5 * case.wheel.pad_inner_diameter_mm, 0.5 * case.wheel.pad_outer_diameter_mm


def wheel_mesh(case: Case, r_pad: Floats, theta: Floats, density: Density) -> Mesh:
    """The wheel's pad as a plain ring, its face at z = 0."""
    thick = case.wheel.thickness_mm
    z = graded(0.0, thick, 0.5 * density.plate_mm, density.corner_mm)
    return revolve(r_pad, z, theta, np.ones((r_pad.size - 1, z.size - 1), dtype=bool))


def pulls(case: Case) -> list[tuple[float, float]]:
    """Angle and force of everything that pulls on the pitch circle: the studs, or one screw. [deg, N]"""
    studs = case.studs
    if studs.clamped_by == "screw only":
        return [(float(studs.screw_angle_deg), studs.screw_preload_n)]
    return [(360.0 * k / studs.count, force) for k, force in enumerate(preloads(case))]


def gauge_nodes(case: Case, rotor: Mesh) -> dict[str, NDArray[np.int64]]:
    """Nodes under the dial on both friction faces, in order of angle."""
    low = case.rotor.flange_thickness_mm - case.rotor.overall_height_mm
    ring = rotor.ring(0.5 * case.rotor.outer_diameter_mm - case.gauge.from_edge_mm)
    outboard = rotor.node_at[ring, rotor.plane(low + case.rotor.thickness_mm), :]
    return {"OUTBOARD": outboard, "INBOARD": rotor.node_at[ring, rotor.plane(low), :]}


def preloads(case: Case) -> tuple[float, ...]:
    """Clamp force of every stud. [N]"""
    given = case.studs.preload_n
    return given if isinstance(given, tuple) else (float(given),) * case.studs.count


def hub_seat(case: Case) -> tuple[float, float]:
    """Radii of the annulus in which a stud pulls on the hub's rear. [mm]"""
    diameter = float(case.studs.thread.lower().removeprefix("m").split("x")[0])
    return HUB_SEAT[0] * diameter, HUB_SEAT[1] * diameter


def _pull(case: Case, force: Floats, rotor: Mesh, hub: Mesh, turn: float) -> None:
    """Clamp forces of the studs: down on the flange, up on the hub's rear (a rigid hub does not feel them)."""
    studs = case.studs
    first = rotor.nodes.shape[0]
    seat = (0.5 * studs.seat_inner_diameter_mm, 0.5 * studs.seat_outer_diameter_mm)
    for number, clamp in enumerate(preloads(case)):
        centre = (0.5 * studs.pitch_circle_mm, 360.0 * number / studs.count - turn)
        force[:first, 2] -= clamp * annulus_loads(rotor, case.rotor.flange_thickness_mm, centre, seat)
        if case.hub.material != "rigid":
            count = hub.nodes.shape[0]
            pull = annulus_loads(hub, -case.hub.flange_thickness_mm, centre, hub_seat(case))
            force[first : first + count, 2] += clamp * pull
