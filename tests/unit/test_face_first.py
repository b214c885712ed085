"""Before a stud the bare face near its limit is read on: one turn of it sent to the worst stud of five."""

from dataclasses import replace

import numpy as np
import pytest

from scenes.words import causes_work
from scenes.words import mountings as said
from sim.bench.face_first import MOVES
from sim.bench.moved_next import moved_next
from sim.bench.next_act import next_act
from sim.causes import names
from sim.causes.decision import decide
from sim.causes.one_act import NAMED, held
from sim.files.dial_readings import Readings
from tests.unit.hand_made_finding import finding
from tests.unit.test_mountings import EVEN, LIMITS, face_of, mounted

HUB, ROTOR = 24.5, 40.0 * np.exp(1.4j)


def table(*faces, state="cleaned"):
    return Readings(5, 140.0, 64.0, 10.0, (mounted(0, HUB, ROTOR, 2, state), EVEN, *faces))


@pytest.mark.parametrize(("times", "more"), [(1, "twice more"), (2, "once more")])
def test_a_bare_face_near_its_limit_comes_before_the_stud_that_is_chosen_by_it(times, more):
    """The stud stood first, the face after it, though the rotor is off between; the stud was the worst one."""
    one = decide(table(*[face_of(HUB)] * times), LIMITS)
    assert next_act(one.read, one.told, LIMITS).what == "index"
    assert (one.act.what, one.act.studs_turned, one.act.expected_um) == ("bare hub", 0, None)
    assert one.steps == (names.MEASURE + names.BARE_HUB,)
    text = said.lead(one.told, one.act, [])
    assert text.startswith(f"Next: the bare hub face first: read it {more} with the finest dial at hand")
    assert "ask again before one goes on, on which stud that answer says" in text
    assert "no stud is chosen and no part is bought" in text
    assert "put the painted hole on stud" not in text


def test_read_out_it_is_the_stud_that_comes():
    assert decide(table(*[face_of(HUB)] * 3), LIMITS).act.what == "index"
    assert decide(table(face_of(HUB / 3.0)), LIMITS).act.what in MOVES  # far below its limit: nothing waits for it
    assert decide(table(face_of(HUB), state="as found"), LIMITS).act.what == "clean"


def test_what_comes_later_and_the_road_name_no_stud_before_that_face_either():
    """Behind a cleaning `index` foretold the stud at once, and the list of `drive` put the rotor on it."""
    behind = decide(table(face_of(HUB), state="as found"), LIMITS).steps
    assert behind == (names.CLEAN, names.MEASURE + names.BARE_HUB, names.INDEX)
    assert moved_next(table(face_of(HUB)), LIMITS) is None
    read_out = table(*[face_of(HUB)] * 3)
    assert moved_next(read_out, LIMITS) == decide(read_out, LIMITS).act.studs_turned + 1
    assert decide(
        replace(read_out, traces=(replace(read_out.traces[0], state="as found"), *read_out.traces[1:])), LIMITS
    ).steps == (names.CLEAN, names.INDEX)


@pytest.mark.parametrize("move", [names.INDEX, names.MEASURE + names.ANOTHER_STUD, names.MEASURE + names.BACK])
def test_no_probability_puts_a_stud_before_that_face(move):
    act = decide(table(face_of(HUB)), LIMITS).act
    assert held(move, act, cleaned=True) == NAMED[act.what]
    assert held(move, replace(act, hub_face=None), cleaned=True) in (move, NAMED[act.what])


def test_the_card_names_no_stud_before_that_face_is_in_the_file():
    """Its box put the painted hole back on stud 1, to be taken off once more for the stud of the next answer."""
    found = finding(do=names.MEASURE + names.BARE_HUB, hub_face=decide(table(face_of(HUB)), LIMITS).act.hub_face)
    found = replace(found, told=decide(table(face_of(HUB)), LIMITS).told)
    box = causes_work.goes_back(found, causes_work.work_keys(found))
    assert box.startswith(" Not before the face's turns are in the file: ask again, that answer says on which stud;")
