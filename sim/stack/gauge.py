"""What the gauge makes of the corners: its share of the limit, good ones rejected, bad ones passed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import ndtr

from sim.errors import BadInput, Fault
from sim.parts.dial import COVERAGE, Dial
from sim.stack.shares import seated_only
from sim.units import is_finite, is_number, shown

# Six standard deviations of the gauge against the limit: up to a tenth it sorts well, over three tenths it does not.
# Common practice of measurement systems analysis (AIAG MSA), from memory.
FINE, COARSE = 0.1, 0.3


@dataclass(frozen=True)
class Gauge:
    """Dial that corners are sorted by.

    Parameters
    ----------
    step_um : float
        Graduation. [um TIR]
    mounting_sd_um : float
        Standard deviation of the runout of one rotor that is taken off and put on again. [um TIR]
    source : str

    Raises
    ------
    BadInput
        For a step outside of 0.1 .. 100 um or a scatter outside of 0 .. 100 um.
    """

    step_um: float = 10.0
    mounting_sd_um: float = 0.0
    source: str = ""

    def __post_init__(self) -> None:
        faults = [
            Fault(f"{shown(getattr(self, name))} is out of range", key=name, allowed=f"{low:g} .. {high:g}")
            for name, low, high in (("step_um", 0.1, 100.0), ("mounting_sd_um", 0.0, 100.0))
            if not is_number(getattr(self, name))
            or not is_finite(getattr(self, name))
            or not low <= getattr(self, name) <= high
        ]
        if faults:
            raise BadInput(faults)

    @property
    def sd_um(self) -> float:
        """Standard deviation of one reading: the dial's own and putting on again. [um TIR]. JCGM 100:2008."""
        return float(np.hypot(Dial(step_um=self.step_um).doubt_um / COVERAGE, self.mounting_sd_um))

    def of_limit(self, limit_um: float) -> float:
        """Six standard deviations over the limit, as a gauge is told against a tolerance from 0 to the limit.

        No unit. AIAG MSA, from memory.
        """
        return 6.0 * self.sd_um / limit_um


@dataclass(frozen=True)
class Sorted:
    """What sorting by one reading does to corners.

    Parameters
    ----------
    accept_um : float
        A corner that reads more is rejected. [um TIR]
    passed_over : float
        Share of all corners over the limit that pass.
    rejected_within : float
        Share of all corners within the limit that are rejected.
    of_variation : float
        Standard deviation of the gauge over that of what is read, gauge included.
    """

    accept_um: float
    passed_over: float
    rejected_within: float
    of_variation: float


def sorting(values_um: ArrayLike, limit_um: float, gauge: Gauge, guard: float = 0.0) -> Sorted:
    """Share of corners that one reading sorts wrongly, over drawn true runouts.

    Parameters
    ----------
    values_um : array_like, shape (n,)
        True runouts; what is not a number is left out. [um TIR]
    limit_um : float
    gauge : Gauge
    guard : float
        How many standard deviations of the gauge the acceptance limit lies below the limit.

    Returns
    -------
    Sorted

    Raises
    ------
    BadInput
        For no values.

    Notes
    -----
    Global risks of JCGM 106:2012, 9.5 (quoted from memory): the probability of each outcome by the normal distribution
    of the reading about each true value, averaged over the values. Guard band after ISO 14253-1: two standard
    deviations. [um TIR]
    """
    kept = seated_only(values_um)
    accept = limit_um - guard * gauge.sd_um
    passes = ndtr((accept - kept) / gauge.sd_um)
    over = kept > limit_um
    whole = float(np.hypot(gauge.sd_um, np.std(kept)))
    return Sorted(
        accept,
        float(np.where(over, passes, 0.0).mean()),
        float(np.where(over, 0.0, 1.0 - passes).mean()),
        gauge.sd_um / whole,
    )
