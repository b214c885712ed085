"""Reading a trace with a real dial, and holding what it shows against a limit."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sim.arrays import Floats

BELOW, ABOVE, TOO_CLOSE = "below", "above", "too close to tell"
COVERAGE = 2.0  # expanded uncertainty, about 95 % (JCGM 100:2008)


@dataclass(frozen=True)
class Dial:
    """A dial gauge.

    Parameters
    ----------
    step_um : float
        Graduation. [um]
    short_range_error_um : float
        Largest error over a short travel, taken as the half-width of a rectangular distribution. [um]
    repeatability_um : float
        Half-width of the spread of repeated readings. [um]

    Notes
    -----
    Defaults: a 0.01 mm dial after JIS B 7503:2011 as extracted in a maker's catalogue: repeatability 3 um, a tenth of a
    revolution 5 um.
    """

    step_um: float = 10.0
    short_range_error_um: float = 5.0
    repeatability_um: float = 3.0

    @property
    def doubt_um(self) -> float:
        """Expanded uncertainty (k = 2) of a TIR read as the difference of two readings. [um].

        Notes
        -----
        JCGM 100:2008, type B, rectangular parts: half a graduation and the repeatability once for each of the two
        readings, the error of the travel between them once.
        """
        one = (self.step_um / 2) ** 2 / 3 + self.repeatability_um**2 / 3
        return COVERAGE * float(np.sqrt(2 * one + self.short_range_error_um**2 / 3))


def span_against_limit(low_um: float, high_um: float, limit_um: float) -> str:
    """Say where a span stands against a limit: below, above, or too close to tell. The one rule of every verdict."""
    if high_um <= limit_um:
        return BELOW
    if low_um >= limit_um:
        return ABOVE
    return TOO_CLOSE


def against_limit(value_um: float, limit_um: float, doubt_um: float) -> str:
    """Say where a value stands against a limit with this uncertainty: see `span_against_limit`."""
    return span_against_limit(value_um - doubt_um, value_um + doubt_um, limit_um)


def lever_reading_um(movement_um: Floats | float, tilt_deg: float) -> Floats | float:
    """Movement that makes a lever-type dial show ``movement_um`` when its stylus is tilted: shown x cos(tilt). [um].

    Notes
    -----
    The contact point moves on an arc; the true movement is the shown one times the cosine of the angle between the
    stylus and the face (cosine effect, JIS B 7533:2015 as tabled in an instrument maker's catalogue).
    """
    return movement_um * np.cos(np.deg2rad(tilt_deg))


def read_dial(trace_um: Floats, angles_deg: Floats, dial: Dial, rng: np.random.Generator) -> Floats:
    """Readings of a trace at given angles: the trace, the spread of the dial, rounded to its graduation. [um].

    Parameters
    ----------
    trace_um : ndarray, shape (n,)
        One turn at equal steps from 0.
    angles_deg : ndarray, shape (k,)
    dial : Dial
    rng : numpy.random.Generator
        Seeded by the caller.

    Returns
    -------
    ndarray, shape (k,)

    Notes
    -----
    Normal noise, then the nearest step of the dial: judgement after JCGM 100, 4.3.7.
    """
    n = trace_um.size
    true = np.interp(np.asarray(angles_deg) % 360.0, np.arange(n + 1) * 360.0 / n, np.append(trace_um, trace_um[0]))
    noisy = true + rng.uniform(-dial.repeatability_um, dial.repeatability_um, size=true.shape)
    return np.round(noisy / dial.step_um) * dial.step_um
