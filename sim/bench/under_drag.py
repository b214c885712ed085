"""A worn rotor under a caliper that the case gives as stuck: its drag wore it too, so nothing tells of its fitting."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from sim.bench.fitted_runout import CANNOT_TELL, Memory, WornDisc, read_orders
from sim.bench.known_parts import counted, from_case
from sim.parts.thickness import uneven
from sim.turn import tir, trace

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sim.bench.known_parts import KnownPart
    from sim.parts.case import Case

REASON = (
    "nothing is told of its fitting: the caliper sticks as given, and what it drags wears the rotor as runout does; "
    "since when it sticks no reading tells"
)
APART = ("runout at fitting", "drag of the caliper")


def nothing_told(case: Case, disc: WornDisc, parts: Sequence[KnownPart] = ()) -> Memory:
    """What is left to tell of such a rotor: today's runout and thickness, and parts that were read by themselves.

    Parameters
    ----------
    case : Case
        Its caliper sticks (`sim.parts.stuck_caliper`).
    disc : WornDisc
    parts : sequence of KnownPart
        What was read by itself.

    Returns
    -------
    Memory
        Figures of its fitting are not a number.

    Notes
    -----
    Runouts in um TIR. No rotor is simulated: worn under such a drag from its first kilometre, each takes several times
    as long as another, and would take today's drag for that of its whole life (judgement).
    """
    lean, _ = read_orders(disc)
    varies = uneven(disc.thickness_um, disc.doubt_um, case.limits.dtv_um)
    return Memory(
        fitted_runout_um=math.nan,
        low_um=math.nan,
        high_um=math.nan,
        runout_now_um=None if lean is None else tir(trace(np.concatenate([[0.0], lean]))),
        high_spot_deg=None,
        high_spot_band_deg=None,
        finding=CANNOT_TELL,
        reason=REASON,
        looks_like_wear=True,
        notes=(),
        cannot_tell=APART,
        known=counted((*from_case(case), *parts)),
        thickness_variation_um=varies.value_um,
        thickness_doubt_um=varies.doubt_um,
        thickness_between_places_um=varies.between_um,
        thickness_places=varies.places,
        thickness_against_limit=varies.state,
        studs_turned=case.studs.studs_turned,
        give_or_take=disc.give_or_take,
    )
