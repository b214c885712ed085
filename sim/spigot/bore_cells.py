"""The bore on the spigot as contact cells: where they sit, how they give, how they act on the rest.

Cells are pieces of the bore: an angular column crossed with an axial band. A cell pushes the bore outward and the
spigot inward. Its gap is what the two move apart plus the clearance less the scale that lies there. A cell of the
chamfer pushes along its slope, outward and outboard alike.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix

from sim.arrays import Complexes, Floats, Ints
from sim.one_thread import one_thread
from sim.seating.cells import CellBlock, Holed
from sim.seating.lying_between import Surface
from sim.seating.prepared import Body, Pair, weights

SLOPE = float(np.sqrt(0.5))  # share of a 45 degree chamfer's push that goes outward, and outboard


@dataclass(frozen=True)
class Columns:
    """Angular columns of the bore: centre and width of each. [rad]."""

    angle_rad: tuple[float, ...]
    arc_rad: tuple[float, ...]

    def averaging(self, orders: int) -> Floats:
        """Mean of cos n theta over each column, relative to its centre. Shape (columns, orders).

        No unit. Closed form: sin(n arc/2) / (n arc/2).
        """
        return np.sinc(np.outer(self.arc_rad, np.arange(orders)) / 2 / np.pi)

    def waves(self, orders: int) -> Complexes:
        """exp(i n theta) averaged over each column. Shape (columns, orders). No unit; closed form, as `averaging`."""
        return np.exp(1j * np.outer(self.angle_rad, np.arange(orders))) * self.averaging(orders)


@dataclass(frozen=True, eq=False)
class BoreCells:
    """Cells of the bore.

    Parameters
    ----------
    columns : Columns
    column : ndarray of int, shape (n,)
        Column of each cell.
    low_mm, high_mm : ndarray, shape (n,)
        Axial band above the rotor's mounting face. [mm]
    overlap_mm : ndarray, shape (n,)
        Scale less clearance while the rotor stands central: what must give way. [mm]
    scale : ndarray of int, shape (n,)
        Position in ``case.spigot_scale``; -1 on bare metal.
    lift_mm : ndarray, shape (n,)
        How far the cell stands outboard of its place on a rotor that is home. [mm]
    chamfer : ndarray of bool, shape (n,)
        Whether the cell is the bore's edge, pushed along a 45 degree slope.
    """

    columns: Columns
    column: Ints
    low_mm: Floats
    high_mm: Floats
    overlap_mm: Floats
    scale: Ints
    lift_mm: Floats
    chamfer: NDArray[np.bool_]

    @property
    def size(self) -> int:
        """Number of cells."""
        return int(self.column.size)

    @property
    def angle_rad(self) -> Floats:
        """Centre of each cell. [rad]."""
        return np.array(self.columns.angle_rad)[self.column]

    def area_mm2(self, bore_radius_mm: float) -> Floats:
        """Area of each cell. [mm2]. Geometry of a cylinder."""
        return np.array(self.columns.arc_rad)[self.column] * bore_radius_mm * (self.high_mm - self.low_mm)


def columns_through(edges_rad: list[float], widest_rad: float) -> Columns:
    """Columns whose borders run through every given angle, none wider than ``widest_rad``.

    [rad]. Even between the borders: judgement, tried against finer columns.
    """
    turn = 2 * np.pi
    marks = np.unique(np.round(np.mod(edges_rad, turn), 9)) if edges_rad else np.array([-widest_rad / 2])
    angle, arc = [], []
    for start, end in zip(marks, np.append(marks[1:], marks[0] + turn), strict=True):
        if end - start < 1e-7:
            continue
        count = max(1, int(np.ceil((end - start) / widest_rad - 1e-9)))
        width = (end - start) / count
        angle += [float(start + width * (k + 0.5)) for k in range(count)]
        arc += [float(width)] * count
    return Columns(tuple(angle), tuple(arc))


def band_mean(nodes_mm: Floats, low_mm: Floats, high_mm: Floats) -> Floats:
    """Mean over axial bands as weights on a line of quadratic elements. Rows sum to one. Shape (bands, nodes).

    Bands beyond the line are cut; a band wholly beyond it, or of no width, is read at the nearest place.

    No unit. Shape functions integrated in closed form (Simpson's rule is exact for a quadratic).
    """
    first, last = nodes_mm[0], nodes_mm[-1]
    low = np.clip(low_mm, first, last)
    high = np.clip(high_mm, first, last)
    thin = high - low < 1e-9
    if thin.any():
        low, high = np.where(thin, np.clip(low, first, last - 2e-6), low), np.where(thin, low + 1e-6, high)
    start, middle, end = nodes_mm[:-2:2], nodes_mm[1:-1:2], nodes_mm[2::2]
    a = np.clip(low[:, None], start, end)
    length = np.clip(high[:, None], start, end) - a
    z = a + length * ((np.array([-1.0, 1.0]) / np.sqrt(3.0) + 1) / 2)[:, None, None]
    half = length / 2
    share = np.zeros((low.size, nodes_mm.size))
    share[:, :-2:2] += (half * (z - middle) * (z - end)).sum(axis=0) / ((start - middle) * (start - end))
    share[:, 1:-1:2] += (half * (z - start) * (z - end)).sum(axis=0) / ((middle - start) * (middle - end))
    share[:, 2::2] += (half * (z - start) * (z - middle)).sum(axis=0) / ((end - start) * (end - middle))
    return np.asarray(share / share.sum(axis=1)[:, None])


def bore_ports(body: Body) -> Ints:
    """Ports of the bore or spigot: radial, then axial."""
    ports = body.flexibility.ports
    return np.concatenate([ports.bore_u, ports.bore_w])


@dataclass(frozen=True, eq=False)
class Rows:
    """How cells move with the ports of their column, outward and outboard.

    Parameters
    ----------
    columns : int
        Number of columns.
    column : ndarray of int, shape (n,)
        Column of each cell.
    out, up : ndarray, shape (n, ports), or None
        Weights on the radial and on the axial ports of the column; None where they are all zero.
    """

    columns: int
    column: Ints
    out: Floats | None
    up: Floats | None

    @property
    def size(self) -> int:
        """Number of cells."""
        return int(self.column.size)

    @property
    def parts(self) -> tuple[Floats | None, Floats | None]:
        """Radial and axial weights."""
        return self.out, self.up

    @cached_property
    def places(self) -> tuple[Ints, int]:
        """Place of each cell when those of a column stand side by side, and the most cells of a column.

        No unit: indices, by definition of the order of the ports.
        """
        order = np.argsort(self.column, kind="stable")
        count = np.bincount(self.column, minlength=self.columns)
        rank = np.empty(self.size, dtype=np.int64)
        rank[order] = np.arange(self.size) - np.repeat(np.cumsum(count) - count, count)
        most = int(count.max())
        return self.column * most + rank, most

    @cached_property
    def in_order(self) -> bool:
        """Whether the cells stand side by side as they are, without a place left over.

        No unit: indices, by definition of the order of the ports.
        """
        place, most = self.places
        return self.size == self.columns * most and bool((place == np.arange(self.size)).all())

    @cached_property
    def matrix(self) -> csr_matrix:
        """Weights on every port of every column. Shape (cells, columns x ports).

        No unit: movement per movement, by definition.
        """
        some = next(part for part in self.parts if part is not None)
        block = np.hstack([part if part is not None else np.zeros_like(some) for part in self.parts])
        cell, port = np.nonzero(block)
        where = self.column[cell] * block.shape[1] + port
        return csr_matrix((block[cell, port], (cell, where)), shape=(self.size, self.columns * block.shape[1]))

    @cached_property
    def outward(self) -> Floats:
        """Radial weights, column by column. Shape (columns, most cells, ports)."""
        return self._side_by_side(self.out)

    @cached_property
    def upward(self) -> Floats:
        """Axial weights, column by column. Shape (columns, most cells, ports)."""
        return self._side_by_side(self.up)

    def _side_by_side(self, part: Floats | None) -> Floats:
        assert part is not None
        place, most = self.places
        if self.in_order:
            return part.reshape(self.columns, most, -1)
        out = np.zeros((self.columns * most, part.shape[1]))
        out[place] = part
        return out.reshape(self.columns, most, -1)

    def spread(self, force_n: Floats) -> Floats:
        """Loads on the ports of every column from forces on the cells. Shape (columns, ports). [N].

        The transpose of the rows (virtual work, statics).
        """
        place, most = self.places
        flat = np.zeros(self.columns * most)
        flat[place] = force_n
        side = flat.reshape(self.columns, most)
        some = [np.einsum("jmp,jm->jp", self._side_by_side(part), side) for part in self.parts if part is not None]
        if len(some) == 2:
            return np.hstack(some)
        none = np.zeros_like(some[0])
        return np.hstack([some[0], none] if self.up is None else [none, some[0]])

    def read(self, moved_mm: Floats) -> Floats:
        """Movement of the cells from that of every port of every column. Shape (cells,). [mm]."""
        mine = moved_mm.reshape(self.columns, 2, -1)[self.column]
        total = np.zeros(self.size)
        for k, part in enumerate(self.parts):
            if part is not None:
                total += np.einsum("np,np->n", part, mine[:, k])
        return total


@dataclass(frozen=True, eq=False)
class Tables:
    """Response of the bore ports of every column to unit forces there. Shapes (columns, ports, columns x ports).

    ``outward`` of the radial ports to radial forces, ``upward`` of the axial ones to axial forces, ``crossed`` of the
    axial ones to radial forces, which by reciprocity is the radial ones' to axial forces turned over. [mm/N]
    """

    outward: Floats
    crossed: Floats
    upward: Floats


@lru_cache(maxsize=32)
def _column_tables(pair: Pair, body: Body, columns: Columns) -> Tables:
    at, orders = bore_ports(body), pair.orders
    response = body.flexibility.response[:, at][:, :, at].reshape(orders, -1)
    wave = columns.waves(orders)
    table = (wave[:, None, :] * wave.conj()[None, :, :]).real.reshape(-1, orders) * weights(orders)
    count, half = len(columns.angle_rad), at.size // 2
    whole = (table @ response).reshape(count, count, 2, half, 2, half).transpose(2, 4, 0, 3, 1, 5)
    outward, crossed, upward = (whole[a, b].reshape(count, half, -1) for a, b in ((0, 0), (1, 0), (1, 1)))
    return Tables(*(np.ascontiguousarray(part) for part in (outward, crossed, upward)))


def _tables_among(pair: Pair, body: Body, columns: Columns, pushed: Ints | None, read: Ints | None) -> Tables:
    """Response of some columns to forces on some; all where None."""
    if pushed is None or read is None or pushed.size == len(columns.angle_rad) == read.size:
        return _column_tables(pair, body, columns)
    return _cut_tables(pair, body, columns, tuple(pushed.tolist()), tuple(read.tolist()))


@lru_cache(maxsize=32)
def _cut_tables(pair: Pair, body: Body, columns: Columns, pushed: tuple[int, ...], read: tuple[int, ...]) -> Tables:
    table, count = _column_tables(pair, body, columns), len(columns.angle_rad)
    cut = []
    for part in (table.outward, table.crossed, table.upward):
        ports = part.shape[1]
        chosen = part[list(pushed)].reshape(len(pushed), ports, count, ports)[:, :, list(read)]
        cut.append(np.ascontiguousarray(chosen.reshape(len(pushed), ports, -1)))
    return Tables(*cut)


@one_thread
def moved_beside(pair: Pair, body: Body, columns: Columns, among: tuple[Ints, Ints], loads_n: Floats) -> Floats:
    """Movement of the ports of some columns under loads on the ports of others. Shape (read columns, ports). [mm].

    Parameters
    ----------
    pair : Pair
    body : Body
    columns : Columns
    among : tuple of ndarray of int
        Columns that are loaded, and columns that are read.
    loads_n : ndarray, shape (loaded columns, ports)
        [N]

    Notes
    -----
    Superposition of Fourier series; by definition of the flexibility.
    """
    pushed, read = among
    there, back = (_tables_among(pair, body, columns, *pair_of) for pair_of in ((pushed, read), (read, pushed)))
    half = loads_n.shape[1] // 2
    radial, axial = loads_n[:, :half].ravel(), loads_n[:, half:].ravel()
    size = radial.size
    out = radial @ there.outward.reshape(size, -1) + axial @ there.crossed.reshape(size, -1)
    up = axial @ there.upward.reshape(size, -1) + back.crossed.reshape(-1, size) @ radial
    return np.hstack([out.reshape(read.size, half), up.reshape(read.size, half)])


def _new_block_table(pair: Pair, body: Body, columns: Columns, block: CellBlock, side: str) -> Floats:
    """Gap of every cell of a block per unit force on every bore port. Shape (columns x ports, cells). [mm/N]."""
    if isinstance(block, Holed):
        return np.ascontiguousarray((block.gather @ _new_block_table(pair, body, columns, block.fine, side).T).T)
    at, orders = bore_ports(body), pair.orders
    rows = body.ring_rows(block) if side == "face" else body.back_rows(block)
    ports = body.flexibility.ports
    read = ports.face if side == "face" else ports.top
    part = np.tensordot(body.flexibility.response[:, read][:, :, at], rows, axes=(1, 1)).reshape(orders, -1)
    turns = block.mean_waves(orders)
    wave = columns.waves(orders)
    table = (turns[:, None, :] * wave.conj()[None, :, :]).real.reshape(-1, orders) * weights(orders)
    shape = (block.angle_rad.size, wave.shape[0], at.size, block.inner_mm.size)
    whole = (table @ part).reshape(shape).transpose(1, 2, 0, 3).reshape(-1, block.size)
    return np.ascontiguousarray(whole if side == "face" else -whole)


_block_table = lru_cache(maxsize=32)(_new_block_table)


def radial_rows(body: Body, cells: BoreCells, hub: bool) -> Rows:
    """How each cell moves with the ports of its column, along its push.

    No unit: movement per movement. A 45 degree chamfer carries outward and outboard alike (geometry).
    """
    mean = _mean(body, cells, hub)
    if not cells.chamfer.any():
        return Rows(len(cells.columns.angle_rad), cells.column, mean, None)
    out = np.where(cells.chamfer, SLOPE, 1.0)[:, None] * mean
    up = np.where(cells.chamfer, SLOPE, 0.0)[:, None] * mean
    return Rows(len(cells.columns.angle_rad), cells.column, out, up)


def axial_rows(body: Body, cells: BoreCells, hub: bool) -> Rows:
    """How each cell moves axially, for friction."""
    return Rows(len(cells.columns.angle_rad), cells.column, None, _mean(body, cells, hub))


def _mean(body: Body, cells: BoreCells, hub: bool) -> Floats:
    ports = body.flexibility.ports
    lift = cells.lift_mm if hub else 0.0
    return band_mean(ports.z_mm[ports.bore_u], cells.low_mm + lift, cells.high_mm + lift)


@one_thread
def bore_flexibility(
    pair: Pair, columns: Columns, rows: Sequence[Rows], more: Sequence[Rows], among: Ints | None = None
) -> Floats:
    """Flexibility between two sets of cells, both bodies together. [mm/N].

    Parameters
    ----------
    pair : Pair
    columns : Columns
    rows, more : list of Rows
        One for each body.
    among : ndarray of int, optional
        Columns on which the cells lie, as their rows count them; all if left out.
    """
    total: Floats | None = None
    for body, left, right in zip(pair.bodies, rows, more, strict=True):
        table = _tables_among(pair, body, columns, among, among)
        for part in _products(table, left, right):
            total = part if total is None else np.add(total, part, out=total)
    assert total is not None
    if not rows[0].in_order:
        total = total.take(rows[0].places[0], axis=0)
    return total if more[0].in_order else total.take(more[0].places[0], axis=1)


def _products(table: Tables, left: Rows, right: Rows) -> list[Floats]:
    """Flexibility of cells that stand side by side, in parts that are to be added."""
    out = []
    if left.out is not None and right.out is not None:
        out.append(_product(table.outward, left.outward, right.outward))
    if left.out is not None and right.up is not None:
        out.append(_product(table.crossed, left.outward, right.upward))
    if left.up is not None and right.out is not None:
        out.append(_product(table.crossed, right.outward, left.upward).T)
    if left.up is not None and right.up is not None:
        out.append(_product(table.upward, left.upward, right.upward))
    return out


def _product(table: Floats, left: Floats, right: Floats) -> Floats:
    """Movement of the left cells per force on the right ones; the table's rows are the ports of the right ones."""
    columns, ports = table.shape[:2]
    made = np.matmul(right, table).reshape(-1, columns * ports)
    turned = np.ascontiguousarray(made.T).reshape(columns, ports, -1)
    return np.matmul(left, turned).reshape(left.shape[0] * left.shape[1], -1)


@one_thread
def with_surface(pair: Pair, columns: Columns, rows: Sequence[Rows], surface: Surface) -> Floats:
    """Flexibility between the cells of a surface and cells of the bore. Shape (kept, cells). [mm/N].

    By definition of the flexibility, as `sim.seating.flexibility.cross` has it on the face.
    """
    total = np.zeros((rows[0].size, surface.block.size))
    for k, (body, right) in enumerate(zip(pair.bodies, rows, strict=True)):
        if surface.side == "face" or k == 0:
            total += right.matrix @ _block_table(pair, body, columns, surface.block, surface.side)
    return total[:, surface.kept].T


def stud_gap(pair: Pair, columns: Columns, rows: Sequence[Rows], wave: Complexes, on: tuple[Body, ...]) -> Floats:
    """Gap of bore cells from the studs alone, pressing on some bodies. Shape (cells,). [mm]."""
    total = np.zeros(rows[0].size)
    for body, row in zip(pair.bodies, rows, strict=True):
        if body in on:
            total -= row.read(stud_answer(pair, body, columns, wave))
    return total


@one_thread
def stud_answer(pair: Pair, body: Body, columns: Columns, wave: Complexes) -> Floats:
    """Movement of every bore port in every column under studs that pull outboard. Shape (columns x ports,). [mm].

    ``wave`` is the sum over the studs of force times exp(-i n theta). [N]

    Superposition, by definition of the flexibility.
    """
    top = body.flexibility.ports.top
    answer = np.einsum("nij,nj->ni", body.flexibility.response[:, bore_ports(body)][:, :, top], body.stud_load)
    return np.asarray((columns.waves(pair.orders) @ (wave[:, None] * answer)).real.ravel())


def rigid_rows(cells: BoreCells, bore_radius_mm: float, axial: bool = False) -> Floats:
    """Gap of each cell per rigid motion of the rotor: axial, two tilts, two sideways shifts. Shape (cells, 5).

    Shifts have no unit, tilts are in mm/rad. Small rotations: geometry; the mean of cos over a column is sinc(arc / 2
    pi), closed form.
    """
    angle = cells.angle_rad
    flat = np.sinc(np.array(cells.columns.arc_rad)[cells.column] / 2 / np.pi)
    cos, sin = np.cos(angle) * flat, np.sin(angle) * flat
    z = (cells.low_mm + cells.high_mm) / 2
    up = np.column_stack([np.ones_like(cos), bore_radius_mm * cos, bore_radius_mm * sin, 0 * cos, 0 * cos])
    if axial:
        return up
    out = np.column_stack([0 * cos, -z * cos, -z * sin, cos, sin])
    slope = cells.chamfer[:, None]
    return np.asarray(np.where(slope, SLOPE * (out + up), out))


@one_thread
def nodal_wave(pair: Pair, columns: Columns, rows: Rows, force_n: Floats) -> Complexes:
    """Nodal load amplitudes on the bore ports of one body from the forces on its cells. Shape (orders, ports). [N].

    By definition of the Fourier series.
    """
    held = rows.spread(force_n)
    return np.asarray(weights(pair.orders)[:, None] * (columns.waves(pair.orders).conj().T @ held))
