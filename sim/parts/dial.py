"""How sure a dial is, and where what it shows stands against a limit."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sim.parts.middle_turn import as_many

if TYPE_CHECKING:
    from sim.arrays import Floats  # numpy would load with every --help: words ask here how a figure stands by its limit

BELOW, ABOVE, TOO_CLOSE = "below", "above", "too close to tell"
# What a dial may err by over the travel of a runout, and repeat within, by its division up to which each holds: largest
# errors of JIS B 7503:2011 (a maker's extract), taken as half-widths. A 0.01 mm dial turns a tenth for 100 um: 5 and 3;
# one of 0.001 mm half a turn, a tenth for 20 um: 2 to 3.5 and 3.5 to 5, taken as 3.5, and 0.5 to 1; of 0.002 mm 2.5 and
# 4.5, and 1. [um]
FINE_STEP_UM, FINE_UM, USUAL_UM = 3.0, (3.5, 1.0), (5.0, 3.0)
#: From this share of a division on, what repeats scatter carries the rounding with it; less, and every turn is rounded
#: alike. Judgement, 0.3 .. 0.5 (JCGM 100, F.2.2.1 and 4.3.7).
DITHERED = 0.4
#: A dial with larger divisions can be followed by a finer one; with these or finer another fitting moves a rotor more
#: than the dial errs. Judgement. [um]
COARSE_UM = 2.0
COVERAGE = 2.0  # expanded uncertainty, about 95 % (JCGM 100:2008)


@dataclass(frozen=True)
class Dial:
    """A dial gauge.

    Parameters
    ----------
    step_um : float
        Graduation. [um]
    turns : int
        Turns of one mount whose middle is meant.

    Notes
    -----
    What a dial of this division may err by is that of JIS B 7503:2011 as extracted in a maker's catalogue.

    Examples
    --------
    >>> [round(Dial(step).doubt_um, 1) for step in (10.0, 5.0, 2.0, 1.0)]
    [11.1, 8.6, 4.7, 4.4]
    """

    step_um: float = 10.0
    turns: int = 1

    @property
    def short_range_error_um(self) -> float:
        """Largest error over the travel of a runout, the half-width of a rectangular distribution. [um].

        JIS B 7503:2011, extract.
        """
        return (FINE_UM if self.step_um <= FINE_STEP_UM else USUAL_UM)[0]

    @property
    def repeatability_um(self) -> float:
        """Half-width of the spread of repeated readings. [um]. JIS B 7503:2011, extract."""
        return (FINE_UM if self.step_um <= FINE_STEP_UM else USUAL_UM)[1]

    @property
    def doubt_um(self) -> float:
        """Expanded uncertainty (k = 2) of a TIR read as the difference of two readings. [um].

        Notes
        -----
        JCGM 100:2008, type B, rectangular parts: half a graduation and the repeatability once for each of the two
        readings, the error of the travel between them once. The middle of turns lessens the first two, not the last.
        """
        one = (self.step_um / 2) ** 2 / 3 + self.repeatability_um**2 / 3
        return COVERAGE * math.sqrt(2 * one / as_many(self.turns) + self.short_range_error_um**2 / 3)


def as_read(values_um: Floats, step_um: float) -> Floats:
    """Readings as they are written down: to a step, nought at the first place. [um], by definition."""
    written: Floats = ((values_um - values_um[0]) / step_um).round() * step_um
    return written


def span_against_limit(low_um: float, high_um: float, limit_um: float) -> str:
    """Say where a span stands against a limit: below, above, or too close to tell. The one rule of every verdict."""
    if high_um <= limit_um:
        return BELOW
    if low_um >= limit_um:
        return ABOVE
    return TOO_CLOSE


def beside_limit(value_um: float, limit_um: float, state: str, digits: int = 0) -> str:
    """Say how a figure stands beside its limit as printed: where they look alike it is ``at`` it or ``just above``.

    Parameters
    ----------
    value_um, limit_um : float
        [um]
    state : str
        ``below``, ``above`` or ``too close to tell``.
    digits : int
        That the figure is printed with.

    Examples
    --------
    >>> beside_limit(50.0, 50.0, BELOW), beside_limit(50.3, 50.0, ABOVE), beside_limit(49.0, 50.0, BELOW)
    ('at', 'just above', 'below')
    """
    if state == TOO_CLOSE or round(value_um, digits) != round(limit_um, digits):
        return state
    return "at" if value_um <= limit_um else "just above"


def share_below(read_um: float, doubt_um: float, limit_um: float) -> float:
    """Probability that what was read lies under a limit, by that reading and its uncertainty alone.

    Parameters
    ----------
    read_um, doubt_um, limit_um : float
        The reading, its uncertainty (k = 2) and the limit. [um]

    Notes
    -----
    Normal distribution, JCGM 100:2008: `COVERAGE` standard deviations are the uncertainty.

    Examples
    --------
    >>> [round(share_below(read, 4.2, 50.0), 2) for read in (45.8, 50.0, 51.0)]
    [0.98, 0.5, 0.32]
    """
    return 0.5 * math.erfc(COVERAGE * (read_um - limit_um) / (doubt_um * math.sqrt(2.0)))


def against_limit(value_um: float, limit_um: float, doubt_um: float) -> str:
    """Say where a value stands against a limit with this uncertainty: see `span_against_limit`."""
    return span_against_limit(value_um - doubt_um, value_um + doubt_um, limit_um)
