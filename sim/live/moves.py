"""How both parts move in any seating of one corner, as weights of few shapes: prepared once, then a few products."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sim.arrays import Complexes, Floats, read_only
from sim.bodies.displacement import Deformation
from sim.handout.motion import ORDERS, Shapes, face_mm, hub_fields, own_mm, rotor_fields, rows_at, shapes_of
from sim.one_thread import one_thread
from sim.parts.case import Case
from sim.seating.fields import fields_of
from sim.seating.lying_between import turn_rad
from sim.seating.prepared import PRESETS, Body, prepare, solver_of
from sim.seating.seat import Seat


@dataclass(frozen=True, eq=False)
class Part:
    """One body of the picture.

    Parameters
    ----------
    points_mm : ndarray, shape (points, 2)
        Radius and height of what is drawn. [mm]
    shapes : Shapes
    face, back : tuple of ndarray of complex, shape (shapes of the order, nodes)
        Weights that a unit force of each order on a node of the face, and of the loaded side, brings. [mm/N]
    """

    points_mm: Floats
    shapes: Shapes
    face: tuple[Complexes, ...]
    back: tuple[Complexes, ...]


@dataclass(frozen=True, eq=False)
class Moves:
    """Both bodies; the hub is None where it is rigid."""

    rotor: Part
    hub: Part | None


@one_thread
def moves(seats: list[Seat], rotor_mm: Floats, hub_mm: Floats) -> Moves:
    """Prepare the picture of one corner's parts.

    Parameters
    ----------
    seats : list of Seat
        Seatings that are like those to be drawn: the shapes are taken from them.
    rotor_mm, hub_mm : ndarray, shape (points, 2)
        Radius and height of the points that are drawn. [mm]

    Returns
    -------
    Moves

    Notes
    -----
    Fourier finite elements (`sim.seating.fields`); the answer to a load is linear in it, so unit loads on the ports are
    solved once.
    """
    case, preset = seats[0].case, seats[0].preset
    pair = prepare(case, preset)
    rotor = _part(case, preset, "rotor", pair.rotor, rotor_mm, shapes_of(rotor_fields(seats, rotor_mm)))
    hub = None
    if pair.hub is not None:
        hub = _part(case, preset, "hub", pair.hub, hub_mm, shapes_of(hub_fields(seats, hub_mm)))
    return read_only(Moves(rotor, hub))


@one_thread
def weights(of: Moves, seat: Seat) -> tuple[Complexes, Complexes]:
    """Weights of the shapes of rotor and hub in one seating, HUB frame. [mm].

    Superposition of what the loads on the ports bring, of the rigid motion and of what the parts brought along.
    """
    case = seat.case
    extra = np.zeros((ORDERS, 3, len(of.rotor.points_mm)), dtype=complex)
    shift, tilt = seat.loads.motion[0], seat.loads.motion[1] - 1j * seat.loads.motion[2]
    extra[0, 2] += shift
    extra[1, 0] -= tilt * of.rotor.points_mm[:, 1]
    extra[1, 1] -= 1j * tilt * of.rotor.points_mm[:, 1]
    extra[1, 2] += tilt * of.rotor.points_mm[:, 0] + own_mm(case, of.rotor.points_mm) * np.exp(-1j * turn_rad(case))
    rotor = _loaded(of.rotor, seat, 0) + of.rotor.shapes.weights(extra[None])[0]
    if of.hub is None:
        return rotor, np.zeros(0, dtype=complex)
    extra = np.zeros((ORDERS, 3, len(of.hub.points_mm)), dtype=complex)
    extra[1, 2] += face_mm(case, of.hub.points_mm)
    return rotor, _loaded(of.hub, seat, 1) + of.hub.shapes.weights(extra[None])[0]


def _loaded(part: Part, seat: Seat, side: int) -> Complexes:
    face, back = seat.loads.face[side], seat.loads.back[side]
    return np.concatenate([part.face[n] @ face[n] + part.back[n] @ back[n] for n in range(ORDERS)])


def _part(case: Case, preset: str, which: str, body: Body, points_mm: Floats, shapes: Shapes) -> Part:
    stiffness, solve = solver_of(case, which, PRESETS[preset])
    ports = body.flexibility.ports
    faces = ports.dof[ports.face]
    dofs = np.concatenate([faces, ports.dof[ports.top]])
    unit = np.zeros((stiffness.k0.shape[0], dofs.size), dtype=complex)
    unit[dofs, np.arange(dofs.size)] = 1.0
    fields: tuple[Deformation, ...] = fields_of(stiffness, solve, lambda _: unit, ORDERS)
    rows = rows_at(fields[0], points_mm)
    found = []
    for order, basis in enumerate(shapes.basis):
        at = np.stack([[f.radial_mm[order], f.tangential_mm[order], f.axial_mm[order]] for f in fields]) @ rows.T
        found.append(np.einsum("lcp,kcp->kl", at, basis.conj()))
    m = faces.size
    return Part(points_mm, shapes, tuple(one[:, :m] for one in found), tuple(one[:, m:] for one in found))
