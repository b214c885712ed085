"""Boxes and stops of a job card that the order of work has not: what is renewed, checked, decided, asked again."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scenes.words import (
    bare_face,
    card_finding,
    open_work,
    part_goes,
    to_new_table,
    uneven_rotor,
    what_leads,
    words,
)
from scenes.words.card_finding import ROTOR_GOES, hub_goes
from scenes.words.causes import read_now, where_now
from scenes.words.causes_do import ends_at_the_bearing, hub_open, may_be_cleaned, not_clean_yet
from scenes.words.causes_thickness import goes_uneven
from scenes.words.causes_work import (
    LEFT_ON,
    PLAY,
    RENEWED,
    hub_read_out,
    new_table,
)
from scenes.words.piece_of_work import Work
from sim.bench import bearing_asked
from sim.causes import names, one_act
from sim.corner.road_state import BOLTS, NUTS, STUDS, held_badly_by
from sim.parts.stuck_caliper import FREE_IT
from sim.parts.thickness import MEAN_OF

if TYPE_CHECKING:
    from sim.bench.bare_face import HubFace
    from sim.causes.answer import Finding
    from sim.parts.case import Case

ASK_AGAIN = "Stop: readings into the file, ask again. Caliper and wheel only when it says that the search ends."
#: After a new part: what it hides or cancelled nobody has read yet.
NEW_TABLE_STOP = to_new_table.stop(blank=", ____ µm")
#: Boxes of the card alone: what the act may order and the list of work, made for a corner that stays, has not.
HELD_BOX = {
    NUTS: "Stud, nut and the wheel's seat looked at ({why}); worn ones renewed.",
    BOLTS: "Wheel bolts and their thread in the hub looked at ({why}).",
    STUDS: "Stud and nut that were really pulled so, renewed ({why}).",
}
#: The wheel is off, or scale holds the rotor: whether it turns shows once all is back.
CALIPER_BOX = (
    f"Caliper, it sticks as given: {FREE_IT}; whether it is free once all is back together shows at the end. Hot "
    "parts: rotor cracks and blue, pads glaze."
)
TURNS_FREELY = "Wheel off the ground, brake released: it turns by hand; else the caliper is not free, nobody drives it."
PADS_BOX = "Pads, worn out as given: new, the vehicle maker's way, both sides of the axle."
PART_BOX = "The part: bore against spigot, part number, centring ring. A rotor of another car is not fitted."
BEARING_BOX = (
    "Bearing: within the vehicle maker's play, or renewed. What was read on it counts for nothing: read again."
)
STAMP_BOX = "Stamp read and written above. Thinnest place{least}, at or under it: STOP, the axle's rotors new{else_}."
#: The same of a rotor on a hub with play, behind the box of its bearing.
STAMP_WITH_PLAY = (
    "Stamp read and written above. Thinnest place{least}, at or under it: this rotor goes on no more, the axle's new "
    "ones only on hubs without play{else_}."
)
#: Of a rotor that goes by its runout or its unevenness: no cut is begun under a stamp that nobody read.
STAMP_BEFORE_A_CUT = (
    "Stamp read and written above: thinnest place, {least}, over it by more than its ±; else scrap, nothing is cut."
)
OVER_IT = "; over it that figure goes into the case file, ask again"
#: Of work that the stamp only allows: it goes on in one go, and the stop behind it asks again with both.
GO_ON = "; over it on at once, as below, that figure into the case file"
#: Where nothing but the stamp is left to decide: no runout keeps such a rotor on.
STOP_AT_STAMP = "Stop: the stamp decides{over_it}. At or under it nothing goes back on."
#: Where neither a dial nor a micrometer decides.
TURNS_BOX = (
    "{more} more on stud {stud}, the nuts slackened and tightened crosswise in stages before each, each under the next "
    "mount number: {blanks} µm."
)
LIMIT_BOX = (
    "Stop: {turns} turns and the vehicle maker's limit, ____ µm, into the file, ask again. Mean under that limit: "
    "left there. Over it nothing goes back on: {over_it}."
)
MEAN_BOX = (
    "Mean of {turns} turns {read:.0f} µm, vehicle maker's limit ____ µm, unwritten {limit:.0f} µm counts. Over it "
    "stop, nothing goes back on, no box below is worked: {over_it}."
)
#: Of a rotor that is left on by a runout under the limit that was told.
RUNOUT_CHECK = (
    "Runout {read:.0f} µm on stud {stud}. Over the vehicle maker's limit, ____ µm (unwritten {limit:.0f} µm counts): "
    "stop, nothing goes back on."
)
#: Of an end at the limit behind one cleaning (`scenes.words.mountings.CLEANED_ONCE`).
CLEANED_ONCE_BOX = (
    "Where less is wanted, before the checks: rotor off, hub face, spigot and seat cleaned once more, on the same stud "
    "read: ____ µm (next mount number, state cleaned again); stop, into the file, ask again."
)
BY_THE_FACE = "the bare hub face decides, against its own limit"
#: Where that face is to be read on, on either side of the runout's limit.
FACE_STOP = (
    "Stop: {turns} turns, the face and the vehicle maker's limit, ____ µm, into the file, ask again. Nothing goes back "
    f"on before that: {BY_THE_FACE}."
)
#: Of a bare face at or near its limit, where no other piece of the work reads it on.
FACE_BOX = (
    "Rotor off, the bare clean hub face read {more} with the finest dial: {blanks} µm, beside those that are in the "
    "file. Before that no part is bought, and this is not done."
)
OR_CUT = ", or cut where their maker allows"
UNEVEN_BOX = (
    "Thickness counted as over: the rotors go, below. Kept only where read finer first: varies by ____ ± ____ µm, "
    "vehicle maker's limit ____ µm; within it stop: that reading into the file, ask again."
)
#: Before a rotor is bought for its runout (`acts.SEAT_BY_EYE`).
SEAT_BOX = (
    "Straight edge, light behind: no scale on the rotor's seat or the hub face. Where there was some, a scraper or a "
    "stone takes it; back on the same stud, read, ask again: no rotor is bought before that."
)
RENEW_BOX = f"Both rotors of the axle: new{OR_CUT}; each hub clean. A new table begins."
NEW_BOX = "Both rotors of the axle: new; each hub clean. A new table begins."
HUB_AS_GIVEN_BOX = "Hub, over its limit as given: play checked; over it as read, too, hub or bearing renewed."
#: The next rotor covers it, and the new table asks for it.
NEW_FACE = f"hub or bearing renewed, then a new table: its bare face first, ____ µm{open_work.NONE_OVER_IT}"
HUB_BOX = (
    "Play, or the clean hub face, middle of its turns ____ µm, over the vehicle maker's limit, ____ µm{unwritten}: "
    f"{NEW_FACE} Else stop: into the file, ask again."
)
UNWRITTEN = " (unwritten {limit:.0f} µm counts)"
#: Readings that no stage of the list has.
ONE_TURN = {
    names.RADIAL: "Dial on the rim, the rotor not moved: one turn, ____ µm.",
    names.INBOARD: "Dial on the inboard face, the rotor not moved: one turn, ____ µm.",
    names.OTHER_SIDE: "The other side of the axle read alike: runout ____ µm, thickness varies by ____ µm.",
}
#: What a runout that is done does not tell: each is a check of its own.
CHECKS = "Checks before it stays on"
UNIT_CHECK = (
    "0.1 mm feeler under the tip, read off as each turn was: ____. Where that is no 0.1 mm in the unit of the "
    "readings: stop, they count for nothing. Written into the table, asked again."
)
#: Where turns show play, or one was left out: nothing below holds before that.
ROCKED_CHECK = (
    "Hub rocked at 12 and 6 o'clock, the bearing judged under load as the vehicle maker says; '# bearing: no play' or "
    "'# bearing: play' into the file's head. Play: stop, bearing first, nothing goes back on."
)
#: Where turns of the dial show play, whatever is felt by hand.
TIGHT_CHECK = "Bearing judged under load as the vehicle maker says: turns part as with play. Play: stop."
BEARING_CHECKS: dict[str, tuple[str, ...]] = {
    bearing_asked.NOTHING: (),
    bearing_asked.ROCK_IT: (PLAY,),
    bearing_asked.UNDER_LOAD: (TIGHT_CHECK,),
    bearing_asked.BOTH: (PLAY, TIGHT_CHECK),
}
ASK_FELT = (
    "Stop: what was felt into the file's head, ask again. Caliper and wheel only when it says that the search ends."
)
STAMP_CHECK = "Stamp read and written above, thinnest place over it by more than its ±; else the axle's rotors new."
CRACKS_CHECK = "No crack, as far as a fitted rotor shows: hat, stud holes, both faces, rim. Cracked is scrap."
HUB_CHECK = "Bare hub face: {read}. Over the vehicle maker's limit, ____ µm: hub and bearing first, then a new table."
HUB_UNREAD = (
    "Bare hub face not read: noted for the next time the rotor is off, before another one goes on. Over the vehicle "
    "maker's limit, ____ µm, hub and bearing first, then a new table."
)
HUB_COUNTS_BOX = (
    "Play checked; the clean hub face, at its limit, counted as over, unless the vehicle maker's limit, ____ µm, is "
    f"higher (then stop, ask again with it): {NEW_FACE}"
)
#: The same where its lead asks for no more reading of the old face.
HUB_READ_OUT_BOX = f"Play checked; the clean hub face, over its limit as read: {NEW_FACE}"
HUB_STAYS = (
    "Bare hub face: {read}, at its limit of {limit:.0f} µm: neither over nor under. Noted for the next time the rotor "
    "is off: read again before another one goes on."
)
#: Of a thickness that no reading so far tells from its limit.
THICKNESS_BOX = (
    "Thickness varies by {read}, too near its limit of {limit:g} µm: {again}, ____ ± ____ µm. Over it: stop, ask again."
)
THICKNESS_STAYS_BOX = (
    "Thickness varies by {read}, at its limit of {limit:g} µm: neither over nor under. Noted: read again at the next "
    "service, at once where the brake judders."
)


def one_turn(found: Finding) -> str:
    """Box for a reading that the list of work has not; empty where the act orders none."""
    return ONE_TURN.get(found.do.removeprefix(names.MEASURE), "")


def checks(found: Finding, thin: str, tried: bool = True) -> tuple[Work, ...]:
    """Boxes for what is to be checked beside a runout that is done, before the rotor stays on; else none.

    Parameters
    ----------
    found : Finding
    thin : str
        Of a rotor near its discard thickness.
    tried : bool
        Whether a feeler told the unit of the turn that stands.
    """
    if ends_at_the_bearing(found, thin):  # what follows it the answer with what was felt orders
        return (Work("check 0", ROCKED_CHECK),)
    ended = found.do in LEFT_ON and not not_clean_yet(found) and not asks_turns(found)
    if not ended or thin:  # so thin the stamp comes first, and stops
        return ()
    unit = () if tried else (UNIT_CHECK,)
    read = RUNOUT_CHECK.format(read=read_now(found), stud=where_now(found) + 1, limit=found.limit_um)
    by_runout = (read,) if found.do == names.LEAVE else ()  # at the limit `limit_boxes` has it
    rocked = one_act.rocked_first(found.told)
    bearing = (ROCKED_CHECK,) if rocked else BEARING_CHECKS[bearing_asked.still_to_check(found.told, stays=True)]
    unit = (*bearing, *unit)
    said = [*unit, *by_runout, STAMP_CHECK, CRACKS_CHECK, *(_face_box(found) or (_hub_check(found.hub_face),))]
    if found.varies is not None and found.varies.counts_neither:
        said.insert(
            len(unit) + len(by_runout) + 1,
            THICKNESS_STAYS_BOX.format(read=found.varies.figure, limit=found.varies.limit_um),
        )
    return tuple(Work(f"check {place}", what) for place, what in enumerate(said))


def _hub_check(face: HubFace | None) -> str:
    """Box for the bare hub face, with what it was read to run out and where."""
    if face is None:
        return HUB_UNREAD
    half = f"± {face.uncertainty_um:.0f} µm (k = 2)"
    read = f"read {face.runout_um:.0f} {half} at {words.with_unit(face.radius_mm, 'mm')}"
    return HUB_STAYS.format(read=read, limit=face.limit_um) if face.let_be else HUB_CHECK.format(read=read)


def asks_turns(found: Finding) -> bool:
    """Whether more turns are asked for, as no dial tells the runout from its limit by these."""
    return found.do == names.AT_LIMIT and found.turns < MEAN_OF


def reads_on(found: Finding) -> bool:
    """Whether a rotor that no dial tells from its limit, or its bare hub face, is read on before it may stay."""
    return found.do in LEFT_ON and (asks_turns(found) or hub_open(found))


def nuts_box(case: Case) -> str:
    """Box for what holds the wheel badly as driven, before all work; empty where nothing does."""
    what, why = held_badly_by(case)
    return HELD_BOX[what].format(why=why) if what else ""


def stated_boxes(case: Case, runout_um: float, face_read: bool = True) -> tuple[tuple[str, str], ...]:
    """Boxes for what the case states, each behind the piece of work that has to be done before it, in their order.

    Parameters
    ----------
    case : Case
    runout_um : float
        As read last. [um]
    face_read : bool
        Whether its bare hub face was read: then that counts, and not what the case says of it.
    """
    stated, held = what_leads.of_case(case, runout_um), held_badly_by(case)[0]
    told = (
        (nuts_box(case), "cracks" if held == STUDS else "mark", nuts_box(case)),
        (stated.caliper, "caliper off", CALIPER_BOX),
        (stated.pads, "caliper off", PADS_BOX),
        (stated.part, "cracks", PART_BOX),
        (stated.bearing, "cracks", BEARING_BOX),
        ("" if face_read else stated.hub, "hub face", HUB_AS_GIVEN_BOX),
        (stated.caliper, "pedal", TURNS_FREELY),
    )
    return tuple((behind, box) for said, behind, box in told if said)


def read_first(case: Case, runout_um: float, face_read: bool = True) -> bool:
    """Whether the case states what no reading counts before; arguments as of `stated_boxes`."""
    stated = what_leads.of_case(case, runout_um)
    return bool(stated.part or stated.bearing or (stated.hub and not face_read))


def stamp_box(found: Finding, thin: str, least: str, stated: bool) -> str:
    """Box for reading the stamp, before all work; empty where the rotor is not near its discard thickness.

    ``least``: the thinnest place that was read. ``stated``: whether the user's own case file holds the stamp already.
    """
    over_it = "" if stated else OVER_IT if found.do in (*LEFT_ON, names.RENEW) else GO_ON
    said = STAMP_WITH_PLAY if one_act.has_play(found.told) else STAMP_BOX
    return said.format(least=f", {least}" if least else "", else_=over_it) if thin else ""


def cut_box(found: Finding, thin: str, least: str, stated: bool) -> str:
    """Box for the stamp of a rotor that is renewed or cut, while it is on; arguments as of `stamp_box`."""
    goes = found.do in ROTOR_GOES and not (thin or stated)
    return STAMP_BEFORE_A_CUT.format(least=least) if goes and least else ""


def thickness_box(found: Finding, goes: bool = False) -> str:
    """Box for reading on a thickness too near its limit, where a part is renewed or the rotor left on; else empty.

    ``goes``: whether the rotor goes by its stamp, whatever it varies by.
    """
    again = uneven_rotor.still_to_read(found.varies)
    if goes or not again or found.varies is None or found.do not in (*RENEWED, *LEFT_ON):
        return ""
    return THICKNESS_BOX.format(read=found.varies.figure, limit=found.varies.limit_um, again=again)


def limit_boxes(found: Finding) -> tuple[str, ...]:
    """Boxes for what decides where neither dial nor micrometer does; none where they do."""
    if over := card_finding.box(found):
        return (over,)
    if found.do == names.UNEVEN_COUNTED:
        return (UNEVEN_BOX,)
    if found.do != names.AT_LIMIT or ends_at_the_bearing(found, ""):
        return ()
    still = bearing_asked.for_play(found.told)
    over_it = BY_THE_FACE if hub_open(found) else part_goes.over_it(found.told, found.hub_face, found.limit_um, still)
    if not asks_turns(found):
        mean = MEAN_BOX.format(turns=found.turns, read=read_now(found), limit=found.limit_um, over_it=over_it)
        return mean, *((CLEANED_ONCE_BOX,) if may_be_cleaned(found) else ())
    more = MEAN_OF - found.turns
    turns = TURNS_BOX.format(
        more=words.capital(words.counted(more, "turn")), stud=where_now(found) + 1, blanks=", ".join(["____"] * more)
    )
    face = _face_box(found)
    # Once the middle is known `checks` asks for it anyway.
    play = (PLAY,) if still and (face or "bearing" in over_it) else ()
    stop = FACE_STOP if face else LIMIT_BOX
    return *play, turns, *face, stop.format(turns=MEAN_OF, over_it=over_it)


def _face_box(found: Finding) -> tuple[str, ...]:
    """Box for reading on a bare hub face at or near its limit, where the lead orders that; else none."""
    face = found.hub_face
    if face is None or not hub_open(found):
        return ()
    blanks = ", ".join(["____"] * max(MEAN_OF - face.times, 1))
    return (FACE_BOX.format(more=bare_face.more_turns(face), blanks=blanks),)


def part_boxes(
    found: Finding, thin: str, no_cut: bool = False, stated: bool = False, given: bool = False
) -> tuple[str, ...]:
    """Boxes for what the act renews, before it is fitted: the hub's first, as no rotor is read on a hub that goes.

    Parameters
    ----------
    found : Finding
    thin : str
        Of a rotor near its discard thickness.
    no_cut : bool
        Whether no cut keeps what its maker allows.
    stated : bool
        Whether the user's own case file holds the stamp.
    given : bool
        Whether the rotor goes by what the case gives of it: nothing is read for that, and nothing cut.
    """
    face, hub, rotor = found.hub_face, hub_goes(found), found.do in ROTOR_GOES or open_work.names_the_rotor(found)
    counts = hub_read_out(found) and face is not None and (face.at_last or face.counted)
    unwritten = "" if face is None else UNWRITTEN.format(limit=face.limit_um)
    of_face = HUB_BOX.format(unwritten=unwritten)
    box = HUB_COUNTS_BOX if counts else HUB_READ_OUT_BOX if hub_read_out(found) else of_face
    of_hub = (box,) if hub else ()
    by_runout = (found.do == names.RENEW and not given) or (rotor and found.do not in ROTOR_GOES)
    by_stamp = bool(thin) and stated  # else its own stamp is read first, and the rotor then goes by its runout
    seat = (SEAT_BOX,) if by_runout and not (hub or by_stamp or goes_uneven(found)) else ()
    too = rotor or (hub and (goes_uneven(found) or by_stamp))
    uncut = bool(thin) or no_cut or given
    renewed = (*seat, NEW_BOX if uncut else RENEW_BOX) if too else ()
    return (*of_hub, *renewed, *open_work.part_boxes(found, "" if uncut else OR_CUT))


def ask_again(found: Finding, thin: str = "", stated: bool = False) -> str:
    """Say that the work stops at a reading or at the stamp, and what for; empty where the action is the last one."""
    if new_table(found):
        return NEW_TABLE_STOP
    if open_work.stays(found):
        return open_work.THEN_ROTOR if open_work.rotor_too(found) else open_work.NOTHING_FOUND
    if ends_at_the_bearing(found, thin):
        return ASK_FELT
    open_yet = found.do in LEFT_ON and hub_open(found) and not asks_turns(found)
    if found.do not in LEFT_ON or not_clean_yet(found) or open_yet:
        return ASK_AGAIN
    if thin and found.do in LEFT_ON:
        return STOP_AT_STAMP.format(over_it="" if stated else OVER_IT)
    return ""
