"""Mounts that gave a slip away and stand no more, in words: left out, and first of all how one would fit the others."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from scenes.words import words
from sim.bench.read_otherwise import CHECK, GONE, SAT
from sim.bench.told_by_mountings import ToldApart

LEFT_OUT = " Mount {mount} gave a slip away and stands no more: it is left out, put on there again it is a new mount."
#: Of one that only may be written otherwise.
MAY_BE = f" Mount {{mount}} is left out: it is written otherwise, or sat otherwise there or the bearing throws; {SAT}."
ALL_LEFT_OUT = (
    " Mounts {mounts} gave slips away and stand no more: they are left out, put on there again each is a new mount."
)


def first(doubts: Sequence[str], stays: bool = False) -> str:
    """Say of turns that would fit the others written otherwise how, before all that is ordered; empty for none.

    Parameters
    ----------
    doubts : sequence of str
        Of `scenes.words.to_read_again.doubts`.
    stays : bool
        Whether the rotor is left on: nothing rests on what only may be written otherwise.

    Examples
    --------
    >>> first(["mounted, mount 2: begun one place off it would fit" + GONE, "mounted, mount 3: read again"])[:50]
    'Mounted, mount 2: begun one place off it would fit'
    """
    return "".join(f"{words.capital(text)}. " for text in doubts if text.endswith(GONE if stays else (GONE, CHECK)))


def stand_no_more(told: ToldApart, doubts: Sequence[str]) -> dict[str, str]:
    """Mounts that gave a slip away and stand no more, with what was said of them: nobody can read them again.

    Parameters
    ----------
    told : ToldApart
    doubts : sequence of str
        Of `doubts`.
    """
    used = {f"mounted, mount {mount}:" for one in told.states for mount in one.mounts}
    heads = {text: re.match(r"mounted, mount (\d+):", text) for text in doubts}
    return {head[1]: text for text, head in heads.items() if head is not None and head[0] not in used}


def stand_no_more_said(gone: Mapping[str, str]) -> str:
    """Say of mounts that gave a slip away and stand no more that they are left out, in one sentence; empty for none.

    Parameters
    ----------
    gone : mapping of str to str
        Of `stand_no_more`; what `first` says of one is said.

    Examples
    --------
    >>> stand_no_more_said({"2": ""})
    ' Mount 2 gave a slip away and stands no more: it is left out, put on there again it is a new mount.'
    >>> stand_no_more_said({"2": "", "3": "", "5": ""})
    ' Mounts 2, 3 and 5 gave slips away and stand no more: they are left out, put on there again each is a new mount.'
    """
    may_be = "".join(MAY_BE.format(mount=mount) for mount, text in gone.items() if text.endswith(CHECK))
    mounts = [mount for mount, text in gone.items() if not text.endswith((GONE, CHECK))]
    if len(mounts) < 2:
        return "".join(LEFT_OUT.format(mount=mount) for mount in mounts) + may_be
    return may_be + ALL_LEFT_OUT.format(mounts=f"{', '.join(mounts[:-1])} and {mounts[-1]}")
