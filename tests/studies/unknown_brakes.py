"""Brakes as they might be, drawn apart from the estimator of `sim.wear.draws`: other shapes, ties, and other driving.

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
    "matched": "as the estimator draws: nine values, half evenly below the case's value, half evenly above",
    "peaked": "four values in triangles, most likely at the case's; the other five as the case has them",
    "even": "every value of a range as likely as any other, all nine",
    "bell": "lognormal about the case's value, the nearer end of the range two standard deviations off; the other five "
    "as the case has them",
    "skewed": "beta shaped, crowded towards one end: soft holders, wide clearances, even shares, much wear; the other "
    "five as the case has them",
    "skewed car by car": "the same shapes for all nine values; which end differs from car to car and value to value",
    "tied": "wide clearance goes with an uneven share and a soft holder (rank correlations of 0.7 and 0.5)",
    "other pads": "linings of another make: all in the softest or all in the hardest third of their range, wear evenly",
    "held fixed": "lining, caliper, tilt lever, slip force evenly over their ranges, arc by 6 %; the first four peaked",
    "rough runout": "orders 2 to 4 of up to 0.4; the estimator knows the trace as a dial reads it (steps of 5 µm)",
    "other driving": "share and pressure of braking differ from the duty's by a factor of 1.25 (one sd)",
    "all of it": "even, tied, arc by 6 %, rough runout and other driving together",
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
#: Shape of the four values that are always drawn, and of the five that are hardly ever told ("": as the case has them).
SHAPES = {
    "peaked": ("peaked", ""),
    "even": ("even", "even"),
    "bell": ("bell", ""),
    "skewed": ("skewed", ""),
    "skewed car by car": ("skewed", "skewed"),
    "held fixed": ("peaked", "even"),
    "all of it": ("even", "even"),
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


def _shaped(shape: str, uniform: float, low: float, own: float, high: float, crowded_low: bool) -> float:
    """Carry a uniform number to a value of a range, on the scale of that range."""
    own = min(max(own, low), high)
    if shape == "even":
        return low + uniform * (high - low)
    if shape == "skewed":
        a, b = (2.0, 4.0) if crowded_low else (4.0, 2.0)
        return low + float(beta.ppf(uniform, a, b)) * (high - low)
    if shape == "bell":
        nearer = max(min(own - low, high - own), 0.4 * (high - low))
        return float(np.clip(norm.ppf(uniform, own, 0.5 * nearer), low, high))
    if shape == "peaked":
        return float(triang.ppf(uniform, (own - low) / (high - low), low, high - low))
    return low + 2.0 * uniform * (own - low) if uniform < 0.5 else own + (2.0 * uniform - 1.0) * (high - own)


def truth(group: str, at: Corner, random: np.random.Generator) -> Truth:
    """One brake behind a corner, of a group."""
    every, own = group == "all of it", brake_of(at.case)
    first, further = SHAPES.get(group, ("halves", "halves"))
    uniform = _tied(random) if every or group == "tied" else random.random(4)
    ends = {**UNSETTLED, **({} if not further else HELD)}
    if own.fixed:
        del ends["outboard_share"]
    # Adherent pads cut less.
    ends["disc_wear"] = tuple(1e-3 * end * own.disc_wear / 0.9e-8 for end in ends["disc_wear"])
    numbers = dict(zip(UNSETTLED, uniform, strict=True)) | {field: random.random() for field in HELD}
    crowded = {field: field == "holder_n_mm" for field in UNSETTLED}
    if group == "skewed car by car":
        crowded = {field: bool(random.random() < 0.5) for field in (*UNSETTLED, *HELD)}
    values = {}
    for field, (low, high) in ends.items():
        shape = first if field in UNSETTLED else further
        straight = field == "outboard_share"
        scale, back = (float, float) if straight else (np.log, np.exp)
        drawn = _shaped(shape, numbers[field], scale(low), scale(getattr(own, field)), scale(high), crowded.get(field))
        values[field] = float(back(drawn))
    if group == "other pads":
        values |= _other_pads(values, ends, random)
    if every or group == "held fixed":
        values["arc_rad"] = own.arc_rad * random.uniform(0.94, 1.06)
    if every or group == "other driving":
        values["brake_share"] = min(0.5, own.brake_share * float(np.exp(np.log(1.25) * random.standard_normal())))
        values["pressure_mpa"] = own.pressure_mpa * float(np.exp(np.log(1.25) * random.standard_normal()))
    rough = every or group == "rough runout"
    return Truth(replace(own, **values), at.rough_um if rough else at.runout_um)


def _other_pads(values: dict, ends: dict, random: np.random.Generator) -> dict:
    """Wear, and both stiffnesses of the lining, of a make that is soft throughout or hard throughout."""
    found, third = {}, 0.0 if random.random() < 0.5 else 2.0 / 3.0
    for field, (low, high) in ends.items():
        if field in ("bed_released_n_mm3", "bed_braking_n_mm3"):
            found[field] = low * (high / low) ** float(third + random.random() / 3.0)
        if field == "disc_wear":
            found[field] = low * (high / low) ** float(random.random())
    return found


def _tied(random: np.random.Generator) -> np.ndarray:
    """Four uniform numbers: wear, holder, clearance, share; the last three tied through normal numbers."""
    normal = random.standard_normal(4)
    clearance = normal[2]
    holder = -0.5 * clearance + np.sqrt(0.75) * normal[1]
    share = -0.7 * clearance + np.sqrt(0.51) * normal[3]
    return norm.cdf(np.array([normal[0], holder, clearance, share]))
