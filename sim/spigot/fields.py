"""The bowed rotor and its hub as whole displacement fields, the bore's push included, for the section view."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from sim.arrays import Complexes, Floats
from sim.bodies.displacement import Deformation
from sim.parts.case import Case
from sim.seating.dial_trace import Loads
from sim.seating.fields import fields_of, moved, pressed
from sim.seating.prepared import PRESETS, Pair, solver_of


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
    side = 0 if which == "rotor" else 1
    body = pair.bodies[side]
    if loads is None:
        face = tuple(np.zeros((pair.orders, b.face_r_mm.size), dtype=complex) for b in pair.bodies)
        back = tuple(np.zeros((pair.orders, b.back_r_mm.size), dtype=complex) for b in pair.bodies)
        loads = Loads(face, back, motion[:3])
    stiffness, solve = solver_of(case, which, PRESETS[pair.key.preset])
    ports = body.flexibility.ports
    at = ports.dof[np.concatenate([ports.bore_u, ports.bore_w])]
    on_face = pressed(stiffness, body, loads, side)

    def load(order: int) -> Complexes:
        """Face and back, then the bore: one factorisation for both."""
        wave = np.zeros((stiffness.k0.shape[0], 2), dtype=complex)
        wave[:, :1] = on_face(order)
        wave[at, 1] = bore[order]
        return wave

    whole, own = fields_of(stiffness, solve, load, pair.orders)
    field = replace(
        whole,
        radial_mm=whole.radial_mm + own.radial_mm,
        tangential_mm=whole.tangential_mm + own.tangential_mm,
        axial_mm=whole.axial_mm + own.axial_mm,
    )
    return moved(field, motion) if which == "rotor" else field
