"""Drive a corner: thickness variation over the kilometres, what it does to the brake, and how sure that is."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, fields, replace

import numpy as np
from numpy.typing import NDArray

from sim.arrays import Floats
from sim.errors import BadInput, Fault, Refused
from sim.one_thread import one_thread
from sim.parts.case import Case
from sim.parts.checked import need_kind
from sim.parts.stuck_caliper import KEYS, stuck
from sim.parts.thickness import Uneven
from sim.progress import Progress, need_listener
from sim.turn import harmonics
from sim.wear import bands
from sim.wear.asked import Settings, heights_at_first_mm, need_drivable, need_others, need_trace
from sim.wear.brake import Brake, brake_of
from sim.wear.disc import WearProblem, make_problem, pad_volume
from sim.wear.draws import Disc, Draws, spread
from sim.wear.evidence import method, moved, weigh_draws
from sim.wear.forecast_words import caveats
from sim.wear.judder import ORDERS, felt
from sim.wear.lives import disc_band_km, lives_km, pad_range_km, spent, spent_share
from sim.wear.march import MOST_TURNS, March, march, rates_at, states_at
from sim.wear.worn_state import (
    WORK,
    drag_of,
    dtv_of,
    face_runout_um,
    fade_km,
    thickness_of,
    thickness_under_pad,
    thin_spots,
)

#: Layout of the state that ``going_on`` holds: 1 (not written then) had one ring at the mean radius of the pad.
LAYOUT = 2


@dataclass(frozen=True, eq=False, repr=False)
class Forecast:
    """What becomes of a corner over the kilometres.

    Parameters
    ----------
    distance_km : ndarray, shape (k,)
        From 0 to the distance asked for, or to where disc or pads are worn out. [km]
    angle_deg : ndarray, shape (n,)
        ROTOR frame. [deg]
    dtv_um : ndarray, shape (k,)
        Thickness variation at the gauge radius, highest minus lowest.
    dtv_low_um, dtv_high_um : ndarray, shape (k,)
        80 % band of it.
    thickness_um : ndarray, shape (k, n)
        Thickness less its mean, at the gauge radius.
    outboard_wear_um, inboard_wear_um : ndarray, shape (k, n)
        Iron gone from each face since the start of the forecast, at the gauge radius.
    released_wear_um, braked_wear_um : ndarray, shape (k, 2, n)
        The same apart: worn by taps with the brake released, and on the brake; outboard first.
    face_runout_um : ndarray, shape (k, 2)
        TIR of the outboard and inboard face as worn, at the radius where the runout was read.
    drag_nm : ndarray, shape (k,)
        Mean drag torque of the released brake.
    tap_force_n : ndarray, shape (k,)
        Highest pad force in a released turn.
    dtv_highest_band_um : tuple of float or None
        80 % band of each draw's own highest on the way, wherever it has it; None without draws.
    km_to_limit : float or None
        First distance with the thickness variation at the limit; None if not within the distance.
    km_low, km_high : float or None
        80 % band of it; None stands for "not within the distance".
    probability_never : float
        Share of the draws that do not reach the limit within the distance.
    km_to_fade : float or None
        Where a disc that starts above the limit falls below it for good; None otherwise.
    fade_band_km : tuple of float or None
        80 % band of it over the draws; None stands for "not within the distance".
    probability_fades : float
        Share of the draws that fall below it so; without draws 1 or 0.
    moves_most : mapping of str to float
        Rank correlation of each unsettled parameter with the kilometres to the limit (or, if hardly any draw reaches
        it, with the highest thickness variation), strongest first.
    draws, equivalent_draws : int, float
        Draws behind the band, and what they are worth after weighting by measurements.
    thin_spots : tuple of mapping
        ``angle_deg`` and ``frame`` of the thin spots at the end.
    torque_variation_nm, pressure_variation_bar : ndarray, shape (k, orders)
        Amplitudes (zero to peak) of one brake, orders as in ``orders``: from the thickness under the whole pad.
    orders : tuple of int
    judder_speed_km_h, judder_band_km_h : ndarray, shapes (orders,), (orders, 2)
        Road speed at which each order is felt, and the half-power band.
    pedal_index, wheel_index : ndarray, shape (k,)
        1 = as a first-order thickness variation at the limit.
    felt_order : ndarray of int, shape (k,)
        Order that is strongest.
    volume_balance : float
        Largest relative error of the metal balance.
    disc_wear_mm, pad_wear_mm : float
        Mean loss at the end: thickness of the disc (both faces), lining of the more worn pad.
    disc_life_km, pad_life_km : float or None
        At this duty, from the start; None where nothing wears.
    disc_life_band_km : tuple of float or None
        80 % band of it.
    pad_life_range_km : tuple of float or None
        From end to end of the range of the pads' wear.
    stopped_by : str
        Empty, ``discard thickness`` or ``worn pads``.
    notes : tuple of str
        What the reader must know.
    worn_as_read_um, worn_doubt_um : float or None, float
        Thickness variation that was read of a worn rotor to start from, and its uncertainty (k = 2).
    worn_varies : Uneven or None
        The same with how it was read; None where nothing was, and in runs of an earlier version.
    worn_thinnest_mm : float or None
        Thinnest place of that rotor, where the thickness itself was read.
    worn_mounted_um : float or None
        Mounted runout in the same readings, from which it does not start; None where they hold none. [um TIR]
    read_on_the_way : Uneven or None
        Thickness variation measured at a distance, which narrows the band; None where none was.
    going_on : mapping of str to ndarray
        State of the solver: hand it to ``drive`` to go on from here.
    """

    distance_km: Floats
    angle_deg: Floats
    dtv_um: Floats
    dtv_low_um: Floats
    dtv_high_um: Floats
    thickness_um: Floats
    outboard_wear_um: Floats
    inboard_wear_um: Floats
    released_wear_um: Floats
    braked_wear_um: Floats
    face_runout_um: Floats
    drag_nm: Floats
    tap_force_n: Floats
    km_to_limit: float | None
    km_low: float | None
    km_high: float | None
    probability_never: float
    km_to_fade: float | None
    moves_most: Mapping[str, float]
    draws: int
    equivalent_draws: float
    thin_spots: tuple[Mapping[str, float | str], ...]
    torque_variation_nm: Floats
    pressure_variation_bar: Floats
    orders: tuple[int, ...]
    judder_speed_km_h: Floats
    judder_band_km_h: Floats
    pedal_index: Floats
    wheel_index: Floats
    felt_order: NDArray[np.int64]
    volume_balance: float
    disc_wear_mm: float
    pad_wear_mm: float
    disc_life_km: float | None
    pad_life_km: float | None
    disc_life_band_km: tuple[float, float] | None
    pad_life_range_km: tuple[float, float] | None
    stopped_by: str
    notes: tuple[str, ...]
    going_on: Mapping[str, Floats]
    worn_as_read_um: float | None = None
    worn_doubt_um: float = 0.0
    dtv_highest_band_um: tuple[float, float] | None = None
    fade_band_km: tuple[float | None, float | None] = (None, None)
    probability_fades: float = 0.0
    worn_varies: Uneven | None = None
    worn_thinnest_mm: float | None = None
    worn_mounted_um: float | None = None
    read_on_the_way: Uneven | None = None

    def __repr__(self) -> str:
        """Say in one line how far it goes, how high the thickness variation stands then and where the limit is met."""
        met = "not reached" if self.km_to_limit is None else f"after {self.km_to_limit:.0f} km"
        return f"<Forecast over {self.distance_km[-1]:.0f} km: DTV {self.dtv_um[-1]:.1f} µm at the end, limit {met}>"


@one_thread
def drive(
    case: Case,
    runout_um: Floats,
    km: float = 30_000.0,
    worn_um: Floats | None = None,
    settings: Settings | None = None,
    so_far: Mapping[str, Floats] | None = None,
    progress: Progress | None = None,
    others_um: Floats | None = None,
) -> Forecast:
    """Wear a mounted disc over ``km`` kilometres and follow its thickness variation to the driver.

    Parameters
    ----------
    case : Case
        Rotor, pads, caliper, duty, judder and limits are used.
    runout_um : ndarray, shape (n,)
        Mounted trace of the disc's mean plane over one turn, + outboard, rotor frame, with all its orders. [um]
    km : float
        Distance.
    worn_um : ndarray, shape (2, m), optional
        Wear already there, outboard and inboard face, instead of the rotor's own thickness variation. [um]
    settings : Settings, optional
    so_far : mapping, optional
        ``going_on`` of an earlier forecast of the same corner: goes on from there, with the identical result.
    progress : callable(fraction, what), optional
    others_um : ndarray, shape (k, n), optional
        Traces that the disc may have instead, all equally likely: they widen the band. [um]

    Returns
    -------
    Forecast

    Raises
    ------
    BadInput
        For a distance, a trace, a worn map or parts that cannot be.
    Refused
        For a rotor at or under its discard thickness or pads that are worn out; if metal does not balance, the solver
        cannot keep its error small, or no draw explains a measurement.

    Notes
    -----
    Archard's law on both faces, marched over averaged turns (`sim.wear.revolution`, `sim.wear.march`); brute force,
    turn by turn, agrees: tests/verification/test_wear_marched.py. How far its bands hold:
    tests/studies/forecast_band.md.
    """
    need_listener(progress)
    settings = Settings() if settings is None else settings
    need_kind(case, Case)
    trace = need_trace(runout_um)
    need_drivable(case, trace, km, settings)
    own = brake = brake_of(case)
    heights = heights_at_first_mm(case, worn_um)
    radius = _radius(case, settings)
    _tell(progress, 0.0, "preparing the wear solver (the first time on a machine it is compiled: 10 to 20 s)")
    turns = case.drive.revolutions_per_km
    others = None if others_um is None else 1e-3 * need_others(trace, others_um)
    disc = Disc(
        trace * 1e-3, radius, heights, case.drive.friction, turns, case.gauge_radius_mm, others, settings.starts_um
    )
    weighed = None
    if settings.evidence and settings.draws > 0:
        weighed = weigh_draws(disc, own, settings.evidence, settings.draws, settings.seed)
        brake = moved(own, weighed)
    problem = make_problem(brake, disc.runout_mm, radius, heights, settings.fineness, case.gauge_radius_mm)
    with _caliper_named(case):
        marched, end, stopped = _march(case, problem, km, settings, so_far, progress)
        distance = np.linspace(0.0, end, settings.points)
        drawn = _draws(disc, own, distance, settings, weighed, progress)
    _tell(progress, 1.0, "driven")
    found = _report(case, problem, marched, distance, trace, drawn)
    curves = {"dtv_um": (distance, found.dtv_um), "drag_nm": (distance, found.drag_nm)}
    said = "" if weighed is None else method(settings.evidence, weighed, brake, curves)
    notes = caveats(case, brake, float(found.drag_nm[0]), stopped, said, worn_um is not None)
    return replace(found, stopped_by=stopped, notes=notes, going_on=_going_on(marched, problem))


@contextmanager
def _caliper_named(case: Case) -> Iterator[None]:
    """Where no march gets there, name a caliper that sticks as given: that is what is far from usual."""
    try:
        yield
    except Refused as refused:
        if sticks := stuck(case):
            raise Refused(f"the caliper first: {sticks} ({KEYS}). As given, {refused}") from None
        raise


def _going_on(marched: March, problem: WearProblem) -> dict[str, Floats]:
    """What it takes to go on: the march, and what it stands on."""
    out = {item.name: getattr(marched, item.name) for item in fields(March)}
    return out | {"stands_on": _stands_on(problem), "layout": np.array([float(LAYOUT)])}


def _stands_on(problem: WearProblem) -> Floats:
    """Brake, runout and new faces of a march as numbers: a march goes on only on the same ones."""
    return np.concatenate([np.array([float(value) for value in problem.law]), problem.base_mm.ravel()])


def _tell(progress: Progress | None, share: float, what: str) -> None:
    if progress is not None:
        progress(share, what)


def _radius(case: Case, settings: Settings) -> float:
    return case.gauge_radius_mm if settings.runout_radius_mm is None else settings.runout_radius_mm


def _march(
    case: Case,
    problem: WearProblem,
    km: float,
    settings: Settings,
    so_far: Mapping[str, Floats] | None,
    progress: Progress | None,
) -> tuple[March, float, str]:
    """March to ``km`` or to where disc or pads are worn out: march, distance reached, what stopped it."""
    turns = case.drive.revolutions_per_km
    names = [item.name for item in fields(March)]
    if so_far is not None and "stands_on" in so_far and float(so_far.get("layout", np.ones(1))[0]) != LAYOUT:
        reason = "the earlier run followed the wear on another grid across the pad: it can be shown, not gone on from"
        raise BadInput(Fault(reason, key="so_far", allowed="a run made by this version, or none: drive it anew"))
    whole = so_far is not None and {"stands_on", *names} <= set(so_far)
    earlier = March(**{name: so_far[name] for name in names}) if so_far is not None and whole else None
    if so_far is not None and not (whole and np.array_equal(so_far["stands_on"], _stands_on(problem))):
        reason = "the earlier run is of another corner or fineness, or began from other readings"
        raise BadInput(Fault(reason, key="so_far", allowed="the same options as then, and a distance"))

    def worn_out(state: Floats) -> bool:
        return settings.wear_out and spent(case, problem, state) != ""

    share = (lambda done, what: progress(0.3 * done, what)) if progress is not None else None

    def worn_share(state: Floats) -> float:
        return spent_share(case, problem, state) if settings.wear_out else 0.0

    marched = march(problem, km * turns, earlier, worn_out, share, MOST_TURNS, worn_share)
    end = min(km * turns, float(marched.revolutions[-1]))
    if not (settings.wear_out and spent(case, problem, states_at(marched, np.array([end]))[0])):
        return marched, km, ""
    low, high = 0.0, end
    for _ in range(50):  # wear only grows: halve until the place is found
        middle = 0.5 * (low + high)
        if spent(case, problem, states_at(marched, np.array([middle]))[0]):
            high = middle
        else:
            low = middle
    return marched, high / turns, spent(case, problem, states_at(marched, np.array([high]))[0])


def _draws(
    disc: Disc,
    brake: Brake,
    distance: Floats,
    settings: Settings,
    weighed: Draws | None,
    progress: Progress | None,
) -> Draws | None:
    """Draw about the case's own values; weighted where something was measured."""
    if settings.draws == 0:
        return None
    share = (lambda done, what: progress(0.4 + 0.6 * done, what)) if progress is not None else None
    if weighed is None:
        return spread(disc, brake, distance, settings.draws, settings.seed, share)
    drawn = spread(disc, brake, distance, weighed.weight.size, settings.seed, share)
    return replace(drawn, weight=weighed.weight)


def _report(
    case: Case, problem: WearProblem, marched: March, distance: Floats, trace: Floats, drawn: Draws | None
) -> Forecast:
    brake, grid, turns = problem.brake, problem.grid, case.drive.revolutions_per_km
    states, rates = states_at(marched, distance * turns), rates_at(marched, distance * turns, WORK)
    shape = (distance.size, 2, grid.rings, grid.angles)
    cells = problem.face_cells
    released, braked = (
        1e3 * np.tensordot(part.reshape(shape), problem.at_gauge, axes=(2, 0))
        for part in (states[:, : 2 * cells], states[:, 2 * cells : 4 * cells])
    )
    thickness = 1e3 * thickness_of(problem, states)
    deviation = thickness - thickness.mean(axis=1, keepdims=True)
    dtv = dtv_of(problem, states)
    squeezed = 1e3 * thickness_under_pad(problem, states)
    amplitude = np.array([np.abs(harmonics(row, max(ORDERS))[1:]) for row in squeezed])
    shaken = felt(amplitude, case, brake)
    drag = drag_of(problem, rates, case.drive.friction)
    low, high, kms, never, moves = bands.band(drawn, distance, dtv, case.limits.dtv_um)
    fade_band, fades = bands.fading(drawn, distance, dtv, case.limits.dtv_um)
    lives = lives_km(case, problem, (states[0], states[-1]), float(distance[-1]))
    angle = 360.0 * np.arange(grid.angles) / grid.angles
    return Forecast(
        distance_km=distance,
        angle_deg=angle,
        dtv_um=dtv,
        dtv_low_um=low,
        dtv_high_um=high,
        thickness_um=deviation,
        outboard_wear_um=released[:, 0] + braked[:, 0],
        inboard_wear_um=released[:, 1] + braked[:, 1],
        released_wear_um=released,
        braked_wear_um=braked,
        face_runout_um=face_runout_um(problem, trace, released + braked),
        drag_nm=drag,
        tap_force_n=np.interp(distance * turns, marched.revolutions, marched.notes[:, 0]),
        km_to_limit=bands.first_crossing_km(distance, dtv, case.limits.dtv_um),
        km_low=kms[0],
        km_high=kms[1],
        probability_never=never,
        km_to_fade=fade_km(distance, dtv, case.limits.dtv_um),
        moves_most=moves,
        draws=0 if drawn is None else drawn.weight.size,
        equivalent_draws=0.0 if drawn is None else drawn.equivalent,
        thin_spots=thin_spots(angle, deviation[-1]),
        torque_variation_nm=shaken.torque_nm,
        pressure_variation_bar=shaken.pressure_bar,
        orders=ORDERS,
        judder_speed_km_h=shaken.speed_km_h,
        judder_band_km_h=shaken.band_km_h,
        pedal_index=shaken.pedal_index,
        wheel_index=shaken.wheel_index,
        felt_order=shaken.order,
        volume_balance=float(marched.balance.max()),
        disc_wear_mm=1e-3 * float(thickness[0].mean() - thickness[-1].mean()),
        pad_wear_mm=float((pad_volume(problem, states[-1]) / brake.area_mm2).max()),
        disc_life_km=lives[0],
        pad_life_km=lives[1],
        disc_life_band_km=disc_band_km(lives[0], problem, drawn),
        pad_life_range_km=pad_range_km(case, lives[1]),
        stopped_by="",
        notes=(),
        going_on={},
        dtv_highest_band_um=bands.highest_band_um(drawn),
        fade_band_km=fade_band,
        probability_fades=fades,
    )
