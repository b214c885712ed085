"""A nut that was loose, off or pulled too hard: it leads every answer, and nothing beside it clears a corner."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from scenes.words import words
from sim.corner import road_state
from sim.corner.road_state import (
    LOOK_AT,
    NO_NUT,
    NUTS,
    RENEWED,
    STUDS,
    held_badly_by,
    loose_on_the_road,
    nuts_first,
    past_proof,
    renewed_too,
    uneven_on_the_road,
)
from sim.parts.fastener import bolt_warnings, bolts_on_the_road

if TYPE_CHECKING:
    from sim.parts.case import Case, Studs

CLEARS_NOTHING = "which clears nothing, the nuts come first"
#: In place of a figure that would calm, and of its note.
NOT_TOLD = ("not told", "a nut was loose: the nuts first")
#: In place of what drivers call the rotor's share.
CALLED = "the nuts first"
#: In place of a forecast that stays below its limit.
ROAD = "What the rotor alone makes of the road clears nothing while a nut is loose: the nuts first, do not drive it so."
ORDERS_NOTHING = "What is told beside it orders and clears nothing"
UNEVEN = "As driven the nuts pull unevenly: {loose}. {then}."
#: How, and what comes before any torque, the list of work says.
LOOK_FIRST = (
    "Stud, nut and the wheel's seat there are looked at before any is tightened, worn ones are renewed (common "
    "practice, no source); then the vehicle maker's torque, where the work comes to it"
)
#: Of studs past their proof load, beside a rotor that goes.
TOO_HARD_TOO = f"The studs too: {RENEWED}"
NOT_FOR_SCRAP = "no nut is tightened to read a rotor that goes"
#: The same in place of a pass and in the headline.
STUDS_FIRST = "which clears nothing, what holds the wheel comes first"


def too_hard(case: Case) -> str:
    """Say in a headline which studs are pulled past their proof load; empty where none is."""
    over = past_proof(case.studs)
    return f"{words.capital(road_state.studs_first(case, over))}." if over else ""


def bolts_first(case: Case) -> str:
    """Say in a headline that wheel bolts hold a wheel badly by their length as given; empty where they hold."""
    bolts = bolts_on_the_road(case)
    return f"The wheel bolts first: {bolts}." if bolts else ""


def bolts_as_held(case: Case) -> str:
    """Say in a headline that wheel bolts bottom or hold by few threads as held for reading; empty where they do not."""
    held = bolt_warnings(case)
    if not held:
        return ""
    return f"The bolts first, as held for reading: {held[0]}. The thread in the hub is looked at before it is read."


def studs_first(run: Any) -> str:
    """Say before every figure that studs are pulled past their proof load, or wheel bolts hold badly; else empty."""
    if bolts := bolts_first(run.case):
        return bolts
    if getattr(run, "reading", None) is None and (held := bolts_as_held(run.case)):
        return held
    return too_hard(run.case)


def leads(case: Case) -> str:
    """Say what holds the wheel badly, and what comes first: the one rule of every command.

    A nut that was loose or off, wheel bolts of a wrong length, studs pulled too hard; empty where all hold, or nobody
    said.
    """
    what, why = held_badly_by(case)
    if what == NUTS:
        return f"{words.capital(nuts_first(case, why))}. {ORDERS_NOTHING}."
    return bolts_first(case) or too_hard(case)


def first(case: Case) -> str:
    """Say the same, and of wheel bolts that hold badly as they are held for reading."""
    return leads(case) or bolts_as_held(case)


def first_beside_scrap(case: Case) -> str:
    """Say the same beside a rotor that goes: nothing is tightened to read it, what is worn is renewed before the new.

    As `first` where scale forbids every torque anyway, or bolts of a wrong length lead.
    """
    held, why = held_badly_by(case)
    if case.spigot_scale or held not in (NUTS, STUDS):
        return first(case)
    slack = f"The nuts too: {why}; {LOOK_AT}{renewed_too(case.studs)}"
    what = slack if held == NUTS else TOO_HARD_TOO.format(over=why)
    return f"{what}; {NOT_FOR_SCRAP}. {ORDERS_NOTHING}."


def calms(studs: Studs, state: str, dtv_um: float) -> bool:
    """Whether a forecast of a corner with such a nut would calm whoever reads it: below its limit, or called quiet."""
    return bool(loose_on_the_road(studs)) and (state != "above" or words.dtv_band(dtv_um) == words.DTV_BANDS[0][1])


def uneven(case: Case) -> str:
    """Say in a headline which nuts pull far less than the others as driven; empty where they are even."""
    loose, then = uneven_on_the_road(case.studs), words.capital(NO_NUT) if case.spigot_scale else LOOK_FIRST
    return UNEVEN.format(loose=loose, then=then) if loose else ""
