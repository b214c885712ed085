"""Where the command line writes: results to stdout, progress and faults to stderr, one line a fault."""

from __future__ import annotations

import sys
import time
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

from rich.console import Console

from scenes.words import words
from sim.errors import BadInput, TrueseatError

if TYPE_CHECKING:
    from pathlib import Path

    from rich.progress import Progress, TaskID

    from scenes.words.your_count import Count
    from sim.parts.case import Case

PATIENCE = 1.0  # nothing is said about work that is done within this [s]
PIPED_WIDTH = 120  # columns, where stdout is no terminal


class Spoken:
    """The corner and the table at hand, whose nuts or bolts, and whose count of places and studs, the words follow."""

    case: Case | None = None
    count: Count | None = None


def speak_of(case: Case | None = None) -> None:
    """Word all that is written from here on for the nuts or the wheel bolts of a corner; no table is at hand yet."""
    Spoken.case, Spoken.count = case, None


def count_as(turned: str, studs: int) -> None:
    """Name places and studs from here on as a table counts them."""
    from scenes.words.your_count import Count

    Spoken.count = Count(turned, studs)


def spoken(answer: dict[str, Any]) -> dict[str, Any]:
    """Word the sentences of an answer for table and corner at hand; names, keys and what the file says stay."""
    if Spoken.count is not None:
        from scenes.words import your_count

        answer = your_count.answered(answer, Spoken.count)
    if Spoken.case is None:
        return answer
    from scenes.words import fastening  # the parts of a case take long to load

    return fastening.answered(answer, Spoken.case.studs)


def remark(path: Path, notes: Iterable[str]) -> None:
    """Say to stderr what the writer of a file that is taken as it stands may not have meant, a line each."""
    for note in notes:
        sys.stderr.write(f"trueseat: {words.clean(str(path))}: remark: {words.clean(note, 400)}\n")


class Results(Console):
    """A console that words what it prints for the corner at hand, and leaves to others what a closed pipe means."""

    def print(self, *objects: Any, **more: Any) -> None:
        """Print as usual, as the table counts, of bolts where the corner has them."""
        if Spoken.count is not None:
            from scenes.words import your_count

            objects = tuple(your_count.shown(one, Spoken.count) for one in objects)
        if Spoken.case is not None:
            from scenes.words import fastening

            objects = tuple(fastening.worded(one, Spoken.case) for one in objects)
        super().print(*objects, **more)

    def on_broken_pipe(self) -> None:
        """Raise instead of ending the process with a fault."""
        raise BrokenPipeError


def out() -> Console:
    """Console for results; text is never highlighted, so that a figure looks the same everywhere."""
    width = None if sys.stdout.isatty() else PIPED_WIDTH
    return Results(file=sys.stdout, highlight=False, width=width)


def err() -> Console:
    """Console for progress and faults."""
    return Results(file=sys.stderr, highlight=False)


class Teller:
    """Told how far the work is; shows a bar on a terminal, else a line now and then, and only after some patience."""

    def __init__(self) -> None:
        self.console = err()
        self.started = self.said = time.monotonic()
        self.bar: Progress | None = None
        self.task: TaskID | None = None

    def __call__(self, fraction: float, what: str) -> None:
        """Take note of a fraction, 0 to 1, and of what is being done."""
        now = time.monotonic()
        if now - self.started < PATIENCE:
            return
        if not self.console.is_terminal:
            if now - self.said > 10.0 * PATIENCE:
                self.said = now
                self.console.print(f"{round(100 * min(fraction, 1.0))} % {what}", markup=False)
            return
        if self.bar is None or self.task is None:
            self.bar, self.task = self._open()
        self.bar.update(self.task, completed=min(fraction, 1.0), description=words.clean(what, 40))

    def _open(self) -> tuple[Progress, TaskID]:
        # Only here: a quick command never loads it.
        from rich.progress import BarColumn, Progress, TaskProgressColumn, TextColumn, TimeElapsedColumn

        columns = (
            TextColumn("{task.description}", markup=False),
            BarColumn(),
            TaskProgressColumn(),
            TimeElapsedColumn(),
        )
        bar = Progress(*columns, console=self.console, transient=True)
        task = bar.add_task("", total=1.0)
        bar.start()
        return bar, task

    def close(self) -> None:
        """Take the bar away."""
        if self.bar is not None:
            self.bar.stop()
            self.bar = None


@contextmanager
def progress() -> Iterator[Teller]:
    """Give a teller for one piece of work and take its bar away at the end, however it ends."""
    teller = Teller()
    try:
        yield teller
    finally:
        teller.close()


def fault_lines(error: TrueseatError) -> list[str]:
    """One line for each fault, without control characters from any file."""
    faults = [str(fault) for fault in error.faults] if isinstance(error, BadInput) else [str(error)]
    lines = [f"trueseat: {words.clean(fault, 600)}" for fault in faults]
    if Spoken.count is not None:
        lines = [Spoken.count.said(line) for line in lines]
    if Spoken.case is None:
        return lines
    from scenes.words import fastening

    return [fastening.said(line, Spoken.case.studs) for line in lines]
