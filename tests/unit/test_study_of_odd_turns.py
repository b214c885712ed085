"""A slice of the study of odd turns: no table over its limit is left on, and honest turns are not asked on."""

from __future__ import annotations

import numpy as np
import pytest

from tests.studies import odd_turns

TABLES = 60


@pytest.mark.parametrize("seed", [3, 7])  # with the mean of the turns two tables of each were left on
def test_half_of_the_turns_being_honest_nothing_is_left_on_over_its_limit(seed):
    tables = [*odd_turns.odd_tables(np.random.default_rng(seed), TABLES)]
    assert all(2 * one.odd.count("") >= len(one.odd) for one in tables)
    asked = [(one, told) for one in tables if (told := odd_turns.asked(one)) is not None]
    assert len(asked) > 0.9 * TABLES
    assert [one for one, told in asked if odd_turns.unsafe(one, told)] == []


def test_honest_turns_under_their_limit_are_let_go_and_those_over_it_are_not():
    under = odd_turns.honest_tables(np.random.default_rng(4), 2 * TABLES // 3, (0.6, 0.8))
    asked = [odd_turns.asked(one) for one in under]
    assert sum(odd_turns.BY_ITSELF in told.lead for told in asked) <= 1
    assert sum(told.left_on for told in asked) > 0.75 * len(asked)
    over = odd_turns.honest_tables(np.random.default_rng(5), TABLES // 3, (1.3, 1.6))
    assert not any(odd_turns.asked(one).left_on for one in over)
    head, rule, *rows = odd_turns.over_rows(odd_turns.honest_tables(np.random.default_rng(6), 4, (1.5, 1.6)))
    assert rows[-1] == "| all | | 4 | 0 | 0 |"
