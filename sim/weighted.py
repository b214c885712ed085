"""Quantiles of draws that do not all weigh the same."""

from __future__ import annotations

import numpy as np

from sim.arrays import Floats


def quantile(values: Floats, weight: Floats, share: float) -> Floats:
    """Weighted quantile of each column.

    Parameters
    ----------
    values : ndarray, shape (draws, k)
    weight : ndarray, shape (draws,)
        Sums to 1.
    share : float
        Between 0 and 1.

    Returns
    -------
    ndarray, shape (k,)

    Notes
    -----
    Straight lines between the middles of the weights; by definition the median halves them.
    """
    return np.array([weighted_quantile(column, weight, share) for column in values.T])


def weighted_quantile(values: Floats, weight: Floats, share: float) -> float:
    """Quantile of weighted draws, in their unit; by definition as `quantile`."""
    order = np.argsort(values, kind="stable")
    middle = np.cumsum(weight[order]) - 0.5 * weight[order]
    return float(np.interp(share, middle, values[order]))
