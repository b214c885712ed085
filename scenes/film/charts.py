"""Plots that grow inside a film: drawn whole once, then uncovered from the left as time runs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from numpy.typing import NDArray
from PIL import Image

from scenes import palette
from scenes.geometry import exaggeration
from scenes.stage.lettering import Sheet
from scenes.words import words

DPI = 100.0
TEXT = 19.0
"""Point size of lettering at 1080 lines: readable on a telephone."""
BAND: dict[str, Any] = {**palette.LIMIT_BAND, "hatch": "/"}
"""The band of limits, its hatching open enough for moving pictures."""


@dataclass(frozen=True, eq=False)
class Chart:
    """A plot in two layers and where its curve runs.

    Parameters
    ----------
    ground, curve : Image
        Axes with their words; the curves alone, on nothing.
    share : ndarray, shape (k,)
        Place along the axis, 0..1.
    x_px : tuple of float
        Left and right end of the axis. [pixels]
    dots : tuple of (ndarray, colour)
        For each curve, its height in pixels at ``share``.
    """

    ground: Image.Image
    curve: Image.Image
    share: NDArray[np.float64]
    x_px: tuple[float, float]
    dots: tuple[tuple[NDArray[np.float64], str], ...]

    def show(self, sheet: Sheet, place: tuple[int, int], uncovered: float) -> None:
        """Lay the plot on a sheet, its curves uncovered up to a share of the axis."""
        sheet.paste(self.ground, place)
        if uncovered <= 0.0:
            return
        left, right = self.x_px
        here = left + min(uncovered, 1.0) * (right - left)
        width = self.curve.width if uncovered >= 1.0 else round(here)
        sheet.paste(self.curve.crop((0, 0, width, self.curve.height)), place)
        for height, colour in self.dots:
            y = float(np.interp(uncovered, self.share, height))
            _dot(sheet, (place[0] + here, place[1] + y), colour)


def _dot(sheet: Sheet, middle: tuple[float, float], colour: str, radius: float = 9.0) -> None:
    side = int(2 * radius + 4)
    stencil = Image.new("L", (side * 4, side * 4), 0)
    Sheet(stencil).draw.ellipse((8, 8, side * 4 - 8, side * 4 - 8), fill=255)
    stencil = stencil.resize((side, side), Image.Resampling.BOX)
    sheet.image.paste(
        Image.new("RGB", (side, side), colour), (round(middle[0] - side / 2), round(middle[1] - side / 2)), stencil
    )


def trace(
    run: Any, size: tuple[int, int], reach_um: float, dial_deg: float, line: dict[str, Any], tir: bool = True
) -> Chart:
    """One turn as the dial reads it, true scale, with the limit as a band in words.

    Parameters
    ----------
    run : Run
        A computed corner.
    size : tuple of int
        Width and height. [pixels]
    reach_um : float
        The axis runs from minus to plus this, the same for all corners shown. [um]
    dial_deg : float
        World angle of the dial; stud 1 passes it after that turn. [deg]
    line : dict
        Line style.
    tir : bool
        Stand the bracket of the runout beside it: False while the turn is not read yet.

    Returns
    -------
    Chart
        Share 0..1 of one turn.
    """
    share = np.linspace(0.0, 1.0, 361)
    reading = turn_readings(run, dial_deg, share)
    figure, axes = _blank(size, (0.115, 0.20, 0.64, 0.64))
    axes.set_xlim(0.0, 360.0)
    axes.set_ylim(-reach_um, reach_um)
    axes.set_xticks([0, 90, 180, 270, 360], ["0°", "90°", "180°", "270°", "360°"])
    axes.set_yticks(_round_ticks(reach_um))
    axes.axhline(0.0, color=palette.GHOST, linewidth=1.0)
    limit = run.case.limits.mounted_runout_um
    low, high = float(reading.min()), float(reading.max())
    # A limit is a height from lowest to highest, wherever the trace lies: two brackets on one foot.
    if tir:
        _bracket(axes, 1.03, (low, high), "TIR", str(line["color"]))
    _bracket(axes, 1.08, (low, low + limit), "limit", palette.INK)
    said = [(high, f"TIR {words.micrometres(high - low)}"), (low + limit, f"limit {words.micrometres(limit)}")]
    apart = 0.32 * reach_um
    (top, first), (under, second) = sorted(said, reverse=True)
    for y, text in ((top, first), (min(under, top - apart), second)):
        if text.startswith("TIR") and not tir:
            continue
        axes.annotate(text, (1.11, y), xycoords=axes.get_yaxis_transform(), va="center", fontsize=TEXT,
                      fontweight="bold", color=palette.INK, annotation_clip=False)  # fmt: skip
    axes.set_title(
        f"{words.RUNOUT}, {words.OUTBOARD} [µm], one turn, true scale", fontsize=TEXT, loc="left", color=palette.INK
    )
    return _layers(figure, axes, share, share * 360.0, [(reading, line)])


def turn_readings(run: Any, dial_deg: float, share: NDArray[np.float64]) -> NDArray[np.float64]:
    """Read a dial standing at a world angle while the wheel turns counter-clockwise, in um."""
    return exaggeration.reading_um(run, dial_deg - 360.0 * share)


def growth(runs: list[tuple[str, Any, dict[str, Any]]], size: tuple[int, int]) -> Chart:
    """Thickness variation over distance driven, each corner a curve named at its end; the limit in words.

    Parameters
    ----------
    runs : list of (name, run, line style)
        Corners with a forecast.
    size : tuple of int
        Width and height. [pixels]

    Returns
    -------
    Chart
        Share 0..1 of the longest distance.
    """
    last = max(float(run.forecast.distance_km[-1]) for _, run, _ in runs)
    limit = runs[0][1].case.limits.dtv_um
    highest = max(float(np.max(run.forecast.dtv_um)) for _, run, _ in runs)
    top = 1.08 * max(limit * 1.35, min(float(np.max(runs[-1][1].forecast.dtv_high_um)), 1.7 * highest))
    figure, axes = _blank(size, (0.05, 0.20, 0.74, 0.64))
    axes.set_xlim(0.0, last)
    axes.set_ylim(0.0, top)
    ticks = np.arange(0.0, last + 1.0, 5000.0 if last > 12000.0 else 2000.0)
    axes.set_xticks(ticks, [f"{words.mark(tick)} km" if tick else "0" for tick in ticks])
    axes.set_yticks([tick for tick in (0, 10, 20, 30, 50, 80) if tick <= top])
    axes.axhspan(limit, top, **BAND)
    axes.axhline(limit, **palette.LIMIT_LINE)
    _words(axes, 0.012, 0.93, f"hatched: over the limit, {words.micrometres(limit)}", "left")
    axes.set_title(
        f"{words.DTV} [µm]; shaded: 80 % band; dotted: {words.MODEL_ONLY}",
        fontsize=TEXT,
        loc="left",
        color=palette.INK,
    )
    share = np.linspace(0.0, 1.0, 241)
    curves = []
    forecast = runs[-1][1].forecast
    axes.fill_between(
        forecast.distance_km, forecast.dtv_low_um, np.minimum(forecast.dtv_high_um, top),
        color=runs[-1][2]["color"], alpha=0.16, linewidth=0.0,
    )  # fmt: skip
    for name, run, line in runs:
        values = np.interp(share * last, run.forecast.distance_km, run.forecast.dtv_um)
        curves.append((values, line))
        axes.annotate(
            name, (last, values[-1]), xytext=(14, 0), textcoords="offset points", va="center", fontsize=TEXT,
            fontweight="bold", color=palette.INK, annotation_clip=False,
        )  # fmt: skip
    return _layers(figure, axes, share, share * last, curves, falls=True)


def push(travel_mm: NDArray[np.float64], torque_nm: NDArray[np.float64], size: tuple[int, int], each: str) -> Chart:
    """Torque of every nut, evenly, over how far the rotor still stands off the hub face.

    Parameters
    ----------
    travel_mm, torque_nm : ndarray, shape (k,)
        Stand-off, falling, and the torque that brought the rotor there. [mm], [N m]
    size : tuple of int
        Width and height. [pixels]
    each : str
        What is tightened: nut or bolt.

    Returns
    -------
    Chart
        Share 0..1 from the first of them to the face.
    """
    top, most = float(travel_mm[0]), 1.2 * max(float(torque_nm.max()), 1e-3)
    figure, axes = _blank(size, (0.045, 0.25, 0.93, 0.58))
    axes.set_xlim(top, 0.0)
    axes.set_ylim(0.0, most)
    step = next((s for s in (0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0) if top / s <= 6.5), 10.0)
    ticks = np.arange(0.0, top + 1e-9, step)
    axes.set_xticks(ticks, ["home" if tick == 0 else f"{words.mark(float(tick))} mm off" for tick in ticks])
    axes.set_yticks([])  # no figure beside a nut: it would be taken for an instruction
    axes.set_title(
        f"how hard every {each} has to pull, tightened evenly, to draw it on: damage, not a method",
        fontsize=TEXT, loc="left", color=palette.INK,
    )  # fmt: skip
    share = np.linspace(0.0, 1.0, 241)
    torque = np.interp(top * (1.0 - share), travel_mm[::-1], torque_nm[::-1])
    line = {"color": palette.INK, "linewidth": 4.0}
    return _layers(figure, axes, share, top * (1.0 - share), [(torque, line)])


def _blank(size: tuple[int, int], box: tuple[float, float, float, float]) -> tuple[Figure, Axes]:
    figure = Figure(figsize=(size[0] / DPI, size[1] / DPI), dpi=DPI)
    figure.patch.set_alpha(0.0)
    axes = figure.add_axes(box)
    axes.patch.set_alpha(0.0)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    for side in ("left", "bottom"):
        axes.spines[side].set_color(palette.INK)
        axes.spines[side].set_linewidth(1.4)
    axes.tick_params(labelsize=TEXT, colors=palette.INK, width=1.4, length=6)
    return figure, axes


def _words(axes: Axes, x: float, y: float, text: str, side: str) -> None:
    ground = {"boxstyle": "square,pad=0.25", "facecolor": palette.PAPER, "edgecolor": "none"}
    look: dict[str, Any] = {
        "ha": side,
        "va": "center",
        "fontsize": TEXT,
        "color": palette.INK,
        "bbox": ground,
        "zorder": 5,
    }
    axes.text(x, y, text, transform=axes.transAxes, **look)


def _bracket(axes: Axes, x: float, heights: tuple[float, float], name: str, colour: str) -> None:
    """Stand a bracket right of the plot, between two heights; ``x`` is a share of the plot's width."""
    low, high = heights
    corners = ([x + 0.012, x - 0.012, x - 0.012, x + 0.012], [low, low, high, high])
    axes.plot(*corners, transform=axes.get_yaxis_transform(), gid=name, linewidth=4.0, clip_on=False, color=colour,
              solid_capstyle="butt")  # fmt: skip


def _round_ticks(reach: float) -> list[float]:
    step = next((s for s in (5, 10, 20, 25, 50, 100, 200, 250, 500, 1000) if reach / s <= 2.6), 1000)
    return [float(tick) for tick in range(-step * int(reach // step), int(reach) + 1, step)]


def _layers(
    figure: Figure, axes: Axes, share: NDArray[np.float64], x: NDArray[np.float64],
    curves: list[tuple[NDArray[np.float64], dict[str, Any]]], falls: bool = False,
) -> Chart:  # fmt: skip
    """Photograph axes and curves apart; ``falls`` draws what comes after a curve's peak dotted."""
    for band in axes.collections:
        band.set_visible(False)
    ground = _picture(figure)
    for band in axes.collections:
        band.set_visible(True)
    high = figure.bbox.height
    dots = []
    for values, line in curves:
        peak = int(np.argmax(values)) if falls else len(values) - 1
        axes.plot(x[: peak + 1], values[: peak + 1], zorder=6, **line)
        axes.plot(x[peak:], values[peak:], zorder=6, **(line | {"linestyle": (0, (1.0, 1.2))}))
        dots.append((high - axes.transData.transform(np.column_stack([x, values]))[:, 1], str(line["color"])))
    ends = axes.transData.transform([(x[0], 0.0), (x[-1], 0.0)])[:, 0]
    for artist in (*axes.texts, *axes.patches, *axes.lines[: -2 * len(curves)], *axes.spines.values()):
        artist.set_visible(False)
    axes.set_title("", loc="left")
    axes.tick_params(length=0, labelcolor="none")
    return Chart(ground, _picture(figure), share, (float(ends[0]), float(ends[1])), tuple(dots))


def _picture(figure: Figure) -> Image.Image:
    canvas = FigureCanvasAgg(figure)
    canvas.draw()
    return Image.fromarray(np.asarray(canvas.buffer_rgba()).copy())
