"""Structured hexahedra of revolution: a tensor grid in r, z and theta of which the solid cells are kept.

Units mm and degrees. Angles run counter-clockwise about +z. A half model spans 0 to 180 degrees from its mirror plane.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.arrays import Floats, Ints

# Local node numbers of the two faces of a hexahedron that look along -z and +z, and how the solver names them.
BOTTOM, TOP = "S1", "S2"


@dataclass(frozen=True, eq=False)
class Mesh:
    """Nodes and hexahedra, with the grid that they came from.

    Parameters
    ----------
    r, z, theta : ndarray
        Grid lines; ``theta`` holds the nodal angles of one turn or half a turn. [mm, mm, deg]
    closed : bool
        Whether the last sector joins the first.
    nodes : ndarray, shape (n, 3)
        Cartesian positions. [mm]
    hexes : ndarray, shape (m, 8)
        Nodes of each element in the solver's order.
    node_at, hex_at : ndarray, shapes (nr, nz, nt) and (nr - 1, nz - 1, sectors)
        Grid place to number, -1 where there is no metal.
    """

    r: Floats
    z: Floats
    theta: Floats
    closed: bool
    nodes: Floats
    hexes: Ints
    node_at: Ints
    hex_at: Ints

    def plane(self, z_mm: float) -> int:
        """Number of the grid plane at this height."""
        found = int(np.argmin(np.abs(self.z - z_mm)))
        if abs(self.z[found] - z_mm) > 1e-9:
            raise ValueError(f"no mesh plane at z = {z_mm}")
        return found

    def ring(self, r_mm: float) -> int:
        """Number of the grid cylinder at this radius."""
        found = int(np.argmin(np.abs(self.r - r_mm)))
        if abs(self.r[found] - r_mm) > 1e-9:
            raise ValueError(f"no mesh line at r = {r_mm}")
        return found

    @property
    def sector_edges(self) -> Floats:
        """Angles of the sector borders, one more than there are sectors. [deg]"""
        return np.append(self.theta, self.theta[0] + 360.0) if self.closed else self.theta


def subdivide(breaks: list[float], size: float, fine: float | None = None, near: tuple[float, ...] = ()) -> Floats:
    """Lines through every break, at most ``size`` apart and at most ``fine`` in intervals that touch a ``near`` value.

    Breaks closer than 1e-6 count as one.
    """
    marks = np.unique(np.round(np.asarray(breaks, dtype=float), 6))
    pieces = [marks[:1]]
    for low, high in zip(marks[:-1], marks[1:], strict=True):
        touches = fine is not None and any(abs(low - v) < 1e-6 or abs(high - v) < 1e-6 for v in near)
        parts = max(1, int(np.ceil((high - low) / (fine if touches else size) - 1e-6)))
        pieces.append(np.linspace(low, high, parts + 1)[1:])
    return np.concatenate(pieces)


def graded(low: float, high: float, size: float, first: float | None = None, last: float | None = None) -> Floats:
    """Lines from ``low`` to ``high`` at most ``size`` apart, closer (``first``, ``last``) towards an end if wanted.

    Steps grow by half from line to line; all are then stretched alike to fit.
    """
    span, growth = high - low, 1.5

    def wanted(place: float) -> float:
        # The step at a place follows its distance to each refined end.
        near = [size]
        if first is not None:
            near.append(first + (growth - 1.0) * (place - low))
        if last is not None:
            near.append(last + (growth - 1.0) * (high - place))
        return min(near)

    places = np.linspace(low, high, 2001)
    density = np.array([1.0 / wanted(place) for place in places])
    count = np.concatenate([[0.0], np.cumsum(0.5 * (density[1:] + density[:-1]))]) * span / 2000.0
    parts = max(1, int(np.ceil(count[-1] - 1e-6)))
    return np.interp(np.linspace(0.0, count[-1], parts + 1), count, places)


def rectangles(r: Floats, z: Floats, boxes: list[tuple[float, float, float, float]]) -> NDArray[np.bool_]:
    """Cells of the r-z grid whose middle lies in one of the boxes (r0, r1, z0, z1)."""
    mid_r, mid_z = 0.5 * (r[1:] + r[:-1])[:, None], 0.5 * (z[1:] + z[:-1])[None, :]
    solid = np.zeros((r.size - 1, z.size - 1), dtype=bool)
    for r0, r1, z0, z1 in boxes:
        solid |= (mid_r > r0) & (mid_r < r1) & (mid_z > z0) & (mid_z < z1)
    return solid


def revolve(r: Floats, z: Floats, theta: Floats, solid: NDArray[np.bool_], angle: Floats | None = None) -> Mesh:
    """Turn a section into hexahedra.

    Parameters
    ----------
    r, z, theta : ndarray
        Grid lines; ``theta`` from 0 to 360 (closes on itself) or over any smaller span. [mm, mm, deg]
    solid : ndarray of bool, shape (nr - 1, nz - 1) or (nr - 1, nz - 1, sectors)
        Which cells are metal.
    angle : ndarray, shape (nr, nt), optional
        True angle of each line at each radius, where lines follow straight vanes. [deg]
    """
    closed = abs(theta[-1] - theta[0] - 360.0) < 1e-9
    sectors = theta.size - 1
    count = sectors if closed else theta.size
    solid = np.broadcast_to(solid[..., None] if solid.ndim == 2 else solid, (r.size - 1, z.size - 1, sectors))
    i, k, j = np.nonzero(solid)
    after = (j + 1) % count
    corners = [(i, k, j), (i + 1, k, j), (i + 1, k, after), (i, k, after)]
    corners += [(a, b + 1, c) for a, b, c in corners]
    shape = (r.size, z.size, count)
    flat = np.column_stack([np.ravel_multi_index(corner, shape) for corner in corners])
    used, hexes = np.unique(flat, return_inverse=True)
    node_at = np.full(shape, -1, dtype=np.int64)
    node_at.ravel()[used] = np.arange(used.size)
    hex_at = np.full(solid.shape, -1, dtype=np.int64)
    hex_at[i, k, j] = np.arange(i.size)
    a, b, c = np.unravel_index(used, shape)
    turn = np.radians(theta[c] if angle is None else angle[a, c])
    nodes = np.column_stack([r[a] * np.cos(turn), r[a] * np.sin(turn), z[b]])
    return Mesh(r, z, theta[:count], closed, nodes, hexes.reshape(flat.shape), node_at, hex_at)


def annulus_loads(mesh: Mesh, z_mm: float, centre: tuple[float, float], radii: tuple[float, float]) -> Floats:
    """Consistent nodal shares of a unit force spread evenly over an annulus on a plane of the mesh.

    Quadrature over the exact annulus, each point shared by the corners of the flat facet that it falls in, so the
    resultant and both first moments are exact although no mesh line follows the circle.

    Parameters
    ----------
    centre : tuple of float
        Radius and angle of the annulus' middle. [mm, deg]
    radii : tuple of float
        Inner and outer radius of the annulus. [mm]

    Returns
    -------
    ndarray, shape (n,)
        Share of each node; sums to one, or to one half where a half model's plane cuts the annulus in two.
    """
    level = mesh.plane(z_mm)
    # Equal-area circles: the middle circle of each of many thin annuli, exact for constants and linears.
    rho = np.sqrt(np.linspace(radii[0] ** 2, radii[1] ** 2, 2 * 40 + 1)[1::2])
    phi = np.linspace(0.0, 2.0 * np.pi, 721)[:-1] + np.pi / 720
    mid = np.radians(centre[1])
    x = (centre[0] * np.cos(mid) + rho[:, None] * np.cos(phi)).ravel()
    y = (centre[0] * np.sin(mid) + rho[:, None] * np.sin(phi)).ravel()
    weight = np.full(x.size, 1.0 / x.size)
    edges = np.radians(mesh.sector_edges)
    angle = edges[0] + (np.arctan2(y, x) - edges[0]) % (2.0 * np.pi)
    inside = angle <= edges[-1]
    x, y, angle, weight = x[inside], y[inside], angle[inside], weight[inside]
    j = np.clip(np.searchsorted(edges, angle, side="right") - 1, 0, edges.size - 2)
    half = 0.5 * (edges[j + 1] - edges[j])
    off = angle - 0.5 * (edges[j + 1] + edges[j])
    # A facet's inner edge is a chord: the point's place between the two radial sides, and the radius of its chord.
    along = 0.5 * (1.0 + np.tan(off) / np.tan(half))
    chord = np.hypot(x, y) * np.cos(off) / np.cos(half)
    i = np.clip(np.searchsorted(mesh.r, chord, side="right") - 1, 0, mesh.r.size - 2)
    out = (chord - mesh.r[i]) / (mesh.r[i + 1] - mesh.r[i])
    shares = np.zeros(mesh.nodes.shape[0])
    after = (j + 1) % mesh.node_at.shape[2]
    for ring, radial in ((i, 1.0 - out), (i + 1, out)):
        for side, across in ((j, 1.0 - along), (after, along)):
            nodes = mesh.node_at[ring, level, side]
            if (nodes < 0).any():
                raise ValueError("the annulus reaches beyond the metal")
            np.add.at(shares, nodes, weight * radial * across)
    return shares


def facet_areas(mesh: Mesh, z_mm: float, r_span: tuple[float, float], span_deg: tuple[float, float]) -> Floats:
    """Consistent nodal areas of the facets of one plane inside a span of radius and angle. [mm2]"""
    level = mesh.plane(z_mm)
    first, last = mesh.ring(r_span[0]), mesh.ring(r_span[1])
    edges = mesh.sector_edges
    areas = np.zeros(mesh.nodes.shape[0])
    for j in range(edges.size - 1):
        if not in_span(0.5 * (edges[j] + edges[j + 1]), span_deg):
            continue
        wide = np.sin(np.radians(edges[j + 1] - edges[j]))
        after = (j + 1) % mesh.node_at.shape[2]
        for i in range(first, last):
            inner, outer = mesh.r[i], mesh.r[i + 1]
            # A trapezium of bilinear facets: the nodal share on each radius follows from r itself being linear.
            at_inner = wide * (outer - inner) * (2.0 * inner + outer) / 12.0
            at_outer = wide * (outer - inner) * (inner + 2.0 * outer) / 12.0
            for side in (j, after):
                areas[mesh.node_at[i, level, side]] += at_inner
                areas[mesh.node_at[i + 1, level, side]] += at_outer
    return areas


def in_span(angle_deg: float, span_deg: tuple[float, float]) -> bool:
    """Whether an angle lies between two others, whatever turn they are counted in."""
    return (angle_deg - span_deg[0]) % 360.0 < span_deg[1] - span_deg[0]
