"""How a bare hub face leans, what stands up on it left out, and where it stands against its limit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from sim import turn as ring
from sim.arrays import Floats, read_only
from sim.bench.after_indexing import SMOOTH_UM
from sim.bench.low_spot import levelled_um, low_places_deg
from sim.bench.shown_face import Shown, shown
from sim.bench.third_turn import one_turn_um, third_hardly_matters
from sim.bench.turn_to_turn import turn_to_turn
from sim.files.clean_turn import LIP_DEG, LIP_SD_UM, LIP_UM, NOISE_UM, fit, lip_shape, looks, reading_sd
from sim.files.dial_readings import Readings, Trace
from sim.files.reading_faults import STANDS_UP, Turn, slips
from sim.files.readings_rows import AGAIN, CLEANED
from sim.one_thread import one_thread
from sim.parts.case import Limits, usual_hub_face_limit_um
from sim.parts.dial import ABOVE, COARSE_UM, COVERAGE, TOO_CLOSE, against_limit
from sim.parts.middle_turn import as_many
from sim.parts.thickness import MEAN_OF, PLACES

# Leaving places out makes the fit look better than it is; its variance is widened by this. Judgement, from simulation.
WIDER = 1.3
# Standard deviation of a component of these orders of a clean hub face. Judgement, half to double.
UNEVEN_UM = {2: 4.0, 3: 1.6}
# Second order of so many standard deviations is told from none; judgement.
TOLD_SDS = 3.0
# Fewer places than this cannot tell a second wave from a bad one; judgement.
LEAST_FOR_WAVES = 8


@dataclass(frozen=True)
class Lean:
    """Lean of a bare hub face, places that stand up left out.

    Parameters
    ----------
    orders : ndarray of complex, shape (2,)
        Mean and first order at the radius of the trace. [um]
    sd_um : float
        Standard deviation of a component of the first order. [um]
    bumps_deg : tuple of float
        Hub angles at which something stood up: look there. [deg]
    lips : bool
        Whether the face stands up at its bolt holes, as many healthy ones do; places there hardly count.
    wavy_um, wavy_doubt_um : float
        Runout of its first and second order together, where the second is told from none, and its uncertainty (k = 2);
        else nought. [um TIR]
    """

    orders: NDArray[np.complex128]
    sd_um: float
    bumps_deg: tuple[float, ...]
    lips: bool = False
    wavy_um: float = 0.0
    wavy_doubt_um: float = 0.0


def lean_of(
    angle_deg: Floats, value_um: Floats, dial_um: float, noise_um: float = NOISE_UM, studs: int = 0, turns: int = 1
) -> Lean:
    """First order of a bare hub face that may carry dirt.

    Parameters
    ----------
    angle_deg, value_um : ndarray, shape (k,)
        Readings, + towards. [deg, um]
    dial_um : float
        Step of the dial. [um]
    noise_um : float
        Standard deviation of one reading. [um]
    studs : int
        Bolt holes, the first at nought degrees; 0 where that is not known.
    turns : int
        Of which the readings are the middle.

    Returns
    -------
    Lean

    Notes
    -----
    Places that `sim.files.reading_faults.slips` names are left out: where the face stands up, or was misread. Where
    lips at the bolt holes explain the turn better than none, places at a hole count by what their lip leaves uncertain.

    Weighted least squares; which places are left out is weighed in `sim.files.reading_faults`, its priors are
    judgement.
    """
    places, values = (np.asarray(one, dtype=float).tobytes() for one in (angle_deg, value_um))
    return _lean(places, values, float(dial_um), noise_um, studs, turns)


@lru_cache(maxsize=128)  # one face is asked a dozen times on the way to one order
def _lean(places: bytes, values: bytes, dial_um: float, noise_um: float, studs: int, turns: int) -> Lean:
    """What `lean_of` answers, by what its answer follows from."""
    angle_deg, value_um = np.frombuffer(places), np.frombuffer(values)
    sigma = reading_sd(dial_um, noise_um)
    turn = Turn("hub face", "hub face", angle_deg, value_um)
    found = slips(turn, dial_um, studs)
    out = {angle for fault in found for angle in fault.left_out_deg}
    bumps = tuple(sorted({a for fault in found if fault.fault == STANDS_UP for a in fault.left_out_deg}))
    kept = ~np.isin(angle_deg, sorted(out))
    clean = looks(angle_deg[kept], dial_um, studs)
    likely = clean.log_likelihood(value_um[kept])
    share = np.exp(likely - likely.max())
    lips = bool(share[clean.holes].sum() > share[~clean.holes].sum())
    weights = kept.astype(float)
    if lips:
        felt = lip_shape(angle_deg, studs, LIP_DEG[-1]).any(axis=1)
        weights[kept & felt] = sigma**2 / (sigma**2 + LIP_SD_UM**2 + LIP_UM**2)
    fitted = fit(angle_deg, value_um, 1, weights, sigma)
    sd = _of_mean_um(float(fitted.sd_um[1]), turns) * (np.sqrt(WIDER) if out else 1.0)
    sd = float(np.hypot(sd, leak_um(angle_deg, weights)))
    wavy = _wavy_um(angle_deg, value_um, weights, sigma, turns)
    return read_only(Lean(fitted.orders, sd, bumps, lips, *wavy))


def _of_mean_um(one_um: float, turns: int) -> float:
    """Standard deviation of an order's component from the middle of turns, of that of one turn.

    The dial's smooth error along its travel (`SMOOTH_UM`) is in every turn alike: that part stays (JCGM 100, 4.2). [um]
    """
    stays = min(one_um, SMOOTH_UM)
    return float(np.sqrt(stays**2 + (one_um**2 - stays**2) / as_many(turns)))


def _wavy_um(angle_deg: Floats, value_um: Floats, weights: Floats, sigma_um: float, turns: int) -> tuple[float, float]:
    """Runout of a face of two waves a turn and its uncertainty (k = 2), places that stand up left out; else noughts."""
    if np.unique(angle_deg[weights > 0.0] % 360.0).size < LEAST_FOR_WAVES:
        return 0.0, 0.0
    fitted = fit(angle_deg, value_um, 2, weights, sigma_um)
    sd = [_of_mean_um(float(one), turns) for one in fitted.sd_um]
    if abs(complex(fitted.orders[2])) <= TOLD_SDS * sd[2]:
        return 0.0, 0.0
    doubt = COVERAGE * 2.0 * float(np.hypot(sd[1], sd[2]))
    return ring.tir(ring.trace(fitted.orders)), doubt


def face_runout_um(lean: Lean, creep_um: float) -> tuple[float, float]:
    """Runout of a bare face by its lean, and its uncertainty (k = 2). [um TIR].

    Parameters
    ----------
    lean : Lean
    creep_um : float
        As for `face_sd_um`.

    Notes
    -----
    Twice an amplitude and twice its standard deviation, k = 2 (JCGM 100).
    """
    return 2.0 * abs(complex(lean.orders[1])), COVERAGE * 2.0 * face_sd_um(lean, creep_um)


@dataclass(frozen=True)
class HubFace:
    """Bare hub face against its limit, by the rule of `sim.bench.cures`.

    Parameters
    ----------
    runout_um, uncertainty_um, limit_um : float
        Where it was read; by its lean, with its second wave where only that is over the limit, or as the dial showed
        it where a fit would acquit an uneven face; k = 2. [um TIR]
    state : {"below", "above", "too close to tell"}
        Near its limit the middle of `MEAN_OF` turns counts as over it where it lies over it; not before it was looked
        at, where the dial alone shows it.
    radius_mm, gauge_radius_mm : float
        Of the dial on the hub face and on the rotor. [mm]
    lean_um, lean_uncertainty_um : float
        Runout by its lean alone, k = 2: that goes on to the rotor's dial. [um TIR]
    times : int
        How often the finest dial read it so: the middle of so many decides near its limit.
    dial_um : float
        Step of the finest dial that read it so. [um]
    turns : int
        Of which the runout is the middle.
    stated : bool
        Whether somebody gave that limit; else it is common practice, or worked out from the mounted runout's.
    as_shown : Shown or None
        What the dial showed of it, no place left out but low spots.
    uneven : bool
        Whether that, and no fit, is held against the limit.
    to_look_at : bool
        Whether no dial tells if what it showed lies on the seat, and nobody looked yet: neither over nor under.
    coarse : bool
        Whether a division of its dial hides on which side of its limit it is: no turns of that dial tell it.
    as_found : bool
        Whether that is so as its rows say that it was read as found: dirt reads so too.
    spared : bool
        Whether it was read twice near its limit and a third turn hardly takes it over: see `sim.bench.third_turn`.
    coarser : int
        Turns of coarser dials beside the finest one's that read it alike.
    """

    runout_um: float
    uncertainty_um: float
    limit_um: float
    state: str
    radius_mm: float
    gauge_radius_mm: float
    lean_um: float
    lean_uncertainty_um: float
    times: int = 1
    dial_um: float = 10.0
    turns: int = 1
    stated: bool = False
    as_shown: Shown | None = None
    uneven: bool = False
    to_look_at: bool = False
    coarse: bool = False
    as_found: bool = False
    spared: bool = False
    coarser: int = 0

    @property
    def alike(self) -> int:
        """How often it was read so, by whatever dial. By definition."""
        return self.times + self.coarser

    @property
    def wanted(self) -> int:
        """Turns still wanted near its limit: a hub is bought by the finest dial's, left on by all. Judgement."""
        return max(MEAN_OF - (self.times if self.runout_um > self.limit_um else self.alike), 0)

    @property
    def let_be(self) -> bool:
        """Whether it is near its limit and no more is asked of it before a rotor is left on; nothing is bought so."""
        return self.at_last or (self.state == TOO_CLOSE and self.spared)

    @property
    def at_last(self) -> bool:
        """Whether it was read out and its middle stands under the limit by less than it is uncertain."""
        return self.state == TOO_CLOSE and self.read_out

    @property
    def counted(self) -> bool:
        """Whether it counts as over its limit by the side on which the middle of its turns lies alone."""
        return self.state == ABOVE and self.runout_um - self.uncertainty_um < self.limit_um

    @property
    def read_out(self) -> bool:
        """Whether no more is asked of it: near its limit after `MEAN_OF` turns that agree, else two, or a fine dial.

        No hub is bought by one turn, of whatever dial.
        """
        if self.to_look_at or self.coarse:
            return False
        near = self.state == TOO_CLOSE or self.counted
        return self.wanted == 0 if near else self.alike > 1 or (self.dial_um <= COARSE_UM and self.state != ABOVE)

    @property
    def read_on(self) -> bool:
        """Whether it is neither over nor under its limit before somebody looked at it or read it on."""
        return self.state == TOO_CLOSE and not self.read_out

    @property
    def first(self) -> bool:
        """Whether turns of its dial tell it on, near its limit: they come before a stud that is chosen by it."""
        return self.read_on and not (self.let_be or self.to_look_at or self.coarse)

    @property
    def wavy(self) -> bool:
        """Whether its second wave, and not its lean, takes it over the limit."""
        return self.runout_um != self.lean_um and not (self.uneven or self.coarse)


def lean_read(trace: Trace, readings: Readings) -> Lean:
    """First order of a bare hub face of these readings, see `lean_of`. [um].

    Parameters
    ----------
    trace : Trace
        The bare face that counts, of `Readings.bare_face`.
    readings : Readings
        For its dial and the bolt holes.

    Notes
    -----
    The one way in which every command takes it (weighted least squares, JCGM 100).
    """
    step = readings.step_um(trace)
    return lean_of(trace.angle_deg, trace.value_um, step, studs=readings.studs, turns=trace.turns)


def face_against_limit(readings: Readings, limits: Limits, radii_mm: tuple[float, float]) -> HubFace | None:
    """Hold a bare hub face against its limit; None where nobody read it.

    Parameters
    ----------
    readings : Readings
    limits : Limits
    radii_mm : (float, float)
        Of the dial on the hub face and on the rotor. [mm]

    Notes
    -----
    The rule of `sim.bench.cures`; without a limit of its own, that of the mounted runout brought to its radius. A low
    spot that was read twice is left out: `sim.bench.low_spot`. [um]
    """
    trace = readings.bare_face
    if trace is None:
        return None
    lean, step = lean_read(trace, readings), readings.step_um(trace)
    turns = [one for one in readings.bare_turns if readings.step_um(one) == step]
    times = len(turns)  # a coarser dial's turns are not in the middle that decides
    by_lean = face_runout_um(lean, trace.creep_um)
    limit = limits.hub_face_runout_um or usual_hub_face_limit_um(limits.mounted_runout_um, *radii_mm)
    runout, doubt = held_against(lean, by_lean, limit)
    state = _state(runout, doubt, limit, times)
    low = low_places_deg(trace, readings)
    carries = levelled_um(trace, ring.evaluate(lean.orders, np.radians(trace.angle_deg)), low)
    own = turn_to_turn(turns)
    dial = shown(trace.angle_deg, carries, step, trace.turns, own)
    near = (dial.uneven or dial.may_be) and dial.runout_um + dial.doubt_um > limit
    showed = near or (dial.read_um > limit and _mostly_over(readings.bare_turns, limit))
    as_shown = showed and dial.runout_um > runout and runout - doubt < limit
    if as_shown:
        runout, doubt = dial.runout_um, dial.doubt_um
        state = _state(runout, doubt, limit, times)
    # No dial tells what it shows there from what lies on the seat: neither over nor under before somebody looked.
    coarse = hides(dial.read_um, step, limit)
    to_look_at = as_shown and (dial.uneven or (state == ABOVE and not coarse)) and not looked_at(readings)
    coarse = coarse and not to_look_at
    if coarse:
        runout, doubt, state = dial.read_um, max(doubt, step), TOO_CLOSE
    only_leans = not (dial.uneven or as_shown or coarse or lean.lips or lean.bumps_deg or low or dial.places < PLACES)
    twice = times == trace.turns == len(readings.bare_turns) == MEAN_OF - 1 and state == TOO_CLOSE and only_leans
    leans = [complex(lean_read(one, readings).orders[1]) for one in turns] if twice else []
    return HubFace(
        runout,
        doubt,
        limit,
        TOO_CLOSE if to_look_at else state,
        *radii_mm,
        *by_lean,
        times,
        step,
        trace.turns,
        limits.hub_face_runout_um is not None,
        dial,
        as_shown,
        to_look_at,
        coarse,
        spared=third_hardly_matters(leans, runout, limit, one_turn_um(trace, step, own)),
        coarser=len(readings.bare_turns) - times,
    )


def hides(read_um: float, step_um: float, limit_um: float) -> bool:
    """Whether a dial is so coarse that the face may stand on the other side of its limit than it shows. [um TIR].

    Notes
    -----
    Two readings in one division differ by as much as that, so highest less lowest by one more or less than was read
    (geometry), and turns rounded alike have the same middle. Divisions up to half of the limit are left to scatter and
    its middle; judgement.

    Examples
    --------
    >>> hides(0.0, 25.4, 18.0), hides(0.0, 12.7, 23.0), hides(12.7, 12.7, 23.0), hides(20.0, 10.0, 23.0)
    (True, False, True, False)
    >>> hides(25.0, 25.0, 23.0), hides(50.0, 25.0, 23.0), hides(25.0, 10.0, 23.0)
    (True, False, False)
    """
    return step_um > limit_um / 2.0 and read_um - step_um <= limit_um < read_um + step_um


def _mostly_over(turns: Sequence[Trace], limit_um: float) -> bool:
    """Whether of `MEAN_OF` turns and more most show more than the limit; fewer are left to be read on. [um TIR].

    The highest middle less the lowest, each of another turn's scatter, may be more than most of the turns showed.
    """
    over = sum(ring.tir(one.value_um) > limit_um for one in turns)
    return len(turns) < MEAN_OF or 2 * over > len(turns)


def _state(runout_um: float, doubt_um: float, limit_um: float, times: int) -> str:
    """Where it stands; the middle of enough turns counts as over where it lies over."""
    return ABOVE if times >= MEAN_OF and runout_um > limit_um else against_limit(runout_um, limit_um, doubt_um)


def looked_at(readings: Readings) -> bool:
    """Whether a clean bare face was looked at and read again: by rule, ``cleaned again`` behind ``cleaned``.

    Parameters
    ----------
    readings : Readings

    Notes
    -----
    One that was read ``cleaned again`` alone counts so once it was read `MEAN_OF` times; judgement.
    """
    states = [one.state for one in readings.with_parts_of("hub face")]
    return states[-1:] == [AGAIN] and (CLEANED in states or states.count(AGAIN) >= MEAN_OF)


def held_against(lean: Lean, by_lean_um: tuple[float, float], limit_um: float) -> tuple[float, float]:
    """Find what of a bare face is held against its limit: its lean, or its waves where they alone are over it.

    Parameters
    ----------
    lean : Lean
    by_lean_um : (float, float)
        What `face_runout_um` gives of it. [um TIR]
    limit_um : float

    Returns
    -------
    (float, float)
        Runout and its uncertainty (k = 2). [um TIR]

    Notes
    -----
    A limit of runout is of the whole turn (ISO 1101); places that stand up, as lips at bolt holes do, are left out.
    """
    over = lean.wavy_um > limit_um >= by_lean_um[0]
    return (lean.wavy_um, lean.wavy_doubt_um) if over else by_lean_um


def face_sd_um(lean: Lean, creep_um: float) -> float:
    """Standard deviation of a component of the first order of a bare face, the dial's creep of one turn in it. [um].

    Parameters
    ----------
    lean : Lean
    creep_um : float
        Of the dial in the turn: it adds d/pi to one component of the first order. [um]

    Notes
    -----
    As independent (JCGM 100).
    """
    return float(np.hypot(lean.sd_um, creep_um / (np.pi * np.sqrt(2.0))))


@one_thread
def leak_um(angle_deg: Floats, weights: Floats) -> float:
    """What an uneven face may leave in its first order where places are not even or do not count alike.

    Parameters
    ----------
    angle_deg, weights : ndarray, shape (k,)
        Places, and what each counts. [deg]

    Returns
    -------
    float
        Standard deviation of a component of the first order, of second and third orders of `UNEVEN_UM`; nought for
        even places that all count. [um]

    Notes
    -----
    Propagation of a covariance through least squares (JCGM 100); sizes of the orders are judgement (`UNEVEN_UM`).
    """
    matrix = ring.design_matrix(angle_deg, 1)
    solved = np.linalg.solve(matrix.T @ (weights[:, None] * matrix), (weights[:, None] * matrix).T)
    apart = np.radians(angle_deg[:, None] - angle_deg)
    spread = sum(size**2 * np.cos(order * apart) for order, size in UNEVEN_UM.items())
    return float(np.sqrt(max(np.trace((solved @ spread @ solved.T)[1:, 1:]) / 2.0, 0.0)))
