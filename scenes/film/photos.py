"""Photographs for a film: poses taken by spawned processes while frames are put together; kept until it is whole.

The renderer must never be forked after it has drawn, so the helpers are spawned; each keeps its own stages. What has
been photographed stays in a working folder of the cache, named by what was photographed, until the film is written: a
film that was interrupted goes on from there.
"""

from __future__ import annotations

import hashlib
import json
import os
import pickle
import shutil
import signal
import tempfile
import time
from collections.abc import Callable, Hashable, Iterator
from concurrent.futures import Executor, Future, ProcessPoolExecutor
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import dataclass
from multiprocessing import Pipe
from pathlib import Path
from types import SimpleNamespace
from typing import Any, Generic, Protocol, TypeVar

import numpy as np
from PIL import Image
from threadpoolctl import threadpool_limits

import scenes
from scenes import gl
from scenes.film.film import Drawer
from scenes.stage.lettering import Image8
from sim import disk_cache
from sim.processes import interrupts_held, started

MOST_HELPERS = 4
KEPT_DAYS = 3.0
"""Photographs of a film that nobody came back for go after this; judgement."""
QUALITY = 95
Place = tuple[float, float]
Moment = TypeVar("Moment")


@dataclass(frozen=True, eq=False)
class Photo:
    """A photograph of the stage and where on it the places lie that are spoken of. [pixels]."""

    picture: Image8
    at: dict[str, Place]


class Shoot(Protocol):
    """What is photographed; can be sent to another process."""

    def stage_of(self, pose: Any) -> Hashable:
        """Name of the stage that a pose is taken on."""

    def build(self, pose: Any, finer: float) -> Any:
        """Build that stage; ``close`` ends it."""

    def photograph(self, scene: Any, pose: Any) -> Photo:
        """Pose it and photograph it."""


@dataclass(frozen=True, eq=False)
class Given:
    """A value that is asked for by calling, as a seat's deformation is; can be sent to another process."""

    value: Any

    def __call__(self) -> Any:
        """Give the value."""
        return self.value


def portable(run: Any) -> Any:
    """Copy of a run that holds what drawing needs and nothing else: can be sent, and bends without solving again."""
    seat = run.seat
    if isinstance(getattr(seat, "rotor_deformation", None), Given):
        return run
    return SimpleNamespace(
        case=run.case,
        forecast=None,
        spigot=None,
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


@dataclass(frozen=True, eq=False)
class Darkroom(Generic[Moment]):
    """How frames come from photographs.

    Parameters
    ----------
    shoot : Shoot
    poses : callable
        Poses that a moment needs; equal poses look alike.
    compose : callable
        Frame from a moment and the photographs of its poses.
    helped_from : int
        Fewer poses than this are photographed in this process: to start helpers would take longer.
    """

    shoot: Shoot
    poses: Callable[[Moment], list[Any]]
    compose: Callable[[Moment, list[Photo]], Image8]
    helped_from: int = 1

    @contextmanager
    def film(self, finer: float, moments: list[Moment]) -> Iterator[Drawer[Moment]]:
        """Frames from photographs of helpers, which end when it is left; photographs go when it is left in good order.

        Parameters
        ----------
        finer : float
            The stage is drawn this much larger than shown, then shrunk.
        moments : list
            Of the whole film, in order.
        """
        wanted = list(dict.fromkeys(pose for now in moments for pose in self.poses(now)))
        helped = len(wanted) >= self.helped_from
        start = _helpers if helped else _none
        with working_folder(self.shoot, finer) as folder, start(self.shoot, finer) as helpers:
            with interrupts_held():  # a helper starts with its first task
                coming = {pose: _begun(pose, folder, helpers) for pose in wanted}

            def draw(now: Moment) -> Image8:
                return self.compose(now, [_developed(*coming[pose]) for pose in self.poses(now)])

            yield draw

    @contextmanager
    def fine(self, finer: float) -> Iterator[Drawer[Moment]]:
        """Frames drawn in this process."""
        with ExitStack() as stack:
            stages: dict[Hashable, Any] = {}

            def draw(now: Moment) -> Image8:
                photos = []
                for pose in self.poses(now):
                    name = self.shoot.stage_of(pose)
                    if name not in stages:
                        stages[name] = self.shoot.build(pose, finer)
                        stack.callback(stages[name].close)
                    photos.append(self.shoot.photograph(stages[name], pose))
                return self.compose(now, photos)

            yield draw


@contextmanager
def working_folder(shoot: Any, finer: float) -> Iterator[Path]:
    """Folder of the photographs of one film: emptied when it is left in good order, kept when it is not.

    Where another process works in it, or the cache cannot be written, it is a passing one.
    """
    base = disk_cache.folder() / "films"
    said = hashlib.sha256(pickle.dumps(shoot) + f"{finer}{type(shoot)}".encode() + _drawn_by()).hexdigest()[:24]
    with ExitStack() as held:
        kept = base / said
        try:
            kept.mkdir(parents=True, exist_ok=True)
            _forget_old(base)
            held.callback(_claimed(kept / "in-use"))
        except OSError:
            yield Path(held.enter_context(tempfile.TemporaryDirectory(prefix="trueseat-film-")))
            return
        yield kept
        shutil.rmtree(kept, ignore_errors=True)
        with suppress(OSError):
            base.rmdir()


def _drawn_by() -> bytes:
    """Digest of the sources that draw: photographs of an older program are not used."""
    root = Path(scenes.__file__).parent
    files = sorted(path for path in root.rglob("*.py") if path.parent.name in ("scenes", "film", "stage", "geometry"))
    return hashlib.sha256(b"".join(path.read_bytes() for path in files)).digest()


def _claimed(lock: Path) -> Callable[[], None]:
    """Take a folder for this process; the system lets it go, however the process ends. Returns what lets it go."""
    try:
        import fcntl  # a system without it: two films of one corner at once are not told apart
    except ImportError:
        return lambda: None
    handle = os.open(lock, os.O_RDWR | os.O_CREAT, 0o644)
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        os.close(handle)
        raise
    return lambda: os.close(handle)


def _forget_old(base: Path) -> None:
    """Remove what interrupted films left long ago."""
    for folder in base.iterdir():
        with suppress(OSError):
            if time.time() - folder.stat().st_mtime > KEPT_DAYS * 86400.0:
                shutil.rmtree(folder, ignore_errors=True)


@contextmanager
def _helpers(shoot: Shoot, finer: float) -> Iterator[ProcessPoolExecutor]:
    """Processes that photograph; they end when it is left, in the middle of a picture if need be."""
    count = max(1, min(MOST_HELPERS, os.cpu_count() or 1))
    threads = os.environ.get("LP_NUM_THREADS", "1")
    leash, hold = Pipe(duplex=False)
    with ExitStack() as held:
        pool = started(count, _begin, (threads, shoot, finer), leash)
        held.callback(pool.shutdown, wait=True, cancel_futures=True)
        held.callback(hold.close)  # let go first: a picture takes seconds, and nobody waits for it any more
        yield pool


class _Here(Executor):
    """Takes photographs in this process, at once."""

    def submit(self, fn: Callable[..., Any], /, *args: Any, **kwargs: Any) -> Future[Any]:
        """Do it."""
        done: Future[Any] = Future()
        done.set_result(fn(*args, **kwargs))
        return done


@contextmanager
def _none(shoot: Shoot, finer: float) -> Iterator[Executor]:
    """No helpers: this process photographs."""
    _own.update(shoot=shoot, finer=finer, stages={})
    try:
        yield _Here()
    finally:
        for scene in _own["stages"].values():
            scene.close()
        _own.clear()


_own: dict[str, Any] = {}


def _begin(threads: str, shoot: Shoot, finer: float) -> None:
    """Set up a helper: the interrupt key belongs to the parent."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    os.environ["LP_NUM_THREADS"] = threads
    threadpool_limits(1)  # every core has a helper: more threads of linear algebra only wait for one another
    gl.settle()
    _own.update(shoot=shoot, finer=finer, stages={})


def _taken(pose: Any, picture: Path) -> dict[str, Place]:
    """Photograph a pose into a file, in a helper's process; returns where the places lie."""
    shoot, stages = _own["shoot"], _own["stages"]
    name = shoot.stage_of(pose)
    if name not in stages:
        stages[name] = shoot.build(pose, _own["finer"])
    photo: Photo = shoot.photograph(stages[name], pose)
    part = picture.with_suffix(".part")
    Image.fromarray(photo.picture).save(part, format="JPEG", quality=QUALITY, subsampling=0)
    part.replace(picture)
    part.write_text(json.dumps(photo.at), encoding="utf-8")
    part.replace(picture.with_suffix(".json"))  # last: with it, the photograph is whole
    return photo.at


def _begun(pose: Any, folder: Path, helpers: Executor) -> tuple[Path, Future[Any] | dict[str, Place]]:
    """Where a photograph is or comes, and its places or the promise of them."""
    picture = folder / f"{hashlib.sha256(repr(pose).encode()).hexdigest()[:24]}.jpg"
    with suppress(OSError, ValueError):
        at = json.loads(picture.with_suffix(".json").read_text(encoding="utf-8"))
        return picture, {name: (x, y) for name, (x, y) in at.items()}
    return picture, helpers.submit(_taken, pose, picture)


def _developed(picture: Path, places: Future[Any] | dict[str, Place]) -> Photo:
    """Wait for a photograph and open it."""
    at = places.result() if isinstance(places, Future) else places
    with Image.open(picture) as image:
        return Photo(np.asarray(image.convert("RGB")), at)
