"""The command ``handout``: one corner's eight chapters in one file for the learners, opened from disk, no network."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

from cyclopts import Parameter

from scenes.command import console
from scenes.command.options import CasePath, Json, OutFile, Preset, made_known, target_of, write_json
from sim.errors import BadInput, Fault


def handout(
    case: CasePath,
    /,
    *,
    output: OutFile = None,
    title: Annotated[str, Parameter(help="Heading of the page; the case's title unless given.")] = "",
    words: Annotated[str, Parameter(help="A sentence or two of your own under it.")] = "",
    preset: Preset = "standard",
    as_json: Json = False,
) -> int:
    """Write the handout: eight short chapters to predict, try and understand; one HTML file, no network."""
    from scenes import files
    from scenes.command import doing
    from scenes.pages import handout as pages
    from sim.files.case_file import file_of

    path = output or Path(f"{case.stem}-handout.html")
    if path.suffix.lower() != ".html":
        raise BadInput(Fault(f"a handout is not written as {path.suffix!r}", str(path), allowed=".html"))
    corner = doing.open_case(file_of(case))
    trainer = pages.Trainer(title, words, is_invented(file_of(case)))
    target_of(path, "")
    with console.progress() as tell:
        found = pages.solve(corner, preset, tell)
    html = pages.page_html(found, trainer)
    made = doing.Made("handout", files.write_text(path, html))
    if as_json:
        write_json(_answer(found, made.path, len(html.encode())))
    made_known([made], as_json)
    if not as_json:
        console.out().print(pages.error_words(found), markup=False, soft_wrap=True)
    return 0


def is_invented(path: Path) -> bool:
    """Whether a case file, or the part set it builds on, is one that was shipped: those are invented."""
    import demo_geometry
    from sim.files.toml_text import parse, read_text

    text = read_text(path)
    return text.lstrip().startswith("# Invented") or parse(text, "").get("base") in demo_geometry.part_set_names()


def _answer(found: Any, path: Path, size: int) -> dict[str, Any]:
    """What ``--json`` says: the file, its size, how far its tables are from direct solves."""
    return {
        "title": found.case.title,
        "file": str(path),
        "bytes": size,
        "tables": {
            name: {
                "seatings": len(made.seats),
                "runout_error_um": made.error.runout_um,
                "needle_error_um": made.error.needle_um,
                "error_of_allowed": made.error.of_allowed,
                "direct_solves": made.error.solves,
            }
            for name, made in (("around", found.around), ("outward", found.outward))
        },
    }
