"""Remarks on a case that is taken as it stands: things that are allowed but that its writer may not have meant."""

from __future__ import annotations

import math
from collections.abc import Iterator
from itertools import combinations

from sim.parts.case import Case, Debris
from sim.parts.fastener import bolt_warnings
from sim.parts.keys import KEYS
from sim.units import shortest_deg

SUSPICIOUSLY_SMALL_UM = 1.0  # below this a height or runout was probably given in millimetres; judgement
#: Limits over these were probably slipped by a decimal, and acquit whatever is read: twice the widest that makers
#: publish for a mounted rotor, 0.10 mm (a workshop manual of 1999); for the others judgement.
UNUSUAL_UM = {"mounted_runout_um": 200.0, "dtv_um": 50.0, "hub_face_runout_um": 100.0}


def notes(case: Case) -> tuple[str, ...]:
    """Remarks for the reader; none of them stops a computation.

    Parameters
    ----------
    case : Case
        A case without contradictions.

    Returns
    -------
    tuple of str
        One sentence each.
    """
    return (*_wide_limits(case), *_small_values(case), *_patches(case), *_overlaps(case), *_others(case))


def _wide_limits(case: Case) -> Iterator[str]:
    for name, most in UNUSUAL_UM.items():
        value = getattr(case.limits, name)
        if value is not None and value > most:
            yield f"limits.{name} is {value:g} µm, far over what makers publish, and clears all: check its decimal"


def _small_values(case: Case) -> Iterator[str]:
    owners = {"rotor": (case.rotor,), "hub": (case.hub,), "debris": case.debris, "caliper": (case.caliper,)}
    for key in KEYS:
        for index, owner in enumerate(owners.get(key.table, ()) if key.name.endswith("_um") else ()):
            value = getattr(owner, key.name)
            if 0 < abs(value) < SUSPICIOUSLY_SMALL_UM:
                which = f"debris[{index + 1}].{key.name}" if key.table == "debris" else key.path
                yield f"{which} is {value:g} µm: was it given in millimetres?"


def _patches(case: Case) -> Iterator[str]:
    low, high = case.contact_zone_mm
    for number, patch in enumerate(case.debris, start=1):
        if patch.inner_radius_mm < low or patch.outer_radius_mm > high:
            yield f"debris[{number}] reaches beyond the contact zone, r {low:g} .. {high:g} mm; that carries nothing"
        if case.rotor.hole_diameter_mm > 0 and _meets_hole(case, patch):
            yield f"debris[{number}] lies partly in a stud hole; that part carries nothing"
        if patch.height_um == 0:
            yield f"debris[{number}] has no height and changes nothing"


def _meets_hole(case: Case, patch: Debris) -> bool:
    """Whether a patch and any stud hole overlap."""
    pitch, radius = case.studs.pitch_deg, case.studs.pitch_radius_mm
    for stud in range(case.studs.count):
        off = abs(shortest_deg(stud * pitch - patch.angle_deg)) - patch.arc_deg / 2
        if off <= 0:  # the hole's centre lies within the arc: only the radius tells
            nearest = max(0.0, patch.inner_radius_mm - radius, radius - patch.outer_radius_mm)
        else:  # the nearest point lies on the straight edge
            angle = math.radians(off)
            along = min(max(radius * math.cos(angle), patch.inner_radius_mm), patch.outer_radius_mm)
            nearest = math.hypot(radius * math.cos(angle) - along, radius * math.sin(angle))
        if nearest < case.rotor.hole_diameter_mm / 2:
            return True
    return False


def _overlaps(case: Case) -> Iterator[str]:
    for (i, one), (j, other) in combinations(enumerate(case.debris, start=1), 2):
        apart = abs(shortest_deg(case.hub_angle_deg(one) - case.hub_angle_deg(other)))
        radial = one.inner_radius_mm < other.outer_radius_mm and other.inner_radius_mm < one.outer_radius_mm
        if radial and apart < (one.arc_deg + other.arc_deg) / 2:
            yield f"debris[{i}] and debris[{j}] overlap; the higher one counts there"


def _others(case: Case) -> Iterator[str]:
    if case.hub.material == "rigid":
        yield "the hub is taken as rigid; a real one gives way, and the runout from a speck is smaller"
    if case.studs.clamped_by == "bare nuts":
        yield "held by bare nuts: check that the seat diameters are those of the nuts"
    yield from bolt_warnings(case)
