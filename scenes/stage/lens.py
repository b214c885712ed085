"""Round lenses on what is too small to be seen: joint, rim under the stylus, pad gap; one scale, nothing stretched.

Every lens of every film and still shows a micrometre as large, in true proportions, with a hair in it; so specks,
runouts, clearances and limits are seen against each other.
"""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Any

import numpy as np
from PIL import Image, ImageDraw

from scenes import palette
from scenes.geometry import exaggeration
from scenes.stage.lettering import Sheet, font
from scenes.words import words
from scenes.words.corner import HAIR_UM, highest
from sim.arrays import Floats

PX_PER_UM = 0.4
"""Scale of every lens in a picture of 1080 lines: a speck of 100 um is 40 pixels high."""
SIDE = 360
"""Width of a lens in such a picture, with its rim. [pixels]"""
STYLUS_RADIUS_UM = 500.0
"""A small ball point; judgement, 0.5 to 1.5 mm."""
LETTERS_PX = 32.0
GROWN = 3
HATCH_PX = 13.0
LINE_PX = 2.5
"""Outlines lie within the metal, so that a gap is as wide as it is."""


def pixels(height_um: float, unit: float = 1.0) -> float:
    """How large a height is in a lens; ``unit`` is the picture's height over 1080. [pixels]."""
    return PX_PER_UM * unit * height_um


class Lens:
    """A round picture in micrometres: x to the right, y up, zero in its middle."""

    def __init__(self, unit: float = 1.0, side: int = SIDE, middle_um: tuple[float, float] = (0.0, 0.0)) -> None:
        """Empty lens; ``middle_um`` is the place that is in its middle."""
        self.side = round(side * unit)
        self.scale = pixels(1.0, unit) * GROWN
        self.unit = unit
        self.middle_um = middle_um
        wide = self.side * GROWN
        self.image = Image.new("RGB", (wide, wide), palette.PAPER)
        self.half_um = 0.5 * wide / self.scale

    def at(self, points_um: Any) -> list[tuple[float, float]]:
        """Pixels of places, in the image as it is drawn, larger."""
        points = (np.asarray(points_um, dtype=float) - self.middle_um) * self.scale
        half = 0.5 * self.image.width
        return [(half + x, half - y) for x, y in points]

    def metal(self, edge_um: Any, below: bool, colour: str, hatch: int) -> None:
        """Fill all that lies below (or above) an edge, hatched to the right (+1), to the left (-1) or not (0)."""
        edge = np.asarray(edge_um, dtype=float)
        far = self.middle_um[1] + (-2.0 if below else 2.0) * self.half_um
        outline = self.at(np.vstack([edge, [edge[-1, 0], far], [edge[0, 0], far]]))
        stencil = Image.new("L", self.image.size, 0)
        ImageDraw.Draw(stencil).polygon(outline, fill=255)
        fill = _hatched(self.image.width, colour, hatch, self.unit)
        self.image.paste(fill, (0, 0), stencil)
        within = 0.5 * LINE_PX / PX_PER_UM
        self.stroke(edge + [0.0, -within if below else within])

    def stroke(self, points_um: Any, colour: str = palette.INK, width: float = LINE_PX) -> None:
        """Draw a line through places; ``width`` in pixels of the finished picture."""
        ImageDraw.Draw(self.image).line(self.at(points_um), fill=colour, width=round(width * GROWN * self.unit))

    def patch(self, corners_um: Any, colour: str) -> None:
        """Fill a polygon and outline it within itself, so that it stays as high as it is."""
        pixels_at = self.at(corners_um)
        ImageDraw.Draw(self.image).polygon(pixels_at, fill=colour)

    def slip(self, low_um: tuple[float, float], high_um: tuple[float, float]) -> None:
        """Lay a slip of paper between two corners, for what must be read on any ground."""
        (left, bottom), (right, top) = self.at([low_um, high_um])
        pencil, round_px = ImageDraw.Draw(self.image), 8 * GROWN * self.unit
        pencil.rounded_rectangle((left, top, right, bottom), round_px, fill=palette.PAPER)

    def hair_on_slip(self) -> None:
        """Lay a hair on a slip of paper in the lower left, where there is no room for it in what is shown."""
        x, y = self.middle_um[0] - 0.45 * self.half_um, self.middle_um[1] - 0.62 * self.half_um
        more = 22.0
        half = 0.5 * HAIR_UM + more
        self.slip((x - half, y - more), (x + half, y + HAIR_UM + more))
        self.hair((x, y))

    def hair(self, place_um: tuple[float, float]) -> None:
        """Lay a hair, seen from its end; ``place_um`` is where it touches what is under it."""
        radius = 0.5 * HAIR_UM
        x, y = place_um[0], place_um[1] + radius
        for r, colour in ((radius, palette.INK), (radius - 4.0, palette.mix("ink", "paper", 0.45)),
                          (0.3 * radius, palette.mix("ink", "paper", 0.15))):  # fmt: skip
            (left, top), (right, bottom) = self.at([(x - r, y + r), (x + r, y - r)])
            ImageDraw.Draw(self.image).ellipse((left, top, right, bottom), fill=colour)

    def name(self, words_there: str, place_um: tuple[float, float], colour: str = palette.INK) -> None:
        """Write a part's name into it, on a slip where its ground is hatched."""
        letters = font(round(LETTERS_PX * self.unit * GROWN), True)
        pencil, ((x, y),) = ImageDraw.Draw(self.image), self.at([place_um])
        if colour == palette.INK:
            left, top, right, bottom = pencil.textbbox((x, y), words_there, font=letters, anchor="mm")
            pad = 5 * GROWN * self.unit
            box = (left - pad, top - pad, right + pad, bottom + pad)
            pencil.rounded_rectangle(box, pad, fill=palette.PAPER)
        pencil.text((x, y), words_there, fill=colour, font=letters, anchor="mm")

    def bracket(self, x_um: float, low_um: float, high_um: float, colour: str) -> None:
        """Stand a bracket between two heights."""
        arm = 9.0 / PX_PER_UM
        width = 6.0
        self.stroke([(x_um - arm, low_um), (x_um + arm, low_um)], colour, width)
        self.stroke([(x_um - arm, high_um), (x_um + arm, high_um)], colour, width)
        self.stroke([(x_um, low_um), (x_um, high_um)], colour, width)

    def finished(self) -> Image.Image:
        """Round picture in its rim, transparent outside; RGBA."""
        image = self.image.reduce(GROWN).convert("RGBA")
        stencil, rim = _round(self.side, self.unit)
        image.putalpha(stencil)
        image.alpha_composite(rim)
        return image


@lru_cache(maxsize=8)
def _round(side: int, unit: float) -> tuple[Image.Image, Image.Image]:
    """Round stencil of a lens, and its rim."""
    wide = side * GROWN
    stencil, rim = Image.new("L", (wide, wide), 0), Image.new("RGBA", (wide, wide), (0, 0, 0, 0))
    ImageDraw.Draw(stencil).ellipse((0, 0, wide - 1, wide - 1), fill=255)
    ImageDraw.Draw(rim).ellipse((0, 0, wide - 1, wide - 1), outline=palette.INK, width=round(5 * GROWN * unit))
    return stencil.reduce(GROWN), rim.reduce(GROWN)


@lru_cache(maxsize=32)
def _hatched(wide: int, colour: str, hatch: int, unit: float) -> Image.Image:
    """Square of a colour, hatched to the right (+1), to the left (-1) or not (0)."""
    fill = Image.new("RGB", (wide, wide), colour)
    pencil = ImageDraw.Draw(fill)
    for offset in np.arange(-wide, 2 * wide, HATCH_PX * unit * GROWN) if hatch else ():
        ends = [(offset, wide), (offset + wide, 0)] if hatch > 0 else [(offset, 0), (offset + wide, wide)]
        pencil.line(ends, fill=palette.mix(colour, "ink", 0.45), width=max(1, round(1.2 * GROWN * unit)))
    return fill


def joint(run: Any, unit: float = 1.0, at: tuple[float, float] | None = None, speck: float = 1.0, hair: bool = True,
          side: int = SIDE) -> Image.Image:  # fmt: skip
    """Joint of flange and hub face at the inner edge of the highest patch, along the radius; rotor above, hub below.

    Parameters
    ----------
    run : Run
        A computed corner.
    unit : float
        Height of the picture over 1080.
    at : tuple of float, optional
        Hub angle and radius to look at where the corner has no patch. [deg], [mm]
    speck : float
        How much of the patch is uncovered, from its edge on, 0..1.
    hair : bool
        Draw a hair.
    side : int
        Width at 1080 lines. [pixels]

    Returns
    -------
    Image
        RGBA.
    """
    angle, radius, height = _place(run, at)
    lens = Lens(unit, side)
    x = np.linspace(-1.1 * lens.half_um, 1.1 * lens.half_um, 25)
    hub = height_um(run, angle, radius + x * 1e-3, "hub")
    flange = height_um(run, angle, radius + x * 1e-3, "rotor")
    zero = float(np.interp(0.0, x, hub))
    lens.middle_um = (0.0, zero + 40.0)
    lens.metal(np.column_stack([x, np.maximum(flange, hub)]), False, palette.mix("part", "paper", 0.25), 1)
    lens.metal(np.column_stack([x, hub]), True, palette.mix("hub", "paper", 0.25), -1)
    if speck > 0.0 and height > 0.0:
        right = (x >= 0.0) & (x <= speck * x[-1])
        along = np.concatenate([[0.0], x[right]])
        foot = np.interp(along, x, hub)
        top = np.column_stack([along, foot + height])
        lens.patch(np.vstack([np.column_stack([along, foot]), top[::-1]]), palette.SCALE)
    if hair:
        there = -0.5 * lens.half_um
        foot = float(np.interp(there, x, hub))
        if float(np.interp(there, x, flange)) - foot > HAIR_UM:
            lens.hair((there, foot))
        else:
            lens.hair_on_slip()
    lens.name("rotor", (0.1 * lens.half_um, lens.middle_um[1] + 0.55 * lens.half_um))
    lens.name("hub", (0.25 * lens.half_um, lens.middle_um[1] - 0.55 * lens.half_um))
    return lens.finished()


def _place(run: Any, at: tuple[float, float] | None) -> tuple[float, float, float]:
    """Hub angle [deg], radius [mm] and height of dirt [um] that the joint's lens looks at."""
    patch = highest(run.case)
    if patch is not None and at is None:
        height = exaggeration.debris_height_um(run, run.case.debris.index(patch))
        return exaggeration.debris_angle_deg(run, patch), patch.inner_radius_mm, height
    if at is None:
        return exaggeration.high_spot_deg(run), 0.45 * run.case.hub.face_diameter_mm, 0.0
    return at[0], at[1], 0.0


def joint_place(run: Any) -> tuple[float, float]:
    """Hub angle and radius that the joint's lens looks at. [deg], [mm]."""
    return _place(run, None)[:2]


def height_um(run: Any, angle_deg: float, radius_mm: Floats, part: str) -> Floats:
    """Height of the hub face, or of the flange's underside, along a radius. [um]."""
    turned = math.radians(angle_deg)
    points = np.column_stack([radius_mm * math.cos(turned), radius_mm * math.sin(turned), np.zeros(len(radius_mm))])
    move = exaggeration.hub_motion if part == "hub" else exaggeration.rotor_motion
    return 1000.0 * move(run, points)[:, 2]


def rim(
    run: Any, reading_um: float, swept_um: tuple[float, float] | None = None,
    before_um: tuple[float, float] | None = None, unit: float = 1.0, side: int = SIDE,
) -> Image.Image:  # fmt: skip
    """Friction face under the stylus, seen from the edge: rotor below, stylus riding on it.

    Parameters
    ----------
    run : Run
        A computed corner.
    reading_um : float
        Where the face stands now. [um]
    swept_um, before_um : tuple of float, optional
        Lowest and highest so far, and of the corner that it is compared with. [um]
    unit, side
        As in ``joint``.

    Returns
    -------
    Image
        RGBA.
    """
    lens = Lens(unit, side, (0.0, 20.0))
    reach = 1.1 * lens.half_um
    face = np.array([[-reach, reading_um], [reach, reading_um]])
    lens.metal(face, True, palette.mix("part", "paper", 0.25), 1)
    x = np.linspace(-reach, reach, 61)
    ball = reading_um + STYLUS_RADIUS_UM - np.sqrt(np.maximum(STYLUS_RADIUS_UM**2 - x**2, 0.0))
    lens.metal(np.column_stack([x, ball]), False, palette.mix("dial", "ink", 0.35), 0)
    lens.hair_on_slip()
    lens.name("stylus", (0.0, 0.70 * lens.half_um), palette.PAPER)
    lens.name("face", (0.38 * lens.half_um, -0.62 * lens.half_um))
    for span, colour, beside in ((before_um, palette.SCALE, -0.72), (swept_um, palette.DIAL, 0.72)):
        if span is None or span[1] <= span[0]:
            continue
        for height in span:  # the face at its highest and at its lowest
            for left in np.arange(-0.92, 0.92, 0.16):
                lens.stroke([((left + part) * lens.half_um, height) for part in (0.0, 0.1)], colour, 5.0)
        at = beside * lens.half_um
        wide = 0.09 * lens.half_um
        lens.slip((at - wide, span[0] - 12.0), (at + wide, span[1] + 12.0))
        lens.bracket(at, *span, colour)
    return lens.finished()


def pad_gap(run: Any, hub_deg: float, unit: float = 1.0, side: int = SIDE, outboard: bool = True,
            named: bool = False) -> Image.Image:  # fmt: skip
    """Gap between a pad's middle and the friction face under it: rotor below, pad above.

    Parameters
    ----------
    run : Run
        A computed corner.
    hub_deg : float
        Hub angle under the pad's middle. [deg]
    unit, side
        As in ``joint``.
    outboard : bool
        Which pad.
    named : bool
        Write the parts' names into it.
    """
    lens = Lens(unit, side, (0.0, 20.0))
    reach, away = 1.1 * lens.half_um, 1.0 if outboard else -1.0
    face = away * float(exaggeration.reading_um(run, hub_deg, "outboard" if outboard else "inboard"))
    pad = away * exaggeration.pad_shift_um(run, hub_deg, outboard)
    lens.metal([[-reach, face], [reach, face]], True, palette.mix("part", "paper", 0.25), 1)
    lens.metal([[-reach, pad], [reach, pad]], False, palette.PAD, 0)
    lens.hair_on_slip()
    if named:
        lens.name("pad", (0.0, 0.62 * lens.half_um), palette.PAPER)
        lens.name("rotor", (0.36 * lens.half_um, -0.5 * lens.half_um))
    return lens.finished()


def lay(sheet: Sheet, picture: Image.Image, middle: tuple[float, float], place: tuple[float, float],
        share: float = 1.0, unit: float = 1.0, round_by: tuple[float, float] = (0.0, 0.0)) -> None:  # fmt: skip
    """Lay a lens on a sheet with a leader to the place that it looks at; opening, it grows from there.

    Parameters
    ----------
    sheet : Sheet
    picture : Image
        The lens.
    middle, place : tuple of float
        Where it lies when it is open; what it looks at. [pixels]
    share : float
        How far it is open, 0..1.
    unit : float
        Height of the picture over 1080.
    round_by : tuple of float
        Where the leader bends, from its place: round what stands between. [pixels]
    """
    here = (place[0] + share * (middle[0] - place[0]), place[1] + share * (middle[1] - place[1]))
    bend = (place[0] + share * round_by[0], place[1] + share * round_by[1])
    leader = [place, here] if bend == place else [place, bend, here]
    sheet.line(leader, palette.PAPER, round(9 * unit))
    sheet.line(leader, palette.INK, max(2, round(3 * unit)))
    side = max(8, round(share * picture.width))
    if side != picture.width:
        picture = picture.resize((side, side), Image.Resampling.LANCZOS)
    sheet.paste(picture, (round(here[0] - side / 2), round(here[1] - side / 2)))


def said(run: Any, name: str, swept_um: tuple[float, float] | None = None) -> str:
    """Say what a lens shows, ``joint`` or ``rim``, with its figure: never more than the dial has swept."""
    patch = highest(run.case)
    if name == "rim":
        low, high = swept_um or (0.0, 0.0)
        return f"face: TIR {words.micrometres(high - low)}"
    if patch is None:
        return "metal on metal"
    return f"joint: {words.micrometres(exaggeration.debris_height_um(run, run.case.debris.index(patch)))}"


def hair_said() -> tuple[str, str]:
    """Say what all lenses share, in two short lines."""
    return "lenses: one scale", f"grey: a hair, {words.micrometres(HAIR_UM)}"
