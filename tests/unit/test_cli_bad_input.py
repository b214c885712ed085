"""Bad input: one line a fault with file, line, key, reason, what is allowed; the right exit code; nothing written."""

from __future__ import annotations

import json
import os
import re
import threading

import pytest

from scenes.command import app
from sim.files import toml_text


@pytest.fixture
def told(capsys):
    """Run the program and return code, stdout and the lines on stderr."""

    def call(*arguments: str) -> tuple[int, str, list[str]]:
        code = app.main(list(arguments))
        streams = capsys.readouterr()
        assert "Traceback" not in streams.err
        return code, streams.out, streams.err.splitlines()

    return call


def written(tmp_path, text: str, name: str = "bad.toml") -> str:
    path = tmp_path / name
    path.write_text(text)
    return str(path)


CASES = {
    "nan": ("[rotor]\nthickness_mm = nan\n", "thickness_mm"),
    "huge": ("[rotor]\nouter_diameter_mm = 1e9\n", "outer_diameter_mm"),
    "micrometres as millimetres": ("[rotor]\nthickness_mm = 12000.0\n", "thickness_mm"),
    "misspelt": ("[rotor]\nthicknes_mm = 12.0\n", "thickness_mm"),
    "other unit": ("[rotor]\nthickness_m = 0.012\n", "thickness_mm"),
    "spigot too large": ("[hub]\nspigot_diameter_mm = 70.0\n", "spigot"),
    "unknown thread": ('[studs]\nthread = "M13x1.1"\n', "thread"),
    "dirt off the face": ("[[debris]]\ninner_radius_mm = 90.0\nouter_radius_mm = 95.0\n", "debris"),
    "not toml": ("[rotor\nthickness_mm = 12", "bad.toml"),
    "comma": ("[rotor]\nthickness_mm = 12,0\n", "bad.toml"),
    "empty": ("", "bad.toml"),
}


@pytest.mark.parametrize("name", CASES)
@pytest.mark.parametrize("command", ["seat", "check"])
def test_a_bad_case_is_refused_in_words(told, tmp_path, name, command):
    text, key = CASES[name]
    code, out, lines = told(command, written(tmp_path, text))
    assert code == 2
    assert lines
    assert all(line.startswith("trueseat: ") for line in lines)
    assert any(key in line for line in lines)
    if command == "seat":
        assert out == ""


def test_every_fault_is_told_at_once_with_its_line(told, tmp_path):
    path = written(tmp_path, "[rotor]\nthickness_mm = -1.0\nouter_diameter_mm = nan\n[hub]\nface_diamter_mm = 136.0\n")
    code, _, lines = told("check", path)
    assert code == 2
    assert len(lines) >= 3
    told_lines = {int(found[1]) for line in lines if (found := re.search(r"bad\.toml:(\d+)", line))}
    assert {2, 3, 5} <= told_lines


def test_check_goes_on_after_a_bad_file(told, tmp_path):
    good = written(tmp_path, 'title = "good"\n', "good.toml")
    bad = written(tmp_path, "[rotor]\nthickness_mm = -1.0\n")
    code, out, lines = told("check", bad, good)
    assert code == 2
    assert "good.toml: understood" in out
    assert len(lines) == 1


def test_what_the_writer_of_a_case_may_not_have_meant_is_said_by_every_command(told, tmp_path):
    path = written(tmp_path, "[limits]\nmounted_runout_um = 500\n")
    for command in ("check", "seat"):
        code, _, lines = told(command, path)
        assert code == 0
        assert any("remark: limits.mounted_runout_um is 500" in line and "check its decimal" in line for line in lines)
    _, out, _ = told("check", path, "--json")
    assert "check its decimal" in json.loads(out)["files"][0]["remarks"][0]


def test_check_json_carries_the_faults(told, tmp_path):
    code, out, _ = told("check", written(tmp_path, "[rotor]\nthickness_mm = -1.0\n"), "--json")
    assert code == 2
    fault = json.loads(out)["files"][0]["faults"][0]
    assert fault["line"] == 2
    assert "thickness_mm" in fault["key"]
    assert fault["reason"]
    assert fault["allowed"]


@pytest.mark.parametrize("kind", ["missing", "folder", "binary", "unreadable"])
def test_a_file_that_is_none_is_refused(told, tmp_path, kind):
    path = tmp_path / "x.toml"
    if kind == "folder":
        path.mkdir()
    elif kind == "binary":
        path.write_bytes(b"\x00\xff\xfe\x80" * 40)
    elif kind == "unreadable":
        path.write_text("title = 'x'\n")
        path.chmod(0)
        if os.geteuid() == 0:
            pytest.skip("root reads everything")
    code, out, lines = told("seat", str(path))
    assert code == 2
    assert out == ""
    assert len(lines) == 1
    assert "x.toml" in lines[0]


def test_an_unwritable_folder_is_refused_before_computing(told, tmp_path, monkeypatch):
    blocked = tmp_path / "file"
    blocked.write_text("x")

    def never(*_, **__):
        raise AssertionError("computed before the folder was tried")

    monkeypatch.setattr("sim.chain.compute", never)
    case = written(tmp_path, "", "c.toml")
    for command in ("seat", "drive", "report"):
        code, _, lines = told(command, case, "--out", str(blocked / "sub"))
        assert code == 2, command
        assert "cannot write here" in lines[0]
    assert blocked.read_text() == "x"


def test_no_nut_on_is_refused_by_the_physics(told, tmp_path):
    code, out, lines = told("seat", written(tmp_path, "[studs]\ntorque_nm = 0\n"), "--preset", "fast")
    assert code == 3
    assert out == ""
    assert "nut" in lines[0]


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["seta", "x.toml"], 'Did you mean "seat"'),
        (["seat"], "requires an argument"),
        (["seat", "x.toml", "--preset", "coarse"], "coarse"),
        (["drive", "x.toml", "--km", "far"], "--km"),
        (["drive", "x.toml", "--km", "-5"], "--km"),
        (["picture", "x.toml", "--kind", "rainbow"], "there is no picture 'rainbow'"),
        (["film", "x.toml", "--story", "cinderella"], "there is no story 'cinderella'"),
        (["export", "x.toml", "-o", "x.step"], ".stl, .glb, .csv"),
        (["check"], "no file was named"),
    ],
)
def test_a_line_that_is_not_understood_gets_one_line_back(told, tmp_path, monkeypatch, arguments, said):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "x.toml").write_text('title = "x"\n')
    code, out, lines = told(*arguments)
    assert code == 2
    assert out == ""
    assert len(lines) == 1
    assert said in lines[0]
    assert [item.name for item in tmp_path.iterdir()] == ["x.toml"]


def test_a_starter_never_overwrites(told, tmp_path):
    path = tmp_path / "c.toml"
    path.write_text("mine")
    code, _, lines = told("new", "case", str(path))
    assert code == 2
    assert "not overwritten" in lines[0]
    assert path.read_text() == "mine"


@pytest.mark.parametrize("title", ["[bold red]x[/] [link=http://a]y[/link]", "[/oops]", "<b>&amp;</b>"])
def test_a_title_is_never_markup_in_the_terminal(told, tmp_path, title):
    path = written(tmp_path, f"title = '{title}'\n")
    code, out, _ = told("seat", path, "--preset", "fast")
    assert code == 0
    assert title in out
    code, out, _ = told("check", path)
    assert title in out


def test_an_escape_sequence_in_a_key_does_not_reach_the_terminal(told, tmp_path):
    code, _, lines = told("check", written(tmp_path, '[rotor]\n"thick\\u001b[31mness" = 1\n'))
    assert code == 2
    assert all("\x1b" not in line for line in lines)


def test_a_damaged_run_folder_is_refused(told, tmp_path):
    folder = tmp_path / "run"
    folder.mkdir()
    (folder / "run.json").write_text('{"format": "trueseat run", "version": 1}')
    (folder / "run.npz").write_bytes(b"PK\x03\x04broken")
    code, _, lines = told("report", str(folder), "--out", str(tmp_path / "o" / "p"), "--no-pictures")
    assert code == 2
    assert len(lines) == 1
    assert not (tmp_path / "o").exists()  # a folder made for nothing does not stay


def test_debug_shows_the_way_back(tmp_path, monkeypatch):
    from sim.errors import BadInput

    monkeypatch.setenv("TRUESEAT_DEBUG", "1")
    with pytest.raises(BadInput):
        app.main(["seat", str(tmp_path / "nowhere.toml")])


def test_no_file_takes_the_place_of_a_device_or_a_pipe(told, tmp_path):
    os.mkfifo(tmp_path / "page.html")
    for words in (("chalk", "-o"), ("handout", "demo_dirty", "-o")):
        code, _, lines = told(*words, str(tmp_path / "page.html"))
        assert code == 2
        assert "device or a pipe" in lines[0]
        assert (tmp_path / "page.html").is_fifo()
    assert told("chalk", "-o", str(tmp_path / "page.pdf"))[0] == 2
    assert [path.name for path in tmp_path.iterdir()] == ["page.html"]


def test_a_pipe_is_read_and_one_that_nobody_writes_to_is_not_waited_for(told, tmp_path, monkeypatch):
    pipe = tmp_path / "corner.toml"
    os.mkfifo(pipe)
    writer = threading.Thread(target=pipe.write_text, args=("base = 'rear_solid_300'\n",))
    writer.start()
    assert told("check", str(pipe))[0] == 0
    writer.join()
    monkeypatch.setattr(toml_text, "PATIENCE_S", 0.05)
    code, _, lines = told("check", str(pipe))
    assert code == 2
    assert "nothing came out of this pipe" in lines[0]


def test_a_name_that_cannot_be_one_is_not_blamed_on_the_terminal(told):
    for words in (("check", "x" * 300), ("chalk", "-o", "x" * 300 + ".html"), ("lesson", "x" * 300)):
        code, _, lines = told(*words)
        assert code == 2
        assert "xxx" in lines[0]
        assert "standard output" not in lines[0]
