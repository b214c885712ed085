"""Unilateral contact as a quadratic programme: which cells touch, and with what force.

    minimise  1/2 p'A p + q'p   subject to  R'p = b,  0 <= p <= cap

with A the flexibility, q the gap without contact force, R the rigid motion of each cell and b what balances the load.
The gap is g = A p + q + R a. Open cells: p = 0, g >= 0; closed: g = 0; capped: p = cap, g <= 0.

The primal-dual active set (Hintermueller, Ito and Kunisch, SIAM J. Optim. 13, 2003) is fast and nearly always ends;
when it cycles, only some of its changes are taken. Where that fails too, a primal active set (Nocedal and Wright,
Numerical Optimization, algorithm 16.3) takes over.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.linalg.lapack import dpotrf, dpotrs

from sim.arrays import Bools, Floats, Ints
from sim.errors import Refused
from sim.one_thread import one_thread
from sim.solvers.many import foreseen
from sim.solvers.shared_block import Joined

MAX_SET_CHANGES = 150  # most solves take 2 to 14; then one cell is moved at a time
SOME = 0.4  # share of the wished changes that are taken once the sets have come round to where they were
TOLERANCE = 1e-9  # relative residuals up to which a solve counts as proved
CAN_SEAT = 1e-7  # share of the load that may be left unbalanced before the load is called unseatable


@dataclass(frozen=True, eq=False)
class Problem:
    """A contact problem of n cells and k rigid motions.

    Parameters
    ----------
    flexibility : ndarray, shape (n, n)
        Symmetric positive definite, the contact layer on its diagonal included. [mm/N]
    offset : ndarray, shape (n,)
        Gap without contact force and without rigid motion. [mm]
    rigid : ndarray, shape (n, k)
        Displacement of the cells per unit of each rigid motion.
    load : ndarray, shape (k,)
        What the contact forces must add up to: R'p; forces first in every group of three, then moments. [N, N mm]
    cap : ndarray, shape (n,)
        Largest force of each cell; infinite where it cannot crush. [N]
    """

    flexibility: Floats
    offset: Floats
    rigid: Floats
    load: Floats
    cap: Floats

    def gap(self, force: Floats, motion: Floats) -> Floats:
        """Gap that comes of cell forces [N] and rigid motions [mm, rad]. Shape (n,). [mm]. Superposition."""
        found: Floats = self.flexibility @ force + self.offset + self.rigid @ motion
        return found

    def held(self, closed: Bools, capped: Bools) -> _Held | None:
        """Set up ``closed`` cells at no gap and ``capped`` ones at their cap; None if singular."""
        return _equality(self, closed, capped)


@dataclass(frozen=True)
class Checks:
    """Proof of a solve, all relative: force and moment left over, worst breach of complementarity, set changes."""

    force_residual: float
    moment_residual: float
    complementarity: float
    iterations: int


@dataclass(frozen=True, eq=False)
class Solution:
    """Cell forces [N], gaps [mm], rigid motions [mm, rad] and the proof."""

    force: Floats
    gap: Floats
    motion: Floats
    checks: Checks


@one_thread
def one_repeat(problem: Problem, alike: Ints) -> Problem:
    """Set up a contact problem over one repeat, where loads and gaps come again as the cells do.

    Parameters
    ----------
    problem : Problem
        Its rigid motions in threes, of which only the first of each, along the axis, turns into itself.
    alike : ndarray of int, shape (repeats, m)
        Its cells; those of a column turn into each other.

    Returns
    -------
    Problem
        Over the first row; the problem itself where there is one repeat.

    Notes
    -----
    All cells of a column press alike, hence their columns of the flexibility [mm/N] add up: superposition. Each repeat
    carries its share of the load [N] (statics).
    """
    repeats = alike.shape[0]
    if repeats == 1:
        return problem
    first = alike[0]
    flexibility = problem.flexibility[first][:, alike].sum(axis=1)
    return Problem(
        flexibility=(flexibility + flexibility.T) / 2,
        offset=problem.offset[first],
        rigid=problem.rigid[first, ::3],
        load=problem.load[::3] / repeats,
        cap=problem.cap[first],
    )


@one_thread
def solve(problem: Problem, start: Bools | None = None) -> Solution:
    """Solve a contact problem and prove it.

    Parameters
    ----------
    problem : Problem
    start : ndarray of bool, shape (n,), optional
        Cells thought to be closed; all of them if left out.

    Returns
    -------
    Solution

    Raises
    ------
    Refused
        If no set of pushing cells can balance the load, or no solution with proof is found.
    """
    closed = np.ones(problem.offset.size, dtype=bool) if start is None else start.copy()
    found = _primal_dual(problem, closed)
    if found is None:
        found = _primal(problem)
    solution = _proof(problem, *found)
    checks = solution.checks
    if not _worst(checks) <= TOLERANCE:
        raise Refused(
            f"the seating could not be proved: residuals force {checks.force_residual:.1e}, "
            f"moment {checks.moment_residual:.1e}, complementarity {checks.complementarity:.1e}"
        )
    return solution


@one_thread
def solve_joined(problem: Joined, start: Bools) -> Solution | None:
    """Solve a contact problem by what other problems with most of the same cells have eliminated already, and prove it.

    Parameters
    ----------
    problem : Joined
    start : ndarray of bool, shape (n,)
        Cells thought to be closed.

    Returns
    -------
    Solution or None
        The same as of `solve` to round-off, sooner; None where no solution with proof was found this way.
    """
    closed = start[problem.place]
    ahead = foreseen(problem, closed)
    found = None if ahead is None else _primal_dual(problem, *ahead)
    if found is None:
        found = _primal_dual(problem, closed)
    if found is None:
        return None
    solution = _proof(problem, *found)
    if not _worst(solution.checks) <= TOLERANCE:
        return None
    force, gap = np.empty_like(solution.force), np.empty_like(solution.gap)
    force[problem.place], gap[problem.place] = solution.force, solution.gap
    return replace(solution, force=force, gap=gap)


def _worst(checks: Checks) -> float:
    return float(np.max([checks.force_residual, checks.moment_residual, checks.complementarity]))  # keeps a NaN


@dataclass(frozen=True, eq=False)
class _Held:
    """Closed cells at no gap and capped ones at their cap: what is needed to solve for it, and to refine."""

    problem: Problem
    index: NDArray[np.int64]
    capped: Bools
    load: Floats
    solver: Callable[[Floats], Floats]
    solved: Floats
    schur: Floats

    def found(self) -> tuple[Floats, Floats, Floats]:
        """Forces, motions and the gaps that come of them."""
        force, motion = self.forces()
        return force, motion, self.problem.gap(force, motion)

    def forces(self) -> tuple[Floats, Floats]:
        """Forces and motions alone."""
        solved_rigid, solved_right = self.solved[:, :-1], self.solved[:, -1]
        rigid = self.problem.rigid[self.index]
        motion: Floats = np.linalg.solve(self.schur, rigid.T @ solved_right - self.load).astype(float)
        force: Floats = np.zeros(self.problem.offset.size)
        force[self.index] = solved_right - solved_rigid @ motion
        force[self.capped] = self.problem.cap[self.capped]
        return force, motion

    def refined(self, force: Floats, motion: Floats) -> tuple[Floats, Floats]:
        """Take one step of refinement: the balance must hold to round-off whatever the conditioning."""
        problem, index = self.problem, self.index
        rigid = problem.rigid[index]
        miss_gap = -problem.gap(force, motion)[index]
        miss_load = self.load - rigid.T @ force[index]
        fix = self.solver(miss_gap[:, None])[:, 0]
        more = np.linalg.solve(self.schur, rigid.T @ fix - miss_load)
        force = force.copy()
        force[index] += fix - self.solved[:, :-1] @ more
        return force, motion + more


def _equality(problem: Problem, closed: Bools, capped: Bools) -> _Held | None:
    index = np.flatnonzero(closed)
    if index.size < problem.load.size:
        return None
    right = -problem.offset[index]
    load = problem.load
    if capped.any():
        cap = problem.cap[capped]
        right = right - problem.flexibility[np.ix_(index, capped)] @ cap
        load = load - problem.rigid[capped].T @ cap
    rigid = problem.rigid[index]
    solver = _factored(problem, index)
    if solver is None:
        return None
    solved = solver(np.column_stack([rigid, right]))
    schur = rigid.T @ solved[:, :-1]
    scale = np.sqrt(np.abs(np.diag(schur)))
    if not np.all(scale > 0) or _nearly_singular(schur / np.outer(scale, scale)):
        return None
    return _Held(problem, index, capped, load, solver, solved, schur)


def _factored(problem: Problem, index: NDArray[np.int64]) -> Callable[[Floats], Floats] | None:
    """The flexibility over some cells, ready to be solved with."""
    # LAPACK called directly: the checks around it would cost as much as the work. Its status is looked at.
    factor, status = dpotrf(problem.flexibility[np.ix_(index, index)], lower=1)
    return None if status != 0 else lambda right: dpotrs(factor, right, lower=1)[0]


def _nearly_singular(scaled: Floats) -> bool:
    """Whether a symmetric matrix with a unit diagonal is singular to twelve digits."""
    values = np.linalg.eigvalsh(scaled)
    return bool(values[0] < 1e-12 * values[-1])


def _primal_dual(
    problem: Problem | Joined, closed: Bools, capped: Bools | None = None, changes: int = 0
) -> tuple[Floats, Floats, Floats, int] | None:
    """Forces, motions, gaps and set changes, those before counted in; None where no set that it came to was the one."""
    sets = closed, np.zeros_like(closed) if capped is None else capped
    wished: tuple[Bools, ...] = ()
    before = sets
    seen: set[bytes] = set()
    cycles = False
    for step in range(changes + 1, changes + MAX_SET_CHANGES + 1):
        held = problem.held(*sets)
        if held is not None:
            if step == changes + 1 and changes:  # foreseen: what it wished before is refined is known
                (force, motion), wished = held.forces(), ()
            else:
                force, motion, gap = held.found()
                wished = _wished(problem, *sets, force, gap)
            if not any(change.any() for change in wished):
                force, motion = held.refined(force, motion)
                gap = problem.gap(force, motion)
                wished = _wished(problem, *sets, force, gap)
            if not any(change.any() for change in wished):
                return force, motion, gap, step
            before = sets
        elif not wished:
            return None
        if held is None or cycles:
            # Only some of the changes, drawn with a fixed seed: a cycle breaks, the same way every time. The same where
            # all of them leave too few cells to carry anything.
            some = np.random.default_rng(step).random(closed.size) < SOME
            sets = _changed(before, tuple(change & some for change in wished))
        else:
            sets = _changed(before, wished)
        state = sets[0].tobytes() + sets[1].tobytes()
        cycles = cycles or state in seen
        seen.add(state)
    return None


def _wished(problem: Problem | Joined, closed: Bools, capped: Bools, force: Floats, gap: Floats) -> tuple[Bools, ...]:
    """Cells that want to lift, to touch, to crush, and to come back from their cap."""
    slack = 1e-13 * (max(force.max(), -force.min()) + 1e-300)
    thin = 1e-13 * (max(gap.max(), -gap.min()) + 1e-300)
    lift = closed & (force < -slack)
    touch = ~closed & ~capped & (gap < -thin)
    crush = closed & (force > problem.cap + slack)
    return lift, touch, crush, capped & (gap > thin)


def _changed(sets: tuple[Bools, Bools], changes: tuple[Bools, ...]) -> tuple[Bools, Bools]:
    """Closed and capped cells after some changes."""
    (closed, capped), (lift, touch, crush, relent) = sets, changes
    return (closed & ~lift & ~crush) | touch | relent, (capped & ~relent) | crush


def _feasible_start(problem: Problem) -> Floats:
    """Find cell forces within their caps that balance the load."""
    from scipy.optimize import nnls  # hardly ever needed, and slow to load

    scale = np.maximum(np.abs(problem.rigid).max(axis=0), 1e-300)
    total = max(float(np.abs(problem.load / scale).max()), 1e-300)
    left, right = (problem.rigid / scale).T, problem.load / scale / total
    try:
        force, miss = nnls(left, right, maxiter=50 * left.shape[1])
    except RuntimeError as error:  # out of iterations
        raise Refused("no set of cells was found that balances the stud forces") from error
    if miss > CAN_SEAT:
        raise Refused(
            "the stud forces cannot seat the rotor: their resultant lies outside the area on which it could rest, "
            "so it would rock off the hub; put on or tighten more nuts"
        )
    force = force * total
    if np.any(force > problem.cap):
        return _capped_start(problem, left, right, total)
    return force


def _capped_start(problem: Problem, left: Floats, right: Floats, total: float) -> Floats:
    """Find balancing forces under caps by bounded least squares on a scaled simplex of cells."""
    from scipy.optimize import linprog

    upper = np.where(np.isfinite(problem.cap), problem.cap / total, 1e6)
    found = linprog(np.ones(left.shape[1]), A_eq=left, b_eq=right, bounds=np.column_stack([0 * upper, upper]))
    if not found.success:
        raise Refused("the debris crushes before the clamp force is balanced and nothing else can carry it")
    return np.asarray(found.x) * total


def _primal(problem: Problem) -> tuple[Floats, Floats, Floats, int]:
    """Primal active set: one cell at a time, never infeasible, ends because the energy falls at every change."""
    force = _feasible_start(problem)
    limit = 20 * force.size + 200
    tiny = 1e-12 * max(force.max(), 1e-300)
    capped = np.isfinite(problem.cap) & (force > problem.cap - tiny)
    free = (force > tiny) & ~capped
    force = np.where(free | capped, force, 0.0)  # a trace of force on an open cell would break complementarity
    motion = np.zeros(problem.load.size)
    for step in range(1, limit + 1):
        target, motion = _free_solve(problem, force, free)
        move = target - force
        with np.errstate(divide="ignore", invalid="ignore"):
            down = np.where(free & (move < -tiny * 1e-3), -force / move, np.inf)
            up = np.where(free & (move > tiny * 1e-3), (problem.cap - force) / move, np.inf)
        ratio = np.minimum(down, up)
        block = int(np.argmin(ratio))
        if ratio[block] < 1.0:
            force = force + max(ratio[block], 0.0) * move
            hit_cap = up[block] <= down[block]
            force[block] = problem.cap[block] if hit_cap else 0.0
            free[block] = False
            capped[block] = hit_cap
            continue
        force = target
        gap = problem.gap(force, motion)
        wish = np.where(capped, gap, np.where(free, 0.0, -gap))
        enter = int(np.argmax(wish))
        if wish[enter] <= 1e-13 * (np.abs(gap).max() + 1e-300):
            return force, motion, gap, step
        free[enter], capped[enter] = True, False
    raise Refused(f"no seating found within {limit} changes of the contact set")


def _free_solve(problem: Problem, force: Floats, free: Bools) -> tuple[Floats, Floats]:
    """Minimise over the free cells with the others held; least squares where fewer cells than motions are free."""
    index = np.flatnonzero(free)
    held = np.where(free, 0.0, force)
    right = -(problem.offset + problem.flexibility @ held)[index]
    load = problem.load - problem.rigid.T @ held
    rigid = problem.rigid[index]
    k = load.size
    size = np.maximum(np.abs(problem.rigid).max(axis=0), 1e-300)
    scale = np.mean(np.diag(problem.flexibility))
    matrix = np.zeros((index.size + k, index.size + k))
    matrix[: index.size, : index.size] = problem.flexibility[np.ix_(index, index)] / scale
    matrix[: index.size, index.size :] = rigid / size
    matrix[index.size :, : index.size] = (rigid / size).T
    vector = np.concatenate([right / scale, load / size])
    try:
        answer = np.linalg.solve(matrix, vector)
        answer = answer + np.linalg.solve(matrix, vector - matrix @ answer)
    except np.linalg.LinAlgError:
        answer = np.linalg.lstsq(matrix, vector, rcond=1e-13)[0]
    out = held.copy()
    out[index] = answer[: index.size]
    return out, answer[index.size :] * scale / size


def _proof(problem: Problem | Joined, force: Floats, motion: Floats, gap: Floats, steps: int) -> Solution:
    give = gap - problem.offset - problem.rigid @ motion
    pushed = np.abs(force)
    # Each balance is held against the sum of the sizes of what it adds up.
    added = pushed @ np.abs(problem.rigid) + np.abs(problem.load) + 1e-300
    miss = np.abs(force @ problem.rigid - problem.load) / added
    size = float(pushed.max(initial=0.0)) + 1e-300
    length = float(np.abs(give).max(initial=0.0)) + float(np.abs(problem.offset).max(initial=0.0)) + 1e-300
    open_, over = force <= 0.0, force - problem.cap
    capped = over >= 0.0
    breaches = [
        -force.min(initial=0.0) / size,
        over.max(initial=0.0) / size,
        -gap[open_].min(initial=0.0) / length,
        np.abs(gap[~(open_ | capped)]).max(initial=0.0) / length,
        gap[capped].max(initial=0.0) / length,
    ]
    checks = Checks(
        force_residual=float(miss[::3].max()),
        moment_residual=float(np.append(miss[1::3], miss[2::3]).max(initial=0.0)),
        complementarity=float(np.max(breaches)),
        iterations=steps,
    )
    return Solution(np.maximum(force, 0.0), gap, motion, checks)
