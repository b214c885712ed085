"""The bore on the spigot as contact cells: where they sit, how they give, how they act on the rest.

Cells are pieces of the bore: an angular column crossed with an axial band. A cell pushes the bore outward and the
spigot inward. Its gap is what the two move apart plus the clearance less the scale that lies there. A cell of the
chamfer pushes along its slope, outward and outboard alike.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix

from sim.between import Surface
from sim.cells import Block
from sim.pair import Body, Pair, weights

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Complexes = NDArray[np.complex128]

SLOPE = float(np.sqrt(0.5))  # share of a 45 degree chamfer's push that goes outward, and outboard


@dataclass(frozen=True)
class Columns:
    """Angular columns of the bore: centre and width of each. [rad]."""

    angle_rad: tuple[float, ...]
    arc_rad: tuple[float, ...]

    def averaging(self, orders: int) -> Floats:
        """Mean of cos n theta over each column, relative to its centre. Shape (columns, orders)."""
        return np.sinc(np.outer(self.arc_rad, np.arange(orders)) / 2 / np.pi)

    def waves(self, orders: int) -> Complexes:
        """exp(i n theta) averaged over each column. Shape (columns, orders)."""
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
        """Area of each cell. [mm2]."""
        return np.array(self.columns.arc_rad)[self.column] * bore_radius_mm * (self.high_mm - self.low_mm)


def columns_through(edges_rad: list[float], widest_rad: float) -> Columns:
    """Columns whose borders run through every given angle, none wider than ``widest_rad``."""
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
    """
    first, last = nodes_mm[0], nodes_mm[-1]
    low = np.clip(low_mm, first, last)
    high = np.clip(high_mm, first, last)
    thin = high - low < 1e-9
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
    return share / share.sum(axis=1)[:, None]


def bore_ports(body: Body) -> Ints:
    """Ports of the bore or spigot: radial, then axial."""
    ports = body.flexibility.ports
    return np.concatenate([ports.bore_u, ports.bore_w])


@lru_cache(maxsize=32)
def _column_table(pair: Pair, body: Body, columns: Columns) -> Floats:
    """Response of every bore port in every column to a unit force there. Shape (columns x ports)^2. [mm/N]."""
    at, orders = bore_ports(body), pair.orders
    response = body.flexibility.response[:, at][:, :, at].reshape(orders, -1)
    wave = columns.waves(orders)
    table = (wave[:, None, :] * wave.conj()[None, :, :]).real.reshape(-1, orders) * weights(orders)
    count, ports = len(columns.angle_rad), at.size
    whole = (table @ response).reshape(count, count, ports, ports)
    return np.ascontiguousarray(whole.transpose(0, 2, 1, 3).reshape(count * ports, -1))


@lru_cache(maxsize=32)
def _block_table(pair: Pair, body: Body, columns: Columns, block: Block, side: str) -> Floats:
    """Gap of every cell of a block per unit force on every bore port. Shape (cells, columns x ports). [mm/N]."""
    at, orders = bore_ports(body), pair.orders
    rows = body.ring_rows(block) if side == "face" else body.back_rows(block)
    ports = body.flexibility.ports
    read = ports.face if side == "face" else ports.top
    part = np.tensordot(body.flexibility.response[:, read][:, :, at], rows, axes=(1, 1)).reshape(orders, -1)
    turns = np.exp(1j * np.outer(block.angle_rad, np.arange(orders))) * block.averaging(orders)
    wave = columns.waves(orders)
    table = (turns[:, None, :] * wave.conj()[None, :, :]).real.reshape(-1, orders) * weights(orders)
    shape = (block.angle_rad.size, wave.shape[0], at.size, block.inner_mm.size)
    whole = (table @ part).reshape(shape).transpose(0, 3, 1, 2).reshape(block.size, -1)
    return np.ascontiguousarray(whole if side == "face" else -whole)


def radial_rows(body: Body, cells: BoreCells, hub: bool) -> csr_matrix:
    """How each cell moves with the ports of its column. Shape (cells, columns x ports)."""
    return _rows(body, cells, hub, axial=False)


def axial_rows(body: Body, cells: BoreCells, hub: bool) -> csr_matrix:
    """How each cell moves axially, for friction. Shape (cells, columns x ports)."""
    return _rows(body, cells, hub, axial=True)


def _rows(body: Body, cells: BoreCells, hub: bool, axial: bool) -> csr_matrix:
    ports = body.flexibility.ports
    nodes = ports.z_mm[ports.bore_u]
    lift = cells.lift_mm if hub else np.zeros(cells.size)
    mean = band_mean(nodes, cells.low_mm + lift, cells.high_mm + lift)
    out = np.where(cells.chamfer, SLOPE, 1.0)[:, None] * mean
    up = np.where(cells.chamfer, SLOPE, 0.0)[:, None] * mean
    block = np.hstack([0.0 * mean, mean]) if axial else np.hstack([out, up])
    wide = block.shape[1]
    where = cells.column[:, None] * wide + np.arange(wide)
    ends = np.arange(cells.size + 1) * wide
    return csr_matrix((block.ravel(), where.ravel(), ends), shape=(cells.size, len(cells.columns.angle_rad) * wide))


def bore_flexibility(pair: Pair, columns: Columns, rows: list[csr_matrix], more: list[csr_matrix]) -> Floats:
    """Flexibility between two sets of cells, both bodies together. One row matrix per body. [mm/N]."""
    total = np.zeros((rows[0].shape[0], more[0].shape[0]))
    for body, left, right in zip(pair.bodies, rows, more, strict=True):
        # The table is symmetric: no need to turn it over.
        total += left @ np.ascontiguousarray((right @ _column_table(pair, body, columns)).T)
    return total


def with_surface(pair: Pair, columns: Columns, rows: list[csr_matrix], surface: Surface) -> Floats:
    """Flexibility between the cells of a surface and cells of the bore. Shape (kept, cells). [mm/N]."""
    total = np.zeros((surface.kept.size, rows[0].shape[0]))
    for k, (body, right) in enumerate(zip(pair.bodies, rows, strict=True)):
        if surface.side == "face" or k == 0:
            total += (right @ _block_table(pair, body, columns, surface.block, surface.side)[surface.kept].T).T
    return total


def stud_gap(pair: Pair, columns: Columns, rows: list[csr_matrix], wave: Complexes, on: tuple[Body, ...]) -> Floats:
    """Gap of bore cells from the studs alone, pressing on some bodies. Shape (cells,). [mm]."""
    total = np.zeros(rows[0].shape[0])
    for body, row in zip(pair.bodies, rows, strict=True):
        if body in on:
            total -= row @ stud_answer(pair, body, columns, wave)
    return total


def stud_answer(pair: Pair, body: Body, columns: Columns, wave: Complexes) -> Floats:
    """Movement of every bore port in every column under studs that pull outboard. Shape (columns x ports,). [mm].

    ``wave`` is the sum over the studs of force times exp(-i n theta). [N]
    """
    top = body.flexibility.ports.top
    answer = np.einsum("nij,nj->ni", body.flexibility.response[:, bore_ports(body)][:, :, top], body.stud_load)
    return np.asarray((columns.waves(pair.orders) @ (wave[:, None] * answer)).real.ravel())


def rigid_rows(cells: BoreCells, bore_radius_mm: float, axial: bool = False) -> Floats:
    """Gap of each cell per rigid motion of the rotor: axial, two tilts, two sideways shifts. Shape (cells, 5)."""
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


def nodal_wave(pair: Pair, columns: Columns, rows: csr_matrix, force_n: Floats) -> Complexes:
    """Nodal load amplitudes on the bore ports of one body from the forces on its cells. Shape (orders, ports). [N]."""
    held = (rows.T @ force_n).reshape(len(columns.angle_rad), -1)
    return np.asarray(weights(pair.orders)[:, None] * (columns.waves(pair.orders).conj().T @ held))
