"""The same corners under another limit of one runout: drawn again from the same shares, added up, not seated again."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from sim.arrays import Complexes, Floats
from sim.one_thread import one_thread
from sim.seating.lying_between import turn_rad
from sim.stack.distributions import THREE_SIGMA, Distribution
from sim.stack.population import ANGLE_OF
from sim.stack.seated import ORDERS
from sim.stack.vectors import vectors_of

if TYPE_CHECKING:
    from sim.stack.run import Result

LEANS = ("hub.face_runout_um", "rotor.own_runout_um")
LIMITS = 121  # tried, evenly from the least parts to the end of the distribution
POINTS = 180  # of a turn
ROWS = 512  # corners at once: bounds the memory
_ANGLES = 2.0 * np.pi * np.outer(np.arange(ORDERS + 1), np.arange(POINTS)) / POINTS
_WAVES = np.concatenate([np.cos(_ANGLES), -np.sin(_ANGLES)])


def can_be_drawn_again(result: Result, key: str, state: str) -> bool:
    """Whether a key is a runout that is added as a vector, in a state whose seated traces are kept."""
    population = result.study.population
    one = population.of(key)
    return (
        key in LEANS
        and state.removesuffix("_um") in result.orders
        and one is not None
        and one.spread.kind not in ("fixed", "sample")
        and not any(other.levels for other in population.spreads)
    )


def limits_of(spread: Distribution) -> Floats:
    """Limits to try, from hardly any parts up to the end of the uncut distribution. In its own unit. Judgement."""
    uncut = replace(spread, highest=np.inf)
    top = max(spread.limit, float(uncut.at(THREE_SIGMA)))
    return np.linspace(float(spread.at(1.0 / LIMITS**2)), top, LIMITS)


@one_thread
def over_under(result: Result, key: str, state: str, limits: Floats) -> tuple[np.ndarray, int]:
    """Count corners over the runout limit, with the parts of one key sorted out above each of some limits.

    Parameters
    ----------
    result : Result
    key : str
        One of `LEANS`.
    state : str
        Column of the outcomes whose seated traces are kept, such as ``found_um``.
    limits : ndarray, shape (k,)
        [um TIR]

    Returns
    -------
    over : ndarray of int, shape (k,)
    of : int
        Corners that could be seated.

    Notes
    -----
    Common random numbers: each corner keeps its share of the distribution, so that its amplitude is the one that a run
    of the same seed under that limit would draw; dirt, torque and angles are the same. Superposition of a lean (as in
    `sim.stack.seated.added_up_um`), on the first `ORDERS` orders of the seated trace; what the left-out orders add to
    the TIR [um] is taken from the corner as drawn.
    """
    population = result.study.population
    outcome, amplitude = result.columns[state], result.columns[key]
    orders = result.orders[state.removesuffix("_um")]
    gain = next(one.gain for one in vectors_of(population) if one.varied.key == key) / 2.0
    name = ANGLE_OF[key]
    table, _, field = name.partition(".")
    angle = result.columns[name] if name in result.columns else float(getattr(getattr(population.case, table), field))
    turned = turn_rad(population.case) if key.startswith("rotor.") else 0.0
    towards = gain * np.exp(-1j * (np.radians(angle) + turned)) * np.ones(outcome.size)
    added = result.columns["first_cos_um"] - 1j * result.columns["first_sin_um"] - result.orders["found"][:, 1]
    one = population.of(key)
    assert one is not None
    share = one.spread.below(amplitude)
    cut = [replace(one.spread, highest=float(limit)) for limit in limits]
    over = np.zeros(limits.size, dtype=np.int64)
    seated = np.flatnonzero(np.isfinite(outcome))
    for first in range(0, seated.size, ROWS):
        rows = seated[first : first + ROWS]
        trace = _traces(orders[rows], added[rows])
        beyond = outcome[rows] - np.ptp(trace, axis=1)
        for k, spread in enumerate(cut):
            moved = towards[rows] * (spread.at(share[rows]) - amplitude[rows])
            lean = np.stack([moved.real, moved.imag], axis=1) @ _WAVES[[1, ORDERS + 2]]
            over[k] += np.count_nonzero(np.ptp(trace + lean, axis=1) + beyond > population.limit_um)
    return over, int(seated.size)


def _traces(orders: Complexes, added: Complexes) -> Floats:
    whole = orders[:, : ORDERS + 1].copy()
    whole[:, 1] += added
    return np.concatenate([whole.real, whole.imag], axis=1) @ _WAVES


__all__ = ["LEANS", "can_be_drawn_again", "limits_of", "over_under"]
