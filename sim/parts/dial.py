"""How sure a dial is, and where what it shows stands against a limit."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from sim.arrays import Floats  # numpy would load with every --help: words ask here how a figure stands by its limit

BELOW, ABOVE, TOO_CLOSE = "below", "above", "too close to tell"
COVERAGE = 2.0  # expanded uncertainty, about 95 % (JCGM 100:2008)


@dataclass(frozen=True)
class Dial:
    """A dial gauge.

    Parameters
    ----------
    step_um : float
        Graduation. [um]
    short_range_error_um : float
        Largest error over a short travel, taken as the half-width of a rectangular distribution. [um]
    repeatability_um : float
        Half-width of the spread of repeated readings. [um]

    Notes
    -----
    Defaults: a 0.01 mm dial after JIS B 7503:2011 as extracted in a maker's catalogue: repeatability 3 um, a tenth of a
    revolution 5 um.
    """

    step_um: float = 10.0
    short_range_error_um: float = 5.0
    repeatability_um: float = 3.0

    @property
    def doubt_um(self) -> float:
        """Expanded uncertainty (k = 2) of a TIR read as the difference of two readings. [um].

        Notes
        -----
        JCGM 100:2008, type B, rectangular parts: half a graduation and the repeatability once for each of the two
        readings, the error of the travel between them once.
        """
        one = (self.step_um / 2) ** 2 / 3 + self.repeatability_um**2 / 3
        return COVERAGE * math.sqrt(2 * one + self.short_range_error_um**2 / 3)


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


def against_limit(value_um: float, limit_um: float, doubt_um: float) -> str:
    """Say where a value stands against a limit with this uncertainty: see `span_against_limit`."""
    return span_against_limit(value_um - doubt_um, value_um + doubt_um, limit_um)
