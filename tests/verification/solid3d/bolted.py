"""Wheel bolts in three dimensions: shear on the cylinder of the thread, with the metal in the holes or without.

A bolt pulls from the hub face down over the engaged length, most at the face. Where the holes are drilled, the mesh
lines of a square about each bolt are bent to a circle and what lies inside is taken out, of the rotor's flange and of
the hub's, and the pull is shear on the wall; else it is shear on the pitch cylinder. Nothing here shares a line with
`sim`.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sim.parts.case import Case
from tests.verification.solid3d.mesh import Floats, Ints, Mesh

BOLT = "wheel bolt"
# The lines are bent back to circles about the car's axis at this multiple of the hole's radius.
BENT_TO = 11.0 / 7.0
# The pull falls by e over this share of a thread diameter: judgement, as the bench has it.
DECAY = 1.0 / 3.0
ANNULUS_POINTS = 16


def is_bolted(case: Case) -> bool:
    """Whether the case has wheel bolts."""
    return case.studs.fastener == BOLT


def is_drilled(case: Case) -> bool:
    """Whether the metal in the holes is taken away: bolts through holes; without holes it stays."""
    return is_bolted(case) and case.rotor.hole_diameter_mm > 0.0


def pitch_mm(case: Case) -> float:
    """Radius of the thread's pitch cylinder, d2 = d - 0.6495 P after ISO 724. [mm]"""
    diameter, pitch = map(float, case.studs.thread.lower().removeprefix("m").split("x"))
    return 0.5 * (diameter - 0.6495 * pitch)


def hole_mm(case: Case) -> float:
    """Radius of the holes in hub and flange: the thread's outer diameter. [mm]"""
    radius = 0.5 * float(case.studs.thread.lower().removeprefix("m").split("x")[0])
    if abs(case.rotor.hole_diameter_mm - 2.0 * radius) > 1e-9:
        raise ValueError("the rotor's holes have to be as wide as the thread here")
    return radius


def from_bolt(case: Case, r: Floats, angle_deg: Floats) -> tuple[Floats, Floats, Floats]:
    """Place against the nearest bolt, along r and across, and that bolt's angle. [mm, mm, rad]"""
    pitch = 360.0 / case.studs.count
    bolt = pitch * np.round(angle_deg / pitch)
    middle = 0.5 * case.studs.pitch_circle_mm
    return r - middle, np.radians(angle_deg - bolt) * middle, np.radians(bolt)


def bent(case: Case, r: Floats, angle_deg: Floats) -> Floats:
    """Where the grid place (r, angle) lies once the squares about the bolts are circles. Shape (..., 2). [mm]"""
    hole, middle = hole_mm(case), 0.5 * case.studs.pitch_circle_mm
    out, across, bolt = from_bolt(case, r, angle_deg)
    reach = np.maximum(np.abs(out), np.abs(across))
    share = np.clip((BENT_TO * hole - reach) / (BENT_TO * hole - hole), 0.0, 1.0)
    turn, about = np.radians(angle_deg), bolt + np.arctan2(across, out)
    plain = np.stack([r * np.cos(turn), r * np.sin(turn)], axis=-1)
    centre = middle * np.stack([np.cos(bolt), np.sin(bolt)], axis=-1)
    round_ = centre + reach[..., None] * np.stack([np.cos(about), np.sin(about)], axis=-1)
    return plain + share[..., None] * (round_ - plain)


def in_hole(case: Case, r: Floats, angle_deg: Floats) -> NDArray[np.bool_]:
    """Which cells, told by their middles on the grid, lie in a hole."""
    out, across, _ = from_bolt(case, r, angle_deg)
    return np.maximum(np.abs(out), np.abs(across)) < hole_mm(case)


def drilled(case: Case, mesh: Mesh, low_mm: float, high_mm: float) -> Mesh:
    """A body's sector with its flange, between two heights, drilled at the bolts and its lines bent round them."""
    edges = mesh.sector_edges
    r, z, a = (0.5 * (line[1:] + line[:-1]) for line in (mesh.r, mesh.z, edges))
    flange = (z > low_mm) & (z < high_mm)
    gone = in_hole(case, r[:, None], a[None, :])[:, None, :] & flange[None, :, None]
    kept = (mesh.hex_at >= 0) & ~gone
    hexes = mesh.hexes[mesh.hex_at[kept]]
    used, small = np.unique(hexes, return_inverse=True)
    renamed = np.full(mesh.nodes.shape[0] + 1, -1, dtype=np.int64)
    renamed[used] = np.arange(used.size)
    hex_at = np.full(mesh.hex_at.shape, -1, dtype=np.int64)
    hex_at[kept] = np.arange(hexes.shape[0])
    i, k, j = np.nonzero(mesh.node_at >= 0)
    place = np.empty((mesh.nodes.shape[0], 2), dtype=np.int64)
    place[mesh.node_at[i, k, j]] = np.column_stack([i, j])
    nodes = mesh.nodes[used].copy()
    nodes[:, :2] = bent(case, mesh.r[place[used, 0]], mesh.theta[place[used, 1]])
    return replace(mesh, nodes=nodes, hexes=small.reshape(hexes.shape), node_at=renamed[mesh.node_at], hex_at=hex_at)


@dataclass(frozen=True, eq=False)
class Quads:
    """Facets of one plane over the whole turn, holes left out.

    ``ring`` and ``plane`` (facets, 4) number their corners on the grid, ``at`` (facets, 4, 2) is where those are. [mm]
    """

    ring: Ints
    plane: Ints
    at: Floats

    def points(self, count: int, even: bool) -> tuple[Floats, Floats, Floats]:
        """Shape functions (points, 4), places (facets, points, 2) and areas (facets, points); Gauss or even spread."""
        if even:
            x, w = (np.arange(count) + 0.5) / count, np.full(count, 1.0 / count)
        else:
            x, w = np.polynomial.legendre.leggauss(count)
            x, w = 0.5 * (1.0 + x), 0.5 * w
        u, v = (grid.ravel() for grid in np.meshgrid(x, x, indexing="ij"))
        weight = np.outer(w, w).ravel()
        shape = np.stack([(1 - u) * (1 - v), (1 - u) * v, u * (1 - v), u * v], axis=-1)
        by_u = np.stack([-(1 - v), -v, 1 - v, v], axis=-1)
        by_v = np.stack([-(1 - u), 1 - u, -u, u], axis=-1)
        du, dv = by_u @ self.at, by_v @ self.at
        return shape, shape @ self.at, weight * np.abs(du[..., 0] * dv[..., 1] - du[..., 1] * dv[..., 0])


def quads(case: Case, radii: Floats, angles_deg: Floats) -> Quads:
    """Facets between some radii of the grid; ``angles_deg`` are the planes of the whole turn."""
    wide = np.diff(np.append(angles_deg, 360.0))
    there = ~in_hole(case, 0.5 * (radii[:-1] + radii[1:])[:, None], (angles_deg + 0.5 * wide)[None, :])
    i, j = (index.ravel() for index in np.nonzero(there.T)[::-1])
    after = (j + 1) % angles_deg.size
    ring, plane = np.stack([i, i, i + 1, i + 1], axis=-1), np.stack([j, after, j, after], axis=-1)
    return Quads(ring, plane, bent(case, radii[ring], angles_deg[plane]))


def pressed_shares(case: Case, radii: Floats, angles_deg: Floats, bolt: int, span: tuple[float, float]) -> Floats:
    """Shares of a unit force on an annulus about a bolt, on the grid of one plane. Shape (rings, planes)."""
    found = quads(case, radii, angles_deg)
    turn = 2.0 * np.pi * bolt / case.studs.count
    centre = 0.5 * case.studs.pitch_circle_mm * np.array([np.cos(turn), np.sin(turn)])
    near = np.linalg.norm(found.at - centre, axis=-1).min(axis=1) < span[1]
    part = Quads(found.ring[near], found.plane[near], found.at[near])
    shape, at, area = part.points(ANNULUS_POINTS, even=True)
    away = np.linalg.norm(at - centre, axis=-1)
    push = (area * ((away > span[0]) & (away < span[1]))) @ shape
    shares = np.zeros((radii.size, angles_deg.size))
    np.add.at(shares, (part.ring, part.plane), push)
    return shares / shares.sum()


def wall_shares(case: Case, radii: Floats, angles_deg: Floats, bolt: int) -> Floats:
    """Shares of an even shear round the wall of a hole, by the chords between its nodes. Shape (rings, planes)."""
    hole, middle = hole_mm(case), 0.5 * case.studs.pitch_circle_mm
    pitch = 360.0 / case.studs.count
    off = (angles_deg - bolt * pitch + 180.0) % 360.0 - 180.0
    i, j = (index.ravel() for index in np.meshgrid(np.arange(radii.size), np.arange(off.size), indexing="ij"))
    out, across = radii[i] - middle, np.radians(off[j]) * middle
    on_wall = np.abs(np.maximum(np.abs(out), np.abs(across)) - hole) < 1e-6
    i, j = i[on_wall], j[on_wall]
    order = np.argsort(np.arctan2(across[on_wall], out[on_wall]))
    i, j = i[order], j[order]
    at = bent(case, radii[i], angles_deg[j])
    chord = np.linalg.norm(np.roll(at, -1, axis=0) - at, axis=1)
    shares = np.zeros((radii.size, angles_deg.size))
    shares[i, j] = 0.5 * (chord + np.roll(chord, 1)) / chord.sum()
    return shares


def depth_shares(case: Case, z: Floats) -> Floats:
    """Share of the pull on each mesh plane: falling by e from the face down over `DECAY` diameters, ending sharply."""
    diameter = float(case.studs.thread.lower().removeprefix("m").split("x")[0])
    deep, decay = float(case.studs.thread_engagement_mm), DECAY * diameter
    shares = np.zeros(z.size)
    point, weight = np.polynomial.legendre.leggauss(8)
    for k, (low, high) in enumerate(zip(z[:-1], z[1:], strict=True)):
        if low < -deep - 1e-6 or high > 1e-6:
            continue
        up = 0.5 * (1.0 + point)
        push = np.exp((low + up * (high - low)) / decay) * weight * (high - low)
        shares[k] += push @ (1.0 - up)
        shares[k + 1] += push @ up
    return shares / shares.sum()
