"""The command ``bench``: a page on this machine on which faults are put at a hub and seated at once."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from cyclopts import Parameter

from scenes.command import console
from sim.errors import BadInput, Fault, Missing

NEEDS = "the live bench needs starlette and uvicorn: pip install 'trueseat[bench]'"
DEFAULT = "lesson_outer_dirty"


def bench(
    case: Annotated[
        Path | None, Parameter(help="Case file of the corner; an invented one with perfect parts unless given.")
    ] = None,
    /,
    *,
    port: Annotated[int, Parameter(help="Port that is listened on.")] = 8765,
    address: Annotated[
        str, Parameter(help="Address to serve a class on, such as 0.0.0.0; this machine alone unless given.")
    ] = "127.0.0.1",
) -> int:
    """Serve the live bench: put faults on the hub face, turn the rotor by hand, read the dial; ends with Ctrl-C."""
    server = _library()
    from scenes.command import doing
    from scenes.command.handout import is_invented
    from scenes.pages import bench_guard, bench_page
    from sim.files.case_file import file_of

    if not 1 <= port <= 65_535:
        raise BadInput(Fault(f"{port} is no port", key="--port", allowed="1 .. 65535"))
    doors = bench_guard.doors(address, port)
    file = file_of(case or Path(DEFAULT))
    corner = doing.open_case(file)
    with server.listening(address, port) as socket:
        with console.progress() as tell:
            made = bench_page.ready(corner, tell)
        served = server.Served(made, doors, is_invented(file))
        show = console.out()
        for line in addresses(doors):
            show.print(line, markup=False, soft_wrap=True)
        show.file.flush()
        try:
            server.server(served).run(sockets=[socket])
        except KeyboardInterrupt:
            show.print("The bench is closed.")
    return 0


def addresses(doors: object) -> list[str]:
    """What to type into a browser."""
    from scenes.pages.bench_guard import Doors

    assert isinstance(doors, Doors)
    if not doors.shared:
        host = f"[{doors.address}]" if ":" in doors.address else doors.address
        return [f"The bench is open on this machine: http://{host}:{doors.port}/  (Ctrl-C ends it)"]
    home = f"http://{_reached(doors.address)}:{doors.port}"
    return [
        f"Yours (bench and class): {home}/?token={doors.trainer}",
        f"Learners:                {home}/?token={doors.learner}",
        "Whoever has an address with its token may use the page. Ctrl-C ends it.",
    ]


def _reached(address: str) -> str:
    """Address by which others reach this machine; no packet is sent to find it."""
    import ipaddress
    import socket

    if not ipaddress.ip_address(address).is_unspecified:
        return f"[{address}]" if ":" in address else address
    probe = socket.socket(socket.AF_INET, socket.SOCK_DGRAM)
    try:
        probe.connect(("192.0.2.1", 9))  # an address of documentation (RFC 5737): chooses a route, sends nothing
        return str(probe.getsockname()[0])
    except OSError:
        return socket.gethostname()
    finally:
        probe.close()


def _library():  # type: ignore[no-untyped-def]
    try:
        from scenes.pages import bench_server
    except ModuleNotFoundError as error:
        if (error.name or "").partition(".")[0] in ("starlette", "uvicorn"):
            raise Missing(NEEDS) from None
        raise
    return bench_server
