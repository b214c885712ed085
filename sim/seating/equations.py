"""The contact problem of a seating, set up for `sim.solvers.contact`: flexibility, gap, rigid motion, load."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from sim.arrays import Complexes, Floats, read_only
from sim.one_thread import one_thread
from sim.seating.cells import CellBlock, Holed
from sim.seating.flexibility import (
    BACK,
    FACE,
    beside_shared,
    between_patches,
    face_rows,
    flexibility,
    holed_waves,
    on_pad,
    parts_of,
    rows,
)
from sim.seating.lying_between import Surface
from sim.seating.prepared import Body, Pair, weights
from sim.seating.studs import Pulls
from sim.solvers.contact import Problem
from sim.solvers.shared_block import Joined, SharedBlock


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
    if isinstance(block, Holed):
        rings = np.zeros((pair.orders, block.fine.inner_mm.size))
        for body in on:
            rings += body.studs @ rows(pair, body, block.fine).T
        made = holed_waves(block, pair.orders)
        by_part = (rings * wave[:, None]).reshape(pair.orders, *made.shape[1:3])
        return -np.einsum("arpn,nrp->ar", made.conj(), by_part).real.ravel()
    rings = _stud_answers(pair, on) @ face_rows(pair, block).T
    turned = np.concatenate([wave.real[:, None] * rings, wave.imag[:, None] * -rings])
    return -(parts_of(pair, block) @ turned).ravel()


@lru_cache(maxsize=8)  # the same in every seating of a pair
def _stud_answers(pair: Pair, on: tuple[Body, ...]) -> Floats:
    """Answers of all face nodes to one stud, side by side, none of bodies on which the studs do not act. Read-only."""
    answers = [body.studs if body in on else np.zeros_like(body.studs) for body in pair.bodies]
    return read_only(np.concatenate(answers, axis=1))


@lru_cache(maxsize=8)
def _per_stud_mm(pair: Pair, block: CellBlock, angles_rad: bytes, on: tuple[Body, ...]) -> Floats:
    """Gap over a block that comes again and again, per force of each stud. Shape (cells, studs). [mm/N]. Read-only."""
    waves_of_one = _waves_of_studs(angles_rad, pair.orders).T
    return read_only(np.column_stack([stud_gap_mm(pair, block, wave, on) for wave in waves_of_one]))


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
    offset, rigid, cap = _sides(pair, found, pulls)
    wheel = any(surface.side == BACK for surface in found)
    return Problem(flexibility(pair, found), offset, rigid, _load(pulls, wheel), cap)


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
    face, size = found[0], shared.flexibility.shape[0]
    patches = [surface for surface in found[1:] if surface.side == FACE]
    pad = found[len(patches) + 1 :]
    give = face.compliance_mm3_n
    softer = np.zeros(size)
    softer[: face.kept.size] = give / face.area_mm2 - give / face.block.area_mm2[face.kept]
    on_places: dict[int, Surface] = {}  # dirt that crushes and the floor under it are the same cells
    column, count = [np.zeros(0, dtype=np.int64)], 0
    first: dict[int, int] = {}
    for surface in patches:
        place = id(surface.block)
        if place not in on_places:
            on_places[place], first[place] = surface, count
            count += surface.kept.size
        column.append(np.arange(first[place], first[place] + surface.kept.size))
    beside, among = np.empty((count, size)), np.empty((count, count))
    if count:
        between_patches(pair, list(on_places.values()), among)
        beside_shared(pair, list(on_places.values()), pad, shared, beside)
    new = sum(surface.kept.size for surface in patches)
    place_of = np.empty(size + new, dtype=np.int64)
    np.add(shared.order, new * on_pad(pair, shared), out=place_of[:size])
    place_of[size:] = np.arange(face.kept.size, face.kept.size + new)
    on_shared = _sides(pair, [face, *pad], pulls)
    on_new = _sides(pair, patches, pulls, bool(pad))
    return Joined(
        shared=shared,
        place=place_of,
        softer=softer[shared.order],
        beside=beside,
        among=among,
        column=np.concatenate(column),
        layer=np.concatenate([np.zeros(0), *(surface.compliance_mm3_n / surface.area_mm2 for surface in patches)]),
        offset=np.concatenate([on_shared.offset[shared.order], on_new.offset]),
        rigid=np.concatenate([shared.rigid, on_new.rigid]),
        load=_load(pulls, bool(pad)),
        cap=np.concatenate([on_shared.cap[shared.order], on_new.cap]),
    )


class _Sides(NamedTuple):
    """Offset, rigid motions and cap over some cells."""

    offset: Floats
    rigid: Floats
    cap: Floats


def _sides(pair: Pair, found: list[Surface], pulls: Pulls, wheel: bool | None = None) -> _Sides:
    """Of some surfaces; ``wheel`` says whether one is on where its pad is not of them."""
    wheel = any(surface.side == BACK for surface in found) if wheel is None else wheel
    pulled = tuple(body for body in pair.bodies if not (wheel and body is pair.rotor))
    nuts_on = () if pair.wheel is None else (pair.wheel,)
    offset, rigid, cap = [np.zeros(0)], [np.zeros((0, 6 if wheel else 3))], [np.zeros(0)]
    known: dict[int, tuple[Floats, Floats]] = {}  # dirt that crushes and the floor under it are the same cells
    for surface in found:
        block, place = surface.block, id(surface.block)
        if place not in known:
            by = pulled if surface.side == FACE else nuts_on
            if block is pair.grid or isinstance(block, Holed):
                gap = _per_stud_mm(pair, block, pulls.angle_rad.tobytes(), by) @ pulls.force_n
            else:
                gap = stud_gap_mm(pair, block, stud_wave(pulls, pair.orders), by)
            known[place] = gap, pair.grid_rigid if block is pair.grid else block.rigid()
        gap, mean = known[place]
        offset.append(gap[surface.kept] - surface.height_mm)
        rigid.append(_motions(mean[surface.kept], surface.side, wheel))
        cap.append(surface.cap_mpa * surface.area_mm2)
    return _Sides(np.concatenate(offset), np.concatenate(rigid), np.concatenate(cap))


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
    orders = pair.orders
    factor = weights(orders)[:, None]
    sizes = [(body.face_r_mm if side == FACE else body.back_r_mm).size for body in bodies]
    totals = [np.zeros((2 * orders, size)) for size in sizes]  # real, then imaginary parts
    for block, force in parts:
        by_cell = force.reshape(block.angle_rad.size, block.inner_mm.size)
        if isinstance(block, Holed):
            on_rings = block.fine
            waved = (by_cell.T[:, None, :] @ _ring_by_ring(block, orders)).reshape(-1, orders).T
            rings = np.concatenate([factor * waved.real, factor * waved.imag])
        else:
            on_rings, rings = block, parts_of(pair, block).T @ by_cell
            rings[:orders] *= factor
            rings[orders:] *= -factor
        for body, total in zip(bodies, totals, strict=True):
            total += rings @ rows(pair, body, on_rings, side)
    return tuple(total[:orders] + 1j * total[orders:] for total in totals)


@lru_cache(maxsize=4)
def _ring_by_ring(block: Holed, orders: int) -> Complexes:
    """Waves of a block with holes as one matrix a ring. Shape (rings, angles, parts x orders)."""
    made = holed_waves(block, orders)
    turns, rings = made.shape[:2]
    return np.ascontiguousarray(made.transpose(1, 0, 2, 3)).reshape(rings, turns, -1)
