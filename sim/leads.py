"""What comes before every figure of a corner: scale that holds its rotor, nuts that do not, a rotor that is scrap.

The numeric half says it too: a figure of such a corner clears nothing, and no kilometre of it is told.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from sim.corner.road_state import BOLTS, NUTS, STUDS, held_badly_by, nuts_first, studs_first
from sim.parts.discard import scrap_words
from sim.spigot.state import CAUTIONS, HOME
from sim.wear.withheld import FIELDS

if TYPE_CHECKING:
    from sim.chain import Run
    from sim.parts.case import Case

CLEARS_NOTHING = "what is computed beside it clears nothing"


def leads(run: Run) -> tuple[str, ...]:
    """Say what comes before every figure, first things first; empty where nothing does.

    Parameters
    ----------
    run : Run
        A seated corner, driven or not.

    Notes
    -----
    By `sim.spigot.state`, `sim.corner.road_state.held_badly_by` and `sim.parts.discard.scrap_words`, whose limits and
    sources stand there.
    """
    return tuple(_said(one) for one in (_spigot(run.spigot),) if one) + of_case(run.case)


def of_case(case: Case) -> tuple[str, ...]:
    """Say what its case alone puts before every figure: nuts, studs or bolts, a rotor that is scrap; as `leads`.

    Parameters
    ----------
    case : Case
    """
    what, why = held_badly_by(case)
    held = {NUTS: nuts_first, STUDS: studs_first, BOLTS: lambda _, bolts: f"the bolts first: {bolts}"}
    thin = scrap_words(case, case.rotor.thickness_mm)
    each = (held[what](case, why) if what else "", f"the rotor first: {thin}" if thin else "")
    return tuple(_said(one) for one in each if one)


def _said(first: str) -> str:
    return f"{first[:1].upper()}{first[1:]}; {CLEARS_NOTHING}"


def _spigot(state: Any) -> str:
    """How scale on the spigot holds the rotor, and what is done; empty where it does not."""
    if state is None or (state["home"] == HOME and not state["wedged"]):
        return ""
    how = "was drawn home over scale, which is damage" if state["home"] == HOME else f"is {state['home']}, not home"
    return f"the spigot first: the rotor {how}: {CAUTIONS[0]}; a cracked rotor is scrap"


def withheld(first: tuple[str, ...]) -> dict[str, Any]:
    """What an answer by machine of a driven corner takes back where something comes first; nothing else.

    Parameters
    ----------
    first : tuple of str
        Of `leads`.
    """
    found: dict[str, Any] = {}
    for key, fields in FIELDS.items() if first else ():
        found |= {**dict.fromkeys(fields), key: first[0]}
    return found
