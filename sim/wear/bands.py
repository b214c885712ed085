"""How sure a forecast is: bands of thickness variation and kilometres over its draws, and what moves them most."""

from __future__ import annotations

import math
from collections.abc import Mapping

import numpy as np

from sim.arrays import Floats
from sim.wear.draws import Draws, crossing_km, rank_influence
from sim.wear.worn_state import fade_km
from sim.weighted import quantile


def first_crossing_km(distance: Floats, dtv: Floats, limit: float) -> float | None:
    """First distance [km] with the thickness variation at its limit [um]; None if not within those. By definition."""
    at = float(crossing_km(distance, dtv[None], limit)[0])
    return at if math.isfinite(at) else None


def band(
    drawn: Draws | None, distance: Floats, dtv: Floats, limit: float
) -> tuple[Floats, Floats, tuple[float | None, float | None], float, Mapping[str, float]]:
    """80 % band of the thickness variation and of the kilometres, share that never gets there, influences.

    Parameters
    ----------
    drawn : Draws or None
        Weighted draws; without them the band is the curve itself.
    distance : ndarray, shape (k,)
        [km]
    dtv : ndarray, shape (k,)
        Thickness variation of the case's own values. [um]
    limit : float
        [um]

    Notes
    -----
    Weighted quantiles at 10 and 90 %; a draw that never gets there stands beyond every distance. By definition.
    """
    at = crossing_km(distance, dtv[None], limit)[0]
    if drawn is None:
        km = float(at) if math.isfinite(at) else None
        return dtv, dtv, (km, km), float(km is None), {}
    reached = crossing_km(distance, drawn.dtv_um, limit)
    never = float(np.sum(drawn.weight[~np.isfinite(reached)]))
    far = 2.0 * float(distance[-1])  # stands for never: beyond every distance that is reported
    ends = quantile(np.where(np.isfinite(reached), reached, far)[:, None], drawn.weight, 0.1)
    last = quantile(np.where(np.isfinite(reached), reached, far)[:, None], drawn.weight, 0.9)
    kms = [None if value > distance[-1] else float(value) for value in (ends[0], last[0])]
    answer = reached if never < 0.9 else drawn.dtv_um.max(axis=1)
    low, high = quantile(drawn.dtv_um, drawn.weight, 0.1), quantile(drawn.dtv_um, drawn.weight, 0.9)
    return low, high, (kms[0], kms[1]), never, rank_influence(drawn, answer)


def fading(
    drawn: Draws | None, distance: Floats, dtv: Floats, limit: float
) -> tuple[tuple[float | None, float | None], float]:
    """80 % band of the distance at which it falls below the limit for good, and the share of draws that do.

    Parameters
    ----------
    drawn, distance, dtv, limit
        As `band` takes them. [km, um]

    Notes
    -----
    As `band` does it. By definition.
    """
    if drawn is None:
        at = fade_km(distance, dtv, limit)
        return (at, at), float(at is not None)
    found = [fade_km(distance, row, limit) for row in drawn.dtv_um]
    far = 2.0 * float(distance[-1])  # stands for never
    rows = np.array([[far if value is None else value] for value in found])
    low, high = (float(quantile(rows, drawn.weight, share)[0]) for share in (0.1, 0.9))
    share = float(np.sum(drawn.weight[[value is not None for value in found]]))
    ends = [None if value > distance[-1] else value for value in (low, high)]
    return (ends[0], ends[1]), share


def highest_band_um(drawn: Draws | None) -> tuple[float, float] | None:
    """80 % band of what each draw comes to at most: their highest lie at different distances. [um]. By definition."""
    if drawn is None:
        return None
    most = drawn.dtv_um.max(axis=1, keepdims=True)
    low, high = (float(quantile(most, drawn.weight, share)[0]) for share in (0.1, 0.9))
    return low, high
