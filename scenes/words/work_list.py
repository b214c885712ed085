"""In which order one corner is worked off: whatever is asked for, each thing once what it needs is off and looked at.

Two ways only. What was fitted is held and read as found before the rotor comes off; or nothing is held and nothing is
read before it is off: over scale, where what holds it or its bearing is renewed first, and where the rotor goes.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from scenes.words import steps, work_order
from scenes.words.steps import Step

if TYPE_CHECKING:
    from collections.abc import Iterable

    from sim.parts.case import Case

# What belongs to one step; the order of work says in which order, and what this corner has of it.
BREAKS = ("support", "breakaway torque")
WHEEL_ON = (*BREAKS, "lift", "park brake off", "bearing play", "wheel-on trace", "guide pin")
#: On a wheel that a nut let go nothing is read, and nothing rocked.
LIFTED = ("lift", "park brake off", "guide pin")
WHEEL_OFF = ("wheel off", "mark")
CALIPER_OFF = ("caliper off", "flange play")
BACK_TOGETHER = ("caliper", "wheel", "last trace", "park brake back", "pedal", "bed in")
#: Done once at a corner.
ONCE = (*WHEEL_ON, *WHEEL_OFF, *CALIPER_OFF)
THEN_NEW = "; at or under discard, or uneven over its limit: new ones, both of the axle"
UNEVEN_TOO = "; uneven over its limit the rotor goes too, whatever its stamp"
WHEEL_ON_WHY = "Taking the wheel off destroys this evidence."

#: What is ticked off of each piece of work, on a card too small for all boxes of the fitting sheet; thickness has its
#: own line there.
TICKS = {
    "bearing play": "hub without play",
    "flange play": "hub without play",
    "home": "home by hand",
    "nuts": "stud, nut and seat looked at",
    "studs": "studs looked at, renewed",
    "part": "the part is right",
    "bearing": "bearing within play, or new",
    work_order.FREE_THE_CALIPER: "caliper slides free",
    work_order.NEW_PADS: "pads new",
    "as found": "turns repeat",
    "read": "turns repeat",
    "cracks": "no crack",
    "clean": "hub, spigot, seat clean",
    "stamp": "stamp read",
    "rotor": "rotor renewed",
    "rotor as given": "rotor renewed",
    "fit": "home by hand",
    "pedal": "pedal firm",
}


@dataclass(frozen=True)
class Asked:
    """What one corner asks for beside the order of work: a step each, none where it does not.

    Parameters
    ----------
    nuts : Step, optional
        At what holds the wheel.
    brake : tuple of Step
        At caliper and pads.
    rotor_off : tuple of Step
        What can only be done, or judged, with the rotor off: studs, the part, the bearing.
    stamp : Step, optional
        The stamp that decides over the rotor, before anything is bought.
    hub : Step, optional
        At the bare hub face, if more than one reading.
    rotor : tuple of Step
        What is done with it.
    """

    nuts: Step | None = None
    brake: tuple[Step, ...] = ()
    rotor_off: tuple[Step, ...] = ()
    stamp: Step | None = None
    hub: Step | None = None
    rotor: tuple[Step, ...] = ()


def do(case: Case, *keys: str, why: str = "") -> Step:
    """One step out of pieces of work, in the words of the order of work; what this corner has not is left out."""
    works = work_order.works(case, keys)
    return Step(" ".join(one.what for one in works), why, tuple(one.key for one in works))


def opened(case: Case, loose: bool, read: bool, why: str = WHEEL_ON_WHY) -> Step:
    """What is done before the wheel comes off.

    Parameters
    ----------
    case : Case
    loose : bool
        Whether a nut was loose, or pulled too hard: what each gives at is written down and none tightened again.
    read : bool
        Whether anything read before the rotor is off counts.
    why : str
        Said beside it.
    """
    if not loose or case.spigot_scale:  # over scale the order of work itself tightens and rocks nothing
        left_out = {*(() if read else ("wheel-on trace",)), *(("bearing play",) if case.spigot_scale else ())}
        return do(
            case, *(key for key in WHEEL_ON if key not in left_out), why=why
        )  # nor is a wheel rocked on such nuts
    lifted = do(case, *LIFTED)
    said = steps.BEFORE_A_NUT.format(first=work_order.painted_first(case))
    return Step(f"{said} {lifted.what}", why, (*BREAKS, *lifted.keys))


def held(case: Case, asked: Asked, *reading: str, why: str = "", held_why: str = "") -> tuple[Step, ...]:
    """Hold a rotor as it was fitted, on nuts that were looked at, and read it with the caliper off.

    Parameters
    ----------
    case : Case
    asked : Asked
        Its nuts stand before a torque, its brake behind "caliper off".
    *reading : str
        Keys of what is read, its dial among them.
    why, held_why : str
        Said beside the reading, and beside the holding.
    """
    loose = asked.nuts is not None
    hold = (*WHEEL_OFF, "home", "spacers")
    if asked.nuts is None:
        on: tuple[Step, ...] = (do(case, *hold, why=held_why),)
    else:
        worn = steps.NONE_WORN if asked.nuts in (steps.NUTS_FIRST, steps.LOOSE_ON_THE_ROAD) else ""
        hold_on = do(case, "spacers")
        spacers = () if "spacers" in asked.nuts.keys else (replace(hold_on, what=f"{worn}{hold_on.what}"),)
        on = (do(case, *hold[:-1], why=held_why), asked.nuts, *spacers)
    first = opened(case, loose=loose and asked.nuts in steps.NUTS, read=True)
    read = parted(case, (*CALIPER_OFF, *reading), asked.brake, why)
    return (first, *on, *_going(asked, _rocked(read, first)))


def rotor_off_first(
    case: Case, asked: Asked, why: str, off_why: str = "", clean_why: str = "", measured: bool = False
) -> tuple[Step, ...]:
    """Work off a corner at which nothing is held or read before its rotor is off, as far as the new reading.

    Parameters
    ----------
    case : Case
    asked : Asked
    why, off_why, clean_why : str
        Said beside the first step, beside "wheel off", and beside the cleaning.
    measured : bool
        Whether the thickness is taken by micrometer.
    """
    loose = asked.nuts is not None
    off = (*WHEEL_OFF, *CALIPER_OFF, *(("thickness",) if measured else ()), "rotor off", "cracks")
    nuts = () if asked.nuts is None else (asked.nuts,)
    late = nuts if asked.nuts == steps.STUDS_FIRST and asked.hub in steps.HUBS else ()  # a new hub has its own
    beside = (*(() if late else nuts), *asked.rotor_off, *(() if asked.stamp is None else (asked.stamp,)))
    first = opened(case, loose=loose, read=False, why=why)
    taken = parted(case, off if beside else (*off, "clean"), asked.brake, off_why)
    return (
        first,
        *_going(asked, _rocked(_unscrewed(taken), first)),
        *beside,
        *((do(case, "clean", why=clean_why or steps.DIRT_WHY),) if beside else ()),
        asked.hub or _by_the_dial(hub_face(case)),
        *late,
        *asked.rotor,
        _fitted(case),
        do(case, "dial", "read", why="Only now does a reading count."),
    )


def _fitted(case: Case) -> Step:
    """Fitted and held, in full: nothing before it said how the rotor is held for a reading."""
    held_so = next((one.what for one in work_order.works(case, ("spacers",))), "")
    if not held_so:  # over scale its own piece of work says it
        return do(case, "fit", "tighten", why=steps.BY_HAND_HOME_WHY)
    return Step(f"{do(case, 'fit').what} {held_so}", steps.BY_HAND_HOME_WHY, ("fit", "tighten"))


def _by_the_dial(read: Step) -> Step:
    """The clean hub face, by a dial that is only set up there."""
    return replace(read, what=f"Dial on the knuckle. {read.what}")


def back(case: Case, listed: Iterable[Step]) -> Step:
    """All put back behind a list; what nobody read with the wheel on is not read once more."""
    traced = any("wheel-on trace" in step.keys for step in listed)
    return do(case, *(key for key in BACK_TOGETHER if traced or key != "last trace"))


def hub_face(case: Case) -> Step:
    """The clean hub face read bare, and what it orders."""
    return Step(f"{work_order.work(case, 'hub face').what} {steps.HUB_OVER}", "", ("hub face",))


def _going(asked: Asked, listed: tuple[Step, ...]) -> tuple[Step, ...]:
    """The same without a stop at the micrometer, where what it orders stands in the list already."""
    if asked.rotor:
        return _said(listed, work_order.STOP, "")
    return _said(listed, work_order.STOP, THEN_NEW if asked.stamp is None else UNEVEN_TOO)


def _rocked(listed: tuple[Step, ...], first: Step) -> tuple[Step, ...]:
    """The hub is not rocked "too" where nothing was rocked on the wheel."""
    return listed if "bearing play" in first.keys else _said(listed, work_order.ROCK_TOO, work_order.ROCK_ALONE)


def _unscrewed(listed: tuple[Step, ...]) -> tuple[Step, ...]:
    """No spacer comes off a rotor that nothing held."""
    return _said(listed, work_order.HOLDS_OFF, work_order.SCREW_OFF)


def _said(listed: tuple[Step, ...], was: str, now: str) -> tuple[Step, ...]:
    return tuple(replace(step, what=step.what.replace(was, now)) for step in listed)


def ticks(listed: Iterable[Step]) -> tuple[str, ...]:
    """What is ticked off of a list, in its order, each once."""
    return tuple(dict.fromkeys(TICKS[key] for key in foreseen(listed) if key in TICKS))


def foreseen(listed: Iterable[Step]) -> tuple[str, ...]:
    """Find the pieces of work that a list is expected to come to: none that only a reading over its limit asks for."""
    keys: list[str] = []
    stays = False
    for step in listed:
        stays = (stays or step in steps.READ_FIRST) and "caliper" not in step.keys
        keys += () if stays else step.keys
    return tuple(keys)


def parted(case: Case, keys: Iterable[str], brake: tuple[Step, ...], why: str) -> tuple[Step, ...]:
    """Pieces of work in one step, or in two round what is done at the brake once the caliper hangs; none where none."""
    keys = tuple(keys)
    at = keys.index("caliper off") + 1 if brake and "caliper off" in keys else 0
    before, behind = ([do(case, *half, why=why)] if half else [] for half in (keys[:at], keys[at:]))
    return (*before, *brake, *behind)
