"""What wheels there are: the one home of what is drawn of a wheel that nobody described.

The band of the road draws from it (`sim.corner.unknown_wheel`), and so do the corners behind a reading
(`sim.corner.behind_reading`), there as a few typical wheels, because every ring has its price.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr, ndtri

from sim.arrays import Floats
from sim.parts.case import LIKELY_PAD_MM
from sim.uniform_draws import evenly_about

METALS = ("light alloy", "steel")
#: Two new cars of three have light alloy: market reports of 2024 say 60 .. 62 %, second-hand; the rest is judgement.
ALLOY_SHARE = 2.0 / 3.0
#: Flatness of a wheel's pad is held to 0.05 mm either way, from memory; a limit of a drawing lies two and a half
#: standard deviations out, judgement.
DISH_UM = 50.0
DISH_SD_UM = 20.0
#: Places of a law at which a few typical wheels stand for all of one metal.
TYPICAL = {"light alloy": (1 / 6, 1 / 2, 5 / 6), "steel": (1 / 4, 3 / 4)}


@dataclass(frozen=True)
class Thickness:
    """How thick the pads of one metal are: half below the key's default, half above, evenly over the logarithm.

    That is how all that nobody could settle is drawn (`sim.wear.ranges.Range`): a law with a peak at the default is too
    sure where wheels differ from what was judged (a triangle held 61 to 70 % of stocks from other laws).

    Parameters
    ----------
    low_mm, likely_mm, high_mm : float
    source : str
    """

    low_mm: float
    likely_mm: float
    high_mm: float
    source: str

    @property
    def _logs(self) -> tuple[float, float, float]:
        low, likely, high = np.log((self.low_mm, self.likely_mm, self.high_mm))
        return float(low), float(likely), float(high)

    def at(self, share: Floats) -> Floats:
        """Thickness below which a share of the pads lies. [mm]."""
        return np.asarray(np.exp(evenly_about(share, *self._logs)))

    def density(self, thickness_mm: float) -> float:
        """Density over the logarithm of a thickness. No unit; the slope of `at`, by definition."""
        low, likely, high = self._logs
        place = float(np.log(thickness_mm))
        if not low <= place <= high:
            return 0.0
        return 0.5 / (likely - low) if place < likely else 0.5 / (high - likely)


THICKNESS = {
    "light alloy": Thickness(8.0, LIKELY_PAD_MM["light alloy"], 35.0, "cast or forged, 8 .. 35 mm; judgement"),
    "steel": Thickness(8.0, LIKELY_PAD_MM["steel"], 16.0, "pressed sheet, as stiff as a ring of 8 .. 16 mm; judgement"),
}
#: Range over both metals.
THICKNESS_MM = (min(law.low_mm for law in THICKNESS.values()), max(law.high_mm for law in THICKNESS.values()))


def alloy_odds(thickness_mm: float | None) -> float:
    """Probability that a pad is of light alloy, its thickness known or not.

    No unit. Bayes' rule over the two metals' laws.
    """
    if thickness_mm is None:
        return ALLOY_SHARE
    alloy, steel = (THICKNESS[metal].density(thickness_mm) for metal in METALS)
    both = ALLOY_SHARE * alloy + (1.0 - ALLOY_SHARE) * steel
    return ALLOY_SHARE * alloy / both if both > 0.0 else ALLOY_SHARE


def dish_um(share: Floats | float) -> Floats:
    """Dish below which a share of the pads lies: normal, cut at the drawing's limit. [um].

    Its spread is judgement (`DISH_SD_UM`).
    """
    tail = float(ndtr(-DISH_UM / DISH_SD_UM))
    return np.asarray(DISH_SD_UM * ndtri(tail + np.asarray(share) * (1.0 - 2.0 * tail)))


def typical(metal: str | None, thickness_mm: float | None) -> tuple[tuple[str, float, float], ...]:
    """Return a few wheels that stand for all of which no more is known: metal, thickness of the pad [mm], probability.

    Parameters
    ----------
    metal : str or None
        None where it is not known.
    thickness_mm : float or None

    Notes
    -----
    Quantiles of the laws above, by definition.
    """
    if metal not in (*METALS, None):
        return ((str(metal), thickness_mm or LIKELY_PAD_MM["light alloy"], 1.0),)
    alloy = {None: alloy_odds(thickness_mm), METALS[0]: 1.0, METALS[1]: 0.0}[metal]
    found = []
    for name, odds in zip(METALS, (alloy, 1.0 - alloy), strict=True):
        shares = TYPICAL[name] if thickness_mm is None else (0.5,)
        for share in shares:
            thick = float(np.round(THICKNESS[name].at(np.array(share)), 1)) if thickness_mm is None else thickness_mm
            found.append((name, thick, odds / len(shares)))
    return tuple(one for one in found if one[2] > 0.0)


def drawn(shares: Floats, metal: str | None, thickness_mm: float | None) -> tuple[NDArray[np.bool_], Floats, Floats]:
    """Carry uniform numbers to wheels.

    Parameters
    ----------
    shares : ndarray, shape (3, count)
        Between 0 and 1: for metal, thickness, dish.
    metal, thickness_mm
        None where not known.

    Returns
    -------
    alloy : ndarray of bool, shape (count,)
    thickness_mm, dish_um : ndarray, shape (count,)
    """
    odds = alloy_odds(thickness_mm) if metal is None else float(metal == METALS[0])
    alloy = shares[0] < odds
    thick = np.where(alloy, *(THICKNESS[name].at(shares[1]) for name in METALS))
    return alloy, thick if thickness_mm is None else np.full(alloy.size, thickness_mm), dish_um(shares[2])
