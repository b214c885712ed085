"""A cut on the car: what it takes off, what it leaves to wear, and what it needs to be known."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import ArrayLike

from sim import turn
from sim.errors import BadInput, Fault
from sim.parts.discard import SLIM_MM, is_stated
from sim.units import about_km
from sim.wear.forecast_words import NOT_STUDIED

if TYPE_CHECKING:
    from sim.parts.case import Case


@dataclass(frozen=True)
class Stock:
    """Metal that a rotor has left to give.

    Parameters
    ----------
    thickness_mm : float
        Measured with a micrometer. [mm]
    machine_to_mm : float
        Least thickness after a cut, the maker's value. [mm]
    discard_mm : float
        Thickness at which the rotor is scrap. [mm]
    wear_mm_per_km : tuple of float, optional
        Both faces together on the road: most likely, and low and high end of the 80 % band. [mm/km]
    """

    thickness_mm: float
    machine_to_mm: float
    discard_mm: float
    wear_mm_per_km: tuple[float, float, float] | None = None


@dataclass(frozen=True)
class Cut:
    """Cutting both friction faces true to the spin axis, on the car.

    Parameters
    ----------
    outboard_um, inboard_um : float
        Deepest cut of each face: its runout, plus what is taken over the whole face. [um]
    outboard_mean_um, inboard_mean_um : float
        Mean metal taken off each face. [um]
    thickness_mm : float
        Even thickness afterwards. [mm]
    left_mm : float
        That less the discard thickness: what is left to wear. [mm]
    possible : bool
        Whether the maker's least thickness after a cut is kept, and wear to speak of is left.
    refused : str
        Why not; empty where it is possible.
    notes : tuple of str
        What to mind.
    residual_um : tuple of float
        Runout that lathe and remounting leave, range. [um TIR]
    residual_source : str
        Where that range comes from.
    km_to_discard : tuple of float or None
        Distance to the discard thickness at the case's duty: most likely, and the 80 % band. [km]
    """

    outboard_um: float
    inboard_um: float
    outboard_mean_um: float
    inboard_mean_um: float
    thickness_mm: float
    left_mm: float
    possible: bool
    refused: str
    notes: tuple[str, ...]
    residual_um: tuple[float, float]
    residual_source: str
    km_to_discard: tuple[float, float, float] | None


CUT_NOTES = (
    "the cut is true on this hub, at this stud position, over this dirt only: clean first, mark stud and rotor",
    "a rotor cut on the car to take out a leaning hub runs out when it is fitted elsewhere",
)


# What an on-car lathe leaves by itself, and what taking it off and the wheel put on add. Judgement.
CUT_RESIDUAL_UM = (5.0, 25.0)


CUT_RESIDUAL_SOURCE = "judgement"
#: The least that a tool takes off a face in an even cut; below it it rubs. Common practice, no source; 50 .. 100. [um]
LIGHT_CUT_UM = 50.0
#: What a cut must leave over the maker's least thickness to be ordered: no micrometer and no lathe is surer of it.
#: Judgement, 0.005 .. 0.02. [mm]
SPARE_MM = 0.01
NO_WEAR_LEFT = "no wear to speak of over its discard thickness of"


def cut_on_car(outboard_um: ArrayLike, inboard_um: ArrayLike, stock: Stock, over_um: float = 0.0) -> Cut:
    """Metal that an on-car cut takes, and what is left to wear.

    Parameters
    ----------
    outboard_um, inboard_um : array_like, shape (k,)
        Mounted traces of the two faces, both + outboard; their means do not count. [um]
    stock : Stock
        Its ``thickness_mm`` is the mean of a rotor whose traces hold its thickness variation, else its thinnest place.
    over_um : float
        Taken off each face beyond the last low spot, to clean it up. [um]

    Returns
    -------
    Cut

    Raises
    ------
    BadInput
        For traces or thicknesses that cannot be.

    Notes
    -----
    Final thickness = lowest place of the outboard face less highest place of the inboard face. A rotor of even
    thickness loses exactly its runout; with thickness variation the loss of least thickness is at most that.

    Geometry of two plane cuts, none lighter than `LIGHT_CUT_UM`; what a lathe leaves is judgement, said with the
    answer.
    """
    out, into = np.asarray(outboard_um, dtype=float), np.asarray(inboard_um, dtype=float)
    if out.size == 0 or out.shape != into.shape:
        raise BadInput("an on-car cut needs the traces of both faces at the same angles")
    if not (stock.thickness_mm > 0.0 and stock.machine_to_mm >= stock.discard_mm > 0.0 and over_um >= 0.0):
        told = f"thickness {stock.thickness_mm:g} mm, to {stock.machine_to_mm:g} mm, discard {stock.discard_mm:g} mm"
        raise BadInput(Fault(told, key="stock", allowed="above 0; a cut goes no deeper than the discard thickness"))
    out, into = out - out.mean(), into - into.mean()
    mean_out, mean_in = (max(float(low) + over_um, LIGHT_CUT_UM) for low in (-out.min(), into.max()))
    final = stock.thickness_mm - (mean_out + mean_in) / 1000.0
    left = final - stock.discard_mm
    km = None
    if stock.wear_mm_per_km is not None:
        likely, low, high = (max(left, 0.0) / rate for rate in stock.wear_mm_per_km)
        km = (likely, high, low)  # the fastest wear gives the shortest distance
    refused = ""
    if final < stock.machine_to_mm:
        refused = f"it would leave {final:.2f} mm, less than the maker's {stock.machine_to_mm:g} mm"
    elif left < SLIM_MM:
        refused = f"it would leave {final:.2f} mm, {NO_WEAR_LEFT} {stock.discard_mm:g} mm"
    return Cut(
        outboard_um=turn.tir(out) + mean_out + float(out.min()),
        inboard_um=turn.tir(into) + mean_in - float(into.max()),
        outboard_mean_um=mean_out,
        inboard_mean_um=mean_in,
        thickness_mm=final,
        left_mm=left,
        possible=not refused,
        refused=refused,
        notes=CUT_NOTES,
        residual_um=CUT_RESIDUAL_UM,
        residual_source=CUT_RESIDUAL_SOURCE,
        km_to_discard=km,
    )


def no_cut(case: Case, thinnest_mm: float | None, varies_um: float) -> str:
    """Say that the lightest cut would leave no more than the maker allows, or no wear; empty where it need not.

    Parameters
    ----------
    case : Case
        Its maker's least thickness after a cut, and its discard thickness where its own file states it.
    thinnest_mm : float or None
        Thinnest place that was read; None for readings from any zero. [mm]
    varies_um : float
        How far the thickness varies. [um]

    Notes
    -----
    Geometry: the lightest cut (`LIGHT_CUT_UM` a face) off a rotor whose mean lies midway between its extremes. [mm]

    Examples
    --------
    >>> from sim.parts.case import Case, Rotor
    >>> no_cut(Case(rotor=Rotor(machine_to_thickness_mm=10.8)), 10.85, 20.0)
    'a cut would leave about 10.76 mm, its maker allows 10.8 mm at least'
    >>> no_cut(Case(), 10.85, 20.0)
    ''
    """
    if thinnest_mm is None:
        return ""
    least, discard = case.rotor.machine_to_thickness_mm, case.rotor.minimum_thickness_mm
    leaves = min(thinnest_mm, thinnest_mm + (varies_um / 2.0 - 2.0 * LIGHT_CUT_UM) / 1000.0)
    told = f"a cut would leave about {leaves:.2f} mm"
    if least is not None and leaves < least:
        return f"{told}, its maker allows {least:g} mm at least"
    if is_stated(case) and leaves < discard:
        told = told if round(leaves, 2) < discard else f"a cut would leave about {leaves:.3f} mm"
        return f"{told}, under its discard thickness of {discard:g} mm"
    if is_stated(case) and leaves < discard + SLIM_MM:
        return f"{told}, {NO_WEAR_LEFT} {discard:g} mm"
    if least is not None and leaves < least + SPARE_MM:
        return f"{told}, no surer over its maker's least, {least:g} mm, than lathe and micrometer are"
    return ""


def missing_for_cut(machine_to_mm: float | None, measured: bool) -> tuple[str, ...]:
    """Name what is not known that a cut on the car needs; empty where both are there."""
    missing = [] if machine_to_mm is not None else ["the maker's rotor.machine_to_thickness_mm"]
    return (*missing, *(() if measured else ("micrometer readings of the thickness itself",)))


def cut_words(cut: Cut) -> str:
    """Say what a cut leaves: thickness, wear to come, and the runout of the lathe itself."""
    road = ""
    if cut.km_to_discard is not None:
        likely, low, high = map(about_km, cut.km_to_discard)
        road = f", about {likely} of driving ({low} to {high}, {NOT_STUDIED})"
    low_um, high_um = cut.residual_um
    return (
        f"leaves {cut.thickness_mm:.2f} mm, {cut.left_mm:.2f} mm above discard{road}; lathe and remounting leave "
        f"{low_um:g} to {high_um:g} µm of runout ({cut.residual_source}), read it; only after cleaning and "
        "a look for cracks, eye cover on, swarf kept off bearing and sensor"
    )
