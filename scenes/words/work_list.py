"""In which order one corner is worked off: whatever is asked for, each thing once what it needs is off and looked at.

Two ways only. What was fitted is held and read as found before the rotor comes off; or nothing is held and nothing is
read before it is off: over scale, where what holds it or its bearing is renewed first, and where the rotor goes.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from scenes.words import held_to_read, piece_of_work, steps, worded_work, work_order
from scenes.words.steps import Step
from sim.parts.fastener import has_bolts

if TYPE_CHECKING:
    from collections.abc import Iterable

    from scenes.words.piece_of_work import Work
    from sim.parts.case import Case

# What belongs to one step; the order of work says in which order, and what this corner has of it.
BREAKS = ("support", "breakaway torque")
WHEEL_ON = (*BREAKS, "lift", "park brake off", "bearing play", "wheel-on trace", "guide pin")
#: On a wheel that a nut let go nothing is rocked, and nothing read.
ON_ITS_NUTS = ("bearing play", "wheel-on trace")
WHEEL_OFF = ("wheel off", "mark")
CALIPER_OFF = ("caliper off", "flange play")
BACK_TOGETHER = ("caliper", "wheel", "last trace", "park brake back", "pedal", "bed in")
#: Done once at a corner.
ONCE = (*WHEEL_ON, *WHEEL_OFF, *CALIPER_OFF)
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
    piece_of_work.FREE_THE_CALIPER: "caliper slides free",
    piece_of_work.NEW_PADS: "pads new",
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
    nuts : tuple of Step
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

    nuts: tuple[Step, ...] = ()
    brake: tuple[Step, ...] = ()
    rotor_off: tuple[Step, ...] = ()
    stamp: Step | None = None
    hub: Step | None = None
    rotor: tuple[Step, ...] = ()


def do(case: Case, *keys: str, why: str = "", told: Iterable[Work] = ()) -> Step:
    """One step out of pieces of work, in the order of work; what this corner has not is left out.

    Parameters
    ----------
    case : Case
    *keys : str
        Of the work.
    why : str
        Said beside it.
    told : iterable of Work
        In the words of this list (`scenes.words.worded_work`), those of them that are asked for.
    """
    said = {one.key: one for one in told}
    return Step(tuple(said.get(one.key, one) for one in work_order.works(case, keys)), why)


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
    go = loose or bool(case.spigot_scale)  # over scale the order of work itself tightens and rocks nothing
    left_out = ON_ITS_NUTS if go else () if read else ("wheel-on trace",)
    told = [worded_work.let_go(case, key) for key in ("breakaway torque", *_on_bolts(case))] if go else []
    return do(case, *(key for key in WHEEL_ON if key not in left_out), why=why, told=told)


def _on_bolts(case: Case) -> tuple[str, ...]:
    return ("guide pin",) if has_bolts(case.studs) else ()


def _told(case: Case, asked: Asked, first: Step, held: bool) -> tuple[Work, ...]:
    """The pieces from "wheel off" to "rotor off" in the words of a list.

    ``first``: what was done before the wheel came off; ``held``: whether the rotor is held before its caliper is off.
    """
    rocked = "bearing play" in first.keys
    let_go = () if rocked else (worded_work.let_go(case, "wheel off"),)
    return (
        *let_go,
        worded_work.caliper_off(case, held),
        worded_work.rocked(case, rocked, held),
        worded_work.thickness(case, thickness_orders(asked)),
        worded_work.rotor_off(case, held),
    )


def thickness_orders(asked: Asked) -> str:
    """What a thickness orders in a list that goes on behind it: no stop, and nothing by a wrong part's number."""
    if any(steps.UNLESS_EVEN in step.what for step in asked.rotor):
        return worded_work.THREE_TURNS
    if asked.rotor:
        return ""
    if asked.stamp is not None:
        return worded_work.UNEVEN_TOO
    wrong = steps.PART_FIRST in asked.rotor_off
    return worded_work.THEN_NEW + (worded_work.BY_ITS_NUMBER if wrong else "")


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
    first = opened(case, loose=bool({*asked.nuts} & {*steps.NUTS}), read=True)
    told = _told(case, asked, first, held=True)
    if not asked.nuts:
        on: tuple[Step, ...] = (do(case, *WHEEL_OFF, "home", "spacers", why=held_why, told=told),)
    else:
        spacers = () if any("spacers" in step.keys for step in asked.nuts) else (_spacers(case, asked.nuts),)
        on = (do(case, *WHEEL_OFF, "home", why=held_why, told=told), *asked.nuts, *spacers)
    if "as found" not in reading:
        told = (*told, worded_work.first_read(case))
    return (first, *on, *parted(case, (*CALIPER_OFF, *reading), asked.brake, why, told))


def _spacers(case: Case, nuts: tuple[Step, ...]) -> Step:
    """What holds the rotor, on nuts that were looked at: none goes on a worn stud."""
    one = work_order.work(case, "spacers")
    worn = steps.NONE_WORN if {*nuts} & {steps.NUTS_FIRST, steps.LOOSE_ON_THE_ROAD} else ""
    worn = steps.NONE_TORN if has_bolts(case.studs) and {*nuts} & {*steps.NUTS} else worn
    return Step((replace(one, what=f"{worn}{one.what}"),))


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
    off = (*WHEEL_OFF, *CALIPER_OFF, *(("thickness",) if measured else ()), "rotor off", "cracks")
    hub_first = asked.hub in steps.HUBS or steps.BEARING_FIRST in asked.rotor_off
    late = asked.nuts if asked.nuts == (steps.STUDS_FIRST,) and hub_first else ()
    beside = (*(() if late else asked.nuts), *asked.rotor_off, *(() if asked.stamp is None else (asked.stamp,)))
    first = opened(case, loose=bool(asked.nuts), read=False, why=why)
    told = _told(case, asked, first, held=False)
    return (
        first,
        *parted(case, off if beside else (*off, "clean"), asked.brake, off_why, told),
        *beside,
        *((do(case, "clean", why=clean_why or steps.DIRT_WHY),) if beside else ()),
        asked.hub or hub_face(case, dial_too=True),
        *(steps.of_its_own_hub(one) for one in late),
        *asked.rotor,
        do(case, "fit", "tighten", why=steps.BY_HAND_HOME_WHY, told=(worded_work.held_in_full(case),)),
        do(case, "dial", "read", why="Only now does a reading count.", told=(worded_work.first_read(case),)),
    )


def back(case: Case, listed: Iterable[Step]) -> Step:
    """All put back behind a list; what nobody read with the wheel on is not read once more."""
    done = {key for step in listed for key in step.keys}
    told = (worded_work.freed(case),) if piece_of_work.FREE_THE_CALIPER in done else ()
    return do(case, *(key for key in BACK_TOGETHER if "wheel-on trace" in done or key != "last trace"), told=told)


def hub_face(case: Case, dial_too: bool = False) -> Step:
    """The clean hub face read bare, and what it orders; ``dial_too``: by a dial that is only set up there."""
    return Step((worded_work.hub_face(case, dial_too),))


def as_it_stands(case: Case, asked: Asked, *reading: str, why: str = "") -> tuple[Step, ...]:
    """What is read of a rotor that is held still as it was read: its hub is rocked, as nobody says that it was.

    Parameters
    ----------
    case : Case
    asked : Asked
        Its brake stands before what is read.
    *reading : str
        Keys of what is read.
    why : str
        Said beside the reading.
    """
    first = steps.own(held_to_read.as_read_last(case), "", *steps.AS_READ)
    rocked = worded_work.rocked(case, too=False, held=True)
    told = (rocked, worded_work.thickness(case, thickness_orders(asked)))
    return (first, *asked.brake, do(case, "flange play", *reading, why=why, told=told))


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


def parted(
    case: Case, keys: Iterable[str], brake: tuple[Step, ...], why: str, told: Iterable[Work] = ()
) -> tuple[Step, ...]:
    """Pieces of work in one step, or in two round what is done at the brake once the caliper hangs; none where none."""
    keys = tuple(keys)
    at = keys.index("caliper off") + 1 if brake and "caliper off" in keys else 0
    before, behind = ([do(case, *half, why=why, told=told)] if half else [] for half in (keys[:at], keys[at:]))
    return (*before, *brake, *behind)
