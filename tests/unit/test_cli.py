"""The command line as a user runs it: what it prints, what it writes, how it ends."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
import time
from dataclasses import asdict
from functools import partial
from pathlib import Path

import numpy as np
import pytest
import trimesh

from scenes import files
from scenes.command import app, doing
from scenes.pages import report
from sim import answers, chain, run_folder
from sim.errors import Missing
from sim.parts.case import Case

pytestmark = pytest.mark.usefixtures("fewest_draws", "fewest_corners", "drawn_once", "few_wheels")

DIRTY = """title = "Scale under test"
[[debris]]
angle_deg = 36.0
arc_deg = 20.0
inner_radius_mm = 60.0
outer_radius_mm = 68.0
height_um = 120.0
"""


@pytest.fixture(scope="module")
def case(tmp_path_factory) -> Path:
    """A case file with one patch of scale."""
    path = tmp_path_factory.mktemp("case") / "dirty.toml"
    path.write_text(DIRTY)
    return path


@pytest.fixture(scope="module")
def driven(case, tmp_path_factory) -> Path:
    """Run folder of that case, driven 3 000 km."""
    folder = tmp_path_factory.mktemp("run") / "out"
    assert app.main(["drive", str(case), "--km", "3000", "--preset", "fast", "--out", str(folder)]) == 0
    return folder


def test_seat_prints_the_figure_the_limit_and_what_to_do(case, capsys):
    assert app.main(["seat", str(case), "--preset", "fast"]) == 0
    text = capsys.readouterr().out.replace("\u00a0", " ")
    assert "Scale under test" in text
    assert re.search(r"The outboard face runs out \d+ µm", text)
    assert "limit, 50 µm" in text
    assert "What to do next, in this order" in text
    assert "Never" in text or "No impact gun" in text


def test_seat_json_holds_to_the_contract(case, capsys):
    assert app.main(["seat", str(case), "--preset", "fast", "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert set(answer["lateral_runout_um"]) == {"outboard", "inboard"}
    assert answer["against_limit"] in ("below", "above", "too close to tell")
    assert {"order", "amplitude", "high_spot_deg", "frame"} <= set(answer["harmonics_um"][0])
    trace = answer["trace"]
    assert trace["frame"] == "rotor"
    assert len(trace["angle_deg"]) == len(trace["outboard_um"]) == len(trace["thickness_um"]) == 360
    assert {"closed_fraction", "debris_force_n", "residual_height_um", "max_pressure_mpa"} <= set(answer["contact"])
    assert {"force_residual", "moment_residual", "complementarity", "iterations"} <= set(answer["checks"])
    assert {"stud_preload_n", "rigid_runout_um", "warnings", "leads"} <= set(answer)
    # the figure is the swing of the trace that stands beside it
    assert np.ptp(trace["outboard_um"]) == pytest.approx(answer["lateral_runout_um"]["outboard"], abs=1e-3)
    # and its first order is the trace's first order
    first = np.fft.rfft(trace["outboard_um"])[1] * 2 / 360
    assert abs(first) == pytest.approx(answer["harmonics_um"][0]["amplitude"], abs=1e-3)


def test_drive_json_holds_to_the_contract(driven, capsys):
    answer = answers.drive_answer(run_folder.load(driven))
    wanted = (
        "distance_km dtv_um dtv_low_um dtv_high_um km_to_limit probability_never thin_spots judder_speed_km_h "
        "torque_variation_nm pressure_variation_bar disc_wear_mm volume_balance"
    )
    assert set(wanted.split()) <= set(answer)
    assert json.loads(answers.text(answer)) == answer
    assert len(answer["distance_km"]) == len(answer["dtv_um"])
    assert answer["distance_km"][-1] == pytest.approx(3000.0)
    assert all(spot["frame"] == "rotor" for spot in answer["thin_spots"])


def test_out_brings_a_run_folder_with_plots(driven):
    names = {item.name for item in driven.iterdir()}
    assert {"run.json", "run.npz", "runout.svg", "face.svg", "road.svg", "ring.svg", "torque.svg"} <= names
    assert not [name for name in names if name.startswith(".")]


def test_json_goes_alone_to_stdout(case, tmp_path, capsys):
    arguments = ["seat", str(case), "--preset", "fast", "--json", "--out", str(tmp_path / "o")]
    assert app.main(arguments) == 0
    streams = capsys.readouterr()
    json.loads(streams.out)
    assert str(tmp_path / "o") in streams.err


@pytest.mark.usefixtures("undrawn")
def test_report_from_a_run_folder(driven, tmp_path, capsys):
    assert app.main(["report", str(driven), "--out", str(tmp_path), "--no-pictures", "--sheet"]) == 0
    html = (tmp_path / "report.html").read_text()
    swing = run_folder.load(driven).seat.lateral_runout_um["outboard"]
    assert f"{swing:.0f}\u00a0µm" in html
    assert "crosswise 1 – 3 – 5 – 2 – 4" in (tmp_path / "fitting-sheet.html").read_text()
    assert "report: " in capsys.readouterr().out


@pytest.mark.usefixtures("undrawn")
def test_report_comes_without_gl_and_says_what_brings_it(driven, tmp_path, capsys, monkeypatch):
    def no_gl(*_):
        raise Missing("pictures need OpenGL; Debian: apt-get install libegl1")

    monkeypatch.setattr(doing, "write_still", no_gl)
    assert app.main(["report", str(driven), "--out", str(tmp_path)]) == 0
    streams = capsys.readouterr()
    assert (tmp_path / "report.html").is_file()
    assert "apt-get install libegl1" in streams.err
    assert streams.err.count("\n") == 1


def test_pdf_without_a_browser_ends_with_4(driven, tmp_path, capsys, monkeypatch):
    monkeypatch.setenv("PATH", str(tmp_path))
    assert app.main(["report", str(driven), "--out", str(tmp_path), "--pdf", "--no-pictures"]) == 4
    assert "apt-get install chromium" in capsys.readouterr().err
    assert not (tmp_path / "report.html").exists()


@pytest.mark.parametrize("kind", doing.PLOTS)
def test_every_plot_can_be_asked_for(driven, tmp_path, kind):
    path = tmp_path / "a.svg"
    assert app.main(["picture", str(driven), "--kind", kind, "-o", str(path)]) == 0
    assert path.read_text().startswith("<svg")


def test_kinds_of_stills_are_those_that_can_be_drawn():
    pytest.importorskip("pyvista")
    from scenes.stage import stills

    assert doing.STILLS == stills.KINDS
    assert set(doing.CAPTIONS) == set(stills.KINDS)


def test_a_film_without_gl_ends_with_4(driven, tmp_path, capsys, monkeypatch):
    monkeypatch.setattr("scenes.gl.window_class", lambda: "")
    path = tmp_path / "a.mp4"
    assert app.main(["film", str(driven), "-o", str(path)]) == 4
    assert "OpenGL" in capsys.readouterr().err
    assert not path.exists()


def test_export_writes_traces_and_solids(case, tmp_path):
    table = tmp_path / "t.csv"
    assert app.main(["export", str(case), "-o", str(table)]) == 0
    rows = table.read_text().splitlines()
    assert rows[1] == "angle_deg,outboard_um,inboard_um,thickness_um"
    assert len(rows) == 362
    solid = tmp_path / "t.glb"
    assert app.main(["export", str(case), "-o", str(solid)]) == 0
    assert solid.read_bytes().startswith(b"glTF")
    whole = trimesh.load(solid)
    assert whole.extents[:2] == pytest.approx([0.3, 0.3], rel=1e-3)  # a rotor of 300 mm, in metres as glTF 2.0 wants
    assert app.main(["export", str(case), "-o", str(tmp_path / "t.stl"), "--parts"]) == 0
    parts = sorted(path.name for path in tmp_path.glob("*.stl"))
    assert parts == ["t-hub.stl", "t-rotor.stl", *(f"t-stud-{n}.stl" for n in range(1, 6))]
    rotor = trimesh.load(tmp_path / "t-rotor.stl")
    assert rotor.is_watertight
    assert rotor.extents[:2] == pytest.approx([300.0, 300.0], rel=1e-3)  # mm
    assert app.main(["export", str(case), "-o", str(solid), "--parts"]) == 2


def test_new_case_can_be_checked_as_it_stands(tmp_path, capsys):
    path = tmp_path / "mine.toml"
    assert app.main(["new", "case", str(path)]) == 0
    assert app.main(["check", str(path)]) == 0
    assert "understood" in capsys.readouterr().out
    assert asdict(doing.open_case(path))["rotor"] == asdict(Case())["rotor"]


def test_new_readings_holds_a_row_for_each_thirty_degrees(tmp_path):
    path = tmp_path / "r.csv"
    assert app.main(["new", "readings", str(path)]) == 0
    rows = [line for line in path.read_text().splitlines() if not line.startswith("#")]
    assert rows[0] == "trace,mount,studs_turned,angle_deg,reading_um,state,clamped_by"
    assert len(rows) == 15
    assert rows[-1] == "mounted,1,0,feeler,,as found,nuts and spacers"
    worn = tmp_path / "worn.csv"
    assert app.main(["new", "readings", str(worn), "--rows", "worn", "--rows", "hub face"]) == 0
    kinds = {line.split(",")[0] for line in worn.read_text().splitlines() if line[0] != "#"}
    assert kinds == {"trace", "mounted", "inboard", "thickness", "hub face"}
    assert app.main(["new", "readings", str(tmp_path / "no.csv"), "--rows", "cold"]) == 2


def test_keys_and_sources_say_where_defaults_come_from(capsys):
    assert app.main(["keys"]) == 0
    assert "outer_diameter_mm" in capsys.readouterr().out
    assert app.main(["sources"]) == 0
    assert "ISO 898-1" in capsys.readouterr().out
    assert app.main(["keys", "--json"]) == 0
    rows = json.loads(capsys.readouterr().out)["keys"]
    assert all(row["source"] and row["meaning"] for row in rows)


@pytest.mark.usefixtures("undrawn")
def test_demo_goes_on_without_gl(tmp_path, capsys, monkeypatch):
    def no_gl(*_):
        raise Missing("pictures need OpenGL, which does not work here; Debian: apt-get install libegl1")

    monkeypatch.setattr(doing, "write_still", no_gl)
    monkeypatch.setattr(doing, "write_film", no_gl)
    monkeypatch.setattr("scenes.command.demonstration.DEFAULT_KM", 1000.0)  # the road is tested elsewhere
    monkeypatch.setattr(doing, "draw", lambda run, kind: kind)  # so are the plots of a run folder
    monkeypatch.setattr(chain, "compute", partial(chain.compute, preset="fast"))
    assert app.main(["demo", "--out", str(tmp_path / "d")]) == 0
    text = capsys.readouterr().out
    first = text.splitlines()[0]
    assert first.startswith("left dirty: The outboard face runs out")
    assert "above the limit" in first
    assert text.count("libegl1") == 1
    html = (tmp_path / "d" / "report.html").read_text()
    assert "Why the hub face is cleaned" in html
    for name in ("dirty", "clean"):
        assert {"run.json", "runout.svg", "road.svg"} <= {item.name for item in (tmp_path / "d" / name).iterdir()}


def test_ctrl_c_ends_with_130_and_leaves_nothing(case, tmp_path, capsys, monkeypatch):
    def stop(*_, **__):
        raise KeyboardInterrupt

    monkeypatch.setattr(report, "report_html", stop)
    assert app.main(["report", str(case), "--out", str(tmp_path), "--no-pictures", "--km", "500"]) == 130
    assert "interrupted" in capsys.readouterr().err
    assert list(tmp_path.iterdir()) == []


def test_ctrl_c_while_writing_leaves_nothing(tmp_path, monkeypatch):
    def stop(*_):
        raise KeyboardInterrupt

    monkeypatch.setattr(Path, "replace", stop)
    with pytest.raises(KeyboardInterrupt):
        files.write_text(tmp_path / "a", "x")
    assert list(tmp_path.iterdir()) == []


def besides_progress(told):
    """What a command said on stderr, without how far it is: on a busy machine it says so."""
    return re.sub(r"\d+ % .*", "", told).strip()


def test_help_loads_nothing_heavy():
    code = (
        "import sys; from scenes.command import app; app.main(['--help'])\n"
        "print([m for m in ('numpy', 'rich.progress', 'matplotlib') if m in sys.modules])"
    )
    answer = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert answer.stdout.splitlines()[-1] == "[]"
    assert "Exit codes" in answer.stdout


def test_pages_that_draw_nothing_load_nothing_that_draws_and_plots_no_meshes():
    code = (
        "import sys, scenes.pages.chalk, scenes.pages.job_card, scenes.geometry.exaggeration\n"
        "print([m for m in ('pyvista', 'vtkmodules', 'scenes.pages.report') if m in sys.modules])\n"
    )
    answer = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert answer.stdout.split() == ["[]"]


def test_a_reader_that_stops_reading_is_no_fault():
    with subprocess.Popen(
        [sys.executable, "-m", "scenes.command.app", "keys"], stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as process:
        process.stdout.readline()
        process.stdout.close()
        told = process.stderr.read().decode()
        process.wait(timeout=60)
    assert "Traceback" not in told
    assert "Broken" not in told
    assert process.returncode == 0


def test_a_seating_loads_nothing_that_draws_and_a_terminal_without_micro_sign_gets_the_figure(case):
    """In one process of its own: the numeric half, the whole program, and once more as a table."""
    code = (
        "import sys; from sim.__main__ import main\n"
        f"seat = ['seat', {str(case)!r}, '--preset', 'fast']; assert main([*seat, '--json']) == 0\n"
        "drawing = ('scenes', 'matplotlib', 'pyvista', 'rich')\n"
        "print([m for m in sys.modules if m.split('.')[0] in drawing], file=sys.stderr)\n"
        "from scenes.command import app; assert app.main([*seat, '--json']) == 0\n"
        "heavy = ('matplotlib', 'pyvista', 'jinja2', 'vtkmodules', 'numba', 'scipy.interpolate', 'scipy.optimize')\n"
        "print([m for m in heavy if m in sys.modules], file=sys.stderr)\n"
        "sys.exit(app.main(seat))"
    )
    env = os.environ | {"PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0", "LC_ALL": "C"}
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True, env=env)
    numeric, end = json.JSONDecoder().raw_decode(done.stdout)
    rest = done.stdout[end:].lstrip()
    whole, end = json.JSONDecoder().raw_decode(rest)
    assert numeric["title"] == whole["title"] == "Scale under test"
    assert "runs out" in rest[end:]
    assert besides_progress(done.stderr).split() == ["[]", "[]"]


def test_progress_is_silent_for_quick_work_and_speaks_on_stderr(capsys, monkeypatch):
    from scenes.command import console

    with console.progress() as tell:
        tell(0.5, "quick")
    assert capsys.readouterr() == ("", "")
    clock = iter([0.0, 30.0, 60.0, 90.0])
    monkeypatch.setattr(time, "monotonic", lambda: next(clock))
    with console.progress() as tell:
        tell(0.5, "[bold]slow")
    streams = capsys.readouterr()
    assert streams.out == ""
    assert "50 % [bold]slow" in streams.err
