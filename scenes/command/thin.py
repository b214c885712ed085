"""What commands that order work answer of a rotor that is scrap by its thickness: the verdict of `causes`."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from scenes.command import console
from scenes.command.options import write_json

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from sim.errors import Scrap
    from sim.parts.case import Case

#: Pieces of the work whose cautions stand beside the order.
WORK = ("rotor off", "cracks")

#: Of a case whose figure a table of readings overtakes.
BY_READING = (
    "rotor.thickness_mm is {given:.2f} mm, under its discard thickness of {discard:g} mm, and a micrometer read "
    "{read:.2f} mm at the thinnest: the reading counts; correct the case"
)

#: Commands that say what is done with a rotor; others draw, play or check, and refuse such a case.
ORDERING = ("seat", "drive", "index", "face", "clamp", "duty", "report", "causes", "memory", "remains")


def is_ordered(scrap: Scrap, words: Sequence[str]) -> bool:
    """Whether a command line asks what is done with the rotor of a case that is scrap as given."""
    return scrap.case is not None and bool(words) and words[0] in ORDERING


def answer(scrap: Scrap, case: Case, table: Path | None, as_json: bool, out: Path | None = None) -> int:
    """Print what is done with a rotor that was measured at or under its discard thickness.

    Parameters
    ----------
    scrap : Scrap
        Why, and how thin. [mm]
    case : Case
    table : Path or None
        Readings that hold the thickness; their bare hub face is told, where it is over its limit.
    as_json : bool
    out : Path, optional
        Folder that was asked for: nothing is written there.

    Returns
    -------
    int
        0: the answer is an order, as that of `causes`.
    """
    from rich.console import Group
    from rich.text import Text

    from scenes.command import tables
    from scenes.command.road_options import hub_as_read
    from scenes.words import acts, cautions, what_leads, words
    from sim import worn_rotor
    from sim.parts.discard import is_stated

    stated = is_stated(case)
    said = (acts.SCRAP_BY_ITS_STAMP if stated else acts.STAMP_DECIDES).format(thin=words.clean(scrap.thin, 400))
    face = None if table is None else worn_rotor.hub_beside(case, table)
    first = what_leads.of_case(case, hub_read=hub_as_read(face))
    # The order is of the rotor itself, and names a hub that was read.
    leads = [*first.but("rotor", *(["hub"] if face is not None else [])).lines, said + acts.hub_too(face)]
    if as_json:
        told = {"title": case.title, "do": acts.RENEW_IT if stated else acts.READ_THE_STAMP, "why": scrap.thin}
        bounds = {"thinnest_mm": scrap.thinnest_mm, "discard_mm": case.rotor.minimum_thickness_mm, "stated": stated}
        write_json({**told, **bounds}, leads)
        return 0
    hint = [Text(acts.PAGE_BY_CAUSES.format(table="FILE" if table is None else table))] if out is not None else []
    warned = [*tables.cautioned(case, WORK), *(Text(f"▌ {one.text}") for one in cautions.named("cracked is scrap"))]
    shown = Group(Text(acts.NO_ROAD), *hint, Text(), *warned)
    console.out().print(tables.headed(case.title, *tables.leading(leads), shown))
    return 0


@dataclass(frozen=True)
class Since:
    """A corner as thick as a micrometer read it, and what is said of its case."""

    case: Case
    remark: str


def read_since(scrap: Scrap, text: str, table: Path) -> Since | None:
    """Find the corner of a case that is scrap as given, as thick as a micrometer read it since; None without that.

    Parameters
    ----------
    scrap : Scrap
        Of a case file.
    text : str
        The readings file.
    table : Path
        Its name, for faults.

    Notes
    -----
    The micrometer was on the rotor, and its turn decides (by rule): a rotor that reads thicker than its case is another
    one, or that figure is wrong. What reads at or under the stamp is told as any rotor read so, on a corner as thick as
    its stamp. [mm]
    """
    from sim.bench import chalk_sweeps
    from sim.files import dial_readings

    case = scrap.case
    if case is None or chalk_sweeps.is_one(text):
        return None
    read = dial_readings.parse(text, str(table), None, dial_readings.bounds_of(case))
    least_mm = read.thinnest_mm
    if least_mm is None:
        return None
    discard_mm = case.rotor.minimum_thickness_mm
    said = BY_READING.format(given=case.rotor.thickness_mm, discard=discard_mm, read=least_mm)
    return Since(replace(case, rotor=replace(case.rotor, thickness_mm=max(least_mm, discard_mm))), said)
