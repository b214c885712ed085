"""What was found, said against the limits in words: one source for table and report."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from scenes.words import loose_nut, spigot, words
from scenes.words import road as road_words
from scenes.words.loose_nut import studs_first
from sim.bench.between_places import HUMPS
from sim.bench.mountings import ONE_SCREW, SCREW_ONLY
from sim.bench.next_act import BARE_NUTS
from sim.corner.driven import BareHub, bounds_um, reading_doubt_um, wheel_span_um
from sim.corner.road_state import (
    UNFIT,
    loose_as_read,
    loose_on_the_road,
)
from sim.parts.dial import ABOVE, against_limit, span_against_limit
from sim.parts.hub_budget import hub_budget, of_case
from sim.parts.hub_face import face_as_given
from sim.parts.spigot_room import uncentred
from sim.seating.carried import LEAST_CARRYING

if TYPE_CHECKING:
    from sim.parts.case import Case

DRIVEN = "as driven"
NOT_OFF_THE_DIAL = "The limit is for what a dial reads; this is what wears the rotor."
#: Where the two figures differ by a millimetre's hundredth or more: one corner, pressed on in two ways.
BOTH_STAND = " Both figures stand: as driven the wheel presses the rotor on, otherwise than {by} did for reading."
PRESSED = re.compile(r"with \d+ MPa")
APART_UM = 10.0  # a division of a workshop dial; judgement
MOST_WAIT = 0.5  # share of draws from which the first tenth of them is few of those that get there
LIMIT_OF = {"runout": "mounted_runout_um", DRIVEN: "mounted_runout_um", "dtv": "dtv_um"}  # key of a finding's limit
SCREW_CLEARS_NOTHING = "which clears nothing, one screw does not seat a rotor"
PART_CLEARS_NOTHING = "which clears nothing, the part comes first"
NOT_HOME_READS = "What a dial reads now counts for nothing, whatever it is."
SLIGHT_LOSS = 0.002  # of the clamp force: less than that is not worth a figure


@dataclass(frozen=True)
class Judged:
    """One figure against its limit.

    Parameters
    ----------
    key : str
        ``runout``, ``as driven``, ``dtv`` or ``hub face``.
    name : str
        What the figure is.
    value, limit : float
        In micrometres. [um]
    low, high : float
        Ends of its doubt. [um]
    state : str
        ``below``, ``above`` or ``too close to tell``.
    sentence : str
        The finding in one sentence.
    plain : str
        The same for whoever acts on it, without bands and draws; empty where the sentence will do.
    """

    key: str
    name: str
    value: float
    limit: float
    low: float
    high: float
    state: str
    sentence: str
    plain: str = ""

    @property
    def to_act_on(self) -> str:
        """What page one says."""
        return self.plain or self.sentence

    @property
    def judged(self) -> bool:
        """Whether the limit is made for this figure: limits of runout are for what a dial reads."""
        return self.key != DRIVEN


#: Beside the figure as driven of such a reading.
AT_LEAST = " It is at least that: what lies between the dial's few places is not in it."
#: Beside the outboard face's own figure, which every command holds against the limit.
BOTH_FACES = " on the outboard face (the road starts from the mean of both faces, {mean})"


def runout(run: Any) -> Judged:
    """Judge what the dial reads: on the car where that was measured, else the seating under the dial."""
    case = run.case
    face, limit, doubt = case.gauge.face, case.limits.mounted_runout_um, _doubt_um(run)
    read = run.reading
    value = road_words.at_dial_um(run)
    state = against_limit(value, limit, doubt)
    judged = cleared(run, state) or f"{words.against_limit(state, value, limit)}, {limited(case)}"
    figure = f"{words.micrometres(value)} ({words.hundredths(value)})"
    if read is None and spigot.off_the_face(run.spigot):
        sentence, name = NOT_HOME_READS, f"{words.RUNOUT}, not home"
    elif read is None:
        sentence = f"{_stands_on_little(run.seat)}The {words.FACE[face]} runs out {figure}, {words.COMPUTED}: {judged}."
        if state != ABOVE and case.studs.clamped_by == BARE_NUTS:
            sentence = f"{sentence} {words.SMALL_BARE}"
        name = f"{words.RUNOUT}, {words.FACE[face]}, {words.COMPUTED}"
    else:
        who = f"clamped by {read.clamped_by}, as {read.said_by} say{'s' if read.said_by == 'the case' else ''}"
        which = f" ({words.clean(read.which, 200)})" if getattr(read, "which", "") else ""
        both = "" if read.outboard_um is None else BOTH_FACES.format(mean=words.micrometres(read.read_um))
        sentence = f"Measured on the car{which}: {figure}{both}, {who}: {judged}."
        if between := getattr(read, "between_um", 0.0):
            humps = HUMPS.format(read=value - between, places=read.places, by=between)
            sentence = f"{sentence} {words.capital(humps)}."
        if state != ABOVE:
            sentence = f"{sentence} {words.small_reading(read.clamped_by, value)}".rstrip()
        if read.clamped_by == ONE_SCREW:
            sentence = f"{sentence} {words.capital(SCREW_ONLY)}."
        name = f"{words.RUNOUT}, measured on the car"
    return Judged("runout", name, value, limit, value - doubt, value + doubt, state, sentence)


def _doubt_um(run: Any) -> float:
    """Half-width of the doubt of what was read on the car, else of what a dial would read of the seating. [um]."""
    return (run.reading.doubt_um if run.reading is not None else 0.0) or reading_doubt_um(run.case)


def cleared(run: Any, state: str) -> str:
    """Said in place of a pass where spigot, studs or nuts are wrong: none of it shows at the dial. Else empty."""
    if state == "above":
        return ""
    if spigot.wrong(run.spigot):
        return "which clears nothing, the spigot counts"
    if uncentred(run.case):
        return PART_CLEARS_NOTHING
    studs = run.case.studs
    if (studs.clamped_by if run.reading is None else run.reading.clamped_by) == ONE_SCREW:
        return SCREW_CLEARS_NOTHING
    if studs_first(run):
        return loose_nut.STUDS_FIRST
    # With a reading of the car and a torque of its road, the clamping of the case's own reading is neither.
    held = "" if run.reading is not None and studs.road_torque_nm is not None else loose_as_read(studs)
    return loose_nut.CLEARS_NOTHING if loose_on_the_road(studs) or held else ""


def _stands_on_little(seat: Any) -> str:
    """Head of a verdict on a seat that carries on next to nothing; empty where it carries."""
    share = getattr(seat.contact, "carrying_fraction", None)
    if share is None or share >= LEAST_CARRYING:
        return ""
    return f"It carries on {words.percent(share)} of the face only, so no figure is a verdict. "


def as_driven(run: Any) -> Judged | None:
    """Judge the corner as driven, with what the unknown wheel leaves open; ``None`` where it was not seated so."""
    found = run.as_driven
    if found is None or (run.reading is None and found.seat is None):
        return None
    case, how = run.case, "computed with the wheel on"
    limit, doubt = case.limits.mounted_runout_um, _doubt_um(run)
    if run.reading is not None:
        low, value, high = run.reading.driven_um
        behind = f"{words.span(low, high, 'µm')} in 80 % of corners that read alike"
        plain = f"{words.span(low, high, 'µm')} on most corners that read alike"
        low, high = min(low, value - doubt), max(high, value + doubt)
        if run.reading.as_it_runs:
            how = "read with the wheel on"
            behind = plain = f"± {words.micrometres(doubt)} by its dial; another fitting may seat otherwise"
        head = ""
    else:
        value = found.seat.gauge_runout_um
        low, high = bounds_um(found, doubt)
        behind = f"at {torque(found)}, {_wheel(found, case.gauge.face)}"
        plain = f"at {torque(found)}{_wheel_plain(found, case.gauge.face)}"
        head = _stands_on_little(found.seat)
    state = span_against_limit(low, high, limit)
    what = f"{head}{words.capital(words.AS_DRIVEN)}, {how}, {words.micrometres(value)}"
    nothing = cleared(run, state)
    if run.reading is None and nothing == SCREW_CLEARS_NOTHING:  # computed with the wheel on, no screw holds it
        nothing = ""
    close = words.capital(f"{nothing}.") if nothing else NOT_OFF_THE_DIAL
    close += AT_LEAST if getattr(run.reading, "between_um", 0.0) else ""
    told = [f"{what}{'' if within == how else f' ({within})'}. {close}" for within in (behind, plain)]
    told[0] += _both_stand(run, value)
    return Judged(DRIVEN, f"{words.RUNOUT}, {words.AS_DRIVEN}", value, limit, low, high, state, *told)


def _both_stand(run: Any, driven_um: float) -> str:
    """Say why a runout computed as held for reading and as driven differ; empty where they hardly do, or one was read.

    [um TIR]
    """
    if run.reading is not None or abs(run.seat.lateral_runout_um[run.case.gauge.face] - driven_um) < APART_UM:
        return ""
    return BOTH_STAND.format(by=run.case.studs.clamped_by)


def warned_as_driven(run: Any) -> list[str]:
    """Warnings of the seat as driven that the seat as read does not give, by whatever pressure."""
    seat = None if run.as_driven is None else run.as_driven.seat
    told = {PRESSED.sub("", one) for one in run.seat.warnings}
    more = () if seat is None else (one for one in seat.warnings if PRESSED.sub("", one) not in told)
    return [f"{words.capital(words.AS_DRIVEN)}, wheel on: {one}" for one in more]


def torque(found: Any) -> str:
    """Torque of the road in words: one figure, or each nut's where they are not alike."""
    each = found.road_torque_nm
    if max(each) - min(each) <= 0.005 * max(each):
        return words.with_unit(each[0], "N m", 3)
    return f"{', '.join(words.mark(round(one, 1)) for one in each)}{words.GAP}N{words.GAP}m"


def _wheel(found: Any, face: str) -> str:
    if found.wheel is None:
        return found.without_band
    low, high = wheel_span_um(found, face)
    unknown = "wheel unknown" if "material" in found.wheel.drawn else "wheel known in part"
    span = words.span(low, high, "µm", 2)
    return f"{unknown}: {span}, 80{words.GAP}% band" if " to " in span else f"{unknown}, which hardly moves it"


def _wheel_plain(found: Any, face: str) -> str:
    """What the unknown wheel leaves open, for page one; empty where it moves nothing that is printed."""
    if found.wheel is None:
        return ""
    low, high = wheel_span_um(found, face)
    span = words.span(low, high, "µm", 2)
    return f"; {span} by the wheel, which is not described" if " to " in span else ""


def dtv(run: Any) -> Judged | None:
    """Judge the greatest thickness variation of the forecast; ``None`` without a forecast."""
    forecast = run.forecast
    if forecast is None:
        return None
    limit = run.case.limits.dtv_um
    top = int(forecast.dtv_um.argmax())
    value = float(forecast.dtv_um[top])
    low, high = road_words.highest_band_um(forecast)
    state = road_words.limit_state(forecast, limit)
    over = words.over_limit(value, limit)
    over = f", {over} the limit of {words.micrometres(limit)}" if over else ""
    limit_said = words.limit_said(run.case, "dtv_um", limit)
    called = ""
    calms = loose_nut.calms(run.case.studs, state, value)
    if not calms and not road_words.quiet_untold(run, value):
        called = f" Drivers call {words.micrometres(value)} {words.dtv_called(value)}{over}{_reaching(forecast, high)}."
    worn = road_words.unsure_start(forecast, limit)
    if worn is not None:
        low, high = min(low, worn.low_um), max(high, worn.high_um)
        sentence = (
            f"Cannot tell whether it starts over the limit, {limit_said}: "
            f"measured {worn.figure} (k = 2){'; ' * bool(worn.taken)}{worn.taken}. "
            f"Taken as read, its highest is {words.micrometres(value)} on the case's own curve "
            f"({words.span(low, high, 'µm')} with the readings' uncertainty)."
        )
        plain = (
            f"The thickness was read too close to its limit, {limit_said}, to tell: it varies by "
            f"{worn.figure}. {words.capital(worn.again)}."
        )
        return Judged("dtv", f"greatest {words.DTV}", value, limit, low, high, state, sentence, plain)
    over_at_start = road_words.starts_over(forecast, limit)
    if over_at_start is not None:
        plain = f"It starts over the limit, {limit_said}: measured {over_at_start.figure} (k = 2)."
        sentence = (
            f"{plain} Driven on all the same its highest is {words.micrometres(value)} on the case's own curve; that "
            f"it falls again is {words.MODEL_ONLY}, and lets nothing go.{called}"
        )
        return Judged("dtv", f"greatest {words.DTV}", value, limit, low, high, state, sentence, plain)
    most = "it is highest at the start," if top == 0 else "its highest is"
    of = "of each draw's highest" if forecast.dtv_highest_band_um else "at that distance"
    spread = f" (80{words.GAP}% band {of}: {words.span(low, high, 'µm')})" if forecast.draws else ""
    start = f"the seating {words.AS_DRIVEN if run.reading is None else 'that was measured'}"
    if (read := road_words.worn_start(forecast, limit)) is not None:
        start += f" and a thickness that was read to vary by {read.figure}"
    sentence = (
        f"On the road, from {start}, thickness variation {reached(forecast, limit, limit_said)}; {most} "
        f"{words.micrometres(value)} on the case's own curve{spread}.{called}"
    )
    between = f" ({words.span(low, high, 'µm')})" if forecast.draws else ""
    plain = f"On the road {words.DTV} {reached_plain(forecast, limit, limit_said)} Highest about "
    plain += f"{words.micrometres(value)}{between}: drivers call that {words.dtv_called(value)}"
    plain += f"{_reaching(forecast, high).replace(' of the band', '')}."
    if nothing := road_words.nothing_said(run):
        if road_words.no_distance(run):  # what the rows withhold no sentence tells
            sentence = f"{most} {words.micrometres(value)} on the case's own curve{spread}."
        plain, sentence = nothing, f"{nothing} Computed all the same: {words.small(sentence)}"
    if (read := road_words.outgrown(forecast)) is not None:  # no forecast lies under what was measured
        value, low, high = read.value_um, read.low_um, read.high_um
    return Judged("dtv", f"greatest {words.DTV}", value, limit, low, high, state, sentence, plain)


def _reaching(forecast: Any, high_um: float) -> str:
    """What drivers call that the band reaches, where its own curve has another word; empty where none is drawn."""
    own = words.dtv_band(float(forecast.dtv_um.max()))
    if not forecast.draws or words.dtv_band(high_um) == own:
        return ""
    return f", the {words.micrometres(high_um)} of the band {words.dtv_called(high_um)}"


def limited(case: Case) -> str:
    """Write the limit of the mounted runout, and whose it is."""
    return words.limit_said(case, "mounted_runout_um", case.limits.mounted_runout_um)


def reached(forecast: Any, limit_um: float, limit_said: str) -> str:
    """Say in one verdict whether the limit is reached and when: the share of all draws decides."""
    far = float(forecast.distance_km[-1])
    limit, last = f"the limit, {limit_said},", words.kilometres(far)
    state, share = road_words.limit_state(forecast, limit_um), words.chance(1.0 - forecast.probability_never)
    drawn = bool(forecast.draws)
    if state == "below":
        return f"stays below {limit} within {last}{f' (it is reached in {share} of draws)' if drawn else ''}"
    if state == "above" and forecast.km_to_limit is not None:
        between = road_words.band(forecast.km_low, forecast.km_high, far)
        band = f" (80{words.GAP}% band: {between}; within {last} in {share} of draws)" if drawn else ""
        return f"reaches {limit} after about {words.kilometres(forecast.km_to_limit)}{band}"
    soonest = _soonest(forecast)
    even = f"is {words.AS_LIKELY_AS_NOT} to reach" if road_words.even(forecast) else "reaches"
    return f"{even} {limit} within {last}{':' if road_words.even(forecast) else ''} in {share} of draws{soonest}"


def reached_plain(forecast: Any, limit_um: float, limit_said: str) -> str:
    """Say the same verdict for page one: likely or not, the chance, after how many kilometres."""
    far = float(forecast.distance_km[-1])
    limit, last = f"its limit, {limit_said}", words.kilometres(far)
    state = road_words.limit_state(forecast, limit_um)
    chance = f" (chance {road_words.chance(forecast)})" if forecast.draws else ""
    if state == "below":
        return f"hardly reaches {limit}, within {last}{chance}."
    if state == "above" and forecast.km_to_limit is not None:
        low, high = forecast.km_low, forecast.km_high
        ends = f" ({road_words.band(low, high, far)})" if forecast.draws else ""
        return f"reaches {limit}, after about {words.kilometres(forecast.km_to_limit)}{ends}."
    soonest = _soonest(forecast)
    may = f"is {words.AS_LIKELY_AS_NOT} to reach" if road_words.even(forecast) else "may reach"
    return f"{may} {limit}, within {last}{chance}{soonest}."


def _soonest(forecast: Any) -> str:
    """Say before which distance hardly a draw reaches the limit; empty where few do at all, and those before it.

    The low end of the band is a tenth of all draws: of a half that get there, one in five.
    """
    if not forecast.km_low or 1.0 - forecast.probability_never < MOST_WAIT:
        return ""
    return f", hardly before {words.kilometres(forecast.km_low)}"


def beside_rows(run: Any) -> list[tuple[str, str, str]]:
    """Rows of what stands beside a seating: what is said, the figure, a note."""
    beside = run.beside
    if beside is None:
        return []
    if beside.as_driven_um is None:
        reason = beside.as_driven_refused
        driven = (words.REFUSED, f"with the wheel on: {reason}")
        if reason.startswith(UNFIT):
            driven = (words.NOT_FIT, reason.removeprefix(UNFIT))
    else:
        found = run.as_driven
        note = "wheel on; its pad as a plain ring"
        if found is not None and found.seat is not None:
            note = f"wheel on at {torque(found)}; {_wheel(found, run.case.gauge.face)}"
        driven = (words.micrometres(beside.as_driven_um), note)
    rows = [(f"{words.RUNOUT}, as driven", *driven)]
    if beside.runout_range_um is not None:
        span = words.span(beside.runout_range_um[0], beside.runout_range_um[1], "µm")
        rows.append(("range, strength of the dirt", span, f"{words.HELD}; how hard it is to crush is not settled"))
    if beside.preload_lost_n:
        lost, least = max(beside.preload_lost_n), SLIGHT_LOSS * max(run.seat.stud_preload_n)
        figure = words.force(lost) if lost >= least else "next to none"
        rows.append(
            (
                "clamp lost when it crushes",
                figure,
                "one stud, at most: one more reason to clean, not to tighten over it",
            )
        )
    return rows


def driven(run: Any) -> str:
    """Say how far the strength of the dirt leaves the reading open; empty where it does not."""
    beside = run.beside
    if beside is None or beside.runout_range_um is None:
        return ""
    span = words.span(beside.runout_range_um[0], beside.runout_range_um[1], "µm")
    return f"How hard the dirt is to crush is not settled: the dial may show {span}."


#: Of a bare face that was read, and that no fit acquits.
LOOK_FIRST = (
    " So the dial showed it, more than a lean: until it was looked at, as trueseat causes says of the same table, it "
    "counts neither as over nor as under."
)
#: The same of one that was read as found.
CLEAN_FIRST = (
    " So it was read as found: dirt reads so too. It is cleaned and read again, and until then it counts neither as "
    "over nor as under."
)


def hub_face(case: Case, read: BareHub | None = None) -> Judged | None:
    """Hold the hub face's runout against its limit, as read or else the case's; ``None`` when the case gives none.

    That of a case nobody read here: it stands beside the findings (`noted`) and is none of them.
    """
    if read is not None:
        return _hub_read(case, read)
    given = face_as_given(case)
    if given is None:
        return None
    value, limit, doubt, state = given.runout_um, given.limit_um, given.doubt_um, given.state
    whole = " (with its saddle, measured heights and hollows)" if given.whole else ""
    told = words.limit_said(case, "hub_face_runout_um", limit)
    sentence = (
        f"Hub face from {given.whose}, not measured here: {words.micrometres(value)}{whole} at radius "
        f"{words.with_unit(case.hub.read_radius_mm, 'mm')}, {words.against_limit(state, value, limit)}, {told}. "
        f"{of_case(case, case.hub.face_runout_um)}."
    )
    return Judged("hub face", "hub face runout", value, limit, value - doubt, value + doubt, state, sentence)


def _again_first(read: BareHub) -> str:
    """Why a bare face counts neither as over nor as under its limit; empty where it counts."""
    if read.as_found:
        return CLEAN_FIRST
    return LOOK_FIRST if read.to_look_at else ""


def _hub_read(case: Case, read: BareHub) -> Judged:
    """Hold a hub face that was read against its limit."""
    value, doubt, limit, state = read.runout_um, read.doubt_um, read.limit_um, read.state
    # What a lip or a hump brings at the dial no lever says.
    budget = hub_budget(value, case.limits.mounted_runout_um, read.radius_mm, case.gauge_radius_mm)
    rest = _again_first(read) or f" {budget}."
    sentence = (
        f"Bare hub face as read in the same table: {value:.0f} ± {doubt:.0f}{words.GAP}µm (k = 2) at radius "
        f"{words.with_unit(read.radius_mm, 'mm')}, {words.against_limit(state, value, limit)}, "
        f"{words.limit_said(case, 'hub_face_runout_um', limit)}.{rest}"
    )
    return Judged("hub face", "hub face runout", value, limit, value - doubt, value + doubt, state, sentence)


def bare_of(run: Any) -> Judged | None:
    """Judge the hub face of a run: as read beside the rotor, else the case's."""
    return hub_face(run.case, getattr(run.reading, "bare_hub", None))


def found(run: Any) -> tuple[Judged, ...]:
    """Every figure that a run found and that has a limit: as read, as driven, then the road."""
    return tuple(one for one in (runout(run), as_driven(run), dtv(run)) if one is not None)
