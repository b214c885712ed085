"""What the two faces of one mount differ by: once a turn that is the rotor's thickness, as two dials have it."""

from __future__ import annotations

import numpy as np

from sim import turn
from sim.arrays import Floats
from sim.files.dial_readings import Trace
from sim.one_thread import one_thread
from sim.parts.thickness import Uneven

#: What holds 95 of 100 vectors of two even normal components, over the two standard deviations that hold as many of
#: one (Rayleigh's distribution: the root of -2 ln 0.05).
OF_A_VECTOR = 2.448 / 2.0


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


@one_thread
def parted_um(pair: tuple[Trace, Trace], thickness: Trace, doubts_um: tuple[float, float, float]) -> float:
    """How far two faces differ once a turn where the thickness that was read beside them cannot be right with both.

    Parameters
    ----------
    pair : (Trace, Trace)
        Outboard and inboard, held alike, each + outboard. [um]
    thickness : Trace
    doubts_um : tuple of float
        Uncertainty (k = 2) of highest less lowest on either face and of the thickness.

    Returns
    -------
    float
        0 where they may all be right. [um]

    Notes
    -----
    By first orders as vectors; uncertainties as independent (JCGM 100:2008), of a vector (`OF_A_VECTOR`).
    """
    differ = by_dials(*pair)
    apart = 2.0 * abs(differ - once_a_turn(thickness.angle_deg, thickness.value_um))
    return 0.0 if apart <= OF_A_VECTOR * float(np.linalg.norm(doubts_um)) else 2.0 * abs(differ)
