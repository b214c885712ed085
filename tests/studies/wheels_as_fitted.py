"""Wheels as they hang on cars, written apart from what the program draws: the truths of the study of the wheel's band.

Everything here is invented and a judgement. ``matched`` means the same wheels as `sim.corner.wheel_prior` does, by
other laws (gamma, beta, Laplace for triangles, even and normal ones); every other group is a stock that a workshop
might meet, at another place. Settled before the study was run and not touched since.
"""

from __future__ import annotations

import numpy as np

from sim.parts.case import Case, Wheel

GROUPS = (
    "matched",
    "cast alloy only",
    "pressed steel only",
    "thick ones as often as thin ones",
    "dished pads",
    "worn or narrow pads",
    "steel as thick as alloy",
)
#: Young's moduli, to put wheels in order of how stiff they hold. [GPa]
MODULUS_GPA = {"light alloy": 70.0, "steel": 205.0}


def wheel(case: Case, group: str, rng: np.random.Generator) -> Wheel:
    """One wheel of a group for a geometry."""
    nut, pitch = case.studs.seat_outer_diameter_mm, case.studs.pitch_circle_mm
    bore, hat = case.rotor.bore_diameter_mm, case.rotor.hat_outer_diameter_mm
    alloy = rng.random() < {"cast alloy only": 1.0, "pressed steel only": 0.0, "steel as thick as alloy": 0.5}.get(
        group, 0.65
    )
    thick = 8.0 + rng.gamma(4.0, 2.8) if alloy else 8.0 + 8.0 * rng.beta(1.8, 2.6)
    dish = float(np.clip(rng.laplace(0.0, 14.0), -60.0, 60.0))
    inside, outside = rng.beta(1.0, 1.6), rng.beta(1.3, 1.3)
    if group == "cast alloy only":
        thick = 20.0 * np.exp(rng.normal(0.0, 0.3))
    if group == "pressed steel only":
        thick = rng.triangular(8.0, 10.0, 16.0)
    if group == "thick ones as often as thin ones":
        thick = rng.uniform(8.0, 35.0 if alloy else 16.0)
    if group == "steel as thick as alloy":
        thick = rng.uniform(8.0, 35.0)
    if group == "dished pads":
        dish = float(np.clip(rng.normal(0.0, 60.0), -150.0, 150.0))
    if group == "worn or narrow pads":
        inside, outside = rng.beta(3.0, 1.0), rng.beta(1.0, 3.0)
    return Wheel(
        material="light alloy" if alloy else "steel",
        pad_thickness_mm=float(np.clip(thick, 8.0, 35.0)),
        pad_dish_um=dish,
        pad_inner_diameter_mm=float(bore + inside * (pitch - nut - bore)),
        pad_outer_diameter_mm=float(pitch + nut + outside * (hat - pitch - nut)),
    )


def stock(case: Case, group: str, count: int, rng: np.random.Generator, each: int = 40) -> list[Wheel]:
    """Wheels of a group from the softest to the stiffest, one out of every ``count``-th part of the law."""
    pool = sorted((wheel(case, group, rng) for _ in range(count * each)), key=_stiffness)
    return [pool[k * each + int(rng.integers(each))] for k in range(count)]


def _stiffness(one: Wheel) -> float:
    return MODULUS_GPA[one.material] * one.thickness_mm**3
