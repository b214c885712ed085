"""The film "a speck at the hub": over the stage it draws the circle of the nuts and, at the end, the bars."""

from __future__ import annotations

import numpy as np

from scenes import palette
from scenes.film import speck_story, sweeps_film
from scenes.film.film import Reel
from scenes.film.photos import Photo
from scenes.film.sweeps import Moment, Telling, tir_um
from scenes.geometry import shapes
from scenes.geometry.exaggeration import times
from scenes.stage.lettering import Sheet
from sim.arrays import Floats
from sim.parts.fastener import said

HIGHEST_UM, HIGHEST_PX = 125.0, 75.0
"""Scale of heights in the section across the hub face, the same for all places of the dirt."""
DASHES = 36
CIRCLES = ("circle on the rotor", "circle on the hub")


def more(sheet: Sheet, told: Telling, now: Moment, photo: Photo) -> None:
    """Draw what a step shows besides stage, dial and lenses."""
    if now.step.shows in ("circle", "side") and now.grown > 0.0:
        _circle(sheet, told, now, photo)
    if now.step.shows == "side":
        _side(sheet, told, now)
    elif now.step.shows == "bars":
        rows = [(text, tir_um(told.runs[name]), palette.SCALE) for text, name in told.facts["rows"]]
        limit = told.runs["found"].case.limits.mounted_runout_um
        sweeps_film.bars(sheet, rows, limit, now.grown)
        for letter, (_, name) in zip("ABC", told.facts["rows"], strict=True):
            _place(sheet, told, photo, name, letter)


def _circle(sheet: Sheet, told: Telling, now: Moment, photo: Photo) -> None:
    """Dashes along the circle of the nuts, on the rotor, or on the hub face while the rotor is off."""
    name = CIRCLES[now.pose.lift > 0.0]
    if now.step.corner not in ("found", "inside") and not now.pose.lift:  # it lies under the metal
        sheet.line(sweeps_film.outline_on_sheet(photo, now.step.corner), palette.PAPER, 9)
        sheet.line(sweeps_film.outline_on_sheet(photo, now.step.corner), palette.SCALE, 5)
    whole = round(DASHES * now.grown)
    for index in range(whole):
        start = 360.0 * index / DASHES
        dash = sweeps_film.ring_on_sheet(photo, name, start, start + 210.0 / DASHES)
        for colour, width in ((palette.PAPER, 11), (palette.INK, 6)):
            sheet.line(dash, colour, width)
    if whole == DASHES and not now.pose.lift:
        text = said("circle of the nuts", told.studs)
        x, y = sweeps_film.ring_on_sheet(photo, name, 200.0, 201.0)[0]
        sheet.tag(text, (x + 60.0, 1040.0), 34, palette.INK, (x, y), "l")


def _side(sheet: Sheet, told: Telling, now: Moment) -> None:
    """Section across hub face and flange as seated: where the nuts pull, where the rotor stands off."""
    run = told.runs[now.step.corner]
    x, hub, gap = speck_story.side_um(run)
    half = 0.5 * run.case.hub.face_diameter_mm
    per_mm, left, middle, floor = 300.0 / half, 1262.0, 1572.0, 850.0
    per_um = now.grown * HIGHEST_PX / HIGHEST_UM

    def at(across: Floats, height: Floats) -> list[tuple[float, float]]:
        return [(middle + per_mm * float(a), floor - per_um * float(b)) for a, b in zip(across, height, strict=True)]

    for side in (x < 0.0, x > 0.0):
        face, under = at(x[side], hub[side]), at(x[side], hub[side] + gap[side])
        low, high = floor + 90.0, -70.0
        sheet.draw.polygon([*face, (face[-1][0], low), (face[0][0], low)], fill=palette.mix("hub", "paper", 0.25))
        over = [(a, b + high) for a, b in under[::-1]]
        sheet.draw.polygon([*under, *over], fill=palette.mix("part", "paper", 0.25))
        for points in (face, under, over):
            sheet.line(points, palette.INK, 4)
    patch = run.case.debris[0]
    across = np.linspace(patch.inner_radius_mm, patch.outer_radius_mm, 9)
    foot = np.interp(across, x, hub)
    block = [*at(across, foot + told.facts["left_um"][now.step.corner]), *at(across, foot)[::-1]]
    sheet.draw.polygon(block, fill=palette.SCALE)
    sheet.line([*block, block[0]], palette.INK, 3)
    inner = per_mm * 0.5 * run.case.hub.face_inner_diameter_mm
    sheet.draw.rectangle((middle - inner + 6, floor - 160, middle + inner - 6, floor + 90),
                         fill=palette.mix("hub", "paper", 0.25), outline=palette.INK, width=4)  # fmt: skip
    for sign in (-1.0, 1.0):
        tip = middle + sign * per_mm * 0.5 * run.case.studs.pitch_circle_mm
        sheet.line([(tip, floor - 250.0), (tip, floor - 205.0)], palette.INK, 12)
        sheet.draw.polygon([(tip - 20, floor - 210), (tip + 20, floor - 210), (tip, floor - 178)], fill=palette.INK)
    sheet.text(said("here the nuts pull", told.studs), (middle, floor - 222.0), 32, bold=True, anchor="ms")
    sheet.text("hub", (middle, floor + 10.0), 32, bold=True, anchor="ms")
    sheet.text("rotor", (left + 44.0, floor - 24.0), 32, bold=True)
    sheet.text("cut through the dirt", (left, floor + 140.0), 32)
    sheet.text(f"heights {times(1000.0 * HIGHEST_PX / HIGHEST_UM / per_mm)}", (left, floor + 184.0), 36, bold=True)


def _place(sheet: Sheet, told: Telling, photo: Photo, name: str, letter: str) -> None:
    """Outline one place of the dirt on the bare hub face and name it by a letter."""
    corners = sweeps_film.outline_on_sheet(photo, name)
    sheet.draw.polygon(corners, fill=palette.SCALE)
    sheet.line(corners, palette.INK, 3)
    x = sum(x for x, _ in corners) / len(corners)
    y = sum(y for _, y in corners) / len(corners)
    away = {"A": (-150.0, -120.0), "B": (-220.0, 60.0), "C": (60.0, -190.0)}[letter]
    sheet.line([(x + away[0], y + away[1]), (x, y)], palette.PAPER, 9)
    sheet.tag(letter, (x + away[0], y + away[1]), 40, palette.INK, (x, y))


def reel(told: Telling, draft: bool = False) -> Reel[Moment]:
    """Story with what draws it."""
    case = told.runs["found"].case
    radius = 0.5 * case.studs.pitch_circle_mm
    rings = ((CIRCLES[0], radius, shapes.levels(case).flange_top_mm), (CIRCLES[1], radius, 0.0))
    return sweeps_film.reel(told, more, rings, draft)
