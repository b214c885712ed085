"""Which part goes that runs out over its limit on clean faces, or what is read before one is named."""

from __future__ import annotations

from scenes.words import (
    acts,
    bare_face,
    stays_on_hub,
    still_to_check,
    words,
)
from scenes.words.hub_and_rotor import sizes
from sim.bench import which_share
from sim.bench.bare_face import HubFace
from sim.bench.foreseen import a_stud_if_over
from sim.bench.mountings import HUB_SIDE, ROTOR_SIDE
from sim.bench.told_by_mountings import Apart, ToldApart
from sim.parts.dial import BELOW

HUB_DECIDES = "Whether it stays its bare hub face decides, held against its own limit"
#: What the middle of turns tightened anew ends in, beside a limit that no dial tells it from.
ENDS = "under that limit leave it there; over it {over_it}"
OVER_AT_HUB = (
    "the bare hub face, at its own limit, counts as over too: {check}hub or bearing, as the "
    f"vehicle maker allows; {bare_face.NEW_HUB_BRIEFLY}"
)
ROTOR_BY_FACE = (
    "the rotor, renewed or cut as the vehicle maker allows, on a clean hub, both of the axle: the bare hub face is "
    "below its own limit; the shares by themselves are too alike to tell"
)
EITHER_PART = (
    "no part by these readings, the shares below are too alike: the bare hub face beside its own limit decides, hub or "
    "bearing, or the rotor renewed or cut"
)
SEAT_THEN = "clean hub face and rotor seat once more and read it again on the same stud, before a part is bought"
STUD_THEN = "another stud is read first, which one the answer then says, before a part is bought"


def ends(told: ToldApart, face: HubFace | None, limit_um: float, hub_open: bool, play: bool = True) -> str:
    """Say what the middle of the turns that are asked for ends in.

    Parameters
    ----------
    told : ToldApart
    face : HubFace or None
    limit_um : float
        Of the mounted runout. [um TIR]
    hub_open : bool
        Whether that face is to be read on whatever the middle is: then it decides, on either side of the limit.
    play : bool
        Whether the bearing is still to be checked for play (`sim.bench.bearing_asked.for_play`).
    """
    if hub_open:
        return words.small(HUB_DECIDES)
    return ENDS.format(over_it=over_it(told, face, limit_um, play))


def over_it(told: ToldApart, face: HubFace | None, limit_um: float, play: bool = True) -> str:
    """Say the one act that follows where it is over its limit after all, on clean faces.

    Parameters
    ----------
    told : ToldApart
    face : HubFace or None
        None where the bare hub face was not read.
    limit_um : float
        Of the mounted runout. [um TIR]
    play : bool
        As `ends` takes it.
    """
    check = still_to_check.where(play, "check the bearing for play, then ")
    if a_stud_if_over(told, limit_um):
        return STUD_THEN
    if face is None:
        return "read the bare hub face"
    if which_share.hub_counts_as_over(told, face):
        return (
            OVER_AT_HUB.format(check=check)
            if face.read_out
            else f"the bare hub face: {bare_face.read_again(face, play)}"
        )
    if told.again is None and which_share.larger_share(told) != HUB_SIDE:
        return SEAT_THEN
    return check + part(told, face)


def part(told: ToldApart, face: HubFace | None, limit_um: float | None = None) -> str:
    """Name the part with the larger share, with both, where they are told apart by more than they are uncertain.

    Else a bare hub face that explains what stays with the hub decides, held against its own limit. None is named over
    what that face does not explain, but a rotor that is over the limit by itself. [um TIR]

    Parameters
    ----------
    told : ToldApart
    face : HubFace or None
    limit_um : float or None
        Of the mounted runout, where it is over it.
    """
    last, side = told.states[-1], goes(told, face)
    if stays := stays_on_hub.stays_again(told):
        if limit_um is None or not which_share.rotor_by_itself(told, limit_um):
            return f"no part by these readings: {stays}"
        return stays_on_hub.rotor_by_itself(told, words.micrometres(limit_um))
    if not side:
        return EITHER_PART
    if not which_share.larger_share(told):
        return ROTOR_BY_FACE
    shares = _both(last)
    if side == ROTOR_SIDE:
        rotor = "the rotor, renewed or cut as the vehicle maker allows, on a clean hub, both of the axle"
        return f"{rotor}: {shares}; {acts.SEAT_BY_EYE}"
    return f"hub or bearing, as the vehicle maker allows: {shares}; no rotor cures a hub; {bare_face.NEW_HUB_BRIEFLY}"


def goes(told: ToldApart, face: HubFace | None) -> str:
    """Name the side on which the part lies that `part` names, hub or rotor; empty where the shares are too alike."""
    explains = told.stayed_beyond is not None and not told.stayed_beyond.told
    by_face = ROTOR_SIDE if explains and face is not None and face.state == BELOW else ""
    return which_share.larger_share(told) or by_face


def _both(last: Apart) -> str:
    rotor, hub = (sizes(which_share.shares(part)) for part in (last.rotor, last.hub))
    return f"{rotor} goes with the rotor, {hub} stays with the hub"


def shares(told: ToldApart) -> str:
    """Say both shares as they were read last, as a sentence; empty where they are not told apart."""
    return f" As read clean {_both(told.states[-1])}." if 1 in told.states[-1].hub else ""
