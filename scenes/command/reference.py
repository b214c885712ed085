"""Reference tables for the terminal: every key with its source, every source with its keys, the glossary."""

from __future__ import annotations

from typing import TYPE_CHECKING

from rich.box import SIMPLE_HEAD
from rich.table import Table
from rich.text import Text

from scenes.words import words
from sim.parts import keys

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sim.parts.keys import Key

# What the figures of the program are checked against, outside of itself.
CHECKS = (
    ("Timoshenko; Lamé: thick cylinder under pressure", "stiffness of the bodies, mean order"),
    ("Roark's Formulas for Stress and Strain, table 11.2", "annular plate: bending of flange and ring"),
    ("Hertz, after Johnson, Contact Mechanics", "contact search"),
    ("linear programme of the exact three-point seat", "rigid seating, and the elastic one at next to no clamp force"),
    ("three-dimensional finite elements (calculix-ccx)", "seating on a rigid and on an elastic hub"),
    ("ISO 898-1", "proof load of the studs"),
    ("ISO 1101", "what runout is"),
    ("JCGM 100:2008; JIS B 7503:2011 (a maker's extract)", "uncertainty of a dial reading"),
    ("Archard 1953", "wear per work"),
    ("rolling circumference", "speed at which each order is felt"),
)


def _table(*columns: str) -> Table:
    table = Table(box=SIMPLE_HEAD, pad_edge=False, show_edge=False)
    for column in columns:
        table.add_column(column, overflow="fold")
    return table


def sources() -> list[tuple[str, str]]:
    """Every source of a default with the keys that rest on it, in the order of the case file."""
    users: dict[str, list[str]] = {}
    for key in keys.KEYS:
        users.setdefault(key.source, []).append(key.path)
    return [(source, ", ".join(paths)) for source, paths in users.items()]


def key_record(key: Key) -> dict[str, object]:
    """One key for ``keys --json``."""
    return {
        "key": key.path,
        "unit": key.unit,
        "default": key.default,
        "allowed": key.allowed,
        "meaning": key.meaning,
        "source": key.source,
        "computed": key.built,
    }


def key_table(rows: Sequence[Key]) -> Table:
    """Keys of one table of the case file: default, what is taken, meaning, source."""
    table = _table("key", "default", "allowed", "meaning", "source")
    for row in rows:
        default = (
            "–" if row.default is None else f"{row.default:g}" if isinstance(row.default, float) else str(row.default)
        )
        meaning = row.meaning if row.built else f"{row.meaning} (not computed yet)"
        table.add_row(Text(row.name), Text(default), Text(row.allowed), Text(meaning), Text(row.source))
    return table


def source_table(rows: Sequence[tuple[str, str]]) -> Table:
    """Sources, each with what rests on it."""
    table = _table("source", "what rests on it")
    for source, users in rows:
        table.add_row(Text(source), Text(users))
    return table


def glossary() -> Table:
    """Words of pictures, tables and report with what they mean."""
    table = _table("word", "unit, sign", "meaning")
    for term in words.GLOSSARY:
        table.add_row(term.word, Text(term.measure), term.meaning)
    return table
