"""How far a mounted turn reaches between few places: highest less lowest reading misses the tops of its humps."""

from __future__ import annotations

import numpy as np

from sim import turn
from sim.bench.after_indexing import usual_sd
from sim.files.clean_turn import fit
from sim.files.trace import Trace
from sim.parts.thickness import PLACES

#: Two humps count from so many standard deviations of a component on; and from so far beyond the readings. Judgement.
TOLD_SDS, LEAST_UM = 3.0, 2.0
#: Said by every command alike, in the middle of a sentence.
HUMPS = (
    "the dial showed {read:.0f} µm at {places} places; its tops reach {by:.0f} µm further between them, which count: "
    f"read it at {PLACES} places"
)


def counted_um(one: Trace, dial_um: float) -> float:
    """What counts of a mounted turn against its limit: highest less lowest reading, and `beyond_um`. [um TIR].

    By definition.
    """
    return turn.tir(one.value_um) + beyond_um(one, dial_um)


def beyond_um(one: Trace, dial_um: float) -> float:
    """How much further one hump and two, as read, reach than highest less lowest reading; nought at many places.

    Parameters
    ----------
    one : Trace
        Of the mounted rotor; one turn, or the middle of several.
    dial_um : float
        Step of the dial. [um]

    Returns
    -------
    float
        At 12 places two humps lose a seventh of their height at most, at six up to a quarter, and which: chance. One
        hump loses 13 % at six places, 8 % at eight, where its top lies midway. [um]

    Notes
    -----
    First and second order by least squares (JCGM 100:2008). Of two humps only those told from the dial's scatter count.
    """
    if one.angle_deg.size >= PLACES or np.unique(one.angle_deg).size < 5:
        return 0.0
    noise_um = usual_sd(dial_um) if one.noise_um is None else one.noise_um
    found = fit(one.angle_deg, one.value_um, 2, np.ones(one.angle_deg.size), noise_um)
    told = abs(found.orders[2]) > TOLD_SDS * found.sd_um[2]
    orders = np.array([0.0, found.orders[1], found.orders[2] if told else 0.0], dtype=complex)
    beyond = turn.tir(turn.trace(orders)) - turn.tir(one.value_um)
    return float(beyond) if beyond >= LEAST_UM else 0.0
