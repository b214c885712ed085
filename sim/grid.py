"""The grid on the disc, and the window that a pad cuts out of it."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from sim.errors import BadInput, Fault
from sim.pads import Brake, Fineness
from sim.taps import Grid

Floats = NDArray[np.float64]


def window(arc_rad: float, step_rad: float) -> Floats:
    """Share of each grid cell that lies under a pad, so that the arc is exact on any grid.

    Parameters
    ----------
    arc_rad : float
        Full arc of the pad. [rad]
    step_rad : float
        Width of a cell. [rad]

    Returns
    -------
    ndarray, shape (2 half + 1,)
        Shares between 0 and 1, symmetric, summing to ``arc_rad / step_rad``.
    """
    reach = 0.5 * arc_rad / step_rad
    half = math.ceil(reach - 0.5 - 1e-12)
    offset = np.abs(np.arange(-half, half + 1, dtype=float))
    return np.clip(reach + 0.5 - offset, 0.0, 1.0)


def make_grid(brake: Brake, fineness: Fineness) -> Grid:
    """Lay the grid on the disc and cut the pad's window out of it.

    Parameters
    ----------
    brake : Brake
    fineness : Fineness

    Returns
    -------
    Grid
        Ring radii (rings,), cell shares (cells,), cell weights and plate coordinates (rings, cells). [mm, mm2]
    """
    angles, rings = fineness.angles, fineness.rings
    step = 2.0 * math.pi / angles
    share = window(brake.arc_rad, step)
    if share.size > angles:
        raise BadInput(Fault("a pad longer than the turn", key="pads.arc_deg", allowed="below 360"))
    edge = np.sqrt(np.linspace(brake.inner_radius_mm**2, brake.outer_radius_mm**2, rings + 1))
    radius = 0.5 * (edge[1:] + edge[:-1])
    half = share.size // 2
    psi = step * np.arange(-half, half + 1)
    weight = np.outer(0.5 * (edge[1:] ** 2 - edge[:-1] ** 2) * step, share)
    along = np.outer(radius, np.sin(psi))
    across = np.outer(radius, np.cos(psi))
    across = across - np.sum(weight * across) / np.sum(weight)
    return Grid(
        angles=angles,
        rings=rings,
        half=half,
        step_rad=step,
        area_mm2=float(np.sum(weight)),
        radius_mm=radius,
        share=share,
        weight_mm2=weight,
        along_mm=along,
        across_mm=across,
        along_square=float(np.sum(weight * along**2)),
        across_square=float(np.sum(weight * across**2)),
    )
