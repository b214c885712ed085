"""What goes into a compiled revolution and what comes out of it: named tuples, read by name in compiled code.

Compiled code is kept on disk and renewed when ``sim/taps.py`` changes: who reorders fields here must touch that file.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from sim.pads import Grid

Floats = NDArray[np.float64]

#: What ``rates`` reports beside the rates: peak tap force [N], contacts that did not settle, lowest pressure on the
#: brake [MPa], share of released contact positions that touch, largest shift by slip [mm].
NOTES = 5


class View(NamedTuple):
    """What the pads see: faces (wrapped by half a pad), pad profiles, plate through each window, rest tilts, tops."""

    faces: Floats
    profile: Floats
    mean: Floats
    slope: Floats
    rest: Floats
    top: Floats
    under: Floats
    flat: Floats


class Tally(NamedTuple):
    """What one kind of driving leaves in a revolution: sums of pressure on disc and pads, friction work, notes."""

    disc: Floats
    square: Floats
    pad: Floats
    flat: Floats
    work: Floats
    notes: Floats


class Law(NamedTuple):
    """The numbers of the wear laws, in mm, N, MPa; read by name in compiled code."""

    fixed: bool
    spring: float
    tilt_spring: float
    slip: float
    gap_out: float
    gap_in: float
    push_out: float
    push_in: float
    bed_released: float
    bed_braking: float
    clamp: float
    clamp_spring: float
    disc_wear: float
    pad_wear: float
    deposit: float
    adherence: float
    film: float
    pressure: float
    brake_share: float
    releases: int
    has_film: bool
    has_profile: bool


def scratch(grid: Grid) -> tuple[View, Tally, Tally]:
    """Empty room for one call of ``rates``.

    Parameters
    ----------
    grid : Grid

    Returns
    -------
    tuple
        What the pads see, what the released revolution leaves, what the braked one leaves.
    """
    rings, angles, count = grid.rings, grid.angles, grid.share.size
    wide, flat = (2, rings, angles + 2 * grid.half), (2, rings, angles)
    view = View(
        faces=np.empty(wide),
        profile=np.zeros((2, rings, count)),
        mean=np.empty((2, angles)),
        slope=np.empty((2, angles, 2)),
        rest=np.zeros((2, 2)),
        top=np.empty((2, angles)),
        under=np.empty((rings, count)),
        flat=np.empty(flat),
    )
    off, on = (
        Tally(np.zeros(wide), np.zeros(wide), np.zeros((2, rings, count)), np.zeros(flat), np.zeros(2), np.zeros(NOTES))
        for _ in range(2)
    )
    return view, off, on
