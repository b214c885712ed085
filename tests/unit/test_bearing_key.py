"""What was felt when the hub was rocked stands in a table's head: play leads every answer, none ends the rocking."""

from __future__ import annotations

import json
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from scenes.command import app, by_table, tables_road, thin
from scenes.command import causes as of_readings
from scenes.words import (
    bare_face,
    causes_do,
    causes_first,
    causes_thickness,
    causes_work,
    left_on,
    open_work,
    rocked,
    to_read_again,
    with_play,
    written,
)
from scenes.words import causes as verdicts
from sim import worn_rotor
from sim.bench.bare_face import HubFace
from sim.bench.cures import Found
from sim.bench.from_readings import index_readings, together
from sim.bench.shown_face import Shown
from sim.causes import names, one_act
from sim.causes.cures_as_read import cures_as_read
from sim.causes.decision import decide
from sim.errors import BadInput, Scrap
from sim.files.dial_readings import parse, read, read_beside, to_csv
from sim.files.reading_faults import MOST_TURNS
from sim.files.rocking import ENDED, ENDED_SO, HOLD, NO_END, ROCK, STILL_NO_THREE
from sim.parts.case import Case
from tests.unit.hand_made_finding import FOUR, finding
from tests.unit.test_turns_that_part import BESIDE, CLEAN, EVEN, FACE, FOUND, HEAD, LIMITS, ONCE, thick, turn, wave

SAID = ("no play", "no play under load", "play")
BEFORE_THE_WHEEL = rocked.BEFORE_THE_WHEEL["rocked"] + rocked.WITH_PLAY_NOT_DONE
UNDER_LOAD = rocked.BEFORE_THE_WHEEL["judged under load"].format(why=rocked.APART) + rocked.SOUND_UNDER_LOAD
#: A sound bearing: one turn of a mount was written with its signs turned over, and read anew with the next.
SIGNS_TURNED = (
    FOUND, *thick(EVEN), FACE, ONCE, turn("mounted", 2, -wave(70.0)), *[turn("mounted", 3, wave(12.0))] * 2
)  # fmt: skip
#: One turn of four was left out, and two mounts of seven on a stud: those that agree are two more.
LEFT_OUT = (FOUND, *thick(EVEN), FACE, turn("mounted", 2, wave(60.0, 1, 140.0)), *[ONCE] * 3)
MOUNTS_OUT = (
    FOUND, *thick(EVEN), FACE, *(turn("mounted", mount, wave(45.0, 1, 130.0 * mount)) for mount in (2, 3)),
    *(turn("mounted", mount, wave(12.0)) for mount in (4, 5, 6, 7)),
)  # fmt: skip


def elsewhere(studs_turned=2, mount=3):
    return turn("mounted", mount, wave(12.0)).replace(f"mounted,{mount},0,", f"mounted,{mount},{studs_turned},") * 2


def decided(*turns, felt=""):
    return decide(parse((f"# bearing: {felt}\n" if felt else "") + HEAD + "".join(turns), "table"), LIMITS)


def words(one):
    return left_on.ordered(one).replace("\u00a0", " ")


def by_machine(one):
    return one_act.by_machine(one.act, one.told).what


def test_the_key_is_one_of_three_words_is_kept_and_is_written_back():
    table = HEAD + "".join(BESIDE)
    assert parse(table).bearing == ""
    for felt in SAID:
        told = parse(f"# Bearing:  {felt.upper()}\n{table}")
        assert told.bearing == felt
        assert f"# bearing: {felt}\n" in to_csv(told)
        assert parse(to_csv(told)).bearing == felt
    assert "bearing" not in to_csv(parse(table))
    for head, why in (
        ("# bearing: none", "no play | no play under load | play"),
        ("# bearing: no pley", "did you mean 'no play'"),
        ("# bearing:", "no play | no play under load | play"),
        ("# bearing: play\n# bearing: no play", "'no play' here, but 'play' further up"),
        ("# bearings: play", "did you mean bearing"),
    ):
        with pytest.raises(BadInput, match="bearing") as refused:
            parse(f"{head}\n{table}", "table.csv")
        assert why in str(refused.value)


def test_of_two_tables_play_in_one_is_play():
    rotor = HEAD + "".join((FOUND, CLEAN, *thick(EVEN)))
    for of_hub, of_rotor, both in (("", "", ""), ("play", "no play", "play"), ("no play", "", "no play")):
        hub = parse(f"# bearing: {of_hub}\n" * bool(of_hub) + HEAD + FACE)
        mounted = parse(f"# bearing: {of_rotor}\n" * bool(of_rotor) + rotor)
        assert together(hub, mounted).bearing == both


def test_a_turn_with_its_signs_turned_over_ends_once_the_hub_was_rocked_and_has_no_play():
    """Read anew, and everything else alike, the answer stood for ever at the bearing: nobody could say what he felt."""
    before, after = decided(*SIGNS_TURNED), decided(*SIGNS_TURNED, felt="no play")
    assert one_act.rocked_first(before.told)
    assert words(before).startswith("Before anything else the hub is rocked: mount 2 was left out, the others agree")
    assert "'# bearing: no play' or '# bearing: play', and it is asked again" in words(before)
    assert (after.act.what, one_act.rocked_first(after.told), after.told.bearing) == ("done", False, "no play")
    assert "rocked" not in words(after)
    assert not any("rocked" in one for one in to_read_again.remarks(after.told, after.read))
    ragged = 17.0 * np.array([-1.0, 0.2, 0.9, -0.7, 0.1, 1.0, -0.9, -0.3, 0.8, 0.4, -1.0, 0.6])
    knocks = (turn("mounted", 1, wave(14.0) + ragged, "as found"), *thick(EVEN), FACE, CLEAN)
    assert by_machine(decided(*knocks)) == "bearing"
    assert by_machine(decided(*knocks, felt="no play")) == "done"


def test_by_hand_a_bearing_may_feel_tight_so_turns_that_show_play_have_it_judged_under_load_before_the_wheel_goes_on():
    """Turns 45 µm apart on a bearing that knocks, "no play" by hand: "leave it there", and not a word of it."""
    ragged = 17.0 * np.array([-1.0, 0.2, 0.9, -0.7, 0.1, 1.0, -0.9, -0.3, 0.8, 0.4, -1.0, 0.6])
    knocks = (turn("mounted", 1, wave(14.0) + ragged, "as found"), *thick(EVEN), FACE, CLEAN)
    assert UNDER_LOAD in words(decided(*knocks, felt="no play"))
    # One odd turn may be a slip of the pen, or one throw of a bearing that feels tight: "leave it there", over 99 %.
    assert UNDER_LOAD in words(decided(*LEFT_OUT, felt="no play"))
    assert UNDER_LOAD not in words(decided(*SIGNS_TURNED, felt="no play"))  # the pen explains it
    assert decided(*MOUNTS_OUT, felt="no play").told.tight
    odd = (turn("mounted", 2, wave(60.0, 1, 140.0)), turn("mounted", 2, wave(70.0, 1, 20.0)))
    assert UNDER_LOAD in words(decided(FOUND, *thick(EVEN), FACE, *odd, *[ONCE] * 3, felt="no play"))
    assert UNDER_LOAD not in words(decided(*BESIDE, *thick(EVEN), felt="no play"))
    assert UNDER_LOAD not in words(decided(*knocks))


def test_turns_that_show_play_leave_nothing_on_in_words_either():
    """ "The runout is done: leave it there" stood under `do`: "bearing"."""
    ragged = 17.0 * np.array([-1.0, 0.2, 0.9, -0.7, 0.1, 1.0, -0.9, -0.3, 0.8, 0.4, -1.0, 0.6])
    one = decided(turn("mounted", 1, wave(14.0) + ragged, "as found"), *thick(EVEN), FACE, CLEAN)
    assert one.steps == (names.SCATTERS,)
    machine = of_readings._stage_one(one)
    assert (machine["act"]["what"], machine["next"], machine["rocked_first"]) == ("bearing", None, True)
    assert "leave it there" not in words(one).lower()
    assert "Before that this is not done: on clean faces it runs out 12 µm on stud 1, below the limit." in words(one)
    assert "Thinnest place read: 11.598" in words(one)
    made = finding(do=names.LEAVE)
    last = replace(made.told.states[-1], state="cleaned")
    last = replace(last, now=replace(last.now, left_out=1, left_out_of=-2))
    made = replace(made, told=replace(made.told, states=(*made.told.states[:-1], last)))
    line = causes_first.first_line(made, read(FOUR), Case())
    assert causes_first.called(made, read(FOUR), Case()) == names.SCATTERS
    assert "eave it there" not in line
    assert "Before that this is not done" in line
    assert ", if the bearing has no play)" in line
    assert verdicts.after_rows(made) == []  # nor is a share of passes


@pytest.mark.parametrize("then", [(), (elsewhere(mount=8),), (turn("mounted", 8, wave(12.0)) * 2,)])
def test_what_was_left_out_has_the_hub_rocked_wherever_the_rotor_went_since(then):
    """Moved to another stud, "done, leave it there" said no more of it, though the table held it as before."""
    one = decided(*MOUNTS_OUT, *then)
    assert words(one).startswith(
        "Before anything else the hub is rocked: 2 mounts, mount 3 the last of them, were left out, the"
    )
    assert "and it is asked again. Without play this follows. " in words(one)
    assert (one_act.rocked_first(one.told), by_machine(one)) == (True, one.act.what)  # what it orders stays
    assert "a turn of mount 2 was left out, the others agree" in words(decided(*LEFT_OUT))
    for table in (MOUNTS_OUT, LEFT_OUT):
        assert one_act.rocked_first(decided(*table, *then).told)
        assert not one_act.rocked_first(decided(*table, *then, felt="no play").told)
    dirty = [one.replace(",cleaned,", ",as found,") for one in MOUNTS_OUT[3:]]
    assert one_act.rocked_first(decided(FOUND, *thick(EVEN), *dirty).told)
    assert not one_act.rocked_first(decided(FOUND, *thick(EVEN), *dirty, FACE, turn("mounted", 7, wave(12.0))).told)


def test_how_many_turns_were_left_out_is_said_as_it_is():
    """ "A turn of mount 2 was left out, the others agree": two of seven were."""
    odd = [turn("mounted", 2, wave(60.0, 1, at)) for at in (140.0, 250.0)]
    lead = words(decided(FOUND, *thick(EVEN), FACE, *odd, *[ONCE] * 5))
    assert lead.startswith("Before anything else the hub is rocked: 2 of 7 turns of mount 2 were left out, the others")
    bare = [turn("hub face", 0, wave(40.0, 1, at)) for at in (0.0, 120.0)]
    lead = words(decided(FOUND, *thick(EVEN), *bare, *[FACE] * 3, CLEAN))
    assert lead.startswith("Before anything else the hub is rocked: 2 of 5 turns of the bare hub face were left out")


@pytest.mark.parametrize(
    "table", [(*BESIDE, *thick(EVEN)), (FOUND,), SIGNS_TURNED, (*BESIDE, *thick(EVEN + wave(60.0)))]
)
def test_play_that_was_felt_leads_and_nothing_but_the_bearing_is_bought(table):
    one = decided(*table, felt="play")
    assert (one.act.what, by_machine(one), one.steps) == ("bearing", "bearing", (names.SCATTERS,))
    machine = of_readings._stage_one(one)
    assert [machine[key] for key in ("next", "rocked_first", "bearing")] == [None, False, "play"]
    assert words(one) == f"{rocked.HAS_PLAY}."
    assert one_act.read_next(names.SCATTERS, True, one.act.hub_face, one.act.turns) is None
    (cure,) = cures_as_read(one, None, None, None)
    assert (cure.name, cure.enough) == ("bearing", None)


def test_the_cures_of_an_index_have_the_bearing_that_its_words_have():
    """ "1. leave it on: the runout is done" stood under "before anything else the hub is rocked"."""
    found = SimpleNamespace(rotor_goes="")
    first, last = cures_as_read(decided(*LEFT_OUT), None, None, found)
    assert (first.name, last.name) == ("rock the hub", "leave it on")
    assert last.why.startswith("where it has no play; ")
    for table, felt, ends in (
        (BESIDE, "", "the hub is rocked"), (LEFT_OUT, "no play", "the bearing is judged under load"),
        (BESIDE, "no play", "the runout is done"),
    ):  # fmt: skip
        (only,) = cures_as_read(
            decided(*table, *(() if table is LEFT_OUT else thick(EVEN)), felt=felt), None, None, found
        )
        assert only.why.endswith(ends), only.why


def test_with_a_case_play_that_was_felt_leads_before_stamp_and_causes():
    made = finding(do=names.SCATTERS)
    made = replace(made, told=replace(made.told, bearing="play"))
    thin = parse(
        "# bearing: play\n"
        + FOUR.read_text()
        + "".join(f"thickness,1,0,{at},9900,as found,\n" for at in range(0, 360, 30))
    )
    line = causes_first.first_line(made, thin, Case())
    assert line.startswith(rocked.HAS_PLAY)
    assert "Behind that its thickness counts all the same, and no rotor goes on a hub with play" in line
    assert causes_first.called(made, thin, Case()) == names.SCATTERS
    assert not causes_thickness.goes_by_stamp(made, "thin", stated=True)
    assert verdicts.verdict(made) == rocked.NOTHING_BLAMED
    assert verdicts.ranked_rows(made) == []
    assert open_work.box(made, "flange play") == open_work.PLAY_UNDER_LOAD
    assert open_work.part_boxes(made, "") == (open_work.PLAY_MENDED, open_work.OWN_FACE)
    assert causes_work.new_table(made)


def test_behind_what_a_case_states_first_the_bearing_comes_too(monkeypatch):
    made = finding(do=names.SCATTERS)
    for felt, too in (("play", rocked.PLAY_TOO), ("", "")):
        told = replace(made, told=replace(made.told, bearing=felt))
        for name, held in (("scale", ("", "")), ("nuts", (causes_first.NUTS, "stud 1 slack"))):
            monkeypatch.setattr(causes_first, "before_readings", lambda *_, name=name: name)
            monkeypatch.setattr(causes_first, "held_badly_by", lambda *_, held=held: held)
            assert causes_first.first_line(told, read(FOUR), Case()).endswith(too or ".")
            assert (rocked.PLAY_TOO in causes_first.first_line(told, read(FOUR), Case())) is bool(too)


def test_no_rocking_is_called_for_before_the_bearing_itself():
    one = decided(*MOUNTS_OUT)
    assert one_act.rocked_first(one.told, one.act)
    assert not one_act.rocked_first(one.told, replace(one.act, what="bearing"))


def test_a_worn_rotor_is_answered_behind_the_bearing_where_its_hub_was_rocked_and_has_play(tmp_path, capsys):
    assert tables_road.rocked_first(False) == ()
    assert tables_road.rocked_first(True) == (rocked.BEFORE_A_ROTOR,)
    for felt, play in (("play", True), ("no play", False)):
        table = tmp_path / f"{felt}.csv"
        table.write_text(f"# bearing: {felt}\n" + FOUR.read_text())
        assert worn_rotor.has_play(Case(), table) is play
        thin.answer(Scrap("rotor.thickness_mm", "9 mm", 9.0, Case()), Case(), table, as_json=True)
        assert (json.loads(capsys.readouterr().out)["leads"][0] == rocked.BEFORE_A_ROTOR) is play
    assert by_table.of(SimpleNamespace(case=Case()), None, tmp_path).leads == ()


@pytest.mark.parametrize("thin_too", [False, True])
def test_a_drive_from_a_table_whose_head_has_play_answers_with_the_bearing_and_no_road(
    thin_too, tmp_path, capsys, monkeypatch
):
    """Under 10 mm it had "read the stamp" and new rotors first; turns far apart were to be read until three agree."""
    apart = [turn("mounted", 2, wave(60.0, 1, at)) for at in (0.0, 90.0, 200.0)]
    table = tmp_path / "played.csv"
    table.write_text("# bearing: play\n" + HEAD + "".join((FOUND, FACE, *thick(EVEN), *apart)))
    assert by_table.plays(Case(), table)
    sound = tmp_path / "sound.csv"
    sound.write_text("# bearing: no play\n" + HEAD + "".join((FOUND, CLEAN)))
    assert not by_table.plays(Case(), sound)
    made = finding(do=names.SCATTERS)
    made = replace(made, told=replace(made.told, bearing="play"))
    one = replace(decided(*apart, felt="play"), case=Case(), found=made)
    monkeypatch.setattr("sim.causes.decision.decide", lambda *_, **__: one)
    monkeypatch.setattr(causes_first.one_act, "as_led", lambda *_: None)
    monkeypatch.setattr("scenes.words.causes_thickness.too_thin", lambda *_: "under 10 mm" if thin_too else "")
    assert by_table.at_the_bearing(Case(), table, as_json=True) == 0
    told = json.loads(capsys.readouterr().out)
    assert (told["do"], told["next"]) == ("bearing", None)
    assert told["leads"][0].startswith(rocked.HAS_PLAY)
    assert "forecast" not in told
    by_table.at_the_bearing(Case(), table, as_json=False, out=tmp_path)
    said = " ".join(capsys.readouterr().out.split())
    assert with_play.NO_ROAD in said
    where = [said.index(words) for words in (
        "The bearing has play. Judged under load",
        *(("this rotor goes on no more",) if thin_too else ()),
        "rotor off.",
        "Hub or bearing as the vehicle maker says, before anything is read or a rotor is bought",
        "its bare face first: over its limit stop",
        "Stop: bare face, runout and thickness into a new table",
    )]  # fmt: skip
    assert where == sorted(where)
    assert ("its stamp read" in said) is thin_too
    for bought in ("Renew the rotor", "both rotors of the axle", "wheel on, crosswise"):
        assert bought not in said


def test_a_rotor_that_is_scrap_waits_for_the_bearing_of_its_hub_in_list_and_by_machine(tmp_path, capsys):
    table = tmp_path / "thin.csv"
    for felt in ("play", "no play"):
        table.write_text(f"# bearing: {felt}\n" + FOUR.read_text())
        scrap = Scrap("rotor.thickness_mm", "9 mm", 9.0, Case())
        thin.answer(scrap, Case(), table, as_json=True)
        assert (json.loads(capsys.readouterr().out)["do"] == "bearing") is (felt == "play")
        thin.answer(scrap, Case(), table, as_json=False)
        said = " ".join(capsys.readouterr().out.split())
        assert ("before anything is read or a rotor is bought" in said) is (felt == "play")
        assert ("both rotors of the axle" in said or "Renew the rotor" in said) is (felt == "no play")


def test_index_of_a_hub_with_play_has_no_table_of_studs_and_asks_for_no_more_turns(tmp_path, capsys):
    """ "Stud 1: 35 µm as read, below, any of these, now" stood above "no reading counts", "read until three" below."""
    apart = [turn("mounted", 2, wave(60.0, 1, at)) for at in (0.0, 90.0, 200.0)]
    hub, rotor = tmp_path / "hub.csv", tmp_path / "rotor.csv"
    hub.write_text(HEAD + FACE)
    for felt in ("play", "no play"):
        rotor.write_text(
            f"# bearing: {felt}\n" + HEAD + "".join((FOUND, *thick(EVEN), *(apart if felt == "play" else [ONCE])))
        )
        app.index(None, hub=hub, rotor=rotor)
        said = " ".join(capsys.readouterr().out.split())
        played = felt == "play"
        assert (said.index("Hub and bearing first") < said.index(with_play.NO_ROAD)) if played else "stud 2" in said
        assert ("stud 2" in said) is not played
        assert not (played and "until three turns agree" in said)
        assert ("Should read: the middle" in said) is not played
        assert "Thickness: varies by" in said


def test_turns_that_part_though_the_hub_has_no_play_are_read_until_three_agree_and_end_at_the_bearing():
    moved = [turn("mounted", 2, wave(60.0, 1, at)) for at in np.arange(MOST_TURNS) * 43.0]
    for often, says, before in ((2, HOLD, ROCK), (6, STILL_NO_THREE, NO_END), (MOST_TURNS, ENDED_SO, ENDED)):
        said, once_said = (
            " ".join(fault.text for fault in decided(FOUND, FACE, *thick(EVEN), *moved[:often], felt=felt).read.faults)
            for felt in ("no play", "")
        )
        assert says in said
        assert before in once_said
        assert before not in said
        assert "bearing play" not in said
    ended = decided(FOUND, FACE, *thick(EVEN), *moved, felt="no play")
    assert ended.act.what == "bearing"
    assert "judged under load as the vehicle maker says, though by hand it has no play;" in words(ended)
    assert "as by hand it may feel tight" in words(decided(FOUND, FACE, *thick(EVEN), *moved))


@pytest.mark.parametrize("felt", ["", "no play"])
def test_index_has_turns_that_agree_count_at_once_where_the_hub_was_rocked_and_has_no_play(felt):
    """ "3 agree and count, once the hub was rocked and has no play", of a table whose head says that it was."""
    one = parse((f"# bearing: {felt}\n" if felt else "") + HEAD + "".join(LEFT_OUT), "table")
    (said,) = (note for note in index_readings(one, one).notes if "agree and count" in note)
    assert said.endswith("3 agree and count") is bool(felt)


@pytest.mark.parametrize("says", ["hub", "rotor"])
def test_of_two_tables_what_one_says_of_the_bearing_words_the_other(says, tmp_path):
    apart = [turn("mounted", 2, wave(60.0, 1, at)) for at in (0.0, 43.0)]
    off = [turn("hub face", "", wave(60.0, 1, at)).replace(",nuts and spacers,", ",,") for at in (0.0, 130.0)]
    rows = {"hub": (FOUND, *off), "rotor": (FOUND, *thick(EVEN), FACE, *apart)}
    for name, lines in rows.items():
        head = "# bearing: no play\n" if name == says else ""
        (tmp_path / name).write_text(head + HEAD + "".join(lines), encoding="utf-8")
    one, other = read_beside(tmp_path / "hub", tmp_path / "rotor")
    assert (one.bearing, other.bearing) == (("no play", "") if says == "hub" else ("", "no play"))
    for table in (one, other):
        (said,) = (fault.text for fault in table.faults if "the two turns" in fault.text)
        assert HOLD in said
        assert ROCK not in said
        assert "bearing play" not in said


def test_where_the_hub_is_rocked_before_something_is_read_again_it_is_said_how_what_was_felt_is_written():
    apart = [turn("mounted", 2, wave(45.0, 1, at)) for at in (0.0, 130.0)]
    mounts = [turn("mounted", mount, wave(45.0, 1, 110.0 * mount)) for mount in (2, 3, 4)]
    for table in (apart, mounts):
        one = decided(FOUND, FACE, *thick(EVEN), *table)
        assert one.act.what == "read again"
        assert words(one).endswith(rocked.WRITE_IT_TOO)
        assert rocked.WRITE_IT_TOO not in words(decided(FOUND, FACE, *thick(EVEN), *table, felt="no play"))
    made = finding(do=names.READ_AGAIN)
    for why, so in (("mounted, mount 2: read twice" + ROCK, True), ("mounted, mount 2: read 90 degrees again", False)):
        assert (rocked.WRITE_IT_TOO in causes_do.action(made, (why,))) is so


def test_mountings_that_part_though_the_hub_has_no_play_are_none_of_the_bearings():
    apart = [turn("mounted", mount, wave(45.0, 1, 110.0 * mount)) for mount in (2, 3, 4)]
    for felt, first in (
        ("", "The bearing first: the hub is rocked"),
        ("no play", "its bearing may have ('# bearing: no play under load' where not): nuts and studs"),
        ("no play under load", "Under load the bearing has no play: nuts and studs"),
    ):
        assert first in words(decided(FOUND, FACE, *thick(EVEN), *apart, felt=felt))
    for felt in ("", "no play"):
        assert ("bearing play" in words(decided(FOUND, FACE, *thick(EVEN), *apart[:2], felt=felt))) is not bool(felt)


def test_a_rotor_that_is_left_on_has_its_hub_rocked_before_the_wheel_goes_on_unless_it_was():
    """A bearing that throws the hub by 35 µm reads alike twice by chance: nothing in such readings tells it."""
    done = decided(*BESIDE, *thick(EVEN))
    assert done.act.what == "done"
    assert f"{BEFORE_THE_WHEEL}leave it there. Still to check: bearing play, " in words(done)
    assert BEFORE_THE_WHEEL not in words(decided(*BESIDE, *thick(EVEN), felt="no play"))
    assert BEFORE_THE_WHEEL not in words(decided(*LEFT_OUT))  # there it leads
    assert BEFORE_THE_WHEEL not in words(decided(FOUND))
    made = finding(do=names.LEAVE)
    last = replace(made.told.states[-1], state="cleaned")
    for felt, so in (("", True), ("no play", False)):
        told = replace(made.told, states=(*made.told.states[:-1], last), bearing=felt)
        line = causes_first.first_line(replace(made, told=told), read(FOUR), Case())
        assert (BEFORE_THE_WHEEL in line) is so


@pytest.mark.parametrize("door", ["table", "hub's table"])
def test_a_bearing_that_was_judged_under_load_is_asked_for_no_more(door):
    """Judged, and sound: no head said so, and the same answer came again."""
    by_hand, judged = (decided(*LEFT_OUT, felt=felt) for felt in ("no play", "no play under load"))
    assert "('# bearing: no play under load') leave it there" in words(by_hand)
    assert "under load" not in words(judged)
    assert "bearing play" not in words(judged)
    assert judged.act == by_hand.act
    assert "# bearing: no play under load\n" in to_csv(judged.read)
    part = [turn("mounted", 2 + k, wave(45.0, 1, 47.0 * k * k)) for k in range(12)]
    ends = [decided(FOUND, *thick(EVEN), FACE, *part, felt=felt) for felt in ("no play", "no play under load")]
    assert [one.act.what for one in ends] == ["bearing", "bearing"]
    assert "judged under load as the vehicle maker says, though by hand it has no play" in words(ends[0])
    assert "Under load the bearing has no play, as the table says" in words(ends[1])
    assert "is judged under load" not in words(ends[1])
    said = ("no play", "no play under load") if door == "table" else ("no play under load", "no play")
    assert together(*(replace(judged.read, bearing=one) for one in said)).bearing == "no play under load"


@pytest.mark.parametrize("felt", ["", "no play"])
def test_by_machine_the_hub_is_rocked_first_wherever_the_words_have_it_rocked(felt):
    """ "Rock the hub first: with play the bearing comes before any reading", and `rocked_first` was false."""
    apart = [turn("mounted", 2, wave(12.0 + 30.0 * k, 1, 100.0 * k)) for k in range(3)]
    part = [turn("mounted", mount, wave(45.0, 1, 130.0 * mount)) * 2 for mount in (2, 3, 4)]
    for table in ((FOUND, *thick(EVEN), FACE, *apart), (FOUND, *thick(EVEN), FACE, *part)):
        one = decided(*table, felt=felt)
        assert one.act.what == "read again"
        assert of_readings._stage_one(one)["rocked_first"] is not bool(felt)
        assert bool(rocked.ROCKED.search(words(one))) is not bool(felt)
    slip = of_readings._stage_one(decided(*BESIDE, *thick(EVEN, EVEN + wave(60.0))))
    assert (slip["act"]["what"], slip["rocked_first"]) == ("read again", False)  # a micrometer's: no hub is rocked


def test_by_machine_more_turns_of_the_micrometer_at_hand_are_no_finer_one():
    """ "Twice more" in the words, "thickness with a finer micrometer" in `do` and `next`."""
    for step, what in (("1", "thickness"), ("10", "thickness with a finer micrometer")):
        turns = "".join(thick(11_600.0 + wave(16.0, 2))).replace(",1\n", f",{step}\n")
        one = decided(*BESIDE, turns)
        assert one.act.what == "finer micrometer"
        assert of_readings._stage_one(one)["next"] == what
        assert by_machine(one) == {"1": "thickness", "10": "finer micrometer"}[step]


def in_head(made, play):
    """The finding, nothing or no play in its table's head."""
    return replace(made, told=replace(made.told, bearing="" if play else "no play"))


def test_checks_for_play_that_were_done_are_asked_for_no_more():
    """ "The bearing is checked for play; before that ... this is not done" stood for ever."""
    over = HubFace(40.0, 4.0, 23.0, "above", 64.0, 140.0, 40.0, 4.0)
    near = replace(over, runout_um=24.0, lean_um=24.0, state="too close to tell")
    out = replace(near, dial_um=1.0, times=4, turns=4)
    bump = replace(over, as_shown=Shown(40.0, 41.0, 6.0, 60.0, True, 12), uneven=True, to_look_at=True)
    made = finding(do=names.LEAVE)
    thin = {"thin": "10.02 mm at its thinnest"}
    for say, asked, left in (
        (
            lambda play: bare_face.hub_and_bearing(over, None, play),
            ". Check the bearing for play, then the bare",
            ". The bare",
        ),
        (
            lambda play: bare_face.hub_and_bearing(near, None, play),
            ". Check the bearing for play, then read",
            ". Read",
        ),
        (lambda play: bare_face.hub_and_bearing(out, None, play), ". Check the bearing for play, then hub", ". Hub"),
        (
            lambda play: bare_face.look_at(near, play),
            "no part is bought. Check the bearing for play",
            "no part is bought",
        ),
        (lambda play: bare_face.look_at(bump, play), "left on: bearing play, a straight", "left on: a straight"),
        (lambda play: bare_face.hub_too(bump, play), "left on: bearing play, a straight", "left on: a straight"),
        (
            lambda play: bare_face.near_its_limit(near, True, play),
            ". Check the bearing for play; before that no part",
            "; before that no part",
        ),
        (
            lambda play: bare_face.near_its_limit(out, True, play),
            ": the bearing is to be checked for play, and the",
            "): the face",
        ),
        (
            lambda play: bare_face.near_its_limit(out, False, play),
            "own limit; the bearing is to be checked for play.",
            "own limit.",
        ),
        (
            lambda play: causes_do.action(in_head(made, play)),
            "alone: bearing play, thickness against the stamp and cracks, the hub's own limit",
            "thickness against the stamp and cracks, the hub's own limit (its bare face was not read) are checks",
        ),
        (
            lambda play: causes_do.action(in_head(made, play), **thin),
            "Bearing play, cracks and the hub's own limit are checks",
            "Cracks and the hub's own limit are checks",
        ),
    ):
        assert asked in say(True)
        assert asked not in say(False)
        assert left in say(False)
    assert "bearing play" not in words(decided(*BESIDE, *thick(EVEN), felt="no play")).partition("If it still")[0]


@pytest.mark.parametrize("felt", ["", "no play"])
def test_neither_the_cures_nor_a_bare_face_near_its_limit_ask_for_a_check_that_was_done(felt):
    """ "Bearing play, then the bare face" in the cures of a table whose head said that the hub has none."""
    over = turn("hub face", "", wave(45.0)).replace(",nuts and spacers,", ",,")
    one = decided(FOUND, *thick(EVEN), over, over, CLEAN, felt=felt)
    (first, *_) = cures_as_read(one, None, None, Found())
    assert first.name == "hub and bearing"
    assert first.why.startswith("bearing play, then the bare face") is not bool(felt)
    assert first.why.endswith("the bare face; a new one begins a new table")
    made = finding(do=names.LEAVE, hub_face=HubFace(24.0, 4.0, 23.0, "too close to tell", 64.0, 140.0, 24.0, 4.0))
    said = written.sentences(replace(made, told=replace(made.told, bearing=felt)))
    assert ("check the bearing for play" in said) is not bool(felt)
    assert "read it again with the finest dial at hand" in said


@pytest.mark.parametrize("line", ["# bearing no play", "# turned clockwise", "# Bearing  PLAY"])
def test_a_head_without_its_colon_is_no_remark(line):
    with pytest.raises(BadInput, match="the colon is missing"):
        parse(f"{line}\n" + HEAD + "".join(BESIDE))
