"""Capability against an upper limit as percentiles tell it, and what share over it so many draws can resolve at all."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import bdtr

from sim.stack.shares import CONFIDENCE, exact, resolvable, seated_only

#: Share of a normal distribution below three standard deviations over its mean: where the index has its upper point.
UPPER = 0.99865


@dataclass(frozen=True)
class Capability:
    """Capability of one state of the corners.

    Parameters
    ----------
    index : float or None
        (limit - median) / (99.865 % point - median); None where the draws hold no such point.
    low, high : float or None
        Ends of its 95 % interval; None where so few draws do not bound it.
    median, upper : float
        Median and 99.865 % point, in the unit of the limit.
    over_ppm, over_low_ppm, over_high_ppm : float
        Corners over the limit in a million, as drawn, with the exact 95 % interval.
    resolvable_ppm : float
        With none over, as many in a million could still be.
    draws : int
    """

    index: float | None
    low: float | None
    high: float | None
    median: float
    upper: float
    over_ppm: float
    over_low_ppm: float
    over_high_ppm: float
    resolvable_ppm: float
    draws: int


def capability(values: ArrayLike, limit: float) -> Capability:
    """Capability against an upper limit by percentiles: runout is no normal figure and has no lower limit.

    Parameters
    ----------
    values : array_like, shape (n,)
        Independent draws; what is not a number is left out.
    limit : float

    Returns
    -------
    Capability

    Raises
    ------
    BadInput
        For no values.

    Notes
    -----
    No unit; values and limit in one unit. Percentile method of ISO 22514-2, upper limit only (quoted from memory). The
    interval is that of the 99.865 % point by order statistics (David and Nagaraja, Order Statistics, 2003, 7.1), the
    median taken as known: it is known far better.
    """
    kept = np.sort(seated_only(values))
    over = exact(int(np.count_nonzero(kept > limit)), kept.size)
    middle, upper = (float(one) for one in np.quantile(kept, (0.5, UPPER)))
    below, above = _ranks(kept.size)

    def at(point: float | None) -> float | None:
        return None if point is None or point <= middle else (limit - middle) / (point - middle)

    told = upper if kept.size * (1.0 - UPPER) >= 1.0 else None
    ends = (at(None if above is None else float(kept[above])), at(None if below is None else float(kept[below])))
    low, high = ends if limit >= middle else ends[::-1]
    share, least, most, none = (1e6 * one for one in (over.share, over.low, over.high, resolvable(kept.size)))
    return Capability(at(told), low, high, middle, upper, share, least, most, none, kept.size)


def _ranks(count: int) -> tuple[int | None, int | None]:
    """Places of the sorted draws between which the 99.865 % point lies with 95 %; None where none bounds it."""
    tail = (1.0 - CONFIDENCE) / 2.0
    under = bdtr(np.arange(count), count, UPPER)  # chance that at most so many draws lie below the point
    below = np.flatnonzero(under <= tail)
    above = np.flatnonzero(under >= 1.0 - tail)
    return (int(below[-1]) if below.size else None), (int(above[0]) if above.size else None)
