"""One inverse for many contact problems: cells that nearly every solve closes are eliminated once and for all.

Problems that share most of their cells, and close most of them, differ by a few: with G the inverse of the flexibility
over the shared cells B, the solution over B without D and with E follows from two small systems, of the size of D and
of E (block elimination; Golub and Van Loan, Matrix Computations, 2.1.4). What is solved is proved by the caller on the
problem's own matrix, so that a block which does not belong to it could only be refused.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.linalg.lapack import dpotrf, dpotri, dpotrs

from sim.arrays import Bools, Floats
from sim.one_thread import one_thread


@dataclass(frozen=True, eq=False)
class SharedBlock:
    """Cells that problems have in common, and the inverse over those of them that are nearly always closed.

    Parameters
    ----------
    closed : ndarray of int, shape (b,)
        Those that are nearly always closed, among the shared cells.
    diagonal : ndarray, shape (n,)
        Of the flexibility over all shared cells. [mm/N]
    inverse : ndarray, shape (b, b)
        Of the flexibility over ``closed``. [N/mm]
    columns : ndarray, shape (b, n)
        That inverse times the flexibility between ``closed`` and all shared cells.
    """

    closed: NDArray[np.int64]
    diagonal: Floats
    inverse: Floats
    columns: Floats


@one_thread
def shared_block(flexibility: Floats, closed: Bools) -> SharedBlock | None:
    """Invert the flexibility over some cells.

    Parameters
    ----------
    flexibility : ndarray, shape (n, n)
        Over the cells that problems share. [mm/N]
    closed : ndarray of bool, shape (n,)

    Returns
    -------
    SharedBlock or None
        None where the matrix is not positive definite.

    Notes
    -----
    By definition of the inverse, in N/mm, from the Cholesky factor (LAPACK dpotri).
    """
    index = np.flatnonzero(closed)
    factor, status = dpotrf(flexibility[np.ix_(index, index)], lower=1)
    if status != 0:
        return None
    half, status = dpotri(factor, lower=1)
    if status != 0:
        return None
    whole = np.tril(half) + np.tril(half, -1).T
    return SharedBlock(index, np.diagonal(flexibility).copy(), whole, whole @ flexibility[index])


class Reused:
    """A shared block put to use in one problem.

    Parameters
    ----------
    shared : SharedBlock
    flexibility : ndarray, shape (n, n)
        Of the problem. [mm/N]
    place : ndarray of int, shape (shared cells,)
        Where the problem has each of the shared cells.
    """

    def __init__(self, shared: SharedBlock, flexibility: Floats, place: NDArray[np.int64]) -> None:
        self.shared, self.flexibility = shared, flexibility
        self.block = place[shared.closed]
        size = flexibility.shape[0]
        self.number = np.full(size, -1)
        self.number[place] = np.arange(place.size)
        self.inside = np.zeros(size, dtype=bool)
        # A cell of which dirt covers a part gives otherwise than the shared one: it leaves, and comes back as new.
        same = flexibility[place, place] == shared.diagonal
        self.inside[self.block] = same[shared.closed]
        self.known: dict[int, Floats] = {}

    def image(self, right: Floats) -> Floats:
        """Inverse times right-hand sides over all cells, shape (n, m): what the solver of any set of cells starts with.

        Gaps in mm to forces in N, by definition of the inverse; rows of cells that are out do not count.
        """
        found: Floats = self.shared.inverse @ right[self.block]
        return found

    def pressed(self, cells: Bools, force: Floats) -> Floats:
        """Image of the gaps that forces on some cells give. Shape (b,). [N]. By superposition."""
        found: Floats = self._columns(np.flatnonzero(cells)) @ force
        return found

    def _columns(self, cells: NDArray[np.int64]) -> Floats:
        """Inverse times the columns of some cells. Shape (b, cells)."""
        own = self.number[cells]
        new = [int(cell) for cell in cells[own < 0] if int(cell) not in self.known]
        if new:
            made: Floats = self.shared.inverse @ self.flexibility[np.ix_(self.block, np.array(new))]
            self.known.update(zip(new, made.T.copy(), strict=True))
        out = np.empty((self.block.size, cells.size))
        out[:, own >= 0] = self.shared.columns[:, own[own >= 0]]
        for k in np.flatnonzero(own < 0):
            out[:, k] = self.known[int(cells[k])]
        return out

    def factored(self, closed: Bools) -> Bordered | None:
        """Prepare the solution over the closed cells.

        Parameters
        ----------
        closed : ndarray of bool, shape (n,)

        Returns
        -------
        Bordered or None
            None where the matrix is not positive definite to round-off.

        Notes
        -----
        Block elimination; gaps in mm to forces in N.
        """
        stays = closed[self.block] & self.inside[self.block]
        out, enter = np.flatnonzero(~stays), np.flatnonzero(closed & ~self.inside)
        inverse = self.shared.inverse
        take, status = dpotrf(inverse[np.ix_(out, out)], lower=1) if out.size else (np.empty((0, 0)), 0)
        if status != 0:
            return None
        beside = self.flexibility[np.ix_(enter, self.block)]
        beside[:, out] = 0.0
        held = _Held(inverse[:, out], take, out)
        from_enter = held(self._columns(enter))
        border = np.empty((0, 0))
        if enter.size:
            border, status = dpotrf(self.flexibility[np.ix_(enter, enter)] - beside @ from_enter, lower=1)
            if status != 0:
                return None
        rank = np.full(closed.size, -1)
        rank[self.block] = np.arange(self.block.size)
        index = np.flatnonzero(closed)
        in_block = self.inside[index]
        return Bordered(inverse, held, beside, from_enter, border, in_block, rank[index[in_block]])


@dataclass(frozen=True, eq=False)
class _Held:
    """Takes the cells of the block that are out to no force."""

    aside: Floats
    factor: Floats
    out: NDArray[np.int64]

    def __call__(self, value: Floats) -> Floats:
        if not self.out.size:
            return value
        value = value - self.aside @ dpotrs(self.factor, value[self.out], lower=1)[0]
        value[self.out] = 0.0
        return value


@dataclass(frozen=True, eq=False)
class Bordered:
    """Solves over one set of closed cells; made by `Reused.factored`."""

    inverse: Floats
    held: _Held
    beside: Floats
    from_enter: Floats
    border: Floats
    in_block: Bools
    place: NDArray[np.int64]

    def __call__(self, right: Floats, image: Floats | None = None) -> Floats:
        """Solve for gaps, shape (closed cells, m), whose image (`Reused.image`) may be known. [mm] to [N]."""
        if image is None:
            whole = np.zeros((self.inverse.shape[0], right.shape[1]))
            whole[self.place] = right[self.in_block]
            image = self.inverse @ whole
        value = self.held(image)
        answer = np.empty_like(right)
        if self.beside.size:
            force = dpotrs(self.border, right[~self.in_block] - self.beside @ value, lower=1)[0]
            value = value - self.from_enter @ force
            answer[~self.in_block] = force
        answer[self.in_block] = value[self.place]
        return answer
