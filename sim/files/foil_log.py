"""The log of foil lessons: one line a trial and class, foretold beside read; a CSV that no spreadsheet takes amiss."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence

from sim.errors import BadInput, Fault
from sim.files.dial_readings import safe_cell
from sim.units import printable

COLUMNS = (
    "date", "version", "corner", "class", "trial", "thickness_um", "width_mm", "length_mm", "angle_deg",
    "outer_radius_mm", "torque_nm", "dial_um", "places", "foretold_um", "foretold_low_um", "foretold_high_um",
    "foretold_order_1_um", "foretold_high_spot_deg", "read_um", "read_order_1_um", "read_high_spot_deg", "vector",
    "runout", "remark",
)  # fmt: skip
MOST_BYTES = 5_000_000  # a college's log of decades; more is another file


def added(before: str, rows: Sequence[Mapping[str, object]], name: str = "") -> str:
    """Return the log with rows added at its end; a heading where it is new.

    Parameters
    ----------
    before : str
        What stands in the file; empty for a new one.
    rows : sequence of mapping
        By `COLUMNS`.
    name : str
        Of the file, for the message.

    Raises
    ------
    BadInput
        If the file is no such log.
    """
    heading = ",".join(COLUMNS)
    kept = before.lstrip("\ufeff")
    if kept.strip() and kept.splitlines()[0].strip() != heading:
        raise BadInput(
            Fault("is no log of foil lessons; nothing was added", printable(name, 200), allowed="a new file")
        )
    if len(kept) > MOST_BYTES:
        raise BadInput(Fault("is full; nothing was added", printable(name, 200), allowed="a new file"))
    out = io.StringIO()
    if kept.strip():
        out.write(kept.rstrip("\r\n") + "\n")
    else:
        out.write(heading + "\n")
    table = csv.writer(out, lineterminator="\n")
    for row in rows:
        table.writerow([_cell(row[name]) for name in COLUMNS])
    return out.getvalue()


def tally(text: str) -> tuple[int, int, int]:
    r"""Count a log: trials that count, of these inside by TIR, and inside as a vector. No unit.

    Void trials do not count. Rows that somebody spoilt are left out.

    Examples
    --------
    >>> tally("vector,runout\ninside,outside\nvoid,void\n")
    (1, 0, 1)
    """
    heading, *lines = [_cells(line) for line in text.splitlines() if line.strip()] or [[]]
    rows = [dict(zip(heading, line, strict=False)) for line in lines]
    rows = [row for row in rows if row.get("vector") in ("inside", "outside")]
    runout, vector = (sum(row.get(name) == "inside" for row in rows) for name in ("runout", "vector"))
    return len(rows), runout, vector


def _cells(line: str) -> list[str]:
    """Cells of one line, by itself so that a spoilt one spoils no other; none where it is no line of a table."""
    try:
        return next(csv.reader([line]), [])
    except csv.Error:
        return []


def _cell(value: object) -> str:
    """A figure stays a figure; text is kept to one line and takes no formula."""
    if isinstance(value, int | float):
        return f"{value:.6g}"
    return safe_cell(printable(str(value), 120))
