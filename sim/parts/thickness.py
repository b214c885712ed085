"""How far a rotor's thickness varies as a micrometer read it, and how that stands against its limit."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from sim.arrays import Floats
from sim.errors import BadInput, Fault
from sim.parts.dial import COVERAGE, TOO_CLOSE, against_limit, beside_limit

#: Of thickness in the workshop, standard deviation; judgement. [um]
MICROMETER_REPEATABILITY_UM = 2.0
#: With divisions up to this the hand errs by more than the micrometer, and no finer one helps; judgement. [um]
FINE_UM = 2.0
#: Readings at every place whose mean still tells more: a fourth gains a seventh of what is left. Judgement.
MEAN_OF = 3
#: A rotor thicker than new by more than this all round is another car's, or its case is: wear only takes away. A
#: new one is a tenth or two over its nominal figure, coat and rust are less, a workshop micrometer is a hundredth off
#: (from memory); the next rotor that a maker lists is half a millimetre thicker or more. Judgement, 0.2 .. 0.5. [mm]
OVER_NEW_MM = 0.3


def micrometer_sd_um(graduation_um: float) -> float:
    """Standard deviation of one reading: repeatability, and rounding to the graduation (JCGM 100:2008). [um].

    Examples
    --------
    >>> round(micrometer_sd_um(5.0), 2)
    2.47
    """
    return float(np.hypot(MICROMETER_REPEATABILITY_UM, graduation_um / math.sqrt(12.0)))


def refuse_thicker(thinnest_mm: float | None, new_mm: float, file: str = "") -> None:
    """Stop at a rotor that was read thicker than this corner's when new: it is another car's.

    Parameters
    ----------
    thinnest_mm : float or None
        Thinnest place that was read: one place may be rust or misread; None for readings from any zero. [mm]
    new_mm : float
        [mm]
    file : str
        Of the readings.

    Raises
    ------
    BadInput
        Naming both thicknesses.
    """
    if thinnest_mm is not None and thinnest_mm > new_mm + OVER_NEW_MM:
        reason = (
            f"{thinnest_mm:.2f} mm at its thinnest does not lie on this corner, whose rotor is {new_mm:g} mm when new"
        )
        raise BadInput(
            Fault(reason, file=file, key="thickness", allowed=f"up to {new_mm + OVER_NEW_MM:g} mm, from the case")
        )


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
    between_um : float
        Of that uncertainty, what the tops of two humps a turn may stand over the places that were read; 0 for others.
    places : int
        That were read; 0 where that is not known.
    """

    value_um: float
    doubt_um: float
    limit_um: float
    between_um: float = 0.0
    places: int = 0

    @property
    def state(self) -> str:
        """``below``, ``above`` or ``too close to tell``."""
        return against_limit(self.value_um, self.limit_um, self.doubt_um)

    @property
    def finest(self) -> bool:
        """Whether it was read to `FINE_UM` or finer: no finer micrometer tells more."""
        one_sd = (self.doubt_um - self.between_um) / (COVERAGE * math.sqrt(2.0))
        return one_sd <= micrometer_sd_um(FINE_UM) * (1.0 + 1e-9)  # the way there and back rounds

    @property
    def mean_doubt_um(self) -> float:
        """Its uncertainty (k = 2) where every place is read `MEAN_OF` times and the mean counts. [um].

        Notes
        -----
        Independent readings: the root of their number (JCGM 100:2008); what lies between the places stays.
        """
        return (self.doubt_um - self.between_um) / math.sqrt(MEAN_OF) + self.between_um

    @property
    def again(self) -> str:
        """What is done where it is too close to its limit to tell.

        Examples
        --------
        >>> Uneven(14.9, 7.0, 15.0).again
        'measure again with a finer micrometer'
        >>> Uneven(14.9, 5.7, 15.0).again
        'no finer micrometer tells more: read every place 3 times, the means are sure to ± 3 µm; then the maker decides'
        """
        if self.finest:
            return (
                f"no finer micrometer tells more: read every place {MEAN_OF} times, the means are sure to "
                f"± {self.mean_doubt_um:.0f} µm; then the maker decides"
            )
        return "measure again with a finer micrometer"

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
        humps = ""
        if self.between_um >= 0.5:
            humps = f" (two humps: {self.places} places may miss {self.between_um:.0f} µm of their tops)"
        if self.state == TOO_CLOSE:
            again = self.again
            if humps:
                again += ", at more places" if not self.finest else "; more places tell more"
            return f"{self.figure}{humps}: too close to the limit of {self.limit_um:g} µm to tell; {again}"
        where = beside_limit(self.value_um, self.limit_um, self.state)
        return f"{self.figure}{humps}: {where} the limit of {self.limit_um:g} µm"


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
    All in um. The uncertainty is that of the difference of two readings, ``COVERAGE * sqrt(2) * sd_um``
    (JCGM 100:2008); where the
    second order is the larger of the first two, what even places can miss of it is added, as a bound.
    """
    value, places = float(np.ptp(thickness_um)), int(np.size(thickness_um))
    first, second = np.abs(np.fft.rfft(thickness_um))[1:3]
    between = value * (1.0 / two_hump_share(places) - 1.0) if second > first else 0.0
    return Uneven(value, COVERAGE * math.sqrt(2.0) * sd_um + between, limit_um, between, places)


def two_hump_share(places: int) -> float:
    """Least share of two humps a turn that even places show: highest less lowest, where they lie at their worst.

    Parameters
    ----------
    places : int
        Readings a turn, at least 5.

    Notes
    -----
    Closed form: both humps are read at the same k places of a hump, ``places / 2`` of them where that is whole, else
    ``places``. Then cos(pi / k) for even k, and cos(pi / 2k) squared for odd k, as ``sim.turn.sampling`` has it.

    Examples
    --------
    >>> round(two_hump_share(12), 3), round(two_hump_share(8), 3)
    (0.866, 0.707)
    """
    k = places // 2 if places % 2 == 0 else places
    return math.cos(math.pi / k) if k % 2 == 0 else math.cos(math.pi / (2 * k)) ** 2
