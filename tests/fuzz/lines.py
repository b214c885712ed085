"""Command lines that nobody meant: words of the program and of strangers in any order, in a folder of their own."""

from __future__ import annotations

import contextlib
import io
import os
from collections.abc import Iterator, Sequence
from pathlib import Path

import pytest

from sim.errors import Refused
from tests.fuzz.doors import Found, patience
from tests.fuzz.inputs import NUMBERS, OTHERS
from tests.properties.every_door import entered

COMMANDS = (
    "seat", "drive", "index", "face", "check", "keys", "sources", "report", "picture", "storyboard", "film", "export",
    "causes", "clamp", "chalk", "findings", "foil", "duty", "lesson", "handout", "memory", "remains", "verify",
    "stack",
    "new", "demo", "bench", "--help", "--version", "",
)  # fmt: skip
WORDS = (
    "--json", "--out", "out", "--km", "--preset", "fast", "--output", "-o", "x.svg", "x.png", "x.mp4", "x.stl",
    "x.pdf",
    "--kind", "runout", "face", "--story", "spigot", "--hub", "--rotor", "--case", "--priors", "--limit", "--draft",
    "--pdf",
    "--sheet", "--no-pictures", "--seed", "--samples", "--loosest", "hub.face_runout_um", "--audit", "--corner",
    "--write-case", "--workers", "--drag", "--dtv", "--dtv-km", "--mounted", "--worn", "--felt-speed", "--go-on-from",
    "--readings", "--log", "--class", "--questions", "--title", "--words", "case", "card", "readings", "priors",
    "stack",
    "--studs", "--km-since-fitting", "--shim", "--reading", "--clamped-by", "case.toml", "bad.toml", "readings.csv",
    "none.toml", "rear_solid_300", "demo_dirty", "population_rear", ".", "/dev/null", "/proc/self/mem", "--", "-",
    "-h",
)  # fmt: skip


@contextlib.contextmanager
def nothing_computed(folder: Path) -> Iterator[None]:
    """In a folder of its own, with a case, a bad one and readings; what would compute for minutes refuses instead."""
    import demo_geometry

    here = Path.cwd()
    (folder / "case.toml").write_text(demo_geometry.text("demo_dirty"), "utf-8")
    (folder / "bad.toml").write_text("[rotor\nx = 1,5\n", "utf-8")
    bench = demo_geometry.file("demo_dirty").parent / "bench_1_as_found.csv"
    (folder / "readings.csv").write_text(bench.read_text("utf-8"), "utf-8")

    def refuses(*_: object, **__: object) -> None:
        raise Refused("not computed here")

    doors = (
        "sim.chain.compute", "sim.stack.run.run", "sim.corner.face_map.face_map",
        "sim.bench.stud_position.index_case",
        "scenes.pages.bench_server.listening",  # would serve until Ctrl-C
        "sim.corner.clampings.clampings", "sim.studies.findings.findings", "sim.causes.finding.weigh",
    )  # fmt: skip
    os.chdir(folder)
    try:
        with pytest.MonkeyPatch.context() as patched:
            for door in doors:
                with contextlib.suppress(AttributeError, ImportError):
                    patched.setattr(door, refuses)
            yield
    finally:
        os.chdir(here)


def line(numbers: Sequence[int]) -> list[str]:
    """A line of words from numbers; the first is mostly a command."""
    every = (*WORDS, *COMMANDS, *NUMBERS[:12], *OTHERS[:20])
    first = COMMANDS[numbers[0] % len(COMMANDS)] if numbers else ""
    return [first, *(every[number % len(every)] for number in numbers[1:])]


def tried(words: list[str]) -> int:
    """The exit code of a line; what takes long is broken off and counts as heard.

    Raises
    ------
    Found
        For a traceback, a warning, a refusal without a word, or another exit code.
    """
    if any("\x00" in word for word in words):  # no shell can pass it
        return 2
    with patience(), contextlib.redirect_stdout(io.StringIO()):
        door = entered(*words)
    if any("Hung" in one for one in door.wrong):
        return door.code
    if door.wrong:
        raise Found(f"{words}: {door.wrong} {door.err[:300]}")
    return door.code
