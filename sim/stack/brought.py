"""Faults that the case of a population brings along: they lie on every corner alike, and nothing draws them."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sim.stack.population import ANGLE_OF, Population

#: A case without a fault of its own, to stack on.
FAULTLESS = "perfect_solid_300"
DIRT, TORQUE = "dirt of its own", "uneven torque"
#: Faults of the parts, and whether they count on the road only.
FAULTS = {
    "hub.face_runout_um": False,
    "rotor.own_runout_um": False,
    "rotor.own_thickness_variation_um": False,
    "hub.face_dish_um": False,
    "rotor.flange_dish_um": False,
    "hub.face_saddle_um": False,
    "rotor.flange_saddle_um": False,
    "wheel.pad_dish_um": True,
}


@dataclass(frozen=True)
class Brought:
    """One fault of the base.

    Parameters
    ----------
    name : str
        Key, `DIRT` or `TORQUE`.
    amount : float
        In ``unit``: of dirt the number of patches, of torque half of its span.
    unit : {"um", "%", "patches"}
    angle_deg : float or None
        Where its high spot stands on every corner; None where it has none or where that is drawn.
    road_only : bool
    """

    name: str
    amount: float
    unit: str = "um"
    angle_deg: float | None = None
    road_only: bool = False


def brought(population: Population) -> tuple[Brought, ...]:
    """Faults of the base that do not vary: they count in every figure of a stack.

    Parameters
    ----------
    population : Population

    Returns
    -------
    tuple of Brought
        [um, %, patches]. By definition; empty for a faultless base.
    """
    case, drawn = population.case, {one.key for one in population.spreads}
    out = []
    for key, road_only in FAULTS.items():
        amount = _of(population, key)
        if amount and key not in drawn:
            angle = ANGLE_OF.get(key)
            at = None if angle is None or angle in drawn else _of(population, angle)
            out.append(Brought(key, amount, angle_deg=at, road_only=road_only))
    studs = case.studs
    given = np.atleast_1d(np.array(studs.preload_n if studs.torque_nm is None else studs.torque_nm, dtype=float))
    if np.ptp(given) > 0.0:
        out.append(Brought(TORQUE, float(50.0 * np.ptp(given) / given.mean()), "%"))
    if case.debris:
        out.append(Brought(DIRT, float(len(case.debris)), "patches"))
    return tuple(out)


def _of(population: Population, key: str) -> float:
    table, _, name = key.partition(".")
    return float(getattr(getattr(population.case, table), name))
