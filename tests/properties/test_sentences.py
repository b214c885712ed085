"""What is printed in the first lines is what the same run answers in JSON, on corners drawn at random."""

import re
from dataclasses import replace

import numpy as np
import pytest

from scenes.words import findings, road, what_leads, words
from sim import answers
from sim.bench.mountings import ONE_SCREW
from sim.chain import compute
from sim.corner.batch import random_debris
from sim.corner.road_state import loose_as_read, loose_on_the_road, past_proof, unfit
from sim.errors import Refused
from sim.files.case_file import case_from_text
from sim.parts.case import Studs

pytestmark = pytest.mark.usefixtures("few_draws", "few_wheels")

SEATED, DRIVEN = (100, 101, 103, 105, 111, 113), (200, 212)  # 111, 113 and 212 are not fit to drive
SAID = {"below the limit": "below", "above the limit": "above", words.TOO_CLOSE_SAID: "too close to tell"}


def corner(seed: int):
    """Random dirt on the demo geometry, read under a clamping of some kind, mostly fit for the road."""
    base = case_from_text('base = "rear_solid_300"\n')
    rng = np.random.default_rng(seed)
    (dirty,) = random_debris(base, 1, seed, (10.0, 200.0))
    torque = float(rng.choice([8.0, 20.0, 90.0, 140.0]))
    by = str(rng.choice(["nuts and spacers", "bare nuts", "wheel"]))
    of_road = (140.0, None)[int(rng.random() < 0.3)]
    return replace(dirty, studs=replace(Studs(), torque_nm=torque, road_torque_nm=of_road, clamped_by=by))


def first_um(sentence: str) -> str:
    """First figure in micrometres of a sentence, as printed."""
    return re.search(rf"([\d.,{words.GAP}]+){words.GAP}µm", sentence).group(0).strip()


def states(sentence: str) -> set[str]:
    """Where the sentence says that its figure lies against the limit."""
    return {state for text, state in SAID.items() if text in sentence}


@pytest.mark.parametrize("seed", SEATED)
def test_first_lines_of_a_seating_are_those_of_its_json(seed):
    run = compute(corner(seed), None, "fast", fields_too=False)
    answer = answers.seat_answer(run)
    read, driven, block = findings.runout(run), findings.as_driven(run), answer["as_driven"]
    face = answer["face"]
    assert first_um(read.sentence) == words.micrometres(answer["lateral_runout_um"][face])
    assert read.state == answer["against_limit"]
    studs = run.case.studs
    held = loose_as_read(studs) or loose_on_the_road(studs) or past_proof(studs)
    nothing = bool(held) or studs.clamped_by == ONE_SCREW
    nothing = nothing and read.state != "above"  # under a nut that is off, or one screw, no reading passes
    assert ("clears nothing" in read.sentence) == nothing
    assert states(read.sentence) == (set() if nothing else {read.state})
    headlines = " ".join(what_leads.headlines(run))
    if "lateral_runout_um" not in block:
        assert driven is None
        assert answer["as_driven_um"] is None
        assert "not fit to drive" in block["refused"]
        assert "No forecast" in headlines
        return
    assert first_um(driven.sentence) == words.micrometres(block["lateral_runout_um"][face])
    assert words.span(*block["band_um"][face], "µm", 2) in driven.sentence
    assert {driven.state} == {block["against_limit"]}
    assert states(driven.sentence) == set()  # a limit of the dial judges no runout as driven
    # That one of them cannot tell is no disagreement where the dial's figure lies within the road's.
    alike = "too close to tell" in (read.state, driven.state) and driven.low <= read.value <= driven.high
    assert ("Dial and road disagree" in headlines) == (read.state != driven.state and not alike)
    assert ("not fit to drive" in headlines) == (not block["clamped_for_reading_fit_to_drive"])


@pytest.mark.parametrize("seed", DRIVEN)
def test_the_sentence_of_the_road_is_that_of_its_json(seed):
    case = corner(seed)
    if unfit(case.studs):
        with pytest.raises(Refused, match="not fit to drive"):
            compute(case, 2000.0, "fast", fields_too=False)
        return
    run = compute(case, 2000.0, "fast", fields_too=False)
    answer, said = answers.drive_answer(run), findings.dtv(run)
    top = int(np.argmax(answer["dtv_um"]))
    assert words.micrometres(answer["dtv_um"][top]) in said.sentence
    assert f"of each draw's highest: {words.span(*answer['dtv_highest_band_um'], 'µm')}" in said.sentence
    assert words.dtv_band(answer["dtv_um"][top]) in said.sentence
    share = 1.0 - answer["probability_never"]
    assert said.state == ("above" if share >= road.SURE else "below" if share <= 1 - road.SURE else "too close to tell")
    assert f"{words.percent(share)} of draws" in said.sentence
    assert ("stays below" in said.sentence) == (said.state == "below")
    assert "as driven" in said.sentence
    assert answer["started_from"] == "as driven"
