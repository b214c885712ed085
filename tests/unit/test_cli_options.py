"""Every option that takes a number, by every command, with words that are none: refused at once, in one clear line."""

from __future__ import annotations

import typing

import pytest

import demo_geometry
from scenes.command import app
from tests.properties.every_door import entered

CASE, BENCH = "demo_dirty", str(demo_geometry.file("demo_dirty").parent / "bench_1_as_found.csv")
FOUR, HUB, ROTOR = (
    str(demo_geometry.file("demo_dirty").parent / f"readings_{name}.csv") for name in ("four_mountings", "hub", "rotor")
)
WORN = str(demo_geometry.file("demo_dirty").parent / "readings_worn_disc.csv")
WORDS = {  # what a command cannot do without, and what an option stands beside
    "causes": (BENCH, "--case", CASE), "memory": (BENCH,), "memory --case": (BENCH, "--km", "8000"),
    "memory --give-or-take": (BENCH, "--km", "8000"),
    "remains": (BENCH,), "clamp": (CASE, "--by", "bare nuts"), "bench --answers": ("--folder", "."),
    "drive --dtv": (CASE, "--dtv-km", "5000"), "drive --dtv-km": (CASE, "--dtv", "12"), "stack": ("population_rear",),
    "stack --chained": ("population_rear", "--km", "100"), "storyboard": (CASE, "--story", "spigot"),
    "film": (CASE, "--story", "spigot"), "bench": (), "chalk": (), "new card": ("card.html",),
    "lesson": (CASE, "--no-pdf"), "report": (CASE, "--no-pictures"), "picture": (CASE, "--kind", "runout"),
}  # fmt: skip
NO_NUMBERS = ("", "5,0", "²", "5 µm", "True", "0x", "1e", "1e5e", " ", "--")
NO_WHOLE = (*NO_NUMBERS, "5.5", "5.0", "1e1", "nan", "inf", "-inf", "0x10")
OUT_OF_RANGE = ("nan", "inf", "-1e300", "1e999")
TOO_SMALL = "-99999999999999999999999"


def of_numbers(command, path=()):
    """Every option of a number: its command's words, its name, whether it is whole."""
    for name in command:
        if not name.startswith("-"):
            yield from of_numbers(command[name], (*path, name))
    if command.default_command is None:
        return
    for argument in command.assemble_argument_collection(parse_docstring=False):
        kinds = {argument.hint, *typing.get_args(argument.hint)}
        if kinds & {int, float} and argument.names[0].startswith("--"):
            yield " ".join(path), argument.names[0], int in kinds


OPTIONS = sorted(set(of_numbers(app.app)))


@pytest.mark.parametrize(("command", "option", "is_whole"), OPTIONS)
def test_what_is_no_number_is_refused_in_one_line(command, option, is_whole, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "exercises.key").write_text("1" * 64)
    beside = WORDS.get(f"{command} {option}", WORDS.get(command, (CASE,)))
    for word in ("5,0", "5.5", TOO_SMALL) if is_whole else ("5,0", *OUT_OF_RANGE):
        door = entered(*command.split(), *beside, f"{option}={word}")
        assert (door.code, door.wrong) == (2, []), (word, door)
        told = door.err.splitlines()
        assert len(told) == 1, (word, told)
        if word in ("5,0", "5.5"):
            assert f"{option}: {word!r} is no " in told[0]
        else:
            assert "(allowed: " in told[0]
        assert door.took_s < 2.0, (word, door.took_s)
    assert not {file.name for file in tmp_path.iterdir()} - {"exercises.key"}


@pytest.mark.parametrize(("option", "words"), [("--studs", NO_WHOLE), ("--limit", NO_NUMBERS)])
def test_no_word_passes_for_a_number(option, words, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    for word in words:
        door = entered("chalk", f"{option}={word}")
        assert (door.code, door.wrong) == (2, []), (word, door)
        assert door.err.startswith(f"trueseat: {option}: {word!r} is no "), (word, door.err)
    assert not list(tmp_path.iterdir())


def test_every_command_of_numbers_is_among_them():
    assert len(OPTIONS) > 30
    assert {"chalk", "stack", "drive", "bench", "new card"} <= {command for command, _, _ in OPTIONS}


def test_a_decimal_comma_is_told_what_to_type(capsys):
    assert app.main(["chalk", "--limit", "5,0"]) == 2
    assert capsys.readouterr().err == "trueseat: --limit: '5,0' is no number (allowed: a point, no comma: 5.0)\n"


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("index", CASE, "--limit", "1001"), "--limit: 1001 is out of range (allowed: 5 .. 1000 µm)"),
        (("causes", BENCH, "--limit", "3"), "--limit: 3 is out of range (allowed: 5 .. 1000 µm)"),
        (("drive", CASE, "--drag", "1e300"), "--drag: 1e+300 is out of range (allowed: 0, or 0.1 .. 1e+06"),
        (("index", CASE, "--shim", "1e308"), "need their steps (allowed: runouts of 2 to 1000 µm"),
        (("index", CASE, "--shim", "0.05"), "need their steps (allowed: runouts of 2 to 1000 µm; 0.05 mm is 50)"),
        (("drive", CASE, "--dtv", "0.012", "--dtv-km", "5000"), "--dtv: 0.012 is out of range (allowed: 0, or 0.5 .."),
        (("drive", CASE, "--dtv", "12", "--dtv-km", "5"), "--dtv-km: 5 is out of range (allowed: 0, or 100 .."),
        (("drive", CASE, "--drag", "0.0037"), "--drag: 0.0037 is out of range (allowed: 0, or 0.1 .."),
        (("drive", CASE, "--felt-speed", "0.08"), "--felt-speed: 0.08 is out of range (allowed: 10 km/h or more)"),
        (("causes", FOUR, "--case", "front_vented_320"), "gauge_radius_mm: 140 does not lie on this corner"),
        (("index", "front_vented_320", "--hub", HUB, "--rotor", ROTOR), "gauge_radius_mm: 140 does not lie on this"),
        (("drive", CASE, "--km", "30"), "--km: 30 is out of range (allowed: 100 to 1e+06 km; 30 thousand is 30000)"),
        (("causes", BENCH, "--case", CASE, "--km-since-fitting", "8"), "--km-since-fitting: 8 is out of range ("),
        (("causes", BENCH, "--case", CASE, "--km-since-fitting", "500000"), "or 100 to 200000 km; 8 thousand is 8000"),
        (("memory", WORN, "--km", "8"), "--km: 8 is out of range: no rotor wears in so (allowed: 500 to 200000 km"),
        (("memory", WORN, "--km", "500000"), "--km: 500000 is out of range: no rotor wears in so (allowed: 500 to"),
        (("remains", WORN, "--driven", "8"), "--driven: 8 is out of range: no rotor wears in so (allowed: 500 to"),
        (("memory", WORN, "--km", "8000", "--give-or-take", "0.25"), "--give-or-take: 0.25 is out of range"),
    ],
)  # fmt: skip
def test_a_range_that_is_told_is_the_one_that_holds(words, says):
    door = entered(*words)
    assert door.code == 2
    assert says in door.err


def test_a_limit_at_its_bound_is_taken():
    assert entered("causes", BENCH, "--limit", "1000").code == 0
