"""Whether a class that fits the prescribed foil reads within the band that was printed.

``python -m tests.studies.foil`` writes ``foil.md`` beside this file, row by row. Two numbers after it are the benches
matched and of every other group; then it only prints. The benches are those of `tests.studies.benches_with_foil`,
which shares no distribution with the forecast.
"""

from __future__ import annotations

import sys
import time
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

import demo_geometry
from sim.bench import foil, foil_forecast, foil_reading
from sim.errors import Refused
from sim.files.case_file import load_case
from tests.studies.benches_with_foil import MATCHED, SHIFTED, World, bodies, read

SEED = 83_000
CORNERS = ("rear_solid_300", "front_vented_320")
BODIES = 3  # hubs and rotors of their own stiffness, for each corner and group
MATCHED_BENCHES, SHIFTED_BENCHES = 240, 60


@dataclass
class Count:
    """What came out of a group."""

    trials: int = 0
    void: int = 0
    runout: int = 0
    vector: int = 0
    mounted: int = 0
    width: list[float] = field(default_factory=list)
    off: list[float] = field(default_factory=list)  # read less the middle foretold, [um]

    def add(self, held: tuple[foil_reading.Held, ...]) -> None:
        for one in held:
            self.trials += 1
            if one.vector == foil_reading.VOID:
                self.void += 1
                continue
            low, middle, high = one.expected.runout_um
            self.runout += one.runout == foil_reading.INSIDE
            self.vector += one.vector == foil_reading.INSIDE
            self.mounted += one.mounted_band_um[0] <= one.mounted_um <= one.mounted_band_um[1]
            self.width.append(high - low)
            self.off.append(one.runout_um - middle)

    @property
    def told_um(self) -> float:
        """Width of the band that would have held 80 % of these, had their middle and spread been told. [um]."""
        low, high = np.quantile(self.off, (0.1, 0.9))
        return float(high - low)

    def row(self, name: str) -> str:
        n = self.trials - self.void
        told = self.told_um
        width = float(np.median(self.width))
        shares = (self.runout, self.mounted, self.vector)
        cells = [f"{100 * share / n:.1f}%" for share in shares]
        return (
            f"| {name} | {n} | {100 * self.void / self.trials:.1f}% | {' | '.join(cells)} | {width:.0f} | {told:.0f} | "
            f"{width / told:.2f} | {np.mean(self.off):+.1f} |"
        )


def group(world: World, benches: int, seed: int) -> Count:
    """Count what came out of one group."""
    rng, count = np.random.default_rng(seed), Count()
    each = benches // (BODIES * len(CORNERS))
    for name in CORNERS:
        of = foil.prescribe(load_case(demo_geometry.file(name)))
        at = tuple(360.0 * k / world.places for k in range(world.places))
        known = {
            dial: foil_forecast.forecast(of, foil_forecast.Read(at, dial, 1)) for dial in sorted(set(world.dial_um))
        }
        for _ in range(BODIES):
            body = bodies(rng, of.case, world)
            for _ in range(each):
                dial = float(rng.choice(world.dial_um))
                try:
                    table = read(rng, of, body, world, dial)
                except Refused:
                    continue
                held = foil_reading.hold(known[dial], foil_reading.bench_of(table, len(of.trials)))
                count.add(held)
    return count


HEAD = """\
# What the dial reads with a foil in, against what was foretold

`python -m tests.studies.foil`, {matched} benches matched and {shifted} of every other group, three trials each, seed
{seed}. Truths are benches of `tests/studies/benches_with_foil.py`: other distributions than the forecast's, true
rectangles laid askew with a burr at their cut edges, wavy faces, hub and rotor of their own stiffness, torque drawn
mounting by mounting, another preset of the solver. They are drawn, not measured:
the log of real classes is what this cannot replace.

Void: bare turns that differ too much. TIR: highest less lowest of the readings with foil less without. Dial: TIR of the
turn with foil, as the dial showed it. Vector: first order, size and angle together, in its 80 % ellipse. Told: width of
the band that would have held 80 % had the group been told. Off: mean of read less foretold.

| benches | trials | void | TIR within | dial within | vector within | width [µm] | told [µm] | ratio | off [µm] |
|---|---|---|---|---|---|---|---|---|---|
"""


def main() -> None:
    given = tuple(int(one) for one in sys.argv[1:3])
    matched, shifted = given if len(given) == 2 else (MATCHED_BENCHES, SHIFTED_BENCHES)
    began = time.process_time()
    text = HEAD.format(matched=matched, shifted=shifted, seed=SEED)
    for number, world in enumerate((MATCHED, *SHIFTED)):
        row = group(world, matched if world is MATCHED else shifted, SEED + number).row(world.name)
        print(row, flush=True)
        text += row + "\n"
        if not given:
            told = f"{text}\n{(time.process_time() - began) / 60:.0f} CPU minutes.\n"
            Path(__file__).with_suffix(".md").write_text(told, encoding="utf-8")


if __name__ == "__main__":
    main()
