"""The film "where is the fault?": what it says, that its lenses are true, that nothing moves twice at once."""

from contextlib import closing
from dataclasses import replace
from itertools import groupby

import numpy as np
import pytest
import standin
from PIL import Image

from scenes import palette
from scenes.film import fault_film, fault_story, film, photos, timing
from scenes.film.photos import Photo
from scenes.geometry import exaggeration
from scenes.stage import dial_face, lens, stage
from scenes.stage.lettering import Sheet
from scenes.words import corner
from sim.errors import Refused


@pytest.fixture(scope="module")
def told():
    return fault_story.tell(standin.run(8.0, 2.0, dirty=False), standin.run())


def moments(told):
    return timing.frames(lambda second: fault_story.moment(told, second), told.seconds)


def near(image, colour, reach=40):
    wanted = np.round(255 * np.array(palette.rgb(colour)))
    pixels = np.asarray(image.convert("RGB")).astype(int)
    return np.abs(pixels - wanted).max(axis=2) < reach


@pytest.mark.parametrize("unit", [1.0, 2.0])
@pytest.mark.parametrize("height", [100.0, 40.0])
def test_a_speck_is_as_high_as_the_one_scale_says(unit, height):
    run = standin.run(first_um=60.0)
    run.seat.contact.residual_height_um = (height,)
    picture = lens.joint(run, unit)
    rows = near(picture, "scale").sum(axis=0)
    found = np.median(rows[rows > 3])
    assert found == pytest.approx(0.4 * unit * height, abs=2.5)
    assert lens.pixels(100.0) == 40.0


def test_every_lens_holds_a_hair_of_one_size(monkeypatch):
    blank = lens.Lens()
    empty = np.asarray(blank.image.copy()).astype(int)
    blank.hair((0.0, 0.0))
    seen = np.abs(np.asarray(blank.image).astype(int) - empty).max(axis=2) > 20
    for axis in (0, 1):
        assert np.ptp(np.flatnonzero(seen.any(axis=axis))) / lens.GROWN == pytest.approx(28.0, abs=0.6)
    laid = []
    monkeypatch.setattr(lens.Lens, "hair", lambda self, place: laid.append(place))
    run = standin.run()
    for draw in (lambda: lens.joint(run), lambda: lens.joint(standin.run(dirty=False)), lambda: lens.rim(run, 10.0),
                 lambda: lens.pad_gap(run, 0.0)):  # fmt: skip
        before = len(laid)
        draw()
        assert len(laid) == before + 1


def face_row(picture):
    """Row of the rotor's face: the first below the stylus that is neither stylus nor paper, left of the slip."""
    column = np.asarray(picture.convert("RGB")).astype(int)[:, picture.width * 2 // 5]
    stylus = np.round(255 * np.array(palette.rgb(palette.mix("dial", "ink", 0.35))))
    return int(np.flatnonzero(np.abs(column - stylus).max(axis=1) < 30)[-1])


def test_rim_in_its_lens_moves_by_the_reading_and_up_is_outboard():
    run = standin.run()
    rows = [face_row(lens.rim(run, value)) for value in (-60.0, 0.0, 60.0)]
    assert rows[0] - rows[1] == pytest.approx(24, abs=1)
    assert rows[1] - rows[2] == pytest.approx(24, abs=1)


def test_pad_gap_in_its_lens_is_the_gap():
    run = standin.run(first_um=45.0, second_um=0.0, high_deg=0.0)
    low = exaggeration.low_spot_deg(run)
    picture = lens.pad_gap(run, low)
    column = near(picture, "paper", 45)[:, picture.width * 3 // 4]
    gap = exaggeration.pad_shift_um(run, low, True) - float(exaggeration.reading_um(run, low))
    assert column.sum() == pytest.approx(lens.pixels(gap), abs=1.6)


def test_swept_wedge_lies_between_the_readings():
    picture = dial_face.dial(400, None, (-50.0, 100.0), tir=False)
    blank = dial_face.dial(400, None)
    changed = np.abs(np.asarray(picture).astype(int) - np.asarray(blank).astype(int)).max(axis=2) > 40
    y, x = np.nonzero(changed)
    far = np.hypot(x - 200, y - 200) > 60
    angle = np.degrees(np.arctan2(x[far] - 200, 200 - y[far]))
    assert angle.min() == pytest.approx(dial_face.needle_deg(-50.0), abs=1.5)
    assert angle.max() == pytest.approx(dial_face.needle_deg(100.0), abs=1.5)


def test_words_are_few_and_carry_the_numbers_of_the_run(told):
    said = " ".join(step.caption for step in told.steps)
    assert "Dirt 100\u00a0µm high" in said
    assert "Limit 50\u00a0µm: now under it" in said
    assert all(len(step.caption.split(" ")) <= 6 for step in told.steps)
    assert 25.0 <= told.seconds <= 36.0
    over = fault_story.tell(standin.run(dirty=False), standin.run())
    assert "still over it" in over.steps[-1].caption


def test_the_cleaned_face_is_seen_before_the_rotor_goes_on(told):
    brushed = next(k for k, step in enumerate(told.steps) if step.brush is not None)
    bare = told.steps[brushed + 1]
    assert (bare.lift, bare.dirt, bare.brush) == ((1.0, 1.0), (0.0, 0.0), None)
    assert told.steps[brushed + 2].lift == (1.0, 0.0)


def test_no_words_are_ahead_of_the_dial(told):
    """While the wheel turns, neither title nor lens names a runout that the dial has not swept."""
    whole = {corner.swing(run) for run in (told.clean, told.dirty)}
    for now in moments(told):
        if now.step.swept:
            assert not any(figure in now.step.caption for figure in whole)
            run = told.clean if now.step.clean else told.dirty
            low, high = now.swept_um
            assert (
                f"{high - low:.0f}" == lens.said(run, "rim", now.swept_um).split("TIR ")[1].split("\u00a0")[0]
                or high - low < 9.95
            )


def test_the_lens_names_no_height_before_the_dirt_is_uncovered(told, monkeypatch):
    written = []
    monkeypatch.setattr(Sheet, "text", lambda sheet, text, *place, **look: written.append(text) or 0.0)
    monkeypatch.setattr(fault_film.lens, "lay", lambda *lens, **look: None)
    hair = next(k for k, step in enumerate(told.steps) if step.speck == (0.0, 0.0))
    end = sum(step.seconds for step in told.steps[: hair + 1])
    photo = Photo(np.zeros((4, 4, 3), np.uint8), {"joint": (0.0, 0.0)})
    for second in (end - 1e-6, end + told.steps[hair + 1].seconds - 1e-6):
        now = fault_story.moment(told, second)
        fault_film._lens(Sheet.blank((1920, 1080)), told, now, "joint", now.joint, photo)
    assert written[0] == "joint"
    assert "µm" in written[1]


def test_camera_moves_or_wheel_turns_never_both_and_little_stands_still(told):
    frames = moments(told)
    for first, second in zip(frames, frames[1:], strict=False):
        if first.step is second.step:
            assert first.pose.moved == second.pose.moved or first.pose.turn_deg == second.pose.turn_deg
    runs = [len(list(alike)) for _, alike in groupby(frames)]
    assert sum(length for length in runs if length > timing.FRAME_RATE / 4) <= 0.15 * len(frames)
    assert len({now.pose for now in frames}) <= 480


def test_poses_join_where_one_step_follows_another(told):
    for first, second in zip(told.steps, told.steps[1:], strict=False):
        assert first.views[1] == second.views[0]
        assert first.plug[1] == second.plug[0]
        assert first.lift[1] == second.lift[0]


def test_dial_shows_what_the_run_reads_and_sweeps_its_whole_runout(told):
    ends = np.cumsum([step.seconds for step in told.steps])
    for k, step in enumerate(told.steps):
        if step.swept:
            run = told.clean if step.clean else told.dirty
            now = fault_story.moment(told, float(ends[k]) - 1e-6)
            low, high = now.swept_um
            assert high - low == pytest.approx(run.seat.lateral_runout_um["outboard"], abs=0.2)
    for now in moments(told)[::37]:
        run = told.clean if now.step.clean else told.dirty
        wanted = exaggeration.reading_um(run, exaggeration.DIAL_DEG - now.pose.turn_deg)
        assert now.reading_um == pytest.approx(float(wanted), abs=1e-6)


def test_a_corner_without_dirt_is_refused_with_a_story_that_fits():
    with pytest.raises(Refused, match="debris"):
        fault_story.tell(standin.run(dirty=False), standin.run(dirty=False))


def test_high_spot_far_from_the_dirt_is_not_called_beside_it():
    told = fault_story.tell(standin.run(dirty=False), standin.run(high_deg=150.0))
    said = " ".join(step.caption for step in told.steps)
    assert "on the dirt's side" not in said
    assert "114° from the dirt" in said


def fake_photo(told):
    wide, high = fault_film.VIEW
    names = ("axis", "joint", "beyond", "high", "rim", *(str(k + 1) for k in range(5)))
    return fault_film.Photo(np.full((high, wide, 3), 128, np.uint8), dict.fromkeys(names, (600.0, 400.0)))


def test_every_step_is_composed_at_full_size(told):
    for second in timing.late(told.steps):
        image = fault_film.compose(told, fault_story.moment(told, second), fake_photo(told))
        assert image.shape == (1080, 1920, 3)


def test_captions_are_cues_that_follow_each_other(told):
    text = film.web_captions(fault_story.captions(told))
    assert text.startswith("WEBVTT\n\n00:00.000 --> 00:03.000\nThe needle moves. Why?\n")
    assert text.count("Look inside the hat.") == 1


@pytest.mark.gl
def test_short_draft_with_its_captions(told, tmp_path, monkeypatch):
    monkeypatch.setattr(photos, "_helpers", photos._none)  # helpers are tried in `test_film`
    short = replace(told, steps=tuple(replace(step, seconds=0.1) for step in told.steps))
    film.make(fault_film.reel(short, draft=True), tmp_path / "short.mp4", seconds=0.09)
    assert sorted(item.name for item in tmp_path.iterdir()) == ["short.mp4", "short.vtt"]


def luminance(pixels):
    share = pixels / 255.0
    linear = np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)
    return linear @ np.array([0.2126, 0.7152, 0.0722])


ROOM = 0.2
"""Light of the room on a projector's screen, as a share of its white."""


def contrasts(image, spots, room=0.0):
    """Contrast (WCAG 2.2, 1.4.11) of named places against the ground, on the light that a screen sends out."""
    light = luminance(image.astype(float)) + room
    reach = 3 if image.shape[0] > 400 else 1
    ground = np.median(light[:4, -4:])
    found = {}
    for name, (x, y) in spots.items():
        there = np.median(light[round(y) - reach : round(y) + reach + 1, round(x) - reach : round(x) + reach + 1])
        found[name] = (max(ground, there) + 0.05) / (min(ground, there) + 0.05)
    return found


@pytest.mark.gl
def test_what_matters_stands_off_the_ground_in_grey_at_half_size_and_in_a_lit_room(told):
    """3 : 1 for what must be recognised, in a room whose light adds a fifth of the screen's white too."""
    with closing(stage.build(told.dirty, fault_film.SETTING, (640, 500), 1.0)) as scene:
        scene.pose(1.0, 0.0)
        scene.fade(0.0)
        spots = {
            "dirt": scene.on_rotor_pixel(36.0, 64.0, 0.1),
            "rotor": scene.on_rotor_pixel(150.0, 128.0, -26.0),
            "hub": scene.on_rotor_pixel(36.0, 50.0, 0.0),
            "dial": np.array([520.0, 295.0]),  # its bezel, as it stands in the film's corner
        }
        image = scene.shoot()
    sheet = Sheet(Image.fromarray(image.copy()))
    sheet.tag("high spot", (90.0, 480.0), 24, palette.HIGH)
    sheet.paste(dial_face.dial(200, 40.0), (420, 290))
    image = sheet.array()
    box = np.argwhere(np.abs(image.astype(int) - np.round(255 * np.array(palette.rgb("high")))).max(axis=2) < 12)
    spots["highlight"] = box[len(box) // 2][::-1]
    half = np.asarray(Image.fromarray(image).resize((320, 250), Image.Resampling.LANCZOS))
    whole = contrasts(image, spots)
    assert min(whole.values()) >= 3.0, whole
    halved = contrasts(half, {name: np.asarray(at) / 2.0 for name, at in spots.items() if name != "highlight"})
    assert min(halved.values()) >= 2.5, halved
    lit = contrasts(image, spots, ROOM)
    assert min(lit.values()) >= 3.0, lit
    bright = luminance(image.astype(float))
    ground = np.median(bright[:4, -4:])
    drawn = np.abs(image.astype(float) - image[0, -1]).max(axis=2) > 12
    assert drawn.mean() > 0.2
    assert np.mean((ground + 0.05) / (bright[drawn] + 0.05) >= 3.0) > 0.85  # the rest: dial's printed face, cut, hub
    outline = (ground + ROOM + 0.05) / (luminance(255.0 * np.array(palette.rgb("ink"))) + ROOM + 0.05)
    assert outline >= 3.0


@pytest.mark.gl
def test_a_flat_face_is_lit_evenly(told):
    """The friction face is flat, so it has one brightness, but for its turning marks and contact shadows."""
    with closing(stage.build(told.dirty, fault_film.SETTING, (640, 500), 1.0)) as scene:
        scene.pose(exaggeration.factor(told.dirty), 0.0)
        image = scene.shoot().astype(float).mean(axis=2)
        spots = [scene.on_rotor_pixel(angle, 128.0, -26.0) for angle in range(20, 250, 10)]
    values = [image[int(y) - 2 : int(y) + 3, int(x) - 2 : int(x) + 3].mean() for x, y in spots]
    assert np.ptp(values) < 0.12 * np.mean(values)


@pytest.mark.gl
def test_storyboard_has_six_frames_of_one_stage(told, monkeypatch):
    monkeypatch.setitem(fault_film.FINER, "still", fault_film.FINER["draft"])
    image = film.storyboard(fault_film.reel(told))
    assert Image.fromarray(image).size == (3 * 960 + 4 * 24, 2 * 540 + 3 * 24)
