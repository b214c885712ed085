"""Which pieces of the order of work the act of a weighed finding is made of, and the card's own boxes and stops."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scenes.words.causes import read_now, where_now
from scenes.words.causes_do import best_stud, not_clean_yet, stud_to_read
from sim.causes import names
from sim.corner.road_state import loose_on_the_road
from sim.parts.thickness import MEAN_OF

if TYPE_CHECKING:
    from sim.causes.answer import Finding
    from sim.parts.case import Case

#: Pieces of the work where the action names the stud, and where the work stops.
INDEX_NOW = "Painted hole on stud {stud}, same torque; read again."
FIT_NOW = "Refit with the painted hole on stud {stud}, home by hand, faces as they are."
ASK_AGAIN = "Stop: readings into the file, ask again. Caliper and wheel only when it says that the search ends."
#: Boxes of the card alone: what the act may order and the list of work, made for a corner that stays, has not.
NUTS_BOX = "Stud, nut and the wheel's seat looked at ({loose}); worn ones renewed."
STAMP_BOX = "Stamp read and written above: thinnest place at or under it, both rotors of the axle are renewed{else_}."
OVER_IT = "; over it that figure goes into the case file, ask again"
#: Where nothing but the stamp is left to decide: no runout keeps such a rotor on.
STOP_AT_STAMP = "Stop: the stamp decides{over_it}. At or under it nothing goes back on."
#: Where neither a dial nor a micrometer decides.
AT_LIMIT_BOX = (
    "Nuts slackened, tightened crosswise in stages, read again, until three turns stand there: ____, ____, ____ µm; "
    "vehicle maker's limit ____ µm. Into the file, ask again; mean over it: nothing goes back on."
)
MEAN_BOX = (
    "Mean of {turns} turns {read:.0f} µm, vehicle maker's limit ____ µm: over it stop here, nothing goes back on."
)
UNEVEN_BOX = (
    "Thickness counted as over: both rotors of the axle new, or cut where their maker allows. Left on only where read "
    "finer: varies by ____ ± ____ µm, vehicle maker's limit ____ µm."
)
RENEW_BOX = "Both rotors of the axle: new, or cut where their maker allows; each hub clean."
NEW_BOX = "Both rotors of the axle: new; each hub clean."
HUB_BOX = "Play, or the clean hub face over the maker's limit: hub or bearing renewed."

# What leaves the rotor where it is.
LEFT_ON = (names.LEAVE, names.AT_LIMIT, names.UNEVEN_AT_LIMIT)
# Pieces of the order of work that each action is made of; `scenes.words.work_order` words and orders them.
# The park brake is the rear's, the guide pin a corner's on bolts: the list leaves out what a corner has not.
TO_THE_ROTOR = ("support", "breakaway torque", "lift", "park brake off", "bearing play", "wheel-on trace",
                "guide pin", "wheel off")  # fmt: skip
ON_AGAIN = ("caliper", "wheel", "last trace", "park brake back", "pedal", "bed in")
AS_READ = ("mark", "home", "spacers", "caliper off", "flange play", "dial")
CLEANED = (*AS_READ, "rotor off", "cracks", "clean", "hub face", "fit", "tighten", "read")
WORK = {
    names.CLEAN: (*TO_THE_ROTOR, *CLEANED, *ON_AGAIN),
    names.INDEX: (*TO_THE_ROTOR, *CLEANED, "index", *ON_AGAIN),
    names.CLEAN_THEN_INDEX: (*TO_THE_ROTOR, *CLEANED, *ON_AGAIN),
    names.RENEW: (*TO_THE_ROTOR, "thickness", *CLEANED, *ON_AGAIN),
    names.HUB_AND_BEARING: (*TO_THE_ROTOR, *CLEANED, *ON_AGAIN),
    names.RETORQUE: (*TO_THE_ROTOR, *AS_READ, "tighten", "read", *ON_AGAIN),
    names.READ_AGAIN: (*TO_THE_ROTOR, *AS_READ, "as found", *ON_AGAIN),
    names.LEAVE: ON_AGAIN,
    names.AT_LIMIT: ON_AGAIN,
    names.UNEVEN_AT_LIMIT: ("thickness", *ON_AGAIN),
}
CLEAN_AND_ON = (*TO_THE_ROTOR, *CLEANED, *ON_AGAIN)  # what was never read clean is not left on as it is
WORK_TO_READ = {
    names.ANOTHER_STUD: ("rotor off", "fit", "tighten", "read"),
    names.BACK: ("rotor off", "fit", "tighten", "read"),
    names.CLEAN_AND_REFIT: CLEANED,
    names.BARE_HUB: ("rotor off", "cracks", "hub face", "fit", "tighten", "read"),
    names.THICKNESS: ("thickness",),
    names.FINER_MICROMETER: ("thickness",),
    names.FINER_DIAL: ("read",),
    names.RETORQUED: ("tighten", "read"),
}


def work_keys(found: Finding) -> tuple[str, ...]:
    """Keys of the work to do, for `scenes.words.work_order`."""
    if found.do.startswith(names.MEASURE):
        reading = WORK_TO_READ.get(found.do.removeprefix(names.MEASURE), ())
        return (*TO_THE_ROTOR, *AS_READ, *reading, *ON_AGAIN)
    if found.do == names.INDEX and best_stud(found) == where_now(found):
        return WORK[names.READ_AGAIN]
    return CLEAN_AND_ON if not_clean_yet(found) else WORK[found.do]


def written_keys(found: Finding) -> frozenset[str]:
    """Keys of what is written down on the day; on another stud it is no reading of a cleaned, fitted rotor."""
    keys = {"as found", *work_keys(found)}
    if found.do in (names.MEASURE + names.ANOTHER_STUD, names.MEASURE + names.BACK):
        return frozenset(keys - {"read"} | {"index"})
    return frozenset(keys)


def work_now(found: Finding, key: str) -> str:
    """Say a piece of the work as the action orders it, where it names a stud; empty where the list's words stand."""
    if key == "index" and found.do == names.INDEX:
        return INDEX_NOW.format(stud=best_stud(found) + 1)
    if key == "fit" and found.do in (names.MEASURE + names.ANOTHER_STUD, names.MEASURE + names.BACK):
        return FIT_NOW.format(stud=stud_to_read(found) + 1)
    return ""


def nuts_box(case: Case) -> str:
    """Box for the nut that was loose on the road, before all work; empty where none was."""
    loose = loose_on_the_road(case.studs)
    return NUTS_BOX.format(loose=loose) if loose else ""


def stamp_box(found: Finding, thin: str, stated: bool) -> str:
    """Box for reading the stamp, before all work; empty where the rotor is not near its discard thickness.

    ``stated``: whether the user's own case file holds that figure already.
    """
    return STAMP_BOX.format(else_=OVER_IT if found.do in LEFT_ON and not stated else "") if thin else ""


def limit_box(found: Finding) -> str:
    """Box for what decides where neither dial nor micrometer does; empty where they do."""
    if found.do == names.AT_LIMIT and found.turns >= MEAN_OF:
        return MEAN_BOX.format(turns=found.turns, read=read_now(found))
    return {names.AT_LIMIT: AT_LIMIT_BOX, names.UNEVEN_AT_LIMIT: UNEVEN_BOX}.get(found.do, "")


def part_box(found: Finding, thin: str) -> str:
    """Box for the part that the act renews, before it is fitted; empty where none is."""
    if found.do == names.RENEW:
        return NEW_BOX if thin else RENEW_BOX
    return HUB_BOX if found.do == names.HUB_AND_BEARING else ""


def ask_again(found: Finding, thin: str = "", stated: bool = False) -> str:
    """Say that the work stops at a reading or at the stamp, and what for; empty where the action is the last one."""
    if found.do not in (names.RENEW, names.HUB_AND_BEARING, *LEFT_ON) or not_clean_yet(found):
        return ASK_AGAIN
    if thin and found.do in LEFT_ON:
        return STOP_AT_STAMP.format(over_it="" if stated else OVER_IT)
    return ""
