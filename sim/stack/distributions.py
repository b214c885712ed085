"""How one figure is spread over many cars: a distribution, cut off where parts are sorted out, drawn by its inverse."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import ndtr, ndtri

from sim.arrays import Floats
from sim.errors import MOST_FAULTS, BadInput, Fault
from sim.uniform_draws import triangular
from sim.units import is_finite_number, shown

#: What each kind of distribution is told by, in the unit of the key; ``lowest`` and ``highest`` cut any of them off.
PARAMETERS: dict[str, tuple[str, ...]] = {
    "fixed": ("value",),
    "normal": ("mean", "sd"),
    "uniform": ("lowest", "highest"),
    "triangular": ("lowest", "mode", "highest"),
    "rayleigh": ("scale",),
    "lognormal": ("median", "geometric_sd"),
    "sample": (),
}
SPREADS = ("sd", "scale")
#: Where a distribution without an end is cut for worst case and root sum square: three standard deviations of a normal
#: one; common practice, no source.
THREE_SIGMA = 0.9973
LEAST_SHARE = 1e-6  # of the distribution that must be left by its cuts; fewer parts than that nobody sorts out


@dataclass(frozen=True)
class Distribution:
    """One figure over many cars.

    Parameters
    ----------
    kind : str
        One of `PARAMETERS`.
    parameters : tuple of float
        In the order of `PARAMETERS`, in the unit of what is drawn.
    lowest, highest : float
        Cuts; infinite for none.
    sample : tuple of float
        Sorted values, for ``sample``.

    Raises
    ------
    BadInput
        Limits reversed, a spread that is none, a sample without a value, cuts that leave nothing.

    Examples
    --------
    >>> float(Distribution("uniform", (0.0, 10.0)).at(0.25))
    2.5
    """

    kind: str
    parameters: tuple[float, ...] = ()
    lowest: float = -math.inf
    highest: float = math.inf
    sample: tuple[float, ...] = ()

    def __post_init__(self) -> None:
        if self.kind not in PARAMETERS:
            raise BadInput(Fault(f"{shown(self.kind)} is not known", key="distribution", allowed=", ".join(PARAMETERS)))
        if faults := self._faults():
            raise BadInput(faults)
        span = self._uncut(np.array([self.lowest, self.highest]))
        if self.kind != "fixed" and not span[1] - span[0] >= LEAST_SHARE:
            reason = f"nothing of this distribution lies within {self.lowest:g} .. {self.highest:g}"
            raise BadInput(Fault(reason, key="lowest", allowed="cuts that leave a part of it"))

    def _faults(self) -> list[Fault]:
        names = PARAMETERS[self.kind]
        if len(names) != len(self.parameters):
            return [Fault(f"takes {', '.join(names) or 'no figure'}", key=self.kind)]
        numbers = [*zip(names, self.parameters, strict=True), *(("file", value) for value in self.sample)]
        wrong = [(name, value) for name, value in numbers if not is_finite_number(value)]
        if wrong:
            return [Fault(f"{shown(value)} is not a finite number", key=name) for name, value in wrong[:MOST_FAULTS]]
        faults = []
        if not self.lowest < self.highest:
            faults.append(
                Fault(
                    f"limits are reversed: lowest {self.lowest:g}, highest {self.highest:g}",
                    key="lowest",
                    allowed="lowest below highest",
                )
            )
        given = dict(zip(names, self.parameters, strict=True))
        for name in SPREADS:
            if name in given and not given[name] > 0.0:
                faults.append(Fault(f"{given[name]:g} is no spread", key=name, allowed="above 0"))
        if self.kind == "lognormal" and not (given["median"] > 0.0 and given["geometric_sd"] > 1.0):
            faults.append(Fault("median or spread is none", key="lognormal", allowed="median > 0, geometric_sd > 1"))
        if self.kind == "triangular" and not given["lowest"] <= given["mode"] <= given["highest"]:
            faults.append(Fault("mode lies outside its ends", key="mode", allowed="lowest .. highest"))
        if self.kind == "sample" and not self.sample:
            faults.append(Fault("the sample holds no value", key="file", allowed="one number a line or more"))
        return faults

    def _uncut(self, value: Floats) -> Floats:
        """Share of the uncut distribution at or below a value."""
        x = np.asarray(value, dtype=float)
        given = self.parameters
        if self.kind == "normal":
            return np.asarray(ndtr((x - given[0]) / given[1]))
        if self.kind == "rayleigh":
            with np.errstate(over="ignore"):  # far beyond the spread lies all of it
                return -np.expm1(-0.5 * np.square(np.maximum(x, 0.0) / given[0]))
        if self.kind == "lognormal":
            with np.errstate(divide="ignore"):
                return np.asarray(ndtr(np.log(np.maximum(x, 0.0) / given[0]) / math.log(given[1])))
        if self.kind == "uniform":
            return np.clip((x - given[0]) / (given[1] - given[0]), 0.0, 1.0)
        if self.kind == "triangular":
            return _triangular(x, *given)
        if self.kind == "sample":
            low = np.searchsorted(self.sample, x, side="right") / len(self.sample)
            return np.asarray(np.where(x == self.lowest, np.searchsorted(self.sample, x) / len(self.sample), low))
        return (x >= given[0]).astype(float)

    def _inverse(self, share: Floats) -> Floats:
        given = self.parameters
        if self.kind == "normal":
            return np.asarray(given[0] + given[1] * ndtri(share))
        if self.kind == "rayleigh":
            return given[0] * np.sqrt(-2.0 * np.log1p(-share))
        if self.kind == "lognormal":
            return given[0] * np.exp(math.log(given[1]) * np.asarray(ndtri(share)))
        if self.kind == "uniform":
            return given[0] + (given[1] - given[0]) * share
        if self.kind == "triangular":
            return triangular(share, *given)
        if self.kind == "sample":
            at = np.minimum((share * len(self.sample)).astype(int), len(self.sample) - 1)
            return np.asarray(self.sample)[at]
        return np.full(np.shape(share), given[0])

    def at(self, share: ArrayLike) -> Floats:
        """Value below which a share of the cut distribution lies.

        Parameters
        ----------
        share : array_like
            Above 0, below 1.

        Returns
        -------
        ndarray
            In the unit of the parameters.

        Notes
        -----
        Inverse of the distribution function, by definition; a cut one is drawn between the shares of its cuts.
        """
        wanted = np.asarray(share, dtype=float)
        if not math.isinf(self.lowest) or not math.isinf(self.highest):
            low, high = self._uncut(np.array([self.lowest, self.highest]))
            wanted = low + wanted * (high - low)
            return np.clip(self._inverse(wanted), self.lowest, self.highest)
        return self._inverse(wanted)

    def below(self, value: ArrayLike) -> Floats:
        """Share of the cut distribution at or below a value. By definition; no unit."""
        low, high = self._uncut(np.array([self.lowest, self.highest]))
        x = np.clip(np.asarray(value, dtype=float), self.lowest, self.highest)
        return np.asarray((self._uncut(x) - low) / (high - low))

    @property
    def left(self) -> float:
        """Share of the uncut distribution that its cuts leave. No unit. By definition."""
        low, high = self._uncut(np.array([self.lowest, self.highest]))
        return float(high - low)

    @property
    def told(self) -> str:
        """Kind and figures in a few words."""
        figures = ", ".join(f"{n} {v:g}" for n, v in zip(PARAMETERS[self.kind], self.parameters, strict=True))
        return f"{self.kind} ({figures or f'{len(self.sample)} values'})"

    @property
    def limit(self) -> float:
        """Figure that stands for it in a worst case: its upper cut, else its 99.73 % point. In its own unit."""
        return self.highest if math.isfinite(self.highest) else float(self.at(THREE_SIGMA))

    @property
    def middle(self) -> float:
        """Median, in its own unit."""
        return float(self.at(0.5))


def _triangular(x: Floats, low: float, mode: float, high: float) -> Floats:
    x = np.clip(x, low, high)
    rise = np.square(x - low) / max((high - low) * (mode - low), 1e-300)
    fall = 1.0 - np.square(high - x) / max((high - low) * (high - mode), 1e-300)
    return np.where(x < mode, rise, fall)
