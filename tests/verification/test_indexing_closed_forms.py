"""Indexing, shims and separation against closed forms, by Monte Carlo within its own error.

Sources: the closed forms are plane vector geometry, derived in the docstrings of sim.bench.cures; separation by several
positions is the multi-step method (NIST/SEMATECH e-Handbook of Statistical Methods, 3.4.4). Amplitudes; 1e5 draws, so
that a mean is good to about 0.3 % of the spread. Left out: distributions other than uniform phase.
"""

import numpy as np
import pytest

from sim.bench.cures import rms_after_indexing, rms_of_population, share_below_after_indexing, worst_after_indexing
from sim.bench.stud_position import index_positions, split_by_positions
from sim.bench.taper_shims import taper_shims

DRAWS = 100_000


def best_left(rng, a, b, count, draws=DRAWS):
    phase = rng.uniform(0, 2 * np.pi, draws)
    turns = 2 * np.pi * np.arange(count) / count
    return np.abs(a + b * np.exp(1j * (phase[:, None] + turns))).min(axis=1)


@pytest.mark.parametrize("count", [1, 2, 3, 4, 5, 6, 8])
@pytest.mark.parametrize(("a", "b"), [(1.0, 1.0), (1.0, 0.5)])
def test_best_position_over_random_pairs(count, a, b):
    left = best_left(np.random.default_rng(count), a, b, count)
    worst = worst_after_indexing(a, b, count)
    assert left.max() <= worst + 1e-12
    assert left.max() == pytest.approx(worst, abs=2e-3)
    assert left.min() >= abs(a - b) - 1e-12
    assert np.sqrt((left**2).mean()) == pytest.approx(rms_after_indexing(a, b, count), rel=6e-3)
    for limit in (0.55, 0.7):
        share = share_below_after_indexing(a, b, count, limit)
        assert (left <= limit).mean() == pytest.approx(share, abs=5e-3)


@pytest.mark.parametrize(("count", "worst"), [(4, 0.765), (5, 0.618), (6, 0.518), (8, 0.390)])
def test_equal_vectors_leave_at_most_2_sin_pi_over_2n(count, worst):
    assert worst_after_indexing(1.0, 1.0, count) == pytest.approx(worst, abs=5e-4)
    mean = best_left(np.random.default_rng(9), 1.0, 1.0, count).mean()
    assert mean == pytest.approx(4 * count / np.pi * (1 - np.cos(np.pi / (2 * count))), rel=6e-3)


def test_triangle_bound_holds_and_is_met_by_equal_vectors():
    rng = np.random.default_rng(2)
    for a, b in rng.uniform(0, 1, (200, 2)):
        for count in (3, 5, 8):
            bound = abs(a - b) + 2 * min(a, b) * np.sin(np.pi / (2 * count))
            assert worst_after_indexing(a, b, count) <= bound + 1e-12
            assert worst_after_indexing(a, a, count) == pytest.approx(2 * a * np.sin(np.pi / (2 * count)))


@pytest.mark.parametrize("count", [1, 4, 5, 8])
def test_population_of_rayleigh_hubs_and_rotors(count):
    rng = np.random.default_rng(count)
    hub = rng.rayleigh(30.0, DRAWS)
    rotor = rng.rayleigh(25.0, DRAWS)
    phase = rng.uniform(0, 2 * np.pi, DRAWS)
    turns = 2 * np.pi * np.arange(count) / count
    left = np.abs(rotor[:, None] + hub[:, None] * np.exp(1j * (phase[:, None] + turns))).min(axis=1)
    assert np.sqrt((left**2).mean()) == pytest.approx(rms_of_population(25.0, 30.0, count), rel=6e-3)


def test_program_finds_what_brute_force_finds():
    rng = np.random.default_rng(5)
    theta = 2 * np.pi * np.arange(360) / 360
    for _ in range(40):
        count = int(rng.integers(3, 9))
        hub = sum(rng.normal(0, 30 / n) * np.cos(n * theta + rng.uniform(0, 6.3)) for n in (1, 2, 3))
        rotor = sum(rng.normal(0, 30 / n) * np.cos(n * theta + rng.uniform(0, 6.3)) for n in (1, 2, 3))
        result = index_positions(hub, rotor, count)
        spans = []
        for turned in range(count):
            # Hub angle = rotor angle + turned: the rotor's degree k meets the hub's degree k + turned.
            at = theta + 2 * np.pi * turned / count
            under = np.interp(at, np.append(theta, 2 * np.pi), np.append(hub, hub[0]), period=2 * np.pi)
            spans.append(np.ptp(rotor + under))
        np.testing.assert_allclose([p.runout_um for p in result.positions], spans, rtol=2e-3, atol=0.02)
        assert result.at(result.best).runout_um <= min(spans) * 1.002 + 0.02
        assert result.continuous_um <= result.at(result.best).runout_um + 1e-9


@pytest.mark.parametrize(("count", "turns"), [(5, (0, 2)), (5, (0, 1, 2)), (4, (0, 1)), (6, (0, 2)), (8, (0, 3))])
def test_separation_by_positions_and_its_gain(count, turns):
    """Vectors come back exactly; with noise their spread is J/(J^2 - |G|^2) of one reading's."""
    rng = np.random.default_rng(7)
    hub, rotor = (rng.normal(size=8) + 1j * rng.normal(size=8) for _ in range(2))
    order = np.arange(8)
    weight = np.exp(2j * np.pi * np.outer(turns, order) / count)
    found = split_by_positions(turns, rotor + hub * weight, count)
    for n in range(1, 8):
        blind = all(n * turn % count == 0 for turn in turns)
        assert found.separable[n] is not blind
        if not blind:
            assert found.rotor[n] == pytest.approx(rotor[n])
            assert found.hub[n] == pytest.approx(hub[n])
    noise = rng.normal(size=(20000, len(turns))) + 1j * rng.normal(size=(20000, len(turns)))
    gram = np.array([np.ones(len(turns)), weight[:, 1]]).T
    spread = (np.linalg.pinv(gram) @ noise.T)[0].std()
    assert spread / noise.std() == pytest.approx(found.gain[1], rel=0.02)


def test_known_gains_of_two_positions():
    """Two mounts: sd = 1 / (root 2 |sin(n m a / 2)|)."""
    blank = np.zeros((2, 4), dtype=complex)
    for count, turns in ((5, (0, 1)), (5, (0, 2)), (8, (0, 3))):
        gain = split_by_positions(turns, blank, count).gain
        for n in (1, 2, 3):
            expected = 1 / (np.sqrt(2) * abs(np.sin(n * turns[1] * np.pi / count)))
            assert gain[n] == pytest.approx(expected)
    half = split_by_positions((0, 2), blank, 4)
    assert half.separable == (False, True, False, True)


@pytest.mark.parametrize(("count", "most"), [(4, 54.5), (5, 45.8), (6, 39.5), (8, 31.3)])
def test_taper_shims_stay_within_their_bound(count, most):
    """Steps of 25 amplitude up to 75, runout up to 75 amplitude: at most root(v^2 sin^2(pi/n) + 12.5^2)."""
    rng = np.random.default_rng(count)
    largest = 0.0
    for _ in range(300):
        vector = complex(rng.uniform(0, 75) * np.exp(2j * np.pi * rng.random()))
        result = taper_shims(vector, 0j, (50.0, 100.0, 150.0), count, 0, (0,))
        assert result.best.left_um <= result.bound_um + 1e-9
        largest = max(largest, result.best.left_um / 2)
    assert largest <= most
    v, worst = 75.0, np.pi / count
    result = taper_shims(complex(v * np.exp(1j * worst)), 0j, (50.0, 100.0, 150.0), count, 0, (0,))
    assert result.bound_um / 2 == pytest.approx(most, abs=0.06)
