"""A small run of the fuzz and of every door; the long ones go by command (`tests.fuzz`, `every_door`)."""

import os
import random
import signal
import sys
import types
from pathlib import Path

import pytest

from scenes.command import door
from sim.errors import BadInput
from sim.stack.study_file import starter_stack, study_from_text
from tests import drill
from tests.fuzz import doors, inputs, lines
from tests.properties import anywhere, every_door


@pytest.mark.parametrize("kind", inputs.KINDS)
def test_changed_files_are_taken_or_refused_in_words(kind):
    changer, rng = inputs.Changer(kind), random.Random(41)
    taken = 0
    for _ in range(40):
        steps = [tuple(rng.randrange(1 << 16) for _ in range(3)) for _ in range(rng.choice((0, 1, 1, 2, 4)))]
        taken += doors.parsed(kind, changer.text(rng.randrange(16), steps)) is not None
    assert 0 < taken < 40


def test_a_file_full_of_faults_is_no_flood():
    """A line that an editor repeated hundreds of times: found by the fuzz."""
    with pytest.raises(BadInput) as told:
        study_from_text(starter_stack() + "[[vary]]\n" * 400, "stack.toml")
    assert len(told.value.faults) == 41
    assert "360 more" in str(told.value.faults[-1])


@pytest.mark.parametrize("kind", inputs.KINDS)
def test_a_line_of_nothing_but_separators_is_no_fault_of_ours(kind):
    """Characters that Python calls space and a strip of named ones leaves standing: found by the guided fuzz."""
    text = inputs.Changer(kind).text(0, [])
    for more in ("\x1f", "\x1c\x1d", ",\x1e,", "\u2028", "\x85#"):
        doors.parsed(kind, f"{text}\n{more}\n")


def _busy_for_ever():
    with doors.patience(0.05):
        while True:
            sum(range(1000))


def test_what_the_fuzz_looks_for_is_found():
    with pytest.raises(doors.Found, match=r"held\[1\].a is nan"):
        doors.sound([1.0, {"a": float("nan")}], "held")
    with pytest.raises(doors.Hung):
        _busy_for_ever()
    assert every_door.none_in('{"a": NaN}')
    assert every_door.none_in("-Infinity")
    assert not every_door.none_in("information, nano, infinite")


def test_lines_of_any_words_end_with_a_code_and_a_word(tmp_path):
    rng = random.Random(7)
    with lines.nothing_computed(tmp_path):
        codes = [lines.tried(lines.line([rng.randrange(4096) for _ in range(rng.randrange(6))])) for _ in range(25)]
    assert set(codes) <= {0, 2, 3, 4}


def test_one_corner_through_every_door(tmp_path):
    """Seat, drive and report of a part set at some bounds, on parts whose flexibility is kept.

    Held by its screw alone: one pull and not one a stud, and its run folder opens all the same.
    """
    tables = anywhere.base("rear_solid_300")
    tables["studs"] = {**tables.get("studs", {}), "clamped_by": "screw only"}
    tables["judder"] = {"mode_gain_m_s2_per_nm": 0.0}
    with every_door.quickened():
        found = every_door.through(tables, tmp_path, plots_twice=False)
    assert {name: (door.code, door.wrong) for name, door in found.items()} == dict.fromkeys(every_door.DOORS, (0, []))
    tables["rotor"]["outer_diameter_mm"] = 1e9
    with every_door.quickened():
        found = every_door.through(tables, tmp_path)
    assert [(name, door.code, door.wrong) for name, door in found.items()] == [("check", 2, []), ("seat", 2, [])]


@pytest.mark.parametrize("as_import_error", [False, True])
def test_an_interrupt_while_libraries_load_is_answered_in_words(as_import_error, monkeypatch, capsys):
    def interrupted():
        if as_import_error:  # what a compiled library makes of it while it begins
            raise ImportError("initialization failed") from KeyboardInterrupt()
        raise KeyboardInterrupt

    monkeypatch.setitem(sys.modules, "scenes.command.app", types.SimpleNamespace(main=interrupted))
    assert door.main() == 130
    assert capsys.readouterr().err == "trueseat: interrupted; nothing was left half-written\n"


def test_a_library_that_is_missing_is_no_interrupt(monkeypatch):
    def broken():
        raise ImportError("no such library")

    monkeypatch.setitem(sys.modules, "scenes.command.app", types.SimpleNamespace(main=broken))
    with pytest.raises(ImportError, match="no such library"):
        door.main()


def test_an_interrupt_after_the_last_word_changes_nothing(monkeypatch):
    before = signal.getsignal(signal.SIGINT)
    monkeypatch.setitem(sys.modules, "scenes.command.app", types.SimpleNamespace(main=lambda: 3))
    try:
        assert door.main() == 3
        signal.raise_signal(signal.SIGINT)
    finally:
        signal.signal(signal.SIGINT, before)


@pytest.mark.skipif(os.name != "posix", reason="reads /proc")
def test_the_drill_sees_what_stays_behind():
    going = drill.started([sys.executable, "-c", "import time; print('on', flush=True); time.sleep(60)"], Path.cwd())
    assert going.stdout.readline() == "on\n"
    assert drill.left_behind(going.pid) == [going.pid]
    going.kill()
    assert drill.ended(going)[0] == -signal.SIGKILL
    assert drill.left_behind(going.pid) == []


def test_the_drill_knows_half_a_page_from_a_whole_one(tmp_path):
    page = tmp_path / "report.html"
    assert drill.JOBS[2].whole(tmp_path) == ""
    page.write_text("<html>half")
    assert "half-written" in drill.JOBS[2].whole(tmp_path)
    page.write_text("<html></html>\n")
    assert drill.JOBS[2].whole(tmp_path) == ""
