"""The picture of the house in DEVELOPERS.md: rooms of `sim` and `scenes` by floor, and what stands in them.

``python -m tests.house`` prints it, ``python -m tests.house --write`` puts it into DEVELOPERS.md. Drawn from the
imports of the code itself (grimp, which import-linter stands on).
"""

from __future__ import annotations

import ast
import sys
from functools import cache
from graphlib import TopologicalSorter
from pathlib import Path

import grimp

ROOT = Path(__file__).parents[1]
TOPS = ("sim", "scenes")
BEGIN, END = "<!-- made by `python -m tests.house --write`, do not edit -->", "<!-- end of what is made -->"


@cache
def _imports() -> grimp.ImportGraph:
    return grimp.build_graph(*TOPS, cache_dir=None)


@cache
def rooms(top: str) -> dict[str, set[str]]:
    """Rooms of a package (sub-packages and flat modules) and the rooms that each imports."""
    graph = _imports()
    children = sorted(graph.find_children(top))
    of = {module: room for room in children for module in (room, *graph.find_descendants(room))}
    out: dict[str, set[str]] = {room: set() for room in children}
    for module, room in of.items():
        wanted = {of[other] for other in graph.find_modules_directly_imported_by(module) if other in of}
        out[room] |= wanted - {room}
    return out


def floors(graph: dict[str, set[str]]) -> list[list[str]]:
    """Rooms by floor, the ground floor first: each imports only from floors below. Raises `graphlib.CycleError`."""
    level: dict[str, int] = {}
    for room in TopologicalSorter(graph).static_order():
        level[room] = 1 + max((level[other] for other in graph[room]), default=-1)
    return [sorted(room for room in level if level[room] == floor) for floor in range(1 + max(level.values()))]


@cache
def tree(path: Path) -> ast.Module:
    """Return a module as Python reads it, once."""
    return ast.parse(path.read_text(encoding="utf-8"))


def says(path: Path) -> str:
    """First line of a module's docstring, without its full stop."""
    file = path / "__init__.py" if path.is_dir() else path
    return (ast.get_docstring(tree(file)) or "").splitlines()[0].rstrip(".")


def strings(path: Path) -> list[str]:
    """Every string of a module that is not a docstring."""
    nodes = list(ast.walk(tree(path)))
    docs = {id(node.value) for node in nodes if isinstance(node, ast.Expr)}
    return [n.value for n in nodes if isinstance(n, ast.Constant) and isinstance(n.value, str) and id(n) not in docs]


def _path(module: str) -> Path:
    folder = ROOT / module.replace(".", "/")
    return folder if folder.is_dir() else folder.with_suffix(".py")


def _storeys(top: str) -> list[str]:
    graph = rooms(top)
    lines = [
        f"### `{top}` by floor, roof first",
        "",
        "| floor | room | what it is for | imports |",
        "|---|---|---|---|",
    ]
    for number, floor in reversed(list(enumerate(floors(graph)))):
        for room in floor:
            path = _path(room)
            below = ", ".join(f"`{other.split('.')[1]}`" for other in sorted(graph[room])) or "–"
            name = f"`{path.name}/`" if path.is_dir() else f"`{path.stem}`"
            lines.append(f"| {number} | {name} | {says(path)} | {below} |")
    return [*lines, ""]


def _contents(top: str) -> list[str]:
    lines = [f"### What stands in the rooms of `{top}`", "", "| module | what it is for |", "|---|---|"]
    for room in sorted(path for path in (ROOT / top).iterdir() if (path / "__init__.py").exists()):
        for path in sorted(room.glob("[!_]*.py")):
            lines.append(f"| `{room.name}/{path.stem}` | {says(path)} |")
    return [*lines, ""]


def picture() -> str:
    """The rooms of both packages by floor, then what stands in them; tables in Markdown."""
    lines = [line for make in (_storeys, _contents) for top in TOPS for line in make(top)]
    return "\n".join(lines).rstrip()


def main(argv: list[str]) -> int:
    """Print the picture, or write it into DEVELOPERS.md."""
    made = picture()
    if "--write" not in argv:
        print(made)
        return 0
    path = ROOT / "DEVELOPERS.md"
    head, _, rest = path.read_text(encoding="utf-8").partition(BEGIN)
    path.write_text(f"{head}{BEGIN}\n\n{made}\n\n{END}{rest.partition(END)[2]}", encoding="utf-8")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
