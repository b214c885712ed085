"""A line that is read into kept options says what it says by itself, whatever was read before it."""

from __future__ import annotations

import cyclopts
import pydantic
import pytest

from scenes.command.app import app
from tests.options_once import kept_hints, kept_options

LINES = (
    ["drive", "a.toml", "--km", "9000", "--json", "--drag", "20"],
    ["drive", "b.toml", "--preset", "fine"],
    ["memory", "r.csv", "--case", "a.toml", "--km", "8000"],
    ["drive", "a.toml", "--km", "far"],
    ["drive"],
    ["index", "--shim", "20", "--shim", "40"],
)


def read(line):
    try:
        command, given, _ = app.parse_args(line, exit_on_error=False, print_error=False)
    except cyclopts.CycloptsError as error:
        return type(error), " ".join(str(error).split())
    return command, given.arguments


def test_lines_read_one_after_the_other_are_those_read_alone(monkeypatch):
    assemble = cyclopts.App.assemble_argument_collection.__closure__
    plain = next(cell.cell_contents for cell in assemble if callable(cell.cell_contents))
    monkeypatch.setattr(cyclopts.App, "assemble_argument_collection", plain)
    alone = [read(line) for line in LINES]
    monkeypatch.setattr(cyclopts.App, "assemble_argument_collection", kept_options(plain))
    assert [read(line) for line in (*LINES, *reversed(LINES))] == [*alone, *reversed(alone)]
    assert len({str(one) for one in alone}) == len(LINES)


def test_hints_that_a_mapping_takes_for_the_same_are_told_apart():
    adapter = kept_hints(pydantic.TypeAdapter)
    assert adapter(int) is adapter(int)
    assert adapter(int).validate_python(2) == 2
    with pytest.raises(pydantic.ValidationError):
        adapter(str).validate_python(2)
