"""Simulated worn discs: the same corner with drawn runout at fitting and drawn wear parameters, run to a distance.

Drawn is everything that a reader of the worn disc does not know: the runout with its higher orders, how it differs on
the road from what the dial reads with the wheel off, the unevenness of the new disc, the wear parameters with those
that a forecast holds fixed, how hard it was braked, and how far it really ran.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr, ndtri

from sim import disk_cache
from sim.arrays import Complexes, Floats
from sim.errors import BadInput, Fault
from sim.one_thread import one_thread
from sim.parts.case import Case
from sim.progress import Progress
from sim.turn import tir, trace
from sim.uniform_draws import latin
from sim.wear.brake import Brake, Fineness, brake_of
from sim.wear.disc import make_problem
from sim.wear.draws import MOST_DRAWN_TURNS, Disc, on_all_cores
from sim.wear.march import march, states_at
from sim.wear.ranges import draw

#: Runout at fitting, TIR, lognormal: median and factor of one standard deviation. Judgement: most discs that are asked
#: about were fitted between 25 and 150 um. [um]
FITTED_UM = (60.0, 2.1)
#: ... cut off here: from a good new corner to a gross fault. [um]
FITTED_ENDS_UM = (8.0, 400.0)
#: Second order in it, amplitude over that of the first: evenly up to the first figure (dirt on a stiff hub); for the
#: share that is the second figure from there to a face that has hardly any first order (dished, warped). Judgement.
SECOND, DISHED = 0.6, 0.35
#: Third order over both, evenly. Judgement.
MOST_THIRD = 0.35
#: Orders 1 to 3 of the thickness of a new disc: standard deviation of a component. Judgement; a thickness variation of
#: 10 um is the strictest limit in service (common practice, no source). [um]
NEW_THICKNESS_UM = (1.2, 0.7, 0.4)
#: Lean on the road over the lean that the dial reads, real and imaginary part about 1: standard deviation. Judgement:
#: the wheel presses dirt flatter, and leaves a leaning hub or rotor as it is.
ROAD_SHARE_SD = 0.08
#: Share and pressure of braking over the case's: factor of one standard deviation. Judgement.
SHARE_FACTOR, PRESSURE_FACTOR = 1.5, 1.2
#: Share of cars whose brake hardly works (motorway, braked by the motor) or hardly evens what runout wears in, and the
#: most that it does over what is drawn for the rest, evenly from nought. Judgement: no curve of thickness variation
#: against distance could be found that says how fast braking evens one. With fewer, rotors that another law wore, which
#: braking never evens, lay below the band three times as often as above (tests/studies/memory.md).
HARDLY_BRAKED = (0.45, 0.3)
#: How well the distance since fitting is known unless that is said, plus or minus. Judgement: a car's own figure is
#: good to a few per cent, the day of the fitting is not. [%]
KM_GIVE_OR_TAKE = 25.0
#: What a forecast holds fixed, drawn as a multiple of the case's value: field of the brake, factor of one standard
#: deviation. Judgement, within the ranges of the keys.
HELD_FIXED = (
    ("slip_n", 1.5),
    ("bed_released_n_mm3", 1.5),
    ("bed_braking_n_mm3", 1.4),
    ("spread_n_mm", 1.4),
    ("tilt_lever_mm", 1.25),
    ("arc_rad", 1.05),
)

#: Share of cars on which one pad drags all the time, and the most that it does, evenly. Judgement. [-, N]
STICKING = (0.12, 20.0)

THICKNESS_ORDERS = 6  # that wear by runout makes and nine places or more can tell
LEAN_ORDERS = 3  # of a mounted runout; higher ones are small
LIBRARY = 2500  # discs: bands hardly move with more; judgement
#: The runs of the library need not be finer than the readings: nine orders in ten stay within 1 % of those on 72 angles
#: at 1.5e-4 mm.
ROUGH = Fineness(angles=60, rings=2, release_angles=8, tolerance_mm=4.0e-4)


@dataclass(frozen=True, eq=False)
class Library:
    """Simulated worn discs at one distance, each with order 1 of its runout at fitting at angle zero.

    Parameters
    ----------
    distance_km : float
        As said; each disc ran its own.
    fitted_um : ndarray, shape (m,)
        Runout at fitting, as a dial would have read it, TIR.
    lean_um : ndarray of complex, shape (m, LEAN_ORDERS)
        Orders of the mean plane as worn, as the dial reads it.
    thickness_um : ndarray of complex, shape (m, THICKNESS_ORDERS)
        Orders of the thickness.
    fitted_first_um : ndarray, shape (m,)
        Amplitude of the first order at fitting.
    give_or_take : float
        How well the distance is known. [%]
    """

    distance_km: float
    fitted_um: Floats
    lean_um: Complexes
    thickness_um: Complexes
    fitted_first_um: Floats
    give_or_take: float = KM_GIVE_OR_TAKE


@dataclass(frozen=True, eq=False)
class Fitted:
    """A disc as it was fitted, first order of its runout at angle zero.

    Parameters
    ----------
    lean_um : ndarray of complex, shape (LEAN_ORDERS,)
        Orders of the lean of its seat as the dial reads it.
    road_share : complex
        Lean on the road over that.
    thickness_um : ndarray of complex, shape (LEAN_ORDERS,)
        Orders of the new disc's thickness.
    outboard_share : float
        Share of that on the outboard face.
    """

    lean_um: Complexes
    road_share: complex
    thickness_um: Complexes
    outboard_share: float

    @property
    def plane_um(self) -> Complexes:
        """Orders of the mean plane at fitting: unevenness that sits on one face more than on the other runs out too.

        [um]; by definition of the mean plane.
        """
        return np.asarray(self.lean_um + (self.outboard_share - 0.5) * self.thickness_um)


COLUMNS = 15 + len(HELD_FIXED) + 4  # of a draw, in the order in which they are used


def fitted_draws(count: int, seed: int) -> Floats:
    """Uniform draws for everything but the ranges of a forecast, each spread evenly: shape (count, COLUMNS).

    No unit. Latin hypercube, as `sim.wear.ranges.draw`.
    """
    random = np.random.default_rng(seed)
    return np.stack([latin(random, count) for _ in range(COLUMNS)], axis=1)


def fitted_disc(row: Floats) -> Fitted:
    """Make a disc as fitted from the first fourteen uniform draws of a row.

    Orders in um; what is drawn, and from which judgement, stands at the constants above.
    """
    low, high = (float(ndtr(math.log(end / FITTED_UM[0]) / math.log(FITTED_UM[1]))) for end in FITTED_ENDS_UM)
    size = FITTED_UM[0] * FITTED_UM[1] ** float(ndtri(low + row[0] * (high - low)))
    plain = row[1] < 1.0 - DISHED
    least = math.atan(SECOND)  # of the angle whose tangent is the share of the second order
    angle = least + (0.49 * math.pi - least) * (row[1] - 1.0 + DISHED) / DISHED
    second = SECOND * row[1] / (1.0 - DISHED) if plain else math.tan(angle)
    third = MOST_THIRD * row[3] * math.hypot(1.0, second)
    shape = np.array([1.0, second * _unit(row[2]), third * _unit(row[4])], dtype=np.complex128)
    lean = shape * (size / tir(trace(np.concatenate([[0.0], shape]))))
    normal = ndtri(np.clip(row[5:13], 1e-6, 1.0 - 1e-6))
    thickness = np.array(NEW_THICKNESS_UM) * (normal[0:3] + 1j * normal[3:6])
    return Fitted(lean, complex(1.0 + ROAD_SHARE_SD * (normal[6] + 1j * normal[7])), thickness, float(row[13]))


def _unit(turn: float) -> complex:
    return complex(np.exp(2j * math.pi * turn))


def new_disc(case: Case, fitted: Fitted) -> Disc:
    """Put a fitted disc on the road. Heights in mm; by definition."""
    runout = 1e-3 * trace(np.concatenate([[0.0], fitted.road_share * fitted.lean_um]))
    height = 1e-3 * trace(np.concatenate([[0.0], fitted.thickness_um]))
    drive = case.drive
    return Disc(
        runout,
        case.gauge_radius_mm,
        np.stack([fitted.outboard_share * height, (1.0 - fitted.outboard_share) * height]),
        drive.friction,
        drive.revolutions_per_km,
    )


def drawn_brake(brake: Brake, row: Floats, give_or_take: float = KM_GIVE_OR_TAKE) -> tuple[Brake, float]:
    """Change what a forecast holds fixed; and say how far it ran over what is said.

    Parameters
    ----------
    brake : Brake
    row : ndarray
        Of `fitted_draws`.
    give_or_take : float
        How well the distance is known. [%]

    Returns
    -------
    Brake
    float

    Notes
    -----
    Units as in `sim.wear.brake.Brake`; spreads are judgement, at the constants above. A distance that lies evenly
    between two ends has their half width over root three as its standard deviation (JCGM 100:2008).
    """
    normal = ndtri(np.clip(row[15 : COLUMNS - 1], 1e-6, 1.0 - 1e-6))
    changed = {
        field: getattr(brake, field) * factor ** float(z)
        for (field, factor), z in zip(HELD_FIXED, normal, strict=False)
    }
    share, pressure, far = (float(z) for z in normal[len(HELD_FIXED) : len(HELD_FIXED) + 3])
    seldom, most_seldom = HARDLY_BRAKED
    used = most_seldom * float(row[COLUMNS - 1]) / seldom if row[COLUMNS - 1] < seldom else 1.0
    changed["brake_share"] = min(0.5, used * brake.brake_share * SHARE_FACTOR**share)
    changed["pressure_mpa"] = brake.pressure_mpa * PRESSURE_FACTOR**pressure
    share_of_cars, most = STICKING
    sticks = most * float(row[14]) / share_of_cars if row[14] < share_of_cars else 0.0
    changed["drag_n"] = (brake.drag_n[0] + sticks, brake.drag_n[1])
    if far > 0.0:  # by chance: the outboard or the inboard pad
        changed["drag_n"] = (brake.drag_n[0], brake.drag_n[1] + sticks)
    return replace(brake, **changed), math.exp(1e-2 * give_or_take / math.sqrt(3.0) * far)


def _orders(rows: Floats, highest: int) -> Complexes:
    return np.asarray(2.0 * np.fft.rfft(rows, axis=-1)[..., 1 : highest + 1] / rows.shape[-1], dtype=np.complex128)


@one_thread
def worn_orders(
    disc: Disc, brake: Brake, distance_km: Floats, fineness: Fineness = ROUGH
) -> tuple[Complexes, Complexes]:
    """Wear one disc: what wear adds to the orders of the mean plane, and the orders of the thickness, at the distances.

    All in um.

    Returns
    -------
    tuple of ndarray of complex, shapes (k, LEAN_ORDERS) and (k, THICKNESS_ORDERS)

    Notes
    -----
    Archard's law marched (`sim.wear.march`).
    """
    one = make_problem(brake, disc.runout_mm, disc.radius_mm, disc.height_mm, fineness)
    turns = distance_km * disc.revolutions_per_km
    states = states_at(march(one, float(turns.max()), most_turns=MOST_DRAWN_TURNS), turns)
    cells = one.face_cells
    face = -states[:, : 2 * cells] - states[:, 2 * cells : 4 * cells]
    if one.law.has_film:
        face = face + states[:, 4 * cells : 6 * cells]
    face = np.tensordot(face.reshape(-1, 2, one.grid.rings, one.grid.angles), one.at_gauge, axes=(2, 0))
    height = 1e3 * (face + resampled_heights(disc, one.grid.angles)[None])
    lean = _orders(0.5 * (height[:, 0] - height[:, 1]), LEAN_ORDERS)
    return lean, _orders(height.sum(axis=1), THICKNESS_ORDERS)


def resampled_heights(disc: Disc, angles: int) -> Floats:
    """Heights of the new faces on a grid of ``angles`` (a divisor of their own number). Shape (2, angles). [mm]."""
    return disc.height_mm[:, :: disc.height_mm.shape[1] // angles]


@one_thread
def learn(
    case: Case,
    distance_km: Sequence[float],
    count: int = LIBRARY,
    seed: int = 7,
    progress: Progress | None = None,
    give_or_take: float = KM_GIVE_OR_TAKE,
) -> tuple[Library, ...]:
    """Simulate worn discs of this corner with drawn runout at fitting and drawn wear parameters.

    Parameters
    ----------
    case : Case
    distance_km : sequence of float
        One library is made for each.
    count, seed : int
    progress : callable, optional
    give_or_take : float
        How well the distances are known, 0 to 100. [%]

    Returns
    -------
    tuple of Library

    Notes
    -----
    Runouts in um TIR, distances in km.
    """
    brake = brake_of(case)
    distance = np.asarray(distance_km, dtype=float)
    if distance.size == 0 or not np.all((distance > 0.0) & (distance <= 1.0e6)):
        raise BadInput(Fault("distance since fitting", key="distance_km", allowed="above 0, to 1e6"))
    if not 0.0 <= give_or_take <= 100.0:
        raise BadInput(Fault(f"known to {give_or_take:g} %", key="give_or_take", allowed="0 to 100"))
    ranges, values = draw(brake, count, seed)
    rows = np.concatenate([fitted_draws(count, seed + 1), values], axis=1)
    discs = [fitted_disc(row) for row in rows]

    def one(row: Floats) -> tuple[Complexes, Complexes]:
        changed: dict[str, Any] = {item.field: float(v) for item, v in zip(ranges, row[COLUMNS:], strict=True)}
        drawn, far = drawn_brake(replace(brake, **changed), row, give_or_take)
        return worn_orders(new_disc(case, fitted_disc(row)), drawn, far * distance)

    found = on_all_cores(one, rows, "wearing rotors of every kind", progress)
    worn, thickness = (np.array(column) for column in zip(*found, strict=True))
    plane, lean = (np.array([getattr(disc, name) for disc in discs]) for name in ("plane_um", "lean_um"))
    crest = -np.angle(plane[:, 0])
    runout = np.array([tir(trace(np.concatenate([[0.0], orders]))) for orders in plane])
    return tuple(
        Library(
            float(km),
            runout,
            rotated(lean + worn[:, k], -crest),
            rotated(thickness[:, k], -crest),
            np.abs(plane[:, 0]),
            give_or_take,
        )
        for k, km in enumerate(distance)
    )


def shelf(case: Case, km: float, progress: Progress, give_or_take: float = KM_GIVE_OR_TAKE) -> Library:
    """Library of this corner at one distance, kept on disk: dirt has no say in it.

    Parameters
    ----------
    case : Case
    km : float
        [km]
    progress : callable(fraction, what)
    give_or_take : float
        How well the distance is known. [%]
    """

    def build() -> dict[str, NDArray]:
        progress(0.0, "wearing simulated rotors (kept for the next time)")
        one = learn(case, [km], LIBRARY, progress=progress, give_or_take=give_or_take)[0]
        return {
            "fitted": one.fitted_um,
            "lean": one.lean_um,
            "thickness": one.thickness_um,
            "first": one.fitted_first_um,
        }

    plain = replace(case.cleaned(), title="-")
    identity = repr((brake_of(plain), plain.rotor, plain.drive, plain.gauge, km, give_or_take, LIBRARY))
    arrays, _ = disk_cache.fetch("worn-discs", identity, build, __name__)
    return Library(km, arrays["fitted"], arrays["lean"], arrays["thickness"], arrays["first"], give_or_take)


def rotated(orders: Complexes, by_rad: Floats) -> Complexes:
    """Orders of curves (m, h) moved forward, each by its own angle (m,).

    Unit of the orders; by definition of the Fourier series.
    """
    number = np.arange(1, orders.shape[1] + 1)
    out: Complexes = orders * np.exp(-1j * number[None, :] * by_rad[:, None])
    return out
