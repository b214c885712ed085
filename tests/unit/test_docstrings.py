"""Truth stands beside the code: formulas say units and source, constants their reason."""

from __future__ import annotations

import ast

from tests import docstrings


def test_formulas_say_units_and_source_and_constants_their_reason():
    """Judged by words, so no more than a floor; ``python -m tests.docstrings ROOM`` names what is missing."""
    formulas, units, sources, constants, reasons = docstrings.counts()["all"]
    assert units >= 0.96 * formulas
    assert sources >= 0.94 * formulas
    assert reasons >= 0.99 * constants


def test_a_bare_formula_and_a_bare_constant_are_found():
    text = 'AREA_MM2 = 3.0\n\n\ndef push_n(a: float) -> float:\n    """Push."""\n    return a * AREA_MM2\n'
    tree = ast.parse(text)
    (one,), (number,) = docstrings.functions(tree), docstrings.constants(tree)
    assert not docstrings.UNITS.search(ast.get_docstring(one))
    assert not docstrings.SOURCE.search(ast.get_docstring(one))
    assert not docstrings.reasoned(number, tree, text.splitlines())
    told = text.replace("3.0", "3.0  # judgement")
    tree = ast.parse(told)
    assert docstrings.reasoned(docstrings.constants(tree)[0], tree, told.splitlines())
