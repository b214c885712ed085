"""What readings order next, each act in one sentence: the same whether a corner's geometry ranks causes or not."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scenes.words.words import GAP, counted, micrometres
from sim.files.readings_rows import FEELER
from sim.files.seated_home import ask_unit
from sim.parts.dial import ABOVE, BELOW, COARSE_UM, TOO_CLOSE
from sim.parts.thickness import LEAST_BETWEEN_UM, MEAN_OF, NO_MORE, PLACES, SELDOM_LESS, UNEVEN_NEITHER

if TYPE_CHECKING:
    from sim.bench.bare_face import HubFace
    from sim.parts.thickness import Uneven

CLEAN = "rotor off, clean hub face, spigot and rotor seat, put the painted hole back on stud {stud} and read it again"
CLEAN_AGAIN = "rotor off, clean hub face, spigot and rotor seat once more"
#: A second cleaning has a name of its own in the table: dirt shows by it, a part does not.
READ_CLEANED_AGAIN = (
    "put the painted hole back on stud {stud}, the same as it was read on last, and read it again (next mount number, "
    "state cleaned again)"
)
SEAT = "dirt that cleaning left on the rotor's seat turns with the rotor on every stud, as its own runout does"
#: Before a rotor is bought for its runout, its seat cleaned twice.
SEAT_BY_EYE = (
    "before money is spent a straight edge across the rotor's seat and the hub face, as scale that a brush leaves "
    "turns with the rotor too; a scraper or a stone takes it (common practice, no source), and back on the same stud "
    "it is read again first"
)
TOWARDS = ", most of all towards stud {near}"
MOVE = "rotor off, put the painted hole on {place}, same torque, and read it again"
BEST = "hub and rotor cancel best there"
#: The best stud of those not tried, where it is expected to read over the limit all the same: what it is read for.
TRY_FIRST = (
    "for certainty before a part is bought, a pass is not expected: {expected}, limit {limit}{may}. Read there it "
    "parts hub from rotor once more"
)
NEITHER, LIKELY_OVER = "Neither done nor over", "Likely over, not done"
#: Over the limit by so much of its uncertainty (k = 2) a reading is over it nine times in ten (normal distribution).
LIKELY_OVER_SHARE = 0.64
BARE_HUB = "rotor off, read the bare clean hub face"
#: What the dial showed of a bare face where a fit would acquit it: no dial tells a lip in a hole's chamfer, which
#: carries nothing, from raised metal on the seat (both common practice; the lips: two workshop manuals).
SHOWED = "the dial showed {read} of the bare hub face{tops}, limit {limit}{whose}, and the most at {at}"
MORE = ": more than a lean"
WAVES = ", most of it {waves} waves a turn of {runout}"
TOPS = ", {runout} with the tops between its {places} places"
LOOK = (
    "rotor off and look at the bare hub face at {at}, before anything is moved, bought or left on: bearing play, a "
    "straight edge across it with a light behind; what stands up there on the seat is stoned flat by hand, on clean "
    "metal. Then the tip on a smooth ring beside the bolt holes and the face read again{places}, as further lines "
    "with the state 'cleaned again'; a rotor put back on it is the next mount, of that state too"
)
AT_PLACES = f" at {PLACES} places evenly apart (fewer may miss the tops)"
#: The same on the job card.
#: Behind a reading of the bare face on a card: no box below puts a rotor over one that goes.
FACE_OVER = " Over the vehicle maker's limit, ____ µm: stop, no rotor goes on it; ask again."
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
    "hub may be its face or what lies on it, and no part is bought. Bearing play is checked"
)
#: The same on the job card.
READ_ON_BOX = "Bare clean hub face read {more} {dial}: {blanks} µm, each a further turn, 'cleaned'."
FINEST, OR_FINER = "with the finest dial at hand", "with a dial of {mm:g} mm a division or finer"
#: Before the table refuses it: a true face and a tip that touches nothing read alike.
ALL_ALIKE = (
    " A true hub face may read all alike on this dial: what a 0.1 mm feeler under the tip then moves is one more "
    f"line of that turn, '{FEELER}'."
)
THICKNESS = "thickness by micrometer at the same places, the rotor stays on"
#: Repeats are added, never put in place of the first: the middle of all of them counts.
ADDED = "further lines with mount, studs_turned and state of those that are there, which stay"
FINER_MICROMETER = (
    f"thickness at the same places with the finest micrometer at hand, every place {{times}} times, {ADDED}, its "
    "division in the column dial_um; their middle is sure to {half} (k = 2) at 0.001 mm a division"
)
#: A division about as large as the limit shows the same all round of a rotor that varies by its limit.
TOO_COARSE = (
    f"thickness at the same places with a micrometer of {{mm:g}}{GAP}mm a division or finer, {ADDED}, its division in "
    "the column dial_um: the one that read it is too coarse for this limit, however often it reads; who has none finer "
    "stops here and hands the work on to who has one"
)
#: Of several turns that scatter: their middle, place by place, is as uneven as they scatter.
STEADIER_HAND = (
    "thickness at the same places by a steadier hand or with the micrometer held in a stand, places marked, faces and "
    "anvils wiped, anvils square and closed by the ratchet, as "
    f"{ADDED}, until three turns agree: the turns that are there scatter by more than a micrometer does, and no rotor "
    "is bought by them; who has neither stops here and hands the work on"
)
#: Of one turn that scatters: a second that agrees with it tells a lump from a shaky hand.
ONCE_MORE = f"thickness at the same places once more, {ADDED}; one turn that scatters so orders no part by itself"
MORE_READINGS = (
    f"thickness at the same places {{more}} more, {ADDED}; the middle of {{times}} readings a place is sure to "
    f"{{half}} (k = 2)"
)
#: Few places miss the tops of two humps by more than any micrometer errs.
MORE_PLACES_FIRST = (
    f"thickness at {PLACES} places of the turn, evenly apart, as a turn of its own: {ADDED}; so few places as were "
    "read may miss the tops of two humps"
)
HUB_AGAIN = (
    "read it {more} with the finest dial at hand, as further lines beside those that are there (its division in the "
    "column dial_um): the middle of three turns of that dial that agree decides (a rotor that is on comes off for it; "
    "put back on it is the next mount, and read again)"
)
#: A division about as large as the limit shows the same all round of a face that runs out by its limit.
HUB_COARSE = (
    f"read it with a dial of {{mm:g}}{GAP}mm a division or finer, as further lines beside those that are there (its "
    "division in the column dial_um): what read it is too coarse for this limit, however often it reads (a rotor "
    "that is on comes off for it; put back on it is the next mount, and read again); who has none finer stops here, no "
    "hub is bought and nothing left on by that dial, and hands the work on to who has one"
)
HUB_NEAR = (
    " The bare hub face is at or near its limit: {again}. The bearing is checked for play; before that no part is "
    "bought, and this is not done."
)
#: One rule for every turn that is asked for: a number of its own where something was done before it.
ANEW = (
    "slacken the nuts, tighten them crosswise in stages and read it again, every turn under the next mount number, "
    "same stud, until there are three"
)
#: A turn of the finer dial has a mount's number of its own, though the rotor stays where it is.
FINER_DIAL = (
    "the rotor stays on, its nuts untouched: read it once more with a finer dial, 0.002 mm a division or finer, and "
    "enter it under the next mount number, same stud, with its division in the column dial_um (0.001 mm: 1)"
)
DECIDES = f"that turn decides, ask again with it; without such a dial {ANEW}: the middle of these turns decides"
#: The end of reading a runout that no dial tells from its limit, by the side on which the middle of its turns lies.
MEAN = (
    "The end of reading: the middle of {turns} turns on clean faces is {read} (k = 2) on stud {stud}, {side} "
    "the limit of {limit}, and no dial tells it closer. "
)
#: Why one of two middles of the same printed figure counts as over and the other does not.
UNROUNDED = " (not rounded it is {side} it, and that counts)"
MEAN_UNDER = (
    "{there}, unless the vehicle maker's limit{takes} is lower. Still to check: {thick}{hub}cracks, bearing play."
)
MEAN_OVER = "It counts as over, unless the vehicle maker's limit{takes} is higher: {over_it}."
#: What is left out where the maker's least thickness after a cut is known and no cut keeps it: see `uncut`.
OR_CUT = ", or cut it where its maker allows"
#: The end of reading: the middle of several readings a place is over the limit, by less than it is sure to.
UNEVEN_END = (
    "Its thickness reads over its limit by less than this micrometer is sure to, and no more reading is asked. Count "
    f"it as over: renew the rotor{OR_CUT}, on a clean hub, both of the axle; read after fitting, in a new table. Only "
    "a finer measurement that reads it within its limit, or a wider limit of the vehicle maker's, keeps it on"
)
VARIES = "Thickness varies by {read} (k = 2; {how}), limit {limit}{whose}: {verdict}."
MORE_PLACES = "two humps, and {places} places may miss {by} of their tops"
TOO_NEAR, TOO_COARSELY = "too near", "too coarsely"
BY_STEADIER = "it is read by a steadier hand, or with the micrometer in a stand"
EVERY_PLACE, BY_FINER, AT_MORE = (
    "every place is read {times} times", "it is read with a finer micrometer", f"it is read at {PLACES} places",
)  # fmt: skip
#: The same on a card where the micrometer at hand reads on beside its turns: with room for each.
EVERY_PLACE_MORE = "every place is read {more} more ({blanks} µm), {times} times in all"
NEAR_NOT_YET = f" Before the rotor is left on or renewed {EVERY_PLACE}."
NEAR_COARSE = f" Before the rotor is left on {BY_FINER}."
NEAR_SHAKY = f" Before the rotor is left on or renewed {BY_STEADIER}."
NEAR_FEW_PLACES = f" Before the rotor is left on {AT_MORE}."
NEAR_AT_LAST = " No more reading by this micrometer is asked: before the rotor is left on it counts as over."
NEAR_NEITHER = f" {NO_MORE[:1].upper()}{NO_MORE[1:]}: {UNEVEN_NEITHER}."
#: The same beside a rotor that is left on.
THICKNESS_STAYS = f" Its thickness is at its limit, {{read}} (k = 2), limit {{limit}}, and {NO_MORE}: {UNEVEN_NEITHER}."
RETORQUE = (
    "slacken the nuts and tighten them crosswise in stages to the torque, the rotor not taken off, and read it again"
)
SPACERS = (
    "slacken the nuts, plain spacers under every one, tighten crosswise in stages to the torque, the rotor not taken "
    "off, and read it again"
)
RENEW = f"Renew the rotor{OR_CUT}, on a clean hub, both of the axle; read after fitting, in a new table"
#: A rotor near its discard thickness: said before any work, and nothing is cut from it.
#: Of a corner of which neither a reading nor its own file gives the thickness.
UNREAD = "Its thickness and the stamp are still to be read: no rotor is left on whose thickness nobody read."
#: Where the list is, behind what leads.
THE_WORK = "the work in its order, with its cautions: trueseat seat CASE, or trueseat report CASE --sheet"
#: Of one that comes off for what is ordered.
UNREAD_OFF = "Before it comes off its thickness is read by micrometer, and its stamp; " + THE_WORK + "."
THIN_FIRST = "Its thickness comes first: {thin}. "
#: The same of one at or under a stamp that the case states: there is nothing to judge.
SCRAP_BY_ITS_STAMP = (
    THIN_FIRST + "Both rotors of the axle new, each on a clean hub; read after fitting, in a new table. Nothing is cut."
)
#: The same of one that is so by a part set's figure.
UNTIL_ITS_STAMP = "Until its stamp is read nothing is cut, and nothing but that leaves it on."
STAMP_DECIDES = THIN_FIRST + UNTIL_ITS_STAMP
#: The same of one that is uneven over its limit besides: no stamp keeps it on.
UNEVEN_BESIDES = (
    THIN_FIRST + "Nothing is cut, and over its stamp it goes too: its thickness varies by {varies}, over its limit of "
    "{limit}; renew it, both of the axle."
)
#: A figure that nobody measured here.
AS_GIVEN = "{value} as given (measured before it is renewed)"
NO_ROAD = "No road, no stud and no cut is reckoned for it."
NOTHING, BUT_THE_SHEET = "Nothing", "Nothing but the fitting sheet"
PAGE_BY_CAUSES = (
    "{nothing} is written: of a table that holds a mounted turn too trueseat causes {table} makes page and job card "
    "(--case, --out)."
)
#: What the answer by machine calls the two.
RENEW_IT, READ_THE_STAMP = "renew the rotor", "read the stamp"
RENEW_ONLY = (
    "Renew the rotor, nothing is left to cut, on a clean hub, both of the axle; read after fitting, in a new table"
)
HUB = (
    "Hub and bearing first{over}. Bearing play, then the bare clean hub face once more, as further lines beside those "
    "that are there: over the vehicle maker's limit again, hub or bearing is renewed, and nothing more is "
    "read on the old one. No rotor and no stud cures a hub."
)
#: The same within its uncertainty of the limit: there it counts as over at last.
HUB_CLOSE = (
    "Hub and bearing first: {at_it}, and no stud that was tried reads under the runout's own. Bearing play, then "
    "{again}: over that limit or at it then, hub or bearing is renewed. No rotor and no stud cures a hub."
)
#: The end: it was read so twice, or with a fine dial.
HUB_READ_OUT = (
    "Hub and bearing{over}. Bearing play is checked, then hub or bearing is renewed as the vehicle maker "
    "allows; no more reading is asked. No rotor and no stud cures a hub."
)
#: Of a face that shows more than a lean: raised metal is no hub's end.
EDGE_FIRST = (
    " It shows more than a lean: before it is bought a straight edge across it at {at}; metal raised there is stoned "
    "flat by hand, and the face read again (state 'cleaned again')."
)
#: Whatever the old hub took away from the rotor's own the new one does not: no turn on the old hub counts on.
NEW_HUB = (
    " With a new hub or bearing a new table begins, bare face and rotor read again: the rotor may run out by "
    "itself{most}."
)
MOST, MOST_UNKNOWN = " up to about {most}", ", how much is not known before"
#: The same in the middle of a sentence, where nobody reckons how much.
NEW_HUB_BRIEFLY = "with a new one a new table begins, bare face and rotor read again"
#: Of a rotor that goes by its own thickness or stamp, after the hub on which the next one is fitted and read.
THEN_THE_ROTOR = (
    f" Then the rotor{{because}}: renew it{OR_CUT}, both of the axle, each on a clean hub; read after fitting, in the "
    "new table."
)
THEN_NEW_ROTORS = " Then, on the new hub, the rotors; read after fitting, in the new table."
HUB_IS_OVER = "the bare hub face is over its limit"
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
HUB_WAITS = (
    " {at_it}: it counts as over only where no stud brings the runout under its own limit; bearing play is checked."
)
#: A bare hub face that was read out within its uncertainty of the limit: said by every command alike.
HUB_NEITHER = (
    "it counts neither as over nor as under, and nothing is bought for it (common practice, no source): bearing play "
    "is checked, and the face is read again when the rotor is next off, before another one goes on"
)
HUB_STAYS = f" {{at_it}}, and no more reading is asked: {HUB_NEITHER}."
READ_AGAIN = "Read again before anything is blamed or bought: {why}."


def uncut(said: str, why: str) -> str:
    """Leave the cut out of what orders a rotor, with the reason; as it stands where there is none."""
    return said.replace(OR_CUT, f" ({why})") if why else said


def all_alike(dial_um: float) -> str:
    """Say beforehand what a bare hub face that reads all alike needs; empty for a dial that shows the least lean.

    Parameters
    ----------
    dial_um : float
        One division. [um]
    """
    return ALL_ALIKE if dial_um > COARSE_UM else ""


def on_stud(studs_turned: int) -> str:
    """Name the stud on which the painted hole is put, and how far that is from stud 1.

    Parameters
    ----------
    studs_turned : int
        Stud pitches from stud 1, counter-clockwise.

    Examples
    --------
    >>> on_stud(0), on_stud(2)
    ('stud 1', 'stud 3, 2 studs on from stud 1 counter-clockwise')
    """
    if not studs_turned:
        return "stud 1"
    return f"stud {studs_turned + 1}, {counted(studs_turned, 'stud')} on from stud 1 counter-clockwise"


def thickness_again(close: Uneven) -> str:
    """Say how a thickness too close to its limit is read again, in the middle of a sentence."""
    if close.places_first:
        return MORE_PLACES_FIRST
    if close.shaky:
        return ONCE_MORE if close.turns == 1 else STEADIER_HAND
    if close.coarse:
        return TOO_COARSE.format(mm=close.wanted_division_um / 1000.0)
    half = f"± {close.mean_doubt_um:.0f}{GAP}µm"
    if not close.finest:
        return FINER_MICROMETER.format(times=close.wanted_turns, half=half)
    more = "once" if close.wanted_turns - close.turns == 1 else "twice"
    return MORE_READINGS.format(more=more, times=close.wanted_turns, half=half)


def thickness_varies(varies: Uneven | None, whose: str = "", ordered: bool = False) -> str:
    """Say how the thickness varies beside its limit: it is felt whatever the runout is; empty where nobody read it.

    Parameters
    ----------
    varies : Uneven or None
    whose : str
        Whose limit that is, in brackets, with a blank before them.
    ordered : bool
        Whether the act itself says what is done about a variation near its limit.
    """
    if varies is None:
        return ""
    how = "one reading a place" if varies.turns == 1 else f"middle of {varies.turns} readings a place"
    if varies.shaky and varies.state == TOO_CLOSE:
        how += f"; {varies.scatters}"
    elif varies.taken:
        how += f"; {varies.taken}"
    if varies.between_um >= LEAST_BETWEEN_UM:
        how += "; " + MORE_PLACES.format(places=varies.places, by=f"{varies.between_um:.0f}{GAP}µm")
    said = VARIES.format(
        read=varies.figure.replace(" µm", f"{GAP}µm"),
        how=how,
        limit=micrometres(varies.limit_um),
        whose=whose,
        verdict=_beside(varies),
    )
    return said + ("" if ordered else _near(varies))


def _near(varies: Uneven) -> str:
    """Say what is done about a variation near its limit, or what it counts as; empty for one that is not near."""
    if varies.state != TOO_CLOSE:
        return ""
    if varies.places_first:
        return NEAR_FEW_PLACES
    if varies.coarse:
        return NEAR_COARSE
    if varies.shaky and varies.turns > 1 and not varies.counts_neither:
        return NEAR_SHAKY
    if varies.counts_neither:
        return NEAR_NEITHER
    return NEAR_AT_LAST if varies.counts_over else NEAR_NOT_YET.format(times=varies.wanted_turns)


def thickness_still(varies: Uneven | None) -> str:
    """Say in brief how a variation too near its limit is still to be read; empty for one that is read out."""
    if varies is None or varies.state != TOO_CLOSE or varies.counts_neither or varies.counts_over:
        return ""
    if varies.places_first:
        return AT_MORE
    if varies.shaky and varies.turns > 1:
        return BY_STEADIER
    if varies.coarse:
        return BY_FINER
    if not varies.finest:
        return EVERY_PLACE.format(times=varies.wanted_turns)
    more, blanks = ("once", "____") if varies.wanted_turns - varies.turns == 1 else ("twice", "____, ____")
    return EVERY_PLACE_MORE.format(more=more, blanks=blanks, times=varies.wanted_turns)


def thickness_stays(varies: Uneven | None) -> str:
    """Say beside a rotor that is left on that its thickness counts neither as over nor as under; else empty."""
    if varies is None or not varies.counts_neither:
        return ""
    return THICKNESS_STAYS.format(read=varies.figure.replace(" µm", f"{GAP}µm"), limit=micrometres(varies.limit_um))


def _beside(varies: Uneven) -> str:
    """Where it stands beside its limit; too near to tell, the side on which it was read."""
    if varies.state in (ABOVE, BELOW):
        seldom = f", as {SELDOM_LESS}" if varies.seldom_over else ""
        return {ABOVE: "over it", BELOW: "below it"}[varies.state] + seldom
    at_it = round(varies.value_um) == round(varies.limit_um)
    side = "at" if at_it else "over" if varies.value_um > varies.limit_um else "under"
    return f"{side} it as read, {TOO_COARSELY if varies.coarse else TOO_NEAR} to tell"


def hub_too(face: HubFace | None) -> str:
    """Say beside an order for the rotor that the bare hub is over its limit too; empty where it is not."""
    if face is not None and face.to_look_at:
        return f" Before a new rotor goes on: {hub_again(face)}."
    return HUB_TOO if face is not None and face.state == ABOVE else ""


def hub(face: HubFace | None, rotor_um: float | None = None) -> str:
    """Say what is done about hub and bearing: the bare face once more, or the end where it was read out.

    Parameters
    ----------
    face : HubFace or None
    rotor_um : float or None
        Most that the rotor runs out by itself, of `sim.bench.mountings.ToldApart.rotor_most_um`. [um]
    """
    most = MOST_UNKNOWN if rotor_um is None else MOST.format(most=micrometres(rotor_um))
    if face is None:
        return HUB.format(over="") + NEW_HUB.format(most=most)
    asked = ask_unit(face.runout_um)
    return (
        (f"{asked}. " if asked else "")
        + _hub(face)
        + (EDGE_FIRST.format(at=_place(face)) if _raised(face) else "")
        + NEW_HUB.format(most=most)
    )


def _raised(face: HubFace) -> bool:
    """Whether a face that is over by a fit shows more than a lean: held by what it showed it was looked at already."""
    return face.as_shown is not None and face.as_shown.uneven and not face.uneven


def _hub(face: HubFace) -> str:
    if face.state == TOO_CLOSE and not face.read_out:
        return HUB_CLOSE.format(at_it=hub_at_it(face), again=hub_again(face))
    over = {
        ABOVE: _counted(face) if face.counted else HUB_IS_OVER + (f", {how_read(face)}" if face.read_out else ""),
        TOO_CLOSE: HUB_COUNTS.format(at_it=hub_at_it(face)),
        BELOW: HUB_IS_UNDER.format(how=how_read(face)),
    }[face.state]
    return (HUB if face.state == ABOVE and not face.read_out else HUB_READ_OUT).format(over=f": {over}")


def look_at(face: HubFace) -> str:
    """Say how a bare face is looked at that a fit alone would acquit, or read on near its limit, and why."""
    if not face.to_look_at:
        return f"the bare hub face first: {hub_again(face)}. {READ_ON_WHY.format(**_figures(face))}"
    why = DIRTY_WHY if face.as_found else LOOK_WHY
    return f"{hub_again(face)}. {first_big(why.format(showed=showed(face)))}"


def first_big(said: str) -> str:
    """Begin a sentence with what stands in the middle of others."""
    return said[:1].upper() + said[1:]


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


def hub_again(face: HubFace) -> str:
    """Say how often a bare face near its limit is still to be read, in the middle of a sentence."""
    if face.as_found:
        return CLEAN_FACE
    if face.to_look_at:
        few = face.as_shown is not None and face.as_shown.places < PLACES
        return LOOK.format(at=_place(face), places=AT_PLACES if few else "")
    if face.coarse:
        return HUB_COARSE.format(mm=finer_division_mm(face))
    return HUB_AGAIN.format(more=more_turns(face))


def finer_division_mm(face: HubFace) -> float:
    """Division of the coarsest usual dial that is fine enough for a face's limit. [mm]."""
    return next(one for one in DIALS_UM if one <= max(face.limit_um / 2.0, 1.0)) / 1000.0


def more_turns(face: HubFace) -> str:
    """Say how many turns of a bare face are still wanted: of one that is over its limit a second that says so."""
    return "once more" if face.state == ABOVE or face.wanted < 2 else "twice more"


def hub_at_it(face: HubFace) -> str:
    """Say where a bare face within its uncertainty of its limit stands, in the middle of a sentence."""
    how = f"; {how_read(face)}" if face.alike > 1 else ""
    return HUB_AT_IT.format(how=how, **_figures(face))


def _counted(face: HubFace) -> str:
    """Say of a bare face that it counts as over its limit by the middle of its turns."""
    return HUB_IS_COUNTED.format(times=face.times, **_figures(face))


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


def hub_near(face: HubFace, left_on: bool) -> str:
    """Say of a bare face near its limit what it counts as once it was read out; else that it is read again.

    Parameters
    ----------
    face : HubFace
    left_on : bool
        Whether the act leaves the rotor on.
    """
    if face.to_look_at:
        return f" {first_big(showed(face))}: {hub_again(face)}."
    if not face.let_be:
        return HUB_NEAR.format(again=hub_again(face))
    at_it = hub_at_it(face)
    return (HUB_STAYS if left_on else HUB_WAITS).format(at_it=at_it[:1].upper() + at_it[1:])


def how_read(face: HubFace) -> str:
    """Say how often a bare face was read alike, or by what."""
    if face.alike > 1:
        return f"read {'twice' if face.alike == 2 else f'{face.alike} times'} alike"
    return "read with a fine dial" if face.read_out else "read once"


def near_limit(read_um: float, half_um: float, limit_um: float) -> str:
    """Say of a runout that no dial tells from its limit what it is called: over by so much, it is likely over.

    Parameters
    ----------
    read_um, half_um, limit_um : float
        The reading, its uncertainty (k = 2) and the limit. [um TIR]

    Examples
    --------
    >>> near_limit(53.0, 4.4, 50.0), near_limit(52.0, 4.4, 50.0)
    ('Likely over, not done', 'Neither done nor over')
    """
    return LIKELY_OVER if read_um - limit_um > LIKELY_OVER_SHARE * half_um else NEITHER


def over_at_last(turns: int, read_um: float, limit_um: float) -> bool:
    """Whether the middle of so many turns ends the reading over the limit: what follows is said with it. [um TIR]."""
    return turns >= MEAN_OF and read_um > limit_um


def stays_on(done: bool, at_limit: bool, turns: int, read_um: float, limit_um: float) -> bool:
    """Whether a rotor is left on as it reads: then the lead says what its thickness counts as.

    Parameters
    ----------
    done, at_limit : bool
        Whether its runout is done, or no dial tells it from its limit.
    turns, read_um, limit_um
        As `over_at_last` takes them. [um TIR]
    """
    return done or (at_limit and not over_at_last(turns, read_um, limit_um))


def at_the_limit(turns: int, read_um: float, half_um: float, limit_um: float) -> str:
    """Say the end of reading where the middle of enough turns lies within its uncertainty of the limit; else empty.

    Parameters
    ----------
    turns : int
        Of which the reading is the middle.
    read_um, half_um, limit_um : float
        The reading, its uncertainty (k = 2) and the limit. [um TIR]

    Returns
    -------
    str
        With ``stud``, ``there``, ``thick``, ``hub``, ``takes`` and ``over_it`` still to be filled in.
    """
    if turns < MEAN_OF:
        return ""
    over = read_um > limit_um
    alike = round(read_um) == round(limit_um)  # the same figures may lie on either side
    side = "at" if alike else "over" if over else "under"
    opened = MEAN.format(
        turns=turns,
        read=f"{read_um:.0f} ± {half_um:.0f}{GAP}µm",
        side=side,
        limit=micrometres(limit_um) + (UNROUNDED.format(side="over" if over else "not over") if alike else ""),
        stud="{stud}",
    )
    return opened + (MEAN_OVER if over else MEAN_UNDER)
