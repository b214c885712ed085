"""The order of work at one corner, from chocks to first kilometres: the one list that sheet, report and card use."""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING

from scenes.words import held_to_read, words
from scenes.words.held_to_read import PLACES, is_scaled
from scenes.words.piece_of_work import Stage, Work
from sim.parts.fastener import Nouns, has_bolts, nouns
from sim.parts.hub_budget import of_case

if TYPE_CHECKING:
    from collections.abc import Iterable

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
STUDS_TO_WRITE = 6  # places to write for a car that nobody described: no usual corner has more studs; judgement
OFF = "{first}, rotor off."
HOLDS_OFF, SCREW_OFF = "Spacers and retaining screw off", "Retaining screw off"  # the latter where nothing held it
SPIGOT_ALL = "spigot all round from its tip to its root"  # scale sits where the bore did, or out at the tip
#: Scale hides the bore, which is where a rotor drawn home over it cracks.
CRACKS_AGAIN = " Then bore and holes once more, bare: cracked is scrap."
HUB_OVER_IT = "Over it: bearing and hub first, no rotor cures a hub."
#: What is done where it reads over the limit with the wheel on, the rotor held bare being within it.
OVER_WITH_ITS_WHEEL = (
    "Over it: wheel off, wheel and hat clean where they meet, on and read again; still over it: back to the bare rotor."
)
# Before hands come behind a wheel.
BRAKE_OFF = "Other axle chocked; park brake off (electric: service mode), shoes backed off."
REAR_BRAKE_OFF = f"Rear axle: {words.small(BRAKE_OFF)}"
# How a face is cleaned, wherever it is said; common practice, no source.
BY_HAND = "By wire brush or abrasive pad, by hand, wetted, the outer edge last."
#: Of wheel bolts, before they clamp: one longer than the maker's fouls or bottoms, which no case can state.
CLEAR_BEHIND = "none fouling behind"


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
    return _stages(case, any_car, case.given)


@lru_cache(maxsize=16)  # asked for dozens of times in one corner's list; what was given is not compared with a case
def _stages(case: Case, any_car: bool, _given: tuple[str, ...] | None) -> tuple[Stage, ...]:
    call = nouns(case.studs)
    mode = " (electric: service mode off)" if any_car or case.axle == "rear" else ""
    return (
        _before_lifting(case, any_car),
        _wheel_still_on(case, any_car),
        *held_to_read.as_found(case, any_car),
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


def _before_lifting(case: Case, any_car: bool) -> Stage:
    return Stage(
        "Before lifting",
        (
            Work("support", "Wheels chocked on level ground, park brake on."),
            breakaway(case, again=not is_scaled(case, any_car), any_car=any_car),
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
    if is_scaled(case, any_car):
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
                *(
                    () if case.spigot_scale else (held_to_read.BREAK_LOOSE.format(fastener="bolt"),)
                ),  # over scale each was let go
                "Nothing else holds the wheel once its bolts are out. The same pin carries it back on. Count the turns "
                "of one bolt on its way out and write them down.",
            ),
        ),
    )


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
                f"{SPIGOT_ALL if is_scaled(case, any_car) else 'root of the spigot'}, rotor's seat and bore."
                f"{CRACKS_AGAIN if is_scaled(case, any_car) else ''}",
                (
                    f"Mask and eye cover stay on. {BY_HAND} "
                    "A coating of the maker stays on, unless the maker says otherwise.",
                    "Clean is: nothing proud under a lamp held flat to the face; a straight edge shows no light; a "
                    "fingernail drawn across catches nowhere; a white rag stays white.",
                    "A burr is dressed flush with a fine flat stone. Do not spoil it: no grinding disc (it digs "
                    "hollows), no paint, no grease.",
                    *(() if any_car else _on_the_spigot(case)),
                ),
                (
                    "hub face clean",
                    f"spigot {'' if is_scaled(case, any_car) else 'root '}clean",
                    "rotor's seat clean",
                ),
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
            *held_to_read.anew(case, any_car),
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
                    f"{words.capital(held_to_read.in_order(case, any_car))}, in stages to the vehicle maker's torque.",
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


def _on_the_spigot(case: Case) -> tuple[str, ...]:
    """Say what is known to lie on this corner's spigot; nothing where nothing is."""
    if not case.spigot_scale:
        return ()
    highest = max(case.spigot_scale, key=lambda scale: scale.height_um)
    where = f"{words.micrometres(highest.height_um)} of scale on the spigot at {words.degrees(highest.angle_deg)}"
    return (f"This corner: {where}. Off with it, all round and down to the root, before the rotor is put on.",)
