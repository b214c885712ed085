"""The server of the live bench: pages and JSON on one machine, nothing fetched, no file reached by a request."""

from __future__ import annotations

import asyncio
import secrets
import socket
from collections.abc import AsyncIterator, Awaitable, Callable, Sequence
from contextlib import asynccontextmanager
from dataclasses import dataclass, field
from typing import Any

import h11
import uvicorn
from starlette.applications import Starlette
from starlette.requests import ClientDisconnect, Request
from starlette.responses import HTMLResponse, JSONResponse, Response
from starlette.routing import Route
from uvicorn.protocols.http.h11_impl import H11Protocol

from scenes.pages import bench_page
from scenes.pages.bench_desk import Desk, Session
from scenes.pages.bench_guard import LEARNER, MOST_BYTES, TRAINER, Denied, Doors, Guard, read_json
from scenes.words import bench as said
from scenes.words import fastening
from sim.errors import BadInput, Fault, Refused
from sim.files.rewritten_case import written
from sim.live.bench import Bench, answer, table, worn
from sim.live.setup import case_of, number_of, setup_of
from sim.one_thread import held

WEAR_KM = 10_000.0
BODY_S = 5.0  # a state is sent in one piece; judgement
HEAD_S = 10.0  # from a connection's opening or its last answer to the whole head of a request; judgement
POLICY = (
    "default-src 'none'; script-src 'nonce-{0}'; style-src 'nonce-{0}'; connect-src 'self'; img-src data:; "
    "base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)
INVENTED = "Set up on the live bench; invented."
Handler = Callable[[Request], Awaitable[Response]]


@dataclass
class Served:
    """What one server has: a corner, who may ask, its sessions.

    Parameters
    ----------
    bench : Bench
    doors : Doors
    invented : bool
        Whether the pages say that their corner is invented.
    """

    bench: Bench
    doors: Doors
    invented: bool = True
    desk: Desk = field(default_factory=Desk)

    def page(self, name: str, request: Request, roles: tuple[str, ...], more: dict[str, Any] | None = None) -> Response:
        """Answer with a page and a session of its own; refuses who has no key for it."""
        token = request.query_params.get("token", "")
        if self.doors.role(token) not in roles:
            raise Denied(403, "the address is not complete: it ends with a token")
        nonce = secrets.token_urlsafe(18)
        given = {
            "session": self.desk.open(), "token": token, "invented": self.invented, "pages": self.pages(token),
        }  # fmt: skip
        html = bench_page.page(name, self.bench, nonce, given | (more or {}))
        return HTMLResponse(html, headers={"content-security-policy": POLICY.format(nonce)})

    def words(self, more: dict[str, str]) -> dict[str, str]:
        """Words of a page, worded for what this corner has."""
        found: dict[str, str] = fastening.answered({**said.UI, **more}, self.bench.choices.base.studs)
        return found

    def pages(self, token: str) -> list[tuple[str, str]]:
        """Pages that somebody may open, with their addresses."""
        end = f"?token={token}" if self.doors.shared else ""
        more = [("exercises", f"/exercises{end}")]
        if self.doors.role(token) == TRAINER:
            more.append(("room", f"/room{end}"))
        return [("bench", f"/{end}"), *more]

    def session(self, request: Request, roles: tuple[str, ...] = (TRAINER, LEARNER)) -> Session:
        """Session of a request; refuses who has no key for it."""
        if self.doors.role(request.headers.get("x-bench-token", "")) not in roles:
            raise Denied(403, "not for this token")
        return self.desk.of(request.headers.get("x-bench-session", ""))


async def body_of(request: Request) -> dict[str, Any]:
    """Read the JSON of a request, never more of it than allowed nor longer than it takes."""

    async def whole_body() -> bytes:
        body = b""
        async for piece in request.stream():
            body += piece
            if len(body) > MOST_BYTES:
                raise Denied(413, "the request is too large")
        return body

    try:
        return read_json(await asyncio.wait_for(whole_body(), BODY_S))
    except TimeoutError:
        raise Denied(408, "the request never ended") from None


def answered(handler: Handler) -> Handler:
    """Turn refusals into their status and one sentence."""

    async def careful(request: Request) -> Response:
        try:
            return await handler(request)
        except Denied as denied:
            return JSONResponse({"error": denied.reason}, denied.status)
        except BadInput as error:
            return JSONResponse({"error": "; ".join(str(fault) for fault in error.faults)[:400]}, 400)
        except Refused as error:
            return JSONResponse({"error": f"Physics refuses: {error}"}, 422)
        except ClientDisconnect:
            return Response(status_code=400)

    return careful


def whole(raw: object, key: str, high: float) -> int:
    """Read a whole number from nought on."""
    value = number_of(raw, key, 0, high)
    if value != int(value):
        raise BadInput(Fault("is not a whole number", key=key))
    return int(value)


def only(given: dict[str, Any], *keys: str) -> None:
    """Refuse a request with other keys than these."""
    if set(given) != set(keys):
        raise BadInput(Fault("other keys were expected", key="request", allowed=", ".join(keys)))


def bench_routes(served: Served) -> list[Route]:
    """Routes of the bench itself."""
    of = served.bench

    async def home(request: Request) -> Response:
        return served.page("bench", request, (TRAINER, LEARNER))

    async def seat(request: Request) -> Response:
        session, given = served.session(request), await body_of(request)
        only(given, "seq", "setup")
        number, setup = whole(given["seq"], "seq", 1e9), setup_of(given["setup"], of.choices)
        found = await served.desk.solve(session, number, lambda: answer(of, setup))
        return JSONResponse({"stale": True} if found is None else found)

    async def rows(request: Request) -> Response:
        session, given = served.session(request), await body_of(request)
        only(given, "setup")
        setup = setup_of(given["setup"], of.choices)
        return JSONResponse(await served.desk.slowly(session, lambda: table(of, setup)))

    async def wear(request: Request) -> Response:
        session, given = served.session(request), await body_of(request)
        only(given, "setup")
        setup = setup_of(given["setup"], of.choices)
        return JSONResponse(await served.desk.slowly(session, lambda: worn(of, setup, WEAR_KM)))

    async def case(request: Request) -> Response:
        served.session(request)
        given = await body_of(request)
        only(given, "setup")
        return JSONResponse({"toml": written(case_of(of.choices, setup_of(given["setup"], of.choices)), [INVENTED])})

    return [
        Route("/", answered(home)),
        Route("/api/seat", answered(seat), methods=["POST"]),
        Route("/api/table", answered(rows), methods=["POST"]),
        Route("/api/wear", answered(wear), methods=["POST"]),
        Route("/api/case", answered(case), methods=["POST"]),
    ]


def application(served: Served, more: Sequence[Route] = ()) -> Guard:
    """Put the server together: routes behind the guard."""

    @asynccontextmanager
    async def lifespan(_: Starlette) -> AsyncIterator[None]:
        with held():  # from the first answer to the last, or every answer would begin and end the libraries' threads
            await served.desk.start()
            yield
            await served.desk.stop()

    return Guard(Starlette(routes=[*bench_routes(served), *more], lifespan=lifespan), served.doors)


def listening(address: str, port: int) -> socket.socket:
    """Open the port before anything is computed.

    Raises
    ------
    BadInput
        If it is taken, or the address is not this machine's.
    """
    family = socket.AF_INET6 if ":" in address else socket.AF_INET
    # TCP by name: asyncio sends at once only on such a socket; else every second answer waits 40 ms for an ACK.
    found = socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    found.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        found.bind((address, port))
        found.listen(128)
    except OSError as error:
        found.close()
        where = "another --port, or an --address of this machine"
        raise BadInput(
            Fault(f"cannot listen there: {error.strerror}", key=f"{address}:{port}", allowed=where)
        ) from None
    return found


class Hurried(H11Protocol):
    """Connections that say nothing, or a head letter by letter, are dropped; uvicorn waits for both without an end."""

    waiting: asyncio.TimerHandle | None = None

    def connection_made(self, transport: asyncio.Transport) -> None:  # type: ignore[override]
        """Begin to wait for a head."""
        super().connection_made(transport)
        self.waiting = self.loop.call_later(HEAD_S, self.give_up)

    def connection_lost(self, exc: Exception | None) -> None:
        """Wait for nothing more."""
        self.wait_no_longer()
        super().connection_lost(exc)

    def handle_events(self) -> None:
        """Answer what has come; wait for the rest of a head that has begun."""
        super().handle_events()
        if self.conn.their_state is not h11.IDLE:
            self.wait_no_longer()
        elif self.waiting is None and self.conn.trailing_data[0]:  # a head has begun on a connection that was kept
            self.waiting = self.loop.call_later(HEAD_S, self.give_up)

    def wait_no_longer(self) -> None:
        """Put the clock away."""
        if self.waiting is not None:
            self.waiting.cancel()
            self.waiting = None

    def give_up(self) -> None:
        """Drop the connection, unless a request is being answered."""
        if self.conn.their_state is h11.IDLE:
            self.transport.close()


def server(served: Served, more: Sequence[Route] = ()) -> uvicorn.Server:
    """Make the server, ready to run on a socket; more routes join those of the bench."""
    return uvicorn.Server(
        uvicorn.Config(
            application(served, more),  # type: ignore[arg-type]
            log_config=None,
            access_log=False,
            server_header=False,
            ws="none",
            http=Hurried,
            loop="asyncio",
            limit_concurrency=256,
            timeout_keep_alive=20,
            timeout_graceful_shutdown=2,
            h11_max_incomplete_event_size=16_384,
            proxy_headers=False,
        )
    )
