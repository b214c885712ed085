"""The engine of every film: frames drawn once each, encoded under a passing name, then renamed; stills, storyboards."""

from __future__ import annotations

import os
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import AbstractContextManager, suppress
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Generic, TypeVar

import numpy as np
from PIL import Image

from scenes import files, gl
from scenes.film import gif_file, timing
from scenes.film.frames import SIZE
from scenes.stage.lettering import Image8, Sheet
from sim.errors import BadInput, Fault
from sim.progress import Progress, silent

GIF_RATE = gif_file.RATE
"""Frames a second of a GIF, and of a draft."""
CRF = "19"
SUFFIXES = (".mp4", ".gif")
Moment = TypeVar("Moment")
Drawer = Callable[[Moment], Image8]


@dataclass(frozen=True, eq=False)
class Reel(Generic[Moment]):
    """A story with what draws its frames.

    Parameters
    ----------
    seconds : float
        Whole length. [s]
    moment : callable
        State of the story at a time [s]; moments that are equal look alike.
    board : sequence of float
        Times of the frames of its storyboard. [s]
    film : callable
        From the moments of a film, in their order, and whether it is small (a draft, a GIF), a context manager that
        gives what draws one of them, shape (1080, 1920, 3); entered when the file can be written, left however the
        film ends.
    fine : callable
        A context manager that gives what draws any single moment, as fine as can be.
    three_d : bool
        Whether drawing needs GL.
    captions : tuple of (from, to, words)
        What stands written when, for a file of captions beside the film. [s]
    draft : bool
        A film of half the size and half the frames, for a trial.
    """

    seconds: float
    moment: Callable[[float], Moment]
    board: Sequence[float]
    film: Callable[[list[Moment], bool], AbstractContextManager[Drawer[Moment]]]
    fine: Callable[[], AbstractContextManager[Drawer[Moment]]]
    three_d: bool
    captions: tuple[tuple[float, float, str], ...] = ()
    draft: bool = False


def make(reel: Reel[Moment], path: Path, progress: Progress = silent, seconds: float | None = None) -> Path:
    """Make a film: MP4 at 1080 lines, or GIF for a small one.

    Parameters
    ----------
    reel : Reel
    path : Path
        Ends in ``.mp4`` or ``.gif``; written whole or not at all.
    progress : callable(share, words), optional
        Told 0..1.
    seconds : float, optional
        Stop after this much of the story, for a trial. [s]

    Returns
    -------
    Path
        Where it is.

    Raises
    ------
    BadInput
        For another ending, or where nothing can be written.
    Missing
        Without the encoder, or without GL where the story is told in three dimensions.
    """
    path = Path(path)
    small, gif = rate_of(path) == GIF_RATE or reel.draft, path.suffix.lower() == ".gif"
    rate = GIF_RATE if small else timing.FRAME_RATE
    need(path, reel.three_d)
    moments = timing.frames(reel.moment, reel.seconds, rate)
    moments = moments[: max(1, round(seconds * rate))] if seconds else moments
    temporary = _passing_name(path)
    try:
        with reel.film(moments, small) as drawer:
            write = gif_file.write if gif else partial(_write_mp4, draft=reel.draft)
            write(temporary, _images(moments, drawer, progress))
        temporary.chmod(0o644)
        temporary.replace(path)
        if reel.captions:
            files.write_text(path.with_suffix(".vtt"), web_captions(reel.captions))
    except OSError as error:  # the disk is full, or the encoder gave up
        raise BadInput(Fault(f"cannot be written: {error.strerror or error}", str(path))) from None
    finally:
        temporary.unlink(missing_ok=True)
    return path


def rate_of(path: Path) -> float:
    """Frames a second for a film of this ending.

    Raises
    ------
    BadInput
        For another ending.
    """
    if path.suffix.lower() not in SUFFIXES:
        raise BadInput(Fault("a film ends in .mp4 or .gif", str(path), allowed=" or ".join(SUFFIXES)))
    return GIF_RATE if path.suffix.lower() == ".gif" else timing.FRAME_RATE


def need(path: Path, three_d: bool) -> None:
    """Refuse where a film of this ending cannot be made: no GL where it is wanted, no encoder (``Missing``)."""
    if three_d:
        gl.need_gl()
    if path.suffix.lower() == ".mp4":
        gl.encoder()


def _images(moments: list[Moment], drawer: Drawer[Moment], progress: Progress) -> Iterator[Image8]:
    """Frames one after the other; one that looks like the last is not drawn again."""
    last: tuple[Moment, Image8] | None = None
    begun = time.monotonic()
    for index, now in enumerate(moments):
        if last is None or last[0] != now:
            last = (now, drawer(now))
        left = (time.monotonic() - begun) / (index + 1) * (len(moments) - index - 1)
        said = f", about {left:.0f} s left" if index >= 24 else ""
        progress((index + 1) / len(moments), f"film, frame {index + 1} of {len(moments)}{said}")
        yield last[1]


def _passing_name(path: Path) -> Path:
    try:
        handle, name = tempfile.mkstemp(prefix=f".{path.stem}-", suffix=path.suffix, dir=path.parent)
    except OSError as error:
        raise BadInput(Fault(f"cannot be written: {error.strerror}", str(path))) from None
    os.close(handle)
    return Path(name)


def web_captions(captions: Sequence[tuple[float, float, str]]) -> str:
    """Captions as WebVTT; words that stand on are one cue.

    Examples
    --------
    >>> print(web_captions([(0.0, 1.5, "Why?")]))
    WEBVTT
    <BLANKLINE>
    00:00.000 --> 00:01.500
    Why?
    <BLANKLINE>
    """
    joined: list[tuple[float, float, str]] = []
    for start, end, text in captions:
        if joined and joined[-1][2] == text:
            joined[-1] = (joined[-1][0], end, text)
        else:
            joined.append((start, end, text))
    cues = [f"{_clock(start)} --> {_clock(end)}\n{text}\n" for start, end, text in joined]
    return "\n".join(["WEBVTT\n", *cues])


def _clock(second: float) -> str:
    whole = round(1000.0 * second)
    return f"{whole // 60000:02d}:{whole // 1000 % 60:02d}.{whole % 1000:03d}"


def _write_mp4(path: Path, images: Iterator[Image8], draft: bool = False) -> None:
    import imageio_ffmpeg  # the encoder: heavy, wanted here alone

    writer = imageio_ffmpeg.write_frames(
        str(path),
        SIZE,
        fps=GIF_RATE if draft else timing.FRAME_RATE,
        codec="libx264",
        pix_fmt_in="rgb24",
        pix_fmt_out="yuv420p",
        quality=None,
        macro_block_size=8,
        output_params=[
            "-crf",
            CRF,
            "-preset",
            "veryfast",
            "-movflags",
            "+faststart",
            *(["-vf", f"scale={SIZE[0] // 2}:{SIZE[1] // 2}"] if draft else []),
        ],  # fmt: skip
    )
    writer.send(None)
    try:
        for image in images:
            writer.send(np.ascontiguousarray(image))
    finally:
        with suppress(OSError):
            writer.close()


def still(reel: Reel[Moment], second: float) -> Image8:
    """Draw any frame of a film by itself, shape (1080, 1920, 3)."""
    return _stills(reel, [second])[0]


def storyboard(reel: Reel[Moment]) -> Image8:
    """Six frames of a story on one sheet, three to a row, in the order of the film.

    Returns
    -------
    ndarray of uint8
        Shape (1080, 2880, 3) or thereabouts.
    """
    wide, high, gap = 960, 540, 24
    sheet = Sheet.blank((3 * wide + 4 * gap, 2 * high + 3 * gap))
    for index, picture in enumerate(_stills(reel, reel.board)):
        place = (gap + (index % 3) * (wide + gap), gap + (index // 3) * (high + gap))
        sheet.paste(np.asarray(Image.fromarray(picture).resize((wide, high), Image.Resampling.LANCZOS)), place)
        sheet.draw.rectangle((*place, place[0] + wide, place[1] + high), outline="#7C8088", width=2)
    return sheet.array()


def _stills(reel: Reel[Moment], seconds: Sequence[float]) -> list[Image8]:
    if reel.three_d:
        gl.need_gl()
    with reel.fine() as drawer:
        return [drawer(reel.moment(second)) for second in seconds]
