"""Tables of the road's further questions: the duty table, what a worn rotor tells of, what remains once it is clean."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from rich.box import SIMPLE_HEAD
from rich.console import Group
from rich.table import Table
from rich.text import Text

from scenes.command import tables
from scenes.words import acts, few_cautions, rocked, stated_work, what_leads, words
from scenes.words import memory as memory_words
from scenes.words.road import NOTHING, band, middle_km, within
from sim.bench.known_parts import CASE_FILE, HUB_FACE, WITH_HUB
from sim.parts.dial import BELOW
from sim.parts.discard import discard_words
from sim.wear.forecast_words import NOT_STUDIED

if TYPE_CHECKING:
    from rich.console import RenderableType

    from scenes.words.what_leads import Stated
    from sim.corner.driven import BareHub
    from sim.parts.case import Case

NOT_WITHIN = "–"
MARKS_UM = (10.0, 15.0, 20.0)  # of thickness variation that are always told; where drivers' words change
LEAST_TOLD = 0.1  # a smaller share of the draws stands in its own column alone


def _table(*columns: str, left: int = 1) -> Table:
    table = Table(box=SIMPLE_HEAD, pad_edge=False, show_edge=False)
    for k, column in enumerate(columns):
        table.add_column(column, justify="left" if k < left else "right", no_wrap=True)
    return table


def _short(km: float | None) -> str:
    return NOT_WITHIN if km is None else words.kilometres(km).removesuffix(f"{words.GAP}km")


def _reached(row: Any, mark_um: float, limit_um: float, km: float | None) -> str:
    """Distance to a mark; what no clear majority of the draws does is told as their share, whatever one curve does."""
    if mark_um < limit_um or middle_km(row) is not None or not row.draws:
        return _short(km)
    share = 1.0 - row.probability_never
    if mark_um == limit_um:
        return words.percent(share) if share >= LEAST_TOLD else NOT_WITHIN
    return NOT_WITHIN if km is None else f"at most {words.percent(share)}"


def duty(rows: Sequence[Any], limit_um: float, km: float, yours: tuple[str, str] = ("", "")) -> RenderableType:
    """Duty, caliper, pads and runout against the road, one small table for each caliper and kind of pad.

    ``yours`` are the case's own caliper and pads.
    """
    limit = words.micrometres(limit_um)
    ends = (f"{limit}, from", "to", "not within") if any(row.draws for row in rows) else ()
    marks = sorted({*MARKS_UM, limit_um})
    parts: list[RenderableType] = []
    for caliper, pads in dict.fromkeys((row.caliper, row.pads) for row in rows):
        table = _table(
            "duty",
            f"runout {words.AS_DRIVEN}",
            *(words.with_unit(mark, "µm") for mark in marks),
            *ends,
            "peak",
            "drag",
        )
        for row in (one for one in rows if (one.caliper, one.pads) == (caliper, pads)):
            doubt = (_short(row.km_low), _short(row.km_high), words.chance(row.probability_never))
            # What no clear majority of the draws does is not called reached, whatever the middle case does.
            to = dict(zip(MARKS_UM, (row.km_to_10, row.km_to_15, row.km_to_20), strict=True))
            to.setdefault(limit_um, row.km_to_limit)
            table.add_row(
                row.duty, words.micrometres(row.runout_um),
                *(_reached(row, mark, limit_um, km) for mark, km in sorted(to.items())),
                *(doubt if row.draws else ())[: len(ends)],
                words.micrometres(row.peak_um), f"{row.drag_nm:.1f} N m",
            )  # fmt: skip
        own = ", as in the case" if (caliper, pads) == yours else ""
        parts += [Text(f"{caliper} caliper, {pads} pads{own}: km until", style="bold"), table, Text()]
    last = words.kilometres(km)
    note = (
        f"{NOT_WITHIN} not within {last}. A share stands where no clear majority of the draws gets there: so many do. "
        "From, to: 80 % band of the distance to the limit. Not within: share of the draws that do not reach it within "
        "that distance. The wear parameters behind it are ranges, the runouts are examples: yours is read as found, "
        "and the thickness with it, before anything is ordered."
    )
    return Group(*parts, Text(note))


def duty_leads(case: Case) -> list[str]:
    """What comes before a table of distances: what the case states, and that it counts for nothing then."""
    stated = what_leads.of_case(case)
    nothing = NOTHING.format(beside="the rotor as given goes first")
    return [*stated.lines, *([nothing] if stated.rotor else [])]


def memory_stated(case: Case, found: Any) -> Stated:
    """What a case states that comes before what a worn rotor tells; a hub that was read leads by that reading."""
    told = thickness_read(case, what_leads.of_case(case), found.thinnest_mm)
    read = any(part.cause == HUB_FACE and part.source != CASE_FILE for part in found.known)
    return told.but("hub") if read else told


def thickness_read(case: Case, stated: Stated, thinnest_mm: float | None) -> Stated:
    """What a case states where a micrometer read how its rotor varies, and its thickness too unless from any zero."""
    return replace(stated, rotor=what_leads.rotor_first(case, level=thinnest_mm is None, varies=False))


def memory_leads(case: Case, found: Any) -> list[str]:
    """How a worn rotor stands against its limits, and the hub under it."""
    hub = "" if memory_stated(case, found).hub else memory_words.hub(case, found)
    return [memory_words.apart(found), memory_words.thickness(case, found), hub]


def memory(case: Case, found: Any, km: float) -> RenderableType:
    """What a worn rotor tells of, what it cannot, and which trace would."""
    table = _table("what the worn rotor tells", "figure")
    driven = f"{words.kilometres(km)} ± {words.with_unit(found.give_or_take, '%')}"
    table.add_row("driven since it was fitted, as you say", driven)
    if found.tells:  # else no figure of its fitting is told
        table.add_row("mounted runout at fitting", words.micrometres(found.fitted_runout_um))
        table.add_row("80 % band", words.span(found.low_um, found.high_um, "µm", 3))
    if found.runout_now_um is not None:
        table.add_row("runout now, first order, mean of both faces", words.micrometres(found.runout_now_um))
        more = found.fitted_runout_um - found.runout_now_um
        if found.tells and more >= 0.5:
            table.add_row("not read but added by the wear model, over that distance", words.micrometres(more))
    if not found.tells or found.high_spot_deg is None:
        table.add_row("high spot on the hub", "the readings do not tell")
    else:
        half = words.degrees(max(found.high_spot_band_deg, 1.0))
        table.add_row("high spot on the hub, from stud 1", f"{words.degrees(found.high_spot_deg)} ± {half} (80 %)")
    for part in found.known:
        on_hub = part.cause in (HUB_FACE, WITH_HUB)
        turned = found.studs_turned * 360.0 / case.studs.count if on_hub else 0.0
        at = words.degrees((part.high_spot_deg + turned) % 360.0)
        where = f"{words.micrometres(part.runout_um)} at {at} on the {'hub' if on_hub else 'rotor'}"
        table.add_row(f"{part.how}: {part.cause} ({part.source})", where)
    if found.tells and found.unread_um is not None:
        left = words.span(found.unread_um.low, found.unread_um.high, "µm", 3)
        table.add_row(f"left for anything else, {NOT_STUDIED}", left)
    lines: list[RenderableType] = [table, Text()]
    said = words.clean(found.reason, 600)
    lines.append(Text(f"{words.capital(said)}.", style="bold"))
    if found.cannot_tell:
        lines.append(Text(f"Cannot be told apart: {words.listed(list(found.cannot_tell))}."))
    if found.would_tell:
        lines.append(Text("What would tell, in this order:"))
        lines += [Text(f"{number}. {words.clean(what, 200)}") for number, what in enumerate(found.would_tell, 1)]
    told = (found.scrap, discard_words(case, found.thinnest_mm, memory_words.varies_of(case, found).thick_half_mm))
    lines += [Text(words.capital(words.clean(note, 400)) + ".") for note in found.notes if note not in told]
    return Group(*lines)


#: Said of a cut where bearing or hub under the rotor comes first: it would be true to what goes.
NOT_ON_THIS_HUB = (
    "; not on this hub and bearing as they are: those come first, a cut runs true on the hub it was made on"
)


def rocked_first(play: bool) -> tuple[str, ...]:
    """What leads where the hub was rocked and has play; nothing where it has none, or nobody says so."""
    return (rocked.BEFORE_A_ROTOR,) if play else ()


def remains_leads(
    case: Case, found: Any, hub_read: BareHub | None = None, thinnest_mm: float | None = None
) -> list[str]:
    """What leads the answer on a worn disc: what its case states, then what is done."""
    stated = thickness_read(case, what_leads.of_case(case, hub_read=hub_read), thinnest_mm)
    act = words.clean(found.act, 300)
    if act.startswith("Cut") and any((stated.scale, stated.part, stated.bearing, stated.hub)):
        act += NOT_ON_THIS_HUB
    return [*stated.lines, f"{act}."]


#: Of wheel, caliper and rotor that come off whatever becomes of it.
REMAINS_WORK = ("maker first", "hang the caliper", "cracked is scrap", *few_cautions.DUSTY)


def remains_work(case: Case, states: bool) -> RenderableType:
    """Where the list of that work is, where the case states what comes first, and its cautions."""
    where = [Text(f"{words.capital(acts.THE_WORK)}."), Text()] if states else []
    warned = stated_work.cautions_of(case, what_leads.of_case(case), lifted=True, also=REMAINS_WORK)
    return Group(*where, *tables.marked(warned))


def goes(found: Any) -> bool:
    """Whether that act takes the rotor off the car for good: then it has the mark of what is over its limit."""
    return str(found.act).startswith(("Renew", "Count it as over", "Cut"))


def remains(found: Any, limit_um: float, km: float) -> RenderableType:
    """What becomes of a worn disc once its seat is clean."""
    table = _table("once the hub is clean", "figure")
    varies = found.varies
    now = words.micrometres(found.dtv_now_um) if varies is None else f"{varies.figure} (k = 2)"
    table.add_row("thickness variation now", now)
    table.add_row("limit", words.micrometres(limit_um))
    if found.probability_fades is not None:
        told = found.km_to_fade if found.probability_fades > 0.5 else None
        table.add_row("below it after, a guess of the model", within(told, km))
        table.add_row(NOT_STUDIED, band(found.km_low, found.km_high, km))
    if found.thickness_after_cut_mm is not None and (varies is None or varies.state != BELOW):
        table.add_row("thickness after a cut on the car", f"{found.thickness_after_cut_mm:.2f} mm")
    text = "Discard thickness as the maker stamps it."
    if found.probability_fades is not None:
        text = (
            f"Fading is {words.MODEL_ONLY}: braking grinds thick spots down slowly, in the model; the wear parameters "
            f"are ranges. {text}"
        )
    if found.discard:
        text = f"{words.capital(found.discard)}. {text}"
    why = words.capital(words.clean(found.why, 1200))
    return Group(table, Text(), Text(f"{why}."), Text(text))
