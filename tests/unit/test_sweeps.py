"""Films of sweeps: they say what was seated, nothing is ahead of the dial, nothing moves twice at once."""

from dataclasses import replace
from itertools import groupby

import numpy as np
import pytest

import demo_geometry
from scenes.command import told as tellings
from scenes.film import film, photos, speck_film, speck_story, sweeps, sweeps_film, timing
from scenes.words import corner
from sim.errors import Refused
from sim.files.case_file import load_case
from sim.parts.case import Case, Debris


@pytest.fixture(scope="module")
def demo():
    return load_case(demo_geometry.file("demo_dirty"))


@pytest.fixture(scope="module")
def speck(demo):
    return speck_story.tell({name: tellings.seen(case) for name, case in speck_story.places(demo).items()})


@pytest.fixture(params=["speck"])
def told(request):
    return request.getfixturevalue(request.param)


def moments(told):
    return timing.frames(lambda second: sweeps.moment(told, second), told.seconds)


def fake_photo(told, rings=()):
    wide, high = sweeps_film.VIEW
    names = ["axis", "joint", "rim", *(str(k + 1) for k in range(5))]
    names += [f"{ring} {at}" for ring in rings for at in range(0, 360, sweeps_film.RING_STEP_DEG)]
    names += [f"dirt {name} {k}" for name in told.runs for k in range(11)]
    return photos.Photo(np.full((high, wide, 3), 128, np.uint8), dict.fromkeys(names, (600.0, 400.0)))


def test_few_words_half_a_minute_six_frames(told):
    assert all(len(step.caption.split(" ")) <= 6 for step in told.steps)
    assert 20.0 <= told.seconds <= 36.0
    times = sweeps.board_seconds(told)
    assert len(times) == 6
    assert times == sorted(set(times))


def test_one_thing_moves_at_a_time_and_little_stands_still(told):
    frames = moments(told)
    moving = ("turn_deg", "lift", "slide", "plug", "holes_deg")
    for first, second in zip(frames, frames[1:], strict=False):
        if first.step is second.step:
            changed = [name for name in moving if getattr(first.pose, name) != getattr(second.pose, name)]
            assert len(changed) <= 1
    runs = [len(list(alike)) for _, alike in groupby(frames)]
    assert sum(length for length in runs if length > timing.FRAME_RATE / 4) <= 0.15 * len(frames)


def test_dial_sweeps_the_runout_of_the_corner_on_the_stage_and_no_words_are_ahead_of_it(told):
    ends = np.cumsum([step.seconds for step in told.steps])
    seen = set()
    for end, step in zip(ends, told.steps, strict=True):
        if step.swept and step.turn == sweeps.OPENING:
            low, high = sweeps.moment(told, float(end) - 1e-6).swept_um
            assert high - low == pytest.approx(sweeps.tir_um(told.runs[step.corner]), abs=0.3)
            assert corner.swing(told.runs[step.corner]) not in step.caption
            seen.add(step.corner)
        elif step.read and step.lift == sweeps.NONE and not step.swept:
            assert step.corner in seen


def test_the_same_dirt_is_moved_and_nothing_else(demo):
    moved = speck_story.places(demo)
    assert set(moved) == {"found", "inside", "stud"}
    sizes = []
    for case in moved.values():
        (patch,) = case.debris
        middle = 0.5 * (patch.inner_radius_mm + patch.outer_radius_mm)
        sizes.append(
            (patch.outer_radius_mm - patch.inner_radius_mm, np.radians(patch.arc_deg) * middle, patch.height_um)
        )
        assert replace(case, debris=()) == replace(demo, debris=())
    assert np.ptp(sizes, axis=0) == pytest.approx(0.0, abs=1e-9)
    assert moved["inside"].debris[0].outer_radius_mm < 0.5 * demo.studs.pitch_circle_mm
    assert moved["stud"].debris[0].angle_deg % 72.0 == pytest.approx(0.0)


def test_a_speck_says_what_was_seated_at_each_place(speck):
    values = {name: sweeps.tir_um(run) for name, run in speck.runs.items()}
    assert values["inside"] < values["stud"] < values["found"]
    said = [step.caption for step in speck.steps]
    assert f"Same dirt: {corner.swing(speck.runs['inside'])} to {corner.swing(speck.runs['found'])}." in said
    left = speck.runs["stud"].seat.contact.residual_height_um[0]
    assert f"Under stud 1: crushed to {left:.0f}\u00a0µm." in said


@pytest.mark.parametrize("debris", [(), (Debris(on="rotor"),), (Debris(inner_radius_mm=36.0, outer_radius_mm=44.0),)])
def test_a_corner_that_the_speck_cannot_be_told_of_is_refused_with_a_story_that_fits(debris):
    with pytest.raises(Refused, match=r"where is the fault|debris"):
        speck_story.places(Case(debris=debris))


def test_every_step_of_the_speck_is_composed(speck):
    light = replace(speck, runs={name: photos.portable(run) for name, run in speck.runs.items()})
    photo = fake_photo(light, speck_film.CIRCLES)
    for second in timing.late(light.steps):
        image = sweeps_film.compose(light, speck_film.more, sweeps.moment(light, second), photo)
        assert image.shape == (1080, 1920, 3)


@pytest.mark.gl
def test_storyboard_of_the_speck_shows_three_places(speck):
    reel = speck_film.reel(replace(speck, board=(speck.board[-1],) * 6))
    with reel.fine() as drawer:
        image = drawer(reel.moment(reel.board[0]))
    rust = np.abs(image[:, :1230].astype(int) - (200, 72, 27)).max(axis=2) < 30
    assert rust.sum() > 1500
    assert film.web_captions(reel.captions).startswith("WEBVTT")
