"""More commands: clampings, the findings, the duty table, what a worn rotor tells, what remains, verification.

Registered on the command of `scenes.command.app`; imports that compute or draw stay inside, as there.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Literal

from cyclopts import App, Parameter

from scenes.command import console, slack, thin
from scenes.command.bench import bench
from scenes.command.causes import causes
from scenes.command.foil import foil
from scenes.command.handout import handout
from scenes.command.lesson import lesson
from scenes.command.options import (
    KM_GIVE_OR_TAKE,
    WHOLE,
    CasePath,
    GiveOrTake,
    Json,
    Km,
    Out,
    OutFile,
    folder_of,
    made_known,
    share_known,
    target_of,
    write_json,
)  # fmt: skip
from sim.errors import BadInput, Fault, Refused, Scrap
from sim.wear.distances import since_fitted_km, to_drive_km

if TYPE_CHECKING:
    from sim.parts.case import Case


LEAST_READ_UM = 1.0  # less is no dial's division, but a figure in millimetres
ASK = "--case with a file of your own corner"
FROM_THE_CASE, FROM_THE_DEMO = "from the case", f"from the demo corner, which counts here; {ASK}"
MOST_READ_UM = 3000.0  # a workshop dial's travel is spent long before; judgement


def register(app: App) -> None:
    """Add the commands of this module."""
    for command in (causes, clamp, chalk, findings, foil, duty, lesson, handout, bench, memory, remains, verify):
        app.command(command)


def _corner(case: Path | None) -> Case:
    from scenes.command import doing

    return doing.demo_case("dirty") if case is None else doing.open_case(case)


@contextmanager
def _no_case_of(case: Path | None) -> Iterator[None]:
    """Where no case was given, what does not fit the demo corner asks for one."""
    try:
        yield
    except BadInput as refused:
        if case is not None:
            raise
        raise BadInput([_of_the_demo_corner(one) for one in refused.faults]) from None


def _of_the_demo_corner(one: Fault) -> Fault:
    """Name the demo corner where a fault names a case that nobody gave."""
    if FROM_THE_CASE in one.allowed:
        return replace(one, allowed=one.allowed.replace(FROM_THE_CASE, FROM_THE_DEMO))
    if "in the case" in one.reason:
        reason = one.reason.replace("in the case", "at the demo corner, which counts here")
        return replace(one, reason=reason, allowed=ASK)
    return one


def _write(folder: Path | None, files_: dict[str, Callable[[], str]]) -> list[Any]:
    """Draw and write what was asked for; nothing is drawn without a folder."""
    from scenes import files
    from scenes.command import doing

    if folder is None:
        return []
    return [doing.Made(name.split(".")[0], files.write_text(folder / name, text())) for name, text in files_.items()]


def clamp(
    case: CasePath,
    /,
    *,
    reading: Annotated[float | None, Parameter(help="What the dial showed, TIR [µm].")] = None,
    by: Annotated[str, Parameter(help="Clamping under which it was read, as table or case file name it.")] = "",
    as_json: Json = False,
    out: Out = None,
) -> int:
    """Read one corner under every clamping, as driven beside it; say which reading can be trusted."""
    from scenes.command import tables, tables_more
    from scenes.plots import findings as plots_findings
    from scenes.words import loose_nut, what_leads
    from sim import answers
    from sim.corner import behind_reading, clampings, trust
    from sim.spigot.state import need_free_spigot

    folder = folder_of(out)
    corner = _corner(case)
    need_free_spigot(corner)  # before the torque of the road is asked for: nobody tightens nuts over scale
    _known_reading(reading, by, [*clampings.clampings(corner), *behind_reading.WORDS])
    with console.progress() as tell:
        behind, with_hub = None, {}
        if reading is not None:
            behind = behind_reading.driven_given_reading(corner, by, reading, progress=tell)
            with_hub = behind_reading.with_hubs_read(corner, by, reading)
        read = clampings.compare(corner)
        trusted = trust.trusted_clampings(corner, progress=tell)
    limit_um = corner.limits.mounted_runout_um
    made = _write(folder, {"clampings.svg": lambda: plots_findings.clampings(read, limit_um, True, behind, by)})
    stated = what_leads.of_case(corner, reading or 0.0)
    leads, held_badly = stated.lines, loose_nut.leads(corner) or stated.bearing
    if held_badly:  # no reading of a corner that is held so counts
        trusted = tuple(replace(one, most=False) for one in trusted)
    if as_json:
        answer: dict[str, Any] = {"title": corner.title, "readings": read, "trust": trusted, "prediction": behind}
        answer["with_bare_hub"] = [
            {"hub_um": hub_um, "low_um": one.low_um, "middle_um": one.middle_um, "high_um": one.high_um}
            for hub_um, one in with_hub.items()
        ]
        write_json(answers.plain(answer), leads)
    else:
        shown = tables_more.clampings(read, trusted, behind, by, limit_um, with_hub, bool(held_badly))
        console.out().print(tables.headed(corner.title, *tables.leading(leads), shown))
    made_known(made, as_json)
    return 0


def chalk(
    *,
    studs: Annotated[int, WHOLE, Parameter(help="Studs or bolts that the page starts with.")] = 5,
    limit: Annotated[float, Parameter(help="Mounted runout allowed by the vehicle maker, TIR [µm]; 0 for none.")] = 0.0,
    output: OutFile = None,
) -> int:
    """Write the page for a phone beside the car: two sweeps, a chalk mark, the hole to try."""
    from scenes import files
    from scenes.pages.chalk import page_html

    path = target_of(output, "chalk.html")
    if path.suffix.lower() != ".html":
        raise BadInput(Fault(f"a page is not written as {path.suffix!r}", str(path), allowed=".html"))
    html = page_html(studs, limit)
    console.out().print(f"page: {files.write_text(path, html)}")
    return 0


def _known_reading(reading: float | None, by: str, known: list[str]) -> None:
    """Refuse a reading that cannot be one, or whose clamping is not named, before anything is computed."""
    faults = []
    if reading is None and by:
        faults.append(Fault("there is a clamping, but no reading", key="--reading", allowed="what the dial showed, µm"))
    if reading is not None and not LEAST_READ_UM <= reading < MOST_READ_UM:
        allowed = f"{LEAST_READ_UM:g} to {MOST_READ_UM:g} µm; 0.09 mm is 90"
        faults.append(Fault(f"{reading:g} is out of range", key="--reading", allowed=allowed))
    if reading is not None and by not in known:
        reason = (
            f"{by!r} is not one of the clampings" if by else "is missing: a reading counts with what held the rotor"
        )
        faults.append(Fault(reason, key="--by", allowed="; ".join(known)))
    if faults:
        raise BadInput(faults)


def findings(case: Annotated[Path | None, Parameter(help="Case file; the demo corner unless given.")] = None, /, *,
             as_json: Json = False, out: Out = None) -> int:  # fmt: skip
    """Reproduce the physical findings on a geometry, each with a plot and its figures."""
    from scenes.command import tables, tables_more
    from scenes.plots import findings as plots_findings
    from sim import answers
    from sim.studies import findings as sweeps

    folder = folder_of(out)
    corner = _corner(case)
    with console.progress() as tell:
        found = sweeps.findings(corner, tell)
    plots = {f"{one.key.replace(' ', '-')}.svg": partial(plots_findings.finding, one, True) for one in found}
    made = _write(folder, plots | {"findings.csv": lambda: tables_more.findings_csv(found)})
    if as_json:
        write_json(answers.plain({"title": corner.title, "findings": found}))
    else:
        console.out().print(tables.headed(corner.title, *map(tables_more.finding, found)))
    made_known(made, as_json)
    return 0


def duty(
    case: Annotated[Path | None, Parameter(help="Case file; the demo corner unless given.")] = None,
    /,
    *,
    km: Km = 30_000.0,
    bands: Annotated[bool, Parameter(help="With the 80 % band of each distance (some minutes).")] = True,
    as_json: Json = False,
    out: Out = None,
) -> int:
    """Table of duty, caliper, pads and runout: kilometres to the limit, greatest thickness variation, drag."""
    from scenes.command import tables, tables_more, tables_road
    from scenes.plots import road
    from sim import answers
    from sim.bench import questions

    folder = folder_of(out)
    corner = _corner(case)
    with console.progress() as tell:
        try:
            rows = questions.duty_table(corner, km=to_drive_km(km), draws=200 if bands else 0, progress=tell)
        except Scrap as scrap:
            return thin.answer(scrap, corner, None, as_json, folder)
    made = _write(
        folder,
        {
            "duty.svg": lambda: road.duty_map(rows, corner.limits.dtv_um, km, True),
            "duty.csv": lambda: tables_more.csv_of(rows),
        },
    )
    leads = tables_road.duty_leads(corner)
    if as_json:
        answer = {"title": corner.title, "limit_um": corner.limits.dtv_um, "seating": "as driven", "rows": rows}
        write_json(answers.plain(answer), leads)
    else:
        shown = tables_road.duty(rows, corner.limits.dtv_um, km, (corner.caliper.style, corner.pads.kind))
        console.out().print(tables.headed(corner.title, *tables.leading(leads), shown))
    made_known(made, as_json)
    return 0


def memory(
    readings: Annotated[
        Path, Parameter(help="Readings of the worn rotor (CSV): thickness; both faces too where read.")
    ],
    /,
    *,
    km: Annotated[float, Parameter(name="--km", help="Driven since it was fitted [km].")],
    give_or_take: GiveOrTake = KM_GIVE_OR_TAKE,
    case: Annotated[Path | None, Parameter(help="Case file of the corner; the demo corner unless given.")] = None,
    as_json: Json = False,
    out: Out = None,
) -> int:
    """What a worn rotor tells: runout at fitting, where it was lifted, what cannot be told apart, which trace would."""
    from scenes.command import tables, tables_road
    from scenes.plots import road
    from sim import answers, worn_rotor

    folder = folder_of(out)
    corner = _corner(case)
    if case is None:  # what the demo corner states of its hub and rotor was not read at this one
        corner = replace(corner, given=(), title="Your rotor; car, pads and caliper of the demo corner")
    with console.progress() as tell, _no_case_of(case):
        found = worn_rotor.remembered(corner, readings, since_fitted_km(km, "--km"), tell, share_known(give_or_take))
    made = _write(folder, {"memory.svg": lambda: road.remembered(corner, found, True)})
    first, leads = tables_road.memory_stated(corner, found).lines, tables_road.memory_leads(corner, found)
    first = (*tables_road.rocked_first(worn_rotor.has_play(corner, readings)), *first)
    if as_json:
        write_json(answers.plain({"title": corner.title, "distance_km": km, "memory": found}), [*first, *leads])
    else:
        shown = tables_road.memory(corner, found, km)
        console.out().print(tables.headed(corner.title, *tables.leading(first), *tables.leading(leads, ""), shown))
    made_known(made, as_json)
    return 0


def remains(
    readings: Annotated[Path, Parameter(help="Readings of the worn rotor (CSV) with a thickness trace.")],
    /,
    *,
    case: Annotated[Path | None, Parameter(help="Case file of the corner; the demo corner unless given.")] = None,
    worn_on: Annotated[
        Literal["both faces", "outboard", "inboard"],
        Parameter(help="Where the metal went: a thickness trace cannot tell."),
    ] = "both faces",
    driven: Annotated[
        float | None,
        Parameter(
            help="Driven since it was fitted [km]: asks whether runout wore it, without which no distance is told."
        ),
    ] = None,
    give_or_take: GiveOrTake = KM_GIVE_OR_TAKE,
    km: Km = 30_000.0,
    as_json: Json = False,
    out: Out = None,
) -> int:
    """Clean the hub now: does the worn-in thickness variation fade, in how many kilometres, or must the rotor go."""
    from scenes.command import tables, tables_road
    from scenes.command.road_options import hub_as_read
    from scenes.plots import wear
    from sim import answers, worn_rotor

    folder = folder_of(out)
    corner = _corner(case)
    if case is None:
        corner = replace(corner, given=(), title="Your rotor; car, pads and caliper of the demo corner")
    with console.progress() as tell, _no_case_of(case):
        since = None if driven is None else since_fitted_km(driven, "--driven")
        known = share_known(give_or_take)
        try:
            run, found = worn_rotor.after_cleaning(corner, readings, worn_on, to_drive_km(km), tell, since, known)
        except Scrap as scrap:
            return thin.answer(scrap, corner, readings, as_json, folder)
        except Refused as refused:
            if not slack.has_no_road(refused, corner):
                raise
            return slack.answer(refused, corner, as_json, worn_rotor.worn_map(corner, readings, worn_on))
    made = _write(folder, {"remains.svg": lambda: wear.dtv_growth(run, ground=True)})
    hub = hub_as_read(worn_rotor.hub_beside(corner, readings))
    leads = tables_road.remains_leads(corner, found, hub, found.forecast.worn_thinnest_mm)
    leads = [*tables_road.rocked_first(worn_rotor.has_play(corner, readings)), *leads]
    if as_json:
        answer = {name: getattr(found, name) for name in vars(found) if name != "forecast"}
        write_json(answers.plain({"title": corner.title} | answer), leads)
    else:
        shown = tables_road.remains(found, corner.limits.dtv_um, km)
        heads = [*tables.leading(leads[:-1]), *tables.leading(leads[-1:], "▲ " if tables_road.goes(found) else "")]
        console.out().print(
            tables.headed(corner.title, *heads, shown, tables_road.remains_work(corner, len(leads) > 1))
        )
    made_known(made, as_json)
    return 0


def verify(*, as_json: Json = False) -> int:
    """Hold the program against closed forms on this machine: ours, theirs, difference, source."""
    from scenes.command import tables, tables_more
    from sim import answers
    from sim.studies import closed_forms

    with console.progress() as tell:
        found = closed_forms.closed_forms(tell)
    if as_json:
        rows = [vars(one) | {"difference": one.difference, "holds": one.holds} for one in found]
        write_json(answers.plain({"checks": rows}))
    else:
        console.out().print(tables.headed("Ours and theirs, on this machine", tables_more.verification(found)))
    off = [one.quantity for one in found if not one.holds]
    if off:
        raise Refused(f"{len(off)} of {len(found)} do not agree, so no figure here is to be trusted: {'; '.join(off)}")
    return 0
