"""Which pieces of the order of work the act of a weighed finding is made of, how it orders each, what is written."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scenes.words import (
    bare_face,
    card_finding,
    held_to_read,
    mountings,
    open_work,
    read_again_work,
    second_turn,
    uneven_rotor,
    what_leads,
    words,
    written_rows,
)
from scenes.words.card_finding import ROTOR_GOES, hub_goes
from scenes.words.causes import read_clean, read_now, where_now
from scenes.words.causes_do import hub_open, looks, may_read_alike, not_clean_yet, reasons
from scenes.words.causes_read import back_on, moved_to
from scenes.words.work_list import BACK_TOGETHER
from sim.bench import bearing_asked
from sim.bench import next_act as act
from sim.causes import names, one_act
from sim.causes.one_act import LEFT_ON
from sim.corner.road_state import STUDS, held_badly_by
from sim.files import readings_rows
from sim.parts.dial import BELOW

if TYPE_CHECKING:
    from collections.abc import Collection, Iterable

    from sim.causes.answer import Finding
    from sim.parts.case import Case

#: Pieces of the work where the action names the stud, and where the work stops.
FIT_NOW = "Refit with the painted hole on stud {stud}, home by hand{so}."
AS_THEY_ARE = ", faces as they are"
#: Behind how a rotor is fitted that goes back where it was, or was first: how that reading is entered.
ENTERED = " Entered under the next mount number, state '{state}'."
GOES_BACK = " Painted hole on stud {stud}; entered under the next mount number, state '{state}'."
#: Behind a bare face that is read on before it: the choice of the stud rests on that.
FACE_SAYS = (
    " Not before the face's turns are in the file: ask again, that answer says on which stud; entered under the next "
    "mount number, state '{state}'."
)
#: Behind how a new part goes on: the first mount of the table that begins.
NEW_TABLE = f" New table: mount 1, '{readings_rows.CLEANED}'."
#: Nothing more is read as found than what the file has of it: whether it still reads so.
AS_FOUND_AGAIN = "Wipe nothing yet: the runout as found once more, beside the file's."
#: Where a thickness that is even lets the work go on at once.
ON_AT_ONCE = (
    "Thickness by micrometer at {places} places. Varies by more than {even}, or thinnest place not over the stamp: "
    "stop, readings into the file, ask again."
)
ANEW_BY_MICROMETER = "Thickness by micrometer: {again}; ____ ± ____ µm, least ____ mm. At or under discard: stop."
FINER_DIAL = (
    "Rotor on, nuts untouched: read once more by a dial of 0.002 mm a division or finer, next mount number: ____ µm. "
    "None at hand: nuts slackened and tightened crosswise in stages before each turn, each the next mount number, "
    "until there are three: ____, ____ µm."
)
#: Where nothing is read before it comes off: the dial is set up for the bare face, and then for the rotor.
FACE_BY_DIAL = f"Dial on the knuckle: read the clean hub face, one turn.{bare_face.FACE_OVER}"
#: Over scale it comes off first of all.
OVER_SCALE_NOW = {
    "clean": "Scale off the spigot, all round and down to its root; rust, dirt and burrs off hub face, round every "
    "stud, rotor's seat and bore.",
    "hub face": FACE_BY_DIAL,
}
BARE_FACE = "Read the bare hub face, one turn."
FACE_ONE = f"Read the clean hub face, one turn: ____ µm.{bare_face.FACE_OVER}"
#: Behind it, on a dial that may show nothing of a true face (`bare_face.ALL_ALIKE`).
ALL_ALIKE = " All alike: a 0.1 mm feeler under the tip moves it ____."
#: Where its one turn may be the one that is off (`scenes.words.mountings.BARE_ONCE_MORE`).
FACE_ONCE_MORE = f"Read the clean hub face once more, one turn, state cleaned again: ____ µm.{bare_face.FACE_OVER}"
#: Before a part is named by a face that was read by one turn.
FACE_FURTHER = f"Read the clean hub face once more, a further turn: ____ µm.{bare_face.FACE_OVER}"
PLAY = "Hub rocked at 12 and 6 o'clock: no bearing play; play: stop."
#: The same of a table whose head says so.
ROCKED_BEFORE = "Hub: rocked because of these readings, no play, as the file's head says."
STILL_ON, STAYS_ON = "Before the rotor comes off", "The rotor stays on"
READ_ON, AGAIN_ON = "read on stud {stud}", "cleaned again, stud {stud}"
# What renews a part, after which a new table is read.
RENEWED = (names.RENEW, names.HUB_AND_BEARING, names.UNEVEN_COUNTED)
# Pieces of the order of work that each action is made of; `scenes.words.work_order` words and orders them.
# The park brake is the rear's, the guide pin a corner's on bolts: the list leaves out what a corner has not.
TO_THE_ROTOR = ("support", "breakaway torque", "lift", "park brake off", "bearing play", "wheel-on trace",
                "guide pin", "wheel off")  # fmt: skip
AS_READ = ("mark", "home", "spacers", "caliper off", "flange play", "dial")
HOLD = ("home", "spacers")
#: What is left out where nothing is read before the rotor is off.
UNREAD = ("wheel-on trace", *HOLD, "dial", "last trace")
OFF, REFIT = ("rotor off", "cracks"), ("fit", "tighten", "read")
CLEANED = (*OFF, "clean", "hub face", *REFIT)
ELSEWHERE_READ = (*OFF, *REFIT)
#: What each act asks for between a rotor that is held for reading and the caliper back on.
WORK: dict[str, tuple[str, ...]] = {
    names.CLEAN: CLEANED,
    names.INDEX: ELSEWHERE_READ,
    names.CLEAN_THEN_INDEX: CLEANED,
    names.RENEW: CLEANED,
    names.HUB_AND_BEARING: CLEANED,
    names.UNEVEN_COUNTED: CLEANED,
    names.OPEN: CLEANED,
    names.SCATTERS: (*OFF, "clean", *REFIT),  # its bare face: `open_work.OWN_FACE`
    names.RETORQUE: ("tighten", "read"),
    names.MEASURE + names.ANOTHER_STUD: ELSEWHERE_READ,
    names.MEASURE + names.BACK: ELSEWHERE_READ,
    names.MEASURE + names.CLEAN_AND_REFIT: CLEANED,
    names.MEASURE + names.BARE_HUB: (*OFF, "hub face", *REFIT),
    names.MEASURE + names.THICKNESS: ("thickness",),
    names.MEASURE + names.FINER_MICROMETER: ("thickness",),
    names.MEASURE + names.FINER_DIAL: ("read",),
    names.MEASURE + names.SECOND_TURN: ("read",),
    names.MEASURE + names.RETORQUED: ("tighten", "read"),
}
#: Where the case has scale on the spigot: no nut is set to torque before it is off, so nothing is read as found.
UNSCALED = ("wheel-on trace", *HOLD, "last trace")
OVER_SCALE = tuple(key for key in (*TO_THE_ROTOR, *AS_READ, *CLEANED, *BACK_TOGETHER) if key not in UNSCALED)


def work_keys(found: Finding, why: tuple[str, ...] = ()) -> tuple[str, ...]:
    """Keys of the work to do, for `scenes.words.work_order`.

    Parameters
    ----------
    found : Finding
    why : tuple of str
        What is to be read again, where the readings themselves are in doubt.
    """
    if found.do in LEFT_ON and not not_clean_yet(found):
        return BACK_TOGETHER
    asked = _asked(found, why)
    if held_already(found):  # nothing leads to the rotor again, and the next reading is none as found
        asked = ("flange play", *(key for key in asked if not (key == "hub face" and hub_read_out(found))))
        return (*("read" if key == "as found" and "fit" not in asked else key for key in asked), *BACK_TOGETHER)
    if found.do in SPACERS:  # held anew is what is ordered
        return (*TO_THE_ROTOR, *AS_READ, "read", *BACK_TOGETHER)
    # Not held and not read: it goes whatever it runs out, or no reading counts before the bearing.
    if found.do == names.SCATTERS or (found.do in ROTOR_GOES and card_finding.goes_unread(found)):
        return tuple(key for key in (*TO_THE_ROTOR, *AS_READ, *asked, *BACK_TOGETHER) if key not in UNREAD)
    return (*TO_THE_ROTOR, *AS_READ, "as found", *asked, *BACK_TOGETHER)


SPACERS = (names.RETORQUE, names.MEASURE + names.RETORQUED)


def _asked(found: Finding, why: tuple[str, ...]) -> tuple[str, ...]:
    """What the act asks for at a rotor that is held for reading."""
    if found.do == names.READ_AGAIN:
        return read_again_work.keys(reasons(found, why))
    asked = CLEANED if found.do in LEFT_ON else WORK.get(found.do, ())
    bare = found.do == names.INDEX and found.hub_face is None  # with the rotor off it takes minutes
    bare |= found.do in one_act.MOVES and hub_open(found)
    if "fit" in asked and (bare or act.BARE_HUB in found.also):
        asked = (*asked, "hub face")
    if found.do == names.MEASURE + names.BARE_HUB and not (read_clean(found) or looks(found)):
        asked = (*asked, "clean")
    if found.do == names.CLEAN and _face_known(found):
        asked = tuple(key for key in asked if key != "hub face")
    return (*asked, *CLEANED) if _goes_on(found) else asked


def _face_known(found: Finding) -> bool:
    """Whether a second cleaning reads no bare face again: it is within its limit as read, and nothing asks for it."""
    face = found.hub_face
    within = face is not None and face.state == BELOW and not face.as_found
    return within and read_clean(found) and act.BARE_HUB not in found.also


def _goes_on(found: Finding) -> bool:
    """Whether an even thickness lets the work go on at once: rotor off, clean, read."""
    return found.do == names.MEASURE + names.THICKNESS and act.CLEAN in found.also


def card_keys(found: Finding, case: Case, why: tuple[str, ...] = ()) -> tuple[str, ...]:
    """Keys of the work of a card: those of the act, and of what the case states that is done with the rotor off."""
    if case.spigot_scale:
        return OVER_SCALE
    stated = what_leads.of_case(case, read_now(found))
    hub = stated.hub and found.hub_face is None
    off = stated.part or stated.bearing or hub or held_badly_by(case)[0] == STUDS
    more = (*(("flange play", *ELSEWHERE_READ) if off else ()), *(("clean", "hub face") if hub else ()))
    return tuple(dict.fromkeys((*work_keys(found, why), *more)))


def held_already(found: Finding) -> bool:
    """Whether the work begins at a rotor that stands as it was read: the list is not begun anew."""
    return stands(found) and (found.do not in LEFT_ON or not_clean_yet(found))


def stands(found: Finding) -> bool:
    """Whether it was read last as the work reads it: on clean faces, or as found under nuts and spacers."""
    return read_clean(found) or found.told.states[-1].clamped_by in ("", held_to_read.HELD_SO)


def hub_read_out(found: Finding) -> bool:
    """Whether the hub goes by a bare face of which no more reading is asked."""
    face = found.hub_face
    return face is not None and face.read_out and hub_goes(found)


def written(found: Finding, keys: Iterable[str], why: tuple[str, ...] = ()) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """What is written down on the day, as `scenes.words.written_rows.to_write`; a reading is called as it is ordered.

    ``keys``: of the work, of `card_keys`; ``why`` as there.
    """
    wanted = set(keys)
    wanted |= {"hub face"} if hub_read_out(found) or found.do == names.SCATTERS else set()  # of the new one
    near = found.do in LEFT_ON and uneven_rotor.still_to_read(found.varies)
    wanted |= {"thickness"} if new_table(found) or near else set()
    name = {written_rows.FITTED: _read_as(found, wanted, why)}
    return tuple((head, tuple(name.get(row, row) for row in rows)) for head, rows in written_rows.to_write(wanted))


def _read_as(found: Finding, keys: set[str], why: tuple[str, ...]) -> str:
    """Name of the reading that is ordered: on which stud, and whether it was cleaned before it."""
    if found.do in one_act.MOVES:
        return READ_ON.format(stud=moved_to(found) + 1)
    if found.do == names.READ_AGAIN and (stud := read_again_work.stud(reasons(found, why))):
        return READ_ON.format(stud=stud)
    if found.do == names.CLEAN and read_clean(found):
        return AGAIN_ON.format(stud=where_now(found) + 1)
    if found.do == names.MEASURE + names.SECOND_TURN:
        return second_turn.ROW.format(stud=where_now(found) + 1)
    if found.do == names.CLEAN or not_clean_yet(found):
        return f"cleaned, stud {back_on(found) + 1}"
    cleaned = "clean" in keys and found.do != names.READ_AGAIN  # wiped, and back where it was
    return written_rows.FITTED if cleaned else READ_ON.format(stud=where_now(found) + 1)


def work_now(found: Finding, key: str, keys: Collection[str] = (), why: tuple[str, ...] = ()) -> str:
    """Say a piece of the work as the action orders it; empty where the list's words stand.

    Parameters
    ----------
    found : Finding
    key : str
        Of the work.
    keys : collection of str
        Of all the work of the card, of `card_keys`.
    why : tuple of str
        What is to be read again, as there.
    """
    if found.do == names.READ_AGAIN:
        as_it_stands = key == "read" and not {"fit", "tighten"} & {*keys}
        now = "as found" if as_it_stands else key
        if said := read_again_work.box(reasons(found, why), now, keys, where_now(found) + 1):
            return said
    if key == "fit" and found.do in one_act.MOVES:
        return FIT_NOW.format(stud=moved_to(found) + 1, so=AS_THEY_ARE if read_clean(found) else "")
    if key == "hub face" and (said := _face_now(found, keys)):
        return said
    if key == "tighten" and "fit" not in keys:
        return read_again_work.SLACKENED
    if key == "read" and found.do == names.MEASURE + names.FINER_DIAL:
        return FINER_DIAL
    if key == "read" and found.do == names.MEASURE + names.SECOND_TURN:
        return second_turn.box(found.told)
    if key == "as found":
        return AS_FOUND_AGAIN
    if key == "thickness":
        return _thickness_now(found)
    if said := open_work.box(found, key):
        return said
    return _rocked(found) if key == "flange play" else ""


def _rocked(found: Finding) -> str:
    """Have the hub rocked, or say that it was because of these readings; empty where the list's words stand."""
    if not bearing_asked.for_play(found.told):
        return ROCKED_BEFORE
    return PLAY if stands(found) else ""


def goes_back(found: Finding, keys: Collection[str], why: tuple[str, ...] = ()) -> str:
    """Say on which stud a rotor goes back, and how it is entered; empty where the act says so, or another part goes on.

    Parameters
    ----------
    found : Finding
    keys : collection of str
        Of all the work of the card, of `card_keys`.
    why : tuple of str
        What is to be read again, as there.
    """
    if found.do in one_act.MOVES and read_clean(found) and "fit" in keys:
        return ENTERED.format(state=readings_rows.CLEANED)
    if new_table(found) and "fit" in keys:
        return NEW_TABLE
    if found.do == names.READ_AGAIN and read_clean(found) and "fit" in keys:
        again = found.told.again is not None or any(readings_rows.AGAIN in one for one in reasons(found, why))
        return ENTERED.format(state=readings_rows.AGAIN if again else readings_rows.CLEANED)
    named = found.do in (*one_act.MOVES, names.READ_AGAIN, names.CLEAN_THEN_INDEX)
    if named or "fit" not in keys:
        return ""
    if not read_clean(found):
        return GOES_BACK.format(stud=back_on(found) + 1, state=readings_rows.CLEANED) if "clean" in keys else ""
    raised = looks(found) and found.hub_face is not None and found.hub_face.to_look_at
    state = readings_rows.AGAIN if "clean" in keys or raised else readings_rows.CLEANED
    if looks(found) and found.hub_face is not None and found.hub_face.first:
        return FACE_SAYS.format(state=state)
    return GOES_BACK.format(stud=where_now(found) + 1, state=state)


def _face_now(found: Finding, keys: Collection[str]) -> str:
    """Say how the bare hub face is read; empty where the list's words stand."""
    if found.hub_face is not None and looks(found):
        return bare_face.look_box(found.hub_face)
    if (open_yet := card_finding.face_read_on(found)) is not None:
        return bare_face.look_box(open_yet, decides=hub_goes(found))
    if mountings.bare_too(found.also, found.hub_face) == mountings.BARE_ONCE_MORE:
        return FACE_ONCE_MORE
    if found.do == names.MEASURE + names.BARE_HUB and found.hub_face is not None:
        return FACE_FURTHER
    if dial_unset(keys):
        return FACE_BY_DIAL
    alike = ALL_ALIKE if may_read_alike(found) else ""
    if "clean" not in keys and not read_clean(found):
        return f"{BARE_FACE}{alike}"
    # Where the hub, or either part, goes by it, a box of its own says what follows.
    goes = hub_goes(found) or (found.do == names.OPEN and not open_work.stays(found))
    return "" if goes else f"{FACE_ONE}{alike}"


def dial_unset(keys: Collection[str]) -> bool:
    """Whether a card that begins at the wheel reads nothing, and sets up no dial, before its rotor is off."""
    return "lift" in keys and "dial" not in keys


def never_held(keys: Collection[str]) -> bool:
    """Whether a card that begins at the wheel puts on no spacers before its rotor comes off."""
    return "lift" in keys and "spacers" not in keys


def _thickness_now(found: Finding) -> str:
    """Say how the thickness is read; empty where the list's words stand."""
    if _goes_on(found) and found.even_um is not None:
        return ON_AT_ONCE.format(places=held_to_read.PLACES, even=words.micrometres(found.even_um))
    again = uneven_rotor.still_to_read(found.varies) if found.do == names.MEASURE + names.FINER_MICROMETER else ""
    return ANEW_BY_MICROMETER.format(again=again) if again else ""


def stage_now(found: Finding, name: str, keys: Collection[str] = (OFF[0],)) -> str:
    """Name of a stage of the work; one name for those that mark, hold and read it where that was done."""
    if name not in (held_to_read.MARK_AND_HOLD, held_to_read.READ_AS_FOUND) or not stands(found):
        return name
    return STILL_ON if OFF[0] in keys else STAYS_ON


def new_table(found: Finding) -> bool:
    """Whether a part is new where the work stops: bare face, runout and thickness are read into a new table."""
    return found.do in RENEWED or open_work.new_part(found)
