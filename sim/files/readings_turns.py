"""Rows of a readings file as turns: which rows are one turn, whether it can be one, and + outboard from then on."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from sim.arrays import Floats
from sim.files.feeler import ROW, beside_their_turns, of_turns
from sim.files.readings_head import AWAY, CLOCKWISE, FEWEST
from sim.files.readings_rows import UNITS, Row, Sheet
from sim.files.table_text import WIDEST_GAP_DEG, widest_gap_deg
from sim.files.trace import Trace

# A thickness all of whose readings lie here, none nought, is a rotor's in mm, unless they are whole numbers that differ
# by more than a rotor's thickness can. Judgement.
MM_LIKE, MOST_MM = (5.0, 40.0), 3.0
ALL_ALIKE = (
    f"what to do: slip a 0.1 mm feeler under the tip; where the needle moves by that and comes back, add {ROW}; else "
    "set the tip again, or a finer dial"
)
# Between what a place of a rotor differs from another and a rotor's thickness. Judgement. [um]
NO_DIFFERENCE_UM, NO_ROTOR_UM = 300.0, 1000.0 * MM_LIKE[0]
#: What a figure may have been read in, as it is called; hundredths have no column of their own. [um]
OTHER_UNITS = UNITS | {"hundredths of a mm": 10.0}
WHOLE_THICKNESS = "the whole thickness at every place (11.604 mm is 11604 µm)"
# A turn that spans more or less than this is no reading of a brake rotor: somebody slipped in the unit. [um]
WIDEST_UM, NARROWEST_UM = 5000.0, 0.5
#: Of a reading that was typed in thousandths of an inch: half a division stays half a division.
ROUND_OFF = 1e-6
#: What stands at its limit in one unit stands there in every other: readings are kept to so many decimals. [um]
DECIMALS = 6


def traces_of(rows: Iterable[Row], factor: float, sheet: Sheet) -> list[Trace]:
    """Gather the rows of each turn, check it as a turn, and turn the inboard dial round. [um, deg].

    Parameters
    ----------
    rows : iterable of Row
    factor : float
        Of the column's unit. [um]
    sheet : Sheet
        Its faults grow.

    Returns
    -------
    list of Trace
        + outboard, angles counter-clockwise (by definition); a turn that is none is left out.
    """
    groups: dict[tuple[object, ...], list[Row]] = {}
    for row in beside_their_turns(rows):
        groups.setdefault((row.kind, row.mount, row.text), []).append(row)
    traces: list[Trace] = []
    for group, feeler_um in [turn for together in groups.values() for turn in _tried(together, factor, sheet)]:
        first = group[0]
        for row in group:
            if row.turned != first.turned:
                sheet.fault(row.line, "studs_turned", f"mount {row.mount} stood at {first.turned} in line {first.line}")
            if row.step_um != first.step_um:
                sheet.fault(row.line, "dial_um", f"another dial than in line {first.line}: one dial a turn")
        angle = np.array([row.angle for row in group])
        value = np.round(np.array([row.value for row in group]) * factor, DECIMALS)
        if not _turn_fits(group, angle, value, factor, sheet, feeler_um is not None):
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
                line=first.line,
                said=first.said,
                feeler_um=feeler_um,
            )  # fmt: skip
        )
    return traces


def _tried(group: list[Row], factor: float, sheet: Sheet) -> list[tuple[list[Row], float | None]]:
    """Turns of one trace, each with what a feeler moved the dial by in it."""
    read = [row for row in group if not row.feeler]
    turns = _rounds(read) if read else []
    return list(zip(turns, of_turns([row for row in group if row.feeler], turns, factor, sheet), strict=True))


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


def _numbered(angle: Floats) -> str:
    """Ask whether places were numbered 1 to k, or 0 to k - 1, where degrees belong; empty for other angles."""
    if np.any(np.diff(angle) != 1.0) or angle[0] not in {0.0, 1.0}:
        return ""
    apart = 360.0 / angle.size
    return f"; were places numbered? They are degrees: {angle[0]:g} is 0, {angle[1]:g} is {apart:g}, and so on"


def _turn_fits(
    group: list[Row], angle: Floats, value: Floats, factor: float, sheet: Sheet, tried: bool = False
) -> bool:
    """Whether the readings make one turn in a believable unit; the dial of one that was tried is known to move."""
    before = len(sheet.faults)
    first = group[0]
    where = first.named
    seen: dict[float, int] = {}
    for row in group:
        if row.angle in seen:
            reason = f"{row.angle:g} degrees was read in line {seen[row.angle]} already"
            sheet.fault(row.line, "angle_deg", reason, "once a turn; what is read again is a whole further turn")
        seen.setdefault(row.angle, row.line)
    distinct = np.unique(angle % 360.0).size
    if distinct < FEWEST:
        sheet.fault(first.line, "", f"{where}: {distinct} readings tell too little of a turn", f"{FEWEST} or more")
    elif angle.max() < 6.4:
        sheet.fault(first.line, "angle_deg", f"{where}: the angles end at {angle.max():g}; were they given in radians?")
    elif (gap := widest_gap_deg(angle)) > WIDEST_GAP_DEG:
        allowed = f"gaps up to {WIDEST_GAP_DEG:g} degrees"
        reason = f"{where}: {gap:.0f} degrees of the turn were not read{_numbered(np.unique(angle))}"
        sheet.fault(first.line, "angle_deg", reason, allowed)
    span = float(np.ptp(value))
    gauge = "micrometer" if first.kind == "thickness" else "dial"
    if span > WIDEST_UM:
        _too_wide(group, value, factor, sheet)
    elif span == 0.0 and distinct >= FEWEST and not (tried or _may_be_even(first.kind, value)):
        even = first.kind == "thickness"
        why = "that is no thickness" if even else "a tip that does not touch shows the same"
        reason = f"{where}: every reading is {value[0] / factor:g}; {why}"
        sheet.fault(first.line, "", reason if even else f"{reason}; {ALL_ALIKE}", WHOLE_THICKNESS if even else "")
    elif (
        # A micrometer, not the dial, reads the thickness: a good rotor varies by less than half a division of the dial.
        first.kind != "thickness"
        and (step := first.step_um or sheet.heads.get("dial_um", 0.0)) > 2.0 * span * (1.0 + ROUND_OFF)
        and span >= NARROWEST_UM
        and not tried
    ):
        reason = f"{where}: spans {span:g} µm, less than half a step of the dial ({step:g} µm)"
        sheet.fault(first.line, "dial_um", reason + (_other_unit(span / factor, factor, gauge)))
    elif first.kind == "thickness" and factor == 1.0 and _may_be_mm(value):
        reason = f"{where}: {value.min():g} to {value.max():g} in a column of µm; is the column rather mm?"
        allowed = "a whole thickness (22.004 mm is 22004), or what it differs from a place of the turn that reads 0"
        sheet.fault(first.line, "reading_um", reason, allowed)
    elif first.kind == "thickness" and value.min() > NO_DIFFERENCE_UM and value.max() < NO_ROTOR_UM:
        reason = f"{where}: {value.min() / 1000.0:.3g} mm; no rotor is so thin, and no place differs so from another"
        sheet.fault(first.line, "", reason + _as_thick(float(np.median(value)) / factor), WHOLE_THICKNESS)
    elif 0.0 < span < NARROWEST_UM and not tried:
        sheet.fault(first.line, "", f"{where}: spans {span:g} µm{_other_unit(span / factor, factor, gauge)}")
    return len(sheet.faults) == before


def _may_be_even(kind: str, value: Floats) -> bool:
    """Whether a turn that reads all alike may be one that nobody tried: a whole thickness."""
    return kind == "thickness" and bool(value[0])


def _as_thick(figure: float) -> str:
    """Question for the reader: in which unit the figure is a rotor's thickness."""
    low, high = (1000.0 * mm for mm in MM_LIKE)
    usual = [f"{name} ({figure * um / 1000.0:.3g} mm)" for name, um in OTHER_UNITS.items() if low < figure * um < high]
    return f"; was it read in {' or '.join(usual)}?" if usual else ""


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
    usual = {
        name: span * other for name, other in OTHER_UNITS.items() if other != factor and 5.0 <= span * other <= 1000.0
    }
    if not usual:
        return f"; which no {gauge} at a brake rotor shows"
    if len(usual) == 1:
        return f"; is the column rather {next(iter(usual))}?"
    either = " or ".join(f"{name} ({um:.0f} µm)" for name, um in sorted(usual.items(), key=lambda one: one[1]))
    return f"; is the column rather {either}?"
