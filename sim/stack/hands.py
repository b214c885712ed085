"""Who computes the tasks of a stack: this process, processes that last as long as the command, or a cluster."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Executor, Future, ProcessPoolExecutor
from contextlib import contextmanager
from typing import Any, TypeVar

from sim.processes import counted, interrupts_held, started

AHEAD = 3  # tasks handed out beforehand for each process, so that none waits

Item = TypeVar("Item")
Answer = TypeVar("Answer")


class Processes(Executor):
    """Processes of this machine, started with the first task, for everything that is asked until they are shut down.

    Parameters
    ----------
    count : int
        As `sim.processes.counted` has it.
    """

    def __init__(self, count: int) -> None:
        self.count = count
        self._pool: ProcessPoolExecutor | None = None

    @property
    def begun(self) -> bool:
        """Whether they run, so that a single task costs no start."""
        return self._pool is not None

    def submit(self, fn: Callable[..., Answer], /, *args: Any, **kwargs: Any) -> Future[Answer]:
        """Hand a task to one of them; the first starts them all, deaf to Ctrl-C and side by side."""
        if self._pool is None:
            self._pool = started(self.count)
            with interrupts_held():
                for _ in range(self.count):
                    self._pool.submit(int)  # a pool starts one more process for every task that finds none idle
        return self._pool.submit(fn, *args, **kwargs)

    def shutdown(self, wait: bool = True, *, cancel_futures: bool = False) -> None:
        """End them; what has begun is waited for."""
        if self._pool is not None:
            self._pool.shutdown(wait=wait, cancel_futures=cancel_futures)


@contextmanager
def processes(workers: int | None) -> Iterator[Processes | None]:
    """Give processes to several questions in a row; None where one is enough, which is this one.

    Parameters
    ----------
    workers : int, optional
        As `sim.processes.counted` has them.

    Yields
    ------
    Processes or None
        An executor as `computed` takes it; leaving the block, however it is left, ends them.

    Raises
    ------
    BadInput
        For a number of processes that is none.
    """
    count = counted(workers)
    if count == 1:
        yield None
        return
    them = Processes(count)
    try:
        yield them
    finally:
        them.shutdown(cancel_futures=True)


def at_once(workers: int | None, executor: Executor | None) -> int:
    """Tasks that can be computed at the same time, as far as this machine knows."""
    return executor.count if isinstance(executor, Processes) else counted(workers)


@contextmanager
def computed(
    task: Callable[[Item], Answer],
    items: Sequence[Item],
    workers: int | None,
    executor: Executor | None,
    wanted: Callable[[Item], bool] | None = None,
) -> Iterator[Iterator[Answer]]:
    """Do a task for many items on an executor, on processes of this machine, or here; answers in their order.

    Parameters
    ----------
    task : callable
    items : sequence
    workers : int, optional
    executor : Executor, optional
    wanted : callable, optional
        Whether an item may be begun before the answers to all items before it are known.

    Yields
    ------
    iterator
    """
    if isinstance(executor, Processes) and len(items) < 2 and not executor.begun:
        yield map(task, items)
    elif executor is not None:
        several = AHEAD * executor.count if isinstance(executor, Processes) else 2 * AHEAD * max(counted(workers), 2)
        yield in_order(executor, task, items, several, wanted)
    elif min(counted(workers), len(items)) < 2:
        yield map(task, items)
    else:
        with processes(min(counted(workers), len(items))) as them:
            assert them is not None
            yield in_order(them, task, items, AHEAD * them.count, wanted)


def in_order(
    executor: Executor,
    task: Callable[[Item], Answer],
    items: Sequence[Item],
    ahead: int,
    wanted: Callable[[Item], bool] | None = None,
) -> Iterator[Answer]:
    """Do a task for many items on an executor, never more than some of them handed out, answers in their order.

    Parameters
    ----------
    executor : Executor
        Of `concurrent.futures`' interface.
    task : callable
    items : sequence
    ahead : int
        Tasks handed out at once: what bounds the memory.
    wanted : callable, optional
        As of `computed`; asked again after every answer that was taken.

    Yields
    ------
    answer
    """
    waiting: deque[Any] = deque()
    begun = 0
    try:
        while begun < len(items) or waiting:
            while begun < len(items) and len(waiting) < ahead:
                if waiting and wanted is not None and not wanted(items[begun]):
                    break
                waiting.append(executor.submit(task, items[begun]))
                begun += 1
            yield waiting.popleft().result()
    finally:
        for future in waiting:
            future.cancel()
