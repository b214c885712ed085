"""Work shared out to processes that never outlive the one that started them, and never answer Ctrl-C themselves."""

from __future__ import annotations

import os
import signal
import threading
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any, TypeVar

from sim.errors import BadInput, Fault

if TYPE_CHECKING:  # loaded where processes are started: every command line imports this module
    from concurrent.futures import ProcessPoolExecutor
    from multiprocessing.connection import Connection

Item = TypeVar("Item")
Answer = TypeVar("Answer")

# Processes where a call does not say how many. One: a helper imports the script that started it again, and a script
# without a guard would start helpers of its own. Command lines say `allow_all_cores` first.
_unless_told = 1


def allow_all_cores() -> None:
    """Let work be shared out to one process a core wherever a call does not say how many."""
    global _unless_told
    _unless_told = os.cpu_count() or 1


def counted(workers: int | None) -> int:
    """Processes to use.

    Parameters
    ----------
    workers : int or None
        None for one, or for one a core after `allow_all_cores`.

    Raises
    ------
    BadInput
        If it is no whole number above nought.

    Examples
    --------
    >>> counted(3)
    3
    """
    if workers is None:
        return _unless_told
    if isinstance(workers, bool) or not isinstance(workers, int) or workers < 1:
        raise BadInput(Fault(f"{workers!r} is no number of processes", key="workers", allowed="whole, 1 or more"))
    return workers


@contextmanager
def shared_out(
    task: Callable[[Item], Answer], items: Iterable[Item], workers: int | None, chunk: int
) -> Iterator[Iterator[Answer]]:
    """Let processes do a task for many items; leaving the block, however it is left, ends what has not begun.

    Parameters
    ----------
    task : callable
        Must be importable, and so must what it carries.
    items : iterable
    workers : int or None
        Processes, as `counted` has them; with one, all is done in this process.
    chunk : int
        Items handed over at a time.

    Yields
    ------
    iterator
        Answers, in the order of the items.

    Raises
    ------
    BadInput
        For a number of processes that is none.
    """
    if counted(workers) == 1:
        yield map(task, items)
        return
    pool = started(counted(workers))
    try:
        with interrupts_held():  # all processes start with the first task
            answers = pool.map(task, items, chunksize=chunk)
        yield answers
    finally:
        pool.shutdown(wait=True, cancel_futures=True)


def started(
    workers: int | None,
    begin: Callable[..., Any] | None = None,
    given: tuple[Any, ...] = (),
    leash: Connection | None = None,
) -> ProcessPoolExecutor:
    """Make a pool whose processes end with this one; hand over its first task within ``interrupts_held``.

    Parameters
    ----------
    workers : int or None
        Processes; None for one a core.
    begin, given : callable and tuple, optional
        Called with these in each new process.
    leash : Connection, optional
        Reading end of a pipe; when its other end is closed, the processes end in the middle of what they do.
    """
    from concurrent.futures import ProcessPoolExecutor
    from multiprocessing import get_context

    return ProcessPoolExecutor(
        workers, mp_context=get_context("spawn"), initializer=_begin, initargs=(begin, given, leash)
    )


@contextmanager
def interrupts_held() -> Iterator[None]:
    """Hold Ctrl-C back while processes are started, so that they inherit deaf ears; it comes through afterwards.

    A terminal sends it to every process: those that help would each print where they were.
    """
    if not hasattr(signal, "pthread_sigmask"):
        yield
        return
    before = signal.pthread_sigmask(signal.SIG_BLOCK, {signal.SIGINT})
    try:
        yield
    finally:
        signal.pthread_sigmask(signal.SIG_SETMASK, before)


def _begin(begin: Callable[..., Any] | None, given: tuple[Any, ...], leash: Connection | None) -> None:
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    threading.Thread(target=_end_with_parent, args=(leash,), daemon=True).start()
    if begin is not None:
        begin(*given)


def _end_with_parent(leash: Connection | None) -> None:
    """Wait for the end of the process that started this one; whoever is killed cannot say goodbye."""
    from multiprocessing import connection, parent_process

    parent = parent_process()
    held = [] if parent is None else [parent.sentinel]
    connection.wait([*held, *([] if leash is None else [leash])])
    os._exit(1)
