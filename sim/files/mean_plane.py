"""Runout of the disc's mean plane from a table of readings: what a road may start from in place of a seating."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from sim import turn
from sim.errors import BadInput, Fault
from sim.files import dial_readings, face_turns
from sim.files.dial_readings import Readings, Trace
from sim.files.readings_rows import CLEAN_STATES
from sim.files.seated_home import refuse_unseated
from sim.parts.case import Case

THERE = "; clean, on stud {stud}, it read {read:.0f} µm: index it there first"
#: Which of several mountings counts.
LAST, WHEEL_ON = "the last that was read", "the one that was read with the wheel on"


@dataclass(frozen=True, eq=False)
class MeanPlane:
    """Runout of the mean plane as read.

    Parameters
    ----------
    trace_um : tuple of float, length 360
        Every degree in the ROTOR frame, mean removed. [um]
    clamped_by : str
        What held the rotor; empty where the readings do not say.
    step_um : float
        Of the dial, of the coarser where the faces were read with two. [um]
    which : str
        Which of several mountings or readings it is, in words; empty where there is one.
    state : str
        In which it was read: ``as found``, ``cleaned`` ...
    readings : Readings
        The whole table.
    outboard_um : float or None
        What the outboard face runs out as read, where both faces were: limits are held against that. [um TIR]
    unused : Trace or None
        Turn on the outboard face without the wheel, where a turn with the wheel on counts.
    outboard, inboard : Trace or None
        Turns that count on either face, where it was read.
    better : Trace or None
        Turn on another stud on which the same clean corner was read to run out least.
    """

    trace_um: tuple[float, ...]
    clamped_by: str
    step_um: float
    which: str
    state: str
    readings: Readings
    outboard_um: float | None = None
    unused: Trace | None = None
    outboard: Trace | None = None
    inboard: Trace | None = None
    better: Trace | None = None


def mean_plane_read(case: Case, path: Path) -> MeanPlane:
    """Read the runout of the mean plane as the corner stands now, and what held the rotor.

    Of the last mounting and its last state: both faces where both were read held alike, else the one that was; as held
    by the wheel before all others.

    Parameters
    ----------
    case : Case
        Its studs and radius are held against those of the table.
    path : Path

    Returns
    -------
    MeanPlane

    Raises
    ------
    BadInput
        Without a mounted trace, for faces read under different clampings, or readings that give a slip away.
    Refused
        For a turn that no seated rotor draws.

    Notes
    -----
    By definition: the mean plane is half the sum of both faces, each + outboard. [um]
    """
    known = {"studs": float(case.studs.count), "gauge_radius_mm": case.gauge_radius_mm}
    found = dial_readings.read(path, known)
    groups = found.faces()
    if not groups:
        raise BadInput(Fault("has no mounted trace", file=str(path), allowed="at least one turn of `mounted`"))
    last = max((trace for trace in found.traces if trace.kind in ("mounted", "inboard")), key=lambda one: one.mount)
    last = [trace for trace in found.traces if trace.mount == last.mount and trace.kind in ("mounted", "inboard")][-1]
    last, read_last = _on_the_wheel(groups, last), last
    now = [group for group in groups if _stands(group[0]) == _stands(last)]
    turns = tuple(_middle(found, one) for one in _that_counts(now))
    apart = [group[0] for group in now if {one.kind for one in group} == {"inboard"}]
    held = sorted({turns[0].clamped_by, *(one.clamped_by for one in apart)})
    if turns[0].clamped_by != "wheel" and len(turns) == 1 and len(held) > 1:
        told = " and ".join(repr(one) for one in held)
        raise BadInput(Fault(f"its two faces were read under {told}", file=str(path), allowed="one clamping for both"))
    # A mount that stands no more is nothing that anybody can read again, and nothing is reckoned from it.
    gone = {one.trace for one in found.faults if one.doubts and not one.answer and _another_mount(one.trace, last)}
    standing = replace(found, faults=tuple(one for one in found.faults if one.trace not in gone))
    dial_readings.refuse_slips(standing, path, *{one.kind for one in turns})
    for one in turns:
        refuse_unseated(one.value_um)
    at = np.arange(360.0)
    mean = np.mean([turn.interpolate(one.angle_deg, one.value_um, at) for one in turns], axis=0)
    step = max(found.step_um(one) for one in turns)
    sound = replace(found, traces=tuple(one for one in found.traces if f"{one.kind}, mount {one.mount}" not in gone))
    which, better = "", _better(sound, last)
    if len({_stands(group[0]) for group in groups}) > 1:
        there = "" if better is None else THERE.format(stud=better.studs_turned + 1, read=turn.tir(better.value_um))
        which = (
            f"mount {last.mount}, {last.state}, painted hole on stud {last.studs_turned + 1}, "
            f"{LAST if last is read_last else WHEEL_ON}{there}"
        )
    outboard = next((one for one in turns if one.kind == "mounted"), None)
    inboard = next((one for one in turns if one.kind == "inboard"), None)
    beside_um = None if outboard is None or not turns[1:] else turn.tir(outboard.value_um)
    return MeanPlane(
        tuple(float(value) for value in mean - mean.mean()), turns[0].clamped_by, step, which, last.state, found,
        beside_um, _unused(groups, turns), outboard, inboard, better,
    )  # fmt: skip


def _on_the_wheel(groups: Sequence[tuple[Trace, ...]], last: Trace) -> Trace:
    """Find the turn as found that was read with the wheel on, under whatever mount number: nothing came off since."""
    seated = (last.corner, last.state, last.studs_turned)
    found = [
        group[0]
        for group in groups
        if group[0].clamped_by == "wheel" and (group[0].corner, group[0].state, group[0].studs_turned) == seated
    ]
    return found[-1] if found and last.state not in CLEAN_STATES else last


def _another_mount(name: str, last: Trace) -> bool:
    """Whether a trace is of another mount than the one that stands."""
    return ", mount " in name and not name.endswith(f", mount {last.mount}")


def _better(found: Readings, last: Trace) -> Trace | None:
    """Turn on which the same clean corner was read to run out least, where that was on another stud; else None.

    By definition. [um TIR]
    """
    clean = [one for one in found.of("mounted") if one.corner == last.corner and one.state in CLEAN_STATES]
    if last.state not in CLEAN_STATES or not clean:
        return None
    least = min(clean, key=lambda one: turn.tir(one.value_um))
    return None if least.studs_turned == last.studs_turned else least


def _unused(groups: Sequence[tuple[Trace, ...]], turns: tuple[Trace, ...]) -> Trace | None:
    """Outboard turn of this mounting, or as found, that the limit is made for, where one with the wheel on counts."""
    counts = turns[0]
    if counts.clamped_by != "wheel":
        return None
    held = [
        one
        for group in groups
        for one in group
        if one.kind == "mounted"
        and one.clamped_by != "wheel"
        and (one.corner, one.state, one.studs_turned) == (counts.corner, counts.state, counts.studs_turned)
        and (one.mount == counts.mount or one.state not in CLEAN_STATES)
    ]
    return held[-1] if held else None


def _stands(trace: Trace) -> tuple[str, int, str]:
    """How the corner stood while a trace was read."""
    return trace.corner, trace.mount, trace.state


def _middle(found: Readings, one: Trace) -> Trace:
    """All turns of this face of this mounting, held alike, as one: `sim.files.face_turns.counted`."""
    how = (one.corner, one.mount, one.state, one.clamped_by)
    alike = [t for t in found.of(one.kind) if (t.corner, t.mount, t.state, t.clamped_by) == how]
    return face_turns.counted(alike, found.step_um)


def _that_counts(groups: list[tuple[Trace, ...]]) -> tuple[Trace, ...]:
    """Faces that count of one state: with the wheel on they were read as driven, else the last outboard one."""
    on_the_wheel = [group for group in groups if group[0].clamped_by == "wheel"]
    outboard = [group for group in groups if group[0].kind == "mounted"]
    return (on_the_wheel or outboard or groups)[-1]
