"""What the film "from tap to judder" tells: two faces tapped, thickness that grows, the speed at which it is felt."""

from __future__ import annotations

from dataclasses import dataclass, replace
from types import SimpleNamespace
from typing import Any

import numpy as np

from scenes.film import timing
from scenes.film.photos import portable
from scenes.film.sweeps import Step, Telling, said
from scenes.film.timing import OPENING, WHOLE
from scenes.geometry import exaggeration
from scenes.words import words
from sim.arrays import Floats
from sim.errors import Refused
from sim.wear import judder

NAME = "from tap to judder"
OTHER = "where is the fault"
CALIPER_DEG = 110.0
FIRST_KM = 5000.0
TOP_KM_H = 160.0
"""Speeds of the film; an order that is felt only faster is not told."""
TOUCH_UM = 1.0
"""A smaller gap is a touch."""
TAPS = (2, 3)
"""Steps in whose middle a pad is tapped."""


@dataclass(frozen=True, eq=False)
class Road:
    """What a forecast tells the film.

    Parameters
    ----------
    distance_km, dtv_um : ndarray, shape (k,)
    angle_deg : ndarray, shape (n,)
        Hub frame. [deg]
    thickness_um : ndarray, shape (k, n)
        Thickness above the thinnest place.
    limit_um, limit_km : float
        Where it is said to be felt, and the distance to there.
    first_km : float
        Distance of the first part.
    order, felt_km_h, hz : int, float, float
        Order told of, speed at which it is felt, the mode's own frequency.
    speed_km_h, shaken : ndarray
        Speeds, and how strongly the mode is shaken there by all orders, greatest 1.
    """

    distance_km: Floats
    dtv_um: Floats
    angle_deg: Floats
    thickness_um: Floats
    limit_um: float
    limit_km: float
    first_km: float
    order: int
    felt_km_h: float
    hz: float
    speed_km_h: Floats
    shaken: Floats

    def at(self, km: float) -> Floats:
        """Thickness above the thinnest place after a distance, shape (n,). [um]."""
        columns = self.thickness_um.T
        thick = np.array([np.interp(km, self.distance_km, column) for column in columns])
        return np.asarray(thick - thick.min())


def road(run: Any) -> Road:
    """Take from a run what the film tells.

    Raises
    ------
    Refused
        For a run without a road, or whose thickness variation never reaches its limit, naming a story that fits.
    """
    forecast, limit = run.forecast, float(run.case.limits.dtv_um)
    instead = f"the story {OTHER!r} can be told of it"
    if forecast is None or run.as_driven is None or run.as_driven.seat is None:
        raise Refused(f"the story {NAME!r} needs a road driven from the corner as driven; {instead}")
    if forecast.km_to_limit is None or forecast.km_to_limit <= 0.0:
        most = words.micrometres(float(np.max(forecast.dtv_um)))
        raise Refused(
            f"the story {NAME!r} needs thickness variation that grows to its limit ({words.micrometres(limit)}); here "
            f"it reaches {most} in {words.kilometres(float(forecast.distance_km[-1]))}: {instead}"
        )
    reached = float(forecast.km_to_limit)
    turns, modes = run.case.drive.revolutions_per_km, judder.modes_of(run.case)
    torque = np.array([np.interp(reached, forecast.distance_km, one) for one in forecast.torque_variation_nm.T])
    speed = np.linspace(20.0, TOP_KM_H, 281)
    shaken = np.sqrt(sum(
        (amount * judder.response(judder.order_frequency_hz(order, speed, turns), modes[0])) ** 2
        for order, amount in zip(forecast.orders, torque, strict=True)
    ))  # fmt: skip
    told = [(amount, order) for order, amount in zip(forecast.orders, torque, strict=True)
            if judder.felt_speed_km_h(order, modes[0].hz, turns) <= TOP_KM_H]  # fmt: skip
    if not told:
        raise Refused(f"no order is felt below {TOP_KM_H:.0f} km/h; {instead}")
    order = max(told)[1]
    first = min(FIRST_KM, 500.0 * max(1.0, round(0.6 * reached / 500.0)))
    return Road(
        np.asarray(forecast.distance_km), np.asarray(forecast.dtv_um),
        (np.asarray(forecast.angle_deg) + exaggeration.index_shift_deg(run)) % 360.0, np.asarray(forecast.thickness_um),
        limit, reached, first, order, judder.felt_speed_km_h(order, modes[0].hz, turns), modes[0].hz,
        speed, np.asarray(shaken / shaken.max()),
    )  # fmt: skip


def tell(run: Any) -> Telling:
    """Make the story of a run; about half a minute.

    Raises
    ------
    Refused
        See ``road``.
    """
    known = road(run)
    seated = portable(SimpleNamespace(case=run.case, seat=run.as_driven.seat))
    high = exaggeration.high_spot_deg(seated)
    first, felt = words.kilometres(known.first_km), words.kilometres(known.limit_km)
    speed = f"{known.felt_km_h:.0f}{words.GAP}km/h"
    there = Step("cause", "", "", 1.0, "road", read=False)
    parts: tuple[tuple[str, float, dict[str, Any]], ...] = (
        ("Driving, brake released.", 2.4, {"turn": (-0.5, 0.0)}),
        ("Look into both pad gaps.", 1.6, {"lenses": OPENING, "shows": "gaps"}),
        ("High spot taps one pad.", 3.2, {"turn": (0.0, 0.5), "lenses": WHOLE, "shows": "gaps", "dwells": True}),
        ("Half a turn on: the other.", 3.2, {"turn": (0.5, 1.0), "lenses": WHOLE, "shows": "gaps", "dwells": True}),
        ("Again on every turn.", 3.0, {"turn": (0.0, 1.0), "lenses": WHOLE, "shows": "gaps worn"}),
        (f"The first {first}: not felt.", 3.4, {"shows": "first km", "grown": OPENING}),
        ("Thick and thin grow on.", 2.8, {"shows": "further km", "grown": OPENING}),
        (f"From {felt} on: felt.", 2.0, {"shows": "felt", "turn": (0.0, 0.5), "grown": WHOLE}),
        ("How strongly, at which speed?", 3.6, {"shows": "speed", "grown": OPENING}),
        (f"Felt most near {speed}.", 2.6, {"shows": "why", "turn": (0.0, 1.0), "grown": WHOLE}),
    )
    steps = tuple(_step(there, *part) for part in parts)
    start = CALIPER_DEG - high - 90.0
    return said(Telling(NAME, {"road": seated}, steps, start, (2, 3, 5, 7, 8, 9), None, {"road": known}))


def _step(like: Step, caption: str, seconds: float, changed: dict[str, Any]) -> Step:
    return replace(like, caption=caption, seconds=seconds, **changed)


def board_seconds(told: Telling) -> list[float]:
    """Six times that tell the story: both taps as they happen, the rest late in their steps. [s]."""
    times = timing.late(told.steps, told.board)
    return [second - (0.35 if step in TAPS else 0.0) * told.steps[step].seconds + (0.02 if step in TAPS else 0.0)
            for second, step in zip(times, told.board, strict=True)]  # fmt: skip


def kilometres(known: Road, shows: str, grown: float) -> float:
    """Distance that a step has come to. [km]."""
    if shows == "first km":
        return known.first_km * grown
    if shows == "further km":
        return known.first_km + (known.limit_km - known.first_km) * grown
    return 0.0 if shows.startswith("gaps") or not shows else known.limit_km


def gap_um(run: Any, hub_deg: float, outboard: bool) -> float:
    """Gap between the middle of a pad and the face under it. [um]."""
    return sum(exaggeration.gap_parts_um(run, hub_deg, outboard))
