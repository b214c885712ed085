"""The whole displacement field of a body, recovered from the loads on its ports."""

from __future__ import annotations

import numpy as np

from sim.deformation import Deformation
from sim.pair import Body, Preset, solver_of
from sim.parts import Case
from sim.traces import Loads

PICTURE_ORDERS = 24  # higher harmonics die out within a few millimetres of the contact


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
    side = 0 if which == "rotor" else 1
    face, back = loads.face[side], loads.back[side]
    stiffness, solve = solver_of(case, which, preset)
    ports = body.flexibility.ports
    mesh = stiffness.basis.mesh
    nodes = stiffness.basis.nodal_dofs
    count = min(PICTURE_ORDERS, face.shape[0] - 1) + 1
    out = np.zeros((3, count, mesh.nvertices), dtype=complex)
    for order in range(count):
        load = np.zeros((stiffness.k0.shape[0], 2))
        wave = np.zeros(stiffness.k0.shape[0], dtype=complex)
        wave[ports.dof[ports.face]] += face[order]
        wave[ports.dof[ports.top]] += back[order]
        load[:, 0], load[:, 1] = wave.real, wave.imag
        moved = solve(order, load)
        amplitude = moved[:, 0] + 1j * moved[:, 1]
        # The tangential family is a sine: V sin n(theta - theta0) = Re(-i V e^{i n (theta - theta0)}).
        for row, factor in enumerate((1.0, -1j, 1.0)):
            out[row, order] = factor * amplitude[nodes[row]]
    if which == "rotor":
        tilt = loads.motion[1] - 1j * loads.motion[2]
        r, z = mesh.p
        out[2, 0] += loads.motion[0]
        out[2, 1] += tilt * r
        out[0, 1] += -tilt * z
        out[1, 1] += -1j * tilt * z
    return Deformation(mesh.p[0].copy(), mesh.p[1].copy(), mesh.t.T.copy(), np.arange(count), out[0], out[1], out[2])
