"""Pushing a rotor on to a tight spigot: how far it goes, how it leans, what it takes to force it home.

The rotor is moved down step by step at the point where it is pushed (the middle for a hand or even nuts, a stud for one
nut alone). Each step is a contact problem with Coulomb friction (`sim.solvers.friction_step`) on bore cells cut where
the scale is now; what a column has slipped is carried from step to step. The force that the step needs has two parts:
friction and balance, from the step itself, and the climb on to more scale, from the energy that the new overlap
stores, over a 45 degree chamfer with friction. The scale does not give and nothing yields: forces and stress are
upper bounds once the iron or the scale would.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sim.arrays import Complexes, Floats
from sim.errors import Refused
from sim.one_thread import one_thread
from sim.parts.case import Case
from sim.parts.spigot_room import in_root, room
from sim.seating.prepared import Pair
from sim.solvers.friction_step import Rubbed, Sets
from sim.spigot.bore_cells import (
    BoreCells,
    axial_rows,
    nodal_wave,
    radial_rows,
)
from sim.spigot.bore_cut import LEAST_BAND_MM, leaning_cells, scale_columns, whole_columns
from sim.spigot.path_step import RIM_CELLS, Setting, Way, evenly, settle

STEP_MM = 0.5  # of travel; judgement, the work closes with the step (tests/verification)
MOST_STEPS = 10  # on a long way; judgement
MAX_HALVINGS = 6  # of a step that does not settle
MOST_PUSH_N = 1e6  # no set of studs pulls more
PASSES = 2  # over a step: the strips of scale under the bore follow where it was found to stand


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


def first_touch_mm(case: Case) -> float:
    """Stand-off at which the bore's edge reaches what it is too tight for. [mm]."""
    tops = [min(s.to_face_mm, case.hub.spigot_length_mm) for s in case.spigot_scale if not in_root(s)]
    tight = case.rotor.bore_diameter_mm < case.hub.spigot_diameter_mm
    return case.hub.spigot_length_mm if tight or not tops else max(tops)


@one_thread
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
    middle = room(case).middle_mm
    track = _Track(pair, case, scale_columns(case), friction, way or evenly(case), np.array([0.0, 0.0, 0.0, *middle]))
    count = max(2, int(np.ceil(top / (step_mm or max(STEP_MM, top / MOST_STEPS)) - 1e-9)))
    return track.go(track.start(np.array([top, 0.0, 0.0, *middle])), np.linspace(0.0, top, count + 1)[1:])


@one_thread
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
    track = _Track(pair, case, scale_columns(case), friction, evenly(case), rest)
    return track.go(track.start(motion), travel_mm)


@one_thread
def push_to(pair: Pair, case: Case, friction: float, path: list[Place], stand_off_mm: float) -> Place:
    """Return the rotor at a stand-off between the places of a path that a straight push went through."""
    middle = room(case).middle_mm
    track = _Track(pair, case, scale_columns(case), friction, evenly(case), np.array([0.0, 0.0, 0.0, *middle]))
    higher = [place for place in path if place.stand_off_mm > stand_off_mm + 1e-9]
    if higher:
        at = higher[-1]
    else:  # from touch the first strip must be wide enough to count
        at = track.start(np.array([first_touch_mm(case), 0.0, 0.0, *middle]))
        stand_off_mm = min(stand_off_mm, at.stand_off_mm - LEAST_BAND_MM)
    return track.go(at, np.array([at.stand_off_mm - stand_off_mm]))[-1]


@one_thread
def pull_on(pair: Pair, case: Case, friction: float, start: Place, way: Way, steps: int = 8) -> list[Place]:
    """Pull a jammed rotor on at one point, from where it stands until the point has come down to the hub face.

    Travel in mm. Coulomb friction step by step (`sim.solvers.friction_step`).
    """
    track = _Track(pair, case, start.cells.columns, friction, way, np.array([0.0, 0.0, 0.0, *start.motion[3:]]))
    high = float(-way.push @ start.motion)
    return track.go(start, np.linspace(0.0, high, steps + 1)[1:])


@dataclass(frozen=True, eq=False)
class _Track(Setting):
    """A path that is followed step by step."""

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
        last = (at.cells, at.solved)
        found = None
        for _ in range(PASSES):
            cells = leaning_cells(self.case, self.columns, guess)
            carried = _carried(*last, cells) if at.solved.changes else None
            found = settle(self, cells, carried, at.slipped_mm, height)
            if found is None:
                return None
            solved, guess = found.solved, found.solved.motion
            # With columns that stick the state is not unique: then each pass begins from the place before.
            last = (cells, solved) if (solved.sets.slip != 0).all() else last
        assert found is not None
        # The push bends the rotor, too: what that stores beside its own square, which its own work pays for.
        bent = found.bent_mm
        stored = found.stored_n_mm + solved.force_n * bent
        heat = float(-(solved.rub_n @ solved.slip_mm))
        paid = solved.force_n * moved + (solved.force_n + at.solved.force_n) / 2 * (bent - at.bent_mm)
        climb = max((stored - at.energy_n_mm + heat - paid) / moved, 0.0)
        needed = solved.force_n + (1 + self.friction) / (1 - self.friction) * climb
        here = solved.slip_mm + at.slipped_mm
        return Place(solved.motion, cells, solved, here, stored, needed, climb, heat, bent)

    def start(self, motion: Floats) -> Place:
        """Return the rotor before anything touches."""
        cells = leaning_cells(self.case, self.columns, motion)
        still = np.full(len(self.columns.angle_rad), motion[0])
        none, columns, rims = np.zeros(cells.size), np.zeros(still.size), np.zeros(RIM_CELLS)
        sets = Sets(none > 0, rims > 0, np.ones(still.size, dtype=int))
        untouched = Rubbed(none, columns, rims, motion, 0.0, columns, 0.0, 0.0, 0.0, 0, sets)
        return Place(motion, cells, untouched, still, 0.0, 0.0, 0.0, 0.0, 0.0)


def _carried(old: BoreCells, solved: Rubbed, cells: BoreCells) -> Sets:
    """Sets of the place before, carried over to cells that are cut anew: nearest band of the same column."""
    most = int(np.bincount(old.column).max())
    start = np.searchsorted(old.column, np.arange(len(old.columns.angle_rad) + 1))
    near = start[cells.column, None] + np.arange(most)
    other = near >= start[cells.column + 1, None]
    near = np.minimum(near, old.size - 1)
    away = np.abs((old.low_mm + old.high_mm)[near] - (cells.low_mm + cells.high_mm)[:, None])
    chosen = near[np.arange(cells.size), np.argmin(np.where(other, np.inf, away), axis=1)]
    return Sets(solved.sets.closed[chosen], solved.sets.touching, solved.sets.slip)


def place_loads(pair: Pair, place: Place) -> tuple[Complexes, ...]:
    """Loads on the bore of the rotor, and on the spigot of an elastic hub, while the rotor stands there.

    Returns
    -------
    tuple of ndarray of complex, shape (orders, bore ports)
        [N]

    Notes
    -----
    Statics: push outward, friction along the axis, hub against rotor.
    """
    columns = place.cells.columns
    whole = whole_columns(place.cells)
    out: list[Complexes] = []
    for k, body in enumerate(pair.bodies):
        pushed = nodal_wave(pair, columns, radial_rows(body, place.cells, hub=k == 1), place.solved.push_n)
        rubbed = nodal_wave(pair, columns, axial_rows(body, whole, hub=k == 1), place.solved.rub_n)
        out.append(np.add(pushed, rubbed) * (1.0 if k == 0 else -1.0))
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

    Notes
    -----
    A sharp edge on a step of scale would need a jump of force at touch. Edges are broken, bore and scale alike: the
    need is taken to rise from nothing over the first step of the path, half a millimetre; judgement.
    """
    stand = np.array([top_mm] + [place.stand_off_mm for place in path])
    need = np.array([0.0] + [place.needed_n for place in path])
    over = np.flatnonzero(need > force_n)
    if not over.size:
        return float(max(stand[-1], 0.0)) if stand[-1] > LEAST_BAND_MM else 0.0
    k = int(over[0])
    share = (force_n - need[k - 1]) / (need[k] - need[k - 1])
    return float(stand[k - 1] + share * (stand[k] - stand[k - 1]))
