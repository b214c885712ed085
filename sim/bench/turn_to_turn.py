"""How a hand and its dial scatter from turn to turn of one bare hub face, whatever the face itself looks like."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from sim import turn as ring
from sim.files.trace import Trace
from sim.one_thread import one_thread

#: Offset, lean and creep in a line of each turn have so many figures: what moved between two turns is no scatter.
LEAST = 4


@dataclass(frozen=True)
class Scatter:
    """What turns of one face differ by, place by place.

    Parameters
    ----------
    square_um2 : float
        Sum of squares. [um2]
    freedom : int
        Of how many figures; 0 where one turn alone was read, or turns at other places.
    """

    square_um2: float = 0.0
    freedom: int = 0

    def sd_um(self, usual_um: float, as_readings: int) -> float:
        """Standard deviation of one reading, with a usual one that counts as so many figures more.

        Parameters
        ----------
        usual_um : float
            [um]
        as_readings : int

        Notes
        -----
        Variances pooled by their degrees of freedom (JCGM 100:2008, H.3.6). [um]
        """
        return float(np.sqrt((as_readings * usual_um**2 + self.square_um2) / (as_readings + self.freedom)))


@one_thread
def turn_to_turn(turns: Sequence[Trace]) -> Scatter:
    """Find how turns of one face scatter.

    Parameters
    ----------
    turns : sequence of Trace
        That one dial read, first read first, at least one.

    Returns
    -------
    Scatter
        What each turn differs by from their mean, less an offset and a creep in a line of each.

    Notes
    -----
    Type A (JCGM 100:2008, 4.2). What every turn repeats, humps and a dial's error along its travel, is not in it. [um]
    """
    last = turns[-1]
    alike = [one for one in turns if not one.in_part and np.array_equal(one.angle_deg, last.angle_deg)]
    places = last.angle_deg.size
    if len(alike) < 2 or places <= LEAST:
        return Scatter()
    values = np.array([one.value_um for one in alike])
    apart = (values - values.mean(axis=0)).T
    moved = np.column_stack([ring.design_matrix(last.angle_deg, 1), last.angle_deg])
    rest = apart - moved @ np.linalg.lstsq(moved, apart, rcond=None)[0]
    return Scatter(float((rest**2).sum()), (len(alike) - 1) * (places - LEAST))
