"""The film "where is the fault?": the stage at true size, the dial in its corner, round lenses at one scale."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache, partial
from typing import Any

import numpy as np
from PIL import Image

from scenes import palette
from scenes.film import fault_story, side_view, sweeps, timing
from scenes.film.fault_story import Moment, Pose, Telling
from scenes.film.film import Reel
from scenes.film.frames import SIZE
from scenes.film.photos import Darkroom, Photo, portable
from scenes.geometry import exaggeration, shapes
from scenes.stage import dial_face, lens, lettering, stage
from scenes.stage.lettering import Image8, Sheet
from scenes.words import words

VIEW, VIEW_AT = (1230, 966), (0, 114)
"""Size of the stage's picture and its upper left corner. [pixels]"""
DIAL_SIDE, DIAL_AT = 540, (1310, 30)
"""The dial, always in the same corner. [pixels]"""
LENS_AT = {"joint": (1387, 842), "rim": (1735, 748)}
"""Middle of the two lenses, so placed that their leaders cross neither each other nor a lens. [pixels]"""
ROUND_BY = {"joint": (0.0, 0.0), "rim": (-4.0, 124.0)}
"""Where their leaders bend, from the place that they look at: the rim's goes round the dial. [pixels]"""
LENS_SIDE = 330
FEATHER_PX = 26
"""The stage's picture fades into the paper over this at its edges."""
UNDER = 206.0
"""Base line of the words under a lens, from its middle. [pixels]"""
LETTERS = 34
TIR_SAID = "TIR: highest minus lowest reading"
FINER = {"film": 1.25, "still": 1.5, "draft": 0.55}
SETTING = stage.Setting(view="story", mark=False, plug=True)
BAR_PX_PER_UM = 2.0
BAR_FLOOR, BAR_TOP_PX = 950.0, 300.0
DASH_PX = 26.0
BESIDE = (-150.0, -120.0)
"""From a patch on the bare hub face to the end of its name; one below the middle is named below. [pixels]"""


def photograph(scene: stage.Stage, pose: Pose) -> Photo:
    """Pose a stage and photograph it."""
    scene.look_from(pose.views[0], pose.views[1], pose.moved)
    scene.pose(1.0, pose.turn_deg)
    scene.lift(pose.lift)
    scene.fade(pose.plug, pose.dirt)
    scene.sweep(pose.brush)
    if scene.gauge is not None:
        scene.gauge.show(pose.lift == 0.0)  # nothing to stand on, nothing to read
    run = scene.run
    level, rim = shapes.levels(run.case), run.case.rotor.outer_diameter_mm / 2.0
    speck_deg, speck_mm = lens.joint_place(run)
    places = {
        "axis": scene.on_rotor_pixel(0.0, 0.0, run.case.hub.spigot_length_mm),
        "joint": scene.on_rotor_pixel(speck_deg, speck_mm, 0.0),
        "beyond": scene.on_rotor_pixel(speck_deg, rim, level.outboard_face_mm),
        "high": scene.on_rotor_pixel(exaggeration.high_spot_deg(run), rim - 4.0, level.outboard_face_mm),
        "rim": scene.stylus_pixel(),
    }
    places |= {str(index + 1): pixel for index, pixel in enumerate(scene.stud_pixels())}
    for index, patch in enumerate(run.case.debris):
        if patch.height_um > 0.0:
            out = 0.5 * (patch.inner_radius_mm + patch.outer_radius_mm)
            places[f"dirt {index}"] = scene.on_rotor_pixel(exaggeration.debris_angle_deg(run, patch), out, 0.0)
    return Photo(scene.shoot(), {name: (float(x), float(y)) for name, (x, y) in places.items()})


def build(run: Any, told: Telling, finer: float) -> stage.Stage:
    """Stage for one of the two corners; both have their wedge in the same place."""
    setting = replace(SETTING, window_at_deg=exaggeration.FACING_DEG - told.start_deg)
    return stage.build(run, setting, VIEW, finer)


def compose(told: Telling, now: Moment, photo: Photo) -> Image8:
    """Put a frame together, shape (1080, 1920, 3)."""
    sheet = Sheet.blank(SIZE)
    sheet.image.paste(Image.fromarray(photo.picture), VIEW_AT, feathered())
    studs = np.array([photo.at[str(index + 1)] for index in range(told.dirty.case.studs.count)])
    if now.line > 0.0:
        _line(sheet, told, now, photo)
    for name, share in (("joint", now.joint), ("rim", now.rim)):
        if share > 0.0:
            _lens(sheet, told, now, name, share, photo)
    # over the leaders
    sheet.stud_numbers(studs, 20.0, VIEW_AT, (VIEW[0] - FEATHER_PX, VIEW[1] - FEATHER_PX))
    if now.pose.lift >= 1.0 and not now.step.clean and now.pose.dirt > 0.5:
        _heights(sheet, told, photo)
    if max(now.joint, now.rim) >= 1.0:
        x, y = LENS_AT["rim"]
        for row, text in enumerate(lens.hair_said()):
            sheet.text(text, (x, y + UNDER + 46 + 42 * row), LETTERS, anchor="ms")
    if now.side > 0.0:
        side_view.draw(sheet, told.dirty, now.side)
    if now.bars > 0.0:
        _bars(sheet, told, now.bars)
    swept = now.swept_um
    off = now.step.lift != timing.NONE
    reading = None if off else now.reading_um
    before = sweeps.span_um(told.dirty) if now.step.clean or off else None
    picture = dial_face.dial(DIAL_SIDE, reading, swept, before, tir=now.step.figure and swept is not None)
    if now.step.figure and swept is not None:
        explain(sheet)
    sheet.paste(picture, DIAL_AT)
    division(sheet)
    size = lettering.fitting(now.step.caption, 66, DIAL_AT[0] - 70, bold=True)
    sheet.text(now.step.caption, (44, 84), size, bold=True)
    return sheet.array()


def explain(sheet: Sheet) -> None:
    """Say once what the figure in the dial is."""
    sheet.slip(TIR_SAID, (46.0, 126.0), LETTERS)  # a picture may come up to it


def division(sheet: Sheet) -> None:
    """Say beside the dial what one of its divisions is."""
    for row, text in enumerate(dial_face.DIVISION_SAID):
        sheet.text(text, (1908.0, 42.0 + 40.0 * row), 32, anchor="rs")


def _heights(sheet: Sheet, told: Telling, photo: Photo) -> None:
    """Name each patch on the bare hub face by its height, so that none lies there unexplained."""
    for index in range(len(told.dirty.case.debris)):
        if f"dirt {index}" not in photo.at:
            continue
        x, y = (part + shift for part, shift in zip(photo.at[f"dirt {index}"], VIEW_AT, strict=True))
        height = words.micrometres(exaggeration.debris_height_um(told.dirty, index))
        away = BESIDE if y < 560.0 else (BESIDE[0], -BESIDE[1])
        sheet.tag(f"dirt {height}", (x + away[0], y + away[1]), LETTERS, palette.INK, (x, y), "r")


def _lens(sheet: Sheet, told: Telling, now: Moment, name: str, share: float, photo: Photo) -> None:
    """Lay a lens on the sheet, its leader to the place that it looks at; opening, it grows from there."""
    run = told.clean if now.step.clean else told.dirty
    place = (photo.at[name][0] + VIEW_AT[0], photo.at[name][1] + VIEW_AT[1])
    picture = _lens_picture(told, now.step.clean, name, now.speck, now.reading_um, now.swept_um)
    lens.lay(sheet, picture, LENS_AT[name], place, share, round_by=ROUND_BY[name])
    if share >= 1.0:
        x, y = LENS_AT[name]
        told_yet = name == "rim" or now.step.clean or now.speck >= 1.0
        said = lens.said(run, name, now.swept_um) if told_yet else "joint"
        sheet.text(said, (x, y + UNDER), LETTERS, bold=True, anchor="ms")


@lru_cache(maxsize=1)
def feathered() -> Image.Image:
    """Stencil of the stage's picture: its edges fade into the paper."""
    wide, high = VIEW
    x, y = np.arange(wide), np.arange(high)
    across = np.clip(np.minimum(x + FEATHER_PX, wide - 1 - x) / FEATHER_PX, 0.0, 1.0)
    down = np.clip(np.minimum(y, high - 1 - y) / FEATHER_PX, 0.0, 1.0)
    return Image.fromarray((255.0 * np.outer(down, across)).astype(np.uint8))


def _lens_picture(
    told: Telling, clean: bool, name: str, speck: float, reading_um: float, swept_um: tuple[float, float] | None
) -> Image.Image:
    if name == "joint":
        return _joint_picture(told, clean, speck)
    run, before = (told.clean, sweeps.span_um(told.dirty)) if clean else (told.dirty, None)
    return lens.rim(run, reading_um, swept_um, before, side=LENS_SIDE)


@lru_cache(maxsize=64)
def _joint_picture(told: Telling, clean: bool, speck: float) -> Image.Image:
    run, at = (told.clean, lens.joint_place(told.dirty)) if clean else (told.dirty, None)
    return lens.joint(run, at=at, speck=speck, side=LENS_SIDE)


def _line(sheet: Sheet, told: Telling, now: Moment, photo: Photo) -> None:
    """Draw the line from the axis through the speck to the rim, and mark the high spot there."""
    shift = np.array(VIEW_AT, dtype=float)
    axis, end = np.array(photo.at["axis"]) + shift, np.array(photo.at["beyond"]) + shift
    tip = axis + min(1.0, now.line) * 1.02 * (end - axis)
    long = float(np.hypot(*(tip - axis)))
    for start in np.arange(0.0, long, DASH_PX):
        ends = [axis + min(at, long) / long * (tip - axis) for at in (start, start + 0.6 * DASH_PX)]
        for colour, width in ((palette.PAPER, 15), (palette.HIGH, 9)):
            sheet.line([(float(x), float(y)) for x, y in ends], colour, width)
    if now.line >= 1.0:
        high = np.array(photo.at["high"]) + shift
        place = (max(high[0] - 30, 44), max(high[1] - 70, VIEW_AT[1] + 34))
        sheet.tag("high spot: leans out most", place, 36, palette.HIGH, (float(high[0]), float(high[1])), "l")


def _bars(sheet: Sheet, told: Telling, share: float) -> None:
    """Two bars, as found and cleaned, with the limit as a bracket on the same floor."""
    limit = told.dirty.case.limits.mounted_runout_um
    largest = max(exaggeration.swing_um(told.dirty), limit)
    scale = min(BAR_PX_PER_UM, BAR_TOP_PX / largest)
    sheet.line([(1260, BAR_FLOOR), (1890, BAR_FLOOR)], palette.INK, 4)
    for x, run, name, colour in (
        (1290, told.dirty, "as found", palette.SCALE),
        (1500, told.clean, "cleaned", palette.HUB),
    ):
        value = float(run.seat.lateral_runout_um["outboard"])
        top = min(BAR_FLOOR - share * scale * value, BAR_FLOOR - 3.0)
        sheet.draw.rectangle((x, top, x + 150, BAR_FLOOR - 2), fill=colour, outline=palette.INK, width=3)
        sheet.text(name, (x + 75, BAR_FLOOR + 50), 40, anchor="ms")
        if share >= 1.0:
            crossed = abs(top - 34 - (BAR_FLOOR - scale * limit)) < 34
            foot = BAR_FLOOR - scale * limit - 14 if crossed else top - 16
            sheet.text(words.micrometres(value), (x + 75, foot), 46, bold=True, anchor="ms")
    sheet.text("what is left: hub's and rotor's own", (1575, BAR_FLOOR + 100), LETTERS, anchor="ms")
    top = BAR_FLOOR - scale * limit
    for left in range(1260, 1655, 26):
        sheet.line([(left, top), (left + 16, top)], palette.PAPER, 11)
        sheet.line([(left, top), (left + 16, top)], palette.INK, 7)
    sheet.text(f"limit {words.micrometres(limit)}", (1668, top + 13), 36, bold=True)


@dataclass(frozen=True, eq=False)
class Shoot:
    """The two corners of a telling, to be photographed."""

    told: Telling

    def stage_of(self, pose: Pose) -> bool:
        """Whether it is the cleaned corner."""
        return pose.clean

    def build(self, pose: Pose, finer: float) -> stage.Stage:
        """Its stage."""
        return build(self.told.clean if pose.clean else self.told.dirty, self.told, finer)

    def photograph(self, scene: stage.Stage, pose: Pose) -> Photo:
        """Photograph it."""
        return photograph(scene, pose)


def reel(told: Telling, draft: bool = False) -> Reel[Moment]:
    """Story with what draws it."""
    told = replace(told, dirty=portable(told.dirty), clean=portable(told.clean))
    room: Darkroom[Moment] = Darkroom(
        Shoot(replace(told, steps=())), lambda now: [now.pose], lambda now, photos: compose(told, now, photos[0])
    )
    return Reel(
        seconds=told.seconds,
        moment=partial(fault_story.moment, told),
        board=fault_story.storyboard_seconds(told),
        film=lambda moments, coarse: room.film(FINER["draft" if coarse else "film"], moments),
        fine=lambda: room.fine(FINER["still"]),
        three_d=True,
        captions=tuple(fault_story.captions(told)),
        draft=draft,
    )
