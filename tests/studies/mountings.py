"""How often the 80 % circle about the hub's and the rotor's vector holds the truth, and what is said of them.

``python -m tests.studies.mountings`` writes ``mountings.md`` beside this file. Corners come from the worlds of
`tests.studies.index_residual`; tables are written as a workshop writes them. The rotor is read at two or three stud
positions with dirt on the hub, then once more cleaned, each time put on with another scatter; the bare face last.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

import numpy as np

from sim import turn
from sim.bench.mountings import CIRCLE, told_apart
from sim.files.dial_readings import Readings, Trace
from tests.studies.bench_tables import lips, written
from tests.studies.index_residual import GAUGE_MM, HUB_MM, MATCHED, SHIFTED, World, _amplitude, _scatter, parts_of

SEED = 97_000
COLUMNS = ("corners", "positions", "n", "hub within", "rotor within", "half-width hub, rotor [µm TIR]",
           "hub told", "rotor told", "cleaned off within", "beyond the hub's face within", "read again")  # fmt: skip
DIRT_UM = (12.0, 0.6)  # first order that dirt on the hub adds until it is cleaned off, log-normal


def one(rng: np.random.Generator, world: World, mounts: int) -> tuple[float, ...]:
    """Draw a corner, read it, ask: how far off each vector is over its circle, and what was told."""
    count, k = int(rng.choice(world.studs)), int(rng.choice(world.readings))
    angle = np.arange(k) * 360.0 / k
    theta = np.radians(angle)
    own, hub = parts_of(rng, world)
    turns = [0, 1 if count == 4 else 2, *([3] if mounts == 3 else [])]
    if count == 4 and mounts == 3:
        turns[2] = 2
    dirt = np.zeros(6, dtype=complex)
    dirt[1] = _amplitude(rng, DIRT_UM)
    dirt[2] = 0.4 * abs(dirt[1]) * np.exp(1j * rng.uniform(0, 2 * np.pi))

    def table(orders: np.ndarray, more: np.ndarray | float = 0.0) -> np.ndarray:
        value = turn.evaluate(orders, theta) + more
        value = value - value[0] + rng.normal(0.0, rng.uniform(1.0, 4.0), k) + rng.normal(0.0, 8.0)
        return written(rng, value)

    traces = []
    for j, m in enumerate([*turns, 0]):
        clean = j == len(turns)
        on_hub = hub if clean else hub + dirt
        orders = own + on_hub * np.exp(2j * np.pi * np.arange(6) * m / count)
        orders[1] += _scatter(rng, world)
        traces.append(Trace("mounted", j, m, angle, table(orders), None, "cleaned" if clean else "as found"))
    bare = np.zeros(6, dtype=complex)
    bare[1:4] = hub[1] * HUB_MM / GAUGE_MM, _amplitude(rng, (2.5, 0.7)), _amplitude(rng, (1.5, 0.7))
    face = 0.0
    if rng.random() < world.lips:
        face = lips(angle, count, rng.uniform(7, 11)) @ (rng.uniform(30, 50) * (1 + 0.1 * rng.normal(size=count)))
    traces.append(Trace("hub face", 0, 0, angle, table(bare, face)))
    told = told_apart(Readings(count, GAUGE_MM, HUB_MM, 10.0, tuple(traces)))
    state = told.states[0]
    found = []
    pairs = ((state.hub[1], hub[1] + dirt[1]), (state.rotor[1], own[1]), (told.taken_off, dirt[1]),
             (told.beyond_face, dirt[1]))  # fmt: skip
    for vector, truth in pairs:
        at = vector.runout_um / 2 * np.exp(-1j * np.radians(vector.high_spot_deg))
        found += [2 * abs(at - truth) / vector.half_um, vector.half_um, float(vector.told)]
    return (*found, float(told.next == "read again"))


def row(world: World, mounts: int, number: int, seed: int) -> str:
    rng = np.random.default_rng(seed)
    drawn = np.array([one(rng, world, mounts) for _ in range(number)]).T
    within = [f"{np.mean(drawn[3 * i] <= 1):.1%}" for i in range(4)]
    half = ", ".join(f"{np.median(drawn[3 * i + 1]):.0f}" for i in range(2))
    told = [f"{np.mean(drawn[3 * i + 2]):.0%}" for i in range(2)]
    cells = [world.name, f"{mounts}", f"{number}", *within[:2], half, *told, *within[2:], f"{np.mean(drawn[-1]):.1%}"]
    return "| " + " | ".join(cells) + " |"


def study(number: int) -> str:
    began = time.process_time()
    lines = ["| " + " | ".join(COLUMNS) + " |", "|" + "---|" * len(COLUMNS)]
    worlds = [w for w in SHIFTED if not w.name.startswith("no slips")]
    for at, (world, mounts) in enumerate([(MATCHED, 2), (MATCHED, 3), *((w, 2) for w in worlds)]):
        lines.append(row(world, mounts, number, SEED + at))
        print(lines[-1], file=sys.stderr, flush=True)
    head = (
        "# Hub and rotor told apart by two mountings or three\n\nMade by `python -m tests.studies.mountings`. Within: "
        f"share of true vectors inside the printed 80 % circle ({CIRCLE:.2f} standard deviations of a component). "
        "Told: called more than its uncertainty. No prior stands behind them.\n"
    )
    return "\n".join([head, *lines, "", f"{(time.process_time() - began) / 60:.1f} CPU minutes.", ""])


if __name__ == "__main__":
    text = study(int(sys.argv[1]) if len(sys.argv) > 1 else 2000)
    Path(__file__).with_suffix(".md").write_text(text, encoding="utf-8")
