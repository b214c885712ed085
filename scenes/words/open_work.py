"""What is left to do with the hands where readings end and name no part, or mountings scatter: looked at, mended."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scenes.words import acts, part_goes, stays_on_hub, to_read_again
from scenes.words.causes import read_clean, read_now
from sim.bench.mountings import HUB_SIDE, ROTOR_SIDE
from sim.bench.which_share import rotor_by_itself
from sim.causes import names
from sim.causes.one_act import has_play
from sim.parts.dial import ABOVE, Dial, against_limit

if TYPE_CHECKING:
    from sim.causes.answer import Finding

#: Of what stays with the hub though it was cleaned twice.
LOOK = (
    "Spigot down into its root, burrs round every stud, studs and nut seats (bent, drawn), hub face and rotor's seat "
    "under a straight edge, light behind, needle over that face between its places too{near}: scale that a brush "
    "leaves is taken off by scraper or stone."
)
NOTHING_FOUND = (
    "Stop: readings into the file, ask again. Nothing was found and it reads so again: hub and bearing as the vehicle "
    "maker says. Until then nothing goes back on."
)
#: The same where the rotor is over the limit by itself, and its box.
ROTOR_TOO = (
    "The rotor too, {rotor} by itself and over the limit: where its seat shows no scale, both rotors of the axle "
    "new{or_cut}, on hubs that are clean, and a new table begins. Scale there: off, back on the same stud, read."
)
THEN_ROTOR = "Stop: readings into the file, a new rotor's into a new table, ask again. Until then nothing goes back on."
#: Of mountings that part however often it is put on.
UNDER_LOAD = "Bearing judged under load as the vehicle maker says: by hand it may feel tight."
#: Where it is turns that part, and not mountings.
BASE_FIRST = f"Dial's base and tip looked at first. {UNDER_LOAD}"
#: Before that, of faces that nobody cleaned yet.
DIRT_OFF = "Rust, dirt and burrs off hub face, round every stud, root of the spigot, rotor's seat and bore. "
MENDED = (
    "Straight edge across hub face and rotor's seat, light behind; the spigot's root, the rotor's bore, studs and nuts "
    "looked at; wiped. What is found is mended."
)
NONE_MENDED = "Nothing found: hub and bearing as the vehicle maker says, before anything is read. No rotor is bought."
#: The same of a hub that was rocked and has play.
PLAY_UNDER_LOAD = "The bearing has play. Judged under load as the vehicle maker says, unless it was."
PLAY_MENDED = "Hub or bearing as the vehicle maker says, before anything is read or a rotor is bought."
#: Of a face that is read before a rotor covers it.
NONE_OVER_IT = ": over its limit stop, no rotor goes on it."
#: Behind that: the face of a hub that was renewed or mended is another one than was read.
OWN_FACE = f"Dial on the hub, as it was, mended or new: its bare face first, ____ µm{NONE_OVER_IT}"
EITHER = (
    "The bare hub face decides, its limit ____ µm: over it hub or bearing renewed as the vehicle maker allows, a new "
    "one's bare face first, ____ µm; under it both rotors of the axle new{or_cut}. A new table begins."
)
HUB = (
    "Play checked; hub or bearing renewed as the vehicle maker allows, then a new table: its bare face first, ____ µm"
    f"{NONE_OVER_IT}"
)


def stays(found: Finding) -> bool:
    """Whether the end is what stays with the hub, cleaned twice, and no part is named for it."""
    return found.do == names.OPEN and bool(stays_on_hub.stays_again(found.told))


def rotor_too(found: Finding) -> bool:
    """Whether that end names the rotor all the same, over the limit by itself: as `part_goes.part` has it."""
    over = against_limit(read_now(found), found.limit_um, Dial(found.dial_um, found.turns).doubt_um) == ABOVE
    return over and stays(found) and rotor_by_itself(found.told, found.limit_um)


def names_the_rotor(found: Finding) -> bool:
    """Whether the end names the rotor, by its share or by a bare hub face that is below its limit."""
    return found.do == names.OPEN and not stays(found) and part_goes.goes(found.told, found.hub_face) == ROTOR_SIDE


def new_part(found: Finding) -> bool:
    """Whether a part may be new behind it: then a new table begins."""
    return found.do == names.SCATTERS or (found.do == names.OPEN and not stays(found))


def box(found: Finding, key: str) -> str:
    """Say a piece of the work as such an end orders it; empty where the list's words stand."""
    if found.do == names.SCATTERS and has_play(found.told):
        return {"flange play": PLAY_UNDER_LOAD, "clean": _mended(found)}.get(key, "")
    if found.do == names.SCATTERS:
        turns = to_read_again.TURNS_PART in to_read_again.scatters(found.told)
        return {"flange play": BASE_FIRST if turns else UNDER_LOAD, "clean": _mended(found)}.get(key, "")
    if key != "clean":
        return ""
    near = stays_on_hub.stays_near(found.told)
    return LOOK.format(near=acts.TOWARDS.format(near=near) if near else "") if stays(found) else ""


def looked_at(found: Finding) -> tuple[str, str, str]:
    """Say what is done where readings part however often: the bearing, what else is looked at, and the end.

    Parameters
    ----------
    found : Finding
        Whose rotor is off and clean.
    """
    return box(found, "flange play"), MENDED, NONE_MENDED


def _mended(found: Finding) -> str:
    """Say what is looked at once its rotor is off; one that was never read clean is cleaned for it."""
    return MENDED if read_clean(found) else DIRT_OFF + MENDED


def part_boxes(found: Finding, or_cut: str) -> tuple[str, ...]:
    """Boxes for what is renewed, before it is fitted; none where no part is named, or the rotor alone.

    Parameters
    ----------
    found : Finding
    or_cut : str
        Said of a rotor that may be cut; else empty.
    """
    if found.do == names.SCATTERS:
        return PLAY_MENDED if has_play(found.told) else NONE_MENDED, OWN_FACE
    if rotor_too(found):
        return (ROTOR_TOO.format(rotor=stays_on_hub.goes_with(found.told), or_cut=or_cut),)
    if found.do != names.OPEN or stays(found) or names_the_rotor(found):
        return ()
    side = part_goes.goes(found.told, found.hub_face)
    return (HUB,) if side == HUB_SIDE else (EITHER.format(or_cut=or_cut),)
