"""Which checks by hand stand beside an order: cracks, stamp, and bearing play unless the hub was rocked without it."""

from __future__ import annotations

from scenes.words.words import capital, listed

PLAY = "bearing play"


def where(play: bool, said: str) -> str:
    """Say a check for play in the middle of an order, where it is still to be made; else nothing.

    Parameters
    ----------
    play : bool
        Whether it is (`sim.bench.bearing_asked.for_play`).
    said : str
    """
    return said if play else ""


def first(play: bool, then: str, check: str = "Bearing play, then ") -> str:
    """Begin a sentence with that check, where it is still to be made, and with what comes then where it is not.

    Parameters
    ----------
    play : bool
        Whether it is (`sim.bench.bearing_asked.for_play`).
    then, check : str

    Examples
    --------
    >>> first(True, "the bare face"), first(False, "the bare face")
    ('Bearing play, then the bare face', 'The bare face')
    """
    return check + then if play else capital(then)


def own(play: bool, *others: str) -> str:
    """Say that none of these checks is made by a dial on the mounted rotor.

    Parameters
    ----------
    play : bool
        Whether it is (`sim.bench.bearing_asked.for_play`).
    *others : str
        The others, cracks the last of them.

    Examples
    --------
    >>> own(True, "the stamp", "cracks"), own(False, "the stamp", "cracks")
    ('the stamp, cracks and bearing play are checks of their own', 'the stamp and cracks are checks of their own')
    """
    return f"{listed((*others, *([PLAY] if play else [])))} are checks of their own"
