"""Rotor and spigot from outside, and what hands and nuts do in the section: for the film about scale on the spigot."""

from __future__ import annotations

import math
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.patches import Circle, Polygon, Rectangle, RegularPolygon

from scenes import palette
from scenes.geometry import shapes
from scenes.plots import board, bore_view
from sim.arrays import Floats
from sim.parts.case import Case

CRACK = np.array([[0.0, 0.0], [0.28, 1.6], [0.52, -1.2], [0.78, 1.0], [1.0, -0.4]])
"""A crack as drawn: share of its way outward, and how far it strays. [mm]."""

CRACK_NAMED = 0.7
"""A crack has its name from this share of its way on."""
HANDS = {"hands": ("two hands push", 1.0), "fingertips": ("fingertips: no push", 0.45)}
"""What hands do: its words, and the size of their arrows."""


def plan(axes: Axes, case: Case, stud: int, crack: float, size: float) -> None:
    """Flange from outside, stud 1 at 12 o'clock: scale on the spigot, the one nut that is run up, the crack.

    Parameters
    ----------
    axes : Axes
        Empty; gets its limits here.
    case : Case
    stud : int
        Which nut is on, from 1.
    crack : float
        How far the crack has run, 0..1.
    size : float
        Of the letters. [pt]
    """
    hat, bore, spigot = (0.5 * value for value in (case.rotor.hat_outer_diameter_mm, case.rotor.bore_diameter_mm,
                                                   case.hub.spigot_diameter_mm))  # fmt: skip
    edge: dict[str, Any] = {"edgecolor": palette.INK, "linewidth": 1.8}
    axes.add_patch(Circle((0, 0), hat, facecolor=palette.mix("part", "paper", 0.25), **edge))
    axes.add_patch(Circle((0, 0), bore, facecolor=palette.PAPER, **edge))
    axes.add_patch(Circle((0, 0), spigot - 1.0, facecolor=palette.mix("hub", "paper", 0.25), **edge))
    for scale in case.spigot_scale:
        half = scale.arc_deg / 2.0
        look = {"facecolor": palette.SCALE, "edgecolor": palette.INK, "linewidth": 1.2, "hatch": bore_view.SCALE_HATCH}
        axes.add_patch(board.sector(spigot - 4.0, bore, scale.angle_deg - half, scale.angle_deg + half, **look))
    thread = shapes.thread_mm(case.studs.thread)
    for index, angle in enumerate(shapes.stud_angles_deg(case.studs)):
        x, y = board.at_hub(0.5 * case.studs.pitch_circle_mm, float(angle))
        on = index + 1 == stud
        if on:
            axes.add_patch(Circle((x, y), 0.5 * case.studs.seat_outer_diameter_mm, facecolor=palette.STUD, **edge))
            axes.add_patch(RegularPolygon((x, y), 6, radius=0.866 * thread, facecolor=palette.STUD, **edge))
        axes.add_patch(Circle((x, y), 0.5 * thread, facecolor=palette.mix("stud", "ink", 0.25), **edge))
        axes.text(x, y, str(index + 1), ha="center", va="center", fontsize=size, fontweight="bold", zorder=9,
                  color=palette.PAPER if index == 0 else palette.INK)  # fmt: skip
    if crack > 0.0:
        line = crack_line(case, crack)
        axes.plot(*line.T, color=palette.PAPER, linewidth=7.0, zorder=7, solid_joinstyle="miter")
        axes.plot(*line.T, color=palette.INK, linewidth=4.0, zorder=8, solid_joinstyle="miter", gid="crack")
    if crack >= CRACK_NAMED:  # sooner its name would lie over a stud
        x, y = line[-1]
        axes.text(x + 6.0, y, "crack", ha="left", va="center", fontsize=size, fontweight="bold", color=palette.INK,
                  zorder=9, bbox=bore_view.SLIP)  # fmt: skip
    reach = 1.04 * hat
    axes.set_xlim(-reach, reach)
    axes.set_ylim(-reach, reach)


def crack_line(case: Case, share: float) -> Floats:
    """Where a crack is drawn: from the bore over the scale outward, between two holes; the model does not say where."""
    scale = bore_view.highest(case)
    at = 0.0 if scale is None else scale.angle_deg
    pitch = 360.0 / case.studs.count
    between = pitch * (math.floor(at / pitch) + 0.5)
    inner, outer = 0.5 * case.rotor.bore_diameter_mm, 0.5 * case.rotor.hat_outer_diameter_mm - 8.0
    radius = inner + share * CRACK[:, 0] * (outer - inner)
    angle = np.array(
        [between + math.degrees(stray / max(r, 1.0)) for r, stray in zip(radius, CRACK[:, 1], strict=True)]
    )
    return np.array([board.at_hub(float(r), float(a)) for r, a in zip(radius, angle, strict=True)])


def tools(axes: Axes, of: bore_view.Cut, motion: bore_view.Moved, factor: float, doing: str, size: float) -> None:
    """Studs and nuts, or two hands, at the flange of the whole view.

    Parameters
    ----------
    axes : Axes
        Of the whole view, drawn already.
    of, motion, factor
        As it was drawn.
    doing : str
        ``hands``, ``fingertips`` (which push nothing), ``nuts`` or ``one nut +`` / ``one nut -``: the side of the
        section on which the nut is.
    size : float
        Of the letters. [pt]
    """
    case = of.case
    thread, circle = shapes.thread_mm(case.studs.thread), 0.5 * case.studs.pitch_circle_mm
    seat = case.rotor.flange_thickness_mm
    for side in (1.0, -1.0):
        x, top = side * circle, seat + factor * lift_mm(of, motion, side * circle)
        stud = Rectangle((x - 0.5 * thread, 0.0), thread, seat + 2.2 * thread, zorder=0.5)
        stud.set(facecolor=palette.mix("stud", "paper", 0.4), edgecolor=palette.INK, linewidth=1.2)
        axes.add_patch(stud)
        if doing == "nuts" or doing == f"one nut {'+' if side > 0 else '-'}":
            nut = Rectangle((x - 0.8 * thread, top), 1.6 * thread, 0.9 * thread, zorder=7)
            nut.set(facecolor=palette.STUD, edgecolor=palette.INK, linewidth=1.6, gid="nut")
            axes.add_patch(nut)
        if doing in HANDS:
            tip = (side * (0.5 * case.rotor.hat_outer_diameter_mm - 6.0), top)
            _hand(axes, tip, side, HANDS[doing][1])
    if doing in HANDS:
        axes.text(0.0, seat + factor * lift_mm(of, motion, 0.0) + 34.0, HANDS[doing][0], ha="center", va="center",
                  fontsize=size, fontweight="bold", color=palette.INK, zorder=9)  # fmt: skip


def lift_mm(of: bore_view.Cut, motion: bore_view.Moved, x_mm: float) -> float:
    """How far the flange has moved along the axle at a place of the section, read off its upper side. [mm]."""
    side = 1.0 if x_mm >= 0.0 else -1.0
    hat = next(k for k, piece in enumerate(of.pieces)
               if piece.part == "part" and piece.side == side and piece.flat[:, 1].max() > 0)  # fmt: skip
    flat = of.pieces[hat].flat
    upper = np.flatnonzero(np.abs(flat[:, 1] - of.case.rotor.flange_thickness_mm) < 1e-6)
    order = upper[np.argsort(flat[upper, 0])]
    return float(np.interp(x_mm, flat[order, 0], motion.pieces[hat][order, 1]))


def _hand(axes: Axes, tip: tuple[float, float], side: float, scale: float) -> None:
    """A broad arrow for a hand that pushes along the axle; ``scale`` is how hard, 1 for all that a hand can."""
    x, y = tip
    shape = np.array([[0, 1], [8, 9], [4, 9], [4, 24], [-4, 24], [-4, 9], [-8, 9]], dtype=float)
    skin = palette.mix("stud", "paper", 0.35)
    arrow = Polygon(scale * shape * [side, 1.0] + [x, y], facecolor=skin, edgecolor=palette.INK, linewidth=1.6,
                    zorder=8, gid="hand")  # fmt: skip
    axes.add_patch(arrow)
