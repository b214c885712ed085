"""To which stud a table of readings orders the rotor moved, once what is read where it stands changes nothing."""

from __future__ import annotations

from sim.bench.face_first import MOVES, ordered
from sim.bench.foreseen import foreseen
from sim.bench.mostly_over import as_it_counts
from sim.bench.mountings import told_apart
from sim.bench.next_act import BARE_HUB, THICKNESS
from sim.files.dial_readings import Readings
from sim.files.readings_rows import CLEAN_STATES
from sim.parts.case import Limits


def moved_next(readings: Readings, limits: Limits) -> int | None:
    """Stud, from 1, on which the painted hole is put next, read clean; 0 where nothing moves it, None where it is open.

    It is open before the corner was read clean, and while its bare face is read on before a stud is chosen by it.

    Parameters
    ----------
    readings : Readings
        With one mounted trace or more.
    limits : Limits

    Notes
    -----
    The rule of `sim.bench.face_first.ordered`, its thickness taken as even where nobody read it. Common practice, no
    source.
    """
    mounted = readings.of("mounted")
    if not mounted or mounted[-1].state not in CLEAN_STATES:
        return None
    read, again = as_it_counts(readings, limits)
    told = told_apart(read, again)
    first = ordered(read, told, limits)
    acts = (first, *(foreseen(read, told, limits, first) if first.what == THICKNESS else ()))
    last = acts[-1]
    if any(one.what == BARE_HUB and one.hub_face is not None and one.hub_face.first for one in acts):
        return None
    return last.studs_turned + 1 if last.what in MOVES else 0
