"""Which pieces of the order of work the act of a weighed finding is made of, and the card's own boxes and stops."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scenes.words import acts, mountings, what_leads, words, work_order
from scenes.words.causes import read_clean, read_now, where_now
from scenes.words.causes_do import back_on, goes_uneven, hub_open, looks, not_clean_yet, stud_to_read
from scenes.words.work_order import Work
from sim.causes import names
from sim.corner.road_state import BOLTS, NUTS, STUDS, held_badly_by
from sim.parts.dial import ABOVE
from sim.parts.stuck_caliper import FREE_IT, UNTIL
from sim.parts.thickness import MEAN_OF

if TYPE_CHECKING:
    from collections.abc import Iterable

    from sim.bench.bare_face import HubFace
    from sim.causes.answer import Finding
    from sim.parts.case import Case

#: Pieces of the work where the action names the stud, and where the work stops.
INDEX_NOW = "Painted hole on stud {stud}, same torque; read again."
FIT_NOW = "Refit with the painted hole on stud {stud}, home by hand, faces as they are."
ASK_AGAIN = "Stop: readings into the file, ask again. Caliper and wheel only when it says that the search ends."
#: After a new part: what it hides or cancelled nobody has read yet.
NEW_TABLE_STOP = (
    "Stop: bare face, runout and thickness into a new table, ask again. Runout over the vehicle maker's limit, ____ "
    "µm: nothing goes back on. Caliper and wheel only when it says that the search ends."
)
#: Boxes of the card alone: what the act may order and the list of work, made for a corner that stays, has not.
HELD_BOX = {
    NUTS: "Stud, nut and the wheel's seat looked at ({why}); worn ones renewed.",
    BOLTS: "Wheel bolts and their thread in the hub looked at ({why}).",
    STUDS: "Stud and nut that were really pulled so, renewed ({why}).",
}
CALIPER_BOX = f"Caliper, it sticks as given: {FREE_IT}, {UNTIL}. Hot parts: rotor cracks and blue, pads glaze."
#: The same where scale holds the rotor: no wheel is tightened over it to see whether it turns.
CALIPER_OVER_SCALE_BOX = (
    f"Caliper, it sticks as given: {FREE_IT}; free once all is back together and {UNTIL.removeprefix('until ')}. Hot "
    "parts: rotor cracks and blue, pads glaze."
)
PADS_BOX = "Pads, worn out as given: new, the vehicle maker's way, both sides of the axle."
#: What a bearing or hub that leads asks for, where the rest of the work reads nothing.
READ_SO_BOX = (
    "Rotor home by hand, held as for every reading (spacers, crosswise in stages, the maker's torque), dial set, hub "
    "rocked without play: runout read on stud {stud}, two turns, caliper still off."
)
PART_BOX = "The part: bore against spigot, part number, centring ring. A rotor of another car is not fitted."
BEARING_BOX = (
    "Bearing: within the vehicle maker's play, or renewed. What was read on it counts for nothing: read again."
)
STAMP_BOX = "Stamp read and written above. Thinnest place{least}, at or under it: STOP, the axle's rotors new{else_}."
OVER_IT = "; over it that figure goes into the case file, ask again"
GO_ON = "; over it that figure goes into the case file, and on"
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
    "Mean of {turns} turns {read:.0f} µm, vehicle maker's limit ____ µm. Over it stop, nothing goes back on: {over_it}."
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
HUB_AS_GIVEN_BOX = (
    "Hub, over its limit as given: play checked, the clean hub face read bare; over it, hub or bearing renewed."
)
#: The next rotor covers it, and the new table asks for it.
NEW_FACE = "hub or bearing renewed, then a new table: its bare face first, ____ µm, before a rotor covers it."
HUB_BOX = f"Play, or the clean hub face over the maker's limit: {NEW_FACE}"
#: What the new table wants of the rotor that is on, new or not.
NEW_THICKNESS = f"Thickness of the rotor that is on, by micrometer at {work_order.PLACES} places."
#: In place of all that leads to a rotor held for reading: it was cleaned, fitted and read so already.
AS_READ_LAST = (
    "As read last: car on stands, wheel off, caliper hung up, rotor marked and held, dial set. Was it on its wheels "
    "since: the fitting sheet as far as that first."
)
PLAY = "Hub rocked at 12 and 6 o'clock: no bearing play."
#: What a runout that is done does not tell: each is a check of its own.
CHECKS = "Checks before it stays on"
UNIT_CHECK = (
    "0.1 mm feeler under the tip, read off as each turn was: ____. Where that is no 0.1 mm in the unit of the "
    "readings: stop, they count for nothing. Written into the table, asked again."
)
STAMP_CHECK = "Stamp read and written above, thinnest place over it by more than its ±; else the axle's rotors new."
CRACKS_CHECK = "No crack, as far as a fitted rotor shows: hat, stud holes, both faces, rim. Cracked is scrap."
HUB_CHECK = "Bare hub face: {read}. Over the vehicle maker's limit, ____ µm: hub and bearing first, then a new table."
HUB_COUNTS_BOX = f"Play checked; the clean hub face, at its limit, counted as over: {NEW_FACE}"
#: The same where its lead asks for no more reading of the old face.
HUB_READ_OUT_BOX = f"Play checked; the clean hub face, over its limit as read: {NEW_FACE}"
HUB_STAYS = (
    "Bare hub face: {read}, at its limit of {limit:.0f} µm: neither over nor under. Noted for the next time the rotor "
    "is off: read again before another one goes on."
)
#: Of a thickness that no reading so far tells from its limit.
THICKNESS_BOX = (
    "Thickness varies by {read}, too near its limit of {limit:g} µm: {again}, ____ ± ____ µm. Over it the rotors go."
)
THICKNESS_STAYS_BOX = (
    "Thickness varies by {read}, at its limit of {limit:g} µm: neither over nor under. Noted: read again at the next "
    "service, at once where the brake judders."
)

STILL_ON = "Before the rotor comes off"
READ_ON, AGAIN_ON = "read on stud {stud}", "cleaned again, stud {stud}"
# What puts the rotor on a stud to be read there.
ELSEWHERE = (names.MEASURE + names.ANOTHER_STUD, names.MEASURE + names.BACK)
# What renews a part, after which a new table is read.
RENEWED = (names.RENEW, names.HUB_AND_BEARING, names.UNEVEN_COUNTED)
# What leaves the rotor where it is.
LEFT_ON = (names.LEAVE, names.AT_LIMIT)
# What renews the rotor, whatever the hub is.
ROTOR_GOES = (names.RENEW, names.UNEVEN_COUNTED)
# Pieces of the order of work that each action is made of; `scenes.words.work_order` words and orders them.
# The park brake is the rear's, the guide pin a corner's on bolts: the list leaves out what a corner has not.
TO_THE_ROTOR = ("support", "breakaway torque", "lift", "park brake off", "bearing play", "wheel-on trace",
                "guide pin", "wheel off")  # fmt: skip
ON_AGAIN = ("caliper", "wheel", "last trace", "park brake back", "pedal", "bed in")
AS_READ = ("mark", "home", "spacers", "caliper off", "flange play", "dial")
CLEANED = (*AS_READ, "rotor off", "cracks", "clean", "hub face", "fit", "tighten", "read")
WORK = {
    names.CLEAN: (*TO_THE_ROTOR, *CLEANED, *ON_AGAIN),
    names.INDEX: (*TO_THE_ROTOR, *CLEANED, "index", *ON_AGAIN),
    names.CLEAN_THEN_INDEX: (*TO_THE_ROTOR, *CLEANED, *ON_AGAIN),
    names.RENEW: (*TO_THE_ROTOR, *CLEANED, *ON_AGAIN),
    names.HUB_AND_BEARING: (*TO_THE_ROTOR, *CLEANED, *ON_AGAIN),
    names.RETORQUE: (*TO_THE_ROTOR, *AS_READ, "tighten", "read", *ON_AGAIN),
    names.READ_AGAIN: (*TO_THE_ROTOR, *AS_READ, "as found", *ON_AGAIN),
    names.OPEN: (*TO_THE_ROTOR, *AS_READ, "rotor off", "cracks", "fit", "tighten", "read", *ON_AGAIN),
    names.SCATTERS: (*TO_THE_ROTOR, *AS_READ, "rotor off", "cracks", "clean", *ON_AGAIN),
    names.LEAVE: ON_AGAIN,
    names.AT_LIMIT: ON_AGAIN,
    names.UNEVEN_COUNTED: (*TO_THE_ROTOR, *CLEANED, *ON_AGAIN),
}
#: Where the case has scale on the spigot: no nut is set to torque before it is off, so nothing is read as found.
OVER_SCALE = tuple(key for key in (*TO_THE_ROTOR, *CLEANED, *ON_AGAIN) if key not in ("home", "spacers"))
CLEAN_AND_ON = (*TO_THE_ROTOR, *CLEANED, *ON_AGAIN)  # what was never read clean is not left on as it is
WORK_TO_READ = {
    names.ANOTHER_STUD: ("rotor off", "fit", "tighten", "read"),
    names.BACK: ("rotor off", "fit", "tighten", "read"),
    names.CLEAN_AND_REFIT: CLEANED,
    names.BARE_HUB: ("rotor off", "cracks", "hub face", "fit", "tighten", "read"),
    names.THICKNESS: ("thickness",),
    names.FINER_MICROMETER: ("thickness",),
    names.FINER_DIAL: ("read",),
    names.RETORQUED: ("tighten", "read"),
}


def work_keys(found: Finding) -> tuple[str, ...]:
    """Keys of the work to do, for `scenes.words.work_order`."""
    if found.do.startswith(names.MEASURE):
        reading = WORK_TO_READ.get(found.do.removeprefix(names.MEASURE), ())
        return _from_here(found, (*TO_THE_ROTOR, *AS_READ, *reading, *ON_AGAIN))
    return _from_here(found, CLEAN_AND_ON if not_clean_yet(found) else WORK[found.do])


def held_already(found: Finding) -> bool:
    """Whether the work begins at a rotor that was cleaned, fitted, held and read: the list is not begun anew."""
    return read_clean(found) and found.do not in LEFT_ON


def _from_here(found: Finding, keys: tuple[str, ...]) -> tuple[str, ...]:
    """Leave out what a rotor that was read on clean faces has behind it; its next reading is none as found."""
    if not held_already(found):
        return keys
    behind = {*TO_THE_ROTOR, *AS_READ} - {"flange play"} | ({"hub face"} if _hub_read_out(found) else set())
    return tuple("read" if key == "as found" else key for key in keys if key not in behind)


def _hub_read_out(found: Finding) -> bool:
    """Whether the hub goes by a bare face of which no more reading is asked."""
    face = found.hub_face
    return face is not None and face.read_out and _hub_goes(found)


def _hub_goes(found: Finding) -> bool:
    """Whether the hub goes, for itself or before the rotor that goes."""
    face = found.hub_face
    over = face is not None and face.state == ABOVE
    return found.do == names.HUB_AND_BEARING or (found.do in ROTOR_GOES and over)


def written(found: Finding, also: Iterable[str] = ()) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """What is written down on the day, as `scenes.words.work_order.to_write`; a reading is called as it is ordered.

    ``also``: keys of readings that the case asks for besides (`read_besides`).
    """
    keys = {*work_keys(found), *also} | (set() if read_clean(found) else {"as found"})
    keys |= {"hub face"} if _hub_read_out(found) else set()  # of the new one
    keys |= {"thickness"} if new_table(found) else set()
    name = {work_order.FITTED: _read_as(found)}
    return tuple((head, tuple(name.get(row, row) for row in rows)) for head, rows in work_order.to_write(keys))


def _read_as(found: Finding) -> str:
    """Name of the reading that is ordered: on which stud, and whether it was cleaned before it."""
    if found.do in ELSEWHERE:
        return READ_ON.format(stud=stud_to_read(found) + 1)
    if found.do == names.CLEAN and read_clean(found):
        return AGAIN_ON.format(stud=where_now(found) + 1)
    if found.do == names.CLEAN or not_clean_yet(found):
        return f"cleaned, stud {back_on(found) + 1}"
    cleaned = "clean" in work_keys(found)
    return work_order.FITTED if cleaned else READ_ON.format(stud=where_now(found) + 1)


def work_now(found: Finding, key: str) -> str:
    """Say a piece of the work as the action orders it, where it names a stud; empty where the list's words stand."""
    if key == "index" and found.do == names.INDEX:
        return INDEX_NOW.format(stud=found.best_stud + 1)
    if key == "fit" and found.do in ELSEWHERE:
        return FIT_NOW.format(stud=stud_to_read(found) + 1)
    if key == "hub face" and found.hub_face is not None and looks(found):
        return acts.look_box(found.hub_face)
    return PLAY if key == "flange play" and held_already(found) else ""


def stage_now(found: Finding, name: str) -> str:
    """Name of a stage of the work; one name for those that mark, hold and read it where that was done."""
    return STILL_ON if name in (work_order.MARK_AND_HOLD, work_order.READ_AS_FOUND) and held_already(found) else name


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
    ended = found.do in LEFT_ON and not not_clean_yet(found) and not asks_turns(found)
    if not ended or thin:  # so thin the stamp comes first, and stops
        return ()
    unit = () if tried else (UNIT_CHECK,)
    said = [*unit, STAMP_CHECK, CRACKS_CHECK, *(_face_box(found) or (_hub_check(found.hub_face),)), PLAY]
    if found.varies is not None and found.varies.counts_neither:
        said.insert(len(unit) + 1, THICKNESS_STAYS_BOX.format(read=found.varies.figure, limit=found.varies.limit_um))
    return tuple(Work(f"check {place}", what) for place, what in enumerate(said))


def _hub_check(face: HubFace | None) -> str:
    """Box for the bare hub face, with what it was read to run out and where."""
    if face is None:
        return HUB_CHECK.format(read="read ____ µm")
    half = f"± {face.uncertainty_um:.0f} µm (k = 2)"
    read = f"read {face.runout_um:.0f} {half} at {words.with_unit(face.radius_mm, 'mm')}"
    return HUB_STAYS.format(read=read, limit=face.limit_um) if face.let_be else HUB_CHECK.format(read=read)


def asks_turns(found: Finding) -> bool:
    """Whether more turns are asked for, as no dial tells the runout from its limit by these."""
    return found.do == names.AT_LIMIT and found.turns < MEAN_OF


def nuts_box(case: Case) -> str:
    """Box for what holds the wheel badly as driven, before all work; empty where nothing does."""
    what, why = held_badly_by(case)
    return HELD_BOX[what].format(why=why) if what else ""


def stated_boxes(case: Case, runout_um: float, face_read: bool = True) -> tuple[tuple[str, ...], bool]:
    """Boxes for what the case states beside its nuts, in their order, and whether no reading counts before them.

    Parameters
    ----------
    case : Case
    runout_um : float
        As read last. [um]
    face_read : bool
        Whether its bare hub face was read: then that counts, and not what the case says of it.
    """
    stated = what_leads.of_case(case, runout_um)
    hub = "" if face_read else stated.hub
    caliper = CALIPER_OVER_SCALE_BOX if case.spigot_scale else CALIPER_BOX
    told = (
        (stated.part, PART_BOX), (stated.caliper, caliper), (stated.pads, PADS_BOX), (stated.bearing, BEARING_BOX),
        (hub, HUB_AS_GIVEN_BOX),
    )  # fmt: skip
    return tuple(box for said, box in told if said), bool(stated.part or stated.bearing or hub)


def read_besides(case: Case, runout_um: float, face_read: bool = True) -> tuple[str, ...]:
    """Keys of the readings that a bearing or a hub which leads by the case asks for; arguments as of `stated_boxes`."""
    stated = what_leads.of_case(case, runout_um)
    hub = stated.hub and not face_read
    return (*(("hub face",) if hub else ()), *(("read",) if stated.bearing or hub else ()))


def read_so(found: Finding) -> str:
    """Box for the reading that a bearing or hub which leads asks for; empty where the act has one of its own."""
    own = {"read", "as found"} & set(work_keys(found))
    return "" if own else READ_SO_BOX.format(stud=where_now(found) + 1)


def stamp_box(found: Finding, thin: str, least: str, stated: bool) -> str:
    """Box for reading the stamp, before all work; empty where the rotor is not near its discard thickness.

    ``least``: the thinnest place that was read. ``stated``: whether the user's own case file holds the stamp already.
    """
    over_it = "" if stated else OVER_IT if found.do in LEFT_ON else GO_ON
    return STAMP_BOX.format(least=f", {least}" if least else "", else_=over_it) if thin else ""


def thickness_box(found: Finding, goes: bool = False) -> str:
    """Box for reading on a thickness too near its limit, where a part is renewed or the rotor left on; else empty.

    ``goes``: whether the rotor goes by its stamp, whatever it varies by.
    """
    again = acts.thickness_still(found.varies)
    if goes or not again or found.varies is None or found.do not in (*RENEWED, *LEFT_ON):
        return ""
    return THICKNESS_BOX.format(read=found.varies.figure, limit=found.varies.limit_um, again=again)


def limit_boxes(found: Finding) -> tuple[str, ...]:
    """Boxes for what decides where neither dial nor micrometer does; none where they do."""
    if found.do == names.UNEVEN_COUNTED:
        return (UNEVEN_BOX,)
    if found.do != names.AT_LIMIT:
        return ()
    over_it = BY_THE_FACE if hub_open(found) else mountings.over_it(found.told, found.hub_face)
    if not asks_turns(found):
        return (MEAN_BOX.format(turns=found.turns, read=read_now(found), over_it=over_it),)
    more = MEAN_OF - found.turns
    turns = TURNS_BOX.format(
        more=words.capital(words.counted(more, "turn")), stud=where_now(found) + 1, blanks=", ".join(["____"] * more)
    )
    face = _face_box(found)
    play = (PLAY,) if face or "bearing" in over_it else ()  # once the middle is known `checks` asks for it anyway
    stop = FACE_STOP if face else LIMIT_BOX
    return *play, turns, *face, stop.format(turns=MEAN_OF, over_it=over_it)


def _face_box(found: Finding) -> tuple[str, ...]:
    """Box for reading on a bare hub face at or near its limit, where the lead orders that; else none."""
    face = found.hub_face
    if face is None or not hub_open(found):
        return ()
    blanks = ", ".join(["____"] * max(MEAN_OF - face.times, 1))
    return (FACE_BOX.format(more=acts.more_turns(face), blanks=blanks),)


def part_boxes(found: Finding, thin: str, no_cut: bool = False, stated: bool = False) -> tuple[str, ...]:
    """Boxes for what the act renews, before it is fitted: the hub's first, as no rotor is read on a hub that goes."""
    face, hub, rotor = found.hub_face, _hub_goes(found), found.do in ROTOR_GOES
    counts = _hub_read_out(found) and face is not None and (face.at_last or face.counted)
    box = HUB_COUNTS_BOX if counts else HUB_READ_OUT_BOX if _hub_read_out(found) else HUB_BOX
    of_hub = (box,) if hub else ()
    seat = (SEAT_BOX,) if found.do == names.RENEW and not (hub or thin or goes_uneven(found)) else ()
    too = rotor or (hub and (goes_uneven(found) or (bool(thin) and stated)))
    return of_hub + ((*seat, NEW_BOX if thin or no_cut else RENEW_BOX) if too else ())


def new_table(found: Finding) -> bool:
    """Whether a part is new where the work stops: bare face, runout and thickness are read into a new table."""
    return found.do in (*RENEWED, names.SCATTERS)


def ask_again(found: Finding, thin: str = "", stated: bool = False) -> str:
    """Say that the work stops at a reading or at the stamp, and what for; empty where the action is the last one."""
    if new_table(found):
        return NEW_TABLE_STOP
    open_yet = found.do in LEFT_ON and hub_open(found) and not asks_turns(found)
    if found.do not in LEFT_ON or not_clean_yet(found) or open_yet:
        return ASK_AGAIN
    if thin and found.do in LEFT_ON:
        return STOP_AT_STAMP.format(over_it="" if stated else OVER_IT)
    return ""
