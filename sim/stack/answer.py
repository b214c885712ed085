"""What a stack answers: worst case, root sum square, shares over the limit before and after each cure, intervals."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from sim.arrays import Floats
from sim.one_thread import one_thread
from sim.progress import Progress, silent
from sim.stack.brought import brought
from sim.stack.capability import Capability, capability
from sim.stack.gauge import Gauge, Sorted, sorting
from sim.stack.points import REPLICATES
from sim.stack.run import BATCH, Result
from sim.stack.shares import CONFIDENCE, Share, Spread, demonstrated, least_draws, replicated, resolvable, spread
from sim.stack.worst_case import Contribution, contributions, rss_um, worst_case_um

#: States of a corner: name in the answer, column of the outcomes.
STATES = {
    "monte_carlo": "found_um",
    "after_cleaning": "cleaned_um",
    "after_indexing": "indexed_um",
    "after_both": "both_um",
}
DRIVEN = {name: column.replace("_um", "_driven_um") for name, column in STATES.items()}
MOST_REASONS = 20  # told one by one; all are counted


@dataclass(frozen=True, eq=False)
class Answer:
    """What a stack answers.

    Parameters
    ----------
    result : Result
    parts : tuple of Contribution
    read, driven : mapping of str to Spread
        By the names of `STATES`; ``driven`` is empty where that was not asked, or no corner is fit to drive as drawn.
    more : mapping
        Further parts of the answer, JSON-ready.
    """

    result: Result
    parts: tuple[Contribution, ...]
    read: Mapping[str, Spread]
    driven: Mapping[str, Spread]
    more: Mapping[str, Any] = field(default_factory=dict)

    @property
    def worst_case_um(self) -> float:
        """All tolerances at their limits, in one direction. [um TIR]."""
        return worst_case_um(self.parts)

    @property
    def rss_um(self) -> float:
        """Root sum square of the same. [um TIR]."""
        return rss_um(self.parts)

    @property
    def verdict(self) -> str:
        """Whether the wanted share within the limit is shown by these draws: yes, no or open."""
        return demonstrated(self.read["monte_carlo"].reject, self.result.study.population.share_within)


@one_thread
def answer(result: Result, progress: Progress = silent) -> Answer:
    """Sum up what was drawn.

    Parameters
    ----------
    result : Result
    progress : callable(fraction, what)

    Returns
    -------
    Answer

    Raises
    ------
    BadInput
        Where not one corner could be seated.
    """
    study = result.study
    limit = study.population.limit_um
    parts = contributions(study.population, study.preset, progress)

    def summed(names: Mapping[str, str]) -> dict[str, Spread]:
        return {
            name: _spread(result, result.columns[column], limit)
            for name, column in names.items()
            if column in result.columns
        }

    fit = bool(np.isfinite(result.columns.get(DRIVEN["monte_carlo"], np.empty(0))).any())
    return Answer(result, parts, summed(STATES), summed(DRIVEN) if fit else {})


def _spread(result: Result, values: Floats, limit: float) -> Spread:
    found = spread(values, limit, BATCH)
    return found if result.study.points == "random" else replicated(found, values, limit, REPLICATES)


def capabilities(found: Answer) -> dict[str, Capability]:
    """Capability of every state that was read against the limit, by the names of `STATES`; independent draws only.

    No unit (`sim.stack.capability`).
    """
    result = found.result
    if result.study.points != "random":
        return {}
    limit = result.study.population.limit_um
    return {name: capability(result.columns[STATES[name]], limit) for name in found.read}


GUARD = 2.0  # standard deviations of the gauge below the limit: acceptance after ISO 14253-1


@dataclass(frozen=True)
class BySort:
    """Sorting at the limit itself, and at an acceptance limit two standard deviations below it."""

    at_limit: Sorted
    guarded: Sorted


def sorted_by(found: Answer) -> dict[str, BySort]:
    """What the gauge makes of every state that was read, by the names of `STATES`. [um TIR] (`sim.stack.gauge`)."""
    study = found.result.study
    limit, gauge = study.population.limit_um, study.gauge
    every = {name: found.result.columns[STATES[name]] for name in found.read}
    return {
        name: BySort(sorting(values, limit, gauge), sorting(values, limit, gauge, GUARD))
        for name, values in every.items()
    }


def _gauge(gauge: Gauge, limit_um: float) -> dict[str, Any]:
    return {
        "step_um": gauge.step_um,
        "mounting_sd_um": gauge.mounting_sd_um,
        "sd_um": gauge.sd_um,
        "six_sd_over_limit": gauge.of_limit(limit_um),
    }


def told(found: Answer) -> dict[str, Any]:
    """Answer as ``--json`` prints it; lengths in um, shares from 0 to 1."""
    study = found.result.study
    population = study.population
    main = found.read["monte_carlo"]
    body: dict[str, Any] = {
        "title": population.title,
        "limit_um": population.limit_um,
        "share_within": population.share_within,
        "face": population.case.gauge.face,
        "seed": study.seed,
        "points": study.points,
        "preset": study.preset,
        "worst_case_um": found.worst_case_um,
        "rss_um": found.rss_um,
        "contributions": found.parts,
        "faults_of_the_base": brought(population),
    }
    body |= {name: _plain(one) for name, one in found.read.items()}
    if found.driven:
        body["as_driven"] = {name: _plain(one) for name, one in found.driven.items()}
    body |= {
        "demonstrated": found.verdict,
        "confidence": CONFIDENCE,
        "least_draws_to_demonstrate": least_draws(population.share_within),
        "resolvable_share": resolvable(main.samples),
        "stopped_at_tolerance": found.result.stopped,
        "tolerance_um": study.tolerance_um,
        "capability": capabilities(found),
        "gauge": _gauge(study.gauge, population.limit_um),
        "sorted_by_gauge": sorted_by(found),
        "not_seated": counted(found.result.not_seated, found.result.size),
        "not_fit_to_drive": counted(found.result.unfit, found.result.size),
    }
    return body | dict(found.more)


def _plain(one: Spread) -> dict[str, Any]:
    reached = one.tolerance_reached
    return {
        "mean": one.mean,
        "p50": one.p50,
        "p95": one.p95,
        "p99": one.p99,
        "reject_rate": one.reject.share,
        "reject_rate_low": one.reject.low,
        "reject_rate_high": one.reject.high,
        "over": one.reject.count,
        "samples": one.samples,
        "tolerance_reached": reached if np.isfinite(reached) else None,
    }


def counted(reasons: Sequence[tuple[int, str]], drawn: int) -> dict[str, Any]:
    """Corners that are no figure: how many of those drawn, why, and which. No unit. By definition."""
    why = Counter(_short(reason) for _, reason in reasons)
    return {
        "corners": len(reasons),
        "share": len(reasons) / drawn,
        "why": [{"reason": reason, "corners": count} for reason, count in why.most_common(MOST_REASONS)],
        "first": [{"corner": corner, "reason": reason} for corner, reason in reasons[:MOST_REASONS]],
    }


def _short(reason: str) -> str:
    """A reason without its figures, so that alike ones are counted together."""
    return "".join("#" if one.isdigit() else one for one in reason)[:200]


__all__ = ["Answer", "Share", "answer", "counted", "told"]
