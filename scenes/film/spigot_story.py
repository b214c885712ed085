"""What the film about scale on the spigot tells: timed steps along the computed way on to it. No drawing here."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from scenes.film import sweeps, timing
from scenes.film.timing import between, step_at
from scenes.geometry import shapes
from scenes.plots import bore_view
from scenes.words import fastening, spigot, words
from scenes.words.corner import HAIR_UM
from scenes.words.spigot import distance
from sim.errors import Refused
from sim.parts.case import Case
from sim.parts.materials import CRUSHED_MPA, tensile_strength_mpa
from sim.parts.spigot_room import clearance_mm, free_play
from sim.spigot.hand_and_nuts import FRICTION, HAND_N, OneNut
from sim.spigot.way_on import Station, WayOn

NAME = "spigot"
SHARE_STEPS = 400
"""Places along the way are rounded to this share of a step, so that frames that look alike are drawn once."""
FACTOR_STEPS = 40
LEAST_LEAN_UM = 1.0
BEGUN = (0.35, 1.0)
"""While the cause is told the rotor comes nearer already, so far of its way."""
MOVES = 0.82
"""Share of a step in which its motion is over, so that the figure at its end can be read."""
CLEAN_FROM_MM = 9.0
FORCED = "Forced on, the stress rises."
LEAST_TRAVEL_UM = 60.0
"""Sideways moves and the seating count as this much travel, so that they are seen to happen."""


@dataclass(frozen=True)
class Step(timing.Step):
    """One step; pairs are values at its start and its end.

    Parameters
    ----------
    go : tuple of float
        From which station to which, in travelled share of the way.
    grown : tuple of float
        Stretch of the whole view: 0 that of a rotor that stands off, 1 that of one that is home.
    trace : tuple of float
        How much of the dial's trace is uncovered, 0..1.
    shows : str
        ``facts``, ``push``, ``one nut``, ``crack``, ``dial``, ``advice`` or ``clean``; ``trace`` counts for the
        second to fourth.
    facts : tuple of str
        A figure in large letters and what it is; empty: what lies on the spigot.
    way : tuple of float
        Which part of the travel from ``go`` to ``go``, 0..1.
    early : str
        What it says until its motion is over: no figure is told before it is shown.
    """

    go: tuple[int, int]
    grown: tuple[float, float] = (0.0, 0.0)
    trace: tuple[float, float] = (0.0, 0.0)
    shows: str = "facts"
    facts: tuple[str, ...] = ()
    way: tuple[float, float] = (0.0, 1.0)
    early: str = ""


@dataclass(frozen=True, eq=False)
class Telling:
    """A film before it is drawn: the way, its section moved at every station, the steps.

    Parameters
    ----------
    way : WayOn
    cut : bore_view.Cut
    moved : tuple of bore_view.Moved
        One for each station.
    close : bore_view.Stretch
    whole : tuple of float
        Stretch of the whole view while the rotor stands off, and when it is home.
    facts : tuple of str
        A figure in large letters and what it is.
    steps : tuple of Step
    one_nut : OneNut, optional
        The nut that strains the bore most when it is run up first.
    cocked : bore_view.Moved, optional
        The section as it leaves the rotor, not strained; the lean is laid into the plane of the section.
    clean : bore_view.Cut, optional
        The same section without scale, where the bore then has room.
    """

    way: WayOn
    cut: bore_view.Cut
    moved: tuple[bore_view.Moved, ...]
    close: bore_view.Stretch
    whole: tuple[float, float]
    facts: tuple[str, str]
    steps: tuple[Step, ...]
    one_nut: OneNut | None = None
    cocked: bore_view.Moved | None = None
    clean: bore_view.Cut | None = None

    @property
    def seconds(self) -> float:
        """Whole length. [s]."""
        return timing.length(self.steps)


@dataclass(frozen=True)
class Moment:
    """What a frame shows: step, place on the way (station, share to the next), stretch of the whole view, trace."""

    step: Step
    at: float
    factor: float
    trace: float
    done: bool = True


def need(case: Case) -> None:
    """Refuse a corner that this story cannot be told of, naming one that can (``Refused``)."""
    if not case.spigot_scale:
        other = "where is the fault" if any(patch.height_um > 0.0 for patch in case.debris) else "which hole"
        raise Refused(
            f"the story {NAME!r} needs a [[spigot_scale]] table; the story {other!r} can be told of this corner"
        )


def tell(way: WayOn) -> Telling:
    """Make the story of a way on to the spigot.

    Parameters
    ----------
    way : WayOn

    Returns
    -------
    Telling
        15 to 32 s.
    """
    of = bore_view.cut(way.case)
    moved = tuple(bore_view.moved(of, station.rotor, station.hub) for station in way.stations)
    lean = max(station.lean_um for station in way.stations) / 2000.0 / way.case.gauge_radius_mm
    off = bore_view.whole_stretch(way.case, moved[1], way.stations[1].stand_off_um / 1000.0)
    last = bore_view.whole_stretch(way.case, moved[-1], way.stations[-1].stand_off_um / 1000.0)
    nut = _worst_nut(way)
    if not way.state.wedged or nut is not None:
        off = 1.0  # what one nut does is seen at true size, and so is what is compared with it
    steps = _over_scale(way, moved[-1]) if way.state.wedged else _with_room(way, moved[-1])
    steps = fastening.of_steps(steps, way.case.studs)
    hand = moved[way.index("hand") or 0]
    cocked = None if nut is None else _cocked(of, hand, nut)
    close = bore_view.close_stretch(way.case, lean)
    clean = replace(of, case=replace(way.case, spigot_scale=()), scales=())
    roomy = clearance_mm(clean.case) > 0.0
    steps = (*steps, *((_clean(way, len(way.stations) - 1),) if roomy else ()))
    return Telling(way, of, moved, close, (off, last), _facts(way), steps, nut, cocked, clean if roomy else None)


def _worst_nut(way: WayOn) -> OneNut | None:
    """The nut that strains the bore most when it is run up first; None where a hand puts the rotor home."""
    return max(way.state.one_nut, key=lambda nut: nut.hoop_mpa, default=None) if way.index("hand") else None


def _cocked(of: bore_view.Cut, hand: bore_view.Moved, nut: OneNut) -> bore_view.Moved:
    """Lean the section from where the hand left it, toward the nut: as far as it stands off and leans then."""
    case = of.case
    away = math.radians(360.0 * (nut.stud - 1) / case.studs.count - of.angle_deg)
    slope = -math.copysign(0.5e-3 * nut.lean_um / case.gauge_radius_mm, math.cos(away))
    level = shapes.levels(case)
    held = float(hand.tips[:, 1].mean())
    lower = 1e-3 * nut.stand_off_um - held
    pieces = tuple(
        moves + np.column_stack([-slope * piece.flat[:, 1], lower + slope * piece.flat[:, 0]])
        if piece.part == "part" else moves
        for piece, moves in zip(of.pieces, hand.pieces, strict=True)
    )  # fmt: skip
    side = np.array([1.0, -1.0]) * case.gauge_radius_mm
    tips = hand.tips + np.column_stack([np.full(2, -slope * level.outboard_face_mm), lower + slope * side])
    angle = np.deg2rad(np.arange(360.0) + case.studs.turned_deg - of.angle_deg)
    return bore_view.Moved(
        pieces, hand.scales, tips, hand.trace_um + 1000.0 * slope * case.gauge_radius_mm * np.cos(angle)
    )


def _facts(way: WayOn) -> tuple[str, str]:
    scale = bore_view.highest(way.case)
    height = scale.height_um if scale else 0.0
    room = words.micrometres(1000.0 * clearance_mm(way.case))
    hair = words.micrometres(HAIR_UM)
    where = words.degrees(scale.angle_deg if scale else 0.0)
    return (
        f"{words.micrometres(height)} of scale",
        f"on the spigot, at {where} on the hub. The bore has {room} of room all round; a hair is about {hair}",
    )


def _over_scale(way: WayOn, last: bore_view.Moved) -> tuple[Step, ...]:
    hand, rest, end = way.index("hand"), way.index("rest"), len(way.stations) - 1
    friction = f"friction {FRICTION[0]:g} to {FRICTION[1]:g}"
    forces = words.span(*HAND_N, "N")
    steps = [_cause(way)]
    if hand is None:
        tight = f"Two hands push about {forces}. The bore is tight all the same."
        steps.append(
            Step("effect", "A hand pushes it home over the scale.", tight, 5.0, (0, end), shows="push", way=BEGUN)
        )
    else:
        by_hand = distance(*way.state.hand_stand_off_um)
        steps.append(Step("effect", f"Pushed on by hand, it stops {by_hand} off.",
                          f"The bore's edge meets the scale. Two hands push about {forces}.", 3.5, (0, hand),
                          shows="push", way=BEGUN, early="Pushed on by hand."))  # fmt: skip
        steps += _one_nut_first(way, hand)
        steps.append(_drawn_on(way, hand, rest))
        steps.append(_forced(way, rest if rest is not None else _most_leaning(way), end, friction))
    if not way.binds:
        steps.append(_waves(way, last, end))
    steps.append(_advice(end, 0.0 if way.binds else 1.0))
    return tuple(steps)


def _one_nut_first(way: WayOn, hand: int) -> list[Step]:
    """What boys do: one nut run up first. It cocks, and the bore is strained; where it is too much, the crack."""
    nut, strength = _worst_nut(way), tensile_strength_mpa(way.case.rotor)
    if nut is None:
        return []
    leans = f"It cocks by {distance(nut.lean_um)} at the dial. Drawn at true size, in the plane of the section."
    steps = [Step("effect", f"Nut {nut.stud} run up first: it cocks.", leans, 3.5, (hand, hand), trace=(0.0, 1.0),
                  shows="one nut", early=f"Nut {nut.stud} run up first.")]  # fmt: skip
    most, breaks = spigot.strained(nut.hoop_mpa, strength), words.with_unit(strength, "MPa", 3)
    bound = f"Scale taken as hard: an upper bound. {spigot.FATIGUE}"
    said = f"The bore {most}." if nut.hoop_mpa > strength else f"{most} at the bore; it breaks at {breaks}."
    steps.append(Step("effect", said, bound, 4.0, (hand, hand), trace=(0.0, 1.0), shows="crack",
                      early="What that does to the bore."))  # fmt: skip
    return steps


def _cause(way: WayOn) -> Step:
    held = "It leaves the bore too little room." if way.state.wedged else "The bore has room beside it."
    return Step("cause", f"{words.capital(_facts(way)[0])} sits on the spigot.",
                f"{held} Figures are true; what is enlarged says so.", 2.5,
                (0, way.index("hand") or _end_of_first(way)), way=(0.0, BEGUN[0]))  # fmt: skip


def _end_of_first(way: WayOn) -> int:
    """Where the first motion of a way ends that no hand stops: over scale at its end, with room at the next place."""
    return len(way.stations) - 1 if way.state.wedged else 1


def captions(told: Telling) -> tuple[tuple[float, float, str], ...]:
    """From when to when which words stand. [s]."""
    found: list[tuple[float, float, str]] = []
    for (begin, end, text), step in zip(sweeps.captions(told.steps), told.steps, strict=True):
        turns = begin + MOVES * step.seconds if step.early else begin
        found += [(begin, turns, step.early)] if step.early else []
        found.append((turns, end, text))
    return tuple(found)


def _drawn_on(way: WayOn, hand: int, rest: int | None) -> Step:
    """The nuts take over from the hand: as far as they leave it, or to where it leans most on its way home."""
    if rest is not None:
        station = way.stations[rest]
        span = distance(*way.state.stand_off_um)
        here = f"Here {distance(station.stand_off_um)} off. It may be {span}: friction decides, and how it was put on."
        return Step("effect", "All nuts evenly instead: jammed, it leans.", here, 3.5, (hand, rest), shows="push")
    most = _most_leaning(way)
    lean = way.stations[most].lean_um
    if lean < LEAST_LEAN_UM:
        straight = "It goes on straight, and the bore is stretched all the way."
        return Step("effect", "All nuts evenly instead: the bore binds.", straight, 3.5, (hand, most), shows="push")
    leans = f"{distance(lean)} at the dial while it is on its way."
    return Step("effect", "All nuts evenly instead: it binds, it leans.", leans, 3.5, (hand, most), shows="push")


def _most_leaning(way: WayOn) -> int:
    first = way.index("hand") or 1
    most = max(range(first, len(way.stations)), key=lambda k: way.stations[k].lean_um)
    return most if way.stations[most].lean_um >= LEAST_LEAN_UM else (first + len(way.stations)) // 2


def _forced(way: WayOn, start: int, end: int, friction: str) -> Step:
    strength = words.with_unit(tensile_strength_mpa(way.case.rotor), "MPa", 3)
    highest = max(station.hoop_mpa for station in way.stations)
    most = spigot.strained(highest, tensile_strength_mpa(way.case.rotor))
    said = "The bore" if highest > tensile_strength_mpa(way.case.rotor) else "The stress at the bore reaches"
    stress = f"{said} {most}; this iron breaks at {strength}. {spigot.FATIGUE}"
    if way.binds:
        return Step("number", "It binds: nothing draws it home.", stress, 3.5, (start, end), shows="push", early=FORCED)
    # No torque is told: a figure beside a nut is taken for an instruction.
    does = "would be" if way.index("rest") is not None else "is"
    scored = way.state.bore_pressure_mpa > CRUSHED_MPA
    caption = f"Forced home, the bore {does} {'scored' if scored else 'strained'}: damage."
    small = (
        f"{words.capital(spigot.pressed(way.state.bore_pressure_mpa))}, where it touches. {stress}"
        if scored
        else f"({words.capital(friction)}.) {stress}"
    )
    return Step("number", caption, small, 3.5, (start, end), shows="push", early=FORCED)


def _waves(way: WayOn, last: bore_view.Moved, end: int) -> Step:
    """Home, damaged, and what the dial makes of it."""
    reading, limit = float(np.ptp(last.trace_um)), way.case.limits.mounted_runout_um
    swing = words.micrometres(reading)
    over, opposite = bore_view.bore_moved_um(bore_view.cut(way.case), last)
    # Rounded so that the two shares add up to the whole, as it stands in the section.
    aside = round(0.5 * (over + opposite))
    shares = f"{words.micrometres(aside)} aside, {words.micrometres(round(over) - aside)} stretched"
    sees = f"below the limit of {words.micrometres(limit)}" if reading < limit else f"limit {words.micrometres(limit)}"
    caption = f"Forced home evenly: {swing}. No dial sees a crack."
    waves = f"{words.capital(sees)}. Over the scale the bore has moved {words.micrometres(round(over))}: {shares}."
    return Step("number", caption, waves, 4.0, (end, end), (0.0, 1.0), (0.0, 1.0), "dial",
                early="Drawn home: one turn, read.")  # fmt: skip


def _with_room(way: WayOn, last: bore_view.Moved) -> tuple[Step, ...]:
    end = len(way.stations) - 1
    stops = [k for k, station in enumerate(way.stations) if station.name == "stop"]
    swing = words.micrometres(float(np.ptp(last.trace_um)))
    if not stops:
        off = distance(*way.state.stand_off_um)
        return (
            _cause(way),
            Step("effect", "The bore's chamfer meets scale in the root.", "The faces do not meet.", 4.5, (0, 1),
                 way=BEGUN),
            Step("number", f"It stands {off} off the hub face.", f"{words.capital(words.RUNOUT)} {swing}.", 5.0,
                 (1, end), trace=(0.0, 1.0), shows="trace"),
            _advice(end, 0.0),
        )  # fmt: skip
    play = free_play(way.case)
    radial = distance(*way.state.radial_runout_um)
    return (
        _cause(way),
        Step("effect", "It drops home by hand, pushed aside.", "The scale takes the room on its side.", 4.0, (0, 1),
                 way=BEGUN),
        Step("effect", "It may sit anywhere between its stops.",
             "Where it sits after tightening is not known.", 5.0, (1, stops[-1]), (0.0, 1.0),
             facts=(f"{words.micrometres(play.most_um)} of play",
                    "from stop to stop, along the line on which it is loosest")),
        Step("number", f"Radial runout {radial}. The dial sees none of it.",
             f"{words.capital(words.RUNOUT)} {swing}: from hub face and rotor. Off centre adds nothing to it.",
             4.5, (stops[-1], end), (1.0, 1.0), (0.0, 1.0), "trace"),
        _advice(end, 1.0),
    )  # fmt: skip


ADVICE = (
    "Nuts off, rotor off. Never draw it home with the nuts.",
    "Spigot, its root and the bore: rust off. Cracked is scrap.",
    "Forced home and no crack seen: crack test, bore measured; not sure: renew.",
    "It must drop home by hand. Then measure the runout again.",
)


def _advice(end: int, grown: float) -> Step:
    return Step("what to do", "Take it off. Clean spigot and bore. Measure.",
                "The vehicle maker's instructions come first.", 4.4, (end, end), (grown, grown), (0.0, 1.0),
                "advice")  # fmt: skip


def _clean(way: WayOn, end: int) -> Step:
    """The same parts without scale: by hand, home."""
    room = words.micrometres(1000.0 * clearance_mm(way.case))
    return Step("what to do", "Clean, it drops home by hand.", "Drawn without runout: then read the dial.", 3.0,
                (end, end), (0.0, 0.0), (0.0, 1.0), "clean",
                (f"{room} of room", "all round the spigot, as the parts were made: no force, no nuts"),
                early="Spigot and bore clean: by hand.")  # fmt: skip


def clean_at(told: Telling, share: float) -> bore_view.Moved:
    """The section without scale on its way home: 0 held before the spigot, 1 home."""
    assert told.clean is not None
    away = np.array([0.0, (1.0 - share) * CLEAN_FROM_MM])
    pieces = tuple(np.zeros_like(one.flat) + (away if one.part == "part" else 0.0) for one in told.clean.pieces)
    return bore_view.Moved(pieces, (), np.zeros((2, 2)) + away, np.zeros(360))


def moment(told: Telling, second: float) -> Moment:
    """State of the film at a time, clipped to its length; rounded to what is drawn."""
    step, share = step_at(told.steps, second)
    # The motion is over before the step is, so that the figure at its end can be read.
    moving = min(share / (MOVES if step.early else 0.95), 1.0)
    eased = round((0.5 - 0.5 * math.cos(math.pi * moving)) * SHARE_STEPS) / SHARE_STEPS
    low, high = told.whole
    grown = round(between(step.grown, eased) * FACTOR_STEPS) / FACTOR_STEPS
    trace = between(step.trace, moving)
    place = _place(told.way.stations, step.go, between(step.way, eased))
    return Moment(step, place, low * (high / low) ** grown, trace,
                  moving >= 1.0 or not step.early)  # fmt: skip


def _place(stations: tuple[Station, ...], go: tuple[int, int], share: float) -> float:
    """Station, and share to the next, after a share of the travel between two stations."""
    first, last = go
    if first == last:
        return float(first)
    off = np.array([station.stand_off_um for station in stations[first : last + 1]])
    travel = np.concatenate([[0.0], np.cumsum(np.maximum(np.abs(np.diff(off)), LEAST_TRAVEL_UM))])
    return float(np.interp(share * travel[-1], travel, np.arange(first, last + 1)))


def shown(told: Telling, at: float) -> tuple[bore_view.Moved, dict[str, Any]]:
    """Section and figures at a place on the way: straight lines between the places that were computed."""
    k = min(int(at), len(told.moved) - 2)
    share = at - k
    first, second = told.way.stations[k], told.way.stations[k + 1]
    names = ("stand_off_um", "lean_um", "torque_nm", "hoop_mpa")
    figures = {name: (1.0 - share) * getattr(first, name) + share * getattr(second, name) for name in names}
    return bore_view.between(told.moved[k], told.moved[k + 1], share), figures


def cocked(
    told: Telling, motion: bore_view.Moved, figures: dict[str, Any], share: float
) -> tuple[bore_view.Moved, dict[str, Any]]:
    """Section and figures while one nut is run up: a straight line from where the hand left it to where it goes."""
    nut, end = told.one_nut, told.cocked
    if nut is None or end is None:
        return motion, figures
    reached = {"stand_off_um": nut.stand_off_um, "lean_um": nut.lean_um, "hoop_mpa": nut.hoop_mpa, "torque_nm": 0.0}
    now = {name: figures[name] + share * (value - figures[name]) for name, value in reached.items()}
    return bore_view.between(motion, end, share), now


def one_nut_side(told: Telling) -> str:
    """On which side of the section that nut stands, as `scenes.plots.spigot_plan.tools` wants it."""
    case = told.way.case
    stud = told.one_nut.stud if told.one_nut else 1
    away = math.radians(360.0 * (stud - 1) / case.studs.count - told.cut.angle_deg)
    return "one nut +" if math.cos(away) > 0.0 else "one nut -"


def storyboard_seconds(told: Telling) -> list[float]:
    """Six times that tell the story, late in a step each; where there are fewer steps, the longest twice.

    Where there are more, the cause (which the next frame shows too) and what the nuts do are left out.
    """
    steps = told.steps
    if len(steps) > timing.BOARD:
        spare = [0, *(k for k, step in enumerate(steps) if step.shows == "push" and k > 1)]
        left_out = spare[: len(steps) - timing.BOARD]
        return timing.late(steps, [k for k in range(len(steps)) if k not in left_out])[-timing.BOARD :]
    order = sorted(range(len(steps)), key=lambda k: -steps[k].seconds)
    ends = np.cumsum([step.seconds for step in steps])
    extra = [float(ends[k] - 0.62 * steps[k].seconds) for k in order]
    return sorted((timing.late(steps) + extra)[: timing.BOARD])
