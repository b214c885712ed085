"""Families of columns: which dirt, whether cleaning takes it away, and what else is no vector; with their odds.

At most one is there at a time. Dirt that cleaning leaves in part rides where it rode; it may have gone with the last of
several cleanings.
"""

from __future__ import annotations

from collections.abc import Mapping

from sim.causes import names
from sim.causes.columns import CLASSES_UM, Columns, brought, dirt_columns, left_columns, mark_columns
from sim.causes.priors import Priors
from sim.causes.seen import Seen
from sim.causes.signatures import Signatures, thinned

NO_DIRT = ""
LEFT, ONCE = " that cleaning left", " that the first cleaning left"
NEW, NEW_ONCE = names.HUB_DIRT + " that came with cleaning", names.HUB_DIRT + " that came with the first cleaning"
FELL = " that fell off"
# Part that each rides on; "once": gone with the last cleaning, "first": gone once the rotor was taken off.
FRAMES: Mapping[str, str] = {
    names.HUB_DIRT: "hub", names.ROTOR_DIRT: "rotor", names.IMPRINT: "mark", names.RUST: "mark",
    names.HUB_DIRT + LEFT: "hub", names.ROTOR_DIRT + LEFT: "rotor", NEW: "hub",
    names.HUB_DIRT + ONCE: "hub once", names.ROTOR_DIRT + ONCE: "rotor once", NEW_ONCE: "hub once",
    names.HUB_DIRT + FELL: "hub first", names.ROTOR_DIRT + FELL: "rotor first",
}  # fmt: skip
CAUSE_OF: Mapping[str, str] = {
    family: next(cause for cause in names.CAUSES if family.startswith(cause)) for family in FRAMES
}
# Odds of dirt on the hub change by these factors where its bare face was seen to stand up, or not to; odds that some of
# it stayed likewise, where it was read clean. Judgement.
BUMP_SEEN, NO_BUMP = 5.0, 0.8
# Who cleans twice found something: odds that what stayed is gone with the last cleaning. Judgement, 0.3 .. 0.9.
GONE_AT_LAST = 0.5
MOST = 0.95  # of all families together
FELL_THIN = 3  # dirt that fell off is weighed with the columns of every so-manieth seating


def _by(odds: float, factor: float) -> float:
    return odds * factor / (1.0 - odds + odds * factor)


def family_odds(seen: Seen, priors: Priors, arc_deg: float, worn: float = 1.0) -> dict[str, float]:
    """Odds of each family of columns that the readings can speak of.

    Parameters
    ----------
    seen : Seen
    priors : Priors
    arc_deg : float
        Of the pads. [deg]
    worn : float
        Factor on what comes with kilometres.

    Returns
    -------
    dict of str to float

    Notes
    -----
    Judgement, from the priors; one family at a time.
    """
    on_hub, stays, came = priors.dirt_on_the_hub, priors.poorly_cleaned, priors.dirt_that_came_in
    if seen.bumps is not None:
        on_hub = _by(on_hub, BUMP_SEEN if seen.bumps else NO_BUMP)
    if seen.bumps_clean is not None:
        stays, came = (_by(one, BUMP_SEEN if seen.bumps_clean else NO_BUMP) for one in (stays, came))
    gone = GONE_AT_LAST if seen.cleaned_last else 0.0
    if any(spot.twice for spot in seen.spots):  # read so as to tell: only a second poor cleaning leaves it
        gone = 1.0 - priors.poorly_cleaned
    families = {}
    dirty = any(spot.kind in ("mounted", "inboard") and not spot.cleaned for spot in seen.spots)
    put_back = any(spot.kind == "mounted" and not spot.cleaned and not spot.first for spot in seen.spots)
    fell = priors.dirt_that_falls_off if put_back else 0.0  # else nothing read tells it from dirt that was cleaned off
    for cause, odds in ((names.HUB_DIRT, on_hub), (names.ROTOR_DIRT, priors.dirt_on_the_rotor)):
        if dirty:
            families[cause] = odds * (1.0 - stays) * (1.0 - fell)
            families[cause + FELL] = odds * fell
        families[cause + LEFT] = odds * stays * (1.0 - gone) * (1.0 - fell)
        families[cause + ONCE] = odds * stays * gone * (1.0 - fell)
    families[NEW], families[NEW_ONCE] = came * (1.0 - gone), came * gone
    if arc_deg > 0.0:
        families |= {names.IMPRINT: worn * priors.pad_imprint, names.RUST: worn * priors.parked_car_rust}
    total = sum(families.values())
    most = MOST / total if total > MOST else 1.0
    return {name: most * odds for name, odds in families.items() if odds > 0.0}


def families_of(
    known: Signatures,
    odds: Mapping[str, float],
    priors: Priors,
    arc_deg: float,
    scale: float,
    edges_um: tuple[float, ...] = CLASSES_UM,
) -> dict[str, tuple[float, tuple[Columns, ...]]]:
    """Odds and columns of each family.

    Parameters
    ----------
    known : Signatures
    odds : mapping of str to float
    priors : Priors
    arc_deg : float
    scale : float
        Radius of the readings over that of the columns.
    edges_um : tuple of float
        Of the classes of dirt. [um]

    Returns
    -------
    dict of str to (float, tuple of Columns)

    Notes
    -----
    [um]; which columns are a family's is by definition, what is held of their heights judgement.
    """
    dirt = dirt_columns(known, priors.dirt_height_um, scale, edges_um)
    left = left_columns(known, priors.dirt_height_um, priors.share_that_stays, scale, edges_um)
    columns = {
        names.IMPRINT: mark_columns(arc_deg, priors.imprint_um, (1.0,)),
        names.RUST: mark_columns(arc_deg, priors.imprint_um, (1.0, -1.0)),
    }
    for name in odds:
        if name not in columns:
            came = name in (NEW, NEW_ONCE)
            columns[name] = brought(dirt) if came else left if name.endswith((LEFT, ONCE)) else dirt
            if name.endswith(FELL):
                columns[name] = dirt_columns(thinned(known, FELL_THIN), priors.dirt_height_um, scale, edges_um)
    return {name: (p, columns[name]) for name, p in odds.items() if columns[name]}
