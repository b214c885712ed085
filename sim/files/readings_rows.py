"""Rows of a table of dial readings: columns, cells, words and whole numbers, with every fault named at once."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from difflib import get_close_matches

from sim.errors import BadInput, Fault
from sim.files.table_text import READINGS, cells_of, plain_number, separator
from sim.files.trace import trace_name
from sim.parts.keys import CLAMPS
from sim.units import printable

KINDS = ("mounted", "inboard", "hub face", "thickness", "radial")
AS_FOUND, CLEANED, RETORQUED, AGAIN = "as found", "cleaned", "retorqued", "cleaned again"
STATES = (AS_FOUND, CLEANED, RETORQUED, AGAIN)
CLEAN_STATES = (CLEANED, AGAIN)
UNITS = {"reading_um": 1.0, "reading_mm": 1000.0, "reading_thou": 25.4}
REQUIRED = READINGS
#: A first line so begins a case file.
CASE_LINE = re.compile(r"\s*(\[|\w+\s*=)")
NO_TABLE = "this begins a case file, no table of readings"
OPTIONAL = ("state", "corner", "clamped_by", "dial_um")
STEP_UM = (0.1, 100.0)  # of a dial, or of a micrometer
#: In place of an angle: the dial was tried with a feeler in that turn, see `sim.files.feeler`.
FEELER = "feeler"
MOST_ROWS = 20_000  # fifty turns of one value a degree; nobody reads more of one corner
ALIKE = 3  # more rows than that with one and the same fault are named in one line


@dataclass
class Row:
    """One row: its line in the file, what was read where, its words (state, corner, what held it), if it says which.

    One of a feeler was read at no angle.
    """

    line: int
    kind: str
    mount: int
    turned: int
    angle: float
    value: float
    text: tuple[str, str, str]
    step_um: float | None = None
    said: bool = False
    feeler: bool = False

    @property
    def named(self) -> str:
        """What was read, as a fault names it."""
        return trace_name(self.kind, self.mount)


@dataclass
class Sheet:
    """A file while it is read: faults are gathered, not raised one by one."""

    name: str
    heads: dict[str, float] = field(default_factory=dict)
    words: dict[str, str] = field(default_factory=dict)
    bounds: dict[str, tuple[float, float]] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)

    def fault(self, line: int, key: str, reason: str, allowed: str = "") -> None:
        """Gather a fault."""
        self.faults.append(Fault(reason, file=self.name, line=line, key=key, allowed=allowed))


def table_of(lines: list[tuple[int, str]], sheet: Sheet) -> tuple[list[Row], float]:
    """Read the rows of a table, and what turns its readings into um.

    Parameters
    ----------
    lines : list of (int, str)
        Numbers and texts of the lines that are no header comment, the column names first.
    sheet : Sheet
        Gathers the faults.

    Returns
    -------
    rows : list of Row
    factor : float
        Of the readings' unit. [um]

    Raises
    ------
    BadInput
        If it is a case file; nothing of it is a row.
    """
    if not lines:
        sheet.fault(0, "", "no table: the file has no line of column names", ",".join([*REQUIRED, "reading_um"]))
        return [], 1.0
    number, header = lines[0]
    if CASE_LINE.match(header):
        allowed = f"a table of readings: {','.join([*REQUIRED, 'reading_um'])}; a case file stands behind --case"
        raise BadInput(Fault(NO_TABLE, file=sheet.name, line=number, allowed=allowed))
    mark = separator(header)
    columns = [cell.strip().strip('"').lower() for cell in header.split(mark)]
    if not _columns_fit(columns, number, sheet):
        return [], 1.0
    unit = next(column for column in columns if column in UNITS)
    if len(lines) - 1 > MOST_ROWS:
        sheet.fault(0, "", f"{len(lines) - 1} readings", f"up to {MOST_ROWS}; average them first")
        return [], 1.0
    rows, odd = [], list[tuple[int, int, str]]()
    for number, line in lines[1:]:
        parted = mark if mark in line else separator(line)  # a spreadsheet may part its rows otherwise than our head
        cells = cells_of(line, parted, len(columns))
        if cells is None:
            sheet.fault(number, "", "this line is no row of a table")
            continue
        if len(cells) != len(columns) and parted == ",":  # its commas are decimal commas
            other = cells_of(line, separator(line.replace(",", "")), len(columns)) or []
            parted, cells = (separator(line.replace(",", "")), other) if len(other) == len(columns) else (parted, cells)
        comma = _decimal_comma(cells, columns.index(unit), columns) if parted == "," else ""
        if comma or len(cells) != len(columns):
            odd.append((number, len(cells), comma))
            continue
        values = dict(zip(columns, (cell.strip() for cell in cells), strict=True))
        if parted != ",":
            values |= {key: values[key].replace(",", ".") for key in ("angle_deg", unit, "dial_um") if key in values}
        row = _row(values, unit, number, sheet)
        if row is not None:
            rows.append(row)
    _odd_rows(odd, len(columns), sheet)
    return rows, UNITS[unit]


def _decimal_comma(cells: Sequence[str], reading: int, columns: Sequence[str]) -> str:
    """Say how to write a reading that a comma parts in two; empty for one whose next cell is no second half."""
    halves = [one.strip() for one in cells[reading : reading + 2]]
    counted = columns[reading + 1 : reading + 2] == ["dial_um"] and len(cells) <= len(columns)  # a number by right
    if counted or len(halves) < 2 or plain_number(halves[0]) is None or not halves[1].isdecimal():
        return ""
    return f"; a decimal comma? write {printable(halves[0], 9)}.{printable(halves[1], 9)}"


def _odd_rows(odd: Sequence[tuple[int, int, str]], columns: int, sheet: Sheet) -> None:
    """Name rows with too many or too few values; many that are wrong alike, in one line."""
    alike = len(odd) > ALIKE and (all(comma for *_, comma in odd) or len({count for _, count, _ in odd}) == 1)
    for number, count, comma in odd[:1] if alike else odd:
        more = f", in this line and {len(odd) - 1} more" if alike else ""
        allowed = "columns parted by commas, or all by semicolons; decimals with a point" if alike else ""
        sheet.fault(number, "", f"{count} values for {columns} columns{more}{comma}", allowed)


def _columns_fit(columns: list[str], line: int, sheet: Sheet) -> bool:
    known = (*REQUIRED, *OPTIONAL, *UNITS)
    before = len(sheet.faults)
    for column in dict.fromkeys(columns):
        if column not in known:
            near = get_close_matches(column, known, 1)
            hint = f"; did you mean {near[0]}?" if near else ""
            sheet.fault(line, printable(column, 40), f"unknown column{hint}", ", ".join(known))
        elif columns.count(column) > 1:
            sheet.fault(line, column, "this column stands twice")
    for column in REQUIRED:
        if column not in columns:
            sheet.fault(line, column, "this column is missing")
    found = [column for column in columns if column in UNITS]
    if len(found) != 1:
        sheet.fault(line, "reading_um", f"{len(found)} columns of readings", "one of " + ", ".join(UNITS))
    return len(sheet.faults) == before


def _row(values: dict[str, str], unit: str, line: int, sheet: Sheet) -> Row | None:
    """One row, or nothing after naming everything that is wrong with it."""
    before = len(sheet.faults)
    kind = _word(values["trace"], KINDS, "trace", line, sheet)
    bare = kind == "hub face"
    mount = _whole(values["mount"], "mount", (0 if bare else 1, 999), bare, (line, sheet))
    most = int(sheet.heads.get("studs", 8)) - 1
    turned = _whole(values["studs_turned"], "studs_turned", (0, most), bare, (line, sheet))
    feeler = values["angle_deg"].strip().lower() == FEELER
    angle, value = 0.0 if feeler else plain_number(values["angle_deg"]), plain_number(values[unit])
    if angle is None or not 0.0 <= angle <= 360.0:
        reason = f"{printable(values['angle_deg'], 40)!r} is no angle of one turn"
        sheet.fault(line, "angle_deg", reason, f"0 .. 360, or {FEELER}")
    if value is None:
        blank = not values[unit].strip()
        place = "this place" if angle is None else f"{kind}, {FEELER if feeler else f'place {angle:g} degrees'}"
        reason = f"{place} was not read" if blank else f"{place}: {printable(values[unit], 40)!r} is no number"
        sheet.fault(line, unit, reason, "a plain number, as in -12.5" + ("; or no such row" if blank else ""))
    state = _word(values.get("state") or STATES[0], STATES, "state", line, sheet)
    clamped = values.get("clamped_by", "")
    if clamped:
        clamped = _word(clamped, CLAMPS, "clamped_by", line, sheet)
    corner = values.get("corner", "")
    if corner and (corner[0] in "=+-@" or not corner.isprintable() or len(corner) > 40):
        sheet.fault(line, "corner", f"{printable(corner, 40)!r} is no name", "plain words, up to 40 characters")
    own = values.get("dial_um", "")
    step, (low, high) = plain_number(own) if own else None, STEP_UM
    if own and (step is None or not low <= step <= high):
        sheet.fault(line, "dial_um", f"{printable(own, 40)!r} is out of range or no number", f"{low:g} .. {high:g}")
    if len(sheet.faults) > before or angle is None or value is None:
        return None
    return Row(
        line, kind, mount, turned, angle, value, (state, corner, clamped), step, bool(values.get("state")), feeler
    )


def _word(text: str, allowed: Sequence[str], key: str, line: int, sheet: Sheet) -> str:
    word = text.strip().lower()
    if word not in allowed:
        near = get_close_matches(word, allowed, 1)
        hint = f"; did you mean {near[0]!r}?" if near else ""
        sheet.fault(line, key, f"{printable(text, 40)!r} is not known{hint}", ", ".join(allowed))
    return word


def _whole(text: str, key: str, bounds: tuple[int, int], may_lack: bool, where: tuple[int, Sheet]) -> int:
    if may_lack and not text.strip():
        return 0
    number = plain_number(text)
    low, high = bounds
    if number is None or number != int(number) or not low <= number <= high:
        line, sheet = where
        sheet.fault(line, key, f"{printable(text, 40)!r} is not a whole number in range", f"{low} .. {high}")
        return low
    return int(number)
