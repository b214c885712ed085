"""One thread in the linear algebra libraries while physics is computed, and only then.

The matrices are small, the work is shared out by case instead; and the order of additions, hence the last bit of every
answer, does not depend on the machine's cores. Set by environment variables it would come too late wherever numpy is
imported first.
"""

from __future__ import annotations

import functools
import threading
from collections.abc import Callable
from contextlib import AbstractContextManager
from typing import Any, ParamSpec, TypeVar

from threadpoolctl import ThreadpoolController

Given = ParamSpec("Given")
Answer = TypeVar("Answer")


@functools.cache
def _libraries() -> ThreadpoolController:
    """Find the libraries; takes milliseconds, so once a process."""
    # A library can be limited only once it is loaded; what computes nothing, such as `check`, need not load them.
    import numpy  # noqa: F401
    import scipy.linalg  # noqa: F401  brings its own

    return ThreadpoolController()


def _let_go() -> None:
    """Newer threadpoolctl lets the thread that set a limit alone set another, silently: here a lock of its own does."""
    for library in _libraries().lib_controllers:
        if hasattr(library, "clear_controlling_thread"):
            library.clear_controlling_thread(force=True)


class _Limit:
    """The limit holds from the first that enters to the last that leaves: it belongs to the process, not the thread."""

    def __init__(self) -> None:
        self.lock, self.inside, self.limit = threading.Lock(), 0, None

    limit: Any  # threadpoolctl names no type for what ``limit`` returns

    def __enter__(self) -> None:
        with self.lock:
            if self.inside == 0:
                _let_go()
                self.limit = _libraries().limit(limits=1)
            self.inside += 1

    def __exit__(self, *_: object) -> None:
        with self.lock:
            self.inside -= 1
            if self.inside == 0:
                _let_go()
                self.limit.restore_original_limits()
                _let_go()
                self.limit = None


_LIMIT = _Limit()


def held() -> AbstractContextManager[None]:
    """Hold the limit over a stretch of work that computes again and again.

    Each setting and undoing makes some libraries end and begin their threads: ten times the time of a small seating.

    Examples
    --------
    >>> with held():
    ...     {library["num_threads"] for library in _libraries().info()}
    {1}
    """
    return _LIMIT


def one_thread(function: Callable[Given, Answer]) -> Callable[Given, Answer]:
    """Let a function compute with one thread in the linear algebra libraries; within another such one it costs nothing.

    Examples
    --------
    >>> @one_thread
    ... def inside():
    ...     return {library["num_threads"] for library in _libraries().info()}
    >>> inside()
    {1}
    """

    @functools.wraps(function)
    def limited(*given: Given.args, **named: Given.kwargs) -> Answer:
        with _LIMIT:
            return function(*given, **named)

    return limited
