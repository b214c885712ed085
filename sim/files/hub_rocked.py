"""What was felt when the hub was rocked because of a table's turns, and what is then said of those turns no more.

Without play it was hand, dial or pen that made them part, and what agrees counts. With play none of them does.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from sim.files.reading_faults import AS_IT_STANDS, ENDED, NO_END, ROCK, ROCKED_FIRST, ReadingFault
from sim.files.readings_head import NO_PLAY

#: Behind turns that agree while nobody said what was felt.
ONCE_ROCKED = ", once the hub was rocked and has no play"
#: The same before mountings are read on.
ROCK_MOUNTS = f"{ROCKED_FIRST}, with play the bearing comes before any reading; without it "
#: In place of all that once it was rocked and has no play; how turns end that part all the same.
HOLD = ". Hold the dial fast, turn one way only, then "
STILL_NO_THREE = (
    ". Where still no three agree: another base and tip for the dial, nuts and spacers looked at, then the bearing "
    "judged under load as the vehicle maker says, though by hand it has no play (common practice, no source)"
)
ENDED_SO = "; by hand the hub has no play, and no more turns are asked"
SINCE = (
    (ONCE_ROCKED, ""), (ROCK_MOUNTS, ""), ("bearing play, a dial that moved", "a dial that moved"),
    (NO_END, STILL_NO_THREE), (ENDED, ENDED_SO), (ROCK, HOLD),
)  # fmt: skip
#: Of a dial that came back off its start, where a turn before it did: one that was touched does so once.
OFF_AGAIN = (
    "{name}: the dial came back {off:+.0f} µm off its start, as a turn before it did: bearing play, a dial that moved"
    f"{ROCK}read the turn again"
)


def at_the_second(moved: Sequence[ReadingFault | None]) -> list[ReadingFault | None]:
    """Have the hub rocked from the second turn of a table on whose dial came back off its start; else as it was said.

    Parameters
    ----------
    moved : sequence of ReadingFault or None
        Of each turn, first read first; None of one that came back.

    Notes
    -----
    A micrometer's turns tell of no bearing. By rule. [um]
    """
    said: list[ReadingFault | None] = []
    before = False
    for one in moved:
        dial = one is not None and not one.trace.startswith("thickness")
        again = one is not None and dial and before
        said.append(replace(one, text=OFF_AGAIN.format(name=one.trace, off=one.size_um)) if again and one else one)
        before = before or dial
    return said


def said_since(text: str, bearing: str) -> str:
    """Say of a table's turns what is left to say once the hub was rocked and has no play; else as it was said.

    Parameters
    ----------
    text : str
        A note, or what is to be read again.
    bearing : str
        What was felt, of `sim.files.readings_head.WORDS`; empty where nobody says so.

    Examples
    --------
    >>> said_since("mount 2: one of 3 turns is left out" + ONCE_ROCKED, "no play")
    'mount 2: one of 3 turns is left out'
    """
    for before, after in SINCE if bearing == NO_PLAY else ():
        text = text.replace(before, after)
    return text


def asked_since(faults: Iterable[ReadingFault], bearing: str) -> tuple[ReadingFault, ...]:
    """Ask for what is to be read again as `said_since` says it.

    Parameters
    ----------
    faults : iterable of ReadingFault
    bearing : str
        As there.
    """
    return tuple(replace(one, text=said_since(one.text, bearing)) for one in faults)


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
