"""Mounted runout after cleaning, on the best stud, after both, with a part changed: samples of what is possible."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sim.arrays import Floats
from sim.causes import names
from sim.causes.answer import After
from sim.causes.families import CAUSE_OF, FRAMES
from sim.causes.seen import ORDERS, Spot
from sim.causes.weigh import SEED, Posterior
from sim.one_thread import one_thread
from sim.parts.case import Limits

POINTS = 72  # a trace of three orders loses less than 1 % of its TIR
BAND = (0.1, 0.5, 0.9)  # 80 %, and the middle
# Another stud is chosen over the one where it stands only for so much; a move is work. Judgement. [um]
LEAST_GAIN_UM = 3.0
# What a way to cure costs, and what it costs to have chosen one that does not bring the runout under its limit, in
# minutes of work and their worth. Judgement: parts are dear, a comeback is dearer.
COST = {
    names.LEAVE: 0.0, names.RETORQUE: 8.0, names.INDEX: 12.0, names.CLEAN: 20.0, names.CLEAN_THEN_INDEX: 26.0,
    names.RENEW: 90.0, names.HUB_AND_BEARING: 150.0,
}  # fmt: skip
COMEBACK = 200.0
# Dirt that is left settles, moves or falls off, and the next rotor is fitted on it: how often that brings a car back.
# Judgement, 0.1 .. 0.5. No rotor stays over dirt that is likelier than what cleaning costs over what that would.
DIRT_COMES_BACK = 0.25
MOST_DIRT_TO_LEAVE = COST[names.CLEAN] / (COMEBACK * DIRT_COMES_BACK)
# With this chance of dirt that counts, the corner is cleaned once more or the bare hub is read, and nothing is indexed
# or ordered. Judgement, 0.05 .. 0.2.
MAY_BE_LEFT = 0.1
# A rotor stays where it is with this chance to be under the limit, or more. Judgement.
LEAST_TO_LEAVE = 0.8
# One more stud is tried before a part from this chance on that it brings the runout under its limit: its minutes over
# the part's, halved, as chances stated so low came true twice as often (tests/studies/causes.md).
FAIR_CHANCE = 0.5 * 8.0 / 90.0
# A second cleaning comes before a second clean stud from this chance on that dirt stayed: below it the stud costs less,
# c + s (1 - p) > s + (c + s) p for a cleaning c of 20 and a stud s of 8 minutes.
CLEAN_BEFORE_STUD = 20.0 / (20.0 + 2.0 * 8.0)
# A bare hub face that nobody read is read before anything is left on from this chance on that it is over its limit: its
# minutes over what a next rotor on it costs, as often as dirt brings a car back.
HUB_MAY_BE_OVER = 12.0 / (COMEBACK * DIRT_COMES_BACK)
# A new rotor runs out a little, a new hub too: standard deviation of a component at the gauge. Judgement. [um]
NEW_PART_UM = 5.0


@dataclass(frozen=True, eq=False)
class Cures:
    """What every cure would leave.

    Parameters
    ----------
    after : tuple of After
    works : dict of str to ndarray of bool
        By the name of what to do, whether each sample ends under the limit, and with a thickness that varies less
        than its own.
    under : float
        Chance that it is under the limit of the runout as it is, with dirt and without it.
    uneven : ndarray of bool
        Samples whose thickness varies over its limit.
    """

    after: tuple[After, ...]
    works: dict[str, NDArray[np.bool_]]
    under: float
    uneven: NDArray[np.bool_]


def _basis() -> Floats:
    turn = 2.0 * np.pi * np.arange(POINTS) / POINTS
    rows = [part for n in range(1, ORDERS + 1) for part in (np.cos(n * turn), -np.sin(n * turn))]
    return np.array(rows)


BASIS = _basis()


@one_thread
def tir_um(orders: Floats) -> Floats:
    """TIR of traces given by real and imaginary parts of orders 1 .. 3, shape (..., 6). [um].

    By definition, at `POINTS` places.
    """
    found: Floats = np.ptp(orders @ BASIS, axis=-1)
    return found


@one_thread
def trace_of(found: Posterior, spot: Spot, without: Sequence[str] = ()) -> Floats:
    """Orders of one trace in every sample, some causes left out, shape (samples, 2 orders).

    Superposition; of the model's parts, by definition. [um]
    """
    rows = found.model.rows([spot])
    for cause in without:
        rows = rows - found.model.share_rows(spot, cause)
    return found.unknown @ rows.T + dirt_of(found, spot, without)


@one_thread
def dirt_of(found: Posterior, spot: Spot, without: Sequence[str] = ()) -> Floats:
    """What the sampled dirt or mark does to one trace, shape (samples, 2 orders). [um]. By definition."""
    out = np.zeros((found.dirt.shape[0], 2 * len(spot.orders)))
    for k, family in enumerate(found.family[1:], 1):
        here = found.of_family == k
        if CAUSE_OF[family] not in without and here.any():
            out[here] = found.dirt[here] @ found.model.dirt_rows([spot], FRAMES[family]).T
    return out


@one_thread
def share_of(found: Posterior, spot: Spot, cause: str) -> Floats:
    """Orders that one cause alone makes in a trace, shape (samples, 2 orders). [um]. By definition."""
    of_columns = dirt_of(found, spot, [other for other in CAUSE_OF.values() if other != cause])
    return found.unknown @ found.model.share_rows(spot, cause).T + of_columns


def cures(
    found: Posterior, now: Spot, positions: Sequence[int], limits: Limits, scatter_um: Sequence[float],
    back: int | None = None, wanted: int | None = None, over: Sequence[int] = (),
) -> Cures:  # fmt: skip
    """Runout after each cure.

    Parameters
    ----------
    found : Posterior
    now : Spot
        Mounted trace as the corner stands, its first three orders.
    positions : sequence of int
        Stud positions that can be mounted.
    limits : Limits
        Of the mounted runout and of the thickness. [um]
    scatter_um : sequence of float
        Of a new mounting, by order. [um]
    back : int, optional
        Stud position on which it is put once it was cleaned; where it stands unless given.
    wanted : int, optional
        Stud position that is taken for the best one where it leaves as little.
    over : sequence of int
        Stud positions that were read over the limit as it stands now: nobody goes back to them.

    Returns
    -------
    Cures

    Notes
    -----
    Each sample less what the cure takes away, another mounting's scatter added: superposition. Cleaning may leave
    dirt; where it is clean already, "cleaned" is once more, and well. What is left as it is has to be under the limit
    with the dirt and without it: TIR is convex in the dirt's share, so that it is under it whatever settles. What no
    work on the runout takes away is a thickness that varies: it needs another rotor. [um]
    """
    limit_um = limits.mounted_runout_um
    rng = np.random.default_rng(SEED + 2)
    count = found.unknown.shape[0]
    mounting = rng.normal(size=(count, 2 * ORDERS)) * np.repeat(np.asarray(scatter_um), 2)
    part = np.zeros((count, 2 * ORDERS))
    part[:, :2] = NEW_PART_UM * rng.normal(size=(count, 2))

    def put_on(turned: int, cleaned: bool, once_more: bool = False) -> Floats:
        if turned == now.turned and cleaned == now.cleaned and not once_more:  # nothing is taken off
            return trace_of(found, now)
        again = cleaned and now.cleaned and once_more
        fresh = replace(now, mount=-1, turned=turned, cleaned=cleaned, retorqued=False, first=False, again=again)
        return trace_of(found, fresh) + mounting

    back = now.turned if back is None else back
    left = {"as it is": tir_um(trace_of(found, now)), "cleaned": tir_um(put_on(back, True, True))}
    best: dict[str, int | None] = {"cleaned": None if back == now.turned else back}
    for what, cleaned, once_more in (("indexed", now.cleaned, False), ("cleaned and indexed", True, True)):
        out = over if what == "indexed" else ()
        at = {m: tir_um(put_on(m, cleaned, once_more)) for m in positions if m == now.turned or m not in out}
        here = np.mean(at.get(now.turned, left["as it is"]))
        chosen = min(at, key=lambda m: (round(float(np.mean(at[m])), 6), m))
        if now.turned in at and here - np.mean(at[chosen]) < LEAST_GAIN_UM:
            chosen = now.turned
        elif wanted in at and np.mean(at[wanted]) - np.mean(at[chosen]) < LEAST_GAIN_UM:
            chosen = wanted
        left[what], best[what] = at[chosen], chosen
    rotor = (names.ROTOR, names.ROTOR_DIRT, names.WARP, names.WORN, names.NEW_DTV, names.IMPRINT, names.RUST)
    clean = replace(now, mount=-1, cleaned=True, retorqued=False, first=False, again=now.cleaned)
    tightened = replace(now, retorqued=True)
    works = {
        names.LEAVE: np.maximum(left["as it is"], without_dirt_um(found, now)),
        names.INDEX: left["indexed"], names.CLEAN: left["cleaned"],
        names.CLEAN_THEN_INDEX: left["cleaned and indexed"],
        names.RETORQUE: tir_um(trace_of(found, tightened)),
        names.RENEW: tir_um(trace_of(found, clean, rotor) + part + mounting),
        names.HUB_AND_BEARING: tir_um(trace_of(found, clean, (names.HUB_FACE,)) + part + mounting),
    }  # fmt: skip
    after = tuple(After(what, _band(tir), float(np.mean(tir < limit_um)), best.get(what)) for what, tir in left.items())
    uneven = tir_um(trace_of(found, Spot("thickness", now.mount, now.turned, now.cleaned))) > limits.dtv_um
    under = {what: tir < limit_um for what, tir in works.items()}
    cured = {what: good if what == names.RENEW else good & ~uneven for what, good in under.items()}
    return Cures(after, cured, float(under[names.LEAVE].mean()), uneven)


@one_thread
def without_dirt_um(found: Posterior, now: Spot) -> Floats:
    """TIR of the mounted trace once all dirt and scale is gone, the rotor not moved, of every sample.

    Superposition. [um]
    """
    return tir_um(trace_of(found, replace(now, cleaned=True, again=True)))


def _band(tir: Floats) -> tuple[float, float, float]:
    low, middle, high = (float(one) for one in np.quantile(tir, BAND))
    return low, middle, high


def possible(now: Spot, tightened: bool, under: float, dirt_left: float = 0.0) -> tuple[str, ...]:
    """Cures that are open: nobody tightens twice, and leaves only what is likely enough under and hides no dirt.

    Where dirt may have stayed, it is cleaned once more before anything is indexed or ordered; else no clean rotor is.

    Parameters
    ----------
    now : Spot
    tightened : bool
        Whether a trace was read after tightening again.
    under : float
        Chance that it is under the limit as it is, with the dirt and without it.
    dirt_left : float
        Chance that cleaning left dirt that counts.
    """
    left = (names.LEAVE,) if under >= LEAST_TO_LEAVE and dirt_left < MOST_DIRT_TO_LEAVE else ()
    if now.cleaned and dirt_left >= MAY_BE_LEFT:
        return (*left, names.CLEAN)
    if now.cleaned:
        return (*left, names.INDEX, names.RENEW, names.HUB_AND_BEARING)
    first = () if tightened else (names.RETORQUE,)
    return (*left, *first, names.CLEAN, names.CLEAN_THEN_INDEX, names.RENEW, names.HUB_AND_BEARING)


def costs(works: Floats) -> Floats:
    """Expected cost of cures from their chances; same shape, the last axis `COST` in its sequence.

    Judgement of `COST` and `COMEBACK`; in units of a minute's work, chances without unit.
    """
    spent: Floats = np.array(list(COST.values())) + COMEBACK * (1.0 - works)
    return spent
