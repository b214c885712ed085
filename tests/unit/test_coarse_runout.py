"""A dial too coarse for the mounted limit tells no side of it: neither left on nor condemned by its turns."""

from dataclasses import replace

import numpy as np
import pytest

from scenes.words import mountings as said
from sim.causes.decision import decide
from sim.files.dial_readings import Readings
from tests.unit.test_mountings import EVEN, LIMITS, face_of, mounted


def asked(rotor, dial_um):
    turns = tuple(mounted(0, 1.0, rotor, k, "cleaned") for k in (2, 3, 4))
    turns += tuple(mounted(2, 1.0, rotor, k, "cleaned") for k in (5, 6, 7))
    every = (*turns, EVEN, face_of(1.0), face_of(1.0))
    one = decide(Readings(5, 140.0, 64.0, dial_um, every, entered=every), LIMITS)
    return one.act.what, said.lead(one.told, one.act, []).replace("\u00a0", " ")


@pytest.mark.parametrize("rotor", [22.5, 26.5])
def test_turns_of_a_coarse_dial_that_reach_the_limit_leave_nothing_on_and_condemn_nothing(rotor):
    """ "The middle of 3 turns is 40 ± 13 µm, under the limit of 45 µm", and only the bare face had a finer dial."""
    what, text = asked(rotor, 20.0)
    assert what == "finer gauge"
    assert "in divisions of 20 µm, limit 50 µm" in text
    assert "and this dial tells no side of the limit, 50 µm" in text
    assert "the runout as it stands by a dial of 0.01 mm a division or finer" in text
    assert "Leave it there" not in text
    assert "counts as over" not in text
    assert asked(rotor, 10.0)[0] != "finer gauge"


@pytest.mark.parametrize(
    ("face_um", "face_dial_um", "named"),
    [
        (21.0, 10.0, "then, the rotor off, the bare face with the finest dial at hand"),
        (21.0, 20.0, "then, the rotor off, the bare face with a dial of 0.01 mm a division or finer"),
        (1.0, 10.0, ""),
    ],
)
def test_a_bare_face_near_its_limit_is_in_what_a_finer_dial_is_to_read(face_um, face_dial_um, named):
    """Ordered one answer before, and dropped where the end named the mounting alone."""
    turns = tuple(replace(mounted(0, 1.0, 22.5, k, "cleaned"), dial_um=20.0) for k in (2, 3, 4))
    every = (*turns, EVEN, replace(face_of(face_um), state="cleaned", dial_um=face_dial_um))
    one = decide(Readings(5, 140.0, 64.0, 20.0, every, entered=every), LIMITS)
    text = said.lead(one.told, one.act, []).replace("\u00a0", " ")
    assert one.act.what == "finer gauge"
    assert "the runout as it stands by a dial of 0.01 mm a division or finer" in text
    assert ("then, the rotor off, the bare face" in text) is bool(named)
    assert named in text


def test_far_from_its_limit_a_coarse_dial_tells():
    assert asked(10.0 * np.exp(1.0j), 20.0)[0] == "done"
