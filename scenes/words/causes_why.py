"""Why a weighed finding orders what it does: why a part goes, why something else than readings alone would order."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scenes.words import (
    acts,
    causes_read,
    part_goes,
    uneven_rotor,
    words,
    written,
)
from scenes.words.bare_face import HUB_IS_OVER
from scenes.words.causes import read_clean, read_now, where_now, whole
from scenes.words.causes_thickness import goes_uneven
from sim.causes import names, one_act
from sim.files.readings_rows import CLEAN_STATES
from sim.parts.dial import ABOVE

if TYPE_CHECKING:
    from sim.causes.answer import Finding
    from sim.parts.case import Case

#: Where probabilities order something else than the readings alone would.
OTHERWISE = " Without the corner's geometry the next step would be: {ordered}. Here it comes second{because}."
#: The same where the readings alone order nothing: nothing comes second.
ENDS_HERE = " Without the corner's geometry it would end here: {ordered}. It does not{because}."
COSTS = (
    "a part and a car that comes back reckoned as minutes of work (judgement), it is expected to cost about {more} more"
)
GAINS_NOTHING = "it is expected to gain nothing"
HUB_FIRST = HUB_IS_OVER
OVER_DIRT = "cleaning may have left dirt, and over dirt no stud is the right one"
LIKELY_ENOUGH = "what lies beneath these readings is likely enough to act"
BY_RULE = {
    names.CLEAN: "clean and read again", names.INDEX: "the painted hole on stud {stud}", names.LEAVE: "leave it on",
    names.RENEW: "renew or cut the rotor", names.HUB_AND_BEARING: "hub and bearing",
    names.AT_LIMIT: "neither done nor over",
    names.UNEVEN_COUNTED: "its thickness counted as over its limit",
    names.READ_AGAIN: "read again what contradicts itself", names.GAUGE: "nothing before a finer gauge",
}  # fmt: skip
#: Why a part must go: what the studs read clean, or what the best of the others would leave.
WHY_READ = " Why: read clean it runs out {read} at least, limit {limit}, and no other stud is expected to do better."
WHY_NO_STUD = (
    " Why: it was read over the limit clean, and on stud {stud}, the best of those not tried, it would still run out "
    "{share} (80 % band), under {limit} with a probability of {odds}."
)


def because(found: Finding, case: Case) -> str:
    """Why a part must go: its thickness beyond its limit, or what no cleaning and no stud takes off; else empty."""
    limit, face, varies = case.limits.dtv_um, found.hub_face, found.varies
    if found.do == names.HUB_AND_BEARING and face is not None and face.state == ABOVE:
        return ""  # the verdict holds the face beside its limit: that alone orders it
    if found.do == names.RENEW and varies is not None and varies.state == ABOVE:
        over = f"{words.over_limit(varies.value_um, limit)} {words.micrometres(limit)}"
        figure = uneven_rotor.figure(varies, varies.value_um)
        return f" Why: its thickness varies by {figure}, {over}, and cleaning brings no metal back."
    best = next((one for one in found.after if one.what == "indexed"), None)
    if best is None or found.do not in (names.RENEW, names.HUB_AND_BEARING) or not read_clean(found):
        return ""
    bound = words.micrometres(case.limits.mounted_runout_um)
    stud = where_now(found) if best.studs_turned is None else best.studs_turned
    whose = part_goes.shares(found.told)
    if found.do == names.RENEW:
        whose += f" {words.capital(acts.SEAT_BY_EYE)}."
    if stud in found.tried:
        return WHY_READ.format(read=_least_read(found), limit=bound) + whose
    odds = words.chance(best.below)
    return WHY_NO_STUD.format(stud=stud + 1, share=whole(best.runout_um), limit=bound, odds=odds) + whose


def _least_read(found: Finding) -> str:
    """Least runout read on clean faces, with its stud; where it stands what counts there."""
    read = {
        at: runout
        for one in found.told.states
        if one.state in CLEAN_STATES
        for runout, at in zip(one.counted_um, one.positions, strict=True)
    }
    read[where_now(found)] = read_now(found)
    at = min(read, key=lambda one: read[one])
    return f"{words.micrometres(read[at])} (stud {at + 1})"


def by_rule(found: Finding) -> str:
    """Say what readings alone would order and why something else leads; nothing where both order the same."""
    ordered, cleaned = found.by_rule, read_clean(found)
    if found.do == names.HUB_AND_BEARING and goes_uneven(found):
        return ""  # both go: `_then_the_rotor` orders it
    if not ordered or one_act.first_step(found.do, cleaned) == one_act.first_step(ordered, cleaned):
        return ""
    if {found.do, ordered} <= one_act.MOVES and causes_read.moved_to(found) == found.rule_studs_turned:
        return ""
    said = (
        causes_read.READ[ordered.removeprefix(names.MEASURE)] if ordered.startswith(names.MEASURE) else BY_RULE[ordered]
    )
    because = LIKELY_ENOUGH
    if found.do == names.READ_AGAIN or (found.otherwise and found.do.startswith(names.MEASURE)):
        because = written.not_as_written(found)
    elif found.hub_face is not None and found.hub_face.state == ABOVE:
        because = "" if found.do == names.HUB_AND_BEARING else HUB_FIRST  # the order itself says so
    elif found.dirt_left is not None and found.dirt_left.counts:
        because = OVER_DIRT
    elif found.rule_costs_min is not None:
        more = round(found.rule_costs_min)
        because = COSTS.format(more=words.counted(more, "minute")) if more else GAINS_NOTHING
    said_so = ENDS_HERE if ordered in (names.AT_LIMIT, names.GAUGE) else OTHERWISE
    on_its_stud = causes_read.on_its_stud(said, found.rule_studs_turned, found)
    return said_so.format(ordered=on_its_stud, because=f": {because}" if because else "")
