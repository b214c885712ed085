"""The command ``causes``: what readings tell of hub, rotor and dirt; readings place by place, or chalked sweeps."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

from cyclopts import Parameter

from scenes.command import console
from scenes.command.bench_options import BenchLimits
from scenes.command.options import Json, Out, folder_of, made_known, write_json
from sim.errors import BadInput, Fault
from sim.wear.distances import run_since_fitted

if TYPE_CHECKING:
    from sim.causes.answer import Finding
    from sim.causes.decision import Decision
    from sim.files.dial_readings import Readings
    from sim.parts.case import Case


def causes(
    readings: Annotated[
        Path, Parameter(help="Readings (CSV): mounted, and what else was read; or the chalk page's file of sweeps.")
    ],
    /,
    *,
    case: Annotated[
        Path | None,
        Parameter(name="--case", help="Case file of the corner: its geometry ranks the causes (first time 15 s)."),
    ] = None,
    priors: Annotated[
        Path | None, Parameter(help="What is held likely beforehand (TOML; new priors FILE writes one), with --case.")
    ] = None,
    km_since_fitting: Annotated[
        float | None,
        Parameter(help="Driven since the rotor was fitted [km; 8 thousand is 8000, 0 just fitted], with --case."),
    ] = None,
    write_case: Annotated[
        Path | None,
        Parameter(help="Case file to write: the leading cause alone, for trueseat seat, with --case."),
    ] = None,
    limit: Annotated[
        float | None, Parameter(help="Limit of the mounted runout, where no case gives it [µm]; 50 unless given.")
    ] = None,
    as_json: Json = False,
    out: Out = None,
) -> int:
    """What readings tell of hub, rotor and dirt; with --case ranked causes, what each cure leaves, what to read."""
    from scenes.command import hand_on
    from sim.bench import chalk_sweeps
    from sim.files import dial_readings
    from sim.files.case_file import file_of
    from sim.files.toml_text import read_text

    case = None if case is None else file_of(case)
    corner = None if case is None else _corner(case, readings)
    BenchLimits(limit).checked(corner)
    corner = None if corner is None else BenchLimits(limit).counted(corner)
    handed = {"--out": out, "--write-case": write_case}
    _need_case(corner, {"--priors": priors, "--km-since-fitting": km_since_fitting, **handed}, km_since_fitting)
    hand_on.need_new(write_case)
    folder = folder_of(out)
    text = read_text(readings)
    if chalk_sweeps.is_one(text):
        _need_places(handed)
        return _sweeps(readings, text, corner, limit, as_json)
    read = dial_readings.parse(text, str(readings), None, None if corner is None else dial_readings.bounds_of(corner))
    console.count_as(read.turned, read.studs)
    if corner is not None and case is not None:
        found = _ranked(readings.name, read, corner, priors, km_since_fitting, as_json)
        if folder is not None:
            of = hand_on.Weighed(found, read, corner, case)
            made_known(hand_on.job_card(of, readings.name, folder), as_json)
        if write_case is not None:
            made_known([hand_on.case_file(found, corner, case, write_case)], as_json)
        return 0
    return _readings_alone(readings.name, read, limit, as_json)


def _corner(case: Path, readings: Path) -> Case:
    """Open a case; the rotor of one that is scrap as given counts as a micrometer read it, where one did."""
    from scenes.command import doing, thin
    from sim.errors import Scrap
    from sim.files.toml_text import read_text

    try:
        return doing.open_case(case)
    except Scrap as scrap:
        since = thin.read_since(scrap, read_text(readings), readings)
        if since is None:
            raise
        console.speak_of(since.case)
        console.remark(case, [since.remark])
        return since.case


def _stage_one(decided: Decision) -> dict[str, Any]:
    """What of the readings alone ``--json`` prints."""
    from scenes.words import hub_and_rotor, left_on, to_read_again
    from sim import answers
    from sim.bench.shares_wait import shares_wait
    from sim.causes.names import BARE_HUB
    from sim.causes.one_act import NAMED, by_machine, read_next, read_over_it, rocked_first
    from sim.files.readings_rows import CLEAN_STATES

    told, todo, read = decided.told, decided.act, decided.read
    wait = shares_wait(read, told)
    words = {
        "next": left_on.ordered(decided),
        "says": hub_and_rotor.sentences(told, wait),
        "notes": list(to_read_again.remarks(told, read)),
    }
    led = by_machine(todo, told)
    do, over = NAMED[led.what], todo.read_um > todo.limit_um
    wanted = read_over_it(do, told, todo.hub_face, todo.turns, over)
    wanted = wanted or read_next(do, told.states[-1].state in CLEAN_STATES, todo.hub_face, todo.turns)
    stud = None if wanted in (None, BARE_HUB) else todo.studs_turned
    ordered = {"next": wanted, "next_studs_turned": stud}  # as the act says, not as if no face or thickness were read
    return {
        **answers.plain(told),
        **ordered,
        "act": answers.plain(led),
        "thinnest": _thinnest(decided),
        "unit_tried": left_on.tried(read),
        "rocked_first": rocked_first(told, todo, read),
        "shares_wait": wait,
        "words": words,
    }


def _thinnest(decided: Decision) -> dict[str, float] | None:
    """The thinnest place with its ±; None where nobody read it. [mm]."""
    from sim.bench.judged_thickness import thinnest_half_mm

    least = decided.read.thinnest_mm
    if least is None:
        return None
    return {"value_mm": least, "doubt_mm": thinnest_half_mm(decided.read, decided.limits)}


def _discard(read: Readings, corner: Case) -> dict[str, Any]:
    """The discard thickness of a case, how far the thinnest place is over it, and whether its own file states it."""
    from sim.parts.discard import is_stated

    discard, least = corner.rotor.minimum_thickness_mm, read.thinnest_mm
    over = None if least is None else least - discard
    return {"thickness_mm": discard, "over_mm": over, "stated": is_stated(corner)}


def _readings_alone(name: str, read: Readings, limit: float | None, as_json: bool) -> int:
    """Say what the readings tell without a geometry, what to do next, and when it is done."""
    from scenes.command import tables, tables_more
    from scenes.words import hub_and_rotor, stamp, your_count
    from scenes.words import mountings as said
    from sim.causes.decision import decide
    from sim.parts.case import Limits

    decided = decide(read, Limits() if limit is None else Limits(mounted_runout_um=limit))
    record, told, todo, read = _stage_one(decided), decided.told, decided.act, decided.read
    if as_json:
        write_json(record, [record["words"]["next"]])
        return 0
    beside = (
        said.thickness_line(todo), stamp.stamp_line(todo), said.home_line(told),
        said.against_limit(told, todo, limit is not None), hub_and_rotor.hub_line(todo),
    )  # fmt: skip
    counts = your_count.counting(read.turned)
    shown = tables_more.mountings(told, record["words"], beside, counts)
    console.out().print(tables.headed(name, shown))
    return 0


def _need_case(corner: Case | None, given: Mapping[str, object], km: float | None) -> None:
    """Refuse what only ranked causes know, and a distance that nobody drives."""
    faults = [
        Fault("ranks causes of a corner: name it", key=key, allowed="with --case FILE")
        for key, value in given.items()
        if value is not None and corner is None
    ]
    faults += run_since_fitted(km, "--km-since-fitting")
    if faults:
        raise BadInput(faults)


def _need_places(handed: Mapping[str, object]) -> None:
    """Refuse what chalked sweeps cannot give: they rank no causes."""
    faults = [
        Fault("high and low spots rank no causes", key=key, allowed="readings place by place (trueseat chalk)")
        for key, value in handed.items()
        if value is not None
    ]
    if faults:
        raise BadInput(faults)


def _ranked(name: str, read: Readings, corner: Case, file: Path | None, km: float | None, as_json: bool) -> Finding:
    """Rank causes on the corner's own geometry."""
    from scenes.command import tables, tables_causes
    from scenes.words import causes_first
    from sim import answers
    from sim.causes import answer, priors_file
    from sim.causes.decision import decide
    from sim.causes.priors import Priors

    held = Priors() if file is None else priors_file.read(file)
    with console.progress() as tell:
        decided = decide(read, corner.limits, corner, held, km, tell)
    found, read = decided.found, decided.read
    assert found is not None  # with a corner
    if as_json:
        ordered = {**causes_first.by_machine(decided), "discard": _discard(read, corner)}
        told, lead = _stage_one(decided), tables_causes.lead(found, read, corner)
        if causes_first.before_readings(found, corner) or ordered["act"] != told["act"]:
            told["words"]["next"] = lead  # no other order of the readings alone stands beside what leads
        leads = causes_first.stated(found, read, corner).with_lead(lead)
        write_json({**told, **answers.plain(answer.told(found)), **ordered}, leads)
    else:
        console.out().print(tables.headed(name, tables_causes.ranked(found, read, corner)))
    return found


def _sweeps(readings: Path, text: str, corner: Case | None, given: float | None, as_json: bool) -> int:
    """Answer the chalk page's file: the page's own verdict, and what sweeps cannot tell."""
    from scenes.command import tables, tables_more
    from scenes.words import chalk as said
    from scenes.words import what_leads
    from sim import answers
    from sim.bench import chalk, chalk_sweeps
    from sim.parts.case import Limits

    studs, sweeps, cleaned = chalk_sweeps.parse(text, str(readings), None if corner is None else corner.studs.count)
    kept = chalk_sweeps.limit_um(text, str(readings))
    limit = corner.limits.mounted_runout_um if corner is not None else given or kept or Limits().mounted_runout_um
    told = chalk.answer(studs, sweeps, limit, cleaned)
    left = chalk_sweeps.left_open(told.stays_with, cleaned)
    lines = said.sentences(studs, sweeps, told, limit, cleaned)
    if corner is not None and corner.spigot_scale:
        lines = [said.OVER_SCALE]
    stated = () if corner is None else what_leads.of_case(corner, sweeps[-1].tir_um).lines
    if as_json:
        words: dict[str, Any] = {"next": said.action(lines), "says": [*lines, said.reach(left, cleaned)], "notes": []}
        heads = {"studs": studs, "cleaned": cleaned, "limit_um": limit or None, "sweeps": sweeps, "cannot_tell": left}
        write_json({**answers.plain(heads), **answers.plain(told), "words": words}, [*stated, *lines[:1]])
    else:
        shown = tables_more.sweeps(told, lines, said.reach(left, cleaned), chalk.shown_um(sweeps) if cleaned else None)
        console.out().print(tables.headed(readings.name, *tables.leading(stated), shown))
    return 0
