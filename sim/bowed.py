"""The bowed rotor and its hub as whole displacement fields, the bore's push included, for the section view."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from sim.deformation import Deformation
from sim.pair import PRESETS, Body, Pair, solver_of
from sim.parts import Case
from sim.recovery import PICTURE_ORDERS, recover
from sim.traces import Loads

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]


def bowed(pair: Pair, case: Case, which: str, bore: Complexes, motion: Floats, loads: Loads | None) -> Deformation:
    """Displacement of a body whose bore or spigot is pushed.

    Parameters
    ----------
    pair : Pair
    case : Case
    which : {"rotor", "hub"}
        The hub only where it is elastic.
    bore : ndarray of complex, shape (orders, bore ports)
        Load on this body's bore or spigot. [N]
    motion : ndarray, shape (5,)
        Rigid motion of the rotor: axial [mm], two tilts [rad], two sideways shifts [mm].
    loads : Loads or None
        Face and stud loads; none while the rotor stands off the face.

    Returns
    -------
    Deformation
        HUB frame, the rotor's rigid motion included.
    """
    body = pair.bodies[0 if which == "rotor" else 1]
    preset = PRESETS[pair.key.preset]
    if loads is None:
        face = tuple(np.zeros((pair.orders, b.face_r_mm.size), dtype=complex) for b in pair.bodies)
        back = tuple(np.zeros((pair.orders, b.back_r_mm.size), dtype=complex) for b in pair.bodies)
        loads = Loads(face, back, motion[:3])
    field = recover(case, preset, which, body, loads)
    out = np.stack([field.radial_mm, field.tangential_mm, field.axial_mm])
    out += _from_bore(case, preset_name=pair.key.preset, which=which, body=body, bore=bore)
    if which == "rotor":
        # A shift (x, y) is x cos + y sin outward and y cos - x sin along the turn.
        shift = motion[3] - 1j * motion[4]
        out[0, 1] += shift
        out[1, 1] += 1j * shift
    return replace(field, radial_mm=out[0], tangential_mm=out[1], axial_mm=out[2])


def _from_bore(case: Case, preset_name: str, which: str, body: Body, bore: Complexes) -> Complexes:
    """Displacement from the bore's push alone, rigid motion left out. Shape (3, orders, nodes). [mm]."""
    stiffness, solve = solver_of(case, which, PRESETS[preset_name])
    ports = body.flexibility.ports
    at = ports.dof[np.concatenate([ports.bore_u, ports.bore_w])]
    nodes = stiffness.basis.nodal_dofs
    count = min(PICTURE_ORDERS, bore.shape[0] - 1) + 1
    out = np.zeros((3, count, stiffness.basis.mesh.nvertices), dtype=complex)
    for order in range(count):
        load = np.zeros((stiffness.k0.shape[0], 2))
        load[at, 0], load[at, 1] = bore[order].real, bore[order].imag
        moved = solve(order, load)
        amplitude = moved[:, 0] + 1j * moved[:, 1]
        for row, factor in enumerate((1.0, -1j, 1.0)):
            out[row, order] = factor * amplitude[nodes[row]]
    return out
