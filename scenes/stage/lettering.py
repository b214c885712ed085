"""Words over pictures: large letters, labels with leaders, numbered studs, drawn on an image after it was rendered."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path

import matplotlib as mpl
import numpy as np
from numpy.typing import NDArray
from PIL import Image, ImageDraw, ImageFont

from scenes import palette

Image8 = NDArray[np.uint8]
Place = tuple[float, float]
LARGE_PATCH_PX = 60_000


@lru_cache(maxsize=64)
def font(size: int, bold: bool = False) -> ImageFont.FreeTypeFont:
    """Typeface that comes with matplotlib, so that pictures look alike on every machine."""
    name = "DejaVuSans-Bold.ttf" if bold else "DejaVuSans.ttf"
    return ImageFont.truetype(str(Path(mpl.get_data_path()) / "fonts" / "ttf" / name), size)


@dataclass(eq=False)
class Sheet:
    """A sheet of paper with pictures and lettering on it. Pixels, x right, y down."""

    image: Image.Image

    @classmethod
    def blank(cls, size: tuple[int, int]) -> Sheet:
        """Empty sheet of the paper colour."""
        return cls(Image.new("RGB", size, palette.PAPER))

    @property
    def draw(self) -> ImageDraw.ImageDraw:
        """Pencil of this sheet."""
        return ImageDraw.Draw(self.image)

    def array(self) -> Image8:
        """Pixels, shape (height, width, 3)."""
        return np.asarray(self.image)

    def paste(self, picture: Image8 | Image.Image, place: tuple[int, int]) -> None:
        """Lay a picture on the sheet; one with transparency lets the sheet shine through."""
        layer = picture if isinstance(picture, Image.Image) else Image.fromarray(picture)
        self.image.paste(layer, place, layer if layer.mode == "RGBA" else None)

    def text(
        self, words: str, place: Place, size: int, colour: str = palette.INK, bold: bool = False, anchor: str = "ls"
    ) -> float:
        """Write one line; returns its width. ``anchor`` as in Pillow: l m r, then a m s."""
        self.draw.text(place, words, fill=colour, font=font(size, bold), anchor=anchor)
        return float(font(size, bold).getlength(words))

    def paragraph(
        self, words: str, place: Place, size: int, width: float, colour: str = palette.INK, bold: bool = False
    ) -> float:
        """Write lines broken to a width, first base line at ``place``; returns the next free base line."""
        x, y = place
        for row in wrapped(words, size, width, bold):
            self.text(row, (x, y), size, colour, bold)
            y += 1.28 * size
        return y

    def fade(self, share: float) -> None:
        """Blend everything drawn so far toward the paper."""
        self.image = Image.blend(self.image, Image.new("RGB", self.image.size, palette.PAPER), share)

    def tag(
        self,
        words: str,
        place: Place,
        size: int,
        colour: str = palette.INK,
        target: Place | None = None,
        side: str = "m",
    ) -> None:
        """Write a label on a slip of paper, with a leader to what it names; ``side`` l, m or r is Pillow's anchor."""
        if target is not None:
            self.line([place, target], colour, max(2, size // 14))
            r = max(3, size // 9)
            self.draw.ellipse((target[0] - r, target[1] - r, target[0] + r, target[1] + r), fill=colour)
        box = self.draw.textbbox(place, words, font=font(size, True), anchor=f"{side}m")
        pad = size * 0.30
        self.draw.rounded_rectangle(
            (box[0] - pad, box[1] - pad, box[2] + pad, box[3] + pad), radius=size * 0.25, fill=palette.PAPER,
            outline=colour, width=max(2, size // 16),
        )  # fmt: skip
        self.draw.text(place, words, fill=colour, font=font(size, True), anchor=f"{side}m")

    def slip(self, words: str, place: Place, size: int, side: str = "l") -> None:
        """Write a bold line on a slip of paper, so that it can be read over a picture."""
        box = self.draw.textbbox(place, words, font=font(size, True), anchor=f"{side}m")
        self.draw.rounded_rectangle((box[0] - 10, box[1] - 8, box[2] + 10, box[3] + 8), 8, fill=palette.PAPER)
        self.draw.text(place, words, fill=palette.INK, font=font(size, True), anchor=f"{side}m")

    def line(self, points: list[Place], colour: str, width: int) -> None:
        """Draw a line, smoothed by drawing its patch of the sheet larger: four times, a large patch twice."""
        flat = np.array(points, dtype=float)
        low = np.floor(flat.min(axis=0)).astype(int) - width - 1
        high = np.ceil(flat.max(axis=0)).astype(int) + width + 2
        size = (int(high[0] - low[0]), int(high[1] - low[1]))
        grown = 4 if size[0] * size[1] < LARGE_PATCH_PX else 2
        stencil = Image.new("L", (size[0] * grown, size[1] * grown), 0)
        ends = [tuple((point - low) * grown) for point in flat]
        ImageDraw.Draw(stencil).line(ends, fill=255, width=width * grown, joint="curve")
        stencil = stencil.reduce(grown)
        self.image.paste(Image.new("RGB", size, colour), (int(low[0]), int(low[1])), stencil)

    def stud_numbers(
        self,
        pixels: NDArray[np.float64],
        radius: float,
        corner: tuple[int, int] = (0, 0),
        area: tuple[int, int] | None = None,
    ) -> None:
        """Number the studs; stud 1 is marked by an inked disc, the others by outlined ones.

        ``pixels`` are counted from ``corner``; those whose badge does not lie within ``area`` are left out.
        """
        wide, high = area or self.image.size
        for index, (x_in, y_in) in enumerate(pixels):
            if not (radius < x_in < wide - radius and radius < y_in < high - radius):
                continue
            x, y = x_in + corner[0], y_in + corner[1]
            badge = _badge(str(index + 1), round(radius), index == 0)
            self.image.paste(badge, (round(x - badge.width / 2), round(y - badge.height / 2)), badge)


@lru_cache(maxsize=64)
def _badge(text: str, radius: int, inked: bool) -> Image.Image:
    grow = 4
    side = 2 * radius + 4
    badge = Image.new("RGBA", (side * grow, side * grow), (0, 0, 0, 0))
    pencil = ImageDraw.Draw(badge)
    fill, letter = (palette.INK, palette.PAPER) if inked else (palette.PAPER, palette.INK)
    pencil.ellipse((grow, grow, side * grow - grow, side * grow - grow), fill=fill, outline=palette.INK, width=2 * grow)
    middle = side * grow / 2
    pencil.text((middle, middle), text, fill=letter, font=font(round(1.25 * radius * grow), True), anchor="mm")
    return badge.resize((side, side), Image.Resampling.LANCZOS)


@lru_cache(maxsize=256)
def wrapped(words: str, size: int, width: float, bold: bool = False) -> tuple[str, ...]:
    """Lines no wider than ``width`` pixels, broken at spaces (never at no-break spaces)."""
    rows: list[str] = []
    for word in words.split(" "):
        longer = f"{rows[-1]} {word}" if rows else word
        if rows and font(size, bold).getlength(longer) <= width:
            rows[-1] = longer
        else:
            rows.append(word)
    return tuple(rows)


def fitting(words: str, size: int, width: float, bold: bool = False) -> int:
    """Largest letter size, not above ``size``, at which one line fits a width; not below half of it."""
    length = font(size, bold).getlength(words)
    return max(size // 2, min(size, int(size * width / max(length, 1.0))))
