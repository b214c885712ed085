"""Which turns of the micrometer count: the last, and with it those that read the same places again and agree."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from sim.arrays import Floats
from sim.files.reading_faults import Turn, read_twice
from sim.files.trace import Trace
from sim.parts.thickness import MEAN_OF, mean_of_turns, micrometer_sd_um

#: Turns of one rotor are that near each other all round: a hand and its micrometer's zero differ by less, two rotors or
#: a worn one by more. Judgement, 10 .. 30. [um]
SAME_ROTOR_UM = 20.0

#: One place further off the others' than that many standard deviations of a reading is misread, not scatter: a turn of
#: twelve places has one by chance in fewer than a hundred. Judgement, 4.5 .. 6.
MISREAD_SDS = 5.0


def counted(turns: Sequence[Trace], graduation_um: float) -> Trace:
    """Mean of the turns that count.

    Parameters
    ----------
    turns : sequence of Trace
        Thickness, in the sequence of the file, at least one. [um]
    graduation_um : float
        Division of the micrometer that read the last. [um]

    Returns
    -------
    Trace
        The last turn, or the mean of those that read the same places in the same mount and state with the same
        micrometer and agree; with their number and the standard deviation of one of its values.

    Notes
    -----
    A turn that differs from the others by more than a micrometer scatters is no repeat, somebody slipped:
    `sim.files.reading_faults.read_twice`; the mean is that of `sim.parts.thickness.mean_of_turns`.
    """
    last = turns[-1]
    same = [one for one in turns if _read_as(one, last)]
    agree = _agreeing(same, graduation_um)
    mean, sd = mean_of_turns(np.array([one.value_um for one in agree]), graduation_um)
    return last if len(agree) == 1 else replace(last, value_um=mean, turns=len(agree), noise_um=sd)


def _read_as(one: Trace, last: Trace) -> bool:
    """Whether a turn was read where and as the last one was, on what may be the same rotor."""
    how = [(t.mount, t.studs_turned, t.state, t.corner, t.dial_um) for t in (one, last)]
    if how[0] != how[1] or not np.array_equal(one.angle_deg, last.angle_deg):
        return False
    return abs(float(one.value_um.mean() - last.value_um.mean())) <= SAME_ROTOR_UM


def _agreeing(same: Sequence[Trace], graduation_um: float) -> Sequence[Trace]:
    """Those that agree with the last of two, or with the middle one of more at every place; else all, as they scatter.

    Nobody reads on for ever because his hand scatters: the mean of all is then as unsure as they are apart.
    """
    last = same[-1]
    middle = last.value_um if len(same) < MEAN_OF else np.median([one.value_um for one in same], axis=0)
    reference = Turn(last.kind, last.kind, last.angle_deg, middle)
    agree = [
        one
        for one in same
        if read_twice(Turn(one.kind, one.kind, one.angle_deg, one.value_um), reference, graduation_um) is None
        and not (len(same) >= MEAN_OF and _misread(one.value_um - middle, graduation_um))
    ]
    if len(same) < MEAN_OF or len(agree) >= MEAN_OF or (len(agree) > 1 and len(same) < 2 * MEAN_OF):
        return agree
    return same


def _misread(off_um: Floats, graduation_um: float) -> bool:
    """Whether one place of a turn stands off, which the others of that place do not bear out. [um]."""
    apart = np.abs(off_um - np.median(off_um))
    return bool(apart.max() > MISREAD_SDS * micrometer_sd_um(graduation_um) > np.partition(apart, -2)[-2])
