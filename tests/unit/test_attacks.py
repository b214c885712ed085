"""What careless, hurried and hostile people do to the program: refused in words, no traceback, nothing left over."""

from __future__ import annotations

import hashlib
import json
import os
import shutil
import signal
import subprocess
import sys
import time
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from scenes.command import app
from scenes.plots import board
from sim import answers, run_folder
from sim import chain as runs
from sim.errors import BadInput
from sim.files.dial_readings import parse
from sim.files.face_table import read_topography
from sim.parts.case import Case, Debris, Hub, Rotor, Studs, Wheel
from sim.parts.contradictions import check_case
from sim.parts.measured_face import Topography
from sim.processes import shared_out
from sim.seating.seat import seat
from sim.wear.forecast import drive
from tests.unit import at_work

pytestmark = pytest.mark.usefixtures("few_draws", "few_wheels")

# ---------------------------------------------------------------- through the library


@pytest.mark.parametrize(
    "given",
    [
        {"rotor": "x"},
        {"rotor": None},
        {"hub": Rotor()},
        {"debris": Debris()},
        {"debris": None},
        {"debris": "abc"},
        {"debris": (1, 2)},
        {"debris": {"a": 1}},
        {"spigot_scale": (Debris(),)},
        {"hub_topography": "face.csv"},
    ],
)
def test_a_case_is_made_of_its_parts_and_nothing_else(given):
    with pytest.raises(BadInput, match=next(iter(given))):
        Case(**given)


SIX = (0.0, 60.0, 120.0, 180.0, 240.0, 300.0)


@pytest.mark.parametrize(
    ("angles", "radii", "heights"),
    [
        ((1.0,), (), ()),
        (SIX, (60.0,), ((float("nan"),),) * 6),
        (SIX, (60.0,), ((1.0,),) * 5),
        ((0.0, 180.0, 60.0, 120.0, 240.0, 300.0), (60.0,), ((1.0,),) * 6),
        ((*SIX[:-1], 360.0), (60.0,), ((1.0,),) * 6),
        (SIX, (60.0, 50.0), ((1.0, 1.0),) * 6),
        (SIX, "x", ((1.0,),) * 6),
    ],
)
def test_a_measured_face_is_a_full_rising_grid(angles, radii, heights):
    with pytest.raises(BadInput, match="face_map"):
        Topography(angles, radii, heights)


def test_a_measured_face_from_lists_can_be_part_of_a_key():
    assert hash(Topography(list(SIX), [60.0], [[1.0]] * 6)) == hash(Topography(SIX, (60.0,), ((1.0,),) * 6))


@pytest.mark.parametrize(
    "case",
    [
        Case(hub=Hub(face_diameter_mm=200.0)),
        Case(rotor=Rotor(bore_diameter_mm=60.0)),
        Case(rotor=Rotor(style="vented")),
        Case(hub=Hub(face_inner_diameter_mm=136.0)),
        Case(studs=Studs(torque_nm=(140.0,) * 4)),
        Case(studs=Studs(studs_turned=7)),
        Case(debris=(Debris(inner_radius_mm=66.0, outer_radius_mm=60.0),)),
        Case(wheel=Wheel(pad_inner_diameter_mm=140.0, pad_outer_diameter_mm=100.0)),
        None,
        "corner.toml",
    ],
)
def test_a_seating_refuses_what_contradicts_itself(case, monkeypatch):
    monkeypatch.setattr("sim.seating.seat.prepare", lambda *_: pytest.fail("computed before it was checked"))
    with pytest.raises(BadInput):
        seat(case, "fast")


def test_a_preset_that_does_not_exist_is_refused():
    with pytest.raises(BadInput, match="preset.*standard"):
        seat(Case(), "coarse")


@pytest.mark.parametrize(
    ("diameters", "words"),
    [((120.0, 90.0), "begins at"), ((113.0, 140.0), "outside the studs"), ((60.0, 111.0), "inside the studs")],
)
def test_the_pad_of_the_wheel_bears_where_its_nuts_pull(diameters, words):
    with pytest.raises(BadInput, match=words):
        check_case(Case(wheel=Wheel(pad_inner_diameter_mm=diameters[0], pad_outer_diameter_mm=diameters[1])))


def test_a_face_measured_where_nothing_touches_is_refused():
    far = Topography(SIX, (100.0, 120.0), ((1.0, 1.0),) * 6)
    with pytest.raises(BadInput, match="rotor.face_map.*do not touch"):
        check_case(Case(rotor_topography=far))
    check_case(Case(rotor_topography=replace(far, radius_mm=(60.0, 120.0))))


@pytest.mark.parametrize(
    ("runout", "km"), [(np.zeros(360), "5"), ("x", 5.0), (np.zeros(360) * 1j, 5.0), (np.zeros(360), None)]
)
def test_a_drive_takes_numbers_only(runout, km):
    with pytest.raises(BadInput):
        drive(Case(), runout, km)
    with pytest.raises(BadInput, match="no Case"):
        drive(None, np.zeros(360), 5.0)


# ---------------------------------------------------------------- tables of others

HEAD = "angle_deg,radius_mm,height_um\n"


def grid(angles=range(0, 360, 30), mark=",", point="."):
    rows = [f"{a},{r},{10 * np.cos(np.deg2rad(a)):.2f}" for a in angles for r in (40, 60)]
    text = HEAD + "\n".join(rows) + "\n"
    return text.replace(",", mark).replace(".", point)


@pytest.fixture
def face(tmp_path):
    def read(text):
        path = tmp_path / "face.csv"
        path.write_text(text)
        return read_topography(path)

    return read


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (grid(range(0, 180, 10)), "degrees of the turn were not read"),
        (grid([a / 60 for a in range(0, 340, 20)]), "radians"),
        (grid() + "9" * 200_000 + ",1,1\n", "has no values"),
        (grid() + "15,40,1_0\n", "not a number"),
        (grid() + "360,40,700\n", "came back 690"),
    ],
)
def test_a_face_with_a_gap_a_slip_or_a_bomb_is_refused(face, text, words):
    with pytest.raises(BadInput, match=words):
        face(text)


@pytest.mark.parametrize(
    "text",
    [grid(mark=";", point=","), grid(mark="\t"), grid().replace("\n", ",,\n"), grid() + ",,\n", " # x\n" + grid()],
)
def test_a_face_as_a_spreadsheet_saves_it_is_read(face, text):
    assert face(text) == face(grid())


def test_360_stands_for_0_where_that_was_not_read(face):
    assert face(grid(range(30, 390, 30))) == face(grid())


READINGS = (
    "# studs: 5\n# gauge_radius_mm: 140\n# dial_um: 10\n# turned: counter-clockwise\n# dial: + towards\n"
    "trace,mount,studs_turned,angle_deg,reading_um\n"
)
TURN = "".join(f"mounted,1,0,{a},{a % 50}\n" for a in range(0, 360, 30))


@pytest.mark.parametrize(
    ("text", "known", "words"),
    [
        (READINGS + TURN[: len(TURN) // 2], None, "degrees of the turn were not read"),
        ("# studs: 4\n" + READINGS + TURN, None, "5 here, but 4 further up"),
        (READINGS + TURN, {"studs": 4.0}, "but 4 in the case"),
        (READINGS + TURN, {"gauge_radius_mm": 110.0}, "140 in these readings, but 110 in the case"),
    ],
)
def test_readings_that_contradict_themselves_or_the_case_are_refused(text, known, words):
    with pytest.raises(BadInput, match=words):
        parse(text, "r.csv", known)


def test_readings_parted_by_tabs_are_read():
    assert np.array_equal(
        parse((READINGS + TURN).replace(",", "\t")).traces[0].value_um, parse(READINGS + TURN).traces[0].value_um
    )


# ---------------------------------------------------------------- forged runs


@pytest.fixture(scope="module")
def honest(tmp_path_factory):
    case = Case(hub=Hub(material="rigid"), debris=(Debris(angle_deg=36.0),))
    return run_folder.save(runs.compute(case, 500.0, "fast"), tmp_path_factory.mktemp("run"))


def forged(honest, folder, change, arrays=None):
    """The run with something changed and its seal made good again."""
    with np.load(honest / "run.npz") as stored:
        kept = dict(stored) | (arrays or {})
    document = json.loads((honest / "run.json").read_text())
    change(document)
    np.savez(folder / "run.npz", **kept)
    document["arrays"] = hashlib.sha256((folder / "run.npz").read_bytes()).hexdigest()
    (folder / "run.json").write_text(json.dumps(document))
    return folder


SEAT, ROAD = ("seat",), ("forecast",)


@pytest.mark.parametrize("value", ["<script>", None, [1, "a"], True, 1e300, {}])
@pytest.mark.parametrize(
    "path",
    [
        (*SEAT, "lateral_runout_um", "outboard"),
        (*SEAT, "contact", "closed_fraction"),
        (*SEAT, "checks", "iterations"),
        (*SEAT, "preset"),
        (*SEAT, "stud_preload_n"),
        (*ROAD, "disc_wear_mm"),
        (*ROAD, "orders"),
    ],
)
def test_a_value_of_another_kind_is_refused(honest, tmp_path, path, value):
    def change(document):
        for piece in path[:-1]:
            document = document[piece]
        document[path[-1]] = value

    with pytest.raises(BadInput, match="damaged"):
        run_folder.load(forged(honest, tmp_path, change))


@pytest.mark.parametrize("how", ["nan", "short", "empty", "text", "deep", "huge"])
@pytest.mark.parametrize(
    "name", ["seat.outboard_um", "seat.cells.pressure_mpa", "forecast.dtv_um", "forecast.thickness_um"]
)
def test_an_array_of_another_kind_or_shape_is_refused(honest, tmp_path, name, how):
    with np.load(honest / "run.npz") as stored:
        good = stored[name]
    bad = {
        "nan": np.full_like(good, np.nan),
        "short": good[:-1],
        "empty": good[:0],
        "text": np.full(good.shape, "x"),
        "deep": good[None],
        "huge": np.full_like(good, 1e300),
    }[how]
    with pytest.raises(BadInput, match="damaged"):
        run_folder.load(forged(honest, tmp_path, lambda _: None, {name: bad}))


@pytest.mark.parametrize(
    "state", [{}, [], 5, {"home": 3, "stand_off_um": [0, 1]}, {"home": "home", "stand_off_um": "x"}]
)
def test_a_state_on_the_spigot_that_is_none_is_refused(honest, tmp_path, state):
    with pytest.raises(BadInput, match="damaged"):
        run_folder.load(forged(honest, tmp_path, lambda document: document.update(spigot=state)))


def test_an_honest_run_is_still_taken(honest, tmp_path):
    assert run_folder.load(forged(honest, tmp_path, lambda _: None)).forecast is not None


@pytest.mark.parametrize("name", ["seat.cells.inner_radius_mm", "seat.cells.outer_radius_mm"])
def test_cells_of_no_width_are_refused(honest, tmp_path, name):
    with np.load(honest / "run.npz") as stored:
        other = {name: np.zeros_like(stored[name]) - name.count("inner")}
    with pytest.raises(BadInput, match="damaged"):
        run_folder.load(forged(honest, tmp_path, lambda _: None, other))


@pytest.mark.parametrize("kind", [">f8", np.longdouble, np.float16])
def test_numbers_packed_another_way_are_the_usual_ones_or_refused(honest, tmp_path, kind):
    name = "seat.outboard_um"
    with np.load(honest / "run.npz") as stored:
        packed = stored[name].astype(kind)
    folder = forged(honest, tmp_path, lambda _: None, {name: packed})
    with np.errstate(all="raise"):
        loaded = run_folder.load(folder).seat
    assert loaded.outboard_um.dtype == np.float64
    assert loaded.outboard_um == pytest.approx(packed.astype(float))
    assert answers.text(answers.plain(loaded.outboard_um[:3]))


@pytest.mark.skipif(os.name != "posix", reason="pipes and devices as files")
@pytest.mark.parametrize("name", ["run.json", "run.npz"])
@pytest.mark.parametrize("what", ["pipe", "device"])
def test_a_pipe_or_a_device_is_no_part_of_a_run(honest, tmp_path, name, what):
    """Nothing comes out of a pipe without a writer, and no end out of a device."""
    folder = shutil.copytree(honest, tmp_path / "other")
    (folder / name).unlink()
    os.mkfifo(folder / name) if what == "pipe" else (folder / name).symlink_to("/dev/zero")
    with pytest.raises(BadInput, match="holds what is no file"):
        run_folder.load(folder)


# ---------------------------------------------------------------- the command line


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("picture", "c.toml", "--kind", "runout", "-o", "run.png"), ".svg"),
        (("picture", "c.toml", "--kind", "corner", "-o", "run.svg"), ".png"),
        (("storyboard", "c.toml", "-o", "board.mp4"), ".png"),
        (("index", "c.toml", "--limit", "nan"), "--limit"),
        (("index", "c.toml", "--limit", "-5"), "--limit"),
    ],
)
def test_what_cannot_be_is_refused_before_computing(arguments, words, tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "c.toml").write_text('title = "x"\n')
    monkeypatch.setattr("sim.chain.compute", lambda *_, **__: pytest.fail("computed"))
    assert app.main(arguments) == 2
    told = capsys.readouterr()
    assert words in told.err
    assert told.out == ""
    assert [one.name for one in tmp_path.iterdir()] == ["c.toml"]


def test_a_title_in_any_script_is_drawn_without_a_word(recwarn):
    board.svg(lambda sheet: sheet.text(0.1, 0.5, "\U0001f697 \u8eca"), (60.0, 30.0), "\U0001f697")
    assert not recwarn.list


@pytest.mark.parametrize("closed", ["stdout", "stderr"])
@pytest.mark.skipif(os.name != "posix", reason="closing streams is said otherwise here")
def test_a_closed_stream_is_no_fault_of_the_program(closed, tmp_path):
    call = [sys.executable, "-m", "scenes.command.app", "check", str(tmp_path / "none.toml")]
    done = subprocess.run(
        ["sh", "-c", '"$@" ' + {"stdout": ">&-", "stderr": "2>&-"}[closed], "sh", *call], capture_output=True, text=True
    )
    assert done.returncode == 2
    assert "Traceback" not in done.stderr


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no full disk at hand")
def test_a_full_disk_behind_stdout_gets_one_line():
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(
            [sys.executable, "-m", "scenes.command.app", "keys", "--json"], stdout=full, stderr=-1, text=True
        )
    assert done.returncode == 2
    assert done.stderr.splitlines() == [
        "trueseat: the results cannot be written to standard output: No space left on device"
    ]


# ---------------------------------------------------------------- helping processes


def _leave_early(folder: Path):
    with shared_out(at_work.mark, [folder / str(number) for number in range(200)], 2, 1) as answers:
        next(answers)
        raise KeyboardInterrupt


def test_leaving_early_ends_what_has_not_begun(tmp_path):
    with pytest.raises(KeyboardInterrupt):
        _leave_early(tmp_path)
    begun = len(list(tmp_path.iterdir()))
    assert 1 <= begun < 100
    time.sleep(1.0)
    assert len(list(tmp_path.iterdir())) == begun


ORPHANS = """
import sys, time
sys.path.insert(0, {here!r})
from tests.unit.at_work import sleep
from sim.processes import shared_out
if __name__ == "__main__":
    with shared_out(sleep, [0.01] * 2 + [60.0] * 4, 2, 1) as answers:
        next(answers)
        print("going", flush=True)
        next(answers), next(answers)
"""


@pytest.mark.skipif(os.name != "posix", reason="signals are said otherwise here")
@pytest.mark.parametrize("sent", ["SIGKILL", "SIGTERM"])
def test_helpers_never_outlive_the_one_that_started_them(sent, tmp_path, request):
    (tmp_path / "go.py").write_text(ORPHANS.format(here=str(request.config.rootpath)))
    going = subprocess.Popen(
        [sys.executable, str(tmp_path / "go.py")],
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        start_new_session=True,
    )
    assert going.stdout.readline() == b"going\n"
    going.send_signal(getattr(signal, sent))
    going.wait(20)
    assert going.stdout.read() == b""  # every process that held the pipe is gone


def test_a_terminals_interrupt_is_not_answered_by_the_helpers(tmp_path, request):
    (tmp_path / "go.py").write_text(ORPHANS.format(here=str(request.config.rootpath)).replace("60.0", "1.0"))
    going = subprocess.Popen(
        [sys.executable, str(tmp_path / "go.py")],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        start_new_session=True,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),
    )
    assert going.stdout.readline() == b"going\n"
    os.killpg(going.pid, signal.SIGINT)
    _, told = going.communicate(timeout=30)
    assert told.count(b"Traceback") <= 1  # its own, since this script does not catch it
    assert b"SpawnProcess" not in told
