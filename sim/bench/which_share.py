"""Which part holds the runout, and whether what stays with the hub is its face: by the shares that are told."""

from __future__ import annotations

from collections.abc import Mapping

from sim.bench.bare_face import HubFace
from sim.bench.mountings import HUB_SIDE, ROTOR_SIDE
from sim.bench.told_by_mountings import ToldApart, Vector
from sim.files.readings_rows import CLEAN_STATES
from sim.parts.dial import TOO_CLOSE


def unexplained(told: ToldApart, most_um: float = 0.0) -> bool:
    """Whether more stays with the hub, cleaned twice, than its bare face explains. By what is told beyond its doubt.

    Parameters
    ----------
    told : ToldApart
    most_um : float
        So much may stay with it all the same: what the limit of its face is at the gauge. [um TIR]
    """
    if told.again is None or told.stayed is None or told.stayed_beyond is None:
        return False
    return told.stayed_beyond.told and told.stayed.runout_um > most_um


def hub_counts_as_over(told: ToldApart, face: HubFace | None) -> bool:
    """Whether a bare face within its uncertainty of its limit counts as over it where no stud reads under the runout's.

    Parameters
    ----------
    told : ToldApart
    face : HubFace or None

    Notes
    -----
    Not where the rotor has the larger share, nor over what that face does not explain. Common practice, no source.
    """
    near = face is not None and face.state == TOO_CLOSE and not (face.to_look_at or face.coarse)
    near &= told.states[-1].state in CLEAN_STATES
    return near and larger_share(told) != ROTOR_SIDE and not unexplained(told)


def larger_share(told: ToldApart) -> str:
    """Name the part with the larger share, hub or rotor; empty where the two differ by less than they are uncertain.

    Two humps that are told count with the part that they stay with or go with.

    Parameters
    ----------
    told : ToldApart

    Notes
    -----
    Of the last state; half-widths added, not squared: judgement. [um TIR]
    """
    last = told.states[-1]
    if 1 not in last.hub:
        return ""
    hub, rotor = shares(last.hub), shares(last.rotor)
    apart = sum(one.runout_um for one in rotor) - sum(one.runout_um for one in hub)
    if abs(apart) <= sum(one.half_um for one in (*hub, *rotor)):
        return ""
    return ROTOR_SIDE if apart > 0 else HUB_SIDE


def rotor_by_itself(told: ToldApart, limit_um: float) -> bool:
    """Whether what goes with the rotor is over the limit by itself, whatever stays with the hub; its half-width is off.

    Parameters
    ----------
    told : ToldApart
    limit_um : float
        Of the mounted runout. [um TIR]

    Notes
    -----
    Of the first order of the last state (80 %): on a true hub a rotor runs out by its own. By definition.
    """
    rotor = told.states[-1].rotor.get(1)
    return rotor is not None and rotor.runout_um - rotor.half_um > limit_um


def shares(of_part: Mapping[int, Vector]) -> list[Vector]:
    """One hump a turn of a part, and two where they are told. By definition.

    Parameters
    ----------
    of_part : mapping of int to Vector
        By order.
    """
    return [of_part[1], *(two for two in (of_part.get(2),) if two is not None and two.told)]


def may_be_dirt(told: ToldApart) -> bool:
    """Whether more stays with the hub on clean faces than cleaning took away, or than was read before it.

    And no bare face tells what that is. By rule; of what is told beyond its uncertainty alone.
    """
    if told.bare is not None or told.stayed is None or not told.stayed.told:
        return False
    return told.hid or told.taken_off is None or told.stayed.runout_um > told.taken_off.runout_um


def hub_may_be_over(told: ToldApart, most_um: float) -> bool:
    """Whether more stays with the hub on clean faces than its limit allows, and nobody read its bare face.

    What the rotor cancels on one stud the next rotor does not. By rule; of what is told beyond its uncertainty alone.

    Parameters
    ----------
    told : ToldApart
    most_um : float
        What the limit of the hub face is at the gauge. [um TIR]
    """
    if told.states[-1].state not in CLEAN_STATES or told.bare is not None or told.stayed is None:
        return False
    return told.stayed.told and told.stayed.runout_um > most_um
