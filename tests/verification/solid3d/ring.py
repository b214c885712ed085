"""Seating of bodies made of equal sectors: the solver's stiffness, our own contact iteration on the same facets.

The contact law is that of the direct run (linear layer, no tension, integrated over the facets), the elements are
the same; only the algebra differs, which makes meshes affordable on which the direct run would take an hour.
"""

from __future__ import annotations

import resource
from dataclasses import dataclass, replace
from functools import lru_cache
from itertools import product

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix, vstack

from sim.parts.case import Case
from tests.verification.solid3d import bolted, cases, results
from tests.verification.solid3d.cyclic import Flexibility, by_sector, by_wave, flexibility, sector_of
from tests.verification.solid3d.deck import Body
from tests.verification.solid3d.mesh import Floats, Ints, Mesh, annulus_loads, revolve

GAUSS_POINTS = 4
MOST_ITERATIONS = 80
SHEET_MM = 0.01  # half of how thick a cylinder is on which a thread pulls
PAD = -2  # owner of the points under the wheel's pad


@dataclass(frozen=True)
class Fineness:
    """Density of the section, angle of a sector, mesh lines inside it (near side included, far side not). [deg]"""

    density: cases.Density
    pitch_deg: float
    planes_deg: tuple[float, ...] = (0.0,)

    @property
    def copies(self) -> int:
        """Sectors in a turn."""
        return round(360.0 / self.pitch_deg)

    @property
    def angles_deg(self) -> Floats:
        """Angles of all mesh planes of a turn. [deg]"""
        return (np.arange(self.copies)[:, None] * self.pitch_deg + np.array(self.planes_deg)[None, :]).ravel()


@dataclass(frozen=True, eq=False)
class Pieces:
    """What the contact needs of one body: its flexibility, the studs' resultants, how big its mesh is."""

    flexibility: Flexibility
    resultant: Floats
    nodes: int
    elements: int


def _shear_waves(mesh: Mesh, kept_place: Ints, fine: Fineness, case: Case) -> tuple:
    """Shear of every bolt on the cylinder of its thread in a hub whose metal is left there, plane by plane."""
    radius, by_plane = bolted.pitch_mm(case), bolted.depth_shares(case, mesh.z)
    span = (radius - SHEET_MM, radius + SHEET_MM)
    parts = [(share, mesh.z[k]) for k, share in enumerate(by_plane) if share > 0.0]
    found = [(share, *_stud_waves(mesh, kept_place, fine, z, _spots(case), span)) for share, z in parts]
    return sum(share * loads for share, loads, _ in found), found[-1][2]


def _stud_waves(mesh: Mesh, kept_place: Ints, fine: Fineness, level_mm: float, spots: list, radii: tuple) -> tuple:
    """Unit stud loads on one plane of the ring: by wave number on the sector's kept nodes, and their resultants."""
    level = mesh.plane(level_mm)
    rings = np.nonzero((mesh.node_at[:, level, :] >= 0).all(axis=1))[0]
    turn = np.append(fine.angles_deg, 360.0)
    plate = revolve(mesh.r[rings], np.array([0.0, 1.0]), turn, np.ones((rings.size - 1, 1), dtype=bool))
    planes = len(fine.planes_deg)
    loads = np.zeros((fine.copies, int(kept_place.max()) + 1, len(spots)))
    resultant = np.zeros((3, len(spots)))
    for number, centre in enumerate(spots):
        shares = annulus_loads(plate, 1.0, centre, radii)
        resultant[:, number] = [shares.sum(), shares @ plate.nodes[:, 0], shares @ plate.nodes[:, 1]]
        on_grid = shares[plate.node_at[:, 1, :]].reshape(rings.size, fine.copies, planes)
        for row, ring in enumerate(rings):
            for plane in range(planes):
                loads[:, kept_place[mesh.node_at[ring, level, plane]], number] += on_grid[row, :, plane]
    return by_wave(loads), resultant


def _waves_of(mesh: Mesh, kept_place: Ints, fine: Fineness, rings: Ints, shares: list, depth: dict) -> NDArray:
    """Load patterns given on the grid of a turn, spread over mesh planes, by wave number."""
    planes = len(fine.planes_deg)
    loads = np.zeros((fine.copies, int(kept_place.max()) + 1, len(shares)))
    for number, one in enumerate(shares):
        on_grid = one.reshape(rings.size, fine.copies, planes)
        for (row, ring), plane in product(enumerate(rings), range(planes)):
            if on_grid[row, :, plane].any():
                for level, share in depth.items():
                    node = mesh.node_at[ring, level, plane]
                    loads[:, kept_place[node], number] += share * on_grid[row, :, plane]
    return by_wave(loads)


def _bolt_waves(mesh: Mesh, kept_place: Ints, fine: Fineness, case: Case, on_rotor: bool) -> tuple:
    """The same as `_stud_waves` for bolts in drilled bodies: under the heads on the rotor, on the walls in the hub."""
    height = case.rotor.flange_thickness_mm if on_rotor else 0.0
    level = mesh.plane(height)
    rings = np.nonzero((mesh.node_at[:, level, :] >= 0).any(axis=1))[0]
    radii, angles = mesh.r[rings], fine.angles_deg
    bolts = range(case.studs.count)
    seat = (0.5 * case.studs.seat_inner_diameter_mm, 0.5 * case.studs.seat_outer_diameter_mm)
    if on_rotor:
        shares = [bolted.pressed_shares(case, radii, angles, bolt, seat) for bolt in bolts]
        depth = {level: 1.0}
    else:
        shares = [bolted.wall_shares(case, radii, angles, bolt) for bolt in bolts]
        by_plane = bolted.depth_shares(case, mesh.z)
        depth = {int(k): by_plane[k] for k in np.flatnonzero(by_plane)}
    at = bolted.bent(case, *np.broadcast_arrays(radii[:, None], angles[None, :]))
    total = [[one.sum(), (one * at[..., 0]).sum(), (one * at[..., 1]).sum()] for one in shares]
    return _waves_of(mesh, kept_place, fine, rings, shares, depth), np.array(total).T


def _section_case(case: Case) -> Case:
    """The case with all removed that does not shape the two bodies, so that their flexibility can be kept."""
    return replace(
        case,
        title="two bodies",
        debris=(),
        rotor=replace(case.rotor, flange_dish_um=0.0),
        hub=replace(case.hub, face_dish_um=0.0),
        studs=replace(case.studs, preload_n=1000.0),
        wheel=replace(case.wheel, pad_dish_um=0.0),
    )


@lru_cache(maxsize=4)
def _rotor(case: Case, face_mm: tuple[float, ...], fine: Fineness) -> Pieces:
    """The rotor: face nodes, then those under the wheel's pad where it is on."""
    r_face = np.array(face_mm)
    theta = np.append(fine.planes_deg, fine.pitch_deg)
    mesh = cases.rotor_mesh(case, r_face, theta, fine.density)
    if bolted.is_drilled(case):
        mesh = bolted.drilled(case, mesh, 0.0, case.rotor.flange_thickness_mm)
    sector = sector_of(Body(mesh, *cases.material(case.rotor)))
    planes = len(fine.planes_deg)
    rows = {name: nodes[:planes] for name, nodes in cases.gauge_nodes(case, mesh).items()}
    top = mesh.plane(case.rotor.flange_thickness_mm)
    back = [mesh.node_at[mesh.ring(r), top, :planes] for r in _pad_lines(case, mesh)]
    rows["face"] = np.concatenate([_face_nodes(mesh, r_face, planes), *back])
    studs = case.studs
    spots = _spots(case)
    radii = (0.5 * studs.seat_inner_diameter_mm, 0.5 * studs.seat_outer_diameter_mm)
    if bolted.is_drilled(case):
        loads, total = _bolt_waves(mesh, sector.position, fine, case, on_rotor=True)
    else:
        loads, total = _stud_waves(mesh, sector.position, fine, case.rotor.flange_thickness_mm, spots, radii)
    answer = flexibility(sector, fine.copies, rows, None, loads)
    return Pieces(answer, total, fine.copies * sector.kept.size, fine.copies * mesh.hexes.shape[0])


@lru_cache(maxsize=4)
def _hub(case: Case, face_mm: tuple[float, ...], fine: Fineness) -> Pieces:
    r_face = np.array(face_mm)
    theta = np.append(fine.planes_deg, fine.pitch_deg)
    mesh = cases.hub_mesh(case, r_face, theta, fine.density)
    if bolted.is_drilled(case):
        mesh = bolted.drilled(case, mesh, -case.hub.flange_thickness_mm, 0.0)
    sector = sector_of(Body(mesh, *cases.material(case.hub)))
    rows = {"face": _face_nodes(mesh, r_face, len(fine.planes_deg))}
    spots = _spots(case)
    reach = cases.hub_seat(case)
    if bolted.is_drilled(case):
        loads, total = _bolt_waves(mesh, sector.position, fine, case, on_rotor=False)
    elif bolted.is_bolted(case):
        loads, total = _shear_waves(mesh, sector.position, fine, case)
    else:
        loads, total = _stud_waves(mesh, sector.position, fine, -case.hub.flange_thickness_mm, spots, reach)
    end = mesh.node_at[:, 0, :]
    answer = flexibility(sector, fine.copies, rows, end[end >= 0], loads)
    return Pieces(answer, total, fine.copies * sector.kept.size, fine.copies * mesh.hexes.shape[0])


@lru_cache(maxsize=4)
def _wheel(case: Case, pad_mm: tuple[float, ...], fine: Fineness) -> Pieces:
    theta = np.append(fine.planes_deg, fine.pitch_deg)
    mesh = cases.wheel_mesh(case, np.array(pad_mm), theta, fine.density)
    sector = sector_of(Body(mesh, *cases.material(case.wheel)))
    rows = {"face": _face_nodes(mesh, np.array(pad_mm), len(fine.planes_deg))}
    radii = (0.5 * case.studs.seat_inner_diameter_mm, 0.5 * case.studs.seat_outer_diameter_mm)
    loads, total = _stud_waves(mesh, sector.position, fine, case.wheel.thickness_mm, _spots(case), radii)
    answer = flexibility(sector, fine.copies, rows, None, loads)
    return Pieces(answer, total, fine.copies * sector.kept.size, fine.copies * mesh.hexes.shape[0])


def _spots(case: Case) -> list[tuple[float, float]]:
    return [(0.5 * case.studs.pitch_circle_mm, angle) for angle, _ in cases.pulls(case)]


def _pad_lines(case: Case, rotor: Mesh) -> Floats:
    """Radii of the rotor's mesh lines under the wheel's pad; none where it is off. [mm]"""
    if case.studs.clamped_by != "wheel":
        return np.zeros(0)
    low, high = cases.pad_span(case)
    return rotor.r[(rotor.r > low - 1e-6) & (rotor.r < high + 1e-6)]


def _face_nodes(mesh: Mesh, r_face: Floats, planes: int) -> Ints:
    first = mesh.ring(r_face[0])
    found = mesh.node_at[first : first + r_face.size, mesh.plane(0.0), :planes].ravel()
    return np.where(found < 0, found[0], found)  # within a hole no facet asks for its nodes


@dataclass(frozen=True, eq=False)
class Facets:
    """Integration points of the contact zone.

    Parameters
    ----------
    shape : csr_matrix
        Interpolation from face nodes.
    area : ndarray
        Area that each point stands for. [mm2]
    start_gap, floor_gap : ndarray
        Gap to what lies there (bare face or top of a patch), and to the floor that is left of a patch however hard it
        is crushed (infinite where nothing crushes), when the rotor just touches the clean hub face. [mm]
    cap : ndarray
        Pressure at which a patch gives way. [MPa]
    owner : ndarray of int
        Number of the patch, -1 on the bare face.
    """

    shape: csr_matrix
    area: Floats
    start_gap: Floats
    floor_gap: Floats
    cap: Floats
    owner: Ints


def facets(case: Case, r_face: Floats, fine: Fineness, rings: int, first: int = 0) -> Facets:
    """Gauss points of every facet of the contact zone, and what lies under each.

    ``rings`` is how many rings of nodes there are in all; the zone's begin at ``first``, beyond 0 the wheel's pad.
    """
    on_pad = first > 0
    if bolted.is_drilled(case):
        return _drilled_facets(case, r_face, fine, rings)
    point, weight = np.polynomial.legendre.leggauss(GAUSS_POINTS)
    point, weight = 0.5 * (1.0 + point), 0.5 * weight
    x, y = (grid.ravel() for grid in np.meshgrid(point, point, indexing="ij"))
    wide = np.diff(np.append(fine.angles_deg, 360.0))
    middle = fine.angles_deg + 0.5 * wide
    low, step = r_face[:-1], np.diff(r_face)
    there = () if on_pad else case.debris
    owner = np.array([[cases.patch_there(there, r, a) for r in low + 0.5 * step] for a in middle])
    radius = low[:, None] + step[:, None] * x[None, :]
    one = np.outer(weight, weight).ravel() * step[:, None] * radius
    area = np.sin(np.radians(wide))[:, None, None] * one[None]
    number = _numbering(fine, rings)[first : first + r_face.size]
    after = np.roll(number, -1, axis=1)
    corners = np.stack([number[:-1], after[:-1], number[1:], after[1:]], axis=-1).transpose(1, 0, 2)
    columns = np.broadcast_to(corners[:, :, None, :], (*area.shape, 4))
    values = np.stack([(1 - x) * (1 - y), (1 - x) * y, x * (1 - y), x * y], axis=-1)
    values = np.broadcast_to(values, columns.shape)
    rows = np.repeat(np.arange(area.size), 4)
    shape = csr_matrix((values.ravel(), (rows, columns.ravel())), shape=(area.size, rings * fine.angles_deg.size))
    spread = np.broadcast_to(owner[:, :, None], area.shape).ravel()
    away = np.broadcast_to(r_face[-1] - radius, area.shape).ravel()
    # The nuts' seats are as wide inside as the wheel's holes; a hole takes no metal away, only what it cannot touch.
    hole_mm = case.rotor.hole_diameter_mm
    hole_mm = 0.5 * max(hole_mm, case.studs.seat_inner_diameter_mm if on_pad else 0.0)
    turn = np.radians(middle[:, None] + (y - 0.5) * wide[:, None])
    area = area * ~_in_holes(case, radius[None], turn[:, None, :], hole_mm)
    if on_pad:
        gap = 1.0e-3 * case.wheel.pad_dish_um * away / (r_face[-1] - r_face[0])
        never = np.full(gap.size, np.inf)
        return Facets(shape, area.ravel(), gap, never, never, np.full(gap.size, PAD))
    return Facets(shape, area.ravel(), *_heights(case, spread, away, r_face[-1] - r_face[0]), spread)


def _drilled_facets(case: Case, r_face: Floats, fine: Fineness, rings: int) -> Facets:
    """The same between two drilled bodies, whose facets end at the holes."""
    found = bolted.quads(case, r_face, fine.angles_deg)
    shape, at, area = found.points(GAUSS_POINTS, even=False)
    number = _numbering(fine, rings)[found.ring, found.plane]
    columns = np.broadcast_to(number[:, None, :], (*area.shape, 4))
    rows = np.repeat(np.arange(area.size), 4)
    values = np.broadcast_to(shape, columns.shape)
    interpolate = csr_matrix((values.ravel(), (rows, columns.ravel())), shape=(area.size, rings * fine.angles_deg.size))
    middle = found.at.mean(axis=1)
    angle = np.degrees(np.arctan2(middle[:, 1], middle[:, 0])) % 360.0
    owner = [cases.patch_there(case.debris, r, a) for r, a in zip(np.hypot(*middle.T), angle, strict=True)]
    spread = np.repeat(owner, area.shape[1])
    away = (r_face[-1] - np.linalg.norm(at, axis=-1)).ravel()
    return Facets(interpolate, area.ravel(), *_heights(case, spread, away, r_face[-1] - r_face[0]), spread)


def _in_holes(case: Case, radius: Floats, turn: Floats, hole_mm: float) -> NDArray[np.bool_]:
    """Which points lie in round holes of this radius at the studs."""
    pitch = 0.5 * case.studs.pitch_circle_mm
    spots = 2.0 * np.pi * np.arange(case.studs.count) / case.studs.count
    square = radius**2 + pitch**2 - 2.0 * radius * pitch * np.cos(turn[..., None] - spots).max(axis=-1)
    return square < hole_mm**2


def both(one: Facets, other: Facets) -> Facets:
    """Two zones as one."""
    pairs = [(getattr(one, name), getattr(other, name)) for name in ("area", "start_gap", "floor_gap", "cap", "owner")]
    return Facets(vstack([one.shape, other.shape]).tocsr(), *(np.concatenate(pair) for pair in pairs))


def _heights(case: Case, owner: Ints, away: Floats, span: float) -> tuple[Floats, Floats, Floats]:
    """Gap to what lies there, gap to its floor, and its cap, for points ``away`` from the zone's outer edge."""
    rotor, hub = (1.0e-3 * dish * away / span for dish in (case.rotor.flange_dish_um, case.hub.face_dish_um))
    gap, floor, cap = rotor + hub, np.full(away.size, np.inf), np.full(away.size, np.inf)
    for number, patch in enumerate(case.debris):
        there = owner == number
        gap[there] = rotor[there] - 1.0e-3 * patch.height_um
        if patch.crush_mpa is not None:
            floor[there] = rotor[there] - 1.0e-3 * patch.height_um * patch.residual_share
            cap[there] = patch.crush_mpa
    return gap, floor, cap


def _numbering(fine: Fineness, rings: int) -> Ints:
    """Number of the face node on each ring (first axis) and each mesh plane of the turn (second)."""
    planes = len(fine.planes_deg)
    sector, plane = np.divmod(np.arange(fine.copies * planes), planes)
    return sector * planes * rings + np.arange(rings)[:, None] * planes + plane


@dataclass(frozen=True, eq=False)
class Answer:
    """Solved contact: force on the rotor at every face node, pressure at every point, rigid motion, iterations."""

    force: Floats
    pressure: Floats
    rigid: Floats
    iterations: int


@dataclass(frozen=True, eq=False)
class Fold:
    """Face nodes that stand for themselves and their mirror image; ``mirror`` is ``node`` where there is none.

    ``spread`` (face nodes by kept nodes) copies a symmetric field from the kept nodes to all.
    """

    node: Ints
    mirror: Ints
    spread: csr_matrix


def fold(fine: Fineness, rings: int, mirror_deg: float | None) -> Fold:
    """Halve the unknowns of a symmetric seating."""
    total = fine.copies * len(fine.planes_deg)
    image = np.arange(total)
    if mirror_deg is not None:
        wanted = (2.0 * mirror_deg - fine.angles_deg) % 360.0
        off = np.abs((fine.angles_deg[None, :] - wanted[:, None] + 180.0) % 360.0 - 180.0)
        image = off.argmin(axis=1)
        if off.min(axis=1).max() > 1e-6:
            raise ValueError("the mesh planes are not symmetric about the plane of symmetry")
    number = _numbering(fine, rings)
    own, other = number.ravel(), number[:, image].ravel()
    keep = own <= other
    node, mirror = own[keep], other[keep]
    column = np.arange(node.size)
    twice = mirror != node
    rows = np.concatenate([node, mirror[twice]])
    columns = np.concatenate([column, column[twice]])
    spread = csr_matrix((np.ones(rows.size), (rows, columns)), shape=(total * rings, node.size))
    return Fold(node, mirror, spread)


def solve_contact(
    blocks: Floats, free: Floats, places: Floats, balance: Floats, zone: Facets, half: Fold, layer_n_mm3: float
) -> Answer:
    """Newton's method on the state of every point (open, closed, crushed, on its floor), from "closed everywhere".

    Parameters
    ----------
    blocks : ndarray, shape (copies, m, m)
        Flexibility between sectors, rotor and hub together. [mm/N]
    free : ndarray, shape (copies * m,)
        Opening of the face nodes by the studs alone. [mm]
    places : ndarray, shape (copies * m, modes)
        Rigid motions of the rotor at the face nodes: shift, then tilts.
    balance : ndarray, shape (modes,)
        Force and moments that the contact has to give. [N, N mm]
    """
    state = np.tile([[True], [False], [False]], zone.area.size)
    modes = places.shape[1]
    at_node, spread = zone.shape.tocsc()[:, half.node].tocsr(), zone.shape @ half.spread
    weight = half.spread.T @ places
    for iteration in range(1, MOST_ITERATIONS + 1):
        constant, slope = _law(zone, state, layer_n_mm3)
        busy = (constant != 0.0) | (slope != 0.0)
        spring, push_at = slope[busy] * zone.area[busy], constant[busy] * zone.area[busy]
        nodes = np.unique(spread[busy].indices)
        push, follow = at_node[busy][:, nodes], spread[busy][:, nodes]
        stiffness = (push.T @ follow.multiply(spring[:, None])).tocsr()
        full = half.node[nodes]
        system = np.zeros((nodes.size + modes, nodes.size + modes))
        system[:-modes, :-modes] = stiffness @ _between(blocks, half, nodes)
        system[np.arange(nodes.size), np.arange(nodes.size)] += 1.0
        system[:-modes, -modes:] = stiffness @ places[full]
        system[-modes:, :-modes] = weight[nodes].T
        right = np.append(push.T @ push_at - stiffness @ free[full], balance)
        found = np.linalg.solve(system, right)
        kept = np.zeros(half.node.size)
        kept[nodes] = found[:-modes]
        force, rigid = half.spread @ kept, found[-modes:]
        opening = zone.shape @ (_product(blocks, force) + free + places @ rigid)
        gap = opening + zone.start_gap
        now = np.array([gap < 0.0, -layer_n_mm3 * gap > zone.cap, opening + zone.floor_gap < 0.0])
        if (now == state).all():
            return Answer(force, constant - slope * opening, rigid, iteration)
        state = now
    raise RuntimeError("the contact did not settle")


def _law(zone: Facets, state: NDArray[np.bool_], layer_n_mm3: float) -> tuple[Floats, Floats]:
    """Pressure of each point as constant - slope * opening, in its present state."""
    closed, crushed, on_floor = state
    springing = closed & ~crushed
    constant = np.where(springing, -layer_n_mm3 * zone.start_gap, 0.0)
    constant = np.where(crushed, zone.cap, constant)
    slope = np.where(springing, layer_n_mm3, 0.0)
    constant += np.where(on_floor, -layer_n_mm3 * np.where(on_floor, zone.floor_gap, 0.0), 0.0)
    return constant, slope + np.where(on_floor, layer_n_mm3, 0.0)


def _between(blocks: Floats, half: Fold, nodes: Ints) -> Floats:
    """Opening of the kept nodes by unit forces on the kept nodes and their images."""
    copies, size, _ = blocks.shape
    sector, row = np.divmod(half.node[nodes], size)

    def of(source: Ints) -> Floats:
        other, column = np.divmod(source, size)
        return blocks[(sector[:, None] - other[None, :]) % copies, row[:, None], column[None, :]]

    own = of(half.node[nodes])
    twice = half.mirror[nodes] != half.node[nodes]
    if twice.any():
        own[:, twice] += of(half.mirror[nodes[twice]])
    return own


def _product(blocks: Floats, force: Floats) -> Floats:
    copies, size, _ = blocks.shape
    waves = np.einsum("nij,nj->ni", by_wave(blocks), by_wave(force.reshape(copies, size)))
    return by_sector(waves, copies).ravel()


def seat(case: Case, mirror_deg: float | None, fine: Fineness, edges_mm: tuple[float, ...] = ()) -> tuple[dict, dict]:
    """Seat a case; outputs as stored, and what it took.

    ``edges_mm`` are the radii at which patches may end: the same for a family of cases, so that bodies are shared.
    A patch whose sides lie on no mesh plane is a ``ValueError``.
    """
    _on_planes(case, fine)
    before = [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    wheel_on = case.studs.clamped_by == "wheel"
    r_face = cases.face_lines(case, fine.density, (*edges_mm, *cases.pad_breaks(case, fine.density)[:1]))
    key = (_section_case(case), tuple(r_face.tolist()), fine)
    rotor = _rotor(*key)
    hub = None if case.hub.material == "rigid" else _hub(*key)
    r_pad = _pad_radii(case, r_face, fine)
    wheel = _wheel(key[0], tuple(r_pad.tolist()), fine) if wheel_on else None
    clamp = np.array([force for _, force in cases.pulls(case)])
    copies, on_face = fine.copies, r_face.size * len(fine.planes_deg)
    rings = r_face.size + r_pad.size
    # What opens the face lifts the rotor; what opens the pad lets it down.
    sign = np.where(np.arange(rotor.flexibility.face.shape[1]) < on_face, 1.0, -1.0)
    waves = rotor.flexibility.face * sign[:, None] * sign
    on_rotor = np.zeros_like(clamp) if wheel_on else clamp
    studs = -sign[:, None] * rotor.flexibility.face_of_load @ on_rotor
    if hub is not None:
        waves[:, :on_face, :on_face] += hub.flexibility.face
        studs[:, :on_face] -= hub.flexibility.face_of_load @ clamp
    modes = _modes(mirror_deg)
    zone = facets(case, r_face, fine, rings)
    if wheel is None:
        places, balance = _places(r_face, fine, case) @ modes, modes.T @ rotor.resultant @ clamp
    else:
        waves[:, on_face:, on_face:] += wheel.flexibility.face
        studs[:, on_face:] -= wheel.flexibility.face_of_load @ clamp
        zone = both(zone, facets(case, r_pad, fine, rings, r_face.size))
        at = [_places(r, fine).reshape(copies, -1, 3) @ modes for r in (r_face, r_pad)]
        rotors, wheels = np.concatenate([at[0], -at[1]], axis=1), np.concatenate([0.0 * at[0], at[1]], axis=1)
        places = np.concatenate([rotors, wheels], axis=2).reshape(copies * sign.size, -1)
        balance = np.concatenate([np.zeros(modes.shape[1]), modes.T @ wheel.resultant @ clamp])
    answer = solve_contact(
        by_sector(waves, copies),
        by_sector(studs, copies).ravel(),
        places,
        balance,
        zone,
        fold(fine, rings, mirror_deg),
        case.contact.layer_stiffness_n_mm3,
    )
    rigid = modes @ answer.rigid[: modes.shape[1]]
    pushed = answer.force * np.tile(sign, copies)
    faces = [_gauge(case, rotor, pushed, rigid, on_rotor, fine, name) for name in ("OUTBOARD", "INBOARD")]
    force = answer.pressure * zone.area
    names = {number: "FACE" if number < 0 else f"PAD{number}" for number in range(-1, len(case.debris))}
    forces = {name: float(force[zone.owner == number].sum()) for number, name in names.items()}
    outputs = results.seating_outputs(*faces, forces, len(case.debris))
    outputs["force_residual"] = float(force[zone.owner != PAD].sum() / clamp.sum() - 1.0)
    after = [resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN)]
    spent = sum(a.ru_utime + a.ru_stime - b.ru_utime - b.ru_stime for a, b in zip(after, before, strict=True))
    bodies = [body for body in (rotor, hub, wheel) if body is not None]
    return outputs, {
        "nodes": sum(body.nodes for body in bodies),
        "elements": sum(body.elements for body in bodies),
        "iterations": answer.iterations,
        "cpu_s": round(spent, 1),
        "peak_mb": round(after[0].ru_maxrss / 1024.0),
    }


def _on_planes(case: Case, fine: Fineness) -> None:
    """Refuse a patch whose sides cut facets: which side such a facet goes to is chance, and no longer symmetric."""
    for patch in case.debris:
        sides = patch.angle_deg + 0.5 * patch.arc_deg * np.array([-1.0, 1.0])
        off = np.abs((sides[:, None] - fine.angles_deg + 180.0) % 360.0 - 180.0).min(axis=1).max()
        if off > 1e-6:
            raise ValueError(f"a patch at {patch.angle_deg:g} deg ends {off:.3g} deg beside the nearest mesh plane")


def _pad_radii(case: Case, r_face: Floats, fine: Fineness) -> Floats:
    """Radii of the mesh lines under the wheel's pad, the rotor's own. [mm]"""
    if case.studs.clamped_by != "wheel":
        return np.zeros(0)
    return _pad_lines(case, cases.rotor_mesh(case, r_face, np.append(fine.planes_deg, fine.pitch_deg), fine.density))


def _places(r_face: Floats, fine: Fineness, case: Case | None = None) -> Floats:
    angle = np.radians(fine.angles_deg.reshape(fine.copies, 1, -1))
    if case is not None and bolted.is_drilled(case):
        at = bolted.bent(case, *np.broadcast_arrays(r_face[None, :, None], np.degrees(angle)))
        return np.column_stack([np.ones(at[..., 0].size), at[..., 0].ravel(), at[..., 1].ravel()])
    x, y = r_face[None, :, None] * np.cos(angle), r_face[None, :, None] * np.sin(angle)
    return np.column_stack([np.ones(x.size), x.ravel(), y.ravel()])


def _modes(mirror_deg: float | None) -> Floats:
    """Shift and tilts about x and y, or shift and the one tilt that a plane of symmetry leaves."""
    if mirror_deg is None:
        return np.eye(3)
    turn = np.radians(mirror_deg)
    return np.array([[1.0, 0.0], [0.0, np.cos(turn)], [0.0, np.sin(turn)]])


def _gauge(case: Case, rotor: Pieces, force: Floats, rigid: Floats, clamp: Floats, fine: Fineness, name: str) -> Floats:
    """Axial movement under the dial at every degree. [mm]"""
    part = rotor.flexibility
    pushed = np.einsum("npm,nm->np", part.gauge[name], by_wave(force.reshape(fine.copies, -1)))
    moved = by_sector(pushed - part.gauge_of_load[name] @ clamp, fine.copies).ravel()
    radius = 0.5 * case.rotor.outer_diameter_mm - case.gauge.from_edge_mm
    angle = np.radians(fine.angles_deg)
    shift, along_x, along_y = rigid
    moved = moved + shift + radius * (along_x * np.cos(angle) + along_y * np.sin(angle))
    return results.full_turn(fine.angles_deg, moved, False, 0.0)
