"""Curves that close on themselves: what a dial says over one turn, its orders, and what a few points can miss.

One convention everywhere: ``f(theta) = Re sum_n c_n exp(i n theta)`` with a complex ``c_n`` whose modulus is the
amplitude (zero to peak) of order n. Nothing here knows of rotors; values keep the unit in which they come.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

from sim.arrays import Complexes, Floats, read_only
from sim.errors import BadInput
from sim.one_thread import one_thread

# A design matrix worse than this cannot tell two of its orders apart (readings bunched, or too few of them).
WORST_CONDITION = 1e8


def tir(values: ArrayLike) -> float:
    """Total indicated runout: highest minus lowest reading.

    Parameters
    ----------
    values : array_like
        Readings of one turn, any unit.

    Returns
    -------
    float
        In the unit of the readings; never negative.
    """
    return float(np.ptp(np.asarray(values, dtype=float)))


def harmonics(values: ArrayLike, highest: int) -> Complexes:
    """Orders of an equally spaced trace that starts at angle zero and leaves the repeat at 360 degrees out.

    Parameters
    ----------
    values : array_like, shape (k,)
        Readings at 0, 360/k, 2 360/k ... degrees.
    highest : int
        Highest order wanted; at most k/2.

    Returns
    -------
    ndarray of complex, shape (highest + 1,)
        c_0 is the (real) mean; c_n has the amplitude as modulus. At n = k/2 the phase cannot be told: the value
        returned is the smallest that passes through the readings.

    Raises
    ------
    BadInput
        If there are fewer than 2 ``highest`` readings.

    Notes
    -----
    Unit of the readings. Discrete Fourier series, by definition; the last order of an even count is halved.
    """
    trace = np.asarray(values, dtype=float)
    count = trace.size
    if highest < 0 or 2 * highest > count:
        raise BadInput(f"{count} readings carry at most {count // 2} orders, not {highest}")
    raw: Complexes = np.fft.rfft(trace)[: highest + 1] / count
    raw[1:] *= 2.0
    if 2 * highest == count and highest > 0:
        raw[-1] /= 2.0
    return raw


@one_thread
def evaluate(coefficients: ArrayLike, theta_rad: ArrayLike) -> Floats:
    """Curve at given angles.

    Parameters
    ----------
    coefficients : array_like of complex, shape (h + 1,)
        c_0 ... c_h.
    theta_rad : array_like
        Angles of any shape. [rad]

    Returns
    -------
    ndarray
        Values, of the shape of ``theta_rad``.

    Notes
    -----
    Unit of the coefficients; by definition of the Fourier series.
    """
    c = np.asarray(coefficients, dtype=complex)
    theta = np.asarray(theta_rad, dtype=float)
    order = np.arange(c.size)
    value: Floats = (np.exp(1j * theta[..., None] * order) @ c).real
    return value


def trace(coefficients: ArrayLike, count: int = 360) -> Floats:
    """Curve at ``count`` equally spaced angles from zero, the repeat at 360 degrees left out.

    Unit of the coefficients; by definition of the Fourier series.
    """
    return evaluate(coefficients, 2.0 * np.pi * np.arange(count) / count)


@one_thread
def evaluate_rows(coefficients: ArrayLike, count: int) -> Floats:
    """Many curves at ``count`` equally spaced angles: coefficients (rows, h + 1) give values (rows, count).

    Unit of the coefficients; by definition of the Fourier series.
    """
    c = np.atleast_2d(np.asarray(coefficients, dtype=complex))
    theta = 2.0 * np.pi * np.arange(count) / count
    values: Floats = (c @ np.exp(1j * np.outer(np.arange(c.shape[1]), theta))).real
    return values


def high_spot_deg(coefficient: complex, order: int = 1) -> float:
    """Lowest non-negative angle at which one order has a crest.

    Parameters
    ----------
    coefficient : complex
        c_n.
    order : int, default 1
        n, at least 1.

    Returns
    -------
    float
        Angle within 0 <= angle < 360/n. [deg]

    Notes
    -----
    By definition: where the cosine is 1.
    """
    if order < 1:
        raise BadInput(f"order {order} has no high spot")
    period = 360.0 / order
    angle = -float(np.degrees(np.angle(coefficient))) / order % period
    return 0.0 if angle >= period else angle  # a tiny negative angle rounds up to the period itself


def coefficient(amplitude: float, high_spot: float, order: int = 1) -> complex:
    """Return c_n of a curve with this amplitude and a crest at ``high_spot`` degrees.

    Unit of the amplitude; by definition.
    """
    return complex(amplitude * np.exp(-1j * order * np.radians(high_spot)))


@one_thread
def fit(angle_deg: ArrayLike, values: ArrayLike, highest: int) -> Complexes:
    """Least-squares orders of readings taken at any angles.

    Parameters
    ----------
    angle_deg : array_like, shape (k,)
        Where the readings were taken. [deg]
    values : array_like, shape (k,)
        Readings.
    highest : int
        Highest order fitted.

    Returns
    -------
    ndarray of complex, shape (highest + 1,)
        c_0 is real.

    Raises
    ------
    BadInput
        If the readings cannot carry that many orders: fewer than 2 highest + 1, or angles that leave two orders alike.

    Notes
    -----
    Least squares.
    """
    places, readings = np.asarray(angle_deg, dtype=float), np.asarray(values, dtype=float)
    if places.size != readings.size:
        raise BadInput(f"{places.size} angles but {readings.size} readings")
    matrix = _told_apart(places.tobytes(), highest)
    if matrix is None:
        raise BadInput(f"these {readings.size} readings cannot tell the orders up to {highest} apart")
    solved = np.linalg.lstsq(matrix, readings, rcond=None)[0]
    result = np.zeros(highest + 1, dtype=complex)
    result[0] = solved[0]
    result[1:] = solved[1 : highest + 1] - 1j * solved[highest + 1 :]
    return result


@lru_cache(maxsize=128)  # one table asks for the same places hundreds of times
def _told_apart(places: bytes, highest: int) -> Floats | None:
    """Design matrix at places that can tell its orders apart; none where they cannot."""
    matrix = design_matrix(np.frombuffer(places), highest)
    if matrix.shape[0] < matrix.shape[1] or np.linalg.cond(matrix) > WORST_CONDITION:
        return None
    return read_only(matrix)


def design_matrix(angle_deg: ArrayLike, highest: int) -> Floats:
    """Columns 1, cos theta ... cos h theta, sin theta ... sin h theta at the given angles, shape (k, 2 h + 1).

    No unit; by definition of the Fourier series.
    """
    theta = np.radians(np.atleast_1d(np.asarray(angle_deg, dtype=float)))
    phase = theta[:, None] * np.arange(1, highest + 1)
    return np.hstack([np.ones((theta.size, 1)), np.cos(phase), np.sin(phase)])


def turned(coefficients: ArrayLike, by_deg: float) -> Complexes:
    """Orders of the same curve moved forward: crests stand ``by_deg`` degrees further on.

    Unit of the coefficients; by definition of the Fourier series.
    """
    c = np.asarray(coefficients, dtype=complex)
    moved: Complexes = c * np.exp(-1j * np.arange(c.size) * np.radians(by_deg))
    return moved


def turn_trace(values: ArrayLike, by_deg: float) -> Floats:
    """Equally spaced trace moved forward by ``by_deg`` degrees; exact where that is a whole number of steps.

    Unit of the readings; straight lines between them where the angle is no whole step.
    """
    samples = np.asarray(values, dtype=float)
    steps = by_deg * samples.size / 360.0
    if abs(steps - round(steps)) < 1e-9:
        return np.roll(samples, round(steps))
    at = np.arange(samples.size) * 360.0 / samples.size
    return interpolate(at, samples, at - by_deg)


def interpolate(angle_deg: ArrayLike, values: ArrayLike, at_deg: ArrayLike) -> Floats:
    """Straight lines between readings, round the corner at 360 degrees too.

    Parameters
    ----------
    angle_deg, values : array_like, shape (k,)
        Readings at any angles, in any sequence; angles count modulo 360, repeats of one are averaged. [deg]
    at_deg : array_like
        Where the curve is wanted. [deg]

    Returns
    -------
    ndarray
        Of the shape of ``at_deg``.

    Notes
    -----
    Unit of the readings; straight lines by definition.
    """
    angle = np.round(np.mod(np.asarray(angle_deg, dtype=float), 360.0), 9) % 360.0
    mean = np.asarray(values, dtype=float) + 0.0  # no minus before a nought
    if not np.all(np.diff(angle) > 0.0):
        angle, inverse = np.unique(angle, return_inverse=True)
        mean = np.bincount(inverse, weights=mean) / np.bincount(inverse)
    return np.asarray(np.interp(np.asarray(at_deg, dtype=float), angle, mean, period=360.0), dtype=float)


def resample(values: ArrayLike, count: int) -> Floats:
    """Equally spaced trace at another number of points, by its Fourier series (exact for what the readings carry).

    Going to fewer points leaves out the orders that they cannot carry, instead of folding them onto lower ones.

    Unit of the readings.
    """
    samples = np.asarray(values, dtype=float)
    if samples.size == count:
        return samples.copy()
    kept = (min(samples.size, count) + 1) // 2
    waves = np.zeros(count // 2 + 1, dtype=complex)
    waves[:kept] = np.fft.rfft(samples)[:kept]
    return np.asarray(np.fft.irfft(waves, count) * (count / samples.size), dtype=float)


@dataclass(frozen=True)
class Sampling:
    """What ``count`` equally spaced readings can see of a curve.

    Parameters
    ----------
    count : int
        Readings a turn.
    worst_share, mean_share : float
        Highest minus lowest reading of a pure first order over its true TIR: at the worst start angle, and on average.
    folds : dict of int to int
        Which higher order is taken for which lower one (0 = the mean), for the orders 1 ... 12.
    lost_phase : int
        Order whose phase, hence size, cannot be read (count/2); 0 for an odd count.
    tir_sd : float
        Standard deviation of the least-squares first-order TIR, in the unit of the readings.
    """

    count: int
    worst_share: float
    mean_share: float
    folds: dict[int, int]
    lost_phase: int
    tir_sd: float


def sampling(count: int, noise_sd: float = 0.0, step: float = 0.0) -> Sampling:
    """Tell what ``count`` equally spaced readings of a dial can miss.

    Parameters
    ----------
    count : int
        Readings a turn, at least 3.
    noise_sd : float
        Standard deviation of one reading.
    step : float
        Step of the dial; rounding adds step^2 / 12 to the variance (JCGM 100, 4.3.7).

    Returns
    -------
    Sampling

    Raises
    ------
    BadInput
        If there are fewer than three readings.

    Notes
    -----
    For even k the span of k points on a sine is 2 A cos(d) with d uniform within +-pi/k; for odd k the crest and the
    trough cannot both be missed by a whole half step, and the span is 2 A cos(pi/2k) cos(d) with d within +-pi/2k.

    Unit of the readings.
    """
    if count < 3:
        raise BadInput(f"{count} readings a turn tell nothing of a runout; take at least 3")
    half = np.pi / count if count % 2 == 0 else np.pi / (2 * count)
    fixed = 1.0 if count % 2 == 0 else float(np.cos(half))
    folds = {n: folded(n, count) for n in range(1, 13) if folded(n, count) != n}
    return Sampling(
        count=count,
        worst_share=fixed * float(np.cos(half)),
        mean_share=fixed * float(np.sin(half) / half),
        folds=folds,
        lost_phase=0 if count % 2 else count // 2,
        tir_sd=tir_sd(count, noise_sd, step),
    )


def folded(order: int, count: int) -> int:
    """Order as which ``order`` appears when a turn is read at ``count`` equally spaced points."""
    rest = order % count
    return min(rest, count - rest)


def tir_sd(count: int, noise_sd: float, step: float = 0.0) -> float:
    """Return the standard deviation of a least-squares first-order TIR from ``count`` readings, in their unit.

    Least squares of even places: the variance of a component is 2 sd^2 / count (closed form); rounding as a rectangle
    (JCGM 100, 4.3.7).
    """
    return 2.0 * float(np.sqrt(2.0 * (noise_sd**2 + step**2 / 12.0) / count))


def as_json(coefficients: ArrayLike, frame: str) -> list[dict[str, Any]]:
    """Orders from the first on as records: order, amplitude, high spot, frame."""
    c = np.asarray(coefficients, dtype=complex)
    return [
        {
            "order": n,
            "amplitude": float(abs(c[n])),
            "high_spot_deg": high_spot_deg(complex(c[n]), n),
            "frame": frame,
        }
        for n in range(1, c.size)
    ]
