"""Lowest plane over many supports, seated to round-off: a dual simplex that swaps one support at a time, many at once.

Minimise the height ``c + g . p0`` of a plane at the clamp centre p0 while it stays on or above every support. The
answer stands on three supports whose triangle holds p0, or on two with p0 between them where one is a smooth arc. Each
step takes the support that sticks out furthest; it replaces the one whose leaving keeps p0 inside, and the height never
falls.
"""

from __future__ import annotations

from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from sim.arrays import Floats, Ints
from sim.errors import Refused

STEPS = 200  # swaps of a support before a seating counts as one that goes round in circles
# A support that sticks out by less than this share of the heights in play is round-off.
ROUND_OFF = 1e-14
# Barycentric weight below which a corner of the triangle cannot be swapped without flattening it.
FLAT = 1e-11
# Rows worked on together: small enough to stay in the cache of one core.
CHUNK = 4096
# Two odd directions, so that no line through the supports runs along them.
ASIDE = np.array([[0.8253, 0.5647], [-0.8253, -0.5647]])


class Supports(Protocol):
    """Places where the plane may bear, for many seatings (rows) at once."""

    def worst(self, plane: Floats) -> tuple[Floats, Floats]:
        """Height by which the worst support sticks out (n,), and that support (n, 4): x, y, height, tag.

        The tag is the arc's number where the support lies inside an arc (smooth), -1 - number where it is an end.
        """

    def take(self, rows: Ints) -> Supports:
        """Return the same for some of the rows."""

    def radius(self, number: Ints, rows: Ints) -> tuple[Floats, Floats, Floats, Floats]:
        """Radius, cosine of the half width, and middle direction (x, y) of one arc in each of the rows."""


class Arcs:
    """Circular arcs about the origin, corners being arcs without length; arrays (n, k) or (1, k)."""

    def __init__(self, radius: Floats, height: Floats, middle_rad: Floats, half_rad: Floats) -> None:
        radius, height, middle, half = np.broadcast_arrays(*map(np.atleast_2d, (radius, height, middle_rad, half_rad)))
        half = np.minimum(half, np.pi)
        self.parts: tuple[Floats, ...] = (
            radius,
            height,
            np.cos(middle),
            np.sin(middle),
            np.where(half >= np.pi, -2.0, np.where(half > 0.0, np.cos(half), 2.0)),
            radius * np.cos(half),
            radius * np.sin(half),
        )

    def take(self, rows: Ints) -> Arcs:
        """Return some of the rows."""
        some = object.__new__(Arcs)
        some.parts = tuple(part[rows] for part in self.parts)
        return some

    def worst(self, plane: Floats) -> tuple[Floats, Floats]:
        """Return the worst support of each row, see `Supports`. [mm]; geometry of a plane over an arc."""
        radius, height, mid_x, mid_y, cosine, along, across = self.parts
        c, gx, gy = (plane[:, i : i + 1] for i in range(3))
        steep = np.hypot(gx, gy)
        outward, sideways = gx * mid_x + gy * mid_y, gy * mid_x - gx * mid_y
        # The plane is lowest over an arc in direction -g where the arc holds it (smooth), else at the nearer end.
        smooth = -outward >= cosine * steep
        lowest = np.where(smooth, -radius * steep, along * outward - across * np.abs(sideways))
        excess = height - c - lowest
        number = np.argmax(excess, axis=1)
        row = np.arange(plane.shape[0])
        pick = (row, number)
        side = np.where(sideways[pick] > 0.0, -1.0, 1.0) * across[pick]
        level = steep[:, 0] == 0.0
        slope = np.where(level, 1.0, steep[:, 0])
        inside = smooth[pick] & (cosine[pick] < 1.5)
        x = np.where(inside, -radius[pick] * gx[:, 0] / slope, along[pick] * mid_x[pick] - side * mid_y[pick])
        y = np.where(inside, -radius[pick] * gy[:, 0] / slope, along[pick] * mid_y[pick] + side * mid_x[pick])
        # Under a level plane every place of the arc is as high as any other: take its middle.
        x = np.where(level, radius[pick] * mid_x[pick], x)
        y = np.where(level, radius[pick] * mid_y[pick], y)
        tag = np.where(inside, number, -1 - number)
        return excess[pick], np.stack([x, y, height[pick], tag], axis=1)

    def radius(self, number: Ints, rows: Ints) -> tuple[Floats, Floats, Floats, Floats]:
        """Return one arc of each row, see `Supports`."""
        radius, _, mid_x, mid_y, cosine, _, _ = self.parts
        pick = (rows, number)
        return radius[pick], cosine[pick], mid_x[pick], mid_y[pick]


class RimAndPads:
    """A whole round rim at no height, and on it sectors of a ring that stand up; arrays (pads, n).

    The same supports as `Arcs` has them, number 0 the rim, then the outer arc of every pad, then the inner corners on
    one side and on the other; worked out sooner, since a corner is no arc and the rim the same for all.
    """

    def __init__(
        self, rim_mm: float, inner: Floats, outer: Floats, height: Floats, ends_rad: tuple[Floats, Floats]
    ) -> None:
        middle, half = (ends_rad[0] + ends_rad[1]) / 2.0, (ends_rad[1] - ends_rad[0]) / 2.0
        half = np.minimum(half, np.pi)
        self.rim_mm = rim_mm
        self.arcs: tuple[Floats, ...] = (
            outer,
            height,
            np.cos(middle),
            np.sin(middle),
            np.where(half >= np.pi, -2.0, np.where(half > 0.0, np.cos(half), 2.0)),
            outer * np.cos(half),
            outer * np.sin(half),
        )
        sides = np.concatenate(ends_rad)
        twice = np.concatenate([inner, inner])
        self.corners: tuple[Floats, ...] = (twice * np.cos(sides), twice * np.sin(sides), np.concatenate([height] * 2))

    def take(self, rows: Ints) -> RimAndPads:
        """Return some of the rows."""
        some = object.__new__(RimAndPads)
        some.rim_mm = self.rim_mm
        some.arcs = tuple(part[:, rows] for part in self.arcs)
        some.corners = tuple(part[:, rows] for part in self.corners)
        return some

    def worst(self, plane: Floats) -> tuple[Floats, Floats]:
        """Return the worst support of each row, see `Supports`. [mm]; geometry of a plane over arc and corner."""
        radius, height, mid_x, mid_y, cosine, along, across = self.arcs
        at_x, at_y, at_height = self.corners
        c, gx, gy = np.ascontiguousarray(plane.T)
        pads, size = radius.shape
        steep = np.sqrt(gx * gx + gy * gy)
        outward, sideways = gx * mid_x + gy * mid_y, gy * mid_x - gx * mid_y
        # The plane is lowest over an arc in direction -g where the arc holds it (smooth), else at the nearer end.
        smooth = -outward >= cosine * steep
        above = np.empty((1 + 3 * pads, size))
        above[0] = self.rim_mm * steep
        above[1 : 1 + pads] = height - np.where(smooth, -radius * steep, along * outward - across * np.abs(sideways))
        above[1 + pads :] = at_height - gx * at_x - gy * at_y
        number = np.argmax(above, axis=0)
        row = np.arange(size)
        # Under a level plane every place of an arc is as high as any other: take its middle.
        level = steep == 0.0
        slope = np.where(level, 1.0, steep)
        rim = np.where(level, -1.0, gx / slope), np.where(level, 0.0, gy / slope)
        newcomer = np.empty((size, 4))
        newcomer[:, 0], newcomer[:, 1] = -self.rim_mm * rim[0], -self.rim_mm * rim[1]
        newcomer[:, 2], newcomer[:, 3] = 0.0, 0.0
        on_arc = np.flatnonzero((number > 0) & (number <= pads))
        pick = number[on_arc] - 1, on_arc
        inside = smooth[pick] & (cosine[pick] < 1.5)
        side = np.where(sideways[pick] > 0.0, -1.0, 1.0) * across[pick]
        flat = level[on_arc]
        for k, (g, mid, other) in enumerate(((rim[0], mid_x, -mid_y), (rim[1], mid_y, mid_x))):
            end = along[pick] * mid[pick] + side * other[pick]
            newcomer[on_arc, k] = np.where(
                flat, radius[pick] * mid[pick], np.where(inside, -radius[pick] * g[on_arc], end)
            )
        newcomer[on_arc, 2] = height[pick]
        newcomer[on_arc, 3] = np.where(inside, number[on_arc], -1 - number[on_arc])
        corner = np.flatnonzero(number > pads)
        pick = number[corner] - 1 - pads, corner
        for k, part in enumerate(self.corners):
            newcomer[corner, k] = part[pick]
        newcomer[corner, 3] = -1 - number[corner]
        return above[number, row] - c, newcomer

    def radius(self, number: Ints, rows: Ints) -> tuple[Floats, Floats, Floats, Floats]:
        """Return one arc of each row, see `Supports`."""
        radius, _, mid_x, mid_y, cosine, _, _ = self.arcs
        pick, rim = (np.maximum(number - 1, 0), rows), number == 0
        return (
            np.where(rim, self.rim_mm, radius[pick]),
            np.where(rim, -2.0, cosine[pick]),
            np.where(rim, 1.0, mid_x[pick]),
            np.where(rim, 0.0, mid_y[pick]),
        )


class Points:
    """A cloud of points with one set of heights a row."""

    def __init__(self, points_xy: Floats, heights: Floats) -> None:
        self.points = points_xy
        self.heights = heights
        self.basis = np.vstack([np.ones(points_xy.shape[0]), points_xy.T])

    def take(self, rows: Ints) -> Points:
        """Return some of the rows."""
        return Points(self.points, self.heights[rows])

    def worst(self, plane: Floats) -> tuple[Floats, Floats]:
        """Return the worst support of each row, see `Supports`. [mm]; by definition the largest excess."""
        excess = self.heights - plane @ self.basis
        number = np.argmax(excess, axis=1)
        pick = (np.arange(plane.shape[0]), number)
        return excess[pick], np.column_stack([self.points[number], self.heights[pick], -1.0 - number])

    def radius(self, number: Ints, rows: Ints) -> tuple[Floats, Floats, Floats, Floats]:
        """Points have no arcs: never asked."""
        raise NotImplementedError


def arc_number(tag: Floats) -> Ints:
    """Return the number of the arc (or point) behind a tag, see `Supports`."""
    return np.where(tag >= 0.0, tag, -1.0 - tag).astype(np.int64)


def circle_triangle(radius_mm: float, height_mm: float, centre: Floats) -> Floats:
    """Three supports on a whole circle, arc number 0, that have the clamp centre (within the circle) between them.

    [mm]. Geometry.
    """
    angle = float(np.arctan2(centre[1], centre[0])) + 2.0 * np.pi * np.arange(3) / 3.0
    level = np.full(3, height_mm)
    return np.column_stack([radius_mm * np.cos(angle), radius_mm * np.sin(angle), level, np.zeros(3)])


def start_triangle(supports: Supports, reach_mm: float, centre: Floats) -> Floats:
    """Three supports about the clamp centre, from supports whose heights grow outward (so that outer ones win).

    Parameters
    ----------
    supports : Supports
        One row, the heights being the squares of the radii.
    reach_mm : float
        Radius within which everything lies. [mm]
    centre : ndarray, shape (2,)
        Clamp centre. [mm]

    Returns
    -------
    ndarray, shape (3, 4)
        x, y, height (to be replaced), tag.

    Raises
    ------
    Refused
        If the clamp centre does not lie within the supports: the rotor would rock.

    Notes
    -----
    Lifting heights by the square of the radius makes the outermost points bear (convex hull; geometry).
    """
    angle = 2.0 * np.pi * np.arange(3) / 3.0
    far = 10.0 * (reach_mm + float(np.hypot(*centre)))
    outside = np.column_stack([far * np.cos(angle), far * np.sin(angle), np.full(3, -1e6 * far**2), np.full(3, -0.5)])
    _, basis, share = descend(supports, outside[None], centre)
    kept = basis[0, :, 3] == -0.5
    if (kept & (share[0] > 1e-9)).any():
        raise Refused(
            f"the clamp forces act at x {centre[0]:.1f}, y {centre[1]:.1f} mm, outside everything that bears: "
            "the rotor rocks and has no stable seat"
        )
    if kept.any():
        raise Refused("the clamp forces act exactly on the edge of what bears: the rotor may rock freely")
    return basis[0]


def descend(supports: Supports, basis: Floats, centre: Floats) -> tuple[Floats, Floats, Floats]:
    """Seat the plane of every row.

    A rotor that is free to rock has many seats, and the search may creep along them for ever: such rows are sought
    again with the centre moved aside by a ten-millionth, which makes one of their seats the only one.

    Parameters
    ----------
    supports : Supports
        n rows.
    basis : ndarray, shape (n, 3, 4)
        Three supports about the centre to start from: x, y, height, tag.
    centre : ndarray, shape (2,)
        Clamp centre p0. [mm]

    Returns
    -------
    plane : ndarray, shape (n, 3)
        c, g_x, g_y; not finite where the row did not settle.
    basis : ndarray, shape (n, 3, 4)
        The supports that it stands on.
    share : ndarray, shape (n, 3)
        Share of the clamp force on each, 0 where it carries nothing.

    Notes
    -----
    The dual simplex of linear programming (G. B. Dantzig; handbook), one support swapped a step.
    """
    result = _search(supports, basis, centre)
    unsettled = np.flatnonzero(~np.isfinite(result[0]).all(axis=1))
    for way in ASIDE:
        if unsettled.size == 0:
            break
        aside = centre + 1e-7 * np.abs(basis[:, :, :2]).max() * way
        again = _search(supports.take(unsettled), basis[unsettled], aside)
        for whole, part in zip(result, again, strict=True):
            whole[unsettled] = part
        unsettled = np.flatnonzero(~np.isfinite(result[0]).all(axis=1))
    return result


def _search(supports: Supports, basis: Floats, centre: Floats) -> tuple[Floats, Floats, Floats]:
    """One run of the exchange over all rows; planes that did not settle stay not finite."""
    count = basis.shape[0]
    result = (np.full((count, 3), np.nan), basis.copy(), np.zeros((count, 3)))
    rows = np.arange(count)
    basis = basis.copy()
    for _ in range(STEPS):
        basis, plane, share, tangent = _stand(supports, basis, centre)
        excess, newcomer = supports.worst(plane)
        one, two, three = np.abs(basis).transpose(1, 0, 2)
        size = np.maximum(np.maximum(one, two), three)
        lean = (np.abs(plane[:, 1]) + np.abs(plane[:, 2])) * np.maximum(size[:, 0], size[:, 1])
        scale = size[:, 2] + lean
        done = excess <= ROUND_OFF * scale
        for whole, part in zip(result, (plane, basis, share), strict=True):
            whole[rows[done]] = part[done]
        left = np.flatnonzero(~done)
        if left.size == 0:
            return result
        basis = _swap(basis[left], share[left], newcomer[left], tangent[left])
        if left.size < rows.size:
            supports = supports.take(left)
        rows = rows[left]
    return result


def _stand(supports: Supports, basis: Floats, centre: Floats) -> tuple[Floats, Floats, Floats, NDArray[np.bool_]]:
    """Planes on the three supports, or on two where a pair brackets the one smooth support on an arc."""
    plane, share = _through(basis, centre)
    tag = basis[:, :, 3]
    pairs = ((0, 1, 2), (0, 2, 1), (1, 2, 0))
    tangent = np.zeros(basis.shape[0], dtype=bool)
    for i, j, k in pairs:
        alike = (tag[:, i] >= 0.0) & (tag[:, i] == tag[:, j]) & (tag[:, k] != tag[:, i])
        rows = np.flatnonzero(alike & ~tangent)
        if rows.size == 0:
            continue
        ordered = basis[rows][:, (k, i, j)]
        touched, flat, weight, good = _touch(supports, rows, ordered, centre)
        hit = rows[good]
        basis[hit], plane[hit], share[hit] = touched[good], flat[good], weight[good]
        tangent[hit] = True
    return basis, plane, share, tangent


def _touch(
    supports: Supports, rows: Ints, ordered: Floats, centre: Floats
) -> tuple[Floats, Floats, Floats, NDArray[np.bool_]]:
    """Plane on one support and tangent to an arc: the arc's support lies on the line through the other and p0.

    ``ordered`` is the lone support, then the two on the arc; the basis returned is the lone one, the tangent one,
    and that of the old pair which lies further from it (it carries nothing).
    """
    lone, first, second = ordered[:, 0], ordered[:, 1], ordered[:, 2]
    radius, cosine, mid_x, mid_y = supports.radius(first[:, 3].astype(np.int64), rows)
    away = centre - lone[:, :2]
    distance = np.hypot(away[:, 0], away[:, 1])
    heading = away / np.where(distance > 0.0, distance, 1.0)[:, None]
    ahead = heading @ centre
    room = ahead**2 + radius**2 - float(centre @ centre)
    step = np.sqrt(np.maximum(room, 0.0)) - ahead
    touch = centre + step[:, None] * heading
    unit = touch / radius[:, None]
    lever = radius - (unit * lone[:, :2]).sum(axis=1)
    fall = (lone[:, 2] - first[:, 2]) / np.where(lever > 0.0, lever, 1.0)
    within = unit[:, 0] * mid_x + unit[:, 1] * mid_y >= cosine
    good = (distance > 0.0) & (room > 0.0) & (step > 0.0) & (lever > 0.0) & (fall >= 0.0) & within
    slope = -fall[:, None] * unit
    c = first[:, 2] + fall * radius
    share_touch = distance / np.where(distance + step > 0.0, distance + step, 1.0)
    tangent = np.column_stack([touch, first[:, 2:]])
    gap_first = np.square(first[:, :2] - touch).sum(axis=1)
    gap_second = np.square(second[:, :2] - touch).sum(axis=1)
    spare = np.where((gap_first > gap_second)[:, None], first, second)
    basis = np.stack([lone, tangent, spare], axis=1)
    share = np.stack([1.0 - share_touch, share_touch, np.zeros_like(share_touch)], axis=1)
    return basis, np.column_stack([c, slope]), share, good


def _through(basis: Floats, centre: Floats) -> tuple[Floats, Floats]:
    """Plane through three supports, and the shares of a force at the centre on them."""
    x, y, h = basis[:, :, 0], basis[:, :, 1], basis[:, :, 2]
    x1, y1 = x[:, 1] - x[:, 0], y[:, 1] - y[:, 0]
    x2, y2 = x[:, 2] - x[:, 0], y[:, 2] - y[:, 0]
    h1, h2 = h[:, 1] - h[:, 0], h[:, 2] - h[:, 0]
    area = x1 * y2 - x2 * y1
    gx, gy = (h1 * y2 - h2 * y1) / area, (h2 * x1 - h1 * x2) / area
    dx, dy = centre[0] - x[:, 0], centre[1] - y[:, 0]
    second, third = (dx * y2 - dy * x2) / area, (dy * x1 - dx * y1) / area
    share = np.stack([1.0 - second - third, second, third], axis=1)
    return np.stack([h[:, 0] - gx * x[:, 0] - gy * y[:, 0], gx, gy], axis=1), share


def _swap(basis: Floats, share: Floats, newcomer: Floats, tangent: NDArray[np.bool_]) -> Floats:
    """Let the newcomer replace the support that keeps the centre inside the triangle."""
    weight = np.empty_like(share)
    x, y = basis[:, :, 0], basis[:, :, 1]
    x1, y1 = x[:, 1] - x[:, 0], y[:, 1] - y[:, 0]
    x2, y2 = x[:, 2] - x[:, 0], y[:, 2] - y[:, 0]
    dx, dy = newcomer[:, 0] - x[:, 0], newcomer[:, 1] - y[:, 0]
    area = x1 * y2 - x2 * y1
    weight[:, 1], weight[:, 2] = (dx * y2 - dy * x2) / area, (dy * x1 - dx * y1) / area
    weight[:, 0] = 1.0 - weight[:, 1] - weight[:, 2]
    with np.errstate(divide="ignore", invalid="ignore", over="ignore"):
        ratio = np.where(weight > FLAT, np.maximum(share, 0.0) / weight, np.inf)
    leaving = np.argmin(ratio, axis=1)
    # On two supports the third carries nothing, whichever side it is on: it goes, unless all would stand in one line.
    beside = np.abs(dx * y1 - dy * x1) > 1e-9 * (x1**2 + y1**2)
    leaving = np.where(tangent & beside, 2, leaving)
    swapped = basis.copy()
    swapped[np.arange(basis.shape[0]), leaving] = newcomer
    return swapped
