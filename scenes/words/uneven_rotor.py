"""What is said of a thickness that varies: beside its limit, how it is read again, and what it counts as at last."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scenes.words.words import GAP, capital, micrometres
from sim.parts.dial import ABOVE, BELOW, TOO_CLOSE
from sim.parts.thickness import LEAST_BETWEEN_UM, NO_MORE, PLACES, SELDOM_LESS, UNEVEN_NEITHER

if TYPE_CHECKING:
    from sim.parts.thickness import Uneven

#: Repeats are added, never put in place of the first: the middle of all of them counts.
ADDED = "further lines with mount, studs_turned and state of those that are there, which stay"
FINER_MICROMETER = (
    f"thickness at the same places with the finest micrometer at hand, every place {{times}} times, {ADDED}, its "
    "division in the column dial_um; their middle is sure to {half} (k = 2) at 0.001 mm a division"
)
#: A division about as large as the limit shows the same all round of a rotor that varies by its limit.
TOO_COARSE = (
    f"thickness at the same places with a micrometer of {{mm:g}}{GAP}mm a division or finer, {ADDED}, its division in "
    "the column dial_um: the one that read it is too coarse for this limit, however often it reads; who has none finer "
    "stops here and hands the work on to who has one"
)
#: Of several turns that scatter: their middle, place by place, is as uneven as they scatter.
STEADIER_HAND = (
    "thickness at the same places by a steadier hand or with the micrometer held in a stand, places marked, faces and "
    "anvils wiped, anvils square and closed by the ratchet, as "
    f"{ADDED}, until three turns agree: the turns that are there scatter by more than a micrometer does, and no rotor "
    "is bought by them; who has neither stops here and hands the work on"
)
#: Of one turn that scatters: a second that agrees with it tells a lump from a shaky hand.
ONCE_MORE = f"thickness at the same places once more, {ADDED}; one turn that scatters so orders no part by itself"
MORE_READINGS = (
    f"thickness at the same places {{more}} more, {ADDED}; the middle of {{times}} readings a place is sure to "
    f"{{half}} (k = 2)"
)
#: Few places miss the tops of two humps by more than any micrometer errs.
MORE_PLACES_FIRST = (
    f"thickness at {PLACES} places of the turn, evenly apart, as a turn of its own: {ADDED}; so few places as were "
    "read may miss the tops of two humps"
)
VARIES = "Thickness varies by {read} (k = 2; {how}), limit {limit}{whose}: {verdict}."
MORE_PLACES = "two humps, and {places} places may miss {by} of their tops"
TOO_NEAR, TOO_COARSELY = "too near", "too coarsely"
BY_STEADIER = "it is read by a steadier hand, or with the micrometer in a stand"
EVERY_PLACE, BY_FINER, AT_MORE = (
    "every place is read {times} times", "it is read with a finer micrometer", f"it is read at {PLACES} places",
)  # fmt: skip
#: The same on a card where the micrometer at hand reads on beside its turns: with room for each.
EVERY_PLACE_MORE = "every place is read {more} more ({blanks} µm), {times} times in all"
NEAR_NOT_YET = f" Before the rotor is left on or renewed {EVERY_PLACE}."
NEAR_COARSE = f" Before the rotor is left on {BY_FINER}."
NEAR_SHAKY = f" Before the rotor is left on or renewed {BY_STEADIER}."
NEAR_FEW_PLACES = f" Before the rotor is left on {AT_MORE}."
NEAR_AT_LAST = " No more reading by this micrometer is asked: before the rotor is left on it counts as over."
NEAR_NEITHER = f" {capital(NO_MORE)}: {UNEVEN_NEITHER}."
#: The same beside a rotor that is left on.
THICKNESS_STAYS = f" Its thickness is at its limit, {{read}} (k = 2), limit {{limit}}, and {NO_MORE}: {UNEVEN_NEITHER}."


def figure(varies: Uneven | None, value_um: float | None) -> str:
    """By how much it varies, with the very uncertainty that decides; the bare figure where none is known. [um]."""
    return micrometres(value_um) if varies is None else varies.figure.replace(" µm", f"{GAP}µm")


def read_again(close: Uneven) -> str:
    """Say how a thickness too close to its limit is read again, in the middle of a sentence."""
    if close.places_first:
        return MORE_PLACES_FIRST
    if close.shaky:
        return ONCE_MORE if close.turns == 1 else STEADIER_HAND
    if close.coarse:
        return TOO_COARSE.format(mm=close.wanted_division_um / 1000.0)
    there = " at the places that are read" if close.between_um >= LEAST_BETWEEN_UM else ""
    half = f"± {close.mean_doubt_um:.0f}{GAP}µm{there}"
    if not close.finest:
        return FINER_MICROMETER.format(times=close.wanted_turns, half=half)
    more = "once" if close.wanted_turns - close.turns == 1 else "twice"
    return MORE_READINGS.format(more=more, times=close.wanted_turns, half=half)


def beside_limit(varies: Uneven | None, whose: str = "", ordered: bool = False) -> str:
    """Say how the thickness varies beside its limit: it is felt whatever the runout is; empty where nobody read it.

    Parameters
    ----------
    varies : Uneven or None
    whose : str
        Whose limit that is, in brackets, with a blank before them.
    ordered : bool
        Whether the act itself says what is done about a variation near its limit.
    """
    if varies is None:
        return ""
    how = "one reading a place" if varies.turns == 1 else f"middle of {varies.turns} readings a place"
    if varies.shaky and varies.state == TOO_CLOSE:
        how += f"; {varies.scatters}"
    elif varies.taken:
        how += f"; {varies.taken}"
    if varies.between_um >= LEAST_BETWEEN_UM:
        how += "; " + MORE_PLACES.format(places=varies.places, by=f"{varies.between_um:.0f}{GAP}µm")
    said = VARIES.format(
        read=varies.figure.replace(" µm", f"{GAP}µm"),
        how=how,
        limit=micrometres(varies.limit_um),
        whose=whose,
        verdict=_beside(varies),
    )
    return said + ("" if ordered else _near(varies))


def _near(varies: Uneven) -> str:
    """Say what is done about a variation near its limit, or what it counts as; empty for one that is not near."""
    if varies.state != TOO_CLOSE:
        return ""
    if varies.places_first:
        return NEAR_FEW_PLACES
    if varies.coarse:
        return NEAR_COARSE
    if varies.shaky and varies.turns > 1 and not varies.counts_neither:
        return NEAR_SHAKY
    if varies.counts_neither:
        return NEAR_NEITHER
    return NEAR_AT_LAST if varies.counts_over else NEAR_NOT_YET.format(times=varies.wanted_turns)


def still_to_read(varies: Uneven | None) -> str:
    """Say in brief how a variation too near its limit is still to be read; empty for one that is read out."""
    if varies is None or varies.state != TOO_CLOSE or varies.counts_neither or varies.counts_over:
        return ""
    if varies.places_first:
        return AT_MORE
    if varies.shaky and varies.turns > 1:
        return BY_STEADIER
    if varies.coarse:
        return BY_FINER
    if not varies.finest:
        return EVERY_PLACE.format(times=varies.wanted_turns)
    more, blanks = ("once", "____") if varies.wanted_turns - varies.turns == 1 else ("twice", "____, ____")
    return EVERY_PLACE_MORE.format(more=more, blanks=blanks, times=varies.wanted_turns)


def left_on(varies: Uneven | None) -> str:
    """Say beside a rotor that is left on that its thickness counts neither as over nor as under; else empty."""
    if varies is None or not varies.counts_neither:
        return ""
    return THICKNESS_STAYS.format(read=varies.figure.replace(" µm", f"{GAP}µm"), limit=micrometres(varies.limit_um))


def _beside(varies: Uneven) -> str:
    """Where it stands beside its limit; too near to tell, the side on which it was read."""
    if varies.state in (ABOVE, BELOW):
        seldom = f", as {SELDOM_LESS}" if varies.seldom_over else ""
        return {ABOVE: "over it", BELOW: "below it"}[varies.state] + seldom
    at_it = round(varies.value_um) == round(varies.limit_um)
    side = "at" if at_it else "over" if varies.value_um > varies.limit_um else "under"
    return f"{side} it as read, {TOO_COARSELY if varies.coarse else TOO_NEAR} to tell"
