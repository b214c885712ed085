"""Thickness variation at the gauge radius against eight even rings, over runout, duty, caliper and distance.

python -m tests.studies.wear_across_pad      about two minutes; renews the table beside it

The even rings are laid out apart from ``sim`` (tests/verification/wear_setup.py) and driven at a finer grid round the
turn and a finer tolerance. A difference counts as a share of what is allowed: 3 %, or 0.1 um where that is more.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "verification"))

from wear_setup import dtv_um, even_rings, problem

from sim.bench.worn_library import ROUGH
from sim.parts.case import Caliper, Case, Drive
from sim.wear.brake import COARSE, Fineness, brake_of
from sim.wear.march import march

RUNOUTS_MM = (0.02, 0.03, 0.04, 0.05, 0.07, 0.10, 0.15)
EARLY_KM = np.array([0.5, 1.0, 2.0, 3.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0])
LATE_KM = np.array([50.0, 75.0, 100.0])
TURNS_1000_KM = 519.5e3
FINE = Fineness(angles=180, tolerance_mm=3.0e-6)
LAYOUTS = {
    "standard (three places)": Fineness(),
    "bands (two places)": COARSE,
    "library (two places)": ROUGH,
    "one ring, as before": Fineness(angles=180, rings=1, tolerance_mm=3.0e-6),
}


def allowed(expected: np.ndarray) -> np.ndarray:
    return np.maximum(0.03 * expected, 0.1)


def rows():
    """For each corner: duty, caliper, runout, and for each layout its worst shares (early, late) and CPU seconds."""
    km = np.concatenate([EARLY_KM, LATE_KM])
    for style in ("floating", "fixed"):
        for duty in ("gentle", "mixed", "heavy"):
            brake = brake_of(Case(caliper=Caliper(style=style), drive=Drive(duty=duty)))
            own = {"holder_n_mm": brake.holder_n_mm, "disc_wear": brake.disc_wear}
            for tir in RUNOUTS_MM:

                def made(fineness, style=style, duty=duty, tir=tir, own=own):
                    return problem(style, tir, 0.1, duty, fineness=fineness, **own)

                truth = dtv_um(even_rings(made(FINE), 8), TURNS_1000_KM * km)
                found = {}
                for name, fineness in LAYOUTS.items():
                    one = made(fineness)
                    off = np.abs(dtv_um(one, TURNS_1000_KM * km) - truth)
                    share = off / allowed(truth)
                    spent = []
                    for _ in range(3):
                        begun = time.process_time()
                        march(one, TURNS_1000_KM * 100.0)
                        spent.append(time.process_time() - begun)
                    early, late = share[: EARLY_KM.size].max(), share[EARLY_KM.size :].max()
                    found[name] = (early, late, float(off.max()), min(spent))
                yield style, duty, tir, float(truth.max()), found


def table() -> str:
    march(problem(fineness=Fineness()), 1.0)  # compiled before anything is timed
    march(problem(), 1.0)
    found = list(rows())
    out = [
        "# Wear across the pad",
        "",
        "Made by `python -m tests.studies.wear_across_pad`. Thickness variation at the gauge radius (140 mm; pads from",
        "102.5 to 147.5 mm) against eight even rings. Errors are shares of what is allowed (3 %, or 0.1 µm where that",
        "is more): the largest over 0.5 .. 30 thousand km, and over 50 .. 100 thousand km. CPU seconds for 100 000 km,",
        "least of three. Runout with a second order of a tenth of the first.",
        "",
        "| layout | early, worst | late, worst | largest difference | CPU s, mean | CPU s, most |",
        "|---|---|---|---|---|---|",
    ]
    for name in LAYOUTS:
        cells = np.array([row[4][name] for row in found])
        early, late, off = (float(cells[:, i].max()) for i in range(3))
        seconds = cells[:, 3]
        out.append(f"| {name} | {early:.2f} | {late:.2f} | {off:.2f} µm | {seconds.mean():.3f} | {seconds.max():.3f} |")
    out += ["", "The standard layout, corner by corner:", ""]
    out += [
        "| caliper | duty | runout, mm | highest variation, µm | early | late | CPU s |",
        "|---|---|---|---|---|---|---|",
    ]
    for style, duty, tir, peak, cells in found:
        early, late, _, spent = cells["standard (three places)"]
        out.append(f"| {style} | {duty} | {tir:.2f} | {peak:.1f} | {early:.2f} | {late:.2f} | {spent:.3f} |")
    return "\n".join(out) + "\n"


if __name__ == "__main__":
    text = table()
    Path(__file__).with_suffix(".md").write_text(text, encoding="utf-8")
    print(text)
