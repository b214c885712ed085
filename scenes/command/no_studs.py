"""Whether `index` shows stud positions, on the screen, drawn and by machine: not on readings that count for nothing."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scenes.words import with_play, words
from sim.bench.cures import READ_AGAIN
from sim.causes.one_act import has_play

if TYPE_CHECKING:
    from sim.advice import Advice


def plays(advice: Advice) -> bool:
    """Whether the table says that its hub was rocked and has play."""
    return advice.decided is not None and has_play(advice.decided.told)


def read_again(advice: Advice) -> bool:
    """Whether readings are to be read again first, or nuts, bolts or a part come before every reading."""
    return bool(advice.cures) and advice.cures[0].name == READ_AGAIN


def goes(advice: Advice) -> str:
    """Say why the rotor goes by its thickness; empty where it stays, or where the stamp still decides."""
    return "" if advice.answer.get("stamp_decides", False) else str(advice.answer.get("rotor_goes", ""))


def why(advice: Advice) -> str:
    """Say why no stud is reckoned; empty where they are."""
    if plays(advice):
        return with_play.NO_ROAD
    return words.capital(advice.cures[0].why) if read_again(advice) else goes(advice)
