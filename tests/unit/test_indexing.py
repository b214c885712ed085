"""Best stud position, splitting hub from rotor, shims, on-car cut, and whether it is worth the bother."""

from dataclasses import replace
from importlib.resources import files
from types import SimpleNamespace

import numpy as np
import pytest

from sim import turn
from sim.bench.bare_face import lean_of
from sim.bench.cures import Found, order_of_cures, share_below_after_indexing, stud_place
from sim.bench.cut_on_car import LIGHT_CUT_UM, Stock, cut_on_car
from sim.bench.from_readings import bench_answer, index_answer, index_readings
from sim.bench.stud_position import Position, index_case, index_positions, orders_of, split_mounted
from sim.bench.taper_shims import taper_shims
from sim.errors import BadInput
from sim.files.dial_readings import read
from sim.parts.case import Case, Debris, Hub, Rotor, Studs
from tests.fakes import worth_moving

THETA = np.radians(np.arange(360))


def test_opposite_vectors_cancel_at_the_right_stud_and_direction():
    # Hub high spot at hub 72 deg; rotor high spot at rotor 180. Turned one stud on, hub 72 meets rotor 0.
    hub, rotor = turn.coefficient(20.0, 72.0), turn.coefficient(20.0, 180.0)
    result = index_positions(hub, rotor, 5)
    assert result.best == 1
    assert result.at(1).runout_um == pytest.approx(0.0, abs=1e-9)
    assert result.floor_um == pytest.approx(0.0, abs=1e-9)
    assert result.continuous_deg == pytest.approx(72.0, abs=0.01)
    assert result.at(0).runout_um == pytest.approx(40 * abs(1 + np.exp(1j * np.radians(108))), rel=1e-4)


def test_traces_and_vectors_say_the_same():
    by_vector = index_positions(turn.coefficient(20.0, 72.0), turn.coefficient(30.0, 200.0), 5)
    by_trace = index_positions(20 * np.cos(THETA - np.radians(72)), 30 * np.cos(THETA - np.radians(200)), 5)
    for one, other in zip(by_vector.positions, by_trace.positions, strict=True):
        assert one.runout_um == pytest.approx(other.runout_um)
        assert one.first_order_um == pytest.approx(other.runout_um, rel=1e-4)


def test_second_orders_can_change_the_choice():
    hub = turn.trace([0, 10, 12j, 0])
    rotor = turn.trace([0, 10, 12 * np.exp(0.4j), 0])
    result = index_positions(hub, rotor, 8)
    assert result.best != result.best_by_first_order
    assert result.at(result.best).runout_um < result.at(result.best_by_first_order).runout_um


def test_only_allowed_positions_are_offered():
    result = index_positions(20 + 0j, 20 + 0j, 5, allowed=(0, 3))
    assert [p.studs_turned for p in result.positions] == [0, 3]
    assert result.best == 3
    with pytest.raises(BadInput, match="no stud position 1"):
        result.at(1)
    with pytest.raises(BadInput):
        index_positions(1j, 1j, 5, allowed=(5,))
    with pytest.raises(BadInput):
        index_positions(1j, 1j, 0)
    with pytest.raises(BadInput):
        orders_of([1.0, np.nan, 2.0])


def test_a_perfect_rotor_stays_at_the_hubs_runout():
    result = index_positions(turn.coefficient(20.0, 72.0), 0j, 5)
    assert {round(p.runout_um, 3) for p in result.positions} == {40.0}
    assert result.floor_um == pytest.approx(40.0)


def test_split_scales_the_lean_with_the_radius_and_leaves_higher_orders_alone():
    hub = np.array([3.0, turn.coefficient(16.0, 100.0), 5.0j])
    rotor = np.array([0.0, turn.coefficient(25.0, 30.0), 2.0])
    turned = 144.0
    mounted = rotor.copy()
    mounted[1] += 140 / 64 * hub[1] * np.exp(1j * np.radians(turned))
    split = split_mounted(mounted, hub, (140.0, 64.0), turned, (2.0, 1.0))
    assert abs(split.hub[1]) == pytest.approx(16 * 140 / 64)
    np.testing.assert_allclose(split.rotor, rotor, atol=1e-12)
    np.testing.assert_allclose(split.hub[2:], 0)
    assert split.hub_higher[2] == 5.0j
    assert split.rotor_sd_um == pytest.approx(np.hypot(2.0, 140 / 64))
    assert "orders above the first" in split.notes[0]
    rough = split_mounted(mounted, [0, 1.0, 5.0], (140.0, 64.0), turned)
    assert "far from a plane" in rough.notes[1]


def test_lean_is_found_past_a_speck_and_the_speck_is_named():
    angle = np.arange(12) * 30.0
    lean = 15 * np.cos(np.radians(angle - 200))
    dirty = lean + np.where(angle == 90, 60.0, 0.0)
    naive = abs(turn.fit(angle, dirty, 1)[1] - turn.coefficient(15.0, 200.0))
    found = lean_of(angle, dirty, dial_um=1.0)
    assert found.bumps_deg == (90.0,)
    assert abs(found.orders[1] - turn.coefficient(15.0, 200.0)) < 1e-9 < naive
    clean = lean_of(angle, lean, dial_um=10.0)
    assert clean.bumps_deg == ()
    assert clean.sd_um == pytest.approx(np.sqrt(2 * (9 + 100 / 12) / 12))


def test_shipped_readings_keep_their_promise():
    folder = files("demo_geometry")
    hub, rotor = read(str(folder / "readings_hub.csv")), read(str(folder / "readings_rotor.csv"))
    found = index_readings(hub, rotor)
    assert found.result.best == 2
    assert found.read_um == 90.0
    assert found.after.bands[2].middle_um == pytest.approx(30, abs=1.0)
    assert found.worth.verdict == "worth it"
    answer = bench_answer(found)
    assert answer["best"] == 2
    assert answer["separated"]["hub"]["frame"] == "hub"
    assert set(index_answer(found.result)) >= {"positions", "best", "floor_um"}
    held = index_readings(hub, rotor, allowed=(3, 4))
    assert held.result.best == 3
    assert held.now == 0


def test_readings_of_different_wheels_are_refused():
    folder = files("demo_geometry")
    hub, rotor = read(str(folder / "readings_hub.csv")), read(str(folder / "readings_rotor.csv"))
    with pytest.raises(BadInput, match="4 studs"):
        index_readings(replace(hub, studs=4), rotor)
    with pytest.raises(BadInput, match="no 'hub face' trace.*were the two files swapped"):
        index_readings(rotor, rotor)
    inboard = replace(rotor, traces=(replace(rotor.traces[0], kind="inboard"),))
    with pytest.raises(BadInput, match="only: inboard .*at least one turn of `mounted`"):
        index_readings(hub, inboard)
    with pytest.raises(BadInput, match="where the dial stood"):
        index_readings(replace(hub, hub_face_radius_mm=None), rotor)


def test_worth_moving_weighs_the_gain_against_the_dial():
    good, far = Position(1, 20.0, 20.0), Position(0, 95.0, 95.0)
    near = Position(0, 30.0, 30.0)
    assert worth_moving(far, good, 5, 10.0, (12, 12), 2.19).verdict == "worth it"
    close = worth_moving(near, good, 5, 10.0, (12, 12), 2.19)
    assert close.verdict == "too close to tell"
    assert close.doubt_um > close.gain_um == pytest.approx(10.0)
    assert worth_moving(near, good, 5, 1.0, (360, 360), 2.19).doubt_um < close.doubt_um
    assert worth_moving(good, good, 5, 10.0, (12, 12)).verdict == "no gain"


def test_worth_moving_is_not_overconfident():
    """Where nothing is to be gained, readings say 'worth it' in no more than about one case of twenty."""
    rng = np.random.default_rng(11)
    reading_sd = np.sqrt(2 * (9 + 100 / 12) / 12)
    false = 0
    for _ in range(800):
        # The hub does not lean: what its readings show is noise, and turning the rotor changes nothing.
        hub = 140 / 64 * complex(*rng.normal(0, reading_sd, 2))
        read_c = turn.coefficient(25.0, rng.uniform(0, 360)) + complex(*rng.normal(0, reading_sd, 2))
        result = index_positions(hub, read_c - hub, 5)
        worth = worth_moving(result.at(0), result.at(result.best), 5, 10.0, (12, 12), 140 / 64)
        false += worth.verdict == "worth it"
    assert false / 800 < 0.06


def test_taper_shim_stands_opposite_the_high_spot():
    result = taper_shims(turn.coefficient(50.0, 144.0 + 180.0), 0j, (50.0, 100.0, 150.0), 5, 0, (0,))
    assert (result.best.step_um, result.best.thick_at_stud) == (100.0, 3)
    assert result.best.left_um == pytest.approx(0.0, abs=1e-9)
    small = taper_shims(turn.coefficient(5.0, 0.0), 0j, (50.0,), 5, 0, (0,))
    assert small.best.step_um == 0.0
    huge = taper_shims(turn.coefficient(500.0, 0.0), 0j, (50.0,), 5, 0, (0,))
    assert huge.bound_um is None
    for steps in ((), (0.0,), (-5.0, 10.0)):
        with pytest.raises(BadInput, match="shim: tapered shims need their steps"):
            taper_shims(1j, 1j, steps, 5, 0, (0,))


def test_shim_with_indexing_is_never_worse():
    rng = np.random.default_rng(3)
    for _ in range(30):
        hub, rotor = (complex(*rng.normal(0, 25, 2)) for _ in range(2))
        result = taper_shims(hub, rotor, (50.0, 100.0), 5, 2, range(5))
        index = index_positions(hub, rotor, 5)
        assert result.with_indexing.left_um <= result.best.left_um + 1e-6
        assert result.with_indexing.left_um <= index.at(index.best).first_order_um + 1e-6


def test_on_car_cut_of_a_parallel_rotor_takes_its_runout_once():
    wave = 60 * np.cos(THETA)
    cut = cut_on_car(wave, wave, Stock(20.0, 19.0, 19.0))
    assert cut.thickness_mm == pytest.approx(19.88)
    assert cut.outboard_um == pytest.approx(120.0)
    assert cut.outboard_mean_um + cut.inboard_mean_um == pytest.approx(120.0)
    assert cut.possible
    assert cut.left_mm == pytest.approx(0.88)
    # 10 um a side cuts no tool: it takes a light cut, and that must be there.
    light = cut_on_car(wave / 6, wave / 6, Stock(20.0, 19.0, 19.0))
    assert light.thickness_mm == pytest.approx(20.0 - 2e-3 * LIGHT_CUT_UM)
    assert light.outboard_um == pytest.approx(LIGHT_CUT_UM + 10.0)
    assert not cut_on_car(wave / 6, wave / 6, Stock(19.05, 19.0, 19.0)).possible


def test_on_car_cut_with_thickness_variation_and_at_the_discard_limit():
    out, into = 60 * np.cos(THETA), 60 * np.cos(THETA) - 8 * np.cos(2 * THETA)
    cut = cut_on_car(out, into, Stock(12.0, 10.0, 10.0))
    thinnest = 12.0 + (out - into).min() / 1000
    assert 0.0 < thinnest - cut.thickness_mm <= 0.12
    assert not cut_on_car(out, out, Stock(10.03, 10.0, 10.0)).possible
    assert cut_on_car(out, out, Stock(12.0, 10.0, 10.0), over_um=25.0).thickness_mm == pytest.approx(12 - 0.12 - 0.05)
    with pytest.raises(BadInput):
        cut_on_car(out, out[:10], Stock(12.0, 10.0, 10.0))
    with pytest.raises(BadInput, match="no deeper than the discard"):
        cut_on_car(out, out, Stock(12.0, 9.0, 10.0))


def test_cures_start_with_cleaning_and_stop_at_enough():
    good = index_positions(turn.coefficient(20.0, 72.0), turn.coefficient(20.0, 180.0), 5)
    worth = worth_moving(good.at(0), good.at(1), 5, 10.0, (12, 12))
    names = [cure.name for cure in order_of_cures(good, 50.0, worth)]
    assert names == ["clean", "index"]
    # A position counted from nought is never told to hands: position 1 is stud 2.
    assert order_of_cures(good, 50.0, worth)[1].why.startswith("painted hole on stud 2 (turned on by one hole")
    assert stud_place(0) == "painted hole on stud 1"
    assert stud_place(4) == "painted hole on stud 5 (turned on by 4 holes)"
    poor = index_positions(turn.coefficient(60.0, 0.0), 0j, 5)
    no_gain = worth_moving(poor.at(0), poor.at(poor.best), 5, 10.0, (12, 12))
    shims = taper_shims(turn.coefficient(60.0, 0.0), 0j, (60.0, 120.0), 5, 0, range(5))
    cut = cut_on_car(60 * np.cos(THETA), 60 * np.cos(THETA), Stock(12.0, 11.0, 11.0))
    names = [cure.name for cure in order_of_cures(poor, 20.0, no_gain, shims, cut)]
    # The lathe itself may leave more than 20 um, so a cut alone is not called enough there.
    assert names == ["clean", "shim", "cut", "replace the rotor"]
    assert [c.name for c in order_of_cures(poor, 30.0, no_gain, None, cut)] == ["clean", "cut"]
    assert "painted hole on stud" in order_of_cures(poor, 20.0, no_gain, shims, cut)[1].why
    assert [c.name for c in order_of_cures(poor, 200.0, no_gain, shims, cut)] == ["clean"]  # below the limit as it is
    read = Found(now_um=120.0, doubt_um=11.0, cleaned=True, hub_face_um=5.0, second_order=True)
    assert order_of_cures(poor, 20.0, no_gain, found=read)[-1].why.startswith("first read it at one more stud")
    scrap = cut_on_car(60 * np.cos(THETA), 60 * np.cos(THETA), Stock(11.05, 11.0, 11.0))
    assert [c.name for c in order_of_cures(poor, 20.0, no_gain, None, scrap)] == ["clean", "replace the rotor"]


def test_share_below_without_one_of_the_vectors():
    assert share_below_after_indexing(0.0, 1.0, 5, 0.5) == 0.0
    assert share_below_after_indexing(0.0, 1.0, 5, 1.5) == 1.0


def test_index_case_solves_every_position_anew():
    """A stand-in seat: hub vector and rotor vector added, so that the answer is known."""
    hub, rotor = turn.coefficient(20.0, 72.0), turn.coefficient(20.0, 180.0)

    def solve(case, preset):
        turned = np.radians(case.studs.turned_deg)
        trace = turn.trace([0, rotor + hub * np.exp(1j * turned)])
        return SimpleNamespace(outboard_um=trace, inboard_um=-trace)

    case = Case(rotor=Rotor(own_runout_um=40.0, own_high_spot_deg=180.0))
    result, seats = index_case(case, solve=solve)
    assert result.best == 1
    assert result.floor_um == pytest.approx(0.0, abs=1e-9)
    assert len(seats) == 5
    one, _ = index_case(replace(case, studs=Studs(index_positions=(0,))), solve=solve)
    assert [p.studs_turned for p in one.positions] == [0]
    assert one.floor_um == pytest.approx(0.0, abs=1e-9)


def test_one_position_that_a_screw_allows_still_tells_hub_from_rotor_by_what_is_stated():
    """Turned two studs, a clean and even corner: what is not the rotor's own is the hub's lean, in the hub's frame."""
    case = Case(
        rotor=Rotor(own_runout_um=30.0, own_high_spot_deg=70.0),
        hub=Hub(face_runout_um=20.0, face_high_spot_deg=10.0),
        studs=Studs(index_positions=(2,), studs_turned=2),
    )
    found, _ = index_case(case, "fast")
    hub, rotor = found.vectors
    assert hub == pytest.approx(turn.coefficient(10.0 * case.gauge_radius_mm / case.hub.read_radius_mm, 10.0), abs=0.02)
    assert rotor == pytest.approx(turn.coefficient(15.0, 70.0))
    assert found.by_vectors_um[0] == pytest.approx(found.positions[0].runout_um, rel=1e-3)


def test_adding_traces_agrees_where_contact_is_linear_and_parts_where_it_is_not():
    """A tilt of the hub adds exactly; dirt on both sides does not, because the two share the clamp force."""
    tilted = Case(hub=Hub(face_runout_um=30.0), rotor=Rotor(own_runout_um=40.0, own_high_spot_deg=70.0))
    found, _ = index_case(tilted, "fast")
    anew = [one.runout_um for one in found.positions]
    assert found.by_vectors_um == pytest.approx(anew, abs=0.3)
    both = replace(tilted, debris=(Debris(angle_deg=0.0), Debris(on="rotor", angle_deg=10.0, height_um=60.0)))
    found, _ = index_case(both, "fast")
    apart = max(abs(a - one.runout_um) for a, one in zip(found.by_vectors_um, found.positions, strict=True))
    assert apart > 3.0
