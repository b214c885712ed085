"""What `drive` answers of the table that it drives from: the decision of `causes` and `index` on the same readings."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from scenes.words.steps import Step
    from sim.causes.answer import Finding
    from sim.causes.decision import Decision
    from sim.files.dial_readings import Readings
    from sim.files.trace import Trace
    from sim.parts.case import Case


@dataclass(frozen=True)
class Told:
    """What the readings order, where there are some.

    Parameters
    ----------
    leads : sequence of str
        Their order, where the list of the corner does something else.
    machine : dict
        The act, the reading that it asks for and where, as `causes` names them.
    steps : sequence of Step, optional
        What to do then, the corner's own list or another in its place.
    """

    leads: Sequence[str] = ()
    machine: dict[str, Any] = field(default_factory=dict)
    steps: Sequence[Step] | None = None


def plays(case: Case, table: Path) -> bool:
    """Whether a table that holds a turn of the mounted rotor says that its hub was rocked and has play: it has no road.

    Parameters
    ----------
    case : Case
    table : Path
    """
    from sim import worn_rotor

    return worn_rotor.mounted_beside(case, table) is not None and worn_rotor.has_play(case, table)


def decided(case: Case, table: Path) -> Decision | None:
    """Ask a table what it orders; None of one that holds the inboard face alone, where the wheel left a dial no other.

    Parameters
    ----------
    case : Case
    table : Path
    """
    from scenes.command import console
    from sim.causes.decision import decide
    from sim.files import dial_readings

    read = dial_readings.read(table, bounds=dial_readings.bounds_of(case))
    if not read.of("mounted"):
        return None
    console.count_as(read.turned, read.studs)
    with console.progress() as tell:
        return decide(read, case.limits, case, progress=tell)


def none_counts(ordered: Decision | None) -> bool:
    """Whether a table's readings part however often they were made: none of them counts, and none begins a road."""
    from sim.causes import names

    return ordered is not None and ordered.found is not None and ordered.found.do == names.SCATTERS


def at_the_bearing(
    case: Case, table: Path, as_json: bool, out: Path | None = None, ordered: Decision | None = None
) -> int:
    """Answer for a hub that has play, or whose readings part however often: what `causes` orders, and no road.

    Parameters
    ----------
    case : Case
    table : Path
        Readings whose head says so, or which part.
    as_json : bool
    out : Path, optional
        Folder that was asked for: nothing is written there.
    ordered : Decision, optional
        What they order; asked where it is not given.

    Returns
    -------
    int
        0: the answer is an order, as that of `causes`.
    """
    from scenes.command import tables_causes
    from scenes.words import acts, causes_first
    from sim import worn_rotor

    ordered = ordered or decided(case, table)
    assert ordered is not None  # it holds a turn
    found = ordered.found
    assert found is not None  # with a corner
    leads = causes_first.stated(found, ordered.read, case).with_lead(tables_causes.lead(found, ordered.read, case))
    machine = {key: value for key, value in causes_first.by_machine(ordered).items() if key != "act"}
    page = acts.PAGE_BY_CAUSES.format(nothing=acts.NOTHING, table=table)
    turn = worn_rotor.mounted_beside(case, table)
    said = page if out is not None else ""
    return _bearing_first(case, Told(leads, machine), ordered.read, turn, as_json, said, found)


def worn_on_play(case: Case, table: Path, as_json: bool, out: Path | None = None) -> int:
    """Answer for a worn rotor off a hub that was rocked and has play: the bearing, and no road, as `at_the_bearing`.

    Parameters
    ----------
    case : Case
    table : Path
        Readings whose head says so, of the thickness at least.
    as_json : bool
    out : Path, optional
        Folder that was asked for: nothing is written there.

    Returns
    -------
    int
        0
    """
    from scenes.command import tables_road
    from scenes.words import acts
    from sim.causes import names
    from sim.files import dial_readings

    if plays(case, table):
        return at_the_bearing(case, table, as_json, out)
    read = dial_readings.read(table, bounds=dial_readings.bounds_of(case))
    machine = {"do": names.SCATTERS, "next": None, "next_studs_turned": None}
    hint = "" if out is None else f"{acts.NOTHING} is written."
    return _bearing_first(case, Told(tables_road.rocked_first(True), machine), read, None, as_json, hint)


def _bearing_first(
    case: Case, told: Told, read: Readings, turn: Trace | None, as_json: bool, said: str, found: Finding | None = None
) -> int:
    """Show what leads where the hub has play, or no reading came back, and what is done then."""
    from rich.console import Group
    from rich.text import Text

    from scenes.command import console, tables
    from scenes.command.options import write_json
    from scenes.words import causes_thickness, few_cautions, to_do, with_play

    asked = to_do.at_the_corner(case, turn, bearing=False)
    steps = with_play.next_steps(case, asked, turn, bool(causes_thickness.too_thin(read, case)), found)
    if as_json:
        write_json({"title": case.title, **told.machine}, told.leads)
        return 0
    hint = [Text(said)] if said else []
    warned = few_cautions.told_for(case, [key for step in steps for key in step.keys])
    shown = Group(
        Text(with_play.no_road(found)), *hint, Text(), tables.listed(steps), Text(), *tables.marked(warned),
        Text(f"▌ {few_cautions.ALL_CAUTIONS}"),
    )  # fmt: skip
    console.out().print(tables.headed(case.title, *tables.leading(told.leads), shown))
    return 0


def of(run: Any, table: Path | None, case: Path, ordered: Decision | None = None) -> Told:
    """Ask the readings that a run was driven from.

    Parameters
    ----------
    run : Any
    table : Path or None
        Readings of the mounted rotor.
    case : Path
        The corner's file, or the name of a part set.
    ordered : Decision, optional
        What they order; asked where it is not given.
    """
    from scenes.command import tables_causes
    from scenes.words import by_table, causes_first, your_count

    if table is None:
        return Told()
    ordered = ordered or decided(run.case, table)
    if ordered is None:
        return Told()
    assert ordered.found is not None  # with a corner
    lead = by_table.leads(run, ordered, tables_causes.lead(ordered.found, ordered.read, run.case))
    machine = {key: value for key, value in causes_first.by_machine(ordered).items() if key != "act"}
    listed = by_table.next_steps(run, ordered, table.name, case.name)
    turned = ordered.read.turned
    counts = your_count.beside_pages(turned)
    return Told(tuple(filter(None, (lead, counts))), machine, listed)
