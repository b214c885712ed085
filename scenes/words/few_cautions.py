"""Which few cautions stand beside some pieces of work on a screen; the fitting sheet carries them all."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scenes.words import cautions
from scenes.words.piece_of_work import AT_THE_BRAKE, FREE_THE_CALIPER, NEW_PADS
from sim.parts.fastener import nouns

if TYPE_CHECKING:
    from collections.abc import Iterable

    from scenes.words.cautions import Caution
    from sim.parts.case import Case

# What a screen says where the rotor comes off: dust, or a rotor that scale holds; and never by the nuts.
DUSTY = ("no compressed air", "never drawn home")
STUCK = ("stuck rotor", *DUSTY)
ALL_CAUTIONS = "All cautions, each where it is needed, stand on the fitting sheet: trueseat report CASE --sheet"
#: Told where pads come off; and, further down, where a caliper is freed.
PADS_OFF = ("stands", "mask and eyes", "hang the caliper", "pump the pedal")
#: Told wherever a piece of work is done, by that piece.
BESIDE = (
    ("wheel off", "stands"), ("wheel off", "mask and eyes"), ("cracks", "cracked is scrap"),
    ("tighten", "no impact gun"),
)  # fmt: skip
FREED = ("stands", "hot", "mask and eyes", "hang the caliper", "cracked is scrap", "pump the pedal")


def told_for(case: Case, keys: Iterable[str]) -> tuple[Caution, ...]:
    """The few cautions that matter most for some pieces of work, for a screen; the fitting sheet carries them all.

    Parameters
    ----------
    case : Case
    keys : iterable of str
        Of the work.
    """
    wanted = set(keys)
    few = (STUCK if case.spigot_scale else DUSTY) if "rotor off" in wanted else ()
    freed = FREED if FREE_THE_CALIPER in wanted else PADS_OFF if NEW_PADS in wanted else ()
    braked = ("service mode",) if case.axle == "rear" and {*AT_THE_BRAKE, "park brake off"} & wanted else ()
    told = {*few, *freed, *braked, *(key for done, key in BESIDE if done in wanted)}
    order = [one.key for one in cautions.WRITTEN if one.key in told]
    return cautions.named("maker first", *order, call=nouns(case.studs))
