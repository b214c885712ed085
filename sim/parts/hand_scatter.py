"""How far a hand's turns of one thing scatter: by pairs of turns, so that one odd turn among them says nothing."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import combinations

from sim.arrays import Floats
from sim.parts.thickness import MOST_OF, SHAKY, micrometer_sd_um


def pairs_um(turns_um: Sequence[Floats]) -> tuple[float, ...]:
    """Standard deviation of one reading by each pair of turns, rising. [um].

    Parameters
    ----------
    turns_um : sequence of ndarray, shape (k,)
        Readings at the same places; turns at others than the last are left out.

    Notes
    -----
    Two readings of a place differ by the root of two of one's; each turn about its own level (JCGM 100:2008).

    Examples
    --------
    >>> import numpy as np
    >>> pairs_um([np.array([0.0, 1.0, 2.0]), np.array([5.0, 6.0, 7.0])]), pairs_um([np.zeros(3)])
    ((0.0,), ())
    """
    there = [one - one.mean() for one in turns_um if one.shape == turns_um[-1].shape]
    return tuple(
        sorted(
            math.sqrt(float(((one - other) ** 2).sum()) / (2.0 * (one.size - 1)))
            for one, other in combinations(there, 2)
        )
    )


def shaky_sd_um(turns_um: Sequence[Floats], graduation_um: float) -> float:
    """Standard deviation of one reading of a hand whose turns scatter by more than its micrometer; else nought. [um].

    Parameters
    ----------
    turns_um : sequence of ndarray, shape (k,)
    graduation_um : float
        Division of the micrometer. [um]

    Notes
    -----
    All pairs scatter by more than `sim.parts.thickness.SHAKY` times that, of `MOST_OF` turns and more three pairs of
    four: two odd turns of five leave three pairs of ten that agree. Then the middle one of the pairs; judgement.

    Examples
    --------
    >>> import numpy as np
    >>> odd = [np.arange(12.0), np.arange(12.0), 9.0 * np.arange(12.0)]
    >>> shaky_sd_um(odd, 1.0), round(shaky_sd_um(odd[1:], 1.0))
    (0.0, 20)
    """
    each = pairs_um(turns_um)
    least = len(each) // 4 if len(turns_um) >= MOST_OF else 0
    if not each or each[least] <= SHAKY * micrometer_sd_um(graduation_um):
        return 0.0
    return each[len(each) // 2]
