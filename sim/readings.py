"""Dial readings from the bench: a tidy CSV that a technician can keep, read with every fault named at once.

A file holds what the dial shows (larger = face nearer the dial). Here every trace becomes + outboard: the inboard dial
is turned round, once. Angles of traces on the rotor are rotor angles, of the bare hub face hub angles.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from difflib import get_close_matches
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from sim.errors import BadInput, Fault
from sim.keys import CLAMPS
from sim.tabletext import WIDEST_GAP_DEG, cells_of, plain_number, separator, widest_gap_deg
from sim.tomlfile import read_text
from sim.units import printable

Floats = NDArray[np.float64]

KINDS = ("mounted", "inboard", "hub face", "thickness", "radial")
STATES = ("as found", "cleaned", "retorqued")
UNITS = {"reading_um": 1.0, "reading_mm": 1000.0, "reading_thou": 25.4}
REQUIRED = ("trace", "mount", "studs_turned", "angle_deg")
OPTIONAL = ("state", "corner", "clamped_by")
HEADS = {"studs": (3, 8), "gauge_radius_mm": (20, 300), "hub_face_radius_mm": (10, 200), "dial_um": (0.1, 100)}
FEWEST = 6
MOST_ROWS = 20_000
MOST_FAULTS = 40
# A turn that spans more or less than this is no reading of a brake rotor: somebody slipped in the unit. [um]
WIDEST_UM, NARROWEST_UM = 5000.0, 0.5
# A dial that comes back this far off its start has moved. [um]
DRIFT_UM = 10.0
# Readings this far off the radius of the case's dial are still taken as read there: a first order errs by 4 %. [mm]
RADIUS_SLACK_MM = 5.0


@dataclass(frozen=True, eq=False)
class Trace:
    """One turn of readings.

    Parameters
    ----------
    kind : str
        ``mounted``, ``inboard``, ``hub face``, ``thickness`` or ``radial``.
    mount, studs_turned : int
        Which mounting, and how the rotor stood on the hub; 0 for the bare hub.
    angle_deg, value_um : ndarray, shape (k,)
        Rising angles from 0 to below 360 (rotor frame; bare hub: hub frame), and values, faces + outboard. [deg, um]
    drift_um : float or None
        Repeat at 360 degrees less the start, as the dial showed it; ``None`` where it was not read. [um]
    state, corner, clamped_by : str
        ``as found`` unless said; the others empty unless said.
    """

    kind: str
    mount: int
    studs_turned: int
    angle_deg: Floats
    value_um: Floats
    drift_um: float | None = None
    state: str = "as found"
    corner: str = ""
    clamped_by: str = ""


@dataclass(frozen=True, eq=False)
class Readings:
    """What a readings file says.

    Parameters
    ----------
    studs : int
        Number of studs.
    gauge_radius_mm, hub_face_radius_mm : float or None
        Where the dial stood on the rotor and on the bare hub. [mm]
    dial_um : float
        Step of the dial. [um]
    traces : tuple of Trace
        In the sequence of the file.
    notes : tuple of str
        What is not wrong, but worth knowing.
    """

    studs: int
    gauge_radius_mm: float | None
    hub_face_radius_mm: float | None
    dial_um: float
    traces: tuple[Trace, ...]
    notes: tuple[str, ...] = ()

    def of(self, kind: str) -> tuple[Trace, ...]:
        """Traces of one kind."""
        return tuple(trace for trace in self.traces if trace.kind == kind)


@dataclass
class _Row:
    line: int
    kind: str
    mount: int
    turned: int
    angle: float
    value: float
    text: tuple[str, str, str]


@dataclass
class _Sheet:
    """A file while it is read: faults are gathered, not raised one by one."""

    name: str
    heads: dict[str, float] = field(default_factory=dict)
    faults: list[Fault] = field(default_factory=list)

    def fault(self, line: int, key: str, reason: str, allowed: str = "") -> None:
        self.faults.append(Fault(reason, file=self.name, line=line, key=key, allowed=allowed))


def read(path: str | Path, known: dict[str, float] | None = None) -> Readings:
    """Read a file of dial readings.

    Parameters
    ----------
    path : str or Path
        CSV with the columns trace, mount, studs_turned, angle_deg and one of reading_um, reading_mm, reading_thou;
        optional state, corner, clamped_by. Lines ``# studs: 5`` and the like say what holds for the whole file.
    known : dict of str to float, optional
        ``studs``, ``gauge_radius_mm``, ``hub_face_radius_mm``, ``dial_um`` from a case, where the file does not say;
        what it says otherwise is a fault.

    Returns
    -------
    Readings

    Raises
    ------
    BadInput
        With every fault of the file, each with its line.
    """
    return parse(read_text(path), str(path), known)


def parse(text: str, name: str = "", known: dict[str, float] | None = None) -> Readings:
    """Read the text of a readings file; see `read`."""
    sheet = _Sheet(printable(name, 200), dict(known or {}))
    lines = _head(text, sheet)
    _against_case(known or {}, sheet)
    rows, factor = _table(lines, sheet)
    traces, notes = _traces(rows, factor, sheet)
    _whole_file(traces, rows, sheet)
    if sheet.faults:
        raise BadInput(sheet.faults[:MOST_FAULTS])
    heads = sheet.heads
    return Readings(
        studs=int(heads["studs"]),
        gauge_radius_mm=heads.get("gauge_radius_mm"),
        hub_face_radius_mm=heads.get("hub_face_radius_mm"),
        dial_um=heads.get("dial_um", 10.0),
        traces=tuple(traces),
        notes=tuple(notes),
    )


def _head(text: str, sheet: _Sheet) -> list[tuple[int, str]]:
    """Take the header comments out; return the other lines with their numbers."""
    rest = []
    said: dict[str, float] = {}
    for number, line in enumerate(text.splitlines(), 1):
        bare = line.strip().rstrip(",;").strip()
        if not bare.startswith("#"):
            if bare:
                rest.append((number, line))
            continue
        key, colon, value = (part.strip() for part in bare.lstrip("# ").partition(":"))
        if not colon or " " in key:
            continue  # a remark
        if key not in HEADS:
            near = get_close_matches(key, HEADS, 1)
            if near:
                sheet.fault(number, key, f"unknown header; did you mean {near[0]}?", ", ".join(HEADS))
            continue
        found = plain_number(value)
        low, high = HEADS[key]
        whole = key != "studs" or (found is not None and found == int(found))
        if found is None or not low <= found <= high or not whole:
            sheet.fault(number, key, f"{printable(value, 40)!r} is out of range or no number", f"{low:g} .. {high:g}")
        elif said.setdefault(key, found) != found:
            sheet.fault(number, key, f"{found:g} here, but {said[key]:g} further up", "one of the two")
        else:
            sheet.heads[key] = found
    return rest


def _against_case(known: dict[str, float], sheet: _Sheet) -> None:
    """Hold what the file says of itself against the case that it is read for."""
    for key, slack in (("studs", 0.0), ("gauge_radius_mm", RADIUS_SLACK_MM), ("hub_face_radius_mm", RADIUS_SLACK_MM)):
        if key in known and abs(sheet.heads[key] - known[key]) > slack:
            reason = f"{sheet.heads[key]:g} in these readings, but {known[key]:g} in the case"
            sheet.fault(0, key, reason, "readings of this corner")


def _table(lines: list[tuple[int, str]], sheet: _Sheet) -> tuple[list[_Row], float]:
    """Rows of the table, and what turns its readings into um."""
    if not lines:
        sheet.fault(0, "", "no table: the file has no line of column names", ",".join([*REQUIRED, "reading_um"]))
        return [], 1.0
    number, header = lines[0]
    mark = separator(header)
    columns = [cell.strip().strip('"').lower() for cell in header.split(mark)]
    if not _columns_fit(columns, number, sheet):
        return [], 1.0
    unit = next(column for column in columns if column in UNITS)
    if len(lines) - 1 > MOST_ROWS:
        sheet.fault(0, "", f"{len(lines) - 1} readings", f"up to {MOST_ROWS}; average them first")
        return [], 1.0
    rows = []
    for number, line in lines[1:]:
        cells = cells_of(line, mark, len(columns))
        if cells is None:
            sheet.fault(number, "", "this line is no row of a table")
            continue
        if len(cells) != len(columns):
            comma = ""
            if len(cells) > len(columns) and mark == ",":
                comma = f"; a decimal comma? write {printable(cells[-2].strip(), 9)}.{printable(cells[-1].strip(), 9)}"
            sheet.fault(number, "", f"{len(cells)} values for {len(columns)} columns{comma}")
            continue
        values = dict(zip(columns, (cell.strip() for cell in cells), strict=True))
        if mark != ",":
            values |= {key: values[key].replace(",", ".") for key in ("angle_deg", unit)}
        row = _row(values, unit, number, sheet)
        if row is not None:
            rows.append(row)
    return rows, UNITS[unit]


def _columns_fit(columns: list[str], line: int, sheet: _Sheet) -> bool:
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


def _row(values: dict[str, str], unit: str, line: int, sheet: _Sheet) -> _Row | None:
    """One row, or nothing after naming everything that is wrong with it."""
    before = len(sheet.faults)
    kind = _word(values["trace"], KINDS, "trace", line, sheet)
    bare = kind == "hub face"
    mount = _whole(values["mount"], "mount", (0 if bare else 1, 999), bare, (line, sheet))
    most = int(sheet.heads.get("studs", 8)) - 1
    turned = _whole(values["studs_turned"], "studs_turned", (0, most), bare, (line, sheet))
    angle, value = plain_number(values["angle_deg"]), plain_number(values[unit])
    if angle is None or not 0.0 <= angle <= 360.0:
        sheet.fault(line, "angle_deg", f"{printable(values['angle_deg'], 40)!r} is no angle of one turn", "0 .. 360")
    if value is None:
        sheet.fault(line, unit, f"{printable(values[unit], 40)!r} is no number", "a plain number, as in -12.5")
    state = _word(values.get("state") or STATES[0], STATES, "state", line, sheet)
    clamped = values.get("clamped_by", "")
    if clamped:
        clamped = _word(clamped, CLAMPS, "clamped_by", line, sheet)
    corner = values.get("corner", "")
    if corner and (corner[0] in "=+-@" or not corner.isprintable() or len(corner) > 40):
        sheet.fault(line, "corner", f"{printable(corner, 40)!r} is no name", "plain words, up to 40 characters")
    if len(sheet.faults) > before or angle is None or value is None:
        return None
    return _Row(line, kind, mount, turned, angle, value, (state, corner, clamped))


def _word(text: str, allowed: Sequence[str], key: str, line: int, sheet: _Sheet) -> str:
    word = text.strip().lower()
    if word not in allowed:
        near = get_close_matches(word, allowed, 1)
        hint = f"; did you mean {near[0]!r}?" if near else ""
        sheet.fault(line, key, f"{printable(text, 40)!r} is not known{hint}", ", ".join(allowed))
    return word


def _whole(text: str, key: str, bounds: tuple[int, int], may_lack: bool, where: tuple[int, _Sheet]) -> int:
    if may_lack and not text.strip():
        return 0
    number = plain_number(text)
    low, high = bounds
    if number is None or number != int(number) or not low <= number <= high:
        line, sheet = where
        sheet.fault(line, key, f"{printable(text, 40)!r} is not a whole number in range", f"{low} .. {high}")
        return low
    return int(number)


def _traces(rows: Iterable[_Row], factor: float, sheet: _Sheet) -> tuple[list[Trace], list[str]]:
    """Gather the rows of each turn, check it as a turn, and turn the inboard dial round."""
    groups: dict[tuple[object, ...], list[_Row]] = {}
    for row in rows:
        groups.setdefault((row.kind, row.mount, row.text), []).append(row)
    traces, notes = [], []
    for group in groups.values():
        first = group[0]
        for row in group:
            if row.turned != first.turned:
                sheet.fault(row.line, "studs_turned", f"mount {row.mount} stood at {first.turned} in line {first.line}")
        angle = np.array([row.angle for row in group])
        value = np.array([row.value for row in group]) * factor
        if not _turn_fits(group, angle, value, factor, sheet):
            continue
        drift = float(value[angle == 360.0][0] - value[angle == 0.0][0]) if {0.0, 360.0} <= set(angle) else None
        if drift is not None and abs(drift) > DRIFT_UM:
            where = f"{first.kind}, mount {first.mount}"
            notes.append(f"{where}: the dial came back {drift:+.0f} µm off its start; check that it is held fast")
        if drift is not None:
            angle, value = angle[angle < 360.0], value[angle < 360.0]
        order = np.argsort(angle % 360.0, kind="stable")
        sign = -1.0 if first.kind == "inboard" else 1.0
        state, corner, clamped = first.text
        traces.append(
            Trace(
                first.kind, first.mount, first.turned, angle[order] % 360.0, sign * value[order], drift, state, corner,
                clamped,
            )
        )  # fmt: skip
    return traces, notes


def _turn_fits(group: list[_Row], angle: Floats, value: Floats, factor: float, sheet: _Sheet) -> bool:
    """Whether the readings make one turn in a believable unit."""
    before = len(sheet.faults)
    first = group[0]
    where = f"{first.kind}, mount {first.mount}"
    seen: dict[float, int] = {}
    for row in group:
        if row.angle in seen:
            sheet.fault(row.line, "angle_deg", f"{row.angle:g} degrees was read in line {seen[row.angle]} already")
        seen.setdefault(row.angle, row.line)
    distinct = np.unique(angle % 360.0).size
    if distinct < FEWEST:
        sheet.fault(first.line, "", f"{where}: {distinct} readings tell too little of a turn", f"{FEWEST} or more")
    elif angle.max() < 6.4:
        sheet.fault(first.line, "angle_deg", f"{where}: the angles end at {angle.max():g}; were they given in radians?")
    elif (gap := widest_gap_deg(angle)) > WIDEST_GAP_DEG:
        allowed = f"gaps up to {WIDEST_GAP_DEG:g} degrees"
        sheet.fault(first.line, "angle_deg", f"{where}: {gap:.0f} degrees of the turn were not read", allowed)
    span = float(np.ptp(value))
    if span > WIDEST_UM:
        sheet.fault(first.line, "", f"{where}: spans {span / 1000:g} mm{_other_unit(span / factor, factor)}")
    elif 0.0 < span < NARROWEST_UM:
        sheet.fault(first.line, "", f"{where}: spans {span:g} µm{_other_unit(span / factor, factor)}")
    return len(sheet.faults) == before


def _other_unit(span: float, factor: float) -> str:
    """Question for the reader where the span would be usual (5 um .. 1 mm) in another unit."""
    for name, other in UNITS.items():
        if other != factor and 5.0 <= span * other <= 1000.0:
            return f"; is the column rather {name}?"
    return "; which no dial at a brake rotor shows"


def _whole_file(traces: list[Trace], rows: list[_Row], sheet: _Sheet) -> None:
    """What the header must say for these traces."""
    kinds = {row.kind for row in rows}
    if not rows and not sheet.faults:
        sheet.fault(0, "", "no readings below the column names")
    needed = {"studs": "the number of studs is missing; write a line '# studs: 5'"}
    if kinds & {"mounted", "inboard"}:
        needed["gauge_radius_mm"] = "where the dial stood is missing; write a line '# gauge_radius_mm: 140'"
    if "hub face" in kinds:
        needed["hub_face_radius_mm"] = "where the hub was read is missing; write a line '# hub_face_radius_mm: 64'"
    named = {fault.key for fault in sheet.faults}
    for key, reason in needed.items():
        if key not in sheet.heads and key not in named:
            sheet.fault(0, key, reason)
    stood: dict[tuple[str, int], int] = {}
    for trace in traces:
        place = (trace.corner, trace.mount)
        if trace.kind != "hub face" and stood.setdefault(place, trace.studs_turned) != trace.studs_turned:
            sheet.fault(0, "studs_turned", f"mount {trace.mount} cannot stand at two stud positions; count mounts on")


def safe_cell(text: str) -> str:
    """Text for a CSV cell that no spreadsheet takes for a formula."""
    return "'" + text if text[:1] in ("=", "+", "-", "@", "\t", "\r") else text


def to_csv(readings: Readings, remarks: Sequence[str] = ()) -> str:
    """Write readings as the file that `parse` reads, what the dial showed, in um."""
    out = io.StringIO()
    for remark in remarks:
        out.write("# " + printable(remark, 200) + "\n")
    heads = ("studs", "gauge_radius_mm", "hub_face_radius_mm", "dial_um")
    for key in heads:
        value = getattr(readings, key)
        if value is not None:
            out.write(f"# {key}: {value:g}\n")
    table = csv.writer(out, lineterminator="\n")
    table.writerow([*REQUIRED, "reading_um", *OPTIONAL])
    for trace in readings.traces:
        sign = -1.0 if trace.kind == "inboard" else 1.0
        text = (trace.state, safe_cell(trace.corner), trace.clamped_by)
        pairs = [(f"{a:.9g}", f"{sign * v:.9g}") for a, v in zip(trace.angle_deg, trace.value_um, strict=True)]
        if trace.drift_um is not None:
            pairs.append(("360", f"{sign * float(trace.value_um[0]) + trace.drift_um:.9g}"))
        for angle, value in pairs:
            table.writerow([trace.kind, trace.mount, trace.studs_turned, angle, value, *text])
    return out.getvalue()
