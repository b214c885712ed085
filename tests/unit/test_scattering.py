"""Mountings that fit no one hub and rotor are told what to do, and end: by three that agree, or by the bearing."""

import json
from dataclasses import replace

import numpy as np
import pytest

from scenes.command import app
from scenes.words import mountings as said
from scenes.words import open_work, read_again_work, to_new_table, to_read_again, with_play
from sim.bench.rock_asked import asks_rocking
from sim.bench.scattering import MOST_IN_ALL, MOST_ON_A_STUD
from sim.bench.seatings import COUNT
from sim.causes import names
from sim.causes.cures_as_read import CALLED
from sim.causes.decision import decide
from sim.causes.one_act import NAMED, read_next
from sim.files.dial_readings import Readings, parse, to_csv
from sim.parts.dial import TOO_CLOSE
from tests.unit.test_mountings import EVEN, LIMITS, face_of, mounted

HUB = 3.0
HEAD = (
    "# studs: 5\n# gauge_radius_mm: 140\n# hub_face_radius_mm: 64\n# dial_um: 10\n# turned: counter-clockwise\n"
    "# dial: + towards\ntrace,mount,studs_turned,angle_deg,reading_um,state,clamped_by,dial_um\n"
)


def asked(*turns):
    """Act, words, the mounts that count."""
    told = decide(Readings(5, 140.0, 64.0, 10.0, (*turns, EVEN, face_of(HUB))), LIMITS)
    lead = said.lead(told.told, told.act, to_read_again.doubts(told.read)).replace("\u00a0", " ")
    return told.act, lead, told.told.states[-1].mounts


def put_on(*stands):
    """Mounts in their sequence: stud and what the rotor draws there."""
    return [mounted(stud, HUB, rotor, k, "cleaned") for k, (stud, rotor) in enumerate(stands, 1)]


#: Three studs on which three rotors seem to sit.
AT_ODDS = ((0, 40.0), (2, -40.0), (4, 90.0j))


def test_mountings_that_fit_no_one_hub_and_rotor_are_told_what_to_do_and_three_that_agree_end_it():
    """The whole order was that they fit no one hub and rotor: the turn that stood was read again for ever."""
    act, lead, _ = asked(*put_on(*AT_ODDS))
    assert (act.what, act.studs_turned) == ("read again", 4)
    assert "fit no one hub and rotor. The bearing first: the hub is rocked" in lead
    assert "the painted hole left on stud 5, nuts tightened crosswise in stages, read under the next mount" in lead
    assert to_read_again.THREE_COUNT in lead
    act, _, mounts = asked(*put_on(*AT_ODDS, (4, 12.0), (4, 12.0), (4, 12.0)))
    assert (act.what, mounts) == ("done", (4, 5, 6))
    # Two of them tell nothing yet, and what parts on the stud itself has an order of its own.
    assert asked(*put_on(*AT_ODDS, (4, 90.0j)))[0].what == "read again"
    act, lead, _ = asked(*put_on(*AT_ODDS, (4, -40.0j)))
    assert act.what == "read again"
    assert "mount 4 stands where mount 3 stood" in lead
    assert "The bearing first" not in lead


@pytest.mark.parametrize("studs", [(0,), (0, 1, 2, 3)])
def test_mountings_that_part_however_often_end_at_the_bearing(studs):
    """One more of the same was ordered after twenty: no end."""
    most = MOST_ON_A_STUD if len(studs) == 1 else MOST_IN_ALL
    turns = put_on(*((studs[k % len(studs)], 40.0 * np.exp(2.4j * k)) for k in range(most)))
    assert asked(*turns[:-1])[0].what == "read again"
    act, lead, mounts = asked(*turns)
    assert (act.what, len(mounts)) == ("bearing", most)
    assert "no more reading is asked. The bearing is judged under load as the vehicle maker says" in lead
    assert "a straight edge across hub face and rotor's seat" in lead
    assert lead.startswith("The bearing, or its seat: ")
    assert "however often it is put on: it sits otherwise each time" in lead
    assert "the rotor's bore" in lead
    assert "hub and bearing as the vehicle maker says. Until then this is not done" in lead
    assert "crosswise" not in lead
    assert NAMED[act.what] == names.SCATTERS
    assert names.SCATTERS in CALLED
    assert read_next(names.SCATTERS, True, None, 1) is None
    # A face near its limit is not read on: no turn of that bearing counts.
    told = decide(Readings(5, 140.0, 64.0, 10.0, (*turns, EVEN, face_of(24.0))), LIMITS)
    assert (told.act.what, told.act.hub_face.state) == ("bearing", TOO_CLOSE)
    assert "read it twice more" not in said.lead(told.told, told.act, to_read_again.doubts(told.read))
    # A rotor that varies over its limit goes all the same.
    uneven = replace(EVEN, value_um=EVEN.value_um + 20.0 * np.cos(np.arange(12) * np.pi / 6.0))
    told = decide(Readings(5, 140.0, 64.0, 10.0, (*turns, uneven, face_of(HUB))), LIMITS)
    assert told.act.what == "worn"


def loose(which, turns, closes_um=None, felt=""):
    """So many turns of one thing that part, the first place of each read again so far off at 360 degrees; words."""
    step = 20.0 * np.pi / 180.0
    rows = [f"{which},{'' if which == 'hub face' else 2},0,{{a:g}},{{v:g}},cleaned,{{held}},10"] * 8
    held = "" if which == "hub face" else "nuts and spacers"
    angle = np.arange(12) * 30.0
    places = angle if closes_um is None else np.append(angle, 360.0)
    sizes = (40.0, -40.0, 40.0j, -40.0j, 25.0, -25.0, 25.0j, -25.0j)

    def shown(size, a):
        off = 0.0 if a < 360.0 else closes_um
        return off + 5.0 * round((size * np.exp(-1j * np.radians(a) + 1j * step)).real / 5.0)

    every = "".join(
        row.format(a=a, v=shown(size, a), held=held) + "\n"
        for row, size in zip(rows[:turns], sizes, strict=False)
        for a in places
    )
    found = "".join(f"mounted,1,0,{a:g},{5.0 * round(4 * np.cos(np.radians(a))):g},as found,nuts and spacers,10\n"
                    for a in angle)  # fmt: skip
    thick = "".join(f"thickness,1,0,{a:g},{11600 + a % 60 / 30:g},as found,,1\n" for a in angle)
    clean = found.replace("mounted,1", "mounted,2").replace("as found", "cleaned") if which == "hub face" else ""
    decided = decide(parse((f"# bearing: {felt}\n" if felt else "") + HEAD + found + thick + clean + every), LIMITS)
    return decided, said.lead(decided.told, decided.act, to_read_again.doubts(decided.read))


@pytest.mark.parametrize("which", ["mounted", "hub face"])
def test_turns_that_part_however_often_it_is_read_end_at_the_bearing(which):
    """A loose bearing was read 22 times as it stood: "until three turns agree", and no end."""
    decided, lead = loose(which, 7)
    assert decided.act.what == "read again"
    assert "Where the hub has no play and still no three agree: another base and tip" in lead
    decided, lead = loose(which, 8)
    assert decided.act.what == "bearing"
    assert "however often it is read. None of them counts, and no more reading is asked. The bearing is judged" in lead
    assert all("until three turns agree" not in one for one in to_read_again.remarks(decided.told, decided.read))


def test_a_slip_of_a_mount_that_stands_no_more_is_not_to_be_read_again():
    """With mount 17 on the car places of mounts 2, 8 and 11 were ordered: nobody can read them again."""
    told = decide(Readings(5, 140.0, 64.0, 10.0, (*put_on((0, 9.0), (0, 9.0)), EVEN)), LIMITS).told
    gone = "mounted, mount 1: read 0 and 150 degrees again, about 72 µm off the others; as a whole further turn"
    here = "mounted, mount 2: the dial came back +40 µm off its start; check that it is held fast, read the turn again"
    twice = "mounted, mount 1: read 3 times, and two of the turns differ by up to 42 µm: bearing play"
    assert to_read_again.in_order(told, [gone, here], 50.0) == [here]
    assert to_read_again.in_order(told, [twice, here], 50.0) == [twice, here]
    assert gone in to_read_again.in_order(told, [gone], 50.0)


@pytest.mark.parametrize("which", ["mounted", "hub face"])
def test_turns_that_do_not_close_are_counted_too(which):
    """A loose bearing read to 360 degrees, as the guide asks: turns left out for their drift did not count."""
    decided, lead = loose(which, 7, 40.0)
    assert decided.act.what == "read again"
    assert "the dial came back +40 µm off its start" in lead
    decided, lead = loose(which, 8, 40.0)
    assert decided.act.what == "bearing"
    assert "however often it is read. None of them counts, and no more reading is asked. The bearing is judged" in lead
    assert all("read the turn again" not in one for one in to_read_again.remarks(decided.told, decided.read))
    assert loose(which, 8, 0.0)[0].act.what == "bearing"


def test_turns_that_close_after_many_that_did_not_count():
    """Eight turns in all are no end by themselves: the dial was held fast, and three agree."""
    one, three = loose("mounted", 5, 40.0)[0].read, 3
    good = [replace(one.as_read[-1], drift_um=0.0, value_um=20.0 * np.cos(np.radians(np.arange(12) * 30.0)))] * three
    table = to_csv(replace(one, traces=(*one.as_read, *good), every=(), entered=()))
    assert decide(parse(table), LIMITS).act.what != "bearing"


def test_mountings_that_part_end_at_the_bearing_beside_a_bare_face_that_parts_too():
    """Fifteen mountings parted, and the bare face read twice did: it was read again for ever."""
    turns = put_on(*((0, 40.0 * np.exp(2.4j * k)) for k in range(MOST_ON_A_STUD)))
    faces = (replace(face_of(lean), state="cleaned") for lean in (25.0, -25.0))
    rounded = (replace(one, value_um=np.round(one.value_um / 5.0) * 5.0) for one in (*turns, *faces))
    read = Readings(5, 140.0, 64.0, 10.0, (*rounded, EVEN))
    decided = decide(parse(to_csv(read)), LIMITS)
    assert decided.act.what == "bearing"
    assert all("until three turns agree" not in one for one in to_read_again.remarks(decided.told, decided.read))
    assert decide(parse(to_csv(replace(read, traces=read.traces[1:]))), LIMITS).act.what == "read again"


def test_mountings_that_scatter_over_a_hub_over_its_limit_end_at_hub_and_bearing():
    turns = put_on(*((0, 40.0 * np.exp(2.4j * k)) for k in range(MOST_ON_A_STUD)))
    told = decide(Readings(5, 140.0, 64.0, 10.0, (*turns, EVEN, *[face_of(90.0)] * 3)), LIMITS)
    assert told.act.what == "hub"


def test_three_on_one_stud_leave_out_the_turn_that_is_off_and_not_what_other_studs_read_alike():
    """One turn begun a place late, and each stud in turn left the other's three out: moved to and fro for ever."""
    late = replace(mounted(0, HUB, 40.0, 1, "cleaned"), value_um=np.roll(mounted(0, HUB, 40.0).value_um, -2))
    there = put_on(*((stud, 40.0) for stud in (0, 3, 3, 2, 2, 2)))
    assert asked(late, *there[1:])[2] == (2, 3, 4, 5, 6)
    # Where that is not enough those of studs that were read by fewer than three go too.
    off = [replace(one, value_um=np.roll(one.value_um, -3)) for one in there[1:3]]
    more = [mounted(1, HUB, 40.0, k, "cleaned") for k in (11, 12)]
    assert asked(late, *off, *more, *there[3:])[2] == (4, 5, 6)


def test_what_three_outweighed_stays_left_out_once_the_rotor_is_moved_on():
    """Mount 3, begun three places late, came back with the first mounting on the next stud: two more rotors off."""
    *first, sound = put_on((0, 40.0), (0, 40.0), (2, 40.0))
    late = replace(sound, value_um=np.roll(sound.value_um, -3))
    *three, next_one, neither = put_on(*[(0, 0.0)] * 3, *[(1, 40.0)] * 3, (3, 40.0), (3, 40.0j))[3:]
    assert asked(*first, late, *three[:2])[0].what == "read again"
    assert asked(*first, late, *three)[2] == (1, 2, 4, 5, 6)
    act, _, mounts = asked(*first, late, *three, next_one)
    assert mounts == (1, 2, 4, 5, 6, 7)
    assert act.what != "read again"
    # A mounting that fits neither brings it back as little; one that bears it out, and not the three, does.
    assert 3 not in asked(*first, late, *three, replace(neither, mount=7))[2]
    off = [replace(one, value_um=np.roll(one.value_um, -3)) for one in three]
    assert asked(*first, sound, *off)[2] == (1, 2, 4, 5, 6)
    act, lead, mounts = asked(*first, sound, *off, next_one)
    assert (act.what, mounts) == ("read again", (1, 2, 3, 4, 5, 6, 7))
    assert "fit no one hub and rotor" in lead


@pytest.mark.parametrize("which", ["mounted", "hub face"])
def test_a_dial_that_comes_back_off_its_start_twice_has_the_hub_rocked(which):
    """ "Check that it is held fast, read the turn again", seven asks in a row, of a hub with play."""
    once, lead = loose(which, 1, closes_um=15.0)
    assert once.act.what == "read again"
    assert "rock" not in lead.partition("Thickness")[0]
    twice, lead = loose(which, 2, closes_um=15.0)
    assert twice.act.what == "read again"
    assert "off its start, as a turn before it did: bearing play, a dial that moved; rock the hub first: with" in lead
    assert asks_rocking(twice.told, twice.read)
    felt, _ = loose(which, 2, closes_um=15.0, felt="no play")
    (said_so,) = {one.text for one in felt.read.faults if "as a turn before" in one.text}
    assert "as a turn before it did: a dial that moved. Hold the dial fast, turn one way only, then read" in said_so


@pytest.mark.parametrize("which", ["mounted", "hub face"])
def test_a_dial_that_comes_back_far_off_its_start_has_the_hub_rocked_at_once(which):
    """35 µm off its start: "check that it is held fast", of a hub with 52 µm of play; and once more, and once more."""
    once, lead = loose(which, 1, closes_um=35.0)
    assert once.act.what == "read again"
    assert "+35 µm off its start: bearing play, a dial that moved; rock the hub first: with play the bearing" in lead
    assert asks_rocking(once.told, once.read)
    _, lead = loose(which, 1, closes_um=35.0, felt="no play")
    assert "+35 µm off its start: a dial that moved. Hold the dial fast" in lead


def test_no_middle_is_told_of_mountings_of_which_none_counts():
    """ "Mount 5 by itself reads 70 µm, and the middle, 32 µm, makes it no less": beside "no two count"."""
    told = decide(Readings(5, 140.0, 64.0, 10.0, (*put_on((0, 10.0), (0, 30.0j), (0, -45.0)), EVEN)), LIMITS).told
    parts = replace(told.states[-1], now=replace(told.states[-1].now, alone_um=90.0, read_um=32.0, turns=2))
    apart = replace(told, states=(parts,))
    assert to_read_again.over_as_it_stands(apart, 50.0)
    said_of = to_read_again.in_order(apart, [], 50.0)
    assert len(said_of) == 1
    assert "so far no two of them read alike" in said_of[0]


def test_of_three_mountings_two_of_which_read_alike_the_rule_that_is_told_is_the_one_applied():
    """ "Most of them like no other", of three of which two agree; and "two more than the others": one more ended it."""
    act, lead, _ = asked(*put_on((0, 40.0), (0, 40.0), (0, 90.0j)))
    assert act.what == "read again"
    assert "mounts 1 and 2 on stud 1 read alike, and mount 3, on it since, as far as" in lead
    assert COUNT in lead
    assert "like no other" not in lead
    assert "more than the others, two more where these part too" in read_again_work.box([lead], "read")
    assert asked(*put_on((0, 40.0), (0, 40.0), (0, 90.0j), (0, 40.0)))[2] == (1, 2, 4)
    assert asked(*put_on((0, 40.0), (0, 40.0), *[(0, 90.0j)] * 3))[2] == (3, 4, 5)


def test_no_road_is_driven_from_readings_that_part_however_often(tmp_path, capsys, monkeypatch):
    """Under "None of them counts" stood "15 µm: below the limit", a quiet road and the life of the rotor."""
    ordered, _ = loose("mounted", 8)
    assert ordered.act.what == "bearing"
    table = tmp_path / "parts.csv"
    table.write_text(to_csv(ordered.read))
    monkeypatch.setattr("sim.chain.compute", lambda *_, **__: pytest.fail("a road was driven"))
    asked_for = ["drive", "rear_solid_300", "--mounted", str(table), "--preset", "fast"]
    assert app.main([*asked_for, "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert (told["do"], "forecast" in told) == (names.SCATTERS, False)
    assert "None of them counts" in told["leads"][0]
    assert app.main(asked_for) == 0
    shown = " ".join(capsys.readouterr().out.split())
    where = [shown.index(words) for words in (
        with_play.NONE_CAME_BACK, open_work.BASE_FIRST, open_work.MENDED, open_work.NONE_MENDED, to_new_table.ALL_ANEW,
    )]  # fmt: skip
    assert where == sorted(where)
