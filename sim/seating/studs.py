"""Torque to preload: what the studs pull with, and how that pull is spread over the flange and the hub."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.polynomial.legendre import leggauss

from sim.arrays import Floats
from sim.errors import Refused
from sim.one_thread import one_thread
from sim.parts.case import Studs
from sim.parts.fastener import said
from sim.parts.threads import nominal_diameter_mm, proof_load_n

# The stud's head or shoulder on the hub's rear side, as shares of the thread diameter (judgement: common proportions).
HEAD_INNER, HEAD_OUTER = 0.5, 0.75

QUADRATURE_POINTS = 24  # a piece: force and moment come out to 1e-6, which is checked
GAUSS_POINTS = (leggauss(2)[0] + 1) / 2  # on 0 .. 1; two are exact for a cubic


@dataclass(frozen=True, eq=False)
class Pulls:
    """What pulls the rotor on to the hub: angle in the hub frame, pitch radius, force. Arrays of shape (k,)."""

    angle_rad: Floats
    radius_mm: float
    force_n: Floats

    @property
    def x_mm(self) -> Floats:
        """Along stud 1. [mm]. By definition."""
        return self.radius_mm * np.cos(self.angle_rad)

    @property
    def y_mm(self) -> Floats:
        """Across. [mm]. By definition."""
        return self.radius_mm * np.sin(self.angle_rad)


def pulls(studs: Studs) -> Pulls:
    """Where and how hard a corner is clamped.

    Raises
    ------
    Refused
        If no nut is on.

    Notes
    -----
    Angles in rad, radius in mm, forces in N. Force from torque: `preloads_n`.

    Shigley, as `preloads_n`; where a locating screw sits unless said is judgement.
    """
    if studs.clamped_by == "screw only":
        return Pulls(np.deg2rad([studs.screw_deg]), studs.pitch_radius_mm, np.array([studs.screw_preload_n]))
    return Pulls(stud_angles_rad(studs.count), studs.pitch_radius_mm, np.array(preloads_n(studs)))


def preloads_n(studs: Studs) -> tuple[float, ...]:
    """Preload of each stud, hub stud 1 first. [N].

    Notes
    -----
    T = K d F: torque = nut factor x thread diameter x preload (Shigley's Mechanical Engineering Design, chapter on
    threaded fasteners).

    Raises
    ------
    Refused
        If no nut is on.
    """
    if studs.preload_n is not None:
        loads = _each(studs.preload_n, studs.count)
    else:
        arm_m = studs.nut_factor * nominal_diameter_mm(studs.thread) / 1000.0
        loads = tuple(torque / arm_m for torque in _each(studs.torque_nm or 0.0, studs.count))
    if max(loads) <= 0.0:
        none = "no nut is on: every stud has zero torque, so nothing holds the rotor on the hub"
        raise Refused(said(none, studs))
    return loads


def _each(value: float | tuple[float, ...], count: int) -> tuple[float, ...]:
    return tuple(float(v) for v in value) if isinstance(value, tuple) else (float(value),) * count


def proof_warnings(studs: Studs) -> tuple[str, ...]:
    """One sentence for each stud pulled past its proof load (ISO 898-1). Forces in N."""
    if studs.clamped_by == "screw only":
        return ()
    limit = proof_load_n(studs.thread, studs.property_class)
    over = [k + 1 for k, load in enumerate(preloads_n(studs)) if load > limit]
    if not over:
        return ()
    names = ", ".join(str(k) for k in over)
    return (
        f"stud {names}: preload above the proof load of {studs.thread} class {studs.property_class} "
        f"({limit / 1000:.0f} kN): the thread yields; check torque and nut factor",
    )


def stud_angles_rad(count: int) -> Floats:
    """Angles of the hub studs, stud 1 at zero. [rad]. By definition even."""
    return 2 * np.pi * np.arange(count) / count


def line_quadrature(nodes_mm: Floats, breaks_mm: tuple[float, ...]) -> tuple[Floats, Floats, Floats]:
    """Quadrature along a line of quadratic elements, exact between the given breaks even with root-like ends.

    Parameters
    ----------
    nodes_mm : ndarray, shape (2 e + 1,)
        End and middle nodes in order. [mm]
    breaks_mm : tuple of float
        Places where the integrand has kinks, inside or outside the line. [mm]

    Returns
    -------
    points, weights : ndarray, shape (q,)
    shape : ndarray, shape (q, 2 e + 1)
        Shape functions at the points.

    Notes
    -----
    Gauss-Legendre points under a cosine map, which takes root-like ends exactly enough (common practice).
    """
    base, weight = leggauss(QUADRATURE_POINTS)
    base, weight = (base + 1) / 2, weight / 2
    # A cosine map clusters points at both ends, where an arc's width grows like a square root.
    inner, slope = (1 - np.cos(np.pi * base)) / 2, np.pi / 2 * np.sin(np.pi * base)
    points, weights, rows = [], [], []
    for k in range(0, nodes_mm.size - 2, 2):
        a, m, b = nodes_mm[k : k + 3]
        cuts = [a, *sorted(x for x in breaks_mm if a < x < b), b]
        for low, high in zip(cuts, cuts[1:], strict=False):
            x = low + (high - low) * inner
            row = np.zeros((x.size, nodes_mm.size))
            row[:, k] = (x - m) * (x - b) / ((a - m) * (a - b))
            row[:, k + 1] = (x - a) * (x - b) / ((m - a) * (m - b))
            row[:, k + 2] = (x - a) * (x - m) / ((b - a) * (b - m))
            points.append(x)
            weights.append((high - low) * slope * weight)
            rows.append(row)
    return np.concatenate(points), np.concatenate(weights), np.vstack(rows)


@one_thread
def annulus_load(nodes_mm: Floats, pitch_radius_mm: float, inner_mm: float, outer_mm: float, highest: int) -> Floats:
    """Nodal loads, per harmonic, of a unit force spread evenly over an annulus about a stud centre at angle zero.

    Parameters
    ----------
    nodes_mm : ndarray, shape (m,)
        Radii of the nodes of the loaded side. [mm]
    pitch_radius_mm, inner_mm, outer_mm : float
        Stud centre; inner and outer radius of the annulus about it. [mm]
    highest : int
        Highest harmonic.

    Returns
    -------
    ndarray, shape (highest + 1, m)
        Cosine amplitudes, ready for `Flexibility.response`. [N/N]

    Raises
    ------
    Refused
        If part of the annulus hangs over the loaded side, so that its force or moment would be lost.

    Notes
    -----
    A circle of radius rho about the stud covers, at radius r, the half angle acos((r^2 + rp^2 - rho^2)/(2 r rp)).

    Law of cosines and the Fourier series of an arc, 2 (sin n b - sin n a) / (pi n): closed form. Force and first moment
    are checked to 1e-6.
    """
    edges = [pitch_radius_mm + sign * rho for sign in (-1, 1) for rho in (inner_mm, outer_mm)]
    r, weight, shape = line_quadrature(nodes_mm, tuple(edges))

    def half_angle(rho: float) -> Floats:
        cosine = (r**2 + pitch_radius_mm**2 - rho**2) / (2 * r * pitch_radius_mm)
        return np.where(np.abs(r - pitch_radius_mm) < rho, np.arccos(np.clip(cosine, -1.0, 1.0)), 0.0)

    outer, inner = half_angle(outer_mm), half_angle(inner_mm)
    order = np.arange(1, highest + 1)[:, None]
    waves = 2 * (np.sin(order * outer) - np.sin(order * inner)) / (np.pi * order)
    amplitude = np.vstack([(outer - inner)[None, :] / np.pi, waves])
    area = np.pi * (outer_mm**2 - inner_mm**2)
    loads = (amplitude * (r * weight)) @ shape / area
    force = 2 * np.pi * loads[0].sum()
    moment = np.pi * loads[1] @ nodes_mm
    if abs(force - 1.0) > 1e-6 or abs(moment - pitch_radius_mm) > 1e-6 * pitch_radius_mm:
        raise Refused(
            f"the seat of a stud ({2 * inner_mm:g}..{2 * outer_mm:g} mm about the pitch circle "
            f"{2 * pitch_radius_mm:g} mm) hangs over the part it presses on: {100 * force:.1f} % of its force arrives"
        )
    return loads


def area_mean(nodes_mm: Floats, inner_mm: Floats, outer_mm: Floats) -> Floats:
    """Area mean over rings, as weights on the nodes of a face.

    Parameters
    ----------
    nodes_mm : ndarray, shape (m,)
    inner_mm, outer_mm : ndarray, shape (rings,)
        [mm]

    Returns
    -------
    ndarray, shape (rings, m)
        Rows sum to one.

    Notes
    -----
    Shape functions integrated in closed form.
    """
    return area_means((nodes_mm,), inner_mm, outer_mm)


def area_means(lines_mm: Sequence[Floats], inner_mm: Floats, outer_mm: Floats) -> Floats:
    """The same for several faces with nodes of their own, side by side: shape (rings, nodes of all). Radii in mm.

    Shape functions integrated in closed form.
    """
    nodes = np.concatenate(lines_mm)
    first = np.cumsum([0, *(line.size for line in lines_mm[:-1])])
    at = np.concatenate([np.arange(k, k + line.size - 2, 2) for k, line in zip(first, lines_mm, strict=True)])
    start, middle, end = nodes[at], nodes[at + 1], nodes[at + 2]
    low, high = np.array([inner_mm, outer_mm])[:, :, None].clip(start, end)
    # Shape function times radius is a cubic: two Gauss points are exact. Shape of r: (points, rings, elements).
    r = low + (high - low) * GAUSS_POINTS[:, None, None]
    weight = r * ((high - low) / (outer_mm**2 - inner_mm**2)[:, None])
    from_start, from_middle, from_end = r - start, r - middle, r - end
    from_start *= weight
    share = np.zeros((inner_mm.size, nodes.size))
    share[:, at + 2] = (from_start * from_middle).sum(axis=0) / ((end - start) * (end - middle))
    share[:, at + 1] = (from_start * from_end).sum(axis=0) / ((middle - start) * (middle - end))
    from_middle *= weight
    share[:, at] += (from_middle * from_end).sum(axis=0) / ((start - middle) * (start - end))
    return share
