"""What `drive` answers of the table that it drives from: the decision of `causes` and `index` on the same readings."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path

    from scenes.words.steps import Step


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


def of(run: Any, table: Path | None, case: Path, worn: Path | None = None) -> Told:
    """Ask the readings that a run was driven from.

    Parameters
    ----------
    run : Any
    table : Path or None
        Readings of the mounted rotor.
    case : Path
        The corner's file, or the name of a part set.
    worn : Path or None
        Readings of a worn rotor's thickness, where that alone was given.
    """
    from scenes.command import console, tables_causes, tables_road
    from scenes.words import by_table, causes_do
    from sim import worn_rotor
    from sim.causes.decision import decide
    from sim.files import dial_readings

    if table is None:
        return Told(tables_road.rocked_first(worn is not None and worn_rotor.has_play(run.case, worn)))
    read = dial_readings.read(table, bounds=dial_readings.bounds_of(run.case))
    with console.progress() as tell:
        decided = decide(read, run.case.limits, run.case, progress=tell)
    assert decided.found is not None  # with a corner
    lead = by_table.leads(run, decided, tables_causes.lead(decided.found, decided.read, run.case))
    machine = {key: value for key, value in causes_do.by_machine(decided).items() if key != "act"}
    listed = by_table.next_steps(run, decided, table.name, case.name)
    return Told((lead,) if lead else (), machine, listed)
