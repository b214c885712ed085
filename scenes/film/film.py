"""Films: poses drawn by two spawned processes, frames put together here, encoded under a passing name, then renamed.

The renderer must never be forked after it has drawn, so the helpers are spawned; each keeps its own stage.
"""

from __future__ import annotations

import os
import signal
import tempfile
from collections.abc import Iterator
from concurrent.futures import Future, ProcessPoolExecutor
from contextlib import AbstractContextManager, ExitStack, suppress
from dataclasses import dataclass, replace
from multiprocessing import Pipe
from multiprocessing.connection import Connection
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
from PIL import Image

from scenes import gl
from scenes.film import frames, stories
from scenes.film.stories import Moment, Story
from scenes.stage import stage
from scenes.stage.lettering import Image8, Sheet
from sim.errors import BadInput, Fault
from sim.processes import interrupts_held, started
from sim.progress import Progress

Pose = tuple[str, float, float]
FINER = 1.25
"""The stage is drawn this much larger than shown, then shrunk, which smooths its edges."""
STILL_FINER = 1.6
GIF_SIZE, GIF_RATE = (640, 360), 10
CRF = "19"
SUFFIXES = (".mp4", ".gif")


@dataclass(frozen=True, eq=False)
class Given:
    """A value that is asked for by calling, as a seat's deformation is; can be sent to another process."""

    value: Any

    def __call__(self) -> Any:
        """Give the value."""
        return self.value


def portable(run: Any) -> Any:
    """Copy of a run that holds what drawing needs and nothing else, so that it can be sent to another process."""
    seat = run.seat
    return SimpleNamespace(
        case=run.case,
        forecast=None,
        seat=SimpleNamespace(
            angle_deg=np.asarray(seat.angle_deg),
            outboard_um=np.asarray(seat.outboard_um),
            inboard_um=np.asarray(seat.inboard_um),
            lateral_runout_um=dict(seat.lateral_runout_um),
            contact=SimpleNamespace(residual_height_um=tuple(seat.contact.residual_height_um)),
            rotor_deformation=Given(seat.rotor_deformation()),
            hub_deformation=Given(seat.hub_deformation()),
        ),
    )


_own: dict[int, stage.Stage] = {}


def _begin(threads: str) -> None:
    """Set up a helper: the interrupt key belongs to the parent."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    os.environ["LP_NUM_THREADS"] = threads
    gl.settle()


def _draw(corner: int, story: Story, pose: Pose, file: str) -> tuple[np.ndarray, float, np.ndarray]:
    """Photograph one pose into a file; returns what was measured on it."""
    if corner not in _own:
        _own[corner] = frames.build(story.corners[corner].run, story, FINER)
    photo = frames.photograph(_own[corner], *pose)
    Image.fromarray(photo.picture).save(file, compress_level=1)
    return photo.studs_px, photo.reading_um, photo.ghost_px


class _Poses:
    """Photographs of all poses, made by helpers while the film is already being put together."""

    def __init__(self, story: Story, poses: list[Pose], folder: Path, helpers: list[ProcessPoolExecutor]) -> None:
        light = replace(
            story, steps=(), corners=tuple(replace(corner, run=portable(corner.run)) for corner in story.corners)
        )
        self.files: dict[tuple[int, Pose], tuple[Path, Future[Any]]] = {}
        for index, pose in enumerate(poses):
            for corner in range(len(story.corners)):
                file = folder / f"{corner}-{index}.png"
                turn = corner if len(story.corners) > 1 else index
                future = helpers[turn % len(helpers)].submit(_draw, corner, light, pose, str(file))
                self.files[corner, pose] = (file, future)

    def get(self, corner: int, pose: Pose) -> frames.Drawn:
        """Wait for a photograph and open it."""
        file, future = self.files[corner, pose]
        studs, reading, ghost = future.result()
        with Image.open(file) as picture:
            return frames.Drawn(np.asarray(picture.convert("RGB")), studs, reading, ghost)


def film(story: Story, path: Path, progress: Progress | None = None, seconds: float | None = None) -> Path:
    """Make a film: MP4 at 1080 lines, or GIF for a small one without sound of its own.

    Parameters
    ----------
    story : Story
        From ``scenes.film.stories``.
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
        Without GL, or without the encoder.
    """
    path = Path(path)
    rate = rate_of(path)
    gl.need_gl()
    if rate == stories.FRAME_RATE:
        gl.encoder()
    moments = stories.frames(story, rate)
    moments = moments[: max(1, round(seconds * rate))] if seconds else moments
    return encode(path, rate, _images(story, moments, progress or _quiet))


def rate_of(path: Path) -> float:
    """Frames a second for a film of this ending.

    Raises
    ------
    BadInput
        For another ending.
    """
    if path.suffix.lower() not in SUFFIXES:
        raise BadInput(Fault("a film ends in .mp4 or .gif", str(path), allowed=" or ".join(SUFFIXES)))
    return GIF_RATE if path.suffix.lower() == ".gif" else stories.FRAME_RATE


def encode(path: Path, rate: float, pictures: AbstractContextManager[Iterator[Image8]]) -> Path:
    """Write frames as a film, under a passing name until it is whole.

    Parameters
    ----------
    path : Path
        Ends in ``.mp4`` or ``.gif``.
    rate : float
        As ``rate_of`` gives it. [1/s]
    pictures : context manager of an iterator of ndarray, shape (1080, 1920, 3)
        Entered when the file can be written, left however it ends.

    Returns
    -------
    Path
        Where it is.

    Raises
    ------
    BadInput
        Where nothing can be written.
    """
    temporary = _passing_name(path)
    try:
        with pictures as images:
            if rate == GIF_RATE:
                _write_gif(temporary, images)
            else:
                _write_mp4(temporary, images, rate)
        temporary.chmod(0o644)
        temporary.replace(path)
    finally:
        temporary.unlink(missing_ok=True)
    return path


def _quiet(share: float, text: str) -> None:
    """Say nothing."""


def _passing_name(path: Path) -> Path:
    try:
        handle, name = tempfile.mkstemp(prefix=f".{path.stem}-", suffix=path.suffix, dir=path.parent)
    except OSError as error:
        raise BadInput(Fault(f"cannot be written: {error.strerror}", str(path))) from None
    os.close(handle)
    return Path(name)


class _images(AbstractContextManager[Iterator[Image8]]):
    """Frames one after the other; helpers and their files go when it is left, however that happens."""

    def __init__(self, story: Story, moments: list[Moment], progress: Progress) -> None:
        self.story, self.moments, self.progress = story, moments, progress

    def __enter__(self) -> Iterator[Image8]:
        with ExitStack() as opening:  # also an interrupt in here leaves nothing behind
            folder = Path(opening.enter_context(tempfile.TemporaryDirectory(prefix="trueseat-film-")))
            leash, hold = Pipe(duplex=False)
            helpers = [_helper(leash) for _ in range(2)]
            for helper in helpers:
                opening.callback(helper.shutdown, wait=True, cancel_futures=True)
            opening.callback(hold.close)  # let go first: a picture takes seconds, and nobody waits for it any more
            poses = list(dict.fromkeys(now.pose for now in self.moments))
            with interrupts_held():  # a helper starts with its first task
                photographs = _Poses(self.story, poses, folder, helpers)
            self.held = opening.pop_all()
        return self._frames(photographs)

    def __exit__(self, *raised: Any) -> bool | None:
        return self.held.__exit__(*raised)

    def _frames(self, photographs: _Poses) -> Iterator[Image8]:
        plan = frames.layout(self.story)
        last: tuple[Any, Image8] | None = None
        for index, now in enumerate(self.moments):
            state = (now.step, now.pose, now.trace, now.road)
            if last is None or last[0] != state:
                drawn = [photographs.get(corner, now.pose) for corner in range(len(self.story.corners))]
                last = (state, frames.compose(plan, now, drawn))
            self.progress((index + 1) / len(self.moments), f"film, frame {index + 1} of {len(self.moments)}")
            yield last[1]


def _helper(leash: Connection) -> ProcessPoolExecutor:
    threads = os.environ.get("LP_NUM_THREADS", "1")
    return started(1, _begin, (threads,), leash)


def _write_mp4(path: Path, images: Iterator[Image8], rate: float) -> None:
    import imageio_ffmpeg  # the encoder: heavy, wanted here alone

    writer = imageio_ffmpeg.write_frames(
        str(path),
        frames.SIZE,
        fps=rate,
        codec="libx264",
        pix_fmt_in="rgb24",
        pix_fmt_out="yuv420p",
        quality=None,
        macro_block_size=8,
        output_params=["-crf", CRF, "-preset", "veryfast", "-movflags", "+faststart"],
    )
    writer.send(None)
    try:
        for image in images:
            writer.send(np.ascontiguousarray(image))
    finally:
        with suppress(OSError):
            writer.close()


def _write_gif(path: Path, images: Iterator[Image8]) -> None:
    small = [
        Image.fromarray(image).resize(GIF_SIZE, Image.Resampling.LANCZOS).quantize(96, dither=Image.Dither.NONE)
        for image in images
    ]
    small[0].save(
        path, format="GIF", save_all=True, append_images=small[1:], duration=1000 // GIF_RATE, loop=0, optimize=False
    )


def still(story: Story, second: float) -> Image8:
    """Draw any frame of a film by itself, finer than in the film; shape (1080, 1920, 3)."""
    return _stills(story, [stories.moment(story, second)])[0]


def storyboard(story: Story) -> Image8:
    """Six frames of a story on one sheet, three to a row, in the order of the film.

    Returns
    -------
    ndarray of uint8
        Shape (1080, 2880, 3) or thereabouts.
    """
    times = storyboard_seconds(story)
    return six(_stills(story, [stories.moment(story, second) for second in times]))


def six(pictures: list[Image8]) -> Image8:
    """Lay frames on one sheet, three to a row."""
    wide, high, gap = 960, 540, 24
    sheet = Sheet.blank((3 * wide + 4 * gap, 2 * high + 3 * gap))
    for index, picture in enumerate(pictures):
        place = (gap + (index % 3) * (wide + gap), gap + (index // 3) * (high + gap))
        sheet.paste(np.asarray(Image.fromarray(picture).resize((wide, high), Image.Resampling.LANCZOS)), place)
        sheet.draw.rectangle((*place, place[0] + wide, place[1] + high), outline="#7C8088", width=2)
    return sheet.array()


def storyboard_seconds(story: Story) -> list[float]:
    """Six times that tell the story, late in a step each.

    Where there are more steps, effects that the next step shows whole are left out; where fewer, the longest step is
    shown at more than one time.
    """
    ends = np.cumsum([step.seconds for step in story.steps])
    shown = list(range(len(story.steps)))
    for index in list(shown[:-1]):
        if len(shown) > 6 and story.steps[index].part == "effect" and story.steps[index + 1].part == "number":
            shown.remove(index)
    times = [float(ends[index] - 0.15 * story.steps[index].seconds) for index in shown[-6:]]
    longest = int(np.argmax([step.seconds for step in story.steps]))
    begin, length = float(ends[longest] - story.steps[longest].seconds), story.steps[longest].seconds
    extra = [begin + share * length for share in (0.45, 0.15, 0.65, 0.3, 0.75)]
    return sorted(times + extra[: 6 - len(times)])


def _stills(story: Story, moments: list[Moment]) -> list[Image8]:
    gl.need_gl()
    plan = frames.layout(story)
    with ExitStack() as stack:
        scenes = [frames.build(corner.run, story, STILL_FINER) for corner in story.corners]
        for scene in scenes:
            stack.callback(scene.close)
        return [frames.compose(plan, now, [frames.photograph(scene, *now.pose) for scene in scenes]) for now in moments]
