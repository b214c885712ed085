"""The whole displacement field of a body, recovered from the loads on its ports."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import lru_cache

import numpy as np

from sim.arrays import Complexes, Floats, read_only
from sim.bodies.displacement import Deformation
from sim.bodies.stiffness import Stiffness
from sim.one_thread import one_thread
from sim.parts.case import Case
from sim.seating.dial_trace import Loads
from sim.seating.prepared import Body, Preset, Solver, solver_of

PICTURE_ORDERS = 24  # higher harmonics die out within a few millimetres of the contact


@lru_cache(maxsize=4)  # both bodies of two seatings: a drawing asks for the same field part by part
@one_thread
def recover(case: Case, preset: Preset, which: str, body: Body, loads: Loads) -> Deformation:
    """Recover the displacement of a body.

    Parameters
    ----------
    case : Case
    preset : Preset
    which : {"rotor", "hub"}
    body : Body
    loads : Loads
        What acts on both bodies.

    Returns
    -------
    Deformation
        HUB frame, the rotor's rigid motion included.
    """
    stiffness, solve = solver_of(case, which, preset)
    load = pressed(stiffness, body, loads, 0 if which == "rotor" else 1)
    (field,) = fields_of(stiffness, solve, load, loads.face[0].shape[0])
    return read_only(moved(field, np.append(loads.motion, (0.0, 0.0))) if which == "rotor" else field)


def pressed(stiffness: Stiffness, body: Body, loads: Loads, side: int) -> Callable[[int], Complexes]:
    """Loads on the face and the back of a body, order by order, for `fields_of`; side 0 is the rotor's."""
    ports = body.flexibility.ports

    def load(order: int) -> Complexes:
        wave = np.zeros((stiffness.k0.shape[0], 1), dtype=complex)
        wave[ports.dof[ports.face], 0] += loads.face[side][order]
        wave[ports.dof[ports.top], 0] += loads.back[side][order]
        return wave

    return load


@one_thread
def fields_of(
    stiffness: Stiffness, solve: Solver, load: Callable[[int], Complexes], orders: int
) -> tuple[Deformation, ...]:
    """Displacement of one body under several loads, rigid motion left out; each order is factorised once for all.

    Parameters
    ----------
    stiffness : Stiffness
    solve : callable(order, loads)
        As `sim.seating.prepared.solver_of` gives it.
    load : callable(order)
        Loads of one order on all unknowns, complex, shape (unknowns, cases). [N]
    orders : int
        That the loads have; what is higher than `PICTURE_ORDERS` is left out.

    Returns
    -------
    tuple of Deformation
        One a case, HUB frame.

    Notes
    -----
    Fourier finite elements, order by order (`sim.bodies.stiffness`); the loads are those of the seating.
    """
    mesh, nodes = stiffness.basis.mesh, stiffness.basis.nodal_dofs
    count = min(PICTURE_ORDERS, orders - 1) + 1
    found = []
    for order in range(count):
        wave = load(order)
        cases = wave.shape[1]
        answer = solve(order, np.hstack([wave.real, wave.imag]))
        amplitude = answer[:, :cases] + 1j * answer[:, cases:]
        # The tangential family is a sine: V sin n(theta - theta0) = Re(-i V e^{i n (theta - theta0)}).
        found.append([factor * amplitude[nodes[row]].T for row, factor in enumerate((1.0, -1j, 1.0))])
    out = np.array(found)  # orders, components, cases, nodes
    number, quad = np.arange(count), mesh.t.T.copy()
    return tuple(
        Deformation(mesh.p[0].copy(), mesh.p[1].copy(), quad, number, *(out[:, row, k].copy() for row in range(3)))
        for k in range(out.shape[2])
    )


def moved(field: Deformation, motion: Floats) -> Deformation:
    """Return a field with a rigid motion added: axial shift [mm], two tilts [rad], two sideways shifts [mm].

    Small rotations: geometry.
    """
    # A shift (x, y) is x cos + y sin outward and y cos - x sin along the turn.
    tilt, shift = motion[1] - 1j * motion[2], motion[3] - 1j * motion[4]
    radial, turn, axial = field.radial_mm.copy(), field.tangential_mm.copy(), field.axial_mm.copy()
    axial[0] += motion[0]
    axial[1] += tilt * field.node_r_mm
    radial[1] += shift - tilt * field.node_z_mm
    turn[1] += 1j * (shift - tilt * field.node_z_mm)
    return replace(field, radial_mm=radial, tangential_mm=turn, axial_mm=axial)
