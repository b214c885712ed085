"""One turn typed in another unit than its column: how often it is asked, and how often an honest one is.

``python -m tests.studies.units [TABLES] [SEED]`` (a minute of one core) draws tables of a mounted rotor, as found and
cleaned, without a line of a feeler and with one of 100 behind every turn: true in an honest table, written from memory
in a slipped one. In a slipped one the cleaned turn is over the limit and written in hundredths, thou or millimetres in
a column of µm; in an honest one it is under the limit, in µm. A slip is caught where the table is refused or the rotor
is not left on; where it is left on and nobody tried the dial, the feeler must stand beside it. Laws of its own: nothing
of them is in `sim.files.unit_asked`. Writes ``units.md`` beside this file.
"""

from __future__ import annotations

import argparse
from collections import Counter
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from scenes.words import left_on
from sim.arrays import Floats
from sim.causes.decision import decide
from sim.errors import BadInput
from sim.files.dial_readings import parse
from sim.parts.case import Limits

LIMIT_UM = 50.0
PLACES_DEG = np.arange(12) * 30.0
UNITS_UM = {"hundredths of a mm": 10.0, "thou": 25.4, "mm": 1000.0}
DIALS_UM = (1.0, 2.0, 5.0, 10.0)
SEED = 29
#: Parts of a division that people read to, and whole micrometres: how figures are written.
HABITS = ("whole division", "half", "fifth", "whole µm")
REFUSED, ASKED, OTHER, LEFT = "refused", "feeler asked", "not left on", "left on without a word"
OUTCOMES = (REFUSED, ASKED, OTHER, LEFT)
HEAD = (
    "# studs: 5\n# gauge_radius_mm: 140\n# dial_um: {step:g}\n# turned: counter-clockwise\n# dial: + towards\n"
    "trace,mount,studs_turned,angle_deg,reading_um,state,clamped_by\n"
)


@dataclass(frozen=True)
class Drawn:
    """A table: the unit that its cleaned turn was written in (empty: its column's), the dial, and its text."""

    unit: str
    dial_um: float
    text: str


def drawn(rng: np.random.Generator, unit: str, feeler: bool = False) -> Drawn:
    """A corner as found and cleaned, its last turn in this unit; empty for an honest one under its limit."""
    dial = float(rng.choice(DIALS_UM))
    habit = str(rng.choice(HABITS))
    found_um = float(np.clip(rng.lognormal(np.log(90.0), 0.4), 40.0, 300.0))
    low, high = (1.2, 3.5) if unit else (0.1, 0.8)
    cleaned_um = LIMIT_UM * rng.uniform(low, high)
    turns = [_turn(rng, 1, found_um, dial, habit, "as found", 1.0)]
    turns.append(_thickness(rng))
    turns += [_turn(rng, 2, cleaned_um, dial, habit, "cleaned", UNITS_UM.get(unit, 1.0))] * 2
    if feeler:
        turns[0] += "mounted,1,0,feeler,100,as found,nuts and spacers\n"
        turns[-1] += "mounted,2,0,feeler,100,cleaned,nuts and spacers\n"
    return Drawn(unit, dial, HEAD.format(step=dial) + "".join(turns))


def _turn(
    rng: np.random.Generator, mount: int, tir_um: float, dial_um: float, habit: str, state: str, unit_um: float
) -> str:
    waves = np.cos(np.radians(PLACES_DEG) - rng.uniform(0.0, 2.0 * np.pi))
    waves = waves + rng.uniform(0.0, 0.3) * np.cos(2.0 * (np.radians(PLACES_DEG) - rng.uniform(0.0, np.pi)))
    read = tir_um * waves / np.ptp(waves) + rng.uniform(-tir_um, tir_um) + rng.normal(0.0, 1.5, waves.size)
    return _rows(f"mounted,{mount},0", _written(read, dial_um, habit) / unit_um, f"{state},nuts and spacers")


def _written(read_um: Floats, dial_um: float, habit: str) -> Floats:
    """Figures as they are written by this habit, in µm."""
    step = {"whole division": dial_um, "half": dial_um / 2.0, "fifth": dial_um / 5.0, "whole µm": 1.0}[habit]
    return step * np.round(read_um / step)


def _thickness(rng: np.random.Generator) -> str:
    """A thickness that is even, to the micrometre: the rotor is not held back by it."""
    return _rows("thickness,1,0", 23_900.0 + np.round(rng.normal(0.0, 1.0, PLACES_DEG.size)), "as found,")


def _rows(before: str, value: Floats, after: str) -> str:
    return "".join(f"{before},{a:g},{v:.6g},{after}\n" for a, v in zip(PLACES_DEG, value, strict=True))


def outcome(table: Drawn) -> str:
    """What the table hears."""
    try:
        decided = decide(parse(table.text), Limits(mounted_runout_um=LIMIT_UM))
    except BadInput:
        return REFUSED
    lead = left_on.ordered(decided)
    if left_on.THERE not in lead:
        return OTHER
    return ASKED if left_on.ONCE in lead else LEFT


def rows(rng: np.random.Generator, tables: int, feeler: bool = False) -> list[str]:
    """Rows of the page, a unit and a dial each; honest tables last."""
    lines = ["| written in | dial, µm | tables | " + " | ".join(OUTCOMES) + " |", "|---" * (3 + len(OUTCOMES)) + "|"]
    for unit in (*UNITS_UM, ""):
        told = [drawn(rng, unit, feeler) for _ in range(tables)]
        for dial in DIALS_UM:
            one = [table for table in told if table.dial_um == dial]
            found = Counter(map(outcome, one))
            shares = (f"{100.0 * found[what] / max(len(one), 1):.1f} %" for what in OUTCOMES)
            lines.append(f"| {unit or 'µm, honest'} | {dial:g} | {len(one)} | " + " | ".join(shares) + " |")
    return lines


PAGE = """# A turn in another unit

Made by `python -m tests.studies.units`, seed {seed}, do not edit. Tables of readings alone, without a line of a
feeler: as found 40 to 300 µm, its thickness, cleaned. In the first three groups the cleaned turn is 1.2 to 3.5 times
its limit of 50 µm and typed in another unit under `reading_um`; in the last it is 0.1 to 0.8 of it, in µm. Figures
are written to whole divisions, halves, fifths or whole micrometres, a quarter of the tables each. Refused: the table
is asked for its unit. Feeler asked: the rotor is left on only once a 0.1 mm feeler has shown the unit. Not left on:
something else is ordered. The cleaned turn stands in each table twice, as before anything is left on.

{rows}

No slipped turn may leave a rotor on without a word: the last column of the first three groups is 0. What an honest
reader pays is a feeler slipped under the tip before the rotor is left on: one line of the table, and no turn more.

## With a feeler of 100 behind every turn

True in the honest tables, written from memory in the others: left on are figures that the dial could have shown in µm.

{tried}
"""


def main() -> None:
    """Draw, ask, write."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("count", nargs="?", type=int, default=1000, help="tables a group")
    asked.add_argument("seed", nargs="?", type=int, default=SEED)
    asked.add_argument("--note", type=Path, default=Path(__file__).with_suffix(".md"))
    how = asked.parse_args()
    text = PAGE.format(
        seed=how.seed,
        rows="\n".join(rows(np.random.default_rng(how.seed), how.count)),
        tried="\n".join(rows(np.random.default_rng(how.seed), how.count, feeler=True)),
    )
    how.note.write_text(text, encoding="utf-8")
    print(text)


if __name__ == "__main__":
    main()
