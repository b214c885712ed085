"""A hand that scatters from turn to turn buys no rotor; what a division hides stays hidden however often it reads."""

from __future__ import annotations

import numpy as np
import pytest

from scenes.words import uneven_rotor
from sim.bench.judged_thickness import judged_thickness
from sim.files.dial_readings import Readings
from sim.files.thickness_turns import shaky_hand_um, unsettled
from sim.files.trace import Trace
from sim.parts.case import Limits

ANGLE = np.arange(12) * 30.0


def turns_of(dtv_um, hand_um, count, division_um=1.0, seed=0):
    """Turns of a rotor of so much variation by a hand of this standard deviation."""
    drawn = np.random.default_rng(seed)
    rotor_um = 11_600.0 + dtv_um / 2.0 * np.cos(np.radians(ANGLE - 40.0))
    read = [rotor_um + drawn.normal(0.0, hand_um, 12) for _ in range(count)]
    return [
        Trace(
            "thickness", 1, 0, ANGLE, division_um * np.round(one / division_um), state="as found", dial_um=division_um
        )
        for one in read
    ]


def judged(turns):
    read = Readings(5, 140.0, 64.0, 10.0, tuple(turns))
    return judged_thickness(read, read.thickness, Limits())


def said(varies):
    return uneven_rotor.read_again(varies).replace("\u00a0", " ") + uneven_rotor.beside_limit(varies).replace(
        "\u00a0", " "
    )


@pytest.mark.parametrize(("dtv_um", "hand_um"), [(6.0, 8.0), (8.0, 5.0)])
def test_no_rotor_is_bought_by_what_its_reader_scatters(dtv_um, hand_um):
    """Of 6 µm, limit 15: "varies by 27 µm, over the limit" after eleven turns, by a fine micrometer "too coarse"."""
    told = set()
    for seed in range(6):
        turns = turns_of(dtv_um, hand_um, 11, seed=seed)
        for count in range(2, 12):
            if unsettled(turns[:count], 1.0) is not None:
                assert count < 5  # then all of them count
                continue
            varies = judged(turns[:count])
            assert varies.state != "above"
            assert not varies.counts_over
            assert "too coarse" not in said(varies)
            if varies.shaky and varies.state != "below" and not varies.counts_neither:
                assert "by a steadier hand or with the micrometer held in a stand" in said(varies)
                assert "until three turns agree" in varies.again
                told.add(seed)
    assert told


@pytest.mark.parametrize("hand_um", [3.0, 5.0])
def test_a_rotor_far_over_its_limit_goes_by_a_shaky_hand_too(hand_um):
    for seed in range(4):
        assert "above" in {judged(turns_of(25.0, hand_um, count, seed=seed)).state for count in (5, 7)}


def test_one_odd_turn_of_three_is_no_shaky_hand_and_three_steady_turns_end_it():
    steady, odd = turns_of(9.0, 1.0, 3), turns_of(40.0, 8.0, 1)
    assert shaky_hand_um([*odd, *steady[:2]], 1.0) == 0.0
    shaky = turns_of(9.0, 8.0, 2)
    assert judged(shaky).shaky
    found = judged([*shaky, *steady])
    assert (found.shaky, found.turns, found.state) == (False, 3, "below")


def test_a_micrometer_too_coarse_for_its_limit_is_so_however_often_it_reads():
    """Of 14 µm by 0.01 mm: from the fourth turn on "the finest micrometer at hand, every place 5 times", no end."""
    turns = turns_of(14.0, 2.0, 7, division_um=10.0)
    for count in range(1, 8):
        varies = judged(turns[:count])
        assert varies.coarse
        assert not varies.ended
        assert said(varies).startswith("thickness at the same places with a micrometer of 0.005 mm a division or finer")
        assert "however often it reads; who has none finer stops here" in said(varies)
        assert varies.again == "measure again with a finer micrometer"
    assert judged(turns_of(40.0, 2.0, 2, division_um=10.0)).state == "above"
