"""How reading ends without an order, in words: what it runs out beside its limit, and why it is not left on there."""

from __future__ import annotations

from scenes.words import acts, words
from sim.parts.dial import ABOVE, TOO_CLOSE

#: Over its limit by more than dial and mountings are sure to.
OVER = (
    "These readings tell all that such readings can, and on clean faces it runs out {read} on stud {stud}, over the "
    "limit, {limit}: {play_then}{part}."
)
#: Within its uncertainty of the limit, where only what stays with the hub keeps it off.
NOT_BY_THAT = (
    "Not done: on clean faces it reads {middle} (k = 2) on stud {stud}, limit {limit}; {tells} the limit, and what "
    "keeps it from being left on is what stays with the hub: {play_then}{part}."
)
#: The middle of its stud is below the limit, and the mount that stands is not.
STANDS_OVER = (
    "These readings tell all that such readings can, and as it stands it reads {alone} on stud {stud}, over the limit, "
    "{limit}: {play_then}{part}."
)


def order(against: str, read_um: float, half_um: float, dial_um: float, alone_um: float) -> str:
    """Begin the end of reading with the figure that stands, to be filled in as the orders of `mountings` are.

    Parameters
    ----------
    against : str
        Where the runout stands beside its limit, of `sim.parts.dial.against_limit`.
    read_um, half_um, dial_um : float
        That runout, its uncertainty (k = 2) and the division of its dial. [um]
    alone_um : float
        Runout of the mount that stands by itself. [um TIR]

    Returns
    -------
    str
        With ``read``, ``stud``, ``limit``, ``play_then`` and ``part`` still to be filled in.
    """
    if against == ABOVE:
        return OVER
    if against == TOO_CLOSE:
        middle = f"{read_um:.0f} ± {half_um:.0f}{words.GAP}µm"
        return NOT_BY_THAT.replace("{middle}", middle).replace("{tells}", acts.not_told_from(dial_um))
    return STANDS_OVER.replace("{alone}", words.micrometres(alone_um))
