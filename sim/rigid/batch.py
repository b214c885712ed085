"""Exact rigid seating by the hundred thousand: random dirt for tolerance stacks, measured faces for traces.

The same search as for one seat (`sim.solvers.lowest_plane`), worked through in rows: a batch answers what
`sim.rigid.seat.seat_rigid` does.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from sim.arrays import Floats
from sim.errors import BadInput
from sim.one_thread import one_thread
from sim.solvers import lowest_plane


@one_thread
def exchange(points_xy_mm: ArrayLike, heights_mm: ArrayLike, centre_xy_mm: tuple[float, float] = (0.0, 0.0)) -> Floats:
    """Seat a stiff flat rotor on measured faces: one set of points, many sets of heights.

    Parameters
    ----------
    points_xy_mm : array_like, shape (m, 2)
        Where the heights are known. [mm]
    heights_mm : array_like, shape (n, m) or (m,)
        Heights there, one row a face. [mm]
    centre_xy_mm : tuple of float
        Clamp centre. [mm]

    Returns
    -------
    ndarray, shape (n, 3) or (3,)
        Height at the clamp centre [mm] and the two slopes [mm/mm].

    Raises
    ------
    Refused
        If the clamp centre lies outside the points: the rotor rocks.
    BadInput
        If the shapes do not fit or a number is not finite.

    Notes
    -----
    The plane is the facet of the upper hull of the points that the vertical through the clamp centre pierces.

    The dual simplex of `sim.solvers.lowest_plane`: three supports carry a plane (statics).
    """
    points = np.asarray(points_xy_mm, dtype=float)
    heights = np.asarray(heights_mm, dtype=float)
    rows = np.atleast_2d(heights)
    if points.ndim != 2 or points.shape[1] != 2 or rows.shape[-1] != points.shape[0]:
        raise BadInput(f"{points.shape} points do not go with {heights.shape} heights")
    if not (np.isfinite(points).all() and np.isfinite(rows).all()):
        raise BadInput("a measured face needs finite numbers")
    centre = np.array(centre_xy_mm, dtype=float)
    square = np.square(points).sum(axis=1)
    basis = lowest_plane.start_triangle(lowest_plane.Points(points, square[None]), float(np.sqrt(square.max())), centre)
    number = lowest_plane.arc_number(basis[:, 3])
    mean = rows.mean(axis=1, keepdims=True)
    result = np.empty((rows.shape[0], 3))
    for first in range(0, rows.shape[0], lowest_plane.CHUNK):
        some = slice(first, first + lowest_plane.CHUNK)
        lifted = rows[some] - mean[some]
        start = np.broadcast_to(basis, (lifted.shape[0], 3, 4)).copy()
        start[:, :, 2] = lifted[:, number]
        result[some] = lowest_plane.descend(lowest_plane.Points(points, lifted), start, centre)[0]
    result[:, 0] += result[:, 1:] @ centre + mean[:, 0]
    return result[0] if heights.ndim == 1 else result


@one_thread
def seat_rigid_batch(
    inner_radius_mm: ArrayLike,
    outer_radius_mm: ArrayLike,
    angle_deg: ArrayLike,
    arc_deg: ArrayLike,
    height_mm: ArrayLike,
    face_radius_mm: float,
) -> Floats:
    """Seat many draws of a few patches at once, clamp centre at the middle.

    Parameters
    ----------
    inner_radius_mm, outer_radius_mm, angle_deg, arc_deg, height_mm : array_like, broadcast to (n, patches)
        As in `Patch`; a height of 0 is no patch. Equal radii and an arc of 0 make a point. [mm, deg]
    face_radius_mm : float
        Outer radius of the face, which stays whole. [mm]

    Returns
    -------
    ndarray, shape (n, 3)
        Height at the middle [mm] and the two slopes [mm/mm].

    Raises
    ------
    BadInput
        If a height is negative or a radius lies outside the face.
    """
    fields = np.broadcast_arrays(
        *(
            np.atleast_2d(np.asarray(v, float))
            for v in (inner_radius_mm, outer_radius_mm, angle_deg, arc_deg, height_mm)
        )
    )
    inner, outer, angle, arc, height = fields
    if (height < 0.0).any() or (outer > face_radius_mm).any() or (inner > outer).any() or (inner <= 0.0).any():
        raise BadInput("a batch of patches takes heights from 0 up and radii within the face")
    result = np.zeros((height.shape[0], 3))
    dirty = np.flatnonzero((height > 0.0).any(axis=1))
    for first in range(0, dirty.size, lowest_plane.CHUNK):
        rows = dirty[first : first + lowest_plane.CHUNK]
        some = np.stack([inner[rows], outer[rows], angle[rows], arc[rows], height[rows]])
        result[rows] = _seat_chunk(some, face_radius_mm)
    return result


def _seat_chunk(fields: Floats, reach: float) -> Floats:
    inner, outer, angle, arc, height = fields
    count = height.shape[0]
    middle, half = np.radians(angle), np.radians(arc) / 2.0
    lifted = np.where(height > 0.0, height, -np.inf)
    ends = (middle - half).T.copy(), (middle + half).T.copy()
    supports = lowest_plane.RimAndPads(reach, inner.T.copy(), outer.T.copy(), lifted.T.copy(), ends)
    # Start on the patch that would tilt the rotor most alone, and on the rim either side of the place opposite it.
    row, steepest = np.arange(count), np.argmax(lifted / (reach + inner), axis=1)
    angle = (middle - half)[row, steepest][:, None] + 2.0 * np.pi * np.arange(3) / 3.0
    radius = np.full((count, 3), reach)
    radius[:, 0] = inner[row, steepest]
    basis = np.zeros((count, 3, 4))
    basis[:, :, 0], basis[:, :, 1] = radius * np.cos(angle), radius * np.sin(angle)
    basis[:, 0, 2] = height[row, steepest]
    basis[:, 0, 3] = -1.0
    return lowest_plane.descend(supports, basis, np.zeros(2))[0]
