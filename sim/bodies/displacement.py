"""How a body moved: displacement as a Fourier series over its r-z section, evaluated at any point of it."""

from __future__ import annotations

from dataclasses import dataclass

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
        from scipy.interpolate import LinearNDInterpolator, NearestNDInterpolator  # takes a while to load

        points = np.asarray(points_mm, dtype=float)
        radius = np.hypot(points[:, 0], points[:, 1])
        theta = np.arctan2(points[:, 1], points[:, 0])
        section = np.column_stack([radius, points[:, 2]])
        unique, inverse = np.unique(np.round(section, 4), axis=0, return_inverse=True)
        inverse = inverse.ravel()
        stacked = np.vstack([self.radial_mm, self.tangential_mm, self.axial_mm]).T
        nodes = np.column_stack([self.node_r_mm, self.node_z_mm])
        values = LinearNDInterpolator(nodes, stacked)(unique)
        outside = ~np.isfinite(values.real).all(axis=1)
        if outside.any():
            values[outside] = NearestNDInterpolator(nodes, stacked)(unique[outside])
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
