"""The disc that remembers: features turn with the disc, bands hold what they promise, findings in words, bad input.

The library is small here and the discs few; coverage over 500 discs at three distances is in ``tests/benchmarks``.
"""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from sim.bands import draw
from sim.errors import BadInput, Refused
from sim.library import _fitted_draws, learn, new_disc, worn_orders
from sim.memory import SHRINKS, WornDisc, recall, remember, shelve, weighted_quantile
from sim.pads import brake_of
from sim.parts import Caliper, Case
from sim.ring import coefficient, trace

CASE = Case()
KM = 9000.0
PLACES = 36
ANGLE = 360.0 * np.arange(PLACES) / PLACES


@pytest.fixture(scope="module")
def library():
    return learn(CASE, [KM], count=700)[0]


def worn(case, row, turn_deg=0.0, noise=None, **changed):
    """Read a disc that was fitted as ``row`` says, laid ``turn_deg`` round; a rotor-frame ``WornDisc``."""
    brake = replace(brake_of(case), **changed)
    lean, thickness = worn_orders(new_disc(case, np.asarray(row, dtype=float)), brake, np.array([KM]))
    back = np.radians(turn_deg)
    lean = lean[0] * np.exp(-1j * back * np.arange(1, 3))
    thickness = thickness[0] * np.exp(-1j * back * np.arange(1, 5))
    middle = trace(np.concatenate([[0.0], lean]), PLACES)
    thick = trace(np.concatenate([[0.0], thickness]), PLACES)
    if noise is not None:
        thick = thick + 2.0 * noise.standard_normal(PLACES)
        middle = middle + math.sqrt(2.0) * noise.standard_normal(PLACES)
    return WornDisc(KM, ANGLE, thick, middle, middle, doubt_um=2.0)


def test_orders_of_a_disc_that_never_ran_are_what_was_fitted():
    row = (100.0, 0.2, 0.7, 6.0, 1.1)
    lean, thickness = worn_orders(new_disc(CASE, np.array(row)), brake_of(CASE), np.array([1e-6]))
    assert abs(lean[0, 1] / lean[0, 0]) == pytest.approx(0.2)
    assert np.angle(lean[0, 0]) == pytest.approx(0.0, abs=1e-9)
    assert thickness[0, 0] == pytest.approx(coefficient(3.0, math.degrees(1.1)))


def test_a_gross_fitting_fault_is_found_and_placed(library):
    disc = worn(CASE, (150.0, 0.1, 1.0, 3.0, 0.5), turn_deg=130.0)
    found = remember(CASE, disc, library=library)
    assert found.low_um < 150.0 < found.high_um
    assert found.runout_now_um < 140.0
    assert found.high_spot_deg == pytest.approx(130.0, abs=8.0)
    assert found.finding == "fitting fault"
    assert found.looks_like_wear
    assert SHRINKS in found.notes


def test_a_reading_within_the_limit_today_does_not_clear_the_fitting():
    """Fixed caliper, 25 000 km: it reads within the limit now, and still remembers more."""
    case = Case(caliper=Caliper(style="fixed"))
    brake = brake_of(case)
    row = np.array([95.0, 0.1, 1.0, 2.0, 0.0])
    lean, thickness = worn_orders(new_disc(case, row), brake, np.array([25_000.0]))
    middle = trace(np.concatenate([[0.0], lean[0]]), PLACES)
    disc = WornDisc(25_000.0, ANGLE, trace(np.concatenate([[0.0], thickness[0]]), PLACES), middle, middle)
    library_25 = learn(case, [25_000.0], count=700)[0]
    found = remember(case, disc, library=library_25)
    bare = remember(case, replace(disc, outboard_um=None, inboard_um=None), library=library_25)
    assert bare.high_spot_deg is None  # two thin spots alike: which of them was the high one cannot be told
    assert found.runout_now_um < case.limits.mounted_runout_um
    assert found.low_um < 95.0 < found.high_um
    assert found.fitted_runout_um > case.limits.mounted_runout_um


def test_high_spot_is_given_in_the_hub_frame(library):
    row = (150.0, 0.1, 1.0, 3.0, 0.5)
    here = remember(CASE, worn(CASE, row, turn_deg=40.0), library=library)
    turned = replace(CASE, studs=replace(CASE.studs, studs_turned=2))
    there = remember(turned, worn(CASE, row, turn_deg=40.0), library=library)
    assert (there.high_spot_deg - here.high_spot_deg) % 360.0 == pytest.approx(144.0)


def test_turning_the_disc_turns_only_the_angle(library):
    row = (120.0, 0.3, 2.0, 4.0, 3.0)
    one, two = (remember(CASE, worn(CASE, row, turn_deg=turn), library=library) for turn in (10.0, 110.0))
    assert two.fitted_runout_um == pytest.approx(one.fitted_runout_um, rel=1e-6)
    assert (two.high_spot_deg - one.high_spot_deg) % 360.0 == pytest.approx(100.0, abs=1e-6)


def test_own_runout_as_cause_is_a_disc_fault(library):
    disc = worn(CASE, (120.0, 0.0, 0.0, 2.0, 0.0), turn_deg=70.0)
    found = remember(CASE, disc, own=coefficient(60.0, 70.0), library=library)
    assert found.finding == "disc fault"
    assert "rotor's own" in found.reason


def test_a_true_corner_with_an_uneven_disc_is_a_disc_fault(library):
    """25 um of third order on a disc that runs true: no runout wears that."""
    thick = 12.5 * np.cos(3.0 * np.radians(ANGLE))
    middle = 5.0 * np.cos(np.radians(ANGLE))
    found = remember(CASE, WornDisc(KM, ANGLE, thick, middle, middle), library=library)
    assert found.finding == "disc fault"
    assert not found.looks_like_wear


def test_in_between_nobody_can_tell(library):
    disc = worn(CASE, (55.0, 0.1, 1.0, 2.0, 0.0))
    found = remember(CASE, disc, library=library)
    assert found.finding == "cannot tell"
    assert "clock the hub" in found.reason


def test_without_the_faces_the_band_is_wide(library):
    disc = worn(CASE, (120.0, 0.1, 1.0, 3.0, 0.5))
    full = remember(CASE, disc, library=library)
    bare = remember(CASE, replace(disc, outboard_um=None, inboard_um=None), library=library)
    assert bare.runout_now_um is None
    assert bare.high_um / bare.low_um > 1.5 * full.high_um / full.low_um


@pytest.mark.parametrize("with_lean", [True, False])
def test_bands_hold_what_they_promise(library, with_lean):
    """80 fresh discs with fresh parameters and noisy readings: 80 % band holds 68 to 92 % (2.7 standard deviations)."""
    count, noise = 80, np.random.default_rng(5)
    ranges, values = draw(brake_of(CASE), count, 991)
    rows = _fitted_draws(count, 992)
    sigma = 2.0 * math.sqrt(2.0 / PLACES)
    shelf = shelve(library, sigma, with_lean)
    inside = 0
    for row, drawn in zip(rows, values, strict=True):
        changed = {item.field: float(v) for item, v in zip(ranges, drawn, strict=True)}
        lean, thickness = worn_orders(new_disc(CASE, row), replace(brake_of(CASE), **changed), np.array([KM]))

        def read(orders, scale):
            return orders + scale * (noise.standard_normal(orders.size) + 1j * noise.standard_normal(orders.size))

        seen = read(lean[0], sigma / math.sqrt(2.0)) if with_lean else None
        found = recall(shelf, seen, read(thickness[0], sigma))
        low, high = (weighted_quantile(found.fitted_um, found.weight, q) for q in (0.1, 0.9))
        inside += low <= row[0] <= high
    assert 0.68 <= inside / count <= 0.92


def test_bad_readings_are_refused(library):
    good = worn(CASE, (100.0, 0.1, 1.0, 3.0, 0.5))
    with pytest.raises(BadInput, match="too few"):
        remember(CASE, replace(good, angle_deg=ANGLE[:6], thickness_um=good.thickness_um[:6]), library=library)
    with pytest.raises(BadInput, match="doubt"):
        remember(CASE, replace(good, doubt_um=0.0), library=library)
    with pytest.raises(Refused, match="library is for"):
        remember(CASE, replace(good, distance_km=100.0), library=library)
    for km in (0.0, 1e12, math.nan):
        with pytest.raises(BadInput, match="distance"):
            learn(CASE, [km], count=10)
