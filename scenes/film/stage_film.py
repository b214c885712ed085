"""Films on the stage: poses photographed by two spawned processes while the frames are already put together here.

The renderer must never be forked after it has drawn, so the helpers are spawned; each keeps its own stage.
"""

from __future__ import annotations

import os
import signal
import tempfile
from collections.abc import Iterator
from concurrent.futures import Future, ProcessPoolExecutor
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass, replace
from functools import partial
from multiprocessing import Pipe
from multiprocessing.connection import Connection
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
from PIL import Image

from scenes import gl
from scenes.film import frames, stories
from scenes.film.film import Drawer, Reel
from scenes.film.stories import Moment, Story
from scenes.stage import stage
from sim.processes import interrupts_held, started

Pose = tuple[str, float, float]
FINER = 1.25
"""The stage is drawn this much larger than shown, then shrunk, which smooths its edges."""
STILL_FINER = 1.6


def reel(story: Story) -> Reel[Moment]:
    """Story from ``scenes.film.stories`` with what draws it."""
    return Reel(
        seconds=story.seconds,
        moment=partial(stories.moment, story),
        board=stories.storyboard_seconds(story),
        film=partial(_photographed, story),
        fine=partial(_one_by_one, story),
        three_d=True,
    )


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


@contextmanager
def _photographed(story: Story, moments: list[Moment]) -> Iterator[Drawer[Moment]]:
    """Frames from photographs of helpers; helpers and their files go when it is left, however that happens."""
    with photographers() as (folder, helpers):
        poses = list(dict.fromkeys(now.pose for now in moments))
        with interrupts_held():  # a helper starts with its first task
            photographs = _Poses(story, poses, folder, helpers)
        plan, corners = frames.layout(story), range(len(story.corners))
        yield lambda now: frames.compose(plan, now, [photographs.get(corner, now.pose) for corner in corners])


@contextmanager
def photographers() -> Iterator[tuple[Path, list[ProcessPoolExecutor]]]:
    """Two helpers and a folder for their photographs; both go when it is left, however that happens."""
    with ExitStack() as held:
        folder = Path(held.enter_context(tempfile.TemporaryDirectory(prefix="trueseat-film-")))
        leash, hold = Pipe(duplex=False)
        helpers = [_helper(leash) for _ in range(2)]
        for one in helpers:
            held.callback(one.shutdown, wait=True, cancel_futures=True)
        held.callback(hold.close)  # let go first: a picture takes seconds, and nobody waits for it any more
        yield folder, helpers


def _helper(leash: Connection) -> ProcessPoolExecutor:
    """Start a process that photographs; it ends when the leash is let go."""
    threads = os.environ.get("LP_NUM_THREADS", "1")
    return started(1, _begin, (threads,), leash)


@contextmanager
def _one_by_one(story: Story) -> Iterator[Drawer[Moment]]:
    """Frames drawn in this process, finer than in the film."""
    plan = frames.layout(story)
    with ExitStack() as stack:
        scenes = [frames.build(corner.run, story, STILL_FINER) for corner in story.corners]
        for scene in scenes:
            stack.callback(scene.close)
        yield lambda now: frames.compose(plan, now, [frames.photograph(scene, *now.pose) for scene in scenes])
