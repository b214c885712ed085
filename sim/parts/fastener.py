"""What holds the wheel: nuts on studs, or bolts screwed into the hub; how deep a bolt's thread is engaged.

A stud is pressed in from behind and pulls with its head on the hub's rear. A wheel bolt pulls at the thread that it is
screwed into: from the hub face down to where it ends.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import partial

from sim.parts.case import Case, Studs
from sim.parts.threads import nominal_diameter_mm

WHEEL_BOLT = "wheel bolt"
#: Engaged thread in a steel hub unless given, in thread diameters; common practice, no source: 1 .. 1.5.
ENGAGED_DIAMETERS = 1.2
#: Fewer engaged threads than this hold a rotor for reading and no more; judgement, 0.5 .. 0.8 thread diameters.
FEW_DIAMETERS = 0.5
#: The same of a wheel that is driven on them: under the least that common practice gives; judgement, 0.75 .. 1.
FEW_ON_THE_ROAD = 0.8
SEEN_MM = 0.5  # a bolt that stands out by less is flush


@dataclass(frozen=True)
class Nouns:
    """What a sentence calls what holds the wheel: gaps of the sentences that are made for one corner.

    Parameters
    ----------
    nut : str
        What is turned.
    stud : str
        What numbers the places, and lies in the hub.
    pulled : str
        What pulls: a stud, or the bolt itself.
    """

    nut: str
    stud: str
    pulled: str

    @property
    def gaps(self) -> dict[str, str]:
        """Words for the gaps ``{nut}``, ``{nuts}``, ``{stud}``, ``{studs}`` and ``{pulled}`` of a text."""
        several = {f"{name}s": f"{word}s" for name, word in (("nut", self.nut), ("stud", self.stud))}
        return {"nut": self.nut, "stud": self.stud, "pulled": self.pulled} | several


NUTS = Nouns("nut", "stud", "stud")
BOLTS = Nouns("bolt", "bolt hole", "bolt")


def nouns(studs: Studs) -> Nouns:
    """Nouns of this corner."""
    return BOLTS if has_bolts(studs) else NUTS


# What was written of nuts and studs before its corner was known, and what is said of wheel bolts instead, one after the
# other. A key, a table's name or a word in quotes stays as the case file has it.
_NO_KEY_BEFORE, _NO_KEY_BEHIND = r"(?<![\w.\[\"`/])", r"(?![\w\"`\]]|[.\[]\w)"
_OF_BOLTS = (
    (r"nuts? (?:and|on) studs?", "bolts"),
    (r"stud and nut", "bolt by bolt"),
    (r"the studs first", "the bolts first"),
    (r"no nut is on stud (\d[\d, ]*)", r"no bolt is in hole \1"),
    (r"no nut is on: every stud has zero torque", "no bolt is in: every one has zero torque"),
    (r"no nut is on", "no bolt is in"),
    (r"nut off stud", "bolt out of hole"),
    (r"stud (\d[\d, ]*): preload", r"bolt \1: preload"),
    (r"one stud pulled", "one bolt pulled"),
    (r"(torque of each|force of each|each|one) stud, at most", r"\1 bolt, at most"),
    (r"torque of each stud", "torque of each bolt"),
    (r"clamp force of a stud", "clamp force of a bolt"),
    (r"(\d+) studs(?! counter| of)", r"\1 bolts"),
    (r"wheel studs", "wheel bolts"),
    (r"stud (thread|force|preload)(s?)", r"bolt \1\2"),
    (r"stud hole(s?)", r"bolt hole\1"),
    (r"stud (pitch|position)(s|es)?", r"hole \1\2"),
    (r"nut(s?)(?! factor)", r"bolt\1"),
    (r"stud(s?)", r"bolt hole\1"),
)
_PATTERNS = tuple((re.compile(_NO_KEY_BEFORE + one + _NO_KEY_BEHIND, re.I), other) for one, other in _OF_BOLTS)


def said(text: str, studs: Studs) -> str:
    """Word what was written of nuts on studs for what this corner has: the one place where the noun follows the case.

    Examples
    --------
    >>> said("Nuts off. Paint stud 1, see studs.torque_nm.", Studs(fastener="wheel bolt"))
    'Bolts off. Paint bolt hole 1, see studs.torque_nm.'
    >>> said("Nuts off.", Studs())
    'Nuts off.'
    """
    if not has_bolts(studs):
        return text
    for pattern, other in _PATTERNS:
        text = pattern.sub(partial(_as_begun, other), text)
    return text


def _as_begun(other: str, found: re.Match[str]) -> str:
    new = found.expand(other)
    return new[0].upper() + new[1:] if found[0][0].isupper() else new


def has_bolts(studs: Studs) -> bool:
    """Whether the wheel is held by bolts rather than by nuts on studs."""
    return studs.fastener == WHEEL_BOLT


def road_engagement_mm(case: Case) -> float:
    """Engaged thread of a wheel bolt with the wheel on: given, else what the hub's flange leaves of the usual. [mm].

    By definition; the usual length is judgement (`ENGAGED_DIAMETERS`).
    """
    given = case.studs.thread_engagement_mm
    usual = ENGAGED_DIAMETERS * nominal_diameter_mm(case.studs.thread)
    return min(usual, case.hub.flange_thickness_mm) if given is None else given


#: What is done about bolts of a wrong length.
THIS_WHEELS = "bolts as long as the vehicle maker gives for this wheel, before it is driven"


def spacer_mm(case: Case) -> float:
    """Thickness of what lies under a bolt's head in place of the wheel while the dial is read. [mm].

    Unless given as thick as the wheel's pad there, so that the bolt engages as on the road; bare bolts have none.
    """
    if case.studs.clamped_by == "bare nuts":
        return 0.0
    given = case.studs.spacer_mm
    return case.wheel.thickness_mm if given is None else given


def reach_mm(case: Case) -> float:
    """How far the end of a wheel bolt stands behind the hub face, as it is clamped. [mm]."""
    reach = road_engagement_mm(case)
    if case.studs.clamped_by in ("nuts and spacers", "bare nuts"):
        reach += case.wheel.thickness_mm - spacer_mm(case)
    return reach


def engagement_mm(case: Case) -> float:
    """Engaged thread of a wheel bolt as it is clamped, never more than the hub's flange holds. [mm]."""
    return _reach(case, reach_mm(case)).engaged_mm


@dataclass(frozen=True)
class Reach:
    """How far a wheel bolt reaches into a hub, and what that makes of it: the one rule for every clamping.

    Parameters
    ----------
    engaged_mm : float
        Engaged thread, never more than the flange holds.
    behind_mm : float
        How far it stands out behind the flange.
    few : bool
        Whether so few threads may strip; judgement (`FEW_DIAMETERS`).
    """

    engaged_mm: float
    behind_mm: float
    few: bool

    @property
    def long(self) -> bool:
        """Whether it may foul or bottom behind the flange; judgement (`SEEN_MM`)."""
        return self.behind_mm > SEEN_MM


def _reach(case: Case, reach_mm: float, least_diameters: float = FEW_DIAMETERS) -> Reach:
    flange_mm = case.hub.flange_thickness_mm
    engaged = min(reach_mm, flange_mm)
    few = engaged < least_diameters * nominal_diameter_mm(case.studs.thread)
    return Reach(engaged, max(0.0, reach_mm - flange_mm), few)


def bolt_warnings(case: Case) -> tuple[str, ...]:
    """What to look at before the wheel bolts of a case are tightened; nothing for nuts on studs.

    Lengths in mm; how few threads are too few is judgement (`FEW_DIAMETERS`).
    """
    if not has_bolts(case.studs) or case.studs.clamped_by == "screw only":
        return ()
    warnings, held = [], _reach(case, reach_mm(case))
    if held.long:
        warnings.append(
            f"the wheel bolts would stand {held.behind_mm:.0f} mm out behind the hub's flange: take shorter bolts, or "
            f"spacers as thick as the wheel's pad ({case.wheel.thickness_mm:g} mm), and turn the hub to see that "
            "nothing fouls or bottoms before they clamp"
        )
    if held.few:
        as_driven = _reach(case, road_engagement_mm(case), FEW_ON_THE_ROAD).few  # then no spacer mends it
        cure = "bolts as long as the vehicle maker gives" if as_driven else "spacers as thick as the wheel's pad"
        warnings.append(
            f"only {held.engaged_mm:.1f} mm of the wheel bolts' thread are engaged: they may strip; take {cure}"
        )
    return tuple(warnings)


def bolts_on_the_road(case: Case) -> str:
    """Say why wheel bolts as given hold a wheel badly, wheel on: too few threads, or too long; empty where they hold.

    Lengths in mm; how few threads are too few is judgement (`FEW_ON_THE_ROAD`).
    """
    if not has_bolts(case.studs):
        return ""
    held = _reach(case, road_engagement_mm(case), FEW_ON_THE_ROAD)
    if held.few:
        told = f"{held.engaged_mm:.1f} mm of their thread are engaged as given, they may strip"
    elif held.long:
        told = f"they stand {held.behind_mm:.0f} mm out behind the flange as given, may foul"
    else:
        return ""
    return f"with the wheel on {told}: {THIS_WHEELS}"


def stands_out_mm(case: Case) -> float:
    """How far a wheel bolt stands out behind the hub's flange, where it may foul or bottom; 0 if it does not. [mm]."""
    return _reach(case, reach_mm(case)).behind_mm if has_bolts(case.studs) else 0.0
