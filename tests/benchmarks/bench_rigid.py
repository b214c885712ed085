"""Print how fast rigid seatings, indexing and bodies come; asserts nothing.

Run: OMP_NUM_THREADS=1 python tests/benchmarks/bench_rigid.py
"""

import time

import numpy as np

from sim.bench.stud_position import index_positions
from sim.bodies.solids import hub_solid, rotor_solid
from sim.parts.case import Hub, Rotor, Studs
from sim.rigid.batch import exchange, seat_rigid_batch
from sim.rigid.bearing_points import Patch
from sim.rigid.seat import seat_rigid


def timed(name, work, repeat=3):
    spent = []
    for _ in range(repeat):
        start = time.process_time()
        work()
        spent.append(time.process_time() - start)
    print(f"{name:58s} {np.median(spent):9.4f} CPU s")


def draws(rng, count, patches, pointed):
    inner = rng.uniform(42, 66, (count, patches))
    outer = inner if pointed else np.minimum(inner + rng.uniform(1, 8, inner.shape), 68)
    arc = np.zeros_like(inner) if pointed else rng.uniform(1, 40, inner.shape)
    height = rng.lognormal(np.log(0.04), 0.5, inner.shape)
    return inner, outer, rng.uniform(0, 360, inner.shape), arc, height


def main():
    rng = np.random.default_rng(1)
    for patches in (1, 2, 3):
        for pointed in (True, False):
            some = draws(rng, 100_000, patches, pointed)
            kind = "points" if pointed else "sectors"
            timed(f"1e5 rigid seatings, {patches} {kind}", lambda some=some: seat_rigid_batch(*some, 68.0))
    some = draws(rng, 1_000_000, 3, False)
    some[4][:, 1:] *= rng.random((1_000_000, 2)) < 0.5
    some[4][rng.random(1_000_000) < 0.7] = 0.0
    timed("1e6 rigid seatings, 70 % clean, 1 to 3 sectors", lambda: seat_rigid_batch(*some, 68.0), 1)
    angle = np.arange(36) * np.pi / 18
    points = np.vstack([r * np.column_stack([np.cos(angle), np.sin(angle)]) for r in (40.0, 55.0, 68.0)])
    faces = rng.normal(0, 0.01, (100_000, 108))
    timed("1e5 measured faces of 108 points", lambda: exchange(points, faces), 1)
    patch = [Patch(60, 68, 0, 20, 0.1), Patch(50, 60, 150, 30, 0.05)]
    timed("100 single seatings", lambda: [seat_rigid(patch, 68.0) for _ in range(100)])
    trace = 30 * np.cos(np.arange(360) * np.pi / 180) + 5 * np.cos(np.arange(360) * np.pi / 90 + 1)
    timed("index choice from full traces, 8 studs", lambda: index_positions(trace, trace, 8))
    timed("solid rotor, 360 sections", lambda: rotor_solid(Rotor(), Studs()))
    timed("hub, 360 sections, refined to 3 mm", lambda: hub_solid(Hub(), Studs(), refine_mm=3.0))


if __name__ == "__main__":
    main()
