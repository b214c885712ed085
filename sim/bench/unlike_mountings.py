"""Clean mountings of one stud that read far further apart than putting a rotor on moves it, whichever of them count."""

from __future__ import annotations

from itertools import combinations

from sim.bench.mountings import TOLD, first_orders_apart
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
        apart, sd = first_orders_apart(readings, one, other)
        if abs(apart) > FAR * TOLD * sd:
            found.append(Unlike((one.mount, other.mount), 2.0 * abs(apart), whole=True))
    return max(found, key=lambda pair: pair.apart_um, default=None)
