"""Drawings of the cure: how little dirt it takes, which way to index the rotor, what each stud position leaves."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.collections import PatchCollection
from matplotlib.figure import Figure
from matplotlib.patches import Circle, FancyArrowPatch, Polygon

from scenes import palette
from scenes.plots.board import NORMAL, SMALL, at_hub, heading, note, numbered_stud, panel, sector, svg
from scenes.words import words
from sim.files.as_counted import studs_on
from sim.files.readings_head import COUNTER
from sim.units import shortest_deg

if TYPE_CHECKING:
    from collections.abc import Mapping

    from matplotlib.axes import Axes

    from sim.parts.case import Case

# Height of dirt that spoils the corner, upper edge of each step [um]: the less it takes, the darker.
STEPS_UM = (25.0, 50.0, 75.0, 100.0, 150.0, 250.0)
NO_LEAVE = "It explains where to work hardest; it does not excuse stopping short of clean metal."


def step_colours() -> list[str]:
    """Colour of each step of ``STEPS_UM`` and of what lies above the last: one hue, darkest where least is enough."""
    deep = palette.mix(palette.SCALE, palette.INK, 0.45)
    strong = [palette.mix(deep, palette.SCALE, share) for share in (0.0, 0.55, 1.0)]
    return [*strong, *(palette.mix(palette.SCALE, "#FFFFFF", share) for share in (0.35, 0.6, 0.8)), "#FFFFFF"]


def how_little(case: Case, found: Any, ground: bool = False) -> str:
    """Draw the numbered hub face with the height of dirt that alone spoils the corner at each place.

    Parameters
    ----------
    case : Case
        The corner.
    found : FaceMap
        Its map.
    ground : bool
        Fill the sheet with the paper colour.

    Returns
    -------
    str
        SVG.
    """
    hub, studs = case.hub, case.studs

    def draw(sheet: Figure) -> None:
        limit = words.micrometres(found.limit_um)
        heading(sheet, f"How little it takes: {found.kind} dirt that alone brings {limit}", case.title)
        axes = panel(sheet, 6, 4, 104, 96)
        axes.set_aspect("equal")
        axes.axis("off")
        reach = 0.5 * hub.face_diameter_mm * 1.14
        axes.set_xlim(-reach * 104 / 96, reach * 104 / 96)
        axes.set_ylim(-reach, reach)
        _cells(axes, found)
        for diameter, width in ((hub.face_diameter_mm, 0.9), (hub.face_inner_diameter_mm, 0.5)):
            axes.add_patch(
                Circle((0, 0), diameter / 2, facecolor="none", edgecolor=palette.INK, linewidth=width, zorder=3)
            )
        spigot = {"facecolor": palette.PART, "edgecolor": palette.INK, "linewidth": 0.9, "zorder": 3}
        axes.add_patch(Circle((0, 0), hub.spigot_diameter_mm / 2, **spigot))
        note(axes, "spigot", (0, 0), "middle level", bbox=None)
        for index in range(studs.count):
            place = at_hub(studs.pitch_circle_mm / 2, index * 360.0 / studs.count)
            numbered_stud(axes, place, case.rotor.hole_diameter_mm / 2 or 6.0, index + 1, index == 0)
        _zone_marks(axes, found)
        _key(sheet, found)

    least = min((zone.least_um for zone in found.zones), default=float("nan"))
    return svg(
        draw,
        (180.0, 112.0),
        f"hub face: height of dirt that spoils the corner, least {words.micrometres(least)}",
        ground,
    )


def _cells(axes: Axes, found: Any) -> None:
    """Fill the places tried by how little it takes there; white: more than the last step."""
    radius, angle = np.asarray(found.radius_mm), np.asarray(found.angle_deg)
    middle = 0.5 * (radius[1:] + radius[:-1])
    half = found.speck_mm / 2
    edge = np.concatenate([[radius[0] - half], middle, [radius[-1] + half]])
    step = 360.0 / angle.size
    colours = step_colours()
    patches, faces = [], []
    for row in range(radius.size):
        for column, centre in enumerate(angle):
            patches.append(sector(edge[row], edge[row + 1], centre - step / 2, centre + step / 2))
            faces.append(colours[int(np.searchsorted(STEPS_UM, found.spoil_um[row, column], side="right"))])
    axes.add_collection(PatchCollection(patches, facecolor=faces, edgecolor="none", linewidth=0, zorder=1))


CROWDED_MM = 22.0  # marks nearer than this would cover each other; the list names every zone


def _zone_marks(axes: Axes, found: Any) -> None:
    """Write at the worst place of each zone how little it takes there."""
    told: list[tuple[float, float]] = []
    for zone in sorted(found.zones, key=lambda one: one.least_um):
        place = at_hub(zone.radius_mm, zone.angle_deg)
        crowded = any(np.hypot(place[0] - x, place[1] - y) < CROWDED_MM for x, y in told)
        if not np.isfinite(zone.least_um) or crowded:
            continue
        told.append(place)
        axes.plot(*place, marker="o", markersize=3.2, color=palette.PAPER, markeredgecolor=palette.INK, zorder=9)
        note(axes, words.micrometres(zone.least_um), place, "left above", fontweight="bold", zorder=9)


def _key(sheet: Figure, found: Any) -> None:
    """Lay the steps beside the face and list the zones in words."""
    axes = panel(sheet, 122, 18, 6, 36)
    colours = step_colours()
    for index, colour in enumerate(colours):
        corners = [(0, index), (1, index), (1, index + 1), (0, index + 1)]
        axes.add_patch(Polygon(corners, facecolor=colour, edgecolor=palette.INK, linewidth=0.4))
        low = 0.0 if index == 0 else STEPS_UM[index - 1]
        text = f"{words.mark(low)} to {words.mark(STEPS_UM[index])} µm" if index < len(STEPS_UM) else "more"
        axes.text(1.25, index + 0.5, text, va="center", fontsize=SMALL)
    axes.set_xlim(0, 1)
    axes.set_ylim(len(colours), 0)
    axes.axis("off")
    lines = [f"clean, this corner runs {words.micrometres(found.clean_um)}", ""]
    for zone in found.zones:
        over = not np.isfinite(zone.least_um)
        least = f"over {words.micrometres(found.highest_um)}" if over else words.micrometres(zone.least_um)
        lines.append(f"{least}: {zone.name}")
    sheet.text(122 / 180, 0.86, "\n".join(lines), fontsize=6.9, va="top", linespacing=1.6)
    warning = NO_LEAVE.replace("; it is", ";\nit is").replace(" short of", "\nshort of")
    sheet.text(122 / 180, 0.03, warning, fontsize=SMALL, fontweight="bold", va="bottom", linespacing=1.3)


@dataclass(frozen=True)
class Told:
    """What is said of the stud positions beside their reckoning.

    Parameters
    ----------
    reads : mapping of int to (float, float, float)
        What the dial shows at each, low, middle, high, by studs turned. [um TIR]
    floor_doubt_um : float
        Uncertainty (k = 2) of what no stud position can beat. [um TIR]
    turned : str
        Which way the studs count, seen from outside: as the table that it is of.
    """

    reads: Mapping[int, tuple[float, float, float]]
    floor_doubt_um: float = 0.0
    turned: str = COUNTER

    def stud(self, studs_turned: int, count: int) -> int:
        """Number of a stud as it is counted."""
        return studs_on(studs_turned, self.turned, count) + 1


def positions(
    found: Any, now: int, limit_um: float, ground: bool = False, ordered: bool = True, told: Told | None = None
) -> str:
    """Draw what each stud position leaves, beside the numbered hub with the way to move the painted hole.

    Parameters
    ----------
    found : IndexResult
        The positions.
    now : int
        Where the rotor sits.
    limit_um : float
        Limit given. [um]
    ground : bool
        Fill the sheet with the paper colour.
    ordered : bool
        Whether it is to be moved at all.
    told : Told, optional
        What the dial shows; the reckoned runouts otherwise.

    Returns
    -------
    str
        SVG.
    """
    best = found.best
    if told is None:
        told = Told({one.studs_turned: (one.runout_um,) * 3 for one in found.positions})
    floor = words.no_stud_beats(found.floor_um, told.floor_doubt_um)
    now_on, best_on = (told.stud(one, found.count) for one in (now, best))
    banded = any(low < high for low, _, high in told.reads.values())

    def draw(sheet: Figure) -> None:
        what = f"the painted hole goes from stud {now_on} to stud {best_on}"
        if best == now:
            what = "it sits best as it is"
        elif not ordered:
            what = "it stays where it is for now"
        heading(sheet, f"Indexed: {what}", "seen from outside")
        _turn(panel(sheet, 9, 2, 72, 66), found.count, now, best if ordered else now, told)
        axes = panel(sheet, 104, 16, 52, 7.5 * len(found.positions))
        _position_bars(axes, found, now, limit_um, told)
        lines = ["line: 80 % band; now: uncertainty of the reading"] if banded else []
        lines += [f"{floor}:", "hub and rotor differ by that much"] if floor else []
        sheet.text(84 / 180, 0.025, "\n".join(lines), fontsize=SMALL, va="bottom")

    leaves = words.micrometres(told.reads[best][1])
    label = f"best stud position: painted hole on stud {best_on}, should then read {leaves}"
    if best == now:
        label = f"best stud position: where it sits, stud {best_on}, {leaves}"
    return svg(draw, (180.0, max(80.0, 34.0 + 7.5 * len(found.positions))), label, ground)


def _position_bars(axes: Axes, found: Any, now: int, limit_um: float, told: Told) -> None:
    """Draw what each position reads as a bar with its band, against the hatched limit."""
    rows = np.arange(len(found.positions))
    listed = sorted(found.positions, key=lambda one: told.stud(one.studs_turned, found.count))
    ends = np.array([told.reads[one.studs_turned] for one in listed])
    axes.set_xlim(0.0, 1.3 * max(float(ends.max()), limit_um))
    axes.set_ylim(rows.size - 0.4, -0.6)
    axes.axvspan(limit_um, axes.get_xlim()[1], zorder=0.5, **palette.LIMIT_BAND)
    axes.axvline(limit_um, zorder=1, **palette.LIMIT_LINE)
    note(axes, f"limit {words.micrometres(limit_um)}", (limit_um, -0.6), "middle above", bbox=None)
    names = []
    for row, one in zip(rows, listed, strict=True):
        chosen = one.studs_turned == found.best
        low, middle, high = ends[row]
        axes.barh(row, middle, height=0.5, color=palette.DIAL, alpha=1.0 if chosen else 0.45, zorder=3)
        if high > low:
            axes.plot((low, high), (row, row), color=palette.INK, linewidth=0.9, zorder=4)
        text = words.micrometres(middle) + ("  best" if chosen else "") + ("  now" if one.studs_turned == now else "")
        note(axes, text, (high, float(row)), "left level", fontweight="bold" if chosen else "normal")
        names.append(f"on stud {told.stud(one.studs_turned, found.count)}")
    axes.set_yticks(rows, names)
    axes.tick_params(axis="y", length=0, labelsize=NORMAL)
    axes.set_xticks([])
    for side in ("top", "right", "bottom"):
        axes.spines[side].set_visible(False)


def _turn(axes: Axes, count: int, now: int, best: int, told: Told) -> None:
    """Draw the numbered hub, the painted hole where it is and where it goes, and the arrow between."""
    axes.set_aspect("equal")
    axes.axis("off")
    axes.set_xlim(-1.62, 1.62)
    axes.set_ylim(-1.48, 1.48)
    axes.add_patch(Circle((0, 0), 1.0, facecolor="white", edgecolor=palette.INK, linewidth=0.9))
    axes.add_patch(Circle((0, 0), 0.34, facecolor=palette.PART, edgecolor=palette.INK, linewidth=0.8))
    pitch = 360.0 / count
    for index in range(count):
        numbered_stud(axes, at_hub(0.7, index * pitch), 0.12, told.stud(index, count), index == 0)
    from_deg, to_deg = now * pitch, best * pitch
    ring = {"facecolor": "none", "edgecolor": palette.HIGH, "linewidth": 2.2, "zorder": 9}
    axes.add_patch(Circle(at_hub(0.7, from_deg), 0.19, linestyle=(0, (2, 1.5)), **ring))
    _mark(axes, from_deg, "painted hole\nnow")
    if best == now:
        return
    axes.add_patch(Circle(at_hub(0.7, to_deg), 0.19, **ring))
    _mark(axes, to_deg, "painted hole\nthen")
    turn = shortest_deg((best - now) * pitch)  # the short way round
    arc = np.linspace(from_deg, from_deg + turn, 60)
    x, y = np.array([at_hub(1.1, angle) for angle in arc]).T
    axes.plot(x[:-4], y[:-4], color=palette.HIGH, linewidth=2.0, zorder=6)
    look: dict[str, Any] = {
        "arrowstyle": "-|>",
        "mutation_scale": 14,
        "linewidth": 2.0,
        "color": palette.HIGH,
        "zorder": 6,
    }
    axes.add_patch(FancyArrowPatch((x[-6], y[-6]), (x[-1], y[-1]), shrinkA=0, shrinkB=0, **look))


def _mark(axes: Axes, angle_deg: float, text: str) -> None:
    x, y = at_hub(1.22, angle_deg)
    side = "middle" if abs(x) < 0.2 else "left" if x > 0 else "right"
    note(
        axes,
        text,
        (x, y),
        f"{side} {'above' if y > 0.2 else 'below' if y < -0.2 else 'level'}",
        color=palette.HIGH,
        bbox=None,
    )
