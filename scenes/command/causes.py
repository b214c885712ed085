"""The command ``causes``: what readings tell of hub, rotor and dirt; readings place by place, or chalked sweeps."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

from cyclopts import Parameter

from scenes.command import console
from scenes.command.options import Json, write_json

if TYPE_CHECKING:
    from sim.parts.case import Case


def causes(
    readings: Annotated[
        Path, Parameter(help="Readings (CSV): mounted, and what else was read; or the chalk page's file of sweeps.")
    ],
    /,
    *,
    case: Annotated[
        Path | None, Parameter(name="--case", help="Case file: its radii and studs bound the readings.")
    ] = None,
    as_json: Json = False,
) -> int:
    """Tell apart what several mountings tell apart: hub, rotor, dirt; what stays open; what to measure next."""
    from scenes.command import doing, tables, tables_more
    from scenes.words import mountings as said
    from sim import answers
    from sim.bench import chalk_sweeps, mountings
    from sim.files import dial_readings
    from sim.files.toml_text import read_text

    corner = None if case is None else doing.open_case(case)
    text = read_text(readings)
    if chalk_sweeps.is_one(text):
        return _sweeps(readings, text, corner, as_json)
    read = dial_readings.parse(text, str(readings), None, None if corner is None else dial_readings.bounds_of(corner))
    told = mountings.told_apart(read)
    doubts = [fault.text for fault in read.faults]
    if as_json:
        lines = {"next": said.lead(told, doubts), "says": said.sentences(told), "notes": list(read.notes)}
        write_json({**answers.plain(told), "words": lines})
    else:
        console.out().print(tables.headed(readings.name, tables_more.mountings(told, doubts, read.notes)))
    return 0


def _sweeps(readings: Path, text: str, corner: Case | None, as_json: bool) -> int:
    """Answer the chalk page's file: the page's own verdict, and what sweeps cannot tell."""
    from scenes.command import tables, tables_more
    from scenes.words import chalk as said
    from sim import answers
    from sim.bench import chalk, chalk_sweeps

    studs, sweeps, cleaned = chalk_sweeps.parse(text, str(readings), None if corner is None else corner.studs.count)
    limit = 0.0 if corner is None else corner.limits.mounted_runout_um
    told = chalk.answer(studs, sweeps, limit, cleaned)
    left = chalk_sweeps.left_open(told.stays_with, cleaned)
    lines = said.sentences(studs, sweeps, told, limit, cleaned)
    if as_json:
        words: dict[str, Any] = {"next": said.action(lines), "says": [*lines, said.reach(left)], "notes": []}
        heads = {"studs": studs, "cleaned": cleaned, "limit_um": limit or None, "sweeps": sweeps, "cannot_tell": left}
        write_json({**answers.plain(heads), **answers.plain(told), "words": words})
    else:
        console.out().print(tables.headed(readings.name, tables_more.sweeps(told, lines, said.reach(left), cleaned)))
    return 0
