"""The command ``stack``: what share of corners passes, before and after each cure, and what limit it takes."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Literal

from cyclopts import App, Parameter

from scenes.command import console
from scenes.command.options import WHOLE, Json, Out, folder_of, made_known, write_json
from sim.errors import BadInput, Fault

if TYPE_CHECKING:
    from concurrent.futures import Executor

    from rich.console import RenderableType

    from scenes.command.doing import Made
    from sim.progress import Progress
    from sim.stack.answer import Answer
    from sim.stack.run import Result
    from sim.stack.study import Study

CASE_COLUMNS = ("found_um", "cleaned_um", "indexed_um", "both_um", "found_driven_um")


@dataclass(frozen=True)
class Draws:
    """How corners are drawn; what is left out is as the file says."""

    samples: Annotated[int | None, WHOLE, Parameter(help="Corners drawn at the most.")] = None
    seed: Annotated[int | None, WHOLE, Parameter(help="Other corners.")] = None
    driven: Annotated[bool | None, Parameter(help="As driven too, or only as read (faster).")] = None
    workers: Annotated[int | None, WHOLE, Parameter(help="Processes; one a core unless given.")] = None
    scheduler: Annotated[
        str, Parameter(help="Cluster that computes instead: tcp://127.0.0.1:8786 or tls://HOST:8786.")
    ] = ""

    def of(self, study: Study) -> Study:
        """The study with what the line says."""
        given: dict[str, Any] = {"samples": self.samples, "seed": self.seed, "driven": self.driven}
        return replace(study, **{name: value for name, value in given.items() if value is not None})


@dataclass(frozen=True)
class Questions:
    """What else is asked of what was drawn."""

    loosest: Annotated[
        tuple[str, ...],
        Parameter(negative=(), help="How loose may this limit be: a key, dirt by its name, torque from nut to nut."),
    ] = ()
    state: Annotated[
        Literal["found", "cleaned", "indexed", "both", "found driven", "cleaned driven", "both driven"],
        Parameter(help="Corners that --loosest holds against the limit."),
    ] = "found"
    within: Annotated[float | None, Parameter(help="Share of corners that shall be within, such as 0.99.")] = None
    sensitivity: Annotated[int, WHOLE, Parameter(help="Corners of each sample behind the sensitivities; 0: none.")] = (
        256
    )
    audit: Annotated[
        Path | None, Parameter(help="Runouts read on cars as found (CSV, runout_um): the population is fitted to them.")
    ] = None
    km: Annotated[float | None, Parameter(help="Drive corners too: share over the thickness variation [km].")] = None
    chained: Annotated[int, WHOLE, Parameter(help="Corners that are driven, with --km.")] = 1000


@dataclass(frozen=True)
class OneCorner:
    """One of the drawn corners, to look at."""

    corner: Annotated[
        int | None, WHOLE, Parameter(help="Number of a drawn corner, from 0: only that one is computed.")
    ] = None
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
    questions: Annotated[Questions | None, Parameter(name="*")] = None,
    as_json: Json = False,
    out: Out = None,
) -> int:
    """Stack tolerances: worst case, root sum square, drawn corners, reject rate before and after each cure."""
    from scenes.command import cluster, tables
    from sim import answers
    from sim.stack import answer as answered
    from sim.stack.hands import processes
    from sim.stack.loosest import known
    from sim.stack.run import run
    from sim.stack.study_file import load_study

    draws, one, asks = draws or Draws(), one or OneCorner(), questions or Questions()
    asked = draws.of(load_study(study))
    if asks.within is not None:
        asked = replace(asked, population=replace(asked.population, share_within=asks.within))
    folder = folder_of(out)
    if one.corner is not None or one.write_case is not None:
        return _one(asked, one, as_json)
    known(asked.population, asks.loosest)
    need_asked(asks)
    audited = None if asks.audit is None else _audited(asks.audit)
    _better_told(asked)
    with (
        console.progress() as tell,
        cluster.executor(draws.scheduler) as elsewhere,
        processes(1 if elsewhere else draws.workers) as here,
    ):
        at = Hands(draws.workers, elsewhere or here)
        try:
            result = run(asked, at.workers, folder, at.executor, lambda done, what: tell(0.7 * done, what))
        except KeyboardInterrupt:
            _kept(folder)
            raise
        found = questioned(result, asks, at, audited, lambda done, what: tell(0.7 + 0.3 * done, what))
    made = [] if folder is None else _written(found, folder)
    if as_json:
        write_json(answers.plain(answered.told(found)))
    else:
        console.out().print(tables.headed(asked.population.title, *_shown(found)))
    made_known(made, as_json)
    return 0


@dataclass(frozen=True)
class Hands:
    """What computes: processes of this machine, or an executor."""

    workers: int | None
    executor: Executor | None


def need_asked(asks: Questions) -> None:
    """Refuse numbers that no question can have, before anything is drawn.

    Raises
    ------
    BadInput
    """
    from sim.stack.road import need_drive
    from sim.stack.sensitivity import need_samples

    if asks.sensitivity:
        need_samples(asks.sensitivity)
    if asks.km is not None:
        need_drive(asks.chained, asks.km)


def _better_told(study: Study) -> None:
    """Say before anything is drawn which number of corners would tell more, and why."""
    from sim.stack.enough import better

    found = better(study)
    if found is not None:
        line = f"trueseat: --samples {found.samples} instead of {study.samples}: {found.why}; going on with yours"
        console.err().print(line, markup=False, soft_wrap=True)


def _audited(path: Path) -> tuple[float, ...]:
    """Read audited runouts, before anything is drawn: a file that cannot be used is refused at once."""
    from sim.stack.fit import need_enough
    from sim.stack.study_file import read_runouts

    read = read_runouts(path)
    need_enough(read)
    return read


def questioned(
    result: Result, asks: Questions, hands: Hands, audited: tuple[float, ...] | None, tell: Progress
) -> Answer:
    """Answer all that is asked of what was drawn."""
    from sim.stack.answer import answer
    from sim.stack.levers import worths
    from sim.stack.loosest import loosest
    from sim.stack.road import driven
    from sim.stack.sensitivity import sensitivity

    study = result.study
    state = asks.state.replace(" ", "_") + "_um"
    more: dict[str, Any] = {"loosest": [loosest(result, key, state) for key in asks.loosest]}
    more["levers"] = worths(result, hands.workers, hands.executor, lambda done, what: tell(0.2 * done, what))
    if asks.sensitivity:
        more["sensitivity"] = sensitivity(
            study, asks.sensitivity, hands.workers, hands.executor, lambda done, what: tell(0.2 + 0.4 * done, what)
        )
    if audited is not None:
        from sim.stack.fit import fitted

        more["fit"] = fitted(result, audited, study.seed)
    if asks.km is not None:
        more["road"] = driven(
            study, asks.chained, asks.km, hands.workers, hands.executor, lambda done, what: tell(0.6 + 0.4 * done, what)
        )
    return replace(answer(result), more=more)


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
    first = (
        said.lead(found),
        *said.brought_along(found),
        *said.loosest_lines(found),
        *said.road_lines(found),
        *said.fit_lines(found),
    )
    lines = [Text(line, style="bold") for line in first]
    out: list[RenderableType] = [*lines, Text(), states, Text(), parts]
    for heads, more in said.further(found):
        table = _table(*heads)
        for row in more:
            table.add_row(*row)
        out += [Text(), table]
    notes = [Text(f"! {line}") for line in said.notes(found)]
    return [*out, Text(), *notes, *(Text(line) for line in said.pace_lines(found.result.pace))]


def _written(found: Answer, folder: Path) -> list[Made]:
    """Write the answer and all that was drawn."""
    from scenes import files
    from scenes.command.doing import Made
    from scenes.pages.stack import stack_html
    from sim import answers
    from sim.stack import answer as answered
    from sim.stack import table

    text = answers.text(answers.plain(answered.told(found)))
    made = [Made("answer", files.write_text(folder / "stack.json", text + "\n"))]
    made.append(Made("drawn corners", files.write_bytes(folder / "draws.npz", table.draws_npz(found.result))))
    made.append(Made("their dirt", files.write_bytes(folder / "patches.npz", table.patches_npz(found.result))))
    made.append(Made("report", files.write_text(folder / "stack.html", stack_html(found))))
    return made


def _one(study: Study, one: OneCorner, as_json: bool) -> int:
    """Compute one of the drawn corners, and write it as a case."""
    from rich.text import Text

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
    if not 0 <= one.corner < study.samples:
        allowed = f"0 .. {study.samples - 1}"
        raise BadInput(Fault(f"{one.corner} was not drawn", key="--corner", allowed=allowed))
    hand_on.need_new(one.write_case)
    found = corner(study, one.corner)
    made = []
    if one.write_case is not None:
        remarks = (
            f"Corner {one.corner} of an assumed population, seed {study.seed}: drawn, not measured.",
            f"trueseat seat FILE --preset {study.preset} reads {found.outcome['found_um']:.3f} µm.",
            *([f"As drawn it is {found.unfit}"] if found.unfit else []),
        )
        made.append(Made("case", files.write_text(one.write_case, written(found.case, remarks))))
    if as_json:
        told = {"corner": one.corner, "drawn": found.drawn, "outcome": found.outcome, "not_fit_to_drive": found.unfit}
        write_json(answers.plain(told))
    else:
        rows: Any = _table("drawn", "figure")
        for name, value in found.drawn.items():
            rows.add_row(name, words.number(value, 4))
        reads: Any = _table("reads, TIR", "µm")
        for name in CASE_COLUMNS:
            if name in found.outcome:
                reads.add_row(name.removesuffix("_um").replace("_", " "), words.micrometres(found.outcome[name]))
        warned = [Text(f"! As drawn it is {found.unfit}", style="bold")] if found.unfit else []
        console.out().print(tables.headed(f"{study.population.title}: corner {one.corner}", *warned, rows, reads))
    made_known(made, as_json)
    return 0
