"""The film about scale on the spigot: its motion is the computed one, its words carry the figures, it is whole."""

import re
import subprocess
from dataclasses import replace
from functools import partial
from itertools import groupby
from pathlib import Path

import numpy as np
import pytest
from matplotlib.figure import Figure

from scenes import gl
from scenes.command import doing
from scenes.command.app import main
from scenes.film import charts, film, frames, spigot_film, spigot_story, timing
from scenes.film.photos import Photo
from scenes.plots import bore_view, spigot_plan
from scenes.words import words
from scenes.words.spigot import strained
from sim import chain
from sim.errors import BadInput
from sim.files.case_file import load_case
from sim.parts.case import Case, SpigotScale
from sim.spigot.way_on import way_on

pytestmark = pytest.mark.usefixtures("few_wheels")

DEMO = Path(__file__).parents[2] / "demo_geometry"


@pytest.fixture(scope="module")
def ways():
    names = ("jammed", "forced", "off_centre")
    return {name: way_on(load_case(DEMO / f"spigot_{name}.toml"), "rough") for name in names}


@pytest.fixture(scope="module")
def told(ways):
    return {name: spigot_story.tell(way) for name, way in ways.items()}


def quiet(share, words):
    """Say nothing."""


def test_the_way_goes_through_the_places_that_were_computed(ways):
    way = ways["jammed"]
    names = [station.name for station in way.stations]
    assert names[:3] == ["free", "hand", "rest"]
    off = [station.stand_off_um for station in way.stations]
    assert off == sorted(off, reverse=True)
    rest = way.stations[way.index("rest")]
    low, high = way.state.stand_off_um
    assert low <= rest.stand_off_um <= high
    assert rest.lean_um == pytest.approx(way.state.lean_um)
    assert rest.hoop_mpa == pytest.approx(way.state.hoop_stress_mpa)
    # every path place stands where the state's path has it
    path = sorted((1000.0 * place.stand_off_mm for place in way.state.path), reverse=True)
    assert [s.stand_off_um for s in way.stations if s.name == "path"] == pytest.approx(path)


def test_the_drawn_section_moves_by_the_computed_field(ways, told):
    """Trace of the drawn gauge circle against the state's own trace; rigid places move by their stand-off alone."""
    for name, index in (("jammed", ways["jammed"].index("rest")), ("forced", -1)):
        drawn, state = told[name].moved[index], ways[name].state
        assert np.ptp(drawn.trace_um) == pytest.approx(state.lateral_runout_um["outboard"], rel=0.02)
        assert np.abs(drawn.trace_um - state.outboard_um).max() < 0.02 * np.ptp(state.outboard_um)
    for k, part in enumerate(told["jammed"].cut.pieces):
        if part.part == "part" and part.flat[:, 1].max() > 0:  # the hat: its own runout has not begun at the flange
            free = told["jammed"].moved[0].pieces[k][np.abs(part.flat[:, 1]) < 1e-9, 1]
            assert np.allclose(free, ways["jammed"].stations[0].stand_off_um / 1000.0, atol=0.02)


def test_what_touches_is_drawn_touching(told):
    """Home over scale, the bore's wall lies on the scale: the stretched picture keeps the order of surfaces."""
    one = told["forced"]
    of, motion, by = one.cut, one.moved[-1], one.close
    hat = next(k for k, piece in enumerate(of.pieces) if piece.part == "part" and piece.side > 0)
    shape = bore_view._drawn(of, of.pieces[hat], motion.pieces[hat], by)
    scale, foot = of.scales[0]
    top = bore_view._drawn(of, foot, motion.scales[0], by)[:, 0] + by.out * scale.height_um * 1e-3
    assert shape[:, 0].min() == pytest.approx(top.max(), abs=0.02 * by.out)


def test_a_rotor_with_room_goes_from_stop_to_stop(ways):
    stops = [station for station in ways["off_centre"].stations if station.name == "stop"]
    bore = np.array([[-32.5, 0.0, 3.0], [32.5, 0.0, 3.0]])
    low, high = sorted(float(station.rotor.at(bore)[0, 0]) for station in stops)
    # scale of 40 um on radius at 180 degrees, 30 um of room: pushed 10 um away at least, 30 um at most on the line
    assert low == pytest.approx(-0.03, abs=1e-3)
    assert high == pytest.approx(-0.01, abs=3e-3)
    assert ways["off_centre"].stations[-1].name == "home"


@pytest.mark.parametrize("name", ["jammed", "forced", "off_centre"])
def test_cause_effect_number_advice_within_the_time(told, name):
    steps = told[name].steps
    order = [timing.PARTS.index(step.part) for step in steps]
    assert order == sorted(order)
    assert set(order) == {0, 1, 2, 3}
    assert 15.0 <= told[name].seconds <= 32.0
    assert len(spigot_story.storyboard_seconds(told[name])) == 6
    moments = timing.frames(lambda second: spigot_story.moment(told[name], second), told[name].seconds)
    places = [now.at for now in moments]
    assert (np.diff(places) >= -1e-9).all()
    off = [spigot_story.shown(told[name], at)[1]["stand_off_um"] for at in places]
    jumps = -np.diff(off)
    assert jumps.max() < 400.0  # um between two frames: no jump


def test_captions_carry_the_figures_and_call_it_damage(told, ways):
    said = " ".join(step.caption + " " + step.small for step in told["jammed"].steps).replace("\u00a0", " ")
    low, high = ways["jammed"].state.stand_off_um
    assert f"{low / 1000:.1f} to {high / 1000:.1f} mm" in said
    assert "damage" in said
    assert "fatigue is not covered" in said
    assert "instructions come first" in said
    assert any("never draw it home" in line.lower() for line in spigot_story.ADVICE)
    free = " ".join(step.caption + " " + step.small for step in told["off_centre"].steps)
    assert "Radial runout" in free
    assert "damage" not in free


def test_one_nut_first_is_told_with_the_figures_of_the_nut_that_strains_most(told, ways):
    nut = max(ways["jammed"].state.one_nut, key=lambda one: one.hoop_mpa)
    first, second = (step for step in told["jammed"].steps if step.shows in ("one nut", "crack"))
    assert f"Nut {nut.stud} run up first" in first.caption
    assert f"{nut.lean_um / 1000.0:.0f}\u00a0mm" in first.small
    assert nut.hoop_mpa > 250.0  # past what this iron bears: a ratio, in the report's words
    assert strained(nut.hoop_mpa, 250.0) in second.caption
    assert "cracks" in second.caption
    assert "MPa" not in second.caption


def test_the_last_line_of_the_advice_stands_long_enough_to_be_read(told, monkeypatch):
    written = []
    monkeypatch.setattr(frames, "advice", lambda sheet, lines, share: written.append(share))
    one = told["jammed"]
    step = next(step for step in one.steps if step.shows == "advice")
    begin = sum(before.seconds for before in one.steps[: one.steps.index(step)])
    plan = spigot_film.Layout(one, None, 0.0, None)
    blank = Photo(np.zeros((spigot_film.VIEW[1], spigot_film.VIEW[0], 3), np.uint8), {})
    for second in (begin + 0.1, begin + step.seconds - 1.5):
        spigot_film.compose(plan, spigot_story.moment(one, second), blank)
    assert written[0] < 0.2
    assert written[1] == 1.0


def test_a_draft_of_this_story_is_a_draft(told):
    assert spigot_film.reel(told["jammed"], True).draft
    assert not spigot_film.reel(told["jammed"]).draft


def test_cocked_section_leans_by_the_figure_down_at_the_nut(told):
    one = told["jammed"]
    nut, tips = one.one_nut, one.cocked.tips
    assert 1000.0 * abs(tips[0, 1] - tips[1, 1]) == pytest.approx(nut.lean_um, rel=0.03)
    assert 500.0 * (tips[0, 1] + tips[1, 1]) == pytest.approx(nut.stand_off_um, abs=60.0)
    side = spigot_story.one_nut_side(one)[-1]
    assert (tips[0, 1] < tips[1, 1]) == (side == "+")
    assert np.ptp(one.cocked.trace_um) == pytest.approx(nut.lean_um, rel=0.03)


def test_the_dial_passes_what_is_damaged_and_the_film_says_so(told, ways):
    one = told["jammed"]
    step = next(step for step in one.steps if step.shows == "dial")
    reading = float(np.ptp(one.moved[-1].trace_um))
    assert step.caption == f"Forced home evenly: {reading:.0f}\u00a0µm. No dial sees a crack."
    assert ("Below the limit" in step.small) == (reading < one.way.case.limits.mounted_runout_um)
    assert "scored" in " ".join(step.caption for step in one.steps)


def test_crack_begins_at_the_bore_and_runs_outward(told):
    case = told["jammed"].way.case
    line = spigot_plan.crack_line(case, 1.0)
    radius = np.hypot(*line.T)
    assert radius[0] == pytest.approx(0.5 * case.rotor.bore_diameter_mm)
    assert (np.diff(radius) > 0).all()
    assert radius[-1] < 0.5 * case.rotor.hat_outer_diameter_mm
    half = spigot_plan.crack_line(case, 0.5)
    assert np.hypot(*half[-1]) < radius[-1]


def test_storyboard_shows_nut_crack_dial_advice_and_the_clean_rotor(told):
    one = told["jammed"]
    shown = [spigot_story.moment(one, second).step.shows for second in spigot_story.storyboard_seconds(one)]
    assert shown == ["push", "one nut", "crack", "dial", "advice", "clean"]
    assert any("not sure: renew" in line for line in spigot_story.ADVICE)


def test_little_stands_still_and_no_figure_is_told_before_it_is_shown(told):
    for one in told.values():
        moments = timing.frames(lambda second, one=one: spigot_story.moment(one, second), one.seconds)
        alike = [len(list(same)) for _, same in groupby(moments)]
        assert sum(length for length in alike if length > timing.FRAME_RATE / 4) <= 0.15 * len(moments)
    for step in told["jammed"].steps:
        assert not re.search(r"\d", re.sub(r"^Nut \d+", "", step.early))
        if step.shows in ("crack", "dial", "one nut"):
            assert step.early


def test_the_bore_moves_in_the_picture_by_the_figure_beside_it_and_its_shares_add_up(told):
    one = told["jammed"]
    over, opposite = bore_view.bore_moved_um(one.cut, one.moved[-1])
    figure = Figure(figsize=(6.0, 6.0))
    axes = bore_view.close_axes(figure, (0.0, 0.0, 1.0, 1.0), one.way.case)
    bore_view.name_bore(axes, one.cut, one.moved[-1], one.close, 10.0)
    arrow, label = axes.texts
    assert label.get_text() == f"bore {words.micrometres(over)}"
    drawn = arrow.xy[0] - arrow.xyann[0]
    assert drawn == pytest.approx(one.close.out * over / 1000.0)
    # the edge itself is drawn where the arrow ends
    hat = next(k for k, piece in enumerate(one.cut.pieces) if piece.part == "part" and piece.side > 0)
    shape = bore_view._drawn(one.cut, one.cut.pieces[hat], one.moved[-1].pieces[hat], one.close)
    bore = one.way.case.rotor.bore_diameter_mm
    edge = np.abs(np.abs(one.cut.pieces[hat].flat[:, 0]) - 0.5 * bore) < 1e-6
    assert shape[edge, 0].mean() == pytest.approx(arrow.xy[0], abs=1e-6)
    small = next(step.small for step in one.steps if step.shows == "dial")
    whole, aside, stretched = (int(value) for value in re.findall(r"(\d+)\u00a0µm", small.split(" moved ")[1]))
    assert aside + stretched == whole == round(over)
    assert aside == pytest.approx(0.5 * (over + opposite), abs=0.51)


def test_no_runout_stands_in_a_frame_before_the_dial_has_read_it(told, monkeypatch):
    one = told["jammed"]
    written, brackets = [], []
    monkeypatch.setattr(spigot_film.Sheet, "text", lambda self, text, *rest, **look: written.append(text) or 0.0)
    monkeypatch.setattr(charts, "_bracket", lambda axes, x, heights, name, colour: brackets.append((name, x)))
    plan = spigot_film.layout(one)
    assert [name for name, _ in brackets] == ["TIR", "limit", "limit"]
    blank = Photo(np.zeros((spigot_film.VIEW[1], spigot_film.VIEW[0], 3), np.uint8), {})
    shown = []
    for name in ("unread", "trace"):
        monkeypatch.setattr(getattr(plan, name).__class__, "show", lambda self, *rest: shown.append(self))
    step = next(step for step in one.steps if step.shows == "dial")
    end = sum(before.seconds for before in one.steps[: one.steps.index(step) + 1])
    whole = spigot_film.distance(float(np.ptp(one.moved[-1].trace_um)))
    for second, there in ((end - step.seconds + 0.2, False), (end - 0.1, True)):
        written.clear()
        spigot_film.compose(plan, spigot_story.moment(one, second), blank)
        assert (whole in written) is there
    assert shown == [plan.unread, plan.trace]


def test_each_frame_says_which_way_on_it_shows(told):
    """One nut first, or all evenly: the cracked rotor is not the one that the dial passes."""
    one = told["jammed"]
    said = {}
    for end, step in zip(np.cumsum([step.seconds for step in one.steps]), one.steps, strict=True):
        now = spigot_story.moment(one, float(end) - 0.01)
        pose = spigot_film.pose_of(one, now)
        said[step.shows] = spigot_film._how(one, pose, spigot_film.moved(one, pose)[1])
        begun = spigot_film.pose_of(one, spigot_story.moment(one, float(end) - step.seconds + 0.05))
        if step.shows == "push" and step.go[0] > 0:  # its title has said so from its first frame on
            assert spigot_film._how(one, begun, spigot_film.moved(one, begun)[1]) == "all nuts evenly"
    assert said["crack"] == said["one nut"] == f"nut {one.one_nut.stud} first"
    assert said["dial"] == said["push"] == "all nuts evenly"
    assert said["clean"] == "cleaned"


def test_nobody_pushes_where_it_drops_home(told):
    """Fingertips have small arrows, two hands broad ones."""
    one = told["jammed"]
    high = {}
    for hands in ("hands", "fingertips"):
        figure = Figure(figsize=(6.0, 6.0))
        axes = bore_view.whole_axes(figure, (0.0, 0.0, 1.0, 1.0), one.way.case)
        spigot_plan.tools(axes, one.cut, one.moved[1], 1.0, hands, 10.0)
        high[hands] = np.ptp([*(arrow for arrow in axes.patches if arrow.get_gid() == "hand")][0].get_xy()[:, 1])
    assert high["fingertips"] < 0.5 * high["hands"]


def test_clean_rotor_ends_home_and_has_its_room(told):
    one = told["jammed"]
    home, held = spigot_story.clean_at(one, 1.0), spigot_story.clean_at(one, 0.0)
    assert all(np.all(moves == 0.0) for moves in home.pieces)
    assert held.tips[0, 1] == spigot_story.CLEAN_FROM_MM
    assert not one.clean.scales
    assert one.clean.gap_mm > 0.0


def test_every_step_makes_a_full_frame_that_says_its_stretch(told, monkeypatch):
    written = []
    real = spigot_film.Sheet.slip
    monkeypatch.setattr(
        spigot_film.Sheet, "slip", lambda self, text, *rest: (written.append(text), real(self, text, *rest))[1]
    )
    one = told["jammed"]
    plan = spigot_film.layout(one)
    last = {
        step.shows: end for step, end in zip(one.steps, np.cumsum([step.seconds for step in one.steps]), strict=True)
    }
    for end in (ends := list(last.values())):
        image = spigot_film.compose(plan, spigot_story.moment(one, float(end) - 0.2))
        assert image.shape == (1080, 1920, 3)
        assert image.std() > 10.0
    flat = sum(shows in ("one nut", "crack") for shows in last)
    assert written.count("outward stretched 40 times") == len(ends) - flat
    assert sum(text.startswith("motion ") for text in written) == len(ends)
    assert written.count("motion not stretched") >= flat > 0


def test_a_short_film_has_size_rate_and_is_the_same_twice(told, tmp_path):
    paths = [tmp_path / f"{k}.mp4" for k in (1, 2)]
    for path in paths:
        film.make(spigot_film.reel(told["off_centre"]), path, quiet, seconds=0.125)
    answer = subprocess.run([gl.encoder(), "-i", str(paths[0])], capture_output=True, text=True, check=False).stderr
    assert all(word in answer for word in ("1920x1080", "h264", "yuv420p", "24 fps"))
    assert paths[0].read_bytes() == paths[1].read_bytes()


def test_an_interrupted_film_leaves_the_older_one(told, tmp_path):
    older = tmp_path / "film.mp4"
    older.write_bytes(b"older")

    def stop(share, words):
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        film.make(spigot_film.reel(told["off_centre"]), older, stop, seconds=0.1)
    assert older.read_bytes() == b"older"
    assert len(list(tmp_path.iterdir())) == 1


def test_an_interrupted_film_goes_on_from_the_views_that_were_drawn(told, tmp_path, monkeypatch):
    monkeypatch.setenv("TRUESEAT_CACHE", str(tmp_path / "cache"))
    reel = spigot_film.reel(told["off_centre"])
    moments = timing.frames(reel.moment, reel.seconds)[:3]
    drawn = []
    real = spigot_film.views
    monkeypatch.setattr(spigot_film, "views", lambda *given: (drawn.append(1), real(*given))[1])

    def begin(stop):
        with reel.film(moments, False) as drawer:
            image = drawer(moments[0])
            if stop:
                raise KeyboardInterrupt
        return image

    with pytest.raises(KeyboardInterrupt):
        begin(stop=True)
    begun = len(drawn)
    assert begin(stop=False).std() > 10.0
    assert len(drawn) == begun > 0
    assert not list((tmp_path / "cache").rglob("*.jpg"))


def test_without_scale_there_is_no_story(tmp_path, capsys):
    with pytest.raises(BadInput, match="no scale on the spigot"):
        way_on(Case(), "rough")
    path = tmp_path / "film.mp4"
    assert main(["film", str(DEMO / "spigot_clean.toml"), "--story", "spigot", "-o", str(path)]) == 3
    said = capsys.readouterr().err
    assert "spigot_scale" in said
    assert "which hole" in said
    assert not path.exists()


def test_scale_in_the_root_and_a_wedge_that_a_hand_overcomes_are_told_too(monkeypatch):
    monkeypatch.setattr("sim.spigot.state.one_nut", lambda *_: ())  # dear, and no part of either story
    case = load_case(DEMO / "spigot_forced.toml")
    root = replace(case, spigot_scale=(SpigotScale(height_um=600.0, to_face_mm=0.9),))
    told = spigot_story.tell(way_on(root, "rough"))
    assert told.way.state.home == "held off"
    assert "hub face" in told.steps[2].caption
    light = replace(case, spigot_scale=(SpigotScale(height_um=61.0, arc_deg=120.0, to_face_mm=4.0),))
    way = way_on(light, "rough")
    assert spigot_story.tell(way).steps[-1].part == "what to do"


def test_the_storyboard_needs_no_gl(tmp_path, monkeypatch):
    monkeypatch.setattr(doing, "need_gl", lambda: pytest.fail("GL was asked for"))
    monkeypatch.setattr(chain, "compute", partial(chain.compute, preset="rough"))
    path = tmp_path / "board.png"
    assert main(["storyboard", str(DEMO / "spigot_off_centre.toml"), "--story", "spigot", "-o", str(path)]) == 0
    assert path.read_bytes()[:4] == b"\x89PNG"
