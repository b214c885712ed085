"""What a worn state means at the bench: DTV at the gauge radius, thin spots, drag, face runout, where DTV fades."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from sim.arrays import Floats
from sim.one_thread import one_thread
from sim.turn import resample, tir
from sim.wear.brake import effective_radius
from sim.wear.disc import WearProblem

#: A dip of the thickness counts as a thin spot from this share of the whole variation on.
SPOT_SHARE = 0.25
#: Below this nothing is called a spot. [um]
SPOT_FLOOR_UM = 0.2
#: Where a state holds its work, released and braked (2,) each: at its end, as `sim.wear.revolution.rates` has it.
WORK = slice(-4, None)


def dtv_of(problem: WearProblem, states: Floats) -> Floats:
    """Thickness variation of states in a row, at the gauge radius. [um].

    Parameters
    ----------
    problem : WearProblem
    states : ndarray, shape (k, size)

    Returns
    -------
    ndarray, shape (k,)

    Notes
    -----
    By definition: thickest less thinnest over a turn.
    """
    return np.asarray(np.ptp(thickness_of(problem, states), axis=1)) * 1e3


@one_thread
def thickness_of(problem: WearProblem, states: Floats) -> Floats:
    """Thickness deviation of states in a row, at the gauge radius. Shape (k, angles). [mm]."""
    return np.asarray(np.tensordot(_thickness_across(problem, states), problem.at_gauge, axes=(1, 0)))


@one_thread
def thickness_under_pad(problem: WearProblem, states: Floats) -> Floats:
    """Thickness deviation of states in a row, mean across the pad: what the brake squeezes. Shape (k, angles). [mm].

    Area mean by definition.
    """
    share = problem.grid.weight_mm2[:, problem.grid.half]
    return np.asarray(np.tensordot(_thickness_across(problem, states), share / share.sum(), axes=(1, 0)))


def _thickness_across(problem: WearProblem, states: Floats) -> Floats:
    """Thickness deviation of states in a row. Shape (k, rings, angles). [mm]."""
    grid, cells = problem.grid, problem.face_cells
    blocks = states[:, : 4 * cells].reshape(states.shape[0], 4, grid.rings, grid.angles)
    thickness = problem.base_mm.sum(axis=0)[None] - blocks.sum(axis=1)
    if problem.law.has_film:
        film = states[:, 4 * cells : 6 * cells].reshape(states.shape[0], 2, grid.rings, grid.angles)
        thickness = thickness + film.sum(axis=1)
    return thickness


def drag_of(problem: WearProblem, rates: Floats, friction: float) -> Floats:
    """Friction torque of both released pads, mean over a turn. [N m].

    Parameters
    ----------
    problem : WearProblem
    rates : ndarray, shape (k, 4)
        Rates of the states in a row, their entries of `WORK`. [N mm/rev]
    friction : float

    Returns
    -------
    ndarray, shape (k,)

    Notes
    -----
    Coulomb friction: torque x 2 pi = friction x work of the normal force along the way.
    """
    brake = problem.brake
    lever = 1.0
    if problem.grid.rings == 1:  # one ring stands at the mean radius, not where the friction of a whole pad acts
        lever = effective_radius(brake.inner_radius_mm, brake.outer_radius_mm) / float(problem.grid.radius_mm[0])
    free = (1.0 - brake.brake_share) * 2.0 * np.pi
    return np.asarray(friction * lever * rates[:, :2].sum(axis=1) / free * 1e-3)


def fade_km(distance: Floats, dtv: Floats, limit: float) -> float | None:
    """Where a curve that starts above the limit falls below it for good. [km]. Straight lines between the distances."""
    over = np.nonzero(dtv >= limit)[0]
    if dtv[0] < limit or over[-1] == dtv.size - 1:
        return None
    k = int(over[-1])
    return float(distance[k] + (dtv[k] - limit) / (dtv[k] - dtv[k + 1]) * (distance[k + 1] - distance[k]))


def thin_spots(angle_deg: Floats, thickness_um: Floats) -> tuple[Mapping[str, float | str], ...]:
    """Places where the disc is thinner than all round them, each between clearly thicker ones.

    Parameters
    ----------
    angle_deg, thickness_um : ndarray, shape (n,)
        One turn, rotor frame.

    Returns
    -------
    tuple of mapping
        ``angle_deg`` and ``frame``, thinnest first.

    Notes
    -----
    [um, deg]. What counts as a spot is judgement (`SPOT_SHARE`, `SPOT_FLOOR_UM`).
    """
    smooth = np.fft.irfft(np.fft.rfft(thickness_um)[:13], thickness_um.size)
    depth = SPOT_SHARE * tir(smooth)
    if tir(smooth) < SPOT_FLOOR_UM:
        return ()
    spots: list[int] = []
    for k in np.argsort(smooth):
        if all(_ridge(smooth, int(k), spot) - smooth[k] >= depth for spot in spots):
            spots.append(int(k))
    lows = [k for k in spots if smooth[k] <= min(smooth[k - 1], smooth[(k + 1) % smooth.size])]
    return tuple({"angle_deg": float(angle_deg[k]), "frame": "rotor"} for k in lows)


def _ridge(values: Floats, a: int, b: int) -> float:
    """Lower of the two ridges that part two places on a closed curve."""
    low, high = min(a, b), max(a, b)
    inside = values[low : high + 1].max()
    outside = max(values[high:].max(), values[: low + 1].max())
    return float(min(inside, outside))


def face_runout_um(problem: WearProblem, trace_um: Floats, worn_um: Floats) -> Floats:
    """TIR of both faces as worn, where the runout was read. ``worn_um`` (k, 2, n). Returns (k, 2) [um].

    By definition: highest less lowest of the face over a turn.
    """
    middle = problem.grid.rings // 2
    own = 0.5e3 * (problem.base_mm[0, middle] + problem.base_mm[1, middle])
    axial = resample(trace_um - trace_um.mean(), problem.grid.angles)
    outboard = axial + own - worn_um[:, 0]
    inboard = -axial + own - worn_um[:, 1]
    return np.stack([np.ptp(outboard, axis=1), np.ptp(inboard, axis=1)], axis=1)
