"""What the film "a speck at the hub" tells: the same dirt at three places of a hub face, each seated."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np

from scenes.film.sweeps import Step, Telling, said, tir_um
from scenes.film.timing import CLOSING, OPENING, WHOLE
from scenes.geometry import exaggeration
from scenes.stage import lens
from scenes.words import corner, words
from sim.arrays import Floats
from sim.errors import Refused
from sim.parts.case import Case, Debris

NAME = "a speck at the hub"
OTHER = "where is the fault"
INNERMOST_MM = 1.0
"""Moved right in, dirt keeps this much of the hub face within it."""
LEAST_WAY_MM = 8.0
"""A shorter way inward tells nothing."""
HELD_SHARE = 0.25
"""A gap at the edge of the hub face that is less than this share of the dirt is held down by the nuts; judgement."""
CRUSHED = 0.9
"""Dirt that keeps less than this share of what is left of it elsewhere is called crushed."""


def places(case: Case) -> dict[str, Case]:
    """Corners of the story: the highest patch alone, as found, inside the nuts, and moved round to (or off) a stud.

    Its size stays: width and arc in mm.

    Parameters
    ----------
    case : Case

    Returns
    -------
    dict
        ``found``, ``inside``, ``stud`` or ``between``, and ``clean`` without dirt.

    Raises
    ------
    Refused
        For a corner that this cannot be told of, naming a story that fits.
    """
    patch = corner.highest(case)
    if patch is None:
        raise Refused(f"the story {NAME!r} needs dirt on the hub face; add a [[debris]] table to the case")
    inner = 0.5 * case.hub.face_inner_diameter_mm + INNERMOST_MM
    outside = 0.5 * (patch.inner_radius_mm + patch.outer_radius_mm) > 0.5 * case.studs.pitch_circle_mm
    if patch.on != "hub" or not outside or patch.inner_radius_mm - inner < LEAST_WAY_MM or case.spigot_scale:
        raise Refused(
            f"the story {NAME!r} moves dirt on the hub face inward from outside the nuts; the highest patch of this "
            f"corner does not lie there. The story {OTHER!r} can be told of it"
        )
    pitch = 360.0 / case.studs.count
    nearest = round(patch.angle_deg / pitch) * pitch
    beside = abs(patch.angle_deg - nearest) > 0.25 * pitch
    name, angle = ("stud", nearest) if beside else ("between", nearest + 0.5 * pitch)
    moved = {
        "found": patch,
        "inside": _moved(patch, inner, patch.angle_deg),
        name: replace(patch, angle_deg=angle % 360.0),
    }
    return {where: replace(case, debris=(one,)) for where, one in moved.items()} | {"clean": replace(case, debris=())}


def _moved(patch: Debris, inner_mm: float, angle_deg: float) -> Debris:
    """Return the same patch at another radius, as long and as wide as before."""
    wide = patch.outer_radius_mm - patch.inner_radius_mm
    longer = (patch.inner_radius_mm + 0.5 * wide) / (inner_mm + 0.5 * wide)
    return replace(
        patch, inner_radius_mm=inner_mm, outer_radius_mm=inner_mm + wide, angle_deg=angle_deg,
        arc_deg=min(patch.arc_deg * longer, 360.0),
    )  # fmt: skip


def tell(runs: Mapping[str, Any], others: int = 0) -> Telling:
    """Make the story of the seatings of ``places``; about half a minute. ``others``: patches that were wiped off."""
    third = next(name for name in runs if name in ("stud", "between"))
    case = runs["found"].case
    left = {name: exaggeration.debris_height_um(run, 0) for name, run in runs.items() if run.case.debris}
    there = corner.where(case, runs[third].case.debris[0])  # "at stud 2", "between studs 2 and 3"
    named = there
    low, high = (most(tir_um(runs[name]) for name in left) for most in (min, max))
    crushed = third == "stud" and left[third] < CRUSHED * left["found"]
    beneath = f"{words.capital(named)}: " + (
        f"crushed to {words.micrometres(left[third])}." if crushed else "one turn."
    )
    bent = side_um(runs["inside"])[2][-1] < HELD_SHARE * left["inside"]
    held = "Inside, the nuts bend it down." if bent else "Inside, the rotor tips less."
    steps = (
        Step("cause", "One speck. Does place matter?", "", 2.6, "found", (0.0, 0.5), read=False, plug=WHOLE,
             shows="alone"),
        Step("cause", "Look inside the hat.", "", 1.5, "found", read=False, plug=CLOSING),
        Step("cause", f"Dirt {words.micrometres(left['found'])}, outside the nuts.", "", 1.9, "found", read=False,
             lenses=OPENING),
        Step("effect", "Outside the nuts: one turn.", "", 3.6, "found", OPENING, True, lenses=WHOLE),
        Step("cause", "Outside their circle, the rotor tips.", "", 2.4, "found", lenses=WHOLE, shows="side",
             grown=OPENING),
        *_moves("found", "inside", "Same dirt, moved inside the nuts."),
        Step("effect", "Inside the nuts: one turn.", "", 3.4, "inside", OPENING, True, lenses=WHOLE, shows="circle",
             grown=WHOLE, before="found"),
        Step("cause", held, "", 2.4, "inside", lenses=WHOLE, shows="side", grown=OPENING, before="found"),
        *_moves("inside", third, f"Same dirt, {named}."),
        Step("effect", beneath, "", 3.4, third, OPENING, True, lenses=WHOLE,
             shows="circle", grown=WHOLE, before="found"),
        Step("number", f"Same dirt: {words.micrometres(low)} to {words.micrometres(high)}.", "", 3.0, third,
             read=False, lift=WHOLE, shows="bars", grown=OPENING),
    )  # fmt: skip
    last = named.replace(" studs", "\nstuds").replace(" and ", "-")
    rows = (("A\noutside\nnuts", "found"), ("B\ninside\nnuts", "inside"), (f"C\n{last}", third),
            ("none:\nclean", "clean"))  # fmt: skip
    told = Telling(
        NAME, dict(runs), steps, exaggeration.facing_deg(case), (2, 3, 4, 9, 13, 14),
        exaggeration.debris_angle_deg(runs["found"], case.debris[0]), {"rows": rows, "left_um": left, "others": others},
    )  # fmt: skip
    return said(told)


def side_um(run: Any) -> tuple[Floats, Floats, Floats]:
    """Section across the hub face through the dirt, as seated, to the side on which it lies last.

    Returns
    -------
    tuple of ndarray, shape (k,)
        Place across the axis, negative opposite the dirt [mm]; height of the hub face, and gap over it. [um]
    """
    case = run.case
    patch = corner.highest(case)
    assert patch is not None
    inner, outer = 0.5 * case.hub.face_inner_diameter_mm, 0.5 * case.hub.face_diameter_mm
    radius = np.linspace(inner, outer, 41)
    across, hub, gap = [], [], []
    for turned, sign in ((180.0, -1.0), (0.0, 1.0)):
        angle = exaggeration.debris_angle_deg(run, patch) + turned
        face = lens.height_um(run, angle, radius, "hub")
        over = np.maximum(lens.height_um(run, angle, radius, "rotor") - face, 0.0)
        order = slice(None, None, int(sign))
        across.append((sign * radius)[order])
        hub.append(face[order])
        gap.append(over[order])
    return np.concatenate(across), np.concatenate(hub), np.concatenate(gap)


def _moves(first: str, second: str, caption: str) -> tuple[Step, Step, Step]:
    """Rotor off, dirt on its way, rotor on."""
    there = Step("cause", caption, "", 0.9, first, read=False, toward=second, shows="circle", grown=WHOLE)
    return (
        replace(there, lift=OPENING),
        replace(there, lift=WHOLE, slide=OPENING, seconds=1.2),
        replace(there, corner=second, lift=CLOSING, toward=""),
    )
