"""Clean mountings of one stud that read far further apart than putting a rotor on moves it, whichever of them count."""

from __future__ import annotations

from itertools import combinations

import numpy as np

from sim.bench.mountings import TOLD, orders_of
from sim.files.dial_readings import Readings
from sim.files.readings_rows import CLEAN_STATES
from sim.files.unlike_turns import Unlike

#: So many times what 95 of 100 pairs of mountings stay under: one pair in a thousand is further apart by chance
#: (Rayleigh distribution). Judgement.
FAR = 1.5


def far_apart(readings: Readings) -> Unlike | None:
    """Say which two clean mountings of one stud read furthest apart, and by how much; None where none do far.

    Parameters
    ----------
    readings : Readings
        Those that count; as they were entered those too that others outweighed, none that the pen explains.

    Notes
    -----
    First orders of the last turn of each, of one state and held alike; JCGM 100:2008, `FAR`. [um TIR]
    """
    last = {
        (one.corner, one.studs_turned, one.state, one.clamped_by, one.mount): one
        for one in readings.as_entered
        if one.kind == "mounted" and not one.in_part and one.state in CLEAN_STATES
    }
    found = []
    for (stand, one), (other_stand, other) in combinations(last.items(), 2):
        if stand[:-1] != other_stand[:-1]:
            continue
        (first, sd), (second, other_sd) = (orders_of(turn, readings.step_um(turn)) for turn in (one, other))
        apart = abs(first[1] - second[1])
        if apart > FAR * TOLD * np.hypot(sd[1], other_sd[1]):
            found.append(Unlike((one.mount, other.mount), 2.0 * float(apart), whole=True))
    return max(found, key=lambda pair: pair.apart_um, default=None)
