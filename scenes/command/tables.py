"""Tables and lines for the terminal, built from a run; nothing here prints. Text from files is never read as markup."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from rich.box import SIMPLE_HEAD
from rich.console import Group
from rich.padding import Padding
from rich.rule import Rule
from rich.table import Table
from rich.text import Text

from scenes.words import felt, few_cautions, findings, loose_nut, to_do, what_leads, words
from scenes.words import road as road_words
from scenes.words import spigot as spigot_words
from scenes.words.taken_in import pieces
from sim.answers import harmonics
from sim.bodies.vanes import vane_note
from sim.parts.fastener import nouns

if TYPE_CHECKING:
    from collections.abc import Sequence

    from rich.console import RenderableType

    from scenes.words.cautions import Caution
    from scenes.words.to_do import Step
    from sim.parts.case import Case, Rotor

# A mark beside the words; the words carry it, so that no terminal needs colour.
MARK = {"below": "·", "above": "▲", "too close to tell": "≈"}


def title(text: str) -> Text:
    """Write a title from a file: one line, no markup, no control characters."""
    return Text(words.clean(text), style="bold")


def _table(*columns: str) -> Table:
    table = Table(box=SIMPLE_HEAD, pad_edge=False, show_edge=False)
    for index, column in enumerate(columns):
        table.add_column(column, justify="right" if index == 1 else "left", no_wrap=index == 1)
    return table


def leads(run: Any) -> list[str]:
    """What leads the answer on a run: scale on the spigot, then what comes before every figure."""
    scale: Sequence[str] = ()
    if spigot_words.wrong(run.spigot):
        scale = [words.clean(line, 400) for line in spigot_words.plain(run)]
    elif run.case.spigot_scale:
        scale = spigot_words.plain(run)[1:]
    return [*scale, *what_leads.headlines(run)]


def found(run: Any) -> RenderableType:
    """Every figure against its limit, each with its sentence."""
    lines: list[RenderableType] = [*leading(leads(run))]
    for finding in findings.found(run):
        mark = MARK[finding.state] if finding.judged else MARK["below"]
        lines.append(Text.assemble((f"{mark} ", "bold"), finding.sentence))
    lines += [Text(f"  {line}") for line in what_leads.noted(run)]
    lines += [
        Text(f"! {words.clean(warning, 300)}") for warning in (*run.seat.warnings, *findings.warned_as_driven(run))
    ]
    return Group(*lines)


def seating(run: Any) -> Table:
    """Seating of a run: runout of both faces, as driven, orders, what carries."""
    seat, case = run.seat, run.case
    table = _table("seating", "figure", "note")
    off = spigot_words.off_the_face(run.spigot)
    for face, value in () if off else seat.lateral_runout_um.items():
        note = f"{words.COMPUTED}{', the face of the dial' if face == case.gauge.face else ''}; TIR"
        if run.reading is not None:
            note = f"{words.COMPUTED}, from the case, not measured; TIR"
        table.add_row(f"{words.RUNOUT}, {words.FACE[face]}", words.micrometres(value), note)
    for row in findings.beside_rows(run):
        table.add_row(*row)
    if not off:
        table.add_row(words.RIGID, words.micrometres(seat.rigid_runout_um), "exact three-point seat; real parts bend")
    for order, amplitude, crest in () if off else _orders(seat):
        table.add_row(f"order {order}", words.micrometres(amplitude), f"amplitude; high spot at {crest} on the rotor")
    contact = seat.contact
    if not off:
        table.add_row(
            "bare face that carries", words.percent(contact.closed_fraction), f"{words.HELD}; by area, dirt left out"
        )
    for index, patch in enumerate(case.debris):
        table.add_row(
            f"dirt {words.patch_name(index)} on the {patch.on}",
            words.force(contact.debris_force_n[index]),
            f"at {words.degrees(patch.angle_deg)}; {words.heights(patch.height_um, contact.residual_height_um[index])}",
        )
    low, high = min(seat.stud_preload_n) / 1000.0, max(seat.stud_preload_n) / 1000.0
    table.add_row(f"clamp force of a {nouns(case.studs).pulled}", words.span(low, high, "kN", 3), _pulled_by(case))
    if case.rotor.style == "vented":
        table.add_row("vanes", *_vanes(case.rotor))
    residual = max(seat.checks.force_residual, seat.checks.moment_residual)
    table.add_row("proof", words.balanced(residual), f"forces and moments, to {words.ROUND_OFF:.0e}")
    return table


def _vanes(rotor: Rotor) -> tuple[str, str]:
    """How a vented rotor's vanes are computed: the value of the key in plain words, and the note that goes with it."""
    if rotor.has_true_vanes:
        return rotor.vane_model, vane_note(rotor).replace("a smeared layer", "an averaged layer")
    return "averaged", vane_note(rotor).replace("smeared to", "into")


def _pulled_by(case: Any) -> str:
    if case.studs.clamped_by == "screw only":
        return "the locating screw alone"
    return f"{case.studs.count} {nouns(case.studs).pulled}s"


def spigot(run: Any) -> RenderableType:
    """How the rotor sits on its spigot, and what that does to it."""
    table = _table("on the spigot", "figure", "note")
    for row in spigot_words.rows(run):
        table.add_row(*row)
    return Group(table, *(Text(f"! {note}") for note in spigot_words.notes(run.spigot)), Text())


def _orders(seat: Any) -> list[tuple[int, float, str]]:
    rows = harmonics(seat)
    largest = max(row["amplitude"] for row in rows)
    kept = [row for row in rows[:4] if row["amplitude"] >= max(0.02 * largest, 0.05)]
    return [(row["order"], row["amplitude"], words.degrees(row["high_spot_deg"])) for row in kept]


def road(run: Any) -> Table:
    """Forecast of a run: thickness variation at some distances, wear, torque and the speed at which it is felt."""
    forecast = run.forecast
    table = _table("after", "thickness variation, the case's own curve", "80 % band of the draws", "drivers call it")
    limit = run.case.limits.dtv_um
    worn = road_words.worn_start(forecast, limit)
    last = float(forecast.distance_km[-1])
    for wanted in (0.0, 1000.0, 3000.0, 5000.0, 10000.0, 20000.0, 30000.0, 50000.0, 100000.0):
        if wanted > last + 1.0:
            break
        row = int(abs(forecast.distance_km - wanted).argmin())
        dtv = float(forecast.dtv_um[row])
        between = words.span(float(forecast.dtv_low_um[row]), float(forecast.dtv_high_um[row]), "µm")
        if row == 0 and worn is not None:
            between = f"measured {worn.figure}"
        over = words.over_limit(dtv, limit)
        called = loose_nut.CALLED if loose_nut.calms(run.case.studs, "above", dtv) else words.dtv_called(dtv)
        called = "not told" if road_words.quiet_untold(run, dtv) else called
        called += f", {over} the limit" if over else ""
        if row and not over and road_words.starts_over(forecast, limit) is not None:
            called = road_words.RENEWED
        table.add_row(words.kilometres(wanted), words.micrometres(dtv), between, called)
    return table


def life(run: Any) -> RenderableType:
    """Limit with its band, released and braked wear apart, drag, lives, where it is felt, what moves it most."""
    table = _table("on the road", "figure", "note")
    for row in road_words.road_rows(run):
        table.add_row(*row)
    return Group(table, Text())


def road_test(weighed: Any) -> RenderableType:
    """What a road test says about the orders."""
    table = _table("order", "weight")
    for order, share in enumerate(weighed.share, start=1):
        if share >= 0.005:
            table.add_row(str(order), words.percent(share))
    head = "The road test speaks for" if weighed.ours else "The road test speaks against thickness variation; if it is:"
    return Group(Text(head, style="bold"), table, *(Text(words.clean(line, 400)) for line in weighed.remarks), Text())


def road_notes(run: Any) -> RenderableType:
    """Sentences under the forecast's table."""
    return Group(*(Text(_short(words.clean(note, 900))) for note in felt.road_notes(run)))


def _short(note: str) -> str:
    """Leave out of a note on the band the range of every key: `trueseat keys` and the report's appendix have them."""
    head, mark, _ = note.partition(": pads.")
    return f"{head} (each key's range and source: trueseat keys)." if mark else note


def next_steps(run: Any, asked: Sequence[Step] | None = None) -> RenderableType:
    """List what to do next, in order, and the cautions that belong to it; another list than its own may be given."""
    asked = to_do.next_steps(run) if asked is None else asked
    warned = cautioned(run.case, [key for step in asked for key in step.keys])
    warned.append(Text(f"▌ {few_cautions.ALL_CAUTIONS}"))
    return Group(listed(asked), Text(), *warned)


def listed(steps: Sequence[Step]) -> RenderableType:
    """Number steps under their head."""
    numbered = [Text.assemble((f"{n}. ", "bold"), step.what) for n, step in enumerate(steps, 1)]
    return Group(Text("What to do next, in this order", style="bold"), *numbered)


def marked(warned: Sequence[Caution]) -> list[RenderableType]:
    """Cautions, each with its mark."""
    return [Text(f"▌ {caution.text}") for caution in warned]


def cautioned(case: Case, keys: Sequence[str]) -> list[RenderableType]:
    """Cautions that matter most for some pieces of the work, each with its mark."""
    return marked(few_cautions.told_for(case, keys))


def leading(said: Sequence[str], mark: str = "▲ ") -> list[RenderableType]:
    """Lines that lead an answer, each with its mark; none for those that say nothing."""
    return [Text(f"{mark}{words.capital(line)}", style="bold") for line in said if line]


def order_first(lead: str) -> list[RenderableType]:
    """What to do, in letters that lead: one order that can be taken in; what else is to be known line by line below."""
    first, *rest = pieces(lead)
    return [Text(first, style="bold"), *(Text(line) for line in rest)]


def headed(text: str, *parts: RenderableType) -> RenderableType:
    """Put a title and a rule over parts of an answer."""
    return Group(title(text), Rule(style="dim"), *(Padding(part, (0, 0, 1, 0)) for part in parts))
