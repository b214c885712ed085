"""What is written down in the order of work, on sheet and cards alike: rows, each with the work that asks for it."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

# What is written down, in the order of work, on sheet and cards alike: what counts from stud 1, what from the valve.
FITTED = "cleaned, fitted"
FROM_STUD = ("as found", "thickness", "hub face, clean", FITTED, "indexed by ____ holes")
FROM_VALVE = ("before", "at the end")
TO_WRITE = (("from stud 1", FROM_STUD), ("wheel on, inboard face, from the valve", FROM_VALVE))
WRITTEN_AT = {
    "as found": "as found",
    "thickness": "thickness",
    "hub face, clean": "hub face",
    FITTED: "read",
    "indexed by ____ holes": "index",
    "before": "wheel-on trace",
    "at the end": "last trace",
}  # the piece of work at which each is written
HIGH_SPOT = "high spot, °"
WRITTEN_SO = (
    "TIR: highest less lowest. High spot: degrees counter-clockwise from stud 1 (up: 90° is 9 o'clock); wheel on, "
    "from the valve."
)


def to_write(keys: Iterable[str]) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """What some pieces of work have written down: rows under their heads, none that no step asks for.

    Examples
    --------
    >>> to_write(["as found", "thickness", "clean"])
    (('from stud 1', ('as found', 'thickness')),)
    """
    wanted = set(keys)
    told = [(head, tuple(row for row in rows if WRITTEN_AT[row] in wanted)) for head, rows in TO_WRITE]
    return tuple((head, rows) for head, rows in told if rows)
