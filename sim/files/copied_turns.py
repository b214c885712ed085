"""A turn whose figures stand under another mount already, place by place: copied in the table, it was not read."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import combinations

import numpy as np

from sim.arrays import Floats
from sim.files.reading_faults import Turn

#: By how much a place reads otherwise after the rotor was off and on again, standard deviation: the dial's scatter
#: twice and the seat's. Judgement, 2 .. 5. [um]
APART_UM = 3.5
#: So seldom two turns that were read come out alike at every place by chance. Judgement.
BY_CHANCE = 0.01
#: A turn that spans fewer of its own steps reads alike because it is flat. Judgement.
LEAST_STEPS = 4
TEXT = (
    "{name}: at every place the figure of {before}; if lines were copied in the table take them out and read the turn"
)


def copied(turns: Sequence[Turn]) -> tuple[str, ...]:
    """Name mounted turns that are one with a turn of an earlier mount, where their mount was read no other time.

    Parameters
    ----------
    turns : sequence of Turn
        Of one file, in its order. [um]

    Notes
    -----
    Two readings of one place that scatter normally agree after rounding to a step with a chance of about the step over
    the root of 4 pi times the standard deviation of one; at all places with its power. A remark, no fault: two honest
    turns of a steady hand may be one (simulated: up to 6 % of unchanged rotors by half divisions of 10 um).
    """
    faces = [one for one in turns if one.kind in {"mounted", "inboard"}]
    often = [sum(one.name == other.name for other in faces) for one in faces]
    found: dict[str, str] = {}
    for (_, one), (times, other) in combinations(zip(often, faces, strict=True), 2):
        if one.kind == other.kind and one.mount != other.mount and times == 1 and _one_turn(one, other):
            found.setdefault(other.name, TEXT.format(name=other.name, before=one.name))
    return tuple(found.values())


def _one_turn(one: Turn, other: Turn) -> bool:
    if one.angle_deg.size != other.angle_deg.size:
        return False
    same = np.array_equal(one.angle_deg, other.angle_deg) and np.allclose(one.shown_um, other.shown_um)
    if not same or np.ptp(other.shown_um) < LEAST_STEPS * _step_um(other.shown_um):
        return False
    return _alike(other.shown_um) ** other.shown_um.size < BY_CHANCE


def _step_um(shown_um: Floats) -> float:
    """Least step between two figures of a turn; nought for one that is flat. [um]."""
    steps = np.diff(np.unique(np.round(shown_um, 2)))
    return float(steps.min()) if steps.size else 0.0


def _alike(shown_um: Floats) -> float:
    """Chance that one place comes out alike twice."""
    return min(1.0, _step_um(shown_um) / (APART_UM * math.sqrt(4.0 * math.pi)))
