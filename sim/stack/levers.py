"""What a lever is worth: the share over the limit with it, what that saves at the user's prices, what it costs."""

from __future__ import annotations

from concurrent.futures import Executor
from dataclasses import dataclass, replace

import numpy as np

from sim.arrays import Bools
from sim.one_thread import one_thread
from sim.progress import Progress, silent
from sim.stack.distributions import Distribution
from sim.stack.paired import Fewer, fewer
from sim.stack.run import Result, run
from sim.stack.seated import Wanted
from sim.stack.shares import Share, exact
from sim.stack.study import Lever, Prices

MOST_AGAIN = 4096  # corners that are seated anew for a lever on the torque


@dataclass(frozen=True)
class Worth:
    """What one lever does.

    Parameters
    ----------
    lever : Lever
    over : Share
        Over the limit with it.
    without : Share
        Over the limit without it, of the corners that it was told by.
    sorted_out : float
        Share of the parts that it throws away; their price is the user's to say.
    saves_per_car : float or None
        If every corner over the limit comes back as one complaint; None without prices.
    fewer : Fewer or None
        Share over the limit that it takes away, of the same corners; None for points that are not independent.
    sorts_per_car : float
        Price of the parts sorted out for each car, where the lever has one for a part.
    saves_low, saves_high : float or None
        Ends of the 95 % interval of what it saves.
    """

    lever: Lever
    over: Share
    without: Share
    sorted_out: float
    saves_per_car: float | None
    fewer: Fewer | None = None
    sorts_per_car: float = 0.0
    saves_low: float | None = None
    saves_high: float | None = None

    @property
    def costs_per_car(self) -> float:
        """Its price and that of the parts sorted out, a car. In the currency of the prices; by definition."""
        return self.lever.price_per_car + self.sorts_per_car

    @property
    def gain_per_car(self) -> float | None:
        """What it saves less what it costs, a car. In the currency of the prices; by definition."""
        return None if self.saves_per_car is None else self.saves_per_car - self.costs_per_car

    @property
    def unpriced(self) -> bool:
        """Whether it sorts out parts whose price nobody said."""
        return self.sorted_out > 0.0 and self.lever.price_per_part_sorted_out is None


@one_thread
def worths(
    result: Result, workers: int | None = None, executor: Executor | None = None, progress: Progress = silent
) -> tuple[Worth, ...]:
    """Hold every lever of a study against what was drawn.

    Parameters
    ----------
    result : Result
    workers, executor : optional
        As `sim.stack.run.run`.
    progress : callable(fraction, what)

    Returns
    -------
    tuple of Worth
        In the order of the file.

    Notes
    -----
    Sorting out, cleaning and indexing are told from the corners that were drawn; another torque tool seats the first of
    them anew, with the same draws: every corner is held against itself (`sim.stack.paired`). Prices: claims x share x
    corners a car, by definition.
    """
    study, out = result.study, []
    for k, lever in enumerate(study.levers):
        on = _with_torque(result, lever, workers, executor) if lever.stud_sd or lever.tool_sd else result
        state = {(False, False): "found_um", (True, False): "cleaned_um", (False, True): "indexed_um"}
        column = on.columns[state.get((lever.cleaned, lever.indexed), "both_um")]
        before = result.columns["found_um"][: on.size]
        kept = _kept(on, lever) & np.isfinite(column) & np.isfinite(before)
        limit = study.population.limit_um
        if not kept.any():
            continue
        over = exact(int(np.count_nonzero(column[kept] > limit)), int(kept.sum()))
        whole = np.isfinite(before)
        without = exact(int(np.count_nonzero(before[whole] > limit)), int(whole.sum()))
        sorted_out = float(1.0 - kept.sum() / whole.sum())
        told = None
        if study.points == "random":
            told = fewer(before[whole] > limit, column[whole] > limit, kept[whole])
        low, high = (None, None) if told is None else (_worth(study.prices, one) for one in (told.low, told.high))
        saves, sorts = _worth(study.prices, without.share - over.share), _sorts(study.prices, lever, sorted_out)
        out.append(Worth(lever, over, without, sorted_out, saves, told, sorts, low, high))
        progress((k + 1) / len(study.levers), "what each lever is worth")
    return tuple(out)


def _kept(result: Result, lever: Lever) -> Bools:
    kept = np.ones(result.size, dtype=bool)
    if lever.key:
        values = result.columns[lever.key]
        kept &= values >= (-np.inf if lever.lowest is None else lever.lowest)
        kept &= values <= (np.inf if lever.highest is None else lever.highest)
    return kept


def _with_torque(result: Result, lever: Lever, workers: int | None, executor: Executor | None) -> Result:
    """The first corners with another scatter of the torque, everything else as it was drawn."""
    study = result.study
    changed = replace(
        study.population,
        stud=_narrowed(study.population.stud, lever.stud_sd),
        tool=_narrowed(study.population.tool, lever.tool_sd),
    )
    again = replace(
        study, population=changed, samples=min(result.size, MOST_AGAIN), tolerance_um=0.0, levers=(), driven=False
    )
    cures = lever.cleaned or lever.indexed
    return run(again, workers, executor=executor, wanted=Wanted(study.preset, False, cures))


def _narrowed(spread: Distribution | None, sd: float | None) -> Distribution | None:
    return spread if spread is None or not sd else replace(spread, kind="normal", parameters=(1.0, sd))


def _worth(prices: Prices | None, fewer_over: float) -> float | None:
    return None if prices is None else fewer_over * prices.corners_per_car * prices.claim


def _sorts(prices: Prices | None, lever: Lever, share: float) -> float:
    """Price of the parts that are thrown away for one car: so many for each that is kept."""
    if prices is None or lever.price_per_part_sorted_out is None:
        return 0.0
    return share / (1.0 - share) * prices.corners_per_car * lever.price_per_part_sorted_out
