"""Hostile files: honest ones of every kind, changed step by step. A step is three whole numbers, so that it shrinks."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

import demo_geometry
from sim.causes.priors_file import text as priors_text
from sim.files.foil_log import COLUMNS as LOG_COLUMNS
from sim.files.starter import starter_case
from sim.files.starter_readings import starter_readings
from sim.parts.keys import KEYS, TABLES
from sim.stack.study_file import starter_stack

Step = tuple[int, int, int]
LONGEST = 60_000  # characters that a changed file may grow to; larger ones are refused by their size alone

NUMBERS = (
    "0", "-0.0", "1", "-1", "0.5", "1e-320", "1e308", "1e309", "-1e309", "nan", "inf", "-inf", "+nan", "9" * 400,
    "0x10",
    "1_000", "1,5", "360", "359.999", "-360", "5e-324", "1e15", "00", "0b1", "1e", "1.", ".5", "１２", "12 mm", "1/2",
    "3.0",
)  # fmt: skip
OTHERS = (
    "", '""', "true", "false", "[]", "[[]]", "{}", "[1, 2]", '["a"]', "1979-05-27", "07:32:00", '"é\u202e"',
    '"\\u0000"',
    '"' + "x" * 300 + '"', "'''", '"""', "#", "=", "[", "]", "[[", "\x00", "\x1b[31m", "\ufeff", "\u2028", "\r", "\t",
    ",", ";", ",,,,", "=cmd|' /C calc'!A0", "../../etc/passwd", "/dev/zero", "NUL", "{a = 1}", "[1, [2, [3]]]",
)  # fmt: skip
CASE_WORDS = (
    *(key.name for key in KEYS),
    *(f'"{word}"' for key in KEYS for word in key.choices),
    *(f"[{name}]" for name in TABLES if name),
    *(f"[[{name}]]" for name in TABLES if name),
    '"H7/g6"', '"H7/p6"', '"H8/f8"', '"face.csv"',
)  # fmt: skip
READING_WORDS = (
    "mounted", "hub_face", "thickness", "rotor_alone", "mounted_inboard", "as found", "cleaned", "nuts and spacers",
    "wheel",
    "# studs: 0", "# studs: 5", "# studs: 1e9", "# gauge_radius_mm: 140", "# gauge_radius_mm: 0", "# dial_um: 0",
    "# dial_um: 1e-9", "# dial_um: 1e9", "# turned: clockwise", "# turned: counter-clockwise", "# dial: + towards",
    "# dial: + away", "# bearing: play", "# bearing: no play",
    "# minimum_thickness_mm: 10", "# hub_face_radius_mm: 64", "# sweep: high and low spot",
    "mounted,1,0,30,10", "mounted,2,1,30,10,cleaned,,", "thickness,1,0,0,12.01,,,",
)  # fmt: skip
STACK_WORDS = (
    "[[vary]]", "[[dirt]]", "[[correlated]]", "[[lever]]", "[prices]", '"normal"', '"uniform"', '"rayleigh"',
    '"sample"',
    '"triangular"', '"lognormal"', '"fixed"', "mean", "sd", "lowest", "highest", "scale", "mode", "median",
    "geometric_sd",
    "value", "samples = 1000000000", "seed = -1", "levels = 0", 'key = "hub.face_runout_um"', 'base = "no_such"',
    'points = "sobol"', "share_within = 1.0", "tolerance_um = -1",
)  # fmt: skip


def _face() -> str:
    rows = [f"{angle},{radius},{(angle * radius) % 17}" for angle in range(0, 360, 30) for radius in (40, 60)]
    return "angle_deg,radius_mm,height_um\n" + "\n".join(rows) + "\n"


def _chalk() -> str:
    rows = ["mounted,1,0,40,90,as found", "mounted,1,0,220,0,as found", "mounted,2,1,110,80,as found"]
    rows += ["mounted,2,1,290,0,as found"]
    head = "# studs: 5\n# sweep: high and low spot\ntrace,mount,studs_turned,angle_deg,reading_um,state\n"
    return head + "\n".join(rows) + "\n"


def _log() -> str:
    return ",".join(LOG_COLUMNS) + "\n" + ",".join("1" for _ in LOG_COLUMNS) + "\n"


def _shipped(*names: str) -> tuple[str, ...]:
    return tuple(demo_geometry.file(name).read_text("utf-8") for name in names)


def _tables(*names: str) -> tuple[str, ...]:
    folder = demo_geometry.file("demo_dirty").parent
    return tuple((folder / f"{name}.csv").read_text("utf-8") for name in names)


#: Honest files of each kind, and the words of it.
KINDS: dict[str, tuple[Callable[[], tuple[str, ...]], tuple[str, ...]]] = {
    "case": (lambda: (*_shipped("demo_dirty", "front_dirty", "bolts_dirty", "spigot_jammed"), starter_case()),
    CASE_WORDS),
    "readings": (
        lambda: (
            *_tables("bench_1_as_found", "bench_3_cleaned", "readings_four_mountings", "readings_hub",
            "corner_05_worn"),
            starter_readings(),
        ),
        READING_WORDS,
    ),
    "face": (lambda: (_face(),), ("angle_deg", "radius_mm", "height_um", "height_thou", "360,40,5", "0,40,1e9")),
    "stack": (lambda: (starter_stack(),), (*STACK_WORDS, *CASE_WORDS)),
    "priors": (lambda: (priors_text(),), ("odds = 2", "usual_um = 0", "present_um = -1", "[warp]", "[nobody]")),
    "chalk": (lambda: (_chalk(),), READING_WORDS),
    "foil log": (lambda: (_log(),), LOG_COLUMNS),
}  # fmt: skip


class Changer:
    """Changes honest files of one kind by steps; the same steps give the same file."""

    def __init__(self, kind: str) -> None:
        honest, words = KINDS[kind]
        self.honest = honest()
        self.words = (*words, *NUMBERS, *OTHERS)
        self.lines = tuple(line for text in self.honest for line in text.split("\n"))

    def text(self, which: int, steps: Sequence[Step]) -> str:
        """One of the honest files, changed."""
        text = self.honest[which % len(self.honest)]
        for how, where, what in steps:
            text = _CHANGES[how % len(_CHANGES)](self, text, where, self.words[what % len(self.words)], what)
            if len(text) > LONGEST:
                return text[:LONGEST]
        return text


def _value(_: Changer, text: str, where: int, word: str, __: int) -> str:
    """Another value behind an equals sign, or in a cell."""
    spans = [m.span(1) for m in re.finditer(r"(?:=[ \t]*|,)([^,\n#]*)", text)]
    if not spans:
        return text + word
    start, end = spans[where % len(spans)]
    return text[:start] + word + text[end:]


def _name(_: Changer, text: str, where: int, word: str, __: int) -> str:
    spans = [m.span() for m in re.finditer(r"[A-Za-z_]+", text)]
    if not spans:
        return text + word
    start, end = spans[where % len(spans)]
    return text[:start] + word.strip('"') + text[end:]


def _by_line(change: Callable[[list[str], int, str], None]) -> Callable[[Changer, str, int, str, int], str]:
    def changed(_: Changer, text: str, where: int, word: str, __: int) -> str:
        lines = text.split("\n")
        change(lines, where % len(lines), word)
        return "\n".join(lines)

    return changed


def _borrowed(changer: Changer, text: str, where: int, _: str, what: int) -> str:
    """A line of another honest file."""
    lines = text.split("\n")
    lines.insert(where % (len(lines) + 1), changer.lines[what % len(changer.lines)])
    return "\n".join(lines)


def _repeated(_: Changer, text: str, where: int, __: str, what: int) -> str:
    lines = text.split("\n")
    at = where % len(lines)
    return "\n".join(lines[: at + 1] + [lines[at]] * (what % 400) + lines[at + 1 :])


def _cut(_: Changer, text: str, where: int, __: str, ___: int) -> str:
    return text[: where % (len(text) + 1)]


def _put_in(_: Changer, text: str, where: int, word: str, __: int) -> str:
    at = where % (len(text) + 1)
    return text[:at] + word + text[at:]


def _swapped(lines: list[str], at: int, _: str) -> None:
    lines[at], lines[at - 1] = lines[at - 1], lines[at]


def _emptied(lines: list[str], at: int, _: str) -> None:
    del lines[at]


def _new_line(lines: list[str], at: int, word: str) -> None:
    lines.insert(at, word)


# Values are changed most: the rest is soon no file at all.
_CHANGES: tuple[Callable[[Changer, str, int, str, int], str], ...] = (
    _value, _value, _value, _name, _by_line(_emptied), _by_line(_swapped), _by_line(_new_line), _borrowed, _repeated,
    _cut, _put_in,
)  # fmt: skip
