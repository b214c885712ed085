"""Does the band behind a reading hold the truth? ``python -m tests.studies.clamp_reading`` (15 minutes of one core).

Truths come from `tests.studies.corners_as_found`; the estimator sees the geometry, the clamping and what the dial
showed. Every corner is read once under each clamping, with a hub and a rotor of its own each time (runouts add as
vectors). Beside it stands an estimator that is told the group: the same conditioning on the group's other truths.
Writes ``clamp_reading.md`` beside this file, anew after every group.
"""

from __future__ import annotations

import sys
import time
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from sim.corner import behind_reading as dfr
from sim.corner.clampings import DRIVEN
from sim.corner.kept_traces import kept_orders
from sim.errors import Refused
from sim.files.case_file import load_case
from sim.parts.case import Case
from tests.studies import corners_as_found as population

ROOT = Path(__file__).parents[2]
GEOMETRIES = ("rear_solid_300", "front_vented_320")
CLAMPINGS = (
    "two nuts, 20 N m",
    "three nuts, 20 N m",
    "every nut, 20 N m",
    "bare nuts, full torque",
    "nuts and spacers, full torque",
)
MATCHED, SHIFTED = 300, 150  # corners of each geometry
SEATED_AS = {"bad rotor": "matched", "bad hub": "matched"}  # these differ by what only adds as a vector
SEED = 37_447
BINS = ((0.0, 40.0), (40.0, 80.0), (80.0, np.inf))


@dataclass(frozen=True, eq=False)
class Asked:
    """One question put to both estimators, row by row."""

    group: str
    clamping: str
    read_um: np.ndarray
    truth_um: np.ndarray
    band_um: np.ndarray  # low, high; not a number where it cannot tell
    told_um: np.ndarray


def geometry(name: str) -> Case:
    """A part set of which nothing is known but its shape."""
    return replace(load_case(ROOT / "demo_geometry" / f"{name}.toml"), given=())


def seatings(case: Case, group: str, seed: int, clampings: tuple[str, ...] = CLAMPINGS) -> dict[str, np.ndarray]:
    """Orders of every truth of a group under every clamping and as driven."""
    truths = population.found(case, group, MATCHED if group == "matched" else SHIFTED, seed)
    out = {}
    for name in (*clampings, DRIVEN):
        pulls = truths.pulls[int(name == DRIVEN)]
        states = [population.clamped(c, name, p) for c, p in zip(truths.corners, pulls, strict=True)]
        start = time.process_time()
        out[name] = kept_orders(states, "fast", workers=1)
        print(f"  {group}, {name}: {len(states)} in {time.process_time() - start:.0f} s", file=sys.stderr, flush=True)
    return out


def tir_um(orders: np.ndarray, waves: np.ndarray) -> np.ndarray:
    """Highest minus lowest of traces given by their orders, runouts added."""
    both = orders.copy()
    both[:, : waves.shape[1]] += waves
    theta = np.outer(np.arange(both.shape[1]), np.deg2rad(np.arange(0.0, 360.0, 2.0)))
    return np.ptp((both[:, 1:] @ np.exp(1j * theta)[1:]).real, axis=1)


def ask(case: Case, group: str, name: str, orders: dict[str, np.ndarray], seed: int) -> Asked:
    """Read every truth, ask both estimators."""
    rng = np.random.default_rng([seed, 99, population.GROUPS.index(group), CLAMPINGS.index(name)])
    both = np.isfinite(orders[name]).all(axis=1) & np.isfinite(orders[DRIVEN]).all(axis=1)
    read_orders, driven_orders = orders[name][both], orders[DRIVEN][both]
    waves = population.runout_waves(case, group, len(read_orders), rng)
    truth = tir_um(driven_orders, waves)
    read = population.dialled(tir_um(read_orders, waves), rng)
    joint = dfr.joined(case, dfr.seated_corners(case, name), np.random.default_rng(1))
    told = _told(case, group, (read_orders, driven_orders), seed)
    band = np.array([_band(joint, value) for value in read])
    known = [_band(_without(told, k), value, margin=1.0) for k, value in enumerate(read)]
    return Asked(group, name, read, truth, band, np.array(known))


def _told(case: Case, group: str, orders: tuple[np.ndarray, np.ndarray], seed: int, each: int = 40) -> dfr.Joint:
    """The group's own truths, joined with runouts drawn anew from the group's own laws."""
    which = np.repeat(np.arange(len(orders[0])), each)
    waves = population.runout_waves(case, group, which.size, np.random.default_rng([seed, 5]))
    read, driven = (
        np.concatenate([tir_um(part[w], v) for w, v in zip(_slices(which), _slices(waves), strict=True)])
        for part in orders
    )
    return dfr.Joint(read, driven, which)


def _slices(values: np.ndarray) -> list[np.ndarray]:
    return [values[k : k + 2000] for k in range(0, len(values), 2000)]


def _without(joint: dfr.Joint, seating: int) -> dfr.Joint:
    other = joint.seating != seating
    return dfr.Joint(joint.read_um[other], joint.driven_um[other], joint.seating[other])


def _band(joint: dfr.Joint, read_um: float, margin: float = dfr.MARGIN) -> tuple[float, float]:
    try:
        found = dfr.behind(joint, float(read_um), 1, np.random.default_rng(1), margin=margin)
    except Refused:
        return np.nan, np.nan
    return found.low_um, found.high_um


def row(asked: list[Asked], bounds: tuple[float, float] = (0.0, np.inf)) -> tuple[int, float, float, float, float]:
    """Number, share inside the band, share without an answer, median width over reading, the told one's."""
    read, truth = (np.concatenate([getattr(one, name) for one in asked]) for name in ("read_um", "truth_um"))
    band, told = (np.concatenate([getattr(one, name) for one in asked]) for name in ("band_um", "told_um"))
    here = (read >= bounds[0]) & (read < bounds[1])
    answered = here & np.isfinite(band[:, 0])
    inside = (band[:, 0] <= truth) & (truth <= band[:, 1])
    both = answered & np.isfinite(told[:, 0])
    width = [float(np.median((b[both, 1] - b[both, 0]) / read[both])) if both.any() else np.nan for b in (band, told)]
    number = int(answered.sum())
    share = float(inside[answered].mean()) if number else np.nan
    return number, share, 1.0 - number / max(int(here.sum()), 1), width[0], width[1]


def falsely_high(case: Case, orders: dict[str, np.ndarray], name: str, seed: int) -> np.ndarray:
    """Reading over driven runout of the matched corners that show 15 µm or more either way."""
    rng = np.random.default_rng([seed, 3])
    good = np.isfinite(orders[name]).all(axis=1) & np.isfinite(orders[DRIVEN]).all(axis=1)
    waves = population.runout_waves(case, "matched", int(good.sum()), rng)
    read, driven = tir_um(orders[name][good], waves), tir_um(orders[DRIVEN][good], waves)
    seen = np.fmax(read, driven) >= 15.0
    return read[seen] / driven[seen]


def table(
    found: list[Asked], ratios: dict[str, np.ndarray], done: dict[str, list[str]], seed: int, spent: float
) -> str:
    """The whole note."""
    asked = "; ".join(f"`{name}` ({', '.join(groups)})" for name, groups in done.items())
    lines = [
        "# Coverage of the band behind a reading",
        "",
        f"Made by `python -m tests.studies.clamp_reading` in {spent / 60:.0f} minutes of one core, do not edit. "
        "Truths:",
        "`tests/studies/corners_as_found.py`, an invented population written apart from the estimator, "
        f"seed {seed}, on",
        f"{asked}. Of each part set",
        f"{MATCHED} seated corners matched (bad rotor and bad hub on the same seatings), {SHIFTED} dished and "
        f"{SHIFTED}",
        "with inner dirt, each read once under every clamping with runouts of its own. Nominal share inside: 80 %.",
        "Width: median of (high - low) / reading; told: that of an estimator which is told the group.",
        "",
        "Tuned on other seeds: the margin of the band, 1.08 (101); the likeliest runout of hub and rotor, 20 µm of 4",
        "to 120, which were drawn evenly in ratio before (303: over 80 µm, 75 % of matched readings held). With 15 µm",
        "and a margin of 1.15 bands were too wide (84211: matched 83.2 %, bad hubs 2.7 times told). The seed above was",
        "run once. Asked for: matched 77 to 83 %, every other group 75 % or more, width at most 1.5 times told.",
        "",
    ]
    head = "| n | inside | cannot tell | width | told | times |"
    lines += ["| group | clamping | reading " + head, "|---|---|---|---|---|---|---|---|---|"]
    for group in dict.fromkeys(one.group for one in found):
        of_group = [one for one in found if one.group == group]
        lines.append(_line(f"**{group}**", "all", "all", row(of_group)))
        for low, high in BINS:
            name = f"{low:g} .. {high:g} µm" if np.isfinite(high) else f"over {low:g} µm"
            lines.append(_line(group, "all", name, row(of_group, (low, high))))
        for clamping in CLAMPINGS:
            lines.append(_line(group, clamping, "all", row([one for one in of_group if one.clamping == clamping])))
    lines += ["", "Reading over driven runout, matched corners that show 15 µm or more:", ""]
    lines += ["| clamping | 10 % | middle | 90 % | reads high (over 1.05) | reads low (under 0.95) |"]
    lines += ["|---|---|---|---|---|---|"]
    for clamping, ratio in ratios.items():
        low, middle, high = np.quantile(ratio, dfr.BAND)
        over, under = (100 * float(np.mean(part)) for part in (ratio > 1.05, ratio < 0.95))
        lines.append(f"| {clamping} | {low:.2f} | {middle:.2f} | {high:.2f} | {over:.0f} % | {under:.0f} % |")
    return "\n".join(lines) + "\n"


def _line(group: str, clamping: str, reading: str, found: tuple[int, float, float, float, float]) -> str:
    number, share, silent, width, told = found
    return (
        f"| {group} | {clamping} | {reading} | {number} | {100 * share:.1f} % | {100 * silent:.1f} % "
        f"| {width:.2f} | {told:.2f} | {width / told:.2f} |"
    )


def main(seed: int = SEED) -> None:
    """Run the study; the table is written anew after every group, so that a run that is cut leaves what it has."""
    start = time.process_time()
    path = Path(__file__).with_suffix(".md")
    found: list[Asked] = []
    ratios: dict[str, list[np.ndarray]] = {name: [] for name in CLAMPINGS}
    done: dict[str, list[str]] = {}
    for part_set in GEOMETRIES:
        case = geometry(part_set)
        orders: dict[str, dict[str, np.ndarray]] = {}
        for group in population.GROUPS:
            kind = SEATED_AS.get(group, group)
            if kind not in orders:
                orders[kind] = seatings(case, kind, seed)
            found += [ask(case, group, name, orders[kind], seed) for name in CLAMPINGS]
            if group == "matched":
                for name in CLAMPINGS:
                    ratios[name].append(falsely_high(case, orders[kind], name, seed))
            spent = time.process_time() - start
            print(f"{part_set}, {group}: {spent:.0f} s", file=sys.stderr, flush=True)
            done.setdefault(part_set, []).append(group)
            joined = {name: np.concatenate(parts) for name, parts in ratios.items()}
            path.write_text(table(found, joined, done, seed, spent), encoding="utf-8")
    print(path.read_text(encoding="utf-8"))


if __name__ == "__main__":
    main(*map(int, sys.argv[1:2]))
