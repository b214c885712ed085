"""A road test weighed: which order the driver's words point to, and what is not a matter for this tool."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from sim.arrays import Floats
from sim.errors import BadInput, Fault
from sim.wear.judder import ORDERS, SPEED_SPREAD, Mode, felt_speed_km_h, response

#: Share of complaints that a speed fits none of the orders, whatever the speed. Judgement.
STRAY = 0.05


@dataclass(frozen=True)
class RoadTest:
    """What was noticed on the road; None = not asked.

    Parameters
    ----------
    only_braking : bool, optional
        True if it is felt under braking only.
    speed_km_h : float, optional
        Road speed at which it is felt most.
    felt_at : str, optional
        ``pedal``, ``wheel`` or ``seat``.
    state : str, optional
        ``cold``, ``hot`` or ``both``: when it is there.
    """

    only_braking: bool | None = None
    speed_km_h: float | None = None
    felt_at: str | None = None
    state: str | None = None


@dataclass(frozen=True)
class Weighed:
    """What a road test says about the orders.

    Parameters
    ----------
    share : tuple of float
        Probability of each of ``ORDERS``, given that thickness variation is the cause; sums to 1.
    ours : bool
        False where the words speak against thickness variation altogether.
    remarks : tuple of str
        In plain words, for the reader.
    """

    share: tuple[float, ...]
    ours: bool
    remarks: tuple[str, ...]


def _check(test: RoadTest) -> None:
    faults = []
    if test.felt_at not in (None, "pedal", "wheel", "seat"):
        faults.append(Fault(f"felt at {test.felt_at!r}", key="felt_at", allowed="pedal, wheel, seat"))
    if test.state not in (None, "cold", "hot", "both"):
        faults.append(Fault(f"state {test.state!r}", key="state", allowed="cold, hot, both"))
    if test.speed_km_h is not None and not 0.0 < test.speed_km_h <= 400.0:
        faults.append(Fault(f"speed {test.speed_km_h:g} km/h", key="speed_km_h", allowed="above 0, to 400"))
    if faults:
        raise BadInput(faults)


def weigh(test: RoadTest, torque_nm: Floats | None, mode: Mode, revolutions_per_km: float, axle: str = "") -> Weighed:
    """Weigh the orders by what was felt.

    The prior of each order is the torque that it would bring (all alike where no thickness is known); a speed weighs by
    its distance from the order's felt speed in proportion.

    Parameters
    ----------
    test : RoadTest
    torque_nm : ndarray, shape (orders,), optional
        Torque amplitudes expected or measured.
    mode : Mode
    revolutions_per_km : float
    axle : {"front", "rear", ""}
        Of the corner; empty where it is not known.

    Returns
    -------
    Weighed

    Raises
    ------
    BadInput
        For words or a speed that are not understood.

    Notes
    -----
    Speeds in km/h, torque in N m. Bayes' rule over orders; spread of a felt speed and share of strays are judgement.
    """
    _check(test)
    strength = np.ones(len(ORDERS)) if torque_nm is None else np.asarray(torque_nm, dtype=float)
    weight = strength / strength.sum() if strength.sum() > 0.0 else np.full(len(ORDERS), 1.0 / len(ORDERS))
    remarks: list[str] = []
    if test.speed_km_h is not None:
        away = [math.log(test.speed_km_h / felt_speed_km_h(n, mode.hz, revolutions_per_km)) for n in ORDERS]
        fit = np.exp(-0.5 * (np.array(away) / SPEED_SPREAD) ** 2)
        weight = weight * ((1.0 - STRAY) * fit + STRAY)
        if fit.max() < 0.1:
            hz = test.speed_km_h * revolutions_per_km / 3600.0
            close = ORDERS[int(np.argmax([float(response(n * hz, mode)) for n in ORDERS]))]
            remarks.append(
                f"No order meets the {mode.hz:g} Hz mode at {test.speed_km_h:g} km/h (order {close} comes nearest): "
                "another mode of the car, or another cause."
            )
    ours = test.only_braking is not False
    if not ours:
        remarks.append(
            "Felt without braking too: wheel balance, tyre, drive shaft or wheel bearing first; thickness variation "
            "of a rotor is felt under braking only."
        )
    remarks += _words(test, axle)
    share = weight / weight.sum()
    return Weighed(tuple(float(value) for value in share), ours, tuple(remarks))


def _words(test: RoadTest, axle: str) -> list[str]:
    remarks = []
    if test.state == "hot":
        remarks.append(
            "Only when hot: hot spots and heat coning of the rotor are not computed here; measure the thickness "
            "cold, and if it is even, look for heat (sticking caliper, glazed pads)."
        )
    if test.state == "cold":
        remarks.append(
            "Only when cold: a pad imprint or rust of a parked car fits better than wear. A parked car's mark often "
            "fades with use, an imprint that was burnt in hot stays and grows (common practice, no source): measure "
            "the thickness."
        )
    if test.felt_at == "seat":
        not_here = " So rather not this corner." if axle == "front" else ""
        remarks.append(f"Felt in the seat rather than the steering wheel: measure the rear rotors first.{not_here}")
    if test.felt_at == "wheel":
        not_here = " So rather not this corner: read the front." if axle == "rear" else ""
        told = "Felt in the steering wheel: the front rotors, more so where left and right are out of step."
        remarks.append(f"{told}{not_here}")
    if test.felt_at == "pedal":
        remarks.append("Felt in the pedal: the pressure varies; either axle can do that.")
    return remarks
