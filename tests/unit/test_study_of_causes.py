"""What the study of causes takes for read: a table that gives a slip away is read again before anything is moved."""

from __future__ import annotations

import numpy as np
import pytest

from tests.studies import causes as study
from tests.studies import causes_tables as tables
from tests.studies import corners_at_fault as population

SHARES = np.zeros((len(population.CAUSES), population.ORDERS + 1), dtype=complex)
EVEN = population.Corner(0, (), SHARES, SHARES, np.zeros((5, 2, population.ORDERS + 1), dtype=complex), 0j)
PLAN = (population.Step("mounted"), population.Step("mounted", "as found", 2, 2))


def test_a_slip_is_read_again_at_once_and_the_slip_is_named():
    slipped = 0
    for number in range(60):
        taken = study.read_again(3, number, EVEN, PLAN)
        counts = study.last_of(taken)
        assert [step.kind for step in counts] == [step.kind for step in PLAN]
        assert len({(step.mount, step.again) for step in taken}) == len(taken)
        more = len(taken) - len(PLAN)
        given = population.readings(3, number, EVEN, taken)
        anew = [note for note in given.notes if note.endswith("counts no more")]
        assert bool(more) == bool(given.faults or anew)
        slipped += bool(more)
    assert 0 < slipped < 20


def test_nothing_is_asked_without_a_part_and_what_is_written_by_hand_stays(tmp_path):
    for name in ("inside", *(what.replace(" ", "_") for what in population.OUTSIDE)):
        population.save(tmp_path / f"corners_3_{name}.npz", [EVEN])
    (tmp_path / "answers_3_0123456789ab.jsonl").write_text('["+ index + clean||0", {"refused": "old"}]\n')
    note = tmp_path / "note.md"
    note.write_text("old\n\n# Before\n\nby hand\n")
    study.main(["1", "3", "--folder", str(tmp_path), "--note", str(note), "--parts"])
    page = note.read_text()
    assert page.startswith("# The ranking of causes\n\nMade by `python -m tests.studies.causes 1 3`")
    assert study.revision() in page
    assert f"| {tables.PLAIN} |" not in page
    assert page.endswith("|\n\n# Before\n\nby hand\n")


def test_a_row_of_a_band_counts_nought_by_its_share():
    rows = [
        {"interval": {population.HUB_DIRT: (0.0, 0.0, 2.0)}, "own": {population.HUB_DIRT: own}, "is_there":
         {population.HUB_DIRT: 0.2}, "present": [], "truth": ""}
        for own in (0.0, 1.0, 3.0)
    ]  # fmt: skip
    held = [tables._held(row, population.HUB_DIRT) for row in rows]
    assert held == pytest.approx([0.7 / 0.8, 1.0, 0.0])


def test_a_line_that_was_cut_off_is_asked_anew(tmp_path):
    path = tmp_path / "answers.jsonl"
    path.write_text('["a", {"x": 1}]\n["b", {"x')
    assert study.Kept(path).get("b", lambda: {"x": 2}) == {"x": 2}
    assert study.Kept(path).rows == {"a": {"x": 1}, "b": {"x": 2}}
