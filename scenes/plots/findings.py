"""Plots of findings and clampings: lines named at their ends, bars with their figures."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from scenes import palette
from scenes.plots.board import SMALL, hatch_above, heading, note, panel, ruler, svg
from scenes.words import words
from sim.corner.behind_reading import same_clamping

STYLES = (
    {"color": palette.GHOST, "linewidth": 1.4, "linestyle": (0, (2, 2)), "marker": "s"},
    {"color": palette.SCALE, "linewidth": 2.4, "linestyle": "-", "marker": "o"},
    {"color": palette.HUB, "linewidth": 2.2, "linestyle": (0, (5, 1.5)), "marker": "D"},
    {"color": palette.INK, "linewidth": 2.2, "linestyle": (0, (1, 1)), "marker": "^"},
)
STIFF = "stiff plate"  # how the curves of parts that do not bend are named
SIZE_MM = (170.0, 82.0)
WRAP = 80  # letters of a heading line
APART = 0.075  # smallest distance of two end labels, as a share of the plot's height


def finding(found: Any, ground: bool = False) -> str:
    """Draw one finding of ``sim.studies.findings``.

    Parameters
    ----------
    found : Effect
    ground : bool
        Fill the sheet with the paper colour.

    Returns
    -------
    str
        SVG.
    """

    def draw(sheet: Figure) -> None:
        _title(sheet, found.says)
        axes = panel(sheet, 18, 14, 100, 46)
        named = isinstance(found.over[0], str)
        x = np.arange(len(found.over)) if named else np.array(found.over, dtype=float)
        styles = _styles(found.curves)
        for curve, style in zip(found.curves, styles, strict=False):
            axes.plot(x, curve.values, markersize=4, **style)
        axes.set_ylim(0.0, 1.08 * max(max(curve.values) for curve in found.curves))
        ruler(axes, found.answer_unit, label=found.answer)
        _below(axes, x, found)
        _ends(axes, float(x[-1]), found.curves, styles)

    return svg(draw, SIZE_MM, found.says, ground)


def _styles(curves: Sequence[Any]) -> list[dict]:
    """Grey for what does not bend; the others wear the colours of dirt and hub."""
    grey, *others = STYLES
    left = iter(others)
    return [grey if curve.name.startswith(STIFF) else next(left) for curve in curves]


def _title(sheet: Figure, text: str) -> None:
    """Write a sentence as heading, over two lines if it is long."""
    lines: list[str] = []
    line = ""
    for word in text.split():
        if len(line) + len(word) > WRAP and not lines:
            lines.append(line)
            line = ""
        line = f"{line} {word}".strip()
    lines.append(line)
    heading(sheet, lines[0])
    if len(lines) > 1:
        height_mm = sheet.get_figheight() * 25.4
        sheet.text(0.012, 1.0 - 9.6 / height_mm, lines[1], fontsize=9.0, fontweight="bold", va="center")


def _below(axes: Axes, x: np.ndarray, found: Any) -> None:
    axes.spines["bottom"].set_visible(True)
    axes.tick_params(axis="x", which="major", length=4.0, width=0.7)
    if isinstance(found.over[0], str):
        axes.set_xticks(x, found.over)
    elif found.over[0] > found.over[-1]:
        axes.invert_xaxis()
    label = f"{found.varied}, {found.unit}" if found.unit else found.varied
    axes.set_xlabel(label, fontsize=SMALL, labelpad=2)


def _ends(axes: Axes, end: float, curves: Sequence[Any], styles: Sequence[dict]) -> None:
    """Name each line at its end; names that would meet are moved apart."""
    top = axes.get_ylim()[1]
    order = sorted(range(len(curves)), key=lambda k: curves[k].values[-1])
    level = -1.0
    for k in order:
        level = max(curves[k].values[-1] / top, level + APART)
        place = (1.03, level * top)
        coords = ("axes fraction", "data")
        note(axes, curves[k].name, place, "left level", coords=coords, color=styles[k]["color"], fontweight="bold")


def _behind(axes: Axes, behind: Any, names: Sequence[str], by: str) -> None:
    """Mark what was read over its clamping, and the band of what lies behind it over the driven car."""
    named, last = same_clamping(by), len(names) - 1
    style: dict[str, Any] = {"color": palette.HIGH, "linewidth": 2.4, "zorder": 5}
    if named in names:
        k = names.index(named)
        axes.plot([k - 0.4, k + 0.4], [behind.read_um] * 2, **style)
        note(axes, f"read: {words.micrometres(behind.read_um)}", (k, behind.read_um), "middle above")
    axes.plot([last + 0.2] * 2, [behind.low_um, behind.high_um], **style)
    text = f"behind the reading,\n80 % band: {words.span(behind.low_um, behind.high_um, 'µm')}"
    note(axes, text, (last + 0.25, behind.high_um), "left above")


def clampings(readings: Sequence[Any], limit_um: float, ground: bool = False, behind: Any = None, by: str = "") -> str:
    """Draw what one corner reads under every clamping, the driven car last; a reading and what lies behind it beside.

    Parameters
    ----------
    readings : sequence of Reading
    limit_um : float
        Limit given. [um]
    ground : bool
    behind : Behind, optional
        What lies behind a reading.
    by : str
        Clamping of that reading.

    Returns
    -------
    str
        SVG.
    """
    driven = readings[-1]

    def draw(sheet: Figure) -> None:
        swing = words.REFUSED if driven.refused else f"runs out by {words.micrometres(driven.runout_um)}"
        heading(
            sheet,
            f"One corner under {len(readings)} clampings; as driven it {swing}",
            "what the dial shows under each; the last is what the pads feel",
        )
        axes = panel(sheet, 18, 26, 148, 40)
        values = [one.runout_um if not one.refused else 0.0 for one in readings]
        colours = [palette.PART] * (len(values) - 1) + [palette.DIAL]
        axes.bar(range(len(values)), values, width=0.62, color=colours, edgecolor=palette.INK, linewidth=0.6)
        read = () if behind is None else (behind.read_um, behind.high_um)
        axes.set_ylim(0.0, 1.2 * max(*values, *read, limit_um))
        axes.set_xlim(-0.6, len(values) + 0.6)
        hatch_above(axes, limit_um, f"limit\n{words.micrometres(limit_um)}", "right")
        for k, one in enumerate(readings):
            text = words.REFUSED if one.refused else words.micrometres(one.runout_um)
            note(axes, text, (k, values[k]), "middle above", fontweight="bold")
        if behind is not None:
            _behind(axes, behind, [one.name for one in readings], by)
        ruler(axes, "µm", label=words.RUNOUT)
        axes.set_xticks(range(len(values)), [one.name.replace(", ", ",\n") for one in readings], fontsize=SMALL)

    return svg(draw, (172.0, 84.0), f"lateral runout of one corner under {len(readings)} clampings", ground)
