"""Two sweeps of the dial and a chalk mark: what stayed with the hub, what went with the rotor, which hole to try.

A sweep is one turn of the rotor past the dial: runout, and where on the hub its high and its low spot stand. Places are
hours of a clock face with stud 1 at twelve, seen from outside; studs and holes count counter-clockwise, as everywhere.
The same arithmetic stands in the page (`scenes/pages/templates/chalk.js`); a test holds the two against each other.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import chdtri

from sim.bench.after_indexing import COVERAGE, MOUNT_SCATTER_UM
from sim.errors import BadInput, Fault

# What higher orders, dial and rounding add to the runout over twice the first order, and how far that scatters.
# Judgement, from simulated turns of a 0.01 mm dial. [um TIR]
REST_UM, REST_SD_UM = 5.0, 5.0
# How far one chalk mark stands off the crest: a flat crest, and a clock read to the half hour. Judgement, 8 .. 20.
MARK_DEG = 14.0
# Before anything was read: standard deviation of a component of either share. Judgement, wide on purpose. [um]
SHARE_UM = 60.0
# A hole that was not swept yet is tried where it turns out lower than the least that was read this often, by at least
# this much; the rotor goes back where it reads more than at another hole by this much. Judgement, from
# `python -m tests.studies.chalk`: trying costs minutes and is read again.
SURE, GAIN_UM = 0.5, 3.0
# Where the last sweep reads this much more than the first, the rotor is not left so: it is put on once more and swept;
# up to twice as much is left where it was put on three times. Half a division of the usual dial. Judgement, from the
# same study. [um TIR]
WORSE_UM = 5.0
# One share is called the larger where it is so nine times of ten (normal distribution, one-sided).
ONE_SIDED = 1.2816
# Three sweeps or more contradict one hub and one rotor at this chi-square tail.
TAIL = 0.01
# High and low spot this far from opposite: more than one hump, and a chalk mark says too little. Two waves put the
# marks 90 degrees off; dial steps and the hand do so to a small lean. So the lesser angle counts where two holes show
# it, from the lesser runout on, and the greater at once. Judgement, from drawn sweeps: tests/studies/chalk.py.
HUMPS_DEG, LEANS_DEG, HUMPS_UM = 120.0, 60.0, 30.0
# What drops to this share of another sweep, unforeseen, may be a slip of the decimal point: it is swept once more.
DROP = 0.2
# So many sweeps; after that the rotor goes back to the hole where it read least.
MOST_SWEEPS = 6
# Less than this no turn on a car spans, and no limit is: the unit is another. Judgement. [um]
LEAST_UM, LEAST_LIMIT_UM = 2.0, 5.0
MOST_UM = 1000.0  # a rotor clamped on dirt reads less, one that hangs on its spigot more; judgement
FEWEST_STUDS, MOST_STUDS = 3, 8
POINTS = 400

STUD, ROTOR, BOTH, UNKNOWN, NEITHER = "stud", "rotor", "both", "cannot tell", "neither"
FIRST, CLEAN, TRY, BACK = "move on", "clean", "try", "go back"
DONE, KEEP, AGAIN, ENOUGH = "done", "keep", "read again", "enough"
CONFIRM, SEAT, PLACES = "sweep again", "put on again", "twelve places"


@dataclass(frozen=True)
class Sweep:
    """One turn past the dial.

    Parameters
    ----------
    holes : int
        Holes by which the rotor was moved on, counter-clockwise, from as found.
    tir_um : float
        Highest less lowest reading. [um]
    high_clock, low_clock : float
        Where they stand on the hub. [h, stud 1 at twelve]
    """

    holes: int
    tir_um: float
    high_clock: float
    low_clock: float


@dataclass(frozen=True)
class Share:
    """What stays with one part.

    Parameters
    ----------
    runout_um, uncertainty_um : float
        First order, and its half-width (80 %). [um TIR]
    high_clock : float
        High spot, on the hub, the rotor as found. [h]
    """

    runout_um: float
    uncertainty_um: float
    high_clock: float


@dataclass(frozen=True)
class Hole:
    """What the dial should show at one hole.

    Parameters
    ----------
    holes : int
        Moved on from as found.
    low_um, middle_um, high_um : float
        80 % band and its middle. [um TIR]
    clock : float
        High spot on the hub. [h]
    better : float
        Share of outcomes below the least that the dial showed at any hole.
    """

    holes: int
    low_um: float
    middle_um: float
    high_um: float
    clock: float
    better: float


@dataclass(frozen=True)
class ChalkAnswer:
    """What the sweeps say.

    Parameters
    ----------
    stays_with : str
        ``stud``, ``rotor``, ``both``, ``cannot tell`` or ``neither``.
    do : str
        ``move on`` (for the second sweep), ``clean``, ``try`` (a hole that was not swept yet), ``go back`` (to one that
        was, once, for its confirming sweep), ``done``, ``keep`` (at or below the limit), ``read again`` (sweeps that
        contradict each other; never a verdict), ``sweep again`` (where it is: it dropped unforeseen, or nothing
        confirms it), ``put on again`` (at the hole that read least: it reads more than at first), ``twelve places``
        (two humps: marks name no part) or ``enough`` (no sweep is left; to the hole where it read least).
    hole : int
        Where the rotor then stands, holes from as found; 0 where everything begins again.
    hub, rotor : Share or None
        After two sweeps at different holes.
    at : tuple of Hole
        Every hole; empty before two sweeps.
    misfit : float
        Chi-square of the sweeps against one hub and one rotor; 0 where nothing is left over, or nothing was weighed.
    """

    stays_with: str
    do: str
    hole: int
    hub: Share | None = None
    rotor: Share | None = None
    at: tuple[Hole, ...] = ()
    misfit: float = 0.0


def second_hole(studs: int) -> int:
    """Holes to move on by for the second sweep: nearest to half a turn, where hub and rotor part best.

    Two mounts tell the shares apart to s / (sqrt(2) |sin(m pi / N)|): least at half a turn (normal equations of two
    phasors).
    """
    return studs // 2


def answer(studs: int, sweeps: Sequence[Sweep], limit_um: float = 0.0, cleaned: bool = True) -> ChalkAnswer:
    """Read the sweeps, the last one where the rotor stands now.

    Parameters
    ----------
    studs : int
        Studs or bolts of the hub.
    sweeps : sequence of Sweep
        In order; the first as found, at no holes.
    limit_um : float
        Mounted runout allowed; a rotor that reads no more keeps its place, as found as well. 0: look for the best hole.
        [um TIR]
    cleaned : bool
        Whether hub face, spigot and rotor seat were clean. A rotor is never indexed round dirt.

    Returns
    -------
    ChalkAnswer

    Raises
    ------
    BadInput
        If a sweep cannot be one.

    Notes
    -----
    Sweep j reads y_j = H + R exp(2 pi i m_j / N) + scatter, in the hub's frame and counter-clockwise; H and R are
    normal with a wide prior, so the answer is the weighted normal equations of two phasors. A first order is half of
    what the runout leaves over `REST_UM`, towards the middle of the high spot and the place opposite the low one.
    Bands are quantiles over `POINTS` points that spread evenly by share.
    """
    check(studs, sweeps, limit_um)
    last = sweeps[-1]
    within = last.tir_um <= limit_um
    if _has_humps(sweeps):
        do = PLACES if cleaned else CLEAN
        return ChalkAnswer(UNKNOWN, KEEP, last.holes) if within and cleaned else ChalkAnswer(NEITHER, do, 0)
    apart = len({sweep.holes for sweep in sweeps}) > 1
    fit = _fitted(studs, sweeps)
    contradict = _contradict(len(sweeps), apart, fit.misfit)
    if contradict and not apart:
        return ChalkAnswer(NEITHER, AGAIN if cleaned else CLEAN, 0, misfit=fit.misfit)
    if within and (cleaned or len(sweeps) == 1) and not apart:
        return ChalkAnswer(UNKNOWN, KEEP, last.holes)
    if not apart:
        if len(sweeps) == MOST_SWEEPS:
            return ChalkAnswer(UNKNOWN, ENOUGH, last.holes)
        return ChalkAnswer(UNKNOWN, FIRST, (last.holes + second_hole(studs)) % studs)
    least_um = min(shown_um(sweeps).values())
    holes = tuple(_hole(studs, k, fit, least_um) for k in range(studs))
    leans = any(_off_a_lean(sweep) for sweep in sweeps)
    stays = NEITHER if contradict else UNKNOWN if leans else _stays(fit)
    do, hole = _what_to_do(sweeps, holes, limit_um, contradict) if cleaned else (CLEAN, 0)
    hub, rotor = _share(fit.hub, fit.hub_var), _share(fit.rotor, fit.rotor_var)
    return ChalkAnswer(stays, do, hole, hub, rotor, holes, fit.misfit)


def check(studs: int, sweeps: Sequence[Sweep], limit_um: float = 0.0) -> None:
    """Refuse what cannot be a sweep.

    Raises
    ------
    BadInput
        With everything that is wrong.
    """
    faults = _out_of_range(studs, limit_um)
    if not 1 <= len(sweeps) <= MOST_SWEEPS:
        faults.append(Fault(f"{len(sweeps)} sweeps", key="sweeps", allowed=f"1 to {MOST_SWEEPS}"))
    for number, sweep in enumerate(sweeps, 1):
        where = f"sweep {number}"
        if not LEAST_UM <= sweep.tir_um <= MOST_UM:
            allowed = f"{LEAST_UM:g} to {MOST_UM:g} µm; is it seated, is the unit right?"
            faults.append(Fault(f"runout of {sweep.tir_um:g} µm", key=where, allowed=allowed))
        if not 0 <= sweep.holes < studs:
            faults.append(Fault(f"{sweep.holes} holes", key=where, allowed=f"0 to {studs - 1}"))
        for clock in (sweep.high_clock, sweep.low_clock):
            if not 0.0 <= clock <= 12.0:
                faults.append(Fault(f"{clock:g} o'clock", key=where, allowed="0 to 12"))
        if sweep.high_clock % 12.0 == sweep.low_clock % 12.0:
            faults.append(Fault("high and low spot at one place", key=where, allowed="two places"))
    if sweeps and sweeps[0].holes != 0:
        faults.append(Fault("the first sweep is as found", key="sweep 1", allowed="0 holes"))
    if faults:
        raise BadInput(faults)


def check_start(studs: int, limit_um: float) -> None:
    """Refuse studs or a limit that cannot be, by the names of the command's options.

    Raises
    ------
    BadInput
        With both, where both are wrong.
    """
    if faults := _out_of_range(studs, limit_um, "--"):
        raise BadInput(faults)


def _out_of_range(studs: int, limit_um: float, before_key: str = "") -> list[Fault]:
    faults = []
    for key, value, low, high, allowed in (
        ("studs", studs, FEWEST_STUDS, MOST_STUDS, f"{FEWEST_STUDS} to {MOST_STUDS}"),
        ("limit", limit_um, LEAST_LIMIT_UM, MOST_UM, f"{LEAST_LIMIT_UM:g} to {MOST_UM:g} µm, 0 for none"),
    ):
        if not (low <= value <= high or (key == "limit" and value == 0.0)):
            faults.append(Fault(f"{value:g} is out of range", key=f"{before_key}{key}", allowed=allowed))
    return faults


def off_opposite_deg(sweep: Sweep) -> float:
    """How far the high spot stands from opposite the low one, -180 .. 180. [deg].

    By definition: a first order has its low place opposite its high one.
    """
    return (30.0 * (sweep.high_clock - sweep.low_clock) % 360.0) - 180.0


def _off_a_lean(sweep: Sweep) -> bool:
    """Whether the marks of a sweep stand as those of a lean do not."""
    return sweep.tir_um >= HUMPS_UM and abs(off_opposite_deg(sweep)) > LEANS_DEG


def _has_humps(sweeps: Sequence[Sweep]) -> bool:
    far = any(abs(off_opposite_deg(sweep)) > HUMPS_DEG for sweep in sweeps)
    return far or len({sweep.holes for sweep in sweeps if _off_a_lean(sweep)}) > 1


def first_order(sweep: Sweep) -> tuple[complex, float]:
    """First order of a sweep, counter-clockwise from stud 1, and the variance of a component. [um, um2].

    Half the runout is the amplitude, by definition; what marks by eye err by is judgement (`MARK_DEG`,
    `MOUNT_SCATTER_UM`, `REST_SD_UM`).
    """
    off = off_opposite_deg(sweep)
    amplitude = max(sweep.tir_um - REST_UM, 0.0) / 2.0
    middle = -np.radians(30.0 * sweep.high_clock - off / 2.0)
    across = amplitude * np.radians(MARK_DEG) / np.sqrt(2.0)
    humps = amplitude * np.sin(abs(np.radians(off)) / 2.0) / 2.0
    variance = MOUNT_SCATTER_UM**2 + ((REST_SD_UM / 2.0) ** 2 + across**2) / 2.0 + humps**2
    return complex(amplitude * np.exp(1j * middle)), float(variance)


@dataclass(frozen=True)
class _Fit:
    """Both shares with the covariance of a component."""

    hub: complex
    rotor: complex
    hub_var: float
    rotor_var: float
    both: complex
    misfit: float

    def at(self, turn: complex) -> tuple[complex, float]:
        """Vector and variance of a component with the rotor turned by the unit phasor."""
        return self.hub + self.rotor * turn, self.hub_var + self.rotor_var + 2.0 * (self.both * turn.conjugate()).real


def _turn(studs: int, holes: int) -> complex:
    return complex(np.exp(2j * np.pi * holes / studs))


def _fitted(studs: int, sweeps: Sequence[Sweep]) -> _Fit:
    own = 1.0 / SHARE_UM**2
    one, cross, right, turned = own, 0j, 0j, 0j
    read = [(*first_order(sweep), _turn(studs, sweep.holes)) for sweep in sweeps]
    for vector, variance, turn in read:
        one += 1.0 / variance
        cross += turn / variance
        right += vector / variance
        turned += turn.conjugate() * vector / variance
    det = one * one - abs(cross) ** 2
    hub = (one * right - cross * turned) / det
    rotor = (one * turned - cross.conjugate() * right) / det
    misfit = sum(abs(vector - hub - rotor * turn) ** 2 / variance for vector, variance, turn in read)
    return _Fit(hub, rotor, one / det, one / det, -cross / det, float(misfit))


def _contradict(count: int, apart: bool, misfit: float) -> bool:
    """Whether sweeps differ by more than one hub and one rotor allow: two numbers a sweep, at one hole two unknown."""
    spare = count - (2 if apart else 1)
    return spare > 0 and misfit > most_misfit(spare)


def most_misfit(spare: int) -> float:
    """Chi-square that one hub and one rotor still allow so many sweeps to spare (tail `TAIL`; by definition)."""
    return float(chdtri(2 * spare, TAIL))


def shown_um(sweeps: Sequence[Sweep]) -> dict[int, float]:
    """What the dial showed at each hole that was swept, in order: the mean of its sweeps. [um TIR]. By definition."""
    at: dict[int, list[float]] = {}
    for sweep in sweeps:
        at.setdefault(sweep.holes, []).append(sweep.tir_um)
    return {holes: sum(read) / len(read) for holes, read in at.items()}


def _stays(fit: _Fit) -> str:
    hub, rotor = abs(fit.hub), abs(fit.rotor)
    sd = float(np.sqrt(fit.hub_var + fit.rotor_var + 2.0 * abs(fit.both)))
    if abs(hub - rotor) > ONE_SIDED * sd:
        return STUD if hub > rotor else ROTOR
    return BOTH if min(hub, rotor) > ONE_SIDED * np.sqrt(fit.hub_var) else UNKNOWN


def _share(vector: complex, variance: float) -> Share:
    return Share(2.0 * abs(vector), 2.0 * ONE_SIDED * float(np.sqrt(variance)), _clock(vector))


def _clock(vector: complex) -> float:
    return float(-np.degrees(np.angle(vector)) / 30.0 % 12.0 % 12.0)  # a hair before twelve is twelve


def spread() -> np.ndarray:
    """Points of a two-dimensional standard normal distribution, even by share: a sunflower, shape (POINTS,).

    Closed form: Rayleigh's quantile, at golden angles (common practice for even points on a disc).
    """
    number = np.arange(POINTS) + 0.5
    points: np.ndarray = np.sqrt(-2.0 * np.log1p(-number / POINTS)) * np.exp(1j * np.pi * (3.0 - np.sqrt(5.0)) * number)
    return points


def _hole(studs: int, holes: int, fit: _Fit, least_um: float) -> Hole:
    vector, variance = fit.at(_turn(studs, holes))
    shown = REST_UM + 2.0 * np.abs(vector + np.sqrt(variance + MOUNT_SCATTER_UM**2) * spread())
    low, middle, high = np.quantile(shown, [(1 - COVERAGE) / 2, 0.5, (1 + COVERAGE) / 2])
    better = float(np.mean(shown < least_um))
    return Hole(holes, float(low), float(middle), float(high), _clock(vector), better)


def _what_to_do(sweeps: Sequence[Sweep], holes: Sequence[Hole], limit_um: float, doubtful: bool) -> tuple[str, int]:
    """The next step, and where the rotor then stands.

    No hole is tried that was swept: back to one the rotor goes for one confirming sweep, and once only; but nothing is
    left that reads more than as found.
    """
    last, shown = sweeps[-1], shown_um(sweeps)
    if doubtful:
        return AGAIN, 0
    full = len(sweeps) == MOST_SWEEPS
    foretold = sum(sweep.holes == last.holes for sweep in sweeps) > 1
    if not full and not foretold and last.tir_um <= DROP * max(sweep.tir_um for sweep in sweeps):
        return CONFIRM, last.holes
    if last.tir_um <= limit_um:
        return KEEP, last.holes
    least = min(shown, key=lambda holes: shown[holes])
    if full:
        return ENOUGH, least
    new = [hole for hole in holes if hole.holes not in shown]
    best = min(new, key=lambda hole: hole.middle_um, default=None)
    if best is not None:
        # After two sweeps none has confirmed anything: then an even chance is worth the next.
        gains = best.better >= SURE and (len(sweeps) == 2 or shown[least] - best.middle_um >= GAIN_UM)
        # No part comes before a hole that may be within the limit.
        if gains or best.low_um <= limit_um < shown[least]:
            return TRY, best.holes
    once = sum(sweep.holes == least for sweep in sweeps) == 1
    worse = shown[last.holes] - shown[least] > GAIN_UM
    if worse and once:
        return BACK, least
    seated = sum(sweep.holes == last.holes for sweep in sweeps)
    if last.tir_um - sweeps[0].tir_um >= (WORSE_UM if seated < 3 else 2.0 * WORSE_UM):
        return SEAT, least
    return (DONE if len(sweeps) > 2 else CONFIRM), last.holes
