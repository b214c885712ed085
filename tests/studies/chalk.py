"""What two sweeps and a chalk mark are worth: how near the best hole a technician ends who does as told.

``python -m tests.studies.chalk`` writes ``chalk.md`` beside this file. Corners come from the worlds of
`tests.studies.index_residual` (log-normal shares of hub and rotor, higher orders, scatter of every mounting), which the
method does not know. A sweep is a whole turn past the dial with its noise and errors, highest less lowest written in
whole or half divisions; the mark stands off the crest by what the hand does and is read to the half hour. In some
corners dirt moves at a mounting, in some the rotor is put on one hole off. The answer is followed to its end, every
confirming sweep read. What is left, and the best hole, are without scatter of the mounting and of the corner as it is
in the end, dirt that moved with it; whoever is sent to twelve places is no further followed. Worse than as found a
corner ends by dirt that moved, by mountings that fall out otherwise, or by two readings that tell no better; how often
the last sweep showed over 10 µm more than the first stands beside it.
"""

from __future__ import annotations

import sys
import time
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from sim import turn
from sim.bench.chalk import (
    AGAIN,
    BACK,
    CONFIRM,
    ENOUGH,
    FIRST,
    NEITHER,
    PLACES,
    ROTOR,
    STUD,
    TRY,
    Sweep,
    answer,
)
from tests.studies.bench_tables import written
from tests.studies.index_residual import MATCHED, SHIFTED, World, _scatter, parts_of

SEED = 83_000
HAND_DEG = 8.0  # a chalk mark off the crest, standard deviation
DIRT_MOVES, WRONG_HOLE = 0.05, 0.02
MOVED_UM = 12.0  # what moving dirt does to the hub's share, standard deviation of a component
NEAR_UM = 10.0
DENSE = np.arange(180) * 2.0


@dataclass(frozen=True)
class Followed:
    """One corner, followed to the end. [um TIR]."""

    left: float
    best: float
    before: float
    sweeps: int
    bands: tuple[tuple[float, float, float], ...]  # what was said and what the confirming sweep showed
    stays: str
    hub_larger: bool
    shown_more: float  # last sweep less the first
    end: str  # what it ended in


class Corner:
    """A drawn corner at the dial; its hub's share changes where dirt moves."""

    def __init__(self, rng: np.random.Generator, world: World, trouble: bool) -> None:
        self.rng, self.world, self.trouble = rng, world, trouble
        self.studs = int(rng.choice(world.studs))
        self.own, self.hub = parts_of(rng, world)
        self.noise = rng.uniform(1.0, 4.0)
        self.on = np.zeros(DENSE.size)  # the curve of the mounting that is on

    def orders(self, holes: int) -> np.ndarray:
        # In the hub's frame the rotor's curve is turned on; angles counter-clockwise.
        return self.hub + self.own * np.exp(-2j * np.pi * np.arange(6) * holes / self.studs)

    def left_um(self, holes: int) -> float:
        return turn.tir(turn.trace(self.orders(holes)))

    def swept(self, holes: int) -> Sweep:
        """Put it on at a hole and sweep."""
        rng, really = self.rng, holes
        if self.trouble and holes and rng.random() < WRONG_HOLE:
            really = (holes + int(rng.choice([-1, 1]))) % self.studs
        if self.trouble and holes and rng.random() < DIRT_MOVES:
            self.hub[1] += complex(*rng.normal(0.0, MOVED_UM, 2))
        mounted = self.orders(really)
        mounted[1] += _scatter(rng, self.world)
        self.on = turn.evaluate(mounted, np.radians(DENSE))
        return self.read(holes)

    def read(self, holes: int) -> Sweep:
        """Sweep what is on."""
        rng, curve = self.rng, self.on
        # A hand that turns slowly sees each place settle: the needle's own scatter averages out over a few degrees.
        shown = written(rng, curve + np.repeat(rng.normal(0.0, self.noise, DENSE.size // 6), 6))
        marks = DENSE[[int(curve.argmax()), int(curve.argmin())]] + rng.normal(0.0, HAND_DEG, 2)
        clock = np.round(-marks / 15.0) * 0.5 % 12.0
        if clock[0] == clock[1]:
            clock[1] = (clock[1] + 0.5) % 12.0
        return Sweep(holes, max(float(np.ptp(shown)), 5.0), *map(float, clock))


def follow(rng: np.random.Generator, world: World, limit_um: float, trouble: bool = True) -> Followed:
    """Draw a corner and do as told until the answer orders no more."""
    corner = Corner(rng, world, trouble)
    before = corner.left_um(0)
    sweeps = [corner.swept(0)]
    first = sweeps[0].tir_um
    bands, stays, thrown_away = [], "", 0
    while True:
        told = answer(corner.studs, sweeps, limit_um)
        if told.stays_with in (STUD, ROTOR, NEITHER) and not stays:
            stays = told.stays_with
        if told.do == CONFIRM:
            sweeps.append(corner.read(told.hole))
        elif told.do in (FIRST, TRY, BACK):
            sweeps.append(corner.swept(told.hole))
            if told.do == TRY:
                one = told.at[told.hole]
                bands.append((one.low_um, one.high_um, sweeps[-1].tir_um))
        elif told.do == AGAIN and not thrown_away:
            thrown_away, sweeps = len(sweeps), [corner.swept(0)]
        else:
            break
    return Followed(
        left=corner.left_um(told.hole),
        best=min(corner.left_um(k) for k in range(corner.studs)),
        before=before,
        sweeps=thrown_away + len(sweeps),
        bands=tuple(bands),
        stays=stays,
        hub_larger=bool(abs(corner.hub[1]) > abs(corner.own[1])),
        shown_more=sweeps[-1].tir_um - first,
        end=told.do,
    )


HEAD = (
    "| corners | n | to twelve places | within 10 µm of the best hole | worse by over 10 µm | and so shown | "
    "as found → left, median [µm] | sweeps | band held | called | called rightly | neither |",
    "|---|---|---|---|---|---|---|---|---|---|---|---|",
)


def row(name: str, world: World, number: int, seed: int, limit_um: float = 0.0, trouble: bool = True) -> str:
    """One line of the table."""
    rng = np.random.default_rng(seed)
    every = [follow(rng, world, limit_um, trouble) for _ in range(number)]
    drawn = [each for each in every if each.end != PLACES]
    left, best, before, more = np.array([(each.left, each.best, each.before, each.shown_more) for each in drawn]).T
    there = np.array([each.end not in (AGAIN, ENOUGH) for each in drawn])  # left where it was swept last
    said = [band for each in drawn for band in each.bands]
    held = np.mean([low - 0.5 <= shown <= high + 0.5 for low, high, shown in said])
    calls = [each for each in drawn if each.stays in (STUD, ROTOR)]
    right = np.mean([(each.stays == STUD) == each.hub_larger for each in calls])
    neither = np.mean([each.stays == NEITHER for each in drawn])
    count = Counter(each.sweeps for each in drawn)
    middle = sum(k * n for k, n in count.items()) / len(drawn)
    return (
        f"| {name} | {number} | {1 - len(drawn) / number:.1%} | {np.mean(left - best <= NEAR_UM):.1%} | "
        f"{np.mean(left - before > NEAR_UM):.2%} | "
        f"{np.mean(there & (more > NEAR_UM)):.2%} | "
        f"{np.median(before):.0f} → {np.median(left):.0f} | {middle:.1f} | {held:.1%} of {len(said)} | "
        f"{len(calls) / len(drawn):.0%} | {right:.1%} | {neither:.1%} |"
    )


def study(number: int) -> Iterator[str]:
    """The table as text, as far as it is, after every line."""
    began = time.process_time()
    lines = [*HEAD]
    for at, world in enumerate((MATCHED, *SHIFTED)):
        if world.name.startswith(("lips", "eight", "no slips")):
            continue  # of tables of twelve
        lines.append(row(world.name, world, number, SEED + at))
        yield _page(lines, began)
    lines.append(row("matched, nothing moves, no hole missed", MATCHED, number, SEED + 50, trouble=False))
    lines.append(row("matched, stopped at a limit of 50 µm", MATCHED, number, SEED + 51, limit_um=50.0))
    yield _page(lines, began)


def _page(lines: list[str], began: float) -> str:
    head = (
        "# Two sweeps and a chalk mark\n\nMade by `python -m tests.studies.chalk`. A mark stands off the crest by "
        f"{HAND_DEG:g} degrees (standard deviation) and is read to the half hour; at {DIRT_MOVES:.0%} of mountings "
        f"dirt moves, {WRONG_HOLE:.0%} are one hole off. The band is that of the confirming sweep, 80 %; *called* is "
        "that the mark stayed with the stud or went with the rotor, *rightly* that this share is the larger. *To "
        "twelve places*: sent on because the marks show humps, followed no further and not counted beside it. *Worse*: "
        "by the truth; *and so shown*: the last sweep, where it is left, showed over 10 µm more than the first.\n"
    )
    return "\n".join([head, *lines, "", f"{(time.process_time() - began) / 60:.1f} CPU minutes.", ""])


if __name__ == "__main__":
    for page in study(int(sys.argv[1]) if len(sys.argv) > 1 else 2000):
        Path(__file__).with_suffix(".md").write_text(page, encoding="utf-8")
        print(page.splitlines()[-3], file=sys.stderr, flush=True)
