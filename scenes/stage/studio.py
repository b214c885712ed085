"""The photographer's half of the stage: light, materials, camera, contact shadows."""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

import numpy as np
import pyvista as pv
from numpy.typing import NDArray
from PIL import Image

from scenes import gl, palette
from sim.arrays import Floats
from sim.parts.case import Rotor

FINISH: Mapping[str, dict[str, Any]] = MappingProxyType(
    {
        "iron": {"metallic": 0.55, "roughness": 0.34},
        "steel": {"metallic": 0.30, "roughness": 0.45},
        "zinc": {"metallic": 0.35, "roughness": 0.35},
        "rust": {"metallic": 0.0, "roughness": 0.85},
        "lining": {"metallic": 0.0, "roughness": 0.9},
        "plate": {"metallic": 0.1, "roughness": 0.8},
        "enamel": {"metallic": 0.0, "roughness": 0.5},
    }
)

VIEWS = MappingProxyType(
    {
        # azimuth from the axis toward the left, elevation, distance and focal point for a rotor of 300 mm
        "corner": (50.0, 14.0, 660.0, (0.0, 2.0, -14.0)),
        "film": (50.0, 14.0, 655.0, (2.0, 62.0, -14.0)),
        "close": (44.0, 30.0, 285.0, (38.0, 32.0, -6.0)),
        "wide": (50.0, 14.0, 660.0, (0.0, 6.0, -14.0)),
        "hub": (0.0, 0.0, 470.0, (0.0, -8.0, 0.0)),
        "edge": (-90.0, 0.0, 900.0, (0.0, 0.0, -20.0)),
    }
)
VIEW_ANGLE_DEG = 28.0


def plotter(size: tuple[int, int], off_screen: bool = True) -> pv.Plotter:
    """Empty stage with light and contact shadows.

    Edges are smoothed by drawing larger and shrinking (``shrunk``), which costs less than the renderer's own way.
    """
    gl.settle()
    stage = pv.Plotter(off_screen=off_screen, window_size=list(size), lighting="none")
    # The library forwards these to its renderer; to a type checker the forwarded methods look unbound.
    stage.set_background(palette.PAPER)  # type: ignore[arg-type]
    stage.set_environment_texture(_softboxes(), is_srgb=False)
    for position, strength, tint in (
        ((500.0, 400.0, 700.0), 2.6, "#FFF6E8"),
        ((60.0, -520.0, 400.0), 0.28, "#F2F6FF"),
        ((-300.0, 700.0, 200.0), 0.5, "#E6EEFF"),
    ):
        light = pv.Light(position=position, focal_point=(0, 0, 0), color=tint, intensity=strength)
        light.positional, light.cone_angle = True, 90.0
        stage.add_light(light)
    stage.enable_ssao(radius=16.0, bias=0.6, kernel_size=32, blur=True)  # type: ignore[call-arg]
    if not off_screen:
        stage.enable_anti_aliasing("fxaa")
    return stage


def _softboxes() -> pv.Texture:
    """Surroundings that the metal mirrors: a bright ceiling, two soft boxes, a dim floor."""
    height, width = 64, 128
    polar = np.linspace(0.0, np.pi, height)[:, None]
    round_about = np.linspace(-np.pi, np.pi, width)[None, :]
    light = 0.55 + 0.35 * np.cos(polar) + 0.0 * round_about
    for centre, spread, strength in (((0.9, -1.2), 0.42, 1.1), ((1.2, 1.5), 0.35, 0.7)):
        away = ((polar - centre[0]) / spread) ** 2 + ((round_about - centre[1]) / spread) ** 2
        light = light + strength * np.exp(-(away**2))
    image = np.clip(light, 0.0, 1.0)[..., None] * np.array([1.0, 0.98, 0.95]) * 255.0
    texture = pv.Texture(np.ascontiguousarray(image.astype(np.uint8)))
    texture.SetMipmap(True)
    texture.SetInterpolate(True)
    return texture


def aim(stage: pv.Plotter, view: str, scale: float = 1.0) -> None:
    """Point the camera: a name of ``VIEWS``, sized for a rotor ``scale`` times 300 mm."""
    side, rise, distance, focus = VIEWS[view]
    side, rise = math.radians(side), math.radians(rise)
    # World up is x (stud 1), left is y, outboard is z.
    direction = np.array([math.sin(rise), math.sin(side) * math.cos(rise), math.cos(side) * math.cos(rise)])
    target = np.asarray(focus) * scale
    stage.camera.focal_point = tuple(target)
    stage.camera.position = tuple(target + distance * scale * direction)
    stage.camera.up = (1.0, 0.0, 0.0)
    stage.camera.view_angle = VIEW_ANGLE_DEG
    stage.camera.clipping_range = (60.0 * scale, 1500.0 * scale)


def light_from_viewer(stage: pv.Plotter, strength: float) -> None:
    """Add a lamp beside the camera, for views that the lamps of the studio leave dark."""
    stage.add_light(pv.Light(light_type="headlight", intensity=strength))


def flatten(stage: pv.Plotter, height_mm: float) -> None:
    """See without perspective; ``height_mm`` fills the picture from bottom to top."""
    stage.camera.parallel_projection = True
    stage.camera.parallel_scale = height_mm / 2.0


def smooth(mesh: pv.PolyData) -> pv.PolyData:
    """Mesh with normals, edges sharper than 30 degrees kept sharp."""
    return mesh.compute_normals(
        cell_normals=False,
        split_vertices=True,
        feature_angle=30.0,
        consistent_normals=False,
        non_manifold_traversal=False,
    )


def add(
    stage: pv.Plotter, mesh: pv.PolyData, finish: str, colour: str | None = None, rgb: str | None = None,
    flat: bool = False, lit: bool = True,
) -> Any:  # fmt: skip
    """Put a mesh on the stage, in one colour or in the colours of its point array ``rgb``."""
    return stage.add_mesh(
        mesh,
        color=colour if rgb is None else None,
        scalars=rgb,
        rgb=rgb is not None,
        pbr=lit,
        lighting=lit,
        smooth_shading=not flat,
        show_scalar_bar=False,
        copy_mesh=False,
        **(FINISH[finish] if lit else {}),
    )


def shrunk(image: NDArray[np.uint8], size: tuple[int, int]) -> NDArray[np.uint8]:
    """Image brought to ``size`` (width, height): smooths the edges of one that was drawn larger."""
    if image.shape[1::-1] == tuple(size):
        return image
    return np.asarray(Image.fromarray(image).resize(size, Image.Resampling.LANCZOS, reducing_gap=None))


def line(stage: pv.Plotter, points_mm: Floats, colour: str, width: float) -> Any:
    """Thin unlit line through points."""
    return stage.add_mesh(
        pv.lines_from_points(points_mm), color=colour, line_width=width, lighting=False, show_scalar_bar=False
    )


def cast_and_machined(mesh: pv.PolyData, rotor: Rotor) -> NDArray[np.uint8]:
    """Colours of a rotor mesh: darker as cast, lighter on the friction faces, a dull lip at their inner edge."""
    radius = np.hypot(mesh.points[:, 0], mesh.points[:, 1])
    machined = radius >= rotor.friction_inner_diameter_mm / 2.0 - 0.1
    cast, bright = (
        np.array(palette.rgb(palette.mix("part", "ink", 0.18))),
        np.array(palette.rgb(palette.mix("part", "paper", 0.45))),
    )
    colours = np.where(machined[:, None], bright, cast)
    return np.clip(colours * 255.0, 0, 255).astype(np.uint8)


def mottled(points_mm: Floats, colour: str) -> NDArray[np.uint8]:
    """Uneven tint of one colour, the same at the same place."""
    x, y, z = np.asarray(points_mm, dtype=float).T
    grain = 0.5 * np.sin(1.7 * x + 0.6 * y) * np.cos(1.3 * y - 0.4 * x) + 0.3 * np.sin(3.1 * x - 2.3 * y + 5 * z)
    base = np.array(palette.rgb(colour))
    return np.clip(base * (1.0 + 0.18 * grain[:, None]) * 255.0, 0, 255).astype(np.uint8)


def project(stage: pv.Plotter, points_mm: Floats) -> Floats:
    """Pixels (x right, y down) of world points, shape (p, 2)."""
    width, height = stage.window_size
    matrix = stage.camera.GetCompositeProjectionTransformMatrix(width / height, -1.0, 1.0)
    table = np.array([[matrix.GetElement(i, j) for j in range(4)] for i in range(4)])
    clip = np.column_stack([points_mm, np.ones(len(points_mm))]) @ table.T
    seen = clip[:, :2] / clip[:, 3:]
    return np.column_stack([(seen[:, 0] + 1.0) * width / 2.0, (1.0 - seen[:, 1]) * height / 2.0])
