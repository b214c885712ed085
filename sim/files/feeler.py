"""A feeler slipped under the tip in a turn: what the dial then moved by says its unit, and that the tip touches."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from sim.files.readings_rows import FEELER, Row, Sheet

#: Thickness of the leaf: 0.10 mm is in every set, and so is 0.004 inch. Common practice, no source. [um]
LEAF_UM = 100.0
#: The tip rides up on it askew, the leaf is worn, the dial has a division. Judgement, 0.15 .. 0.3.
WITHIN = 0.25
#: Units that a figure may have been read in, as they are called. [um]
READ_IN = (
    ("thou", 25.4),
    ("hundredths of a mm", 10.0),
    ("thousandths of a mm", 1.0),
    ("mm", 1000.0),
    ("inches", 25400.0),
)
ROW = (
    f"one more line of that turn with the word {FEELER} for angle_deg and, read off and written as its other figures, "
    "what a 0.1 mm feeler slipped under the tip moves the dial by"
)


def beside_their_turns(rows: Iterable[Row]) -> Iterator[Row]:
    """Give lines of a feeler the words of the turn behind which they stand, where their own are left out."""
    read: list[Row] = []
    for row in rows:
        if row.feeler:
            before = (one for one in reversed(read) if (one.kind, one.mount) == (row.kind, row.mount))
            turn = next((one for one in before if not row.said or one.text[0] == row.text[0]), None)
            if turn is not None:
                row = replace(row, text=turn.text, turned=turn.turned)
        else:
            read.append(row)
        yield row


def of_turns(rows: Sequence[Row], turns: Sequence[Sequence[Row]], factor: float, sheet: Sheet) -> list[float | None]:
    """What the dial moved by in each turn of one mount and state; None where nobody tried. [um].

    Parameters
    ----------
    rows : sequence of Row
        Lines of a feeler.
    turns : sequence of sequence of Row
        Of the same trace, mount and words; a line belongs to the turn that it stands in or behind.
    factor : float
        Of the column's unit. [um]
    sheet : Sheet
        Its faults grow: another unit than the column's, or a tip that does not touch.

    Notes
    -----
    By definition; how near the leaf it must come is judgement (`WITHIN`).
    """
    moved: list[float | None] = [None] * len(turns)
    for row in rows:
        wrong = _wrong(row.value, factor)
        if row.kind == "thickness":
            sheet.fault(row.line, "angle_deg", f"a {FEELER} is tried under a dial, not in a micrometer")
        elif not turns:
            sheet.fault(row.line, "angle_deg", f"{row.named}: a {FEELER}, and no turn of readings beside it")
        elif wrong:
            sheet.fault(
                row.line,
                "",
                f"{row.named}: {wrong}",
                "its figures and its feeler in the column's unit",
            )
        else:
            begun = [k for k, turn in enumerate(turns) if min(one.line for one in turn) < row.line]
            moved[max(begun, default=0)] = abs(row.value) * factor
    return moved


def _wrong(value: float, factor: float) -> str:
    """Say what a figure of the feeler gives away; empty for about its own thickness in the column's unit."""
    figure = abs(value)
    moved = f"a 0.1 mm feeler moved the dial by {figure:g}"
    if abs(figure * factor / LEAF_UM - 1.0) <= WITHIN:
        return ""
    for name, unit_um in READ_IN:
        if unit_um != factor and abs(figure * unit_um / LEAF_UM - 1.0) <= WITHIN:
            return f"{moved}: this turn was read in {name}"
    where = "the tip does not touch, or the dial sticks" if not figure else "another leaf, or the tip set askew"
    return f"{moved}: {where}; set it again and read the turn again"
