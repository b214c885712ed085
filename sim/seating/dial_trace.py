"""Mounted traces: what a dial at any radius of a friction face sees, from the loads on the seated rotor."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from sim.arrays import Complexes, Floats
from sim.errors import BadInput, Fault
from sim.one_thread import one_thread
from sim.parts.case import Case, Rotor
from sim.seating.lying_between import turn_rad
from sim.seating.prepared import Body, Pair

TRACE_POINTS = 360  # one value a degree


@dataclass(frozen=True, eq=False)
class Loads:
    """What acts on the seated bodies, rotor first; nodal amplitudes c of f(theta) = Re sum c exp(i n theta), hub frame.

    Parameters
    ----------
    face, back : tuple of ndarray of complex, shape (orders, nodes)
        Axial force on each body's contact face, and on its loaded side (rotor outboard, hub rear), + outboard. [N]
    motion : ndarray, shape (3,)
        Axial shift of the rotor [mm] and its two tilts [rad].
    """

    face: tuple[Complexes, ...]
    back: tuple[Complexes, ...]
    motion: Floats


@one_thread
def mounted_trace_um(pair: Pair, case: Case, loads: Loads, radius_mm: float, face: str) -> Floats:
    """Axial position of a friction face at one radius, + outboard, mean removed.

    Parameters
    ----------
    pair : Pair
    case : Case
    loads : Loads
    radius_mm : float
    face : {"outboard", "inboard"}

    Returns
    -------
    ndarray, shape (360,)
        One value a degree, ROTOR frame; the rotor's own runout and thickness variation included. [um]

    Raises
    ------
    BadInput
        If the radius lies off the friction face.

    Notes
    -----
    Superposition on the stored flexibility: the answer at the radius to the loads on face and back, the rigid motion of
    the rotor, and its own errors as vectors. Against three dimensions: tests/verification/test_reference_seating.py.
    """
    low, high = case.rotor.friction_inner_diameter_mm / 2, case.rotor.outer_radius_mm
    if not low - 1e-6 <= radius_mm <= high + 1e-6:
        allowed = f"{low:g} .. {high:g} mm"
        raise BadInput(Fault(f"no friction face at radius {radius_mm:g} mm", key="radius_mm", allowed=allowed))
    to_face, to_back = _answer_at(pair.rotor, radius_mm, face)
    wave = np.einsum("ni,ni->n", to_face, loads.face[0]) + np.einsum("ni,ni->n", to_back, loads.back[0])
    wave[1] += radius_mm * (loads.motion[1] - 1j * loads.motion[2])
    # Hub angle = rotor angle + turn.
    wave = 1000.0 * wave * np.exp(1j * np.arange(pair.orders) * turn_rad(case))
    wave[1] += own_wave_um(case.rotor, radius_mm, face)
    return trace_of(wave, pair.orders)


def trace_of(wave: Complexes, orders: int) -> Floats:
    """Trace of one turn with these amplitudes of its orders, its mean left out. Shape (360,); by definition.

    Parameters
    ----------
    wave : ndarray, shape (orders,)
        In the unit of the trace.
    orders : int
        The mean is order 0.
    """
    spectrum = np.zeros(TRACE_POINTS // 2 + 1, dtype=complex)
    count = min(orders, spectrum.size - 1)
    spectrum[1:count] = wave[1:count] * TRACE_POINTS / 2
    return np.fft.irfft(spectrum, TRACE_POINTS)


@lru_cache(maxsize=8)
def _answer_at(body: Body, radius_mm: float, face: str) -> tuple[Floats, Floats]:
    """Response at one radius of a friction face to loads on face and back. Shapes (orders, nodes). [mm/N]."""
    ports = body.flexibility.ports
    lines = ports.outboard if face == "outboard" else ports.inboard
    row = _row_at(ports.r_mm[lines], radius_mm)
    used = np.flatnonzero(row)
    response = np.tensordot(row[used], body.flexibility.response[:, lines[used], :], axes=(0, 1))
    return response[:, ports.face], response[:, ports.top]


def own_wave_um(rotor: Rotor, radius_mm: float, face: str) -> complex:
    """First order of the rotor's own errors at one radius, ROTOR frame: own runout and half its thickness variation.

    [um], amplitude. A lean grows with the radius, thickness does not: geometry.
    """
    reference = rotor.own_runout_read_at_mm
    lean = rotor.own_runout_um / 2 * radius_mm / reference * np.exp(-1j * np.deg2rad(rotor.own_high_spot_deg))
    side = 0.5 if face == "outboard" else -0.5
    thick = rotor.own_thickness_variation_um / 2 * np.exp(-1j * np.deg2rad(rotor.own_thick_spot_deg))
    return complex(lean + side * thick)


def _row_at(nodes_mm: Floats, radius_mm: float) -> Floats:
    """Quadratic interpolation row along a line of quadratic elements."""
    row = np.zeros(nodes_mm.size)
    k = int(np.clip(2 * ((np.searchsorted(nodes_mm, radius_mm - 1e-9) - 1) // 2), 0, nodes_mm.size - 3))
    a, m, b = nodes_mm[k : k + 3]
    row[k] = (radius_mm - m) * (radius_mm - b) / ((a - m) * (a - b))
    row[k + 1] = (radius_mm - a) * (radius_mm - b) / ((m - a) * (m - b))
    row[k + 2] = (radius_mm - a) * (radius_mm - m) / ((b - a) * (b - m))
    return row
