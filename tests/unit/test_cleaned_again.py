"""A second cleaning: dirt on the rotor's seat shows by it, no rotor is bought before it, nobody cleans for ever."""

from dataclasses import replace

import numpy as np
import pytest

from scenes.words import hub_and_rotor
from scenes.words import mountings as said
from sim import advice
from sim.bench.cleaned_again import settled
from sim.bench.cures import Found
from sim.bench.from_readings import index_readings
from sim.bench.mountings import told_apart
from sim.bench.next_act import next_act
from sim.bench.taper_shims import Shim, ShimResult
from sim.causes import names
from sim.causes.answer import DirtLeft
from sim.causes.cures_as_read import cures_as_read
from sim.causes.decision import decide
from sim.causes.ordered import _by_readings_alone, _ends, _not_a_third_time, _where_none_fits
from sim.files.dial_readings import Readings
from sim.files.reading_faults import TWICE, ReadingFault
from sim.parts.case import Case, Rotor
from tests.unit.test_mountings import EVEN, LIMITS, face_of, mounted

HUB, BAD = 3.0, 55.0
FILM = 50.0 * np.exp(1j)


def asked(*traces, faults=()):
    """Act, what is told, and its words, of a table that may hold a second cleaning."""
    read, again = settled(Readings(5, 140.0, 64.0, 10.0, traces, faults=faults))
    found = told_apart(read, again)
    act = next_act(read, found, LIMITS)
    return act, found, said.lead(found, act, []), hub_and_rotor.sentences(found)


def clean(*on_rotor, last="cleaned again", hub=HUB):
    """Studs 1 and 3 on clean faces, then stud 3 once more after a second cleaning."""
    states = ("cleaned", "cleaned", last)
    return [
        mounted(stud, hub, rotor, k, state)
        for k, (stud, rotor, state) in enumerate(zip((0, 2, 2), on_rotor, states, strict=False), 1)
    ]


def test_no_rotor_is_bought_before_its_seat_was_cleaned_once_more_and_then_it_is():
    once = clean(BAD, BAD)
    act, _, text, _ = asked(*once, EVEN, face_of(HUB))
    assert (act.what, act.studs_turned) == ("rotor's seat", 2)
    assert "before a rotor is bought: dirt that cleaning left on the rotor's seat turns with the rotor" in text
    assert "stud 3, the same as it was read on last" in text
    assert "state cleaned again" in text
    act, found, text, sentences = asked(*clean(BAD, BAD, BAD), EVEN, face_of(HUB), face_of(HUB))
    assert act.what == "open"
    assert "then the rotor, renewed or cut as the vehicle maker allows" in text
    assert found.again.over_dirt == ()
    assert any("not told from none: what is left is no dirt that a brush takes" in one for one in sentences)


def test_a_shim_stands_behind_the_part_that_is_ordered_in_its_place():
    """What comes first among the cures is what the table orders."""
    read = Readings(5, 140.0, 64.0, 10.0, (*clean(BAD, BAD, BAD), EVEN, face_of(HUB), face_of(HUB)))
    decided, indexed = decide(read, LIMITS), index_readings(read, read)
    shims = ShimResult(Shim(50.0, 2, 0, 30.0), Shim(100.0, 3, 4, 18.0), None)
    part, shim = cures_as_read(decided, indexed.result, shims, Found())
    assert (decided.act.what, part.name, shim.name) == ("open", "part", "shim")
    assert shim.why.startswith("in its place, where the maker allows it: 50 µm")
    goes = cures_as_read(decided, indexed.result, shims, Found(rotor_goes="it varies by 30 µm"))
    assert [one.name for one in goes] == ["replace the rotor"]


def test_dirt_on_the_seat_goes_with_the_second_cleaning_and_what_was_read_over_it_counts_no_more():
    traces = (*clean(6.0 + FILM, 6.0 + FILM, 6.0), EVEN, face_of(HUB))
    gone = ReadingFault(TWICE, "mounted, mount 2", (90.0,), 20.0, 5.0, "mounted, mount 2: read it again")
    act, found, text, sentences = asked(*traces, faults=(gone,))
    assert act.what == "second turn"
    assert found.again.over_dirt == (1, 2)
    assert found.again.took[1].runout_um == pytest.approx(100.0)
    assert found.states[-1].mounts == (3,)
    assert hub_and_rotor.rows(found)[-1][1] == "cleaned again"  # as its table calls it
    assert "on stud 3, cleaned again; below" in said.against_limit(found, act, False)
    overtaken = "dirt that the first left or how it sat: mounts 1 and 2 were read before it and count no more"
    assert any(overtaken in one for one in sentences)
    # Two humps that went, as of scale on the spigot, are seen as well.
    humps = [
        replace(one, value_um=one.value_um + 20.0 * np.cos(2 * np.radians(one.angle_deg))) for one in clean(6.0, 6.0)
    ]
    _, found, _, sentences = asked(*humps, mounted(2, HUB, 6.0, 3, "cleaned again"), EVEN, face_of(HUB))
    assert found.again.over_dirt == (1, 2)
    assert any("and two humps of 40 ± " in one for one in sentences)
    # Still over the limit it is put on another stud, as after a first cleaning.
    act, found, *_ = asked(*clean(BAD + FILM, BAD + FILM, BAD), EVEN, face_of(HUB))
    assert (act.what, found.parted) == ("another stud", False)


def test_on_a_stud_where_nothing_clean_was_read_a_second_cleaning_tells_nothing():
    elsewhere = [*clean(BAD, BAD), mounted(4, HUB, BAD, 3, "cleaned again")]
    act, found, *_ = asked(*elsewhere, EVEN, face_of(HUB))
    assert found.again is None
    assert act.what == "rotor's seat"
    assert found.states[-1].mounts == (1, 2, 3)


def test_who_moved_the_rotor_with_the_second_cleaning_is_not_sent_to_clean_for_ever():
    """Read on another stud than told: moved back, or obeyed on that one, the second cleaning is beside a first."""
    elsewhere = [*clean(BAD, BAD), mounted(4, HUB, BAD, 3, "cleaned again")]
    for stud in (2, 4):
        last = mounted(stud, HUB, BAD, 4, "cleaned again")
        act, found, _, _ = asked(*elsewhere, last, EVEN, face_of(HUB), face_of(HUB))
        assert (act.what, found.again.went) == ("open", False), stud
    # Put on there again, or tightened anew, nothing was cleaned between: no rotor is bought on that.
    for state in ("cleaned", "retorqued"):
        act, found, _, _ = asked(*elsewhere, mounted(4, HUB, BAD, 4, state), EVEN, face_of(HUB))
        assert (act.what, found.again) == ("rotor's seat", None), state
    gone = [*clean(BAD, BAD), mounted(4, HUB, BAD, 3, "cleaned again"), mounted(4, HUB, 6.0, 4, "cleaned again")]
    assert asked(*gone, EVEN, face_of(HUB))[1].again.over_dirt == (1, 2, 3)


def test_nobody_cleans_a_third_time_nor_buys_a_hub_whose_face_does_not_explain_it():
    """50 um TIR stay with the hub, 6 of them its face's: cleaned once more, then something else."""
    first = [mounted(stud, 45.0, 8.0, k, "cleaned") for k, stud in enumerate((0, 2), 1)]
    act, _, text, _ = asked(*first, EVEN, face_of(3.0))
    assert (act.what, act.also) == ("clean again", ("bare hub",))
    assert "With the rotor off read the bare hub face once more too (state cleaned again)" in text
    act, _, text, _ = asked(*first, EVEN, face_of(3.0), face_of(3.0))
    assert (act.what, act.also, "once more too" in text) == ("clean again", (), False)
    again = [*first, mounted(2, 45.0, 8.0, 3, "cleaned again")]
    # One turn of that face may be the one that is off (a hub 35 µm out was read as 4, and cleaned for ever).
    act, _, text, _ = asked(*again, EVEN, face_of(3.0))
    assert (act.what, act.also) == ("bare hub", ())
    assert "bare clean hub face once more" in text
    assert "read by one turn alone since it was cleaned last" in text
    # Nor is it ended on the one turn of the first stud, which may be the one that is off.
    act, _, text, _ = asked(*again, EVEN, face_of(3.0), face_of(3.0))
    assert (act.what, act.studs_turned) == ("another stud", 0)
    act, _, text, _ = asked(*again, mounted(0, 45.0, 8.0, 4, "cleaned again"), EVEN, face_of(3.0), face_of(3.0))
    assert act.what == "open"
    assert "no part by these readings" in text
    assert "though it was cleaned twice and its bare face does not explain it" in text
    # Where, by what tool, and how it ends: the same order came for ever.
    assert "scale that a brush leaves, most of all towards stud 1; a scraper or a stone takes it" in text
    assert "no more reading is asked: hub and bearing as the vehicle maker says; until then this is not done" in text
    # Crust that no brush takes off the rotor's seat turns with the rotor: it is looked at before one is bought.
    crust = [mounted(stud, 6.0, 45.0, k, state) for k, (stud, state) in enumerate(
        ((2, "cleaned"), (0, "cleaned"), (0, "cleaned again")), 1)]  # fmt: skip
    act, _, text, _ = asked(*crust, EVEN, face_of(6.0), face_of(6.0))
    assert act.what == "open"
    assert "goes with the rotor" in text.partition("; before money is spent a straight edge across the rotor's seat")[0]
    # Nor is it left on where only this rotor holds the runout down.
    low = [mounted(stud, 30.0, -26.0, k, state) for k, (stud, state) in enumerate(
        ((2, "cleaned"), (0, "cleaned"), (0, "cleaned again")), 1)]  # fmt: skip
    low.append(mounted(2, 30.0, -26.0, 4, "cleaned again"))
    low.append(mounted(0, 30.0, -26.0, 5, "cleaned again"))
    act, _, text, _ = asked(*low, EVEN, face_of(3.0), face_of(3.0))
    assert (act.what, act.against) == ("open", "below")
    assert text.startswith("Not done: on clean faces it runs out")
    assert "the nuts slackened and tightened crosswise" in text
    # What its limit lets stay holds nothing up: what the dial reads under the limit is done, fit a cause or not.
    less = [mounted(one.studs_turned, 16.0, -11.0, one.mount, one.state) for one in low]
    act, found, *_ = asked(*less, EVEN, face_of(3.0))
    assert found.stayed_beyond.told
    assert act.what == "done"
    assert _where_none_fits(act, {}, None, False, None) == names.LEAVE
    assert _where_none_fits(replace(act, what="read again"), {}, None, False, None) == names.READ_AGAIN
    other = {"finer dial": names.MEASURE + names.FINER_DIAL, "at the limit": names.AT_LIMIT, "index": names.READ_AGAIN}
    assert {what: _by_readings_alone(names.READ_AGAIN, replace(act, what=what)) for what in other} == other
    assert [_ends(names.LEAVE, act), _ends(names.INDEX, act)] == [True, False]


def test_a_table_without_a_second_cleaning_is_what_it_was():
    read = Readings(5, 140.0, 64.0, 10.0, tuple(clean(BAD, BAD)))
    same, again = settled(read)
    assert again is None
    assert [one.state for one in same.traces] == ["cleaned", "cleaned"]
    alone = replace(read, traces=(mounted(0, HUB, BAD, 1, "cleaned again"),))
    same, again = settled(alone)
    assert (again.mounts, again.took) == ((1,), {})  # his word: the table of the first cleaning is not here
    assert same.traces[0].state == "cleaned"


def test_who_is_sent_to_the_bare_hub_with_a_coarse_dial_hears_that_a_true_face_reads_all_alike():
    """The table refuses such a turn without a feeler under the tip; a fine dial shows any lean."""
    once = clean(BAD, BAD)
    act, _, text, _ = asked(*once, EVEN)
    assert act.what == "bare hub"
    assert "0.1 mm feeler under the tip then moves is one more line of that turn" in text
    assert "feeler" not in asked(*(replace(one, dial_um=1.0) for one in once), EVEN)[2]
    first = replace(once[0], state="as found")
    assert "read the bare hub face too" in asked(first, EVEN)[2]
    assert "0.1 mm feeler under the tip" in asked(first, EVEN)[2]


def test_nuts_tightened_anew_on_clean_faces_undo_no_cleaning():
    """Ordered before a second cleaning, read under the same mount: what comes next is that cleaning, no first one."""
    clean_faces = [mounted(stud, 45.0, 8.0, k, "cleaned") for k, stud in enumerate((0, 2), 1)]
    assert asked(*clean_faces, EVEN, face_of(3.0))[0].what == "clean again"
    act, found, *_ = asked(*clean_faces, mounted(2, 45.0, 8.0, 2, "retorqued"), EVEN, face_of(3.0))
    assert act.what == "clean again"
    assert found.states[-1].mounts == (1, 2)
    # Where it was the nuts, the turn before them counts no more.
    act, found, *_ = asked(*clean_faces[1:], mounted(2, 3.0, 8.0, 2, "retorqued"), EVEN, face_of(3.0))
    assert act.what == "second turn"
    assert found.states[-1].mounts == (2,)


def test_index_takes_the_turns_of_a_stud_as_causes_does():
    """Tightened anew on clean faces it was told to clean again, and the last of four turns counted alone: 25 for 29."""
    anew = [replace(mounted(2, 3.0, 12.0 + k, 3 + k, "retorqued"), dial_um=1.0) for k in range(3)]
    first = replace(mounted(2, 3.0, 12.0, 2, "cleaned"), dial_um=1.0)
    read = Readings(5, 140.0, 64.0, 10.0, (mounted(0, 3.0, 12.0, 1, "cleaned"), first, *anew, face_of(3.0)))
    indexed, act = index_readings(read, read), asked(*read.traces, EVEN)[0]
    assert indexed.cleaned
    assert (indexed.turns, indexed.now) == (act.turns, 2) == (4, 2)
    assert indexed.read_um == pytest.approx(act.read_um)


def test_what_was_read_before_a_second_cleaning_is_let_go_once_two_after_it_read_alike_on_its_stud():
    """Eight mounts were ordered one after the other, each against the one before the cleaning, in a sentence each."""
    twice = [*clean(BAD, BAD, BAD), mounted(0, HUB, 20.0, 4, "cleaned again")]
    rest = (EVEN, face_of(HUB))
    act, _, lead, _ = asked(*twice, *rest)
    assert (act.what, "back on stud 1, tighten the nuts crosswise in stages and read it there once more" in lead) == (
        "read again", True)  # fmt: skip
    act, found, lead, _ = asked(*twice, mounted(0, HUB, 21.0, 5, "cleaned again"), *rest)
    assert 1 not in found.states[-1].mounts
    assert act.what != "read again"
    # Moved on since, it is told where.
    act, _, lead, _ = asked(*twice, mounted(2, HUB, BAD, 5, "cleaned again"), *rest)
    assert (act.what, "put the painted hole back on stud 1" in lead) == ("read again", True)
    assert (lead.count(" stood where "), "stands where" in lead) == (1, False)


def test_what_a_second_cleaning_moved_is_no_contradiction():
    """So far apart that two mounts of one state contradict each other, and by both orders not told from none."""
    for gone in np.arange(10.0, 24.0, 0.25):
        act, found, _, _ = asked(*clean(6.0 + gone, 6.0 + gone, 6.0), EVEN, face_of(HUB))
        assert act.what != "read again", (gone, found.again.went)


def test_a_third_cleaning_is_for_dirt_that_the_second_took_some_of_and_there_is_no_fourth():
    act, found, _, _ = asked(*clean(6.0 + FILM, 6.0 + FILM, 6.0), EVEN, face_of(HUB))
    dirt = DirtLeft(0.95, True, (10.0, 40.0, 60.0), 0.8, 2)

    def do(again, left):
        return _not_a_third_time(names.LEAVE, act, replace(found, again=again), 50.0, left)

    assert do(found.again, dirt) == names.CLEAN
    assert do(found.again, replace(dirt, probability=0.3)) == names.LEAVE
    assert do(replace(found.again, went=False), dirt) == names.LEAVE
    assert do(replace(found.again, mounts=(3, 4)), dirt) == names.LEAVE


def test_a_rotor_whose_hub_face_is_still_to_be_read_out_is_not_called_done_in_the_list():
    """Under "this is not done" the list began with "leave it on: the runout is done"."""
    near = replace(face_of(23.0 * 140.0 / 64.0 / 2.0), dial_um=1.0)
    read = Readings(5, 140.0, 64.0, 10.0, (*clean(-20.0, last="cleaned", hub=25.0), EVEN, near))
    decided = decide(read, LIMITS)
    assert (decided.act.what, decided.act.hub_face.state) == ("done", "too close to tell")
    (leave,) = cures_as_read(decided, index_readings(read, read).result, None, Found())
    assert (leave.name, leave.enough) == ("leave it on", None)
    assert "only once its bare hub face was read out" in leave.why


def test_where_the_thickness_condemns_the_list_stays_with_what_leads():
    """It read "replace the rotor" first beside a lead that orders a reading, the hub, or the stamp."""
    read = Readings(5, 140.0, 64.0, 10.0, (*clean(BAD, BAD, BAD), EVEN, face_of(HUB), face_of(HUB)))
    decided, index = decide(read, LIMITS), index_readings(read, read).result

    def listed(decision):
        return cures_as_read(decision, index, None, Found(rotor_goes="it is 9.63 mm thin"))

    slipped = replace(decided, act=replace(decided.act, what="read again"))
    assert [one.name for one in listed(slipped)] == ["read again"]
    hub, renewed = listed(replace(decided, act=replace(decided.act, what="hub")))
    assert (hub.name, renewed.name) == ("hub and bearing", "replace the rotor")
    assert renewed.why.startswith("it is 9.63 mm thin; on a clean hub")
    stamp, part = listed(replace(decided, case=Case()))  # its discard thickness is a part set's
    assert (stamp.name, stamp.why, part.name) == ("read the stamp", "it is 9.63 mm thin", "part")
    assert part.why.startswith("only over its stamp; ")
    move = replace(part, name="index")
    assert advice._moves((move,))
    assert not advice._moves((stamp, move))  # nobody read the stamp yet
    own = replace(decided, case=Case(rotor=Rotor(minimum_thickness_mm=10.5)))
    assert [one.name for one in listed(own)] == ["replace the rotor"]
