"""Whether a turn is another of the same thing without its minus signs: the pen made it odd, and no bearing."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from scipy.special import chdtri

from sim.files.clean_turn import CREEP_UM, reading_sd
from sim.files.reading_faults import TAIL
from sim.files.trace import Trace
from sim.one_thread import one_thread

#: So finely the nought is looked for at which the odd turn was read. [um]
STEP_UM = 1.0


def as_written(one: Trace, every: Sequence[Trace]) -> Trace:
    """Find a turn as it was written: places that slipped were taken out of it, nothing more.

    Parameters
    ----------
    one : Trace
    every : sequence of Trace
        Turns of the table as they were read.
    """
    return next((other for other in every if one.line and other.line == one.line), one)


@one_thread
def unsigned(odd: Trace, sound: Trace, dial_um: float) -> bool:
    """Whether a turn reads as another of the same places does without minus signs, which that one needs.

    Parameters
    ----------
    odd, sound : Trace
    dial_um : float
        Division of the dial. [um]

    Notes
    -----
    At whatever nought, to the step; chi-square of what two readings differ by (JCGM 100:2008), the dial's creep
    with it. [um]
    """
    if not np.array_equal(odd.angle_deg, sound.angle_deg) or odd.value_um.min() * odd.value_um.max() < 0.0:
        return False
    noughts = np.arange(-sound.value_um.max(), -sound.value_um.min(), STEP_UM)[1:]
    if not noughts.size:
        return False
    off = np.abs(sound.value_um + noughts[:, None]) - np.abs(odd.value_um)
    square = float((off**2).sum(axis=1).min()) / (2.0 * reading_sd(dial_um) ** 2 + CREEP_UM**2 / 6.0)
    return square <= float(chdtri(odd.value_um.size - 1, TAIL))
