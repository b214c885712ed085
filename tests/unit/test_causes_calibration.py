"""Probabilities of the ranking hold on truths drawn from its own model: a slip in its algebra shows here."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
import scipy

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
from tests.studies import corners_at_fault as population

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


@pytest.fixture(scope="module")
def studied():
    return study(60)


@pytest.mark.parametrize("which", [0, 2], ids=["dominant", "present"])
def test_a_stated_probability_is_observed_as_often(studied, which):
    stated, observed = studied[which].ravel(), studied[which + 1].ravel()
    for low, high in BINS:
        here = (stated >= low) & (stated < high)
        if here.sum() < 10:
            continue
        count, mean = int(here.sum()), float(stated[here].mean())
        least, most = scipy.stats.binom.ppf((0.001, 0.999), count, mean)
        assert least <= observed[here].sum() <= most, (low, high, mean, observed[here].mean(), count)


def test_a_band_holds_as_often_as_it_says(studied):
    inside = studied[4]
    least, most = scipy.stats.binom.ppf((0.001, 0.999), inside.size, 0.8)
    # Shares of one corner are not independent: twice as wide.
    middle = 0.8 * inside.size
    assert middle - 2 * (middle - least) <= inside.sum() <= middle + 2 * (most - middle)


def test_readings_of_the_list_seldom_fail_to_fit(studied):
    assert (studied[5] < MISFIT).mean() <= 0.04


@pytest.mark.parametrize("fine", [False, True])
def test_a_thickness_of_the_study_lies_on_its_corner(fine):
    """A whole thickness, once: an even rotor between what may stay on and what is new."""
    shares = np.zeros((len(population.CAUSES), population.ORDERS + 1), dtype=complex)
    seated = np.zeros((5, 2, population.ORDERS + 1), dtype=complex)
    corner = population.Corner(0, (), shares, shares, seated, 0j)
    rotor = population.case_of(0).rotor
    read_mm = 1e-3 * population.table(1, 0, corner, population.Step("thickness", fine=fine), slips=0.0).value_um
    assert rotor.minimum_thickness_mm < read_mm.min() <= read_mm.max() < rotor.thickness_mm
