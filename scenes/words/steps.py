"""Each step that a corner may ask for beside the order of work, in its words, with why and what it is made of."""

from __future__ import annotations

from dataclasses import dataclass, replace

from scenes.words import acts, bare_face, piece_of_work, words
from scenes.words.piece_of_work import Work
from sim.parts.stuck_caliper import FREE_IT, RAN_HOT_BUT


@dataclass(frozen=True, eq=False)
class Step:
    """One thing to do: the pieces of work that it is made of, in their order, and why now.

    Two steps are one where they ask for the same, for the same reason.
    """

    works: tuple[Work, ...]
    why: str = ""

    @property
    def what(self) -> str:
        """What to do, in the words of its pieces."""
        return " ".join(work.what for work in self.works)

    @property
    def keys(self) -> tuple[str, ...]:
        """Keys of its pieces, for what goes before and beside them."""
        return tuple(key for work in self.works for key in work.keys)

    def __eq__(self, other: object) -> bool:
        """Whether another asks for the same."""
        return isinstance(other, Step) and (self.what, self.why) == (other.what, other.why)

    def __hash__(self) -> int:
        """By what is compared."""
        return hash((self.what, self.why))


def own(what: str, why: str = "", *keys: str) -> Step:
    """Make a step of one piece that the order of work has not, or not in these words.

    Parameters
    ----------
    what, why : str
    *keys : str
        What it is made of; none where nothing goes before it or beside it.
    """
    return Step((Work(keys[0] if keys else "", what, also=keys[1:], own=True),), why)


def worded(step: Step, what: str) -> Step:
    """The same step, one piece of its own, in other words."""
    (work,) = step.works
    return replace(step, works=(replace(work, what=what),))


def ticked(step: Step, *boxes: str) -> Step:
    """The same step, one piece of its own, with boxes to tick."""
    (work,) = step.works
    return replace(step, works=(replace(work, boxes=boxes),))


def shown(step: Step, how: tuple[str, ...]) -> Step:
    """The same step, one piece of its own, with how it is done."""
    (work,) = step.works
    return replace(step, works=(replace(work, how=how),))


# Short: page one of the report holds them all.
DIRT_WHY = "Dirt is the commonest cause; a coating of the maker stays on."
AS_FOUND_WHY = "What was there before is gone once the rotor is off."
NONE_READ_WHY = "No reading of a rotor that goes is asked."
SCALE_WHY = "No nut is set to torque over scale on the spigot: so it is not read as found."
BY_HAND_HOME_WHY = "Does it not go home by hand, take it off again and find out why."
HUB_WHY = "Over its limit, hub and bearing come first."
#: What the list reckons with; `index` has its own band for each stud.
NO_STUD_WHY = (
    "By hub and rotor as given no stud brings it under its limit, {margin} reckoned for what another mounting changes."
)
THICKNESS_WHY = "Uneven: cleaning brings no metal back; renew it, or cut it where its maker allows."
#: Before a torque, where a nut was loose: what is worn holds nothing.
NONE_WORN = "No stud worn (else the steps below without torque and reading, the stud renewed once the rotor is off): "
#: What is worn where a nut was loose holds nothing.
WORN_AT_THE_NUT = (
    "Look at stud, nut and the wheel's seat where a nut was loose or off: worn ones are renewed, a stud once the rotor "
    "is off (common practice, no source)."
)
#: Of the hub's thread under wheel bolts; and before a torque.
TORN = "in a torn thread nothing is tightened, the hub as its maker says once the rotor is off"
NONE_TORN = "No thread torn (else the steps below without torque and reading, the hub renewed before a rotor goes on): "
NUTS_FIRST = own(
    WORN_AT_THE_NUT,
    "What a dial reads under missing or loose nuts counts for nothing, and the car must not be driven so.",
    "nuts",
)
#: The same where it ran so on the road, wheel on.
LOOSE_ON_THE_ROAD = own(
    WORN_AT_THE_NUT, "What was read on a wheel that ran so counts for nothing, and nobody drives so.", "nuts"
)
#: Of studs whose preload, as given, is past their proof load.
STUDS_FIRST = own(
    "Check torque, nut factor and class as given. Studs that were really pulled past their proof load are renewed, "
    "with their nuts, and not tightened again (common practice, no source).",
    "A thread that yielded holds a wheel no longer as it should.",
    "studs",
)
#: Behind a hub or bearing that may be renewed.
OWN_STUDS = " A new hub, or hub unit, has its own."
#: The same of wheel bolts, which yield themselves: the hub's thread only holds them.
BOLTS_PULLED = own(
    "Check torque, friction and class as given. Wheel bolts that were really pulled past their proof load are renewed; "
    f"the thread in the hub looked at, {TORN} (common practice, no source).",
    STUDS_FIRST.why,
    "nuts",
)
#: Of wheel bolts that were loose or out.
BOLTS_LOOSE = own(
    "Look at bolt, its thread in the hub and the wheel's seat where a bolt was loose or out: worn bolts are renewed, "
    f"{TORN} (common practice, no source).",
    NUTS_FIRST.why,
    "nuts",
)
#: Of wheel bolts whose length, as given, holds a wheel badly.
BOLTS_FIRST = own(
    "Wheel bolts as long as the vehicle maker gives for this wheel: run in by hand, turns counted, the thread in the "
    f"hub looked at, {TORN}.",
    "Bolts that are too short strip, bolts that are too long bottom before they clamp, or foul.",
    "nuts",
)
#: Of a list of torques that are all alike: how it was fitted for reading, and nobody said how it is driven.
ROAD_TORQUE = own(
    "Every nut to the vehicle maker's torque, crosswise in stages; then give it as studs.road_torque_nm.",
    "A list says how it was fitted for reading, not how it is driven.",
)
#: The same of bolts and spacers as they are held for reading.
BOLTS_AS_READ = own(
    "Bolts and spacers that fit each other: none bottoms, none holds by fewer turns than the vehicle maker gives; the "
    f"thread in the hub looked at, {TORN}.",
    BOLTS_FIRST.why,
    "nuts",
)
#: Of a bore so wide that the spigot does not centre the rotor.
PART_FIRST = own(
    "The part: bore against spigot by caliper gauge, the part number, a centring ring where the vehicle maker gives "
    "one. A rotor of another car is not fitted.",
    "Nothing centres it as given: it sits where its holes let it, and no reading tells of the right part.",
    "part",
)
NUTS = (NUTS_FIRST, LOOSE_ON_THE_ROAD, STUDS_FIRST, BOLTS_PULLED, BOLTS_LOOSE, BOLTS_FIRST, BOLTS_AS_READ)
#: Of a rotor that was read without its nuts: nothing is loose, and no figure counts.
BY_SCREW_WHY = "Held by one screw it does not sit, and what is read so orders nothing."
BY_HAND_WHY = "Under nuts run up by hand it does not sit, and what is read so orders nothing."
READ_HELD = "Hold the rotor with spacers under every nut, to the maker's torque, and read it again."
#: Of an end float as given that alone leaves a runout too close to its limit to tell.
BEARING_FIRST = own(
    "The bearing: within the vehicle maker's play, or renewed as the maker says, before any reading counts.",
    "Its end float as given leaves every reading unsure by as much.",
    "bearing",
)
#: What that reading orders.
THEN_NEW = "over its limit so, or at or under its stamp: new ones, both of the axle."
MEASURE_AGAIN = own(
    "Measure the thickness again, three turns with a finer micrometer, before the rotor is cut, renewed or left on; "
    f"{THEN_NEW}",
    "The readings do not tell whether it is over its limit.",
)
#: Of a rotor that was read at the end of its wear.
RENEW_SLIM = ticked(
    own(
        "Read the discard thickness stamped on the rotor: at or under it, or so near that no wear is left, renew it, "
        "on a clean hub, both of the axle.",
        "No wear to speak of is left.",
        "stamp",
    ),
    "above discard",
)
#: The same over a stamp that the case states: nothing is left to read.
RENEW_BY_STAMP = own(f"{acts.RENEW_ONLY}.", RENEW_SLIM.why, "rotor")
#: Of a caliper that the case gives as stuck.
CALIPER_FIRST = own(
    f"The caliper, hung up and left to cool: {FREE_IT}. {words.capital(RAN_HOT_BUT)}; cracked is scrap, a blued one as "
    "its maker says.",
    "It drags and heats as given, whatever the rotor runs out.",
    piece_of_work.FREE_THE_CALIPER,
)
#: Of pads that the case gives as worn out.
PADS_TOO = own(
    "The pads, worn out as given: renewed the vehicle maker's way, both sides of the axle; the rotor's faces looked at "
    "for scores and cracks.",
    "Whatever the rotor runs out.",
    piece_of_work.NEW_PADS,
)
#: Of a thickness that no more reading tells from its limit.
COUNTS_AS_OVER = own(f"{acts.UNEVEN_END}.", "Cleaning does not bring the metal back.", "rotor")
#: Of a rotor whose thickness was read over its limit.
RENEW = own(f"{acts.RENEW}.", "Its thickness was read over its limit: cleaning does not bring the metal back.", "rotor")
GIVEN_UP = ("rotor as given",)
#: The line of one that goes so: what is given is measured before it goes.
GOES_AS_GIVEN = (
    "By its thickness as given the rotor goes, once it is measured so: rotor off, clean hub face, renew the rotor, "
    "fit, read."
)
#: Of a rotor that goes by what its case gives: what a micrometer tells better, as often as of every other rotor.
UNLESS_EVEN = (
    "It stays where the middle of three turns is within the limit, its thinnest place over the stamp with wear left."
)
HUB_FIRST = own(
    "The hub face as given is over its limit: read it on clean metal, dial on the knuckle. Over it as read: a straight "
    "edge across it, what stands up stoned flat by hand, three turns; their middle still over it, check the bearing "
    f"for play, renew hub or bearing as the vehicle maker says; {bare_face.NEW_HUB_BRIEFLY}.",
    "No rotor cures a hub, and a stud position would only hide it.",
    "hub face",
)
#: The same of a face that was read clean and bare in the same table.
HUB_READ_FIRST = worded(
    HUB_FIRST,
    "The hub face as read is over its limit: check the bearing for play, renew hub or bearing as the vehicle "
    f"maker says; {bare_face.NEW_HUB_BRIEFLY}.",
)
HUBS = (HUB_FIRST, HUB_READ_FIRST)
#: Of a bare face that was read clean, within its uncertainty of its limit.
HUB_READ_ON = own(
    "The bare clean hub face, at or near its limit as read: read on, with the finest dial at hand, until there are "
    "three turns that agree; their middle decides.",
    "Over its limit, hub and bearing come first.",
    "hub face",
)
#: The same where the dial showed more than a lean there, which a lean alone would acquit.
HUB_LOOK_AT = worded(
    HUB_READ_ON,
    "The bare clean hub face where the dial showed most: a straight edge across it, a light behind; what stands "
    "up on the seat stoned flat by hand, clean; the tip beside the bolt holes, read again (state 'cleaned again').",
)
#: Of a rotor that was read on clean faces, within the dial's uncertainty of its limit: as `causes` orders it.
THREE_TURNS = own(
    f"{words.capital(acts.ANEW)}: their middle counts. All turns in one table: trueseat causes says what they order.",
    "Nothing is cleaned, moved or bought for what no dial tells from its limit.",
    "tighten",
    "read",
)
#: Before a rotor stays on whose figure is one under bare nuts, as `causes` orders it.
SPACERS_FIRST = own(
    "Spacers under every nut, plain side to the rotor, the other fits the nut's seat, crosswise in stages to the "
    "maker's torque: no bare nut.",
    "Under bare cone nuts a small figure clears nothing.",
    "spacers",
)
LEAVE_IT_ON = own(
    "Leave the rotor on: clean as given, it is below its limits as it stands.",
    "Every time it is taken off it goes on a little differently. Where the faces were not cleaned, clean them and "
    "read again. The vehicle maker's limits count.",
)
#: Of a hub face as given that is too close to its limit to tell.
NEAR_HUB = (
    "The hub face as given is too close to its limit to tell: when the rotor is next off, read it on clean metal, "
    "three turns; their middle counts."
)
LEAVE_NEAR_HUB = own(
    f"Leave the rotor on: clean as given, its runout is below its limit as it stands. {NEAR_HUB}", LEAVE_IT_ON.why
)
#: The same of one that is read first, as computed or under bare nuts it is only expected to be below its limit.
STAYS_READ = own(
    "Faces cleaned when it was fitted and read so below its limit: leave the rotor on, and on with the caliper. "
    "Not cleaned, over it, or too close to tell: on with the rotor off.",
    "Every time it is taken off it goes on a little differently. The vehicle maker's limits count.",
)
STAYS_READ_NEAR_HUB = worded(STAYS_READ, f"{STAYS_READ.what} {NEAR_HUB}")
#: Of one that is still held as it was read: what no runout tells.
CHECKED = own(
    "Checks before it stays on: of one turn alone a second that repeats it, else read as it stands till three agree; "
    "stamp read, the thinnest place over it, else new rotors, both of the axle; no crack, as far as a fitted rotor "
    "shows, cracked is scrap; with new ones the faces cleaned, the hub face read bare, the runout read again. The bare "
    "hub face, where nobody read it, when the rotor is next off.",
    "",
    "checks",
    "read",
)
#: What is behind a rotor that is still held as it was read.
AS_READ = ("support", "lift", "park brake off", "wheel off", "mark", "home", "spacers", "caliper off", "dial")
READ_FIRST = (STAYS_READ, STAYS_READ_NEAR_HUB)
STAYS = (LEAVE_IT_ON, LEAVE_NEAR_HUB, *READ_FIRST)

NUTS_SAID = (
    "The nuts first: what each gives at written down, what is worn renewed; then to the maker's torque, and read."
)
#: The same where nothing is tightened or read before the rotor is off.
NUTS_NOT_READ = "The nuts first: what each gives at written down, what is worn renewed."
#: The line of the first step, where that leads.
LEADS = {
    PART_FIRST: "The part first: nothing centres this rotor as given. Bore, spigot, ring and part number are checked.",
    NUTS_FIRST: NUTS_SAID,
    BOLTS_LOOSE: NUTS_SAID,
    LOOSE_ON_THE_ROAD: NUTS_SAID,
    STUDS_FIRST: "The studs first: pulled past their proof load as given. Check that, renew what was pulled so.",
    BOLTS_PULLED: "The wheel bolts first: pulled past their proof load as given. Check that, renew what was pulled so.",
    BOLTS_FIRST: "The wheel bolts first: their length, as given, does not hold a wheel. Not to be driven so.",
    SPACERS_FIRST: "Spacers under every nut and read again: under bare nuts a small figure clears nothing.",
    BOLTS_AS_READ: "Bolts and spacers first: as held for reading they bottom or hold by few threads. Then read again.",
    BEARING_FIRST: "The bearing first: its play leaves every reading unsure. Then read again.",
    ROAD_TORQUE: "Every nut to the vehicle maker's torque, and tell it: so nothing is forecast.",
}


def of_its_own_hub(step: Step) -> Step:
    """Studs that are seen to behind a hub or bearing that may be new: none is bought twice."""
    return worded(step, f"{step.what}{OWN_STUDS}")


def read_often(times: int) -> Step:
    """Read the thickness so often that the middles tell: as sure as one reading is, no finer micrometer tells more."""
    what = f"Read the thickness at every place {times} times, before the rotor is cut, renewed or left on"
    return own(f"{what}: the middles count; {THEN_NEW}", MEASURE_AGAIN.why)
