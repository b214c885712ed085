"""What lies between the two faces: the bare cells, each patch of dirt, and the floor under dirt that crushes."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from sim.arrays import Floats
from sim.errors import BadInput, Fault
from sim.parts.case import Case, Debris
from sim.parts.dirt import settled
from sim.seating.cells import (
    LEAST_OPEN,
    Alike,
    CellBlock,
    Holed,
    cut_holes,
    pad_block,
    patch_block,
    ragged_fall,
    share_under,
    shares_in_circles,
    shares_under,
)
from sim.seating.prepared import PRESETS, Pair
from sim.seating.studs import stud_angles_rad

BARE, WHEEL = -1, -2  # index of surfaces that are no dirt
LEAST_SHARE = 0.05  # a cell of which less than this can carry is left out


@dataclass(frozen=True, eq=False)
class Surface:
    """Cells that can press on the rotor.

    Parameters
    ----------
    block : CellBlock
    kept : ndarray of int
        Cells of the block that count.
    height_mm : ndarray, shape (kept,)
        Height above the ideal hub face, both faces' errors together. [mm]
    compliance_mm3_n : float
        Give per pressure, the contact layer included. [mm3/N]
    cap_mpa : float
        Pressure at which it crushes; infinite if it does not.
    index : int
        Position in ``case.debris``; -1 for the bare face, -2 for the wheel's pad.
    floor : bool
        Whether this is what stays under dirt however hard it is crushed.
    side : {"face", "back"}
        Hub side of the flange, or the side that the wheel lies on.
    share : ndarray, shape (kept,), optional
        Part of each cell's area that can carry; all of it unless given.
    """

    block: CellBlock
    kept: NDArray[np.int64]
    height_mm: Floats
    compliance_mm3_n: float
    cap_mpa: float
    index: int
    floor: bool = False
    side: str = "face"
    share: Floats | None = None

    @property
    def area_mm2(self) -> Floats:
        """Area of the kept cells that can carry. [mm2]. Geometry."""
        area = self.block.area_mm2[self.kept]
        return area if self.share is None else area * self.share


def alike_round(found: Sequence[Surface], repeats: int) -> NDArray[np.int64] | None:
    """Cells that turn into each other where everything comes again ``repeats`` times round the axis.

    Parameters
    ----------
    found : sequence of Surface
        On blocks of even columns, as the bare face and the wheel's pad are.
    repeats : int

    Returns
    -------
    ndarray of int, shape (repeats, cells of one repeat), or None
        None where the cells do not come again. No unit; geometry.
    """
    rows, first = [], 0
    for surface in found:
        size = surface.block.size // repeats
        if surface.block.angle_rad.size % repeats or surface.kept.size % repeats:
            return None
        kept = surface.kept.reshape(repeats, -1)
        if not np.array_equal(kept, kept[0] + size * np.arange(repeats)[:, None]):
            return None
        rows.append(first + np.arange(surface.kept.size).reshape(repeats, -1))
        first += surface.kept.size
    return np.concatenate(rows, axis=1)


def turn_rad(case: Case) -> float:
    """Hub angle of the rotor's zero. [rad]. By definition: hub angle = rotor angle + studs turned x 360 / count."""
    return 2 * np.pi * case.studs.studs_turned / case.studs.count


def blocks_of(pair: Pair, case: Case) -> list[CellBlock | None]:
    """Cells of every patch of a corner, in the order of ``case.debris``; None for a hollow, or off the contact zone."""
    rings, turn = PRESETS[pair.key.preset].patch_rings, turn_rad(case)
    return [
        patch_block(debris, pair.zone_mm, turn if debris.on == "rotor" else 0.0, rings)
        if debris.height_um > 0
        else None
        for debris in case.debris
    ]


def surfaces(
    pair: Pair,
    case: Case,
    crushed: Mapping[int, Floats] | None = None,
    blocks: Sequence[CellBlock | None] | None = None,
) -> list[Surface]:
    """Everything that can carry force, the bare face first.

    Where patches overlap the higher one counts; the part of a patch in a stud hole, or where the faces do not meet,
    is left out.

    Parameters
    ----------
    pair : Pair
    case : Case
    crushed : mapping of int to ndarray, optional
        Height that each cell of a patch lost in an earlier tightening. [mm]
    blocks : sequence of CellBlock or None, optional
        As `blocks_of` gives them, if they are cut already.

    Returns
    -------
    list of Surface

    Notes
    -----
    Heights in mm, pressures in MPa. Dirt gives as an elastic, perfectly plastic layer over a floor: judgement; kinds
    and their sources stand in `sim.parts.dirt`.
    """
    layer = 1 / case.contact.layer_stiffness_n_mm3
    bare = (face_height_mm(case, pair.grid, pair.grid_rigid) + hollow_mm(case, pair.grid))[pair.kept]
    covered = np.zeros(pair.grid.size)
    patches: list[Surface] = []
    for index, block in enumerate(blocks_of(pair, case) if blocks is None else blocks):
        if block is None:
            continue
        debris = case.debris[index]
        left = 1.0 - _lost(case, block, index)
        kept = np.flatnonzero(left >= LEAST_SHARE)
        if kept.size == 0:
            continue
        covered += covered_by(pair, block, debris, turn_rad(case))
        base = face_height_mm(case, block, block.rigid())[kept]
        under = (base, layer, (crushed or {}).get(index), left[kept])
        patches.extend(_patch(debris, index, block, kept, under))
    # Bare metal carries only where no dirt lies on it: the layer must not count twice under a patch.
    open_share = np.maximum(1.0 - covered, LEAST_SHARE)[pair.kept]
    out = [Surface(pair.grid, pair.kept, bare, layer, np.inf, BARE, share=open_share), *patches]
    return [*out, _wheel_pad(pair, case, layer)] if case.studs.clamped_by == "wheel" else out


def _wheel_pad(pair: Pair, case: Case, layer: float) -> Surface:
    """The wheel's pad on the outboard side of the flange, its stud holes cut out; it is a stiff ring with a dish."""
    inner, outer = case.wheel_pad_mm
    studs = case.studs
    hole = max(case.rotor.hole_diameter_mm, studs.seat_inner_diameter_mm) / 2
    preset = PRESETS[pair.key.preset]
    per_turn = studs.count * math.ceil(preset.pad_per_turn / studs.count)  # even nuts on flat faces: no runout at all
    block = wheel_block((inner, outer), preset.pad_ring_mm, per_turn, studs.pitch_radius_mm, studs.count, hole)
    kept = wheel_kept(block)
    near, far, _ = block.flat
    open_share = (outer - (near + far) / 2) / (outer - inner)
    dish = case.wheel.pad_dish_um / 1000.0 * (open_share if case.wheel.pad_dish_um > 0 else open_share - 1.0)
    return Surface(block, kept, -dish[kept], layer, np.inf, WHEEL, side="back", share=block.carried[kept])


@lru_cache(maxsize=8)
def wheel_block(
    zone_mm: tuple[float, float], ring_mm: float, per_turn: int, pitch_radius_mm: float, studs: int, hole_mm: float
) -> Holed:
    """Cells of the wheel's pad, with holes of radius ``hole_mm`` for its studs."""
    plain = pad_block(zone_mm, ring_mm, per_turn)
    return cut_holes(plain, pitch_radius_mm, stud_angles_rad(studs), hole_mm)


@lru_cache(maxsize=8)
def wheel_kept(block: Holed) -> NDArray[np.int64]:
    """Cells of the wheel's pad that are open enough to carry."""
    return np.flatnonzero(block.carried >= LEAST_OPEN)


def _patch(
    debris: Debris,
    index: int,
    block: CellBlock,
    kept: NDArray[np.int64],
    under: tuple[Floats, float, Floats | None, Floats],
) -> list[Surface]:
    """One patch: hard, or an elastic - perfectly plastic pad in parallel with the floor that stays under it.

    Notes
    -----
    Deformation plasticity: valid while the load only grows. What was crushed before comes in as lost height.
    """
    base, layer, lost, share = under
    if lost is not None and lost.shape != base.shape:
        raise BadInput(Fault("an earlier tightening with other debris or another preset", key=f"debris {index + 1}"))
    dirt = settled(debris)
    height = debris.height_um / 1000.0 * (1 - ragged_fall(debris, block)[kept])
    give = layer + (debris.height_um / 1000.0 / dirt.modulus_mpa if dirt.modulus_mpa else 0.0)
    top = base + height - (0.0 if lost is None else lost)
    if dirt.crush_mpa is None:
        return [Surface(block, kept, top, give, np.inf, index, share=share)]
    floor = base + (dirt.residual_share or 0.0) * height
    return [
        Surface(block, kept, top, give, dirt.crush_mpa, index, share=share),
        Surface(block, kept, floor, layer, np.inf, index, floor=True, share=share),
    ]


def _lost(case: Case, block: CellBlock, index: int) -> Floats:
    """Share of each cell of a patch that lies off it, in a stud hole, or under a higher patch."""
    turn = turn_rad(case)
    sector = case.debris[index].shape == "sector"  # whose cells end where it ends
    lost = 0.0 if sector else 1.0 - share_under(block, case.debris[index], turn)
    lost = lost + in_stud_holes(case, block)
    mine = (case.debris[index].height_um, -index)
    for other_index, other in enumerate(case.debris):
        if other_index != index and (other.height_um, -other_index) > mine:
            lost = np.maximum(lost, share_under(block, other, turn))
    return np.minimum(lost, 1.0)


def in_stud_holes(case: Case, block: CellBlock) -> Floats:
    """Share of each cell of a block that lies in a stud hole. Shape (cells,). No unit; by sample points: geometry."""
    known = _stud_holes(case)
    if known not in block.known:
        know_holes(case, Alike.of([block]))
    found: Floats = block.known[known]
    return found


def know_holes(case: Case, blocks: Alike) -> None:
    """Work out `in_stud_holes` of many blocks in one call; each block then knows its own."""
    known = _stud_holes(case)
    _, pitch_mm, count, hole_mm = known
    shares = shares_in_circles(blocks, pitch_mm, stud_angles_rad(count), hole_mm)
    for block, share in zip(blocks.blocks, shares, strict=True):
        block.known[known] = share


def covered_by(pair: Pair, block: CellBlock, debris: Debris, turn: float) -> Floats:
    """Share of each cell of the bare face that a patch covers, which was cut into a block. Shape (cells,).

    No unit; by sample points: geometry.
    """
    known = ("covers", pair.grid)
    if known not in block.known:
        block.known[known] = share_under(pair.grid, debris, turn)
    found: Floats = block.known[known]
    return found


def know_covered(pair: Pair, cut: Sequence[tuple[CellBlock, Debris, float]]) -> None:
    """Work out `covered_by` of many patches in one call; each block then knows its own."""
    sectors = [one for one in cut if one[1].shape != "round"]
    if sectors:
        shares = shares_under([debris for _, debris, _ in sectors], pair.grid, [turn for *_, turn in sectors])
        for (block, *_), share in zip(sectors, shares, strict=True):
            block.known["covers", pair.grid] = share


def _stud_holes(case: Case) -> tuple[str, float, int, float]:
    studs = case.studs
    return "stud holes", studs.pitch_circle_mm / 2, studs.count, case.rotor.hole_diameter_mm / 2


def face_height_mm(case: Case, block: CellBlock, mean: Floats) -> Floats:
    """Height of both faces' own errors over the cells of a block: hub-face runout, dishes, saddles, measured heights.

    Parameters
    ----------
    case : Case
    block : CellBlock
    mean : ndarray, shape (cells, 3)
        Mean of 1, x and y over each cell.

    Returns
    -------
    ndarray, shape (cells,)
        [mm]

    Notes
    -----
    A leaning face is a plane (geometry); a dish falls in proportion to the radius, a saddle is alike at every radius:
    judgement.
    """
    inner, outer, _ = block.flat
    hub, rotor = case.hub, case.rotor
    height = np.zeros(block.size)
    if hub.face_runout_um:
        slope = hub.face_runout_um / 2000.0 / hub.read_radius_mm
        spot = np.deg2rad(hub.face_high_spot_deg)
        height = slope * (np.cos(spot) * mean[:, 1] + np.sin(spot) * mean[:, 2])
    middle = (inner + outer) / 2
    edges = (
        (hub.face_dish_um, hub.face_inner_diameter_mm / 2, hub.face_diameter_mm / 2),
        (rotor.flange_dish_um, rotor.bore_diameter_mm / 2, rotor.hat_outer_diameter_mm / 2 - rotor.hat_wall_mm),
    )
    for dish_um, low, high in edges:
        if dish_um:
            height = height - dish_um / 1000.0 * np.clip((high - middle) / (high - low), 0.0, 1.0)
    on_rotor = np.deg2rad(rotor.flange_saddle_deg) + turn_rad(case)
    for saddle_um, high in (
        (hub.face_saddle_um, np.deg2rad(hub.face_saddle_deg)),
        (rotor.flange_saddle_um, on_rotor),
    ):
        if saddle_um:
            mean_of_cell = np.sinc(block.arc / np.pi)  # of two waves a turn over its arc
            height = height + saddle_um / 2000.0 * mean_of_cell * np.cos(2.0 * (block.flat[2] - high))
    for measured, turn in ((case.hub_topography, 0.0), (case.rotor_topography, turn_rad(case))):
        if measured is not None:
            radius, theta = block.sample_points
            height = height + measured.at_mm(radius, theta - turn).mean(axis=1)
    return height


def hollow_mm(case: Case, block: CellBlock) -> Floats:
    """Depth of hollows ground into either face, averaged over each cell. [mm].

    Share of the cell by sample points: geometry.
    """
    depth = np.zeros(block.size)
    for debris in case.debris:
        if debris.height_um < 0:
            depth = np.minimum(depth, debris.height_um / 1000.0 * share_under(block, debris, turn_rad(case)))
    return depth


def carried_share(debris: Debris, surface: Surface) -> float:
    """Share of a patch's area that can carry force. Geometry of a sector or a circle."""
    width = debris.outer_radius_mm - debris.inner_radius_mm
    sector = np.deg2rad(debris.arc_deg) * width * (debris.outer_radius_mm + debris.inner_radius_mm) / 2
    whole = np.pi * width**2 / 4 if debris.shape == "round" else sector
    return min(float(surface.area_mm2.sum() / whole), 1.0)
