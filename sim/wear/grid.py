"""The grid on the disc, and the window that a pad cuts out of it."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

import numpy as np

from sim.arrays import Floats
from sim.errors import BadInput, Fault
from sim.wear.brake import Brake, Fineness

if TYPE_CHECKING:  # its compiler takes a second to load, which seating alone does not wait for
    from sim.wear.revolution import Grid


def places(inner_mm: float, outer_mm: float, count: int) -> tuple[Floats, Floats]:
    """Radii across the pad at which wear is followed, and the share of the pad's area that each stands for.

    Gauss's places in r squared, exact for polynomials in it of degree 2 count - 1: face runout, wear and pressure run
    smoothly across the pad, so three of them do as well as sixteen even rings. One place stands at the mean radius.

    Parameters
    ----------
    inner_mm, outer_mm : float
        Pad band. [mm]
    count : int

    Returns
    -------
    tuple of ndarray, shapes (count,)
        Radii, rising [mm], and shares that sum to 1.

    Examples
    --------
    >>> places(102.5, 147.5, 3)[0].round(1).tolist()
    [108.5, 127.0, 143.1]
    """
    if count == 1:
        return np.array([0.5 * (inner_mm + outer_mm)]), np.ones(1)
    at, weight = np.polynomial.legendre.leggauss(count)
    return np.sqrt(inner_mm**2 + 0.5 * (1.0 + at) * (outer_mm**2 - inner_mm**2)), 0.5 * weight


def weights_at(radius_mm: Floats, at_mm: float) -> Floats:
    """Weights that carry values at the places across the pad to one radius: the polynomial through them.

    Parameters
    ----------
    radius_mm : ndarray, shape (rings,)
    at_mm : float
        Within the pad band. [mm]

    Returns
    -------
    ndarray, shape (rings,)
        Summing to 1.

    Notes
    -----
    Lagrange's polynomial through the places (closed form).
    """
    apart = radius_mm[:, None] - radius_mm[None, :] + np.eye(radius_mm.size)
    away = np.where(np.eye(radius_mm.size, dtype=bool), 1.0, at_mm - radius_mm[None, :])
    return np.asarray(np.prod(away / apart, axis=1))


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

    Notes
    -----
    Geometry.
    """
    reach = 0.5 * arc_rad / step_rad
    half = math.ceil(reach - 0.5 - 1e-12)
    offset = np.abs(np.arange(-half, half + 1, dtype=float))
    return np.clip(reach + 0.5 - offset, 0.0, 1.0)


def fitted(arc_rad: float, about: int) -> int:
    """Even number of angles round the turn, near one, on which a pad's window leans least amiss.

    Cells at the pad's ends are whole or cut, so its stiffness against tilting is 0.1 to 3 % off with the arc; of small
    thickness variations that makes several per cent. A few angles more or fewer bring it within 0.7 %.

    Parameters
    ----------
    arc_rad : float
        Full arc of the pad. [rad]
    about : int

    Returns
    -------
    int
        Within a tenth of ``about``.

    Notes
    -----
    Second moment of the window against that of an even strip, arc cubed over twelve (closed form).

    Examples
    --------
    >>> fitted(math.radians(55.0), 60), fitted(math.radians(50.0), 60)
    (60, 66)
    """

    def amiss(angles: int) -> float:
        step = 2.0 * math.pi / angles
        share = window(arc_rad, step)
        cells = np.arange(share.size) - share.size // 2
        return abs(float(np.sum(share * cells**2)) * 12.0 * (step / arc_rad) ** 3 - 1.0)

    near = range(2 * math.ceil(0.45 * about), 2 * math.floor(0.55 * about) + 1, 2)
    return min(near, key=lambda angles: (amiss(angles), abs(angles - about)))


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

    Notes
    -----
    Geometry; places and weights across the pad by Gauss and Legendre (`places`).
    """
    from sim.wear.revolution import Grid

    angles, rings = fineness.angles, fineness.rings
    step = 2.0 * math.pi / angles
    share = window(brake.arc_rad, step)
    if share.size > angles:
        raise BadInput(Fault("a pad longer than the turn", key="pads.arc_deg", allowed="below 360"))
    radius, area = places(brake.inner_radius_mm, brake.outer_radius_mm, rings)
    half = share.size // 2
    psi = step * np.arange(-half, half + 1)
    weight = np.outer(0.5 * (brake.outer_radius_mm**2 - brake.inner_radius_mm**2) * step * area, share)
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
