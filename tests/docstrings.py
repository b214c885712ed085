"""How much of ``sim`` says its units, its sources and its reasons: ``python -m tests.docstrings [ROOM ...]``.

A public function counts where it multiplies, divides or raises to a power: it holds a formula, or a step of one. It has
units where its docstring names one, and a source where it cites something or says that it is judgement, memory, common
practice, a definition or a closed form. A constant is a number (or numbers) in capitals at the top of a module; its
reason is a comment on its line or above it, or a string below it. A room's name prints what is missing there.
"""

from __future__ import annotations

import ast
import re
import sys
from collections.abc import Sequence
from pathlib import Path

SIM = Path(__file__).parents[1] / "sim"
UNITS = re.compile(
    r"\[[^\]]*\b(mm|mm2|mm3|um|µm|m|km|N|MPa|bar|rad|deg|degrees|Hz|s|Nm|N m|J|1/|m/s2|km/h|rev|kg|pixels|K)\b|"
    r"\[(1|-)\]|[Dd]imensionless|[Nn]o unit|without unit|[Uu]nits? (of|as|stand)|(same|own|their|key.s) unit|"
    r"[Rr]atio|[Ss]hare|"
    r"\b(in|of) (mm|um|µm|N|MPa|km|degrees|rad)\b|N mm|N/mm"
)
SOURCE = re.compile(
    r"\b(1[89]|20)\d\d\b|ISO|VDI|DIN|JCGM|NIST|Shigley|Love|Archard|Hertz|Coulomb|Fourier|Galerkin|Timoshenko|Gauss|"
    r"[Jj]udgement|memory|[Cc]ommon practice|[Bb]y definition|[Dd]efinition|[Cc]losed form|[Gg]eometry|[Ss]tatics|"
    r"[Ll]east squares|[Hh]andbook|ch(apter|\.)|verification|tests/|[Ss]uperposition|phasor|Bayes|[Ss]ources? stands?|"
    r"[Ll]aw of cosines|[Ss]traight lines|Lam|Betti"
)
FORMULA = (ast.Mult, ast.Div, ast.Pow, ast.MatMult)


def _computes(node: ast.AST) -> bool:
    """Whether it is a product, a quotient or a power; a path's ``/`` before a name in quotes is none."""
    if not isinstance(node, ast.BinOp) or not isinstance(node.op, FORMULA):
        return False
    right = node.right
    return not (isinstance(right, ast.JoinedStr) or (isinstance(right, ast.Constant) and isinstance(right.value, str)))


def functions(tree: ast.Module) -> list[ast.FunctionDef]:
    """Public functions and methods of public classes, properties included, that hold a formula."""
    bodies = [tree.body] + [
        one.body for one in tree.body if isinstance(one, ast.ClassDef) and not one.name.startswith("_")
    ]
    found = [one for body in bodies for one in body if isinstance(one, ast.FunctionDef)]
    return [one for one in found if not one.name.startswith("_") and any(map(_computes, ast.walk(one)))]


def constants(tree: ast.Module) -> list[ast.Assign | ast.AnnAssign]:
    """Assignments of numbers to names in capitals."""

    def number(value: ast.expr | None) -> bool:
        leaves = [node for node in ast.walk(value) if isinstance(node, ast.Constant)] if value is not None else []
        return bool(leaves) and all(isinstance(leaf.value, (int, float)) for leaf in leaves)

    out: list[ast.Assign | ast.AnnAssign] = []
    for one in tree.body:
        if not isinstance(one, (ast.Assign, ast.AnnAssign)) or not number(one.value):
            continue
        target = one.targets[0] if isinstance(one, ast.Assign) else one.target
        names = target.elts if isinstance(target, ast.Tuple) else [target]
        if all(isinstance(name, ast.Name) and name.id.strip("_").isupper() for name in names):
            out.append(one)
    return out


def reasoned(one: ast.stmt, tree: ast.Module, lines: list[str]) -> bool:
    """Whether a comment or a string stands with an assignment."""
    own = "".join(lines[one.lineno - 1 : one.end_lineno])
    above = one.lineno - 2
    while above >= 0 and lines[above].strip() and not lines[above].lstrip().startswith("#"):
        above -= 1  # constants in one block share the comment at its head
    below = tree.body[tree.body.index(one) + 1 :]
    text = below and isinstance(below[0], ast.Expr) and isinstance(below[0].value, ast.Constant)
    headed = above >= 0 and lines[above].lstrip().startswith("#")
    return "#" in own or headed or bool(text)


def counts(asked: Sequence[str] = ()) -> dict[str, list[int]]:
    """Formulas, those with units, those with a source, constants, those with a reason: by room, and of all."""
    rooms: dict[str, list[int]] = {}
    for path in sorted(SIM.rglob("*.py")):
        room = path.parent.name
        text = path.read_text(encoding="utf-8")
        tree, lines = ast.parse(text), text.splitlines()
        row = rooms.setdefault(room, [0] * 5)
        for one in functions(tree):
            said = ast.get_docstring(one) or ""
            has = bool(UNITS.search(said)), bool(SOURCE.search(said))
            row[:3] = row[0] + 1, row[1] + has[0], row[2] + has[1]
            if room in asked and not all(has):
                lacks = " ".join(word for word, there in zip(("units", "source"), has, strict=True) if not there)
                print(f"{path.relative_to(SIM)}:{one.lineno} {one.name}: {lacks}")
        for number in constants(tree):
            why = reasoned(number, tree, lines)
            row[3:] = row[3] + 1, row[4] + why
            if room in asked and not why:
                print(f"{path.relative_to(SIM)}:{number.lineno} {lines[number.lineno - 1].strip()[:90]}: reason")
    return rooms | {"all": [sum(column) for column in zip(*rooms.values(), strict=True)]}


def _part(some: int, whole: int) -> str:
    return f"{some} ({100 * some / whole:.0f} %)" if whole else "–"


if __name__ == "__main__":
    found = counts(sys.argv[1:])
    print("| room | formulas | with units | with source | constants | with reason |", "|---|" + 5 * "---|", sep="\n")
    for name, (formulas, units, sources, numbers, reasons) in found.items():
        parts = _part(units, formulas), _part(sources, formulas), str(numbers), _part(reasons, numbers)
        print(f"| {name} | {formulas} | {' | '.join(parts)} |")
