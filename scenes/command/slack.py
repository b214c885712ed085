"""What commands that order work and ask for a road answer of a corner with a slack nut: the nuts, and no road."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scenes.command import console
from scenes.command.options import write_json

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sim.errors import NotFit
    from sim.parts.case import Case
    from sim.worn_rotor import WornMap

#: Pieces of the work whose cautions stand beside the order.
WORK, WORK_OVER_SCALE = ("tighten",), ("rotor off", "cracks")
#: Commands that say what is done, are no forecast and ask for the road beside it; ``remains``, which adds what its
#: readings say of the thickness, answers by itself.
ORDERING = ("clamp",)
NO_ROAD = "Nothing is told that needs a road: {why}."


def is_told(case: Case) -> bool:
    """Whether a case states a nut that is loose or off; else its road is not known, and that alone is asked for."""
    from sim.corner.road_state import slack_nut

    return bool(slack_nut(case.studs))


def is_ordered(unfit: NotFit, words: Sequence[str]) -> bool:
    """Whether a command line asks what is done at a corner that states such a nut."""
    return bool(words) and words[0] in ORDERING and is_told(unfit.case)


def answer(unfit: NotFit, case: Case, as_json: bool, worn: WornMap | None = None) -> int:
    """Print what comes first at a corner that is not fit to drive.

    Parameters
    ----------
    unfit : NotFit
        Why there is no road.
    case : Case
        As it was given: what a command cleaned of it before it asked for the road is told too.
    as_json : bool
    worn : WornMap, optional
        A rotor that was read by micrometer: its thickness against limit and stamp is told all the same.

    Returns
    -------
    int
        0: the answer is an order, as that of `causes`.
    """
    from rich.console import Group
    from rich.text import Text

    from scenes.command import tables, tables_road
    from scenes.words import memory, what_leads, words
    from sim.causes import names
    from sim.corner.road_state import why_unfit

    stated = what_leads.of_case(case)
    if worn is not None:
        stated = tables_road.thickness_read(case, stated, worn.thinnest_mm)
    read = "" if worn is None else memory.against_limit_and_stamp(case, worn.varies, worn.thinnest_mm)
    over_scale = bool(case.spigot_scale)
    leads, why = [*stated.lines, read], words.clean(why_unfit(case) if over_scale else str(unfit), 300)
    if as_json:
        write_json({"title": case.title, "do": names.CLEAN if over_scale else names.RETORQUE, "why": why}, leads)
        return 0
    shown = Group(
        Text(NO_ROAD.format(why=why)), Text(), *tables.cautioned(case, WORK_OVER_SCALE if over_scale else WORK)
    )
    console.out().print(tables.headed(case.title, *tables.leading(leads), shown))
    return 0
