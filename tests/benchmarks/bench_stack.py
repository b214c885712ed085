"""How long a tolerance stack takes: python -m tests.benchmarks.bench_stack [corners]. Prints; asserts nothing.

CPU seconds of this process as well as wall time, since the machine may be shared; rows on two processes tell wall time
only.
"""

from __future__ import annotations

import os

os.environ.setdefault("OMP_NUM_THREADS", "1")

import sys
import time
from collections.abc import Callable
from dataclasses import replace
from functools import partial

import numpy as np

from sim.parts.case import Case, Debris
from sim.rigid.batch import seat_rigid_batch
from sim.seating.seat import seated_traces_um
from sim.solvers.many import ENOUGH, get_ready
from sim.stack.draw import case_of, draw_block
from sim.stack.road import driven
from sim.stack.run import run
from sim.stack.seated import Wanted, bare
from sim.stack.study import Study
from sim.stack.study_file import load_study
from sim.stack.vectors import vector_stack_um


def timed(what: str, work: Callable[[], object], each: int) -> None:
    work_cpu, work_wall = time.process_time(), time.perf_counter()
    work()
    cpu, wall = time.process_time() - work_cpu, time.perf_counter() - work_wall
    print(f"  {what:<66}{cpu:8.2f} s CPU {wall:8.2f} s wall {1e3 * cpu / each:9.4f} ms each", flush=True)


def rigid(count: int) -> object:
    rng = np.random.default_rng(1)
    inner = rng.uniform(36.0, 62.0, (count, 4))
    return seat_rigid_batch(
        inner, inner + rng.uniform(1.0, 6.0, inner.shape), rng.uniform(0, 360, inner.shape),
        rng.uniform(4, 25, inner.shape), rng.uniform(0.02, 0.12, inner.shape), 68.0,
    )  # fmt: skip


def wide(count: int, most: int) -> list[Case]:
    """Corners with up to some patches, arcs up to 40 degrees, 10 to 150 um high; all new to each other."""
    rng = np.random.default_rng(1)
    cases = []
    for _ in range(count):
        inner = rng.uniform(36.0, 62.0, rng.integers(1, most + 1))
        patches = tuple(
            Debris(
                angle_deg=float(rng.uniform(0, 360)),
                arc_deg=float(rng.uniform(4, 40)),
                inner_radius_mm=float(near),
                outer_radius_mm=float(min(near + rng.uniform(3, 12), 68.0)),
                height_um=float(rng.uniform(10, 150)),
            )
            for near in inner
        )
        cases.append(Case(debris=patches))
    return cases


def shipped(study: Study, count: int, most: int) -> list[Case]:
    """Corners of a population with one to some patches, as read on a true hub; its dirt made more frequent."""
    often = tuple(replace(one, counts=(0.4, 0.4, 0.2)) for one in study.population.dirt)
    dirty = replace(study.population, dirt=often)
    drawn = draw_block(dirty, study.seed, 0)
    cases = [bare(case_of(dirty, drawn, row)) for row in range(drawn.size)]
    return [case for case in cases if 1 <= len(case.debris) <= most][:count]


def seated(cases: list[Case]) -> None:
    get_ready(ENOUGH)
    seated_traces_um(cases, "fast")


def main(corners: int = 1024) -> None:
    study = replace(load_study("population_rear"), samples=corners, tolerance_um=0.0, levers=())
    print("stack, shipped population, fast preset")
    timed("1 000 000 vector stacks", lambda: vector_stack_um(study.population, 1_000_000, 1), 1_000_000)
    timed("100 000 rigid seatings, 4 patches", lambda: rigid(100_000), 100_000)
    run(replace(study, samples=2), workers=1)  # flexibilities
    read = Wanted("fast", driven=False, cures=False)
    timed(f"{corners} corners as found, as read", lambda: run(study, workers=1, wanted=read), corners)
    cured = Wanted("fast", driven=False, cures=True)
    timed(f"{corners} corners, every cure, as read", lambda: run(study, workers=1, wanted=cured), corners)
    few = replace(study, samples=max(corners // 8, 1))
    timed(f"{few.samples} corners, every cure, as read and as driven", lambda: run(few, workers=1), few.samples)
    chained = max(corners // 16, 1)
    timed(f"{chained} corners chained to thickness variation", lambda: driven(study, chained, workers=1), chained)
    for what, some in (
        ("one wide patch", wide(150, 1)),
        ("one to three wide patches", wide(150, 3)),
        ("one patch of the shipped population", shipped(study, 100, 1)),
        ("one to three patches of the shipped population", shipped(study, 150, 3)),
    ):
        seated(some[:1])
        timed(f"{len(some)} seatings, {what}", partial(seated, some), len(some))
    paces = []
    for workers in (1, 2):
        pace = run(replace(study, samples=2 * corners), workers=workers, wanted=cured).pace
        assert pace is not None
        paces.append(pace)
        print(
            f"  {pace.corners} corners, every cure, as read, {workers} process(es): {pace.wall_s:.2f} s wall, "
            f"{pace.cpu_s:.2f} s CPU on corners, {pace.a_second:.0f} a second, {pace.kept_busy:.2f} kept busy"
        )
    print(f"  one to two processes: {paces[0].wall_s / paces[1].wall_s:.2f} times as fast")


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
