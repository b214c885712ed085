"""The command ``stack``: what share of corners passes, before and after each cure, and what limit it takes."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

from cyclopts import App, Parameter

from scenes.command import console
from scenes.command.options import Json, Out, folder_of, made_known, write_json
from sim.errors import BadInput, Fault

if TYPE_CHECKING:
    from rich.console import RenderableType

    from scenes.command.doing import Made
    from sim.stack.answer import Answer
    from sim.stack.study import Study

CASE_COLUMNS = ("found_um", "cleaned_um", "indexed_um", "both_um", "found_driven_um")


@dataclass(frozen=True)
class Draws:
    """How corners are drawn; what is left out is as the file says."""

    samples: Annotated[int | None, Parameter(help="Corners drawn at the most.")] = None
    seed: Annotated[int | None, Parameter(help="Other corners.")] = None
    driven: Annotated[bool | None, Parameter(help="As driven too, or only as read (faster).")] = None
    workers: Annotated[int | None, Parameter(help="Processes; one a core unless given.")] = None

    def of(self, study: Study) -> Study:
        """The study with what the line says."""
        given: dict[str, Any] = {"samples": self.samples, "seed": self.seed, "driven": self.driven}
        return replace(study, **{name: value for name, value in given.items() if value is not None})


@dataclass(frozen=True)
class OneCorner:
    """One of the drawn corners, to look at."""

    corner: Annotated[int | None, Parameter(help="Number of a drawn corner, from 0: only that one is computed.")] = None
    write_case: Annotated[Path | None, Parameter(help="Case file to write of it, with --corner.")] = None


def register(app: App) -> None:
    """Add the command."""
    app.command(stack)


def stack(
    study: Annotated[Path, Parameter(help="File of the stack (new stack FILE writes one), or population_rear.")],
    /,
    *,
    draws: Annotated[Draws | None, Parameter(name="*")] = None,
    one: Annotated[OneCorner | None, Parameter(name="*")] = None,
    as_json: Json = False,
    out: Out = None,
) -> int:
    """Stack tolerances: worst case, root sum square, drawn corners, reject rate before and after each cure."""
    from scenes.command import tables
    from sim import answers
    from sim.stack import answer as answered
    from sim.stack.run import run
    from sim.stack.study_file import load_study

    draws, one = draws or Draws(), one or OneCorner()
    asked = draws.of(load_study(study))
    folder = folder_of(out)
    if one.corner is not None or one.write_case is not None:
        return _one(asked, one, as_json)
    with console.progress() as tell:
        try:
            result = run(asked, draws.workers, folder, progress=lambda done, what: tell(0.95 * done, what))
        except KeyboardInterrupt:
            _kept(folder)
            raise
        found = answered.answer(result, lambda done, what: tell(0.95 + 0.05 * done, what))
    made = [] if folder is None else _written(found, folder)
    if as_json:
        write_json(answers.plain(answered.told(found)))
    else:
        console.out().print(tables.headed(asked.population.title, *_shown(found)))
    made_known(made, as_json)
    return 0


def _kept(folder: Path | None) -> None:
    where = "give --out FOLDER to keep what is drawn" if folder is None else f"kept in {folder}; the same line goes on"
    console.err().print(f"trueseat: {where}", markup=False, soft_wrap=True)


def _shown(found: Answer) -> list[RenderableType]:
    from rich.text import Text

    from scenes.command.tables_more import _table
    from scenes.words import stack as said

    states = _table("corners", "mean", "50 %", "95 %", "99 %", "over the limit", "95 % interval")
    for row in said.rows(found):
        states.add_row(*row)
    parts = _table("tolerance at its limit", "limit", "alone, TIR", "of root sum square")
    for row in said.part_rows(found):
        parts.add_row(*row)
    notes = [Text(f"! {line}") for line in said.notes(found)]
    return [Text(said.lead(found), style="bold"), Text(), states, Text(), parts, Text(), *notes]


def _written(found: Answer, folder: Path) -> list[Made]:
    """Write the answer and all that was drawn."""
    from scenes import files
    from scenes.command.doing import Made
    from sim import answers
    from sim.stack import answer as answered
    from sim.stack import table

    text = answers.text(answers.plain(answered.told(found)))
    made = [Made("answer", files.write_text(folder / "stack.json", text + "\n"))]
    made.append(Made("drawn corners", files.write_bytes(folder / "draws.npz", table.draws_npz(found.result))))
    made.append(Made("their dirt", files.write_bytes(folder / "patches.npz", table.patches_npz(found.result))))
    return made


def _one(study: Study, one: OneCorner, as_json: bool) -> int:
    """Compute one of the drawn corners, and write it as a case."""
    from scenes import files
    from scenes.command import hand_on, tables
    from scenes.command.doing import Made
    from scenes.command.tables_more import _table
    from scenes.words import words
    from sim import answers
    from sim.files.rewritten_case import written
    from sim.stack.one import corner

    if one.corner is None:
        raise BadInput(Fault("a case is written of one drawn corner", key="--write-case", allowed="with --corner N"))
    if one.corner >= study.samples:
        allowed = f"0 .. {study.samples - 1}"
        raise BadInput(Fault(f"{one.corner} was not drawn", key="--corner", allowed=allowed))
    hand_on.need_new(one.write_case)
    found = corner(study, one.corner)
    made = []
    if one.write_case is not None:
        remarks = (
            f"Corner {one.corner} of an assumed population, seed {study.seed}: drawn, not measured.",
            f"trueseat seat FILE --preset {study.preset} reads {found.outcome['found_um']:.3f} µm.",
        )
        made.append(Made("case", files.write_text(one.write_case, written(found.case, remarks))))
    if as_json:
        write_json(answers.plain({"corner": one.corner, "drawn": found.drawn, "outcome": found.outcome}))
    else:
        rows: Any = _table("drawn", "figure")
        for name, value in found.drawn.items():
            rows.add_row(name, words.number(value, 4))
        reads: Any = _table("reads, TIR", "µm")
        for name in CASE_COLUMNS:
            if name in found.outcome:
                reads.add_row(name.removesuffix("_um").replace("_", " "), words.micrometres(found.outcome[name]))
        console.out().print(tables.headed(f"{study.population.title}: corner {one.corner}", rows, reads))
    made_known(made, as_json)
    return 0
