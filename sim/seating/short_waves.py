"""What the orders that are cut off would add: under its own cell a body answers short waves like a half-space.

A body is solved for harmonics up to a highest one. Waves shorter than that reach no deeper than a millimetre, where the
metal has no end: their share of the flexibility between two cells is that of a half-space less that of a half-space cut
off at the same order. Both are closed: rectangles on a half-space (Love, Phil. Trans. R. Soc. A 228, 1929), averaged
over the loaded and the read cell, and the same load wave by wave (the line load's K0).
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.polynomial.legendre import leggauss
from scipy.special import iti0k0, k1

from sim.arrays import Floats
from sim.parts.materials import Metal
from sim.seating.cells import CellBlock

REACH = 16.0  # in half waves of the highest order: beyond it short waves have cancelled out
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
    angle = block.angle_rad[:first, None] - block.angle_rad
    ring_mm = np.column_stack([block.inner_mm, block.outer_mm])
    middle, across = ring_mm.mean(axis=1), block.outer_mm - block.inner_mm
    radius = (middle[:, None] + middle) / 2
    # Distances between the sides of two rings, then between those of two columns.
    y = np.abs(ring_mm[:, None, :, None] - ring_mm[None, :, None, :])
    x = np.abs(sides[: first + 1, None] - sides)[:, :, None, None, None, None] * radius[:, :, None, None]
    # Each second difference of an even function of (a - b) carries a minus sign; the columns' is turned round here.
    whole = -np.diff(np.diff(_across(_love(x, y)), axis=0), axis=1)
    area = (block.arcs[:first, None] * block.arcs)[:, :, None, None] * radius
    out = (whole / area - _long_waves(block, angle, y, radius, orders)) / (radius * across[:, None] * across)
    out[np.abs(angle) > REACH * np.pi / orders] = 0.0
    return out


def _across(corners: Floats) -> Floats:
    """Second difference over the sides of two rings."""
    return corners[..., 0, 1] + corners[..., 1, 0] - corners[..., 0, 0] - corners[..., 1, 1]


def _love(x: Floats, y: Floats) -> Floats:
    """Integral of 1 / distance, twice over each coordinate."""
    far = np.hypot(x, y)
    with np.errstate(divide="ignore", invalid="ignore"):
        first = np.where(x > 0, x**2 * y * np.arcsinh(y / x), 0.0)
        second = np.where(y > 0, x * y**2 * np.arcsinh(x / y), 0.0)
    return (first + second) / 2 - far**3 / 6


def _long_waves(block: CellBlock, angle: Floats, y: Floats, radius: Floats, orders: int) -> Floats:
    """What the kept orders hold of it, not yet averaged across the rings."""
    share = (ON + 1) / 2
    # The line load's answer is logarithmic where the waves are long: points crowd there.
    order, step = (orders - 0.5) * share**2, (orders - 0.5) * share * WEIGHT
    one, other = np.triu_indices(radius.shape[0])  # rings answer each other alike
    line = np.empty((order.size, *radius.shape))
    line[:, one, other] = _across(_line(order[:, None, None, None] / radius[one, other, None, None], y[one, other]))
    line[:, other, one] = line[:, one, other]
    mean = np.sinc(np.outer(block.arcs, order) / 2 / np.pi)
    wave = np.cos(angle[:, :, None] * order) * (2 / np.pi * step) * mean[: angle.shape[0], None] * mean
    return np.tensordot(wave, line, axes=(2, 0))


def _line(k: Floats, y: Floats) -> Floats:
    """Integral of K0(k y), twice over y."""
    t = k * y
    _, once = iti0k0(t)
    with np.errstate(invalid="ignore"):
        edge = np.where(t > 0, t * k1(t), 1.0)
    return (t * once + edge - 1.0) / k**2
