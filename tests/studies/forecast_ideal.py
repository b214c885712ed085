"""How narrow could the band of the wear forecast be? ``python -m tests.studies.forecast_ideal``

Beside `tests.studies.forecast_band`: nothing that is known of a corner before it is driven tells the group that its
brake comes from, so one band must serve all groups. At corners of that study, truths only are driven, no band of ours:
``told`` is the middle 80 % of a group's own truths at the corner; ``best`` the middle 80 % of all groups' truths there,
every group as often as the others, the truth that is judged left out; ``least`` the shortest interval that holds 77 %
of the matched truths, which every band needs that is to hold 77 % of them, wherever it may lie. The table is written
anew after every corner. Two numbers, a seed and corners, make a trial of other corners, printed and not kept.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

import numpy as np

from tests.studies.forecast_band import AT, JUDGED_KM, driven
from tests.studies.ideal_bands import pooled_bands
from tests.studies.unknown_brakes import GROUPS, corner, truth

CORNERS, EACH, SEED = 8, 12, 270_000
LEAST_SHARE, ASKED_TIMES = 0.77, 1.5


def truths_um(number: int, seed: int) -> dict[str, np.ndarray]:
    """Thickness variation of every group's truths at one corner, at each distance. [um]."""
    at = corner(np.random.default_rng(seed + number))
    random = np.random.default_rng([seed, number, 3])
    found = {}
    for group in GROUPS:
        drawn = [truth(group, at, random) for _ in range(EACH)]
        found[group] = np.array([driven(at, each.runout_um, each.brake)[0][AT] for each in drawn])
    return found


def shortest_um(value: np.ndarray, share: float) -> float:
    """Width of the shortest interval that holds a share of the values."""
    ordered, many = np.sort(value), int(np.ceil(share * value.size))
    return float(np.min(ordered[many - 1 :] - ordered[: value.size - many + 1]))


def widths(at: dict[str, np.ndarray]) -> tuple[dict[str, np.ndarray], dict[str, np.ndarray], np.ndarray]:
    """Widths of told and best by group, and the least that holds the matched, at each distance of one corner."""
    best = {group: np.median(np.ptp(ends, axis=2), axis=0) for group, ends in pooled_bands(at).items()}
    ends = {group: np.quantile(part, (0.1, 0.9), axis=0, method="median_unbiased") for group, part in at.items()}
    told = {group: both[1] - both[0] for group, both in ends.items()}
    return told, best, np.array([shortest_um(column, LEAST_SHARE) for column in at["matched"].T])


def table(corners: list[dict[str, np.ndarray]], seed: int, minutes: float) -> str:
    """The note."""
    each = [widths(at) for at in corners]
    distances = ", ".join(f"{km:.0f}" for km in JUDGED_KM)
    least = float(np.median([part[2] for part in each]))
    rows, said = [], []
    for group in GROUPS:
        told, best = (float(np.median([part[k][group] for part in each])) for k in (0, 1))
        held = np.mean([_held(at, group) for at in corners])
        times = least / told
        rows.append(f"| {group} | {told:.1f} | {best:.1f} | {best / told:.2f} | {100 * held:.0f} % | {times:.2f} |")
        if min(times, best / told) > ASKED_TIMES:
            said.append(
                f"- **{group}**: {ASKED_TIMES:g} times told cannot be had: who knows the mixture needs "
                f"{best / told:.2f} times, and a band that is to hold 77 % of the matched at least {times:.2f} times."
            )
    return "\n".join([
        "# How narrow the band of the wear forecast could be",
        "",
        f"Made by `python -m tests.studies.forecast_ideal`: {len(corners)} corners of `forecast_band`, seed {seed}, "
        f"{EACH} truths of each group at each corner, thickness variation at {distances} km; medians over corners and "
        "distances. Told: middle 80 % of the group's own truths. Best: of all groups', each as likely; holds: what it "
        f"holds of the group. Least: the shortest interval that holds 77 % of the matched truths, {least:.1f} µm.",
        "",
        "| truths | told [µm] | best [µm] | best / told | holds | least / told |",
        "|---|---|---|---|---|---|",
        *rows, "", *said, "", f"{minutes:.0f} CPU minutes.", "",
    ])  # fmt: skip


def _held(at: dict[str, np.ndarray], group: str) -> float:
    ends = pooled_bands(at)[group]
    return float(np.mean((ends[..., 0] <= at[group]) & (at[group] <= ends[..., 1])))


def main(seed: int = SEED, count: int = CORNERS) -> None:
    """Run the study."""
    start, corners, text = time.process_time(), [], ""
    for number in range(count):
        corners.append(truths_um(number, seed))
        text = table(corners, seed, (time.process_time() - start) / 60)
        if (seed, count) == (SEED, CORNERS):
            Path(__file__).with_suffix(".md").write_text(text, encoding="utf-8")
        print(f"corner {number + 1} of {count}: {time.process_time() - start:.0f} s", file=sys.stderr, flush=True)
    print(text)


if __name__ == "__main__":
    main(*map(int, sys.argv[1:3]))
