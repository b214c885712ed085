"""The command ``bench``: a page on this machine on which faults are put at a hub and seated at once."""

from __future__ import annotations

from pathlib import Path
from types import ModuleType
from typing import TYPE_CHECKING, Annotated

from cyclopts import Parameter

from scenes.command import console
from scenes.command.options import WHOLE
from sim.errors import BadInput, Fault, Missing

if TYPE_CHECKING:
    from scenes.pages.bench_guard import Doors

NEEDS = "the live bench needs starlette and uvicorn: in the checkout, pip install '.[bench]'"
DEFAULT = "lesson_outer_dirty"


def bench(
    case: Annotated[
        Path | None, Parameter(help="Case file of the corner; an invented one with perfect parts unless given.")
    ] = None,
    /,
    *,
    port: Annotated[int, WHOLE, Parameter(help="Port that is listened on.")] = 8765,
    address: Annotated[
        str, Parameter(help="Address to serve a class on, such as 0.0.0.0; this machine alone unless given.")
    ] = "127.0.0.1",
    folder: Annotated[
        Path | None, Parameter(help="The trainer's folder: holds the key of the exercises and their results (CSV).")
    ] = None,
    answers: Annotated[
        int | None, WHOLE, Parameter(help="Print the answers of the first so many exercises of each level, and end.")
    ] = None,
) -> int:
    """Serve the live bench: put faults on the hub face, turn the rotor by hand, read the dial; ends with Ctrl-C."""
    server, rooms, tasks = _library()
    from scenes import files
    from scenes.command import doing
    from scenes.command.handout import is_invented
    from scenes.pages import bench_guard, bench_page
    from sim.files.case_file import file_of

    if answers is not None:
        return _sheet(tasks, case, folder, answers)
    if not 1 <= port <= 65_535:
        raise BadInput(Fault(f"{port} is no port", key="--port", allowed="1 .. 65535"))
    doors = bench_guard.doors(address, port)
    file = file_of(case or Path(DEFAULT))
    corner = doing.open_case(file)
    kept = tasks.keeper(None if folder is None else files.folder(folder))
    with server.listening(address, port) as socket:
        with console.progress() as tell:
            made = bench_page.ready(corner, tell)
        served = server.Served(made, doors, is_invented(file))
        show = console.out()
        reached = f"http://{_reached(address)}:{port}"
        more = [*rooms.room_routes(served, reached), *tasks.task_routes(served, kept)]
        for line in addresses(doors, reached):
            show.print(line, markup=False, soft_wrap=True)
        show.file.flush()
        try:
            server.server(served, more).run(sockets=[socket])
        except KeyboardInterrupt:
            show.print("The bench is closed.")
    return 0


def addresses(doors: Doors, reached: str) -> list[str]:
    """What to type into a browser."""
    if not doors.shared:
        host = f"[{doors.address}]" if ":" in doors.address else doors.address
        return [f"The bench is open on this machine: http://{host}:{doors.port}/  (Ctrl-C ends it)"]
    return [
        f"Yours (bench and class): {reached}/?token={doors.trainer}",
        f"Learners:                {reached}/?token={doors.learner}",
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


def _sheet(tasks: ModuleType, case: Path | None, folder: Path | None, count: int) -> int:
    """Print the trainer's sheet: what is hidden in each exercise, by the number that learners see."""
    from rich.table import Table

    from scenes.command import doing
    from scenes.words import words
    from sim.files.case_file import file_of
    from sim.live.exercise import NUMBERS
    from sim.live.setup import choices

    if folder is None or not (folder / tasks.KEY_FILE).is_file():
        allowed = "the folder that the bench was begun with"
        raise BadInput(Fault("exercises are drawn with a key that is not there", key="--folder", allowed=allowed))
    if not 1 <= count <= NUMBERS:
        raise BadInput(Fault(f"{count} is out of range", key="--answers", allowed=f"1 .. {NUMBERS}"))
    base = choices(doing.open_case(file_of(case or Path(DEFAULT)))).base
    table = Table(title="The trainer's sheet: not for the wall", title_justify="left")
    for name in ("level", "number", "shown", "put in", "as found", "cures, cheapest first"):
        table.add_column(name)
    for row in tasks.answers(tasks.keeper(folder), base, count):
        put = [f"{fault} {words.micrometres(um)}" for fault, um in zip(row["faults"], row["share_um"], strict=True)]
        cures = [f"{cure} ({words.micrometres(row['left_um'][cure])})" for cure in row["cures"]]
        found = words.micrometres(row["as_found_um"])
        table.add_row(row["level"], str(row["number"]), row["shown"], ", ".join(put), found, ", ".join(cures))
    console.out().print(table)
    return 0


def _library() -> tuple[ModuleType, ModuleType, ModuleType]:
    try:
        from scenes.pages import bench_room, bench_server, bench_tasks
    except ModuleNotFoundError as error:
        if (error.name or "").partition(".")[0] in ("starlette", "uvicorn"):
            raise Missing(NEEDS) from None
        raise
    return bench_server, bench_room, bench_tasks
