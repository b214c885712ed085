"""Many contact problems to come: then their sets are foreseen by compiled code, which takes a while to load.

The answers are the same to the bit either way; for a few problems loading it costs more than it saves.
"""

from __future__ import annotations

from types import ModuleType

import numpy as np

from sim.arrays import Bools
from sim.solvers.shared_block import Joined

ENOUGH = 512  # problems whose sets take as long as loading the compiler's library, about

_compiled: ModuleType | None = None


def get_ready(problems: int) -> None:
    """Let this process foresee contact sets from now on, if many problems are to come.

    Parameters
    ----------
    problems : int
        How many are to come, all processes together.
    """
    global _compiled
    if problems >= ENOUGH and _compiled is None:
        from sim.solvers import foreseen as compiled

        _compiled = compiled


def foreseen(problem: Joined, closed: Bools) -> tuple[Bools, Bools, int] | None:
    """Closed and capped cells of a problem, and by how many changes they were found.

    Parameters
    ----------
    problem : Joined
    closed : ndarray of bool, shape (cells,)
        Where to begin, in the problem's own order.

    Returns
    -------
    tuple or None
        None where nothing is foreseen, or no set was found.
    """
    if _compiled is None:
        return None
    shared, (first, first_new) = problem.shared, problem.first
    given = _compiled.Given(
        table=shared.table,
        lean=shared.lean,
        upright=shared.upright,
        softer=problem.softer,
        push=problem.push,
        rows=problem.rows,
        rows_turned=problem.rows_turned,
        inner=problem.inner,
        new_lean=problem.new_lean,
        column=problem.column,
        layer=problem.layer,
        first=first,
        first_new=first_new,
        rigid=problem.rigid,
        load=problem.load,
        cap=problem.cap[problem.softer.size :],
    )
    sets = closed.copy(), np.zeros_like(closed)
    changes = _compiled.foresee(given, *sets)
    return None if changes < 0 else (*sets, changes)
