"""The README's verification table is what the code computes now, and every row keeps to its stated agreement."""

from __future__ import annotations

from dataclasses import replace

import pytest

from sim.studies.closed_forms import CHECKS, Check
from tests.verification import table
from tests.verification.solid3d import stored


@pytest.fixture(scope="module")
def rows():
    return table.rows()


def test_every_row_agrees(rows):
    assert {row.quantity: f"{100 * row.difference:+.2f} %" for row in rows if not row.holds} == {}


def test_every_stored_seating_is_in_the_table(rows):
    names = {row.quantity.split(":")[0] for row in rows}
    assert set(stored.seatings()) | {"A", "B", "D"} <= names
    assert len(rows) > 2 * len(CHECKS)


def digits_apart(one: str, other: str) -> float:
    """How many steps of the last printed digit two figures are apart."""
    step = max(10.0 ** -len(text.partition(".")[2]) for text in (one, other))
    return abs(float(one) - float(other)) / step


def test_the_readme_shows_this_table(rows):
    """To the printed digits; another processor may round the last one the other way."""
    text = table.README.read_text(encoding="utf-8")
    shown = text[text.index(table.START) : text.index(table.END)].strip().splitlines()[3:]
    made = [table.markdown_row(row) for row in rows]
    assert len(shown) == len(made)
    for was, now in zip(shown, made, strict=True):
        old, new = ([cell.strip() for cell in line.strip("|").split("|")] for line in (was, now))
        assert (old[0], old[2:4], old[5]) == (new[0], new[2:4], new[5])
        assert digits_apart(old[1], new[1]) < 1.01, new[0]


def test_a_row_that_is_off_does_not_hold():
    good = Check("a", 1.0, 1.0, "mm", "geometry", agreed=0.01)
    assert good.holds
    assert replace(good, ours=1.0099).holds
    assert not replace(good, ours=1.02).holds
    assert replace(good, ours=1.02, half_width=0.011).holds
    assert not replace(good, ours=float("nan")).holds


def test_the_table_takes_its_place_and_nothing_else():
    text = f"before\n{table.START}\nold | row\n{table.END}\nafter"
    assert table.put_in(text, f"{table.START}\nnew\n{table.END}") == text.replace("old | row", "new")
    with pytest.raises(SystemExit, match="no place"):
        table.put_in("nothing here", "x")
