"""The work that a case states of a corner of which nothing is computed: steps round a rotor that goes, and cautions."""

from __future__ import annotations

from dataclasses import fields, replace
from typing import TYPE_CHECKING

from scenes.words import cautions, few_cautions, steps, to_do, to_new_table
from scenes.words.work_list import Asked, back, rotor_off_first
from sim.parts.discard import is_stated
from sim.parts.fastener import nouns

if TYPE_CHECKING:
    from collections.abc import Iterable

    from scenes.words.cautions import Caution
    from scenes.words.steps import Step
    from scenes.words.what_leads import Stated
    from sim.files.trace import Trace
    from sim.parts.case import Case

#: Where scale held that rotor, too: it is scrap, the hub under it stays.
SCALED = steps.own(
    "Scale on its spigot as given: the rotor jammed on it, or nuts drew it home over it, which is damage: spigot and "
    "hub, once they are clean, looked at for cracks and damage.",
    "",
    "scale",
)
UNEVEN = "It is uneven over its limit as given, whatever its stamp."
#: The same where its thickness is given by no file of its own: what is measured tells better.
UNEVEN_AS_GIVEN = f"It is uneven over its limit as given. {steps.UNLESS_EVEN}"
#: Whatever it is, the wheel comes off for it.
LIFTED = ("stands", "mask and eyes")
#: What is told beside each, by its name in `scenes.words.what_leads.Stated`; nuts, part and bearing ask no more.
BESIDE = {
    "scale": (*few_cautions.STUCK, "cracked is scrap"),
    "caliper": few_cautions.FREED,
    "pads": few_cautions.PADS_OFF,
    "hub": few_cautions.DUSTY,
    "rotor": (*few_cautions.DUSTY, "cracked is scrap"),
}


def cautions_of(
    case: Case, stated: Stated, lifted: bool = False, also: Iterable[str] = ("maker first",)
) -> tuple[Caution, ...]:
    """Collect the cautions of the work that a case states, each once, in the order of work.

    Parameters
    ----------
    case : Case
        A rear axle has a park brake; bolts or nuts are called as it has them.
    stated : Stated
        What comes before every figure.
    lifted : bool
        Whether the wheel comes off for something else that is ordered.
    also : iterable of str
        Keys of cautions that stand there anyway.
    """
    there = [one.name for one in fields(stated) if getattr(stated, one.name)]
    wanted = {*also, *(key for name in there for key in BESIDE.get(name, ()))}
    if there or lifted:
        wanted |= {*LIFTED, *(("service mode",) if case.axle == "rear" else ())}
    order = [one.key for one in cautions.WRITTEN]
    return cautions.named(*sorted(wanted, key=order.index), call=nouns(case.studs))


def round_a_rotor_that_goes(
    case: Case, stated: Stated, hub_read: bool = False, read: Trace | None = None, uneven: bool = False
) -> tuple[Step, ...]:
    """List what to do at a corner whose rotor is scrap by its thickness, in the order of work.

    Parameters
    ----------
    case : Case
    stated : Stated
        What comes before every figure: each is a step of its own.
    hub_read : bool
        Whether the bare hub face that it names was read.
    read : Trace, optional
        Last turn of the mounted rotor of its table: then the list begins where that left it, and ends at a new table.
    uneven : bool
        Whether that table, or its case, has it over the limit of its thickness variation besides.
    """
    asked = _asked(case, stated, hub_read)
    if to_new_table.begins_there(case, asked, read):
        return to_new_table.by_stamp(case, asked, uneven)
    listed = rotor_off_first(case, asked, steps.NONE_READ_WHY, measured=asked.stamp is not None or not is_stated(case))
    moved = ("index",) if asked.hub != steps.HUB_READ_FIRST and len(case.studs.positions) > 1 else ()
    hub_first = asked.hub == steps.HUB_FIRST
    over = to_do.over_its_limit(case, *moved, new=asked.stamp is None, hub_first=hub_first)
    whole = (*listed, over, back(case, listed))
    return whole if read is None else to_new_table.ended(whole, asked.stamp is not None and not uneven)


def _asked(case: Case, stated: Stated, hub_read: bool) -> Asked:
    """What that corner asks for: its rotor by a stamp that the case states, or by the one that is read first."""
    uneven = case.rotor.own_thickness_variation_um > case.limits.dtv_um
    known = is_stated(case) or uneven
    by_stamp = steps.RENEW_BY_STAMP
    why = UNEVEN if is_stated(case) else UNEVEN_AS_GIVEN
    rotor = steps.worded(by_stamp, f"{by_stamp.what} {why}") if uneven else by_stamp
    asked = to_do.at_the_corner(case, None, bool(stated.bearing))
    return replace(
        asked,
        rotor_off=(*((SCALED,) if case.spigot_scale else ()), *asked.rotor_off),
        nuts=asked.nuts or ((steps.NUTS_FIRST,) if stated.nuts else ()),
        stamp=None if known else steps.RENEW_SLIM,
        hub=None if not stated.hub else steps.HUB_READ_FIRST if hub_read else steps.HUB_FIRST,
        rotor=(rotor,) if known else (),
    )
