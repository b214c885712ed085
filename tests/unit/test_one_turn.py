"""Before reading ends without a part, a stud that was read by one turn is read once more; a rotor over it is named."""

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from scenes.words import mountings as said
from sim.bench import next_act as rules
from sim.bench.cleaned_again import settled
from sim.bench.mountings import told_apart
from sim.bench.one_turn import rests_on
from sim.causes import names
from sim.causes.decision import decide
from sim.causes.next_reading import menu
from sim.causes.one_act import NAMED
from sim.causes.ordered import _not_for_ever
from sim.causes.seen import seen
from sim.files.dial_readings import Readings
from tests.unit.test_mountings import EVEN, LIMITS, face_of, mounted

HUB = 10.0 * np.exp(-0.7j)
MISREAD = {
    "begun a place late": lambda value: np.roll(value, -1),
    "begun two places late": lambda value: np.roll(value, -2),
    "the other way round": lambda value: np.roll(value[::-1], 1),
}


def asked(*turns, hub=HUB):
    """Act, its words and the notes: a thickness that is even and a face that was read twice beside the turns."""
    decided = decide(Readings(5, 140.0, 64.0, 10.0, (*turns, EVEN, face_of(hub), face_of(hub))), LIMITS)
    return decided.act, said.lead(decided.told, decided.act, []).replace("\u00a0", " ")


def cleaned_twice(rotor, hub=HUB, first=lambda value: value, studs=(0, 2)):
    """One stud, another, and the second cleaning on that; of the first the turn as it was written down."""
    there = [mounted(stud, hub, rotor, k, "cleaned") for k, stud in enumerate(studs, 2)]
    there[0] = replace(there[0], value_um=first(there[0].value_um))
    return [*there, mounted(studs[-1], hub, rotor, len(studs) + 2, "cleaned again")]


@pytest.mark.parametrize("how", MISREAD)
def test_a_stud_that_was_read_by_one_turn_is_read_once_more_before_reading_ends_without_a_part(how):
    """A turn written two places late sent to hub and bearing, and the stud that it stood on was read no more."""
    rotor = 60.0 * np.exp(1.4j)
    turns = cleaned_twice(rotor, first=MISREAD[how])
    act, text = asked(*turns)
    assert (act.what, act.studs_turned) == ("another stud", 0)
    assert "put the painted hole on stud 1, same torque, and read it again, one whole turn" in text
    assert "rests on the one turn of mount 2: begun at another place" in text
    # Read as it is, that turn and the first part: one more tells which of them counts, where nothing else does.
    again = [*turns, mounted(0, HUB, rotor, 5, "cleaned again")]
    assert asked(*again)[0].what == ("open" if how == "the other way round" else "read again")
    act, text = asked(*again, mounted(0, HUB, rotor, 6, "cleaned again"))
    assert act.what == "open"
    assert "then the rotor, renewed or cut" in text


def test_what_truly_stays_with_the_hub_is_asked_for_one_turn_more_and_no_other():
    """80 µm lie on the hub that no brush took: nothing is written wrong, and reading ends."""
    lies = HUB + 40.0
    turns = cleaned_twice(8.0, hub=lies)
    assert asked(*turns)[0].what == "another stud"
    act, text = asked(*turns, mounted(0, lies, 8.0, 5, "cleaned again"))
    assert act.what == "open"
    assert "then no part by these readings" in text
    # Nor where both studs were read twice before.
    twice = [mounted(0, lies, 8.0, 2, "cleaned"), *(replace(one, mount=one.mount + 1) for one in turns)]
    assert asked(*twice)[0].what == "open"


def test_a_turn_of_a_finer_dial_is_no_second_mounting_of_its_stud():
    """A grain under one mounting, read by two dials: a good hub was named, the stud was never put on again."""
    lies = HUB + 40.0
    turns = cleaned_twice(8.0, hub=lies)
    finer = replace(turns[0], mount=3, dial_um=1.0)
    act, _ = asked(turns[0], finer, *(replace(one, mount=one.mount + 1) for one in turns[1:]))
    assert (act.what, act.studs_turned) == ("another stud", 0)


def test_of_three_studs_the_one_without_which_nothing_stays_is_read_once_more():
    """Two studs read twice each are enough: a third that was read by one turn is asked for where it alone is off."""
    every = [mounted(stud, HUB, 40.0, k, "cleaned again") for k, stud in enumerate((0, 3, 3, 2, 2), 2)]
    late = replace(every[0], value_um=np.roll(every[0].value_um, -1))
    lies = [mounted(one.studs_turned, HUB + 30.0, 40.0, one.mount, one.state) for one in every]
    wanted = []
    for turns in ([late, *every[1:]], lies):
        read, again = settled(Readings(5, 140.0, 64.0, 10.0, (*turns, EVEN, face_of(HUB), face_of(HUB))))
        wanted.append(rests_on(read, told_apart(read, again)))
    assert wanted == [0, None]


def test_a_rotor_that_is_over_the_limit_by_itself_is_named_beside_what_stays_with_the_hub():
    """79 µm went with the rotor on every stud, and its order was "no part by these readings"."""
    turns = [*cleaned_twice(45.0, hub=12.0), mounted(0, 12.0, 45.0, 5, "cleaned again")]
    act, text = asked(*turns, hub=1.0)
    assert act.what == "open"
    assert "then the rotor, renewed or cut as the vehicle maker allows, on a clean hub" in text
    assert "goes with it, over the limit of 50 µm by itself. Before one goes on, what lies between: " in text
    assert "though it was cleaned twice" in text
    assert "no part by these readings" not in text


def test_causes_weigh_the_turn_that_readings_alone_ask_for_on_a_stud_that_was_read():
    data = seen(Readings(5, 140.0, 64.0, 10.0, tuple(cleaned_twice(45.0)[:2])), ())
    now = [spot for spot in data.spots if spot.kind == "mounted"][-1]

    def studs(wanted):
        every = menu(data, now, range(5), wanted=wanted)
        return [one.spot.turned for one in every if one.what == "another stud"]

    assert (studs(0), studs(3), studs(None)) == ([0], [3], [1, 3, 4])


@pytest.mark.parametrize("what", [rules.BARE_HUB, rules.ANOTHER_STUD, rules.INDEX, rules.BACK])
def test_with_a_case_what_tells_the_odd_turn_is_read_before_the_studs_are_taken_as_counted_wrong(what):
    """A turn begun a place late fitted "the studs counted the other way round", and nothing else was read for ever."""

    def ordered(again):
        way = SimpleNamespace(what="the studs counted the other way round", trace="mounted", probability=0.7)
        told, rule = SimpleNamespace(again=again), SimpleNamespace(what=what, turns=1, varies=None)
        standing = SimpleNamespace(
            rule=rule, ways=(way,), contradicted=False, slipped=False, told=told, face=None, written_wrong=0.0
        )
        return _not_for_ever(names.READ_AGAIN, standing)

    assert ordered(again=object()) == NAMED[what]
    assert ordered(again=None) == names.READ_AGAIN  # what lies between may be dirt yet


@pytest.mark.parametrize(
    ("what", "turns", "ways", "varies", "leads"),
    [
        (rules.MICROMETER, 1, (), 19.0, True),
        (rules.THICKNESS, 1, (), 19.0, True),
        (rules.THICKNESS, 1, (), None, False),
        (rules.THICKNESS, 1, ("the studs counted the other way round",), 19.0, False),
        (rules.BARE_HUB, 2, (), None, True),
        (rules.CLEAN, 2, (), None, True),
        (rules.BARE_HUB, 1, (), None, False),
        (rules.HUB, 2, (), None, False),
    ],
)
def test_what_no_cause_draws_is_not_read_so_again_for_ever(what, turns, ways, varies, leads):
    """Three waves of an uneven rotor fitted no cause: the dial was read 20 times again, the micrometer never."""
    written = tuple(SimpleNamespace(what=one, trace="mounted", probability=0.3) for one in ways)
    told, rule = SimpleNamespace(again=None), SimpleNamespace(what=what, turns=turns, varies=varies)
    standing = SimpleNamespace(
        rule=rule, ways=written, contradicted=False, slipped=False, told=told, face=None, written_wrong=0.0
    )
    assert _not_for_ever(names.READ_AGAIN, standing) == (NAMED[what] if leads else names.READ_AGAIN)


@pytest.mark.parametrize(
    ("trace", "alike", "cleaned", "leads"),
    [
        ("hub face", 1, True, True),
        ("hub face", 2, True, False),
        ("hub face", 1, False, False),
        ("mounted", 1, True, False),
    ],
)
def test_one_turn_of_the_bare_face_that_is_suspected_is_read_once_more(trace, alike, cleaned, leads):
    """Turned the other way round it was named in nineteen answers, and the rotor read again in each."""
    way = SimpleNamespace(what="read the other way round", trace=trace, probability=0.89)
    told, rule = SimpleNamespace(again=object()), SimpleNamespace(what=rules.CLEAN_AGAIN, turns=1, varies=None)
    standing = SimpleNamespace(
        rule=rule, ways=(way,), contradicted=False, slipped=False, told=told, face=SimpleNamespace(alike=alike),
        written_wrong=0.97, data=SimpleNamespace(cleaned_last=cleaned, reads_off_centre=False, spots=()),
    )  # fmt: skip
    wanted = names.MEASURE + names.BARE_HUB if leads else names.READ_AGAIN
    assert _not_for_ever(names.READ_AGAIN, standing) == wanted
