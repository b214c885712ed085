"""What a worn rotor's readings say before anything else: its thickness against limit and stamp, the hub beneath."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from scenes.words import bare_face, words
from sim.bench import cut_on_car
from sim.bench.known_parts import CASE_FILE, FACE_AS_FOUND, HUB_FACE
from sim.parts.dial import ABOVE, COVERAGE, TOO_CLOSE, against_limit
from sim.parts.discard import discard_words, is_slim, scrap_words
from sim.parts.thickness import NOT_ALONE, Uneven

if TYPE_CHECKING:
    from sim.parts.case import Case

RENEW_OR_CUT = "Renew it, or cut it where its maker allows"
HUB_AS_FOUND = (
    "The bare hub face as found brings {brings} at the rotor's dial by itself, over its limit there, {limit}: dirt "
    "reads so too and condemns no hub. Clean it and read it again before hub, bearing or a new rotor is bought."
)
HUB_TOLD = {
    ABOVE: (
        "The bare hub face brings {brings} at the rotor's dial by itself{given}, over its limit there, {limit}: hub "
        f"and bearing first; {bare_face.NEW_HUB_BRIEFLY}. A new rotor on it is worn likewise."
    ),
    TOO_CLOSE: (
        "The bare hub face brings {brings} at the rotor's dial by itself, at or near its limit there, {limit}: whether "
        "over it {which} cannot tell. The middle of three that agree settles it: over the limit it counts as over, hub "
        "and bearing first; under it a new rotor that is fitted there is read on it."
    ),
}


def thickness(case: Case, told: Any) -> str:
    """Say of a worn rotor, before anything else, how its thickness stands against limit and discard.

    Parameters
    ----------
    case : Case
        Its limit, and its discard thickness where somebody gave one.
    told : Memory
    """
    if told.scrap:
        return f"{words.capital(told.scrap)}. What it tells of its fitting is for the next rotor."
    return against_limit_and_stamp(case, varies_of(case, told), told.thinnest_mm)


def against_limit_and_stamp(case: Case, varies: Uneven, thinnest_mm: float | None) -> str:
    """Say the same of what a micrometer read: how it varies, and its thinnest place where that is known. [um], [mm]."""
    slim = is_slim(case, thinnest_mm)
    said = f"The thickness as read varies by {varies.said} (k = 2; {words.limit_from(case, 'dtv_um')}; "
    said += f"{words.MAKER_RULES})."
    if varies.state == "above":
        no_cut = cut_on_car.no_cut(case, thinnest_mm, varies.value_um)
        order = "Renew it" if slim else f"Renew it ({no_cut})" if no_cut else RENEW_OR_CUT
        said = f"{said} {order}, on a clean hub, whatever wore it."
    elif varies.counts_neither:
        said = f"{said} {words.capital(NOT_ALONE)}."
    elif varies.state != "below":
        said = f"{said} Over the limit it is {'renewed, nothing is left to cut' if slim else 'cut or renewed'}."
    discard = f"{words.capital(discard_words(case, thinnest_mm, varies.thick_half_mm))}."
    return f"{discard} {said}" if slim or scrap_words(case, thinnest_mm) else f"{said} {discard}"


def apart(told: Any) -> str:
    """Say that both faces and the micrometer cannot all be right; empty where they may."""
    return f"{words.capital(told.faces_apart)}." if told.faces_apart else ""


def varies_of(case: Case, told: Any) -> Uneven:
    """Thickness variation of a worn rotor against the limit, as what was remembered of it holds it."""
    return Uneven(
        told.thickness_variation_um,
        told.thickness_doubt_um,
        case.limits.dtv_um,
        told.thickness_between_places_um,
        told.thickness_places,
        told.thickness_turns,
        told.thickness_taken_um,
        told.thickness_shaky,
        division_um=told.thickness_division_um,
    )


def hub(case: Case, told: Any) -> str:
    """Say that the bare hub, where it was read, is over its limit by itself, or may be; empty where it is not.

    Parameters
    ----------
    case : Case
        Its limit of the hub face, which a lean brings to the gauge by the radii.
    told : Memory
    """
    limit = case.hub_face_limit_um * case.gauge_radius_mm / case.hub.read_radius_mm
    for part in told.known:
        half = COVERAGE * 2.0 * part.sd_um
        state = against_limit(part.runout_um, limit, half)
        if part.cause == HUB_FACE and state in HUB_TOLD:
            given = part.source == CASE_FILE
            said = HUB_AS_FOUND if part.source == FACE_AS_FOUND and state == ABOVE else HUB_TOLD[state]
            return said.format(
                brings=f"{part.runout_um:.0f} ± {half:.0f}{words.GAP}µm (k = 2)",
                limit=words.micrometres(limit),
                which="what the case gives" if given else "one turn",
                given=", as the case gives it" if given else "",
            )
    return ""
