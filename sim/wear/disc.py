"""Set up the wear of one disc, take its state apart, and prove that no metal was lost or made.

Faces are heights in their own outward direction: outboard ``+w - worn + film``, inboard ``-w - worn + film``. What
happens in one revolution stands in ``sim.wear.revolution``; how the revolutions add up in ``sim.wear.march``. Units:
mm, N, MPa.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from sim.arrays import Floats
from sim.turn import resample
from sim.wear.brake import Brake, Fineness
from sim.wear.grid import make_grid, weights_at

if TYPE_CHECKING:  # loaded by whoever drives
    from sim.wear.revolution import Grid, Law


@dataclass(frozen=True, eq=False)
class WearProblem:
    """Everything that fixes the course of wear from here on.

    Parameters
    ----------
    brake : Brake
    fineness : Fineness
    grid : Grid
    law : Law
    base_mm : ndarray, shape (2, rings, angles)
        Heights of the outboard and inboard face before any (further) wear, each in its own outward direction. [mm]
    at_gauge : ndarray, shape (rings,)
        Weights that carry values across the pad to the gauge radius, where thickness is measured.
    """

    brake: Brake
    fineness: Fineness
    grid: Grid
    law: Law
    base_mm: Floats
    at_gauge: Floats

    @property
    def face_cells(self) -> int:
        """Cells on one face. No unit; by definition."""
        return self.grid.rings * self.grid.angles

    @property
    def size(self) -> int:
        """Length of the state: see ``parts_of``. No unit; by definition."""
        film = 2 * self.face_cells if self.law.has_film else 0
        profile = 2 * self.grid.rings * self.grid.share.size if self.law.has_profile else 0
        return 4 * self.face_cells + film + profile + 4


@dataclass(frozen=True, eq=False)
class Worn:
    """One state taken apart: depths in mm (2, rings, angles), outboard face first; work in N mm (per friction)."""

    released_mm: Floats
    braked_mm: Floats
    film_mm: Floats
    profile_mm: Floats
    released_work: Floats
    braked_work: Floats

    @property
    def depth_mm(self) -> Floats:
        """Iron gone, released and braked together. [mm]."""
        return self.released_mm + self.braked_mm


def law_of(brake: Brake, fineness: Fineness) -> Law:
    """Pack a brake for the compiled code.

    Units as in `Brake`; by definition, nothing is computed but springs' levers and shares of the clearance.
    """
    from sim.wear.revolution import Law

    share_out = 0.5 if brake.fixed else brake.outboard_share
    return Law(
        fixed=bool(brake.fixed),
        spring=float(brake.holder_n_mm),
        tilt_spring=float(brake.holder_n_mm * brake.tilt_lever_mm**2),
        slip=float(brake.slip_n),
        gap_out=2.0 * brake.clearance_mm * share_out,
        gap_in=2.0 * brake.clearance_mm * (1.0 - share_out),
        push_out=float(brake.drag_n[0]),
        push_in=float(brake.drag_n[1]),
        bed_released=float(brake.bed_released_n_mm3),
        bed_braking=float(brake.bed_braking_n_mm3),
        clamp=float(brake.clamp_n),
        clamp_spring=float(brake.spread_with_pads_n_mm),
        disc_wear=float(brake.disc_wear),
        pad_wear=float(brake.pad_wear),
        deposit=float(brake.film_deposit),
        adherence=float(brake.adherence),
        film=float(max(brake.film_mm, 1e-9)),
        pressure=float(brake.pressure_mpa),
        brake_share=float(brake.brake_share),
        releases=1 if brake.fixed else int(fineness.release_angles),
        has_film=bool(brake.adherence > 0.0 and brake.film_deposit > 0.0),
        has_profile=bool(fineness.pad_profile),
    )


def make_problem(
    brake: Brake,
    runout_mm: Floats,
    runout_radius_mm: float,
    height_mm: Floats | None = None,
    fineness: Fineness | None = None,
    gauge_radius_mm: float | None = None,
) -> WearProblem:
    """Set up the wear of one disc.

    Parameters
    ----------
    brake : Brake
    runout_mm : ndarray, shape (n,)
        Axial position of the disc's middle plane over one turn, + outboard, rotor frame. [mm]
    runout_radius_mm : float
        Radius at which that was read; it grows in proportion to the radius.
    height_mm : ndarray, shape (2, n), optional
        Metal above the mean face, outboard and inboard: own thickness variation, or minus what is worn.
    fineness : Fineness, optional
    gauge_radius_mm : float, optional
        Where thickness is measured; where the runout was read unless given. Off the band that the pads sweep, the edge
        of that band stands for it.

    Returns
    -------
    WearProblem

    Notes
    -----
    A leaning rotor's runout grows with the radius (geometry); faces are measured in their own outward direction.
    """
    fineness = Fineness() if fineness is None else fineness
    grid = make_grid(brake, fineness)
    runout = resample(np.asarray(runout_mm, dtype=float), grid.angles)
    runout = runout - runout.mean()
    base = np.empty((2, grid.rings, grid.angles))
    base[0] = np.outer(grid.radius_mm / runout_radius_mm, runout)
    base[1] = -base[0]
    if height_mm is not None:
        for face in range(2):
            base[face] += resample(np.asarray(height_mm, dtype=float)[face], grid.angles)
    gauge = runout_radius_mm if gauge_radius_mm is None else gauge_radius_mm
    gauge = min(max(gauge, brake.inner_radius_mm), brake.outer_radius_mm)
    return WearProblem(brake, fineness, grid, law_of(brake, fineness), base, weights_at(grid.radius_mm, gauge))


def parts_of(problem: WearProblem, state: Floats) -> Worn:
    """Take a state vector apart.

    Parameters
    ----------
    problem : WearProblem
    state : ndarray, shape (size,)

    Returns
    -------
    Worn
        Views into ``state``; film and profile are zeros where they are not computed.

    Notes
    -----
    Depths in mm, work in N mm (per friction); by definition of the state.
    """
    cells, grid = problem.face_cells, problem.grid
    shape = (2, grid.rings, grid.angles)
    at = 4 * cells
    film, profile = np.zeros(shape), np.zeros((2, grid.rings, grid.share.size))
    if problem.law.has_film:
        film = state[at : at + 2 * cells].reshape(shape)
        at += 2 * cells
    if problem.law.has_profile:
        profile = state[at : at + profile.size].reshape(profile.shape)
    work = state[-4:]
    return Worn(
        state[: 2 * cells].reshape(shape),
        state[2 * cells : 4 * cells].reshape(shape),
        film,
        profile,
        work[:2],
        work[2:],
    )


def cell_area(problem: WearProblem) -> Floats:
    """Area of one grid cell on each ring. [mm2]. Geometry."""
    grid = problem.grid
    return grid.weight_mm2[:, grid.half] / grid.share[grid.half]


def disc_volume(problem: WearProblem, state: Floats) -> float:
    """Iron worn off both faces. [mm3]. Depth times area, by definition."""
    worn = parts_of(problem, state)
    return float(np.sum(worn.depth_mm.sum(axis=(0, 2)) * cell_area(problem)))


def pad_volume(problem: WearProblem, state: Floats) -> Floats:
    """Lining worn off each pad, from the work done on it. [mm3].

    Returns
    -------
    ndarray, shape (2,)
        Outboard, inboard.

    Notes
    -----
    Archard: volume = coefficient x work of the normal force along the way.
    """
    worn = parts_of(problem, state)
    return problem.brake.pad_wear * (worn.released_work + worn.braked_work)


def balance(problem: WearProblem, state: Floats) -> float:
    """How well the metal balances: iron gone from the faces against coefficient times friction work.

    The work comes from the spring and clamp forces, the iron from the pressures cell by cell: two different roads for a
    pad of one ring. With several rings, or where a pad lifts on the brake, both are summed from pressures.

    Returns
    -------
    float
        Largest relative difference, of disc and (if their profile is computed) pads; 0 where nothing is worn.

    Notes
    -----
    No unit. Archard's law summed by two roads.
    """
    worn, brake = parts_of(problem, state), problem.brake
    off, on = float(np.sum(worn.released_work)), float(np.sum(worn.braked_work))
    due = brake.disc_wear * (off + (1.0 - brake.adherence) * on)
    error = abs(disc_volume(problem, state) - due) / due if due > 0.0 else abs(disc_volume(problem, state))
    if problem.law.has_profile and off + on > 0.0:
        gone = float(np.sum(worn.profile_mm * problem.grid.weight_mm2))
        pads = float(np.sum(pad_volume(problem, state)))
        error = max(error, abs(gone - pads) / pads)
    return error
