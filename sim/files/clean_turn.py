"""How a clean turn of dial readings may look: low orders, a ragged rest, the dial's noise, bolt holes on a hub face.

A slip of the pen is judged against this, so that an uneven but clean face is not taken for one. Nothing here knows of
slips. Sizes that nobody knows beforehand (how ragged, how noisy) are a grid of weighted guesses, and every answer is
the sum over it.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from itertools import product

import numpy as np
from numpy.typing import NDArray

from sim import turn as ring
from sim.arrays import Floats, read_only
from sim.one_thread import one_thread
from sim.units import shortest_deg

# Standard deviation of one reading of a 0.01 mm dial: its repeatability (JIS B 7503:2011, extract).
NOISE_UM = 3.0
# What a rough hand and its dial err by at a place is judgement, 3 .. 6. [um]
ROUGH_UM = 4.0
# Where a technician zeroes the dial, and the first order: wide enough to be no opinion. [um, each component]
OFFSET_UM, FIRST_UM = 1000.0, 100.0
# Finer divisions hide nothing beside what a dial errs by. A turn that stays in one division or two neighbouring ones is
# rounded alike over half of it: standard deviation of a component of a low order then, over a division, of 12 to 24
# places (simulation of runouts of 0.06 to 12 divisions; one that crosses more is rounded as by chance).
FINE_DIVISION_UM, ROUNDED_ALIKE = 10.0, 0.17
# Standard deviation of a component of the second order, with its weight; of the third as a share of it; of the noise as
# a share of the dial's. Judgement: clean faces are uneven by a few um, bent or worn ones by tens.
SECOND_UM = ((1.0, 0.3), (4.0, 0.45), (12.0, 0.2), (30.0, 0.05))
THIRD_SHARE = ((0.25, 0.7), (0.8, 0.3))
NOISE_SHARE = ((0.75, 0.4), (1.0, 0.4), (1.5, 0.2))
HIGHEST = 6
# What a dial creeps in one turn without anybody noticing, standard deviation. Judgement, 1 .. 6 um.
CREEP_UM = 3.0
# Dial swings of 30 .. 50 um at the bolt holes of a healthy hub face are called normal; common practice, no source.
# The lips of one hub are much alike, being drilled and pressed alike; how far they differ is judgement, 3 .. 12 um.
LIP_UM, LIP_SD_UM, LIPS_APART_UM = 30.0, 15.0, 9.0
# So far from a bolt hole its lip is still felt: guesses, judgement. [deg]
LIP_DEG = (7.0, 10.0, 14.0)


@dataclass(frozen=True, eq=False)
class Looks:
    """Guesses of how a clean turn scatters, each a normal distribution of all readings together.

    Parameters
    ----------
    weight : ndarray, shape (g,)
        They add to one.
    mean : ndarray, shape (g, k)
        Expected readings; nought but for lips of bolt holes. [um]
    precision : ndarray, shape (g, k, k)
        Inverse covariances. [1/um2]
    log_root : ndarray, shape (g,)
        Logarithm of the root of the precision's determinant.
    noise_um : ndarray, shape (g,)
        Standard deviation of one reading. [um]
    holes : ndarray of bool, shape (g,)
        Whether the guess has lips at the bolt holes.
    """

    weight: Floats
    mean: Floats
    precision: Floats
    log_root: Floats
    noise_um: Floats
    holes: NDArray[np.bool_]

    def log_likelihood(self, value_um: Floats) -> Floats:
        """Logarithm of the likelihood of turns (..., k) under each guess, weight included, shape (..., g).

        No unit. Normal density, by definition; the constant is left out.
        """
        off = value_um[..., None, :] - self.mean
        square = np.einsum("...gi,gij,...gj->...g", off, self.precision, off)
        likelihood: Floats = np.log(self.weight) + self.log_root - 0.5 * square
        return likelihood


def reading_sd(dial_um: float, noise_um: float = NOISE_UM) -> float:
    """Standard deviation of one reading, rounding to the dial's step included (JCGM 100, 4.3.7). [um].

    Examples
    --------
    >>> round(reading_sd(10.0), 2)
    4.16
    """
    return float(np.hypot(noise_um, dial_um / np.sqrt(12.0)))


def rounded_alike_um(value_um: Floats, dial_um: float) -> float:
    """Standard deviation of a component of a low order that rounding leaves of a turn of a coarse dial. [um].

    Parameters
    ----------
    value_um : ndarray, shape (k,)
    dial_um : float
        Its division.

    Returns
    -------
    float
        Nought for fine divisions, and for a turn that crosses more than one.

    Notes
    -----
    Rounding is systematic where what is read hardly moves (JCGM 100, F.2.2.1); its size is by simulation
    (`ROUNDED_ALIKE`).

    Examples
    --------
    >>> [round(rounded_alike_um(np.array([0.0, up]), 25.4), 1) for up in (0.0, 25.4, 50.8)]
    [4.3, 4.3, 0.0]
    >>> rounded_alike_um(np.array([0.0, 10.0]), 10.0)
    0.0
    """
    alike = dial_um > FINE_DIVISION_UM and float(np.ptp(value_um)) < 1.5 * dial_um
    return ROUNDED_ALIKE * dial_um if alike else 0.0


def lip_shape(angle_deg: Floats, studs: int, half_deg: float) -> Floats:
    """Height of each bolt hole's lip at each place over that at its middle, shape (k, studs).

    A parabola over the angle that ends ``half_deg`` from the hole, the first at nought degrees; its form is judgement.
    """
    hole = np.arange(studs) * 360.0 / max(studs, 1)
    off = shortest_deg(angle_deg[:, None] - hole)
    shape: Floats = np.maximum(1.0 - (off / half_deg) ** 2, 0.0)
    return shape


@one_thread
def looks(angle_deg: Floats, dial_um: float, studs: int = 0) -> Looks:
    """Guesses for a turn read at these places.

    Parameters
    ----------
    angle_deg : ndarray, shape (k,)
        Rising. [deg]
    dial_um : float
        Step of the dial. [um]
    studs : int
        Bolt holes of a bare hub face, the first at nought degrees; 0 for every other trace.

    Returns
    -------
    Looks
    """
    return _looks(tuple(map(float, angle_deg)), float(dial_um), studs)


@lru_cache(maxsize=64)
def _looks(angles: tuple[float, ...], dial_um: float, studs: int) -> Looks:
    angle = np.array(angles)
    shapes = [shape for half in LIP_DEG if (shape := lip_shape(angle, studs, half)).any()]
    lips_of = [(0.5 / len(shapes), shape) for shape in shapes]
    guesses = [(0.5 if shapes else 1.0, np.zeros((angle.size, 1))), *lips_of]
    rows, spreads = [], []
    for (second, p), (third, q), (noise, r), (share, lips) in product(SECOND_UM, THIRD_SHARE, NOISE_SHARE, guesses):
        # The repeatability is a share of the dial's, its step is not.
        sd = reading_sd(dial_um, noise * NOISE_UM)
        every = lips.sum(axis=1)
        spread = covariance(angle, second, third * second, sd)
        spreads.append(spread + LIP_SD_UM**2 * np.outer(every, every) + LIPS_APART_UM**2 * lips @ lips.T)
        rows.append((p * q * r * share, LIP_UM * every, sd, lips.any()))
    weight, mean, noise_um, holes = (np.array(column) for column in zip(*rows, strict=True))
    root = np.linalg.cholesky(np.array(spreads))
    log_root = -np.log(np.diagonal(root, axis1=1, axis2=2)).sum(axis=1)
    return Looks(weight, mean, np.linalg.inv(np.array(spreads)), log_root, noise_um, holes)


@one_thread
def covariance(angle_deg: Floats, second_um: float, third_um: float, noise_um: float) -> Floats:
    """Covariance of a turn of clean readings, shape (k, k). [um2].

    Parameters
    ----------
    angle_deg : ndarray, shape (k,)
        [deg]
    second_um, third_um : float
        Standard deviation of a component of the second and third order; higher ones fall with the order. [um]
    noise_um : float
        Of one reading. [um]

    Notes
    -----
    Orders with random phase have covariance sd^2 cos(n apart): by definition; their sizes are judgement.
    """
    waves, crept = _waves(np.asarray(angle_deg, dtype=float).tobytes())
    spread: Floats = OFFSET_UM**2 + FIRST_UM**2 * waves[0] + second_um**2 * waves[1]
    for order in range(3, HIGHEST + 1):
        spread = spread + (third_um * 3.0 / order) ** 2 * waves[order - 1]
    return spread + crept + noise_um**2 * np.eye(angle_deg.size)


@lru_cache(maxsize=64)  # every guess of a turn has the same places
def _waves(places: bytes) -> tuple[Floats, Floats]:
    """Cosine of every order between each two places, and the covariance of what a dial creeps. [1, um2]."""
    angle_deg = np.frombuffer(places)
    turn = np.radians(angle_deg[:, None] - angle_deg[None, :])
    creep = angle_deg / 360.0 - 0.5
    waves = np.cos(np.arange(1, HIGHEST + 1)[:, None, None] * turn)
    return read_only((waves, CREEP_UM**2 * np.outer(creep, creep)))


@dataclass(frozen=True, eq=False)
class Fitted:
    """Orders of a turn with what they are uncertain by.

    Parameters
    ----------
    orders : ndarray of complex, shape (h + 1,)
        c_0 ... c_h. [um]
    sd_um : ndarray, shape (h + 1,)
        Standard deviation of a component of each. [um]
    """

    orders: NDArray[np.complex128]
    sd_um: Floats


@one_thread
def fit(angle_deg: Floats, value_um: Floats, highest: int, weights: Floats, noise_um: float) -> Fitted:
    """Weighted least-squares orders; a place of weight nought does not count.

    Parameters
    ----------
    angle_deg, value_um, weights : ndarray, shape (k,)
        Places, readings, and what each counts. [deg, um]
    highest : int
        Highest order fitted.
    noise_um : float
        Standard deviation of one reading of weight one. [um]

    Raises
    ------
    BadInput
        If what counts cannot carry these orders.

    Notes
    -----
    Weighted least squares; variances from its normal matrix (JCGM 100).
    """
    kept = weights > 0.0
    angle, value, counts = (np.asarray(one, dtype=float)[kept] for one in (angle_deg, value_um, weights))
    orders = ring.fit(angle, value, highest)  # refuses what cannot be told apart
    matrix, share = _weighed(angle.tobytes(), counts.tobytes(), highest)
    if not (counts == 1.0).all():
        solved = np.linalg.lstsq(matrix, value * np.sqrt(counts), rcond=None)[0]
        orders = np.concatenate([solved[:1].astype(complex), solved[1 : highest + 1] - 1j * solved[highest + 1 :]])
    variance = noise_um**2 * share
    sd = np.sqrt(variance[: highest + 1])
    sd[1:] = np.sqrt((variance[1 : highest + 1] + variance[highest + 1 :]) / 2.0)
    return Fitted(orders, sd)


@lru_cache(maxsize=128)  # turns of one table are read at the same places
def _weighed(places: bytes, counts: bytes, highest: int) -> tuple[Floats, Floats]:
    """Weighted design matrix, and the variance of every solved figure over that of a reading of weight one."""
    matrix = ring.design_matrix(np.frombuffer(places), highest) * np.sqrt(np.frombuffer(counts))[:, None]
    return read_only((matrix, np.diag(np.linalg.inv(matrix.T @ matrix))))
