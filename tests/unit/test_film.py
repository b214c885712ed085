"""Films: written whole or not at all, of the right length and size, every frame with its words. Needs OpenGL."""

import subprocess
from contextlib import nullcontext
from dataclasses import replace

import numpy as np
import pytest
import standin
from PIL import Image

from scenes import gl
from scenes.film import charts, film, frames, gif_file, photos, stage_film, stories
from scenes.stage.lettering import Sheet, fitting, wrapped
from sim.errors import BadInput


@pytest.fixture(scope="module", autouse=True)
def _one_photographer():
    """Films of a few frames, as coarse as drafts: a second process would only load what draws a second time."""
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(photos, "MOST_HELPERS", 1)
        patched.setattr(stage_film, "FINER", stage_film.DRAFT_FINER)
        yield


@pytest.fixture(scope="module")
def story():
    told = stories.clean_against_dirty(standin.run(8.0, 2.0, dirty=False, growth_um=4.0), standin.run())
    return replace(told, steps=tuple(replace(step, seconds=0.1) for step in told.steps))


#: A film that draws nothing: how one is written and left is asked of any.
BLANK = film.Reel(
    0.2,
    lambda second: second,
    (),
    lambda moments, small: nullcontext(lambda now: np.zeros((1080, 1920, 3), np.uint8)),
    nullcontext,
    False,
)


@pytest.mark.gl
def test_short_film_has_size_rate_and_length(story, tmp_path):
    told = []
    path = film.make(
        stage_film.reel(story), tmp_path / "short.mp4", progress=lambda share, words: told.append(share), seconds=0.125
    )
    assert [item.name for item in tmp_path.iterdir()] == ["short.mp4"]
    answer = subprocess.run([gl.encoder(), "-i", str(path)], capture_output=True, text=True, check=False).stderr
    assert "1920x1080" in answer
    assert "h264" in answer
    assert "yuv420p" in answer
    assert "24 fps" in answer
    assert told == sorted(told)
    assert told[-1] == 1.0
    assert len(told) == 3


@pytest.mark.gl
def test_short_gif(story, tmp_path, monkeypatch):
    monkeypatch.setattr(photos, "_helpers", photos._none)  # films with a helper are made beside this one
    path = film.make(stage_film.reel(story), tmp_path / "short.gif", seconds=0.1)
    with Image.open(path) as picture:
        assert picture.size == gif_file.SIZE
        assert np.asarray(picture.convert("L")).std() > 10.0


def test_interrupted_film_leaves_nothing_but_the_older_one(tmp_path):
    older = tmp_path / "film.mp4"
    older.write_bytes(b"older")

    def stop(share, words):
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        film.make(BLANK, older, progress=stop)
    assert older.read_bytes() == b"older"
    assert len(list(tmp_path.iterdir())) == 1


def test_wrong_ending_and_unwritable_folder_are_refused(story, tmp_path):
    with pytest.raises(BadInput, match=r"\.mp4 or \.gif"):
        film.make(stage_film.reel(story), tmp_path / "film.avi")
    with pytest.raises(BadInput, match="cannot be written"):
        film.make(stage_film.reel(story), tmp_path / "nowhere" / "film.mp4")


def fake_photo(story):
    wide, high = frames.view_size(story)
    return frames.Drawn(np.full((high, wide, 3), 128, np.uint8), np.zeros((5, 2)), 12.0, np.zeros(2))


def test_frame_is_composed_at_full_size_for_every_step(story):
    plan = frames.layout(story)
    photos = [fake_photo(story), fake_photo(story)]
    seen = []
    for index in range(len(story.steps)):
        image = frames.compose(plan, stories.moment(story, 0.1 * index + 0.05), photos)
        assert image.shape == (1080, 1920, 3)
        seen.append(image[:160].astype(int))
    for first, second in zip(seen, seen[1:], strict=False):
        assert np.abs(first - second).max() > 100


def test_every_frame_prints_the_exaggeration(story, monkeypatch):
    written = []
    real = Sheet.slip
    monkeypatch.setattr(Sheet, "slip", lambda self, words, *rest: (written.append(words), real(self, words, *rest))[1])
    plan = frames.layout(story)
    now = stories.moment(story, 0.35)
    frames.compose(plan, now, [fake_photo(story), fake_photo(story)])
    assert written.count(frames.exaggeration(now.factor)) == 2
    assert frames.exaggeration(1.0) == "motion true to scale"


def test_trace_uncovers_from_the_left_in_true_scale():
    run = standin.run(first_um=40.0, second_um=0.0)
    chart = charts.trace(run, (600, 240), 60.0, 100.0, {"color": "#C8481B", "linewidth": 3.0})
    height, colour = chart.dots[0]
    assert colour == "#C8481B"
    readings = charts.turn_readings(run, 100.0, chart.share)
    slope = np.polyfit(readings, height, 1)
    assert np.allclose(np.polyval(slope, readings), height, atol=0.01)
    assert slope[0] < 0
    sheet, whole = Sheet.blank((600, 240)), Sheet.blank((600, 240))
    chart.show(sheet, (0, 0), 0.5)
    chart.show(whole, (0, 0), 1.0)
    changed = np.abs(sheet.array().astype(int) - whole.array().astype(int)).max(axis=(0, 2)) > 40
    left, right = chart.x_px
    assert not changed[: int(0.5 * (left + right)) - 12].any()
    assert changed[int(0.5 * (left + right)) :].any()


def test_growth_reaches_the_values_of_the_forecast():
    run = standin.run(growth_um=30.0)
    chart = charts.growth([("dirty", run, {"color": "#C8481B"})], (900, 300))
    height = chart.dots[0][0]
    share = (height[0] - height) / (height[0] - height[-1])
    wanted = np.interp(chart.share * 30000.0, run.forecast.distance_km, run.forecast.dtv_um) / run.forecast.dtv_um[-1]
    assert np.allclose(share, wanted, atol=1e-6)


def test_lettering_breaks_and_shrinks_to_fit():
    rows = wrapped("the rim swings and the dial reads it", 40, 300.0)
    assert " ".join(rows) == "the rim swings and the dial reads it"
    assert len(rows) > 1
    assert fitting("short", 40, 900.0) == 40
    assert fitting("a line far too long for its place on the sheet", 40, 500.0) < 40


def test_run_sent_to_helpers_is_light_and_whole():
    import pickle

    sent = pickle.loads(pickle.dumps(photos.portable(standin.run())))
    assert sent.seat.rotor_deformation().at(np.array([[140.0, 0.0, -26.0]])).shape == (1, 3)
    assert sent.case.debris[0].height_um == 100.0


class Poses:
    """A shoot that is only named."""

    def __init__(self, name):
        self.name = name


def test_photographs_stay_when_a_film_is_interrupted_and_go_when_it_is_whole(tmp_path, monkeypatch):
    monkeypatch.setenv("TRUESEAT_CACHE", str(tmp_path))

    def interrupted():
        with photos.working_folder(Poses("one"), 1.0) as folder:
            (folder / "photo.jpg").write_bytes(b"taken")
            with photos.working_folder(Poses("one"), 1.0) as beside:  # another film of the same at the same time
                assert beside != folder
                assert not (beside / "photo.jpg").exists()
            seen.append(folder)
            raise KeyboardInterrupt

    seen = []
    with pytest.raises(KeyboardInterrupt):
        interrupted()
    first = seen[0]
    with photos.working_folder(Poses("two"), 1.0) as other, photos.working_folder(Poses("one"), 0.5) as smaller:
        assert len({first, other, smaller}) == 3
    with photos.working_folder(Poses("one"), 1.0) as again:
        assert (again / "photo.jpg").read_bytes() == b"taken"
    assert not first.exists()


def test_a_pose_that_was_photographed_is_not_asked_for_again(tmp_path):
    class Helpers:
        asked = 0

        def submit(self, *_):
            self.asked += 1

    helpers = Helpers()
    picture, _ = photos._begun(("pose", 4.0), tmp_path, helpers)
    assert helpers.asked == 1
    Image.new("RGB", (8, 6), "#C8481B").save(picture, quality=95)
    photos._begun(("pose", 4.0), tmp_path, helpers)
    assert helpers.asked == 2  # its places were not written: it is not whole
    picture.with_suffix(".json").write_text('{"rim": [3.0, 4.5]}')
    photo = photos._developed(*photos._begun(("pose", 4.0), tmp_path, helpers))
    assert helpers.asked == 2
    assert photo.at == {"rim": (3.0, 4.5)}
    assert photo.picture.shape == (6, 8, 3)


def test_what_stands_still_costs_a_gif_nothing_and_what_moves_is_seen(tmp_path, monkeypatch):
    monkeypatch.setattr(gif_file, "SIZE", (360, 240))  # noise of the full size takes seconds to quantise
    chance = np.random.default_rng(1)
    ground = chance.integers(60, 190, (240, 360, 3)).astype(np.uint8)
    flicker = [np.clip(ground + chance.integers(-5, 6, ground.shape), 0, 255).astype(np.uint8) for _ in range(4)]
    gif_file.write(tmp_path / "one.gif", flicker[:1])
    gif_file.write(tmp_path / "still.gif", flicker)
    assert (tmp_path / "still.gif").stat().st_size < 1.1 * (tmp_path / "one.gif").stat().st_size
    moved = [ground.copy() for _ in range(3)]
    for index, image in enumerate(moved):
        image[100:200, 100 + 50 * index : 150 + 50 * index] = (200, 72, 27)
    gif_file.write(tmp_path / "moved.gif", moved)
    with Image.open(tmp_path / "moved.gif") as picture:
        assert picture.n_frames == 3
        picture.seek(2)
        seen = np.asarray(picture.convert("RGB")).astype(int)
    assert np.abs(seen[150, 225] - (200, 72, 27)).max() < 8
    assert np.abs(seen[150, 125] - (200, 72, 27)).max() > 40


def test_a_full_disk_is_said_in_one_line_and_leaves_nothing(story, tmp_path, monkeypatch):
    def full(path, images, **_):
        path.write_bytes(b"half")
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(film, "_write_mp4", full)
    told = film.Reel(
        0.2, lambda second: 0, (), lambda moments, small: nullcontext(lambda now: None), nullcontext, False
    )
    with pytest.raises(BadInput, match="No space left"):
        film.make(told, tmp_path / "film.mp4")
    assert not list(tmp_path.iterdir())
