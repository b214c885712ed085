"""Drawings of the foil lesson: where each strip lies, and what was foretold with what was read laid over it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.patches import Circle, Ellipse

from scenes import palette
from scenes.plots.board import NORMAL, SMALL, at_hub, note, numbered_stud, panel, ruler, sector, svg, turn_axis
from scenes.words import words
from sim import turn
from sim.bench.after_indexing import COVERAGE
from sim.bench.foil_reading import CIRCLE

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.axes import Axes
    from matplotlib.figure import Figure

    from sim.arrays import Floats
    from sim.bench.foil import Foil, Prescription
    from sim.bench.foil_forecast import Expected
    from sim.bench.foil_reading import Held

FACE_MM, ROW_MM, WIDE_MM = 58.0, 47.0, 184.0
TIGHT_MM = 41.0  # a row where there are four


def where(of: Prescription, per_row: int = 3, size_mm: float = FACE_MM) -> str:
    """Draw the hub face for every trial, its strips on it, stud 1 at 12 o'clock; true proportions. SVG."""
    rows = -(-len(of.trials) // per_row)
    wide = size_mm * min(per_row, len(of.trials))

    def draw(sheet: Figure) -> None:
        for number, trial in enumerate(of.trials):
            row, column = divmod(number, per_row)
            axes = panel(sheet, column * size_mm, (rows - 1 - row) * size_mm, size_mm, size_mm)
            _face(axes, of, trial.foils, f"mount {number + 2}: {trial.name}")

    label = "; ".join(
        f"mount {n + 2}: strip at {' and '.join(f'{foil.angle_deg:.0f}' for foil in trial.foils)} degrees, {trial.name}"
        for n, trial in enumerate(of.trials)
    )
    return svg(draw, (wide, rows * size_mm), f"hub face from outside, stud 1 at 12 o'clock; {label}")


def _face(axes: Axes, of: Prescription, foils: Sequence[Foil], title: str) -> None:
    hub, studs = of.case.hub, of.case.studs
    edge, inner = hub.face_diameter_mm / 2, hub.face_inner_diameter_mm / 2
    axes.set_aspect("equal")
    axes.axis("off")
    axes.set_xlim(-1.3 * edge, 1.3 * edge)
    axes.set_ylim(-1.22 * edge, 1.38 * edge)
    axes.add_patch(Circle((0, 0), edge, facecolor="white", edgecolor=palette.INK, linewidth=1.0))
    axes.add_patch(Circle((0, 0), inner, facecolor=palette.PART, edgecolor=palette.INK, linewidth=0.7))
    for stud in range(studs.count):
        radius = max(of.case.rotor.hole_diameter_mm / 2, 0.09 * edge)
        numbered_stud(
            axes, at_hub(studs.pitch_radius_mm, stud * studs.pitch_deg), radius, stud + 1, stud == 0, NORMAL, 4
        )
    for foil in foils:
        half = np.degrees(foil.width_mm / foil.middle_radius_mm) / 2
        look: dict[str, Any] = {"facecolor": palette.SCALE, "edgecolor": palette.INK, "linewidth": 0.9, "zorder": 6}
        ends = (foil.outer_radius_mm - foil.length_mm, foil.outer_radius_mm)
        axes.add_patch(sector(*ends, foil.angle_deg - half, foil.angle_deg + half, **look))
        place = at_hub(1.17 * edge, foil.angle_deg)
        axes.text(*place, f"{foil.angle_deg:.0f}°", ha="center", va="center", fontsize=NORMAL, fontweight="bold")
    axes.text(0, 1.32 * edge, title, ha="center", va="center", fontsize=NORMAL, fontweight="bold")
    gap = of.case.contact_zone_mm[1] - foils[0].outer_radius_mm
    axes.text(
        0,
        0,
        f"edge of strip\n{gap:.0f} mm inside\nthe face's edge",
        ha="center",
        va="center",
        fontsize=SMALL if len(of.trials) < 4 else 5.0,
    )


def overlay(expected: Sequence[Expected], held: Sequence[Held] = (), ground: bool = False) -> str:
    """Draw what every trial should read, and over it what was read: the turn, and the first order as a vector.

    Parameters
    ----------
    expected : sequence of Expected
    held : sequence of Held
        Empty before anything was read.
    ground : bool
        Fill the sheet with the paper colour.

    Returns
    -------
    str
        SVG.
    """
    row_mm = ROW_MM if len(expected) < 4 else TIGHT_MM
    high = len(expected) * row_mm + 4.0
    every = [_band(one) for one in expected] + [one.change_um for one in held]
    span = max(
        5.0, *(float(np.abs(one).max()) for one in every)
    )  # one scale: the strip further in is seen to read less
    reach = 1.15 * max(
        *(abs(one.order_um) + 2.0 * float(np.sqrt(np.linalg.eigvalsh(one.spread_um2)[-1])) for one in expected),
        *(abs(one.order_um) for one in held),
        1.0,
    )

    def draw(sheet: Figure) -> None:
        for row, one in enumerate(expected):
            bottom = high - 2.0 - (row + 1) * row_mm
            read = held[row] if held else None
            _turn(panel(sheet, 14, bottom + 9, 116, row_mm - 21), one, read, span)
            _vector(panel(sheet, 138, bottom + 1, 45, row_mm - 2), one, read, reach)
            sheet.text(0.01, (bottom + row_mm - 3.0) / high, one.trial.name, fontsize=9, fontweight="bold", va="center")

    return svg(draw, (WIDE_MM, high), _label(expected, held), ground)


def _label(expected: Sequence[Expected], held: Sequence[Held]) -> str:
    texts = []
    for row, one in enumerate(expected):
        low, _, high = one.runout_um
        text = f"{one.trial.name}: foretold {low:.0f} to {high:.0f} micrometres"
        texts.append(f"{text}, read {held[row].runout_um:.0f}" if held else text)
    return "what the foil adds to the dial; " + "; ".join(texts)


def _band(one: Expected) -> Floats:
    """Low and high end of the forecast place by place, shape (2, places). [um]. Quantiles of the draws."""
    tails = ((1.0 - COVERAGE) / 2, (1.0 + COVERAGE) / 2)
    centred = one.sample_um - one.sample_um.mean(axis=1, keepdims=True)
    return np.asarray(np.quantile(centred, tails, axis=0), dtype=float)


def _turn(axes: Axes, one: Expected, read: Held | None, span: float) -> None:
    """Draw the turn: forecast as a band, readings as points."""
    low, high = _band(one)
    at = np.arange(0.0, 361.0, 2.0)
    band = [turn.trace(turn.fit(one.angle_deg, edge, 3), 360)[np.arange(0, 362, 2) % 360] for edge in (low, high)]
    change = one.change_um - one.change_um.mean()
    axes.set_ylim(-1.12 * span, 1.12 * span)
    ruler(axes, "µm", label="with foil less without, + outboard", lift=3)
    turn_axis(axes, words.ROTOR_ANGLE)
    axes.axhline(0.0, color=palette.GHOST, linewidth=0.6, zorder=0.6)
    axes.fill_between(at, band[0], band[1], facecolor=palette.LOW, edgecolor=palette.HIGH, linewidth=0.5, zorder=1)
    axes.plot(np.arange(361), np.append(change, change[0]), color=palette.HIGH, linewidth=1.3, zorder=2)
    # Its name stands where the curve leaves room at half a turn.
    below = 90 < int(np.argmax(change)) < 270
    place = (180.0, (-1.06 if below else 1.06) * span)
    note(axes, "foretold, 80 % band", place, f"middle {'above' if below else 'below'}", color=palette.HIGH)
    if read is not None:
        axes.plot(one.angle_deg, read.change_um, linestyle="none", marker="o", markersize=5, color=palette.DIAL,
                  markeredgecolor=palette.PAPER, markeredgewidth=0.6, zorder=5)  # fmt: skip


def _vector(axes: Axes, one: Expected, read: Held | None, reach: float) -> None:
    """Draw the first order as a vector from the axis, stud 1 (and the painted hole) at 12 o'clock."""
    axes.set_aspect("equal")
    axes.axis("off")
    axes.set_xlim(-1.3 * reach, 1.3 * reach)
    axes.set_ylim(-1.3 * reach, 1.3 * reach)
    axes.add_patch(Circle((0, 0), reach, facecolor="none", edgecolor=palette.GHOST, linewidth=0.6))
    for angle in range(0, 360, 90):
        axes.plot(
            *zip(at_hub(0.96 * reach, angle), at_hub(1.04 * reach, angle), strict=True),
            color=palette.INK,
            linewidth=0.8,
        )
        axes.text(*at_hub(1.17 * reach, angle), f"{angle}°", ha="center", va="center", fontsize=SMALL)
    # A high spot at angle a is drawn at a, counter-clockwise from the top: i times the conjugate of the coefficient.
    middle = 1j * np.conj(one.order_um)
    mirror = np.array([[0.0, 1.0], [1.0, 0.0]])  # of (re, -im) turned by a quarter
    spread = mirror @ one.spread_um2 @ mirror
    size, axis = np.linalg.eigh(spread)
    wide, tall = 2.0 * np.sqrt(CIRCLE * size[::-1])
    tilt = float(np.degrees(np.arctan2(axis[1, 1], axis[0, 1])))
    look: dict[str, Any] = {"facecolor": palette.LOW, "edgecolor": palette.HIGH, "linewidth": 0.9, "zorder": 2}
    axes.add_patch(Ellipse((middle.real, middle.imag), float(wide), float(tall), angle=tilt, **look))
    axes.plot([0, middle.real], [0, middle.imag], color=palette.HIGH, linewidth=1.4, zorder=3)
    if read is not None:
        tip = 1j * np.conj(read.order_um)
        axes.plot([0, tip.real], [0, tip.imag], color=palette.DIAL, linewidth=2.0, linestyle=(0, (4, 1.5)), zorder=4)
        axes.plot(
            tip.real, tip.imag, marker="o", markersize=6, color=palette.DIAL, markeredgecolor=palette.PAPER, zorder=5
        )
    axes.text(
        0.5, 0.5, f"circle\n{words.micrometres(reach)}", transform=axes.transAxes, fontsize=SMALL, **_aside(middle)
    )


def _aside(vector: complex) -> dict[str, Any]:
    """Where a word beside the middle of the circle stays clear of a vector."""
    return {"ha": "right" if vector.real > 0 else "left", "va": "top" if vector.imag > 0 else "bottom"}
