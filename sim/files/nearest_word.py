"""Unknown keys: what a reader may have meant by a key that does not exist."""

from __future__ import annotations

from collections.abc import Iterable
from difflib import SequenceMatcher

from sim.parts.keys import BY_TABLE, KEYS, TABLES, Key
from sim.units import stem_of

LONGEST_COMPARED = 60  # characters; comparing costs their square
LEAST_ALIKE = 0.5  # judgement: below this a suggestion misleads


def unknown_key(table: str, name: str) -> str:
    """Reason for refusing a key that a table does not have, with the nearest known one.

    Parameters
    ----------
    table : str
        A known table; empty for the top of the file.
    name : str
        The unknown key.

    Examples
    --------
    >>> unknown_key("rotor", "hieght_mm")
    'unknown key, nearest known: overall_height_mm'
    >>> unknown_key("rotor", "bore_m")
    'unknown key, nearest known: bore_diameter_mm (in mm)'
    """
    wanted = name.lower()[:LONGEST_COMPARED]
    elsewhere = [key.table for key in KEYS if key.name == wanted and key.table != table]
    if elsewhere:
        places = " or ".join(f"[{other}]" for other in elsewhere if other) or "the top of the file"
        return f"unknown key here; {wanted} belongs to {places}"
    known = BY_TABLE[table]
    if best := _same_but_unit(wanted, known.values()) or known.get(nearest(wanted, known)):
        other_unit = (
            stem_of(wanted) != wanted and best.unit and not wanted.endswith(best.name[len(stem_of(best.name)) :])
        )
        return f"unknown key, nearest known: {best.name}" + (f" (in {best.unit})" if other_unit else "")
    return "unknown key"


def unknown_table(name: str) -> str:
    """Reason for refusing a table that does not exist, with the nearest known one."""
    best = nearest(name.lower()[:LONGEST_COMPARED], [table for table in TABLES if table])
    return f"unknown table, nearest known: [{best}]" if best else "unknown table"


def nearest(wanted: str, known: Iterable[str]) -> str:
    """The known word most like the wanted one; empty when none is.

    Words joined by underscores are compared one by one, so that one slip in a long name, or a name cut short, is found.
    """
    best, score = "", LEAST_ALIKE
    for word in known:
        alike = _alike(wanted, word)
        if alike > score:
            best, score = word, alike
    return best


def _same_but_unit(wanted: str, known: Iterable[Key]) -> Key | None:
    """A key that has the same name before its unit, or whose name begins with it."""
    stem = stem_of(wanted)
    candidates = [key for key in known if key.unit]
    same = [key for key in candidates if stem_of(key.name) == stem]
    begun = [key for key in candidates if stem_of(key.name).startswith(stem + "_")]
    return next(iter(same or begun[: len(begun) == 1]), None)


def _alike(wanted: str, word: str) -> float:
    whole = SequenceMatcher(None, wanted, word).ratio()
    pieces, targets = stem_of(wanted).split("_"), stem_of(word).split("_")
    found = [max(SequenceMatcher(None, piece, target).ratio() for target in targets) for piece in pieces]
    return 0.7 * sum(found) / len(found) + 0.3 * whole
