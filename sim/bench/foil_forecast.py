"""What the dial should read with a foil in: drawn with all that is uncertain, as the class will read it.

The forecast is of the turn with the foil less the mean of the turns without, place by place: hub's and rotor's own
runout fall out of it as far as they were read.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from sim import turn
from sim.arrays import Complexes, Floats
from sim.bench.after_indexing import COVERAGE
from sim.bench.foil import BARE_TURNS, DIAL_UM, PLACES, Foil, Prescription, Trial, seated_with
from sim.bench.mountings import SCATTER_UM
from sim.errors import Refused
from sim.files.clean_turn import CREEP_UM, reading_sd
from sim.one_thread import one_thread
from sim.parts.case import Case
from sim.parts.materials import hub_metal, rotor_metal
from sim.progress import Progress, silent
from sim.seating.studs import preloads_n

SOLVED, EACH = 120, 12  # seatings drawn, and readings drawn of each
LEAST_SOLVED = 0.9  # of the seatings drawn; fewer make no band; judgement
HIGHEST = 8  # orders of a change that softer or stiffer parts scale

# Standard deviations of what is uncertain, each a judgement with its range.
THICKNESS_UM, THICKNESS_SHARE = 1.5, 0.01  # of a strip measured at three places; 1 .. 3 um
BURR_UM = 3.0  # what a dressed cut edge stands up: half-normal; 0 .. 8 um
RADIAL_MM, ALONG_MM, CUT_MM = 0.7, 1.0, 0.3  # placed and cut by hand; 0.3 .. 2 mm
WRENCH, STUD = 0.10, 0.06  # level of the clamp force (nut factor and wrench), and stud by stud; 0.05 .. 0.25
LAYER = 0.6  # logarithm of the contact layer's stiffness; 0.3 .. 1.2
HUB_DISH_UM, ROTOR_DISH_UM = 5.0, 7.0  # flatness that nobody measured; 2 .. 15 um
ROTOR_STIFF, HUB_STIFF = 0.08, 0.15  # logarithm of the bodies' stiffness: iron's modulus, a hub's true shape
GAIN = 0.02  # a dial's travel, and the solver against three-dimensional elements (up to 2.3 %); 0.01 .. 0.04
STEP = 0.15  # of stiffness, for the sensitivity


@dataclass(frozen=True, eq=False)
class Expected:
    """What one trial should read.

    Parameters
    ----------
    trial : Trial
    tells : bool
        Whether it reads above what dial and putting on again make by themselves.
    change_um : ndarray, shape (360,)
        What the foil adds to the outboard trace where everything is as written. [um]
    angle_deg : ndarray, shape (places,)
    sample_um : ndarray, shape (draws, places)
        Readings with the foil less the mean of the bare turns, as drawn. [um]
    order_um : complex
        First order, mean of the draws. [um, zero to peak]
    spread_um2 : ndarray, shape (2, 2)
        Covariance of its real and imaginary part. [um2]
    runout_um : tuple of float
        TIR of the difference, 80 % band: low, median, high. [um]
    amplitude_um : tuple of float
        First order zero to peak, 80 % band: low, median, high. [um]
    high_spot_deg, high_spot_half_deg : float
        Of the first order, and half of its 80 % band. [deg]
    peak_mpa, force_n : float
        Highest pressure on the foil and what it carries, as written. [MPa, N]
    """

    trial: Trial
    tells: bool
    change_um: Floats
    angle_deg: Floats
    sample_um: Floats
    order_um: complex
    spread_um2: Floats
    runout_um: tuple[float, float, float]
    amplitude_um: tuple[float, float, float]
    high_spot_deg: float
    high_spot_half_deg: float
    peak_mpa: float
    force_n: float

    def away(self, order_um: complex) -> float:
        """Squared distance of a first order from the forecast over its covariance (Mahalanobis 1936). No unit."""
        off = order_um - self.order_um
        vector = np.array([off.real, off.imag])
        return float(vector @ np.linalg.solve(self.spread_um2, vector))


@dataclass(frozen=True)
class Read:
    """How it is read: places of a turn, one division, seed of the draws."""

    places: tuple[float, ...] = tuple(360.0 * k / PLACES for k in range(PLACES))
    dial_um: float = DIAL_UM
    seed: int = 1


@one_thread
def forecast(of: Prescription, read: Read | None = None, progress: Progress = silent) -> tuple[Expected, ...]:
    """Say what every trial should read, with its 80 % band.

    Parameters
    ----------
    of : Prescription
    read : Read, optional
    progress : callable(fraction, what)

    Returns
    -------
    tuple of Expected

    Raises
    ------
    Refused
        If fewer than nine of ten drawn seatings are solved with proof.

    Notes
    -----
    um. Each draw seats the corner without and with the foils under one set of what is uncertain (constants above);
    stiffness enters through the sensitivity of every order, put in as a power law (judgement); readings are drawn
    about it as a class takes them: putting on again, noise and division of the dial, its creep in a turn.
    """
    read = read or Read()
    rng = np.random.default_rng(read.seed)
    nominal = _changes(of.case, of.trials)
    gains = _stiffness_gains(of, nominal, progress)
    solved = np.stack(_drawn(of, gains, rng, progress))
    at = np.asarray(read.places)
    return tuple(
        _expected(of, number, nominal[number], _as_read(solved[:, number], at, read.dial_um, rng), at)
        for number in range(len(of.trials))
    )


@one_thread
def _changes(case: Case, trials: tuple[Trial, ...]) -> Floats:
    """What each trial adds to the outboard trace, shape (trials, 360). [um]."""
    bare = seated_with(case, ()).outboard_um
    return np.stack([seated_with(case, trial.foils).outboard_um - bare for trial in trials])


@one_thread
def _stiffness_gains(of: Prescription, nominal: Floats, progress: Progress) -> tuple[Complexes, Complexes]:
    """Powers by which each order of each trial follows the stiffness of rotor and hub, each (trials, orders)."""
    base = np.fft.rfft(nominal)[:, : HIGHEST + 1]
    out: list[Complexes] = []
    for number, case in enumerate((_stiffer_rotor(of.case), _stiffer_hub(of.case))):
        progress(0.1 + 0.15 * number, "softer and stiffer parts")
        if case is None:
            out.append(np.zeros_like(base))
            continue
        ratio = np.fft.rfft(_changes(case, of.trials))[:, : HIGHEST + 1] / np.where(abs(base) > 0, base, 1.0)
        # An order that is hardly there has no power of its own.
        weak = (abs(base) < 0.02 * abs(base).max()) | (abs(ratio) < 0.2) | (abs(ratio) > 5.0)
        out.append(np.asarray(np.log(np.where(weak, 1.0, ratio)) / STEP, dtype=complex))
    return out[0], out[1]


def _stiffer_rotor(case: Case) -> Case:
    modulus = min(rotor_metal(case.rotor).youngs_mpa * np.exp(STEP), 400_000.0)
    return replace(case, rotor=replace(case.rotor, youngs_modulus_mpa=float(modulus)))


def _stiffer_hub(case: Case) -> Case | None:
    metal = hub_metal(case.hub)
    if metal is None:
        return None
    modulus = min(metal.youngs_mpa * np.exp(STEP), 400_000.0)
    return replace(case, hub=replace(case.hub, youngs_modulus_mpa=float(modulus)))


@one_thread
def _drawn(
    of: Prescription, gains: tuple[Complexes, Complexes], rng: np.random.Generator, progress: Progress
) -> list[Floats]:
    """Seat every draw; what each trial adds in it, (trials, 360). [um]."""
    out = []
    for number in range(SOLVED):
        case = _drawn_case(of.case, rng)
        trials = tuple(
            Trial(one.name, tuple(_drawn_foil(of.case, foil, rng) for foil in one.foils)) for one in of.trials
        )
        powers = gains[0] * rng.normal(0.0, ROTOR_STIFF) + gains[1] * rng.normal(0.0, HUB_STIFF)
        scale = 1.0 + rng.normal(0.0, GAIN)
        try:
            waves = np.fft.rfft(_changes(case, trials))
        except Refused:
            continue
        waves[:, : HIGHEST + 1] *= np.exp(powers)
        out.append(scale * np.fft.irfft(waves, 360))
        progress(0.4 + 0.6 * (number + 1) / SOLVED, "seatings drawn")
    if len(out) < LEAST_SOLVED * SOLVED:
        raise Refused(f"only {len(out)} of {SOLVED} drawn seatings were solved with proof: no band is told")
    return out


def _drawn_case(case: Case, rng: np.random.Generator) -> Case:
    """Draw torque, contact layer and flatness about what is written."""
    level = np.exp(rng.normal(0.0, WRENCH))
    each = np.array(preloads_n(case.studs)) * level * np.exp(rng.normal(0.0, STUD, case.studs.count))
    studs = replace(case.studs, torque_nm=None, preload_n=tuple(map(float, each)))
    layer = float(np.clip(case.contact.layer_stiffness_n_mm3 * np.exp(rng.normal(0.0, LAYER)), 1e3, 1e8))
    hub = replace(case.hub, face_dish_um=case.hub.face_dish_um + float(rng.normal(0.0, HUB_DISH_UM)))
    rotor = replace(case.rotor, flange_dish_um=case.rotor.flange_dish_um + float(rng.normal(0.0, ROTOR_DISH_UM)))
    return replace(case, studs=studs, hub=hub, rotor=rotor, contact=replace(case.contact, layer_stiffness_n_mm3=layer))


def _drawn_foil(case: Case, foil: Foil, rng: np.random.Generator) -> Foil:
    """Draw a strip as it was cut and laid."""
    thickness = foil.thickness_um + rng.normal(0.0, THICKNESS_UM + THICKNESS_SHARE * foil.thickness_um)
    inner, outer = case.contact_zone_mm
    length = max(foil.length_mm + rng.normal(0.0, CUT_MM), 1.0)
    edge = float(np.clip(foil.outer_radius_mm + rng.normal(0.0, RADIAL_MM), inner + length, outer))
    return Foil(
        thickness_um=float(max(thickness + abs(rng.normal(0.0, BURR_UM)) / 2, 1.0)),  # one edge up: half at the middle
        width_mm=float(max(foil.width_mm + rng.normal(0.0, CUT_MM), 1.0)),
        length_mm=float(length),
        angle_deg=float(foil.angle_deg + np.degrees(rng.normal(0.0, ALONG_MM) / foil.middle_radius_mm)),
        outer_radius_mm=edge,
    )


@one_thread
def _as_read(change_um: Floats, at_deg: Floats, dial_um: float, rng: np.random.Generator) -> Floats:
    """Readings of a turn less the mean of the bare turns, (draws x EACH, places). [um].

    Scatter of the mountings by order, noise with the division (JCGM 100, 4.3.7), creep over the turn: judgement.
    """
    theta = np.radians(at_deg)
    exact = np.stack([turn.interpolate(np.arange(360.0), one, at_deg) for one in change_um])
    rows = np.repeat(exact, EACH, axis=0)
    share = float(np.sqrt(1.0 + 1.0 / BARE_TURNS))
    for order, sd in enumerate(SCATTER_UM):
        wave = rng.normal(0.0, share * sd, (2, rows.shape[0], 1))
        rows = rows + wave[0] * np.cos(order * theta) + wave[1] * np.sin(order * theta)
    rows = rows + rng.normal(0.0, share * CREEP_UM, (rows.shape[0], 1)) * (at_deg / 360.0 - 0.5)
    noisy: Floats = rows + rng.normal(0.0, share * reading_sd(dial_um), rows.shape)
    return noisy


@one_thread
def _expected(of: Prescription, number: int, change_um: Floats, sample_um: Floats, at_deg: Floats) -> Expected:
    matrix = np.linalg.pinv(turn.design_matrix(at_deg, 1))
    fitted = sample_um @ matrix.T
    orders = fitted[:, 1] - 1j * fitted[:, 2]
    middle = complex(orders.mean())
    tails = ((1.0 - COVERAGE) / 2, 0.5, (1.0 + COVERAGE) / 2)
    runout = np.quantile(np.ptp(sample_um, axis=1), tails)
    amplitude = np.quantile(abs(orders), tails)
    half = np.quantile(abs(np.degrees(np.angle(orders / middle))), COVERAGE)
    done = of.worked[number]
    return Expected(
        trial=done.trial,
        tells=of.tells(number),
        change_um=change_um,
        angle_deg=at_deg,
        sample_um=sample_um,
        order_um=middle,
        spread_um2=np.cov(orders.real, orders.imag),
        runout_um=(float(runout[0]), float(runout[1]), float(runout[2])),
        amplitude_um=(float(amplitude[0]), float(amplitude[1]), float(amplitude[2])),
        high_spot_deg=turn.high_spot_deg(middle),
        high_spot_half_deg=float(half),
        peak_mpa=done.peak_mpa,
        force_n=done.force_n,
    )
