"""Several turns of one thing, some of them odd: whether a table that reads over a limit ends in "leave it there".

``python -m tests.studies.odd_turns [TABLES] [SEED]`` draws tables of readings alone: two to five turns of a mounted
rotor, a bare hub face or a thickness whose true figure is known, every other reading far under its limit. Honest turns
scatter as a hand does and creep; an odd one is another size, another direction, without its signs, a step off from some
place on, read at six places or by a coarser dial; or all odd ones are alike. Each table is asked as `causes` is,
without a case, and what it says is held to the truth: nothing is left on whose figure is over its limit by more than
the told uncertainty (k = 2: a few in a hundred of those that lie there are by chance) while half of its turns or more
were honest; and how often honest turns are asked for one more.
The table goes into ``odd_turns.md``.
"""

from __future__ import annotations

import argparse
import re
import sys
import time
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from scenes.words import mountings as said
from scenes.words import to_read_again
from sim.arrays import Floats
from sim.causes.decision import Decision, decide
from sim.errors import BadInput
from sim.files.dial_readings import parse
from sim.parts.case import Limits
from sim.parts.dial import Dial
from tests.studies.doors import noted

MOUNT, FACE, THICKNESS = "mounted", "hub face", "thickness"
LIMITS_UM = {MOUNT: 50.0, FACE: 23.0, THICKNESS: 15.0}
LIMITS = Limits(mounted_runout_um=50.0, hub_face_runout_um=23.0, dtv_um=15.0)
KINDS = (MOUNT, FACE, THICKNESS)
STEPS_UM = {MOUNT: (1.0, 5.0, 10.0), FACE: (1.0, 5.0, 10.0), THICKNESS: (1.0, 5.0)}  # no coarser micrometer is asked
SIX, TWELVE = np.arange(6) * 60.0, np.arange(12) * 30.0
SEED = 17
SCALED, TURNED, UNSIGNED, STEPPED, FEW, COARSE = "scaled", "turned", "signs lost", "stepped", "six places", "coarser"
ODD = (SCALED, TURNED, UNSIGNED, STEPPED, FEW, COARSE)
#: Standard deviation of one reading. [um]
NOISE_UM = {MOUNT: (0.5, 3.0), FACE: (0.5, 3.0), THICKNESS: (1.0, 2.5)}
CREEP_UM = 3.0  # end of a turn less its start, standard deviation; no micrometer creeps
LEVEL_UM = {MOUNT: 0.0, FACE: 0.0, THICKNESS: 11_600.0}
TWICE = 0.3  # share of figures that go twice a turn
TURNED_TOO = 0.5  # share of odd turns alike that are of another direction too
ALIKE = "alike"
BY_ITSELF = "µm by themselves ("
HEAD = (
    "# studs: 5\n# gauge_radius_mm: 140\n# hub_face_radius_mm: 64\n# dial_um: {step:g}\n# turned: counter-clockwise\n"
    "# dial: + towards\ntrace,mount,studs_turned,angle_deg,reading_um,state,clamped_by,dial_um\n"
)


@dataclass(frozen=True)
class Drawn:
    """A table, and the truth about the thing that several of its turns read."""

    kind: str
    share: float  # true figure over its limit
    step_um: float
    odd: tuple[str, ...]  # of each turn, empty for an honest one
    text: str

    @property
    def honest(self) -> bool:
        """Whether half of its turns or more are."""
        return 2 * self.odd.count("") >= len(self.odd)


@dataclass(frozen=True)
class Asked:
    """What such a table orders."""

    left_on: bool
    told_um: float  # uncertainty of the figure, k = 2
    figure_um: float
    decided: Decision
    lead: str


def drawn(rng: np.random.Generator, kind: str, share: float, step_um: float, odd: Sequence[str]) -> Drawn:
    """Draw a table whose true figure is so much of its limit."""
    figure, noise = _figure(rng, kind, share), rng.uniform(*NOISE_UM[kind])
    turns = "".join(rows(kind, 2, *_turn(rng, kind, figure, noise, step_um, one)) for one in odd)
    return Drawn(kind, share, step_um, tuple(odd), HEAD.format(step=step_um) + beside(kind) + turns)


def _figure(rng: np.random.Generator, kind: str, share: float) -> tuple[float, int, float]:
    """Amplitude, order and direction of what is so much of its limit, at the places that are read. [um, deg]."""
    order = 2 if kind != FACE and rng.random() < TWICE else 1
    at = rng.uniform(0.0, 360.0)
    return share * LIMITS_UM[kind] / float(np.ptp(_wave((1.0, order, at)))), order, at


def beside(kind: str) -> str:
    """Rows of all else of the corner, far under its limits: the rotor read twice, as it is before it is left on."""
    found = rows(MOUNT, 1, TWELVE, _as_shown((12.0, 1, 20.0)), 1.0, "as found")
    clean = {
        MOUNT: 2 * rows(MOUNT, 2, TWELVE, _as_shown((10.0, 1, 20.0)), 1.0),
        FACE: rows(FACE, 2, TWELVE, _as_shown((2.0, 1, 20.0)), 1.0),
        THICKNESS: rows(THICKNESS, 2, TWELVE, LEVEL_UM[THICKNESS] + _wave((1.0, 2, 20.0)), 1.0),
    }
    return found + "".join(table for other, table in clean.items() if other != kind)


def _as_shown(figure: tuple[float, int, float]) -> Floats:
    """To half a division of a dial of 1 µm."""
    return np.round(2.0 * _wave(figure)) / 2.0


def _wave(figure: tuple[float, int, float], angle: Floats = TWELVE) -> Floats:
    size, order, at = figure
    wave: Floats = size * np.cos(order * np.radians(angle - at))
    return wave


def _turn(
    rng: np.random.Generator, kind: str, figure: tuple[float, int, float], noise_um: float, step_um: float, odd: str
) -> tuple[Floats, Floats, float]:
    """Places, figures and division of one turn."""
    size, order, at = figure
    angle, step = SIX if odd == FEW else TWELVE, 10.0 if odd == COARSE else step_um
    if odd == SCALED:
        size *= rng.choice((rng.uniform(0.0, 0.8), rng.uniform(1.2, 1.6)))
    at += rng.uniform(60.0, 180.0) / order if odd == TURNED else 0.0
    value = _wave((size, order, at), angle) + rng.normal(0.0, noise_um, angle.size)
    value += 0.0 if kind == THICKNESS else rng.normal(0.0, CREEP_UM) * angle / 360.0
    if odd == STEPPED:
        value += np.where(np.arange(angle.size) >= rng.integers(2, 11), rng.choice((-1.0, 1.0)) * rng.uniform(8, 30), 0)
    if odd == UNSIGNED:
        first, run = rng.integers(0, angle.size), rng.integers(1, 7)
        lost = (np.arange(angle.size) - first) % angle.size < run
        value = np.where(lost, np.abs(value), value)
    return angle, LEVEL_UM[kind] + step * np.round(value / step), step


def rows(kind: str, mount: int, angle: Floats, value: Floats, step_um: float, state: str = "cleaned") -> str:
    """Lines of one turn."""
    mount_, held = ("", "") if kind == FACE else (mount, "" if kind == THICKNESS else "nuts and spacers")
    before, after = f"{kind},{mount_},0", f"{state},{held},{step_um:g}\n"
    shown = step_um * np.round(value / step_um)  # a feeler of 100 acquits no figures that the dial does not show
    told = "".join(f"{before},{a:g},{v:.3f},{after}" for a, v in zip(angle, shown, strict=True))
    return told if kind == THICKNESS else f"{told}{before},feeler,100,{after}"


def asked(table: Drawn) -> Asked | None:
    """Ask a table what it orders, as `causes` does; None of one that is no table of a brake rotor."""
    try:
        decided = decide(parse(table.text), LIMITS)
    except BadInput:
        return None
    act = decided.act
    lead = said.lead(decided.told, act, to_read_again.doubts(decided.read))
    if table.kind == MOUNT:
        told, figure = Dial(act.dial_um, act.turns).doubt_um, act.read_um
    elif table.kind == FACE:
        told, figure = act.hub_face.uncertainty_um, act.hub_face.runout_um
    else:
        told, figure = act.varies.doubt_um, act.varies.value_um
    return Asked(bool(re.search("Leave it there|Without it leave it there", lead)), told, figure, decided, lead)


def unsafe(table: Drawn, told: Asked) -> bool:
    """Whether it is left on over its limit by more than the told uncertainty."""
    return told.left_on and (table.share - 1.0) * LIMITS_UM[table.kind] > told.told_um


def alike(rng: np.random.Generator, kind: str, share: float, step_um: float, honest: Sequence[bool]) -> Drawn:
    """Draw a table whose odd turns are alike: as a bearing knocks or a tip drags."""
    figure, noise = _figure(rng, kind, share), rng.uniform(*NOISE_UM[kind])
    size, order, at = figure
    odd = (size * rng.uniform(0.3, 0.95), order, at + (rng.uniform(0.0, 60.0) if rng.random() < TURNED_TOO else 0.0))
    turns = "".join(rows(kind, 2, *_turn(rng, kind, figure if one else odd, noise, step_um, "")) for one in honest)
    names = tuple("" if one else ALIKE for one in honest)
    return Drawn(kind, share, step_um, names, HEAD.format(step=step_um) + beside(kind) + turns)


def odd_tables(rng: np.random.Generator, count: int) -> Iterator[Drawn]:
    """Tables over their limits of which one turn is odd or two, half of them or more being honest; some of none."""
    for _ in range(count):
        turns, kind = int(rng.integers(2, 6)), str(rng.choice(KINDS))
        spoilt = rng.permutation(turns)[: rng.integers(0, turns // 2 + 1)]
        share, step = float(rng.uniform(1.0, 1.6)), float(rng.choice(STEPS_UM[kind]))
        if rng.random() < 0.5:
            yield alike(rng, kind, share, step, [k not in spoilt for k in range(turns)])
        else:
            yield drawn(rng, kind, share, step, [str(rng.choice(ODD)) if k in spoilt else "" for k in range(turns)])


def honest_tables(rng: np.random.Generator, count: int, shares: tuple[float, float]) -> Iterator[Drawn]:
    """Tables of honest turns alone, at such shares of their limits."""
    for _ in range(count):
        kind, turns = str(rng.choice(KINDS)), int(rng.integers(2, 6))
        yield drawn(rng, kind, float(rng.uniform(*shares)), float(rng.choice(STEPS_UM[kind])), [""] * turns)


def over_rows(tables: Iterable[Drawn]) -> list[str]:
    """What became of tables over their limits, by kind and number of odd turns, as a table."""
    count, left, bad = Counter[tuple[str, str]](), Counter[tuple[str, str]](), Counter[tuple[str, str]]()
    for table in tables:
        told = asked(table)
        if told is None:
            continue
        odd = len(table.odd) - table.odd.count("")
        key = table.kind, f"{odd} of {len(table.odd)}"
        count[key] += 1
        left[key] += told.left_on
        if unsafe(table, told):
            bad[key] += 1
            print(f"left on: {table.kind} {table.share * LIMITS_UM[table.kind]:.1f}, {table.odd}", file=sys.stderr)
    head = ["| thing | odd turns | tables | left on | over by more than the told ± |", "|---|---|---|---|---|"]
    every = [f"| all | | {count.total()} | {left.total()} | {bad.total()} |"]
    return head + [f"| {k[0]} | {k[1]} | {n} | {left[k]} | {bad[k]} |" for k, n in sorted(count.items())] + every


def honest_rows(tables: Iterable[Drawn]) -> list[str]:
    """What honest tables are asked for, by kind and division, as a table."""
    count, once, other, looked = (Counter[tuple[str, float]]() for _ in range(4))
    for table in tables:
        told, key = asked(table), (table.kind, table.step_um)
        if told is None:
            continue
        count[key] += 1
        once[key] += BY_ITSELF in told.lead
        other[key] += not told.left_on and BY_ITSELF not in told.lead
        looked[key] += table.kind == FACE and told.decided.act.hub_face.to_look_at
    head = [
        "| thing | division [µm] | tables | one more by the last look | not left on for another reason | "
        "of all: the bare face is looked at |",
        "|---|---|---|---|---|---|",
    ]
    return head + [
        f"| {kind} | {step:g} | {n} | {once[kind, step] / n:.1%} | {other[kind, step] / n:.1%} "
        f"| {looked[kind, step] / n:.1%} |"
        for (kind, step), n in sorted(count.items())
    ]


def main(given: Sequence[str]) -> None:
    """Run the study and write its page."""
    told = argparse.ArgumentParser(prog="python -m tests.studies.odd_turns", description="Study of odd turns.")
    told.add_argument("count", nargs="?", type=int, default=4000, help="tables over their limits")
    told.add_argument("seed", nargs="?", type=int, default=SEED)
    told.add_argument("--note", type=Path, default=Path(__file__).with_suffix(".md"))
    how = told.parse_args(given)
    rng, began = np.random.default_rng(how.seed), time.process_time()
    over = over_rows(odd_tables(rng, how.count))
    under = honest_rows(honest_tables(rng, how.count // 2, (0.6, 0.8)))
    near = honest_rows(honest_tables(rng, how.count // 4, (1.05, 1.35)))
    minutes = (time.process_time() - began) / 60.0
    told_so = (
        f"# Odd turns among several\n\nMade by `python -m tests.studies.odd_turns {how.count} {how.seed}`. True figures"
        " are those of the places that are read; limits 50 µm mounted,\n23 of the bare hub face, 15 of the thickness."
    )
    parts = (
        (told_so + "\n\nOver the limit by 0 to 60 %, half of the turns or more honest:", over),
        ("Honest turns alone, two to five, at 60 to 80 % of the limit:", under),
        ("Honest turns alone, 5 to 35 % over it:", near),
    )
    page = "\n\n".join(f"{head}\n\n" + "\n".join(lines) for head, lines in parts)
    noted(how.note, f"{page}\n\n{minutes:.1f} CPU minutes.\n")


if __name__ == "__main__":
    main(sys.argv[1:])
