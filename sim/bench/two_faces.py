"""What the two faces of one mount differ by: once a turn that is the rotor's thickness, as two dials have it."""

from __future__ import annotations

import numpy as np

from sim import turn
from sim.arrays import Floats
from sim.files.dial_readings import Trace
from sim.one_thread import one_thread
from sim.parts.thickness import Uneven


@one_thread
def once_a_turn(angle_deg: Floats, value_um: Floats) -> complex:
    """Amplitude of one hump a turn, by least squares.

    Parameters
    ----------
    angle_deg, value_um : ndarray, shape (k,)
        [deg, um]
    """
    _, cos, sin = np.linalg.lstsq(turn.design_matrix(angle_deg, 1), value_um, rcond=None)[0]
    return complex(cos, -sin)


def by_dials(outboard: Trace, inboard: Trace) -> complex:
    """First order of the thickness between two faces, each + outboard: their difference, by definition. [um]."""
    beside = turn.interpolate(inboard.angle_deg, inboard.value_um, outboard.angle_deg)
    return once_a_turn(outboard.angle_deg, outboard.value_um - beside)


def varies_by(outboard: Trace, inboard: Trace, doubts_um: tuple[float, float], limit_um: float) -> Uneven:
    """Thickness variation once a turn that two faces of one mount tell.

    Parameters
    ----------
    outboard, inboard : Trace
        Held alike, each + outboard. [um]
    doubts_um : (float, float)
        Uncertainty (k = 2) of a runout read on either.
    limit_um : float
        Of the thickness variation.

    Notes
    -----
    Uncertainties as independent (JCGM 100:2008). Higher orders are left out: two turns of a dial scatter by as much.
    """
    return Uneven(2.0 * abs(by_dials(outboard, inboard)), float(np.hypot(*doubts_um)), limit_um)
