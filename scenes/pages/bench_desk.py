"""Sessions of the live bench and their solves: one at a time, each session's newest request, older ones dropped."""

from __future__ import annotations

import asyncio
import secrets
from collections import OrderedDict, deque
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from contextlib import suppress
from dataclasses import dataclass, field
from typing import Any

from scenes.pages.bench_guard import AT_ONCE, MOST_SESSIONS, PER_SECOND, Bucket, Denied

# A solve takes 10 ms; one that takes so long is answered with an apology and its result thrown away. Judgement. [s]
LONGEST_S = 20.0
# Wear and marking take tenths of a second to some: each session may ask for so many. Judgement.
SLOW_PER_SECOND, SLOW_AT_ONCE, SLOW_WAITING = 0.5, 12.0, 60


@dataclass
class Job:
    """A solve that was asked for."""

    act: Callable[[], dict[str, Any]]
    done: asyncio.Future[dict[str, Any] | None]


@dataclass
class Session:
    """One page in somebody's hand.

    Parameters
    ----------
    newest : int
        Largest number that came from it; what is not above it is stale.
    waiting : Job or None
        Not begun yet.
    state : dict
        What else belongs to it, such as an exercise.
    """

    newest: int = -1
    waiting: Job | None = None
    bucket: Bucket = field(default_factory=lambda: Bucket(PER_SECOND, AT_ONCE))
    slow: Bucket = field(default_factory=lambda: Bucket(SLOW_PER_SECOND, SLOW_AT_ONCE))
    state: dict[str, Any] = field(default_factory=dict)


class Desk:
    """Sessions, and the two threads that compute for them: one for seatings, one for what takes longer."""

    def __init__(self) -> None:
        self.sessions: OrderedDict[str, Session] = OrderedDict()
        self.queue: deque[Session] = deque()
        self.quick = ThreadPoolExecutor(1, "bench-seat")
        self.long = ThreadPoolExecutor(1, "bench-slow")
        self.slow_waiting = 0
        self.wake = asyncio.Event()
        self.task: asyncio.Task[None] | None = None

    def open(self) -> str:
        """Begin a session; the longest unused one ends where there are too many."""
        key = secrets.token_urlsafe(12)
        self.sessions[key] = Session()
        while len(self.sessions) > MOST_SESSIONS:
            self.sessions.popitem(last=False)
        return key

    def of(self, key: str) -> Session:
        """Session of a page, counted against its rate.

        Raises
        ------
        Denied
            For one that is not known, or asks too often.
        """
        found = self.sessions.get(key)
        if found is None:
            raise Denied(403, "this page is too old; load it again")
        self.sessions.move_to_end(key)
        if not found.bucket.take():
            raise Denied(429, "too often")
        return found

    async def solve(self, session: Session, number: int, act: Callable[[], dict[str, Any]]) -> dict[str, Any] | None:
        """Solve the newest request of a session; None for one that a newer one has overtaken.

        Raises
        ------
        Denied
            If it takes too long.
        """
        if number <= session.newest:
            return None
        session.newest = number
        if session.waiting is not None:
            if not session.waiting.done.done():
                session.waiting.done.set_result(None)
        else:
            self.queue.append(session)
        job = session.waiting = Job(act, asyncio.get_running_loop().create_future())
        self.wake.set()
        try:
            return await asyncio.wait_for(job.done, LONGEST_S)
        except TimeoutError:
            raise Denied(503, "this takes too long; try another place") from None

    async def slowly(self, session: Session, act: Callable[[], dict[str, Any]]) -> dict[str, Any]:
        """Compute something that takes longer, beside the seatings.

        Raises
        ------
        Denied
            If too much of it waits already, or it takes too long.
        """
        if self.slow_waiting >= SLOW_WAITING or not session.slow.take():
            raise Denied(429, "one at a time; wait a little")
        self.slow_waiting += 1
        asked = asyncio.get_running_loop().run_in_executor(self.long, act)
        asked.add_done_callback(self._one_less)
        try:
            return await asyncio.wait_for(asyncio.shield(asked), 6.0 * LONGEST_S)
        except TimeoutError:
            raise Denied(503, "this takes too long") from None

    def _one_less(self, asked: asyncio.Future[Any]) -> None:
        self.slow_waiting -= 1
        if not asked.cancelled():
            asked.exception()  # looked at, so that nobody complains where the page has gone

    async def work(self) -> None:
        """Take sessions in turn and solve what each waits for; goes on for ever."""
        loop = asyncio.get_running_loop()
        while True:
            while not self.queue:
                self.wake.clear()
                await self.wake.wait()
            session = self.queue.popleft()
            job, session.waiting = session.waiting, None
            if job is None or job.done.done():
                continue
            try:
                found = await loop.run_in_executor(self.quick, job.act)
            except Exception as error:  # whatever it is belongs to who asked, and the bench goes on
                if not job.done.done():
                    job.done.set_exception(error)
                continue
            if not job.done.done():
                job.done.set_result(found)

    async def start(self) -> None:
        """Begin to work."""
        self.task = asyncio.create_task(self.work())

    async def stop(self) -> None:
        """End: nothing that waits is begun any more."""
        if self.task is not None:
            self.task.cancel()
            with suppress(asyncio.CancelledError):
                await self.task
        for pool in (self.quick, self.long):
            pool.shutdown(wait=False, cancel_futures=True)
