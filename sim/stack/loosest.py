"""The inverse question: how loose may one limit be, so that a wanted share of corners is still within."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np

from sim.arrays import Floats
from sim.errors import BadInput, Fault
from sim.stack.another_limit import can_be_drawn_again, limits_of, over_under
from sim.stack.draw import STUD
from sim.stack.population import Population
from sim.stack.run import Result
from sim.stack.shares import CONFIDENCE, Share, ends, exact

LEAST_KEPT = 30  # corners behind a share that is looked at; fewer tell nothing. Judgement
POINTS = 200  # of the curve that is kept
SPREAD = "torque from nut to nut"
LEFT_OUT, DRAWN_AGAIN = "parts over it left out", "same corners drawn again under it"


@dataclass(frozen=True, eq=False)
class Loosest:
    """The loosest limit of one key.

    Parameters
    ----------
    key, unit : str
    state : str
        Column of the outcomes that is held against the limit.
    wanted : float
        Share that shall be within.
    limit : float or None
        Parts over it are sorted out; None where no limit of this key does.
    low, high : float or None
        Ends of its 95 % interval: up to ``low`` the share is demonstrated, over ``high`` it is excluded. None: nowhere.
    unlimited : bool
        Whether the wanted share is within without any limit on this key.
    kept : Share
        Corners that the limit leaves.
    within : Share
        Of those, within.
    now, least : Share
        Over the runout limit as drawn, and with the key at its least (the lowest `LEAST_KEPT` corners or more).
    limits, over, over_low, over_high, sorted_out : ndarray
        The curve: share over against the limit, its interval, and the share of parts sorted out.
    how : str
        `LEFT_OUT` or `DRAWN_AGAIN`.
    """

    key: str
    unit: str
    state: str
    wanted: float
    limit: float | None
    low: float | None
    high: float | None
    unlimited: bool
    kept: Share
    within: Share
    now: Share
    least: Share
    limits: Floats
    over: Floats
    over_low: Floats
    over_high: Floats
    sorted_out: Floats
    how: str = LEFT_OUT

    def sorts_out(self, limit: float) -> float:
        """Share of parts over a limit, read off its curve: of the distribution where that is drawn again. No unit."""
        return float(np.interp(limit, self.limits, self.sorted_out))


def loosest(result: Result, key: str, state: str = "found_um", wanted: float | None = None) -> Loosest:
    """Find the loosest limit of one key that keeps a wanted share of corners within.

    Parameters
    ----------
    result : Result
    key : str
        A key that varies, the name of a kind of dirt (its height), or ``torque from nut to nut``.
    state : str
        Column of the outcomes, such as ``found_um`` or ``cleaned_driven_um``.
    wanted : float, optional
        Share; the population's unless given.

    Returns
    -------
    Loosest

    Raises
    ------
    BadInput
        For a key that does not vary, or a state that was not computed.

    Notes
    -----
    In the unit of the key. Runouts, which add as vectors, are drawn again under every limit with all else as it was
    (`sim.stack.another_limit`): every corner counts at every limit, and limits looser than the present one are tried
    too. Of other keys, corners whose part is over the limit are left out, as if it were sorted out. Nothing is seated
    again. Exact intervals (`sim.stack.shares.exact`) at every limit; the share within falls as the limit is loosened
    (of an amplitude that points anywhere), so that where its interval leaves the wanted share bounds the limit.
    """
    share = result.study.population.share_within if wanted is None else wanted
    if not 0.0 < share < 1.0:
        raise BadInput(Fault(f"{share:g} is no share", key="share", allowed="above 0, below 1"))
    if state not in result.columns:
        known = ", ".join(name for name in result.columns if name.endswith("_um") and "." not in name)
        raise BadInput(Fault(f"{state} was not computed", key="state", allowed=known))
    value, unit = column_of(result, key)
    if can_be_drawn_again(result, key, state):
        return _drawn_again(result, key, state, share)
    outcome = result.columns[state]
    seated = np.isfinite(outcome)
    order = np.argsort(value[seated], kind="stable")
    ranked = value[seated][order]
    over = np.cumsum(outcome[seated][order] > result.study.population.limit_um)
    last = np.flatnonzero(np.append(ranked[1:] > ranked[:-1], True))  # equal parts pass or fail together
    last = last[last + 1 >= min(LEAST_KEPT, ranked.size)]
    middle = over[last] / (last + 1.0)
    bottom, top = ends(over[last], last + 1)
    within, sure, not_out = (1.0 - one >= share for one in (middle, top, bottom))
    place = _last(within)
    total = ranked.size
    at = place if place is not None else 0
    thin = np.unique(np.linspace(0, last.size - 1, POINTS).astype(int))
    number = partial(_value, ranked, last)

    def each(k: int) -> Share:
        return exact(int(over[last[k]]), int(last[k]) + 1)

    return Loosest(
        key=key,
        unit=unit,
        state=state,
        wanted=share,
        limit=number(place),
        low=number(_first_run(sure)),
        high=number(_last(not_out)),
        unlimited=bool(within[-1]),
        kept=exact(int(last[at]) + 1, total),
        within=_turned(each(at)),
        now=each(-1),
        least=each(0),
        limits=ranked[last[thin]],
        over=middle[thin],
        over_low=bottom[thin],
        over_high=top[thin],
        sorted_out=1.0 - (last[thin] + 1) / total,
    )


def _drawn_again(result: Result, key: str, state: str, wanted: float) -> Loosest:
    population, value = result.study.population, result.columns[key]
    one = population.of(key)
    assert one is not None
    limits = limits_of(one.spread)
    over, of = over_under(result, key, state, limits)
    bottom, top = ends(over, of)
    within, sure, not_out = (1.0 - rate >= wanted for rate in (over / of, top, bottom))
    place = _last(within)
    at = 0 if place is None else place
    outcome = result.columns[state]
    seated = np.isfinite(outcome)
    places = np.arange(limits.size)
    return Loosest(
        key=key,
        unit="um",
        state=state,
        wanted=wanted,
        limit=_value(limits, places, place),
        low=_value(limits, places, _first_run(sure)),
        high=_value(limits, places, _last(not_out)),
        unlimited=bool(within[-1]),
        kept=exact(int(np.count_nonzero(value[seated] <= limits[at])), of),
        within=_turned(exact(int(over[at]), of)),
        now=exact(int(np.count_nonzero(outcome[seated] > population.limit_um)), of),
        least=exact(int(over[0]), of),
        limits=limits,
        over=over / of,
        over_low=bottom,
        over_high=top,
        sorted_out=1.0 - np.minimum(one.spread.below(limits), 1.0),
        how=DRAWN_AGAIN,
    )


def column_of(result: Result, key: str) -> tuple[Floats, str]:
    """What a limit is set on, a figure a corner: the key's own, the highest patch, the widest torque; and its unit.

    Raises
    ------
    BadInput
        For what does not vary.
    """
    population = result.study.population
    if key in result.columns and "." in key:
        return result.columns[key], "um" if key.endswith("_um") else ""
    names = [one.name for one in population.dirt]
    if key in names:
        which = names.index(key)
        parts = [_highest(drawn.patches[which]) for drawn in result.drawn]
        return np.concatenate(parts), "um"
    if key == SPREAD and population.stud is not None:
        nuts = np.stack([values for name, values in result.columns.items() if name.startswith(STUD)])
        return 50.0 * np.ptp(nuts, axis=0), "%"
    known(population, [key])
    raise BadInput(Fault("does not vary", key=key))


def known(population: Population, keys: Sequence[str]) -> None:
    """Refuse keys that do not vary, before anything is drawn (``BadInput``, naming those that do)."""
    allowed = [one.key for one in population.varied] + [one.name for one in population.dirt]
    allowed += [SPREAD] if population.stud is not None else []
    faults = [Fault("does not vary", key=key, allowed="; ".join(allowed)) for key in keys if key not in allowed]
    if faults:
        raise BadInput(faults)


def _highest(lying: object) -> Floats:
    height, count = lying.fields["height_um"], lying.count  # type: ignore[attr-defined]
    there = np.arange(height.shape[1]) < count[:, None]
    found: Floats = np.where(there, height, 0.0).max(axis=1, initial=0.0)
    return found


def _value(ranked: Floats, last: np.ndarray, place: int | None) -> float | None:
    return None if place is None else float(ranked[last[place]])


def _last(flags: np.ndarray) -> int | None:
    found = np.flatnonzero(flags)
    return int(found[-1]) if found.size else None


def _first_run(flags: np.ndarray) -> int | None:
    """Last of the first unbroken run: a second one further up would be a second look, and no longer exact."""
    found = np.flatnonzero(flags)
    if not found.size:
        return None
    broken = np.flatnonzero(~flags[found[0] :])
    return int(found[0] + broken[0] - 1) if broken.size else int(flags.size - 1)


def _turned(over: Share) -> Share:
    return Share(1.0 - over.share, 1.0 - over.high, 1.0 - over.low, over.of - over.count, over.of)


__all__ = ["CONFIDENCE", "DRAWN_AGAIN", "LEFT_OUT", "Loosest", "column_of", "loosest"]
