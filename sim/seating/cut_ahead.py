"""Patches of many corners cut ahead: what each of their cells is by itself takes one call for all of one shape.

On small arrays a call costs more than its arithmetic. Elementwise work rounds alike however many stand side by side,
and products are still taken one by one, so that a corner is the same to the bit whoever stands beside it.
"""

from __future__ import annotations

from collections.abc import Sequence

from sim.one_thread import one_thread
from sim.parts.case import Case, Debris
from sim.seating.cells import Alike, CellBlock, patch_block
from sim.seating.flexibility import know_alike, know_rows
from sim.seating.lying_between import know_covered, know_holes, turn_rad
from sim.seating.prepared import PRESETS, Pair

AT_ONCE = 16  # blocks of one shape: more leave the cache
MOST_CELLS = 128  # of a block: larger ones gain nothing, take memory, and know what they are asked when they are asked


@one_thread
def cut_ahead(pairs: Sequence[Pair], cases: Sequence[Case]) -> tuple[tuple[CellBlock | None, ...], ...]:
    """Cut every patch of some corners, and work out what seating them will ask of its cells.

    Parameters
    ----------
    pairs : sequence of Pair
    cases : sequence of Case
        Checked, one a pair.

    Returns
    -------
    tuple of tuple of CellBlock or None
        For each corner what `sim.seating.lying_between.surfaces` takes as ``blocks``.

    Notes
    -----
    By definition the same to the bit as is worked out for one block when it is asked for.
    """
    cut: dict[object, CellBlock | None] = {}
    ahead: dict[object, tuple[Pair, Case, list[CellBlock]]] = {}
    on_face: dict[Pair, dict[CellBlock, tuple[CellBlock, Debris, float]]] = {}
    out = []
    for pair, case in zip(pairs, cases, strict=True):
        rings, turn = PRESETS[pair.key.preset].patch_rings, turn_rad(case)
        of_case = []
        holes = (case.studs.pitch_circle_mm, case.studs.count, case.rotor.hole_diameter_mm)
        for debris in case.debris:
            key = (debris, turn if debris.on == "rotor" else 0.0, pair.zone_mm, rings)
            if key not in cut:
                cut[key] = patch_block.__wrapped__(debris, pair.zone_mm, turn, rings) if debris.height_um > 0 else None
                if (block := cut[key]) is not None and block.size <= MOST_CELLS:
                    shape = (pair.orders, pair.face_lines, holes, block.inner_mm.size, block.angle_rad.size)
                    ahead.setdefault(shape, (pair, case, []))[2].append(block)
            if (block := cut[key]) is not None:
                on_face.setdefault(pair, {})[block] = block, debris, turn
            of_case.append(block)
        out.append(tuple(of_case))
    for pair, covering in on_face.items():
        know_covered(pair, list(covering.values()))
    for pair, case, blocks in ahead.values():
        for first in range(0, len(blocks), AT_ONCE):
            some = Alike.of(blocks[first : first + AT_ONCE])
            know_alike(pair, some)
            know_rows(pair, some.blocks)
            know_holes(case, some)
    return tuple(out)
