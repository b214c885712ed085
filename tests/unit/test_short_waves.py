"""Short waves of a half-space: against the sum over the orders that were cut off, and a handbook's square."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.special import k0

from sim.parts.materials import Metal
from sim.seating.cells import CellBlock, face_block
from sim.seating.short_waves import _line, compliance, short_waves, short_waves_round

ORDERS = 91


def line_mean(order: float, ring: tuple[float, float], other: tuple[float, float]) -> float:
    """Mean of the line load's answer K0 over two rings, by quadrature over their distance."""
    k = order / ((sum(ring) + sum(other)) / 4)
    wide, wider = ring[1] - ring[0], other[1] - other[0]
    away = (sum(other) - sum(ring)) / 2

    def shared(t: float) -> float:
        """How much of the two rings lies at distance t."""
        return max(min(wide / 2, t - away + wider / 2) - max(-wide / 2, t - away - wider / 2), 0.0)

    ends = sorted({away + s * (wide + t * wider) / 2 for s in (-1, 1) for t in (-1, 1)} | {0.0})
    low, high = away - (wide + wider) / 2, away + (wide + wider) / 2
    breaks = [x for x in ends if low < x < high]
    cuts = [low, *breaks, high]
    parts = [quad(lambda t: shared(t) * k0(k * abs(t)), a, b)[0] for a, b in zip(cuts, cuts[1:], strict=False)]
    return sum(parts) / (wide * wider)


def brute(block: CellBlock, one: tuple[int, int], other: tuple[int, int]) -> float:
    """Sum over orders above the kept ones: (angle, ring) against (angle, ring)."""
    order = np.arange(ORDERS, 6000)
    rings = [(block.inner_mm[k], block.outer_mm[k]) for k in (one[1], other[1])]
    radius = sum(map(sum, rings)) / 4
    at = np.geomspace(ORDERS, 6000, 120)
    smooth = np.array([line_mean(n, *rings) * n**2 for n in at])
    line = np.interp(np.log(order), np.log(at), smooth) / order**2
    arcs = [block.arcs[one[0]], block.arcs[other[0]]]
    wave = np.cos(order * (block.angle_rad[one[0]] - block.angle_rad[other[0]]))
    for arc in arcs:
        wave = wave * np.sinc(order * arc / 2 / np.pi)
    return float(2 / np.pi * (wave * line).sum() / radius)


@pytest.mark.parametrize(
    ("one", "other"), [((0, 0), (0, 0)), ((0, 0), (1, 0)), ((0, 1), (2, 1)), ((1, 0), (1, 1)), ((2, 1), (2, 1))]
)
def test_short_waves_are_the_sum_of_the_orders_above(one, other):
    sides = np.array([0.0, 0.02, 0.05, 0.11])
    block = CellBlock(np.array([60.0, 61.0]), np.array([61.0, 63.5]), (sides[1:] + sides[:-1]) / 2, np.diff(sides))
    found = short_waves(block, ORDERS)[one[0] * 2 + one[1], other[0] * 2 + other[1]]
    assert found == pytest.approx(brute(block, one, other), rel=2e-3, abs=2e-5)


def test_with_next_to_no_order_kept_it_is_a_square_on_a_half_space():
    """Timoshenko and Goodier, Theory of Elasticity, art. 139: mean sinking of a loaded square 0.95 P (1 - nu2)/(E a).

    The one order that is kept is a wave of 600 mm: it takes 3 % off the sinking of a millimetre.
    """
    square = CellBlock(np.array([99.5]), np.array([100.5]), np.array([0.0]), 0.01)
    metal = Metal(youngs_mpa=110_000.0, poisson=0.26)
    mean = compliance(metal) * short_waves(square, 1)[0, 0] * metal.youngs_mpa / (1 - metal.poisson**2)
    long = 2 / np.pi / np.pi * quad(lambda n: line_mean(n, (99.5, 100.5), (99.5, 100.5)), 0.0, 0.5)[0] / 100.0
    assert mean + long == pytest.approx(0.95, abs=0.005)
    assert long < 0.03


def test_even_columns_and_uneven_ones_and_all_round_agree():
    grid = face_block((34.0, 68.0), 6.0, 75)
    rings = grid.inner_mm.size
    row = short_waves_round(grid, ORDERS)
    assert row[1] == pytest.approx(row[74])
    part = CellBlock(grid.inner_mm, grid.outer_mm, grid.angle_rad[:4], grid.arc_rad)
    table = short_waves(part, ORDERS)
    assert table == pytest.approx(table.T)
    assert table[:rings, rings : 2 * rings] == pytest.approx(row[1])
    uneven = CellBlock(part.inner_mm, part.outer_mm, part.angle_rad, part.arcs * (1 + 1e-6 * np.array([1, -1, 1, -1])))
    assert short_waves(uneven, ORDERS) == pytest.approx(table, rel=1e-3, abs=1e-5)
    whole = short_waves(CellBlock(grid.inner_mm, grid.outer_mm, grid.angle_rad, grid.arc_rad), ORDERS)
    assert whole[-rings:, :rings] == pytest.approx(row[1])


@pytest.mark.parametrize("t", [1e-6, 0.03, 0.97, 1.1, 11.6, 12.4, 40.0])
def test_the_line_loads_answer_is_its_integral(t):
    """Twice the integral of K0: once over the other is (t - s) K0(s) from nought to t."""
    near = quad(lambda s: (t - s) * k0(s), 0.0, min(t, 0.5), epsabs=0.0, epsrel=1e-13)[0]
    far = quad(lambda s: (t - s) * k0(s), min(t, 0.5), t, epsabs=0.0, epsrel=1e-13, limit=200)[0]
    k, y = np.full((1, 1), t / 2.5), np.full((1, 1), 2.5)
    assert _line(k, y)[0, 0] == pytest.approx((near + far) / k[0, 0] ** 2, rel=1e-11)
    assert _line(k, 0.0 * y)[0, 0] == 0.0
