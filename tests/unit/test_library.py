"""The library as a stranger types it: scripts that run, arrays of numpy, answers that stay, slips answered in words."""

import ast
import re
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import sim
from sim import BadInput, Case, Debris, Hub, Pads, Studs, answers, drive_many, seat, seat_many

pytestmark = pytest.mark.usefixtures("few_draws", "few_wheels")

ROOT = Path(__file__).parents[2]
SPECK = Debris(angle_deg=36.0, height_um=80.0)
CORNER = Case(debris=(SPECK,))
WRONG = replace(CORNER, pads=Pads(inner_radius_mm=60.0))


def script(folder, text):
    """What a saved script prints; it fails where the script does."""
    path = folder / "script.py"
    path.write_text(text, encoding="utf-8")
    done = subprocess.run([sys.executable, path], capture_output=True, text=True, cwd=ROOT, env=None, check=False)
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_the_script_of_the_developers_page_runs_from_a_file_as_it_stands(tmp_path):
    page = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    (snippet,) = re.findall(r"```python\n(.*?)```", page, re.DOTALL)
    assert "seat_many" in snippet
    small = snippet.replace("1000, seed", "20, seed")  # more than one helper would take
    assert small != snippet
    path = f"import sys; sys.path.insert(0, {str(ROOT)!r})\n"
    assert "<Seated" in script(tmp_path, path + small + "\nprint(seated, len(rows))")


def test_editors_are_told_the_same_names_that_are_loaded():
    tree = ast.parse(Path(sim.__file__).read_text(encoding="utf-8"))
    (told,) = [node for node in tree.body if isinstance(node, ast.If)]
    lazily = {}
    for node in told.body:
        for one in node.names:
            lazily[one.asname] = f"{node.module.removeprefix('sim.')}:{one.name}"
    right = {name: place if ":" in place else f"{place}:{name}" for name, place in sim._PUBLIC.items()}
    assert lazily == right
    (listed,) = (node.value for node in tree.body if isinstance(node, ast.Assign) and node.targets[0].id == "__all__")
    assert ast.literal_eval(listed) == sorted(sim._PUBLIC)  # a checker reads a plain list alone
    assert (Path(sim.__file__).parent / "py.typed").exists()
    assert re.fullmatch(r"\d+\.\d+.*", sim.__version__)


def test_numbers_and_arrays_of_numpy_are_taken_and_make_the_same_part():
    assert Studs(torque_nm=np.full(5, 140.0)) == Studs(torque_nm=(140.0,) * 5)
    assert hash(Hub(face_runout_um=np.float32(15.0))) == hash(Hub(face_runout_um=15.0))
    with pytest.raises(BadInput, match="finite"):
        Hub(face_runout_um=np.nan)


def test_what_is_answered_cannot_be_changed_and_is_shown_in_a_line():
    seated = seat(CORNER, "fast")
    for trace in (seated.outboard_um, seated.inboard_um, seated.angle_deg, seated.thickness_um):
        with pytest.raises(ValueError, match="read-only"):
            trace[0] = 1.0
    assert len(repr(seated)) < 200
    assert f"{seated.gauge_runout_um:.1f} µm" in repr(seated)
    (row,) = seat_many([CORNER], "fast", traces=True)
    assert len(repr(row)) < 300
    assert "traces_um=array (2, 360)" in repr(row)


def test_a_case_that_contradicts_itself_is_a_row_and_not_the_end():
    rows = seat_many([CORNER, WRONG, CORNER], "fast", traces=True)
    assert [bool(row.refused) for row in rows] == [False, True, False]
    assert rows[1].bad_input
    assert "pads" in rows[1].refused
    assert np.array_equal(rows[0].traces_um[0], seat(CORNER, "fast").outboard_um)
    assert rows[1].traces_um is None


def test_one_default_for_one_and_many():
    (row,) = seat_many([CORNER])
    assert row.outboard_um == seat(CORNER).lateral_runout_um["outboard"]


@pytest.mark.parametrize("workers", [-1, 0, 2.5, "two", True])
def test_no_number_of_processes_is_said(workers):
    with pytest.raises(BadInput, match="processes"):
        seat_many([CORNER], "fast", workers)


def test_no_preset_is_said():
    with pytest.raises(BadInput, match="preset"):
        seat_many([CORNER], "coarse")


def test_many_roads_are_the_single_ones():
    loose = replace(CORNER, studs=Studs(torque_nm=5.0))
    uneven = Studs(road_torque_nm=(140.0, 140.0, 140.0, 140.0, 60.0))
    corner = replace(CORNER, studs=uneven, spigot_scale=(sim.SpigotScale(height_um=20.0),))
    first, second, third = drive_many([corner, WRONG, loose], 3000.0, "fast")
    run = sim.compute(corner, 3000.0, "fast", fields_too=False)
    assert first.spigot["home"] == "home"
    assert first.spigot == run.spigot
    assert first.loose_nut == "stud 5 at 60 N m where others have 140 N m"
    assert answers.drive_answer(run)["as_driven"]["loose_nut"] == first.loose_nut
    assert first.as_driven_um == run.as_driven.seat.gauge_runout_um
    assert first.dtv_um == run.forecast.dtv_um[-1]
    assert first.km_to_limit == run.forecast.km_to_limit
    assert second.bad_input
    assert not third.bad_input
    assert "not fit to drive" in third.refused
    assert len(repr(run)) < 500
    assert len(repr(run.as_driven)) < 400


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        (lambda: sim.load_case(3), "path: 3 is no path"),
        (lambda: sim.case_from_text(3), "text: 3 is no str"),
        (lambda: seat_many(CORNER), "cases: Case"),
        (lambda: drive_many("demo.toml"), "cases: 'demo.toml' is no list"),
        (lambda: drive_many([CORNER], -5.0), "km: distance -5"),
        (lambda: sim.random_debris(CORNER, 2, seed="x"), "seed: 'x' is no whole number"),
        (lambda: sim.random_debris(CORNER, 2.5, seed=1), "count: 2.5 is no whole number"),
        (lambda: sim.compare_clampings(3), "3 is no Case"),
        (lambda: sim.stands_beside(CORNER), "seated: Case"),
        (lambda: sim.driven_given_reading(CORNER, "bare nuts", "x"), "reading_um"),
        (lambda: sim.remember(CORNER, 3), "disc: 3 is no WornDisc"),
        (lambda: sim.findings(3), "3 is no Case"),
        (lambda: sim.save(3, "folder"), "3 is no Run"),
    ],
)
def test_what_a_stranger_may_hand_over_by_mistake_is_answered_in_words(asked, said):
    """Before anything is computed, by an error of ours."""
    with pytest.raises(BadInput, match=re.escape(said)):
        asked()
