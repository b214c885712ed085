"""One thread in the linear algebra libraries while physics is computed, whatever was imported first, and only then."""

from __future__ import annotations

import ast
import os
import subprocess
import sys
import threading
from pathlib import Path

import pytest
from threadpoolctl import ThreadpoolController

import sim
from sim import one_thread as limiting
from sim.one_thread import one_thread

ROOT = Path(__file__).parents[2]
LIMITS = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS", "BLIS_NUM_THREADS")
# Nothing is solved in these.
WITHOUT = {"load_case", "case_from_text", "check_case", "save", "load", "random_debris", "allow_all_cores"}

SEATED = """
import hashlib, sys
from threadpoolctl import threadpool_info
from sim import Case, Debris, Hub, seat
from sim.solvers import contact
from sim.seating.prepared import prepare

seen = []
inside = contact._equality
def looking(*given):
    seen.extend(library["num_threads"] for library in threadpool_info())
    return inside(*given)
contact._equality = looking
seated = seat(Case(hub=Hub(material="rigid"), debris=(Debris(angle_deg=20.0, height_um=60.0),)), "rough")
bits = hashlib.sha256(seated.outboard_um.tobytes() + seated.cells.pressure_mpa.tobytes()).hexdigest()
print(bits, max(seen), len(seen), max(library["num_threads"] for library in threadpool_info()))
"""


def threads():
    return [library["num_threads"] for library in ThreadpoolController().info()]


def seated_after(first, folder, **environment):
    kept = {name: value for name, value in os.environ.items() if name not in LIMITS}
    done = subprocess.run(
        [sys.executable, "-c", f"import {first}\n{SEATED}"],
        capture_output=True,
        text=True,
        check=True,
        cwd=ROOT,
        env={**kept, "TRUESEAT_CACHE": str(folder), **environment},
    )
    bits, inside, count, outside = done.stdout.split()
    return bits, int(inside), int(count), int(outside)


def test_the_bits_do_not_depend_on_what_was_imported_first_nor_on_the_threads_allowed(tmp_path):
    """Each with a cache of its own, so that the flexibility is made again too."""
    told = {"OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"}
    numpy_first = seated_after("numpy", tmp_path / "a")
    sim_first = seated_after("sim", tmp_path / "b", **told)
    assert numpy_first[0] == sim_first[0]
    assert numpy_first[2] > 0
    assert numpy_first[1] == 1
    if (os.cpu_count() or 1) > 1:
        assert numpy_first[3] > 1, "the caller's own numpy is left as it was"


@pytest.mark.parametrize("name", sorted(set(sim._PUBLIC) - WITHOUT))
def test_every_public_function_that_solves_keeps_to_one_thread(name):
    function = getattr(sim, name)
    if not isinstance(function, type):
        assert function.__code__.co_filename == one_thread.__code__.co_filename


def solves(node):
    """Whether a function multiplies or solves matrices itself."""
    names = {"linalg", "einsum", "tensordot", "lstsq", "nnls", "splu", "dgetrf", "dpotrf"}
    return any(
        (isinstance(one, ast.BinOp) and isinstance(one.op, ast.MatMult))
        or (isinstance(one, ast.Attribute) and one.attr in names)
        for one in ast.walk(node)
    )


def test_every_public_function_with_matrices_in_it_keeps_to_one_thread():
    """Private ones are reached through public ones; what costs forty times the work there is a thread that waits."""
    loose = [
        f"{path.stem}.{node.name}"
        for path in sorted((ROOT / "sim").rglob("*.py"))
        for node in ast.parse(path.read_text(encoding="utf-8")).body
        if isinstance(node, ast.FunctionDef)
        and not node.name.startswith("_")
        and solves(node)
        and not any("one_thread" in ast.dump(decorator) for decorator in node.decorator_list)
    ]
    assert loose == []


@pytest.fixture
def more_threads(monkeypatch):
    """Nobody holds the limit, and the libraries may take two threads."""
    monkeypatch.setattr(limiting, "_LIMIT", limiting._Limit())
    raised = ThreadpoolController().limit(limits=2)  # as a context it would keep other threads from setting theirs
    yield
    raised.restore_original_limits()


@pytest.mark.usefixtures("more_threads")
def test_the_limit_holds_until_the_last_has_left():
    before = threads()
    assert set(before) == {2}
    inside, leave, seen = threading.Event(), threading.Event(), []

    @one_thread
    def waits():
        inside.set()
        leave.wait(30)
        seen.append(threads())

    @one_thread
    def within():
        return threads()

    other = threading.Thread(target=waits)
    other.start()
    inside.wait(30)
    assert set(within()) == {1}
    assert set(threads()) == {1}  # the other is still in
    leave.set()
    other.join()
    assert set(seen[0]) == {1}
    assert threads() == before


@pytest.mark.usefixtures("more_threads")
def test_the_limit_ends_with_an_error_too():
    before = threads()
    assert set(before) == {2}

    @one_thread
    def fails():
        raise KeyError

    with pytest.raises(KeyError):
        fails()
    assert threads() == before
