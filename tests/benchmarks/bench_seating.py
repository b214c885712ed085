"""How long seating takes, and how much memory: python -m tests.benchmarks.bench_seating. Prints; asserts nothing.

One thread per linear-algebra call (OMP_NUM_THREADS=1, set here before numpy is loaded). CPU seconds as well as wall
time, since the machine may be shared.
"""

from __future__ import annotations

import os

os.environ.setdefault("OMP_NUM_THREADS", "1")

import resource
import tempfile
import time
from collections.abc import Callable
from dataclasses import replace
from statistics import median

import numpy as np

from sim import disk_cache
from sim.parts.case import Case, Debris, Hub, Studs
from sim.rigid.seat import rigid_runout_um
from sim.seating import prepared, seat
from sim.seating.equations import contact_problem, joined_problem
from sim.seating.lying_between import surfaces
from sim.seating.studs import pulls
from sim.solvers import contact

CASE = Case(debris=(Debris(angle_deg=36.0),))


def timed(work: Callable[[], object], repeats: int) -> tuple[float, float]:
    """Median CPU and wall time. [s]."""
    cpu, wall = [], []
    for _ in range(repeats):
        start = time.process_time(), time.perf_counter()
        work()
        cpu.append(time.process_time() - start[0])
        wall.append(time.perf_counter() - start[1])
    return median(cpu), median(wall)


def line(what: str, cpu: float, wall: float, more: str = "") -> None:
    print(f"  {what:<58}{1e3 * cpu:10.2f} ms CPU {1e3 * wall:10.2f} ms wall  {more}")


def peak_mb() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def forget() -> None:
    prepared._prepared.cache_clear()
    seat._flat.cache_clear()


def set_up(preset: str) -> None:
    def new() -> None:
        forget()
        with tempfile.TemporaryDirectory() as folder:
            os.environ["TRUESEAT_CACHE"] = folder
            prepared.prepare(CASE, preset)

    line("new geometry, rotor and elastic hub, nothing stored", *timed(new, 3))


def stored(preset: str) -> None:
    def again() -> None:
        forget()
        prepared.prepare(CASE, preset)

    prepared.prepare(CASE, preset)
    line("the same from disk", *timed(again, 5))
    seat.seat(CASE, preset)
    files = [file.stat().st_size / 1e6 for file in disk_cache.folder().iterdir()]
    print(f"  files in the cache: {', '.join(f'{size:.1f}' for size in sorted(files))} MB")


def one_seating(preset: str) -> None:
    made = prepared.prepare(CASE, preset)
    found, pulled = surfaces(made, CASE), pulls(CASE.studs)
    problem = contact_problem(made, found, pulled)
    flat = np.ones(problem.offset.size, dtype=bool)
    made_flat = seat._flat(made, CASE.contact.layer_stiffness_n_mm3)
    flat[: made_flat.closed.size] = made_flat.closed
    warm = contact.solve(problem, flat).force > 0
    line("one seating, end to end", *timed(lambda: seat.seat(CASE, preset), 40), f"{problem.offset.size} cells")
    line("  of this: putting the problem together", *timed(lambda: contact_problem(made, found, pulled), 40))
    for name, start in (("all cells closed", None), ("the flat-clamp set", flat), ("its own answer", warm)):
        steps = contact.solve(problem, start).checks.iterations
        cpu, wall = timed(lambda start=start: contact.solve(problem, start), 40)
        line(f"  of this: contact, from {name}", cpu, wall, f"{steps} set changes")
    assert made_flat.shared is not None
    joined = joined_problem(made, found, pulled, made_flat.shared)
    line("  of this: the same by one small system", *timed(lambda: contact.solve_joined(replace(joined), flat), 40))
    line("exact rigid seating, for comparison", *timed(lambda: rigid_runout_um(CASE), 40))


def batch(preset: str, count: int = 150) -> None:
    rng = np.random.default_rng(1)
    cases = []
    for _ in range(count):
        patches = tuple(
            Debris(
                angle_deg=float(rng.uniform(0, 360)),
                arc_deg=float(rng.uniform(4, 40)),
                inner_radius_mm=float(inner),
                outer_radius_mm=float(min(inner + rng.uniform(3, 12), 68.0)),
                height_um=float(rng.uniform(10, 150)),
            )
            for inner in rng.uniform(36.0, 62.0, rng.integers(1, 4))
        )
        cases.append(replace(CASE, debris=patches))
    torques = [
        replace(CASE, debris=(), studs=Studs(torque_nm=tuple(140 * rng.normal(1, 0.1, 5)))) for _ in range(count)
    ]
    for name, some in (("random debris, 1 to 3 patches", cases), ("random torques, clean", torques)):
        cpu, wall = timed(lambda some=some: [seat.seat(case, preset) for case in some], 1)
        line(f"{count} seatings, {name}", cpu, wall, f"{count / cpu:.0f} a second of one core")


def main() -> None:
    print(f"memory before: {peak_mb():.0f} MB")
    for preset in ("fast", "standard"):
        print(preset)
        set_up(preset)
        with tempfile.TemporaryDirectory() as folder:
            os.environ["TRUESEAT_CACHE"] = folder
            forget()
            stored(preset)
            one_seating(preset)
            batch(preset)
        print(f"  peak memory so far: {peak_mb():.0f} MB")
    rigid = replace(CASE, hub=Hub(material="rigid"))
    with tempfile.TemporaryDirectory() as folder:
        os.environ["TRUESEAT_CACHE"] = folder
        seat.seat(rigid, "fast")
        line("rigid hub, fast, one seating", *timed(lambda: seat.seat(rigid, "fast"), 40))


if __name__ == "__main__":
    main()
