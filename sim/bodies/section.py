"""The r-z section of a part: blocks of material, and the quadrilateral mesh that every harmonic shares."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from sim.arrays import Floats
from sim.parts.case import Case, Hub, Rotor

if TYPE_CHECKING:
    from skfem import MeshQuad

SAME_LINE_MM = 1e-6  # two mesh lines closer than this are one
MIN_SOFT_GAP_MM = 0.4  # a line that only helps accuracy gives way to a neighbour closer than this


@dataclass(frozen=True)
class Rectangle:
    """A rectangle of the section, full of one kind of material ("solid" or "vanes"). [mm]."""

    r0: float
    r1: float
    z0: float
    z1: float
    kind: str = "solid"


@dataclass(frozen=True)
class Fineness:
    """Element sizes: along the flange, through its thickness at the face, and elsewhere. [mm]."""

    flange_mm: float
    face_mm: float
    body_mm: float
    growth: float = 1.6


@dataclass(frozen=True, eq=False)
class Section:
    """A meshed section.

    Parameters
    ----------
    mesh : skfem.MeshQuad
        Quadrilaterals in (r, z). [mm]
    kind : ndarray of str, shape (elements,)
        Material of each element.
    """

    mesh: MeshQuad
    kind: NDArray[np.str_]


def rotor_blocks(rotor: Rotor) -> tuple[Rectangle, ...]:
    """Return the rectangles of a hat rotor; the mounting face is z = 0, outboard is +z. [mm]. Geometry."""
    hat_out = rotor.hat_outer_diameter_mm / 2
    hat_in = hat_out - rotor.hat_wall_mm
    outer = rotor.outer_diameter_mm / 2
    inboard = rotor.flange_thickness_mm - rotor.overall_height_mm
    outboard = inboard + rotor.thickness_mm
    flange = Rectangle(rotor.bore_diameter_mm / 2, hat_out, 0.0, rotor.flange_thickness_mm)
    ring_in = rotor.ring_inner_diameter_mm / 2
    if rotor.style != "vented":
        wall = Rectangle(hat_in, hat_out, inboard, 0.0)
        return (flange, wall, Rectangle(min(ring_in, hat_in), outer, inboard, outboard))
    cheek = float(rotor.cheek_thickness_mm or 0.0)
    wall = Rectangle(hat_in, hat_out, outboard - cheek, 0.0)
    vane_in = float(rotor.vane_inner_diameter_mm or 0.0) / 2
    vane_out = float(rotor.vane_outer_diameter_mm or 0.0) / 2
    return (
        flange,
        wall,
        Rectangle(hat_in, outer, outboard - cheek, outboard),
        Rectangle(vane_in, vane_out, inboard + cheek, outboard - cheek, "vanes"),
        Rectangle(ring_in, outer, inboard, inboard + cheek),
    )


def hub_blocks(hub: Hub) -> tuple[Rectangle, ...]:
    """Return the rectangles of a hub: flange with its face at z = 0, spigot tube, barrel. [mm]. Geometry."""
    inner, face = hub.barrel_inner_diameter_mm / 2, hub.face_diameter_mm / 2
    rear = -hub.flange_thickness_mm
    return (
        Rectangle(inner, face, rear, 0.0),
        Rectangle(inner, hub.spigot_diameter_mm / 2, 0.0, hub.spigot_length_mm),
        Rectangle(inner, hub.barrel_outer_diameter_mm / 2, rear - hub.barrel_length_mm, rear),
    )


def contact_zone_mm(case: Case) -> tuple[float, float]:
    """Inner and outer radius where the hub face and the rotor's mounting face can touch. [mm]."""
    inner = max(case.hub.face_inner_diameter_mm, case.rotor.bore_diameter_mm) / 2
    hat_in = case.rotor.hat_outer_diameter_mm / 2 - case.rotor.hat_wall_mm
    return inner, min(case.hub.face_diameter_mm / 2, hat_in)


def _lines(hard: list[float], soft: list[float], low: float, high: float) -> list[float]:
    """Sorted distinct lines within [low, high]; soft ones only where they leave room."""
    lines: list[float] = []
    for value in sorted(hard):
        if low - SAME_LINE_MM <= value <= high + SAME_LINE_MM and (not lines or value - lines[-1] > SAME_LINE_MM):
            lines.append(value)
    for value in soft:
        if low < value < high and min(abs(value - line) for line in lines) > MIN_SOFT_GAP_MM:
            lines.append(value)
    return sorted(lines)


def _even(a: float, b: float, size: float) -> list[float]:
    count = max(1, int(np.ceil((b - a) / size - 1e-9)))
    return list(np.linspace(a, b, count + 1))


def _graded(a: float, b: float, first: float, size: float, growth: float) -> list[float]:
    """Points from a to b whose steps grow from ``first`` at a up to ``size``."""
    length, step = b - a, first
    steps: list[float] = []
    while sum(steps) < length:
        steps.append(min(step, size))
        step *= growth
    scale = length / sum(steps)
    return list(a + np.concatenate([[0.0], np.cumsum(np.array(steps) * scale)]))


def _fill(lines: list[float], pieces: list[list[float]]) -> Floats:
    points = [lines[0]]
    for piece in pieces:
        points.extend(piece[1:])
    return np.array(points)


def mesh_section(
    blocks: tuple[Rectangle, ...],
    zone_mm: tuple[float, float],
    soft_r_mm: tuple[float, ...],
    fineness: Fineness,
    face_side: int,
) -> Section:
    """Mesh the union of rectangles on one tensor grid whose lines follow every edge.

    Parameters
    ----------
    blocks : tuple of Rectangle
        The section.
    zone_mm : tuple of float
        Contact zone on z = 0; its edges become mesh lines. [mm]
    soft_r_mm : tuple of float
        Radii where a mesh line helps (stud seats, gauge). [mm]
    fineness : Fineness
        Element sizes.
    face_side : {1, -1}
        Side of z = 0 on which the flange lies: 1 rotor, -1 hub; elements grow away from the face.

    Returns
    -------
    Section

    Notes
    -----
    How lines grade towards the contact zone is judgement; the presets' finenesses agree within 1 %
    (tests/unit/test_seating.py).
    """
    hard_r = [edge for block in blocks for edge in (block.r0, block.r1)] + list(zone_mm)
    hard_z = [edge for block in blocks for edge in (block.z0, block.z1)] + [0.0]
    flange = blocks[0]
    r_lines = _lines(hard_r, list(soft_r_mm), min(hard_r), max(hard_r))
    z_lines = _lines(hard_z, [], min(hard_z), max(hard_z))
    r_pieces = []
    for a, b in zip(r_lines, r_lines[1:], strict=False):
        size = (
            fineness.flange_mm if flange.r0 - SAME_LINE_MM <= a and b <= flange.r1 + SAME_LINE_MM else fineness.body_mm
        )
        r_pieces.append(_even(a, b, size))
    z_pieces = []
    for a, b in zip(z_lines, z_lines[1:], strict=False):
        if flange.z0 - SAME_LINE_MM <= a and b <= flange.z1 + SAME_LINE_MM:
            graded = _graded(0.0, b - a, fineness.face_mm, 2 * fineness.flange_mm, fineness.growth)
            piece = [a + x for x in graded] if face_side > 0 else [b - x for x in reversed(graded)]
        else:
            piece = _even(a, b, fineness.body_mm if b - a > 2 * fineness.body_mm else (b - a) / 2)
        z_pieces.append(piece)
    return _mask(blocks, _fill(r_lines, r_pieces), _fill(z_lines, z_pieces))


def _mask(blocks: tuple[Rectangle, ...], r: Floats, z: Floats) -> Section:
    """Keep the cells of the tensor grid that lie in a block, number what is left."""
    from skfem import MeshQuad  # slow to load; a stored geometry asks for none of it

    grid = MeshQuad.init_tensor(r, z)
    mid = grid.p[:, grid.t].mean(axis=1)
    kind = np.full(mid.shape[1], "", dtype="<U8")
    for block in blocks:
        inside = (mid[0] > block.r0) & (mid[0] < block.r1) & (mid[1] > block.z0) & (mid[1] < block.z1)
        kind[inside] = block.kind
    keep = np.flatnonzero(kind != "")
    return Section(grid.restrict(keep), kind[keep])
