"""Sections of rotor and hub as rows for the viewer in a page: strips of (r, z) that the reader's browser revolves."""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from scenes.geometry import shapes
from sim.arrays import Floats
from sim.parts.case import Case

STEP_MM = 8.0
"""Longest edge of a row's strip: with 120 angles both bodies come to about 12 000 points."""


@dataclass(frozen=True, eq=False)
class Rows:
    """Section of one body.

    Parameters
    ----------
    points_mm : ndarray, shape (rows, 2)
        Radius and height. [mm]
    strips : tuple of int
        Rows of each smooth strip, in sequence; edges between strips are sharp.
    hat : tuple of int
        1 for rows of the hat, which can be cut open.
    face : tuple of int
        1 for rows of the outboard friction face, which is coloured by its height.
    """

    points_mm: Floats
    strips: tuple[int, ...]
    hat: tuple[int, ...]
    face: tuple[int, ...]

    def nearest(self, radius_mm: float, height_mm: float) -> int:
        """Row nearest a place of the section."""
        return int(np.argmin(np.hypot(self.points_mm[:, 0] - radius_mm, self.points_mm[:, 1] - height_mm)))


def rotor_rows(case: Case) -> Rows:
    """Rows of hat and ring plates."""
    level, rotor = shapes.levels(case), case.rotor
    inner = max(rotor.friction_inner_diameter_mm, rotor.hat_outer_diameter_mm) / 2.0
    pieces = [(strip, 1, 0) for strip in _strips(shapes.chamfered(shapes.hat_outline(rotor)))]
    for outline in shapes.ring_outlines(rotor):
        for strip in _strips(shapes.chamfered(outline), (inner, level.outboard_face_mm)):
            flat = bool(np.all(np.abs(strip[:, 1] - level.outboard_face_mm) < 1e-6))
            pieces.append((strip, 0, int(flat and float(strip[:, 0].min()) >= inner - 1e-6)))
    return _joined(pieces)


def hub_rows(case: Case) -> Rows:
    """Rows of the hub."""
    return _joined([(strip, 0, 0) for strip in _strips(shapes.chamfered(shapes.hub_outline(case.hub), 0.8))])


def _strips(outline: list[shapes.Point], cut: tuple[float, float] | None = None) -> list[Floats]:
    """Edges of an outline with points added; the one on a level is cut in two at a radius."""
    out: list[Floats] = []
    for start, end in pairwise([*outline, outline[0]]):
        ends = [start, end]
        if cut is not None and start[1] == end[1] == cut[1] and min(start[0], end[0]) < cut[0] < max(start[0], end[0]):
            ends.insert(1, cut)
        for first, last in pairwise(ends):
            count = max(1, math.ceil(math.dist(first, last) / STEP_MM)) + 1
            out.append(np.linspace(first, last, count))
    return out


def _joined(pieces: list[tuple[Floats, int, int]]) -> Rows:
    return Rows(
        np.vstack([strip for strip, _, _ in pieces]),
        tuple(len(strip) for strip, _, _ in pieces),
        tuple(hat for strip, hat, _ in pieces for _ in strip),
        tuple(face for strip, _, face in pieces for _ in strip),
    )
