"""Measurements put to a forecast: draws weighted by them, and the case's unsettled values moved to where they point."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from sim.arrays import Floats
from sim.one_thread import one_thread
from sim.progress import Progress
from sim.wear.brake import Brake
from sim.wear.draws import ENOUGH_DRAWS, MODEL_DOUBT, MOST_DRAWS, Disc, Draws, Evidence, narrowed, spread
from sim.wear.ranges import drawn_for


@one_thread
def weigh_draws(
    disc: Disc, brake: Brake, evidence: Sequence[Evidence], count: int, seed: int, progress: Progress | None = None
) -> Draws:
    """Weight draws by what was measured; more are drawn where the measurements leave few.

    Only the distances of the measurements are driven, so the weights do not depend on how far the forecast goes and a
    forecast that is continued stays the same.

    Parameters
    ----------
    disc : Disc
    brake : Brake
        The case's own values, about which is drawn.
    evidence : sequence of Evidence
    count, seed : int
    progress : callable, optional

    Returns
    -------
    Draws
        At the distances of the measurements.

    Raises
    ------
    BadInput, Refused
        See ``sim.wear.draws.narrowed``.

    Notes
    -----
    Distances in km. Importance sampling with as many draws as the readings need; enough is judgement (`ENOUGH_DRAWS`).
    """
    where = [item.distance_km for item in evidence]
    distance = np.unique([0.0, *where])  # a reading on the new disc alone takes no step
    while True:
        found = narrowed(spread(disc, brake, distance, count, seed, progress), distance, evidence)
        if found.equivalent >= ENOUGH_DRAWS or count >= MOST_DRAWS:
            return found
        short = ENOUGH_DRAWS / found.equivalent
        count = min(MOST_DRAWS, count * 2 ** max(1, math.ceil(math.log2(short))))  # not by way of what falls short too


@one_thread
def moved(brake: Brake, weighed: Draws) -> Brake:
    """Move the unsettled values of a brake to the weighted middle of the draws.

    Parameters
    ----------
    brake : Brake
        About which was drawn.
    weighed : Draws

    Returns
    -------
    Brake
        Means of the logarithms for what is drawn on a logarithmic scale.

    Notes
    -----
    Each value in its own unit. Weighted means by definition, of logarithms where the range is one of ratios.
    """
    changed: dict[str, Any] = {}
    for column, item in enumerate(drawn_for(brake)):
        values = weighed.values[:, column]
        if item.ratio and values.min() > 0.0:
            changed[item.field] = float(np.exp(weighed.weight @ np.log(values)))
        else:
            changed[item.field] = float(weighed.weight @ values)
    return replace(brake, **changed)


def method(
    evidence: Sequence[Evidence], weighed: Draws, brake: Brake, curves: Mapping[str, tuple[Floats, Floats]]
) -> str:
    """Say what was measured, how it narrows the band, and what the forecast then gives in its place.

    Parameters
    ----------
    evidence : sequence of Evidence
    weighed : Draws
    brake : Brake
        As moved.
    curves : mapping of str to (ndarray, ndarray)
        Distances [km] and values of the forecast, for each kind of evidence.

    Notes
    -----
    What the words say stands in `sim.wear.draws.narrowed`; nothing but the forecast's curve is read off, by straight
    lines.

    Sources of the ranges stand in `sim.wear.ranges.RANGES`.
    """
    said = []
    for item in evidence:
        drag = item.kind == "drag_nm"
        what, unit = ("released drag", "N m") if drag else ("thickness variation", "µm")
        distance, given = curves[item.kind]
        text = f"{what} {item.value:g} {unit} at {item.distance_km:g} km, read to {item.uncertainty:g} {unit}"
        if item.distance_km <= distance[-1]:
            text += f" (the forecast now gives {np.interp(item.distance_km, distance, given):.2g})"
        said.append(text)
    values = {"holder_n_mm": "pad carrier stiffness {:.0f} N/mm", "outboard_share": "outboard share {:.2f}"}
    now = [values[field].format(getattr(brake, field)) for field in values]
    now += [f"clearance {1e3 * brake.clearance_mm:.0f} µm", f"rotor wear {1e3 * brake.disc_wear:.1e} mm3/(N m)"]
    return (
        f"narrowed by what was measured: {'; '.join(said)}. Method: each of {weighed.weight.size} draws weighs as much "
        f"as it explains the readings (Gaussian, their uncertainty and {100 * MODEL_DOUBT:.0f} % for the model); "
        f"together they are worth {weighed.equivalent:.0f} draws, and the unsettled values move to their middle: "
        f"{', '.join(now)}"
    )
