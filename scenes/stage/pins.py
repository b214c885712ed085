"""Readings as pins round the rim of a computed corner: where a bead sits off the rim, the cause does not explain it."""

from __future__ import annotations

import io
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import pyvista as pv
from PIL import Image

from scenes import files, gl, palette
from scenes.geometry import exaggeration, shapes
from scenes.stage import stage, stills, studio
from scenes.words import corner as corner_words
from scenes.words import words
from sim.errors import BadInput, Fault
from sim.files.as_counted import studs_on
from sim.files.dial_readings import COUNTER

if TYPE_CHECKING:
    from scenes.stage.lettering import Image8
    from sim.arrays import Floats
    from sim.causes.answer import Fitted

BEAD_MM, STEM_MM, OFF_MM = 3.0, 0.8, 5.0  # radii of bead and stem; how far outside the rim they stand


def heights_um(run: Any, one: Fitted) -> tuple[Floats, Floats, Floats]:
    """Hub angles of the places, what was read there, and what the computed rim does there. [deg, um, um].

    By definition: angles of a mounted trace are rotor angles; both have their mean over the places removed.
    """
    hub = np.mod(one.angle_deg + exaggeration.index_shift_deg(run), 360.0)
    drawn = exaggeration.reading_um(run, hub)
    return hub, one.read_um - one.read_um.mean(), drawn - drawn.mean()


def told(run: Any, one: Fitted, cause: str) -> str:
    """Say what beads and rim are; what is left over is the job card's figure, which the rim alone does not make."""
    said = f"Beads: read. Rim: this cause alone, {corner_words.swing(run)}"
    if cause not in one.residual_um:
        return f"{said}."
    left = f"{words.micrometres(one.left_over_um(cause))} (rms) left"
    return f"{said}; with the others beside it {left}, as on the job card."


def numbered(pixels: Floats, turned: str) -> Floats:
    """Where studs 1, 2 and so on of a table stand in a picture; its own studs come counter-clockwise. By definition.

    Parameters
    ----------
    pixels : ndarray, shape (studs, 2)
    turned : str
        As the table's head says, seen from outside.
    """
    return pixels[[studs_on(stud, turned, len(pixels)) for stud in range(len(pixels))]]


def pins(run: Any, one: Fitted, cause: str, size: tuple[int, int] = stills.SIZE, turned: str = COUNTER) -> Image8:
    """Draw the corner of one cause with the readings as pins round its rim.

    Parameters
    ----------
    run : Run
        Computed from that cause alone, its rotor standing as it did when it was read.
    one : Fitted
        A mounted trace.
    cause : str
        Named in the heading.
    size : tuple of int
        [pixels]
    turned : str
        Which way its studs count, seen from outside: as the table of the readings.

    Returns
    -------
    ndarray, shape (height, width, 3)

    Raises
    ------
    Missing
        Without GL.
    """
    gl.need_gl()
    factor = exaggeration.factor(run)
    hub, read, drawn = heights_um(run, one)
    title = f"Readings of mount {one.mount} round the rim of {cause}, computed alone"
    sheet, unit = stills.heading(size, title, f"{told(run, one, cause)} Motion {exaggeration.times(factor)}.")
    top = round(stills.TOP * unit)
    area = (size[0], size[1] - top)
    setting = stage.Setting(view="wide", gauge=False)
    with closing(stage.build(run, setting, area, stills.FINER)) as scene:
        for angle, at, face in zip(hub, read, drawn, strict=True):
            _pin(scene, float(angle), float(at), float(face), factor)
        scene.pose(factor, 0.0)
        sheet.paste(scene.shoot(), (0, top))
        sheet.stud_numbers(numbered(scene.stud_pixels(), turned) + np.array([0, top]), 22 * unit)
    return sheet.array()


def _pin(scene: stage.Stage, hub_deg: float, read_um: float, face_um: float, factor: float) -> None:
    """Stand a bead at the height that was read, and a stem from the computed rim to it."""
    radius = scene.run.case.rotor.outer_diameter_mm / 2.0 + OFF_MM
    angle, level = np.deg2rad(hub_deg), shapes.levels(scene.run.case).outboard_face_mm
    foot = np.array([radius * np.cos(angle), radius * np.sin(angle), level])
    head, start = (foot + [0.0, 0.0, factor * um * 1e-3] for um in (read_um, face_um))
    bead = pv.Sphere(radius=BEAD_MM, center=head)
    studio.add(scene.plotter, bead, finish="enamel", colour=palette.DIAL)
    rest = np.array([[*(foot[:2] * (radius - OFF_MM) / radius), start[2]], start, head])
    for one, other in zip(rest, rest[1:], strict=False):
        if np.linalg.norm(other - one) > STEM_MM:
            stem = pv.Line(one, other).tube(radius=STEM_MM)
            studio.add(scene.plotter, stem, finish="enamel", colour=palette.DIAL)


def write(run: Any, one: Fitted, cause: str, path: Path, turned: str = COUNTER) -> Path:
    """Write the picture as PNG, as `pins` draws it.

    Raises
    ------
    BadInput
        For another ending.
    Missing
        Without GL.
    """
    if path.suffix.lower() != ".png":
        raise BadInput(Fault("a picture ends in .png", str(path), allowed=".png"))
    content = io.BytesIO()
    Image.fromarray(pins(run, one, cause, turned=turned)).save(content, format="PNG", optimize=True)
    return files.write_bytes(path, content.getvalue())
