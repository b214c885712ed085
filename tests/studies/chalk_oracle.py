"""The best that could be read from the same sweeps: an oracle that knows the population, scatter, dial and hand.

Drawn corners stand for what a corner may be; each sweep weighs them by its runout and its two marks and keeps those
that fit (sequential importance sampling), with dirt that moves and a rotor one hole off among what may have happened.
The rotor goes where a wrong end is least likely: further than 10 um from the best hole, or, counted three times, more
than 10 um worse on the car than it stood as found. It stays where another sweep is not worth 3 in 100 of that. It looks
one step ahead, so a cleverer one may do a little better; no limit of runout, no sending on.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim import turn
from sim.bench.chalk import Sweep
from tests.studies.index_residual import GAUGE_MM, HUB_MM, World

Complexes = NDArray[np.complex128]

POOL, MOVED, KEPT, JUDGED = 80_000, 24_000, 3_000, 300
POINTS = 60
ORDERS = np.arange(4)
WORSE_COUNTS, A_SWEEP = 3.0, 0.03
NEAR_UM = 10.0
# What the dial of `tests.studies.bench_tables` shows over the true runout, and how that scatters; a mark with its
# half hours. From drawn turns. [um], [deg]
SHOWN_MORE_UM, SHOWN_SD_UM, MARK_SD_DEG = 2.2, 4.6, 9.1


@dataclass(frozen=True)
class Trouble:
    """What happens at a mounting."""

    dirt_moves: float
    moved_um: float
    wrong_hole: float


def _lognormal(rng: np.random.Generator, size: tuple[float, float], count: int) -> Complexes:
    phase = np.exp(2j * np.pi * rng.random(count))
    drawn: Complexes = size[0] * np.exp(rng.normal(0.0, size[1], count)) * phase
    return drawn


def _scatter(rng: np.random.Generator, world: World, count: int) -> Complexes:
    if world.mount_tir_um:
        phase: Complexes = world.mount_tir_um / 2 * np.exp(2j * np.pi * rng.random(count))
        return phase
    drawn: Complexes = rng.normal(0.0, world.mount_um, (2, count)).T @ np.array([1.0, 1j])
    return drawn


def _marks(curves: np.ndarray) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    step = 360.0 / POINTS
    return np.ptp(curves, axis=1), curves.argmax(axis=1) * step, curves.argmin(axis=1) * step


def _off(deg: np.ndarray | float) -> np.ndarray:
    return np.asarray((deg + 180.0) % 360.0 - 180.0)


class Population:
    """Drawn corners of a world, as they stand on their first mounting."""

    def __init__(self, rng: np.random.Generator, world: World) -> None:
        self.world = world
        self.own, self.hub = (np.zeros((POOL, ORDERS.size), dtype=complex) for _ in "oh")
        for order, size in ((1, world.rotor), (2, world.second), (3, world.third)):
            self.own[:, order] = _lognormal(rng, size, POOL)
        self.hub[:, 1] = _lognormal(rng, world.hub, POOL) * GAUGE_MM / HUB_MM
        self.hub[:, 2] = world.hub_second * self.own[:, 2]
        self.own[:, 2] *= 1.0 - world.hub_second
        on = self.own + self.hub
        on[:, 1] += _scatter(rng, world, POOL)
        self.tir, self.high, self.low = _marks(turn.evaluate_rows(on, POINTS))


class Oracle:
    """What one corner may be after its sweeps, at the dial; begun by the first."""

    def __init__(
        self, rng: np.random.Generator, population: Population, trouble: Trouble, studs: int, first: Sweep
    ) -> None:
        self.rng, self.world, self.trouble, self.studs = rng, population.world, trouble, studs
        high, low = -30.0 * first.high_clock, -30.0 * first.low_clock
        between = _off((low - high) - (population.low - population.high))
        kept = self._kept(self._misfit(first.tir_um, population.tir) + (between / MARK_SD_DEG) ** 2 / 2)
        # Every place as likely: each corner is turned to where the marks stand, the hand's two errors shared out.
        hand = -between[kept] / 2 + rng.normal(0.0, MARK_SD_DEG / np.sqrt(2.0), KEPT)
        by = np.exp(-1j * np.outer(np.radians(high - hand - population.high[kept]), ORDERS))
        self.own, self.hub = population.own[kept] * by, population.hub[kept] * by
        self.stood = self.stands = population.tir[kept]
        self.really = np.zeros(KEPT, dtype=int)

    def _misfit(self, shown: float, true: np.ndarray) -> np.ndarray:
        return np.asarray(((shown - SHOWN_MORE_UM - true) / SHOWN_SD_UM) ** 2)

    def _kept(self, misfit: np.ndarray) -> np.ndarray:
        weight = np.exp(-(misfit - misfit.min()) / 2)
        return self.rng.choice(misfit.size, KEPT, p=weight / weight.sum())

    def _turned(self, own: Complexes, holes: np.ndarray) -> Complexes:
        turned: Complexes = own * np.exp(-2j * np.pi * np.outer(holes, ORDERS) / self.studs)
        return turned

    def read(self, sweep: Sweep) -> None:
        """Weigh what it may be by the sweep of a new mounting."""
        rng, trouble = self.rng, self.trouble
        which = rng.integers(0, KEPT, MOVED)
        own, hub, really = self.own[which], self.hub[which], np.full(MOVED, sweep.holes)
        if sweep.holes:  # as drawn: at its first hole nothing goes wrong
            wrong, moved = rng.random(MOVED) < trouble.wrong_hole, rng.random(MOVED) < trouble.dirt_moves
            really[wrong] = (really[wrong] + rng.choice([-1, 1], wrong.sum())) % self.studs
            hub[moved, 1] += rng.normal(0.0, trouble.moved_um, (int(moved.sum()), 2)) @ np.array([1.0, 1j])
        on = self._turned(own, really) + hub
        on[:, 1] += _scatter(rng, self.world, MOVED)
        high, low = -30.0 * sweep.high_clock, -30.0 * sweep.low_clock
        # Far off by their first order alone: not drawn as curves.
        near = np.abs(2 * np.abs(on[:, 1]) - sweep.tir_um + 5.0) < 35.0
        near &= (sweep.tir_um < 30.0) | (np.abs(_off(high + _off(low - high - 180.0) / 2 + _deg(on[:, 1]))) < 70.0)
        there = np.flatnonzero(near) if near.sum() > 50 else np.arange(MOVED)
        tir, at_high, at_low = _marks(turn.evaluate_rows(on[there], POINTS))
        hand = (_off(high - at_high) ** 2 + _off(low - at_low) ** 2) / MARK_SD_DEG**2
        kept = self._kept(self._misfit(sweep.tir_um, tir) + hand)
        from_ = there[kept]
        self.own, self.hub, self.really = own[from_], hub[from_], really[from_]
        self.stood, self.stands = self.stood[which[from_]], tir[kept]

    def next(self) -> int | None:
        """Hole to go to, None where it stays."""
        own, hub, stood = self.own[:JUDGED], self.hub[:JUDGED], self.stood[:JUDGED]
        left, wrong = [], []
        for hole in range(self.studs):
            on = self._turned(own, np.full(JUDGED, hole)) + hub
            left.append(np.ptp(turn.evaluate_rows(on, POINTS), axis=1))
            on[:, 1] += _scatter(self.rng, self.world, JUDGED)
            wrong.append(np.mean(np.ptp(turn.evaluate_rows(on, POINTS), axis=1) - stood > NEAR_UM))
        of_hole = np.array(left)
        over = of_hole - of_hole.min(axis=0) > NEAR_UM
        here = np.mean(over[self.really[:JUDGED], np.arange(JUDGED)])
        here += WORSE_COUNTS * np.mean(self.stands[:JUDGED] - stood > NEAR_UM)
        there = over.mean(axis=1) + WORSE_COUNTS * np.array(wrong)
        best = int(there.argmin())
        return best if there[best] + A_SWEEP < here else None


def _deg(vector: Complexes) -> np.ndarray:
    return np.degrees(np.angle(vector))
