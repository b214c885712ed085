"""Ten invented corners to try, with their truth: ``python -m tests.studies.ten_corners`` writes them.

Drawn from `tests.studies.corners_at_fault` (elastic seating, ragged dirt, another hub than the part set says), kept
where the fault is plain: alone (one has two), and three times any other share. The files go to ``demo_geometry``;
their heads say the truth and what an honest answer is, and the suite holds `sim.causes` to it.
"""

from __future__ import annotations

import sys
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from sim.errors import BadInput, Refused
from sim.files.dial_readings import Readings, to_csv
from tests.studies import corners_at_fault as population
from tests.studies.corners_at_fault import CAUSES, FELL, GROUPS, HUMPS, Corner, Step

SEED = 4_711
AS_FOUND, MOVED, CLEANED = Step("mounted"), Step("mounted", "as found", 2, 2), Step("mounted", "cleaned", 0, 3)
THREE = (AS_FOUND, MOVED, CLEANED)
SEAT_SEEN = (*THREE, Step("mounted", "cleaned again", 0, 4))  # what a finding of the rotor asks for
FOUND, CANNOT, NONE, AGAIN = "a finding", "cannot tell", "no cause fits", "read again"


@dataclass(frozen=True)
class Plain:
    """One of the ten."""

    name: str
    group: int
    main: str
    steps: tuple[Step, ...]
    answer: str
    about: str
    outside: str = ""
    also: str = ""


TEN = (
    Plain("01_hub_face", 0, population.HUB_FACE, (*THREE, Step("hub face", "cleaned", 0, 0)), FOUND, "hub face leans"),
    Plain(
        "02_dirt_on_hub", 0, population.HUB_DIRT, (AS_FOUND, Step("radial"), MOVED, CLEANED), FOUND,
        "bits of scale left on the hub face",
    ),
    Plain("03_dirt_on_rotor", 2, population.ROTOR_DIRT, THREE, FOUND, "dirt inside the rotor's hat, on its seat"),
    Plain("04_rotor", 2, population.OWN, (*SEAT_SEEN, Step("thickness")), FOUND, "rotor that runs out by itself"),
    Plain(
        "05_worn", 0, population.WORN, (AS_FOUND, Step("inboard"), Step("thickness"), MOVED, CLEANED), FOUND,
        "faces that wore unevenly",
    ),
    Plain(
        "06_warp", 2, population.WARP,
        (*THREE, Step("mounted", "cleaned", 2, 4), Step("mounted", "cleaned again", 2, 5), Step("thickness")), FOUND,
        "rotor bent like a saddle",
    ),
    Plain(
        "07_two_lobes", 0, population.SPIGOT, (AS_FOUND,), CANNOT,
        "scale on the spigot bows the hat; two lobes from one stud position may as well be a warped rotor",
    ),
    Plain(
        "08_one_position", 2, population.HUB_FACE, (AS_FOUND,), CANNOT,
        "hub face and rotor run out alike; from one stud position that is one vector", also=population.OWN,
    ),
    Plain(
        "09_dirt_fell_off", 0, population.HUB_DIRT, (AS_FOUND, MOVED, Step("mounted", "as found", 0, 3)), AGAIN,
        "dirt on the hub fell off when the rotor was taken off; back at the first stud it does not read as before",
        FELL,
    ),
    Plain(
        "10_saddle_on_hub", 0, population.HUB_FACE, (*THREE, Step("mounted", "cleaned", 2, 4)), NONE,
        "a hub face with humps, which no cause of the list draws", HUMPS,
    ),
)  # fmt: skip


def corner_of(plain: Plain) -> Corner:
    """The first corner of its seed whose fault is plain."""
    rng = np.random.default_rng([SEED, TEN.index(plain)])
    wanted: Callable[[Corner], bool] = _outside if plain.outside else _alone(plain)
    while True:
        drawn = replace(population.draw(rng, plain.group, plain.main), left=())
        if set(drawn.present) != {plain.main, plain.also or plain.main}:
            continue
        try:
            corner = population.solved(rng, plain.group, drawn, plain.outside)
        except (Refused, BadInput):
            continue
        if 40.0 <= corner.left_um("as found", 0) <= 100.0 and wanted(corner):
            return corner


def _alone(plain: Plain) -> Callable[[Corner], bool]:
    def alone(corner: Corner) -> bool:
        own = corner.shares_um()
        if plain.also and not _alike(corner, plain):
            return False
        if plain.main == population.WORN and not _unlike_faces(corner):
            return False
        named = [CAUSES.index(cause) for cause in (plain.main, plain.also) if cause]
        return bool(own[named].min() >= (1.5 if plain.also else 3.0) * np.delete(own, named).max())

    return alone


def _alike(corner: Corner, plain: Plain) -> bool:
    """Whether both faults are of a size and add up rather than cancel."""
    one, other = (corner.shares_um()[CAUSES.index(cause)] for cause in (plain.main, plain.also))
    return bool(0.75 < one / other < 1.33 and corner.left_um("as found", 0) > 1.2 * max(one, other))


def _unlike_faces(corner: Corner) -> bool:
    """Whether one face wore more than the other: worn alike, at opposite places, both only lean (first order)."""
    worn = CAUSES.index(population.WORN)
    return bool(abs(corner.out[worn, 1] - corner.into[worn, 1]) >= 0.6 * abs(corner.out[worn, 1]))


def _outside(corner: Corner) -> bool:
    if corner.outside == HUMPS:
        return corner.hump[0] == 2 and abs(corner.hump[1]) >= 20.0
    return bool(corner.shares_um()[CAUSES.index(population.HUB_DIRT)] >= 60.0)


def text(plain: Plain) -> str:
    """The file."""
    corner, number = corner_of(plain), TEN.index(plain)
    case = population.case_of(plain.group)
    traces = tuple(population.table(SEED, number, corner, step, slips=0.0) for step in plain.steps)
    hub = case.hub.read_radius_mm if any(step.kind == "hub face" for step in plain.steps) else None
    own = corner.shares_um()
    largest = [f"{CAUSES[k]} {own[k]:.0f} um" for k in np.argsort(-own)[:3] if own[k] >= 1.0]
    truth = "none of the list" if plain.answer == NONE else corner.dominant
    remarks = (
        f"Invented. A corner of {GROUPS[plain.group][0]}: {plain.about}.",
        f"Invented truth: {truth}",
        f"Honest answer: {plain.answer}",
        f"Largest shares as found, TIR of orders 1 .. 3: {', '.join(largest)}.",
        "Drawn with another hub than the part set says; dial noise 1 .. 4 um, each mounting 8 um TIR off.",
    )
    return to_csv(Readings(corner.studs, case.gauge_radius_mm, hub, population.DIAL_UM, traces), remarks)


def main(folder: str = "") -> None:
    """Write all ten."""
    where = Path(folder) if folder else Path(__file__).parents[2] / "demo_geometry"
    for plain in TEN:
        (where / f"corner_{plain.name}.csv").write_text(text(plain), encoding="utf-8")
        print(plain.name, file=sys.stderr, flush=True)


if __name__ == "__main__":
    main(*sys.argv[1:2])
