"""What the films of sweeps and of the road are told of: further seatings of the user's own corner, and their reels."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from scenes.film.film import Reel
    from sim.chain import Run
    from sim.parts.case import Case

SPECK, JUDDER, HOLE = "a speck at the hub", "from tap to judder", "which hole"
STORIES = (SPECK, JUDDER, HOLE)
OF_A_SEAT = (SPECK, HOLE)
"""Stories that need no road."""
READING_UM = 5.0
"""Half-width of a careful reading with a workshop dial, half a division; common practice, no source."""


def seen(case: Case) -> Run:
    """Seat a corner as a film needs it: with what stands off or scrapes on its spigot, without what stands beside.

    Raises
    ------
    BadInput, Refused
    """
    from sim import chain as runs
    from sim.corner.seated import seat_corner

    if case.spigot_scale or case.hub.spigot_fit is not None:
        return runs.compute(case, None, fields_too=False)
    return runs.Run(case, seat_corner(case, thorough=False).as_seat(), None, runs.versions())


def reel(run: Run, story: str, draft: bool) -> Reel[Any]:
    """Story of ``STORIES`` with what draws it.

    Raises
    ------
    Refused
        For a corner that it cannot be told of, naming a story that can.
    """
    tellers: dict[str, Callable[[Run, bool], Reel[Any]]] = {SPECK: _speck, HOLE: _hole, JUDDER: _judder}
    return tellers[story](run, draft)


def _speck(run: Run, draft: bool) -> Reel[Any]:
    from scenes.film import speck_film, speck_story

    told = speck_story.tell({name: seen(case) for name, case in speck_story.places(run.case).items()})
    return speck_film.reel(told, draft)


def _hole(run: Run, draft: bool) -> Reel[Any]:
    from scenes.film import hole_film, hole_story

    found = [seen(case) for case in hole_story.positions(run.case)]
    cleaned = [seen(case) for case in hole_story.positions(replace(run.case, debris=()))]
    best = cleaned[hole_story.holes(cleaned).best]
    return hole_film.reel(hole_story.tell(found, cleaned, _on_the_road(best.case)), draft)


def _on_the_road(case: Case) -> tuple[float, float, float] | None:
    """Least, likely and greatest runout of a corner as driven: the 80 % band of its unknown wheel. [um]."""
    from sim.corner import driven
    from sim.corner.seated import seat_corner

    found = driven.driven(seat_corner(case, thorough=False))
    if found.seat is None:
        return None
    low, high = driven.bounds_um(found, READING_UM)
    return low, found.seat.gauge_runout_um, high


def _judder(run: Run, draft: bool) -> Reel[Any]:
    from scenes.film import judder_film, judder_story

    return judder_film.reel(judder_story.tell(run), draft)
