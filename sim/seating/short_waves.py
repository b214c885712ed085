"""What the orders that are cut off would add: under its own cell a body answers short waves like a half-space.

A body is solved for harmonics up to a highest one. Waves shorter than that reach no deeper than a millimetre, where the
metal has no end: their share of the flexibility between two cells is that of a half-space less that of a half-space cut
off at the same order. Both are closed: rectangles on a half-space (Love, Phil. Trans. R. Soc. A 228, 1929), averaged
over the loaded and the read cell, and the same load wave by wave (the line load's K0).
"""

from __future__ import annotations

from functools import lru_cache
from math import factorial

import numpy as np
from numpy.polynomial.legendre import leggauss
from numpy.typing import NDArray
from scipy.special import k1, psi

from sim.arrays import Floats
from sim.parts.materials import Metal
from sim.seating.cells import CellBlock

REACH = 16.0  # in half waves of the highest order: beyond it short waves have cancelled out
LOWEST, HIGHEST, STEP, DEGREE = -22.0, 6.0, 0.25, 7  # of the table of the line load's answer, in log(k y)
TINY = 1e-300  # beside any length [mm], so that nought has a logarithm
ON, WEIGHT = leggauss(48)  # quadrature over waves, enough within that reach


def compliance(metal: Metal) -> float:
    """Sinking of a half-space at unit distance from a unit force. [mm2/N].

    Boussinesq's point load on a half-space (handbook): u = (1 - nu^2) F / (pi E r).
    """
    return (1 - metal.poisson**2) / (np.pi * metal.youngs_mpa)


@lru_cache(maxsize=8)  # dirt and the floor under it are one block
def short_waves(block: CellBlock, orders: int) -> Floats:
    """Flexibility between the cells of a patch from waves above the kept orders, for unit `compliance`.

    Parameters
    ----------
    block : CellBlock
        Columns that touch each other, from one angle to the next.
    orders : int
        How many orders are kept, the mean included.

    Returns
    -------
    ndarray, shape (cells, cells)
        [1/mm]

    Notes
    -----
    Love (see the module) less the same load's kept orders; held against the sum over the orders in the tests.
    """
    arcs, rings = block.arcs, block.inner_mm.size
    if np.ptp(arcs) < 1e-9 * arcs[0]:
        steps = np.arange(arcs.size)
        all_round = arcs.sum() > 2 * np.pi * (1 - 1e-9)
        row = short_waves_round(block, orders) if all_round else _columns(block, 1, orders)[0]
        table = row[np.abs(steps[:, None] - steps)]
    else:
        table = _columns(block, arcs.size, orders)
    return table.transpose(0, 2, 1, 3).reshape(arcs.size * rings, arcs.size * rings)


def short_waves_round(block: CellBlock, orders: int) -> Floats:
    """The same between the first column and all others of a block of even columns that goes all round.

    Returns
    -------
    ndarray, shape (angles, rings, rings)
        [1/mm]
    """
    turns = block.angle_rad.size
    near = slice(turns // 2 + 1)
    half = CellBlock(block.inner_mm, block.outer_mm, block.angle_rad[near], block.arcs[near])
    steps = np.arange(turns)
    return _columns(half, 1, orders)[0][np.minimum(steps, turns - steps)]


def _columns(block: CellBlock, first: int, orders: int) -> Floats:
    """Between the first few columns and all. Shape (first, angles, rings, rings)."""
    sides = np.append(block.angle_rad - block.arcs / 2, block.angle_rad[-1] + block.arcs[-1] / 2)
    middle, across = (block.inner_mm + block.outer_mm) / 2, block.outer_mm - block.inner_mm
    one, other = _pairs(middle.size, middle.size)  # rings answer each other alike, and so do columns
    radius = (middle[one] + middle[other]) / 2
    edges = np.column_stack([block.inner_mm, block.outer_mm])
    y = np.abs(edges[one][:, :, None] - edges[other][:, None, :])
    row, column = _pairs(first + 1, sides.size)
    x = (np.abs(sides[row] - sides[column])[:, None] * radius)[:, :, None, None]
    # Each second difference of an even function of (a - b) carries a minus sign; the columns' is turned round here.
    whole = -np.diff(np.diff(_both_ways(_across(_love(x, y)), first + 1, sides.size), axis=0), axis=1)
    area = (block.arcs[:first, None] * block.arcs)[:, :, None] * radius
    long = _both_ways(_long_waves(block, first, y, radius, orders), first, block.arcs.size)
    out = (whole / area - long) / (radius * across[one] * across[other])
    out[np.abs(block.angle_rad[:first, None] - block.angle_rad) > REACH * np.pi / orders] = 0.0
    return out[:, :, _place(middle.size, middle.size)]


@lru_cache(maxsize=64)
def _pairs(rows: int, columns: int) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Pairs of a table whose square part is symmetric, each once."""
    one, other = np.triu_indices(rows, 0, columns)
    return one, other


@lru_cache(maxsize=64)
def _place(rows: int, columns: int) -> NDArray[np.int64]:
    """Which of the pairs stands at each place of the table."""
    out = np.empty((rows, columns), dtype=np.int64)
    one, other = _pairs(rows, columns)
    out[one, other] = np.arange(one.size)
    square = out[:, :rows]
    square.T[one[other < rows], other[other < rows]] = square[one[other < rows], other[other < rows]]
    return out


def _both_ways(pairs: Floats, rows: int, columns: int) -> Floats:
    """Spread values of pairs over the table. Shape (rows, columns, ...)."""
    return pairs[_place(rows, columns)]


def _across(corners: Floats) -> Floats:
    """Second difference over the sides of two rings."""
    return corners[..., 0, 1] + corners[..., 1, 0] - corners[..., 0, 0] - corners[..., 1, 1]


def _love(x: Floats, y: Floats) -> Floats:
    """Integral of 1 / distance, twice over each coordinate."""
    # x arcsinh(y / x) = x log(y + far) - x log x, and nought where x is: several times sooner than arcsinh.
    square = x * x + y * y
    far = np.sqrt(square)
    out = x * np.log(y + far + TINY)
    out += y * np.log(x + far + TINY)
    out -= x * np.log(x + TINY) + y * np.log(y + TINY)
    out *= x * y
    out -= square * far / 3
    out *= 0.5
    return out


def _long_waves(block: CellBlock, first: int, y: Floats, radius: Floats, orders: int) -> Floats:
    """What the kept orders hold of it, not yet averaged across the rings. Shape (pairs of columns, pairs of rings)."""
    share = (ON + 1) / 2
    # The line load's answer is logarithmic where the waves are long: points crowd there.
    order, step = (orders - 0.5) * share**2, (orders - 0.5) * share * WEIGHT
    line = _across(_line(order[:, None, None, None] / radius[:, None, None], y))
    mean = np.sinc(np.outer(block.arcs, order) / 2 / np.pi)
    angle = np.outer(block.angle_rad - block.angle_rad.mean(), order)
    even, odd = np.cos(angle) * mean, np.sin(angle) * mean
    row, column = _pairs(first, block.arcs.size)
    wave = even.take(row, axis=0) * even.take(column, axis=0)
    wave += odd.take(row, axis=0) * odd.take(column, axis=0)
    wave *= 2 / np.pi * step
    return np.asarray(wave @ line, dtype=np.float64)


def _line(k: Floats, y: Floats) -> Floats:
    """Integral of K0(k y), twice over y."""
    table = _line_table()
    place = (np.log(k) + np.log(np.where(y == 0.0, 1.0, y)) - LOWEST) / STEP
    part = np.minimum(np.maximum(place, 0.0), table.shape[1] - 1.0).astype(np.int64)
    u = place - part
    powers = table.take(part, axis=1)
    out: Floats = powers[DEGREE]
    for power in range(DEGREE - 1, -1, -1):
        out *= u
        out += powers[power]
    out *= y**2
    return out


@lru_cache(maxsize=1)
def _line_table() -> Floats:
    """The same over y^2 as powers of the distance from the left end of each step of log(k y). Shape (powers, steps).

    Interpolated through Chebyshev's points, to 1e-14.
    """
    nodes = (1 - np.cos(np.pi * (np.arange(DEGREE + 1) + 0.5) / (DEGREE + 1))) / 2
    left = np.arange(LOWEST, HIGHEST, STEP)
    values = _line_exact(np.exp(left + STEP * nodes[:, None]))
    return np.linalg.solve(np.vander(nodes, increasing=True), values).astype(np.float64)


def _line_exact(t: Floats) -> Floats:
    """Integral of K0, twice from nought to t, over t^2; by series where the difference would cancel."""
    # What is left of the integral beyond t, by the trapezoidal rule, whose error falls exponentially here. Library
    # functions of this integral are good to 1e-11 about t = 12, which narrow cells turn into 1e-7 of their answer.
    u = np.arange(0.0, 6.5, 0.05)
    beyond = 0.05 * np.sum(np.exp(-t * np.cosh(u[:, None, None])) / np.cosh(u[:, None, None]), axis=0)
    beyond -= 0.025 * np.exp(-t)
    whole = (t * (np.pi / 2 - beyond) + t * k1(t) - 1.0) / t**2
    log, series = np.log(t / 2), np.zeros_like(t)
    for n in range(8):
        size = (t**2 / 4) ** n / (factorial(n) ** 2)
        series += size / (2 * n + 1) * (psi(n + 1) - log + 1 / (2 * n + 1))
        series += size / (2 * (n + 1)) * (log - (psi(n + 1) + psi(n + 2)) / 2)
    return np.where(t < 1.0, series, whole)
