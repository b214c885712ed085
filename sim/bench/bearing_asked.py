"""What is asked of a bearing beside readings: checked for play, and before a wheel goes on rocked or judged."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sim.files.readings_head import NO_PLAY

if TYPE_CHECKING:
    from sim.bench.mountings import ToldApart

NOTHING, ROCK_IT, UNDER_LOAD = "", "rocked", "judged under load"


def for_play(told: ToldApart) -> bool:
    """Whether the bearing is still to be checked for play: not once the table says that the hub was rocked without it.

    Parameters
    ----------
    told : ToldApart
    """
    return told.bearing != NO_PLAY


def before_the_wheel(told: ToldApart) -> str:
    """Name what is asked of it before the wheel goes on a rotor that is left on: one of this module.

    By rule; common practice, no source.

    Turns that read alike show no play, and by hand it may feel tight. Nothing where the hub is rocked before all else,
    as turns were left out, nor where it was rocked and no turn shows play.

    Parameters
    ----------
    told : ToldApart
    """
    if told.states[-1].now.left_out:
        return NOTHING
    return UNDER_LOAD if told.tight else NOTHING if told.bearing else ROCK_IT
