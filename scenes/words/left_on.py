"""What readings alone order, and what is tried before a rotor is left on by a turn: the feeler that tells its unit."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scenes.words import mountings, second_turn, to_read_again
from sim.files.readings_rows import FEELER

if TYPE_CHECKING:
    from collections.abc import Sequence

    from sim.causes.decision import Decision
    from sim.files.dial_readings import Readings, Trace

#: A turn of 120 µm read as 12 hundredths and typed as such shows by nothing else that it is over the limit.
THERE = "eave it there"
ONCE = f" once a 0.1 mm feeler under the tip has shown the unit (one more line of each turn, '{FEELER}')"
#: In its place under something else that leads: a hub over its limit as given, a part, a bearing.
ABOVE_DECIDES = "What leads here decides whether it stays"


def tried(read: Readings) -> bool:
    """Whether a feeler told the unit of a turn of the mount that stands, and of the bare hub face as it was read last.

    Either leaves a rotor on: a face of 34 µm typed as 3 hundredths is below every limit.
    """
    return all(_tried(read.of(kind)) for kind in ("mounted", "hub face"))


def _tried(turns: Sequence[Trace]) -> bool:
    last = [(one.corner, one.mount, one.state) for one in turns][-1:]
    there = [one for one in turns if [(one.corner, one.mount, one.state)] == last]
    return not there or any(one.feeler_um is not None for one in there)


def once_tried(said: str, read: Readings) -> str:
    """Leave a rotor on only once its dial was tried, where no turn of the mount that stands says that it was.

    The turn more that comes before that tries it too.

    Parameters
    ----------
    said : str
        What is ordered; it may leave a rotor on or not.
    read : Readings
    """
    said = second_turn.with_unit(said, _tried(read.of("mounted")))
    return said if tried(read) else said.replace(THERE, THERE + ONCE, 1)


def ordered(decided: Decision) -> str:
    """Say what a table of readings orders by itself, no case beside it."""
    read = decided.read
    return once_tried(mountings.lead(decided.told, decided.act, to_read_again.doubts(read)), read)
