"""The numbered hub face as a drawing: where it carries, where it gapes, what lies on it. SVG text."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.collections import PatchCollection
from matplotlib.figure import Figure
from matplotlib.patches import Circle, FancyArrowPatch, Polygon

from scenes import palette
from scenes.plots.board import SMALL, at_hub, heading, note, numbered_stud, panel, sector, svg
from scenes.plots.runout import pitch_deg
from scenes.words import words
from sim import turn

if TYPE_CHECKING:
    from matplotlib.axes import Axes

    from sim.parts.case import Studs


EXPLAINED_MM = (140.0, 84.0)
LEFT_MM = 89.0  # where the words beside the face begin
BARE_MM = (56.0, 47.7)  # the bare drawing, as wide as it stands on page one: its letters keep their size


def hub_map(seat: Any, ground: bool = False, explained: bool = True) -> str:
    """Draw the numbered hub face as seen from outside: where it carries, where it gapes, what lies on it.

    Parameters
    ----------
    seat : Seat
        Needs ``case``, ``cells``, ``contact`` and the traces.
    ground : bool
        Fill the sheet with the paper colour.
    explained : bool
        With the words beside it; otherwise the bare drawing.

    Returns
    -------
    str
        SVG.
    """
    case, cells = seat.case, seat.cells
    hub = case.hub

    def draw(sheet: Figure) -> None:
        if explained:
            heading(sheet, "The hub face, seen from outside", case.title)
        axes = panel(sheet, 1, 1, 84, 71) if explained else panel(sheet, 0, 0, *BARE_MM)
        axes.set_aspect("equal")
        axes.axis("off")
        reach = 0.5 * hub.face_diameter_mm * (1.24 if explained else 1.36)
        wide = (84 / 71 if explained else BARE_MM[0] / BARE_MM[1]) * reach
        axes.set_xlim(-wide, wide)
        axes.set_ylim(-reach, reach)
        top = pressure_top(cells)
        axes.add_patch(
            Circle((0, 0), 0.5 * hub.face_diameter_mm, facecolor="white", edgecolor=palette.INK, linewidth=0.9)
        )
        _pressure_cells(axes, cells, top)
        axes.add_patch(
            Circle((0, 0), 0.5 * hub.face_inner_diameter_mm, facecolor="none", edgecolor=palette.INK, linewidth=0.5)
        )
        axes.add_patch(
            Circle((0, 0), 0.5 * hub.spigot_diameter_mm, facecolor=palette.PART, edgecolor=palette.INK, linewidth=0.9)
        )
        note(axes, "spigot", (0, 0), anchor="middle level", bbox=None)
        _studs(axes, case.studs, 5.5 if explained else 8.0)
        _dirt(axes, seat)
        _high_spot_arrow(axes, seat, f"{words.HIGH_SPOT}\nof the rotor" if explained else words.HIGH_SPOT)
        if explained:
            _pressure_key(sheet, top)
            _face_words(sheet, seat)

    carried = words.percent(seat.contact.closed_fraction)
    size = EXPLAINED_MM if explained else BARE_MM
    return svg(draw, size, f"hub face with contact pressure; {carried} of the bare face carries", ground)


def pressure_top(cells: Any) -> float:
    """Top of the pressure scale: what the bare face carries; dirt is drawn in its own colour [MPa]."""
    bare = np.asarray(cells.pressure_mpa)[np.asarray(cells.debris_index) < 0]
    return max(float(np.percentile(bare, 98.0)), 1.0) if bare.size else 1.0


def _pressure_cells(axes: Axes, cells: Any, top_mpa: float) -> None:
    """Fill the contact cells of the bare face by pressure; cells that gape stay white."""
    bare = np.flatnonzero((np.asarray(cells.debris_index) < 0) & (np.asarray(cells.pressure_mpa) > 0.0))
    if bare.size == 0:
        return
    wedges = [
        sector(
            cells.inner_radius_mm[k],
            cells.outer_radius_mm[k],
            cells.angle_deg[k] - cells.arc_deg[k] / 2,
            cells.angle_deg[k] + cells.arc_deg[k] / 2,
        )
        for k in bare
    ]
    colours = palette.ramp(0.12 + 0.88 * np.asarray(cells.pressure_mpa)[bare] / top_mpa, palette.PRESSURE_STOPS)
    axes.add_collection(PatchCollection(wedges, facecolor=colours, edgecolor=colours, linewidth=0.15, zorder=2))


def on_hub(angle_deg: float, frame_is_rotor: bool, studs: Studs) -> float:
    """Hub angle of an angle given in either frame [deg]."""
    return (angle_deg + (studs.studs_turned * pitch_deg(studs) if frame_is_rotor else 0.0)) % 360.0


def _studs(axes: Axes, studs: Studs, radius_mm: float) -> None:
    """Draw the numbered studs; stud 1 is painted."""
    for index in range(studs.count):
        place = at_hub(0.5 * studs.pitch_circle_mm, index * pitch_deg(studs))
        numbered_stud(axes, place, radius_mm, index + 1, index == 0)


def _dirt(axes: Axes, seat: Any) -> None:
    """Outline what lies on the face, with its height, in its own frame turned to the hub's."""
    for index, patch in enumerate(seat.case.debris):
        angle = on_hub(patch.angle_deg, patch.on == "rotor", seat.case.studs)
        axes.add_patch(
            sector(
                patch.inner_radius_mm,
                patch.outer_radius_mm,
                angle - patch.arc_deg / 2,
                angle + patch.arc_deg / 2,
                facecolor=palette.SCALE,
                edgecolor=palette.INK,
                linewidth=0.8,
                hatch="xxxx",
                zorder=6,
            )
        )
        at = at_hub(0.5 * (patch.inner_radius_mm + patch.outer_radius_mm), angle)
        out = at_hub(0.5 * seat.case.hub.face_diameter_mm * 1.12, angle)
        axes.annotate(
            words.patch_name(index),
            at,
            xytext=out,
            ha="center",
            va="center",
            fontsize=9,
            fontweight="bold",
            color=palette.SCALE,
            arrowprops={"arrowstyle": "-", "color": palette.INK, "linewidth": 0.6, "shrinkB": 0},
            zorder=7,
        )


def _high_spot_arrow(axes: Axes, seat: Any, text: str) -> None:
    """Point to where the rotor stands furthest outboard, on the hub it sits on."""
    face = seat.case.gauge.face
    first = turn.harmonics(seat.outboard_um if face == "outboard" else seat.inboard_um, 1)[1]
    angle = on_hub(turn.high_spot_deg(first), True, seat.case.studs)
    edge = 0.5 * seat.case.hub.face_diameter_mm
    tail, tip = at_hub(1.17 * edge, angle), at_hub(1.01 * edge, angle)
    look: dict[str, Any] = {"arrowstyle": "-|>", "mutation_scale": 11, "linewidth": 1.6, "color": palette.HIGH}
    axes.add_patch(FancyArrowPatch(tail, tip, zorder=5, **look))
    # Far out at the side a label that runs outward would leave the drawing.
    side = "middle" if abs(tail[0]) > 0.9 * edge else "left" if tail[0] >= 0 else "right"
    level = "above" if tail[1] >= 0 else "below"
    note(axes, text, tail, anchor=f"{side} {level}", color=palette.HIGH)


def _pressure_key(sheet: Figure, top_mpa: float) -> None:
    """Lay a short ruler of the pressure colours beside the face."""
    axes = panel(sheet, LEFT_MM, 18, 40, 3.6)
    steps = np.linspace(0.12, 1.0, 12)
    for index, colour in enumerate(palette.ramp(steps, palette.PRESSURE_STOPS)):
        axes.add_patch(Polygon([(index, 0), (index + 1, 0), (index + 1, 1), (index, 1)], facecolor=colour, linewidth=0))
    axes.set_xlim(0, 12)
    axes.set_ylim(0, 1)
    axes.set_yticks([])
    axes.set_xticks([0, 6, 12], ["0", words.number(top_mpa / 2, 2), f"{words.number(top_mpa, 2)} and more"])
    axes.tick_params(axis="x", length=3, width=0.6, labelsize=SMALL)
    axes.set_title("pressure on clean metal [MPa]\nwhite: no contact", fontsize=SMALL, loc="left", pad=3)
    for side in axes.spines.values():
        side.set_linewidth(0.5)


def _face_words(sheet: Figure, seat: Any) -> None:
    """Write what each patch of dirt carries and how much of the face carries."""
    contact, left = seat.contact, LEFT_MM / EXPLAINED_MM[0]
    lines = [f"{words.percent(contact.closed_fraction)} of the bare face carries", ""]
    for index, patch in enumerate(seat.case.debris[:5]):
        carried = words.force(contact.debris_force_n[index])
        lines.append(f"{words.patch_name(index)}, on the {patch.on}, carries {carried}:")
        lines += [
            *words.heights(patch.height_um, contact.residual_height_um[index]).replace(", ", ",\n").split("\n"),
            "",
        ]
    if not seat.case.debris:
        lines += ["nothing lies on it", ""]
    elif len(seat.case.debris) > 5:
        lines += [f"and {len(seat.case.debris) - 5} more", ""]
    lines += ["Stud 1 is painted, and up.", "Angles run counter-clockwise", "from it."]
    sheet.text(left, 0.87, "\n".join(lines), fontsize=SMALL, va="top", linespacing=1.3)
    settings: dict[str, Any] = {"fontsize": SMALL, "fontweight": "bold", "va": "bottom", "linespacing": 1.4}
    sheet.text(left, 0.03, words.CLEAN_METAL.replace("is the rule", "is\nthe rule"), **settings)
