"""The film about scale on the spigot: frames put together from the section drawing, plots and words. Needs no GL."""

from __future__ import annotations

from contextlib import nullcontext
from dataclasses import dataclass
from functools import partial
from types import SimpleNamespace
from typing import Any

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from scenes import palette
from scenes.film import charts, frames, spigot_story
from scenes.film.film import Reel
from scenes.film.frames import BOTTOM, SIDE, SIZE, TOP
from scenes.film.spigot_story import Moment, Telling
from scenes.geometry.exaggeration import times
from scenes.plots import bore_view
from scenes.stage import lettering
from scenes.stage.lettering import Image8, Sheet
from scenes.words import words
from scenes.words.spigot import distance
from sim.parts.fastener import said

VIEW = (SIZE[0] - 2 * SIDE, SIZE[1] - TOP - BOTTOM)
"""Width and height of the section views, in pixels."""
GAP = 12
FIGURES = 118
"""Pixels under the whole view for its figures."""
LETTERS = 20.0
"""Point size in the views: readable from the back of a classroom."""
BY_HAND_NM = 0.2
"""Less torque than this is what a hand does; nobody reads a dial on a rotor that is only laid on."""
HOME_UM = 5.0
"""Nearer than this it is called home: what the faces give under the nuts."""
CHART_FROM_MM = 0.3
"""The plot of the torque begins this far before the first touch."""


@dataclass(frozen=True, eq=False)
class Layout:
    """What is drawn once for a telling: its plots."""

    told: Telling
    push: charts.Chart | None
    push_from_mm: float
    trace: charts.Chart


def layout(told: Telling) -> Layout:
    """Draw the plots of a telling."""
    size = (VIEW[0], BOTTOM - 8)
    stations = told.way.stations[1:]
    push, begin = None, 0.0
    if told.way.state.wedged:
        begin = stations[0].stand_off_um / 1000.0 + CHART_FROM_MM
        off = np.array([begin, *(station.stand_off_um / 1000.0 for station in stations if station.name != "home")])
        torque = np.array([0.0, *(station.torque_nm for station in stations if station.name != "home")])
        push = charts.push(off, torque, size, said("nut", told.way.case.studs))
    run = _read(told)
    reach = 1.15 * max(float(np.abs(run.seat.outboard_um).max()), 0.6 * run.case.limits.mounted_runout_um)
    line = dict(palette.DIRTY_LINE, linewidth=5.0)
    return Layout(told, push, begin, charts.trace(run, size, reach, 0.0, line))


def _read(told: Telling) -> Any:
    """What the dial reads at the end of the way, as the plots want it."""
    trace = told.moved[-1].trace_um
    seat = SimpleNamespace(angle_deg=np.arange(360.0), outboard_um=trace, inboard_um=trace)
    return SimpleNamespace(case=told.way.case, seat=seat)


def compose(plan: Layout, now: Moment) -> Image8:
    """Put a frame together.

    Parameters
    ----------
    plan : Layout
    now : Moment

    Returns
    -------
    ndarray of uint8, shape (1080, 1920, 3)
        sRGB.
    """
    told = plan.told
    motion, figures = spigot_story.shown(told, now.at)
    sheet = Sheet.blank(SIZE)
    sheet.paste(views(told, motion, figures, now.factor), (SIDE, TOP))
    _stretches(sheet, told, now.factor)
    if now.step.shows == "advice":
        sheet.fade(0.35)
    frames.captions(sheet, now.step)
    place = (SIDE, SIZE[1] - BOTTOM + 4)
    if now.step.shows == "advice":
        frames.advice(sheet, tuple(said(line, told.way.case.studs) for line in spigot_story.ADVICE))
        return sheet.array()
    _figures(sheet, told, figures, float(np.ptp(motion.trace_um)))
    if now.step.shows == "push" and plan.push is not None:
        plan.push.show(sheet, place, 1.0 - figures["stand_off_um"] / 1000.0 / plan.push_from_mm)
    elif now.step.shows == "trace":
        plan.trace.show(sheet, place, now.trace)
    else:
        _facts(sheet, now.step.facts or told.facts)
    return sheet.array()


def views(told: Telling, motion: bore_view.Moved, figures: dict[str, float], factor: float) -> Image8:
    """Close and whole view side by side, shape (height, width, 3)."""
    wide, high = VIEW
    figure = Figure(figsize=(wide / charts.DPI, high / charts.DPI), dpi=charts.DPI, facecolor=palette.PAPER)
    canvas = FigureCanvasAgg(figure)
    left = bore_view.CLOSE_SHARE[0]
    close = bore_view.close_axes(figure, (0.001, 0.004, left, 0.992), told.way.case)
    bore_view.draw(close, told.cut, motion, told.close)
    bore_view.name_close(close, told.cut, motion, told.close, figures["stand_off_um"], LETTERS)
    floor = FIGURES / high
    whole = bore_view.whole_axes(figure, (1.0 - bore_view.CLOSE_SHARE[1], floor, bore_view.CLOSE_SHARE[1], 1.0 - floor),
                                 told.way.case)  # fmt: skip
    bore_view.draw(whole, told.cut, motion, bore_view.Stretch(factor, factor))
    if figures["torque_nm"] > BY_HAND_NM:
        bore_view.name_whole(whole, told.cut, motion, factor, LETTERS)
    canvas.draw()
    return np.asarray(canvas.buffer_rgba())[..., :3].copy()


def _stretches(sheet: Sheet, told: Telling, factor: float) -> None:
    """Say how much is enlarged, always, in the corner of each view."""
    right = SIDE + bore_view.CLOSE_SHARE[0] * VIEW[0]
    sheet.slip(f"outward {times(told.close.out)}", (right - 18, TOP + VIEW[1] - 66), 28, "r")
    sheet.slip("along the axle true to scale", (right - 18, TOP + VIEW[1] - 28), 28, "r")
    sheet.slip(frames.exaggeration(factor), (SIZE[0] - SIDE - 14, TOP + 24), 30, "r")
    sheet.text("dashes: home, flat and true", (SIZE[0] - SIDE - 14, TOP + 82), 26, anchor="rs")


def _figures(sheet: Sheet, told: Telling, figures: dict[str, float], swing_um: float) -> None:
    """Figures of this very place, under the whole view."""
    off, lean = figures["stand_off_um"], figures["lean_um"]
    home = off <= HOME_UM
    shown = [
        ("stands off", "home" if home else distance(off)),
        ("lean at the dial", distance(lean) if lean > 1.0 else "none"),
    ]
    if home and figures["torque_nm"] > BY_HAND_NM:
        shown[1] = (words.RUNOUT, distance(swing_um))
    if told.way.state.wedged:
        shown.append(("stress at the bore", f"{figures['hoop_mpa']:.0f}{words.GAP}MPa"))
    left = SIDE + (1.0 - bore_view.CLOSE_SHARE[1]) * VIEW[0]
    column = bore_view.CLOSE_SHARE[1] * VIEW[0] / 4.0
    for k, (name, value) in enumerate(shown):
        x = left + k * column
        sheet.text(name, (x, TOP + VIEW[1] - 74), 25)
        # A rotor that was drawn home reads well and is damaged: nothing of it in the colour of a good reading.
        colour = palette.INK if k >= 2 else palette.SCALE if home and told.way.state.wedged else palette.DIAL
        sheet.text(value, (x, TOP + VIEW[1] - 18), 46, colour, bold=True)


def _facts(sheet: Sheet, facts: tuple[str, ...]) -> None:
    large, small = facts
    left, y = SIDE + 14.0, SIZE[1] - BOTTOM + 130.0
    sheet.text(large, (left, y), 84, palette.SCALE, bold=True)
    sheet.text(small, (left, y + 80), lettering.fitting(small, 38, SIZE[0] - 2 * SIDE - 40))


def reel(told: Telling) -> Reel[Moment]:
    """Story of a way on to the spigot with what draws it."""
    return Reel(
        seconds=told.seconds,
        moment=partial(spigot_story.moment, told),
        board=spigot_story.storyboard_seconds(told),
        film=lambda moments: nullcontext(partial(compose, layout(told))),
        fine=lambda: nullcontext(partial(compose, layout(told))),
        three_d=False,
    )
