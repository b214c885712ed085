"""What is listed where the hub was rocked and has play: its bearing, what goes on it, and a new table at its end."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scenes.words import held_to_read, open_work, steps, to_new_table
from scenes.words.work_list import CALIPER_OFF, WHEEL_OFF, do, opened

if TYPE_CHECKING:
    from scenes.words.steps import Step
    from scenes.words.work_list import Asked
    from sim.parts.case import Case

#: In place of a road on a hub that comes first.
NO_ROAD = "No reading counts: no road, no stud and no cut is reckoned on a hub with play."
FACE = f"Dial on the hub, as it was, mended or new: its bare face first{open_work.NONE_OVER_IT}"
STAMP = (
    "The rotor still on: its stamp read. Thinnest place at or under it: this rotor goes on no more, the axle's "
    "new ones only on hubs without play. Over it, with wear left: that figure into a case file of your own, "
    "rotor.minimum_thickness_mm."
)


def next_steps(case: Case, asked: Asked, reading: object, thin: bool = False) -> tuple[Step, ...]:
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
    """
    off = tuple(step for step in asked.rotor_off if step != steps.BEARING_FIRST)
    if to_new_table.stands(case, reading) and not asked.nuts:
        first: tuple[Step, ...] = (steps.own(held_to_read.as_read_last(case), "", *steps.AS_READ),)
    else:
        first = (opened(case, bool(asked.nuts), read=False), do(case, *WHEEL_OFF, *CALIPER_OFF), *asked.nuts)
    return (
        *first,
        *asked.brake,
        steps.own(open_work.PLAY_UNDER_LOAD, "", "bearing"),
        *((steps.own(STAMP, "", "stamp"),) if thin else ()),
        do(case, "rotor off", "cracks"),
        *off,
        do(case, "clean", why=steps.DIRT_WHY),
        steps.own(open_work.PLAY_MENDED),
        steps.own(FACE, "", "hub face"),
        do(case, "fit", "tighten", "read"),
        *to_new_table.new_table(),
    )
