"""A turn written down with one sign alone: one wave folded at nought looks like two humps, half its runout is gone."""

from __future__ import annotations

import numpy as np

from sim import turn as ring
from sim.arrays import Floats
from sim.files.clean_turn import reading_sd
from sim.one_thread import one_thread
from sim.parts.dial import FINE_STEP_UM

#: Places that a turn needs for this; fewer fit either way. Judgement.
LEAST_PLACES = 8
#: Share of the highest reading under which the lowest of twelve lies where a wave goes through nought: sin 15 degrees.
NEAR_NOUGHT = 0.27
#: What one wave leaves of a turn with its signs and of one without, over one reading's standard deviation; without, for
#: a dial of `FINE_STEP_UM` a division or finer too: a bare hub face near its limit is small on a coarse one.
FITS, MISFITS, MISFITS_FINE = 1.6, 1.5, 1.0
#: What it leaves with signs over the runout, for waves that any face has; and over what it leaves without.
OWN, LESS = 0.07, 0.6
#: Half as much, as the second, and a coarse dial is believed from here on.
HALF, MISFITS_BY_HALF = 0.5, 1.1


def without_signs(angle_deg: Floats, shown_um: Floats, dial_um: float) -> float:
    """Runout that a turn would have with its minus signs put back; nought where nothing speaks for that.

    Parameters
    ----------
    angle_deg, shown_um : ndarray, shape (k,)
        Places, and what the dial showed there. [deg, um]
    dial_um : float
        Step of the dial. [um]

    Returns
    -------
    float
        [um TIR]

    Notes
    -----
    A lean read about nought is one wave; without signs it is its size, two humps that meet at nought. Signs are put
    back along every arc of the turn; the turn is asked about where no reading is negative, one wave fits with them as
    well as readings scatter (least squares) and without them does not. A face of two true humps that was zeroed at its
    lowest place may look so too. Limits are judgement.
    """
    order = np.argsort(angle_deg % 360.0)
    angle, shown = angle_deg[order], shown_um[order] * (1.0 if shown_um.max() > 0.0 else -1.0)  # + may count away
    if np.unique(angle % 360.0).size < LEAST_PLACES or shown.min() < 0.0:
        return 0.0
    if shown.min() > max(dial_um, NEAR_NOUGHT * shown.max()):
        return 0.0
    sd = reading_sd(dial_um)
    without = float(_left_um(angle, shown))
    if without < (MISFITS_FINE if dial_um <= FINE_STEP_UM else MISFITS_BY_HALF) * sd:
        return 0.0
    restored = _restored(angle, shown)
    less = LESS if dial_um <= FINE_STEP_UM or without >= MISFITS * sd else HALF
    fits = float(_left_um(angle, restored)) < min(max(FITS * sd, OWN * ring.tir(restored)), less * without)
    return ring.tir(restored) if fits and ring.tir(restored) > ring.tir(shown) else 0.0


@one_thread
def of_all(angle_deg: Floats, shown_um: Floats, dial_um: float) -> float:
    """Runout of a turn that lost some signs, were it all of them; nought where it dips to nought in no two places.

    Parameters
    ----------
    angle_deg, shown_um, dial_um
        As `without_signs` takes them. [deg, um]

    Notes
    -----
    Of a turn without a minus sign either of its two humps may be the one that lost them, and no place is better than
    another. That some were lost is told by `sim.files.slip_odds`; two waves are left to it, as dirt makes.
    Least squares, limits are judgement; [um TIR]
    """
    signed = with_signs(angle_deg, shown_um, dial_um)
    if signed is None or ring.tir(signed) <= ring.tir(shown_um):
        return 0.0
    waves = ring.design_matrix(angle_deg, 2)
    left = (value - waves @ np.linalg.lstsq(waves, value, rcond=None)[0] for value in (signed, shown_um))
    with_them, without = (float(np.square(one).sum()) for one in left)
    return ring.tir(signed) if with_them < LESS * without else 0.0


@one_thread
def with_signs(angle_deg: Floats, shown_um: Floats, dial_um: float) -> Floats | None:
    """A turn with the minus signs put back that it may have lost, at its own places; None where it can have lost none.

    Parameters
    ----------
    angle_deg, shown_um, dial_um
        As `without_signs` takes them. [deg, um]

    Notes
    -----
    Whether it did lose them only other readings say: along that arc of the turn which leaves one wave the least,
    whatever that leaves: least squares. [um]
    """
    order = np.argsort(angle_deg % 360.0)
    sign = 1.0 if shown_um.max() > 0.0 else -1.0
    shown = shown_um[order] * sign
    if shown.size < LEAST_PLACES or shown.min() < 0.0 or shown.min() > max(dial_um, NEAR_NOUGHT * shown.max()):
        return None
    found = np.empty_like(shown)
    found[order] = sign * _restored(angle_deg[order], shown)
    return found


def _restored(angle_deg: Floats, shown_um: Floats) -> Floats:
    """The turn with its signs put back along the arc that leaves least of it."""
    place, best = np.arange(shown_um.size), []
    for length in range(1, shown_um.size):
        each = np.where((place - place[:, None]) % place.size < length, -shown_um, shown_um)
        left = _left_um(angle_deg, each)
        best.append((float(left.min()), each[left.argmin()]))
    return min(best, key=lambda one: one[0])[1]


@one_thread
def _left_um(angle_deg: Floats, value_um: Floats) -> Floats:
    """What one wave leaves of turns (..., k), per degree of freedom, shape (...). [um]."""
    matrix = ring.design_matrix(angle_deg, 1)
    left = value_um - (matrix @ np.linalg.lstsq(matrix, value_um.T, rcond=None)[0]).T
    found: Floats = np.sqrt((left**2).sum(axis=-1) / max(angle_deg.size - 3, 1))
    return found
