"""Whether what is to be read again of a table has its hub rocked first: turns that differ, mountings that part."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sim.bench.mountings import still_stand
from sim.bench.open_readings import open_readings
from sim.files.rocking import ROCKED_FIRST

if TYPE_CHECKING:
    from sim.bench.came_back import Returned
    from sim.bench.told_by_mountings import Apart, ToldApart
    from sim.files.dial_readings import Readings


def asks_rocking(told: ToldApart, read: Readings) -> bool:
    """Whether the hub is rocked before what is to be read again; not once somebody said what was felt. By rule.

    Parameters
    ----------
    told : ToldApart
    read : Readings
        The table that it was told from.
    """
    turns = any(ROCKED_FIRST in one.text for one in open_readings(read))
    no_one = any(one.contradict for one in still_stand(told.states))  # of several studs: no one hub and rotor
    return not told.bearing and (turns or no_one or parts_on_a_stud(told))


def none_counts(told: ToldApart) -> bool:
    """Whether three mountings of one stud or more part, most of them like no other: none of them counts by itself.

    By rule.

    Parameters
    ----------
    told : ToldApart
    """
    every = (pairs for one in still_stand(told.states) for pairs in by_stud(one))
    return any(len(pairs) > 1 and not all(pair.came_back for pair in pairs) for pairs in every)


def parts_on_a_stud(told: ToldApart) -> bool:
    """Whether mountings of one stud that can still be read again part. By definition.

    Parameters
    ----------
    told : ToldApart
    """
    return not all(pair.came_back for one in still_stand(told.states) for pair in one.returned)


def by_stud(state: Apart) -> list[list[Returned]]:
    """Mountings that came back to a stud, each beside the first one there, by definition.

    Parameters
    ----------
    state : Apart
    """
    found: dict[int, list[Returned]] = {}
    for pair in state.returned:
        found.setdefault(pair.mounts[0], []).append(pair)
    return list(found.values())
