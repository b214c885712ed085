"""Where is the dirt: traces really computed of one speck on a perfect hub and rotor, four places to choose from."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from sim import turn
from sim.arrays import Floats
from sim.bench.foil import stand_case
from sim.errors import BadInput, Fault, Refused
from sim.one_thread import one_thread
from sim.parts.case import Case, Debris
from sim.parts.dial import as_read
from sim.progress import Progress, silent
from sim.seating.seat import seat

MOST = 12  # questions of one quiz; more is no quarter of an hour
CHOICES = 4  # as a page of multiple choice has them; common practice, no source
LONG_MM, WIDE_MM, HEIGHT_UM = 12.0, 8.0, 80.0  # one speck for all: along the edge, along the radius, high; judgement
EDGE_MM = 1.0  # within the outer edge, so that the whole speck lies on the face; judgement
INWARD = 0.55  # of the way to the inner edge lies the speck further in: less reads nothing there; judgement
APART_UM = 6.0  # two choices differ at least so much, root mean square, or nobody could tell them apart; judgement
STEP_UM, PLACES = 5.0, 12  # the dial is read to half a division


@dataclass(frozen=True)
class Place:
    """A place on the hub face: angle from stud 1, and whether at the outer edge or further in."""

    angle_deg: float
    at_edge: bool


@dataclass(frozen=True, eq=False)
class Question:
    """One question.

    Parameters
    ----------
    choices : tuple of Place
        Four of them.
    right : int
        Position of the true one.
    trace_um : ndarray, shape (360,)
        Outboard trace as computed, mean removed. [um]
    angle_deg, reading_um : ndarray, shape (12,)
        As a dial reads it, to half a division, nought at the first place. [deg, um]
    runout_um, high_spot_deg : float
        As computed: TIR, and high spot of the first order. [um, deg]
    """

    choices: tuple[Place, ...]
    right: int
    trace_um: Floats
    angle_deg: Floats
    reading_um: Floats
    runout_um: float
    high_spot_deg: float


@dataclass(frozen=True)
class Quiz:
    """Questions on one clean hub and rotor, and the seed that they were drawn with."""

    case: Case
    seed: int
    questions: tuple[Question, ...]


def speck(case: Case, place: Place) -> Debris:
    """Lay the speck at a place: same length along the edge, width and height everywhere. [mm]. Geometry."""
    inner, outer = case.contact_zone_mm
    width = min(WIDE_MM, 0.35 * (outer - inner))
    most = outer - EDGE_MM
    far = most if place.at_edge else most - INWARD * (most - width - inner)
    return Debris(
        angle_deg=place.angle_deg,
        arc_deg=float(np.degrees(LONG_MM / (far - width / 2))),
        inner_radius_mm=far - width,
        outer_radius_mm=far,
        height_um=HEIGHT_UM,
    )


def need_askable(count: int, seed: int) -> None:
    """Refuse a number of questions or a seed that cannot be, before anything is computed.

    Raises
    ------
    BadInput
    """
    if not 1 <= count <= MOST:
        raise BadInput(Fault(f"{count} is out of range", key="--questions", allowed=f"1 .. {MOST}"))
    if seed < 0:
        raise BadInput(Fault(f"{seed} is no seed", key="--seed", allowed="0 or more"))


@one_thread
def quiz(case: Case, count: int = 5, seed: int = 1, progress: Progress = silent) -> Quiz:
    """Draw questions and compute their traces.

    Parameters
    ----------
    case : Case
        Its dirt and the runouts of its parts are left out.
    count : int
        1 to 12.
    seed : int
        Same seed, same quiz.
    progress : callable(fraction, what)

    Returns
    -------
    Quiz

    Raises
    ------
    BadInput
        For another number of questions, or a seed below 0.
    Refused
        If a corner with the speck cannot be seated, or no four places read apart.

    Notes
    -----
    um, as read under nuts and spacers (`sim.seating.seat`, fast preset); places are between studs
    or, at the edge, at them.
    """
    need_askable(count, seed)
    stand = stand_case(case)
    half = stand.studs.pitch_deg / 2
    # Further in and at a stud the speck would lie in the stud's hole.
    every = [(k, Place(k * half, edge)) for k in range(2 * stand.studs.count) for edge in (True, False)]
    places = [place for k, place in every if place.at_edge or k % 2]
    traces: dict[Place, Floats] = {}
    for number, place in enumerate(places):
        progress(number / len(places), "quiz")
        traces[place] = seat(replace(stand, debris=(speck(stand, place),)), "fast").outboard_um
    rng = np.random.default_rng(seed)
    true = _true_places(places, count, rng)
    return Quiz(stand, seed, tuple(_question(places, traces, place, rng) for place in true))


def _true_places(places: list[Place], count: int, rng: np.random.Generator) -> list[Place]:
    """Draw the true places, none twice while there are others, a third of them further in."""
    edge, inward = (
        [places[k] for k in rng.permutation(len(places)) if places[k].at_edge is at] for at in (True, False)
    )
    few = (count + 1) // 3
    drawn = [inward[k % len(inward)] for k in range(few)] + [edge[k % len(edge)] for k in range(count - few)]
    return [drawn[k] for k in rng.permutation(count)]


def _question(places: list[Place], traces: dict[Place, Floats], true: Place, rng: np.random.Generator) -> Question:
    """Choose three wrong places that read apart: the same angle at the other radius first of all."""
    others = [places[k] for k in rng.permutation(len(places)) if places[k] != true]
    others.sort(key=lambda place: place.angle_deg != true.angle_deg)
    chosen = [true]
    for place in others:
        apart = min(float(np.std(traces[place] - traces[one])) for one in chosen)
        if apart >= APART_UM and len(chosen) < CHOICES:
            chosen.append(place)
    if len(chosen) < CHOICES:
        raise Refused("no four places on this hub face read apart: no quiz of it")
    trace = traces[true]
    choices = tuple(chosen[k] for k in rng.permutation(CHOICES))
    at = np.arange(PLACES) * 360.0 / PLACES
    shown = trace[np.round(at).astype(int)]
    return Question(
        choices=choices,
        right=choices.index(true),
        trace_um=trace,
        angle_deg=at,
        reading_um=as_read(shown, STEP_UM),
        runout_um=turn.tir(trace),
        high_spot_deg=turn.high_spot_deg(complex(turn.harmonics(trace, 1)[1])),
    )
