"""Does a population fitted to 200 audited runouts hold the truth? ``python -m tests.studies.stack_fit [truths]``.

Truths are corners seated with dirt of three heights, vectors of hub and rotor drawn here with other distributions and
other seeds than the estimator assumes; their share over the limit is counted on the seated corners themselves.
"""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import numpy as np

from sim.stack.fit import SCALES, fit, tabled
from sim.stack.run import run
from sim.stack.seated import Wanted
from sim.stack.study_file import load_study
from sim.turn import evaluate_rows

READ = 200  # runouts of one audit
TRUE, TABLED = 1024, 2048  # corners behind each truth, and behind the estimator
LIMIT = 50.0
HEIGHTS = (0.75, 1.0, 1.4)
GROUPS = ("as assumed", "hub even", "rotors of two makers", "much dirt", "uneven nuts")
TABLE = Path(__file__).with_suffix(".md")
HUB_GAIN = 140.0 / 64.0  # dial over where a hub face is read
HEADS = ("truths", "over the limit, in the 80 % band", "cleaned", *SCALES, "width over truth", "refused")


def truths(height: float, uneven: float, seed: int):
    """Seated corners, half of them dirty, the dirt higher or lower; orders of the seated trace and which are dirty."""
    study = load_study("population_rear")
    population = study.population
    dirt = []
    for one in population.dirt:
        told = replace(one.height_um, parameters=(one.height_um.parameters[0] * height, one.height_um.parameters[1]))
        dirt.append(replace(one, height_um=told, counts=(0.5, *(0.5 * np.array(one.counts[1:]) / sum(one.counts[1:])))))
    stud = replace(population.stud, parameters=(1.0, population.stud.parameters[1] * uneven))
    changed = replace(population, dirt=(dirt[0], replace(population.dirt[1], counts=(1.0,))), stud=stud)
    drawn = run(
        replace(study, population=changed, samples=TRUE, seed=seed, tolerance_um=0.0, driven=False, levers=()),
        workers=1,
        wanted=Wanted("fast", driven=False, cures=True),
    )
    dirty = np.concatenate([one.patches[0].count > 0 for one in drawn.drawn])
    return drawn.orders["found"], drawn.orders["cleaned"], dirty


def vectors(rng, group, hub, rotor, count):
    """First orders of hub and rotor, amplitudes at the dial."""
    face = rng.uniform(0.0, 2.5 * 6.0 * hub, count) if group == "hub even" else 6.0 * hub * rng.rayleigh(1.0, count)
    own = 8.0 * rotor * rng.rayleigh(1.0, count)
    if group == "rotors of two makers":
        own = own * rng.choice([0.5, 1.4], count)
    angle = np.exp(2j * np.pi * rng.random((2, count)))
    return HUB_GAIN * np.minimum(face, 30.0 * hub) / 2.0 * angle[0] + np.minimum(own, 30.0 * rotor) / 2.0 * angle[1]


def runouts(orders, vector):
    whole = orders.copy()
    whole[:, 0] = 0.0
    whole[:, 1] += vector
    return np.ptp(evaluate_rows(whole, 180), axis=1)


def one_truth(rng, group, library, table):
    """One truth: what is true, what the fit says."""
    hub, rotor = np.exp(0.3 * rng.standard_normal(2))
    odds = np.exp(0.6 * rng.standard_normal()) * (3.0 if group == "much dirt" else 1.0)
    height = HEIGHTS[rng.integers(len(HEIGHTS))]
    found, clean, dirty = library[(height, 2.0 if group == "uneven nuts" else 1.0)]
    share = odds * 0.3 / 0.7 / (1.0 + odds * 0.3 / 0.7)
    weight = np.where(dirty, share / dirty.sum(), (1.0 - share) / (~dirty).sum())
    many = rng.choice(dirty.size, 8000, p=weight / weight.sum())
    vector = vectors(rng, group, hub, rotor, many.size)
    over = float(np.mean(runouts(found[many], vector) > LIMIT))
    over_clean = float(np.mean(runouts(clean[many], vector) > LIMIT))
    audit = rng.choice(dirty.size, READ, p=weight / weight.sum())
    read = runouts(found[audit], vectors(rng, group, hub, rotor, READ))
    said = fit(table, read)
    true = dict(zip(SCALES, (hub, rotor, odds, height), strict=True))
    inside = [said.reject[0] <= over <= said.reject[2], said.reject_cleaned[0] <= over_clean <= said.reject_cleaned[2]]
    inside += [one.low <= true[one.name] <= one.high for one in said.scales]
    return inside, (said.reject[2] - said.reject[0]) / max(over, 0.002)


def main(count: int = 100) -> None:
    estimator = load_study("population_rear")
    seated = replace(estimator, samples=TABLED, tolerance_um=0.0, driven=False, levers=())
    table = tabled(run(seated, workers=1), seed=1)
    library = {(height, 1.0): truths(height, 1.0, 900 + k) for k, height in enumerate(HEIGHTS)}
    library |= {(height, 2.0): truths(height, 2.0, 950 + k) for k, height in enumerate(HEIGHTS)}
    lines = [
        "# A population fitted to 200 audited runouts: how often its 80 % bands hold the truth",
        "",
        f"`python -m tests.studies.stack_fit {count}`: truths drawn as the module says; shares in %.",
        "",
        "| group | " + " | ".join(HEADS) + " |",
        "|---" * (len(HEADS) + 1) + "|",
    ]
    for number, group in enumerate(GROUPS):
        rng = np.random.default_rng([77, number])
        rows, widths, refused = [], [], 0
        for _ in range(count):
            try:
                inside, width = one_truth(rng, group, library, table)
            except Exception as error:
                if type(error).__name__ != "BadInput":
                    raise
                refused += 1
                continue
            rows.append(inside)
            widths.append(width)
        held = 100.0 * np.mean(rows, axis=0)
        cells = [str(len(rows)), *(f"{one:.0f}" for one in held), f"{np.median(widths):.1f}", str(refused)]
        lines.append(f"| {group} | " + " | ".join(cells) + " |")
        print(lines[-1], flush=True)
    TABLE.write_text("\n".join(lines) + "\n", encoding="utf-8")


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
