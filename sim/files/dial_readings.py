"""Dial readings from the bench: a tidy CSV that a technician can keep, read with every fault named at once.

A file holds what the dial shows and says in its head which way its angles count and which way its dial shows more.
Here every trace becomes + outboard, the inboard dial turned round, once, and every angle counter-clockwise from
outside. Angles of traces on the rotor are rotor angles, of the bare hub face hub angles. Every trace is doubted
(`sim.files.reading_faults`); what no table can show by itself (all angles the other way, all signs, all in another
unit, a diameter for a radius) is what the head is for, and the bounds of a case.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from difflib import get_close_matches
from pathlib import Path

import numpy as np

from sim.arrays import Floats
from sim.errors import MOST_FAULTS, BadInput, Fault
from sim.files import face_turns
from sim.files.read_anew import NOTE, read_anew
from sim.files.reading_faults import STANDS_UP, ReadingFault, Turn, came_back, doubted, slipped
from sim.files.readings_rows import (
    AS_FOUND,
    CLEAN_STATES,
    KINDS,
    OPTIONAL,
    REQUIRED,
    STATES,
    STEP_UM,
    UNITS,
    Row,
    Sheet,
    table_of,
)
from sim.files.table_text import WIDEST_GAP_DEG, plain_number, widest_gap_deg
from sim.files.thickness_turns import counted
from sim.files.toml_text import read_text
from sim.files.trace import Trace
from sim.parts.case import Case
from sim.parts.discard import is_absolute
from sim.units import printable

__all__ = [
    "AWAY", "CLOCKWISE", "COUNTER", "FEWEST", "HEADS", "KINDS", "RADII", "REMARK", "REQUIRED", "STATES", "TOWARDS",
    "WIDEST_UM", "WORDS", "Readings", "Trace", "bounds_of", "parse", "read", "refuse_slips", "safe_cell", "to_csv",
]  # fmt: skip
# Divisions of micrometers, coarsest first. Common practice, no source.
MICROMETERS_UM = (10.0, 5.0, 2.0, 1.0)
# A worn rotor is read with a micrometer of 0.005 mm or finer. Judgement. [um]
UNSAID_UM = 5.0
# A thickness all of whose readings lie here, none nought, is a rotor's in mm, unless they are whole numbers that differ
# by more than a rotor's thickness can. Judgement.
MM_LIKE, MOST_MM = (5.0, 40.0), 3.0
# Half of the widest rotor of a car or van is 220 mm, of the widest hub face 95 mm; from memory. More is a diameter.
HEADS = {"studs": (3, 8), "gauge_radius_mm": (40, 220), "hub_face_radius_mm": (20, 95), "dial_um": STEP_UM}
CLOCKWISE, COUNTER = "clockwise", "counter-clockwise"
TOWARDS, AWAY = "+ towards", "+ away"
#: A face that runs out by less than half a division reads all alike, as a tip does that touches nothing: whoever pushed
#: the face and saw the needle come back says so.
COMES_BACK = "comes back"
WORDS = {"turned": (COUNTER, CLOCKWISE), "dial": (TOWARDS, AWAY), "needle": (COMES_BACK,)}
ALL_ALIKE = (
    f"what to do: push the face; where the needle moves and comes back, add a line '# needle: {COMES_BACK}'; else set "
    "the tip again, or a finer dial"
)
WHOLE_THICKNESS = "the whole thickness at every place (11.604 mm is 11604 µm)"
REMARK = "remark"
# The dial stands at least this much further out on the rotor than on the hub face, and at most that. Judgement.
RADII = (1.15, 4.0)
FEWEST = 6
# A turn that spans more or less than this is no reading of a brake rotor: somebody slipped in the unit. [um]
WIDEST_UM, NARROWEST_UM = 5000.0, 0.5
#: Of a reading that was typed in thousandths of an inch: half a division stays half a division.
ROUND_OFF = 1e-6
#: What stands at its limit in one unit stands there in every other: readings are kept to so many decimals. [um]
DECIMALS = 6
# Readings this far off the radius of the case's dial are still taken as read there: a first order errs by 4 %. [mm]
RADIUS_SLACK_MM = 5.0


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
        Step of the dial, where a trace does not say its own. [um]
    traces : tuple of Trace
        In the sequence of the file.
    notes : tuple of str
        What is not wrong, but worth knowing; what to read again.
    faults : tuple of ReadingFault
        What to read again.
    turned : str
        Which way the file counted its angles; here they all count counter-clockwise.
    """

    studs: int
    gauge_radius_mm: float | None
    hub_face_radius_mm: float | None
    dial_um: float
    traces: tuple[Trace, ...]
    notes: tuple[str, ...] = ()
    faults: tuple[ReadingFault, ...] = ()
    turned: str = COUNTER

    def step_um(self, trace: Trace) -> float:
        """Step of what a trace was read with. [um].

        A thickness that does not say it was read with a micrometer, not with the dial: its readings' own last digits,
        unless the file holds nothing else and its dial is that micrometer.
        """
        if trace.dial_um is not None:
            return trace.dial_um
        if trace.kind != "thickness" or all(one.kind == "thickness" for one in self.traces):
            return self.dial_um
        off = (float(np.abs(trace.value_um - step * np.round(trace.value_um / step)).max()) for step in MICROMETERS_UM)
        return next((step for step, by in zip(MICROMETERS_UM, off, strict=True) if by < 1e-6), MICROMETERS_UM[-1])

    def of(self, kind: str) -> tuple[Trace, ...]:
        """Traces of one kind."""
        return tuple(trace for trace in self.traces if trace.kind == kind)

    @property
    def thickness(self) -> Trace | None:
        """The thickness that counts: the file's last turn, or its mean with those that repeat it; None if not read."""
        turns = self.of("thickness")
        return counted(turns, self.micrometer_um(turns[-1])) if turns else None

    @property
    def bare_turns(self) -> tuple[Trace, ...]:
        """Turns of the bare hub face that read it as the last did: `sim.files.face_turns.alike`; none if not read."""
        faces = self.of("hub face")
        return face_turns.alike(faces, self.step_um) if faces else ()

    @property
    def bare_face(self) -> Trace | None:
        """The bare hub face that counts: the last turn, or the mean with those that repeat it; None if not read."""
        turns = self.bare_turns
        return face_turns.counted(turns, self.step_um) if turns else None

    def micrometer_um(self, turn: Trace) -> float:
        """Division of the micrometer that read a turn: as its lines say, else as its digits show, 5 at the least. [um].

        Whoever does not say it is not taken to have a finer one, whatever was written down; judgement.
        """
        return turn.dial_um or max(self.step_um(turn), UNSAID_UM)

    @property
    def thinnest_mm(self) -> float | None:
        """Thinnest place of that turn; None where none was read or it counts from any zero. [mm]. By definition."""
        last = self.thickness
        return None if last is None or not is_absolute(last.value_um) else 1e-3 * float(last.value_um.min())

    @property
    def thickness_counts(self) -> str:
        """Say which of several thickness turns count; empty where there is one or none."""
        turns, last = len(self.of("thickness")), self.thickness
        if last is None or turns == 1:
            return ""
        if last.turns == turns:
            return f"mean of {turns} readings a place"
        which = "the last counts" if last.turns == 1 else f"{last.turns} that agree count, as their mean"
        return f"of {turns} thickness turns in the table {which}"

    def slips_of(self, *kinds: str) -> tuple[str, ...]:
        """What the traces of these kinds give away and is to be read again.

        A hub face that stands up is no slip, nor is a thickness that several turns read alike.
        """
        if (turn := self.thickness) is not None and turn.turns > 1:
            kinds = tuple(kind for kind in kinds if kind != "thickness")
        told = (fault for fault in self.faults if fault.fault != STANDS_UP and fault.trace.startswith(kinds))
        return tuple(dict.fromkeys(fault.text for fault in told))

    def faces(self) -> tuple[tuple[Trace, ...], ...]:
        """Faces that were read together: of one mounting, in one state, held alike; first read first, mounted first."""
        found: dict[tuple[object, ...], list[Trace]] = {}
        for trace in (*self.of("mounted"), *self.of("inboard")):
            group = found.setdefault((trace.corner, trace.mount, trace.state, trace.clamped_by), [])
            if all(other.kind != trace.kind for other in group):
                group.append(trace)
        return tuple(map(tuple, found.values()))


def bounds_of(case: Case) -> dict[str, tuple[float, float]]:
    """Radii on which a dial can stand on this corner: the friction face, and the hub face. [mm].

    By definition: the friction face's own edges.
    """
    return {
        "gauge_radius_mm": (case.rotor.friction_inner_diameter_mm / 2, case.rotor.outer_diameter_mm / 2),
        "hub_face_radius_mm": (case.hub.face_inner_diameter_mm / 2, case.hub.face_diameter_mm / 2),
        "studs": (case.studs.count, case.studs.count),
    }


Bounds = dict[str, tuple[float, float]]


def read(path: str | Path, known: dict[str, float] | None = None, bounds: Bounds | None = None) -> Readings:
    """Read a file of dial readings.

    Parameters
    ----------
    path : str or Path
        CSV with the columns trace, mount, studs_turned, angle_deg and one of reading_um, reading_mm, reading_thou;
        optional state, corner, clamped_by, and dial_um (step of another dial, or of the micrometer). Lines
        ``# studs: 5`` and the like say what holds for the whole file: ``turned`` (which way angles and stud pitches
        count on the part, seen from outside), ``dial`` (``+ towards`` where the figure grows when the face comes
        nearer), ``dial_um`` (its step), ``studs``, ``gauge_radius_mm``, ``hub_face_radius_mm``.
    known : dict of str to float, optional
        ``studs``, ``gauge_radius_mm``, ``hub_face_radius_mm``, ``dial_um`` from a case, where the file does not say;
        what it says otherwise is a fault.
    bounds : dict of str to (float, float), optional
        What a case allows of these (`bounds_of`).

    Returns
    -------
    Readings

    Raises
    ------
    BadInput
        With every fault of the file, each with its line.
    """
    return parse(read_text(path), str(path), known, bounds)


def parse(text: str, name: str = "", known: dict[str, float] | None = None, bounds: Bounds | None = None) -> Readings:
    """Read the text of a readings file; see `read`."""
    sheet = Sheet(printable(name, 200), dict(known or {}), bounds=dict(bounds or {}))
    lines = _head(text, sheet)
    _against_case(known or {}, sheet)
    rows, factor = table_of(lines, sheet)
    traces = _traces(rows, factor, sheet)
    _whole_file(traces, rows, sheet)
    if sheet.faults:
        raise BadInput(sheet.faults[:MOST_FAULTS])
    heads = sheet.heads
    step, studs = heads.get("dial_um", 10.0), int(heads["studs"])
    traces, anew = _sound(traces, step, studs)
    found = doubted([_turn_of(trace) for trace in traces], step, studs)
    found += tuple(
        fault
        for trace in traces
        if (fault := came_back(_turn_of(trace).name, trace.drift_um, trace.dial_um or step)) is not None
    )
    return Readings(
        studs=int(heads["studs"]),
        gauge_radius_mm=heads.get("gauge_radius_mm"),
        hub_face_radius_mm=heads.get("hub_face_radius_mm"),
        dial_um=heads.get("dial_um", 10.0),
        traces=tuple(traces),
        notes=(*_missing_mounts(traces), *anew, *(fault.text for fault in found)),
        faults=found,
        turned=sheet.words.get("turned", COUNTER),
    )


def _sound(traces: list[Trace], step_um: float, studs: int) -> tuple[list[Trace], list[str]]:
    """Leave out each turn that slipped and was read again, and say so; a thickness is the same whatever the mount."""
    same = [
        (one.kind, one.corner, *(() if one.kind == "thickness" else (one.mount, one.studs_turned, one.state)))
        for one in traces
    ]
    if len(set(same)) == len(same):
        return traces, []
    turns = [_turn_of(trace) for trace in traces]
    gone = read_anew(same, slipped(turns, step_um, studs))
    notes = dict.fromkeys(NOTE.format(name=turns[place].name) for place in gone)
    return [one for place, one in enumerate(traces) if place not in gone], list(notes)


def _turn_of(trace: Trace) -> Turn:
    """Readings of a trace as they are doubted: what a dial shows that counts + towards itself."""
    sign = -1.0 if trace.kind == "inboard" else 1.0
    where = trace.kind if trace.kind == "hub face" else f"{trace.kind}, mount {trace.mount}"
    return Turn(
        trace.kind, where, trace.angle_deg, sign * trace.value_um, sign, (trace.corner, trace.mount), trace.dial_um
    )


def _head(text: str, sheet: Sheet) -> list[tuple[int, str]]:
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
        key = key.lower()
        if not colon or (key in (REMARK, *REQUIRED, *OPTIONAL, *UNITS) and key not in HEADS):
            continue  # a remark, or what a column means
        if key in WORDS:
            _head_word(number, key, value, sheet)
            continue
        if key == "sweep":
            sheet.fault(
                number, key, "these are high and low spots only, as chalked", f"{FEWEST} readings or more a turn"
            )
            continue
        if key not in HEADS:
            _unknown_head(number, key, sheet)
            continue
        found = plain_number(value)
        low, high = HEADS[key]
        whole = key != "studs" or (found is not None and found == int(found))
        if found is None or not low <= found <= high or not whole:
            half = found is not None and key.endswith("radius_mm") and low <= found / 2 <= high
            about = "; is it the diameter?" if half else ""
            reason = f"{printable(value, 40)!r} is out of range or no number{about}"
            sheet.fault(number, key, reason, f"{low:g} .. {high:g}")
        elif said.setdefault(key, found) != found:
            sheet.fault(number, key, f"{found:g} here, but {said[key]:g} further up", "one of the two")
        else:
            sheet.heads[key] = found
    return rest


def _head_word(line: int, key: str, value: str, sheet: Sheet) -> None:
    """Take a header that is one of a few words."""
    word = " ".join(value.lower().split())
    if word not in WORDS[key]:
        near = get_close_matches(word, WORDS[key], 1)
        hint = f"; did you mean {near[0]!r}?" if near else ""
        sheet.fault(line, key, f"{printable(value, 40)!r} is not known{hint}", " | ".join(WORDS[key]))
    elif sheet.words.setdefault(key, word) != word:
        sheet.fault(line, key, f"{word!r} here, but {sheet.words[key]!r} further up", "one of the two")


def _unknown_head(line: int, key: str, sheet: Sheet) -> None:
    """Refuse a key that does not exist; a sentence with a colon in it is a remark."""
    known = (*HEADS, *WORDS)
    one_word = key.replace(" ", "_")
    near = get_close_matches(one_word, known, 1, 0.75 if " " in key else 0.5)
    if " " in key and not near:
        return
    hint = f"; did you mean {near[0]}?" if near else ""
    allowed = f"{', '.join(known)}; a remark begins with '# {REMARK}:' or has no colon"
    sheet.fault(line, printable(key, 40), f"unknown header{hint}", allowed)


def _against_case(known: dict[str, float], sheet: Sheet) -> None:
    """Hold what the file says of itself against the case that it is read for."""
    for key, slack in (("studs", 0.0), ("gauge_radius_mm", RADIUS_SLACK_MM), ("hub_face_radius_mm", RADIUS_SLACK_MM)):
        if key in known and abs(sheet.heads[key] - known[key]) > slack:
            reason = f"{sheet.heads[key]:g} in these readings, but {known[key]:g} in the case"
            sheet.fault(0, key, reason, "readings of this corner")
    for key, (low, high) in sheet.bounds.items():
        said = sheet.heads.get(key)
        if said is None or low <= said <= high:
            continue
        about = "; is it the diameter?" if key != "studs" and low <= said / 2 <= high else ""
        allowed = f"{low:g}" if low == high else f"{low:g} .. {high:g}, from the case"
        sheet.fault(0, key, f"{said:g} does not lie on this corner{about}", allowed)
    gauge, at_hub = sheet.heads.get("gauge_radius_mm"), sheet.heads.get("hub_face_radius_mm")
    if gauge is not None and at_hub is not None and not RADII[0] <= gauge / at_hub <= RADII[1]:
        reason = f"the dial at {gauge:g} mm on the rotor and at {at_hub:g} mm on the hub face: is one a diameter?"
        sheet.fault(0, "gauge_radius_mm, hub_face_radius_mm", reason, f"{RADII[0]:g} .. {RADII[1]:g} times as far out")


def _missing_mounts(traces: Iterable[Trace]) -> tuple[str, ...]:
    """Say which mountings are lacking before the last of a corner: what was read as found is read by nobody again."""
    mounts: dict[str, set[int]] = {}
    for trace in traces:
        if trace.kind != "hub face":
            mounts.setdefault(trace.corner, set()).add(trace.mount)
    return tuple(
        f"{f'corner {corner}: ' if corner else ''}mount {', '.join(map(str, gone))} is not in this table, mounts count "
        "from 1: where it was read put its lines back, nobody can read it again"
        for corner, there in mounts.items()
        if (gone := sorted(set(range(1, max(there))) - there))
    )


def _traces(rows: Iterable[Row], factor: float, sheet: Sheet) -> list[Trace]:
    """Gather the rows of each turn, check it as a turn, and turn the inboard dial round."""
    groups: dict[tuple[object, ...], list[Row]] = {}
    for row in rows:
        groups.setdefault((row.kind, row.mount, row.text), []).append(row)
    traces: list[Trace] = []
    for group in [turn for together in groups.values() for turn in _rounds(together)]:
        first = group[0]
        for row in group:
            if row.turned != first.turned:
                sheet.fault(row.line, "studs_turned", f"mount {row.mount} stood at {first.turned} in line {first.line}")
            if row.step_um != first.step_um:
                sheet.fault(row.line, "dial_um", f"another dial than in line {first.line}: one dial a turn")
        angle = np.array([row.angle for row in group])
        value = np.round(np.array([row.value for row in group]) * factor, DECIMALS)
        if not _turn_fits(group, angle, value, factor, sheet):
            continue
        drift = float(value[angle == 360.0][0] - value[angle == 0.0][0]) if {0.0, 360.0} <= set(angle) else None
        if drift is not None:
            angle, value = angle[angle < 360.0], value[angle < 360.0]
        turned = first.turned
        if sheet.words.get("turned") == CLOCKWISE:
            angle, turned = -angle, -turned % int(sheet.heads.get("studs", 8))
        away = -1.0 if sheet.words.get("dial") == AWAY and first.kind != "thickness" else 1.0
        angle = angle % 360.0
        order = np.argsort(angle, kind="stable")
        sign = -away if first.kind == "inboard" else away
        drift = drift if drift is None else away * drift
        state, corner, clamped = first.text
        traces.append(
            Trace(
                first.kind,
                first.mount,
                turned,
                angle[order],
                sign * value[order],
                drift,
                state,
                corner,
                clamped,
                first.step_um,
            )  # fmt: skip
        )
    return traces


def _rounds(group: list[Row]) -> list[list[Row]]:
    """Turns of one trace: it was read again where a whole further turn repeats its angles.

    Turn after turn, also at more or other places; else place by place.
    """
    after = _turn_after_turn(group)
    if len(after) > 1 and all(len({row.angle % 360.0 for row in turn}) >= FEWEST for turn in after):
        return after
    rounds: list[list[Row]] = []
    for row in group:
        place = next((turn for turn in rounds if all(other.angle != row.angle for other in turn)), None)
        if place is None:
            rounds.append([row])
        else:
            place.append(row)
    if len(rounds) > 1 and all(len({row.angle % 360.0 for row in turn}) >= FEWEST for turn in rounds):
        return rounds
    return [group]


def _turn_after_turn(group: list[Row]) -> list[list[Row]]:
    """Begin a turn wherever an angle comes back that the turn has."""
    turns: list[list[Row]] = [[]]
    for row in group:
        if any(other.angle == row.angle for other in turns[-1]):
            turns.append([])
        turns[-1].append(row)
    return turns


def _turn_fits(group: list[Row], angle: Floats, value: Floats, factor: float, sheet: Sheet) -> bool:
    """Whether the readings make one turn in a believable unit."""
    before = len(sheet.faults)
    first = group[0]
    where = first.kind if first.kind == "hub face" else f"{first.kind}, mount {first.mount}"
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
    gauge = "micrometer" if first.kind == "thickness" else "dial"
    if span > WIDEST_UM:
        _too_wide(group, value, factor, sheet)
    elif span == 0.0 and distinct >= FEWEST and not _may_be_even(first.kind, value, sheet):
        even = first.kind == "thickness"
        why = "that is no thickness" if even else "a tip that does not touch shows the same"
        reason = f"{where}: every reading is {value[0] / factor:g}; {why}"
        sheet.fault(first.line, "", reason if even else f"{reason}; {ALL_ALIKE}", WHOLE_THICKNESS if even else "")
    elif (
        # A micrometer, not the dial, reads the thickness: a good rotor varies by less than half a division of the dial.
        first.kind != "thickness"
        and (step := first.step_um or sheet.heads.get("dial_um", 0.0)) > 2.0 * span * (1.0 + ROUND_OFF)
        and span >= NARROWEST_UM
    ):
        reason = f"{where}: spans {span:g} µm, less than half a step of the dial ({step:g} µm)"
        sheet.fault(first.line, "dial_um", reason + (_other_unit(span / factor, factor, gauge)))
    elif first.kind == "thickness" and factor == 1.0 and _may_be_mm(value):
        reason = f"{where}: {value.min():g} to {value.max():g} in a column of µm; is the column rather mm?"
        allowed = "a whole thickness (22.004 mm is 22004), or what it differs from a place of the turn that reads 0"
        sheet.fault(first.line, "reading_um", reason, allowed)
    elif 0.0 < span < NARROWEST_UM:
        sheet.fault(first.line, "", f"{where}: spans {span:g} µm{_other_unit(span / factor, factor, gauge)}")
    return len(sheet.faults) == before


def _may_be_even(kind: str, value: Floats, sheet: Sheet) -> bool:
    """Whether a turn that reads all alike may be one: a whole thickness, or the needle was tried."""
    return bool(value[0]) if kind == "thickness" else sheet.words.get("needle") == COMES_BACK


def _may_be_mm(value: Floats) -> bool:
    """Whether thicknesses in a column of micrometres may have been written in millimetres."""
    whole = bool((value == np.round(value)).all())
    inside = MM_LIKE[0] <= value.min() and value.max() <= MM_LIKE[1]
    return bool(inside and not (whole and np.ptp(value) > MOST_MM))


def _too_wide(group: list[Row], value: Floats, factor: float, sheet: Sheet) -> None:
    """Name the places that make a turn too wide; the whole turn where most of its places do."""
    first = group[0]
    where, gauge = f"{first.kind}, mount {first.mount}", "micrometer" if first.kind == "thickness" else "dial"
    middle, span = float(np.median(value)), float(np.ptp(value))
    off = _far_off(value)
    for k in off:
        apart = abs(float(value[k]) - middle) / 1000.0
        reason = f"{where}, place {group[k].angle:g} degrees: the {gauge} shows {apart:.4g} mm off the other places"
        reason += _another_unit(float(value[k]), middle)
        sheet.fault(group[k].line, "", reason, "that place read again")
    if not off:
        sheet.fault(first.line, "", f"{where}: spans {span / 1000:g} mm{_other_unit(span / factor, factor, gauge)}")


def _far_off(value: Floats) -> list[int]:
    """Places of a turn, a third at the most, that lie further off its middle than half of what any gauge shows."""
    off = np.flatnonzero(np.abs(value - np.median(value)) > WIDEST_UM / 2.0)
    return [int(k) for k in off] if off.size <= value.size // 3 else []


def _another_unit(value_um: float, usual_um: float) -> str:
    """Question for the reader where one place would fit the others in another unit or with its point elsewhere."""
    near = (power for power in (-4, -3, -2, -1, 1, 2, 3) if abs(value_um * 10.0**power - usual_um) < WIDEST_UM / 2.0)
    return "; a decimal point, a digit left out, or mm among µm?" if next(near, None) else ""


def _other_unit(span: float, factor: float, gauge: str) -> str:
    """Question for the reader where the span would be usual (5 um .. 1 mm) in another unit; in two, with both spans."""
    usual = {name: span * other for name, other in UNITS.items() if other != factor and 5.0 <= span * other <= 1000.0}
    if not usual:
        return f"; which no {gauge} at a brake rotor shows"
    if len(usual) == 1:
        return f"; is the column rather {next(iter(usual))}?"
    either = " or ".join(f"{name} ({um:.0f} µm)" for name, um in sorted(usual.items(), key=lambda one: one[1]))
    return f"; is the column rather {either}?"


def _whole_file(traces: list[Trace], rows: list[Row], sheet: Sheet) -> None:
    """What the header must say for these traces."""
    kinds = {row.kind for row in rows}
    if not rows and not sheet.faults:
        sheet.fault(0, "", "no readings below the column names")
    needed = {"studs": "the number of studs is missing; write a line '# studs: 5'"}
    if kinds & {"mounted", "inboard", "hub face"}:
        needed["dial_um"] = "the step of the dial is missing; write a line '# dial_um: 10' for a dial of 0.01 mm"
    if kinds & {"mounted", "inboard"}:
        needed["gauge_radius_mm"] = "where the dial stood is missing; write a line '# gauge_radius_mm: 140'"
    if "hub face" in kinds:
        needed["hub_face_radius_mm"] = "where the hub was read is missing; write a line '# hub_face_radius_mm: 64'"
    named = {fault.key for fault in sheet.faults}
    for key, reason in needed.items():
        if key not in sheet.heads and key not in named:
            sheet.fault(0, key, reason)
    if kinds and "turned" not in named | sheet.words.keys():
        reason = "which way angles and studs count on the part, seen from outside, is missing; write a line "
        sheet.fault(0, "turned", f"{reason}'# turned: {COUNTER}'", " | ".join(WORDS["turned"]))
    if kinds - {"thickness"} and "dial" not in named | sheet.words.keys():
        reason = "which way the dial shows more is missing; write a line "
        sheet.fault(0, "dial", f"{reason}'# dial: {TOWARDS}' (the face coming nearer)", " | ".join(WORDS["dial"]))
    stood: dict[tuple[str, int], int] = {}
    for trace in traces:
        place = (trace.corner, trace.mount)
        if trace.kind != "hub face" and stood.setdefault(place, trace.studs_turned) != trace.studs_turned:
            sheet.fault(0, "studs_turned", f"mount {trace.mount} cannot stand at two stud positions; count mounts on")
    _in_order(traces, sheet)


def _in_order(traces: list[Trace], sheet: Sheet) -> None:
    """Nothing is as found any more once it was cleaned."""
    on_car = [trace for trace in traces if trace.kind == "mounted"]
    for corner in dict.fromkeys(trace.corner for trace in on_car):
        cleaned, found = (
            [trace.mount for trace in on_car if trace.corner == corner and trace.state in states]
            for states in (CLEAN_STATES, (AS_FOUND,))
        )
        if cleaned and found and max(found) > min(cleaned):
            reason = f"mount {max(found)} cannot be as found, mount {min(cleaned)} was cleaned before it"
            sheet.fault(0, "mount", reason, "mounts counted in the order in which the rotor was put on")


def refuse_slips(found: Readings, path: str | Path, *kinds: str) -> None:
    """Stop at a table that gives a slip away: nothing is reckoned from it.

    Parameters
    ----------
    found : Readings
    path : str or Path
        Its file.
    *kinds : str
        Traces that would be reckoned with.

    Raises
    ------
    BadInput
        Naming every place to read again.
    """
    slips = found.slips_of(*kinds)
    if slips:
        allowed = "read these places again; nothing is reckoned from a table with a slip"
        raise BadInput([Fault(text, file=printable(str(path), 200), allowed=allowed) for text in slips])


def safe_cell(text: str) -> str:
    """Text for a CSV cell that no spreadsheet takes for a formula."""
    return "'" + text if text[:1] in ("=", "+", "-", "@", "\t", "\r") else text


def to_csv(readings: Readings, remarks: Sequence[str] = ()) -> str:
    """Write readings as the file that `parse` reads, what the dial showed, in um.

    As the format says; nothing is computed but the sign of an inboard trace (by definition).
    """
    out = io.StringIO()
    for remark in remarks:
        out.write("# " + printable(remark, 200) + "\n")
    heads = ("studs", "gauge_radius_mm", "hub_face_radius_mm", "dial_um")
    for key in heads:
        value = getattr(readings, key)
        if value is not None:
            out.write(f"# {key}: {value:g}\n")
    out.write(f"# turned: {COUNTER}\n# dial: {TOWARDS}\n")
    if any(trace.kind != "thickness" and np.ptp(trace.value_um) == 0.0 for trace in readings.traces):
        out.write(f"# needle: {COMES_BACK}\n")
    table = csv.writer(out, lineterminator="\n")
    own = any(trace.dial_um is not None for trace in readings.traces)
    table.writerow([*REQUIRED, "reading_um", *(OPTIONAL if own else OPTIONAL[:-1])])
    for trace in readings.traces:
        sign = -1.0 if trace.kind == "inboard" else 1.0
        text = [trace.state, safe_cell(trace.corner), trace.clamped_by]
        text += [] if not own else ["" if trace.dial_um is None else f"{trace.dial_um:g}"]
        pairs = [(f"{a:.9g}", f"{sign * v:.9g}") for a, v in zip(trace.angle_deg, trace.value_um, strict=True)]
        if trace.drift_um is not None:
            pairs.append(("360", f"{sign * float(trace.value_um[0]) + trace.drift_um:.9g}"))
        for angle, value in pairs:
            table.writerow([trace.kind, trace.mount, trace.studs_turned, angle, value, *text])
    return out.getvalue()
