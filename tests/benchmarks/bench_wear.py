"""Timings of the wear chain, and the long comparison with brute force: printed, never asserted.

python tests/benchmarks/bench_wear.py            timings
python tests/benchmarks/bench_wear.py --long     also 10 000 km at true wear, every revolution marched (minutes);
                                                 renews tests/verification/brute_force_10000km.json
python tests/benchmarks/bench_wear.py --memory   also the coverage of the inversion over 500 simulated discs
"""

from __future__ import annotations

import json
import platform
import sys
import time
from dataclasses import replace
from datetime import date
from importlib.metadata import version
from pathlib import Path

import numpy as np

VERIFICATION = Path(__file__).resolve().parents[1] / "verification"
sys.path.insert(0, str(VERIFICATION))

from brute_force import wear_of  # noqa: E402
from wear_setup import depths, problem, runout_mm  # noqa: E402

from sim.bands import draw  # noqa: E402
from sim.forecast import Settings, drive  # noqa: E402
from sim.library import _fitted_draws, learn, new_disc, worn_orders  # noqa: E402
from sim.march import march  # noqa: E402
from sim.memory import recall, shelve, weighted_quantile  # noqa: E402
from sim.pads import Fineness, brake_of  # noqa: E402
from sim.parts import Caliper, Case  # noqa: E402

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


def coverage(discs: int = 500, places: int = 36, doubt_um: float = 2.0) -> None:
    """Share of fresh simulated discs whose runout at fitting lies in the 80 % band."""
    distance = np.array([4000.0, 10_000.0, 25_000.0])
    sigma = doubt_um * np.sqrt(2.0 / places)
    for style in ("floating", "fixed"):
        case = Case(caliper=Caliper(style=style))
        begun = time.process_time()
        libraries = learn(case, distance)
        print(f"{style}: library of {libraries[0].fitted_um.size} discs: {time.process_time() - begun:.1f} CPU s")
        brake = brake_of(case)
        ranges, values = draw(brake, discs, 991)
        rows = _fitted_draws(discs, 992)
        worn = []
        for row, drawn in zip(rows, values, strict=True):
            changed = {item.field: float(v) for item, v in zip(ranges, drawn, strict=True)}
            worn.append(worn_orders(new_disc(case, row), replace(brake, **changed), distance))
        for with_lean in (True, False):
            noise = np.random.default_rng(5)
            held, width = np.zeros((distance.size, discs)), np.zeros((distance.size, discs))
            for k, library in enumerate(libraries):
                shelf = shelve(library, sigma, with_lean)
                for i, (lean, thickness) in enumerate(worn):
                    rough = noise.standard_normal((2, 6)).T @ np.array([1.0, 1.0j])
                    seen = lean[k] + sigma / np.sqrt(2.0) * rough[:2] if with_lean else None
                    found = recall(shelf, seen, thickness[k] + sigma * rough[2:])
                    low, high = (weighted_quantile(found.fitted_um, found.weight, q) for q in (0.1, 0.9))
                    held[k, i], width[k, i] = low <= rows[i, 0] <= high, high / low
            kind = "thickness and both faces" if with_lean else "thickness only"
            print(
                f"{style}, {kind}: 80 % band holds {held.mean():.3f} of {held.size} ({held.mean(axis=1).round(3)} at "
                f"{distance} km); high over low, median {np.median(width, axis=1).round(2)}"
            )


if __name__ == "__main__":
    timings()
    if "--memory" in sys.argv:
        coverage()
    if "--long" in sys.argv:
        long_comparison()
