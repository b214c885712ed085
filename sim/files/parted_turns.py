"""How turns that part are told on: a dial off its start, a turn with more than a slip, turns that end or go on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from scipy.special import chdtri

from sim import turn as ring
from sim.files.clean_turn import ROUGH_UM, reading_sd
from sim.files.reading_faults import AS_IT_STANDS, ReadingFault, Turn
from sim.files.rocking import ENDED, ENDED_SO, HOLD, NO_END, ROCK, STILL_NO_THREE, Rocking

#: So far off its start a dial that is touched seldom comes back. Judgement. [um]
FAR_UM = 20.0
#: Of a dial that came back so far off its start, beside slips of its turn, or where a turn before it did.
OFF_START = (
    "{name}: the dial came back {off:+.0f} µm off its start{before}: "
    "{may_be}a dial that moved{first}read the turn again"
)
AS_BEFORE = ", as a turn before it did"
#: So seldom what a slip leaves of a turn is as ragged by a rough hand. Judgement: of drawn turns of sound bearings with
#: one slip 7 in a hundred have the hub rocked, of those that 45 um of play make look so one in two.
TAIL = 0.05
#: Waves a turn that are no raggedness, and places beside them that say something.
WAVES, SPARE = 2, 3


def with_play(
    turns: Sequence[Turn], slips: Sequence[Sequence[ReadingFault]], moved: Sequence[ReadingFault | None],
    dial_um: float, rocking: Rocking,
) -> list[tuple[ReadingFault, ...]]:  # fmt: skip
    """Name the bearing among the reasons where a turn gives away more than one slip of the pen; else as it was said.

    Parameters
    ----------
    turns : sequence of Turn
        First read first.
    slips : sequence of sequence of ReadingFault
        What each gives away by its places.
    moved : sequence of ReadingFault or None
        What its dial does; None of one that came back.
    dial_um : float
        Division of the dial. [um]
    rocking : Rocking
        What is said of the bearing.

    Notes
    -----
    Of a dial that came back `FAR_UM` off its start, or off it as one before did; of several slips in one turn, of one
    behind such a dial, or beside places that are ragged too: chi-square (`TAIL`). To rock the hub takes a minute. A
    micrometer's turns tell of no bearing. By rule. [um]
    """
    said: list[tuple[ReadingFault, ...]] = []
    before = False
    for turn, places, off in zip(turns, slips, moved, strict=True):
        if turn.kind == "thickness":
            said.append((*places, *([] if off is None else [off])))
            continue
        if off is not None and (before or abs(off.size_um) >= FAR_UM or places):
            as_before = AS_BEFORE if before else ""
            text = OFF_START.format(
                name=off.trace, off=off.size_um, before=as_before, may_be=rocking.may_be, first=rocking.first
            )
            said.append((*places, replace(off, text=text)))
        elif places and (before or len(places) > 1 or _ragged_too(turn, places, turn.dial_um or dial_um)):
            said.append((*places[:-1], replace(places[-1], text=places[-1].text + rocking.several)))
        else:
            said.append((*places, *([] if off is None else [off])))
        before = before or off is not None
    return said


def _ragged_too(turn: Turn, slips: Sequence[ReadingFault], dial_um: float) -> bool:
    """Whether what no slip is named of leaves more beside its low waves than a rough hand does. Least squares. [um]."""
    sound = ~np.isin(turn.angle_deg, [angle for one in slips for angle in one.angle_deg])
    freedom = int(sound.sum()) - 1 - 2 * WAVES
    if freedom < SPARE:
        return False
    basis = ring.design_matrix(turn.angle_deg[sound], WAVES)
    shown = turn.shown_um[sound]
    rest = shown - basis @ np.linalg.lstsq(basis, shown, rcond=None)[0]
    return float((rest**2).sum()) / reading_sd(dial_um, ROUGH_UM) ** 2 > chdtri(freedom, TAIL)


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
