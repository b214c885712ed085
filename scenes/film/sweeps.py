"""What films of sweeps tell: corners that are put together, turned once under the dial and compared. No drawing here.

A story is steps on named corners; what a frame shows besides stage, dial and lenses is drawn by the story's own film.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from scenes.film import timing
from scenes.film.timing import NONE, WHOLE, Pair, between, step_at
from scenes.geometry import exaggeration
from scenes.words import fastening

SHARE_STEPS = 24
"""Steps in which what is lifted, slid, faded or grown moves."""


@dataclass(frozen=True)
class Step(timing.Step):
    """One step; pairs are values at its start and its end.

    Parameters
    ----------
    corner : str
        Which corner is on the stage.
    turn : tuple of float
        Turns of the wheel.
    swept : bool
        The dial keeps the wedge of this step's turn; else the whole of this corner's last turn stays.
    read : bool
        Whether the dial reads at all.
    plug, lift, slide : tuple of float
        How solid the wedge of the hat is; how far the rotor is off; how far the dirt is on its way ``toward``, 0..1.
    dirt : tuple of float
        How much of the dirt is there, 0..1.
    brush : tuple of float, optional
        Way of the wire brush over the dirt, 0..1.
    holes : tuple of float
        How many holes on the rotor is turned while it is off.
    toward : str
        Corner to which dirt or rotor are on their way.
    lenses, grown : tuple of float
        How far the lenses are open; how much of what ``shows`` is grown, 0..1.
    shows : str
        What the story's own film draws.
    before : str
        Corner whose swept wedge stays on the dial as an outline.
    dwells : bool
        It is slow in the middle of the step too, where it is looked at.
    """

    corner: str = ""
    turn: Pair = NONE
    swept: bool = False
    read: bool = True
    plug: Pair = NONE
    lift: Pair = NONE
    slide: Pair = NONE
    dirt: Pair = WHOLE
    brush: Pair | None = None
    holes: Pair = NONE
    toward: str = ""
    lenses: Pair = NONE
    grown: Pair = NONE
    shows: str = ""
    before: str = ""
    dwells: bool = False


@dataclass(frozen=True)
class Pose:
    """What must be photographed for a frame."""

    corner: str
    turn_deg: float
    plug: float
    lift: float
    slide: float
    toward: str
    holes_deg: float
    read: bool = True
    dirt: float = 1.0
    brush: float | None = None


@dataclass(frozen=True)
class Moment:
    """What a frame shows: step, pose, what the dial reads and has swept, how far lenses and marks have come."""

    step: Step
    pose: Pose
    reading_um: float
    swept_um: Pair | None
    lenses: float
    grown: float


@dataclass(frozen=True, eq=False)
class Telling:
    """A film before it is drawn.

    Parameters
    ----------
    name : str
    runs : mapping of str to Run
        The corners, by the names that steps use.
    steps : tuple of Step
    start_deg : float
        Turn of the wheel at which it begins. [deg]
    board : tuple of int
        Steps that its storyboard shows, late in each.
    window_deg : float, optional
        Hub angle at which the hat is cut; None leaves it whole.
    facts : mapping
        Figures that the story's own film draws.
    """

    name: str
    runs: Mapping[str, Any]
    steps: tuple[Step, ...]
    start_deg: float
    board: tuple[int, ...]
    window_deg: float | None = None
    facts: Mapping[str, Any] = field(default_factory=dict)

    @property
    def seconds(self) -> float:
        """Whole length. [s]."""
        return timing.length(self.steps)

    @property
    def studs(self) -> Any:
        """Studs of the corner told of."""
        return next(iter(self.runs.values())).case.studs


def said(told: Telling) -> Telling:
    """Telling whose words name what this corner is fastened with."""
    return replace(told, steps=fastening.of_steps(told.steps, told.studs))


def moment(told: Telling, second: float) -> Moment:
    """State of the film at a time, clipped to its length; rounded to what is drawn."""
    step, share = step_at(told.steps, second)
    eased = eased_share(step, share)
    turned = timing.stepped_deg(between(step.turn, eased))
    plug, lift, slide, holes, dirt = (
        _rounded(pair, eased) for pair in (step.plug, step.lift, step.slide, step.holes, step.dirt)
    )
    brush = None if step.brush is None else _rounded((0.0, 1.0), timing.strokes(share))
    further = holes * 360.0 / told.studs.count
    pose = Pose(
        step.corner, (told.start_deg + turned) % 360.0, plug, lift, slide, step.toward, further,
        step.read and lift == 0.0, dirt, brush,
    )  # fmt: skip
    early = min(1.0, eased / 0.92)
    lenses, grown = _rounded(step.lenses, early, 4), _rounded(step.grown, early, 4)
    reading = reading_um(told, step.corner, told.start_deg + turned)
    return Moment(step, pose, float(reading), _swept(told, step, turned), lenses, grown)


def eased_share(step: Step, share: float) -> float:
    """Share of the motion at a share of the time: slow at both ends, and in the middle of a step that dwells there."""
    if step.dwells:
        half, rest = divmod(min(2.0 * share, 2.0 - 1e-9), 1.0)
        return 0.5 * (half + 0.5 - 0.5 * math.cos(math.pi * rest))
    return 0.5 - 0.5 * math.cos(math.pi * share)


def _rounded(pair: Pair, share: float, finer: int = 1) -> float:
    """Value a share of the way; what is not photographed moves in finer steps."""
    return round(between(pair, share) * finer * SHARE_STEPS) / (finer * SHARE_STEPS)


def reading_um(told: Telling, corner: str, turn_deg: Any) -> Any:
    """Read the dial at turns of the wheel, mean of a turn set to zero. [um]."""
    return exaggeration.reading_um(told.runs[corner], exaggeration.DIAL_DEG - np.asarray(turn_deg, dtype=float))


def _swept(told: Telling, step: Step, turned_deg: float) -> Pair | None:
    """Lowest and highest reading so far of this step's turn; of the whole turn where this step does not turn."""
    if not step.read:
        return None
    turns = np.arange(0.0, turned_deg + 0.5) if step.swept else np.arange(0.0, 360.0)
    readings = reading_um(told, step.corner, told.start_deg + turns)
    return float(readings.min()), float(readings.max())


def span_um(run: Any) -> Pair:
    """Lowest and highest reading of a whole turn. [um]."""
    return float(np.min(run.seat.outboard_um)), float(np.max(run.seat.outboard_um))


def tir_um(run: Any) -> float:
    """Runout that the dial reads. [um]."""
    return float(run.seat.lateral_runout_um["outboard"])


def board_seconds(told: Telling) -> list[float]:
    """Six times that tell the story."""
    return timing.late(told.steps, told.board)


def captions(steps: Sequence[timing.Step]) -> tuple[tuple[float, float, str], ...]:
    """From when to when which words stand. [s]."""
    ends = np.cumsum([step.seconds for step in steps])
    return tuple((float(end - step.seconds), float(end), step.caption) for end, step in zip(ends, steps, strict=True))
