"""An end at the limit whose middle counts as over it: the work that its lead orders then, as an act with boxes."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from typing import TYPE_CHECKING

from scenes.words import acts
from scenes.words.causes import read_clean, read_now
from scenes.words.causes_do import hub_open
from sim.bench.next_act import hub_counts_as_over
from sim.causes import names, one_act
from sim.causes.answer import Finding

if TYPE_CHECKING:
    from sim.bench.bare_face import HubFace

#: Before that work: what alone keeps such a rotor on.
BOX = (
    "Mean of {turns} turns {read:.0f} µm counts as over {limit:.0f} µm: the work below. Only where the vehicle maker's "
    "limit, ____ µm, is higher: stop, that limit into the case file, ask again."
)


@dataclass(frozen=True, eq=False)
class CountedOver(Finding):
    """A finding whose runout counts as over its limit by the middle of its turns; ``do`` is what follows."""


def followed(found: Finding) -> Finding:
    """Turn an end at the limit whose middle lies over it into the act that its lead orders; any other as it is.

    Parameters
    ----------
    found : Finding

    Notes
    -----
    By the rule of `scenes.words.mountings.over_it` and `sim.causes.one_act.read_over_it`.
    """
    over = acts.over_at_last(found.turns, read_now(found), found.limit_um)
    if found.do != names.AT_LIMIT or not (over and read_clean(found)):
        return found
    wanted = one_act.read_over_it(found.do, found.told, found.hub_face, found.turns, over)
    do = {names.CLEAN: names.CLEAN, names.BARE_HUB: names.MEASURE + names.BARE_HUB}.get(wanted or "", names.OPEN)
    if wanted is None and hub_counts_as_over(found.told, found.hub_face):
        do = names.HUB_AND_BEARING
    elif wanted is None and hub_open(found):  # before that no part is bought
        do = names.MEASURE + names.BARE_HUB
    told = {one.name: getattr(found, one.name) for one in fields(Finding)}
    return replace(CountedOver(**told), do=do)


def box(found: Finding) -> str:
    """Box before the work of such an end; empty of any other act."""
    if not isinstance(found, CountedOver):
        return ""
    return BOX.format(turns=found.turns, read=read_now(found), limit=found.limit_um)


def face_read_on(found: Finding) -> HubFace | None:
    """The bare hub face where it is read on with the rotor off for that work, as its lead asks too; else None."""
    return found.hub_face if isinstance(found, CountedOver) and hub_open(found) else None
