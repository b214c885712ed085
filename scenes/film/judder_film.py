"""The film "from tap to judder": pad gaps in two lenses, marks and thickness on the rotor, curves of road and speed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Any

import numpy as np
from PIL import Image

from scenes import palette
from scenes.film import fault_film, judder_story, sweeps_film
from scenes.film.fault_film import LETTERS, VIEW, VIEW_AT
from scenes.film.film import Reel
from scenes.film.frames import SIZE
from scenes.film.judder_story import CALIPER_DEG, TOP_KM_H, TOUCH_UM, Road
from scenes.film.photos import Photo
from scenes.film.sweeps import Moment, Pose, Telling
from scenes.film.sweeps_film import ring_on_sheet
from scenes.geometry import exaggeration, shapes
from scenes.stage import lens, stage
from scenes.stage.lettering import Image8, Sheet
from scenes.words import words
from sim.arrays import Floats
from sim.units import shortest_deg

RINGS = ("inner edge", "outer edge", "label")
Name = tuple[str, tuple[float, float], str, tuple[float, float] | None]
"""A name on a slip: words, place, colour, and what it names where that is not under it."""
LENS_SIDE = 400
LENS_AT = {True: (1470.0, 340.0), False: (1470.0, 800.0)}
"""Middle of the lens on the outboard pad, and on the inboard one. [pixels]"""
ROAD_BOX, TURN_BOX = (1330.0, 150.0, 1850.0, 470.0), (1330.0, 640.0, 1850.0, 900.0)
"""Left, top, right and bottom of the curve over the road, or the speed, and of the turn unrolled. [pixels]"""
MARK_DEG = 14.0
SIGN_AT, BRAKED = (1085.0, 930.0), ("felt", "speed", "why")
"""Middle of the sign that tells whether the brake is on [pixels], and what is shown while it is."""
TALL = 0.76
"""Height of the greatest shaking, as a share of its plot."""
PAD_STANDS_OUT_DEG = 14.0
"""A pad, seen from the side, covers so much more of the face than it lies on."""
BARE_FROM, BARE_OVER = 62.0, 16.0
"""Brightness above which a pixel of the photograph is taken for the rotor's face and not for a pad, 0..255."""
DEEPEST_UM, DARKEST = 20.0, 0.75
"""Thickness variation at which the colour of the ring is at its light end; where it begins, as a share of the ramp."""


@dataclass(frozen=True, eq=False)
class Shoot(sweeps_film.Shoot):
    """The corner as driven between its pads, to be photographed."""

    def build(self, pose: Pose, finer: float) -> stage.Stage:
        """Its stage: pads, no dial."""
        setting = stage.Setting(view="story", window=False, mark=False, gauge=False, pads=True, caliper_deg=CALIPER_DEG)
        return stage.build(self.told.runs[pose.corner], setting, VIEW, finer)


def compose(told: Telling, now: Moment, photo: Photo) -> Image8:
    """Put a frame together, shape (1080, 1920, 3)."""
    known: Road = told.facts["road"]
    sheet = Sheet.blank(SIZE)
    sheet.image.paste(Image.fromarray(photo.picture), VIEW_AT, fault_film.feathered())
    names: list[Name] = []
    shows, km = now.step.shows, judder_story.kilometres(known, now.step.shows, now.grown)
    if km > 0.0:
        _ring(sheet, told, now, photo, known.at(km))
    elif shows.startswith("gaps"):
        names = _marks(sheet, told, now, photo)
    _brake(sheet, shows in BRAKED)
    if shows.startswith("gaps"):
        _gaps(sheet, told, now, photo)
    sweeps_film.number_studs(sheet, told, photo)
    if shows.startswith("gaps"):
        for text, place, colour, target in names:  # over the leaders of the lenses
            sheet.tag(text, place, 32, colour, target)
    elif shows in ("speed", "why"):
        _speed(sheet, known, now.grown, shows == "why")
        if shows == "why":
            _in_step(sheet, known, now.pose.turn_deg - told.start_deg)
        else:
            _turn(sheet, told, km)
    elif shows:
        _road(sheet, known, km)
        _turn(sheet, told, km)
    sweeps_film.caption(sheet, now.step.caption)
    return sheet.array()


def _gaps(sheet: Sheet, told: Telling, now: Moment, photo: Photo) -> None:
    """Both pad gaps in lenses of one scale; one whose pad is touched flashes."""
    run, hub_deg = told.runs["road"], CALIPER_DEG - now.pose.turn_deg
    for outboard, name in ((True, "outer pad"), (False, "inner pad")):
        x, y = LENS_AT[outboard]
        edge = np.array(ring_on_sheet(photo, RINGS[1], hub_deg, hub_deg + 1.0)[0])
        place = (float(edge[0]) + (0.0 if outboard else -24.0), float(edge[1]) + (0.0 if outboard else 14.0))
        gap = judder_story.gap_um(run, hub_deg, outboard)
        picture = lens.pad_gap(run, hub_deg, side=LENS_SIDE, outboard=outboard, named=True)
        lens.lay(sheet, picture, LENS_AT[outboard], place, now.lenses)
        if now.lenses < 1.0:
            continue
        touched = gap < TOUCH_UM
        if touched:
            r = 0.5 * LENS_SIDE + 12.0
            sheet.draw.ellipse((x - r, y - r, x + r, y + r), outline=palette.SCALE, width=16)
        sheet.text(name, (x + 218.0, y - 12.0), LETTERS, bold=True)
        said = "tap!" if touched else f"gap {words.micrometres(gap)}"
        sheet.text(said, (x + 218.0, y + 44.0), 46 if touched else LETTERS, palette.SCALE if touched else palette.INK,
                   bold=True)  # fmt: skip
    if now.lenses >= 1.0:
        for row, text in enumerate(lens.hair_said()):
            sheet.text(text, (1890.0, 1014.0 + 42.0 * row), 30, anchor="rs")


def tapped_deg(run: Any, outboard: bool) -> float:
    """Hub angle at which a face is tapped: where it stands out most. [deg]."""
    return exaggeration.high_spot_deg(run) if outboard else exaggeration.low_spot_deg(run, "inboard")


def _brake(sheet: Sheet, on: bool) -> None:
    """Sign of the rotor on edge between its pads: off it, or pressed on."""
    x, y = SIGN_AT
    sheet.draw.rectangle((x - 15, y - 85, x + 15, y + 85), fill=palette.PART, outline=palette.INK, width=3)
    for side in (-1.0, 1.0):
        near = x + side * (15.0 if on else 29.0)
        far = near + side * 34.0
        box = (min(near, far), y - 85, max(near, far), y - 5)
        sheet.draw.rectangle(box, fill=palette.PAD, outline=palette.INK, width=3)
        if on:
            tip, tail, level = far + side * 4.0, far + side * 66.0, y - 45
            sheet.line([(tail, level), (tip + side * 22.0, level)], palette.SCALE, 14)
            wings = [(tip, level), (tip + side * 26.0, level - 20), (tip + side * 26.0, level + 20)]
            sheet.draw.polygon(wings, fill=palette.SCALE)
    sheet.text("brake on" if on else "brake released", (x, y + 128.0), LETTERS, bold=True, anchor="ms")


def passed(told: Telling, now: Moment, outboard: bool) -> bool:
    """Whether a face has been tapped yet: in the first half turn the outboard one, in the second the other."""
    if now.step.shows == "gaps worn":
        return True
    if now.step.turn[1] <= 0.0:
        return False
    run = told.runs["road"]
    spot = tapped_deg(run, outboard)
    come = (now.pose.turn_deg - told.start_deg) % 360.0
    if now.step.turn[0] > 0.0 and come < 180.0:
        come += 360.0
    reached = (CALIPER_DEG - told.start_deg - spot) % 360.0
    return come >= reached


def _marks(sheet: Sheet, told: Telling, now: Moment, photo: Photo) -> list[Name]:
    """Mark on the face that was tapped; that of the inboard face, hidden behind, as an outline. Returns their names.

    Both pass behind the pad: it is the rotor that is rubbed.
    """
    run = told.runs["road"]
    names: list[Name] = []
    at = exaggeration.high_spot_deg(run)
    if not passed(told, now, True):
        spot = ring_on_sheet(photo, RINGS[1], at, at + 1.0)[0]
        x, y = ring_on_sheet(photo, RINGS[2], at, at + 1.0)[0]
        there = (float(np.clip(x, 150.0, 1040.0)), float(np.clip(y, 150.0, 1040.0)))
        names.append(("high spot", there, palette.HIGH, spot))
    layer = Sheet(sheet.image.copy())
    for outboard, face in ((True, "outer face"), (False, "inner face")):
        if not passed(told, now, outboard):
            continue
        at = tapped_deg(run, outboard)
        inner = ring_on_sheet(photo, RINGS[0], at - MARK_DEG, at + MARK_DEG)
        outer = ring_on_sheet(photo, RINGS[1], at - MARK_DEG, at + MARK_DEG)
        corners = [*inner, *outer[::-1], inner[0]]
        if outboard:
            layer.draw.polygon(corners, fill=palette.LOW)
            for first, last in zip(inner[2:-1:3], outer[2:-1:3], strict=True):  # a pattern for grey print
                layer.line([first, last], palette.INK, 3)
            layer.line(corners, palette.INK, 5)
        else:
            for part in range(0, len(corners) - 2, 4):
                layer.line(corners[part : part + 3], palette.PAPER, 14)
                layer.line(corners[part : part + 3], palette.HIGH, 8)
        middle = ring_on_sheet(photo, RINGS[2], at, at + 1.0)[0]
        where = (float(np.clip(middle[0], 254.0, 1010.0)), float(np.clip(middle[1], 150.0, 1040.0)))
        said = "tapped here" if _under_pad(told, now, at) else "rubbed thin"
        names.append((f"{face}: {said}", where, palette.INK, None))
    if layer.image != sheet.image:
        sheet.image.paste(layer.image, (0, 0), _before_the_pad(sheet, told, now, photo))
    return names


def _under_pad(told: Telling, now: Moment, hub_deg: float) -> bool:
    """Whether a mark on the rotor is hidden by the pad but for its edges."""
    away = shortest_deg(hub_deg + now.pose.turn_deg - CALIPER_DEG)
    return abs(away) < 0.5 * told.runs["road"].case.pads.arc_deg


def _before_the_pad(sheet: Sheet, told: Telling, now: Moment, photo: Photo) -> Image.Image:
    """Stencil of all but the pad: what is dark elsewhere is the rotor's own shadow, and holds its marks."""
    middle = CALIPER_DEG - now.pose.turn_deg
    half = 0.5 * told.runs["road"].case.pads.arc_deg + PAD_STANDS_OUT_DEG
    inner, outer = (ring_on_sheet(photo, ring, middle - half, middle + half) for ring in (RINGS[0], RINGS[2]))
    stencil = Image.new("L", sheet.image.size, 255)
    there = Image.new("L", sheet.image.size, 0)
    Sheet(there).draw.polygon([*inner, *outer[::-1]], fill=255)
    stencil.paste(_bare(sheet, photo, 1.0), (0, 0), there)
    return stencil


def _bare(sheet: Sheet, photo: Photo, share: float) -> Image.Image:
    """Stencil of what the pad, which stands before the face, leaves open; ``share`` is how much it lets through."""
    bare = np.clip((photo.picture.max(axis=2).astype(float) - BARE_FROM) / BARE_OVER, 0.0, 1.0)
    stencil = Image.new("L", sheet.image.size, 0)
    stencil.paste(Image.fromarray((share * 255.0 * bare).astype(np.uint8)), VIEW_AT)
    return stencil


def shades(thick_um: Floats) -> list[tuple[int, int, int]]:
    """Colours of thicknesses: light where it is thin, dark where thick."""
    share = DARKEST * (1.0 - (thick_um.max() - thick_um) / DEEPEST_UM)
    return [(round(255 * float(r)), round(255 * float(g)), round(255 * float(b))) for r, g, b in palette.ramp(share)]


def _ring(sheet: Sheet, told: Telling, now: Moment, photo: Photo, thick_um: Floats) -> None:
    """Lay the thickness on the friction face, where the pad does not cover it."""
    angles, half_pad = told.facts["road"].angle_deg, 0.5 * told.runs["road"].case.pads.arc_deg
    half = 180.0 / len(angles)
    layer = sheet.image.copy()
    pencil = Sheet(layer).draw
    for at, shade in zip(angles, shades(thick_um), strict=True):
        if abs(shortest_deg(at - CALIPER_DEG + now.pose.turn_deg)) < half_pad + 0.5 * half:
            continue
        inner = ring_on_sheet(photo, RINGS[0], at - half, at + half)
        outer = ring_on_sheet(photo, RINGS[1], at - half, at + half)
        pencil.polygon([inner[0], inner[-1], outer[-1], outer[0]], fill=shade)
    sheet.image.paste(layer, (0, 0), _bare(sheet, photo, 0.85))


def _plot(sheet: Sheet, box: tuple[float, float, float, float], title: str) -> None:
    left, top, right, bottom = box
    sheet.text(title, (left - 40.0, top - 22.0), 32, bold=True)
    sheet.line([(left, top), (left, bottom), (right, bottom)], palette.INK, 4)


def _curve(
    sheet: Sheet, box: tuple[float, float, float, float], x: Sequence[float] | Floats, y: Sequence[float] | Floats,
    colour: str, width: int = 8,
) -> None:  # fmt: skip
    """Curve in shares of a box, 0..1 to the right and upward."""
    left, top, right, bottom = box
    points = [(left + float(a) * (right - left), bottom - float(b) * (bottom - top)) for a, b in zip(x, y, strict=True)]
    if len(points) > 1:
        sheet.line(points, colour, width)


def _road(sheet: Sheet, known: Road, km: float) -> None:
    """Thickness variation over the road so far, with the limit across."""
    left, top, right, bottom = ROAD_BOX
    far, most = 1.12 * known.limit_km, 1.35 * known.limit_um
    _plot(sheet, ROAD_BOX, "thickness varies by")
    level = bottom - known.limit_um / most * (bottom - top)
    for x in np.arange(left, right - 8.0, 26.0):
        sheet.line([(x, level), (x + 16, level)], palette.INK, 7)
    sheet.text(f"felt: {words.micrometres(known.limit_um)}", (left + 16, level - 14), 32, bold=True)
    x = np.linspace(0.0, km, 60)
    y = np.interp(x, known.distance_km, known.dtv_um)
    _curve(sheet, ROAD_BOX, x / far, y / most, palette.SCALE)
    tip = (left + km / far * (right - left), bottom - float(y[-1]) / most * (bottom - top))
    sheet.draw.ellipse((tip[0] - 12, tip[1] - 12, tip[0] + 12, tip[1] + 12), fill=palette.SCALE)
    sheet.text("0 km", (left, bottom + 42), 28, anchor="ms")
    said = f"{words.micrometres(float(y[-1]))} at {words.kilometres(round(km, -2))}" if km >= 100.0 else "new"
    sheet.text(said, (right, bottom + 88), 46, bold=True, anchor="rs")


def _turn(sheet: Sheet, told: Telling, km: float) -> None:
    """One turn unrolled: the rotor's thickness above its thinnest place; below it, where its faces are tapped."""
    known: Road = told.facts["road"]
    left, top, right, bottom = TURN_BOX
    _plot(sheet, TURN_BOX, "rotor unrolled, one turn")
    order = np.argsort(known.angle_deg)
    most = 1.35 * known.limit_um
    thick = known.at(km)[order]
    x, y = known.angle_deg[order] / 360.0, thick / most
    x, y = np.concatenate([[0.0], x, [1.0]]), np.concatenate([[y[0]], y, [y[-1]]])
    points = [(left + float(a) * (right - left), bottom - float(b) * (bottom - top)) for a, b in zip(x, y, strict=True)]
    for (x0, y0), (x1, y1), shade in zip(
        points[:-1], points[1:], shades(np.concatenate([thick[:1], thick])), strict=True
    ):
        sheet.draw.polygon([(x0, bottom), (x0, y0), (x1, y1), (x1, bottom)], fill=shade)
    sheet.line([(left, bottom), (right, bottom)], palette.INK, 4)
    _curve(sheet, TURN_BOX, x, y, palette.INK, 5)
    wave = _first(known.angle_deg[order], thick / most, known.order)
    for part in range(0, len(wave) - 2, 6):
        ends = [(left + a * (right - left), bottom - b * (bottom - top)) for a, b in wave[part : part + 4]]
        sheet.line(ends, palette.PAPER, 13)
        sheet.line(ends, palette.SCALE, 7)
    sheet.text(f"dashed: {TIMES_A_TURN[known.order]}", (right + 50, bottom + 146), 32, palette.SCALE, True, "rs")
    crown = (left + float(x[int(np.argmax(y))]) * (right - left), bottom - float(y.max()) * (bottom - top) - 14)
    sheet.text("thick", crown, 32, palette.HIGH, bold=True, anchor="ms")
    thin = left + float(np.clip(x[int(np.argmin(y))], 0.1, 0.9)) * (right - left)
    sheet.slip("thin", (thin, bottom - 70), 32, "m")
    for outboard, name in ((True, "outer tap"), (False, "inner tap")):
        _tapped(sheet, tapped_deg(told.runs["road"], outboard), outboard, name)
    sheet.text(f"up and down: {words.micrometres(float(thick.max()))}", (left - 40, bottom + 106), 32)
    sheet.text(f"a hair: {words.micrometres(lens.HAIR_UM)}", (left - 40, bottom + 146), 32)


def _tapped(sheet: Sheet, at_deg: float, outboard: bool, name: str) -> None:
    """Mark under the unrolled turn where a face is tapped, as its mark on the rotor looks: filled, or an outline."""
    left, _, right, bottom = TURN_BOX
    half, fill = MARK_DEG / 360.0 * (right - left), palette.LOW if outboard else palette.PAPER
    colour = palette.INK if outboard else palette.HIGH
    middle = left + (at_deg % 360.0) / 360.0 * (right - left)
    for shift in (-1.0, 0.0, 1.0):  # a mark at the end of the turn goes on at its beginning
        ends = [float(np.clip(middle + shift * (right - left) + side * half, left, right)) for side in (-1.0, 1.0)]
        if ends[1] > ends[0]:
            sheet.draw.rectangle((ends[0], bottom + 6, ends[1], bottom + 24), fill=fill, outline=colour, width=4)
    sheet.text(name, (float(np.clip(middle, left + 80, right - 60)), bottom + 60), 32, bold=True, anchor="ms")


TIMES_A_TURN = {1: "once a turn", 2: "twice a turn"} | {order: f"{order} times a turn" for order in range(3, 13)}


def _first(angle_deg: Floats, share: Floats, order: int) -> list[tuple[float, float]]:
    """Wave of one order in what goes round with the rotor, about its mean: shares of the turn, heights as given."""
    at = np.deg2rad(angle_deg)
    wave = 2.0 * np.mean(share * np.exp(-1j * order * at))
    turn = np.linspace(0.0, 1.0, 91)
    height = share.mean() + np.real(wave * np.exp(2j * np.pi * order * turn))
    return [(float(a), float(b)) for a, b in zip(turn, height, strict=True)]


def _peaks(sheet: Sheet, known: Road, till: float) -> None:
    """Name the peaks that have been driven through by how often a turn the brake pushes there."""
    left, top, right, bottom = ROAD_BOX
    base = known.felt_km_h * known.order
    for order in range(1, 7):
        at = base / order
        if not known.speed_km_h[0] < at <= till:
            continue
        near = np.abs(known.speed_km_h - at) < 0.06 * at
        level = float(known.shaken[near].max())
        if level < 1.1 * float(known.shaken[np.abs(known.speed_km_h - 1.25 * at).argmin()]):
            continue
        place = (left + at / TOP_KM_H * (right - left), bottom - TALL * level * (bottom - top) - 14)
        sheet.slip(TIMES_A_TURN[order], (place[0], place[1] - 12), 28, "m")


def _speed(sheet: Sheet, known: Road, grown: float, why: bool) -> None:
    """How strongly it shakes at each speed, up to the speed driven."""
    left, top, right, bottom = ROAD_BOX
    _plot(sheet, ROAD_BOX, "how strongly it shakes")
    speed = known.speed_km_h
    till = speed[0] + grown * (TOP_KM_H - speed[0])
    seen = speed <= till + 1e-9
    _curve(sheet, ROAD_BOX, speed[seen] / TOP_KM_H, TALL * known.shaken[seen], palette.SCALE)
    if not why:
        _peaks(sheet, known, till)
        for mark in (50.0, 100.0, 150.0):
            sheet.text(f"{mark:.0f}", (left + mark / TOP_KM_H * (right - left), bottom + 36), 28, anchor="ms")
        sheet.text("speed when braked, km/h", (right, bottom + 82), 32, anchor="rs")
        return
    x = left + known.felt_km_h / TOP_KM_H * (right - left)
    for y in np.arange(top, bottom - 8.0, 26.0):
        sheet.line([(x, y), (x, y + 16)], palette.INK, 7)
    _peaks(sheet, known, till)  # their slips over the mark
    sheet.text(f"{known.felt_km_h:.0f}{words.GAP}km/h", (x, bottom + 50), 44, bold=True, anchor="ms")


def _in_step(sheet: Sheet, known: Road, turned_deg: float) -> None:
    """Pushes of the brake and the suspension's own beat."""
    left, top, right, bottom = TURN_BOX
    sheet.text("in step: a push at every beat", (left - 40.0, top - 22.0), 32, bold=True)
    x = np.linspace(0.0, 1.0, 181)
    beat = x * 3.0 - (turned_deg % 360.0) / 360.0
    _curve(sheet, TURN_BOX, x, 0.30 + 0.26 * np.cos(2.0 * np.pi * beat), palette.HUB, 9)
    for crest in range(-1, 4):
        at = (crest + (turned_deg % 360.0) / 360.0) / 3.0
        if 0.0 <= at <= 1.0:
            tip = left + at * (right - left)
            sheet.line([(tip, top + 10.0), (tip, top + 78.0)], palette.SCALE, 14)
            sheet.draw.polygon([(tip - 20, top + 74), (tip + 20, top + 74), (tip, top + 106)], fill=palette.SCALE)
    for row, (text, colour) in enumerate((
        (f"{known.hz:.0f} pushes a second, {TIMES_A_TURN[known.order]}", palette.SCALE),
        (f"{known.hz:.0f} beats a second: suspension", palette.HUB),
    )):  # fmt: skip
        y = bottom + 60.0 + 48.0 * row
        sheet.draw.rectangle((left - 70, y - 26, left - 38, y), fill=colour, outline=palette.INK, width=2)
        sheet.text(text, (left - 26, y), 32, bold=True)


def reel(told: Telling, draft: bool = False) -> Reel[Moment]:
    """Story with what draws it."""
    run = told.runs["road"]
    band, face = shapes.pad_band(run.case), sweeps_film.face_height_mm(run)
    radii = (
        band[0],
        min(band[1], 0.5 * run.case.rotor.outer_diameter_mm - 1.5),
        0.5 * run.case.rotor.outer_diameter_mm + 20,
    )
    rings = tuple((name, radius, face) for name, radius in zip(RINGS, radii, strict=True))
    shoot = Shoot(replace(told, steps=(), facts={}), rings)
    made = sweeps_film.photographed(told, shoot, partial(compose, told), draft)
    return replace(made, board=judder_story.board_seconds(told))
