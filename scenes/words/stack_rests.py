"""What a tolerance stack rests on: every figure of the population and of the levers, and where it comes from."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scenes.words import stack as said
from scenes.words import words
from sim.parts.dirt import DIRT
from sim.parts.keys import BY_TABLE
from sim.stack.population import role
from sim.units import unit_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from sim.stack.answer import Answer
    from sim.stack.distributions import Distribution
    from sim.stack.population import Dirt, Population, Varied
    from sim.stack.study import Lever, Study

Rows = list[tuple[str, str, str]]
NOBODY = "no source given: judgement"
WITH_ENDS = ("uniform", "triangular")  # their ends are among their figures
CRUSH = "its kind, not drawn"


def rests_on(found: Answer) -> Rows:
    """Rows of what the answer rests on: what, how, where the figures come from; texts of the file shortened."""
    study = found.result.study
    population = study.population
    rows = [
        *_asked(population),
        *map(_varied, population.spreads),
        *_torque(population),
        *(row for dirt in population.dirt for row in _dirt(dirt)),
        *_together(population),
        *_money(study),
        *(_lever(lever, study) for lever in study.levers),
    ]
    return [(words.clean(a, 60), words.clean(b, 240), words.clean(c, 300)) for a, b, c in rows]


def spread_text(spread: Distribution, unit: str = "") -> str:
    """Write a distribution in a few words, its cuts behind it."""
    text = f"{spread.told}{f' {unit}' if unit else ''}"
    if spread.kind not in WITH_ENDS and abs(spread.lowest) < float("inf"):
        text += f", from {spread.lowest:g}"
    if spread.kind not in WITH_ENDS and abs(spread.highest) < float("inf"):
        text += f", to {spread.highest:g}"
    return text


def _asked(population: Population) -> Iterator[tuple[str, str, str]]:
    yield (
        "limit",
        f"{words.micrometres(population.limit_um)}, {said.wanted_share(population)} within it",
        ("the file; the vehicle maker's value counts"),
    )
    base = f"{population.case.title}: what does not vary is the same on every corner"
    yield "base", base, "its own report (trueseat report) lists every figure with its source"


def _varied(one: Varied) -> tuple[str, str, str]:
    how = spread_text(one.spread, unit_of(one.name))
    if one.levels:
        how += f"; stood for by {one.levels} levels"
    elif role(one.key) == "road":
        how += "; on the road only"
    return one.key, how, one.source or NOBODY


def _torque(population: Population) -> Iterator[tuple[str, str, str]]:
    studs = population.case.studs
    each = (
        ("torque from nut to nut", population.stud, population.stud_source),
        ("torque, the tool (all nuts alike)", population.tool, population.tool_source),
    )
    for name, spread, source in each:
        if spread is not None:
            yield name, f"factor, as read and on the road: {spread_text(spread)}", source or NOBODY
    for key in ("torque_nm", "road_torque_nm", "preload_n", "nut_factor"):
        value = getattr(studs, key)
        if value is not None and population.of(f"studs.{key}") is None:
            known = BY_TABLE["studs"][key]
            values = value if isinstance(value, tuple) else (value,)
            figures = words.listed([f"{one:g}" for one in dict.fromkeys(values)])
            yield f"studs.{key}", f"{figures} {known.unit}".rstrip() + ", of the base", known.source


def _dirt(dirt: Dirt) -> Iterator[tuple[str, str, str]]:
    source = dirt.source or NOBODY
    shares = ", ".join(f"{count}: {said.rate(share)}" for count, share in enumerate(dirt.counts))
    yield f"{dirt.name}: patches", f"on the {dirt.on}, share of corners with {shares}; {dirt.shape}", source
    sizes = (("height", dirt.height_um, "µm"), ("width", dirt.width_mm, "mm"), ("arc", dirt.arc_deg, "°"))
    for name, spread, unit in sizes:
        yield f"{dirt.name}: {name}", spread_text(spread, unit), source
    place = "anywhere, by area" if dirt.radius_mm is None else f"at radius {spread_text(dirt.radius_mm, 'mm')}"
    yield f"{dirt.name}: place", f"{place}; all round, outside of the stud holes", source
    kinds = ", ".join(f"{kind} {said.rate(share)}" for kind, share in dirt.kinds if share > 0.0)
    yield f"{dirt.name}: kinds", kinds, source
    yield f"{dirt.name}: cleaning takes", f"{said.rate(dirt.cleaning_takes)} of the patches", source
    for kind, share in dirt.kinds:
        if share > 0.0 and kind in DIRT:
            yield f"{dirt.name}: {kind} crushes", f"{said.crushing(kind)}; {CRUSH}", DIRT[kind].source


def _together(population: Population) -> Iterator[tuple[str, str, str]]:
    for group in population.correlated:
        pairs = [
            f"{one} with {other} {group.matrix[i][k]:g}"
            for i, one in enumerate(group.keys)
            for k, other in enumerate(group.keys[:i])
        ]
        yield "go together", f"correlation of normal scores: {'; '.join(pairs)}", NOBODY


def _money(study: Study) -> Iterator[tuple[str, str, str]]:
    gauge = study.gauge
    how = f"steps of {words.micrometres(gauge.step_um)}, put on again {words.micrometres(gauge.mounting_sd_um)} (sd)"
    yield "dial that sorts", how, gauge.source or NOBODY
    if study.prices is not None:
        prices = study.prices
        each = f"{prices.claim:g} {prices.currency}, {prices.corners_per_car} such corners on a car"
        yield "price of a claim", each, prices.source or NOBODY


def _lever(lever: Lever, study: Study) -> tuple[str, str, str]:
    money = "" if study.prices is None else f" {study.prices.currency}"
    does = []
    if lever.key:
        ends = (("from", lever.lowest), ("to", lever.highest))
        unit = unit_of(lever.key.partition(".")[2])
        kept = " ".join(f"{word} {end:g}" for word, end in ends if end is not None)
        does.append(f"keeps {lever.key} {kept} {unit}".rstrip())
    spreads = (("nut to nut", lever.stud_sd), ("tool to tool", lever.tool_sd))
    does += [f"torque from {name}: sd {sd:g}" for name, sd in spreads if sd]
    does += [word for word, done in (("cleaned", lever.cleaned), ("indexed", lever.indexed)) if done]
    does.append(f"{lever.price_per_car:g}{money} a car")
    if lever.price_per_part_sorted_out is not None:
        does.append(f"{lever.price_per_part_sorted_out:g}{money} a part sorted out")
    return f"lever: {lever.name}", ", ".join(does), lever.source or NOBODY
