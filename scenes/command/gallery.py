"""The README's pictures, made anew by ``python -m scenes.command.gallery``."""

from __future__ import annotations

from pathlib import Path

from PIL import Image

import demo_geometry
from scenes.stage import stills
from sim.chain import Run, compute
from sim.files.case_file import case_from_text

FOLDER = Path(__file__).parents[1] / "gallery"
SHOWN = {"corner": (1200, 900), "section": (1200, 675), "ruler": (1200, 675), "hub face": (1200, 900)}
COLOURS = 256  # enough for flat drawings and soft shading; keeps each file near 100 kB


def dirty_corner() -> Run:
    """The demo corner as it was found."""
    return compute(case_from_text(demo_geometry.text("demo_dirty"), "demo_dirty.toml"), 30_000.0)


def jammed_corner() -> Run:
    """A rotor that scale on the spigot holds off its hub face."""
    return compute(case_from_text(demo_geometry.text("spigot_jammed"), "spigot_jammed.toml"), None)


def main() -> None:
    """Draw every picture of the README into ``scenes/gallery``."""
    FOLDER.mkdir(exist_ok=True)
    run = dirty_corner()
    for kind, size in SHOWN.items():
        _draw(run, kind, FOLDER / f"{kind.replace(' ', '_')}.png", size)
    _draw(jammed_corner(), "section", FOLDER / "spigot.png", SHOWN["section"])


def _draw(run: Run, kind: str, path: Path, size: tuple[int, int]) -> None:
    stills.picture(run, kind, path, size)
    Image.open(path).convert("RGB").quantize(COLOURS, Image.Quantize.MAXCOVERAGE, dither=Image.Dither.NONE).save(
        path, optimize=True
    )


if __name__ == "__main__":
    main()
