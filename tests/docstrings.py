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
from pathlib import Path

SIM = Path(__file__).parents[1] / "sim"
UNITS = re.compile(
    r"\[[^\]]*\b(mm|mm2|mm3|um|µm|m|km|N|MPa|bar|rad|deg|degrees|Hz|s|Nm|N m|J|1/|m/s2|km/h|rev|kg|pixels|K)\b|"
    r"\[(1|-)\]|[Dd]imensionless|no unit|unit of the|same unit|in their unit|[Rr]atio|[Ss]hare|"
    r"\b(in|of) (mm|um|µm|N|MPa|km|degrees|rad)\b|N mm|N/mm"
)
SOURCE = re.compile(
    r"\b(1[89]|20)\d\d\b|ISO|VDI|DIN|JCGM|NIST|Shigley|Love|Archard|Hertz|Coulomb|Fourier|Galerkin|Timoshenko|Gauss|"
    r"[Jj]udgement|memory|[Cc]ommon practice|[Bb]y definition|[Dd]efinition|[Cc]losed form|[Gg]eometry|[Ss]tatics|"
    r"[Ll]east squares|[Hh]andbook|ch(apter|\.)|verification|tests/"
)
FORMULA = (ast.Mult, ast.Div, ast.Pow, ast.MatMult)


def functions(tree: ast.Module) -> list[ast.FunctionDef]:
    """Public functions and methods of public classes, properties included, that hold a formula."""
    bodies = [tree.body] + [
        one.body for one in tree.body if isinstance(one, ast.ClassDef) and not one.name.startswith("_")
    ]
    found = [one for body in bodies for one in body if isinstance(one, ast.FunctionDef)]
    return [
        one
        for one in found
        if not one.name.startswith("_")
        and any(isinstance(node, ast.BinOp) and isinstance(node.op, FORMULA) for node in ast.walk(one))
    ]


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
    return "#" in own or lines[above].lstrip().startswith("#") or bool(text)


def measure(asked: list[str]) -> None:
    """Print the table, and what is missing in the rooms that were asked for."""
    rooms: dict[str, list[int]] = {}
    for path in sorted(SIM.rglob("*.py")):
        room = path.parent.name if path.parent != SIM else "sim"
        text = path.read_text(encoding="utf-8")
        tree, lines = ast.parse(text), text.splitlines()
        counts = rooms.setdefault(room, [0] * 5)
        for one in functions(tree):
            said = ast.get_docstring(one) or ""
            has = bool(UNITS.search(said)), bool(SOURCE.search(said))
            counts[0] += 1
            counts[1] += has[0]
            counts[2] += has[1]
            if room in asked and not all(has):
                lacks = " ".join(("" if has[0] else "units", "" if has[1] else "source")).strip()
                print(f"{path.relative_to(SIM)}:{one.lineno} {one.name}: {lacks}")
        for one in constants(tree):
            why = reasoned(one, tree, lines)
            counts[3] += 1
            counts[4] += why
            if room in asked and not why:
                print(f"{path.relative_to(SIM)}:{one.lineno} {lines[one.lineno - 1].strip()[:90]}: reason")
    rooms["all"] = [sum(column) for column in zip(*rooms.values(), strict=True)]
    print("| room | formulas | with units | with source | constants | with reason |\n|---|---|---|---|---|---|")
    for room, (formulas, units, sources, numbers, reasons) in rooms.items():
        print(f"| {room} | {formulas} | {_part(units, formulas)} | {_part(sources, formulas)} | {numbers} | {_part(reasons, numbers)} |")


def _part(some: int, whole: int) -> str:
    return f"{some} ({100 * some / whole:.0f} %)" if whole else "–"


if __name__ == "__main__":
    measure(sys.argv[1:])
