"""What each stud leaves of the runout, by the vectors of hub and rotor."""

from __future__ import annotations

import numpy as np

from sim.bench.after_indexing import MOUNT_SCATTER_UM
from sim.bench.told_by_mountings import Apart, ToldApart, Vector

# A high spot known to no better than that: no stud is then called the best. Judgement, 15 .. 35. [deg]
UNSURE_DEG = 20.0
# By what two mountings of one seat part, of a first order: 80 of 100 by less. [um TIR]
PUT_ON_AGAIN_UM = 1.2816 * 2.0 * np.sqrt(2.0) * MOUNT_SCATTER_UM
# A stud is offered, not ordered, for more than this share of what the move is unsure by. Judgement, 0.3 .. 0.7.
WORTH_OFFERING = 0.5


def humps_left_um(last: Apart, sure: bool = True) -> float:
    """Two humps that go with the rotor and that no stud takes off, however those of the hub lie against them.

    Parameters
    ----------
    last : Apart
    sure : bool
        Whether the least (80 %) is meant, and not what is expected.

    Returns
    -------
    float
        0 where none are told. [um TIR]

    Notes
    -----
    By definition: the sum of two vectors is no less than their difference.
    """
    rotor, hub = last.rotor.get(2), last.hub.get(2)
    if rotor is None or not rotor.told:
        return 0.0
    against = hub.runout_um if hub is not None and hub.told else 0.0
    return max(rotor.runout_um - against - (rotor.half_um if sure else 0.0), 0.0)


def shares_half_um(told: ToldApart, last: Apart) -> float:
    """Half-width (80 %) of what a stud leaves by the shares of hub and rotor, as independent (JCGM 100). [um]."""
    if 1 in last.hub:
        return float(np.hypot(last.hub[1].half_um, last.rotor[1].half_um))
    return 0.0 if told.bare is None else float(np.hypot(told.bare.half_um, last.sum[1].half_um))


def over_um(by_vectors: list[float], last: Apart) -> float:
    """What higher orders and chance add to the sum of first orders, on the studs that were read. [um TIR]."""
    return float(np.mean([read - by_vectors[at] for read, at in zip(last.counted_um, last.positions, strict=True)]))


def unsure_um(told: ToldApart, last: Apart, stud: int, limit_um: float) -> float | None:
    """Runout to expect on a stud that is a try; None where the hub's direction is known and it is to pass. [um TIR]."""
    on_hub, by_vectors = last.hub.get(1, told.bare), by_stud_um(told, last)
    if on_hub is None or by_vectors is None:
        return None
    half = on_hub.high_spot_half_deg
    expected = max(by_vectors[stud] + over_um(by_vectors, last), humps_left_um(last, sure=False))
    known = on_hub.told and half is not None and half <= UNSURE_DEG
    return None if known and expected <= limit_um else expected


def less_elsewhere(told: ToldApart, read_um: float) -> tuple[int, float, float] | None:
    """Find a stud that nobody tried and that may read less than the rotor does where it stands, to be offered.

    Parameters
    ----------
    told : ToldApart
    read_um : float
        What counts as read on the stud where it stands. [um TIR]

    Returns
    -------
    (int, float, float) or None
        Studs turned from stud 1, the runout to expect there and its half-width (80 %). [um TIR]

    Notes
    -----
    Less by more than `WORTH_OFFERING` of that half-width: shares and another mounting, as independent (JCGM 100).
    """
    last = told.states[-1]
    by_vectors = by_stud_um(told, last)
    untried = [position for position in range(told.studs) if position not in last.positions]
    if by_vectors is None or not untried:
        return None
    best = min(untried, key=lambda position: by_vectors[position])
    expected = max(by_vectors[best] + over_um(by_vectors, last), humps_left_um(last, sure=False))
    half = float(np.hypot(shares_half_um(told, last), PUT_ON_AGAIN_UM))
    return (best, expected, half) if read_um - expected > WORTH_OFFERING * half else None


def by_stud_um(told: ToldApart, last: Apart) -> list[float] | None:
    """First order that each stud leaves: of the shares, from one stud by the bare hub. [um TIR]."""
    if 1 in last.hub:
        return _left_um(*_with_bare(told, last), told.studs)
    if told.bare is None or 1 not in last.sum:
        return None
    on_hub = _first(told.bare)
    on_rotor = _first(last.sum[1]) - on_hub * complex(np.exp(2j * np.pi * last.positions[-1] / told.studs))
    return _left_um(on_hub, on_rotor, told.studs)


def _with_bare(told: ToldApart, last: Apart) -> tuple[complex, complex]:
    """First orders of hub and rotor, the bare face counted in where nothing lies between (JCGM 100). [um].

    A rotor's share of least squares is the mean trace less the hub's mean, so it moves with the hub's.
    """
    hub, rotor, bare = last.hub[1], _first(last.rotor[1]), told.bare
    if bare is None or told.beyond_face is None or told.beyond_face.told:
        return _first(hub), rotor
    weight = hub.half_um**2 / (hub.half_um**2 + bare.half_um**2)
    change = weight * (_first(bare) - _first(hub))
    turns = np.exp(2j * np.pi * np.array(last.positions) / told.studs)
    return _first(hub) + change, rotor - change * complex(turns.mean())


def _first(one: Vector) -> complex:
    """First order as a complex amplitude. [um]."""
    return complex(one.runout_um / 2.0 * np.exp(-1j * np.radians(one.high_spot_deg)))


def _left_um(on_hub: complex, on_rotor: complex, studs: int) -> list[float]:
    """First order that each stud position leaves. [um TIR]."""
    return [2.0 * abs(on_rotor + on_hub * np.exp(2j * np.pi * position / studs)) for position in range(studs)]
