"""Marks of the exercises: does evidence pay, and how often is what the readings tell the truth.

``python -m tests.studies.exercises [EXERCISES OF A LEVEL]`` draws exercises of each level with keys of its own, takes
the readings of four plans, each longer than the one before, and hands in as five readers do: one who names what the
readings bear out and else says that it cannot be told (and what to read next), one who always names the likeliest
cause, one who always says dirt on the hub and cleans, one who always says that it cannot be told, and one who knows
the truth without having read it. The exercises are drawn by `sim.live.exercise` (specks, leans and their sizes of its
own, poor cleaning in the hardest level), not from the priors of `sim.causes`; the seating is the same model on both
sides. The table is written beside this file.
"""

from __future__ import annotations

import sys
from pathlib import Path

import numpy as np

import demo_geometry
from sim.causes import names
from sim.causes.finding import weigh
from sim.files.case_file import load_case
from sim.live import exercise as drawn
from sim.live import marking

PLANS = (
    ("as found", (("as found", 0),)),
    ("and on another stud", ((names.ANOTHER_STUD, 2),)),
    ("and cleaned", ((names.CLEAN_AND_REFIT, 0),)),
    ("and the bare hub", ((names.BARE_HUB, 0),)),
)
READERS = ("by the evidence", "the likeliest", "always dirt", "never tells", "guesses the truth")
FIRST_KEY = 930_000


def handed_in(reader: str, exercise, found) -> marking.Given:
    likeliest = found.ranked[0].cause
    follow = {
        names.HUB_DIRT: names.CLEAN, names.ROTOR_DIRT: names.CLEAN, names.HUB_FACE: names.HUB_AND_BEARING,
        names.ROTOR: names.RENEW, names.TORQUE: names.RETORQUE,
    }  # fmt: skip
    cure = found.do if found.do in drawn.CURES else follow.get(likeliest, names.CLEAN)
    nexts = [what for what in marking.wanted(found) if what in drawn.READINGS]
    wanted = nexts[0] if nexts else names.ANOTHER_STUD
    if reader == "by the evidence":
        return marking.Given(found.finding, cure) if found.finding else marking.Given(marking.CANNOT_TELL, wanted)
    if reader == "the likeliest":
        return marking.Given(likeliest, cure)
    if reader == "always dirt":
        return marking.Given(names.HUB_DIRT, names.CLEAN)
    if reader == "never tells":
        return marking.Given(marking.CANNOT_TELL, wanted)
    return marking.Given(exercise.faults[0], exercise.works()[0] if exercise.works() else names.CLEAN)


def study(count: int) -> str:
    base = load_case(demo_geometry.file("lesson_outer_dirty"))
    rows = []
    for at, level in enumerate(drawn.LEVELS):
        told = {name: [] for name, _ in PLANS}
        points = {name: {reader: [] for reader in READERS} for name, _ in PLANS}
        for k in range(count):
            exercise = drawn.draw(base, level, FIRST_KEY + 10_000 * at + k)
            taken: list[drawn.Taken] = []
            for name, acts in PLANS:
                for what, hole in acts:
                    taken.append(drawn.taking(taken, what, hole, base.studs.count))
                found = weigh(drawn.readings_of(exercise, taken)[0], exercise.base)
                told[name].append(None if found.finding is None else found.finding == exercise.faults[0])
                for reader in READERS:
                    given = handed_in(reader, exercise, found)
                    mark = marking.marked(exercise, drawn.minutes_of(taken), given, found)
                    points[name][reader].append(mark.points)
            print(level, k + 1, [told[name][-1] for name, _ in PLANS], flush=True)
        for name, _ in PLANS:
            made = [one for one in told[name] if one is not None]
            right = f"{sum(made)} of {len(made)}"
            means = " | ".join(f"{np.mean(points[name][reader]):.1f}" for reader in READERS)
            rows.append(f"| {level} | {name} | {len(made)} of {count} | {right} | {means} |")
    head = [
        "# Marks of the exercises", "", __doc__.split("\n\n")[1].replace("\n", " ").replace("``", "`"), "",
        f"{count} exercises of each level on `lesson_outer_dirty`, keys from {FIRST_KEY}; mean points of ten.",
        "",
        "| level | readings | a cause is told | and is the true one | " + " | ".join(READERS) + " |",
        "|---|---|---|---|" + "---|" * len(READERS),
    ]  # fmt: skip
    return "\n".join([*head, *rows]) + "\n"


def main(argv: list[str]) -> int:
    made = study(int(argv[0]) if argv else 40)
    Path(__file__).with_suffix(".md").write_text(made, encoding="utf-8")
    print(made)
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
