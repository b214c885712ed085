"""What the film "where is the fault?" tells: timed steps from a moving needle to the speck. No drawing here."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np

from scenes.film import timing
from scenes.film.timing import CLOSING, NONE, OPENING, WHOLE, Pair, between, step_at
from scenes.geometry import exaggeration as stretch
from scenes.words import corner, fastening, spigot, words
from sim.errors import Refused
from sim.parts.fastener import said
from sim.units import shortest_deg

NAME = "where is the fault"
CAMERA_STEPS = 30
FADE_STEPS = 12
BRUSHING = 12
"""Which step shows the brush."""
LARGEST_DIFFERENCE_DEG = 30.0
"""A high spot no further from the speck than this is said to be beside it."""


@dataclass(frozen=True)
class Step(timing.Step):
    """One step; pairs are values at its start and its end. Either the camera moves or the wheel turns, never both.

    Parameters
    ----------
    views : tuple of str
        From which camera to which.
    turn : tuple of float
        Turns of the wheel.
    swept : bool
        The dial keeps the wedge of this step's turn; else what was swept before stays.
    figure : bool
        Write the TIR into the dial.
    plug, dirt : tuple of float
        How solid the wedge of the hat, and the dirt, are drawn, 0..1.
    lift : tuple of float
        How far the rotor is taken off, 0..1.
    brush : tuple of float, optional
        Way of the wire brush over the dirt, 0..1.
    joint, rim : tuple of float
        How far the lenses are open, 0..1.
    speck : tuple of float
        How much of the speck is uncovered in the joint's lens, after the hair.
    line : tuple of float
        How far the line from the axis through the speck has grown, 0..1.
    bars : tuple of float
        How far the two bars have grown, 0..1.
    side : tuple of float
        How far the section across hub face and flange has opened, 0..1.
    clean : bool
        The cleaned corner is on the stage.
    """

    views: tuple[str, str] = ("story", "story")
    turn: Pair = NONE
    swept: bool = False
    figure: bool = True
    plug: Pair = NONE
    dirt: Pair = WHOLE
    lift: Pair = NONE
    brush: Pair | None = None
    joint: Pair = NONE
    rim: Pair = NONE
    speck: Pair = WHOLE
    line: Pair = NONE
    bars: Pair = NONE
    side: Pair = NONE
    clean: bool = False


@dataclass(frozen=True)
class Pose:
    """What must be photographed for a frame."""

    clean: bool
    views: tuple[str, str]
    moved: float
    turn_deg: float
    plug: float
    dirt: float
    lift: float
    brush: float | None


@dataclass(frozen=True)
class Moment:
    """What a frame shows: its step, the pose on the stage, what the dial and the lenses show."""

    step: Step
    pose: Pose
    reading_um: float
    swept_um: tuple[float, float] | None
    joint: float
    rim: float
    speck: float
    line: float
    bars: float
    side: float


@dataclass(frozen=True, eq=False)
class Telling:
    """The film before it is drawn: the corner as found, the same corner cleaned, the steps.

    ``start_deg`` is the turn at which the dirt faces the camera.
    """

    dirty: Any
    clean: Any
    steps: tuple[Step, ...]
    start_deg: float

    @property
    def seconds(self) -> float:
        """Whole length. [s]."""
        return timing.length(self.steps)


def tell(clean: Any, dirty: Any) -> Telling:
    """Make the story of a corner and of the same corner cleaned.

    Parameters
    ----------
    clean, dirty : Run
        Computed; a forecast is not needed.

    Returns
    -------
    Telling
        About half a minute.

    Raises
    ------
    Refused
        For a corner with nothing between hub and rotor, naming a story that fits.
    """
    need(dirty)
    patch = corner.highest(dirty.case)
    assert patch is not None
    height = words.micrometres(stretch.debris_height_um(dirty, dirty.case.debris.index(patch)))
    away = abs(shortest_deg(stretch.high_spot_deg(dirty) - stretch.debris_angle_deg(dirty, patch)))
    beside = "on the dirt's side" if away <= LARGEST_DIFFERENCE_DEG else f"{away:.0f}° from the dirt"
    limit, hair = words.micrometres(dirty.case.limits.mounted_runout_um), words.micrometres(corner.HAIR_UM)
    off = said("Nuts off. Rotor off.", dirty.case.studs)
    both: dict[str, Any] = {"joint": WHOLE, "rim": WHOLE}
    steps = (
        Step("effect", "The needle moves. Why?", "", 3.0, ("dial", "dial"), (0.0, 0.5), figure=False, plug=WHOLE),
        Step("effect", "Look at the whole rotor.", "", 1.4, ("dial", "story"), figure=False, plug=WHOLE),
        Step("effect", "True size: no eye sees it.", "", 3.4, turn=OPENING, swept=True, plug=WHOLE),
        Step("cause", "Look inside the hat.", "", 1.8, plug=CLOSING),
        Step("cause", "Look inside the hat.", "", 1.6, ("story", "joint")),
        Step("cause", "A hair, to compare.", "", 1.4, ("joint", "joint"), joint=OPENING, speck=NONE),
        Step("cause", f"Dirt {height} high. Hair {hair}.", "", 1.8, ("joint", "joint"), joint=WHOLE, speck=OPENING),
        Step("effect", "The rotor sits on it.", "", 1.4, ("joint", "story"), joint=WHOLE),
        Step("effect", "Outside the nuts, it tips.", "", 2.4, side=OPENING),
        Step("effect", "One turn: the face, enlarged.", "", 3.7, turn=OPENING, swept=True, **both),
        Step("effect", f"High spot {beside}", "", 2.3, line=OPENING, **both),
        Step("what to do", off, "", 1.3, lift=OPENING),
        Step("what to do", "Brush the hub face clean.", "", 1.9, lift=WHOLE, dirt=CLOSING, brush=OPENING),
        Step("what to do", "Clean: nothing left on it.", "", 0.9, lift=WHOLE, dirt=NONE),
        Step("what to do", "Refit. Torque crosswise. Measure.", "", 1.3, lift=CLOSING, clean=True),
        Step("what to do", "Same parts, cleaned: one turn.", "", 3.7, turn=OPENING, swept=True, clean=True, **both),
        Step("number", f"Limit {limit}: {_verdict(clean)}", "", 2.6, bars=OPENING, clean=True),
    )
    return Telling(dirty, clean, fastening.of_steps(steps, dirty.case.studs), stretch.facing_deg(dirty.case))


def need(run: Any) -> None:
    """Refuse a corner that this story cannot be told of, naming a story that can (``Refused``)."""
    if corner.highest(run.case) is not None and not spigot.off_the_face(run.spigot):
        return
    other = "the story 'spigot'" if run.case.spigot_scale else "the story 'which hole'"
    raise Refused(
        f"the story {NAME!r} needs a rotor at home and dirt under it, in a [[debris]] table; "
        f"{other} can be told of this corner"
    )


def _verdict(clean: Any) -> str:
    """Say in two words where the cleaned corner lies; never that it is safe."""
    reading, limit = float(clean.seat.lateral_runout_um["outboard"]), clean.case.limits.mounted_runout_um
    return "now under it" if reading < limit else "still over it"


def moment(told: Telling, second: float) -> Moment:
    """State of the film at a time, clipped to its length; rounded to what is drawn."""
    step, share = step_at(told.steps, second)
    eased = 0.5 - 0.5 * math.cos(math.pi * share)
    turned = timing.stepped_deg(between(step.turn, eased))
    brush = None if step.brush is None else round(timing.strokes(share) * CAMERA_STEPS) / CAMERA_STEPS
    pose = Pose(
        step.clean, step.views, _rounded(OPENING if step.views[0] != step.views[1] else NONE, eased, CAMERA_STEPS),
        (told.start_deg + turned) % 360.0, _rounded(step.plug, eased, FADE_STEPS),
        _rounded(step.dirt, eased, FADE_STEPS), _rounded(step.lift, eased, FADE_STEPS), brush,
    )  # fmt: skip
    early = min(1.0, eased / 0.8)
    return Moment(
        step, pose, reading_um(told, step.clean, told.start_deg + turned), _swept(told, step, turned),
        *(_rounded(pair, early, CAMERA_STEPS)
          for pair in (step.joint, step.rim, step.speck, step.line, step.bars, step.side)),
    )  # fmt: skip


def _rounded(pair: Pair, share: float, steps: int) -> float:
    return round(between(pair, share) * steps) / steps


def reading_um(told: Telling, clean: bool, turn_deg: Any) -> Any:
    """Read the dial at a turn of the wheel, mean of a turn set to zero. [um]."""
    run = told.clean if clean else told.dirty
    value = stretch.reading_um(run, stretch.DIAL_DEG - np.asarray(turn_deg, dtype=float))
    return float(value) if np.ndim(turn_deg) == 0 else value


def _swept(told: Telling, step: Step, turned_deg: float) -> tuple[float, float] | None:
    """Lowest and highest reading of the turn so far; of the last whole turn where this step does not turn."""
    if step.swept:
        turns = np.arange(0.0, turned_deg + 0.5)
    elif step.figure and step.lift == NONE:
        turns = np.arange(0.0, 360.0)
    else:
        return None
    readings = reading_um(told, step.clean, told.start_deg + turns)
    return float(readings.min()), float(readings.max())


def storyboard_seconds(told: Telling) -> list[float]:
    """Six times that tell the story: no eye sees it, the speck, how it tips, the line, the brush, the bars."""
    late = timing.late(told.steps)
    brushing = late[BRUSHING] - 0.45 * told.steps[BRUSHING].seconds
    return [late[2], late[6], late[8], late[10], brushing, late[16]]


def captions(told: Telling) -> list[tuple[float, float, str]]:
    """From when to when which words stand. [s]."""
    ends = np.cumsum([step.seconds for step in told.steps])
    return [(float(end - step.seconds), float(end), step.caption) for end, step in zip(ends, told.steps, strict=True)]
