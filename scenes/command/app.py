"""The ``trueseat`` command: reads the line, calls one function, prints what came of it. Nothing else prints.

What computes and what draws is imported inside the commands: numpy, scipy and the renderers take longer to load than
``trueseat --help`` may take.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence
from contextlib import suppress
from io import UnsupportedOperation
from pathlib import Path
from typing import Annotated, Literal, TextIO, get_args

from cyclopts import App, CoercionError, CycloptsError, MissingArgumentError, Parameter

from scenes.command import console, more, refused, slack, stack, starters, thin
from scenes.command.bench_options import BenchLimits
from scenes.command.options import (
    CasePath,
    Json,
    Km,
    Out,
    OutFile,
    Preset,
    Story,
    folder_of,
    made_known,
    target_of,
    write_json,
)
from scenes.command.road_options import Measured, RoadTest
from sim.errors import BadInput, Fault, NotFit, Refused, Scrap, TrueseatError
from sim.processes import allow_all_cores
from sim.wear.distances import to_drive_km

HELP = "From a badly seated brake rotor to a shaking car: seating, runout, wear over the road, and what to do about it."
EPILOGUE = (
    "Exit codes: 0 done (over a limit is still done), 2 bad input, 3 the physics refuses, 4 something is missing on "
    "this machine, 130 interrupted."
)


def _version() -> str:
    from importlib import metadata

    return metadata.version("trueseat")


app = App(name="trueseat", help=HELP, help_epilogue=EPILOGUE, version=_version, suppress_keyboard_interrupt=False)
app.command(starters.new)
more.register(app)
stack.register(app)

DEMO_FOLDER = Path("trueseat-demo")


@app.command
def seat(
    case: CasePath, /, *, as_json: Json = False, out: Out = None, preset: Preset = "standard"
) -> int:  # fmt: skip
    """Seat a rotor on its hub: contact, clamp, runout at the gauge."""
    from scenes.command import doing
    from sim import answers, chain

    folder = folder_of(out)
    with console.progress() as tell:
        result = chain.compute(doing.open_case(case), None, preset, tell, fields_too=folder is not None)
    made = doing.write_run(result, folder) if folder else []
    from scenes.command import tables

    if as_json:
        write_json(answers.seat_answer(result), tables.leads(result))
    else:
        spigot = () if result.spigot is None else (tables.spigot(result),)
        parts = (tables.found(result), *spigot, tables.seating(result), tables.next_steps(result))
        console.out().print(tables.headed(result.case.title, *parts))
    made_known(made, as_json)
    return 0


@app.command
def drive(
    case: CasePath,
    /,
    *,
    km: Km = 30_000.0,
    measured: Annotated[Measured | None, Parameter(name="*")] = None,
    road_test: Annotated[RoadTest | None, Parameter(name="*")] = None,
    as_json: Json = False,
    out: Out = None,
    preset: Preset = "standard",
) -> int:
    """Drive a corner: wear of both faces, thickness variation, kilometres until the limit, judder."""
    from scenes.command import by_table, doing
    from sim import answers, chain, worn_rotor

    folder = folder_of(out)
    corner = doing.open_case(case)
    given = measured or Measured()
    if given.mounted is not None and by_table.plays(corner, given.mounted):
        return by_table.at_the_bearing(corner, given.mounted, as_json, folder)
    if given.worn is not None and worn_rotor.has_play(corner, given.worn):
        return by_table.worn_on_play(corner, given.worn, as_json, folder)
    ordered = None
    if given.mounted is not None and by_table.none_counts(ordered := by_table.decided(corner, given.mounted)):
        return by_table.at_the_bearing(corner, given.mounted, as_json, folder, ordered)
    try:
        road = given.road(corner, to_drive_km(km))
        weighed = (road_test or RoadTest()).weighed(corner, None)
        with console.progress() as tell:
            result = chain.compute(corner, to_drive_km(km), preset, tell, folder is not None, road)
    except Scrap as scrap:
        return thin.answer(scrap, corner, given.worn or given.mounted, as_json, folder)
    if weighed is not None:
        weighed = (road_test or RoadTest()).weighed(corner, result.forecast)
    made = doing.write_run(result, folder) if folder else []
    from scenes.command import tables
    from scenes.words import road as road_words

    told = by_table.of(result, given.mounted, case, ordered)
    if as_json:
        tested = {} if weighed is None else {"road_test": answers.plain(weighed)}
        answer = answers.drive_answer(result) | road_words.withheld(result) | tested | told.machine
        write_json(answer, [*told.leads, *tables.leads(result)])
    else:
        test = () if weighed is None else (tables.road_test(weighed),)
        parts = (tables.found(result), tables.road(result), tables.life(result), tables.road_notes(result), *test)
        parts = (*tables.leading(told.leads), *parts, tables.next_steps(result, told.steps))
        read_from = given.read_from()
        title = f"{result.case.title}; {read_from}" if read_from else result.case.title
        console.out().print(tables.headed(title, *parts))
    made_known(made, as_json)
    return 0


@app.command
def index(
    case: Annotated[
        Path | None, Parameter(help="Case file; with --hub and --rotor it bounds the readings and gives the limits.")
    ] = None,
    /,
    *,
    hub: Annotated[Path | None, Parameter(help="Readings of the bare hub face (CSV).")] = None,
    rotor: Annotated[Path | None, Parameter(help="Readings of the mounted rotor (CSV).")] = None,
    shim: Annotated[tuple[float, ...], Parameter(help="Steps of tapered shims that can be had [µm at the dial].")] = (),
    limits: Annotated[BenchLimits | None, Parameter(name="*")] = None,
    thickness: Annotated[
        Path | None, Parameter(help="With a case: micrometer readings of the rotor's thickness (CSV), for a cut.")
    ] = None,
    as_json: Json = False,
    out: Out = None,
) -> int:
    """Find the best stud position, from a case or from two tables of readings."""
    from scenes.command import cure, doing, no_studs
    from sim.advice import Asked, from_case, from_readings

    unclear = BadInput(Fault("what to index is not clear", allowed="a case file, or --hub CSV --rotor CSV"))
    if rotor is not None and hub is None:
        reason = "alone it does not tell hub from rotor: `trueseat causes` takes one table of several mountings, "
        reason += "`trueseat chalk` two sweeps and a chalk mark"
        raise BadInput(Fault(reason, key="--rotor", allowed="--hub CSV beside it, the bare hub face"))
    if (hub is None) != (rotor is None) or (hub is None and case is None):
        raise unclear
    if thickness is not None and case is None:
        raise BadInput(
            Fault("a thickness counts against the case's discard thickness", key="--thickness", allowed="CASE")
        )
    if thickness is not None and hub is not None:
        reason = "counts with a case alone; beside --hub and --rotor its rows stand in the rotor's table"
        raise BadInput(Fault(reason, key="--thickness", allowed="CASE without tables"))
    if shim and case is not None and not case.exists() and case.name.replace(".", "").isdigit():
        raise BadInput(Fault(f"{case} stands alone", key="--shim", allowed=f"--shim {shim[-1]:g} --shim {case}"))
    folder = folder_of(out)
    corner = None if case is None else doing.open_case(case)
    mounted_um, hub_um = (limits or BenchLimits()).checked(corner)
    if corner is not None:
        corner = (limits or BenchLimits()).counted(corner)
    if hub is not None and rotor is not None:
        with console.progress() as tell:
            advice = from_readings(hub, rotor, Asked(mounted_um, hub_um, shim, corner), tell)
        console.count_as(advice.turned, advice.result.count)
    elif corner is not None:
        try:
            advice = from_case(corner, shim, thickness=thickness)
        except Scrap as scrap:
            return thin.answer(scrap, corner, thickness, as_json, folder)
    else:
        raise unclear
    made = doing.write_positions(advice, folder) if folder and not no_studs.why(advice) else []
    stated = cure.stated(advice, corner, hub_read=hub is not None)
    if as_json:
        write_json(cure.record(advice), [*stated.before, cure.instruction(advice), *stated.behind])
    else:
        from scenes.command import tables

        shown = cure.advice_table(advice, stated.behind)
        console.out().print(tables.headed(advice.title, *tables.leading(stated.before), shown))
    made_known(made, as_json)
    return 0


@app.command
def face(
    case: CasePath,
    /,
    *,
    kind: Annotated[Literal["hard", "crushable"], Parameter(help="What the dirt is.")] = "hard",
    as_json: Json = False,
    out: Out = None,
    preset: Preset = "fast",
) -> int:
    """Map how little dirt it takes, place by place on the hub face; takes up to a minute."""
    from scenes.command import cure, doing
    from scenes.words import what_leads
    from sim import answers
    from sim.corner import face_map as faces

    folder = folder_of(out)
    corner = doing.open_case(case)
    with console.progress() as tell:
        found = faces.face_map(corner, kind, preset, tell)
    made = doing.write_face(corner, found, folder) if folder else []
    leads = [*what_leads.of_case(corner, found.clean_um).lines, cure.face_over(corner, found)]
    if as_json:
        write_json(answers.face_answer(found), leads)
    else:
        from scenes.command import tables

        first = tables.leading(leads)
        console.out().print(tables.headed(corner.title, *first, cure.face_table(found)))
    made_known(made, as_json)
    return 0


@app.command
def check(*case_files: CasePath, as_json: Json = False) -> int:
    """Read case files and list all errors; changes nothing."""
    from scenes.command import doing
    from scenes.words import words
    from sim.parts.remarks import notes

    if not case_files:
        raise BadInput(Fault("no file was named", allowed="trueseat check FILE..."))
    records, faulty, scrap = [], False, False
    for path in case_files:
        faults: tuple[Fault, ...] = ()
        title = ""
        noted: tuple[str, ...] = ()
        try:
            case = doing.open_case(path)
            title, noted = case.title, notes(case)
        except BadInput as error:
            faults, faulty = error.faults, True
            for line in console.fault_lines(error):
                sys.stderr.write(line + "\n")
        except Refused as error:  # a rotor that is scrap: well written, and still not to be driven
            faults, scrap = (Fault(str(error)),), True
            for line in console.fault_lines(error):
                sys.stderr.write(line + "\n")
        told = [vars(fault) for fault in faults]
        records.append({"file": str(path), "title": title, "faults": told, "remarks": list(noted)})
        if not as_json and not faults:
            console.out().print(f"{path}: understood: {words.clean(title)}", markup=False, soft_wrap=True)
    if as_json:
        write_json({"files": records})
    return 2 if faulty else 3 if scrap else 0


@app.command(name="keys")
def keys_(*, as_json: Json = False) -> int:
    """Print every key of the case file: default, range, meaning, source."""
    from rich.text import Text

    from scenes.command import reference
    from sim.parts import keys

    if as_json:
        write_json({"keys": [reference.key_record(key) for key in keys.KEYS]})
        return 0
    show = console.out()
    for table, meaning in keys.TABLES.items():
        rows = [key for key in keys.KEYS if key.table == table]
        head = f"[[{table}]]" if table in keys.ARRAYS else f"[{table}]" if table else "at the top of the file"
        show.print(Text.assemble((head, "bold"), f"  {meaning}"), reference.key_table(rows), "")
    return 0


@app.command
def sources(*, as_json: Json = False) -> int:
    """Print where every default comes from, what the figures are checked against, and the words used."""
    from rich.text import Text

    from scenes.command import reference

    if as_json:
        pairs = {"sources": reference.sources(), "checks": list(reference.CHECKS)}
        write_json({name: [{"source": source, "for": what} for source, what in rows] for name, rows in pairs.items()})
        return 0
    show = console.out()
    show.print(Text("Where defaults come from", style="bold"), reference.source_table(reference.sources()), "")
    show.print(Text("What the figures are checked against", style="bold"), reference.source_table(reference.CHECKS), "")
    show.print(Text("Words", style="bold"), reference.glossary())
    return 0


@app.command
def demo(*, out: Out = DEMO_FOLDER, film: bool = True, as_json: Json = False) -> int:
    """Compute the demo corner dirty and clean, with report, pictures and one film."""
    from scenes.command import demonstration

    folder = folder_of(out) or DEMO_FOLDER
    show = console.err() if as_json else console.out()
    with console.progress() as tell:
        answer = demonstration.perform(
            folder, film, tell, lambda line: show.print(line, markup=False, soft_wrap=True)
        )  # fmt: skip
    if as_json:
        write_json(answer)
    return 0


@app.command
def report(
    run_or_case: Annotated[Path, Parameter(help="Run folder (written by --out) or case file.")],
    /,
    *,
    out: Out = None,
    km: Km = 30_000.0,
    pictures: bool = True,
    pdf: Annotated[bool, Parameter(negative=(), help="Print it to PDF as well.")] = False,
    sheet: Annotated[bool, Parameter(negative=(), help="Write the fitting sheet as well.")] = False,
    as_json: Json = False,
) -> int:
    """Write the report: one HTML file, page one for the technician, an appendix for the engineer."""
    from scenes import files
    from scenes.command import doing
    from scenes.pages import pdf as printer
    from scenes.words import to_do

    folder = files.folder(out or Path())
    if pdf:
        printer.browser()
    with console.progress() as tell:
        try:
            result = doing.open_run(run_or_case, to_drive_km(km), tell)
        except Scrap as scrap:
            corner = scrap.case or doing.open_case(run_or_case)
            console.speak_of(corner)
            return thin.answer(scrap, corner, None, as_json, folder, sheet, pdf)
        shown, missing = doing.stills(result, folder, doing.STILLS) if pictures else ([], "")
    made = [*shown, doing.write_report(result, folder / "report.html", doing.captioned(shown, result))]
    if sheet:
        made.append(doing.write_sheet(result.case, folder / "fitting-sheet.html", to_do.next_steps(result)))
    if pdf:
        pages = [item.path for item in made if item.path.suffix == ".html"]
        made += [doing.write_pdf(page, page.with_suffix(".pdf")) for page in pages]
    if as_json:
        from scenes.command import tables

        written = [{"what": item.what, "path": str(item.path)} for item in made]
        write_json({"title": result.case.title, "files": written}, tables.leads(result))
    made_known(made, as_json)
    if missing:
        console.err().print(f"trueseat: without pictures: {missing}", markup=False, soft_wrap=True)
    return 0


@app.command
def picture(
    case: Annotated[Path, Parameter(help="Run folder or case file.")],
    /,
    *,
    kind: Annotated[
        str,
        Parameter(
            help="Plots: runout, orders, face, road, ring, torque, speed. "
            "Pictures: corner, hub face, between the pads, section, ruler."
        ),
    ] = "corner",
    output: OutFile = None,
    km: Km = 30_000.0,
) -> int:
    """Draw one picture: a plot as SVG, or a still of the corner as PNG."""
    from scenes import files
    from scenes.command import doing

    doing.known_kind(kind)
    drawn = kind in doing.PLOTS
    path = target_of(output, f"{case.stem}-{kind.replace(' ', '-')}.{'svg' if drawn else 'png'}")
    doing.known_ending(kind, path)
    if not drawn and kind not in doing.FLAT:
        doing.need_gl()
    with console.progress() as tell:
        result = doing.open_run(case, to_drive_km(km), tell)
        if drawn:
            made = doing.Made(kind, files.write_text(path, doing.draw(result, kind)))
        else:
            made = doing.write_still(result, kind, path)
    made_known([made])
    return 0


@app.command
def storyboard(
    case: CasePath, /, *, story: Story = "where is the fault", output: OutFile = None, km: Km = 30_000.0
) -> int:
    """Draw six frames of a story on one sheet (PNG)."""
    from scenes.command import doing

    path = target_of(output, f"{case.stem}-storyboard.png")
    doing.known_ending("storyboard", path)
    doing.known_story(story)
    if story != doing.SPIGOT:
        doing.need_gl()
    with console.progress() as tell:
        result = doing.open_told(case, story, to_drive_km(km), lambda done, what: tell(0.3 * done, what))
        made = doing.write_storyboard(result, story, path, lambda done, what: tell(0.3 + 0.7 * done, what))
    made_known([made])
    return 0


@app.command
def film(
    case: Annotated[Path, Parameter(help="Run folder or case file of the corner told of.")],
    /,
    *,
    story: Story = "where is the fault",
    clean: Annotated[Path | None, Parameter(help="Its clean partner; without it the same corner, cleaned.")] = None,
    output: OutFile = None,
    km: Km = 30_000.0,
    draft: Annotated[bool, Parameter(help="Half the size, half the frames, for a trial.", negative="")] = False,
) -> int:
    """Make the film of a story (MP4, or GIF by its ending), with its captions beside it where it has them."""
    from scenes.command import doing

    path = target_of(output, f"{case.stem}-{story.replace(' ', '-')}.mp4")
    doing.known_story(story)
    doing.need_film(path, story)
    with console.progress() as tell:
        result = doing.open_told(case, story, to_drive_km(km), lambda done, what: tell(0.1 * done, what))
        partner = doing.open_run(clean, to_drive_km(km), lambda done, what: tell(0.1, what)) if clean else None
        made = doing.write_film(result, story, path, lambda done, what: tell(0.1 + 0.9 * done, what), partner, draft)
    made_known([made])
    return 0


@app.command
def look(case: Annotated[Path, Parameter(help="Run folder or case file.")], /) -> int:
    """Look round a corner in a window."""
    from scenes.command import doing

    doing.need_screen()
    with console.progress() as tell:
        result = doing.open_run(case, 30_000.0, tell)
    doing.look(result)
    return 0


@app.command
def export(
    run_or_case: Annotated[Path, Parameter(help="Run folder (written by --out) or case file.")],
    /,
    *,
    output: Annotated[Path, Parameter(name=["--output", "-o"], help="X.stl (mm), X.glb (metres) or X.csv.")],
    parts: Annotated[bool, Parameter(negative=(), help="STL: each part to a file of its own.")] = False,
) -> int:
    """Write the solids (STL, GLB) of a corner, or its traces (CSV): of a run, as readings of the worn rotor."""
    from scenes.command import exported, tables

    path = target_of(output, "")
    with console.progress() as tell:
        found = exported.export(run_or_case, path, tell, parts)
    for line in tables.leading(found.leads):
        console.out().print(line)
    made_known(found.made)
    return 0


def _fail(lines: Sequence[str], code: int) -> int:
    try:
        for line in lines:
            sys.stderr.write(line + "\n")
        sys.stderr.flush()
    except OSError:  # nobody can be told; the code still says it
        _nowhere(sys.stderr)
    return code


def _in_words(error: CycloptsError) -> Fault | None:
    """What is wrong with a word that stands where a number is asked for, or what is lacking; None for other errors."""
    if isinstance(error, MissingArgumentError) and error.keyword is None and error.argument is not None:
        name = error.argument.name
        return Fault("is missing", key=name, allowed=f"{name} with its value") if name.startswith("--") else None
    if not isinstance(error, CoercionError) or error.token is None:
        return None
    kinds = {error.target_type, *get_args(error.target_type)}
    if not kinds & {int, float}:
        return None
    word, number = error.token.value, "whole number" if int in kinds else "number"
    allowed = "a point, no comma: 5.0" if float in kinds and "," in word else f"a {number}"
    return Fault(f"{word[:40]!r} is no {number}", key=error.token.keyword or "", allowed=allowed)


def _streams() -> None:
    """Make both streams fit for what is printed: a closed one swallows it, no terminal stumbles over a micro sign."""
    for name in ("stdout", "stderr"):
        stream = getattr(sys, name)
        if stream is None:  # closed by whoever started us
            setattr(sys, name, Path(os.devnull).open("w", encoding="utf-8"))  # noqa: SIM115 - for the rest of the process
        elif hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")


def _nowhere(stream: TextIO) -> None:
    """Point a stream that takes no more at nothing, so that Python's own flush at the end stays quiet."""
    with suppress(UnsupportedOperation):  # a stream in memory has no end to flush
        os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())


def _ordered_all_the_same(error: TrueseatError, words: Sequence[str]) -> int | None:
    """Print what is done at a corner that a command refuses as its case gives it; None where nothing is ordered."""
    if isinstance(error, Scrap) and thin.is_ordered(error, words):
        console.speak_of(error.case)
        return thin.answer(error, error.case, None, "--json" in words)
    if isinstance(error, NotFit) and slack.is_ordered(error, words):
        console.speak_of(error.case)
        return slack.answer(error, error.case, "--json" in words)
    return refused.answered(error, words, console.Spoken.case) if isinstance(error, Refused) else None


def main(argv: Sequence[str] | None = None) -> int:
    """Run the command line and return its exit code; no traceback unless TRUESEAT_DEBUG is set.

    Parameters
    ----------
    argv : sequence of str, optional
        What stands after the program's name; the process's own line unless given.

    Returns
    -------
    int
        0 done, 2 bad input, 3 refused by the physics, 4 something missing on this machine, 130 interrupted.
    """
    _streams()
    console.speak_of()
    debug = bool(os.environ.get("TRUESEAT_DEBUG"))
    allow_all_cores()
    try:
        code = app(
            sys.argv[1:] if argv is None else list(argv),
            exit_on_error=False,
            print_error=False,
            result_action="return_value",
        )
        sys.stdout.flush()
    except CycloptsError as error:
        if (fault := _in_words(error)) is not None:
            return _fail(console.fault_lines(BadInput(fault)), 2)
        return _fail([f"trueseat: {' '.join(str(error).split())} (see: trueseat --help)"], 2)
    except TrueseatError as error:
        if debug:
            raise
        words = sys.argv[1:] if argv is None else list(argv)
        if (code := _ordered_all_the_same(error, words)) is not None:
            return code
        led = refused.lines(error, words, console.Spoken.case) if isinstance(error, Refused) else []
        return _fail([*led, *console.fault_lines(error)], error.exit_code)
    except KeyboardInterrupt:
        return _fail(["trueseat: interrupted; nothing was left half-written"], 130)
    except BrokenPipeError:
        # Whoever read us has read enough (head, less).
        _nowhere(sys.stdout)
        return 0
    except OSError as error:
        # Files of results have their own refusals; what is left is a name that cannot be one, or a stdout that takes
        # no more, such as a full disk.
        if debug:
            raise
        if error.filename is not None:
            return _fail(
                console.fault_lines(BadInput(Fault(f"cannot be used: {error.strerror}", f"{error.filename}"))), 2
            )
        _nowhere(sys.stdout)
        return _fail([f"trueseat: the results cannot be written to standard output: {error.strerror}"], 2)
    finally:
        if "scenes.files" in sys.modules:
            sys.modules["scenes.files"].leave_no_empty_folder()
    return code if isinstance(code, int) else 0


if __name__ == "__main__":
    sys.exit(main())
