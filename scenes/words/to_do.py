"""What to do next at one corner, in the order of work and in its words: for the screen and for page one."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from itertools import takewhile
from typing import TYPE_CHECKING, Any

from scenes.words import acts, spigot, what_leads, words, work_order
from scenes.words import road as road_words
from scenes.words.findings import as_driven, bare_of, dtv, found, runout
from scenes.words.what_leads import bearing_first, unused_state
from sim.bench import cut_on_car
from sim.bench.mountings import ONE_SCREW
from sim.bench.next_act import BARE_NUTS
from sim.corner.road_state import NO_NUT, loose_as_read, loose_on_the_road, past_proof, slack_nut, unfit
from sim.files.readings_rows import CLEAN_STATES
from sim.parts import rotor_goes
from sim.parts.dial import ABOVE, BELOW, TOO_CLOSE
from sim.parts.discard import is_slim, is_stated
from sim.parts.fastener import bolt_warnings, bolts_on_the_road
from sim.parts.spigot_room import uncentred
from sim.parts.stuck_caliper import FREE_IT, RAN_HOT, UNTIL
from sim.parts.worn_pads import worn_out

if TYPE_CHECKING:
    from collections.abc import Iterable

    from sim.corner.driven import BareHub
    from sim.parts.case import Case


@dataclass(frozen=True)
class Step:
    """One thing to do: what, why now, the pieces of the order of work that it is made of, and what goes before it.

    Two steps are one where they ask for the same, whatever has to be done at this corner to come to it.
    """

    own: str
    why: str
    keys: tuple[str, ...] = field(default=(), compare=False)
    before: str = field(default="", compare=False)

    @property
    def what(self) -> str:
        """All that is done, in its order."""
        return " ".join(filter(None, (self.before, self.own)))


def next_steps(run: Any) -> tuple[Step, ...]:
    """List what to do, in the order of work (`scenes.words.work_order`) and in its words.

    A clean corner below its limits keeps its rotor on, and a hub face over its limit comes before every stud position.
    What needs the wheel off comes behind the work that takes it off.
    """
    return _wheel_off_first(run.case, _asked(run))


def _asked(run: Any) -> tuple[Step, ...]:
    """What to do, a caliper that sticks and pads that are worn out before everything but the nuts."""
    steps = _at_the_rotor(run)
    if run.case.spigot_scale:  # the wheel turns on no rotor that scale holds: the brake is seen to once it is off
        return steps
    held = tuple(takewhile(NUTS.__contains__, steps))  # nobody lifts a corner whose nuts do not hold
    return (*held, *_at_the_brake(run.case), *steps[len(held) :])


def _at_the_brake(case: Case) -> tuple[Step, ...]:
    """What the brake itself needs, whatever the rotor runs out."""
    stated = what_leads.of_case(case)
    return (*((CALIPER_FIRST,) if stated.caliper else ()), *((PADS_TOO,) if stated.pads else ()))


def _wheel_off_first(case: Case, steps: tuple[Step, ...]) -> tuple[Step, ...]:
    """The same with the wheel off, stud and hole painted, before what needs it: in the order of work, and said once.

    Painted before caliper, bearing or stud is touched: the rotor comes off with them, or may turn.
    """
    done: tuple[str, ...] = ()
    listed: list[Step] = []
    for step in steps:
        if step in (*NUTS, SPACERS_FIRST):
            listed.append(_opened(case, step, done))
            done = (*done, *listed[-1].keys)
            continue
        if step in (CALIPER_FIRST, PADS_TOO, BEARING_FIRST) and "wheel off" not in done:
            off = _do(case, *(key for key in (*WHEEL_ON, "wheel off", "mark") if key not in done), why=WHEEL_ON_WHY)
            listed.append(off)
            done = (*done, *off.keys)
        listed += _not_again(case, step, done)
        done = (*done, *(key for key in step.keys if key in ONCE))
    if set(STAYS) & set(steps) and "wheel off" in done:  # a list that leaves the rotor on puts no wheel back
        listed.insert(-1, _do(case, *BACK_TOGETHER))
    return tuple(listed)


def _opened(case: Case, step: Step, done: tuple[str, ...]) -> Step:
    """A step at what holds the wheel with what comes before it at this corner: what each nut gave at, the wheel off."""
    wanted = NUT_BREAKS if step == NUTS_FIRST else NUT_WHEEL_OFF
    if step == SPACERS_FIRST:  # it is read there: caliper off, dial set up, and measured where nobody did
        wanted = (*wanted, *FREE, *(key for key in step.keys if key == "thickness"))
    keys = [key for key in wanted if key not in done]
    breaks = tuple(key for key in keys if key in NUT_BREAKS)
    opened = _do(case, *(key for key in keys if key not in breaks))
    first = BEFORE_A_NUT.format(first=work_order.painted_first(case)) if breaks else ""
    return replace(step, before=" ".join(filter(None, (first, opened.own))), keys=(*breaks, *opened.keys, *step.keys))


def _not_again(case: Case, step: Step, done: tuple[str, ...]) -> list[Step]:
    """The step without what is done already; none where nothing is left of it. With the wheel off none is read on."""
    behind = {*done, *(WHEEL_ON if "wheel off" in done else ())} & set(ONCE)
    keys = tuple(key for key in step.keys if key not in behind)
    if keys == step.keys:
        return [step]
    return [_do(case, *keys, why=step.why)] if keys else []


def of_its_own(run: Any) -> tuple[str, ...]:
    """What this corner asks for that no stage of the order of work holds: nuts, bearing, hub, caliper, the rotor."""
    asked = {*NUTS, SPACERS_FIRST, *OVER_SCALE, *HUBS, BEARING_FIRST, CALIPER_FIRST, PADS_TOO, ROAD_TORQUE}
    rotor = _rotor(run)
    return tuple(step.own for step in next_steps(run) if step in asked or step in rotor)


def _at_the_rotor(run: Any) -> tuple[Step, ...]:
    """What to do with rotor, hub and nuts."""
    case = run.case
    read, road, worn, bare = runout(run), as_driven(run), dtv(run), bare_of(run)
    read_bare = getattr(run.reading, "bare_hub", None)
    if spigot.wrong(run.spigot):
        return _off_the_spigot(run)
    if _stays_on(run):
        near = bare is not None and bare.state == TOO_CLOSE
        thickness_read, known = run.reading is None or _worn(run) is not None, _thickness_known(run)
        road_torque = [ROAD_TORQUE] if unfit(case.studs) else []
        held = case.studs.clamped_by if run.reading is None else run.reading.clamped_by
        if held.startswith(BARE_NUTS):
            return (*road_torque, *_under_spacers(case, near, thickness_read and known))
        return (*road_torque, *leave_it_on(case, thickness_read, near, known))
    over = read.state != "below" or (road is not None and road.state != "below") or unused_state(run) not in ("", BELOW)
    nuts = _nuts_first(case, run.reading)
    steps = [*([] if case.spigot_scale else nuts), *([BEARING_FIRST] if bearing_first(run) else [])]
    close = None if run.forecast is None else road_words.unsure_start(run.forecast, case.limits.dtv_um)
    if close is not None and not (close.counts_over or close.counts_neither or _slim(run)):
        steps.append(
            read_often(2 if close.shaky else close.wanted_turns)
            if (close.finest and not close.coarse) or close.shaky
            else MEASURE_AGAIN
        )
    rotor = _rotor(run)
    if _goes_unread(case, rotor):
        return (*steps, *_without_reading(run, rotor, hub_over=bare is not None and bare.state == ABOVE))
    uneven = worn is not None and (worn.state != "below" or worn.value >= words.DTV_BANDS[0][0])
    steps.append(_do(case, *WHEEL_ON, why=WHEEL_ON_WHY))
    loosely = _held_loosely(case, run.reading)
    steps.append(_do(case, *(LET_BE if case.spigot_scale else HELD), why=loosely))
    again = steps[:1] and (steps[0] in (*NUTS, BEARING_FIRST) or steps[0].why == MEASURE_AGAIN.why)
    cleaned = getattr(run.reading, "state", "") in CLEAN_STATES
    read_anew = ("read",) if loosely else ()
    first = (*FREE, *(() if again else read_anew if cleaned else ("as found",)))
    why = AS_FOUND_WHY
    if case.spigot_scale:  # torque over scale is what cracks a bore, and a reading as found needs torque
        first, why = FREE[:-1], SCALE_WHY
    micrometer = () if cleaned and _worn(run) is not None and not uneven else ("thickness",)
    steps.append(_do(case, *first, *micrometer, why=THICKNESS_WHY if uneven else why))
    if cleaned and read.state == TOO_CLOSE and not case.spigot_scale:
        steps.append(THREE_TURNS)
        steps.append(_do(case, "rotor off", "cracks", why=DIRT_WHY))
    else:
        steps.append(_do(case, "rotor off", "cracks", "clean", why=DIRT_WHY))
    steps += _over_scale(case, nuts)
    if bare is not None and bare.state == "above":
        steps.append(HUB_FIRST if read_bare is None else HUB_READ_FIRST)
    elif bare is not None and bare.state == TOO_CLOSE and read_bare is not None:
        steps.append(_hub_again(case, read_bare))
    elif over or (bare is not None and bare.state != "below"):
        steps.append(_do(case, "hub face", why=HUB_WHY))
    steps += rotor
    steps.append(_do(case, "fit", "tighten", *(FREE[-1:] if case.spigot_scale else ()), "read"))
    steps.append(_rest(run, moved=not set(HUBS) & set(steps) and len(case.studs.positions) > 1))
    return (*steps, _do(case, *BACK_TOGETHER))


def _under_spacers(case: Case, hub_near: bool, measured: bool) -> tuple[Step, ...]:
    """What a small figure under bare nuts asks for: read under spacers, and only what that says leaves the rotor on."""
    spacers = SPACERS_FIRST if measured else replace(SPACERS_FIRST, keys=("thickness", *SPACERS_FIRST.keys))
    _, *service = leave_it_on(case)
    return (spacers, STAYS_BY_SPACERS_NEAR_HUB if hub_near else STAYS_BY_SPACERS, *service)


def _goes_unread(case: Case, rotor: Iterable[Step]) -> bool:
    """Whether the rotor goes by what its file gives, none of it read: then it is not held, not read, only renewed."""
    return not case.spigot_scale and any(step.keys == GIVEN_UP for step in rotor)


def _without_reading(run: Any, rotor: Iterable[Step], hub_over: bool) -> tuple[Step, ...]:
    """The work behind nuts and bearing at a rotor that goes as given: off, hub, renewed; the new one is read."""
    case = run.case
    hub = HUB_FIRST if getattr(run.reading, "bare_hub", None) is None else HUB_READ_FIRST
    return (
        _do(case, *(key for key in WHEEL_ON if key != "wheel-on trace"), why=NONE_READ_WHY),
        _do(case, *LET_BE, "caliper off", "flange play", "rotor off", "cracks", "clean", why=NONE_READ_WHY),
        hub if hub_over else _hub_by_the_dial(case),
        *rotor,
        _do(case, "fit", "tighten"),
        _do(case, "dial", "read", why="Only now does a reading count."),
        _rest(run, moved=not hub_over and len(case.studs.positions) > 1),
        _do(case, *(key for key in BACK_TOGETHER if key != "last trace")),
    )


def _hub_again(case: Case, read: BareHub) -> Step:
    """How a bare face that no reading tells from its limit is read again: as found it was not clean."""
    if read.as_found:
        return _do(case, "hub face", why=HUB_WHY)
    return HUB_LOOK_AT if read.to_look_at else HUB_READ_ON


def _rest(run: Any, moved: bool) -> Step:
    """What is done where it reads over its limit after all, whatever was computed today."""
    rest = _do(run.case, *(("index",) if moved else ()), "the rest")
    if (stud := getattr(run.reading, "better_stud", None)) is not None:
        there = work_order.READ_BEST_THERE.format(stud=stud)
        rest = replace(rest, own=rest.own.replace(work_order.BY_HOLES, there))
    return replace(rest, own=rest.own.replace(work_order.THE_REST, work_order.NEW_ROTOR_OVER)) if _rotor(run) else rest


def lead(run: Any) -> str:
    """Say in one line what the list of steps comes to: what a technician reads first."""
    pads = " The pads are worn out as given: renew them too." if worn_out(run.case) else ""
    return f"{_of_steps(run, tuple(step for step in _asked(run) if step != PADS_TOO))}{pads}"


def _of_steps(run: Any, steps: tuple[Step, ...]) -> str:
    if steps[0] == CALIPER_FIRST:
        rest = "Look at rotor and pads for heat." if steps[1] in STAYS else _led_by(run, steps[1:])
        return f"Free the caliper first. {rest}"
    return _led_by(run, steps)


def _then(run: Any, steps: tuple[Step, ...]) -> str:
    """What else comes before a reading or a part, in its order, behind the line of the first; empty for nothing."""
    named = (
        ("what holds the wheel", NUTS_OVER_SCALE in steps),
        ("the part", bool({PART_FIRST, PART_OVER_SCALE} & set(steps))),
        ("the caliper", bool({CALIPER_FIRST, CALIPER_OVER_SCALE} & set(steps))),
        ("the bearing", BEARING_FIRST in steps),
        ("the hub face, over its limit", bool(set(HUBS) & set(steps))),
        ("the rotor, which goes by its thickness", bool(_rotor(run))),
    )
    then = [name for name, there in named if there]
    return f" Then {words.listed(then)}." if then else ""


def _led_by(run: Any, steps: tuple[Step, ...]) -> str:
    if spigot.wrong(run.spigot):
        return f"Take the rotor off, clean spigot and bore, look for cracks. Do not drive it so.{_then(run, steps)}"
    if steps[0] in (*NUTS, BEARING_FIRST):
        return LEADS[steps[0]] + _then(run, steps[1:])
    if (why := _held_loosely(run.case, run.reading)) and not _goes_unread(run.case, steps):
        return f"{READ_HELD} {why}"
    if set(HUBS) & set(steps) and (told := _rotor_said(steps)):
        return f"{told} Before a new one the hub face, over its limit: no rotor cures it."
    told = _stays_said(steps) or _rotor_said(steps) or next((LEADS[one] for one in steps[:1] if one in LEADS), "")
    if told:
        return told
    if any(step.why == MEASURE_AGAIN.why for step in steps):
        return "Measure the thickness again, then take the rotor off and clean hub face and rotor seat."
    if set(HUBS) & set(steps):
        return "Take the rotor off, clean both faces and read the hub face again: over its limit, no rotor cures it."
    if THREE_TURNS in steps:
        return "Nuts slackened and tightened anew until there are three turns: their middle counts."
    scale = "Rotor off, clean spigot, bore, hub face and rotor seat, fit by hand, read."
    found = "Read as found; rotor off, clean hub face and rotor seat, fit, read again."
    return scale if run.case.spigot_scale else found


def _stays_said(steps: tuple[Step, ...]) -> str:
    """The line of a rotor that stays on, at once or after something else; empty where it does not."""
    if not set(STAYS) & set(steps):
        return ""
    if steps[0] in UNREAD_TOO.values():
        return "Leave the rotor on, once its thickness is read: over the stamp and even."
    if steps[0] in STAYS:
        return "Leave the rotor on."
    return LEADS.get(steps[0], "Read the thickness before the rotor is left on.")


def _rotor_said(steps: tuple[Step, ...]) -> str:
    """The line of a rotor that goes, by stamp or thickness; empty where it does not."""
    if RENEW_SLIM in steps:
        return "Read its discard stamp: so near to it renew the rotor, on a clean hub."
    if RENEW_BY_STAMP in steps:
        return "So near its discard thickness renew the rotor, on a clean hub."
    if any(step.why == COUNTS_AS_OVER.why for step in steps):
        return "Its thickness counts as over the limit: rotor off, clean hub face, renew the rotor, fit, read."
    if any(step.why == RENEW.why for step in steps):
        return "Its thickness is over the limit as read: rotor off, clean hub face, renew the rotor, fit, read."
    if any(step.keys == GIVEN_UP for step in steps):
        return "By its thickness as given the rotor goes: rotor off, clean hub face, renew the rotor, fit, read."
    return ""


def _do(case: Case, *keys: str, why: str = "") -> Step:
    """One step out of pieces of work, in the words of the order of work; what this corner has not is left out."""
    works = work_order.works(case, keys)
    return Step(" ".join(one.what for one in works), why, tuple(one.key for one in works))


def work_off(case: Case, *keys: str) -> Step:
    """One step out of pieces of the order of work, for a list that stands without a run."""
    return _do(case, *keys)


# What belongs to one step; the order of work says in which order, and what this corner has of it.
WHEEL_ON = ("support", "breakaway torque", "lift", "park brake off", "bearing play", "wheel-on trace", "guide pin")
HELD = ("wheel off", "mark", "home", "spacers")
LET_BE = HELD[:2]  # no nut is set to torque on a rotor over scale
FREE = ("caliper off", "flange play", "dial")
BACK_TOGETHER = ("caliper", "wheel", "last trace", "park brake back", "pedal", "bed in")
#: Done once, before anything comes off that holds the rotor.
ONCE = (*WHEEL_ON, *LET_BE)
#: Before a nut is turned, and before a wheel comes off for what holds it: nothing is read on a wheel that a nut let go.
NUT_BREAKS = WHEEL_ON[:2]
NUT_WHEEL_OFF = (*NUT_BREAKS, "lift", "park brake off", "guide pin", *LET_BE)
WHEEL_ON_WHY = "Taking the wheel off destroys this evidence."
# Short: page one of the report holds them all.
DIRT_WHY = "Dirt is the commonest cause; a coating of the maker stays on."
AS_FOUND_WHY = "What was there before is gone once the rotor is off."
NONE_READ_WHY = "No reading of a rotor that goes is asked."
SCALE_WHY = "No nut is set to torque over scale on the spigot: so it is not read as found."
HUB_WHY = "Over its limit, hub and bearing come first."
THICKNESS_WHY = (
    "Uneven beyond its limit: cleaning does not bring the metal back; renew it, or cut it where its maker allows."
)
#: Before a nut is turned: what it gave at is evidence, and what is off falls.
BEFORE_A_NUT = (
    "Wheels chocked on level ground, park brake on; {first} painted, the torque at which each nut gives written down "
    "first."
)
#: How it is held and read again behind that: bare cone nuts clear nothing.
HELD_AGAIN = (
    "spacers under each while the wheel is off, tighten crosswise in stages to the vehicle maker's torque; caliper "
    "hung up, dial set up, read again."
)
#: What is worn where a nut was loose is renewed before it is tightened.
WORN_AT_THE_NUT = (
    "Look at stud, nut and the wheel's seat where a nut was loose or off: worn ones are renewed (common practice, no "
    f"source). Fit every nut, {HELD_AGAIN}"
)
NUTS_FIRST = Step(
    WORN_AT_THE_NUT,
    "What a dial reads under missing or loose nuts counts for nothing, and the car must not be driven so.",
)
#: The same where it ran so on the road, wheel on.
LOOSE_ON_THE_ROAD = Step(
    WORN_AT_THE_NUT, "What was read on a wheel that ran so counts for nothing, and nobody drives so."
)
#: Of studs whose preload, as given, is past their proof load.
STUDS_FIRST = Step(
    "Check torque, nut factor and class as given. Studs that were really pulled past their proof "
    f"load are renewed, with their nuts (common practice, no source). Then every nut goes on, {HELD_AGAIN}",
    "A thread that yielded holds a wheel no longer as it should.",
)
#: Of wheel bolts whose length, as given, holds a wheel badly.
BOLTS_FIRST = Step(
    "Wheel bolts as long as the vehicle maker gives for "
    "this wheel: run in by hand, turns counted; crosswise in stages "
    "to the maker's torque, and read again.",
    "Bolts that are too short strip, bolts that are too long bottom before they clamp, or foul.",
)
#: Of a list of torques that are all alike: how it was fitted for reading, and nobody said how it is driven.
ROAD_TORQUE = Step(
    "Every nut to the vehicle maker's torque, crosswise in stages; then give it as studs.road_torque_nm.",
    "A list says how it was fitted for reading, not how it is driven.",
)
#: The same of bolts and spacers as they are held for reading.
BOLTS_AS_READ = Step(
    "Bolts and spacers that fit each other: none bottoms, none holds by fewer turns than the "
    "vehicle maker gives; the thread in the hub looked at; then crosswise in stages to the maker's torque, and read "
    "again.",
    BOLTS_FIRST.why,
)
#: Of a bore so wide that the spigot does not centre the rotor.
PART = (
    "The part: bore against spigot by caliper gauge, the part number, a centring ring where the vehicle maker gives "
    "one. A rotor of another car is not fitted."
)
PART_FIRST = Step(
    f"{PART} Then every nut crosswise in stages to the maker's torque, and read again.",
    "Nothing centres it as given: it sits where its holes let it, and no reading tells of the right part.",
)
#: The same over scale on the spigot, rotor off and clean: no torque is told before it goes home by hand.
PART_OVER_SCALE = replace(PART_FIRST, own=PART)
NUTS_OVER_SCALE = Step(
    "What holds the wheel, before it goes back on: stud, nut and the wheel's seat looked at where a nut was loose, off "
    "or pulled too hard, wheel bolts by their length and thread; what is worn or was pulled past its proof load is "
    "renewed (common practice, no source).",
    f"Before the rotor came off {NO_NUT.partition(' before')[0]}.",
)
NUTS = (PART_FIRST, NUTS_FIRST, LOOSE_ON_THE_ROAD, STUDS_FIRST, BOLTS_FIRST, BOLTS_AS_READ)
#: Of a rotor that was read without its nuts: nothing is loose, and no figure counts.
BY_SCREW_WHY = "Held by one screw it does not sit, and what is read so orders nothing."
BY_HAND_WHY = "Under nuts run up by hand it does not sit, and what is read so orders nothing."
READ_HELD = "Hold the rotor with spacers under every nut, to the maker's torque, and read it again."
#: Of an end float as given that alone leaves a runout too close to its limit to tell.
BEARING_FIRST = Step(
    "The bearing: within the vehicle maker's play, or renewed as the maker says, before any reading counts; then read "
    "again.",
    "Its end float as given leaves every reading unsure by as much.",
)
MEASURE_AGAIN = Step(
    "Measure the thickness again with a finer micrometer, before the rotor is cut, renewed or left on.",
    "The readings do not tell whether it is over its limit.",
)
#: Of a rotor that was read at the end of its wear.
RENEW_SLIM = Step(
    "Read the discard thickness stamped on the rotor: at or under it, or so near that no wear is left, renew it, on a "
    "clean hub, both of the axle.",
    "No wear to speak of is left.",
)
#: The same over a stamp that the case states: nothing is left to read.
RENEW_BY_STAMP = Step(f"{acts.RENEW_ONLY}.", RENEW_SLIM.why)
#: Of a caliper that the case gives as stuck.
CALIPER_FIRST = Step(
    f"The caliper first, left to cool: {FREE_IT} (opened hydraulics are bled), {UNTIL}. "
    f"{words.capital(RAN_HOT)}. Pedal pumped firm before the car moves.",
    "It drags and heats as given, whatever the rotor runs out.",
    (work_order.FREE_THE_CALIPER,),
)
#: Of pads that the case gives as worn out.
PADS_TOO = Step(
    "The pads, worn out as given: renewed the vehicle maker's way, both sides of the axle; the rotor's faces looked at "
    "for scores and cracks.",
    "Whatever the rotor runs out.",
    (work_order.NEW_PADS,),
)
#: The same caliper where scale holds the rotor: no wheel is tightened over it to see whether it turns.
CALIPER_OVER_SCALE = replace(
    CALIPER_FIRST,
    own=f"The caliper, hung up and left to cool: {FREE_IT} (opened hydraulics are bled). {words.capital(RAN_HOT)}. "
    f"It is free once all is back together and {UNTIL.removeprefix('until ')}. Pedal pumped firm before the car moves.",
)
OVER_SCALE = (NUTS_OVER_SCALE, PART_OVER_SCALE, CALIPER_OVER_SCALE, PADS_TOO)
#: Of a thickness that no more reading tells from its limit.
COUNTS_AS_OVER = Step(f"{acts.UNEVEN_END}.", "Cleaning does not bring the metal back.")
#: Of a rotor whose thickness was read over its limit.
RENEW = Step(f"{acts.RENEW}.", "Its thickness was read over its limit: cleaning does not bring the metal back.")
GIVEN_UP = ("thickness",)  # work that a rotor which goes by its case still asks for: the micrometer decides
HUB_FIRST = Step(
    "The hub face as given is over its limit: read it on clean metal, check the bearing for play, renew hub or bearing "
    f"as the vehicle maker says; {acts.NEW_HUB_BRIEFLY}.",
    "No rotor cures a hub, and a stud position would only hide it.",
    ("hub face",),
)
#: The same of a face that was read clean and bare in the same table.
HUB_READ_FIRST = replace(
    HUB_FIRST,
    own="The hub face as read is over its limit: check the bearing for play, renew hub or bearing as the vehicle "
    f"maker says; {acts.NEW_HUB_BRIEFLY}.",
)
HUBS = (HUB_FIRST, HUB_READ_FIRST)
#: Of a bare face that was read clean, within its uncertainty of its limit.
HUB_READ_ON = Step(
    "The bare clean hub face, at or near its limit as read: read on, with the finest dial at hand, until there are "
    "three turns that agree; their middle decides.",
    "Over its limit, hub and bearing come first.",
    ("hub face",),
)
#: The same where the dial showed more than a lean there, which a lean alone would acquit.
HUB_LOOK_AT = replace(
    HUB_READ_ON,
    own="The bare clean hub face where the dial showed most: a straight edge across it, a light behind; what stands "
    "up on the seat stoned flat by hand, clean; the tip beside the bolt holes, read again (state 'cleaned again').",
)
#: Of a rotor that was read on clean faces, within the dial's uncertainty of its limit: as `causes` orders it.
THREE_TURNS = Step(
    f"{words.capital(acts.ANEW)}: their middle counts. All turns in one table: trueseat causes says what they order.",
    "Nothing is cleaned, moved or bought for what no dial tells from its limit.",
    ("tighten", "read"),
)
#: Before a rotor stays on whose figure is one under bare nuts, as `causes` orders it.
SPACERS_FIRST = Step(
    f"{words.capital(acts.SPACERS)}. Over the limit then, take the rotor off and clean hub face and rotor seat first.",
    "Under bare cone nuts a small figure clears nothing.",
    ("tighten", "read"),
)
LEAVE_IT_ON = Step(
    "Leave the rotor on: clean as given, it is below its limits as it stands.",
    "Every time it is taken off it goes on a little differently. Where the faces were not cleaned, clean them and "
    "read again. The vehicle maker's limits count.",
)
#: The same with a hub face as given that is too close to its limit to tell.
LEAVE_NEAR_HUB = Step(
    "Leave the rotor on: clean as given, its runout is below its limit as it stands. The hub face as given is too "
    "close to its limit to tell: when the rotor is next off, read it on clean metal, three turns; their middle counts.",
    LEAVE_IT_ON.why,
)
#: The same of a figure under bare nuts, which clears nothing: only what is then read under spacers does.
STAYS_BY_SPACERS = replace(LEAVE_IT_ON, own="Read so below its limit, leave the rotor on. Else it is not left on.")
STAYS_BY_SPACERS_NEAR_HUB = replace(
    STAYS_BY_SPACERS, own=f"{STAYS_BY_SPACERS.own} {LEAVE_NEAR_HUB.own[LEAVE_NEAR_HUB.own.index('The hub face') :]}"
)
#: The same of a corner whose thickness neither a reading nor its own file gives.
UNREAD_TOO = {one: replace(one, own=f"{one.own} {acts.UNREAD}") for one in (LEAVE_IT_ON, LEAVE_NEAR_HUB)}
STAYS = (LEAVE_IT_ON, LEAVE_NEAR_HUB, *UNREAD_TOO.values(), STAYS_BY_SPACERS, STAYS_BY_SPACERS_NEAR_HUB)

NUTS_SAID = "Tighten every nut as the vehicle maker says and read again, before anything else."
#: The line of the first step, where that leads.
LEADS = {
    PART_FIRST: "The part first: nothing centres this rotor as given. Bore, spigot, ring and part number are checked.",
    NUTS_FIRST: NUTS_SAID,
    LOOSE_ON_THE_ROAD: NUTS_SAID,
    STUDS_FIRST: "The studs first: pulled past their proof load as given. Check that, renew what was pulled so.",
    BOLTS_FIRST: "The wheel bolts first: their length, as given, does not hold a wheel. Not to be driven so.",
    SPACERS_FIRST: "Spacers under every nut and read again: under bare nuts a small figure clears nothing.",
    BOLTS_AS_READ: "Bolts and spacers first: as held for reading they bottom or hold by few threads. Then read again.",
    BEARING_FIRST: "The bearing first: its play leaves every reading unsure. Then read again.",
    ROAD_TORQUE: "Every nut to the vehicle maker's torque, and tell it: so nothing is forecast.",
}


def read_often(times: int) -> Step:
    """Read the thickness so often that the middles tell: as sure as one reading is, no finer micrometer tells more."""
    what = f"Read the thickness at every place {times} times, before the rotor is cut, renewed or left on"
    return Step(f"{what}: the middles count.", MEASURE_AGAIN.why)


def leave_it_on(
    case: Case, thickness_read: bool = True, hub_near: bool = False, known: bool = True
) -> tuple[Step, ...]:
    """What is left to do at a corner that stays as it is: two readings, each with what it is held against."""
    stays = LEAVE_NEAR_HUB if hub_near else LEAVE_IT_ON
    thickness = words.micrometres(case.limits.dtv_um)
    first = _do(case, "thickness", why="The rotor has run, and these readings hold no thickness.")
    return (
        *(() if thickness_read else (first,)),
        stays if known or not thickness_read else UNREAD_TOO[stays],
        Step(
            "Read runout and thickness once more at the next service. At or under the discard thickness it is scrap; "
            f"uneven by more than {thickness}: renew it, or cut it where its maker allows.",
            "Scale grows back on a bare hub.",
            ("as found", "thickness"),
        ),
    )


def _nuts_first(case: Case, reading: Any = None) -> list[Step]:
    """What nuts that are off, loose, uneven or too tight need before anything else; none where they hold."""
    part = [PART_FIRST] if uncentred(case) else []
    return [*_what_holds(case, reading), *part]


def _over_scale(case: Case, nuts: list[Step]) -> list[Step]:
    """The same once the rotor is off its scale, looked at, nothing tightened; then its brake. None without scale."""
    if not case.spigot_scale:
        return []
    stated = what_leads.of_case(case)
    there = (bool(nuts) and nuts != [PART_FIRST], PART_FIRST in nuts, bool(stated.caliper), bool(stated.pads))
    return [step for step, is_there in zip(OVER_SCALE, there, strict=True) if is_there]


def _what_holds(case: Case, reading: Any) -> list[Step]:
    """What nuts, studs or wheel bolts need; none where they hold."""
    studs = case.studs
    if loose_on_the_road(studs):
        return [LOOSE_ON_THE_ROAD]
    if bolts_on_the_road(case):
        return [BOLTS_FIRST]
    if reading is None and bolt_warnings(case):
        return [BOLTS_AS_READ]
    if past_proof(studs):
        return [STUDS_FIRST]
    return [NUTS_FIRST] if slack_nut(studs) else []


def _held_loosely(case: Case, reading: Any) -> str:
    """Why what was read counts for nothing though no nut is loose: one screw held it, or nuts run up by hand."""
    if ONE_SCREW in (case.studs.clamped_by, getattr(reading, "clamped_by", "")):
        return BY_SCREW_WHY
    return BY_HAND_WHY if reading is None and loose_as_read(case.studs) and not slack_nut(case.studs) else ""


def _worn(run: Any) -> Any:
    """What was read of the thickness that a forecast starts from; None where nothing was."""
    return None if run.forecast is None else road_words.worn_start(run.forecast, run.case.limits.dtv_um)


def _thickness_known(run: Any) -> bool:
    """Whether somebody gave how thick the rotor is and when it is scrap: by reading, or in the case's own file."""
    given = run.case.where_from("rotor", "thickness_mm") == "the case file"
    return _worn(run) is not None or (given and is_stated(run.case))


def _slim(run: Any) -> bool:
    """Whether it is so near its discard thickness, as read or else as its file gives it, that no wear is left."""
    read = getattr(run.forecast, "worn_thinnest_mm", None)
    return is_slim(run.case, rotor_goes.given_mm(run.case) if read is None else read)


def _uncut(run: Any, step: Step) -> Step:
    """The step without its cut, where none keeps the least thickness that the maker allows."""
    worn = _worn(run) or road_words.read_over(run.forecast, run.case.limits.dtv_um)
    varies_um = 0.0 if worn is None else worn.value_um
    why = cut_on_car.no_cut(run.case, getattr(run.forecast, "worn_thinnest_mm", None), varies_um)
    return replace(step, own=acts.uncut(step.own, why))


def _rotor(run: Any) -> list[Step]:
    """What is done with the rotor itself: by its stamp, its variation as read, then by what its file gives."""
    case, worn, slim = run.case, _worn(run), _slim(run)
    goes = rotor_goes.as_given(case)
    if slim and worn is not None:
        return [RENEW_BY_STAMP if is_stated(case) else RENEW_SLIM]
    over = None if run.forecast is None else road_words.read_over(run.forecast, case.limits.dtv_um)
    if over is not None:
        return [_uncut(run, RENEW)]
    if worn is not None and road_words.counts_over(run.forecast, case.limits.dtv_um):
        return [_uncut(run, COUNTS_AS_OVER)]
    if not goes:
        return []
    varies_um = case.rotor.own_thickness_variation_um
    if slim and varies_um <= case.limits.dtv_um and not is_stated(case):
        return [RENEW_SLIM]  # the part set's figure condemns no rotor: its own stamp does
    no_cut = cut_on_car.no_cut(case, case.rotor.thickness_mm - varies_um / 2000.0, varies_um)  # given is the mean
    act = acts.RENEW_ONLY if slim else acts.uncut(acts.RENEW, no_cut)
    return [Step(f"{act}.", f"{words.capital(goes)}.", GIVEN_UP)]


def _stays_on(run: Any) -> bool:
    """Whether nothing lies between the faces, every runout is below its limit and the road makes little of it."""
    if run.case.debris or run.case.spigot_scale:
        return False
    if getattr(run.reading, "state", "") not in ("", *CLEAN_STATES):
        return False  # below its limit as found nothing is promised: dirt may cancel what lies under it
    bare, looks = bare_of(run), getattr(getattr(run.reading, "bare_hub", None), "to_look_at", False)
    goes = _slim(run) or rotor_goes.as_given(run.case)
    if _nuts_first(run.case, run.reading) or _held_loosely(run.case, run.reading) or bearing_first(run) or goes:
        return False
    if bare is not None and bare.state != BELOW and (looks or bare.value > bare.limit):
        return False  # over it, if by less than one dial is sure to; or it is looked at first
    if run.forecast is not None and road_words.read_over(run.forecast, run.case.limits.dtv_um) is not None:
        return False
    if run.forecast is not None and road_words.outgrown(run.forecast) is not None:
        return False
    if unused_state(run) not in ("", BELOW):
        return False
    thickness = dtv(run)
    unsure = None if thickness is None else road_words.unsure_start(run.forecast, thickness.limit)
    if unsure is not None and not unsure.counts_neither:
        return False
    worn = thickness is not None and (thickness.state == "above" or thickness.value >= words.DTV_BANDS[0][0])
    return not worn and all(one.state == "below" for one in found(run) if one.key != "dtv")


def _off_the_spigot(run: Any) -> tuple[Step, ...]:
    """What to do with a rotor that is not home, or was drawn home over scale: off, clean, by hand, measure.

    No torque is told: a figure beside a nut is taken for an instruction.
    """
    never = f"{spigot.NOT_BY_NUTS} " if run.spigot["wedged"] else ""
    if run.spigot["home"] == "home":
        never = "The nuts drew it home: that is damage. "
    case, bare = run.case, bare_of(run)
    hub_over = bare is not None and bare.state == ABOVE
    hub = HUB_FIRST if getattr(run.reading, "bare_hub", None) is None else HUB_READ_FIRST
    fatigue = f"{spigot.FATIGUE} No crack seen is no promise."
    wedge = "A tenth of a millimetre of scale is enough to hold the bore."
    return (
        _do(case, *WHEEL_ON, why="A bearing with play is the first thing to mend."),
        _do(
            case,
            "wheel off",
            "mark",
            "caliper off",
            "rotor off",
            why=f"{never}Whether it will sit cannot be seen with the wheel on.",
        ),
        Step(f"{work_order.work(case, 'cracks').what} Cracked is scrap.", fatigue, ("cracks",)),
        _do(case, "clean", why=f"{wedge} {words.CLEAN_METAL}"),
        *_over_scale(case, _nuts_first(case, run.reading)),
        *([BEARING_FIRST] if bearing_first(run) else []),
        hub if hub_over else _hub_by_the_dial(case),
        *_rotor(run),
        _do(case, "fit", "tighten", why="Does it not go home by hand, take it off again and find out why."),
        _do(case, "dial", "thickness", "read", why="Only now does a reading count."),
        _rest(run, moved=not hub_over and len(case.studs.positions) > 1),
        _do(case, *BACK_TOGETHER),
    )


def _hub_by_the_dial(case: Case) -> Step:
    """The clean hub face read by a dial that is only set up there."""
    return Step(f"Dial on the knuckle. {work_order.work(case, 'hub face').what}", HUB_WHY, ("hub face",))
