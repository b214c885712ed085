"""One of the drawn corners by itself: drawn again, seated again, as a case that every other command takes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from sim.corner.road_state import UNFIT
from sim.errors import Refused
from sim.one_thread import one_thread
from sim.parts.case import Case
from sim.stack.draw import BLOCK, case_of, draw_block
from sim.stack.points import stream_of
from sim.stack.seated import Wanted, seat_drawn
from sim.stack.study import Study


@dataclass(frozen=True, eq=False)
class OneCorner:
    """A drawn corner.

    Parameters
    ----------
    case : Case
    drawn : mapping of str to float
        What was drawn, by key.
    outcome : mapping of str to float
        As in `sim.stack.seated.Rows`; without figures as driven where it is not fit to drive.
    unfit : str
        Why it is not fit to drive as drawn; empty where it is, or nobody asked.
    """

    case: Case
    drawn: Mapping[str, float]
    outcome: Mapping[str, float]
    unfit: str = ""


@one_thread
def corner(study: Study, number: int) -> OneCorner:
    """Draw and seat one corner of a study again.

    Parameters
    ----------
    study : Study
    number : int
        From 0.

    Raises
    ------
    BadInput
        If it cannot be built.
    Refused
        If it cannot be seated.
    """
    block, row = divmod(number, BLOCK)
    drawn = draw_block(study.population, study.seed, block, stream_of(study, block))
    case = replace(case_of(study.population, drawn, row), title=f"Corner {number}, drawn")
    rows = seat_drawn(study.population, drawn.part(slice(row, row + 1)), Wanted(study.preset, study.driven))
    unfit = "".join(reason for _, reason in rows.reasons if reason.startswith(UNFIT))
    if rows.reasons and not unfit:
        raise Refused(rows.reasons[0][1])
    outcome = {name: float(column[0]) for name, column in rows.columns.items() if np.isfinite(column[0])}
    values = {name: float(column[row]) for name, column in drawn.columns.items()}
    return OneCorner(case, values, outcome, unfit)
