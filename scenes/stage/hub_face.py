"""The hub face seen from outside: numbered studs, what lies on it, where it carries; one hue, named contours."""

from __future__ import annotations

import math
from contextlib import closing
from dataclasses import replace
from typing import Any

import numpy as np
import pyvista as pv
from numpy.typing import NDArray
from scipy.interpolate import griddata
from scipy.ndimage import gaussian_filter

from scenes import palette
from scenes.geometry import exaggeration, shapes
from scenes.stage import lettering, stage, studio
from scenes.stage.lettering import Image8, Sheet
from scenes.words import words
from sim.parts.fastener import said

LEVELS_MPA = (5.0, 20.0, 50.0, 100.0)
"""Contours of contact pressure."""


def hub_face(run: Any, size: tuple[int, int]) -> Image8:
    """Draw the hub face from outside, rotor away, coloured by contact pressure."""
    share = 100.0 * float(run.seat.contact.closed_fraction)
    sheet, unit = Sheet.blank(size), size[0] / 1600.0
    title = f"The hub face carries on {share:.0f} % of its area"
    sheet.text(
        title, (40 * unit, 72 * unit), lettering.fitting(title, round(50 * unit), size[0] - 80 * unit, True), bold=True
    )
    below = "Seen from outside, the rotor taken away. The darker, the more pressure."
    sheet.text(below, (40 * unit, 124 * unit), round(30 * unit))
    top = round(150 * unit)
    area = (size[0], size[1] - top)
    setting = stage.Setting(view="hub", window=False, pads=False, gauge=False, ghost=False, rotor=False)
    with closing(stage.build(run, setting, area, 1.6)) as scene:
        face = pressure_mesh(run)
        colour = palette.ramp(pressure_share(face["pressure_mpa"]), palette.PRESSURE_STOPS)
        face["rgb"] = (255.0 * colour).astype(np.uint8)
        studio.flatten(scene.plotter, 1.30 * run.case.hub.face_diameter_mm)
        scene.plotter.add_mesh(face, scalars="rgb", rgb=True, lighting=False, show_scalar_bar=False)
        _holes_and_patches(scene)
        lines = face.contour(list(LEVELS_MPA), scalars="pressure_mpa")
        if lines.n_points:
            scene.plotter.add_mesh(lines, color=palette.INK, line_width=2.2 * unit, lighting=False)
        sheet.paste(scene.shoot(), (0, top))
        offset = np.array([0, top])
        sheet.stud_numbers(scene.stud_pixels() + offset, 26 * unit)
        for place, level in label_places(face):
            x, y = scene.project(place)[0] + offset
            sheet.tag(f"{level:.0f}", (x, y), round(20 * unit))
        _patch_words(sheet, scene, offset, unit)
    _key(sheet, size, unit)
    upward = said("stud 1 upward; angles run counter-clockwise", run.case.studs)
    sheet.text(upward, (40 * unit, size[1] - 40 * unit), round(28 * unit))
    return sheet.array()


def _holes_and_patches(scene: stage.Stage) -> None:
    """Blank what has no contact: the rotor's stud holes; show what lies on the face."""
    run = scene.run
    studs = run.case.studs
    for angle in np.deg2rad(shapes.stud_angles_deg(studs)):
        x, y = 0.5 * studs.pitch_circle_mm * math.cos(angle), 0.5 * studs.pitch_circle_mm * math.sin(angle)
        hole = shapes.cylinder((x, y, 0.2), 0.5 * run.case.rotor.hole_diameter_mm, 0.15, 48)
        scene.plotter.add_mesh(hole, color=palette.PAPER, lighting=False)
    for patch in run.case.debris:
        if patch.height_um > 0:
            slab = shapes.debris_mesh(replace(patch, angle_deg=exaggeration.debris_angle_deg(run, patch)))
            scene.plotter.add_mesh(slab, color=palette.SCALE, lighting=False)


def pressure_share(pressure_mpa: NDArray[np.float64]) -> NDArray[np.float64]:
    """Place of a pressure on the ramp: square root, so that the light load between the studs is seen."""
    return np.sqrt(np.clip(np.asarray(pressure_mpa) / LEVELS_MPA[-1], 0.0, 1.0))


def pressure_mesh(run: Any) -> pv.PolyData:
    """Fine polar mesh of the hub face with ``pressure_mpa`` at its points, interpolated between the cells' middles."""
    cells, hub = run.seat.cells, run.case.hub
    bare = np.asarray(cells.debris_index) < 0
    middle = 0.5 * (np.asarray(cells.inner_radius_mm) + np.asarray(cells.outer_radius_mm))[bare]
    angle = np.deg2rad(np.asarray(cells.angle_deg)[bare])
    pressure = np.asarray(cells.pressure_mpa, dtype=float)[bare]
    radius = np.linspace(hub.face_inner_diameter_mm / 2.0 + 0.3, hub.face_diameter_mm / 2.0 - 0.9, 40)
    round_about = np.linspace(0.0, 2.0 * np.pi, 361)
    r, a = np.meshgrid(radius, round_about)
    wrapped = np.concatenate([angle - 2 * np.pi, angle, angle + 2 * np.pi])
    scale = radius.mean()
    source = np.column_stack([np.tile(middle, 3), wrapped * scale])
    values = griddata(source, np.tile(pressure, 3), (r, a * scale), method="linear")
    nearest = griddata(source, np.tile(pressure, 3), (r, a * scale), method="nearest")
    values = np.where(np.isfinite(values), values, nearest)
    mesh = pv.StructuredGrid(r * np.cos(a), r * np.sin(a), np.full_like(r, 0.25)).extract_surface(algorithm=None)
    grid_points = np.column_stack([(r * np.cos(a)).ravel(order="F"), (r * np.sin(a)).ravel(order="F")])
    # Cells are coarse; a blur of half a cell takes the saw teeth off the contours, in the picture alone.
    values = gaussian_filter(values, (3.0, 1.5), mode=("wrap", "nearest"))
    mesh["pressure_mpa"] = values.ravel(order="F")[: mesh.n_points]
    if not np.allclose(mesh.points[:, :2], grid_points, atol=1e-4):
        raise RuntimeError("the order of the surface's points has changed")
    return mesh


def label_places(face: pv.PolyData) -> list[tuple[NDArray[np.float64], float]]:
    """One place for the figure of each contour that is long enough, spread round the face."""
    places = []
    for index, level in enumerate(LEVELS_MPA):
        line = face.contour([level], scalars="pressure_mpa")
        if line.n_points < 12:
            continue
        wish = math.radians(100.0 + 72.0 * index)
        away = np.abs(np.angle(np.exp(1j * (np.arctan2(line.points[:, 1], line.points[:, 0]) - wish))))
        places.append((line.points[int(np.argmin(away))][None, :], level))
    return places


def _patch_words(sheet: Sheet, scene: stage.Stage, offset: NDArray[np.int64], unit: float) -> None:
    run = scene.run
    for index, patch in enumerate(run.case.debris):
        angle = math.radians(exaggeration.debris_angle_deg(run, patch))
        middle = 0.5 * (patch.inner_radius_mm + patch.outer_radius_mm)
        spot = scene.project(np.array([[middle * math.cos(angle), middle * math.sin(angle), 2.0]]))[0] + offset
        reach = 0.5 * run.case.hub.face_diameter_mm + 8.0
        label = scene.project(np.array([[reach * math.cos(angle), reach * math.sin(angle), 0.0]]))[0] + offset
        force = tuple(run.seat.contact.debris_force_n)
        carried = f", carries {words.force(force[index])}" if index < len(force) else ""
        text = f"{words.micrometres(exaggeration.debris_height_um(run, index))}{carried}"
        length = lettering.font(round(26 * unit), True).getlength(text) + 30 * unit
        left = math.sin(angle) > 0.2
        x = max(float(label[0]), length) if left else min(float(label[0]), sheet.image.width - length)
        sheet.tag(text, (x, float(label[1])), round(26 * unit), palette.SCALE, tuple(spot), "r" if left else "l")


def _key(sheet: Sheet, size: tuple[int, int], unit: float) -> None:
    """Colours in words: a stair of the contour levels."""
    x, y, step = size[0] - 300 * unit, 300 * unit, 56 * unit
    sheet.text("contact pressure", (x, y - 26 * unit), round(28 * unit), bold=True)
    edges = (0.0, *LEVELS_MPA)
    for index, low in enumerate(edges):
        high = edges[index + 1] if index + 1 < len(edges) else None
        shade = palette.ramp(
            pressure_share(np.array([low if high is None else 0.5 * (low + high)])), palette.PRESSURE_STOPS
        )
        colour = "#" + "".join(f"{round(255 * value):02X}" for value in shade[0])
        box = (x, y + index * step, x + 64 * unit, y + (index + 1) * step)
        sheet.draw.rectangle(box, fill=colour, outline=palette.INK, width=1)
        text = f"over {low:.0f} MPa" if high is None else f"{low:.0f} to {high:.0f} MPa"
        sheet.text(text, (x + 80 * unit, y + (index + 0.66) * step), round(26 * unit))
