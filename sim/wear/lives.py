"""How long disc and pads last at one duty, with the doubt of the wear coefficients that this rests on."""

from __future__ import annotations

import math

import numpy as np

from sim.arrays import Floats
from sim.parts.case import Case
from sim.uniform_draws import evenly_about
from sim.wear.brake import brake_of
from sim.wear.disc import WearProblem, pad_volume
from sim.wear.draws import Draws
from sim.wear.ranges import RANGES
from sim.wear.worn_state import thickness_of
from sim.weighted import quantile

Band = tuple[float, float]

#: Wear of linings, from memory. [mm3/(N m)]
PAD_WEAR_RANGE = (1.0e-5, 5.0e-5)
#: What is worn out first, by name.
DISCARD, WORN_PADS = "discard thickness", "worn pads"
#: A disc or pad that loses less than this over the distance tells nothing of its life. [mm]
LEAST_WORN_MM = 1.0e-9


def true_wear_mm_per_km(case: Case) -> tuple[float, float, float]:
    """Thickness that a rotor loses a kilometre where it runs true: only the brake wears it, both faces.

    Parameters
    ----------
    case : Case
        Pads and duty.

    Returns
    -------
    tuple of float
        Most likely, and low and high end of the 80 % band over the range of the wear coefficient. [mm/km]

    Notes
    -----
    Archard: each face loses k p r arc a turn while it is braked, here at the gauge radius, where thickness is measured.
    """
    brake = brake_of(case)
    radius = min(max(case.gauge_radius_mm, brake.inner_radius_mm), brake.outer_radius_mm)
    turn = brake.brake_share * (1.0 - brake.adherence) * brake.pressure_mpa * radius * brake.arc_rad
    each = 2.0 * turn * case.drive.revolutions_per_km
    known = next(item for item in RANGES if item.field == "disc_wear")
    low, high = math.log(min(known.low, 1.0)), math.log(max(known.high, 1.0))
    ends = np.exp(evenly_about(np.array([0.1, 0.9]), low, 0.0, high))
    return each * brake.disc_wear, each * brake.disc_wear * float(ends[0]), each * brake.disc_wear * float(ends[1])


def spent(case: Case, problem: WearProblem, state: Floats) -> str:
    """What is worn out in a state: ``discard thickness``, ``worn pads``, or empty.

    Thicknesses in mm, held against the maker's and the case's least; by definition.
    """
    thinnest = case.rotor.thickness_mm + float(thickness_of(problem, state[None]).min())
    if thinnest <= case.rotor.minimum_thickness_mm:
        return DISCARD
    worn = pad_volume(problem, state) / problem.brake.area_mm2
    return WORN_PADS if case.pads.thickness_mm - float(worn.max()) <= case.pads.worn_out_mm else ""


def spent_share(case: Case, problem: WearProblem, state: Floats) -> float:
    """How much of what may wear is worn, of the disc or the pads, whichever is nearer its end: 1 is worn out.

    No unit; thicknesses as `spent` holds them, by definition.
    """
    disc = -float(thickness_of(problem, state[None]).min()), case.rotor.thickness_mm - case.rotor.minimum_thickness_mm
    pads = float((pad_volume(problem, state) / problem.brake.area_mm2).max())
    both = disc, (pads, case.pads.thickness_mm - case.pads.worn_out_mm)
    return max(worn / may if may > 0.0 else 1.0 for worn, may in both)


def lives_km(
    case: Case, problem: WearProblem, states: tuple[Floats, Floats], km: float
) -> tuple[float | None, float | None]:
    """Distance from the start at which disc and pads are worn out at this duty, from their wear so far.

    Parameters
    ----------
    case : Case
    problem : WearProblem
    states : tuple of two ndarray, shape (size,)
        At the start, which may be a worn disc, and after ``km``.
    km : float

    Returns
    -------
    tuple of float or None
        Disc, pads; None where nothing wears.

    Notes
    -----
    Thicknesses in mm, lives in km. Straight on from the wear so far: Archard wears in proportion to the distance at one
    duty.
    """
    begin, end = (float(thickness_of(problem, state[None]).min()) for state in states)
    gone = begin - end
    pads = float((pad_volume(problem, states[1]) / problem.brake.area_mm2).max())
    disc_left = case.rotor.thickness_mm - case.rotor.minimum_thickness_mm + begin
    disc_life = km * disc_left / gone if gone > LEAST_WORN_MM else None
    pad_life = km * (case.pads.thickness_mm - case.pads.worn_out_mm) / pads if pads > LEAST_WORN_MM else None
    return disc_life, pad_life


def disc_band_km(life: float | None, problem: WearProblem, drawn: Draws | None) -> Band | None:
    """80 % band of the disc's life: metal goes in proportion to the wear coefficient, so the life in its inverse.

    Lives in km; Archard.
    """
    if life is None or drawn is None or problem.brake.disc_wear <= 0.0:
        return None
    wear = drawn.values[:, drawn.names.index("pads.disc_wear_mm3_per_nm")][:, None]
    low, high = (float(quantile(wear, drawn.weight, share)[0]) for share in (0.1, 0.9))
    return life * problem.brake.disc_wear / high, life * problem.brake.disc_wear / low


def pad_range_km(case: Case, life: float | None) -> Band | None:
    """Range of the pads' life over that of their wear; it is not drawn, so this is from end to end.

    Lives in km; Archard. `PAD_WEAR_RANGE` says where its ends come from.
    """
    own = case.pads.wear_mm3_per_nm
    if life is None or own <= 0.0:
        return None
    return life * own / max(own, PAD_WEAR_RANGE[1]), life * own / min(own, PAD_WEAR_RANGE[0])
