"""Turns that would fit the others had they been written otherwise: signs turned over, order reversed, another stud.

A whole turn that was written so is as smooth as a sound one, and nothing in it says so: only the others do. It is
weighed against all that makes sound turns part: dirt as found and dirt that cleaning left, something that stays with
the hub, a rotor that sits otherwise each time, a bearing that throws. Nothing is put right: it is read again.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import product

import numpy as np
from numpy.typing import NDArray

from sim.arrays import Complexes, Floats
from sim.bench.after_indexing import SMOOTH_UM, usual_sd
from sim.bench.bare_face import lean_of
from sim.bench.mountings import SCATTER_UM, orders_of
from sim.files.clean_turn import reading_sd, rounded_alike_um
from sim.files.dial_readings import Readings, Trace
from sim.files.lost_signs import with_signs
from sim.files.readings_rows import AGAIN, AS_FOUND, CLEAN_STATES
from sim.files.slip_odds import log_sum
from sim.one_thread import one_thread

TURNED_OVER, REVERSED, LATE, EARLY = "signs turned over", "the other way round", "a place late", "a place early"
ON_STUD, UNSIGNED = "on another stud", "minus signs left out"
#: Odds that one turn was written otherwise, and how they are shared. Judgement, 0.005 .. 0.05 of a turn.
ODDS = 0.02
SHARE = {TURNED_OVER: 0.25, REVERSED: 0.25, LATE: 0.07, EARLY: 0.07, ON_STUD: 0.2, UNSIGNED: 0.16}
# First orders before anything was read, standard deviation of a component: hub, rotor, and of each second order.
# Judgement, half to twice that. [um]
HUB_UM, ROTOR_UM, SECOND_UM = 10.0, 16.0, 4.0
# What makes sound turns part: (odds, standard deviation of a component of the first order). Judgement, each: dirt as
# found on hub and rotor; dirt that cleaning left on either; what stays with the hub and no bare face shows, a bent
# stud; another seat each time; a bearing that throws every turn. [1, um]
FOUND = ((0.4, 0.0, 0.0), (0.6, 22.0, 10.0))
LEFT = ((0.75, 0.0, 0.0), (0.15, 15.0, 0.0), (0.1, 0.0, 15.0))
STAYS = ((0.93, 0.0), (0.07, 18.0))
SEATS = ((0.85, 1.0), (0.15, 5.0))
THROWS = ((0.88, 0.0), (0.12, 10.0))
# One mounting that sat otherwise than all the others, on a grain or dirt that moved; odds of each, with standard
# deviations as above. Judgement. [1, um]
ODD_ONE = ((0.04, 15.0), (0.01, 45.0))
#: A share of the second order beside the first of dirt. Judgement.
SECOND_SHARE = 0.3
_MIXTURES = tuple(product(FOUND, LEFT, STAYS, SEATS, THROWS))
LOG_ODDS: Floats = np.log([np.prod([one[0] for one in mixture]) for mixture in _MIXTURES])
#: By mixture: on the hub what stays, dirt as found, dirt left; on the rotor dirt as found, dirt left; throw. [um]
SIZES_UM: Floats = np.array([(s[1], f[1], d[1], f[2], d[2], t[1]) for f, d, s, _, t in _MIXTURES])
SEATS_TIMES: Floats = np.array([seats[1] for *_, seats, _ in _MIXTURES])
#: Mixtures in which a slip explains what parts: where a seat or a bearing scatters besides it explains nothing.
EXPLAINED: NDArray[np.bool_] = (SEATS_TIMES == 1.0) & (SIZES_UM[:, 5] == 0.0)
#: Mixtures of sound turns with nothing between but dirt as found: while one of them has these odds, nothing parts.
PLAIN: NDArray[np.bool_] = (SIZES_UM[:, [0, 2, 4, 5]] == 0.0).all(axis=1) & (SEATS_TIMES == 1.0)
PLAIN_ODDS = 0.6
#: Fewer turns say nothing of each other; what is less likely is not named. Judgement.
LEAST_TURNS, NAMED = 2, 0.01
ORDERS = np.array([1, 2])


@dataclass(frozen=True)
class Way:
    """One turn as it would fit.

    Parameters
    ----------
    turn : Trace
    what : str
        One of the words of this module.
    studs_turned : int
        Stud pitches from stud 1 that would fit, counter-clockwise; of another stud alone.
    odds : float
        Probability that this turn was written otherwise, in whatever way; `what` is the likeliest.
    """

    turn: Trace
    what: str
    studs_turned: int
    odds: float


@dataclass(frozen=True, eq=False)
class _Row:
    """One turn as a figure: first and second order with the standard deviation of a component of each. [um]."""

    turn: Trace
    orders: Complexes
    sd_um: Floats
    pitch: int
    bare: bool


@lru_cache(maxsize=64)  # one table is asked several times on the way to one order
@one_thread
def otherwise(readings: Readings) -> tuple[Way, ...]:
    """Turns that may have been written otherwise, likeliest first, with their odds; those of hardly any are left out.

    Parameters
    ----------
    readings : Readings
        As they were entered, but for slips of single places.

    Returns
    -------
    tuple of Way

    Notes
    -----
    Bayes' rule over one turn or none of them written otherwise, complex normal densities of first and second orders
    (`sim.bench.mountings`, multi-step separation) under every mixture of what makes sound turns part; sizes and odds
    are judgement. Coverage: ``python -m tests.studies.whole_turn_slips``. [um]
    """
    rows = _rows(readings)
    if len(rows) < LEAST_TURNS:
        return ()
    value = np.array([one.orders for one in rows])
    pitch = np.array([one.pitch for one in rows])
    written = [(k, *way) for k, one in enumerate(rows) for way in _ways(one, readings)]
    values = np.repeat(value[None], len(written) + 1, axis=0)
    for at, (k, _, _, _, orders) in enumerate(written, 1):
        values[at, k] = orders
    logs = _log_density(rows, values, pitch[None], readings.studs)[0]
    tried = [(k, what, stud, share) for k, what, stud, share, _ in written]
    mounts = dict.fromkeys(one.turn.mount for one in rows if not one.bare)
    odd = [
        log_sum(_log_density(rows, value[None], pitch[None], readings.studs, (one, size))[0, 0]) + np.log(share)
        for one, (share, size) in product(mounts, ODD_ONE)
    ]
    none = float(log_sum(np.array([log_sum(logs[0]), *odd])))
    each = log_sum(logs[1:, EXPLAINED], axis=-1)
    every = log_sum(np.append(each + np.log([ODDS * share for *_, share in tried]), none))
    if np.exp(logs[0][PLAIN] - every).sum() < PLAIN_ODDS and (moved := list(_moved(rows, readings.studs))):
        pitches = np.array([then for *_, then in moved])
        density = _log_density(rows, value[None], pitches, readings.studs)[:, 0, EXPLAINED]
        each = np.append(each, log_sum(density, axis=-1))
        tried += [(k, what, stud, share) for k, what, stud, share, _ in moved]
    weights = each + np.log([ODDS * share for *_, share in tried])
    odds = np.exp(weights - log_sum(np.append(weights, none)))
    found = []
    for k, row in enumerate(rows):
        of_it = [(float(p), what, stud) for p, (at, what, stud, _) in zip(odds, tried, strict=True) if at == k]
        _, what, stud = max(of_it, key=lambda one: one[0])
        found.append(Way(row.turn, what, stud, sum(p for p, _, _ in of_it)))
    return tuple(sorted((one for one in found if one.odds > NAMED), key=lambda one: -one.odds))


def _rows(readings: Readings) -> list[_Row]:
    found = []
    for one in readings.traces:
        if one.kind == "mounted" and not one.in_part:
            orders, sd = orders_of(one, readings.step_um(one))
            alone = np.sqrt(np.maximum(sd[1:3] ** 2 - np.array(SCATTER_UM[1:3]) ** 2, 0.25))
            found.append(_Row(one, orders[1:3], alone, one.studs_turned, False))
        elif one.kind == "hub face" and not one.in_part and not (one.said and one.state == AS_FOUND):
            found += _bare(one, readings)
    return found


def _bare(one: Trace, readings: Readings) -> list[_Row]:
    """One turn of the bare face at the gauge radius; none where no radius is known."""
    gauge, at_hub = readings.gauge_radius_mm, readings.hub_face_radius_mm
    if gauge is None or at_hub is None:
        return []
    step, scale = readings.step_um(one), gauge / at_hub
    lean = lean_of(one.angle_deg, one.value_um, step, studs=readings.studs)
    usual = usual_sd(step) / reading_sd(step)
    sd = scale * float(np.linalg.norm([usual * lean.sd_um, SMOOTH_UM, rounded_alike_um(one.value_um, step)]))
    return [_Row(one, np.array([scale * complex(lean.orders[1]), 0.0]), np.array([sd, np.inf]), 0, True)]


def _ways(row: _Row, readings: Readings) -> Iterator[tuple[str, int, float, Complexes]]:
    """Every way in which a turn may have been written, its stud, its share of the odds, and its orders then."""
    step = np.exp(2j * np.pi / row.turn.angle_deg.size * ORDERS)
    changed: dict[str, Complexes] = {
        TURNED_OVER: -row.orders,
        REVERSED: np.conj(row.orders),
        LATE: row.orders * np.conj(step),
        EARLY: row.orders * step,
    }
    for what, orders in changed.items():
        yield what, row.pitch, SHARE[what], orders
    unsigned = _unsigned(row, readings)
    for orders in unsigned:
        yield UNSIGNED, row.pitch, SHARE[UNSIGNED] / len(unsigned), orders
    for pitches in range(1, readings.studs if row.bare else 0):
        back = np.exp(-2j * np.pi * pitches / readings.studs * ORDERS)
        yield ON_STUD, pitches, SHARE[ON_STUD] / (readings.studs - 1), row.orders * back


def _moved(rows: Sequence[_Row], studs: int) -> Iterator[tuple[int, str, int, float, NDArray[np.int_]]]:
    """Every other stud on which a mounting may have stood: its last turn, that stud, its share of the odds; all studs.

    The mounting that was read first says which stud is called the first.
    """
    last = {one.turn.mount: k for k, one in enumerate(rows) if not one.bare}
    for mount, k in list(last.items())[1:]:
        for pitches in range(1, studs):
            to = (rows[k].pitch + pitches) % studs
            then = [to if not one.bare and one.turn.mount == mount else one.pitch for one in rows]
            yield k, ON_STUD, to, SHARE[ON_STUD] / (studs - 1), np.array(then)


def _unsigned(row: _Row, readings: Readings) -> list[Complexes]:
    """Orders of a turn with the minus signs put back that it may have lost, on either side of nought."""
    step = readings.step_um(row.turn)
    signed = with_signs(row.turn.angle_deg, row.turn.value_um, step)
    if signed is None:
        return []
    found = []
    for value in (signed, -signed):
        if row.bare:
            lean = lean_of(row.turn.angle_deg, value, step, studs=readings.studs)
            gauge, at_hub = readings.gauge_radius_mm or 1.0, readings.hub_face_radius_mm or 1.0
            found.append(np.array([gauge / at_hub * complex(lean.orders[1]), 0.0]))
        else:
            turn = Trace("mounted", row.turn.mount, row.turn.studs_turned, row.turn.angle_deg, value)
            found.append(orders_of(turn, step)[0][1:3])
    return found


def _log_density(
    rows: Sequence[_Row], value: Complexes, pitch: NDArray[np.int_], studs: int, odd: tuple[int, float] | None = None
) -> Floats:
    """Logarithm of the density of turns by every mixture of what makes them part, its odds included.

    Parameters
    ----------
    rows : sequence of _Row
    value : ndarray of complex, shape (t, n, 2)
        Their first and second orders, as often as they are tried. [um]
    pitch : ndarray of int, shape (k, n)
        Their studs, as often.
    studs : int
    odd : (int, float), optional
        Mount that sat otherwise than all the others, and by how much. [1, um]

    Returns
    -------
    ndarray, shape (k, t, mixtures)
    """
    bare = np.array([one.bare for one in rows])
    sd = np.array([one.sd_um for one in rows])
    found = np.array([one.turn.state not in CLEAN_STATES for one in rows]) & ~bare
    over_dirt = np.array([one.turn.state != AGAIN for one in rows]) & ~bare
    mount = np.array([-1 if one.bare else one.turn.mount for one in rows])
    total = np.tile(LOG_ODDS, (len(pitch), len(value), 1))
    for order, sizes_um, share in ((1, (HUB_UM, ROTOR_UM), 1.0), (2, (SECOND_UM, SECOND_UM), SECOND_SHARE)):
        use = np.isfinite(sd[:, order - 1])
        here, dirty, left = (one[use].astype(float) for one in (~bare, found, over_dirt))
        pairs = np.array([np.outer(one, one) for one in (here, dirty, left)])
        same = pairs[0] * (mount[use][:, None] == mount[use])
        variance = (share * SIZES_UM) ** 2
        on_hub = np.tensordot(variance[:, :3], pairs, axes=1) + sizes_um[0] ** 2
        on_rotor = np.tensordot(variance[:, 3:5], pairs[1:], axes=1) + sizes_um[1] ** 2 * pairs[0]
        seated = (SCATTER_UM[order] * SEATS_TIMES[:, None, None]) ** 2 * same
        if odd is not None:
            seated = seated + (share * odd[1]) ** 2 * same * (mount[use] == odd[0])
        own = np.eye(len(here)) * (sd[use, order - 1] ** 2 + variance[:, 5:6])[:, None, :]
        turned = np.exp(2j * np.pi * order * pitch[:, use] / studs)
        turned = turned[:, :, None] * turned.conj()[:, None, :]
        spread = 2.0 * (on_hub * turned[:, None] + on_rotor + seated + own)
        read = value[:, use, order - 1]
        square = (np.linalg.inv(spread) @ read.T * read.conj().T).real.sum(axis=-2)
        total -= np.moveaxis(square, -1, 1) + np.linalg.slogdet(spread)[1][:, None]
    return total
