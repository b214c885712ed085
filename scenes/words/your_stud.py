"""How a stud or a place that is ordered is written in a table that counts clockwise; where a stud seems miswritten."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from sim.files.dial_readings import CLOCKWISE

if TYPE_CHECKING:
    from sim.files.dial_readings import Readings

#: A stud as an order names it, and how such a table writes it: counted the other way it is another, for ever.
ON_FROM_STUD_1 = re.compile(r"(\d+) studs? on from stud 1 counter-clockwise")
WRITTEN_SO = " Your table counts clockwise: studs_turned {turned} there."
#: Behind that, once two mounts in a row are written where the order's own figure stands, taken for the table's.
ASKED = (
    " Stud {asked} was asked, and mounts {before} and {last} are written on stud {written}: where the painted hole sat "
    "on stud {asked}, correct their studs_turned to {turned} and ask again."
)

#: Places as an order names them, without what they are known to, and how such a table writes them.
PLACES = re.compile(r"(?<!± )(?<![\d.])(\d+(?:\.\d+)?(?:(?:, | and )\d+(?:\.\d+)?)*)(?:\s±\s\d+)?(?:\s?°|\sdegrees)")
PLACE_SO = " Your table counts clockwise: {here}° here is {there}° there."


def _places_too(ordered: str) -> str:
    """Say behind an order that names places where a table that counts clockwise has them; else as it is. [deg]."""
    named = dict.fromkeys(float(one) for group in PLACES.findall(ordered) for one in re.findall(r"[\d.]+", group))
    at = [one for one in named if one % 180.0]
    if not at:
        return ordered
    here, there = ("°, ".join(f"{one:g}" for one in all_of) for all_of in (at, [360.0 - one % 360.0 for one in at]))
    return ordered + PLACE_SO.format(here=here, there=there)


def in_your_table(ordered: str, read: Readings) -> str:
    """Say behind an order that names a stud or a place how a table that counts clockwise writes it; else as it is.

    Parameters
    ----------
    ordered : str
        With a stud of `scenes.words.acts` or a place in degrees, or without.
    read : Readings
    """
    if read.turned != CLOCKWISE:
        return ordered
    named, ordered = ON_FROM_STUD_1.search(ordered), _places_too(ordered)
    if named is None:
        return ordered
    asked, turned = int(named[1]) % read.studs, -int(named[1]) % read.studs
    stood = list({one.mount: one.studs_turned for one in read.as_entered if one.kind == "mounted"}.items())[-2:]
    # In such a table the order's own figure is the stud as far on the other way.
    if len(stood) < 2 or turned == asked or {at % read.studs for _, at in stood} != {turned}:
        return ordered + WRITTEN_SO.format(turned=turned)
    (before, _), (last, _) = stood
    told = ASKED.format(asked=asked + 1, before=before, last=last, written=turned + 1, turned=turned)
    return ordered + WRITTEN_SO.format(turned=turned) + told
