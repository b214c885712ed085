"""The film "a speck at the hub": over the stage it draws the circle of the nuts and, at the end, the bars."""

from __future__ import annotations

from scenes import palette
from scenes.film import side_view, sweeps_film
from scenes.film.film import Reel
from scenes.film.photos import Photo
from scenes.film.sweeps import Moment, Telling, tir_um
from scenes.geometry import shapes
from scenes.stage.lettering import Sheet
from sim.parts.fastener import said

DASHES = 36
ALONE = "this dirt alone, the rest wiped off"
"""Said where more lies on the hub face: the corner as found reads otherwise."""
CIRCLES = ("circle on the rotor", "circle on the hub")


def more(sheet: Sheet, told: Telling, now: Moment, photo: Photo) -> None:
    """Draw what a step shows besides stage, dial and lenses."""
    if now.step.shows in ("circle", "side") and now.grown > 0.0:
        _circle(sheet, told, now, photo)
    if now.step.shows == "side":
        side_view.draw(sheet, told.runs[now.step.corner], now.grown)
    elif now.step.shows == "bars":
        rows = [
            (text, tir_um(told.runs[name]), palette.HUB if name == "clean" else palette.SCALE)
            for text, name in told.facts["rows"]
        ]
        limit = told.runs["found"].case.limits.mounted_runout_um
        sweeps_film.bars(sheet, rows, limit, now.grown)
        for letter, (_, name) in zip("ABC", told.facts["rows"], strict=False):  # the clean hub has no place
            _place(sheet, told, photo, name, letter)
    if told.facts["others"] and now.step.shows in ("alone", "bars"):
        sheet.slip(ALONE, (46.0, 126.0), 34)


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
    sweeps_film.number_studs(sheet, told, photo)
    if whole == DASHES and not now.pose.lift:
        text = said("circle of the nuts", told.studs)
        x, y = max(sweeps_film.ring_on_sheet(photo, name), key=lambda place: place[1])  # none crosses the hub
        sheet.tag(text, (x + 60.0, 1040.0), 34, palette.INK, (x, y), "l")


def _place(sheet: Sheet, told: Telling, photo: Photo, name: str, letter: str) -> None:
    """Outline one place of the dirt on the bare hub face and name it by a letter."""
    corners = sweeps_film.outline_on_sheet(photo, name)
    sheet.draw.polygon(corners, fill=palette.SCALE)
    sheet.line(corners, palette.PAPER, 6)  # told from the dark hub in grey print too
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
