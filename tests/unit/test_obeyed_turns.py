"""Drawn benches with bad turns, obeyed while something is to be read again: it leads alone, and it ends."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pytest

from scenes.words import to_read_again
from sim.bench.open_readings import open_readings
from sim.causes.decision import Decision, decide
from sim.files.dial_readings import parse
from sim.parts.case import Case, Limits
from tests.unit.test_turns_that_part import HEAD, PLACES, turn

LIMITS = Limits(mounted_runout_um=50.0)
THINGS = ("mounted", "hub face", "thickness")
#: So many further turns of one thing end it, beside as many as were bad.
MOST_MORE = 4


@dataclass(frozen=True)
class Bench:
    """A corner drawn at random: what each thing truly reads [um], and the hand that reads it."""

    true: dict[str, np.ndarray]
    step_um: dict[str, float]
    hand_um: float

    def read(self, kind: str, rng: np.random.Generator, bad: str = "") -> np.ndarray:
        """One turn, honest or bad in one way."""
        value = self.true[kind] + rng.normal(0.0, self.hand_um, PLACES.size)
        step = self.step_um[kind]
        if kind != "thickness":
            value = value - value[0] + rng.normal(0.0, 2.0) * PLACES / 360.0
        if bad == "moved":
            at = rng.uniform(0.0, 360.0)
            value = value + rng.uniform(15.0, 40.0) * np.cos(np.radians(PLACES - at)) * (
                1 if kind != "thickness" else 0.6
            )
        if bad == "level":
            value = value + rng.choice([-1.0, 1.0]) * rng.uniform(40.0, 700.0)
        value = step * np.round(2.0 * value / step) / 2.0 if step > 1.0 else np.round(value)
        k = int(rng.integers(1, PLACES.size))
        middle = np.median(value) if kind == "thickness" else 0.0
        if bad == "lost sign":
            k = int(np.argmax(np.abs(value - middle)))
            value[k] = 2.0 * middle - value[k]
        if bad == "decimal":
            value[k] = value[k] + 100.0 if kind == "thickness" else value[k] * 10.0
        if bad == "swap":
            value[[k - 1, k]] = value[[k, k - 1]]
        return value


def drawn(rng: np.random.Generator) -> Bench:
    """Hub, rotor and thickness with a lean and two humps each."""

    def wave(most: float, order: int = 1) -> np.ndarray:
        return rng.uniform(0.0, most) / 2.0 * np.cos(order * np.radians(PLACES - rng.uniform(0.0, 360.0)))

    return Bench(
        {
            "mounted": wave(90.0) + wave(10.0, 2),
            "hub face": wave(30.0),
            "thickness": 11_000.0 + rng.uniform(0.0, 900.0) + wave(12.0, 2) + wave(15.0),
        },
        {"mounted": float(rng.choice([1.0, 10.0])), "hub face": float(rng.choice([1.0, 10.0])), "thickness": 1.0},
        float(rng.uniform(2.0, 3.0)),
    )


BAD = {
    "mounted": ("moved", "lost sign", "decimal", "swap"),
    "hub face": ("moved", "lost sign", "decimal"),
    "thickness": ("moved", "level", "decimal", "swap"),
}


def text_of(bench: Bench, turns: list[tuple[str, int, str, np.ndarray]]) -> str:
    """The readings file of turns: kind, mount, state, values."""
    rows = "".join(
        turn(kind, mount, value, state).replace(",2\n", f",{bench.step_um[kind]:g}\n")
        for kind, mount, state, value in turns
    )
    return HEAD + rows


def judged(decided: Decision) -> list[str]:
    """What is to be read again; it leads, or nothing says so."""
    named = [one.trace for one in open_readings(decided.read)]
    foot, act = to_read_again.remarks(decided.told, decided.read), decided.act
    assert not [one for one in foot if "read it" in one and not any(one.startswith(name) for name in named)], foot
    assert not named or decided.steps == ("read again",)
    assert not named or act.what == "read again"
    return named


def obeyed(seed: int, case: Case | None = None) -> tuple[int, str]:
    """Obey a drawn bench until nothing is to be read again: how many turns that took, and the act."""
    rng = np.random.default_rng(seed)
    bench = drawn(rng)
    bad = {kind: [str(rng.choice(BAD[kind])) if rng.random() < 0.6 else ""] for kind in THINGS}
    for kind in THINGS:
        bad[kind] += [str(rng.choice(BAD[kind])) if rng.random() < 0.15 else ""] * int(rng.random() < 0.5)
    turns = [("mounted", 1, "as found", bench.read("mounted", rng))]
    turns += [
        (kind, 0 if kind == "hub face" else 2, "cleaned", bench.read(kind, rng, how))
        for kind in THINGS
        for how in bad[kind]
    ]
    turns.sort(key=lambda one: (one[1] == 2, one[0] == "mounted"))
    more = dict.fromkeys(THINGS, 0)
    while named := judged(decided := decide(parse(text_of(bench, turns)), LIMITS, case)):
        for name in dict.fromkeys(named):
            kind = name.partition(",")[0]
            more[kind] += 1
            assert more[kind] <= MOST_MORE + sum(map(bool, bad[kind])), (seed, bad, more)
            turns.append((kind, 0 if kind == "hub face" else 2, "cleaned", bench.read(kind, rng)))
    _sound(bench, decided, {kind: bad[kind].count("") + more[kind] for kind in THINGS}, seed)
    return sum(more.values()), decided.steps[0]


def _sound(bench: Bench, decided: Decision, honest: dict[str, int], seed: int) -> None:
    """What ends it is near the truth where an honest turn was read again: one bad turn alone nobody tells."""
    thick, true = decided.read.thickness, float(np.ptp(bench.true["mounted"]))
    assert thick is not None
    assert honest["thickness"] < 2 or abs(thick.value_um - bench.true["thickness"]).max() < 15.0, seed
    assert honest["mounted"] < 2 or abs(decided.act.read_um - true) < 15.0, (seed, decided.act.read_um, true)


@pytest.mark.parametrize("seed", range(10))
def test_a_bench_with_bad_turns_is_read_again_until_it_ends(seed):
    obeyed(seed)
