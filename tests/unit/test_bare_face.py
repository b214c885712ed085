"""The bare hub face: one figure with one uncertainty through every door."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from sim import turn
from sim.bench.bare_face import HubFace
from sim.bench.from_readings import index_readings
from sim.bench.next_act import bare_hub
from sim.files.dial_readings import Readings, Trace
from sim.parts.case import Limits

ANGLE = np.arange(0.0, 360.0, 30.0)
ON = Trace("mounted", 1, 0, ANGLE, turn.evaluate(np.array([0, 20.0]), np.radians(ANGLE)), state="cleaned")


def face(dial_um=10.0, off_deg=0.0, noise_um=0.0, **said):
    """A bare face that runs out 25 um."""
    angle = ANGLE + off_deg
    shown = turn.evaluate(np.array([0, 12.5]), np.radians(angle)) + noise_um * np.cos(5.0 * np.radians(angle))
    return Trace("hub face", 0, 0, angle, shown, state="cleaned", dial_um=dial_um, **said)


def held(*faces) -> HubFace:
    """What every door holds against the limit; `index` has no other figure."""
    read = Readings(5, 140.0, 64.0, 10.0, (ON, *faces))
    found, indexed = bare_hub(read, Limits(hub_face_runout_um=25.0)), index_readings(read, read)
    assert found is not None
    assert (found.lean_um, found.lean_uncertainty_um) == (indexed.hub_face_um, indexed.hub_face_doubt_um)
    return found


def test_index_and_causes_have_one_uncertainty_and_it_falls_with_repeats():
    """The same rows were told 28 +- 4 by index, which took a coarse turn for a fine one, and 28 +- 6 by causes."""
    once, twice, thrice, often = (held(*[face()] * count) for count in (1, 2, 3, 50))
    assert [one.turns for one in (once, twice, thrice)] == [1, 2, 3]
    assert once.uncertainty_um > twice.uncertainty_um + 0.5 > thrice.uncertainty_um + 0.9
    # What stays: the dial's smooth error along its travel, and its creep; the first place read again tells the second.
    assert often.uncertainty_um == pytest.approx(4.0 * np.hypot(1.0, 3.0 / np.pi / np.sqrt(2.0)), rel=0.02)
    assert held(face(drift_um=0.5)).uncertainty_um < once.uncertainty_um - 0.3


def test_of_turns_that_agree_the_finest_dial_counts_and_one_that_does_not_agree_counts_no_more():
    coarse, fine = face(noise_um=2.0), face(1.0)
    both = held(coarse, fine)
    assert (both.times, both.turns, both.dial_um) == (2, 1, 1.0)
    assert replace(held(fine, coarse), times=1) == replace(both, times=1) == held(fine)
    assert held(face(noise_um=60.0), fine).times == 1
    # At other places both turns count.
    assert held(fine, face(1.0, off_deg=15.0)).uncertainty_um < held(fine).uncertainty_um - 0.2
