"""The class over the server: the projector's page, a page for each phone, what passes between them."""

from __future__ import annotations

import secrets

from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from scenes.pages.bench_guard import LEARNER, TRAINER, Denied
from scenes.pages.bench_server import Served, answered, body_of, only, whole
from scenes.words import bench as said
from sim.errors import BadInput, Fault
from sim.live.bench import answer
from sim.live.room import MARKS, Room, room_of
from sim.live.setup import number_of


def room_routes(served: Served, reached: str = "") -> list[Route]:
    """Routes of the class.

    Parameters
    ----------
    served : Served
    reached : str
        How other machines reach this server; empty on loopback, where hands alone are counted.
    """
    room: Room = room_of(served.bench.choices)
    ui = served.words(said.ROOM)
    join = f"{reached}/join?token={served.doors.learner}" if served.doors.shared else ""

    async def projector(request: Request) -> Response:
        return served.page("room", request, (TRAINER,), {"ui": ui, "join": join})

    async def phone(request: Request) -> Response:
        if not served.doors.shared:
            raise Denied(404, "nobody can join: the bench is open on this machine alone")
        return served.page("join", request, (TRAINER, LEARNER), {"ui": ui})

    async def see(request: Request) -> Response:
        served.session(request, (TRAINER,))
        return JSONResponse(room.told(everything=True))

    async def look(request: Request) -> Response:
        served.session(request)
        return JSONResponse(room.told(request.headers["x-bench-session"]))

    async def mark(request: Request) -> Response:
        served.session(request)
        given = await body_of(request)
        only(given, "round", "angle_deg")
        angle = number_of(given["angle_deg"], "angle_deg", -360.0, 720.0) % 360.0
        room.mark(request.headers["x-bench-session"], whole(given["round"], "round", 1e6), angle)
        return JSONResponse(room.told(request.headers["x-bench-session"]))

    async def act(request: Request) -> Response:
        session, given = served.session(request, (TRAINER,)), await body_of(request)
        only(given, "act", "hands")
        if given["act"] == "new":
            room.ask_anew(secrets.randbits(64))
        elif given["act"] == "show":
            room.show(given["hands"])
        elif given["act"] == "tighten" and room.state == MARKS:
            asked, setup = room.round, room.setup
            found = await served.desk.solve(session, session.newest + 1, lambda: answer(served.bench, setup))
            if found is not None and asked == room.round:
                room.tighten(found)
        else:
            raise BadInput(Fault("cannot be done now", key="act", allowed="new, show, then tighten"))
        return JSONResponse(room.told(everything=True))

    return [
        Route("/room", answered(projector)),
        Route("/join", answered(phone)),
        Route("/api/room", answered(see)),
        Route("/api/join", answered(look)),
        Route("/api/mark", answered(mark), methods=["POST"]),
        Route("/api/room", answered(act), methods=["POST"]),
    ]
