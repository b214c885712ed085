"""Odds of every slip of the pen at every place of a turn, against a clean turn: which place, which slip, how sure.

Every slip is a hypothesis of what the reading would have been without it. It is weighed against a clean turn
(`sim.files.clean_turn`) by how much better the readings then fit: the ratio of the likelihoods, summed over all
places and all slips with equal odds.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from sim.arrays import Floats, read_only
from sim.files.clean_turn import Looks
from sim.one_thread import one_thread

OUTLIER, SIGN, DECIMAL, SWAP = "outlier", "lost sign", "slipped decimal", "swapped neighbours"
APART, SIGNS = "swapped places", "lost signs"
SLIPS = (OUTLIER, SIGN, DECIMAL, SWAP)
#: Slips of single places: the rest of their turn is sound.
SLIPS_OF_PLACES = (*SLIPS, APART, SIGNS)
PAIR, TRIPLE = "two places stand up", "three places stand up"
#: A slip at place i concerns so many places from there on.
NEIGHBOURS = {SWAP: 2, PAIR: 2, TRIPLE: 3}
# How far a misread place may lie off, standard deviation, half the odds each. Judgement. [um]
OFF_UM = (30.0, 150.0)
# Dirt on a hub face may lie under two or three neighbouring places; its height, standard deviation. Judgement. [um]
DIRT_UM = 60.0
# Odds of two rarer slips, places swapped that are no neighbours against a swap of neighbours and signs lost at two to
# six neighbouring places against one lost sign, by the fewest places from which they hold: of fewer a clean turn too
# often reads like one. Judgement, half to twice that; of more places than so many nobody reads to and fro.
RARE_ODDS, RARE_LONGEST = ((10, (0.5, 0.25)), (8, (0.05, 0.025))), 36
SIGNS_RUN = 6


@dataclass(frozen=True, eq=False)
class Odds:
    """Log odds of every slip at every place against a clean turn.

    Parameters
    ----------
    each : dict of str to ndarray, shape (..., m)
        Of each slip, wherever it may be. Even odds of slips and places are in them.
    total : ndarray, shape (...)
        Of any slip at all.
    at : dict of str to ndarray of int, shape (m, r)
        The places that each of them concerns.
    """

    each: dict[str, Floats]
    total: Floats
    at: dict[str, NDArray[np.int_]]

    def places(self) -> Floats:
        """Odds that a place is one of those that slipped (Bayes), shape (..., k), no unit."""
        found = np.zeros_like(self.each[OUTLIER])
        for slip, log_odds in self.each.items():
            odds = np.exp(log_odds - self.total[..., None])
            concerned = np.zeros((odds.shape[-1], found.shape[-1]))
            concerned[np.arange(odds.shape[-1])[:, None], self.at[slip]] = 1.0
            found += odds @ concerned
        return found


@one_thread
def odds_of_slips(value_um: Floats, clean: Looks, dirt: bool = False) -> Odds:
    """Weigh every slip at every place of one turn, or of many at once.

    Parameters
    ----------
    value_um : ndarray, shape (..., k)
        Readings as the dial showed them, whatever its sign: a lost sign is one against the dial's nought. [um]
    clean : Looks
        Of a clean turn at these places.
    dirt : bool
        Whether neighbouring places may stand up together, as on a bare hub face.

    Returns
    -------
    Odds

    Notes
    -----
    With the precision P of a clean turn and y less its mean, taking the slip back moves y by d and y'Py by
    2 d'Py + d'Pd. A slip that stretches readings by f has the density f of them. A misread place is one more variance
    on it: of the reading deleted, r = (Py)_i / P_ii with variance 1/P_ii (studentised deleted residual).

    Odds of normal densities (Bayes' rule), priors are judgement.
    """
    count = value_um.shape[-1]
    pull = np.einsum("gij,...gj->...gi", clean.precision, value_um[..., None, :] - clean.mean)
    own = np.diagonal(clean.precision, axis1=1, axis2=2)
    base = clean.log_likelihood(value_um)
    none = log_sum(base, axis=-1)
    log_each = -np.log(len(SLIPS) * count)
    each: dict[str, Floats] = {}
    at: dict[str, NDArray[np.int_]] = {}

    def weighed(more: Floats) -> Floats:
        """Log odds over the guesses of a change (..., g, k) of the log likelihood."""
        found: Floats = log_sum(base[..., None] + more, axis=-2) - none[..., None] + log_each
        return found

    rest, spread = pull / own, 1.0 / own
    each[OUTLIER] = log_sum([weighed(_freed(rest, spread, off)) - np.log(len(OFF_UM)) for off in OFF_UM], axis=0)
    value = value_um[..., None, :]

    def moved(by: Floats) -> Floats:
        change: Floats = -by * pull - 0.5 * by**2 * own
        return change

    each[SIGN] = weighed(moved(-2.0 * value))
    each[DECIMAL] = log_sum(
        [weighed(moved(-0.9 * value)) - np.log(20.0), weighed(moved(9.0 * value)) + np.log(5.0)], axis=0
    )
    step = np.roll(value, -1, axis=-1) - value
    beside = np.roll(own, -1, axis=-1) + own - 2.0 * _beside(clean.precision)
    swap = weighed(-step * (pull - np.roll(pull, -1, axis=-1)) - 0.5 * step**2 * beside)
    swap[..., -1] = -np.inf  # the last line of a table has no next one
    each[SWAP] = swap
    swapped, lost = next((odds for fewest, odds in RARE_ODDS if fewest <= count <= RARE_LONGEST), (0.0, 0.0))
    if swapped:
        one, other = np.triu_indices(count, 2)
        step = value[..., other] - value[..., one]
        both = own[:, one] + own[:, other] - 2.0 * clean.precision[:, one, other]
        fewer = np.log(swapped * count / one.size)
        each[APART] = fewer + weighed(-step * (pull[..., one] - pull[..., other]) - 0.5 * step**2 * both)
        at[APART] = np.stack([one, other], axis=-1)
    if lost:
        change, at[SIGNS] = _signs_lost(value_um, pull, clean)
        each[SIGNS] = np.log(lost * count / len(at[SIGNS])) + weighed(change)
    if dirt:
        for name, size in ((PAIR, 2), (TRIPLE, 3)):
            each[name] = weighed(_freed_together(pull, clean, size))
    total: Floats = log_sum(np.concatenate(list(each.values()), axis=-1), axis=-1)
    for name in each.keys() - at.keys():
        at[name] = (np.arange(count)[:, None] + np.arange(NEIGHBOURS.get(name, 1))) % count
    return Odds(each, total, at)


def log_sum(logs: Floats | list[Floats], axis: int = 0) -> Floats:
    """Logarithm of a sum from the logarithms of its terms: a library's costs ten times as much on these few."""
    terms = np.asarray(logs)
    highest = terms.max(axis=axis, keepdims=True)
    top = np.where(np.isfinite(highest), highest, 0.0)
    with np.errstate(divide="ignore"):
        found: Floats = np.log(np.exp(terms - top).sum(axis=axis)) + top.squeeze(axis)
    return found


def _signs_lost(value_um: Floats, pull: Floats, clean: Looks) -> tuple[Floats, NDArray[np.int_]]:
    """Change of the log likelihood where neighbours, all shown on one side of nought, lie on its other side.

    Shape (..., g, m), and the places that each of the m runs concerns, (m, r); a short run repeats its last place.
    """
    longest = min(SIGNS_RUN, value_um.shape[-1] // 2)
    changes = []
    for size in range(2, longest + 1):
        places, block = _together(clean, size)
        near = value_um[..., places]
        path = _path(block.shape, near.shape)
        square = np.einsum("gkab,...ka,...kb->...gk", block, near, near, optimize=path)
        change = 2.0 * (near[..., None, :, :] * pull[..., places]).sum(axis=-1) - 2.0 * square
        alike: NDArray[np.bool_] = np.abs(np.sign(near).sum(axis=-1)) == size
        changes.append(np.where(alike[..., None, :], change, -np.inf))
    return np.concatenate(changes, axis=-1), _runs(value_um.shape[-1], longest)


@lru_cache(maxsize=64)
def _runs(count: int, longest: int) -> NDArray[np.int_]:
    """Places of every run of two to so many neighbours; a short run repeats its last place."""
    along = np.arange(longest)
    each = [(np.arange(count)[:, None] + np.minimum(along, size - 1)) % count for size in range(2, longest + 1)]
    return read_only(np.concatenate(each))


@lru_cache(maxsize=64)
def _path(block: tuple[int, ...], near: tuple[int, ...]) -> list[object]:
    """Order in which the sums of `_signs_lost` are made: to find it takes longer than to make them."""
    shapes = [np.broadcast_to(0.0, shape) for shape in (block, near, near)]
    return list(np.einsum_path("gkab,...ka,...kb->...gk", *shapes, optimize=True)[0])


@lru_cache(maxsize=64)
def _together(clean: Looks, size: int) -> tuple[NDArray[np.int_], Floats]:
    """Places of every run of so many neighbours, shape (k, size), and their precision, shape (g, k, size, size)."""
    count = clean.precision.shape[-1]
    places = (np.arange(count)[:, None] + np.arange(size)) % count
    return places, clean.precision[:, places[:, :, None], places[:, None, :]]


def _freed(rest: Floats, spread: Floats, off_um: float) -> Floats:
    """Change of the log likelihood where one place may lie off by so much."""
    wide = spread + off_um**2
    change: Floats = 0.5 * (np.log(spread / wide) + rest**2 * (1.0 / spread - 1.0 / wide))
    return change


def _beside(precision: Floats) -> Floats:
    """Precision between each place and the next, shape (g, k)."""
    place = np.arange(precision.shape[-1])
    found: Floats = precision[:, place, np.roll(place, -1)]
    return found


def _freed_together(pull: Floats, clean: Looks, size: int) -> Floats:
    """Change of the log likelihood where ``size`` neighbours may stand off together by `DIRT_UM`."""
    places, gain, sign = _gains(clean, size)
    near = pull[..., places]
    square = np.einsum("...gka,gkab,...gkb->...gk", near, gain, near)
    change: Floats = sign + 0.5 * square
    return change


@lru_cache(maxsize=64)
def _gains(clean: Looks, size: int) -> tuple[NDArray[np.int_], Floats, Floats]:
    """Of `_freed_together` what every turn at these places shares."""
    places, block = _together(clean, size)
    spread = np.linalg.inv(block)
    wide = spread + DIRT_UM**2 * (0.5 + 0.5 * np.eye(size))
    gain = spread @ (block - np.linalg.inv(wide)) @ spread
    sign = 0.5 * (np.linalg.slogdet(spread)[1] - np.linalg.slogdet(wide)[1])
    return places, gain, sign
