"""Tables that people save from spreadsheets: what parts the cells, what is a number, whether a turn is whole."""

from __future__ import annotations

import csv
import math

import numpy as np
from numpy.typing import ArrayLike

# Between neighbouring angles of one turn; what lies in a wider gap is guessed, not measured. Judgement.
WIDEST_GAP_DEG = 90.0
#: What a word processor or a typeset page writes for a minus sign: a true minus, and an en dash.
DASHES = "\u2212\u2013"


#: Columns that every table of readings has.
READINGS = ("trace", "mount", "studs_turned", "angle_deg")


def holds_readings(text: str) -> bool:
    r"""Whether the first line of a text that is no remark names the columns of a table of readings.

    Examples
    --------
    >>> holds_readings("# studs: 5\ntrace,mount,studs_turned,angle_deg,reading_um")
    True
    >>> holds_readings('title = "My corner"')
    False
    """
    lines = (line.strip() for line in text.splitlines())
    first = next((line for line in lines if line and not line.startswith("#")), "").lower()
    columns = {cell.strip().strip('"') for cell in first.split(separator(first))}
    return columns.issuperset(READINGS[:2])


def plain_number(text: str) -> float | None:
    """Return a finite plain number, or nothing; no underscores, no words that Python would take for one.

    Examples
    --------
    >>> plain_number(" -12.5 "), plain_number("1_0"), plain_number("nan"), plain_number("1e999")
    (-12.5, None, None, None)
    >>> plain_number("\u221235"), plain_number("\u2013")
    (-35.0, None)
    """
    stripped = text.strip()
    if stripped[:1] in DASHES:
        stripped = f"-{stripped[1:]}" if stripped else ""
    if not stripped or stripped.strip("+-.0123456789eE"):
        return None
    try:
        value = float(stripped)
    except ValueError:
        return None
    return value if math.isfinite(value) else None


def separator(header: str) -> str:
    """What parts the cells: a comma, or the semicolon or tab of a spreadsheet that writes decimal commas.

    Examples
    --------
    >>> separator("angle_deg;radius_mm;height_um")
    ';'
    """
    return max(",;\t", key=header.count)


def cells_of(line: str, mark: str, columns: int) -> list[str] | None:
    """Cells of one line, empty ones beyond the columns left out; None where it is no row of a table.

    Examples
    --------
    >>> cells_of("30;1,5;;", ";", 2)
    ['30', '1,5']
    """
    try:
        cells = next(csv.reader([line], delimiter=mark))
    except csv.Error:
        return None
    while len(cells) > columns and not cells[-1].strip():
        cells.pop()
    return cells


def widest_gap_deg(angles_deg: ArrayLike) -> float:
    """Widest gap between neighbouring angles of a turn. [deg].

    Examples
    --------
    >>> widest_gap_deg([0, 60, 120, 170])
    190.0
    """
    angles = np.unique(np.asarray(angles_deg, dtype=float) % 360.0)
    return float(np.diff(np.append(angles, angles[0] + 360.0)).max())
