"""Tables of the further commands: clampings, findings, verification."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

from rich.box import SIMPLE_HEAD
from rich.console import Group
from rich.table import Table
from rich.text import Text

from scenes.command.tables import order_first
from scenes.words import hub_and_rotor, words
from sim.bench.mountings import ONE_SCREW, SCREW_ONLY
from sim.parts.dial import ABOVE, span_against_limit

if TYPE_CHECKING:
    from rich.console import RenderableType

WHEEL_NOTE = (
    "As driven: the wheel's pad is a plain elastic ring; what its spokes add is left out. Drawn corners have dirt "
    "anywhere or none, uneven faces and nuts, hub and rotor that run out by themselves, and any wheel; what the case "
    "file states of hub, rotor and wheel is taken as given, its dirt is not. What to draw is a judgement. Bare nuts "
    "are taken as flat rings: where their cones pull the rotor is not computed, so they are never called the most "
    "trustworthy. Read high, low: share of drawn corners that read more than 5 % off."
)


def _table(*columns: str, left: int = 1) -> Table:
    table = Table(box=SIMPLE_HEAD, pad_edge=False, show_edge=False)
    for k, column in enumerate(columns):
        table.add_column(column, justify="left" if k < left else "right")
    return table


#: Of the larger of two runouts: more, and a dial and another mounting do not explain it. Judgement, 0.2 .. 0.4.
UNLIKE = 0.3
WHAT_NEXT = (
    "One figure names no part and orders none: read twelve places as found, and the thickness, before anything comes "
    "off; `trueseat causes` then says what to do next."
)
#: In place of a pass where the case itself reads so and is driven over the limit.
CASE_OVER = "not told, the case as written reads so and is over it"
CASE_WORSE = (
    "The case as written reads the same and is driven at {driven}: dirt inside, which the wheel presses. The band is "
    "of drawn corners, few of which have it; as long as this dirt may lie there the larger figure counts."
)
#: A limit of a mounted runout judges what the dial shows: other commands lay it beside that alone.
FOR_THE_DIAL = (
    "The limit itself is for what a dial reads: over it the reading is over, whatever the band; what lies behind it is "
    "what wears the rotor."
)
HUB_READ_TOO = (
    "Read the bare hub face as well and state it in the case (hub.face_runout_um), which tells a bad hub from dirt:"
)
#: In place of a pass under nuts that let a bad hub read well.
SCREW_NOTHING = "not told, one screw does not seat a rotor"
HELD_NOTHING = "not told, what holds the wheel comes first"
NOT_TOLD = "not told under this clamping, whatever the band"
#: In place of the clamping that is most to be trusted.
NONE_TRUSTED = "No clamping is to be trusted on this corner before what leads is put right."
NOT_THIS_CASE = (
    "The case as written should show {shown} under {by}: what was read does not bear its faults out. The band is of "
    "the reading; the table above is of the case."
)


def clampings(
    readings: Sequence[Any],
    trusted: Sequence[Any],
    behind: Any,
    by: str = "",
    limit_um: float = 0.0,
    with_hub: Mapping[float, Any] | None = None,
    held_badly: bool = False,
) -> RenderableType:
    """What one corner reads under every clamping, how far each can be trusted, what lies behind a reading."""
    by_name = {one.name: one for one in trusted}
    table = _table(
        "clamping", "the dial should show", "ratio to as driven", "drawn corners: middle", "80 % band", "read high, low"
    )
    for one in readings:
        trust = by_name.get(one.name)
        spread = ("", "", "")
        if trust is not None:
            false = f"{100 * trust.reads_high:.0f} %, {100 * trust.reads_low:.0f} %"
            spread = (f"{trust.middle:.2f}", f"{trust.low:.2f} to {trust.high:.2f}", false)
        shown = words.REFUSED if one.refused else words.micrometres(one.runout_um)
        table.add_row(one.name, shown, words.number(one.of_driven), *spread)
    lines: list[RenderableType] = [table, Text()]
    lines += [Text(f"! {one.name}: {words.clean(one.refused, 300)}") for one in readings if one.refused]
    lines += [Text(f"! {one.name}: {words.clean(one.caution, 400)}") for one in readings if one.caution]
    lines.append(Text(NONE_TRUSTED if held_badly else _most_trusted(trusted), style="bold"))
    if behind is not None:
        lines += _behind(readings, behind, by, limit_um, with_hub or {}, held_badly)
    lines.append(Text(WHEEL_NOTE))
    return Group(*lines)


def _behind(
    readings: Sequence[Any], behind: Any, by: str, limit_um: float, with_hub: Mapping[float, Any], held_badly: bool
) -> list[Text]:
    """What lies behind a reading, beside its limit and beside the case as written; then what to do."""
    # Loads what seats corners, which only this table's command needs.
    from sim.corner.behind_reading import same_clamping
    from sim.corner.clampings import DRIVEN

    low, middle, high = (words.micrometres(x) for x in (behind.low_um, behind.middle_um, behind.high_um))
    head = (
        f"Behind {words.micrometres(behind.read_um)} read under {words.clean(by)}: {low} to {high} as driven (80 % "
        f"band), {middle} in the middle; {behind.alike:.0f} drawn corners read alike."
    )
    shown_um, driven_um = (
        next((one.runout_um for one in readings if one.name == name and not one.refused), None)
        for name in (same_clamping(by), DRIVEN)
    )
    unlike = shown_um is not None and abs(shown_um - behind.read_um) > UNLIKE * max(shown_um, behind.read_um)
    worse = not unlike and shown_um is not None and driven_um is not None and driven_um > behind.high_um
    small = words.small_reading(by, behind.read_um)
    lines = [Text(head, style="bold")]
    if limit_um > 0.0:
        span = span_against_limit(behind.low_um, behind.high_um, limit_um)
        state = words.against_limit(span, behind.middle_um, limit_um)
        if behind.high_um <= limit_um:
            state = NOT_TOLD if small else CASE_OVER if worse and (driven_um or 0.0) > limit_um else state
        if by == ONE_SCREW and span != ABOVE:
            state = SCREW_NOTHING
        elif held_badly and span != ABOVE:
            state = HELD_NOTHING
        lines.append(Text(f"Beside the limit of {words.micrometres(limit_um)}, as driven: {state}. {FOR_THE_DIAL}"))
    if shown_um is not None and unlike:
        lines.append(Text(NOT_THIS_CASE.format(by=words.clean(by), shown=words.micrometres(shown_um))))
    if driven_um is not None and worse:
        lines.append(Text(CASE_WORSE.format(driven=words.micrometres(driven_um)), style="bold"))
    lines += [Text(small)] if small else []
    lines += [Text(f"{words.capital(SCREW_ONLY)}.")] if by == ONE_SCREW else []
    lines += [Text(_hub_read_too(with_hub))] if with_hub else []
    if behind.given:
        lines.append(Text(f"Taken as given from the case file: {', '.join(behind.given)}."))
    return [*lines, Text(WHAT_NEXT)]


def _hub_read_too(with_hub: Mapping[float, Any]) -> str:
    """What the bare hub face would tell: the band for each of a few readings of it."""
    bands = [
        f"at {words.micrometres(hub_um)} there the band is {words.micrometres(one.low_um)} to "
        f"{words.micrometres(one.high_um)}"
        for hub_um, one in with_hub.items()
    ]
    return f"{HUB_READ_TOO} {'; '.join(bands)}."


def mountings(told: Any, said_so: Mapping[str, Any], beside: Sequence[str], counts: str) -> RenderableType:
    """What several mountings tell: what to do, the figure and its limit, the shares, each mounting, how to go on.

    ``said_so`` has ``next``, ``says`` and ``notes``.
    """
    from scenes.words import mountings as said

    table = _table("mount", "state", "painted hole on", "runs out (TIR)", left=3)
    for row in hub_and_rotor.rows(told):
        table.add_row(*row)
    lines: list[RenderableType] = [*order_first(said_so["next"]), *(Text(line) for line in beside if line), Text()]
    lines += [Text(sentence) for sentence in said_so["says"]]
    lines += [Text(), table, Text()]
    lines += [Text(f"! {words.clean(note, 300)}") for note in said_so["notes"]]
    return Group(*lines, Text(counts), Text(said.NO_PRIOR), Text(said.HOW_ON))


def sweeps(told: Any, lines: Sequence[str], reach: str, read: Mapping[int, float] | None) -> RenderableType:
    """What chalked sweeps tell: the page's sentences, what the dial read or should show on each stud, what stays open.

    ``read`` is what it read at each hole, None where the faces were not clean.
    """
    shown: list[RenderableType] = [Text(lines[0], style="bold"), *map(Text, lines[1:-2]), Text(reach)]
    if told.at and read is not None and told.stays_with != "neither":
        table = _table("painted hole on stud", "the dial should show", left=2)
        for one in told.at:
            band = f"{words.span(one.low_um, one.high_um, 'µm', 2)} (80 % band)"
            um = read.get(one.holes)
            table.add_row(str(one.holes + 1), band if um is None else f"read {words.micrometres(um)}")
        shown += [Text(), table, Text()]
    return Group(*shown, *map(Text, lines[-2:]))


def _most_trusted(trusted: Sequence[Any]) -> str:
    """Say which clamping is the most to be trusted, if one can be told from the others."""
    if not trusted:
        return "No drawn corner shows enough to say which clamping can be trusted."
    first = next((one for one in trusted if one.most), None)
    if first is None:
        return "None can be called the most trustworthy: they differ by less than the drawn corners leave open."
    told = f"it reads {first.low:.2f} to {first.high:.2f} of the driven runout in 80 % of drawn corners"
    return f"Most to be trusted on this geometry: {first.name}; {told}."


def finding(found: Any) -> RenderableType:
    """One finding: its sentence and its figures."""
    unit = f" [{found.unit}]" if found.unit else ""
    table = _table(f"{found.varied}{unit}", *(curve.name for curve in found.curves))
    for k, value in enumerate(found.over):
        first = value if isinstance(value, str) else f"{value:g}"
        table.add_row(first, *(f"{curve.values[k]:.1f}" for curve in found.curves))
    return Group(Text(found.says, style="bold"), table, Text())


def findings_csv(found: Sequence[Any]) -> str:
    """Every finding as one tidy table: a row for each point of each curve."""
    text = io.StringIO()
    out = csv.writer(text, lineterminator="\n")
    out.writerow(["finding", "varied", "unit", "over", "curve", "answer", "answer_unit", "value"])
    for one in found:
        for curve in one.curves:
            for over, value in zip(one.over, curve.values, strict=True):
                shown = "" if math.isnan(value) else f"{value:.4f}"
                at = over if isinstance(over, str) else f"{over:g}"
                out.writerow([one.key, one.varied, one.unit, at, curve.name, one.answer, one.answer_unit, shown])
    return text.getvalue()


def csv_of(rows: Sequence[Any]) -> str:
    """Rows of dataclasses as CSV."""
    text = io.StringIO()
    out = csv.DictWriter(text, list(asdict(rows[0])))
    out.writeheader()
    out.writerows(asdict(row) for row in rows)
    return text.getvalue()


def verification(found: Sequence[Any]) -> RenderableType:
    """Every check: ours, theirs, how far apart, whether that is within what was agreed."""
    table = _table("quantity", "ours", "theirs", "unit", "difference", "agrees", "source")
    table.columns[-1].justify = "left"
    for one in found:
        ours, theirs = (f"{value:.{one.digits}g}" for value in (one.ours, one.theirs))
        agrees = "yes" if one.holds else "NO"
        table.add_row(one.quantity, ours, theirs, one.unit, f"{100 * one.difference:+.2f} %", agrees, one.source)
    return Group(table, Text(), Text("Seatings against three-dimensional finite elements: see the README's table."))
