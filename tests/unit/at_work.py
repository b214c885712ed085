"""Work for helping processes: a module that is quick to load, because each of them loads it."""

from __future__ import annotations

import time
from pathlib import Path


def sleep(seconds: float) -> float:
    """Return after so many seconds."""
    time.sleep(seconds)
    return seconds


def mark(path: Path) -> None:
    """Leave a file, then take a while."""
    path.touch()
    time.sleep(0.1)
