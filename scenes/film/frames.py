"""One frame of a film put together: captions above, the corners side by side, plots or advice below."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from scenes import palette
from scenes.film import charts, stories
from scenes.film.stories import Moment, Story
from scenes.film.timing import Step
from scenes.geometry import exaggeration as stretch
from scenes.stage import lettering, stage
from scenes.stage.lettering import Image8, Sheet
from scenes.words import corner as corner_words
from scenes.words import words

SIZE = (1920, 1080)
TOP, BOTTOM, SIDE = 168, 330, 24
GUTTER = 12
"""Pixels left for captions above and plots below the stage, at the sides, and between the corners."""
SETTING = stage.Setting(view="film")
LINES = {"clean": dict(palette.CLEAN_LINE, linewidth=4.0), "dirty": dict(palette.DIRTY_LINE, linewidth=5.0)}
COLOUR = {"clean": palette.HUB, "dirty": palette.SCALE}


@dataclass(frozen=True, eq=False)
class Drawn:
    """A photograph of the stage and what was measured on it."""

    picture: Image8
    studs_px: NDArray[np.float64]
    reading_um: float
    ghost_px: NDArray[np.float64]


@dataclass(frozen=True, eq=False)
class Layout:
    """What is drawn once for a story and used by all its frames."""

    story: Story
    traces: tuple[charts.Chart, ...]
    road: charts.Chart | None


def view_size(story: Story) -> tuple[int, int]:
    """Width and height of one corner's picture, in pixels."""
    count = len(story.corners)
    return (SIZE[0] - 2 * SIDE - GUTTER * (count - 1)) // count, SIZE[1] - TOP - BOTTOM


def view_left(story: Story, index: int) -> int:
    """Left edge of a corner's picture, in pixels."""
    return SIDE + index * (view_size(story)[0] + GUTTER)


def layout(story: Story) -> Layout:
    """Draw the plots of a story."""
    runs = [corner.run for corner in story.corners]
    reach = 1.15 * max(
        max(float(np.abs(run.seat.outboard_um).max()) for run in runs), 0.6 * runs[0].case.limits.mounted_runout_um
    )
    size = (view_size(story)[0], BOTTOM - 8)
    traces = tuple(
        charts.trace(corner.run, size, reach, SETTING.dial_deg - story.start_deg, LINES[corner.role])
        for corner in story.corners
    )
    road = None
    if any(step.shows == "road" for step in story.steps):
        named = [(corner.name, corner.run, LINES[corner.role]) for corner in story.corners]
        road = charts.growth(named, (SIZE[0] - 2 * SIDE, BOTTOM - 8))
    return Layout(story, traces, road)


def compose(plan: Layout, now: Moment, drawn: list[Drawn]) -> Image8:
    """Put a frame together.

    Parameters
    ----------
    plan : Layout
        From ``layout``.
    now : Moment
        What it shows.
    drawn : list of Drawn
        One for each corner, in its pose.

    Returns
    -------
    ndarray of uint8, shape (1080, 1920, 3)
        sRGB.
    """
    sheet = Sheet.blank(SIZE)
    story = plan.story
    for index, photo in enumerate(drawn):
        left = view_left(story, index)
        sheet.paste(photo.picture, (left, TOP))
        radius = 16.0 if now.step.view == "film" else 24.0
        sheet.stud_numbers(photo.studs_px, radius, (left, TOP), photo.picture.shape[1::-1])
    if now.step.shows == "advice":
        sheet.fade(0.35)
    captions(sheet, now.step)
    _names(sheet, story, now, drawn)
    if now.step.shows == "trace":
        for index, chart in enumerate(plan.traces):
            chart.show(sheet, (view_left(story, index), SIZE[1] - BOTTOM + 4), now.trace)
    elif now.step.shows == "road" and plan.road is not None:
        plan.road.show(sheet, (SIDE, SIZE[1] - BOTTOM + 4), now.road)
    elif now.step.shows == "facts":
        _facts(sheet, story)
    else:
        advice(sheet, stories.ADVICE)
    return sheet.array()


def captions(sheet: Sheet, step: Step) -> None:
    """Write what a step says over its frame: caption, smaller line, which part of the story it is."""
    width = SIZE[0] - 2 * SIDE - 250
    size = lettering.fitting(step.caption, 66, width, bold=True)
    sheet.text(step.caption, (SIDE + 14, 82), size, bold=True)
    small = lettering.fitting(step.small, 38, width + 200)
    sheet.text(step.small, (SIDE + 14, 140), small)
    sheet.text(step.part, (SIZE[0] - SIDE - 14, 60), 32, palette.mix("ink", "paper", 0.3), bold=True, anchor="rs")


def _names(sheet: Sheet, story: Story, now: Moment, drawn: list[Drawn]) -> None:
    """Corner's name over it; the dial's reading beside the dial; the exaggeration, always."""
    wide, high = view_size(story)
    for index, (corner, photo) in enumerate(zip(story.corners, drawn, strict=True)):
        left = view_left(story, index)
        sheet.draw.rectangle((left + 14, TOP + 10, left + 26, TOP + 54), fill=COLOUR[corner.role])
        sheet.slip(corner.name, (left + 40, TOP + 32), 34)
        if now.step.shows == "advice":
            continue
        sheet.slip(exaggeration(now.factor), (left + wide - 20, TOP + high - 30), 34, "r")
        if now.step.view == "close":
            continue
        sheet.text("thin line: flat and true", (left + wide - 24, TOP + 44), 26, anchor="rs")
        sheet.text("high spot", (left + wide - 24, TOP + 84), 26, palette.HIGH, bold=True, anchor="rs")
        sheet.text("dial", (left + 24, TOP + high - 66), 28, palette.DIAL)
        value = words.micrometres(photo.reading_um, signed=True)
        sheet.text(value, (left + 24, TOP + high - 18), 48, palette.DIAL, bold=True)


def _facts(sheet: Sheet, story: Story) -> None:
    """Say under each corner what lies on its hub face."""
    wide = view_size(story)[0]
    for index, corner in enumerate(story.corners):
        large, small = corner_words.facts(corner.run.case)
        left, y = view_left(story, index) + 40, SIZE[1] - BOTTOM + 130.0
        colour = palette.INK if corner_words.highest(corner.run.case) is None else palette.SCALE
        sheet.text(large, (left, y), 84, colour, bold=True)
        sheet.text(small, (left, y + 70), lettering.fitting(small, 36, wide - 60))


def exaggeration(factor: float) -> str:
    """Words for the factor of a picture, with what they refer to."""
    return f"motion {stretch.times(factor)}"


def advice(sheet: Sheet, lines: tuple[str, ...], written: float = 1.0) -> None:
    """Write what to do, numbered, and whose value rules; ``written`` is how much of it stands there yet, 0..1."""
    y, apart = SIZE[1] - BOTTOM + 60.0, min(72.0, 216.0 / len(lines))
    for number, line in enumerate(lines, 1):
        shown = line[: round((written * len(lines) - number + 1.0) * len(line))] if written < 1.0 else line
        if written * len(lines) <= number - 1.0:
            break
        sheet.text(f"{number}", (SIDE + 14, y), 46, bold=True)
        sheet.text(shown, (SIDE + 74, y), 46)
        y += apart
    sheet.text(f"Limits are common practice; {words.MAKER_RULES}.", (SIDE + 14, SIZE[1] - 30), 32)


def photograph(scene: stage.Stage, view: str, factor: float, turn_deg: float) -> Drawn:
    """Pose a stage and photograph it."""
    scene.look_from(view)
    scene.pose(factor, turn_deg)
    return Drawn(scene.shoot(), scene.stud_pixels(), scene.reading_um(), scene.ghost_pixel())


def build(run: Any, story: Story, finer: float) -> stage.Stage:
    """Stage for one corner of a story."""
    size = view_size(story)
    setting = replace(SETTING, window_at_deg=stretch.FACING_DEG - story.start_deg)
    return stage.build(run, setting, size, finer)
