"""The contact problem of a seating, set up for `sim.solvers.contact`: flexibility, gap, rigid motion, load."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import numpy as np

from sim.arrays import Complexes, Floats, read_only
from sim.one_thread import one_thread
from sim.seating.cells import CellBlock, Holed
from sim.seating.lying_between import BARE, WHEEL, Surface, wheel_kept
from sim.seating.prepared import Body, Pair, weights
from sim.seating.short_waves import short_waves
from sim.seating.studs import Pulls, area_means
from sim.solvers.contact import Problem
from sim.solvers.shared_block import Joined, SharedBlock

FACE, BACK = "face", "back"  # the hub side of the rotor's flange, and the side that the wheel lies on


@lru_cache(maxsize=24)  # enough within one seating; more would keep old bodies alive
def _ring_rows(body: Body, block: CellBlock, side: str) -> Floats:
    return body.ring_rows(block) if side == FACE else body.back_rows(block)


@lru_cache(maxsize=24)
def _face_rows(pair: Pair, block: CellBlock) -> Floats:
    """Area mean over a block's rings as weights on the face nodes of the bodies that meet, side by side."""
    return area_means([body.face_r_mm for body in pair.bodies], block.inner_mm, block.outer_mm)


def rows(pair: Pair, body: Body, block: CellBlock, side: str = FACE) -> Floats:
    """Area mean over a block's rings as weights on the nodes of one side of a body."""
    if side == FACE and body is pair.rotor:
        return _face_rows(pair, block)[:, : body.face_r_mm.size]
    if side == FACE and body is pair.hub:
        return _face_rows(pair, block)[:, pair.rotor.face_r_mm.size :]
    return _ring_rows(body, block, side)


def waves(pair: Pair, block: CellBlock) -> Complexes:
    """Mean of exp(i n theta) over the cells of each angle of a block. Shape (angles, orders)."""
    return pair.grid_waves if block is pair.grid else _mean_waves(block, pair.orders)


@lru_cache(maxsize=32)  # asked for many times within one seating
def _mean_waves(block: CellBlock, orders: int) -> Complexes:
    return block.mean_waves(orders)


@lru_cache(maxsize=4)
def holed_waves(block: Holed, orders: int) -> Complexes:
    """Waves of the cells of a block with holes; the wheel's pad is the same in every seating of a pair."""
    return block.waves(orders)


@one_thread
def stud_wave(pulls: Pulls, orders: int) -> Complexes:
    """Sum over the studs of force times exp(-i n theta). Shape (orders,). [N]. By definition of the Fourier series."""
    return _waves_of_studs(pulls.angle_rad.tobytes(), orders) @ pulls.force_n


@lru_cache(maxsize=8)  # the same in every seating of a pair
def _waves_of_studs(angles_rad: bytes, orders: int) -> Complexes:
    return read_only(np.exp(-1j * np.outer(np.arange(orders), np.frombuffer(angles_rad))))


@one_thread
def stud_gap_mm(pair: Pair, block: CellBlock, wave: Complexes, on: tuple[Body, ...]) -> Floats:
    """Gap over a block of the face from the studs alone, acting on some bodies. Shape (cells,). [mm].

    The studs press the rotor down and pull the hub up: either way the gap closes.

    Superposition on the stored answers to one stud (`sim.seating.studs.annulus_load`).
    """
    on_rings = block.fine if isinstance(block, Holed) else block
    rings = np.zeros((pair.orders, on_rings.inner_mm.size))
    for body in on:
        rings += body.studs @ rows(pair, body, on_rings).T
    if isinstance(block, Holed):
        made = holed_waves(block, pair.orders)
        by_part = (rings * wave[:, None]).reshape(pair.orders, *made.shape[1:3])
        return -np.einsum("arpn,nrp->ar", made.conj(), by_part).real.ravel()
    return -(waves(pair, block) @ (rings * wave[:, None])).real.ravel()


@lru_cache(maxsize=8)
def _per_stud_mm(pair: Pair, block: CellBlock, angles_rad: bytes, on: tuple[Body, ...]) -> Floats:
    """Gap over a block that comes again and again, per force of each stud. Shape (cells, studs). [mm/N]. Read-only."""
    waves_of_one = _waves_of_studs(angles_rad, pair.orders).T
    return read_only(np.column_stack([stud_gap_mm(pair, block, wave, on) for wave in waves_of_one]))


def cross(pair: Pair, left: Surface, right: Surface) -> Floats:
    """Change of the left surface's gaps per force on the right one. Shape (left cells, right cells). [mm/N].

    Notes
    -----
    Galerkin form, force per cell and area-averaged gap, hence symmetric:
    C_ij = sum over n of c_n s_n(i) s_n(j) a_i' S_n a_j cos n (theta_i - theta_j). The wheel presses on the other side
    of the rotor and does not touch the hub: between its pad and the face only the rotor counts, with the opposite sign.
    """
    whole = _whole(pair, left.block, right.block, left.side, right.side)
    if left.block is right.block and left.side == FACE:
        whole = whole + pair.short_mm2_n * short_waves(left.block, pair.orders)
    if left.kept.size < left.block.size:
        whole = whole[left.kept]
    return whole if right.kept.size == right.block.size else whole.take(right.kept, axis=1)


def _whole(pair: Pair, a_block: CellBlock, b_block: CellBlock, a_side: str, b_side: str) -> Floats:
    """Flexibility between all cells of two blocks."""
    orders = pair.orders
    if isinstance(a_block, Holed) or isinstance(b_block, Holed):
        return _holed(pair, a_block, b_block, a_side, b_side)
    by_ring = (_ring_pair(pair, a_block, b_block, a_side, b_side) * weights(orders)[:, None, None]).transpose(1, 2, 0)
    # Each part of a wave beside the same part of the other's: their products add up to the real part that counts.
    left = _parts(pair, a_block)[:, None, None, :] * np.concatenate([by_ring, by_ring], axis=2)
    product = left.reshape(-1, 2 * orders) @ _parts(pair, b_block).T
    return product.reshape(*left.shape[:3], -1).transpose(0, 1, 3, 2).reshape(a_block.size, b_block.size)


@lru_cache(maxsize=24)  # a patch against every other
def _parts(pair: Pair, block: CellBlock) -> Floats:
    """Real, then imaginary parts of a block's waves. Shape (angles, 2 x orders)."""
    wave = waves(pair, block)
    return np.concatenate([wave.real, wave.imag], axis=1)


def _holed(pair: Pair, a_block: CellBlock, b_block: CellBlock, a_side: str, b_side: str) -> Floats:
    """The same where cells have holes: each has waves of its own, by part of its ring."""
    if isinstance(a_block, Holed) and not isinstance(b_block, Holed):
        return _holed_and_plain(pair, a_block, b_block, a_side, b_side)
    a_rings, a_waves = _by_part(pair, a_block)
    b_rings, b_waves = _by_part(pair, b_block)
    table = _ring_pair(pair, a_rings, b_rings, a_side, b_side) * weights(pair.orders)[:, None, None]
    turns, rings, parts, _ = a_waves.shape
    others, more = b_waves.shape[1:3]
    # Of a pad with itself one pitch is worked out: those behind it answer as it does, turned.
    step = a_block.repeat if isinstance(a_block, Holed) and a_block is b_block else b_waves.shape[0]
    first = np.empty((turns, rings, step, others))
    for i in range(rings):
        left = a_waves[:, i].conj().reshape(turns, -1)
        for j in range(others):
            cut = table[:, i * parts : (i + 1) * parts, j * more : (j + 1) * more]
            right = np.einsum("nps,bsn->pnb", cut, b_waves[:step, j])
            right = right.reshape(left.shape[1], -1)
            first[:, i, :, j] = left.real @ right.real - left.imag @ right.imag
    turned = [np.roll(first, start, axis=0) for start in range(0, b_waves.shape[0], step)]
    return np.concatenate(turned, axis=2).reshape(a_block.size, b_block.size)


def _holed_and_plain(pair: Pair, holed: Holed, plain: CellBlock, a_side: str, b_side: str) -> Floats:
    """The same against whole cells, whose waves are those of their angle alone: summed over parts before orders."""
    orders, turns, rings, others = pair.orders, holed.angle_rad.size, holed.inner_mm.size, plain.inner_mm.size
    table = _ring_pair(pair, holed.fine, plain, a_side, b_side) * weights(orders)[:, None, None]
    by_ring = table.reshape(orders, rings, -1, others)
    wave = waves(pair, plain).conj()
    real, imaginary = _parts_of_waves(holed, orders)
    size = rings * turns * others
    out = (real @ by_ring).reshape(orders, size).T @ wave.real.T
    out -= (imaginary @ by_ring).reshape(orders, size).T @ wave.imag.T
    shape = (rings, turns, others, plain.angle_rad.size)
    return out.reshape(shape).transpose(1, 0, 3, 2).reshape(holed.size, plain.size)


@lru_cache(maxsize=4)
def _parts_of_waves(block: Holed, orders: int) -> tuple[Floats, Floats]:
    """Real and imaginary part of the conjugate waves of a block with holes. Shape (orders, rings, angles, parts)."""
    made = holed_waves(block, orders).conj().transpose(3, 1, 0, 2)
    return np.ascontiguousarray(made.real), np.ascontiguousarray(made.imag)


def _by_part(pair: Pair, block: CellBlock) -> tuple[CellBlock, Complexes]:
    """Rings that a block's cells are made of, and each cell's waves on its own: (angles, rings, parts, orders)."""
    if isinstance(block, Holed):
        return block.fine, holed_waves(block, pair.orders)
    plain = waves(pair, block).conj()
    return block, np.broadcast_to(plain[:, None, None], (plain.shape[0], block.inner_mm.size, 1, pair.orders))


def _ring_pair(pair: Pair, a_block: CellBlock, b_block: CellBlock, a_side: str, b_side: str) -> Floats:
    """Flexibility between the rings of two blocks, order by order."""
    rings, others = a_block.inner_mm.size, b_block.inner_mm.size
    if a_side == b_side == FACE:
        return (_face_rows(pair, a_block) @ _half(pair, b_block)).reshape(rings, pair.orders, others).transpose(1, 0, 2)
    ring_pair = np.zeros((pair.orders, rings, others))
    if a_side == b_side and pair.wheel is not None:
        by_node = pair.wheel.face @ rows(pair, pair.wheel, b_block).T
        ring_pair += rows(pair, pair.wheel, a_block) @ by_node
    if BACK in (a_side, b_side):
        sign = 1.0 if a_side == b_side else -1.0
        response = _between(pair.rotor, a_side, b_side)
        left, right = rows(pair, pair.rotor, a_block, a_side), rows(pair, pair.rotor, b_block, b_side)
        ring_pair += sign * (left @ (response @ right.T))
    return ring_pair


@lru_cache(maxsize=8)  # the same in every seating of a pair
def _between(body: Body, read: str, loaded: str) -> Floats:
    """Response of one side of a body to loads on another. Shape (orders, read, loaded). Read-only."""
    return read_only(np.ascontiguousarray(body.between(read, loaded)))


@lru_cache(maxsize=24)  # a patch against every other
def _half(pair: Pair, block: CellBlock) -> Floats:
    """Response of both faces to the rings of a block. Shape (m, orders x rings)."""
    out = np.empty((sum(body.face_r_mm.size for body in pair.bodies), pair.orders * block.inner_mm.size))
    first = 0
    for body in pair.bodies:
        face = _face_by_node(body)
        nodes = face.shape[0]
        answer = face.reshape(-1, nodes) @ rows(pair, body, block).T
        out[first : first + nodes] = answer.reshape(nodes, -1)
        first += nodes
    return out


@lru_cache(maxsize=12)  # as many as pairs are kept
def _face_by_node(body: Body) -> Floats:
    """Face response of a body, the node that is read first. Shape (m, orders, m). Read-only."""
    return read_only(np.ascontiguousarray(body.face.transpose(1, 0, 2)))


@lru_cache(maxsize=4)
def _with_wheel(pair: Pair, block: CellBlock) -> Floats:
    """Flexibility over face and wheel's pad without any layer: the same in every seating of a pair. Read-only."""
    kept = wheel_kept(block)
    across = _whole(pair, block, pair.grid, BACK, FACE)[np.ix_(kept, pair.kept)]
    on_pad = _whole(pair, block, block, BACK, BACK)[np.ix_(kept, kept)]
    return read_only(np.block([[pair.grid_flexibility, across.T], [across, on_pad]]))


@lru_cache(maxsize=4)
def _clean_with_wheel(pair: Pair, block: CellBlock, diagonal: bytes) -> Floats:
    """The same with the layers on its diagonal: all of the flexibility of a corner without dirt. Read-only."""
    return read_only(_with_wheel(pair, block) + np.diag(np.frombuffer(diagonal)))


def _flexibility(pair: Pair, found: list[Surface]) -> Floats:
    """Flexibility over all cells."""
    diagonal = np.concatenate([surface.compliance_mm3_n / surface.area_mm2 for surface in found])
    wheel = found[-1].side == BACK
    if wheel and len(found) == 2:
        return _clean_with_wheel(pair, found[-1].block, diagonal.tobytes())
    ends = np.cumsum([surface.kept.size for surface in found])
    spans = [slice(int(end - s.kept.size), int(end)) for end, s in zip(ends, found, strict=True)]
    matrix = np.empty((int(ends[-1]), int(ends[-1])))
    face = spans[0]
    matrix[face, face] = pair.grid_flexibility
    if wheel:
        shared, pad = _with_wheel(pair, found[-1].block), spans[-1]
        matrix[face, pad], matrix[pad, face] = shared[face, face.stop :], shared[face.stop :, face]
        matrix[pad, pad] = shared[face.stop :, face.stop :]
    known: dict[tuple[int, int], Floats] = {}  # dirt that crushes and the floor under it are the same cells
    for k, surface in enumerate(found[1:], start=1):
        for other, span in zip(found[: k + 1], spans, strict=False):
            if surface.side == BACK and other.index in (BARE, WHEEL):
                continue
            places = id(surface.block), id(other.block)
            part = known[places] if places in known else cross(pair, surface, other)
            known[places] = part
            matrix[spans[k], span] = part
            matrix[span, spans[k]] = part.T
    matrix[np.diag_indices(matrix.shape[0])] += diagonal
    return matrix


@one_thread
def contact_problem(pair: Pair, found: list[Surface], pulls: Pulls) -> Problem:
    """Assemble the contact problem.

    Parameters
    ----------
    pair : Pair
    found : list of Surface
        The bare face (on the pair's grid) first. A surface on the back is the wheel's pad: then the studs pull on the
        wheel, and its ring has three rigid motions of its own.
    pulls : Pulls
        What pulls where.

    Returns
    -------
    Problem

    Notes
    -----
    The dual of the Signorini problem as a quadratic programme (`sim.solvers.contact`): flexibility in mm/N, offsets and
    gaps in mm, caps in N; the load is force [N] and two moments [N mm]. Forces of the cells add up to what the studs
    pull (statics).
    """
    return Problem(_flexibility(pair, found), *_sides(pair, found, pulls))


@one_thread
def joined_problem(pair: Pair, found: list[Surface], pulls: Pulls, shared: SharedBlock) -> Joined:
    """Assemble the same problem from what it shares with others: the cells of the bare face, and of the wheel's pad.

    Parameters
    ----------
    pair, found, pulls
        As of `contact_problem`.
    shared : SharedBlock
        Over all cells of the face, then those of the pad, of clean flat faces.

    Returns
    -------
    Joined

    Notes
    -----
    As `contact_problem`: flexibility in mm/N, offsets in mm, caps in N.
    """
    offset, rigid, load, cap = _sides(pair, found, pulls)
    face, size = found[0], shared.flexibility.shape[0]
    patches = [surface for surface in found[1:] if surface.side == FACE]
    pad = found[len(patches) + 1 :]
    new = np.arange(face.kept.size, offset.size - sum(surface.kept.size for surface in pad))
    give = face.compliance_mm3_n
    softer = np.zeros(size)
    softer[: face.kept.size] = give / face.area_mm2 - give / face.block.area_mm2[face.kept]
    blocks: dict[int, tuple[int, Surface]] = {}  # dirt that crushes and the floor under it are the same cells
    column, count = [np.zeros(0, dtype=np.int64)], 0
    for surface in patches:
        if id(surface.block) not in blocks:
            blocks[id(surface.block)] = count, surface
            count += surface.kept.size
        first = blocks[id(surface.block)][0]
        column.append(np.arange(first, first + surface.kept.size))
    beside, among = np.empty((count, size)), np.empty((count, count))
    met: list[tuple[slice, Surface]] = []
    for first, surface in blocks.values():
        span = slice(first, first + surface.kept.size)
        beside[span, : face.kept.size] = cross(pair, surface, face)
        if pad:
            beside[span, face.kept.size :] = cross(pair, pad[0], surface).T
        met.append((span, surface))
        for there, other in met:
            among[span, there] = cross(pair, surface, other)
            among[there, span] = among[span, there].T
    place = np.concatenate([np.delete(np.arange(offset.size), new)[shared.order], new])
    return Joined(
        shared=shared,
        place=place,
        softer=softer[shared.order],
        beside=beside.take(shared.order, axis=1),
        among=among,
        column=np.concatenate(column),
        layer=np.concatenate([np.zeros(0), *(surface.compliance_mm3_n / surface.area_mm2 for surface in patches)]),
        offset=offset[place],
        rigid=rigid[place],
        load=load,
        cap=cap[place],
    )


def _sides(pair: Pair, found: list[Surface], pulls: Pulls) -> tuple[Floats, Floats, Floats, Floats]:
    """Offset, rigid motions, load and cap over all cells."""
    wheel = any(surface.side == BACK for surface in found)
    pulled = tuple(body for body in pair.bodies if not (wheel and body is pair.rotor))
    nuts_on = () if pair.wheel is None else (pair.wheel,)
    wave = stud_wave(pulls, pair.orders)
    offset, rigid, cap = [], [], []
    known: dict[int, tuple[Floats, Floats]] = {}  # dirt that crushes and the floor under it are the same cells
    for surface in found:
        block, place = surface.block, id(surface.block)
        if place not in known:
            by = pulled if surface.side == FACE else nuts_on
            if block is pair.grid or isinstance(block, Holed):
                gap = _per_stud_mm(pair, block, pulls.angle_rad.tobytes(), by) @ pulls.force_n
            else:
                gap = stud_gap_mm(pair, block, wave, by)
            known[place] = gap, pair.grid_rigid if block is pair.grid else block.rigid()
        gap, mean = known[place]
        offset.append(gap[surface.kept] - surface.height_mm)
        rigid.append(_motions(mean[surface.kept], surface.side, wheel))
        cap.append(surface.cap_mpa * surface.area_mm2)
    return np.concatenate(offset), np.vstack(rigid), _load(pulls, wheel), np.concatenate(cap)


def _motions(mean: Floats, side: str, wheel: bool) -> Floats:
    """Gap per rigid motion: the rotor's three, then the wheel's three where there is one."""
    if not wheel:
        return mean
    return np.hstack([mean, np.zeros_like(mean)]) if side == FACE else np.hstack([-mean, mean])


def _load(pulls: Pulls, wheel: bool) -> Floats:
    """What the contact forces must add up to: force and two moments of the studs, taken by the wheel if it is on."""
    pull = np.array([pulls.force_n.sum(), pulls.force_n @ pulls.x_mm, pulls.force_n @ pulls.y_mm])
    return np.concatenate([np.zeros(3), pull]) if wheel else pull


@one_thread
def nodal_wave(pair: Pair, body: Body, parts: list[tuple[CellBlock, Floats]], side: str = FACE) -> Complexes:
    """Nodal load amplitudes on one side of a body from the forces on whole blocks. Shape (orders, nodes). [N].

    By definition of the Fourier series, spread over a ring with the weights of `sim.seating.studs.area_mean`.
    """
    return nodal_waves(pair, (body,), parts, side)[0]


@one_thread
def nodal_waves(
    pair: Pair, bodies: Sequence[Body], parts: list[tuple[CellBlock, Floats]], side: str = FACE
) -> tuple[Complexes, ...]:
    """The same on several bodies that the same forces act on: amplitudes ring by ring are worked out once.

    [N]; by definition of the Fourier series, as `nodal_wave`.
    """
    factor = weights(pair.orders)[:, None]
    totals = [
        np.zeros((pair.orders, (body.face_r_mm if side == FACE else body.back_r_mm).size), dtype=complex)
        for body in bodies
    ]
    for block, force in parts:
        by_cell = force.reshape(block.angle_rad.size, block.inner_mm.size)
        on_rings = block.fine if isinstance(block, Holed) else block
        if isinstance(block, Holed):
            rings = (by_cell.T[:, None, :] @ _ring_by_ring(block, pair.orders)).reshape(-1, pair.orders).T
        else:
            rings = (waves(pair, block).T @ by_cell).conj()
        rings = factor * rings
        for body, total in zip(bodies, totals, strict=True):
            total += rings @ rows(pair, body, on_rings, side)
    return tuple(totals)


@lru_cache(maxsize=4)
def _ring_by_ring(block: Holed, orders: int) -> Complexes:
    """Waves of a block with holes as one matrix a ring. Shape (rings, angles, parts x orders)."""
    made = holed_waves(block, orders)
    turns, rings = made.shape[:2]
    return np.ascontiguousarray(made.transpose(1, 0, 2, 3)).reshape(rings, turns, -1)
