"""Flexibilities kept on disk between runs: plain arrays, bounded, checked, rebuilt with a word when damaged."""

from __future__ import annotations

import hashlib
import os
import tempfile
import zipfile
import zlib
from collections.abc import Callable, Iterable
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

CACHE_VERSION = 2
MAX_FILE_BYTES = 200_000_000
MAX_FILES = 60
OURS = "*-" + "[0-9a-f]" * 24 + ".npz"  # never somebody else's file
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
    name: str, identity: str, build: Callable[[], dict[str, NDArray]]
) -> tuple[dict[str, NDArray], tuple[str, ...]]:
    """Return the arrays of ``identity`` from disk, else build and keep them.

    Parameters
    ----------
    name : str
        Start of the file's name.
    identity : str
        Everything that the arrays depend on.
    build : callable
        Makes the arrays.

    Returns
    -------
    arrays : dict of ndarray
    words : tuple of str
        One sentence if a damaged file was rebuilt or the folder cannot be written.
    """
    digest = hashlib.sha256(f"{CACHE_VERSION}|{identity}".encode()).hexdigest()[:24]
    path = folder() / f"{name}-{digest}.npz"
    words: tuple[str, ...] = ()
    if _is_there(path):
        arrays = _read(path, digest)
        if arrays is not None:
            return arrays, ()
        words = (f"a stored {name} flexibility was damaged and has been rebuilt",)
    arrays = build()
    if not _write(path, digest, arrays):
        words += ("the cache folder cannot be written: this geometry is computed again next time",)
    return arrays, words


def _is_there(path: Path) -> bool:
    try:
        return path.is_file()
    except OSError:  # a folder that may not even be looked into
        return False


def _read(path: Path, digest: str) -> dict[str, NDArray] | None:
    try:
        if path.stat().st_size > MAX_FILE_BYTES:
            return None
        with np.load(path, allow_pickle=False) as stored:
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


def _seal(digest: str, names: Iterable[str]) -> str:
    return f"{digest} {' '.join(sorted(name for name in names if name != 'digest'))}"


def _write(path: Path, digest: str, arrays: dict[str, NDArray]) -> bool:
    temporary = None
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, temporary = tempfile.mkstemp(dir=path.parent, suffix=".part")
        with os.fdopen(handle, "wb") as file:
            np.savez(file, digest=np.array(_seal(digest, arrays)), **arrays)  # type: ignore[arg-type]
        Path(temporary).replace(path)
        kept = sorted(path.parent.glob(OURS), key=lambda item: item.stat().st_mtime)
        for old in kept[:-MAX_FILES]:
            old.unlink(missing_ok=True)
    except OSError:
        return False
    finally:  # also when interrupted or out of space
        if temporary is not None:
            Path(temporary).unlink(missing_ok=True)
    return True
