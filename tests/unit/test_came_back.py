"""Mountings of one stud end by one rule, in one wording from ask to ask, and those that agree are named."""

from __future__ import annotations

from dataclasses import replace

import pytest

from scenes.words import acts, to_read_again
from sim.bench import mostly_over, two_and_two
from sim.bench.mountings import told_apart
from sim.bench.read_alike import mounts_alike
from sim.bench.seatings import COUNT
from sim.files.dial_readings import Readings
from tests.unit.test_mountings import EVEN, LIMITS, mounted

ELSEWHERE = (12.0, 40.0j, -40.0, -40.0j, 60.0)


def asked(*which):
    """What is said of clean mounts of stud 3, each on one of several seats; nothing where they agree."""
    turns = [mounted(2, 5.0, ELSEWHERE[seat], mount, "cleaned") for mount, seat in enumerate(which, 2)]
    read = mounts_alike(Readings(5, 140.0, 64.0, 10.0, (*turns, EVEN)))
    return "; ".join(to_read_again.contradictions(told_apart(read))).replace("\u00a0", " ")


@pytest.mark.parametrize(
    ("which", "said"),
    [
        ((0, 1), "mount 3 stands where mount 2 stood"),
        ((0, 1, 2), "so far no two of them read alike"),
        ((0, 1, 2, 1), "so far mounts 3 and 5 read alike"),
        ((0, 1, 2, 0, 1), "so far mounts 3 and 6 read alike, mounts 2 and 5 otherwise than they"),
        ((0, 0, 1), "mounts 2 and 3 on stud 3 read alike, and mount 4, on it since"),
        ((0, 1, 2, 2, 2), "so far mounts 4, 5 and 6 read alike"),
    ],
)
def test_which_mounts_agree_is_said_and_how_they_end_in_the_same_words(which, said):
    """ "Three that agree count", "the two that read alike count", "two more than the others", ask by ask."""
    assert said in asked(*which)
    assert COUNT in asked(*which)


@pytest.mark.parametrize(
    "which",
    [
        (0, 1, 1),  # more than the others
        (0, 1, 1, 0, 0),
        (0, 1, 2, 2, 2, 2),  # two more, as the others part
        (0, 0, 0, 1, 1, 1),  # the last three
    ],
)
def test_the_rule_that_is_told_is_the_one_that_ends_it(which):
    assert asked(*which[:-1])
    assert not asked(*which)


def test_of_turns_read_anew_until_there_are_three_it_is_said_how_many_are_in():
    """Who has no finer dial was told "until there are three" twice, word by word, with one in and with two."""
    assert acts.anew(1).endswith("same stud, until there are three (one is in)")
    assert acts.anew(2).endswith("same stud, until there are three (two are in)")


def test_where_those_that_are_the_most_count_not_yet_it_is_said_why_and_where_the_others_belong():
    """Four of seven read alike, "those that read alike count once they are more", and it was read again."""
    said = asked(0, 1, 2, 0, 1, 1, 1)
    assert "so far mounts 3, 6, 7 and 8 read alike, mounts 2 and 5 otherwise than they, mount 4 like no other" in said
    assert "(4 to 3, and as the others part from each other two more are wanted)" in said
    assert "wanted" not in asked(0, 1, 2, 1)


def test_two_dials_on_one_seat_have_one_vote():
    """ "Mounts 2 and 3 read alike": by order one seat, the rotor not off between."""
    turns = [mounted(2, 5.0, ELSEWHERE[seat], mount, "cleaned") for mount, seat in ((2, 0), (3, 0), (4, 1))]
    turns = [replace(one, dial_um=dial) for one, dial in zip(turns, (10.0, 1.0, 1.0), strict=True)]
    told = told_apart(Readings(5, 140.0, 64.0, 10.0, (*turns, EVEN)))
    assert [pair.mounts for pair in told.states[-1].returned] == [(3, 4)]
    assert (2, 3) not in told.states[-1].alike
    said = "; ".join(to_read_again.contradictions(told))
    assert "mount 4 stands where mount 3 stood" in said
    assert "read alike, and" not in said


def test_of_mountings_that_part_there_is_no_middle():
    """ "1 of 3 turns read over the limit, their middle does not; 5 turns mostly over it count as over"."""
    turns = [mounted(2, 5.0, rotor, mount, "cleaned") for mount, rotor in enumerate((12.0, 20.0j, -45.0j), 2)]
    read = Readings(5, 140.0, 64.0, 1.0, (*turns, EVEN), entered=(*turns, EVEN))
    assert two_and_two.parts_where_it_stands(read)
    assert not two_and_two.parts_where_it_stands(replace(read, traces=(*turns[:1], EVEN)))
    texts = [one.text for one in mostly_over.held_back(read, LIMITS).faults]
    assert not any("mostly over" in text or "their middle" in text for text in texts)
