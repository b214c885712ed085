"""Where only a finer gauge tells on: it was asked for once, and what was read since is of the coarse one again."""

from __future__ import annotations

from sim.bench.bare_face import HubFace
from sim.parts.thickness import MEAN_OF, MOST_OF, Uneven

#: Turns of too coarse a gauge: the second was read though a finer one was asked for. Judgement, 2 .. 3.
ASKED_ONCE = 2

#: A mounted runout is read in divisions of 0.01 mm, by inch dials of half a thousandth; coarser ones round what they
#: show of a turn alike, and no middle of theirs tells a side of a limit that it is near. Judgement, 13 .. 20. [um]
WIDEST_DIVISION_UM = 15.0


def coarse_runout(read_um: float, limit_um: float, half_um: float, dial_um: float, turns: int) -> bool:
    """Whether the middle of enough turns of a coarse dial lies within its uncertainty of its limit: it tells no side.

    By rule.

    Parameters
    ----------
    read_um, limit_um, half_um, dial_um : float
        The middle, its limit, its uncertainty (k = 2) and the dial's division. [um]
    turns : int

    Examples
    --------
    >>> coarse_runout(40.0, 45.0, 11.0, 20.0, 3), coarse_runout(40.0, 45.0, 11.0, 10.0, 3)
    (True, False)
    """
    return turns >= MEAN_OF and dial_um > WIDEST_DIVISION_UM and abs(read_um - limit_um) <= half_um


def coarse_face(face: HubFace | None) -> bool:
    """Whether a bare face was read on by a dial whose division hides its limit: no more turns of that dial tell it.

    By rule.

    Parameters
    ----------
    face : HubFace or None
    """
    return face is not None and face.coarse and face.alike >= ASKED_ONCE


def coarse_thickness(varies: Uneven | None) -> bool:
    """Whether a thickness was read on too coarsely for its limit, or by a hand that scatters by more than it may.

    By rule.

    Parameters
    ----------
    varies : Uneven or None
    """
    if varies is None or varies.places_first:
        return False
    return (varies.coarse and varies.turns >= ASKED_ONCE) or (varies.shaky and varies.turns >= MOST_OF)
