"""The numbered face: studs, the places of one turn, the way in which they count, and what stands where."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.patches import Circle, FancyArrowPatch

from scenes import palette
from scenes.plots.board import NORMAL, SMALL, at_hub, numbered_stud, panel, svg
from sim.files.as_counted import place_deg, studs_on
from sim.files.readings_head import COUNTER
from sim.units import shortest_deg

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.axes import Axes
    from matplotlib.figure import Figure


NEAR_DEG = 10.0  # letters nearer than that would cover each other


@dataclass(frozen=True)
class Spot:
    """Something that stands at a place of the hub: angle from stud 1, half its width, its words, its colour."""

    angle_deg: float
    half_deg: float
    text: str
    colour: str


def numbered_face(
    studs: int,
    places: int,
    spots: Sequence[Spot] = (),
    size_mm: float = 58.0,
    painted_on: int = 0,
    turned: str = COUNTER,
) -> str:
    """Draw the hub face as it is worked on, stud 1 at 12 o'clock, with the places of a turn round it.

    Parameters
    ----------
    studs, places : int
        How many; both count from stud 1, as ``turned`` says. No stud is drawn for 0.
    spots : sequence of Spot
        What stands where, as an arc outside the places.
    size_mm : float
        Width and height. [mm]
    painted_on : int
        Stud pitches by which the painted hole sits on from stud 1, counter-clockwise as the angles of the spots.
    turned : str
        Which way studs and places are numbered, seen from outside.

    Returns
    -------
    str
        SVG.
    """

    def draw(sheet: Figure) -> None:
        axes = panel(sheet, 0, 0, size_mm, size_mm)
        axes.set_aspect("equal")
        axes.axis("off")
        axes.set_xlim(-1.42, 1.42)
        axes.set_ylim(-1.42, 1.42)
        axes.add_patch(Circle((0, 0), 1.0, facecolor="white", edgecolor=palette.INK, linewidth=0.9))
        axes.add_patch(Circle((0, 0), 0.34, facecolor=palette.PART, edgecolor=palette.INK, linewidth=0.7))
        for place in range(places):
            angle = place_deg(place * 360.0 / places, turned)
            (x, y), (u, v) = at_hub(0.94, angle), at_hub(1.06, angle)
            axes.plot((x, u), (y, v), color=palette.INK, linewidth=1.6 if place == 0 else 0.8)
            axes.text(*at_hub(1.16, angle), str(place + 1), ha="center", va="center_baseline", fontsize=NORMAL)
        for stud in range(studs):
            number = studs_on(stud, turned, studs) + 1
            numbered_stud(axes, at_hub(0.62, stud * 360.0 / studs), 0.14, number, stud == painted_on, NORMAL, 4)
        for number, spot in enumerate(spots):
            near = any(abs(shortest_deg(spot.angle_deg - other.angle_deg)) < NEAR_DEG for other in spots[:number])
            _arc(axes, spot, NEAR_DEG if near else 0.0)
        _counting(axes, turned)

    return svg(draw, (size_mm, size_mm), _label(studs, places, spots, turned))


def _label(studs: int, places: int, spots: Sequence[Spot], turned: str) -> str:
    there = "".join(f"; {spot.text} at {place_deg(spot.angle_deg, turned):.0f} degrees" for spot in spots)
    which = f"stud 1 of {studs} at 12 o'clock" if studs else "no stud drawn"
    return f"hub face from outside, {which}, {places} places {turned}{there}"


def _arc(axes: Axes, spot: Spot, aside_deg: float) -> None:
    """Mark where something stands: an arc as wide as its uncertainty, its words at the middle or aside."""
    half, radius = min(max(spot.half_deg, 3.0), 180.0), 0.9 if aside_deg else 0.82
    x, y = np.array([at_hub(radius, spot.angle_deg + off) for off in np.linspace(-half, half, 60)]).T
    axes.plot(x, y, color=spot.colour, linewidth=3.0, solid_capstyle="butt", zorder=3)
    axes.plot(*at_hub(radius, spot.angle_deg), marker="o", markersize=4.5, color=spot.colour, zorder=6)
    axes.text(
        *at_hub(1.34, spot.angle_deg + aside_deg),
        spot.text,
        ha="center",
        va="center",
        fontsize=SMALL,
        color=spot.colour,
    )


def _counting(axes: Axes, turned: str) -> None:
    """Draw the arrow of the places."""
    x, y = np.array([at_hub(0.44, place_deg(angle, turned)) for angle in np.linspace(8.0, 140.0, 40)]).T
    axes.plot(x[:-1], y[:-1], color=palette.INK, linewidth=1.4)
    head: dict[str, Any] = {"arrowstyle": "-|>", "mutation_scale": 10, "linewidth": 1.4, "color": palette.INK}
    axes.add_patch(FancyArrowPatch((x[-3], y[-3]), (x[-1], y[-1]), shrinkA=0, shrinkB=0, **head))
