"""Flexibility of a seating: what a force on one cell does to the gap of another, by the rings and orders of blocks."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from sim.arrays import Complexes, Floats, Ints, read_only
from sim.one_thread import one_thread
from sim.seating.cells import Alike, CellBlock, Holed, sector_areas, sector_means, wave_parts
from sim.seating.lying_between import BARE, WHEEL, Surface, wheel_kept
from sim.seating.prepared import Body, Pair, weights
from sim.seating.short_waves import know_short_waves, short_waves
from sim.seating.studs import area_means
from sim.solvers.shared_block import SharedBlock

FACE, BACK = "face", "back"  # the hub side of the rotor's flange, and the side that the wheel lies on


@lru_cache(maxsize=24)  # enough within one seating; more would keep old bodies alive
def _ring_rows(body: Body, block: CellBlock, side: str) -> Floats:
    return body.ring_rows(block) if side == FACE else body.back_rows(block)


def face_rows(pair: Pair, block: CellBlock) -> Floats:
    """Area mean over a block's rings as weights on the face nodes of the bodies that meet, side by side."""
    known = ("face rows", pair.face_lines)
    if known not in block.known:
        know_rows(pair, [block])
    found: Floats = block.known[known]
    return found


@one_thread
def know_rows(pair: Pair, blocks: Sequence[CellBlock]) -> None:
    """Work out in one call what the rings of many blocks are on the nodes of the faces; each block then knows its own.

    Parameters
    ----------
    pair : Pair
    blocks : sequence of CellBlock
    """
    inner, outer = (np.concatenate([getattr(block, name) for block in blocks]) for name in ("inner_mm", "outer_mm"))
    weight, first = area_means([body.face_r_mm for body in pair.bodies], inner, outer), 0
    low, high = (
        np.array([getattr(block, name)[end] for block in blocks]) for name, end in (("inner_mm", 0), ("outer_mm", -1))
    )
    reach = [_reach(body.face_r_mm, low, high) for body in pair.bodies]
    for k, block in enumerate(blocks):
        block.known["face rows", pair.face_lines] = weight[first : first + block.inner_mm.size]
        block.known["face reach", pair.face_lines] = tuple(slice(*of_body[k]) for of_body in reach)
        first += block.inner_mm.size


def _reach(nodes_mm: Floats, low_mm: Floats, high_mm: Floats) -> list[list[int]]:
    """First node, and one past the last, of the elements that blocks between two radii lie on."""
    last = nodes_mm.size - 3
    begin = np.searchsorted(nodes_mm[2:-2:2], low_mm, side="right") * 2
    end = np.minimum(np.searchsorted(nodes_mm[2:-2:2], high_mm, side="left") * 2, last) + 3
    found: list[list[int]] = np.column_stack([begin, end]).tolist()
    return found


@one_thread
def know_alike(pair: Pair, blocks: Alike) -> None:
    """Work out in one call what any seating asks of the cells of many blocks; each block then knows its own.

    Parameters
    ----------
    pair : Pair
    blocks : Alike
    """
    area = sector_areas(blocks.inner_mm, blocks.outer_mm, blocks.arcs)
    mean = sector_means(blocks.inner_mm, blocks.outer_mm, blocks.angle_rad, blocks.arcs)
    parts = wave_parts(blocks.angle_rad, blocks.arcs, pair.orders)
    for k, block in enumerate(blocks.blocks):
        block.know(area[k], mean[k])
        block.known["parts", pair.orders] = parts[k]
    know_short_waves(blocks.blocks, pair.orders)


def rows(pair: Pair, body: Body, block: CellBlock, side: str = FACE) -> Floats:
    """Area mean over a block's rings as weights on the nodes of one side of a body."""
    if side == FACE and body is pair.rotor:
        return face_rows(pair, block)[:, : body.face_r_mm.size]
    if side == FACE and body is pair.hub:
        return face_rows(pair, block)[:, pair.rotor.face_r_mm.size :]
    return _ring_rows(body, block, side)


def waves(pair: Pair, block: CellBlock) -> Complexes:
    """Mean of exp(i n theta) over the cells of each angle of a block. Shape (angles, orders). [1]. By definition."""
    parts = parts_of(pair, block)
    return parts[:, : pair.orders] + 1j * parts[:, pair.orders :]


def parts_of(pair: Pair, block: CellBlock) -> Floats:
    """Real, then imaginary parts of a block's waves. Shape (angles, 2 x orders). [1]. By definition."""
    known = ("parts", pair.orders)
    if known not in block.known:
        block.known[known] = wave_parts(block.angle_rad, block.arcs, pair.orders)
    found: Floats = block.known[known]
    return found


@lru_cache(maxsize=4)
def holed_waves(block: Holed, orders: int) -> Complexes:
    """Waves of the cells of a block with holes; the wheel's pad is the same in every seating of a pair."""
    return block.waves(orders)


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
    left = parts_of(pair, a_block)[:, None, None, :] * np.concatenate([by_ring, by_ring], axis=2)
    product = left.reshape(-1, 2 * orders) @ parts_of(pair, b_block).T
    return product.reshape(*left.shape[:3], -1).transpose(0, 1, 3, 2).reshape(a_block.size, b_block.size)


def _holed(pair: Pair, a_block: CellBlock, b_block: CellBlock, a_side: str, b_side: str) -> Floats:
    """The same where cells have holes: each has waves of its own, by part of its ring."""
    if isinstance(a_block, Holed) and not isinstance(b_block, Holed):
        return _holed_and_plain(pair, a_block, b_block, a_side, b_side)
    a_rings, a_waves = _by_part(pair, a_block)
    b_rings, b_waves = _by_part(pair, b_block)
    table = _ring_pair(pair, a_rings, b_rings, a_side, b_side) * weights(pair.orders)[:, None, None]
    turns, rings, parts, orders = a_waves.shape
    others, more = b_waves.shape[1:3]
    # Of a pad with itself one pitch is worked out: those behind it answer as it does, turned.
    step = a_block.repeat if isinstance(a_block, Holed) and a_block is b_block else b_waves.shape[0]
    first = np.empty((turns, rings, step, others))
    left = a_waves.conj().transpose(1, 0, 3, 2).reshape(rings, turns, -1)  # ring by ring: angles, then orders and parts
    real, imaginary = np.ascontiguousarray(left.real), np.ascontiguousarray(left.imag)
    for j in range(others):
        wave = b_waves[:step, j].transpose(2, 1, 0)
        cut = np.ascontiguousarray(table[:, :, j * more : (j + 1) * more])
        by_ring = (orders, rings, parts, step)
        of_real, of_imaginary = (
            (cut @ part).reshape(by_ring).transpose(1, 0, 2, 3).reshape(rings, -1, step)
            for part in (wave.real, wave.imag)
        )
        first[..., j] = (real @ of_real - imaginary @ of_imaginary).transpose(1, 0, 2)
    turned = [np.roll(first, start, axis=0) for start in range(0, b_waves.shape[0], step)]
    return np.concatenate(turned, axis=2).reshape(a_block.size, b_block.size)


def _holed_and_plain(pair: Pair, holed: Holed, plain: CellBlock, a_side: str, b_side: str) -> Floats:
    """The same against whole cells, whose waves are those of their angle alone: summed over parts before orders."""
    orders, turns, rings, others = pair.orders, holed.angle_rad.size, holed.inner_mm.size, plain.inner_mm.size
    table = _ring_pair(pair, holed.fine, plain, a_side, b_side) * weights(orders)[:, None, None]
    by_ring = table.reshape(orders, rings, -1, others)
    real, imaginary = _parts_of_waves(holed, orders)
    # One pitch of the pad is worked out, against the whole cells turned back pitch by pitch.
    step = real.shape[2]
    turned = _turning(turns // step, orders)[:, :, None] * waves(pair, plain).conj().T[:, None]
    turned = turned.reshape(orders, -1)
    size = rings * step * others
    out = (real @ by_ring).reshape(orders, size).T @ turned.real
    out -= (imaginary @ by_ring).reshape(orders, size).T @ turned.imag
    shape = (rings, step, others, turns // step, plain.angle_rad.size)
    return out.reshape(shape).transpose(3, 1, 0, 4, 2).reshape(holed.size, plain.size)


@lru_cache(maxsize=8)
def _turning(repeats: int, orders: int) -> Complexes:
    """What each repeat of a turn does to each order. Shape (orders, repeats). Read-only."""
    return read_only(np.exp(2j * np.pi / repeats * np.outer(np.arange(orders), np.arange(repeats))))


@lru_cache(maxsize=4)
def _parts_of_waves(block: Holed, orders: int) -> tuple[Floats, Floats]:
    """Real and imaginary part of the conjugate waves of a block with holes, up to where its holes come again.

    Shape (orders, rings, angles up to there, parts).
    """
    made = holed_waves(block, orders)[: block.repeat].conj().transpose(3, 1, 0, 2)
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
        return (face_rows(pair, a_block) @ _half(pair, b_block)).reshape(rings, pair.orders, others).transpose(1, 0, 2)
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
    return _answers_to(pair, face_rows(pair, block))


def _answers_to(pair: Pair, by_nodes: Floats) -> Floats:
    """Response of both faces to loads on rings, given on their nodes. Shape (m, orders x rings)."""
    out = np.empty((by_nodes.shape[1], pair.orders * by_nodes.shape[0]))
    first = 0
    for body in pair.bodies:
        face = _face_by_node(body)
        nodes = face.shape[0]
        answer = face.reshape(-1, nodes) @ by_nodes[:, first : first + nodes].T
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


def flexibility(pair: Pair, found: list[Surface]) -> Floats:
    """Flexibility over all cells, the layers on its diagonal. Shape (cells, cells). [mm/N].

    Parameters
    ----------
    pair : Pair
    found : list of Surface
        The bare face first, the wheel's pad last where there is one.

    Notes
    -----
    Galerkin form, part by part as of `cross`.
    """
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


def between_patches(pair: Pair, patches: list[Surface], out: Floats) -> None:
    """Fill in the flexibility over all cells of some patches, in Galerkin form as `cross` has it. [mm/N]."""
    spans = list(_spans([surface.kept.size for surface in patches]))
    for k, (surface, here) in enumerate(zip(patches, spans, strict=True)):
        for other, there in zip(patches[: k + 1], spans, strict=False):
            block, beside = surface.block, other.block
            whole = _product(parts_of(pair, block), _near_rings(pair, block, beside), parts_of(pair, beside))
            if other is surface:
                whole += pair.short_mm2_n * short_waves(block, pair.orders)
            if whole.shape != (surface.kept.size, other.kept.size):
                whole = whole[np.ix_(surface.kept, other.kept)]
            out[here, there] = whole
            out[there, here] = whole.T


def _near_rings(pair: Pair, block: CellBlock, other: CellBlock) -> Floats:
    """Flexibility between the rings of two patches on the face, weighted order by order, twice: as `_product` takes it.

    A patch lies on a few nodes of the faces: only these are looked at.
    """
    left, right = face_rows(pair, block), face_rows(pair, other)
    reach, its = (one.known["face reach", pair.face_lines] for one in (block, other))
    rings, others, orders = left.shape[0], right.shape[0], pair.orders
    answer = np.zeros((rings, orders * others))
    first = 0
    for body, mine, theirs in zip(pair.bodies, reach, its, strict=True):
        left_at, right_at = (slice(first + at.start, first + at.stop) for at in (mine, theirs))
        near = _face_by_node(body)[mine, :, theirs]
        by_node = near.reshape(-1, near.shape[2]) @ right[:, right_at].T
        answer += left[:, left_at] @ by_node.reshape(near.shape[0], -1)
        first += body.face_r_mm.size
    out = np.empty((rings, others, 2 * orders))
    np.multiply(answer.reshape(rings, orders, others).transpose(0, 2, 1), weights(orders), out=out[..., :orders])
    out[..., orders:] = out[..., :orders]
    return out


def _spans(sizes: list[int]) -> Iterator[slice]:
    end = 0
    for size in sizes:
        yield slice(end, end + size)
        end += size


def _product(left: Floats, by_ring: Floats, right: Floats) -> Floats:
    """Sum over orders between all cells of two blocks, from their waves and what their rings do to each other."""
    # Each part of a wave beside the same part of the other's: their products add up to the real part that counts.
    spread = left[:, None, None] * by_ring
    turns, rings, others, both = spread.shape
    found = (spread.reshape(-1, both) @ right.T).reshape(turns * rings, others, -1)
    return found.transpose(0, 2, 1).reshape(turns * rings, -1)


@one_thread
def beside_shared(pair: Pair, patches: list[Surface], pad: list[Surface], shared: SharedBlock, out: Floats) -> None:
    """Fill in the flexibility between some patches and the shared cells, in the order of these. [mm/N].

    Parameters
    ----------
    pair : Pair
    patches, pad : list of Surface
        On the face; and the wheel's pad, if it is on.
    shared : SharedBlock
    out : ndarray, shape (cells of the patches, shared cells)

    Notes
    -----
    Galerkin form as of `cross`; even columns answer by the orders that they tell apart (`_folds`, by definition).
    """
    grid = _even_grid(pair)
    rings, half = pair.grid.inner_mm.size, grid.cosine.shape[1]
    at = _columns_of(pair, shared)
    for surface, here in zip(patches, _spans([surface.kept.size for surface in patches]), strict=True):
        block = surface.block
        by_ring = (face_rows(pair, block) @ grid.answers).reshape(-1, pair.orders, rings).transpose(0, 2, 1)
        left = _folded(parts_of(pair, block).reshape(-1, 2, pair.orders), by_ring * grid.factor, grid.folds)
        even, odd = left[:, 0] @ grid.cosine, left[:, 1] @ grid.sine
        both = np.empty((even.shape[0], 2, half))
        np.add(even, odd, out=both[:, 0])
        np.subtract(even, odd, out=both[:, 1])
        whole = both.reshape(block.size, -1)
        if surface.kept.size < block.size:
            whole = whole[surface.kept]
        if pad:
            whole = np.concatenate([whole, cross(pair, pad[0], surface).T], axis=1)
        whole.take(at, axis=1, out=out[here], mode="clip")


@dataclass(frozen=True, eq=False)
class _EvenGrid:
    """What the even columns of a pair's grid do to any block.

    ``answers`` of the face nodes to each order on each of its rings; ``factor`` of each order, the mean over a column
    in; ``cosine`` and ``sine`` of the orders that its columns can tell apart, over half a turn of columns; ``folds``:
    which orders go where among these, and the sign of their sine.
    """

    answers: Floats
    factor: Floats
    cosine: Floats
    sine: Floats
    folds: tuple[tuple[slice, slice, float], ...]


@lru_cache(maxsize=4)
def _even_grid(pair: Pair) -> _EvenGrid:
    turns = pair.grid.angle_rad.size
    step = np.arange(turns // 2 + 1)
    angle = 2 * np.pi * (np.outer(step, step) % turns) / turns
    factor = weights(pair.orders) * pair.grid.averaging(pair.orders)[0]
    answers = _answers_to(pair, face_rows(pair, pair.grid))
    return read_only(_EvenGrid(answers, factor, np.cos(angle), np.sin(angle), _folds(turns, pair.orders)))


def _folds(turns: int, orders: int) -> tuple[tuple[slice, slice, float], ...]:
    """Orders that even columns cannot tell from lower ones: where they go, which they are, the sign of their sine.

    By definition: on ``turns`` even places cos (turns - n) is cos n, and sin (turns - n) is - sin n.
    """
    size = turns // 2 + 1
    out = [(slice(0, min(size, orders)), slice(0, min(size, orders)), 1.0)]
    for back in range(turns, orders + turns // 2, turns):  # down to it, then up again
        low, high = back - (turns - size), min(back, orders)
        if low < high:
            out.append((slice(back - high + 1, back - low + 1), slice(high - 1, low - 1, -1), -1.0))
        high = min(back + size, orders)
        if back < high:
            out.append((slice(0, high - back), slice(back, high), 1.0))
    return tuple(out)


def _folded(waves: Floats, by_ring: Floats, folds: tuple[tuple[slice, slice, float], ...]) -> Floats:
    """Waves of each angle times what their orders do ring by ring, folded. Shape (rows, cosine and sine, orders)."""
    (whole, _, _), *_ = folds
    out = np.zeros((waves.shape[0], *by_ring.shape[:2], 2, max(at.stop for at, _, _ in folds)))
    for at, which, sign in folds:
        wave, ring = waves[:, None, None, :, which], by_ring[None, :, :, None, which]
        if at is whole:
            np.multiply(wave, ring, out=out[..., at])
        else:
            out[..., at] += wave * np.array([[1.0], [sign]]) * ring
    return out.reshape(-1, 2, out.shape[-1])


@lru_cache(maxsize=8)  # the same in every seating of a pair
def _columns_of(pair: Pair, shared: SharedBlock) -> Ints:
    """Where `beside_shared` has each shared cell. Shape (n,)."""
    turns, rings = pair.grid.angle_rad.size, pair.grid.inner_mm.size
    half = turns // 2 + 1
    column, ring = np.divmod(pair.kept, rings)
    on_face = ring * 2 * half + np.where(column < half, column, half + turns - column)
    on_pad = rings * 2 * half + np.arange(shared.order.size - pair.kept.size)
    return np.concatenate([on_face, on_pad])[shared.order]


@lru_cache(maxsize=8)  # the same in every seating of a pair
def on_pad(pair: Pair, shared: SharedBlock) -> Ints:
    """1 for each shared cell of the wheel's pad, 0 for those of the face, in their order."""
    return (shared.order >= pair.kept.size).astype(np.int64)
