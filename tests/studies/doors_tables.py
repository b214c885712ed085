"""Lawful tables for the study of doors: any stage of the work, as somebody may bring it.

One or several mounts as found, nuts tightened anew, both faces, bare hub, cleaned once or twice, turns read again,
coarse dials mixed with fine ones, a thickness read once or more often, readings taken again after a drive, and in some
an honest slip. The same table may be written otherwise, in another unit or direction, or parted in two.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from tests.studies import corners_at_fault as population
from tests.studies import doors_benches as benches
from tests.studies.corners_at_fault import Step
from tests.studies.doors_benches import Bench, Table, Turn, read

SLIPS = 0.15
#: How often the car was driven and read once more, as found again; how much its thickness has grown.
DRIVEN, GREW = 0.08, (1.0, 1.3, 1.8)


def lawful(bench: Bench) -> Table:
    """A table as somebody may have it."""
    rng = np.random.default_rng([bench.seed, bench.number, 4])
    steps = _as_found(bench, rng)
    driven = len(steps) if rng.random() < DRIVEN else 0
    if driven:
        mount = max(step.mount for step in steps) + 1
        steps += [Step("mounted", "as found", 0, mount), Step("thickness", "as found", 0, mount)]
    steps = _cleaned(bench, rng, steps)
    slip = int(rng.integers(len(steps))) if rng.random() < SLIPS and not bench.good else -1
    later = replace(bench, corner=benches.thickness_to(bench.corner, _grown_um(bench, rng))) if driven else bench
    turns = [read(later if 0 < driven <= k else bench, step, k == slip) for k, step in enumerate(steps)]
    if slip >= 0 and rng.random() < 0.5:  # read again as asked, the first reading stays
        turns.insert(slip + 1, read(bench, replace(steps[slip], again=steps[slip].again + 5)))
    return Table(later, tuple(turns))


def _grown_um(bench: Bench, rng: np.random.Generator) -> float:
    """How far the thickness varies after the drive. [um]."""
    return float(rng.choice(GREW)) * float(population.tirs(bench.corner.thickness[None])[0])


def _as_found(bench: Bench, rng: np.random.Generator) -> list[Step]:
    """One or several mounts before anything is cleaned."""
    steps = [Step("mounted", fine=bool(rng.random() < 0.1))]
    if rng.random() < 0.15:
        steps.append(replace(steps[0], again=1))
    if rng.random() < 0.2:
        steps.append(Step("inboard"))
    if rng.random() < 0.1:
        steps.append(Step("radial"))
    steps += [Step("thickness", again=k) for k in range(int(rng.choice([0, 1, 1, 1, 2, 3])))]
    mount = 1
    if rng.random() < 0.1:
        mount += 1
        steps.append(Step("mounted", "retorqued", 0, mount))
    for _ in range(int(rng.choice([0, 0, 0, 1, 2]))):
        mount += 1
        steps.append(Step("mounted", "as found", int(rng.integers(bench.studs)), mount))
    return steps


def _cleaned(bench: Bench, rng: np.random.Generator, steps: list[Step]) -> list[Step]:
    """What was read clean, at any stage; thickness at last where nobody read it before."""
    mount, studs = max(step.mount for step in steps), bench.studs
    thick = any(step.kind == "thickness" for step in steps)
    stage = int(rng.choice([0, 1, 1, 2, 2, 3]))
    here, steps = 0, list(steps)
    if stage and rng.random() < 0.5:
        steps.append(Step("hub face", "cleaned", 0, 0, 0, bool(rng.random() < 0.3)))
        again = int(rng.choice([0, 0, 0, 1, 2, 3]))
        steps += [replace(steps[-1], again=1 + k, fine=bool(rng.random() < 0.4)) for k in range(again)]
    for k in range(stage):
        mount += 1
        here = 0 if not k else int(rng.integers(studs))
        steps.append(Step("mounted", "cleaned", here, mount))
        again = int(rng.choice([0, 0, 0, 0, 0, 1, 2, 3]))
        steps += [replace(steps[-1], again=1 + turn) for turn in range(again)]
        if rng.random() < 0.1:
            steps.append(Step("inboard", "cleaned", here, mount))
    if stage and rng.random() < 0.3:
        mount += 1
        steps.append(Step("mounted", "cleaned again", here, mount))
        if rng.random() < 0.5:
            steps.append(Step("hub face", "cleaned again", 0, 0, 0, bool(rng.random() < 0.3)))
    if stage and rng.random() < 0.2:
        last = [s for s in steps if s.kind == "mounted"][-1]
        steps += [replace(last, mount=mount + 1 + k, again=0, fine=bool(rng.random() < 0.4)) for k in range(2)]
    if not thick and stage and rng.random() < 0.4:
        last = [s for s in steps if s.kind == "mounted"][-1]
        fine = bool(rng.random() < 0.3)
        often = int(rng.choice([1, 3]))
        steps += [Step("thickness", last.state, last.studs_turned, last.mount, k, fine) for k in range(often)]
    return steps


def otherwise(table: Table) -> Table:
    """The same turns written in another unit, direction and sign, the places of each turn begun elsewhere."""
    bench = table.bench
    unit = {"um": "mm", "mm": "um", "thou": "mm"}[bench.unit]
    other = replace(bench, unit=unit, clockwise=not bench.clockwise, away=not bench.away)
    return replace(table, bench=other, turns=tuple(map(_begun_elsewhere, table.turns)))


def _begun_elsewhere(one: Turn) -> Turn:
    """Rows of a turn from another place on."""
    by = one.angle_deg.size // 3
    return replace(one, angle_deg=np.roll(one.angle_deg, -by), value_um=np.roll(one.value_um, -by))


def parted(table: Table) -> tuple[Table, Table]:
    """Bare hub and all the rest, as two tables."""
    hub = tuple(one for one in table.turns if one.step.kind == "hub face")
    rest = tuple(one for one in table.turns if one.step.kind != "hub face")
    return replace(table, turns=hub), replace(table, turns=rest)
