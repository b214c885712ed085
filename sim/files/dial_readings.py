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
from collections.abc import Hashable, Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path

import numpy as np

from sim.errors import MOST_FAULTS, BadInput, Fault
from sim.files import copied_turns, face_turns, parted_turns, thickness_turns
from sim.files.read_anew import read_anew
from sim.files.reading_faults import (
    NO_SLIPS,
    STANDS_UP,
    TAIL,
    TAIL_OF_PART,
    TWICE,
    ReadingFault,
    Turn,
    against_each_other,
    came_back,
    of_each,
    read_twice,
    so_often,
)
from sim.files.readings_head import (
    AWAY,
    CLOCKWISE,
    COUNTER,
    FEWEST,
    HEADS,
    RADII,
    RADIUS_SLACK_MM,
    REMARK,
    TOWARDS,
    WORDS,
    against_case,
    lines_below,
)
from sim.files.readings_rows import (
    AS_FOUND,
    CLEAN_STATES,
    FEELER,
    KINDS,
    OPTIONAL,
    REQUIRED,
    STATES,
    Row,
    Sheet,
    table_of,
)
from sim.files.readings_turns import WIDEST_UM, traces_of
from sim.files.rocking import Rocking, by_what_was_felt
from sim.files.toml_text import read_text
from sim.files.trace import LeftOut, Trace
from sim.files.unit_asked import doubt_of_unit
from sim.files.unlike_turns import Unlike
from sim.parts.case import Case
from sim.parts.discard import is_absolute
from sim.units import printable

__all__ = [
    "AWAY", "CLOCKWISE", "COUNTER", "FEWEST", "HEADS", "KINDS", "RADII", "REMARK", "REQUIRED", "STATES",
    "TOWARDS", "WIDEST_UM", "WORDS", "Readings", "Trace", "bounds_of", "parse", "read", "refuse_slips", "safe_cell",
    "to_csv",
]  # fmt: skip
# Divisions of micrometers, coarsest first. Common practice, no source.
MICROMETERS_UM = (10.0, 5.0, 2.0, 1.0)
# A worn rotor is read with a micrometer of 0.005 mm or finer. Judgement. [um]
UNSAID_UM = 5.0


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
        What is not wrong, but worth knowing.
    faults : tuple of ReadingFault
        What to read again.
    turned : str
        Which way the file counted its angles; here they all count counter-clockwise.
    entered : tuple of Trace
        All of them as they were entered but for named slips, whatever was left out since; see `as_entered`.
    every : tuple of Trace
        All turns of the file, those too that gave a slip away and count no more; see `as_read`.
    bearing : str
        What was felt when the hub was rocked because of these readings: ``no play`` or ``play``, or ``no play under
        load``; empty where nobody says so.
    left_out : tuple of LeftOut
        What turns that agree outweighed, wherever it stood: why the hub is rocked.
    tight : bool
        Whether turns show play though by hand the hub has none: a bearing may feel tight.
    unlike : Unlike or None
        Clean turns that are less alike than dial and hand make them: `sim.files.unlike_turns`.
    """

    studs: int
    gauge_radius_mm: float | None
    hub_face_radius_mm: float | None
    dial_um: float
    traces: tuple[Trace, ...]
    notes: tuple[str, ...] = ()
    faults: tuple[ReadingFault, ...] = ()
    turned: str = COUNTER
    entered: tuple[Trace, ...] = ()
    every: tuple[Trace, ...] = ()
    bearing: str = ""
    left_out: tuple[LeftOut, ...] = ()
    tight: bool = False
    unlike: Unlike | None = None

    @property
    def as_entered(self) -> tuple[Trace, ...]:
        """Turns as they were entered, but for named slips."""
        return self.entered or self.traces

    @property
    def as_read(self) -> tuple[Trace, ...]:
        """Every turn that was read, also those that gave a slip away: how often it was read, not what counts."""
        return self.every or self.as_entered

    def step_um(self, trace: Trace) -> float:
        """Step of what a trace was read with. [um].

        A thickness that does not say it was read with a micrometer, not with the dial: its readings' own last digits,
        unless the file holds nothing else and its dial is that micrometer. How many digits tell a step is judgement.
        """
        if trace.dial_um is not None:
            return trace.dial_um
        if trace.kind != "thickness" or all(one.kind == "thickness" for one in self.traces):
            return self.dial_um
        off = (float(np.abs(trace.value_um - step * np.round(trace.value_um / step)).max()) for step in MICROMETERS_UM)
        return next((step for step, by in zip(MICROMETERS_UM, off, strict=True) if by < 1e-6), MICROMETERS_UM[-1])

    def of(self, kind: str) -> tuple[Trace, ...]:
        """Traces of one kind, whole turns alone."""
        return tuple(trace for trace in self.traces if trace.kind == kind and not trace.in_part)

    def with_parts_of(self, kind: str) -> tuple[Trace, ...]:
        """Traces of one kind, with what is left of turns that slipped and do not come back either."""
        return tuple(trace for trace in self.traces if trace.kind == kind)

    @cached_property  # asked dozens of times on the way to one order
    def thickness(self) -> Trace | None:
        """The thickness that counts: the file's last turn, or the middle of those like it; None if not read."""
        turns = self.with_parts_of("thickness")
        return thickness_turns.counted(turns, self.micrometer_um(turns[-1])) if turns else None

    @cached_property
    def bare_turns(self) -> tuple[Trace, ...]:
        """Turns of the bare hub face that read it as the last did: `sim.files.face_turns.alike`; none if not read."""
        faces = self.with_parts_of("hub face")
        return face_turns.alike(faces, self.step_um) if faces else ()

    @cached_property
    def bare_face(self) -> Trace | None:
        """The bare hub face that counts: the last turn, or the middle with those that repeat it; None if not read."""
        turns = self.bare_turns
        return face_turns.counted(turns, self.step_um) if turns else None

    @property
    def face_as_found(self) -> bool:
        """Whether the rows of the bare hub face say that it was read as found, last: dirt and all."""
        last = self.of("hub face")[-1:]
        return bool(last) and last[0].said and last[0].state == AS_FOUND

    def micrometer_um(self, turn: Trace) -> float:
        """Division of the micrometer that read a turn: as its lines say, else as its digits show, 5 at the least. [um].

        Whoever does not say it is not taken to have a finer one, whatever was written down; judgement.
        """
        return turn.dial_um or max(self.step_um(turn), UNSAID_UM)

    def parted(self, one: Trace, other: Trace) -> bool:
        """Whether two turns of one thing differ by more than they scatter: see `sim.files.reading_faults.read_twice`.

        Of a thickness also all round: `sim.files.thickness_turns.parted`. [um]
        """
        if one.kind == "thickness":
            return thickness_turns.parted(one, other, max(self.micrometer_um(one), self.micrometer_um(other)))
        first, second = _turn_of(one), _turn_of(other)
        tail = TAIL_OF_PART if one.in_part or other.in_part else TAIL
        return read_twice(first, second, max(self.step_um(one), self.step_um(other)), tail) is not None

    @property
    def thinnest_mm(self) -> float | None:
        """Thinnest place of that turn, of turns that differ all the thinner; None where none tells it. [mm].

        None was read, or all of them from any zero. By definition.
        """
        return self._thinnest_mm(0)

    @property
    def thinnest_by_every_turn_mm(self) -> float | None:
        """The same, of turns that differ the thicker: what is under the stamp by that is so by every one. [mm].

        By definition.
        """
        return self._thinnest_mm(1)

    def _thinnest_mm(self, which: int) -> float | None:
        last = self.thickness
        same = [one for one in self.with_parts_of("thickness") if last is not None and one.corner == last.corner]
        # A turn from any zero says nothing of the level: what the micrometer itself showed before it stands.
        turns = [one for one in same if is_absolute(one.value_um)]
        if not turns:
            return None
        return 1e-3 * thickness_turns.thicknesses_um(turns, self.micrometer_um(turns[-1]))[which]

    @property
    def thickness_counts(self) -> str:
        """Say which of several thickness turns count; empty where there is one or none."""
        turns, last = len(self.of("thickness")), self.thickness
        if last is None or turns == 1:
            return ""
        if last.turns == turns:
            return f"middle of {turns} readings a place"
        which = "the last counts" if last.turns == 1 else f"{last.turns} that agree count, as their middle"
        return f"of {turns} thickness turns in the table {which}"

    def slips_of(self, *kinds: str) -> tuple[str, ...]:
        """What the traces of these kinds give away and is to be read again.

        A hub face that stands up is no slip, nor is what several turns read alike, nor a seat that is put on again.
        """
        told = (
            fault
            for fault in self.faults
            if fault.fault not in NO_SLIPS and not fault.answer and fault.trace.startswith(kinds)
        )
        return tuple(dict.fromkeys(fault.text for fault in told))

    @property
    def thickness_in_doubt(self) -> bool:
        """Whether a place of the thickness is to be read again, and not only one of its turns. By definition."""
        told = (one for one in self.faults if one.fault not in (STANDS_UP, TWICE) and one.trace.startswith("thickness"))
        return any(not one.answer for one in told)

    @property
    def said(self) -> tuple[str, ...]:
        """What is worth knowing, and what is to be read again."""
        return (*self.notes, *(fault.text for fault in self.faults if not fault.answer))

    def faces(self) -> tuple[tuple[Trace, ...], ...]:
        """Faces that were read together: of one mounting, in one state, held alike; first read first, mounted first."""
        found: dict[tuple[object, ...], list[Trace]] = {}
        for trace in (*self.of("mounted"), *self.of("inboard")):
            group = found.setdefault((trace.corner, trace.mount, trace.state, trace.clamped_by), [])
            if all(other.kind != trace.kind for other in group):
                group.append(trace)
        return tuple(map(tuple, found.values()))


def bounds_of(case: Case) -> dict[str, tuple[float, float]]:
    """Radii on which a dial stands on this corner: where the case's own does, and on the hub face. [mm].

    By definition, with `RADIUS_SLACK_MM` as `against_case` has it: a table that stands elsewhere is another corner's.
    """
    gauge = case.gauge_radius_mm
    return {
        "gauge_radius_mm": (gauge - RADIUS_SLACK_MM, gauge + RADIUS_SLACK_MM),
        "hub_face_radius_mm": (case.hub.face_inner_diameter_mm / 2, case.hub.face_diameter_mm / 2),
        "studs": (case.studs.count, case.studs.count),
    }


Bounds = dict[str, tuple[float, float]]


def read(
    path: str | Path, known: dict[str, float] | None = None, bounds: Bounds | None = None, felt: str = ""
) -> Readings:
    """Read a file of dial readings.

    Parameters
    ----------
    path : str or Path
        CSV with the columns trace, mount, studs_turned, angle_deg and one of reading_um, reading_mm, reading_thou;
        optional state, corner, clamped_by, and dial_um (step of another dial, or of the micrometer). Lines
        ``# studs: 5`` and the like say what holds for the whole file: ``turned`` (which way angles and stud pitches
        count on the part, seen from outside), ``dial`` (``+ towards`` where the figure grows when the face comes
        nearer), ``dial_um`` (its step), ``studs``, ``gauge_radius_mm``, ``hub_face_radius_mm``; ``bearing`` what was
        felt when the hub was rocked because of these readings (``no play`` or ``play``; ``no play under load``).
    known : dict of str to float, optional
        ``studs``, ``gauge_radius_mm``, ``hub_face_radius_mm``, ``dial_um`` from a case, where the file does not say;
        what it says otherwise is a fault.
    bounds : dict of str to (float, float), optional
        What a case allows of these (`bounds_of`).
    felt : str
        What another table of the same corner says of its bearing: what is to be read again is worded by that, where
        this one says nothing.

    Returns
    -------
    Readings

    Raises
    ------
    BadInput
        With every fault of the file, each with its line.
    """
    return parse(read_text(path), str(path), known, bounds, felt)


def read_beside(first: Path, second: Path, bounds: Bounds | None = None) -> tuple[Readings, Readings]:
    """Read two tables of one corner: what one of them says of the bearing words both.

    Parameters
    ----------
    first, second : Path
        May be one file.
    bounds
        As `read` takes them.

    Raises
    ------
    BadInput
        As `read` does, for the first of them first.
    """
    one, other = read(first, bounds=bounds), read(second, bounds=bounds)
    if one.bearing and not other.bearing:
        return one, read(second, bounds=bounds, felt=one.bearing)
    if other.bearing and not one.bearing:
        return read(first, bounds=bounds, felt=other.bearing), other
    return one, other


def parse(
    text: str,
    name: str = "",
    known: dict[str, float] | None = None,
    bounds: Bounds | None = None,
    felt: str = "",
) -> Readings:
    """Read the text of a readings file; see `read`."""
    sheet = Sheet(printable(name, 200), dict(known or {}), bounds=dict(bounds or {}))
    lines = lines_below(text, sheet)
    against_case(known or {}, sheet)
    rows, factor = table_of(lines, sheet)
    traces = traces_of(rows, factor, sheet)
    _whole_file(traces, rows, sheet)
    if not sheet.faults:
        doubt = doubt_of_unit(traces, _dial_um(sheet), factor)
        if doubt:
            sheet.fault(0, "unit", doubt)
    if sheet.faults:
        raise BadInput(sheet.faults[:MOST_FAULTS])
    heads = sheet.heads
    step, studs = _dial_um(sheet), int(heads["studs"])
    bearing = sheet.words.get("bearing", "")
    rocking = by_what_was_felt(bearing or felt)
    turns = [_turn_of(trace) for trace in traces]
    moved = [
        came_back(turn.name, _shown_drift_um(one, sheet), one.dial_um or step)
        for turn, one in zip(turns, traces, strict=True)
    ]
    each = parted_turns.with_play(turns, of_each(turns, step, studs), moved, step, rocking)
    same = [(one.kind, one.corner, *(() if one.kind == "thickness" else _as_read(one))) for one in traces]
    found = Readings(
        studs=studs,
        gauge_radius_mm=heads.get("gauge_radius_mm"),
        hub_face_radius_mm=heads.get("hub_face_radius_mm"),
        dial_um=step,
        traces=tuple(traces),
        every=tuple(traces),
        turned=sheet.words.get("turned", COUNTER),
        bearing=bearing,
    )
    anew = read_anew(traces, each, same, found.parted)
    found = replace(found, traces=anew.traces, entered=anew.traces, notes=(*_missing_mounts(traces), *anew.notes))
    thick, bare = found.with_parts_of("thickness"), found.with_parts_of("hub face")
    out = thickness_turns.left_out(thick, found.micrometer_um(thick[-1])) if thick else ()
    out += face_turns.left_out(bare, found.step_um, rocking) if bare else ()
    out += copied_turns.copied([_turn_of(trace) for trace in found.traces])
    faults = (*anew.faults, *_unlike(found, anew.faults, rocking))
    return replace(found, notes=(*found.notes, *out), faults=faults)


def _shown_drift_um(one: Trace, sheet: Sheet) -> float | None:
    """How far the dial came back off its start, with the sign that this table's dial shows. [um]."""
    away = sheet.words.get("dial") == AWAY and one.kind != "thickness"
    return one.drift_um if one.drift_um is None or not away else -one.drift_um


def _dial_um(sheet: Sheet) -> float:
    """Division of the dial, where a turn does not say its own; of a table without one nothing hangs on it. [um]."""
    return sheet.heads.get("dial_um", 10.0)


def _unlike(found: Readings, slips: Sequence[ReadingFault], rocking: Rocking) -> tuple[ReadingFault, ...]:
    """What turns give away that are held against each other."""
    doubted = {fault.trace for fault in slips if fault.doubts}
    turns = [_turn_of(trace) for trace in found.traces]
    between = against_each_other(turns, [turn.name in doubted for turn in turns], found.dial_um, rocking)
    thick, bare = found.with_parts_of("thickness"), found.with_parts_of("hub face")
    again = (
        thickness_turns.unsettled(thick, found.micrometer_um(thick[-1])) if thick else None,
        face_turns.unsettled(bare, found.step_um, rocking) if bare else None,
    )
    return tuple(_told_often(fault, found.every, rocking) for fault in (*between, *again) if fault is not None)


def _told_often(fault: ReadingFault, every: Sequence[Trace], rocking: Rocking) -> ReadingFault:
    """A fault of turns that part, with how often that was read, a bare face in its last state; thickness as it is."""
    if fault.trace.startswith("thickness"):
        return fault
    read = [one for one in every if _turn_of(one).name == fault.trace]
    if fault.trace == "hub face":
        read = [one for one in read if one.state == read[-1].state]
    return so_often(fault, len(read), rocking)


def _as_read(one: Trace) -> tuple[Hashable, ...]:
    """How a turn was mounted and held: of equal value they read the same thing."""
    return (one.mount, one.studs_turned, one.state, one.clamped_by)


def _turn_of(trace: Trace) -> Turn:
    """Readings of a trace as they are doubted: what a dial shows that counts + towards itself."""
    sign = -1.0 if trace.kind == "inboard" else 1.0
    where = trace.kind if trace.kind == "hub face" else f"{trace.kind}, mount {trace.mount}"
    return Turn(
        trace.kind,
        where,
        trace.angle_deg,
        sign * trace.value_um,
        sign,
        (trace.corner, trace.mount),
        trace.dial_um,
        _as_read(trace),
    )


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
    if readings.bearing:
        out.write(f"# bearing: {readings.bearing}\n")
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
        if trace.feeler_um is not None:
            pairs.append((FEELER, f"{trace.feeler_um:.9g}"))
        for angle, value in pairs:
            table.writerow([trace.kind, trace.mount, trace.studs_turned, angle, value, *text])
    return out.getvalue()
