"""What cleaning changes of a corner, in sentences: runout as read and as driven, thickness variation, the limit."""

from __future__ import annotations

from typing import Any

from scenes.words import loose_nut, words
from scenes.words import road as road_words


def compared(dirty: Any, clean: Any) -> tuple[str, ...]:
    """Say what cleaning changes, in sentences: runout, thickness variation, the road until the limit."""
    face = dirty.case.gauge.face
    before, after = dirty.seat.lateral_runout_um[face], clean.seat.lateral_runout_um[face]
    sentences = [
        f"Dirty, the {words.FACE[face]} runs out {words.micrometres(before)}, {words.COMPUTED}; cleaned, "
        f"{words.micrometres(after)}. Nothing else was changed."
    ]
    roads = [run.as_driven for run in (dirty, clean)]
    if all(road is not None and road.seat is not None for road in roads):
        driven_um = [words.micrometres(road.seat.lateral_runout_um[face]) for road in roads]
        sentences.append(f"{words.capital(words.AS_DRIVEN)}, wheel on, it is {driven_um[0]} and {driven_um[1]}.")
    if dirty.forecast is None or clean.forecast is None:
        return tuple(sentences)
    worst, quiet = float(dirty.forecast.dtv_um.max()), float(clean.forecast.dtv_um.max())
    last = words.kilometres(float(dirty.forecast.distance_km[-1]))
    limit = words.limit_said(dirty.case, "dtv_um", dirty.case.limits.dtv_um)
    ends = [_after(run.forecast) for run in (dirty, clean)]
    if uneven := loose_nut.uneven(dirty.case):
        return (uneven, *sentences, loose_nut.ROAD)
    if nothing := road_words.counts_for_nothing(dirty):
        return (*sentences, road_words.NOTHING.format(beside=nothing))
    return (
        *sentences,
        f"Over {last} the thickness variation comes to {words.micrometres(worst)} at most: "
        f"{words.dtv_called(worst)}, on the dirty corner; on the cleaned one to {words.micrometres(quiet)}: "
        f"{words.dtv_called(quiet)}.",
        f"The limit, {limit}: dirty {ends[0]}, cleaned {ends[1]}.",
    )


def _after(forecast: Any) -> str:
    middle = road_words.middle_km(forecast)
    share = road_words.chance(forecast)
    if forecast.draws and road_words.even(forecast):
        return f"{words.AS_LIKELY_AS_NOT} reached ({share})"
    if middle is None:
        return f"not reached{f' (chance that it is: {share})' if forecast.draws else ''}"
    when = f"reached after about {words.kilometres(middle)}"
    return f"{when} (chance {share})" if forecast.draws else when
