"""The face of a workshop dial: 0.01 mm a division, numerals, the needle, the wedge that it swept. Drawn flat."""

from __future__ import annotations

import math
from functools import lru_cache

from PIL import Image, ImageDraw

from scenes import palette
from scenes.stage.lettering import font
from scenes.words import words

DIVISIONS = 100
DIVISION_UM = 10.0
"""0.01 mm a division, a hundred of them a turn, whatever it reads."""
FULL_TURN_UM = DIVISIONS * DIVISION_UM
GROWN, DRAWN = 3, 2
"""What is printed once, and what moves, are drawn so much larger, then shrunk."""
LARGE_PX = 400
"""A smaller dial says no millimetres: they could not be read."""
DIVISION_SAID = ("1 division", "0.01 mm")
"""Written beside a dial, where it can be read, and not into it."""


def needle_deg(reading_um: float) -> float:
    """Angle of the needle from zero, clockwise, in degrees.

    Examples
    --------
    >>> needle_deg(100.0)
    36.0
    """
    return 360.0 * reading_um / FULL_TURN_UM


@lru_cache(maxsize=4)
def face(side: int) -> Image.Image:
    """Printed face without needle; transparent outside of its circle. ``side`` in pixels."""
    wide = side * GROWN
    image = Image.new("RGBA", (wide, wide), (0, 0, 0, 0))
    pencil = ImageDraw.Draw(image)
    middle, outer = wide / 2.0, 0.495 * wide
    pencil.ellipse((middle - outer, middle - outer, middle + outer, middle + outer), fill="#FBFAF6")
    for index in range(DIVISIONS):
        long, half = index % 10 == 0, index % 5 == 0
        inner = outer * (0.845 if long else 0.89 if half else 0.915)
        ends = [_at(middle, radius, 360.0 * index / DIVISIONS) for radius in (inner, 0.975 * outer)]
        pencil.line(ends, fill=palette.INK, width=max(1, round(wide * (0.009 if long else 0.004))))
        if long:
            pencil.text(_at(middle, 0.73 * outer, 3.6 * index), str(index), fill=palette.INK,
                        font=font(round(0.068 * wide), True), anchor="mm")  # fmt: skip
    return image.resize((side, side), Image.Resampling.LANCZOS)


def dial(
    side: int, reading_um: float | None, swept_um: tuple[float, float] | None = None,
    outline_um: tuple[float, float] | None = None, tir: bool = True,
) -> Image.Image:  # fmt: skip
    """Whole dial as seen from the front, in its bezel.

    Parameters
    ----------
    side : int
        Width and height. [pixels]
    reading_um : float or None
        Where the needle stands; None leaves it out. [um]
    swept_um : tuple of float, optional
        Lowest and highest reading so far: a filled wedge with the TIR under it. [um]
    outline_um : tuple of float, optional
        A wedge swept before, drawn as an outline. [um]
    tir : bool
        Write the TIR of the swept wedge into the dial.

    Returns
    -------
    Image
        RGBA, transparent round the bezel.
    """
    wide, middle = side * DRAWN, 0.5 * side * DRAWN
    image = Image.new("RGBA", (wide, wide), (0, 0, 0, 0))
    reach = 0.40 * wide
    for span, filled in ((outline_um, False), (swept_um, True)):
        if span is not None and span[1] > span[0]:
            _wedge(image, middle, reach if filled else 1.05 * reach, span, filled)
    pencil = ImageDraw.Draw(image)
    lines: list[tuple[str, float, float, str]] = []
    if swept_um is not None and tir:
        swept = swept_um[1] - swept_um[0]
        lines += [
            (words.micrometres(swept), 0.195, 0.1, palette.DIAL),
            *([(words.hundredths(swept), 0.264, 0.051, palette.DIAL)] if side >= LARGE_PX else []),
        ]
    if outline_um is not None:
        lines.append((f"was {words.micrometres(outline_um[1] - outline_um[0])}", 0.124, 0.06, palette.SCALE))
    elif lines:
        lines.append(("TIR", 0.124, 0.06, palette.DIAL))
    if reading_um is None:
        lines.append(("no reading", 0.19, 0.06, palette.INK))
    for text, below, letters, colour in lines:
        there = (middle, middle + below * wide)
        pencil.text(there, text, fill=colour, font=font(round(letters * wide), True), anchor="mm")
    if reading_um is not None:
        angle = needle_deg(reading_um)
        tip, tail = _at(middle, reach, angle), _at(middle, -0.09 * wide, angle)
        side_way = (0.012 * wide * math.cos(math.radians(angle)), 0.012 * wide * math.sin(math.radians(angle)))
        pencil.polygon([tip, (tail[0] + side_way[0], tail[1] + side_way[1]),
                        (tail[0] - side_way[0], tail[1] - side_way[1])], fill=palette.INK)  # fmt: skip
        boss = 0.032 * wide
        pencil.ellipse((middle - boss, middle - boss, middle + boss, middle + boss), fill=palette.INK)
    whole = _empty(side).copy()
    whole.alpha_composite(image.reduce(DRAWN))
    return whole


@lru_cache(maxsize=4)
def _empty(side: int) -> Image.Image:
    """Dial that reads nothing: face and bezel. ``side`` in pixels."""
    wide = side * GROWN
    image = Image.new("RGBA", (wide, wide), (0, 0, 0, 0))
    middle, outer, inside = wide / 2.0, 0.495 * wide, round(0.915 * wide)
    ImageDraw.Draw(image).ellipse((middle - outer, middle - outer, middle + outer, middle + outer),
                                  fill=palette.mix("dial", "ink", 0.35))  # fmt: skip
    image.alpha_composite(face(inside), (round(middle - inside / 2), round(middle - inside / 2)))
    return image.resize((side, side), Image.Resampling.LANCZOS)


def _at(middle: float, radius: float, angle_deg: float) -> tuple[float, float]:
    """Pixel at an angle from zero (upward), clockwise."""
    angle = math.radians(angle_deg)
    return middle + radius * math.sin(angle), middle - radius * math.cos(angle)


def _wedge(image: Image.Image, middle: float, reach: float, span_um: tuple[float, float], filled: bool) -> None:
    box = (middle - reach, middle - reach, middle + reach, middle + reach)
    first, last = (needle_deg(value) - 90.0 for value in span_um)
    layer = Image.new("RGBA", image.size, (0, 0, 0, 0))
    pencil = ImageDraw.Draw(layer)
    if filled:
        red, green, blue = (round(255 * part) for part in palette.rgb(palette.DIAL))
        pencil.pieslice(box, first, last, fill=(red, green, blue, 150))
    else:
        pencil.pieslice(box, first, last, outline=palette.SCALE, width=round(0.012 * image.width))
    image.alpha_composite(layer)
