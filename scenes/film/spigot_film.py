"""The film about scale on the spigot: frames put together from the section drawing, plots and words. Needs no GL."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial
from types import SimpleNamespace
from typing import Any

import numpy as np
from matplotlib.axes import Axes
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from scenes import palette
from scenes.film import charts, frames, spigot_story
from scenes.film.film import Reel
from scenes.film.frames import BOTTOM, SIDE, SIZE, TOP
from scenes.film.photos import Darkroom, Photo
from scenes.film.spigot_story import NAME, Moment, Telling
from scenes.geometry.exaggeration import times
from scenes.plots import bore_view, spigot_plan
from scenes.stage import dial_face, lettering
from scenes.stage.lettering import Image8, Sheet
from scenes.words import words
from scenes.words.spigot import distance
from sim.arrays import Floats
from sim.parts.fastener import said
from sim.parts.materials import tensile_strength_mpa

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
HELPED_FROM = 24
"""Fewer drawings are made sooner than helpers start."""
COCKED = ("one nut", "crack")
COLUMNS = 3.2
"""Figures under the whole view, a little more than three: the last is the widest."""
WRITTEN = 0.6
"""Share of its step in which the advice is written, so that its last line can be read too."""
CHART_FROM_MM = 0.3
"""The plot of the torque begins this far before the first touch."""


@dataclass(frozen=True, eq=False)
class Layout:
    """What is drawn once for a telling: its plots."""

    told: Telling
    push: charts.Chart | None
    push_from_mm: float
    trace: charts.Chart
    unread: charts.Chart | None = None
    """The same without its runout, until the turn has been read."""


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
    traces = (charts.trace(run, (size[0] - BOTTOM - 30, size[1]), reach, 0.0, line, tir) for tir in (True, False))
    return Layout(told, push, begin, *traces)


def _read(told: Telling) -> Any:
    """What the dial reads at the end of the way, as the plots want it."""
    trace = told.moved[-1].trace_um
    seat = SimpleNamespace(angle_deg=np.arange(360.0), outboard_um=trace, inboard_um=trace)
    return SimpleNamespace(case=told.way.case, seat=seat)


@dataclass(frozen=True)
class Pose:
    """What the section views are drawn of: what they show, place on the way, stretch, share of a nut's way or crack."""

    shows: str
    at: float
    factor: float
    share: float


class Scene:
    """Stands where other films have a stage: a drawing holds nothing."""

    def close(self) -> None:
        """Nothing is held."""


@dataclass(frozen=True, eq=False)
class Shoot:
    """The section views of a telling, drawn by whoever has time and kept until the film is whole."""

    told: Telling

    def stage_of(self, pose: Pose) -> str:
        """There is one."""
        return NAME

    def build(self, pose: Pose, finer: float) -> Scene:
        """Nothing is built."""
        return Scene()

    def photograph(self, scene: Scene, pose: Pose) -> Photo:
        """Draw them."""
        motion, figures = moved(self.told, pose)
        return Photo(views(self.told, pose, motion, figures), {})


def pose_of(told: Telling, now: Moment) -> Pose:
    """Return what the views of a moment need: moments that differ in plots or words alone share their views."""
    cocked = (now.step.shows in COCKED and told.one_nut is not None) or now.step.shows == "clean"
    if cocked:
        return Pose(now.step.shows, now.at, 1.0, now.trace)
    begun = now.step.shows == "push" and now.step.go[0] > 0  # the nuts are on before they pull
    return Pose("nuts" if begun else "", now.at, now.factor, 0.0)


def moved(told: Telling, pose: Pose) -> tuple[bore_view.Moved, dict[str, float]]:
    """Section and figures of a pose."""
    motion, figures = spigot_story.shown(told, pose.at)
    if pose.shows == "clean":
        away = 1000.0 * spigot_story.CLEAN_FROM_MM * (1.0 - pose.share)
        return spigot_story.clean_at(told, pose.share), dict.fromkeys(figures, 0.0) | {"stand_off_um": away}
    if pose.shows not in COCKED:
        return motion, figures
    return spigot_story.cocked(told, motion, figures, 1.0 if pose.shows == "crack" else pose.share)


def compose(plan: Layout, now: Moment, photo: Photo | None = None) -> Image8:
    """Put a frame together.

    Parameters
    ----------
    plan : Layout
    now : Moment
    photo : Photo, optional
        Its views; drawn here if not given.

    Returns
    -------
    ndarray of uint8, shape (1080, 1920, 3)
        sRGB.
    """
    told = plan.told
    pose = pose_of(told, now)
    motion, figures = moved(told, pose)
    cocked = pose.shows in COCKED
    sheet = Sheet.blank(SIZE)
    sheet.paste(views(told, pose, motion, figures) if photo is None else photo.picture, (SIDE, TOP))
    _stretches(sheet, None if cocked else told.close.out, pose.factor)
    sheet.slip(_how(told, pose, figures), (SIDE + bore_view.CLOSE_SHARE[0] * VIEW[0] + 34, TOP + 24), 34)
    if now.step.shows == "advice":
        sheet.fade(0.35)
    frames.captions(sheet, now.step if now.done else replace(now.step, caption=now.step.early, small=""))
    place = (SIDE, SIZE[1] - BOTTOM + 4)
    if now.step.shows == "advice":
        frames.advice(sheet, tuple(said(line, told.way.case.studs) for line in spigot_story.ADVICE),
                      min(1.0, now.trace / WRITTEN))  # fmt: skip
        return sheet.array()
    if now.step.shows != "clean":
        read = now.step.shows in ("trace", "dial")
        _figures(sheet, told, figures, float(np.ptp(_seen_um(motion, now.trace))) if read else None)
    if now.step.shows == "push" and plan.push is not None:
        plan.push.show(sheet, place, 1.0 - figures["stand_off_um"] / 1000.0 / plan.push_from_mm)
    elif now.step.shows in ("trace", "dial"):
        (plan.trace if now.trace >= 1.0 or plan.unread is None else plan.unread).show(sheet, place, now.trace)
        _dial(sheet, motion, now.trace)
    elif cocked:
        _stresses(sheet, told, figures["hoop_mpa"])
    elif now.step.facts:  # of room, not of scale
        _facts(sheet, now.step.facts, palette.INK)
    else:
        _facts(sheet, told.facts, palette.SCALE)
    return sheet.array()


def _how(told: Telling, pose: Pose, figures: dict[str, float]) -> str:
    """Which way on is seen, so that a cocked rotor and one drawn on evenly are not taken for one."""
    if pose.shows == "clean":
        return "cleaned"
    if pose.shows in COCKED:
        return said(f"nut {told.one_nut.stud if told.one_nut else 1} first", told.way.case.studs)
    if pose.shows == "nuts" or figures["torque_nm"] > BY_HAND_NM:
        return said("all nuts evenly", told.way.case.studs)
    return "by hand"


def _seen_um(motion: bore_view.Moved, share: float) -> Floats:
    """What the dial has read of a turn so far. [um]."""
    return motion.trace_um[: max(2, round(share * len(motion.trace_um)))]


def _dial(sheet: Sheet, motion: bore_view.Moved, share: float) -> None:
    """The workshop dial beside the trace, with what it has swept so far."""
    seen = _seen_um(motion, share)
    swept = (float(seen.min()), float(seen.max()))
    side = BOTTOM - 14
    sheet.paste(dial_face.dial(side, float(seen[-1]), swept), (SIZE[0] - SIDE - side, SIZE[1] - BOTTOM + 8))
    for row, text in enumerate(dial_face.DIVISION_SAID):
        sheet.text(text, (SIZE[0] - SIDE - side - 20, SIZE[1] - 70 + 42 * row), 32, anchor="rs")


def _stresses(sheet: Sheet, told: Telling, hoop_mpa: float) -> None:
    """Stress at the bore as bars: one nut first, all of them evenly; what the iron bears as a line."""
    strength = tensile_strength_mpa(told.way.case.rotor)
    evenly = max(station.hoop_mpa for station in told.way.stations)
    left, top = 560.0, SIZE[1] - BOTTOM + 44.0
    scale = 1180.0 / (1.12 * max(strength, told.one_nut.hoop_mpa if told.one_nut else 0.0, evenly))
    sheet.text("stress at the bore", (SIDE + 14, top + 4), 34, bold=True)
    for row, (name, value, colour) in enumerate((
        (f"nut {told.one_nut.stud if told.one_nut else 1} run up first", hoop_mpa, palette.SCALE),
        ("all evenly, at most", evenly, palette.STUD),
    )):  # fmt: skip
        y = top + 30.0 + 96.0 * row
        sheet.text(said(name, told.way.case.studs), (SIDE + 14, y + 52), 40)
        box = (left, y, left + max(scale * value, 2.0), y + 70.0)
        sheet.draw.rectangle(box, fill=colour, outline=palette.INK, width=3)
        figure, inside = _stress(value, strength).removesuffix(" strength"), scale * value > 260.0
        x = left + scale * value - 16 if inside else left + scale * value + 14
        sheet.text(figure, (x, y + 50), 42, palette.PAPER if inside and row == 0 else palette.INK, bold=True,
                   anchor="rs" if inside else "ls")  # fmt: skip
    x = left + scale * strength
    sheet.line([(x, top + 16), (x, top + 216)], palette.PAPER, 12)
    sheet.line([(x, top + 16), (x, top + 216)], palette.INK, 5)
    sheet.text(f"this iron breaks at {strength:.0f}{words.GAP}MPa", (x, top + 258), 36, bold=True, anchor="ms")


def views(told: Telling, pose: Pose, motion: bore_view.Moved, figures: dict[str, float]) -> Image8:
    """Close view (or the flange from outside) and whole view side by side, shape (height, width, 3)."""
    wide, high = VIEW
    figure = Figure(figsize=(wide / charts.DPI, high / charts.DPI), dpi=charts.DPI, facecolor=palette.PAPER)
    canvas = FigureCanvasAgg(figure)
    left, factor, nut = bore_view.CLOSE_SHARE[0], pose.factor, told.one_nut
    cocked, clean = pose.shows in COCKED, pose.shows == "clean"
    of = told.clean if clean and told.clean is not None else told.cut
    if cocked and nut is not None:
        plan_of = board_axes(figure, (0.001, 0.004, left, 0.992))
        spigot_plan.plan(plan_of, told.way.case, nut.stud, pose.share if pose.shows == "crack" else 0.0, LETTERS)
    else:
        close = bore_view.close_axes(figure, (0.001, 0.004, left, 0.992), told.way.case)
        bore_view.draw(close, of, motion, told.close)
        bore_view.name_close(close, of, motion, told.close, figures["stand_off_um"], LETTERS)
        if told.way.state.wedged and figures["stand_off_um"] <= HOME_UM and not clean:
            bore_view.name_bore(close, of, motion, told.close, LETTERS)
    floor = FIGURES / high
    whole = bore_view.whole_axes(figure, (1.0 - bore_view.CLOSE_SHARE[1], floor, bore_view.CLOSE_SHARE[1], 1.0 - floor),
                                 told.way.case)  # fmt: skip
    bore_view.draw(whole, of, motion, bore_view.Stretch(factor, factor))
    by_nuts = pose.shows == "nuts" or figures["torque_nm"] > BY_HAND_NM
    if cocked or by_nuts:
        bore_view.name_whole(whole, told.cut, motion, factor, LETTERS)
    if clean:
        spigot_plan.tools(whole, of, motion, factor, "fingertips", LETTERS)
    elif told.way.state.wedged and factor <= 3.0:
        work = spigot_story.one_nut_side(told) if cocked else "nuts" if by_nuts else "hands"
        spigot_plan.tools(whole, told.cut, motion, factor, work, LETTERS)
    canvas.draw()
    return np.asarray(canvas.buffer_rgba())[..., :3].copy()


def board_axes(figure: Figure, box: tuple[float, float, float, float]) -> Axes:
    """Axes without marks, one scale both ways."""
    axes = figure.add_axes(box)
    axes.set_aspect("equal", adjustable="box")
    axes.set_axis_off()
    return axes


def _stretches(sheet: Sheet, close_out: float | None, factor: float) -> None:
    """Say how much is enlarged, always, in the corner of each view."""
    right = SIDE + bore_view.CLOSE_SHARE[0] * VIEW[0]
    if close_out is not None:
        sheet.slip(f"outward {times(close_out)}", (right - 18, TOP + VIEW[1] - 72), 32, "r")
        sheet.slip("along the axle not stretched", (right - 18, TOP + VIEW[1] - 28), 32, "r")
    stretch = "motion not stretched" if factor == 1.0 else frames.exaggeration(factor)
    sheet.slip(stretch, (SIZE[0] - SIDE - 14, TOP + 24), 34, "r")
    sheet.text("dashes: where home is", (SIDE + bore_view.CLOSE_SHARE[0] * VIEW[0] + 34, TOP + 90), 32)


def _figures(sheet: Sheet, told: Telling, figures: dict[str, float], swing_um: float | None) -> None:
    """Figures of this very place, under the whole view; a runout only as far as the dial has read it."""
    off, lean = figures["stand_off_um"], figures["lean_um"]
    home = off <= HOME_UM
    shown = [
        ("stands off", "home" if home else distance(off)),
        ("lean at the dial", distance(lean) if lean > 1.0 else "none"),
    ]
    if home and figures["torque_nm"] > BY_HAND_NM and swing_um is not None:
        shown[1] = (words.RUNOUT, distance(swing_um))
    if told.way.state.wedged:
        stress, strength = figures["hoop_mpa"], tensile_strength_mpa(told.way.case.rotor)
        shown.append(("stress at the bore", _stress(stress, strength)))
    left = SIDE + (1.0 - bore_view.CLOSE_SHARE[1]) * VIEW[0]
    column = bore_view.CLOSE_SHARE[1] * VIEW[0] / COLUMNS
    for k, (name, value) in enumerate(shown):
        x = left + k * column
        sheet.text(name, (x, TOP + VIEW[1] - 70), 32)
        # A rotor that was drawn home reads well and is damaged: nothing of it in the colour of a good reading.
        colour = palette.INK if k >= 2 else palette.SCALE if home and told.way.state.wedged else palette.DIAL
        sheet.text(value, (x, TOP + VIEW[1] - 18), 46, colour, bold=True)


def _stress(stress_mpa: float, strength_mpa: float) -> str:
    """Write a stress at the bore; past the strength its ratio, since no such stress stands."""
    if stress_mpa <= strength_mpa:
        return f"{stress_mpa:.0f}{words.GAP}MPa"
    return f"{stress_mpa / strength_mpa:.1f} × strength"


def _facts(sheet: Sheet, facts: tuple[str, ...], colour: str) -> None:
    large, small = facts
    left, y = SIDE + 14.0, SIZE[1] - BOTTOM + 130.0
    sheet.text(large, (left, y), 84, colour, bold=True)
    sheet.text(small, (left, y + 80), lettering.fitting(small, 38, SIZE[0] - 2 * SIDE - 40))


def reel(told: Telling, draft: bool = False) -> Reel[Moment]:
    """Story of a way on to the spigot with what draws it."""
    plan = layout(told)
    room: Darkroom[Moment] = Darkroom(
        Shoot(replace(told, steps=())),
        lambda now: [pose_of(told, now)],
        lambda now, photos: compose(plan, now, photos[0]),
        helped_from=HELPED_FROM,
    )
    return Reel(
        seconds=told.seconds,
        moment=partial(spigot_story.moment, told),
        board=spigot_story.storyboard_seconds(told),
        film=lambda moments, coarse: room.film(1.0, moments),
        fine=lambda: room.fine(1.0),
        three_d=False,
        captions=spigot_story.captions(told),
        draft=draft,
    )
