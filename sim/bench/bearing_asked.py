"""What is asked of a bearing beside readings: checked for play, and before a wheel goes on rocked or judged."""

from __future__ import annotations

from typing import TYPE_CHECKING

from sim.files.readings_head import WITHOUT_PLAY

if TYPE_CHECKING:
    from sim.bench.told_by_mountings import ToldApart

#: What it needs: nothing more, the hub rocked, its bearing judged under load, or where it feels tight both.
NOTHING, ROCK_IT, UNDER_LOAD, BOTH = "", "rocked", "judged under load", "rocked, and judged under load"


def for_play(told: ToldApart) -> bool:
    """Whether the bearing is still to be checked for play: not once the table says that the hub was rocked without it.

    Parameters
    ----------
    told : ToldApart
    """
    return told.bearing not in WITHOUT_PLAY


def before_the_wheel(told: ToldApart) -> str:
    """Name what is asked of it before the wheel goes on a rotor that is left on: one of this module.

    By rule; common practice, no source.

    Turns that read alike show no play, and by hand it may feel tight: clean turns that are less alike than dial and
    hand make them have it judged under load. Nothing where the hub is rocked before all else, as turns were left out,
    nor where it was rocked and no turn shows play, or where the table says that under load it has none.

    Parameters
    ----------
    told : ToldApart
    """
    if told.states[-1].now.left_out:
        return NOTHING
    if told.bearing:
        return UNDER_LOAD if not for_play(told) and (told.tight or told.unlike is not None) else NOTHING
    return ROCK_IT if told.unlike is None else BOTH


def still_to_check(told: ToldApart, stays: bool = False) -> str:
    """Name what of the bearing is still to be checked by hand beside an order: one of this module.

    Parameters
    ----------
    told : ToldApart
    stays : bool
        Whether that order leaves the rotor on as it reads. By rule.
    """
    asked = before_the_wheel(told) if stays else NOTHING
    return asked or (ROCK_IT if for_play(told) else NOTHING)
