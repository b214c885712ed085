"""The command ``new``: files to begin with, commented, and never over one that is there."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Annotated

from cyclopts import App, Parameter

from scenes.command.options import WHOLE, made_known, target_of
from sim.errors import BadInput, Fault

new = App(name="new", help="Write a commented starter file.")


@new.command(name="case")
def new_case(
    file: Path = Path("case.toml"),
    /,
    *,
    base: Annotated[
        str, Parameter(help="Begin from a part set: front_vented_320, perfect_solid_300, rear_solid_300.")
    ] = "",
) -> int:
    """Write a commented starter case file: every key, or a short one on a part set."""
    import demo_geometry
    from scenes.command import doing

    known = demo_geometry.part_set_names()
    if base and base not in known:
        raise BadInput(Fault(f"unknown part set {base!r}", key="--base", allowed=", ".join(known)))
    kind = f"case on {base}" if base else "case"
    return _starter(kind, file, lambda: doing.starter(kind))


@new.command(name="readings")
def new_readings(
    file: Path = Path("readings.csv"),
    /,
    *,
    rows: Annotated[
        tuple[str, ...],
        Parameter(
            help="Rows to fill in, each with its own --rows; the others stand in it as examples: wheel on, as found, "
            "inboard, thickness, radial, retorqued, hub face, cleaned, indexed, cleaned again; worn (all that memory "
            "asks for), all."
        ),
    ] = ("as found",),
) -> int:
    """Write a starter table for readings of the dial: rows of every kind, those asked for ready to fill in."""
    from sim.files import starter_readings

    return _starter("readings", file, lambda: starter_readings.starter_readings(rows))


@new.command(name="card")
def new_card(
    file: Path = Path("card.html"),
    /,
    *,
    studs: Annotated[int, WHOLE, Parameter(help="Studs or bolts, where no case says.")] = 5,
    case: Annotated[
        Path | None, Parameter(name="--case", help="Case file: its studs and the radii of its dial are printed.")
    ] = None,
) -> int:
    """Write a blank card (.html or .pdf): one A4 page for the readings of one corner."""
    from scenes.command import doing
    from scenes.pages import blank_card

    doing.page_ending(file)
    html = blank_card.card_html(studs, None if case is None else doing.open_case(case))
    if file.exists():
        raise BadInput(Fault("is there already and is not overwritten", str(file), allowed="a new file name"))
    made_known([doing.write_page("card for readings", html, target_of(file, ""))])
    return 0


@new.command(name="priors")
def new_priors(file: Path = Path("priors.toml"), /) -> int:
    """Write what the ranking of causes holds likely beforehand: every figure with its reason, to change."""
    from sim.causes import priors_file

    return _starter("prior assumptions", file, priors_file.text)


@new.command(name="stack")
def new_stack(file: Path = Path("stack.toml"), /) -> int:
    """Write a file for a tolerance stack: an invented population with the source of every figure, to change."""
    from sim.stack import study_file

    return _starter("population", file, study_file.starter_stack)


def _starter(kind: str, file: Path, text: Callable[[], str]) -> int:
    from scenes import files
    from scenes.command import doing

    if file.exists():
        raise BadInput(Fault("is there already and is not overwritten", str(file), allowed="a new file name"))
    target_of(file, "")
    made_known([doing.Made(f"starter file, {kind}", files.write_text(file, text()))])
    return 0
