"""The photographer's half of the stage: light, materials, camera, contact shadows, outlines."""

from __future__ import annotations

import math
from collections.abc import Mapping
from types import MappingProxyType
from typing import Any

import numpy as np
import pyvista as pv
from numpy.typing import NDArray
from PIL import Image, ImageChops
from scipy.ndimage import gaussian_filter
from vtkmodules.util.numpy_support import vtk_to_numpy
from vtkmodules.vtkCommonCore import vtkFloatArray, vtkUnsignedCharArray

from scenes import gl, palette
from sim.arrays import Floats
from sim.parts.case import Rotor

FINISH: Mapping[str, dict[str, Any]] = MappingProxyType(
    {
        "iron": {"ambient": 0.34, "diffuse": 0.78, "specular": 0.05, "specular_power": 8.0},
        "steel": {"ambient": 0.30, "diffuse": 0.62, "specular": 0.22, "specular_power": 22.0},
        "zinc": {"ambient": 0.22, "diffuse": 0.62, "specular": 0.35, "specular_power": 30.0},
        "rust": {"ambient": 0.35, "diffuse": 0.75, "specular": 0.0},
        "lining": {"ambient": 0.30, "diffuse": 0.75, "specular": 0.0},
        "plate": {"ambient": 0.25, "diffuse": 0.65, "specular": 0.15, "specular_power": 20.0},
        "enamel": {"ambient": 0.40, "diffuse": 0.65, "specular": 0.1, "specular_power": 20.0},
    }
)
FACE, RIM, CAST = "#6A6865", "#605E5B", "#4C4A47"
"""The rotor's turned faces, its rim, its cast skin: 3 : 1 off the paper on a projector in a room that is not dark."""
STEEL = palette.mix("hub", "ink", 0.42)
"""The hub, as dark for the same reason; dirt on it has a light edge."""
EDGE_PX = 3.5
"""Width of that edge in a finished picture of 1080 lines."""
STRIPE_MM = 7.0
"""From stripe to stripe on dirt."""

VIEWS = MappingProxyType(
    {
        # azimuth from the axis toward the left, elevation, distance and focal point for a rotor of 300 mm
        "corner": (32.0, 15.0, 700.0, (0.0, -12.0, 0.0)),
        "film": (32.0, 15.0, 700.0, (0.0, -12.0, 0.0)),
        "close": (32.0, 15.0, 250.0, (40.0, 36.0, 0.0)),
        "wide": (32.0, 15.0, 700.0, (0.0, -12.0, 0.0)),
        "story": (32.0, 15.0, 640.0, (8.0, -14.0, 0.0)),
        "dial": (40.0, 12.0, 330.0, (92.0, -122.0, 20.0)),
        "joint": (32.0, 24.0, 210.0, (40.0, 30.0, 0.0)),
        "hub": (0.0, 0.0, 470.0, (0.0, -8.0, 0.0)),
    }
)
VIEW_ANGLE_DEG = 28.0


def plotter(size: tuple[int, int], off_screen: bool = True) -> pv.Plotter:
    """Empty stage with light.

    Lamps stand so far away that a flat face is lit evenly. Edges are smoothed by drawing larger and shrinking; contact
    shadows and outlines come from the picture's own depth (``photograph``), which costs less than the renderer's way.
    """
    gl.settle()
    stage = pv.Plotter(off_screen=off_screen, window_size=list(size), lighting="none")
    # The library forwards these to its renderer; to a type checker the forwarded methods look unbound.
    stage.set_background(palette.PAPER)  # type: ignore[arg-type]
    for direction, strength in (((0.40, 0.30, 1.0), 0.82), ((0.2, -0.9, 0.35), 0.20), ((0.9, 0.5, -0.2), 0.20)):
        far = tuple(5000.0 * part for part in direction)
        light = pv.Light(position=far, focal_point=(0, 0, 0), color="#FFFFFF", intensity=strength)
        light.positional = False
        stage.add_light(light)
    if off_screen:
        window(stage).SetMultiSamples(0)
    else:
        stage.enable_anti_aliasing("fxaa")
    return stage


def photograph(stage: pv.Plotter, size: tuple[int, int]) -> NDArray[np.uint8]:
    """Render, add contact shadows and outlines, shrink to ``size``; shape (height, width, 3), sRGB."""
    drawn_in = window(stage)
    drawn_in.Render()
    colour, depth = _grabbed(drawn_in)
    near, far = stage.camera.clipping_range
    flat = bool(stage.camera.parallel_projection)
    depth_mm = near + depth * (far - near) if flat else near * far / (far - depth * (far - near))
    nothing = depth >= 1.0
    shade = _sunk(depth_mm)
    shade[nothing] = 255
    ink = _edges(depth, depth_mm, nothing, near, far, flat)
    shaded = ImageChops.multiply(colour, Image.merge("RGB", 3 * [Image.fromarray(shade)]))
    shaded.paste(Image.new("RGB", colour.size, palette.INK), mask=Image.fromarray(ink))
    return np.asarray(shrunk(shaded, size))


def window(stage: pv.Plotter) -> Any:
    """Window of a stage that has not been closed."""
    return stage.render_window


SHADOW = 0.55
SUNK_MM = 14.0
"""A place this much deeper than what surrounds it is in full contact shadow."""
INK_FROM_MM, INK_OVER_MM, INK_SHARE = 0.45, 1.6, 0.85
"""Bend of the depth from one pixel to the next at which an outline begins, over which it is full; how dark it is."""


def _grabbed(window: Any) -> tuple[Image.Image, NDArray[np.float32]]:
    """Colours and depths (0 near, 1 nothing there) of what was rendered last, upper row first."""
    wide, high = window.GetSize()
    pixels, depths = vtkUnsignedCharArray(), vtkFloatArray()
    window.GetPixelData(0, 0, wide - 1, high - 1, 0, pixels, 0)
    window.GetZbufferData(0, 0, wide - 1, high - 1, depths)
    colour = Image.frombytes("RGB", (wide, high), vtk_to_numpy(pixels).data, "raw", "RGB", 0, -1)
    return colour, vtk_to_numpy(depths).reshape(high, wide)[::-1].astype(np.float32)


def _sunk(depth_mm: NDArray[np.float32]) -> NDArray[np.uint8]:
    """What contact shadow leaves of the light, 0..255, the less the deeper a place lies below its surroundings.

    After Luft and others, 2006: unsharp mask of the depth.
    """
    high, wide = depth_mm.shape
    step = 4
    small = depth_mm[::step, ::step]
    small = np.minimum(small, np.quantile(small, 0.05) + 250.0)
    reach = wide / 150.0
    around = gaussian_filter(small, reach, mode="nearest")
    left = 255.0 * (1.0 - SHADOW * np.clip((small - around) / SUNK_MM, 0.0, 1.0))
    return np.array(Image.fromarray(left.round().astype(np.uint8)).resize((wide, high), Image.Resampling.BILINEAR))


def _edges(
    depth: NDArray[np.float32], depth_mm: NDArray[np.float32], nothing: NDArray[np.bool_], near: float, far: float,
    flat: bool,
) -> NDArray[np.uint8]:  # fmt: skip
    """Ink of silhouettes and sharp edges, 0..255: the depth buffer is linear over a plane, so only edges bend it."""
    bend = np.zeros_like(depth)
    within, twice = bend[1:-1, 1:-1], 2.0 * depth[1:-1, 1:-1]
    down = depth[2:, 1:-1] + depth[:-2, 1:-1]
    np.add(depth[1:-1, 2:], depth[1:-1, :-2], out=within)
    for sums in (within, down):
        np.subtract(sums, twice, out=sums)
        np.abs(sums, out=sums)
    np.maximum(within, down, out=within)
    if flat:
        bend *= far - near
    else:
        away = depth_mm.copy()
        away[nothing] = near * 2
        bend *= away
        bend *= away
        bend *= (far - near) / (far * near)
    bend -= INK_FROM_MM
    bend *= 255.0 * INK_SHARE / INK_OVER_MM
    return np.clip(bend, 0.0, 255.0 * INK_SHARE, out=bend).astype(np.uint8)


def aim(stage: pv.Plotter, view: str, scale: float = 1.0, toward: str | None = None, share: float = 0.0) -> None:
    """Point the camera.

    Parameters
    ----------
    stage : pyvista.Plotter
    view : str
        A name of ``VIEWS``.
    scale : float
        The views are for a rotor of 300 mm; this rotor is so many times larger.
    toward : str, optional
        Another view, and how far toward it.
    share : float
        0..1.
    """
    first, second = VIEWS[view], VIEWS[toward or view]
    side, rise, distance = ((1.0 - share) * a + share * b for a, b in zip(first[:3], second[:3], strict=True))
    if share > 0.0:  # equal ratios look even
        distance = first[2] ** (1.0 - share) * second[2] ** share
    focus = (1.0 - share) * np.asarray(first[3]) + share * np.asarray(second[3])
    side, rise = math.radians(side), math.radians(rise)
    # World up is x (stud 1), left is y, outboard is z.
    direction = np.array([math.sin(rise), math.sin(side) * math.cos(rise), math.cos(side) * math.cos(rise)])
    target = focus * scale
    stage.camera.focal_point = tuple(target)
    stage.camera.position = tuple(target + distance * scale * direction)
    stage.camera.up = (1.0, 0.0, 0.0)
    stage.camera.view_angle = VIEW_ANGLE_DEG
    stage.camera.clipping_range = (60.0 * scale, 1500.0 * scale)


def brush(stage: pv.Plotter) -> list[Any]:
    """Wire brush standing on z = 0 over the origin: bristles, back, handle."""
    bristles = pv.merge(
        [
            pv.Cylinder(
                center=(x, y, 11.0), direction=(0.0, 0.12 * (y / 7.0), 1.0), radius=0.9, height=21.0, resolution=8
            )
            for x in np.linspace(-20.0, 20.0, 11)
            for y in np.linspace(-7.0, 7.0, 4)
        ]
    )
    back = pv.Box((-25.0, 25.0, -10.0, 10.0, 21.0, 30.0))
    handle = pv.Tube(pointa=(20.0, 0.0, 26.0), pointb=(105.0, 0.0, 50.0), radius=6.0, n_sides=24)
    wood = palette.mix("stud", "paper", 0.35)
    return [
        add(stage, smooth(bristles), finish="zinc", colour=palette.mix("pad", "part", 0.25)),
        add(stage, smooth(back), finish="enamel", colour=wood),
        add(stage, smooth(handle), finish="enamel", colour=wood),
    ]


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
    flat: bool = False, lit: bool = True, texture: pv.Texture | None = None,
) -> Any:  # fmt: skip
    """Put a mesh on the stage: in one colour, in the colours of its point array ``rgb``, or with a texture."""
    return stage.add_mesh(
        mesh,
        color=None if rgb or texture is not None else colour,
        scalars=rgb,
        rgb=rgb is not None,
        texture=texture,
        lighting=lit,
        smooth_shading=not flat,
        show_scalar_bar=False,
        copy_mesh=False,
        **(FINISH[finish] if lit else {}),
    )


def from_outside(actor: Any) -> Any:
    """Leave the inside of a closed body undrawn: nobody sees it, and it is half of the work. Returns the actor."""
    actor.prop.culling = "back"
    return actor


def shrunk(image: Image.Image, size: tuple[int, int]) -> Image.Image:
    """Image brought to ``size`` (width, height): smooths the edges of one that was drawn larger."""
    return image if image.size == tuple(size) else image.resize(size, Image.Resampling.LANCZOS)


def line(stage: pv.Plotter, points_mm: Floats, colour: str, width: float) -> Any:
    """Thin unlit line through points."""
    return stage.add_mesh(
        pv.lines_from_points(points_mm), color=colour, line_width=width, lighting=False, show_scalar_bar=False
    )


def rotor_skin(rotor: Rotor) -> pv.Texture:
    """Skin of a rotor over radius (to the right) and angle (upward): cast, with a grain; turned, with fine marks.

    See ``lay_skin`` for where it goes.
    """
    wide, high = 1024, 256
    radius = np.linspace(0.0, rotor.outer_diameter_mm / 2.0, wide)[None, :]
    chance = np.random.default_rng(7)
    grain = gaussian_filter(chance.standard_normal((high, wide)), (2.0, 3.0), mode="wrap")
    grain = grain / grain.std()
    marks = gaussian_filter(chance.standard_normal((1, wide)), (0.0, 1.2))
    marks = marks / marks.std() + 0.25 * grain
    turned = radius >= rotor.friction_inner_diameter_mm / 2.0
    lip = np.abs(radius - rotor.friction_inner_diameter_mm / 2.0) < 1.2
    cast, face = np.array(palette.rgb(CAST)), np.array(palette.rgb(FACE))
    share = np.where(turned, 0.035 * marks, 0.05 * grain)
    share = np.where(lip, -0.35, share)
    colours = np.where(turned[..., None], face, cast) * (1.0 + share[..., None])
    texture = pv.Texture(np.ascontiguousarray((np.clip(colours, 0.0, 1.0) * 255.0).astype(np.uint8)))
    texture.SetMipmap(True)
    texture.SetInterpolate(True)
    texture.SetMaximumAnisotropicFiltering(1.0)  # more costs a third of a frame and is not seen
    return texture


def lay_skin(mesh: pv.PolyData, rotor: Rotor) -> None:
    """Texture coordinates for ``rotor_skin``; mirrored at half a turn, so that there is no seam."""
    x, y = mesh.points[:, 0], mesh.points[:, 1]
    share = np.hypot(x, y) / (rotor.outer_diameter_mm / 2.0)
    mesh.active_texture_coordinates = np.column_stack([0.999 * share, np.abs(np.arctan2(y, x)) / np.pi])


def striped(points_mm: Floats, colour: str) -> NDArray[np.uint8]:
    """One colour in stripes along the radius, toward ink and paper: in grey print it is no plain metal."""
    x, y, _ = np.asarray(points_mm, dtype=float).T
    along_mm = np.hypot(x, y).mean() * np.arctan2(y, x)
    light = 0.5 + 0.5 * np.cos(2.0 * np.pi * along_mm / STRIPE_MM)
    dark, pale = (
        np.array(palette.rgb(one)) for one in (palette.mix(colour, "ink", 0.1), palette.mix(colour, "paper", 0.4))
    )
    return np.asarray(255.0 * (dark + light[:, None] ** 3 * (pale - dark))).round().astype(np.uint8)


def project(stage: pv.Plotter, points_mm: Floats) -> Floats:
    """Pixels (x right, y down) of world points, shape (p, 2)."""
    width, height = stage.window_size
    matrix = stage.camera.GetCompositeProjectionTransformMatrix(width / height, -1.0, 1.0)
    table = np.array([[matrix.GetElement(i, j) for j in range(4)] for i in range(4)])
    clip = np.column_stack([points_mm, np.ones(len(points_mm))]) @ table.T
    seen = clip[:, :2] / clip[:, 3:]
    return np.column_stack([(seen[:, 0] + 1.0) * width / 2.0, (1.0 - seen[:, 1]) * height / 2.0])
