"""The film "from tap to judder": taps, marks, growth and speed are those of the run; without them it is refused."""

from dataclasses import replace
from itertools import groupby
from types import SimpleNamespace

import numpy as np
import pytest
import standin

from scenes import palette
from scenes.film import judder_film, judder_story, photos, sweeps, sweeps_film, timing
from scenes.geometry import exaggeration
from scenes.stage.lettering import Sheet
from scenes.words import words
from sim.errors import Refused
from sim.units import shortest_deg
from sim.wear import judder


def driven(growth_um=30.0):
    """Made-up run with a road: one thin spot on the high side, growing to ``growth_um``."""
    run = standin.run(first_um=40.0, second_um=0.0, growth_um=growth_um)
    run.as_driven = SimpleNamespace(seat=run.seat)
    wave = -0.5 * np.cos(np.deg2rad(run.forecast.angle_deg - 40.0))
    run.forecast.thickness_um = run.forecast.dtv_um[:, None] * wave
    run.forecast.orders = judder.ORDERS
    torque = np.zeros((len(run.forecast.distance_km), 6))
    torque[:, 0] = 2.0 * run.forecast.dtv_um
    run.forecast.torque_variation_nm = torque
    run.case = replace(run.case, axle="front")
    return run


@pytest.fixture(scope="module")
def told():
    return judder_story.tell(driven())


def moments(told):
    return timing.frames(lambda second: sweeps.moment(told, second), told.seconds)


def test_few_words_half_a_minute_little_stands_still(told):
    assert all(len(step.caption.split(" ")) <= 6 for step in told.steps)
    assert 20.0 <= told.seconds <= 36.0
    frames = moments(told)
    runs = [len(list(alike)) for _, alike in groupby(frames)]
    assert sum(length for length in runs if length > timing.FRAME_RATE / 4) <= 0.15 * len(frames)
    times = judder_film.reel(told).board
    assert len(times) == 6
    assert times == sorted(set(times))


def test_pads_are_tapped_on_opposite_faces_half_a_turn_apart(told):
    run = told.runs["road"]
    ends = np.cumsum([step.seconds for step in told.steps])
    at = []
    for step, outboard in ((2, True), (3, False)):
        now = sweeps.moment(told, float(ends[step]) - 0.5 * told.steps[step].seconds)
        hub_deg = judder_story.CALIPER_DEG - now.pose.turn_deg
        assert judder_story.gap_um(run, hub_deg, outboard) < judder_story.TOUCH_UM
        assert judder_story.gap_um(run, hub_deg, not outboard) > 30.0
        at.append(hub_deg)
    assert abs(shortest_deg(at[1] - at[0])) == pytest.approx(180.0, abs=8.0)


def test_no_mark_stands_before_its_tap(told):
    ends = np.cumsum([step.seconds for step in told.steps])
    for step, outboard in ((2, True), (3, False)):
        begin, whole = float(ends[step]) - told.steps[step].seconds, told.steps[step].seconds
        early, late = (sweeps.moment(told, begin + share * whole) for share in (0.3, 0.7))
        assert not judder_film.passed(told, early, outboard)
        assert judder_film.passed(told, late, outboard)


def test_growth_in_the_film_is_that_of_the_forecast(told):
    run, known = driven(), told.facts["road"]
    for km in (0.0, 1500.0, known.limit_km):
        thick = known.at(km)
        assert thick.min() == 0.0
        assert thick.max() == pytest.approx(np.interp(km, run.forecast.distance_km, run.forecast.dtv_um), rel=2e-3)
    assert known.at(known.limit_km).max() == pytest.approx(15.0, abs=0.4)
    thin = known.angle_deg[int(np.argmin(known.at(known.limit_km)))]
    assert abs(shortest_deg(thin - exaggeration.high_spot_deg(told.runs["road"]))) <= 3.0
    seen = [judder_story.kilometres(known, now.step.shows, now.grown) for now in moments(told)]
    assert seen == sorted(seen)


def test_speed_is_where_pushes_meet_the_mode(told):
    known = told.facts["road"]
    case = driven().case
    assert known.felt_km_h * known.order * case.drive.revolutions_per_km / 3600.0 == pytest.approx(case.mode_hz)
    peak = known.speed_km_h[int(np.argmax(known.shaken))]
    assert peak == pytest.approx(known.felt_km_h, rel=0.03)
    assert told.steps[-1].caption == f"Felt most near {known.felt_km_h:.0f}\u00a0km/h."


def test_a_road_that_is_never_felt_is_refused_with_a_story_that_fits():
    with pytest.raises(Refused, match="where is the fault"):
        judder_story.tell(driven(growth_um=9.0))
    still = driven()
    still.forecast = None
    with pytest.raises(Refused, match="where is the fault"):
        judder_story.tell(still)


def shot(told, brightness=128):
    """Made-up photograph, all rotor or (dark) all pad; its rings are circles round the middle."""
    wide, high = judder_film.VIEW
    places = {str(k + 1): (600.0, 400.0) for k in range(5)}
    for ring, radius in zip(judder_film.RINGS, (200.0, 300.0, 340.0), strict=True):
        for at in range(0, 360, sweeps_film.RING_STEP_DEG):
            x, y = (radius * float(turn(np.radians(at))) for turn in (np.cos, np.sin))
            places[f"{ring} {at}"] = (600.0 + x, 450.0 + y)
    return photos.Photo(np.full((high, wide, 3), brightness, np.uint8), places)


def second_in(told, shows, share):
    step = next(k for k, step in enumerate(told.steps) if step.shows == shows)
    return sum(one.seconds for one in told.steps[:step]) + share * told.steps[step].seconds


def test_the_rotor_is_marked_and_not_the_pad(told):
    """Where the photograph is dark a pad stands before the face: the mark passes behind it."""
    now = sweeps.moment(told, second_in(told, "gaps worn", 1.0 / 3.0))  # the outer mark is at the pad
    seen = {}
    for brightness in (128, 30):
        sheet = Sheet.blank((1920, 1080))
        assert len(judder_film._marks(sheet, told, now, shot(told, brightness))) == 2
        light = np.round(255 * np.array(palette.rgb("low")))
        seen[brightness] = (np.abs(sheet.array() - light).max(axis=2) < 3).any()
    assert seen == {128: True, 30: False}


def test_a_mark_is_called_rubbed_thin_once_it_has_come_out_from_under_the_pad(told):
    for share, said in ((0.55, "outer face: tapped here"), (0.97, "outer face: rubbed thin")):
        now = sweeps.moment(told, second_in(told, "gaps", 0.0) + told.steps[1].seconds + share * told.steps[2].seconds)
        names = [name for name, *_ in judder_film._marks(Sheet.blank((1920, 1080)), told, now, shot(told))]
        assert names == [said]


def test_gaps_are_called_gaps_with_their_figure(told, monkeypatch):
    written = []
    monkeypatch.setattr(Sheet, "text", lambda self, text, *rest, **look: written.append(text) or 0.0)
    now = sweeps.moment(told, second_in(told, "gaps worn", 0.3))
    judder_film._gaps(Sheet.blank((1920, 1080)), told, now, shot(told))
    hub_deg = judder_story.CALIPER_DEG - now.pose.turn_deg
    for outboard in (True, False):
        gap = judder_story.gap_um(told.runs["road"], hub_deg, outboard)
        assert gap > judder_story.TOUCH_UM
        assert f"gap {words.micrometres(gap)}" in written


def test_taps_stand_under_the_unrolled_turn_where_the_faces_are_tapped(told, monkeypatch):
    boxes = []
    pencil = SimpleNamespace(rectangle=lambda box, **look: boxes.append(box))
    sheet = SimpleNamespace(draw=pencil, text=lambda *words, **look: 0.0)
    left, _, right, _ = judder_film.TURN_BOX
    for outboard in (True, False):
        boxes.clear()
        at = judder_film.tapped_deg(told.runs["road"], outboard)
        judder_film._tapped(sheet, at, outboard, "")
        middle = np.mean([boxes[0][0], boxes[0][2]])
        assert (middle - left) / (right - left) == pytest.approx(at / 360.0, abs=1e-6)
    taps = [judder_film.tapped_deg(told.runs["road"], outboard) for outboard in (True, False)]
    assert abs(shortest_deg(taps[1] - taps[0])) == pytest.approx(180.0, abs=8.0)


def test_released_and_braked_do_not_look_alike():
    """Pads stand off the rotor of the sign, or touch it."""
    x, y = (round(value) for value in judder_film.SIGN_AT)
    air = {}
    for on in (False, True):
        sheet = Sheet.blank((1920, 1080))
        judder_film._brake(sheet, on)
        row = sheet.array()[y - 60, x : x + 30].astype(int)
        paper = np.array(Sheet.blank((1, 1)).array()[0, 0])
        air[on] = int((np.abs(row - paper).max(axis=1) < 8).sum())
    assert air[False] > 8
    assert air[True] == 0


def test_every_step_is_composed(told):
    wide, high = judder_film.VIEW
    names = [f"{ring} {at}" for ring in judder_film.RINGS for at in range(0, 360, sweeps_film.RING_STEP_DEG)]
    places = dict.fromkeys([*names, *(str(k + 1) for k in range(5))], (600.0, 400.0))
    photo = photos.Photo(np.full((high, wide, 3), 128, np.uint8), places)
    seen = set()
    for second, step in zip(timing.late(told.steps), told.steps, strict=True):
        for at in (second - 0.83 * step.seconds, second) if step.shows not in seen else ():
            assert judder_film.compose(told, sweeps.moment(told, at), photo).shape == (1080, 1920, 3)
        seen.add(step.shows)
