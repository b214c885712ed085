"""The stage and the stills: what is on them, where it stands, which numbers are written. Needs OpenGL."""

import subprocess
import sys
from contextlib import closing
from dataclasses import replace
from types import SimpleNamespace
from unittest.mock import Mock

import numpy as np
import pytest
import standin
from PIL import Image

from scenes import gl, palette
from scenes.geometry import exaggeration, shapes
from scenes.plots import section
from scenes.stage import dial_face, hub_face, stage, stills
from scenes.stage.lettering import Sheet, font
from scenes.words import corner
from sim.errors import BadInput, Missing
from sim.parts.case import Debris

SMALL = (320, 240)


@pytest.fixture(scope="module")
def scene():
    gl.need_gl()
    with closing(stage.build(standin.run(), stage.Setting(view="wide"), SMALL, 1.0)) as built:
        yield built


@pytest.mark.gl
def test_picture_is_not_blank_and_shows_the_named_colours(scene):
    scene.pose(exaggeration.factor(scene.run), 0.0)
    image = scene.shoot()
    assert image.shape == (240, 320, 3)
    ground = np.round(255 * np.array(palette.rgb("paper")))
    drawn = np.abs(image.astype(int) - ground).max(axis=2) > 12
    assert 0.25 < drawn.mean() < 0.75
    assert not drawn[:4].any()
    assert not drawn[-4:].any()


@pytest.mark.gl
def test_dirt_is_seen_where_it_lies_and_only_when_there(scene):
    scene.pose(exaggeration.factor(scene.run), 0.0)
    image = scene.shoot()
    x, y = np.round(scene.debris_pixel()).astype(int)
    red, green, blue = image[y - 3 : y + 4, x - 3 : x + 4].reshape(-1, 3).T.astype(int)
    assert np.mean((red > green + 60) & (green + 60 > blue)) > 0.5  # the rest are the flecks of its pattern
    clean = standin.run(dirty=False)
    with closing(stage.build(clean, stage.Setting(view="wide"), SMALL, 1.0)) as bare:
        bare.pose(100.0, 0.0)
        colours = bare.shoot().reshape(-1, 3).astype(int)
        assert bare.debris_pixel() is None
    assert not ((colours[:, 0] > 150) & (colours[:, 0] > colours[:, 1] + 90)).any()


@pytest.mark.gl
def test_closed_bodies_are_drawn_from_outside_alone_and_nothing_is_missing(scene):
    scene.pose(exaggeration.factor(scene.run), 0.0)
    closed = [body.actor for body in scene.bodies if body.actor.prop.culling == "back"]
    assert len(closed) >= 3  # hat, ring and hub: nearly all that is drawn
    image = scene.shoot().astype(int)
    for actor in closed:
        actor.prop.culling = "none"
    whole = scene.shoot().astype(int)
    for actor in closed:
        actor.prop.culling = "back"
    assert np.abs(image - whole).max() <= 24  # single pixels of an edge; a missing face would be 100 and more


@pytest.mark.gl
def test_displaced_rim_swings_by_factor_times_the_true_runout(scene):
    factor = 100.0
    scene.pose(factor, 0.0)
    level = 0.5 * sum((-26.0, -38.0))
    ring = next(body for body in scene.bodies if body.rest_mm[:, 2].max() < -25.0 and len(body.rest_mm) > 5000)
    on_gauge = (np.abs(np.hypot(*ring.rest_mm[:, :2].T) - 140.0) < 4.0) & (ring.rest_mm[:, 2] > level)
    height = ring.mesh.points[on_gauge, 2]
    assert np.ptp(height) == pytest.approx(factor * 1e-3 * exaggeration.swing_um(scene.run), rel=0.05)
    scene.pose(1.0, 0.0)
    assert np.ptp(ring.mesh.points[on_gauge, 2]) < 0.12


@pytest.mark.gl
def test_turning_turns_studs_but_not_the_dial(scene):
    scene.pose(1.0, 0.0)
    before, hand = scene.stud_pixels(), scene.dial_pixel()
    scene.pose(1.0, 72.0)
    after = scene.stud_pixels()
    assert np.allclose(after[:4], before[1:], atol=0.6)
    assert np.allclose(scene.dial_pixel(), hand)


@pytest.mark.gl
def test_turning_moves_the_reading_along_the_trace(scene):
    trace = scene.run.seat.outboard_um
    for turn in (0.0, 60.0, 200.0):
        scene.pose(50.0, turn)
        assert scene.reading_um() == pytest.approx(trace[round(scene.setting.dial_deg - turn) % 360])


@pytest.mark.gl
def test_stud_one_is_upward_and_numbers_run_counter_clockwise(scene):
    scene.look_from("hub")
    scene.pose(1.0, 0.0)
    middle = scene.project(np.array([[0.0, 0.0, 10.0]]))[0]
    away = scene.stud_pixels() - middle
    assert abs(away[0, 0]) < 2.0
    assert away[0, 1] < -20.0
    assert away[1, 0] < -20.0
    scene.look_from("wide")


@pytest.mark.gl
def test_the_dial_is_held_from_behind_the_rotor_and_by_nothing_that_hangs_in_the_air(scene):
    back = shapes.levels(scene.run.case).inboard_face_mm
    boxes = [actor.bounds for actor in scene.gauge.actors]
    to_the_knuckle = [box for box in boxes if box[5] < back and box[0] < 7.0 and box[3] > -7.0]
    assert len(to_the_knuckle) == 1  # it ends on the axle, hidden by the rotor
    assert min(box[0] for box in boxes) > -0.5 * scene.run.case.rotor.outer_diameter_mm  # nothing stands below it


@pytest.mark.gl
@pytest.mark.parametrize("style", ["solid", "vented"])
def test_every_style_is_drawn_with_bodies_at_rest_where_the_parts_are(style):
    run = standin.run(style=style)
    with closing(stage.build(run, stage.Setting(), (96, 72), 1.0)) as built:
        rest = np.vstack([body.rest_mm for body in built.bodies])
        assert np.hypot(*rest[:, :2].T).max() == pytest.approx(run.case.rotor.outer_diameter_mm / 2, abs=1.0)
        assert built.shoot().std() > 5.0


def test_the_brush_goes_over_every_patch_that_stands_up():
    run = standin.run()
    patches = (Debris(angle_deg=36.0, arc_deg=20.0), Debris(angle_deg=350.0, arc_deg=10.0, height_um=20.0),
               Debris(angle_deg=180.0, height_um=-40.0))  # fmt: skip
    run.case = replace(run.case, debris=patches)
    low, high = stage.brushed_deg(run)
    assert (low, high) == pytest.approx((-14.5, 45.0))
    run.case = replace(run.case, debris=patches[:1])
    assert stage.brushed_deg(run) == pytest.approx((27.0, 45.0))


def test_every_dial_is_the_workshop_dial():
    assert dial_face.FULL_TURN_UM == 1000.0
    assert dial_face.needle_deg(10.0) == pytest.approx(3.6)
    assert dial_face.needle_deg(22.0) == pytest.approx(2.2 * dial_face.needle_deg(10.0))
    assert dial_face.needle_deg(-25.0) == pytest.approx(-9.0)


def test_gap_between_pad_and_rotor_closes_at_the_high_spot():
    run = standin.run(first_um=45.0, second_um=0.0, high_deg=30.0)
    assert stills.gap_um(run, 30.0, outboard=True) == pytest.approx(0.0, abs=1e-9)
    assert stills.gap_um(run, 210.0, outboard=True) == pytest.approx(30.0 + 45.0 * np.cos(np.radians(27.5)), abs=0.5)


def test_what_a_division_is_stands_clear_of_the_dial(monkeypatch):
    """It overprinted the rim."""
    sheet, pasted, boxes = Sheet.blank((1600, 1200)), [], []
    monkeypatch.setattr(dial_face, "dial", lambda side, *_: Image.new("RGBA", (side, side)))
    monkeypatch.setattr(
        stills, "lens", SimpleNamespace(joint=Mock(), rim=Mock(), lay=Mock(), said=lambda *_: "", hair_said=tuple)
    )
    monkeypatch.setattr(sheet, "paste", lambda picture, place: pasted.append((picture.size[0], place)))

    def text(words, place, size, **how):
        if words in dial_face.DIVISION_SAID:
            boxes.append(sheet.draw.textbbox(place, words, font=font(size), anchor=how["anchor"]))

    monkeypatch.setattr(sheet, "text", text)
    stills._beside(sheet, standin.run(), {"rim": (0.0, 0.0), "joint": (0.0, 0.0)}, 0.0)
    ((side, (left, top)),) = pasted
    assert len(boxes) == 2
    for x0, _, x1, y1 in boxes:
        assert x1 <= 1600
        across, down = max(x0 - (left + side / 2), 0.0), max((top + side / 2) - y1, 0.0)
        assert np.hypot(across, down) > 0.5 * side + 4.0


def test_pressure_mesh_keeps_place_and_size_of_the_load():
    run = standin.run()
    face = hub_face.pressure_mesh(run)
    angle = np.degrees(np.arctan2(face.points[:, 1], face.points[:, 0])) % 72.0
    under = face["pressure_mpa"][(angle < 4.0) | (angle > 68.0)]
    between = face["pressure_mpa"][np.abs(angle - 36.0) < 4.0]
    assert under.mean() == pytest.approx(20.0, rel=0.1)
    assert between.max() < 1.0


@pytest.mark.gl
@pytest.mark.parametrize("angle_deg", [36.0, 110.0, 200.0, 300.0])
def test_the_corner_stands_with_stud_one_up_and_its_dirt_in_sight_wherever_it_lies(monkeypatch, angle_deg):
    monkeypatch.setattr(stills, "FINER", 1.0)
    run = standin.run()
    case = replace(run.case, debris=(replace(run.case.debris[0], angle_deg=angle_deg),))
    run = SimpleNamespace(**(vars(run) | {"case": case}))
    seen = []
    monkeypatch.setattr(Sheet, "stud_numbers", lambda sheet, pixels, size: seen.append(pixels))
    monkeypatch.setattr(Sheet, "tag", lambda *_: None)  # labels are red too
    rotor_only = stills.corner(run, (1200, 900))[:, :740]  # the lenses on the right are red too
    colours = rotor_only.reshape(-1, 3).astype(int)
    height = seen[0][:, 1]
    assert height[0] == height.min()
    red = (colours[:, 0] > 150) & (colours[:, 0] > colours[:, 1] + 90)
    assert red.sum() > 60  # of about 300: at true size, partly under the flange where it lies low


@pytest.mark.gl
def test_stills_are_written_whole_and_unknown_ones_refused(tmp_path, monkeypatch):
    monkeypatch.setattr(stills, "FINER", 1.0)
    run = standin.run()
    for kind in stills.KINDS:
        path = stills.picture(run, kind, tmp_path / f"{kind}.png", (400, 300))
        with Image.open(path) as picture:
            assert picture.width == 400
            assert np.asarray(picture.convert("L")).std() > 8.0
    assert {path.suffix for path in tmp_path.iterdir()} == {".png"}
    with pytest.raises(BadInput, match="between the pads"):
        stills.picture(run, "from above", tmp_path / "a.png")
    with pytest.raises(BadInput, match=r"\.png"):
        stills.picture(run, "corner", tmp_path / "a.jpg")


def texts(figure):
    return " ".join(item.get_text() for item in [*figure.texts, *(text for axes in figure.axes for text in axes.texts)])


def test_section_says_the_factor_and_the_true_figures():
    run = standin.run()
    said = texts(section.section(run, 800))
    assert exaggeration.times(exaggeration.factor(run)) in said
    assert "100\u00a0µm high" in said
    assert f"{run.seat.lateral_runout_um['outboard']:.0f}\u00a0µm" in said
    assert "flat and true" in said
    assert "Nothing left" in texts(section.section(standin.run(dirty=False), 800))


def test_ruler_draws_heights_to_one_scale():
    run = standin.run()
    figure = section.ruler(run, (800, 450))
    axes = figure.axes[0]
    heights = sorted(round(patch.get_height(), 3) for patch in axes.patches if hasattr(patch, "get_height"))
    assert 100.0 in heights
    assert 10.0 in heights
    assert 2 * corner.HAIR_UM in heights or corner.HAIR_UM in [
        2 * patch.get_radius() for patch in axes.patches if hasattr(patch, "get_radius")
    ]
    box, view = axes.get_window_extent(), axes.viewLim
    assert box.width / view.width == pytest.approx(box.height / view.height, rel=1e-6)
    said = texts(figure)
    assert "from memory" in said
    assert "judgement" in said


def test_a_machine_without_gl_is_told_what_brings_it(monkeypatch):
    gl.window_class.cache_clear()
    monkeypatch.setattr(gl, "PROBE", "import os, signal; os.kill(os.getpid(), signal.SIGSEGV)")
    try:
        with pytest.raises(Missing, match="apt-get install libegl1 libgl1-mesa-dri") as caught:
            gl.need_gl()
        assert caught.value.exit_code == 4
        assert "\n" not in str(caught.value)
    finally:
        gl.window_class.cache_clear()


def test_a_machine_without_encoder_is_told_what_brings_it(monkeypatch):
    monkeypatch.setitem(sys.modules, "imageio_ffmpeg", None)
    with pytest.raises(Missing, match="imageio-ffmpeg"):
        gl.encoder()


def test_probe_leaves_this_process_without_a_renderer():
    """Asking must not load the renderer here, else a later spawn is not safe and help is slow."""
    code = (
        "import sys; from scenes import gl; gl.window_class(); print([m for m in sys.modules if m.startswith('vtk')])"
    )
    answer = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert answer.stdout.strip() == "[]"
