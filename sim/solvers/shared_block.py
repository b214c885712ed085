"""Contact problems that share most of their cells: what nearly every solve closes is eliminated once and for all.

Problems on the same bodies differ by the cells of their dirt, by a few shared cells that lift and a few more that
touch. With the inverse of the flexibility over the shared cells that nearly always close, the forces of any set of
closed cells follow from one small system, over those that lift, touch or are new (block elimination; Golub and Van
Loan, Matrix Computations, 2.1.4). Whatever it finds is proved on the whole flexibility.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy.linalg.blas import dtrsv
from scipy.linalg.lapack import dpotrf, dpotri, dtrtrs

from sim.arrays import Bools, Floats
from sim.one_thread import one_thread

Index = NDArray[np.int64]
SINGULAR = 1e-12  # smallest over largest eigenvalue up to which closed cells hold no rigid motion


@dataclass(frozen=True, eq=False)
class SharedBlock:
    """Cells that problems have in common, and the inverse over those of them that are nearly always closed.

    Parameters
    ----------
    flexibility : ndarray, shape (n, n)
        Over all shared cells, contact layer included. [mm/N]
    rigid : ndarray, shape (n, k)
        Their displacement per unit of each rigid motion.
    closed, other : ndarray of int, shapes (b,) and (n - b,)
        Those that are nearly always closed, and the rest.
    inverse : ndarray, shape (b, b)
        Of the flexibility over ``closed``. [N/mm]
    aside : ndarray, shape (n - b, b)
        Forces on ``closed`` per force on each of the rest.
    among : ndarray, shape (n - b, n - b)
        Flexibility over the rest, ``closed`` held at their gaps. [mm/N]
    lean : ndarray, shape (b, k)
        Forces on ``closed`` per unit of each rigid motion.
    """

    flexibility: Floats
    rigid: Floats
    closed: Index
    other: Index
    inverse: Floats
    aside: Floats
    among: Floats
    lean: Floats

    @cached_property
    def other_rows(self) -> Floats:
        """Flexibility between the rest and all shared cells, lying close. Shape (n - b, n). [mm/N]."""
        return self.flexibility[self.other]

    @cached_property
    def closed_rigid(self) -> Floats:
        """Rows of `rigid` of those that are nearly always closed. Shape (b, k)."""
        return self.rigid[self.closed]

    @cached_property
    def other_lean(self) -> Floats:
        """Displacement of the rest per unit of each rigid motion, ``closed`` held at their gaps. Shape (n - b, k).

        As `rigid`. Block elimination (Golub and Van Loan, chapter 2).
        """
        found: Floats = self.rigid[self.other] + self.aside @ self.rigid[self.closed]
        return found


@one_thread
def shared_block(flexibility: Floats, rigid: Floats, closed: Bools) -> SharedBlock | None:
    """Invert the flexibility over some cells.

    Parameters
    ----------
    flexibility : ndarray, shape (n, n)
        Over the cells that problems share. [mm/N]
    rigid : ndarray, shape (n, k)
        Displacement of these cells per unit of each rigid motion.
    closed : ndarray of bool, shape (n,)

    Returns
    -------
    SharedBlock or None
        None where the matrix is not positive definite.

    Notes
    -----
    By definition of the inverse, in N/mm, from the Cholesky factor (LAPACK dpotri).
    """
    index, other = np.flatnonzero(closed), np.flatnonzero(~closed)
    factor, status = dpotrf(flexibility[np.ix_(index, index)], lower=1)
    if status != 0:
        return None
    half, status = dpotri(factor, lower=1)
    if status != 0:
        return None
    whole = np.tril(half) + np.tril(half, -1).T
    across = flexibility[np.ix_(other, index)]
    aside = -(across @ whole)
    among = flexibility[np.ix_(other, other)] + across @ aside.T
    return SharedBlock(flexibility, rigid, index, other, whole, aside, among, -(whole @ rigid[index]))


@dataclass(frozen=True, eq=False)
class Joined:
    """A contact problem of shared cells and of new ones, for `sim.solvers.contact.solve_joined`.

    Parameters
    ----------
    shared : SharedBlock
    place, new : ndarray of int, shapes (n,) and (m,)
        Where the problem has each of the shared cells, and its new ones; together all of its cells.
    softer : ndarray, shape (n,)
        What each shared cell gives more than the shared flexibility says: dirt covers a part of it. [mm/N]
    beside : ndarray, shape (c, n)
        Flexibility between places of new cells and the shared cells. [mm/N]
    among : ndarray, shape (c, c)
        Flexibility over these places, without any layer. [mm/N]
    column : ndarray of int, shape (m,)
        Place of each new cell: dirt that crushes and the floor under it have the same.
    layer : ndarray, shape (m,)
        Give of each new cell's own layer. [mm/N]
    offset, rigid, load, cap
        As of `sim.solvers.contact.Problem`, over all cells of the problem.
    """

    shared: SharedBlock
    place: Index
    new: Index
    softer: Floats
    beside: Floats
    among: Floats
    column: Index
    layer: Floats
    offset: Floats
    rigid: Floats
    load: Floats
    cap: Floats

    def gap(self, force: Floats, motion: Floats) -> Floats:
        """Gap that comes of cell forces [N] and rigid motions [mm, rad]. Shape (cells,). [mm].

        Superposition on the whole flexibility.
        """
        out = self.offset + self.rigid @ motion
        shared, new = force[self.place], force[self.new]
        moved = self.shared.flexibility @ shared + self.softer * shared
        if self.new.size:
            moved += self._placed(new) @ self.beside
            out[self.new] += self._moved(shared, new)
        out[self.place] += moved
        return out

    def gap_outside(self, force: Floats, motion: Floats) -> Floats:
        """The same, but none on the shared cells that are nearly always closed. [mm]. Superposition."""
        out = np.zeros_like(self.offset)
        shared, new = force[self.place], force[self.new]
        at, other = self.place[self.shared.other], self.shared.other
        moved = self.shared.other_rows @ shared + self.softer[other] * shared[other]
        if self.new.size:
            moved += self._placed(new) @ self._beside_other
            out[self.new] = self.offset[self.new] + self.rigid[self.new] @ motion + self._moved(shared, new)
        out[at] = self.offset[at] + self.rigid[at] @ motion + moved
        return out

    def _moved(self, shared: Floats, new: Floats) -> Floats:
        """Gap of the new cells from forces on shared and new ones."""
        return (self.beside @ shared + self.among @ self._placed(new))[self.column] + self.layer * new

    def _placed(self, new: Floats) -> Floats:
        """Force on each place of new cells."""
        found: Floats = np.bincount(self.column, new, minlength=self.beside.shape[0]).astype(float)
        return found

    def held(self, closed: Bools, capped: Bools) -> Held | None:
        """Set up ``closed`` cells at no gap and ``capped`` ones at their cap; None if singular.

        Parameters
        ----------
        closed, capped : ndarray of bool, shape (cells,)

        Notes
        -----
        Gaps in mm, forces in N. Block elimination.
        """
        if capped[self.place].any() or np.count_nonzero(closed) < self.load.size:
            return None  # bare metal does not crush
        return _held(self, closed, capped)

    @cached_property
    def _beside_closed(self) -> Floats:
        return self.beside[:, self.shared.closed]

    @cached_property
    def _beside_other(self) -> Floats:
        return self.beside[:, self.shared.other]

    @cached_property
    def aside(self) -> Floats:
        """Forces on the shared closed cells per force on each place of new cells. Shape (c, b).

        Block elimination (Golub and Van Loan, chapter 2).
        """
        found: Floats = -(self._beside_closed @ self.shared.inverse)
        return found

    @cached_property
    def inner(self) -> Floats:
        """Flexibility over the places of new cells, shared closed cells held at their gaps. [mm/N].

        Block elimination (Golub and Van Loan, chapter 2).
        """
        found: Floats = self.among + self._beside_closed @ self.aside.T
        return found

    @cached_property
    def inner_lean(self) -> Floats:
        """Displacement of the new cells per unit of each rigid motion, shared closed cells held.

        As `rigid`. Block elimination (Golub and Van Loan, chapter 2).
        """
        turned: Floats = self.aside @ self.shared.closed_rigid
        return self.rigid[self.new] + turned[self.column]

    def between(self, other: Index) -> Floats:
        """Flexibility between some of the rest of the shared cells and the places of new ones. Shape (other, c).

        [mm/N]. Block elimination (Golub and Van Loan, chapter 2).
        """
        shared = self.shared
        found: Floats = self.beside[:, shared.other[other]].T + shared.aside[other] @ self._beside_closed.T
        return found

    @cached_property
    def first(self) -> tuple[Floats, Floats, Floats]:
        """What `reduced` makes of the offsets: what every set of closed cells starts from."""
        return self.reduced(self.offset)

    def reduced(self, gap: Floats) -> tuple[Floats, Floats, Floats]:
        """Take the shared closed cells out of gaps that are to be closed.

        Parameters
        ----------
        gap : ndarray, shape (cells,)
            [mm]

        Returns
        -------
        tuple of ndarray, shapes (b,), (n - b,) and (m,)
            Forces that close the shared closed cells [N]; what is then left of the others' gaps, shared and new. [mm]

        Notes
        -----
        Block elimination (Golub and Van Loan, chapter 2).
        """
        shared = self.shared
        here = gap[self.place]
        closed = here[shared.closed]
        rest, new = here[shared.other] + shared.aside @ closed, gap[self.new]
        if self.new.size:
            new = new + (self.aside @ closed)[self.column]
        return -(shared.inverse @ closed), rest, new


@dataclass(frozen=True, eq=False)
class Held:
    """One set of closed and capped cells of a `Joined` problem, ready to be solved for; made by `Joined.held`.

    ``free`` are the shared closed cells that are let go, or give more than the shared flexibility says; ``touch`` and
    ``new`` are closed as well.
    """

    joined: Joined
    closed: Bools
    free: Index
    touch: Index
    new: Index
    capped: Index
    held_by: Floats
    factor: Floats
    reach: Floats
    border: Floats
    bordered: Floats
    schur: Floats
    across: Floats

    def found(self) -> tuple[Floats, Floats, Floats]:
        """Forces, motions and the gaps that come of them. [N], [mm, rad], [mm].

        Block elimination (Golub and Van Loan, chapter 2).
        """
        joined = self.joined
        force, rest, new = joined.first
        load, cap = joined.load, np.zeros(0)
        rest, new = rest[self.touch], new[self.new]
        if self.capped.size:
            cap = joined.cap[joined.new[self.capped]]
            on = np.bincount(joined.column[self.capped], cap, minlength=joined.beside.shape[0])
            force = force + on @ joined.aside
            rest = rest + self.across @ on
            new = new + (joined.inner @ on)[joined.column[self.new]]
            load = load - joined.rigid[joined.new[self.capped]].T @ cap
        out, motion, opened = self._solved(force, np.concatenate([rest, new]), load)
        out[joined.new[self.capped]] = cap
        gap = joined.gap_outside(out, motion)
        gap[joined.place[joined.shared.closed[self.free]]] = np.where(self.held_by > 0.0, 0.0, opened)
        return out, motion, gap

    def refined(self, force: Floats, motion: Floats) -> tuple[Floats, Floats]:
        """Take one step of refinement: the balance must hold to round-off whatever the conditioning.

        Parameters
        ----------
        force, motion : ndarray
            As found. [N], [mm, rad]

        Notes
        -----
        Iterative refinement on the whole flexibility (Golub and Van Loan, chapter 3).
        """
        joined = self.joined
        start, rest, new = joined.reduced(np.where(self.closed, joined.gap(force, motion), 0.0))
        load = joined.load - joined.rigid.T @ force
        more, turned, _ = self._solved(start, np.concatenate([rest[self.touch], new[self.new]]), load)
        return force + more, motion + turned

    def _solved(self, start: Floats, gap: Floats, load: Floats) -> tuple[Floats, Floats, Floats]:
        """Forces on all cells, motions, and how far the cells that are let go open."""
        joined, shared = self.joined, self.joined.shared
        size = gap.size
        load = load - start @ shared.closed_rigid
        lifted = dtrsv(self.factor, start[self.free], lower=1) if self.free.size else np.zeros(0)
        gap = gap + self.reach[:size] @ lifted
        load = load - self.reach[size:] @ lifted
        pressed: Floats = dtrsv(self.border, gap, lower=1) if size else gap
        motion: Floats = -np.linalg.solve(self.schur, load + self.bordered @ pressed).astype(float)
        force: Floats = -(pressed + motion @ self.bordered)
        if size:
            force = dtrsv(self.border, force, lower=1, trans=1)
        on_touch, on_new = force[: self.touch.size], force[self.touch.size :]
        block: Floats = start + shared.lean @ motion
        if self.touch.size:
            block += on_touch @ shared.aside[self.touch]
        if self.new.size:
            block += np.bincount(joined.column[self.new], on_new, minlength=joined.beside.shape[0]) @ joined.aside
        opened = lifted
        if self.free.size:
            opened = dtrsv(self.factor, -(lifted + np.concatenate([force, motion]) @ self.reach), lower=1, trans=1)
            block += opened @ shared.inverse[self.free]
            block[self.free] = -opened * self.held_by
        out = np.zeros(joined.offset.size)
        out[joined.place[shared.closed]] = block
        out[joined.place[shared.other[self.touch]]] = on_touch
        out[joined.new[self.new]] = on_new
        return out, motion, opened


def _held(joined: Joined, closed: Bools, capped: Bools) -> Held | None:
    shared = joined.shared
    here = closed[joined.place]
    stays, softer = here[shared.closed], joined.softer[shared.closed]
    free = np.flatnonzero(~stays | (softer > 0.0))
    # A cell that gives more is let go and held again by what it gives: its force is then its opening over its give.
    held_by = np.zeros(free.size)
    again = stays[free]
    held_by[again] = 1.0 / softer[free[again]]
    touch, new = np.flatnonzero(here[shared.other]), np.flatnonzero(closed[joined.new])
    place = joined.column[new]
    size = touch.size + new.size
    k = joined.load.size
    # Rows: closed cells outside the block, then rigid motions; columns: cells of the block that are let go.
    reach = np.empty((size + k, free.size))
    reach[: touch.size] = shared.aside[np.ix_(touch, free)]
    if new.size:
        reach[touch.size : size] = joined.aside[np.ix_(place, free)]
    reach[size:] = shared.lean[free].T
    factor = np.empty((0, 0))
    if free.size:
        letting = shared.inverse[np.ix_(free, free)]
        letting.ravel()[:: free.size + 1] += held_by
        factor, status = dpotrf(letting.T, lower=1, overwrite_a=1)
        if status != 0:
            return None
        reach = dtrtrs(factor, reach.T, lower=1, overwrite_b=1)[0].T
    across = np.empty((touch.size, joined.beside.shape[0]))
    if touch.size and joined.new.size:
        across = joined.between(touch)
    matrix = reach @ reach.T  # as one product, of which the inside is the flexibility of the closed cells
    inside = matrix[:size, :size]
    inside[: touch.size, : touch.size] += shared.among[np.ix_(touch, touch)]
    diagonal = np.concatenate([joined.softer[shared.other[touch]], joined.layer[new]])
    if new.size:
        inside[touch.size :, touch.size :] += joined.inner[np.ix_(place, place)]
        inside[: touch.size, touch.size :] += across[:, place]
        inside[touch.size :, : touch.size] += across[:, place].T
    matrix.ravel()[: size * (size + k + 1) : size + k + 1] += diagonal
    lean = matrix[:size, size:]
    lean[: touch.size] += shared.other_lean[touch]
    if new.size:
        lean[touch.size :] += joined.inner_lean[new]
    schur = -(shared.closed_rigid.T @ shared.lean + matrix[size:, size:])
    border, bordered = np.empty((0, 0)), np.empty((k, 0))
    if size:
        border, status = dpotrf(inside, lower=1)
        if status != 0:
            return None
        bordered = dtrtrs(border, lean, lower=1)[0].T
        schur = schur + bordered @ bordered.T
    scale = np.sqrt(np.abs(np.diag(schur)))
    if not np.all(scale > 0):
        return None
    values = np.linalg.eigvalsh(schur / np.outer(scale, scale))
    if values[0] < SINGULAR * values[-1]:
        return None
    return Held(
        joined,
        closed,
        free,
        touch,
        new,
        np.flatnonzero(capped[joined.new]),
        held_by,
        factor,
        reach,
        border,
        bordered,
        schur,
        across,
    )
