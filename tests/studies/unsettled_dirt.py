"""How often does the range for unsettled dirt hold the truth? ``python -m tests.studies.unsettled_dirt`` (2 minutes).

`sim.corner.beside.runout_range_um` takes every patch at its lowest, usual and highest crushing pressure at once.
Here each patch has a strength of its own, drawn within the range of its kind by another law (a beta law that favours
the ends); in the second group stiffness and what stays differ from the table too. Writes ``unsettled_dirt.md`` beside
this file.
"""

from __future__ import annotations

import sys
import time
from dataclasses import replace
from pathlib import Path

import numpy as np

from sim.corner.beside import runout_range_um
from sim.errors import Refused
from sim.files.case_file import load_case
from sim.parts.case import Case, Debris
from sim.parts.dirt import DIRT, settled
from sim.seating.seat import seat

ROOT = Path(__file__).parents[2]
GEOMETRIES = ("rear_solid_300", "front_vented_320")
EACH = 250  # corners for each geometry and number of patches
ROUND_OFF = 1e-6
SEED = 31


def _patch(case: Case, rng: np.random.Generator) -> Debris:
    inner, outer = case.contact_zone_mm
    low = inner + rng.beta(2.0, 1.2) * (outer - inner - 9.0)
    return Debris(
        kind=str(rng.choice(list(DIRT))),
        angle_deg=float(rng.uniform(0.0, 360.0)),
        arc_deg=float(rng.uniform(4.0, 50.0)),
        inner_radius_mm=low,
        outer_radius_mm=low + rng.uniform(3.0, 9.0),
        height_um=float(rng.uniform(15.0, 160.0)),
    )


def _true(debris: Debris, rng: np.random.Generator, other: bool) -> Debris:
    kind = DIRT[debris.kind]
    low, _, high = kind.crush_mpa
    crush = low + rng.beta(0.6, 0.6) * (high - low)
    found = replace(settled(debris), crush_mpa=float(crush))
    if not other:
        return found
    stays = float(np.clip(kind.residual_share + rng.uniform(-0.15, 0.15), 0.05, 0.95))
    return replace(found, modulus_mpa=kind.modulus_mpa * float(rng.uniform(0.5, 1.9)), residual_share=stays)


def asked(case: Case, patches: int, rng: np.random.Generator) -> tuple[float, float, float, float] | None:
    """Low and high of the range, the truth, the truth with other stiffness too. [um]; None where refused."""
    corner = replace(case, debris=tuple(_patch(case, rng) for _ in range(patches)))
    truths = [replace(corner, debris=tuple(_true(d, rng, other) for d in corner.debris)) for other in (False, True)]
    try:
        span = runout_range_um(corner, "fast")
        found = [seat(truth, "fast").gauge_runout_um for truth in truths]
    except Refused:
        return None
    assert span is not None
    return (*span, *found)


def line(patches: int, rows: np.ndarray) -> str:
    """One row of the table."""
    low, high, truth, other = rows.T
    slack = ROUND_OFF * high
    inside = [(low - slack <= one) & (one <= high + slack) for one in (truth, other)]
    beyond = np.maximum(low - truth, truth - high)
    out = beyond[~inside[0]]
    above = float(np.mean(truth > high + slack))
    worst = f"{np.median(out):.1f}, {out.max():.1f}" if out.size else "none"
    shares = " | ".join(f"{100 * part.mean():.1f} %" for part in inside)
    return (
        f"| {patches} | {len(rows)} | {shares} | {100 * above:.1f} % | {worst} | {np.median(high - low):.1f} "
        f"| {np.median(high):.0f} |"
    )


def main(seed: int = SEED) -> None:
    """Run the study and write its table."""
    start = time.process_time()
    lines = []
    for patches in (1, 2, 3):
        rng = np.random.default_rng([seed, patches])
        cases = [load_case(ROOT / "demo_geometry" / f"{name}.toml") for name in GEOMETRIES]
        found = [asked(case, patches, rng) for case in cases for _ in range(EACH)]
        lines.append(line(patches, np.array([one for one in found if one is not None])))
        print(lines[-1], file=sys.stderr, flush=True)
    head = [
        "# The range for unsettled dirt",
        "",
        f"Made by `python -m tests.studies.unsettled_dirt` in {time.process_time() - start:.0f} s of one core. Both",
        f"demo part sets, nuts and spacers, seed {seed}; each patch has its own strength in the range of its kind.",
        "",
        "| patches | n | inside | inside, stiffness and what stays unknown too | above the range "
        "| beyond it: median, worst µm | median width µm | median top µm |",
        "|---|---|---|---|---|---|---|---|",
    ]
    text = "\n".join(head + lines) + "\n"
    Path(__file__).with_suffix(".md").write_text(text, encoding="utf-8")
    print(text)


if __name__ == "__main__":
    main(*map(int, sys.argv[1:2]))
