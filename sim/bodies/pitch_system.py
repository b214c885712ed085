"""Stiffness of one vane pitch, order by order, and its condensation to the nodes shared with the hat.

Every order needs the same matrices with other factors. Solutions at a few orders span those at all orders to far less
than the mesh's own error, so that most orders cost next to nothing (a reduced basis, chosen by Galerkin's principle).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass

import numpy as np
from scipy.sparse import bmat, bsr_matrix, csc_matrix, csr_matrix

from sim.arrays import Floats, Ints
from sim.bodies.pitch_mesh import Sector
from sim.bodies.stiffness import isotropic
from sim.one_thread import one_thread
from sim.parts.materials import Metal
from sim.solvers.front import eliminate

CHUNK = 150  # elements whose matrices are held at once
WORKERS = 2  # the factorisation runs outside the interpreter's lock


@dataclass(frozen=True, eq=False)
class System:
    """One vane pitch, its unknowns tied to the interface: free ones first, from the bore outwards, then those.

    The sector's own unknowns are 3 i + component of the even part, then those of the odd part.

    Parameters
    ----------
    k0, k1, k2 : csc_matrix, shape (free + interface, free + interface)
        Stiffness of order n: k0 + n k1 + n^2 k2. [N/mm]
    tie : csr_matrix, shape (sector unknowns, free + interface)
    free : int
    flip : ndarray, shape (free,)
        Sign that an unknown takes when the order changes its sign.
    """

    k0: csc_matrix
    k1: csc_matrix
    k2: csc_matrix
    tie: csr_matrix
    free: int
    flip: Floats

    def carried(self, order: int) -> Floats:
        """Free unknowns per motion of the interface, solved directly. Shape (free, interface).

        No unit: motion per motion. Static condensation (R. J. Guyan, AIAA J. 3, 380, 1965; from memory).
        """
        matrix = (self.k0 + order * self.k1 + order**2 * self.k2).tocsc()
        inner = matrix[: self.free, : self.free].tocsc()
        return -eliminate(inner).solve(matrix[: self.free, self.free :].toarray())


@dataclass(frozen=True, eq=False)
class Reduced:
    """A system on an orthonormal basis of its free unknowns.

    Parameters
    ----------
    basis : ndarray, shape (free, b)
    inner : tuple of ndarray, shape (b, b)
    across : tuple of ndarray, shape (b, interface)
    edge : tuple of ndarray, shape (interface, interface)
        Blocks of k0, k1, k2.
    """

    basis: Floats
    inner: tuple[Floats, ...]
    across: tuple[Floats, ...]
    edge: tuple[Floats, ...]

    def solve(self, order: int) -> tuple[Floats, Floats]:
        """Stiffness on the interface, and the basis' amounts per motion of the interface.

        Stiffness in N/mm. Static condensation on the basis, by Galerkin's principle.
        """
        inner, across, edge = (
            part[0] + order * part[1] + order**2 * part[2] for part in (self.inner, self.across, self.edge)
        )
        amounts = np.asarray(-np.linalg.solve(inner, across), dtype=np.float64)
        stiffness: Floats = edge + across.T @ amounts
        return 0.5 * (stiffness + stiffness.T), amounts


@one_thread
def reduce_system(system: System, orders: Iterable[int], told: Callable[[int], None]) -> Reduced:
    """Solve a system at some orders and keep the space of the solutions, those of the negative orders included.

    Parameters
    ----------
    system : System
    orders : iterable of int
        Not negative.
    told : callable(order)
        Called after each.

    Returns
    -------
    Reduced

    Notes
    -----
    Stiffness in N/mm.
    """

    def one(order: int) -> Floats:
        moved = system.carried(order)
        told(order)
        return moved if order == 0 else np.hstack([moved, system.flip[:, None] * moved])

    with ThreadPoolExecutor(WORKERS) as pool:
        basis = np.linalg.qr(np.hstack(list(pool.map(one, orders))))[0]
    free = system.free
    inner, across, edge = [], [], []
    for matrix in (system.k0, system.k1, system.k2):
        inner.append(basis.T @ (matrix[:free, :free] @ basis))
        across.append(basis.T @ matrix[:free, free:].toarray())
        edge.append(matrix[free:, free:].toarray())
    return Reduced(basis, tuple(inner), tuple(across), tuple(edge))


@one_thread
def tied_system(sector: Sector, metal: Metal, node_dof: Ints, interface: Ints) -> System:
    """Assemble a sector and tie what it shares with the hat.

    Parameters
    ----------
    sector : Sector
    metal : Metal
    node_dof : ndarray of int, shape (places, 3)
        Unknowns of the section at the sector's places.
    interface : ndarray of int
        Those that the hat has too, sorted. Along the pitch they do not change.

    Returns
    -------
    System

    Notes
    -----
    Elements share the nodes of the hat; a cyclic sector by Floquet's phase, order by order (common practice for cyclic
    structures).
    """
    a0, a1, a2, c0, c1 = _matrices(sector, metal)
    tie, free = _tie(sector, node_dof, interface)

    def tied(same: csc_matrix, other: csc_matrix) -> csc_matrix:
        return (tie.T @ bmat([[same, other], [-other, same]]) @ tie).tocsc()

    sign = np.tile([1.0, -1.0, 1.0], sector.basis.N)
    flip = np.asarray(tie[:, :free].T @ np.concatenate([sign, -sign]))
    return System(tied(a0, c0), tied(a1, c1), tied(a2, csc_matrix(a2.shape)), tie, free, flip)


def _tie(sector: Sector, node_dof: Ints, interface: Ints) -> tuple[csr_matrix, int]:
    """Columns: free unknowns of the sector, then the interface's; how many are free."""
    count = 3 * sector.basis.N
    # Unknown of the section for every even unknown of the sector; -1 where the section has no node.
    dof = np.where(sector.place[:, None] >= 0, node_dof[sector.place], -1).ravel()
    on_hat = np.isin(dof, interface)
    free_odd = count + np.flatnonzero(~on_hat & ~np.repeat(sector.on_mirror, 3))
    free = np.concatenate([np.flatnonzero(~on_hat), free_odd])
    radius, angle, height = np.round(sector.basis.doflocs[:, free % count // 3], 9)
    free = free[np.lexsort((angle, height, radius))]
    tied = np.flatnonzero(on_hat)
    rows = np.concatenate([free, tied])
    columns = np.concatenate([np.arange(free.size), free.size + np.searchsorted(interface, dof[tied])])
    shape = (2 * count, free.size + interface.size)
    return csr_matrix((np.ones(rows.size), (rows, columns)), shape=shape), free.size


def _matrices(sector: Sector, metal: Metal) -> tuple[csc_matrix, ...]:
    """A0, A1, A2, C0, C1 of K = [[A, C], [-C, A]], A = A0 + n A1 + n^2 A2, C = C0 + n C1; unknown 3 i + component."""
    basis = sector.basis
    elements = basis.element_dofs.shape[1]
    value = np.stack([np.broadcast_to(np.asarray(f[0]), basis.dx.shape) for f in basis.basis])
    grad = np.stack([np.broadcast_to(f[0].grad, (3, *basis.dx.shape)) for f in basis.basis])
    radius = np.asarray(basis.global_coordinates())[0]
    elastic = isotropic(metal)
    found: list[list[Floats]] = [[] for _ in range(5)]
    for start in range(0, elements, CHUNK):
        part = slice(start, start + CHUNK)
        r = radius[part]
        plain = _plain(value[:, part], grad[:, :, part], r)
        turned, along = _turned(value[:, part], r), _turned(grad[:, 1, part], r)
        weight = basis.dx[part] * r / sector.half_pitch_rad
        p, q, a = (_tested(one) for one in (plain, turned, along))
        of_p, of_q, of_a = (_stressed(one, elastic, weight) for one in (plain, turned, along))
        pp, rr, qq, pq, pr, qr = p @ of_p, a @ of_a, q @ of_q, p @ of_q, p @ of_a, q @ of_a
        flip = (0, 2, 1)
        parts = (pp + rr, pq + pq.transpose(flip), qq, pr - pr.transpose(flip), qr - qr.transpose(flip))
        for store, matrix in zip(found, parts, strict=True):
            store.append(matrix)
    return tuple(_summed(basis.element_dofs.T, basis.N, np.concatenate(store)) for store in found)


def _summed(nodes: Ints, count: int, of_elements: Floats) -> csc_matrix:
    """Sum of the elements' matrices: their places are sorted by nodes of three unknowns, a ninth of the entries."""
    elements, each = nodes.shape
    pairs = (nodes[:, :, None] * count + nodes[:, None, :]).ravel()
    found, place = np.unique(pairs, return_inverse=True)
    gather = csr_matrix((np.ones(pairs.size), (place.ravel(), np.arange(pairs.size))))
    blocks = of_elements.reshape(elements, each, 3, each, 3).transpose(0, 1, 3, 2, 4).reshape(-1, 9)
    starts = np.searchsorted(found, np.arange(count + 1) * count)
    whole = bsr_matrix(
        (np.asarray(gather @ blocks).reshape(-1, 3, 3), found % count, starts), shape=(3 * count, 3 * count)
    )
    return whole.tocsc()


def _plain(value: Floats, grad: Floats, radius: Floats) -> Floats:
    """Strain operator without the factor n. Shape (6, nodes, 3, elements, points)."""
    out = np.zeros((6, value.shape[0], 3, *radius.shape))
    out[0, :, 0], out[1, :, 0], out[2, :, 2] = grad[:, 0], value / radius, grad[:, 2]
    out[3, :, 0], out[3, :, 2] = grad[:, 2], grad[:, 0]
    out[4, :, 1], out[5, :, 1] = grad[:, 0] - value / radius, grad[:, 2]
    return out


def _turned(value: Floats, radius: Floats) -> Floats:
    """Strain operator with the factor n, or with the derivative along the turn."""
    out = np.zeros((6, value.shape[0], 3, *radius.shape))
    out[1, :, 1], out[4, :, 0], out[5, :, 2] = value / radius, -value / radius, -value / radius
    return out


def _tested(strain: Floats) -> Floats:
    """Transposed strain operator, element by element. Shape (elements, 3 nodes, 6 points)."""
    size, count = 3 * strain.shape[1], strain.shape[3]
    return strain.transpose(3, 1, 2, 0, 4).reshape(count, size, -1)


def _stressed(strain: Floats, elastic: Floats, weight: Floats) -> Floats:
    """Stress of a strain operator, times what it is integrated with. Shape (elements, 6 points, 3 nodes)."""
    stress = np.einsum("ij,jnceq->inceq", elastic, strain) * weight
    return stress.transpose(3, 0, 4, 1, 2).reshape(weight.shape[0], -1, 3 * strain.shape[1])
