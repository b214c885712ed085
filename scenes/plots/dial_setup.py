"""How a dial stands: wheel off and wheel on; and which way the places of a turn count."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.patches import Circle, FancyArrowPatch, Polygon, Rectangle

from scenes import palette
from scenes.plots.board import at_hub, numbered_stud, panel, svg

if TYPE_CHECKING:
    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

PANEL_MM, HIGH_MM = 62.0, 58.4
LETTERS = 7.1  # at 62 mm a panel [pt]
PLACES = 12
# Half a corner, in its own millimetres: across along the axis, outboard to the right; up along the radius.
FLANGE_OUT, FACE_OUT, FACE_IN, EDGE, TIP = 7.0, -26.0, -38.0, 150.0, 140.0


def off_and_on(letters: float = LETTERS, wide_mm: float = PANEL_MM, ground: bool = False) -> str:
    """Draw both ways to set a dial up, beside each other. SVG.

    Parameters
    ----------
    letters : float
        [pt]
    wide_mm : float
        Width of a panel. [mm]
    ground : bool
        Fill the sheet, for a file of its own.
    """
    high = wide_mm * HIGH_MM / PANEL_MM

    def draw(sheet: Figure) -> None:
        _wheel_off(panel(sheet, 0, 0, wide_mm, high), letters)
        _wheel_on(panel(sheet, wide_mm, 0, wide_mm, high), letters)

    told = "wheel off: dial on the knuckle, tip square on the outboard friction face, 10 mm in from its outer edge"
    more = "wheel on: dial on the knuckle, tip square on the inboard friction face"
    return svg(draw, (2 * wide_mm, high), f"{told}; {more}", ground)


def counting(letters: float = LETTERS, wide_mm: float = PANEL_MM) -> str:
    """Draw the places of a turn and the two arrows: which way they count, which way the rotor is turned. SVG."""

    def draw(sheet: Figure) -> None:
        axes = panel(sheet, 0, 0, wide_mm, wide_mm * HIGH_MM / PANEL_MM)
        _bare(axes, (-2.0, 2.0), (-2.05, 1.6))
        axes.add_patch(Circle((0, 0), 1.0, facecolor="white", edgecolor=palette.INK, linewidth=1.0))
        axes.add_patch(Circle((0, 0), 0.5, facecolor=palette.PART, edgecolor=palette.INK, linewidth=0.8))
        for place in range(PLACES):
            angle = place * 360.0 / PLACES
            (x, y), (u, v) = at_hub(0.93, angle), at_hub(1.0, angle)
            axes.plot((x, u), (y, v), color=palette.INK, linewidth=1.0)
            _words(axes, at_hub(0.83, angle), str(place + 1), letters, fontweight="bold")
        numbered_stud(axes, at_hub(0.34, 0.0), 0.11, 1, True, letters)
        _round(axes, 1.2, (12.0, 100.0), letters)
        _words(axes, (-1.55, 1.2), "places\ncount\nthis way", letters)
        _round(axes, 1.2, (-12.0, -100.0), letters)
        _words(axes, (1.55, 1.2), "turn the\nrotor\nthis way", letters)
        _words(
            axes,
            (0, -1.6),
            "seen from outside, stud 1 and the\npainted hole at the top: the\nnumbers run against the clock",
            letters,
        )

    told = "places 1 to 12 of a turn count counter-clockwise seen from outside, the rotor is turned clockwise"
    return svg(draw, (wide_mm, wide_mm * HIGH_MM / PANEL_MM), told)


def _wheel_off(axes: Axes, letters: float) -> None:
    _corner(axes, "wheel off", letters)
    axes.add_patch(_part((FLANGE_OUT, 42.0), (10.0, 28.0), "white"))  # spacer
    axes.add_patch(_part((FLANGE_OUT + 10.0, 45.0), (13.0, 22.0), palette.STUD))
    _stand(axes, [(-64.0, 96.0), (-64.0, 168.0), (36.0, 168.0), (36.0, TIP)])
    _dial(axes, (36.0, TIP), FACE_OUT)
    axes.plot([FACE_OUT - 22.0, FACE_OUT + 14.0], [EDGE] * 2, color=palette.INK, linewidth=0.6)
    axes.annotate("", (FACE_OUT + 9.0, EDGE), (FACE_OUT + 9.0, TIP), arrowprops=_ends())
    _words(axes, (4.0, 150.0), "10 mm", letters)
    _told(axes, "tip square\nto the face", (FACE_OUT + 1.0, TIP - 1.0), (24.0, 112.0), letters)
    _told(axes, "rotor", (FACE_OUT - 2.0, 82.0), (0.0, 90.0), letters)
    _told(axes, "nut on its\nspacer", (24.0, 54.0), (66.0, 82.0), letters)
    axes.plot([-106.0, -106.0], [206.0, 182.0], color=palette.INK, linewidth=1.2)
    axes.add_patch(Rectangle((-126.0, 150.0), 40.0, 32.0, facecolor="white", edgecolor=palette.INK, hatch="...."))
    _words(axes, (-103.0, 136.0), "caliper hung\non a hook", letters)


def _wheel_on(axes: Axes, letters: float) -> None:
    _corner(axes, "wheel on", letters)
    axes.add_patch(_part((FLANGE_OUT, 33.0), (12.0, 42.0), "white"))
    spoke = [(FLANGE_OUT + 2.0, 75.0), (FLANGE_OUT + 12.0, 75.0), (40.0, 184.0), (28.0, 184.0)]
    axes.add_patch(Polygon(spoke, facecolor="white", edgecolor=palette.INK, linewidth=0.9))
    axes.add_patch(_part((-104.0, 184.0), (148.0, 7.0), "white"))
    axes.add_patch(_part((FLANGE_OUT + 12.0, 45.0), (13.0, 22.0), palette.STUD))
    _stand(axes, [(-64.0, 96.0), (-84.0, 112.0), (-84.0, TIP)])
    _dial(axes, (-84.0, TIP), FACE_IN)
    _told(axes, "inboard face:\ntip from behind", (FACE_IN - 2.0, TIP + 1.0), (-92.0, 170.0), letters)
    _told(axes, "rotor", (FACE_OUT - 6.0, 104.0), (-6.0, 114.0), letters)
    _told(axes, "wheel nut at\nits torque", (26.0, 58.0), (64.0, 102.0), letters)
    _words(axes, (70.0, 152.0), "count from\nthe valve", letters)


def _corner(axes: Axes, title: str, letters: float) -> None:
    """Draw half a corner: knuckle, hub and rotor above the axis of rotation."""
    _bare(axes, (-140.0, 100.0), (-22.0, 206.0))
    axes.set_title(title, fontsize=1.25 * letters, fontweight="bold", pad=-6)
    knuckle = [(-120.0, 8.0), (-52.0, 8.0), (-52.0, 88.0), (-78.0, 88.0), (-92.0, 44.0), (-120.0, 44.0)]
    axes.add_patch(Polygon(knuckle, facecolor="white", edgecolor=palette.INK, linewidth=0.9, hatch="//"))
    _words(axes, (-92.0, 26.0), "knuckle", letters, bbox=_slip())
    hub = [(-50.0, 0), (10.0, 0), (10.0, 32.0), (0, 32.0), (0, 68.0), (-12.0, 68.0), (-12.0, 30.0), (-50.0, 30.0)]
    axes.add_patch(Polygon(hub, facecolor=palette.mix("hub", "paper", 0.5), edgecolor=palette.INK, linewidth=0.9))
    _words(axes, (-26.0, 15.0), "hub", letters)
    rotor = [
        (0, 33.0), (FLANGE_OUT, 33.0), (FLANGE_OUT, 76.0), (FACE_OUT, 76.0), (FACE_OUT, EDGE), (FACE_IN, EDGE),
        (FACE_IN, 70.0), (0, 70.0),
    ]  # fmt: skip
    axes.add_patch(Polygon(rotor, facecolor=palette.PART, edgecolor=palette.INK, linewidth=0.9))
    axes.plot([-126.0, 84.0], [-6.0, -6.0], color=palette.INK, linewidth=0.7, linestyle=(0, (9, 3, 2, 3)))
    _words(axes, (50.0, -13.0), "axis of rotation", letters)


def _stand(axes: Axes, corners: list[tuple[float, float]]) -> None:
    """Draw a stiff stand from its base on the knuckle to the dial."""
    axes.add_patch(_part((corners[0][0] - 10.0, 88.0), (20.0, 10.0), palette.INK))
    x, y = np.array(corners).T
    axes.plot(x, y, color=palette.INK, linewidth=2.2, solid_joinstyle="round", zorder=6)


def _dial(axes: Axes, centre: tuple[float, float], face: float) -> None:
    """Draw a dial with its stem on a face."""
    axes.plot([centre[0], face], [centre[1]] * 2, color=palette.DIAL, linewidth=1.6, zorder=6)
    axes.add_patch(Circle(centre, 15.0, facecolor="white", edgecolor=palette.DIAL, linewidth=1.6, zorder=7))
    axes.plot([centre[0], centre[0] + 6.0], [centre[1], centre[1] + 9.0], color=palette.INK, linewidth=1.0, zorder=8)


def _round(axes: Axes, radius: float, from_to_deg: tuple[float, float], letters: float) -> None:
    x, y = np.array([at_hub(radius, angle) for angle in np.linspace(*from_to_deg, 40)]).T
    axes.plot(x[:-2], y[:-2], color=palette.INK, linewidth=1.6)
    look: dict[str, Any] = {"arrowstyle": "-|>", "mutation_scale": 1.5 * letters, "linewidth": 1.6}
    tail, tip = (x[-4], y[-4]), (x[-1], y[-1])
    axes.add_patch(FancyArrowPatch(tail, tip, shrinkA=0, shrinkB=0, color=palette.INK, **look))


def _part(corner: tuple[float, float], size: tuple[float, float], colour: str) -> Rectangle:
    return Rectangle(corner, *size, facecolor=colour, edgecolor=palette.INK, linewidth=0.9, zorder=4)


def _bare(axes: Axes, across: tuple[float, float], up: tuple[float, float]) -> None:
    axes.set_aspect("equal")
    axes.axis("off")
    axes.set_xlim(*across)
    axes.set_ylim(*up)


def _slip() -> dict[str, Any]:
    return {"facecolor": "white", "edgecolor": "none", "pad": 0.6}


def _ends() -> dict[str, Any]:
    return {
        "arrowstyle": "<->",
        "linewidth": 0.8,
        "color": palette.INK,
        "shrinkA": 0,
        "shrinkB": 0,
        "mutation_scale": 5,
    }


def _told(axes: Axes, text: str, at: tuple[float, float], where: tuple[float, float], letters: float) -> None:
    line = {"arrowstyle": "-", "linewidth": 0.7, "color": palette.INK, "shrinkA": 0, "shrinkB": 0}
    axes.annotate(text, at, where, fontsize=letters, ha="center", va="center", arrowprops=line, bbox=_slip(), zorder=9)


def _words(axes: Axes, at: tuple[float, float], text: str, letters: float, **look: Any) -> None:
    axes.text(*at, text, fontsize=letters, va="center", zorder=9, **({"ha": "center"} | look))
