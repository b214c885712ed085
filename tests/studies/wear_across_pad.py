"""Thickness variation at the gauge radius against eight even rings, over runout, duty, caliper and distance.

python -m tests.studies.wear_across_pad      about two minutes; renews the table beside it

The even rings are laid out apart from ``sim`` (tests/verification/wear_setup.py) and driven at a finer grid round the
turn and a finer tolerance. A difference counts as a share of what is allowed: 3 %, or 0.1 um where that is more; beside
it stands the largest difference in per cent of what is there, above 1 um and above 2 um, which no floor makes smaller.
The bands are driven as `sim.wear.draws` drives them, on other arcs of the pad too (against the standard).
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "verification"))

from wear_setup import GAUGE_MM, dtv_um, even_rings, problem, runout_mm

from sim.bench.worn_library import ROUGH
from sim.parts.case import Caliper, Case, Drive, Pads
from sim.wear.brake import COARSE, Fineness, brake_of
from sim.wear.disc import make_problem
from sim.wear.draws import bands_fineness
from sim.wear.march import march

RUNOUTS_MM = (0.02, 0.03, 0.04, 0.05, 0.07, 0.10, 0.15)
EARLY_KM = np.array([0.5, 1.0, 2.0, 3.0, 5.0, 7.5, 10.0, 15.0, 20.0, 25.0, 30.0])
LATE_KM = np.array([50.0, 75.0, 100.0])
TURNS_1000_KM = 519.5e3
FINE = Fineness(angles=180, tolerance_mm=3.0e-6)
ARCS_DEG = (40.0, 46.0, 50.0, 55.0, 60.0, 66.0, 72.0)
#: What the bands were driven on before, whatever the arc.
BEFORE = Fineness(angles=72, rings=2, release_angles=8, tolerance_mm=1.0e-4)
LAYOUTS = {
    "standard (three places)": Fineness(),
    "bands (three places)": COARSE,
    "bands before (two places)": BEFORE,
    "library (two places)": ROUGH,
    "one ring, as before": Fineness(angles=180, rings=1, tolerance_mm=3.0e-6),
}


def allowed(expected: np.ndarray) -> np.ndarray:
    return np.maximum(0.03 * expected, 0.1)


def strict(off: np.ndarray, truth: np.ndarray) -> tuple[float, float]:
    """Largest difference in per cent of what is there, above 1 and above 2 um."""
    return tuple(float(np.max(100.0 * off / truth, where=truth > least, initial=0.0)) for least in (1.0, 2.0))


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
                    found[name] = (early, late, float(off.max()), min(spent), *strict(off, truth))
                yield style, duty, tir, float(truth.max()), found


def arcs() -> list[str]:
    """Bands against the standard on other arcs of the pad: a line for each."""
    km = TURNS_1000_KM * np.concatenate([EARLY_KM, LATE_KM])
    out = []
    for arc in ARCS_DEG:
        worst = {"now": np.zeros(2), "before": np.zeros(2)}
        for style in ("floating", "fixed"):
            for duty in ("mixed", "heavy"):
                case = Case(caliper=Caliper(style=style), drive=Drive(duty=duty), pads=Pads(arc_deg=arc))
                brake = brake_of(case)
                for tir in (0.03, 0.06):
                    truth, now, before = (
                        dtv_um(make_problem(brake, runout_mm(tir, 0.1), GAUGE_MM, None, fineness), km)
                        for fineness in (Fineness(), bands_fineness(brake), BEFORE)
                    )
                    for name, one in (("now", now), ("before", before)):
                        worst[name] = np.maximum(worst[name], strict(np.abs(one - truth), truth))
        angles = bands_fineness(brake).angles
        cells = " | ".join(
            f"{share:.1f} %" for pair in zip(worst["now"], worst["before"], strict=True) for share in pair
        )
        out.append(f"| {arc:.0f} | {angles} | {cells} |")
    return out


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
        "least of three. Runout with a second order of a tenth of the first. Over 1 and over 2 µm: the largest",
        "difference in per cent of what is there.",
        "",
        "| layout | early, worst | late, worst | largest difference | over 1 µm | over 2 µm | CPU s, mean | most |",
        "|---|---|---|---|---|---|---|---|",
    ]
    for name in LAYOUTS:
        cells = np.array([row[4][name] for row in found])
        early, late, off = (float(cells[:, i].max()) for i in range(3))
        seconds, over_1, over_2 = cells[:, 3], *(float(cells[:, i].max()) for i in (4, 5))
        out.append(
            f"| {name} | {early:.2f} | {late:.2f} | {off:.2f} µm | {over_1:.1f} % | {over_2:.1f} % | "
            f"{seconds.mean():.3f} | {seconds.max():.3f} |"
        )
    out += ["", "The bands on other arcs of the pad, against the standard: two calipers, two duties, 30 and 60 µm.", ""]
    out += ["| arc, deg | angles | over 1 µm | before | over 2 µm | before |", "|---|---|---|---|---|---|", *arcs()]
    out += ["", "The standard layout, corner by corner:", ""]
    out += [
        "| caliper | duty | runout, mm | highest variation, µm | early | late | CPU s |",
        "|---|---|---|---|---|---|---|",
    ]
    for style, duty, tir, peak, cells in found:
        early, late, _, spent, *_ = cells["standard (three places)"]
        out.append(f"| {style} | {duty} | {tir:.2f} | {peak:.1f} | {early:.2f} | {late:.2f} | {spent:.3f} |")
    return "\n".join(out) + "\n"


if __name__ == "__main__":
    text = table()
    Path(__file__).with_suffix(".md").write_text(text, encoding="utf-8")
    print(text)
