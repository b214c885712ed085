"""Forecast: fields, bands, narrowing, going on, bad input."""

from __future__ import annotations

import math
import time
from dataclasses import fields, replace

import numpy as np
import pytest

from sim.errors import BadInput, Refused, Scrap
from sim.parts.case import Caliper, Case, Pads
from sim.parts.thickness import Uneven
from sim.uniform_draws import evenly_about, triangular
from sim.wear import draws as draws_module
from sim.wear.asked import Settings, faces_from_thickness
from sim.wear.brake import Fineness, brake_of
from sim.wear.draws import Draws, Evidence, crossing_km, narrowed, rank_influence
from sim.wear.evidence import weigh_draws
from sim.wear.forecast import Forecast, drive
from sim.wear.forecast_words import LATE_DECLINE, SETS_THE_CURVE, calibration
from sim.wear.ranges import FURTHER, draw, drawn_for
from sim.wear.worn_state import fade_km, thin_spots
from sim.weighted import quantile

THETA = 2.0 * np.pi * np.arange(360) / 360
TRACE = 50.0 * np.cos(THETA) + 5.0 * np.cos(2.0 * THETA - 1.0)
QUICK = Settings(draws=0, points=31)
#: What the healing constants in closed form are about: one ring, and this wear of the disc.
ONE_RING = replace(QUICK, fineness=Fineness(angles=180, rings=1, tolerance_mm=3.0e-6))
WORN_AT_1E_5 = Case(pads=Pads(disc_wear_mm3_per_nm=1.0e-5))
FEW = Settings(draws=48, points=31)
DRAWN = 64
ROUGH = Fineness(angles=48, rings=2, release_angles=4, tolerance_mm=4.0e-4)


def rough_drive(km: float, settings: Settings) -> Forecast:
    """Drive the corner with draws on a rougher grid, and few of them behind a reading."""
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr("sim.wear.draws.follow.__defaults__", (ROUGH,))
        patched.setattr("sim.wear.evidence.ENOUGH_DRAWS", 12.0)
        patched.setattr("sim.wear.evidence.MOST_DRAWS", 96)
        return drive(Case(), TRACE, km, settings=settings)


@pytest.fixture(scope="module")
def driven() -> Forecast:
    return rough_drive(30_000.0, Settings(draws=DRAWN, points=31))


@pytest.fixture(scope="module")
def few_km() -> Forecast:
    return rough_drive(4000.0, FEW)


def test_shapes_and_senses(driven):
    k, n = 31, driven.angle_deg.size
    assert driven.distance_km[[0, -1]].tolist() == [0.0, 30_000.0]
    for name in ("thickness_um", "outboard_wear_um", "inboard_wear_um"):
        assert getattr(driven, name).shape == (k, n)
    assert driven.face_runout_um.shape == (k, 2)
    assert driven.torque_variation_nm.shape == driven.pressure_variation_bar.shape == (k, len(driven.orders))
    assert np.allclose(driven.dtv_um, np.ptp(driven.thickness_um, axis=1))
    assert np.all(np.diff(driven.outboard_wear_um, axis=0) >= 0.0)
    assert np.allclose(driven.released_wear_um[:, 0] + driven.braked_wear_um[:, 0], driven.outboard_wear_um)
    assert driven.volume_balance < 1e-12
    assert LATE_DECLINE in driven.notes


def test_thickness_is_what_the_faces_lost(driven):
    lost = driven.outboard_wear_um + driven.inboard_wear_um
    assert np.allclose(driven.thickness_um, -(lost - lost.mean(axis=1, keepdims=True)), atol=1e-9)
    assert driven.disc_wear_mm == pytest.approx(1e-3 * lost[-1].mean())


def test_runout_shrinks_as_it_wears(driven):
    assert driven.face_runout_um[0] == pytest.approx(np.ptp(TRACE), rel=1e-3)
    assert np.all(driven.face_runout_um[-1] < 0.75 * driven.face_runout_um[0])


def test_band_brackets_and_says_never(driven):
    assert driven.draws == DRAWN
    assert np.all(driven.dtv_low_um <= driven.dtv_high_um)
    assert 0.0 < driven.probability_never < 1.0
    assert driven.km_low < driven.km_to_limit
    assert driven.km_high is None  # more than a tenth of the draws never get there
    assert set(driven.moves_most) == {
        "pads.disc_wear_mm3_per_nm",
        "caliper.holder_stiffness_n_mm",
        "caliper.clearance_um",
        "caliper.outboard_share",
        "caliper.slip_force_n",
        "pads.bed_released_n_mm3",
        "pads.bed_braking_n_mm3",
        "caliper.clamp_stiffness_kn_mm",
        "tilt lever of the pad",
    }


def test_band_of_the_highest_is_that_of_each_draws_own(driven):
    low, high = driven.dtv_highest_band_um
    # Draws have their highest at different distances: no distance's band reaches as high, nor lies as low.
    assert low > driven.dtv_low_um.max()
    assert high >= driven.dtv_high_um.max()
    assert driven.dtv_low_um[int(driven.dtv_um.argmax())] < 0.95 * low
    assert drive(Case(), TRACE, 500.0, settings=Settings(draws=0)).dtv_highest_band_um is None


def test_only_plain_values_cross_to_the_run_folder(driven):
    for item in fields(driven):
        value = getattr(driven, item.name)
        if isinstance(value, np.ndarray):
            assert np.all(np.isfinite(value)), item.name
        elif isinstance(value, float):
            assert math.isfinite(value), item.name


def test_same_seed_same_result_to_the_bit(few_km):
    again = rough_drive(4000.0, FEW)
    other = rough_drive(4000.0, replace(FEW, draws=24, seed=2))
    one = rough_drive(4000.0, replace(FEW, draws=24))
    assert np.array_equal(few_km.dtv_low_um, again.dtv_low_um)
    assert not np.array_equal(one.dtv_low_um, other.dtv_low_um)


def test_a_measured_drag_narrows_the_band(few_km):
    evidence = (Evidence("drag_nm", 0.5, 0.0, 0.05),)  # near the middle of the draws
    tight = rough_drive(4000.0, replace(FEW, draws=96, evidence=evidence))
    assert np.mean(tight.dtv_high_um - tight.dtv_low_um) < 0.85 * np.mean(few_km.dtv_high_um - few_km.dtv_low_um)
    assert tight.equivalent_draws < tight.draws
    assert any("band so narrowed" in note and "not been studied" in note for note in tight.notes)
    assert not any("not been studied" in note for note in few_km.notes)


def test_a_measured_thickness_variation_draws_the_band_to_itself():
    evidence = (Evidence("dtv_um", 10.0, 4000.0, 1.0),)
    tight = rough_drive(4000.0, replace(FEW, evidence=evidence))
    assert 6.5 < tight.dtv_low_um[-1] < 10.0 < tight.dtv_high_um[-1] < 13.5


def test_more_is_drawn_where_readings_leave_few_and_a_new_discs_drag_takes_no_step(monkeypatch):
    """A fifth of the wanted draws is left: four times as many are drawn at once or five, not two and then four."""
    counts, distances = [], []

    def spread(disc, brake, distance, count, *_):
        counts.append(count)
        distances.append(distance.tolist())
        found = np.full((count, distance.size), 1.0)
        found[::5] = 0.7  # a fifth explains the reading
        return Draws(("a",), np.ones((count, 1)), found, found, np.full(count, 1.0 / count))

    monkeypatch.setattr("sim.wear.evidence.spread", spread)
    found = weigh_draws(None, None, (Evidence("drag_nm", 0.7, 0.0, 1e-3),), 64, 1)
    assert counts == [64, 256]
    assert found.equivalent >= 40.0
    assert distances == [[0.0], [0.0]]


def test_a_measurement_that_nothing_explains_is_refused():
    evidence = (Evidence("dtv_um", 90.0, 1000.0, 1.0),)
    with pytest.raises(Refused, match="no parameter set"):
        drive(Case(), TRACE, 8000.0, settings=replace(FEW, draws=24, evidence=evidence))


@pytest.mark.parametrize(
    "item",
    [
        Evidence("noise", 1.0, 0.0, 1.0),
        Evidence("drag_nm", -1.0, 0.0, 1.0),
        Evidence("drag_nm", 1.0, 9000.0, 1.0),
        Evidence("drag_nm", 1.0, 0.0, 0.0),
    ],
)
def test_measurements_that_cannot_be_are_refused(item):
    one = Draws(("a",), np.ones((4, 1)), np.ones((4, 2)), np.ones((4, 2)), np.full(4, 0.25))
    with pytest.raises(BadInput, match="evidence"):
        narrowed(one, np.array([0.0, 8000.0]), (item,))


def test_going_on_gives_the_identical_result():
    whole = drive(Case(), TRACE, 20_000.0, settings=QUICK)
    first = drive(Case(), TRACE, 6000.0, settings=QUICK)
    second = drive(Case(), TRACE, 20_000.0, settings=QUICK, so_far=first.going_on)
    for item in fields(Forecast):
        one, two = getattr(whole, item.name), getattr(second, item.name)
        if isinstance(one, np.ndarray):
            assert np.array_equal(one, two), item.name
        elif item.name == "going_on":
            assert all(np.array_equal(one[key], two[key]) for key in one)
        else:
            assert one == two, item.name


def test_going_on_with_another_fineness_is_refused():
    first = drive(Case(), TRACE, 1000.0, settings=QUICK)
    finer = replace(QUICK, fineness=replace(QUICK.fineness, angles=90))
    with pytest.raises(BadInput, match="another corner"):
        drive(Case(), TRACE, 2000.0, settings=finer, so_far=first.going_on)


def test_going_on_from_a_run_of_the_former_layout_is_refused_with_a_word():
    """Before layouts were numbered the state had one ring: to read one ring as three would be to make up metal."""
    first = drive(Case(), TRACE, 1000.0, settings=QUICK)
    former = {key: value for key, value in first.going_on.items() if key != "layout"}
    with pytest.raises(BadInput, match="can be shown, not gone on from"):
        drive(Case(), TRACE, 2000.0, settings=QUICK, so_far=former)


@pytest.mark.parametrize("km", [0.0, -5.0, 1e12, math.nan, math.inf])
def test_distances_that_cannot_be_are_refused(km):
    with pytest.raises(BadInput, match="km"):
        drive(Case(), TRACE, km, settings=QUICK)


@pytest.mark.parametrize(
    ("trace", "words"),
    [
        (np.zeros(3), "one turn"),
        (np.zeros((2, 360)), "one turn"),
        (np.full(360, np.nan), "not numbers"),
        (1e5 * np.cos(THETA), "another unit"),
    ],
)
def test_traces_that_cannot_be_are_refused(trace, words):
    with pytest.raises(BadInput, match=words):
        drive(Case(), trace, settings=QUICK)


def test_a_worn_map_of_the_wrong_shape_is_refused():
    with pytest.raises(BadInput, match="worn map"):
        drive(Case(), TRACE, worn_um=np.zeros(360), settings=QUICK)


def test_a_true_disc_stays_even():
    found = drive(Case(), np.zeros(360), settings=QUICK)
    assert found.dtv_um.max() < 1e-9
    assert found.km_to_limit is None
    assert found.thin_spots == ()
    assert found.drag_nm.max() == 0.0


def test_own_thickness_variation_is_there_from_the_start_and_heals():
    rotor = replace(Case().rotor, own_thickness_variation_um=8.0, own_thick_spot_deg=90.0)
    found = drive(replace(WORN_AT_1E_5, rotor=rotor), np.zeros(360), settings=ONE_RING)
    assert found.dtv_um[0] == pytest.approx(8.0, rel=1e-3)
    assert found.angle_deg[np.argmax(found.thickness_um[0])] == 90.0
    # e-fold of 9 670 km for order 1 at mixed duty, from the healing constant
    assert found.dtv_um[-1] == pytest.approx(8.0 * math.exp(-30_000.0 / 9667.0), abs=0.03)


def test_already_over_the_limit_is_zero_kilometres_and_fades_once_true():
    worn = faces_from_thickness(12.0 * np.cos(2.0 * THETA))
    found = drive(WORN_AT_1E_5, np.zeros(360), worn_um=worn, settings=ONE_RING)
    assert found.km_to_limit == 0.0
    # 24 um to 15 um at an e-fold of 11 070 km (order 2): 5 200 km
    assert found.km_to_fade == pytest.approx(11_070.0 * math.log(24.0 / 15.0), rel=0.03)


def test_what_a_micrometer_is_unsure_by_goes_into_the_band_of_a_rotor_that_starts_worn():
    """Read as 5 ± 6 µm the band at the start was 4.8 to 4.9."""
    worn = faces_from_thickness(2.5 * np.cos(THETA))
    read = Uneven(5.0, 6.0, 15.0)
    settings = Settings(draws=24, points=5, fineness=ROUGH)
    sharp = drive(Case(), 0.3 * TRACE, 500.0, worn_um=worn, settings=settings)
    found = drive(Case(), 0.3 * TRACE, 500.0, worn_um=worn, settings=replace(settings, worn_varies=read))
    assert found.dtv_um == pytest.approx(sharp.dtv_um)
    low, high = found.dtv_low_um[0], found.dtv_high_um[0]
    assert low == pytest.approx(5.0 - 1.28 * 3.0, abs=0.7)
    assert high == pytest.approx(5.0 + 1.28 * 3.0, abs=0.7)
    assert sharp.dtv_high_um[0] - sharp.dtv_low_um[0] < 0.2
    most = found.dtv_highest_band_um
    assert most is not None
    assert most[1] - most[0] > 5.0
    assert "thickness variation at the start" in found.moves_most


def test_a_disc_worn_out_before_it_starts_is_refused():
    with pytest.raises(Scrap, match="at or under it the rotor is scrap"):
        drive(replace(Case(), rotor=replace(Case().rotor, thickness_mm=10.0)), TRACE, settings=QUICK)


def test_two_thin_spots_with_a_fixed_caliper():
    found = drive(Case(caliper=Caliper(style="fixed")), 50.0 * np.cos(THETA), 8000.0, settings=QUICK)
    at = sorted(spot["angle_deg"] for spot in found.thin_spots)
    assert len(at) == 2
    assert (at[1] - at[0]) == pytest.approx(180.0, abs=4.0)
    assert all(spot["frame"] == "rotor" for spot in found.thin_spots)


def test_progress_is_told_and_ends():
    told = []
    drive(
        Case(), TRACE, 2000.0, settings=replace(FEW, draws=16), progress=lambda share, what: told.append((share, what))
    )
    shares = [share for share, _ in told]
    assert shares == sorted(shares)
    assert shares[0] == 0.0
    assert shares[-1] == 1.0
    assert "compiled" in told[0][1]


# --- the small tools -----------------------------------------------------------------------------------------------


def test_triangular_inverse():
    """Median of the symmetric triangle is its peak; ends are the ends; mean = (low + peak + high)/3."""
    uniform = (np.arange(100_000) + 0.5) / 100_000
    drawn = triangular(uniform, 1.0, 2.0, 6.0)
    assert drawn.min() == pytest.approx(1.0, abs=0.02)
    assert drawn.max() == pytest.approx(6.0, abs=0.03)
    assert drawn.mean() == pytest.approx(3.0, rel=1e-4)


def test_draws_stay_in_their_ranges_and_the_fixed_caliper_draws_no_share():
    ranges, values = draw(brake_of(Case()), 200, 1)
    assert [item.field for item in ranges] == ["disc_wear", "holder_n_mm", "clearance_mm", "outboard_share"]
    low, high = [0.3e-8, 500.0, 0.015, 0.1], [3e-8, 3000.0, 0.150, 0.5]
    assert np.all(values >= low)
    assert np.all(values <= high)
    assert draw(brake_of(Case(caliper=Caliper(style="fixed"))), 8, 1)[1].shape == (8, 3)


def test_the_band_draws_evenly_on_either_side_of_the_own_value():
    """Half the draws below the case's value, half above; of those a half beyond the middle of the way to the end."""
    brake = brake_of(Case())
    ranges, values = draw(brake, 400, 1, drawn_for(brake), evenly_about)
    assert [item.field for item in ranges][4:] == [item.field for item in FURTHER]
    for item, column in zip(ranges, values.T, strict=True):
        own = getattr(brake, item.field)
        ends = (item.low * own, item.high * own) if item.relative else (item.low, item.high)
        assert np.mean(column < own) == pytest.approx(0.5, abs=0.003)
        middle = math.sqrt(own * ends[1]) if item.ratio else 0.5 * (own + ends[1])
        assert np.mean(column > middle) == pytest.approx(0.25, abs=0.003)
        assert ends[0] * 0.999 <= column.min()
        assert column.max() <= ends[1] * 1.001


def test_every_drawn_range_and_its_source_is_told(driven):
    told = next(note for note in driven.notes if note.startswith("the band is 80 %"))
    for item in drawn_for(brake_of(Case())):
        assert f"{item.name}: {item.source}" in told
        assert " .. " in item.source


def test_weighted_quantile():
    values = np.array([[1.0], [2.0], [3.0], [4.0]])
    assert quantile(values, np.full(4, 0.25), 0.5) == pytest.approx([2.5])
    assert quantile(values, np.array([0.0, 0.0, 1.0, 0.0]), 0.5) == pytest.approx([3.0], abs=0.51)


def test_crossing():
    distance = np.array([0.0, 10.0, 20.0])
    found = crossing_km(distance, np.array([[0.0, 10.0, 5.0], [0.0, 1.0, 2.0], [9.0, 9.0, 9.0]]), 5.0)
    assert found.tolist() == [5.0, math.inf, 0.0]


def test_fade_is_the_last_fall_below():
    distance = np.arange(5.0)
    assert fade_km(distance, np.array([9.0, 4.0, 6.0, 4.0, 1.0]), 5.0) == pytest.approx(2.5)
    assert fade_km(distance, np.array([9.0, 9.0, 9.0, 9.0, 9.0]), 5.0) is None
    assert fade_km(distance, np.array([1.0, 9.0, 9.0, 4.0, 1.0]), 5.0) is None


def test_rank_influence_finds_the_monotone_parameter():
    random = np.random.default_rng(0)
    values = random.random((100, 2))
    one = Draws(("a", "b"), values, np.zeros((100, 1)), np.zeros((100, 1)), np.full(100, 0.01))
    found = rank_influence(one, -np.exp(3.0 * values[:, 1]))
    assert next(iter(found)) == "b"
    assert found["b"] == pytest.approx(-1.0)
    assert abs(found["a"]) < 0.3


def test_thin_spots_of_a_two_lobed_disc():
    angle = 2.0 * np.arange(180)
    found = thin_spots(angle, 5.0 * np.cos(2.0 * np.radians(angle - 30.0)))
    assert sorted(spot["angle_deg"] for spot in found) == pytest.approx([120.0, 300.0])
    assert thin_spots(angle, 0.05 * np.cos(np.radians(angle))) == ()


def test_the_life_of_a_worn_disc_is_what_is_left_of_it():
    """Worn by 0.3 mm a face, evenly, of 2 mm that it may lose: the same rate, seven tenths of the life."""
    runout = 12.5 * np.cos(np.deg2rad(np.arange(360)))
    settings = Settings(draws=0)
    new = drive(Case(), runout, 1000.0, settings=settings)
    worn = drive(Case(), runout, 1000.0, worn_um=np.full((2, 360), 300.0), settings=settings)
    left = Case().rotor.thickness_mm - Case().rotor.minimum_thickness_mm
    assert worn.disc_life_km == pytest.approx(new.disc_life_km * (left - 0.6) / left, rel=0.02)
    assert worn.disc_wear_mm == pytest.approx(new.disc_wear_mm, rel=0.02)
    assert any("starts worn" in note for note in worn.notes)
    assert not any("starts worn" in note for note in new.notes)


@pytest.mark.parametrize("value", ["a", float("nan"), -1.0, True])
def test_a_measurement_that_is_none_is_refused_before_driving(value):
    with pytest.raises(BadInput, match="measured"):
        drive(Case(), np.zeros(360), 1000.0, settings=Settings(evidence=(Evidence("dtv_um", value, 500.0, 1.0),)))


def test_an_earlier_run_that_is_none_is_refused():
    with pytest.raises(BadInput, match="earlier run"):
        drive(Case(), np.zeros(360), 1000.0, settings=Settings(draws=0), so_far={})


def test_long_draws_are_told_of_while_they_run(monkeypatch):
    monkeypatch.setattr(draws_module, "TOLD_EVERY_S", 0.01)
    told: list[float] = []

    def until_told(row: np.ndarray) -> float:
        until = time.monotonic() + 5.0
        while len(told) < 3 and time.monotonic() < until:
            time.sleep(0.01)
        return float(row[0])

    assert draws_module.on_all_cores(until_told, np.ones((1, 1)), "", lambda done, _: told.append(done)) == [1.0]
    assert told[:3] == [0.0, 0.0, 0.0]
    assert told[-1] == 1.0


def test_the_calibration_sets_only_the_curve_of_the_corner_that_it_was_done_on():
    plain = brake_of(Case())
    assert calibration(plain).endswith(SETS_THE_CURVE)
    for other, named in (
        (replace(plain, tilt_lever_mm=9.0), "here caliper differs"),
        (replace(plain, arc_rad=0.9, brake_share=0.01), "here pads and duty differ"),
    ):
        said = calibration(other)
        assert SETS_THE_CURVE not in said
        assert f"{named}, so this curve is not set by it and need not get there" in said
    assert "its rotor starts worn" in calibration(plain, worn=True)
