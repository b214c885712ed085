"""What a tolerance stack tells, in an engineer's words: the share first, then what the draws cannot tell."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from scenes.words import words
from sim.parts.dirt import DIRT
from sim.stack.answer import capabilities, sorted_by
from sim.stack.brought import FAULTLESS, brought
from sim.stack.gauge import COARSE, FINE
from sim.stack.shares import ends, least_draws, resolvable
from sim.stack.worst_case import NO_END

if TYPE_CHECKING:
    from sim.stack.answer import Answer
    from sim.stack.brought import Brought
    from sim.stack.capability import Capability
    from sim.stack.levers import Worth
    from sim.stack.loosest import Loosest
    from sim.stack.population import Population
    from sim.stack.road import Driven
    from sim.stack.run import Pace, Result
    from sim.stack.sensitivity import Index
    from sim.stack.shares import Share, Spread
    from sim.stack.worst_case import Contribution

ROUND_OFF = 1e-9  # of the last figure that is written
CLOSE = 0.6  # correlation of two scales from which it is said that they cannot be told apart; judgement
STATE = {
    "monte_carlo": "as found",
    "after_cleaning": "cleaned",
    "after_indexing": "indexed",
    "after_both": "cleaned and indexed",
}
PARTS = {"hub": "hubs", "rotor": "rotors"}
CLAIMED = {"found": "as found", "cleaned": "cleaned"}
TOLD_EVERY = 10  # of the distances that are drawn, one in so many stands in the table
RSS = (
    "Root sum square of limits is the share that it is meant for only where all are vectors; with dirt among them no "
    "share of corners belongs to it."
)
INDEXED = "Indexed: on the stud position that the dial reads least; as driven: on that same position."
MAKER = "A share of an assumed population, not of your cars; the vehicle maker's limits stand above it."


def rate(share: float) -> str:
    """Write a share of corners: in percent, below a thousandth in parts per million.

    Examples
    --------
    >>> rate(0.0123), rate(0.00012), rate(0.0)
    ('1.2 %', '120 ppm', '0')
    """
    if share == 0.0:
        return "0"
    if share < 1e-3:
        return f"{1e6 * share:.2g} ppm" if share < 1e-5 else f"{float(f'{1e6 * share:.2g}'):.0f} ppm"
    if share == 1.0:
        return "100 %"
    return f"{100.0 * share:.2g} %" if share < 0.985 else f"{100.0 * share:.1f} %"


def between(share: Share) -> str:
    """Interval of a share."""
    return f"{rate(share.low)} to {rate(share.high)}"


def wanted(found: Answer) -> str:
    """Say which share is wanted within which limit."""
    population = found.result.study.population
    return f"{wanted_share(population)} within {words.micrometres(population.limit_um)}"


def wanted_share(population: Population) -> str:
    """The share that is wanted within the limit, as it was given."""
    return _exactly(population.share_within)


def _exactly(share: float) -> str:
    return f"{float(f'{100.0 * share:.6g}'):g} %"


def lead(found: Answer) -> str:
    """Say what share is over the limit, and whether the wanted one is shown."""
    over = found.read["monte_carlo"].reject
    said = (
        f"{rate(over.share)} of corners read over {words.micrometres(found.result.study.population.limit_um)} as found "
        f"({over.count} of {over.of}; 95 % interval {between(over)}). "
    )
    verdict = {
        "yes": f"So {wanted(found)} is demonstrated.",
        "no": f"So {wanted(found)} is not reached.",
        "open": f"{words.capital(wanted(found))} is not demonstrated by {over.of} draws with {over.count} over.",
    }
    return said + verdict[found.verdict]


def brought_along(found: Answer) -> list[str]:
    """Name the faults of the base that lie on every corner, beside those that are drawn; none for a faultless base."""
    faults = [_brought(one) for one in brought(found.result.study.population)]
    if not faults:
        return []
    return [
        f"The base brings along what does not vary, alike on every corner: {words.listed(faults)}. This counts in "
        f'every figure; vary it, or stack on a base without faults, such as base = "{FAULTLESS}".'
    ]


def _brought(one: Brought) -> str:
    amount = {"um": words.micrometres(one.amount), "%": f"± {one.amount:.0f} %"}.get(one.unit, _patches(one.amount))
    at = "" if one.angle_deg is None else f" at {words.degrees(one.angle_deg)}"
    return f"{one.name} {amount}{at}{', on the road only' if one.road_only else ''}"


def _patches(count: float) -> str:
    return f"({count:.0f} {'patch' if count == 1 else 'patches'})"


def rows(found: Answer) -> list[tuple[str, ...]]:
    """Rows of the table: state, middle, 95 %, 99 %, share over, its interval; as read, then as driven."""
    out = []
    for how, spreads in ((words.HELD, found.read), ("as driven", found.driven)):
        out += [_row(f"{STATE[name]}, {how}", one) for name, one in spreads.items()]
    return out


def _row(name: str, one: Spread) -> tuple[str, ...]:
    figures = (words.micrometres(value) for value in (one.mean, one.p50, one.p95, one.p99))
    return (name, *figures, rate(one.reject.share), between(one.reject))


def part_rows(found: Answer) -> list[tuple[str, ...]]:
    """Rows of the contributions: what, its limit, alone, its share of the root sum square."""
    total = sum(one.runout_um**2 for one in found.parts) or 1.0
    out: list[tuple[str, ...]] = []
    for one in found.parts:
        share = words.percent(one.runout_um**2 / total)
        out.append((words.clean(one.name, 60), limit_of(one), words.micrometres(one.runout_um), share))
    return out


def limit_of(one: Contribution) -> str:
    """The limit that a tolerance was held at, in words."""
    if one.unit == "patches":
        return _patches(one.limit).strip("()")
    return words.micrometres(one.limit) if one.unit == "um" else f"± {one.limit:.0f} {one.unit}"


def loosest_lines(found: Answer) -> list[str]:
    """Answer the inverse question, key by key."""
    return [_loosest(one) for one in found.more.get("loosest", ())]


def figure(value: float, unit: str, towards: int = 0) -> str:
    r"""A limit with its unit, to a tenth: to the nearest, below it (-1) or above it (1).

    A bound goes into a drawing: what is demonstrated is never rounded up, what is excluded never down.

    Examples
    --------
    >>> figure(13.56, "um"), figure(13.56, "um", -1), figure(13.51, "um", 1), figure(0.20349, "", -1)
    ('13.6\xa0µm', '13.5\xa0µm', '13.6\xa0µm', '0.203')
    """
    decimals = 1 if unit else max(1, 2 - math.floor(math.log10(abs(value) or 1.0)))
    scaled = value * 10.0**decimals
    whole = (round, math.ceil, math.floor)[towards](scaled - towards * ROUND_OFF)
    text = f"{whole / 10.0**decimals:.{decimals}f}"
    return f"{text}{words.GAP}{'µm' if unit == 'um' else unit}" if unit else text


def _state(column: str) -> str:
    name, _, road = column.removesuffix("_um").partition("_")
    done = {"found": "as found", "cleaned": "cleaned", "indexed": "indexed", "both": "cleaned and indexed"}[name]
    return f"{done}, {'as driven' if road else words.HELD}"


def loosest_short(one: Loosest) -> str:
    """Say the answer to the inverse question in a few words."""
    start = f"{_exactly(one.wanted)} within, corners {_state(one.state)}: "
    if one.unlimited:
        return f"{start}without any limit on it"
    if one.limit is None:
        return f"{start}no limit on it alone does"
    low = "at no limit" if one.low is None else f"up to {figure(one.low, one.unit, -1)}"
    return f"{start}{figure(one.limit, one.unit)}; demonstrated {low}, {_excluded(one)}"


def _excluded(one: Loosest) -> str:
    """From where on draws exclude it: not at the end of what was tried, which the parts set and not the draws."""
    if one.high is None or one.high >= one.limits[-1]:
        return "excluded at no limit by so few draws"
    return f"excluded above {figure(one.high, one.unit, 1)}"


def _loosest(one: Loosest) -> str:
    name, share = words.clean(one.key, 60), _exactly(one.wanted)
    start = f"{name}, corners {_state(one.state)}: "
    if one.unlimited:
        return f"{start}{share} are within without any limit on it ({rate(one.now.share)} over, {between(one.now)})."
    if one.limit is None:
        return (
            f"{start}no limit on it alone brings {share}: with the least of it {rate(one.least.share)} are over "
            f"({between(one.least)}), now {rate(one.now.share)}."
        )
    low = "at no limit by so few draws" if one.low is None else f"up to {figure(one.low, one.unit, -1)}"
    return (
        f"{start}{share} are within up to a limit of {figure(one.limit, one.unit)}; demonstrated {low}, "
        f"{_excluded(one)} (95 %). It sorts out {rate(one.sorts_out(one.limit))} of the parts"
        f"{'' if one.low is None else f', the one demonstrated {rate(one.sorts_out(one.low))}'} ({one.how})."
    )


def road_lines(found: Answer) -> list[str]:
    """Say what share of the corners that were driven stays within the thickness variation allowed."""
    road = found.more.get("road")
    if road is None:
        return []
    far, limit = words.kilometres(float(road.km[-1])), words.micrometres(road.limit_um)
    return [
        f"Driven {far}, {name}: {rate(one.share)} of {one.of} corners stay within {limit} of thickness variation "
        f"(95 % interval {between(one)}); {_claims(one)}."
        for name, one in (("as found", road.within.get("found")), ("cleaned", road.within.get("cleaned")))
        if one is not None
    ]


def fit_lines(found: Answer) -> list[str]:
    """Say what audited runouts make of the population, and what they cannot tell apart."""
    fitted = found.more.get("fit")
    if fitted is None:
        return []
    low, middle, high = (rate(one) for one in fitted.reject)
    told = [f"{one.name} {one.middle:.2f} ({one.low:.2f} to {one.high:.2f})" for one in fitted.scales if one.told]
    dark = [one.name for one in fitted.scales if not one.told]
    out = [
        f"Fitted to {fitted.readings} audited runouts, {middle} are over the limit as found ({low} to {high}, 80 % "
        f"band; as assumed {rate(fitted.assumed)}). Once cleaned perhaps {rate(fitted.reject_cleaned[1])}: audits of "
        "corners as found tell too little of that for a band.",
        f"Factors on what the file assumes, 80 % band: {words.listed(told)}." if told else "No factor is told by them.",
    ]
    if dark:
        out.append(f"These runouts tell next to nothing of {words.listed(dark)}: read bare hubs, or cleaned corners.")
    pair, together = max(fitted.together.items(), key=lambda one: abs(one[1]))
    if abs(together) > CLOSE:
        out.append(f"{words.capital(pair[0])} and {pair[1]} cannot be told apart by them (correlation {together:.1f}).")
    return out


def _claims(one: Share) -> str:
    most = 1000.0 * (1.0 - one.low)
    return f"{1000.0 * (1.0 - one.share):.0f} in a thousand do not, {most:.0f} at the most"


def further(found: Answer) -> list[tuple[tuple[str, ...], list[tuple[str, ...]]]]:
    """Further tables, heads and rows: sensitivities, levers."""
    out: list[tuple[tuple[str, ...], list[tuple[str, ...]]]] = []
    rows: list[tuple[str, ...]]
    if able := capabilities(found):
        heads = (
            "capability, upper limit",
            "index",
            "95 % interval",
            "50 %",
            "99.865 %",
            "over, in a million",
            "95 % interval",
        )
        out.append((heads, [_capable(STATE[name], one) for name, one in able.items()]))
    out.append(_by_gauge(found))
    if road := found.more.get("road"):
        out.append((("driven", *(f"{name}, in a thousand" for name in CLAIMED.values())), _claim_rows(road)))
    if sense := found.more.get("sensitivity"):
        over = {one.group: one for one in sense.over_limit}
        rows = [
            (words.clean(one.group, 60), _index(one.first, one.first_low, one.first_high),
             _index(one.total, one.total_low, one.total_high), _over(over.get(one.group)))
            for one in sense.runout
        ]  # fmt: skip
        out.append((("what varies", "of the runout: alone", "with all others", "of being over: with all others"), rows))
    if found.more.get("levers"):
        money = "" if found.result.study.prices is None else found.result.study.prices.currency
        rows = [_lever(one, money) for one in found.more["levers"]]
        names = ("lever", "over the limit", "without", "fewer over, 95 %", "sorts out", "costs", "gains a car, 95 %")
        out.append((names, rows))
    return out


def _by_gauge(found: Answer) -> tuple[tuple[str, ...], list[tuple[str, ...]]]:
    """What sorting by one reading does, at the limit and at the acceptance limit below it."""
    rows: list[tuple[str, ...]] = []
    for name, both in sorted_by(found).items():
        for one in (both.at_limit, both.guarded):
            if one.accept_um <= 0.0:
                continue
            wrong = (f"{_ppm(1e3 * share)} in 1{words.GAP}000" for share in (one.passed_over, one.rejected_within))
            rows.append((STATE[name], words.micrometres(one.accept_um), *wrong, words.percent(one.of_variation)))
    heads = ("sorted by one reading", "accepts to", "over it, passed", "within it, rejected", "gauge's part")
    return heads, rows


def gauge_line(found: Answer) -> str:
    """Say what the gauge is worth against the limit."""
    study = found.result.study
    share = study.gauge.of_limit(study.population.limit_um)
    worth = "fine" if share <= FINE else "too coarse to sort by" if share > COARSE else "by what a mistake costs"
    return (
        f"Gauge: steps of {words.micrometres(study.gauge.step_um)}, standard deviation "
        f"{words.micrometres(study.gauge.sd_um)}; six of them are {words.percent(share)} of the limit: {worth} (to "
        "10 % is fine, over 30 % too coarse: common practice, from memory)."
    )


def _capable(name: str, one: Capability) -> tuple[str, ...]:
    told = "too few draws" if one.index is None else f"{one.index:.2f}"
    low = "open" if one.low is None else f"{one.low:.2f}"
    high = "open" if one.high is None else f"{one.high:.2f}"
    over = (_ppm(value) for value in (one.over_ppm, one.over_low_ppm, one.over_high_ppm))
    middle, least, most = over
    points = (words.micrometres(one.median), words.micrometres(one.upper))
    return (name, told, f"{low} to {high}", *points, middle, f"{least} to {most}")


def _ppm(value: float) -> str:
    return f"{float(f'{value:.2g}'):.0f}"


def _claim_rows(road: Driven) -> list[tuple[str, ...]]:
    """Corners in a thousand over the thickness variation allowed, against distance, with the exact 95 % interval."""
    out = []
    for k in range(TOLD_EVERY, road.km.size, TOLD_EVERY):
        row = [words.kilometres(float(road.km[k]))]
        for name in CLAIMED:
            if name not in road.over:
                row.append("–")
                continue
            of = road.within[name].of
            low, high = (1000.0 * float(one) for one in ends(round(float(road.over[name][k]) * of), of))
            row.append(f"{1000.0 * float(road.over[name][k]):.0f} ({low:.0f} to {high:.0f})")
        out.append(tuple(row))
    return out


def _index(value: float, low: float, high: float) -> str:
    value, low, high = (min(max(one, 0.0), 1.0) for one in (value, low, high))  # a share: noise can lead beyond
    return f"{value:.2f} ({low:.2f} to {high:.2f})"


def _over(one: Index | None) -> str:
    return "–" if one is None else _index(one.total, one.total_low, one.total_high)


def _lever(one: Worth, money: str) -> tuple[str, ...]:
    told = one.fewer
    apart = _signed(one.without.share - one.over.share)
    if told is not None:
        ends_ = f"{_signed(told.low)} to {_signed(told.high)}"
        apart = f"{apart} ({ends_})" if told.told else f"cannot be told ({ends_})"
    name = words.clean(one.lever.name, 60)
    shares = (name, rate(one.over.share), rate(one.without.share), apart, rate(one.sorted_out))
    if one.gain_per_car is None:
        return (*shares, "–", "–")
    return (*shares, f"{_money(one.costs_per_car)}", _gain(one, money))


def _gain(one: Worth, money: str) -> str:
    """What a lever gains a car, with its interval; in the same cell what is not in it."""
    assert one.gain_per_car is not None
    text = f"{_money(one.gain_per_car, True)} {money}"
    if one.saves_low is not None and one.saves_high is not None:
        low, high = one.saves_low - one.costs_per_car, one.saves_high - one.costs_per_car
        ends_ = f"({_money(low, True)} to {_money(high, True)} {money})"
        text = f"cannot be told {ends_}" if low <= 0.0 <= high else f"{_money(one.gain_per_car, True)} {ends_}"
    if one.unpriced:
        parts = PARTS.get(one.lever.key.partition(".")[0], "parts")
        text += f", without the parts sorted out: {rate(one.sorted_out)} of {parts}"
    return text


def _signed(share: float) -> str:
    return f"{words.MINUS}{rate(-share)}" if share < 0.0 else rate(share)


def _money(value: float, signed: bool = False) -> str:
    """A price, no finer than the draws can be: whole from 10 on, below to a tenth."""
    text = f"{abs(value):.0f}" if abs(value) >= 9.95 else f"{abs(value):.1f}"
    sign = words.MINUS if value < 0.0 else "+" if signed else ""
    return f"{sign if text.strip('0.') else ''}{text}"


def held_line(found: Answer) -> str:
    """Say what no interval holds: it is of sampling alone; the strength of dirt and the wheel are not drawn."""
    population = found.result.study.population
    kinds = {kind for dirt in population.dirt for kind, share in dirt.kinds if share > 0.0}
    held = [f"{kind} {crushing(kind)}" for kind in sorted(kinds)]
    if found.driven:
        wheel, drawn = population.case.wheel, population.of("wheel.pad_dish_um")
        dish = "dish as drawn" if drawn else f"dish {words.micrometres(wheel.pad_dish_um)}"
        held.append(
            f"the wheel's pad is {words.clean(wheel.material, 30)}, {wheel.thickness_mm:g}{words.GAP}mm, {dish}"
        )
    rest = f"held in all corners: {'; '.join(held)}" if held else "what does not vary is held as in the base"
    return f"Every interval is of sampling only; {rest}."


def crushing(kind: str) -> str:
    """How hard a kind of dirt is to crush, with the range that it may have."""
    if kind not in DIRT:
        return "does not crush"
    low, usual, high = DIRT[kind].crush_mpa
    return f"crushes at {usual:g}{words.GAP}MPa (it may be {low:g} to {high:g})"


def sums(found: Answer) -> str:
    """Worst case and root sum square in a sentence, beside what was drawn."""
    main = found.read["monte_carlo"]
    return (
        f"All at their limits in one direction: {words.micrometres(found.worst_case_um)} (worst case); root sum square "
        f"{words.micrometres(found.rss_um)}; drawn, 99 % of corners are within {words.micrometres(main.p99)}."
    )


def uncounted(result: Result) -> list[str]:
    """Say which corners count nowhere, and which only as read, with the first reason of each kind."""
    cannot = "could not be seated and count nowhere"
    each = ((result.not_seated, cannot), (result.unfit, "are no corners to drive as drawn: they count as read only"))
    return [
        f"{len(some)} of {result.size} corners {what}; corner {some[0][0]}: {words.clean(some[0][1], 240)}"
        for some, what in each
        if some
    ]


def notes(found: Answer) -> list[str]:
    """What the draws cannot tell, and what stands behind them."""
    main, study = found.read["monte_carlo"], found.result.study
    out = [sums(found), f"{RSS} {words.capital(NO_END)}.", INDEXED, gauge_line(found)]
    reached = main.tolerance_reached
    if reached < float("inf"):
        end = "; drawing stopped there" if found.result.stopped else ""
        out.append(f"Mean, standard deviation and both 95 % ends are known to {reached:.2g} µm (JCGM 101){end}.")
    elif study.tolerance_um > 0.0:
        out.append("Too few draws to say to what tolerance the figures are known; two batches of 1 024 are the least.")
    share = study.population.share_within
    out.append(held_line(found))
    out.append(
        f"{main.samples} draws tell nothing below {rate(resolvable(main.samples))}; {_exactly(share)} takes "
        f"{least_draws(share)} draws without one over."
    )
    out += uncounted(found.result)
    if found.more.get("levers") and study.prices is not None:
        out.append(
            f"Levers: if every corner over the limit comes back once, at {study.prices.claim:g} "
            f"{words.clean(study.prices.currency, 8)}, every corner held against itself (Newcombe, 1998); parts that "
            "are sorted out are priced where price_per_part_sorted_out says so, their number held."
        )
    if found.more.get("sensitivity"):
        out.append(
            f"Sensitivities: shares of the variance by group (Sobol), {found.more['sensitivity'].samples} corners a "
            "sample; what one does alone, and what it does with all others."
        )
    if study.points != "random":
        out.append(f"Points: {study.points}, 16 replicates; their intervals are Student's over the replicates.")
    return [*out, MAKER]


def pace_lines(pace: Pace | None) -> list[str]:
    """How fast corners were seated and what sharing them out has gained; for the screen, never for what is kept."""
    if pace is None:
        return []
    busy = f"{pace.kept_busy:.1f} processes kept busy on average"
    return [
        f"Seated {pace.corners} corners in {pace.wall_s:.1f} s, {pace.a_second:.0f} a second: "
        f"{pace.a_second_each:.0f} a second of one process's computing time, {busy}."
    ]
