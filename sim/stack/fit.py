"""A population fitted to what was audited: which scales of hub, rotor and dirt agree with the runouts that were read.

What is drawn once is used for every scale: vectors of hub and rotor are multiplied exactly, the share of dirty corners
by weighing, the height of dirt in proportion (the only part that is not exact; `tests/studies/stack_fit.md` tells what
comes of it).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import ArrayLike

from sim.arrays import Complexes, Floats
from sim.errors import BadInput, Fault
from sim.one_thread import one_thread
from sim.progress import Progress, silent
from sim.seating.dial_trace import own_wave_um
from sim.stack.draw import case_of
from sim.stack.run import Result
from sim.stack.seated import hub_wave_um
from sim.weighted import weighted_quantile

#: What is fitted: a factor on the population's own figure, with the spread that is held likely beforehand (geometric
#: standard deviation of a lognormal one); judgement.
SCALES: dict[str, float] = {"hub runout": 1.6, "rotor runout": 1.6, "odds of dirt": 2.5, "height of dirt": 1.4}
DRAWS = 4000  # of the scales; judgement
MORE = 8  # times as many where too few of them agree: telling readings leave a small part of what was assumed
ORDERS, POINTS = 8, 72  # of a trace as it is emulated: its TIR to 1 % (closed form: 1 - cos(pi n / points))
BINS = 24  # of the runout, even on a logarithmic scale; judgement
LEAST_READ = 20  # runouts that tell anything
LEAST_EFFECTIVE = 30.0  # draws that must be left to say anything
BAND = 0.80
_PRIOR = np.log(list(SCALES.values()))
LEARNT = 0.7  # posterior over prior spread, above which the data told next to nothing of a scale; judgement


@dataclass(frozen=True)
class Fitted:
    """One scale.

    Parameters
    ----------
    name : str
    low, middle, high : float
        Factor on the population's own figure, 80 % band.
    told : bool
        Whether the readings told anything of it.
    """

    name: str
    low: float
    middle: float
    high: float
    told: bool


@dataclass(frozen=True, eq=False)
class Fit:
    """A population fitted to audited runouts.

    Parameters
    ----------
    scales : tuple of Fitted
    reject, reject_cleaned : tuple of float
        Share over the limit as found and cleaned in the fitted population: low, middle, high. As found an 80 % band;
        that of cleaned corners holds in 31 to 77 % only and is no band to rely on (``tests/studies/stack_fit.md``).
    assumed : float
        Share over the limit in the population as it was assumed.
    together : mapping of (str, str) to float
        Correlation of two scales: those that the readings cannot tell apart are near -1 or 1.
    effective, readings : float, int
        Draws that are left, runouts that were read.
    """

    scales: tuple[Fitted, ...]
    reject: tuple[float, float, float]
    reject_cleaned: tuple[float, float, float]
    assumed: float
    together: Mapping[tuple[str, str], float] = field(repr=False)
    effective: float
    readings: int


@dataclass(frozen=True, eq=False)
class Library:
    """Drawn corners taken apart: what each part gives to the trace, orders 0 .. `ORDERS`, HUB frame. [um].

    Parameters
    ----------
    rest, dirt : ndarray of complex, shape (n, orders + 1)
        Cleaned corner without vectors; what the dirt that cleaning takes adds.
    hub, rotor : ndarray of complex, shape (n,)
    dirty : ndarray of bool
    share : float
        Of dirty corners as assumed.
    """

    rest: Complexes
    dirt: Complexes
    hub: Complexes
    rotor: Complexes
    dirty: np.ndarray
    share: float


@one_thread
def library_of(result: Result) -> Library:
    """Take drawn corners apart: orders of the clean corner, what dirt adds, vectors of hub and rotor. [um].

    Raises
    ------
    BadInput
        Where cures were not computed.
    """
    if "cleaned" not in result.orders or not np.isfinite(result.orders["cleaned"]).any():
        raise BadInput(Fault("were not drawn with their cures", key="corners"))
    found, clean = (result.orders[name][:, : ORDERS + 1] for name in ("found", "cleaned"))
    hub, rotor = [], []
    for drawn in result.drawn:
        for row in range(drawn.size):
            case = case_of(result.study.population, drawn, row)
            hub.append(hub_wave_um(case))
            turned = 2.0 * np.pi * case.studs.studs_turned / case.studs.count
            rotor.append(own_wave_um(case.rotor, case.gauge_radius_mm, case.gauge.face) * np.exp(-1j * turned))
    dirty = np.concatenate(
        [sum((one.count > 0 for one in drawn.patches), np.zeros(drawn.size, dtype=bool)) for drawn in result.drawn]
    ).astype(bool)
    fine = np.isfinite(found).all(axis=1) & np.isfinite(clean).all(axis=1)
    take = np.flatnonzero(fine)
    return Library(
        clean[take], (found - clean)[take], np.array(hub)[take], np.array(rotor)[take], dirty[take],
        float(dirty[take].mean()),
    )  # fmt: skip


_ANGLES = 2.0 * np.pi * np.outer(np.arange(ORDERS + 1), np.arange(POINTS)) / POINTS
_WAVES = np.concatenate([np.cos(_ANGLES), -np.sin(_ANGLES)])


@one_thread
def emulated_um(library: Library, hub: float, rotor: float, height: float) -> Floats:
    """Runout of every corner of a library with its parts multiplied. Shape (n,). [um TIR].

    Superposition; the height of dirt in proportion.
    """
    orders = library.rest + height * library.dirt
    orders[:, 1] += hub * library.hub + rotor * library.rotor
    return np.ptp(np.concatenate([orders.real, orders.imag], axis=1) @ _WAVES, axis=1)


def weights(library: Library, odds: float) -> Floats:
    """Weight of each corner where dirt is more or less frequent than assumed; adds up to 1. No unit; by definition."""
    if not 0.0 < library.share < 1.0:
        return np.full(library.dirty.size, 1.0 / library.dirty.size)
    now = odds * library.share / (1.0 - library.share)
    share = now / (1.0 + now)
    each = np.where(library.dirty, share / library.dirty.sum(), (1.0 - share) / (~library.dirty).sum())
    return each / each.sum()


@dataclass(frozen=True, eq=False)
class Table:
    """What every draw of the scales gives: made once, for any readings.

    Parameters
    ----------
    scales : ndarray, shape (draws, scales)
    edges_um : ndarray, shape (bins - 1,)
    shares : ndarray, shape (draws, bins)
        Of the corners in each bin.
    over, over_cleaned : ndarray, shape (draws,)
        Share over the limit, with the sampling error of the emulated corners in it.
    assumed : float
    corners : int
        Emulated.
    """

    scales: Floats
    edges_um: Floats
    shares: Floats
    over: Floats
    over_cleaned: Floats
    assumed: float
    corners: int


@one_thread
def tabled(result: Result, seed: int = 1, draws: int = DRAWS, progress: Progress = silent) -> Table:
    """Emulate the population for scales drawn from what is held likely.

    Parameters
    ----------
    result : Result
        Corners drawn of the population as it is assumed.
    seed, draws : int
    progress : callable(fraction, what)

    Returns
    -------
    Table
        Runouts in um.

    Notes
    -----
    Superposition of the parts of every corner; lognormal priors (`SCALES`), judgement.
    """
    library, limit = library_of(result), result.study.population.limit_um
    scales = np.exp(np.random.default_rng([seed, 0xF17]).standard_normal((draws, len(SCALES))) * _PRIOR)
    clean = replace(library, dirt=np.zeros_like(library.dirt))
    base = emulated_um(library, 1.0, 1.0, 1.0)
    edges = np.geomspace(np.quantile(base, 0.02), 2.0 * np.quantile(base, 0.99), BINS - 1)
    shares, over, over_cleaned = np.empty((draws, BINS)), np.empty(draws), np.empty(draws)
    floor = 0.5 / base.size
    random = np.random.default_rng([seed, 0x0F17])
    for k, (hub, rotor, odds, height) in enumerate(scales):
        weight, runout = weights(library, odds), emulated_um(library, hub, rotor, height)
        counted = np.bincount(np.searchsorted(edges, runout), weight, BINS)
        shares[k] = (counted + floor) / (1.0 + BINS * floor)
        behind = 1.0 / np.square(weight).sum()  # corners that so uneven weights are worth
        over[k] = _sampled(random, weight[runout > limit].sum(), behind)
        over_cleaned[k] = _sampled(random, weight[emulated_um(clean, hub, rotor, 0.0) > limit].sum(), behind)
        if k % 100 == 0:
            progress(k / draws, "population fitted to the audit")
    return Table(scales, edges, shares, over, over_cleaned, float(np.mean(base > limit)), base.size)


def _sampled(random: np.random.Generator, share: float, corners: float) -> float:
    """What a share may truly be that was told by so many corners: a beta draw, Jeffreys' prior."""
    return float(random.beta(share * corners + 0.5, (1.0 - min(share, 1.0)) * corners + 0.5))


def need_enough(runouts_um: ArrayLike) -> Floats:
    """Refuse audited runouts that nothing can be fitted to (``BadInput``), which can be told before drawing. [um]."""
    read = np.asarray(runouts_um, dtype=float)
    if read.ndim != 1 or read.size < LEAST_READ or not np.isfinite(read).all() or (read < 0.0).any():
        allowed = f"{LEAST_READ} finite runouts or more, from 0 up"
        raise BadInput(Fault(f"{read.size} runouts cannot be fitted to", key="--audit", allowed=allowed))
    return read


@one_thread
def fitted(result: Result, runouts_um: ArrayLike, seed: int = 1) -> Fit:
    """Fit the population of drawn corners to audited runouts; once more with `MORE` draws where few agree.

    Parameters
    ----------
    result : Result
    runouts_um : array_like, shape (n,)
        As in `fit`. [um TIR]
    seed : int

    Returns
    -------
    Fit

    Raises
    ------
    BadInput
        As `fit`.

    Notes
    -----
    As `fit`.
    """
    table = tabled(result, seed)
    if _effective(_chance(table, need_enough(runouts_um))) < LEAST_EFFECTIVE:
        table = tabled(result, seed, MORE * DRAWS)
    return fit(table, runouts_um)


def _chance(table: Table, read: Floats) -> Floats:
    """Weight of each draw of the scales; together 1."""
    counts = np.bincount(np.searchsorted(table.edges_um, read), minlength=BINS)
    both = table.corners / (table.corners + read.size)  # the emulated shares are a sample too
    score: Floats = np.log(table.shares) @ (counts * both)
    chance = np.exp(score - score.max())
    weight: Floats = chance / chance.sum()
    return weight


def _effective(chance: Floats) -> float:
    return float(1.0 / np.square(chance).sum())


@one_thread
def fit(table: Table, runouts_um: ArrayLike) -> Fit:
    """Fit a population to audited runouts.

    Parameters
    ----------
    table : Table
    runouts_um : array_like, shape (n,)
        As read, as found, one a corner, drawn without choosing. [um TIR]

    Returns
    -------
    Fit

    Raises
    ------
    BadInput
        For too few or impossible runouts, or where no scales agree with them.

    Notes
    -----
    Bayes' rule: each draw of the scales weighed by the multinomial likelihood of the readings in `BINS` bins.
    """
    read = need_enough(runouts_um)
    chance = _chance(table, read)
    effective = _effective(chance)
    if effective < LEAST_EFFECTIVE:
        reason = f"hardly any scales of this population agree with these runouts (median {np.median(read):.0f} µm)"
        raise BadInput(Fault(reason, key="--audit", allowed="a population nearer to what was read"))
    return Fit(
        _scales(table.scales, chance),
        _band(table.over, chance),
        _band(table.over_cleaned, chance),
        table.assumed,
        _together(np.log(table.scales), chance),
        effective,
        read.size,
    )


def _scales(thetas: Floats, chance: Floats) -> tuple[Fitted, ...]:
    out = []
    for k, name in enumerate(SCALES):
        low, middle, high = _band(thetas[:, k], chance)
        logs = np.log(thetas[:, k])
        sd = np.sqrt(chance @ np.square(logs - chance @ logs))
        out.append(Fitted(name, low, middle, high, bool(sd < LEARNT * _PRIOR[k])))
    return tuple(out)


def _band(values: Floats, chance: Floats) -> tuple[float, float, float]:
    tail = (1.0 - BAND) / 2.0
    low, middle, high = (weighted_quantile(values, chance, share) for share in (tail, 0.5, 1.0 - tail))
    return low, middle, high


def _together(logs: Floats, chance: Floats) -> dict[tuple[str, str], float]:
    from_mean = logs - chance @ logs
    covariance = (from_mean * chance[:, None]).T @ from_mean
    sd = np.sqrt(np.diag(covariance))
    names = list(SCALES)
    return {
        (names[i], names[j]): float(covariance[i, j] / (sd[i] * sd[j])) for i in range(len(names)) for j in range(i)
    }
