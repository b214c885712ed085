"""What commands that order work and ask for a road answer of a corner that has none: nuts or pads first, no road."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scenes.command import console
from scenes.command.options import write_json

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sim.errors import NotFit, Refused
    from sim.parts.case import Case
    from sim.worn_rotor import WornMap

#: How an answer by machine calls worn-out pads, as the cures of `index` do.
RENEW_PADS = "renew the pads"
#: Commands that say what is done, are no forecast and ask for the road beside it; ``remains``, which adds what its
#: readings say of the thickness, answers by itself.
ORDERING = ("clamp",)
NO_ROAD = "Nothing is told that needs a road: {why}."


def is_told(case: Case) -> bool:
    """Whether a case states a nut that is loose or off; else its road is not known, and that alone is asked for."""
    from sim.corner.road_state import slack_nut

    return bool(slack_nut(case.studs))


def has_no_road(refused: Refused, case: Case) -> bool:
    """Whether a corner is refused a road for what its case states: a nut that is slack, or pads that are worn out."""
    from sim.errors import NotFit
    from sim.parts.worn_pads import worn_out

    return is_told(case) if isinstance(refused, NotFit) else bool(worn_out(case))


def is_ordered(unfit: NotFit, words: Sequence[str]) -> bool:
    """Whether a command line asks what is done at a corner that states such a nut."""
    return bool(words) and words[0] in ORDERING and is_told(unfit.case)


def answer(unfit: Refused, case: Case, as_json: bool, worn: WornMap | None = None) -> int:
    """Print what comes first at a corner that has no road, where its list of work is, and the cautions of that work.

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
    from scenes.words import acts, memory, stated_work, what_leads, words
    from sim.causes import names
    from sim.corner.road_state import why_unfit
    from sim.errors import NotFit

    stated = what_leads.of_case(case)
    if worn is not None:
        stated = tables_road.thickness_read(case, stated, worn.thinnest_mm)
    read = "" if worn is None else memory.against_limit_and_stamp(case, worn.varies, worn.thinnest_mm)
    over_scale = bool(case.spigot_scale)
    nuts = isinstance(unfit, NotFit)
    leads, why = [*stated.lines, read], words.clean(why_unfit(case) if over_scale and nuts else str(unfit), 300)
    if as_json:
        do = names.CLEAN if over_scale else names.RETORQUE if nuts else RENEW_PADS
        write_json({"title": case.title, "do": do, "why": why}, leads)
        return 0
    also = ("maker first", *(("no impact gun",) if nuts and not over_scale else ()))
    shown = Group(
        Text(NO_ROAD.format(why=why)),
        Text(f"{words.capital(acts.THE_WORK)}."),
        Text(),
        *tables.marked(stated_work.cautions_of(case, stated, lifted=True, also=also)),
    )
    console.out().print(tables.headed(case.title, *tables.leading(leads), shown))
    return 0
