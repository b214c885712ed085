"""A dial gauge for the stage: stands still beside the rotor, its tip rides on the friction face, its needle turns."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
import pyvista as pv

from scenes import palette
from scenes.geometry import shapes
from scenes.stage import studio

DIVISIONS = 100
DIVISION_UM = 10.0
"""A workshop dial: 0.01 mm a division, 100 of them a turn, whatever it reads."""
FULL_TURN_UM = DIVISIONS * DIVISION_UM
BODY_RADIUS_MM = 30.0
BODY_DEPTH_MM = 15.0
STEM_MM = 34.0
"""Tip to the rear of the dial's body, at zero."""
LEAN_DEG = 22.0
"""The dial's face leans toward the viewer."""


@dataclass(eq=False)
class Dial:
    """The moving pieces of a dial on the stage."""

    tip: Any
    needle: Any
    hinge: np.ndarray

    def read(self, reading_um: float, factor: float) -> None:
        """Show a reading: needle true to its scale, tip moved ``factor`` times the reading."""
        self.tip.position = (0.0, 0.0, reading_um * 1e-3 * factor)
        turn = -math.radians(needle_deg(reading_um))
        c, s = math.cos(turn), math.sin(turn)
        spin = np.array([[c, -s, 0, 0], [s, c, 0, 0], [0, 0, 1, 0], [0, 0, 0, 1]], dtype=float)
        self.needle.user_matrix = self.hinge @ spin


def needle_deg(reading_um: float) -> float:
    """Angle of the needle from zero, clockwise, in degrees.

    Examples
    --------
    >>> needle_deg(100.0)
    36.0
    """
    return 360.0 * reading_um / FULL_TURN_UM


def hinge(angle_deg: float, level: shapes.Levels) -> np.ndarray:
    """4 x 4 matrix from the dial's own frame (face toward +z, zero toward +x) to the world."""
    angle, lean = math.radians(angle_deg), math.radians(LEAN_DEG)
    c, s = math.cos(lean), math.sin(lean)
    place = np.eye(4)
    # Lean about x, so that the face turns toward +y, where the viewer stands.
    place[:3, :3] = np.array([[1, 0, 0], [0, c, s], [0, -s, c]])
    height = level.outboard_face_mm + STEM_MM + BODY_DEPTH_MM
    place[:3, 3] = (level.gauge_radius_mm * math.cos(angle), level.gauge_radius_mm * math.sin(angle), height)
    return place


def place(stage: pv.Plotter, angle_deg: float, level: shapes.Levels) -> Dial:
    """Stand a dial on the outboard friction face.

    Parameters
    ----------
    stage : pyvista.Plotter
        Where.
    angle_deg : float
        World angle of its tip. [deg]
    level : shapes.Levels
        Heights of the rotor.

    Returns
    -------
    Dial
        Reads zero.
    """
    frame = hinge(angle_deg, level)
    body = shapes.cylinder((0.0, 0.0, -BODY_DEPTH_MM), BODY_RADIUS_MM, BODY_DEPTH_MM, 72)
    bezel = shapes.revolve(
        shapes.chamfered(shapes.rectangle(BODY_RADIUS_MM - 3.0, BODY_RADIUS_MM + 1.0, -4.0, 2.0), 1.0)
    )
    face = _disc(BODY_RADIUS_MM - 2.8, 0.15)
    _still(stage, body, frame, palette.mix("dial", "ink", 0.25))
    _still(stage, bezel, frame, palette.mix("dial", "paper", 0.35))
    stage.add_mesh(face.transform(frame, inplace=False), color=palette.PAPER, lighting=False)
    stage.add_mesh(_ticks().transform(frame, inplace=False), color=palette.INK, lighting=False)
    needle = stage.add_mesh(_needle(), color=palette.DIAL, lighting=False)
    _arm(stage, frame)
    foot = frame[:3, 3].copy()
    foot[2] = level.outboard_face_mm
    rod = shapes.cylinder((foot[0], foot[1], foot[2] + 4.0), 2.2, STEM_MM, 24)
    ball = pv.Sphere(radius=3.2, center=foot + [0, 0, 3.2])
    tip = studio.add(stage, pv.merge([rod, ball]), finish="zinc", colour=palette.mix("dial", "paper", 0.55))
    sleeve = shapes.cylinder((foot[0], foot[1], foot[2] + STEM_MM - 11.0), 4.5, 18.0, 32)
    studio.add(stage, sleeve, finish="plate", colour=palette.mix("dial", "ink", 0.25), flat=False)
    return Dial(tip, needle, frame)


def _still(stage: pv.Plotter, mesh: pv.PolyData, frame: np.ndarray, colour: str) -> None:
    studio.add(stage, studio.smooth(mesh.transform(frame, inplace=False)), finish="plate", colour=colour)


def _disc(radius: float, height: float) -> pv.PolyData:
    return pv.Disc(center=(0, 0, height), inner=0.0, outer=radius, normal=(0, 0, 1), r_res=1, c_res=72)


def _bar(inner: float, outer: float, half: float, angle: float, height: float) -> pv.PolyData:
    corners = np.array([[inner, -half], [outer, -half], [outer, half], [inner, half]])
    c, s = math.cos(angle), math.sin(angle)
    turned = corners @ np.array([[c, s], [-s, c]])
    return pv.PolyData(np.column_stack([turned, np.full(4, height)]), [4, 0, 1, 2, 3])


def _ticks() -> pv.PolyData:
    """Draw the marks of the face, one a division, every tenth long, the one at zero heavy."""
    reach = BODY_RADIUS_MM - 4.0
    marks = []
    for index in range(DIVISIONS):
        long = index % 10 == 0
        half = 1.1 if index == 0 else (0.6 if long else 0.2)
        marks.append(_bar(reach - (6.0 if long else 3.0), reach, half, -2 * math.pi * index / DIVISIONS, 0.4))
    return pv.merge(marks)


def _needle() -> pv.PolyData:
    reach = BODY_RADIUS_MM - 6.0
    points = np.array([[-8.0, -1.6, 1.0], [reach, -0.5, 1.0], [reach, 0.5, 1.0], [-8.0, 1.6, 1.0]])
    boss = _disc(3.4, 1.1)
    return pv.merge([pv.PolyData(points, [4, 0, 1, 2, 3]), boss])


def _arm(stage: pv.Plotter, frame: np.ndarray) -> None:
    """Rod that holds the dial, leading out of the picture's way."""
    start = frame[:3, 3] + frame[:3, :3] @ np.array([0.0, BODY_RADIUS_MM, -BODY_DEPTH_MM / 2])
    end = start + np.array([-6.0, 40.0, -32.0])
    rod = pv.Tube(pointa=tuple(start), pointb=tuple(end), radius=4.0, n_sides=24)
    studio.add(stage, studio.smooth(rod), finish="plate", colour=palette.mix("pad", "part", 0.3))
