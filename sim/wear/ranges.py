"""What nobody knows of a brake for sure, within which range and from where, and parameter sets drawn from it.

The ranges are wide because no measured curve of thickness variation against distance could be found.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from sim.arrays import Floats
from sim.uniform_draws import latin, triangular
from sim.wear.brake import Brake


@dataclass(frozen=True)
class Range:
    """What is known of one parameter: it lies between ``low`` and ``high``, about the case's own value.

    A band draws it as likely above as below the case's value, evenly out to either end (``evenly_about``), on a
    logarithmic scale if ``ratio``: nobody knows that the middle is likelier than the ends, and a band that takes it so
    is too sure where it is not (tests/studies/forecast_band.md). A case value outside the range widens it.

    Parameters
    ----------
    name : str
        Key of the case, or what it is where no key sets it.
    field : str
        Name in ``Brake``.
    low, high : float
        In the unit of ``field``; for ``relative`` ranges multiples of the case's value.
    ratio, relative : bool
    source : str
    """

    name: str
    field: str
    low: float
    high: float
    ratio: bool
    relative: bool
    source: str


RANGES = (
    Range(
        "pads.disc_wear_mm3_per_nm",
        "disc_wear",
        1.0 / 3.0,
        10.0 / 3.0,
        True,
        True,
        "grey iron under brake linings, 0.3e-5 .. 3e-5 mm3/(N m) from memory; middle calibrated to service practice",
    ),
    Range(
        "caliper.holder_stiffness_n_mm",
        "holder_n_mm",
        500.0,
        3000.0,
        True,
        False,
        "judgement, 500 .. 3000 N/mm: slip force of 100 .. 200 N over the travel of a piston seal of about 0.1 mm",
    ),
    Range(
        "caliper.clearance_um",
        "clearance_mm",
        0.015,
        0.150,
        True,
        False,
        "judgement, 15 .. 150 µm; 50 .. 150 µm from memory",
    ),
    Range(
        "caliper.outboard_share",
        "outboard_share",
        0.1,
        0.5,
        False,
        False,
        "judgement, 0.1 .. 0.5: only the piston retracts",
    ),
)

#: What a forecast can be told but is hardly ever told: drawn for the band, not for the library of worn rotors, which
#: has draws of its own.
FURTHER = (
    Range("caliper.slip_force_n", "slip_n", 20.0, 200.0, True, False, "20 .. 200 N from memory"),
    Range("pads.bed_released_n_mm3", "bed_released_n_mm3", 2.0, 15.0, True, False, "judgement, 2 .. 15 N/mm3"),
    Range("pads.bed_braking_n_mm3", "bed_braking_n_mm3", 15.0, 60.0, True, False, "judgement, 15 .. 60 N/mm3"),
    Range("caliper.clamp_stiffness_kn_mm", "spread_n_mm", 10.0e3, 60.0e3, True, False, "10 .. 60 kN/mm from memory"),
    Range(
        "tilt lever of the pad",
        "tilt_lever_mm",
        10.0,
        30.0,
        True,
        False,
        "judgement, 10 .. 30 mm; middle: piston radius over root two",
    ),
)


def drawn_for(brake: Brake) -> tuple[Range, ...]:
    """Everything that is drawn for the band of this brake."""
    return (*ranges_for(brake), *FURTHER)


def ranges_for(brake: Brake) -> tuple[Range, ...]:
    """Ranges that are drawn for this brake; a fixed caliper shares its clearance evenly."""
    return tuple(r for r in RANGES if not (brake.fixed and r.field == "outboard_share"))


def draw(
    brake: Brake,
    count: int,
    seed: int,
    ranges: tuple[Range, ...] | None = None,
    shape: Callable[[Floats, float, float, float], Floats] = triangular,
) -> tuple[tuple[Range, ...], Floats]:
    """Draw parameter sets, spread evenly over every range (Latin hypercube).

    Parameters
    ----------
    brake : Brake
        Its own values are the most likely ones, or the middle: see ``shape``.
    count : int
    seed : int
        The same seed gives the same draws.
    ranges : tuple of Range, optional
        What is drawn; ``ranges_for`` unless given.
    shape : callable, optional
        From uniform numbers, low end, the brake's own value and high end to values.

    Returns
    -------
    tuple
        The ranges, and values of shape (count, ranges).

    Notes
    -----
    Each column in the unit of its key. Latin hypercube: M. D. McKay, R. J. Beckman, W. J. Conover, Technometrics 21,
    239 (1979; from memory).
    """
    random = np.random.default_rng(seed)
    ranges = ranges_for(brake) if ranges is None else ranges
    values = np.empty((count, len(ranges)))
    for column, item in enumerate(ranges):
        uniform = latin(random, count)
        peak = float(getattr(brake, item.field))
        scale = peak if item.relative else 1.0
        low, high = min(item.low * scale, peak), max(item.high * scale, peak)
        if item.ratio and low > 0.0:
            values[:, column] = np.exp(shape(uniform, np.log(low), np.log(peak), np.log(high)))
        else:
            values[:, column] = shape(uniform, low, peak, high)
    return ranges, values
