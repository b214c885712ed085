"""Wheels as they hang on cars, written apart from what the program draws: the truths of the study of the wheel's band.

Everything here is invented and a judgement. ``matched`` is the law that the program states, drawn a wheel at a time
by numbers written down here once more; ``other laws`` are the same kinds of wheels by gamma, beta and Laplace laws;
every other group is a stock that a workshop might meet, which differs from ``matched`` in one thing.
"""

from __future__ import annotations

import numpy as np

from sim.parts.case import Case, Wheel

GROUPS = (
    "matched",
    "other laws",
    "cast alloy only",
    "pressed steel only",
    "thick ones as often as thin ones",
    "dished pads",
    "worn or narrow pads",
    "steel as thick as alloy",
)
SHARE_OF_ALLOY = {
    "other laws": 0.6,
    "cast alloy only": 1.0,
    "pressed steel only": 0.0,
    "steel as thick as alloy": 0.5,
}
#: Young's moduli, to put wheels in order of how stiff they hold. [GPa]
MODULUS_GPA = {"light alloy": 70.0, "steel": 205.0}


def wheel(case: Case, group: str, rng: np.random.Generator) -> Wheel:
    """One wheel of a group for a geometry."""
    nut, pitch = case.studs.seat_outer_diameter_mm, case.studs.pitch_circle_mm
    bore, hat = case.rotor.bore_diameter_mm, case.rotor.hat_outer_diameter_mm
    alloy = rng.random() < SHARE_OF_ALLOY.get(group, 2.0 / 3.0)
    low, middle, high = np.log((8.0, 20.0, 35.0) if alloy else (8.0, 11.0, 16.0))
    thick = float(np.exp(rng.uniform(low, middle) if rng.random() < 0.5 else rng.uniform(middle, high)))
    dish = _within(50.0, 20.0, rng)
    inside, outside = rng.random(2)
    if group == "other laws":
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


def _within(end: float, spread: float, rng: np.random.Generator) -> float:
    """Normal about nothing, drawn again where it lies beyond the ends."""
    value = rng.normal(0.0, spread)
    return float(value) if abs(value) <= end else _within(end, spread, rng)


def stock(case: Case, group: str, count: int, rng: np.random.Generator, each: int = 40) -> list[Wheel]:
    """Wheels of a group from the softest to the stiffest, one out of every ``count``-th part of the law."""
    pool = sorted((wheel(case, group, rng) for _ in range(count * each)), key=_stiffness)
    return [pool[k * each + int(rng.integers(each))] for k in range(count)]


def _stiffness(one: Wheel) -> float:
    return MODULUS_GPA[one.material] * one.thickness_mm**3
