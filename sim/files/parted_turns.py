"""How turns that part are told on: a dial twice off its start, turns that end, turns that go on all the same."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from sim.files.reading_faults import AS_IT_STANDS, ReadingFault
from sim.files.rocking import ENDED, ENDED_SO, HOLD, NO_END, ROCK, STILL_NO_THREE, Rocking

#: Of a dial that came back off its start, where a turn before it did: one that was touched does so once.
OFF_AGAIN = (
    "{name}: the dial came back {off:+.0f} µm off its start, as a turn before it did: "
    "{may_be}a dial that moved{first}read the turn again"
)


def at_the_second(moved: Sequence[ReadingFault | None], rocking: Rocking) -> list[ReadingFault | None]:
    """Have the hub rocked from the second turn of a table on whose dial came back off its start; else as it was said.

    Parameters
    ----------
    moved : sequence of ReadingFault or None
        Of each turn, first read first; None of one that came back.
    rocking : Rocking
        What is said of the bearing.

    Notes
    -----
    A micrometer's turns tell of no bearing. By rule. [um]
    """
    said: list[ReadingFault | None] = []
    before = False
    for one in moved:
        dial = one is not None and not one.trace.startswith("thickness")
        again = one is not None and dial and before
        said.append(replace(one, text=_off_again(one, rocking)) if again and one else one)
        before = before or dial
    return said


def _off_again(one: ReadingFault, rocking: Rocking) -> str:
    return OFF_AGAIN.format(name=one.trace, off=one.size_um, may_be=rocking.may_be, first=rocking.first)


def ends(text: str) -> str:
    """Ask for no more turns of what was read so often that one more tells nothing.

    Parameters
    ----------
    text : str
        What is to be read again.
    """
    text = text.replace(NO_END, "").replace(STILL_NO_THREE, "")
    return text.replace(ROCK + AS_IT_STANDS, ENDED).replace(HOLD + AS_IT_STANDS, ENDED_SO)


def ends_not(text: str) -> str:
    """Ask for turns again where `ends` asked for none: of a mount that stands no more those of another settle it.

    Parameters
    ----------
    text : str
        What is to be read again.
    """
    return text.replace(ENDED, ROCK + AS_IT_STANDS).replace(ENDED_SO, HOLD + AS_IT_STANDS)
