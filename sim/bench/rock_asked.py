"""Whether what is to be read again of a table has its hub rocked first: turns that differ, mountings that part."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sim.bench.mountings import still_stand
from sim.bench.open_readings import open_readings
from sim.files.reading_faults import ROCKED_FIRST

if TYPE_CHECKING:
    from sim.bench.mountings import Apart, ToldApart
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
    return not told.bearing and (turns or any(_part(one) for one in still_stand(told.states)))


def _part(state: Apart) -> bool:
    """Whether three mountings of one stud part, or those of several studs fit no one hub and rotor."""
    firsts = [pair.mounts[0] for pair in state.returned]
    parted = {pair.mounts[0] for pair in state.returned if not pair.came_back}
    return state.contradict or any(firsts.count(first) > 1 for first in parted)
