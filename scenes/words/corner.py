"""A corner in a few words: where the dirt lies, how high it is beside a hair, how far the rim runs out."""

from __future__ import annotations

import math
from typing import Any

from scenes.words import words
from sim.corner.road_state import nuts_off
from sim.parts.case import Case, Debris
from sim.parts.fastener import said

HAIR_UM = 70.0
"""A human hair, 50 to 100 um across; from memory."""


def highest(case: Case) -> Debris | None:
    """Highest raised patch; None where nothing is raised."""
    return max((patch for patch in case.debris if patch.height_um > 0), key=lambda patch: patch.height_um, default=None)


def facts(case: Case) -> tuple[str, str]:
    """Say of a corner, in two short lines, what lies on its hub face, and how that compares with a hair."""
    patch = highest(case)
    if patch is None:
        return "clean metal", "nothing between hub and rotor"
    hair = words.micrometres(HAIR_UM)
    return f"{words.micrometres(patch.height_um)} high, loose", f"{where(case, patch)}; a hair is about {hair}"


def where(case: Case, debris: Debris) -> str:
    """Say where a patch lies, by the studs: ``under stud 3`` or ``between studs 1 and 2``."""
    pitch = 360.0 / case.studs.count
    place = (debris.angle_deg / pitch) % case.studs.count
    nearest = round(place) % case.studs.count
    if abs(place - round(place)) * pitch <= 0.2 * pitch:
        return said(f"at stud {nearest + 1}", case.studs)
    first = math.floor(place) % case.studs.count
    return said(f"between studs {first + 1} and {(first + 1) % case.studs.count + 1}", case.studs)


def dirt(case: Case) -> str:
    """Name the dirt in a few words; where there are several patches, the highest."""
    patch = highest(case)
    if patch is None and case.spigot_scale:
        most = max(one.height_um for one in case.spigot_scale)
        return f"{words.micrometres(most)} of scale on the spigot"
    if patch is None and (off := nuts_off(case.studs)):
        return said(f"no nut is on stud {', '.join(map(str, off))}, not fit to drive", case.studs)
    if patch is None:
        return "nothing left on the hub face"
    count = sum(item.height_um > 0 for item in case.debris)
    face = "rotor's seat" if patch.on == "rotor" else "hub face"
    more = f" (and {count - 1} more)" if count > 1 else ""
    return f"{words.micrometres(patch.height_um)} high as it lay on the {face} {where(case, patch)}{more}"


def extremes_um(run: Any) -> tuple[float, float]:
    """How far the outboard face stands out at most and in at most, from the mean of its turn; both positive. [um]."""
    trace = run.seat.outboard_um
    return float(max(trace)), -float(min(trace))


def swing_sum(run: Any) -> str:
    """Lateral runout of the outboard face as what it is made of; the printed figures add up."""
    out, back, whole = words.sum_of(*extremes_um(run))
    return f"{whole}{words.GAP}µm = {out} out + {back} in"


def swing(run: Any) -> str:
    """Lateral runout of the outboard face, in words."""
    return words.micrometres(float(run.seat.lateral_runout_um["outboard"]))
