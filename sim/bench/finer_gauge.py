"""Where only a finer gauge tells on: it was asked for once, and what was read since is of the coarse one again."""

from __future__ import annotations

from sim.bench.bare_face import HubFace
from sim.parts.thickness import MOST_OF, Uneven

#: Turns of too coarse a gauge: the second was read though a finer one was asked for. Judgement, 2 .. 3.
ASKED_ONCE = 2


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
