"""What is held likely before a reading is taken: every figure a judgement with its range, every figure may be changed.

A cause is always there a little (``usual``: what a healthy part has) and sometimes a lot (``present``, with the odds
that stand beside it). Sizes are standard deviations of one component of an order: a normal order has a TIR of
about 2.5 times that.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Any

from sim.causes import names
from sim.errors import BadInput, Fault
from sim.units import is_finite_number, shown


@dataclass(frozen=True)
class Prior:
    """One cause before a reading is taken.

    Parameters
    ----------
    odds : float
        Probability that it is there in more than the usual size, 0 .. 0.9.
    usual_um, present_um : float
        Standard deviation of a component of its first order (warp, spigot: second) at the gauge. [um]
    """

    odds: float
    usual_um: float
    present_um: float


@dataclass(frozen=True)
class Priors:
    """Everything that the ranking assumes; ``reasons`` says where each figure comes from.

    Parameters
    ----------
    hub_face_runout, rotors_own_runout, spigot, warp, worn_in_dtv, dtv_from_new : Prior
    uneven_torque : Prior
        Sizes are clamp lost at a stud, as a share, not um.
    dirt_on_the_hub, dirt_on_the_rotor, pad_imprint, parked_car_rust : float
        Odds.
    poorly_cleaned : float
        Odds that cleaning leaves some of the dirt that was there.
    share_that_stays : tuple of float
        Least and largest share of its height that then stays.
    counted_the_other_way, misplaced : float
        Odds that all stud positions were counted the other way round; that a trace was read the other way round or its
        mounting is on another stud than written.
    dirt_on_both : float
        Odds that dirt lies on the rotor's seat as well where it lies on the hub.
    dirt_that_falls_off : float
        Odds that dirt is gone once the rotor was taken off, nothing cleaned.
    dirt_that_came_in : float
        Odds that dirt lies on the hub after cleaning that did not before.
    something_else : float
        Odds of what no cause in the list makes: humps on the hub, two or three a turn, that no brush takes away.
    dirt_height_um : tuple of float
        Median, and factor that holds two thirds of heights to either side. [um]
    imprint_um : tuple of float
        Median height of a pad's mark (of rust: height or depth), and the same factor. [um]
    mount_scatter_um : tuple of float
        Random part of putting the rotor on, standard deviation of a component of orders 1 .. 3. [um]
    """

    hub_face_runout: Prior = Prior(0.18, 4.0, 28.0)
    rotors_own_runout: Prior = Prior(0.25, 4.0, 25.0)
    spigot: Prior = Prior(0.12, 0.02, 9.0)
    uneven_torque: Prior = Prior(0.07, 0.04, 0.45)
    warp: Prior = Prior(0.12, 1.5, 12.0)
    worn_in_dtv: Prior = Prior(0.2, 0.6, 8.0)
    dtv_from_new: Prior = Prior(0.08, 1.2, 7.0)
    dirt_on_the_hub: float = 0.35
    dirt_on_the_rotor: float = 0.08
    pad_imprint: float = 0.05
    parked_car_rust: float = 0.05
    poorly_cleaned: float = 0.2
    share_that_stays: tuple[float, float] = (0.2, 1.0)
    dirt_on_both: float = 0.07
    dirt_that_falls_off: float = 0.04
    dirt_that_came_in: float = 0.03
    something_else: float = 0.02
    counted_the_other_way: float = 0.03
    misplaced: float = 0.01
    dirt_height_um: tuple[float, float] = (60.0, 1.9)
    imprint_um: tuple[float, float] = (15.0, 1.8)
    mount_scatter_um: tuple[float, float, float] = (3.0, 1.0, 0.7)

    def __post_init__(self) -> None:
        faults = [fault for one in fields(self) for fault in _faults(one.name, getattr(self, one.name))]
        if faults:
            raise BadInput(faults)

    def of(self, cause: str) -> Prior:
        """Prior of a Gaussian cause, by its name."""
        found: Prior = getattr(self, KEY_OF[cause])
        return found

    def odds(self, cause: str) -> float:
        """Odds of any cause, by its name."""
        found = getattr(self, KEY_OF[cause])
        return found.odds if isinstance(found, Prior) else float(found)


KEY_OF = {cause: cause.lower().replace("'", "").replace("-", "_").replace(" ", "_") for cause in names.CAUSES}
REASONS: Mapping[str, str] = {
    "hub_face_runout": "judgement, odds 0.05 .. 0.3; most hub faces meet 30 µm, common practice, no source",
    "rotors_own_runout": "judgement, odds 0.1 .. 0.4",
    "spigot": "judgement, odds 0.05 .. 0.25; scale wedged on the spigot bows the hat, second order mostly",
    "uneven_torque": "judgement, odds 0.02 .. 0.2, as it seldom shakes alone; what a stud lost of its pull",
    "warp": "judgement, odds 0.05 .. 0.2; two humps",
    "worn_in_dtv": "judgement, odds 0.1 .. 0.4; wear of each face, a used rotor's is usually 0.3 .. 1.5",
    "dtv_from_new": "judgement, odds 0.02 .. 0.15; new rotors usually vary by 2 .. 5 µm",
    "dirt_on_the_hub": "judgement, odds 0.2 .. 0.6",
    "dirt_on_the_rotor": "judgement, odds 0.03 .. 0.2",
    "pad_imprint": "judgement, odds 0.02 .. 0.15",
    "parked_car_rust": "judgement, odds 0.02 .. 0.15",
    "poorly_cleaned": "judgement, odds 0.05 .. 0.4: round the studs a brush does not reach well",
    "share_that_stays": "judgement, of the height: 0.1 .. 0.5 to 1, which is dirt that was not touched",
    "dirt_on_both": "judgement, odds 0.05 .. 0.5: rust grows on both faces of a joint",
    "dirt_that_falls_off": "judgement, odds 0.02 .. 0.2: a flake sticks to the part that comes off, or drops",
    "dirt_that_came_in": "judgement, odds 0.005 .. 0.1: a flake off the spigot or the wheel, rotor put on",
    "something_else": "judgement, odds 0.005 .. 0.05: humps on the hub that no cause in the list makes",
    "counted_the_other_way": "judgement, odds 0.01 .. 0.1: seen from inside, or on from the wrong stud",
    "misplaced": "judgement, odds 0.003 .. 0.03, of each trace",
    "dirt_height_um": "judgement, median 40 .. 90 µm; first-year rust, ISO 9223, second-hand",
    "imprint_um": "judgement, median 8 .. 30 µm: what is felt",
    "mount_scatter_um": "judgement, first order 1 .. 6 µm",
}


def _faults(name: str, value: Any) -> list[Fault]:
    """Everything that is wrong with one figure."""
    if isinstance(value, Prior):
        fraction = name == "uneven_torque"
        most = 1.0 if fraction else 500.0
        checks = ((value.odds, 0.0, 0.9), (value.usual_um, 1e-3, most), (value.present_um, 1e-3, most))
        faults = [f for one, low, high in checks for f in _range(name, one, low, high)]
        if not faults and value.present_um <= value.usual_um:
            faults.append(Fault("is no larger when present than usually", key=name, allowed="present above usual"))
        return faults
    if isinstance(value, tuple):
        if name == "share_that_stays":
            return _shares(name, value)
        many = 3 if name == "mount_scatter_um" else 2
        if len(value) != many:
            return [Fault(f"{shown(value)} is no {many} numbers", key=name, allowed=f"{many} numbers")]
        bounds = [(0.05, 50.0)] * 3 if many == 3 else [(1.0, 500.0), (1.05, 5.0)]
        return [f for one, (low, high) in zip(value, bounds, strict=True) for f in _range(name, one, low, high)]
    return _range(name, value, 0.0, 0.9)


def _shares(name: str, value: tuple[Any, ...]) -> list[Fault]:
    faults = [f for one in value for f in _range(name, one, 0.1, 1.0)]
    if not faults and (len(value) != 2 or value[1] - value[0] < 0.1):
        faults.append(Fault("is no range", key=name, allowed="least, largest; 0.1 apart or more, in 0.1 .. 1"))
    return faults


def _range(name: str, value: Any, low: float, high: float) -> list[Fault]:
    if is_finite_number(value) and low <= value <= high:
        return []
    return [Fault(f"{shown(value)} is out of range or no number", key=name, allowed=f"{low:g} .. {high:g}")]
