"""Exercises over the server: numbers that reveal nothing, truth that stays here, results in the trainer's folder."""

from __future__ import annotations

import contextlib
import csv
import hashlib
import hmac
import io
import os
import secrets
import sys
import tempfile
import threading
from dataclasses import asdict, dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from starlette.requests import Request
from starlette.responses import JSONResponse, Response
from starlette.routing import Route

from scenes.pages.bench_guard import LEARNER, LETTERS, TRAINER, Denied
from scenes.pages.bench_server import Served, answered, body_of, only, whole
from scenes.words import bench as said
from sim.causes import names
from sim.errors import BadInput, Fault
from sim.files.dial_readings import safe_cell
from sim.live import exercise as drawn
from sim.live import marking
from sim.live.exercise import Exercise, Taken
from sim.parts.case import Case
from sim.units import printable

KEY_FILE, RESULTS_FILE, KEY_BYTES = "exercise-key", "results.csv", 32
MOST_NAME, MOST_RESULTS, MOST_TAKEN = 40, 5000, 24
COLUMNS = (
    "time", "name", "exercise", "level", "minutes", "readings", "cause said", "then said", "points of 10", "mark",
    "probability", "true cause",
)  # fmt: skip


@dataclass
class Keeper:
    """What only the trainer has: the key that exercises are drawn with, and the table of results.

    Parameters
    ----------
    key : bytes
    folder : Path or None
        None where nothing is kept: the key then ends with the program.
    """

    key: bytes
    folder: Path | None = None
    rows: int = 0
    lock: threading.Lock = field(default_factory=threading.Lock)

    def digest(self, what: str, level: str, number: int) -> bytes:
        """Keyed hash (HMAC, RFC 2104) of an exercise: without the key nobody finds it from what is open."""
        return hmac.new(self.key, f"{what}|{level}|{number}".encode(), hashlib.sha256).digest()

    def code(self, level: str, number: int) -> str:
        """What a learner sees of an exercise's number."""
        found = int.from_bytes(self.digest("shown", level, number)[:8], "big")
        letters = [LETTERS[found // 32**k % 32] for k in range(6)]
        return "".join(letters[:3]) + "-" + "".join(letters[3:])

    def draw(self, base: Case, level: str, number: int) -> Exercise:
        """Draw an exercise by its number."""
        return drawn.draw(base, level, int.from_bytes(self.digest("drawn", level, number)[:12], "big"))

    def keep(self, row: list[Any]) -> None:
        """Add a row to the results; text that a spreadsheet would take for a formula is disarmed."""
        if self.folder is None:
            return
        with self.lock:
            if self.rows >= MOST_RESULTS:
                return
            self.rows += 1
            path = self.folder / RESULTS_FILE
            out = io.StringIO()
            table = csv.writer(out, lineterminator="\n")
            if not path.exists():
                table.writerow(COLUMNS)
            table.writerow([safe_cell(cell) if isinstance(cell, str) else cell for cell in row])
            before = path.stat().st_size if path.exists() else 0
            try:
                with path.open("a", encoding="utf-8") as file:
                    file.write(out.getvalue())
            except OSError as error:  # the learner's marks are shown all the same, and the trainer has the row here
                with contextlib.suppress(OSError):
                    os.truncate(path, before)
                sys.stderr.write(f"trueseat: {path}: cannot be written: {error.strerror}; not in it: {out.getvalue()}")


def keeper(folder: Path | None) -> Keeper:
    """Open the trainer's folder; its key is made the first time and readable to its owner alone.

    Raises
    ------
    BadInput
        If the key in it is none.
    """
    if folder is None:
        return Keeper(secrets.token_bytes(KEY_BYTES))
    path = folder / KEY_FILE
    try:
        if not path.exists():
            _make_key(path)
        key = bytes.fromhex(path.read_text(encoding="ascii").strip())
    except (OSError, ValueError) as error:
        raise BadInput(Fault(f"the key of the exercises cannot be read: {error}", str(path))) from None
    if len(key) != KEY_BYTES:
        raise BadInput(Fault(f"holds no key of {KEY_BYTES} bytes", str(path), allowed="a file made by trueseat bench"))
    return Keeper(key, folder)


def _make_key(path: Path) -> None:
    """Make a key, there whole or not at all; of two benches that begin at once the second takes the first one's."""
    handle, passing = tempfile.mkstemp(dir=path.parent, suffix=".part")  # its owner's alone
    try:
        with os.fdopen(handle, "w", encoding="ascii") as file:
            file.write(secrets.token_hex(KEY_BYTES) + "\n")
        try:
            os.link(passing, path)
        except FileExistsError:
            pass
        except OSError:  # a disk that knows no links
            Path(passing).replace(path)
    finally:
        Path(passing).unlink(missing_ok=True)


@dataclass
class Run:
    """One learner at one exercise."""

    exercise: Exercise
    level: str
    code: str
    taken: list[Taken] = field(default_factory=list)
    done: bool = False


def answers(kept: Keeper, base: Case, numbers: int) -> list[dict[str, Any]]:
    """The trainer's sheet: every exercise with its fault, what it runs out, and what cures it. [um]."""
    rows = []
    for level in drawn.LEVELS:
        for number in range(1, numbers + 1):
            one = kept.draw(base, level, number)
            left = dict(zip(drawn.CURES, one.left_um, strict=True))
            rows.append(
                {
                    "level": level, "number": number, "shown": kept.code(level, number), "faults": one.faults,
                    "share_um": one.share_um, "as_found_um": left[names.LEAVE], "cures": one.works(),
                    "left_um": {cure: left[cure] for cure in one.works()},
                }
            )  # fmt: skip
    return rows


def task_routes(served: Served, kept: Keeper) -> list[Route]:
    """Routes of the exercises."""
    base = served.bench.choices.base

    def run_of(request: Request) -> tuple[Any, Run]:
        session = served.session(request)
        run = session.state.get("run")
        if not isinstance(run, Run):
            raise Denied(409, "begin an exercise first")
        if run.done:
            raise Denied(409, "this exercise is handed in")
        return session, run

    async def home(request: Request) -> Response:
        more = {
            "levels": drawn.LEVELS, "numbers": drawn.NUMBERS, "causes": names.CAUSES, "cures": drawn.CURES,
            "reads": drawn.READINGS, "cannotTell": marking.CANNOT_TELL, "recorded": kept.folder is not None,
            "ui": served.words(said.TASKS),
        }  # fmt: skip
        return served.page("exercises", request, (TRAINER, LEARNER), more)

    async def start(request: Request) -> Response:
        session, given = served.session(request), await body_of(request)
        only(given, "level", "number")
        level, number = given["level"], whole(given["number"], "number", drawn.NUMBERS)
        if level not in drawn.LEVELS or number < 1:
            raise BadInput(Fault("no such exercise", key="level", allowed=", ".join(drawn.LEVELS)))
        made = await served.desk.slowly(session, lambda: {"exercise": kept.draw(base, level, number)})
        session.state["run"] = Run(made["exercise"], level, kept.code(level, number))
        return JSONResponse({"shown": kept.code(level, number), "minutes": 0, "menu": drawn.menu([])})

    async def measure(request: Request) -> Response:
        session, run = run_of(request)
        given = await body_of(request)
        only(given, "what", "stud")
        studs = base.studs.count
        if not isinstance(given["what"], str) or len(run.taken) >= MOST_TAKEN:
            raise BadInput(Fault("cannot be read now", key="what"))
        one = drawn.taking(run.taken, given["what"], whole(given["stud"], "stud", studs) - 1, studs)
        found = await served.desk.slowly(session, lambda: {"trace": drawn.trace_of(run.exercise, one)})
        run.taken.append(one)
        trace = found["trace"]
        return JSONResponse(
            {
                "what": one.what, "kind": trace.kind, "stud": one.hole + 1, "state": one.state, "mount": one.mount,
                "angle_deg": trace.angle_deg.tolist(), "reading_um": trace.value_um.tolist(),
                "runout_um": drawn.runout_read_um(trace), "minutes": drawn.minutes_of(run.taken),
                "menu": drawn.menu(run.taken),
            }
        )  # fmt: skip

    async def submit(request: Request) -> Response:
        session, run = run_of(request)
        given = await body_of(request)
        only(given, "name", "cause", "then")
        name, said_ = name_of(given["name"]), marking.given_of(given["cause"], given["then"])
        taken = tuple(run.taken)

        def judge() -> dict[str, Any]:
            found = asdict(marking.mark(run.exercise, taken, said_))
            row = [
                datetime.now(UTC).strftime("%Y-%m-%d %H:%M"), name, run.code, run.level, found["minutes"],
                "; ".join(one.what for one in taken), said_.cause, said_.then, found["points"], found["why"],
                round(found["probability"], 2), found["faults"][0],
            ]  # fmt: skip
            kept.keep(row)
            return found

        run.done = True  # once: a second request finds it handed in
        try:
            found = await served.desk.slowly(session, judge)
        except BaseException:
            run.done = False
            raise
        return JSONResponse(found | {"csv": drawn.readings_of(run.exercise, taken)[1]})

    return [
        Route("/exercises", answered(home)),
        Route("/api/exercise/start", answered(start), methods=["POST"]),
        Route("/api/exercise/measure", answered(measure), methods=["POST"]),
        Route("/api/exercise/submit", answered(submit), methods=["POST"]),
    ]


def name_of(raw: object) -> str:
    """Read a learner's name: one short line, may be empty.

    Raises
    ------
    BadInput
        For anything else.
    """
    if not isinstance(raw, str) or len(raw) > MOST_NAME or not raw.isprintable():
        raise BadInput(Fault("is no name", key="name", allowed=f"one line, up to {MOST_NAME} characters"))
    return printable(raw.strip(), MOST_NAME)
