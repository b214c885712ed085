"""Questions put to the forecast: the table of duty, caliper, pads and runout; what remains once the hub is clean."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from sim.arrays import Floats
from sim.bench.cut_on_car import Cut, Stock, cut_on_car, cut_words, missing_for_cut, no_cut
from sim.corner.road_state import as_driven
from sim.one_thread import one_thread
from sim.parts.case import Case
from sim.parts.dial import ABOVE, BELOW, TOO_CLOSE, beside_limit
from sim.parts.discard import refuse_scrap
from sim.parts.hub_face import face_as_given
from sim.parts.thickness import NO_FINER, NOT_ALONE, Uneven
from sim.progress import Progress, need_listener
from sim.spigot.state import need_free_spigot
from sim.turn import resample
from sim.units import about_km
from sim.wear.asked import Settings
from sim.wear.brake import DISC_WEAR_MM3_PER_NM, DUTIES
from sim.wear.forecast import Forecast, drive
from sim.wear.forecast_words import NOT_STUDIED
from sim.wear.lives import true_wear_mm_per_km

RENEW = "renew it, in axle pairs"
#: Where nothing that is known leaves no room for a cut: how far its maker allows one stands in his papers.
RENEW_OR_CUT = "renew it, or cut it where its maker allows, in axle pairs"
#: How it is asked whether runout wore a rotor.
ASK = "give the kilometres since it was fitted, --driven"
#: What becomes of a thickness below its limit: while nothing is cleaned, and where the table holds a turn read clean.
NOT_BOUGHT = "Nothing is bought for its thickness: clean hub and rotor seat, read the runout"
#: Of one that grows over its limit again once dirt and scale are off.
STILL_LEANS = "Find what still leans it before it is left on: cleaned, it still runs out by what its case gives"
HUB_LEANS = "Hub and bearing first, then it is read: cleaned, its hub face of {hub:.0f} µm still leans it"
READ_CLEAN = "Nothing is bought for its thickness; it was cleaned and read: `causes` says what its runout wants"
#: Second order in the runouts of the table, amplitude over the first: a seat over dirt is never a pure lean. Judgement.
SECOND = 0.1


@dataclass(frozen=True)
class DutyRow:
    """One line of the table; distances in km, None = not within the distance asked for.

    Parameters
    ----------
    duty, caliper, pads : str
    runout_um : float
        Mounted runout, TIR of the first order.
    km_to_10, km_to_15, km_to_20 : float or None
        Where the thickness variation of the nominal parameters reaches 10, 15 and 20 um.
    km_to_limit : float or None
        Where they reach the case's own limit.
    km_low, km_high : float or None
        80 % band of that.
    probability_never : float
        Share of the draws that do not reach that limit.
    peak_um, peak_km : float
        Highest thickness variation, and where.
    end_um : float
        At the end of the distance.
    drag_nm, tap_force_n : float
        At the start.
    draws : int
        Behind the band; 0 = no band was made, and the three figures of it say nothing.
    """

    duty: str
    caliper: str
    pads: str
    runout_um: float
    km_to_10: float | None
    km_to_15: float | None
    km_to_20: float | None
    km_to_limit: float | None
    km_low: float | None
    km_high: float | None
    probability_never: float
    peak_um: float
    peak_km: float
    end_um: float
    drag_nm: float
    tap_force_n: float
    draws: int


def _reach(found: Forecast, level: float) -> float | None:
    over = np.nonzero(found.dtv_um >= level)[0]
    if over.size == 0:
        return None
    k = int(over[0])
    if k == 0:
        return 0.0
    return float(np.interp(level, found.dtv_um[k - 1 : k + 1], found.distance_km[k - 1 : k + 1]))


@one_thread
def duty_table(
    case: Case,
    runout_um: Sequence[float] = (30.0, 50.0, 80.0, 100.0, 150.0),
    km: float = 30_000.0,
    draws: int = 200,
    seed: int = 1,
    progress: Progress | None = None,
) -> tuple[DutyRow, ...]:
    """Every duty with every caliper and pad at some runouts; discs and pads are not stopped when worn out.

    Parameters
    ----------
    case : Case
        Everything else is taken from it; its rotor wear is replaced by that of each kind of pad.
    runout_um : sequence of float
        Mounted runout, TIR.
    km : float
    draws, seed : int
        Behind each band; 0 leaves the bands out and is fifty times faster.
    progress : callable, optional

    Returns
    -------
    tuple of DutyRow
        Ordered by caliper, pads, duty, runout.

    Raises
    ------
    Refused
        If scale on the spigot makes the bore too tight or holds the rotor off: that corner is cleaned, not driven. If
        its nuts are not fit to drive with, or its rotor is at its discard thickness or under it.

    Notes
    -----
    Runout in um TIR, distances in km; each cell is `sim.wear.forecast.drive`, whose sources stand with it.
    """
    need_listener(progress)
    need_free_spigot(case)
    as_driven(case)
    refuse_scrap(case, at_too=True)
    theta = 2.0 * math.pi * np.arange(360) / 360
    settings = Settings(draws=draws, seed=seed, points=151, wear_out=False)
    kinds = [
        (style, kind, use, tir_um)
        for style in ("floating", "fixed")
        for kind in DISC_WEAR_MM3_PER_NM
        for use in DUTIES
        for tir_um in runout_um
    ]
    rows = []
    for done, (style, kind, use, tir_um) in enumerate(kinds):
        if progress is not None:
            progress(done / len(kinds), f"{style}, {kind}, {use}, {tir_um:g} µm")
        one = replace(
            case,
            caliper=replace(case.caliper, style=style),
            pads=replace(case.pads, kind=kind, disc_wear_mm3_per_nm=DISC_WEAR_MM3_PER_NM[kind]),
            drive=replace(case.drive, duty=use, brake_share=None, pressure_mpa=None),
        )
        trace = 0.5 * tir_um * (np.cos(theta) + SECOND * np.cos(2.0 * theta - 1.0))
        rows.append(_row(one, tir_um, drive(one, trace, km, settings=settings)))
    if progress is not None:
        progress(1.0, "table done")
    return tuple(rows)


def _row(case: Case, tir_um: float, found: Forecast) -> DutyRow:
    peak = int(np.argmax(found.dtv_um))
    return DutyRow(
        duty=case.drive.duty,
        caliper=case.caliper.style,
        pads=case.pads.kind,
        runout_um=float(tir_um),
        km_to_10=_reach(found, 10.0),
        km_to_15=_reach(found, 15.0),
        km_to_20=_reach(found, 20.0),
        km_to_limit=found.km_to_limit,
        km_low=found.km_low,
        km_high=found.km_high,
        probability_never=found.probability_never,
        peak_um=float(found.dtv_um[peak]),
        peak_km=float(found.distance_km[peak]),
        end_um=float(found.dtv_um[-1]),
        drag_nm=float(found.drag_nm[0]),
        tap_force_n=float(found.tap_force_n[0]),
        draws=found.draws,
    )


@dataclass(frozen=True, eq=False)
class Remains:
    """What becomes of a worn disc once its seat is clean.

    Parameters
    ----------
    forecast : Forecast
        From the worn disc on.
    dtv_now_um : float
    km_to_fade : float or None
        Where the thickness variation has fallen below the limit for good; None if not within the distance, or not told.
    km_low, km_high : float or None
        80 % band of it.
    probability_fades : float or None
        Share of the draws in which it does so within the distance; None, as the distances, where none is told: it is
        not over its limit beyond the readings' uncertainty, or the model starts at it, or it is not known that runout
        wore it.
    thickness_after_cut_mm : float or None
        After both faces are cut true on the car; None where the thickness was not measured with a micrometer, or the
        maker's ``rotor.machine_to_thickness_mm`` is not known.
    verdict : str
        In words: the act, then why.
    cut : Cut or None
        That cut, with what it leaves.
    missing_for_cut : tuple of str
        What is not known that a cut needs.
    varies : Uneven or None
        Thickness variation as read, with its uncertainty and how it stands against the limit; None where it was given.
    discard : str
        How it stands against its discard thickness, in words; empty where nobody asked.
    act, why : str
        The one thing to do, and why: the verdict in two.
    """

    forecast: Forecast
    dtv_now_um: float
    km_to_fade: float | None
    km_low: float | None
    km_high: float | None
    probability_fades: float | None
    thickness_after_cut_mm: float | None
    verdict: str
    cut: Cut | None = None
    missing_for_cut: tuple[str, ...] = ()
    varies: Uneven | None = None
    discard: str = ""
    act: str = ""
    why: str = ""


@one_thread
def after_cleaning(
    case: Case,
    worn_um: Floats,
    runout_after_um: Floats,
    km: float = 30_000.0,
    settings: Settings | None = None,
    measured: bool = False,
    varies: Uneven | None = None,
    worn_by_runout: bool | None = True,
) -> Remains:
    """Clean the hub now: does the thickness variation fade, in how many kilometres, or must the rotor go.

    Parameters
    ----------
    case : Case
        Its ``rotor.thickness_mm`` is the thickness at the thickest place.
    worn_um : ndarray, shape (2, n)
        Worn map of both faces (``sim.wear.asked.faces_from_thickness`` makes one from a thickness map).
    runout_after_um : ndarray, shape (n,)
        Mounted runout of the clean corner.
    km : float
    settings : Settings, optional
    measured : bool
        Whether that thickness was measured with a micrometer: a cut is offered on no other.
    varies : Uneven, optional
        How far the readings vary that the worn map is from: their uncertainty stands in the verdict.
    worn_by_runout : bool or None
        Whether runout wore that map; None where that is not known. What a pad printed or what came from new does not
        grind away as the model has it: then no distance is told.

    Returns
    -------
    Remains

    Raises
    ------
    Refused
        For a rotor at or under its discard thickness.

    Notes
    -----
    Wear and runout in um; the forecast's law from a worn disc, and `sim.bench.cut_on_car`.
    """
    settings = replace(Settings() if settings is None else settings, worn_varies=varies)
    found = drive(case, runout_after_um, km, worn_um=worn_um, settings=settings)
    worn = np.asarray(worn_um, dtype=float)
    (low, high), probability = found.fade_band_km, found.probability_fades
    cut, missing = _cut_of(case, worn, np.asarray(runout_after_um, dtype=float), measured)
    limit = case.limits.dtv_um
    over = found.dtv_um[0] > limit if varies is None else varies.state == ABOVE
    settled = bool(over and found.dtv_um[0] > limit and worn_by_runout)
    varies_um = float(np.ptp(worn.sum(axis=0)))
    short = no_cut(case, case.rotor.thickness_mm - 1e-3 * varies_um if measured else None, varies_um)
    act, why = _verdict(case, found, _instead(cut, missing, short), varies)
    if over:
        why += f". {_fades(found, limit, km, (low, high, probability), worn_by_runout)}"
    return Remains(
        forecast=found,
        dtv_now_um=float(found.dtv_um[0]),
        km_to_fade=found.km_to_fade if settled else None,
        km_low=low if settled else None,
        km_high=high if settled else None,
        probability_fades=probability if settled else None,
        thickness_after_cut_mm=None if cut is None else cut.thickness_mm,
        verdict=f"{act}. {why}",
        cut=cut,
        missing_for_cut=() if short else missing,
        varies=varies,
        act=act,
        why=why,
    )


def _cut_of(case: Case, worn_um: Floats, runout_um: Floats, measured: bool) -> tuple[Cut | None, tuple[str, ...]]:
    """A cut on the car of a worn rotor, or what is missing to say anything of it."""
    rotor, machine_to = case.rotor, case.rotor.machine_to_thickness_mm
    if machine_to is None or not measured:
        return None, missing_for_cut(machine_to, measured)
    runout = resample(runout_um, worn_um.shape[1])
    mean = rotor.thickness_mm - 1e-3 * float(worn_um.sum(axis=0).mean())
    stock = Stock(mean, machine_to, rotor.minimum_thickness_mm, true_wear_mm_per_km(case))
    return cut_on_car(runout - worn_um[0], runout + worn_um[1], stock), ()


def _instead(cut: Cut | None, missing: tuple[str, ...], short: str) -> tuple[str, str]:
    """Say what becomes of a rotor over its limit, and what stands beside that; ``short``: why no cut leaves enough."""
    if cut is None:
        if short:
            return RENEW, f"no cut on the car: {short}"
        return RENEW_OR_CUT, f"no cut on the car is offered without {' and '.join(missing)}"
    if not cut.possible:
        return RENEW, f"no cut on the car: {cut.refused}"
    return "cut it on the car, both of the axle", f"it {cut_words(cut)}"


def _still_leans(case: Case) -> str:
    """What to do before a rotor is left on whose thickness grows again on a cleaned corner."""
    hub = face_as_given(case)
    return STILL_LEANS if hub is None or hub.state != ABOVE else HUB_LEANS.format(hub=hub.runout_um)


def _verdict(case: Case, found: Forecast, instead: tuple[str, str], varies: Uneven | None) -> tuple[str, str]:
    """Say the one thing to do, and why."""
    limit, start = case.limits.dtv_um, float(found.dtv_um[0])
    state = (BELOW if start <= limit else ABOVE) if varies is None else varies.state
    said = f"{start:.1f} µm, {beside_limit(start, limit, state, 1)} the limit of {limit:g} µm"
    if varies is not None:
        said = varies.said
    if varies is not None and varies.counts_neither:
        return NOT_BOUGHT, f"{said}. {NOT_ALONE[:1].upper()}{NOT_ALONE[1:]}"
    if varies is not None and state == TOO_CLOSE:
        over = f"over the limit: {instead[0]}; {instead[1]}"
        if varies.counts_over:
            return f"Count it as over: {instead[0]}", f"{said}; {instead[1]}"
        return f"Buy nothing yet: {varies.again.removeprefix(NO_FINER)}", f"{said}. If it is then {over}"
    if state == BELOW:
        if float(found.dtv_um.max()) >= limit:
            return (
                _still_leans(case),
                f"Its thickness grows over the limit again; now {said}",
            )
        return NOT_BOUGHT, said
    act, beside = instead
    return f"{act[:1].upper()}{act[1:]}", f"{said}; cleaning does not bring the metal back; {beside}"


def _fades(
    found: Forecast,
    limit_um: float,
    km: float,
    drawn: tuple[float | None, float | None, float],
    worn_by_runout: bool | None,
) -> str:
    """Say after what distance the model would have it fade, last of all; or why none is told."""
    if worn_by_runout is None:
        return f"No distance to fade is told: it is not known that runout wore it ({ASK})"
    if not worn_by_runout:
        return (
            "No distance to fade is told: no simulated rotor that runout wore looks like this one, and what a pad "
            "printed or what came from new need not grind away"
        )
    if found.dtv_um[0] <= limit_um:
        return "No distance to fade is told: the model starts at the limit"
    if found.km_to_fade is None or drawn[2] <= 0.5:
        return f"The model does not see it fade within {km:g} km"
    low, high = (None if end is None else about_km(end) for end in drawn[:2])
    doubt = f" ({low} to {high or f'over {km:g} km, or never'}, {NOT_STUDIED})" if low and low != high else ""
    after = about_km(found.km_to_fade)
    return f"Left on, by a guess of the model, it is below {limit_um:g} µm after about {after} of driving{doubt}"
