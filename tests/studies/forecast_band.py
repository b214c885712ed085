"""Does the 80 % band of the wear forecast hold the truth eight times in ten? And "never" as often as it is said?

python -m tests.studies.forecast_band            renews the table beside it; two processes, see there for its cost
python -m tests.studies.forecast_band 6          six corners of other seeds only, printed, nothing written

Truths come from `tests.studies.unknown_brakes`, apart from the estimator; each is driven on the standard layout across
the pad (`tests/studies/wear_across_pad.md`), the turn and its tolerance as coarse as those of the draws (1.5 % of the
thickness variation, where the band is a factor of ten wide). Judged at each distance is the place of the truth among
the draws (ties, such as "not worn at all", are split at random, or a band whose low end is nothing would be held nine
times in ten for free); beside it, whether the printed band holds it. An estimator told the group is the middle 80 % of
the group's own truths at that corner. The table is written anew after every corner: a study that is cut short leaves
what it has, and says how many corners that is.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

import numpy as np

from sim.turn import tir
from sim.wear.asked import own_heights_mm
from sim.wear.brake import Brake, Fineness, brake_of
from sim.wear.disc import WearProblem, make_problem
from sim.wear.draws import Disc, crossing_km, spread
from sim.wear.lives import disc_band_km, lives_km
from sim.wear.march import march, states_at
from sim.wear.worn_state import dtv_of
from sim.weighted import quantile
from tests.studies.unknown_brakes import GROUPS, Corner, corner, read, truth

CORNERS, MATCHED, SHIFTED = 48, 21, 12
TRIED, SEED = 70_000, 270_000
#: Half of what the program draws: the ends of the band are a little less sure, which costs coverage if anything.
DRAWS = 128
KM = np.linspace(0.0, 30_000.0, 61)
JUDGED_KM = (2000.0, 5000.0, 10_000.0, 20_000.0, 30_000.0)
AT = np.searchsorted(KM, JUDGED_KM)
TRUE = Fineness(angles=72, rings=3, release_angles=8, tolerance_mm=1.0e-4)
#: Less thickness variation than this is none. [um]
NOTHING_UM = 0.05
BINS = (0.0, 0.1, 0.3, 0.5, 0.7, 0.9, 1.0)
TIR_BINS = (0.0, 50.0, 100.0, np.inf)
Found = dict


def disc_of(at: Corner, runout_um: np.ndarray) -> Disc:
    case = at.case
    heights = own_heights_mm(case.rotor)
    radius, drive = case.gauge_radius_mm, case.drive
    return Disc(1e-3 * runout_um, radius, heights, drive.friction, drive.revolutions_per_km, gauge_radius_mm=radius)


def driven(at: Corner, runout_um: np.ndarray, brake: Brake) -> tuple[np.ndarray, float, WearProblem]:
    """Thickness variation at `KM` [um], life of the rotor [km] and the problem, of one brake."""
    disc = disc_of(at, runout_um)
    problem = make_problem(brake, disc.runout_mm, disc.radius_mm, disc.height_mm, TRUE, disc.gauge_radius_mm)
    turns = KM * disc.revolutions_per_km
    states = states_at(march(problem, float(turns[-1])), turns)
    dtv = dtv_of(problem, states)
    life, _ = lives_km(at.case, problem, (states[0], states[-1]), float(KM[-1]))
    return np.where(dtv < NOTHING_UM, 0.0, dtv), np.inf if life is None else life, problem


def place(draws: np.ndarray, value: float, random: np.random.Generator) -> float:
    """Share of the draws below a value, ties split at random."""
    return float(np.mean(draws < value) + random.random() * np.mean(draws == value))


def judged(at: Corner, seed: int) -> Iterator[tuple[str, list[Found]]]:
    """Truths of every group at one corner, against the band of that corner."""
    random = np.random.default_rng(seed)
    limit, brake = at.case.limits.dtv_um, brake_of(at.case)
    known = {False: at.runout_um, True: read(at.rough_um)}
    bands = {rough: spread(disc_of(at, trace), brake, KM, DRAWS, seed + 1) for rough, trace in known.items()}
    said_life = {}
    for rough, trace in known.items():
        _, life, problem = driven(at, trace, brake)
        said_life[rough] = disc_band_km(life, problem, bands[rough])
    even = np.full(DRAWS, 1.0 / DRAWS)
    for group in GROUPS:
        rough = group in ("rough runout", "all of it")
        drawn = np.where(bands[rough].dtv_um < NOTHING_UM, 0.0, bands[rough].dtv_um)
        low, high = (quantile(drawn[:, AT], even, share) for share in (0.1, 0.9))
        reached = crossing_km(KM, drawn, limit)
        never = float(np.mean(~np.isfinite(reached)))
        rows: list[Found] = []
        for _ in range(MATCHED if group == "matched" else SHIFTED):
            real = truth(group, at, random)
            dtv, life, _ = driven(at, real.runout_um, real.brake)
            km = float(crossing_km(KM, dtv[None], limit)[0])
            there = dtv[AT]
            rows.append(
                {
                    "tir": tir(at.runout_um),
                    "truth": there,
                    "dtv": [place(drawn[:, k], float(dtv[k]), random) for k in AT],
                    "held": (low - NOTHING_UM <= there) & (there <= high + NOTHING_UM),
                    "width": high - low,
                    "km": place(reached, km, random),
                    "never": never,
                    "does_never": not np.isfinite(km),
                    "life": said_life[rough][0] <= life <= said_life[rough][1],
                }
            )
        told = np.array([row["truth"] for row in rows])
        ends = np.quantile(told, (0.1, 0.9), axis=0, method="median_unbiased")
        for row in rows:
            row["told"] = ends[1] - ends[0]
        yield group, rows


def at_corner(first: int, number: int) -> list[tuple[str, list[Found]]]:
    """All truths at one corner, by its number."""
    return list(judged(corner(np.random.default_rng(first + number)), first + 10_000 + 10 * number))


def inside(places: np.ndarray) -> np.ndarray:
    return (places >= 0.1) & (places <= 0.9)


def columns(found: list[Found], name: str) -> np.ndarray:
    return np.array([one[name] for one in found], dtype=float)


def table(rows: dict[str, list[Found]], corners: int) -> str:
    """The report of so many corners."""
    distances = ", ".join(f"{km:.0f}" for km in JUDGED_KM)
    out = [
        "# The band of the wear forecast",
        "",
        f"Made by `python -m tests.studies.forecast_band`: {corners} independent corners (seeds that nothing was tuned",
        f"on), a band of {DRAWS} draws each. `drives` is the number of truths (several brakes behind each corner), `n`",
        f"that of truths judged: each drive at {distances} km. Truths are drawn apart from the estimator",
        "(`tests/studies/unknown_brakes.py`). Share of the truths inside the 80 % band: of the thickness variation",
        "(ties split at random; the printed band; each distance; below and above), of the kilometres to the limit, of",
        "the life of the rotor. `width` is the median width of the band, and in brackets that over the median width of",
        "an estimator told the group. The bracketed +- is one standard error with the corners as the independent ones.",
        "Wanted: 77 .. 83 % matched, 75 % or more for every other group, width no more than 1.5 times.",
        "",
        "| truths | drives | n | variation | printed | "
        + " | ".join(f"{km:.0f} km" for km in JUDGED_KM)
        + " | below, above | km to limit | rotor life | width |",
        "|---|" + "---|" * (len(JUDGED_KM) + 8),
    ]
    for group, found in rows.items():
        places, width, told = columns(found, "dtv"), columns(found, "width"), columns(found, "told")
        hit = inside(places)
        each = " | ".join(f"{share:.3f}" for share in hit.mean(axis=0))
        by_corner = hit.reshape(corners, -1).mean(axis=1)
        error = by_corner.std(ddof=1) / np.sqrt(corners) if corners > 1 else np.nan
        out.append(
            f"| {group} | {len(found)} | {hit.size} | **{hit.mean():.3f}** (+- {error:.3f}) | "
            f"{columns(found, 'held').mean():.3f} | {each} | "
            f"{np.mean(places < 0.1):.3f}, {np.mean(places > 0.9):.3f} | "
            f"**{inside(columns(found, 'km')).mean():.3f}** | {columns(found, 'life').mean():.3f} | "
            f"{np.median(width):.1f} µm ({np.median(width) / max(np.median(told), 1e-9):.2f}) |"
        )
    out += ["", "Variation inside, by the corner's mounted runout (drives; independent corners):", ""]
    spans = list(zip(TIR_BINS[:-1], TIR_BINS[1:], strict=True))
    named = [f"{low:.0f} µm and over" if np.isinf(high) else f"{low:.0f} .. {high:.0f} µm" for low, high in spans]
    out += ["| truths | " + " | ".join(named) + " |", "|---|" + "---|" * len(spans)]
    for group, found in rows.items():
        size, hit, cells = columns(found, "tir"), inside(columns(found, "dtv")), []
        for low, high in spans:
            here = (size >= low) & (size < high)
            few = len(np.unique(size[here]))
            cells.append(f"{hit[here].mean():.3f} ({here.sum()}; {few})" if here.any() else "none")
        out.append(f"| {group} | " + " | ".join(cells) + " |")
    out += [
        "",
        "How often the limit is not reached within 30 000 km, where the forecast gives that a probability of (said; "
        "drives).",
        "A probability between 0.1 and 0.9 is `cannot tell`: its share of the corners stands in the last column but "
        "one; in",
        'the last, the mean square error of "never" as a probability, in brackets that of always saying the group\'s '
        "own share.",
        "",
    ]
    spans = list(zip(BINS[:-1], BINS[1:], strict=True))
    named = [f"{low:.1f} .. {high:.1f}" for low, high in spans]
    out.append("| truths | " + " | ".join(named) + " | cannot tell | error |")
    out.append("|---|" + "---|" * (len(spans) + 2))
    for group, found in rows.items():
        said, does, cells = columns(found, "never"), columns(found, "does_never"), []
        for low, high in spans:
            here = (said >= low) & ((said < high) | (high == 1.0))
            told = f"{does[here].mean():.2f} ({said[here].mean():.2f}; {here.sum()})" if here.any() else "none"
            cells.append(told)
        cells.append(f"{np.mean((said > 0.1) & (said < 0.9)):.2f}")
        cells.append(f"{np.mean((said - does) ** 2):.3f} ({does.var():.3f})")
        out.append(f"| {group} | " + " | ".join(cells) + " |")
    out += ["", "The groups:", ""] + [f"- **{group}**: {words}" for group, words in GROUPS.items()]
    return "\n".join(out) + "\n"


def main(asked: int | None) -> None:
    """Run the study; write its table after every corner, or only print it for a few corners of other seeds."""
    first, corners = (SEED, CORNERS) if asked is None else (TRIED, asked)
    rows: dict[str, list[Found]] = {group: [] for group in GROUPS}
    text = ""
    with ProcessPoolExecutor(2) as pool:
        for number, found in enumerate(pool.map(at_corner, [first] * corners, range(corners))):
            for group, more in found:
                rows[group] += more
            text = table(rows, number + 1)
            if asked is None:
                beside = Path(__file__).with_suffix(".md")
                beside.with_suffix(".part").write_text(text, encoding="utf-8")
                beside.with_suffix(".part").replace(beside)
            shares = {group: inside(columns(part, "dtv")).mean() for group, part in rows.items()}
            so_far = ", ".join(f"{group} {share:.2f}" for group, share in shares.items())
            print(f"corner {number + 1} of {corners}: {so_far}", file=sys.stderr, flush=True)
    print(text)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else None)
