"""How much the cells of the wheel's pad alone move the runout: ``python -m tests.studies.pad_cells [CORNERS]``.

The presets' own pads, and rings of 8 mm as often round the turn as the face, against a pad of 1.6 mm and 120 cells, all
else as the preset has it. Corners are drawn: one or two patches of hard dirt, even nuts or such as differ by a third;
and a nut that is off or nearly so, half of these over dirt.
"""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import numpy as np

from sim.arrays import Floats
from sim.parts.case import Case, Debris
from sim.seating import prepared
from sim.seating.prepared import PRESETS
from sim.seating.seat import seated_traces_um
from sim.turn import tir
from tests.verification.solid3d import stored

SEED = 3
NUT_N = 45_000.0
ON = ("fast", "standard")
BEST_MM, BEST_A_TURN = 1.6, 120
HEAD = """# Cells of the wheel's pad

Made by `python -m tests.studies.pad_cells {count}`: so many corners of each kind on the rotor, hub and wheel of the
deck E14. How far the runout with the wheel on (TIR, at least 2 µm) is from that of a pad with rings of 1.6 mm and 120
cells a turn.

| preset | pad | over dirt: rms | worst | a nut off or nearly: rms | worst |
|---|---|---|---|---|---|
"""


def dirt(rng: np.random.Generator) -> Debris:
    """One hard patch on the hub face."""
    inner = float(rng.uniform(40.0, 62.0))
    return Debris(
        angle_deg=float(rng.uniform(0.0, 360.0)),
        arc_deg=float(rng.uniform(4.0, 50.0)),
        inner_radius_mm=inner,
        outer_radius_mm=min(inner + float(rng.uniform(2.0, 10.0)), 68.0),
        height_um=float(rng.uniform(5.0, 120.0)),
    )


def corners(count: int) -> tuple[list[Case], list[Case]]:
    """Corners over dirt; corners with a nut off or nearly so."""
    rng = np.random.default_rng(SEED)
    bare = stored.reference("E14").case
    over_dirt, loose = [], []
    for k in range(count):
        pulls = np.full(5, NUT_N) * (rng.uniform(0.75, 1.1, 5) if k % 2 else 1.0)
        patches = tuple(dirt(rng) for _ in range(1 + k % 2))
        over_dirt.append(replace(bare, debris=patches, studs=replace(bare.studs, preload_n=tuple(pulls))))
        pulls = np.full(5, NUT_N)
        pulls[rng.integers(5)] *= (0.0, 0.3)[k % 2]
        patches = (dirt(rng),) if k % 4 > 1 else ()
        loose.append(replace(bare, debris=patches, studs=replace(bare.studs, preload_n=tuple(pulls))))
    return over_dirt, loose


def runouts_um(cases: list[Case], preset: str) -> Floats:
    """TIR of each; not a number where it cannot be seated."""
    return np.array([np.nan if isinstance(t, Exception) else tir(t) for t in seated_traces_um(cases, preset)])


def row(preset: str, pad: tuple[float, int], kinds: tuple[list[Case], ...], best: list[Floats]) -> str:
    """One line of the table."""
    PRESETS["tried"] = replace(PRESETS[preset], pad_ring_mm=pad[0], pad_per_turn=pad[1])
    cells = []
    for cases, known in zip(kinds, best, strict=True):
        off = 100 * (runouts_um(cases, "tried") / known - 1)[known > 2.0]
        cells += [f"{np.sqrt(np.nanmean(off**2)):.1f} %", f"{np.nanmax(np.abs(off)):.1f} %"]
    return f"| {preset} | {pad[0]:g} mm, {pad[1]} a turn | {' | '.join(cells)} |"


def main() -> None:
    """Print the table and write it beside this file."""
    count = int(sys.argv[1]) if len(sys.argv) > 1 else 40
    kinds = corners(count)
    lines = []
    for preset in ON:
        mine = PRESETS[preset]
        PRESETS["best"] = replace(mine, pad_ring_mm=BEST_MM, pad_per_turn=BEST_A_TURN)
        best = [runouts_um(cases, "best") for cases in kinds]
        for pad in ((8.0, mine.per_turn), (mine.pad_ring_mm, mine.pad_per_turn)):
            _forget()
            lines.append(row(preset, pad, kinds, best))
            print(lines[-1], flush=True)
        _forget()
    Path(__file__).with_suffix(".md").write_text(HEAD.format(count=count) + "\n".join(lines) + "\n", encoding="utf-8")


def _forget() -> None:
    """Pairs are known by the names of their presets."""
    prepared._prepared.cache_clear()


if __name__ == "__main__":
    main()
