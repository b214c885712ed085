"""Turns of one thing that were misread at a place or two each: what stood there the other turns say, place by place."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import combinations

import numpy as np

from sim.arrays import Floats
from sim.files.trace import Trace

#: So many turns without a sound one among them are mended by each other, and so many others tell one place.
LEAST_TURNS, LEAST_AT_A_PLACE = 3, 2


def mended(
    turns: Sequence[Trace], parts: Sequence[Trace | None], parted: Callable[[Trace, Trace], bool]
) -> tuple[Trace, ...]:
    """Turns with what they were misread at put right by the others; none where these do not tell it.

    Parameters
    ----------
    turns : sequence of Trace
        Of one thing, each of which gives a slip away.
    parts : sequence of Trace or None
        Their places that are in no doubt; None where a whole turn is.
    parted : callable
        Whether two turns differ by more than they scatter.

    Notes
    -----
    Where what is sound of them agrees and at least `LEAST_AT_A_PLACE` others were sound at a place: the median of those
    there, each level with this turn at the places that both have. By rule. [um]
    """
    sound = [one for one in parts if one is not None]
    if len(turns) < LEAST_TURNS or len(sound) < len(turns):
        return ()
    places = turns[0].angle_deg
    if any(not np.array_equal(one.angle_deg, places) for one in turns):
        return ()
    if any(parted(one, other) for one, other in combinations(sound, 2)):
        return ()
    known = np.array([np.isin(places, one.angle_deg) for one in sound])
    if (known.sum(axis=0) < LEAST_AT_A_PLACE).any():  # of a place that a turn misread so many others tell
        return ()
    values = np.array([one.value_um for one in turns])
    return tuple(replace(one, value_um=_put_right(k, values, known)) for k, one in enumerate(turns))


def _put_right(k: int, values_um: Floats, known: np.ndarray) -> Floats:
    """One turn with its misread places as the others read them. [um]."""
    level = [float(np.mean((values_um[k] - other)[known[k] & known[j]])) for j, other in enumerate(values_um)]
    of_others = np.where(known, values_um + np.array(level)[:, None], np.nan)
    of_others[k] = np.nan
    right = values_um[k].copy()
    wrong = ~known[k]
    right[wrong] = np.nanmedian(of_others[:, wrong], axis=0)
    return right
