"""How far the clampings of a workshop can be trusted on one geometry: reading over driven runout, faults anywhere.

A clamping is named the most trustworthy only where its spread is the smallest beyond what the number of seated corners
leaves open (bootstrap over the corners), and bare cone nuts are never named: their cones find their own place in the
holes, which is not computed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.arrays import Floats
from sim.corner.behind_reading import BAND, Joint, joined, seated_corners
from sim.corner.clampings import DRIVEN, clampings
from sim.errors import Refused
from sim.one_thread import one_thread
from sim.parts.case import Case
from sim.progress import Progress, need_listener, silent
from sim.spigot.state import need_free_spigot

LEAST_UM = 15.0  # a smaller runout drowns in the uncertainty of a workshop dial; judgement
RESAMPLED = 200  # bootstrap draws; judgement
SURE = 0.95  # share of the resamples in which one spread must be the smaller
FALSE = 1.05  # a reading this much above or below the driven runout counts as false; judgement
BARE = "bare nuts, full torque"


@dataclass(frozen=True)
class Trust:
    """How far a clamping can be trusted on one geometry: reading over driven runout for faults anywhere.

    Parameters
    ----------
    name : str
    low, middle, high : float
        10, 50 and 90 % points of reading / driven.
    reads_high, reads_low : float
        Share of the corners that read more than 5 % above, or below, what they do as driven.
    most : bool
        Whether this one is more to be trusted than every other but bare nuts, beyond the uncertainty of the draws.
    """

    name: str
    low: float
    middle: float
    high: float
    reads_high: float = 0.0
    reads_low: float = 0.0
    most: bool = False

    @property
    def spread(self) -> float:
        """Width of the middle 80 %, as a ratio. By definition."""
        return self.high / self.low if self.low > 0 else math.inf


@one_thread
def trusted_clampings(
    case: Case, seed: int = 1, preset: str = "rough", progress: Progress = silent
) -> tuple[Trust, ...]:
    """Say how far each clamping can be trusted on a geometry.

    Parameters
    ----------
    case : Case
        Geometry, torque and what is known of hub and rotor; its own dirt is left out.
    seed : int
    preset : str
    progress : callable(fraction, what)
        The first call on a geometry seats drawn corners under six clampings, about 20 s on two cores.

    Returns
    -------
    tuple of Trust
        The narrowest first, clampings that no drawn corner sits under left out.

    Raises
    ------
    Refused
        If scale on the spigot makes the bore too tight or holds the rotor off: dirt on the face decides nothing then.

    Notes
    -----
    Ratios, without unit.
    """
    need_listener(progress)
    need_free_spigot(case)
    names = [name for name in clampings(case) if name != DRIVEN]
    found: dict[str, Joint] = {}
    for k, name in enumerate(names):

        def share(done: float, what: str, k: int = k) -> None:
            progress((k + done) / len(names), what)

        try:
            found[name] = joined(case, seated_corners(case, name, preset, share), np.random.default_rng(seed))
        except Refused:
            continue
    return ranked(found, np.random.default_rng(seed))


def ranked(found: dict[str, Joint], rng: np.random.Generator) -> tuple[Trust, ...]:
    """Rank clampings by the spread of reading over driven runout.

    Parameters
    ----------
    found : dict of str to Joint
        Drawn corners under each clamping; seatings are numbered alike in all.
    rng : Generator
        Of the resamples.

    Returns
    -------
    tuple of Trust

    Notes
    -----
    Ratios, without unit. Bootstrap over corners (B. Efron 1979; from memory).
    """
    ratios = {name: _seen(joint) for name, joint in found.items()}
    ratios = {name: seen for name, seen in ratios.items() if seen[0].size}
    if not ratios:
        return ()
    corners = 1 + max(int(seating.max()) for _, seating in ratios.values())
    times = rng.multinomial(corners, np.full(corners, 1 / corners), RESAMPLED)
    spread = {name: _spreads(*seen, times) for name, seen in ratios.items()}
    out = []
    for name, (ratio, _) in ratios.items():
        low, middle, high = (float(x) for x in np.quantile(ratio, BAND))
        others = [spread[other] for other in spread if other not in (name, BARE)]
        most = name != BARE and bool(others) and all(np.mean(spread[name] < other) >= SURE for other in others)
        out.append(
            Trust(name, low, middle, high, float(np.mean(ratio > FALSE)), float(np.mean(ratio < 1 / FALSE)), most)
        )
    return tuple(sorted(out, key=lambda item: item.spread))


def _seen(joint: Joint) -> tuple[Floats, NDArray[np.int64]]:
    """Reading over driven runout, and the seating, of corners on which something is to be seen."""
    seen = np.fmax(joint.read_um, joint.driven_um) >= LEAST_UM
    return joint.read_um[seen] / joint.driven_um[seen], joint.seating[seen]


def _spreads(ratio: Floats, seating: NDArray[np.int64], times: NDArray[np.int64]) -> Floats:
    """Width of the middle 80 % when every seating counts as often as it was drawn. Shape (resamples,)."""
    order = np.argsort(ratio)
    out = np.empty(len(times))
    for k, drawn in enumerate(times):
        share = np.cumsum(drawn[seating[order]])
        low, high = ratio[order][np.searchsorted(share, np.array([BAND[0], BAND[2]]) * share[-1])]
        out[k] = high / low
    return out
