"""Films: written whole or not at all, of the right length and size, every frame with its words. Needs OpenGL."""

import subprocess
from dataclasses import replace

import numpy as np
import pytest
import standin
from PIL import Image

from scenes import gl
from scenes.film import charts, film, frames, stage_film, stories
from scenes.stage.lettering import Sheet, fitting, wrapped
from sim.errors import BadInput


@pytest.fixture(scope="module")
def story():
    told = stories.clean_against_dirty(standin.run(8.0, 2.0, dirty=False, growth_um=4.0), standin.run())
    return replace(told, steps=tuple(replace(step, seconds=0.1) for step in told.steps))


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
def test_short_gif(story, tmp_path):
    path = film.make(stage_film.reel(story), tmp_path / "short.gif", seconds=0.2)
    with Image.open(path) as picture:
        assert picture.size == film.GIF_SIZE
        assert np.asarray(picture.convert("L")).std() > 10.0


@pytest.mark.gl
def test_interrupted_film_leaves_nothing_but_the_older_one(story, tmp_path):
    older = tmp_path / "film.mp4"
    older.write_bytes(b"older")

    def stop(share, words):
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        film.make(stage_film.reel(story), older, progress=stop, seconds=0.1)
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

    sent = pickle.loads(pickle.dumps(stage_film.portable(standin.run())))
    assert sent.seat.rotor_deformation().at(np.array([[140.0, 0.0, -26.0]])).shape == (1, 3)
    assert sent.case.debris[0].height_um == 100.0
