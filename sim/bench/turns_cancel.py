"""Turns that part cancel in their middle, which then reads less than they do: what is told and judged is their own."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import combinations

from sim.bench.between_places import counted_um
from sim.bench.pooled_turns import as_it_stands
from sim.files.trace import Trace
from sim.files.unlike_turns import TAIL, part_by_um, written_in_um


def counts_um(middle_um: float, turns: Sequence[Trace], steps_um: Sequence[float]) -> float:
    """What counts of the rotor as it stands: the middle of its turns, or of what each of them reads by itself.

    Parameters
    ----------
    middle_um : float
        What the middle of its turns, place by place, reads. [um TIR]
    turns : sequence of Trace
        Mounted, first read first, as `sim.bench.pooled_turns.standing` takes them.
    steps_um : sequence of float
        Divisions that they were read with. [um]

    Returns
    -------
    float
        Never less than ``middle_um``. [um TIR]

    Notes
    -----
    Highest less lowest of a mean of vectors is at most the mean of theirs (triangle inequality): turns whose high spots
    wander, as a bearing with play throws them, cancel. Where two part by more than dial and hand do
    (`sim.files.unlike_turns.part_by_um`), or all read more than their middle by more than they were rounded to, the
    middle one of their own readings counts, of two the larger. Judgement.
    """
    there = as_it_stands(turns, steps_um)
    step_um = steps_um[-1]
    if len(there) < 2:
        return middle_um
    each = sorted(counted_um(one, step_um) for one in there)
    pairs = list(combinations(there, 2))
    cancels = middle_um < each[0] - max(written_in_um(one, step_um) for one in there)
    parts = cancels or any(part_by_um(one, other, (step_um, step_um), TAIL / len(pairs)) for one, other in pairs)
    return max(middle_um, each[len(each) // 2]) if parts else middle_um
