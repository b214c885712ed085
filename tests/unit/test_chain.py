"""The run folder: what is saved comes back to the bit; what is damaged, foreign or hostile is refused by name."""

from __future__ import annotations

import json
import os
from collections.abc import Mapping
from dataclasses import fields, is_dataclass, replace

import numpy as np
import pytest

from sim import run_folder
from sim.chain import compute, pad_trace_um
from sim.disk_cache import replacing
from sim.errors import BadInput
from sim.parts.case import Case, Debris, Hub, Rotor, Studs
from sim.run_folder import load, save
from sim.seating.seat import seat
from sim.wear.forecast import Forecast

pytestmark = pytest.mark.usefixtures("fewest_draws", "few_wheels")

CASE = Case(
    title="Scale <b>between</b> studs & äöü",
    rotor=Rotor(own_runout_um=20.0, own_thickness_variation_um=6.0),
    studs=Studs(torque_nm=(140.0, 120.0, 140.0, 140.0, 130.0), road_torque_nm=140.0, studs_turned=1),
    debris=(Debris(angle_deg=36.0), Debris(angle_deg=180.0, height_um=60.0, crush_mpa=40.0, modulus_mpa=4000.0)),
)


@pytest.fixture(scope="module")
def seated():
    return compute(CASE, km=None, preset="fast")


@pytest.fixture(scope="module")
def driven():
    return compute(replace(CASE, hub=Hub(material="rigid")), km=2000.0, preset="fast", fields_too=False)


def identical(one, other):
    """Same types, same bits, all the way down; a list is no tuple."""
    if isinstance(one, np.ndarray):
        return isinstance(other, np.ndarray) and one.dtype == other.dtype and one.tobytes() == other.tobytes()
    if is_dataclass(one):
        return type(one) is type(other) and all(
            identical(getattr(one, f.name), getattr(other, f.name)) for f in fields(one)
        )
    if isinstance(one, Mapping):
        return one.keys() == other.keys() and all(identical(one[key], other[key]) for key in one)
    if isinstance(one, tuple):
        return isinstance(other, tuple) and len(one) == len(other) and all(map(identical, one, other))
    return one == other and isinstance(other, type(one) if not isinstance(one, np.generic) else float | int | str)


def test_saved_and_loaded_is_the_same_to_the_bit(seated, tmp_path):
    assert identical(seated, load(save(seated, tmp_path / "run")))


def test_forecast_is_the_same_to_the_bit(driven, tmp_path):
    back = load(save(driven, tmp_path / "run"))
    assert isinstance(back.forecast, Forecast)
    assert identical(driven, back)


def in_its_first_version(value, path):
    """A result as folders of version 1 told it: every class, mapping and tuple in words of its own."""
    if isinstance(value, Case):
        return {"the": "case"}
    if isinstance(value, np.ndarray):
        return {"array": path}
    if is_dataclass(value):
        inner = {f.name: in_its_first_version(getattr(value, f.name), f"{path}.{f.name}") for f in fields(value)}
        return {"is": type(value).__name__, "fields": inner}
    if isinstance(value, Mapping):
        return {"map": {key: in_its_first_version(one, f"{path}.{key}") for key, one in value.items()}}
    if isinstance(value, tuple):
        return {"tuple": [in_its_first_version(one, f"{path}.{at}") for at, one in enumerate(value)]}
    return value


def test_a_folder_of_the_first_version_is_the_same_to_the_bit(driven, tmp_path):
    folder = save(driven, tmp_path / "run")
    parts = {name: in_its_first_version(getattr(driven, name), name) for name in run_folder.PARTS}
    edited(folder, lambda document: document.update(version=1, **parts))
    assert identical(driven, load(folder))


def test_saving_what_was_loaded_changes_nothing(seated, tmp_path):
    once = save(load(save(seated, tmp_path / "one")), tmp_path / "two")
    words = [json.loads((tmp_path / name / "run.json").read_text()) for name in ("one", "two")]
    for document in words:
        document.pop("arrays")
    assert words[0] == words[1]
    assert identical(load(once), seated)


def test_loaded_run_shows_its_fields_without_solving(seated, tmp_path, monkeypatch):
    back = load(save(seated, tmp_path / "run"))

    def never(*_, **__):
        raise AssertionError("a run was solved again")

    monkeypatch.setattr("sim.seating.seat.prepare", never)
    points = np.array([[140.0, 0.0, -26.0], [0.0, 150.0, -38.0]])
    assert np.array_equal(back.seat.rotor_deformation().at(points), seated.seat.rotor_deformation().at(points))
    assert back.seat.hub_deformation() is not None


def test_loaded_run_can_be_tightened_again(seated, tmp_path):
    """What was crushed is remembered by the folder."""
    back = load(save(seated, tmp_path / "run")).seat
    gentle = replace(CASE, studs=replace(CASE.studs, torque_nm=60.0))
    ours, theirs = (seat(gentle, "fast", before=before).outboard_um for before in (back, seated.seat))
    assert np.array_equal(ours, theirs)
    assert not np.array_equal(ours, seat(gentle, "fast").outboard_um)


def test_pads_tap_on_the_mean_of_both_faces(seated):
    assert np.allclose(pad_trace_um(seated.seat), (seated.seat.outboard_um + seated.seat.inboard_um) / 2)


def test_progress_rises_to_one():
    told = []
    compute(CASE, km=None, preset="fast", progress=lambda done, what: told.append((done, what)))
    done = [value for value, _ in told]
    assert done == sorted(done)
    assert done[-1] == 1.0
    assert all(what for _, what in told)


# ---------------------------------------------------------------- damage


@pytest.fixture
def folder(seated, tmp_path):
    return save(seated, tmp_path / "run")


def refused(folder, match=None):
    with pytest.raises(BadInput, match=match) as caught:
        load(folder)
    assert caught.value.exit_code == 2
    assert str(folder) in str(caught.value)


@pytest.mark.parametrize("name", ["run.json", "run.npz"])
@pytest.mark.parametrize("how", ["missing", "empty", "half", "binary", "a folder"])
def test_damaged_file_is_refused(folder, name, how):
    file = folder / name
    raw = file.read_bytes()
    file.unlink()
    if how == "a folder":
        file.mkdir()
    elif how != "missing":
        noise = bytes(np.random.default_rng(3).integers(0, 256, 3000, dtype=np.uint8))
        file.write_bytes({"empty": b"", "half": raw[: len(raw) // 2], "binary": noise}[how])
    refused(folder)


def test_missing_folder_and_file_in_its_place_are_refused(tmp_path):
    refused(tmp_path / "nowhere", "not a run folder")
    (tmp_path / "file").write_text("x")
    refused(tmp_path / "file", "not a run folder")


def test_any_byte_of_the_arrays_turned_over_is_noticed(folder):
    file = folder / "run.npz"
    raw = file.read_bytes()
    for place in np.random.default_rng(4).integers(0, len(raw), 40):
        spoilt = bytearray(raw)
        spoilt[place] ^= 0x10
        file.write_bytes(bytes(spoilt))
        refused(folder, "damaged")


def edited(folder, change):
    document = json.loads((folder / "run.json").read_text())
    change(document)
    (folder / "run.json").write_text(json.dumps(document))


@pytest.mark.parametrize(
    ("change", "match"),
    [
        (lambda d: d.update(format="something else"), "this version"),
        (lambda d: d.update(version=99), "this version"),
        (lambda d: d.pop("seat"), "damaged"),
        (lambda d: d.pop("case"), "damaged"),
        (lambda d: d.pop("arrays"), "damaged"),
        (lambda d: d.update(extra="x"), None),
        (lambda d: d["seat"].update({"is": "Path"}), "damaged"),
        (lambda d: d.update(seat=d["seat"]["checks"]), "damaged"),
        (lambda d: d.update(seat=[1, 2]), "damaged"),
        (lambda d: d["seat"].pop("angle_deg"), "damaged"),
        (lambda d: d["seat"].update(surprise=1), "damaged"),
        (lambda d: d["seat"].update(angle_deg={"array": "no such"}), "damaged"),
        (lambda d: d["seat"].update(case={"the": "cat"}), "damaged"),
        (lambda d: d["seat"].update(warnings="text"), "damaged"),
        (lambda d: d.update(forecast=d["seat"]), "damaged"),
        (lambda d: d.update(versions=None), "damaged"),
    ],
)
def test_foreign_contents_are_refused(folder, change, match):
    edited(folder, change)
    if match is None:
        load(folder)  # an unknown extra beside the parts hurts nobody
    else:
        refused(folder, match)


@pytest.mark.parametrize("text", ["[]", "3", "null", '"text"', "[" * 100_000, '{"format": NaN}', "\ufeff{}"])
def test_other_json_is_refused(folder, text):
    (folder / "run.json").write_text(text, encoding="utf-8")
    refused(folder)


def test_bad_case_in_the_folder_is_refused(folder):
    edited(folder, lambda d: d["case"]["rotor"].update(outer_diameter_mm=1e9))
    with pytest.raises(BadInput):
        load(folder)


def test_arrays_of_another_run_are_noticed(folder, driven, tmp_path):
    other = save(driven, tmp_path / "other")
    (other / "run.npz").replace(folder / "run.npz")
    refused(folder, "damaged")


def test_a_folder_beyond_bounds_is_refused(folder, monkeypatch):
    monkeypatch.setattr(run_folder, "MAX_RUN_BYTES", 1000)
    refused(folder, "too large")


def test_a_small_file_that_unpacks_beyond_bounds_is_refused(folder, monkeypatch):
    with np.load(folder / "run.npz") as stored:
        np.savez_compressed(folder / "run.npz", more=np.zeros(1_000_000), **dict(stored))
    document = json.loads((folder / "run.json").read_text())
    document["arrays"] = run_folder._digest(folder / "run.npz")
    (folder / "run.json").write_text(json.dumps(document))
    size = max((folder / name).stat().st_size for name in ("run.json", "run.npz"))
    monkeypatch.setattr(run_folder, "MAX_RUN_BYTES", size + 1)
    refused(folder, "too large")


# ---------------------------------------------------------------- writing


def test_unwritable_places_are_refused(seated, tmp_path):
    (tmp_path / "file").write_text("in the way")
    for place in (tmp_path / "file", tmp_path / "file" / "below"):
        with pytest.raises(BadInput, match="cannot be written"):
            save(seated, place)
    assert (tmp_path / "file").read_text() == "in the way"


@pytest.mark.parametrize("error", [KeyboardInterrupt, OSError(28, "No space left on device"), ValueError])
@pytest.mark.parametrize("where", ["np.savez", "json.dumps"])
def test_failed_writing_leaves_the_old_run_whole(seated, driven, tmp_path, monkeypatch, where, error):
    folder = save(seated, tmp_path / "run")
    before = {file.name: file.read_bytes() for file in folder.iterdir()}

    def fail(*_, **__):
        raise error

    with monkeypatch.context() as patched:
        patched.setattr(f"sim.run_folder.{where}", fail)
        with pytest.raises((KeyboardInterrupt, BadInput, ValueError)):
            save(driven, folder)
    assert {file.name: file.read_bytes() for file in folder.iterdir()} == before
    assert identical(load(folder), seated)


def test_only_two_files_are_left(folder):
    assert sorted(file.name for file in folder.iterdir()) == ["run.json", "run.npz"]


def test_killed_between_the_two_renames_the_run_is_whole_all_the_same(driven, tmp_path, monkeypatch):
    """The document bears its name already, the arrays still their passing one: as a kill leaves them."""
    folder = save(replace(driven, versions={"python": "of an older run"}), tmp_path / "run")
    longer = compute(driven.case, km=3000.0, preset="fast", fields_too=False)
    put = replacing.__exit__
    monkeypatch.setattr(
        replacing, "__exit__", lambda self, *how: put(self, *how) if self.final.suffix == ".json" else None
    )
    save(longer, folder)
    monkeypatch.undo()
    assert sorted(path.suffix for path in folder.iterdir()) == [".json", ".npz", ".part"]
    assert identical(longer, load(folder))
    (left,) = folder.glob("*.part")
    left.write_bytes(left.read_bytes()[:-1])
    with pytest.raises(BadInput, match="damaged"):
        load(folder)
    os.utime(left, (1.0, 1.0))
    save(longer, folder)
    assert sorted(path.name for path in folder.iterdir()) == ["run.json", "run.npz"]
