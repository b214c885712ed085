"""How far a rotor's thickness varies as a micrometer read it, and how that stands against its limit."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from sim.arrays import Floats
from sim.parts.dial import COVERAGE, TOO_CLOSE, against_limit

#: Of thickness in the workshop, standard deviation; judgement. [um]
MICROMETER_REPEATABILITY_UM = 2.0


def micrometer_sd_um(graduation_um: float) -> float:
    """Standard deviation of one reading: repeatability, and rounding to the graduation. [um].

    Examples
    --------
    >>> round(micrometer_sd_um(5.0), 2)
    2.47
    """
    return float(np.hypot(MICROMETER_REPEATABILITY_UM, graduation_um / math.sqrt(12.0)))


@dataclass(frozen=True)
class Uneven:
    """Thickness variation as read.

    Parameters
    ----------
    value_um : float
        Highest less lowest reading.
    doubt_um : float
        Its uncertainty (k = 2): two readings, so the root of two of one.
    limit_um : float
    """

    value_um: float
    doubt_um: float
    limit_um: float

    @property
    def state(self) -> str:
        """``below``, ``above`` or ``too close to tell``."""
        return against_limit(self.value_um, self.limit_um, self.doubt_um)

    @property
    def figure(self) -> str:
        """The value with its uncertainty, in whole micrometres.

        Examples
        --------
        >>> Uneven(14.9, 7.0, 15.0).figure
        '15 ± 7 µm'
        """
        return f"{self.value_um:.0f} ± {self.doubt_um:.0f} µm"

    @property
    def said(self) -> str:
        """The verdict, with what to do where there is none.

        Examples
        --------
        >>> Uneven(14.9, 7.0, 15.0).said
        '15 ± 7 µm: too close to the limit of 15 µm to tell; measure again with a finer micrometer'
        >>> Uneven(6.0, 7.0, 15.0).said
        '6 ± 7 µm: below the limit of 15 µm'
        """
        if self.state == TOO_CLOSE:
            again = "measure again with a finer micrometer"
            return f"{self.figure}: too close to the limit of {self.limit_um:g} µm to tell; {again}"
        return f"{self.figure}: {self.state} the limit of {self.limit_um:g} µm"


def uneven(thickness_um: Floats, sd_um: float, limit_um: float) -> Uneven:
    """Judge readings of one turn.

    Parameters
    ----------
    thickness_um : ndarray, shape (n,)
    sd_um : float
        Of one reading.
    limit_um : float

    Returns
    -------
    Uneven

    Notes
    -----
    All in um. The uncertainty is that of the difference of two readings, ``COVERAGE * sqrt(2) * sd_um``.
    """
    return Uneven(float(np.ptp(thickness_um)), COVERAGE * math.sqrt(2.0) * sd_um, limit_um)
