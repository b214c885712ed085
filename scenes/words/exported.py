"""What a table of computed figures says of a corner whose figures clear nothing: jammed, drawn home, not fit, scrap."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from scenes.words import loose_nut, spigot, what_leads
from sim.parts.discard import is_stated, scrap_words
from sim.parts.rotor_goes import given_mm

if TYPE_CHECKING:
    from sim.parts.case import Case

JAMMED = "a rotor jammed on scale on the spigot, off the hub face"
HELD_OFF = "a rotor held off the hub face by scale in the root of the spigot"
DRAWN_HOME = "a rotor drawn home over scale on the spigot, which is damage"
NOT_FIT = "a corner that is not fit to drive as its wheel is held"
SCRAP = "a rotor at its discard thickness, which is scrap"
BY_THE_PART_SET = "a rotor at the discard thickness of its part set, scrap unless its own stamp clears it"
#: No colon: in a table of readings that would be a key.
OF_IT = "Of {what}; these figures clear nothing"


def states(run: Any) -> tuple[str, ...]:
    """Say in a remark each what state a run is of, where its figures clear nothing; none of a sound corner."""
    held = what_leads.not_fit(run) or loose_nut.first(run.case)
    found = (_on_the_spigot(run.spigot), NOT_FIT if held else "", _thickness(run.case))
    return tuple(OF_IT.format(what=one) for one in found if one)


def _on_the_spigot(state: Any) -> str:
    if not spigot.wrong(state):
        return ""
    return DRAWN_HOME if state["home"] == "home" else JAMMED if state["home"] == "jammed" else HELD_OFF


def _thickness(case: Case) -> str:
    """Of a rotor at its discard thickness as given; one under it is refused before anything is computed."""
    if not scrap_words(case, given_mm(case)):
        return ""
    return SCRAP if is_stated(case) else BY_THE_PART_SET
