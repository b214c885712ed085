"""Columns of what is no vector: dirt before and after cleaning, a pad's mark, rust; sorted by size, with their errors.

A column carries a kernel along its own scale and angle, and an error of each order, so that a sum over columns is
smooth. Of dirt it may have two halves: what it did before cleaning, and what it does after.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from sim.arrays import Complexes, Floats
from sim.causes.seen import ORDERS
from sim.causes.signatures import DRAWN_HEIGHT, Signatures, pad_marks

Whole = NDArray[np.int64]
# Kernel of a column: standard deviation of its scale, and of its angle. Judgement: as wide as columns stand apart.
SCALE_SD, ANGLE_SD_DEG = 0.2, 4.0
# What a column's orders err by: a floor [um], and a share of the order's size, for ragged scale, crushing, torque:
# judgement.
FLOOR_UM, ERR_SHARE = (1.2, 0.9, 0.6), 0.12
# Columns of about one size err alike: edges of these classes by first order. [um]
CLASSES_UM = (0.0, 3.0, 7.0, 12.0, 18.0, 25.0, 35.0, 50.0, 75.0, 110.0, np.inf)
COARSE_UM = (0.0, 12.0, 35.0, np.inf)  # where columns are only looked with
# Heights of a pad's mark over its median, as powers of the prior's factor, with their weights (normal quantiles).
MARK_POWERS = ((-1.5, 0.13), (-0.75, 0.24), (0.0, 0.26), (0.75, 0.24), (1.5, 0.13))
# Real and imaginary parts of three orders before cleaning, and after it.
HALF = 2 * ORDERS
BEFORE, AFTER, BOTH = slice(0, HALF), slice(HALF, 2 * HALF), slice(0, 2 * HALF)


@dataclass(frozen=True, eq=False)
class Columns:
    """Columns of one size: mean, their slope along the angle, what their orders err by.

    Parameters
    ----------
    mean, angle : ndarray, shape (k, p)
        Real and imaginary parts of orders 1 .. 3, before cleaning or after it (p = 6) or both (12); slope times the
        kernel's standard deviation. Along its scale it is `SCALE_SD` times the column. [um]
    error : ndarray, shape (p,)
        Standard deviation of a component. [um]
    log_weight : ndarray, shape (k,)
        Prior weight of each; all classes of a family add to one.
    number : ndarray of int, shape (k,)
        Of each column in its family.
    squares : tuple of ndarray, shape (k, p (p + 1) / 2)
        Products of mean with mean, mean with angle, angle with angle: what a symmetric matrix is summed over with.
    half : slice
        Which halves they are of: `BEFORE`, `AFTER`, `BOTH`.
    """

    mean: Floats
    angle: Floats
    error: Floats
    log_weight: Floats
    number: Whole
    squares: tuple[Floats, Floats, Floats]
    half: slice = field(default_factory=lambda: BEFORE)

    def root(self, rows: Whole) -> Floats:
        """Square roots of the covariances of these columns, shape (rows, p, p + 2). [um]. By definition."""
        kernel = np.stack([SCALE_SD * self.mean[rows], self.angle[rows]], axis=2)
        error = np.broadcast_to(np.diag(self.error), (rows.size, self.error.size, self.error.size))
        return np.concatenate([kernel, error], axis=2)


def _pairs(orders: Complexes) -> Floats:
    return np.stack([orders.real, orders.imag], axis=2).reshape(orders.shape[0], -1)


def classed(
    columns: Complexes,
    weight: Floats,
    floor_um: Sequence[float] = FLOOR_UM,
    half: slice = BEFORE,
    edges_um: Sequence[float] = CLASSES_UM,
) -> tuple[Columns, ...]:
    """Sort columns by size.

    Parameters
    ----------
    columns : ndarray of complex, shape (k, 3) or (k, 6)
        [um]
    weight : ndarray, shape (k,)
        Prior weights, not below nought.
    floor_um : sequence of float
        Least error of each order. [um]
    half : slice
        Which halves they are of.
    edges_um : sequence of float
        Of the classes. [um]

    Returns
    -------
    tuple of Columns

    Notes
    -----
    Kernel and errors are judgement; df/da of c exp(-i n a) is -i n c.
    """
    many = columns.shape[1] // ORDERS
    order = np.tile(np.arange(1, ORDERS + 1), many)
    floor = np.tile(np.asarray(floor_um), many)
    size = np.abs(columns)
    share = weight / weight.sum()
    out = []
    for low, high in zip(edges_um[:-1], edges_um[1:], strict=True):
        here = np.flatnonzero((size[:, 0] >= low) & (size[:, 0] < high) & (share > 0.0))
        if not here.size:
            continue
        part = columns[here]
        mean_size = np.average(size[here], axis=0, weights=share[here])
        error = np.repeat(floor + ERR_SHARE * mean_size, 2)
        slope = -1j * order * part * np.radians(ANGLE_SD_DEG)
        mean, angle = _pairs(part), _pairs(slope)
        squares = (products(mean, mean), products(mean, angle), products(angle, angle))
        out.append(Columns(mean, angle, error, np.log(share[here]), here, squares, half))
    return tuple(out)


def products(one: Floats, other: Floats) -> Floats:
    """Factors of the upper triangle of a symmetric W in one' W other, row by row: by definition, no unit."""
    row, column = np.triu_indices(one.shape[1])
    both = one[:, row] * other[:, column] + one[:, column] * other[:, row]
    return np.where(row == column, 0.5, 1.0) * both


def _height_weight(known: Signatures, height_um: tuple[float, float]) -> Floats:
    """How likely each column's height is held over how often it was drawn."""
    log_h = np.log(known.height_um)

    def density(median: float, factor: float) -> Floats:
        off = (log_h - np.log(median)) / np.log(factor)
        return np.exp(-0.5 * off**2) / np.log(factor)

    return np.clip(density(*height_um) / density(*DRAWN_HEIGHT), 0.0, 20.0)


@lru_cache(maxsize=4)
def dirt_columns(
    known: Signatures, height_um: tuple[float, float], scale: float, edges_um: tuple[float, ...] = CLASSES_UM
) -> tuple[Columns, ...]:
    """Columns of dirt, weighed by how likely its height is.

    Parameters
    ----------
    known : Signatures
    height_um : tuple of float
        Median [um] and factor.
    scale : float
        Radius of the readings over that of the columns.
    edges_um : tuple of float
        Of the classes. [um]

    Returns
    -------
    tuple of Columns

    Notes
    -----
    Importance weights of one log-normal over another: by definition. [um]
    """
    return classed(known.columns * scale, _height_weight(known, height_um), edges_um=edges_um)


@lru_cache(maxsize=4)
def left_columns(
    known: Signatures,
    height_um: tuple[float, float],
    stays: tuple[float, float],
    scale: float,
    edges_um: tuple[float, ...] = CLASSES_UM,
) -> tuple[Columns, ...]:
    """Columns of dirt of which some stays: before cleaning and after it.

    Parameters
    ----------
    known : Signatures
    height_um : tuple of float
        Median [um] and factor.
    stays : tuple of float
        Least and largest share of its height.
    scale : float
        Radius of the readings over that of the columns.
    edges_um : tuple of float
        Of the classes. [um]

    Returns
    -------
    tuple of Columns
        None where nothing was seated that stays as much.

    Notes
    -----
    As `dirt_columns`; both halves are seated, the second is no share of the first. [um]
    """
    weight = _height_weight(known, height_um)[known.left_of]
    weight = np.where((known.left_share >= stays[0]) & (known.left_share <= stays[1]), weight, 0.0)
    if not weight.sum() > 0.0:
        return ()
    both: Complexes = np.asarray(np.hstack((known.columns[known.left_of], known.left)) * scale, dtype=complex)
    return classed(both, weight, half=BOTH, edges_um=edges_um)


def brought(columns: Sequence[Columns]) -> tuple[Columns, ...]:
    """The same columns as dirt that was not there before cleaning.

    Parameters
    ----------
    columns : sequence of Columns
        Of dirt as found.

    Returns
    -------
    tuple of Columns
        [um], by definition.
    """
    return tuple(replace(part, half=AFTER) for part in columns)


@lru_cache(maxsize=8)
def mark_columns(arc_deg: float, imprint_um: tuple[float, float], signs: tuple[float, ...]) -> tuple[Columns, ...]:
    """Columns of a pad's mark (+) or of rust under a parked pad (+ or -). [um of thickness].

    Heights are judgement (`Priors.imprint_um`), the shape is a box.
    """
    unit = pad_marks(arc_deg)
    median, factor = imprint_um
    rows = [(sign * median * factor**power, w / len(signs)) for power, w in MARK_POWERS for sign in signs]
    columns = np.concatenate([unit * height for height, _ in rows])
    weight = np.concatenate([np.full(len(unit), w) for _, w in rows])
    return classed(columns, weight, (0.5, 0.4, 0.3))
