"""What a tolerance stack tells, in an engineer's words: the share first, then what the draws cannot tell."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scenes.words import words
from sim.stack.shares import least_draws, resolvable
from sim.stack.worst_case import NO_END

if TYPE_CHECKING:
    from sim.stack.answer import Answer
    from sim.stack.shares import Share, Spread

STATE = {
    "monte_carlo": "as found",
    "after_cleaning": "cleaned",
    "after_indexing": "indexed",
    "after_both": "cleaned and indexed",
}
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
    return f"{100.0 * share:.2g} %" if share < 0.995 else f"{100.0 * share:.1f} %"


def between(share: Share) -> str:
    """Interval of a share."""
    return f"{rate(share.low)} to {rate(share.high)}"


def wanted(found: Answer) -> str:
    """Say which share is wanted within which limit."""
    population = found.result.study.population
    return f"{_exactly(population.share_within)} within {words.micrometres(population.limit_um)}"


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


def rows(found: Answer) -> list[tuple[str, ...]]:
    """Rows of the table: state, middle, 95 %, 99 %, share over, its interval; as read, then as driven."""
    out = []
    for how, spreads in ((words.AS_READ, found.read), ("as driven", found.driven)):
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
        limit = words.micrometres(one.limit) if one.unit == "um" else f"± {one.limit:.0f} {one.unit}"
        out.append(
            (
                words.clean(one.name, 60),
                limit,
                words.micrometres(one.runout_um),
                words.percent(one.runout_um**2 / total),
            )
        )
    return out


def sums(found: Answer) -> str:
    """Worst case and root sum square in a sentence, beside what was drawn."""
    main = found.read["monte_carlo"]
    return (
        f"All at their limits in one direction: {words.micrometres(found.worst_case_um)} (worst case); root sum square "
        f"{words.micrometres(found.rss_um)}; drawn, 99 % of corners are within {words.micrometres(main.p99)}."
    )


def notes(found: Answer) -> list[str]:
    """What the draws cannot tell, and what stands behind them."""
    main, study = found.read["monte_carlo"], found.result.study
    out = [sums(found), f"{RSS} {words.capital(NO_END)}.", INDEXED]
    reached = main.tolerance_reached
    if reached < float("inf"):
        end = "; drawing stopped there" if found.result.stopped else ""
        out.append(f"Mean, standard deviation and both 95 % ends are known to {reached:.2g} µm (JCGM 101){end}.")
    else:
        out.append("Too few draws to say to what tolerance the figures are known; two batches of 1 024 are the least.")
    share = study.population.share_within
    out.append(
        f"{main.samples} draws tell nothing below {rate(resolvable(main.samples))}; {_exactly(share)} takes "
        f"{least_draws(share)} draws without one over."
    )
    failed = len(found.result.reasons)
    if failed:
        first = found.result.reasons[0]
        out.append(
            f"{failed} of {found.result.size} corners could not be seated and count nowhere; corner {first[0]}: "
            f"{words.clean(first[1], 200)}"
        )
    if study.points != "random":
        out.append(f"Points: {study.points}, 16 replicates; their intervals are Student's over the replicates.")
    return [*out, MAKER]
