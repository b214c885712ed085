"""The overlay: readings on what each leading cause would draw, what is left over beneath, trace by trace."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from matplotlib.ticker import MaxNLocator, MultipleLocator

from scenes import palette
from scenes.plots.board import HEADING, SMALL, panel, svg
from scenes.words import words
from sim.files.as_counted import place_deg
from sim.files.readings_head import CLOCKWISE, COUNTER

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from sim.causes.answer import Finding, Fitted

MOST_CAUSES = 3
LEFT_MM, RIGHT_MM, TOP_MM, GAP_MM, FOOT_MM = 11.0, 4.0, 9.0, 5.0, 5.0
ROW_MM = 30.0
LABELLED_MM = 7.0  # a lower strip has room for its nought only
WIDTH_MM = 186.0
LEAST_UM = 10.0  # a plot spans that at least: else a flat trace looks like a wild one


def leading(finding: Finding) -> tuple[str, ...]:
    """Causes whose traces were drawn, most probable first; no more than fit beside each other."""
    drawn = {cause for one in finding.fitted for cause in one.drawn}
    return tuple(one.cause for one in finding.ranked if one.cause in drawn)[:MOST_CAUSES]


def telling(finding: Finding, most: int) -> tuple[Fitted, ...]:
    """Traces by which the leading causes differ most, in the sequence of the readings.

    By the largest root-mean-square difference between what any two of them leave over.
    """
    causes = leading(finding)

    def apart(one: Fitted) -> float:
        left = [one.residual_um[cause] for cause in causes if cause in one.residual_um]
        return max((float(np.std(a - b)) for a in left for b in left), default=0.0)

    chosen = sorted(range(len(finding.fitted)), key=lambda k: -apart(finding.fitted[k]))[:most]
    return tuple(finding.fitted[k] for k in sorted(chosen))


def overlay(
    finding: Finding, most: int = 8, ground: bool = False, row_mm: float = ROW_MM, turned: str = COUNTER
) -> str:
    """Draw the overlay.

    Parameters
    ----------
    finding : Finding
    most : int
        Traces at most: those by which the causes differ most.
    ground : bool
        Fill the sheet with the paper colour.
    row_mm : float
        Height of a trace with what is left over. [mm]
    turned : str
        Which way its angles count, seen from outside: as the table that the traces are of.

    Returns
    -------
    str
        SVG; trace and what is left over have the same scale within a row.
    """
    causes, rows = leading(finding), telling(finding, most)
    height = TOP_MM + len(rows) * (row_mm + GAP_MM) + FOOT_MM
    odds = {one.cause: one.probability for one in finding.ranked}

    def draw(sheet: Figure) -> None:
        wide = (WIDTH_MM - LEFT_MM - RIGHT_MM + 4.0) / len(causes) - 4.0
        for column, cause in enumerate(causes):
            left = LEFT_MM + column * (wide + 4.0)
            title = words.capital(cause) + ("" if finding.none_fits else f": {words.chance(odds[cause])}")
            sheet.text(left / WIDTH_MM, 1.0 - 3.2 / height, title, fontsize=HEADING - 1, fontweight="bold", va="center")
            for row, one in enumerate(rows):
                bottom = height - TOP_MM - row * (row_mm + GAP_MM) - row_mm
                _one(sheet, one, causes, column, (left, bottom, wide, row_mm), row == len(rows) - 1, turned)
        foot = (
            "Dots: read, less their mean. Line: if this cause had the largest share. Beneath: what it leaves (rms), "
            "same scale. From the painted hole."
        )
        sheet.text(0.01, 1.6 / height, foot, fontsize=SMALL, va="center")

    label = f"readings on the simulated traces of {words.listed(causes)}, what is left over beneath"
    return svg(draw, (WIDTH_MM, height), label, ground)


def _one(
    sheet: Figure,
    one: Fitted,
    causes: Sequence[str],
    column: int,
    place: tuple[float, float, float, float],
    last: bool,
    turned: str,
) -> None:
    """Draw one trace under one cause, what is left over beneath on the same scale."""
    left, bottom, wide, tall = place
    cause, at = causes[column], [place_deg(angle, turned) for angle in one.angle_deg]
    all_drawn = [one.drawn[name] for name in causes if name in one.drawn]
    low, high = _ends([one.read_um, *all_drawn])
    rest = max((float(np.abs(one.residual_um[name]).max()) for name in causes if name in one.residual_um), default=0.0)
    rest = 1.25 * max(rest, 0.12 * (high - low))
    total = (high - low) + 2.0 * rest
    above_mm = (tall - 2.0) * (high - low) / total
    below_mm = tall - 2.0 - above_mm
    axes = panel(sheet, left, bottom + below_mm + 2.0, wide, above_mm)
    under = panel(sheet, left, bottom, wide, below_mm)
    axes.set_ylim(low, high)
    under.set_ylim(-rest, rest)
    if cause in one.drawn:
        line = one.drawn[cause]
        drawn = np.append(line, line[0])[:: -1 if turned == CLOCKWISE else 1]
        axes.plot(np.append(np.arange(line.size), 360.0), drawn, color=palette.INK, linewidth=1.1)
        under.vlines(at, 0.0, one.residual_um[cause], color=palette.SCALE, linewidth=1.6)
        axes.set_title(f"leaves {words.micrometres(one.left_over_um(cause))}", fontsize=SMALL, loc="right", pad=2)
    axes.plot(at, one.read_um, linestyle="none", marker="o", markersize=3.4, color=palette.DIAL, zorder=4)
    under.axhline(0.0, color=palette.INK, linewidth=0.6)
    _bare(axes, column == 0, marked=False)
    _bare(under, column == 0, marked=last)
    if below_mm < LABELLED_MM:
        under.set_yticks([0.0])
    if column == 0:
        axes.set_title(name_of(one), fontsize=SMALL, loc="left", pad=2)


def name_of(one: Fitted) -> str:
    """What a trace is, in words: its mount, and where its angles count from."""
    if one.trace == "hub face":
        return "bare hub face, µm, from stud 1"
    return f"{one.trace}, mount {one.mount}, µm"


def _ends(curves: Sequence[object]) -> tuple[float, float]:
    """Lower and upper end of a plot that holds all curves with a margin. [um]."""
    values = np.concatenate([np.asarray(curve, dtype=float).ravel() for curve in curves])
    middle, half = 0.5 * float(values.max() + values.min()), 0.5 * max(float(np.ptp(values)), LEAST_UM)
    return middle - 1.15 * half, middle + 1.15 * half


def _bare(axes: Axes, first: bool, marked: bool) -> None:
    """Axes like a ruler: marks at the left only, one turn below."""
    for side in ("top", "right", "bottom"):
        axes.spines[side].set_visible(False)
    axes.set_xlim(-6.0, 366.0)
    axes.xaxis.set_major_locator(MultipleLocator(90.0))
    axes.yaxis.set_major_locator(MaxNLocator(4 if axes.get_position().height > 0.1 else 2))
    axes.yaxis.set_major_formatter(lambda value, _: words.mark(value))
    axes.xaxis.set_major_formatter(lambda value, _: f"{round(value)}°")
    axes.tick_params(axis="both", length=3.0, width=0.6, labelsize=SMALL, pad=1.5)
    axes.tick_params(axis="x", labelbottom=marked, length=3.0 if marked else 0.0)
    axes.tick_params(axis="y", labelleft=first)
