"""Stiffness of a section, harmonic by harmonic: K_n = K0 + n K1 + n^2 K2.

Semi-analytical finite elements of a body of revolution (Zienkiewicz and Taylor, The Finite Element Method, chapter on
semi-analytical methods): u_r = U cos n theta, u_theta = V sin n theta, u_z = W cos n theta on one r-z mesh.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_matrix, csc_matrix

from sim.arrays import Floats
from sim.bodies.section import Section
from sim.one_thread import one_thread
from sim.parts.case import Rotor
from sim.parts.materials import Metal

if TYPE_CHECKING:
    from skfem import CellBasis

SOFT_SHARE = 1e-3  # stiffness of a vane layer across its vanes, as a share of the metal's: nearly none
RING_SHEAR = 1.2  # shear correction of a rectangular section (Timoshenko)


@dataclass(frozen=True, eq=False)
class Stiffness:
    """Sparse blocks of one body and where its unknowns sit.

    Parameters
    ----------
    k0, k1, k2, mass : csc_matrix, shape (dof, dof)
        Stiffness blocks [N/mm] and unit-density mass.
    dof_r_mm, dof_z_mm : ndarray, shape (dof,)
        Place of each unknown. [mm]
    component : ndarray of int, shape (dof,)
        0 radial, 1 tangential, 2 axial.
    basis : skfem.CellBasis
        For recovering fields.
    """

    k0: csc_matrix
    k1: csc_matrix
    k2: csc_matrix
    mass: csc_matrix
    dof_r_mm: Floats
    dof_z_mm: Floats
    component: NDArray[np.int64]
    basis: CellBasis

    def at_order(self, order: int) -> csc_matrix:
        """Return the stiffness of one harmonic.

        [N/mm]; by definition of the Fourier series, whose strains are linear in n.
        """
        return (self.k0 + order * self.k1 + order**2 * self.k2).tocsc()


def isotropic(metal: Metal) -> Floats:
    """Return the 6 x 6 elasticity matrix, order rr, tt, zz, rz, rt, zt. [MPa].

    Hooke's law of an isotropic body (handbook).
    """
    young, nu = metal.youngs_mpa, metal.poisson
    shear = young / (2 * (1 + nu))
    matrix = np.zeros((6, 6))
    matrix[:3, :3] = young * nu / ((1 + nu) * (1 - 2 * nu))
    matrix[[0, 1, 2], [0, 1, 2]] += 2 * shear
    matrix[[3, 4, 5], [3, 4, 5]] = shear
    return matrix


def vane_layer(rotor: Rotor, metal: Metal, radius_mm: Floats) -> Floats:
    """Elasticity of a layer of straight vanes smeared to a continuum.

    Radially and axially the vanes carry in proportion to their fill. Across (zt) each vane is a beam between cheeks
    that bend with it: guided beam plus shear plus the cheeks' own bending over one pitch.

    Parameters
    ----------
    rotor : Rotor
        Vented rotor: vane count and thickness, cheek thickness.
    metal : Metal
    radius_mm : ndarray, any shape
        Where. [mm]

    Returns
    -------
    ndarray, shape (6, 6, ...)
        [MPa]

    Notes
    -----
    The root length of half a vane thickness is fitted on cyclic-sector models with true vanes; it deviates there by
    up to 5 %.
    """
    count, thick = float(rotor.vane_count or 1), float(rotor.vane_thickness_mm or 1.0)
    cheek = float(rotor.cheek_thickness_mm or 1.0)
    height = rotor.thickness_mm - 2 * cheek
    pitch = 2 * np.pi * radius_mm / count
    fill = np.clip(thick / pitch, 0.0, 1.0)
    young, nu = metal.youngs_mpa, metal.poisson
    shear = young / (2 * (1 + nu))
    plane = young / (1 - nu**2)
    reach = height + 0.5 * thick
    compliance = (
        reach**3 / (12 * plane * thick**3 / 12)
        + RING_SHEAR * height / (shear * thick)
        + reach**2 * np.maximum(pitch - thick, 0.0) / (24 * plane * cheek**3 / 12)
    )
    out = np.zeros((6, 6, *radius_mm.shape))
    along = fill * young / (1 - nu**2)
    out[0, 0] = out[2, 2] = along
    out[0, 2] = out[2, 0] = nu * along
    out[1, 1] = SOFT_SHARE * young
    out[3, 3] = fill * shear / RING_SHEAR
    out[4, 4] = SOFT_SHARE * shear
    out[5, 5] = height / pitch / compliance
    return out


def _strains(basis: CellBasis, radius: Floats) -> tuple[Floats, Floats]:
    """Rows of B0 and of B1 for every shape function of every element, at its integration points.

    Shapes (elements, shapes, 6, points).
    """
    first, second = [], []
    for (shape,) in basis.basis:
        u, du = np.asarray(shape), shape.grad
        zero, turned = np.zeros_like(radius), du[1, 0] - u[1] / radius
        first.append(np.array([du[0, 0], u[0] / radius, du[2, 1], du[0, 1] + du[2, 0], turned, du[1, 1]]))
        second.append(np.array([zero, u[1] / radius, zero, zero, -u[0] / radius, -u[2] / radius]))
    by_element = [np.moveaxis(np.array(rows), 2, 0) for rows in (first, second)]
    return by_element[0], by_element[1]


def _summed(basis: CellBasis, tests: Floats, trials: Floats) -> csc_matrix:
    """Sum products of test and trial rows, shapes (elements, shapes, rows, points), into a matrix of all unknowns."""
    tests, trials = (rows.reshape(*rows.shape[:2], -1) for rows in (tests, trials))
    by_element = tests @ trials.transpose(0, 2, 1)
    dofs = np.asarray(basis.element_dofs).T
    rows = np.broadcast_to(dofs[:, :, None], by_element.shape)
    columns = np.broadcast_to(dofs[:, None, :], by_element.shape)
    return coo_matrix((by_element.ravel(), (rows.ravel(), columns.ravel())), shape=(basis.N, basis.N)).tocsc()


@one_thread
def assemble(
    section: Section, metal: Metal, rotor: Rotor | None = None, elements: NDArray[np.int64] | None = None
) -> Stiffness:
    """Assemble the stiffness blocks of one body.

    Parameters
    ----------
    section : Section
    metal : Metal
    rotor : Rotor, optional
        Needed where the section holds a vane layer.
    elements : ndarray of int, optional
        Only these are assembled, on the unknowns of the whole section.

    Returns
    -------
    Stiffness

    Notes
    -----
    [N/mm]. Fourier finite elements of a solid of revolution (O. C. Zienkiewicz, The Finite Element Method, semi-
    analytical elements; from memory); fields with closed-form energy: tests/unit/test_stiffness.py.
    """
    from skfem import CellBasis, ElementQuadS2, ElementVector  # slow to load; a stored geometry asks for none of it

    basis = CellBasis(section.mesh, ElementVector(ElementQuadS2(), 3), intorder=5, elements=elements)
    radius = np.asarray(basis.global_coordinates())[0]
    elastic = np.broadcast_to(isotropic(metal)[:, :, None, None], (6, 6, *radius.shape)).copy()
    vanes = (section.kind if elements is None else section.kind[elements]) == "vanes"
    if vanes.any() and rotor is not None:
        elastic[:, :, vanes] = vane_layer(rotor, metal, radius[vanes])
    volume = radius * basis.dx
    stress = np.ascontiguousarray(np.moveaxis(elastic * volume, (2, 3), (0, 3)))
    strains, moved = _strains(basis, radius), np.moveaxis(np.array([u for (u,) in basis.basis]), 2, 0)
    loaded = [np.einsum("eijq,ebjq->ebiq", stress, strain, optimize=True) for strain in strains]

    def block(left: int, right: int) -> csc_matrix:
        return _summed(basis, strains[left], loaded[right])

    half = block(0, 1)
    component = np.empty(basis.N, dtype=np.int64)
    for dofs in (basis.nodal_dofs, basis.facet_dofs):
        for row in range(3):
            component[dofs[row]] = row
    return Stiffness(
        k0=block(0, 0),
        k1=(half + half.T).tocsc(),
        k2=block(1, 1),
        mass=_summed(basis, moved, moved * volume[:, None, None]),
        dof_r_mm=basis.doflocs[0].copy(),
        dof_z_mm=basis.doflocs[1].copy(),
        component=component,
        basis=basis,
    )
