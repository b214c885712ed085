"""Simulated worn discs: the same corner with drawn runout at fitting and drawn wear parameters, run to a distance."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from sim.bands import Disc, Progress, draw, on_all_cores
from sim.errors import BadInput, Fault
from sim.march import march, states_at
from sim.onethread import one_thread
from sim.pads import Brake, Fineness, brake_of
from sim.parts import Case
from sim.ring import tir
from sim.wear import make_problem

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

#: Runout at fitting, TIR, evenly on a logarithmic scale. Judgement: from a good new corner to a gross fault. [um]
FITTED_UM = (10.0, 300.0)
#: Second order in it, amplitude over that of the first, evenly. Judgement.
MOST_SECOND = 0.4
#: Thickness variation of a new disc, evenly. Common practice, no source: 10 um is the strictest limit in service. [um]
NEW_DTV_UM = (0.0, 8.0)

THICKNESS_ORDERS = 4
LEAN_ORDERS = 2
LIBRARY = 2000
#: The runs of the library need not be finer than the readings.
ROUGH = Fineness(angles=72, rings=2, release_angles=8, tolerance_mm=1.5e-4)


@dataclass(frozen=True, eq=False)
class Library:
    """Simulated worn discs at one distance, each with order 1 of its runout at fitting at angle zero.

    Parameters
    ----------
    distance_km : float
    fitted_um : ndarray, shape (m,)
        Runout at fitting, TIR.
    lean_um : ndarray of complex, shape (m, LEAN_ORDERS)
        Orders of the mean plane as worn.
    thickness_um : ndarray of complex, shape (m, THICKNESS_ORDERS)
        Orders of the thickness.
    """

    distance_km: float
    fitted_um: Floats
    lean_um: Complexes
    thickness_um: Complexes


def _fitted_draws(count: int, seed: int) -> Floats:
    """Draws of TIR, second order, its phase, new thickness variation, its phase: shape (count, 5)."""
    random = np.random.default_rng(seed)
    uniform = np.stack([(random.permutation(count) + random.random(count)) / count for _ in range(5)], axis=1)
    low, high = np.log(FITTED_UM[0]), np.log(FITTED_UM[1])
    out = uniform.copy()
    out[:, 0] = np.exp(low + uniform[:, 0] * (high - low))
    out[:, 1] = MOST_SECOND * uniform[:, 1]
    out[:, 2] = 2.0 * math.pi * uniform[:, 2]
    out[:, 3] = NEW_DTV_UM[0] + (NEW_DTV_UM[1] - NEW_DTV_UM[0]) * uniform[:, 3]
    out[:, 4] = 2.0 * math.pi * uniform[:, 4]
    return out


def new_disc(case: Case, row: Floats) -> Disc:
    """A disc as fitted, from TIR [um], second order share, its phase, new thickness variation [um], its phase."""
    theta = 2.0 * math.pi * np.arange(360) / 360
    shape = np.cos(theta) + row[1] * np.cos(2.0 * theta - row[2])
    runout = 1e-3 * row[0] * shape / tir(shape)
    height = 0.25e-3 * row[3] * np.cos(theta - row[4])
    drive = case.drive
    return Disc(runout, case.gauge_radius_mm, np.stack([height, height]), drive.friction, drive.revolutions_per_km)


def _orders(rows: Floats, highest: int) -> Complexes:
    return np.asarray(2.0 * np.fft.rfft(rows, axis=-1)[..., 1 : highest + 1] / rows.shape[-1], dtype=np.complex128)


@one_thread
def worn_orders(disc: Disc, brake: Brake, distance_km: Floats) -> tuple[Complexes, Complexes]:
    """Wear one disc: orders of the mean plane where the runout was read, and of the thickness, at the distances. [um].

    Returns
    -------
    tuple of ndarray of complex, shapes (k, LEAN_ORDERS) and (k, THICKNESS_ORDERS)
    """
    one = make_problem(brake, disc.runout_mm, disc.radius_mm, disc.height_mm, ROUGH)
    turns = distance_km * disc.revolutions_per_km
    states, _ = states_at(march(one, float(turns.max())), turns)
    cells = one.face_cells
    face = -states[:, : 2 * cells] - states[:, 2 * cells : 4 * cells]
    if one.law.has_film:
        face = face + states[:, 4 * cells : 6 * cells]
    face = np.tensordot(face.reshape(-1, 2, one.grid.rings, one.grid.angles), one.at_gauge, axes=(2, 0))
    height = 1e3 * (face + resampled_heights(disc, one.grid.angles)[None])
    lean = 1e3 * _orders(disc.runout_mm, LEAN_ORDERS) + _orders(0.5 * (height[:, 0] - height[:, 1]), LEAN_ORDERS)
    return lean, _orders(height.sum(axis=1), THICKNESS_ORDERS)


def resampled_heights(disc: Disc, angles: int) -> Floats:
    """Heights of the new faces on a grid of ``angles`` (a divisor of their own number). Shape (2, angles). [mm]."""
    return disc.height_mm[:, :: disc.height_mm.shape[1] // angles]


@one_thread
def learn(
    case: Case, distance_km: Sequence[float], count: int = LIBRARY, seed: int = 7, progress: Progress | None = None
) -> tuple[Library, ...]:
    """Simulate worn discs of this corner with drawn runout at fitting and drawn wear parameters.

    Parameters
    ----------
    case : Case
    distance_km : sequence of float
        One library is made for each.
    count, seed : int
    progress : callable, optional

    Returns
    -------
    tuple of Library
    """
    brake = brake_of(case)
    distance = np.asarray(distance_km, dtype=float)
    if distance.size == 0 or not np.all((distance > 0.0) & (distance <= 1.0e6)):
        raise BadInput(Fault("distance since fitting", key="distance_km", allowed="above 0, to 1e6"))
    ranges, values = draw(brake, count, seed)
    rows = np.concatenate([_fitted_draws(count, seed + 1), values], axis=1)

    def one(row: Floats) -> tuple[Complexes, Complexes]:
        changed: dict[str, Any] = {item.field: float(v) for item, v in zip(ranges, row[5:], strict=True)}
        return worn_orders(new_disc(case, row), replace(brake, **changed), distance)

    found = on_all_cores(one, rows, "wearing discs of every kind", progress)
    lean, thickness = (np.array(column) for column in zip(*found, strict=True))
    return tuple(Library(float(km), rows[:, 0], lean[:, k], thickness[:, k]) for k, km in enumerate(distance))
