"""The thinnest place that was read beside the stamp, which nobody typed."""

from __future__ import annotations

from sim.bench import next_act as act
from sim.bench.next_act import Act
from sim.parts.discard import thinnest_words

#: Said before a rotor is left on: readings know no stamp.
STAMP_FIRST = (
    "The stamp first: {least} at its thinnest has to be over the figure stamped on it by more than the ±; else this "
    "rotor is scrap. "
)
#: The same where the thickness was read from any zero: how it varies is known, and not what is left of it.
STAMP_UNREAD = (
    "The stamp first: the thickness was read from a zero of its own; measured whole at its thinnest it has to be over "
    "the figure stamped on it, else this rotor is scrap. "
)
STAMP_LINE = (
    "Thinnest place read: {least}. Unless that is over the figure stamped on it by more than the ±, the rotor is "
    "scrap: nothing more is done to it."
)


def stamped(todo: Act) -> str:
    """Begin what follows the stamp: under its condition where it is said first."""
    return "Over it t" if stamp_first(todo) else "T"


def stamp_first(todo: Act) -> str:
    """Hold the thinnest place that was read against the stamp, which nobody typed: none thinner is left on or cut."""
    if todo.what not in (act.DONE, act.AT_LIMIT, act.UNEVEN_COUNTED, act.WORN) or todo.thickness_um is None:
        return ""
    return STAMP_UNREAD if todo.thinnest_mm is None else STAMP_FIRST.format(least=_thinnest(todo))


def stamp_line(todo: Act) -> str:
    """Say the thinnest place that was read beside the stamp; empty where `lead` begins with it, or nobody read it."""
    if todo.thinnest_mm is None or stamp_first(todo):
        return ""
    return STAMP_LINE.format(least=_thinnest(todo))


def _thinnest(todo: Act) -> str:
    """Thinnest place that was read, with its uncertainty."""
    half_mm = 0.0 if todo.varies is None else todo.varies.thick_half_mm
    return thinnest_words(todo.thinnest_mm or 0.0, half_mm)
