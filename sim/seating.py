"""Seating: a rotor clamped on a hub face with whatever lies between them, and the runout that results."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from sim import contact
from sim.cells import COVERED, Block, patch_block, share_in_circles, share_in_sector
from sim.clamp import preloads_n, proof_warnings, stud_angles_rad
from sim.contact import Checks, Problem, Solution
from sim.deformation import Deformation
from sim.pair import PRESETS, Body, Pair, Progress, prepare, silent, weights
from sim.parts import Case
from sim.recovery import recover
from sim.ring import tir

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

TRACE_POINTS = 360
BARE = -1


@dataclass(frozen=True, eq=False)
class Cells:
    """Every contact cell, for pictures; HUB frame.

    ``debris_index`` is the position in ``case.debris``, -1 on the bare face.
    """

    inner_radius_mm: Floats
    outer_radius_mm: Floats
    angle_deg: Floats
    arc_deg: Floats
    pressure_mpa: Floats
    gap_um: Floats
    debris_index: NDArray[np.int64]


@dataclass(frozen=True)
class ContactSummary:
    """What carries the clamp force."""

    closed_fraction: float
    debris_force_n: tuple[float, ...]
    residual_height_um: tuple[float, ...]
    max_pressure_mpa: float


@dataclass(frozen=True, eq=False)
class Loads:
    """Nodal load amplitudes on both bodies; u(theta) = Re sum of c exp(i n theta). Shape (orders, nodes). [N]."""

    face: tuple[Complexes, ...]
    studs: Complexes


@dataclass(frozen=True, eq=False)
class Seat:
    """A seated rotor.

    Parameters
    ----------
    case : Case
    preset : str
    angle_deg : ndarray, shape (360,)
        ROTOR frame.
    outboard_um, inboard_um : ndarray, shape (360,)
        Mounted traces at the gauge radius, + outboard, mean removed; the rotor's own runout and thickness variation in.
    thickness_um : ndarray, shape (360,)
        Outboard minus inboard.
    lateral_runout_um : dict
        TIR of each face.
    stud_preload_n : tuple of float
    contact : ContactSummary
    cells : Cells
    checks : Checks
    warnings : tuple of str
    """

    case: Case
    preset: str
    angle_deg: Floats
    outboard_um: Floats
    inboard_um: Floats
    thickness_um: Floats
    lateral_runout_um: dict[str, float]
    stud_preload_n: tuple[float, ...]
    contact: ContactSummary
    cells: Cells
    checks: Checks
    warnings: tuple[str, ...]
    motion: Floats = field(repr=False)
    loads: Loads = field(repr=False)

    def face_trace(self, radius_mm: float, face: str = "outboard") -> Floats:
        """Mounted trace at any radius of a friction face, mean removed, ROTOR frame. Shape (360,). [um]."""
        return _trace_um(prepare(self.case, self.preset), self.case, self.loads, self.motion, radius_mm, face)

    def rotor_deformation(self) -> Deformation:
        """Displacement of the whole rotor, rigid motion in, HUB frame."""
        pair = prepare(self.case, self.preset)
        return recover(
            self.case, PRESETS[self.preset], "rotor", pair.rotor, self.loads.face[0], self.loads.studs, self.motion
        )

    def hub_deformation(self) -> Deformation | None:
        """Displacement of the hub, HUB frame; None where it is rigid."""
        pair = prepare(self.case, self.preset)
        if pair.hub is None:
            return None
        return recover(self.case, PRESETS[self.preset], "hub", pair.hub, -self.loads.face[1], -self.loads.studs, None)


def turn_rad(case: Case) -> float:
    """Hub angle of the rotor's zero. [rad]."""
    return 2 * np.pi * case.studs.studs_turned / case.studs.count


@dataclass(frozen=True, eq=False)
class _Patch:
    block: Block
    kept: NDArray[np.int64]
    height_mm: float
    index: int


def seat(case: Case, preset: str = "standard", progress: Progress = silent) -> Seat:
    """Seat a rotor on its hub.

    Parameters
    ----------
    case : Case
    preset : {"standard", "fast", "fine"}
    progress : callable(fraction, what), optional

    Returns
    -------
    Seat

    Raises
    ------
    BadInput
        If debris cannot lie where it is said to.
    Refused
        If no nut is on, the forces cannot seat the rotor, or no solution with proof is found.
    """
    loads_n = preloads_n(case.studs)
    pair = prepare(case, preset, progress)
    patches = _patches(pair, case)
    stud_wave = np.exp(-1j * np.outer(np.arange(pair.orders), stud_angles_rad(case.studs.count))) @ np.array(loads_n)
    problem = _problem(pair, case, patches, stud_wave, loads_n)
    solution = contact.solve(problem, _start(pair, case, patches, problem))
    return _result(pair, case, preset, patches, stud_wave, solution)


def _patches(pair: Pair, case: Case) -> list[_Patch]:
    """Return what is left of each raised patch: cells off the stud holes and not under a higher patch."""
    turn, finest = turn_rad(case), np.pi / pair.orders
    raised = [(i, d) for i, d in enumerate(case.debris) if d.height_um > 0]
    out = []
    for index, debris in raised:
        block = patch_block(debris, pair.zone_mm, turn, finest)
        if block is None:
            continue
        lost = share_in_circles(
            block, case.studs.pitch_circle_mm / 2, stud_angles_rad(case.studs.count), case.rotor.hole_diameter_mm / 2
        )
        for other_index, other in raised:
            higher = (other.height_um, -other_index) > (debris.height_um, -index)
            if other_index != index and higher:
                lost = np.maximum(lost, share_in_sector(block, other, turn))
        kept = np.flatnonzero(lost <= COVERED)
        if kept.size:
            out.append(_Patch(block, kept, debris.height_um / 1000.0, index))
    return out


def _heights_mm(pair: Pair, case: Case, block: Block) -> Floats:
    """Height of both faces together, over the cells of a block: hub-face runout and both dishes. [mm]."""
    inner, outer, _ = block.flat()
    mean = pair.grid_rigid if block is pair.grid else block.rigid()
    hub = case.hub
    slope = hub.face_runout_um / 2000.0 / hub.face_runout_radius_mm
    spot = np.deg2rad(hub.face_high_spot_deg)
    height = slope * (np.cos(spot) * mean[:, 1] + np.sin(spot) * mean[:, 2])
    middle = (inner + outer) / 2
    hub_in, hub_out = hub.face_inner_diameter_mm / 2, hub.face_diameter_mm / 2
    rotor = case.rotor
    rotor_in, rotor_out = rotor.bore_diameter_mm / 2, rotor.hat_outer_diameter_mm / 2 - rotor.hat_wall_mm
    for dish_um, low, high in ((hub.face_dish_um, hub_in, hub_out), (rotor.flange_dish_um, rotor_in, rotor_out)):
        height = height - dish_um / 1000.0 * np.clip((high - middle) / (high - low), 0.0, 1.0)
    return height


def _hollowed(case: Case, block: Block) -> Floats:
    """Depth of hollows ground into either face, averaged over each cell. [mm]."""
    depth = np.zeros(block.size)
    for debris in case.debris:
        if debris.height_um < 0:
            depth = np.minimum(depth, debris.height_um / 1000.0 * share_in_sector(block, debris, turn_rad(case)))
    return depth


@lru_cache(maxsize=64)
def _rows(pair: Pair, body: Body, block: Block) -> Floats:
    return body.grid_rows if block is pair.grid else body.ring_rows(block)


def _waves(pair: Pair, block: Block) -> Complexes:
    """exp(i n theta) at the block's angles. Shape (angles, orders)."""
    if block is pair.grid:
        return pair.grid_waves
    return np.exp(1j * np.outer(block.angle_rad, np.arange(pair.orders)))


def _stud_gap(pair: Pair, block: Block, stud_wave: Complexes) -> Floats:
    """Gap over a block from the studs alone, both bodies together. Shape (cells,). [mm]."""
    rings = sum(body.studs @ _rows(pair, body, block).T for body in pair.bodies)
    amplitude = rings * (block.averaging(pair.orders) * stud_wave)[:, None]
    return -(_waves(pair, block) @ amplitude).real.ravel()


def _cross(pair: Pair, left: Block, right: Block) -> Floats:
    """Flexibility between the cells of two blocks. Shape (left cells, right cells). [mm/N]."""
    orders = pair.orders
    ring_pair = np.zeros((orders, left.inner_mm.size, right.inner_mm.size))
    for k, body in enumerate(pair.bodies):
        half = pair.half[k] if right is pair.grid else body.face @ _rows(pair, body, right).T
        ring_pair += _rows(pair, body, left) @ half
    factor = weights(orders) * left.averaging(orders) * right.averaging(orders)
    a, b = _waves(pair, left), _waves(pair, right)
    table = (a[:, None, :] * b.conj()[None, :, :]).real.reshape(-1, orders)
    product = table @ (ring_pair * factor[:, None, None]).reshape(orders, -1)
    shape = (left.angle_rad.size, right.angle_rad.size, left.inner_mm.size, right.inner_mm.size)
    return product.reshape(shape).transpose(0, 2, 1, 3).reshape(left.size, right.size)


def _problem(
    pair: Pair, case: Case, patches: list[_Patch], stud_wave: Complexes, loads_n: tuple[float, ...]
) -> Problem:
    grid, kept = pair.grid, pair.kept
    size = kept.size + sum(p.kept.size for p in patches)
    matrix = np.empty((size, size))
    matrix[: kept.size, : kept.size] = pair.grid_flexibility
    start = kept.size
    starts = []
    for k, patch in enumerate(patches):
        end = start + patch.kept.size
        rows = _cross(pair, patch.block, grid)[np.ix_(patch.kept, kept)]
        matrix[start:end, : kept.size] = rows
        matrix[: kept.size, start:end] = rows.T
        for other, (a, b) in zip(patches[: k + 1], [*starts, (start, end)], strict=True):
            part = _cross(pair, patch.block, other.block)[np.ix_(patch.kept, other.kept)]
            matrix[start:end, a:b] = part
            matrix[a:b, start:end] = part.T
        starts.append((start, end))
        start = end
    blocks = [(grid, kept, None), *((p.block, p.kept, p.height_mm) for p in patches)]
    area = np.concatenate([b.area_mm2()[k] for b, k, _ in blocks])
    matrix[np.diag_indices(size)] += 1 / (case.contact.layer_stiffness_n_mm3 * area)
    offset = []
    for block, keep, raised in blocks:
        height = _heights_mm(pair, case, block) + (_hollowed(case, block) if raised is None else raised)
        offset.append((_stud_gap(pair, block, stud_wave) - height)[keep])
    rigid = np.vstack([(pair.grid_rigid if b is grid else b.rigid())[k] for b, k, _ in blocks])
    angle, pitch = stud_angles_rad(case.studs.count), case.studs.pitch_circle_mm / 2
    forces = np.array(loads_n)
    load = np.array([forces.sum(), pitch * forces @ np.cos(angle), pitch * forces @ np.sin(angle)])
    return Problem(matrix, np.concatenate(offset), rigid, load, np.full(size, np.inf))


@lru_cache(maxsize=8)
def _flat_set(pair: Pair, count: int, layer: float) -> NDArray[np.bool_]:
    """Cells that a clean flat face closes under even studs: a good start for everything else."""
    case = Case(rotor=pair.key.rotor, hub=pair.key.hub, studs=pair.key.studs)
    wave = np.exp(-1j * np.outer(np.arange(pair.orders), stud_angles_rad(count))) @ np.ones(count)
    problem = _problem(pair, case, [], wave, (1.0,) * count)
    problem.flexibility[np.diag_indices(pair.kept.size)] += (
        1 / layer - 1 / case.contact.layer_stiffness_n_mm3
    ) / pair.grid.area_mm2()[pair.kept]
    return contact.solve(problem).force > 0


def _start(pair: Pair, case: Case, patches: list[_Patch], problem: Problem) -> NDArray[np.bool_]:
    flat = _flat_set(pair, case.studs.count, case.contact.layer_stiffness_n_mm3)
    start = np.ones(problem.offset.size, dtype=bool)
    start[: flat.size] = flat
    return start


def _result(
    pair: Pair, case: Case, preset: str, patches: list[_Patch], stud_wave: Complexes, solution: Solution
) -> Seat:
    force = solution.force
    parts = _split(pair, patches, force)
    loads = Loads(tuple(_face_wave(pair, body, parts) for body in pair.bodies), -stud_wave)
    gauge_mm = case.rotor.outer_diameter_mm / 2 - case.gauge.from_edge_mm
    # The solver's rigid amounts carry the sign of the gap equation g = C p + q + R a, which is the rotor's own motion.
    outboard = _trace_um(pair, case, loads, solution.motion, gauge_mm, "outboard")
    inboard = _trace_um(pair, case, loads, solution.motion, gauge_mm, "inboard")
    summary, cells = _summary(pair, case, patches, solution)
    return Seat(
        case=case,
        preset=preset,
        angle_deg=np.arange(TRACE_POINTS, dtype=float),
        outboard_um=outboard,
        inboard_um=inboard,
        thickness_um=outboard - inboard,
        lateral_runout_um={"outboard": tir(outboard), "inboard": tir(inboard)},
        stud_preload_n=preloads_n(case.studs),
        contact=summary,
        cells=cells,
        checks=solution.checks,
        warnings=pair.words + proof_warnings(case.studs) + _patch_warnings(case, pair, patches),
        motion=solution.motion,
        loads=loads,
    )


def _split(pair: Pair, patches: list[_Patch], force: Floats) -> list[tuple[Block, Floats]]:
    """Forces back on their blocks, zero where a cell was left out."""
    out, start = [], pair.kept.size
    full = np.zeros(pair.grid.size)
    full[pair.kept] = force[:start]
    out.append((pair.grid, full))
    for patch in patches:
        full = np.zeros(patch.block.size)
        full[patch.kept] = force[start : start + patch.kept.size]
        start += patch.kept.size
        out.append((patch.block, full))
    return out


def _face_wave(pair: Pair, body: Body, parts: list[tuple[Block, Floats]]) -> Complexes:
    """Nodal load amplitudes on a body's face from the cell forces. Shape (orders, m)."""
    total = np.zeros((pair.orders, body.face_r_mm.size), dtype=complex)
    for block, force in parts:
        rings = _waves(pair, block).conj().T @ force.reshape(block.angle_rad.size, block.inner_mm.size)
        factor = block.averaging(pair.orders) * weights(pair.orders)
        total += factor[:, None] * (rings @ _rows(pair, body, block))
    return total


def _trace_um(pair: Pair, case: Case, loads: Loads, motion: Floats, radius_mm: float, face: str) -> Floats:
    """Axial position of a friction face at one radius, mean removed, ROTOR frame. [um]."""
    body = pair.rotor
    ports = body.flexibility.ports
    rows = ports.outboard if face == "outboard" else ports.inboard
    row = _row_at(ports.r_mm[rows], radius_mm)
    used = np.flatnonzero(row)
    response = np.tensordot(row[used], body.flexibility.response[:, rows[used], :], axes=(0, 1))
    wave = np.einsum("ni,ni->n", response[:, ports.face], loads.face[0])
    wave = wave + loads.studs * np.einsum("ni,ni->n", response[:, ports.top], body.stud_load)
    wave[1] += radius_mm * (motion[1] - 1j * motion[2])
    wave[0] = 0.0
    wave = wave * 1000.0 * np.exp(1j * np.arange(pair.orders) * turn_rad(case))
    rotor = case.rotor
    reference = rotor.own_runout_radius_mm or rotor.outer_diameter_mm / 2 - 10.0
    wave[1] += rotor.own_runout_um / 2 * radius_mm / reference * np.exp(-1j * np.deg2rad(rotor.own_high_spot_deg))
    side = 0.5 if face == "outboard" else -0.5
    wave[1] += side * rotor.own_thickness_variation_um / 2 * np.exp(-1j * np.deg2rad(rotor.own_thick_spot_deg))
    spectrum = np.zeros(TRACE_POINTS // 2 + 1, dtype=complex)
    count = min(pair.orders, spectrum.size - 1)
    spectrum[1:count] = wave[1:count] * TRACE_POINTS / 2
    return np.fft.irfft(spectrum, TRACE_POINTS)


def _row_at(nodes_mm: Floats, radius_mm: float) -> Floats:
    """Quadratic interpolation row along a line of quadratic elements."""
    row = np.zeros(nodes_mm.size)
    k = int(np.clip(2 * ((np.searchsorted(nodes_mm, radius_mm - 1e-9) - 1) // 2), 0, nodes_mm.size - 3))
    a, m, b = nodes_mm[k : k + 3]
    x = radius_mm
    row[k] = (x - m) * (x - b) / ((a - m) * (a - b))
    row[k + 1] = (x - a) * (x - b) / ((m - a) * (m - b))
    row[k + 2] = (x - a) * (x - m) / ((b - a) * (b - m))
    return row


def _summary(pair: Pair, case: Case, patches: list[_Patch], solution: Solution) -> tuple[ContactSummary, Cells]:
    blocks = [(pair.grid, pair.kept, BARE), *((p.block, p.kept, p.index) for p in patches)]
    inner, outer, angle = (np.concatenate([b.flat()[i][k] for b, k, _ in blocks]) for i in range(3))
    arc = np.concatenate([np.full(k.size, b.arc_rad) for b, k, _ in blocks])
    index = np.concatenate([np.full(k.size, i) for _, k, i in blocks])
    area = np.concatenate([b.area_mm2()[k] for b, k, _ in blocks])
    pressure = solution.force / area
    bare = index == BARE
    zone = np.pi * (pair.zone_mm[1] ** 2 - pair.zone_mm[0] ** 2)
    footprint = float(area[~bare].sum())
    closed = float(area[bare & (solution.force > 0)].sum()) / (zone - footprint)
    shares = tuple(float(solution.force[index == i].sum()) for i in range(len(case.debris)))
    heights = tuple(float(d.height_um) for d in case.debris)
    cells = Cells(inner, outer, np.rad2deg(angle) % 360.0, np.rad2deg(arc), pressure, solution.gap * 1000.0, index)
    return ContactSummary(min(closed, 1.0), shares, heights, float(pressure.max())), cells


def _patch_warnings(case: Case, pair: Pair, patches: list[_Patch]) -> tuple[str, ...]:
    kept = {patch.index: patch for patch in patches}
    out = []
    for index, debris in enumerate(case.debris):
        name = f"debris {index + 1}"
        if debris.height_um <= 0:
            continue
        patch = kept.get(index)
        if patch is None:
            out.append(f"{name}: lies where the faces cannot touch, or under something higher; it carries nothing")
            continue
        whole = np.deg2rad(debris.arc_deg) * (debris.outer_radius_mm**2 - debris.inner_radius_mm**2) / 2
        carries = patch.block.area_mm2()[patch.kept].sum() / whole
        if carries < 0.999:
            out.append(
                f"{name}: {100 * (1 - carries):.0f} % of it lies in a stud hole, off the contact zone or under "
                "something higher and carries nothing"
            )
    return tuple(out)
