"""What hostile files are put to, and what must not come of it: a traceback, a hang, a number that is none, a flood."""

from __future__ import annotations

import dataclasses
import json
import math
import signal
import tempfile
import threading
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import numpy as np

from scenes.command import console
from sim import answers, chain, run_folder
from sim.bench import chalk, chalk_sweeps, mountings
from sim.bench.next_act import next_act
from sim.causes import priors_file
from sim.errors import BadInput, Refused, TrueseatError
from sim.files import dial_readings, foil_log
from sim.files.case_file import case_from_text, dict_to_case
from sim.files.face_table import read_topography
from sim.parts.case import Case, Limits
from sim.seating.prepared import pair_key
from sim.stack import run as stack_run
from sim.stack.study_file import study_from_text
from tests.properties import anywhere
from tests.properties.every_door import none_in

HANG_S = 10.0
MOST_LINES = 400  # of faults of one file: more is a flood, not a help
SEATED_CORNERS = 8


class Hung(BaseException):
    """Nothing heard for too long; no `except Exception` swallows it."""


class Found(AssertionError):
    """What must not come of any file."""


@contextmanager
def patience(seconds: float = HANG_S) -> Iterator[Callable[[float, str], None]]:
    """Interrupt what uses so much CPU without a word; gives the teller that is listened to."""
    if threading.current_thread() is not threading.main_thread():
        yield lambda done, what: None
        return

    def raised(*_: object) -> None:
        raise Hung(f"nothing said for {seconds:g} s of CPU")

    before = signal.signal(signal.SIGVTALRM, raised)
    signal.setitimer(signal.ITIMER_VIRTUAL, seconds)
    try:
        yield lambda done, what: signal.setitimer(signal.ITIMER_VIRTUAL, seconds) and None
    finally:
        signal.setitimer(signal.ITIMER_VIRTUAL, 0.0)
        signal.signal(signal.SIGVTALRM, before)


def _readings(text: str) -> Any:
    return dial_readings.parse(text, "readings.csv")


def _face(text: str) -> Any:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "face.csv"
        path.write_bytes(text.encode("utf-8", "surrogatepass"))
        return read_topography(path)


def _priors(text: str) -> Any:
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "priors.toml"
        path.write_bytes(text.encode("utf-8", "surrogatepass"))
        return priors_file.read(path)


def _log(text: str) -> Any:
    row: dict[str, object] = dict.fromkeys(foil_log.COLUMNS, 1.0)
    longer = foil_log.added(text, [row], "log.csv")
    return foil_log.tally(longer)


PARSERS: dict[str, Callable[[str], Any]] = {
    "case": lambda text: case_from_text(text, "case.toml"),
    "readings": _readings,
    "face": _face,
    "stack": lambda text: study_from_text(text, "stack.toml"),
    "priors": _priors,
    "chalk": lambda text: chalk_sweeps.parse(text, "sweeps.csv"),
    "foil log": _log,
}


def parsed(kind: str, text: str) -> Any:
    """What a file was read as; None where it was refused in words.

    Raises
    ------
    Found, Hung, or whatever broke
    """
    with patience():
        try:
            found = PARSERS[kind](text)
        except TrueseatError as error:
            worded(error)
            return None
    sound(found, kind)
    return found


def worded(error: TrueseatError) -> None:
    """Refusals are said in words, and not in too many."""
    lines = console.fault_lines(error)
    if not lines or any(len(line) < 20 for line in lines):
        raise Found(f"refused without a word: {lines}")
    if len(lines) > MOST_LINES:
        raise Found(f"{len(lines)} lines of faults: {lines[0]}")
    if any(not line.isprintable() for line in lines):
        raise Found(f"a line that is not printable: {lines}")


def sound(value: Any, where: str) -> None:
    """No number in what was read may be none; infinity neither, but where it says that a spread is not cut off."""
    no_end = isinstance(value, float) and math.isinf(value) and where.endswith((".lowest", ".highest"))
    if isinstance(value, float | np.floating) and not math.isfinite(value) and not no_end:
        raise Found(f"{where} is {value}")
    if isinstance(value, np.ndarray) and value.dtype.kind in "fc" and not np.isfinite(value).all():
        raise Found(f"{where} holds a number that is none")
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        for one in dataclasses.fields(value):
            sound(getattr(value, one.name), f"{where}.{one.name}")
    elif isinstance(value, tuple | list):
        for number, item in enumerate(value):
            sound(item, f"{where}[{number}]")
    elif isinstance(value, dict):
        for key, item in value.items():
            sound(item, f"{where}.{key}")


# ---------------------------------------------------------------- solved


def _told(answer: dict[str, Any]) -> None:
    if none_in(answers.text(answer)):
        raise Found("a number that is none in the answer")


def _known_geometry(case: Case, known: set[Any] = set()) -> bool:  # noqa: B006 - filled once
    """Whether its flexibility stands in the cache already: the rest costs seconds each, and is drawn rarely."""
    if not known:
        known.update(pair_key(dict_to_case(anywhere.base(name)), "fast") for name in anywhere.BASES)
        known.update(pair_key(PARSERS["case"](text), "fast") for text in _shipped_cases())
    return pair_key(case, "fast") in known


def _shipped_cases() -> tuple[str, ...]:
    from tests.fuzz.inputs import KINDS

    return KINDS["case"][0]()


def solve_case(case: Case, any_geometry: bool = False) -> bool:
    """Seat it and word the answer; False where its geometry is left to the rarer ones."""
    if not (any_geometry or _known_geometry(case)):
        return False
    _told(answers.seat_answer(chain.compute(case, None, "fast", _TELL[0], fields_too=False)))
    return True


def solve_readings(read: Any) -> bool:
    """Hub and rotor apart, and what to do next."""
    told = mountings.told_apart(read)
    _told({**answers.plain(told), "act": answers.plain(next_act(read, told, Limits()))})
    return True


def solve_chalk(read: Any) -> bool:
    studs, sweeps, cleaned = read
    _told(answers.plain(chalk.answer(studs, sweeps, 50.0, cleaned)))
    return True


def solve_stack(study: Any) -> bool:
    """A few corners of the population."""
    from sim.stack import answer

    if not _known_geometry(study.population.case):
        return False
    few = dataclasses.replace(study, samples=SEATED_CORNERS, preset="fast", tolerance_um=0.0)
    _told(answers.plain(answer.told(answer.answer(stack_run.run(few, workers=1, progress=_TELL[0])))))
    return True


SOLVERS: dict[str, Callable[[Any], bool]] = {
    "case": solve_case,
    "readings": solve_readings,
    "chalk": solve_chalk,
    "stack": solve_stack,
}
_TELL: list[Callable[[float, str], None]] = [lambda done, what: None]


def solved(kind: str, value: Any, **more: Any) -> bool:
    """Put what was read to the solver behind it; whether it was solved or refused by physics.

    Raises
    ------
    Found
        Also where what was read well is bad input behind the door: one judge, one verdict.
    """
    with patience() as tell:
        _TELL[0] = tell
        try:
            return SOLVERS[kind](value, **more)
        except Refused as error:
            worded(error)
            return True
        except BadInput as error:
            if kind == "case":
                raise Found(f"read well, and bad input behind the door: {error}") from error
            worded(error)  # a table that is well written may still not hold what a question needs
            return True


def forged_loads(folder: Path) -> bool:
    """Open a run folder that somebody has changed; what opens is told, drawn and reported. Whether it opened."""
    from scenes.pages import report
    from scenes.plots import hub_map, runout

    with patience():
        try:
            run = run_folder.load(folder)
        except TrueseatError as error:
            worded(error)
            return False
    with patience(6 * HANG_S):
        json.loads(answers.text(answers.seat_answer(run)), parse_constant=_none)
        runout.runout_trace(run.seat, ground=True)
        hub_map.hub_map(run.seat, ground=True)
        report.report_html(run, ())
    return True


def _none(word: str) -> float:
    raise Found(f"{word} in the answer")
