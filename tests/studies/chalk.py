"""What two sweeps and a chalk mark are worth: how near the best hole a technician ends who does as told.

``python -m tests.studies.chalk`` writes ``chalk.md`` beside this file. Corners come from the worlds of
`tests.studies.index_residual` (log-normal shares of hub and rotor, higher orders, scatter of every mounting), which the
method does not know. A sweep is a whole turn past the dial with its noise and errors, highest less lowest written in
whole or half divisions; the mark stands off the crest by what the hand does and is read to the half hour. In some
corners dirt moves at a mounting, in some the rotor is put on one hole off. The answer is followed to its end, every
confirming sweep read. The best hole is without scatter of the mounting and of the corner as it is in the end, dirt that
moved with it. Worse is counted twice: as it stands on the car, this mounting's scatter in it, against as it stood when
found; and by the hole alone, without either scatter. Whoever is sent to twelve places, or twice to clean and read
again, is no further followed. Beside ours stands an oracle (`tests.studies.chalk_oracle`).
"""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from sim import turn
from sim.bench.chalk import (
    AGAIN,
    BACK,
    CONFIRM,
    ENOUGH,
    FIRST,
    MOST_SWEEPS,
    NEITHER,
    PLACES,
    ROTOR,
    SEAT,
    STUD,
    TRY,
    Sweep,
    answer,
    second_hole,
)
from tests.studies.bench_tables import written
from tests.studies.chalk_oracle import Oracle, Population, Trouble
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

    left: float  # of the hole, as the next two
    best: float
    before: float
    stood: float  # on the car, as found
    stands: float  # on the car, in the end
    moved: bool  # dirt did
    hub_larger: bool
    sweeps: int
    bands: tuple[tuple[float, float, float], ...] = ()  # what was said and what the confirming sweep showed
    stays: str = ""
    end: str = ""  # what it ended in


class Corner:
    """A drawn corner at the dial; its hub's share changes where dirt moves."""

    def __init__(self, rng: np.random.Generator, world: World, trouble: bool) -> None:
        self.rng, self.world, self.trouble = rng, world, trouble
        self.studs = int(rng.choice(world.studs))
        self.own, self.hub = parts_of(rng, world)
        self.noise = rng.uniform(1.0, 4.0)
        self.on = np.zeros(DENSE.size)  # the curve of the mounting that is on
        self.really = 0  # its hole
        self.moved = False

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
            self.moved = True
        self.really = really
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
    stood = float(np.ptp(corner.on))
    bands, stays, thrown_away = [], "", 0
    while True:
        told = answer(corner.studs, sweeps, limit_um)
        if told.stays_with in (STUD, ROTOR, NEITHER) and not stays:
            stays = told.stays_with
        if told.do == CONFIRM:
            sweeps.append(corner.read(told.hole))
        elif told.do in (FIRST, TRY, BACK, SEAT):
            sweeps.append(corner.swept(told.hole))
            if told.do == TRY:
                one = told.at[told.hole]
                bands.append((one.low_um, one.high_um, sweeps[-1].tir_um))
        elif told.do == AGAIN and not thrown_away:
            thrown_away, sweeps = len(sweeps), [corner.swept(0)]
        else:
            break
    if told.do == ENOUGH and told.hole != sweeps[-1].holes:
        corner.swept(told.hole)  # put there, no sweep is left
    return replace(
        _ended(corner, before, stood, thrown_away + len(sweeps)), bands=tuple(bands), stays=stays, end=told.do
    )


def _ended(corner: Corner, before_um: float, stood_um: float, sweeps: int) -> Followed:
    """What a corner came to, whoever led it there; what was said on the way is left out."""
    return Followed(
        left=corner.left_um(corner.really),
        best=min(corner.left_um(k) for k in range(corner.studs)),
        before=before_um,
        stood=stood_um,
        stands=float(np.ptp(corner.on)),
        moved=corner.moved,
        hub_larger=bool(abs(corner.hub[1]) > abs(corner.own[1])),
        sweeps=sweeps,
    )


HEAD = (
    "| corners | n | sent on | within 10 µm of the best hole | worse by over 10 µm on the car | dirt moved in | "
    "by the hole alone | no hole is better | as found → left, median [µm] | sweeps | most | band held | called | "
    "called rightly | neither |",
    "|---|---|---|---|---|---|---|---|---|---|---|---|---|---|---|",
)


def row(name: str, world: World, number: int, seed: int, limit_um: float = 0.0, trouble: bool = True) -> str:
    """One line of the table."""
    rng = np.random.default_rng(seed)
    every = [follow(rng, world, limit_um, trouble) for _ in range(number)]
    drawn = [each for each in every if each.end not in (PLACES, AGAIN)]
    said = [band for each in drawn for band in each.bands]
    held = np.mean([low - 0.5 <= shown <= high + 0.5 for low, high, shown in said])
    calls = [each for each in drawn if each.stays in (STUD, ROTOR)]
    right = np.mean([(each.stays == STUD) == each.hub_larger for each in calls])
    neither = np.mean([each.stays == NEITHER for each in drawn])
    before, left = np.array([(each.before, each.left) for each in drawn]).T
    return (
        f"| {name} | {number} | {1 - len(drawn) / number:.1%} | {_ends(drawn)} | "
        f"{np.median(before):.0f} → {np.median(left):.0f} | {np.mean([each.sweeps for each in drawn]):.1f} | "
        f"{max(each.sweeps for each in drawn)} | {held:.1%} of {len(said)} | "
        f"{len(calls) / len(drawn):.0%} | {right:.1%} | {neither:.1%} |"
    )


def _ends(drawn: Sequence[Followed]) -> str:
    """Cells of how corners ended, the same for the method and for the oracle."""
    left, best, before, stood, stands = np.array(
        [(each.left, each.best, each.before, each.stood, each.stands) for each in drawn]
    ).T
    worse = stands - stood > NEAR_UM
    return (
        f"{np.mean(left - best <= NEAR_UM):.1%} | {np.mean(worse):.2%} | "
        f"{np.mean(worse & [each.moved for each in drawn]):.2%} | {np.mean(left - before > NEAR_UM):.2%} | "
        f"{np.mean(best - before > NEAR_UM):.2%}"
    )


ORACLE_HEAD = (
    "| corners | n | within 10 µm of the best hole | worse by over 10 µm on the car | dirt moved in | "
    "by the hole alone | no hole is better | sweeps |",
    "|---|---|---|---|---|---|---|---|",
)


def follow_oracle(rng: np.random.Generator, population: Population, trouble: bool) -> Followed:
    """Draw a corner as `follow` does and go where the oracle goes."""
    corner = Corner(rng, population.world, trouble)
    before, first = corner.left_um(0), corner.swept(0)
    stood, count, hole = float(np.ptp(corner.on)), 1, second_hole(corner.studs)
    happens = Trouble(DIRT_MOVES, MOVED_UM, WRONG_HOLE) if trouble else Trouble(0.0, 0.0, 0.0)
    oracle = Oracle(rng, population, happens, corner.studs, first)
    while hole is not None and count < MOST_SWEEPS:
        oracle.read(corner.swept(hole))
        count, hole = count + 1, oracle.next()
    return _ended(corner, before, stood, count)


def oracle_row(name: str, world: World, number: int, seed: int, trouble: bool = True) -> str:
    """One line of the oracle's table."""
    rng = np.random.default_rng(seed)
    population = Population(rng, world)
    drawn = [follow_oracle(rng, population, trouble) for _ in range(number)]
    return f"| {name} | {number} | {_ends(drawn)} | {np.mean([each.sweeps for each in drawn]):.1f} |"


def study(number: int) -> Iterator[str]:
    """The tables as text, as far as they are, after every line."""
    began = time.process_time()
    worlds = [world for world in (MATCHED, *SHIFTED) if not world.name.startswith(("lips", "eight", "no slips"))]
    lines, oracle = [*HEAD], [*ORACLE_HEAD]
    for at, world in enumerate(worlds):
        lines.append(row(world.name, world, number, SEED + at))
        yield _page(lines, oracle, began)
    still = "matched, nothing moves, no hole missed"
    lines.append(row(still, MATCHED, number, SEED + 50, trouble=False))
    lines.append(row("matched, stopped at a limit of 50 µm", MATCHED, number, SEED + 51, limit_um=50.0))
    yield _page(lines, oracle, began)
    for at, world in enumerate(worlds):
        oracle.append(oracle_row(world.name, world, number // 4, SEED + at))
        yield _page(lines, oracle, began)
    oracle.append(oracle_row(still, MATCHED, number // 4, SEED + 50, trouble=False))
    yield _page(lines, oracle, began)


def _page(lines: list[str], oracle: list[str], began: float) -> str:
    head = (
        "# Two sweeps and a chalk mark\n\nMade by `python -m tests.studies.chalk`. A mark stands off the crest by "
        f"{HAND_DEG:g} degrees (standard deviation) and is read to the half hour; at {DIRT_MOVES:.0%} of mountings "
        f"dirt moves, {WRONG_HOLE:.0%} are one hole off. *Sent on*: to twelve places because the marks show humps, or "
        "twice to clean and read again; followed no further and not counted beside it. *Worse on the car*: runout of "
        "the last mounting, its scatter in it, against that of the mounting as found; *by the hole alone*: without "
        "either scatter. *No hole is better*: dirt moved so that the best hole of the corner, as it is now, is over 10 "
        "µm worse than as found. *Band*: of the confirming sweep, 80 %. *Called*: the mark stayed with the "
        "stud or went with the rotor; *rightly*: this share is the larger.\n"
    )
    beside = (
        "\n## An oracle beside it\n\nIt knows the population, the scatter, the dial, the hand and what goes wrong how "
        "often, reads the same sweeps, and decides by what is likely (`tests/studies/chalk_oracle.py`). It sends "
        "nobody on, so its corners are all of them.\n"
    )
    minutes = f"{(time.process_time() - began) / 60:.1f} CPU minutes."
    return "\n".join([head, *lines, beside, *oracle, "", minutes, ""])


if __name__ == "__main__":
    for page in study(int(sys.argv[1]) if len(sys.argv) > 1 else 2000):
        Path(__file__).with_suffix(".md").write_text(page, encoding="utf-8")
        print(page.count("\n"), "lines", file=sys.stderr, flush=True)
