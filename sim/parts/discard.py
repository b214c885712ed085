"""The discard thickness: a rotor under it is scrap, whatever else its readings say."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sim.errors import Refused
from sim.parts.case import Rotor

#: Readings above this are the thickness itself, as a micrometer shows it; below, from any zero. Judgement. [um]
ABSOLUTE_UM = 1000.0
#: Both rotors of an axle are renewed together, so that it brakes evenly. Common practice, no source.
SCRAP = "scrap, renew it; in axle pairs"


def is_absolute(thickness_um: NDArray[np.float64]) -> bool:
    """Whether readings are the thickness itself, as a micrometer shows it, and not from any zero. [um]."""
    return bool(thickness_um.min() > ABSOLUTE_UM)


def scrap_reason(rotor: Rotor, thickness_mm: float | None = None, at_too: bool = False) -> str:
    """Say why a rotor is scrap; empty where it is not.

    Parameters
    ----------
    rotor : Rotor
        ``minimum_thickness_mm`` is its discard thickness.
    thickness_mm : float, optional
        Thinnest place that was measured; the rotor's own thickness unless given. [mm]
    at_too : bool
        Whether a rotor that is just at it counts: there is nothing left to wear.

    Returns
    -------
    str

    Examples
    --------
    >>> scrap_reason(Rotor(), 9.6)
    '9.60 mm is under the discard thickness of 10 mm: scrap, renew it; in axle pairs'
    >>> scrap_reason(Rotor(), 10.4)
    ''
    """
    thickness = rotor.thickness_mm if thickness_mm is None else thickness_mm
    least = rotor.minimum_thickness_mm
    if thickness < least:
        told = f"{thickness:.2f}" if round(thickness, 2) < least else f"{thickness:.4f}"
        return f"{told} mm is under the discard thickness of {least:g} mm: {SCRAP}"
    if at_too and thickness == least:
        return f"{thickness:.2f} mm is the discard thickness, nothing is left to wear: {SCRAP}"
    return ""


def refuse_scrap(rotor: Rotor, thickness_mm: float | None = None, where: str = "", at_too: bool = False) -> None:
    """Stop at a rotor that is scrap.

    Parameters
    ----------
    rotor, thickness_mm, at_too
        As for `scrap_reason`.
    where : str
        File or key that the thickness comes from.

    Raises
    ------
    Refused
        Naming both thicknesses.
    """
    reason = scrap_reason(rotor, thickness_mm, at_too)
    if reason:
        raise Refused(f"{where}: {reason}" if where else reason)
