"""Drawn corners driven: what share has grown more thickness variation than is allowed, against the kilometres."""

from __future__ import annotations

from concurrent.futures import Executor
from dataclasses import dataclass, field
from functools import partial

import numpy as np

from sim.arrays import Floats
from sim.corner.road_state import as_driven
from sim.errors import BadInput, Fault, Refused
from sim.one_thread import one_thread
from sim.progress import Progress, silent
from sim.seating.seat import seat
from sim.solvers.many import get_ready
from sim.stack.draw import BLOCK, case_of, draw_block
from sim.stack.hands import computed
from sim.stack.points import stream_of
from sim.stack.shares import Share, exact
from sim.stack.study import MOST_SAMPLES, Study
from sim.units import is_whole, shown
from sim.wear.asked import Settings
from sim.wear.brake import COARSE
from sim.wear.distances import to_drive_km
from sim.wear.forecast import drive

ROW = 16  # corners that go to a process at once
POINTS = 61  # distances that are told
STATES = ("found", "cleaned")


@dataclass(frozen=True, eq=False)
class Driven:
    """Drawn corners driven.

    Parameters
    ----------
    km : ndarray, shape (points,)
    limit_um : float
        Thickness variation that a corner may have.
    within : dict of str to Share
        Corners that stay within it over the whole distance, as found and cleaned.
    over : dict of str to ndarray, shape (points,)
        Share of corners that have been over it by each distance.
    km_to_limit : dict of str to ndarray, shape (corners,)
        Distance to it; infinite where it was not reached, not a number where the corner was not driven. [km]
    dtv_um : dict of str to ndarray, shape (corners,)
        Greatest thickness variation on the way. [um]
    reasons : tuple of (int, str)
        Corners that were not driven.
    """

    km: Floats
    limit_um: float
    within: dict[str, Share]
    over: dict[str, Floats]
    km_to_limit: dict[str, Floats] = field(repr=False)
    dtv_um: dict[str, Floats] = field(repr=False)
    reasons: tuple[tuple[int, str], ...] = ()


def need_drive(corners: int, km: float) -> None:
    """Refuse a number of corners, or a distance [km], that cannot be driven; before anything is drawn.

    Raises
    ------
    BadInput
    """
    if not is_whole(corners) or not 1 <= corners <= MOST_SAMPLES:
        allowed = f"1 .. {MOST_SAMPLES}"
        raise BadInput(Fault(f"{shown(corners)} is no number of corners", key="chained", allowed=allowed))
    to_drive_km(km)


@one_thread
def driven(
    study: Study,
    corners: int,
    km: float = 30_000.0,
    workers: int | None = None,
    executor: Executor | None = None,
    progress: Progress = silent,
) -> Driven:
    """Drive the first corners of a study, each with the wear parameters that were drawn for it.

    Parameters
    ----------
    study : Study
        Keys of pads, caliper and drive that vary are drawn; the others are the case's.
    corners : int
    km : float
        [km]
    workers, executor : optional
        As `sim.stack.run.run`.
    progress : callable(fraction, what)

    Returns
    -------
    Driven

    Raises
    ------
    BadInput
        For no corners, or a distance that cannot be driven.

    Notes
    -----
    The seating as driven and `sim.wear.forecast.drive` of one corner, many times; the coarse march of its band.

    Thickness variation in um; how far it is from a fine march: tests/studies/forecast_band.md.
    """
    need_drive(corners, km)
    starts = list(range(0, corners, ROW))
    rows: list[tuple[Floats, list[tuple[int, str]]]] = []
    with computed(partial(_some, study, corners, km), starts, workers, executor) as answers:
        for found in answers:
            rows.append(found)
            progress(len(rows) / len(starts), "corners driven")
    values = np.concatenate([one for one, _ in rows])
    reasons = tuple(reason for _, told in rows for reason in told)
    limit = study.population.case.limits.dtv_um
    at = np.linspace(0.0, km, POINTS)
    out = Driven(at, limit, {}, {}, {}, {}, reasons)
    for k, state in enumerate(STATES):
        reached, most = values[:, 2 * k], values[:, 2 * k + 1]
        known = reached[~np.isnan(reached)]
        out.km_to_limit[state], out.dtv_um[state] = reached, most
        if known.size:
            out.within[state] = exact(int(np.count_nonzero(np.isinf(known))), known.size)
            out.over[state] = np.array([np.mean(known <= one) for one in at])
    return out


def _some(study: Study, corners: int, km: float, start: int) -> tuple[Floats, list[tuple[int, str]]]:
    get_ready(corners * len(STATES))
    out = np.full((min(ROW, corners - start), 2 * len(STATES)), np.nan)
    reasons = []
    block, first = divmod(start, BLOCK)
    drawn = draw_block(study.population, study.seed, block, stream_of(study, block))
    for row in range(out.shape[0]):
        for k, state in enumerate(STATES):
            try:
                case = case_of(study.population, drawn, first + row, cleaned=state == "cleaned")
                dirty = k == 0 or case.debris or len(drawn.patches) == 0
                if not dirty and not _any_dirt(drawn, first + row):
                    out[row, 2 * k : 2 * k + 2] = out[row, :2]  # nothing to clean
                    continue
                on_road = as_driven(case)
                seated = seat(on_road, study.preset)
                mean = (seated.outboard_um + seated.inboard_um) / 2.0
                found = drive(on_road, mean, km, settings=Settings(draws=0, fineness=COARSE))
                out[row, 2 * k] = np.inf if found.km_to_limit is None else found.km_to_limit
                out[row, 2 * k + 1] = float(found.dtv_um.max())
            except (BadInput, Refused) as error:
                reasons.append((start + row, str(error)))
                break
    return out, reasons


def _any_dirt(drawn: object, row: int) -> bool:
    return any(int(one.count[row]) > 0 for one in drawn.patches)  # type: ignore[attr-defined]
