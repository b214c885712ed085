"""The order of work at one corner, from chocks to first kilometres: the one list that sheet, report and card use."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from scenes.words import cautions, words
from sim.parts.fastener import Nouns, has_bolts, nouns
from sim.parts.hub_budget import of_case
from sim.parts.threads import turns_of_a_diameter

if TYPE_CHECKING:
    from collections.abc import Iterable

    from scenes.words.cautions import Caution
    from sim.parts.case import Case

THE_REST = (
    "Still over it: seat cleaned once more, read; then hub or rotors, as the high spot goes; shim or cut only as "
    "maker and stamp allow. Over it nothing goes back on."
)
#: The same of a rotor that was read on one stud alone, where no other is tried to pass: its high spot told nothing yet.
READ_ON_ONE = (
    "Over the limit: seat cleaned once more, read; then on another stud, to tell hub from rotors by where the high "
    "spot goes; shim or cut only as maker and stamp allow. Over it nothing goes back on."
)
OVER_INDEX = "{over}: index the rotor {where} and read again."
#: No stud position cures a hub that is over its own limit.
OVER, OVER_ON_A_GOOD_HUB = "Over the limit", "Over the limit, the hub face within its own"
#: How far a rotor is indexed that was read on one stud; and where it was read to run out less on another.
BY_HOLES = "by one or two holes"
READ_BEST_THERE = "(painted hole to stud {stud}, where it read least)"
#: The same of a rotor that was renewed before.
NEW_ROTOR_OVER = (
    "Still over the limit: both faces cleaned once more, same stud, read again; then what moves with the rotor is the "
    "new rotor's, what stays the hub's or bearing's. Over it nothing goes back on. New or cut, its thickness "
    "is read too, against stamp and limit."
)
SHARES = (0.3, 0.6, 1.0)  # stages of the torque; common practice, no source
# What a screen says where the rotor comes off: dust, or a rotor that scale holds; and never by the nuts.
DUSTY = ("no compressed air", "never drawn home")
STUCK = ("stuck rotor", *DUSTY)
ALL_CAUTIONS = "All cautions, each where it is needed, stand on the fitting sheet: trueseat report CASE --sheet"
STUDS_TO_WRITE = 6  # places to write for a car that nobody described: no usual corner has more studs; judgement
PLACES = 12  # of a turn that are marked and read; common practice, no source
# What is compared is read in one condition; common practice, no source: pads that drag lean on the rotor.
ONE_CONDITION = (
    "As found and fitted are read in one condition: the same {nuts} and spacers, the same torque, caliper off and "
    "hung. Pads drag on a rotor and lean on it, and the needle follows them."
)
MARK_AND_HOLD, READ_AS_FOUND = "Wheel off: mark and hold the rotor", "Read as found"  # stages
THICKNESS_ALONE = "Thickness"  # in place of the latter over scale on the spigot
#: In place of all that leads to a rotor held for reading, where it was read so last.
STANDS_AS_READ = "As read last: car on stands, wheel off, {rear}caliper hung up, rotor marked and held, dial set."
HELD_SO = "nuts and spacers"  # of a reading: caliper and wheel are off, and off they stay until it is answered
ON_ITS_WHEELS = "Was it on its wheels since: the fitting sheet as far as that first."
AT_THE_REAR = "park brake off (electric: service mode), "
OFF = "{first}, rotor off."
HOLDS_OFF, SCREW_OFF = "Spacers and retaining screw off", "Retaining screw off"  # the latter where nothing held it
ROCK_TOO, ROCK_ALONE = "Rock the hub too.", "Rock the hub: with play, bearing first."
SPIGOT_ALL = "spigot all round from its tip to its root"  # scale sits where the bore did, or out at the tip
#: Scale hides the bore, which is where a rotor drawn home over it cracks.
CRACKS_AGAIN = " Then bore and holes once more, bare: cracked is scrap."
MEASURED = f"Thickness by micrometer at {PLACES} places"
LOOSE_ROCKS = "At the hub: a rotor that nothing holds rocks by itself."
STOP = "; at or under discard, or uneven over its limit: stop"
DIAL_UP = "Dial on the knuckle"
EACH_TIME = "Each time in this condition: same hold, same place of the dial. One way only, at the marks."
HUB_OVER_IT = "Over it: bearing and hub first, no rotor cures a hub."
READ_ANEW = "Read the runout, two turns, caliper still off."
#: What is done where it reads over the limit with the wheel on, the rotor held bare being within it.
OVER_WITH_ITS_WHEEL = (
    "Over it: wheel off, wheel and hat clean where they meet, on and read again; still over it: back to the bare rotor."
)
# Before hands come behind a wheel.
BRAKE_OFF = "Other axle chocked; park brake off (electric: service mode), shoes backed off."
REAR_BRAKE_OFF = f"Rear axle: {BRAKE_OFF[0].lower()}{BRAKE_OFF[1:]}"
WHEEL_OFF = "Mask and eye cover on; wheel off; look before you touch."
OVER_THE_PIN = "Mask and eye cover on; wheel off, guide pin out; look before you touch."
_LOOSE = "Let down again: {fastener}s break loose with the wheel on the ground, nobody in the car; then on stands."
# How a face is cleaned, wherever it is said; common practice, no source.
BY_HAND = "By wire brush or abrasive pad, by hand, wetted, the outer edge last."
#: Of wheel bolts, before they clamp: one longer than the maker's fouls or bottoms, which no case can state.
CLEAR_BEHIND = "none fouling behind"
HUB_HELD = "The hub is held as its maker says, by nothing in the vanes."
CALIPER_STAYS = "Where the caliper has to stay on: pads pushed back both times, and the comparison is only rough."


@dataclass(frozen=True)
class Work:
    """One piece of work: a key to find it by, what to do in one line, how, boxes to tick, keys of what it takes in.

    ``own``: what one corner asks for beside the order of work.
    """

    key: str
    what: str
    how: tuple[str, ...] = ()
    boxes: tuple[str, ...] = ()
    also: tuple[str, ...] = ()
    own: bool = False

    @property
    def keys(self) -> tuple[str, ...]:
        """Its own key, where it has one, and those of what it takes in."""
        return tuple(key for key in (self.key, *self.also) if key)


@dataclass(frozen=True)
class Stage:
    """One stage: its name, the work in order, the cautions that belong there."""

    name: str
    works: tuple[Work, ...]
    cautions: tuple[Caution, ...] = ()

    @property
    def boxes(self) -> tuple[str, ...]:
        """Boxes to tick at the end of the stage."""
        return tuple(box for work in self.works for box in work.boxes)


def crosswise(count: int) -> tuple[int, ...]:
    """Order of tightening in which each nut lies as far as may be from the one before; numbered from stud 1.

    Examples
    --------
    >>> crosswise(5), crosswise(4), crosswise(6)
    ((1, 3, 5, 2, 4), (1, 3, 2, 4), (1, 4, 2, 5, 3, 6))
    """
    half = count // 2
    if count % 2:
        return tuple(half * k % count + 1 for k in range(count))
    return tuple(stud + 1 for start in range(half) for stud in (start, start + half))


def stages(case: Case, any_car: bool = False) -> tuple[Stage, ...]:
    """List every stage of the work on this corner, in the order in which it is done.

    Parameters
    ----------
    case : Case
        Its studs, dial radius, limits and scale on the spigot are named; nothing is computed.
    any_car : bool
        Name no figure of this corner: whoever works to the list does so on a car that nobody described. What only a
        rear axle or wheel bolts ask for is said with that word before it.

    Returns
    -------
    tuple of Stage
    """
    call = nouns(case.studs)
    mode = " (electric: service mode off)" if any_car or case.axle == "rear" else ""
    return (
        _before_lifting(case, any_car),
        _wheel_still_on(case, any_car),
        *_as_found(case, any_car),
        _rotor_off(call),
        _clean(case, any_car),
        _hub_face(case, any_car),
        _fit_and_read(case, any_car),
        _around_the_rotor(),
        _wheel_on(case, any_car),
        Stage(
            "Before moving",
            (
                Work("pedal", "Pedal pumped firm, fluid between its marks.", boxes=("pedal firm", "fluid level")),
                Work(
                    "park brake back",
                    f"Park brake tried{mode}.",
                    boxes=("park brake works",),
                ),
            ),
        ),
        Stage(
            "First drive",
            (
                Work(
                    "bed in",
                    "Bed in, re-torque the wheel after the maker's distance, read again at the next service.",
                    boxes=("re-torqued",),
                ),
                Work("dust", "Dust, rags and filters into a closed bag, as local rules ask.", boxes=("dust bagged",)),
            ),
        ),
    )  # fmt: skip


def works(case: Case, keys: Iterable[str]) -> tuple[Work, ...]:
    """Find those of some pieces of work that this corner has, in the order in which they are done.

    Parameters
    ----------
    case : Case
    keys : iterable of str
        Of the work; one that another corner has (a guide pin for bolts, a park brake at the rear) may be among them.
    """
    wanted = set(keys)
    return tuple(one for stage in stages(case) for one in stage.works if one.key in wanted)


def work(case: Case, key: str) -> Work:
    """Find one piece of work by its key.

    Raises
    ------
    KeyError
        If there is none.
    """
    return {one.key: one for stage in stages(case) for one in stage.works}[key]


#: Work at caliper and pads, which the order of work at the rotor has not; and what is told beside each.
FREE_THE_CALIPER = "free the caliper"
NEW_PADS = "new pads"
AT_THE_BRAKE = (FREE_THE_CALIPER, NEW_PADS)
PADS_OFF = ("stands", "mask and eyes", "hang the caliper", "pump the pedal")
#: Told wherever a piece of work is done, by that piece.
BESIDE = (
    ("wheel off", "stands"), ("wheel off", "mask and eyes"), ("cracks", "cracked is scrap"),
    ("tighten", "no impact gun"),
)  # fmt: skip
FREED = ("stands", "hot", "mask and eyes", "hang the caliper", "cracked is scrap", "pump the pedal")


def cautions_for(case: Case, keys: Iterable[str]) -> tuple[Caution, ...]:
    """The few cautions that matter most for some pieces of work, for a screen; the fitting sheet carries them all.

    Parameters
    ----------
    case : Case
    keys : iterable of str
        Of the work.
    """
    wanted = set(keys)
    few = (STUCK if case.spigot_scale else DUSTY) if "rotor off" in wanted else ()
    freed = FREED if FREE_THE_CALIPER in wanted else PADS_OFF if NEW_PADS in wanted else ()
    braked = ("service mode",) if case.axle == "rear" and {*AT_THE_BRAKE, "park brake off"} & wanted else ()
    told = {*few, *freed, *braked, *(key for done, key in BESIDE if done in wanted)}
    order = [one.key for one in cautions.WRITTEN if one.key in told]
    return cautions.named("maker first", *order, call=nouns(case.studs))


def stands_as_read(case: Case) -> str:
    """Say how a rotor stands that was cleaned, fitted, held and read so already."""
    return STANDS_AS_READ.format(rear=AT_THE_REAR if case.axle == "rear" else "")


def as_read_last(case: Case) -> str:
    """Say the same, and what is done first where it does not stand so any more."""
    return f"{stands_as_read(case)} {ON_ITS_WHEELS}"


def _before_lifting(case: Case, any_car: bool) -> Stage:
    return Stage(
        "Before lifting",
        (
            Work("support", "Wheels chocked on level ground, park brake on."),
            breakaway(case, again=not _is_scaled(case, any_car), any_car=any_car),
        ),
    )


def breakaway(case: Case, again: bool, any_car: bool = False) -> Work:
    """What the fasteners gave at.

    Parameters
    ----------
    case : Case
    again : bool
        Whether each is tightened again for the wheel-on trace: not where one was loose or pulled too hard, nor over
        scale that holds the rotor off.
    any_car : bool
        As in `stages`.
    """
    nut, first = nouns(case.studs).nut, "bolt 1" if has_bolts(case.studs) and not any_car else "stud 1"
    how = (
        "The wheel is painted beside it; the others count from it, counter-clockwise. Torque at which it gives: wheel "
        f"on the ground, one at a time; {'tight again before the next; ' if again else ''}by a wrench that shows "
        "torque while it undoes, no click wrench. Only one far off the rest is a finding."
    )
    if again:
        return Work(
            "breakaway torque",
            f"Before lifting: {first} painted, breakaway torque of each {nut} written down; each back to the maker's "
            "torque.",
            (how,),
        )
    scale = "Scale on the spigot holds the rotor: torque would draw it over, and the bore can crack."
    return Work(
        "breakaway torque",
        f"Before lifting: {first} painted. No {nut} is tightened; breakaway torque of each written down as it gives.",
        (how, *((scale,) if case.spigot_scale else ())),
    )


def _wheel_still_on(case: Case, any_car: bool) -> Stage:
    return Stage(
        "Wheel still on",
        (
            Work("lift", "Car on stands."),
            *_park_brake_off(case, any_car),
            *_bearing_play(case, any_car),
            *_wheel_on_trace(case, any_car),
            *_guide_pin(case, any_car),
        ),
    )


def _bearing_play(case: Case, any_car: bool) -> tuple[Work, ...]:
    """The wheel rocked; not on nuts that were let go for scale on the spigot, where the hub is, behind the caliper."""
    if _is_scaled(case, any_car):
        return ()
    return (
        Work(
            "bearing play",
            "Rock the wheel at 12 and 6 o'clock: with play, bearing first.",
            (
                "No runout counts before it. Brake pedal pressed from outside the car: play that goes then is the "
                "bearing's. Rocked at 9 and 3 it may be the steering's.",
            ),
            ("wheel rocks without play",),
        ),
    )


def _wheel_on_trace(case: Case, any_car: bool) -> tuple[Work, ...]:
    """The one reading of what was driven; none over scale on the spigot, where nothing may be made tight for it."""
    if case.spigot_scale and not any_car:
        return ()
    return (
        Work(
            "wheel-on trace",
            "Where a dial reaches: the inboard face read with the wheel on.",
            (
                f"{PLACES} chalk marks on the tyre from the valve on, the wheel marked to its {_place(case)}. "
                "Counted as seen from outside; what the dial shows is written. Wheel off, this evidence is gone: "
                "seated as driven, torque the maker's.",
            ),
        ),
    )


def _place(case: Case) -> str:
    return "bolt hole" if has_bolts(case.studs) else "stud"


def _park_brake_off(case: Case, any_car: bool) -> tuple[Work, ...]:
    """What keeps a rear rotor from turning or coming off; nothing in front. Common practice, no source."""
    if case.axle != "rear" and not any_car:
        return ()
    return (
        Work(
            "park brake off",
            REAR_BRAKE_OFF if any_car else BRAKE_OFF,
            ("Shoes that grip hold the rotor: by the adjuster, not a puller.",),
        ),
    )


def _guide_pin(case: Case, any_car: bool) -> tuple[Work, ...]:
    """What keeps a wheel from falling that hangs on bolts; nothing for studs, which do. Common practice, no source."""
    if any_car:
        return (Work("guide pin", "Wheel bolts, not studs: a guide pin before the last bolt; bolts clear behind."),)
    if not has_bolts(case.studs):
        return ()
    return (
        Work(
            "guide pin",
            "Mask on. First bolt out at the top, a guide pin in there; one holds the wheel; then the other bolts.",
            (
                *(() if case.spigot_scale else (_LOOSE.format(fastener="bolt"),)),  # over scale each was let go
                "Nothing else holds the wheel once its bolts are out. The same pin carries it back on. Count the turns "
                "of one bolt on its way out and write them down.",
            ),
        ),
    )


def _spacers(case: Case, any_car: bool) -> Work:
    """How the rotor is held for reading: under nuts with spacers, or under bolts that must not go too deep."""
    order = _order(case, any_car)
    if any_car or not has_bolts(case.studs):
        return Work(
            "spacers",
            f"Nuts with spacers, plain side to the rotor, the other fits the nut's seat, {order}, to the maker's "
            "torque.",
            (f"{_stages()} Else flat washers between nut and spacer.",),
        )
    known = case.wheel.pad_thickness_mm is not None
    told = words.with_unit(case.wheel.thickness_mm, "mm") if known else ""
    told = f" The case file's {told} is a case's figure: this car's wheel counts." if told else ""
    turns, thread = turns_of_a_diameter(case.studs.thread), case.studs.thread
    return Work(
        "spacers",
        "Bolts with spacers as thick as the wheel's pad (measure it), or shorter, none "
        f"bottoming, turns counted; {order}, to the maker's torque.",
        (
            f"{_stages()} Spacers fit the bolt's seat.{told}",
            "The retaining screw, or two bolts run in by hand, hold the rotor meanwhile. No fewer full turns before "
            f"torque than the maker gives (common practice, no source: a bolt diameter of thread, {turns} turns of "
            f"{thread}), no more than with the wheel on: one too long bottoms before it clamps or fouls what lies "
            "behind; turn the hub, look, listen.",
        ),
        ("turns counted", "bolts clear behind the hub"),
    )


def _as_found(case: Case, any_car: bool) -> tuple[Stage, Stage]:
    """The rotor held as it is read, before the caliper comes off; then the readings that cleaning destroys."""
    call, bolts = nouns(case.studs), has_bolts(case.studs) and not any_car
    held = Stage(
        MARK_AND_HOLD,
        (
            Work(
                "wheel off",
                OVER_THE_PIN if bolts else WHEEL_OFF,
                () if bolts or _is_scaled(case, any_car) else (_LOOSE.format(fastener=call.nut),),
            ),
            _mark(case, any_car),
            *([_let_be()] if _is_scaled(case, any_car) else [_home(case, any_car), _spacers(case, any_car)]),
            Work(
                "caliper off",
                "Caliper off and hung up.",
                ("Only now: nothing moves the rotor that was driven.",),
            ),
            Work(
                "flange play",
                ROCK_ALONE if _is_scaled(case, any_car) else ROCK_TOO,
                (
                    LOOSE_ROCKS
                    if _is_scaled(case, any_car)
                    else "At the rotor, held now: one that lies loose rocks by itself.",
                ),
                ("hub rocks without play",),
            ),
        ),
    )
    as_found = Work(
        "as found",
        "Wipe nothing yet: read the runout as found.",
        (
            "One way only, at the marks, two turns: the second turn must repeat within one division.",
            f"{ONE_CONDITION.format(**call.gaps)} {CALIPER_STAYS}",
        ),
        ("second turn repeats",),
    )
    thickness = Work(
        "thickness",
        f"{MEASURED}{STOP}.",
        ("10 to 15 mm in.", "It is scrap then; rotors go in axle pairs."),
        ("above discard",),
    )
    if _is_scaled(case, any_car):  # the dial goes on once the rotor is home by hand
        return held, Stage(THICKNESS_ALONE, (thickness,))
    read = Stage(READ_AS_FOUND, (_dial(case, any_car), as_found, thickness))
    return held, read


def _dial(case: Case, any_car: bool) -> Work:
    """How the dial is set up."""
    edge = "10 mm" if any_car else words.with_unit(case.gauge.from_edge_mm, "mm")
    radius = "its radius written down" if any_car else f"radius {words.with_unit(case.gauge_radius_mm, 'mm')}"
    return Work(
        "dial",
        f"{DIAL_UP}, {edge} in from the edge.",
        (
            "Stiff base, no long arms (an aluminium knuckle holds no magnet: clamp it). Tip square to the "
            f"face, {radius}, pressed in by about a millimetre. Lever dial: arm flat to the face.",
            "Once it is tight, pull and push the rotor: the needle must come back. What it moves is bearing "
            "play, not runout.",
        ),
    )


def _is_scaled(case: Case, any_car: bool) -> bool:
    """Whether this corner has scale on its spigot: no nut is tightened before it is off, and nothing is read as found.

    Jammed it stands off; where nuts drew it home over the scale no feeler tells, and torque would draw it once more.
    """
    return bool(case.spigot_scale) and not any_car


def _let_be() -> Work:
    """What is not done with a rotor that scale holds."""
    return Work(
        "home",
        "This corner has scale on its spigot: no nut is tightened and nothing is read as found.",
        (
            "A gap where the scale holds the rotor off, none where nuts drew it home over the scale: either way "
            "caliper off, rotor off, clean and looked at for cracks first.",
        ),
    )


def _home(case: Case, any_car: bool) -> Work:
    """No nut pulls a rotor that is not home: the bore flares or cracks, and a reading would mean nothing."""
    gap = (
        "Scale on the face leaves a hairline and is read as found. Where a feeler enters that is thicker than such "
        f"scale (0.2 mm: judgement) it hangs on its spigot: no {nouns(case.studs).nut} pulls it, nothing is read; "
        "caliper off, rotor off, clean first. Where none reaches (a drum in the hat), pressed at its edge it must not "
        "rock."
    )
    return Work(
        "home",
        "The rotor home, by hand: no gap along the joint that a 0.2 mm feeler enters.",
        (gap,),
        ("home before torque",),
    )


def _mark(case: Case, any_car: bool) -> Work:
    what = (
        "the hub's bolt hole 1 and the rotor's over it"
        if has_bolts(case.studs) and not any_car
        else "stud 1 and the rotor's hole on it"
    )
    return Work(
        "mark",
        f"Paint {what}, an arrow for turning, {PLACES} places.",
        ("Places count counter-clockwise seen from outside.", *_locating_pin(case, any_car)),
    )


def _locating_pin(case: Case, any_car: bool) -> tuple[str, ...]:
    """What sets a rotor's place on a hub without studs, where there is such a thing. Common practice, no source."""
    if not has_bolts(case.studs) and not any_car:
        return ()
    bolts = "Wheel bolts: a" if any_car else "A"
    return (f"{bolts} locating pin of the hub, or a screw, lets the rotor sit in one place only: mark it, no index.",)


def _rotor_off(call: Nouns) -> Stage:
    return Stage(
        "Rotor off",
        (
            Work("rotor off", OFF.format(first=HOLDS_OFF)),
            Work(
                "cracks",
                f"Cracks: bore, {call.pulled} holes, hat, both faces and the rim. Cracked is scrap.",
                boxes=("no crack",),
            ),
        ),
    )


def _clean(case: Case, any_car: bool) -> Stage:
    call = nouns(case.studs)
    return Stage(
        "Clean",
        (
            Work(
                "clean",
                f"Rust, dirt and burrs off hub face, round every {call.stud}, "
                f"{SPIGOT_ALL if _is_scaled(case, any_car) else 'root of the spigot'}, rotor's seat and bore."
                f"{CRACKS_AGAIN if _is_scaled(case, any_car) else ''}",
                (
                    f"Mask and eye cover stay on. {BY_HAND} "
                    "A coating of the maker stays on, unless the maker says otherwise.",
                    "Clean is: nothing proud under a lamp held flat to the face; a straight edge shows no light; a "
                    "fingernail drawn across catches nowhere; a white rag stays white.",
                    "A burr is dressed flush with a fine flat stone. Do not spoil it: no grinding disc (it digs "
                    "hollows), no paint, no grease.",
                    *(() if any_car else _on_the_spigot(case)),
                ),
                ("hub face clean", f"spigot {'' if _is_scaled(case, any_car) else 'root '}clean", "rotor's seat clean"),
            ),
        ),
    )


def _hub_face(case: Case, any_car: bool) -> Stage:
    limit = words.micrometres(case.hub_face_limit_um)
    whose = words.limit_from(case, "hub_face_runout_um")
    otherwise = "" if any_car else f"; else {limit} ({whose})"
    return Stage(
        "Read the hub face",
        (
            Work(
                "hub face",
                "Read the clean hub face, one turn.",
                (
                    "Dial near its edge.",
                    "Pull and push the hub first: the needle must come back.",
                    f"Limit: the vehicle maker's{otherwise}.",
                    HUB_OVER_IT,
                    *(() if any_car else (f"{of_case(case, case.hub_face_limit_um)}.",)),
                ),
            ),
        ),
    )


def _fit_and_read(case: Case, any_car: bool) -> Stage:
    call = nouns(case.studs)
    return Stage(
        "Fit, tighten, read",
        (
            Work(
                "fit",
                f"Rotor home by hand: flat without a {call.nut}, not rocking when pressed at its edge.",
                (
                    "New rotor: oil washed off its friction faces; no burrs, no runs of paint. A retaining "
                    "screw goes back.",
                ),
                ("home by hand", "does not rock"),
            ),
            *_held_anew(case, any_car),
            Work(
                "index",
                OVER_INDEX.format(over=OVER, where=where_to(case, any_car)),
                (
                    "On clean metal only.",
                    "What moves with the rotor is the rotor's, what stays is the hub's. Write down by how many holes, "
                    "both readings. Not where a screw or a pin sets its place.",
                ),
            ),
            Work("the rest", THE_REST),
        ),
    )


def _held_anew(case: Case, any_car: bool) -> tuple[Work, ...]:
    """How a rotor that went home by hand is held and read: as it was found, or for the first time over known scale."""
    if not _is_scaled(case, any_car):
        hold = f"Hold it as for every reading: spacers, {_order(case, any_car)}, to the maker's torque."
        same = "In the condition as found: same hold, same place of the dial."
        return Work("tighten", hold, (f"{_stages()} {HUB_HELD}",)), Work("read", READ_ANEW, (same,))
    first = _spacers(case, any_car)
    return (
        replace(first, key="tighten", how=(*first.how, HUB_HELD)),
        _dial(case, any_car),
        Work("read", READ_ANEW, (EACH_TIME,)),
    )


def where_to(case: Case, any_car: bool = False) -> str:
    """Where a rotor may be moved to: anywhere, or to the studs that a screw or a pin leaves."""
    studs = case.studs
    if any_car or len(studs.positions) == studs.count:
        return BY_HOLES
    left = [str(one + 1) for one in studs.positions if one != studs.studs_turned]
    return f"(painted hole to stud {' or '.join(left)}, no other)"


def _around_the_rotor() -> Stage:
    return Stage(
        "Caliper and pads",
        (
            Work(
                "caliper",
                "Pistons back the maker's way; caliper slides free, on and torqued; pads free, thick enough.",
                (
                    "Guide and bracket bolts to the vehicle maker's torque; hose not twisted, boots whole.",
                    "Watch the fluid level as the pistons go back. A piston with a screw or a motor is turned or "
                    "driven back as its maker says, never pushed. Bolts that the maker wants new are new.",
                ),
                ("slides free", "caliper on, bracket torqued", "pads thick enough"),
            ),
        ),
    )


def _wheel_on(case: Case, any_car: bool) -> Stage:
    bolts = has_bolts(case.studs) and not any_car
    on = f"guide pin in, wheel on, the pin out for the last bolt, {CLEAR_BEHIND}," if bolts else "wheel on,"
    return Stage(
        "Wheel on",
        (
            Work(
                "wheel",
                f"Spacers off; wheel and hat clean where they meet; {on} crosswise, to the maker's torque.",
                (
                    f"{words.capital(_order(case, any_car))}, in stages to the vehicle maker's torque.",
                    *(() if any_car else _back_on(case)),
                    f"By hand while it hangs. Pedal pumped firm, {_park_brake_on(case, any_car)}before a wheel "
                    "touches the ground; last stage on the ground.",
                ),
                ("spacers off", "wheel torqued"),
            ),
            *_last_trace(case, any_car),
        ),
    )


def _last_trace(case: Case, any_car: bool) -> tuple[Work, ...]:
    """The wheel-on trace once more, where there was a first."""
    if not _wheel_on_trace(case, any_car):
        return ()
    return (
        Work(
            "last trace",
            "Inboard face, where read: again, wheel on; over the limit: not driven.",
            (
                "Lifted once more, wheel at the maker's torque, caliper and pads on, as the first was read.",
                OVER_WITH_ITS_WHEEL,
            ),
        ),
    )


def _park_brake_on(case: Case, any_car: bool) -> str:
    """What a rear axle's park brake wants before the car stands on its wheels again; nothing in front."""
    if any_car:
        return "a rear axle's park brake set up and back, "
    return "shoes set up again (where there are any) and park brake back, " if case.axle == "rear" else ""


def _back_on(case: Case) -> tuple[str, ...]:
    """How a wheel goes back on bolts; nothing for studs."""
    if not has_bolts(case.studs):
        return ()
    return (
        "Wheel on to the guide pin, every other bolt run in by hand, turns counted, then the pin out and the last bolt "
        "in. The wheel's own bolts, not those of the reading. Turn the hub by hand before they clamp, look and listen "
        "behind it (drum, park brake, sensor): none fouls or bottoms.",
    )


def _stages() -> str:
    """Stages of the torque, as everything is tightened that is read or driven."""
    return f"In stages of {', '.join(words.percent(share) for share in SHARES)} of the vehicle maker's torque."


def _order(case: Case, any_car: bool) -> str:
    """Order of tightening, in numbers where the corner is known."""
    if any_car:
        return "crosswise"
    return f"crosswise {' – '.join(str(stud) for stud in crosswise(case.studs.count))}"


def _on_the_spigot(case: Case) -> tuple[str, ...]:
    """Say what is known to lie on this corner's spigot; nothing where nothing is."""
    if not case.spigot_scale:
        return ()
    highest = max(case.spigot_scale, key=lambda scale: scale.height_um)
    where = f"{words.micrometres(highest.height_um)} of scale on the spigot at {words.degrees(highest.angle_deg)}"
    return (f"This corner: {where}. Off with it, all round and down to the root, before the rotor is put on.",)
