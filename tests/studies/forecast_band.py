"""Does the 80 % band of the wear forecast hold the truth eight times in ten? And "never" as often as it is said?

python -m tests.studies.forecast_band            about a quarter of an hour on one core; renews the table beside it
python -m tests.studies.forecast_band 6          six corners only, printed, nothing written

Truths come from `tests.studies.unknown_brakes`, apart from the estimator; each is driven on the standard layout across
the pad, which is within 1 % of eight even rings (`tests/studies/wear_across_pad.md`), at a coarser turn. Judged at each
distance is the place of the truth among the draws (ties, such as "not worn at all", are split at random, or a band
whose low end is nothing would be held nine times in ten for free); beside it, whether the printed band holds it.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from sim.wear.brake import Fineness, brake_of
from sim.wear.draws import Disc, crossing_km, follow, quantile, spread
from sim.wear.forecast import own_heights_mm
from tests.studies.unknown_brakes import GROUPS, Corner, corner, read, truth

CORNERS, MATCHED, SHIFTED = 48, 45, 22
DRAWS = 256
KM = np.linspace(0.0, 30_000.0, 61)
JUDGED_KM = (2000.0, 5000.0, 10_000.0, 20_000.0, 30_000.0)
TRUE = Fineness(angles=90, rings=3, release_angles=12, tolerance_mm=5.0e-5)
#: Less thickness variation than this is none. [um]
NOTHING_UM = 0.05
BINS = (0.0, 0.1, 0.3, 0.5, 0.7, 0.9, 1.0)


def disc_of(at: Corner, runout_um: np.ndarray) -> Disc:
    case = at.case
    heights = own_heights_mm(case.rotor)
    radius, drive = case.gauge_radius_mm, case.drive
    return Disc(1e-3 * runout_um, radius, heights, drive.friction, drive.revolutions_per_km, gauge_radius_mm=radius)


def place(draws: np.ndarray, value: float, random: np.random.Generator) -> float:
    """Share of the draws below a value, ties split at random."""
    return float(np.mean(draws < value) + random.random() * np.mean(draws == value))


def judged(at: Corner, seed: int) -> Iterator[tuple[str, dict]]:
    """Truths of every group at one corner, against the band of that corner."""
    random = np.random.default_rng(seed)
    limit, brake = at.case.limits.dtv_um, brake_of(at.case)
    known = {False: at.runout_um, True: read(at.rough_um)}
    bands = {rough: spread(disc_of(at, trace), brake, KM, DRAWS, seed + 1).dtv_um for rough, trace in known.items()}
    for group in GROUPS:
        drawn = bands[group in ("rough runout", "all of it")]
        drawn = np.where(drawn < NOTHING_UM, 0.0, drawn)
        even = np.full(DRAWS, 1.0 / DRAWS)
        low, high = (quantile(drawn, even, share) for share in (0.1, 0.9))
        reached = crossing_km(KM, drawn, limit)
        never = float(np.mean(~np.isfinite(reached)))
        for _ in range(MATCHED if group == "matched" else SHIFTED):
            real = truth(group, at, random)
            dtv = follow(disc_of(at, real.runout_um), real.brake, KM, TRUE)[2]
            dtv = np.where(dtv < NOTHING_UM, 0.0, dtv)
            km = float(crossing_km(KM, dtv[None], limit)[0])
            found = {"km": place(reached, km, random), "never": never, "does_never": not np.isfinite(km)}
            found["dtv"], found["held"], found["width"] = [], [], []
            for distance in JUDGED_KM:
                k = int(np.searchsorted(KM, distance))
                found["dtv"].append(place(drawn[:, k], float(dtv[k]), random))
                found["held"].append(low[k] - NOTHING_UM <= dtv[k] <= high[k] + NOTHING_UM)
                found["width"].append(high[k] - low[k])
            yield group, found


def inside(places: np.ndarray) -> np.ndarray:
    return (places >= 0.1) & (places <= 0.9)


def table(corners: int) -> str:
    rows: dict[str, list[dict]] = {group: [] for group in GROUPS}
    for number in range(corners):
        at = corner(np.random.default_rng(70_000 + number))
        for group, found in judged(at, 80_000 + 10 * number):
            rows[group].append(found)
        print(f"corner {number + 1} of {corners}", file=sys.stderr, flush=True)
    out = [
        "# The band of the wear forecast",
        "",
        f"Made by `python -m tests.studies.forecast_band`: {corners} corners, a band of {DRAWS} draws each, truths",
        "drawn apart from the estimator (`tests/studies/unknown_brakes.py`). Share of the truths inside the "
        "80 % band: of",
        "the thickness variation over all distances (ties split; printed band; at each distance), and of "
        "the kilometres to",
        'the limit. The last column is the mean square error of "never within 30 000 km" as a probability, and in',
        "brackets that of always saying the group's own share.",
        "",
        "| truths | n | variation | printed | " + " | ".join(f"{km:,.0f} km".replace(",", " ") for km in JUDGED_KM),
        "|---|---|---|---|" + "---|" * (len(JUDGED_KM) + 3),
    ]
    out[-2] += " | below, above | km to limit | never |"
    for group, found in rows.items():
        places = np.array([one["dtv"] for one in found])
        held = np.mean([one["held"] for one in found])
        kms = np.array([one["km"] for one in found])
        said, does = (np.array([one[name] for one in found], dtype=float) for name in ("never", "does_never"))
        each = " | ".join(f"{share:.3f}" for share in inside(places).mean(axis=0))
        out.append(
            f"| {group} | {len(found)} | **{inside(places).mean():.3f}** | {held:.3f} | {each} | "
            f"{np.mean(places < 0.1):.3f}, {np.mean(places > 0.9):.3f} | **{inside(kms).mean():.3f}** | "
            f"{np.mean((said - does) ** 2):.3f} ({does.var():.3f}) |"
        )
    out += [
        "",
        "How often the limit is not reached within 30 000 km, where the forecast gives that a probability of:",
        "",
    ]
    spans = list(zip(BINS[:-1], BINS[1:], strict=True))
    out.append("| truths | " + " | ".join(f"{low:.1f} .. {high:.1f}" for low, high in spans) + " |")
    out.append("|---|" + "---|" * len(spans))
    for group, found in rows.items():
        said, does = (np.array([one[name] for one in found], dtype=float) for name in ("never", "does_never"))
        cells = []
        for low, high in spans:
            here = (said >= low) & ((said < high) | (high == 1.0))
            cells.append(
                f"{does[here].mean():.2f} (said {said[here].mean():.2f}, {here.sum()})" if here.any() else "none"
            )
        out.append(f"| {group} | " + " | ".join(cells) + " |")
    out += ["", "The groups:", ""] + [f"- **{group}**: {words}" for group, words in GROUPS.items()]
    return "\n".join(out) + "\n"


if __name__ == "__main__":
    asked = [int(word) for word in sys.argv[1:]]
    text = table(asked[0] if asked else CORNERS)
    if not asked:
        Path(__file__).with_suffix(".md").write_text(text, encoding="utf-8")
    print(text)
