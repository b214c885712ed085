"""Plots of the road: order frequency against speed, the duty table as a map, what a worn rotor tells of. SVG text."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.figure import Figure
from matplotlib.patches import Circle, Rectangle

from scenes import palette
from scenes.plots.board import NORMAL, SMALL, at_hub, heading, note, panel, ruler, sector, svg
from scenes.plots.runout import pitch_deg
from scenes.words import words
from scenes.words.road import middle_km
from sim.wear import judder

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from sim.parts.case import Case

ORDERS_SHOWN = 4
TOP_SPEED = 150.0  # [km/h]
FEWEST_HZ = 24.0
HEADROOM = 1.5  # of the highest mode
THINNEST, HEAVIEST = 0.7, 2.8  # lines by torque [pt]
DARK = 0.42  # share of the ramp from which letters on it are light
COLUMN_MM, LINE_MM, LEFT_MM = 28.0, 8.2, 32.0
OFTEN = 0.1  # share of the draws from which it is written where no clear majority gets there
MAP_FLOOR_UM = 30.0  # darkest cell at this or at the highest peak


def speeds(run: Any, ground: bool = False) -> str:
    """Plot the frequency of each order against road speed, with the band of each mode in which it is felt.

    Parameters
    ----------
    run : Run
        Needs ``case`` and ``forecast``.
    ground : bool
        Fill the sheet with the paper colour.

    Returns
    -------
    str
        SVG.
    """
    case, forecast = run.case, run.forecast
    modes = judder.modes_of(case)
    top_hz = max(FEWEST_HZ, HEADROOM * max(mode.hz for mode in modes))
    torque = np.asarray(forecast.torque_variation_nm)[int(np.argmax(forecast.dtv_um))][:ORDERS_SHOWN]

    def draw(sheet: Figure) -> None:
        below = f"a wheel of {case.drive.revolutions_per_km:g} turns a km; heavier line: more torque rises and falls"
        heading(sheet, "At which speed each order is felt", below)
        axes = panel(sheet, 14, 14, 128, 58)
        axes.set_xlim(0.0, TOP_SPEED)
        axes.set_ylim(0.0, top_hz)
        for mode in modes:
            _mode(axes, mode)
        for order, moment in enumerate(torque, 1):
            weight = THINNEST + (HEAVIEST - THINNEST) * float(moment / max(float(torque.max()), 1e-9))
            _order(axes, order, case.drive.revolutions_per_km, weight)
            for mode in modes:
                _crossing(axes, order, mode, case.drive.revolutions_per_km)
        ruler(axes, "Hz", label="how often it shakes", lift=11)
        axes.spines["bottom"].set_visible(True)
        axes.tick_params(axis="x", length=4, width=0.7)
        axes.set_xlabel("speed [km/h]; dots: where an order meets the middle of a mode", fontsize=SMALL, labelpad=2)

    band = judder.speed_bands_km_h(modes[0], case.drive.revolutions_per_km)[0]
    label = f"order frequency against speed; order 1 is felt from {band[0]:.0f} to {band[1]:.0f} km/h"
    return svg(draw, (180.0, 92.0), label, ground)


def _mode(axes: Axes, mode: judder.Mode) -> None:
    low, high = judder.half_power_hz(mode)
    axes.axhspan(low, high, facecolor=palette.LOW, alpha=0.6, linewidth=0, zorder=0.4)
    text = f"{mode.hz:g} Hz mode,\nhalf-power width:\na parameter"
    note(
        axes, text, (1.055, 0.5 * (low + high)), "left level", ("axes fraction", "data"), bbox=None, fontstyle="italic"
    )


def _order(axes: Axes, order: int, turns: float, weight: float) -> None:
    """Draw one order's line, named where it leaves the plot."""
    top = axes.get_ylim()[1]
    end = min(TOP_SPEED, judder.felt_speed_km_h(order, top, turns))
    height = float(judder.order_frequency_hz(order, end, turns))
    axes.plot([0.0, end], [0.0, height], color=palette.INK, linewidth=weight, solid_capstyle="butt", zorder=3)
    leaves_above = end < TOP_SPEED
    text = f"order {order}" if order == 1 else str(order)
    note(axes, text, (end, height), "middle above" if leaves_above else "left level", fontweight="bold", bbox=None)


def _crossing(axes: Axes, order: int, mode: judder.Mode, turns: float) -> None:
    """Mark where an order meets a mode, and write the band of speeds for the two that matter most."""
    speed = judder.felt_speed_km_h(order, mode.hz, turns)
    if speed > TOP_SPEED:
        return
    axes.plot(
        [speed], [mode.hz], marker="o", markersize=4.4, color=palette.INK, markerfacecolor=palette.PAPER, zorder=5
    )
    if order > 2:
        return
    low, high = judder.speed_bands_km_h(mode, turns)[order - 1]
    axes.plot([speed, speed], [0.0, mode.hz], color=palette.GHOST, linewidth=0.5, zorder=1)
    axes.plot([low, min(high, TOP_SPEED)], [0.0, 0.0], color=palette.INK, linewidth=3.0, clip_on=False, zorder=6)
    note(axes, f"{low:.0f} to {high:.0f} km/h", (speed, 0.06 * axes.get_ylim()[1]), "middle level")


def duty_map(rows: Sequence[Any], limit_um: float, km: float, ground: bool = False) -> str:
    """Draw the duty table as a map: kilometres to the limit with their band, the darker the higher it grows.

    Parameters
    ----------
    rows : sequence of DutyRow
    limit_um : float
        Limit of thickness variation given. [um]
    km : float
        Distance that each was driven. [km]
    ground : bool

    Returns
    -------
    str
        SVG.
    """
    groups = list(dict.fromkeys((row.caliper, row.pads) for row in rows))
    duties = list(dict.fromkeys(row.duty for row in rows))
    runouts = list(dict.fromkeys(row.runout_um for row in rows))
    by = {(row.caliper, row.pads, row.duty, row.runout_um): row for row in rows}
    top = max(MAP_FLOOR_UM, max(row.peak_um for row in rows))
    lines = len(groups) * (len(duties) + 0.8)
    size = (LEFT_MM + COLUMN_MM * len(runouts) + 4.0, 34.0 + LINE_MM * lines)

    def draw(sheet: Figure) -> None:
        limit = words.micrometres(limit_um)
        heading(sheet, f"Kilometres until thickness variation reaches {limit}", _map_words(km))
        axes = panel(sheet, LEFT_MM, 14, COLUMN_MM * len(runouts), LINE_MM * lines)
        axes.set_xlim(0.0, len(runouts))
        axes.set_ylim(lines, 0.0)
        axes.axis("off")
        for k, runout in enumerate(runouts):
            axes.text(k + 0.5, -0.15, words.micrometres(runout), ha="center", va="bottom", fontsize=NORMAL)
        axes.text(-0.05, -0.15, "runout", ha="right", va="bottom", fontsize=NORMAL)
        for place, (caliper, pads) in enumerate(groups):
            start = place * (len(duties) + 0.8) + 0.7
            axes.text(0.0, start - 0.12, f"{caliper} caliper, {pads} pads", fontsize=NORMAL, fontweight="bold")
            for line, use in enumerate(duties):
                axes.text(-0.05, start + line + 0.5, use, ha="right", va="center", fontsize=NORMAL)
                for k, runout in enumerate(runouts):
                    _cell(axes, (k, start + line), by[caliper, pads, use, runout], km, top)
        _map_key(sheet, top, size)

    return svg(draw, size, f"kilometres to {limit_um:g} µm by caliper, pads, duty and runout", ground)


def _map_words(km: float) -> str:
    far = words.kilometres(km)
    return f"below it the 80 % band of the distance; a share: so many of the draws; – : hardly or not within {far}"


def _cell(axes: Axes, corner: tuple[float, float], row: Any, km: float, top_um: float) -> None:
    """Shade one cell by the highest thickness variation; write the distance and its band."""
    share = min(1.0, row.peak_um / top_um)
    x, y = corner
    colour = palette.ramp([share])[0]
    axes.add_patch(Rectangle((x, y), 1.0, 1.0, facecolor=colour, edgecolor=palette.PAPER, linewidth=1.2))
    ink = palette.PAPER if share > DARK else palette.INK
    middle, often = middle_km(row), 1.0 - row.probability_never
    reached = "–" if middle is None else words.kilometres(middle)
    if middle is None and row.draws and often >= OFTEN:
        reached = words.percent(often)
    settings: dict[str, Any] = {"ha": "center", "va": "center", "color": ink}
    between = short_band(row.km_low, row.km_high) if row.draws else ""
    axes.text(x + 0.5, y + (0.34 if between else 0.5), reached, fontsize=NORMAL, fontweight="bold", **settings)
    axes.text(x + 0.5, y + 0.74, between, fontsize=SMALL - 0.6, **settings)


def short_band(low_km: float | None, high_km: float | None) -> str:
    """Write a band of distances in a cell; empty where even its near end lies beyond what was driven."""
    if low_km is None:
        return ""
    low = words.kilometres(low_km)
    if high_km is None:
        return f"{low} or more"
    return f"{low.removesuffix(words.GAP + 'km')} to {words.kilometres(high_km)}"


def _map_key(sheet: Figure, top_um: float, size: tuple[float, float]) -> None:
    axes = panel(sheet, LEFT_MM, 7.5, 60, 3)
    axes.imshow(palette.ramp(np.linspace(0.0, 1.0, 128))[None], aspect="auto", extent=(0.0, top_um, 0.0, 1.0))
    axes.set_yticks([])
    axes.tick_params(axis="x", length=3, width=0.6, labelsize=SMALL, pad=1)
    for side in axes.spines.values():
        side.set_linewidth(0.5)
    text = "highest thickness variation on the way [µm]"
    sheet.text((LEFT_MM + 63.0) / size[0], 9.0 / size[1], text, fontsize=SMALL, va="center")


def remembered(case: Case, found: Any, ground: bool = False) -> str:
    """Draw what a worn rotor tells of: its runout at fitting with the band, now beside it, and where it was lifted.

    Parameters
    ----------
    case : Case
        Limits, studs and hub.
    found : Memory
    ground : bool

    Returns
    -------
    str
        SVG.
    """
    limit = case.limits.mounted_runout_um
    now = found.runout_now_um
    right = 1.18 * max(found.high_um if found.tells else 0.0, 1.4 * limit, 0.0 if now is None else now)
    title = {
        "above the limit at fitting": "It was mounted above the limit",
        "within the limit at fitting": "It ran within the limit",
        "not worn in by runout": "No runout wears a rotor like this",
    }.get(found.finding, "Above or within the limit: cannot tell")

    def draw(sheet: Figure) -> None:
        heading(sheet, title, found.reason)
        axes = panel(sheet, 22, 16, 92, 40)
        axes.set_xlim(0.0, right)
        axes.set_ylim(-0.7, 1.7)
        axes.axvspan(limit, right, zorder=0.3, **palette.LIMIT_BAND)
        axes.axvline(limit, zorder=2, **palette.LIMIT_LINE)
        text = f"limit {words.micrometres(limit)}"
        note(axes, text, (limit, 1.0), "left above", ("data", "axes fraction"), bbox=None)
        if found.tells:
            axes.barh(1.0, found.high_um - found.low_um, left=found.low_um, height=0.36, color=palette.LOW, zorder=3)
            axes.plot([found.fitted_runout_um] * 2, [0.75, 1.25], color=palette.HIGH, linewidth=3.0, zorder=4)
            text = f"{words.span(found.low_um, found.high_um, 'µm', 3)}, 80 % band"
            note(axes, text, (0.5 * (found.low_um + found.high_um), 1.26), "middle above", fontweight="bold")
        if now is not None:
            axes.plot([now] * 2, [-0.25, 0.25], color=palette.DIAL, linewidth=3.0, zorder=4)
            note(axes, words.micrometres(now), (now, 0.26), "middle above", fontweight="bold")
        if now is not None and found.tells:
            style = {"arrowstyle": "-|>", "linewidth": 0.8, "color": palette.INK, "shrinkA": 2, "shrinkB": 2}
            axes.annotate("", (now, 0.0), xytext=(found.fitted_runout_um, 0.75), arrowprops=style, zorder=3)
        fitted = "when fitted" if found.tells else "when fitted:\nnot told"
        axes.set_yticks([0.0, 1.0], ["now" if now is not None else "now: not read", fitted], fontsize=NORMAL)
        axes.tick_params(axis="y", length=0)
        axes.tick_params(axis="x", length=4, width=0.7, labelsize=SMALL)
        for side in ("top", "right", "left"):
            axes.spines[side].set_visible(False)
        axes.set_xlabel("runout of the rotor [µm]; it shrinks as it wears", fontsize=SMALL, labelpad=2)
        _lifted(sheet, case, found)

    band = f"of {words.span(found.low_um, found.high_um, 'µm', 3)} of runout at fitting; " if found.tells else ""
    return svg(draw, (180.0, 74.0), f"what a worn rotor tells: {band}{found.finding}", ground)


def _lifted(sheet: Figure, case: Case, found: Any) -> None:
    """Draw the hub face with its studs and the sector in which the rotor was lifted."""
    axes = panel(sheet, 122, 8, 54, 54)
    axes.set_aspect("equal")
    axes.axis("off")
    edge = 0.5 * case.hub.face_diameter_mm
    axes.set_xlim(-1.45 * edge, 1.45 * edge)
    axes.set_ylim(-1.45 * edge, 1.45 * edge)
    outline = {"edgecolor": palette.INK, "linewidth": 0.8}
    axes.add_patch(Circle((0, 0), edge, facecolor=palette.mix(palette.HUB, palette.PAPER, 0.6), **outline))
    axes.add_patch(Circle((0, 0), 0.5 * case.hub.spigot_diameter_mm, facecolor=palette.PART, **outline))
    for index in range(case.studs.count):
        place = at_hub(0.5 * case.studs.pitch_circle_mm, index * pitch_deg(case.studs))
        face, ink = (palette.INK, palette.PAPER) if index == 0 else (palette.STUD, palette.INK)
        axes.add_patch(Circle(place, 0.1 * edge, facecolor=face, zorder=5, **outline))
        settings: dict[str, Any] = {
            "ha": "center",
            "va": "center_baseline",
            "fontsize": SMALL,
            "color": ink,
            "fontweight": "bold",
        }
        axes.text(*place, str(index + 1), zorder=6, **settings)
    if not found.tells or found.high_spot_deg is None:
        axes.text(0.0, -1.25 * edge, "where the high spot was:\nthe readings do not tell", ha="center", fontsize=SMALL)
        return
    at, half = found.high_spot_deg, max(found.high_spot_band_deg, 2.5)
    axes.add_patch(sector(0.6 * edge, 1.1 * edge, at - half, at + half, facecolor=palette.HIGH, zorder=4))
    text = f"high spot, {words.degrees(at)} ± {words.degrees(half)}"
    axes.text(0.0, -1.3 * edge, text, ha="center", fontsize=SMALL, color=palette.HIGH)
