"""Fits of bore and spigot after ISO 286: how much clearance a drawing allows.

A small table of the hole-basis fits that are met between a rotor's bore and a hub's spigot. Clearances are on diameter.
"""

from __future__ import annotations

import re
from bisect import bisect_left
from dataclasses import dataclass

from sim.errors import BadInput, Fault
from sim.units import shown

# ISO 286-1:2010, tables of standard tolerances and fundamental deviations, from memory; checked in the tests against an
# independent table. Upper ends of the steps of nominal size [mm]; values in um.
STEPS_MM = (30.0, 50.0, 80.0, 120.0, 180.0, 250.0)
GRADES = {
    6: (16, 19, 22, 25, 29),
    7: (25, 30, 35, 40, 46),
    8: (39, 46, 54, 63, 72),
    9: (62, 74, 87, 100, 115),
}
ABOVE = {  # shafts below their nominal size: distance of the upper limit, negative
    "d": (-80, -100, -120, -145, -170),
    "e": (-50, -60, -72, -85, -100),
    "f": (-25, -30, -36, -43, -50),
    "g": (-9, -10, -12, -14, -15),
    "h": (0, 0, 0, 0, 0),
}
BELOW = {  # shafts above it: distance of the lower limit
    "k": (2, 2, 3, 3, 4),
    "m": (9, 11, 13, 15, 17),
    "n": (17, 20, 23, 27, 31),
    "p": (26, 32, 37, 43, 50),
}
BY_FINE_GRADES_ONLY = "k"  # its deviation above holds up to grade 7
TAKEN = f"H with grade 6 .. 9 over one of {' '.join([*ABOVE, *BELOW])} with grade 6 .. 9, such as H8/f8"
CLEARANCE_FITS = f"a clearance fit: H with grade 6 .. 9 over one of {' '.join(ABOVE)} with grade 6 .. 9, such as H8/f8"
WRITTEN = re.compile(r"\s*H(\d{1,2})\s*/\s*([a-z])(\d{1,2})\s*\Z", re.ASCII)


@dataclass(frozen=True)
class Fit:
    """A fit at one nominal size.

    Parameters
    ----------
    name : str
        As on the drawing, such as ``H8/f8``.
    nominal_mm : float
        [mm]
    bore_mm, spigot_mm : tuple of float
        Smallest and largest diameter. [mm]
    clearance_um : tuple of float
        Smallest and largest clearance on diameter; negative where the spigot is the larger. [um]
    """

    name: str
    nominal_mm: float
    bore_mm: tuple[float, float]
    spigot_mm: tuple[float, float]
    clearance_um: tuple[float, float]

    @property
    def has_clearance(self) -> bool:
        """Whether the spigot is never the larger of the two."""
        return self.clearance_um[0] >= 0.0

    @property
    def middle_um(self) -> float:
        """Clearance on diameter half way between its limits. [um]. By definition."""
        return sum(self.clearance_um) / 2.0

    @property
    def radial_runout_um(self) -> tuple[float, float]:
        """Radial runout (TIR) of a rotor pushed fully to one side: the clearance itself, none where it is tight."""
        return max(self.clearance_um[0], 0.0), max(self.clearance_um[1], 0.0)


def fit_wrong(name: str) -> str:
    """Say what is wrong with the name of a fit; empty when it is in the table.

    Examples
    --------
    >>> fit_wrong("H8/f8"), fit_wrong("H8"), fit_wrong("H8/x8")
    ('', "'H8' is not a fit", "'H8/x8' is not in the table of fits")
    """
    if WRITTEN.match(name) is None:
        return f"{shown(name)} is not a fit"
    hole, letter, shaft = _read(name)
    known = hole in GRADES and shaft in GRADES and (letter in ABOVE or letter in BELOW)
    if not known or (letter in BY_FINE_GRADES_ONLY and shaft > 7):
        return f"{shown(name)} is not in the table of fits"
    return ""


def _read(name: str) -> tuple[int, str, int]:
    """Grade of the bore, letter and grade of the spigot."""
    found = WRITTEN.match(name)
    return (int(found[1]), found[2], int(found[3])) if found else (0, "", 0)


def fit(name: str, nominal_mm: float) -> Fit:
    """Limits of a hole-basis fit.

    Parameters
    ----------
    name : str
        ``H7`` ... ``H9`` over ``d e f g h k m n p`` and a grade, such as ``H8/f8``.
    nominal_mm : float
        Nominal diameter, over 30 up to 250. [mm]

    Returns
    -------
    Fit

    Raises
    ------
    BadInput
        If the fit or the size is not in the table.

    Notes
    -----
    ISO 286-1 and 286-2, the tables of the module.

    Examples
    --------
    >>> fit("H8/f8", 65.0).clearance_um
    (30.0, 122.0)
    """
    if reason := fit_wrong(name):
        raise BadInput(Fault(reason, key="fit", allowed=TAKEN))
    if not STEPS_MM[0] < nominal_mm <= STEPS_MM[-1]:
        reason = f"a nominal diameter of {nominal_mm:g} mm is outside the table of fits"
        raise BadInput(Fault(reason, key="fit", allowed="above 30, up to 250 mm"))
    hole, letter, shaft = _read(name)
    step = bisect_left(STEPS_MM, nominal_mm) - 1
    top = GRADES[hole][step]
    width = GRADES[shaft][step]
    high = ABOVE[letter][step] if letter in ABOVE else BELOW[letter][step] + width
    low = high - width
    return Fit(
        name=f"H{hole}/{letter}{shaft}",
        nominal_mm=float(nominal_mm),
        bore_mm=(nominal_mm, nominal_mm + top / 1000.0),
        spigot_mm=(nominal_mm + low / 1000.0, nominal_mm + high / 1000.0),
        clearance_um=(float(-high), float(top - low)),
    )
