"""What carries the clamp force of a seating that was solved: pressure cell by cell, shares, and what is odd in them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from sim.arrays import Floats
from sim.one_thread import one_thread
from sim.parts.case import Case, Debris
from sim.seating.flexibility import FACE
from sim.seating.lying_between import BARE, WHEEL, Surface, carried_share
from sim.seating.prepared import Pair
from sim.solvers.contact import Solution

# Metal is indented at about three times its yield stress (Johnson, Contact Mechanics, 1985, chapter 6); 400 MPa of
# yield for a hub or an iron flange is a judgement.
INDENTS_MPA = 1200.0
LEAST_CARRYING = 0.05  # a face that carries on less is not seated; judgement, 0.02 .. 0.1
# Over the presets fast, standard and fine a grain of 0.3 mm reads 1.85, 1.76 and 1.79 um, one of 1 mm 10.7, 10.4 and
# 10.3, one of 2 mm 20.1, 20.2 and 20.0, one of 3 mm 25.8, 25.7 and 25.7 (hard, 60 um, between studs, at 66 mm).
RESOLVED_MM = 1.0
SLIGHT_LOSS = 0.02  # share of a patch that may be lost to the cutting into cells without a word


@dataclass(frozen=True, eq=False)
class Cells:
    """Every contact cell, for pictures; HUB frame. Pressure is the cell's force over its whole area.

    ``debris_index`` is the position in ``case.debris``, -1 on the bare face.
    """

    inner_radius_mm: Floats
    outer_radius_mm: Floats
    angle_deg: Floats
    arc_deg: Floats
    pressure_mpa: Floats
    gap_um: Floats
    debris_index: NDArray[np.int64]


@dataclass(frozen=True)
class ContactSummary:
    """What carries the clamp force.

    ``residual_height_um`` is what is left of each patch after crushing, averaged over its area; ``carrying_fraction``
    is the share of the whole contact zone that carries, patches included (None in runs of an earlier version).
    """

    closed_fraction: float
    debris_force_n: tuple[float, ...]
    residual_height_um: tuple[float, ...]
    max_pressure_mpa: float
    carrying_fraction: float | None = None


def cells_of(found: list[Surface], solution: Solution) -> Cells:
    """Cells between rotor and hub: a crushed patch and the floor under it are one; the wheel's pad is left out.

    Radii in mm, gaps in um, pressures in MPa. By definition: force over area.
    """
    shown: list[Surface] = []
    pressure: list[Floats] = []
    gap: list[Floats] = []
    start = 0
    for surface in found:
        span = slice(start, start + surface.kept.size)
        start += surface.kept.size
        pressed = solution.force[span] / surface.block.area_mm2[surface.kept]
        if surface.floor:
            pressure[-1] = pressure[-1] + pressed
        elif surface.index != WHEEL:
            shown.append(surface)
            pressure.append(pressed)
            gap.append(solution.gap[span] * 1000.0)
    inner, outer, angle = (np.concatenate([s.block.flat[i][s.kept] for s in shown]) for i in range(3))
    return Cells(
        inner_radius_mm=inner,
        outer_radius_mm=outer,
        angle_deg=np.rad2deg(angle) % 360.0,
        arc_deg=np.rad2deg(np.concatenate([s.block.arc[s.kept] for s in shown])),
        pressure_mpa=np.concatenate(pressure),
        gap_um=np.concatenate(gap),
        debris_index=np.concatenate([np.full(s.kept.size, s.index) for s in shown]),
    )


def height_lost_mm(found: list[Surface], solution: Solution, earlier: Mapping[int, Floats]) -> dict[int, Floats]:
    """Height lost for good: where a pad carries its cap, the gap equation is left short by just that.

    Parameters
    ----------
    found : list of Surface
    solution : Solution
    earlier : mapping of int to ndarray
        What an earlier tightening took. [mm]

    Returns
    -------
    dict of int to ndarray
        Cell by cell, by position in ``case.debris``. [mm]
    """
    out: dict[int, Floats] = {}
    start = 0
    for surface in found:
        span = slice(start, start + surface.kept.size)
        start += surface.kept.size
        if np.isfinite(surface.cap_mpa):
            out[surface.index] = np.maximum(-solution.gap[span], 0.0) + earlier.get(surface.index, 0.0)
    return out


@one_thread
def summary_of(
    pair: Pair, case: Case, put_in: tuple[list[Surface], Cells], solution: Solution, crushed: Mapping[int, Floats]
) -> ContactSummary:
    """Sum up what carries: shares of the face, force and rest of each patch, highest pressure.

    Shares of an area, forces in N, heights in um, pressure in MPa; by definition, as `ContactSummary` says.
    """
    found, cells = put_in
    index = np.concatenate([np.full(s.kept.size, s.index) for s in found])
    area = np.concatenate([s.area_mm2 for s in found])
    bare = index == BARE
    zone = np.pi * (pair.zone_mm[1] ** 2 - pair.zone_mm[0] ** 2)
    footprint = sum(float(s.area_mm2.sum()) for s in found if s.index >= 0 and not s.floor)
    left = [float(debris.height_um) for debris in case.debris]
    for surface in found:
        if surface.index in crushed and not surface.floor:
            mean = float(crushed[surface.index] @ surface.area_mm2 / surface.area_mm2.sum())
            left[surface.index] -= 1000.0 * mean
    open_to_touch = max(zone - footprint, 1e-9 * zone)  # nothing where one patch covers the whole face
    return ContactSummary(
        closed_fraction=min(float(area[bare & (solution.force > 0)].sum()) / open_to_touch, 1.0),
        debris_force_n=tuple(float(solution.force[index == i].sum()) for i in range(len(case.debris))),
        residual_height_um=tuple(left),
        max_pressure_mpa=float(cells.pressure_mpa.max()),
        carrying_fraction=_carrying(found, solution) / float(zone),
    )


def _carrying(found: list[Surface], solution: Solution) -> float:
    """Area of the face that carries, patches included; dirt and the floor under it count once. [mm2]."""
    carries, start = 0.0, 0
    for surface in found:
        force = solution.force[start : start + surface.kept.size]
        start += surface.kept.size
        if surface.side == FACE and not surface.floor:
            carries += float(surface.area_mm2[force > 0].sum())
    return carries


def carry_warnings(summary: ContactSummary) -> tuple[str, ...]:
    """Say where a seat stands on next to nothing: a dial reads little on it, and a road does not leave it there.

    Judged by its share of the face; judgement, as `LEAST_CARRYING` says.
    """
    share = summary.carrying_fraction
    if share is None or share >= LEAST_CARRYING:
        return ()
    return (
        f"the seat carries on {100 * share:.1f} % of the face, dirt included: it stands on points and is not seated; "
        "whatever it reads is no verdict",
    )


def _across_mm(debris: Debris) -> float:
    """Smaller of a patch's two extents. [mm]."""
    middle = 0.5 * (debris.inner_radius_mm + debris.outer_radius_mm)
    return min(debris.outer_radius_mm - debris.inner_radius_mm, middle * np.deg2rad(debris.arc_deg))


def debris_warnings(case: Case, found: list[Surface], forces_n: tuple[float, ...]) -> tuple[str, ...]:
    """Say which patches carry nothing or in part, are finer than is resolved, or would dig into the metal.

    ``forces_n`` of each patch in N; limits in mm, MPa and shares: judgement, as their constants say.
    """
    by_index = {surface.index: surface for surface in found}
    out = []
    for index, debris in enumerate(case.debris):
        if debris.height_um <= 0:
            continue
        name = f"debris {index + 1}"
        if index not in by_index:
            out.append(f"{name}: lies where the faces cannot touch, or under something higher; it carries nothing")
            continue
        lost = 1 - carried_share(debris, by_index[index])
        if lost > SLIGHT_LOSS:
            out.append(
                f"{name}: {100 * lost:.0f} % of it lies in a stud hole, off the contact zone or under something "
                "higher and carries nothing"
            )
        across = _across_mm(debris)
        if across < RESOLVED_MM:
            out.append(
                f"{name}: {across:.1f} mm across is finer than is resolved ({RESOLVED_MM:g} mm): what it lifts is "
                "known to 5 %, its own digging in left out"
            )
        pressed = forces_n[index] / float(by_index[index].area_mm2.sum())
        if not np.isfinite(by_index[index].cap_mpa) and pressed > INDENTS_MPA:
            out.append(
                f"{name}: pressed with {pressed:.0f} MPa on average, more than metal bears without giving way "
                f"(about {INDENTS_MPA:.0f} MPa): it will dig in, and lift the rotor less than computed"
            )
    return tuple(out)
