"""Writing files whole or not at all, and asking beforehand whether a folder can be written."""

from __future__ import annotations

import contextlib
import os
import tempfile
from pathlib import Path

from sim.errors import BadInput, Fault

_made: list[Path] = []  # folders of this process, the outermost first


def folder(path: Path) -> Path:
    """Make a folder for results and make sure that it can be written, before anything is computed.

    What is still empty at the end is taken away by ``leave_no_empty_folder``.

    Raises
    ------
    BadInput
        If it is a file, cannot be made or cannot be written.
    """
    try:
        missing = [one for one in (path, *path.parents) if not one.exists()]
        path.mkdir(parents=True, exist_ok=True)
        _made.extend(reversed(missing))
        handle, probe = tempfile.mkstemp(prefix=".trueseat-", dir=path)
        os.close(handle)
        Path(probe).unlink()
    except OSError as error:
        raise BadInput(
            Fault(f"cannot write here: {error.strerror}", str(path), allowed="a folder of your own")
        ) from None
    return path


def need_place(path: Path) -> None:
    """Refuse a place that holds what no file may replace.

    Raises
    ------
    BadInput
        If it is a folder, a device, a pipe or a socket.
    """
    if path.is_dir():
        raise BadInput(Fault("is a folder, not a file", str(path)))
    if path.exists() and not path.is_file():
        raise BadInput(Fault("is a device or a pipe, and no file takes its place", str(path), allowed="a file"))


def leave_no_empty_folder() -> None:
    """Take away the folders that were made here and got nothing: a command that refuses its input leaves no trace."""
    while _made:
        with contextlib.suppress(OSError):  # something is in it, or it is gone
            _made.pop().rmdir()


def write_bytes(path: Path, content: bytes) -> Path:
    """Write a file under a passing name in the same folder, then rename it: nobody ever finds half of it.

    Raises
    ------
    BadInput
        If the folder cannot be written, or something stands there that is no file.
    """
    need_place(path)
    temporary = ""
    try:
        handle, temporary = tempfile.mkstemp(prefix=f".{path.name}-", dir=path.parent)
        with os.fdopen(handle, "wb") as file:
            file.write(content)
        Path(temporary).chmod(0o644)
        Path(temporary).replace(path)
    except OSError as error:
        raise BadInput(Fault(f"cannot be written: {error.strerror}", str(path))) from None
    finally:
        if temporary:
            Path(temporary).unlink(missing_ok=True)
    return path


def write_text(path: Path, text: str) -> Path:
    """Write UTF-8 text whole or not at all; see ``write_bytes``."""
    return write_bytes(path, text.encode("utf-8"))
