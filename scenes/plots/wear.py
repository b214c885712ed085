"""Plots of a wear forecast: thickness variation over the road, the worn ring unrolled, torque by orders and speed."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.figure import Figure
from numpy.typing import NDArray

from scenes import palette
from scenes.plots.board import (
    NORMAL,
    SMALL,
    bracket,
    distance_axis,
    hatch_above,
    heading,
    note,
    panel,
    ruler,
    svg,
    turn_axis,
)
from scenes.plots.runout import stud_marks
from scenes.words import road, words

if TYPE_CHECKING:
    from matplotlib.axes import Axes

#: Height of two lines over the axis, of the plot's: they never run over its numbers.
NOTE_SHARE = 0.17
DECLINE = 0.98  # below this share of its peak the curve counts as declining
GROWN = 1.1  # a peak is one only where the curve rose to it by more than this, and by a micrometre
MAP_KM = (0.0, 5000.0, 10000.0, 30000.0)
ORDERS_SHOWN = 4
TOP_SPEED = 150.0  # [km/h]


def peak(forecast: Any) -> int:
    """Index of the distance at which thickness variation is greatest."""
    return int(np.argmax(forecast.dtv_um))


def decline_from(forecast: Any) -> int | None:
    """Index from which thickness variation falls from a peak that it had grown to; ``None`` if it has not begun to."""
    top = peak(forecast)
    dtv = np.asarray(forecast.dtv_um)
    grew = dtv[top] > GROWN * dtv[0] + 1.0
    return top if grew and top < dtv.size - 1 and dtv[-1] < DECLINE * dtv[top] else None


def nearest(forecast: Any, distance_km: float) -> int:
    """Index of the forecast's row nearest to a distance."""
    return int(np.argmin(np.abs(np.asarray(forecast.distance_km) - distance_km)))


def dtv_growth(run: Any, ground: bool = False) -> str:
    """Plot thickness variation over the distance driven with its 80 % band, and the runout that shrinks meanwhile.

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
    forecast, limits = run.forecast, run.case.limits
    last = float(forecast.distance_km[-1])

    def draw(sheet: Figure) -> None:
        heading(sheet, f"Thickness variation over {words.kilometres(last)}", run.case.title)
        axes = panel(sheet, 14, 47, 140, 46)
        read = road.worn_start(forecast, limits.dtv_um)
        tops = (float(np.max(forecast.dtv_high_um)), 0.0 if read is None else read.high_um)
        top = max(1.08 * max(tops), 1.5 * limits.dtv_um, 24.0)
        axes.set_ylim(0.0, top)
        _dtv_curve(axes, forecast, limits.dtv_um)
        ruler(axes, "µm", label="thickest minus thinnest")
        distance_axis(axes, last, label="")
        called = words.limit_called(run.case, "dtv_um")
        hatch_above(axes, limits.dtv_um, f"{called} {words.micrometres(limits.dtv_um)}")
        _driver_bands(axes, top)
        _limit_reached(axes, forecast, limits.dtv_um)
        below = panel(sheet, 14, 12, 140, 20)
        _face_swing(below, forecast, limits.mounted_runout_um)
        distance_axis(below, last)

    highest = words.micrometres(float(np.max(forecast.dtv_um)))
    return svg(draw, (180.0, 108.0), f"{words.DTV} over {words.kilometres(last)}, at most {highest}", ground)


def _dtv_curve(axes: Axes, forecast: Any, limit_um: float) -> None:
    """Draw the curve, its band, and the later decline as a prediction only."""
    distance, dtv = np.asarray(forecast.distance_km), np.asarray(forecast.dtv_um)
    axes.fill_between(
        distance, forecast.dtv_low_um, forecast.dtv_high_um, color=palette.LOW, alpha=0.6, linewidth=0, zorder=0.3
    )
    _as_measured(axes, forecast, limit_um)
    late = decline_from(forecast) if road.starts_over(forecast, limit_um) is None else peak(forecast)
    cut = dtv.size if late is None else late + 1
    axes.plot(distance[:cut], dtv[:cut], color=palette.INK, linewidth=2.2, zorder=4)
    if late is not None:
        axes.plot(distance[late:], dtv[late:], color=palette.INK, linewidth=1.4, linestyle=(0, (1, 1.6)), zorder=4)
        start = late + (dtv.size - 1 - late) // 4  # the words stand under it, in the band
        place, side = (distance[start], dtv[start]), "middle below"
        if late == 0:  # all of it: over the band's end, clear of the limit's name
            place, side = (distance[3 * dtv.size // 4], forecast.dtv_high_um[3 * dtv.size // 4]), "middle above"
        note(axes, f"decline: {words.MODEL_ONLY}", place, side)
    low = nearest(forecast, 0.62 * float(distance[-1]))
    each = getattr(forecast, "dtv_highest_band_um", None)
    highest = f";\nof each draw's highest: {words.span(each[0], each[1], 'µm')}" if each else ""
    note(
        axes,
        f"shaded: 80{words.GAP}% band at each distance{highest}",
        (distance[low], max(float(forecast.dtv_low_um[low]), NOTE_SHARE * axes.get_ylim()[1])),
        "middle below",
        bbox=None,
    )


def _as_measured(axes: Axes, forecast: Any, limit_um: float) -> None:
    """Where a worn rotor starts: what was read of it, with its uncertainty; nothing for a road from new."""
    read = road.worn_start(forecast, limit_um)
    if read is None:
        return
    last = float(forecast.distance_km[-1])
    place = 0.006 * last  # beside the axis, where it can be seen
    look: dict[str, Any] = {"color": palette.INK, "linewidth": 1.4, "zorder": 6}
    axes.plot([place, place], [max(read.low_um, 0.0), read.high_um], marker="_", markersize=7, **look)
    axes.plot([place], [read.value_um], marker="o", markersize=4, **look)
    note(axes, f"measured {read.figure} (k = 2)", (place, read.high_um), "left above", bbox=None)


def _driver_bands(axes: Axes, top: float) -> None:
    """Write beside the plot what drivers make of each height; the words carry it, no colour does."""
    lowest = 0.0
    for edge, word in words.DTV_BANDS:
        upper = min(edge, top)
        if upper > lowest:
            axes.annotate(
                f"{word},\n{words.DTV_RANGES[word]}",
                (1.0, 0.5 * (lowest + upper)),
                xycoords=("axes fraction", "data"),
                xytext=(9, 0),
                textcoords="offset points",
                va="center",
                fontsize=NORMAL,
                fontstyle="italic",
                annotation_clip=False,
            )
            axes.plot([1.0, 1.05], [lowest, lowest], transform=axes.get_yaxis_transform(), clip_on=False, **_HAIR)
        lowest = upper
    source = "common practice,\nno source"
    axes.annotate(
        source,
        (1.0, 0.0),
        xycoords="axes fraction",
        xytext=(6, -14),
        textcoords="offset points",
        va="top",
        fontsize=SMALL,
        annotation_clip=False,
    )


_HAIR: dict[str, Any] = {"color": palette.INK, "linewidth": 0.6}


def _limit_reached(axes: Axes, forecast: Any, limit_um: float) -> None:
    """Drop a line to the distance at which the limit is reached; nothing where it is not."""
    reached = road.middle_km(forecast)
    if reached is None or road.unsure_start(forecast, limit_um) or road.starts_over(forecast, limit_um):
        return  # what starts over the limit, or too close to it to tell, reaches it at no distance that could be drawn
    axes.plot([reached, reached], [0.0, limit_um], color=palette.INK, linewidth=0.8, zorder=5)
    axes.plot([reached], [limit_um], marker="o", markersize=4.5, color=palette.INK, zorder=6)
    last = float(forecast.distance_km[-1])
    between = road.band(forecast.km_low, forecast.km_high, last)
    text = f"reached after about {words.kilometres(reached)}\n({between})"
    side = "left" if reached < 0.6 * last else "right"
    note(axes, text, (reached, 0.0), f"{side} above", fontweight="bold")


def _face_swing(axes: Axes, forecast: Any, limit_um: float) -> None:
    """Draw how the faces' own swing shrinks as they wear: a later reading does not clear the fitting."""
    distance = np.asarray(forecast.distance_km)
    swing = np.asarray(forecast.face_runout_um)
    axes.set_ylim(0.0, max(1.15 * float(swing.max()), 1.15 * limit_um))
    axes.plot(distance, swing[:, 0], color=palette.DIAL, linewidth=1.8, zorder=4)
    axes.plot(distance, swing[:, 1], color=palette.INK, linewidth=1.4, linestyle=(0, (1, 1.6)), zorder=4)
    ruler(axes, "µm", steps=3, label="runout of the worn faces, as driven: outboard solid, inboard dotted")
    side = "left" if swing[0].min() > 1.5 * limit_um else "right"
    # A line and no hatching: what wears the faces is not what the dial under spacers reads.
    axes.axhline(limit_um, color=palette.GHOST, linewidth=1.0, zorder=3)
    place = (0.004 if side == "left" else 0.996, limit_um)
    text = f"{words.DIALS_LIMIT} {words.micrometres(limit_um)}: for a reading, not for these curves"
    note(axes, text, place, f"{side} above", coords=("axes fraction", "data"))
    shrinks = swing[0].max() > limit_um > swing[-1].max()
    if shrinks:
        text = "it wears below that figure by itself: a late reading does not clear the fitting"
        note(axes, text, (0.995, 0.0), "right above", coords=("axes fraction", "data"), fontstyle="italic")


def ring_map(run: Any, at_km: tuple[float, ...] = MAP_KM, ground: bool = False) -> str:
    """Unroll the friction ring at some distances: both faces, their even wear left out, stretched so that it shows.

    Parameters
    ----------
    run : Run
        Needs ``case`` and ``forecast``.
    at_km : tuple of float
        Distances; those beyond the forecast are left out. [km]
    ground : bool
        Fill the sheet with the paper colour.

    Returns
    -------
    str
        SVG.
    """
    forecast = run.forecast
    last = float(forecast.distance_km[-1])
    wanted = [km for km in at_km if km <= last + 1.0] or [last]
    rows = [nearest(forecast, km) for km in wanted]
    deep = max(float(np.ptp(forecast.outboard_wear_um[k]) + np.ptp(forecast.inboard_wear_um[k])) for k in rows)
    start = float(np.ptp(forecast.thickness_um[0]))
    half = max(deep, start, 4.0) * 0.75
    step = 2 * half + 1.9 * max(deep, start, 4.0)

    def draw(sheet: Figure) -> None:
        heading(sheet, "The friction ring unrolled: where the metal goes", "outboard face above, inboard face below")
        axes = panel(sheet, 26, 12, 118, 17.0 * len(rows))
        axes.set_ylim(step * (len(rows) - 0.5), -0.55 * step)
        for place, row in enumerate(rows):
            _strip(axes, forecast, row, place * step, half)
        axes.set_yticks([place * step for place in range(len(rows))], [words.kilometres(km) for km in wanted])
        axes.tick_params(axis="y", length=0, labelsize=NORMAL)
        for side in ("top", "right", "left"):
            axes.spines[side].set_visible(False)
        axes.tick_params(axis="x", labelsize=SMALL)
        turn_axis(axes, words.ROTOR_ANGLE)
        stud_marks(axes, run.case.studs)
        # One strip is 17 mm of paper high; the wear in it is micrometres, the length along the strip is not to scale.
        factor = 17.0 * 1000.0 / step
        text = f"faces stretched\n{words.number(factor, 2)} times;\nring drawn thin,\neven wear left out"
        sheet.text(147.0 / 180.0, 0.085, text, fontsize=SMALL, va="center", linespacing=1.4)

    label = f"worn friction ring at {words.listed([words.kilometres(km) for km in wanted])}"
    return svg(draw, (180.0, 30.0 + 17.0 * len(rows)), label, ground)


def _closed(values: NDArray[np.float64]) -> NDArray[np.float64]:
    """One turn with its first value repeated at 360 degrees."""
    return np.append(values, values[0])


def _strip(axes: Axes, forecast: Any, row: int, middle: float, half: float) -> None:
    """Draw one unrolled ring (the plot's y runs downward, so the outboard face lies at smaller y)."""
    angle = np.append(forecast.angle_deg, 360.0)
    own = np.asarray(forecast.thickness_um[0])
    own = 0.5 * (own - own.mean())
    outboard = np.asarray(forecast.outboard_wear_um[row])
    inboard = np.asarray(forecast.inboard_wear_um[row])
    upper = middle - half - _closed(own - (outboard - outboard.mean()))
    lower = middle + half + _closed(own - (inboard - inboard.mean()))
    axes.fill_between(angle, upper, lower, facecolor=palette.PART, edgecolor="none", alpha=0.75, zorder=2)
    for curve, flat in ((upper, middle - half), (lower, middle + half)):
        axes.plot(angle, np.full(angle.size, flat), color=palette.GHOST, linewidth=0.5, linestyle=(0, (4, 3)), zorder=3)
        axes.plot(angle, curve, color=palette.INK, linewidth=1.1, zorder=4)
    thin = angle[int(np.argmin(lower - upper))]
    if np.ptp(lower - upper) > 0.5:
        axes.annotate(
            f"{words.THIN_SPOT} {words.degrees(thin)}",
            (thin, middle),
            ha="left" if thin < 300 else "right",
            va="center",
            fontsize=SMALL,
            xytext=(3 if thin < 300 else -3, 0),
            textcoords="offset points",
            zorder=6,
        )
        axes.plot([thin, thin], [upper[angle == thin][0], lower[angle == thin][0]], color=palette.INK, linewidth=0.7)
    worn = 0.5 * float(outboard.mean() + inboard.mean())
    text = f"DTV {words.micrometres(float(forecast.dtv_um[row]))}\neven wear {words.micrometres(worn)} a face"
    note(axes, text, (1.01, middle), "left level", coords=("axes fraction", "data"), bbox=None, linespacing=1.35)


def torque_orders(run: Any, ground: bool = False) -> str:
    """Plot the torque that rises and falls at the worst distance, by orders, and the speed at which each is felt.

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
    forecast = run.forecast
    row = peak(forecast)
    torque = np.asarray(forecast.torque_variation_nm)[row][:ORDERS_SHOWN]
    pressure = np.asarray(forecast.pressure_variation_bar)[row][: torque.size]
    speed = np.asarray(forecast.judder_speed_km_h)[: torque.size]
    band = np.asarray(forecast.judder_band_km_h)[: torque.size]
    rows = np.arange(torque.size)
    where = f"when it is greatest, after {words.kilometres(float(forecast.distance_km[row]))}"

    def draw(sheet: Figure) -> None:
        heading(sheet, "Brake torque that rises and falls, and the speed at which it is felt", where)
        left = panel(sheet, 24, 14, 52, 8.5 * rows.size)
        left.barh(rows, torque, height=0.42, color=palette.INK, zorder=3)
        left.set_xlim(0.0, max(1.75 * float(torque.max()), 0.5))
        for order, (moment, bar) in enumerate(zip(torque, pressure, strict=True)):
            text = f"{words.with_unit(float(moment), 'N m')}, {words.with_unit(float(bar), 'bar')}"
            note(left, text, (float(moment), order), "left level", bbox=None)
        left.set_yticks(rows, [f"order {n}" for n in forecast.orders[: rows.size]])
        left.set_xticks([])
        left.set_xlabel("zero to peak, both pads", fontsize=SMALL)
        right = panel(sheet, 88, 14, 84, 8.5 * rows.size)
        _speed_bands(right, speed, band)
        for axes in (left, right):
            axes.set_ylim(rows.size - 0.4, -0.6)
            axes.tick_params(axis="y", length=0, labelsize=SMALL)
            for side in ("top", "right"):
                axes.spines[side].set_visible(False)
        left.spines["bottom"].set_visible(False)

    strongest = forecast.orders[int(np.argmax(torque))]
    label = f"torque variation by orders, order {strongest} strongest, {words.with_unit(float(torque.max()), 'N m')}"
    return svg(draw, (180.0, 28.0 + 8.5 * rows.size), label, ground)


def _speed_bands(axes: Axes, speed: NDArray[np.float64], band: NDArray[np.float64]) -> None:
    """Draw for each order the band of speeds in which it meets the mode (half-power width)."""
    axes.set_xlim(0.0, TOP_SPEED)
    for order, (centre, (low, high)) in enumerate(zip(speed, band, strict=True)):
        axes.plot([0, TOP_SPEED], [order, order], color=palette.GHOST, linewidth=0.4, zorder=1)
        axes.barh(
            order, high - low, left=low, height=0.42, facecolor="none", edgecolor=palette.INK, hatch="||||", zorder=3
        )
        text = f"felt about {words.with_unit(float(centre), 'km/h')}"
        if low < TOP_SPEED:
            note(
                axes, text, (high, order) if high < 105 else (low, order), f"{'left' if high < 105 else 'right'} level"
            )
    axes.set_yticks([])
    axes.tick_params(axis="x", length=4, width=0.7, labelsize=SMALL)
    axes.set_xlabel(f"speed [km/h]; the mode is {words.A_PARAMETER}", fontsize=SMALL, labelpad=2)


def dirty_against_clean(dirty: Any, clean: Any, ground: bool = False) -> str:
    """Plot the same corner twice, dirty and cleaned: one turn of the dial, and the road that follows.

    Parameters
    ----------
    dirty, clean : Run
        Need ``case``, ``seat`` and ``forecast`` (the forecast may be ``None``: the lower plot is then left out).
    ground : bool
        Fill the sheet with the paper colour.

    Returns
    -------
    str
        SVG.
    """
    face = dirty.case.gauge.face
    traces = [np.asarray(getattr(run.seat, f"{face}_um")) for run in (dirty, clean)]
    swing = [run.seat.lateral_runout_um[face] for run in (dirty, clean)]
    driven = dirty.forecast is not None and clean.forecast is not None
    height = 125.0 if driven else 69.0

    def draw(sheet: Figure) -> None:
        heading(sheet, "The same corner, dirty and cleaned", f"{words.FACE[face]} at the gauge radius")
        axes = panel(sheet, 14, height - 58, 128, 38)
        reach = 1.25 * max(float(np.abs(trace).max()) for trace in traces)
        axes.set_ylim(-reach, reach)
        ruler(axes, "µm", label="+ outboard", lift=15)
        turn_axis(axes, words.ROTOR_ANGLE)
        stud_marks(axes, dirty.case.studs)
        angle = np.append(dirty.seat.angle_deg, 360.0)
        for trace, look in zip(traces, (palette.DIRTY_LINE, palette.CLEAN_LINE), strict=True):
            axes.plot(angle, np.append(trace, trace[0]), zorder=4, **look)
        for x, trace, size, name in zip((1.03, 1.16), traces, swing, ("dirty", "cleaned"), strict=True):
            bracket(axes, x, float(trace.min()), float(trace.max()), f"{name}\n{words.micrometres(size)}")
        if driven:
            _two_roads(panel(sheet, 14, 12, 128, 40), dirty, clean)

    label = f"runout dirty {words.micrometres(swing[0])}, cleaned {words.micrometres(swing[1])}"
    return svg(draw, (180.0, height), label, ground)


def _two_roads(axes: Axes, dirty: Any, clean: Any) -> None:
    """Draw thickness variation of both corners over the distance driven."""
    limit = dirty.case.limits.dtv_um
    top = max(1.15 * float(np.max(dirty.forecast.dtv_um)), 1.35 * limit, 23.0)
    axes.set_ylim(0.0, top)
    for run, name, look in ((dirty, "dirty", palette.DIRTY_LINE), (clean, "cleaned", palette.CLEAN_LINE)):
        forecast = run.forecast
        distance, dtv = np.asarray(forecast.distance_km), np.asarray(forecast.dtv_um)
        late = decline_from(forecast)
        cut = dtv.size if late is None else late + 1
        axes.plot(distance[:cut], dtv[:cut], zorder=4, **look)
        axes.plot(
            distance[cut - 1 :], dtv[cut - 1 :], zorder=4, **{**look, "linewidth": 1.3, "linestyle": (0, (1, 1.6))}
        )
        # Low and early stands when the limit is reached: the name of the low curve goes to the far side.
        place = nearest(forecast, (0.3 if name == "dirty" else 0.72) * float(distance[-1]))
        note(axes, name, (distance[place], dtv[place]), "left below" if name == "dirty" else "left above")
        _limit_reached(axes, forecast, limit)
    late = decline_from(dirty.forecast)
    if late is not None:
        middle = (late + dirty.forecast.dtv_um.size) // 2
        there = (dirty.forecast.distance_km[middle], dirty.forecast.dtv_um[middle])
        note(axes, f"dotted: {words.MODEL_ONLY}", there, "middle below", fontstyle="italic")
    ruler(axes, "µm", label="thickest minus thinnest")
    distance_axis(axes, float(dirty.forecast.distance_km[-1]))
    hatch_above(axes, limit, f"{words.limit_called(dirty.case, 'dtv_um')} {words.micrometres(limit)}")
    _driver_bands(axes, top)
