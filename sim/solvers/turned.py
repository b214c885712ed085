"""Matrices that come again round a circle, forces and gaps of some cells exchanged: order by order, each one small."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import get_lapack_funcs

from sim.arrays import Floats, Ints


@dataclass(frozen=True, eq=False)
class Exchanged:
    """A matrix of which the forces and gaps of some cells are exchanged.

    Parameters
    ----------
    table : ndarray, shape (n, n)
        Over the exchanged cells, then the others, repeat by repeat: less the inverse [N/mm], what follows elsewhere
        [1], and what the others then give [mm/N].
    by_order : tuple of ndarray, shape (often, m)
        The rows of the exchanged cells of one repeat, order by order round the circle.
    repeats : int
    """

    table: Floats
    by_order: tuple[NDArray, ...]
    repeats: int

    def through(self, left: Floats) -> Floats:
        """Rows times the rows of the table that are exchanged. Shape (..., n).

        Of gaps [mm]: forces on the first, gaps of the others [N], [mm]; of flexibilities [mm/N] likewise.

        Parameters
        ----------
        left : ndarray, shape (..., exchanged cells)

        Notes
        -----
        Convolution theorem: order by order a block-circulant product is one small product (Davis, Circulant Matrices).
        """
        often = self.by_order[0].shape[0]
        if self.repeats == 1:
            found: Floats = left @ self.by_order[0]
            return found
        wave = np.fft.rfft(left.reshape(left.size // (self.repeats * often), self.repeats, often), axis=1)
        out = np.empty((*wave.shape[:2], self.by_order[0].shape[1]), dtype=complex)
        for order, rows in enumerate(self.by_order):
            one = wave[:, order] if np.iscomplexobj(rows) else wave[:, order].real
            out[:, order] = one @ rows
        turned = np.fft.irfft(out, n=self.repeats, axis=1)
        whole = np.concatenate([_flat(turned[..., :often]), _flat(turned[..., often:])], axis=1)
        return whole.reshape(*left.shape[:-1], whole.shape[1])


def _flat(parts: Floats) -> Floats:
    return parts.reshape(parts.shape[0], parts.shape[1] * parts.shape[2])


def exchanged(flexibility: Floats, inside: Ints, outside: Ints) -> Exchanged | None:
    """Exchange the forces and gaps of some cells of a matrix that comes again round a circle.

    Parameters
    ----------
    flexibility : ndarray, shape (n, n)
        [mm/N]
    inside, outside : ndarray of int, shape (repeats, m)
        Cells that are exchanged, and the others; those of a column turn into each other.

    Returns
    -------
    Exchanged or None
        In N/mm, 1 and mm/N; None where it is not positive definite.

    Notes
    -----
    A block-circulant matrix falls apart into one small Hermitian matrix an order (Davis, Circulant Matrices, 5.6),
    each inverted by its Cholesky factor (LAPACK potri); block elimination (Golub and Van Loan, Matrix Computations,
    2.1.4).
    """
    repeats, often = inside.shape
    columns = np.concatenate([inside, outside], axis=1)
    by_order = []
    for order, wave in enumerate(np.fft.rfft(flexibility[columns[0]][:, columns].transpose(1, 0, 2), axis=0)):
        alone = order in (0, repeats / 2)  # such an order is real
        found = _exchanged(wave.real.copy() if alone else wave, often)
        if found is None:
            return None
        by_order.append(found)
    blocks = np.fft.irfft(np.array(by_order), n=repeats, axis=0)
    step = (np.arange(repeats) - np.arange(repeats)[:, None]) % repeats
    parts = slice(0, often), slice(often, columns.shape[1])
    table = np.block([[_whole(blocks[:, row, column][step]) for column in parts] for row in parts])
    return Exchanged(table, tuple(np.ascontiguousarray(found[:often]) for found in by_order), repeats)


def _whole(blocks: Floats) -> Floats:
    """Blocks by row and column as one matrix."""
    rows, columns, high, wide = blocks.shape
    return blocks.transpose(0, 2, 1, 3).reshape(rows * high, columns * wide)


def _exchanged(matrix: NDArray, often: int) -> NDArray | None:
    """The same of one Hermitian matrix, the first ``often`` of it exchanged."""
    factorise, invert = get_lapack_funcs(("potrf", "potri"), (matrix,))
    factor, status = factorise(matrix[:often, :often], lower=1)
    if status != 0:
        return None
    half, status = invert(factor, lower=1)
    if status != 0:
        return None
    out = np.empty_like(matrix)
    out[:often, :often] = -(np.tril(half) + np.tril(half, -1).conj().T)
    out[often:, :often] = matrix[often:, :often] @ out[:often, :often]
    out[:often, often:] = out[often:, :often].conj().T
    out[often:, often:] = matrix[often:, often:] + out[often:, :often] @ matrix[:often, often:]
    return out
