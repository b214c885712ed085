"""Flexibility of a body made of equal sectors, from the stiffness that the solver assembles for one of them.

The solver writes the stiffness matrix of one sector of hexahedra. A ring of N such sectors is block-circulant, so the
displacement under any load is a sum over N wave numbers, each of which needs one sector with its far side turned by
that wave number's phase against its near side. This is exact for the ring of solid elements: no shape in theta is
assumed, and the sector may hold true vanes.
"""

from __future__ import annotations

import subprocess
import tempfile
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from scipy.sparse import bsr_matrix, coo_matrix, csc_matrix, csr_matrix
from scipy.sparse.linalg import splu

from sim.arrays import Complexes
from tests.verification.solid3d.deck import Body, stiffness_deck
from tests.verification.solid3d.mesh import Floats, Ints, Mesh

PROGRAM = "ccx"


@dataclass(frozen=True, eq=False)
class Flexibility:
    """Axial responses of one body, by wave number n = 0 .. N/2.

    Rows and columns run over rings of nodes times planes of a sector, plane fastest.

    Parameters
    ----------
    face : ndarray, shape (waves, m, m)
        Face nodes under unit axial forces at face nodes. [mm/N]
    gauge : dict of ndarray, shape (waves, planes, m)
        Nodes under the dial, by name. [mm/N]
    face_of_load, gauge_of_load : ndarray and dict, shapes (waves, m, loads) and (waves, planes, loads)
        The same under the given load patterns. [mm]
    """

    copies: int
    face: Complexes
    gauge: dict[str, Complexes]
    face_of_load: Complexes
    gauge_of_load: dict[str, Complexes]


def assembled(body: Body) -> csr_matrix:
    """Stiffness of a sector as the solver assembles it, the elements' internal modes condensed out. [N/mm]"""
    with tempfile.TemporaryDirectory() as folder:
        Path(folder, "sector.inp").write_text(stiffness_deck(body), encoding="ascii")
        done = subprocess.run([PROGRAM, "sector"], cwd=folder, capture_output=True, text=True, check=False)
        if "Job finished" not in done.stdout:
            raise RuntimeError(f"the solver stopped:\n{done.stdout[-2000:]}")
        rows = np.fromstring(Path(folder, "sector.sti").read_text(encoding="ascii"), sep=" ").reshape(-1, 3)
        labels = Path(folder, "sector.dof").read_text(encoding="ascii").split()
    node, freedom = np.array([label.split(".") for label in labels], dtype=np.int64).T
    order = np.argsort((node - 1) * 3 + freedom - 1)
    place = np.empty_like(order)
    place[order] = np.arange(order.size)
    i, j = place[rows[:, 0].astype(np.int64) - 1], place[rows[:, 1].astype(np.int64) - 1]
    lower = coo_matrix((rows[:, 2], (i, j)), shape=(order.size, order.size)).tocsr()
    full = lower + lower.T
    full.setdiag(lower.diagonal())
    real = 3 * body.mesh.nodes.shape[0]
    # Nine internal modes an element, which touch no other element.
    inner = bsr_matrix(full[real:, real:], blocksize=(9, 9))
    if inner.data.shape[0] != body.mesh.hexes.shape[0]:
        raise RuntimeError("the solver's internal modes are not element by element")
    inverse = bsr_matrix((np.linalg.inv(inner.data), inner.indices, inner.indptr), shape=inner.shape)
    across = full[:real, real:]
    return (full[:real, :real] - across @ inverse @ across.T).tocsr()


def _turned(mesh: Mesh, stiffness: csr_matrix) -> csr_matrix:
    """Stiffness in radial, tangential and axial freedoms of each node."""
    angle = np.arctan2(mesh.nodes[:, 1], mesh.nodes[:, 0])
    cos, sin = np.cos(angle), np.sin(angle)
    turn = np.zeros((angle.size, 3, 3))
    turn[:, 0, 0], turn[:, 0, 1], turn[:, 1, 0], turn[:, 1, 1], turn[:, 2, 2] = cos, -sin, sin, cos, 1.0
    count = np.arange(angle.size)
    to_cartesian = bsr_matrix((turn, count, np.append(count, angle.size)))
    return (to_cartesian.T @ stiffness @ to_cartesian).tocsr()


@dataclass(frozen=True, eq=False)
class Sector:
    """One sector ready for any wave number: stiffness by near side and middle (first) and far side (last)."""

    mesh: Mesh
    stiffness: csr_matrix
    kept: Ints
    far: Ints
    near: Ints
    position: Ints


def sector_of(body: Body) -> Sector:
    """Sort a sector's nodes into its near side and middle, which are kept, and its far side, which follows the near."""
    mesh = body.mesh
    near, far = mesh.node_at[:, :, 0].ravel(), mesh.node_at[:, :, -1].ravel()
    both = (near >= 0) & (far >= 0)
    if (near >= 0).sum() != both.sum() or (far >= 0).sum() != both.sum():
        raise ValueError("the two sides of the sector differ")
    near, far = near[both], far[both]
    kept = np.setdiff1d(np.arange(mesh.nodes.shape[0]), far)
    position = np.full(mesh.nodes.shape[0], -1, dtype=np.int64)
    position[kept] = np.arange(kept.size)
    return Sector(mesh, _turned(mesh, assembled(body)), kept, far, near, position)


def flexibility(
    sector: Sector,
    copies: int,
    rows: dict[str, Ints],
    fixed: Ints | None,
    loads: Complexes,
) -> Flexibility:
    """Responses of the closed ring.

    Parameters
    ----------
    rows : dict
        ``face`` and the dial's names to node numbers of the sector (far side left out).
    fixed : ndarray or None
        Nodes held in all directions; None for a free body, whose responses are then defined up to a rigid motion
        (axial shift and tilt) that the caller adds, and are meaningful for balanced forces only.
    loads : ndarray, shape (waves, kept nodes, patterns)
        Axial load patterns by wave number. [N]
    """
    spots = {name: 3 * sector.position[nodes] + 2 for name, nodes in rows.items()}
    size = 3 * sector.kept.size
    unit = csc_matrix(
        (np.ones(spots["face"].size), (spots["face"], np.arange(spots["face"].size))), shape=(size, spots["face"].size)
    ).toarray()
    waves = copies // 2 + 1
    count = unit.shape[1]
    collected: dict[str, list] = {name: [] for name in rows}
    for wave in range(waves):
        pattern = np.zeros((size, loads.shape[2]), dtype=complex)
        pattern[2::3] = loads[wave]
        right = np.hstack([unit, pattern])
        free = _free_freedoms(sector, wave, fixed)
        matrix = _at_wave(sector, 2.0 * np.pi * wave / copies)[free][:, free].tocsc()
        answer = np.zeros((size, right.shape[1]), dtype=complex)
        factor = splu(matrix, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True})
        answer[free] = factor.solve(np.ascontiguousarray(right[free]))
        for name, spot in spots.items():
            collected[name].append(answer[spot])
    stacked = {name: np.array(values) for name, values in collected.items()}
    face = stacked.pop("face")
    return Flexibility(
        copies,
        face[:, :, :count],
        {name: values[:, :, :count] for name, values in stacked.items()},
        face[:, :, count:],
        {name: values[:, :, count:] for name, values in stacked.items()},
    )


def _at_wave(sector: Sector, phase: float) -> csr_matrix:
    """Stiffness of the kept nodes when the far side is the near side times exp(i phase)."""
    count = sector.kept.size
    follow = coo_matrix(
        (np.full(sector.far.size, np.exp(1j * phase)), (sector.far, sector.position[sector.near])),
        shape=(sector.mesh.nodes.shape[0], count),
    )
    own = coo_matrix((np.ones(count), (sector.kept, np.arange(count))), shape=follow.shape)
    spread = (own + follow).tocsr()
    wide = _three(spread)
    return (wide.conj().T @ sector.stiffness @ wide).tocsr()


def _three(spread: csr_matrix) -> csr_matrix:
    """The same map for three freedoms a node."""
    ones = bsr_matrix(
        (spread.data[:, None, None] * np.eye(3)[None], spread.indices, spread.indptr),
        shape=(3 * spread.shape[0], 3 * spread.shape[1]),
    )
    return ones.tocsr()


def _free_freedoms(sector: Sector, wave: int, fixed: Ints | None) -> Ints:
    """Freedoms that are solved for: all but the fixed ones; a free body is pinned just enough at waves 0 and 1."""
    everything = np.arange(3 * sector.kept.size)
    if fixed is not None:
        held = sector.position[fixed]
        held = held[held >= 0]
        return np.setdiff1d(everything, (3 * held[:, None] + np.arange(3)).ravel())
    near = sector.position[sector.near]
    r = np.hypot(*sector.mesh.nodes[sector.near, :2].T)
    inner = near[np.argmin(r)]
    # Wave 0: axial shift and spin; wave 1: one sideways shift (tangential) and one tilt (axial), both complex.
    if wave in (0, 1):
        return np.setdiff1d(everything, [3 * inner + 1, 3 * inner + 2])
    return everything


def by_wave(values: Floats) -> Complexes:
    """Wave numbers 0 .. N/2 of something given by sector along the first axis."""
    return np.fft.rfft(values, axis=0)


def by_sector(waves: Complexes, copies: int) -> Floats:
    """Back from wave numbers to sectors."""
    return np.fft.irfft(waves, n=copies, axis=0)
