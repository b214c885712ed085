"""The report: one HTML file, page one to act on, an appendix to check; nothing in it is loaded from anywhere."""

from __future__ import annotations

import base64
from dataclasses import dataclass, fields, replace
from datetime import date
from importlib import metadata
from pathlib import Path
from typing import TYPE_CHECKING, Any

from markupsafe import Markup

from scenes.files import write_text
from scenes.pages.templated import environment
from scenes.plots import hub_map, runout, section, wear
from scenes.plots import road as plots_road
from scenes.plots.board import svg_of
from scenes.words import (
    cautions,
    cleaning,
    fastening,
    felt,
    few_cautions,
    findings,
    piece_of_work,
    spigot,
    to_do,
    weak_points,
    what_leads,
    words,
    work_list,
    written_rows,
)
from scenes.words import road as road_words
from sim import answers
from sim.errors import BadInput, Fault
from sim.parts import keys
from sim.parts.dial import ABOVE
from sim.parts.fastener import nouns

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence

    from scenes.words.cautions import Caution
    from sim.parts.case import Case

UNJUDGED_OFF_THE_SPIGOT = ("runout", findings.DRIVEN, "dtv")
ORDERS_SHOWN, LEAST_AMPLITUDE_UM = 5, 0.05  # of the face that is read; --json has every order
LARGEST_PICTURE = 8_000_000  # [bytes]; a report is mailed
PNG = b"\x89PNG\r\n\x1a\n"
DRAWN_WITH = ("trueseat", "matplotlib", "jinja2")
# Cautions that fit page one; the fitting sheet carries them all, each where it is needed.
PAGE_ONE = (
    "maker first",
    "stands",
    "no compressed air",
    "never drawn home",
    "no impact gun",
    "cracked is scrap",
    "pump the pedal",
)
AT_THE_BRAKE = ("hot", "service mode", "hang the caliper")


@dataclass(frozen=True)
class Picture:
    """A still to be put into the report: the PNG file and the sentence under it."""

    path: Path
    caption: str


@dataclass(frozen=True)
class Row:
    """One line of the table of inputs: key, value, unit, whether it was given, where its default comes from."""

    table: str
    key: str
    value: str
    unit: str
    given: bool
    source: str


def inputs(case: Case) -> tuple[Row, ...]:
    """Every input of a case with its unit and the source of its default, in the order of the case file.

    A value equal to the default counts as not given: where it came from cannot be told any more.
    """
    rows: list[Row] = []
    for table in (name for name in keys.TABLES if name):
        parts = getattr(case, table)
        several = isinstance(parts, tuple)
        for index, part in enumerate(parts if several else (parts,)):
            name = f"{table} {words.patch_name(index)}" if several else table
            rows += [_row(table, name, item.name, getattr(part, item.name)) for item in fields(part)]
    if case.hub.spigot_fit is not None:
        derived = "what leaves the middle clearance of the fit"
        rows = [
            replace(row, given=False, source=derived) if (row.table, row.key) == ("hub", "spigot_diameter_mm") else row
            for row in rows
        ]
    return tuple(row for row in rows if row.value)


def _row(table: str, shown_table: str, name: str, value: Any) -> Row:
    """One input; an empty value means that it is not used and is left out."""
    known = keys.BY_TABLE.get(table, {}).get(name)
    given = known is None or value != known.default
    text = "" if value is None else _value(value)
    return Row(shown_table, name, text, known.unit if known else "", given, known.source if known else "")


def _value(value: Any) -> str:
    """Write an input as it would stand in a case file."""
    if isinstance(value, tuple):
        return ", ".join(_value(item) for item in value)
    return f"{value:g}" if isinstance(value, float) else str(value)


def versions() -> list[tuple[str, str]]:
    """List what draws the report, with versions; what computed the figures says so in the run itself."""
    found = []
    for name in DRAWN_WITH:
        try:
            found.append((name, metadata.version(name)))
        except metadata.PackageNotFoundError:
            continue
    return found


def picture_uri(path: Path) -> str:
    """Turn a PNG file into text that stands inside the report.

    Raises
    ------
    BadInput
        If the file cannot be read, is no PNG or is too large to mail.
    """
    try:
        content = path.read_bytes()
    except OSError as error:
        raise BadInput(Fault(f"picture cannot be read: {error.strerror}", str(path))) from None
    if not content.startswith(PNG):
        raise BadInput(Fault("is not a PNG picture", str(path), allowed="PNG"))
    if len(content) > LARGEST_PICTURE:
        raise BadInput(
            Fault(f"picture of {len(content) / 1e6:.1f} MB", str(path), allowed=f"up to {LARGEST_PICTURE / 1e6:.0f} MB")
        )
    return "data:image/png;base64," + base64.b64encode(content).decode("ascii")


def _page_one(case: Case, keys: Collection[str]) -> tuple[Caution, ...]:
    """Cautions of page one: of any rotor's fitting, and of what is done to caliper, pads and park brake here."""
    freed = few_cautions.told_for(case, [key for key in keys if key in piece_of_work.AT_THE_BRAKE])
    wanted = {*PAGE_ONE, *(one.key for one in freed if one.key in AT_THE_BRAKE)}
    order = [one.key for one in cautions.WRITTEN if one.key in wanted and one.key not in PAGE_ONE[:2]]
    return cautions.named(*PAGE_ONE[:2], *order, call=nouns(case.studs))


def _common(
    pictures: Sequence[Picture], made_on: date | None, case: Case, keys: Collection[str] = ()
) -> dict[str, Any]:
    """Names that every page uses; ``keys``: of the work that page one lists."""
    return {
        "made_on": (made_on or date.today()).isoformat(),
        "versions": versions(),
        "pictures": [(picture_uri(item.path), item.caption) for item in pictures],
        "words": words,
        "glossary": words.GLOSSARY,
        "high_spot": written_rows.HIGH_SPOT,
        "written_so": written_rows.WRITTEN_SO,
        "page_one_cautions": _page_one(case, keys),
    }


#: Under pictures of the seating, where the forecast starts from what was read on the car.
NOT_AS_READ = " It is the case as written, not what was read on the car."


def corner(run: Any) -> dict[str, Any]:
    """Collect what the templates show of one run: findings with their strips, steps, plots, tables."""
    seat, forecast = run.seat, run.forecast
    judged = findings.found(run)
    strips = [_strip(item, run) for item in judged]
    view: dict[str, Any] = {
        "case": run.case,
        "call": nouns(run.case.studs),
        "seat": seat,
        "warnings": (*seat.warnings, *findings.warned_as_driven(run)),
        "forecast": forecast,
        "findings": list(zip(judged, strips, strict=True)),
        "headlines": what_leads.headlines(run),
        "driven": findings.driven(run),
        "noted": what_leads.noted(run),
        "forecast_from": run.started_from,
        "beside_rows": findings.beside_rows(run),
        "spigot_lines": spigot.plain(run),
        "spigot_rows": [] if run.spigot is None else spigot.rows(run, engineer=True),
        "spigot_notes": [] if run.spigot is None else spigot.notes(run.spigot),
        "spigot_wrong": spigot.wrong(run.spigot),
        "off_the_face": spigot.off_the_face(run.spigot),
        "spigot_plot": Markup(),
        "spigot_small": Markup(),
        "steps": (steps := to_do.next_steps(run)),
        "ticks": work_list.ticks(steps),
        "torqued": any("wheel" in step.keys for step in steps),
        "to_write": written_rows.to_write(work_list.foreseen(steps)),
        "lead": to_do.lead(run),
        "weak_points": weak_points.weak_points(run.case),
        "harmonics": _worth_a_row(answers.harmonics(seat)),
        "inputs": inputs(run.case),
        "computed_with": sorted(run.versions.items()),
        "patch_name": words.patch_name,
        "pressed": spigot.pressed(seat.contact.max_pressure_mpa).partition(": "),
        "rigid_um": seat.rigid_runout_um,
        "not_as_read": "" if run.reading is None else NOT_AS_READ,
        "trace_plot": _drawn(runout.runout_trace(seat)),
        "harmonics_plot": _drawn(runout.harmonics_bars(seat)),
        "face_plot": _drawn(hub_map.hub_map(seat)),
        "face_small": _drawn(hub_map.hub_map(seat, explained=False)),
    }
    if run.spigot is not None and run.case.spigot_scale:
        view |= _on_the_spigot(run)
    if forecast is not None:
        view |= {
            "felt": felt.felt_plain(forecast),
            "road_notes": felt.road_notes(run),
            "road_rows": road_words.road_rows(run),
            "unsettled": road_words.unsettled,
            "speed_plot": _drawn(plots_road.speeds(run)),
            "dtv_plot": _drawn(wear.dtv_growth(run)),
            "ring_plot": _drawn(wear.ring_map(run)),
            "torque_plot": _drawn(wear.torque_orders(run)),
        }
    return view


def _worth_a_row(orders: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Orders that a reader can use: the first few, and of those what is printed as nothing has no high spot."""
    return [one for one in orders[:ORDERS_SHOWN] if one["order"] == 1 or one["amplitude"] >= LEAST_AMPLITUDE_UM]


def _strip(item: findings.Judged, run: Any) -> Markup:
    """Figure beside its limit; none where it would clear a rotor that was forced, is not home or was held badly."""
    if spigot.wrong(run.spigot) and item.key in UNJUDGED_OFF_THE_SPIGOT:
        return Markup()
    nothing = road_words.calms_nobody(run) if item.key == "dtv" else findings.cleared(run, item.state)
    if item.state != ABOVE and nothing:
        return Markup()
    called = words.limit_called(run.case, findings.LIMIT_OF[item.key]) if item.judged else words.DIALS_LIMIT
    return Markup(runout.limit_strip(item.value, item.limit, (item.low, item.high), item.name, called))


def _on_the_spigot(run: Any) -> dict[str, Any]:
    """Drawings of a rotor with scale on its spigot: the section, bore and spigot alone, and what that one enlarges."""
    label = f"section through the scale on the spigot: {spigot.title(run.spigot, run.case)}"
    view: dict[str, Any] = {"spigot_plot": _drawn(svg_of(section.on_spigot(run), label))}
    if spigot.wrong(run.spigot) or not run.case.debris:
        small, said = section.bore_alone(run)
        view |= {"spigot_small": _drawn(svg_of(small, label)), "spigot_said": said}
    return view


def _drawn(svg: str) -> Markup:
    """Let our own SVG through unescaped: every text in it went through the drawing's own escaping."""
    return Markup(svg)


def report_html(run: Any, pictures: Sequence[Picture] = (), made_on: date | None = None) -> str:
    """Build the report of one corner.

    Parameters
    ----------
    run : Run
        Needs ``case``, ``seat`` and ``forecast`` (``None``: the road is left out).
    pictures : sequence of Picture
        Stills to embed.
    made_on : date, optional
        Printed date; today unless given.

    Returns
    -------
    str
        One HTML document, complete in itself.

    Raises
    ------
    BadInput
        If a picture cannot be embedded.
    """
    page = environment().get_template("report.html")
    listed = [key for step in to_do.next_steps(run) for key in step.keys]
    common = _common(pictures, made_on, run.case, listed)
    return fastening.said_html(page.render(**common, case=run.case, view=corner(run)), run.case)


def compare_html(dirty: Any, clean: Any, pictures: Sequence[Picture] = (), made_on: date | None = None) -> str:
    """Build the report of one corner twice, dirty and cleaned; parameters as for ``report_html``."""
    both = {
        "dirty": corner(dirty),
        "clean": corner(clean),
        "both_plot": _drawn(wear.dirty_against_clean(dirty, clean)),
        "case": dirty.case,
        "comparison": cleaning.compared(dirty, clean),
    }
    said = {item.sentence for item, _ in both["dirty"]["findings"]}  # the hub is the same: it is said once
    both["clean_findings"] = [(item, strip) for item, strip in both["clean"]["findings"] if item.sentence not in said]
    page = environment().get_template("compare.html").render(**_common(pictures, made_on, dirty.case), **both)
    return fastening.said_html(page, dirty.case)


def write(html: str, path: Path) -> Path:
    """Write a report whole or not at all."""
    return write_text(path, html)
