"""What is asked of a bearing before the wheel goes on a rotor that is left on: rocked, judged under load, nothing."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from sim.bench.mountings import ToldApart

NOTHING, ROCK_IT, UNDER_LOAD = "", "rocked", "judged under load"


def asked_of_the_bearing(told: ToldApart) -> str:
    """Name what is asked of it: one of this module. By rule; common practice, no source.

    Turns that read alike show no play, and by hand it may feel tight. Nothing where the hub is rocked before all else,
    as turns were left out, nor where it was rocked and no turn shows play.

    Parameters
    ----------
    told : ToldApart
    """
    if told.states[-1].now.left_out:
        return NOTHING
    return UNDER_LOAD if told.tight else NOTHING if told.bearing else ROCK_IT
