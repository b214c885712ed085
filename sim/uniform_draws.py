"""Draws spread evenly over a range, and from those to a law: triangular, or half below a value and half above it."""

from __future__ import annotations

import numpy as np

from sim.arrays import Floats


def latin(random: np.random.Generator, count: int) -> Floats:
    """Uniform draws, one in each of ``count`` even parts of 0 .. 1, in random order (a column of a Latin hypercube).

    No unit. McKay, Beckman, Conover 1979 (from memory).
    """
    return (random.permutation(count) + random.random(count)) / count


def triangular(uniform: Floats, low: float, peak: float, high: float) -> Floats:
    """Inverse of the triangular distribution function.

    Parameters
    ----------
    uniform : ndarray
        Between 0 and 1.
    low, peak, high : float

    Returns
    -------
    ndarray
        Shape of ``uniform``.

    Notes
    -----
    Unit of the range. Closed form: the inverse of a triangle's integral.
    """
    if high <= low:
        return np.full_like(uniform, peak)
    cut = (peak - low) / (high - low)
    rising = low + np.sqrt(uniform * (high - low) * (peak - low))
    falling = high - np.sqrt((1.0 - uniform) * (high - low) * (high - peak))
    return np.where(uniform < cut, rising, falling)


def evenly_about(uniform: Floats, low: float, own: float, high: float) -> Floats:
    """Inverse of a distribution with half its draws evenly below a value and half evenly above it.

    Parameters
    ----------
    uniform : ndarray
        Between 0 and 1.
    low, own, high : float

    Returns
    -------
    ndarray
        Shape of ``uniform``.

    Examples
    --------
    >>> evenly_about(np.array([0.0, 0.25, 0.5, 0.75, 1.0]), 1.0, 2.0, 6.0).tolist()
    [1.0, 1.5, 2.0, 4.0, 6.0]
    """
    return np.interp(uniform, (0.0, 0.5, 1.0), (low, own, high))
