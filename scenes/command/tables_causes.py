"""Ranked causes on the screen: what to do, what was found, each cause with its share, what every cure would leave."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from rich.console import Group
from rich.text import Text

from scenes.command.tables import leading, order_first
from scenes.command.tables_more import _table
from scenes.words import causes as said
from scenes.words import (
    causes_first,
    causes_read,
    causes_thickness,
    hub_and_rotor,
    to_read_again,
    words,
    your_count,
)
from sim.bench.open_readings import open_readings

if TYPE_CHECKING:
    from rich.console import RenderableType

    from sim.causes.answer import Finding
    from sim.files.dial_readings import Readings
    from sim.parts.case import Case

#: Of what is to be read again, which ends in what settles it: no order is cut short. Judgement.
MOST_LETTERS = 1200


def lead(found: Finding, read: Readings, case: Case) -> str:
    """What to do, first of all."""
    return causes_first.first_line(found, read, case, _why(read))


def _why(read: Readings) -> tuple[str, ...]:
    """What is to be read again."""
    return tuple(words.clean(fault.text, MOST_LETTERS) for fault in open_readings(read))


def ranked(found: Finding, read: Readings, case: Case) -> RenderableType:
    """Action first, then the verdict, the causes, what is left after each cure, what to read next."""
    verdict = Text(said.verdict(found, _why(read)))
    beside = (hub_and_rotor.between_places(found.told), causes_thickness.thickness(found))
    held, stated = causes_first.before_readings(found, case), causes_first.stated(found, read, case)
    led = order_first(lead(found, read, case))
    lines: list[RenderableType] = [*leading(stated.before), *led, *leading(stated.behind)]
    lines += [Text(told) for told in beside if told]
    lines += [verdict, *(Text(thick) for thick in (causes_thickness.discard(found, read, case),) if thick)]
    lines += [Text(said.limits(case)), Text()]
    if rows := said.ranked_rows(found):
        lines.append(
            _rows(rows, "cause", "has the largest share", "share at the rotor's dial if there, 80 %", "high spot")
        )
    # Beside a loose nut or bearing, or another part, no share of passes stands, nor a reading: it would clear it.
    if not held and (after := said.after_rows(found)):
        lines += [Text(), _rows(after, "mounted runout", "80 % band", said.under(case))]
    if not held and (more := causes_read.next_rows(found, read, case)):
        lines += [Text(), _rows(more, "what to read next", "takes", "why", left=3)]
    lines += [Text(), *(Text(f"! {words.clean(note, 300)}") for note in to_read_again.remarks(found.told, read))]
    return Group(*lines, Text(your_count.counting(read.turned)), Text(said.WEIGHED), Text(said.NOT_SAFE))


def _rows(rows: Sequence[tuple[str, ...]], *columns: str, left: int = 1) -> RenderableType:
    table = _table(*columns, left=left)
    for row in rows:
        table.add_row(*row)
    return table
