"""A slice of the study of doors: lawful tables break no rule at the cheap doors, and each rule sees what it is for."""

import json
from dataclasses import replace

import numpy as np
import pytest

from scenes.words import to_read_again
from sim.bench import looked_since, mostly_over
from tests.studies import corners_at_fault as population
from tests.studies import (
    doors,
    doors_asked,
    doors_benches,
    doors_read_again,
    doors_rules,
    doors_tables,
    doors_truth,
    doors_turns,
    doors_walks,
)
from tests.studies.corners_at_fault import Step
from tests.studies.doors_asked import Said, Tally

TABLES = 3
#: Eleven tables of these seeds at which nine acts are ordered.
DRAWN = ((2, 3), (2, 4), (2, 5), (2, 15), (2, 20), (3, 6), (3, 17), (5, 5), (6, 1), (6, 2), (16, 2))


@pytest.fixture(scope="module")
def corners(tmp_path_factory):
    return population.corners(tmp_path_factory.mktemp("corners"), doors.CORNERS_SEED, 2)


@pytest.fixture(scope="module")
def bench(corners):
    return doors_benches.draw(1, 0, corners)


def test_lawful_tables_break_no_rule(corners, tmp_path):
    tally = Tally()
    for number in range(TABLES):
        doors.asked_about(doors_benches.draw(1, number, corners), tmp_path, tally, with_case=False, dear=False)
    assert tally.asked["causes"] == TABLES
    assert [one.said for one in tally.found] == []


def test_what_readings_alone_order_ends(bench, tmp_path):
    tally = Tally()
    assert len(doors_walks.walked(bench, tmp_path, False, tally)) > 1
    assert [one.said for one in tally.found] == []


@pytest.mark.parametrize(
    ("said", "wanted"),
    [
        (
            mostly_over.LATER.format(name="mounted, mount 2", later=3, kind="thickness"),
            [Step("mounted", "cleaned", 1, 3, 1)],
        ),
        (mostly_over.OFF_SINCE.format(name="mounted, mount 2"), [Step("mounted", "cleaned", 1, 4)]),
        (looked_since.READ_ANEW.format(mount=2), [Step("mounted", "cleaned again", 1, 4)]),
        (
            f"hub face: read 30 degrees again{to_read_again.ROTOR_OFF}",
            [Step("hub face", "cleaned", 0, 0, 1), Step("mounted", "cleaned", 1, 4)],
        ),
        ("mounted, mount 2: read it as it stands now", [Step("mounted", "cleaned", 1, 2, 1)]),
    ],
)
def test_who_walks_reads_the_mount_that_is_named_and_the_next_where_it_says_so(bench, said, wanted):
    """Mount 2 was read again under its old number, and ordered again: a loop of the walker's own."""
    steps = [
        Step("mounted"),
        Step("hub face", "cleaned", 0, 0),
        Step("mounted", "cleaned", 1, 2),
        Step("thickness", "cleaned", 1, 3),
    ]
    table = doors_benches.Table(bench, tuple(doors_benches.read(bench, step) for step in steps))
    answer = {"act": {"what": "read again"}, "also": None, "words": {"next": said, "notes": []}, "do": "read again"}
    answer["act"]["also"] = None
    assert doors_walks.obeyed(table, answer, with_case=False) == wanted


def test_index_orders_what_causes_orders(corners, tmp_path):
    """The same act on the same stud, in the same words, at any stage of the work and with slips."""
    acts = set()
    for seed, number in DRAWN:
        table = doors_tables.lawful(replace(doors_benches.draw(seed, number, corners), hub_limit_um=None))
        file, _ = doors_asked.written(table, tmp_path)
        asked = (["causes", file], ["index", "--hub", file, "--rotor", file])
        alone, beside = (
            doors_asked.told([*words, "--limit", f"{table.bench.limit_um:g}", "--json"]) for words in asked
        )
        assert alone[0] == beside[0] == 0
        one, other = (json.loads(answer[1]) for answer in (alone, beside))
        assert other["act"] == one["act"], number
        assert one["leads"][0] in other["leads"][0], number
        assert other["move"] <= (one["act"]["what"] in ("index", "back", "thickness", "clean")), number
        foretold = "should then read" in other["leads"][0]
        assert foretold == (other["move"] and one["act"]["what"] != "back"), number
        acts.add(one["act"]["what"])
    assert len(acts) >= 9  # further turns of the micrometer at hand are the thickness, no act of their own


@pytest.mark.parametrize(
    ("door", "act", "text", "rule"),
    [
        ("causes --case", "leave", "On clean faces it runs out 20 µm. Leave it there.", "left on: scrap"),
        ("remains", "renew", "Renew it, or cut it where its maker allows. Discard 11 mm.", "cut of scrap"),
        ("drive", "", "Drivers call it quiet. Nuts hold. Discard 11 mm: scrap.", "quiet: loose nut"),
        ("index --case", "move", "Painted hole on stud 2. Discard 11 mm: scrap.", "moved: scrap"),
        ("seat", "leave", "Leave the rotor on: clean as given.", "left on: loose nut"),
        ("causes", "move", "It runs out nan µm on stud 2.", "broken words"),
        (
            "causes",
            "move",
            "The bearing is checked for play, then it is read once more. It is read. The bearing is checked "
            "for play, then it is read once more. So.",
            "a sentence twice",
        ),
        ("drive", "renew", "Renew the rotor. What to do next, in this order 1. Leave the rotor on.", "head and list"),
    ],
)
def test_each_rule_sees_what_it_is_for(bench, door, act, text, rule):
    """A rotor far under the stamp that its case states, a nut off."""
    thin = replace(bench, stated=True, stamp_mm=11.0, thinnest_mm=10.8, nuts=(0.0, *[140.0] * (bench.studs - 1)))
    steps = (Step("mounted"), Step("thickness"))
    table = doors_benches.Table(thin, tuple(doors_benches.read(thin, step) for step in steps))
    found = doors_rules.judge(table, [Said(door, 0, text, {}, "", act)])
    assert rule in {one.rule for one in found}


@pytest.mark.parametrize(
    ("door", "act", "text", "rule"),
    [
        (
            "causes",
            "renew",
            f"{'─' * 30} Renew it. ! thickness, mount 1: read 90 degrees again, about 100 µm off",
            "renew leads, something is to be read again",
        ),
        ("causes", "leave", f"{'─' * 30} The runout is done. Leave it there.", "leave leads, levels part"),
        ("causes --case", "leave", f"{'─' * 30} Leave it there.", "left on, a turn under the stamp"),
        ("index", "leave", f"{'─' * 30} a {'─' * 30} Leave it there.", "left on, shown over"),
        ("causes", "read again", f"{'─' * 30} Read 3 times, they part: read it a third time.", "a third time after 3"),
        (
            "causes",
            "leave",
            f"{'─' * 30} Where it is over it, the bare hub face: read it twice more. The bare hub face is near its "
            "limit: read it twice more.",
            "ordered always and only if",
        ),
        ("causes", "read again", f"{'─' * 30} mounted, mount 1: read 90 degrees again", "a mount that is gone"),
    ],
    ids=lambda given: given if len(given) < 60 else "",
)
def test_each_rule_of_several_turns_sees_what_it_is_for(bench, door, act, text, rule):
    """Two mounts; a thickness read twice, by a micrometer that was 0.3 mm off once; 100 µm of a limit of 50."""
    thin = replace(bench, stated=True, stamp_mm=11.0, thinnest_mm=11.1, hub_limit_um=None, dtv_um=15.0, limit_um=10.0)
    steps = (Step("mounted"), Step("thickness"), Step("thickness", again=1), Step("mounted", "cleaned", 0, 2))
    turns = [doors_benches.read(thin, step) for step in steps]
    turns[2] = replace(turns[2], value_um=turns[2].value_um - 300.0, level_um=-300.0)
    found = doors_read_again.judge_turns(doors_benches.Table(thin, tuple(turns)), [Said(door, 0, text, {}, "", act)])
    assert any(rule in one.rule for one in found), found


def test_what_is_read_again_at_one_door_is_not_ordered_at_another(bench):
    table = doors_benches.Table(bench, (doors_benches.read(bench, Step("mounted")),))
    both = [
        Said("causes", 0, f"{'─' * 30} Read again.", {}, "", "read again"),
        Said("causes --case", 0, f"{'─' * 30} Clean.", {}, "", "clean"),
    ]
    rules = [one.rule for one in doors_read_again.judge_turns(table, both)]
    assert rules == ["clean leads, read again at another door"]


def test_several_turns_are_drawn_with_every_slip(corners):
    """Each slip as often as it goes, its sound places those that a sound turn reads too."""
    spoilt = set()
    for number in range(30):
        table = doors_turns.several(doors_benches.draw(7, number, corners))
        kinds = [one.step.kind for one in table.turns]
        assert kinds.count("mounted") > 0
        spoilt |= {(one.step.kind, one.sound is None or bool(one.sound.any())) for one in table.turns if one.slipped}
    assert spoilt == {(kind, sound) for kind in doors_turns.HOW for sound in (True, False)}
    turn = doors_benches.read(table.bench, Step("mounted"))
    bad = doors_turns.spoil(table.bench, turn, doors_turns.OFF, np.random.default_rng(1))
    assert np.ptp(bad.value_um - turn.value_um) >= 50.0
    np.testing.assert_array_equal(doors_turns.sound_um(bad), turn.value_um[bad.sound])


def test_a_table_is_made_as_small_as_it_breaks_the_rule(bench, tmp_path, monkeypatch):
    steps = (Step("mounted"), Step("thickness"), Step("thickness", again=1), Step("mounted", "cleaned", 0, 2))
    table = doors_benches.Table(bench, tuple(doors_benches.read(bench, step) for step in steps))

    def broken(less, *_):
        return [doors_asked.Found("a rule", 0, "causes [leave]: so")] * (len(less.of("thickness")) > 0)

    monkeypatch.setattr(doors, "through_doors", broken)
    small = doors.smallest(table, broken(table)[0], tmp_path)
    assert [one.step.kind for one in small.turns] == ["mounted", "thickness"]


def test_two_doors_that_order_opposite_acts_are_told(bench):
    table = doors_benches.Table(replace(bench, hub_limit_um=None), (doors_benches.read(bench, Step("mounted")),))
    both = [Said("causes", 0, "─" * 30 + " a", {}, "", "renew"), Said("index", 0, "─" * 30 + " b", {}, "", "leave")]
    assert any(one.rule == "opposite: leave and renew, causes and index" for one in doors_rules.judge(table, both))


def test_a_table_says_what_its_head_says(bench):
    """The same turn written in another unit, direction and sign is the same turn when it is read."""
    from sim.files.dial_readings import parse

    table = doors_benches.Table(bench, (doors_benches.read(bench, Step("mounted", "as found", 1, 1)),))
    plain = parse(doors_benches.text_of(replace(table, bench=replace(bench, unit="um", clockwise=False, away=False))))
    other = parse(doors_benches.text_of(replace(table, bench=replace(bench, unit="thou", clockwise=True, away=True))))
    (one,), (two,) = plain.traces, other.traces
    assert one.studs_turned == two.studs_turned == 1
    np.testing.assert_allclose(one.value_um, two.value_um, atol=1e-6)


def test_a_figure_of_a_lead_that_no_json_holds_is_seen(bench):
    table = doors_benches.Table(bench, (doors_benches.read(bench, Step("mounted")),))
    for read_um, rules in ((61.7, []), (55.0, ["a figure of the lead not in JSON"])):
        answer = {"leads": ["It runs out 62 µm"], "read_um": read_um}
        said = Said("index", 0, "It runs out 62 µm. ▌ The vehicle maker's instructions stand above", answer, "", "move")
        assert [one.rule for one in doors_rules.judge(table, [said])] == rules


def test_the_same_turns_written_otherwise_are_the_same_when_read(corners):
    from sim.files.dial_readings import parse

    table = doors_tables.lawful(doors_benches.draw(1, 3, corners))
    plain, other = (parse(doors_benches.text_of(one)) for one in (table, doors_tables.otherwise(table)))
    for one, two in zip(plain.traces, other.traces, strict=True):
        order = np.argsort(two.angle_deg)
        np.testing.assert_allclose(one.value_um[np.argsort(one.angle_deg)], two.value_um[order], atol=1e-6)


def test_truth_tells_what_is_unsafe_and_what_is_bought_in_vain(bench):
    """The same corner, its limit under and over what it runs out; its stamp over its thinnest place."""
    table = doors_benches.Table(bench, (doors_benches.read(bench, Step("mounted")),))
    runs = doors_benches.mounted_um(bench, Step("mounted"))
    tight, wide = (replace(table, bench=replace(bench, limit_um=runs * share, dtv_um=200.0)) for share in (0.1, 3.0))
    assert "runs out" in doors_truth.unsafe(tight, False)
    assert not doors_truth.unsafe(wide, False)
    scrap = replace(wide, bench=replace(wide.bench, stated=True, stamp_mm=bench.thinnest_mm + 0.1))
    assert "stamp" in doors_truth.unsafe(scrap, True)
    assert "best stud leaves" in doors_truth.innocent(wide, "rotor")
    assert not doors_truth.innocent(scrap, "rotor")


def test_what_was_kept_is_not_asked_again(tmp_path):
    tally = Tally()
    tally.asked["causes"] += 2
    tally.claims["a finding", False] += 1
    (tmp_path / "asked_1_0.jsonl").write_text(doors.record(tally, "table", 4), encoding="utf-8")
    again, have = doors.kept(tmp_path, 1)
    assert again == tally
    assert have == {("table", 4)}
