"""The discard thickness: a rotor under it is scrap, whatever else its readings say."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from sim.errors import Scrap
from sim.parts.case import Case, Rotor

#: Readings above this are the thickness itself, as a micrometer shows it; below, from any zero. Judgement. [um]
ABSOLUTE_UM = 1000.0
#: Both rotors of an axle are renewed together, so that it brakes evenly. Common practice, no source.
SCRAP = "scrap, renew it; in axle pairs"
#: So close above the discard thickness a rotor has no wear to speak of left: thinner places are missed, micrometers
#: differ by hundredths, and a set of pads takes more. Judgement. [mm]
SLIM_MM = 0.1
GO_ON = "put that figure into a case file of your own, rotor.minimum_thickness_mm, and ask again"


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


def is_stated(case: Case) -> bool:
    """Whether the user's own case file states the discard thickness; a part set's is not that of the rotor at hand."""
    return case.where_from("rotor", "minimum_thickness_mm") == "the case file"


def scrap_words(case: Case, thinnest_mm: float | None) -> str:
    """Say of a measured rotor that it is scrap, or may be, by a stamp that nobody gave; empty where it is not.

    Parameters
    ----------
    case : Case
        Its discard thickness counts as the rotor's own only where the user's case file states it.
    thinnest_mm : float or None
        Thinnest place that was measured; None for readings from any zero. One just at it counts. [mm]

    Returns
    -------
    str
    """
    if thinnest_mm is None:
        return ""
    if is_stated(case):
        return scrap_reason(case.rotor, thinnest_mm, at_too=True)
    least = case.rotor.minimum_thickness_mm
    if thinnest_mm > least:
        return ""
    told = f"{thinnest_mm:.2f}" if thinnest_mm == least or round(thinnest_mm, 2) < least else f"{thinnest_mm:.4f}"
    return (
        f"{told} mm is {'at' if thinnest_mm == least else 'under'} {least:g} mm, the discard thickness of the part set "
        f"and not of your rotor: read the figure stamped on your rotor; at or under it the rotor is {SCRAP}"
    )


def is_slim(case: Case, thinnest_mm: float | None) -> bool:
    """Whether a measured rotor is so near its discard thickness that no wear to speak of is left. [mm]."""
    return thinnest_mm is not None and thinnest_mm - case.rotor.minimum_thickness_mm < SLIM_MM


def not_told(case: Case, thinnest_mm: float | None, half_mm: float) -> str:
    """Say of a rotor over its stated discard thickness by less than its micrometer is sure to that it counts as scrap.

    Parameters
    ----------
    case : Case
    thinnest_mm : float or None
        Thinnest place that was measured; None for readings from any zero.
    half_mm : float
        Its uncertainty (k = 2).

    Returns
    -------
    str
        Empty where it is told, or nobody stated that figure.

    Notes
    -----
    A rule; `sim.parts.thickness.thick_half_mm` gives the uncertainty. [mm]
    """
    least = case.rotor.minimum_thickness_mm
    if thinnest_mm is None or not is_stated(case) or not least < thinnest_mm < least + half_mm:
        return ""
    return (
        f"{thinnest_words(thinnest_mm, half_mm)} cannot be told from the discard thickness of {least:g} mm: "
        f"count it as {SCRAP}. Only a finer measurement that reads it over that figure keeps it on"
    )


def thinnest_words(thinnest_mm: float, half_mm: float) -> str:
    """Say the thinnest place that was read, with its uncertainty (k = 2): the same in every command. [mm].

    Examples
    --------
    >>> thinnest_words(11.604, 0.0066)
    '11.604 ± 0.007 mm (k = 2)'
    """
    return f"{thinnest_mm:.3f} ± {half_mm:.3f} mm (k = 2)"


def discard_words(case: Case | None, thinnest_mm: float | None, half_mm: float = 0.0) -> str:
    """Say how a rotor stands against its discard thickness; one sentence for every command that reads a thickness.

    Parameters
    ----------
    case, thinnest_mm
        As for `scrap_words`; no case where no corner was named: then nothing is known but what was measured.
    half_mm : float
        Uncertainty (k = 2) of the thinnest place; nought where it is not said.

    Returns
    -------
    str

    Examples
    --------
    >>> discard_words(Case(), None)
    'thickness itself not known, discard NOT checked: measure it; at or under the figure stamped on it a rotor is scrap'
    >>> discard_words(None, 10.4)
    "10.40 mm at its thinnest: discard not checked against your rotor's stamp; at or under it the rotor is scrap"
    """
    stated = case is not None and is_stated(case)
    least = "" if case is None or not stated else f"its discard thickness of {case.rotor.minimum_thickness_mm:g} mm"
    if thinnest_mm is None:
        stamp = least or "the figure stamped on it"
        return f"thickness itself not known, discard NOT checked: measure it; at or under {stamp} a rotor is scrap"
    told = thinnest_words(thinnest_mm, half_mm) if half_mm else f"{thinnest_mm:.2f} mm"
    told += " at its thinnest"
    if case is None:
        return f"{told}: discard not checked against your rotor's stamp; at or under it the rotor is scrap"
    scrap = scrap_words(case, thinnest_mm)
    if scrap:
        return scrap
    if is_slim(case, thinnest_mm):
        near = f"{told}, {thinnest_mm - case.rotor.minimum_thickness_mm:.{3 if half_mm else 2}f} mm above"
        if stated:
            return f"{near} {least}: no wear to speak of is left, at or under it the rotor is {SCRAP}"
        return (
            f"{near} the part set's discard thickness of {case.rotor.minimum_thickness_mm:g} mm: read the figure "
            f"stamped on your rotor; so near to it no wear to speak of is left, at or under it the rotor is {SCRAP}"
        )
    if stated:
        return f"{told}, scrap at or under {least}"
    figure = case.rotor.minimum_thickness_mm
    return (
        f"{told}, {thinnest_mm - figure:.2f} mm above {figure:g} mm, the discard thickness of the part set; the stamp "
        "on your rotor decides, at or under it the rotor is scrap"
    )


def scrap_or_else(case: Case, thinnest_mm: float | None) -> str:
    """Say as `scrap_words`, and where a stamp decides that nobody gave, what is done if it clears the rotor. [mm]."""
    reason = scrap_words(case, thinnest_mm)
    return reason if not reason or is_stated(case) else f"{reason}; else {GO_ON}"


def refuse_thin(case: Case, thinnest_mm: float, where: str, half_mm: float = 0.0) -> None:
    """Stop at a measured rotor that is scrap, or may be; with its uncertainty (k = 2) [mm] also where that is not told.

    Raises
    ------
    Scrap
        With what `scrap_or_else` or `not_told` says.
    """
    reason = scrap_or_else(case, thinnest_mm) or not_told(case, thinnest_mm, half_mm)
    if reason:
        raise Scrap(where, reason, thinnest_mm)


def refuse_scrap(case: Case, thickness_mm: float | None = None, where: str = "", at_too: bool = False) -> None:
    """Stop at a rotor that is scrap, or may be by a stamp that nobody gave.

    Parameters
    ----------
    case : Case
    thickness_mm, at_too
        As for `scrap_reason`.
    where : str
        File or key that the thickness comes from.

    Raises
    ------
    Scrap
        Naming both thicknesses, as `scrap_words`.
    """
    if scrap_reason(case.rotor, thickness_mm, at_too):
        thinnest_mm = case.rotor.thickness_mm if thickness_mm is None else thickness_mm
        raise Scrap(where, scrap_words(case, thinnest_mm), thinnest_mm)


def refuse_scrap_case(case: Case, where: str) -> None:
    """Stop at a case whose rotor, as given, is under its discard thickness; the error holds the case.

    Raises
    ------
    Scrap
        Naming both thicknesses. [mm]
    """
    thickness = case.rotor.thickness_mm
    if scrap_reason(case.rotor):
        raise Scrap(where, scrap_words(case, thickness), thickness, case)
