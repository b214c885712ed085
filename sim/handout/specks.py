"""The two tables of a corner: a speck all round the hub face, and the same speck further in."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from sim.arrays import Floats
from sim.errors import Refused
from sim.handout.speck_table import AROUND, OUTWARD, Table, table
from sim.one_thread import one_thread
from sim.parts.case import Case, Debris
from sim.parts.spigot_room import hindrance
from sim.progress import Progress, silent

HEIGHTS = 5, 9
"""Nodes of the height, of the first table and of the finer one: the least that a cubic holds with; measured."""
PLACES_AROUND = 90, 150
"""Nodes all round, of the first table and of the one that is made where the first does not hold: 4 and 2.4 degrees."""
PLACES_OUTWARD = 9, 15
"""Nodes of the radius, likewise; measured."""
MARGIN_MM = 1.0
"""Left free at the inner edge of the face; judgement."""


def speck_of(case: Case) -> Debris:
    """Return the speck that the page moves: the case's highest patch, put on the hub; a usual one where it has none.

    Wider than a stud pitch allows it to be moved about, it is cut to half a pitch. Lengths in mm, height in um,
    judgement.
    """
    raised = [patch for patch in case.debris if patch.height_um > 0]
    chosen = max(raised, key=lambda patch: patch.height_um) if raised else _usual(case)
    shift = 360.0 * case.studs.studs_turned / case.studs.count if chosen.on == "rotor" else 0.0
    arc = min(chosen.arc_deg, 180.0 / case.studs.count)
    return replace(chosen, on="hub", angle_deg=(chosen.angle_deg + shift) % 360.0, arc_deg=arc)


def _usual(case: Case) -> Debris:
    outer = case.hub.face_diameter_mm / 2.0
    return Debris(
        kind="compact scale",
        angle_deg=180.0 / case.studs.count,
        inner_radius_mm=outer - 8.0,
        outer_radius_mm=outer,
        height_um=100.0,
    )


def heights_um(speck: Debris, count: int) -> Floats:
    """Heights of a table, from nothing to above the speck, its own height among them. Shape (count,). [um].

    Bounds are a judgement.

    Examples
    --------
    >>> heights_um(Debris(height_um=90.0), 5)
    array([  0.,  30.,  60.,  90., 120.])
    """
    own = next((k for k, least in ((3, 90.0), (2, 60.0)) if speck.height_um >= least), 1)
    return np.linspace(0.0, 4.0 * speck.height_um / own, count)


def at_radius(case: Case, speck: Debris, radius_mm: float) -> Debris:
    """Return the same speck with its middle at another radius, as long along the turn and as wide, in mm: geometry."""
    half = (speck.outer_radius_mm - speck.inner_radius_mm) / 2.0
    middle = (speck.outer_radius_mm + speck.inner_radius_mm) / 2.0
    arc = min(speck.arc_deg * middle / radius_mm, 180.0 / case.studs.count)
    return replace(speck, inner_radius_mm=radius_mm - half, outer_radius_mm=radius_mm + half, arc_deg=arc)


def radii_mm(case: Case, speck: Debris, count: int) -> Floats:
    """Radii of the speck's middle, from as far in as it finds room on the face to the outer edge. Shape (count,).

    Raises
    ------
    Refused
        If the speck is as wide as the face.

    Notes
    -----
    Lengths in mm: geometry.
    """
    half = (speck.outer_radius_mm - speck.inner_radius_mm) / 2.0
    inner, outer = case.contact_zone_mm
    low, high = inner + half + MARGIN_MM, max(outer - half, (speck.inner_radius_mm + speck.outer_radius_mm) / 2.0)
    if high - low < 5.0:
        raise Refused(f"the patch is {2 * half:g} mm wide: there is no room on the hub face to place it further in")
    return np.linspace(low, high, count)


@one_thread
def around(case: Case, preset: str = "standard", progress: Progress = silent) -> Table:
    """Seat the corner with its speck all round the hub face, at every height.

    Parameters
    ----------
    case : Case
    preset : str
    progress : callable(fraction, what)

    Returns
    -------
    Table
        The finer one where the first is further off between its nodes than is allowed; ``error.holds`` may still be
        false, then the page goes from node to node.

    Raises
    ------
    Refused
        If the corner cannot be seated, or scale on the spigot has a say.

    Notes
    -----
    Each node is a seating (its sources stand in `sim.seating`), how many a judgement; height in um, angle in deg.
    """
    speck = speck_of(case)
    _need_free(case)
    made = None
    for count, heights in zip(PLACES_AROUND, HEIGHTS, strict=True):
        places = case.studs.count * round(count / case.studs.count)
        axes = AROUND, speck.angle_deg + np.arange(places) * 360.0 / places, heights_um(speck, heights)
        made = table(case, lambda place: replace(speck, angle_deg=place % 360.0), axes, preset, progress)
        if made.error.holds:
            break
    assert made is not None
    return made


@one_thread
def outward(case: Case, preset: str = "standard", progress: Progress = silent) -> Table:
    """Seat the corner with its speck at every radius and height, at the angle where it lies.

    Parameters, answer and errors are those of `around`.
    """
    speck = speck_of(case)
    _need_free(case)
    made = None
    for count, heights in zip(PLACES_OUTWARD, HEIGHTS, strict=True):
        axes = OUTWARD, radii_mm(case, speck, count), heights_um(speck, heights)
        made = table(case, lambda place: at_radius(case, speck, place), axes, preset, progress)
        if made.error.holds:
            break
    assert made is not None
    return made


def _need_free(case: Case) -> None:
    if why := hindrance(replace(case, spigot_scale=(), debris=())):
        raise Refused(f"{why}: the page is made of seatings on the hub face")
