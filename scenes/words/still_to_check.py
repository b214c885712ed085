"""Which checks by hand stand beside an order: cracks, stamp, and bearing play unless the hub was rocked without it."""

from __future__ import annotations

from scenes.words.words import capital, listed
from sim.bench.bearing_asked import BOTH, NOTHING, ROCK_IT, UNDER_LOAD

PLAY, LOAD = "bearing play", "the bearing under load"
#: What of a bearing is still to be checked (`sim.bench.bearing_asked.still_to_check`), as it stands in a list.
BEARING: dict[str, tuple[str, ...]] = {NOTHING: (), ROCK_IT: (PLAY,), UNDER_LOAD: (LOAD,), BOTH: (PLAY, LOAD)}
#: An order, no finding: "bearing play, then the rotor" read as one.
CHECK_PLAY = "Check the bearing for play, then "


def in_front(asked: str) -> str:
    """Begin a list with what of the bearing is still to be checked: before all else.

    Parameters
    ----------
    asked : str
        Of `sim.bench.bearing_asked.still_to_check`.

    Examples
    --------
    >>> in_front(BOTH), in_front(NOTHING)
    ('bearing play, the bearing under load, ', '')
    """
    return "".join(f"{one}, " for one in BEARING[asked])


def where(play: bool, said: str) -> str:
    """Say a check for play in the middle of an order, where it is still to be made; else nothing.

    Parameters
    ----------
    play : bool
        Whether it is (`sim.bench.bearing_asked.for_play`).
    said : str
    """
    return said if play else ""


def first(play: bool, then: str, check: str = CHECK_PLAY) -> str:
    """Begin a sentence with that check, where it is still to be made, and with what comes then where it is not.

    Parameters
    ----------
    play : bool
        Whether it is (`sim.bench.bearing_asked.for_play`).
    then, check : str

    Examples
    --------
    >>> first(True, "the bare face"), first(False, "the bare face")
    ('Check the bearing for play, then the bare face', 'The bare face')
    """
    return check + then if play else capital(then)


def own(asked: str, *others: str) -> str:
    """Say that none of these checks is made by a dial on the mounted rotor, those of the bearing first.

    Parameters
    ----------
    asked : str
        Of `sim.bench.bearing_asked.still_to_check`.
    *others : str
        The others, cracks the last of them.

    Examples
    --------
    >>> own(ROCK_IT, "the stamp", "cracks"), own(NOTHING, "the stamp", "cracks")
    ('bearing play, the stamp and cracks are checks of their own', 'the stamp and cracks are checks of their own')
    """
    return f"{listed((*BEARING[asked], *others))} are checks of their own"
