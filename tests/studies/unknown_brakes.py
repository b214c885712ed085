"""Brakes as they might be, drawn apart from the estimator of `sim.wear.draws`: other shapes, ties, and what it holds
fixed.

Nothing is taken from `sim.wear.draws`: neither its ranges nor its draws. The ranges are those that the case keys
state; all shapes are judgement. A group changes one thing at a time; "all of it" changes everything at once.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from scipy.stats import beta, norm, triang

from sim.parts.case import Caliper, Case, Drive, Pads
from sim.wear.brake import Brake, brake_of

GROUPS = {
    "matched": "as the estimator draws",
    "even": "every value of a range as likely as any other",
    "bell": "lognormal about the case's value, the nearer end of the range two standard deviations off",
    "skewed": "beta shaped, crowded towards one end: soft holders, wide clearances, even shares",
    "tied": "wide clearance goes with an uneven share and a soft holder (rank correlations of 0.7 and 0.5)",
    "held fixed": "lining, caliper, tilt lever, slip force and arc evenly over their ranges",
    "rough runout": "orders 2 to 4 of up to 0.4; the estimator knows the trace as a dial reads it (steps of 5 µm)",
    "other driving": "share and pressure of braking differ from the duty's by a factor of 1.25 (one sd)",
    "all of it": "even, tied, held fixed, rough runout and other driving together",
}
#: Field of the brake: ends of the range that its key states, in the unit of the field; disc wear as a multiple.
UNSETTLED = {
    "disc_wear": (0.3e-5, 3.0e-5),
    "holder_n_mm": (500.0, 3000.0),
    "clearance_mm": (0.015, 0.150),
    "outboard_share": (0.1, 0.5),
}
HELD = {
    "bed_released_n_mm3": (2.0, 15.0),
    "bed_braking_n_mm3": (15.0, 60.0),
    "spread_n_mm": (10e3, 60e3),
    "tilt_lever_mm": (10.0, 30.0),
    "slip_n": (20.0, 200.0),
}
THETA = 2.0 * np.pi * np.arange(360) / 360


@dataclass(frozen=True, eq=False)
class Corner:
    """A corner as its owner knows it: case, and runout with its orders. [um]"""

    case: Case
    runout_um: np.ndarray
    rough_um: np.ndarray


@dataclass(frozen=True, eq=False)
class Truth:
    """What it really is: brake, and runout. [um]"""

    brake: Brake
    runout_um: np.ndarray


def corner(random: np.random.Generator) -> Corner:
    """A corner of the kind that a forecast is asked for."""
    case = Case(
        caliper=Caliper(style="floating" if random.random() < 0.7 else "fixed"),
        pads=Pads(kind="abrasive" if random.random() < 0.8 else "adherent"),
        drive=Drive(duty=str(random.choice(["gentle", "mixed", "mixed", "heavy"]))),
    )
    tir = float(np.clip(70.0 * np.exp(0.55 * random.standard_normal()), 20.0, 250.0))
    return Corner(case, _trace(random, tir, (0.2, 0.1)), _trace(random, tir, (0.4, 0.3, 0.2)))


def _trace(random: np.random.Generator, tir: float, shares: tuple[float, ...]) -> np.ndarray:
    trace = np.cos(THETA)
    for order, most in enumerate(shares, 2):
        trace = trace + most * random.random() * np.cos(order * THETA - 2.0 * np.pi * random.random())
    return tir * trace / np.ptp(trace)


def read(runout_um: np.ndarray) -> np.ndarray:
    """A trace as a dial with steps of 5 um reads it at 36 places, and drawn through them. [um]"""
    places = 5.0 * np.round(runout_um[::10] / 5.0)
    spectrum = np.fft.rfft(places)
    return np.fft.irfft(np.concatenate([spectrum[:7], np.zeros(174)]), 360) * 10.0


def _shaped(shape: str, uniform: np.ndarray, ends: tuple[float, float], own: float, soft: bool) -> np.ndarray:
    """Carry uniform numbers to one value of a range; in logarithms."""
    low, high = np.log(ends[0]), np.log(ends[1])
    peak = np.clip(np.log(own), low, high)
    if shape == "even":
        return np.exp(low + uniform * (high - low))
    if shape == "skewed":
        a, b = (2.0, 4.0) if soft else (4.0, 2.0)
        return np.exp(low + beta.ppf(uniform, a, b) * (high - low))
    if shape == "bell":
        spread = 0.5 * min(peak - low, high - peak) or 0.25 * (high - low)
        return np.exp(np.clip(norm.ppf(uniform, peak, max(spread, 0.2 * (high - low))), low, high))
    return np.exp(triang.ppf(uniform, (peak - low) / (high - low), low, high - low))


def truth(group: str, at: Corner, random: np.random.Generator) -> Truth:
    """One brake behind a corner, of a group."""
    every = group == "all of it"
    own = brake_of(at.case)
    kind = 0.4 / 0.9 if at.case.pads.kind == "adherent" else 1.0
    shape = "even" if every else group if group in ("even", "bell", "skewed") else "peaked"
    uniform = _tied(random) if every or group == "tied" else random.random(4)
    values = {}
    for (field, ends), one in zip(UNSETTLED.items(), uniform, strict=True):
        if field == "disc_wear":
            ends = (1e-3 * kind * ends[0], 1e-3 * kind * ends[1])
        if field == "outboard_share":
            if own.fixed:
                continue
            straight = triang.ppf(one, (own.outboard_share - ends[0]) / (ends[1] - ends[0]), ends[0], ends[1] - ends[0])
            if shape != "peaked":
                straight = ends[0] + (ends[1] - ends[0]) * (beta.ppf(one, 4.0, 2.0) if shape == "skewed" else one)
            if shape == "bell":
                straight = np.clip(norm.ppf(one, own.outboard_share, 0.1), *ends)
            values[field] = float(straight)
            continue
        values[field] = float(_shaped(shape, one, ends, getattr(own, field), field == "holder_n_mm"))
    if every or group == "held fixed":
        values |= {field: float(np.exp(random.uniform(*np.log(ends)))) for field, ends in HELD.items()}
        values["arc_rad"] = own.arc_rad * random.uniform(0.94, 1.06)
    if every or group == "other driving":
        values["brake_share"] = min(0.5, own.brake_share * float(np.exp(np.log(1.25) * random.standard_normal())))
        values["pressure_mpa"] = own.pressure_mpa * float(np.exp(np.log(1.25) * random.standard_normal()))
    rough = every or group == "rough runout"
    return Truth(replace(own, **values), at.rough_um if rough else at.runout_um)


def _tied(random: np.random.Generator) -> np.ndarray:
    """Four uniform numbers: wear, holder, clearance, share; the last three tied through normal numbers."""
    normal = random.standard_normal(4)
    clearance = normal[2]
    holder = -0.5 * clearance + np.sqrt(0.75) * normal[1]
    share = -0.7 * clearance + np.sqrt(0.51) * normal[3]
    return norm.cdf(np.array([normal[0], holder, clearance, share]))
