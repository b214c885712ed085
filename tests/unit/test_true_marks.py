"""Marks in pictures against the run: arrows by direction and length, sums, one scale for what is compared."""

from dataclasses import replace

import numpy as np
import pytest
import standin
from matplotlib.figure import Figure
from matplotlib.patches import Circle, Rectangle
from matplotlib.text import Annotation

from scenes.film import charts
from scenes.geometry import exaggeration, shapes
from scenes.plots import bore_view, section
from scenes.stage import stills
from scenes.words import corner, words
from sim.parts.case import SpigotScale

RUNS = {
    "lean and bend": standin.run(),
    "hardly anything": standin.run(first_um=9.0, second_um=3.0, dirty=False),
    "mostly bend": standin.run(first_um=5.0, second_um=40.0, high_deg=140.0),
}


def number(text):
    return float(text.replace(words.MINUS, "-").replace("\u00a0", " ").split()[0])


def arrows(axes):
    """Foot, tip and label of every arrow on a dial's line."""
    found = [one for one in axes.texts if isinstance(one, Annotation) and one.arrow_patch and not one.get_text()]
    labels = [one for one in axes.texts if one.get_text().startswith("dial ") and "zero" not in one.get_text()]
    for label in labels:
        x = label.get_position()[0]
        near = [one for one in found if one.xy[0] * x > 0.0]
        yield label.get_text(), [(np.array(one.xyann), np.array(one.xy)) for one in near]


@pytest.mark.parametrize("name", RUNS)
def test_arrow_of_the_section_points_along_the_axle_and_is_as_long_as_its_figure(name):
    run = RUNS[name]
    factor = exaggeration.factor(run)
    axes = section.section(run, 800).axes[0]
    said = list(arrows(axes))
    assert len(said) == 2
    feet = []
    for text, drawn in said:
        value = number(text.removeprefix("dial "))
        for foot, tip in drawn:
            assert tip[0] == foot[0]
            assert np.sign(tip[1] - foot[1]) == np.sign(value)
            assert tip[1] - foot[1] == pytest.approx(factor * 1e-3 * value, abs=factor * 0.5e-3 + 1e-9)
            feet.append(foot[1])
    assert np.ptp(feet) < 0.03 * factor * 1e-3 * exaggeration.swing_um(run)


@pytest.mark.parametrize("name", RUNS)
def test_tip_of_the_arrow_lies_on_the_face_as_drawn(name):
    run = RUNS[name]
    highest = corner.highest(run.case)
    angle = exaggeration.debris_angle_deg(run, highest) if highest else exaggeration.high_spot_deg(run)
    factor, level = exaggeration.factor(run), shapes.levels(run.case)
    for side, at in ((1.0, angle), (-1.0, angle + 180.0)):
        turned = np.radians(at)
        point = level.gauge_radius_mm * np.array([[np.cos(turned), np.sin(turned), 0.0]])
        point[:, 2] = level.outboard_face_mm
        face = level.outboard_face_mm + factor * exaggeration.rotor_motion(run, point)[0, 2]
        zero = section.dial_zero(run, at, side, factor)[1]
        assert zero + factor * 1e-3 * exaggeration.reading_um(run, at) == pytest.approx(face)


@pytest.mark.parametrize(("first", "second"), [(63.52, 46.61), (30.0, 49.6), (0.31, 0.27), (12.5, -3.5), (7.0, 2.96)])
def test_printed_parts_add_up_to_the_printed_sum(first, second):
    a, b, whole = (number(text) for text in words.sum_of(first, second))
    assert a + b == pytest.approx(whole, abs=1e-9)
    step = 1.0 if abs(first + second) >= 9.95 else 0.1
    assert (abs(a - first), abs(b - second), abs(whole - first - second)) <= (0.51 * step, 1.01 * step, 0.51 * step)


@pytest.mark.parametrize("name", RUNS)
def test_runout_is_said_as_what_it_is_made_of(name):
    run = RUNS[name]
    whole, parts = corner.swing_sum(run).split("µm = ")
    out, back = parts.split(" out + ")
    assert number(whole) == number(out) + number(back)
    assert number(whole) == pytest.approx(run.seat.lateral_runout_um["outboard"], abs=0.5)
    assert number(out) == pytest.approx(max(run.seat.outboard_um), abs=0.5)


@pytest.mark.parametrize("name", RUNS)
@pytest.mark.parametrize("outboard", [True, False])
def test_gap_beside_a_pad_is_pad_and_rotor_together(name, outboard):
    run = RUNS[name]
    for spot, moved in ((exaggeration.high_spot_deg(run), max(run.seat.outboard_um)),
                        (exaggeration.low_spot_deg(run), min(run.seat.outboard_um))):  # fmt: skip
        text, made_of = stills.gap_words(run, spot, outboard, float(round(moved)))
        gap = sum(exaggeration.gap_parts_um(run, spot, outboard))
        side = 1.0 if outboard else -1.0
        wanted = side * (exaggeration.pad_shift_um(run, spot, outboard) - moved)
        assert gap == pytest.approx(wanted, abs=0.2)
        if text == "touches":
            assert gap < stills.TOUCHING_UM
            continue
        pad, sign, rotor = made_of.removeprefix("pad ").replace("rotor ", "").split(" ")
        assert number(text) == number(pad) + (1.0 if sign == "+" else -1.0) * number(rotor)
        assert number(text) == pytest.approx(gap, abs=1.6)


def test_high_and_low_spot_are_where_one_pad_or_the_other_is_nearest():
    run = RUNS["lean and bend"]
    assert sum(exaggeration.gap_parts_um(run, exaggeration.high_spot_deg(run), True)) == pytest.approx(0.0, abs=1e-6)
    assert exaggeration.reading_um(run, exaggeration.low_spot_deg(run)) == min(run.seat.outboard_um)


def test_clean_and_dirty_are_drawn_to_one_scale():
    dirty, clean = RUNS["lean and bend"], RUNS["hardly anything"]
    assert exaggeration.factor(clean) == exaggeration.factor(dirty) == exaggeration.factor(clean, dirty)
    tops = {section.ruler(run, (800, 450)).axes[0].get_ylim() for run in (clean, dirty)}
    assert len(tops) == 1


def brackets(figure_axes):
    return {line.get_gid(): line.get_ydata() for line in figure_axes.lines if line.get_gid()}


@pytest.mark.parametrize("name", RUNS)
def test_limit_is_a_bracket_of_its_own_height_on_the_foot_of_the_runout(name, monkeypatch):
    run = RUNS[name]
    kept = []
    real = charts._layers
    monkeypatch.setattr(charts, "_layers", lambda figure, axes, *rest: (kept.append(brackets(axes)),
                                                                          real(figure, axes, *rest))[1])  # fmt: skip
    charts.trace(run, (600, 240), 80.0, 100.0, {"color": "#C8481B", "linewidth": 3.0})
    limit, tir = kept[0]["limit"], kept[0]["TIR"]
    assert np.ptp(limit) == pytest.approx(run.case.limits.mounted_runout_um)
    assert np.ptp(tir) == pytest.approx(run.seat.lateral_runout_um["outboard"], rel=1e-3)
    assert min(limit) == min(tir)


def test_rotor_and_pad_on_the_ruler_go_on_beyond_it_and_all_heights_are_true():
    run = RUNS["lean and bend"]
    axes = section.ruler(run, (800, 450)).axes[0]
    low, high = axes.get_ylim()
    boxes = {one.get_gid(): one for one in axes.patches if isinstance(one, Rectangle) and one.get_gid()}
    pad = boxes["pad"]
    assert pad.get_y() == run.case.caliper.clearance_um
    assert pad.get_y() + pad.get_height() > high
    assert boxes["part"].get_y() < low
    assert [2 * one.get_radius() for one in axes.patches if isinstance(one, Circle)][0] == corner.HAIR_UM


def test_arrow_beside_a_rotor_that_leans_points_the_way_of_its_figure():
    """Scale on the spigot: lifted by 3 mm and leaning, the high side is an arrow up, the low side an arrow down."""
    case = replace(standin.run(dirty=False).case, spigot_scale=(SpigotScale(angle_deg=180.0, height_um=115.0),))
    of = bore_view.cut(case)
    for toward_deg in (180.0, 0.0):
        figure = Figure()
        axes = bore_view.whole_axes(figure, (0.0, 0.0, 1.0, 1.0), case)
        trace = 1000.0 * np.cos(np.radians(np.arange(360.0) - toward_deg))
        tips = np.array([[0.2, 3.0 + 1e-3 * trace[180]], [0.2, 3.0 + 1e-3 * trace[0]]])
        still = bore_view.Moved(tuple(0.0 * piece.flat for piece in of.pieces), (), tips, trace)
        bore_view.name_whole(axes, of, still, 2.0, 10.0)
        feet = []
        for text, drawn in arrows(axes):
            (foot, tip), value = drawn[0], number(text.removeprefix("dial "))
            assert tip[0] == foot[0]
            assert tip[1] - foot[1] == pytest.approx(2.0 * value)
            feet.append(foot[1])
        assert len(feet) == 2
        assert np.ptp(feet) < 1e-9


def test_title_of_the_section_says_what_the_dirt_is_crushed_to():
    run = standin.run()
    run.seat.contact.residual_height_um = (61.0,)
    figure = section.section(run, 800)
    assert any("stands on 61\u00a0µm" in text.get_text() for text in figure.texts)
    assert any(text.get_text() == "61\u00a0µm high" for text in figure.axes[0].texts)
