"""Tables of the study of causes (`tests.studies.causes`), from answers that were kept: nothing is asked here."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from sim.causes import names
from tests.studies import corners_at_fault as population
from tests.studies.corners_at_fault import CAUSES, IMPRINT, NEW_DTV, RUST, WORN, Corner

PLAIN, WITH_THICKNESS = "+ index + clean", "+ index + clean + thickness"
#: With what a finding of the hub face, of the spigot and of the rotor asks for.
FULL = "+ radial + index + bare hub + clean twice"
TOLD = 0.8
LIMIT_UM, DTV_UM = 50.0, 15.0
FEW = 10  # an oracle that rests on fewer entries of its bank is none
OPEN_ENDS = (names.AT_LIMIT, names.UNEVEN_COUNTED)  # right by a lenient rule of ours, therefore counted apart too
THICK = tuple(CAUSES.index(cause) for cause in (WORN, IMPRINT, RUST, NEW_DTV))
#: Causes that are none at all where they are no fault.
OR_NONE = (population.HUB_DIRT, population.ROTOR_DIRT, population.SPIGOT, IMPRINT, RUST)
NOUGHT_UM = 0.05
Row = dict[str, Any]
#: Answers and what the oracle says of the same readings.
Pairs = list[tuple[Row, Row]]


@dataclass(frozen=True, eq=False)
class Answers:
    """Everything that a page is made of: answers and the oracle's by plan, outside the list, and walks as told."""

    count: int
    seed: int
    revision: str
    corners: list[Corner]
    plans: dict[str, Pairs]
    beyond: dict[str, Pairs]
    runs: dict[str, list[Row]]


def lumped(row: Row, corner: Corner, told: Row) -> tuple[Row, Row]:
    """Without a thickness trace what is told by thickness alone is one cause, under the name of the worn faces."""
    if "refused" in row or IMPRINT in row["interval"]:
        return row, told
    share = corner.out.copy()
    share[CAUSES.index(WORN)] = share[list(THICK)].sum(axis=0)
    share[[k for k in THICK if CAUSES[k] != WORN]] = 0.0
    share[:, 4:] = 0.0
    own = population.tirs(share)
    guess = {c: p for c, p in told["dominant"].items() if CAUSES.index(c) not in THICK}
    guess[WORN] = sum(told["dominant"][CAUSES[k]] for k in THICK)
    truth = CAUSES[int(own.argmax())]
    return row | {"own": dict(zip(CAUSES, own.tolist(), strict=True)), "truth": truth}, told | {"dominant": guess}


def _good(pairs: Pairs) -> Pairs:
    return [(row, told) for row, told in pairs if "refused" not in row]


def _first(good: Pairs) -> tuple[np.ndarray, np.ndarray]:
    """Where the dominant cause stands first, and where the oracle has it first."""
    first = np.array([_top(r["probability"]) == r["truth"] for r, _ in good], dtype=bool)
    return first, np.array([_top(o["dominant"]) == r["truth"] for r, o in good], dtype=bool)


def _top(probability: dict[str, float]) -> str:
    return max(probability, key=lambda cause: probability[cause])


def _share(hits: list[bool] | np.ndarray, form: str = ".0%") -> str:
    return f"{np.mean(hits):{form}} of {len(hits)}" if len(hits) else "–"


def plan_row(name: str, pairs: Pairs) -> str:
    """One line of the first table."""
    good = _good(pairs)
    first, best = _first(good)
    made = [r for r, _ in good if r["finding"]]
    apart = [r for r, o in good if max(o["dominant"].values()) >= TOLD]
    in_set = [r["truth"] in (r["cannot_tell"] or [r["finding"]]) for r, _ in good if r["cannot_tell"] or r["finding"]]
    cells = [
        name, f"{len(good)}", f"{first.mean():.1%}", f"{best.mean():.1%}", f"{first.mean() / best.mean():.1%}",
        f"{np.mean([max(r['probability'].values()) for r, _ in good]):.2f}",
        _share([bool(r["finding"]) for r, _ in good]),
        _share([r["finding"] == r["truth"] for r in made], ".1%"), _share([bool(r["finding"]) for r in apart]),
        _share(in_set), f"{np.mean([r['none_fits'] for r, _ in good]):.1%}",
        f"{np.mean([_fell(r) for r, _ in good]):.1%}", f"{np.mean([r['alarm'] for r, _ in good]):.0%}",
        f"{len(pairs) - len(good)}", f"{np.median([r['seconds'] for r, _ in good]):.2f}",
        f"{np.mean([o['effective'] < FEW for _, o in good]):.0%}",
    ]  # fmt: skip
    return "| " + " | ".join(cells) + " |"


PLAN_HEAD = (
    "| readings | n | dominant first | oracle | of the oracle's | stated | findings | right | made where "
    "it can be told | set of 80 % or finding holds it | none fits | dirt told to have fallen off | slip named, read "
    f"again | refused | CPU s | oracle rests on fewer than {FEW} entries |",
    "|" + "---|" * 16,
)


def band_rows(plans: dict[str, Pairs]) -> Iterator[str]:
    """How often the 80 % band of each cause's share holds it, by readings.

    A cause that is none has a share of nought exactly. A band that begins at nought holds it always, though less than
    all of what is held likely there lies between its 10 and its 90 % point: that part is counted.
    """
    yield "| cause | " + " | ".join(f"{plan}: n | held | where it is a fault" for plan in plans) + " |"
    yield "|" + "---|" * (1 + 3 * len(plans))
    for cause in CAUSES:
        cells = [cell for pairs in plans.values() for cell in _band_cells(cause, _good(pairs))]
        yield f"| {cause} | " + " | ".join(cells) + " |"


def _band_cells(cause: str, good: Pairs) -> tuple[str, str, str]:
    rows = [r for r, _ in good if cause in r["interval"]]
    if not rows:
        return "–", "–", "–"
    there = [_held(r, cause) for r in rows if _is_there(r, cause)]
    return f"{len(rows)}", f"{np.mean([_held(r, cause) for r in rows]):.1%}", _share(there)


def there_rows(pairs: Pairs) -> Iterator[str]:
    """On which side a band misses, and the band of a cause if it is there, where it is."""
    yield (
        "| cause | n | really below the band | above it | missed by over 2 µm | really there | of these a band if "
        "there is told | inside it | below | above |"
    )
    yield "|" + "---|" * 10
    for cause in CAUSES:
        found = [r for r, _ in _good(pairs) if cause in r["interval"]]
        if not found:
            continue
        bottom, _, top = np.array([r["interval"][cause] for r in found]).T
        share = np.array([r["own"][cause] for r in found])
        slack = np.where(share < NOUGHT_UM, NOUGHT_UM, 0.0)  # so that nought is inside nought
        told = [(*r["if_there"][cause], r["own"][cause]) for r in found if _is_there(r, cause) and r["if_there"][cause]]
        low, _, high, own = np.array(told).T if told else np.zeros((4, 0))
        cells = [
            cause, f"{len(found)}", f"{np.mean(share < bottom - slack):.1%}", f"{np.mean(share > top + slack):.1%}",
            f"{np.mean((share < bottom - 2.0) | (share > top + 2.0)):.1%}",
            f"{sum(_is_there(r, cause) for r in found)}", f"{len(told)}",
            *(_share(hit) for hit in ((own >= low) & (own <= high), own < low, own > high)),
        ]  # fmt: skip
        yield "| " + " | ".join(cells) + " |"


def _is_there(row: Row, cause: str) -> bool:
    return cause in row["present"] or row["truth"] == cause


def _held(row: Row, cause: str) -> float:
    (low, _, high), own = row["interval"][cause], row["own"][cause]
    none = 1.0 - row["is_there"][cause]
    if cause in OR_NONE and max(own, low) < 0.5 and none > 0.1:
        return (min(none, 0.9) - 0.1) / none
    slack = NOUGHT_UM if own < NOUGHT_UM else 0.0
    return float(low - slack <= own <= high + slack)


def reliability_rows(pairs: list[tuple[float, bool]]) -> Iterator[str]:
    """Stated against observed, in bins."""
    yield "| stated | n | mean stated | observed |"
    yield "|---|---|---|---|"
    if not pairs:
        return
    stated, came = np.array(pairs).T
    edges = (0.0, 0.02, 0.05, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 0.95, 1.001)
    for low, high in zip(edges, edges[1:], strict=False):
        here = (stated >= low) & (stated < high)
        if here.any():
            means = f"{stated[here].mean():.3f} | {came[here].mean():.3f}"
            yield f"| {low:g} .. {min(high, 1):g} | {here.sum()} | {means} |"


def after_rows(plans: dict[str, Pairs]) -> Iterator[str]:
    """Bands and probabilities of what an action leaves."""
    yield "| readings | after | n | inside the 80 % band | below it | above it | under 50 µm, stated | came true |"
    yield "|" + "---|" * 8
    for plan, pairs in plans.items():
        found: dict[str, list[tuple[float, ...]]] = {}
        for r, _ in _good(pairs):
            for what, (low, _, high), below, truth in r["after"]:
                found.setdefault(what, []).append((low, high, below, truth))
        for what, each in found.items():
            low, high, below, truth = np.array(each).T
            yield (
                f"| {plan} | {what} | {len(each)} | {np.mean((truth >= low) & (truth <= high)):.1%} | "
                f"{np.mean(truth < low):.1%} | {np.mean(truth > high):.1%} | {below.mean():.2f} | "
                f"{np.mean(truth <= LIMIT_UM):.2f} |"
            )


def confusion_rows(pairs: Pairs) -> Iterator[str]:
    """By true dominant cause: how often first, how often the oracle, what else stands first."""
    yield "| dominant | n | first | oracle | found | wrongly found as | else first |"
    yield "|" + "---|" * 7
    for cause in CAUSES:
        good = [(r, o) for r, o in _good(pairs) if r["truth"] == cause]
        if not good:
            continue
        tops = [_top(r["probability"]) for r, _ in good]
        other = {c: tops.count(c) for c in CAUSES if c != cause and tops.count(c)}
        wrong = [r["finding"] for r, _ in good if r["finding"] and r["finding"] != cause]
        counted = {c: wrong.count(c) for c in dict.fromkeys(wrong)}
        cells = [
            cause, f"{len(good)}", f"{np.mean([t == cause for t in tops]):.0%}",
            f"{np.mean([_top(o['dominant']) == cause for _, o in good]):.0%}",
            f"{np.mean([r['finding'] == cause for r, _ in good]):.0%}",
            ", ".join(f"{c} {n}" for c, n in counted.items()) or "–",
            ", ".join(f"{c} {n}" for c, n in sorted(other.items(), key=lambda p: -p[1])[:3]) or "–",
        ]  # fmt: skip
        yield "| " + " | ".join(cells) + " |"


def one_act_rows(plans: dict[str, Pairs]) -> Iterator[str]:
    """How often what leads with a case is not what readings alone would order, and why."""
    yield "| readings | n | the same first step | readings alone have no more to say | they differ | which |"
    yield "|" + "---|" * 6
    for plan, pairs in plans.items():
        asked = [r for r, _ in _good(pairs) if r["menu"]]  # without it what leads is not weighed against readings
        told = [r for r in asked if r["by_rule"][0]]
        other = [r for r in told if not r["by_rule"][1]]
        kinds: dict[str, int] = {}
        for r in other:
            kinds[f"{r['by_rule'][0]} / {r['do']}"] = kinds.get(f"{r['by_rule'][0]} / {r['do']}", 0) + 1
        which = "; ".join(f"{kind} {n}" for kind, n in sorted(kinds.items(), key=lambda p: -p[1])[:5]) or "–"
        yield (
            f"| {plan} | {len(asked)} | {len(told) - len(other)} | {len(asked) - len(told)} | "
            f"{len(other)} ({len(other) / max(len(asked), 1):.1%}) | {which} |"
        )


def follow_rows(each: dict[str, list[Row]]) -> Iterator[str]:
    """Right action after how many measurements, doing as told from one trace on."""
    yield (
        "| told by | corners | ends with the right action | without neither done nor over | such ends: runout, "
        "thickness | wrongly left on | questions, median (mean) | tables to the end, median | to the right "
        "action, median (wrong: never) | the same, readings in between not counted against it | ends |"
    )
    yield "|" + "---|" * 11
    for by, runs in each.items():
        if runs:
            yield _follow_row(by, runs)


def _follow_row(by: str, runs: list[Row]) -> str:
    reach = [_from_then_on_right(run["does"]) for run in runs]
    acts = [_from_then_on_right(_acts(run["does"])) for run in runs]
    last = [_last(run) for run in runs]
    strictly = np.mean([run["right"] and do not in OPEN_ENDS for run, do in zip(runs, last, strict=True)])
    left = [not run["right"] for run, do in zip(runs, last, strict=True) if do == names.LEAVE]
    asked = [len(run["does"]) for run in runs]
    told = ", ".join(f"{do} {last.count(do)}" for do in sorted(set(last), key=lambda do: -last.count(do)))
    return (
        f"| {by} | {len(runs)} | {np.mean([run['right'] for run in runs]):.1%} | {strictly:.1%} | "
        f"{', '.join(str(last.count(do)) for do in OPEN_ENDS)} | {sum(left)} of {len(left)} | "
        f"{np.median(asked):g} ({np.mean(asked):.1f}) | {np.median([run['taken'] for run in runs]):g} | "
        f"{np.median(reach):g} | {np.median(acts):g} | {told} |"
    )


def _last(run: Row) -> str:
    return str(run["does"][-1][1])


def _acts(does: list[Any]) -> list[Any]:
    """What was done without what was only read on the way; the end always counts."""
    return [one for one in does[:-1] if not one[1].startswith(names.MEASURE)] + does[-1:]


def _from_then_on_right(does: list[Any]) -> float:
    first = np.inf
    for taken, _, good in does:
        first = min(first, taken) if good else np.inf
    return float(first)


def _not_fitting(row: Row) -> bool:
    """No cause fits, or the readings fit better counted or read another way."""
    return bool(row["none_fits"]) or sum(odds for _, odds in row["otherwise"]) >= 0.5


def _fell(row: Row) -> bool:
    """Dirt is told to have been gone once the rotor was off, likelier than not."""
    return bool(row["fell_off"] >= 0.5)


def _checked_first(row: Row) -> bool:
    """Fits as it stands, but nothing is found and dirt or counting is checked before anything is indexed or bought."""
    readings = (names.BARE_HUB, names.CLEAN_AND_REFIT, names.ANOTHER_STUD)
    checks = (names.CLEAN, *(names.MEASURE + what for what in readings))
    return not _not_fitting(row) and not row["finding"] and row["do"] in checks


def outside_rows(beyond: dict[str, Pairs]) -> Iterator[str]:
    """How often "none fits", or that it was counted wrong, where no cause does; else what is checked first."""
    yield (
        "| what | readings | n | none fits, or counted otherwise | dirt told to have fallen off | either | "
        "else nothing found, cleaned once more or read on another stud or bare | found all the same | found, and it "
        "is not the largest share | differ at 1 % by the oracle | of these none fits or otherwise |"
    )
    yield "|" + "---|" * 11
    for name, pairs in beyond.items():
        good = _good(pairs)
        if not good:
            continue
        out = [r for r, o in good if o["misfit"] < 0.01]
        what, plan = name.split("|")
        yield (
            f"| {what} | {plan} | {len(good)} | {np.mean([_not_fitting(r) for r, _ in good]):.0%} | "
            f"{np.mean([_fell(r) for r, _ in good]):.0%} | "
            f"{np.mean([_not_fitting(r) or _fell(r) for r, _ in good]):.0%} | "
            f"{np.mean([_checked_first(r) for r, _ in good]):.0%} | "
            f"{np.mean([bool(r['finding']) for r, _ in good]):.0%} | "
            f"{np.mean([r['finding'] not in (None, r['truth']) for r, _ in good]):.0%} | {len(out)} | "
            f"{_share([_not_fitting(r) for r in out])} |"
        )


def asked_rows(answers: Answers) -> Iterator[str]:
    """What was asked of the ranking, and what came of it."""
    yield "| asked for | measured |"
    yield "|---|---|"
    plans = {plan: _good(pairs) for plan, pairs in answers.plans.items() if pairs}
    for plan, good in plans.items():
        yield f"| {plan}: dominant cause first in 95 % of the oracle's rate or more; aim 85 % in all | {_rate(good)} |"
    for plan, good in plans.items():
        made = [r["finding"] == r["truth"] for r, _ in good if r["finding"]]
        apart = [bool(r["finding"]) for r, o in good if max(o["dominant"].values()) >= TOLD]
        yield f"| {plan}: findings right in 95 % or more | {_share(made, '.1%')} |"
        yield f"| {plan}: made in 60 % or more of corners that can be told apart | {_share(apart, '.1%')} |"
    for plan, good in plans.items():
        yield f"| {plan}: 80 % bands hold 77 .. 83 % | {_bands(good)} |"
    for name, pairs in ((name, pairs) for name, pairs in answers.beyond.items() if pairs):
        told = [_not_fitting(r) for r, _ in _good(pairs)]
        yield f"| {name.split('|')[0]}: none fits, or counted otherwise, in 80 % or more | {_share(told, '.1%')} |"
    for plan, good in plans.items():
        false = _share([bool(r["none_fits"]) for r, _ in good], ".1%")
        yield f"| {plan}: none fits, of corners of the list | {false} |"
    for by, runs in answers.runs.items():
        if runs:
            right = _share([run["right"] for run in runs], ".1%")
            reach = np.median([_from_then_on_right(_acts(run["does"])) for run in runs])
            tables = np.median([run["taken"] for run in runs])
            asked = np.median([len(run["does"]) for run in runs])
            yield f"| {by}: ends with the right action | {right} |"
            many = f"{reach:g} (questions to the end {asked:g}, tables to the end {tables:g})"
            yield f"| {by}: right action after a median of 3 measurements or fewer | {many} |"
    seconds = [r["seconds"] for good in plans.values() for r, _ in good if r["menu"]]
    seconds += [one for runs in answers.runs.values() for run in runs for one in run.get("seconds", ())]
    if seconds:
        half, slow = np.quantile(seconds, (0.5, 0.95))
        told = f"median {half:.2f}, 95 % within {slow:.2f}, most {max(seconds):.2f} CPU s of {len(seconds)}"
        yield f"| answer with menu within 1 s, geometry kept | {told} |"


def _rate(good: Pairs) -> str:
    """Dominant first over the oracle's, all and without slips that stayed; interval from corners drawn again."""
    first, best = _first(good)
    drawn = np.random.default_rng(1).integers(len(good), size=(2000, len(good)))
    low, high = np.quantile(first[drawn].mean(axis=1) / best[drawn].mean(axis=1), (0.025, 0.975))
    quiet = np.array([not r["alarm"] for r, _ in good])
    return (
        f"**{first.mean() / best.mean():.1%}**, 95 % interval {low:.1%} .. {high:.1%} ({first.mean():.1%} of "
        f"{len(good)}, the oracle {best.mean():.1%}); where no slip is named "
        f"{first[quiet].mean() / best[quiet].mean():.1%} of {quiet.sum()}"
    )


def _bands(good: Pairs) -> str:
    """Least and most of all causes, and which lie outside, with how far in their own binomial errors."""
    held = {}
    for cause in CAUSES:
        each = [_held(r, cause) for r, _ in good if cause in r["interval"]]
        if each:
            held[cause] = float(np.mean(each)), np.sqrt(0.16 / len(each))
    out = {cause: (one, max(0.77 - one, one - 0.83) / sd) for cause, (one, sd) in held.items()}
    far = ", ".join(f"{cause} {one:.1%} ({off:.1f} errors)" for cause, (one, off) in out.items() if off > 0.0)
    shares = [one for one, _ in held.values()]
    return f"{min(shares):.1%} .. {max(shares):.1%} of {len(good)}, {len(held)} causes; outside: {far or 'none'}"


def cleaning_rows(plans: dict[str, Pairs]) -> Iterator[str]:
    """What is said after cleaning, where it left dirt and where it did not."""
    yield (
        "| readings | dirt left, TIR | n | stated that it counts, mean | clean once more or bare hub | found: hub face "
        "or the rotor, wrongly | index or parts while it lies there |"
    )
    yield "|" + "---|" * 7
    for plan, pairs in plans.items():
        asked = [r for r, _ in _good(pairs) if r["dirt_left"]]
        for name, low, high in (("none", -1.0, 0.5), ("0.5 .. 10 µm", 0.5, 10.0), ("10 µm or more", 10.0, np.inf)):
            here = [r for r in asked if low <= r["really_left"] < high]
            if not here:
                continue
            wrong = [bool(r["finding"]) and r["finding"] != r["truth"] for r in here]
            over = [r["do"] in (names.INDEX, names.RENEW, names.HUB_AND_BEARING) for r in here]
            cells = [
                plan, name, f"{len(here)}", f"{np.mean([r['dirt_left'][0] for r in here]):.2f}",
                f"{np.mean([r['dirt_left'][1] for r in here]):.0%}", f"{np.mean(wrong):.0%}", f"{np.mean(over):.0%}",
            ]  # fmt: skip
            yield "| " + " | ".join(cells) + " |"


def mix_rows(corners: list[Corner]) -> Iterator[str]:
    """The mix as stated and as it came out."""
    yield "| cause | drawn as main | a fault in | dominant in | share where a fault: 10, 50, 90 % [µm TIR] |"
    yield "|" + "---|" * 5
    shares = np.array([c.shares_um() for c in corners])
    for k, cause in enumerate(CAUSES):
        here = np.array([cause in c.present for c in corners])
        size = ", ".join(f"{v:.0f}" for v in np.quantile(shares[here, k], [0.1, 0.5, 0.9])) if here.any() else "–"
        lead = np.mean([c.dominant == cause for c in corners])
        yield f"| {cause} | {population.MIX[cause]:.0%} | {here.mean():.0%} | {lead:.0%} | {size} |"


def page(answers: Answers) -> str:
    """The note, as far as answers are kept; n stands in each row."""
    plans = {plan: pairs for plan, pairs in answers.plans.items() if pairs}
    each = [(r, o) for pairs in plans.values() for r, o in _good(pairs)]
    every = [(r["probability"].get(c, 0.0), r["truth"] == c) for r, _ in each for c in CAUSES]
    theirs = [(o["dominant"].get(c, 0.0), r["truth"] == c) for r, o in each for c in CAUSES]
    below = [(a[2], a[3] <= LIMIT_UM) for r, _ in each for a in r["after"]]
    lines = [
        "# The ranking of causes",
        "",
        f"Made by `python -m tests.studies.causes {answers.count} {answers.seed}`, all of one revision (digest of its",
        f"sources `{answers.revision}`), do not edit. {answers.count} invented corners, two part sets, four and five",
        "studs, twelve places a turn, dial 0.01 mm, mountings 8 µm TIR off, slips in 5 % of tables",
        "(`tests/studies/corners_at_fault.py`). A table that gives a slip away is read again at once, twice at most,",
        "and both ask of the last reading; the oracle, which knows the population, is spared slips that stay",
        "(`tests/studies/causes_oracle.py`). Dominant: the largest share of orders 1 .. 3 as found; without a",
        "thickness all that only a thickness tells is one cause. It can be told where the oracle gives one cause",
        f"{TOLD:g} or more. The oracle weighs a bank of corners: where few of them carry its weight it is less than",
        "the best that can be done. n stands in each row, also where the study was ended before its last corner.",
        "",
        "## Asked for and measured",
        "",
        *asked_rows(answers),
        "",
        "## The corners",
        "",
        *mix_rows(answers.corners),
        "",
        f"A second fault, of the same weights, in {population.ALSO:.0%}; kept are corners that run out by "
        f"{population.LEAST_UM:g} µm or whose thickness varies by {population.LEAST_DTV_UM:g} µm.",
        "",
        "## Who is first",
        "",
        *PLAN_HEAD,
        *(plan_row(plan, pairs) for plan, pairs in plans.items()),
        "",
        "## 80 % bands of shares, nought counted by its share",
        "",
        *band_rows(plans),
    ]
    for plan, pairs in plans.items():
        lines += ["", f"## By cause, {plan}", "", *confusion_rows(pairs), "", *there_rows(pairs)]
    lines += ["", "## Cleaned poorly", ""]
    lines += [
        f"Of corners with dirt {population.POORLY:.0%} are cleaned poorly; in {population.NEW_GRAIN:.0%} of all a "
        "grain gets in.",
        "",
    ]
    lines += cleaning_rows(plans)
    walked = [
        "",
        "## Doing as told",
        "",
        "From one trace on, 14 tables at most, the first corners in their sequence. Neither done nor over counts as",
        "right within what the finest dial or micrometer is sure to, a lenient rule of ours; beside it stands what is",
        "right without such ends.",
        "",
        *follow_rows(answers.runs),
    ]
    lines += [
        *(walked if any(answers.runs.values()) else ()),
        "",
        "## One act for both",
        "",
        "First step that readings alone order (`sim.bench.next_act`) against the one that leads with a case.",
        "",
        *one_act_rows(plans),
    ]
    lines += ["", "## Stated and observed: a cause is dominant, all readings together", "", *reliability_rows(every)]
    lines += ["", "The oracle's:", "", *reliability_rows(theirs)]
    lines += ["", "## After an action", "", *after_rows(plans)]
    lines += ["", "Under the limit, stated and observed, all together:", "", *reliability_rows(below)]
    if any(answers.beyond.values()):
        lines += ["", "## Outside the list", "", *outside_rows(answers.beyond)]
    return "\n".join(lines) + "\n"
