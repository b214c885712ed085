"""Drawing corners: block by block, each from a stream of its own, so that any corner can be drawn again by itself."""

from __future__ import annotations

import zlib
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr, ndtri

from sim.arrays import Floats
from sim.parts.case import Case, Debris
from sim.stack.population import Dirt, Population, correlated_scores, role

#: Corners of a block: what a process is handed at a time, and what is drawn from one stream. A power of two.
BLOCK = 256
PLACES = 4  # places tried for a patch until one lies outside of the stud holes
STUD, TOOL = "torque.stud", "torque.tool"
PATCH = ("angle_deg", "arc_deg", "inner_radius_mm", "outer_radius_mm", "height_um")


@dataclass(frozen=True, eq=False)
class Patches:
    """Patches of one kind of dirt on the corners of a block. Arrays of shape (corners, most patches).

    Parameters
    ----------
    count : ndarray of int, shape (corners,)
        How many of them there are.
    fields : mapping of str to ndarray
        By the names of `PATCH`. [deg, mm, um]
    kind : ndarray of int
        Which of the kinds.
    gone : ndarray of bool
        Whether cleaning takes it away.
    """

    count: NDArray[np.int64]
    fields: Mapping[str, Floats]
    kind: NDArray[np.int64]
    gone: NDArray[np.bool_]


@dataclass(frozen=True, eq=False)
class Drawn:
    """Corners as they were drawn.

    Parameters
    ----------
    first : int
        Number of the first corner, from 0.
    columns : mapping of str to ndarray, shape (corners,)
        Every key that varies, in its unit; factors of the torque as ``torque.tool`` and ``torque.stud1`` ...
    patches : tuple of Patches
        One for each kind of dirt of the population.
    """

    first: int
    columns: Mapping[str, Floats]
    patches: tuple[Patches, ...]

    @property
    def size(self) -> int:
        """Corners."""
        return int(next(iter(self.columns.values())).size) if self.columns else int(self.patches[0].count.size)

    def part(self, rows: slice) -> Drawn:
        """Some of the corners, one after the other."""
        columns = {name: values[rows] for name, values in self.columns.items()}
        patches = tuple(
            Patches(
                one.count[rows], {name: at[rows] for name, at in one.fields.items()}, one.kind[rows], one.gone[rows]
            )
            for one in self.patches
        )
        return Drawn(self.first + (rows.start or 0), columns, patches)


@dataclass(frozen=True)
class Stream:
    """Where shares between 0 and 1 come from: one column for each name, the same whatever else is drawn."""

    seed: int
    block: int
    size: int

    def __call__(self, name: str) -> Floats:
        """Shares for one thing that varies. Shape (size,)."""
        return np.random.default_rng([self.seed, self.block, zlib.crc32(name.encode())]).random(self.size)


def draw_block(population: Population, seed: int, block: int, stream: Any = None) -> Drawn:
    """Draw the corners of one block.

    Parameters
    ----------
    population : Population
    seed : int
    block : int
        From 0.
    stream : callable(name) -> ndarray of shares, optional
        Other points than random ones.

    Returns
    -------
    Drawn
    """
    share = stream or Stream(seed, block, BLOCK)
    columns = _columns(population, share)
    patches = tuple(_patches(population.case, dirt, f"dirt{k}", share) for k, dirt in enumerate(population.dirt))
    return Drawn(block * BLOCK, columns, patches)


def _columns(population: Population, share: Any) -> dict[str, Floats]:
    together: dict[str, Floats] = {}
    for group in population.correlated:
        scores = correlated_scores(group, np.stack([ndtri(share(key)) for key in group.keys]))
        together |= dict(zip(group.keys, ndtr(scores), strict=True))
    columns: dict[str, Floats] = {}
    for one in population.spreads:
        at = together[one.key] if one.key in together else share(one.key)
        if one.levels:  # the middle of each of the equally likely parts
            at = (np.floor(at * one.levels) + 0.5) / one.levels
        columns[one.key] = one.spread.at(at)
    if population.tool is not None:
        columns[TOOL] = population.tool.at(share(TOOL))
    if population.stud is not None:
        for k in range(1, population.case.studs.count + 1):
            columns[f"{STUD}{k}"] = population.stud.at(share(f"{STUD}{k}"))
    return columns


def _patches(case: Case, dirt: Dirt, name: str, share: Any) -> Patches:
    most = len(dirt.counts) - 1
    count = np.searchsorted(np.cumsum(dirt.counts)[:-1], share(f"{name}.count"), side="right")
    zone = case.contact_zone_mm

    def each(what: str) -> Floats:
        rows = [share(f"{name}.{k}.{what}") for k in range(most)]
        return np.stack(rows, axis=1) if rows else np.empty((count.size, 0))

    angle, middle = _place(case, dirt, each)
    half = dirt.width_mm.at(each("width")) / 2.0
    fields = {
        "angle_deg": angle,
        "arc_deg": dirt.arc_deg.at(each("arc")),
        "inner_radius_mm": np.maximum(zone[0], middle - half),
        "outer_radius_mm": np.minimum(zone[1], middle + half),
        "height_um": dirt.height_um.at(each("height")),
    }
    shares = np.cumsum([part for _, part in dirt.kinds])[:-1]
    kind = np.searchsorted(shares, each("kind"), side="right")
    return Patches(count, fields, kind, each("gone") < dirt.cleaning_takes)


def _place(case: Case, dirt: Dirt, each: Any) -> tuple[Floats, Floats]:
    """Angle and middle radius of patches, by area unless said, outside of the stud holes where the face carries."""
    inner, outer = case.contact_zone_mm
    pitch, hole = case.studs.pitch_radius_mm, case.rotor.hole_diameter_mm / 2.0
    angle = radius = None
    for trial in range(PLACES):
        at = 360.0 * each(f"angle{trial}")
        across = each(f"radius{trial}")
        away = np.sqrt(inner**2 + across * (outer**2 - inner**2))
        if dirt.radius_mm is not None:
            away = np.clip(dirt.radius_mm.at(across), inner, outer)
        if angle is None or radius is None:
            angle, radius = at, away
            continue
        from_stud = np.radians((angle + case.studs.pitch_deg / 2) % case.studs.pitch_deg - case.studs.pitch_deg / 2)
        apart = radius**2 + pitch**2 - 2.0 * radius * pitch * np.cos(from_stud)
        inside = apart < hole**2
        angle, radius = np.where(inside, at, angle), np.where(inside, away, radius)
    assert angle is not None
    assert radius is not None
    return angle, radius


def case_of(population: Population, drawn: Drawn, row: int, cleaned: bool = False) -> Case:
    """One drawn corner as a case.

    Parameters
    ----------
    population : Population
    drawn : Drawn
    row : int
        Within the block.
    cleaned : bool
        Without what cleaning takes away; the common dirt of the population's own case is taken too.

    Raises
    ------
    BadInput
        For a corner that cannot be built.
    """
    case = population.case
    changes: dict[str, dict[str, Any]] = {}
    for key, values in drawn.columns.items():
        if role(key):
            table, _, name = key.partition(".")
            changes.setdefault(table, {})[name] = float(values[row])
    if torque := _torques(population, drawn, row):
        changes.setdefault("studs", {}).update(torque)
    parts = {table: replace(getattr(case, table), **values) for table, values in changes.items()}
    debris = () if cleaned else case.debris
    for dirt, lying in zip(population.dirt, drawn.patches, strict=True):
        debris += tuple(
            _patch(dirt, lying, row, k) for k in range(lying.count[row]) if not (cleaned and lying.gone[row, k])
        )
    return replace(case, **parts, debris=debris, given=None)


def _patch(dirt: Dirt, lying: Patches, row: int, k: int) -> Debris:
    fields: dict[str, Any] = {name: float(values[row, k]) for name, values in lying.fields.items()}
    return Debris(on=dirt.on, kind=dirt.kinds[lying.kind[row, k]][0], shape=dirt.shape, **fields)


def _torques(population: Population, drawn: Drawn, row: int) -> dict[str, tuple[float, ...]]:
    """Torque of each nut as read and on the road, where it varies."""
    studs = population.case.studs
    if population.stud is None and population.tool is None:
        return {}
    count = studs.count
    factor = np.full(count, float(drawn.columns[TOOL][row]) if TOOL in drawn.columns else 1.0)
    if f"{STUD}1" in drawn.columns:
        factor = factor * np.array([drawn.columns[f"{STUD}{k}"][row] for k in range(1, count + 1)])
    out = {}
    given = {"torque_nm": studs.torque_nm, "preload_n": studs.preload_n}
    given["road_torque_nm"] = studs.torque_nm if studs.road_torque_nm is None else studs.road_torque_nm
    for name, value in given.items():
        if value is not None:
            out[name] = tuple(float(one) for one in np.broadcast_to(value, (count,)) * factor)
    return out
