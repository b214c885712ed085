"""Drawings for the back row: hub faces, bars, kilometres, a quiz's turn; large type, in colour or for a copier."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.patches import Circle, FancyArrowPatch
from matplotlib.ticker import MaxNLocator, MultipleLocator

from scenes import palette
from scenes.plots.board import at_hub, numbered_stud, panel, sector, svg
from scenes.plots.runout import stud_angles_on_rotor
from scenes.words import words
from scenes.words.lesson import falls
from sim.bench.quiz import CHOICES

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from sim.bench.quiz import Question
    from sim.parts.case import Case, Debris, Studs

BIG, MIDDLE, SAID = 17.0, 15.0, 13.5  # letters on a sheet 142 mm wide beside a slide's words [pt]
FACE_MM = 84.0


@dataclass(frozen=True)
class Look:
    """How things are drawn: in the house's colours, or black on white with hatching, for a copier."""

    dirt: dict[str, Any]
    part: dict[str, Any]
    first: dict[str, Any]
    second: dict[str, Any]
    lines: tuple[dict[str, Any], ...]
    ground: bool = False  # a file of its own, read on dark pages too


COLOUR = Look(
    dirt={"facecolor": palette.SCALE, "edgecolor": palette.INK, "linewidth": 1.2},
    part={"facecolor": palette.PART, "edgecolor": palette.INK},
    first={"facecolor": palette.DIAL, "edgecolor": palette.INK},
    second={"facecolor": palette.LOW, "edgecolor": palette.INK},
    lines=(
        {"color": palette.SCALE, "linewidth": 4.0},
        {"color": palette.HIGH, "linewidth": 3.2, "linestyle": (0, (5, 1.5))},
        {"color": palette.HUB, "linewidth": 3.2, "linestyle": (0, (1.2, 1.2))},
    ),
)
COPIER = Look(
    dirt={"facecolor": "white", "edgecolor": "black", "hatch": "xxxxxx", "linewidth": 1.2},
    part={"facecolor": "white", "edgecolor": "black"},
    first={"facecolor": "black", "edgecolor": "black"},
    second={"facecolor": "white", "edgecolor": "black", "hatch": "///"},
    lines=(
        {"color": "black", "linewidth": 4.0},
        {"color": "black", "linewidth": 2.4, "linestyle": (0, (6, 2))},
        {"color": "black", "linewidth": 2.4, "linestyle": (0, (1, 1.6))},
    ),
)


ALONE = replace(COLOUR, ground=True)
#: Small faces: a speck must be seen at 22 mm, and apart from the stud that it lies over.
SMALL_LOOK = replace(COPIER, dirt={"facecolor": "black", "edgecolor": "white", "linewidth": 0.5})


def faces(
    cases: Sequence[tuple[str, Case]], look: Look = COLOUR, size_mm: float = FACE_MM, heights: bool = False
) -> str:
    """Draw hub faces beside each other, stud 1 at 12 o'clock, true proportions, each with its name. SVG.

    ``heights`` writes beside each patch how high it is, so that none is overlooked.
    """

    def draw(sheet: Figure) -> None:
        for number, (name, case) in enumerate(cases):
            axes = panel(sheet, number * size_mm, 0, size_mm, size_mm + 12.0)
            _face(axes, case, case.debris, look)
            axes.set_title(name, fontsize=BIG, fontweight="bold", pad=-6)
            for patch in case.debris if heights else ():
                x, y = at_hub(1.06 * case.hub.face_diameter_mm / 2, case.hub_angle_deg(patch))
                axes.text(x, y, words.micrometres(patch.height_um), ha="left" if x > 0 else "right",
                          va="bottom" if y > 0 else "top", fontsize=MIDDLE, fontweight="bold")  # fmt: skip

    said = "; ".join(f"{name}: {_dirt_said(case)}" for name, case in cases)
    label = f"hub faces from outside, stud 1 at 12 o'clock. {said}"
    return svg(draw, (len(cases) * size_mm, size_mm + 12.0), label, look.ground)


def named_face(case: Case, look: Look = COLOUR, size_mm: float = FACE_MM) -> str:
    """Draw the hub face clean, with the names of what is on it, stud 1 at 12 o'clock. SVG."""
    wide, high, edge = 1.5 * size_mm, size_mm, case.hub.face_diameter_mm / 2
    between = 0.5 * case.studs.pitch_deg

    def draw(sheet: Figure) -> None:
        axes = panel(sheet, 0, 0, size_mm, high)
        _face(axes, case, (), look)
        on_stud = (case.rotor.hole_diameter_mm / 2, case.studs.pitch_radius_mm)
        names = (("stud 1", on_stud, 0.9), ("hub face", at_hub(0.85 * edge, -between), 0.5),
                 ("spigot", at_hub(0.4 * edge, -3.0 * between), -0.75))  # fmt: skip
        for name, place, up in names:
            axes.annotate(name, place, (1.2 * edge, up * edge), arrowprops={"arrowstyle": "-", "linewidth": 1.4},
                          fontsize=BIG, fontweight="bold", va="center", annotation_clip=False, zorder=9)  # fmt: skip

    return svg(draw, (wide, high), "a clean hub face from outside, stud 1 at 12 o'clock: hub face, spigot, studs")


def _dirt_said(case: Case) -> str:
    patches = [
        f"dirt at {case.hub_angle_deg(one):.0f} degrees, {one.inner_radius_mm:.0f} to {one.outer_radius_mm:.0f} mm"
        for one in case.debris
    ]
    return ", ".join(patches) or "nothing on it"


def _face(axes: Axes, case: Case, dirt: Sequence[Debris], look: Look, letters: float = MIDDLE) -> None:
    hub, studs = case.hub, case.studs
    edge, inner = hub.face_diameter_mm / 2, hub.face_inner_diameter_mm / 2
    axes.set_aspect("equal")
    axes.axis("off")
    axes.set_xlim(-1.12 * edge, 1.12 * edge)
    axes.set_ylim(-1.12 * edge, 1.12 * edge)
    axes.add_patch(Circle((0, 0), edge, facecolor="white", edgecolor=palette.INK, linewidth=1.6))
    axes.add_patch(Circle((0, 0), inner, linewidth=1.2, **look.part))
    for patch in dirt:
        half, at = patch.arc_deg / 2, case.hub_angle_deg(patch)
        radii = (patch.inner_radius_mm, min(patch.outer_radius_mm, edge))
        axes.add_patch(sector(*radii, at - half, at + half, zorder=7.5, **look.dirt))  # over studs
    _against_the_clock(axes, 0.6 * inner, letters)
    for stud in range(studs.count):
        radius = max(case.rotor.hole_diameter_mm / 2, 0.1 * edge)
        numbered_stud(axes, at_hub(studs.pitch_radius_mm, stud * studs.pitch_deg), radius, stud + 1, stud == 0, letters)


def _against_the_clock(axes: Axes, radius: float, letters: float) -> None:
    """Show by an arrow which way studs and places count."""
    x, y = np.array([at_hub(radius, angle) for angle in np.linspace(-75.0, 105.0, 30)]).T
    axes.plot(x[:-2], y[:-2], color=palette.INK, linewidth=letters / 7.0, zorder=5)
    head = FancyArrowPatch((x[-4], y[-4]), (x[-1], y[-1]), arrowstyle="-|>", mutation_scale=1.2 * letters, shrinkA=0,
                           shrinkB=0, color=palette.INK, linewidth=letters / 7.0, zorder=5)  # fmt: skip
    axes.add_patch(head)


@dataclass(frozen=True)
class Bar:
    """A corner's pair of bars.

    Parameters
    ----------
    name : str
    read_um, driven_um : float
        As read, as driven; a figure that is not told is not a number. [um TIR]
    band_um : (float, float) or None
        80 % band of what is driven, where nobody knows the wheel. [um TIR]
    """

    name: str
    read_um: float
    driven_um: float
    band_um: tuple[float, float] | None = None


def bars(rows: Sequence[Bar], limit_um: float, limit_said: str = "", look: Look = COLOUR) -> str:
    """Draw runouts as read and as driven, a pair of bars a corner; the dial's limit over what a dial reads. SVG.

    Parameters
    ----------
    rows : sequence of Bar
    limit_um : float
    limit_said : str
        The limit in words, and whose it is.
    look : Look

    Returns
    -------
    str
    """
    values = [
        value for row in rows for value in (row.read_um, row.driven_um, *(row.band_um or ())) if np.isfinite(value)
    ]
    most, banded = max([*values, limit_um]), any(row.band_um for row in rows)
    top = 1.8 * most  # room for the column of figures
    high = 40.0 * len(rows) + 16.0 + 8.0 * banded

    def draw(sheet: Figure) -> None:
        axes = panel(sheet, 3, 1 + 8.0 * banded, 136, high - 2 - 8.0 * banded)
        axes.axis("off")
        axes.set_xlim(0, top)
        axes.set_ylim(len(rows) - 0.1, -0.5)
        for number, row in enumerate(rows):
            for off, value, how, fill in (
                (-0.09, row.read_um, words.HELD, look.first),
                (0.25, row.driven_um, words.AS_DRIVEN, look.second),
            ):
                if not np.isfinite(value):
                    continue
                axes.barh(number + off, value, 0.31, linewidth=1.2, zorder=3, **fill)
                told = f"{words.micrometres(value)} {how}"
                axes.text(1.08 * most, number + off, told, va="center", fontsize=SAID)
            axes.text(0, number - 0.38, row.name, va="center", fontsize=BIG, fontweight="bold")
            if row.band_um is not None:
                _whisker(axes, row.band_um, number + 0.25)
            _dashes(axes, [limit_um] * 2, [number - 0.26, number + 0.08])
        _dashes(axes, [0, 0.09 * top], [len(rows) - 0.36] * 2)
        axes.text(0.11 * top, len(rows) - 0.36, _two_lines(f"dial {limit_said}"), va="center", fontsize=SAID)
        if banded:
            below = panel(sheet, 3, 1, 136, 8)
            below.axis("off")
            below.set_xlim(0, top)
            below.set_ylim(-1, 1)
            _whisker(below, (0, 0.09 * top), 0)
            below.text(0.11 * top, 0, BAND_SAID, va="center", fontsize=SAID)

    said = "; ".join(_bar_said(row) for row in rows)
    label = f"runout TIR. {said}; of what a dial reads: {limit_said or limit_um}"
    return svg(draw, (142.0, high), label, look.ground)


BAND_SAID = "80 % of wheels that nobody described"


def _bar_said(row: Bar) -> str:
    band = "" if row.band_um is None else f", {row.band_um[0]:.0f} to {row.band_um[1]:.0f} by the wheel"
    return f"{row.name}: {row.read_um:.0f} micrometres as read, {row.driven_um:.0f} as driven{band}"


def _whisker(axes: Axes, span: tuple[float, float], y: float) -> None:
    """Draw a band as a line with ends, dark on white."""
    for width, colour in ((5.0, "white"), (2.0, palette.INK)):
        axes.plot(span, [y, y], linewidth=width, color=colour, zorder=7, marker="|", markersize=15.0,
                  markeredgewidth=width)  # fmt: skip


def _dashes(axes: Axes, x: list[float], y: list[float]) -> None:
    """Draw a piece of a limit's line: dark dashes on white, seen on bars and beside them."""
    axes.plot(x, y, linewidth=4.6, color="white", zorder=5, solid_capstyle="butt")
    axes.plot(x, y, linewidth=2.4, color=palette.INK, linestyle=(0, (3, 1.5)), zorder=6)


def _two_lines(said: str) -> str:
    return said.replace("; ", ";\n", 1)


def roads(runs: Sequence[tuple[str, Any]], limit_um: float, limit_said: str = "", look: Look = COLOUR) -> str:
    """Draw thickness variation over kilometres, a line a corner; the band of the first one shaded. SVG.

    What falls after its highest place is dotted: the model's alone.
    """
    last = float(runs[0][1].forecast.distance_km[-1])
    highest = [limit_um, *(float(np.max(run.forecast.dtv_um)) for _, run in runs)]
    top = 1.12 * max(*highest, float(np.max(runs[0][1].forecast.dtv_high_um)))
    lines = list(zip(runs, look.lines, strict=False))

    def draw(sheet: Figure) -> None:
        axes = panel(sheet, 20, 52, 113, 60)
        axes.set_xlim(0, last)
        axes.set_ylim(0, top)
        for side in ("top", "right"):
            axes.spines[side].set_visible(False)
        axes.xaxis.set_major_locator(MultipleLocator(last / 3))
        axes.yaxis.set_major_locator(MaxNLocator(4))
        axes.xaxis.set_major_formatter(lambda value, _: words.mark(value))
        axes.tick_params(labelsize=MIDDLE, length=6, width=1.2)
        axes.set_xlabel("km", fontsize=MIDDLE, labelpad=0)
        axes.set_ylabel("DTV [µm]", fontsize=MIDDLE)
        first = runs[0][1].forecast
        shade: dict[str, Any] = {"facecolor": palette.LOW, "edgecolor": "none", "alpha": 0.6}
        if look is COPIER:
            shade = {"facecolor": "#E2E2E2", "edgecolor": "none"}
        axes.fill_between(first.distance_km, first.dtv_low_um, first.dtv_high_um, zorder=0.4, **shade)
        for (_, run), line in lines:
            _rise_and_fall(axes, run.forecast, line)
        _dashes(axes, [0, last], [limit_um] * 2)
        below = panel(sheet, 4, 0, 134, 37)
        below.axis("off")
        below.set_xlim(0, 1)
        below.set_ylim(0, 1)
        for ((name, _), line), at in zip(lines, (0.03, 0.5), strict=False):
            below.plot([at, at + 0.1], [0.9] * 2, **line)
            below.text(at + 0.12, 0.9, name, va="center", fontsize=MIDDLE)
        _dashes(below, [0.03, 0.13], [0.6] * 2)
        below.text(0.15, 0.6, _two_lines(limit_said), va="center", fontsize=SAID)
        falling = any(falls(run.forecast) for _, run in runs)
        told = f"shaded: 80 % band, {runs[0][0]}" + (f";\ndotted: {words.MODEL_ONLY}" if falling else "")
        below.text(0.03, 0.17, told, va="center", fontsize=SAID)

    said = "; ".join(f"{name}: at most {float(np.max(run.forecast.dtv_um)):.0f} micrometres" for name, run in runs)
    return svg(draw, (142.0, 116.0), f"thickness variation over {last:.0f} km. {said}; {limit_said or limit_um}")


def _rise_and_fall(axes: Axes, forecast: Any, line: dict[str, Any]) -> None:
    """Draw the line up to its highest place, and dotted what the model lets it lose afterwards."""
    km, dtv, peak = forecast.distance_km, forecast.dtv_um, int(np.argmax(forecast.dtv_um))
    axes.plot(km[: peak + 1], dtv[: peak + 1], zorder=4, **line)
    axes.plot(km[peak:], dtv[peak:], zorder=4, **(line | {"linewidth": 2.0, "linestyle": (0, (1, 2.2))}))


def one_turn(
    question: Question, studs: Studs, look: Look = COLOUR, span_um: float = 60.0, wide_mm: float = 91.0
) -> str:
    """Draw the readings of a question over one turn, the studs numbered along its top. SVG."""

    def draw(sheet: Figure) -> None:
        axes = panel(sheet, 15, 8, wide_mm - 18.0, 22)
        for side in ("top", "right"):
            axes.spines[side].set_visible(False)
        axes.set_xlim(-8, 368)
        middle = 0.5 * float(question.reading_um.max() + question.reading_um.min())
        axes.set_ylim(middle - span_um / 2, middle + span_um / 2)
        axes.xaxis.set_major_locator(MultipleLocator(90.0))
        axes.xaxis.set_major_formatter(lambda value, _: f"{value:.0f}°")
        axes.yaxis.set_major_locator(MultipleLocator(20.0))
        axes.yaxis.set_major_formatter(lambda value, _: words.mark(value))
        axes.grid(axis="y", color=palette.PART, linewidth=0.5)
        axes.tick_params(labelsize=7.5, length=3)
        axes.set_ylabel("µm", fontsize=7.5)
        angle, value = np.append(question.angle_deg, 360.0), np.append(question.reading_um, question.reading_um[0])
        axes.plot(angle, value, color=look.lines[1]["color"] if look is COPIER else palette.DIAL, linewidth=1.3)
        axes.plot(angle, value, linestyle="none", marker="o", markersize=4.0, color=palette.INK)
        for number, at in enumerate(stud_angles_on_rotor(studs)):
            axes.axvline(at, color=palette.GHOST, linewidth=0.5, linestyle=(0, (1, 3)))
            axes.text(at, middle + 0.56 * span_um, f"{number + 1}", ha="center", fontsize=8, fontweight="bold")

    said = ", ".join(
        f"{at:.0f}: {value:.0f}" for at, value in zip(question.angle_deg, question.reading_um, strict=True)
    )
    return svg(draw, (wide_mm, 36.0), f"readings of one turn, degrees: micrometres. {said}")


SMALL_MM = 28.5  # a face to choose among four on paper


def choices(case: Case, dirt: Sequence[Debris], right: int | None = None) -> str:
    """Draw the four places of a question as small hub faces A to D; the right one framed where it is told. SVG."""
    high = SMALL_MM + 4.0

    def draw(sheet: Figure) -> None:
        for number, patch in enumerate(dirt):
            axes = panel(sheet, number * SMALL_MM, 0, SMALL_MM, SMALL_MM)
            _face(axes, case, (patch,), SMALL_LOOK, 7.5)
            sheet.text((number + 0.5) / CHOICES, 1.0 - 2.0 / high, "ABCD"[number], ha="center", va="center",
                       fontsize=10, fontweight="bold")  # fmt: skip
            if right == number:
                edge = 1.1 * case.hub.face_diameter_mm / 2
                axes.add_patch(Circle((0, 0), edge, facecolor="none", edgecolor=palette.INK, linewidth=2.4))

    return svg(draw, (CHOICES * SMALL_MM, high), "four hub faces, A to D, a speck on each")
