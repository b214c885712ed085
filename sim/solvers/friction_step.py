"""One quasi-static step of a bore that is pushed along a tight spigot with Coulomb friction.

Unknown are the pushes p of the bore cells, the axial friction f of each column of the bore, the pushes of the rim of
the flange on the hub face, the rotor's five rigid motions q and the force F at the point that is pushed down by a given
amount:

    gap     C_pp p + C_pf f + l_p F + R_p q - overlap >= 0,  p >= 0,  one of the two zero
    slip    v = C_fp p + C_ff f + l_f F + R_f q - v_before;   |f| <= mu P;   f = mu P against v where v is not 0
    balance R_p' p + R_f' f + R_g' g + d F = k (q - q_0),       d'q = -travel

P is the push of the whole column, l how the cells move when the push bends the rotor. k are springs too weak to matter
that hold the rotor while nothing touches. The sets (open or closed, stuck or slipping) are changed until nothing moves;
with friction the system is not symmetric and the solution need not be unique (Klarbring, Int. J. Solids Structures 26,
1990): what is found is the state on the path that was gone.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy.linalg.lapack import dgetrf, dgetrs

from sim.arrays import Floats, Ints
from sim.one_thread import one_thread

# Pushes, friction, rim pushes, rigid motion and the force at the pushed point.
Found = tuple[Floats, Floats, Floats, Floats, float]

MAX_CHANGES = 100  # of the sets; beyond it the step is made shorter: few settle later, and waiting was most of the time
TINY = 1e-10  # relative: what is smaller is round-off


@dataclass(frozen=True, eq=False)
class Rub:
    """A step to be solved.

    Parameters
    ----------
    flexible : ndarray, shape (n + c, n + c)
        C_pp with the contact layer, C_pf, C_fp and C_ff. [mm/N]
    column : ndarray of int, shape (n,)
        Column of each cell.
    overlap_mm : ndarray, shape (n,)
    rigid, rigid_axial : ndarray, shapes (n, 5), (c, 5)
        R_p, R_f.
    rim : ndarray, shape (m, 5)
        R_g: axial place of the flange's rim where it may touch the hub face.
    rim_give : float
        Give of one rim cell. [mm/N]
    before_mm : ndarray, shape (c,)
        v_before.
    friction : float
        mu.
    push : ndarray, shape (5,)
        d: generalised force on the rotor per unit of F.
    bend, bend_axial : ndarray, shapes (n,), (c,)
        l_p, l_f. [mm/N]
    travel_mm : float
    spring, rest : ndarray, shape (5,)
        k and q_0.
    """

    flexible: Floats
    column: Ints
    overlap_mm: Floats
    rigid: Floats
    rigid_axial: Floats
    rim: Floats
    rim_give: float
    before_mm: Floats
    friction: float
    push: Floats
    bend: Floats
    bend_axial: Floats
    travel_mm: float
    spring: Floats
    rest: Floats

    @property
    def columns(self) -> int:
        """Number of columns."""
        return int(self.before_mm.size)

    @cached_property
    def motions(self) -> Floats:
        """Movement of cells and columns per unit of the rigid motions and of F. Shape (n + c, 6)."""
        rigid, bend = np.vstack([self.rigid, self.rigid_axial]), np.append(self.bend, self.bend_axial)
        return np.column_stack([rigid, bend])

    @cached_property
    def target_mm(self) -> Floats:
        """Overlap of the cells and v_before of the columns. Shape (n + c,)."""
        return np.append(self.overlap_mm, self.before_mm)

    @cached_property
    def scale(self) -> Floats:
        """Size of every unknown, so that the pivots of a step compare: forces are newtons per micrometre.

        Square roots of newtons per millimetre, [(N/mm)^0.5]; by definition unit diagonals.
        """
        size = 1.0 / np.sqrt(np.maximum(np.abs(np.diag(self.flexible)), 1e-12))
        rim = np.full(self.rim.shape[0], 1.0 / np.sqrt(self.rim_give))
        force = float(size[: self.column.size].mean()) if self.column.size else 1.0
        return np.concatenate([size, rim, np.ones(5), [force]])

    @cached_property
    def right(self) -> Floats:
        """Right side for all unknowns, scaled. Overlaps in mm and forces in N, scaled; by definition."""
        rims = np.zeros(self.rim.shape[0])
        return self.scale * np.concatenate([self.target_mm, rims, -self.spring * self.rest, [self.travel_mm]])

    def carried_n(self, push_n: Floats) -> Floats:
        """Push of each whole column."""
        return np.asarray(np.bincount(self.column, push_n, self.columns), dtype=np.float64)


@dataclass(frozen=True, eq=False)
class Sets:
    """Which cells are closed, which rim cells touch, and how each column rubs: 0 stuck, 1 slipped down, -1 up."""

    closed: NDArray[np.bool_]
    touching: NDArray[np.bool_]
    slip: Ints


@dataclass(frozen=True, eq=False)
class Rubbed:
    """A solved step: forces [N], motions [mm, rad], slip [mm], proof (all relative) and set changes."""

    push_n: Floats
    rub_n: Floats
    rim_n: Floats
    motion: Floats
    force_n: float
    slip_mm: Floats
    balance: float
    complementarity: float
    cone: float
    changes: int
    sets: Sets


@one_thread
def step(rub: Rub, start: Sets | None = None) -> Rubbed | None:
    """Solve a step; ``None`` if the sets do not settle.

    Parameters
    ----------
    rub : Rub
    start : Sets, optional
        Sets to begin with; those of a straight push down if left out.

    Returns
    -------
    Rubbed or None

    Notes
    -----
    Forces in N, motions in mm and rad. Coulomb friction in one quasi-static step, the conditions of the module; solved
    by pivoting on sets (active sets), proved by residuals.
    """
    sets = start or Sets(
        rub.overlap_mm - rub.rigid @ rub.rest > 0,
        np.zeros(rub.rim.shape[0], dtype=bool),
        np.ones(rub.columns, dtype=int),
    )
    seen: set[bytes] = set()
    for change in range(1, MAX_CHANGES + 1):
        found = _solve(rub, sets)
        if found is None:
            return None
        gaps = _gaps(rub, found)
        moved = _moved(rub, sets, found, gaps)
        if moved is None:
            return _proof(rub, sets, found, gaps, change)
        key = moved.closed.tobytes() + moved.touching.tobytes() + moved.slip.tobytes()
        if key in seen:
            moved = _some_of(sets, moved, change)
        seen.add(key)
        sets = moved
    return None


def _some_of(old: Sets, new: Sets, change: int) -> Sets:
    """Take only some of the changes, drawn with a fixed seed, so that a cycle breaks."""
    rng = np.random.default_rng(change)
    return Sets(
        np.where(rng.random(old.closed.size) < 0.4, new.closed, old.closed),
        np.where(rng.random(old.touching.size) < 0.4, new.touching, old.touching),
        np.where(rng.random(old.slip.size) < 0.4, new.slip, old.slip),
    )


def _solve(rub: Rub, sets: Sets) -> Found | None:
    """Forces and motions for given sets."""
    n = rub.column.size
    closed, stuck, rims = np.flatnonzero(sets.closed), np.flatnonzero(sets.slip == 0), np.flatnonzero(sets.touching)
    rows = np.append(closed, n + stuck)
    a, s, q = closed.size, rows.size, rows.size + rims.size
    some = rub.flexible.take(rows, axis=0)
    of = rub.column[closed]
    slide = rub.friction * sets.slip[of]
    motions = rub.motions[rows]
    matrix = np.zeros((q + 6, q + 6))
    matrix[:s, :s] = some.take(rows, axis=1)
    matrix[:s, q:] = motions
    matrix[q : q + 5, :s] = motions[:, :5].T
    matrix[s:q, q : q + 5] = rub.rim[rims]
    matrix[q : q + 5, s:q] = rub.rim[rims].T
    matrix.flat[s * (q + 7) : q * (q + 7) : q + 7] = rub.rim_give
    matrix.flat[q * (q + 7) :: q + 7] = np.append(-rub.spring, 0.0)
    matrix[q : q + 5, q + 5] = matrix[q + 5, q : q + 5] = rub.push
    # What a slipping column rubs hangs on what its cells carry: its column of the matrix is added to theirs.
    matrix[:s, :a] += some.take(n + of, axis=1) * slide
    matrix[q : q + 5, :a] += rub.rigid_axial[of].T * slide
    used = np.concatenate([rows, rub.target_mm.size + rims, np.arange(-6, 0)])
    scale = rub.scale[used]
    matrix *= scale
    matrix *= scale[:, None]
    # LAPACK called directly: the checks around it would cost as much as the work. Its status is looked at.
    factor, pivots, status = dgetrf(matrix.T, overwrite_a=1)
    if status != 0:
        return None
    answer = scale * dgetrs(factor, pivots, rub.right[used], trans=1)[0]
    push, rim = np.zeros(n), np.zeros(sets.touching.size)
    push[closed], rim[rims] = answer[:a], answer[s:q]
    friction = rub.friction * sets.slip * rub.carried_n(push)
    friction[stuck] = answer[a:s]
    return push, friction, rim, answer[-6:-1], float(answer[-1])


def _gaps(rub: Rub, found: Found) -> tuple[Floats, Floats, Floats]:
    """Gap of the cells and of the rim, slip of the columns."""
    push, friction, rim, motion, force = found
    moved = rub.flexible @ np.append(push, friction) + rub.motions @ np.append(motion, force) - rub.target_mm
    return moved[: push.size], rub.rim_give * rim + rub.rim @ motion, moved[push.size :]


def _moved(rub: Rub, sets: Sets, found: Found, gaps: tuple[Floats, Floats, Floats]) -> Sets | None:
    """Sets after the changes that the solution asks for; ``None`` when it asks for none."""
    push, friction, rim, _, _ = found
    gap, rim_gap, slip = gaps
    small = TINY * (np.abs(push).max(initial=0.0) + 1.0)
    thin = TINY * (np.abs(gap).max(initial=0.0) + 1e-3)
    closed = (sets.closed & (push >= -small)) | (~sets.closed & (gap < -thin))
    touching = (sets.touching & (rim >= -small)) | (~sets.touching & (rim_gap < -thin))
    bound = rub.friction * rub.carried_n(push)
    stuck = sets.slip == 0
    # Friction points up (+1) where the bore slips down.
    new = np.where(stuck & (np.abs(friction) > bound + small), np.sign(friction).astype(int), sets.slip)
    new = np.where(~stuck & (sets.slip * slip > thin) & (bound > small), 0, new)
    # A column that carries nothing cannot rub: which way it slips is no matter, so it must not keep the sets moving.
    new = np.where(bound <= small, np.where(stuck, 1, sets.slip), new)
    if (closed == sets.closed).all() and (touching == sets.touching).all() and (new == sets.slip).all():
        return None
    return Sets(closed, touching, new)


def _proof(rub: Rub, sets: Sets, found: Found, gaps: tuple[Floats, Floats, Floats], change: int) -> Rubbed:
    push, friction, rim, motion, force = found
    gap, rim_gap, slip = gaps
    terms = [rub.rigid.T @ push, rub.rigid_axial.T @ friction, rub.rim.T @ rim, rub.push * force]
    left = sum(terms) - rub.spring * (motion - rub.rest)
    added = (
        np.abs(rub.rigid).T @ np.abs(push)
        + np.abs(rub.rigid_axial).T @ np.abs(friction)
        + np.abs(rub.rim).T @ rim
        + np.abs(rub.push * force)
        + 1.0
    )
    size, length = push.max(initial=0.0) + 1.0, np.abs(rub.overlap_mm).max(initial=0.0) + 1e-3
    breach = max(
        float(-push.min(initial=0.0)) / size,
        float(-gap.min(initial=0.0)) / length,
        float(-rim_gap.min(initial=0.0)) / length,
        float((push * np.abs(gap)).max(initial=0.0)) / size / length,
    )
    bound = rub.friction * rub.carried_n(push)
    outside = max(
        float((np.abs(friction) - bound).max(initial=0.0)) / size,
        float((friction * slip).max(initial=0.0)) / size / length,
    )
    return Rubbed(
        np.maximum(push, 0.0),
        friction,
        np.maximum(rim, 0.0),
        motion,
        force,
        slip,
        balance=float((np.abs(left) / added).max()),
        complementarity=breach,
        cone=outside,
        changes=change,
        sets=sets,
    )
