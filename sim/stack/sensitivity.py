"""Which input matters: Sobol' indices by group, of the runout and of passing the limit, with their intervals.

An amplitude and its angle are one group, and so is all that makes up one kind of dirt: an angle alone has no effect by
itself and much together with others, and a chart of single inputs would say that where a part points does not matter.
"""

from __future__ import annotations

from collections.abc import Mapping
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from functools import partial

import numpy as np
from numpy.typing import ArrayLike

from sim.arrays import Floats
from sim.errors import BadInput, Fault
from sim.one_thread import one_thread
from sim.progress import Progress, silent
from sim.stack.draw import BLOCK, TOOL, Drawn, Stream, draw_block
from sim.stack.hands import computed
from sim.stack.population import ANGLE_OF, Population, role
from sim.stack.seated import Wanted, seat_drawn
from sim.stack.study import MOST_SAMPLES, Study
from sim.units import is_whole, shown

RESAMPLED = 500  # bootstrap samples behind an interval; common practice
TORQUE = "torque"
LEAST_OVER = 10  # corners over the limit behind indices of being over it; judgement
OTHER = 0x5EED  # set off of the second sample's seed


@dataclass(frozen=True)
class Index:
    """Sobol' indices of one group; no unit.

    Parameters
    ----------
    group : str
    first, total : float
        Share of the variance from the group alone, and from it with all that it acts together with.
    first_low, first_high, total_low, total_high : float
        95 % intervals (bootstrap).
    """

    group: str
    first: float
    first_low: float
    first_high: float
    total: float
    total_low: float
    total_high: float


@dataclass(frozen=True)
class Sensitivity:
    """Which groups matter, for the runout itself and for being over the limit.

    Parameters
    ----------
    runout, over_limit : tuple of Index
        The greatest total first; ``over_limit`` is empty where too few are over.
    samples : int
    seatings : int
        Corners that were asked for; those that only differ in vectors are not seated anew.
    """

    runout: tuple[Index, ...]
    over_limit: tuple[Index, ...]
    samples: int
    seatings: int


def groups_of(population: Population) -> dict[str, str]:
    """Group of everything that is drawn, by the name of its column of shares; correlated keys are one group."""
    out: dict[str, str] = {}
    angle = {other: key for key, other in ANGLE_OF.items()}
    together = {key: " with ".join(group.keys) for group in population.correlated for key in group.keys}
    for one in population.spreads:
        if role(one.key) == "road":
            continue  # no part of a runout
        owner = angle.get(one.key, one.key)
        key = TORQUE if owner == "studs.nut_factor" and population.stud is not None else owner
        out[one.key] = together.get(owner, key)
    if population.stud is not None or population.tool is not None:
        out[TOOL] = TORQUE
    return out | {f"dirt{k}": dirt.name for k, dirt in enumerate(population.dirt)}


def _group(names: Mapping[str, str], column: str) -> str:
    if column.startswith("torque."):
        return TORQUE
    return names.get(column, names.get(column.partition(".")[0], ""))


def need_samples(samples: int) -> None:
    """Refuse samples of no corners, or of more than can be drawn, before anything is drawn.

    Raises
    ------
    BadInput
    """
    if not is_whole(samples) or not 1 <= samples <= MOST_SAMPLES:
        allowed = f"1 .. {MOST_SAMPLES}"
        raise BadInput(Fault(f"{shown(samples)} is no number of corners", key="sensitivity", allowed=allowed))


@one_thread
def sensitivity(
    study: Study,
    samples: int,
    workers: int | None = None,
    executor: Executor | None = None,
    progress: Progress = silent,
) -> Sensitivity:
    """Sobol' indices by group of the runout as found and read.

    Parameters
    ----------
    study : Study
    samples : int
        Corners of each of the two samples; two and one for each group are asked for.
    workers, executor : optional
        As `sim.stack.run.run`.
    progress : callable(fraction, what)

    Returns
    -------
    Sensitivity

    Raises
    ------
    BadInput
        For samples of no corners.

    Notes
    -----
    No unit. Saltelli et al. (Computer Physics Communications 181, 2010) for the first order, Jansen (1999) for the
    total; groups exchanged as a whole.
    """
    need_samples(samples)
    names = groups_of(study.population)
    groups = tuple(sorted(set(names.values())))
    blocks = list(range(-(-samples // BLOCK)))
    rows = []
    with computed(partial(_block, study, names, groups, samples), blocks, workers, executor) as answers:
        for found in answers:
            rows.append(found)
            progress(len(rows) / len(blocks), "which input matters")
    values = np.concatenate(rows, axis=1)
    values = values[:, np.isfinite(values).all(axis=0)]
    limit = study.population.limit_um
    over = (values > limit).astype(float)
    few = min(np.count_nonzero(over[:2]), np.count_nonzero(over[:2] == 0.0)) < LEAST_OVER
    passing = () if few else _ranked(groups, over)
    return Sensitivity(_ranked(groups, values), passing, values.shape[1], values.size)


def _block(study: Study, names: Mapping[str, str], groups: tuple[str, ...], samples: int, block: int) -> Floats:
    """Runout of both samples and with each group exchanged. Shape (2 + groups, corners). [um]."""
    ours, theirs = Stream(study.seed, block, BLOCK), Stream(study.seed + OTHER, block, BLOCK)
    part = slice(0, min(BLOCK, samples - block * BLOCK))
    memory: dict = {}

    def runout(stream: object) -> Floats:
        drawn: Drawn = draw_block(study.population, study.seed, block, stream).part(part)
        wanted = Wanted(study.preset, driven=False, cures=False)
        return seat_drawn(study.population, drawn, wanted, memory).columns["found_um"]

    out = [runout(ours), runout(theirs)]
    for group in groups:
        out.append(runout(lambda name, group=group: (theirs if _group(names, name) == group else ours)(name)))
    return np.array(out)


def _ranked(groups: tuple[str, ...], values: Floats) -> tuple[Index, ...]:
    if not np.var(values[:2]) > 0.0:
        return ()
    found = indices(values[0], values[1], values[2:])
    rows = [replace(one, group=group) for group, one in zip(groups, found, strict=True)]
    return tuple(sorted(rows, key=lambda one: -one.total))


@one_thread
def indices(ours: ArrayLike, theirs: ArrayLike, exchanged: ArrayLike, seed: int = 1) -> tuple[Index, ...]:
    """First and total indices of groups from two samples and their exchanges.

    Parameters
    ----------
    ours, theirs : array_like, shape (n,)
        Of two independent samples.
    exchanged : array_like, shape (groups, n)
        Ours with one group taken from theirs.
    seed : int
        Of the bootstrap.

    Returns
    -------
    tuple of Index
        Without names.

    Notes
    -----
    No unit; as `sensitivity`. Percentiles of rows drawn again, 95 %.
    """
    a, b, ab = (np.asarray(one, dtype=float) for one in (ours, theirs, exchanged))
    rows = np.random.default_rng(seed).integers(a.size, size=(RESAMPLED, a.size))
    whole = _first_total(a, b, ab)
    again = np.array([_first_total(a[row], b[row], ab[:, row]) for row in rows])
    low, high = np.nanquantile(again, (0.025, 0.975), axis=0)
    return tuple(
        Index("", float(whole[0, k]), float(low[0, k]), float(high[0, k]), float(whole[1, k]), float(low[1, k]),
              float(high[1, k]))
        for k in range(ab.shape[0])
    )  # fmt: skip


def _first_total(a: Floats, b: Floats, ab: Floats) -> Floats:
    both = np.concatenate([a, b])
    variance = both.var() or np.nan
    first = (b * (ab - a)).mean(axis=1) - both.mean() * (ab - a).mean(axis=1)
    total = 0.5 * np.square(a - ab).mean(axis=1)
    return np.stack([first, total]) / variance
