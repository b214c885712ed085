"""The section through the scale on the spigot: bore and spigot close up, and the whole rotor; for still and film."""

from __future__ import annotations

import math
from dataclasses import dataclass
from types import SimpleNamespace
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.patches import Polygon

from scenes import palette
from scenes.geometry import exaggeration, shapes
from scenes.words import words
from sim.arrays import Floats
from sim.parts.case import Case, SpigotScale
from sim.parts.spigot_room import clearance_mm
from sim.units import shortest_deg

CLOSE_SHARE = (0.335, 0.655)
"""Width of the close view and of the whole one, as shares of a figure that holds both."""
SCALE_DRAWN_MM = 5.0
"""How thick the scale is drawn in the close view, at most: seen at a glance, still between the parts."""
SHEAR_DRAWN_MM = 10.0
"""How far a lean may shear the close view, which is stretched outward only."""
FAR_DEPTH_MM = 30.0
BENT_DRAWN_MM = 12.0
"""How large the largest motion of a rotor that is home is drawn in the whole view, at most."""
LIFT_SHARE = 0.8
"""A rotor that stands off is not drawn further off than this share of the spigot's length."""
SCALE_HATCH = "xx"
"""Crossed, where hub and rotor are hatched one way: scale is told from both in grey print."""
HOME_LINE = palette.mix("ink", "paper", 0.3)
"""Dashes of where home is: dark enough for a projector."""
STEP_MM = 1.5
LABEL_MM = 32.0
"""Room that a dial's figure needs beside the edge of the whole view."""


@dataclass(frozen=True, eq=False)
class Piece:
    """One outline in the plane of the cut.

    Parameters
    ----------
    part : str
        ``part`` (the rotor) or ``hub``, as in the palette.
    side : float
        1 on the side of the scale, -1 opposite.
    points, flat : ndarray, shape (n, 3), (n, 2)
        Undeformed, in space and in the plane. [mm]
    """

    part: str
    side: float
    points: Floats
    flat: Floats


@dataclass(frozen=True, eq=False)
class Cut:
    """What the plane through the scale cuts: parts, then the foot of the scale on the spigot."""

    case: Case
    angle_deg: float
    pieces: tuple[Piece, ...]
    scales: tuple[tuple[SpigotScale, Piece], ...]

    @property
    def gap_mm(self) -> float:
        """Clearance on radius of bore and spigot. [mm]."""
        return clearance_mm(self.case)


@dataclass(frozen=True, eq=False)
class Moved:
    """True displacement of a cut in its plane, and what the dial reads then.

    Parameters
    ----------
    pieces, scales : tuple of ndarray, shape (n, 2)
        Of the pieces and of the feet of the scale. [mm]
    tips : ndarray, shape (2, 2)
        Of the gauge circle on the side of the scale, then opposite. [mm]
    trace_um : ndarray, shape (360,)
        Outboard face at the gauge radius, ROTOR frame, mean removed. [um]
    """

    pieces: tuple[Floats, ...]
    scales: tuple[Floats, ...]
    tips: Floats
    trace_um: Floats


@dataclass(frozen=True)
class Stretch:
    """How much motion is enlarged: outward and along the axle."""

    out: float
    along: float


def highest(case: Case) -> SpigotScale | None:
    """Highest scale on the spigot; the section is laid through it."""
    return max(case.spigot_scale, key=lambda scale: scale.height_um, default=None)


def cut(case: Case) -> Cut:
    """Lay the section of a case through its highest scale."""
    scale = highest(case)
    angle = 0.0 if scale is None else scale.angle_deg
    pieces, feet = [], []
    for side in (1.0, -1.0):
        at = angle if side > 0 else angle + 180.0
        outlines = [("hub", shapes.hub_outline(case.hub))]
        outlines += [("part", one) for one in (shapes.hat_outline(case.rotor), *shapes.ring_outlines(case.rotor))]
        pieces += [_piece(part, side, at, shapes.resampled(outline, STEP_MM)) for part, outline in outlines]
        for one in case.spigot_scale:
            away = shortest_deg(at - one.angle_deg)
            if abs(away) <= one.arc_deg / 2.0:
                z = np.linspace(one.from_face_mm, one.to_face_mm, 8)
                radius = np.full(z.size, case.hub.spigot_diameter_mm / 2.0)
                feet.append((one, _piece("hub", side, at, np.column_stack([radius, z]))))
    return Cut(case, angle, tuple(pieces), tuple(feet))


def _piece(part: str, side: float, at_deg: float, flat: Floats) -> Piece:
    angle = math.radians(at_deg)
    points = np.column_stack([flat[:, 0] * math.cos(angle), flat[:, 0] * math.sin(angle), flat[:, 1]])
    return Piece(part, side, points, flat * [side, 1.0])


def moved(of: Cut, rotor: Any, hub: Any, shift_mm: tuple[float, float] = (0.0, 0.0)) -> Moved:
    """Find the true displacement of a cut.

    Parameters
    ----------
    of : Cut
    rotor, hub : Deformation, or None for a hub that does not bend
    shift_mm : tuple of float
        Sideways shift of the rotor that its field does not hold, along x and y of the hub. [mm]

    Returns
    -------
    Moved
    """
    seat = SimpleNamespace(rotor_deformation=lambda: rotor, hub_deformation=lambda: hub)
    run = SimpleNamespace(case=of.case, seat=seat)
    aside = np.array([*shift_mm, 0.0])
    gauge = _gauge_points(of)
    every = np.vstack([*(piece.points for piece in of.pieces if piece.part == "part"), gauge])
    there = exaggeration.rotor_motion(run, every) + aside
    feet = [piece for _, piece in of.scales]
    hubs = [piece for piece in of.pieces if piece.part == "hub"]
    below = _split(
        exaggeration.hub_motion(run, np.vstack([piece.points for piece in (*hubs, *feet)])), (*hubs, *feet), of
    )
    rotors = iter(_split(there[: -gauge.shape[0]], [piece for piece in of.pieces if piece.part == "part"], of))
    lower = iter(below)
    pieces = tuple(next(lower if piece.part == "hub" else rotors) for piece in of.pieces)
    tips = _in_plane(there[-362:][[360, 361]], of.angle_deg)
    trace = 1000.0 * there[-362:-2, 2]
    return Moved(pieces, tuple(lower), tips, trace - trace.mean())


def _gauge_points(of: Cut) -> Floats:
    """Gauge circle once a degree of the rotor, then its points in the plane: on the side of the scale, opposite."""
    level = shapes.levels(of.case)
    degrees = [*(np.arange(360.0) + of.case.studs.turned_deg), of.angle_deg, of.angle_deg + 180.0]
    angle = np.deg2rad(degrees)
    z = np.full(angle.size, level.outboard_face_mm)
    return np.column_stack([level.gauge_radius_mm * np.cos(angle), level.gauge_radius_mm * np.sin(angle), z])


def _split(motion: Floats, pieces: Any, of: Cut) -> list[Floats]:
    ends = np.cumsum([piece.points.shape[0] for piece in pieces])[:-1]
    return [_in_plane(part, of.angle_deg) for part in np.split(motion, ends)]


def _in_plane(motion: Floats, angle_deg: float) -> Floats:
    angle = math.radians(angle_deg)
    return np.column_stack([motion[:, 0] * math.cos(angle) + motion[:, 1] * math.sin(angle), motion[:, 2]])


def between(first: Moved, second: Moved, share: float) -> Moved:
    """Straight line between two places."""

    def line(a: Floats, b: Floats) -> Floats:
        return a + share * (b - a)

    return Moved(
        tuple(line(a, b) for a, b in zip(first.pieces, second.pieces, strict=True)),
        tuple(line(a, b) for a, b in zip(first.scales, second.scales, strict=True)),
        line(first.tips, second.tips),
        line(first.trace_um, second.trace_um),
    )


def close_stretch(case: Case, lean_rad: float) -> Stretch:
    """Outward stretch of the close view; along the axle it is true to scale."""
    scale = highest(case)
    thick = max(scale.height_um * 1e-3 if scale else 0.0, clearance_mm(case), 1e-3)
    wish = min(SCALE_DRAWN_MM / thick, SHEAR_DRAWN_MM / max(FAR_DEPTH_MM * lean_rad, 1e-9))
    return Stretch(exaggeration.round_down(wish), 1.0)


def whole_stretch(case: Case, motion: Moved, stand_off_mm: float) -> float:
    """Stretch of the whole view: small where the rotor stands off, large where it is home."""
    if stand_off_mm > 0.05:
        return exaggeration.round_down(LIFT_SHARE * case.hub.spigot_length_mm / stand_off_mm)
    far = max(float(np.abs(part).max()) for part in motion.pieces)
    scale = highest(case)
    return exaggeration.round_down(BENT_DRAWN_MM / max(far, scale.height_um * 1e-3 if scale else 0.0, 1e-3))


def draw(axes: Axes, of: Cut, motion: Moved, by: Stretch, weight: float = 1.0) -> None:
    """Draw the moved section: home in dashes, hub and rotor hatched, the scale.

    Parameters
    ----------
    axes : matplotlib Axes
    of : Cut
    motion : Moved
    by : Stretch
        The clearance of bore and spigot is enlarged like the motion, so that what touches is drawn touching.
    weight : float
        Of the lines.
    """
    for piece in of.pieces:
        if piece.part == "part":
            home = _drawn(of, piece, np.zeros_like(piece.flat), by)
            axes.add_artist(
                Polygon(home, facecolor="none", edgecolor=HOME_LINE, linewidth=2.0 * weight,
                        linestyle=(0, (5, 3)), zorder=4)
            )  # fmt: skip
    for piece, moves in zip(of.pieces, motion.pieces, strict=True):
        shape = _drawn(of, piece, moves, by)
        hatch = "\\\\\\" if piece.part == "hub" else "///"
        tint, lines = palette.mix(piece.part, "paper", 0.35), palette.mix(piece.part, "ink", 0.35)
        axes.add_artist(Polygon(shape, facecolor=tint, edgecolor=lines, hatch=hatch, linewidth=0.0))
        axes.add_artist(Polygon(shape, facecolor="none", edgecolor=palette.INK, linewidth=1.6 * weight))
    for (scale, foot), moves in zip(of.scales, motion.scales, strict=True):
        low = _drawn(of, foot, moves, by)
        top = low + [foot.side * by.out * scale.height_um * 1e-3, 0.0]
        look: dict[str, Any] = {
            "facecolor": palette.SCALE,
            "edgecolor": palette.INK,
            "hatch": SCALE_HATCH,
            "linewidth": 1.4 * weight,
            "zorder": 5,
        }
        axes.add_artist(Polygon(np.vstack([low, top[::-1]]), **look))


def _drawn(of: Cut, piece: Piece, moves: Floats, by: Stretch) -> Floats:
    room = (by.out - 1.0) * of.gap_mm * piece.side if piece.part == "part" else 0.0
    return piece.flat + [room, 0.0] + moves * [by.out, by.along]


def close_axes(figure: Figure, box: tuple[float, float, float, float], case: Case) -> Axes:
    """Axes for the close view in a box of the figure: from the hub's bore to the hat, filling the box."""
    axes = _plain(figure, box)
    wide = box[2] * figure.get_figwidth() / (box[3] * figure.get_figheight())
    middle = case.hub.spigot_diameter_mm / 2.0
    low = max(case.hub.barrel_inner_diameter_mm / 2.0, middle - 14.0) - 1.0
    across = case.rotor.hat_outer_diameter_mm / 2.0 + 1.0 - low
    floor = -case.hub.flange_thickness_mm - 5.0
    axes.set_xlim(low, low + across)
    axes.set_ylim(floor, floor + across / wide)
    for side in axes.spines.values():
        side.set_visible(True)
        side.set_color(palette.GHOST)
    return axes


def whole_axes(figure: Figure, box: tuple[float, float, float, float], case: Case, floor: float | None = None) -> Axes:
    """Axes for the whole section in a box of the figure, to one scale; ``floor`` is its lowest height. [mm]."""
    axes = _plain(figure, box)
    reach = 1.14 * case.rotor.outer_diameter_mm / 2.0
    wide = box[2] * figure.get_figwidth() / (box[3] * figure.get_figheight())
    low = floor if floor is not None else shapes.hub_outline(case.hub)[0][1] - 8.0
    axes.set_xlim(-reach, reach)
    axes.set_ylim(low, low + 2 * reach / wide)
    axes.plot([0, 0], [low + 4.0, 20.0], color=palette.GHOST, linewidth=1.2, linestyle=(0, (14, 4, 3, 4)))
    for side in axes.spines.values():
        side.set_visible(False)
    return axes


def _plain(figure: Figure, box: tuple[float, float, float, float]) -> Axes:
    axes = figure.add_axes(box)
    axes.set_aspect("equal", adjustable="box")
    axes.set_xticks([])
    axes.set_yticks([])
    axes.patch.set_alpha(0.0)
    return axes


def name_close(axes: Axes, of: Cut, motion: Moved, by: Stretch, stand_off_um: float, size: float) -> None:
    """Names of the parts, the true height of the scale, and how far the flange stands off, in the close view."""
    look: dict[str, Any] = {"fontsize": size, "fontweight": "bold", "color": palette.INK, "zorder": 9}
    left, right = axes.get_xlim()
    floor, top = axes.get_ylim()
    spigot = of.case.hub.spigot_diameter_mm / 2.0
    axes.text(left + 0.5 * (spigot - left), 0.5 * of.case.hub.spigot_length_mm - 6.0, "spigot", rotation=90,
              ha="center", va="center", bbox=SLIP, **look)  # fmt: skip
    axes.text(0.62 * right + 0.38 * left, -0.55 * of.case.hub.flange_thickness_mm, "hub", ha="center", va="center",
              bbox=SLIP, **look)  # fmt: skip
    hat = next(k for k, piece in enumerate(of.pieces) if piece.part == "part" and piece.side > 0)
    shape = _drawn(of, of.pieces[hat], motion.pieces[hat], by)
    flange = float(np.median(shape[shape[:, 1] > shape[:, 1].max() - 1.2 * of.case.rotor.flange_thickness_mm][:, 1]))
    axes.text(0.70 * right + 0.30 * left, flange, "rotor", ha="center", va="center", bbox=SLIP, **look)
    above = max(of.case.hub.spigot_length_mm, flange + of.case.rotor.flange_thickness_mm)
    label = min(above + 2.5, top - 3.5)
    if of.scales and of.scales[0][1].side > 0:
        scale, foot = of.scales[0]
        tip = _drawn(of, foot, motion.scales[0], by)[-1] + [0.5 * by.out * scale.height_um * 1e-3, 0.0]
        leader = {"arrowstyle": "-", "color": palette.SCALE, "linewidth": 1.6}
        at = (left + 0.05 * (right - left), label)
        axes.annotate(f"scale, {words.micrometres(scale.height_um)} high", tip, xytext=at, va="bottom",
                      arrowprops=leader, **(look | {"color": palette.SCALE}))  # fmt: skip
    if stand_off_um > 100.0:
        x = of.case.hub.face_diameter_mm / 2.0 - 6.0
        axes.annotate("", (x, 0.0), xytext=(x, stand_off_um * 1e-3), zorder=8,
                      arrowprops={"arrowstyle": "<|-|>", "color": palette.DIAL, "linewidth": 2.4, "shrinkA": 0,
                                  "shrinkB": 0})  # fmt: skip


def bore_moved_um(of: Cut, motion: Moved) -> tuple[float, float]:
    """How far the bore has moved in the plane of the cut, toward the scale: over it, and opposite. [um]."""
    moved = {}
    for piece, moves in zip(of.pieces, motion.pieces, strict=True):
        edge = np.abs(np.abs(piece.flat[:, 0]) - 0.5 * of.case.rotor.bore_diameter_mm) < 1e-6
        if piece.part == "part" and edge.any():
            moved[piece.side] = 1000.0 * float(moves[edge, 0].mean())
    return moved[1.0], moved[-1.0]


def name_bore(axes: Axes, of: Cut, motion: Moved, by: Stretch, size: float) -> None:
    """Say beside an arrow, from the dashes to the bore's edge, how far the bore has moved over the scale."""
    over = bore_moved_um(of, motion)[0]
    home = 0.5 * of.case.rotor.bore_diameter_mm + (by.out - 1.0) * of.gap_mm
    x, y = home + by.out * over * 1e-3, of.case.rotor.flange_thickness_mm + 2.5
    look = {"arrowstyle": "-|>", "color": palette.INK, "linewidth": 2.4, "shrinkA": 0, "shrinkB": 0}
    axes.plot([home, home], [y - 4.5, y + 2.0], color=palette.INK, linewidth=1.6, zorder=8)
    axes.annotate("", (x, y), xytext=(home, y), zorder=9, arrowprops=look, gid="bore moved")
    axes.text(x + 1.0, y, f"bore {words.micrometres(over)}", fontsize=size, fontweight="bold", color=palette.INK,
              ha="left", va="center", zorder=9)  # fmt: skip


def name_whole(axes: Axes, of: Cut, motion: Moved, factor: float, size: float) -> None:
    """Say at both rims how far the gauge circle stands from the dial's zero, the mean of its turn."""
    level = shapes.levels(of.case)
    gap = (factor - 1.0) * of.gap_mm
    for k, side in enumerate((1.0, -1.0)):
        here = np.array([side * (level.gauge_radius_mm + gap), level.outboard_face_mm])
        x, face = here + factor * motion.tips[k]
        value = float(np.interp((of.angle_deg + 180.0 * k - of.case.studs.turned_deg) % 360.0,
                                np.arange(361.0), np.append(motion.trace_um, motion.trace_um[0])))  # fmt: skip
        zero = face - factor * value * 1e-3
        look = {"arrowstyle": "-|>", "color": palette.DIAL, "linewidth": 2.8, "shrinkA": 0, "shrinkB": 0}
        axes.plot([x - 16.0, x + 16.0], [zero, zero], color=palette.DIAL, linewidth=1.4, zorder=6)
        if abs(face - zero) > 0.6:
            axes.annotate("", (x, face), xytext=(x, zero), zorder=7, arrowprops=look)
        high = max(face, zero) + 3.5
        reach = axes.get_xlim()[1] - LABEL_MM
        axes.text(min(max(x, -reach), reach), high, f"dial {dial(value)}", fontsize=size, fontweight="bold",
                  color=palette.DIAL, ha="center", va="bottom", zorder=8)  # fmt: skip


def dial(value_um: float) -> str:
    """Write a reading; in mm from a millimetre on."""
    if abs(value_um) >= 995.0:
        return f"{words.number(value_um / 1000.0, 2, signed=True)}{words.GAP}mm"
    return words.micrometres(value_um, signed=True)


SLIP = {"boxstyle": "square,pad=0.2", "facecolor": palette.PAPER, "edgecolor": "none"}
