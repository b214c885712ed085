"""Before a part is named a bare face that was read by one turn is read once more, and a stud that may pass is tried."""

from dataclasses import replace

import numpy as np
import pytest

from scenes.command.causes import _stage_one
from scenes.words import causes_do, causes_work, mountings, to_read_again
from sim.bench.one_turn import bare_once
from sim.causes import names, one_act
from sim.causes.decision import decide
from sim.files.dial_readings import Readings
from sim.parts.case import Case
from tests.unit.hand_made_finding import finding
from tests.unit.test_mountings import EVEN, LIMITS, face_of, mounted

#: Stud by stud it runs out 86, 57, 44, 73 and 93 µm: the third alone passes.
HUB, OWN = 13.0 * np.exp(0.3j * np.pi), 34.0
#: That face as it is written by who begins a turn of twelve places one place late.
LATE = HUB * np.exp(1j * np.pi / 6.0)
#: The second stud as a table by the late turn comes to it: read out, just over the limit, and then cleaned again.
READ_OUT = [(0, "cleaned"), *[(1, "cleaned")] * 3]
TWICE = [*READ_OUT, (1, "cleaned again")]


def asked(stands, *faces, own=OWN):
    turns = [mounted(stud, HUB, own, mount, state) for mount, (stud, state) in enumerate(stands, 2)]
    read = [replace(face_of(um), state="cleaned") for um in faces]
    return decide(Readings(5, 140.0, 64.0, 10.0, (*turns, EVEN, *read)), LIMITS)


def words(one):
    return mountings.lead(one.told, one.act, to_read_again.doubts(one.read)).replace("\u00a0", " ")


def test_a_part_is_not_named_by_a_bare_face_of_one_turn_while_a_stud_that_it_led_past_may_pass():
    """Begun a place late it led to the stud beside the right one, and both rotors were bought: 57 µm, limit 50."""
    end = asked(TWICE, LATE)
    assert (end.act.what, _stage_one(end)["next"]) == ("bare hub", "bare hub")
    text = words(end)
    assert text.startswith("Next: rotor off, read the bare clean hub face once more, as a further turn, before a part")
    assert "counts as over" not in text
    again = asked(TWICE, LATE, HUB)
    assert (again.act.what, again.act.studs_turned) == ("index", 2)
    assert asked([*TWICE, (2, "cleaned again"), (2, "cleaned again")], LATE, HUB).act.what != "open"


@pytest.mark.parametrize(("own", "what"), [(OWN, "at the limit"), (60.0, "rotor's seat")])
def test_where_the_rotor_comes_off_for_a_second_cleaning_it_is_read_in_the_same_go(own, what):
    end = asked(READ_OUT, LATE, own=own)
    assert (end.act.what, end.act.also) == (what, ("bare hub",))
    assert mountings.BARE_ONCE_MORE in words(end)
    assert asked(READ_OUT, LATE, LATE, own=own).act.also == ()


def test_a_rotor_that_is_over_on_every_stud_is_named_after_one_turn_more_of_the_face_and_no_other():
    assert asked(TWICE, HUB, own=60.0).act.what == "bare hub"
    done = asked(TWICE, HUB, HUB, own=60.0)
    assert done.act.what == "open"
    assert "then the rotor, renewed or cut" in words(done)
    # As it was read once more with the second cleaning, under the state of that.
    both = [replace(face_of(HUB), state=state) for state in ("cleaned", "cleaned again")]
    assert not bare_once(Readings(5, 140.0, 64.0, 10.0, tuple(both)))
    assert bare_once(Readings(5, 140.0, 64.0, 10.0, (replace(both[0], state="as found"), both[1])))
    assert not bare_once(Readings(5, 140.0, 64.0, 10.0, ()))


def test_with_a_case_and_on_the_card_it_is_the_same_turn():
    face = asked(TWICE, LATE).act.hub_face
    found = finding(do=names.MEASURE + names.BARE_HUB, hub_face=face)
    assert mountings.FACE_BEFORE_A_PART in causes_do.action(found)
    keys = causes_work.work_keys(found)
    assert causes_work.work_now(found, "hub face", keys) == causes_work.FACE_FURTHER
    assert one_act.held(names.RENEW, asked(TWICE, LATE).act, True) == names.MEASURE + names.BARE_HUB
    assert Case().limits == LIMITS
