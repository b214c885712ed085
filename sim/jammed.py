"""Pushing a rotor on to a tight spigot: how far it goes, how it leans, what it takes to force it home.

The rotor is moved down step by step at the point where it is pushed (the middle for a hand or even nuts, a stud for one
nut alone). Each step is a contact problem with Coulomb friction (`sim.rubbing`) on bore cells cut where the scale is
now; what a column has slipped is carried from step to step. The force that the step needs has two parts: friction and
balance, from the step itself, and the climb on to more scale, from the energy that the new overlap stores, over a 45
degree chamfer with friction. The scale does not give and nothing yields: forces and stress are upper bounds once the
iron or the scale would.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import vstack

from sim.bore import (
    BoreCells,
    Columns,
    axial_rows,
    bore_flexibility,
    columns_through,
    nodal_wave,
    radial_rows,
    rigid_rows,
    stud_answer,
)
from sim.clamp import stud_angles_rad
from sim.errors import Refused
from sim.freeplay import free_play, in_root
from sim.pair import Pair
from sim.parts import Case
from sim.rubbing import Rub, Rubbed, Sets, step
from sim.wedge import overlap_mm

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]

COLUMN_RAD = np.deg2rad(7.5)
BAND_MM = 1.2
EDGE_BANDS_MM = (0.4, 1.0)  # borders of narrow bands at the bore's inboard edge, on which a rubbed bore comes to pinch
STEP_MM = 0.5
MOST_STEPS = 10
LEAST_BAND_MM = 0.02  # narrower strips of overlap are left out
RIM_CELLS = 24
RIM_GIVE_MM_N = 1e-6
# What two hands, or nuts run up together, do to keep the rotor straight; a push aside that is next to nothing.
# Judgement. [N/mm, N mm/rad]
WEAK = np.array([0.0, 3e5, 3e5, 0.5, 0.5])
MAX_HALVINGS = 6
MOST_PUSH_N = 1e6  # no set of studs pulls more
PASSES = 2


@dataclass(frozen=True, eq=False)
class Place:
    """The rotor somewhere along the spigot.

    Parameters
    ----------
    motion : ndarray, shape (5,)
        Stand-off of the rotor's axis point [mm], two tilts [rad], two sideways shifts [mm].
    cells : BoreCells
    solved : Rubbed
    slipped_mm : ndarray, shape (columns,)
        Axial place of each column of the bore.
    energy_n_mm : float
        Stored elastically.
    needed_n : float
        Push that moved it here: friction and balance, and the climb.
    climb_n : float
        The climb's part.
    heat_n_mm : float
        Lost to friction on the last step.
    bent_mm : float
        How far the pushed seats have moved along the push because bore and friction bend the rotor.
    """

    motion: Floats
    cells: BoreCells
    solved: Rubbed
    slipped_mm: Floats
    energy_n_mm: float
    needed_n: float
    climb_n: float
    heat_n_mm: float
    bent_mm: float

    @property
    def stand_off_mm(self) -> float:
        """How far the middle of the mounting face stands off the hub face. [mm]."""
        return float(self.motion[0])

    @property
    def lean_rad(self) -> float:
        """Angle between the rotor's axis and the hub's. [rad]."""
        return float(np.hypot(self.motion[1], self.motion[2]))

    @property
    def low_side_deg(self) -> float:
        """Hub angle of the side that stands nearest the hub face, 0 .. 360. [deg]."""
        return float(np.rad2deg(np.arctan2(-self.motion[2], -self.motion[1])) % 360.0)


@dataclass(frozen=True)
class Way:
    """Where a push acts: evenly on the seats of studs at these hub angles [rad], on this radius [mm]."""

    angle_rad: tuple[float, ...]
    radius_mm: float

    @property
    def push(self) -> Floats:
        """Generalised force on the rotor per newton."""
        x, y = (self.radius_mm * float(np.mean(part(self.angle_rad))) for part in (np.cos, np.sin))
        return -np.array([1.0, x, y, 0.0, 0.0])

    def wave(self, orders: int) -> Complexes:
        """Mean of exp(-i n theta) over the studs. Shape (orders,)."""
        return np.exp(-1j * np.outer(np.arange(orders), self.angle_rad)).mean(axis=1)


def evenly(case: Case) -> Way:
    """Return an even push: all nuts together, or two hands on the flange."""
    return Way(tuple(stud_angles_rad(case.studs.count)), case.studs.pitch_radius_mm)


def at_stud(case: Case, stud: int) -> Way:
    """Return the push of one nut alone; studs count from 1."""
    return Way((float(stud_angles_rad(case.studs.count)[stud - 1]),), case.studs.pitch_radius_mm)


def first_touch_mm(case: Case) -> float:
    """Stand-off at which the bore's edge reaches what it is too tight for. [mm]."""
    tops = [min(s.to_face_mm, case.hub.spigot_length_mm) for s in case.spigot_scale if not in_root(s)]
    tight = case.rotor.bore_diameter_mm < case.hub.spigot_diameter_mm
    return case.hub.spigot_length_mm if tight or not tops else max(tops)


def path_columns(case: Case) -> Columns:
    """Columns of the bore for a path: coarse, but cut along the borders of all scale."""
    edges = [np.deg2rad(s.angle_deg + side * s.arc_deg / 2) for s in case.spigot_scale for side in (-1, 1)]
    return columns_through(edges, COLUMN_RAD)


def push_on(
    pair: Pair, case: Case, friction: float, way: Way | None = None, step_mm: float | None = None
) -> list[Place]:
    """Push a straight rotor on to its spigot until it is home.

    Parameters
    ----------
    pair : Pair
    case : Case
        Its scale must wedge the bore.
    friction : float
        Coulomb friction of the bore on spigot and scale.
    way : Way, optional
        Where it is pushed; evenly if left out.
    step_mm : float, optional
        Travel of one step; half a millimetre, or a tenth of the way where that is longer. [mm]

    Returns
    -------
    list of Place
        From first touch to home, or to where it binds.

    Raises
    ------
    Refused
        If a step cannot be solved with proof however short it is made.
    """
    top = first_touch_mm(case)
    middle = free_play(case).middle_mm
    track = _Track(pair, case, path_columns(case), friction, way or evenly(case), np.array([0.0, 0.0, 0.0, *middle]))
    count = max(2, int(np.ceil(top / (step_mm or max(STEP_MM, top / MOST_STEPS)) - 1e-9)))
    return track.go(track.start(np.array([top, 0.0, 0.0, *middle])), np.linspace(0.0, top, count + 1)[1:])


def push_from(pair: Pair, case: Case, friction: float, motion: Floats, travel_mm: Floats) -> list[Place]:
    """Put a rotor at a place at once, nothing slipped before, and push it on evenly: one path of many.

    Parameters
    ----------
    motion : ndarray, shape (5,)
        Stand-off [mm], tilts [rad], sideways shifts [mm].
    travel_mm : ndarray, shape (steps,)
        Rising; the first may be next to nothing, to let the overlap settle.
    """
    rest = np.array([0.0, 0.0, 0.0, *motion[3:]])
    track = _Track(pair, case, path_columns(case), friction, evenly(case), rest)
    return track.go(track.start(motion), travel_mm)


def push_to(pair: Pair, case: Case, friction: float, path: list[Place], stand_off_mm: float) -> Place:
    """Return the rotor at a stand-off between the places of a path that a straight push went through."""
    middle = free_play(case).middle_mm
    track = _Track(pair, case, path_columns(case), friction, evenly(case), np.array([0.0, 0.0, 0.0, *middle]))
    higher = [place for place in path if place.stand_off_mm > stand_off_mm + 1e-9]
    at = higher[-1] if higher else track.start(np.array([first_touch_mm(case), 0.0, 0.0, *middle]))
    return track.go(at, np.array([at.stand_off_mm - stand_off_mm]))[-1]


def pull_on(pair: Pair, case: Case, friction: float, start: Place, way: Way, steps: int = 8) -> list[Place]:
    """Pull a jammed rotor on at one point, from where it stands until the point has come down to the hub face."""
    track = _Track(pair, case, start.cells.columns, friction, way, np.array([0.0, 0.0, 0.0, *start.motion[3:]]))
    high = float(-way.push @ start.motion)
    return track.go(start, np.linspace(0.0, high, steps + 1)[1:])


@dataclass(frozen=True, eq=False)
class _Track:
    """What stays the same along a path."""

    pair: Pair
    case: Case
    columns: Columns
    friction: float
    way: Way
    rest: Floats

    def go(self, at: Place, travel: Floats) -> list[Place]:
        """Places at the given travels of the pushed point, from a place on; steps that do not settle are halved.

        The list ends early where the bore binds: no push within `MOST_PUSH_N` moves it, or the columns that hold lock
        against each other so that no step has a solution (self-locking; a short bore does that at high friction).

        Raises
        ------
        Refused
            If not even the first step can be solved with proof.
        """
        start = float(-self.way.push @ at.motion)
        out: list[Place] = []
        done = 0.0
        for mark in travel:
            least = (float(mark) - done) / 2**MAX_HALVINGS
            length = float(mark) - done
            while done < mark - 1e-12:
                length = min(length, float(mark) - done)
                place = self._step(at, start - done - length, length)
                if place is not None:
                    at, done = place, done + length
                    continue
                length /= 2
                if length < least and not out:
                    raise Refused("the path of the bore along the spigot could not be followed with proof")
                if length < least:
                    return out
            out.append(at)
            if at.solved.force_n > MOST_PUSH_N:
                return out
        return out

    def _step(self, at: Place, height: float, moved: float) -> Place | None:
        guess = at.motion.copy()
        guess[0] += height - float(-self.way.push @ at.motion)
        # The strips of scale under the bore follow the place that was found.
        for _ in range(PASSES):
            cells = self.cells(guess)
            rub, flexible = self._rub(cells, at.slipped_mm, height)
            carried = _carried(at.cells, at.solved, cells) if at.solved.changes else None
            found = step(rub, carried) or step(rub)
            if found is None:
                return None
            solved, guess = found, found.motion
        both = np.append(solved.push_n, solved.rub_n)
        bent = float(both @ np.append(rub.bend, rub.bend_axial))
        stored = 0.5 * float(both @ flexible @ both) + 0.5 * RIM_GIVE_MM_N * float(solved.rim_n @ solved.rim_n)
        # The push bends the rotor, too: what that stores beside its own square, which its own work pays for.
        stored += solved.force_n * bent
        heat = float(-(solved.rub_n @ solved.slip_mm))
        paid = solved.force_n * moved + (solved.force_n + at.solved.force_n) / 2 * (bent - at.bent_mm)
        climb = max((stored - at.energy_n_mm + heat - paid) / moved, 0.0)
        needed = solved.force_n + (1 + self.friction) / (1 - self.friction) * climb
        here = solved.slip_mm + at.slipped_mm
        return Place(solved.motion, cells, solved, here, stored, needed, climb, heat, bent)

    def start(self, motion: Floats) -> Place:
        """Return the rotor before anything touches."""
        cells = self.cells(motion)
        still = np.full(len(self.columns.angle_rad), motion[0])
        none, columns, rims = np.zeros(cells.size), np.zeros(still.size), np.zeros(RIM_CELLS)
        sets = Sets(none > 0, rims > 0, np.ones(still.size, dtype=int))
        untouched = Rubbed(none, columns, rims, motion, 0.0, columns, 0.0, 0.0, 0.0, 0, sets)
        return Place(motion, cells, untouched, still, 0.0, 0.0, 0.0, 0.0, 0.0)

    def cells(self, motion: Floats) -> BoreCells:
        """Cells of the bore where the rotor now stands: bands cut at the borders of the scale under each column."""
        case, count = self.case, len(self.columns.angle_rad)
        radius = case.rotor.bore_diameter_mm / 2
        angle = np.array(self.columns.angle_rad)
        lift = motion[0] + radius * (motion[1] * np.cos(angle) + motion[2] * np.sin(angle))
        edges = sorted({z for s in case.spigot_scale if not in_root(s) for z in (s.from_face_mm, s.to_face_mm)})
        column, low, high = [], [], []
        for j in range(count):
            end = min(case.rotor.flange_thickness_mm, case.hub.spigot_length_mm - lift[j])
            begin = max(0.0, -lift[j])
            if end - begin < LEAST_BAND_MM:
                end = begin + LEAST_BAND_MM
            inside = [z - lift[j] for z in edges] + [begin + width for width in EDGE_BANDS_MM]
            marks = [begin, *sorted(z for z in inside if begin < z < end), end]
            for a, b in zip(marks, marks[1:], strict=False):
                if b - a < LEAST_BAND_MM - 1e-12:
                    continue
                parts = max(1, int(np.ceil((b - a) / BAND_MM - 1e-9)))
                cut = np.linspace(a, b, parts + 1)
                column += [j] * parts
                low += list(cut[:-1])
                high += list(cut[1:])
        index, bottom, top = np.array(column), np.array(low), np.array(high)
        middle = (bottom + top) / 2 + lift[index]
        overlap, which = overlap_mm(case, Columns(tuple(angle[index]), (0.0,) * index.size), middle[:, None])
        return BoreCells(
            columns=self.columns,
            column=index,
            low_mm=bottom,
            high_mm=top,
            overlap_mm=overlap[:, 0],
            scale=which[:, 0],
            lift_mm=lift[index],
            chamfer=np.zeros(index.size, dtype=bool),
        )

    def _rub(self, cells: BoreCells, slipped: Floats, height: float) -> tuple[Rub, Floats]:
        pair, case = self.pair, self.case
        radius, count = case.rotor.bore_diameter_mm / 2, len(self.columns.angle_rad)
        radial = [radial_rows(body, cells, hub=k == 1) for k, body in enumerate(pair.bodies)]
        whole = _whole_columns(cells, count)
        axial = [axial_rows(body, whole, hub=k == 1) for k, body in enumerate(pair.bodies)]
        every = [vstack([out, up], format="csr") for out, up in zip(radial, axial, strict=True)]
        flexible = bore_flexibility(pair, self.columns, every, every)
        diagonal = np.arange(cells.size)
        flexible[diagonal, diagonal] += 1 / case.contact.layer_stiffness_n_mm3 / cells.area_mm2(radius)
        bent = _bent(pair, self.columns, self.way)
        turn = 2 * np.pi * np.arange(RIM_CELLS) / RIM_CELLS
        edge = min(case.hub.face_diameter_mm / 2, case.rotor.hat_inner_radius_mm)
        rim = np.zeros((RIM_CELLS, 5))
        rim[:, :3] = np.column_stack([np.ones(RIM_CELLS), edge * np.cos(turn), edge * np.sin(turn)])
        n = cells.size
        rub = Rub(
            normal=flexible[:n, :n],
            cross=flexible[:n, n:],
            axial=flexible[n:, n:],
            column=cells.column,
            overlap_mm=cells.overlap_mm,
            rigid=rigid_rows(cells, radius),
            rigid_axial=rigid_rows(whole, radius, axial=True),
            rim=rim,
            rim_give=RIM_GIVE_MM_N,
            before_mm=slipped,
            friction=self.friction,
            push=self.way.push,
            bend=-(radial[0] @ bent),
            bend_axial=-(axial[0] @ bent),
            travel_mm=-height,
            spring=WEAK,
            rest=self.rest,
        )
        return rub, flexible


@lru_cache(maxsize=16)
def _bent(pair: Pair, columns: Columns, way: Way) -> Floats:
    """Movement of the bore's ports under a unit push outboard on the rotor alone."""
    return stud_answer(pair, pair.rotor, columns, way.wave(pair.orders))


def _carried(old: BoreCells, solved: Rubbed, cells: BoreCells) -> Sets:
    """Sets of the place before, carried over to cells that are cut anew: nearest band of the same column."""
    middle_old, middle = (old.low_mm + old.high_mm) / 2, (cells.low_mm + cells.high_mm) / 2
    away = np.abs(middle[:, None] - middle_old[None, :]) + 1e3 * (cells.column[:, None] != old.column[None, :])
    return Sets(solved.sets.closed[np.argmin(away, axis=1)], solved.sets.touching, solved.sets.slip)


def _whole_columns(cells: BoreCells, count: int) -> BoreCells:
    """One cell for each column, over the whole length on which it can touch."""
    low, high, lift = np.full(count, np.inf), np.full(count, -np.inf), np.zeros(count)
    np.minimum.at(low, cells.column, cells.low_mm)
    np.maximum.at(high, cells.column, cells.high_mm)
    lift[cells.column] = cells.lift_mm
    nothing = np.zeros(count)
    return BoreCells(
        cells.columns, np.arange(count), low, high, nothing, np.full(count, -1), lift, np.zeros(count, dtype=bool)
    )


def place_loads(pair: Pair, place: Place) -> tuple[Complexes, ...]:
    """Loads on the bore of the rotor, and on the spigot of an elastic hub, while the rotor stands there.

    Returns
    -------
    tuple of ndarray of complex, shape (orders, bore ports)
        [N]
    """
    columns = place.cells.columns
    whole = _whole_columns(place.cells, len(columns.angle_rad))
    out = []
    for k, body in enumerate(pair.bodies):
        pushed = nodal_wave(pair, columns, radial_rows(body, place.cells, hub=k == 1), place.solved.push_n)
        rubbed = nodal_wave(pair, columns, axial_rows(body, whole, hub=k == 1), place.solved.rub_n)
        out.append((1.0 if k == 0 else -1.0) * (pushed + rubbed))
    return tuple(out)


def stand_off_at_mm(path: list[Place], force_n: float, top_mm: float) -> float:
    """Stand-off at which a push first stops, straight lines between the places; 0 if it goes home. [mm].

    Parameters
    ----------
    path : list of Place
        Of an even push; one that ends before it is home binds there.
    force_n : float
        The push. [N]
    top_mm : float
        Stand-off at first touch. [mm]
    """
    stand = np.array([top_mm] + [place.stand_off_mm for place in path])
    need = np.array([0.0] + [place.needed_n for place in path])
    over = np.flatnonzero(need > force_n)
    if not over.size:
        return float(max(stand[-1], 0.0)) if stand[-1] > LEAST_BAND_MM else 0.0
    k = int(over[0])
    share = (force_n - need[k - 1]) / (need[k] - need[k - 1])
    return float(stand[k - 1] + share * (stand[k] - stand[k - 1]))
