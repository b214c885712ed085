"""To which stud a table of readings orders the rotor moved, once what is read where it stands changes nothing."""

from __future__ import annotations

from sim.bench.face_first import MOVES
from sim.bench.foreseen import foreseen
from sim.bench.mostly_over import as_it_counts
from sim.bench.mountings import told_apart
from sim.bench.next_act import THICKNESS, next_act
from sim.files.dial_readings import Readings
from sim.files.readings_rows import CLEAN_STATES
from sim.parts.case import Limits


def moved_next(readings: Readings, limits: Limits) -> int | None:
    """Stud, from 1, on which the painted hole is put next, read clean; 0 where nothing moves it, None if not clean yet.

    Parameters
    ----------
    readings : Readings
        With one mounted trace or more.
    limits : Limits

    Notes
    -----
    The rule of `sim.bench.next_act`, its thickness taken as even where nobody read it. Common practice, no source.
    """
    mounted = readings.of("mounted")
    if not mounted or mounted[-1].state not in CLEAN_STATES:
        return None
    read, again = as_it_counts(readings, limits)
    told = told_apart(read, again)
    first = next_act(read, told, limits)
    acts = (first, *(foreseen(read, told, limits, first) if first.what == THICKNESS else ()))
    last = acts[-1]
    return last.studs_turned + 1 if last.what in MOVES else 0
