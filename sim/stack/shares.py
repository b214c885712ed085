"""What draws tell of a share, with its exact interval, and what they cannot tell."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import betaincinv, stdtrit

from sim.arrays import Floats
from sim.errors import BadInput, Fault

CONFIDENCE = 0.95  # of every interval of a share; common practice
LEAST_TOLD = 5  # corners over, and within, from which replicates tell how a share scatters; common practice


@dataclass(frozen=True)
class Share:
    """A share of corners.

    Parameters
    ----------
    share, low, high : float
        As drawn, and the ends of its exact 95 % interval.
    count, of : int
        Corners, and corners drawn.
    """

    share: float
    low: float
    high: float
    count: int
    of: int


def seated_only(values: ArrayLike) -> Floats:
    """Values of the corners that could be seated; any unit.

    Raises
    ------
    BadInput
        For none.
    """
    found = np.asarray(values, dtype=float)
    kept: Floats = found[np.isfinite(found)]
    if kept.size == 0:
        raise BadInput(Fault("not one of the drawn corners could be seated", key="samples"))
    return kept


def exact(count: int, of: int, confidence: float = CONFIDENCE) -> Share:
    """Share with its exact interval.

    Parameters
    ----------
    count, of : int
        Corners that have it, of how many that were drawn independently.
    confidence : float

    Returns
    -------
    Share

    Raises
    ------
    BadInput
        For no corners, or more than were drawn.

    Notes
    -----
    No unit. Clopper and Pearson (Biometrika 26, 1934): quantiles of the beta distribution; never less likely to hold
    than it says.

    Examples
    --------
    >>> round(exact(0, 1000).high, 5)
    0.00368
    """
    if not 0 <= count <= of or of < 1:
        raise BadInput(Fault(f"{count} of {of} corners", key="samples", allowed="1 or more"))
    tail = (1.0 - confidence) / 2.0
    low = 0.0 if count == 0 else float(betaincinv(count, of - count + 1, tail))
    high = 1.0 if count == of else float(betaincinv(count + 1, of - count, 1.0 - tail))
    return Share(count / of, low, high, count, of)


def ends(count: ArrayLike, of: ArrayLike, confidence: float = CONFIDENCE) -> tuple[Floats, Floats]:
    """Both ends of the exact intervals of many shares at once; as `exact`. No unit.

    Clopper and Pearson (Biometrika 26, 1934).
    """
    k, n = np.broadcast_arrays(np.asarray(count, dtype=float), np.asarray(of, dtype=float))
    tail = (1.0 - confidence) / 2.0
    low = np.where(k <= 0, 0.0, betaincinv(np.maximum(k, 1.0), n - k + 1.0, tail))
    high = np.where(k >= n, 1.0, betaincinv(k + 1.0, np.maximum(n - k, 1.0), 1.0 - tail))
    return low, high


def demonstrated(over: Share, wanted_within: float) -> str:
    """Whether draws show that a share of corners is within: ``yes``, ``no`` (they show that it is not) or ``open``."""
    most = 1.0 - wanted_within
    if over.high <= most:
        return "yes"
    return "no" if over.low > most else "open"


def least_draws(wanted_within: float, confidence: float = CONFIDENCE) -> int:
    """Draws of which not one may be over to show that a share is within. By definition: (1 - p)^n = tail. No unit."""
    tail = (1.0 - confidence) / 2.0
    return int(np.ceil(np.log(tail) / np.log(wanted_within)))


def resolvable(of: int) -> float:
    """Least share that so many draws can tell from none: with none over, the upper end of its interval. No unit.

    Exact interval (`exact`).
    """
    return exact(0, of).high


@dataclass(frozen=True)
class Spread:
    """How a figure is spread over the drawn corners, in the unit of the figure.

    Parameters
    ----------
    mean, p50, p95, p99 : float
    reject : Share
        Over the limit.
    samples : int
        Corners that are a figure.
    tolerance_reached : float
        Two standard deviations of the mean of mean, standard deviation and both 95 % ends, whichever is greatest.
    """

    mean: float
    p50: float
    p95: float
    p99: float
    reject: Share
    samples: int
    tolerance_reached: float


def spread(values: ArrayLike, limit: float, batch: int) -> Spread:
    """Sum up draws.

    Parameters
    ----------
    values : array_like, shape (n,)
        Not a number where a corner could not be seated: left out.
    limit : float
    batch : int
        Draws of one batch, from which the tolerance reached is told.

    Returns
    -------
    Spread

    Raises
    ------
    BadInput
        Where no corner is a figure.

    Notes
    -----
    In the unit of the values. Tolerance after JCGM 101, 7.9.
    """
    found = np.asarray(values, dtype=float)
    kept = seated_only(found)
    mid = np.quantile(kept, (0.5, 0.95, 0.99))
    over = exact(int(np.count_nonzero(kept > limit)), kept.size)
    return Spread(
        float(kept.mean()), float(mid[0]), float(mid[1]), float(mid[2]), over, kept.size, tolerance(found, batch)
    )


def tolerance(values: Floats, batch: int) -> float:
    """Numerical tolerance that batches of draws have reached.

    Parameters
    ----------
    values : ndarray, shape (n,)
    batch : int

    Returns
    -------
    float
        In the unit of the values; infinite with fewer than two whole batches.

    Notes
    -----
    JCGM 101, 7.9.4: mean, standard deviation and both ends of the 95 % interval of every batch; twice the standard
    deviation of their averages, the greatest of the four.
    """
    count = values.size // batch
    if count < 2:
        return float("inf")
    whole = values[: count * batch].reshape(count, batch)
    ends = np.nanquantile(whole, (0.025, 0.975), axis=1)
    each = np.stack([np.nanmean(whole, axis=1), np.nanstd(whole, axis=1, ddof=1), *ends])
    return float(2.0 * (each.std(axis=1, ddof=1) / np.sqrt(count)).max())


def replicated(found: Spread, values: Floats, limit: float, replicates: int) -> Spread:
    """Intervals for points that are not independent, from replicates that are.

    Parameters
    ----------
    found : Spread
        As of independent draws.
    values : ndarray, shape (n,)
        Blocks of equal size that belong to the replicates in turn.
    limit : float
    replicates : int

    Returns
    -------
    Spread
        Its interval and its tolerance are those of the replicates; not a number for fewer than two.

    Notes
    -----
    In the unit of the values. Student's t over the means of independently scrambled replicates (Owen, 1997); ends are
    kept within 0 .. 1. With fewer than `LEAST_TOLD` corners over the limit, or within it, replicates tell no scatter
    (none over in any of them would be none at all): the exact interval of as many random draws stands then.
    """
    each = [values[k::replicates] for k in range(replicates)]
    kept = [one[np.isfinite(one)] for one in each]
    kept = [one for one in kept if one.size]
    if len(kept) < 2:
        return replace(found, reject=replace(found.reject, low=float("nan"), high=float("nan")))
    told = [(one.mean(), one.std(ddof=1), *np.quantile(one, (0.025, 0.975))) for one in kept if one.size > 1]
    reached = 2.0 / np.sqrt(len(told)) * np.array(told).std(axis=0, ddof=1).max() if len(told) > 1 else float("inf")
    low, high = band(values, np.array([limit]), replicates)[1:]
    share = replace(found.reject, low=float(low[0]), high=float(high[0]))
    return replace(found, reject=share, tolerance_reached=float(reached))


def band(values: ArrayLike, limits: ArrayLike, replicates: int = 1) -> tuple[Floats, Floats, Floats]:
    """Share of corners over each of many limits, with its 95 % interval.

    Parameters
    ----------
    values : array_like, shape (n,)
        Not a number where a corner could not be seated: left out.
    limits : array_like, shape (m,)
    replicates : int
        1 for independent draws; else values belong to so many replicates in turn.

    Returns
    -------
    tuple of ndarray, shape (m,)
        Share, low end, high end.

    Notes
    -----
    No unit; values and limits in one. As `exact` for independent draws, as `replicated` for others.
    """
    found = np.asarray(values, dtype=float)
    at = np.atleast_1d(np.asarray(limits, dtype=float))

    def over(some: Floats) -> tuple[Floats, int]:
        kept = np.sort(some[np.isfinite(some)])
        return (kept.size - np.searchsorted(kept, at, side="right")).astype(float), kept.size

    count, of = over(found)
    share = count / of
    low, high = ends(count, of)
    each = [over(found[k::replicates]) for k in range(replicates)] if replicates > 1 else []
    means = np.array([some / size for some, size in each if size])
    if len(means) > 1:
        half = float(stdtrit(len(means) - 1, 0.5 + CONFIDENCE / 2.0)) / np.sqrt(len(means)) * means.std(axis=0, ddof=1)
        told = np.minimum(count, of - count) >= LEAST_TOLD
        low = np.where(told, np.maximum(share - half, 0.0), low)
        high = np.where(told, np.minimum(share + half, 1.0), high)
    return share, low, high
