"""How often a bare hub face that is over its limit is acquitted, and one that is not is held up or bought.

``python -m tests.studies.bare_face [FACES]`` writes ``bare_face.md`` beside this file. Faces are drawn otherwise than
the estimator assumes: even ones, raised metal at or near a stud, three to five waves a turn, lips at all bolt holes.
They are read at 8 to 24 places by dials of 1, 5 and 10 um, one to three turns, and held against their limit.
"""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from scipy.special import chdtrc

from sim import turn
from sim.bench.bare_face import HubFace, face_against_limit
from sim.bench.shown_face import TAIL
from sim.files.clean_turn import NOISE_UM, reading_sd
from sim.files.dial_readings import Readings, Trace
from sim.files.reading_faults import FINE_NOISE_UM
from sim.parts.case import Limits
from sim.parts.dial import ABOVE, BELOW
from sim.turn import interpolate
from tests.studies.bench_tables import lips

SEED, FACES = 83, 150
HERE = Path(__file__).parent
STUDS, RADII_MM, LIMITS_UM = 5, (64.0, 140.0), (23.0, 30.0)
PLACES, DIALS_UM, TURNS = (8, 12, 16, 24), (1.0, 5.0, 10.0), (1, 2, 3)
AT = np.arange(360.0)
EVEN, HUMP, WAVES, LIPS = "even", "raised metal", "waves", "lips at all holes"
#: An even face runs out by so much of its limit; it leans, and is a little uneven. [1, um]
OF_LIMIT, UNEVEN_UM = (0.15, 0.6), ((1, 6.0), (2, 2.5), (3, 1.0), (4, 0.6))
#: Raised metal: height, and width at half of it; how far from a stud its middle lies. [um, deg]
HEIGHT_UM, WIDE_DEG, FROM_STUD_DEG = (20.0, 70.0), (20.0, 60.0), 15.0
WAVES_UM, ORDERS = (20.0, 40.0), (3, 4, 5)
LIPS_UM, LIPS_DEG = (30.0, 50.0), (7.0, 11.0)


@dataclass(frozen=True)
class Face:
    """One drawn face: its limit, what it runs out on the seat, and every degree as the dial's tip runs. [um]."""

    limit_um: float
    seat_um: float
    shown_um: np.ndarray

    def at(self, places: int) -> np.ndarray:
        """What the tip meets at even places."""
        return interpolate(AT, self.shown_um, np.arange(places) * 360.0 / places)


def draw(rng: np.random.Generator, kind: str) -> Face:
    """One face of a kind."""
    limit = float(rng.choice(LIMITS_UM))
    theta = np.radians(AT)
    seat = sum(rng.normal(0.0, s) * np.cos(n * theta) + rng.normal(0.0, s) * np.sin(n * theta) for n, s in UNEVEN_UM)
    most = rng.uniform(*OF_LIMIT) if kind in (EVEN, LIPS) else rng.uniform(0.1, 0.4)
    seat = seat * most * limit / np.ptp(seat)
    if kind == HUMP:
        middle = 360.0 / STUDS * rng.integers(STUDS) + rng.uniform(-FROM_STUD_DEG, FROM_STUD_DEG)
        off = np.abs((AT - middle + 180.0) % 360.0 - 180.0) / rng.uniform(*WIDE_DEG)
        seat = seat + rng.uniform(*HEIGHT_UM) * np.where(off < 1.0, np.cos(np.pi / 2.0 * off) ** 2, 0.0)
    if kind == WAVES:
        seat = seat + rng.uniform(*WAVES_UM) / 2.0 * np.cos(rng.choice(ORDERS) * theta + rng.uniform(0.0, 2.0 * np.pi))
    high = rng.uniform(*LIPS_UM) * (1.0 + 0.1 * rng.normal(size=STUDS)) if kind == LIPS else np.zeros(STUDS)
    return Face(limit, float(np.ptp(seat)), seat + lips(AT, STUDS, rng.uniform(*LIPS_DEG)) @ high)


def read(rng: np.random.Generator, face: Face, places: int, dial_um: float, state: str = "cleaned") -> list[Trace]:
    """As many turns as are read at most: noise, a smooth error along the travel, creep, whole divisions."""
    angle, fine = np.arange(places) * 360.0 / places, dial_um < 3.0
    noise = rng.uniform(0.7, 1.5) if fine else rng.uniform(1.0, 3.0)
    size, length, phase = rng.uniform(0.0, 1.75 if fine else 2.5), rng.uniform(80.0, 200.0), rng.uniform(0.0, 6.3)
    found = []
    for _ in TURNS:
        value = face.at(places) + rng.normal(0.0, noise, places) + rng.normal(0.0, 1.0) * angle / 360.0
        value = value + size * np.sin(2.0 * np.pi * value / length + phase) + rng.uniform(0.0, dial_um)
        found.append(Trace("hub face", 0, 0, angle, np.round(value / dial_um) * dial_um, state=state, dial_um=dial_um))
    return found


def held(face: Face, turns: Iterable[Trace]) -> HubFace:
    """What is held against its limit."""
    read_so = Readings(STUDS, RADII_MM[1], RADII_MM[0], 1.0, tuple(turns))
    found = face_against_limit(read_so, Limits(hub_face_runout_um=face.limit_um), RADII_MM)
    assert found is not None
    return found


@dataclass(frozen=True)
class Row:
    """One face as it was read: how, what it is in truth, what was told of it after each number of turns."""

    kind: str
    places: int
    dial_um: float
    over: bool
    seen: bool  # whether it is over at the places that were read too
    told: tuple[HubFace, ...]
    seat_um: float
    beside: HubFace | None  # looked at, the tip beside the bolt holes


def rows(faces: int) -> list[Row]:
    """Every face at every number of places by every dial."""
    found = []
    for kind in (EVEN, HUMP, WAVES, LIPS):
        for places in PLACES:
            for dial_um in DIALS_UM:
                rng = np.random.default_rng([SEED, ord(kind[0]), places, int(dial_um)])
                found += [one_row(rng, kind, places, dial_um) for _ in range(faces)]
    return found


def one_row(rng: np.random.Generator, kind: str, places: int, dial_um: float) -> Row:
    face = draw(rng, kind)
    turns = read(rng, face, places, dial_um)
    told = tuple(held(face, turns[:count]) for count in TURNS)
    seen = turn.tir(face.at(places)) > face.limit_um
    beside = None
    if kind == LIPS:
        seat = Face(face.limit_um, face.seat_um, draw_seat(face))
        beside = held(face, [*turns[:1], *read(rng, seat, places, dial_um, "cleaned again")[:1]])
    return Row(kind, places, dial_um, face.seat_um > face.limit_um, seen, told, face.seat_um, beside)


def draw_seat(face: Face) -> np.ndarray:
    """The same face where the tip runs beside its lips: as it is half way between the holes, drawn through those."""
    between = (np.arange(STUDS) + 0.5) * 360.0 / STUDS
    orders = turn.fit(between, interpolate(AT, face.shown_um, between), 2)
    return turn.trace(orders)


def share(of: Iterable[bool]) -> str:
    """A share with what it is of."""
    found = list(of)
    return f"{100.0 * np.mean(found):.1f}% of {len(found)}" if found else "–"


def acquitted(one: HubFace) -> bool:
    return one.state == BELOW


def table(every: list[Row], count: int, by: Callable[[Row], float], values: Iterable[float], name: str) -> list[str]:
    """What came of it after so many turns, by places or by dial."""
    lines = [
        f"| {name} | over, seen at the places: acquitted | over, between them: acquitted | even: not acquitted | "
        "even: bought | lips: acquitted | lips: bought |",
        "|---|---|---|---|---|---|---|",
    ]
    for value in values:
        here = [one for one in every if by(one) == value]
        over = [one for one in here if one.over and one.kind in (HUMP, WAVES)]
        even, lipped = ([one.told[count - 1] for one in here if one.kind == kind] for kind in (EVEN, LIPS))
        cells = [
            share(acquitted(one.told[count - 1]) for one in over if one.seen),
            share(acquitted(one.told[count - 1]) for one in over if not one.seen),
            share(not acquitted(one) for one in even), share(one.state == ABOVE for one in even),
            share(acquitted(one) for one in lipped), share(one.state == ABOVE for one in lipped),
        ]  # fmt: skip
        lines.append(f"| {value:g} | {' | '.join(cells)} |")
    return lines


def holds(every: list[Row], count: int) -> str:
    """Share of uneven faces whose runout on the seat lies within the uncertainty that stands beside what was shown."""
    shown = [(one, one.told[count - 1].as_shown) for one in every if one.kind in (HUMP, WAVES) and one.places >= 12]
    told = [(one.seat_um, dial) for one, dial in shown if dial is not None and dial.uneven]
    within = share(abs(seat - dial.runout_um) <= dial.doubt_um for seat, dial in told)
    return f"{within}; not above it by more: {share(seat <= dial.runout_um + dial.doubt_um for seat, dial in told)}"


def sharper(faces: int) -> list[str]:
    """What a sharper test of unevenness would catch of humps between eight places, and ask of faces that only lean."""
    rng = np.random.default_rng([SEED, 8])
    drawn: dict[str, list[float]] = {HUMP: [], WAVES: [], EVEN: []}
    for kind, kept in drawn.items():
        for k in range(20 * faces):
            face, dial_um = draw(rng, kind), DIALS_UM[k % len(DIALS_UM)]
            one = read(rng, face, 8, dial_um)[0]
            missed = face.seat_um > face.limit_um > turn.tir(one.value_um)
            if missed or kind == EVEN:
                kept.append(chance_of_a_lean(one.angle_deg, one.value_um, dial_um))
    chances = np.array([chance for kind in (HUMP, WAVES) for chance in drawn[kind]])
    unseen, even = chances[chances >= TAIL], np.array(drawn[EVEN])
    lines = ["| tail | of these humps and waves asked | of even faces asked |", "|---|---|---|"]
    return lines + [
        f"| {tail:g} | {np.mean(unseen < tail):.0%} of {unseen.size} | {np.mean((even >= TAIL) & (even < tail)):.1%} |"
        for tail in (0.01, 0.02, 0.05, 0.1, 0.2)
    ]


def chance_of_a_lean(angle_deg: np.ndarray, value_um: np.ndarray, dial_um: float) -> float:
    """How often a face that only leans reads so unevenly once by this dial: chi-square, as `shown_face` has it."""
    sd_um = reading_sd(dial_um, FINE_NOISE_UM if dial_um < 3.0 else NOISE_UM)
    rest = value_um - turn.evaluate(turn.fit(angle_deg, value_um, 1), np.radians(angle_deg))
    return float(chdtrc(value_um.size - 3, (rest**2).sum() / sd_um**2))


def main(faces: int) -> None:
    """Write the note."""
    every = rows(faces)
    text = [
        "# Bare hub faces against their limit",
        "",
        f"{len(every)} faces, limits of 23 and 30 µm: even ones of 15 to 60 % of it; raised metal of 20 to 70 µm, 20 "
        "to 60° wide at half its height, within 15° of a stud; three, four or five waves of 20 to 40 µm; lips of 30 to "
        "50 µm at all five holes of a face that is even beside them. Acquitted: below its limit. Bought: over it, hub "
        "and bearing. Between the two a face is looked at or read on. Over, between the places: the truth is over the "
        "limit, what a perfect dial would read at these places is not. Made by `python -m tests.studies.bare_face`.",
    ]
    for count in TURNS:
        said = "one turn" if count == 1 else f"{count} turns"
        text += ["", f"## After {said}", ""]
        text += [*table(every, count, lambda one: one.places, PLACES, "places"), ""]
        text += [*table(every, count, lambda one: one.dial_um, DIALS_UM, "dial [µm]"), ""]
        text += [f"The ± of what was shown, at twelve places and more, holds the truth in {holds(every, count)}."]
    beside = [one.beside for one in every if one.beside is not None]
    text += [
        "",
        f"Lips looked at, then read once with the tip beside them: acquitted {share(map(acquitted, beside))}, bought "
        f"{share(one.state == ABOVE for one in beside)}.",
        "",
        "## A sharper test at eight places",
        "",
        f"Over between the places, under the limit at them, and no more than a lean at the tail of {TAIL:g}, one "
        "turn: who would be asked for the places between at a higher tail, besides.",
        "",
        *sharper(faces),
        "",
    ]
    (HERE / "bare_face.md").write_text("\n".join(text), encoding="utf-8")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else FACES)
