"""What a fitting sheet leaves room to write: each reading, its second turn, and the limit that it is held against."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from scenes.words import words, written_rows

if TYPE_CHECKING:
    from collections.abc import Iterable

    from sim.parts.case import Case

#: What is read once more where the hub face is over its limit, and where the rotor is at last.
HUB_FACE, HUB_AGAIN, CLEANED_AGAIN = "hub face, clean", "hub face, again", "cleaned again"
#: What is read of a rotor that is renewed, or cut, beside that of the one that came off.
THICKNESS, NEW_THICKNESS = "thickness", "thickness, new"
#: Over the boxes, and below them: what is ticked is held against the maker's figure, where there is one.
HELD_AGAINST = "held against"
MAKERS_COUNTS = "Within or over: the maker's limit, where one is written above."
FROM_STUD = written_rows.TO_WRITE[0][0]
UNKNOWN = "____"
BEFORE, _ = written_rows.FROM_VALVE  # evidence: nothing is held against it
MAKERS_LEAST, MAKERS_MOST = "maker's least", "maker's most"
#: Figures that are no turn: by the piece of work that asks for each, with its unit and what it is held against.
FIGURES = (
    ("caliper", "Thinnest lining", "mm", MAKERS_LEAST),
    ("bearing", "Bearing's end float", "mm", MAKERS_MOST),
    ("guide pin", "Bolt, turns out", "", ""),
    ("guide pin", "Wheel's pad", "mm", ""),
)


@dataclass(frozen=True)
class Row:
    """One reading to write.

    Parameters
    ----------
    name : str
    limit : str
        Its limit in words; empty where none holds for it.
    """

    name: str
    limit: str


def rows(case: Case, keys: Iterable[str], any_car: bool = False) -> tuple[tuple[str, tuple[Row, ...]], ...]:
    """List the rows to write under their heads, for the work that a sheet asks for.

    Parameters
    ----------
    case : Case
        Its limits are printed. [um]
    keys : iterable of str
        Of the work (`scenes.words.work_order`).
    any_car : bool
        Print no limit of this corner.

    Returns
    -------
    tuple of (str, tuple of Row)
        What is read with the wheel on has no limit of ours: that of the mounted rotor is for a dial on a rotor held
        bare. The reading that decides whether it is driven has room for the maker's.
    """
    wanted = set(keys)
    told = []
    for head, names in written_rows.to_write(wanted):
        several = [one for name in names for one in ((name, HUB_AGAIN) if name == HUB_FACE else (name,))]
        several += [CLEANED_AGAIN] if head == FROM_STUD and "the rest" in wanted else []
        several += [NEW_THICKNESS] if THICKNESS in several and wanted & {"rotor", "rotor as given"} else []
        told.append((head, tuple(Row(name, _limit(case, name, any_car)) for name in several)))
    return tuple(told)


def figures(keys: Iterable[str]) -> tuple[tuple[str, str, str], ...]:
    """List what is measured beside the turns: its name, its unit, and the maker's figure that it is held against.

    Parameters
    ----------
    keys : iterable of str
        Of the work (`scenes.words.work_order`).

    Examples
    --------
    >>> figures(["caliper"])
    (('Thinnest lining', 'mm', "maker's least"),)
    """
    wanted = set(keys)
    return tuple((name, unit, against) for key, name, unit, against in FIGURES if key in wanted)


def _limit(case: Case, name: str, any_car: bool) -> str:
    """The limit of one row. [um]."""
    if name == BEFORE:
        return ""
    if any_car or name in written_rows.FROM_VALVE:
        return UNKNOWN
    if name in (HUB_FACE, HUB_AGAIN):
        return words.micrometres(case.hub_face_limit_um)
    return words.micrometres(
        case.limits.dtv_um if name in (THICKNESS, NEW_THICKNESS) else case.limits.mounted_runout_um
    )
