"""The study of whole turns written otherwise: its tables hold what it says of them, and its stored page is whole.

How often in thousands stands on that page: ``python -m tests.studies.whole_turn_slips``.
"""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from sim.files.dial_readings import parse
from tests.studies import benches_with_a_slip as population
from tests.studies import whole_turn_slips as study
from tests.studies.benches_with_a_slip import BARE, CLEAN, ELSEWHERE, FOUND, GOOD, KINDS, OVER, SLIPS, Lean


def still(seed: int) -> population.Bench:
    """A corner whose hub and rotor leave nothing open, read with a fine dial by a quiet hand."""
    drawn = population.bench(np.random.default_rng(seed), GOOD)
    fine = replace(drawn, dial_um=1.0, read_to_um=1.0, noise_um=0.3, seat_um=0.5, angle_deg=np.arange(12) * 30.0)
    return replace(fine, hub=Lean(30.0, 50.0), rotor=Lean(70.0, 200.0))


@pytest.mark.parametrize("thing", [BARE, CLEAN])
def test_signs_turned_over_are_named_and_count_no_more(thing):
    one = study.walked(still(5), OVER, thing)
    assert one.named
    assert one.rightly
    assert not one.slipped_in
    assert not one.sound_out


def test_a_corner_that_leaves_nothing_open_is_told_nothing():
    one = study.walked(still(3))
    assert one.first == ()
    assert one.again == 0
    assert not any(odds.slipped for odds in one.odds)


def test_a_mounting_on_another_stud_is_read_there_and_once_it_is_looked_for_written_so():
    one = still(3)
    first, step = (population.plan_of(one)[k] for k in (0, 2))
    turns = [population.read(one, first, 1, 0), population.written(one, population.read(one, step, 2, 1), ELSEWHERE)]
    assert turns[1].true_stud != turns[1].step.stud
    righted = study._righted(turns[1])
    assert np.array_equal(righted.value_um, population.read(one, righted.step, 2, 1).value_um)
    # What is read there as it stands is written on the same stud as before.
    more = study._next(one, turns, replace(step, fresh=False))
    assert (more.mount, more.step.stud, more.true_stud, more.slip) == (2, step.stud, turns[1].true_stud, ELSEWHERE)


def test_a_trace_is_known_again_whatever_its_mount_holds_besides():
    one = still(4)
    steps = population.plan_of(one)
    turns = [population.read(one, step, (step.thing != BARE) * (1 + k // 2), k) for k, step in enumerate(steps[:3])]
    turns.append(population.read(one, replace(steps[2], fresh=False), 2, 3))
    read = parse(population.text_of(one, turns))
    assert [study._turn_of(trace, turns) for trace in read.traces] == turns


def hand_made(kind, told, slip="", slipped=False):
    odds = (study.Odds(told, slipped),)
    thing = BARE if slip else ""
    return study.Walked(kind, slip, thing, 2, 0.0, (), False, "", "", 0, False, bool(slip), odds)


def test_odds_are_weighed_by_how_often_slips_come():
    """Two sound walks of a kind stand for half its share each; one with a slip for how often that comes at 2 %."""
    walks = [hand_made(GOOD, 0.6), hand_made(GOOD, 0.02), hand_made(GOOD, 0.6, OVER, slipped=True)]
    sound, slip = KINDS[GOOD] * (1.0 - 0.02 * 2) / 2, 0.02 * 2 * SLIPS[OVER]
    assert study.weights(walks, 0.02) == pytest.approx([sound, sound, slip])
    row = next(line for line in study.odds_rows(walks) if line.startswith("| 50% to 70%"))
    cells = [cell.strip() for cell in row.split("|")[2:-1]]
    assert cells[:3] == ["1", "1", "60%"]
    assert cells[4] == f"{slip / (slip + sound):.0%}"


def test_the_stored_page_is_whole():
    page = Path(study.__file__).with_suffix(".md").read_text(encoding="utf-8")
    sound = re.findall(r"^\| (\D+) \| (\d+) \| [\d.]+% \| \d+ \| [\d.]+% \|$", page, re.MULTILINE)
    assert [kind for kind, _ in sound] == [*KINDS, "all as they come"]
    assert min(int(n) for _, n in sound) > 100
    told = re.findall(r"^\| ([a-z ]+) \| ([a-z ]+) \| (\d+) \| \d+% \|", page, re.MULTILINE)
    wanted = {(thing, slip) for thing in (FOUND, BARE, CLEAN) for slip in (*SLIPS, "all")} - {(FOUND, ELSEWHERE)}
    assert {(thing, slip) for thing, slip, _ in told} == wanted
    assert len(re.findall(r"^\| \d+% to \d+% \|", page, re.MULTILINE)) == len(study.BINS) - 1
