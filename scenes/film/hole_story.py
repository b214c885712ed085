"""What the film "which hole?" tells: a reading of three causes, a chalk mark, two arrows, each hole, the wheel on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from scenes.film.sweeps import Step, Telling, said, tir_um
from scenes.film.timing import CLOSING, NONE, OPENING, WHOLE, Pair
from scenes.geometry import exaggeration
from scenes.words import words
from sim.errors import Refused
from sim.parts.case import Case
from sim.units import shortest_deg

NAME = "which hole"
LEAST_UM = 15.0
"""Less runout than this is no fault to look for; judgement, 10 to 20 um."""
STAYED_SHARE = 0.35
"""A high spot that came less than this share of the way stayed; this near to all of it, it went along. Judgement."""
RAISED: Pair = (0.0, 0.25)
LOWERED: Pair = (0.25, 0.0)
HELD: Pair = (0.25, 0.25)
"""The rotor is held off its seat, and can be seen through, while it is turned."""


@dataclass(frozen=True, eq=False)
class Holes:
    """One corner in all its stud positions.

    Parameters
    ----------
    tir_um : tuple of float
        Runout as read at each position, none turned first. [um]
    hub, rotor : complex
        First order of the reading in TIR, angles of the hub: what stays with the studs, what goes with the rotor. [um]
    """

    tir_um: tuple[float, ...]
    hub: complex
    rotor: complex

    @property
    def best(self) -> int:
        """Position that reads least."""
        return int(np.argmin(self.tir_um))


def positions(case: Case) -> list[Case]:
    """Return the corner in every stud position, as found first.

    Raises
    ------
    Refused
        For a rotor that scale on the spigot has a say in, naming the story of it.
    """
    if case.spigot_scale:
        raise Refused(
            f"the story {NAME!r} moves a rotor that sits home; scale on the spigot is told by the story spigot"
        )
    turned = [(case.studs.studs_turned + k) % case.studs.count for k in range(case.studs.count)]
    return [replace(case, studs=replace(case.studs, studs_turned=k)) for k in turned]


def holes(runs: list[Any]) -> Holes:
    """Part what stays from what goes along, by least squares over all positions (they lie evenly: two means).

    Notes
    -----
    c_k = hub + rotor e^(i k 2 pi / n), so hub = mean c_k and rotor = mean c_k e^(-i k 2 pi / n): a Fourier series.
    """
    n = len(runs)
    first = np.array([_first_order(run) for run in runs])
    turn = np.exp(2j * np.pi * np.arange(n) / n)
    return Holes(tuple(map(tir_um, runs)), complex(np.mean(first)), complex(np.mean(first / turn)))


def _first_order(run: Any) -> complex:
    """First order of the outboard trace over hub angles; its size is the TIR that this order alone would read."""
    angle = np.deg2rad(np.arange(360.0))
    return complex(4.0 * np.mean(exaggeration.reading_um(run, np.arange(360.0)) * np.exp(1j * angle)))


def stayed(found: Any, moved: Any, holes_on: int) -> str:
    """Whether the high spot ``stayed`` with the stud, ``went`` with the rotor, or neither: ``between``."""
    pitch = 360.0 / found.case.studs.count
    way = abs(shortest_deg(exaggeration.high_spot_deg(moved) - exaggeration.high_spot_deg(found)))
    whole = abs(shortest_deg(holes_on * pitch))
    share = way / whole
    return "stayed" if share < STAYED_SHARE else "went" if abs(share - 1.0) < STAYED_SHARE else "between"


COUNTS = {1: "one", 2: "two", 3: "three"}
RESULT = {
    "stayed": "It stayed: hub face or dirt.",
    "went": "It went along: the rotor.",
    "between": "In between: both have a share.",
}


def tell(found: list[Any], cleaned: list[Any], road_um: tuple[float, float, float] | None) -> Telling:
    """Make the story.

    Parameters
    ----------
    found, cleaned : list of Run
        The corner at every stud position, as found first, and the same without dirt.
    road_um : tuple of float, optional
        Least, likely and greatest runout as driven of the cleaned corner at its best position; None where it is not fit
        to drive. [um]

    Returns
    -------
    Telling
        About half a minute.

    Raises
    ------
    Refused
        Where hardly anything is read.
    """
    case = found[0].case
    if tir_um(found[0]) < LEAST_UM:
        raise Refused(f"the story {NAME!r} needs a reading to explain, this corner runs out {tir_um(found[0]):.0f} µm; "
                      "a corner with a [[debris]] table has one")  # fmt: skip
    on = case.studs.count // 2
    dirty, clean = holes(found), holes(cleaned)
    limit = case.limits.mounted_runout_um
    most, best = words.micrometres(limit), words.micrometres(clean.tir_um[clean.best])
    under = [k for k, value in enumerate(dirty.tir_um) if value < limit]
    turned = f"Nuts off. Rotor {COUNTS.get(on, str(on))} holes round."
    chalk: dict[str, Any] = {"shows": "chalk", "grown": WHOLE}
    steps: tuple[Step, ...] = (
        Step("effect", "One turn. One reading.", "", 3.4, "found", OPENING, True),
        Step("cause", "Hub face, rotor, or dirt?", "", 2.0, "found", shows="causes", grown=OPENING),
        Step("cause", "Chalk the high spot.", "", 1.4, "found", shows="chalk", grown=OPENING),
        Step("cause", turned, "", 0.9, "found", read=False, lift=RAISED, **chalk),
        Step("cause", turned, "", 1.8, "found", read=False, lift=HELD, holes=(0.0, float(on)), **chalk),
        Step("cause", turned, "", 0.9, "moved", read=False, lift=LOWERED, **chalk),
        Step("effect", "Where is it high now?", "", 3.4, "moved", OPENING, True, before="found", **chalk),
        Step("cause", RESULT[stayed(found[0], found[on], on)], "", 2.4, "moved", before="found", shows="second chalk",
             grown=OPENING),
        Step("cause", "Each hole turns the rotor's arrow.", "", 3.4, "moved", read=False, shows="as found",
             grown=OPENING),
        Step("number", f"No hole gets under {most}." if not under else f"Best hole: {min(dirty.tir_um):.0f}\u00a0µm.",
             "", 1.0, "moved", read=False, shows="as found", grown=(1.0, 1.01)),
        Step("cause", "Rotor off: dirt on the hub.", "", 1.6, "moved", read=False, lift=OPENING),
        Step("what to do", "Brush the hub face clean.", "", 1.5, "moved", read=False, lift=WHOLE, dirt=CLOSING,
             brush=OPENING),
        Step("what to do", "Clean: nothing left on it.", "", 0.9, "moved", read=False, lift=WHOLE, dirt=NONE),
        Step("what to do", "Hub clean. Rotor on again.", "", 1.3, "clean", read=False, lift=CLOSING),
        Step("what to do", "Hub clean: now each hole.", "", 3.0, "clean", read=False, shows="cleaned",
             grown=OPENING),
        Step("what to do", f"Dirt off, best hole: {best}.", "", 0.8, "clean", read=False, shows="cleaned",
             grown=(1.0, 1.01)),
        Step("effect", "Best hole: one turn.", "", 3.1, "best", OPENING, True, before="found"),
        Step("number", _road(road_um, limit) if road_um is None else "Wheel on: it bends anew.", "", 2.0, "best",
             read=False, shows="bars", grown=OPENING),
        Step("number", _road(road_um, limit), "", 1.1, "best", NONE if road_um is None else (0.0, 0.2),
             read=False, shows="bars", grown=WHOLE),
    )  # fmt: skip
    board: tuple[int, ...] = (1, 4, 7, 9, 15, 18)
    if any(patch.on != "hub" for patch in case.debris):  # what lies on the rotor leaves with it
        off = tuple(replace(step, caption=step.caption.replace("on the hub", "between")) for step in steps[10:11])
        brushed = tuple(replace(step, caption="Brush both faces clean.") for step in steps[11:12])
        steps = (*steps[:10], *off, *brushed, *steps[12:])
    if not case.debris:  # nothing to clean: the best hole is tried at once
        steps, board = steps[:10] + steps[16:], (1, 4, 7, 9, 10, 12)
    runs = {"found": found[0], "moved": found[on], "clean": cleaned[0], "best": cleaned[clean.best]}
    facts: Mapping[str, Any] = {"found": dirty, "cleaned": clean, "on": on, "road_um": road_um}
    return said(Telling(NAME, runs, steps, 0.0, board, None, facts))


def _road(road_um: tuple[float, float, float] | None, limit_um: float) -> str:
    """Say where the corner with its wheel on lies against the limit; never that it is safe."""
    if road_um is None:
        return "Not fit to drive as fastened."
    low, _, high = road_um
    if high < limit_um:
        return "Wheel on: also under the limit."
    return "Dial passes. Wheel on: over it." if low > limit_um else "Wheel on: too close to tell."
