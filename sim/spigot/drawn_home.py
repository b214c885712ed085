"""A rotor drawn home over a tight bore: face and bore in one contact problem, without friction.

To the face cells of a seating come the cells of the bore, and to its rigid motions two sideways shifts. Everything else
is the same quadratic programme. What the bore's pressure does to the hat and the friction faces follows from the same
flexibility; its stress from stored stress rows.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from sim.arrays import Complexes, Floats
from sim.errors import Refused
from sim.one_thread import one_thread
from sim.parts.case import Case
from sim.parts.spigot_room import CHAMFER_MM, bore_reach_mm, in_root, root_overlap_mm
from sim.seating.dial_trace import Loads, mounted_trace_um, trace_of
from sim.seating.equations import contact_problem, nodal_wave, stud_wave
from sim.seating.flexibility import BACK, FACE
from sim.seating.lying_between import Surface, surfaces, turn_rad
from sim.seating.prepared import Pair
from sim.seating.studs import Pulls
from sim.solvers import contact
from sim.solvers.contact import Checks, Problem, Solution
from sim.spigot.bore_cells import (
    SLOPE,
    BoreCells,
    Rows,
    axial_rows,
    band_mean,
    bore_flexibility,
    bore_ports,
    radial_rows,
    rigid_rows,
    stud_gap,
    with_surface,
)
from sim.spigot.bore_cells import nodal_wave as bore_wave
from sim.spigot.bore_cut import BAND_MM, overlap_mm, scale_columns
from sim.units import shortest_rad

ROOT_BAND_MM = 0.5  # width of the chamfer that root scale bears on: judgement
# Friction that is locked in follows from the push, and the push from the friction: how well the two must fit in the
# end, as a share of the largest push of a cell. A pass leaves a tenth or less of the misfit at a friction of 0.4.
LOCKED, MOST_PASSES = 1e-10, 60


@dataclass(frozen=True, eq=False)
class Home:
    """A rotor held on the face by its studs, bore and face in contact.

    Parameters
    ----------
    cells : BoreCells
    force_n, gap_mm : ndarray, shape (cells,)
        Push of each bore cell on the rotor, and its gap.
    pressure_mpa : ndarray, shape (cells,)
    motion : ndarray, shape (5,)
        Axial shift [mm], two tilts [rad], two sideways shifts [mm].
    loads : Loads
        Face and stud loads.
    bore : tuple of ndarray of complex, shape (orders, ports)
        Load on the bore ports of the rotor and on the spigot ports of the hub. [N]
    face_gap_um : float
        Mean gap of the bare face, area by area. [um]
    checks : Checks
    locked : float
        Worst misfit of locked friction and the push that holds it, as a share of the largest push; 0 without friction.
    """

    cells: BoreCells
    force_n: Floats
    gap_mm: Floats
    pressure_mpa: Floats
    motion: Floats
    loads: Loads
    bore: tuple[Complexes, ...]
    face_gap_um: float
    checks: Checks
    locked: float = 0.0


def home_cells(case: Case) -> BoreCells:
    """Cells of the bore of a rotor that is home, cut along the borders of all scale.

    Heights in mm. Size of the bands: judgement, tried against finer ones.
    """
    columns = scale_columns(case)
    reach = bore_reach_mm(case)
    breaks = {0.0, reach} | {
        z for s in case.spigot_scale if not in_root(s) for z in (s.from_face_mm, s.to_face_mm) if 0.0 < z < reach
    }
    marks = sorted(breaks)
    bands = [_even(a, b, BAND_MM) for a, b in zip(marks, marks[1:], strict=False)]
    low, high = np.concatenate([b[:-1] for b in bands]), np.concatenate([b[1:] for b in bands])
    count = len(columns.angle_rad)
    overlap, scale = overlap_mm(case, np.array(columns.angle_rad)[:, None], (low + high) / 2)
    cells = BoreCells(
        columns=columns,
        column=np.repeat(np.arange(count), low.size),
        low_mm=np.tile(low, count),
        high_mm=np.tile(high, count),
        overlap_mm=overlap.ravel(),
        scale=scale.ravel(),
        lift_mm=np.zeros(count * low.size),
        chamfer=np.zeros(count * low.size, dtype=bool),
    )
    return _with_root(case, cells)


def _even(a: float, b: float, size: float) -> Floats:
    return np.linspace(a, b, max(1, int(np.ceil((b - a) / size - 1e-9))) + 1)


def _with_root(case: Case, cells: BoreCells) -> BoreCells:
    """Add one cell of the chamfer in every column over root scale that it cannot clear."""
    found: dict[int, tuple[float, int]] = {}
    for index, scale in enumerate(case.spigot_scale):
        lift = root_overlap_mm(case, scale) if in_root(scale) else 0.0
        if lift <= 0.0:
            continue
        angle = np.array(cells.columns.angle_rad)
        away = np.abs(shortest_rad(angle - np.deg2rad(scale.angle_deg)))
        for column in np.flatnonzero(away < np.deg2rad(scale.arc_deg) / 2):
            found[int(column)] = max(found.get(int(column), (0.0, -1)), (lift, index))
    if not found:
        return cells
    more = len(found)
    return BoreCells(
        columns=cells.columns,
        column=np.append(cells.column, list(found)),
        low_mm=np.append(cells.low_mm, np.zeros(more)),
        high_mm=np.append(cells.high_mm, np.full(more, min(ROOT_BAND_MM, CHAMFER_MM))),
        overlap_mm=np.append(cells.overlap_mm, [SLOPE * lift for lift, _ in found.values()]),
        scale=np.append(cells.scale, [index for _, index in found.values()]),
        lift_mm=np.append(cells.lift_mm, np.zeros(more)),
        chamfer=np.append(cells.chamfer, np.ones(more, dtype=bool)),
    )


@dataclass(frozen=True, eq=False)
class Joint:
    """Face and bore of a rotor that is drawn home, as one contact problem without friction, solved.

    From it follows what the same rotor does when friction is locked in on the bore.
    """

    pair: Pair
    case: Case
    pulled: Pulls
    found: list[Surface]
    problem: Problem
    cells: BoreCells
    radial: list[Rows]
    solution: Solution

    @property
    def face_count(self) -> int:
        """Number of cells that are not the bore's."""
        return self.problem.offset.size - self.cells.size

    @cached_property
    def axial(self) -> list[Rows]:
        """How the bore cells of each body move axially."""
        return [axial_rows(body, self.cells, hub=k == 1) for k, body in enumerate(self.pair.bodies)]

    @cached_property
    def rubbed_gap(self) -> Floats:
        """Gap of every cell per axial force on the rotor's bore cells; the spigot feels their opposite. [mm/N]."""
        pair, columns = self.pair, self.cells.columns
        over = [with_surface(pair, columns, self.axial, surface) for surface in self.found]
        return np.vstack([*over, bore_flexibility(pair, columns, self.radial, self.axial)])

    def home(self, friction_share: Floats | None = None) -> Home:
        """Return the rotor that is home.

        Parameters
        ----------
        friction_share : ndarray, shape (cells,), optional
            Axial force on the rotor as a share of each bore cell's push, + outboard; none if left out.

        Raises
        ------
        Refused
            If no solution with proof is found, or if friction and push do not come to fit each other.

        Notes
        -----
        Coulomb friction that is wholly used, in a direction that is given: rub = share x push, and push follows from
        rub (a fixed point). Frictionless closed forms: tests/verification/test_spigot_closed_forms.py.
        """
        solution = self.solution
        if friction_share is None:
            return self._result(solution, np.zeros(self.cells.size))
        for _ in range(MOST_PASSES):
            rub = friction_share * solution.force[self.face_count :]
            solution = contact.solve(self._rubbed(rub), solution.force > 0)
            push = solution.force[self.face_count :]
            misfit = float(np.abs(friction_share * push - rub).max()) / max(float(push.max()), 1.0)
            if misfit <= LOCKED:
                return self._result(solution, rub, misfit)
        raise Refused(f"friction locked in on the bore and the push that holds it do not settle: {misfit:.1e} apart")

    def _rubbed(self, rub_n: Floats) -> Problem:
        old = self.problem
        load = old.load.copy()
        rigid = rigid_rows(self.cells, self.case.rotor.bore_diameter_mm / 2, axial=True)
        load[:3] -= rigid[:, :3].T @ rub_n
        return Problem(old.flexibility, old.offset + self.rubbed_gap @ rub_n, old.rigid, load, old.cap)

    def _result(self, solution: Solution, rub_n: Floats, locked: float = 0.0) -> Home:
        pair, cells, n = self.pair, self.cells, self.face_count
        force = solution.force[n:]
        bore = []
        for k, out in enumerate(self.radial):
            load = bore_wave(pair, cells.columns, out, force)
            if rub_n.any():
                load += bore_wave(pair, cells.columns, self.axial[k], rub_n)
            bore.append(load if k == 0 else -load)
        bare = self.found[0]
        gap = solution.gap[: bare.kept.size]
        motion = np.append(solution.motion[:3], solution.motion[-2:])
        return Home(
            cells=cells,
            force_n=force,
            gap_mm=solution.gap[n:],
            pressure_mpa=force / cells.area_mm2(self.case.rotor.bore_diameter_mm / 2),
            motion=motion,
            loads=_face_loads(pair, self.found, self.pulled, solution.force[:n], motion),
            bore=tuple(bore),
            face_gap_um=1000.0 * float(np.maximum(gap, 0.0) @ bare.area_mm2 / bare.area_mm2.sum()),
            checks=solution.checks,
            locked=locked,
        )


@one_thread
def join(pair: Pair, case: Case, pulled: Pulls) -> Joint:
    """Seat a rotor whose bore is too tight for its spigot, without friction.

    Raises
    ------
    Refused
        If no solution with proof is found.
    """
    found, cells = surfaces(pair, case), home_cells(case)
    radial = [radial_rows(body, cells, hub=k == 1) for k, body in enumerate(pair.bodies)]
    problem = _assemble(pair, case, pulled, found, (cells, radial))
    solution = contact.solve(problem, _start(problem, problem.offset.size - cells.size))
    return Joint(pair, case, pulled, found, problem, cells, radial, solution)


@one_thread
def draw_home(pair: Pair, case: Case, pulled: Pulls, friction_share: Floats | None = None) -> Home:
    """Seat a rotor whose bore is too tight for its spigot, as `join` and `Joint.home` do.

    Parameters
    ----------
    pair : Pair
    case : Case
    pulled : Pulls
        What clamps it.
    friction_share : ndarray, shape (cells,), optional
        Axial force on the rotor as a share of each bore cell's push, + outboard; none if left out.

    Returns
    -------
    Home

    Raises
    ------
    Refused
        If no solution with proof is found, or if friction and push do not come to fit each other.
    """
    return join(pair, case, pulled).home(friction_share)


def _assemble(
    pair: Pair, case: Case, pulled: Pulls, found: list[Surface], bore: tuple[BoreCells, list[Rows]]
) -> Problem:
    cells, radial = bore
    face = contact_problem(pair, found, pulled)
    columns, bore_r = cells.columns, case.rotor.bore_diameter_mm / 2
    n, m = face.offset.size, cells.size
    matrix = np.empty((n + m, n + m))
    matrix[:n, :n] = face.flexibility
    start = 0
    for surface in found:
        part = with_surface(pair, columns, radial, surface)
        matrix[start : start + part.shape[0], n:] = part
        start += part.shape[0]
    matrix[n:, :n] = matrix[:n, n:].T
    layer = 1 / case.contact.layer_stiffness_n_mm3
    matrix[n:, n:] = bore_flexibility(pair, columns, radial, radial)
    matrix[np.arange(n, n + m), np.arange(n, n + m)] += layer / cells.area_mm2(bore_r)
    wheel = any(surface.side == BACK for surface in found)
    pulled_bodies = tuple(body for body in pair.bodies if not (wheel and body is pair.rotor))
    gap = stud_gap(pair, columns, radial, stud_wave(pulled, pair.orders), pulled_bodies)
    rigid = np.zeros((n + m, face.rigid.shape[1] + 2))
    rigid[:n, :-2] = face.rigid
    mine = rigid_rows(cells, bore_r)
    rigid[n:, :3], rigid[n:, -2:] = mine[:, :3], mine[:, 3:]
    return Problem(
        flexibility=matrix,
        offset=np.append(face.offset, gap - cells.overlap_mm),
        rigid=rigid,
        load=np.append(face.load, [0.0, 0.0]),
        cap=np.append(face.cap, np.full(m, np.inf)),
    )


def _start(whole: Problem, n: int) -> NDArray[np.bool_]:
    """Cells to begin with: the face as it seats alone, and of the bore what overlaps most once it has moved aside."""
    alone = Problem(whole.flexibility[:n, :n], whole.offset[:n], whole.rigid[:n, :-2], whole.load[:-2], whole.cap[:n])
    closed = contact.solve(alone).force > 0
    lying = whole.offset[n:]
    normal = whole.rigid[n:, -2:]
    middle, tight = _least_overlap(lying, normal)
    gap = lying + normal @ middle
    return np.append(closed, gap < tight + 0.5 * max(-tight, 1e-3))


def _least_overlap(gap: Floats, normal: Floats) -> tuple[Floats, float]:
    """Shift that makes the smallest gap largest, by a few steps of subgradient ascent: a start need not be exact."""
    shift, best, kept = np.zeros(2), -np.inf, np.zeros(2)
    size = float(np.abs(gap).max()) or 1.0
    for step in range(200):
        now = gap + normal @ shift
        worst = int(np.argmin(now))
        if now[worst] > best:
            best, kept = float(now[worst]), shift
        shift = shift + size / (2 + step) * normal[worst]
    return kept, best


def _face_loads(pair: Pair, found: list[Surface], pulled: Pulls, force: Floats, motion: Floats) -> Loads:
    """Loads on the faces and the backs of both bodies."""
    parts: dict[str, list] = {FACE: [], BACK: []}
    start = 0
    for surface in found:
        whole = np.zeros(surface.block.size)
        whole[surface.kept] = force[start : start + surface.kept.size]
        start += surface.kept.size
        parts[surface.side].append((surface.block, whole))
    studs = stud_wave(pulled, pair.orders)[:, None]
    rotor = pair.rotor
    pressed = nodal_wave(pair, rotor, parts[BACK], BACK) if parts[BACK] else studs * rotor.stud_load
    face, back = [nodal_wave(pair, rotor, parts[FACE])], [-pressed]
    if pair.hub is not None:
        face.append(-nodal_wave(pair, pair.hub, parts[FACE]))
        back.append(studs * pair.hub.stud_load)
    return Loads(tuple(face), tuple(back), motion[:3])


@one_thread
def home_trace_um(pair: Pair, case: Case, home: Home, radius_mm: float, face: str) -> Floats:
    """Mounted trace of a friction face, the bore's push included, mean removed, ROTOR frame. Shape (360,). [um]."""
    return mounted_trace_um(pair, case, home.loads, radius_mm, face) + bore_trace_um(
        pair, case, home.bore[0], radius_mm, face
    )


@one_thread
def bore_trace_um(pair: Pair, case: Case, bore: Complexes, radius_mm: float, face: str) -> Floats:
    """What loads on the bore alone add to a mounted trace, ROTOR frame, mean removed. Shape (360,). [um].

    Superposition on the stored flexibility, as the face's part of the trace.
    """
    body = pair.rotor
    ports = body.flexibility.ports
    lines = ports.outboard if face == "outboard" else ports.inboard
    at = np.array([radius_mm])
    row = band_mean(ports.r_mm[lines], at, at)[0]
    response = np.tensordot(row, body.flexibility.response[:, lines][:, :, bore_ports(body)], axes=(0, 1))
    wave = 1000.0 * np.einsum("ni,ni->n", response, bore) * np.exp(1j * np.arange(pair.orders) * turn_rad(case))
    return trace_of(wave, pair.orders)
