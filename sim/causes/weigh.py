"""Posterior over hypotheses: which causes are present, is there dirt and which, and how much each contributes.

A hypothesis is a set of causes that are present and at most one family of columns (`sim.causes.families`): dirt on the
hub or on the rotor, that cleaning takes away or leaves in part, a pad's mark, rust. Given a column everything is
Gaussian: evidence, and samples of every contribution, are closed forms.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import combinations, product

import numpy as np
from numpy.typing import NDArray
from scipy.special import gammaincc

from sim.arrays import Floats, read_only
from sim.causes import names
from sim.causes.columns import BOTH, SCALE_SD, Columns, Whole
from sim.causes.families import CAUSE_OF, FRAMES, NO_DIRT
from sim.causes.forward import (
    BESIDE,
    BESIDE_SIZES,
    FILM,
    FILM_SIZES,
    GAUSSIAN,
    HELD_ODDS,
    HELD_OFF,
    SCALE_LEFT,
    SHARES,
    SIZES,
    Model,
)
from sim.causes.seen import Seen

SAMPLES = 2000  # standard deviation of a probability at most 0.011
SEED = 90_001  # fixed: same readings, same answer
# Most causes that are present at once, dirt among them: more explain anything. Judgement.
MOST_PRESENT = 3
# Hypotheses are tested with what is present this much larger, which leaves its size free: a pattern is to fit, not a
# size; and only where so many degrees of freedom remain. Judgement.
FREE, LEAST_FREEDOM = 2.0, 0.5
# Nobody knows the size of what is usual to better than this: standard deviation of its logarithm, of each cause alone,
# so that two thirds lie within a factor of 1.4. Judgement, 0.2 .. 0.5. What is present has sizes of its own.
SIZE_SPREAD = 0.35
# Of wear it is known a little worse: used rotors usually 0.3 .. 1.5 um on a face, meant to hold nineteen in twenty
# (`sim.causes.priors`). Judgement, over that, 1 .. 1.5.
WIDER = {names.WORN: 1.15}
AT_ONCE = 500  # samples, so that their covariances need little room


@dataclass(frozen=True, eq=False)
class Posterior:
    """Samples of everything that the readings leave possible.

    Parameters
    ----------
    model : Model
    unknown : ndarray, shape (s, size)
        Samples of the model's unknowns. [um, share]
    dirt : ndarray, shape (s, 12)
        Orders of the sampled column, real and imaginary parts, before cleaning and after it. [um]
    family : tuple of str
        Families by number; the first is none.
    of_family : ndarray of int, shape (s,)
    present : ndarray of bool, shape (s, causes)
        In the sequence of `names.CAUSES`.
    misfit_share : float
        Mean tail of the chi-square of readings under the sampled hypotheses.
    columns : int
    effective_columns : float
        Equivalent number that carry the weight of dirt; infinite where dirt is not likely.
    log_evidence : float
        Of all hypotheses together.
    """

    model: Model
    unknown: Floats
    dirt: Floats
    family: tuple[str, ...]
    of_family: Whole
    present: NDArray[np.bool_]
    misfit_share: float
    columns: int
    effective_columns: float
    log_evidence: float


@dataclass(frozen=True, eq=False)
class _Sets:
    """Sets of present Gaussian causes with their Gaussian algebra; ``inverse`` of each covariance of the readings."""

    present: tuple[dict[str, float], ...]
    log_prior: Floats
    sds: Floats
    inverse: Floats
    log_evidence: Floats


def sets_of(
    gaussian: Sequence[str], odds: dict[str, float], most: int = MOST_PRESENT
) -> tuple[tuple[dict[str, float], ...], Floats]:
    """Every set of up to `MOST_PRESENT` causes, each with its size over the prior's, and the logarithm of its prior.

    Independent odds, by definition; larger sets are left out. Sizes are judgement (`sim.causes.forward.SIZES`). Where
    it was cleaned, scale on the spigot may have stayed in part: that counts as one more.
    """
    base = sum(float(np.log1p(-odds[cause])) for cause in gaussian)
    sets, logs = [], []
    likely = [cause for cause in gaussian if odds[cause] > 0.0]
    for causes in (one for k in range(most + 1) for one in combinations(likely, k)):
        log_odds = base + sum(float(np.log(odds[cause]) - np.log1p(-odds[cause])) for cause in causes)
        of_scale = (
            _of_scale(odds.get(SCALE_LEFT, 0.0) if len(causes) < most else 0.0) if names.SPIGOT in causes else ONE
        )
        for sizes in product(*(SIZES.get(cause, ((1.0, 1.0),)) for cause in causes)):
            weight = float(np.prod([weight for _, weight in sizes]))
            one = {cause: size for cause, (size, _) in zip(causes, sizes, strict=True)}
            for also, share in of_scale:
                sets.append(one | dict.fromkeys(also, 1.0))
                logs.append(log_odds + float(np.log(weight * share)))
    return tuple(sets), np.array(logs)


ONE: tuple[tuple[tuple[str, ...], float], ...] = (((), 1.0),)


def _of_scale(stays: float) -> tuple[tuple[tuple[str, ...], float], ...]:
    """What scale on the spigot does beside being there, with its odds: holds the rotor off, stays in part."""
    held = (((), 1.0 - HELD_ODDS), ((HELD_OFF,), HELD_ODDS))
    left = (((), 1.0 - stays), ((SCALE_LEFT,), stays)) if stays > 0.0 else ONE
    return tuple((one + other, p * q) for one, p in held for other, q in left)


def _with_more(
    present: tuple[dict[str, float], ...], log_prior: Floats, odds: dict[str, float], most: int
) -> tuple[tuple[dict[str, float], ...], Floats]:
    """The same sets, and those with dirt on the rotor's seat beside the hub's in them, or a film that stayed there.

    The first leave room for that on the hub; a film is there instead of any other dirt.
    """
    sets, logs = [*present], [log_prior]
    for what, sizes, room in ((BESIDE, BESIDE_SIZES, 2), (FILM, FILM_SIZES, 1)):
        if odds.get(what, 0.0) > 0.0:
            here = [k for k, one in enumerate(present) if counted(one) + room <= most]
            sets += [{**present[k], what: size} for size, _ in sizes for k in here]
            logs += [log_prior[here] + np.log(odds[what] * weight) for _, weight in sizes]
    return tuple(sets), np.concatenate(logs)


def counted(present: Iterable[str]) -> int:
    """How many causes of a set count: how scale holds a rotor is none of its own."""
    return sum(one != HELD_OFF for one in present)


def _sets(
    model: Model, seen: Seen, gaussian: Sequence[str], odds: dict[str, float], most: int = MOST_PRESENT, also: str = ""
) -> _Sets:
    present, log_prior, sds = _hypotheses(model, tuple(gaussian), tuple(odds.items()), most, also)
    rows = model.rows(seen.spots)
    covariance = (rows * sds[:, None, :] ** 2) @ rows.T + seen.noise
    inverse: Floats = np.asarray(np.linalg.inv(covariance), dtype=np.float64)
    log_root = np.log(np.diagonal(np.linalg.cholesky(covariance), axis1=1, axis2=2)).sum(axis=1)
    square = (inverse @ seen.value) @ seen.value
    return _Sets(present, log_prior, sds, inverse, -log_root - 0.5 * square)


@lru_cache(maxsize=8)  # the same readings written down in another way are weighed under the same sets
def _hypotheses(
    model: Model, gaussian: tuple[str, ...], odds: tuple[tuple[str, float], ...], most: int, also: str
) -> tuple[tuple[dict[str, float], ...], Floats, Floats]:
    """Sets of present Gaussian causes, the logarithm of their prior and the sizes of the unknowns under each."""
    present, log_prior = _with_more(*sets_of(gaussian, dict(odds), most), dict(odds), most)
    if also:
        present = tuple({**one, also: 1.0} for one in present)
    sds: Floats = np.array([model.sds(one) for one in present])
    return present, read_only(log_prior), read_only(sds)


def _family_evidence(sets: _Sets, rows: Floats, value: Floats, columns: Sequence[Columns]) -> list[Floats]:
    """Logarithm of the evidence of every column under every set over that of the set alone, a block per class (s, k).

    The errors of a class's orders are added by the matrix inversion lemma, its kernel as a rank-two update.
    """
    rows = rows[:, columns[0].half]
    triangle = np.triu_indices(rows.shape[1])
    seen_by = rows.T @ sets.inverse
    lift, pull = seen_by @ rows, seen_by @ value
    out = []
    for part in columns:
        inner = np.linalg.inv(lift + np.diag(part.error**-2.0))
        weight = lift - lift @ inner @ lift
        eased = (inner @ pull[:, :, None])[:, :, 0]
        force = pull - (lift @ eased[:, :, None])[:, :, 0]
        log_det = np.linalg.slogdet(np.eye(rows.shape[1]) + part.error[:, None] * lift * part.error)[1]
        gained = 0.5 * (pull * eased).sum(axis=1) - 0.5 * log_det
        entries = weight[:, triangle[0], triangle[1]]
        mm, ma, aa = (entries @ products.T for products in part.squares)
        fm, fa = (force @ other.T for other in (part.mean, part.angle))
        # Along its scale a column's slope is a share of itself. In place: blocks are large, and there are many.
        u, v = SCALE_SD * (fm - mm), np.subtract(fa, ma, out=fa)
        ss, sa = 1.0 + SCALE_SD**2 * mm, np.multiply(ma, SCALE_SD, out=ma)
        aa += 1.0
        det = ss * aa - sa**2
        sa *= u * v
        ss *= v * v
        aa *= np.multiply(u, u, out=u)
        fm += gained[:, None] - 0.5 * mm
        fm += 0.5 * (aa - 2.0 * sa + ss) / det
        fm -= 0.5 * np.log(det, out=det)
        out.append(fm)
    return out


@dataclass(frozen=True, eq=False)
class _Weighed:
    """Weights of all hypotheses: sets without dirt, then per family and class sets by columns; which sets each has."""

    logs: list[Floats]
    key: list[tuple[str, int]]
    sets: list[Whole]
    total: float


def posterior(
    model: Model, seen: Seen, odds: dict[str, float], families: dict[str, tuple[float, tuple[Columns, ...]]],
    samples: int = SAMPLES, size_spread: float = SIZE_SPREAD,
) -> Posterior:  # fmt: skip
    """Weigh every hypothesis, and sample.

    Parameters
    ----------
    model : Model
    seen : Seen
    odds : dict of str to float
        Of each Gaussian cause.
    families : dict of str to (float, tuple of Columns)
        Odds and columns of each family.
    samples : int
    size_spread : float
        Standard deviation of the logarithm of what is usual, of each cause; with none sizes are as stated.

    Returns
    -------
    Posterior

    Notes
    -----
    Bayes' rule; samples of Gaussian unknowns by Matheron's rule (conditioning by kriging). What is usual is known to a
    factor (`SIZE_SPREAD`), drawn for each sample and drawn again by how likely it makes the readings (importance
    resampling; Rubin 1988, from memory). Judgement of sizes stands in `sim.causes.priors`.
    """
    gaussian = [cause for cause in GAUSSIAN if cause in odds]
    sets = _sets(model, seen, gaussian, odds)
    weighed = _weigh(model, seen, sets, MOST_PRESENT, families)
    rng_set = np.random.default_rng(SEED)
    drawn_set, drawn_family, drawn_class, drawn_row = _draw(weighed, families, samples, rng_set)
    named = (NO_DIRT, *families)
    roots, means = np.zeros((samples, BOTH.stop, BOTH.stop + 2)), np.zeros((samples, BOTH.stop))
    for k, family in enumerate(named[1:], 1):
        for c, part in enumerate(families[family][1]):
            here = np.flatnonzero((drawn_family == k) & (drawn_class == c))
            means[here, part.half] = part.mean[drawn_row[here]]
            roots[here, part.half, : part.error.size + 2] = part.root(drawn_row[here])
    beyond = sets.sds[drawn_set] > 1.01 * model.sds({})
    size: Floats = np.where(beyond, 1.0, _sizes(model, samples, size_spread, rng_set))
    kept = _likely_sizes(model, seen, sets.sds[drawn_set], size, (drawn_family, named), (means, roots), rng_set)
    drawn_set, drawn_family = drawn_set[kept], drawn_family[kept]
    means, roots, size = means[kept], roots[kept], size[kept]
    unknown, dirt, misfit = _conditioned(model, seen, sets, drawn_set, (drawn_family, named), (means, roots), size)
    present = np.zeros((samples, len(names.CAUSES)), dtype=bool)
    for k, cause in enumerate(names.CAUSES):
        of_it = [number for number, family in enumerate(named) if CAUSE_OF.get(family) == cause]
        held = {BESIDE, FILM} if cause == names.ROTOR_DIRT else {cause}
        of_set = np.array([not held.isdisjoint(one) for one in sets.present])
        present[:, k] = np.isin(drawn_family, of_it) | of_set[drawn_set]
    count = sum(part.number.size for _, parts in families.values() for part in parts)
    return Posterior(
        model, unknown, dirt, named, drawn_family, present, misfit, count, _effective(weighed, families), weighed.total
    )


def log_evidence(
    model: Model, seen: Seen, odds: dict[str, float], families: dict[str, tuple[float, tuple[Columns, ...]]],
    most: int = MOST_PRESENT, also: str = "",
) -> float:  # fmt: skip
    """Logarithm of the evidence of all hypotheses together, without samples.

    As `posterior`: Bayes' rule; the constant of the readings' own dimension is left out. No unit. With ``also`` that is
    present in every one of them, beside up to ``most`` causes.
    """
    sets = _sets(model, seen, [cause for cause in GAUSSIAN if cause in odds], odds, most, also)
    return _weigh(model, seen, sets, most + bool(also), families).total


def _weigh(
    model: Model, seen: Seen, sets: _Sets, most: int, families: dict[str, tuple[float, tuple[Columns, ...]]]
) -> _Weighed:
    base = sets.log_prior + sets.log_evidence
    free = 1.0 - sum(odds for odds, _ in families.values())
    few = np.array([counted(one) < most and FILM not in one for one in sets.present])
    alone = np.array([BESIDE not in one for one in sets.present])
    logs, key, of = [base[alone] + np.log(max(free, 1e-6))], [(NO_DIRT, 0)], [np.flatnonzero(alone)]
    parts = {beside: _part(sets, few if beside else few & alone) for beside in (True, False)}
    for family, (odds, columns) in families.items():
        rows = model.dirt_rows(seen.spots, FRAMES[family])
        here, some = parts[CAUSE_OF[family] == names.HUB_DIRT]
        if not rows[:, columns[0].half].any():  # no trace sees it: its odds stay what they were
            blocks = [np.zeros((here.size, part.number.size)) for part in columns]
        else:
            blocks = _family_evidence(some, rows, seen.value, columns)
        for c, (part, block) in enumerate(zip(columns, blocks, strict=True)):
            logs.append(base[here][:, None] + np.log(odds) + part.log_weight + block)
            key.append((family, c))
            of.append(here)
    top = max(float(one.max()) for one in logs)
    total = top + float(np.log(sum(float(np.exp(one - top).sum()) for one in logs)))
    return _Weighed([one - total for one in logs], key, of, total)


def _part(sets: _Sets, kept: NDArray[np.bool_]) -> tuple[Whole, _Sets]:
    """Numbers of the sets that are kept, and those sets."""
    present = tuple(one for one, held in zip(sets.present, kept, strict=True) if held)
    fields = (getattr(sets, name)[kept] for name in ("log_prior", "sds", "inverse", "log_evidence"))
    return np.flatnonzero(kept), _Sets(present, *fields)


def _draw(
    weighed: _Weighed, families: dict[str, tuple[float, tuple[Columns, ...]]], samples: int, rng: np.random.Generator
) -> tuple[Whole, Whole, Whole, Whole]:
    """Set, family, class and row of each sample: evenly spaced draws through all weights (systematic resampling)."""
    flat = np.concatenate([np.exp(one).ravel() for one in weighed.logs])
    ends = np.cumsum([one.size for one in weighed.logs])
    edges = np.cumsum(flat)
    at = np.searchsorted(edges / edges[-1], (np.arange(samples) + rng.random()) / samples)
    at = np.minimum(at, flat.size - 1)
    block = np.searchsorted(ends, at, side="right")
    inside = at - np.concatenate([[0], ends[:-1]])[block]
    named = (NO_DIRT, *families)
    which = np.zeros((4, samples), dtype=np.int64)
    for b in np.unique(block):
        here = block == b
        family, part = weighed.key[b]
        if b == 0:
            which[0, here] = weighed.sets[b][inside[here]]
            continue
        width = weighed.logs[b].shape[1]
        which[0, here] = weighed.sets[b][inside[here] // width]
        which[1, here], which[2, here], which[3, here] = named.index(family), part, inside[here] % width
    return which[0], which[1], which[2], which[3]


def _effective(weighed: _Weighed, families: dict[str, tuple[float, tuple[Columns, ...]]]) -> float:
    """Equivalent number of columns of dirt (Kish), infinite where dirt has less than a fifth of the weight."""
    shares: dict[str, list[Floats]] = {}
    for (family, _), logs in zip(weighed.key, weighed.logs, strict=True):
        if CAUSE_OF.get(family) in (names.HUB_DIRT, names.ROTOR_DIRT):
            shares.setdefault(family, []).append(np.exp(logs).sum(axis=0))
    every = np.concatenate([np.concatenate(one) for one in shares.values()]) if shares else np.zeros(1)
    total = float(every.sum())
    return np.inf if total < 0.2 else total**2 / float((every**2).sum())


def _sizes(model: Model, samples: int, spread: float, rng: np.random.Generator) -> Floats:
    """Size of every real column over what is usual, shape (samples, size); one factor for each cause."""
    spreads = spread * np.array([[WIDER.get(cause, 1.0)] for cause in SHARES])
    factor = dict(zip(SHARES, np.exp(spreads * rng.normal(size=(len(SHARES), samples))), strict=True))
    out = np.ones((samples, model.size))
    for one, at in zip(model.unknowns, model.columns, strict=True):
        if one.cause in factor and one.order:
            out[:, at : at + 2] = factor[one.cause][:, None]
    return out


def _lifts(model: Model, seen: Seen, named: Sequence[str]) -> Floats:
    """What a column of each family does to the readings, shape (families, readings, 12); nothing of no dirt."""
    lifts = np.zeros((len(named), seen.value.size, BOTH.stop))
    for k, one in enumerate(named[1:], 1):
        lifts[k] = model.dirt_rows(seen.spots, FRAMES[one])
    return lifts


def _covariance(rows: Floats, sds: Floats, felt: Floats, noise: Floats) -> Floats:
    """Covariance of the readings under each sample's sizes and column, shape (samples, readings, readings)."""
    felt_sq: Floats = felt @ felt.transpose(0, 2, 1)
    products = (rows[:, None, :] * rows[None, :, :]).reshape(-1, rows.shape[1])  # one product of matrices for all
    return (sds**2 @ products.T).reshape(felt_sq.shape) + felt_sq + noise


def _likely_sizes(
    model: Model, seen: Seen, sds: Floats, size: Floats, family: tuple[Whole, tuple[str, ...]],
    columns: tuple[Floats, Floats], rng: np.random.Generator,
) -> Whole:  # fmt: skip
    """Numbers of the samples that are kept: as often as their sizes make the readings likelier than the prior's do."""
    of_family, named = family
    means, roots = columns
    rows, lifts = model.rows(seen.spots), _lifts(model, seen, named)
    logs = np.empty(of_family.size)
    for start in range(0, of_family.size, AT_ONCE):
        part = slice(start, start + AT_ONCE)
        lift = lifts[of_family[part]]
        left = seen.value - (lift @ means[part, :, None])[..., 0]
        each = [
            _log_normal(_covariance(rows, sd, lift @ roots[part], seen.noise), left)
            for sd in (sds[part] * size[part], sds[part])
        ]
        logs[part] = each[0] - each[1]
    edges = np.cumsum(np.exp(logs - logs.max()))
    at = np.searchsorted(edges / edges[-1], (np.arange(logs.size) + rng.random()) / logs.size)
    kept: Whole = np.minimum(at, logs.size - 1)
    return kept


def _log_normal(covariance: Floats, left: Floats) -> Floats:
    """Logarithm of the density of each row, its constant left out."""
    root = np.linalg.cholesky(covariance)
    off = np.linalg.solve(root, left[..., None])[..., 0]
    logs: Floats = -np.log(np.diagonal(root, axis1=1, axis2=2)).sum(axis=1) - 0.5 * (off**2).sum(axis=1)
    return logs


def _conditioned(
    model: Model, seen: Seen, sets: _Sets, drawn_set: Whole, family: tuple[Whole, tuple[str, ...]],
    columns: tuple[Floats, Floats], size: Floats,
) -> tuple[Floats, Floats, float]:  # fmt: skip
    """Samples of unknowns and dirt given the readings, and the mean tail of the misfit."""
    of_family, named = family
    means, roots = columns
    count = drawn_set.size
    normal, of_column, read = _normals(count, model.size, seen.value.size)
    rows = model.rows(seen.spots)
    sds = sets.sds[drawn_set] * size
    before = sds * normal
    dirt = means + np.einsum("kpe,ke->kp", roots, of_column)
    lifts = _lifts(model, seen, named)
    lift = lifts[of_family]
    seen_dirt, mean_dirt = ((lift @ one[..., None])[..., 0] for one in (dirt, means))
    miss = seen.value - before @ rows.T - seen_dirt - read @ np.linalg.cholesky(seen.noise).T
    solved = np.empty_like(miss)
    for start in range(0, count, AT_ONCE):
        part = slice(start, start + AT_ONCE)
        covariance = _covariance(rows, sds[part], lift[part] @ roots[part], seen.noise)
        solved[part] = np.linalg.solve(covariance, miss[part, :, None])[..., 0]
    back = np.einsum("kqp,kq->kp", lift, solved)
    dirt += np.einsum("kpe,ke->kp", roots, np.einsum("kpe,kp->ke", roots, back))
    after = before + sds**2 * (solved @ rows)
    drawn = sets.sds[drawn_set] > 1.01 * model.sds({}), sds
    return after, dirt, _misfit(model, seen, drawn, of_family, (mean_dirt, lifts, roots))


def _misfit(
    model: Model, seen: Seen, drawn: tuple[NDArray[np.bool_], Floats], of_family: Whole,
    dirt: tuple[Floats, Floats, Floats], most: int = 60,
) -> float:  # fmt: skip
    """Mean tail of the chi-square of what a sampled hypothesis leaves, all orders and each alone, the worst counted.

    Causes that are present, and dirt's own scale and angle, are fitted freely; the degrees of freedom that remain are
    what the rest, of its sampled size, is expected to leave. The least of k tails counts k-fold (Bonferroni).
    """
    there, sds = drawn
    mean_dirt, lifts, roots = dirt
    rows, order = model.rows(seen.spots), np.concatenate([np.repeat(spot.orders, 2) for spot in seen.spots])
    blocks = [np.ones(order.size, dtype=bool), *(order == n for n in np.unique(order))]
    some = np.arange(0, of_family.size, max(of_family.size // most, 1))
    sd, free = sds[some], there[some]
    felt = lifts[of_family[some]] @ roots[some]
    kernel, error = felt[..., :2], felt[..., 2:]

    def product(sides: Floats) -> Floats:
        return sides @ sides.transpose(0, 2, 1)

    rest = product(rows * np.where(free, 0.0, sd)[:, None, :]) + seen.noise + product(error)
    covariance = rest + product(FREE * rows * np.where(free, sd, 0.0)[:, None, :]) + product(kernel)
    left = seen.value - mean_dirt[some]
    worst = np.ones(some.size)
    for block in blocks:
        inside = np.ix_(np.arange(some.size), block, block)
        inverse = np.linalg.inv(covariance[inside])
        freedom = (inverse * rest[inside]).sum(axis=(1, 2))
        off = left[:, block]
        square = np.maximum(np.einsum("ki,kij,kj->k", off, inverse, off), 0.0)
        tail = gammaincc(np.maximum(freedom, LEAST_FREEDOM) / 2.0, square / 2.0)
        worst = np.where(freedom > LEAST_FREEDOM, np.minimum(worst, tail), worst)
    return float(np.minimum(1.0, len(blocks) * worst).mean())


@lru_cache(maxsize=4)
def _normals(count: int, size: int, readings: int) -> tuple[Floats, Floats, Floats]:
    """Standard normal numbers that every answer of one shape is made with."""
    rng = np.random.default_rng(SEED + 1)
    return rng.normal(size=(count, size)), rng.normal(size=(count, BOTH.stop + 2)), rng.normal(size=(count, readings))
