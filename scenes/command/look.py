"""A window to look round in: the stage, two sliders, nothing else."""

from __future__ import annotations

import os
import sys
from typing import Any

from scenes import gl, palette
from scenes.geometry import exaggeration
from scenes.stage import stage
from scenes.words import corner, words
from sim.errors import Missing

SIZE = (1280, 860)


def look(run: Any) -> None:
    """Open a window on a computed corner; returns when it is closed.

    The mouse turns the view; one slider turns the wheel, the other sets the exaggeration.

    Parameters
    ----------
    run : Run
        A computed corner.

    Raises
    ------
    Missing
        Without a display, or without GL.
    """
    if sys.platform.startswith("linux") and not (os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY")):
        raise Missing("looking round needs a display, and there is none here; a still needs none: trueseat picture")
    gl.need_gl()
    scene = build(run)
    scene.plotter.show()


def build(run: Any, off_screen: bool = False) -> stage.Stage:
    """Stage with its sliders and words, at full exaggeration."""
    factor, start = exaggeration.factor(run), exaggeration.facing_deg(run.case)
    scene = stage.build(run, stage.Setting(view="wide"), SIZE, finer=1.0, off_screen=off_screen)
    scene.pose(factor, start)
    label = scene.plotter.add_text(said(scene), position="upper_left", font_size=12, color=palette.INK)

    def turn(degrees: float) -> None:
        scene.pose(scene.factor, start + degrees)
        label.set_text("upper_left", said(scene))

    def exaggerate(share: float) -> None:
        scene.pose(factor ** (share / 100.0), scene.turn_deg)
        label.set_text("upper_left", said(scene))

    look_of = {"color": palette.INK, "title_height": 0.02, "style": "modern"}
    slider = scene.plotter.widgets.add_slider_widget
    slider(
        turn, (0.0, 360.0), value=0.0, title="turn of the wheel [°]", pointa=(0.06, 0.08),
        pointb=(0.44, 0.08), **look_of,
    )  # fmt: skip
    slider(
        exaggerate, (0.0, 100.0), value=100.0, title="exaggeration [% of full]", pointa=(0.56, 0.08),
        pointb=(0.94, 0.08), **look_of,
    )  # fmt: skip
    return scene


def said(scene: stage.Stage) -> str:
    """Words in the window: runout, what the dial reads now, the factor."""
    reading = words.micrometres(scene.reading_um(), signed=True)
    return (
        f"{words.RUNOUT} {corner.swing(scene.run)}, dial {reading}\n"
        f"motion {exaggeration.times(scene.factor)}; thin line: flat and true"
    ).replace("\u00a0", " ")
