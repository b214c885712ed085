"""`drive` of a table orders what `causes` and `index` order of it, or what comes before every reading."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from scenes.words import acts, by_table, causes_first, steps, to_do
from scenes.words.work_list import Asked
from sim.causes import names
from sim.corner.driven import MountedReading
from sim.files import dial_readings
from sim.files.trace import PLAY
from sim.files.unlike_turns import Unlike
from sim.parts.case import Case
from tests import fakes
from tests.unit.hand_made_finding import FOUR, finding

LEAD = "Bearing play, then no part by these readings."
READ = dial_readings.read(FOUR)


def driven(state="cleaned", runout_um=20.0, move_to=0, **told):
    """A clean corner, read so on the car."""
    made = fakes.run(dirty=False)
    trace = 0.5 * runout_um * np.cos(np.radians(np.arange(360.0)))
    band = (0.9 * runout_um, runout_um, 1.1 * runout_um)
    made.reading = MountedReading(trace, "nuts and spacers", "the readings", band, np.ones(1), 4.0, state=state)
    made.reading = replace(made.reading, move_to=move_to, **told)
    return made


def decided(do, case, state="cleaned", **changes):
    found = finding(do=do, **changes)
    states = (*found.told.states[:-1], replace(found.told.states[-1], state=state))
    told = replace(found.told, states=states)
    return SimpleNamespace(found=replace(found, told=told), read=READ, case=case, told=told, act=ACT)


ACT = SimpleNamespace()
ELSEWHERE = (
    names.OPEN, names.SCATTERS, names.READ_AGAIN, names.AT_LIMIT, names.GAUGE, names.HUB_AND_BEARING, names.RENEW,
    names.UNEVEN_COUNTED, names.CLEAN, names.MEASURE + names.BARE_HUB, names.MEASURE + names.FINER_DIAL,
)  # fmt: skip


@pytest.fixture(autouse=True)
def _no_act(monkeypatch):
    monkeypatch.setattr(causes_first.one_act, "as_led", lambda *_: None)
    monkeypatch.setattr(causes_first.answers, "plain", lambda _: None)


@pytest.mark.parametrize("do", ELSEWHERE)
def test_a_rotor_that_the_readings_do_not_leave_on_is_left_on_by_no_forecast(do):
    """ "Leave the rotor on: clean as given, it is below its limits" stood where `causes` said that it is not done."""
    run = driven()
    assert set(steps.STAYS) & set(to_do.next_steps(run))
    table = decided(do, run.case)
    assert by_table.leads(run, table, LEAD) == f"By these readings, before any figure below: {LEAD}"
    listed = by_table.next_steps(run, table, "read.csv", "own.toml")
    assert not set(steps.STAYS) & set(listed)
    assert [step.what for step in listed[-2:]] == [
        by_table.AS_ORDERED.format(table="read.csv", case="own.toml") + by_table.INTO_IT,
        by_table.ASK_AGAIN,
    ]
    assert "trueseat causes read.csv --case own.toml --out FOLDER" in listed[-2].what
    assert listed[0].what.startswith("As read last: car on stands")
    assert not any("wheel on, crosswise" in step.what for step in listed)


@pytest.mark.parametrize(("asks", "own"), [("bare hub", False), (None, True)])
def test_no_list_buys_a_hub_whose_bare_face_is_read_once_more_first(asks, own, monkeypatch):
    """One turn of the bare face was over: the readings had it read again, the list renewed hub or bearing at once."""
    run = driven()
    monkeypatch.setattr(causes_first, "by_machine", lambda _: {
        "do": names.HUB_AND_BEARING, "next": asks, "next_studs_turned": None,
    })  # fmt: skip
    monkeypatch.setattr(to_do, "asked_of", lambda _: Asked(hub=steps.HUBS[0]))
    table = decided(names.HUB_AND_BEARING, run.case)
    assert (by_table.leads(run, table, LEAD) == "") is own
    asked = [step.what for step in by_table.next_steps(run, table, "t", "c")][-1] == by_table.ASK_AGAIN
    assert asked is not own


def test_what_the_corners_own_list_does_keeps_that_list():
    clean = driven()
    found = driven("as found", 90.0)
    stays = decided(names.LEAVE, clean.case)
    assert by_table.leads(clean, stays, LEAD) == ""
    assert by_table.next_steps(clean, stays, "t", "c") == to_do.next_steps(clean)
    # As far as the reading: index, hub or rotors stood behind it, where the card stops and asks again.
    for do in (names.CLEAN, names.MEASURE + names.BARE_HUB):
        table = decided(do, found.case, "as found")
        assert by_table.leads(found, table, LEAD) == "", do
        *listed, into, again = by_table.next_steps(found, table, "t", "c")
        own = to_do.next_steps(found)
        assert tuple(listed) == own[: len(listed)]
        assert "the rest" in own[len(listed)].keys
        assert (into.what, again.what) == (by_table.READ_INTO_IT, by_table.ASK_AGAIN)


def test_what_the_readings_leave_on_under_its_limit_comes_off_for_no_band_of_the_road():
    """Read twice at 42 µm and "leave it there", its list took the rotor off: the band as driven reached over 50."""
    run = driven("cleaned", 42.0)
    run.reading = replace(run.reading, driven_um=(32.0, 42.0, 56.0))
    assert not set(steps.STAYS) & set(to_do.next_steps(run))
    table = decided(names.LEAVE, run.case)
    assert by_table.leads(run, table, LEAD)
    assert set(steps.STAYS) & set(by_table.next_steps(run, table, "t", "c"))
    over = driven("cleaned", 90.0)  # as driven by its own middle: both figures stand
    assert by_table.next_steps(over, decided(names.LEAVE, over.case), "t", "c") == to_do.next_steps(over)


@pytest.mark.parametrize(("turns", "read_um", "stays"), [(3, 49.0, True), (3, 51.0, False), (1, 49.0, False)])
def test_the_end_of_reading_under_the_limit_leaves_it_on_and_asks_no_more(turns, read_um, stays):
    """ "The end of reading ... leave it there", and its list asked again with a longer table."""
    run = driven("cleaned", 49.0)
    run.reading = replace(run.reading, driven_um=(40.0, 49.0, 60.0))
    table = decided(names.AT_LIMIT, run.case, turns=turns, read_um=read_um, limit_um=50.0)
    listed = by_table.next_steps(run, table, "t", "c")
    assert bool(set(steps.STAYS) & set(listed)) is stays
    assert (listed[-1].what == by_table.ASK_AGAIN) is not stays


def test_a_hub_whose_turns_show_play_is_rocked_first_and_it_is_asked_again_with_what_was_felt():
    """ "Ask again with the longer table" stood under an order that reads nothing; then "leave it on" behind the box."""
    run = driven("cleaned", 35.0)
    table = decided(names.LEAVE, run.case)
    last = table.told.states[-1]
    marked = replace(last, now=replace(last.now, left_out=1, left_out_of=PLAY))
    table.told = replace(table.told, states=(*table.told.states[:-1], marked))
    table.found = replace(table.found, told=table.told)
    assert by_table.leads(run, table, LEAD)
    listed = by_table.next_steps(run, table, "t", "c")
    assert "Play: stop, bearing first" in listed[-2].what
    assert not set(steps.STAYS) & set(listed)
    assert listed[-1].what == by_table.ASK_FELT
    assert by_table.ASK_AGAIN not in [step.what for step in listed]


@pytest.mark.parametrize(("at", "own"), [(3, True), (1, False), (None, False)])
def test_another_stud_than_the_list_names_is_the_tables_own(at, own, monkeypatch):
    moved = driven("cleaned", 90.0, move_to=4)
    monkeypatch.setattr(causes_first, "by_machine", lambda _: {"do": names.INDEX, "next_studs_turned": at})
    assert (by_table.leads(moved, decided(names.INDEX, moved.case), LEAD) == "") is own


def test_what_a_case_states_before_every_reading_stands_above_the_table(monkeypatch):
    run = driven()
    monkeypatch.setattr(causes_first, "before_readings", lambda *_: "The bearing first.")
    assert by_table.leads(run, decided(names.OPEN, run.case), LEAD) == ""


def test_a_stamp_that_is_read_first_is_the_lists_own_where_it_has_it():
    thick = "".join(f"thickness,1,0,{angle},9900,as found,\n" for angle in range(0, 360, 30))
    run = driven()
    table = decided(names.LEAVE, Case())
    table.read = dial_readings.parse(FOUR.read_text() + thick, "table")
    assert causes_first.called(table.found, table.read, Case()) == acts.READ_THE_STAMP
    assert by_table.leads(run, table, LEAD)


@pytest.mark.parametrize("felt", ["", "no play"])
def test_a_list_that_leaves_the_rotor_on_has_the_bearing_judged_first_as_causes_has_it(felt):
    """20 µm apart in one mounting: "judged under load" in `causes`, "rock the hub, leave the rotor on" in `drive`."""
    run = driven()
    for found, loads in ((None, False), (Unlike((2,), 20.0), True)):
        table = decided(names.LEAVE, run.case)
        table.told = replace(table.told, bearing=felt, unlike=found)
        table.found = replace(table.found, told=table.told)
        listed = by_table.next_steps(run, table, "table.csv", "case.toml")
        said = [step.what for step in listed]
        stays = next(k for k, step in enumerate(listed) if step in steps.STAYS)
        load = [
            k for k, one in enumerate(said) if "judged under load as the vehicle maker says: turns of mount 2" in one
        ]
        assert len(load) == loads
        assert all(k < stays for k in load)
        assert any(one.startswith("Rock the hub") for one in said) is not bool(felt)
