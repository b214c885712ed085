"""Readings that may have been written down another way, a bare hub near or over its limit: said, never corrected."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scenes.words import bare_face, still_to_check, words
from sim.bench.bearing_asked import for_play
from sim.bench.mountings import still_stand
from sim.bench.rock_asked import none_counts
from sim.causes import names
from sim.causes import otherwise as ways
from sim.causes.ordered import LIKELY
from sim.parts.dial import ABOVE, TOO_CLOSE

if TYPE_CHECKING:
    from sim.causes.answer import Finding, Otherwise

MORE = (
    " Its share would be larger than the dial ever showed, cancelled by another as large: read it on a third stud, or "
    "the bare hub, before that is believed."
)
AT_ODDS = (
    " The bare hub face does not go with what the mounted readings say stays with the hub (probability {odds}): "
    "something still lies between, or that face was misread."
)
FITS = " As written the readings fit less well than with {way} (probability {odds}). Nothing was corrected: check it."
ALSO = " They would also fit with {way} (probability {odds}). Nothing was corrected: check it."
WAVY = " with its second wave (raised metal round a stud, rust or a bent flange)"
OVER = (
    " The bare hub face runs out {read} ± {half} µm (k = 2){waves}, {counts}over its limit of {limit} µm: hub and "
    "bearing come first, no stud cures it."
)
NEAR = (
    " The bare hub face runs out {read} ± {half} µm (k = 2){waves}, too close to its limit of {limit} µm to "
    "tell{again}."
)
#: Of one that a fit alone would acquit.
LOOKED_AT = " {showed}: before {first} that face counts neither as over nor as under."
#: Of the mount that stands, read by one turn.
AS_IT_STANDS = "it is read again as it stands, one whole further turn, before the rotor comes off"
#: Why something else leads than readings alone order, with the reading that does not fit.
DOES_NOT_FIT = "the readings do not fit as they are written, and with {way} they would"
FACE_DOES_NOT_FIT = "the bare hub face does not fit what stays with the hub under the rotor"
NOT_AS_WRITTEN = "the readings do not fit as they are written"
#: In place of a probability, of mountings that part: no prior weighs how often a seat changes.
OR_SEAT = "and as well had the rotor sat otherwise there: what is written is checked, nothing was corrected"
FITS_TOO = f" With {{way}} the readings would fit, {OR_SEAT}."
#: Said only while another reading tells more: not once it was read twice alike, or with a fine dial.
FINER = ": {play}read it again with the finest dial at hand"


def way(one: Otherwise) -> str:
    """Say how the readings may have been written down otherwise."""
    if one.what == ways.ALL_MOVED:
        pairs = zip(one.mounts, one.studs_turned, strict=True)
        at = ", ".join(f"mount {mount} on stud {turned + 1}" for mount, turned in pairs)
        return f"the studs counted the other way round, or every angle read the other way round ({at})"
    if one.what == ways.MOVED:
        return f"mount {one.mounts[0]} on stud {one.studs_turned[0] + 1}"
    if one.what == ways.HUB_STUD:
        return f"the angles of the bare hub face counted from stud {one.studs_turned[0] + 1}"
    trace = "the bare hub face" if one.trace == "hub face" else f"the mounted trace of mount {one.mounts[0]}"
    return f"{trace} read the other way round"


def reasons(found: Finding, doubted: bool = False) -> list[str]:
    """Say why it is read again, where another way of writing down fits better.

    Beside readings that are ``doubted`` by themselves, to be read first, no other guess is made; a bare face is told.
    """
    return [_reason(one, found) for one in _told(found)[:1] if not doubted or one.what == ways.HUB_FACE]


def not_as_written(found: Finding) -> str:
    """Say which reading does not fit as it is written, where one may have been written another way."""
    if not found.otherwise:
        return NOT_AS_WRITTEN
    one = found.otherwise[0]
    return FACE_DOES_NOT_FIT if one.what == ways.HUB_FACE else DOES_NOT_FIT.format(way=way(one))


def _told(found: Finding) -> tuple[Otherwise, ...]:
    """Other ways of writing down that stand against a finding, not where something likelier scatters or stands up."""
    face, now = found.hub_face, found.told.states[-1].now
    plays = found.do == names.SCATTERS or bool(now.left_out) or none_counts(found.told)
    if plays or (face is not None and face.to_look_at):
        return tuple(one for one in found.otherwise if one.what == ways.HUB_FACE)
    likely = sum(one.probability for one in found.otherwise) >= LIKELY
    return tuple(
        one
        for one in found.otherwise
        if one.what == ways.HUB_FACE or (likely and one.probability > found.something_else)
    )


def _one_of_several(one: Otherwise, found: Finding) -> bool:
    """Whether mountings part, and this is said of one of them: it may have sat otherwise as well."""
    by_one = one.what in (ways.MOVED, ways.READ) and one.trace == "mounted"
    return by_one and any(state.at_odds for state in still_stand(found.told.states))


def _reason(one: Otherwise, found: Finding) -> str:
    if _one_of_several(one, found):
        return f"with {way(one)} it would fit, {OR_SEAT}"
    odds = words.chance(one.probability)
    if ways.as_it_stands(one, found.told):
        return f"with {way(one)} it would fit (probability {odds}); {AS_IT_STANDS}"
    if one.what == ways.HUB_FACE:
        return f"the bare hub face, which does not go with what stays with the hub under the rotor (probability {odds})"
    return f"with {way(one)} it would fit (probability {odds})"


def _finer(found: Finding) -> str:
    return FINER.format(play=still_to_check.where(for_play(found.told), "check the bearing for play, "))


def sentences(found: Finding) -> str:
    """Say what stands against taking the readings at their word; nothing where nothing does."""
    told = ""
    if otherwise := _told(found):
        together = sum(one.probability for one in otherwise)
        one = otherwise[0]
        odds = words.chance(one.probability)
        if one.what == ways.HUB_FACE:
            told += AT_ODDS.format(odds=odds)
        elif _one_of_several(one, found):
            told += FITS_TOO.format(way=way(one))
        else:
            told += (FITS if together > words.EVEN[1] else ALSO).format(way=way(one), odds=odds)
    if found.more_than_read:
        told += MORE
    face = found.hub_face
    if face is not None and face.to_look_at:
        first = "it is read clean" if face.as_found else "somebody looked at it"
        told += LOOKED_AT.format(showed=words.capital(bare_face.showed(face)), first=first)
    elif face is not None and face.state in (ABOVE, TOO_CLOSE):
        line = OVER if face.state == ABOVE else NEAR
        told += line.format(
            read=f"{face.runout_um:.0f}",
            half=f"{face.uncertainty_um:.0f}",
            limit=f"{face.limit_um:.0f}",
            waves=WAVY if face.wavy else "",
            again="" if face.read_out or face.let_be or found.do == names.GAUGE else _finer(found),
            counts="counted as " if face.counted else "",
        )
    return told
