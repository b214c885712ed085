"""How far things move in a picture: the factor of exaggeration and the true motions that it multiplies."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from scenes.geometry import shapes
from scenes.words import corner
from sim.arrays import Floats
from sim.parts.case import Case, Debris

ROUND = (1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0)
USUAL = 150.0
"""Every picture that is stretched at all, so that a clean corner looks as true beside a dirty one as it is."""
SWING_SHARE = 0.24
"""Largest runout in the picture, as a share of the rotor's radius; a corner that runs out more is stretched less."""
DIAL_DEG = 305.0
"""World angle at which the dial stands, in every picture and film of the stage."""
FACING_DEG = 36.0
"""World angle at which the cameras see a window in the hat best."""


def round_down(value: float) -> float:
    """Largest round factor not above ``value``: 1, 1.5, 2, 3, 4, 5, 6 or 8 times a power of ten, at least 1.

    Examples
    --------
    >>> round_down(137.0), round_down(0.3), round_down(99.0)
    (100.0, 1.0, 80.0)
    """
    if not value > 1.0:
        return 1.0
    decade = 10.0 ** math.floor(math.log10(value) + 1e-12)
    return max(step for step in ROUND if step * decade <= value * (1.0 + 1e-9)) * decade


def factor(*runs: Any) -> float:
    """One exaggeration for all pictures of all runs: ``USUAL``, less only where a rotor would leave the picture.

    Parameters
    ----------
    *runs : Run
        What is shown side by side.

    Returns
    -------
    float
        A round factor, 1 to ``USUAL``.
    """
    wish = min(SWING_SHARE * run.case.rotor.outer_diameter_mm / 2.0 / max(swing_um(run) * 1e-3, 1e-6) for run in runs)
    return USUAL if wish >= USUAL else round_down(wish)


def times(value: float) -> str:
    """Words for a factor, as printed in every picture."""
    if value < 1.005:
        return "true to scale"
    return f"stretched {value:,.0f} times".replace(",", "\u00a0") if value >= 9.5 else f"stretched {value:.1f} times"


def swing_um(run: Any) -> float:
    """Largest lateral runout of the two faces (TIR), in um."""
    return max(float(value) for value in run.seat.lateral_runout_um.values())


def index_shift_deg(run: Any) -> float:
    """Hub angle less rotor angle, in degrees."""
    studs = run.case.studs
    return 360.0 * studs.studs_turned / studs.count


def reading_um(run: Any, hub_deg: Any, face: str = "outboard") -> Floats:
    """Mounted trace of a face at hub angles, mean removed.

    Parameters
    ----------
    run : Run
        A computed corner.
    hub_deg : array_like
        Angles in the hub frame. [deg]
    face : str
        ``outboard`` or ``inboard``.

    Returns
    -------
    ndarray
        Height of the face, + outboard. [um]
    """
    trace = np.asarray(getattr(run.seat, f"{face}_um"), dtype=float)
    rotor_deg = np.asarray(hub_deg, dtype=float) - index_shift_deg(run)
    return np.interp(rotor_deg, np.asarray(run.seat.angle_deg, dtype=float), trace, period=360.0)


def low_spot_deg(run: Any, face: str = "outboard") -> float:
    """Hub angle at which a face stands furthest inboard, in degrees."""
    trace = np.asarray(getattr(run.seat, f"{face}_um"), dtype=float)
    return float((np.asarray(run.seat.angle_deg)[int(np.argmin(trace))] + index_shift_deg(run)) % 360.0)


def high_spot_deg(run: Any, face: str = "outboard") -> float:
    """Hub angle at which a face stands furthest outboard, in degrees."""
    trace = np.asarray(getattr(run.seat, f"{face}_um"), dtype=float)
    return float((np.asarray(run.seat.angle_deg)[int(np.argmax(trace))] + index_shift_deg(run)) % 360.0)


def rotor_motion(run: Any, points_mm: Floats) -> Floats:
    """Move points of the rotor truly, from the flat and square position.

    The mounted motion, and what the rotor brings along: its own runout grows from nothing at the mounting face to its
    full lean at the friction ring, its own thickness variation is shared by the two faces.

    Parameters
    ----------
    run : Run
        A computed corner.
    points_mm : ndarray, shape (p, 3)
        Hub frame. [mm]

    Returns
    -------
    ndarray, shape (p, 3)
        Displacement. [mm]
    """
    moved = run.seat.rotor_deformation().at(points_mm).copy()
    rotor, level = run.case.rotor, shapes.levels(run.case)
    radius = np.hypot(points_mm[:, 0], points_mm[:, 1])
    angle = np.arctan2(points_mm[:, 1], points_mm[:, 0]) - math.radians(index_shift_deg(run))
    depth = points_mm[:, 2] / level.outboard_face_mm
    reach = radius / rotor.own_runout_read_at_mm
    lean = 0.5e-3 * rotor.own_runout_um * np.cos(angle - math.radians(rotor.own_high_spot_deg))
    middle = 0.5 * (level.outboard_face_mm + level.inboard_face_mm)
    side = np.clip((points_mm[:, 2] - middle) / (0.5 * rotor.thickness_mm), -1.0, 1.0)
    ring = radius > rotor.hat_outer_diameter_mm / 2.0
    thick = 0.25e-3 * rotor.own_thickness_variation_um * np.cos(angle - math.radians(rotor.own_thick_spot_deg))
    moved[:, 2] += lean * reach * np.clip(depth, 0.0, 1.0) + thick * side * ring
    return moved


def hub_motion(run: Any, points_mm: Floats) -> Floats:
    """Move points of the hub truly, its face's own runout included: displacement, shape (p, 3), in mm."""
    deformation = run.seat.hub_deformation()
    moved = np.zeros_like(points_mm, dtype=float) if deformation is None else deformation.at(points_mm).copy()
    hub = run.case.hub
    # The face's own runout is shape, not bending; it fades out through the flange.
    radius = np.hypot(points_mm[:, 0], points_mm[:, 1])
    angle = np.arctan2(points_mm[:, 1], points_mm[:, 0]) - math.radians(hub.face_high_spot_deg)
    lean = 0.5e-3 * hub.face_runout_um * radius / hub.read_radius_mm * np.cos(angle)
    depth = np.clip(1.0 + points_mm[:, 2] / hub.flange_thickness_mm, 0.0, 1.0)
    moved[:, 2] += lean * depth * (radius > hub.spigot_diameter_mm / 2.0 + 0.1)
    return moved


def debris_angle_deg(run: Any, patch: Debris) -> float:
    """Hub angle of a patch's middle, whichever part it sits on, in degrees."""
    return patch.angle_deg + (index_shift_deg(run) if patch.on == "rotor" else 0.0)


def facing_deg(case: Case) -> float:
    """Turn that brings the highest patch, and so the window, to where the cameras see it best, in degrees."""
    patch = corner.highest(case)
    if patch is None:
        return 0.0
    shift = 360.0 * case.studs.studs_turned / case.studs.count if patch.on == "rotor" else 0.0
    return (FACING_DEG - patch.angle_deg - shift) % 360.0


def debris_height_um(run: Any, index: int) -> float:
    """Height at which a patch of debris holds the rotor off, after crushing where that was computed, in um."""
    left = tuple(run.seat.contact.residual_height_um)
    return float(left[index]) if index < len(left) else float(run.case.debris[index].height_um)


def pad_shift_um(run: Any, hub_deg: float, outboard: bool) -> float:
    """Where a pad stands, measured from the flat rotor's face: at rest by its clearance, or pushed back by the rotor.

    The springs that hold a pad are far softer than its lining, so a touching pad is drawn as giving way.

    Parameters
    ----------
    run : Run
        A computed corner.
    hub_deg : float
        Hub angle that stands under the pad's centre. [deg]
    outboard : bool
        Which pad.

    Returns
    -------
    float
        + outboard. [um]
    """
    half = run.case.pads.arc_deg / 2.0
    under = reading_um(run, hub_deg + np.linspace(-half, half, 15), "outboard" if outboard else "inboard")
    clearance = float(run.case.caliper.clearance_um)
    return max(clearance, float(under.max())) if outboard else min(-clearance, float(under.min()))


def gap_parts_um(run: Any, hub_deg: float, outboard: bool) -> tuple[float, float]:
    """Gap at the middle of a pad: how far the pad stands off the true plane, and the rotor's face the other way.

    Parameters
    ----------
    run : Run
        A computed corner.
    hub_deg : float
        Hub angle under the pad's middle. [deg]
    outboard : bool
        Which pad.

    Returns
    -------
    tuple of float
        They add up to the gap. [um]
    """
    side = 1.0 if outboard else -1.0
    face = float(reading_um(run, hub_deg, "outboard" if outboard else "inboard"))
    return side * pad_shift_um(run, hub_deg, outboard), -side * face
