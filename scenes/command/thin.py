"""What commands that order work answer of a rotor that is scrap by its thickness: the verdict of `causes`."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from scenes.command import console
from scenes.command.options import made_known, write_json

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from sim.errors import Scrap
    from sim.parts.case import Case

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


def answer(
    scrap: Scrap,
    case: Case,
    table: Path | None,
    as_json: bool,
    out: Path | None = None,
    sheet: bool = False,
    printed: bool = False,
) -> int:
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
        Folder that was asked for: nothing but the sheet is written there.
    sheet : bool
        Whether the fitting sheet was asked for too: new rotors are fitted by it.
    printed : bool
        Whether it was asked for as PDF as well.

    Returns
    -------
    int
        0: the answer is an order, as that of `causes`.
    """
    from rich.console import Group
    from rich.text import Text

    from scenes.command import doing, tables, tables_road
    from scenes.command.road_options import hub_as_read
    from scenes.words import (
        acts,
        bare_face,
        few_cautions,
        loose_nut,
        stated_work,
        to_do,
        what_leads,
        with_play,
        words,
    )
    from sim import worn_rotor
    from sim.causes import names
    from sim.parts.discard import is_stated

    stamp, varies = is_stated(case), _uneven(case, table)
    order = acts.SCRAP_BY_ITS_STAMP if stamp else acts.UNEVEN_BESIDES if varies else acts.STAMP_DECIDES
    limit = words.micrometres(case.limits.dtv_um)
    said = order.format(thin=words.clean(scrap.thin, 400), varies=varies, limit=limit)
    face = None if table is None else worn_rotor.hub_beside(case, table)
    first = replace(what_leads.of_case(case, hub_read=hub_as_read(face)), nuts=loose_nut.first_beside_scrap(case))
    # The order is of the rotor itself, and names a hub that was read.
    played = tables_road.rocked_first(table is not None and worn_rotor.has_play(case, table))
    leads = [*played, *first.but("rotor", *(["hub"] if face is not None else [])).lines, said + bare_face.hub_too(face)]
    read = None if table is None else worn_rotor.mounted_beside(case, table)
    steps, made = stated_work.round_a_rotor_that_goes(case, first, face is not None, read, bool(varies)), []
    if played:  # no rotor goes on that hub
        steps = with_play.next_steps(case, to_do.at_the_corner(case, read, bearing=False), read, thin=True)
    if sheet and out is not None:
        made.append(doing.write_sheet(case, out / "fitting-sheet.html", steps))
        made += [doing.write_pdf(one.path, one.path.with_suffix(".pdf")) for one in made if printed]
    if as_json:
        ordered = names.SCATTERS if played else acts.RENEW_IT if stamp else acts.READ_THE_STAMP
        told = {"title": case.title, "do": ordered, "why": scrap.thin}
        bounds = {"thinnest_mm": scrap.thinnest_mm, "discard_mm": case.rotor.minimum_thickness_mm, "stated": stamp}
        written = {"files": [{"what": one.what, "path": str(one.path)} for one in made]} if made else {}
        write_json({**told, **bounds, **written}, leads)
    else:
        by_causes = acts.PAGE_BY_CAUSES.format(
            nothing=acts.BUT_THE_SHEET if made else acts.NOTHING, table="FILE" if table is None else table
        )
        hint = [Text(by_causes)] if out is not None else []
        listed = few_cautions.told_for(case, [key for step in steps for key in step.keys])
        warned = stated_work.cautions_of(case, replace(first, rotor=said), also=[one.key for one in listed])
        all_else = Text(f"▌ {few_cautions.ALL_CAUTIONS}")
        shown = Group(Text(acts.NO_ROAD), *hint, Text(), tables.listed(steps), Text(), *tables.marked(warned), all_else)
        console.out().print(tables.headed(case.title, *tables.leading(leads), shown))
    made_known(made, as_json)
    return 0


def _uneven(case: Case, table: Path | None) -> str:
    """How far that rotor varies over its limit, as read or, where nobody read it, as given; empty for an even one."""
    from scenes.words import acts, words
    from sim import worn_rotor
    from sim.parts.dial import ABOVE

    read = None if table is None else worn_rotor.varies_beside(case, table)
    if read is not None:
        over = read.state == ABOVE or read.counts_over
        return f"{read.figure.replace(' µm', f'{words.GAP}µm')} (k = 2)" if over else ""
    given = case.rotor.own_thickness_variation_um
    return acts.AS_GIVEN.format(value=words.micrometres(given)) if given > case.limits.dtv_um else ""


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
