"""The command ``foil``: a strip of steel foil prescribed, the dial foretold, readings held against it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

from cyclopts import Parameter

from scenes.command import console
from scenes.command.options import WHOLE, CasePath, Json, Out, folder_of, made_known, write_json
from sim.errors import BadInput, Fault, Missing

if TYPE_CHECKING:
    from rich.console import RenderableType

    from scenes.command.doing import Made
    from sim.bench.foil import Prescription
    from sim.bench.foil_forecast import Expected
    from sim.bench.foil_reading import Held
    from sim.parts.case import Studs

SEED = 1
CLASS_SHEET, FORECAST, TABLE = "foil-sheet.html", "foil-forecast.html", "foil-readings.csv"


@dataclass(frozen=True)
class Strip:
    """What the class has, and how many trials it takes."""

    thickness_um: Annotated[float | None, Parameter(help="The strip by micrometer [µm]; chosen unless given.")] = None
    width_mm: Annotated[float, Parameter(help="Width of the strip [mm].")] = 12.7
    length_mm: Annotated[float, Parameter(help="Its length along the radius [mm].")] = 12.0
    trials: Annotated[
        int, WHOLE, Parameter(help="Trials, 1 to 4: outer edge, across the hub, further in, two strips.")
    ] = 3


def foil(
    case: CasePath,
    /,
    *,
    strip: Annotated[Strip | None, Parameter(name="*")] = None,
    readings: Annotated[
        Path | None, Parameter(help="Readings (CSV): mount 1 without foil, the trials, without foil again.")
    ] = None,
    log: Annotated[
        Path | None, Parameter(help="Log (CSV) to which this class adds its lines, with --readings.")
    ] = None,
    class_name: Annotated[str, Parameter(name="--class", help="What the log calls this class.")] = "",
    as_json: Json = False,
    out: Out = None,
) -> int:
    """Prescribe a strip of steel foil for a hub and rotor on a stand, never driven; foretell the dial, compare it."""
    from scenes.command import doing
    from sim.bench import foil as strips
    from sim.bench import foil_forecast, foil_reading
    from sim.files import dial_readings
    from sim.files.case_file import file_of
    from sim.files.toml_text import read_text
    from sim.spigot.state import need_free_spigot

    if readings is None and (log is not None or class_name):
        raise BadInput(Fault("there is nothing to log", key="--log", allowed="with --readings FILE"))
    strip = strip or Strip()
    folder = folder_of(out)
    corner = doing.open_case(file_of(case))
    need_free_spigot(corner)  # no strip is foretold on a rotor that does not come home
    kept = _log_text(log)
    bench = None
    if readings is not None:
        read = dial_readings.parse(read_text(readings), str(readings), None, dial_readings.bounds_of(corner))
        bench = foil_reading.bench_of(read, strip.trials, readings)
    with console.progress() as tell:
        of = strips.prescribe(corner, strip.thickness_um, strip.width_mm, strip.length_mm, strip.trials)
        expected = foil_forecast.forecast(of, None if bench is None else bench.read(SEED), tell)
    held = () if bench is None else foil_reading.hold(expected, bench)
    made = [] if folder is None else _pages(of, expected, held, folder)
    if log is not None and bench is not None:
        made.append(_logged(log, kept, of, held, (class_name, bench.dial_um)))
    if as_json:
        write_json(answer(of, expected, held))
    else:
        from scenes.command import tables

        console.out().print(tables.headed(of.case.title, _table(of, expected, held)))
    made_known(made, as_json)
    if log is not None and bench is not None and not as_json:
        _stands(log)
    return 0


def _stands(log: Path) -> None:
    """Say how the log stands, where anything in it counts."""
    from scenes.words import foil as said
    from sim.files import foil_log
    from sim.files.toml_text import read_text

    counted, runout, vector = foil_log.tally(read_text(log))
    if counted:
        console.out().print(said.logged(counted, runout, vector), markup=False, soft_wrap=True)


def _pages(of: Prescription, expected: tuple[Expected, ...], held: tuple[Held, ...], folder: Path) -> list[Made]:
    """Write the class's sheet, the forecast's page and an empty table, printed too where a browser is there."""
    from scenes import files
    from scenes.command import doing
    from scenes.pages import foil as pages

    made = []
    if not held:
        made.append(doing.Made("class sheet", files.write_text(folder / CLASS_SHEET, pages.class_html(of))))
        if not (folder / TABLE).exists():
            made.append(doing.Made("table to fill in", files.write_text(folder / TABLE, empty_table(of))))
    page = files.write_text(folder / FORECAST, pages.forecast_html(of, expected, held))
    made.append(doing.Made("foretold and read" if held else "forecast, for the trainer", page))
    try:
        made += [
            doing.Made(f"{item.what}, for printing", doing.write_pdf(item.path, item.path.with_suffix(".pdf")).path)
            for item in tuple(made)
            if item.path.suffix == ".html"
        ]
    except Missing as lacking:
        console.err().print(f"trueseat: not printed: {lacking}", markup=False, soft_wrap=True)
    return made


def empty_table(of: Prescription) -> str:
    """Write a table of readings to fill in: a mount for every trial, and one without foil before and after."""
    from sim.bench.foil import DIAL_UM, PLACES

    case, count = of.case, len(of.trials)
    names = ["no foil", *(trial.name for trial in of.trials), "no foil, again"]
    lines = [
        "# Foil lesson: on a stand, never driven. Fill in reading_um; the painted hole stays on stud 1.",
        "# Angles count counter-clockwise seen from outside: turn the rotor clockwise under a dial that stands still.",
        "# turned: counter-clockwise",
        "# dial: + towards",
        f"# dial_um: {DIAL_UM:g}",
        f"# studs: {case.studs.count}",
        f"# gauge_radius_mm: {case.gauge_radius_mm:g}",
        "trace,mount,studs_turned,angle_deg,reading_um,state,clamped_by",
    ]
    for mount, name in enumerate(names, 1):
        lines.append(f"# remark: mount {mount} of {count + 2}, {name}")
        lines += [f"mounted,{mount},0,{360 * k // PLACES},,cleaned,nuts and spacers" for k in range(PLACES + 1)]
    return "\n".join(lines) + "\n"


def _log_text(log: Path | None) -> str:
    """What stands in the log so far; refused before anything is computed where it is no such log."""
    from scenes import files
    from sim.files import foil_log
    from sim.files.toml_text import read_text

    if log is None:
        return ""
    if log.is_dir():
        raise BadInput(Fault("is a folder, not a file", str(log), key="--log"))
    files.folder(log.parent)
    text = read_text(log) if log.exists() else ""
    foil_log.added(text, (), str(log))
    return text


def _logged(log: Path, before: str, of: Prescription, held: tuple[Held, ...], said: tuple[str, float]) -> Made:
    from datetime import date
    from importlib import metadata

    from scenes import files
    from scenes.command import doing
    from sim.files import foil_log

    rows = []
    for one in held:
        strip, wanted = one.expected.trial.foils[0], one.expected
        rows.append(
            {
                "date": date.today().isoformat(),
                "version": metadata.version("trueseat"),
                "corner": of.case.title,
                "class": said[0],
                "trial": wanted.trial.name,
                "thickness_um": strip.thickness_um,
                "width_mm": strip.width_mm,
                "length_mm": strip.length_mm,
                "angle_deg": strip.angle_deg,
                "outer_radius_mm": strip.outer_radius_mm,
                "torque_nm": _torque(of.case.studs),
                "dial_um": said[1],
                "places": wanted.angle_deg.size,
                "foretold_um": wanted.runout_um[1],
                "foretold_low_um": wanted.runout_um[0],
                "foretold_high_um": wanted.runout_um[2],
                "foretold_order_1_um": abs(wanted.order_um),
                "foretold_high_spot_deg": wanted.high_spot_deg,
                "read_um": one.runout_um,
                "read_order_1_um": abs(one.order_um),
                "read_high_spot_deg": one.high_spot_deg,
                "vector": one.vector,
                "runout": one.runout,
                "remark": one.why,
            }
        )
    return doing.Made("log", files.write_text(log, foil_log.added(before, rows, str(log))))


def _torque(studs: Studs) -> str:
    """Torque of the nuts for the log, a figure each where they differ; empty where a pull was given."""
    given = () if studs.torque_nm is None else studs.torque_nm
    each = given if isinstance(given, tuple) else (given,)
    return " ".join(f"{one:g}" for one in dict.fromkeys(each))


def answer(of: Prescription, expected: tuple[Expected, ...], held: tuple[Held, ...]) -> dict[str, Any]:
    """Return what ``--json`` prints: the prescription, what is foretold, what was read."""
    from scenes.words import foil as said
    from sim import answers, turn

    trials = []
    for number, one in enumerate(expected):
        row: dict[str, Any] = {
            "name": one.trial.name,
            "mount": number + 2,
            "foils": one.trial.foils,
            "tells": one.tells,
            "foretold": {
                "runout_um": dict(zip(("low", "middle", "high"), one.runout_um, strict=True)),
                "order_1_um": dict(zip(("low", "middle", "high"), one.amplitude_um, strict=True)),
                "high_spot_deg": one.high_spot_deg,
                "high_spot_half_deg": one.high_spot_half_deg,
                "as_written_um": turn.tir(one.change_um),
                "pressure_mpa": one.peak_mpa,
                "force_n": one.force_n,
            },
            "words": said.foretold(one),
        }
        if held:
            read = held[number]
            row["read"] = {
                "runout_um": read.runout_um,
                "order_1_um": abs(read.order_um),
                "high_spot_deg": read.high_spot_deg,
                "mounted_um": read.mounted_um,
                "mounted_band_um": read.mounted_band_um,
                "vector": read.vector,
                "runout": read.runout,
                "remark": read.why,
            }
            row["words"] = said.verdict(read)
        trials.append(row)
    return answers.plain(
        {
            "title": of.case.title,
            "never_driven": said.ON_A_STAND,
            "repeats_um": of.alone_um,
            "trials": trials,
            "summary": said.summary(held) if held else "",
        }
    )


def _table(of: Prescription, expected: tuple[Expected, ...], held: tuple[Held, ...]) -> RenderableType:
    from rich.console import Group
    from rich.text import Text

    from scenes.words import foil as said

    lines: list[RenderableType] = [
        Text(f"▲ {said.NEVER_DRIVEN.upper()}. {said.ON_A_STAND}", style="bold"),
        Text(),
        Text(f"Strip of steel foil: {said.strip(of.trials[0].foils[0])}."),
        Text("Mount 1 without foil, then:"),
    ]
    count = of.case.studs.count
    for number, one in enumerate(expected):
        lines.append(Text.assemble((f"Mount {number + 2}, {one.trial.name}: ", "bold"), said.places(one.trial, count)))
        lines.append(Text(f"    {said.verdict(held[number]) if held else said.foretold(one)}"))
    lines.append(Text(f"Mount {len(expected) + 2} without foil again."))
    if held:
        lines.append(Text(said.summary(held), style="bold"))
    lines.append(Text(said.by_themselves(of.alone_um)))
    lines.append(Text(said.UNCERTAIN))
    return Group(*lines)
