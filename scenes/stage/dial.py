"""A workshop dial on its stand: stands still beside the rotor, stylus square on the friction face, its needle turns."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

import numpy as np
import pyvista as pv

from scenes import palette
from scenes.geometry import shapes
from scenes.stage import dial_face, studio
from sim.arrays import Floats

BODY_RADIUS_MM = 29.0
BODY_DEPTH_MM = 17.0
STYLUS_MM, SLEEVE_MM = 24.0, 18.0
"""Free length of the stylus, and of the sleeve between it and the body."""
FACE_TO = (0.30, 0.95)
"""The dial's face looks this way across the axle (x up, y left), toward where the cameras stand."""
REACH_MM, BEHIND_MM = 62.0, 46.0
"""How far outside of the stylus the stand passes the rim, and how far behind the rotor it goes to the knuckle."""


@dataclass(eq=False)
class Dial:
    """The moving pieces of a dial on the stage."""

    tip: Any
    needle: Any
    hinge: Floats
    actors: list[Any]

    def read(self, reading_um: float, factor: float) -> None:
        """Show a reading: needle true to its scale, tip moved ``factor`` times the reading."""
        self.tip.position = (0.0, 0.0, reading_um * 1e-3 * factor)
        turn = -math.radians(dial_face.needle_deg(reading_um))
        c, s = math.cos(turn), math.sin(turn)
        spin = np.array([[c, -s, 0, 0], [s, c, 0, 0], [0, 0, 1, 0], [0, 0, 0, 1]], dtype=float)
        self.needle.user_matrix = self.hinge @ spin

    def show(self, stands: bool) -> None:
        """Stand it there with its stand, or take it away: where nothing is read, nothing stands in the way."""
        for actor in self.actors:
            actor.visibility = stands


def frame(angle_deg: float, level: shapes.Levels) -> Floats:
    """4 x 4 matrix from the dial's own frame (face toward +z, zero toward +y) to the world."""
    angle = math.radians(angle_deg)
    out = np.array([*FACE_TO, 0.0]) / math.hypot(*FACE_TO)
    up = np.array([out[1], -out[0], 0.0])
    place = np.eye(4)
    place[:3, :3] = np.column_stack([np.cross(up, out), up, out])
    height = level.outboard_face_mm + STYLUS_MM + SLEEVE_MM + BODY_RADIUS_MM
    place[:3, 3] = (level.gauge_radius_mm * math.cos(angle), level.gauge_radius_mm * math.sin(angle), height)
    place[:3, 3] += 0.5 * BODY_DEPTH_MM * out
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
    before = set(stage.actors)
    hinge = frame(angle_deg, level)
    dark = palette.mix("dial", "ink", 0.35)
    body = shapes.cylinder((0.0, 0.0, -BODY_DEPTH_MM), BODY_RADIUS_MM, BODY_DEPTH_MM, 72)
    bezel = shapes.revolve(
        shapes.chamfered(shapes.rectangle(BODY_RADIUS_MM - 3.0, BODY_RADIUS_MM + 1.5, -4.0, 2.5), 1.0)
    )
    for mesh in (body, bezel):
        studio.add(stage, studio.smooth(mesh.transform(hinge, inplace=False)), finish="plate", colour=dark)
    plate = _plate().transform(hinge, inplace=False)
    studio.add(stage, plate, finish="plate", texture=_printed(), lit=False)
    needle = studio.add(stage, _needle(), finish="plate", colour=palette.DIAL, lit=False)
    foot = hinge[:3, 3] - 0.5 * BODY_DEPTH_MM * hinge[:3, 2]
    foot[2] = level.outboard_face_mm
    rod = shapes.cylinder((foot[0], foot[1], foot[2] + 1.0), 1.8, STYLUS_MM + 6.0, 24)
    point = pv.Cone(center=foot + [0, 0, 3.6], direction=(0, 0, -1), height=6.0, radius=3.0, resolution=32)
    ball = pv.Sphere(radius=0.8, center=foot + [0, 0, 0.8])
    metal = palette.mix("pad", "part", 0.45)
    tip = studio.add(stage, studio.smooth(pv.merge([rod, point, ball])), finish="zinc", colour=metal)
    sleeve = shapes.cylinder((foot[0], foot[1], foot[2] + STYLUS_MM), 4.0, SLEEVE_MM + 4.0, 32)
    studio.add(stage, studio.smooth(sleeve), finish="plate", colour=dark)
    _stand(stage, foot, level)
    return Dial(tip, needle, hinge, [actor for name, actor in stage.actors.items() if name not in before])


def _plate() -> pv.PolyData:
    radius = BODY_RADIUS_MM - 2.5
    plate = pv.Disc(center=(0, 0, 0.6), inner=0.0, outer=radius, normal=(0, 0, 1), r_res=1, c_res=96)
    plate.active_texture_coordinates = 0.5 + 0.5 * np.asarray(plate.points)[:, :2] / radius
    return plate


def _printed() -> pv.Texture:
    """Print the face with its numerals for the disc; the needle is a body of its own."""
    image = np.asarray(dial_face.face(512).convert("RGB"))
    texture = pv.Texture(np.ascontiguousarray(image))
    texture.SetMipmap(True)
    texture.SetInterpolate(True)
    return texture


def _needle() -> pv.PolyData:
    reach = BODY_RADIUS_MM - 6.0
    points = np.array([[-1.8, -8.0, 1.4], [1.8, -8.0, 1.4], [0.7, reach, 1.4], [-0.7, reach, 1.4]])
    boss = pv.Disc(center=(0, 0, 1.5), inner=0.0, outer=3.2, normal=(0, 0, 1), r_res=1, c_res=48)
    return pv.merge([pv.PolyData(points, [4, 0, 1, 2, 3]), boss])


def _stand(stage: pv.Plotter, foot: Floats, level: shapes.Levels) -> None:
    """Arms that hold the dial: outward past the rim, round it, then to the knuckle, out of sight behind the rotor."""
    outward = np.array([0.0, math.copysign(1.0, foot[1]), 0.0])
    held = foot + [0.0, 0.0, STYLUS_MM + SLEEVE_MM + BODY_RADIUS_MM]
    knee = held + REACH_MM * outward
    back = np.array([knee[0], knee[1], level.inboard_face_mm - BEHIND_MM])
    knuckle = np.array([0.0, 0.0, back[2]])
    colour = palette.mix("pad", "part", 0.2)
    for start, end, radius in ((held, knee, 4.0), (knee, back, 5.0), (back, knuckle, 6.0)):
        rod = pv.Tube(pointa=tuple(start), pointb=tuple(end), radius=radius, n_sides=28)
        studio.add(stage, studio.smooth(rod), finish="plate", colour=colour)
    for joint in (knee, back):
        clamp = pv.Sphere(radius=9.0, center=tuple(joint), theta_resolution=32, phi_resolution=24)
        studio.add(stage, studio.smooth(clamp), finish="plate", colour=colour)
