"""What can be changed on the live bench: presets and places on the hub face, checked, and the case that they make."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from sim.bench.quiz import LONG_MM, WIDE_MM
from sim.errors import BadInput, Fault, Refused
from sim.handout.specks import at_radius, radii_mm, speck_of
from sim.parts.case import Case, Debris
from sim.parts.dirt import HARD
from sim.parts.spigot_room import hindrance
from sim.units import printable

# What a hand at the bench can choose from; sizes are judgement: below, at and well above a hair, a nut from off to a
# quarter too tight, a hub face from true to well over its usual limit.
HEIGHTS_UM = (20.0, 50.0, 80.0, 100.0, 150.0, 200.0)
SHARES = (0.0, 0.25, 0.5, 0.75, 1.0, 1.25)
HUB_UM = (0.0, 10.0, 20.0, 30.0, 50.0)
KINDS: Mapping[str, str] = {"scale": "compact scale", "chip": "steel chip", HARD: HARD}
# Places count in whole degrees and half millimetres: finer than a finger, and the same place is solved once.
STEP_DEG, STEP_MM = 1.0, 0.5
PRESET = "fast"


@dataclass(frozen=True)
class Speck:
    """The speck on the hub face.

    Parameters
    ----------
    angle_deg, radius_mm : float
        Its middle, hub frame. [deg, mm]
    height_um : float
    kind : str
        Of `KINDS`.
    """

    angle_deg: float
    radius_mm: float
    height_um: float
    kind: str


@dataclass(frozen=True)
class Setup:
    """One state of the bench.

    Parameters
    ----------
    speck : Speck or None
        None once the faces are clean.
    nuts : tuple of float
        Torque of each nut over the case's own. No unit.
    hub_um, hub_deg : float
        Hub face runout and where it is high. [um TIR, deg]
    hole : int
        Stud pitches by which the rotor was turned on.
    wheel : bool
        Whether the wheel is on, or nuts and spacers.
    """

    speck: Speck | None
    nuts: tuple[float, ...]
    hub_um: float
    hub_deg: float
    hole: int
    wheel: bool


@dataclass(frozen=True)
class Choices:
    """What one corner leaves to choose: everything that a request is held against.

    Parameters
    ----------
    base : Case
        The corner without dirt.
    start : Setup
        As it is found.
    heights_um, hub_um : tuple of float
    radius_mm : tuple of float
        Least and largest of the speck's middle.
    patch : Debris
        The speck's extent.
    """

    base: Case
    start: Setup
    heights_um: tuple[float, ...]
    hub_um: tuple[float, ...]
    radius_mm: tuple[float, float]
    patch: Debris


def choices(case: Case) -> Choices:
    """Make a case ready for the bench: its highest patch is the speck that is moved about, the rest is cleaned off.

    Parameters
    ----------
    case : Case

    Raises
    ------
    Refused
        If scale on the spigot has a say, or the hub face has no room for a speck.

    Notes
    -----
    Lengths in mm, angles in deg: geometry.
    """
    clean = case.cleaned()
    if why := hindrance(clean):
        raise Refused(f"{why}: the live bench is made of seatings on the hub face")
    found = speck_of(case)
    inner, outer = case.contact_zone_mm
    width = min(found.outer_radius_mm - found.inner_radius_mm, WIDE_MM, 0.35 * (outer - inner))
    middle = (found.inner_radius_mm + found.outer_radius_mm) / 2.0
    arc = min(found.arc_deg, math.degrees(LONG_MM / middle), 180.0 / case.studs.count)
    patch = replace(
        found, shape="sector", arc_deg=arc, inner_radius_mm=middle - width / 2, outer_radius_mm=middle + width / 2
    )
    low, high = (float(value) for value in radii_mm(clean, patch, 2))
    least, most = math.ceil(low / STEP_MM) * STEP_MM, math.floor(high / STEP_MM) * STEP_MM
    kind = next((name for name, of in KINDS.items() if of == found.kind), "scale")
    heights = tuple(sorted({*HEIGHTS_UM, found.height_um}))
    hub = tuple(sorted({*HUB_UM, case.hub.face_runout_um}))
    count = case.studs.count
    speck = Speck(
        round(found.angle_deg) % 360.0, min(max(round(middle / STEP_MM) * STEP_MM, least), most), found.height_um, kind
    )
    start = Setup(
        speck,
        (1.0,) * count,
        case.hub.face_runout_um,
        float(round(case.hub.face_high_spot_deg) % 360),
        case.studs.studs_turned % count,
        case.studs.clamped_by == "wheel",
    )
    return Choices(clean, start, heights, hub, (least, most), patch)


def setup_of(raw: object, of: Choices) -> Setup:
    """Read a state of the bench from what a page sent; nothing in it is taken on trust.

    Parameters
    ----------
    raw : object
        As JSON was read.
    of : Choices

    Raises
    ------
    BadInput
        Naming the first key that is wrong.

    Notes
    -----
    Angles in deg are rounded to whole degrees, radii to half a mm; all else is one of the presets, by definition.
    """
    given = _table(raw, "setup", ("speck", "nuts", "hub_um", "hub_deg", "hole", "wheel"))
    count = of.base.studs.count
    nuts = given["nuts"]
    if not isinstance(nuts, list) or len(nuts) != count:
        raise _bad("nuts", nuts, f"a list of {count}")
    wheel = given["wheel"]
    if not isinstance(wheel, bool):
        raise _bad("wheel", wheel, "true or false")
    hole = number_of(given["hole"], "hole", 0, count - 1)
    if hole != int(hole):
        raise _bad("hole", hole, "a whole number")
    return Setup(
        None if given["speck"] is None else _speck(given["speck"], of),
        tuple(_one_of(value, f"nuts {k + 1}", SHARES) for k, value in enumerate(nuts)),
        _one_of(given["hub_um"], "hub_um", of.hub_um),
        _angle(given["hub_deg"], "hub_deg"),
        int(hole),
        wheel,
    )


def as_json(setup: Setup) -> dict[str, Any]:
    """Write a state as `setup_of` reads it."""
    speck = None if setup.speck is None else dict(vars(setup.speck))
    return {**vars(setup), "speck": speck, "nuts": list(setup.nuts)}


def case_of(of: Choices, setup: Setup) -> Case:
    """Corner in a state of the bench, as `trueseat seat` would be given it.

    Notes
    -----
    Torque of each nut is its share of the case's own, in N m (or of its preload in N): by definition.
    """
    base, studs = of.base, of.base.studs
    count = studs.count
    own = studs.torque_nm if studs.preload_n is None else studs.preload_n
    each = own if isinstance(own, tuple) else (own or 0.0,) * count
    held = tuple(round(share * value, 6) for share, value in zip(setup.nuts, each, strict=True))
    key = "preload_n" if studs.preload_n is not None else "torque_nm"
    clamped = "wheel" if setup.wheel else "nuts and spacers"
    return replace(
        base,
        hub=replace(base.hub, face_runout_um=setup.hub_um, face_high_spot_deg=setup.hub_deg),
        studs=replace(studs, studs_turned=setup.hole, clamped_by=clamped, **{key: held}),  # type: ignore[arg-type]
        debris=() if setup.speck is None else (patch_of(of, setup.speck),),
    )


def patch_of(of: Choices, speck: Speck) -> Debris:
    """Patch of dirt that a speck is: as long along the turn wherever it lies. Lengths in mm, by definition."""
    laid = at_radius(of.base, of.patch, speck.radius_mm)
    kind = KINDS[speck.kind]
    own = (laid.crush_mpa, laid.modulus_mpa, laid.residual_share) if kind == laid.kind else (None, None, None)
    return replace(
        laid,
        on="hub",
        kind=kind,
        angle_deg=speck.angle_deg,
        height_um=speck.height_um,
        crush_mpa=own[0],
        modulus_mpa=own[1],
        residual_share=own[2],
    )


def _speck(raw: object, of: Choices) -> Speck:
    given = _table(raw, "speck", ("angle_deg", "radius_mm", "height_um", "kind"))
    kind = given["kind"]
    if not isinstance(kind, str) or kind not in KINDS:
        raise _bad("kind", kind, ", ".join(KINDS))
    low, high = of.radius_mm
    radius = number_of(given["radius_mm"], "radius_mm", low - STEP_MM, high + STEP_MM)
    return Speck(
        _angle(given["angle_deg"], "angle_deg"),
        min(max(round(radius / STEP_MM) * STEP_MM, low), high),
        _one_of(given["height_um"], "height_um", of.heights_um),
        kind,
    )


def _table(raw: object, name: str, keys: tuple[str, ...]) -> dict[str, Any]:
    if not isinstance(raw, dict):
        raise _bad(name, raw, "a table")
    if set(raw) != set(keys):
        odd = sorted(str(key) for key in set(raw) ^ set(keys))[:3]
        raise BadInput(Fault(f"missing or unknown: {printable(', '.join(odd), 60)}", key=name, allowed=", ".join(keys)))
    return raw


def number_of(raw: object, key: str, low: float, high: float) -> float:
    """Read a plain finite number in a range; a truth value, text or infinity is none.

    Raises
    ------
    BadInput
        Naming key and range.
    """
    if isinstance(raw, bool) or not isinstance(raw, int | float) or not low <= raw <= high:  # NaN lies in no range
        raise _bad(key, raw, f"a number, {low:g} .. {high:g}")
    return float(raw)


def _angle(raw: object, key: str) -> float:
    return float(round(number_of(raw, key, -360.0, 720.0) / STEP_DEG) * STEP_DEG % 360.0)


def _one_of(raw: object, key: str, allowed: tuple[float, ...]) -> float:
    value = number_of(raw, key, allowed[0], allowed[-1])
    if value not in allowed:
        raise _bad(key, raw, ", ".join(f"{one:g}" for one in allowed))
    return value


def _bad(key: str, value: object, allowed: str) -> BadInput:
    try:
        shown = printable(repr(value), 40)
    except ValueError:  # a whole number of thousands of digits is not even written down
        shown = "a number of too many digits"
    return BadInput(Fault(f"{shown} is not allowed", key=key, allowed=allowed))
