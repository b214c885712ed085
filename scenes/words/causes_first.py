"""What leads at a corner whose readings were weighed: nuts, scale or play first, then the order; by machine too."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from scenes.words import (
    acts,
    bare_face,
    causes_do,
    causes_read,
    causes_why,
    left_on,
    left_out,
    loose_nut,
    rocked,
    stamp,
    to_read_again,
    uneven_rotor,
    what_leads,
    words,
)
from scenes.words.causes import read_clean, read_now, stays_on
from scenes.words.causes_thickness import is_scrap, no_cut, thinnest, too_thin
from sim import answers
from sim.bench import bearing_asked
from sim.causes import names, one_act
from sim.corner.road_state import NUTS, badly_held, held_badly_by, renewed_too
from sim.parts import rotor_goes
from sim.parts.discard import is_stated

if TYPE_CHECKING:
    from sim.causes.answer import Finding
    from sim.causes.decision import Decision
    from sim.files.dial_readings import Readings
    from sim.parts.case import Case

#: A case's own faults are left out where causes are ranked; this one no reading clears.
SCALE_FIRST = (
    "The case has scale on the spigot, which is left out here: off with it, to the root, before anything counts and "
    "before any nut is touched but to take the rotor off. Never draw it home with the nuts; a rotor that they drew "
    "home over it is looked at for cracks first: cracked is scrap, whatever it reads. "
)
#: A nut that was loose on the road comes before every reading, and before every other act.
NUT_FIRST = (
    "The nuts first, nothing is done before that: {loose}. Look at stud, nut and the wheel's seat there: "
    "worn ones are renewed (common practice, no source){over}. Then all to the vehicle maker's torque, crosswise in "
    "stages, and read it again; what was read before counts for nothing."
)
#: Of studs past their proof load.
READ_SO = "Read it again then; what was read before orders and clears nothing."
#: No nut makes a micrometer's reading void.
STILL_THIN = " Its thickness counts all the same: {thin}."
#: Of a rotor on a hub with play, which goes first.
THEN_THIN = " Behind that its thickness counts all the same, and no rotor goes on a hub with play: {thin}."


def first_line(
    found: Finding, read: Readings, case: Case, why: tuple[str, ...] = (), mark: str = "", boxed: bool = False
) -> str:
    """Say what to do at this corner, first of all: a loose nut, then scale, then what the readings order.

    Parameters
    ----------
    found : Finding
    read : Readings
    case : Case
    why : tuple of str
        What is to be read again, where the readings themselves are in doubt.
    mark : str
        Of a footnote, behind the limit of the mounted runout.
    boxed : bool
        Whether a box of the same page has the hub rocked before the wheel goes on.
    """
    held, loose = held_badly_by(case)
    if held == NUTS and not case.spigot_scale:
        thin = too_thin(read, case)
        nuts = NUT_FIRST.format(loose=loose, over=renewed_too(case.studs))
        return nuts + rocked.play_too(found.told) + (STILL_THIN.format(thin=thin) if thin else "")
    if over := before_readings(found, case):
        thin = too_thin(read, case)
        return f"{over} {READ_SO}" + rocked.play_too(found.told) + (STILL_THIN.format(thin=thin) if thin else "")
    if one_act.has_play(found.told):
        thin = too_thin(read, case)
        return f"{rocked.HAS_PLAY}." + (THEN_THIN.format(thin=thin) if thin else "")
    limit = words.micrometres(case.limits.mounted_runout_um) + mark
    if found.rule_studs_turned not in (None, *case.studs.positions):
        found = replace(found, by_rule="")  # readings alone know no screw that allows some studs only
    thin, scrap = too_thin(read, case), is_scrap(read, case)
    above = what_leads.of_case(case, read_now(found)).but("scale", "nuts", "caliper", "pads", "rotor", *_read(found))
    goes = rotor_goes.as_given(case, level=read.thinnest_mm is None, varies=read.thickness is None)
    there = left_on.ABOVE_DECIDES if above.lines or goes else rocked.leave_there(found.told, boxed)
    because = causes_why.because(found, case)
    ordered = causes_do.action(found, why, because, limit, thin, is_stated(case), scrap, there)
    stamped = acts.uncut(_stamp_first(ordered, read, case), no_cut(read, case))
    too = (
        bare_face.hub_too(found.hub_face, bearing_asked.for_play(found.told))
        if found.do in (names.RENEW, names.UNEVEN_COUNTED) or scrap
        else ""
    )
    too += uneven_rotor.left_on(found.varies) if stays_on(found) else ""
    if causes_do.ends_at_the_bearing(found, thin):
        return ordered
    tried = left_on.once_tried(stamped, read)
    first = "" if found.do == names.SCATTERS else rocked.first(found.told)
    otherwise = left_out.first(to_read_again.doubts(read), stays_on(found))
    return otherwise + first + tried + too


def stated(found: Finding, read: Readings, case: Case) -> what_leads.Beside:
    """What the case states beside the first line; a hub or a thickness that was read leads by that alone."""
    told, name = what_leads.of_case(case, read_now(found)), _held(found, case)
    rotor = what_leads.rotor_first(case, level=read.thinnest_mm is None, varies=read.thickness is None)
    told = replace(told, rotor=rotor).but("scale", *_read(found))
    return told.around(name)


def _read(found: Finding) -> tuple[str, ...]:
    """What of `what_leads.Stated` was read and leads by that alone."""
    return () if found.hub_face is None else ("hub",)


def _held(found: Finding, case: Case) -> str:
    """Which of `what_leads.Stated` the first line is of; empty where the readings order it."""
    told = what_leads.of_case(case, read_now(found))
    told = replace(told, nuts=loose_nut.leads(case))  # bolts as held for reading alone are said beside it
    return told.but("scale", "bearing").held or told.held


def before_readings(found: Finding, case: Case) -> str:
    """What else a case states beside which no reading orders anything: scale, nuts, another part, a loose bearing."""
    name, told = _held(found, case), what_leads.of_case(case, read_now(found))
    if name in ("", "scale"):
        return scale_first(case)
    return scale_first(case) + (loose_nut.leads(case) if name == "nuts" else getattr(told, name))


def called(found: Finding, read: Readings, case: Case) -> str:
    """Name the act for an answer by machine, as `first_line` says it."""
    if case.spigot_scale:
        return names.CLEAN
    if badly_held(case):
        return names.RETORQUE
    if before_readings(found, case):  # another part, or a loose bearing: as `index` calls it
        return names.READ_AGAIN
    if one_act.has_play(found.told):
        return names.SCATTERS
    thin = too_thin(read, case)
    if thin and is_stated(case):
        return acts.RENEW_IT
    if thin and found.do not in (names.READ_AGAIN, names.HUB_AND_BEARING, names.SCATTERS):  # a part set's figure alone
        return acts.READ_THE_STAMP
    if causes_do.ends_at_the_bearing(found, thin):
        return names.SCATTERS
    goes = rotor_goes.as_given(case, level=read.thinnest_mm is None, varies=read.thickness is None)
    if goes and found.do in (names.LEAVE, names.AT_LIMIT, names.INDEX):  # as `index`: neither left on nor moved
        return acts.READ_THE_STAMP if rotor_goes.by_the_part_set(case, goes) else acts.RENEW_IT
    return found.do


def by_machine(decided: Decision) -> dict[str, Any]:
    """What an answer by machine orders, as the words do: the act that leads, the reading that it asks for, and where.

    Parameters
    ----------
    decided : Decision
        With a case.
    """
    assert decided.found is not None
    assert decided.case is not None
    do = called(decided.found, decided.read, decided.case)
    do = one_act.asks_turns(do, decided.found.thickness_close)
    do = (
        names.CLEAN if do == names.LEAVE and not read_clean(decided.found) else do
    )  # dirt can cancel what lies under it
    wanted, stud = causes_read.reads_next(decided.found, do)
    do = one_act.decided_by(do, wanted)
    led = one_act.as_led(decided.act, do, read_clean(decided.found), stud)
    return {"act": answers.plain(led), "do": do, "next": wanted, "next_studs_turned": stud}


def _stamp_first(ordered: str, read: Readings, case: Case) -> str:
    """Hold the thinnest place before a stamp that nobody typed where a rotor is left on or cut; else as ordered."""
    left = ordered.startswith(causes_do.RUNOUT_DONE)
    unread = read.thickness is not None and read.thinnest_mm is None
    if not (left or ordered.startswith((acts.RENEW, acts.UNEVEN_END))) or (is_stated(case) and not unread):
        return ordered
    least = thinnest(read, case)
    first = stamp.STAMP_UNREAD if unread else stamp.STAMP_FIRST.format(least=least) if least else ""
    return f"{first}Over it {words.small(ordered)}" if left and first else first + ordered


def scale_first(case: Case) -> str:
    """Say that the case's own scale on the spigot comes before every reading; empty where it has none."""
    return SCALE_FIRST if case.spigot_scale else ""
