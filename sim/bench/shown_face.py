"""What a dial showed of a bare hub face beside any fit: highest less lowest, the tops between places, how sure."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from scipy.special import chdtrc

from sim import turn as ring
from sim.arrays import Complexes, Floats
from sim.bench.turn_to_turn import Scatter
from sim.files.clean_turn import NOISE_UM, reading_sd
from sim.files.reading_faults import FINE_FREEDOM, FINE_NOISE_UM
from sim.parts.dial import FINE_STEP_UM, Dial
from sim.parts.middle_turn import as_many
from sim.parts.thickness import PLACES

#: What a lean leaves over is more than scatter at this tail of chi-square. Judgement, 0.002 .. 0.01: what it keeps and
#: lets go stands in tests/studies/bare_face.md.
TAIL = 0.005
#: The same of one turn of a coarse dial: so much more may lie under its scatter, and a second turn costs minutes.
TAIL_ONCE = 0.1
#: Of one turn nobody can tell how it scatters.
ALONE = Scatter()
#: Places are evenly apart where no step differs from the others by more than this; judgement. [deg]
EVEN_DEG = 1.0


@dataclass(frozen=True)
class Shown:
    """A bare hub face as the dial showed it, no place left out.

    Parameters
    ----------
    read_um : float
        Highest less lowest reading. [um TIR]
    runout_um : float
        The same with the tops between the places, where it is uneven: what is held against a limit. [um TIR]
    doubt_um : float
        Its uncertainty (k = 2): that of two readings of this dial, and what few places miss of humps and waves. [um]
    highest_deg : float
        Hub angle of the highest reading. [deg]
    uneven : bool
        Whether more than a lean was shown, by more than readings scatter: humps, waves, raised metal, lips.
    places : int
    may_be : bool
        Whether one turn of a coarse dial leaves that open.
    waves : int
        Order of the waves that make most of what a lean leaves over; 0 where none does, as of a single hump.
    waves_um : float
        Their runout. [um TIR]
    """

    read_um: float
    runout_um: float
    doubt_um: float
    highest_deg: float
    uneven: bool
    places: int
    may_be: bool = False
    waves: int = 0
    waves_um: float = 0.0


def shown(angle_deg: Floats, value_um: Floats, dial_um: float, turns: int = 1, own: Scatter = ALONE) -> Shown:
    """Take a bare face as the dial showed it.

    Parameters
    ----------
    angle_deg, value_um : ndarray, shape (k,)
        Readings, + towards; a slip that no other turn repeats taken out. [deg, um]
    dial_um : float
        Step of the dial. [um]
    turns : int
        Of which the readings are the middle.
    own : Scatter
        How these turns scatter.

    Returns
    -------
    Shown

    Notes
    -----
    Chi-square of what a lean leaves over (`TAIL`, judgement); the tops by the Fourier series through even places, which
    sees no wave of more than half as many and no hump that ends between two of them. `sim.parts.dial.Dial`. [um TIR]
    """
    read, doubt = ring.tir(value_um), Dial(dial_um, turns).doubt_um
    highest, places = float(angle_deg[np.argmax(value_um)]), np.unique(angle_deg).size
    fine = dial_um <= FINE_STEP_UM
    sd_um = _reading_um(dial_um, own) / np.sqrt(as_many(turns))
    chance = _of_a_lean(angle_deg, value_um, sd_um) if places > LEAST else 1.0
    uneven = chance < TAIL
    may_be = not uneven and turns == 1 and not fine and chance < TAIL_ONCE
    if not (uneven or may_be):
        return Shown(read, read, doubt, highest, False, places)
    few_um = MISSED * read if places < PLACES else 0.0
    if not _evenly_apart(angle_deg):  # between others a series may swing without bound
        return Shown(read, read, doubt + few_um, highest, uneven, places, may_be)
    orders = ring.fit(angle_deg, value_um, (places - 1) // 2)
    runout = max(read, ring.tir(ring.trace(orders)))
    return Shown(read, runout, doubt + few_um, highest, uneven, places, may_be, *_waves(orders))


#: What fewer than `PLACES` places may miss of an uneven face, as a share of what they showed. Judgement, 0.5 .. 2: the
#: more, the more even faces are read at twelve first (tests/studies/bare_face.md).
MISSED = 0.5
#: Share of the squares from which one order is called most of it; judgement.
MOST = 0.6
#: A lean has three figures: so many places leave nothing over.
LEAST = 3


def _reading_um(dial_um: float, own: Scatter) -> float:
    """Standard deviation of one reading: as usual, of a fine dial by as much more as a hand scatters from turn to turn.

    No less, as the dial's error along its travel comes back in every turn, and no more than any dial's. [um]
    """
    most_um = reading_sd(dial_um, NOISE_UM)
    if dial_um > FINE_STEP_UM:
        return most_um
    usual_um = reading_sd(dial_um, FINE_NOISE_UM)
    return min(max(own.sd_um(usual_um, FINE_FREEDOM), usual_um), most_um)


def _of_a_lean(angle_deg: Floats, value_um: Floats, sd_um: float) -> float:
    """How often a face that only leans is read so unevenly or more: chi-square."""
    rest = value_um - ring.evaluate(ring.fit(angle_deg, value_um, 1), np.radians(angle_deg))
    return float(chdtrc(value_um.size - LEAST, (rest**2).sum() / sd_um**2))


def _evenly_apart(angle_deg: Floats) -> bool:
    return bool(np.ptp(np.diff(angle_deg, append=angle_deg[0] + 360.0)) <= EVEN_DEG)


def _waves(orders: Complexes) -> tuple[int, float]:
    """Order that makes most of the squares of all beyond a lean, and its runout; noughts where none does. [um]."""
    size = np.abs(orders[2:])
    if not size.size or (size**2).max() <= MOST * (size**2).sum():
        return 0, 0.0
    return int(size.argmax()) + 2, float(2.0 * size.max())
