"""Timed steps of a film, each a caption, and the story of dirty against clean; the other films have a story each."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from typing import Any

from scenes.film import timing
from scenes.film.timing import between, step_at
from scenes.geometry import exaggeration as stretch
from scenes.words import corner, fastening, words
from scenes.words import road as road_words

FACTOR_STEPS = 30
"""Poses between true to scale and full exaggeration."""


@dataclass(frozen=True)
class Step(timing.Step):
    """One step of a story; pairs are values at its start and its end.

    Parameters
    ----------
    stretch : tuple of float
        Exaggeration as a share: 0 true to scale, 1 the story's whole factor, in equal ratios between.
    turn : tuple of float
        Turns of the wheel.
    trace, road : tuple of float
        How much of the dial's trace, of the distance driven, is uncovered, 0..1.
    shows : str
        ``facts``, ``trace``, ``road`` or ``advice``.
    view : str
        Name of a camera of ``scenes.stage.studio.VIEWS``.
    """

    stretch: tuple[float, float] = (1.0, 1.0)
    turn: tuple[float, float] = (0.0, 0.0)
    trace: tuple[float, float] = (0.0, 0.0)
    road: tuple[float, float] = (0.0, 0.0)
    shows: str = "trace"
    view: str = "film"


@dataclass(frozen=True)
class Corner:
    """A corner on the stage and what is written over it; ``role`` is ``clean`` or ``dirty``."""

    name: str
    role: str
    run: Any


@dataclass(frozen=True)
class Story:
    """A film before it is drawn.

    ``factor`` is the full exaggeration; ``start_deg`` the turn at which it begins, so that the dirt faces the camera.
    """

    name: str
    corners: tuple[Corner, ...]
    steps: tuple[Step, ...]
    factor: float
    start_deg: float = 0.0

    @property
    def seconds(self) -> float:
        """Whole length, in s."""
        return timing.length(self.steps)


@dataclass(frozen=True)
class Moment:
    """What a frame shows: the step, the pose of the stage (rounded to what is drawn) and the state of the plots."""

    step: Step
    factor: float
    turn_deg: float
    trace: float
    road: float

    @property
    def pose(self) -> tuple[str, float, float]:
        """What must be photographed for it: view, exaggeration, turn in degrees."""
        return self.step.view, self.factor, self.turn_deg


def moment(story: Story, second: float) -> Moment:
    """State of a story at a time.

    Parameters
    ----------
    story : Story
        Which.
    second : float
        From its start, clipped to its length. [s]

    Returns
    -------
    Moment
        Exaggeration and turn rounded to the poses that are drawn.
    """
    step, share = step_at(story.steps, second)
    eased = 0.5 - 0.5 * math.cos(math.pi * share)
    grown = round(between(step.stretch, eased) * FACTOR_STEPS) / FACTOR_STEPS
    turn = story.start_deg + timing.stepped_deg(between(step.turn, share))
    return Moment(step, story.factor**grown, turn % 360.0, between(step.trace, share), between(step.road, share))


def storyboard_seconds(story: Story) -> list[float]:
    """Six times that tell the story, late in a step each.

    Where there are more steps, effects that the next step shows whole are left out; where fewer, the longest step is
    shown at more than one time.
    """
    shown = list(range(len(story.steps)))
    for index in list(shown[:-1]):
        following = story.steps[index + 1].part
        if len(shown) > timing.BOARD and story.steps[index].part == "effect" and following == "number":
            shown.remove(index)
    times = timing.late(story.steps, shown[-timing.BOARD :])
    longest = max(range(len(story.steps)), key=lambda k: story.steps[k].seconds)
    begin, whole = timing.length(story.steps[:longest]), story.steps[longest].seconds
    extra = [begin + share * whole for share in (0.45, 0.15, 0.65, 0.3, 0.75)]
    return sorted(times + extra[: timing.BOARD - len(times)])


def road(run: Any) -> str:
    """Name the distance after which the DTV limit is passed, in a few words."""
    middle = road_words.middle_km(run.forecast)
    return "not reached" if middle is None else f"after {words.kilometres(middle)}"


def worst(run: Any) -> str:
    """Greatest thickness variation of the forecast and what a driver makes of it."""
    value = float(max(run.forecast.dtv_um))
    return f"{words.micrometres(value)}, {words.dtv_called(value)}"


def _likely(forecast: Any, limit_um: float) -> str:
    return "most likely " if road_words.limit_state(forecast, limit_um) == "too close to tell" else ""


ADVICE = (
    "Clean hub face and rotor seat: rust and dirt off.",
    "Fit, torque crosswise, measure the runout again.",
    "Still above? Index the rotor by one hole and measure.",
)


def clean_against_dirty(clean: Any, dirty: Any) -> Story:
    """Two corners that differ only in what lies on the hub face.

    Parameters
    ----------
    clean, dirty : Run
        Computed, with a forecast.

    Returns
    -------
    Story
        About half a minute.
    """
    factor = stretch.factor(clean, dirty)
    limits = dirty.case.limits
    limit, felt = words.micrometres(limits.mounted_runout_um), words.micrometres(limits.dtv_um)
    last = words.kilometres(float(dirty.forecast.distance_km[-1]))
    true, whole = (0.0, 0.0), (1.0, 1.0)
    share = words.percent(1.0 - dirty.forecast.probability_never)
    reached = f"{felt} {_likely(dirty.forecast, limits.dtv_um)}not reached in {last}"
    if road_words.even(dirty.forecast):
        reached = f"{felt} {words.AS_LIKELY_AS_NOT} within {last}"
    steps = (
        Step("cause", "One hub was cleaned. The other was not.", f"Right: {corner.dirt(dirty.case)}.", 3.5,
             true, shows="facts", view="close"),
        Step("cause", "The rotor sits crooked on what was left.", "Rotor and hub bend round it. Nothing else differs.",
             4.0, (0.0, 1.0), shows="facts", view="close"),
        Step("effect", "One turn: the rim runs out, the dial reads it.",
             "Each pad is touched where the rim comes near, brake released.",
             6.0, whole, (0.0, 1.0), (0.0, 1.0)),
        Step("number", f"Clean {corner.swing(clean)}. Dirty {corner.swing(dirty)}.",
             f"{words.capital(words.RUNOUT)}, highest minus lowest. Limit {limit}.", 3.5, whole, whole, whole),
        Step("effect", "Every turn that contact wears thin spots.", f"{words.capital(words.DTV)} over {last}.", 6.0,
             whole, (0.0, 1.0), whole, (0.0, 1.0), "road"),
        Step("number", f"Dirty: {felt} passed {road(dirty)}." if road_words.middle_km(dirty.forecast) is not None
             else f"Dirty: {reached}.",
             f"Reached in {share} of draws. Greatest: dirty {worst(dirty)}; clean {worst(clean)}. Range: shaded.",
             4.0, whole, whole, whole, whole, "road"),
        Step("what to do", "Clean, measure, index.",
             f"Same parts: {corner.swing(clean)} clean, {corner.swing(dirty)} dirty.",
             4.5, whole, whole, whole, whole, "advice"),
    )  # fmt: skip
    corners = (Corner("hub face cleaned", "clean", clean), Corner("hub face left dirty", "dirty", dirty))
    return Story("clean against dirty", corners, steps, factor, stretch.facing_deg(dirty.case))


def told(clean: Any, dirty: Any) -> Story:
    """Story of two corners, its words naming what they are fastened with."""
    story = clean_against_dirty(clean, dirty)
    return replace(story, steps=fastening.of_steps(story.steps, dirty.case.studs))
