"""Whether a rotor goes whatever it runs out: at its discard thickness, so near it that none is left, or uneven."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sim.parts.dial import ABOVE
from sim.parts.discard import discard_words, is_slim, is_stated

if TYPE_CHECKING:
    from sim.parts.case import Case
    from sim.parts.thickness import Uneven

NO_METAL = "cleaning does not bring the metal back"


def as_given(case: Case, level: bool = True, varies: bool = True) -> str:
    """Say of the rotor that a case file describes why it goes; empty where it may stay.

    Parameters
    ----------
    case : Case
        Its thickness counts as `given_mm` has it.
    level, varies : bool
        Whether its thickness itself counts, and what that varies by; not where a micrometer read it.

    Examples
    --------
    >>> from sim.parts.case import Case, Rotor
    >>> as_given(Case(rotor=Rotor(own_thickness_variation_um=30.0)))
    'its thickness varies by 30 µm, over its limit of 15 µm: cleaning does not bring the metal back'
    >>> as_given(Case())
    ''
    """
    said = [thin(case, given_mm(case))] if level else []
    given_um, limit = case.rotor.own_thickness_variation_um, case.limits.dtv_um
    if varies and given_um > limit:
        said.append(f"its thickness varies by {given_um:g} µm, over its limit of {limit:g} µm: {NO_METAL}")
    return "; ".join(filter(None, said))


def given_mm(case: Case) -> float | None:
    """Thickness that a case gives, where its own file states that or the discard figure beside it; else None. [mm].

    Both from a part set are those of a new rotor, and nobody's. By rule.
    """
    stated = any(case.where_from("rotor", name) == "the case file" for name in ("thickness_mm", "minimum_thickness_mm"))
    return case.rotor.thickness_mm if stated else None


def as_read(case: Case | None, thinnest_mm: float | None, varies: Uneven | None) -> str:
    """Say of a rotor that a micrometer read why it goes; empty where it may stay, or is too close to tell.

    Parameters
    ----------
    case : Case or None
        Whose discard thickness counts; without one a thin rotor is not told from others.
    thinnest_mm : float or None
        Thinnest place; None for readings from any zero. [mm]
    varies : Uneven or None
        Its variation against its limit; None where nobody read it.
    """
    half_mm = 0.0 if varies is None else varies.thick_half_mm
    said = [] if case is None else [thin(case, thinnest_mm, half_mm)]
    if varies is not None and varies.state == ABOVE:
        said.append(
            f"its thickness varies by {varies.figure} (k = 2), over its limit of {varies.limit_um:g} µm: {NO_METAL}"
        )
    if varies is not None and varies.counts_over:
        said.append(counts_as_over(varies))
    return "; ".join(filter(None, said))


def by_the_part_set(case: Case, goes: str) -> bool:
    """Whether a reason of these is a part set's discard thickness alone: then the rotor's own stamp decides."""
    return bool(goes) and not is_stated(case) and NO_METAL not in goes


def counts_as_over(varies: Uneven) -> str:
    """Say of a thickness whose middle reads over its limit, by less than it is sure to, that it counts so. [um]."""
    return (
        f"its thickness varies by {varies.figure} (k = 2), over its limit of {varies.limit_um:g} µm by less than that "
        f"is sure to, and no more reading by this micrometer is asked: it counts as over; {NO_METAL}"
    )


def thin(case: Case, thinnest_mm: float | None, half_mm: float = 0.0) -> str:
    """Say of a thickness at its discard figure, or so near it that no wear to speak of is left; else empty.

    ``half_mm``: its uncertainty (k = 2), where it was read. [mm]
    """
    return discard_words(case, thinnest_mm, half_mm) if is_slim(case, thinnest_mm) else ""
