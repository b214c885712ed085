"""How long a spigot takes: python -m tests.benchmarks.bench_spigot. Prints; asserts nothing.

One thread per linear-algebra call (OMP_NUM_THREADS=1, set here before numpy is loaded). CPU seconds as well as wall
time, since the machine may be shared.
"""

from __future__ import annotations

import os

os.environ.setdefault("OMP_NUM_THREADS", "1")

import time
from collections.abc import Callable
from statistics import median

from sim.clamp import pulls
from sim.freeplay import free_play
from sim.hoop import stress, stress_rows
from sim.jammed import push_on
from sim.pair import prepare
from sim.parts import Case, SpigotScale
from sim.spigot import spigot_state
from sim.wedge import draw_home

ONE_SIDE = Case(spigot_scale=(SpigotScale(),))
ALL_ROUND = Case(spigot_scale=(SpigotScale(arc_deg=360.0, height_um=80.0),))
CLEAN = Case()


def timed(name: str, work: Callable[[], object], repeats: int = 5) -> None:
    """Print the median CPU and wall time of something, once it is warm."""
    work()
    cpu, wall = [], []
    for _ in range(repeats):
        start = time.process_time(), time.perf_counter()
        work()
        cpu.append(time.process_time() - start[0])
        wall.append(time.perf_counter() - start[1])
    print(f"{name:60s} {1000 * median(cpu):8.1f} ms CPU {1000 * median(wall):8.1f} ms wall")


def one(preset: str, name: str, case: Case) -> None:
    """Time every part on one case."""
    pair = prepare(case, preset)
    stress_rows(pair)
    home = draw_home(pair, case, pulls(case.studs))
    timed(f"{preset}: drawn home, {name}", lambda: draw_home(pair, case, pulls(case.studs)))
    timed(f"{preset}: pushed on, {name}, whole path", lambda: push_on(pair, case, 0.15))
    timed(f"{preset}: state, {name}, one friction", lambda: spigot_state(case, preset, thorough=False))
    timed(f"{preset}: state, {name}, all ranges", lambda: spigot_state(case, preset), 3)
    timed(f"{preset}: stress", lambda: stress(pair, home.bore[0], home.loads))


def main() -> None:
    """Time every part."""
    for preset in ("fast", "standard"):
        one(preset, "one side", ONE_SIDE)
        one(preset, "all round", ALL_ROUND)
        timed(f"{preset}: state, clean", lambda preset=preset: spigot_state(CLEAN, preset))
    timed("free play", lambda: free_play(CLEAN))


if __name__ == "__main__":
    main()
