"""Readings with a foil in, held against what was foretold: as vectors, as TIR, or void."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from scipy.special import chdtri

from sim import turn
from sim.arrays import Floats
from sim.bench.after_indexing import COVERAGE
from sim.bench.foil import BARE_TURNS, alone_um, bare_apart_um
from sim.bench.foil_forecast import Expected, Read
from sim.errors import BadInput, Fault
from sim.files.dial_readings import Readings, refuse_slips
from sim.one_thread import one_thread

FEWEST = 8  # places a turn: fewer carry no first order beside a second and third; judgement
CIRCLE = float(chdtri(2, 1.0 - COVERAGE))  # squared radius that holds 80 % of a plane normal
OWN_ORDERS = 3  # of what hub and rotor run out by themselves; more than eight places could tell is noise
INSIDE, OUTSIDE, VOID = "inside", "outside", "void"


@dataclass(frozen=True, eq=False)
class Bench:
    """What was read, mounting by mounting, at common places.

    Parameters
    ----------
    angle_deg : ndarray, shape (places,)
    bare_um : ndarray, shape (bare turns, places)
        Outboard face without foil, mean taken off. [um]
    foil_um : ndarray, shape (trials, places)
        With the foil of each trial, mean taken off. [um]
    dial_um : float
        One division. [um]
    """

    angle_deg: Floats
    bare_um: Floats
    foil_um: Floats
    dial_um: float

    def read(self, seed: int) -> Read:
        """Say how it was read, for the forecast."""
        return Read(tuple(map(float, self.angle_deg)), self.dial_um, seed)


@dataclass(frozen=True, eq=False)
class Held:
    """One trial, foretold and read.

    Parameters
    ----------
    expected : Expected
    change_um : ndarray, shape (places,)
        Readings with the foil less the mean of the bare turns. [um]
    order_um : complex
        Its first order. [um, zero to peak]
    runout_um : float
        Its TIR. [um]
    mounted_um : float
        TIR of the turn with the foil, as the dial showed it. [um]
    mounted_band_um : tuple of float
        What that should have been, on top of the bare turns as read: 80 % band. [um]
    vector, runout : {"inside", "outside", "void"}
        Whether first order and TIR lie inside what was foretold.
    why : str
        Why it is void, or what else is said of it.
    """

    expected: Expected
    change_um: Floats
    order_um: complex
    runout_um: float
    mounted_um: float
    mounted_band_um: tuple[float, float]
    vector: str
    runout: str
    why: str

    @property
    def high_spot_deg(self) -> float:
        """Of the first order as read. [deg]. By definition."""
        return turn.high_spot_deg(self.order_um)


def bench_of(readings: Readings, trials: int, path: str | Path = "") -> Bench:
    """Take the turns of a table: mount 1 bare, then a mount for each trial, the last mount bare again.

    Parameters
    ----------
    readings : Readings
    trials : int
    path : str or Path
        Its file, for messages.

    Raises
    ------
    BadInput
        If mounts are missing or too many, read at other places than the first or at too few, or a reading slipped.
    """
    refuse_slips(readings, path, "mounted")
    wanted = list(range(1, trials + BARE_TURNS + 1))
    turns = {trace.mount: trace for trace in readings.of("mounted")}
    key = "mount"
    allowed = f"1 without foil, 2 .. {trials + 1} the trials in their order, {trials + 2} without foil again"
    if sorted(turns) != wanted:
        there = ", ".join(map(str, sorted(turns))) or "none"
        raise BadInput(Fault(f"mounted turns of mounts {there} are there", file=str(path), key=key, allowed=allowed))
    first = turns[1].angle_deg
    for number in wanted:
        trace = turns[number]
        if trace.studs_turned:
            raise BadInput(
                Fault(f"mount {number} is not on stud 1", file=str(path), key="studs_turned", allowed="0 in every row")
            )
        if trace.angle_deg.size != first.size or not np.allclose(trace.angle_deg, first):
            raise BadInput(
                Fault(f"mount {number} was read at other places than mount 1", file=str(path), key="angle_deg")
            )
    if first.size < FEWEST:
        raise BadInput(
            Fault(f"{first.size} places a turn", file=str(path), key="angle_deg", allowed=f"{FEWEST} or more")
        )
    level = np.stack([turns[number].value_um - turns[number].value_um.mean() for number in wanted])
    return Bench(first, level[[0, -1]], level[1:-1], readings.dial_um)


@one_thread
def hold(expected: Sequence[Expected], bench: Bench) -> tuple[Held, ...]:
    """Hold readings against a forecast that was made for their places.

    Parameters
    ----------
    expected : sequence of Expected
    bench : Bench

    Returns
    -------
    tuple of Held

    Notes
    -----
    [um]. First orders by least squares.

    A trial is void where it was not foretold to read above what dial and putting on again make by themselves, or
    where the bare turns differ by more than that; never because it reads little: then the forecast was wrong.
    """
    floor = alone_um(bench.dial_um, bench.angle_deg.size)
    inverse: Floats = np.asarray(np.linalg.pinv(turn.design_matrix(bench.angle_deg, 1)), dtype=float)
    apart = inverse @ (bench.bare_um[0] - bench.bare_um[-1])
    came_back = 2.0 * float(np.hypot(apart[1], apart[2])) <= bare_apart_um(bench.dial_um, bench.angle_deg.size)
    return tuple(
        _held(one, bench, row, (came_back, floor), inverse) for one, row in zip(expected, bench.foil_um, strict=True)
    )


def _held(one: Expected, bench: Bench, row: Floats, known: tuple[bool, float], inverse: Floats) -> Held:
    came_back, floor = known
    bare = bench.bare_um.mean(axis=0)
    change = row - bare
    fitted = inverse @ change
    order = complex(fitted[1], -fitted[2])
    runout = turn.tir(change)
    low, _, high = one.runout_um
    # Low orders of the bare turns only: their noise is in the draws already, twice of it would widen every TIR.
    own = turn.evaluate(turn.fit(bench.angle_deg, bare, OWN_ORDERS), np.radians(bench.angle_deg))
    band = np.quantile(np.ptp(own + one.sample_um, axis=1), ((1.0 - COVERAGE) / 2, (1.0 + COVERAGE) / 2))
    why = ""
    if not came_back:
        why = "the two bare turns differ by more than putting on again makes: clean, tighten and read them again"
    elif not one.tells:
        why = f"foretold to read no more than dial and putting on again make by themselves ({floor:.0f} µm)"
    vector = VOID if why else INSIDE if one.away(order) <= CIRCLE else OUTSIDE
    within = VOID if why else INSIDE if low <= runout <= high else OUTSIDE
    if not why and 2.0 * abs(order) <= floor:
        why = f"reads no more than dial and putting on again make ({floor:.0f} µm): is the foil still in place?"
    return Held(one, change, order, runout, turn.tir(row), (float(band[0]), float(band[1])), vector, within, why)
