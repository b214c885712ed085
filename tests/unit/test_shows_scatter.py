"""Mountings that show scatter have one more read before one leaves the rotor on; where none does that is said."""

from dataclasses import replace

import numpy as np
import pytest

from scenes.words import causes_do, to_read_again
from scenes.words import mountings as said
from scenes.words.read_again_work import keys
from sim.bench.mostly_over import as_it_counts
from sim.bench.shows_scatter import SCATTER_SHOWN, in_one_mounting
from sim.causes import names
from sim.causes.decision import decide
from sim.files.dial_readings import Readings
from tests.unit.hand_made_finding import finding
from tests.unit.test_mountings import EVEN, LIMITS, face_of, mounted

HUB, OWN = 2.0, 8.0


def table(*stands, again=False):
    """Mounts in their sequence: stud, what the rotor draws there, state; what stays with the hub, if another.

    If asked, the last read by one turn more.
    """
    turns = [mounted(s[0], s[3] if len(s) > 3 else HUB, s[1], k, s[2]) for k, s in enumerate(stands, 1)]
    every = (*turns, *(turns[-1:] if again else ()), EVEN, face_of(HUB), face_of(HUB))
    return Readings(5, 140.0, 64.0, 10.0, every, entered=every)


def asked(*stands, again=False):
    """Act, its words, and why one more mounting is asked for."""
    one = decide(table(*stands, again=again), LIMITS)
    shown = [fault for fault in one.read.faults if fault.fault == SCATTER_SHOWN]
    return one, said.lead(one.told, one.act, to_read_again.doubts(one.read)).replace("\u00a0", " "), shown


#: As found over the limit, then clean and small.
DIRTY, SMALL = (0, 45.0j, "as found"), (0, OWN, "cleaned")
#: What a second cleaning took: from where the first did, or aside of it.
FIRST, SECOND = 40.0 * np.exp(0.3j), 20.0 * np.exp(0.4j)
TWICE = {
    "there": [(0, FIRST + SECOND, "as found"), (0, SECOND, "cleaned"), (0, 0.0, "cleaned again")],
    "far": [(0, OWN + FIRST + SECOND, "as found"), (0, OWN + SECOND, "cleaned"), (0, OWN, "cleaned again")],
    "only then": [(0, OWN + SECOND, "as found"), (0, OWN + SECOND, "cleaned"), (0, OWN, "cleaned again")],
    "aside": [(0, OWN + FIRST - SECOND, "as found"), (0, OWN - 1.4 * SECOND, "cleaned"), (0, OWN, "cleaned again")],
}


@pytest.mark.parametrize(
    ("stands", "why"),
    [
        ([(0, 45.0j, "as found"), (0, -30.0, "as found"), SMALL], "that stood on one stud do not read alike"),
        (TWICE["aside"], "elsewhere than the first did"),
        (TWICE["only then"], "and the first nothing that is told"),
        ([(2, -14.0, "cleaned", 15.0), (0, -14.0, "cleaned", 15.0), (0, -14.0, "cleaned again", 15.0),
          (4, -14.0, "cleaned again", 15.0)], "more stays with the hub than its bare face explains"),
        (TWICE["far"], "read as far as 40 µm apart, and it is"),
    ],
    ids=["parted", "aside", "only then", "beyond", "far"],
)  # fmt: skip
def test_a_table_that_shows_scatter_has_one_more_mounting_read_before_one_leaves_the_rotor_on(stands, why):
    """Mountings that scatter by 30 µm over a rotor of 70, one of which read 10: "leave it there"."""
    one, text, shown = asked(*stands)
    assert (one.act.what, len(shown)) == ("read again", 1)
    assert why in text
    assert "before it is left on by one mounting" in text
    assert shown[0].text.endswith("under the next mount number: two there that read alike leave it on")
    assert "put it back on the same stud, tighten the nuts crosswise in stages and read it there" in text
    assert {"rotor off", "fit", "tighten", "read"} <= set(keys([shown[0].text]))
    again = asked(*stands, stands[-1])[0]
    assert again.act.what == "done"
    assert as_it_counts(table(*stands), LIMITS)[0].faults == one.read.faults


def test_mountings_of_the_stud_where_it_stands_that_parted_are_settled_by_three_alike():
    parted = [DIRTY, SMALL, (0, -20.0, "cleaned"), SMALL]
    assert asked(*parted)[0].act.what == "read again"
    assert asked(*parted)[2][0].fault == SCATTER_SHOWN
    assert asked(*parted)[2][0].text.endswith("three there that read alike leave it on")
    assert [asked(*parted, SMALL, again=more)[0].act.what for more in (False, True)] == ["second turn", "done"]


def test_the_turn_of_a_finer_dial_is_no_other_mounting_though_it_has_the_next_number():
    """Mounts of 85, 90 and, cleaned once more, 50; the finer dial, nuts untouched, 42: "leave it there"."""
    stands = TWICE["only then"]
    read = table(*stands)
    last = read.traces[len(stands) - 1]
    finer = replace(last, mount=last.mount + 1, dial_um=1.0)
    put_on = replace(last, mount=last.mount + 2)
    for more, what in (([finer], "read again"), ([finer, put_on], "done"), ([put_on], "done")):
        every = (*read.traces, *more)
        one = decide(replace(read, traces=every, entered=every), LIMITS)
        assert one.act.what == what, more
        assert any(fault.fault == SCATTER_SHOWN for fault in one.read.faults) is (what == "read again")


def test_what_dirt_does_asks_for_no_second_mounting_and_one_mounting_says_that_it_is_one():
    for stands in ([DIRTY, SMALL], TWICE["there"]):
        assert asked(*stands)[0].act.what == "second turn"
        one, text, shown = asked(*stands, again=True)
        assert (one.act.what, shown) == ("done", [])
        assert in_one_mounting(one.told)
        assert "It was read clean in one mounting there, and cleaning moved it by" in text
        assert "whether it comes back when it is put on again" in text
    for more, again in (([DIRTY, SMALL, SMALL], False), ([(0, OWN, "as found"), SMALL], True)):
        one, text, _ = asked(*more, again=again)
        assert one.act.what == "done"
        assert "in one mounting" not in text


def test_the_turn_of_a_finer_dial_leaves_it_one_mounting_that_cleaning_moved():
    """Cleaning took 75 µm, the finer dial read it once more, nuts untouched: that it is one mounting was dropped."""
    read = table(DIRTY, SMALL)
    last = read.traces[1]
    every = (*read.traces, replace(last, mount=last.mount + 1, dial_um=1.0))
    assert in_one_mounting(decide(replace(read, traces=every, entered=every), LIMITS).told)
    every = (*read.traces, replace(last, mount=last.mount + 1))
    assert not in_one_mounting(decide(replace(read, traces=every, entered=every), LIMITS).told)


@pytest.mark.parametrize("moved", [True, False])
def test_a_probability_behind_one_mounting_says_that_it_is_of_that(moved):
    made = finding(do=names.LEAVE)
    told = replace(decide(table(DIRTY, SMALL) if moved else table(DIRTY, SMALL, SMALL), LIMITS).told)
    assert (", as it is mounted)" in causes_do.action(replace(made, told=told), limit="50 µm")) is moved
