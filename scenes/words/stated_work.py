"""The work that a case states of a corner of which nothing is computed: steps round a rotor that goes, and cautions."""

from __future__ import annotations

from dataclasses import fields
from typing import TYPE_CHECKING

from scenes.words import cautions, to_do, work_order
from scenes.words.to_do import Step, work_off
from sim.parts.discard import is_stated
from sim.parts.fastener import nouns

if TYPE_CHECKING:
    from collections.abc import Iterable

    from scenes.words.cautions import Caution
    from scenes.words.what_leads import Stated
    from sim.parts.case import Case

#: Nothing of a rotor that goes is held or read, and no nut is tightened for it.
OFF = ("lift", "park brake off", "bearing play", "guide pin", "wheel off", "caliper off", "rotor off")
BACK = tuple(key for key in to_do.BACK_TOGETHER if key != "last trace")
#: The same in a box of its own, before all stages of the fitting sheet.
NOT_READ = (
    "The rotor goes: it is not held, not tightened and not read as found. Of “{held}” only wheel off, caliper off and "
    "hung up from a hook; “{read}” is left out; on with “{then}”."
)
#: Where scale holds that rotor, too: it is scrap, the hub under it stays.
SCALED = (
    "Scale on its spigot as given: the rotor jams on it, or nuts drew it home over it, which is damage. No nut is "
    "tightened. Once it is off, scale off the spigot, spigot and hub looked at for cracks and damage."
)
#: Whatever it is, the wheel comes off for it.
LIFTED = ("stands", "mask and eyes")
#: What is told beside each, by its name in `scenes.words.what_leads.Stated`; nuts, part and bearing ask no more.
BESIDE = {
    "scale": (*work_order.STUCK, "cracked is scrap"),
    "caliper": work_order.FREED,
    "pads": work_order.PADS_OFF,
    "hub": work_order.DUSTY,
    "rotor": (*work_order.DUSTY, "cracked is scrap"),
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


def round_a_rotor_that_goes(case: Case, stated: Stated, hub_read: bool = False) -> tuple[Step, ...]:
    """List what to do at a corner whose rotor is scrap by its thickness, in the order of work.

    Parameters
    ----------
    case : Case
    stated : Stated
        What comes before every figure: each is a step of its own once the rotor is off.
    hub_read : bool
        Whether the bare hub face that it names was read.
    """
    off, first, renewed = work_off(case, *OFF), work_order.painted_first(case), (_renewed(case),)
    by_its_stamp = renewed if is_stated(case) else ()
    return (
        Step(f"{to_do.BEFORE_A_NUT.format(first=first)} {off.what}", to_do.NONE_READ_WHY, off.keys),
        *(() if by_its_stamp else renewed),  # nothing is bought before its own stamp is read
        *(asked for name, asked in STEPS.items() if getattr(stated, name)),
        work_off(case, "clean"),
        _hub(case, stated, hub_read),
        *by_its_stamp,
        work_off(case, "fit", "tighten"),
        work_off(case, "dial", "read"),
        work_off(case, *BACK),
    )


def boxes(case: Case, stated: Stated, hub_read: bool = False) -> tuple[str, ...]:
    """Say what stands on the fitting sheet of that corner before all its stages: what no stage of it holds."""
    steps = round_a_rotor_that_goes(case, stated, hub_read)
    own = {*STEPS.values(), *to_do.HUBS, _renewed(case)}
    names = [stage.name for stage in work_order.stages(case)]
    not_read = NOT_READ.format(
        held=work_order.MARK_AND_HOLD, read=names[names.index(work_order.MARK_AND_HOLD) + 1], then="Rotor off"
    )
    scaled = (SCALED,) if case.spigot_scale else ()
    return (not_read, *scaled, *(step.what for step in steps if step in own))


#: What is looked at once that rotor is off, in the order of `scenes.words.what_leads.Stated`.
STEPS = {
    "nuts": to_do.NUTS_OVER_SCALE,
    "part": to_do.PART_OVER_SCALE,
    "caliper": to_do.CALIPER_OVER_SCALE,
    "pads": to_do.PADS_TOO,
    "bearing": to_do.BEARING_FIRST,
}


def _hub(case: Case, stated: Stated, hub_read: bool) -> Step:
    """What is done with the bare hub face."""
    if not stated.hub:
        return work_off(case, "hub face")
    return to_do.HUB_READ_FIRST if hub_read else to_do.HUB_FIRST


def _renewed(case: Case) -> Step:
    """What is done with the rotor: by a stamp that the case states, or by the one that is read first."""
    return to_do.RENEW_BY_STAMP if is_stated(case) else to_do.RENEW_SLIM
