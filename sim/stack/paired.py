"""How far two shares of the same corners are apart, before and after a lever, with what the draws can tell of it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import ndtri

from sim.arrays import Bools
from sim.stack.shares import CONFIDENCE

Z = float(ndtri(0.5 + CONFIDENCE / 2.0))


@dataclass(frozen=True)
class Fewer:
    """Share over the limit before less that after.

    Parameters
    ----------
    share, low, high : float
        As drawn, and the ends of its 95 % interval; below 0: more are over.
    """

    share: float
    low: float
    high: float

    @property
    def told(self) -> bool:
        """Whether the draws tell it from nought."""
        return not self.low <= 0.0 <= self.high


def fewer(before: Bools, after: Bools, kept: Bools) -> Fewer:
    """Hold corners against themselves, before a lever and after.

    Parameters
    ----------
    before, after : ndarray of bool, shape (n,)
        Whether each is over the limit.
    kept : ndarray of bool, shape (n,)
        Corners whose part was not sorted out: ``after`` counts among them alone. At least one.

    Returns
    -------
    Fewer

    Notes
    -----
    No unit. Wilson's intervals of the single shares, put together with the correlation of the pairs: method 10 of
    Newcombe (Statistics in Medicine 17, 1998, 2635, paired); where parts are sorted out, the same with the corners left
    out as a further, independent share (Zou and Donner, Statistics in Medicine 27, 2008, 1693), how many they are held.
    """
    left = float(kept.mean())
    out, was, now = (_wilson(int(one.sum()), one.size) for one in (before[~kept], before[kept], after[kept]))
    share = (1.0 - left) * out[1] + left * was[1] - now[1]
    phi = _correlation(before[kept], after[kept])

    def reach(down: bool) -> float:
        a, b = ((1.0 - left, out), (left, was))
        x, y = (w * (p[1] - p[0] if down else p[2] - p[1]) for w, p in (a, b))
        z = now[2] - now[1] if down else now[1] - now[0]
        return float(np.sqrt(max(x * x + y * y + z * z - 2.0 * phi * y * z, 0.0)))

    return Fewer(share, share - reach(True), share + reach(False))


def _wilson(count: int, of: int) -> tuple[float, float, float]:
    """Lower end, share, upper end; nothing of nothing (Wilson, 1927)."""
    if of == 0:
        return 0.0, 0.0, 0.0
    share = count / of
    middle, half = share + Z * Z / (2 * of), Z * np.sqrt(share * (1.0 - share) / of + (Z / (2 * of)) ** 2)
    whole = 1.0 + Z * Z / of
    return max(float((middle - half) / whole), 0.0), share, min(float((middle + half) / whole), 1.0)


def _correlation(before: Bools, after: Bools) -> float:
    """Phi of the pairs, with Newcombe's correction for continuity."""
    both, neither = int((before & after).sum()), int((~before & ~after).sum())
    first, second = int((before & ~after).sum()), int((~before & after).sum())
    margins = float((both + first) * (second + neither) * (both + second) * (first + neither))
    apart = float(both * neither - first * second)
    if apart > 0.0:
        apart = max(apart - before.size / 2.0, 0.0)
    return apart / np.sqrt(margins) if margins else 0.0
