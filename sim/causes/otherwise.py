"""Readings that would fit if they had been written down another way: a mounting on another stud, angles reversed.

Nothing is corrected: each other way is weighed as a hypothesis beside the readings as they stand, and said.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from sim.arrays import Floats
from sim.bench.told_by_mountings import ToldApart
from sim.causes.answer import Otherwise
from sim.causes.columns import Columns
from sim.causes.forward import Model
from sim.causes.priors import Priors
from sim.causes.seen import Seen, Spot
from sim.causes.weigh import MOST_PRESENT, log_evidence
from sim.files.readings_rows import CLEAN_STATES
from sim.one_thread import one_thread

ALL_MOVED, MOVED, READ, HUB_STUD, HUB_FACE = (
    "moved the other way round", "on another stud", "read the other way round", "bare hub from another stud",
    "bare hub at odds",
)  # fmt: skip
Families = Mapping[str, tuple[float, tuple[Columns, ...]]]
# With few columns of dirt and this many causes at once first; what is then this likely or more is weighed with all.
# Named are those that are still as likely. Judgement.
LOOKED_AT_ONCE, LOOK, NAMED = 2, 0.02, 0.05


@dataclass(frozen=True, eq=False)
class _Way:
    """One other way: what it is, the readings then, its prior, and what else its evidence is multiplied with."""

    told: Otherwise
    seen: Seen
    prior: float
    log_more: float = 0.0


def _rows(seen: Seen) -> list[slice]:
    ends = np.cumsum([2 * len(spot.orders) for spot in seen.spots]).tolist()
    return [slice(start, end) for start, end in zip([0, *ends[:-1]], ends, strict=True)]


def _turned(seen: Seen, turned: Callable[[Spot], int]) -> Seen:
    spots = tuple(replace(s, turned=turned(s)) if s.kind != "hub face" else s for s in seen.spots)
    return replace(seen, spots=spots)


def _changed(seen: Seen, rows: slice, matrix: Floats) -> Seen:
    """Readings with one trace's orders changed linearly, their covariance with them."""
    whole = np.eye(seen.value.size)
    whole[rows, rows] = matrix
    return replace(seen, value=whole @ seen.value, noise=whole @ seen.noise @ whole.T)


def _without(seen: Seen, k: int) -> Seen:
    rows = _rows(seen)[k]
    keep = np.ones(seen.value.size, dtype=bool)
    keep[rows] = False
    spots, traces = seen.spots[:k] + seen.spots[k + 1 :], seen.traces[:k] + seen.traces[k + 1 :]
    return replace(seen, spots=spots, traces=traces, value=seen.value[keep], noise=seen.noise[np.ix_(keep, keep)])


def _checks_the_hub(seen: Seen) -> bool:
    """Whether mountings in one state on two studs tell what stays with the hub.

    Else nothing read contradicts a bare face: that its rotor cancels it is unlikely, and no more.
    """
    return any(
        len({spot.turned for spot in seen.spots if spot.kind == "mounted" and spot.cleaned == clean}) > 1
        for clean in (True, False)
    )


def ways(seen: Seen, studs: int, hub_um: float, priors: Priors) -> list[_Way]:
    """Every other way that these readings could have been written down.

    Parameters
    ----------
    seen : Seen
    studs : int
    hub_um : float
        Standard deviation of a component of the bare face, where it is read, of a hub that leans. [um]
    priors : Priors

    Returns
    -------
    list of _Way

    Notes
    -----
    Mirroring every trace is the same as counting every stud the other way: by definition. Odds are judgement. A trace
    that was read by several turns is the middle of those that agree, and is mirrored with no other.
    """
    out = []
    mounted = {spot.mount: spot.turned for spot in seen.spots if spot.kind == "mounted"}
    first = next(iter(mounted))
    if any((2 * turned) % studs for turned in mounted.values()):
        at = tuple((-turned) % studs for turned in mounted.values())
        way = Otherwise(ALL_MOVED, "mounted", tuple(mounted), at, 0.0)
        out.append(_Way(way, _turned(seen, lambda spot: -spot.turned), priors.counted_the_other_way))
    for mount, turned in mounted.items():
        for other in sorted({(turned + 1) % studs, (turned - 1) % studs, -turned % studs} - {turned % studs}):
            if mount != first:
                moved = _turned(seen, lambda spot, m=mount, to=other: to if spot.mount == m else spot.turned)  # type: ignore[misc]
                out.append(_Way(Otherwise(MOVED, "mounted", (mount,), (other,), 0.0), moved, priors.misplaced / 2))
    checks = _checks_the_hub(seen)
    for k, (spot, rows) in enumerate(zip(seen.spots, _rows(seen), strict=True)):
        if spot.kind == "hub face" and not checks:
            continue
        size = rows.stop - rows.start
        once = seen.traces[k].turns == 1  # nobody writes two turns that agree the other way round
        if spot.kind in ("mounted", "hub face") and once and len(seen.spots) > 1:
            mirrored = _changed(seen, rows, np.diag(np.tile([1.0, -1.0], size // 2)))
            out.append(_Way(Otherwise(READ, spot.kind, (spot.mount,), (), 0.0), mirrored, priors.misplaced))
        if spot.kind == "hub face":
            for pitches in range(1, studs):
                angle = 2 * np.pi * pitches / studs
                turn = np.array([[np.cos(angle), np.sin(angle)], [-np.sin(angle), np.cos(angle)]])
                way = Otherwise(HUB_STUD, spot.kind, (), (pitches,), 0.0)
                out.append(_Way(way, _changed(seen, rows, turn), priors.misplaced / (studs - 1)))
            variance = hub_um**2 + np.diag(seen.noise)[rows]
            log = -0.5 * float((seen.value[rows] ** 2 / variance + np.log(2 * np.pi * variance)).sum())
            way = Otherwise(HUB_FACE, spot.kind, (), (), 0.0)
            # Evidence is without the constant of its own dimension, and the face is left out of the rest.
            out.append(_Way(way, _without(seen, k), priors.misplaced, log + 0.5 * size * float(np.log(2 * np.pi))))
    return out


def as_it_stands(way: Otherwise, told: ToldApart) -> bool:
    """Whether another way is of the clean mount that stands, read by one turn: a further turn of it tells. By rule.

    Parameters
    ----------
    way : Otherwise
    told : ToldApart
    """
    last = told.states[-1]
    stands = way.trace == "mounted" and way.mounts == (last.mounts[-1],) and last.state in CLEAN_STATES
    return stands and last.now.alone_turns == 1


@one_thread
def otherwise(
    model: Model, seen: Seen, odds: dict[str, float], families: tuple[Families, Families], hub_um: float,
    priors: Priors, log_listed: float,
) -> tuple[Otherwise, ...]:  # fmt: skip
    """Other ways in which the readings would fit, likeliest first.

    Parameters
    ----------
    model : Model
    seen : Seen
    odds : dict of str to float
    families : (mapping, mapping)
        Few columns to look with, and all.
    hub_um : float
        Of `ways`. [um]
    priors : Priors
    log_listed : float
        Logarithm of the evidence of the readings as they stand, with all columns (`sim.causes.weigh.Posterior`).

    Returns
    -------
    tuple of Otherwise
        Those that are `NAMED` likely or more, with their probability; the rest is the readings as they stand.

    Notes
    -----
    Bayes' rule over ways of writing down; odds are judgement (`sim.causes.priors`).
    """
    every = [way for way in ways(seen, model.studs, hub_um, priors) if way.prior > 0.0]
    weights = [0.0] * len(every)
    looks = zip(families, (LOOKED_AT_ONCE, MOST_PRESENT), (None, log_listed), strict=True)
    for some, most, log_as_it_is in looks:
        if every:
            as_it_is = log_evidence(model, seen, odds, dict(some), most) if log_as_it_is is None else log_as_it_is
            weights = _weights(model, as_it_is, odds, dict(some), every, most)
            every = [way for way, weight in zip(every, weights, strict=True) if weight >= LOOK]
            weights = [weight for weight in weights if weight >= LOOK]
    told = [replace(w.told, probability=weight) for w, weight in zip(every, weights, strict=True) if weight >= NAMED]
    return tuple(sorted(told, key=lambda one: -one.probability))


def _weights(
    model: Model, log_as_it_is: float, odds: dict[str, float], families: Families, every: list[_Way], most: int
) -> list[float]:
    """Posterior of each other way, the readings as they stand being one more, of this evidence."""
    as_it_is = max(1.0 - sum(way.prior for way in every), 0.1)
    given = dict(families)
    logs = [np.log(as_it_is) + log_as_it_is]
    logs += [np.log(way.prior) + way.log_more + log_evidence(model, way.seen, odds, given, most) for way in every]
    share = np.exp(np.array(logs) - max(logs))
    return [float(one) for one in share[1:] / share.sum()]
