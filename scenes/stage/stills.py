"""Stills: one computed corner seen four ways, each with its true numbers and the factor of exaggeration."""

from __future__ import annotations

import io
import math
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image

from scenes import files, gl, palette
from scenes.geometry import exaggeration, shapes
from scenes.plots import section
from scenes.stage import dial_face, hub_face, lens, lettering, stage
from scenes.stage.lettering import Image8, Sheet
from scenes.words import corner as corner_words
from scenes.words import spigot, words
from sim.arrays import Floats
from sim.errors import BadInput, Fault

KINDS = ("corner", "hub face", "between the pads", "section", "ruler")
SIZE = (1600, 1200)
FINER = 1.6
TOP = 150
"""Lines kept for the heading, of a picture 1600 wide."""


def picture(run: Any, kind: str, path: Path, size: tuple[int, int] = SIZE) -> Path:
    """Draw a still.

    Parameters
    ----------
    run : Run
        A computed corner.
    kind : str
        One of ``KINDS``.
    path : Path
        Ends in ``.png``; drawings (``section``, ``ruler``) may also end in ``.svg``.
    size : tuple of int
        Width and height; drawings keep the width and their own proportions. [pixels]

    Returns
    -------
    Path
        Where it is.

    Raises
    ------
    BadInput
        For an unknown kind or ending, or where nothing can be written.
    Missing
        Without GL, for what is drawn in three dimensions.
    """
    path = Path(path)
    if kind not in KINDS:
        raise BadInput(Fault(f"there is no picture called {kind!r}", key="picture", allowed=", ".join(KINDS)))
    if kind != "section" and spigot.off_the_face(run.spigot):
        raise BadInput(Fault("the rotor does not lie on its hub face, as this picture would show", allowed="section"))
    flat = kind in ("section", "ruler")
    if path.suffix.lower() not in ((".png", ".svg") if flat else (".png",)):
        raise BadInput(Fault("a picture ends in .png", str(path), allowed=".png"))
    return files.write_bytes(path, drawing(run, kind, path.suffix[1:].lower(), size) if flat else _png(run, kind, size))


def drawing(run: Any, kind: str, form: str, size: tuple[int, int] = SIZE) -> bytes:
    """Line drawing as the bytes of a PNG or SVG file; needs no GL."""
    if kind == "section":
        figure = section.section(run, size[0])
    else:
        figure = section.ruler(run, (size[0], round(size[0] * 9 / 16)))
    content = io.BytesIO()
    figure.savefig(content, format=form, metadata={"Date": None} if form == "svg" else None)
    return content.getvalue()


def _png(run: Any, kind: str, size: tuple[int, int]) -> bytes:
    content = io.BytesIO()
    Image.fromarray(image(run, kind, size)).save(content, format="PNG", optimize=True)
    return content.getvalue()


def image(run: Any, kind: str, size: tuple[int, int] = SIZE) -> Image8:
    """Still in three dimensions as pixels, shape (height, width, 3).

    Raises
    ------
    Missing
        Without GL.
    """
    gl.need_gl()
    draw: dict[str, Callable[[Any, tuple[int, int]], Image8]] = {
        "corner": corner,
        "hub face": hub_face.hub_face,
        "between the pads": between_the_pads,
    }
    return draw[kind](run, size)


def heading(size: tuple[int, int], title: str, below: str) -> tuple[Sheet, float]:
    """Empty sheet with its heading, and the size of a unit: pixels per 1/1600 of the width."""
    sheet, unit = Sheet.blank(size), size[0] / 1600.0
    fit = lettering.fitting(title, round(50 * unit), size[0] - 80 * unit, bold=True)
    sheet.text(title, (40 * unit, 72 * unit), fit, bold=True)
    fit = lettering.fitting(below, round(30 * unit), size[0] - 80 * unit)
    sheet.text(below, (40 * unit, 124 * unit), fit)
    return sheet, unit


def corner(run: Any, size: tuple[int, int]) -> Image8:
    """The corner at true size, stud 1 up as in every map, the hat open where the dirt is; dial and lenses beside."""
    limit = words.micrometres(run.case.limits.mounted_runout_um)
    title = f"{words.RUNOUT.capitalize()} {corner_words.swing(run)}: {corner_words.dirt(run.case)}"
    called = words.capital(words.limit_called(run.case, "mounted_runout_um"))
    below = f"True size: nothing is stretched, it looks straight. {called} {limit}; {words.MAKER_RULES}."
    sheet, unit = heading(size, title, below)
    wide = round(0.63 * size[0])
    area = (wide, round(wide * 0.785))
    top = round(TOP * unit + max(0.0, 0.5 * (size[1] - TOP * unit - area[1])))
    high, letters = exaggeration.high_spot_deg(run), round(30 * unit)
    with closing(stage.build(run, stage.Setting(view="story", mark=False), area, FINER)) as scene:
        scene.pose(1.0, STUD_1_UP)
        sheet.paste(scene.shoot(), (0, top))
        offset = np.array([0.0, top])
        sheet.stud_numbers(scene.stud_pixels() + offset, 18 * unit)
        rim = run.case.rotor.outer_diameter_mm / 2.0 - 4.0
        spot = scene.on_rotor_pixel(high, rim, shapes.levels(run.case).outboard_face_mm) + offset
        above = spot[1] < top + 0.5 * area[1]  # its label stands outside of the rotor, not across the hub
        tag = (max(spot[0] - 40 * unit, 170 * unit), top - 20 * unit if above else size[1] - 60 * unit)
        sheet.tag("high spot", tag, letters, palette.HIGH, (float(spot[0]), float(spot[1])))
        places = {
            "joint": _nearest_edge(scene, run) + offset,
            "rim": scene.stylus_pixel() + offset,
        }
        reading = scene.reading_um()
    _beside(sheet, run, {name: (float(x), float(y)) for name, (x, y) in places.items()}, reading)
    return sheet.array()


def _nearest_edge(scene: stage.Stage, run: Any) -> Floats:
    """Pixel of the dirt's edge that is nearest to the lenses, so that the leader does not lie across it."""
    angle, radius = lens.joint_place(run)
    patch = corner_words.highest(run.case)
    edges = [radius] if patch is None else [patch.inner_radius_mm, patch.outer_radius_mm]
    return max((scene.on_rotor_pixel(angle, edge, 0.0) for edge in edges), key=lambda pixel: float(pixel[0]))


def _beside(sheet: Sheet, run: Any, places: dict[str, tuple[float, float]], reading_um: float) -> None:
    """Lay dial and lenses on the right of a sheet."""
    (wide, high), swept = sheet.image.size, (float(min(run.seat.outboard_um)), float(max(run.seat.outboard_um)))
    unit = wide / 1600.0
    side = round(0.27 * wide)
    sheet.paste(dial_face.dial(side, reading_um, swept), (wide - side - round(90 * unit), round((TOP + 10) * unit)))
    for row, text in enumerate(dial_face.DIVISION_SAID):
        at = (wide - 14 * unit, (TOP + 36 + 32 * row) * unit)
        sheet.text(text, at, round(27 * unit), anchor="rs")
    y, lens_unit = min(high - 290.0 * unit, TOP * unit + side + 200.0 * unit), wide / 1920.0
    middles = {"rim": (wide - 168.0 * unit, y), "joint": (wide - 462.0 * unit, y + 80.0 * unit)}
    pictures = {
        "joint": lens.joint(run, lens_unit, side=336),
        "rim": lens.rim(run, reading_um, swept, None, lens_unit, 336),
    }
    for name in ("joint", "rim"):
        x, y = middles[name]
        lens.lay(sheet, pictures[name], middles[name], places[name], unit=lens_unit)
        sheet.text(lens.said(run, name, swept), (x, y + 182 * unit), round(28 * unit), bold=True, anchor="ms")
    x, y = middles["rim"]
    for row, text in enumerate(lens.hair_said()):
        sheet.text(text, (x, y + (220 + 36 * row) * unit), round(28 * unit), anchor="ms")


def between_the_pads(run: Any, size: tuple[int, int]) -> Image8:
    """The corner between its pads at true size; both pad gaps in lenses, at the high spot and at the low one."""
    clearance = words.micrometres(float(run.case.caliper.clearance_um))
    title = f"The rim runs out: {corner_words.swing_sum(run)}; pads stand {clearance} off"
    hair = words.micrometres(corner_words.HAIR_UM)
    below = f"True size; lenses at one scale, in each a hair of {hair}. A pad that is touched gives way."
    sheet, unit = heading(size, title, below)
    wide = round(0.47 * size[0])
    area, top = (wide, round(wide * 0.785)), round(330 * unit)
    setting = stage.Setting(view="story", gauge=False, pads=True, window=False, mark=False, caliper_deg=PADS_DEG)
    spots = (exaggeration.high_spot_deg(run), exaggeration.low_spot_deg(run))
    with closing(stage.build(run, setting, area, FINER)) as scene:
        scene.pose(1.0, PADS_DEG - spots[0])
        sheet.paste(scene.shoot(), (0, top))
        sheet.stud_numbers(scene.stud_pixels() + np.array([0.0, top]), 16 * unit)
        level, angle = shapes.levels(run.case), math.radians(PADS_DEG)
        rim = 0.5 * run.case.rotor.outer_diameter_mm
        edge = [[rim * math.cos(angle), rim * math.sin(angle), height]
                for height in (level.outboard_face_mm + 3.0, level.inboard_face_mm - 3.0)]  # fmt: skip
        pads = [(float(x), float(y) + top) for x, y in scene.project(np.array(edge))]
    out, back, _ = words.sum_of(*corner_words.extremes_um(run))
    columns = ((f"{out}{words.GAP}µm out", float(out)), (f"{back}{words.GAP}µm in", -float(back)))
    for index, (spot, name) in enumerate(zip(spots, ("high spot here", "low spot here"), strict=True)):
        x, (said, moved) = (980.0 + 390.0 * index) * unit, columns[index]
        sheet.text(name, (x, 212 * unit), round(32 * unit), bold=True, anchor="ms")
        sheet.text(said, (x, 254 * unit), round(32 * unit), bold=True, anchor="ms")
        for outboard, place in ((True, pads[0]), (False, pads[1])):
            _pad_lens(sheet, run, spot, outboard, moved, (x, (430.0 if outboard else 880.0) * unit),
                      place if index == 0 else None)  # fmt: skip
    return sheet.array()


STUD_1_UP = 0.0
"""Turn of the wheel at which stud 1 stands at 12 o'clock before the cameras. [deg]"""
PADS_DEG = 110.0
"""Where the caliper stands."""
TOUCHING_UM = 0.5
"""A smaller gap is called touching."""


def _pad_lens(
    sheet: Sheet, run: Any, hub_deg: float, outboard: bool, moved_um: float, middle: tuple[float, float],
    place: tuple[float, float] | None,
) -> None:  # fmt: skip
    """One pad gap in its lens; under it how far rotor and pad stand apart and what makes that up."""
    unit = sheet.image.width / 1600.0
    picture = lens.pad_gap(run, hub_deg, sheet.image.width / 1920.0, 336, outboard, named=True)
    if place is None:
        sheet.paste(picture, (round(middle[0] - picture.width / 2), round(middle[1] - picture.height / 2)))
    else:
        lens.lay(sheet, picture, middle, place, unit=sheet.image.width / 1920.0)
    text, made_of = gap_words(run, hub_deg, outboard, moved_um)
    for row, (line, letters, bold) in enumerate((
        ("outboard pad" if outboard else "inboard pad", 30, False), (text, 34, True), (made_of, 28, False),
    )):  # fmt: skip
        sheet.text(
            line, (middle[0], middle[1] + (184 + 44 * row) * unit), round(letters * unit), bold=bold, anchor="ms"
        )


def gap_words(run: Any, hub_deg: float, outboard: bool, moved_um: float) -> tuple[str, str]:
    """Say how far the rotor's face stands from a pad's middle, and of what that is made; the printed figures add up.

    Parameters
    ----------
    run : Run
        A computed corner.
    hub_deg : float
        Hub angle under the pad's middle. [deg]
    outboard : bool
        Which pad.
    moved_um : float
        How far the rotor has moved there, + outboard, as printed elsewhere in the picture: said again where it is the
        same to the last figure. [um]
    """
    pad, rotor = exaggeration.gap_parts_um(run, hub_deg, outboard)
    if pad + rotor < TOUCHING_UM:
        return "touches", ""
    said = -moved_um if outboard else moved_um
    first, second, whole = words.sum_of(pad, said if abs(said - rotor) < 1.0 else rotor)
    sign, size = ("−", second.lstrip("−")) if second.startswith("−") else ("+", second)
    return f"{whole}{words.GAP}µm clear", f"pad {first} {sign} rotor {size}"


def gap_um(run: Any, hub_deg: float, outboard: bool) -> float:
    """Smallest gap between a pad and the rotor's face when a hub angle stands under the pad's middle, in um."""
    half = run.case.pads.arc_deg / 2.0
    under = exaggeration.reading_um(run, hub_deg + np.linspace(-half, half, 15), "outboard" if outboard else "inboard")
    shift = exaggeration.pad_shift_um(run, hub_deg, outboard)
    return shift - float(under.max()) if outboard else float(under.min()) - shift
