"""Flexibilities kept on disk between runs: plain arrays, bounded, checked, rebuilt with a word when damaged.

What is stored is found again by everything that it depends on: its geometry, and the code that made it.
"""

from __future__ import annotations

import hashlib
import os
import pkgutil
import re
import tempfile
import threading
import time
import zipfile
import zlib
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager, suppress
from functools import cache
from importlib import metadata
from pathlib import Path
from uuid import uuid4

import numpy as np
from numpy.typing import NDArray

CACHE_VERSION = 2  # of the file's own form
MAX_FILE_BYTES = 200_000_000  # no flexibility of ours is as large
LEFT_LYING_S = 86_400.0  # a passing file so old is nobody's any more; judgement
# Whoever finds the same geometry at work elsewhere waits so long for it: twice what the longest takes; judgement.
WAIT_S, LOOK_AGAIN_S = 120.0, 0.05
MAX_FILES = 150  # those longest unused go first; some 3 MB each; judgement
# What is small crowds out nothing that takes long to make: it is counted by itself. 100 MB at most; judgement.
SMALL_BYTES, MAX_SMALL = 100_000, 1000
PACKAGE = __name__.partition(".")[0]
LIBRARIES = ("numpy", "scipy", "scikit-fem", "numba")  # a new release may round or mesh in another way
# Any import of the package's own modules; a regular expression, because parsing them all takes a tenth of a second.
IMPORTS = re.compile(
    rf"^[ \t]*(?:import[ \t]+{PACKAGE}((?:\.\w+)+)|from[ \t]+{PACKAGE}((?:\.\w+)*)[ \t]+import[ \t]+(\([^)]*\)|.*))",
    re.M,
)
OURS = "*-" + "[0-9a-f]" * 24 + ".npz"  # never somebody else's file
# One archive at a time within a process: numpy parses the heads of arrays with `ast`, whose count of its own depth some
# releases of Python 3.11 and 3.12 share among threads (SystemError "AST constructor recursion depth mismatch").
_READING = threading.Lock()
# What reading a damaged archive has been seen to raise.
DAMAGE = (
    OSError,
    ValueError,
    KeyError,
    EOFError,
    NotImplementedError,
    RuntimeError,
    MemoryError,
    zipfile.BadZipFile,
    zlib.error,
)


def folder() -> Path:
    """Where flexibilities are kept: TRUESEAT_CACHE, else the user's cache folder."""
    chosen = os.environ.get("TRUESEAT_CACHE")
    if chosen:
        return Path(chosen)
    base = os.environ.get("XDG_CACHE_HOME")
    return (Path(base) if base else Path.home() / ".cache") / "trueseat"


def fetch(
    name: str, identity: str, build: Callable[[], dict[str, NDArray]], made_by: str
) -> tuple[dict[str, NDArray], tuple[str, ...]]:
    """Return the arrays of ``identity`` from disk, else build and keep them.

    Parameters
    ----------
    name : str
        Start of the file's name.
    identity : str
        Every number that the arrays depend on.
    build : callable
        Makes the arrays.
    made_by : str
        Module of this package that makes them, as ``__name__`` gives it: where its source, that of anything it
        imports, or a library has changed, arrays stored earlier are not used.

    Returns
    -------
    arrays : dict of ndarray
    words : tuple of str
        One sentence if a damaged file was rebuilt or the folder cannot be written.
    """
    digest = hashlib.sha256(f"{CACHE_VERSION}|{code_digest(made_by)}|{identity}".encode()).hexdigest()[:24]
    path = folder() / f"{name}-{digest}.npz"
    arrays, words = _found(path, digest, name)
    if arrays is not None:
        return arrays, words
    with _by_one(path) as waited:
        if waited:  # somebody else has made it meanwhile, or has given up
            arrays, _ = _found(path, digest, name)
            if arrays is not None:
                return arrays, ()
        arrays = build()
        if not _write(path, digest, arrays):
            words += ("the cache folder cannot be written: this geometry is computed again next time",)
    return arrays, words


def _found(path: Path, digest: str, name: str) -> tuple[dict[str, NDArray] | None, tuple[str, ...]]:
    """What is stored, if it is there and whole; a sentence where it is damaged."""
    if not _is_there(path):
        return None, ()
    arrays = _read(path, digest)
    if arrays is None:
        return None, (f"a stored {name} flexibility was damaged and has been rebuilt",)
    with suppress(OSError):
        path.touch()  # in use: others go first
    return arrays, ()


@contextmanager
def _by_one(path: Path) -> Iterator[bool]:
    """Let one process at a time make what stands in a file; whether another was at it. The system ends every claim."""
    passing, handle, waited = path.with_suffix(".lock.part"), None, False
    with suppress(OSError, ImportError):  # no folder to write in, or a system without such claims: as many as like
        import fcntl

        path.parent.mkdir(parents=True, exist_ok=True)
        handle = os.open(passing, os.O_RDWR | os.O_CREAT, 0o600)
        until = time.monotonic() + WAIT_S
        while time.monotonic() < until:
            try:
                fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
                break
            except BlockingIOError:
                waited = True
                time.sleep(LOOK_AGAIN_S)
    try:
        yield waited
    finally:
        if handle is not None:
            with suppress(OSError):
                passing.unlink(missing_ok=True)
            os.close(handle)


@cache
def code_digest(module: str) -> str:
    """Digest of a module's source, of all it imports from this package, and of the libraries' versions.

    Parameters
    ----------
    module : str
        Such as "sim.seating.prepared".

    Returns
    -------
    str
    """
    sources = _sources(module.removeprefix(f"{PACKAGE}."))
    if not sources:  # installed without: nothing is known, so nothing that is stored is right
        return uuid4().hex
    digest = hashlib.sha256(repr([_version(name) for name in LIBRARIES]).encode())
    for name, source in sorted(sources.items()):
        digest.update(f"{name} {len(source)} ".encode() + source)
    return digest.hexdigest()


def _sources(module: str) -> dict[str, bytes]:
    """Source of a module of this package and of all that it imports, by name."""
    read: dict[str, bytes | None] = {}
    wanted = [module]
    while wanted:
        name = wanted.pop()
        if name in read:
            continue
        read[name] = source = _source(name)
        for plain, room, names in IMPORTS.findall(source.decode()) if source else ():
            base = (plain or room)[1:]
            if base and base not in read and _source(base) is not None:
                wanted.append(base)
            elif read.get(base) is None:  # a room of the package: what is taken from it may be a module
                wanted += [f"{base}.{inside}".lstrip(".") for inside in re.findall(r"\w+", names)]
    return {name: source for name, source in read.items() if source is not None}


def _source(name: str) -> bytes | None:
    """Source of a module of this package; None for what is no module but a room of it, or a name in one."""
    try:
        return pkgutil.get_data(PACKAGE, f"{name.replace('.', '/')}.py")
    except FileNotFoundError:
        return None


def _version(library: str) -> str:
    try:
        return metadata.version(library)
    except metadata.PackageNotFoundError:  # put on the path by hand
        return ""


def _is_there(path: Path) -> bool:
    try:
        return path.is_file()
    except OSError:  # a folder that may not even be looked into
        return False


def _read(path: Path, digest: str) -> dict[str, NDArray] | None:
    try:
        if path.stat().st_size > MAX_FILE_BYTES:
            return None
        with _READING, np.load(path, allow_pickle=False) as stored:
            if sum(item.file_size for item in stored.zip.infolist()) > MAX_FILE_BYTES:
                return None
            # An archive's checksums cover what its members hold, not their names.
            if str(stored["digest"]) != _seal(digest, stored.files):
                return None
            arrays = {key: stored[key] for key in stored.files if key != "digest"}
    except DAMAGE:
        return None
    finite = all(np.isfinite(array).all() for array in arrays.values() if array.dtype.kind == "f")
    return arrays if finite else None


def sweep(directory: Path) -> None:
    """Take away passing files that a killed process left lying a day ago or longer; younger ones may be at work.

    Parameters
    ----------
    directory : Path
        Need not be there.
    """
    with suppress(OSError):
        for left in directory.glob("*.part"):
            if abs(time.time() - left.stat().st_mtime) > LEFT_LYING_S:
                left.unlink(missing_ok=True)


class replacing:
    """Give a passing path beside a file and put it in place only if all went well.

    Parameters
    ----------
    final : Path
        Its folder is there.
    """

    def __init__(self, final: Path) -> None:
        handle, name = tempfile.mkstemp(dir=final.parent, suffix=".part")
        os.close(handle)
        # A passing file is private; results are as open as the user's other files.
        mask = os.umask(0)
        os.umask(mask)
        Path(name).chmod(0o666 & ~mask)
        self.final, self.temporary = final, Path(name)

    def __enter__(self) -> Path:
        return self.temporary

    def __exit__(self, kind: type[BaseException] | None, *_: object) -> None:
        if kind is None:
            self.temporary.replace(self.final)
        else:
            self.temporary.unlink(missing_ok=True)


def _seal(digest: str, names: Iterable[str]) -> str:
    return f"{digest} {' '.join(sorted(name for name in names if name != 'digest'))}"


def _write(path: Path, digest: str, arrays: dict[str, NDArray]) -> bool:
    temporary = None
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        sweep(path.parent)
        handle, temporary = tempfile.mkstemp(dir=path.parent, suffix=".part")
        with os.fdopen(handle, "wb") as file:
            np.savez(file, digest=np.array(_seal(digest, arrays)), **arrays)  # type: ignore[arg-type]
        Path(temporary).replace(path)
        kept = sorted((one.stat().st_mtime, one.stat().st_size, one) for one in path.parent.glob(OURS))
        for small, most in ((False, MAX_FILES), (True, MAX_SMALL)):
            alike = [one for _, size, one in kept if (size <= SMALL_BYTES) is small]
            for old in alike[:-most]:
                old.unlink(missing_ok=True)
    except OSError:
        return False
    finally:  # also when interrupted or out of space
        if temporary is not None:
            Path(temporary).unlink(missing_ok=True)
    return True
