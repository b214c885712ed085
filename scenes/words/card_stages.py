"""The stages of a job card: the order of work as far as an act asks for it, the card's own boxes each in its place."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from scenes.words import (
    acts,
    card_boxes,
    card_finding,
    causes_do,
    causes_first,
    causes_thickness,
    causes_work,
    held_to_read,
    left_on,
    read_again_work,
    to_new_table,
    worded_work,
    work_order,
)
from scenes.words.piece_of_work import Stage, Work
from scenes.words.work_order import stages
from sim.causes import names
from sim.causes.one_act import has_play
from sim.parts import rotor_goes
from sim.parts.discard import is_stated

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from sim.causes.answer import Finding
    from sim.files.dial_readings import Readings
    from sim.parts.case import Case

FIRST = "First"
#: Behind which piece a reading is taken that the list has not: the dial is set up there.
DIAL_IS_UP = ("dial", "flange play")


def ordered(found: Finding, readings: Readings, case: Case, thin: str) -> Finding:
    """The finding as its work is made, by what leads: a stamp or a thickness as given, scale, nuts, part or bearing.

    An end at the limit that counts as over it is the act that follows from it.

    Parameters
    ----------
    found : Finding
    readings : Readings
    case : Case
    thin : str
        Of a rotor near its discard thickness.
    """
    if causes_thickness.goes_by_stamp(found, thin, is_stated(case)):
        return card_finding.scrap_by_stamp(found)
    if causes_first.before_readings(found, case):  # what was read before it orders nothing
        return replace(found, do=names.CLEAN if case.spigot_scale else names.RETORQUE)
    goes = causes_first.called(found, readings, case) == acts.RENEW_IT and found.do != names.HUB_AND_BEARING
    return replace(found, do=names.RENEW) if goes else card_finding.followed(found)


def card_stages(found: Finding, readings: Readings, case: Case, thin: str, why: tuple[str, ...] = ()) -> list[Stage]:
    """Stages of the order of work that hold what is to be done, each with that only; it stops where it asks again.

    Parameters
    ----------
    found : Finding
        Of `ordered`.
    readings : Readings
    case : Case
    thin : str
        Of a rotor near its discard thickness.
    why : tuple of str
        What is to be read again, where the readings themselves are in doubt.
    """
    wanted = set(causes_work.card_keys(found, case, why))
    of_case = (case, causes_work.read_now(found), found.hub_face is not None)
    unread = card_boxes.read_first(*of_case)
    behind = _behind(found, readings, case, thin, wanted, why)
    first = (*_first(found, readings, case, thin, wanted, behind), *behind.get(FIRST, ()))
    kept = [Stage(FIRST, _works("first", first))] if first else []
    if not unread and (checks := card_boxes.checks(found, thin, left_on.tried(readings))):
        kept.append(Stage(card_boxes.CHECKS, checks))
    stop = card_boxes.ask_again(found, thin, is_stated(case)) or (card_boxes.ASK_AGAIN if unread else "")
    parts = _parts(found, readings, case, thin)
    for stage in stages(case):
        works = [
            one for work in stage.works if work.key in wanted for one in _placed(found, case, work, behind, wanted, why)
        ]
        if any(one.key == "fit" for one in works):
            works = [*_works("part", parts), *works]
        if stop and any(one.key == "caliper" for one in works):
            kept = kept or [Stage(FIRST, ())]
            kept[-1] = Stage(kept[-1].name, (*kept[-1].works, Work("ask again", stop)))
        name = causes_work.stage_now(found, stage.name, wanted)
        if works and kept and kept[-1].name == name:
            kept[-1] = Stage(name, (*kept[-1].works, *works))
        elif works:
            kept.append(Stage(name, tuple(works)))
    return kept


def _works(key: str, boxes: Iterable[str]) -> tuple[Work, ...]:
    return tuple(Work(f"{key} {place}", box) for place, box in enumerate(boxes))


def _placed(
    found: Finding,
    case: Case,
    work: Work,
    behind: Mapping[str, tuple[str, ...]],
    wanted: set[str],
    why: tuple[str, ...],
) -> tuple[Work, ...]:
    """A piece of the work as it is ordered here, and the boxes behind it."""
    now = causes_work.work_now(found, work.key, wanted, why) or work.what
    if work.key == "rotor off" and causes_work.never_held(wanted):
        now = worded_work.rotor_off(case, held=False).what
    if work.key == "fit" and not (case.spigot_scale or card_boxes.read_first(case, causes_work.read_now(found))):
        now += causes_work.goes_back(found, wanted, why)
    if work.key == "read" and causes_work.dial_unset(wanted):
        now = f"{work_order.work(case, 'dial').what} {now}"
    if case.spigot_scale:
        now = causes_work.OVER_SCALE_NOW.get(work.key, now)
    return (replace(work, what=now), *_works(f"behind {work.key}", behind.get(work.key, ())))


def _behind(
    found: Finding, readings: Readings, case: Case, thin: str, wanted: set[str], why: tuple[str, ...]
) -> dict[str, tuple[str, ...]]:
    """Boxes by the piece of work that they stand behind; under `FIRST` those whose piece was done already."""
    told = [("flange play", box) for box in _while_on(found, readings, case, thin)]
    told += list(card_boxes.stated_boxes(case, causes_work.read_now(found), found.hub_face is not None))
    if box := card_boxes.one_turn(found):
        told.append((next((key for key in DIAL_IS_UP if key in wanted), FIRST), box))
    if found.do == names.READ_AGAIN:
        asked = causes_do.reasons(found, why)
        stands = "as found" in read_again_work.keys(asked)
        if stands and "as found" not in wanted and "fit" in wanted:
            told.append(("flange play", read_again_work.box(asked, "as found")))
        read = "as found" if "as found" in wanted else "flange play" if "fit" in wanted else "read"
        told += [(read, box) for box in read_again_work.behind(asked)]
    if causes_work.new_table(found):
        told.append(("read", to_new_table.NEW_THICKNESS))
    placed: dict[str, tuple[str, ...]] = {}
    for key, box in told:
        at = key if key in wanted else FIRST
        placed[at] = (*placed.get(at, ()), box)
    return placed


def _first(
    found: Finding,
    readings: Readings,
    case: Case,
    thin: str,
    wanted: set[str],
    behind: Mapping[str, tuple[str, ...]],
) -> tuple[str, ...]:
    """Boxes before all work: how the car stands, and what is told before anything is touched."""
    stated, least = is_stated(case), causes_thickness.thinnest(readings, case)
    limits = card_boxes.limit_boxes(found)
    at_the_rotor = bool(wanted & {"flange play", "rotor off", "read"} or FIRST in behind)
    held = "lift" not in wanted and (at_the_rotor or card_boxes.reads_on(found))
    told = (
        held_to_read.as_read_last(case) if held else "",
        "" if has_play(found.told) else card_boxes.stamp_box(found, thin, least, stated),
        *limits,
    )
    return tuple(filter(None, told))


def _while_on(found: Finding, readings: Readings, case: Case, thin: str) -> tuple[str, ...]:
    """Boxes for what is read of a rotor while it is on, its hub rocked: stamp and thickness decide before it moves."""
    stated, least = is_stated(case), causes_thickness.thinnest(readings, case)
    at_the_hub = card_boxes.stamp_box(found, thin, least, stated) if has_play(found.told) else ""
    stamp = at_the_hub or card_boxes.cut_box(found, thin, least, stated)
    return tuple(filter(None, (stamp, card_boxes.thickness_box(found, goes=bool(thin) and stated))))


def _parts(found: Finding, readings: Readings, case: Case, thin: str) -> tuple[str, ...]:
    """Boxes for what is renewed."""
    given = bool(rotor_goes.as_given(case, level=readings.thinnest_mm is None, varies=readings.thickness is None))
    uncut = bool(causes_thickness.no_cut(readings, case))
    return card_boxes.part_boxes(found, thin, uncut, is_stated(case), given)
