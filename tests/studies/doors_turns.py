"""Tables of several turns of each thing for the study of doors: slips in some, a level that is off, turns held badly.

One mount is read up to four times, its thickness up to four, the bare face up to five. Some turns are taken at other
places or with another division. A slip in a turn is a lost sign, a slipped decimal, two neighbours swapped, the other
face, one place 100 µm off, a dial set anew on the way or a tip at another radius; most such turns are read again, some
with the same slip. A micrometer set to another nought is off by the same all round. Bearings knock more often here. In
some a new or a cut rotor has begun the table; the bare face came along, as the guides tell.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

import numpy as np

from tests.studies import doors_benches as benches
from tests.studies.corners_at_fault import Step
from tests.studies.doors_benches import Bench, Table, Turn, read

#: How often a thing is read one, two, three .. times.
MOUNTED, THICKNESS, HUB_FACE = (0.45, 0.3, 0.15, 0.1), (0.4, 0.3, 0.18, 0.12), (0.3, 0.3, 0.2, 0.1, 0.1)
#: How often so many turns of a table are spoilt.
SPOILT = (0.15, 0.4, 0.25, 0.2)
LOST, DECIMAL, SWAPPED, FACE, OFF, MOVED, RADIUS, LEVEL = (
    "lost sign", "decimal", "swapped", "other face", "off", "moved", "another radius", "level",
)  # fmt: skip
HOW = {
    "mounted": (LOST, DECIMAL, SWAPPED, FACE, OFF, OFF, MOVED),
    "thickness": (DECIMAL, SWAPPED, OFF, OFF, RADIUS, LEVEL, LEVEL),
    "hub face": (LOST, DECIMAL, SWAPPED, OFF, MOVED, RADIUS),
}
LEVELS_UM = (20.0, 50.0, 100.0, 300.0, 600.0)
#: How often a spoilt turn is read again soundly, is typed with the same slip once more, and is left as it is.
AGAIN = {"sound": 0.6, "same": 0.15, "left": 0.25}
KNOCKS, ELSEWHERE, BEGUN_ANEW = 0.18, 0.12, 0.12
CUT_UM = 400.0  # off the rotor


def several(bench: Bench) -> Table:
    """A table with several turns of each thing, some of them spoilt."""
    rng = np.random.default_rng([bench.seed, bench.number, 10])
    if not (bench.good or bench.knock_um) and rng.random() < KNOCKS:
        bench = replace(bench, knock_um=float(rng.choice(benches.KNOCKS_UM)))
    anew = not bench.good and rng.random() < BEGUN_ANEW
    bench = _begun_anew(bench, rng) if anew else bench
    turns = [_somewhere(bench, step, rng) for step in _steps(bench, rng, anew)]
    often = int(rng.choice(len(SPOILT), p=SPOILT))
    for place in sorted(rng.choice(len(turns), min(often, len(turns)), replace=False), reverse=True):
        turns[place : place + 1] = _spoilt(bench, turns[place], rng)
    return Table(bench, tuple(turns))


def _begun_anew(bench: Bench, rng: np.random.Generator) -> Bench:
    """Fit a new rotor, or the same once cut; with either a new table begins."""
    new = benches.with_new_rotor(bench)
    if rng.random() < 0.5:
        return new
    return replace(new, thinnest_mm=max(bench.thinnest_mm - CUT_UM / 1e3, bench.stamp_mm - 0.3))


def _steps(bench: Bench, rng: np.random.Generator, anew: bool) -> Iterator[Step]:
    """Which turns are taken, each thing as often as drawn."""
    stage, thick = int(rng.choice([0, 1, 1, 1, 2, 3])), rng.random() < 0.9
    mount = 1
    if not anew:
        yield from _turns(Step("mounted"), MOUNTED, rng)
        yield from _turns(Step("thickness"), THICKNESS, rng) if thick else ()
    if stage or anew:
        yield from _turns(Step("hub face", "cleaned", 0, 0), HUB_FACE, rng) if rng.random() < 0.6 else ()
        mount = 1 if anew else 2
        yield from _turns(Step("mounted", "cleaned", 0, mount), MOUNTED, rng)
        if anew or not thick or rng.random() < 0.35:
            yield from _turns(Step("thickness", "cleaned", 0, mount), THICKNESS, rng)
    for _ in range(stage - 1):
        mount += 1
        state = "cleaned again" if rng.random() < 0.4 else "cleaned"
        here = int(rng.integers(bench.studs)) if state == "cleaned" else 0
        yield from _turns(Step("mounted", state, here, mount), MOUNTED, rng)


def _turns(step: Step, often: tuple[float, ...], rng: np.random.Generator) -> list[Step]:
    times = 1 + int(rng.choice(len(often), p=often))
    return [replace(step, again=k, fine=bool(k and rng.random() < ELSEWHERE)) for k in range(times)]


def _somewhere(bench: Bench, step: Step, rng: np.random.Generator) -> Turn:
    """Take it at the places of the bench, some at others: its low place stays where it is."""
    if bench.pit[1] or not step.again or rng.random() > ELSEWHERE:
        return read(bench, step)
    return read(replace(bench, places=8 if bench.places != 8 else 12), step)


def _spoilt(bench: Bench, turn: Turn, rng: np.random.Generator) -> list[Turn]:
    """The turn with a slip, and what was read after it."""
    how = str(rng.choice(HOW[turn.step.kind]))
    bad = spoil(bench, turn, how, rng)
    after = str(rng.choice(list(AGAIN), p=list(AGAIN.values())))
    later = replace(turn.step, again=turn.step.again + 20)
    if after == "sound":
        return [bad, read(bench, later)]
    return [bad, replace(bad, step=later)] if after == "same" else [bad]


def spoil(bench: Bench, turn: Turn, how: str, rng: np.random.Generator) -> Turn:
    """Write a turn down wrongly: what was done, and which of its places are sound all the same."""
    value, k = turn.value_um.copy(), int(rng.integers(turn.value_um.size))
    after = (k + 1) % value.size
    sound = np.ones(value.size, dtype=bool)
    if how == FACE:
        inboard = read(replace(bench, places=value.size), replace(turn.step, kind="inboard"))
        return replace(turn, value_um=inboard.value_um, slipped=True, sound=~sound)
    if how == LEVEL:
        level = float(rng.choice(LEVELS_UM)) * float(rng.choice([-1.0, 1.0]))
        return replace(turn, value_um=value + level, slipped=True, level_um=level)
    if how == MOVED:
        value[k:] += float(rng.choice([-60.0, -25.0, 25.0, 60.0]))
        return replace(turn, value_um=value, slipped=True, sound=~sound)
    if how == RADIUS:
        times, middle = float(rng.choice([0.2, 3.0])), value.mean()
        part = (turn.step_um or bench.dial_um) / 2.0 if turn.step.kind == "hub face" else 1.0
        value = np.round((middle + times * (value - middle)) / part) * part
        return replace(turn, value_um=value, slipped=True, sound=~sound)
    if how == LOST:
        k = int(np.argmin(value)) if rng.random() < 0.5 else k
        value[k] = -value[k]
    elif how == SWAPPED:
        value[k], value[after] = value[after], value[k]
        sound[after] = False
    elif how == DECIMAL and turn.step.kind != "thickness":
        value[k] *= float(rng.choice([0.1, 10.0]))
    else:
        value[k] += float(rng.choice([-100.0, 100.0, -100.0, 100.0, -50.0, 50.0]))
    sound[k] = False
    return replace(turn, value_um=value + 0.0, slipped=True, sound=sound)


def sound_um(turn: Turn) -> np.ndarray:
    """What stands in a turn at the places that were read and written as they are. [um]."""
    return turn.value_um if turn.sound is None else turn.value_um[turn.sound]
