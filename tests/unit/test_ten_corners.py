"""The ten invented corners that are shipped to try: each is answered honestly, and none is told more than it shows."""

import re
from importlib.resources import files

import pytest

import demo_geometry
from sim.causes.finding import weigh
from sim.causes.names import CAUSES, READ_AGAIN
from sim.files.case_file import case_from_text
from sim.files.dial_readings import parse

pytestmark = pytest.mark.usefixtures("fewest_seatings")
NAMES = sorted(entry.name for entry in files(demo_geometry).iterdir() if entry.name.startswith("corner_"))
FOUND, CANNOT, NONE, AGAIN = "a finding", "cannot tell", "no cause fits", "read again"


def _told(name):
    """Text, part set, truth and honest answer of a file, from its head."""
    text = files(demo_geometry).joinpath(name).read_text(encoding="utf-8")
    part_set = re.search(r"A corner of (\w+):", text)[1]
    truth = re.search(r"# Invented truth: (.+)", text)[1]
    return text, part_set, truth, re.search(r"# Honest answer: (.+)", text)[1]


def _answer(name):
    text, part_set, truth, honest = _told(name)
    case = case_from_text(demo_geometry.text(part_set), part_set)
    return weigh(parse(text, name), case), truth, honest


def test_there_are_ten_and_all_but_two_can_be_answered():
    told = [_told(name) for name in NAMES]
    assert len(told) == 10
    assert [honest for *_, honest in told].count(CANNOT) == 2
    assert {honest for *_, honest in told} == {FOUND, CANNOT, NONE, AGAIN}
    assert all(text.startswith("# Invented.") for text, *_ in told)
    found = [truth for _, _, truth, honest in told if honest == FOUND]
    assert len(set(found)) == len(found) == 6
    assert set(found) < set(CAUSES)


@pytest.fixture(scope="module")
def answers(fewest_seatings):
    return {name: _answer(name) for name in NAMES}


def test_most_that_can_be_found_are_found(answers):
    found = [answer.finding == truth for answer, truth, honest in answers.values() if honest == FOUND]
    assert sum(found) >= 5


@pytest.mark.parametrize("name", NAMES)
def test_is_answered_honestly(answers, name):
    answer, truth, honest = answers[name]
    assert sum(one.probability for one in answer.ranked) == pytest.approx(1.0)
    if honest == FOUND:
        assert answer.finding == truth or (answer.finding is None and truth in answer.cannot_tell)
        assert not answer.none_fits
    elif honest == CANNOT:
        assert answer.finding is None
        assert truth in answer.cannot_tell
        assert len(answer.cannot_tell) > 1
    else:
        assert answer.finding is None
        assert answer.none_fits
        assert answer.do == READ_AGAIN or honest == NONE
