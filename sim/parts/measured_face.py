"""A face as measured: heights at angles and radii, what a dial traced on it, and what they say of the face."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from sim.arrays import Floats
from sim.errors import BadInput, Fault
from sim.one_thread import one_thread

COLUMNS = ("angle_deg", "radius_mm", "height_um")
LEAST_ANGLES = 6  # fewer cannot tell a lean from a saddle
HIGHEST_UM = 2000.0  # more is no face that a rotor sits on
BOUNDS = {"angle_deg": (-360.0, 360.0), "radius_mm": (5.0, 250.0), "height_um": (-HIGHEST_UM, HIGHEST_UM)}


@dataclass(frozen=True)
class Topography:
    """Heights of a face on a full grid of angles and radii; tuples, so that it can be part of a case.

    Parameters
    ----------
    angle_deg : tuple of float
        Sorted, within one turn; stud 1 at zero. [deg]
    radius_mm : tuple of float
        Sorted. One radius means a dial trace: its first order is a tilt and grows with the radius, the rest is taken
        as the same at every radius. [mm]
    height_um : tuple of tuple of float, angles x radii
        + proud of the mean plane. [um]

    Raises
    ------
    BadInput
        If the grid is not full, not sorted, too small, or holds what is no number.
    """

    angle_deg: tuple[float, ...]
    radius_mm: tuple[float, ...]
    height_um: tuple[tuple[float, ...], ...]

    def __post_init__(self) -> None:
        try:
            angle, radius, height = (np.array(getattr(self, name), dtype=float) for name in COLUMNS)
        except (TypeError, ValueError):
            raise BadInput(Fault("is not a measured face", key="face_map")) from None
        whole = angle.ndim == radius.ndim == 1 and height.shape == (angle.size, radius.size) and radius.size >= 1
        if (
            not whole
            or angle.size < LEAST_ANGLES
            or not all(np.isfinite(part).all() for part in (angle, radius, height))
        ):
            raise BadInput(Fault("is not a measured face", key="face_map"))
        if (np.diff(angle) <= 0).any() or angle[-1] - angle[0] >= 360.0 or (np.diff(radius) <= 0).any():
            raise BadInput(Fault("angles and radii must rise, within one turn", key="face_map"))
        for name, part in zip(COLUMNS, (angle, radius), strict=False):
            object.__setattr__(self, name, tuple(part.tolist()))
        object.__setattr__(self, "height_um", tuple(map(tuple, height.tolist())))

    def at_mm(self, radius_mm: Floats, angle_rad: Floats) -> Floats:
        """Height at any place: bilinear inside, nearest radius outside. [mm].

        Straight lines between places, by definition.
        """
        angles, radii, heights = np.array(self.angle_deg), np.array(self.radius_mm), np.array(self.height_um) / 1000.0
        closed_angles = np.append(angles, angles[0] + 360.0)
        closed = np.vstack([heights, heights[:1]])
        theta = (np.rad2deg(angle_rad) - angles[0]) % 360.0 + angles[0]
        row = np.clip(np.searchsorted(closed_angles, theta, side="right") - 1, 0, angles.size - 1)
        along = (theta - closed_angles[row]) / (closed_angles[row + 1] - closed_angles[row])
        if radii.size == 1:
            lean, rest = self._lean()
            flat = np.append(rest, rest[0]) / 1000.0
            tilt = np.real(lean * np.exp(1j * angle_rad)) / 1000.0 * radius_mm / radii[0]
            return tilt + flat[row] * (1 - along) + flat[row + 1] * along
        r = np.clip(radius_mm, radii[0], radii[-1])
        column = np.clip(np.searchsorted(radii, r, side="right") - 1, 0, radii.size - 2)
        across = (r - radii[column]) / (radii[column + 1] - radii[column])
        low = closed[row, column] * (1 - across) + closed[row, column + 1] * across
        high = closed[row + 1, column] * (1 - across) + closed[row + 1, column + 1] * across
        return low * (1 - along) + high * along

    def _lean(self) -> tuple[complex, Floats]:
        """First order of a single trace, and what is left of it."""
        theta = np.deg2rad(self.angle_deg)
        trace = np.array(self.height_um)[:, 0]
        design = np.column_stack([np.ones_like(theta), np.cos(theta), np.sin(theta)])
        fit = np.linalg.lstsq(design, trace, rcond=None)[0]
        return complex(fit[1], -fit[2]), trace - design[:, 1:] @ fit[1:]


@dataclass(frozen=True)
class FaceErrors:
    """What a measured face amounts to, kept apart; TIR where not said otherwise.

    Parameters
    ----------
    runout_um, high_spot_deg : float
        Tilt of the face, read at the outermost radius.
    stud_bumps_um : float
        Waves that repeat with the studs: bumps at the stud holes, which are no face runout.
    dish_um : float
        Outer edge minus inner edge of the turn's mean; + hollow.
    rest_um : float
        What is left.
    """

    runout_um: float
    high_spot_deg: float
    stud_bumps_um: float
    dish_um: float
    rest_um: float


@one_thread
def face_errors(face: Topography, count: int) -> FaceErrors:
    """Take a measured face apart.

    Parameters
    ----------
    face : Topography
    count : int
        Number of studs.

    Returns
    -------
    FaceErrors

    Notes
    -----
    Angles in deg, heights in um; least squares of the orders that a lean and the studs make.
    """
    theta = np.deg2rad(face.angle_deg)
    heights = np.array(face.height_um)
    outer = heights[:, -1]
    highest = max(1, (theta.size - 1) // 2)
    orders = sorted({1, *range(count, highest + 1, count)})
    parts = [np.ones_like(theta)]
    for order in orders:
        parts += [np.cos(order * theta), np.sin(order * theta)]
    design = np.column_stack(parts)
    fit = np.linalg.lstsq(design, outer, rcond=None)[0]
    fine = np.linspace(0, 2 * np.pi, 720, endpoint=False)
    bumps = np.zeros(fine.size)
    for k, order in enumerate(orders):
        if order != 1:
            bumps += fit[1 + 2 * k] * np.cos(order * fine) + fit[2 + 2 * k] * np.sin(order * fine)
    mean = heights.mean(axis=0)
    return FaceErrors(
        runout_um=float(2 * np.hypot(fit[1], fit[2])),
        high_spot_deg=float(np.rad2deg(np.arctan2(fit[2], fit[1])) % 360.0),
        stud_bumps_um=float(np.ptp(bumps)),
        dish_um=float(mean[-1] - mean[0]),
        rest_um=float(np.ptp(outer - design @ fit)),
    )


def to_dict(face: Topography) -> dict[str, list]:
    """Plain data of a face, for a run folder."""
    return {
        "angle_deg": list(face.angle_deg),
        "radius_mm": list(face.radius_mm),
        "height_um": [list(row) for row in face.height_um],
    }


def from_dict(tables: dict[str, Any]) -> Topography:
    """Inverse of `to_dict`.

    Raises
    ------
    BadInput
        If the data are no face.
    """
    if not isinstance(tables, dict) or not set(COLUMNS) <= set(tables):
        raise BadInput(Fault("is not a measured face", key="face_map"))
    return Topography(tables["angle_deg"], tables["radius_mm"], tables["height_um"])
