"""How many slips of the pen are found, against the best that any test could do, and how many clean tables alarm.

``python -m tests.studies.slips`` writes ``slips.md`` beside this file. Tables come from `tests.studies.bench_tables`.

The ceilings are likelihood-ratio tests (Neyman and Pearson) that know the population of clean tables; dial error and
rounding stand in them as a normal distribution of the same variance. One ceiling has to allow for every slip and size,
as ours; the other is told which slip of which size to look for, so no honest test reaches it. Both alarm on as many
clean tables as ours does for this kind of trace and length. Caught: the slipped place (of swapped places one of the
two) is among those to read again. A ceiling counts an alarm at any place, ours only one that names it.

Lips of one hub are alike within a tenth; those called unlike within three tenths, which is something to look at.
A rotor on dirt, read at six places, cannot be told from one with a slip: to read a place again costs a minute there, a
slip that is missed costs the cure. From eight places on both kinds of clean table keep to 2 %.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path

import numpy as np
from scipy.special import log_ndtr, logsumexp

from sim.files.clean_turn import looks
from sim.files.reading_faults import Turn, alarm, slips
from sim.files.slip_odds import APART, DECIMAL, OUTLIER, SIGN, SIGNS, SWAP, odds_of_slips
from tests.studies.bench_tables import draw_sizes, draw_table, moments, on_dirt

LENGTHS = (6, 8, 12, 16)
SIZES = (25.0, 50.0, 100.0)
BIN = 0.25  # a slip of 50 um moves a reading by 37.5 .. 62.5 um
KINDS = (OUTLIER, SIGN, SIGNS, DECIMAL, SWAP, APART)
RUNS = (2, 3, 4)  # signs lost at so many neighbouring places; the ceiling knows that too
STUDS = 5
UNLIKE = 0.3
GUESSES = 500
WRITTEN_VARIANCE = (
    (10.0**2 / 12 + 5.0**2 / 12) / 2 + 1.25**2 / 2 * (2 / 3) + 0.75
)  # rounding, travel, coming back. [um2]
TRIES = 100_000
FEWEST = 100  # slipped tables of a cell that says anything


@lru_cache
def truth(kind: str, count: int) -> tuple[np.ndarray, ...]:
    """Means, precisions and log roots of `GUESSES` draws of the sizes: the population of clean tables."""
    rng = np.random.default_rng(91)
    angle = np.arange(count) * 360.0 / count
    drawn = [moments(draw_sizes(rng, kind), angle, STUDS) for _ in range(GUESSES)]
    mean = np.array([m for m, _ in drawn])
    spread = np.array([s for _, s in drawn]) + WRITTEN_VARIANCE * np.eye(count)
    return mean, np.linalg.inv(spread), -0.5 * np.linalg.slogdet(spread)[1]


def ceiling_odds(tables: np.ndarray, kind: str) -> dict[tuple[str, float], np.ndarray]:
    """Log likelihood ratio of every slip and size against clean, for many tables (t, k)."""
    count = tables.shape[1]
    mean, precision, root = truth(kind, count)
    own = np.diagonal(precision, axis1=1, axis2=2)
    place = np.arange(count)
    beside = precision[:, place[:-1], place[1:]]
    one, other = np.triu_indices(count, 2)
    found: dict[tuple[str, float], list[np.ndarray]] = {(s, b): [] for s in KINDS for b in SIZES}
    for table in np.array_split(tables, max(1, len(tables) // 100)):
        off = table[:, None, :] - mean
        pull = np.einsum("gij,tgj->tgi", precision, off)
        base = root - 0.5 * np.einsum("tgi,tgi->tg", off, pull)
        none = logsumexp(base, axis=1)

        def ratio(more: np.ndarray, within: np.ndarray, base: np.ndarray = base, none: np.ndarray = none) -> np.ndarray:
            each = logsumexp(base[..., None] + more, axis=1) - none[:, None] - np.log(within.shape[1])
            return logsumexp(np.where(within, each, -1e3), axis=1)

        value = table[:, None, :]
        step = table[:, 1:] - table[:, :-1]
        both = own[:, 1:] + own[:, :-1] - 2 * beside
        swap = -step[:, None] * (pull[..., :-1] - pull[..., 1:]) - 0.5 * step[:, None] ** 2 * both
        far = table[:, other] - table[:, one]
        both = own[:, one] + own[:, other] - 2 * precision[:, one, other]
        apart = -far[:, None] * (pull[..., one] - pull[..., other]) - 0.5 * far[:, None] ** 2 * both
        tenth = -0.5 * (0.9 * value) ** 2 * own + 0.9 * value * pull
        tenfold = -0.5 * (9.0 * value) ** 2 * own - 9.0 * value * pull
        for size in SIZES:
            low, high = (1 - BIN) * size, (1 + BIN) * size

            def inside(change: np.ndarray, low: float = low, high: float = high) -> np.ndarray:
                return (np.abs(change) >= low) & (np.abs(change) <= high)

            found[OUTLIER, size].append(ratio(_uniform(pull / own, own, low, high), np.ones_like(table, bool)))
            found[SIGN, size].append(ratio(2 * value * pull - 2 * value**2 * own, inside(2 * table)))
            found[SIGNS, size].append(_signs(table, pull, precision, base, none, (low, high)))
            found[SWAP, size].append(ratio(swap, inside(step)))
            found[APART, size].append(ratio(apart, inside(far)))
            decimal = [
                ratio(tenth, inside(0.9 * table)) - np.log(20.0),
                ratio(tenfold, inside(9.0 * table)) + np.log(5.0),
            ]
            found[DECIMAL, size].append(logsumexp(decimal, axis=0))
    return {key: np.concatenate(parts) for key, parts in found.items()}


def _signs(
    table: np.ndarray, pull: np.ndarray, precision: np.ndarray, base: np.ndarray, none: np.ndarray, size: tuple
) -> np.ndarray:
    """Log likelihood ratio of signs lost at neighbours whose largest moved by so much."""
    count, found = table.shape[1], []
    for run in RUNS:
        at = (np.arange(count)[:, None] + np.arange(run)) % count
        near, block = table[:, at], precision[:, at[:, :, None], at[:, None, :]]
        square = np.einsum("gkab,tka,tkb->tgk", block, near, near, optimize=True)
        change = 2 * np.einsum("tka,tgka->tgk", near, pull[..., at]) - 2 * square
        moved = 2 * np.abs(near).max(axis=-1)
        within = (near > 0).all(axis=-1) & (moved >= size[0]) & (moved <= size[1])
        each = logsumexp(base[..., None] + change, axis=1) - none[:, None] - np.log(count * len(RUNS))
        found.append(np.where(within, each, -1e3))
    return logsumexp(np.concatenate(found, axis=1), axis=1)


def _uniform(rest: np.ndarray, own: np.ndarray, low: float, high: float) -> np.ndarray:
    """Log of how much likelier a deleted residual is where the place was misread by +-(low .. high)."""
    sd = 1.0 / np.sqrt(own)
    sides = []
    for side in (1.0, -1.0):
        a, b = (side * rest - high) / sd, (side * rest - low) / sd
        top = log_ndtr(np.where(a > 0, -a, b))
        bottom = log_ndtr(np.where(a > 0, -b, a))
        sides.append(top + np.log1p(-np.exp(np.minimum(bottom - top, -1e-12))))
    density = logsumexp(sides, axis=0) - np.log(2 * (high - low))
    return density - (-0.5 * (rest / sd) ** 2 - np.log(sd) - 0.5 * np.log(2 * np.pi))


def slipped(
    rng: np.random.Generator, clean: np.ndarray, slip: str, size: float
) -> tuple[np.ndarray, tuple[int, ...]] | None:
    """A clean table with one slip of this size, and where; nothing where this table has none to offer there."""
    low, high = (1 - BIN) * size, (1 + BIN) * size
    table, k = clean.copy(), int(rng.integers(clean.size))
    if slip == OUTLIER:
        table[k] += rng.choice([-1.0, 1.0]) * rng.uniform(low, high)
        return table, (k,)
    if slip == SIGNS:
        run = (k + np.arange(rng.choice(RUNS))) % clean.size
        table[run] *= -1.0
        most = 2 * np.abs(clean[run]).max()
        return (table, tuple(int(one) for one in run)) if (clean[run] < 0).all() and low <= most <= high else None
    at = (k, k + 1) if slip == SWAP else (k, int(rng.integers(clean.size))) if slip == APART else (k,)
    if at[-1] >= clean.size or (slip == APART and abs(at[0] - at[1]) < 2):
        return None
    if len(at) == 2:
        table[list(at)] = table[list(at[::-1])]
    elif slip == SIGN:
        table[k] *= -1.0
    else:
        table[k] *= rng.choice([10.0, 0.1])
    return (table, at) if low <= abs(table[k] - clean[k]) <= high else None


def caught(kind: str, table: np.ndarray, at: tuple[int, ...]) -> bool:
    angle = np.arange(table.size) * 360.0 / table.size
    wanted = angle[list(at)]
    found = slips(Turn(kind, kind, angle, table), 10.0, STUDS)
    return any(abs(a - w) < 1e-9 for fault in found for a in fault.angle_deg for w in wanted)


def told_of(tables: np.ndarray, kind: str, angle: np.ndarray) -> float:
    """Share of clean tables of which a slip is told."""
    bare = kind == "hub face"
    odds = odds_of_slips(tables, looks(angle, 10.0, STUDS if bare else 0), bare)
    alarmed = tables[odds.total >= alarm(kind, angle.size)]
    return sum(bool(slips(Turn(kind, kind, angle, one), 10.0, STUDS)) for one in alarmed) / len(tables)


def study(cleans: int, number: int) -> Iterator[str]:
    """The table as text, as far as it is, after every cell: a study that is ended early leaves what it has."""
    began = time.process_time()
    lines = [
        f"{cleans} clean tables of each kind and length, up to {number} slipped ones in each cell; {STUDS} studs; "
        "first place on stud 1. Made by `python -m tests.studies.slips`.",
        "",
        "| trace | readings | slip | moves a reading by [µm] | tables | caught | ceiling | ceiling, slip told |",
        "|---|---|---|---|---|---|---|---|",
    ]
    alarms = ["| trace | readings | clean tables | alarms |", "|---|---|---|---|"]
    everything = []
    for kind in ("mounted", "hub face"):
        for count in LENGTHS:
            rng = np.random.default_rng((17, count, len(kind)))
            angle = np.arange(count) * 360.0 / count
            clean = np.array([draw_table(rng, kind, angle, STUDS) for _ in range(cleans)])
            false = told_of(clean, kind, angle)
            everything.append(false)
            if kind == "mounted":
                rough = np.array([on_dirt(rng, angle) for _ in range(cleans)])
                alarms.append(f"| mounted on dirt | {count} | {cleans} | {told_of(rough, kind, angle):.2%} |")
            else:
                rough = np.array([draw_table(rng, kind, angle, STUDS, UNLIKE) for _ in range(cleans)])
                alarms.append(f"| hub face, lips unlike | {count} | {cleans} | {told_of(rough, kind, angle):.2%} |")
            alarms.append(f"| {kind} | {count} | {cleans} | {false:.2%} |")
            level = max(false, 2.0 / cleans)
            odds = ceiling_odds(clean, kind)
            told = {key: float(np.quantile(one, 1 - level)) for key, one in odds.items()}
            untold = float(np.quantile(logsumexp(list(odds.values()), axis=0), 1 - level))
            for slip in KINDS:
                for size in SIZES:
                    pairs = []
                    for _ in range(TRIES):
                        pair = slipped(rng, clean[rng.integers(cleans)], slip, size)
                        pairs += [pair] if pair is not None else []
                        if len(pairs) == number or (len(pairs) < 20 and _ > 20_000):
                            break
                    if len(pairs) < FEWEST:
                        lines.append(f"| {kind} | {count} | {slip} | {size:g} | {len(pairs)} | too few | | |")
                        continue
                    tables = np.array([table for table, _ in pairs])
                    best = ceiling_odds(tables, kind)
                    hit = np.mean([caught(kind, table, at) for table, at in pairs])
                    one = float(np.mean(best[slip, size] > told[slip, size]))
                    every = float(np.mean(logsumexp(list(best.values()), axis=0) > untold))
                    lines.append(
                        f"| {kind} | {count} | {slip} | {size:g} | {len(pairs)} | {hit:.0%} | {every:.0%} | {one:.0%} |"
                    )
                    print(lines[-1], file=sys.stderr, flush=True)
                    yield _page(lines, alarms, everything, began)
    yield _page(lines, alarms, everything, began)


def _page(lines: list[str], alarms: list[str], everything: list[float], began: float) -> str:
    total = f"All clean turns together: {np.mean(everything):.2%} alarm."
    minutes = (time.process_time() - began) / 60
    return "\n".join(["# Slips of the pen in a table of readings", "", *lines, "", "## Clean tables that alarm", "",
                      *alarms, "", total, f"{minutes:.0f} CPU minutes.", ""])  # fmt: skip


if __name__ == "__main__":
    cleans, number = (int(a) for a in sys.argv[1:3]) if len(sys.argv) > 2 else (4000, 600)
    for page in study(cleans, number):
        Path(__file__).with_suffix(".md").write_text(page, encoding="utf-8")
