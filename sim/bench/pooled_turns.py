"""Several turns of one mount, the rotor not moved between: their middle, as uncertain as they scatter."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from sim.bench.after_indexing import usual_sd
from sim.files.dial_readings import Trace
from sim.parts.dial import DITHERED
from sim.parts.middle_turn import as_many


def pooled(turns: Sequence[Trace], dial_um: float) -> Trace:
    """Median of the turns of one mount at each place, each about its own mean; the last where places differ.

    Parameters
    ----------
    turns : sequence of Trace
        Of one mount, state and clamping, first read first.
    dial_um : float
        Step that they were read with. [um]

    Returns
    -------
    Trace
        With the number of turns, and the standard deviation of one of its values from how the turns scatter.

    Notes
    -----
    Type A: the experimental standard deviation of the mean (JCGM 100:2008, 4.2), places pooled, widened to that of a
    median (`sim.parts.middle_turn`). Rounding that the
    scatter does not carry stays as it is (4.3.7). With few places and turns the scatter is uncertain itself: it counts
    as one of its degrees of freedom beside the dial's usual one.
    """
    last = turns[-1]
    if len(turns) == 1 or any(not np.array_equal(one.angle_deg, last.angle_deg) for one in turns):
        return last
    count, places = len(turns), last.angle_deg.size
    values = np.array([one.value_um - one.value_um.mean() for one in turns])
    freedom = (count - 1) * (places - 1)
    square = float(((values - values.mean(axis=0)) ** 2).sum() + usual_sd(dial_um) ** 2) / (freedom + 1)
    rounding = dial_um**2 / 12.0 if square < (DITHERED * dial_um) ** 2 else 0.0
    drifts = [one.drift_um for one in turns if one.drift_um is not None]
    return replace(
        last,
        value_um=np.median(values, axis=0) + last.value_um.mean(),
        drift_um=float(np.median(drifts)) if drifts else None,
        turns=count,
        noise_um=float(np.sqrt(square / as_many(count) + rounding)),
    )


def standing(turns: Sequence[Trace], steps_um: Sequence[float]) -> Trace:
    """Find the rotor as it stands: the last turn, and before it those on the same stud in between which none stands.

    Parameters
    ----------
    turns : sequence of Trace
        Mounted, first read first, at least one.
    steps_um : sequence of float
        Steps that they were read with. [um]

    Returns
    -------
    Trace
        Their middle, whether a turn with the nuts tightened anew was given its mount's number or the next.
    """
    return pooled(as_it_stands(turns, steps_um), steps_um[-1])


def as_it_stands(turns: Sequence[Trace], steps_um: Sequence[float]) -> Sequence[Trace]:
    """Turns of the rotor as it stands, see `standing`.

    Parameters
    ----------
    turns, steps_um
        As `standing` takes them. [um]
    """
    last = len(turns) - 1

    def how(k: int) -> tuple[object, ...]:
        return (turns[k].studs_turned, turns[k].state, turns[k].corner, turns[k].clamped_by, steps_um[k])

    first = next((k + 1 for k in range(last, -1, -1) if how(k) != how(last)), 0)
    return turns[first:]


def pooled_by_mount(traces: Sequence[Trace], steps_um: Sequence[float]) -> tuple[Trace, ...]:
    """Each mount once, in order of its first turn; see `pooled`. Values in um, by definition."""
    groups: dict[tuple[object, ...], list[tuple[Trace, float]]] = {}
    for one, step in zip(traces, steps_um, strict=True):
        key = (one.kind, one.mount, one.studs_turned, one.state, one.corner, one.clamped_by, step)
        groups.setdefault(key, []).append((one, step))
    return tuple(pooled([one for one, _ in group], group[0][1]) for group in groups.values())
