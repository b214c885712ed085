"""Worn rotors with a known past, drawn apart from the estimator of `sim.bench.fitted_runout`: causes are added as
vectors.

Nothing here is taken from `sim.bench.worn_library` but the wear itself: sizes, orders, wear parameters, dial, slips
and kilometres have distributions of their own, some of them of things that the estimator does not know of (a pad that
sticks, faces cut unevenly when new, a misread place). All figures are judgement.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from sim.bench.fitted_runout import WornDisc
from sim.bench.worn_library import Library, rotated, worn_orders
from sim.parts.case import Case
from sim.wear.brake import Brake, Fineness, brake_of
from sim.wear.draws import Disc
from tests.studies import worn_otherwise

BY_ANOTHER_LAW = {"another law": True, "evened by nothing": False}  # and whether its brake evens what the taps wear
KM_25 = "kilometres ± 25 %"
KNOWN = {KM_25: 25.0}  # how well the kilometres are known, in per cent; 10 in every other group
GROUPS = ("matched", "bad rotor", "bad hub", "dished face", "thickness only", "inner dirt", KM_25, *BY_ANOTHER_LAW)
SAID_KM = (4000.0, 9000.0, 20_000.0)
PLACES = (12, 24)
DIAL_STEP_UM, DIAL_NOISE_UM = 10.0, 3.0
MICROMETER_STEP_UM, MICROMETER_NOISE_UM = 1.0, 2.0
WORST_PLACE_DEG, WORST_MARK_DEG = 4.0, 5.0
MISREAD_SHARE = 0.03
ORDERS = 4
# Finer than the estimator wears its own discs.
TRUE = Fineness(angles=90, rings=2, release_angles=12, tolerance_mm=6e-5)


@dataclass(frozen=True, eq=False)
class Past:
    """One rotor as it was fitted, and its readings today.

    Parameters
    ----------
    runout_um : float
        At fitting, as a dial would have read it, TIR.
    high_spot_deg : float
        Of its first order, from stud 1.
    read_um : float
        TIR of the mean plane today, as the dial shows it.
    disc : WornDisc
        Readings.
    """

    runout_um: float
    high_spot_deg: float
    read_um: float
    disc: WornDisc


def _vector(random: np.random.Generator, size: float) -> complex:
    return complex(size * np.exp(2j * np.pi * random.random()))


def _lognormal(
    random: np.random.Generator, middle: float, factor: float, low: float = 0.0, high: float = np.inf
) -> float:
    return float(np.clip(middle * np.exp(np.log(factor) * random.standard_normal()), low, high))


def _dirt(random: np.random.Generator, middle: float, second: tuple[float, float], third: float) -> np.ndarray:
    """Orders 1 to 4 of a seat over dirt: crests together at the dirt, as seatings show."""
    size, at = _lognormal(random, middle, 1.7, 3.0, 140.0), 2.0 * np.pi * random.random()
    shares = np.array([1.0, random.uniform(*second), random.uniform(0.3, 1.0) * third, 0.3 * third * random.random()])
    return size * shares * np.exp(-1j * np.arange(1, ORDERS + 1) * (at + random.normal(0.0, 0.1)))


def _runout(group: str, random: np.random.Generator) -> tuple[np.ndarray, np.ndarray]:
    """Orders of the mounted runout, as read and as driven. [um amplitude]."""
    hub, rotor = random.rayleigh(9.0), random.rayleigh(11.0)
    dirt = _dirt(random, 26.0, (0.1, 0.6), 0.2) if random.random() < 0.75 else np.zeros(ORDERS, dtype=complex)
    warp = random.rayleigh(2.5)
    if group == "bad rotor":
        rotor, dirt, warp = random.uniform(25.0, 95.0), 0.3 * dirt, random.rayleigh(6.0)
    elif group == "bad hub":
        hub, dirt = random.uniform(25.0, 95.0), 0.3 * dirt
    elif group == "dished face":
        warp, dirt = random.uniform(15.0, 55.0), 0.6 * dirt
    elif group == "inner dirt":
        dirt = _dirt(random, 24.0, (0.6, 1.3), 0.55)
    lean = np.zeros(ORDERS, dtype=complex)
    lean[0] = _vector(random, hub) + _vector(random, rotor) + _vector(random, random.rayleigh(1.5))
    lean[1] = _vector(random, warp) + _vector(random, random.rayleigh(1.5))
    # The wheel presses dirt flatter, most of all what lies far in, and leaves leaning faces as they are.
    pressed = random.uniform(0.75, 1.05) * np.exp(1j * random.uniform(-0.06, 0.06))
    return lean + dirt, lean + pressed * dirt


def _brake(brake: Brake, random: np.random.Generator) -> Brake:
    sticks = (random.exponential(6.0), 0.0) if random.random() < 0.12 else (0.0, 0.0)
    return replace(
        brake,
        disc_wear=brake.disc_wear * _lognormal(random, 1.05, 1.6, 0.3, 3.2),
        pad_wear=brake.pad_wear * _lognormal(random, 1.0, 1.5),
        holder_n_mm=_lognormal(random, 1350.0, 1.45, 450.0, 3300.0),
        clearance_mm=_lognormal(random, 0.040, 1.55, 0.013, 0.16),
        outboard_share=float(0.1 + 0.4 * random.beta(2.2, 2.2)),
        slip_n=random.uniform(45.0, 170.0),
        bed_released_n_mm3=random.uniform(2.5, 9.0),
        bed_braking_n_mm3=random.uniform(18.0, 48.0),
        spread_n_mm=random.uniform(13e3, 33e3),
        tilt_lever_mm=brake.tilt_lever_mm * random.uniform(0.75, 1.4),
        arc_rad=brake.arc_rad * random.uniform(0.92, 1.08),
        brake_share=brake.brake_share * _lognormal(random, 1.0, 1.35, 0.3, 4.0),
        pressure_mpa=brake.pressure_mpa * random.uniform(0.7, 1.35),
        drag_n=sticks if random.random() < 0.5 else sticks[::-1],
    )


def _as_new(random: np.random.Generator) -> tuple[np.ndarray, float]:
    """Orders of a new rotor's thickness, and the share of it on the outboard face."""
    sizes = random.rayleigh(1.0, 4) * np.array([1.5, 0.8, 0.5, 0.3])
    return sizes * np.exp(2j * np.pi * random.random(4)), float(random.random())


def _curve(orders: np.ndarray, theta: np.ndarray) -> np.ndarray:
    return np.asarray((np.exp(1j * theta[:, None] * np.arange(1, orders.size + 1)) @ orders).real)


def _shown(values: np.ndarray, noise: float, step: float, random: np.random.Generator) -> np.ndarray:
    """What a dial shows: noise with longer tails than a normal one, a step, now and then a place misread."""
    out = values + noise / np.sqrt(2.0) * random.laplace(0.0, 1.0, values.size)
    if random.random() < MISREAD_SHARE:
        out[random.integers(values.size)] += random.choice((-1.0, 1.0)) * random.uniform(8.0, 30.0)
    return step * np.round(out / step)


@dataclass(frozen=True, eq=False)
class Worn:
    """One rotor as it was fitted and as it is, at some distances: orders in um, rotor frame.

    Parameters
    ----------
    fitted, new : ndarray of complex, shape (ORDERS,)
        Of the mean plane at fitting as the dial reads it, and of the new rotor's thickness.
    now, thickness : ndarray of complex, shape (k, ...)
        Of the mean plane and of the thickness at the distances.
    """

    fitted: np.ndarray
    new: np.ndarray
    now: np.ndarray
    thickness: np.ndarray

    @property
    def runout_um(self) -> float:
        """Of the mean plane at fitting, TIR."""
        return float(np.ptp(_curve(self.fitted, THETA)))


THETA = 2.0 * np.pi * np.arange(360) / 360


def worn(case: Case, group: str, said_km: tuple[float, ...], random: np.random.Generator) -> Worn:
    """Draw one rotor's past and wear it; it ran more or less than is said."""
    read, driven = _runout(group, random)
    new, outboard = _as_new(random)
    height = 1e-3 * _curve(new, THETA)
    faces = np.stack([outboard * height, (1.0 - outboard) * height])
    far = 1e-2 * KNOWN.get(group, 10.0)
    ran = np.array(said_km) * random.uniform(1.0 - far, 1.0 + far)
    if group in BY_ANOTHER_LAW:
        taps = worn_otherwise.drawn_taps(random, BY_ANOTHER_LAW[group])
        gone, thickness = worn_otherwise.orders(taps, _curve(driven, THETA), 1e3 * faces, ran)
    else:
        turns_a_km = case.drive.revolutions_per_km * random.uniform(0.97, 1.03)
        disc = Disc(1e-3 * _curve(driven, THETA), case.gauge_radius_mm, faces, case.drive.friction, turns_a_km)
        gone, thickness = worn_orders(disc, _brake(brake_of(case), random), ran, TRUE)
    now = np.tile(read, (ran.size, 1))
    now[:, : gone.shape[1]] += gone
    # The mean plane at fitting holds what the new faces themselves run out beyond an even share of their thickness.
    return Worn(read + (outboard - 0.5) * new, new, now, thickness)


def past(case: Case, group: str, said_km: float, places: int, random: np.random.Generator) -> Past:
    """Draw one rotor's past, wear it, and read it."""
    one = worn(case, group, (said_km,), random)
    angle = 360.0 * np.arange(places) / places
    mark = random.uniform(-WORST_MARK_DEG, WORST_MARK_DEG)

    def at() -> np.ndarray:
        return np.radians(angle + mark + random.uniform(-WORST_PLACE_DEG, WORST_PLACE_DEG, places))

    thick = _shown(_curve(one.thickness[0], at()), MICROMETER_NOISE_UM, MICROMETER_STEP_UM, random)
    faces = (None, None)
    if group != "thickness only":
        now, half = _curve(one.now[0], THETA), 0.5 * _curve(one.thickness[0], THETA)
        sides = [np.interp(at(), THETA, now + sign * half, period=2.0 * np.pi) for sign in (1.0, -1.0)]
        faces = tuple(_shown(side, DIAL_NOISE_UM, DIAL_STEP_UM, random) for side in sides)
    doubts = doubt(MICROMETER_NOISE_UM, MICROMETER_STEP_UM), doubt(DIAL_NOISE_UM, DIAL_STEP_UM)
    return Past(
        one.runout_um,
        float(-np.degrees(np.angle(one.fitted[0])) % 360.0),
        float(np.ptp(_curve(one.now[0], THETA))),
        WornDisc(said_km, angle, thick, *faces, *doubts, KNOWN.get(group, 10.0)),
    )


def library(case: Case, group: str, said_km: float, count: int, seed: int) -> Library:
    """Rotors of one group as a library: for an estimator that is told the group."""
    random = np.random.default_rng([seed, GROUPS.index(group), 1])
    rotors = [worn(case, group, (said_km,), random) for _ in range(count)]
    back = -np.array([-np.angle(one.fitted[0]) for one in rotors])
    return Library(
        said_km,
        np.array([one.runout_um for one in rotors]),
        rotated(np.array([one.now[0] for one in rotors]), back),
        rotated(np.array([one.thickness[0] for one in rotors]), back),
        np.array([abs(one.fitted[0]) for one in rotors]),
    )


def doubt(noise_um: float, step_um: float) -> float:
    """Standard uncertainty of one reading of a dial."""
    return float(np.hypot(noise_um, step_um / np.sqrt(12.0)))


def drawn(case: Case, group: str, count: int, seed: int) -> list[Past]:
    """Rotors of one group, their kilometres and places taken in turn."""
    random = np.random.default_rng([seed, GROUPS.index(group)])
    out: list[Past] = []
    while len(out) < count:
        k = len(out)
        out.append(past(case, group, SAID_KM[k % 3], PLACES[k // 3 % 2], random))
    return out
