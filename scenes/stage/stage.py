"""The stage: one corner of a car as a lit 3D scene that can be posed (exaggeration, turn) and photographed.

Only ``scenes.gl.need_gl`` may be called before this module draws: it tells whether a window opens at all.
World frame = hub frame at rest: z outboard, stud 1 upward (x), angles counter-clockwise seen from outside. Rotor, hub,
studs and debris turn together; pads and dial stand still.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
import pyvista as pv
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from scenes import palette
from scenes.geometry import exaggeration, shapes
from scenes.stage import dial, studio
from scenes.words import corner
from sim.arrays import Floats
from sim.corner.road_state import nuts_off
from sim.parts.fastener import has_bolts
from sim.units import shortest_deg

GHOST_LABEL_DEG = 205.0
"""World angle of the label of the true plane: lower right, where the rim shows its swing."""
EDGE_LIFT_MM = 0.2
"""An edge lies this far before what it surrounds, so that nothing of it is hidden."""
HOLE_ROOM_MM = 1.0
"""A hole in the hat is so much wider than the stud, on radius, as drawn; common practice, no source."""
NUTS_FIRST = 6.0
"""Nuts are gone so much sooner than the rotor that they held."""
Motion = Callable[[Floats], Floats]


@dataclass(frozen=True)
class Setting:
    """What stands on the stage and from where it is seen.

    Parameters
    ----------
    view : str
        A name of ``studio.VIEWS``.
    window : bool
        Cut a wedge out of the hat where the highest patch lies, metal left under the nuts.
    pads, gauge, ghost : bool
        Show the pads, the dial, the line of the true plane.
    caliper_deg, dial_deg : float
        Where they stand, angles of the world. [deg]
    window_at_deg : float, optional
        Hub angle beside which it is cut; the middle of the highest patch if not given. [deg]
    mark : bool
        Mark the high spot on the rim.
    plug : bool
        Keep the wedge as a piece of its own, which can be faded (``Stage.fade``).
    rotor : bool
        False: taken away, nuts too; studs stand.
    """

    view: str = "corner"
    window: bool = True
    pads: bool = False
    gauge: bool = True
    ghost: bool = False
    caliper_deg: float = 110.0
    dial_deg: float = exaggeration.DIAL_DEG
    window_at_deg: float | None = None
    mark: bool = True
    plug: bool = False
    rotor: bool = True


@dataclass(eq=False)
class Body:
    """A mesh that can move: where its points are at rest, and their true displacement."""

    mesh: pv.PolyData
    rest_mm: Floats
    motion_mm: Floats
    actor: Any
    turns: bool = True
    lifts: bool = False
    nut: bool = False

    def pose(self, factor: float) -> None:
        """Displace the points, ``factor`` times the true motion."""
        self.mesh.points = self.rest_mm + factor * self.motion_mm


@dataclass(eq=False)
class Stage:
    """One corner, ready to be posed. Made by ``build``; close it after use."""

    run: Any
    setting: Setting
    plotter: pv.Plotter
    size: tuple[int, int]
    bodies: list[Body] = field(default_factory=list)
    pads: list[tuple[bool, list[Any]]] = field(default_factory=list)
    gauge: dial.Dial | None = None
    plug: list[Any] = field(default_factory=list)
    dirt: list[Any] = field(default_factory=list)
    edges: list[Any] = field(default_factory=list)
    brush: list[Any] = field(default_factory=list)
    factor: float = 1.0
    turn_deg: float = 0.0

    def pose(self, factor: float, turn_deg: float) -> None:
        """Set exaggeration and turn.

        Parameters
        ----------
        factor : float
            Multiplies every true motion; 1 is true to scale.
        turn_deg : float
            Turn of the wheel, counter-clockwise seen from outside. [deg]
        """
        if factor != self.factor or not self.bodies[0].mesh.array_names:
            for body in self.bodies:
                body.pose(factor)
        self.factor, self.turn_deg = factor, turn_deg
        turned = rotation_z(turn_deg)
        for body in self.bodies:
            if body.turns:
                body.actor.user_matrix = turned
        level = shapes.levels(self.run.case)
        for outboard, actors in self.pads:
            shift = exaggeration.pad_shift_um(self.run, self.setting.caliper_deg - turn_deg, outboard) * 1e-3 * factor
            face = level.outboard_face_mm if outboard else level.inboard_face_mm
            for actor in actors:
                actor.position = (0.0, 0.0, face + shift)
        if self.gauge is not None:
            self.gauge.read(self.reading_um(), factor)

    def fade(self, plug: float, dirt: float = 1.0) -> None:
        """Make the wedge of the hat, and the dirt, visible to a share: 1 solid, 0 not there."""
        for actors, share in ((self.plug, plug), (self.dirt, dirt), (self.edges, dirt)):
            for actor in actors:
                actor.visibility = share > 0.0
                actor.prop.opacity = share

    def lift(self, share: float, height_mm: float = 90.0, further_deg: float = 0.0) -> None:
        """Take nuts, then the rotor off: 0 in place, 1 gone; it moves outboard, fades late, and may be turned on."""
        away = rotation_z(self.turn_deg + further_deg)
        away[2, 3] = share * height_mm
        for body in self.bodies:
            if body.lifts:
                body.actor.user_matrix = away
                body.actor.visibility = (NUTS_FIRST if body.nut else 1.0) * share < 1.0 and body.actor not in self.plug
                gone = NUTS_FIRST * share if body.nut else 2.0 * share - 1.0
                body.actor.prop.opacity = min(max(1.0 - gone, 0.0), 1.0)

    def slide(self, outward_mm: float, round_deg: float) -> None:
        """Move the highest patch along the hub face: outward, and round the axis. [mm], [deg]."""
        patch = corner.highest(self.run.case)
        if patch is None or not self.dirt:
            return
        angle = math.radians(exaggeration.debris_angle_deg(self.run, patch))
        moved = rotation_z(self.turn_deg + round_deg)
        outward = np.array([outward_mm * math.cos(angle), outward_mm * math.sin(angle), 0.0])
        moved[:3, 3] = moved[:3, :3] @ outward
        for actors in (self.dirt, self.edges):
            actors[self.run.case.debris.index(patch)].user_matrix = moved

    def sweep(self, share: float | None) -> None:
        """Move the wire brush over all dirt, from one side (0) to the other (1); None: no brush."""
        patch = corner.highest(self.run.case)
        if share is not None and not self.brush and patch is not None:
            self.brush = studio.brush(self.plotter)
        for actor in self.brush:
            actor.visibility = share is not None
        if share is None or patch is None:
            return
        low, high = brushed_deg(self.run)
        at = low + share * (high - low)
        radius = 0.5 * (patch.inner_radius_mm + patch.outer_radius_mm)
        turned = rotation_z(self.turn_deg + at)
        turned[:3, 3] = turned[:3, :3] @ np.array([radius, 0.0, 0.0])
        for actor in self.brush:
            actor.user_matrix = turned

    def reading_um(self) -> float:
        """Read the dial at this turn, mean of a turn set to zero, in um."""
        return float(exaggeration.reading_um(self.run, self.setting.dial_deg - self.turn_deg))

    def shoot(self) -> NDArray[np.uint8]:
        """Photograph; shape (height, width, 3), sRGB."""
        return studio.photograph(self.plotter, self.size)

    def project(self, points_mm: Floats) -> Floats:
        """Pixels (x right, y down) of world points, shape (p, 2)."""
        drawn = studio.project(self.plotter, np.atleast_2d(points_mm))
        return drawn * np.array(self.size) / np.array(self.plotter.window_size)

    def stud_pixels(self) -> Floats:
        """Pixels of the outer ends of the studs, stud 1 first, shape (count, 2)."""
        studs = self.run.case.studs
        angle = np.deg2rad(shapes.stud_angles_deg(studs))
        top = shapes.levels(self.run.case).flange_top_mm
        foot = np.column_stack(
            [np.cos(angle) * studs.pitch_circle_mm / 2, np.sin(angle) * studs.pitch_circle_mm / 2, 0 * angle + top]
        )
        tip = foot + self.factor * exaggeration.rotor_motion(self.run, foot)
        tip[:, 2] += 1.5 * shapes.thread_mm(studs.thread)
        return self.project(tip @ rotation_z(self.turn_deg)[:3, :3].T)

    def ghost_pixel(self) -> Floats:
        """Pixel of a place on the line of the true plane, to hang its label on, shape (2,)."""
        level = shapes.levels(self.run.case)
        radius, angle = self.run.case.rotor.outer_diameter_mm / 2.0 + 1.5, math.radians(GHOST_LABEL_DEG)
        point = (radius * math.cos(angle), radius * math.sin(angle), level.outboard_face_mm)
        return self.project(np.array(point))[0]

    def debris_pixel(self) -> Floats | None:
        """Pixel of the highest patch, where the window shows it, shape (2,); None without one."""
        patch = corner.highest(self.run.case)
        if patch is None:
            return None
        at = exaggeration.debris_angle_deg(self.run, patch) + 0.25 * patch.arc_deg
        radius, angle = patch.outer_radius_mm - 2.0, math.radians(at)
        index = self.run.case.debris.index(patch)
        rest = np.array([[radius * math.cos(angle), radius * math.sin(angle), 0.0]])
        rest = rest + self.factor * exaggeration.hub_motion(self.run, rest)
        rest[:, 2] += 0.5 * self.factor * exaggeration.debris_height_um(self.run, index) * 1e-3
        return self._turned(rest)

    def dial_pixel(self) -> Floats:
        """Pixel of the middle of the dial's face, to hang its label on, shape (2,)."""
        return self.project(dial.frame(self.setting.dial_deg, shapes.levels(self.run.case))[:3, 3])[0]

    def stylus_pixel(self) -> Floats:
        """Pixel of the place where the stylus touches the friction face, shape (2,)."""
        level, angle = shapes.levels(self.run.case), math.radians(self.setting.dial_deg)
        radius = level.gauge_radius_mm
        return self.project(np.array([radius * math.cos(angle), radius * math.sin(angle), level.outboard_face_mm]))[0]

    def _turned(self, points: Floats) -> Floats:
        return self.project(points @ rotation_z(self.turn_deg)[:3, :3].T)[0]

    def look_from(self, view: str, toward: str | None = None, share: float = 0.0) -> None:
        """Move the camera to a view of ``studio.VIEWS``, or a share of the way from it toward another."""
        studio.aim(self.plotter, view, self.run.case.rotor.outer_diameter_mm / 300.0, toward, share)

    def on_rotor_pixel(self, angle_deg: float, radius_mm: float, height_mm: float) -> Floats:
        """Pixel of a place that turns with the wheel, by hub angle, radius and height at rest, shape (2,)."""
        angle = math.radians(angle_deg)
        return self._turned(np.array([[radius_mm * math.cos(angle), radius_mm * math.sin(angle), height_mm]]))

    def close(self) -> None:
        """Let the window go."""
        self.plotter.close()


def brushed_deg(run: Any) -> tuple[float, float]:
    """Hub angles from where to where a brush goes over every patch that stands up, the highest on its way. [deg]."""
    highest = corner.highest(run.case)
    assert highest is not None
    middle = exaggeration.debris_angle_deg(run, highest)
    ends = [
        shortest_deg(exaggeration.debris_angle_deg(run, patch) - middle) + side * 0.45 * patch.arc_deg
        for patch in run.case.debris if patch.height_um > 0.0 for side in (-1.0, 1.0)
    ]  # fmt: skip
    return middle + min(ends), middle + max(ends)


def rotation_z(angle_deg: float) -> Floats:
    """4 x 4 matrix of a turn about z."""
    c, s = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
    return np.array([[c, -s, 0, 0], [s, c, 0, 0], [0, 0, 1, 0], [0, 0, 0, 1]], dtype=float)


def window_deg(run: Any, setting: Setting) -> tuple[float, float]:
    """Hub angles of the wedge cut out of the hat."""
    patch, at = corner.highest(run.case), setting.window_at_deg
    if at is None:
        at = exaggeration.FACING_DEG if patch is None else exaggeration.debris_angle_deg(run, patch)
    return shapes.wedge_deg(run.case.studs, at)


def build(run: Any, setting: Setting, size: tuple[int, int], finer: float = 1.5, off_screen: bool = True) -> Stage:
    """Set up a stage.

    Parameters
    ----------
    run : Run
        A computed corner.
    setting : Setting
        What is shown.
    size : tuple of int
        Width and height. [pixels]
    finer : float
        How much larger it is drawn before shrinking, which smooths the edges.
    off_screen : bool
        False for a window to look round in.

    Returns
    -------
    Stage
        Posed true to scale, at rest.
    """
    drawn = (round(size[0] * finer), round(size[1] * finer))
    stage = Stage(run, setting, studio.plotter(drawn, off_screen), size)
    if setting.rotor:
        _rotor(stage)
        _holes(stage)
    _studs(stage)
    _hub(stage)
    _debris(stage)
    if setting.rotor:
        _shield(stage)
    if setting.pads:
        _pads(stage)
    level = shapes.levels(run.case)
    if setting.gauge:
        stage.gauge = dial.place(stage.plotter, setting.dial_deg, level)
    if setting.ghost:
        _ghost(stage, level)
    stage.look_from(setting.view)
    stage.pose(1.0, 0.0)
    return stage


def _add(
    stage: Stage, mesh: pv.PolyData, motion: Motion, lifts: bool = False, nut: bool = False, **look: Any
) -> Body:  # fmt: skip
    rest = np.asarray(mesh.points, dtype=float).copy()
    moved = motion(rest)
    mesh = studio.smooth(mesh) if mesh.n_lines == 0 else mesh
    if mesh.n_points != len(rest):
        rest = np.asarray(mesh.points, dtype=float).copy()
        moved = motion(rest)
    body = Body(mesh, rest, moved, studio.add(stage.plotter, mesh, **look), lifts=lifts, nut=nut)
    stage.bodies.append(body)
    return body


def _rotor(stage: Stage) -> None:
    run, setting = stage.run, stage.setting
    window = window_deg(run, setting) if setting.window else None
    skin = studio.rotor_skin(run.case.rotor)

    def motion(points: Floats) -> Floats:
        return exaggeration.rotor_motion(run, points)

    for mesh in shapes.rotor_meshes(run.case.rotor, window):
        studio.lay_skin(mesh, run.case.rotor)
        studio.from_outside(_add(stage, mesh, motion, lifts=True, finish="iron", texture=skin).actor)
    if window is not None:
        for face, lines in shapes.cut_faces(run.case.rotor, window):
            pale = palette.mix("part", "paper", 0.55)
            _add(stage, face, motion, lifts=True, finish="iron", colour=pale, lit=False)
            _add(stage, lines, motion, lifts=True, finish="iron", colour=palette.INK, lit=False)
        if setting.plug:
            piece = shapes.hat_piece(run.case.rotor, window)
            studio.lay_skin(piece, run.case.rotor)
            stage.plug.append(studio.from_outside(_add(stage, piece, motion, finish="iron", texture=skin).actor))
    if not setting.mark:
        return
    mark = shapes.rim_mark(run.case.rotor, exaggeration.high_spot_deg(run))
    _add(
        stage,
        mark,
        lambda points: exaggeration.rotor_motion(run, points),
        finish="enamel",
        colour=palette.HIGH,
        lit=False,
    )


def _holes(stage: Stage) -> None:
    """Dark mouths of the holes in the hat: once the nuts are off they show how far the rotor is turned on."""
    run = stage.run
    top, studs = shapes.levels(run.case).flange_top_mm, run.case.studs
    for angle in np.deg2rad(shapes.stud_angles_deg(studs)):
        x, y = (0.5 * studs.pitch_circle_mm * part for part in (math.cos(angle), math.sin(angle)))
        radius = 0.5 * shapes.thread_mm(studs.thread) + HOLE_ROOM_MM
        mouth = pv.Disc(center=(x, y, top + EDGE_LIFT_MM), inner=0.0, outer=radius, c_res=36)
        _add(stage, mouth, lambda points: exaggeration.rotor_motion(run, points), lifts=True, finish="lining",
             colour=palette.INK, lit=False)  # fmt: skip


def _studs(stage: Stage) -> None:
    """Nuts and studs, moved with the flange under them; bare studs where the rotor is away, and no bolts at all."""
    run = stage.run
    if has_bolts(run.case.studs) and not stage.setting.rotor:
        return
    studs, top = run.case.studs, shapes.levels(run.case).flange_top_mm

    def with_flange(points: Floats) -> Floats:
        return exaggeration.rotor_motion(run, np.column_stack([points[:, :2], np.full(len(points), top)]))

    bolted, off = has_bolts(studs), nuts_off(studs)
    for index in range(studs.count):
        if stage.setting.rotor and index + 1 not in off:
            nut = shapes.nut_mesh(studs, index, top, "both" if bolted else "nut")
            _add(stage, nut, with_flange, lifts=True, nut=True, finish="zinc", colour=palette.STUD)
        if not bolted:
            end = shapes.nut_mesh(studs, index, top, "stud")
            motion = with_flange if stage.setting.rotor else _still
            _add(stage, end, motion, finish="zinc", colour=palette.STUD)


def _still(points: Floats) -> Floats:
    return np.zeros_like(points)


def _hub(stage: Stage) -> None:
    run = stage.run
    hub = _add(
        stage, shapes.hub_mesh(run.case.hub), lambda points: exaggeration.hub_motion(run, points), finish="steel",
        colour=studio.STEEL,
    )  # fmt: skip
    studio.from_outside(hub.actor)


def _shield(stage: Stage) -> None:
    """Splash shield behind the hub, so that no daylight is taken for a gap; it stands still."""
    rotor, hub = stage.run.case.rotor, stage.run.case.hub
    back = shapes.levels(stage.run.case).inboard_face_mm - 4.0
    inner, outer = 0.5 * hub.barrel_outer_diameter_mm, 0.5 * rotor.friction_inner_diameter_mm
    plate = shapes.revolve(shapes.rectangle(inner - 4.0, outer, back - 1.5, back))
    studio.add(stage.plotter, studio.smooth(plate), finish="lining", colour=palette.mix("pad", "paper", 0.12))
    end = shapes.hub_outline(hub)[0][1] + 2.0
    plug = pv.Disc(center=(0, 0, end), inner=0.0, outer=0.5 * hub.barrel_inner_diameter_mm, c_res=64)
    studio.add(stage.plotter, plug, finish="lining", colour=palette.PAD, lit=False)


def _debris(stage: Stage) -> None:
    run = stage.run
    for index, patch in enumerate(run.case.debris):
        if patch.height_um <= 0:
            continue
        mesh = shapes.debris_mesh(replace(patch, angle_deg=exaggeration.debris_angle_deg(run, patch)))
        height = exaggeration.debris_height_um(run, index) * 1e-3
        top = np.asarray(mesh["top"], dtype=bool)
        mesh["rgb"] = studio.striped(mesh.points, palette.SCALE)
        mesh.points[:, 2] = 0.0  # type: ignore[index]  # the library's type of points knows no slices
        base = exaggeration.rotor_motion if patch.on == "rotor" else exaggeration.hub_motion
        away = -height if patch.on == "rotor" else height
        motion = base(run, mesh.points) + np.outer(top, [0.0, 0.0, away])
        actor = studio.add(stage.plotter, mesh, finish="rust", rgb="rgb", flat=True)
        stage.dirt.append(actor)
        rest = np.asarray(mesh.points, dtype=float).copy()
        stage.bodies.append(Body(mesh, rest, motion, actor))
        _edge(stage, mesh, rest, motion)


def _edge(stage: Stage, mesh: pv.PolyData, rest: Floats, motion: Floats) -> None:
    """Light edge round dirt: in grey and on a projector it is told from the dark hub by it."""
    edge = mesh.extract_feature_edges(boundary_edges=True, feature_edges=True, manifold_edges=False, feature_angle=40.0)
    near = cKDTree(rest).query(np.asarray(edge.points, dtype=float))[1]
    wide = studio.EDGE_PX * stage.plotter.window_size[1] / 1080.0
    actor = stage.plotter.add_mesh(edge, color=palette.PAPER, line_width=wide, lighting=False, show_scalar_bar=False)
    stage.edges.append(actor)
    stage.bodies.append(Body(edge, rest[near] + [0.0, 0.0, EDGE_LIFT_MM], motion[near], actor))


def _pads(stage: Stage) -> None:
    case = stage.run.case
    band = shapes.pad_band(case)
    for outboard in (True, False):
        lining, plate = shapes.pad_meshes(case, stage.setting.caliper_deg, outboard, band)
        actors = [
            studio.add(stage.plotter, studio.smooth(lining), finish="lining", colour=palette.PAD),
            studio.add(stage.plotter, studio.smooth(plate), finish="plate", colour=palette.mix("pad", "ink", 0.4)),
        ]
        stage.pads.append((outboard, actors))


def _ghost(stage: Stage, level: shapes.Levels) -> None:
    radius = stage.run.case.rotor.outer_diameter_mm / 2.0 + 1.5
    angle = np.linspace(0.0, 2.0 * np.pi, 181)
    circle = np.column_stack([radius * np.cos(angle), radius * np.sin(angle), np.full(181, level.outboard_face_mm)])
    studio.line(stage.plotter, circle, palette.INK, 2.5)
