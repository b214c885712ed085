"""Problems for the wear tests: the reference corner with a cosine of runout, and orders of what wore."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from sim.parts.case import Caliper, Case, Drive, Pads
from sim.wear.brake import ADHERENCE, Fineness, brake_of
from sim.wear.disc import make_problem
from sim.wear.march import march, one_turn, states_at
from sim.wear.worn_state import dtv_of

GAUGE_MM = 140.0
#: Kept apart from the defaults, which are calibrated: what the kept results of brute force were made with.
DISC_WEAR_MM3_PER_NM = {"abrasive": 1.0e-5, "adherent": 0.4e-5}
HOLDER_N_MM = 1500.0
#: What the closed forms and the brute force are about: one ring, at the mean radius of the pad.
ONE_RING = Fineness(angles=180, rings=1, tolerance_mm=3.0e-6)


def angle(count=360):
    return 2.0 * np.pi * np.arange(count) / count


def runout_mm(tir, second=0.0, phase=1.0, count=360):
    """First-order runout of this TIR and a second order of ``second`` times as much."""
    theta = angle(count)
    return 0.5 * tir * (np.cos(theta) + second * np.cos(2.0 * theta - phase))


def problem(
    style="floating", tir=0.10, second=0.0, duty="mixed", kind="abrasive", fineness=None, heights=None, **brake
):
    """A wear problem of the reference corner on one ring; ``brake`` replaces fields of ``sim.wear.brake.Brake``."""
    pads = Pads(disc_wear_mm3_per_nm=DISC_WEAR_MM3_PER_NM[kind])
    caliper = Caliper(style=style, holder_stiffness_n_mm=HOLDER_N_MM)
    case = Case(caliper=caliper, pads=pads, drive=Drive(duty=duty))
    made = replace(brake_of(case), adherence=ADHERENCE[kind], **brake)
    return make_problem(made, runout_mm(tir, second), GAUGE_MM, heights, fineness or ONE_RING)


def with_law(old, **law):
    """The same problem with numbers of the compiled law replaced."""
    return replace(old, law=old.law._replace(**law))


def depth_rate(one):
    """Depth worn in the first averaged revolution, (2, rings, angles). [mm/rev]"""
    rate, _ = one_turn(one, np.zeros(one.size))
    cells = one.face_cells
    return rate[: 4 * cells].reshape(2, 2, one.grid.rings, one.grid.angles).sum(axis=0)


def dtv_um(one, revolutions):
    """Thickness variation at the gauge radius at some revolutions. [um]"""
    at = np.atleast_1d(np.asarray(revolutions, dtype=float))
    return dtv_of(one, states_at(march(one, float(at[-1])), at))


def even_rings(old, count):
    """The same problem on even rings (equal area, values at their middle): written apart from ``sim.wear.grid``.

    Values go to the gauge radius along the straight line between the two rings beside it.
    """
    inner, outer, step = old.brake.inner_radius_mm, old.brake.outer_radius_mm, old.grid.step_rad
    edges = np.sqrt(np.linspace(inner**2, outer**2, count + 1))
    middle = 0.5 * (edges[:-1] + edges[1:])
    psi = step * (np.arange(old.grid.share.size) - old.grid.half)
    weight = np.outer(0.5 * step * np.diff(edges**2), old.grid.share)
    along, across = np.outer(middle, np.sin(psi)), np.outer(middle, np.cos(psi))
    across -= np.average(across, weights=weight)
    grid = old.grid._replace(
        rings=count,
        radius_mm=middle,
        weight_mm2=weight,
        along_mm=along,
        across_mm=across,
        along_square=float(np.sum(weight * along**2)),
        across_square=float(np.sum(weight * across**2)),
    )
    per_mm = old.base_mm[:, :1] / old.grid.radius_mm[0]
    at_gauge = np.array([np.interp(GAUGE_MM, middle, row) for row in np.eye(count)])
    return replace(old, grid=grid, base_mm=per_mm * middle[None, :, None], at_gauge=at_gauge)


def depths(one, revolutions):
    """Depths at some revolutions, (k, 2, rings, angles). [mm]"""
    at = np.atleast_1d(np.asarray(revolutions, dtype=float))
    states = states_at(march(one, float(at[-1])), at)
    cells = one.face_cells
    return states[:, : 4 * cells].reshape(at.size, 2, 2, one.grid.rings, one.grid.angles).sum(axis=1)


def orders(values, highest=8):
    """Amplitudes of orders 0..highest of a closed trace (last axis)."""
    spectrum = np.fft.rfft(values, axis=-1)[..., : highest + 1] / values.shape[-1]
    spectrum[..., 1:] *= 2.0
    return np.abs(spectrum)


def window_means(grid, order):
    """Window factor S_n and tilt factor Q_n of the pad as it lies on the grid (one ring)."""
    psi = grid.step_rad * np.arange(-grid.half, grid.half + 1)
    weight = grid.share / grid.share.sum()
    along = grid.along_mm[0]
    s = float(np.sum(weight * np.cos(order * psi)))
    q = float(np.sum(weight * along * np.sin(order * psi)) ** 2 / np.sum(weight * along**2))
    return s, q
