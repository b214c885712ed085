"""The pictures of README and guides, made anew by ``python -m scenes.command.gallery``."""

from __future__ import annotations

from pathlib import Path

from PIL import Image

import demo_geometry
from scenes.files import write_text
from scenes.plots import dial_setup
from scenes.plots import lesson as drawn
from scenes.plots import stack as plots
from scenes.stage import stills
from scenes.words import lesson as said
from sim.chain import Run, compute
from sim.files.case_file import case_from_text
from sim.stack.answer import answer
from sim.stack.loosest import loosest
from sim.stack.run import run
from sim.stack.study_file import load_study

FOLDER = Path(__file__).parents[1] / "gallery"
SHOWN = {"corner": (1200, 900), "section": (1200, 675), "ruler": (1200, 675), "hub face": (1200, 900)}
VOTED = ("lesson_outer_dirty", "lesson_inner_dirty")
COLOURS = 256  # enough for flat drawings and soft shading; keeps each file near 100 kB


def dirty_corner() -> Run:
    """The demo corner as it was found."""
    return compute(case_from_text(demo_geometry.text("demo_dirty"), "demo_dirty.toml"), 30_000.0)


def jammed_corner() -> Run:
    """A rotor that scale on the spigot holds off its hub face."""
    return compute(case_from_text(demo_geometry.text("spigot_jammed"), "spigot_jammed.toml"), None)


def dial() -> str:
    """How a dial stands at the car, wheel off and wheel on. SVG."""
    return dial_setup.off_and_on(ground=True)


def vote() -> str:
    """What the first vote of a lesson shows. SVG."""
    cases = [case_from_text(demo_geometry.text(name), name) for name in VOTED]
    return drawn.faces(list(zip("AB", cases, strict=True)), drawn.ALONE)


def answered() -> str:
    """What answers the first vote: both corners as read and as driven. SVG."""
    runs = [compute(case_from_text(demo_geometry.text(name), name), None) for name in VOTED]
    rows = [
        drawn.Bar(name, one.seat.gauge_runout_um, said.driven_um(one), said.band_um(one))
        for name, one in zip(("A, outer edge", "B, further in"), runs, strict=True)
    ]
    limits = runs[0].case.limits
    return drawn.bars(rows, limits.mounted_runout_um, said.limit_said(runs[0].case, "mounted_runout_um"), drawn.ALONE)


def tolerances() -> tuple[str, str]:
    """The worked tolerance example: how its runout is spread, and how loose the limit on the hub face may be. SVG."""
    result = run(load_study("population_face"), workers=1)
    found = answer(result)
    return plots.distribution(found, ground=True), plots.loosest(found, loosest(result, "hub.face_runout_um"), True)


def main() -> None:
    """Draw every picture of README and guides into ``scenes/gallery``."""
    FOLDER.mkdir(exist_ok=True)
    dirty = dirty_corner()
    for kind, size in SHOWN.items():
        _draw(dirty, kind, FOLDER / f"{kind.replace(' ', '_')}.png", size)
    _draw(jammed_corner(), "section", FOLDER / "spigot.png", SHOWN["section"])
    draw_plain()


def draw_plain() -> None:
    """Draw those that need no renderer."""
    spread, limit = tolerances()
    plain = {"dial": dial(), "lesson_vote": vote(), "lesson_answer": answered(), "tolerance": spread, "loosest": limit}
    for name, text in plain.items():
        write_text(FOLDER / f"{name}.svg", text + "\n")


def _draw(run: Run, kind: str, path: Path, size: tuple[int, int]) -> None:
    stills.picture(run, kind, path, size)
    Image.open(path).convert("RGB").quantize(COLOURS, Image.Quantize.MAXCOVERAGE, dither=Image.Dither.NONE).save(
        path, optimize=True
    )


if __name__ == "__main__":
    main()
