"""Worst case and root sum square: what each tolerance does alone at its limit, added up as engineers do."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import product
from typing import Any

import numpy as np

from sim.corner.batch import seat_many
from sim.one_thread import one_thread
from sim.parts.case import Case, Debris
from sim.progress import Progress, silent
from sim.stack.brought import DIRT, TORQUE, brought
from sim.stack.distributions import THREE_SIGMA, Distribution
from sim.stack.population import Dirt, Population
from sim.stack.seated import bare

#: Shapes of the mounting faces that are seated at their ends.
SHAPES = ("hub.face_dish_um", "rotor.flange_dish_um", "hub.face_saddle_um", "rotor.flange_saddle_um")
OF_THE_BASE = ", of the base"
MOST_STUDS_TRIED = 6  # every pattern of loose and tight nuts up to here; above, one nut or two neighbours
NO_END = f"where a distribution has no end, its {100 * THREE_SIGMA:.2f} % point stands for it"


@dataclass(frozen=True)
class Contribution:
    """What one tolerance does alone, at its limit.

    Parameters
    ----------
    name : str
        Key, or name of the dirt; what does not vary ends with `OF_THE_BASE`.
    limit : float
        In its own unit.
    unit : str
    runout_um : float
        Lateral runout at the dial from it alone. [um TIR]
    how : str
        ``added as a vector`` or ``seated``.
    """

    name: str
    limit: float
    unit: str
    runout_um: float
    how: str


@one_thread
def contributions(
    population: Population, preset: str = "fast", progress: Progress = silent
) -> tuple[Contribution, ...]:
    """Runout that each tolerance gives alone at its limit, the greatest first.

    Parameters
    ----------
    population : Population
    preset : {"fast", "standard", "fine"}
    progress : callable(fraction, what)

    Returns
    -------
    tuple of Contribution
        [um TIR]; of keys that change how a part bends, or count only on the road, there is none.

    Notes
    -----
    What the base brings along (`sim.stack.brought`) counts as it is: drawn corners have it too. A lean grows with the
    radius (geometry). Dirt at the limit of its height and the middle of its size is seated at the
    outer edge and half way in, on and between studs, of every kind that it may be; torque in every pattern of tight and
    loose nuts: the greatest counts.
    """
    found = list(_vectors(population))
    clean = replace(bare(population.case), debris=())
    tried: list[tuple[str, float, str, list[Case]]] = []
    if population.stud is not None:
        tried.append(("torque from nut to nut", 100.0 * _half(population.stud), "%", _patterns(clean, population.stud)))
    for dirt in population.dirt:
        if sum(dirt.counts[1:]) > 0.0:
            tried.append((dirt.name, dirt.height_um.limit, "um", _places(clean, dirt)))
    tried += [
        (one.key, one.spread.limit, "um", [_set(clean, one.key, value) for value in _ends(one.spread)])
        for one in population.varied
        if one.key in SHAPES
    ]
    tried += _seated_of_the_base(population, clean)
    for k, (name, limit, unit, cases) in enumerate(tried):
        rows = seat_many(cases, preset)
        face = population.case.gauge.face
        spans = [row.outboard_um if face == "outboard" else row.inboard_um for row in rows if not row.refused]
        found.append(Contribution(name, limit, unit, max(spans, default=0.0), "seated"))
        progress((k + 1) / len(tried), "each tolerance alone")
    return tuple(sorted(found, key=lambda one: -one.runout_um))


def _vectors(population: Population) -> Iterator[Contribution]:
    case = population.case
    gains = {
        "hub.face_runout_um": case.gauge_radius_mm / case.hub.read_radius_mm,
        "rotor.own_runout_um": case.gauge_radius_mm / case.rotor.own_runout_read_at_mm,
        "rotor.own_thickness_variation_um": 0.5,
    }
    every = [(one.key, "", one.spread.limit) for one in population.varied]
    every += [(one.name, OF_THE_BASE, one.amount) for one in brought(population)]
    for key, whose, limit in every:
        if key in gains:
            yield Contribution(key + whose, limit, "um", gains[key] * limit, "added as a vector")


def _seated_of_the_base(population: Population, clean: Case) -> Iterator[tuple[str, float, str, list[Case]]]:
    for one in brought(population):
        name = one.name + OF_THE_BASE
        if one.name == DIRT:
            yield name, one.amount, one.unit, [replace(clean, debris=population.case.debris)]
        elif one.name in SHAPES or (one.name == TORQUE and population.stud is None):  # else among the nuts' patterns
            yield name, one.amount, one.unit, [clean]


def _half(spread: Distribution) -> float:
    low, high = _ends(spread)
    return (high - low) / 2.0


def _ends(spread: Distribution) -> tuple[float, float]:
    low = spread.lowest if np.isfinite(spread.lowest) else float(spread.at(1.0 - THREE_SIGMA))
    return low, spread.limit


def _patterns(case: Case, spread: Distribution) -> list[Case]:
    """Corners with every pattern of tight and loose nuts, turned patterns left out."""
    count = case.studs.count
    ends = _ends(spread)
    patterns = set()
    if count <= MOST_STUDS_TRIED:
        for pattern in product((0, 1), repeat=count):
            patterns.add(min(pattern[k:] + pattern[:k] for k in range(count)))
    else:
        patterns = {tuple(int(k < loose) for k in range(count)) for loose in (1, 2, count // 2, count - 1)}
    cases = []
    for pattern in sorted(patterns):
        factor = np.array([ends[one] for one in pattern])
        name = "torque_nm" if case.studs.torque_nm is not None else "preload_n"
        given = np.broadcast_to(getattr(case.studs, name), (count,)) * factor
        changed: dict[str, Any] = {name: tuple(float(one) for one in given)}
        cases.append(replace(case, studs=replace(case.studs, **changed)))
    return cases


def _places(case: Case, dirt: Dirt) -> list[Case]:
    inner, outer = case.contact_zone_mm
    half = min(dirt.width_mm.middle, outer - inner) / 2.0
    middles = [outer - half, (inner + outer) / 2.0] if dirt.radius_mm is None else [dirt.radius_mm.middle]
    corners = []
    for middle, angle, (kind, share) in product(middles, (0.0, case.studs.pitch_deg / 2.0), dirt.kinds):
        if share > 0.0:
            patch = Debris(
                on=dirt.on,
                kind=kind,
                shape=dirt.shape,
                angle_deg=angle,
                arc_deg=dirt.arc_deg.middle,
                inner_radius_mm=max(inner, middle - half),
                outer_radius_mm=min(outer, middle + half),
                height_um=dirt.height_um.limit,
            )
            corners.append(replace(case, debris=(patch,)))
    return corners


def _set(case: Case, key: str, value: float) -> Case:
    table, _, name = key.partition(".")
    changed: dict[str, Any] = {table: replace(getattr(case, table), **{name: value})}
    return replace(case, **changed)


def worst_case_um(found: tuple[Contribution, ...]) -> float:
    """All tolerances at their limits and in one direction. [um TIR]. Sum, by definition (ASME Y14.5 practice)."""
    return float(sum(one.runout_um for one in found))


def rss_um(found: tuple[Contribution, ...]) -> float:
    """Root of the sum of the squares of the tolerances at their limits. [um TIR].

    By definition (ASME Y14.5 practice). Exact for independent Rayleigh vectors at the same share; with dirt in it there
    is no share of corners that it stands for.
    """
    return float(np.sqrt(sum(one.runout_um**2 for one in found)))
