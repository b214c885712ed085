"""The wheel that nobody described: how far the seating as driven depends on it, as draws of the mounted traces.

A wheel presses the rotor's flange on to the hub with a ring of its own, and the stiffer that ring is, the flatter it
holds the flange over dirt. What the case does not say of it is drawn from `sim.corner.wheel_prior`. A few wheels are
solved (at a rough preset: only differences between wheels are taken from them), a response surface through their traces
answers for the rest.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from sim.arrays import Floats
from sim.corner.wheel_prior import ALLOY_SHARE, DISH_UM, METALS, THICKNESS, THICKNESS_MM, drawn
from sim.errors import Refused
from sim.one_thread import one_thread
from sim.parts.case import Case, Wheel
from sim.progress import Progress, silent
from sim.seating.prepared import prepare, under_wheels
from sim.seating.seat import Seat, seat_on
from sim.wear.draws import latin, quantile

PRESET = "rough"
DRAWS = 64  # of wheels; judgement
SEED = 1  # any number: the same corner gives the same band
FACES = ("outboard", "inboard")


@dataclass(frozen=True)
class Unknown:
    """What is not known of a wheel unless the case says it: a key of ``[wheel]`` and its range.

    Parameters
    ----------
    name : str
    low, high : float
        In the unit of the key; of the material -1 for light alloy and 1 for steel.
    source : str
    """

    name: str
    low: float
    high: float
    source: str


def unknowns(case: Case) -> tuple[Unknown, ...]:
    """Ranges of what the case leaves open about its wheel.

    Parameters
    ----------
    case : Case
        A key that its file or part set gives is not drawn.

    Returns
    -------
    tuple of Unknown
        How likely what is within them, see `sim.corner.wheel_prior`; diameters are evenly likely.
    """
    return tuple(item for item in _all(case) if case.where_from("wheel", item.name) == "default")


def _all(case: Case) -> tuple[Unknown, ...]:
    rotor, studs = case.rotor, case.studs
    pitch, nut = studs.pitch_circle_mm, studs.seat_outer_diameter_mm
    inner, outer = (2 * radius for radius in case.wheel_pad_mm)
    return (
        Unknown("material", -1.0, 1.0, f"light alloy {ALLOY_SHARE:.2f}, else steel; market reports, second-hand"),
        Unknown("pad_thickness_mm", *THICKNESS_MM, "; ".join(f"{k}: {law.source}" for k, law in THICKNESS.items())),
        Unknown("pad_dish_um", -DISH_UM, DISH_UM, "flatness of a wheel's pad, 0.05 mm either way; from memory"),
        Unknown(
            "pad_inner_diameter_mm",
            min(rotor.bore_diameter_mm, inner),
            max(pitch - nut, inner),
            "from the rotor's bore to the nuts' seats; judgement",
        ),
        Unknown(
            "pad_outer_diameter_mm",
            min(pitch + nut, outer),
            max(rotor.hat_outer_diameter_mm, outer),
            "from the nuts' seats to the hat's outside; judgement",
        ),
    )


@dataclass(frozen=True, eq=False)
class WheelBand:
    """The seating as driven under wheels drawn from what is not known of them, all equally likely.

    Parameters
    ----------
    drawn : tuple of str
        Keys of ``[wheel]`` that were drawn.
    outboard_um, inboard_um : ndarray, shape (draws,)
        TIR of each face.
    plane_um : ndarray, shape (draws, 360)
        Traces of the mean plane, ROTOR frame. [um]
    """

    drawn: tuple[str, ...]
    outboard_um: Floats
    inboard_um: Floats
    plane_um: Floats

    def of(self, face: str) -> Floats:
        """TIR of one face over the draws. [um]."""
        return self.outboard_um if face == "outboard" else self.inboard_um

    def span_um(self, face: str) -> tuple[float, float]:
        """80 % band of the TIR of a face. [um]. By definition: a tenth lies below, a tenth above."""
        values = self.of(face)[:, None]
        even = np.full(values.size, 1.0 / values.size)
        return float(quantile(values, even, 0.1)[0]), float(quantile(values, even, 0.9)[0])


# Wheels that are solved: material, thickness, dish, inner and outer diameter, each from -1 to 1 over its range. They
# tell the fourteen terms of `_terms` apart as well as eighteen solves of fourteen rings can (determinant, exchange).
DESIGN = (
    (-1.0, 1.0, -1.0, -1.0, -1.0),
    (-1.0, 1.0, 1.0, -1.0, -1.0),
    (1.0, 1.0, -1.0, -1.0, 1.0),
    (1.0, 1.0, 1.0, -1.0, 1.0),
    (-1.0, -1.0, -1.0, -1.0, -1.0),
    (-1.0, -1.0, 1.0, -1.0, -1.0),
    (1.0, -1.0, -1.0, 1.0, -1.0),
    (1.0, -1.0, 1.0, 1.0, -1.0),
    (-1.0, -1.0, -1.0, 1.0, 1.0),
    (1.0, 1.0, 0.0, 1.0, -1.0),
    (1.0, 0.3, 1.0, 1.0, 1.0),
    (-1.0, 1.0, 0.0, 1.0, 1.0),
    (1.0, -1.0, -1.0, -1.0, 0.0),
    (-1.0, 0.3, 0.0, -1.0, 1.0),
    (1.0, -1.0, 1.0, -1.0, 1.0),
    (-1.0, -1.0, 0.0, 1.0, 0.0),
    (-1.0, 0.3, -1.0, 1.0, 0.0),
    (1.0, 0.3, 0.0, -1.0, 0.0),
)


def _terms(at: Floats) -> Floats:
    """Terms of the response surface at places of the unit cube. Shape (k, 14)."""
    metal, thick, dish, inner, outer = at.T
    one = np.ones_like(thick)
    return np.stack(
        [one, metal, thick, metal * thick, thick**2, metal * thick**2, dish, dish * thick, dish**2]
        + [inner, inner * thick, outer, outer * thick, outer**2],
        axis=1,
    )


def wheel_at(case: Case, place: Mapping[str, float]) -> Wheel:
    """Wheel at a place of the ranges, each from -1 to 1; what is not named stays the case's own.

    Lengths in mm, as the keys of the wheel; thickness even in its logarithm (judgement).
    """
    changed: dict[str, float | str] = {}
    for item in _all(case):
        if item.name not in place:
            continue
        share = (place[item.name] + 1.0) / 2.0
        if item.name == "material":
            changed[item.name] = METALS[int(share >= 0.5)]
        elif item.name == "pad_thickness_mm":
            changed[item.name] = item.low * (item.high / item.low) ** share
        else:
            changed[item.name] = item.low + share * (item.high - item.low)
    return replace(case.wheel, **changed)  # type: ignore[arg-type]


def place_of(case: Case) -> Floats:
    """Where the case's own wheel stands in the ranges, each from -1 to 1. Shape (5,).

    No unit: -1 .. 1 over each range; the inverse of `wheel_at`, by definition.
    """
    inner, outer = (2 * radius for radius in case.wheel_pad_mm)
    wheel = case.wheel
    own = {
        "material": -1.0 if wheel.material == METALS[0] else 1.0,
        "pad_thickness_mm": wheel.thickness_mm,
        "pad_dish_um": wheel.pad_dish_um,
        "pad_inner_diameter_mm": inner,
        "pad_outer_diameter_mm": outer,
    }
    place = []
    for item in _all(case):
        low, high, value = item.low, item.high, own[item.name]
        if item.name == "pad_thickness_mm":
            low, high, value = math.log(low), math.log(high), math.log(value)
        place.append(2.0 * (value - low) / (high - low) - 1.0 if high > low else 0.0)
    return np.array(place)


def draw_places(case: Case, count: int, seed: int) -> Floats:
    """Draw wheels, spread evenly over every law that is not known (Latin hypercube). Shape (count, 5), -1 .. 1.

    No unit. Latin hypercube, as `sim.wear.draws.draw`.
    """
    random = np.random.default_rng(seed)
    open_keys, wheel = {item.name for item in unknowns(case)}, case.wheel
    even = np.array([latin(random, count) for _ in _all(case)])
    metal = None if "material" in open_keys else wheel.material
    alloy, thick, dish = drawn(even[:3], metal, None if "pad_thickness_mm" in open_keys else wheel.thickness_mm)
    low, high = np.log(THICKNESS_MM)
    places = {
        "material": np.where(alloy, -1.0, 1.0),
        "pad_thickness_mm": 2.0 * (np.log(thick) - low) / (high - low) - 1.0,
        "pad_dish_um": dish / DISH_UM,
    }
    out = np.tile(place_of(case), (count, 1))
    for column, item in enumerate(_all(case)):
        if item.name in open_keys:
            out[:, column] = places.get(item.name, 2.0 * even[column] - 1.0)
    return out


@one_thread
def wheel_band(
    driven: Seat, draws: int = DRAWS, seed: int = SEED, progress: Progress = silent
) -> tuple[WheelBand | None, str]:
    """Draw the seating as driven over what is not known of the wheel.

    Parameters
    ----------
    driven : Seat
        The corner as driven under the case's own wheel: the draws are differences from it.
    draws, seed : int
    progress : callable(fraction, what)

    Returns
    -------
    WheelBand or None
        None where the wheel is given whole, or is rigid, or a wheel of the design cannot be seated.
    str
        Why there is none; empty where there is one.

    Notes
    -----
    Response surface of the mounted traces, quadratic in the logarithm of the thickness, by least squares through the
    wheels of `DESIGN` and the case's own. Its coverage: ``python -m tests.studies.wheel_band``.

    Traces in um.
    """
    case = driven.case
    drawn = tuple(item.name for item in unknowns(case))
    if not drawn:
        return None, "the wheel is given"
    if case.wheel.material == "rigid":
        return None, "the wheel is given as rigid"
    rough = replace(case, rotor=replace(case.rotor, vane_model="smeared"))
    places = _design(rough, drawn)
    cases = [replace(rough, wheel=wheel_at(rough, dict(zip(_names(rough), place, strict=True)))) for place in places]
    flat = [replace(one, wheel=replace(one.wheel, pad_dish_um=0.0)) for one in cases]
    rings = list(dict.fromkeys(flat))  # a dish costs no new ring
    try:
        pair = prepare(rough, PRESET)
        under = dict(zip(rings, under_wheels(pair, rings, lambda done, what: progress(0.7 * done, what)), strict=True))
        progress(0.7, "wheels that it may be driven with")
        solved = [_faces(seat_on(pair, rough))]
        solved += [_faces(seat_on(under[ring], one)) for ring, one in zip(flat, cases, strict=True)]
    except Refused as error:
        return None, f"not every wheel can be seated: {error}"
    traces = np.array(solved)
    at = np.vstack([place_of(rough), places])
    surface, *_ = np.linalg.lstsq(_terms(at), (traces - traces[0]).reshape(len(at), -1), rcond=None)
    change = (_terms(draw_places(case, draws, seed)) @ surface).reshape(draws, 2, -1)
    faces = np.stack([driven.outboard_um, driven.inboard_um]) + change
    tirs = np.ptp(faces, axis=2)
    return WheelBand(drawn, tirs[:, 0].copy(), tirs[:, 1].copy(), faces.mean(axis=1)), ""


def _names(case: Case) -> tuple[str, ...]:
    return tuple(item.name for item in _all(case))


def _design(case: Case, drawn: tuple[str, ...]) -> Floats:
    """Wheels to be solved: the design over what is drawn, the case's own value of what is known; each once."""
    places = np.array(DESIGN)
    own = place_of(case)
    for column, name in enumerate(_names(case)):
        if name not in drawn:
            places[:, column] = own[column]
    _, first = np.unique(places, axis=0, return_index=True)
    return places[np.sort(first)]


def _faces(seated: Seat) -> Floats:
    return np.stack([seated.outboard_um, seated.inboard_um])
