"""One piece of work and one stage of it: what every list of work at a corner is made of."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from scenes.words.cautions import Caution


@dataclass(frozen=True)
class Work:
    """One piece of work: a key to find it by, what to do in one line, how, boxes to tick, keys of what it takes in.

    ``own``: what one corner asks for beside the order of work.
    """

    key: str
    what: str
    how: tuple[str, ...] = ()
    boxes: tuple[str, ...] = ()
    also: tuple[str, ...] = ()
    own: bool = False

    @property
    def keys(self) -> tuple[str, ...]:
        """Its own key, where it has one, and those of what it takes in."""
        return tuple(key for key in (self.key, *self.also) if key)


@dataclass(frozen=True)
class Stage:
    """One stage: its name, the work in order, the cautions that belong there."""

    name: str
    works: tuple[Work, ...]
    cautions: tuple[Caution, ...] = ()

    @property
    def boxes(self) -> tuple[str, ...]:
        """Boxes to tick at the end of the stage."""
        return tuple(box for work in self.works for box in work.boxes)


#: Work at caliper and pads, which the order of work at the rotor has not.
FREE_THE_CALIPER = "free the caliper"
NEW_PADS = "new pads"
AT_THE_BRAKE = (FREE_THE_CALIPER, NEW_PADS)
