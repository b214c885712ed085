"""What leads an answer: the lines above every figure of a run, and what stands beside its findings."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from scenes.words import acts, held_to_read, loose_nut, spigot, uneven_rotor, words
from scenes.words import road as road_words
from scenes.words.findings import as_driven, bare_of, cleared, hub_face, limited, runout
from scenes.words.loose_nut import studs_first
from sim.bench import cut_on_car
from sim.bench.mountings import ONE_SCREW, SCREW_ONLY
from sim.corner.driven import bearing_unsure, reading_doubt_um
from sim.corner.road_state import FOR_READING, ON_THE_ROAD, UNFIT, unfit_as_read
from sim.files.seated_home import ask_unit
from sim.parts import rotor_goes
from sim.parts.dial import ABOVE, TOO_CLOSE, against_limit
from sim.parts.discard import discard_words, is_slim
from sim.parts.spigot_room import loosely_centred
from sim.parts.stuck_caliper import stuck
from sim.parts.worn_pads import worn_out

if TYPE_CHECKING:
    from sim.corner.driven import BareHub
    from sim.parts.case import Case

#: Behind a disagreement that may come from the few places alone.
FROM_THE_PLACES = " The road starts from what the dial showed, {shown}, without what lies between its places."
FROM_THE_CASE = "the case's seating, not from it; --mounted takes the same file."
FROM_THE_WHEEL = (
    "the turn with the wheel on, not from it. Either over the limit counts as over: under the nuts it is rotor, hub "
    "and seat; what only the wheel brings in lies between wheel and hat."
)
#: Of two faces as read that differ by more than the road begins with.
FACES_DIFFER = (
    "The two faces as read differ by {apart} (k = 2) once a turn, limit {limit}: by so much the thickness varies, or "
    "one of these turns is wrong. The road below begins at {begins} and counts for nothing before the thickness is "
    f"read by micrometer at {held_to_read.PLACES} places."
)
FACES_REFUTED = (
    "The two faces as read differ by {apart} (k = 2) once a turn, the micrometer reads {read}: one of these turns is "
    "wrong. Read both faces and the thickness again; before that the road below counts for nothing."
)
NO_RUNOUT_KEEPS_IT = "No runout keeps it on."
#: Of a variation that a case gives and nobody measured: as its list has it.
MEASURED_FIRST = "It is measured first, three turns by micrometer; over it so, no runout keeps it on."
#: Of a rotor that varies by more than its road makes.
THICKNESS_AGAIN = "read the thickness once more, and both faces as it runs"
NONE_STAYS = "Before that no rotor is left on for a forecast."
HUB_FIRST = "Hub and bearing first, no rotor and no stud cures a hub."
#: Of a bare face that was read, and that no fit acquits.
LOOK_FIRST = (
    "The bare hub face first, before a rotor is cut, renewed or left on it: rotor off, a straight edge across it with "
    "a light behind, what stands up on the seat stoned flat by hand on clean metal, then read again."
)
#: Of one that was read over its limit as found.
CLEAN_FACE_FIRST = (
    "The bare hub face first, before hub, bearing or rotor is bought: read as found it is cleaned and read again."
)


def not_fit(run: Any) -> str:
    """Say that nobody may drive so, why, and what to give; empty where the corner is fit to drive, or was not asked."""
    found = run.as_driven
    if found is None or found.seat is not None or spigot.off_the_face(run.spigot):
        return ""
    reason = words.clean(found.refused, 300)
    if reason.startswith(UNFIT):
        which = FOR_READING if run.case.studs.road_torque_nm is None else ON_THE_ROAD
        return f"{words.capital(which)}: {reason.removeprefix(UNFIT)}. No forecast."
    return f"No forecast: with the wheel on the rotor {words.REFUSED}: {reason}."


@dataclass(frozen=True)
class Stated:
    """What a case states of a corner that comes before every figure, a sentence each; empty where it states none.

    The one list of every command, in the order of work: scale is off before a nut is tightened, nobody lifts a corner
    whose nuts do not hold, and no rotor is judged on a bearing or a hub that comes first.

    Parameters
    ----------
    scale, nuts, part, caliper, pads, bearing, hub, rotor : str
        What it is of.
    """

    scale: str = ""
    nuts: str = ""
    part: str = ""
    caliper: str = ""
    pads: str = ""
    bearing: str = ""
    hub: str = ""
    rotor: str = ""

    @property
    def lines(self) -> tuple[str, ...]:
        """Those that say something."""
        return tuple(line for one in fields(self) if (line := getattr(self, one.name)))

    @property
    def held(self) -> str:
        """Name of the first that no reading orders anything beside; empty where all of them count."""
        return next((name for name in HELD if getattr(self, name)), "")

    def but(self, *names: str) -> Stated:
        """The same without what is said already, or was read and not only stated."""
        return replace(self, **dict.fromkeys(names, ""))

    def around(self, name: str) -> Beside:
        """Part the others by what leads, the name of one of them: in their order; all before what is none of them."""
        order = [one.name for one in fields(self)]
        at = order.index(name) if name else len(order)
        return Beside(self.but(*order[at:]).lines, self.but(*order[: at + 1]).lines)


#: What no reading orders anything beside, in that order.
HELD = ("scale", "nuts", "part", "bearing")


@dataclass(frozen=True)
class Beside:
    """What a case states beside the line that leads: what comes before that in the order of work, and what after it."""

    before: tuple[str, ...] = ()
    behind: tuple[str, ...] = ()

    def with_lead(self, lead: str) -> list[str]:
        """All lines that lead, in their order."""
        return [*self.before, lead, *self.behind]


def of_case(case: Case, runout_um: float = 0.0, hub_read: BareHub | None = None) -> Stated:
    """Collect what leads of a case alone, in every command.

    Parameters
    ----------
    case : Case
    runout_um : float
        What it runs out, as read or computed: then a bearing's play may leave it too close to tell. [um TIR]
    hub_read : BareHub, optional
        The bare hub face, where it was read; else the case's own counts.
    """
    return _of_case(case, runout_um, hub_read, case.given)


@lru_cache(maxsize=16)  # asked for dozens of times in one corner's list; what was given is not compared with a case
def _of_case(case: Case, runout_um: float, hub_read: BareHub | None, _given: tuple[str, ...] | None) -> Stated:
    return Stated(
        spigot.scale_first(case),
        loose_nut.first(case),
        spigot.part_first(case),
        caliper_first(case),
        pads_first(case),
        loose_bearing(case, runout_um),
        hub_over(case, hub_read),
        rotor_first(case),
    )


def of_run(run: Any) -> Stated:
    """Collect the same of a run: its nuts may be told by a reading of the car, its rotor by a micrometer."""
    held = loose_nut.first(run.case) if spigot.off_the_face(run.spigot) else not_fit(run)
    nuts = " ".join(dict.fromkeys(line for line in (held, read_loosely(run), studs_first(run)) if line))
    stated = of_case(run.case, road_words.at_dial_um(run), getattr(run.reading, "bare_hub", None))
    return replace(stated, nuts=nuts, rotor=worn_first(run))


def caliper_first(case: Case) -> str:
    """Say that a caliper which the case gives as stuck comes before what the rotor runs out; empty where none is."""
    sticks = stuck(case)
    return f"The caliper first: {sticks}." if sticks else ""


def pads_first(case: Case) -> str:
    """Say that pads which the case gives as worn out are renewed whatever the rotor runs out; empty where none is."""
    worn = worn_out(case)
    return f"The pads first, as given: {worn}." if worn else ""


def rotor_first(case: Case, level: bool = True, varies: bool = True) -> str:
    """Say that the rotor goes by its thickness as given; empty where it may stay. As `rotor_goes.as_given`."""
    goes = rotor_goes.as_given(case, level, varies)
    by_stamp = acts.UNTIL_ITS_STAMP if rotor_goes.by_the_part_set(case, goes) else NO_RUNOUT_KEEPS_IT
    end = MEASURED_FIRST if rotor_goes.NO_METAL in goes else by_stamp
    return f"The rotor first, as given: {goes}. {end}" if goes else ""


def read_loosely(run: Any) -> str:
    """Label a reading under a clamping that nobody may drive with, although the road's torque is known; else empty."""
    found, uneven = run.as_driven, loose_nut.uneven(run.case)
    if uneven and not not_fit(run):
        return uneven
    if found is None or found.seat is None or run.reading is not None:
        return ""
    reason = unfit_as_read(run.case.studs)
    return f"{words.capital(FOR_READING)}: {reason}." if reason else ""


def disagreement(run: Any) -> str:
    """Headline where the dial and the road fall on different sides of the limit; empty where they do not.

    That one of them is too close to tell is no disagreement where the dial's figure lies within the road's.
    """
    road = as_driven(run)
    if road is None:
        return ""
    read = runout(run)
    alike = "too close to tell" in (read.state, road.state) and road.low <= read.value <= road.high
    if read.state == road.state or alike:
        return ""
    limit = f"{words.against_limit(read.state, read.value, read.limit)} for the dial, {limited(run.case)}"
    how = words.COMPUTED if run.reading is None else "measured on the car"
    side = {"above": "above that figure", "below": "below that figure"}.get(road.state, "too close to it to tell")
    counts = f", {nothing}" if (nothing := cleared(run, road.state)) else f". {_counts(read.state, road.state)}"
    return (
        f"Dial and road disagree: {words.micrometres(read.value)}, {how}, is {limit}; "
        f"{words.micrometres(road.value)} {words.AS_DRIVEN}, computed, is {side}"
        f"{counts}.{_from_the_places(run.reading)}"
    )


def _from_the_places(read: Any) -> str:
    """Say that the road leaves out what lies between the places, where that counts for the dial; else empty."""
    between = getattr(read, "between_um", 0.0)
    return FROM_THE_PLACES.format(shown=words.micrometres(read.at_dial_um - between)) if between else ""


def _counts(read_state: str, road_state: str) -> str:
    """What dial and road each count for, where they fall on different sides: neither lets the other go."""
    if read_state == ABOVE:
        return "Over the limit at the dial it counts as over; what wears the rotor is the road"
    if road_state == ABOVE:
        return "What wears the rotor is the road: the dial clears nothing here"
    return "The limit is held by the dial; what wears the rotor is the road"


def bearing_first(run: Any) -> str:
    """Say before every figure that a bearing's end float, as given, leaves every reading unsure; empty where none is.

    Only where it alone makes the runout too close to its limit to tell.
    """
    return loose_bearing(run.case, road_words.at_dial_um(run))


def loose_bearing(case: Case, runout_um: float = 0.0) -> str:
    """Say the same of a case and a runout; of none where its play hides too much whatever is read. [um TIR].

    The rule of `sim.corner.driven.bearing_unsure`.
    """
    return f"{words.capital(told)}." if (told := bearing_unsure(case, runout_um)) else ""


def headlines(run: Any) -> tuple[str, ...]:
    """What stands above every figure: not fit to drive, the rotor's own thickness, or dial against road."""
    stated = of_run(run).but("scale")  # the spigot's own lines stand above
    beside = (screw_only(run), faces_first(run), stated.rotor, not_started_from(run), disagreement(run))
    return (*stated.but("rotor").lines, *filter(None, beside))


def screw_only(run: Any) -> str:
    """Say that one screw held the rotor where it was computed so; empty otherwise, and over scale, where no nut is."""
    held = run.reading is None and run.case.studs.clamped_by == ONE_SCREW and not run.case.spigot_scale
    return f"{words.capital(SCREW_ONLY)}." if held else ""


def unused_state(run: Any) -> str:
    """Where a mounted turn stands beside its limit that lies with a worn thickness unused; empty where none does."""
    read_um = getattr(run.forecast, "worn_mounted_um", None)
    limit = run.case.limits.mounted_runout_um
    return "" if read_um is None else against_limit(read_um, limit, reading_doubt_um(run.case))


def not_started_from(run: Any) -> str:
    """Say that the readings of a worn rotor hold a mounted turn from which the road does not start; else empty."""
    state, limit = unused_state(run), run.case.limits.mounted_runout_um
    if not state:
        return ""
    read_um = run.forecast.worn_mounted_um
    beside = f"{words.against_limit(state, read_um, limit)}, {words.micrometres(limit)}"
    return (
        f"These readings hold a mounted turn too, {words.micrometres(read_um)}, {beside}: the road below starts from "
        f"{FROM_THE_CASE if run.reading is None else FROM_THE_WHEEL}"
    )


def faces_first(run: Any) -> str:
    """Say that two faces and the micrometer cannot all be right; empty where they may, or no micrometer read it."""
    read = None if run.forecast is None else road_words.worn_start(run.forecast, run.case.limits.dtv_um)
    apart = road_words.faces_differ(run)
    return "" if read is None or apart is None else FACES_REFUTED.format(apart=apart.figure, read=read.figure)


def worn_first(run: Any) -> str:
    """Say of a rotor that was read, before the road, what its thickness orders, or that nobody read it; else empty."""
    forecast, case = run.forecast, run.case
    if goes := rotor_first(case, *road_words.given_counts(run)):
        return goes
    if forecast is None:
        return ""
    limit = case.limits.dtv_um
    worn = road_words.worn_start(forecast, limit) or road_words.read_over(forecast, limit)
    if worn is None and (more := road_words.outgrown(forecast)) is not None:
        act = more.again if more.state == TOO_CLOSE else THICKNESS_AGAIN
        return f"{words.capital(road_words.outgrown_said(forecast))}. {words.capital(act)}. {NONE_STAYS}"
    if worn is None:
        if run.reading is None:
            return ""
        whose = case.where_from("rotor", "own_thickness_variation_um")
        whose = "the case's" if whose == "the case file" else "from the part set" if whose == "the part set" else whose
        if (apart := road_words.faces_differ(run)) is not None:
            begins = f"{words.micrometres(float(forecast.dtv_um[0]))} ({whose})"
            return FACES_DIFFER.format(apart=apart.figure, limit=words.limit_said(case, "dtv_um", limit), begins=begins)
        return (
            f"The road below is reckoned on a new rotor, {words.micrometres(float(forecast.dtv_um[0]))} of thickness "
            f"variation ({whose}): yours has run, and these readings hold no thickness. Read it by micrometer at "
            f"{held_to_read.PLACES} places before anything is let go."
        )
    thinnest = getattr(forecast, "worn_thinnest_mm", None)
    slim, no_cut = is_slim(case, thinnest), cut_on_car.no_cut(case, thinnest, worn.value_um)
    near = f" {words.capital(discard_words(case, thinnest, worn.thick_half_mm))}." if slim else ""
    if worn.state == ABOVE:
        act = acts.RENEW_ONLY if slim else acts.uncut(acts.RENEW, no_cut)
        return (
            f"The rotor is over its limit as read: its thickness varies by {worn.figure} (k = 2), limit "
            f"{words.limit_said(case, 'dtv_um', limit)}. {act}. No forecast lets it go.{near}"
        )
    if road_words.counts_over(forecast, limit) and not slim:
        return f"{acts.uncut(acts.UNEVEN_END, no_cut)}."
    return (near + ("" if slim else uneven_rotor.left_on(worn))).strip()


def hub_first(run: Any) -> str:
    """Say before the road that the hub face, as read or as given, is over its limit; empty where it is not."""
    return hub_over(run.case, getattr(run.reading, "bare_hub", None))


def hub_over(case: Case, read: BareHub | None) -> str:
    """Say the same of a case and of what was read of its hub face, if anything."""
    bare = hub_face(case, read)
    if read is not None and read.to_look_at and bare is not None:
        first = CLEAN_FACE_FIRST if read.as_found else LOOK_FIRST
        return f"{first} {bare.sentence}"
    if bare is None or bare.state != ABOVE:
        return ""
    asked = "" if read is None else ask_unit(bare.value)
    return f"{f'{asked}. ' if asked else ''}{HUB_FIRST} {bare.sentence}"


def noted(run: Any) -> tuple[str, ...]:
    """Say what stands beside the findings because it was given and not found: hub face, bearing, rotor, its play."""
    bare, loose_um = bare_of(run), run.case.hub.bearing_end_float_um
    play = (
        f"Bearing play as given, {words.micrometres(loose_um)} of end float: every reading is unsure by as much; the "
        "vehicle maker's limit counts."
    )
    said = loose_um and not bearing_first(run)
    own_um, limit = run.case.rotor.own_runout_um, run.case.limits.mounted_runout_um
    own = (
        f"The rotor by itself, as given, runs out {words.micrometres(own_um)}, over the limit of "
        f"{words.micrometres(limit)}: on a hub that runs true it reads so."
    )
    return (
        *([] if bare is None or hub_first(run) else [bare.sentence]),
        *([play] if said else []),
        *([own] if own_um > limit else []),
        *([f"{words.capital(loose)}."] if (loose := loosely_centred(run.case)) else []),
    )
