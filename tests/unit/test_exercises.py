"""Exercises and the class without a server: same key same corner, honest readings, marks that reward evidence."""

import csv
import io
import stat
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

import demo_geometry
from scenes.pages import bench_tasks
from sim.causes import names
from sim.causes.answer import NextReading
from sim.errors import BadInput
from sim.files.case_file import load_case
from sim.live import exercise as drawn
from sim.live import marking
from sim.live.room import room_of
from sim.live.setup import choices
from sim.seating.seat import seat
from tests.unit.hand_made_finding import finding, open_finding


@pytest.fixture(scope="module")
def base():
    return load_case(demo_geometry.file("lesson_outer_dirty"))


@pytest.fixture(scope="module")
def dirty(base):
    """Dirt on the hub alone."""
    found = (drawn.draw(base, "one fault", key) for key in range(1, 40))
    return next(one for one in found if one.faults == (names.HUB_DIRT,))


def readings(exercise, *acts):
    taken = []
    for what, hole in acts:
        taken.append(drawn.taking(taken, what, hole, 5))
    return taken


def test_the_same_key_draws_the_same_corner_and_another_another(base):
    first, again, other = (drawn.draw(base, "two faults", key) for key in (7, 7, 8))
    assert first == again
    assert first != other
    assert len(first.faults) == 2
    assert first.share_um[0] > first.share_um[1]
    with pytest.raises(BadInput, match="level"):
        drawn.draw(base, "easy", 1)


def test_no_cure_hides_dirt_or_a_hub_over_its_own_limit(base, dirty):
    """Whatever it would read: nothing is moved over dirt, and no stud position cures a hub."""
    left = dict(zip(drawn.CURES, dirty.left_um, strict=True))
    low = replace(dirty, left_um=tuple(min(one, 20.0) for one in dirty.left_um))
    assert low.brings_below() == drawn.CURES
    assert set(low.works()) == {names.CLEAN, names.CLEAN_THEN_INDEX, names.RENEW, names.HUB_AND_BEARING}
    given = marking.Given(names.HUB_DIRT, names.INDEX)
    assert marking._cure(low, given) == "hides"
    assert (marking._cure(dirty, given) == "hides") is (left[names.INDEX] <= base.limits.mounted_runout_um)
    over = replace(low.as_found, hub=replace(low.as_found.hub, face_runout_um=low.as_found.hub_face_limit_um + 1.0))
    assert replace(low, as_found=over).works() == (names.HUB_AND_BEARING,)


def test_a_second_fault_is_one_that_a_dial_shows(base):
    for key in range(1, 7):
        assert min(drawn.draw(base, "two faults", key).share_um) >= drawn.LEAST_SECOND_UM


def test_what_each_cure_leaves_is_seated(dirty):
    left = dict(zip(drawn.CURES, dirty.left_um, strict=True))
    limit = dirty.base.limits.mounted_runout_um
    assert left[names.LEAVE] == pytest.approx(seat(dirty.as_found, "fast").gauge_runout_um, abs=0.06)
    assert left[names.LEAVE] > 1.2 * limit
    assert left[names.CLEAN] == pytest.approx(
        seat(replace(dirty.as_found, debris=()), "fast").gauge_runout_um, abs=0.06
    )
    assert left[names.CLEAN_THEN_INDEX] <= left[names.CLEAN]
    assert dirty.works()[0] in (names.CLEAN, names.INDEX)
    assert names.LEAVE not in dirty.works()


def test_readings_cost_minutes_and_nothing_that_was_wiped_off_comes_back(dirty):
    taken = readings(dirty, ("as found", 0), (names.ANOTHER_STUD, 2), (names.CLEAN_AND_REFIT, 0), (names.BARE_HUB, 0))
    assert [one.mount for one in taken] == [1, 2, 3, 3]
    assert [one.hole for one in taken] == [0, 2, 2, 2]
    assert drawn.minutes_of(taken) == 12 + 8 + 20 + 12
    before, after = (drawn.runout_read_um(drawn.trace_of(dirty, one)) for one in (taken[1], taken[2]))
    assert before - after > 20.0
    assert names.RETORQUED not in [what for what, _ in drawn.menu(taken)]
    for wrong in ("as found", "radial", "dig"):
        with pytest.raises(BadInput, match="what"):
            drawn.taking(taken, wrong, 0, 5)
    with pytest.raises(BadInput, match="stands there"):
        drawn.taking(taken, names.ANOTHER_STUD, 2, 5)
    with pytest.raises(BadInput, match="as found"):
        drawn.taking([], names.BARE_HUB, 0, 5)
    table, text = drawn.readings_of(dirty, taken)
    assert [trace.kind for trace in table.traces] == ["mounted", "mounted", "mounted", "hub face"]
    assert "invented" in text
    again = drawn.trace_of(dirty, taken[1])
    assert np.array_equal(again.value_um, table.traces[1].value_um)


def test_a_bare_hub_is_never_read_as_nothing(base):
    """A true hub face reads a few micrometres; a table of noughts would be no reading."""
    for key in range(1, 7):
        one = drawn.draw(base, "one fault", key)
        taken = readings(one, ("as found", 0), (names.CLEAN_AND_REFIT, 0), (names.BARE_HUB, 0))
        assert drawn.runout_read_um(drawn.trace_of(one, taken[-1])) >= 2.0
        drawn.readings_of(one, taken)


def test_a_trace_is_the_seating_within_scatter_and_half_a_division(dirty):
    (one,) = readings(dirty, ("as found", 0))
    trace, exact = drawn.trace_of(dirty, one), seat(dirty.as_found, "fast").outboard_um[::30]
    assert set(np.unique(trace.value_um % drawn.STEP_UM)) == {0.0}
    assert np.abs((trace.value_um - trace.value_um.mean()) - (exact - exact.mean())).max() < 20.0


def given(cause, then):
    return marking.given_of(cause, then)


def test_a_lucky_guess_is_worth_less_than_saying_that_it_cannot_be_told(dirty):
    """The order of marks, with and without evidence."""
    marks = {
        "told": marking.marked(dirty, 40.0, given(names.HUB_DIRT, dirty.works()[0]), finding()),
        "dear": marking.marked(dirty, 40.0, given(names.HUB_DIRT, dirty.works()[-1]), finding()),
        "honest": marking.marked(dirty, 12.0, given("cannot tell", names.CLEAN_AND_REFIT), open_finding()),
        "vague": marking.marked(dirty, 12.0, given("cannot tell", names.THICKNESS), open_finding()),
        "lazy": marking.marked(dirty, 40.0, given("cannot tell", names.THICKNESS), finding()),
        "guess": marking.marked(dirty, 12.0, given(names.HUB_DIRT, dirty.works()[0]), open_finding()),
        "wrong": marking.marked(dirty, 12.0, given(names.WARP, names.RENEW), open_finding()),
    }
    points = [one.points for one in marks.values()]
    assert all(more > less for more, less in pairwise(points)), points
    assert points[0] == 10
    assert points[-1] == 0
    assert [one.why for one in marks.values()] == ["told", "told", "open", "open", "open but told", "guessed", "wrong"]
    assert marks["guess"].probability == 0.47


def test_only_the_two_best_readings_count_as_the_next_one(dirty):
    said = (names.BARE_HUB, names.ANOTHER_STUD, names.THICKNESS)
    found = open_finding(next_readings=tuple(NextReading(what, 0, 5.0, 0.2, "") for what in said), do=names.MEASURE)
    cures = [marking.marked(dirty, 12.0, given("cannot tell", what), found).cure for what in said]
    assert cures == ["next reading", "next reading", "another reading"]


def test_where_cleaning_is_due_what_is_read_after_it_is_the_next_reading(dirty):
    due = open_finding(next_readings=(), do=names.CLEAN)
    told = marking.marked(dirty, 12.0, given("cannot tell", names.CLEAN_AND_REFIT), due)
    assert (told.points, told.cure, told.next_readings) == (7, "next reading", (names.CLEAN_AND_REFIT,))
    assert marking.marked(dirty, 12.0, given("cannot tell", names.INBOARD), due).points == 5


def test_who_honestly_follows_misleading_readings_is_not_blamed(dirty):
    other = replace(dirty, faults=(names.HUB_FACE,))
    told = marking.marked(other, 40.0, given(names.HUB_DIRT, names.CLEAN), finding())
    assert (told.why, told.points) == ("misled", 4)
    assert not told.right


@pytest.mark.parametrize(
    ("cause", "then"), [("magic", names.CLEAN), (names.WARP, "pray"), ("cannot tell", names.CLEAN), (3, None)]
)
def test_only_causes_cures_and_readings_that_there_are_can_be_handed_in(cause, then):
    with pytest.raises(BadInput):
        marking.given_of(cause, then)


def test_what_is_shown_of_an_exercise_hangs_on_the_trainers_key(base, tmp_path):
    kept, other = bench_tasks.keeper(tmp_path), bench_tasks.keeper(None)
    assert stat.S_IMODE((tmp_path / bench_tasks.KEY_FILE).stat().st_mode) == 0o600
    again = bench_tasks.keeper(tmp_path)
    codes = {kept.code(level, number) for level in drawn.LEVELS for number in range(1, 100)}
    assert len(codes) == 297
    assert again.code("one fault", 3) == kept.code("one fault", 3) != other.code("one fault", 3)
    assert again.draw(base, "one fault", 3) == kept.draw(base, "one fault", 3) != other.draw(base, "one fault", 3)
    sheet = bench_tasks.answers(kept, base, 1)
    assert [row["shown"] for row in sheet] == [kept.code(level, 1) for level in drawn.LEVELS]
    assert all(row["cures"] for row in sheet)
    (tmp_path / bench_tasks.KEY_FILE).write_text("not hex")
    with pytest.raises(BadInput, match="key"):
        bench_tasks.keeper(tmp_path)


def test_results_are_rows_without_formulas(tmp_path):
    kept = bench_tasks.keeper(tmp_path)
    for name in ("=HYPERLINK(1)", "+1", "@x", "Ann, B", 'say "x"'):
        kept.keep(["now", name, *[""] * 10])
    rows = list(csv.reader((tmp_path / bench_tasks.RESULTS_FILE).open(encoding="utf-8")))
    assert rows[0] == list(bench_tasks.COLUMNS)
    assert [row[1] for row in rows[1:]] == ["'=HYPERLINK(1)", "'+1", "'@x", "Ann, B", 'say "x"']
    for wrong in ("x" * 41, "two\nlines", 5, None):
        with pytest.raises(BadInput, match="name"):
            bench_tasks.name_of(wrong)


def test_a_key_is_whole_or_not_there_and_of_two_made_at_once_the_first_holds(tmp_path, monkeypatch):
    def full(count):
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patched:
        patched.setattr(bench_tasks.secrets, "token_hex", full)
        with pytest.raises(BadInput, match="No space left"):
            bench_tasks.keeper(tmp_path)
    assert list(tmp_path.iterdir()) == []
    first = bench_tasks.keeper(tmp_path)
    bench_tasks._make_key(tmp_path / bench_tasks.KEY_FILE)  # begun before the first was there
    assert bench_tasks.keeper(tmp_path).key == first.key
    assert [one.name for one in tmp_path.iterdir()] == [bench_tasks.KEY_FILE]


def test_a_result_that_the_disk_does_not_take_is_told_the_trainer_and_leaves_no_half_row(tmp_path, monkeypatch, capsys):
    kept = bench_tasks.keeper(tmp_path)
    kept.keep(["now", "Ann", *[""] * 10])
    whole = (tmp_path / bench_tasks.RESULTS_FILE).read_bytes()
    usual = Path.open

    class Full(io.StringIO):
        def __init__(self, path):
            super().__init__()
            self.path = path

        def close(self):
            with usual(self.path, "a", encoding="utf-8") as file:
                file.write(self.getvalue()[:7])
            super().close()
            raise OSError(28, "No space left on device")

    with monkeypatch.context() as patched:
        patched.setattr(Path, "open", lambda path, mode="r", **how: Full(path))
        kept.keep(["now", "Ben", *[""] * 10])
    assert (tmp_path / bench_tasks.RESULTS_FILE).read_bytes() == whole
    told = capsys.readouterr().err
    assert "No space left" in told
    assert "Ben" in told


def test_the_class_bets_then_sees_all_marks_then_the_truth(base):
    room = room_of(choices(base))
    room.mark("a", 1, 20.0)
    room.mark("a", 1, 40.0)
    room.mark("b", 1, 200.0)
    hidden = room.told("a", everything=True)
    assert (hidden["count"], hidden["marks"], hidden["truth"], hidden["mine"]) == (2, [], None, 40.0)
    room.show([3, 0, 0, 0, 1])
    assert room.told(everything=True)["marks"] == [40.0, 200.0]
    assert "marks" not in room.told("a")
    with pytest.raises(BadInput, match="closed"):
        room.mark("c", 1, 0.0)
    room.tighten({"runout_um": 70.0, "high_deg": 36.0})
    assert room.told("b")["near"] == 4  # one phone and three hands between studs 1 and 2
    room.ask_anew(5)
    told = room.told("a", everything=True)
    assert (told["round"], told["state"], told["count"], told["truth"]) == (2, "bet", 0, None)
    with pytest.raises(BadInput, match="closed"):
        room.mark("a", 1, 0.0)
    for wrong in ([1] * 4, [1, 1, 1, 1, -1], [1, 1, 1, 1, True], "hands"):
        with pytest.raises(BadInput, match="hands"):
            room.show(wrong)
