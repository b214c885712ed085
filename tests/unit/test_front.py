"""A long system eliminated along a front is solved as a whole one is."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.sparse import block_diag, csc_matrix, diags_array

from sim.solvers.front import AT_ONCE, eliminate


def body(size: int, apart: int, seed: int) -> csc_matrix:
    """A positive definite matrix in which unknowns up to so far apart meet, at random."""
    rng = np.random.default_rng(seed)
    reach = [rng.normal(size=size - k) * (rng.random(size - k) < 0.4) for k in range(apart + 1)]
    root = diags_array(reach, offsets=[-k for k in range(apart + 1)]) + diags_array(np.full(size, 3.0 * apart**0.5))
    return csc_matrix(root @ root.T)


@pytest.mark.parametrize(("size", "apart"), [(1, 0), (AT_ONCE, 7), (AT_ONCE + 1, 200), (3 * AT_ONCE + 50, 40)])
def test_it_solves_as_the_whole_matrix_does(size, apart):
    matrix, sides = body(size, min(apart, size - 1), 3), np.random.default_rng(4).normal(size=(size, 3))
    given = sides.copy()
    assert eliminate(matrix).solve(sides) == pytest.approx(np.linalg.solve(matrix.toarray(), sides), rel=1e-10)
    assert np.array_equal(sides, given)


def test_bodies_that_nothing_joins_are_solved_each_for_itself():
    two = block_diag([body(AT_ONCE, 5, 1), body(AT_ONCE + 30, 60, 2)], format="csc")
    sides = np.ones((two.shape[0], 1))
    assert eliminate(two).solve(sides) == pytest.approx(np.linalg.solve(two.toarray(), sides), rel=1e-10)


def test_a_body_that_is_not_held_is_refused():
    spring = csc_matrix(np.array([[1.0, -1.0], [-1.0, 1.0 - 1e-9]]))
    with pytest.raises(np.linalg.LinAlgError):
        eliminate(spring)
