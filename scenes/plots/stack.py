"""Plots of a tolerance stack: how the runout is spread, what it is made of, which input matters, what a limit costs."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.figure import Figure
from matplotlib.patches import Circle
from matplotlib.ticker import AutoMinorLocator, MaxNLocator

from scenes import palette
from scenes.plots.board import SMALL, at_hub, heading, note, numbered_stud, panel, ruler, short_marks, svg
from scenes.words import stack as said
from scenes.words import words
from sim.stack.points import REPLICATES
from sim.stack.shares import band, ends
from sim.stack.worst_case import OF_THE_BASE

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from sim.stack.answer import Answer
    from sim.stack.loosest import Loosest

LINES: dict[str, dict[str, Any]] = {
    "monte_carlo": dict(palette.DIRTY_LINE),
    "after_cleaning": dict(palette.CLEAN_LINE),
    "after_indexing": {"color": palette.DIAL, "linewidth": 1.8, "linestyle": (0, (1, 1.2))},
    "after_both": {"color": palette.HIGH, "linewidth": 1.6, "linestyle": (0, (4, 1.2, 1, 1.2))},
}
ROAD_LINE: dict[str, Any] = {"color": palette.INK, "linewidth": 1.0, "linestyle": "-"}
NOTE_SHARE = 0.08  # of the axis, that a note takes
COLUMN = {"monte_carlo": "found", "after_cleaning": "cleaned", "after_indexing": "indexed", "after_both": "both"}
BIN_UM = 2.0
MOST_SPOTS = 1500


def distribution(found: Answer, ground: bool = False) -> str:
    """Draw how the runout is spread before and after each cure, the limit and the rates over it. Returns SVG."""
    limit = found.result.study.population.limit_um
    reach = _reach(found, limit)

    def draw(sheet: Figure) -> None:
        driven = ", and as driven" if found.driven else ""
        heading(sheet, f"Lateral runout of {found.result.size} drawn corners, {words.HELD}{driven}", _title(found))
        axes = panel(sheet, 16, 14, 122, 66)
        edges = np.arange(0.0, reach + BIN_UM, BIN_UM)
        for name, look in LINES.items():
            values = _values(found, name)
            tall = 100.0 * np.histogram(np.minimum(values, reach - 1e-9), edges)[0] / values.size
            if name == "monte_carlo":
                axes.stairs(tall, edges, fill=True, color=palette.mix(palette.SCALE, "#FFFFFF", 0.75), zorder=1)
            axes.stairs(tall, edges, zorder=3, **look)
        if found.driven:
            road = _values(found, "monte_carlo", "_driven")
            axes.stairs(
                100.0 * np.histogram(np.minimum(road, reach - 1e-9), edges)[0] / road.size, edges, zorder=5, **ROAD_LINE
            )
        _limit_right(axes, limit, reach)
        _across(axes, reach, "lateral runout at the dial, TIR, µm")
        axes.set_ylim(0.0, None)
        ruler(axes, f"% of corners in each {BIN_UM:g} µm; the last: and above", lift=7)
        _legend(sheet, found, 142, road=bool(found.driven))

    main = found.read["monte_carlo"].reject
    label = f"spread of the runout of drawn corners; {said.rate(main.share)} over {words.micrometres(limit)} as found"
    return svg(draw, (200.0, 96.0), label, ground)


def _legend(sheet: Figure, found: Answer, left_mm: float, road: bool = False) -> None:
    """Name each line with the share over the limit and its interval."""
    beside = panel(sheet, left_mm, 16, 56, 64)
    beside.set_xlim(0, 56)
    beside.set_ylim(64, 0)
    beside.axis("off")
    beside.text(0, 2, "over the limit, 95 % interval", fontsize=SMALL)
    rows = [(said.STATE[name], LINES[name], found.read[name].reject) for name in LINES]
    if road:
        rows.append(("as found, as driven", ROAD_LINE, found.driven["monte_carlo"].reject))
    for k, (name, look, share) in enumerate(rows):
        y = 10 + 11.5 * k
        beside.plot([0, 8], [y, y], **look)
        beside.text(10, y, f"{name}: {said.rate(share.share)}", fontsize=SMALL, fontweight="bold", va="center")
        beside.text(10, y + 4.2, said.between(share), fontsize=SMALL, va="center")


def over_limit(found: Answer, ground: bool = False) -> str:
    """Draw the share of corners over a limit against that limit, before and after each cure, with bands. SVG."""
    limit = found.result.study.population.limit_um
    most = 1.0 - found.result.study.population.share_within
    reach = _reach(found, limit)

    def draw(sheet: Figure) -> None:
        heading(sheet, f"What a tighter or looser limit on the runout rejects, {words.HELD}", _title(found))
        axes = panel(sheet, 18, 14, 120, 66)
        at = np.linspace(0.0, reach, 121)
        floor = 0.3 / found.result.size
        replicates = 1 if found.result.study.points == "random" else REPLICATES
        for name, look in LINES.items():
            middle, low, high = band(found.result.columns[f"{COLUMN[name]}_um"], at, replicates)
            shade: dict[str, Any] = {"color": look["color"], "alpha": 0.16, "linewidth": 0.0}
            axes.fill_between(at, np.maximum(low, floor), high, **shade)  # none over is no share of nought either
            axes.plot(at[middle > 0], middle[middle > 0], zorder=3, **look)
        axes.set_yscale("log")
        axes.set_ylim(floor, 1.0)
        axes.axhline(most, color=palette.INK, linewidth=0.8, linestyle=(0, (2, 2)))
        note(axes, f"{said.rate(most)} may be over", (reach, most), "right above")
        axes.axvline(limit, zorder=3, **palette.LIMIT_LINE)
        note(axes, f"limit {words.micrometres(limit)}", (limit, 1.0), "left below")
        _across(axes, reach, "limit on the lateral runout, TIR, µm")
        _log_ruler(axes, "share of corners over it")
        _legend(sheet, found, 142)

    return svg(draw, (200.0, 96.0), "share of corners over a limit against the limit, with 95 % bands", ground)


def contributions(found: Answer, ground: bool = False) -> str:
    """Draw what each tolerance gives alone at its limit, with worst case, root sum square and what was drawn. SVG."""
    parts, limit = found.parts, found.result.study.population.limit_um
    main = found.read["monte_carlo"]
    sums = ((main.p99, "99 % of drawn corners"), (found.rss_um, "root sum square"), (found.worst_case_um, "worst case"))
    high = 16.0 + 8.0 * len(parts)

    def draw(sheet: Figure) -> None:
        heading(sheet, "Each tolerance alone at its limit, and what they add up to", _title(found))
        axes = panel(sheet, 62, 20, 126, high)
        for k, one in enumerate(parts):
            seated = one.how == "seated"
            face = palette.SCALE if seated else palette.HUB
            look: dict[str, Any] = {
                "facecolor": palette.mix(face, "#FFFFFF", 0.35),
                "edgecolor": palette.INK,
                "linewidth": 0.7,
            }
            axes.barh(k, one.runout_um, height=0.62, hatch="" if seated else "//", **look)
            own = one.name.removesuffix(OF_THE_BASE)
            whose = "\nof the base" if own != one.name else ""
            name = f"{words.clean(own, 34)}, {said.limit_of(one)}{whose}"
            axes.text(-2.5, k, name, fontsize=SMALL, ha="right", va="center")
            note(axes, words.micrometres(one.runout_um), (one.runout_um, k), "left level")
        for k, (value, name) in enumerate(sums):
            axes.axvline(value, color=palette.INK, linewidth=1.0, linestyle=(0, (3, 2)), zorder=0)
            level = len(parts) + 0.2 + 0.75 * k
            note(axes, f"{name} {words.micrometres(value)}", (value, level), "right level")
        axes.axvline(limit, zorder=4, **palette.LIMIT_LINE)
        note(axes, f"limit {words.micrometres(limit)}", (limit, -0.75), "left level", fontweight="bold")
        axes.set_ylim(len(parts) + 2.2, -1.2)
        axes.set_yticks([])
        reach = 1.04 * max(found.worst_case_um, limit)
        _across(axes, reach, "lateral runout at the dial, TIR, µm (plain: seated; hatched: a vector)")
        axes.spines["left"].set_visible(False)

    return svg(draw, (200.0, high + 36.0), "what each tolerance gives alone at its limit", ground)


def sensitivities(found: Answer, ground: bool = False) -> str:
    """Draw Sobol' indices by group with their intervals, of the runout and of being over the limit. SVG."""
    sense = found.more["sensitivity"]
    over = {one.group: one for one in sense.over_limit}
    high = 12.0 + 10.0 * len(sense.runout)

    def draw(sheet: Figure) -> None:
        heading(sheet, "Which input matters: its share of the variance, alone and with all others", _title(found))
        columns = [(62, "of the runout", {one.group: one for one in sense.runout})]
        wide = 58 if over else 128
        if over:
            columns.append((132, "of being over the limit", over))
        for left, name, rows in columns:
            axes = panel(sheet, left, 20, wide, high)
            for k, group in enumerate(one.group for one in sense.runout):
                one = rows[group]
                axes.barh(k, min(one.total, 1.0), height=0.55, color=palette.mix(palette.HUB, "#FFFFFF", 0.3))
                axes.barh(k, max(one.first, 0.0), height=0.26, color=palette.HIGH, zorder=3)
                ends = [max(one.total_low, 0.0), min(one.total_high, 1.0)]
                axes.plot(ends, [k, k], color=palette.INK, linewidth=1.0, marker="|", markersize=5, zorder=4)
                if left == columns[0][0]:
                    axes.text(-0.03, k, words.clean(group, 36), fontsize=SMALL, ha="right", va="center")
            axes.set_ylim(len(rows) - 0.4, -0.9)
            axes.set_yticks([])
            axes.spines["left"].set_visible(False)
            axes.set_title(name, fontsize=SMALL, loc="left", pad=2)
            _across(axes, 1.0, "share of the variance (Sobol index), 0 to 1")
        _marks(sheet)

    return svg(draw, (200.0, high + 36.0), "Sobol indices by group with intervals", ground)


def _marks(sheet: Figure) -> None:
    """Say under the bars what pale, dark and line are."""
    below = panel(sheet, 62, 1.5, 130, 6)
    below.set_xlim(0, 130)
    below.set_ylim(0, 6)
    below.axis("off")
    below.barh(3, 7, left=0, height=3, color=palette.mix(palette.HUB, "#FFFFFF", 0.3))
    below.barh(3, 7, left=46, height=1.6, color=palette.HIGH)
    below.plot([72, 79], [3, 3], color=palette.INK, linewidth=1.0, marker="|", markersize=5)
    for x, text in ((8.5, "with all that it acts with"), (54.5, "alone"), (80.5, "95 % interval of the pale bar")):
        below.text(x, 3, text, fontsize=SMALL, va="center")


def loosest(found: Answer, one: Loosest, ground: bool = False) -> str:
    """Draw the share over the runout limit against the limit of one key, with its band and the answer. SVG."""
    most = 1.0 - one.wanted

    def draw(sheet: Figure) -> None:
        name = words.clean(one.key, 50)
        heading(sheet, f"How loose may the limit be: {name}", said.loosest_short(one))
        axes = panel(sheet, 18, 14, 166, 62)
        floor = max(0.25 * most, 1e-6)
        look: dict[str, Any] = {"color": palette.mix(palette.SCALE, "#FFFFFF", 0.6), "linewidth": 0.0}
        axes.fill_between(one.limits, np.maximum(one.over_low, floor / 4), np.maximum(one.over_high, floor / 4), **look)
        seen = one.over > 0
        axes.plot(one.limits[seen], one.over[seen], color=palette.SCALE, linewidth=2.0, zorder=3)
        axes.plot(
            one.limits, np.maximum(one.sorted_out, 1e-9), color=palette.INK, linewidth=1.0, linestyle=(0, (1, 1.5))
        )
        middle = one.limits.size // 2
        note(axes, "parts sorted out", (one.limits[middle], one.sorted_out[middle]), "left above")
        axes.set_yscale("log")
        axes.set_ylim(floor / 2, 1.0)
        axes.axhline(most, zorder=2, **palette.LIMIT_LINE)
        note(axes, f"{said.rate(most)} may be over", (one.limits[-1], most), "right above")
        if one.limit is not None and not one.unlimited:
            axes.axvline(one.limit, color=palette.HIGH, linewidth=1.4, zorder=4)
            axes.axvspan(
                one.low or 0.0, one.high or one.limits[-1], color=palette.LOW, alpha=0.5, zorder=0, linewidth=0
            )
            note(axes, said.figure(one.limit, one.unit), (one.limit, floor / 2), "left above", fontweight="bold")
        unit = "µm" if one.unit == "um" else one.unit
        _across(axes, float(one.limits[-1]), f"limit on {name}{f', {unit}' if unit else ''}")
        _log_ruler(axes, "share of corners over the runout limit, and its 95 % band")

    return svg(draw, (200.0, 92.0), f"share over the runout limit against the limit on {one.key}", ground)


def vectors(found: Answer, ground: bool = False) -> str:
    """Draw the first orders of drawn corners on the numbered hub face: how far and where they lean. SVG."""
    columns, studs = found.result.columns, found.result.study.population.case.studs
    limit = found.result.study.population.limit_um
    x, y = 2.0 * columns["first_cos_um"], 2.0 * columns["first_sin_um"]
    keep = np.isfinite(x) & np.isfinite(y)
    over = columns["found_um"][keep] > limit
    x, y = x[keep], y[keep]
    reach = 1.15 * max(limit, float(np.quantile(np.hypot(x, y), 0.999)))

    def draw(sheet: Figure) -> None:
        heading(sheet, "Where drawn corners lean: first order of each, seen from outside", _title(found))
        axes = panel(sheet, 10, 4, 96, 96)
        axes.set_aspect("equal")
        axes.axis("off")
        axes.set_xlim(-reach, reach)
        axes.set_ylim(-reach, reach)
        for radius in (limit / 2.0, limit):
            axes.add_patch(Circle((0, 0), radius, facecolor="none", edgecolor=palette.GHOST, linewidth=0.7, zorder=1))
            note(axes, words.micrometres(radius), (0, -radius), "middle below")
        for few, colour, size in ((~over, palette.HUB, 5), (over, palette.SCALE, 13)):
            # Hub angle 0 stands at 12 o'clock, counter-clockwise.
            some = np.flatnonzero(few)[:MOST_SPOTS]
            axes.scatter(-y[some], x[some], s=size, color=colour, alpha=0.6, linewidths=0, zorder=3)
        for k in range(studs.count):
            place = at_hub(0.94 * reach, k * studs.pitch_deg)
            numbered_stud(axes, place, 0.05 * reach, k + 1, k == 0, 6)
        lines = [
            "one spot a corner: its first order, TIR,",
            "towards its high spot; circles: half the limit, the limit",
            "",
            f"large: runs out over {words.micrometres(limit)} ({int(over.sum())} of {over.size})",
            "small: within it",
            "",
            "A corner may be over within the circle:",
            "its higher orders come on top.",
        ]
        sheet.text(118 / 200, 0.72, "\n".join(lines), fontsize=SMALL, va="top", linespacing=1.6)

    return svg(draw, (200.0, 114.0), "first orders of drawn corners on the numbered hub face", ground)


def claims(found: Answer, ground: bool = False) -> str:
    """Draw corners in a thousand over the thickness variation allowed, against the kilometres. SVG."""
    road = found.more["road"]

    def draw(sheet: Figure) -> None:
        limit = words.micrometres(road.limit_um)
        heading(sheet, f"Corners in a thousand that have had over {limit} of thickness variation", _title(found))
        axes = panel(sheet, 18, 14, 160, 62)
        top = 0.0
        where: dict[str, float] = {}
        for name, look in (("found", palette.DIRTY_LINE), ("cleaned", palette.CLEAN_LINE)):
            if name not in road.over:
                continue
            count = road.within[name].of
            low, high = (1000.0 * one for one in ends(np.round(road.over[name] * count), count))
            axes.fill_between(road.km, low, high, color=look["color"], alpha=0.15, linewidth=0.0)
            axes.plot(road.km, 1000.0 * road.over[name], **look)
            top = max(top, float(high.max()))
            where["as found" if name == "found" else name] = float(1000.0 * road.over[name][-1])
        axes.set_ylim(0.0, 1.1 * top)
        # Curves that end alike are named together: two notes would lie on each other.
        if max(where.values()) - min(where.values()) < NOTE_SHARE * top:
            where = {" and ".join(where): max(where.values())}
        for state, end in where.items():
            note(axes, state, (road.km[-1], end), "right above")
        _across(axes, float(road.km[-1]), words.DISTANCE)
        ruler(axes, "corners in a thousand, 95 % band", lift=7)

    return svg(draw, (200.0, 92.0), "corners over the thickness variation allowed against distance", ground)


def _values(found: Answer, name: str, road: str = "") -> np.ndarray:
    values = found.result.columns[f"{COLUMN[name]}{road}_um"]
    return values[np.isfinite(values)]


def _reach(found: Answer, limit: float) -> float:
    return float(np.ceil(max(1.5 * limit, found.read["monte_carlo"].p99 * 1.25) / 10.0) * 10.0)


def _title(found: Answer) -> str:
    return f"{found.result.study.population.title}; {said.wanted(found)} wanted"


def _limit_right(axes: Axes, limit: float, reach: float) -> None:
    axes.axvspan(limit, reach, zorder=0.5, **palette.LIMIT_BAND)
    axes.axvline(limit, zorder=4, **palette.LIMIT_LINE)
    top = axes.get_ylim()[1]
    note(axes, f"limit {words.micrometres(limit)}", (limit, top), "left below")


def _across(axes: Axes, reach: float, label: str) -> None:
    axes.set_xlim(0.0, reach)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    axes.spines["bottom"].set_visible(True)
    axes.xaxis.set_major_locator(MaxNLocator(8, steps=[1, 2, 5, 10]))
    short_marks(axes, "x", AutoMinorLocator(5))
    axes.tick_params(axis="x", which="major", length=4.0, width=0.7, labelsize=SMALL)
    axes.xaxis.set_major_formatter(lambda value, _: words.mark(value))
    axes.set_xlabel(label, fontsize=SMALL, labelpad=2)


def _log_ruler(axes: Axes, label: str) -> None:
    axes.tick_params(axis="y", which="major", length=5.0, width=0.7, labelsize=SMALL, pad=2)
    axes.tick_params(axis="y", which="minor", length=2.2, width=0.5)
    axes.yaxis.set_major_formatter(lambda value, _: said.rate(value))
    axes.yaxis.set_minor_formatter(lambda value, _: "")
    look: dict[str, Any] = {"xycoords": "axes fraction", "textcoords": "offset points", "fontsize": SMALL}
    axes.annotate(label, (0.0, 1.0), xytext=(-30, 7), ha="left", va="bottom", **look)
