"""Does the band behind a reading hold the truth? ``python -m tests.studies.clamp_reading`` (8 minutes of one core).

Truths come from `tests.studies.corners_as_found`; the estimator sees the geometry, the clamping and what the dial
showed. Every corner is read once under each clamping, with a hub and a rotor of its own each time (runouts add as
vectors). Then it sees the bare hub face too, as a dial reads it. Beside it stand ideal estimators, the same
conditioning on the study's other truths: `told` knows the group, `best` knows the laws of all groups and how often each
comes, and not the group; for two mixtures in the table (`SHOWN`) and for others with ever more bad hubs. Writes
``clamp_reading.md`` beside this file, anew after every part set. Two numbers, a seed and corners, make a trial of that
seed, printed and not kept: ``python -m tests.studies.clamp_reading 505 40``.
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
SEED = 140_911
#: Joined runouts of one group where none is likelier; and with "matched" ten times as often as each other group.
MIXTURES = {"alike": dict.fromkeys(population.GROUPS, 3600), "mostly matched": dict.fromkeys(population.GROUPS, 1200)}
MIXTURES["mostly matched"]["matched"] = 12_000
SHOWN = tuple(MIXTURES)
#: What bad hubs would get from one that takes them to be so much more frequent than every other group.
for _times in (4, 12):
    MIXTURES[f"bad hubs {_times} times"] = dict.fromkeys(population.GROUPS, 1000) | {"bad hub": 1000 * _times}
TOLD = 12_000  # joined runouts of the group of which an estimator is told
ASKED_TIMES = 1.5
HUB_STEP_UM = 5.0  # to which the bare hub face is read
HUB_JOINED = 20  # runouts joined with each seating where the hub is read
SMALL_UM = 80.0
FAR = 7.0  # standard uncertainties of a dial beyond which a corner does not read alike
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
    best_um: dict[str, np.ndarray]  # by mixture, as the band
    hub_read_um: np.ndarray  # as the band, the bare hub face read too


@dataclass(frozen=True, eq=False)
class Answer:
    """One line of the table: of the answered, how many; shares; median widths over the reading."""

    number: int
    inside: float
    silent: float
    width: float
    told: float
    best: dict[str, tuple[float, float]]  # by mixture: width, share inside
    hub_read: tuple[float, float]  # width, share inside


Orders = dict[str, dict[str, np.ndarray]]  # of every kind of seating, by clamping


def geometry(name: str) -> Case:
    """A part set of which nothing is known but its shape."""
    return replace(load_case(ROOT / "demo_geometry" / f"{name}.toml"), given=())


def seatings(case: Case, group: str, seed: int, corners: int | None = None) -> dict[str, np.ndarray]:
    """Orders of every truth of a group under every clamping and as driven."""
    truths = population.found(case, group, corners or (MATCHED if group == "matched" else SHIFTED), seed)
    out = {}
    for name in (*CLAMPINGS, DRIVEN):
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


def kind_of(group: str) -> str:
    """Whose seatings a group stands on."""
    return SEATED_AS.get(group, group)


def sitting(orders: dict[str, np.ndarray], name: str) -> tuple[np.ndarray, np.ndarray]:
    """Orders as read under a clamping and as driven, of those corners that sit both ways."""
    both = np.isfinite(orders[name]).all(axis=1) & np.isfinite(orders[DRIVEN]).all(axis=1)
    return orders[name][both], orders[DRIVEN][both]


def ask(case: Case, name: str, orders: Orders, seed: int) -> list[Asked]:
    """Read every truth of every group under one clamping, ask all estimators."""
    seated = dfr.seated_corners(case, name)
    joint = dfr.joined(case, seated, np.random.default_rng(1))
    rows = {kind: sitting(part, name) for kind, part in orders.items()}
    first = dict(zip(rows, np.cumsum([0, *(len(part[0]) for part in rows.values())]), strict=False))

    def pool(group: str, count: int) -> dfr.Joint:
        return _pool(case, group, rows[kind_of(group)], int(first[kind_of(group)]), count, seed)

    mixed = {
        mixture: _together([pool(group, count) for group, count in counts.items()])
        for mixture, counts in MIXTURES.items()
    }
    found = []
    for group in population.GROUPS:
        rng = np.random.default_rng([seed, 99, population.GROUPS.index(group), CLAMPINGS.index(name)])
        read_orders, driven_orders = rows[kind_of(group)]
        hub, waves = population.hubs_and_waves(case, group, len(read_orders), rng)
        truth = tir_um(driven_orders, waves)
        read = population.dialled(tir_um(read_orders, waves), rng)
        bare = population.dialled(hub, rng)
        own, start = pool(group, TOLD), int(first[kind_of(group)])
        told, *best = (_known(joint, start, read) for joint in (own, *mixed.values()))
        band = np.array([band_of(joint, value) for value in read])
        known = bands_with_hub(case, seated, read, bare)
        found.append(Asked(group, name, read, truth, band, told, dict(zip(mixed, best, strict=True)), known))
    return found


def bands_with_hub(case: Case, seated: dfr.Seated, read_um: np.ndarray, bare_um: np.ndarray) -> np.ndarray:
    """Bands of our estimator where the case states what the bare hub face reads."""
    steps = np.maximum(np.round(bare_um / HUB_STEP_UM), 1.0) * HUB_STEP_UM
    bands = np.empty((read_um.size, 2))
    for hub_um in np.unique(steps):
        here = steps == hub_um
        stated = dfr.with_bare_hub(case, float(hub_um))
        joint = dfr.joined(stated, seated, np.random.default_rng(1), HUB_JOINED)
        bands[here] = [band_of(joint, value) for value in read_um[here]]
    return bands


def _known(joint: dfr.Joint, first: int, read_um: np.ndarray) -> np.ndarray:
    """Bands of an estimator that knows the law, each truth's own seating left out."""
    return np.array([band_of(_without(joint, first + k), value, not_drawn=0.0) for k, value in enumerate(read_um)])


def _pool(
    case: Case, group: str, orders: tuple[np.ndarray, np.ndarray], first: int, count: int, seed: int
) -> dfr.Joint:
    """A group's own truths, joined with runouts drawn anew from the group's own laws."""
    which = np.repeat(np.arange(len(orders[0])), -(-count // len(orders[0])))
    waves = population.runout_waves(case, group, which.size, np.random.default_rng([seed, 5]))
    read, driven = (
        np.concatenate([tir_um(part[w], v) for w, v in zip(_slices(which), _slices(waves), strict=True)])
        for part in orders
    )
    return dfr.Joint(read, driven, first + which)


def _together(parts: list[dfr.Joint]) -> dfr.Joint:
    read, driven, seating = (
        np.concatenate([getattr(part, field) for part in parts]) for field in ("read_um", "driven_um", "seating")
    )
    return dfr.Joint(read, driven, seating)


def _slices(values: np.ndarray) -> list[np.ndarray]:
    return [values[k : k + 2000] for k in range(0, len(values), 2000)]


def _without(joint: dfr.Joint, seating: int) -> dfr.Joint:
    return _only(joint, joint.seating != seating)


def _only(joint: dfr.Joint, rows: np.ndarray) -> dfr.Joint:
    return dfr.Joint(joint.read_um[rows], joint.driven_um[rows], joint.seating[rows])


def band_of(joint: dfr.Joint, read_um: float, not_drawn: float = dfr.NOT_DRAWN) -> tuple[float, float]:
    reach = FAR * np.hypot(max(dfr.DIALS_UM), dfr.BLUR * read_um)
    near = _only(joint, np.abs(joint.read_um - read_um) < reach)  # the rest weighs nothing, and takes most of the time
    try:
        found = dfr.behind(near, float(read_um), 1, np.random.default_rng(1), not_drawn=not_drawn)
    except Refused:
        return np.nan, np.nan
    return found.low_um, found.high_um


def row(asked: list[Asked], bounds: tuple[float, float] = (0.0, np.inf)) -> Answer:
    """What one line of the table says."""
    read, truth, band, told = (
        np.concatenate([getattr(one, field) for one in asked])
        for field in ("read_um", "truth_um", "band_um", "told_um")
    )
    best = {mixture: np.concatenate([one.best_um[mixture] for one in asked]) for mixture in MIXTURES}
    known = np.concatenate([one.hub_read_um for one in asked])
    here = (read >= bounds[0]) & (read < bounds[1])
    answered = here & np.isfinite(band[:, 0])
    every = answered & np.isfinite([told[:, 0], *(best[mixture][:, 0] for mixture in SHOWN)]).all(axis=0)

    def inside(ends: np.ndarray, of: np.ndarray) -> float:
        return float(np.mean((ends[of, 0] <= truth[of]) & (truth[of] <= ends[of, 1]))) if of.any() else np.nan

    def width(ends: np.ndarray) -> float:
        of = every & np.isfinite(ends[:, 0])
        return float(np.median(np.ptp(ends[of], axis=1) / read[of])) if of.any() else np.nan

    number = int(answered.sum())
    ideal = {mixture: (width(ends), inside(ends, every & np.isfinite(ends[:, 0]))) for mixture, ends in best.items()}
    silent = 1.0 - number / max(int(here.sum()), 1)
    with_hub = width(known), inside(known, here & np.isfinite(known[:, 0]))
    return Answer(number, inside(band, answered), silent, width(band), width(told), ideal, with_hub)


def falsely_high(case: Case, orders: dict[str, np.ndarray], name: str, seed: int) -> np.ndarray:
    """Reading over driven runout of the matched corners that show 15 µm or more either way."""
    rng = np.random.default_rng([seed, 3])
    rows = sitting(orders, name)
    waves = population.runout_waves(case, "matched", len(rows[0]), rng)
    read, driven = (tir_um(part, waves) for part in rows)
    seen = np.fmax(read, driven) >= 15.0
    return read[seen] / driven[seen]


def table(
    found: list[Asked],
    ratios: dict[str, np.ndarray],
    part_sets: list[str],
    seed: int,
    spent: float,
    corners: int | None = None,
) -> str:
    """The whole note."""
    matched, shifted = corners or MATCHED, corners or SHIFTED
    asked = " and ".join(f"`{name}`" for name in part_sets)
    lines = [
        "# Coverage of the band behind a reading",
        "",
        f"Made by `python -m tests.studies.clamp_reading` in {spent / 60:.0f} minutes of one core, do not edit. "
        "Truths:",
        "`tests/studies/corners_as_found.py`, an invented population written apart from the estimator, "
        f"seed {seed}, on",
        f"{asked}. Of each part set",
        f"{matched} seated corners matched (bad rotor and bad hub on the same seatings), {shifted} dished and "
        f"{shifted}",
        "with inner dirt, each read once under every clamping with runouts of its own. Nominal share inside: 80 %.",
        "Width: median of (high - low) / reading; told: that of an estimator which is told the group; times: ours over",
        "told. Best: width, and share of the truths inside, of an estimator that knows the laws of all five groups and",
        "how often each comes, and not the group, made of the study's own truths, each left out of its own: first",
        "where all groups are as likely, then (mostly) with matched ten times as likely as each other; / told: best",
        "over told. Hub read: our own band where the bare hub face was read too, by the same dials and to 5 µm, and",
        "stated in the case; / told: over that which is told the group and not the hub.",
        "",
        "Tuned on other seeds: what corners differ by that is not drawn, as an error of its own (by one factor on "
        "every",
        "band, 1.08 on seed 37447 and 1.12 on 88213, matched held 79.8 and 80.9 %, inner dirt 74.7 and 74.4, 67 to 70 "
        "at",
        "full torque); the likeliest runout of hub and rotor, 20 µm of 4",
        "to 120, which were drawn evenly in ratio before (303: over 80 µm, 75 % of matched readings held). With 15 µm",
        "and a factor of 1.15 bands were too wide (84211: matched 83.2 %, bad hubs 2.7 times told). The seed above was",
        "run once for that; how rotors are drawn where the hub is stated was set on 84211 too. Asked for: matched 77",
        "to 83 %, every other group 75 % or more, width at most 1.5 times told.",
        "",
    ]
    head = "| n | inside | cannot tell | width | told | times |"
    head += " best | inside | / told | best, mostly | inside | / told | hub read | inside | / told |"
    lines += ["| group | clamping | reading " + head, "|" + "---|" * 18]
    for group in dict.fromkeys(one.group for one in found):
        of_group = [one for one in found if one.group == group]
        lines.append(_line(f"**{group}**", "all", "all", row(of_group)))
        for low, high in BINS:
            name = f"{low:g} .. {high:g} µm" if np.isfinite(high) else f"over {low:g} µm"
            lines.append(_line(group, "all", name, row(of_group, (low, high))))
        for clamping in CLAMPINGS:
            lines.append(_line(group, clamping, "all", row([one for one in of_group if one.clamping == clamping])))
    lines += ["", *out_of_reach(found), "", *more_bad_hubs(found), "", *small_on_bad_hubs(found), ""]
    lines += ["Reading over driven runout, matched corners that show 15 µm or more:", ""]
    lines += ["| clamping | 10 % | middle | 90 % | reads high (over 1.05) | reads low (under 0.95) |"]
    lines += ["|---|---|---|---|---|---|"]
    for clamping, ratio in ratios.items():
        low, middle, high = np.quantile(ratio, dfr.BAND)
        over, under = (100 * float(np.mean(part)) for part in (ratio > 1.05, ratio < 0.95))
        lines.append(f"| {clamping} | {low:.2f} | {middle:.2f} | {high:.2f} | {over:.0f} % | {under:.0f} % |")
    return "\n".join(lines) + "\n"


def out_of_reach(found: list[Asked]) -> list[str]:
    """Where even an estimator that knows the mixture misses what is asked, a sentence each."""
    said = []
    for group in population.GROUPS:
        answer = row([one for one in found if one.group == group])
        for mixture, (width, inside) in ((name, answer.best[name]) for name in SHOWN):
            if width > ASKED_TIMES * answer.told:
                said.append(
                    f"- **{group}**: {ASKED_TIMES:g} times told cannot be had; who knows the mixture ({mixture}) needs "
                    f"{width / answer.told:.2f} times, and we {answer.width / answer.told:.2f}."
                )
            if inside < 0.75:
                said.append(
                    f"- **{group}**: who knows the mixture ({mixture}), right eight times in ten over all of it, holds "
                    f"{100 * inside:.0f} % of these, and we {100 * answer.inside:.0f} %."
                )
    return said


def more_bad_hubs(found: list[Asked]) -> list[str]:
    """What the band on bad hubs costs every other group, for one who knows the mixture: a line for each mixture."""
    lines = ["What a narrower band on bad hubs would cost, for one who knows the mixture and not the group:", ""]
    lines += ["| taken for | matched inside | matched over 80 µm | least of the others | bad hubs / told | inside |"]
    lines[-1] += " under 80 µm |"
    lines += ["|---|---|---|---|---|---|---|"]

    def of(group: str, mixture: str, bounds: tuple[float, float] = (0.0, np.inf)) -> tuple[float, float]:
        answer = row([one for one in found if one.group == group], bounds)
        width, inside = answer.best[mixture]
        return width / answer.told, 100 * inside

    for mixture in ("mostly matched", *(name for name in MIXTURES if name != "mostly matched")):
        others = min(
            (of(group, mixture)[1], group) for group in population.GROUPS if group not in ("matched", "bad hub")
        )
        times, inside = of("bad hub", mixture)
        matched, large = of("matched", mixture)[1], of("matched", mixture, BINS[-1])[1]
        small = of("bad hub", mixture, (0.0, SMALL_UM))[1]
        lines.append(
            f"| {mixture} | {matched:.0f} % | {large:.0f} % | {others[0]:.0f} % ({others[1]}) | {times:.2f} | "
            f"{inside:.0f} % | {small:.0f} % |"
        )
    return lines


def small_on_bad_hubs(found: list[Asked]) -> list[str]:
    """Bad hubs that read small, by clamping: how many the band holds, ours, the best one's, and with the hub read."""
    lines = [f"Bad hubs that read under {SMALL_UM:g} µm, share inside:", ""]
    lines += ["| clamping | n | ours | above it | best | best, mostly | hub read |", "|---|---|---|---|---|---|---|"]
    for clamping in (*CLAMPINGS, "all"):
        asked = [one for one in found if one.group == "bad hub" and clamping in ("all", one.clamping)]
        answer = row(asked, (0.0, SMALL_UM))
        shares = (answer.inside, _above(asked), *(answer.best[name][1] for name in SHOWN), answer.hub_read[1])
        lines.append(
            f"| {clamping} | {answer.number} | " + " | ".join(f"{100 * share:.0f} %" for share in shares) + " |"
        )
    return lines


def _above(asked: list[Asked]) -> float:
    """Share of the small readings behind which more lies than the band holds."""
    over = np.concatenate([(one.truth_um > one.band_um[:, 1])[one.read_um < SMALL_UM] for one in asked])
    return float(np.mean(over)) if over.size else np.nan


def _line(group: str, clamping: str, reading: str, found: Answer) -> str:
    if np.isnan(found.told):  # the study has too few truths that read like these
        return (
            f"| {group} | {clamping} | {reading} | {found.number} | {100 * found.inside:.1f} % | "
            f"{100 * found.silent:.1f} %" + " | –" * 12 + " |"
        )
    shown = (*(found.best[mixture] for mixture in SHOWN), found.hub_read)
    best = " | ".join(f"{width:.2f} | {100 * inside:.0f} % | {width / found.told:.2f}" for width, inside in shown)
    return (
        f"| {group} | {clamping} | {reading} | {found.number} | {100 * found.inside:.1f} % | "
        f"{100 * found.silent:.1f} % | {found.width:.2f} | {found.told:.2f} | {found.width / found.told:.2f} | {best} |"
    )


def main(seed: int = SEED, corners: int | None = None) -> None:
    """Run the study; its table is written anew after every part set, that of a trial only printed."""
    start = time.process_time()
    found: list[Asked] = []
    ratios: dict[str, list[np.ndarray]] = {name: [] for name in CLAMPINGS}
    text = ""
    for done, part_set in enumerate(GEOMETRIES, 1):
        case = geometry(part_set)
        kinds = dict.fromkeys(kind_of(group) for group in population.GROUPS)
        orders = {kind: seatings(case, kind, seed, corners) for kind in kinds}
        for name in CLAMPINGS:
            found += ask(case, name, orders, seed)
            ratios[name].append(falsely_high(case, orders["matched"], name, seed))
            print(f"{part_set}, {name}: {time.process_time() - start:.0f} s", file=sys.stderr, flush=True)
        joined = {name: np.concatenate(parts) for name, parts in ratios.items()}
        text = table(found, joined, list(GEOMETRIES[:done]), seed, time.process_time() - start, corners)
        if (seed, corners) == (SEED, None):
            Path(__file__).with_suffix(".md").write_text(text, encoding="utf-8")
    print(text)


if __name__ == "__main__":
    main(*map(int, sys.argv[1:3]))
