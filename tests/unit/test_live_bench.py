"""The live bench without a server: what it takes, what it seats, what its picture moves by."""

from dataclasses import replace

import numpy as np
import pytest

import demo_geometry
from sim import turn
from sim.errors import BadInput, Refused
from sim.files import dial_readings
from sim.files.case_file import load_case
from sim.handout.motion import hub_fields, rotor_fields
from sim.live import bench as live
from sim.live.moves import weights
from sim.live.setup import as_json, case_of, setup_of
from sim.parts.case import SpigotScale
from sim.seating.seat import seat
from tests.unit import live_server


@pytest.fixture(scope="module")
def made():
    return live_server.made()


def test_the_corner_as_found_is_the_case_itself(made):
    case = load_case(demo_geometry.file("lesson_outer_dirty"))
    start = made.choices.start
    assert setup_of(as_json(start), made.choices) == start
    told = live.answer(made, start)
    direct = seat(case, "fast")
    assert told["runout_um"] == pytest.approx(direct.gauge_runout_um, rel=0.01)  # 64.0 mm and whole degrees
    assert told["high_deg"] == np.argmax(direct.outboard_um)
    assert told["against_limit"] == "above"


def test_a_state_is_seated_as_the_case_that_it_makes(made):
    start = made.choices.start
    loose = replace(start, nuts=(1.0, 0.5, 1.0, 0.0, 1.0), hub_um=20.0, hub_deg=130.0, hole=2)
    case = case_of(made.choices, loose)
    assert case.studs.torque_nm == (140.0, 70.0, 140.0, 0.0, 140.0)
    told, direct = live.answer(made, loose), seat(case, "fast")
    assert told["runout_um"] == pytest.approx(direct.gauge_runout_um, abs=1e-4)
    assert np.allclose(told["trace_um"], direct.outboard_um, atol=6e-4)
    assert told["high_deg"] == (np.argmax(direct.outboard_um) + 144.0) % 360.0
    wheel = case_of(made.choices, replace(start, wheel=True))
    assert wheel.studs.clamped_by == "wheel"


def test_few_shapes_move_the_parts_as_the_whole_field_does(made):
    """Weights by products of loads, against fields solved for this seating."""
    setup = replace(made.choices.start, hole=1, hub_um=30.0, nuts=(1.0, 0.75, 1.0, 1.0, 1.0))
    seated = live.seat_setup(made, setup)
    for part, fields, found in zip(
        (made.moves.rotor, made.moves.hub), (rotor_fields, hub_fields), weights(made.moves, seated), strict=True
    ):
        whole = fields([seated], part.points_mm)[0]
        assert found == pytest.approx(part.shapes.weights(whole[None])[0], abs=2e-6)
        drawn, k = np.zeros_like(whole), 0
        for order, shapes in enumerate(part.shapes.basis):
            for shape in shapes:
                drawn[order] += found[k] * shape
                k += 1
        assert 1000.0 * np.abs(drawn - whole).sum(axis=0).max() < 5.0


def test_a_warning_of_the_speck_calls_it_so(made):
    start = made.choices.start
    over_a_hole = replace(start, speck=replace(start.speck, angle_deg=280.0, radius_mm=59.0))
    (said,) = [one for one in live.answer(made, over_a_hole)["warnings"] if "stud hole" in one]
    assert said.startswith("The speck: ")


def test_what_physics_refuses_is_an_answer_with_its_reason(made):
    off = replace(made.choices.start, nuts=(0.0,) * 5)
    assert "nut" in live.answer(made, off)["refused"]
    with pytest.raises(Refused):
        live.table(made, off)


def test_the_table_is_the_trace_read_to_half_a_division_and_can_be_read_back(made):
    setup = made.choices.start
    told, table = live.answer(made, setup), live.table(made, setup)
    read = dial_readings.parse(table["csv"], "bench")
    (mounted,) = read.of("mounted")
    exact = np.array(told["trace_um"])[::30]
    assert mounted.angle_deg.tolist() == table["angle_deg"]
    assert np.abs(mounted.value_um - (exact - exact[0])).max() <= 2.5 + 1e-6
    assert turn.tir(mounted.value_um) == pytest.approx(told["runout_um"], abs=8.0)


def test_wear_follows_the_runout_as_driven(made):
    dirty, clean = (
        live.worn(made, replace(made.choices.start, speck=one), 5000.0) for one in (made.choices.start.speck, None)
    )
    assert dirty["driven_um"] > 40.0 > 1.0 > clean["driven_um"]
    assert dirty["dtv_um"][-1] > 2.0 > clean["dtv_um"][-1]
    assert dirty["dtv_um"][0] == 0.0


WRONG = {
    "angle_deg": [float("nan"), float("inf"), 1e9, "12", None, True, 10**4000],
    "radius_mm": [0.0, 500.0, [64.0]],
    "height_um": [99.0, -20.0, 1e300],
    "kind": ["../../etc/passwd", "hard ", 3, None],
}


@pytest.mark.parametrize(("key", "value"), [(key, value) for key, values in WRONG.items() for value in values], ids=str)
def test_a_speck_that_is_none_of_the_presets_is_refused_by_name(made, key, value):
    raw = as_json(made.choices.start)
    with pytest.raises(BadInput, match=key):
        setup_of({**raw, "speck": {**raw["speck"], key: value}}, made.choices)


@pytest.mark.parametrize(
    ("key", "value"),
    [("nuts", [1.0] * 4), ("nuts", [1.0, 1.0, 1.0, 1.0, 0.9]), ("hole", 5), ("hole", 0.5), ("wheel", 1),
     ("hub_um", 7.0), ("speck", []), ("speck", {"angle_deg": 1.0})],
)  # fmt: skip
def test_a_state_that_is_none_of_the_presets_is_refused_by_name(made, key, value):
    with pytest.raises(BadInput, match=key):
        setup_of({**as_json(made.choices.start), key: value}, made.choices)
    for raw in (None, [], "setup", {**as_json(made.choices.start), "more": 1}):
        with pytest.raises(BadInput, match="setup"):
            setup_of(raw, made.choices)


def test_answers_are_kept_but_not_for_ever(made, monkeypatch):
    monkeypatch.setattr(live, "KEPT", 3)
    first = live.answer(made, made.choices.start)
    assert live.answer(made, made.choices.start) is first
    for angle in (1.0, 2.0, 3.0):
        live.answer(made, replace(made.choices.start, speck=replace(made.choices.start.speck, angle_deg=angle)))
    assert len(made.kept) == 3
    assert made.choices.start not in made.kept


def test_a_bore_without_room_is_refused_and_scale_on_the_spigot_is_cleaned_off(made):
    case = made.choices.base
    scaled = replace(case, spigot_scale=(SpigotScale(height_um=30.0),))
    assert live.choices(scaled).base.spigot_scale == ()
    with pytest.raises(Refused, match="hub face"):
        live.choices(replace(case, hub=replace(case.hub, spigot_diameter_mm=65.2)))
