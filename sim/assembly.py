"""The contact problem of a seating: flexibility between all cells, gap from the studs, rigid motion, load."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from sim.between import Surface
from sim.cells import Block
from sim.clamp import stud_angles_rad
from sim.contact import Problem
from sim.pair import Body, Pair, weights

Floats = NDArray[np.float64]
Complexes = NDArray[np.complex128]


@lru_cache(maxsize=64)
def ring_rows(body: Body, block: Block) -> Floats:
    """Area mean over a patch's rings as weights on the face nodes."""
    return body.ring_rows(block)


def rows(pair: Pair, body: Body, block: Block) -> Floats:
    """Area mean over any block's rings as weights on the face nodes."""
    return body.grid_rows if block is pair.grid else ring_rows(body, block)


def waves(pair: Pair, block: Block) -> Complexes:
    """exp(i n theta) at the block's angles. Shape (angles, orders)."""
    if block is pair.grid:
        return pair.grid_waves
    return np.exp(1j * np.outer(block.angle_rad, np.arange(pair.orders)))


def stud_wave(count: int, loads_n: tuple[float, ...], orders: int) -> Complexes:
    """Sum over the studs of force times exp(-i n theta). Shape (orders,). [N]."""
    return np.exp(-1j * np.outer(np.arange(orders), stud_angles_rad(count))) @ np.array(loads_n)


def stud_gap_mm(pair: Pair, block: Block, wave: Complexes) -> Floats:
    """Gap over a block from the studs alone: they press the rotor down and pull the hub up. Shape (cells,). [mm]."""
    rings = sum(body.studs @ rows(pair, body, block).T for body in pair.bodies)
    amplitude = rings * (block.averaging(pair.orders) * wave)[:, None]
    return -(waves(pair, block) @ amplitude).real.ravel()


def cross(pair: Pair, left: Block, right: Block) -> Floats:
    """Flexibility between the cells of two blocks, both bodies together. Shape (left cells, right cells). [mm/N].

    Notes
    -----
    Galerkin form, force per cell and area-averaged gap, hence symmetric:
    C_ij = sum over n of c_n s_n(i) s_n(j) a_i' S_n a_j cos n (theta_i - theta_j).
    """
    orders = pair.orders
    ring_pair = np.zeros((orders, left.inner_mm.size, right.inner_mm.size))
    for k, body in enumerate(pair.bodies):
        half = pair.half[k] if right is pair.grid else body.face @ rows(pair, body, right).T
        ring_pair += rows(pair, body, left) @ half
    factor = weights(orders) * left.averaging(orders) * right.averaging(orders)
    a, b = waves(pair, left), waves(pair, right)
    table = (a[:, None, :] * b.conj()[None, :, :]).real.reshape(-1, orders)
    product = table @ (ring_pair * factor[:, None, None]).reshape(orders, -1)
    shape = (left.angle_rad.size, right.angle_rad.size, left.inner_mm.size, right.inner_mm.size)
    return product.reshape(shape).transpose(0, 2, 1, 3).reshape(left.size, right.size)


def contact_problem(pair: Pair, found: list[Surface], loads_n: tuple[float, ...]) -> Problem:
    """Assemble the contact problem.

    Parameters
    ----------
    pair : Pair
    found : list of Surface
        The bare face (on the pair's grid) first.
    loads_n : tuple of float
        Preload of each stud. [N]

    Returns
    -------
    Problem
    """
    sizes = [surface.kept.size for surface in found]
    ends = np.cumsum(sizes)
    spans = [slice(int(end - size), int(end)) for end, size in zip(ends, sizes, strict=True)]
    matrix = np.empty((int(ends[-1]), int(ends[-1])))
    matrix[spans[0], spans[0]] = pair.grid_flexibility
    for k, surface in enumerate(found[1:], start=1):
        for other, span in zip(found[: k + 1], spans, strict=False):
            part = cross(pair, surface.block, other.block)[np.ix_(surface.kept, other.kept)]
            matrix[spans[k], span] = part
            matrix[span, spans[k]] = part.T
    wave = stud_wave(pair.key.studs.count, loads_n, pair.orders)
    diagonal, offset, rigid, cap = [], [], [], []
    for surface in found:
        block, area = surface.block, surface.area_mm2
        diagonal.append(surface.compliance_mm3_n / area)
        offset.append(stud_gap_mm(pair, block, wave)[surface.kept] - surface.height_mm)
        rigid.append((pair.grid_rigid if block is pair.grid else block.rigid())[surface.kept])
        cap.append(surface.cap_mpa * area)
    matrix[np.diag_indices(matrix.shape[0])] += np.concatenate(diagonal)
    angle, pitch = stud_angles_rad(pair.key.studs.count), pair.key.studs.pitch_circle_mm / 2
    forces = np.array(loads_n)
    load = np.array([forces.sum(), pitch * forces @ np.cos(angle), pitch * forces @ np.sin(angle)])
    return Problem(matrix, np.concatenate(offset), np.vstack(rigid), load, np.concatenate(cap))


def face_wave(pair: Pair, body: Body, parts: list[tuple[Block, Floats]]) -> Complexes:
    """Nodal load amplitudes on a body's face from the forces on whole blocks. Shape (orders, m). [N]."""
    total = np.zeros((pair.orders, body.face_r_mm.size), dtype=complex)
    for block, force in parts:
        rings = waves(pair, block).conj().T @ force.reshape(block.angle_rad.size, block.inner_mm.size)
        factor = block.averaging(pair.orders) * weights(pair.orders)
        total += factor[:, None] * (rings @ rows(pair, body, block))
    return total
