"""Contact cells: how the hub face, and what lies on it, is cut into annular sectors."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray
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
_SHARES = (np.arange(SAMPLES) + 0.5) / SAMPLES
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
    def known(self) -> dict[Any, Any]:
        """What was worked out of these cells, by what it is called; often for many blocks in one call."""
        return {}

    def know(self, area_mm2: Floats, mean: Floats) -> None:
        """Take in `area_mm2` [mm2] and `rigid` that were worked out for many blocks at once. By definition the same."""
        self.__dict__["area_mm2"], self.__dict__["_rigid"] = area_mm2, read_only(mean)

    @cached_property
    def area_mm2(self) -> Floats:
        """Area of every cell. [mm2]. Geometry of an annular sector."""
        return sector_areas(self.inner_mm, self.outer_mm, self.arcs)

    def averaging(self, orders: int) -> Floats:
        """Mean of cos n theta over the arcs, relative to their centres, for n below ``orders``. (angles, orders).

        No unit. Closed form: sin(n arc/2) / (n arc/2).
        """
        return np.sinc(np.outer(self.arcs, np.arange(orders)) / 2 / np.pi)

    def mean_waves(self, orders: int) -> Complexes:
        """Mean of exp(i n theta) over the cells of each angle of a block. Shape (angles, orders).

        No unit; closed form, as `averaging`.
        """
        parts = wave_parts(self.angle_rad, self.arcs, orders)
        return parts[:, :orders] + 1j * parts[:, orders:]

    def rigid(self) -> Floats:
        """Mean of 1, x and y over every cell. Shape (cells, 3).

        The 1 has no unit, x and y are in mm; as `sector_means`.
        """
        return self._rigid

    @cached_property
    def _rigid(self) -> Floats:
        return read_only(sector_means(self.inner_mm, self.outer_mm, self.angle_rad, self.arcs))

    @cached_property
    def radius_samples(self) -> Floats:
        """Radii of the sample points, ring by ring. Shape (rings x samples,). [mm]; as `radius_samples`."""
        return radius_samples(self.inner_mm, self.outer_mm)

    @cached_property
    def angle_samples(self) -> Floats:
        """Angles of the sample points, column by column. Shape (angles x samples,). [rad]; as `angle_samples`."""
        return angle_samples(self.angle_rad, self.arcs)

    @cached_property
    def sample_points(self) -> tuple[Floats, Floats]:
        """Radius and angle of sample points, even in area. Shape (cells, samples).

        [mm, rad]. Every radius of a cell's ring with every angle of its column.
        """
        turns, rings = self.angle_rad.size, self.inner_mm.size
        shape = (turns, rings, SAMPLES, SAMPLES)
        radius = np.broadcast_to(self.radius_samples.reshape(1, rings, SAMPLES, 1), shape)
        theta = np.broadcast_to(self.angle_samples.reshape(turns, 1, 1, SAMPLES), shape)
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


def sector_areas(inner_mm: Floats, outer_mm: Floats, arcs_rad: Floats) -> Floats:
    """Areas of the cells of blocks that have as many rings and angles as each other.

    Parameters
    ----------
    inner_mm, outer_mm : ndarray, shape (..., rings)
        [mm]
    arcs_rad : ndarray, shape (..., angles)
        [rad]

    Returns
    -------
    ndarray, shape (..., cells)
        [mm2]

    Notes
    -----
    Geometry of an annular sector.
    """
    out = arcs_rad[..., :, None] * ((outer_mm**2 - inner_mm**2) / 2)[..., None, :]
    return out.reshape(*arcs_rad.shape[:-1], -1)


def sector_means(inner_mm: Floats, outer_mm: Floats, angle_rad: Floats, arcs_rad: Floats) -> Floats:
    """Means of 1, x and y over the cells of blocks, as `sector_areas` takes them. Shape (..., cells, 3).

    The 1 has no unit, x and y are in mm. Centroid of an annular sector, geometry: 2/3 (b^3 - a^3) / (b^2 - a^2), times
    the mean of cos over its arc.
    """
    lever = 2 / 3 * (outer_mm**3 - inner_mm**3) / (outer_mm**2 - inner_mm**2)
    mean = np.sinc(arcs_rad / 2 / np.pi)
    out = np.empty((*angle_rad.shape, lever.shape[-1], 3))
    out[..., 0] = 1.0
    out[..., 1] = (mean * np.cos(angle_rad))[..., None] * lever[..., None, :]
    out[..., 2] = (mean * np.sin(angle_rad))[..., None] * lever[..., None, :]
    return out.reshape(*angle_rad.shape[:-1], -1, 3)


def wave_parts(angle_rad: Floats, arcs_rad: Floats, orders: int) -> Floats:
    """Means of cos n theta, then of sin n theta, over the cells of each angle of blocks. Shape (..., angles, 2 orders).

    Angles in rad; closed form, as `CellBlock.averaging`.
    """
    order = np.arange(orders)
    turned = angle_rad[..., None] * order
    mean = np.sinc(arcs_rad[..., None] * order / 2 / np.pi)
    out = np.empty((*angle_rad.shape, 2 * orders))
    np.multiply(np.cos(turned), mean, out=out[..., :orders])
    np.multiply(np.sin(turned), mean, out=out[..., orders:])
    return out


def radius_samples(inner_mm: Floats, outer_mm: Floats) -> Floats:
    """Radii of sample points that are even in area, of rings as `sector_areas` takes them.

    Shape (..., rings x samples). [mm]. Even steps of the square of the radius are even in area: geometry.
    """
    square = inner_mm[..., None] ** 2 + (outer_mm**2 - inner_mm**2)[..., None] * _SHARES
    return np.sqrt(square).reshape(*inner_mm.shape[:-1], -1)


def angle_samples(angle_rad: Floats, arcs_rad: Floats) -> Floats:
    """Angles of sample points, even over each arc. Shape (..., angles x samples). [rad]. By definition."""
    out = angle_rad[..., None] + arcs_rad[..., None] * (_SHARES - 0.5)
    return out.reshape(*angle_rad.shape[:-1], -1)


@dataclass(frozen=True, eq=False)
class Alike:
    """Blocks with as many rings and angles as each other, stacked: what is worked out of them takes one call for all.

    Parameters
    ----------
    blocks : tuple of CellBlock
    inner_mm, outer_mm : ndarray, shape (blocks, rings)
        [mm]
    angle_rad, arcs : ndarray, shape (blocks, angles)
        [rad]
    """

    blocks: tuple[CellBlock, ...]
    inner_mm: Floats
    outer_mm: Floats
    angle_rad: Floats
    arcs: Floats

    @classmethod
    def of(cls, blocks: Sequence[CellBlock]) -> Alike:
        """Stack blocks."""
        names = ("inner_mm", "outer_mm", "angle_rad", "arcs")
        return cls(tuple(blocks), *(np.array([getattr(block, name) for block in blocks]) for name in names))

    @cached_property
    def radius_samples(self) -> Floats:
        """As of one block. Shape (blocks, rings x samples). [mm]."""
        return radius_samples(self.inner_mm, self.outer_mm)

    @cached_property
    def angle_samples(self) -> Floats:
        """As of one block. Shape (blocks, angles x samples). [rad]."""
        return angle_samples(self.angle_rad, self.arcs)


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
    arc = math.radians(debris.arc_deg)
    across = arc * (inner + outer) / 2
    plain = debris.shape == "sector" and debris.ragged_share == 0
    if plain:
        rings = _held_between(LEAST_CELLS, (outer - inner) / RING_MM, most_rings)
        most = max(MOST_RINGS, math.ceil(arc / math.radians(WIDE_DEG)))
        columns = _held_between(LEAST_CELLS, across / RING_MM, most)
    else:
        rings = _held_between(LEAST_CELLS, (outer - inner) / EVEN_MM, MOST_RINGS)
        columns = _held_between(6, across / EVEN_MM, MOST_COLUMNS)
    edges = inner + (outer - inner) * _lines(rings, plain)
    start = math.radians(debris.angle_deg) + (turn_rad if debris.on == "rotor" else 0.0) - arc / 2
    sides = start + arc * _lines(columns, plain and debris.arc_deg < 360.0)
    return CellBlock(edges[:-1], edges[1:], (sides[1:] + sides[:-1]) / 2, sides[1:] - sides[:-1])


def _held_between(least: int, wanted: float, most: int) -> int:
    return min(max(math.ceil(wanted), least), most)


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
    return shares_in_circles(Alike.of([block]), radius_mm, angles_rad, circle_mm)[0]


def shares_in_circles(blocks: Alike, radius_mm: float, angles_rad: Floats, circle_mm: float) -> Floats:
    """The same for many blocks at once. Shape (blocks, cells). Radii in mm, angles in rad; geometry."""
    # A circle lies within this angle of its centre; most of them are nowhere near a patch.
    reach = np.arcsin(circle_mm / radius_mm) if circle_mm < radius_mm else np.pi
    centres = np.asarray(angles_rad)
    apart = np.abs((blocks.angle_rad[:, None] - centres[:, None] + np.pi) % (2 * np.pi) - np.pi)
    near = np.any(apart <= reach + blocks.arcs[:, None] / 2 + 1e-9, axis=2).T
    # How far a sample point lies from a centre follows from one of its ring's radii and one of its column's angles.
    radius, angle = blocks.radius_samples, blocks.angle_samples
    inside = np.zeros((*radius.shape, angle.shape[1]), dtype=bool)
    for k, centre in enumerate(centres):
        rows = np.flatnonzero(near[k])
        if rows.size:
            r = radius[rows, :, None]
            inside[rows] |= r**2 + radius_mm**2 - 2 * r * radius_mm * np.cos(angle[rows, None] - centre) < circle_mm**2
    return _sampled(inside)


def _sampled(inside: NDArray[np.bool_]) -> Floats:
    """Share of each cell's sample points that are inside, told by radius and by angle. Shape (..., cells)."""
    rings, angles = inside.shape[-2] // SAMPLES, inside.shape[-1] // SAMPLES
    by_cell = inside.reshape(*inside.shape[:-2], rings, SAMPLES, angles, SAMPLES).sum(axis=(-3, -1))
    return by_cell.swapaxes(-1, -2).reshape(*inside.shape[:-2], -1) / SAMPLES**2


def share_under(block: CellBlock, debris: Debris, turn_rad: float) -> Floats:
    """Share of each cell that lies under a patch. No unit; by sample points: geometry."""
    if debris.shape != "round":
        return shares_under([debris], block, [turn_rad])[0]
    away = np.abs((block.angle_samples - _centre_rad(debris, turn_rad) + np.pi) % (2 * np.pi) - np.pi)
    half = (debris.outer_radius_mm - debris.inner_radius_mm) / 2
    middle = (debris.outer_radius_mm + debris.inner_radius_mm) / 2
    r = block.radius_samples[:, None]
    return _sampled(r**2 + middle**2 - 2 * r * middle * np.cos(away) <= half**2)


def shares_under(sectors: Sequence[Debris], block: CellBlock, turns_rad: Sequence[float]) -> Floats:
    """The same of many patches that are sectors, each with its turn [rad] of the rotor. Shape (patches, cells).

    No unit; by sample points: geometry.
    """
    centre = np.array([_centre_rad(*one) for one in zip(sectors, turns_rad, strict=True)])
    wide = np.array([math.radians(debris.arc_deg) / 2 for debris in sectors])
    inner, outer = (
        np.array([getattr(one, name) for one in sectors]) for name in ("inner_radius_mm", "outer_radius_mm")
    )
    away = np.abs((block.angle_samples - centre[:, None] + np.pi) % (2 * np.pi) - np.pi)
    r = block.radius_samples
    # A sample point lies under a sector by its angle and by its radius, each for itself.
    within = (away <= wide[:, None]).reshape(len(sectors), -1, SAMPLES).sum(axis=2)
    between = ((r >= inner[:, None]) & (r <= outer[:, None])).reshape(len(sectors), -1, SAMPLES).sum(axis=2)
    return (within[:, :, None] * between[:, None]).reshape(len(sectors), -1) / SAMPLES**2


def _centre_rad(debris: Debris, turn_rad: float) -> float:
    return math.radians(debris.angle_deg) + (turn_rad if debris.on == "rotor" else 0.0)


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
