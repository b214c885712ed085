"""Several turns of one thing, some of them odd: whether a table that reads over a limit ends in "leave it there".

``python -m tests.studies.odd_turns [TABLES] [SEED]`` draws tables of readings alone: two to five turns of a mounted
rotor, a bare hub face or a thickness whose true figure is known, every other reading far under its limit. Honest turns
scatter as a hand does and creep; an odd one is another size, another direction, without its signs, a step off from some
place on, read at six places or by a coarser dial. Each table is asked as `causes` is, without a case, and what it says
is held to the truth: nothing is left on whose figure is over its limit by more than the told uncertainty while half of
its turns or more were honest; and of honest tables, how many are asked for a turn that one and two turns end without.
The table goes into ``odd_turns.md``.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from scenes.words import mountings as said
from scenes.words import to_read_again
from sim.arrays import Floats
from sim.causes.decision import Decision, decide
from sim.files.dial_readings import parse
from sim.parts.case import Limits
from sim.parts.dial import Dial

MOUNT, FACE, THICKNESS = "mounted", "hub face", "thickness"
LIMITS_UM = {MOUNT: 50.0, FACE: 23.0, THICKNESS: 15.0}
LIMITS = Limits(mounted_runout_um=50.0, hub_face_runout_um=23.0, dtv_um=15.0)
STEPS_UM, SIX, TWELVE = (1.0, 5.0, 10.0), np.arange(6) * 60.0, np.arange(12) * 30.0
SCALED, TURNED, UNSIGNED, STEPPED, FEW, COARSE = "scaled", "turned", "signs lost", "stepped", "six places", "coarser"
ODD = (SCALED, TURNED, UNSIGNED, STEPPED, FEW, COARSE)
#: Standard deviation of one reading. [um]
NOISE_UM = {MOUNT: (0.5, 3.0), FACE: (0.5, 3.0), THICKNESS: (1.0, 2.5)}
CREEP_UM = 3.0  # end of a turn less its start, standard deviation; no micrometer creeps
LEVEL_UM = {MOUNT: 0.0, FACE: 0.0, THICKNESS: 11_600.0}
TWICE = 0.3  # share of figures that go twice a turn
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
    order = 2 if kind != FACE and rng.random() < TWICE else 1
    at, size = rng.uniform(0.0, 360.0), share * LIMITS_UM[kind] / 2.0
    noise = rng.uniform(*NOISE_UM[kind])
    turns = "".join(rows(kind, 2, *_turn(rng, kind, (size, order, at), noise, step_um, one)) for one in odd)
    return Drawn(kind, share, step_um, tuple(odd), HEAD.format(step=step_um) + beside(kind) + turns)


def beside(kind: str) -> str:
    """Rows of all else of the corner, read once, far under its limits."""
    found = rows(MOUNT, 1, TWELVE, _wave((12.0, 1, 20.0)), 1.0, "as found")
    clean = {
        MOUNT: rows(MOUNT, 2, TWELVE, _wave((10.0, 1, 20.0)), 1.0),
        FACE: rows(FACE, 2, TWELVE, _wave((2.0, 1, 20.0)), 1.0),
        THICKNESS: rows(THICKNESS, 2, TWELVE, LEVEL_UM[THICKNESS] + _wave((1.0, 2, 20.0)), 1.0),
    }
    return found + "".join(table for other, table in clean.items() if other != kind)


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
    return "".join(
        f"{kind},{mount_},0,{a:g},{v:.3f},{state},{held},{step_um:g}\n" for a, v in zip(angle, value, strict=True)
    )


def asked(table: Drawn) -> Asked:
    """Ask a table what it orders, as `causes` does."""
    decided = decide(parse(table.text), LIMITS)
    act = decided.act
    lead = said.lead(decided.told, act, to_read_again.doubts(decided.read))
    if table.kind == MOUNT:
        told, figure = Dial(act.dial_um, act.turns).doubt_um, act.read_um
    elif table.kind == FACE:
        told, figure = act.hub_face.uncertainty_um, act.hub_face.runout_um
    else:
        told, figure = act.varies.doubt_um, act.varies.value_um
    return Asked("Leave it there" in lead, told, figure, decided, lead)


def unsafe(table: Drawn, told: Asked) -> bool:
    """Whether it is left on over its limit by more than the told uncertainty."""
    return told.left_on and (table.share - 1.0) * LIMITS_UM[table.kind] > told.told_um


def odd_tables(rng: np.random.Generator, count: int) -> Iterator[Drawn]:
    """Tables of which one turn is odd or two, where half of them or more stay honest, and of honest turns alone."""
    for _ in range(count):
        turns = int(rng.integers(2, 6))
        most = min(2, turns // 2)
        spoilt = rng.permutation(turns)[: rng.integers(0, most + 1)]
        odd = [str(rng.choice(ODD)) if k in spoilt else "" for k in range(turns)]
        kind = str(rng.choice((MOUNT, FACE, THICKNESS)))
        yield drawn(rng, kind, float(rng.uniform(1.0, 1.8)), float(rng.choice(STEPS_UM)), odd)
