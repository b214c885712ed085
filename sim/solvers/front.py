"""A long sparse system solved along a front: a few columns at a time are eliminated from a dense block that moves on.

For bodies that are much longer than thick in their mesh, such as a sector of a ring: dense blocks of some hundred
unknowns are eliminated several times as fast as single entries, though there are more of them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.linalg.blas import dsyrk, dtrsm
from scipy.linalg.lapack import dpotrf
from scipy.sparse import csc_matrix

from sim.arrays import Floats
from sim.one_thread import one_thread

AT_ONCE = 128  # columns


@dataclass(frozen=True, eq=False)
class Fronts:
    """Lower root of a symmetric positive definite matrix, some columns at a time.

    Parameters
    ----------
    roots : tuple of ndarray, shape (columns, columns)
        Where the columns cross their own rows.
    below : tuple of ndarray, shape (rows, columns)
        What stands below that, to the end of the front.
    """

    roots: tuple[Floats, ...]
    below: tuple[Floats, ...]

    def solve(self, sides: Floats) -> Floats:
        """Unknowns under some right sides; forward and back substitution. Shape (n, cases)."""
        x = sides.copy()
        stops = np.cumsum([root.shape[0] for root in self.roots])
        steps = [(stop - r.shape[0], stop, r, b) for stop, r, b in zip(stops, self.roots, self.below, strict=True)]
        for start, stop, root, below in steps:
            x[start:stop] = dtrsm(1.0, root, x[start:stop], lower=1)
            x[stop : stop + below.shape[0]] -= below @ x[start:stop]
        for start, stop, root, below in reversed(steps):
            x[start:stop] -= below.T @ x[stop : stop + below.shape[0]]
            x[start:stop] = dtrsm(1.0, root, x[start:stop], lower=1, trans_a=1)
        return x


@one_thread
def eliminate(matrix: csc_matrix) -> Fronts:
    """Factorise a symmetric positive definite matrix, its unknowns as they stand.

    Parameters
    ----------
    matrix : csc_matrix, shape (n, n)
        Unknowns in a sequence that goes from one end of the body to the other: what it costs grows with the square of
        how far apart two may stand that meet.

    Returns
    -------
    Fronts
        In the root of the matrix' unit.

    Raises
    ------
    numpy.linalg.LinAlgError
        Where the matrix is not positive definite.

    Notes
    -----
    Frontal elimination (B. M. Irons, Int. J. Numer. Meth. Engng 2, 5, 1970; from memory).
    """
    size = matrix.shape[0]
    ends = np.maximum.accumulate(np.maximum.reduceat(matrix.indices, matrix.indptr[:-1])) + 1
    roots, belows = [], []
    front = np.zeros((0, 0), order="F")
    for start in range(0, size, AT_ONCE):
        stop = min(start + AT_ONCE, size)
        width, end = stop - start, int(ends[stop - 1])
        columns = matrix[:, start:stop][start:end].toarray(order="F")
        begun = front[:, :width]
        columns[: begun.shape[0], : begun.shape[1]] += begun
        root, status = dpotrf(columns[:width], lower=1)
        if status != 0:
            raise np.linalg.LinAlgError("the matrix is not positive definite")
        below = dtrsm(1.0, root, columns[width:], side=1, lower=1, trans_a=1)
        moved = np.zeros((end - stop, end - stop), order="F")
        moved[: max(front.shape[0] - width, 0), : max(front.shape[0] - width, 0)] = front[width:, width:]
        front = dsyrk(-1.0, below, beta=1.0, c=moved, lower=1, overwrite_c=1) if end > stop else moved
        roots.append(root)
        belows.append(below)
    return Fronts(tuple(roots), tuple(belows))
