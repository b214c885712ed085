"""Turns that show play, of whatever state, have the hub rocked before a rotor is left on; no rotor is by one turn."""

from dataclasses import replace

import numpy as np
import pytest

from scenes.words import causes_do, to_read_again
from scenes.words import mountings as said
from sim.bench.shows_play import rocked, shown
from sim.causes import names, one_act
from sim.causes.decision import decide
from sim.files.dial_readings import Readings, parse
from sim.files.reading_faults import MOST_TURNS
from sim.files.trace import BARE_FACE, PLAY
from tests.unit.hand_made_finding import finding
from tests.unit.test_mountings import ANGLE, EVEN, LIMITS, face_of, mounted
from tests.unit.test_scattering import HEAD

HUB, OWN = 6.0, 10.0
#: What a bearing of 35 µm adds to a turn: as like as not anything within it.
KNOCKS = 17.0 * np.array([-1.0, 0.2, 0.9, -0.7, 0.1, 1.0, -0.9, -0.3, 0.8, 0.4, -1.0, 0.6])


def turn(mount, state, more=0.0, drift_um=None):
    one = mounted(0, HUB, OWN, mount, state)
    return replace(one, value_um=one.value_um + more, drift_um=drift_um)


def decided(*turns, dial_um=10.0):
    return decide(Readings(5, 140.0, 64.0, dial_um, (*turns, EVEN, face_of(HUB))), LIMITS)


def words(one):
    return said.lead(one.told, one.act, to_read_again.doubts(one.read)).replace("\u00a0", " ")


SHOWS = {
    "ragged": [turn(1, "as found", KNOCKS), turn(2, "cleaned")],
    "off their start": [turn(1, "as found", drift_um=16.0), turn(1, "as found", drift_um=-17.0), turn(2, "cleaned")],
    "apart": [turn(1, "as found"), turn(1, "as found", 3 * KNOCKS), turn(1, "as found"), turn(2, "cleaned")],
}


@pytest.mark.parametrize("how", SHOWS)
def test_before_a_rotor_is_left_on_by_one_turn_of_a_table_that_shows_play_it_is_rocked_and_read_once_more(how):
    """35 µm of play read 18 once: "leave it there, under 50 µm (probability over 99 %)"."""
    once = decided(*SHOWS[how])
    assert once.act.what == "second turn"
    assert words(once).startswith("Before anything else the hub is rocked: turns of this table are apart as a bearing")
    assert "before the dial comes off, one turn more of the same mounting" in words(once)
    twice = decided(*SHOWS[how], turn(2, "cleaned"))
    assert twice.act.what == "done"
    assert words(twice).startswith("Before anything else the hub is rocked: turns of this table are apart as a bearing")
    assert words(twice).count("the hub is rocked") == 1


def test_a_hand_a_slip_and_the_shape_of_a_rotor_are_no_play():
    rng = np.random.default_rng(5)
    hand = [turn(k, state, rng.normal(0.0, 3.0, 12)) for k, state in enumerate(("as found", "cleaned"), 1)]
    touched = (turn(1, "as found", drift_um=15.0), turn(1, "as found"), turn(2, "cleaned"))
    for table in (hand, touched):
        assert words(decided(*table)).startswith("Next: before the dial comes off")
    # What a rotor has of high waves it has in every turn: read once more it is none of the bearing's.
    waves = 9.0 * np.cos(5 * np.radians(ANGLE)) - 0.5 * turn(2, "cleaned").value_um
    assert words(decided(turn(2, "cleaned", waves), dial_um=1.0)).startswith("Before anything else the hub is rocked")
    again = decided(turn(2, "cleaned", waves), turn(2, "cleaned", waves), dial_um=1.0)
    assert again.act.what == "done"
    assert not again.told.states[-1].now.left_out
    # An answer by machine leaves nothing on, either, that the words hold until the hub was rocked.
    shown_so = decided(turn(2, "cleaned", waves), dial_um=1.0)
    for what in ("done", "at the limit"):
        assert one_act.by_machine(replace(shown_so.act, what=what), shown_so.told).what == "bearing"
    assert one_act.by_machine(again.act, again.told).what == "done"
    assert (one_act.rocked_first(shown_so.told), one_act.rocked_first(again.told)) == (True, False)
    # Fewer places carry fewer waves, and fewer than six tell nothing.
    few = replace(turn(1, "as found"), angle_deg=ANGLE[::3], value_um=KNOCKS[::3])
    assert not shown(Readings(5, 140.0, 64.0, 10.0, (few,)))
    for more, marks in ((0.0, 0), (KNOCKS, 1)):
        assert rocked(Readings(5, 140.0, 64.0, 10.0, (turn(1, "cleaned", more),))).traces[-1].left_out == marks


def test_a_probability_of_turns_that_play_may_have_made_says_so():
    """ "Probability over 99 %" stood beside turns 27 µm apart."""
    made = finding(do=names.LEAVE)
    last = made.told.states[-1]
    for out, so in ((0, False), (1, True)):
        told = replace(made.told, states=(*made.told.states[:-1], replace(last, now=replace(last.now, left_out=out))))
        assert (", if the bearing has no play)" in causes_do.action(replace(made, told=told), limit="50 µm")) is so


def test_mounts_and_turns_that_hardly_ever_came_back_end_at_the_bearing_cleaned_again_too():
    """Fifteen turns of a mount "cleaned again", or as many mounts with a slip each, were read on without end."""
    rng = np.random.default_rng(3)

    def rows(mount, state, off_um, own=0.0):
        values = 5.0 * np.round((8.0 * np.cos(np.radians(ANGLE)) + own * rng.uniform(-30, 30, 12)) / 5.0)
        held = f",{state},nuts and spacers,10\n"
        every = "".join(f"mounted,{mount},0,{a:g},{v:g}{held}" for a, v in zip(ANGLE, values, strict=True))
        return every + f"mounted,{mount},0,360,{values[0] + off_um:g}{held}"

    thick = "".join(f"thickness,1,0,{a:g},{11600 + a % 60 / 30:g},as found,,1\n" for a in ANGLE)
    head = HEAD + rows(1, "as found", 0.0) + thick + rows(2, "cleaned", 0.0)
    turns = "".join(rows(3, "cleaned again", 0.0, own=1.0) for _ in range(MOST_TURNS))
    assert decide(parse(head + turns), LIMITS).act.what == "bearing"
    ends = {}
    for most in (5, 8):
        mounts = "".join(rows(mount, "cleaned", 40.0) for mount in range(3, 3 + most))
        one = decide(parse(head + mounts), LIMITS)
        ends[most] = one.act.what
    assert ends == {5: "read again", 8: "bearing"}
    assert words(one).startswith("The bearing: ")  # and no word of rocking before it
    # A few slips among them end nothing; twice as many mounts do.
    for most, what in ((11, "read again"), (15, "bearing")):
        sound = "".join(rows(mount, "cleaned", 0.0) for mount in range(3, 3 + most))
        assert decide(parse(head + sound + rows(3 + most, "cleaned", 40.0)), LIMITS).act.what == what
    text = words(decide(parse(head + "".join(rows(mount, "cleaned", 40.0) for mount in (3, 4, 5))), LIMITS))
    assert "Mounts 3 and 4 gave slips away and stand no more: they are left out" in text


def test_a_turn_that_was_left_out_takes_no_play_away_that_other_turns_show():
    """With one bare turn more that parted, "as a bearing with play makes them" became "a turn was left out": done."""
    knocks = turn(2, "cleaned", KNOCKS)
    alone = rocked(Readings(5, 140.0, 64.0, 10.0, (knocks,)))
    assert (alone.traces[-1].left_out, alone.traces[-1].left_out_of) == (1, PLAY)
    for of, marks in ((BARE_FACE, PLAY), (2, PLAY)):
        out = replace(knocks, left_out=1, left_out_of=of)
        assert rocked(Readings(5, 140.0, 64.0, 10.0, (out,))).traces[-1].left_out_of == marks
    # Of a hand's own turns one that was left out is no play.
    sound = replace(turn(2, "cleaned"), left_out=1, left_out_of=2)
    assert rocked(Readings(5, 140.0, 64.0, 10.0, (sound,))).traces[-1].left_out_of == 2


@pytest.mark.parametrize("dial_um", [1.0, 5.0, 10.0, 20.0])
def test_two_turns_of_one_mounting_that_are_each_others_mirror_have_the_hub_rocked_first(dial_um):
    """Thrown 75 µm apart, first orders opposed: "written with its signs turned over", the thickness ordered first."""

    def wave(tir_um, at_deg, mount, state):
        value = dial_um * np.round(tir_um / 2.0 * np.cos(np.radians(ANGLE - at_deg)) / dial_um)
        rows = zip(ANGLE, value, strict=True)
        return "".join(f"mounted,{mount},0,{a:g},{v:g},{state},nuts and spacers,{dial_um:g}\n" for a, v in rows)

    first, second = wave(44.0, 172.0, 2, "cleaned"), wave(40.0, 0.0, 2, "cleaned")
    head = HEAD + wave(33.0, 90.0, 1, "as found")
    one = decide(parse(head + first + second), LIMITS)
    assert one.act.what == "read again"
    assert "read twice, and the two turns differ by up to" in words(one)
    assert "rock the hub first" in words(one)
    # Rocked and without play it may be the pen's, and once one more reads so it is: nobody is sent to the hub again.
    assert "rock" not in words(decide(parse("# bearing: no play\n" + head + first + second), LIMITS))
    more = decide(parse(head + first + 2 * second), LIMITS)
    assert more.act.what == "thickness"
    assert "rock" not in words(more)


def test_turns_that_part_by_more_than_a_rough_hand_have_the_hub_rocked_before_any_stud_or_finer_dial():
    """40 µm apart by a dial of 20 µm, 20 by half divisions of 10: thickness, stud and finer dial were ordered first."""

    def rows(values, mount, state, dial_um):
        return "".join(
            f"mounted,{mount},0,{a:g},{v:g},{state},nuts and spacers,{dial_um:g}\n"
            for a, v in zip(ANGLE, values, strict=True)
        )

    for dial_um, part_um, apart_um, at in ((20.0, 10.0, 28.0, 160), (10.0, 5.0, 22.0, 120), (1.0, 1.0, 24.0, 90)):
        base, thrown = 19.0 * np.cos(np.radians(ANGLE - 40)), apart_um / 2.0 * np.cos(np.radians(ANGLE - at))
        found, first, second = (part_um * np.round(one / part_um) for one in (1.5 * base, base, base + thrown))
        text = rows(found, 1, "as found", dial_um) + rows(first, 2, "cleaned", dial_um)
        for other, rocks in ((first, False), (second, True)):
            one = decide(parse(HEAD + text + rows(other, 2, "cleaned", dial_um)), LIMITS)
            told = words(one)
            assert ("rock the hub first" in told or told.startswith("Before anything else the hub is rocked")) is rocks
