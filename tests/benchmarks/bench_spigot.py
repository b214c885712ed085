"""How long a spigot takes: python -m tests.benchmarks.bench_spigot. Prints; asserts nothing.

One thread per linear-algebra call (OMP_NUM_THREADS=1, set here before numpy is loaded). CPU seconds as well as wall
time, since the machine may be shared.
"""

from __future__ import annotations

import os

os.environ.setdefault("OMP_NUM_THREADS", "1")

import time
from collections.abc import Callable
from dataclasses import replace
from statistics import median

import demo_geometry
from sim.files.case_file import case_from_text
from sim.parts.case import Case, SpigotScale
from sim.parts.spigot_room import free_play
from sim.seating.prepared import prepare
from sim.seating.studs import pulls
from sim.spigot.drawn_home import draw_home
from sim.spigot.path import push_on
from sim.spigot.state import spigot_state
from sim.spigot.stress import stress, stress_rows

ONE_SIDE = Case(spigot_scale=(SpigotScale(),))
ALL_ROUND = Case(spigot_scale=(SpigotScale(arc_deg=360.0, height_um=80.0),))
CLEAN = Case()
SHIPPED = ("spigot_clean", "spigot_off_centre", "spigot_jammed", "spigot_forced")
RUNS = 11


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


def shipped(name: str, preset: str = "standard") -> None:
    """Time a shipped case whole: one friction and all ranges.

    Flexibilities are remembered. The scale's height, or the torque of a clean spigot, differs by next to nothing from
    run to run, so that no answer can be.
    """
    case = case_from_text(demo_geometry.text(name), name)

    def nearly(k: int) -> Case:
        if not case.spigot_scale:
            return replace(case, studs=replace(case.studs, torque_nm=case.studs.torque_nm * (1 + 1e-9 * k)))
        scale = tuple(replace(s, height_um=s.height_um * (1 + 1e-9 * k)) for s in case.spigot_scale)
        return replace(case, spigot_scale=scale)

    for words, thorough in (("case's friction only", False), ("all ranges, as printed", True)):
        spigot_state(case, preset, thorough=thorough)
        wall = []
        for k in range(1, RUNS + 1):
            other = nearly(k)
            start = time.perf_counter()
            spigot_state(other, preset, thorough=thorough)
            wall.append(1000 * (time.perf_counter() - start))
        print(f"{preset}: {name}, {words:26s} median {median(wall):7.1f} ms, least {min(wall):7.1f} ms")


def main() -> None:
    """Time the shipped cases, then every part."""
    for name in SHIPPED:
        shipped(name)
    for preset in ("fast", "standard"):
        one(preset, "one side", ONE_SIDE)
        one(preset, "all round", ALL_ROUND)
        timed(f"{preset}: state, clean", lambda preset=preset: spigot_state(CLEAN, preset))
    timed("free play", lambda: free_play(CLEAN))


if __name__ == "__main__":
    main()
