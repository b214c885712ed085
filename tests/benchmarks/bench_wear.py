"""Timings of the wear chain, and the long comparison with brute force: printed, never asserted.

python tests/benchmarks/bench_wear.py            timings
python tests/benchmarks/bench_wear.py --long     also 10 000 km at true wear, every revolution marched (minutes);
                                                 renews tests/verification/brute_force_10000km.json
"""

from __future__ import annotations

import json
import platform
import sys
import time
from datetime import date
from importlib.metadata import version
from pathlib import Path

import numpy as np

VERIFICATION = Path(__file__).resolve().parents[1] / "verification"
sys.path.insert(0, str(VERIFICATION))

from brute_force import wear_of  # noqa: E402
from wear_setup import depths, problem, runout_mm  # noqa: E402

from sim.bench.worn_library import learn  # noqa: E402
from sim.parts.case import Caliper, Case  # noqa: E402
from sim.wear.asked import Settings  # noqa: E402
from sim.wear.brake import Fineness  # noqa: E402
from sim.wear.forecast import drive  # noqa: E402
from sim.wear.march import march  # noqa: E402

CYCLE = (500, 15)


def cpu(work, times=5):
    """Median CPU seconds of one call."""
    spent = []
    for _ in range(times):
        begun = time.process_time()
        work()
        spent.append(time.process_time() - begun)
    return float(np.median(spent))


def timings() -> None:
    begun = time.process_time()
    march(problem(fineness=Fineness()), 1.0)
    print(f"first call (compiled, or loaded from the cache): {time.process_time() - begun:.2f} CPU s")
    for style in ("floating", "fixed"):
        for tir in (0.05, 0.10, 0.15):
            one = problem(style, tir=tir, second=0.1, fineness=Fineness())
            found = march(one, 519.5e5)
            spent = cpu(lambda one=one: march(one, 519.5e5))
            print(f"100 000 km, {style}, {tir:.2f} mm: {spent:.3f} CPU s, {found.revolutions.size} steps")
        case = Case(caliper=Caliper(style=style))
        trace = 1e3 * runout_mm(0.10, 0.1)
        begun, wall = time.process_time(), time.perf_counter()
        drive(case, trace, settings=Settings(draws=256))
        spent = time.process_time() - begun
        print(f"drive with 256 draws, {style}: {time.perf_counter() - wall:.1f} s, {spent:.1f} CPU s")
        begun = time.process_time()
        learn(case, [10_000.0], count=200)
        print(f"library of 200 worn rotors to 10 000 km, {style}: {time.process_time() - begun:.1f} CPU s")


def long_comparison() -> None:
    marks = 519.5e4 * np.array([0.25, 0.5, 0.75, 1.0])
    rows = []
    for style in ("floating", "fixed"):
        one = problem(style, tir=0.10, second=0.1)
        begun = time.process_time()
        slow = wear_of(one, CYCLE, marks)
        spent = time.process_time() - begun
        quick = depths(one, marks)[:, :, 0]
        brute, ours = (1e3 * np.ptp(worn.sum(axis=1), axis=1) for worn in (slow, quick))
        off = float(np.max(np.abs(ours - brute)) / brute.max())
        words = f"brute {brute.round(3)}, ours {ours.round(3)} um, {100 * off:.3f} % of the peak"
        print(f"{style}: {words}; {spent:.0f} CPU s")
        rows.append(
            {
                "style": style,
                "tir": 0.10,
                "second": 0.1,
                "revolutions": marks.tolist(),
                "brute_dtv_um": brute.round(4).tolist(),
                "march_dtv_um": ours.round(4).tolist(),
                "largest_difference_of_peak": off,
                "largest_profile_difference_um": float(1e3 * np.max(np.abs(quick - slow))),
                "cpu_s": round(spent, 1),
            }
        )
    kept = {
        "what": "10 000 km at true wear, a stop of 15 braked revolutions every 500, every revolution marched",
        "date": date.today().isoformat(),
        "versions": {"python": platform.python_version(), "numpy": version("numpy"), "numba": version("numba")},
        "rows": rows,
    }
    (VERIFICATION / "brute_force_10000km.json").write_text(json.dumps(kept, indent=1) + "\n", encoding="utf-8")


if __name__ == "__main__":
    timings()
    if "--long" in sys.argv:
        long_comparison()
