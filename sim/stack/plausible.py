"""Slips of the pen in a population: figures that no car has, such as millimetres where micrometres are asked for."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sim.stack.distributions import Distribution
from sim.units import slip_text, unit_of

NEARLY_ALL = (0.005, 0.995)  # ends of the 99 % of corners that are looked at
LEAST_LEFT = 0.1  # of a distribution that its cuts must leave: nobody sorts out nine parts in ten
LEAST_KEPT = 0.01  # of the parts that a lever must keep


@dataclass(frozen=True)
class Bounds:
    """Where nearly all figures of one quantity lie, and what the largest of them reach; in its own unit."""

    lowest: float
    highest: float
    least: float = 0.0


LEAN = Bounds(0.0, 500.0, 0.5)  # um TIR
SHAPE = Bounds(-300.0, 300.0, 0.5)  # um
#: By key of the case, by name in a table of dirt, ``torque`` for its factors. All judgement: five to ten times what the
#: worst part of a garage has. Of keys without a row their own range holds.
BOUNDS = {
    "hub.face_runout_um": LEAN,
    "rotor.own_runout_um": LEAN,
    "rotor.own_thickness_variation_um": Bounds(0.0, 200.0, 0.1),
    "hub.face_saddle_um": LEAN,
    "rotor.flange_saddle_um": LEAN,
    "hub.face_dish_um": SHAPE,
    "rotor.flange_dish_um": SHAPE,
    "wheel.pad_dish_um": SHAPE,
    "studs.nut_factor": Bounds(0.06, 0.5),
    "caliper.clearance_um": Bounds(0.0, 1000.0, 1.0),
    "pads.film_um": Bounds(0.1, 100.0, 0.5),
    "height_um": Bounds(-1000.0, 1000.0, 1.0),
    "width_mm": Bounds(0.0, 100.0, 0.2),
    "arc_deg": Bounds(0.01, 360.0, 0.2),
    "torque": Bounds(0.05, 3.0),
}


def implausible(name: str, spread: Distribution) -> tuple[str, str] | None:
    """What is odd about how a figure is spread, and what is allowed.

    Parameters
    ----------
    name : str
        As in `BOUNDS`.
    spread : Distribution

    Returns
    -------
    tuple of str, or None
        In the unit of the name. Rules are judgement.
    """
    if spread.kind != "fixed" and spread.left < LEAST_LEFT:
        figures = f"{spread.lowest:g} .. {spread.highest:g}"
        reason = f"its cuts {figures} leave {100.0 * spread.left:.2g} % of {spread.told}: a slip in one of them"
        return reason, f"cuts that leave {100.0 * LEAST_LEFT:g} % or more"
    bounds, unit = BOUNDS.get(name), unit_of(name)
    if bounds is None:
        return None
    low, high = (float(one) for one in spread.at(np.array(NEARLY_ALL)))
    reach = max(abs(low), abs(high))
    if bounds.lowest <= low and high <= bounds.highest and (reach >= bounds.least or reach == 0.0):
        return None
    where = f"{low:.3g}" if low == high else f"{low:.3g} .. {high:.3g}"
    far = not bounds.least <= reach <= bounds.highest
    slip = slip_text(reach, unit, bounds.least or bounds.lowest, bounds.highest) if far else ""
    reason = f"{spread.told}: 99 % of it lie at {where} {unit}".rstrip() + f", a slip{f'; {slip}' if slip else ''}"
    least = f", its largest {bounds.least:g} or more" if bounds.least else ""
    return reason, f"{bounds.lowest:g} .. {bounds.highest:g} {unit}".rstrip() + least
