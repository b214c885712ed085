"""Whether the ranking's probabilities are observed on truths drawn from its own model: a slip in its algebra shows.

``python -m tests.studies.own_model [CORNERS]`` writes ``own_model.md`` beside this file. The truths are of the very
prior that the estimator assumes, so this is a proof of its algebra and none of its odds: those are studied on corners
that it does not assume (`tests.studies.causes`).
"""

from __future__ import annotations

import sys
import time
from dataclasses import replace
from pathlib import Path

import numpy as np

from sim.causes import names
from sim.causes.families import CAUSE_OF, FRAMES, families_of
from sim.causes.finding import _odds
from sim.causes.forward import BESIDE, GAUSSIAN, model
from sim.causes.ordered import MISFIT
from sim.causes.priors import Priors
from sim.causes.seen import Seen, Spot
from sim.causes.signatures import Signatures, turned_and_mirrored
from sim.causes.weigh import SIZE_SPREAD, Posterior, _sizes, _with_more, counted, posterior, sets_of
from sim.causes.what_if import share_of, tir_um
from tests.studies.doors import noted

STUDS = 5
PLAN = (
    Spot("mounted", 1, 0, False, first=True),
    Spot("mounted", 2, 2, False),
    Spot("mounted", 3, 2, True),
    Spot("thickness", 1, 0, False, first=True),
)


def invented(count: int = 20, seed: int = 3) -> Signatures:
    """Columns without a solver: a lean whose second and third order follow it, heights as they are drawn."""
    rng = np.random.default_rng(seed)
    height = 60.0 * np.exp(rng.normal(0.0, np.log(2.0), count))
    first = 0.3 * height * np.exp(rng.normal(0.0, 0.4, count))
    angle = rng.uniform(0.0, 2 * np.pi / STUDS, count)
    size = np.stack([first, first * rng.uniform(0.1, 0.5, count), first * rng.uniform(0.02, 0.15, count)], axis=1)
    columns = turned_and_mirrored(size * np.exp(-1j * np.arange(1, 4) * angle[:, None]), STUDS)
    copies = len(columns) // count
    stud = np.array([8.0, 0.3, 0.1], dtype=complex)
    # What stays is no share of what was: the second order goes with the square of the height.
    of, stays = np.arange(0, len(columns), 2), rng.uniform(0.2, 1.0, len(columns) // 2)
    left = columns[of] * stays[:, None] ** np.array([1.0, 2.0, 2.0])
    return Signatures(
        columns, np.tile(height, copies), np.tile(np.arange(count), copies), stud, 140.0, left, of, stays
    )  # fmt: skip


class Drawn:
    """The estimator's own prior, to draw truths from."""

    def __init__(self, plan: tuple[Spot, ...] = PLAN) -> None:
        self.priors, self.plan = Priors(), plan
        size = 2 * sum(len(spot.orders) for spot in plan)
        self.blank = Seen(plan, (), np.zeros(size), 2.0 * np.eye(size), (), None)
        known = invented()
        self.model = model(self.blank, STUDS, known.stud, 64.0 / 140.0, self.priors)
        self.odds, odds = _odds(self.blank, self.priors, 55.0, None)
        self.families = families_of(known, odds, self.priors, 55.0, 1.0)
        gaussian = [cause for cause in GAUSSIAN if cause in self.odds]
        self.sets, logs = _with_more(*sets_of(gaussian, self.odds), self.odds, 3)
        self.chance = np.exp(logs - logs.max())

    def draw(self, rng: np.random.Generator) -> tuple[Seen, str, frozenset[str], np.ndarray]:
        """Readings, the cause with the largest share, what is present, and every share's TIR as found."""
        named = ["", *self.families]
        odds = np.array([p for p, _ in self.families.values()])
        # The joint prior of set and family: with dirt, one cause less may be present.
        weight = np.outer(self.chance, np.concatenate([[1.0 - odds.sum()], odds]))
        weight[[counted(one) >= 3 for one in self.sets], 1:] = 0.0
        beside = np.array([BESIDE in one for one in self.sets])
        weight[np.ix_(beside, [CAUSE_OF.get(one) != names.HUB_DIRT for one in named])] = 0.0
        at = rng.choice(weight.size, p=weight.ravel() / weight.sum())
        present, family = self.sets[at // weight.shape[1]], named[at % weight.shape[1]]
        usual = np.isclose(self.model.sds(present), self.model.sds({}))
        size = np.where(usual, _sizes(self.model, 1, SIZE_SPREAD, rng)[0], 1.0)
        unknown = self.model.sds(present) * size * rng.normal(size=self.model.size)
        value = self.model.rows(self.plan) @ unknown
        dirt = np.zeros(12)
        if family:
            parts = self.families[family][1]
            share = np.concatenate([np.exp(part.log_weight) for part in parts])
            row = int(rng.choice(share.size, p=share / share.sum()))
            for part in parts:
                if row < part.mean.shape[0]:
                    root = part.root(np.array([row]))[0]
                    dirt[part.half] = part.mean[row] + root @ rng.normal(size=root.shape[1])
                    break
                row -= part.mean.shape[0]
            value = value + self.model.dirt_rows(self.plan, FRAMES[family]) @ dirt
        value = value + np.linalg.cholesky(self.blank.noise) @ rng.normal(size=value.size)
        truth = replace_samples(self, unknown, dirt, named.index(family))
        tirs = np.array([float(tir_um(share_of(truth, self.plan[0], cause))[0]) for cause in names.CAUSES])
        seen = replace(self.blank, value=value)
        named_so = {names.ROTOR_DIRT if one == BESIDE else one for one in present}
        causes = frozenset({*named_so, *([CAUSE_OF[family]] if family else [])})
        return seen, names.CAUSES[int(tirs.argmax())], causes, tirs

    def weigh(self, seen: Seen):
        found = posterior(self.model, seen, self.odds, self.families, samples=200)
        tirs = np.array([tir_um(share_of(found, self.plan[0], cause)) for cause in names.CAUSES])
        return found, tirs


def replace_samples(drawn: Drawn, unknown, dirt, family):
    """A posterior of one sample: the truth."""
    return Posterior(
        drawn.model, unknown[None], dirt[None], ("", *drawn.families), np.array([family]),
        np.zeros((1, len(names.CAUSES)), dtype=bool), 1.0, 1, np.inf, 0.0,
    )  # fmt: skip


def study(count: int, seed: int = 11, plan: tuple[Spot, ...] = PLAN):
    """Stated and observed: probability of being dominant, of being present, coverage of 80 % bands, misfit tails."""
    drawn, rng = Drawn(plan), np.random.default_rng(seed)
    stated, hits, present, there, inside, tails = [], [], [], [], [], []
    for _ in range(count):
        seen, cause, causes, truth = drawn.draw(rng)
        found, tirs = drawn.weigh(seen)
        share = np.bincount(tirs.argmax(axis=0), minlength=len(names.CAUSES)) / tirs.shape[1]
        stated.append(share)
        hits.append(np.array(names.CAUSES) == cause)
        present.append(found.present.mean(axis=0))
        there.append([name in causes for name in names.CAUSES])
        low, high = np.quantile(tirs, (0.1, 0.9), axis=1)
        wide = high - low > 0.5  # a share that is surely nought has no band
        inside += list(((truth >= low) & (truth <= high))[wide])
        tails.append(found.misfit_share)
    return tuple(np.array(one) for one in (stated, hits, present, there, inside, tails))


BINS = ((0.0, 0.05), (0.05, 0.2), (0.2, 0.5), (0.5, 0.8), (0.8, 1.01))


def page(count: int) -> str:
    """Draw so many corners and put down how often what was stated was observed."""
    began = time.process_time()
    stated, hits, present, there, inside, tails = study(count)
    lines = ["| probability of | stated between | how often | stated, mean | observed |", "|---|---|---|---|---|"]
    for what, said, seen in (("being the largest", stated, hits), ("being there", present, there)):
        for low, high in BINS:
            here = (said >= low) & (said < high)
            if here.any():
                means = f"{said[here].mean():.1%} | {seen[here].mean():.1%}"
                lines.append(f"| {what} | {low:.0%} .. {min(high, 1.0):.0%} | {here.sum()} | {means} |")
    return (
        f"# The ranking on truths of its own model\n\nMade by `python -m tests.studies.own_model {count}`, do not "
        "edit. Every cause of every corner is one.\n\n"
        + "\n".join(lines)
        + f"\n\n80 % bands hold {inside.mean():.1%} of "
        f"{inside.size}. Readings are said to fail to fit in {(tails < MISFIT).mean():.1%} of {count}.\n\n"
        f"{(time.process_time() - began) / 60.0:.1f} CPU minutes.\n"
    )


if __name__ == "__main__":
    noted(Path(__file__).with_suffix(".md"), page(int(sys.argv[1]) if len(sys.argv) > 1 else 600))
