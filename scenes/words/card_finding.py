"""A finding as its card is worked: an end at the limit that counts as over it, a rotor that goes by its stamp."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import TYPE_CHECKING

from scenes.words import acts, finer_gauge
from scenes.words.causes import read_clean, read_now
from scenes.words.causes_do import hub_open
from scenes.words.causes_thickness import goes_uneven
from sim.bench.finer_gauge import coarse_face, coarse_thickness
from sim.bench.which_share import hub_counts_as_over
from sim.causes import names, one_act
from sim.causes.answer import Finding
from sim.parts.dial import ABOVE

if TYPE_CHECKING:
    from sim.bench.bare_face import HubFace

#: What renews the rotor, whatever the hub is.
ROTOR_GOES = (names.RENEW, names.UNEVEN_COUNTED)
#: Before that work: what alone keeps such a rotor on.
BOX = (
    "Mean of {turns} turns {read:.0f} µm counts as over {limit:.0f} µm: the work below. Only where the vehicle maker's "
    "limit, ____ µm, is higher: stop, that limit into the case file, ask again."
)


@dataclass(frozen=True, eq=False)
class Ordered(Finding):
    """A finding whose act is what its card works by.

    Parameters
    ----------
    counts_over : bool
        Whether its runout counts as over the limit by the middle of its turns: its act is what follows.
    by_stamp : bool
        Whether its rotor goes by a stamp that the case states, whatever it runs out.
    finer : bool
        Whether its work is a finer gauge's, and ends there where nobody has one.
    """

    counts_over: bool = False
    by_stamp: bool = False
    finer: bool = False


def _as(found: Finding, do: str, counts_over: bool = False, by_stamp: bool = False, finer: bool = False) -> Ordered:
    told = {one.name: getattr(found, one.name) for one in fields(Finding)}
    return replace(Ordered(**told, counts_over=counts_over, by_stamp=by_stamp, finer=finer), do=do)


def scrap_by_stamp(found: Finding) -> Finding:
    """Renew the rotor of a finding by its stamp: no runout of it is read."""
    return _as(found, names.RENEW, by_stamp=True)


def goes_unread(found: Finding) -> bool:
    """Whether the rotor goes by its thickness, as uneven or by its stamp: no runout of it tells anything."""
    return goes_uneven(found) or (isinstance(found, Ordered) and found.by_stamp)


def followed(found: Finding) -> Finding:
    """Turn an end at the limit whose middle lies over it into the act that its lead orders; any other as it is.

    The end at a finer gauge is that gauge's reading; what a bare face near its limit decides is that face's.

    Parameters
    ----------
    found : Finding

    Notes
    -----
    By the rule of `scenes.words.part_goes.over_it` and `sim.causes.one_act.read_over_it`.
    """
    if found.do == names.GAUGE:
        thick = names.FINER_MICROMETER if coarse_thickness(found.varies) else names.FINER_DIAL
        gauge = names.BARE_HUB if coarse_face(found.hub_face) else thick
        return _as(found, names.MEASURE + gauge, finer=True)
    if found.do == names.LEAVE and hub_open(found):  # whether it stays its bare face decides
        return _as(found, names.MEASURE + names.BARE_HUB)
    over = acts.over_at_last(found.turns, read_now(found), found.limit_um)
    if found.do != names.AT_LIMIT or not (over and read_clean(found)):
        return found
    wanted = one_act.read_over_it(found.do, found.told, found.hub_face, found.turns, over)
    do = {names.CLEAN: names.CLEAN, names.BARE_HUB: names.MEASURE + names.BARE_HUB}.get(wanted or "", names.OPEN)
    if wanted is None and hub_counts_as_over(found.told, found.hub_face):
        do = names.HUB_AND_BEARING
    elif wanted is None and hub_open(found):  # before that no part is bought
        do = names.MEASURE + names.BARE_HUB
    return _as(found, do, counts_over=True)


def box(found: Finding) -> str:
    """Box before the work of such an end; empty of any other act."""
    if isinstance(found, Ordered) and found.finer:
        return finer_gauge.box(found.hub_face, found.varies)
    if not (isinstance(found, Ordered) and found.counts_over):
        return ""
    return BOX.format(turns=found.turns, read=read_now(found), limit=found.limit_um)


def hub_goes(found: Finding) -> bool:
    """Whether the hub goes, for itself or before the rotor that goes."""
    face = found.hub_face
    over = face is not None and face.state == ABOVE
    return found.do == names.HUB_AND_BEARING or (found.do in ROTOR_GOES and over)


def face_read_on(found: Finding) -> HubFace | None:
    """The bare hub face where it is read on with the rotor off for that work, as its lead asks too; else None."""
    counts = isinstance(found, Ordered) and found.counts_over
    face, counted = found.hub_face, (counts or found.do in one_act.MOVES) and hub_open(found)
    if face is None or face.read_out or face.as_found:
        return face if counted else None
    return face if counted or hub_goes(found) else None
