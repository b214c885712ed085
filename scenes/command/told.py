"""What the films of sweeps and of the road are told of: further seatings of the user's own corner, and their reels."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from scenes.film.film import Reel
    from sim.chain import Run

SPECK, JUDDER, HOLE = "a speck at the hub", "from tap to judder", "which hole"
STORIES = (SPECK, JUDDER, HOLE)
OF_A_SEAT = (SPECK, HOLE)
"""Stories that need no road."""
READING_UM = 5.0
"""Half-width of a careful reading with a workshop dial, half a division; common practice, no source."""


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
    from sim.chain import seated_alone

    others = sum(patch.height_um > 0.0 for patch in run.case.debris) - 1
    told = speck_story.tell({name: seated_alone(case) for name, case in speck_story.places(run.case).items()}, others)
    return speck_film.reel(told, draft)


def _hole(run: Run, draft: bool) -> Reel[Any]:
    from scenes.film import hole_film, hole_story
    from sim.chain import seated_alone
    from sim.corner.driven import road_span_um

    found = [seated_alone(case) for case in hole_story.positions(run.case)]
    cleaned = [seated_alone(case) for case in hole_story.positions(replace(run.case, debris=()))]
    best = cleaned[hole_story.holes(cleaned).best]
    return hole_film.reel(hole_story.tell(found, cleaned, road_span_um(best.case, READING_UM)), draft)


def _judder(run: Run, draft: bool) -> Reel[Any]:
    from scenes.film import judder_film, judder_story

    return judder_film.reel(judder_story.tell(run), draft)
