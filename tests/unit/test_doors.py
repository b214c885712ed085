"""One corner, one answer: whatever door is used, what lies on the spigot decides the same runout and the same state."""

import json
import subprocess
import sys
from functools import cache
from types import SimpleNamespace

import numpy as np
import pytest

import sim
from sim import advice, answers
from sim.__main__ import main as numeric_half
from sim.bench import from_readings
from sim.bodies import flexibility, section, stiffness
from sim.corner.clampings import clampings
from sim.errors import Refused
from sim.files.case_file import case_from_text
from sim.parts.spigot_room import free_play, hindrance
from sim.seating import prepared, seat
from sim.solvers import contact
from sim.spigot import bore_cells, bore_cut, drawn_home, state
from tests import command

BASE = (
    'base = "rear_solid_300"\n[rotor]\nown_runout_um = 20.0\nown_high_spot_deg = 70.0\n[hub]\nface_runout_um = 10.0\n'
)
LOW = "[[spigot_scale]]\narc_deg = 120.0\nheight_um = 115.0\nto_face_mm = 4.0\n"
# What lies on the spigot, and what the rotor does under its nuts.
CORNERS = {
    "clean": ("", ""),
    "free": ("[[spigot_scale]]\nheight_um = 20.0\n", "home"),
    "off centre": ("[[spigot_scale]]\nangle_deg = 200.0\narc_deg = 60.0\nheight_um = 45.0\n", "off centre"),
    "wedged all round": ("[[spigot_scale]]\narc_deg = 360.0\nheight_um = 60.0\nto_face_mm = 8.0\n", "forced home"),
    "jammed": (LOW + "[studs]\ntorque_nm = 2.0\nroad_torque_nm = 140.0\n", "jammed"),
    "forced": (LOW, "forced home"),
    "held off": ("[[spigot_scale]]\nheight_um = 300.0\nto_face_mm = 1.0\n", "held off"),
}
FREE = ("clean", "free", "off centre")
NOT_FREE = tuple(name for name in CORNERS if name not in FREE)
every_corner = pytest.mark.parametrize("name", CORNERS)


@pytest.fixture(scope="module", autouse=True)
def _evenly_alone():
    """What one nut run up alone does takes ten times longer than all the rest, and is not the subject here."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("sim.spigot.state.one_nut", lambda *_: ())
        yield


@cache
def case(name):
    return case_from_text(BASE + CORNERS[name][0], name)


@cache
def computed(name, preset="rough"):
    """The answer that all doors are held against: the same at every fineness, so at the least."""
    return sim.compute(case(name), None, preset, fields_too=False)


@pytest.fixture(scope="module")
def files(tmp_path_factory):
    folder = tmp_path_factory.mktemp("corners")
    paths = {name: folder / f"{name.replace(' ', '_')}.toml" for name in CORNERS}
    for name, path in paths.items():
        path.write_text(BASE + CORNERS[name][0], encoding="utf-8")
    return paths


def process(*words):
    """Run the numeric half in a process of its own, as `test_cli` does the whole program."""
    return subprocess.run([sys.executable, "-m", "sim", *map(str, words)], capture_output=True, text=True, check=False)


def test_the_table_has_every_state():
    """Held against the geometry, which shares nothing with the doors: what is free, tight or held in the root."""
    for name in CORNERS:
        assert bool(hindrance(case(name))) == (name in NOT_FREE), name
    assert free_play(case("off centre")).off_centre_um[0] > 10.0
    runs = {name: computed(name) for name in CORNERS}
    assert runs["jammed"].seat.gauge_runout_um > 1000.0
    assert runs["jammed"].spigot["stand_off_um"][0] > 1000.0
    for name in ("wedged all round", "forced", "held off"):
        assert abs(runs[name].seat.gauge_runout_um - runs["clean"].seat.gauge_runout_um) > 0.1, name
    for name in FREE:
        assert np.array_equal(runs[name].seat.outboard_um, runs["clean"].seat.outboard_um), name


@every_corner
def test_the_public_seat_is_what_compute_says(name):
    seated, run = sim.seat(case(name), "rough"), computed(name)
    assert np.array_equal(seated.outboard_um, run.seat.outboard_um)
    assert np.array_equal(seated.inboard_um, run.seat.inboard_um)
    assert np.array_equal(seated.thickness_um, run.seat.thickness_um)
    assert seated.lateral_runout_um == run.seat.lateral_runout_um
    assert seated.on_spigot == CORNERS[name][1]
    assert seated.spigot == run.spigot
    radius = case(name).gauge_radius_mm
    assert seated.face_trace(radius, "outboard") == pytest.approx(run.seat.outboard_um, abs=1e-9)


@every_corner
def test_the_low_level_solver_answers_only_where_the_hub_face_decides(name):
    if name in FREE:
        assert seat.seat(case(name), "rough").lateral_runout_um == computed(name).seat.lateral_runout_um
        return
    with pytest.raises(Refused, match=r"sim\.seat\(case\)"):
        seat.seat(case(name), "rough")


def test_a_batch_carries_the_states_in_its_rows():
    rows = sim.seat_many([case(name) for name in CORNERS], "rough", workers=1)
    for row, name in zip(rows, CORNERS, strict=True):
        run = computed(name)
        assert (row.outboard_um, row.inboard_um) == tuple(
            run.seat.lateral_runout_um[face] for face in ("outboard", "inboard")
        )
        assert row.refused == ""
        assert row.on_spigot == CORNERS[name][1]
        assert row.spigot == run.spigot


@pytest.mark.parametrize("name", ["off centre", "forced", "held off"])
def test_clampings_are_compared_each_in_its_own_state(name):
    readings = {one.name: one for one in sim.compare_clampings(case(name), "rough")}
    assert readings["nuts and spacers, full torque"].runout_um == computed(name).seat.gauge_runout_um
    assert readings["nuts and spacers, full torque"].on_spigot == CORNERS[name][1]
    few = sim.seat(clampings(case(name))["two nuts, 20 N m"], "rough")
    read = readings["two nuts, 20 N m"]
    assert (read.runout_um, read.on_spigot) == (few.gauge_runout_um, few.on_spigot)
    assert read.stand_off_um == few.state.stand_off_um


def test_the_torque_of_the_nuts_decides_whether_it_is_forced_home():
    read = {one.name: one for one in sim.compare_clampings(case("jammed"), "rough")}
    assert read["wheel on, full torque"].on_spigot == "forced home"
    own = read["nuts and spacers, full torque"]  # its own two newton metres count as full
    assert (own.on_spigot, own.runout_um) == ("jammed", computed("jammed").seat.gauge_runout_um)


@pytest.mark.parametrize("name", ["jammed", "forced", "held off"])
def test_what_stands_on_a_seated_rotor_is_refused_for_one_that_is_not(name):
    corner = case(name)
    doors = (
        lambda: sim.index_case(corner, "rough"),
        lambda: sim.face_map(corner, preset="rough"),
        lambda: sim.duty_table(corner, draws=0),
        lambda: sim.trusted_clampings(corner),
        lambda: sim.driven_given_reading(corner, "bare nuts", 80.0),
    )
    for door in doors:
        with pytest.raises(Refused, match="take the rotor off and clean the spigot"):
            door()


@pytest.mark.parametrize("words", ["index", "face", "clamp", "duty"])
def test_the_commands_refuse_a_jammed_rotor_with_what_to_do(words, files, capsys):
    done = command.run(capsys, words, files["jammed"])
    assert (done.returncode, done.stdout) == (3, "")
    assert "jammed" in done.stderr
    assert "clean the spigot" in done.stderr


def test_the_numeric_half_refuses_to_index_a_jammed_rotor(files, capsys):
    done = command.run(capsys, "index", files["jammed"], main=numeric_half)
    assert (done.returncode, done.stdout) == (3, "")
    assert "jammed" in done.stderr


def test_the_numeric_half_takes_no_distance_in_thousands(capsys):
    done = command.run(capsys, "drive", "rear_solid_300", "--km", "30", main=numeric_half)
    assert (done.returncode, done.stdout) == (2, "")
    assert done.stderr == "--km: 30 is out of range (allowed: 100 to 1e+06 km; 30 thousand is 30000)\n"


def test_an_index_from_a_rotor_off_centre_is_that_of_compute():
    advised = advice.from_case(case("off centre"), (), "rough")
    found, run = advised.result, computed("off centre")
    assert found.at(0).runout_um == pytest.approx(run.seat.gauge_runout_um, abs=1e-9)
    # It says where the rotor sits beside the scale, in figures and in words; a clean one says nothing of a spigot.
    assert advised.answer["spigot"] == run.spigot
    assert "There is scale on the spigot, and the rotor sits off centre" in " ".join(advised.notes)
    found, seats = sim.index_case(case("clean"), "rough")
    assert np.array_equal(seats[0].outboard_um, computed("clean").seat.outboard_um)
    assert "spigot" not in from_readings.case_answer(case("clean"), found, seats)[0]


def test_a_road_by_machine_says_that_the_rotor_was_drawn_home():
    """By the rotor's share alone it is quiet for ever."""
    run = computed("forced")
    assert answers.drive_answer(run)["spigot"]["wedged"]
    assert "spigot" not in answers.drive_answer(computed("clean"))


@pytest.mark.parametrize(("computed_by", "words"), [("clampings.compare", "clamp"), ("face_map.face_map", "face")])
def test_what_is_asked_of_a_rotor_beside_scale_says_so_first(computed_by, words, files, capsys, monkeypatch):
    found = SimpleNamespace(clean_um=20.0) if words == "face" else ()
    monkeypatch.setattr(f"sim.corner.{computed_by}", lambda *_: found)
    monkeypatch.setattr("sim.corner.trust.trusted_clampings", lambda *_, **__: ())
    monkeypatch.setattr("scenes.command.tables_more.clampings", lambda *_: "THE TABLE")
    monkeypatch.setattr("scenes.command.cure.face_table", lambda *_: "THE TABLE")
    monkeypatch.setattr("scenes.command.cure.face_over", lambda *_: "")
    monkeypatch.setattr(answers, "face_answer", lambda *_: {})
    for name in ("off centre", "clean"):
        done = command.run(capsys, words, files[name])
        assert done.returncode == 0, done.stderr
        assert ("There is scale on the spigot: clean it" in done.stdout.partition("THE TABLE")[0]) == (name != "clean")
        told = json.loads(command.run(capsys, words, files[name], "--json").stdout)["leads"]
        assert [line[:29] for line in told] == ["There is scale on the spigot:"][: name != "clean"]


@pytest.mark.parametrize("name", ["off centre", "jammed", "held off"])
def test_the_commands_print_what_compute_says(name, files, capsys):
    run = computed(name, "fast")  # the roughest that a command takes
    words = ("seat", files[name], "--json", "--preset", "fast")
    for answer in (
        process(*words) if name == "off centre" else command.run(capsys, *words, main=numeric_half),
        command.run(capsys, *words),
    ):
        assert answer.returncode == 0, answer.stderr
        told = json.loads(answer.stdout)
        assert told["lateral_runout_um"] == run.seat.lateral_runout_um
        assert told["trace"]["outboard_um"] == np.round(run.seat.outboard_um, 4).tolist()
        apart = {"one_nut_first", "notes", "checks"}  # checks are round-off, which a process may round its own way
        assert {k: v for k, v in told["spigot"].items() if k not in apart} == {
            k: v for k, v in json.loads(json.dumps(run.spigot)).items() if k not in apart
        }


def test_a_rotor_off_centre_says_which_way():
    """Scale pushes the bore's wall away on its side: the rotor's axis moves towards the scale."""
    assert computed("off centre").spigot["off_centre_deg"] == pytest.approx(200.0, abs=1e-6)
    assert computed("free").spigot["off_centre_deg"] is None
    assert computed("wedged all round").spigot["off_centre_deg"] is None
    assert computed("jammed").spigot["off_centre_deg"] == pytest.approx(180.0, abs=1.0)


def test_scale_further_out_than_the_flange_reaches_is_not_ignored():
    """At home it touches nothing; on the way the bore has to pass it, which no door may leave out."""
    further = "[[spigot_scale]]\nheight_um = 115.0\nfrom_face_mm = 8.0\n"
    corner = case_from_text("[hub]\nspigot_length_mm = 20.0\n" + further + "to_face_mm = 18.0\narc_deg = 360.0\n")
    assert free_play(corner).wedge_um == 0.0
    for door in (sim.seat, seat.seat, sim.index_case):
        with pytest.raises(Refused, match="85 µm too tight"):
            door(corner, "rough")
    assert "85 µm too tight" in sim.seat_many([corner], "rough")[0].refused
    thin = case_from_text("[hub]\nspigot_length_mm = 20.0\n" + further.replace("115", "25") + "to_face_mm = 18.0\n")
    assert sim.seat(thin, "rough").on_spigot == "home"


def test_a_second_tightening_over_scale_is_refused():
    corner = case("forced")
    first = sim.seat(corner, "rough")
    with pytest.raises(Refused, match="second tightening"):
        sim.seat(corner, "rough", before=first)


def test_checking_a_case_loads_nothing_that_solves(tmp_path):
    (tmp_path / "case.toml").write_text("base = 'rear_solid_300'\n")
    ask = "import sys; from scenes.command.app import main; main(['check', sys.argv[1]]); print(*sorted(sys.modules))"
    words = [sys.executable, "-c", ask, str(tmp_path / "case.toml")]
    out = subprocess.run(words, capture_output=True, text=True, check=True).stdout
    loaded = set(out.splitlines()[-1].split())
    solving = (section, stiffness, flexibility, prepared, bore_cells, bore_cut, drawn_home, contact, seat, state)
    assert case_from_text.__module__ in loaded
    assert not loaded & ({module.__name__ for module in solving} | {"skfem", "scipy.linalg", "pydantic"})
