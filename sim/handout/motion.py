"""How both parts move in many seatings, as few shapes: enough to draw any of them, and any between them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.interpolate import LinearNDInterpolator, NearestNDInterpolator

from sim.arrays import Complexes, Floats, read_only
from sim.bodies.displacement import Deformation
from sim.corner.seated import Seated
from sim.one_thread import one_thread
from sim.parts.case import Case
from sim.seating.fields import fields_of, moved, pressed
from sim.seating.lying_between import turn_rad
from sim.seating.prepared import PRESETS, prepare, solver_of
from sim.seating.seat import Seat

ORDERS = 7
"""Orders 0 .. 6 are drawn; what is higher is not to be seen in a picture."""
MOST_SHAPES = 6
"""Of one order; what they leave out is told with them. Judgement: a page is mailed."""
LEAST_UM = 0.1
"""Shapes are added, order by order, until what is left over is smaller than this nearly everywhere."""


@dataclass(frozen=True, eq=False)
class Shapes:
    """Shapes of one body, order by order.

    Parameters
    ----------
    basis : tuple of ndarray of complex, shape (shapes, 3, points)
        One array an order: radial, tangential and axial coefficients of u(theta) = Re sum c exp(i n theta), norm 1.
    left_over_um : float
        Largest part of any displacement that they leave out, up to order 6. [um]
    """

    basis: tuple[Complexes, ...]
    left_over_um: float

    def weights(self, fields_mm: Complexes) -> Complexes:
        """Weights of the shapes in fields of shape (states, ORDERS, 3, points), by least squares. [mm].

        Shape (states, shapes of all orders).
        """
        parts = [
            np.einsum("scp,kcp->sk", fields_mm[:, order], shapes.conj()) for order, shapes in enumerate(self.basis)
        ]
        return np.concatenate(parts, axis=1)

    def order_of_shape(self) -> tuple[int, ...]:
        """Order that each shape belongs to, in the sequence of the weights."""
        return tuple(order for order, shapes in enumerate(self.basis) for _ in shapes)


@one_thread
def shapes_of(fields_mm: Complexes) -> Shapes:
    """Find few shapes that all fields are made of.

    Parameters
    ----------
    fields_mm : ndarray of complex, shape (states, ORDERS, 3, points)
        HUB frame; a speck's own may be turned to where it lies, since a turn is a factor of each order. [mm]

    Notes
    -----
    Singular value decomposition of all fields, order by order; least squares by Eckart and Young, from memory.
    """
    basis, left = [], np.zeros(fields_mm.shape[0])
    for order in range(fields_mm.shape[1]):
        rows = fields_mm[:, order].reshape(fields_mm.shape[0], -1)
        _, size, shape = np.linalg.svd(rows, full_matrices=False)
        rest = 1000.0 * np.sqrt(np.cumsum(size[::-1] ** 2)[::-1] / rows.size)
        count = min(max(1, int(np.count_nonzero(rest > LEAST_UM / 6.0))), MOST_SHAPES, int(size.size))
        kept = shape[:count]
        left = left + 1000.0 * np.abs(rows - rows @ kept.conj().T @ kept).max(axis=1)
        basis.append(kept.reshape(count, 3, -1))
    return read_only(Shapes(tuple(basis), float(left.max())))


@one_thread
def rotor_fields(seats: Sequence[Seat], points_mm: Floats) -> Complexes:
    """Displacement of the rotor, what it brought along included, at points of its section.

    Parameters
    ----------
    seats : sequence of Seat
    points_mm : ndarray, shape (points, 2)
        Radius and height. [mm]

    Returns
    -------
    ndarray of complex, shape (seats, ORDERS, 3, points)
        HUB frame, from the flat and square position. [mm]

    Notes
    -----
    Fourier finite elements (`sim.seating.fields`); its own runout grows from nothing at the mounting face to its full
    lean at the friction ring, its thickness variation is shared by its faces.
    """
    out = _fields(seats, "rotor", points_mm)
    for row, one in zip(out, seats, strict=True):
        row[1, 2] += own_mm(one.case, points_mm) * np.exp(-1j * turn_rad(one.case))
    return out


@one_thread
def hub_fields(seats: Sequence[Seat], points_mm: Floats) -> Complexes:
    """Displacement of the hub, its face's own runout included; shape and units as `rotor_fields`.

    By superposition; under a rotor with scale on the spigot the hub is drawn at rest, where little of it moves.
    """
    out = _fields(seats, "hub", points_mm)
    for row, one in zip(out, seats, strict=True):
        row[1, 2] += face_mm(one.case, points_mm)
    return out


def own_mm(case: Case, points_mm: Floats) -> Complexes:
    """First order of what the rotor brought along, at points of its section, ROTOR frame. Shape (points,). [mm].

    Its own runout grows with height and radius, its thickness variation is shared by the faces: geometry.
    """
    rotor = case.rotor
    outboard = rotor.flange_thickness_mm - rotor.overall_height_mm + rotor.thickness_mm
    reach = points_mm[:, 0] / rotor.own_runout_read_at_mm
    lean = 0.5e-3 * rotor.own_runout_um * np.exp(-1j * np.deg2rad(rotor.own_high_spot_deg))
    side = np.clip((points_mm[:, 1] - outboard + 0.5 * rotor.thickness_mm) / (0.5 * rotor.thickness_mm), -1.0, 1.0)
    thick = 0.25e-3 * rotor.own_thickness_variation_um * np.exp(-1j * np.deg2rad(rotor.own_thick_spot_deg))
    ring = points_mm[:, 0] > rotor.hat_outer_diameter_mm / 2.0
    return np.asarray(lean * reach * np.clip(points_mm[:, 1] / outboard, 0.0, 1.0) + thick * side * ring)


def face_mm(case: Case, points_mm: Floats) -> Complexes:
    """First order of the hub face's own runout, at points of the hub's section. Shape (points,). [mm]: geometry."""
    hub = case.hub
    lean = 0.5e-3 * hub.face_runout_um * np.exp(-1j * np.deg2rad(hub.face_high_spot_deg))
    depth = np.clip(1.0 + points_mm[:, 1] / hub.flange_thickness_mm, 0.0, 1.0)
    face = points_mm[:, 0] > hub.spigot_diameter_mm / 2.0 + 0.1
    return np.asarray(lean * points_mm[:, 0] / hub.read_radius_mm * depth * face)


def _fields(seats: Sequence[Seat], which: str, points_mm: Floats) -> Complexes:
    """Fields of many seatings; those on one pair of bodies are recovered together."""
    out = np.zeros((len(seats), ORDERS, 3, len(points_mm)), dtype=complex)
    rows: dict[tuple[bytes, bytes], Floats] = {}
    groups: dict[int, list[int]] = {}
    for index, one in enumerate(seats):
        alone = isinstance(one, Seated) and one.state is not None
        groups.setdefault(-1 - index if alone else id(prepare(one.case, one.preset)), []).append(index)
    for key, members in groups.items():
        some = [seats[index] for index in members]
        if key < 0 and which == "hub":
            continue  # over scale on the spigot the rotor is what is seen to move
        if key < 0:
            found: list[Deformation | None] = [some[0].rotor_deformation()]
        else:
            found = _together(some, which)
        for index, field in zip(members, found, strict=True):
            if field is not None:
                key_of = field.node_r_mm.tobytes(), field.node_z_mm.tobytes()
                if key_of not in rows:
                    rows[key_of] = rows_at(field, points_mm)
                out[index] = _at(field, rows[key_of])
    return out


def _together(seats: Sequence[Seat], which: str) -> list[Deformation | None]:
    case, pair = seats[0].case, prepare(seats[0].case, seats[0].preset)
    body = pair.rotor if which == "rotor" else pair.hub
    if body is None:
        return [None] * len(seats)
    stiffness, solve = solver_of(case, which, PRESETS[seats[0].preset])
    loads = [pressed(stiffness, body, one.loads, 0 if which == "rotor" else 1) for one in seats]
    found = fields_of(stiffness, solve, lambda order: np.hstack([load(order) for load in loads]), ORDERS)
    if which == "hub":
        return list(found)
    return [moved(field, np.append(one.loads.motion, (0.0, 0.0))) for field, one in zip(found, seats, strict=True)]


def rows_at(field: Deformation, points_mm: Floats) -> Floats:
    """Weights of a section's nodes at points: straight lines between them, the nearest node outside."""
    nodes = np.column_stack([field.node_r_mm, field.node_z_mm])
    one = np.eye(len(nodes))
    found = LinearNDInterpolator(nodes, one)(points_mm)
    outside = ~np.isfinite(found).all(axis=1)
    if outside.any():
        found[outside] = NearestNDInterpolator(nodes, one)(points_mm[outside])
    return np.asarray(found)


def _at(field: Deformation, rows: Floats) -> Complexes:
    """Coefficients at points of the section, shape (ORDERS, 3, points). [mm]."""
    stacked = np.stack([field.radial_mm[:ORDERS], field.tangential_mm[:ORDERS], field.axial_mm[:ORDERS]], axis=1)
    return np.asarray(stacked @ rows.T)
