"""How sure a forecast is: one disc driven many times with the parameters that nobody knows drawn from their ranges.

The ranges (`sim.wear.ranges`) are wide, so the bands are, and that is honest. One measured drag torque, or one measured
thickness variation at a known distance, narrows them: every draw is weighted by how well it explains the measurement
(importance weighting).
"""

from __future__ import annotations

import os
from collections.abc import Callable, Mapping, Sequence
from concurrent.futures import ThreadPoolExecutor, wait
from dataclasses import dataclass, replace
from typing import Any, TypeVar

import numpy as np
from numpy.typing import NDArray

from sim.arrays import Floats
from sim.errors import BadInput, Fault, Refused
from sim.progress import Progress
from sim.uniform_draws import evenly_about
from sim.units import is_finite_number, shown
from sim.wear.brake import COARSE, Brake, Fineness
from sim.wear.disc import WearProblem, make_problem
from sim.wear.grid import fitted
from sim.wear.march import March, march, rates_at, states_at
from sim.wear.ranges import draw, drawn_for
from sim.wear.worn_state import WORK, drag_of, dtv_of

Answer = TypeVar("Answer")
TOLD_EVERY_S = 2.0  # something is said of draws that take longer than this; judgement

#: Name of the runout itself among what is drawn, where the mounting is not known for sure. Its values are TIR. [um]
MOUNTED = "mounted runout"
#: And of what a worn disc varies by at the start, where a micrometer read it. [um]
STARTED = "thickness variation at the start"

#: Part of the answer that the model itself leaves open when it is compared with one measurement. Judgement.
CHECK = "check runout, duty and reading"
CALIPER_DRAGS = (
    "a drag that runout does not make is the caliper's: the caliper first, slides, pistons and hose, then the park "
    "brake; read the drag again"
)
MODEL_DOUBT = 0.15
#: A measurement that leaves fewer equivalent draws than this gets more of them, up to the limit.
ENOUGH_DRAWS = 40.0
MOST_DRAWS = 1024
# Averaged turns that one draw may cost: hundreds are driven, on a coarser grid. Usual ones take 80 to 220; judgement.
MOST_DRAWN_TURNS = 1000


@dataclass(frozen=True)
class Evidence:
    """One measurement that narrows the band.

    Parameters
    ----------
    kind : {"drag_nm", "dtv_um"}
        Drag torque with the brake released, or thickness variation.
    value : float
    distance_km : float
        When, counted from the start of the forecast.
    uncertainty : float
        Standard uncertainty of the reading, same unit; the model's own doubt (15 % of the value) is added.
    """

    kind: str
    value: float
    distance_km: float
    uncertainty: float


@dataclass(frozen=True, eq=False)
class Draws:
    """The same disc driven with many parameter sets.

    Parameters
    ----------
    names : tuple of str
        Parameters drawn.
    values : ndarray, shape (draws, parameters)
        In the units of ``Brake``; last columns for the runout and the start where those are drawn. [um]
    dtv_um, drag_nm : ndarray, shape (draws, k)
    weight : ndarray, shape (draws,)
        Sums to 1.
    """

    names: tuple[str, ...]
    values: Floats
    dtv_um: Floats
    drag_nm: Floats
    weight: Floats

    @property
    def equivalent(self) -> float:
        """Number of equally weighted draws that would be worth as much (Kish).

        No unit. L. Kish, Survey Sampling (1965; from memory): one over the sum of squared weights.
        """
        return float(1.0 / np.sum(self.weight**2))


@dataclass(frozen=True, eq=False)
class Disc:
    """The disc whose wear is drawn: runout of the mean plane and heights of the faces, rotor frame.

    Parameters
    ----------
    runout_mm : ndarray, shape (n,)
    radius_mm : float
        Where the runout was read.
    height_mm : ndarray, shape (2, m)
    friction, revolutions_per_km : float
    gauge_radius_mm : float, optional
        Where thickness is measured; where the runout was read unless given.
    others_mm : ndarray, shape (k, n), optional
        Runouts that the disc may have instead, all equally likely, where its mounting is not known for sure.
    starts_um : ndarray, shape (j,), optional
        Thickness variations that it may start with instead, all equally likely, where a micrometer read it.
    """

    runout_mm: Floats
    radius_mm: float
    height_mm: Floats
    friction: float
    revolutions_per_km: float
    gauge_radius_mm: float | None = None
    others_mm: Floats | None = None
    starts_um: Floats | None = None

    def starting_at(self, um: float) -> Disc:
        """The disc with its wear grown or shrunk about its thickest places, so that it varies by this. [um].

        In proportion: where it is thin is as it was read, by how much is not known (judgement).
        """
        read_um = 1e3 * float(np.ptp(self.height_mm.sum(axis=0)))
        if not read_um:
            return self
        top = self.height_mm.max(axis=1, keepdims=True)
        return replace(self, height_mm=top + um / read_um * (self.height_mm - top))


def bands_fineness(brake: Brake) -> Fineness:
    """How finely the draws behind a band are driven: `COARSE`, its angles fitted to the arc of the pad."""
    return replace(COARSE, angles=fitted(brake.arc_rad, COARSE.angles))


def follow(
    disc: Disc, brake: Brake, distance_km: Floats, fineness: Fineness | None = None
) -> tuple[WearProblem, March, Floats]:
    """Drive one disc with one parameter set, as coarsely as bands are unless told; thickness variation. [um].

    Archard's law marched (`sim.wear.march`); distance over the wheel's rolling circumference gives turns.
    """
    where = disc.gauge_radius_mm
    fineness = bands_fineness(brake) if fineness is None else fineness
    problem = make_problem(brake, disc.runout_mm, disc.radius_mm, disc.height_mm, fineness, where)
    turns = distance_km * disc.revolutions_per_km
    marched = march(problem, float(turns[-1]), most_turns=MOST_DRAWN_TURNS)
    return problem, marched, dtv_of(problem, states_at(marched, turns))


def spread(
    disc: Disc,
    brake: Brake,
    distance_km: Floats,
    count: int,
    seed: int,
    progress: Progress | None = None,
) -> Draws:
    """Drive the disc ``count`` times with drawn parameters, on all cores; same seed, same result to the bit.

    Parameters
    ----------
    disc : Disc
    brake : Brake
    distance_km : ndarray, shape (k,)
        Where the thickness variation is wanted, rising.
    count, seed : int
    progress : callable, optional

    Returns
    -------
    Draws
        All of equal weight.

    Notes
    -----
    Distances in km, thickness variation in um. Latin hypercube.
    Sources of the ranges stand in `sim.wear.ranges.RANGES`.
    """
    ranges, values = draw(brake, count, seed, drawn_for(brake), evenly_about)
    names = tuple(item.name for item in ranges)
    mounted = np.zeros(count, dtype=np.int64)
    if disc.others_mm is not None:
        mounted = _evenly(len(disc.others_mm), count, seed)
    started = np.zeros(count)
    if disc.starts_um is not None:
        started = disc.starts_um[_evenly(len(disc.starts_um), count, seed + 1)]

    def one(row: Floats) -> tuple[Floats, Floats]:
        changed: dict[str, Any] = {item.field: float(v) for item, v in zip(ranges, row, strict=False)}
        put = disc if disc.others_mm is None else replace(disc, runout_mm=disc.others_mm[int(row[-2])])
        put = put if disc.starts_um is None else put.starting_at(float(row[-1]))
        problem, marched, dtv = follow(put, replace(brake, **changed), distance_km)
        rates = rates_at(marched, distance_km * disc.revolutions_per_km, WORK)
        return dtv, drag_of(problem, rates, disc.friction)

    found = on_all_cores(one, np.column_stack([values, mounted, started]), "drawing the unsettled parameters", progress)
    dtv, drag = (np.array(column) for column in zip(*found, strict=True))
    if disc.others_mm is not None:
        names = (*names, MOUNTED)
        values = np.column_stack([values, 1e3 * np.ptp(disc.others_mm, axis=1)[mounted]])
    if disc.starts_um is not None:
        names, values = (*names, STARTED), np.column_stack([values, started])
    return Draws(names, values, dtv, drag, np.full(count, 1.0 / count))


def _evenly(kinds: int, count: int, seed: int) -> NDArray[np.int64]:
    """Which of some kinds each draw has: each as often as any other, in an order of its own. Shape (count,)."""
    return np.random.default_rng((seed, kinds)).permutation(count) % kinds


def on_all_cores(one: Callable[[Floats], Answer], rows: Floats, what: str, progress: Progress | None) -> list[Answer]:
    """Answer every row, several at a time (the compiled part runs free of the interpreter lock), in order.

    Parameters
    ----------
    one : callable
        Called with one row; must not depend on the others.
    rows : ndarray, shape (count, ...)
    what : str
        For the progress line.
    progress : callable, optional

    Returns
    -------
    list
        One answer a row.

    Notes
    -----
    Units as the rows'; nothing is computed here (by definition the same as one after the other).
    """
    answers: list[Answer] = []

    def tell() -> None:
        if progress is not None:
            progress(len(answers) / len(rows), what)

    pool = ThreadPoolExecutor(max_workers=os.cpu_count())
    try:
        for answer in [pool.submit(one, row) for row in rows]:
            while wait([answer], timeout=TOLD_EVERY_S).not_done:
                tell()  # a row alone may take longer than anybody waits without a word
            answers.append(answer.result())
            tell()
    finally:
        # Interrupted or refused: what has not begun is not begun any more.
        pool.shutdown(wait=True, cancel_futures=True)
    return answers


def narrowed(draws: Draws, distance_km: Floats, evidence: Sequence[Evidence]) -> Draws:
    """Weight every draw by how well it explains what was measured.

    Parameters
    ----------
    draws : Draws
    distance_km : ndarray, shape (k,)
        Distances of the draws.
    evidence : sequence of Evidence

    Returns
    -------
    Draws
        With new weights.

    Raises
    ------
    BadInput
        For an unknown kind, an impossible value, or a distance beyond the forecast.
    Refused
        If no draw comes near the measurement.

    Notes
    -----
    Thickness variation in um, drag in N m. Likelihood of a normal reading error with the model's own doubt beside it
    (`MODEL_DOUBT`, judgement); importance weights.
    """
    log = np.log(draws.weight)
    for item in evidence:
        check_evidence(item, float(distance_km[-1]))
        curves = draws.drag_nm if item.kind == "drag_nm" else draws.dtv_um
        seen = np.array([np.interp(item.distance_km, distance_km, row) for row in curves])
        doubt = np.hypot(item.uncertainty, MODEL_DOUBT * item.value)
        away = (seen - item.value) / doubt
        if float(np.min(np.abs(away))) > 3.0:
            drags = item.kind == "drag_nm" and item.value > float(seen.max())
            raise Refused(
                f"no parameter set within its range gives {item.kind} {item.value:g} at {item.distance_km:g} km "
                f"(the draws reach {seen.min():.3g} .. {seen.max():.3g}): {CALIPER_DRAGS if drags else CHECK}"
            )
        log = log - 0.5 * away**2
    weight = np.exp(log - log.max())
    return replace(draws, weight=weight / weight.sum())


def check_evidence(item: Evidence, furthest_km: float) -> None:
    """Refuse a measurement that cannot be.

    Raises
    ------
    BadInput
        Every fault of it at once.
    """
    faults = []
    if item.kind not in ("drag_nm", "dtv_um"):
        faults.append(Fault(f"measured {shown(item.kind)}", key="evidence.kind", allowed="drag_nm, dtv_um"))
    if not (is_finite_number(item.value) and item.value >= 0.0):
        faults.append(Fault(f"measured {shown(item.value)}", key="evidence.value", allowed="0 or more"))
    if not (is_finite_number(item.uncertainty) and item.uncertainty > 0.0):
        faults.append(Fault(f"uncertainty {shown(item.uncertainty)}", key="evidence.uncertainty", allowed="above 0"))
    if not (is_finite_number(item.distance_km) and 0.0 <= item.distance_km <= furthest_km):
        allowed = f"0 .. {furthest_km:g} km"
        faults.append(Fault(f"{shown(item.distance_km)} km", key="evidence.distance_km", allowed=allowed))
    if faults:
        raise BadInput(faults)


def crossing_km(distance_km: Floats, dtv_um: Floats, limit_um: float) -> Floats:
    """First distance at which each draw reaches the limit; infinite where it does not within the forecast.

    Parameters
    ----------
    distance_km : ndarray, shape (k,)
    dtv_um : ndarray, shape (draws, k)
    limit_um : float

    Returns
    -------
    ndarray, shape (draws,)
        [km]

    Notes
    -----
    Straight lines between the distances (judgement: the forecast's steps are short against its curve).
    """
    over = dtv_um >= limit_um
    first = np.argmax(over, axis=1)
    out = np.full(dtv_um.shape[0], np.inf)
    for row in np.nonzero(over.any(axis=1))[0]:
        k = int(first[row])
        if k == 0:
            out[row] = distance_km[0]
            continue
        low, high = dtv_um[row, k - 1], dtv_um[row, k]
        out[row] = distance_km[k - 1] + (limit_um - low) / (high - low) * (distance_km[k] - distance_km[k - 1])
    return out


def rank_influence(draws: Draws, answer: Floats) -> Mapping[str, float]:
    """How strongly each parameter moves an answer: Spearman's rank correlation over the draws.

    Parameters
    ----------
    draws : Draws
    answer : ndarray, shape (draws,)
        May hold infinities: they rank last.

    Returns
    -------
    mapping of str to float
        -1 .. 1, strongest first.
    """
    ranked = _ranks(answer)
    found = {name: _correlation(_ranks(draws.values[:, i]), ranked) for i, name in enumerate(draws.names)}
    return dict(sorted(found.items(), key=lambda pair: -abs(pair[1])))


def _ranks(values: Floats) -> Floats:
    _, inverse, count = np.unique(values, return_inverse=True, return_counts=True)
    return np.asarray((np.cumsum(count) - 0.5 * (count - 1))[inverse], dtype=float)


def _correlation(a: Floats, b: Floats) -> float:
    a, b = a - a.mean(), b - b.mean()
    size = float(np.sqrt(np.sum(a**2) * np.sum(b**2)))
    return float(np.sum(a * b)) / size if size > 0.0 else 0.0
