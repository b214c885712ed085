"""What came of many corners, gathered block by block: in memory, or from some number of corners on in files."""

from __future__ import annotations

import errno
import os
import tempfile
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import overload

import numpy as np
from numpy.typing import NDArray

from sim.errors import BadInput, Fault
from sim.stack.draw import Drawn

#: Corners that are held in memory, at one to two kB each (counted); more of them lie in files mapped to it.
IN_MEMORY = 20_000


class Gathered:
    """Columns of corners, filled block by block.

    Parameters
    ----------
    size : int
        Corners at the most.
    folder : Path, optional
        Where files lie that more than `IN_MEMORY` corners take; the system's own place for passing files unless given.
        They have no name and go with the last that uses them.
    """

    def __init__(self, size: int, folder: Path | None = None) -> None:
        self.size, self.folder, self.filled = size, folder, 0
        self._arrays: dict[str, NDArray] = {}

    def add(self, block: Mapping[str, NDArray]) -> None:
        """Take the next block: every column alike long, always the same columns.

        Raises
        ------
        BadInput
            Where the disk has no room for all corners; told before the first is kept.
        """
        count = max(map(len, block.values()), default=0)
        rows = slice(self.filled, self.filled + count)
        for name, values in block.items():
            if name not in self._arrays:
                self._arrays[name] = self._room((self.size, *values.shape[1:]), values.dtype)
            self._arrays[name][rows] = values
        self.filled = rows.stop

    def columns(self) -> dict[str, NDArray]:
        """All that was taken, by name."""
        return {name: values[: self.filled] for name, values in self._arrays.items()}

    def _room(self, shape: tuple[int, ...], dtype: np.dtype) -> NDArray:
        if self.size <= IN_MEMORY or 0 in shape:
            return np.empty(shape, dtype)
        wanted = int(np.prod(shape)) * dtype.itemsize
        try:
            with tempfile.TemporaryFile(dir=self.folder) as file:
                # A file that only claims its length would end the process where the disk fills up later.
                if hasattr(os, "posix_fallocate"):
                    _ask_room(file.fileno(), wanted)
                return np.memmap(file, dtype, "r+", shape=shape)
        except OSError as error:
            where = str(self.folder or tempfile.gettempdir())
            why = f"has no room for what comes of {self.size} corners: {error.strerror}"
            raise BadInput(Fault(why, where, allowed="fewer samples, or a folder with more room")) from None


def _ask_room(file: int, wanted: int) -> None:
    """Take so many bytes of the disk; a file system that cannot be asked is taken at its word."""
    try:
        os.posix_fallocate(file, 0, wanted)
    except OSError as error:
        if error.errno not in (errno.EOPNOTSUPP, errno.EINVAL):
            raise


@dataclass(frozen=True, eq=False)
class Redrawn(Sequence[Drawn]):
    """Blocks of corners, drawn anew whenever they are asked for: a draw costs less than keeping it.

    Parameters
    ----------
    draw : callable(block)
    blocks : int
        How many.
    """

    draw: Callable[[int], Drawn]
    blocks: int

    def __len__(self) -> int:
        return self.blocks

    @overload
    def __getitem__(self, block: int) -> Drawn: ...

    @overload
    def __getitem__(self, block: slice) -> Sequence[Drawn]: ...

    def __getitem__(self, block: int | slice) -> Drawn | Sequence[Drawn]:
        """One block, or some."""
        which = range(self.blocks)[block]
        return self.draw(which) if isinstance(which, int) else tuple(map(self.draw, which))
