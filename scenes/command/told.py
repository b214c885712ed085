"""What the films of sweeps and of the road are told of: further seatings of the user's own corner, and their reels."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from sim import chain as runs
from sim.corner.seated import seat_corner

if TYPE_CHECKING:
    from scenes.film.film import Reel
    from sim.chain import Run
    from sim.parts.case import Case

SPECK = "a speck at the hub"
STORIES = (SPECK,)
OF_A_SEAT = (SPECK,)
"""Stories that need no road."""


def seen(case: Case) -> Run:
    """Seat a corner as a film needs it: with what stands off or scrapes on its spigot, without what stands beside.

    Raises
    ------
    BadInput, Refused
    """
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
    tellers: dict[str, Callable[[Run, bool], Reel[Any]]] = {SPECK: _speck}
    return tellers[story](run, draft)


def _speck(run: Run, draft: bool) -> Reel[Any]:
    from scenes.film import speck_film, speck_story

    told = speck_story.tell({name: seen(case) for name, case in speck_story.places(run.case).items()})
    return speck_film.reel(told, draft)
