"""One step along the spigot, put up from the bore's cells and solved on the columns that have to do with it.

Columns that are far from touching carry nothing. They are left out, and afterwards it is proved that they do not touch.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from sim.arrays import Bools, Complexes, Floats, Ints
from sim.parts.case import Case
from sim.seating.prepared import Pair
from sim.seating.studs import stud_angles_rad
from sim.solvers.friction_step import TINY, Rub, Rubbed, Sets, step
from sim.spigot.bore_cells import (
    BoreCells,
    Columns,
    Rows,
    band_mean,
    bore_flexibility,
    moved_beside,
    rigid_rows,
    stud_answer,
)
from sim.spigot.bore_cut import whole_columns

RIM_CELLS = 24  # places round the flange's rim where it may touch the hub face; judgement
RIM_GIVE_MM_N = 1e-6  # next to nothing, so that the rim's forces are one set of many; judgement
# What two hands, or nuts run up together, do to keep the rotor straight; a push aside that is next to nothing.
# Judgement. [N/mm, N mm/rad]
WEAK = np.array([0.0, 3e5, 3e5, 0.5, 0.5])
PROVED = 1e-9  # residual of balance, contact and friction cone up to which a step counts, relative
NEIGHBOURS = 1  # columns on either side of one that touched before, which take part in a step


@dataclass(frozen=True)
class Way:
    """Where a push acts: evenly on the seats of studs at these hub angles [rad], on this radius [mm]."""

    angle_rad: tuple[float, ...]
    radius_mm: float

    @property
    def push(self) -> Floats:
        """Generalised force on the rotor per newton. 1, and levers in mm. Statics of a force on the pitch circle."""
        x, y = (self.radius_mm * float(np.mean(part(self.angle_rad))) for part in (np.cos, np.sin))
        return -np.array([1.0, x, y, 0.0, 0.0])

    def wave(self, orders: int) -> Complexes:
        """Mean of exp(-i n theta) over the studs. Shape (orders,). No unit; by definition of the Fourier series."""
        return np.exp(-1j * np.outer(np.arange(orders), self.angle_rad)).mean(axis=1)


def evenly(case: Case) -> Way:
    """Return an even push: all nuts together, or two hands on the flange."""
    return Way(tuple(stud_angles_rad(case.studs.count)), case.studs.pitch_radius_mm)


def at_stud(case: Case, stud: int) -> Way:
    """Return the push of one nut alone; studs count from 1."""
    return Way((float(stud_angles_rad(case.studs.count)[stud - 1]),), case.studs.pitch_radius_mm)


@dataclass(frozen=True, eq=False)
class Setting:
    """What stays the same along a path: who is pushed where, against what friction, and where springs hold it."""

    pair: Pair
    case: Case
    columns: Columns
    friction: float
    way: Way
    rest: Floats


@dataclass(frozen=True, eq=False)
class Settled:
    """A solved step on all columns.

    ``bent_mm`` is how far the pushed seats move along the push because bore and friction bend the rotor, ``stored`` the
    elastic energy. [N mm]
    """

    solved: Rubbed
    bent_mm: float
    stored_n_mm: float


@dataclass(frozen=True, eq=False)
class _Part:
    """Cells on some columns, counted anew, and their rows for each body; ``chosen`` are the cells, of all.

    ``rigid`` are the rigid motions of the cells along their push, ``lifted`` those of whole columns along the axis.
    """

    among: Ints
    chosen: Ints
    column: Ints
    overlap_mm: Floats
    give_mm_n: Floats
    rigid: Floats
    lifted: Floats
    radial: tuple[Rows, ...]
    axial: tuple[Rows, ...]

    def on(self, mask: Bools) -> _Part:
        """Return what lies on some of the columns."""
        if mask.all():
            return self
        cells, among = np.flatnonzero(mask[self.column]), np.flatnonzero(mask)
        column = (np.cumsum(mask) - 1)[self.column[cells]]
        return _Part(
            among=among,
            chosen=cells,
            column=column,
            overlap_mm=self.overlap_mm[cells],
            give_mm_n=self.give_mm_n[cells],
            rigid=self.rigid[cells],
            lifted=self.lifted[among],
            radial=tuple(Rows(among.size, column, _rows_at(rows.out, cells), None) for rows in self.radial),
            axial=tuple(Rows(among.size, np.arange(among.size), None, _rows_at(r.up, among)) for r in self.axial),
        )


def _rows_at(part: Floats | None, chosen: Ints) -> Floats | None:
    return None if part is None else part[chosen]


def _bore(at: Setting, cells: BoreCells) -> _Part:
    """All cells and all columns of the bore."""
    whole, radius = whole_columns(cells), at.case.rotor.bore_diameter_mm / 2
    count, n = len(at.columns.angle_rad), cells.size
    radial, axial = [], []
    low, high = np.append(cells.low_mm, whole.low_mm), np.append(cells.high_mm, whole.high_mm)
    lift = np.append(cells.lift_mm, whole.lift_mm)
    for k, body in enumerate(at.pair.bodies):
        ports = body.flexibility.ports
        mean = band_mean(ports.z_mm[ports.bore_u], low + k * lift, high + k * lift)
        radial.append(Rows(count, cells.column, mean[:n], None))
        axial.append(Rows(count, whole.column, None, mean[n:]))
    return _Part(
        among=np.arange(count),
        chosen=np.arange(n),
        column=cells.column,
        overlap_mm=cells.overlap_mm,
        give_mm_n=1 / at.case.contact.layer_stiffness_n_mm3 / cells.area_mm2(radius),
        rigid=rigid_rows(cells, radius),
        lifted=rigid_rows(whole, radius, axial=True),
        radial=tuple(radial),
        axial=tuple(axial),
    )


def settle(at: Setting, cells: BoreCells, carried: Sets | None, slipped_mm: Floats, height_mm: float) -> Settled | None:
    """Solve a step; ``None`` if it does not settle.

    Parameters
    ----------
    at : Setting
    cells : BoreCells
        Cut where the rotor is thought to stand.
    carried : Sets or None
        Sets to begin with; None at the start of a path.
    slipped_mm : ndarray, shape (columns,)
        Axial place of each column before the step.
    height_mm : float
        Where the pushed point comes to.
    """
    bore, every = _bore(at, cells), np.ones(len(at.columns.angle_rad), dtype=bool)
    # Where columns stick, as under one nut, the state is not unique: then all of the bore is solved as it was.
    even = len(at.way.angle_rad) > 1
    slides = even and carried is not None and bool((carried.slip != 0).all())
    busy = _busy(cells, carried, every.size) if carried is not None and slides else every
    if carried is not None and busy.any() and not busy.all():
        part = bore.on(busy)
        rub = _rub(at, part, slipped_mm, height_mm)
        found = step(rub, Sets(carried.closed[part.chosen], carried.touching, carried.slip[busy]))
        whole = None if found is None else _with_idle(at, (part, bore.on(~busy)), found, slipped_mm)
        if found is not None and whole is not None and (found.sets.slip != 0).all() and _proved(found):
            return _settled(rub, found, whole)
    rub = _rub(at, bore, slipped_mm, height_mm)
    found = (step(rub, carried) if carried is not None else None) or step(rub)
    return None if found is None or not _proved(found) else _settled(rub, found, found)


def _proved(found: Rubbed) -> bool:
    return bool(max(found.balance, found.complementarity, found.cone) <= PROVED)


def _busy(cells: BoreCells, carried: Sets, count: int) -> Bools:
    touched = np.zeros(count, dtype=bool)
    touched[cells.column[carried.closed]] = True
    return np.logical_or.reduce([np.roll(touched, k) for k in range(-NEIGHBOURS, NEIGHBOURS + 1)])


def _rub(at: Setting, part: _Part, slipped_mm: Floats, height_mm: float) -> Rub:
    pair, among = at.pair, part.among
    n, count = part.column.size, part.among.size
    flexible = np.empty((n + count, n + count))
    flexible[:n, :n] = bore_flexibility(pair, at.columns, part.radial, part.radial, among)
    flexible[:n, n:] = bore_flexibility(pair, at.columns, part.radial, part.axial, among)
    flexible[n:, :n] = flexible[:n, n:].T
    flexible[n:, n:] = bore_flexibility(pair, at.columns, part.axial, part.axial, among)
    diagonal = np.arange(n)
    flexible[diagonal, diagonal] += part.give_mm_n
    bent = _bent(pair, at.columns, at.way)[among]
    return Rub(
        flexible=flexible,
        column=part.column,
        overlap_mm=part.overlap_mm,
        rigid=part.rigid,
        rigid_axial=part.lifted,
        rim=_rim(at.case),
        rim_give=RIM_GIVE_MM_N,
        before_mm=slipped_mm[among],
        friction=at.friction,
        push=at.way.push,
        bend=-part.radial[0].read(bent),
        bend_axial=-part.axial[0].read(bent),
        travel_mm=-height_mm,
        spring=WEAK,
        rest=at.rest,
    )


def _rim(case: Case) -> Floats:
    """Axial place of the flange's rim, where it may touch the hub face, per rigid motion."""
    turn = 2 * np.pi * np.arange(RIM_CELLS) / RIM_CELLS
    edge = min(case.hub.face_diameter_mm / 2, case.rotor.hat_inner_radius_mm)
    rim = np.zeros((RIM_CELLS, 5))
    rim[:, :3] = np.column_stack([np.ones(RIM_CELLS), edge * np.cos(turn), edge * np.sin(turn)])
    return rim


@lru_cache(maxsize=16)
def _bent(pair: Pair, columns: Columns, way: Way) -> Floats:
    """Movement of the bore's ports under a unit push outboard on the rotor alone. Shape (columns, ports)."""
    return stud_answer(pair, pair.rotor, columns, way.wave(pair.orders)).reshape(len(columns.angle_rad), -1)


def _settled(rub: Rub, found: Rubbed, whole: Rubbed) -> Settled:
    both = np.append(found.push_n, found.rub_n)
    bent = float(both @ rub.motions[:, 5])
    stored = 0.5 * float(both @ rub.flexible @ both) + 0.5 * rub.rim_give * float(found.rim_n @ found.rim_n)
    return Settled(whole, bent, stored)


def _with_idle(at: Setting, parts: tuple[_Part, _Part], found: Rubbed, slipped_mm: Floats) -> Rubbed | None:
    """Return the step on all columns, or ``None`` if one that was left out touches after all."""
    busy, idle = parts
    gap = idle.rigid @ found.motion - idle.overlap_mm
    slip = idle.lifted @ found.motion - slipped_mm[idle.among]
    for k, body in enumerate(at.pair.bodies):
        loads = busy.radial[k].spread(found.push_n) + busy.axial[k].spread(found.rub_n)
        moved = moved_beside(at.pair, body, at.columns, (busy.among, idle.among), loads)
        if k == 0:
            moved -= found.force_n * _bent(at.pair, at.columns, at.way)[idle.among]
        gap += idle.radial[k].read(moved)
        slip += idle.axial[k].read(moved)
    if gap.min() < -TINY * (np.abs(gap).max() + 1e-3):
        return None
    size, count = busy.chosen.size + idle.chosen.size, busy.among.size + idle.among.size
    push, rub, all_slip = np.zeros(size), np.zeros(count), np.empty(count)
    closed, way = np.zeros(size, dtype=bool), np.ones(count, dtype=int)
    push[busy.chosen], closed[busy.chosen] = found.push_n, found.sets.closed
    rub[busy.among], way[busy.among] = found.rub_n, found.sets.slip
    all_slip[busy.among], all_slip[idle.among] = found.slip_mm, slip
    sets = Sets(closed, found.sets.touching, way)
    return replace(found, push_n=push, rub_n=rub, slip_mm=all_slip, sets=sets)
