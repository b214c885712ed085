"""Plots: well-formed SVG that carries the run's figures in words, survives any title, and keeps no state."""

from __future__ import annotations

import re
import subprocess
import sys
import xml.etree.ElementTree as ET
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.ticker import AutoMinorLocator

from scenes.command import doing
from scenes.plots import board, hub_map, runout, wear
from scenes.words import words
from sim.parts.case import Studs
from sim.parts.thickness import Uneven
from tests import fakes

HOSTILE = "</svg><script>alert(1)</script> $\\frac{1}{$ & \"quoted\" 'n'"

PLOTS = {
    "trace": lambda run: runout.runout_trace(run.seat),
    "orders": lambda run: runout.harmonics_bars(run.seat),
    "face": lambda run: hub_map.hub_map(run.seat),
    "face alone": lambda run: hub_map.hub_map(run.seat, explained=False),
    "growth": wear.dtv_growth,
    "ring": wear.ring_map,
    "torque": wear.torque_orders,
    "both": lambda run: wear.dirty_against_clean(run, fakes.run(dirty=False)),
    "strip": lambda run: runout.limit_strip(91.0, 50.0, (80.0, 102.0), run.case.title),
}


def spoken(svg: str) -> str:
    """All text of a drawing, spaces made plain."""
    return " ".join(" ".join(ET.fromstring(svg).itertext()).replace("\u00a0", " ").split())


@pytest.mark.parametrize("name", PLOTS)
@pytest.mark.parametrize("dirty", [True, False], ids=["dirty", "clean"])
def test_every_plot_is_well_formed_and_small(name, dirty):
    svg = PLOTS[name](fakes.run(dirty=dirty))
    root = ET.fromstring(svg)
    assert root.tag.endswith("svg")
    assert root.get("aria-label")
    assert len(svg) < 150_000
    assert "http" not in re.sub(r'xmlns(:\w+)?="[^"]*"', "", svg)  # nothing loaded from elsewhere


@pytest.mark.parametrize("name", PLOTS)
def test_a_hostile_title_stays_text(name):
    svg = PLOTS[name](fakes.run(title=HOSTILE))
    root = ET.fromstring(svg)
    assert not [node for node in root.iter() if node.tag.endswith("script")]


def test_control_and_direction_characters_do_not_reach_the_drawing():
    svg = runout.limit_strip(91.0, 50.0, (80.0, 102.0), "left\u202etfel \x00 <b>")
    assert ET.fromstring(svg).get("aria-label", "").startswith("left tfel <b>")


def test_a_plot_is_the_same_each_time():
    run = fakes.run()
    assert runout.runout_trace(run.seat) == runout.runout_trace(run.seat)


def test_the_trace_says_its_swing_and_the_limit():
    run = fakes.run()
    text = spoken(runout.runout_trace(run.seat))
    assert words.micrometres(run.seat.lateral_runout_um["outboard"]).replace("\u00a0", " ") in text
    assert "outside the default limit, 50 µm" in text
    assert "outboard face (the dial's)" in text


def test_the_trace_follows_the_face_that_the_dial_reads():
    run = fakes.run()
    inboard = replace(run.case, gauge=replace(run.case.gauge, face="inboard"))
    text = spoken(runout.runout_trace(fakes.seat(of=inboard)))
    assert "inboard face (the dial's)" in text
    assert "outboard face (dotted)" in text


def test_the_high_spot_is_named_at_its_angle():
    run = fakes.run()
    top = int(np.argmax(run.seat.outboard_um))
    assert f"high spot {top}°" in spoken(runout.runout_trace(run.seat))


def test_orders_agree_with_the_trace():
    angle = np.radians(np.arange(360))
    seat = fakes.seat()
    seat.outboard_um = 30.0 * np.cos(angle - np.radians(40)) + 12.0 * np.cos(2 * (angle - np.radians(75)))
    text = spoken(runout.harmonics_bars(seat))
    assert "30 µm, high spot at 40°" in text
    assert "12 µm, high spot at 75°" in text


def test_studs_stand_where_the_rotor_sees_them():
    assert runout.stud_angles_on_rotor(Studs(count=5)) == pytest.approx([0, 72, 144, 216, 288])
    # Moved round by one pitch, hub stud 1 sits one pitch back in the rotor's frame: hub = rotor + turned * pitch.
    turned = runout.stud_angles_on_rotor(Studs(count=5, studs_turned=1))
    assert turned[0] == pytest.approx(288)
    for index, rotor_angle in enumerate(turned):
        assert hub_map.on_hub(float(rotor_angle), True, Studs(count=5, studs_turned=1)) == pytest.approx(72 * index)


def test_dirt_on_the_rotor_goes_round_with_it():
    studs = Studs(count=4, studs_turned=1)
    assert hub_map.on_hub(10.0, True, studs) == pytest.approx(100.0)
    assert hub_map.on_hub(10.0, False, studs) == pytest.approx(10.0)


def test_the_face_names_each_patch_with_its_load():
    text = spoken(hub_map.hub_map(fakes.run().seat))
    assert "A, on the hub, carries 41.2 kN" in text
    assert "100 µm high as it lay, 100 µm once tightened" in text  # never two heights apart, each without its word
    assert words.CLEAN_METAL.split(",")[0] in text


def test_the_pressure_scale_is_that_of_bare_metal():
    seat = fakes.run().seat
    assert hub_map.pressure_top(seat.cells) < 30.0 < seat.cells.pressure_mpa.max()


def test_the_late_decline_is_marked_as_model_only():
    assert words.MODEL_ONLY in spoken(wear.dtv_growth(fakes.run()))
    rising = fakes.run()
    rising.forecast.dtv_um = np.linspace(1.0, 14.0, rising.forecast.dtv_um.size)
    assert words.MODEL_ONLY not in spoken(wear.dtv_growth(rising))


def test_growth_says_when_the_limit_is_reached_or_stays_silent():
    reached = fakes.run()
    assert words.kilometres(reached.forecast.km_to_limit).replace("\u00a0", " ") in spoken(wear.dtv_growth(reached))
    assert "reached" not in spoken(wear.dtv_growth(fakes.run(dirty=False)))


def test_bands_of_the_drivers_carry_their_source():
    text = spoken(wear.dtv_growth(fakes.run()))
    for word in ("quiet", "doubtful", "felt", "no source"):
        assert word in text


def test_the_unrolled_ring_shows_only_distances_that_were_driven():
    run = fakes.run()
    text = spoken(wear.ring_map(run, at_km=(0.0, 10000.0, 90000.0)))
    assert "10 000 km" in text
    assert "90 000 km" not in text
    assert "stretched" in text


def test_a_limit_far_above_the_trace_is_still_drawn_and_named():
    assert "50 µm" in spoken(runout.runout_trace(fakes.run(dirty=False).seat))


@pytest.mark.parametrize("top", [7.0, 24.0, 91.0])
def test_short_marks_stand_where_the_library_s_own_would(top):
    """Drawn at once, because its own take half of the time of a drawing."""
    sheet = Figure()
    axes = board.panel(sheet, 14, 12, 60, 40)
    axes.set_ylim(-2.0, top)
    board.ruler(axes, "µm")
    (marks,) = (one for one in axes.artists if isinstance(one, board._ShortMarks))
    marks.draw(FigureCanvasAgg(sheet).get_renderer())
    drawn = marks._marks.get_ydata()
    axes.yaxis.set_minor_locator(AutoMinorLocator(5))
    wanted = [place for place in axes.yaxis.get_minorticklocs() if -2.0 <= place <= top]
    assert len(wanted) > 15
    assert drawn == pytest.approx(wanted)


def test_drawing_leaves_no_pyplot_state():
    code = (
        "import sys; sys.path.insert(0, '.')\n"
        "from tests import fakes; from scenes.plots import runout\n"
        "runout.runout_trace(fakes.seat())\n"
        "print('matplotlib.pyplot' in sys.modules)"
    )
    answer = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert answer.stdout.strip() == "False"


def test_a_rotor_read_over_its_limit_reaches_it_nowhere_and_all_of_its_fall_is_the_model_s():
    run = fakes.run()
    run.forecast.dtv_um = np.linspace(31.0, 5.0, run.forecast.distance_km.size)
    run.forecast.dtv_low_um, run.forecast.dtv_high_um = 0.5 * run.forecast.dtv_um, 1.1 * run.forecast.dtv_um
    run.forecast.worn_varies = Uneven(31.0, 11.0, 15.0, between_um=4.0, places=12)
    said = spoken(wear.dtv_growth(run))
    assert "reached after" not in said
    assert f"decline: {words.MODEL_ONLY}" in said
    assert "measured 24 to 42 µm, read as 31 µm (k = 2)" in said


def test_what_was_read_on_the_car_is_not_drawn_as_the_seating_of_its_case(tmp_path, monkeypatch):
    drawn = []
    monkeypatch.setattr(doing, "draw", lambda run, kind: drawn.append(kind) or "")
    monkeypatch.setattr("sim.run_folder.save", lambda run, folder: None)
    run = fakes.run()
    for reading, kinds in ((None, doing.PLOTS), (SimpleNamespace(), doing.PLOTS[3:])):
        drawn.clear()
        run.reading = reading
        doing.write_run(run, tmp_path)
        assert tuple(drawn) == kinds
