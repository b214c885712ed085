"""A face as measured: heights at angles and radii, what a dial traced on it, and what they say of the face."""

from __future__ import annotations

import csv
import io
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from sim.errors import BadInput, Fault
from sim.tomlfile import read_text

Floats = NDArray[np.float64]

COLUMNS = ("angle_deg", "radius_mm", "height_um")
LEAST_ANGLES = 6
MOST_POINTS = 20_000
HIGHEST_UM = 2000.0
FINEST_ANGLE_DEG = 0.01


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
    """

    angle_deg: tuple[float, ...]
    radius_mm: tuple[float, ...]
    height_um: tuple[tuple[float, ...], ...]

    def at_mm(self, radius_mm: Floats, angle_rad: Floats) -> Floats:
        """Height at any place: bilinear inside, nearest radius outside. [mm]."""
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


def from_dict(tables: dict[str, list]) -> Topography:
    """Inverse of `to_dict`.

    Raises
    ------
    BadInput
        If the data are no face.
    """
    try:
        angle, radius, height = (np.array(tables[name], dtype=float) for name in COLUMNS)
        whole = height.shape == (angle.size, radius.size) and angle.size >= LEAST_ANGLES and radius.size >= 1
    except (KeyError, TypeError, ValueError):
        whole = False
    if not whole or not all(np.isfinite(part).all() for part in (angle, radius, height)):
        raise BadInput(Fault("is not a measured face", key="face_map"))
    rows = tuple(tuple(float(x) for x in row) for row in height)
    return Topography(tuple(map(float, angle)), tuple(map(float, radius)), rows)


def read_topography(path: str | Path) -> Topography:
    """Read a face from a table with the columns angle_deg, radius_mm and height_um.

    Parameters
    ----------
    path : path
        CSV, one point a line; comment lines begin with #. Every radius at every angle. 360 repeats 0 and is left out.

    Returns
    -------
    Topography

    Raises
    ------
    BadInput
        Every fault at once, with its line: a missing column, a value that is no number or out of range, a point given
        twice, a hole in the grid, too few angles.
    """
    name = str(path)
    rows = [(n, line) for n, line in enumerate(read_text(path).splitlines(), 1) if line.strip() and line[0] != "#"]
    if not rows:
        raise BadInput(Fault("is empty", file=name, allowed=", ".join(COLUMNS)))
    header = [cell.strip() for cell in rows[0][1].split(",")]
    if sorted(header) != sorted(COLUMNS):
        wrong = [cell for cell in header if cell not in COLUMNS]
        thou = any(cell.endswith(("thou", "inch", "mil")) for cell in wrong)
        hint = "; one thou is 25.4 µm" if thou else ""
        reason = f"columns {', '.join(header)[:80]!r} are not the ones of a face{hint}"
        raise BadInput(Fault(reason, file=name, line=rows[0][0], allowed=", ".join(COLUMNS)))
    points, faults = _points(rows[1:], header, name)
    if not faults:
        faults = _grid_faults(points, name)
    if faults:
        raise BadInput(faults)
    angles, radii = sorted({a for a, _ in points}), sorted({r for _, r in points})
    heights = tuple(tuple(points[a, r] for r in radii) for a in angles)
    return Topography(tuple(angles), tuple(radii), heights)


def _points(
    rows: list[tuple[int, str]], header: list[str], name: str
) -> tuple[dict[tuple[float, float], float], list[Fault]]:
    points: dict[tuple[float, float], float] = {}
    faults: list[Fault] = []
    bounds = {"angle_deg": (-360.0, 360.0), "radius_mm": (5.0, 250.0), "height_um": (-HIGHEST_UM, HIGHEST_UM)}
    if len(rows) > MOST_POINTS:
        return points, [Fault(f"has {len(rows)} points", file=name, allowed=f"at most {MOST_POINTS}")]
    for number, line in rows:
        cells = next(csv.reader(io.StringIO(line)))
        values: dict[str, float] = {}
        for column, cell in zip(header, cells, strict=False):
            low, high = bounds[column]
            try:
                values[column] = float(cell)
            except ValueError:
                faults.append(Fault(f"{cell.strip()[:20]!r} is not a number", name, number, column))
                continue
            if not low <= values[column] <= high:
                faults.append(
                    Fault(f"{values[column]:g} is out of range", name, number, column, f"{low:g} .. {high:g}")
                )
        if len(cells) != len(header):
            faults.append(Fault(f"has {len(cells)} values", name, number, "", f"{len(header)} values"))
        if len(values) != len(header) or abs(values["angle_deg"] - 360.0) < FINEST_ANGLE_DEG:
            continue
        place = (round(values["angle_deg"] % 360.0, 4), values["radius_mm"])
        if place in points:
            faults.append(Fault(f"angle {place[0]:g} at radius {place[1]:g} mm is given twice", name, number))
        points[place] = values["height_um"]
    return points, faults[:20]


def _grid_faults(points: dict[tuple[float, float], float], name: str) -> list[Fault]:
    angles, radii = sorted({a for a, _ in points}), sorted({r for _, r in points})
    if len(angles) < LEAST_ANGLES:
        return [Fault(f"has {len(angles)} angles", file=name, allowed=f"at least {LEAST_ANGLES}")]
    holes = [(a, r) for a in angles for r in radii if (a, r) not in points]
    if holes:
        places = ", ".join(f"{a:g} deg at {r:g} mm" for a, r in holes[:3])
        more = f" and {len(holes) - 3} more" if len(holes) > 3 else ""
        return [Fault(f"points are missing: {places}{more}", file=name, allowed="every radius at every angle")]
    values = np.array(list(points.values()))
    if 0 < np.ptp(values) < 1.0 and len(values) > LEAST_ANGLES:
        return [Fault("all heights lie within 1 µm; were they given in mm?", file=name, key="height_um")]
    return []
