"""How many corners are worth drawing: numbers from which on the figures that are asked can be told at all."""

from __future__ import annotations

from dataclasses import dataclass

from sim.stack.draw import BLOCK
from sim.stack.points import REPLICATES
from sim.stack.run import BATCH
from sim.stack.shares import least_draws
from sim.stack.study import MOST_SAMPLES, Study


@dataclass(frozen=True)
class Better:
    """A number of corners to draw instead, and why."""

    samples: int
    why: str


def better(study: Study) -> Better | None:
    """Number of corners to draw instead of those that a study asks for; None where its own will do.

    Parameters
    ----------
    study : Study

    Returns
    -------
    Better or None
        The next number up. No unit.

    Notes
    -----
    Sobol' points are even where every replicate holds a power of two of them (Owen, Journal of Complexity 2022), Latin
    hypercubes where the last block is whole. A tolerance reached is told from two batches (JCGM 101, 7.9); a share is
    demonstrated by `sim.stack.shares.least_draws` at the least.
    """
    asked, share = study.samples, study.population.share_within
    least = least_draws(share)
    if study.points == "random" and asked < least <= MOST_SAMPLES:
        more = max(least, 2 * BATCH if study.tolerance_um > 0.0 else 0)
        return Better(more, f"{100.0 * share:g} % can be demonstrated by no fewer than {least}")
    if study.points == "random" and study.tolerance_um > 0.0 and asked < 2 * BATCH:
        return Better(2 * BATCH, f"to what tolerance the figures are known is told from two batches of {BATCH}")
    even = REPLICATES
    while even < asked:
        even *= 2
    if study.points == "sobol" and even != asked:
        return Better(even, f"Sobol points are even only where each of {REPLICATES} replicates has a power of two")
    whole = -(-asked // BLOCK) * BLOCK
    if study.points == "latin hypercube" and whole != asked:
        return Better(whole, f"a Latin hypercube is whole only in blocks of {BLOCK}")
    return None
