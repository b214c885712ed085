"""The band behind a reading on parts and faults of another make: ``python -m tests.studies.clamp_elsewhere``.

Three part sets that nothing was tuned on and cars from `tests.studies.cars_brought_in`, each read under every clamping;
with and without the bare hub face. Writes ``clamp_elsewhere.md`` beside this file; a number of corners makes a trial of
another seed, printed and not kept.
"""

from __future__ import annotations

import sys
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from sim.corner import behind_reading as dfr
from sim.corner.clampings import DRIVEN
from sim.corner.kept_traces import kept_orders
from sim.parts.case import Case
from tests.studies import cars_brought_in as cars
from tests.studies import clamp_reading as study
from tests.studies.corners_as_found import clamped

CORNERS, SEED, TRIED = 200, 1, 2
BARE_SEED = 7
BAD_HUB_UM, BAD_ROTOR_UM = 35.0, 50.0


@dataclass(frozen=True, eq=False)
class Read:
    """Readings of one part set under one clamping, row by row. Bands: low, high, not a number where it cannot tell."""

    part_set: str
    clamping: str
    read_um: np.ndarray
    truth_um: np.ndarray
    hub_um: np.ndarray
    rotor_um: np.ndarray
    uneven: np.ndarray
    dirty: np.ndarray
    band_um: np.ndarray
    hub_read_um: np.ndarray


def readings(part_set: str, case: Case, random: np.random.Generator, corners: int) -> list[Read]:
    """Every car of one part set under every clamping."""
    drawn = cars.brought_in(case, corners, random)
    orders = {}
    for name in (*study.CLAMPINGS, DRIVEN):
        pulls = drawn.pulls[int(name == DRIVEN)]
        states = [clamped(corner, name, pull) for corner, pull in zip(drawn.corners, pulls, strict=True)]
        orders[name] = kept_orders(states, "fast", workers=1)
        print(f"{part_set}, {name}", file=sys.stderr, flush=True)
    dirty = np.array([bool(corner.debris) for corner in drawn.corners])
    found = []
    for name in study.CLAMPINGS:
        hub, rotor, waves = cars.runouts(case, drawn.warped, random)
        sits = np.isfinite(orders[name]).all(axis=1) & np.isfinite(orders[DRIVEN]).all(axis=1)
        read = cars.dialled(study.tir_um(orders[name][sits], waves[sits]), random)
        truth = study.tir_um(orders[DRIVEN][sits], waves[sits])
        seated = dfr.seated_corners(case, name)
        joint = dfr.joined(case, seated, np.random.default_rng(1))
        band = np.array([study.band_of(joint, value) for value in read])
        bare = cars.dialled(hub[sits], np.random.default_rng(BARE_SEED))
        known = study.bands_with_hub(case, seated, read, bare)
        rows = hub[sits], rotor[sits], drawn.uneven[sits], dirty[sits], band, known
        found.append(Read(part_set, name, read, truth, *rows))
    return found


def table(found: list[Read], corners: int) -> str:
    """The whole note."""

    def of(field: str) -> np.ndarray:
        return np.concatenate([getattr(one, field) for one in found])

    def each(field: str) -> np.ndarray:
        return np.concatenate([np.full(one.read_um.size, getattr(one, field)) for one in found])

    read, truth, hub, rotor = of("read_um"), of("truth_um"), of("hub_um"), of("rotor_um")
    clamping, part_set, small = each("clamping"), each("part_set"), of("read_um") < study.SMALL_UM
    few = np.char.endswith(clamping, "20 N m")
    bad_hub, bad_rotor = hub > BAD_HUB_UM, rotor > BAD_ROTOR_UM
    groups = {"**all**": np.ones(read.size, dtype=bool)}
    for low, high in study.BINS:
        label = f"{low:g} .. {high:g} µm" if np.isfinite(high) else f"over {low:g} µm"
        groups[label] = (read >= low) & (read < high)
    groups |= {name: part_set == name for name in cars.PART_SETS}
    groups |= {name: clamping == name for name in study.CLAMPINGS}
    groups |= {
        f"hub over {BAD_HUB_UM:g} µm": bad_hub,
        "the same, reads under 80 µm": bad_hub & small,
        "the same, under nuts at 20 N m": bad_hub & small & few,
        f"rotor over {BAD_ROTOR_UM:g} µm": bad_rotor,
        "uneven nuts": of("uneven"),
        "no dirt": ~of("dirty"),
        "dirt, hub and rotor good": of("dirty") & ~bad_hub & ~bad_rotor,
    }
    lines = [
        "# The band behind a reading, elsewhere",
        "",
        f"Made by `python -m tests.studies.clamp_elsewhere`, do not edit. {corners} cars on each of",
        f"{len(cars.PART_SETS)} part sets that nothing was tuned on, from laws of faults written apart from estimator",
        "and other study (`tests/studies/cars_brought_in.py`), each read once under every clamping. Nominal share",
        "inside: 80 %. Width: median of (high - low) / reading. Hub read: the bare hub face was read too, to 5 µm, and",
        "stated in the case.",
        "",
        "| readings | n | inside | above it | cannot tell | width | hub read: inside | above it | width |",
        "|---|---|---|---|---|---|---|---|---|",
    ]
    for label, here in groups.items():
        cells = [_cells(ends, truth, read, here) for ends in (of("band_um"), of("hub_read_um"))]
        number, silent = cells[0][0], 1.0 - cells[0][0] / max(int(here.sum()), 1)
        (_, inside, above, width), (_, inside_too, above_too, width_too) = cells
        lines.append(
            f"| {label} | {number} | {inside:.1f} % | {above:.1f} % | {100 * silent:.1f} % | {width:.2f} | "
            f"{inside_too:.1f} % | {above_too:.1f} % | {width_too:.2f} |"
        )
    return "\n".join(lines) + "\n"


def _cells(ends: np.ndarray, truth: np.ndarray, read: np.ndarray, here: np.ndarray) -> tuple[int, float, float, float]:
    """How many are answered; per cent inside and above; median width over the reading."""
    told = here & np.isfinite(ends[:, 0])
    if not told.any():
        return 0, np.nan, np.nan, np.nan
    low, high = ends[told].T
    inside, above = np.mean((low <= truth[told]) & (truth[told] <= high)), np.mean(truth[told] > high)
    return int(told.sum()), 100 * float(inside), 100 * float(above), float(np.median((high - low) / read[told]))


def main(corners: int | None = None) -> None:
    """Run the study; write its table, or only print that of a trial."""
    seed, count = (SEED, CORNERS) if corners is None else (TRIED, corners)
    found: list[Read] = []
    text = ""
    for number, (part_set, case) in enumerate(cars.PART_SETS.items()):
        found += readings(part_set, replace(case, given=()), np.random.default_rng([seed, number]), count)
    text = table(found, count)
    if corners is None:
        Path(__file__).with_suffix(".md").write_text(text, encoding="utf-8")
    print(text)


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else None)
