"""Flexibilities on disk: right whatever happens to the file, never anything but data, never half-written."""

from __future__ import annotations

import ast
import gc
import os
import shutil
import stat
import subprocess
import sys
import threading
import time
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from sim import disk_cache
from sim.bodies import stiffness
from sim.parts.case import Case, Hub
from sim.seating.prepared import PRESETS, prepare, stiffness_of

DAMAGED = "was damaged and has been rebuilt"
UNWRITABLE = "cannot be written"
SIM = Path(disk_cache.__file__).parent
MODULES = {".".join(path.relative_to(SIM).with_suffix("").parts): path for path in SIM.rglob("[!_]*.py")}
MAKER = "sim.seating.prepared"
RIGHT = {"thing.response": np.arange(24.0).reshape(2, 3, 4), "thing.dof": np.arange(5)}


@pytest.fixture(autouse=True)
def own_folder(tmp_path, monkeypatch):
    monkeypatch.setenv("TRUESEAT_CACHE", str(tmp_path / "kept"))
    return tmp_path / "kept"


class Maker:
    def __init__(self):
        self.calls = 0

    def __call__(self):
        self.calls += 1
        return {key: value.copy() for key, value in RIGHT.items()}


def same(arrays):
    assert arrays.keys() == RIGHT.keys()
    assert all(np.array_equal(arrays[key], RIGHT[key]) for key in RIGHT)


def stored(folder):
    (file,) = folder.glob("*.npz")
    return file


def filled(folder):
    disk_cache.fetch("thing", "identity", Maker(), MAKER)
    return stored(folder)


def test_second_time_comes_from_disk(own_folder):
    make = Maker()
    same(disk_cache.fetch("thing", "identity", make, MAKER)[0])
    arrays, words = disk_cache.fetch("thing", "identity", make, MAKER)
    same(arrays)
    assert (make.calls, words) == (1, ())


def test_a_hub_is_kept_once_whatever_rotor_and_seats_of_nuts_stand_on_it(own_folder):
    """It follows from neither: rotors and wheels were asked for, and each clamping solved the hub anew."""
    case = Case(hub=Hub(flange_thickness_mm=11.3))  # nobody else's, so that it is not in memory yet
    other = replace(
        case,
        rotor=replace(case.rotor, friction_inner_diameter_mm=196.0, overall_height_mm=46.0),
        studs=replace(case.studs, seat_outer_diameter_mm=25.0),
    )
    for one in (case, other):
        prepare(one, "rough")
    assert [len(list(own_folder.glob(f"{part}-*.npz"))) for part in ("hub", "rotor")] == [1, 2]
    (made, _, lines), (again, _, other_lines) = (stiffness_of(one, "hub", PRESETS["rough"]) for one in (case, other))
    assert lines == other_lines
    assert all(np.array_equal(getattr(made, name).data, getattr(again, name).data) for name in ("k0", "k1", "k2"))
    prepare(replace(case, studs=replace(case.studs, thread="M12x1.5")), "rough")
    assert len(list(own_folder.glob("hub-*.npz"))) == 2


def test_another_identity_is_another_file(own_folder):
    make = Maker()
    disk_cache.fetch("thing", "identity", make, MAKER)
    disk_cache.fetch("thing", "another", make, MAKER)
    assert make.calls == 2
    assert len(list(own_folder.glob("*.npz"))) == 2


def test_another_version_of_the_format_is_rebuilt(own_folder, monkeypatch):
    make = Maker()
    disk_cache.fetch("thing", "identity", make, MAKER)
    monkeypatch.setattr(disk_cache, "CACHE_VERSION", disk_cache.CACHE_VERSION + 1)
    disk_cache.fetch("thing", "identity", make, MAKER)
    assert make.calls == 2


SPOILS = {
    "empty": lambda raw: b"",
    "text": lambda raw: b"not an archive at all\n" * 50,
    "binary": lambda raw: bytes(np.random.default_rng(1).integers(0, 256, 4000, dtype=np.uint8)),
    "half": lambda raw: raw[: len(raw) // 2],
    "all but a byte": lambda raw: raw[:-1],
    "start only": lambda raw: raw[:40],
    "one array": lambda raw: b"\x93NUMPY" + raw,
}


@pytest.mark.parametrize("how", SPOILS)
def test_damaged_file_is_rebuilt_with_a_word(own_folder, how):
    file = filled(own_folder)
    file.write_bytes(SPOILS[how](file.read_bytes()))
    make = Maker()
    arrays, words = disk_cache.fetch("thing", "identity", make, MAKER)
    same(arrays)
    assert make.calls == 1
    assert len(words) == 1
    assert DAMAGED in words[0]
    assert disk_cache.fetch("thing", "identity", make, MAKER)[1] == ()


def test_any_byte_turned_over_never_brings_a_traceback_or_a_wrong_number(own_folder):
    file = filled(own_folder)
    raw = file.read_bytes()
    for place in range(0, len(raw), 3):
        spoilt = bytearray(raw)
        spoilt[place] ^= 0xFF
        file.write_bytes(bytes(spoilt))
        same(disk_cache.fetch("thing", "identity", Maker(), MAKER)[0])


def test_a_file_of_another_geometry_under_this_name_is_not_believed(own_folder):
    file = filled(own_folder)
    with np.load(file) as content:
        arrays = {key: content[key] for key in content.files}
    np.savez(file, **{**arrays, "digest": np.array("0" * 24)})
    assert DAMAGED in disk_cache.fetch("thing", "identity", Maker(), MAKER)[1][0]


def test_a_file_with_a_hole_in_its_numbers_is_not_believed(own_folder):
    file = filled(own_folder)
    with np.load(file) as content:
        arrays = {key: content[key].copy() for key in content.files}
    arrays["thing.response"][0, 0, 0] = np.nan
    np.savez(file, **arrays)
    arrays, words = disk_cache.fetch("thing", "identity", Maker(), MAKER)
    same(arrays)
    assert DAMAGED in words[0]


class Trap:
    """Would write a file if it were ever unpickled."""

    def __init__(self, path):
        self.path = path

    def __reduce__(self):
        return (os.mkdir, (str(self.path),))


def test_nothing_in_a_file_is_ever_executed(own_folder, tmp_path):
    file = filled(own_folder)
    with np.load(file) as content:
        digest = content["digest"]
    trap = np.array([Trap(tmp_path / "sprung")], dtype=object)
    np.savez(file, allow_pickle=True, digest=digest, **{"thing.dof": trap})
    same(disk_cache.fetch("thing", "identity", Maker(), MAKER)[0])
    assert not (tmp_path / "sprung").exists()


def test_a_file_beyond_bounds_is_not_read(own_folder, monkeypatch):
    filled(own_folder)
    monkeypatch.setattr(disk_cache, "MAX_FILE_BYTES", 100)
    assert DAMAGED in disk_cache.fetch("thing", "identity", Maker(), MAKER)[1][0]


def test_folder_that_is_a_file_brings_a_word_and_the_right_answer(tmp_path, monkeypatch):
    (tmp_path / "occupied").write_text("a file")
    monkeypatch.setenv("TRUESEAT_CACHE", str(tmp_path / "occupied"))
    arrays, words = disk_cache.fetch("thing", "identity", Maker(), MAKER)
    same(arrays)
    assert UNWRITABLE in words[0]


@pytest.mark.skipif(os.geteuid() == 0, reason="nothing is unwritable for root")
def test_folder_without_permission_brings_a_word_and_the_right_answer(own_folder):
    own_folder.mkdir()
    own_folder.chmod(stat.S_IRUSR | stat.S_IXUSR)
    arrays, words = disk_cache.fetch("thing", "identity", Maker(), MAKER)
    own_folder.chmod(stat.S_IRWXU)
    same(arrays)
    assert UNWRITABLE in words[0]


def test_folder_that_may_not_be_looked_into_brings_a_word_and_the_right_answer(monkeypatch):
    def forbidden(*_, **__):
        raise PermissionError(13, "Permission denied")

    for name in ("is_file", "mkdir"):
        monkeypatch.setattr(disk_cache.Path, name, forbidden)
    arrays, words = disk_cache.fetch("thing", "identity", Maker(), MAKER)
    same(arrays)
    assert UNWRITABLE in words[0]


def test_a_small_file_that_unpacks_beyond_bounds_is_not_read(own_folder, monkeypatch):
    file = filled(own_folder)
    with np.load(file) as content:
        arrays = {key: content[key] for key in content.files}
    arrays["thing.response"] = np.zeros((1000, 1000))
    np.savez_compressed(file, **arrays)
    monkeypatch.setattr(disk_cache, "MAX_FILE_BYTES", 1_000_000)
    assert file.stat().st_size < 1_000_000
    arrays, words = disk_cache.fetch("thing", "identity", Maker(), MAKER)
    same(arrays)
    assert DAMAGED in words[0]


def test_a_full_disk_leaves_no_pieces_behind(own_folder, monkeypatch):
    def full(file, **_):
        file.write(b"half of it")
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(disk_cache.np, "savez", full)
    arrays, words = disk_cache.fetch("thing", "identity", Maker(), MAKER)
    same(arrays)
    assert UNWRITABLE in words[0]
    assert list(own_folder.iterdir()) == []


def test_interrupted_writing_leaves_no_pieces_behind(own_folder, monkeypatch):
    def interrupted(file, **_):
        file.write(b"half of it")
        raise KeyboardInterrupt

    monkeypatch.setattr(disk_cache.np, "savez", interrupted)
    with pytest.raises(KeyboardInterrupt):
        disk_cache.fetch("thing", "identity", Maker(), MAKER)
    assert list(own_folder.iterdir()) == []


def test_many_at_once_all_get_the_right_answer(own_folder):
    answers = []

    def one():
        answers.extend(disk_cache.fetch("thing", "identity", Maker(), MAKER) for _ in range(10))

    threads = [threading.Thread(target=one) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert len(answers) == 80
    for arrays, words in answers:
        same(arrays)
        assert words == ()
    assert [file.suffix for file in own_folder.iterdir()] == [".npz"]


def test_what_another_is_making_is_waited_for_and_read(own_folder):
    """Two processes that began together each built the same flexibility, seconds of work for nothing."""
    begun, make = threading.Event(), Maker()

    def slowly():
        begun.set()
        time.sleep(0.2)
        return make()

    first = threading.Thread(target=disk_cache.fetch, args=("thing", "identity", slowly, MAKER))
    first.start()
    assert begun.wait(10.0)
    another = Maker()
    arrays, words = disk_cache.fetch("thing", "identity", another, MAKER)
    first.join()
    same(arrays)
    assert (make.calls, another.calls, words) == (1, 0, ())
    assert [path.suffix for path in own_folder.iterdir()] == [".npz"]


def test_who_is_never_done_holds_nobody_up_for_long(own_folder, monkeypatch):
    monkeypatch.setattr(disk_cache, "WAIT_S", 0.1)
    begun, done = threading.Event(), threading.Event()

    def stuck():
        begun.set()
        done.wait(10.0)
        return Maker()()

    first = threading.Thread(target=disk_cache.fetch, args=("thing", "identity", stuck, MAKER))
    first.start()
    assert begun.wait(10.0)
    make = Maker()
    same(disk_cache.fetch("thing", "identity", make, MAKER)[0])
    assert make.calls == 1
    done.set()
    first.join()
    same(disk_cache.fetch("thing", "identity", make, MAKER)[0])


def test_many_read_at_once_whatever_sweeps_the_memory_meanwhile(own_folder):
    """Python 3.11 counts the depth of `ast` for all threads together; a sweep that runs Python lets them meet there."""
    disk_cache.fetch("thing", "identity", Maker(), MAKER)
    answers, pause, often = [], sys.getswitchinterval(), gc.get_threshold()

    def sweeping(*_):
        sum(k * k for k in range(300))

    def one():
        answers.extend(disk_cache.fetch("thing", "identity", Maker(), MAKER) for _ in range(12))

    threads = [threading.Thread(target=one) for _ in range(8)]
    gc.callbacks.append(sweeping)
    try:
        sys.setswitchinterval(1e-6)
        gc.set_threshold(5, 2, 2)
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
    finally:
        gc.callbacks.remove(sweeping)
        gc.set_threshold(*often)
        sys.setswitchinterval(pause)
    assert len(answers) == 96


@pytest.mark.parametrize(
    ("small", "bound", "other"), [(0, "MAX_FILES", "MAX_SMALL"), (10**6, "MAX_SMALL", "MAX_FILES")]
)
def test_oldest_files_go_when_there_are_too_many(own_folder, monkeypatch, small, bound, other):
    """Small ones and large ones each among their own."""
    monkeypatch.setattr(disk_cache, "SMALL_BYTES", small)
    monkeypatch.setattr(disk_cache, bound, 3)
    monkeypatch.setattr(disk_cache, other, 1)
    for k in range(6):
        disk_cache.fetch("thing", f"identity {k}", Maker(), MAKER)
        os.utime(max(own_folder.glob("*.npz"), key=os.path.getmtime), (1000 + k, 1000 + k))
    assert len(list(own_folder.glob("*.npz"))) == 3
    for k, calls in ((5, 0), (4, 0), (3, 0), (2, 1)):
        again = Maker()
        disk_cache.fetch("thing", f"identity {k}", again, MAKER)
        assert again.calls == calls


def test_what_is_in_use_is_not_the_one_that_goes(own_folder, monkeypatch):
    monkeypatch.setattr(disk_cache, "MAX_SMALL", 2)
    disk_cache.fetch("thing", "in use", Maker(), MAKER)
    for k in range(3):
        for file in own_folder.glob("*.npz"):
            os.utime(file, (1000 + k, 1000 + k))
        disk_cache.fetch("thing", "in use", Maker(), MAKER)
        disk_cache.fetch("thing", f"identity {k}", Maker(), MAKER)
    again = Maker()
    disk_cache.fetch("thing", "in use", again, MAKER)
    assert again.calls == 0


def test_files_of_others_in_the_folder_are_left_alone(own_folder, monkeypatch):
    monkeypatch.setattr(disk_cache, "MAX_SMALL", 2)
    own_folder.mkdir()
    np.savez(own_folder / "measurements.npz", a=np.arange(3))
    os.utime(own_folder / "measurements.npz", (1, 1))
    for k in range(4):
        disk_cache.fetch("thing", f"identity {k}", Maker(), MAKER)
    assert (own_folder / "measurements.npz").exists()


# ---- the code that makes what is stored --------------------------------------------------------------------------

PREPARED = (
    "from sim import Case, Hub; from sim.seating.prepared import prepare; "
    "print(repr(float(abs(prepare(Case(hub=Hub(material='rigid')), 'rough').rotor.face).max())))"
)


def prepared(root, folder):
    """Largest response of a rotor's face, computed by the sources in ``root``. [mm/N]."""
    environment = {**os.environ, "TRUESEAT_CACHE": str(folder), "PYTHONPATH": str(root)}
    done = subprocess.run(
        [sys.executable, "-c", PREPARED], capture_output=True, text=True, check=True, cwd=root, env=environment
    )
    return float(done.stdout)


def test_metal_made_twice_as_stiff_in_the_code_is_not_hidden_by_what_was_stored(own_folder, tmp_path):
    shutil.copytree(SIM, tmp_path / "sim", ignore=shutil.ignore_patterns("__pycache__"))
    before = prepared(SIM.parent, own_folder)
    files = set(own_folder.iterdir())
    assert prepared(tmp_path, own_folder) == before
    assert set(own_folder.iterdir()) == files  # the same code somewhere else finds it
    copied = tmp_path / "sim" / Path(stiffness.__file__).relative_to(SIM)
    changed = (
        copied.read_text()
        .replace("= isotropic(metal)", "= 2 * isotropic(metal)")
        .replace("(isotropic(metal)", "(2 * isotropic(metal)")
    )
    assert changed != copied.read_text()
    copied.write_text(changed)
    assert prepared(tmp_path, own_folder) == pytest.approx(before / 2, rel=1e-9)


MAKERS = {
    "sim.seating.prepared": "sim.bodies.stiffness",
    "sim.bodies.vanes": "sim.bodies.pitch_mesh",
    "sim.spigot.stress": "sim.seating.prepared",
    "sim.bench.worn_library": "sim.wear.revolution",
    "sim.corner.unknown_wheel": "sim.solvers.contact",
}


@pytest.mark.parametrize("maker", MAKERS)
def test_every_module_that_a_maker_imports_counts(maker):
    """The quick reading of the import lines against Python's own."""

    def imports(name):
        found = set()
        for node in ast.walk(ast.parse(MODULES[name].read_text(encoding="utf-8"))):
            if isinstance(node, ast.ImportFrom) and f"{node.module}.".startswith("sim."):
                found |= {node.module, *(f"{node.module}.{alias.name}" for alias in node.names)}
            elif isinstance(node, ast.Import):
                found |= {alias.name for alias in node.names}
        return {name.removeprefix("sim.") for name in found} & set(MODULES)

    right, wanted = set(), {maker.removeprefix("sim.")}
    while wanted:
        right |= wanted
        wanted = set().union(*map(imports, wanted)) - right
    assert set(disk_cache._sources(maker.removeprefix("sim."))) == right
    assert MAKERS[maker].removeprefix("sim.") in right


@pytest.mark.parametrize("name", ["_source", "_version"])
def test_another_source_or_another_library_is_another_digest(monkeypatch, name):
    before = disk_cache.code_digest(MAKER)
    one = {"_source": stiffness.__name__.removeprefix("sim."), "_version": "scipy"}[name]
    plain = getattr(disk_cache, name)
    more = {"_source": b"\n", "_version": ".1"}[name]
    monkeypatch.setattr(disk_cache, name, lambda asked: plain(asked) + more if asked == one else plain(asked))
    assert disk_cache.code_digest.__wrapped__(MAKER) != before


def test_without_sources_nothing_stored_is_believed(monkeypatch):
    monkeypatch.setattr(disk_cache, "_source", lambda name: None)
    assert disk_cache.code_digest.__wrapped__(MAKER) != disk_cache.code_digest.__wrapped__(MAKER)
