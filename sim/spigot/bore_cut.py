"""Cells of a bore that leans over its spigot: bands cut at the borders of the scale under each column."""

from __future__ import annotations

import numpy as np

from sim.arrays import Floats, Ints
from sim.parts.case import Case
from sim.parts.spigot_room import clearance_mm, in_root
from sim.spigot.bore_cells import BoreCells, Columns, columns_through
from sim.units import shortest_rad

COLUMN_RAD = np.deg2rad(7.5)  # even between borders of scale; judgement, tried against finer ones
BAND_MM = 1.2  # height of a band; judgement, tried against finer ones (tests/verification)
EDGE_BANDS_MM = (0.4, 1.0)  # borders of narrow bands at the bore's inboard edge, on which a rubbed bore comes to pinch
LEAST_BAND_MM = 0.02  # narrower strips of overlap are left out


def scale_columns(case: Case) -> Columns:
    """Columns of the bore: coarse, but cut along the borders of all scale.

    [rad]. Their size is judgement, tried against finer ones.
    """
    edges = [np.deg2rad(s.angle_deg + side * s.arc_deg / 2) for s in case.spigot_scale for side in (-1, 1)]
    return columns_through(edges, COLUMN_RAD)


def overlap_mm(case: Case, angle_rad: Floats, height_mm: Floats) -> tuple[Floats, Ints]:
    """Scale less clearance at given angles and heights above the hub face, and which scale.

    Parameters
    ----------
    case : Case
    angle_rad, height_mm : ndarray
        Of shapes that go together. [rad], [mm]

    Returns
    -------
    overlap : ndarray
        [mm]
    index : ndarray of int
        Position in ``case.spigot_scale``, -1 on bare metal.

    Notes
    -----
    Height less half the clearance on diameter, on radius: geometry.
    """
    angle, z = np.broadcast_arrays(angle_rad, height_mm)
    height, which = np.zeros(z.shape), np.full(z.shape, -1)
    for index, scale in enumerate(case.spigot_scale):
        if in_root(scale):
            continue
        away = np.abs(shortest_rad(angle - np.deg2rad(scale.angle_deg)))
        under = (away < np.deg2rad(scale.arc_deg) / 2) & (z > scale.from_face_mm) & (z < scale.to_face_mm)
        higher = under & (scale.height_um / 1000.0 > height)
        height = np.where(higher, scale.height_um / 1000.0, height)
        which = np.where(higher, index, which)
    return height - clearance_mm(case), which


def leaning_cells(case: Case, columns: Columns, motion: Floats) -> BoreCells:
    """Cells of the bore where the rotor stands.

    Parameters
    ----------
    case : Case
    columns : Columns
    motion : ndarray, shape (5,)
        Stand-off [mm], two tilts [rad], two sideways shifts [mm].

    Notes
    -----
    Small rotations: geometry.
    """
    angle = np.array(columns.angle_rad)
    lift = motion[0] + case.rotor.bore_diameter_mm / 2 * (motion[1] * np.cos(angle) + motion[2] * np.sin(angle))
    start, width, column = _bands(case, lift)
    parts = np.where(width < LEAST_BAND_MM - 1e-12, 0, np.maximum(1, np.ceil(width / BAND_MM - 1e-9)).astype(np.int64))
    band = np.repeat(np.arange(parts.size), parts)
    within = np.arange(band.size) - (np.cumsum(parts) - parts)[band]
    each = width[band] / parts[band]
    low = start[band] + within * each
    high = np.where(within + 1 == parts[band], start[band] + width[band], start[band] + (within + 1) * each)
    index = column[band]
    overlap, which = overlap_mm(case, angle[index], (low + high) / 2 + lift[index])
    return BoreCells(
        columns=columns,
        column=index,
        low_mm=low,
        high_mm=high,
        overlap_mm=overlap,
        scale=which,
        lift_mm=lift[index],
        chamfer=np.zeros(index.size, dtype=bool),
    )


def _bands(case: Case, lift_mm: Floats) -> tuple[Floats, Floats, Ints]:
    """Start and width of the bands between all borders, and the column of each; some are of no width."""
    begin = np.maximum(0.0, -lift_mm)
    end = np.minimum(case.rotor.flange_thickness_mm, case.hub.spigot_length_mm - lift_mm)
    end = np.where(end - begin < LEAST_BAND_MM, begin + LEAST_BAND_MM, end)
    edges = sorted({z for s in case.spigot_scale if not in_root(s) for z in (s.from_face_mm, s.to_face_mm)})
    inside = np.hstack([np.array(edges) - lift_mm[:, None], begin[:, None] + np.array(EDGE_BANDS_MM)])
    marks = np.sort(np.clip(inside, begin[:, None], end[:, None]), axis=1)
    marks = np.hstack([begin[:, None], marks, end[:, None]])
    lost = np.diff(marks, axis=1).max(axis=1) < LEAST_BAND_MM  # cut into strips that would all be left out
    marks[lost, 1:-1] = begin[lost, None]
    column = np.repeat(np.arange(lift_mm.size), marks.shape[1] - 1)
    return marks[:, :-1].ravel(), np.diff(marks, axis=1).ravel(), column


def whole_columns(cells: BoreCells) -> BoreCells:
    """One cell for each column, over the whole length on which it can touch."""
    count = len(cells.columns.angle_rad)
    low, high, lift = np.full(count, np.inf), np.full(count, -np.inf), np.zeros(count)
    np.minimum.at(low, cells.column, cells.low_mm)
    np.maximum.at(high, cells.column, cells.high_mm)
    lift[cells.column] = cells.lift_mm
    nothing = np.zeros(count)
    return BoreCells(
        cells.columns, np.arange(count), low, high, nothing, np.full(count, -1), lift, np.zeros(count, dtype=bool)
    )
