"""Wheels as they hang on cars, written apart from what the program draws: the truths of the study of the wheel's band.

Everything here is invented and a judgement. ``matched`` has the ranges that the program states, from another generator
and a wheel at a time; the other groups are laws of other shapes and other places, each a stock of wheels that a
workshop might meet.
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
)


def wheel(case: Case, group: str, rng: np.random.Generator) -> Wheel:
    """One wheel of a group for a geometry."""
    nut, pitch = case.studs.seat_outer_diameter_mm, case.studs.pitch_circle_mm
    bore, hat = case.rotor.bore_diameter_mm, case.rotor.hat_outer_diameter_mm
    alloy = rng.random() < 0.5
    thick = 8.0 * (35.0 / 8.0) ** rng.random()
    dish = rng.uniform(-50.0, 50.0)
    inside, outside = rng.random(2)
    if group == "cast alloy only":
        alloy, thick = True, float(np.clip(20.0 * np.exp(rng.normal(0.0, 0.3)), 8.0, 35.0))
    if group == "pressed steel only":
        alloy, thick = False, float(rng.triangular(8.0, 10.0, 16.0))
    if group == "thick ones as often as thin ones":
        thick = rng.uniform(8.0, 35.0)
    if group == "dished pads":
        dish = float(np.clip(rng.normal(0.0, 60.0), -150.0, 150.0))
    if group == "worn or narrow pads":
        inside, outside = rng.beta(3.0, 1.0), rng.beta(1.0, 3.0)
    return Wheel(
        material="light alloy" if alloy else "steel",
        pad_thickness_mm=float(thick),
        pad_dish_um=float(dish),
        pad_inner_diameter_mm=float(bore + inside * (pitch - nut - bore)),
        pad_outer_diameter_mm=float(pitch + nut + outside * (hat - pitch - nut)),
    )
