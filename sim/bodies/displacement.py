"""How a body moved: displacement as a Fourier series over its r-z section, evaluated at any point of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from weakref import WeakKeyDictionary

import numpy as np
from numpy.typing import NDArray

from sim.arrays import Complexes, Floats


@dataclass(frozen=True, eq=False)
class Deformation:
    """Displacement of one body of revolution, rigid motion included; angles in the hub frame.

    Parameters
    ----------
    node_r_mm, node_z_mm : ndarray, shape (n,)
        Nodes of the section. [mm]
    quad : ndarray of int, shape (q, 4)
        Corner nodes of each element, counter-clockwise.
    order : ndarray of int, shape (k,)
        Harmonic orders kept.
    radial_mm, tangential_mm, axial_mm : ndarray of complex, shape (k, n)
        Coefficients c of u(theta) = Re sum_k c_k exp(i k theta). [mm]
    """

    node_r_mm: Floats
    node_z_mm: Floats
    quad: NDArray[np.int64]
    order: NDArray[np.int64]
    radial_mm: Complexes
    tangential_mm: Complexes
    axial_mm: Complexes

    def at(self, points_mm: Floats) -> Floats:
        """Displacement at points of the undeformed body.

        Parameters
        ----------
        points_mm : ndarray, shape (p, 3)
            Cartesian x, y, z in the hub frame; outside the section the nearest node answers. [mm]

        Returns
        -------
        ndarray, shape (p, 3)
            Cartesian displacement. [mm]

        Notes
        -----
        By definition of the Fourier series; straight lines between the nodes of the section.
        """
        from scipy.interpolate import NearestNDInterpolator  # takes a while to load

        points = np.asarray(points_mm, dtype=float)
        radius = np.hypot(points[:, 0], points[:, 1])
        theta = np.arctan2(points[:, 1], points[:, 0])
        section = np.column_stack([radius, points[:, 2]])
        unique, inverse = np.unique(np.round(section, 4), axis=0, return_inverse=True)
        inverse = inverse.ravel()
        values = _between_nodes(self)(unique)
        outside = ~np.isfinite(values.real).all(axis=1)
        if outside.any():
            values[outside] = NearestNDInterpolator(*_nodes(self))(unique[outside])
        k = self.order.size
        cylinder = np.empty((3, points.shape[0]))
        for component in range(3):
            coefficients = values[:, component * k : (component + 1) * k]
            total = np.zeros(points.shape[0])
            for column, order in enumerate(self.order):
                total += (coefficients[inverse, column] * np.exp(1j * order * theta)).real
            cylinder[component] = total
        cos, sin = np.cos(theta), np.sin(theta)
        return np.column_stack(
            [cylinder[0] * cos - cylinder[1] * sin, cylinder[0] * sin + cylinder[1] * cos, cylinder[2]]
        )


#: Straight lines between the nodes of what was asked before: a picture asks dozens of times, the triangles stay. Beside
#: the deformation and not in it, which goes to other processes as it is.
_KEPT: WeakKeyDictionary[Deformation, Callable[[Floats], Complexes]] = WeakKeyDictionary()


def _nodes(field: Deformation) -> tuple[Floats, Complexes]:
    """Places of the nodes (n, 2) and their coefficients (n, 3 k), in mm."""
    stacked = np.vstack([field.radial_mm, field.tangential_mm, field.axial_mm]).T
    return np.column_stack([field.node_r_mm, field.node_z_mm]), stacked


def _between_nodes(field: Deformation) -> Callable[[Floats], Complexes]:
    if field not in _KEPT:
        from scipy.interpolate import LinearNDInterpolator

        _KEPT[field] = LinearNDInterpolator(*_nodes(field))
    return _KEPT[field]
