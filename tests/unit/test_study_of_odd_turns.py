"""The study of odd turns: on a handful of tables none over its limit is left on, and its stored page is whole.

How often in thousands stands on that page: ``python -m tests.studies.odd_turns``.
"""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest

from tests.studies import odd_turns

TABLES = 12


@pytest.mark.parametrize("seed", [3, 7])
def test_half_of_the_turns_being_honest_nothing_is_left_on_over_its_limit(seed):
    tables = [*odd_turns.odd_tables(np.random.default_rng(seed), TABLES)]
    assert all(2 * one.odd.count("") >= len(one.odd) for one in tables)
    asked = [(one, told) for one in tables if (told := odd_turns.asked(one)) is not None]
    assert len(asked) > 0.9 * TABLES
    assert [one for one, told in asked if odd_turns.unsafe(one, told)] == []


def test_honest_turns_under_their_limit_are_let_go_and_those_over_it_are_not():
    under = odd_turns.honest_tables(np.random.default_rng(4), TABLES, (0.6, 0.8))
    asked = [odd_turns.asked(one) for one in under]
    assert sum(odd_turns.BY_ITSELF in told.lead for told in asked) <= 1
    assert sum(told.left_on for told in asked) > 0.75 * len(asked)
    over = odd_turns.honest_tables(np.random.default_rng(5), TABLES // 3, (1.3, 1.6))
    assert not any(odd_turns.asked(one).left_on for one in over)
    head, rule, *rows = odd_turns.over_rows(odd_turns.honest_tables(np.random.default_rng(6), 4, (1.5, 1.6)))
    assert rows[-1] == "| all | | 4 | 0 | 0 |"


def test_the_stored_page_is_whole():
    """Every kind with every number of odd turns, in thousands of tables: hardly one left on by more than is told."""
    page = Path(odd_turns.__file__).with_suffix(".md").read_text(encoding="utf-8")
    found = re.findall(r"^\| (\S.*) \| (\d) of (\d) \| (\d+) \| (\d+) \| (\d+) \|$", page, re.MULTILINE)
    wanted = {(kind, odd, of) for kind in odd_turns.KINDS for of in range(2, 6) for odd in range(of // 2 + 1)}
    assert {(kind, int(odd), int(of)) for kind, odd, of, *_ in found} == wanted
    count, left, bad = (sum(int(row[k]) for row in found) for k in (3, 4, 5))
    assert f"| all | | {count} | {left} | {bad} |" in page
    assert count > 3000
    assert bad <= 0.001 * count
