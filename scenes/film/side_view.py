"""Section across hub face and flange through the dirt, heights stretched: how a rotor tips over what lies under it."""

from __future__ import annotations

from typing import Any

import numpy as np

from scenes import palette
from scenes.film import speck_story
from scenes.geometry import exaggeration
from scenes.stage.lettering import Sheet
from scenes.words import corner
from sim.arrays import Floats
from sim.parts.fastener import said

HIGHEST_UM, HIGHEST_PX = 125.0, 75.0
"""Scale of heights in the section across the hub face, the same for all places of the dirt."""


def draw(sheet: Sheet, run: Any, grown: float) -> None:
    """Section across hub face and flange as seated: where the nuts pull, where the rotor stands off.

    Parameters
    ----------
    sheet : Sheet
    run : Run
        A computed corner with dirt.
    grown : float
        How far the heights have grown, 0..1.
    """
    x, hub, gap = speck_story.side_um(run)
    half = 0.5 * run.case.hub.face_diameter_mm
    per_mm, left, middle, floor = 300.0 / half, 1262.0, 1572.0, 850.0
    per_um = grown * HIGHEST_PX / HIGHEST_UM

    def at(across: Floats, height: Floats) -> list[tuple[float, float]]:
        return [(middle + per_mm * float(a), floor - per_um * float(b)) for a, b in zip(across, height, strict=True)]

    for side in (x < 0.0, x > 0.0):
        face, under = at(x[side], hub[side]), at(x[side], hub[side] + gap[side])
        low, high = floor + 90.0, -70.0
        sheet.draw.polygon([*face, (face[-1][0], low), (face[0][0], low)], fill=palette.mix("hub", "paper", 0.25))
        over = [(a, b + high) for a, b in under[::-1]]
        sheet.draw.polygon([*under, *over], fill=palette.mix("part", "paper", 0.25))
        for points in (face, under, over):
            sheet.line(points, palette.INK, 4)
    patch = corner.highest(run.case)
    assert patch is not None
    left_um = exaggeration.debris_height_um(run, run.case.debris.index(patch))
    across = np.linspace(patch.inner_radius_mm, patch.outer_radius_mm, 9)
    foot = np.interp(across, x, hub)
    block = [*at(across, foot + left_um), *at(across, foot)[::-1]]
    sheet.draw.polygon(block, fill=palette.SCALE)
    sheet.line([*block, block[0]], palette.INK, 3)
    inner = per_mm * 0.5 * run.case.hub.face_inner_diameter_mm
    sheet.draw.rectangle((middle - inner + 6, floor - 160, middle + inner - 6, floor + 90),
                         fill=palette.mix("hub", "paper", 0.25), outline=palette.INK, width=4)  # fmt: skip
    for sign in (-1.0, 1.0):
        tip = middle + sign * per_mm * 0.5 * run.case.studs.pitch_circle_mm
        sheet.line([(tip, floor - 250.0), (tip, floor - 205.0)], palette.INK, 12)
        sheet.draw.polygon([(tip - 20, floor - 210), (tip + 20, floor - 210), (tip, floor - 178)], fill=palette.INK)
    sheet.text(said("here the nuts pull", run.case.studs), (middle, floor - 222.0), 32, bold=True, anchor="ms")
    sheet.text("hub", (middle, floor + 10.0), 32, bold=True, anchor="ms")
    sheet.text("rotor", (left + 44.0, floor - 24.0), 32, bold=True)
    out = 0.5 * (patch.inner_radius_mm + patch.outer_radius_mm)
    sheet.text(f"dirt {out:.0f} mm out, the dial {run.case.gauge_radius_mm:.0f} mm", (left, floor + 140.0), 32)
    said_there = f"heights {exaggeration.times(1000.0 * HIGHEST_PX / HIGHEST_UM / per_mm)}"
    sheet.text(said_there, (left, floor + 184.0), 36, bold=True)
