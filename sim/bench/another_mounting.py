"""How far clean mountings of the stud where a rotor stands read apart that parted, whichever of them count."""

from __future__ import annotations

import math
from itertools import combinations
from typing import TYPE_CHECKING

from sim.files.reading_faults import WRITTEN
from sim.files.readings_rows import CLEAN_STATES

if TYPE_CHECKING:
    from collections.abc import Callable

    from sim.files.dial_readings import Readings, Trace


def apart_there_um(readings: Readings, first_order: Callable[[Trace], tuple[complex, float]], times_sd: float) -> float:
    """How far apart the furthest two clean mountings read that part, on the stud where it stands; or nought. [um].

    Parameters
    ----------
    readings : Readings
    first_order : callable
        First order of a turn, and the standard deviation of a component of it, its mounting included. [um]
    times_sd : float
        From so many of these on two part.

    Notes
    -----
    As they were entered, those too that others outweighed, but none that was likely written otherwise and is left out
    for that: a pen moves no rotor. Of each its last turn. Twice the difference of two vectors
    is that of their highest less lowest, at most (closed form).
    """
    mounted = readings.of("mounted")
    if not mounted or mounted[-1].state not in CLEAN_STATES:
        return 0.0
    counts = {one.mount for one in mounted}
    pens = tuple(one.text.partition(":")[0] for one in readings.faults if one.fault == WRITTEN)
    last: dict[int, Trace] = {}
    for one in readings.as_entered:
        clean = one.kind == "mounted" and not one.in_part and one.state in CLEAN_STATES
        clean &= one.mount in counts or f"mounted, mount {one.mount}" not in map(str.lower, pens)
        if clean and (one.studs_turned, one.clamped_by) == (mounted[-1].studs_turned, mounted[-1].clamped_by):
            last[one.mount] = one
    pairs = combinations([first_order(one) for one in last.values()], 2)
    parted = (abs(one - other) for (one, sd), (other, by) in pairs if abs(one - other) > times_sd * math.hypot(sd, by))
    return 2.0 * max(parted, default=0.0)
