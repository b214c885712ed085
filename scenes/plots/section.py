"""Line drawings with numbers: the section through the dirt, and one ruler for everything that is small."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.patches import Circle, Polygon, Rectangle

from scenes import palette
from scenes.geometry import exaggeration, shapes
from scenes.plots import bore_view
from scenes.words import corner, spigot, words
from sim.arrays import Floats
from sim.parts.spigot_room import clearance_mm, free_play, uncentred
from sim.units import shortest_deg

if TYPE_CHECKING:
    from sim.parts.case import Case

DPI = 100.0
USUAL_TOP_UM = 140.0
"""Height of the ruler, so that clean and dirty are drawn to one scale; a corner that runs out more has a longer one."""
FLOOR_SHARE = 0.12
"""How much of what lies under zero the ruler's picture shows, so that a rotor is seen to go on."""
FELT_UM = words.DTV_BANDS[0][0], words.DTV_BANDS[1][0]


def sheet(size: tuple[int, int], title: str, below: str) -> Figure:
    """Empty figure of the paper colour with its heading; ``size`` in pixels at 100 dots an inch."""
    figure = Figure(figsize=(size[0] / DPI, size[1] / DPI), dpi=DPI, facecolor=palette.PAPER)
    FigureCanvasAgg(figure)
    unit = size[0] / 1600.0
    high = size[1]
    figure.text(0.025, 1.0 - 62 * unit / high, title, fontsize=30 * unit, fontweight="bold", color=palette.INK)
    figure.text(0.025, 1.0 - 108 * unit / high, below, fontsize=17 * unit, color=palette.INK)
    return figure


def section(run: Any, width: int = 1600) -> Figure:
    """Section through the highest patch and the axis, motions stretched, the true figures beside them.

    Parameters
    ----------
    run : Run
        A computed corner.
    width : int
        Its height follows from the parts. [pixels]

    Returns
    -------
    matplotlib Figure
        To the right the side of the patch (or of the high spot where there is none).
    """
    case, factor = run.case, exaggeration.factor(run)
    highest = corner.highest(case)
    if run.spigot is not None and case.spigot_scale and highest is None:
        return on_spigot(run, width)
    angle = exaggeration.debris_angle_deg(run, highest) if highest else exaggeration.high_spot_deg(run)
    stands = (
        f"The rotor stands on {words.micrometres(exaggeration.debris_height_um(run, case.debris.index(highest)))}"
        if highest
        else "Nothing left on the hub face"
    )
    cut = f"Section at {words.degrees(angle)} on the hub"
    below = f"{cut}, {corner.where(case, highest)}." if highest else f"{cut}, through the high spot."
    outer, unit = case.rotor.outer_diameter_mm / 2.0, width / 1600.0
    low = min(shapes.hub_outline(case.hub)[0][1], shapes.levels(case).inboard_face_mm) - 24.0
    high = case.rotor.flange_thickness_mm + 27.0
    plot_px = width * (high - low) / (2.36 * outer)
    size = (width, round(plot_px + 130 * unit))
    below = f"{below} Motion {exaggeration.times(factor)}; the parts themselves true to scale."
    figure = sheet(size, drawn_central(case) or stands, below)
    axes = figure.add_axes((0.0, 0.0, 1.0, plot_px / size[1]))
    axes.set_axis_off()
    axes.set_aspect("equal")
    for side in (1.0, -1.0):
        at = angle if side > 0 else angle + 180.0
        for outline in [shapes.hat_outline(case.rotor), *shapes.ring_outlines(case.rotor)]:
            _ghost(axes, outline, side)
        _filled(axes, run, shapes.hub_outline(case.hub), (at, side), factor, "hub")
        for outline in [shapes.hat_outline(case.rotor), *shapes.ring_outlines(case.rotor)]:
            _filled(axes, run, outline, (at, side), factor, "part")
        _patches_cut(axes, run, at, side, factor)
        _scale_cut(axes, run, at, side, factor)
        _rim(axes, run, at, side, factor, unit)
    axes.plot([0, 0], [-52, 20], color=palette.GHOST, linewidth=1.2, linestyle=(0, (14, 4, 3, 4)))
    axes.set_xlim(-1.18 * outer, 1.18 * outer)
    _section_words(axes, run, highest, angle, factor, unit)
    axes.set_ylim(low, high)
    return figure


def drawn_central(case: Case) -> str:
    """Say over a drawing that shows a rotor on centre that nothing centres it as given; empty where its spigot does."""
    gap_mm = 2.0 * clearance_mm(case)
    return f"Not centred as given: {gap_mm:.1f} mm of play, drawn central" if uncentred(case) else ""


def on_spigot(run: Any, width: int = 1600) -> Figure:
    """Section through the highest scale on the spigot: bore and spigot close up, and the whole rotor.

    Parameters
    ----------
    run : Run
        A computed corner with a state on its spigot.
    width : int
        [pixels]

    Returns
    -------
    matplotlib Figure
    """
    case, state, unit = run.case, run.spigot, width / 1600.0
    size = (width, round(0.35 * width))
    of, motion, close = _spigot_cut(run)
    factor = bore_view.whole_stretch(case, motion, float(state["stand_off_um"][1]) / 1000.0)
    swing = spigot.distance(float(np.ptp(motion.trace_um)))
    below = (
        f"Section at {words.degrees(of.angle_deg)} on the hub, through the scale. Highest to lowest in one turn: "
        f"{swing}; {words.limit_called(case, 'mounted_runout_um')} "
        f"{words.micrometres(case.limits.mounted_runout_um)}."
    )
    figure = sheet(size, spigot.title(state, run.case), below)
    share, letters = 1.0 - 132 * unit / size[1], 16 * unit
    left, right = bore_view.CLOSE_SHARE
    near = bore_view.close_axes(figure, (0.01, 0.014, left, share - 0.014), case)
    bore_view.draw(near, of, motion, close, unit)
    bore_view.name_close(near, of, motion, close, _stands_off_um(of, motion), letters)
    whole = bore_view.whole_axes(figure, (1.0 - right, 0.1, right - 0.005, share - 0.1), case)
    bore_view.draw(whole, of, motion, bore_view.Stretch(factor, factor), unit)
    bore_view.name_whole(whole, of, motion, factor, letters)
    look: dict[str, Any] = {"color": palette.INK, "zorder": 10, "bbox": bore_view.SLIP}
    figure.text(left + 0.003, share - 0.035, f"outward {exaggeration.times(close.out)}\nalong the axle true to scale",
                ha="right", va="top", fontsize=15.4 * unit, **look)  # fmt: skip
    below = f"motion {exaggeration.times(factor)}; dashes: home, flat and true; the dial counts from its middle"
    figure.text(1.0 - right / 2.0, 0.05, below, ha="center",
                va="center", fontsize=letters, **look)  # fmt: skip
    return figure


def _spigot_cut(run: Any) -> tuple[bore_view.Cut, bore_view.Moved, bore_view.Stretch]:
    """Section through the scale, how it has moved, and how much the close view enlarges."""
    of = bore_view.cut(run.case)
    aside = (0.0, 0.0) if spigot.wrong(run.spigot) else free_play(run.case).middle_mm
    motion = bore_view.moved(of, run.seat.rotor_deformation(), run.seat.hub_deformation(), aside)
    return of, motion, bore_view.close_stretch(run.case, run.spigot["lean_um"] / 2000.0 / run.case.gauge_radius_mm)


def bore_alone(run: Any, width: int = 700) -> tuple[Figure, str]:
    """Bore and spigot close up, for a small place; what is enlarged is said in the words that come with it.

    Parameters
    ----------
    run : Run
        With a state on its spigot.
    width : int
        [pixels]

    Returns
    -------
    figure : matplotlib Figure
    said : str
    """
    of, motion, close = _spigot_cut(run)
    figure = Figure(figsize=(width / DPI, 0.66 * width / DPI), dpi=DPI, facecolor=palette.PAPER)
    FigureCanvasAgg(figure)
    axes = bore_view.close_axes(figure, (0.01, 0.01, 0.98, 0.98), run.case)
    bore_view.draw(axes, of, motion, close)
    bore_view.name_close(axes, of, motion, close, _stands_off_um(of, motion), 21.5 * width / 700)
    said = (
        f"Section at {words.degrees(of.angle_deg)} on the hub, through the scale: "
        f"outward {exaggeration.times(close.out)}, along the axle true to scale. Dashes: home, flat and true."
    )
    return figure, said


def stretched(run: Any) -> str:
    """Say how much larger than true motion is drawn in `section`, or the radial direction in `bore_alone`."""
    if run.case.spigot_scale:
        return f"outward {exaggeration.times(_spigot_cut(run)[2].out)}"
    return f"motion {exaggeration.times(exaggeration.factor(run))}"


def _stands_off_um(of: bore_view.Cut, motion: bore_view.Moved) -> float:
    """Mean gap of the two cut sides under the flange, of this very picture. [um]."""
    hats = [k for k, piece in enumerate(of.pieces) if piece.part == "part" and piece.flat[:, 1].max() > 0]
    under = [motion.pieces[k][np.abs(of.pieces[k].flat[:, 1]) < 1e-9][:, 1].mean() for k in hats]
    return 1000.0 * float(np.mean(under))


def _points(outline: list[shapes.Point], at_deg: float) -> Floats:
    flat = shapes.resampled(outline, 1.5)
    angle = math.radians(at_deg)
    return np.column_stack([flat[:, 0] * math.cos(angle), flat[:, 0] * math.sin(angle), flat[:, 1]])


def _flat(points: Floats, at_deg: float, side: float) -> Floats:
    """Look at points in the plane of the cut: x along the diameter, y outboard."""
    angle = math.radians(at_deg)
    return np.column_stack([side * (points[:, 0] * math.cos(angle) + points[:, 1] * math.sin(angle)), points[:, 2]])


def _filled(
    axes: Axes, run: Any, outline: list[shapes.Point], cut: tuple[float, float], factor: float, part: str
) -> None:
    """Draw a moved section, hatched; ``cut`` is its angle and side, ``part`` is ``hub`` or ``part`` (the rotor)."""
    motion, hatch = (exaggeration.hub_motion, "\\\\\\") if part == "hub" else (exaggeration.rotor_motion, "///")
    points = _points(outline, cut[0])
    shape = _flat(points + factor * motion(run, points), *cut)
    tint, lines = palette.mix(part, "paper", 0.35), palette.mix(part, "ink", 0.35)
    axes.add_patch(Polygon(shape, facecolor=tint, edgecolor=lines, hatch=hatch, linewidth=0.0))
    axes.add_patch(Polygon(shape, facecolor="none", edgecolor=palette.INK, linewidth=1.6))


def _ghost(axes: Axes, outline: list[shapes.Point], side: float) -> None:
    flat = np.asarray([*outline, outline[0]])
    axes.plot(side * flat[:, 0], flat[:, 1], color=palette.GHOST, linewidth=1.1, linestyle=(0, (5, 3)), zorder=4)


def _patches_cut(axes: Axes, run: Any, at: float, side: float, factor: float) -> None:
    """Patches that the plane cuts."""
    for index, patch in enumerate(run.case.debris):
        away = shortest_deg(at - exaggeration.debris_angle_deg(run, patch))
        if abs(away) > patch.arc_deg / 2.0 or patch.height_um <= 0:
            continue
        height = exaggeration.debris_height_um(run, index) * 1e-3 * (-1.0 if patch.on == "rotor" else 1.0)
        radius = np.linspace(patch.inner_radius_mm, patch.outer_radius_mm, 12)
        angle = math.radians(at)
        foot = np.column_stack([radius * math.cos(angle), radius * math.sin(angle), 0 * radius])
        move = exaggeration.rotor_motion if patch.on == "rotor" else exaggeration.hub_motion
        low = _flat(foot + factor * move(run, foot), at, side)
        high = low + np.array([0.0, factor * height])
        axes.add_patch(
            Polygon(
                np.vstack([low, high[::-1]]), facecolor=palette.SCALE, edgecolor=palette.INK, linewidth=1.4, zorder=5
            )
        )


def _scale_cut(axes: Axes, run: Any, at: float, side: float, factor: float) -> None:
    """Scale on the spigot that the plane cuts, its height stretched like the motion."""
    bore = run.case.hub.spigot_diameter_mm / 2.0
    for scale in run.case.spigot_scale:
        away = shortest_deg(at - scale.angle_deg)
        if abs(away) > scale.arc_deg / 2.0:
            continue
        z = np.linspace(scale.from_face_mm, scale.to_face_mm, 8)
        angle = math.radians(at)
        foot = np.column_stack([np.full(8, bore * math.cos(angle)), np.full(8, bore * math.sin(angle)), z])
        low = _flat(foot + factor * exaggeration.hub_motion(run, foot), at, side)
        high = low + np.array([side * factor * scale.height_um * 1e-3, 0.0])
        shape = np.vstack([low, high[::-1]])
        axes.add_patch(Polygon(shape, facecolor=palette.SCALE, edgecolor=palette.INK, linewidth=1.4, zorder=5))


def _rim(axes: Axes, run: Any, at: float, side: float, factor: float, unit: float) -> None:
    """Measure the gauge circle at this side: from the dial's zero, the mean of the turn, to the face as it stands."""
    value = float(exaggeration.reading_um(run, at))
    x, zero = dial_zero(run, at, side, factor)
    face, near = zero + factor * value * 1e-3, 0.16 * run.case.rotor.outer_diameter_mm / 2.0
    axes.plot([x - near, x + near], [zero, zero], color=palette.DIAL, linewidth=1.6 * unit, zorder=6)
    if abs(face - zero) > 0.5:
        axes.annotate(
            "", (x, face), xytext=(x, zero), zorder=7,
            arrowprops={"arrowstyle": "-|>", "color": palette.DIAL, "linewidth": 3.0 * unit, "shrinkA": 0,
                        "shrinkB": 0},
        )  # fmt: skip
    axes.text(
        x, max(face, zero) + 4.0, f"dial {words.micrometres(value, signed=True)}",
        fontsize=19 * unit, fontweight="bold", color=palette.DIAL, ha="center", va="bottom",
    )  # fmt: skip


def dial_zero(run: Any, at_deg: float, side: float, factor: float) -> tuple[float, float]:
    """Where the dial stands in the plane of the cut when it reads zero.

    Parameters
    ----------
    run : Run
        A computed corner.
    at_deg : float
        Hub angle of this side of the cut. [deg]
    side : float
        +1 to the right, -1 to the left.
    factor : float
        Exaggeration.

    Returns
    -------
    tuple of float
        Place along the diameter and height, as drawn. [mm]
    """
    level, angle = shapes.levels(run.case), math.radians(at_deg)
    radius = level.gauge_radius_mm
    point = np.array([[radius * math.cos(angle), radius * math.sin(angle), level.outboard_face_mm]])
    there = _flat(point + factor * exaggeration.rotor_motion(run, point), at_deg, side)[0]
    return float(there[0]), float(there[1] - factor * 1e-3 * exaggeration.reading_um(run, at_deg))


def _section_words(axes: Axes, run: Any, highest: Any, angle: float, factor: float, unit: float) -> None:
    case = run.case
    top = case.rotor.flange_thickness_mm
    look: dict[str, Any] = {"fontsize": 17 * unit, "color": palette.INK, "fontweight": "bold"}
    arrow = {"arrowstyle": "-", "color": palette.INK, "linewidth": 1.3 * unit}
    if highest is not None:
        middle = 0.5 * (highest.inner_radius_mm + highest.outer_radius_mm)
        at = math.radians(angle)
        foot = np.array([[middle * math.cos(at), middle * math.sin(at), 0.0]])
        index = case.debris.index(highest)
        half = 0.5 * exaggeration.debris_height_um(run, index) * 1e-3
        tip = (middle, float((foot + factor * exaggeration.hub_motion(run, foot))[0, 2]) + factor * half)
        axes.annotate(
            f"{words.micrometres(exaggeration.debris_height_um(run, index))} high", tip,
            xytext=(middle + 24.0, top + 16.0), arrowprops=arrow, zorder=8, **(look | {"color": palette.SCALE}),
        )  # fmt: skip
    barrel = 0.25 * (case.hub.barrel_inner_diameter_mm + case.hub.barrel_outer_diameter_mm)
    axes.text(-barrel - 20.0, -34.0, "hub", ha="center", va="center", zorder=8, bbox=_slip(), **look)
    outer, ring = (
        case.rotor.outer_diameter_mm / 2.0,
        0.5 * sum((shapes.levels(case).outboard_face_mm, shapes.levels(case).inboard_face_mm)),
    )
    axes.text(-0.78 * outer, ring, "rotor", ha="center", va="center", zorder=8, bbox=_slip(), **look)
    axes.text(
        0.0, shapes.hub_outline(case.hub)[0][1] - 10.0,
        f"dashes: home, flat and true     dial zero: mean of the turn     {words.RUNOUT} over the whole turn: "
        f"{corner.swing_sum(run)}     {words.limit_called(case, 'mounted_runout_um')} "
        f"{words.micrometres(case.limits.mounted_runout_um)}",
        ha="center", va="top", **(look | {"fontweight": "normal", "fontsize": 14.5 * unit}),
    )  # fmt: skip


def _slip() -> dict[str, Any]:
    return {"boxstyle": "square,pad=0.25", "facecolor": palette.PAPER, "edgecolor": "none"}


def ruler(run: Any, size: tuple[int, int] = (1600, 900)) -> Figure:
    """One ruler for all: a hair, the speck, the rim's runout, the pad's clearance, the DTV that is felt.

    Parameters
    ----------
    run : Run
        A computed corner.
    size : tuple of int
        Width and height. [pixels]

    Returns
    -------
    matplotlib Figure
        All drawn to one scale.
    """
    case = run.case
    unit = size[0] / 1600.0
    swing = float(run.seat.lateral_runout_um["outboard"])
    patches = [exaggeration.debris_height_um(run, i) for i, patch in enumerate(case.debris) if patch.height_um > 0]
    speck = max(patches, default=0.0)
    top = max(USUAL_TOP_UM, 1.22 * max(corner.HAIR_UM, speck, swing))
    below = "All five heights to one scale, by one ruler; rotor and pad go on beyond the picture."
    figure = sheet(size, "You feel a fraction of a hair", below)
    axes = figure.add_axes((0.075, 0.20, 0.915, 0.62))
    wide = (1.0 + FLOOR_SHARE) * top * (0.915 * size[0]) / (0.62 * size[1])
    axes.set_xlim(0.0, wide)
    axes.set_ylim(-FLOOR_SHARE * top, top)
    for side in ("top", "right", "bottom"):
        axes.spines[side].set_visible(False)
    axes.patch.set_alpha(0.0)
    axes.set_xticks([])
    axes.tick_params(axis="y", labelsize=16 * unit, length=10 * unit, width=1.5 * unit)
    axes.set_yticks(range(0, int(top) + 1, 20 if top < 160 else 100))
    axes.set_yticks(range(0, int(top) + 1, 10 if top < 160 else 50), minor=True)
    axes.tick_params(axis="y", which="minor", length=5 * unit)
    axes.set_ylabel("µm (thousandths of a millimetre)", fontsize=15 * unit, color=palette.INK)
    axes.axhline(0.0, color=palette.INK, linewidth=2.0 * unit)
    places = [wide * share for share in (0.125, 0.335, 0.525, 0.715, 0.905)]
    half = 0.072 * wide
    _hair(axes, places[0])
    axes.add_patch(Rectangle((places[1] - half, 0.0), 2 * half, speck, facecolor=palette.SCALE, edgecolor=palette.INK))
    _swing(axes, places[2], half, swing)
    _clearance(axes, places[3], half, float(case.caliper.clearance_um), top)
    low, high = FELT_UM
    axes.add_patch(Rectangle((places[4] - half, 0.0), 2 * half, low, facecolor=palette.PART, edgecolor=palette.INK))
    axes.add_patch(
        Rectangle((places[4] - half, low), 2 * half, high - low, facecolor="none", edgecolor=palette.INK, hatch="//")
    )
    names = (
        ("a hair", f"about {words.micrometres(corner.HAIR_UM)}"),
        ("what was left", words.micrometres(speck)),
        ("the rim runs out", words.micrometres(swing)),
        ("the pad's clearance", f"about {words.micrometres(float(case.caliper.clearance_um))} a side"),
        ("felt in the pedal", f"DTV over {words.micrometres(high)}\n(doubtful from {words.mark(low)})"),
    )
    for place, (name, value) in zip(places, names, strict=True):
        axes.text(
            place, -0.165 * top, name, ha="center", va="top", fontsize=18 * unit, fontweight="bold", color=palette.INK
        )
        axes.text(place, -0.245 * top, value, ha="center", va="top", fontsize=17 * unit, color=palette.INK)
    figure.text(
        0.025, 0.03, "Hair from memory (50 to 100 µm). Clearance is a judgement (15 to 150 µm). "
        f"What drivers notice: {words.COMMON_PRACTICE.removeprefix('trade figure: ')}.",
        fontsize=13 * unit, color=palette.INK,
    )  # fmt: skip
    return figure


def _hair(axes: Axes, place: float) -> None:
    radius = corner.HAIR_UM / 2.0
    axes.add_patch(Circle((place, radius), radius, facecolor=palette.mix("ink", "paper", 0.35), edgecolor=palette.INK))
    axes.add_patch(
        Circle((place, radius), 0.32 * radius, facecolor=palette.mix("ink", "paper", 0.15), edgecolor="none")
    )


def _swing(axes: Axes, place: float, half: float, swing: float) -> None:
    """Lay the rotor's face at its lowest and at its highest under the stylus, the arrow between them."""
    _cut_off(axes, (place - half, -swing), (2 * half, 2 * swing), "part", palette.mix("part", "paper", 0.7))
    _cut_off(axes, (place - half, -swing), (2 * half, swing), "part", palette.mix("part", "paper", 0.2))
    axes.annotate("", (place, swing), xytext=(place, 0.0),
                  arrowprops={"arrowstyle": "<|-|>", "color": palette.DIAL, "linewidth": 3, "shrinkA": 0, "shrinkB": 0,
                              "mutation_scale": 24})  # fmt: skip


def _clearance(axes: Axes, place: float, half: float, gap: float, top: float) -> None:
    """Rotor below, pad above, both cut off by the picture's edge; nothing between."""
    _cut_off(axes, (place - half, -top), (2 * half, top), "part", palette.mix("part", "paper", 0.2))
    _cut_off(axes, (place - half, gap), (2 * half, top), "pad", palette.PAD)
    axes.text(place, 0.5 * (gap + top), "pad", ha="center", va="center", color=palette.PAPER, fontsize=15)


def _cut_off(axes: Axes, place: tuple[float, float], size: tuple[float, float], part: str, colour: str) -> None:
    lines = palette.mix(part, "paper" if part == "pad" else "ink", 0.35)
    axes.add_patch(Rectangle(place, *size, facecolor=colour, edgecolor=lines, hatch="///", linewidth=0.0, gid=part))
    axes.add_patch(Rectangle(place, *size, facecolor="none", edgecolor=palette.INK, linewidth=1.4))
