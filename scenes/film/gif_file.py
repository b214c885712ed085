"""A film as a GIF for slides: one palette, still pixels held still, so that it stays small. Written frame by frame."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import chain
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from PIL import Image

from scenes import palette
from scenes.stage.lettering import Image8

SIZE, RATE = (720, 405), 12
"""Width and height, frames a second."""
COLOURS = 64
SAMPLES = 12
"""Frames that the palette is taken from, spread over the film."""
HELD = 14
"""A pixel that changes less than this in every channel keeps what it showed; judgement, seen by nobody at this size."""


def write(path: Path, images: Iterable[Image8]) -> None:
    """Write frames as a GIF that loops.

    Parameters
    ----------
    path : Path
    images : iterable of ndarray of uint8, shape (h, w, 3)
        Shrunk to 720 x 405.
    """
    small = [np.asarray(Image.fromarray(image).resize(SIZE, Image.Resampling.LANCZOS)) for image in images]
    inks = _inks(small)
    frames = _told(small, inks)
    first = next(frames)
    first.save(
        path, format="GIF", save_all=True, append_images=frames, duration=round(1000.0 / RATE), loop=0,
        optimize=True, disposal=1,
    )  # fmt: skip


def _inks(small: list[NDArray[np.uint8]]) -> Image.Image:
    """Palette of a film, from frames spread over it; the colours that mean something are in it as they are."""
    step = max(1, len(small) // SAMPLES)
    sheet = np.vstack(small[::step][: SAMPLES + 1])
    found = Image.fromarray(sheet).quantize(COLOURS - len(palette.COLOURS), dither=Image.Dither.NONE).getpalette() or []
    meant = [round(255 * part) for name in palette.COLOURS for part in palette.rgb(name)]
    inks = Image.new("P", (1, 1))
    inks.putpalette(list(chain(meant, found))[: 3 * COLOURS])
    return inks


def _told(small: list[NDArray[np.uint8]], inks: Image.Image) -> Iterator[Image.Image]:
    """Frames in the palette; a pixel is drawn anew only where it has changed enough to be seen."""
    shown: NDArray[np.uint8] | None = None
    for image in small:
        if shown is None:
            shown = image.copy()
        else:
            changed = np.abs(image.astype(np.int16) - shown).max(axis=2) >= HELD
            shown = np.where(changed[..., None], image, shown)
        yield Image.fromarray(shown).quantize(palette=inks, dither=Image.Dither.NONE)
