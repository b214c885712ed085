"""The wheel that nobody described: how far the seating as driven depends on it, as draws of the mounted traces.

A wheel presses the rotor's flange on to the hub with a ring of its own, and the stiffer that ring is, the flatter it
holds the flange over dirt. What the case does not say of it is drawn from `sim.corner.wheel_prior`. A few wheels are
solved (at a rough preset: only differences between wheels are taken from them), a response surface through their traces
answers for the rest.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, fields, replace
from functools import lru_cache

import numpy as np

from sim.arrays import Floats, InShort, read_only
from sim.corner.wheel_prior import ALLOY_SHARE, DISH_UM, METALS, THICKNESS, THICKNESS_MM, drawn
from sim.disk_cache import fetch
from sim.errors import Refused
from sim.one_thread import one_thread
from sim.parts.case import Case, Wheel
from sim.parts.materials import MATERIALS
from sim.progress import Progress, silent
from sim.seating.prepared import prepare, under_wheels
from sim.seating.seat import Seat, seat_along
from sim.uniform_draws import latin
from sim.weighted import quantile

PRESET = "rough"
DRAWS = 64  # of wheels; judgement
SEED = 1  # any number: the same corner gives the same band
FACES = ("outboard", "inboard")
NOT_SEATED = frozenset({"title", "axle", "pads", "caliper", "drive", "judder", "limits"})  # change no seating


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


@dataclass(frozen=True, eq=False, repr=False)
class WheelBand(InShort):
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


# Wheels that are solved: metal, thickness within its own law, dish, inner and outer diameter, each from -1 to 1 over
# its range. They leave the least variance of `_terms` over the wheels that are drawn (I-optimal, exchange).
DESIGN = (
    (-1.0, -1.0, -1.0, -1.0, 1.0),
    (-1.0, -1.0, 0.0, 1.0, -1.0),
    (-1.0, -1.0, 0.0, 1.0, 1.0),
    (-1.0, -1.0, 1.0, -1.0, 0.0),
    (-1.0, -0.4, 0.0, -1.0, 1.0),
    (-1.0, 1.0, -1.0, -1.0, 1.0),
    (-1.0, 1.0, 0.0, 1.0, -1.0),
    (-1.0, 1.0, 1.0, -1.0, 0.0),
    (-1.0, 1.0, 1.0, 1.0, 1.0),
    (1.0, -1.0, -1.0, 1.0, 0.0),
    (1.0, -1.0, 0.0, -1.0, -1.0),
    (1.0, -1.0, 0.0, -1.0, 0.0),
    (1.0, -1.0, 1.0, 1.0, 1.0),
    (1.0, 0.4, 1.0, 1.0, -1.0),
    (1.0, 1.0, -1.0, -1.0, -1.0),
    (1.0, 1.0, 0.0, -1.0, 0.0),
    (1.0, 1.0, 0.0, 1.0, 0.0),
    (1.0, 1.0, 0.0, 1.0, 0.0),
)
#: Young's moduli that put the two metals on one scale of stiffness. [MPa]
MODULI_MPA = {metal: MATERIALS[metal].youngs_modulus_mpa for metal in METALS}


def stiffness_place(wheel: Wheel) -> float:
    """How stiff a pad is against bending, -1 .. 1 over light alloy's range.

    No unit: logarithm of E t^3, as the bending stiffness of a plate goes (Timoshenko, from memory).
    """
    low, high = (np.log(MODULI_MPA[METALS[0]] * mm**3) for mm in THICKNESS_MM)
    own = np.log(MODULI_MPA[wheel.material] * wheel.thickness_mm**3)
    return float(2.0 * (own - low) / (high - low) - 1.0)


def places(case: Case, wheels: Sequence[Wheel]) -> Floats:
    """Where wheels stand in the ranges: stiffness, dish, inner and outer diameter, -1 .. 1. Shape (k, 4).

    No unit: by definition, the ends of each range at -1 and 1.
    """
    spans = {item.name: (item.low, item.high) for item in _all(case)}
    out = np.empty((len(wheels), 4))
    for row, wheel in zip(out, wheels, strict=True):
        inner, outer = (2 * radius for radius in replace(case, wheel=wheel).wheel_pad_mm)
        own = (wheel.pad_dish_um, inner, outer)
        row[0] = stiffness_place(wheel)
        for k, (name, value) in enumerate(zip(_names(case)[2:], own, strict=True), 1):
            low, high = spans[name]
            row[k] = 2.0 * (value - low) / (high - low) - 1.0 if high > low else 0.0
    return out


def _terms(at: Floats) -> Floats:
    """Terms of the response surface at `places`. Shape (k, 13). No unit; judgement, tried on drawn corners."""
    stiff, dish, inner, outer = at.T
    one = np.ones_like(stiff)
    return np.stack(
        [one, stiff, stiff**2, stiff**3, dish, dish * stiff, dish**2]
        + [inner, inner * stiff, outer, outer * stiff, outer**2, inner * outer],
        axis=1,
    )


def wheel_at(case: Case, place: Mapping[str, float]) -> Wheel:
    """Wheel at a place of the ranges, each from -1 to 1; what is not named stays the case's own.

    Lengths in mm, as the keys of the wheel; thickness even in its logarithm (judgement), within its metal's own law.
    """
    spans = {item.name: (item.low, item.high) for item in _all(case)}
    metal = METALS[int(place["material"] >= 0.0)] if "material" in place else case.wheel.material
    changed: dict[str, float] = {}
    for name in _names(case)[1:]:
        if name not in place:
            continue
        share, (low, high) = (place[name] + 1.0) / 2.0, spans[name]
        if name == "pad_thickness_mm":
            law = THICKNESS[metal]
            changed[name] = law.low_mm * (law.high_mm / law.low_mm) ** share
        else:
            changed[name] = low + share * (high - low)
    if "material" in place and "pad_thickness_mm" not in place:
        changed["pad_thickness_mm"] = case.wheel.thickness_mm
    return replace(case.wheel, material=metal, **changed)


def draw_wheels(case: Case, count: int, seed: int) -> tuple[Wheel, ...]:
    """Draw wheels, spread evenly over every law that is not known.

    Lengths in mm, as the keys of the wheel. Latin hypercube, as `sim.wear.ranges.draw`; the laws are judgement.
    """
    random = np.random.default_rng(seed)
    wheel, spans = case.wheel, {item.name: item for item in unknowns(case)}
    even = np.array([latin(random, count) for _ in _all(case)])
    metal = None if "material" in spans else wheel.material
    alloy, thick, dish = drawn(even[:3], metal, None if "pad_thickness_mm" in spans else wheel.thickness_mm)
    values: dict[str, Floats] = {"pad_thickness_mm": thick}
    if "pad_dish_um" in spans:
        values["pad_dish_um"] = dish
    for column, name in enumerate(_names(case)[3:], 3):
        if name in spans:
            values[name] = spans[name].low + even[column] * (spans[name].high - spans[name].low)
    return tuple(
        replace(wheel, material=METALS[int(not alloy[k])], **{name: float(each[k]) for name, each in values.items()})
        for k in range(count)
    )


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
    Response surface of the mounted traces, cubic in the logarithm of the pad's stiffness (E t^3, which puts both metals
    on one scale), by least squares through the wheels of `DESIGN` and the case's own.
    Its coverage: ``python -m tests.studies.wheel_band``.

    Traces in um.
    """
    case = driven.case
    open_keys = tuple(item.name for item in unknowns(case))
    if not open_keys:
        return None, "the wheel is given"
    if case.wheel.material == "rigid":
        return None, "the wheel is given as rigid"
    rough = replace(case, rotor=replace(case.rotor, vane_model="smeared"))
    try:
        surface = _surface(_Remembered(_seated_by(rough), open_keys, rough, progress))
    except Refused as error:
        return None, f"not every wheel can be seated: {error}"
    change = (_terms(places(case, draw_wheels(case, draws, seed))) @ surface).reshape(draws, 2, -1)
    faces = np.stack([driven.outboard_um, driven.inboard_um]) + change
    tirs = np.ptp(faces, axis=2)
    return WheelBand(open_keys, tirs[:, 0].copy(), tirs[:, 1].copy(), faces.mean(axis=1)), ""


@dataclass(frozen=True)
class _Remembered:
    """What a response surface follows from; case and progress callback come along without being compared."""

    seated: tuple[object, ...]
    open_keys: tuple[str, ...]
    case: Case = field(compare=False)
    progress: Progress = field(compare=False)


def _seated_by(case: Case) -> tuple[object, ...]:
    """What of a case its seating follows from."""
    return tuple(getattr(case, one.name) for one in fields(case) if one.compare and one.name not in NOT_SEATED)


@lru_cache(maxsize=16)  # as read, driven, reported: one corner is asked for its wheels more than once
def _surface(asked: _Remembered) -> Floats:
    """Coefficients of the traces of both faces over `_terms`, through the solved wheels. Shape (13, 720). [um].

    Kept on disk: the next command on this corner seats none of them again.
    """
    wheels = _design(asked.case, asked.open_keys)
    told = repr((PRESET, asked.seated, asked.open_keys, wheels))
    arrays, _ = fetch("wheels-driven", told, lambda: {"surface": _solved_surface(asked, wheels)}, __name__)
    return read_only(arrays["surface"])


def _solved_surface(asked: _Remembered, wheels: tuple[Wheel, ...]) -> Floats:
    rough, progress = asked.case, asked.progress
    cases = [replace(rough, wheel=wheel) for wheel in wheels]
    flat = [replace(one, wheel=replace(one.wheel, pad_dish_um=0.0)) for one in cases]
    rings = list(dict.fromkeys(flat))  # a dish costs no new ring
    pair = prepare(rough, PRESET)
    under = dict(zip(rings, under_wheels(pair, rings, lambda done, what: progress(0.7 * done, what)), strict=True))
    progress(0.7, "wheels that it may be driven with")
    seats = seat_along([pair, *(under[ring] for ring in flat)], [rough, *cases])
    traces = np.array([np.stack([one.outboard_um, one.inboard_um]) for one in seats])
    terms = _terms(places(rough, (rough.wheel, *wheels)))
    surface, *_ = np.linalg.lstsq(terms, (traces - traces[0]).reshape(len(terms), -1), rcond=None)
    return np.asarray(surface)


def _names(case: Case) -> tuple[str, ...]:
    return tuple(item.name for item in _all(case))


def _design(case: Case, open_keys: tuple[str, ...]) -> tuple[Wheel, ...]:
    """Wheels to be solved: the design over what is drawn, the case's own value of what is known; each once."""
    rows = (dict(zip(_names(case), row, strict=True)) for row in DESIGN)
    wheels = (wheel_at(case, {name: row[name] for name in open_keys}) for row in rows)
    return tuple(dict.fromkeys(wheels))
