"""Where something is computed, said or set: ``python -m tests.where WORD ...`` names modules, functions and constants.

Searched are names, first lines of docstrings, and what stands with a constant. A word counts where something begins
with it, so ``minute`` finds ``minutes`` and ``judder`` finds ``judder_speed``. What holds most of the words stands
first, rare words before common ones.
"""

from __future__ import annotations

import ast
import math
import re
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from tests import house
from tests.house import ROOT, TOPS

SHOWN = 12  # a screen's worth, with the eye still on the question


@dataclass(frozen=True)
class Place:
    """Something that has a name: where it stands, and what is said of it in a line."""

    file: str
    line: int
    name: str
    says: str

    def holds(self, word: str) -> bool:
        """Whether a word of its own begins like this one."""
        return re.search(rf"(?<![a-z]){re.escape(word)}", f"{self.file} {self.name} {self.says}".lower()) is not None

    def __str__(self) -> str:
        """One line: where, what, and what it is for."""
        return f"{self.file}:{self.line}  {self.name}  {self.says}".rstrip()[:200]


def _first(node: ast.Module | ast.ClassDef | ast.FunctionDef) -> str:
    return next(iter((ast.get_docstring(node) or "").splitlines()), "")


def _beside(lines: Sequence[str], node: ast.stmt) -> str:
    """The first line of a constant, after the comment above it."""
    above = node.lineno - 2
    while above >= 0 and lines[above].startswith("#"):
        above -= 1
    return " ".join(line.strip() for line in lines[above + 1 : node.lineno])


def places(path: Path) -> Iterator[Place]:
    """Every named thing of a module: itself, its functions, classes with their public methods, constants."""
    tree, lines = house.tree(path), path.read_text(encoding="utf-8").splitlines()
    file = path.relative_to(ROOT).as_posix()
    yield Place(file, 1, "", _first(tree))
    for node in tree.body:
        if isinstance(node, (ast.FunctionDef, ast.ClassDef)):
            yield Place(file, node.lineno, node.name, _first(node))
        if isinstance(node, ast.ClassDef):
            for one in node.body:
                if isinstance(one, ast.FunctionDef) and not one.name.startswith("_"):
                    yield Place(file, one.lineno, f"{node.name}.{one.name}", _first(one))
        elif isinstance(node, (ast.Assign, ast.AnnAssign)):
            target = node.targets[0] if isinstance(node, ast.Assign) else node.target
            if isinstance(target, ast.Name) and target.id.isupper():
                yield Place(file, node.lineno, target.id, _beside(lines, node))


@cache
def _every() -> tuple[Place, ...]:
    return tuple(place for top in TOPS for path in sorted((ROOT / top).rglob("*.py")) for place in places(path))


def found(words: Sequence[str], shown: int = SHOWN) -> list[Place]:
    """Places that hold most of the words, a rare word counting for more than a common one."""
    asked, every = [word.lower() for word in words], _every()
    held = [[word for word in asked if place.holds(word)] for place in every]
    worth = {word: math.log(len(every) / max(1, sum(word in one for one in held))) for word in asked}
    ranked = sorted(
        (-sum(worth[word] for word in one), bool(place.name), k)
        for k, (place, one) in enumerate(zip(every, held, strict=True))
        if one
    )
    return [every[k] for *_, k in ranked[:shown]]


if __name__ == "__main__":
    print(*(found(sys.argv[1:]) or [f"nothing; words are looked for in names and first lines: {__doc__}"]), sep="\n")
