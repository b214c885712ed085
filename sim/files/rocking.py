"""What is said of a bearing behind turns that part, by what was felt when the hub was rocked: nothing yet, or no play.

Whoever writes what is to be read again is handed one of these, so that no word of it is taken out afterwards.
"""

from __future__ import annotations

from dataclasses import dataclass

from sim.files import readings_head

ROCKED_FIRST = "rock the hub first"
#: Said of all turns of a dial that part, once.
ROCK = f"; {ROCKED_FIRST}: with play the bearing comes before any reading. Hold the dial fast, turn one way only, then "
#: The same once it was rocked and has no play.
HOLD = ". Hold the dial fast, turn one way only, then "
#: How many turns end, no three of which agree.
NO_END = (
    ". Where the hub has no play and still no three agree: another base and tip for the dial, nuts and spacers looked "
    "at, then the bearing judged under load as the vehicle maker says (common practice, no source)"
)
STILL_NO_THREE = (
    ". Where still no three agree: another base and tip for the dial, nuts and spacers looked at, then the bearing "
    "judged under load as the vehicle maker says, though by hand it has no play (common practice, no source)"
)
#: In place of what is read next, once so many were read that one more tells nothing.
ENDED = f"; {ROCKED_FIRST}: with play the bearing comes before any reading, and no more turns are asked"
ENDED_SO = "; by hand the hub has no play, and no more turns are asked"


@dataclass(frozen=True)
class Rocking:
    """Words by what was felt.

    Parameters
    ----------
    may_be : str
        Before what else may have moved.
    first : str
        Before what is read again.
    no_end, ended : str
        Behind it after many turns; in place of it after so many that no more are asked.
    mounts : str
        Before mountings are read on.
    once : str
        Behind turns that agree.
    several : str
        Behind a slip of a turn that gives away more.
    """

    may_be: str
    first: str
    no_end: str
    ended: str
    mounts: str
    once: str
    several: str

    def of(self, said: str) -> str:
        """Say a reason with ``{may_be}`` and ``{first}`` in it."""
        return said.format(may_be=self.may_be, first=self.first)


NOT_YET = Rocking(
    may_be="bearing play, ",
    first=ROCK,
    no_end=NO_END,
    ended=ENDED,
    mounts=f"{ROCKED_FIRST}, with play the bearing comes before any reading; without it ",
    once=", once the hub was rocked and has no play",
    several=f"; bearing play makes it so too: {ROCKED_FIRST}, with play the bearing comes before any reading",
)
WITHOUT_PLAY = Rocking(may_be="", first=HOLD, no_end=STILL_NO_THREE, ended=ENDED_SO, mounts="", once="", several="")


def by_what_was_felt(bearing: str) -> Rocking:
    """Words about the bearing for a table. By rule.

    Without play it was hand, dial or pen that made turns part, and what agrees counts. With play none of them does,
    and nothing of this is read.

    Parameters
    ----------
    bearing : str
        What was felt, of `sim.files.readings_head.WORDS`; empty where nobody says so.
    """
    return WITHOUT_PLAY if bearing in readings_head.WITHOUT_PLAY else NOT_YET
