"""The house keeps its shape: imports run one way, physics loads no renderer, nothing foreign."""

from __future__ import annotations

import ast
import re
import subprocess
import sys
from functools import cache
from graphlib import TopologicalSorter
from pathlib import Path

import pytest

from tests import house, where

ROOT = Path(__file__).parents[2]
MOST_FLOORS = {"sim": 9, "scenes": 6}
RENDERERS = {"scenes", "pyvista", "vtk", "vtkmodules", "matplotlib"}


@cache
def _imports(path: Path) -> set[str]:
    found = set()
    for node in ast.walk(house.tree(path)):
        if isinstance(node, ast.Import):
            found |= {alias.name for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            found.add(node.module)
            found |= {f"{node.module}.{alias.name}" for alias in node.names}
    return found


@cache
def _modules(folder: str) -> dict[str, Path]:
    """Every module of a package by its name within it, those in its rooms too."""
    paths = sorted((ROOT / folder).rglob("*.py"))
    named = {".".join(path.relative_to(ROOT / folder).with_suffix("").parts): path for path in paths}
    return {name: path for name, path in named.items() if not name.endswith("__init__")}


def _within(folder: str, path: Path) -> set[str]:
    return {name.removeprefix(f"{folder}.") for name in _imports(path)} & set(_modules(folder))


@pytest.mark.parametrize("folder", ["sim", "scenes"])
def test_no_imports_in_a_circle(folder):
    graph = {name: _within(folder, path) for name, path in _modules(folder).items()}
    assert len(list(TopologicalSorter(graph).static_order())) == len(graph)


def test_the_contract_of_imports_is_kept():
    """Layers stand in pyproject.toml; import-linter holds the code against them."""
    ask = "from importlinter.cli import lint_imports; raise SystemExit(lint_imports(no_cache=True))"
    done = subprocess.run([sys.executable, "-c", ask], capture_output=True, text=True, cwd=ROOT, check=False)
    assert done.returncode == 0, done.stdout + done.stderr
    assert "0 broken" in done.stdout


def test_the_picture_in_the_developers_page_is_of_this_house():
    assert house.picture() in (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("top", house.TOPS)
def test_every_room_is_the_answer_to_a_question(top):
    """In the developers' table; what has no question of its own is said below."""
    page = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8").partition(house.BEGIN)[0]
    unasked = {"sim.__main__", "sim.arrays", "sim.one_thread", "sim.turn", "sim.units"}
    missing = {room for room in house.rooms(top) if f"`{room.replace('.', '/')}" not in page}
    assert missing <= unasked


def test_the_house_tells_where_something_stands():
    """Words in any order and number; a constant by the comment above it, a rare word before a common one."""
    assert "sim/wear/judder.py" in [one.file for one in where.found(["resonance", "mode"])[:3]]
    assert where.found(["MODULI"])[0].name == "MODULI_MPA"
    assert where.found(["one", "scale", "moduli"])[0].name == "MODULI_MPA"
    assert where.found(["no-such-word"]) == []


@pytest.mark.parametrize("top", house.TOPS)
def test_rooms_stand_on_few_floors(top):
    assert len(house.floors(house.rooms(top))) <= MOST_FLOORS[top]


def test_sim_names_no_renderer():
    wrong = {
        name: sorted(bad)
        for name, path in _modules("sim").items()
        if (bad := {found.split(".")[0] for found in _imports(path)} & RENDERERS)
    }
    assert wrong == {}


def test_sim_loads_no_renderer():
    """In a fresh interpreter, every module of sim together."""
    names = [f"sim.{name}" for name in _modules("sim") if name != "__main__"]
    code = f"import sys, {', '.join(names)}; print([m for m in {sorted(RENDERERS)!r} if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, cwd=ROOT, check=True)
    assert done.stdout.strip() == "[]"


def test_every_module_says_what_it_is_for():
    silent = [
        p for folder in ("sim", "scenes") for p in _modules(folder).values() if not ast.get_docstring(house.tree(p))
    ]
    assert silent == []


def test_people_read_micrometres_with_their_sign():
    """Keys end in ``_um``; sentences say µm."""
    plain = [
        f"{path.name}: {text}"
        for folder in ("sim", "scenes")
        for path in _modules(folder).values()
        for text in house.strings(path)
        if re.search(r"(?<!\w) um\b|\d um\b", text)
    ]
    assert plain == []


def test_no_addresses_in_the_constraints_and_every_demo_file_says_that_it_is_invented():
    assert "://" not in (ROOT / "tests" / "constraints.txt").read_text()
    for path in (ROOT / "demo_geometry").iterdir():
        if path.suffix in (".toml", ".csv"):
            assert "invented" in path.read_text(encoding="utf-8").lower()[:400], path.name


def test_the_readme_gives_the_command_that_ci_runs():
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    commands = [line for line in readme.splitlines() if re.match(r"python3 -m venv .*pytest", line)]
    assert len(commands) == 1
    assert "tests/constraints.txt" in commands[0]
