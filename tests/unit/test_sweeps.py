"""Films of sweeps: they say what was seated, nothing is ahead of the dial, nothing moves twice at once."""

from dataclasses import replace
from functools import partial
from itertools import groupby

import numpy as np
import pytest
import standin

import demo_geometry
from scenes import palette
from scenes.film import film, hole_film, hole_story, photos, speck_film, speck_story, sweeps, sweeps_film, timing
from scenes.stage.lettering import Sheet
from scenes.words import corner
from sim.chain import seated_alone
from sim.corner.seated import seat_corner
from sim.errors import Refused
from sim.files.case_file import load_case
from sim.parts.case import Case, Debris


@pytest.fixture(scope="module", autouse=True)
def _coarsely():
    """What is told of a seating holds on a coarser one."""
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr("sim.chain.seat_corner", partial(seat_corner, preset="fast"))
        yield


@pytest.fixture(scope="module")
def demo():
    return load_case(demo_geometry.file("demo_dirty"))


@pytest.fixture(scope="module")
def speck(demo):
    runs = {name: photos.portable(seated_alone(case)) for name, case in speck_story.places(demo).items()}
    return speck_story.tell(runs)


@pytest.fixture(scope="module")
def turned(demo):
    """The demo corner in all stud positions, as found and cleaned."""
    cases = (demo, replace(demo, debris=()))
    return [[seated_alone(case) for case in hole_story.positions(one)] for one in cases]


@pytest.fixture(scope="module")
def hole(turned):
    return hole_story.tell(*turned, (9.0, 12.0, 40.0))


@pytest.fixture(params=["speck", "hole"])
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
        if step.swept and step.turn == timing.OPENING:
            low, high = sweeps.moment(told, float(end) - 1e-6).swept_um
            assert high - low == pytest.approx(sweeps.tir_um(told.runs[step.corner]), abs=0.3)
            assert corner.swing(told.runs[step.corner]) not in step.caption
            seen.add(step.corner)
        elif step.read and step.lift == sweeps.NONE and not step.swept:
            assert step.corner in seen
    assert len(seen) > 1


def test_the_same_dirt_is_moved_and_nothing_else(demo):
    moved = speck_story.places(demo)
    assert moved.pop("clean") == replace(demo, debris=())
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
    assert f"At stud 1: crushed to {left:.0f}\u00a0µm." in said


def test_section_and_words_say_where_the_rotor_stands_off_and_where_the_nuts_bend_it_down(speck):
    assert "Inside, the nuts bend it down." in [step.caption for step in speck.steps]
    for name, at_the_edge in (("found", (60.0, 120.0)), ("inside", (0.0, 20.0))):
        across, hub, gap = speck_story.side_um(speck.runs[name])
        assert (np.diff(across) > 0.0).all()
        assert at_the_edge[0] <= gap[-1] <= at_the_edge[1]
        patch = speck.runs[name].case.debris[0]
        on_it = (across > patch.inner_radius_mm + 1.0) & (across < patch.outer_radius_mm - 1.0)
        assert gap[on_it].min() > 0.8 * speck.facts["left_um"][name]  # it rests on the dirt, nowhere in it


@pytest.mark.parametrize("debris", [(), (Debris(on="rotor"),), (Debris(inner_radius_mm=36.0, outer_radius_mm=44.0),)])
def test_a_corner_that_the_speck_cannot_be_told_of_is_refused_with_a_story_that_fits(debris):
    with pytest.raises(Refused, match=r"where is the fault|debris"):
        speck_story.places(Case(debris=debris))


def test_bars_of_the_speck_stand_beside_the_clean_hub_and_say_that_the_rest_is_wiped_off(speck, monkeypatch):
    """The corner as found, with a chip more, reads otherwise: nobody shall add up what was never seated together."""
    kept, slips = [], []
    monkeypatch.setattr(sweeps_film, "bars", lambda sheet, rows, *rest: kept.append(rows))
    monkeypatch.setattr(Sheet, "slip", lambda self, text, *rest: slips.append(text))
    photo = fake_photo(speck, speck_film.CIRCLES)
    for others in (1, 0):
        told = replace(speck, facts={**speck.facts, "others": others})
        speck_film.more(Sheet.blank((1920, 1080)), told, sweeps.moment(told, told.seconds - 0.1), photo)
    assert slips == [speck_film.ALONE]
    for (_, value, _), (_, name) in zip(kept[0], speck.facts["rows"], strict=True):
        assert value == sweeps.tir_um(speck.runs[name])
    assert [colour for *_, colour in kept[0]] == [palette.SCALE] * 3 + [palette.HUB]
    assert speck.facts["rows"][-1][1] == "clean"
    assert sweeps.tir_um(speck.runs["clean"]) < sweeps.tir_um(speck.runs["inside"])


def test_beside_the_wheel_stands_that_no_dial_reads_it_and_its_band_in_figures(hole, monkeypatch):
    said, drawn = [], []
    monkeypatch.setattr(Sheet, "paragraph", lambda self, text, *rest, **look: said.append(text))
    monkeypatch.setattr(sweeps_film, "bars", lambda sheet, rows, *rest: drawn.append(rows))
    photo = fake_photo(hole, DRAWN["hole"][1])
    hole_film.more(Sheet.blank((1920, 1080)), hole, sweeps.moment(hole, hole.seconds - 0.1), photo)
    assert "no dial reads" in said[0]
    low, likely, high = hole.facts["road_um"]
    assert f"{low:.0f} to {high:.0f}\u00a0µm" in drawn[0][-1][0]
    assert drawn[0][-1][1] == likely


def test_sum_of_the_arrows_has_not_the_colour_of_the_reading(hole, monkeypatch):
    """The arrows are the wave once a turn; the bars, in the dial's colour, are all that the dial reads."""
    kept = []
    monkeypatch.setattr(hole_film, "_arrow", lambda sheet, start, end, colour, width: kept.append(colour))
    photo = fake_photo(hole, DRAWN["hole"][1])
    hole_film._arrows(Sheet.blank((1920, 1080)), hole, hole.facts["found"], 1.0, photo)
    assert len(kept) == 3
    assert palette.DIAL not in kept


DRAWN = {"speck": (speck_film.more, speck_film.CIRCLES), "hole": (hole_film.more, (*hole_film.RINGS, *hole_film.WHEEL))}


@pytest.mark.parametrize("name", DRAWN)
def test_whatever_is_shown_is_composed(name, request):
    told = request.getfixturevalue(name)
    draw, rings = DRAWN[name]
    seen = set()
    for second, step in zip(timing.late(told.steps), told.steps, strict=True):
        for at in (second - 0.83 * step.seconds, second) if step.shows not in seen else ():  # hardly begun, and told
            image = sweeps_film.compose(told, draw, sweeps.moment(told, at), fake_photo(told, rings))
            assert image.shape == (1080, 1920, 3)
        seen.add(step.shows)


def test_shares_of_hub_and_rotor_give_back_every_position(turned):
    """First order alone, so what is left is what higher orders and the seating add."""
    found = hole_story.holes(turned[0])
    for k, run in enumerate(turned[0]):
        whole = found.hub + found.rotor * np.exp(2j * np.pi * k / 5)
        assert abs(whole) == pytest.approx(sweeps.tir_um(run), abs=0.2 * sweeps.tir_um(run))
        assert abs(whole - hole_story._first_order(run)) < 4.0
    clean = hole_story.holes(turned[1])
    assert abs(clean.rotor - found.rotor) < 3.0  # dirt on the hub is no rotor's share
    assert found.best == int(np.argmin(found.tir_um))


def test_marks_of_the_chalk_and_the_words_follow_the_readings(turned, hole):
    assert hole_story.stayed(turned[0][0], turned[0][2], 2) == "stayed"
    warped = [standin.run(dirty=False) for _ in range(3)]
    for k, run in enumerate(warped):
        run.case = replace(run.case, studs=replace(run.case.studs, studs_turned=k))
    assert hole_story.stayed(warped[0], warped[2], 2) == "went"
    said = [step.caption for step in hole.steps]
    assert "It stayed: hub face or dirt." in said
    assert "No hole gets under 50\u00a0µm." in said
    assert f"Dirt off, best hole: {min(map(sweeps.tir_um, turned[1])):.0f}\u00a0µm." in said
    assert said[-1] == "Wheel on: also under the limit."
    bars = [step for step in hole.steps if step.shows == "bars"]
    assert ["limit" in step.caption for step in bars] == [False, True]  # no verdict before its bar
    assert hole_story._road((55.0, 60.0, 80.0), 50.0) == "Dial passes. Wheel on: over it."
    assert hole_story._road((30.0, 40.0, 80.0), 50.0) == "Wheel on: too close to tell."


def test_nothing_is_cleaned_where_nothing_lies(turned):
    told = hole_story.tell(turned[1], turned[1], (9.0, 12.0, 40.0))
    assert not any("lean" in step.caption for step in told.steps)
    assert len(sweeps.board_seconds(told)) == 6


def test_a_corner_without_a_reading_or_off_its_hub_is_refused(turned):
    with pytest.raises(Refused, match="debris"):
        hole_story.tell([turned[1][4]] * 5, turned[1], None)
    with pytest.raises(Refused, match="spigot"):
        hole_story.positions(load_case(demo_geometry.file("spigot_jammed")))


@pytest.mark.gl
def test_last_frame_of_the_speck_shows_the_three_places_on_the_bare_hub(speck):
    reel = speck_film.reel(replace(speck, board=(speck.board[-1],)))
    with reel.fine() as drawer:
        image = drawer(reel.moment(reel.board[0]))
    rust = np.abs(image[:, :1230].astype(int) - (200, 72, 27)).max(axis=2) < 30
    assert rust.sum() > 1500
    assert film.web_captions(reel.captions).startswith("WEBVTT")
