"""A bare face that read otherwise at each turn is not settled by one turn more after a cleaning."""

import numpy as np
import pytest

from sim.bench.face_parted import face_parted
from sim.bench.open_readings import open_readings
from sim.files.dial_readings import Readings
from sim.files.trace import Trace
from tests.unit.test_mountings import EVEN, mounted

ANGLE = np.arange(12) * 30.0


def face(um, at_deg, state):
    """Leans by so much towards an angle. [um, deg]."""
    value = np.round(um * np.cos(np.radians(ANGLE - at_deg)) / 5.0) * 5.0
    return Trace("hub face", 0, 0, ANGLE, value, state=state, dial_um=10.0)


def asked(*faces):
    turns = (mounted(0, 3.0, 20.0, 1, "cleaned"), mounted(0, 3.0, 20.0, 2, "cleaned again"))
    return Readings(5, 140.0, 64.0, 10.0, (*turns, EVEN, *faces))


THROWN = (face(15.0, 0.0, "cleaned"), face(15.0, 120.0, "cleaned"), face(15.0, 240.0, "cleaned"))
ONCE = face(2.0, 0.0, "cleaned again")


def test_turns_that_parted_before_it_was_cleaned_once_more_are_answered_by_three_and_not_by_one():
    """A bearing that throws the hub was left on by one turn of 5 µm under the state 'cleaned again'."""
    (fault,) = face_parted(asked(*THROWN, ONCE))
    assert "turns before it was cleaned once more differ by up to 60 µm" in fault.text
    assert "no three agree: bearing play" in fault.text
    assert "rock the hub first" in fault.text
    assert fault in open_readings(asked(*THROWN, ONCE))
    assert face_parted(asked(*THROWN, ONCE, ONCE))
    assert face_parted(asked(*THROWN, ONCE, ONCE, ONCE)) == ()


@pytest.mark.parametrize(
    "before", [(), THROWN[:1], THROWN[:1] * 2, (*THROWN[:1] * 3, THROWN[1])], ids=["none", "one", "two alike", "three"]
)
def test_what_agreed_or_was_read_once_is_not_asked_again(before):
    assert face_parted(asked(*before, ONCE)) == ()
    assert face_parted(asked(*before)) == ()
