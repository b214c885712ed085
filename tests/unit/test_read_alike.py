"""Two mounts of one stud that read otherwise end once a third agrees with one; so does what nobody can read again."""

from dataclasses import replace

import numpy as np
import pytest

from scenes.words import mountings as said
from scenes.words import to_read_again
from sim.bench.cleaned_again import settled
from sim.bench.mountings import ONE_SCREW, told_apart
from sim.bench.next_act import next_act
from sim.bench.seatings import COUNT
from sim.causes.decision import decide
from sim.files import face_turns
from sim.files.dial_readings import Readings, Trace
from sim.files.reading_faults import TAIL_OF_PART, Turn, read_twice
from tests.unit.test_mountings import ANGLE, EVEN, LIMITS, face_of, mounted

HUB, STOOD, MOVED = 3.0, 12.0, 60.0


def act_on(*traces):
    read, again = settled(Readings(5, 140.0, 64.0, 10.0, traces))
    found = told_apart(read, again)
    return next_act(read, found, LIMITS).what, found.states[-1].mounts, " ".join(read.notes)


def clean(*rotors, state="cleaned"):
    return [mounted(0, HUB, rotor, k, state) for k, rotor in enumerate(rotors, 1)]


def test_the_last_two_that_read_alike_count_and_the_first_no_more():
    rest = (EVEN, face_of(HUB))
    assert act_on(*clean(MOVED, STOOD), *rest)[0] == "read again"
    what, mounts, notes = act_on(*clean(MOVED, STOOD, STOOD), *rest)
    assert (what, mounts) == ("done", (2, 3))
    assert "mount 1 is left out: mounts 2 and 3 stand on the same stud and read alike" in notes


@pytest.mark.parametrize("odd", [(STOOD, MOVED, STOOD), (STOOD, MOVED, MOVED, STOOD, STOOD)])
def test_one_that_came_back_leaves_out_what_stood_between(odd):
    what, mounts, _ = act_on(*clean(*odd), EVEN, face_of(HUB))
    assert (what, mounts) == ("done", tuple(k for k, one in enumerate(odd, 1) if one == STOOD))


def test_where_most_mounts_of_a_stud_part_no_two_that_agree_count_and_the_bearing_comes_first():
    """A bearing with play threw each turn anew: of five that lay 70 µm apart two agreed, "36 ± 4, leave it there"."""
    rest = (EVEN, face_of(HUB))
    play = (MOVED, -MOVED, 2.0 * MOVED, STOOD, STOOD)
    for taken in (play[:3], play):
        what, mounts, notes = act_on(*clean(*taken), *rest)
        assert (what, mounts) == ("read again", tuple(range(1, len(taken) + 1)))
        assert "left out" not in notes
    read, again = settled(Readings(5, 140.0, 64.0, 10.0, (*clean(*play), *rest)))
    found = told_apart(read, again)
    act = next_act(read, found, LIMITS)
    assert act.against == "too close to tell"
    assert found.states[-1].scatter_um > 100.0
    lead = said.lead(found, act, [])
    assert "each as unsure as they scatter; so far mounts " in lead
    assert "read alike, mounts " in lead
    assert "like no other. The bearing first: the hub is rocked, its end float read by dial" in lead
    line = said.against_limit(found, act, True).replace("\u00a0", " ")
    assert f"by what the mountings there scatter: ± {found.states[-1].scatter_um:.0f} µm (k = 2)" in line


def test_two_more_that_agree_than_part_end_mounts_that_parted_once_the_hub_was_rocked():
    """Of a rotor that sat otherwise each time, by up to 71 µm, three of five agreed: "at the limit, leave it there"."""
    rest = (EVEN, face_of(HUB))
    for few in (
        (MOVED, 2.0 * MOVED, STOOD),
        (STOOD, MOVED, 2.0 * MOVED, STOOD),
        (MOVED, STOOD, 2.0 * MOVED, STOOD, STOOD),
        (MOVED, -MOVED, STOOD, STOOD, STOOD),
        (MOVED, -MOVED, 2.0 * MOVED, -2.0 * MOVED, STOOD, STOOD, STOOD),
    ):
        what, mounts, notes = act_on(*clean(*few), *rest)
        assert (what, mounts, notes) == ("read again", tuple(range(1, len(few) + 1)), "")
    read = settled(Readings(5, 140.0, 64.0, 10.0, (*clean(*few), *rest)))[0]
    told = to_read_again.contradictions(told_apart(read))[0]
    assert "so far mounts 5, 6 and 7 read alike" in told
    assert told.endswith(COUNT)
    enough = clean(MOVED, -MOVED, 2.0 * MOVED, STOOD, STOOD, STOOD, STOOD, STOOD)
    what, mounts, notes = act_on(*enough, *rest)
    assert (what, mounts) == ("done", (4, 5, 6, 7, 8))
    assert "mount 3 is left out: mounts 4, 5, 6, 7 and 8 stand on the same stud and read alike" in notes
    parted = (*enough, *rest)
    read, again = settled(Readings(5, 140.0, 64.0, 10.0, parted))
    found = told_apart(read, again)
    assert said.lead(found, next_act(read, found, LIMITS), []).startswith("Before anything else the hub is rocked")
    two = told_apart(settled(Readings(5, 140.0, 64.0, 10.0, (*clean(MOVED, STOOD), *rest)))[0])
    assert "bearing play, dirt that moved, or nuts" in to_read_again.contradictions(two)[0]


def test_a_mount_one_of_whose_turns_differs_is_let_go_once_others_read_alike():
    """One of its turns agreed with them, so it stayed, and "read it there once more" was ordered four times."""
    before, once, again = clean(STOOD, STOOD, MOVED)
    later = [mounted(0, HUB, STOOD, k, "cleaned") for k in (3, 4)]
    what, mounts, notes = act_on(before, once, replace(again, mount=2), *later, EVEN, face_of(HUB))
    assert (what, mounts) == ("done", (1, 3, 4))
    assert "mount 2 is left out: mounts 1, 3 and 4 stand on the same stud and read alike" in notes


def test_what_contradicted_itself_as_found_is_not_asked_for_once_it_was_cleaned():
    found = clean(MOVED, STOOD, state="as found")
    assert act_on(*found, EVEN)[0] == "read again"
    assert act_on(*found, mounted(0, HUB, STOOD, 3, "cleaned"), EVEN, face_of(HUB))[0] == "second turn"


def test_a_turn_under_one_screw_counts_for_nothing_once_it_was_read_held():
    loose, held = clean(MOVED, STOOD)
    loose = replace(loose, clamped_by=ONE_SCREW)
    assert act_on(loose, EVEN)[0] == "read again"
    what, mounts, notes = act_on(loose, replace(held, clamped_by="nuts and spacers"), EVEN, face_of(HUB))
    assert (what, mounts) == ("second turn", (2,))
    assert "mount 1 is left out: held by the screw only" in notes


def test_a_mount_over_its_limit_is_not_left_on_for_the_middle_with_those_before_it():
    """It read 56, as it stood; two mounts before it had read 38 and 35: "below, leave it there"."""
    before = [replace(one, dial_um=1.0) for one in clean(16.0, 15.0)]
    stands = [replace(mounted(0, HUB, 25.0, 3, "cleaned"), dial_um=1.0)]
    rest = (EVEN, face_of(HUB))
    assert act_on(*before, *stands, *rest)[0] == "read again"
    read, again = settled(Readings(5, 140.0, 64.0, 10.0, (*before, *stands, *rest)))
    found = told_apart(read, again)
    lead = said.lead(found, next_act(read, found, LIMITS), []).replace("\u00a0", " ")
    assert "mount 3 by itself reads 56 µm, over the limit of 50 µm, and the middle with those before it" in lead
    assert "leave it there" not in lead.lower()
    anew = replace(mounted(0, HUB, 16.0, 4, "cleaned"), dial_um=1.0)
    assert act_on(*before, *stands, anew, *rest)[0] != "read again"


def test_the_middle_of_three_that_reads_over_is_the_end_and_of_two_it_is_not_called_no_less():
    """48, 57 µm, limit 50: "the middle of 52 makes it no less"; 48, 53, 58: read again, and again."""
    rest = (EVEN, face_of(HUB))
    before, after, last = (replace(one, dial_um=1.0) for one in clean(20.9, 23.4, 25.9))
    two = (before, replace(last, mount=2))
    assert act_on(*two, *rest)[0] == "read again"
    read, again = settled(Readings(5, 140.0, 64.0, 10.0, (*two, *rest)))
    found = told_apart(read, again)
    lead = said.lead(found, next_act(read, found, LIMITS), [])
    assert "is over it too, by less than the dial tells" in lead
    assert "makes it no less" not in lead
    assert act_on(before, after, last, *rest)[0] not in ("read again", "done")


@pytest.mark.parametrize(("dial_um", "ordered"), [(25.4, False), (10.0, True)])
def test_one_division_of_a_coarse_dial_is_no_play(dial_um, ordered):
    """A rotor of 18 µm read all alike in thousandths of an inch, put on anew one division up over half a turn."""
    shown = 25.4 * (np.abs(ANGLE - 180.0) > 90.0)
    ons = [Trace("mounted", k, 0, ANGLE, k * shown, None, "cleaned", dial_um=dial_um) for k in (0, 1)]
    found = told_apart(Readings(5, 140.0, 64.0, dial_um, (*ons, EVEN, face_of(HUB))))
    assert bool(to_read_again.contradictions(found)) is ordered
    twice = [Turn("mounted", "mounted, mount 1", np.arange(24) * 15.0, np.repeat(one.value_um, 2)) for one in ons]
    assert (read_twice(*twice, dial_um, TAIL_OF_PART) is not None) is ordered
    bare = [replace(face_of(0.0), value_um=one.value_um, dial_um=dial_um) for one in ons]
    assert (len(face_turns.alike(bare, lambda one: dial_um)) == 1) is ordered


def test_two_divisions_of_a_coarse_dial_are_told():
    shown = 50.8 * (np.abs(ANGLE - 180.0) > 90.0)
    ons = [Trace("mounted", k, 0, ANGLE, k * shown, None, "cleaned", dial_um=25.4) for k in (0, 1)]
    assert to_read_again.contradictions(told_apart(Readings(5, 140.0, 64.0, 25.4, (*ons, EVEN, face_of(HUB)))))


def test_no_part_is_bought_at_the_limit_while_a_stud_that_nobody_tried_may_be_under_it():
    """A middle of 52 on stud 3 counted as over 50, "then the rotor", and stud 4 would have read 42."""
    hub, rotor = 7.0 * np.exp(np.radians(-30.0) * 1j), 28.0
    there = [mounted(2, hub, rotor, 2, "cleaned") for _ in range(3)]
    turns = (mounted(0, hub, rotor, 1, "cleaned"), *there, EVEN, face_of(7.0))
    fine = Readings(5, 140.0, 64.0, 1.0, turns)
    act = next_act(fine, told_apart(fine), LIMITS)
    assert (act.what, act.studs_turned, act.turns) == ("index", 3, 3)
    assert "studs on from stud 1" in said.lead(told_apart(fine), act, [])
    # Where every stud that may be under it was read it ends.
    tried = [mounted(at, hub, rotor + 5.0, 3 + at, "cleaned") for at in (3, 4)]
    back = [mounted(2, hub, rotor, 9, "cleaned") for _ in range(3)]
    every = Readings(5, 140.0, 64.0, 1.0, (*turns[:1], *tried, *back, EVEN, face_of(7.0)))
    assert next_act(every, told_apart(every), LIMITS).what == "at the limit"


@pytest.mark.parametrize(
    "rotors",
    [(30.0, 30.0, 17.0, 17.0), (17.0, 17.0, 30.0, 30.0), (30.0, 17.0, 30.0, 17.0), (27.0, 27.0, 18.0, 18.0)],
)
def test_two_mountings_against_two_are_no_middle_and_the_last_pair_does_not_outvote_the_first(rotors):
    """66, 66, 40, 40 of a limit of 50: the last two left the first two out, "40 µm, leave it there"; 60 and 42: 51."""
    rest = (EVEN, face_of(HUB))
    turns = [replace(one, dial_um=1.0, value_um=np.round(one.value_um)) for one in clean(*rotors)]

    def told(*more):
        return decide(Readings(5, 140.0, 64.0, 1.0, (*turns, *more, *rest)), LIMITS)

    four = told()
    lead = said.lead(four.told, four.act, to_read_again.doubts(four.read))
    assert (four.act.what, four.act.turns) == ("read again", 4)
    assert "by more than mountings scatter: rock the hub first" in lead
    assert f"under the next mount number: {COUNT}" in lead
    assert "left out" not in " ".join(four.read.notes)
    for reads in sorted(set(rotors)):
        fifth = told(replace(mounted(0, HUB, reads, 5, "cleaned"), dial_um=1.0))
        assert fifth.act.what == ("done" if reads < 20.0 else "index")


def test_two_and_two_of_one_mount_or_by_twos_are_read_on_whatever_their_middle_says():
    for mounts in ((2, 2, 3, 3), (2, 2, 2, 2)):
        turns = [
            replace(mounted(0, HUB, rotor, mount, "cleaned"), dial_um=1.0)
            for mount, rotor in zip(mounts, (27.0, 27.0, 18.0, 18.0), strict=True)
        ]
        asked = decide(Readings(5, 140.0, 64.0, 1.0, (*turns, EVEN, face_of(HUB))), LIMITS)
        assert asked.act.what == "read again"
        assert f"mounted, mount {mounts[-1]}: 2 of 4 turns read over the limit" in asked.read.faults[0].text
    near = [mounted(0, HUB, rotor, k, "cleaned") for k, rotor in enumerate((24.5, 24.5, 21.5, 21.5), 2)]
    read = Readings(5, 140.0, 64.0, 1.0, (*near, EVEN, face_of(HUB)))
    assert decide(read, LIMITS).act.what != "read again"  # as mountings scatter


@pytest.mark.parametrize("rotors", [(30.0j, 30.0j, 12.0, 12.0), (30.0j, 30.0j, 30.0j, 12.0, 12.0)])
def test_two_against_three_end_by_more_than_the_others(rotors):
    """ "Mounts 3, 4 and 6 read alike, and mounts 5 and 7 do: once more: three that agree count": three did agree."""
    turns = [mounted(0, HUB, rotor, k, "cleaned") for k, rotor in enumerate(rotors, 2)]
    asked = decide(Readings(5, 140.0, 64.0, 10.0, (*turns, EVEN, face_of(HUB))), LIMITS)
    assert asked.read.faults[0].text.endswith(f"under the next mount number: {COUNT}")
