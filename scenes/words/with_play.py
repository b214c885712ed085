"""What is listed where the hub has play, or no reading came back: its bearing, what goes on it, then a new table."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scenes.words import held_to_read, open_work, steps, to_new_table
from scenes.words.work_list import CALIPER_OFF, WHEEL_OFF, do, opened
from sim.causes.one_act import has_play

if TYPE_CHECKING:
    from scenes.words.steps import Step
    from scenes.words.work_list import Asked
    from sim.causes.answer import Finding
    from sim.parts.case import Case

#: In place of a road on a hub that comes first.
NO_ROAD = "No reading counts: no road, no stud and no cut is reckoned on a hub with play."
#: The same where readings part however often they were made.
NONE_CAME_BACK = "No reading counts: no road is reckoned from readings that part however often they were made."
FACE = f"Dial on the hub, as it was, mended or new: its bare face first{open_work.NONE_OVER_IT}"
#: What is done of play that was felt: the bearing, nothing more to look at, the part.
PLAY = open_work.PLAY_UNDER_LOAD, "", open_work.PLAY_MENDED
STAMP = (
    "The rotor still on: its stamp read. Thinnest place at or under it: this rotor goes on no more, the axle's "
    "new ones only on hubs without play. Over it, with wear left: that figure into a case file of your own, "
    "rotor.minimum_thickness_mm."
)


def no_road(found: Finding | None = None) -> str:
    """Say why no road is reckoned: play that was felt, or readings that never came back."""
    return NO_ROAD if found is None or has_play(found.told) else NONE_CAME_BACK


def next_steps(
    case: Case, asked: Asked, reading: object, thin: bool = False, found: Finding | None = None
) -> tuple[Step, ...]:
    """List what is done at a hub with play, as the job card of the same table: the bearing before stamp and rotor.

    Parameters
    ----------
    case : Case
    asked : Asked
        Its nuts, brake and part; a bearing as given is the same bearing.
    reading : Trace or None
        Last turn of the mounted rotor: the list begins where that left it.
    thin : bool
        Whether its thickness comes near the discard thickness, or under it.
    found : Finding or None
        What the table orders: of readings that part however often, what is looked at then.
    """
    felt = found is None or has_play(found.told)
    load, look, mended = PLAY if felt or found is None else open_work.looked_at(found)
    off = tuple(step for step in asked.rotor_off if step != steps.BEARING_FIRST)
    if to_new_table.stands(case, reading) and not asked.nuts:
        first: tuple[Step, ...] = (steps.own(held_to_read.as_read_last(case), "", *steps.AS_READ),)
    else:
        first = (opened(case, bool(asked.nuts), read=False), do(case, *WHEEL_OFF, *CALIPER_OFF), *asked.nuts)
    return (
        *first,
        *asked.brake,
        steps.own(load, "", "bearing"),
        *((steps.own(STAMP, "", "stamp"),) if thin else ()),
        do(case, "rotor off", "cracks"),
        *off,
        do(case, "clean", why=steps.DIRT_WHY),
        *((steps.own(look),) if look else ()),
        steps.own(mended),
        steps.own(FACE, "", "hub face"),
        do(case, "fit", "tighten", "read"),
        *to_new_table.new_table(),
    )
