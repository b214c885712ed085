"""Stories: order, timing, the numbers they say, the poses they need. Nothing is drawn."""

import math
from dataclasses import replace

import numpy as np
import pytest
import standin

from scenes.film import stories, timing
from scenes.geometry import exaggeration, shapes
from scenes.words import corner
from sim.parts.case import Case, Debris, Studs


@pytest.fixture(scope="module")
def pair():
    return standin.run(first_um=8.0, second_um=2.0, dirty=False, growth_um=4.0), standin.run()


@pytest.fixture(scope="module")
def story(pair):
    return stories.clean_against_dirty(*pair)


def every(story):
    return timing.frames(lambda second: stories.moment(story, second), story.seconds)


def test_cause_comes_before_effect_before_number_before_advice(story):
    order = [timing.PARTS.index(step.part) for step in story.steps]
    assert order[0] == 0
    assert order[-1] == timing.PARTS.index("what to do")
    assert set(order) == set(range(len(timing.PARTS)))
    first = [order.index(part) for part in range(len(timing.PARTS))]
    assert first == sorted(first)


def test_film_length_and_drawing_budget(story):
    assert 20.0 <= story.seconds <= 35.0
    frames = every(story)
    assert len(frames) == round(story.seconds * timing.FRAME_RATE)
    assert len({now.pose for now in frames}) <= 150


def test_captions_carry_the_numbers_of_the_runs(story, pair):
    said = " ".join(step.caption + " " + step.small for step in story.steps)
    for run in pair:
        assert f"{run.seat.lateral_runout_um['outboard']:.0f}\u00a0µm" in said
    assert "50\u00a0µm" in said
    assert "15\u00a0µm" in said
    assert f"{max(pair[1].forecast.dtv_um):.0f}\u00a0µm" in said
    assert "100\u00a0µm high as it lay on the hub face between studs 1 and 2" in said


def test_limit_that_is_never_reached_is_said_so(pair):
    clean, _ = pair
    calm = stories.clean_against_dirty(clean, standin.run(growth_um=9.0))
    assert any("not reached" in step.caption for step in calm.steps)


def test_moment_runs_from_true_scale_to_the_whole_factor(story):
    assert stories.moment(story, 0.0).factor == 1.0
    assert stories.moment(story, story.seconds).factor == pytest.approx(story.factor)
    factors = [now.factor for now in every(story)]
    assert (np.diff(factors) >= -1e-9).all()


def test_moment_is_clipped_to_the_story(story):
    assert stories.moment(story, -5.0) == stories.moment(story, 0.0)
    assert stories.moment(story, 1e6).step == story.steps[-1]


def test_turn_of_the_film_is_a_whole_turn_of_even_poses(story):
    effect = next(step for step in story.steps if step.part == "effect")
    turns = [now.turn_deg for now in every(story) if now.step is effect]
    assert len(set(turns)) == round(360.0 / timing.TURN_STEP_DEG)
    assert all(turn % timing.TURN_STEP_DEG == pytest.approx(story.start_deg % timing.TURN_STEP_DEG) for turn in turns)


@pytest.mark.parametrize(
    ("angle", "words"),
    [(36.0, "between studs 1 and 2"), (0.0, "at stud 1"), (350.0, "at stud 1"), (324.0, "between studs 5 and 1"),
     (144.0, "at stud 3"), (-36.0, "between studs 5 and 1")],
)  # fmt: skip
def test_place_of_dirt_by_the_studs(angle, words):
    assert corner.where(Case(), Debris(angle_deg=angle)) == words


def test_highest_patch_speaks_for_all_and_hollows_do_not_count():
    low, high, hollow = Debris(height_um=20.0), Debris(angle_deg=72.0, height_um=80.0), Debris(height_um=-300.0)
    said = corner.dirt(Case(debris=(low, high, hollow)))
    assert "80" in said
    assert "at stud 2 (and 1 more)" in said
    assert corner.dirt(Case(debris=(hollow,))) == "nothing left on the hub face"


def test_highest_patch_is_turned_to_the_camera():
    case = Case(debris=(Debris(angle_deg=200.0),))
    assert (200.0 + exaggeration.facing_deg(case)) % 360.0 == pytest.approx(exaggeration.FACING_DEG)
    moved = replace(case, studs=Studs(studs_turned=1), debris=(Debris(on="rotor", angle_deg=200.0),))
    assert (272.0 + exaggeration.facing_deg(moved)) % 360.0 == pytest.approx(exaggeration.FACING_DEG)


def test_storyboard_has_six_times_inside_the_story(story):
    times = stories.storyboard_seconds(story)
    assert len(times) == 6
    assert times == sorted(set(times))
    assert times[0] > 0.0
    assert times[-1] < story.seconds
    assert {stories.moment(story, second).step.part for second in times} >= {"cause", "number", "what to do"}


@pytest.mark.parametrize("first_um", [0.5, 4.0, 45.0, 300.0, 5000.0])
def test_exaggeration_is_round_and_the_usual_one_unless_the_rotor_would_leave_the_picture(first_um):
    run = standin.run(first_um=first_um, second_um=0.0)
    factor = exaggeration.factor(run)
    mantissa = factor / 10.0 ** math.floor(math.log10(factor))
    assert round(mantissa, 6) in exaggeration.ROUND
    drawn_mm = factor * 2.0 * first_um * 1e-3
    most = exaggeration.SWING_SHARE * 150.0
    assert drawn_mm <= most * (1.0 + 1e-9)
    assert factor == exaggeration.USUAL or 0.6 * most <= drawn_mm


def test_one_factor_for_all_corners_of_a_picture(pair):
    assert exaggeration.factor(*pair) == exaggeration.factor(pair[1]) == exaggeration.factor(pair[0])


def test_drawn_gauge_circle_follows_the_trace_of_the_run():
    run = standin.run()
    level = shapes.levels(run.case)
    angle = np.arange(0.0, 360.0, 5.0)
    circle = np.column_stack(
        [level.gauge_radius_mm * np.cos(np.deg2rad(angle)), level.gauge_radius_mm * np.sin(np.deg2rad(angle)),
         np.full(angle.size, level.outboard_face_mm)]
    )  # fmt: skip
    height = 1e3 * exaggeration.rotor_motion(run, circle)[:, 2]
    assert np.allclose(height - height.mean(), exaggeration.reading_um(run, angle), atol=0.2)


def test_pads_keep_their_clearance_or_give_way():
    run = standin.run(first_um=60.0, second_um=0.0, high_deg=0.0)
    assert exaggeration.pad_shift_um(run, 0.0, outboard=True) == pytest.approx(60.0, abs=0.2)
    assert exaggeration.pad_shift_um(run, 180.0, outboard=True) == run.case.caliper.clearance_um
    assert exaggeration.pad_shift_um(run, 180.0, outboard=False) == pytest.approx(-60.0, abs=0.2)


def test_index_position_shifts_the_reading():
    run = standin.run(high_deg=10.0)
    moved = standin.run(high_deg=10.0)
    moved.case = replace(run.case, studs=Studs(studs_turned=2))
    assert exaggeration.reading_um(moved, 154.0) == pytest.approx(exaggeration.reading_um(run, 10.0))
    assert exaggeration.high_spot_deg(moved) == pytest.approx((exaggeration.high_spot_deg(run) + 144.0) % 360.0)


def test_meshes_have_the_dimensions_of_the_parts():
    rotor = Case().rotor
    hat, ring = shapes.rotor_meshes(rotor)
    assert ring.bounds[1] == pytest.approx(150.0)
    assert ring.bounds[4] == pytest.approx(-38.0)
    assert ring.bounds[5] == pytest.approx(-26.0)
    assert hat.bounds[5] == pytest.approx(7.0)
    assert hat.is_manifold
    assert ring.is_manifold
    chamfers = 4 * math.pi * (150.0 + 70.0) * shapes.CHAMFER_MM**2 / 2
    plate = math.pi * (150.0**2 - 70.0**2) * 12.0 - chamfers
    assert ring.triangulate().volume == pytest.approx(plate, rel=4e-4)


def test_window_takes_its_share_of_the_hat_and_is_closed():
    rotor = Case().rotor
    whole = shapes.rotor_meshes(rotor)[0].triangulate().volume
    cut = shapes.rotor_meshes(rotor, (30.0, 120.0))[0].clean().triangulate()
    assert cut.n_open_edges == 0
    assert cut.volume == pytest.approx(0.75 * whole, rel=1e-3)
