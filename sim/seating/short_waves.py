"""What the orders that are cut off would add: under its own cell a body answers short waves like a half-space.

A body is solved for harmonics up to a highest one. Waves shorter than that reach no deeper than a millimetre, where the
metal has no end: their share of the flexibility between two cells is that of a half-space less that of a half-space cut
off at the same order. Both are closed: rectangles on a half-space (Love, Phil. Trans. R. Soc. A 228, 1929), averaged
over the loaded and the read cell, and the same load wave by wave (the line load's K0).
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from math import factorial

import numpy as np
from numpy.polynomial.legendre import leggauss
from numpy.typing import NDArray
from scipy.special import k1, psi

from sim.arrays import Floats
from sim.parts.materials import Metal
from sim.seating.cells import Alike, CellBlock

REACH = 16.0  # in half waves of the highest order: beyond it short waves have cancelled out
LOWEST, HIGHEST, STEP, DEGREE = -22.0, 6.0, 0.25, 7  # of the table of the line load's answer, in log(k y)
TINY = 1e-300  # beside any length [mm], so that nought has a logarithm
ON, WEIGHT = leggauss(48)  # quadrature over waves, enough within that reach


def compliance(metal: Metal) -> float:
    """Sinking of a half-space at unit distance from a unit force. [mm2/N].

    Boussinesq's point load on a half-space (handbook): u = (1 - nu^2) F / (pi E r).
    """
    return (1 - metal.poisson**2) / (np.pi * metal.youngs_mpa)


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
    known = ("short waves", orders)
    if known not in block.known:
        know_short_waves([block], orders)
    found: Floats = block.known[known]
    return found


def know_short_waves(blocks: Sequence[CellBlock], orders: int) -> None:
    """Work out the `short_waves` of many blocks, those of one shape in one call; each block then knows its own.

    Parameters
    ----------
    blocks : sequence of CellBlock
        With as many rings and angles as each other.
    orders : int
    """
    even = [np.ptp(block.arcs) < 1e-9 * block.arcs[0] for block in blocks]
    all_round = [
        is_even and block.arcs.sum() > 2 * np.pi * (1 - 1e-9) for is_even, block in zip(even, blocks, strict=True)
    ]
    for block, goes_round in zip(blocks, all_round, strict=True):
        if goes_round:
            row = short_waves_round(block, orders).transpose(1, 2, 0)[None, :, :, None]
            block.known["short waves", orders] = _by_cell(_toeplitz(row))[0]
    for first_only in (True, False):
        some = [
            block
            for block, is_even, goes_round in zip(blocks, even, all_round, strict=True)
            if is_even == first_only and not goes_round
        ]
        if some:
            alike = Alike.of(some)
            found = _columns(alike, 1 if first_only else alike.arcs.shape[1], orders)
            tables = _by_cell(_toeplitz(found) if first_only else found)
            for block, table in zip(some, tables, strict=True):
                block.known["short waves", orders] = table


def _toeplitz(first: Floats) -> Floats:
    """All columns against all, from the first against all, where only their distance counts."""
    steps = np.arange(first.shape[-1])
    return first[..., 0, :][..., np.abs(steps[:, None] - steps)]


def _by_cell(table: Floats) -> Floats:
    """From (blocks, rings, rings, angles, angles) to (blocks, cells, cells)."""
    count, rings, _, turns, _ = table.shape
    return table.transpose(0, 3, 1, 4, 2).reshape(count, turns * rings, turns * rings)


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
    row = _columns(Alike.of([half]), 1, orders)[0, :, :, 0]
    return np.ascontiguousarray(row[..., np.minimum(steps, turns - steps)].transpose(2, 0, 1))


def _columns(blocks: Alike, first: int, orders: int) -> Floats:
    """Between the first few columns and all. Shape (blocks, rings, rings, first, angles)."""
    # Long axes stand last: pairs of columns, or orders, of each pair of rings.
    turns, rings = blocks.angle_rad.shape[1], blocks.inner_mm.shape[1]
    middle, across = (blocks.inner_mm + blocks.outer_mm) / 2, blocks.outer_mm - blocks.inner_mm
    one, other = _pairs(rings, rings)  # rings answer each other alike, and so do columns
    radius = ((middle[:, one] + middle[:, other]) / 2)[..., None]
    inner, outer = blocks.inner_mm, blocks.outer_mm
    ends = ((inner, inner), (inner, outer), (outer, inner), (outer, outer))
    y = np.abs(np.stack([this[:, one] - that[:, other] for this, that in ends], axis=1))[..., None]
    half = blocks.arcs / 2
    sides = np.concatenate([blocks.angle_rad - half, blocks.angle_rad[:, -1:] + half[:, -1:]], axis=1)
    row, column = _pairs(first + 1, turns + 1)
    x = np.abs(sides[:, row] - sides[:, column])[:, None] * radius
    # Each second difference of an even function of (a - b) carries a minus sign; the columns' is turned round here.
    whole = _second_difference(_across(_love(x[:, None], y))[..., _place(first + 1, turns + 1)])
    area = (blocks.arcs[:, :first, None] * blocks.arcs[:, None])[:, None] * radius[..., None]
    long = _long_waves(blocks, first, y, radius, orders)[..., _place(first, turns)]
    whole /= area
    whole -= long
    whole /= (radius * (across[:, one] * across[:, other])[..., None])[..., None]
    far = np.abs(blocks.angle_rad[:, :first, None] - blocks.angle_rad[:, None]) > REACH * np.pi / orders
    if far.any():
        whole[np.broadcast_to(far[:, None], whole.shape)] = 0.0
    return whole[:, _place(rings, rings)]


def _second_difference(table: Floats) -> Floats:
    """Minus the second difference over the sides of two columns."""
    along = table[..., 1:] - table[..., :-1]
    return along[..., :-1, :] - along[..., 1:, :]


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


def _across(corners: Floats) -> Floats:
    """Second difference over the sides of two rings, inner and outer ones as `_columns` has them."""
    return corners[:, 1] + corners[:, 2] - corners[:, 0] - corners[:, 3]


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


def _long_waves(blocks: Alike, first: int, y: Floats, radius: Floats, orders: int) -> Floats:
    """What the kept orders hold of it, not yet averaged across rings. (blocks, pairs of rings, pairs of columns)."""
    share = (ON + 1) / 2
    # The line load's answer is logarithmic where the waves are long: points crowd there.
    order, step = (orders - 0.5) * share**2, (orders - 0.5) * share * WEIGHT
    line = _across(_line((order / radius)[:, None], y))
    mean = np.sinc(blocks.arcs[..., None] * order / 2 / np.pi)
    angle = (blocks.angle_rad - blocks.angle_rad.mean(axis=1, keepdims=True))[..., None] * order
    even, odd = np.cos(angle) * mean, np.sin(angle) * mean
    row, column = _pairs(first, blocks.arcs.shape[1])
    wave = even[:, row] * even[:, column]
    wave += odd[:, row] * odd[:, column]
    wave *= 2 / np.pi * step
    return np.asarray(line @ wave.swapaxes(1, 2), dtype=np.float64)


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
