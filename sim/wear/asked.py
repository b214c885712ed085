"""What a drive is asked for: trace, worn map, distance, how it is computed; refused before anything is computed."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np

from sim.arrays import Floats
from sim.errors import BadInput, Fault, Refused
from sim.parts.case import Case, Rotor
from sim.parts.discard import refuse_scrap
from sim.parts.thickness import Uneven
from sim.parts.worn_pads import worn_out
from sim.turn import tir
from sim.units import is_number, shown
from sim.wear.brake import Fineness
from sim.wear.distances import FURTHEST_KM
from sim.wear.draws import Evidence, check_evidence

#: More than this is a slip of units, not a runout.
MOST_RUNOUT_UM = 5000.0


@dataclass(frozen=True)
class Settings:
    """How a drive is computed.

    Parameters
    ----------
    draws, seed : int
        Draws behind the band (0 = no band; at least 200 for one that is shown), and their seed.
    points : int
        Distances reported.
    runout_radius_mm : float, optional
        Where the runout was read; the dial's radius unless given.
    evidence : tuple of Evidence
        Measurements that narrow the band.
    wear_out : bool
        Stop at discard thickness or worn pads.
    fineness : Fineness
    worn_varies : Uneven, optional
        What a micrometer read of a disc that starts worn: its uncertainty widens the band.
    """

    draws: int = 256
    seed: int = 1
    points: int = 121
    runout_radius_mm: float | None = None
    evidence: tuple[Evidence, ...] = ()
    wear_out: bool = True
    fineness: Fineness = field(default_factory=Fineness)
    worn_varies: Uneven | None = None

    @property
    def starts_um(self) -> Floats | None:
        """What each draw starts at, where a micrometer read it; else None. By `Uneven.may_be_um`. [um]."""
        return None if self.worn_varies is None or not self.draws else self.worn_varies.may_be_um(self.draws)


def faces_from_thickness(thickness_um: Floats) -> Floats:
    """Share a thickness map equally between the faces, as wear below the highest place.

    Parameters
    ----------
    thickness_um : ndarray, shape (n,)
        Thickness over one turn, any zero. [um]

    Returns
    -------
    ndarray, shape (2, n)
        Worn depth of the outboard and inboard face, for ``drive``. [um]

    Notes
    -----
    Judgement: what a thickness says of the two faces is only their sum.
    """
    thickness = np.asarray(thickness_um, dtype=float)
    half = 0.5 * (thickness.max() - thickness)
    return np.stack([half, half])


def own_heights_mm(rotor: Rotor, count: int = 360) -> Floats:
    """Heights of both faces of a new rotor: its own thickness variation, first order, shared equally. [mm].

    Returns
    -------
    ndarray, shape (2, count)

    Notes
    -----
    Judgement: a first order, shared equally, since a thickness says no more.
    """
    theta = 2.0 * math.pi * np.arange(count) / count
    half = 0.25e-3 * rotor.own_thickness_variation_um * np.cos(theta - math.radians(rotor.own_thick_spot_deg))
    return np.stack([half, half])


def need_trace(runout_um: Floats) -> Floats:
    """Runout as real numbers, refusing what is none. [um].

    Raises
    ------
    BadInput
    """
    trace = np.asarray(runout_um)
    if trace.dtype.kind not in "iuf":
        raise BadInput(Fault("the runout trace holds values that are not numbers", key="runout"))
    return trace.astype(float)


def need_others(trace: Floats, others_um: Floats) -> Floats:
    """Traces that stand for an unsure mounting, shape (k, n), refusing what is none. [um].

    Raises
    ------
    BadInput
    """
    others = np.asarray(others_um, dtype=float)
    if others.ndim != 2 or others.shape[1] != trace.size or not np.isfinite(others).all() or not len(others):
        raise BadInput(
            Fault("traces that may be instead need rows like the trace", key="others", allowed=f"(k, {trace.size})")
        )
    return others


def _far(km: float) -> list[Fault]:
    if is_number(km) and 0.0 < km <= FURTHEST_KM:
        return []
    return [Fault(f"distance {shown(km)} km", key="km", allowed=f"above 0, to {FURTHEST_KM:g}")]


def need_distance(km: float) -> None:
    """Refuse a distance that cannot be driven, before anything is computed. [km].

    Raises
    ------
    BadInput
    """
    if faults := _far(km):
        raise BadInput(faults)


def need_drivable(case: Case, runout_um: Floats, km: float, settings: Settings) -> None:
    """Refuse what cannot be driven.

    Parameters
    ----------
    case : Case
    runout_um : ndarray, shape (n,)
        Trace over one turn. [um]
    km : float
        Distance. [km]
    settings : Settings

    Raises
    ------
    BadInput
        For a distance, a trace or settings that cannot be.
    Refused
        For a rotor at or under its discard thickness, or pads that are worn out.
    """
    faults = _far(km)
    if runout_um.ndim != 1 or runout_um.size < 8:
        faults.append(
            Fault("a runout trace needs one turn of equally spaced values", key="runout", allowed="8 or more")
        )
    elif not np.all(np.isfinite(runout_um)):
        faults.append(Fault("the runout trace holds values that are not numbers", key="runout"))
    elif tir(runout_um) > MOST_RUNOUT_UM:
        reason = f"runout {tir(runout_um):g} µm: was it given in another unit?"
        faults.append(Fault(reason, key="runout", allowed=f"to {MOST_RUNOUT_UM:g} µm"))
    if settings.draws < 0 or settings.points < 2:
        faults.append(Fault("draws below 0 or points below 2", key="settings"))
    if faults:
        raise BadInput(faults)
    refuse_scrap(case, where="rotor.thickness_mm", at_too=True)
    if worn := worn_out(case):
        raise Refused(f"pads.thickness_mm: {worn}")
    for item in settings.evidence:
        check_evidence(item, FURTHEST_KM)


def heights_at_first_mm(case: Case, worn_um: Floats | None) -> Floats:
    """Heights of both faces before the first kilometre: as worn, else a new rotor's own. [mm].

    Parameters
    ----------
    case : Case
    worn_um : ndarray, shape (2, n), or None
        Worn depth of the outboard and the inboard face. [um]

    Returns
    -------
    ndarray, shape (2, n)

    Raises
    ------
    BadInput
        For a map that is none.
    Refused
        Where its thinnest place is at or under the discard thickness.
    """
    if worn_um is None:
        return own_heights_mm(case.rotor)
    worn = np.asarray(worn_um, dtype=float)
    if worn.ndim != 2 or worn.shape[0] != 2 or worn.shape[1] < 8 or not np.all(np.isfinite(worn)):
        raise BadInput(Fault("a worn map needs two rows of finite values, one turn each", key="worn", allowed="(2, n)"))
    if worn.min() < 0.0:
        raise BadInput(Fault(f"thicker than new by {-worn.min():g} µm", key="worn", allowed="worn depths of 0 or more"))
    refuse_scrap(case, case.rotor.thickness_mm - 1e-3 * float(worn.sum(axis=0).max()), "thinnest place", True)
    return -1e-3 * worn
