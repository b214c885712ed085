"""Judder: closed forms of frequency, window, response and bands; two wheels; a road test weighed."""

from __future__ import annotations

import math

import numpy as np
import pytest

from sim.errors import BadInput
from sim.parts.case import Case, Drive
from sim.wear.brake import brake_of
from sim.wear.judder import (
    ORDERS,
    Mode,
    beat_km,
    both_wheels,
    felt,
    felt_speed_km_h,
    force_variation_n,
    half_power_hz,
    order_frequency_hz,
    pressure_variation_bar,
    response,
    shake_m_s2,
    speed_bands_km_h,
    torque_variation_nm,
    window_factor,
)
from sim.wear.road_test import RoadTest, weigh

MODE = Mode(14.0, 0.10, 0.008)
TURNS = 519.5


def amplitudes(*values):
    out = np.zeros(len(ORDERS))
    out[: len(values)] = values
    return out


def test_frequency_of_an_order():
    """836 turns a mile are 519.5 a km: 14.43 Hz per order at 100 km/h (common practice, no source)."""
    assert order_frequency_hz(1, 100.0, TURNS) == pytest.approx(14.43, abs=0.005)
    assert order_frequency_hz(3, 100.0, TURNS) == pytest.approx(3 * 14.43, abs=0.015)


def test_felt_speeds():
    assert [round(felt_speed_km_h(n, 14.0, TURNS), 1) for n in (1, 2, 3, 4)] == [97.0, 48.5, 32.3, 24.3]
    assert felt_speed_km_h(1, 22.0, TURNS) == pytest.approx(152.5, abs=0.1)


def test_window_is_the_mean_of_a_cosine_under_the_pad():
    psi = np.linspace(-0.5, 0.5, 200_001) * math.radians(55.0)
    for n in ORDERS:
        assert window_factor(n, math.radians(55.0)) == pytest.approx(np.mean(np.cos(n * psi)), abs=1e-5)


def test_gain_per_micrometre():
    """By hand for the reference brake: 1.54 N m and 0.076 bar per um of first order, 0.78 and 0.039 of fourth."""
    brake = brake_of(Case())
    one = np.ones(len(ORDERS))
    torque, pressure = torque_variation_nm(one, brake, 0.4), pressure_variation_bar(one, brake, 2030.0)
    assert torque[[0, 3]] == pytest.approx([1.54, 0.78], rel=0.02)
    assert pressure[[0, 3]] == pytest.approx([0.076, 0.039], rel=0.02)


def test_variation_is_linear_and_knows_no_pedal_force():
    soft = brake_of(Case(drive=Drive(pressure_mpa=0.4)))
    hard = brake_of(Case(drive=Drive(pressure_mpa=2.0)))
    shape = amplitudes(3.0, 2.0, 0.5)
    assert np.array_equal(force_variation_n(shape, soft), force_variation_n(shape, hard))
    assert np.allclose(force_variation_n(2.0 * shape, soft), 2.0 * force_variation_n(shape, soft))


def test_the_order_that_is_felt_most_is_the_one_with_the_most_torque_not_the_most_thickness():
    """The pad's window takes half of a fourth order: 1.54 and 0.78 N m per um, as above."""
    case = Case()
    found = felt(amplitudes(1.0, 0.0, 0.0, 1.5, 0.0, 0.0)[None], case, brake_of(case))
    assert found.order.tolist() == [1]
    assert felt(amplitudes(1.0, 0.0, 0.0, 2.5, 0.0, 0.0)[None], case, brake_of(case)).order.tolist() == [4]


def test_response_of_the_mode():
    assert response(0.0, MODE) == pytest.approx(1.0)
    assert response(14.0, MODE) == pytest.approx(math.sqrt(1.04) / 0.2)
    assert response(14.0 * math.sqrt(2.0), MODE) == pytest.approx(1.0)  # the same whatever the damping


@pytest.mark.parametrize("damping", [0.02, 0.1, 0.2])
def test_half_power_band(damping):
    mode = Mode(14.0, damping, 0.008)
    hz = np.linspace(1.0, 40.0, 40_001)
    curve = response(hz, mode)
    inside = hz[curve >= curve.max() / math.sqrt(2.0)]
    low, high = half_power_hz(mode)
    assert (low, high) == pytest.approx((inside[0], inside[-1]), abs=2e-3)


def test_band_of_a_heavily_damped_mode_reaches_down_to_rest():
    assert half_power_hz(Mode(14.0, 0.6, 0.008))[0] == 0.0


def test_speed_bands_hold_the_felt_speed():
    bands = speed_bands_km_h(MODE, TURNS)
    speeds = [felt_speed_km_h(n, MODE.hz, TURNS) for n in ORDERS]
    assert np.all(bands[:, 0] < speeds)
    assert np.all(bands[:, 1] > speeds)


def test_shake_of_one_order_by_hand():
    """At root two times the mode's frequency the response is 1; what is felt is the root mean square of the wave."""
    speed = felt_speed_km_h(1, MODE.hz * math.sqrt(2.0), TURNS)
    assert shake_m_s2(amplitudes(8.0), speed, (MODE,), TURNS) == pytest.approx(MODE.gain_m_s2_per_nm * 8.0 / 2**0.5)


def test_shake_adds_orders_and_modes_in_quadrature():
    second = Mode(22.0, 0.1, 0.004)
    one = shake_m_s2(amplitudes(8.0), 97.0, (MODE,), TURNS)
    two = shake_m_s2(amplitudes(0.0, 6.0), 97.0, (MODE,), TURNS)
    both = shake_m_s2(amplitudes(8.0, 6.0), 97.0, (MODE,), TURNS)
    assert both == pytest.approx(np.hypot(one, two))
    more = shake_m_s2(amplitudes(8.0), 97.0, (MODE, second), TURNS)
    assert more == pytest.approx(np.hypot(one, shake_m_s2(amplitudes(8.0), 97.0, (second,), TURNS)))


def test_index_is_one_at_the_limit():
    """A first-order variation of 15 um peak to peak is 1 at the pedal and at the wheel; twice it is 2."""
    case = Case()
    found = felt(np.stack([amplitudes(7.5), amplitudes(15.0), amplitudes(1.0, 6.0)]), case, brake_of(case))
    assert found.wheel_index[:2] == pytest.approx([1.0, 2.0])
    assert found.pedal_index[:2] == pytest.approx([1.0, 2.0])
    assert found.order.tolist() == [1, 1, 2]


@pytest.mark.parametrize(
    ("phase", "together", "against"), [(0.0, 5.0, 1.0), (180.0, 1.0, 5.0), (90.0, math.hypot(3, 2), math.hypot(3, 2))]
)
def test_two_wheels(phase, together, against):
    pair = both_wheels(3.0, 2.0, phase)
    assert (pair.together, pair.against) == pytest.approx((together, against))


def test_beat_of_two_wheels():
    assert beat_km(519.5, 519.5) is None
    assert beat_km(519.5, 520.5) == pytest.approx(1.0)
    assert beat_km(519.5, 520.5, order=2) == pytest.approx(0.5)


@pytest.mark.parametrize(("speed", "order"), [(97.0, 1), (48.0, 2), (33.0, 3)])
def test_the_felt_speed_names_the_order(speed, order):
    found = weigh(RoadTest(only_braking=True, speed_km_h=speed, felt_at="wheel"), None, MODE, TURNS)
    assert sum(found.share) == pytest.approx(1.0)
    assert ORDERS[int(np.argmax(found.share))] == order
    assert max(found.share) > 0.7
    assert found.ours


def test_a_strong_order_is_never_ruled_out_by_a_speed_alone():
    """A twentieth of complaints fits no order's speed (judgement): second order a thousand times stronger, by hand."""
    found = weigh(RoadTest(speed_km_h=97.0), amplitudes(1.0, 1000.0, 0.0, 0.0, 0.0, 0.0), MODE, TURNS)
    one = abs(math.log(97.0 / felt_speed_km_h(1, MODE.hz, TURNS)))
    assert one < 0.01  # the first order's speed; the second's is half of it
    assert found.share[1] / found.share[0] == pytest.approx(1000.0 * 0.05, rel=0.01)


def test_strength_counts_where_speeds_are_close():
    """24.3 and 19.4 km/h of orders 4 and 5 overlap: the stronger torque decides at 21.5 km/h."""
    weak = weigh(RoadTest(speed_km_h=21.5), amplitudes(1, 1, 1, 5, 1, 1), MODE, TURNS)
    assert weak.share[3] > 2.0 * weak.share[4]


def test_what_is_not_our_subject_is_said():
    found = weigh(RoadTest(only_braking=False, speed_km_h=120.0, state="hot", felt_at="seat"), None, MODE, TURNS)
    text = " ".join(found.remarks)
    assert not found.ours
    for word in ("wheel balance", "hot spots", "rear rotors"):
        assert word in text


def test_a_speed_that_fits_nothing_is_said():
    assert any("No order" in text for text in weigh(RoadTest(speed_km_h=220.0), None, MODE, TURNS).remarks)


def test_no_facts_leave_the_orders_as_they_were():
    assert weigh(RoadTest(), None, MODE, TURNS).share == pytest.approx([1 / 6] * 6)
    assert weigh(RoadTest(), np.zeros(6), MODE, TURNS).share == pytest.approx([1 / 6] * 6)


@pytest.mark.parametrize("test", [RoadTest(felt_at="roof"), RoadTest(state="warm"), RoadTest(speed_km_h=-3.0)])
def test_words_that_are_not_understood_are_refused(test):
    with pytest.raises(BadInput, match="allowed"):
        weigh(test, None, MODE, TURNS)


def test_a_road_test_that_points_to_the_other_axle_says_so_and_a_burnt_in_imprint_does_not_fade():
    test = RoadTest(felt_at="wheel", state="cold")
    rear, front, unsaid = (" ".join(weigh(test, None, MODE, TURNS, axle).remarks) for axle in ("rear", "front", ""))
    assert "So rather not this corner: read the front." in rear
    assert "not this corner" not in front + unsaid
    assert "an imprint that was burnt in hot stays and grows" in rear
    assert "not this corner" in " ".join(weigh(RoadTest(felt_at="seat"), None, MODE, TURNS, "front").remarks)
