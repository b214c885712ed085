"""One seat read by two dials, rotor and nuts untouched between: turns of one mounting, apart by dial and hand only.

A turn by a finer dial is entered under the next mount number. What moves a rotor that is put on anew moves none that
stays on: where the two part it is the bearing, a dial, or what was written.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise

import numpy as np

from sim.bench.read_alike import by_stand, marked, without
from sim.bench.seatings import untouched
from sim.files.dial_readings import Readings, Trace
from sim.files.read_anew import LEAST_ALIKE, agreeing
from sim.files.reading_faults import AS_IT_STANDS, TWICE, ReadingFault
from sim.files.rocking import by_what_was_felt
from sim.files.trace import LeftOut, trace_name

#: How a seat is told that two dials read otherwise.
PARTED = (
    "{name}: it is the seat of mount {earlier}, rotor and nuts untouched as that turn was ordered, and differs from it "
    "by up to {size:.0f} µm: {why}"
)
WHY = f"{{may_be}}a dial that moved (its base, its tip), or a turn written otherwise{{fits}}{{first}}{AS_IT_STANDS}"
#: How the coarser turn would fit.
FITS = " (mount {earlier} {how} would fit)"
PEN = (
    "mount {gone} is left out: {how} it would fit mount {by}, the same seat, rotor and nuts untouched, which a finer "
    "dial read until three turns agreed"
)
NOTE = "mount {gone} is left out: on the same seat, rotor and nuts untouched, mount {by} read otherwise by a finer dial"


def pairs(readings: Readings) -> tuple[tuple[Trace, Trace], ...]:
    """Name turns of one seat by two dials that differ by more than dial and hand do, the coarser one first.

    Parameters
    ----------
    readings : Readings
        As they were entered.

    Notes
    -----
    The last whole turn of each, as turns of one mounting are held: `sim.files.reading_faults.read_twice`. [um]
    """
    found = []
    for there in by_stand(readings):
        last = {one.mount: one for one in there if not one.in_part}
        for one, later in pairwise(last[mount] for mount in sorted(last)):
            if untouched(readings, one, later) and readings.parted(one, later):
                found.append((one, later))
    return tuple(found)


def held(readings: Readings) -> Readings:
    """Ask for the seat that stands to be read on as it stands; where it is gone or was read out the finer dial counts.

    Parameters
    ----------
    readings : Readings
        As they were entered.

    Returns
    -------
    Readings
        With a fault of the mount that stands, or without the coarser turns and with a hub to be rocked; without them
        alone where a slip of the pen that was named explains them; the same where no seat was read otherwise.

    Notes
    -----
    Three turns of the finer dial that agree, as turns of any mounting end (`sim.files.read_anew`). By rule. [um]
    """
    for one, later in pairs(readings):
        if _stands(readings, later) and not _read_out(readings, later):
            fault = _fault(readings, one, later)
            told = any((was.fault, was.trace) == (TWICE, fault.trace) for was in readings.faults)
            readings = readings if told else replace(readings, faults=(*readings.faults, fault))
            continue
        how = _fits(readings, one, later)
        if how and _stands(readings, later):
            readings = _of_the_pen(readings, one, PEN.format(gone=one.mount, how=how, by=later.mount))
            continue
        note = NOTE.format(gone=one.mount, by=later.mount)
        gone = LeftOut(one.mount, one.state, 1)
        left = without(readings, (one.mount,), (note,))
        readings = marked(replace(left, left_out=(*left.left_out, gone)), gone)
    return readings


def as_one(readings: Readings, turns: Sequence[Trace]) -> list[Trace]:
    """Call turns of one seat by two dials turns of one mounting, by the number of the later mount. By definition.

    Parameters
    ----------
    readings : Readings
    turns : sequence of Trace
        First read first. [um]
    """
    found: list[Trace] = []
    for one in reversed(turns):
        there = [was for was in turns if _place(was) == _place(one) and was.mount == one.mount + 1]
        seat = one.mount + 1 if there and untouched(readings, one, there[0]) else one.mount
        found.insert(0, replace(one, mount=seat))
    return found


def _place(one: Trace) -> tuple[object, ...]:
    return one.studs_turned, one.state, one.corner, one.clamped_by


def _stands(readings: Readings, later: Trace) -> bool:
    """Whether that mount is the last, and no bare face was read below its lines: then the rotor came off."""
    lines = (one.line for one in readings.with_parts_of("hub face"))
    last = readings.of("mounted")[-1]
    return last.mount == later.mount and not (last.line and max(lines, default=0) > last.line)


def _read_out(readings: Readings, last: Trace) -> bool:
    turns = [one for one in readings.of("mounted") if (one.mount, one.state) == (last.mount, last.state)]
    return sum(agreeing(turns, last, readings.parted)) >= LEAST_ALIKE


def _of_the_pen(readings: Readings, one: Trace, note: str) -> Readings:
    """Take a seat's coarser mount out as a slip that was named: it shows no play, and no mounting parts from it."""
    left = without(readings, (one.mount,), (note,))
    return replace(left, entered=tuple(was for was in left.entered if was.kind != "mounted" or was.mount != one.mount))


def _fits(readings: Readings, one: Trace, later: Trace) -> str:
    """How the coarser turn would fit, had it been written otherwise; empty where no way is known."""
    return next((how for how, was in _written(one) if not readings.parted(was, later)), "")


def _fault(readings: Readings, one: Trace, later: Trace) -> ReadingFault:
    name, size = trace_name(later.kind, later.mount), _apart_um(one, later)
    rocking = by_what_was_felt(readings.bearing)
    fits = _fits(readings, one, later)
    why = WHY.format(
        may_be=rocking.may_be, first=rocking.first, fits=FITS.format(earlier=one.mount, how=fits) if fits else ""
    )
    text = PARTED.format(name=name, earlier=one.mount, size=size, why=why)
    return ReadingFault(TWICE, name, (), size, 0.0, text)


def _apart_um(one: Trace, other: Trace) -> float:
    there = np.interp(other.angle_deg, one.angle_deg, one.value_um, period=360.0)
    return float(np.ptp(other.value_um - there))


def _written(one: Trace) -> Sequence[tuple[str, Trace]]:
    """Ways in which a turn may have been written otherwise, its places alike far apart as they are as a rule."""
    value = one.value_um
    ways = (
        ("begun one place off", np.roll(value, 1)),
        ("begun one place off", np.roll(value, -1)),
        ("with every sign turned over", -value),
        ("written the other way round", np.roll(value[::-1], 1)),
    )
    return [(how, replace(one, value_um=was)) for how, was in ways]
