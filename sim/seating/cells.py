"""Contact cells: how the hub face, and what lies on it, is cut into annular sectors."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property, lru_cache

import numpy as np
from scipy.sparse import csr_matrix

from sim.arrays import Complexes, Floats, read_only
from sim.parts.case import Debris

EDGE_RING_MM = 1.0  # about the ring at the outer edge, where the pressure peaks and uneven torque decides
EDGE_RINGS = np.array([0.87, 0.52, 0.15])  # widths of the last rings beside those further in
COVERED = 0.5  # a cell covered by more than this share counts as covered
RING_MM, EVEN_MM = 1.4, 2.0  # radial size of a patch's cells; even where its outline or top is not plain
WIDE_DEG = 6.0  # angular size of the cells of a wide patch
MOST_RINGS, MOST_COLUMNS = 10, 60  # of a patch: bounds its share of the contact problem; judgement
LEAST_CELLS = 4  # in each direction of a patch, however small
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
    arc_rad : float or ndarray, shape (angles,)
        Angular width of the cells of each angle. [rad]
    """

    inner_mm: Floats
    outer_mm: Floats
    angle_rad: Floats
    arc_rad: float | Floats

    @property
    def size(self) -> int:
        """Number of cells. No unit; by definition rings times angles."""
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
    def arcs(self) -> Floats:
        """Angular width of the cells of each angle. Shape (angles,). [rad]."""
        return np.broadcast_to(np.asarray(self.arc_rad, dtype=np.float64), self.angle_rad.shape)

    @cached_property
    def arc(self) -> Floats:
        """Angular width of every cell. Shape (cells,). [rad]."""
        return np.repeat(self.arcs, self.inner_mm.size)

    @cached_property
    def area_mm2(self) -> Floats:
        """Area of every cell. [mm2]. Geometry of an annular sector."""
        return np.outer(self.arcs, (self.outer_mm**2 - self.inner_mm**2) / 2).ravel()

    def averaging(self, orders: int) -> Floats:
        """Mean of cos n theta over the arcs, relative to their centres, for n below ``orders``. (angles, orders).

        No unit. Closed form: sin(n arc/2) / (n arc/2).
        """
        return np.sinc(np.outer(self.arcs, np.arange(orders)) / 2 / np.pi)

    def mean_waves(self, orders: int) -> Complexes:
        """Mean of exp(i n theta) over the cells of each angle. Shape (angles, orders).

        No unit; closed form, as `averaging`.
        """
        return np.exp(1j * np.outer(self.angle_rad, np.arange(orders))) * self.averaging(orders)

    def rigid(self) -> Floats:
        """Mean of 1, x and y over every cell. Shape (cells, 3).

        The 1 has no unit, x and y are in mm. Centroid of an annular sector, geometry: 2/3 (b^3 - a^3) / (b^2 - a^2),
        times the mean of cos over its arc.
        """
        return self._rigid

    @cached_property
    def _rigid(self) -> Floats:
        inner, outer, angle = self.inner_mm, self.outer_mm, self.angle_rad
        lever = 2 / 3 * (outer**3 - inner**3) / (outer**2 - inner**2)
        mean = np.sinc(self.arcs / 2 / np.pi)
        out = np.empty((angle.size, inner.size, 3))
        out[..., 0] = 1.0
        out[..., 1] = np.outer(mean * np.cos(angle), lever)
        out[..., 2] = np.outer(mean * np.sin(angle), lever)
        return read_only(out.reshape(-1, 3))

    @cached_property
    def sample_points(self) -> tuple[Floats, Floats]:
        """Radius and angle of sample points, even in area. Shape (cells, samples).

        [mm, rad]. Even steps of the square of the radius are even in area: geometry.
        """
        inner, outer, angle = self.flat
        share = (np.arange(SAMPLES) + 0.5) / SAMPLES
        square = inner[:, None] ** 2 + (outer**2 - inner**2)[:, None] * share
        radius = np.sqrt(square)[:, :, None] * np.ones(SAMPLES)
        theta = angle[:, None, None] + self.arc[:, None, None] * (share - 0.5)[None, None, :] * np.ones((SAMPLES, 1))
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
        """Share of a cell's force that each of its parts takes; none where nothing is left. Shaped as open_share.

        Even pressure over what is left: judgement, since the true pressure at a hole's edge is resolved by no cell.
        """
        area = self.fine.area_mm2.reshape(self.open_share.shape) * self.open_share
        whole = area.sum(axis=(1, 3), keepdims=True)
        return np.divide(area, whole, out=np.zeros_like(area), where=whole > 0)

    @cached_property
    def carried(self) -> Floats:
        """Share of each cell that is left. Shape (cells,). Geometry, by sample points."""
        area = self.fine.area_mm2.reshape(self.open_share.shape) * self.open_share
        return area.sum(axis=(1, 3)).ravel() / self.area_mm2

    @cached_property
    def repeat(self) -> int:
        """Number of angles after which the holes come again; all of them where they do not.

        No unit; by definition.
        """
        turns = self.angle_rad.size
        steps = (step for step in range(1, turns) if turns % step == 0) if _goes_round(self) else ()
        alike = (step for step in steps if np.array_equal(self.open_share[step:], self.open_share[:-step]))
        return next(alike, turns)

    @cached_property
    def gather(self) -> csr_matrix:
        """Mean over what is left of each cell, from values on the parts. Shape (cells, parts).

        No unit; area mean by definition.
        """
        turns, split, rings, _ = self.open_share.shape
        cell = np.arange(self.size).reshape(turns, 1, rings, 1) * np.ones((1, split, 1, split), dtype=np.int64)
        places = (cell.ravel(), np.arange(self.fine.size))
        return csr_matrix((self.part_of_cell.ravel(), places), shape=(self.size, self.fine.size))

    def rigid(self) -> Floats:
        """Mean of 1, x and y over what is left of every cell. Shape (cells, 3).

        The 1 has no unit, x and y are in mm; area mean by definition.
        """
        return self._rigid

    @cached_property
    def _rigid(self) -> Floats:
        return read_only(np.asarray(self.gather @ self.fine.rigid()))

    def waves(self, orders: int) -> Complexes:
        """Fourier amplitude of a unit pressure force on each cell, by part of its ring. (angles, rings, SPLIT, orders).

        Of exp(-i n theta): the mean over what is left of the cell, so that both angle and shape are in.
        """
        turns, split, _, _ = self.open_share.shape
        wave = self.fine.mean_waves(orders).conj()
        return np.einsum("acrs,acn->arsn", self.part_of_cell, wave.reshape(turns, split, orders))


def cut_holes(block: CellBlock, radius_mm: float, angles_rad: Floats, circle_mm: float) -> Holed:
    """Cut circles of radius ``circle_mm``, centred on a pitch circle, out of the cells of a block.

    Radii in mm, angles in rad; geometry, by sample points.
    """
    edges = np.append(block.inner_mm, block.outer_mm[-1])
    part = np.arange(SPLIT) / SPLIT
    fine_edges = np.append((edges[:-1, None] + np.diff(edges)[:, None] * part).ravel(), edges[-1])
    angles = (block.angle_rad[:, None] + block.arcs[:, None] * (part + 0.5 / SPLIT - 0.5)).ravel()
    fine = CellBlock(fine_edges[:-1], fine_edges[1:], angles, np.repeat(block.arcs / SPLIT, SPLIT))
    share = 1.0 - _share_in_even_circles(fine, radius_mm, angles_rad, circle_mm)
    shape = (block.angle_rad.size, SPLIT, block.inner_mm.size, SPLIT)
    return Holed(block.inner_mm, block.outer_mm, block.angle_rad, block.arc_rad, fine, share.reshape(shape))


def _goes_round(block: CellBlock) -> bool:
    """Whether even angles make one whole turn."""
    turns = block.angle_rad.size
    even = block.angle_rad[0] + np.arange(turns) * (2 * np.pi / turns)
    return bool(np.allclose(block.angle_rad, even, atol=1e-9) and np.allclose(block.arcs, 2 * np.pi / turns, atol=1e-9))


def _share_in_even_circles(block: CellBlock, radius_mm: float, angles_rad: Floats, circle_mm: float) -> Floats:
    """`share_in_circles`, of one pitch only and repeated where circles and cells go round evenly."""
    count, turns = len(angles_rad), block.angle_rad.size
    even = np.allclose(angles_rad, angles_rad[0] + np.arange(count) * (2 * np.pi / count), atol=1e-9)
    if not (even and turns % count == 0 and _goes_round(block)):
        return share_in_circles(block, radius_mm, angles_rad, circle_mm)
    one = turns // count
    pitch = CellBlock(block.inner_mm, block.outer_mm, block.angle_rad[:one], block.arcs[:one])
    return np.tile(share_in_circles(pitch, radius_mm, angles_rad, circle_mm), count)


def face_block(zone_mm: tuple[float, float], ring_mm: float, per_turn: int) -> CellBlock:
    """Cut the contact zone into even rings about ``ring_mm`` wide that close up towards the outer edge.

    Radii in mm. How rings close up towards the edge: judgement, tried against finer rings.
    """
    inner, outer = zone_mm
    count = max(2, round((outer - inner - EDGE_RING_MM) / ring_mm)) + 1
    width = np.ones(count)
    width[-EDGE_RINGS.size :] = EDGE_RINGS
    edges = np.concatenate([[inner], inner + (outer - inner) * np.cumsum(width)[:-1] / width.sum(), [outer]])
    arc = 2 * np.pi / per_turn
    return CellBlock(edges[:-1], edges[1:], np.arange(per_turn, dtype=np.float64) * arc, arc)


def pad_block(zone_mm: tuple[float, float], ring_mm: float, per_turn: int) -> CellBlock:
    """Cut the wheel's pad into rings about ``ring_mm`` wide that close up towards both its edges.

    Radii in mm. How rings close up towards the edges: judgement, tried against finer rings.
    """
    inner, outer = zone_mm
    count = max(2, round((outer - inner - EDGE_RING_MM) / ring_mm)) + 1
    edges = inner + (outer - inner) * _lines(count, True)
    arc = 2 * np.pi / per_turn
    return CellBlock(edges[:-1], edges[1:], np.arange(per_turn, dtype=np.float64) * arc, arc)


@lru_cache(maxsize=32)  # seated as read and as driven, a patch is the same cells
def patch_block(debris: Debris, zone_mm: tuple[float, float], turn_rad: float, most_rings: int = 6) -> CellBlock | None:
    """Cut a patch into cells that follow its exact edges; None if it lies wholly off the contact zone.

    A hard patch presses with its edges, so its cells are narrow there. A round or ragged one is cut evenly.

    Parameters
    ----------
    debris : Debris
    zone_mm : tuple of float
        Radii between which the faces can touch. [mm]
    turn_rad : float
        Angle of the rotor's zero in the hub frame, used when the debris sits on the rotor. [rad]
    most_rings : int

    Returns
    -------
    CellBlock or None
    """
    inner, outer = max(debris.inner_radius_mm, zone_mm[0]), min(debris.outer_radius_mm, zone_mm[1])
    if outer - inner <= 1e-9:
        return None
    arc = np.deg2rad(debris.arc_deg)
    across = arc * (inner + outer) / 2
    plain = debris.shape == "sector" and debris.ragged_share == 0
    if plain:
        rings = int(np.clip(np.ceil((outer - inner) / RING_MM), LEAST_CELLS, most_rings))
        most = max(MOST_RINGS, int(np.ceil(arc / np.deg2rad(WIDE_DEG))))
        columns = int(np.clip(np.ceil(across / RING_MM), LEAST_CELLS, most))
    else:
        rings = int(np.clip(np.ceil((outer - inner) / EVEN_MM), LEAST_CELLS, MOST_RINGS))
        columns = int(np.clip(np.ceil(across / EVEN_MM), 6, MOST_COLUMNS))
    edges = inner + (outer - inner) * _lines(rings, plain)
    start = np.deg2rad(debris.angle_deg) + (turn_rad if debris.on == "rotor" else 0.0) - arc / 2
    sides = start + arc * _lines(columns, plain and debris.arc_deg < 360.0)
    return CellBlock(edges[:-1], edges[1:], (sides[1:] + sides[:-1]) / 2, np.diff(sides))


@lru_cache(maxsize=256)
def _lines(count: int, to_edges: bool) -> Floats:
    """Lines from 0 to 1: even, or closing up towards both ends as the pressure of a hard edge wants. Read-only."""
    if not to_edges:
        return read_only(np.linspace(0.0, 1.0, count + 1))
    width = np.diff(1 - np.cos(np.pi * np.linspace(0.0, 1.0, min(count, MOST_RINGS) + 1)))
    ends = np.array_split(width, 2)
    width = np.concatenate([ends[0], np.full(count - width.size, width.max()), ends[1]])
    return read_only(np.append(0.0, np.cumsum(width) / width.sum()))


def share_in_circles(block: CellBlock, radius_mm: float, angles_rad: Floats, circle_mm: float) -> Floats:
    """Share of each cell that lies inside circles of radius ``circle_mm`` centred on a pitch circle.

    Law of cosines (geometry) at sample points that are even in area.
    """
    # A circle lies within this angle of its centre; most of them are nowhere near a patch.
    reach = np.arcsin(circle_mm / radius_mm) if circle_mm < radius_mm else np.pi
    away = np.abs((block.angle_rad - np.asarray(angles_rad)[:, None] + np.pi) % (2 * np.pi) - np.pi)
    near = np.any(away <= reach + block.arcs / 2 + 1e-9, axis=1)
    if not near.any():
        return np.zeros(block.size)
    r, theta = block.sample_points
    inside = np.zeros(r.shape, dtype=bool)
    for angle in np.asarray(angles_rad)[near]:
        inside |= r**2 + radius_mm**2 - 2 * r * radius_mm * np.cos(theta - angle) < circle_mm**2
    return inside.mean(axis=1)


def share_under(block: CellBlock, debris: Debris, turn_rad: float) -> Floats:
    """Share of each cell that lies under a patch."""
    centre = np.deg2rad(debris.angle_deg) + (turn_rad if debris.on == "rotor" else 0.0)
    half = (debris.outer_radius_mm - debris.inner_radius_mm) / 2
    middle = (debris.outer_radius_mm + debris.inner_radius_mm) / 2
    wide = np.deg2rad(debris.arc_deg) / 2
    if debris.shape == "round":
        wide = np.arcsin(half / middle) if half < middle else np.pi
    # Cells of other angles are not looked at.
    near = np.abs((block.angle_rad - centre + np.pi) % (2 * np.pi) - np.pi) <= wide + block.arcs / 2 + 1e-9
    cells = np.flatnonzero(np.repeat(near, block.inner_mm.size))
    r, theta = (part[cells] for part in block.sample_points)
    away = np.abs((theta - centre + np.pi) % (2 * np.pi) - np.pi)
    if debris.shape == "round":
        inside = r**2 + middle**2 - 2 * r * middle * np.cos(away) <= half**2
    else:
        inside = (away <= wide) & (r >= debris.inner_radius_mm) & (r <= debris.outer_radius_mm)
    share = np.zeros(block.size)
    share[cells] = inside.mean(axis=1)
    return share


def ragged_fall(debris: Debris, block: CellBlock) -> Floats:
    """How far the ragged top of a patch falls short of its height, cell by cell, as a share of the height.

    The highest cell keeps the full height. Neighbours are alike: random values are averaged over three by three cells.

    The ragged top is invented: judgement, no measured scale stands behind it.
    """
    if debris.ragged_share == 0:
        return np.zeros(block.size)
    columns, rings = block.angle_rad.size, block.inner_mm.size
    rough = np.random.default_rng(debris.seed).uniform(size=(columns + 2, rings + 2))
    smooth = np.mean([rough[i : i + columns, j : j + rings] for i in range(3) for j in range(3)], axis=0)
    depth = (smooth.max() - smooth) / max(float(np.ptp(smooth)), 1e-12)
    return debris.ragged_share * depth.ravel()
