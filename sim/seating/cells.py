"""Contact cells: how the hub face, and what lies on it, is cut into annular sectors."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import csr_matrix

from sim.arrays import Floats
from sim.parts.case import Debris

EDGE_RING_MM = 1.0  # narrow ring at the outer edge, where uneven torque decides
COVERED = 0.5  # a cell covered by more than this share counts as covered
RING_MM, EVEN_MM = 1.4, 2.0  # radial size of a patch's cells; even where its outline or top is not plain
WIDE_DEG = 6.0  # angular size of the cells of a wide patch
MOST_RINGS, MOST_COLUMNS = 10, 60
SAMPLES = 5  # points per direction when coverage is measured
SPLIT = 4  # parts per direction of a cell out of which a hole is cut
LEAST_OPEN = 0.02  # a cell of which less is left carries nothing


@dataclass(frozen=True, eq=False)
class CellBlock:
    """Cells in rows and columns: every ring crossed with every angle; cell index = angle x rings + ring.

    Parameters
    ----------
    inner_mm, outer_mm : ndarray, shape (rings,)
        [mm]
    angle_rad : ndarray, shape (angles,)
        Centres. [rad]
    arc_rad : float
        Angular width of every cell. [rad]
    """

    inner_mm: Floats
    outer_mm: Floats
    angle_rad: Floats
    arc_rad: float

    @property
    def size(self) -> int:
        """Number of cells."""
        return self.inner_mm.size * self.angle_rad.size

    @cached_property
    def flat(self) -> tuple[Floats, Floats, Floats]:
        """Inner radius, outer radius and centre angle of every cell."""
        turns = self.angle_rad.size
        return (
            np.tile(self.inner_mm, turns),
            np.tile(self.outer_mm, turns),
            np.repeat(self.angle_rad, self.inner_mm.size),
        )

    @cached_property
    def area_mm2(self) -> Floats:
        """Area of every cell. [mm2]."""
        inner, outer, _ = self.flat
        return self.arc_rad * (outer**2 - inner**2) / 2

    def averaging(self, orders: int) -> Floats:
        """Return the mean of cos n theta over a cell's arc, relative to its centre, for n below ``orders``."""
        half = np.arange(orders) * self.arc_rad / 2
        return np.sinc(half / np.pi)

    def rigid(self) -> Floats:
        """Mean of 1, x and y over every cell. Shape (cells, 3)."""
        inner, outer, angle = self.flat
        lever = 2 / 3 * (outer**3 - inner**3) / (outer**2 - inner**2) * np.sinc(self.arc_rad / 2 / np.pi)
        return np.column_stack([np.ones_like(lever), lever * np.cos(angle), lever * np.sin(angle)])

    @cached_property
    def sample_points(self) -> tuple[Floats, Floats]:
        """Radius and angle of sample points, even in area. Shape (cells, samples)."""
        inner, outer, angle = self.flat
        share = (np.arange(SAMPLES) + 0.5) / SAMPLES
        square = inner[:, None] ** 2 + (outer**2 - inner**2)[:, None] * share
        radius = np.sqrt(square)[:, :, None] * np.ones(SAMPLES)
        theta = angle[:, None, None] + self.arc_rad * (share - 0.5)[None, None, :] * np.ones((SAMPLES, 1))
        return radius.reshape(self.size, -1), theta.reshape(self.size, -1)


@dataclass(frozen=True, eq=False)
class Holed(CellBlock):
    """A block out of whose cells round holes are cut: each presses evenly with what is left of it.

    A cell that is dropped or kept whole puts the force of a stud millimetres beside the edge of its hole.

    Parameters
    ----------
    fine : CellBlock
        The same cells, each in ``SPLIT`` by ``SPLIT`` parts.
    open_share : ndarray, shape (angles, SPLIT, rings, SPLIT)
        What the holes leave of every part: angle and part of it, ring and part of it.
    """

    fine: CellBlock
    open_share: Floats

    @cached_property
    def part_of_cell(self) -> Floats:
        """Share of a cell's force that each of its parts takes; none where nothing is left. Shaped as open_share."""
        area = self.fine.area_mm2.reshape(self.open_share.shape) * self.open_share
        whole = area.sum(axis=(1, 3), keepdims=True)
        return np.divide(area, whole, out=np.zeros_like(area), where=whole > 0)

    @cached_property
    def carried(self) -> Floats:
        """Share of each cell that is left. Shape (cells,)."""
        area = self.fine.area_mm2.reshape(self.open_share.shape) * self.open_share
        return area.sum(axis=(1, 3)).ravel() / self.area_mm2

    @cached_property
    def gather(self) -> csr_matrix:
        """Mean over what is left of each cell, from values on the parts. Shape (cells, parts)."""
        turns, split, rings, _ = self.open_share.shape
        cell = np.arange(self.size).reshape(turns, 1, rings, 1) * np.ones((1, split, 1, split), dtype=np.int64)
        places = (cell.ravel(), np.arange(self.fine.size))
        return csr_matrix((self.part_of_cell.ravel(), places), shape=(self.size, self.fine.size))

    def rigid(self) -> Floats:
        """Mean of 1, x and y over what is left of every cell. Shape (cells, 3)."""
        return np.asarray(self.gather @ self.fine.rigid())

    def waves(self, orders: int) -> NDArray[np.complex128]:
        """Fourier amplitude of a unit pressure force on each cell, by part of its ring. (angles, rings, SPLIT, orders).

        Of exp(-i n theta): the mean over what is left of the cell, so that both angle and shape are in.
        """
        turns, split, _, _ = self.open_share.shape
        wave = np.exp(-1j * np.outer(self.fine.angle_rad, np.arange(orders))) * self.fine.averaging(orders)
        return np.einsum("acrs,acn->arsn", self.part_of_cell, wave.reshape(turns, split, orders))


def cut_holes(block: CellBlock, radius_mm: float, angles_rad: Floats, circle_mm: float) -> Holed:
    """Cut circles of radius ``circle_mm``, centred on a pitch circle, out of the cells of a block."""
    edges = np.append(block.inner_mm, block.outer_mm[-1])
    part = np.arange(SPLIT) / SPLIT
    fine_edges = np.append((edges[:-1, None] + np.diff(edges)[:, None] * part).ravel(), edges[-1])
    angles = (block.angle_rad[:, None] + block.arc_rad * (part + 0.5 / SPLIT - 0.5)).ravel()
    fine = CellBlock(fine_edges[:-1], fine_edges[1:], angles, block.arc_rad / SPLIT)
    share = 1.0 - share_in_circles(fine, radius_mm, angles_rad, circle_mm)
    shape = (block.angle_rad.size, SPLIT, block.inner_mm.size, SPLIT)
    return Holed(block.inner_mm, block.outer_mm, block.angle_rad, block.arc_rad, fine, share.reshape(shape))


def face_block(zone_mm: tuple[float, float], ring_mm: float, per_turn: int) -> CellBlock:
    """Cut the contact zone into rings about ``ring_mm`` wide, with a narrow one at the outer edge."""
    inner, outer = zone_mm
    edge = min(EDGE_RING_MM, 0.3 * (outer - inner))
    count = max(2, round((outer - inner - edge) / ring_mm))
    edges = np.append(np.linspace(inner, outer - edge, count + 1), outer)
    arc = 2 * np.pi / per_turn
    return CellBlock(edges[:-1], edges[1:], np.arange(per_turn, dtype=np.float64) * arc, arc)


def patch_block(
    debris: Debris, zone_mm: tuple[float, float], turn_rad: float, finest_rad: float, most_rings: int = 6
) -> CellBlock | None:
    """Cut a patch into cells that follow its exact edges; None if it lies wholly off the contact zone.

    A hard patch presses with its edges, so its rings are narrow there. A round or ragged one is cut evenly.

    Parameters
    ----------
    debris : Debris
    zone_mm : tuple of float
        Radii between which the faces can touch. [mm]
    turn_rad : float
        Angle of the rotor's zero in the hub frame, used when the debris sits on the rotor. [rad]
    finest_rad : float
        Narrowest useful cell: half a wave of the highest harmonic. [rad]
    most_rings : int

    Returns
    -------
    CellBlock or None
    """
    inner, outer = max(debris.inner_radius_mm, zone_mm[0]), min(debris.outer_radius_mm, zone_mm[1])
    if outer - inner <= 1e-9:
        return None
    arc = np.deg2rad(debris.arc_deg)
    plain = debris.shape == "sector" and debris.ragged_share == 0
    if plain:
        rings = int(np.clip(np.ceil((outer - inner) / RING_MM), 2, most_rings))
        wanted = max(MOST_RINGS, int(np.ceil(arc / np.deg2rad(WIDE_DEG))))
        share = (1 - np.cos(np.pi * np.linspace(0.0, 1.0, rings + 1))) / 2
    else:
        rings = int(np.clip(np.ceil((outer - inner) / EVEN_MM), 2, MOST_RINGS))
        wanted = int(np.clip(np.ceil(arc * (inner + outer) / 2 / EVEN_MM), 6, MOST_COLUMNS))
        share = np.linspace(0.0, 1.0, rings + 1)
    columns = int(np.clip(wanted, 1, max(1, int(arc / finest_rad + 1e-9))))
    edges = inner + (outer - inner) * share
    width = arc / columns
    start = np.deg2rad(debris.angle_deg) + (turn_rad if debris.on == "rotor" else 0.0) - arc / 2
    return CellBlock(edges[:-1], edges[1:], start + width * (np.arange(columns) + 0.5), width)


def share_in_circles(block: CellBlock, radius_mm: float, angles_rad: Floats, circle_mm: float) -> Floats:
    """Share of each cell that lies inside circles of radius ``circle_mm`` centred on a pitch circle."""
    r, theta = block.sample_points
    inside = np.zeros(r.shape, dtype=bool)
    for angle in angles_rad:
        inside |= r**2 + radius_mm**2 - 2 * r * radius_mm * np.cos(theta - angle) < circle_mm**2
    return inside.mean(axis=1)


def share_under(block: CellBlock, debris: Debris, turn_rad: float) -> Floats:
    """Share of each cell that lies under a patch."""
    r, theta = block.sample_points
    centre = np.deg2rad(debris.angle_deg) + (turn_rad if debris.on == "rotor" else 0.0)
    away = np.abs((theta - centre + np.pi) % (2 * np.pi) - np.pi)
    if debris.shape == "round":
        half = (debris.outer_radius_mm - debris.inner_radius_mm) / 2
        middle = (debris.outer_radius_mm + debris.inner_radius_mm) / 2
        return (r**2 + middle**2 - 2 * r * middle * np.cos(away) <= half**2).mean(axis=1)
    inside = (away <= np.deg2rad(debris.arc_deg) / 2) & (r >= debris.inner_radius_mm) & (r <= debris.outer_radius_mm)
    return inside.mean(axis=1)


def ragged_fall(debris: Debris, block: CellBlock) -> Floats:
    """How far the ragged top of a patch falls short of its height, cell by cell, as a share of the height.

    The highest cell keeps the full height. Neighbours are alike: random values are averaged over three by three cells.
    """
    if debris.ragged_share == 0:
        return np.zeros(block.size)
    columns, rings = block.angle_rad.size, block.inner_mm.size
    rough = np.random.default_rng(debris.seed).uniform(size=(columns + 2, rings + 2))
    smooth = np.mean([rough[i : i + columns, j : j + rings] for i in range(3) for j in range(3)], axis=0)
    depth = (smooth.max() - smooth) / max(float(np.ptp(smooth)), 1e-12)
    return debris.ragged_share * depth.ravel()
