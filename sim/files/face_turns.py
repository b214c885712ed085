"""Which turns of the bare hub face count: the last that agree, and of those the finest dial's, as one turn."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from sim.files.reading_faults import Turn, read_twice
from sim.files.trace import Trace


def alike(faces: Sequence[Trace], step_um: Callable[[Trace], float]) -> tuple[Trace, ...]:
    """Turns that read the face as the last one did, one after the other in one state.

    Parameters
    ----------
    faces : sequence of Trace
        Of the bare hub face, first read first, at least one.
    step_um : callable
        Step of the dial that read one. [um]

    Notes
    -----
    Two turns agree where `sim.files.reading_faults.read_twice` finds nothing. [um]
    """
    last = faces[-1]

    def agrees(one: Trace) -> bool:
        first, second = (Turn(face.kind, face.kind, face.angle_deg, face.value_um) for face in (one, last))
        return read_twice(first, second, max(step_um(one), step_um(last))) is None

    apart = (k for k, one in enumerate(reversed(faces)) if one.state != last.state or not agrees(one))
    return tuple(faces[len(faces) - next(apart, len(faces)) :])


def counted(turns: Sequence[Trace], step_um: Callable[[Trace], float]) -> Trace:
    """One turn of those of `alike` that the finest dial read, with the number of which it is the mean.

    Parameters
    ----------
    turns : sequence of Trace
        That agree, first read first, at least one.
    step_um : callable
        Step of the dial that read one. [um]

    Notes
    -----
    The mean at each place, each turn about its own mean; turns at other places stand side by side. A coarser dial adds
    little to a finer one and is left out; judgement. [um]
    """
    finest = min(map(step_um, turns))
    fine = [one for one in turns if step_um(one) == finest]
    last = fine[-1]
    values = [one.value_um - one.value_um.mean() for one in fine]
    if len(fine) == 1:
        return last
    if any(not np.array_equal(one.angle_deg, last.angle_deg) for one in fine):
        angle = np.concatenate([one.angle_deg for one in fine])
        rising = np.argsort(angle, kind="stable")
        return replace(last, angle_deg=angle[rising], value_um=np.concatenate(values)[rising])
    drifts = [one.drift_um for one in fine if one.drift_um is not None]
    drift = float(np.mean(drifts)) if drifts else None
    return replace(last, value_um=np.mean(values, axis=0) + last.value_um.mean(), drift_um=drift, turns=len(fine))
