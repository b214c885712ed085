"""Hostile input: 100 000 files read and 2 000 solved, forged run folders, command lines, pages; and what came of it.

    python -m tests.fuzz                      the whole run, about an hour of one core; its table: tests/fuzz/fuzz.md
    python -m tests.fuzz --read 2000 --solved 20 --seed 3
    python -m tests.fuzz --folders --keep     run folders alone

Files are honest ones of every kind, changed step by step by hypothesis, which shrinks what it finds; where atheris is
installed (`pip install ".[fuzz]"`) a tenth of the files is changed by it, guided by coverage. Looked for: a traceback,
10 s of CPU without a word, a number that is none, a refusal without words, a flood of faults, a case that was read and
is bad input behind the door, memory that grows.
"""

from __future__ import annotations

import argparse
import collections
import importlib.util
import random
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import hypothesis
import numpy as np
from hypothesis import HealthCheck, Phase, given
from hypothesis import strategies as st

from tests.fuzz import doors, folders, inputs, lines

TABLE = Path(__file__).with_name("fuzz.md")
SHARES = {"case": 0.34, "readings": 0.26, "stack": 0.12, "face": 0.1, "priors": 0.08, "chalk": 0.06, "foil log": 0.04}
SOLVED = {"case": 0.6, "readings": 0.3, "chalk": 0.05, "stack": 0.05}
FOLDERS = "| run folders changed"
GUIDED_SHARE = 0.1
ANY_GEOMETRY_SHARE = 0.02  # of solved cases: their parts are made anew, seconds each
MOST_MB = 1500  # that a run may grow to, browser and helpers apart
BATCH = 2000  # examples of one hypothesis run: its own memory of them is dropped between

Tally = collections.Counter[str]
STEPS = st.lists(st.tuples(st.integers(0, 255), st.integers(0, 65535), st.integers(0, 65535)), max_size=6)


def _search(count: int, seed: int, one: Callable[..., None], **drawn: st.SearchStrategy) -> list[str]:
    """Let hypothesis try ``count`` examples; what it found, shrunk, one line each batch."""
    found = []
    for batch in range(-(-count // BATCH)):
        tried = min(BATCH, count - batch * BATCH)

        @hypothesis.seed(seed * 1_000_003 + batch)
        @hypothesis.settings(
            max_examples=tried, deadline=None, database=None, print_blob=False, report_multiple_bugs=False,
            derandomize=False, suppress_health_check=list(HealthCheck), phases=[Phase.generate, Phase.shrink],
        )  # fmt: skip
        @given(**drawn)
        def search(**given_: object) -> None:
            one(**given_)

        try:
            search()
        except (Exception, doors.Hung) as error:
            found.append(f"{type(error).__name__}: {error} {getattr(error, '__notes__', '')}"[:1500])
    return found


def read_files(kind: str, count: int, seed: int, tally: Tally) -> list[str]:
    """Files of one kind, changed and read; hypothesis shrinks what breaks."""
    changer = inputs.Changer(kind)

    def one(which: int, steps: list[inputs.Step]) -> None:
        tally[f"{kind} read"] += 1
        tally[f"{kind} taken"] += doors.parsed(kind, changer.text(which, steps)) is not None

    return _search(count, seed, one, which=st.integers(0, 15), steps=STEPS)


def solve_files(kind: str, count: int, seed: int, tally: Tally, tell: Callable[[str], None]) -> list[str]:
    """Files that are read well, until so many were solved or refused by physics."""
    changer, rng, wrong = inputs.Changer(kind), random.Random(seed), []
    changer_words = len(changer.words)
    for number in range(count * 200):
        if tally[f"{kind} solved"] >= count or len(wrong) > 20:
            break
        steps = [
            (rng.randrange(256), rng.randrange(65536), rng.randrange(65536)) for _ in range(rng.choice((0, 1, 1, 2, 3)))
        ]
        which = rng.randrange(16)
        try:
            value = doors.parsed(kind, changer.text(which, steps))
            if value is None:
                continue
            more = {"any_geometry": rng.random() < ANY_GEOMETRY_SHARE} if kind == "case" else {}
            tally[f"{kind} solved"] += doors.solved(kind, value, **more)
        except (Exception, doors.Hung) as error:
            wrong.append(f"{kind} {which} {steps}: {type(error).__name__}: {error}"[:1500])
            tell(wrong[-1])
        if number % 200 == 199:
            tell(f"  {kind}: {tally[f'{kind} solved']} of {count} solved, {changer_words} words")
    return wrong


def drawn_cases(count: int, seed: int, tally: Tally) -> list[str]:
    """Cases drawn from every key within its bounds, on parts whose flexibility is kept."""
    from tests.properties import anywhere

    wrong = []
    for number in range(count * 20):
        if tally["drawn solved"] >= count:
            break
        case, moves = anywhere.draw(np.random.default_rng([seed, 77, number]))
        try:
            tally["drawn solved"] += doors.solved("case", case)
        except (Exception, doors.Hung) as error:
            wrong.append(f"drawn {seed} {number} {moves}: {type(error).__name__}: {error}"[:1500])
    return wrong


def forge(count: int, seed: int, tally: Tally) -> list[str]:
    """Run folders that somebody changed."""
    with tempfile.TemporaryDirectory() as folder:
        forger = folders.Forger(Path(folder))

        def one(steps: list[inputs.Step], spoilt: int) -> None:
            tally["run folders"] += 1
            tally["run folders opened"] += doors.forged_loads(forger.forged(steps[:3], spoilt))

        return _search(count, seed, one, steps=STEPS, spoilt=st.one_of(st.just(0), st.integers(0, 1 << 22)))


def type_lines(count: int, seed: int, tally: Tally) -> list[str]:
    """Command lines of any words."""
    with tempfile.TemporaryDirectory() as folder, lines.nothing_computed(Path(folder)):

        def one(numbers: list[int]) -> None:
            tally["lines"] += 1
            tally[f"lines exit {lines.tried(lines.line(numbers))}"] += 1

        return _search(count, seed, one, numbers=st.lists(st.integers(0, 4095), max_size=8))


def press_pages(steps: int, seed: int, tally: Tally) -> list[str]:
    """The chalk page and, where one is there, a handout."""
    import demo_geometry
    from sim.errors import Missing

    pages = [demo_geometry.file("demo_dirty").with_name("chalk.html")]
    try:
        from tests.fuzz.pages import page_fuzzed

        wrong = [line for page in pages for line in page_fuzzed(page, steps, seed)]
    except (ImportError, Missing) as error:
        print(f"pages left out: {error}")
        return []
    tally["page steps"] += steps * len(pages)
    return wrong


def guide(kind: str, count: int, tally: Tally) -> list[str]:
    """A tenth of the files guided by coverage, in a process of its own."""
    if importlib.util.find_spec("atheris") is None:
        return []
    with tempfile.TemporaryDirectory() as folder:
        command = [sys.executable, "-m", "tests.fuzz.guided", kind, str(count), folder]
        done = subprocess.run(command, capture_output=True, text=True, errors="replace", check=False)
        tally[f"{kind} guided"] += count
        told = [line for line in done.stdout.splitlines() if line.startswith("FOUND")]
        if done.returncode and not told:
            told = [f"exit {done.returncode}: {done.stderr[-600:]}"]
        return [f"guided {kind}: {line}" for line in told]


def grown_mb() -> float:
    """Largest memory of this process so far. [MB]."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def main(words: list[str]) -> int:
    asked = argparse.ArgumentParser(prog="python -m tests.fuzz", description="Hostile input by one command.")
    asked.add_argument("--read", type=int, default=100_000, help="files read")
    asked.add_argument("--solved", type=int, default=2_000, help="inputs solved")
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--keep", action="store_true", help="write the table")
    asked.add_argument("--folders", action="store_true", help="run folders alone; the table's other rows stay")
    options = asked.parse_args(words)
    if options.folders:
        return folders_alone(options)
    tally: Tally = collections.Counter()
    wrong: list[str] = []
    begun, cpu = time.monotonic(), time.process_time()
    guided = importlib.util.find_spec("atheris") is not None

    def tell(line: str) -> None:
        print(line, flush=True)

    def add(what: str, found: list[str]) -> None:
        wrong.extend(f"{what}: {line}" for line in found)
        for line in found:
            tell(f"WRONG {what}: {line}")
        tell(f"{what}: {len(found)} wrong, {grown_mb():.0f} MB, {time.process_time() - cpu:.0f} s CPU")
        if options.keep:  # after every part: a long run that is ended leaves what it has
            TABLE.write_text(
                told_as_table(tally, options, wrong, (time.process_time() - cpu, time.monotonic() - begun))
            )

    resource.setrlimit(resource.RLIMIT_AS, (8 << 30, resource.RLIM_INFINITY))  # a bomb breaks here, not the machine
    for kind, share in SHARES.items():
        count = int(options.read * share)
        add(f"{kind} read", read_files(kind, count - int(guided * GUIDED_SHARE * count), options.seed, tally))
        if guided:
            add(f"{kind} guided", guide(kind, int(GUIDED_SHARE * count), tally))
    for kind, share in SOLVED.items():
        count = int(options.solved * share)
        if kind == "case":
            add("drawn solved", drawn_cases(count // 3, options.seed, tally))
            count -= count // 3
        add(f"{kind} solved", solve_files(kind, count, options.seed, tally, tell))
    add("run folders", forge(max(options.read // 50, 20), options.seed, tally))
    add("lines", type_lines(max(options.read // 50, 20), options.seed, tally))
    resource.setrlimit(resource.RLIMIT_AS, (resource.RLIM_INFINITY, resource.RLIM_INFINITY))  # no browser lives in 8 GB
    add("pages", press_pages(max(options.read // 50, 20), options.seed, tally))
    if grown_mb() > MOST_MB:
        wrong.append(f"memory grew to {grown_mb():.0f} MB")
    tell(told_as_table(tally, options, wrong, (time.process_time() - cpu, time.monotonic() - begun)))
    return 1 if wrong else 0


def folders_alone(options: argparse.Namespace) -> int:
    """Forge run folders and put their row into the table."""
    tally: Tally = collections.Counter()
    wrong = forge(max(options.read // 50, 20), options.seed, tally)
    row = folders_row(tally, len(wrong))
    print("\n".join([*(f"WRONG {one}" for one in wrong), row]), flush=True)
    if options.keep:
        old = TABLE.read_text("utf-8").splitlines()
        TABLE.write_text("\n".join(row if one.startswith(FOLDERS) else one for one in old) + "\n", "utf-8")
    return 1 if wrong else 0


def folders_row(tally: Tally, wrong: int) -> str:
    """The table's row of forged run folders."""
    return f"{FOLDERS} | {tally['run folders']} | {tally['run folders opened']} opened | {wrong} |"


def told_as_table(tally: Tally, options: argparse.Namespace, wrong: list[str], took_s: tuple[float, float]) -> str:
    """What was tried and what came of it."""
    by = {name.split(": ")[0]: 0 for name in wrong}
    for name in wrong:
        by[name.split(": ")[0]] += 1
    rows = []
    for kind in SHARES:
        read = tally[f"{kind} read"] + tally[f"{kind} guided"]
        more = f", {tally[f'{kind} guided']} of them guided by coverage" if tally[f"{kind} guided"] else ""
        found = by.get(f"{kind} read", 0) + by.get(f"{kind} guided", 0)
        rows.append(f"| {kind} files read | {read}{more} | {tally[f'{kind} taken']} taken | {found} |")
    for kind in ("drawn", *SOLVED):
        name = "cases drawn from every key" if kind == "drawn" else f"{kind} files"
        found = by.get(f"{kind} solved", 0)
        rows.append(f"| {name} solved or refused by physics | {tally[f'{kind} solved']} | | {found} |")
    rows.append(folders_row(tally, by.get("run folders", 0)))
    codes = ", ".join(f"{tally[f'lines exit {code}']} end with {code}" for code in (0, 2, 3, 4))
    rows.append(f"| command lines | {tally['lines']} | {codes} | {by.get('lines', 0)} |")
    rows.append(
        f"| things typed, pressed, dragged on the chalk page | {tally['page steps']} | | {by.get('pages', 0)} |"
    )
    return (
        f"# Hostile input\n\n`python -m tests.fuzz --read {options.read} --solved {options.solved} "
        f"--seed {options.seed} --keep`: {took_s[0]:.0f} s of CPU in the process itself, {took_s[1]:.0f} s by the "
        f"clock, {grown_mb():.0f} MB at the most. What is looked for stands in `tests/fuzz/__main__.py`; what runs "
        "found and was mended is a test (`tests/unit/test_hostile.py`).\n\n"
        "| what | how many | | wrong |\n|---|---|---|---|\n" + "\n".join(rows) + "\n"
    )


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
