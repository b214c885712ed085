"""The flexibility of a body, condensed once to its face, its loaded side, its bore and its friction faces.

One factorisation per harmonic, with the ports eliminated last, answers unit loads on every node that can be loaded;
after that any patch, stud pattern, index position or gauge is small dense algebra on the stored rows.
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray
from scipy.linalg.lapack import dpotrf, dpotri
from scipy.sparse import csc_matrix
from scipy.sparse.linalg import SuperLU, splu

from sim.arrays import Floats, Ints
from sim.bodies.stiffness import Stiffness
from sim.one_thread import one_thread

ON_LINE_MM = 1e-6  # a node this close to a line lies on it
EVERY_ORDER_TO = 10  # from here on neighbouring orders are so alike that most are interpolated
NODES_PER_E_FOLD = 10.0  # solved orders per e-fold of the order: leaves 2e-9 of the response on the shipped parts
INTERPOLATED_WITHIN = 1e-7  # of the order's largest response, at the orders solved for proof; a mesh is good to 1e-2


@dataclass(frozen=True, eq=False)
class Ports:
    """The unknowns through which a body is loaded or read.

    Parameters
    ----------
    dof : ndarray of int, shape (ports,)
        Unknown in the finite-element system.
    r_mm, z_mm : ndarray, shape (ports,)
        Place. [mm]
    face, top, bore_u, bore_w, outboard, inboard : ndarray of int
        Positions within ``dof``: axial on the contact face, axial where the studs load (a side, or round the thread of
        a wheel bolt, row by row from below), radial and axial on
        the bore (hub: spigot), axial on the friction faces (rotor only, read but never loaded).
    """

    dof: Ints
    r_mm: Floats
    z_mm: Floats
    face: Ints
    top: Ints
    bore_u: Ints
    bore_w: Ints
    outboard: Ints
    inboard: Ints

    @property
    def loaded(self) -> int:
        """How many ports can carry load; they come first."""
        return self.face.size + self.top.size + self.bore_u.size + self.bore_w.size


@dataclass(frozen=True, eq=False)
class Flexibility:
    """Response of every port to a unit load on every loadable port, per harmonic; rigid motion left out.

    Parameters
    ----------
    response : ndarray, shape (orders, ports, loaded ports)
        Amplitude of the port's cosine harmonic for a unit nodal load of that harmonic. [mm/N]
    ports : Ports
    """

    response: Floats
    ports: Ports

    @property
    def orders(self) -> int:
        """Number of harmonics, the mean included."""
        return int(self.response.shape[0])


@dataclass(frozen=True)
class Lines:
    """Where the ports lie: contact zone and bore radii, height of the loaded side, friction faces. [mm].

    Two heights of the loaded side mean all that lies between them: the metal round a thread.
    """

    zone: tuple[float, float]
    top_z: float | tuple[float, float]
    top_r: tuple[float, float]
    bore_r: float
    bore_z: tuple[float, float]
    outboard_z: float | None = None
    inboard_z: float | None = None
    friction_r: tuple[float, float] | None = None


def find_ports(stiffness: Stiffness, lines: Lines) -> Ports:
    """Return the ports of a body in the order face, top, bore radial, bore axial, outboard, inboard.

    Radii in mm; which nodes lie on which line (geometry).
    """
    r, z, component = stiffness.dof_r_mm, stiffness.dof_z_mm, stiffness.component

    def row(at_z: float | None, between: tuple[float, float] | None) -> Ints:
        if at_z is None or between is None:
            return np.zeros(0, dtype=np.int64)
        low, high = between[0] - ON_LINE_MM, between[1] + ON_LINE_MM
        found = np.flatnonzero((component == 2) & (np.abs(z - at_z) < ON_LINE_MM) & (r >= low) & (r <= high))
        return found[np.argsort(r[found])]

    def friction(at_z: float | None) -> Ints:
        """Whole elements that cover the face: it begins where it likes, an element at every second node."""
        if lines.friction_r is None:
            return row(None, None)
        whole = row(at_z, (0.0, lines.friction_r[1]))
        before = np.searchsorted(r[whole], lines.friction_r[0] + ON_LINE_MM) - 1
        return whole[2 * (max(int(before), 0) // 2) :]

    def column(which: int) -> Ints:
        low, high = lines.bore_z[0] - ON_LINE_MM, lines.bore_z[1] + ON_LINE_MM
        on_bore = (component == which) & (np.abs(r - lines.bore_r) < ON_LINE_MM) & (z >= low) & (z <= high)
        found = np.flatnonzero(on_bore)
        return found[np.argsort(z[found])]

    def loaded() -> Ints:
        if isinstance(lines.top_z, float | int):
            return row(lines.top_z, lines.top_r)
        inside = (z >= lines.top_z[0] - ON_LINE_MM) & (z <= lines.top_z[1] + ON_LINE_MM)
        low, high = lines.top_r[0] - ON_LINE_MM, lines.top_r[1] + ON_LINE_MM
        found = np.flatnonzero((component == 2) & inside & (r >= low) & (r <= high))
        return found[np.lexsort((r[found], np.round(z[found] / ON_LINE_MM)))]

    groups = [
        row(0.0, lines.zone),
        loaded(),
        column(0),
        column(2),
        friction(lines.outboard_z),
        friction(lines.inboard_z),
    ]
    dof = np.concatenate(groups)
    starts = np.cumsum([0] + [group.size for group in groups])
    spans = [np.arange(a, b) for a, b in zip(starts, starts[1:], strict=False)]
    return Ports(dof, r[dof], z[dof], *spans)


def factorise(matrix: csc_matrix) -> SuperLU:
    """Factorise a symmetric positive definite sparse matrix without pivoting."""
    return splu(matrix, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True})


def rigid_modes(stiffness: Stiffness, order: int) -> Floats:
    """Rigid-body modes of order 0 (axial shift) or 1 (tilt, sideways shift). Shape (dof, modes)."""
    r, z, component = stiffness.dof_r_mm, stiffness.dof_z_mm, stiffness.component
    if order == 0:
        return (component == 2).astype(float)[:, None]
    tilt = np.choose(component, [-z, z, r])
    shift = np.choose(component, [np.ones_like(r), -np.ones_like(r), np.zeros_like(r)])
    return np.column_stack([tilt, shift])


@one_thread
def solve_order(stiffness: Stiffness, held: Ints, order: int, loads: Floats) -> Floats:
    """Displacement amplitudes of one harmonic under given nodal loads.

    Parameters
    ----------
    stiffness : Stiffness
    held : ndarray of int
        Unknowns held at zero; empty for a free body, whose rigid motion is then projected out.
    order : int
    loads : ndarray, shape (dof, cases)
        [N]

    Returns
    -------
    ndarray, shape (dof, cases)
        [mm]

    Notes
    -----
    A free body's motion is split off by projection on its rigid modes, weighted by mass (common practice for floating
    bodies).
    """
    count = stiffness.k0.shape[0]
    fixed = set(held.tolist())
    if order == 0:
        fixed |= set(np.flatnonzero(stiffness.component == 1).tolist())
    project = held.size == 0 and order < 2
    if project:
        modes = rigid_modes(stiffness, order)
        weighted = stiffness.mass @ modes
        inverse = np.linalg.inv(modes.T @ weighted)
        loads = loads - weighted @ (inverse @ (modes.T @ loads))
        fixed |= set(_pins(stiffness, order))
    free = np.setdiff1d(np.arange(count), np.fromiter(fixed, dtype=np.int64, count=len(fixed)))
    matrix = stiffness.at_order(order)[free][:, free].tocsc()
    out = np.zeros((count, loads.shape[1]))
    out[free] = factorise(matrix).solve(np.ascontiguousarray(loads[free]))
    if project:
        out -= modes @ (inverse @ (weighted.T @ out))
    return out


def _pins(stiffness: Stiffness, order: int) -> list[int]:
    """Unknowns to pin so that a free body cannot drift; the pins carry nothing because the loads balance."""
    axial = np.flatnonzero(stiffness.component == 2)
    first = int(axial[np.argmax(stiffness.dof_r_mm[axial])])
    if order == 0:
        return [first]
    same_node = (
        (stiffness.component == 0)
        & (np.abs(stiffness.dof_r_mm - stiffness.dof_r_mm[first]) < ON_LINE_MM)
        & (np.abs(stiffness.dof_z_mm - stiffness.dof_z_mm[first]) < ON_LINE_MM)
    )
    return [first, int(np.flatnonzero(same_node)[0])]


def _one_order(stiffness: Stiffness, held: Ints, ports: Ports, order: int) -> Floats:
    loads = np.zeros((stiffness.k0.shape[0], ports.loaded))
    loads[ports.dof[: ports.loaded], np.arange(ports.loaded)] = 1.0
    return solve_order(stiffness, held, order, loads)[ports.dof]


@dataclass(frozen=True, eq=False)
class _PortsLast:
    """A body whose unknowns stand in an order of elimination that leaves the ports for last.

    Parameters
    ----------
    pattern : csc_matrix
        Where the stiffness of the unknowns that are not held, in that order, may have entries.
    blocks : ndarray, shape (3, entries)
        Entries there that go with the order to the power of 0, 1 and 2. [N/mm]
    inner : int
        Unknowns before the first port.
    place : ndarray of int, shape (ports,)
        Where each port stands among the last ones; a corner of the section is a port twice.
    """

    pattern: csc_matrix
    blocks: Floats
    inner: int
    place: Ints


def _ports_last(stiffness: Stiffness, held: Ints, ports: Ports) -> _PortsLast:
    """Order the unknowns for `_eliminated`: what fills in least, as for the inside alone, then the ports."""
    last, place = np.unique(ports.dof, return_inverse=True)
    inner = np.setdiff1d(np.arange(stiffness.k0.shape[0]), np.concatenate([held, last]))
    filled = factorise(stiffness.at_order(2)[inner][:, inner].tocsc()).perm_c
    order = np.concatenate([inner[np.argsort(filled)], last])
    pattern, blocks = _on_one_pattern(
        [block[order][:, order].tocsc() for block in (stiffness.k0, stiffness.k1, stiffness.k2)]
    )
    return _PortsLast(pattern, blocks, inner.size, place.ravel())


def _on_one_pattern(matrices: list[csc_matrix]) -> tuple[csc_matrix, Floats]:
    """Give some sparse matrices the same places for their entries: their sums are then sums of plain arrays."""
    marks = [csc_matrix((np.ones(one.nnz), one.indices, one.indptr), one.shape) for one in matrices]
    pattern = sum(marks[1:], marks[0]).tocsc()
    pattern.sort_indices()
    pattern.data = np.arange(1.0, pattern.nnz + 1.0)  # where each entry stands, from 1: nought is no entry
    rows = np.zeros((len(matrices), pattern.nnz))
    for row, one, mark in zip(rows, matrices, marks, strict=True):
        row[pattern.multiply(mark).tocsc().sorted_indices().data.astype(np.int64) - 1] = one.sorted_indices().data
    return pattern, rows


def _factors(pattern: csc_matrix, blocks: Floats, order: int) -> SuperLU:
    """Factorise the stiffness of one order, its unknowns eliminated as they stand."""
    constant, linear, square = blocks
    entries = constant + order * linear + order**2 * square
    matrix = csc_matrix((entries, pattern.indices, pattern.indptr), pattern.shape)
    return splu(matrix, permc_spec="NATURAL", diag_pivot_thresh=0.0, options={"SymmetricMode": True})


@one_thread
def solver_of_orders(stiffness: Stiffness, held: Ints) -> Callable[[int, Floats], Floats]:
    """Return what answers as `solve_order` does, for whoever asks for many orders of one body.

    Parameters
    ----------
    stiffness : Stiffness
    held : ndarray of int

    Returns
    -------
    callable(order, loads)
        Displacement amplitudes [mm] under nodal loads [N].

    Notes
    -----
    Orders from the second on hold the same unknowns: they are sorted once for all, by what fills in least.
    """
    free = np.setdiff1d(np.arange(stiffness.k0.shape[0]), held)
    filled = factorise(stiffness.at_order(2)[free][:, free].tocsc()).perm_c
    free = free[np.argsort(filled)]
    pattern, blocks = _on_one_pattern(
        [block[free][:, free].tocsc() for block in (stiffness.k0, stiffness.k1, stiffness.k2)]
    )

    @one_thread
    def solve(order: int, loads: Floats) -> Floats:
        if order < 2:
            return solve_order(stiffness, held, order, loads)
        out = np.zeros(loads.shape)
        out[free] = _factors(pattern, blocks, order).solve(np.ascontiguousarray(loads[free]))
        return out

    return solve


def _eliminated(body: _PortsLast, loaded: int, order: int) -> Floats | None:
    """Response of the ports from what is left when all else has been eliminated; None where that cannot be had so.

    What Gauss leaves of the ports is their stiffness with everything else free of load (Schur complement), and its
    inverse the response to unit loads: a fifth of the work of solving for every unknown.
    """
    factors = _factors(body.pattern, body.blocks, order)
    natural = np.arange(body.pattern.shape[0])
    if not (np.array_equal(factors.perm_c, natural) and np.array_equal(factors.perm_r, natural)):
        return None
    lower, upper = (part[body.inner :, body.inner :].toarray() for part in (factors.L, factors.U))
    root, status = dpotrf((lower @ upper).T, lower=1)
    if status != 0:
        return None
    inverse, status = dpotri(root, lower=1)
    if status != 0:
        return None
    whole = np.tril(inverse) + np.tril(inverse, -1).T
    return np.asarray(whole[np.ix_(body.place, body.place[:loaded])])


def _solved_orders(highest: int) -> Ints:
    """Orders to solve: every low one, then Chebyshev's extreme points over the logarithm of the order, rounded."""
    if highest <= EVERY_ORDER_TO:
        return np.arange(highest + 1)
    low, high = np.log(EVERY_ORDER_TO), np.log(highest)
    count = int(np.ceil(NODES_PER_E_FOLD * (high - low))) + 2
    at = (low + high) / 2 - (high - low) / 2 * np.cos(np.linspace(0.0, np.pi, count))
    return np.union1d(np.arange(EVERY_ORDER_TO), np.rint(np.exp(at)).astype(np.int64))


def _between_orders(solved: Ints, rows: Floats, wanted: Ints) -> Floats:
    """Responses at the wanted orders from those at the solved ones; order times response is smooth in its logarithm.

    Polynomial in barycentric form through the upper orders (J.-P. Berrut, L. N. Trefethen, SIAM Rev. 46, 501, 2004).
    """
    upper = solved >= EVERY_ORDER_TO
    n = solved[upper]
    at, to = np.log(n), np.log(wanted)
    apart = at[:, None] - at
    np.fill_diagonal(apart, 1.0)
    share = 1.0 / ((to[:, None] - at) * apart.prod(axis=1))
    share *= n / (share.sum(axis=1) * wanted)[:, None]
    return np.asarray(np.tensordot(share, rows[upper], axes=1))


def _proof_orders(solved: Ints) -> Ints:
    """Three orders that are left out, where the solved ones stand farthest apart for their size: the worst to guess."""
    n = solved[solved >= EVERY_ORDER_TO]
    middle = (n[:-1] + n[1:]) // 2
    apart = np.diff(n) > 1
    return np.asarray(np.unique(middle[apart][[0, apart.sum() // 2, -1]]) if apart.any() else middle[:0])


@one_thread
def condense(stiffness: Stiffness, held: Ints, ports: Ports, highest: int, workers: int = 2) -> Flexibility:
    """Condense a body to its ports for harmonics 0 to ``highest``.

    Parameters
    ----------
    stiffness : Stiffness
    held : ndarray of int
        Unknowns held at zero (hub: the far end of its barrel); empty for the free rotor.
    ports : Ports
    highest : int
    workers : int
        Threads; the factorisation runs outside the interpreter's lock.

    Returns
    -------
    Flexibility

    Notes
    -----
    Flexibility in mm/N: inverse of the ports' Schur complement (static condensation, handbook). Orders 0 and 1 of a
    free body, and order 0 of any, have unknowns of their own to hold: they are solved for as `solve_order` does.

    Most of the higher orders are interpolated from their neighbours; three of them are solved as well, and where one is
    off by more than `INTERPOLATED_WITHIN` all are solved.
    """
    ordered = _ports_last(stiffness, held, ports) if highest >= 2 and not np.isin(ports.dof, held).any() else None

    def response(order: int) -> Floats:
        found = _eliminated(ordered, ports.loaded, order) if ordered is not None and order >= 2 else None
        return _one_order(stiffness, held, ports, order) if found is None else found

    def at(orders: Ints) -> Floats:
        with ThreadPoolExecutor(workers) as pool:
            return np.stack(list(pool.map(response, orders.tolist())))

    solved = _solved_orders(highest)
    known = np.union1d(solved, _proof_orders(solved))
    rows = at(known)
    left = np.setdiff1d(np.arange(highest + 1), known)
    if left.size == 0:
        return Flexibility(rows, ports)
    proof = np.isin(known, solved, invert=True)
    guessed = _between_orders(solved, rows[~proof], known[proof])
    off = np.abs(guessed - rows[proof]).max(axis=(1, 2)) / np.abs(rows[proof]).max(axis=(1, 2))
    whole = np.empty((highest + 1, *rows.shape[1:]))
    whole[known] = rows
    whole[left] = _between_orders(solved, rows[~proof], left) if off.max() <= INTERPOLATED_WITHIN else at(left)
    return Flexibility(whole, ports)


def to_arrays(flexibility: Flexibility, name: str) -> dict[str, NDArray]:
    """Flat arrays of a flexibility, for a cache file."""
    out: dict[str, NDArray] = {f"{name}.response": flexibility.response}
    for item in fields(Ports):
        out[f"{name}.{item.name}"] = getattr(flexibility.ports, item.name)
    return out


def from_arrays(arrays: dict[str, NDArray], name: str) -> Flexibility:
    """Inverse of `to_arrays`.

    Raises
    ------
    KeyError
        If an array is missing.
    """
    ports = Ports(**{item.name: arrays[f"{name}.{item.name}"] for item in fields(Ports)})
    return Flexibility(arrays[f"{name}.response"], ports)
