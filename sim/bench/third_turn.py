"""Whether a third turn of a bare hub face near its limit can still take the middle over it; else none is asked.

A face within its uncertainty of its limit is read three times, and under the limit by their middle it is left on. Two
turns that agree may stand so far under it that the third hardly changes what comes of it: it costs minutes for nothing.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from sim.bench.turn_to_turn import Scatter
from sim.files.clean_turn import reading_sd
from sim.files.trace import Trace
from sim.parts.dial import COVERAGE
from sim.parts.middle_turn import as_many
from sim.parts.thickness import MEAN_OF

#: A usual dial's scatter counts as that of so many readings beside a hand's own; judgement, 2 .. 8.
AS_READINGS = 4
#: Two turns whose leans are apart by more than so many of one turn's standard deviations may hold an odd one, and then
#: the third tells which: of two that scatter as usual one pair in five is asked on. Judgement, 2 .. 3.
APART_SDS = 2.5


def one_turn_um(trace: Trace, dial_um: float, own: Scatter) -> float:
    """Standard deviation of the runout of one turn by its lean, as turns scatter: hand, rounding and creep. [um TIR].

    Parameters
    ----------
    trace : Trace
        One turn, or the middle of several.
    dial_um : float
        Its step. [um]
    own : Scatter
        How the turns scatter.

    Notes
    -----
    Least squares of even places: a component has the variance 2 sd^2 / places, a creep of d adds d/pi to one of two
    (closed forms; JCGM 100:2008).
    """
    sd_um = own.sd_um(reading_sd(dial_um), AS_READINGS)
    return 2.0 * math.hypot(sd_um * math.sqrt(2.0 / trace.angle_deg.size), trace.creep_um / (math.pi * math.sqrt(2.0)))


def third_hardly_matters(leans: Sequence[complex], runout_um: float, limit_um: float, one_um: float) -> bool:
    """Whether two turns agree, each under the limit, and their middle so far that a third hardly takes it over.

    Parameters
    ----------
    leans : sequence of complex
        First order of each turn by itself. [um]
    runout_um, limit_um : float
        Of their middle, and its limit. [um TIR]
    one_um : float
        Standard deviation of one turn, of `one_turn_um`. [um TIR]

    Notes
    -----
    The median of three, less the mean of two of them, has the variance v(3) + 1/2 - 2/3 of one turn's: a median's
    covariance with a mean is that mean's variance (closed form; v: `sim.parts.middle_turn`); k = 2 (JCGM 100:2008).
    """
    if len(leans) != MEAN_OF - 1 or any(2.0 * abs(one) > limit_um for one in leans):
        return False
    agree = 2.0 * abs(leans[0] - leans[1]) <= APART_SDS * one_um
    change_um = one_um * math.sqrt(1.0 / as_many(MEAN_OF) + 1.0 / 2.0 - 2.0 / MEAN_OF)
    return bool(agree and runout_um + COVERAGE * change_um <= limit_um)
