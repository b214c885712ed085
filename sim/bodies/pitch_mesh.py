"""One vane pitch of a vented ring as hexahedra in (r, angle, z), fitted to the r-z section that the hat is made of.

Straight vanes of even thickness: mesh lines follow their sides, whose angle is asin(t / 2r). Only half a pitch is
meshed, from the middle of a vane to the middle of a gap; what lies beyond is its mirror image.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.polynomial.legendre import leggauss
from numpy.typing import NDArray
from scipy.sparse import csr_matrix

from sim.arrays import Floats, Ints
from sim.bodies.section import Section

if TYPE_CHECKING:
    from skfem import CellBasis

SAME_PLACE_MM = 1e-5  # nearer than this two nodes are one; round-off
ORDER = 5  # Gauss points enough for the section's own elements, three a side
# Gauss points and weights on 0 .. 1, for means along the turn.
GAUSS_AT, GAUSS_WEIGHT = (0.5 * part + shift for part, shift in zip(leggauss(4), (0.5, 0.0), strict=True))


@dataclass(frozen=True)
class Vanes:
    """Straight vanes of one rotor: number, thickness, and the radii where they begin and end. [mm]."""

    count: int
    thickness_mm: float
    inner_mm: float
    outer_mm: float

    @property
    def half_pitch_rad(self) -> float:
        """Half the angle from one vane to the next. [rad]. By definition."""
        return np.pi / self.count

    def side_rad(self, radius_mm: Floats) -> Floats:
        """Angle of a vane's side; inside of where the vanes begin it stays what it is there. [rad].

        Geometry of a vane of even thickness.
        """
        return np.arcsin(np.minimum(0.5 * self.thickness_mm / np.maximum(radius_mm, self.inner_mm), 1.0))


@dataclass(frozen=True)
class Slices:
    """Elements along the turn in half a vane and in half a gap, and how near the vanes' roots mesh lines lie.

    ``root`` is the share of an element's height at which a line runs beside each root; 0 for none. ``side`` makes the
    elements along the turn narrower towards the vane's side: the share that remains from one to the next; 1 for even.
    """

    vane: int = 1
    gap: int = 2
    root: float = 0.2
    side: float = 0.25

    @property
    def turn(self) -> Floats:
        """Mesh lines: 0 the middle of the vane, 1 its side, 2 the middle of the gap.

        No unit. How lines close up at the vane's side: judgement, tried against finer ones
        (tests/verification/test_vanes.py).
        """
        vane, gap = (np.cumsum((1 / self.side) ** np.arange(count)) for count in (self.vane, self.gap))
        return np.concatenate([1 - vane[::-1] / vane[-1], [1.0], 1 + gap / gap[-1]])


@dataclass(frozen=True, eq=False)
class Sector:
    """Half a pitch of a ring.

    Parameters
    ----------
    basis : skfem.CellBasis
        Scalar quadratic (serendipity) elements; coordinates r, angle, z. [mm, rad, mm]
    half_pitch_rad : float
    place : ndarray of int, shape (unknowns,)
        Node of the section (row of ``nodes``) whose r and z an unknown of ``basis`` has.
    nodes : ndarray, shape (places, 2)
        r and z of the section's nodes within the ring. [mm]
    """

    basis: CellBasis
    half_pitch_rad: float
    place: Ints
    nodes: Floats

    @property
    def on_mirror(self) -> NDArray[np.bool_]:
        """Unknowns in the middle of the vane or of the gap."""
        angle = self.basis.doflocs[1]
        return (angle < 1e-9) | (angle > self.half_pitch_rad - 1e-9)


def extrude(section: Section, elements: Ints, vanes: Vanes, slices: Slices) -> Sector:
    """Turn some elements of a section into half a pitch of hexahedra, open between the vanes.

    Parameters
    ----------
    section : Section
        On a tensor grid.
    elements : ndarray of int
        Those of the ring.
    vanes : Vanes
    slices : Slices

    Returns
    -------
    Sector
        Nodes coincide in r and z with those of the section's quadratic elements.

    Notes
    -----
    Lengths in mm, angles in rad; geometry.
    """
    from skfem import CellBasis, ElementHexS2, MeshHex  # slow to load; a stored geometry asks for none of it

    corners = section.mesh.p[:, section.mesh.t[:, elements]]
    r, z = (np.unique(np.round(line, 9)) for line in corners)
    lines = _towards_roots(z, corners[1][:, section.kind[elements] == "vanes"], slices.root)
    grid = MeshHex.init_tensor(r, slices.turn, lines)
    cell = {_key(*middle): section.kind[e] for middle, e in zip(corners.mean(axis=1).T, elements, strict=True)}
    middle = grid.p[:, grid.t].mean(axis=1)
    level = (z[:-1] + z[1:])[np.searchsorted(z, middle[2]) - 1] / 2
    kind = np.array([cell.get(_key(*place), "") for place in zip(middle[0], level, strict=True)])
    kept = np.flatnonzero((kind == "solid") | ((kind == "vanes") & (middle[1] < 1)))
    mesh = grid.restrict(kept)
    side, half = vanes.side_rad(mesh.p[0]), vanes.half_pitch_rad
    angle = np.where(mesh.p[1] <= 1, mesh.p[1] * side, side + (mesh.p[1] - 1) * (half - side))
    mesh = MeshHex(np.vstack([mesh.p[0], angle, mesh.p[2]]), mesh.t)
    basis = CellBasis(mesh, ElementHexS2(), intorder=ORDER)
    flat = section.mesh
    ends = flat.p[:, flat.facets[:, np.unique(flat.t2f[:, elements])]]
    nodes = np.vstack([flat.p[:, np.unique(flat.t[:, elements])].T, ends.mean(axis=1).T])
    return Sector(basis, half, nearest(nodes, basis.doflocs[[0, 2]].T), nodes)


def nearest(nodes: Floats, places: Floats) -> Ints:
    """Row of ``nodes`` at each place, -1 where there is none. Shape (places,)."""
    from scipy.spatial import cKDTree

    away, row = cKDTree(nodes).query(places)
    return np.where(away < SAME_PLACE_MM, row, -1)


def _towards_roots(z: Floats, vane_z: Floats, root: float) -> Floats:
    """Add a line on either side of the vanes' roots, at a share of the distance to the next."""
    if root == 0 or vane_z.size == 0:
        return z
    out = [z]
    for end in (vane_z.min(), vane_z.max()):
        at = int(np.argmin(np.abs(z - end)))
        out.append(end + root * (z[[k for k in (at - 1, at + 1) if 0 <= k < z.size]] - end))
    return np.sort(np.concatenate(out))


def _key(r: float, z: float) -> tuple[float, float]:
    return round(float(r), 4), round(float(z), 4)


def means(sector: Sector) -> csr_matrix:
    """Rows that average over the metal along the turn. Shape (places, unknowns).

    No unit. Gauss points along the turn, exact for the elements that are used.
    """
    from skfem import CellBasis, ElementHexS2

    x, along, y = np.meshgrid([0.0, 0.5, 1.0], GAUSS_AT, [0.0, 0.5, 1.0], indexing="ij")
    points = np.vstack([y.ravel(), x.ravel(), along.ravel()])  # a grid's own axes run z, r, angle
    basis = CellBasis(sector.basis.mesh, ElementHexS2(), quadrature=(points, np.ones(points.shape[1])))
    r, angle, z = np.asarray(basis.global_coordinates())
    lines = angle.reshape(-1, 3, GAUSS_AT.size, 3)
    width = np.abs(lines[:, :, -1:] - lines[:, :, :1]) * GAUSS_WEIGHT[:, None]
    row = nearest(sector.nodes, np.column_stack([r.ravel(), z.ravel()]))
    seen = row >= 0  # the middle of a face is no node
    total = np.bincount(row[seen], width.ravel()[seen], sector.nodes.shape[0])
    share = width.ravel() / total[row]
    shape = sector.nodes.shape[0], sector.basis.N
    matrix = csr_matrix(shape)
    for number, dof in enumerate(basis.element_dofs):
        value = np.broadcast_to(np.asarray(basis.basis[number][0]), r.shape).ravel()
        column = np.repeat(dof, r.shape[1])
        matrix = matrix + csr_matrix(((share * value)[seen], (row[seen], column[seen])), shape=shape)
    return matrix
