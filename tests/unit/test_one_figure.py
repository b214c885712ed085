"""One answer has one figure: what stands beside it is of that figure, and what is announced is what comes."""

from __future__ import annotations

import re
from dataclasses import replace
from statistics import NormalDist

import numpy as np
import pytest

from scenes.words import causes_do
from scenes.words.causes import read_now, where_now
from sim.bench.foreseen import a_stud_if_over
from sim.causes import names
from sim.files.dial_readings import Trace
from sim.turn import evaluate
from tests.unit.hand_made_finding import finding
from tests.unit.test_mountings import ANGLE, EVEN, act_of, lead, mounted, told

BESIDE = re.compile(r"([\d.]+) µm ± ([\d.]+) µm \(k = 2\).*?limit,? ([\d.]+) µm \(probability to be under it, by that ")
ODDS = re.compile(r"by that figure: (over |under )?(\d+) %")


@pytest.mark.parametrize("do", [names.AT_LIMIT, names.UNEVEN_COUNTED])
@pytest.mark.parametrize("turns", [1, 2])
@pytest.mark.parametrize("dial_um", [1.0, 10.0])
def test_a_probability_beside_a_figure_is_of_that_figure_and_its_uncertainty(do, turns, dial_um):
    """ "51 ± 4.2 µm, limit 50 (probability to be under it: 52 %)", "45 ± 11 µm ... 95 %": of two quantities."""
    made = finding(do=do, turns=turns, dial_um=dial_um)
    for off_um in (-6.0, -3.0, -1.0, 0.0, 1.0, 3.0, 6.0):
        limit_um = read_now(made) + off_um
        said = causes_do.action(replace(made, limit_um=limit_um), limit=f"{limit_um:.1f} µm").replace("\u00a0", " ")
        read, half, limit = map(float, BESIDE.search(said).groups())
        bound, odds = ODDS.search(said).groups()
        by_it = 100.0 * NormalDist(read, half / 2.0).cdf(limit)
        if bound:
            assert (by_it > float(odds)) is (bound == "over ")
        else:
            assert float(odds) == pytest.approx(by_it, abs=12.0)  # figures are told to whole µm


def test_a_rotor_that_is_left_on_is_told_with_its_figure_and_its_stud_in_the_lead():
    """ "Leave it there. It is under the limit": of a rotor that was moved twice, neither."""
    made = finding(do=names.LEAVE)
    said = causes_do.action(made, limit="50 µm").replace("\u00a0", " ")
    runs = f"on clean faces it runs out {read_now(made):.0f} µm on stud {where_now(made) + 1}, under the limit, 50 µm"
    assert said.startswith(f"The runout is done: {runs} (probability ")


def _clean(*studs_um):
    """Mounts on studs, each of a rotor that runs out by so much there, its thickness even."""
    level = Trace("hub face", 0, 0, ANGLE, evaluate(np.array([0, 0.5]), np.radians(ANGLE)), dial_um=1.0)
    turns = (mounted(at, 0.0, um / 2.0, k, "cleaned") for k, (at, um) in enumerate(studs_um, 1))
    return [*(replace(one, dial_um=1.0) for one in turns), EVEN, level]


def test_what_is_announced_over_the_limit_is_what_three_turns_over_it_order():
    """ "Over it clean hub face and rotor seat once more", and the three that were over it ordered another stud."""
    fine = _clean((0, 51.0))
    announced = lead(told(*fine), *fine)
    assert act_of(*fine).what == "at the limit"
    assert "under that limit leave it there; over it another stud is read first" in announced
    three = _clean((0, 51.0), (0, 51.5), (0, 51.2))
    assert act_of(*three).what == "another stud"


def test_where_every_stud_was_tried_the_seat_is_announced_and_comes():
    every = _clean((0, 51.0), (1, 51.3), (2, 51.2), (3, 51.2), (4, 51.1))
    assert not a_stud_if_over(told(*every), 50.0)
    assert "over it clean hub face and rotor seat once more" in lead(told(*every), *every)


def test_what_one_mounting_does_not_tell_stands_before_it_is_left_on_as_without_a_case():
    """With a case it was the last sentence, behind "if it still shakes"."""
    made = finding(do=names.LEAVE, limit_um=40.0)
    said = causes_do.action(made, limit="40 µm").replace("\u00a0", " ")
    of_this = said.index(". That is of this mounting: another may read up to 14 µm more. ")
    assert of_this < said.lower().index("leave it there") < said.index("That is the runout alone")
