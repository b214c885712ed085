"""What to do next at one corner, in the order of work and in its words: for the screen and for page one."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from scenes.words import acts, given_nuts, spigot, steps, to_new_table, what_leads, worded_work, words, work_order
from scenes.words import road as road_words
from scenes.words.findings import bare_of, dtv, found, runout
from scenes.words.steps import Step
from scenes.words.what_leads import bearing_first, unused_state
from scenes.words.work_list import (
    WHEEL_ON_WHY,
    Asked,
    as_it_stands,
    back,
    do,
    held,
    hub_face,
    rotor_off_first,
)
from sim.bench import cut_on_car
from sim.bench.mountings import ONE_SCREW
from sim.bench.next_act import BARE_NUTS
from sim.bench.no_stud_passes import MARGIN_UM, no_stud_passes
from sim.corner.road_state import loose_as_read, loose_on_the_road, one_is_slack, past_proof, slack_nut, unfit
from sim.files.readings_rows import CLEAN_STATES
from sim.parts import rotor_goes
from sim.parts.dial import ABOVE, BELOW, TOO_CLOSE
from sim.parts.discard import is_slim, is_stated
from sim.parts.fastener import bolt_warnings, bolts_on_the_road, has_bolts
from sim.parts.spigot_room import uncentred
from sim.parts.stuck_caliper import stuck
from sim.parts.worn_pads import worn_out

if TYPE_CHECKING:
    from sim.corner.driven import BareHub
    from sim.parts.case import Case

UNREAD_WHY = "No rotor is left on whose thickness nobody read."
NONE_COUNTS_WHY = "Before that no reading counts."


def next_steps(run: Any) -> tuple[Step, ...]:
    """List what to do, in the order of work (`scenes.words.work_order`) and in its words.

    A clean corner below its limits keeps its rotor on, and a hub face over its limit comes before every stud position.
    What needs wheel, caliper or rotor off comes behind the work that takes it off.
    """
    asked = asked_of(run)
    if spigot.wrong(run.spigot):
        return _off_the_spigot(run, asked)
    if _stays_on(run):
        return left_on(run, asked)
    if _unread(run, asked):
        return _without_reading(run, asked)
    return _as_found(run, asked)


def asked_of(run: Any) -> Asked:
    """What this corner asks for beside the order of work."""
    case, rotor = run.case, _rotor(run)
    return replace(
        at_the_corner(case, run.reading, bool(bearing_first(run))),
        stamp=steps.RENEW_SLIM if steps.RENEW_SLIM in rotor else None,
        hub=_hub(run),
        rotor=tuple(step for step in rotor if step != steps.RENEW_SLIM),
    )


def at_the_corner(case: Case, reading: Any, bearing: bool) -> Asked:
    """What a case asks for at nuts, part, brake and bearing.

    Parameters
    ----------
    case : Case
    reading : Any
        A turn of the car, that bolts and spacers are not judged beside; None for none.
    bearing : bool
        Whether its bearing comes before every reading.
    """
    given = given_nuts.as_given(case.studs)
    nuts = tuple(steps.shown(step, given) for step in _what_holds(case, reading))
    stated = what_leads.of_case(case)
    brake = ((stated.caliper, steps.CALIPER_FIRST), (stated.pads, steps.PADS_TOO))
    pulled = steps.shown(steps.STUDS_FIRST, given)
    both = bool(nuts) and steps.STUDS_FIRST not in nuts and not has_bolts(case.studs)
    rotor_off = (
        (uncentred(case), steps.PART_FIRST),
        (bearing, steps.BEARING_FIRST),
        (both and past_proof(case.studs), steps.of_its_own_hub(pulled) if bearing else pulled),
    )
    return Asked(
        nuts,
        tuple(step for there, step in brake if there),
        tuple(step for there, step in rotor_off if there),
    )


def left_on(run: Any, asked: Asked) -> tuple[Step, ...]:
    """What is done at a corner that stays as it is; wheel and caliper come off for what is to be read or mended."""
    case, bare = run.case, bare_of(run)
    near = bare is not None and bare.state == TOO_CLOSE
    road_torque = (steps.ROAD_TORQUE,) if unfit(case.studs) else ()
    clamped_by = case.studs.clamped_by if run.reading is None else run.reading.clamped_by
    stays, service = leave_it_on(case, near)
    unread = _worn(run) is None and (run.reading is not None or stuck(case))  # drag wears it unevenly
    read = _thickness_known(run) and not unread
    thickness = () if read else ("thickness",)
    why = "" if read else UNREAD_WHY
    if held_as_read(run):
        off = as_it_stands(case, asked, *thickness, why=why)
        return (*off, steps.CHECKED, stays, back(case, off), *road_torque, service)
    if clamped_by.startswith(BARE_NUTS):
        asked = replace(asked, nuts=(_with_how(case, steps.SPACERS_FIRST),))
    elif not asked.brake and not thickness:
        return (*road_torque, stays, service)
    off = held(case, asked, "dial", "read" if asked.nuts else "as found", *thickness, why=why)
    stays = steps.STAYS_READ_NEAR_HUB if near else steps.STAYS_READ
    over = (do(case, "rotor off", "cracks", "clean", why=steps.DIRT_WHY), hub_face(case), *_new_reading(run, asked))
    return (*off, stays, *over, back(case, off), *road_torque, service)


def held_as_read(run: Any) -> bool:
    """Whether it is still held as it was read on clean faces, under its nuts: wheel and caliper are off."""
    return to_new_table.stands_as_read(run.case, run.reading)


def stands(run: Any) -> bool:
    """Whether it is still held as it was read, cleaned or not: nothing leads there again, and nothing is read twice."""
    return to_new_table.stands(run.case, run.reading)


def _unread(run: Any, asked: Asked) -> bool:
    """Whether nothing is held or read before its rotor is off: over scale, or where what holds it comes first."""
    first = bool(asked.rotor_off) or steps.STUDS_FIRST in asked.nuts
    return first or bool(run.case.spigot_scale) or _given_up(run, asked)


def _given_up(run: Any, asked: Asked) -> bool:
    """Whether the rotor goes by its thickness, given or read: it is not held or read, only renewed.

    One that is held still, as it was read clean, comes off as it stands.
    """
    by_its_stamp = asked.stamp is not None and _worn(run) is None
    given = any(step.keys == steps.GIVEN_UP for step in asked.rotor)
    return by_its_stamp or given or (bool(asked.rotor) and not stands(run))


def _without_reading(run: Any, asked: Asked) -> tuple[Step, ...]:
    """The work where the first reading is that of a clean seat, or of a new rotor."""
    if run.case.spigot_scale:
        why, off_why = WHEEL_ON_WHY, steps.SCALE_WHY
    elif _given_up(run, asked):
        why = off_why = steps.NONE_READ_WHY
    else:
        why, off_why = WHEEL_ON_WHY, NONE_COUNTS_WHY
    first = rotor_off_first(run.case, asked, why, off_why, measured=_measured(run, asked))
    return (*first, _new_reading(run, asked)[-1], back(run.case, first))


def _measured(run: Any, asked: Asked) -> bool:
    """Whether a micrometer is asked for: not of a rotor that was read to go."""
    asked_for = any(steps.UNLESS_EVEN in step.what for step in asked.rotor)
    return not _given_up(run, asked) or asked.stamp is not None or asked_for


def _new_reading(run: Any, asked: Asked, dialled: bool = True) -> tuple[Step, ...]:
    """Fitted and read, and what that reading orders where it is over its limit after all.

    ``dialled``: whether the dial stands at the rotor since an earlier reading.
    """
    stud = move_to(run, asked)
    told = (worded_work.moved(run.case, stud),) if stud else ()
    parts = (("fit", "tighten", "read"),) if dialled else (("fit", "tighten"), ("dial", "read"))
    read = tuple(do(run.case, *keys, told=told) for keys in parts)
    if stud:
        return *read, _rest(run, moved=False, hub_first=False, on_one=False)
    moved = _may_move(run, asked)
    rest = _rest(run, moved=moved, hub_first=asked.hub == steps.HUB_FIRST)
    none_passes = not moved and asked.hub not in steps.HUBS and no_stud_passes(run.case)
    why = steps.NO_STUD_WHY.format(margin=words.micrometres(MARGIN_UM)) if none_passes else ""
    return *read, replace(rest, why=why)


def _may_move(run: Any, asked: Asked) -> bool:
    """Whether a stud is tried where it reads over its limit: not where `index` or `causes` says that none passes."""
    if asked.hub == steps.HUB_READ_FIRST or len(run.case.studs.positions) < 2:
        return False
    if asked.rotor or asked.hub == steps.HUB_FIRST:
        return True  # another rotor, of which nothing is known, or a face that is read first
    if held_as_read(run) and getattr(run.reading, "move_to", None) == 0:
        return runout(run).state != ABOVE
    return not no_stud_passes(run.case)


def move_to(run: Any, asked: Asked) -> int | None:
    """Stud, from 1, to which readings of clean faces order the rotor moved at once; None where none is, or it goes."""
    stud = getattr(run.reading, "move_to", None)
    if not stud or stud - 1 not in run.case.studs.positions:
        return None
    return None if asked.hub in steps.HUBS or asked.rotor else int(stud)


def _as_found(run: Any, asked: Asked) -> tuple[Step, ...]:
    """The work at a rotor that is held and read before it comes off."""
    case, read, worn = run.case, runout(run), dtv(run)
    again, measured = _thickness_again(run), _worn(run) is not None
    uneven = worn is not None and (worn.state != "below" or worn.value >= words.DTV_BANDS[0][0])
    loosely, cleaned = _held_loosely(case, run.reading), getattr(run.reading, "state", "") in CLEAN_STATES
    anew = bool(loosely or asked.nuts)
    there = stands(run) and not anew
    turns = (("read",) if anew else ()) if cleaned else () if again or there else ("as found",)
    reading = turns if again or asked.rotor or measured else (*turns, "thickness")
    if measured and not (again or asked.rotor or asked.stamp or is_stated(case)):
        again = (Step((worded_work.against_stamp(case),)),)
    why = steps.THICKNESS_WHY if uneven else steps.AS_FOUND_WHY
    dialled = there or bool(turns)
    if there:
        listed = [*as_it_stands(case, asked, *reading, why=why), *again]
    else:
        dial = ("dial",) if turns else ()
        listed = [*held(case, asked, *dial, *reading, why=why, held_why=loosely), *again]
    if cleaned:
        listed += [steps.THREE_TURNS] if read.state == TOO_CLOSE else []
        listed.append(do(case, "rotor off", "cracks", why=steps.DIRT_WHY))
    else:
        listed.append(do(case, "rotor off", "cracks", "clean", why=steps.DIRT_WHY))
    hub = hub_face(case, dial_too=not dialled) if asked.hub is None else asked.hub
    stamp = () if asked.stamp is None else (asked.stamp,)
    return (*listed, hub, *stamp, *asked.rotor, *_new_reading(run, asked, dialled), back(case, listed))


def _thickness_again(run: Any) -> tuple[Step, ...]:
    """The thickness once more, where the readings do not tell it from its limit; none where they do, or it goes."""
    close = None if run.forecast is None else road_words.unsure_start(run.forecast, run.case.limits.dtv_um)
    if close is None or close.counts_over or close.counts_neither or _slim(run):
        return ()
    if close.shaky:
        return (steps.read_often(2),)
    return (steps.read_often(close.wanted_turns) if close.finest and not close.coarse else steps.MEASURE_AGAIN,)


def _hub(run: Any) -> Step | None:
    """What the bare hub face asks for; None where nothing of it is over or near its limit."""
    case, bare, read_bare = run.case, bare_of(run), getattr(run.reading, "bare_hub", None)
    if bare is not None and bare.state == ABOVE:
        return _with_how(case, steps.HUB_FIRST) if read_bare is None else steps.HUB_READ_FIRST
    if bare is not None and bare.state == TOO_CLOSE and read_bare is not None:
        return _hub_again(case, read_bare)
    return None


def _hub_again(case: Case, read: BareHub) -> Step:
    """How a bare face that no reading tells from its limit is read again: as found it was not clean."""
    if read.as_found:
        return do(case, "hub face", why=steps.HUB_WHY)
    return _with_how(case, steps.HUB_LOOK_AT if read.to_look_at else steps.HUB_READ_ON)


def _rest(run: Any, moved: bool, hub_first: bool, on_one: bool = True) -> Step:
    """What is done where it reads over its limit after all, whatever was computed today."""
    new = [step for step in _rotor(run) if step != steps.RENEW_SLIM]  # by its stamp it may stay
    stud = getattr(run.reading, "better_stud", None)
    return over_its_limit(
        run.case, *(("index",) if moved else ()), new=bool(new), stud=stud, hub_first=hub_first, on_one=on_one
    )


def over_its_limit(
    case: Case,
    *moved: str,
    new: bool = False,
    stud: int | None = None,
    hub_first: bool = False,
    on_one: bool = True,
) -> Step:
    """What is done where the last reading is over its limit; ``stud``: where several were read and it read least.

    ``hub_first``: whether the hub face, as given over its limit, was read before it; ``on_one``: whether it was read
    on one stud alone.
    """
    on_one = on_one and not moved and stud is None and len(case.studs.positions) > 1
    told = (worded_work.index(case, stud, hub_first), worded_work.the_rest(case, new, on_one, bool(moved)))
    return do(case, *moved, "the rest", told=told)


def _with_how(case: Case, step: Step) -> Step:
    """A step of its own in whose place the order of work has one, with how that is done."""
    how = work_order.work(case, step.keys[0]).how
    return steps.shown(step, tuple(line for line in how if line != work_order.HUB_OVER_IT))  # the step says it


def lead(run: Any) -> str:
    """Say in one line what the list of steps comes to: what a technician reads first."""
    listed, pads = next_steps(run), " The pads are worn out as given: renew them too." if worn_out(run.case) else ""
    return f"{_led_by(run, asked_of(run), listed)}{pads}"


def _then(asked: Asked, led: Step | None = None) -> str:
    """What else comes before a reading or a part, in its order, behind the line of the first; empty for nothing."""
    beside = (*asked.brake, *asked.rotor_off)
    named = (
        ("what holds the wheel", led is None and bool(asked.nuts)),
        ("bolts that were pulled past their proof load", steps.BOLTS_PULLED in asked.nuts[1:]),
        ("the part", steps.PART_FIRST in beside and led != steps.PART_FIRST),
        ("the caliper", steps.CALIPER_FIRST in beside),
        ("the bearing", steps.BEARING_FIRST in beside and led != steps.BEARING_FIRST),
        ("the hub face, over its limit", asked.hub in steps.HUBS),
        ("the rotor, which goes by its thickness", bool(asked.rotor)),
        ("the rotor, over which its stamp decides", asked.stamp is not None and not asked.rotor),
    )
    then = [name for name, there in named if there]
    return f" Then {words.listed(then)}." if then else ""


def _led_by(run: Any, asked: Asked, listed: tuple[Step, ...]) -> str:
    if spigot.wrong(run.spigot):
        return f"Take the rotor off, clean spigot and bore, look for cracks. Do not drive it so.{_then(asked)}"
    part = tuple(step for step in asked.rotor_off if step == steps.PART_FIRST)
    if first := (*asked.nuts, *part):
        said = steps.LEADS[first[0]]
        if said == steps.NUTS_SAID and _unread(run, asked):
            said = steps.NUTS_NOT_READ
        return said + _then(asked, first[0])
    if steps.CALIPER_FIRST in asked.brake:
        stays = set(steps.STAYS) & set(listed)
        rest = "Look at rotor and pads for heat." if stays else _led_behind(run, asked, listed)
        return f"Free the caliper first. {rest}"
    return _led_behind(run, asked, listed)


def _led_behind(run: Any, asked: Asked, listed: tuple[Step, ...]) -> str:
    """The line of the first, where neither nuts nor brake come before it."""
    if steps.BEARING_FIRST in asked.rotor_off:
        caliper = tuple(step for step in asked.brake if step != steps.CALIPER_FIRST)  # said before it
        return steps.LEADS[steps.BEARING_FIRST] + _then(replace(asked, brake=caliper), steps.BEARING_FIRST)
    if (why := _held_loosely(run.case, run.reading)) and not _given_up(run, asked):
        return f"{steps.READ_HELD} {why}"
    if asked.hub in steps.HUBS and (told := _rotor_said(listed)):
        return f"{told} Before a new one the hub face, over its limit: no rotor cures it."
    if told := _stays_said(listed) or _rotor_said(listed):
        return told
    if any(step.why == steps.MEASURE_AGAIN.why for step in listed):
        return "Measure the thickness again, then take the rotor off and clean hub face and rotor seat."
    if asked.hub in steps.HUBS:
        return "Take the rotor off, clean both faces and read the hub face again: over its limit, no rotor cures it."
    if stud := move_to(run, asked):
        return f"Rotor off, put the painted hole on stud {stud}, hold it and read it there."
    if steps.THREE_TURNS in listed:
        return "Nuts slackened and tightened anew until there are three turns: their middle counts."
    scale = "Rotor off, clean spigot, bore, hub face and rotor seat, fit by hand, read."
    first = "Rotor off" if stands(run) else "Read as found; rotor off"
    found = f"{first}, clean hub face and rotor seat, fit, read again."
    return scale if run.case.spigot_scale else found


def _stays_said(listed: tuple[Step, ...]) -> str:
    """The line of a rotor that stays on, at once or after something else; empty where it does not."""
    if not set(steps.STAYS) & set(listed):
        return ""
    if told := next((steps.LEADS[one] for one in listed if one in steps.LEADS), ""):
        return told
    if any(one.why == UNREAD_WHY for one in listed):
        return "Leave the rotor on, once it is read: runout below its limit, thickness over the stamp and even."
    return "Leave the rotor on."


def _rotor_said(listed: tuple[Step, ...]) -> str:
    """The line of a rotor that goes, by stamp or thickness; empty where it does not."""
    if steps.RENEW_SLIM in listed:
        return "Read its discard stamp: so near to it renew the rotor, on a clean hub."
    if steps.RENEW_BY_STAMP in listed:
        return "So near its discard thickness renew the rotor, on a clean hub."
    if any(step.why == steps.COUNTS_AS_OVER.why for step in listed):
        return "Its thickness counts as over the limit: rotor off, clean hub face, renew the rotor, fit, read."
    if any(step.why == steps.RENEW.why for step in listed):
        return "Its thickness is over the limit as read: rotor off, clean hub face, renew the rotor, fit, read."
    if any(step.keys == steps.GIVEN_UP for step in listed):
        return steps.GOES_AS_GIVEN
    return ""


def leave_it_on(case: Case, hub_near: bool = False) -> tuple[Step, Step]:
    """What is left to do at a corner that stays as it is, and what is read at the next service."""
    thickness = words.micrometres(case.limits.dtv_um)
    return (
        steps.LEAVE_NEAR_HUB if hub_near else steps.LEAVE_IT_ON,
        steps.own(
            "Read runout and thickness once more at the next service. At or under the discard thickness it is scrap; "
            f"uneven by more than {thickness}: renew it, or cut it where its maker allows.",
            "Scale grows back on a bare hub.",
        ),
    )


def _what_holds(case: Case, reading: Any) -> tuple[Step, ...]:
    """What nuts, studs or wheel bolts need, the first of it first; none where they hold.

    Of bolts each is another bolt's, or another fault of one; a stud that was pulled too hard is renewed behind its nut.
    """
    studs = case.studs
    loose, pulled = loose_on_the_road(studs), past_proof(studs)
    if has_bolts(studs):
        length = steps.BOLTS_FIRST if bolts_on_the_road(case) else steps.BOLTS_AS_READ
        told = (
            (
                loose or (slack_nut(studs) and not pulled),
                steps.BOLTS_LOOSE,
            ),  # beside one pulled too hard others seem so
            (bolts_on_the_road(case) or (reading is None and bolt_warnings(case)), length),
            (pulled, steps.BOLTS_PULLED),
        )
        return tuple(step for there, step in told if there)
    if loose:
        return (steps.LOOSE_ON_THE_ROAD,)
    slack = (steps.NUTS_FIRST,) if slack_nut(studs) and (not pulled or one_is_slack(studs)) else ()
    return (steps.STUDS_FIRST, *slack) if pulled else slack


def _held_loosely(case: Case, reading: Any) -> str:
    """Why what was read counts for nothing though no nut is loose: one screw held it, or nuts run up by hand."""
    if ONE_SCREW in (case.studs.clamped_by, getattr(reading, "clamped_by", "")):
        return steps.BY_SCREW_WHY
    return steps.BY_HAND_WHY if reading is None and loose_as_read(case.studs) and not slack_nut(case.studs) else ""


def _worn(run: Any) -> Any:
    """What was read of the thickness that a forecast starts from; None where nothing was."""
    return None if run.forecast is None else road_words.worn_start(run.forecast, run.case.limits.dtv_um)


def _thickness_known(run: Any) -> bool:
    """Whether somebody gave how thick the rotor is and when it is scrap: by reading, or in the case's own file."""
    given = run.case.where_from("rotor", "thickness_mm") == "the case file"
    return _worn(run) is not None or (given and is_stated(run.case))


def _slim(run: Any) -> bool:
    """Whether it is so near its discard thickness, as read or else as its file gives it, that no wear is left."""
    read = getattr(run.forecast, "worn_thinnest_mm", None)
    return is_slim(run.case, rotor_goes.given_mm(run.case) if read is None else read)


def _uncut(run: Any, step: Step) -> Step:
    """The step without its cut, where none keeps the least thickness that the maker allows."""
    worn = _worn(run) or road_words.read_over(run.forecast, run.case.limits.dtv_um)
    varies_um = 0.0 if worn is None else worn.value_um
    why = cut_on_car.no_cut(run.case, getattr(run.forecast, "worn_thinnest_mm", None), varies_um)
    return steps.worded(step, acts.uncut(step.what, why))


def _rotor(run: Any) -> list[Step]:
    """What is done with the rotor itself: by its stamp, its variation as read, then by what its file gives."""
    case, worn, slim = run.case, _worn(run), _slim(run)
    goes = road_words.rotor_as_given(run)
    over = None if run.forecast is None else road_words.read_over(run.forecast, case.limits.dtv_um)
    if slim and (over is not None or (worn is not None and worn.state == ABOVE)):
        return [steps.worded(steps.RENEW, steps.RENEW_BY_STAMP.what)]  # uneven it goes whatever its stamp
    if slim and worn is not None:
        return [steps.RENEW_BY_STAMP if is_stated(case) else steps.RENEW_SLIM]
    if over is not None:
        return [_uncut(run, steps.RENEW)]
    if worn is not None and road_words.counts_over(run.forecast, case.limits.dtv_um):
        return [_uncut(run, steps.COUNTS_AS_OVER)]
    if not goes:
        return []
    varies_um = case.rotor.own_thickness_variation_um
    if slim and varies_um <= case.limits.dtv_um and not is_stated(case):
        return [steps.RENEW_SLIM]  # the part set's figure condemns no rotor: its own stamp does
    no_cut = cut_on_car.no_cut(case, case.rotor.thickness_mm - varies_um / 2000.0, varies_um)  # given is the mean
    act = acts.RENEW_ONLY if slim else acts.uncut(acts.RENEW, no_cut)
    return [steps.own(f"{act}. {steps.UNLESS_EVEN}", f"{words.capital(goes)}.", *steps.GIVEN_UP)]


def _stays_on(run: Any) -> bool:
    """Whether nothing lies between the faces, every runout is below its limit and the road makes little of it."""
    if run.case.debris or run.case.spigot_scale:
        return False
    if getattr(run.reading, "state", "") not in ("", *CLEAN_STATES):
        return False  # below its limit as found nothing is promised: dirt may cancel what lies under it
    bare, looks = bare_of(run), getattr(getattr(run.reading, "bare_hub", None), "to_look_at", False)
    goes = _slim(run) or road_words.rotor_as_given(run)
    if (
        _what_holds(run.case, run.reading)
        or uncentred(run.case)
        or _held_loosely(run.case, run.reading)
        or bearing_first(run)
        or goes
    ):
        return False
    if bare is not None and bare.state != BELOW and (looks or bare.value > bare.limit):
        return False  # over it, if by less than one dial is sure to; or it is looked at first
    if run.forecast is not None and road_words.read_over(run.forecast, run.case.limits.dtv_um) is not None:
        return False
    if run.forecast is not None and road_words.outgrown(run.forecast) is not None:
        return False
    if unused_state(run) not in ("", BELOW):
        return False
    thickness = dtv(run)
    unsure = None if thickness is None else road_words.unsure_start(run.forecast, thickness.limit)
    if unsure is not None and not unsure.counts_neither:
        return False
    if stuck(run.case):
        thickness = None  # what its drag wears is the caliper's: it is freed, no face is cleaned for it
    worn = thickness is not None and (thickness.state == "above" or thickness.value >= words.DTV_BANDS[0][0])
    return not worn and all(one.state == "below" for one in found(run) if one.key != "dtv")


def _off_the_spigot(run: Any, asked: Asked) -> tuple[Step, ...]:
    """What to do with a rotor that is not home, or was drawn home over scale: off, clean, by hand, measure.

    No torque is told: a figure beside a nut is taken for an instruction.
    """
    never = f"{spigot.NOT_BY_NUTS} " if run.spigot["wedged"] else ""
    if run.spigot["home"] == "home":
        never = "The nuts drew it home: that is damage. "
    off_why = f"{never}{spigot.FATIGUE} No crack seen is no promise."
    wedge = f"A tenth of a millimetre of scale is enough to hold the bore. {words.CLEAN_METAL}"
    first = rotor_off_first(
        run.case, asked, "A bearing with play is the first thing to mend.", off_why, wedge, _measured(run, asked)
    )
    return (*first, _new_reading(run, asked)[-1], back(run.case, first))
