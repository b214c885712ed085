"""Frames of films of sweeps: stage on the left, the dial in its corner, lenses or a story's own marks below it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import lru_cache, partial
from typing import Any

import numpy as np
from PIL import Image

from scenes import palette
from scenes.film import fault_film, sweeps
from scenes.film.fault_film import DIAL_AT, DIAL_SIDE, FEATHER_PX, FINER, LENS_AT, LENS_SIDE, LETTERS, VIEW, VIEW_AT
from scenes.film.film import Reel
from scenes.film.frames import SIZE
from scenes.film.photos import Darkroom, Photo, portable
from scenes.film.sweeps import Moment, Pose, Telling
from scenes.geometry import exaggeration, shapes
from scenes.stage import dial_face, lens, lettering, stage
from scenes.stage.lettering import Image8, Sheet
from scenes.words import corner as corner_words
from scenes.words import words

More = Callable[[Sheet, Telling, Moment, Photo], None]
"""What a story's own film draws over a frame."""
LIFT_MM = 90.0
WHISKER_PX = 40.0
"""A shorter band is written and not drawn: its ends could not be told apart."""
RING_STEP_DEG = 6
"""Places round a circle on the stage that a photograph keeps."""


@dataclass(frozen=True, eq=False)
class Shoot:
    """The corners of a telling, to be photographed."""

    told: Telling
    rings: tuple[tuple[str, float, float], ...] = ()

    def stage_of(self, pose: Pose) -> str:
        """Which corner."""
        return pose.corner

    def build(self, pose: Pose, finer: float) -> stage.Stage:
        """Its stage; the wedge of the hat is cut at the same place in all."""
        setting = stage.Setting(
            view="story", mark=False, plug=True, window=self.told.window_deg is not None,
            window_at_deg=self.told.window_deg,
        )  # fmt: skip
        return stage.build(self.told.runs[pose.corner], setting, VIEW, finer)

    def photograph(self, scene: stage.Stage, pose: Pose) -> Photo:
        """Pose and photograph it; keep where studs, dirt, rim and the circles asked for lie."""
        scene.pose(1.0, pose.turn_deg)
        scene.fade(pose.plug, pose.dirt)
        scene.sweep(pose.brush)
        if scene.gauge is not None:
            scene.gauge.show(pose.read)
        scene.lift(pose.lift, LIFT_MM, pose.holes_deg)
        if pose.toward and pose.lift >= 1.0:
            scene.slide(*_way(self.told.runs[pose.corner], self.told.runs[pose.toward], pose.slide))
        run = scene.run
        angle, radius = lens.joint_place(run)
        places = {"joint": scene.on_rotor_pixel(angle, radius, 0.0), "rim": scene.stylus_pixel()}
        places["axis"] = scene.on_rotor_pixel(0.0, 0.0, run.case.hub.spigot_length_mm)
        places |= {str(index + 1): pixel for index, pixel in enumerate(scene.stud_pixels())}
        for name, other in self.told.runs.items():
            for index, (angle, radius) in enumerate(outline(other)):
                places[f"dirt {name} {index}"] = scene.on_rotor_pixel(angle, radius, 0.0)
        for name, radius, height in self.rings:
            for at in range(0, 360, RING_STEP_DEG):
                raised = pose.lift * LIFT_MM if name.startswith("rotor") else 0.0
                places[f"{name} {at}"] = scene.on_rotor_pixel(float(at), radius, height + raised)
        picture = scene.shoot()
        scene.slide(0.0, 0.0)
        return Photo(picture, {name: (float(x), float(y)) for name, (x, y) in places.items()})


def _way(first: Any, second: Any, share: float) -> tuple[float, float]:
    """How far outward [mm] and round [deg] dirt has come on its way from one corner's place to another's."""
    here, there = corner_words.highest(first.case), corner_words.highest(second.case)
    if here is None or there is None:
        return 0.0, 0.0
    return share * (there.inner_radius_mm - here.inner_radius_mm), share * (there.angle_deg - here.angle_deg)


def outline(run: Any) -> list[tuple[float, float]]:
    """Corners of a run's highest patch, closed: hub angle and radius. [deg], [mm]."""
    patch = corner_words.highest(run.case)
    if patch is None:
        return []
    at, half = exaggeration.debris_angle_deg(run, patch), 0.5 * patch.arc_deg
    there = [(at + share * half, patch.outer_radius_mm) for share in (-1.0, -0.5, 0.0, 0.5, 1.0)]
    back = [(at + share * half, patch.inner_radius_mm) for share in (1.0, 0.5, 0.0, -0.5, -1.0)]
    return [*there, *back, there[0]]


def outline_on_sheet(photo: Photo, name: str) -> list[tuple[float, float]]:
    """Corners of a corner's highest patch on the frame, seen through what lies over it. [pixels]."""
    found = [photo.at[key] for key in photo.at if key.startswith(f"dirt {name} ")]
    return [(x + VIEW_AT[0], y + VIEW_AT[1]) for x, y in found]


def ring_on_sheet(photo: Photo, name: str, from_deg: float = 0.0, to_deg: float = 360.0) -> list[tuple[float, float]]:
    """Places of a circle on the frame, from one hub angle to another, counter-clockwise. [pixels]."""
    known = np.arange(0, 361, RING_STEP_DEG)
    at = np.array([photo.at[f"{name} {angle % 360}"] for angle in known]) + np.array(VIEW_AT, dtype=float)
    wanted = np.linspace(from_deg, to_deg, max(2, int(abs(to_deg - from_deg) / 2.0) + 1))
    x, y = (np.interp(wanted % 360.0, known, at[:, axis]) for axis in (0, 1))
    return [(float(a), float(b)) for a, b in zip(x, y, strict=True)]


def compose(told: Telling, more: More, now: Moment, photo: Photo) -> Image8:
    """Put a frame together, shape (1080, 1920, 3)."""
    sheet = Sheet.blank(SIZE)
    sheet.image.paste(Image.fromarray(photo.picture), VIEW_AT, fault_film.feathered())
    if now.lenses > 0.0 and now.step.shows != "side":
        for name in ("joint", "rim") if now.step.read else ("joint",):
            _lens(sheet, told, now, name, photo)
    number_studs(sheet, told, photo)  # over the leaders
    more(sheet, told, now, photo)
    off = now.pose.lift > 0.0 or not now.step.read
    before = sweeps.span_um(told.runs[now.step.before]) if now.step.before else None
    shown = None if off else now.swept_um
    picture = dial_face.dial(DIAL_SIDE, None if off else now.reading_um, shown, before, tir=shown is not None)
    if shown is not None:
        fault_film.explain(sheet)
    sheet.paste(picture, DIAL_AT)
    fault_film.division(sheet)
    caption(sheet, now.step.caption)
    return sheet.array()


def number_studs(sheet: Sheet, told: Telling, photo: Photo) -> None:
    """Number the studs over what has been drawn."""
    studs = np.array([photo.at[str(index + 1)] for index in range(told.studs.count)])
    sheet.stud_numbers(studs, 20.0, VIEW_AT, (VIEW[0] - FEATHER_PX, VIEW[1] - FEATHER_PX))


def caption(sheet: Sheet, text: str) -> None:
    """Write a scene's few words over its frame."""
    sheet.text(text, (44, 84), lettering.fitting(text, 66, DIAL_AT[0] - 70, bold=True), bold=True)


def _lens(sheet: Sheet, told: Telling, now: Moment, name: str, photo: Photo) -> None:
    run = told.runs[now.step.corner]
    place = (photo.at[name][0] + VIEW_AT[0], photo.at[name][1] + VIEW_AT[1])
    if name == "joint":
        picture = joint_picture(told, now.step.corner)
    else:
        before = sweeps.span_um(told.runs[now.step.before]) if now.step.before else None
        picture = lens.rim(run, now.reading_um, now.swept_um, before, side=LENS_SIDE)
    lens.lay(sheet, picture, LENS_AT[name], place, now.lenses, round_by=fault_film.ROUND_BY[name])
    if now.lenses >= 1.0:
        x, y = LENS_AT[name]
        sheet.text(lens.said(run, name, now.swept_um), (x, y + fault_film.UNDER), LETTERS, bold=True, anchor="ms")
        if name == "joint":
            x, y = LENS_AT["rim"]
            for row, text in enumerate(lens.hair_said()):
                sheet.text(text, (x, y + fault_film.UNDER + 46 + 42 * row), LETTERS, anchor="ms")


@lru_cache(maxsize=32)
def joint_picture(told: Telling, corner: str) -> Image.Image:
    """Joint of a corner in its lens."""
    return lens.joint(told.runs[corner], side=LENS_SIDE)


def bars(
    sheet: Sheet, rows: list[tuple[str, float, str]], limit_um: float, share: float, largest_um: float = 0.0,
    whisker: tuple[int, float, float] | None = None,
) -> None:  # fmt: skip
    """Bars of runout on one floor, right below the dial, with the limit across them.

    Parameters
    ----------
    sheet : Sheet
    rows : list of (name, value, colour)
        Two to five; values in um.
    limit_um : float
    share : float
        How far they have grown, 0..1.
    largest_um : float
        Height of the plot, where it must be more than the bars. [um]
    whisker : tuple, optional
        Which bar has an 80 % band, its lower and upper end. [um]
    """
    floor, left, right, high = 930.0, 1252.0, 1770.0, 240.0
    scale = high / max(largest_um, limit_um, *(value for _, value, _ in rows))
    sheet.line([(left, floor), (right, floor)], palette.INK, 4)
    step = (right - left) / len(rows)
    for index, (name, value, colour) in enumerate(rows):
        middle, half = left + (index + 0.5) * step, min(62.0, 0.36 * step)
        top = min(floor - share * scale * value, floor - 3.0)
        sheet.draw.rectangle((middle - half, top, middle + half, floor - 2), fill=colour, outline=palette.INK, width=3)
        for row, text in enumerate(name.split("\n")):
            sheet.text(text, (middle, floor + 40 + 38 * row), 32, anchor="ms")
    top = floor - scale * limit_um
    for x in np.arange(left, right - 8.0, 26.0):
        sheet.line([(x, top), (x + 16, top)], palette.PAPER, 11)
        sheet.line([(x, top), (x + 16, top)], palette.INK, 7)
    for row, text in enumerate(("limit", words.micrometres(limit_um))):
        sheet.text(text, (right + 8, top - 6 + 40 * row), 34, bold=True)
    if share >= 1.0 and whisker is not None and scale * (whisker[2] - whisker[1]) > WHISKER_PX:
        middle = left + (whisker[0] + 0.5) * step
        low, high_end = floor - scale * whisker[1], floor - scale * whisker[2]
        for ends in (
            [(middle, low), (middle, high_end)],
            *([(middle - 34, y), (middle + 34, y)] for y in (low, high_end)),
        ):
            sheet.line(ends, palette.PAPER, 17)
            sheet.line(ends, palette.INK, 10)
    if share >= 1.0:
        for index, (_, value, _) in enumerate(row for row in rows if row[1] > 0.0):
            middle, top = left + (index + 0.5) * step, floor - scale * value
            text = words.micrometres(value) if len(rows) < 5 else f"{value:.0f}"
            size = 38 if len(rows) < 4 else 34
            sheet.slip(text, (middle, top - 28), size, "m")


def reel(
    told: Telling, more: More, rings: tuple[tuple[str, float, float], ...] = (), draft: bool = False
) -> Reel[Moment]:
    """Story with what draws it; ``rings`` are (name, radius, height) of circles that ``more`` draws along. [mm]."""
    told = replace(told, runs={name: portable(run) for name, run in told.runs.items()})
    return photographed(
        told, Shoot(replace(told, steps=(), facts={}), rings), lambda now, photo: compose(told, more, now, photo), draft
    )


def photographed(
    told: Telling, shoot: Shoot, frame: Callable[[Moment, Photo], Image8], draft: bool = False
) -> Reel[Moment]:
    """Story with what photographs it and what makes a frame of a photograph."""
    room: Darkroom[Moment] = Darkroom(shoot, lambda now: [now.pose], lambda now, photos: frame(now, photos[0]))
    return Reel(
        seconds=told.seconds,
        moment=partial(sweeps.moment, told),
        board=sweeps.board_seconds(told),
        film=lambda moments, small: room.film(FINER["draft" if small else "film"], moments),
        fine=lambda: room.fine(FINER["still"]),
        three_d=True,
        captions=sweeps.captions(told.steps),
        draft=draft,
    )


def face_height_mm(run: Any) -> float:
    """Height of the outboard friction face. [mm]."""
    return shapes.levels(run.case).outboard_face_mm


def high_spot_deg(run: Any) -> float:
    """Hub angle of a corner's high spot. [deg]."""
    return exaggeration.high_spot_deg(run)
