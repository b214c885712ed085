"""How narrow a band can be: ideal estimators beside ours, made of a study's own truths.

``told`` knows the group that a truth comes from and that group's law; ``best`` knows the whole mixture, every group as
often as the others, and not the group. Both condition on what our estimator conditions on: what was read, and how.
Both leave a tenth out at either end. Where ``best`` is wider than 1.5 times ``told``, the band of the group alone is
out of reach of whoever sees only the reading: he would have to guess the group, and be wrong on others.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import KDTree

from sim.arrays import Floats

ENDS = (0.1, 0.9)


def neighbour_bands(features: Floats, place: Floats, group: NDArray[np.int64], near: int) -> tuple[Floats, Floats]:
    """Middle 80 % of the truths whose readings are nearest, each truth left out of its own.

    Parameters
    ----------
    features : ndarray, shape (n, f)
        What the estimator sees of each; scaled here to a spread of one each.
    place : ndarray, shape (n,)
        The truth, in any unit that means the same everywhere.
    group : ndarray of int, shape (n,)
    near : int
        Neighbours.

    Returns
    -------
    told, best : ndarray, shape (n, 2)
        Ends of the bands, in the unit of ``place``; among the own group, and among all groups weighed alike.
    """
    scaled = (features - features.mean(axis=0)) / np.maximum(features.std(axis=0), 1e-12)
    told = np.empty((place.size, 2))
    for one in np.unique(group):
        here = group == one
        told[here] = _ends(scaled[here], place[here], np.ones(int(here.sum())), near)
    alike = 1.0 / np.bincount(group)[group]
    return told, _ends(scaled, place, alike, near * np.unique(group).size)


def _ends(features: Floats, place: Floats, weight: Floats, near: int) -> Floats:
    near = min(near, place.size - 1)
    _, found = KDTree(features).query(features, near + 1)
    out = np.empty((place.size, 2))
    for k, row in enumerate(found):
        others = row[row != k][:near]
        out[k] = np.quantile(place[others], ENDS, method="inverted_cdf", weights=weight[others])
    return out


def pooled_bands(groups: dict[str, Floats]) -> dict[str, Floats]:
    """Middle 80 % of several groups' truths together, every group as often as the others; where nothing was read.

    Parameters
    ----------
    groups : dict of str to ndarray, shape (n, k)
        Truths of each, k quantities of each truth, judged one by one.

    Returns
    -------
    dict of str to ndarray, shape (n, k, 2)
        For every truth the ends among the others.
    """
    weight = np.concatenate([np.full(len(part), 1.0 / len(part)) for part in groups.values()])
    bands = np.stack([_left_out(column, weight) for column in np.concatenate(list(groups.values())).T], axis=1)
    stops = np.cumsum([len(part) for part in groups.values()])[:-1]
    return dict(zip(groups, np.split(bands, stops), strict=True))


def _left_out(value: Floats, weight: Floats) -> Floats:
    out = np.empty((value.size, 2))
    order = np.argsort(value, kind="stable")
    for k in range(value.size):
        others = order[order != k]
        share = np.cumsum(weight[others])
        out[k] = value[others[np.searchsorted(share, np.array(ENDS) * share[-1])]]
    return out
