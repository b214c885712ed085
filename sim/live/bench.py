"""One corner ready to be changed by hand: any state of the bench is a real seating, with what a page draws of it."""

from __future__ import annotations

from collections import OrderedDict
from dataclasses import dataclass, field, replace
from itertools import product
from threading import Lock
from typing import Any

import numpy as np

from sim import turn
from sim.arrays import Floats
from sim.corner.driven import reading_doubt_um
from sim.corner.road_state import as_driven
from sim.corner.seated import Seated, seat_corner
from sim.errors import Refused
from sim.files.dial_readings import Readings, Trace, to_csv
from sim.files.feeler import LEAF_UM
from sim.live.moves import Moves, moves, weights
from sim.live.setup import PRESET, Choices, Setup, Speck, case_of, choices
from sim.one_thread import one_thread
from sim.parts.case import Case
from sim.parts.dial import against_limit, as_read
from sim.progress import Progress, silent
from sim.seating.prepared import prepare
from sim.wear.asked import Settings
from sim.wear.forecast import drive

KEPT = 512  # answers kept: a class that drags the same speck about asks for the same places
PLACES, DIAL_UM, STEP_UM = 12, 10.0, 5.0  # a dial of 0.01 mm, read to half a division
WEAR_POINTS = 31  # of the curve of thickness variation: what a small plot shows


@dataclass(frozen=True, eq=False)
class Bench:
    """A corner on the live bench.

    Parameters
    ----------
    choices : Choices
    moves : Moves
    most_um : float
        Largest runout of the seatings that it was prepared with; the picture's stretch follows from it. [um TIR]
    kept : OrderedDict
        Answers already found, by their state; nothing else changes after it is made.
    """

    choices: Choices
    moves: Moves
    most_um: float
    kept: OrderedDict[Setup, dict[str, Any]] = field(default_factory=OrderedDict, repr=False)
    lock: Any = field(default_factory=Lock, repr=False)


@one_thread
def bench_of(case: Case, rotor_mm: Floats, hub_mm: Floats, progress: Progress = silent) -> Bench:
    """Make a corner ready: flexibility of its parts, with nuts and with the wheel, and the shapes that they move by.

    Parameters
    ----------
    case : Case
    rotor_mm, hub_mm : ndarray, shape (points, 2)
        Radius and height of the points that a picture draws. [mm]
    progress : callable(fraction, what)

    Returns
    -------
    Bench

    Raises
    ------
    BadInput, Refused
        As `sim.live.setup.choices` and the seating have them.
    """
    of = choices(case)
    progress(0.05, "flexibility of rotor and hub")
    for wheel in (False, True):
        prepare(case_of(of, replace(of.start, wheel=wheel)), PRESET)
    progress(0.5, "seatings for the picture")
    seats = [seat_corner(case_of(of, one), PRESET, thorough=False) for one in _samples(of)]
    progress(0.8, "how both parts move")
    made = moves(list(seats), rotor_mm, hub_mm)
    most = max(float(max(one.lateral_runout_um.values())) for one in seats[: len(seats) // 2])
    progress(1.0, "ready")
    return Bench(of, made, most)


def _samples(of: Choices) -> list[Setup]:
    """States that span what can be set: places and heights first, then nuts, hub and wheel."""
    start, count = of.start, of.base.studs.count
    inner, outer = of.radius_mm
    # Height in um: the corner's own, so that the picture's stretch fits what is tried most.
    height = of.start.speck.height_um if of.start.speck else of.heights_um[-1]
    steps = np.arange(2 * count) * 180.0 / count
    specks = [
        Speck(float(angle), float(radius), height, "hard")
        for angle, radius in product(steps[:6], np.linspace(inner, outer, 3))
    ]
    placed = [replace(start, speck=speck) for speck in specks]
    loose = [replace(start, speck=None, nuts=tuple(0.0 if j == k else 1.0 for j in range(count))) for k in range(2)]
    others = [
        replace(start, speck=None),
        replace(start, speck=None, hub_um=of.hub_um[-1], hub_deg=40.0),
        replace(start, wheel=not start.wheel),
        *loose,
        *(replace(one, nuts=(0.5, *one.nuts[1:])) for one in placed[:8]),
    ]
    return placed + others + [replace(start, speck=replace(specks[k], height_um=of.heights_um[0])) for k in range(4)]


@one_thread
def seat_setup(of: Bench, setup: Setup) -> Seated:
    """Seat one state of the bench.

    Raises
    ------
    Refused
        If physics does: no nut on, forces that cannot seat the rotor.
    """
    return seat_corner(case_of(of.choices, setup), PRESET, thorough=False)


@one_thread
def answer(of: Bench, setup: Setup) -> dict[str, Any]:
    """What the page shows of one state; a state that physics refuses is answered with its reason.

    Parameters
    ----------
    of : Bench
    setup : Setup

    Returns
    -------
    dict
        ``runout_um`` and ``trace_um`` of the face that the dial reads (ROTOR frame, one value a degree), the high spot
        in the HUB frame, what is left of the speck, weights of the shapes for the viewer. [um, deg, mm]
    """
    with of.lock:
        if setup in of.kept:
            of.kept.move_to_end(setup)
            return of.kept[setup]
    try:
        found = _told(of, setup, seat_setup(of, setup))
    except Refused as error:
        found = {"refused": str(error)}
    with of.lock:
        of.kept[setup] = found
        while len(of.kept) > KEPT:
            of.kept.popitem(last=False)
    return found


def _told(of: Bench, setup: Setup, seat: Seated) -> dict[str, Any]:
    case = seat.case
    trace = seat.outboard_um if case.gauge.face == "outboard" else seat.inboard_um
    shift = setup.hole * case.studs.pitch_deg
    rotor, hub = weights(of.moves, seat)
    limit = case.limits.mounted_runout_um
    return {
        "runout_um": round(seat.gauge_runout_um, 4),
        "limit_um": limit,
        "against_limit": against_limit(seat.gauge_runout_um, limit, reading_doubt_um(case)),
        "high_deg": float((np.argmax(trace) + shift) % 360.0),
        "first_um": round(2.0 * abs(complex(turn.harmonics(trace, 1)[1])), 4),
        "trace_um": [round(float(value), 3) for value in trace],
        "left_um": round(float(seat.contact.residual_height_um[0]), 2) if case.debris else 0.0,
        "rotor": _pairs(rotor),
        "hub": _pairs(hub),
        "warnings": [one.replace("debris 1:", "The speck:") for one in seat.warnings],  # the only dirt there is
    }


def _pairs(values: np.ndarray) -> list[float]:
    return [float(f"{part:.6g}") for value in values for part in (value.real, value.imag)]


def table(of: Bench, setup: Setup) -> dict[str, Any]:
    """Twelve readings of the mounted rotor as a dial of 0.01 mm gives them, to half a division, and their file.

    Parameters
    ----------
    of : Bench
    setup : Setup

    Returns
    -------
    dict
        ``angle_deg`` (ROTOR frame), ``reading_um``, ``csv`` in the format of `sim.files.dial_readings`.

    Raises
    ------
    Refused
        As `seat_setup`.

    Notes
    -----
    Read without error but for the rounding: um, nought at the first place, by definition.
    """
    found = answer(of, setup)
    if "refused" in found:
        raise Refused(found["refused"])
    base = of.choices.base
    at = np.arange(PLACES) * 360.0 / PLACES
    read = as_read(np.array(found["trace_um"])[np.round(at).astype(int)], STEP_UM)
    kind = "mounted" if base.gauge.face == "outboard" else "inboard"
    clamped = "wheel" if setup.wheel else "nuts and spacers"
    trace = Trace(kind, 1, setup.hole, at, read, 0.0, clamped_by=clamped, feeler_um=LEAF_UM)
    readings = Readings(base.studs.count, base.gauge_radius_mm, None, DIAL_UM, (trace,))
    text = to_csv(readings, ["Computed on the live bench, invented: no car was read."])
    return {"angle_deg": at.tolist(), "reading_um": read.tolist(), "csv": text}


@one_thread
def worn(of: Bench, setup: Setup, km: float) -> dict[str, Any]:
    """Thickness variation after so many kilometres on the road with this seating, wheel on.

    Parameters
    ----------
    of : Bench
    setup : Setup
    km : float

    Returns
    -------
    dict
        Distances, thickness variation, its limit, and where it is passed or None. [km, um]

    Raises
    ------
    Refused
        For a corner that is not fastened to drive, or cannot be seated.

    Notes
    -----
    `sim.wear.forecast.drive` with the case's own values: one curve of the band that `trueseat drive` prints. [um, km]
    """
    seat = seat_corner(as_driven(case_of(of.choices, setup)), PRESET, thorough=False)
    found = drive(seat.case, (seat.outboard_um + seat.inboard_um) / 2.0, km, settings=Settings(0, 1, WEAR_POINTS))
    return {
        "km": [float(value) for value in found.distance_km],
        "dtv_um": [round(float(value), 3) for value in found.dtv_um],
        "limit_um": seat.case.limits.dtv_um,
        "km_to_limit": found.km_to_limit,
        "driven_um": round(seat.gauge_runout_um, 2),
    }
