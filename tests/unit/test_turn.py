"""Curves of one turn: round trips, closed forms, what sampling misses, and what is refused."""

import numpy as np
import pytest

from sim import turn
from sim.errors import BadInput

COEFFICIENTS = np.array([7.0, 50 * np.exp(-1j * 0.4), 12 * np.exp(1j * 2.0), 3 * np.exp(-1j * 1.1)])


@pytest.mark.parametrize("count", [7, 8, 12, 360])
def test_harmonics_and_trace_are_inverse(count):
    np.testing.assert_allclose(turn.harmonics(turn.trace(COEFFICIENTS, count), 3), COEFFICIENTS, atol=1e-12)


def test_definition_agrees_with_plain_sums():
    theta = np.radians(np.arange(0, 360, 10.0))
    values = 7 + 50 * np.cos(theta - 0.4) + 12 * np.cos(2 * theta + 2.0) + 3 * np.cos(3 * theta - 1.1)
    np.testing.assert_allclose(turn.evaluate(COEFFICIENTS, theta), values, atol=1e-12)
    np.testing.assert_allclose(turn.harmonics(values, 3), COEFFICIENTS, atol=1e-12)


def test_fit_takes_any_angles_and_agrees_with_the_fourier_sum_on_even_ones():
    angle = [0, 31, 77, 80, 140, 200, 222, 240, 291, 330]
    values = turn.evaluate(COEFFICIENTS, np.radians(angle))
    np.testing.assert_allclose(turn.fit(angle, values, 3), COEFFICIENTS, atol=1e-10)
    noisy = np.random.default_rng(1).normal(size=12)
    np.testing.assert_allclose(turn.fit(np.arange(12) * 30, noisy, 4), turn.harmonics(noisy, 4), atol=1e-12)


@pytest.mark.parametrize(
    ("angle", "highest"), [([0, 90, 180, 270], 2), ([0, 180], 1), ([10, 10, 10, 10, 10], 1), ([0, 1, 359.999], 2)]
)
def test_fit_refuses_what_the_readings_cannot_carry(angle, highest):
    with pytest.raises(BadInput, match="cannot tell"):
        turn.fit(angle, np.zeros(len(angle)), highest)


def test_harmonics_refuses_orders_above_half_the_readings():
    with pytest.raises(BadInput, match="at most 4 orders"):
        turn.harmonics(np.zeros(8), 5)


@pytest.mark.parametrize(
    ("high", "order", "expected"), [(40, 1, 40), (350, 1, 350), (0, 1, 0), (200, 2, 20), (-1, 3, 119)]
)
def test_high_spot_is_the_lowest_crest(high, order, expected):
    assert turn.high_spot_deg(turn.coefficient(5.0, high, order), order) == pytest.approx(expected, abs=1e-9)


def test_high_spot_stays_below_its_period():
    assert turn.high_spot_deg(complex(1.0, 1e-18), 1) == 0.0


def test_turned_moves_the_crest_forward_as_the_trace_does():
    moved = turn.turned(COEFFICIENTS, 72.0)
    np.testing.assert_allclose(turn.trace(moved), turn.turn_trace(turn.trace(COEFFICIENTS), 72.0), atol=1e-12)
    assert turn.high_spot_deg(moved[1]) == pytest.approx(np.degrees(0.4) + 72.0)


def test_turn_trace_between_steps_interpolates():
    samples = turn.trace([0, 10.0], 360)
    assert turn.turn_trace(samples, 0.5)[0] == pytest.approx(10 * np.cos(np.radians(0.5)), abs=1e-3)


def test_interpolation_goes_round_the_corner_and_takes_readings_in_any_sequence():
    assert turn.interpolate([350, 10, 180], [2.0, 4.0, 0.0], [0.0, 360.0, 5.0]) == pytest.approx([3.0, 3.0, 3.5])
    assert turn.interpolate([0, 360, 180], [1.0, 3.0, 5.0], 0.0) == pytest.approx(2.0)


def test_the_highest_order_that_readings_carry_has_its_whole_amplitude():
    """Readings that alternate are the wave cos(6 t) at twelve places; half of a dozen orders, none counted twice."""
    zigzag = 4.0 * np.cos(np.pi * np.arange(12))
    orders = turn.harmonics(zigzag, 6)
    assert orders[6] == pytest.approx(4.0)
    np.testing.assert_allclose(turn.trace(orders, 12), zigzag, atol=1e-12)


@pytest.mark.parametrize("count", [12, 24, 17, 720])
def test_resampling_is_exact_for_the_orders_carried(count):
    np.testing.assert_allclose(
        turn.resample(turn.trace(COEFFICIENTS, 36), count), turn.trace(COEFFICIENTS, count), atol=1e-10
    )


def test_resampling_does_not_fold_high_orders_onto_low_ones():
    seventh = turn.trace([0, 0, 0, 0, 0, 0, 0, 1.0], 360)
    np.testing.assert_allclose(turn.resample(seventh, 8), 0.0, atol=1e-12)


@pytest.mark.parametrize("count", [7, 8, 9, 12, 24])
def test_sampling_shares_against_a_turning_start(count):
    start = (np.arange(20000) + 0.5) / 20000 * 2 * np.pi / count
    span = np.ptp(np.cos(start[:, None] + 2 * np.pi * np.arange(count) / count), axis=1) / 2
    seen = turn.sampling(count)
    assert seen.worst_share == pytest.approx(span.min(), abs=2e-5)
    assert seen.mean_share == pytest.approx(span.mean(), abs=1e-7)


def test_sampling_folds_as_a_fourier_sum_of_samples_shows():
    seen = turn.sampling(8)
    for high, low in seen.folds.items():
        coefficients = np.zeros(high + 1, dtype=complex)
        coefficients[high] = 1.0
        spectrum = np.abs(turn.harmonics(turn.trace(coefficients, 8), 4))
        assert np.argmax(spectrum) == low
    assert seen.lost_phase == 4


def test_tir_sd_against_random_readings():
    rng = np.random.default_rng(4)
    noise = rng.normal(0, 3, (20000, 12))
    amplitude = np.abs((50 * np.cos(np.arange(12) * np.pi / 6) + noise) @ np.exp(-1j * np.arange(12) * np.pi / 6)) / 6
    assert np.std(2 * amplitude) == pytest.approx(turn.tir_sd(12, 3.0), rel=0.02)


def test_as_json_names_the_frame():
    first = turn.as_json(COEFFICIENTS, "rotor")[0]
    assert first["order"] == 1
    assert first["frame"] == "rotor"
    assert first["amplitude"] == pytest.approx(50.0)


def test_resample_keeps_orders_and_phases():
    theta = 2.0 * np.pi * np.arange(360) / 360
    other = 2.0 * np.pi * np.arange(180) / 180
    curve = lambda t: 3.0 + 2.0 * np.cos(t - 0.4) + 0.5 * np.sin(7 * t)  # noqa: E731
    assert np.allclose(turn.resample(curve(theta), 180), curve(other), atol=1e-12)
    assert np.allclose(turn.resample(curve(other), 360), curve(theta), atol=1e-12)
    assert np.array_equal(turn.resample(curve(theta), 360), curve(theta))
