"""How a rotor is marked, held and read, as found and anew: home by hand, nuts or bolts with spacers, the dial."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from scenes.words import words
from scenes.words.piece_of_work import Stage, Work
from sim.parts.fastener import has_bolts, nouns
from sim.parts.threads import turns_of_a_diameter

if TYPE_CHECKING:
    from sim.parts.case import Case

SHARES = (0.3, 0.6, 1.0)  # stages of the torque; common practice, no source
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
ROCK_TOO, ROCK_ALONE = "Rock the hub too.", "Rock the hub: with play, bearing first."
MEASURED = f"Thickness by micrometer at {PLACES} places"
LOOSE_ROCKS = "At the hub: a rotor that nothing holds rocks by itself."
STOP = "; at or under discard, or uneven over its limit: stop"
DIAL_UP = "Dial on the knuckle"
EACH_TIME = "Each time in this condition: same hold, same place of the dial. One way only, at the marks."
READ_ANEW = "Read the runout, two turns, caliper still off."
WHEEL_OFF = "Mask and eye cover on; wheel off; look before you touch."
OVER_THE_PIN = "Mask and eye cover on; wheel off, guide pin out; look before you touch."
#: By which fastener, before the wheel comes off.
BREAK_LOOSE = "Let down again: {fastener}s break loose with the wheel on the ground, nobody in the car; then on stands."
HUB_HELD = "The hub is held as its maker says, by nothing in the vanes."
CALIPER_STAYS = "Where the caliper has to stay on: pads pushed back both times, and the comparison is only rough."


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


def stands_as_read(case: Case) -> str:
    """Say how a rotor stands that was cleaned, fitted, held and read so already."""
    return STANDS_AS_READ.format(rear=AT_THE_REAR if case.axle == "rear" else "")


def as_read_last(case: Case) -> str:
    """Say the same, and what is done first where it does not stand so any more."""
    return f"{stands_as_read(case)} {ON_ITS_WHEELS}"


def _spacers(case: Case, any_car: bool) -> Work:
    """How the rotor is held for reading: under nuts with spacers, or under bolts that must not go too deep."""
    order = in_order(case, any_car)
    if any_car or not has_bolts(case.studs):
        return Work(
            "spacers",
            f"Nuts with spacers, plain side to the rotor, the other fits the nut's seat, {order}, to the maker's "
            "torque.",
            (f"{in_stages()} Else flat washers between nut and spacer.",),
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
            f"{in_stages()} Spacers fit the bolt's seat.{told}",
            "The retaining screw, or two bolts run in by hand, hold the rotor meanwhile. No fewer full turns before "
            f"torque than the maker gives (common practice, no source: a bolt diameter of thread, {turns} turns of "
            f"{thread}), no more than with the wheel on: one too long bottoms before it clamps or fouls what lies "
            "behind; turn the hub, look, listen.",
        ),
        ("turns counted", "bolts clear behind the hub"),
    )


def as_found(case: Case, any_car: bool) -> tuple[Stage, Stage]:
    """The rotor held as it is read, before the caliper comes off; then the readings that cleaning destroys.

    Parameters
    ----------
    case : Case
    any_car : bool
        As `scenes.words.work_order.stages` takes it.
    """
    call, bolts = nouns(case.studs), has_bolts(case.studs) and not any_car
    held = Stage(
        MARK_AND_HOLD,
        (
            Work(
                "wheel off",
                OVER_THE_PIN if bolts else WHEEL_OFF,
                () if bolts or is_scaled(case, any_car) else (BREAK_LOOSE.format(fastener=call.nut),),
            ),
            _mark(case, any_car),
            *([_let_be()] if is_scaled(case, any_car) else [_home(case, any_car), _spacers(case, any_car)]),
            Work(
                "caliper off",
                "Caliper off and hung up.",
                ("Only now: nothing moves the rotor that was driven.",),
            ),
            Work(
                "flange play",
                ROCK_ALONE if is_scaled(case, any_car) else ROCK_TOO,
                (
                    LOOSE_ROCKS
                    if is_scaled(case, any_car)
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
    if is_scaled(case, any_car):  # the dial goes on once the rotor is home by hand
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


def is_scaled(case: Case, any_car: bool) -> bool:
    """Whether this corner has scale on its spigot: no nut is tightened before it is off, and nothing is read as found.

    Jammed it stands off; where nuts drew it home over the scale no feeler tells, and torque would draw it once more.

    Parameters
    ----------
    case : Case
    any_car : bool
        As `scenes.words.work_order.stages` takes it: nobody knows of scale there.
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


def anew(case: Case, any_car: bool) -> tuple[Work, ...]:
    """How a rotor that went home by hand is held and read: as it was found, or for the first time over known scale.

    Parameters
    ----------
    case : Case
    any_car : bool
        As `scenes.words.work_order.stages` takes it.
    """
    if not is_scaled(case, any_car):
        hold = f"Hold it as for every reading: spacers, {in_order(case, any_car)}, to the maker's torque."
        same = "In the condition as found: same hold, same place of the dial."
        return Work("tighten", hold, (f"{in_stages()} {HUB_HELD}",)), Work("read", READ_ANEW, (same,))
    first = _spacers(case, any_car)
    return (
        replace(first, key="tighten", how=(*first.how, HUB_HELD)),
        _dial(case, any_car),
        Work("read", READ_ANEW, (EACH_TIME,)),
    )


def in_stages() -> str:
    """Stages of the torque, as everything is tightened that is read or driven."""
    return f"In stages of {', '.join(words.percent(share) for share in SHARES)} of the vehicle maker's torque."


def in_order(case: Case, any_car: bool) -> str:
    """Order of tightening, in numbers where the corner is known.

    Parameters
    ----------
    case : Case
    any_car : bool
        As `scenes.words.work_order.stages` takes it.
    """
    if any_car:
        return "crosswise"
    return f"crosswise {' – '.join(str(stud) for stud in crosswise(case.studs.count))}"
