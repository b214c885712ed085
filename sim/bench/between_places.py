"""How far two humps of a mounted turn reach between few places: highest less lowest reading misses their tops."""

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
    "the dial showed {read:.0f} µm at {places} places; two humps reach {by:.0f} µm further between them, which count: "
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
        At 12 places two humps lose a seventh of their height at most, at six up to a quarter, and which: chance. [um]

    Notes
    -----
    First and second order by least squares (JCGM 100:2008). Only humps that are told from the dial's scatter count.
    """
    if one.angle_deg.size >= PLACES or np.unique(one.angle_deg).size < 5:
        return 0.0
    noise_um = usual_sd(dial_um) if one.noise_um is None else one.noise_um
    found = fit(one.angle_deg, one.value_um, 2, np.ones(one.angle_deg.size), noise_um)
    if abs(found.orders[2]) <= TOLD_SDS * found.sd_um[2]:
        return 0.0
    orders = np.array([0.0, *found.orders[1:3]], dtype=complex)
    beyond = turn.tir(turn.trace(orders)) - turn.tir(one.value_um)
    return float(beyond) if beyond >= LEAST_UM else 0.0
