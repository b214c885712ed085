"""One judge, one verdict: files that `check` takes, through `seat`, `drive` and `report`, as the command line has them.

What passes `check` may end with 3, never with 2; what `check` refuses is refused alike by the doors behind it. No door
prints a number that is none, warns, breaks, or works 10 s in silence. By hand, on the fast preset::

    python -m tests.properties.every_door bounds            every key at each of its bounds, on the first part set
    python -m tests.properties.every_door pairs [--seed 1]  every two keys at once, each at each of its bounds
    python -m tests.properties.every_door drawn --count 200 corners drawn from every key

Pairs stand many in one corner (`covering.py`), after `bounds`; there a drive may cost fewer turns than the command
gives it, a pair by itself has all of them. Every corner that is done is a line of `--kept FILE`: the same command goes
on where it was ended, and several at once share the corners of `bounds` (`--part 0/2`). Each puts its line into
`every_door.md`.
"""

from __future__ import annotations

import argparse
import contextlib
import io
import itertools
import json
import re
import sys
import tempfile
import time
import warnings
import zlib
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from scenes.command import console, doing
from scenes.command.app import main as trueseat
from sim.parts.keys import TABLES
from tests.properties import anywhere
from tests.properties.covering import Covering

TABLE = Path(__file__).with_suffix(".md")
SILENCE_S = 10.0
KM = 20_000.0
DRAWS = 8  # of a forecast's band: what a draw can break, eight can
MOST_TURNS = 400  # of a drive of many bounds at once: what takes longer is tried again in smaller corners
DRAWN_TWICE = 8  # of so many corners one has its plots drawn at `drive` too: `report` draws the same ones again
BOUNDS = "every bound, alone"
DOORS = ("check", "seat", "drive", "report")
Tables = dict[str, Any]


def toml(tables: Tables) -> str:
    """Tables of a case as a file that a person might have written."""
    lines = [f"{name} = {json.dumps(value)}" for name, value in tables.items() if name not in TABLES]
    for name, part in tables.items():
        for one in part if isinstance(part, list) else [part]:
            if isinstance(one, dict):
                lines += ["", f"[[{name}]]" if isinstance(part, list) else f"[{name}]"]
                lines += [f"{key} = {json.dumps(value)}" for key, value in one.items()]
    return "\n".join(lines) + "\n"


@dataclass
class Door:
    """What one door answered."""

    code: int
    out: str
    err: str
    took_s: float = 0.0
    silent_s: float = 0.0
    wrong: list[str] = field(default_factory=list)


class Listening(console.Teller):
    """A teller that measures how long nothing was told it, in CPU seconds: other work counts for none."""

    longest = 0.0
    last = 0.0

    def __call__(self, fraction: float, what: str) -> None:
        now = time.process_time()
        Listening.longest, Listening.last = max(Listening.longest, now - Listening.last), now


def entered(*words: str, main: Callable[[list[str]], int] = trueseat) -> Door:
    """Run one command here; whatever breaks out of it is what is looked for."""
    out, err = io.StringIO(), io.StringIO()
    start = Listening.last = time.process_time()
    Listening.longest = 0.0
    wrong: list[str] = []
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err), warnings.catch_warnings(record=True) as said:
        warnings.simplefilter("always")
        try:
            code = main(list(words))
        except BaseException as error:
            if isinstance(error, KeyboardInterrupt):
                raise
            code, wrong = 1, [f"{type(error).__name__}: {error}"]
    end = time.process_time()
    wrong += [f"{item.category.__name__}: {item.message}" for item in said]
    if "Traceback" in err.getvalue():
        wrong.append("a traceback")
    if code in (2, 3, 4) and not err.getvalue().strip():
        wrong.append("refused without a word")
    if code not in (0, 2, 3, 4):
        wrong.append(f"exit {code}")
    return Door(code, out.getvalue(), err.getvalue(), end - start, max(Listening.longest, end - Listening.last), wrong)


def none_in(text: str) -> bool:
    """Whether JSON or a page holds a number that is none."""
    return re.search(r"(?<![\w/+-])(NaN|nan|-?Infinity|-?inf)(?![\w/])", text) is not None


def through(tables: Tables, folder: Path, plots_twice: bool = True) -> dict[str, Door]:
    """One case through every door that it gets to, and what is wrong at each.

    Without ``plots_twice`` the run folder goes without its plots: `report` draws the same functions of the same run.
    """
    file, run = folder / "case.toml", folder / "run"
    for old in (*run.glob("*"), *folder.glob("*.html")):
        old.unlink()
    file.write_text(toml(tables), encoding="utf-8")
    found = {"check": entered("check", str(file))}
    found["seat"] = entered("seat", str(file), "--preset", "fast", "--json")
    checked, seated = found["check"], found["seat"]
    if checked.code and seated.code != checked.code:
        seated.wrong.append(f"check ends with {checked.code}, seat with {seated.code}")
    if checked.code:
        return found
    with pytest.MonkeyPatch.context() as patched:
        if not plots_twice:
            patched.setattr(doing, "draw", lambda run, kind: "")
        found["drive"] = entered("drive", str(file), "--preset", "fast", "--json", "--km", str(KM), "--out", str(run))
    if found["drive"].code == 0:
        found["report"] = entered("report", str(run), "--no-pictures", "--out", str(folder))
        page = folder / "report.html"
        if page.exists() and none_in(re.sub(r"<(script|style).*?</\1>", "", page.read_text("utf-8"), flags=re.S)):
            found["report"].wrong.append("a number that is none on the page")
    for name, door in found.items():
        if door.code == 2:
            door.wrong.append(f"passed check, {name} calls it bad input: {door.err.strip()[:200]}")
        if door.code == 0 and name in ("seat", "drive") and none_in(door.out):
            door.wrong.append("a number that is none in the answer")
        if door.silent_s > SILENCE_S:
            door.wrong.append(f"silent for {door.silent_s:.0f} s")
    return found


@contextlib.contextmanager
def quickened() -> Iterator[None]:
    """Few draws behind a forecast's band; a teller that listens."""
    from sim.wear.asked import Settings

    usual = Settings.__init__.__defaults__
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(Settings.__init__, "__defaults__", (DRAWS, *usual[1:]))
        patched.setattr(console, "Teller", Listening)
        yield


def drawn_tables(seed: int, count: int) -> Iterator[tuple[str, Tables]]:
    """Corners drawn from every key: nearly all pass check, because a move that it refuses is taken back."""
    for number in range(count):
        tables, moves = anywhere.draw_tables(np.random.default_rng([seed, number]))
        yield f"draw {number} of {seed}: {moves}", tables


@dataclass(frozen=True)
class Done:
    """What came of one corner at every door that it got to, as it is kept."""

    study: str
    name: str
    bounds: tuple[str, ...]
    doors: dict[str, dict[str, Any]]

    @property
    def through(self) -> bool:
        """Whether every door answered."""
        return all(door in self.doors and self.doors[door]["code"] == 0 for door in DOORS)


class Kept:
    """Corners that are done, one a line of a file; several processes may add to it."""

    def __init__(self, path: Path | None) -> None:
        self.path = path
        self.done: dict[tuple[str, str], Done] = {}
        for line in path.read_text("utf-8").splitlines() if path and path.exists() else ():
            with contextlib.suppress(ValueError):  # the last line of a process that was killed
                self.put(Done(**(found := json.loads(line)) | {"bounds": tuple(found["bounds"])}))

    def put(self, done: Done) -> None:
        self.done[done.study, done.name] = done

    def add(self, done: Done) -> None:
        self.put(done)
        if self.path:
            with self.path.open("a", encoding="utf-8") as file:
                file.write(json.dumps(asdict(done)) + "\n")

    def of(self, study: str) -> list[Done]:
        return [done for (whose, _), done in self.done.items() if whose == study]


def corner_done(study: str, name: str, bounds: Sequence[str], tables: Tables, folder: Path) -> Done:
    """One corner through every door; what is wrong is told at once."""
    found = through(tables, folder, zlib.crc32(name.encode()) % DRAWN_TWICE == 0)
    doors = {}
    for door, answer in found.items():
        for wrong in answer.wrong:
            print(f"{door}: {wrong}\n    {name[:1500]}", flush=True)
        if answer.took_s > 3 * SILENCE_S:
            print(f"{door}: {answer.took_s:.0f} s\n    {name[:1500]}", flush=True)
        doors[door] = {
            "code": answer.code, "took_s": answer.took_s, "silent_s": answer.silent_s, "wrong": answer.wrong,
            "said": answer.err.strip()[-300:] if answer.code else "",
        }  # fmt: skip
    return Done(study, name, tuple(bounds), doors)


@contextlib.contextmanager
def ready() -> Iterator[Path]:
    """A folder to work in, everything quickened, the wear solver compiled."""
    with quickened(), tempfile.TemporaryDirectory() as folder:
        entered("drive", "rear_solid_300", "--preset", "fast", "--km", "100")
        yield Path(folder)


def walk(study: str, corners: Iterator[tuple[str, Tables]], kept: Kept) -> None:
    """Corners through every door that are not kept yet."""
    with ready() as folder:
        for name, tables in corners:
            if (study, name) not in kept.done:
                kept.add(corner_done(study, name, [name.partition(": ")[2]], tables, folder))


def walk_pairs(study: str, kept: Kept, seed: int, most: int) -> str:
    """Corners of the covering array until no pair is open, or ``most`` more were done; how many pairs that is."""
    alone = [done.bounds[0] for done in kept.of(BOUNDS) if not done.through]
    covering = Covering(alone, seed)
    for done in kept.of(study):
        covering.settle(done.bounds, done.through)
    if most:
        with ready() as folder:
            for _ in range(most):
                if not (places := covering.next_row()):
                    break
                tables = covering.tables(places)
                assert tables is not None
                bounds = [covering.labels[place] for place in places]
                with pytest.MonkeyPatch.context() as patched:
                    if len(places) > 2:
                        patched.setattr("sim.wear.forecast.MOST_TURNS", MOST_TURNS)
                    done = corner_done(study, "; ".join(bounds), bounds, tables, folder)
                kept.add(done)
                covering.settle(done.bounds, done.through)
    return covering.told()


def counted(found: Sequence[Done]) -> Counter[str]:
    """What came of every corner, counted."""
    tally: Counter[str] = Counter()
    for done in found:
        tally["corners"] += 1
        for name, door in done.doors.items():
            tally[f"{name} {door['code']}"] += 1
            tally[f"{name} longest"] = max(tally[f"{name} longest"], round(door["took_s"]))
            tally["silent longest"] = max(tally["silent longest"], round(door["silent_s"]))
            tally["wrong"] += len(door["wrong"])
    return tally


HEAD = """# Every door

Cases written to a file, then `check`, `seat`, `drive` and `report` on the fast preset with a band of eight draws, as the
command line has them: `python -m tests.properties.every_door bounds`, `pairs`, `drawn`. Wrong is: passed `check` and refused as bad input behind it, or the other way round; a traceback, a warning, a number that is none, a
refusal without a word, 10 s of CPU without a word of progress. Plots of a run folder, which `report` draws again, are
drawn at one corner in eight. Numbers behind a door: how many it answered, refused by physics (3) or called bad input (2).

| corners | how many | check: 0, 2, 3 | seat: 0, 3, 2 | drive: 0, 3, 2 | report: 0, 3, 2 | longest seat, drive, report [CPU s] | longest silence [CPU s] | wrong |
|---|---|---|---|---|---|---|---|---|
"""  # noqa: E501 - a table


def row(name: str, tally: Counter[str]) -> str:
    """One line of the table."""
    checked = ", ".join(str(tally[f"check {code}"]) for code in (0, 2, 3))
    behind = {
        # what check refused was tried at seat alone, and answered alike
        "seat": (tally["seat 0"], tally["seat 3"] - tally["check 3"], tally["seat 2"] - tally["check 2"]),
        "drive": tuple(tally[f"drive {code}"] for code in (0, 3, 2)),
        "report": tuple(tally[f"report {code}"] for code in (0, 3, 2)),
    }
    cells = [name, tally["corners"], checked, *(", ".join(map(str, behind[door])) for door in DOORS[1:])]
    cells += [", ".join(str(tally[f"{door} longest"]) for door in DOORS[1:]), tally["silent longest"], tally["wrong"]]
    return "| " + " | ".join(str(cell) for cell in cells) + " |\n"


def keep(name: str, tally: Counter[str], more: str = "") -> None:
    """Put a line into the table, in place of an older one of the same name; a sentence below it likewise."""
    old = TABLE.read_text("utf-8").splitlines(keepends=True) if TABLE.exists() else []
    rows = [line for line in old if line.startswith("| ") and not line.startswith(("| corners", f"| {name} |"))]
    notes = [line for line in old if line.startswith("- ") and not line.startswith(f"- {name}: ")]
    notes += [f"- {name}: {more}.\n"] if more else []
    below = ["\n", *sorted(notes)] if notes else []
    TABLE.write_text(HEAD + "".join([*sorted([*rows, row(name, tally)]), *below]), "utf-8")


def main(words: list[str]) -> int:
    asked = argparse.ArgumentParser(prog="python -m tests.properties.every_door")
    asked.add_argument("what", choices=("bounds", "pairs", "drawn"), nargs="?", default="bounds")
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--count", type=int, default=100, help="corners drawn; of pairs, the most of this run")
    asked.add_argument("--part", default="0/1", help="of bounds: every n-th corner, for several processes at once")
    asked.add_argument("--kept", type=Path, help="file that holds what is done, to go on from")
    options = asked.parse_args(words)
    kept, more = Kept(options.kept), ""
    study = {
        "bounds": BOUNDS,
        "pairs": f"every pair of bounds, seed {options.seed}",
        "drawn": f"drawn from every key, seed {options.seed}",
    }[options.what]
    if options.what == "bounds":
        # The other part set costs the same again and has the same keys; `anywhere bounds` seats both.
        part, parts = map(int, options.part.split("/"))
        mine = (one for one in anywhere.at_bounds() if one[0].startswith(anywhere.BASES[0]))
        walk(study, itertools.islice(mine, part, None, parts), kept)
        kept = Kept(options.kept) if options.kept else kept  # with what the others did meanwhile
    elif options.what == "pairs":
        more = walk_pairs(study, kept, options.seed, options.count)
    else:
        walk(study, drawn_tables(options.seed, options.count), kept)
    tally = counted(kept.of(study))
    keep(study, tally, more)
    print(row(study, tally), more)
    return 1 if tally["wrong"] else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
