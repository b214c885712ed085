"""What is said of a bare hub face: beside its limit, looked at, read again, and what follows where it is over."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scenes.words import still_to_check
from scenes.words.words import GAP, capital, micrometres
from sim.files.readings_rows import FEELER
from sim.files.seated_home import ask_unit
from sim.parts.dial import ABOVE, BELOW, COARSE_UM, TOO_CLOSE
from sim.parts.thickness import PLACES

if TYPE_CHECKING:
    from sim.bench.bare_face import HubFace

#: What the dial showed of a bare face where a fit would acquit it: no dial tells a lip in a hole's chamfer, which
#: carries nothing, from raised metal on the seat (both common practice; the lips: two workshop manuals).
SHOWED = "the dial showed {read} of the bare hub face{tops}, limit {limit}{whose}, and the most at {at}"
MORE = ": more than a lean"
WAVES = ", most of it {waves} waves a turn of {runout}"
TOPS = ", {runout} with the tops between its {places} places"
LOOK = (
    "rotor off and look at the bare hub face at {at}, before anything is moved, bought or left on: {play}a "
    "straight edge across it with a light behind; what stands up there on the seat is stoned flat by hand, on clean "
    "metal. Then the tip on a smooth ring beside the bolt holes and the face read again{places}, as further lines "
    "with the state 'cleaned again' (where it has that state already and metal came off: a new table); a rotor put "
    "back on it is the next mount, of that state too"
)
AT_PLACES = f" at {PLACES} places evenly apart (fewer may miss the tops)"
#: Behind a reading of the bare face on a card: no box below puts a rotor over one that goes.
FACE_OVER = " Over the vehicle maker's limit, ____ µm: stop, no rotor goes on it; ask again."
#: The look on the job card.
LOOK_BOX = (
    "Straight edge across the hub face at {at}, a light behind; what stands up on the seat stoned flat by hand, wiped; "
    f"the rotor's seat looked at there. Tip beside the bolt holes: one turn, 'cleaned again', ____ µm.{FACE_OVER}"
)
LOOK_WHY = (
    "{showed}. Raised metal on the seat rocks the rotor, a lip in a hole's chamfer carries nothing, and no dial tells "
    "them apart: until then that face counts neither as over nor as under. Over its limit again it counts as over: hub "
    "and bearing"
)
#: Of a face that was read as found over its limit.
CLEAN_FACE = "rotor off, the hub face cleaned and read bare once more, as further lines with the state 'cleaned'"
CLEAN_FACE_BOX = "Hub face cleaned, read bare: one turn, 'cleaned'."
DIRTY = "as found the bare hub face reads {read} ± {half}, limit {limit}{whose}"
DIRTY_WHY = (
    "{showed}: dirt reads so too and condemns no hub. Until it is read clean it counts neither as over nor as under; "
    "over its limit then, hub and bearing come first"
)
#: Of a face near its limit, where what is ordered would rest on it.
READ_ON_WHY = (
    "The bare hub face reads {read} ± {half} (k = 2), limit {limit}{whose}: until it is read so, what stays with the "
    "hub may be its face or what lies on it, no stud is chosen and no part is bought{checked}"
)
#: The same on the job card.
READ_ON_BOX = "Bare clean hub face read {more} {dial}: {blanks} µm, each a further turn, 'cleaned'."
FINEST, OR_FINER = "with the finest dial at hand", "with a dial of {mm:g} mm a division or finer"
#: Before the table refuses it: a true face and a tip that touches nothing read alike.
ALL_ALIKE = (
    " A true hub face may read all alike on this dial: what a 0.1 mm feeler under the tip then moves is one more "
    f"line of that turn, '{FEELER}'."
)
HUB_AGAIN = (
    "read it {more} with the finest dial at hand, as further lines beside those that are there (its division in the "
    "column dial_um): the middle of three turns of that dial that agree decides{finer} (a rotor that is on comes off "
    "for it; {then})"
)
#: Turns of a coarser dial are not in the middle that buys a hub.
OF_ITS_OWN = f", of one finer than {{mm:g}}{GAP}mm a division three of its own"
PUT_BACK = "put back on it is the next mount, and read again"
#: Where nothing comes before that face: which stud is next the answer with its turns says.
STAYS_OFF = f"ask again before one goes on, on which stud that answer says; {PUT_BACK}"
#: A division about as large as the limit shows the same all round of a face that runs out by its limit.
HUB_COARSE = (
    f"read it with a dial of {{mm:g}}{GAP}mm a division or finer, as further lines beside those that are there (its "
    "division in the column dial_um): what read it is too coarse for this limit, however often it reads (a rotor "
    "that is on comes off for it; put back on it is the next mount, and read again); who has none finer stops here, no "
    "hub is bought and nothing left on by that dial, and hands the work on to who has one"
)
HUB_NEAR = (
    " The bare hub face is at or near its limit: {again}{checked}; before that no part is bought, and this is not done."
)
#: The same behind a reading for which the rotor stays on.
HUB_THEN = (
    " That reading first; then, the rotor off, the bare hub face, which is at or near its limit: {again}{checked}; "
    "before that no part is bought, and this is not done."
)
HUB = (
    "Hub and bearing first{over}. {the} bare clean hub face once more, as further lines beside those "
    "that are there: over {its_limit} again, hub or bearing is renewed, and nothing more is "
    "read on the old one. No rotor and no stud cures a hub."
)
#: The same within its uncertainty of the limit: there it counts as over at last.
HUB_CLOSE = (
    "Hub and bearing first: {at_it}, and no stud that was tried reads under the runout's own. "
    "{again}: over that limit or at it then, hub or bearing is renewed. No rotor and no stud cures a hub."
)
#: The end: it was read so twice, or with a fine dial.
HUB_READ_OUT = (
    "Hub and bearing{over}. {hub} or bearing is renewed as the vehicle maker "
    "allows; no more reading is asked. No rotor and no stud cures a hub."
)
#: Of a face that shows more than a lean: raised metal is no hub's end.
EDGE_FIRST = (
    " It shows more than a lean: before it is bought a straight edge across it at {at}; metal raised there is stoned "
    "flat by hand, and the face read again (state 'cleaned again'; one that has that state already in a new table)."
)
#: Whatever the old hub took away from the rotor's own the new one does not: no turn on the old hub counts on.
NEW_HUB = (
    " With a new hub or bearing a new table begins, bare face and rotor read again: the rotor may run out by "
    "itself{most}."
)
MOST, MOST_UNKNOWN = " up to about {most}", ", how much is not known before"
#: The same in the middle of a sentence, where nobody reckons how much.
NEW_HUB_BRIEFLY = "with a new one a new table begins, bare face and rotor read again"
HUB_IS_OVER = "the bare hub face is over its limit"
#: The same with its figures: a hub is bought by them.
OVER_BY = f"{HUB_IS_OVER}, {{read}} ± {{half}} (k = 2{{how}}), limit {{limit}}{{whose}}"
MAKERS, THAT_LIMIT = "the vehicle maker's limit", "that limit"
#: Beside a rotor that goes by its thickness: the next one is not put on such a hub.
HUB_TOO = (
    f" Before a new rotor goes on: {HUB_IS_OVER} too, hub and bearing first; {NEW_HUB_BRIEFLY}. No rotor cures a hub."
)
#: Within its uncertainty of the limit, by the side on which the middle lies.
HUB_IS_COUNTED = (
    "the bare hub face counts as over its limit: the middle of {times} turns is {read} ± {half} (k = 2), limit {limit}"
    "{whose} (common practice, no source)"
)
HUB_COUNTS = (
    "{at_it}. As no stud that was tried reads under the runout's own, it counts as over (common practice, no source)"
)
HUB_IS_UNDER = (
    "the bare hub face is below its own limit, {how}, and still no stud that was tried reads under the runout's"
)
#: A bare face within its uncertainty of its limit, with its figures.
HUB_AT_IT = "the bare hub face is at its limit, {read} ± {half} (k = 2{how}), limit {limit}{whose}"
HUB_WORKED_OUT = " (no vehicle maker's: where there is one, that one counts)"
#: Beside an act that goes on: what such a face counts as is decided with the runout.
HUB_WAITS = " {at_it}: it counts as over only where no stud brings the runout under its own limit{checked}."
#: A bare hub face that was read out within its uncertainty of the limit: said by every command alike.
HUB_NEITHER = (
    "it counts neither as over nor as under, and nothing is bought for it (common practice, no source): "
    "{checked}the face is read again when the rotor is next off, before another one goes on"
)
HUB_STAYS = f" {{at_it}}, and no more reading is asked: {HUB_NEITHER}."


def all_alike(dial_um: float) -> str:
    """Say beforehand what a bare hub face that reads all alike needs; empty for a dial that shows the least lean.

    Parameters
    ----------
    dial_um : float
        One division. [um]
    """
    return ALL_ALIKE if dial_um > COARSE_UM else ""


def hub_too(face: HubFace | None, play: bool = True) -> str:
    """Say beside an order for the rotor that the bare hub is over its limit too; empty where it is not.

    Parameters
    ----------
    face : HubFace or None
    play : bool
        Whether the bearing is still to be checked for play (`sim.bench.bearing_asked.for_play`).
    """
    if face is not None and face.to_look_at:
        return f" Before a new rotor goes on: {read_again(face, play)}."
    return HUB_TOO if face is not None and face.state == ABOVE else ""


def hub_and_bearing(face: HubFace | None, rotor_um: float | None = None, play: bool = True) -> str:
    """Say what is done about hub and bearing: the bare face once more, or the end where it was read out.

    Parameters
    ----------
    face : HubFace or None
    rotor_um : float or None
        Most that the rotor runs out by itself, of `sim.bench.told_by_mountings.ToldApart.rotor_most_um`. [um]
    play : bool
        As `hub_too` takes it.
    """
    most = MOST_UNKNOWN if rotor_um is None else MOST.format(most=micrometres(rotor_um))
    if face is None:
        return HUB.format(over="", the=still_to_check.first(play, "the"), its_limit=MAKERS) + NEW_HUB.format(most=most)
    asked = ask_unit(face.runout_um)
    return (
        (f"{asked}. " if asked else "")
        + _hub(face, play)
        + (EDGE_FIRST.format(at=_place(face)) if _raised(face) else "")
        + NEW_HUB.format(most=most)
    )


def _raised(face: HubFace) -> bool:
    """Whether a face that is over by a fit shows more than a lean: held by what it showed it was looked at already."""
    return face.as_shown is not None and face.as_shown.uneven and not face.uneven


def _hub(face: HubFace, play: bool) -> str:
    if face.state == TOO_CLOSE and not face.read_out:
        return HUB_CLOSE.format(at_it=at_its_limit(face), again=still_to_check.first(play, read_again(face, play)))
    over = {
        ABOVE: _counted(face) if face.counted else _over(face),
        TOO_CLOSE: HUB_COUNTS.format(at_it=at_its_limit(face)),
        BELOW: HUB_IS_UNDER.format(how=how_read(face)),
    }[face.state]
    if face.state == ABOVE and not face.read_out:
        its_limit = MAKERS if face.stated else THAT_LIMIT
        return HUB.format(over=f": {over}", the=still_to_check.first(play, "the"), its_limit=its_limit)
    return HUB_READ_OUT.format(
        over=f": {over}", hub=still_to_check.first(play, "hub", "Check the bearing for play, then ")
    )


def look_at(face: HubFace, play: bool = True) -> str:
    """Say how a bare face is looked at that a fit alone would acquit, or read on near its limit, and why.

    Parameters
    ----------
    face : HubFace
    play : bool
        As `hub_too` takes it.
    """
    if not face.to_look_at:
        checked = still_to_check.where(play, ". Check the bearing for play")
        why = READ_ON_WHY.format(checked=checked, **_figures(face))
        return f"the bare hub face first: {read_again(face, play, off=True)}. {why}"
    why = DIRTY_WHY if face.as_found else LOOK_WHY
    return f"{read_again(face, play)}. {capital(why.format(showed=showed(face)))}"


#: Divisions of dials, coarsest first. Common practice, no source. [um]
DIALS_UM = (10.0, 5.0, 2.0, 1.0)


def look_box(face: HubFace, decides: bool = False) -> str:
    """Say the same in the box of a job card; ``decides``: whether the next box says what follows over the limit."""
    if not face.to_look_at:
        more = more_turns(face)
        dial = OR_FINER.format(mm=finer_division_mm(face)) if face.coarse else FINEST
        said = READ_ON_BOX.format(more=more, dial=dial, blanks=", ".join(["____"] * (2 if "twice" in more else 1)))
        return said if decides else said + FACE_OVER
    return CLEAN_FACE_BOX if face.as_found else LOOK_BOX.format(at=_place(face))


def showed(face: HubFace) -> str:
    """Say what the dial showed of an uneven bare face beside its limit, in the middle of a sentence."""
    one = face.as_shown
    if face.as_found:
        return DIRTY.format(**_figures(face))
    if one is None:
        return ""
    between = round(one.runout_um) > round(one.read_um)
    tops = TOPS.format(runout=micrometres(one.runout_um), places=one.places) if between else ""
    figures = _figures(face) | {"read": micrometres(one.read_um)}
    return SHOWED.format(tops=tops, at=_place(face), **figures)


def more_than_a_lean(face: HubFace) -> str:
    """Say that a bare face shows more than a lean, and how many waves a turn make most of that; else nothing."""
    one = face.as_shown
    if one is None or not one.uneven:
        return ""
    return MORE + (WAVES.format(waves=one.waves, runout=micrometres(one.waves_um)) if one.waves else "")


def _place(face: HubFace) -> str:
    return "" if face.as_shown is None else f"{face.as_shown.highest_deg:g}°"


def read_again(face: HubFace, play: bool = True, off: bool = False) -> str:
    """Say how often a bare face near its limit is still to be read, in the middle of a sentence.

    Parameters
    ----------
    face : HubFace
    play : bool
        As `hub_too` takes it.
    off : bool
        Whether nothing else is ordered with it: then the rotor stays off until it is asked again.
    """
    if face.as_found:
        return CLEAN_FACE
    if face.to_look_at:
        few = face.as_shown is not None and face.as_shown.places < PLACES
        return LOOK.format(
            at=_place(face), places=AT_PLACES if few else "", play=still_to_check.where(play, "bearing play, ")
        )
    if face.coarse:
        return HUB_COARSE.format(mm=finer_division_mm(face))
    finer = OF_ITS_OWN.format(mm=face.dial_um / 1000.0) if face.dial_um > COARSE_UM else ""
    return HUB_AGAIN.format(more=more_turns(face), finer=finer, then=STAYS_OFF if off else PUT_BACK)


def finer_division_mm(face: HubFace) -> float:
    """Division of the coarsest usual dial that is fine enough for a face's limit. [mm]."""
    return next(one for one in DIALS_UM if one <= max(face.limit_um / 2.0, 1.0)) / 1000.0


def more_turns(face: HubFace) -> str:
    """Say how many turns of a bare face are still wanted: of one that is over its limit a second that says so."""
    return "once more" if face.state == ABOVE or face.wanted < 2 else "twice more"


def at_its_limit(face: HubFace) -> str:
    """Say where a bare face within its uncertainty of its limit stands, in the middle of a sentence."""
    how = f"; {how_read(face)}" if face.alike > 1 else ""
    return HUB_AT_IT.format(how=how, **_figures(face))


def _counted(face: HubFace) -> str:
    """Say of a bare face that it counts as over its limit by the middle of its turns."""
    return HUB_IS_COUNTED.format(times=face.times, **_figures(face))


def _over(face: HubFace) -> str:
    """Say of a bare face that it is over its limit, with both figures and how often it was read so."""
    how = f"; {how_read(face)}" if face.read_out else ""
    return OVER_BY.format(how=how, **_figures(face))


def told_by(face: HubFace) -> int:
    """Digits behind the point that tell a bare face from its limit where it counts as over it: a hub is bought by them.

    Parameters
    ----------
    face : HubFace
    """
    if face.state != ABOVE:
        return 0
    return next((n for n in (0, 1) if round(face.runout_um, n) != round(face.limit_um, n)), 2)


def _figures(face: HubFace) -> dict[str, str]:
    """Its runout beside its limit."""
    digits = told_by(face)
    return {
        "read": f"{face.runout_um:.{digits}f}",
        "half": f"{face.uncertainty_um:.0f}{GAP}µm",
        "limit": f"{face.limit_um:.{digits}f}{GAP}µm",
        "whose": "" if face.stated else HUB_WORKED_OUT,
    }


def near_its_limit(face: HubFace, left_on: bool, play: bool = True, first: bool = False) -> str:
    """Say of a bare face near its limit what it counts as once it was read out; else that it is read again.

    Parameters
    ----------
    face : HubFace
    left_on : bool
        Whether the act leaves the rotor on.
    play : bool
        As `hub_too` takes it.
    first : bool
        Whether a reading is ordered for which the rotor stays on: that comes first, in one go with the face.
    """
    if face.to_look_at:
        return f" {capital(showed(face))}: {read_again(face, play)}."
    if not face.let_be:
        return (HUB_THEN if first else HUB_NEAR).format(
            again=read_again(face, play), checked=still_to_check.where(play, ". Check the bearing for play")
        )
    at_it = capital(at_its_limit(face))
    if left_on:
        return HUB_STAYS.format(
            at_it=at_it, checked=still_to_check.where(play, "the bearing is to be checked for play, and ")
        )
    return HUB_WAITS.format(at_it=at_it, checked=still_to_check.where(play, "; the bearing is to be checked for play"))


def how_read(face: HubFace) -> str:
    """Say how often a bare face was read alike, or by what."""
    if face.alike > 1:
        return f"read {'twice' if face.alike == 2 else f'{face.alike} times'} alike"
    return "read with a fine dial" if face.read_out else "read once"
