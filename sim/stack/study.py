"""A study: a population, how many corners are drawn of it and how, and the levers whose worth is asked."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf

from sim.errors import BadInput, Fault
from sim.stack.gauge import Gauge
from sim.stack.population import Population
from sim.units import is_finite_number, is_whole, shown

MOST_SAMPLES = 100_000_000  # a day of one machine even as vectors; judgement
MOST_TORQUE_SD = 0.5  # of a tool that anyone would buy; judgement
POINTS = ("random", "sobol", "latin hypercube")


@dataclass(frozen=True)
class Lever:
    """Something that could be done in the plant or the workshop, and what it costs.

    Parameters
    ----------
    name : str
    price_per_car : float
        In the currency of `Prices`, without the parts sorted out.
    price_per_part_sorted_out : float or None
        What a part that is thrown away has cost, in the same currency; None: nobody said.
    key : str
        Key of which parts outside of ``lowest`` .. ``highest`` are sorted out; empty for none.
    lowest, highest : float or None
        In the unit of the key.
    stud_sd, tool_sd : float or None
        Standard deviation of the torque's factors from nut to nut and from tool to tool.
    cleaned, indexed : bool
        Every corner is cleaned, or indexed.
    source : str
    """

    name: str = "a lever"
    price_per_car: float = 0.0
    key: str = ""
    lowest: float | None = None
    highest: float | None = None
    stud_sd: float | None = None
    tool_sd: float | None = None
    cleaned: bool = False
    indexed: bool = False
    source: str = ""
    price_per_part_sorted_out: float | None = None

    def __post_init__(self) -> None:
        faults = [
            Fault(no_number(getattr(self, name)), key=name)
            for name in ("price_per_car", "price_per_part_sorted_out", "lowest", "highest", "stud_sd", "tool_sd")
            if getattr(self, name) is not None and not is_finite_number(getattr(self, name))
        ]
        faults += [
            Fault(f"{shown(getattr(self, name))} is neither true nor false", key=name)
            for name in ("cleaned", "indexed")
            if not isinstance(getattr(self, name), bool)
        ]
        if not faults:
            faults += [
                Fault("is below nought", key=name, allowed="0 or more")
                for name in ("price_per_car", "price_per_part_sorted_out")
                if (getattr(self, name) or 0.0) < 0.0
            ]
        if not faults:
            faults += [
                Fault(f"{getattr(self, name):g} is no spread of a factor{_per_cent(getattr(self, name))}", key=name,
                      allowed=f"above 0, up to {MOST_TORQUE_SD:g}: 0.03 is 3 %")
                for name in ("stud_sd", "tool_sd")
                if getattr(self, name) is not None and not 0.0 < getattr(self, name) <= MOST_TORQUE_SD
            ]  # fmt: skip
        if bool(self.key) != (self.lowest is not None or self.highest is not None):
            faults.append(Fault("a key goes with lowest or highest", key="key", allowed="both or neither"))
        if not faults and not _end(self.lowest, -inf) < _end(self.highest, inf):
            reason = f"limits are reversed: lowest {self.lowest:g}, highest {self.highest:g}"
            faults.append(Fault(reason, key="lowest", allowed="lowest below highest"))
        if self.price_per_part_sorted_out is not None and not self.key:
            faults.append(Fault("no part is sorted out", key="price_per_part_sorted_out", allowed="with a key"))
        if not (self.key or self.stud_sd or self.tool_sd or self.cleaned or self.indexed):
            allowed = "key with lowest or highest, stud_sd, tool_sd, cleaned, indexed"
            faults.append(Fault("does nothing", key="lever", allowed=allowed))
        if faults:
            raise BadInput(faults)


@dataclass(frozen=True)
class Prices:
    """What a corner that comes back costs.

    Parameters
    ----------
    currency : str
    claim : float
        One complaint, all costs together.
    corners_per_car : int
        Corners of this kind on one car.
    source : str
    """

    claim: float = 0.0
    currency: str = "EUR"
    corners_per_car: int = 2
    source: str = ""

    def __post_init__(self) -> None:
        if not is_finite_number(self.claim) or self.claim < 0.0:
            reason = f"{shown(self.claim)} is no price" if is_finite_number(self.claim) else no_number(self.claim)
            raise BadInput(Fault(reason, key="claim", allowed="0 or more"))
        if not is_whole(self.corners_per_car) or not 1 <= self.corners_per_car <= 4:
            raise BadInput(Fault(f"{shown(self.corners_per_car)} corners", key="corners_per_car", allowed="1 .. 4"))


@dataclass(frozen=True)
class Study:
    """What is asked of a population.

    Parameters
    ----------
    population : Population
    samples : int
        Corners drawn at the most.
    seed : int
    tolerance_um : float
        Drawing stops once mean, standard deviation and both 95 % ends are known to within this (JCGM 101, 7.9); 0: all
        are drawn.
    points : {"random", "sobol", "latin hypercube"}
    driven : bool
        As driven too.
    levers : tuple of Lever
    prices : Prices or None
    preset : {"fast", "standard", "fine"}
    gauge : Gauge
        Dial that corners are sorted by.
    """

    population: Population
    samples: int = 10_000
    seed: int = 1
    tolerance_um: float = 0.0
    points: str = "random"
    driven: bool = True
    levers: tuple[Lever, ...] = ()
    prices: Prices | None = None
    preset: str = "fast"
    gauge: Gauge = Gauge()

    def __post_init__(self) -> None:
        faults = []
        if not is_whole(self.samples) or not 1 <= self.samples <= MOST_SAMPLES:
            allowed = f"whole, 1 .. {MOST_SAMPLES}"
            faults.append(Fault(f"{shown(self.samples)} is no number of corners", key="samples", allowed=allowed))
        if not is_whole(self.seed) or not 0 <= self.seed < 2**63:
            faults.append(Fault(f"{shown(self.seed)} is no seed", key="seed", allowed="whole, 0 or more"))
        if self.points not in POINTS:
            faults.append(Fault(f"{shown(self.points)} is not known", key="points", allowed=", ".join(POINTS)))
        known = {one.key for one in self.population.spreads}
        for lever in self.levers:
            if lever.key and lever.key not in known:
                faults.append(Fault("does not vary", key=lever.key, allowed=", ".join(sorted(known))))
            if (lever.stud_sd and self.population.stud is None) or (lever.tool_sd and self.population.tool is None):
                faults.append(Fault("torque does not vary so", key=lever.name, allowed="[torque.stud], [torque.tool]"))
        if faults:
            raise BadInput(faults)


def no_number(value: object) -> str:
    """Reason for refusing what is no number, with what the likely slip is."""
    text = f"{shown(value)} is not a number"
    return f"{text}: numbers stand without a unit and without quotes" if isinstance(value, str) else text


def _per_cent(value: float) -> str:
    return "; was it given in per cent?" if 0.0 < value / 100.0 <= MOST_TORQUE_SD else ""


def _end(value: float | None, otherwise: float) -> float:
    return otherwise if value is None else value
