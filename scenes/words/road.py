"""What a forecast says in rows, for terminal and report; the sentence on the limit is in `findings`."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from scenes.words import loose_nut, spigot, words
from sim.bench.mountings import ONE_SCREW, SCREW_ONLY
from sim.corner.driven import bearing_unsure
from sim.corner.road_state import loose_on_the_road
from sim.parts import rotor_goes
from sim.parts.dial import ABOVE, TOO_CLOSE
from sim.parts.discard import is_slim
from sim.parts.hub_face import face_as_given
from sim.parts.spigot_room import uncentred
from sim.parts.stuck_caliper import stuck
from sim.parts.thickness import Uneven
from sim.wear import judder
from sim.wear.forecast_words import ENDS_AT
from sim.wear.lives import DISCARD, PAD_WEAR_RANGE, WORN_PADS
from sim.wear.withheld import DISC_LIFE, FIELDS, LIMIT, PAD_LIFE

if TYPE_CHECKING:
    from sim.parts.case import Case

ORDERS_TOLD = 3
#: Fastest that most countries let a car go; common practice, no source.
ROAD_KM_H = 130.0
LEAST_FELT_NM = 0.05  # what is printed as no torque is felt at no speed
#: Of the strongest order's torque: with less, a driver complains of that one. Judgement, 0.15 to 0.4.
STRONG_SHARE = 0.25
#: Of what moves the answer, besides the first; the rest moves it less.
NEXT_TOLD = 3
Row = tuple[str, str, str]

# Unsettled parameters, as they are called at the bench.
UNSETTLED = {
    "mounted runout": "the wheel, or what lies behind the reading",
    "thickness variation at the start": "what the micrometer is unsure by",
    "pads.disc_wear_mm3_per_nm": "wear of the rotor",
    "caliper.holder_stiffness_n_mm": "pad carrier stiffness",
    "caliper.clearance_um": "running clearance",
    "caliper.slip_force_n": "slip force of the pad in its carrier",
    "pads.bed_released_n_mm3": "lining stiffness in light contact",
    "pads.bed_braking_n_mm3": "lining stiffness on the brake",
    "caliper.clamp_stiffness_kn_mm": "stiffness of the caliper",
    "tilt lever of the pad": "tilt lever of the pad",
    "caliper.outboard_share": "clearance shared",
}


# Said wherever the case's own curve gets there and most draws do not: why both stand there, which one counts.
#: In place of a figure that would let a rotor go that was read over its limit.
RENEWED = "over its limit as read: renew it"
OUTGROWN = "it was read to vary by more than this road makes: what wore it is not in this case"
COUNTED = "counts as over its limit: renew it"
UNSURE = "its thickness is read again first"
NOTHING = "What the road would make of it counts for nothing: {beside}."
HELD_FIRST = "what holds the wheel comes first"
FACES_FIRST = "its two faces differ by more than it begins with: its thickness is read first"
DAMAGE = "drawn home over scale, which is damage"
FREED_FIRST = "the caliper sticks: it is freed first"
NO_HEAT = "the caliper first, it sticks, and its heat is not in the model"
BEARING_FIRST = "the bearing comes first: its play leaves unsure how the rotor runs"
SPIGOT_COUNTS = "What the road would make of it clears nothing, the spigot counts: do not drive it so."
HUB_FIRST = "hub and bearing come first: no rotor runs true on that hub"
#: Of a bare face that was read, and counts neither as over nor as under until it was looked at, or cleaned.
FACE_OPEN_FIRST = "the bare hub face comes first: it is looked at and read again"
#: Of a turn that was read on the car.
HELD_LITTLE = "it was read under {clamped_by}, which clears no hub: read under every nut with spacers first"
PART_FIRST = "nothing centres this rotor as given: the part first"
NO_LEVEL = "its thickness itself is not known"
SLIM = "no wear to speak of is left: renew it"
GOES = "by its thickness as given it goes: renew it"
BY_ITS_STAMP = "it is near its part set's discard thickness: until its own stamp is read nothing is reckoned on it"
ACT_ON_SHARE = (
    "The case's own curve holds every unsettled value at one figure, the draws take each over its range: act on the "
    "share of draws, the curve shows the shape."
)
SURE = 0.9  # what nine draws in ten do is said without "may": the ends of the 80 % band


def worn_start(found: Any, limit_um: float) -> Uneven | None:
    """What was read of the worn rotor that a forecast starts from; None where it does not."""
    varies: Uneven | None = getattr(found, "worn_varies", None)
    if varies is not None:
        return varies
    read_um = getattr(found, "worn_as_read_um", None)
    return None if read_um is None else Uneven(read_um, found.worn_doubt_um, limit_um)


def given_counts(run: Any) -> tuple[bool, bool]:
    """Whether its thickness as given counts, and what that varies by: neither where a micrometer read it on the car."""
    found = run.forecast
    worn = None if found is None else worn_start(found, run.case.limits.dtv_um)
    return getattr(found, "worn_thinnest_mm", None) is None, worn is None


def rotor_as_given(run: Any) -> str:
    """Say why the rotor goes by what its case gives and nobody read; empty where it may stay."""
    return rotor_goes.as_given(run.case, *given_counts(run))


def starts_over(found: Any, limit_um: float) -> Uneven | None:
    """What was read of the worn rotor that a forecast starts from, where that is over its limit; else None."""
    worn = worn_start(found, limit_um)
    return worn if worn is not None and worn.state == ABOVE else None


def read_over(found: Any, limit_um: float) -> Uneven | None:
    """What was read of the rotor, at the start or on the way, where that is over its limit; else None."""
    on_the_way: Uneven | None = getattr(found, "read_on_the_way", None)
    over = on_the_way is not None and on_the_way.state == ABOVE
    return starts_over(found, limit_um) or (on_the_way if over else None)


def outgrown(found: Any) -> Uneven | None:
    """What was read of the rotor on the way, where the forecast lies under it; else None.

    Under it lies a band whose upper end it tops, or a curve that never comes to the least that it may be (k = 2).
    """
    read: Uneven | None = getattr(found, "read_on_the_way", None)
    if read is None:
        return None
    under = read.value_um > highest_band_um(found)[1] or read.low_um > float(found.dtv_um.max())
    return read if under else None


def outgrown_said(found: Any) -> str:
    """Say so, with the figure, how it stands against its limit, and what the road makes at most; else empty."""
    read = outgrown(found)
    if read is None:
        return ""
    stands = f"{words.against_limit(read.state, read.value_um, read.limit_um)}, {words.micrometres(read.limit_um)}"
    most = words.micrometres(highest_band_um(found)[1])
    if words.dtv_band(read.value_um) != words.DTV_BANDS[0][1]:
        stands += f" (drivers call that {words.dtv_band(read.value_um)})"
    return (
        f"it was read to vary by {read.figure} (k = 2), {stands}, and its road, narrowed by "
        f"that, makes hardly more than {most}: what wore it is not in this case"
    )


def held_badly(run: Any) -> str:
    """Say what holds rotor or wheel so badly that no forecast counts: one screw, studs, bolts; empty where all hold."""
    reading = getattr(run, "reading", None)
    if reading is not None and reading.clamped_by == ONE_SCREW:
        return SCREW_ONLY
    return HELD_FIRST if loose_nut.studs_first(run) else ""


def faces_differ(run: Any) -> Uneven | None:
    """What two faces of one mount differ by once a turn, where no road that begins at less tells of that rotor.

    It begins at the case's own, or at what a micrometer read beside them: then they were held against that before, as
    vectors. Uncertainties (k = 2). [um].
    """
    varies: Uneven | None = getattr(getattr(run, "reading", None), "faces_apart", None)
    if varies is None or run.forecast is None:
        return None
    if worn_start(run.forecast, run.case.limits.dtv_um) is not None:
        return varies
    read = getattr(run.forecast, "read_on_the_way", None)
    begins_um = float(run.forecast.dtv_um[0]) if read is None else read.high_um
    return varies if varies.low_um > begins_um else None


@dataclass(frozen=True)
class Nothing:
    """Why a forecast counts for nothing beside what is known of the car: in few words, and with its figures."""

    brief: str
    told: str


def nothing(run: Any) -> Nothing | None:
    """Say why no calming figure of a forecast is told; None where nothing speaks against it.

    A rotor that was drawn home over scale, `held_badly`, a caliper that sticks, a bearing that comes first, a rotor
    that goes by its thickness, read or given, one that nothing centres, two faces that differ by more than the road
    begins with; and, of a road below its limit, a hub that comes first or a turn that was read under too little.
    """
    if spigot.wrong(run.spigot):
        return Nothing(DAMAGE, DAMAGE)
    if first := held_badly(run):
        return Nothing(first, first)
    if stuck(run.case):
        return Nothing(FREED_FIRST, NO_HEAT)
    if bearing_first(run):
        return Nothing(BEARING_FIRST, BEARING_FIRST)
    if over := read_over(run.forecast, run.case.limits.dtv_um):
        refuted = ", more than any draw makes: what wore it is not in this case"
        refuted = refuted if over.low_um > highest_band_um(run.forecast)[1] else ""
        return Nothing(RENEWED, f"it was read to vary by {over.figure}, over its limit{refuted}")
    if more := outgrown_said(run.forecast):
        return Nothing(OUTGROWN, more)
    goes = rotor_as_given(run)
    thin = BY_ITS_STAMP if rotor_goes.by_the_part_set(run.case, goes) else GOES
    for first, holds in ((PART_FIRST, uncentred(run.case)), (thin, goes)):
        if holds:
            return Nothing(first, first)
    if (apart := faces_differ(run)) is not None:
        return Nothing(FACES_FIRST, f"its two faces differ by {apart.figure} once a turn")
    if limit_state(run.forecast, run.case.limits.dtv_um) == ABOVE:
        return None
    first = (FACE_OPEN_FIRST if face_open(run) else HUB_FIRST) if hub_leads(run) else held_little(run)
    return Nothing(first, first) if first else None


def hub_leads(run: Any) -> bool:
    """Whether a bare hub face over its limit, read or else given, or one to be looked at, comes before the rotor."""
    read = getattr(getattr(run, "reading", None), "bare_hub", None)
    face = face_as_given(run.case) if read is None else read
    return face is not None and (face.state == ABOVE or (read is not None and read.to_look_at))


def face_open(run: Any) -> bool:
    """Whether the bare hub face was read and is looked at, or cleaned, and read again: it counts as neither yet."""
    read = getattr(getattr(run, "reading", None), "bare_hub", None)
    return read is not None and read.to_look_at and read.state != ABOVE


def held_little(run: Any) -> str:
    """Say that a turn read on the car, small as it is, was held by too little to clear a hub; empty where it counts."""
    read = getattr(run, "reading", None)
    if read is None or not words.small_reading(read.clamped_by, at_dial_um(run)):
        return ""
    return HELD_LITTLE.format(clamped_by=read.clamped_by)


def counts_for_nothing(run: Any) -> str:
    """Say the same in few words; empty where nothing speaks against a forecast."""
    why = nothing(run)
    return "" if why is None else why.brief


def nothing_said(run: Any) -> str:
    """Say in a sentence that what the road would make of a corner counts for nothing, and why; else empty."""
    if spigot.wrong(run.spigot):
        return SPIGOT_COUNTS
    state = limit_state(run.forecast, run.case.limits.dtv_um)
    if loose_nut.calms(run.case.studs, state, float(run.forecast.dtv_um.max())):
        return loose_nut.ROAD
    why = nothing(run)
    return "" if why is None else NOTHING.format(beside=why.told)


def at_dial_um(run: Any) -> float:
    """What is held against the limit of the runout: read on the car, else computed of the dial's face. [um TIR]."""
    if run.reading is None:
        return float(run.seat.lateral_runout_um[run.case.gauge.face])
    return float(run.reading.at_dial_um)


def bearing_first(run: Any) -> str:
    """Say that a bearing's end float leaves that unsure, as `sim.corner.driven.bearing_unsure` has it; else empty."""
    return bearing_unsure(run.case, at_dial_um(run))


def highest_band_um(found: Any) -> tuple[float, float]:
    """80 % band of a forecast's greatest thickness variation. [um].

    Every draw has its highest at another distance; the band at this one is what a run of an earlier version has.
    """
    if found.dtv_highest_band_um:
        low, high = found.dtv_highest_band_um
        return float(low), float(high)
    top = int(found.dtv_um.argmax())
    return float(found.dtv_low_um[top]), float(found.dtv_high_um[top])


def quiet_untold(run: Any, dtv_um: float) -> bool:
    """Whether a thickness variation that drivers call quiet is not called so, as more was read on the way. [um].

    Or as that forecast counts for nothing. By rule.
    """
    quiet = words.DTV_BANDS[0][1]
    read = getattr(run.forecast, "read_on_the_way", None)
    more = read is not None and words.dtv_band(read.value_um) != quiet
    return words.dtv_band(dtv_um) == quiet and (more or bool(counts_for_nothing(run)))


def calms_nobody(run: Any) -> bool:
    """Whether a forecast below its limit is none to show: a nut was loose on the road, or it `counts_for_nothing`."""
    return bool(loose_on_the_road(run.case.studs) or counts_for_nothing(run))


def unsure_start(found: Any, limit_um: float) -> Uneven | None:
    """What was read of a worn rotor, where it does not tell the start from the limit and the road decides nothing.

    It decides where the draws grow over the limit by more than the readings' uncertainty.
    """
    worn = worn_start(found, limit_um)
    if worn is None or worn.state != TOO_CLOSE:
        return None
    if worn.value_um > limit_um:  # over it at the start, or not: no kilometre tells that
        return worn
    highest = found.dtv_highest_band_um
    low = float(found.dtv_um.max()) if highest is None else highest[0]
    return None if low - (worn.value_um - worn.low_um) >= limit_um else worn


def counts_over(found: Any, limit_um: float) -> bool:
    """Whether a worn rotor's thickness counts as over its limit, as no more reading tells it from that."""
    worn = unsure_start(found, limit_um)
    return worn is not None and worn.counts_over


def even(found: Any) -> bool:
    """Whether about half of the draws reach the limit: then no sentence says that it is reached, or is not."""
    return words.even(1.0 - float(found.probability_never))


def chance(found: Any) -> str:
    """Share of draws that reach the limit; none or all of some hundreds is neither never nor always."""
    return words.chance(1.0 - float(found.probability_never))


def limit_state(found: Any, limit_um: float) -> str:
    """Whether the limit of thickness variation is reached: of all draws, so that no two sentences can part.

    Every draw starts at what was read of a worn rotor; where that is too close to the limit no share of draws tells.
    """
    if unsure_start(found, limit_um) is not None:
        return TOO_CLOSE
    if starts_over(found, limit_um) is not None:
        return ABOVE
    if (read := outgrown(found)) is not None:
        return read.state
    reached = 1.0 - found.probability_never
    return "above" if reached >= SURE else "below" if reached <= 1.0 - SURE else "too close to tell"


def middle_km(found: Any) -> float | None:
    """Distance to the limit, unless about half of the draws or more do not reach it. [km]."""
    return found.km_to_limit if 1.0 - found.probability_never > words.EVEN[1] else None


def within(km: float | None, last_km: float) -> str:
    """Write a distance; where there is none it lies beyond what was driven, which is not the same as never."""
    return f"not within {words.kilometres(last_km)}" if km is None else words.kilometres(km)


def band(low_km: float | None, high_km: float | None, last_km: float) -> str:
    """Write the 80 % band of a distance, either end of which may lie beyond what was driven."""
    if low_km is None:
        return within(None, last_km)
    low = "at once" if low_km == 0 else words.kilometres(low_km)
    if high_km is None:
        return f"{low} to over {words.kilometres(last_km)}, or never"
    return f"{low} to {words.kilometres(high_km)}"


def unsettled(key: str) -> str:
    """Name of an unsettled parameter in plain words."""
    return UNSETTLED.get(key, key)


def road_rows(run: Any) -> list[Row]:
    """Rows of a forecast: what, figure, note; wear off and on the brake apart."""
    return [*_limit_rows(run), *_wear_rows(run), *_drag_rows(run), *_felt_rows(run), *_moves_rows(run.forecast)]


def _limit_rows(run: Any) -> list[Row]:
    found, limit = run.forecast, words.limit_said(run.case, "dtv_um", run.case.limits.dtv_um)
    last = float(found.distance_km[-1])
    worn = unsure_start(found, run.case.limits.dtv_um)
    if worn is not None:
        again = f"cannot tell whether it starts over the limit, {limit}: {worn.again}"
        return [("starts at, measured", f"{worn.figure} (k = 2)", again)]
    over = starts_over(found, run.case.limits.dtv_um)
    if over is not None:
        return [("starts at, measured", f"{over.figure} (k = 2)", f"over the limit, {limit}: the rotor is renewed")]
    eight = f"80 % band: {band(found.km_low, found.km_high, last)}"
    drawn = f"of {found.draws} draws over the ranges of the unsettled parameters"
    # One verdict: how likely, then after how long, which is the middle of all draws and not of those that get there.
    after = within(middle_km(found), last)
    if middle_km(found) is None and found.km_to_limit is not None:
        after = f"in about half of the draws {after}" if even(found) else f"in most draws {after}"
        eight += f"; the case's own curve reaches it after {words.kilometres(found.km_to_limit)}. {ACT_ON_SHARE}"
    if why := no_distance(run):
        within_it = "" if end_untold(run) else f" within {words.kilometres(last)}"
        return [(f"limit reached{within_it}", "not told", why)]
    return [
        (f"limit reached within {words.kilometres(last)}", words.likelihood(1.0 - found.probability_never), drawn),
        ("limit reached after", after, f"{limit}; {eight}"),
    ]


def _wear_rows(run: Any) -> list[Row]:
    found = run.forecast
    last = "this road" if end_untold(run) else words.kilometres(float(found.distance_km[-1]))
    rows = []
    for name, worn in (("brake released", found.released_wear_um[-1]), ("brake applied", found.braked_wear_um[-1])):
        deepest = words.micrometres(float((worn.max(axis=1) - worn.min(axis=1)).max()))
        text = f"a face, over {last}; uneven by up to {deepest}"
        rows.append((f"wear, {name}", words.micrometres(float(worn.mean())), text))
    disc, pads = found.disc_life_band_km, found.pad_life_range_km
    low, high = PAD_WEAR_RANGE
    pad_note = f"pad wear {low:.0e} to {high:.0e}, from memory".replace("e-0", "e-")
    lasts = (_life(found.disc_life_km), _life_note(disc, "80 % band: ", ""))
    if getattr(run, "reading", None) is not None and worn_start(found, run.case.limits.dtv_um) is None:
        lasts = (lasts[0], f"a new one; {lasts[1]}")
    if why := no_rotor_life(run):
        lasts = ("not told", why)
    worn_out = (_life(found.pad_life_km), _life_note(pads, "", pad_note))
    if why := no_pad_life(run):
        worn_out = ("not told", why)
    return [*rows, ("rotor lasts", *lasts), ("pads last", *worn_out)]


def no_rotor_life(run: Any) -> str:
    """Say why no distance is told by which the rotor wears out; empty where one is."""
    found, limit = run.forecast, run.case.limits.dtv_um
    unsure = unsure_start(found, limit)
    reasons = (
        (why := counts_for_nothing(run), why),
        (counts_over(found, limit), COUNTED),
        (unsure is not None and not unsure.counts_neither, UNSURE),
        (worn_start(found, limit) is not None and getattr(found, "worn_thinnest_mm", None) is None, NO_LEVEL),
        (is_slim(run.case, getattr(found, "worn_thinnest_mm", None)), SLIM),
        (loose_on_the_road(run.case.studs), loose_nut.NOT_TOLD[1]),
    )
    return next((why for holds, why in reasons if holds), "")


def no_pad_life(run: Any) -> str:
    """Say why no distance is told by which the pads wear out; empty where one is."""
    if spigot.wrong(run.spigot):
        return DAMAGE
    if stuck(run.case):
        return FREED_FIRST
    if first := held_badly(run) or (BEARING_FIRST if bearing_first(run) else ""):
        return first  # nobody drives so as far as pads last; a rotor that goes leaves them as they are
    return PART_FIRST if uncentred(run.case) else ""


def end_untold(run: Any) -> str:
    """Say why the end of a road is not told that ends with a life which is withheld; empty where it may be."""
    asked = {WORN_PADS: no_pad_life, DISCARD: no_rotor_life}.get(run.forecast.stopped_by)
    return "" if asked is None else asked(run)


def notes(run: Any) -> tuple[str, ...]:
    """What the reader of a forecast must know, without an end that is not told."""
    end = ENDS_AT.format(stopped=run.forecast.stopped_by) if end_untold(run) else ""
    return tuple(note for note in run.forecast.notes if note != end)


def no_distance(run: Any) -> str:
    """Say why neither chance nor distance of the limit is told; empty where they are."""
    limit = run.case.limits.dtv_um
    worn = unsure_start(run.forecast, limit)
    if worn is not None:
        return worn.again
    if limit_state(run.forecast, limit) == ABOVE and outgrown(run.forecast) is None:
        return ""
    return loose_nut.NOT_TOLD[1] if loose_on_the_road(run.case.studs) else counts_for_nothing(run)


#: Why a text withholds what an answer by machine takes back with it.
WITHHELD = ((LIMIT, no_distance), (DISC_LIFE, no_rotor_life), (PAD_LIFE, no_pad_life))


def withheld(run: Any) -> dict[str, Any]:
    """What the answer by machine withholds as the text does: null, and a key that says why; nothing where all is told.

    Kilometres and the share of draws; a life of null without such a key has no end that was seen. The sentence of a
    road that counts for nothing stands in ``counts_for_nothing``.
    """
    told: dict[str, Any] = {"counts_for_nothing": said} if (said := nothing_said(run)) else {}
    for key, asked in WITHHELD:
        if why := asked(run):
            told |= {**dict.fromkeys(FIELDS[key]), key: why}
    if why := end_untold(run):
        told |= {"stopped_by": None, "end_withheld": why, "notes": notes(run)}
    return told


def _life(km: float | None) -> str:
    return "no end seen" if km is None else words.kilometres(km)


def _life_note(ends: tuple[float, float] | None, head: str, text: str) -> str:
    if ends is None:
        return "at this duty"
    between = f"{words.kilometres(ends[0])} to {words.kilometres(ends[1])}"
    return f"{head}{between}{'; ' if text else ''}{text}"


def _drag_rows(run: Any) -> list[Row]:
    found, limit = run.forecast, run.case.drag_limit_nm
    first, last = float(found.drag_nm[0]), float(found.drag_nm[-1])
    verdict = "no limit known for a rear axle"
    if limit is not None:
        verdict = f"{'over' if first > limit else 'within'} the limit, {words.with_unit(limit, 'N m')}"
        if first <= limit and loose_on_the_road(run.case.studs):
            verdict = loose_nut.CALLED
        elif first <= limit and (why := counts_for_nothing(run)):
            verdict = f"not told: {why}"
    text = f"{verdict}; {words.with_unit(last, 'N m')} at the end"
    whose = "the stuck caliper's too" if stuck(run.case) else "share from runout"
    return [(f"residual drag, {whose}", words.with_unit(first, "N m"), text)]


def felt_orders(found: Any) -> tuple[list[int], list[int]]:
    """Rows of the orders that are worth a word: those met on the road, slowest first, then the faster ones.

    Worth a word is what brings a fair share of the strongest order's torque; nothing where no torque varies.
    """
    torque = found.torque_variation_nm[int(found.dtv_um.argmax())]
    if torque.max() < words.ROUND_OFF:
        return [], []
    speeds = found.judder_speed_km_h
    strong = [row for row in range(len(speeds)) if torque[row] >= STRONG_SHARE * torque.max()]
    strong.sort(key=lambda row: float(speeds[row]))
    return [row for row in strong if speeds[row] <= ROAD_KM_H], [row for row in strong if speeds[row] > ROAD_KM_H]


def _felt_rows(run: Any) -> list[Row]:
    found, case = run.forecast, run.case
    met, _ = felt_orders(found)
    first = found.orders[met[0]] if met else None
    rows = [
        (f"order {order} is felt at", words.span(low, high, "km/h"), _met(order, low, hz, first))
        for hz, order, low, high in speed_bands(case, found.orders)
        if found.torque_variation_nm[:, found.orders.index(order)].max() >= LEAST_FELT_NM
    ]
    top = int(found.dtv_um.argmax())
    after = "at its highest" if end_untold(run) else f"after {words.kilometres(float(found.distance_km[top]))}"
    scale = f"{after}; 1 = one wave a turn at the limit"
    rows.append(("pedal, relative", words.number(float(found.pedal_index[top]), 2), scale))
    rows.append((f"{words.FELT_IN[case.axle]}, relative", words.number(float(found.wheel_index[top]), 2), scale))
    torque = found.torque_variation_nm[top]
    strongest = int(torque.argmax())
    one = float(torque[strongest])
    half = 180.0 / found.orders[strongest]
    in_step, opposed = judder.both_wheels(one, one, 0.0), judder.both_wheels(one, one, 180.0)
    where = "shakes the car fore and aft, and the pedal"
    rows.append(("two wheels alike, in phase", words.with_unit(in_step.together, "N m"), where))
    twists = "twists the steering" if case.axle == "front" else "rocks the car from side to side"
    where = f"{words.degrees(half)} apart; {twists}. A bend changes the phase"
    rows.append(("two wheels alike, opposed", words.with_unit(opposed.against, "N m"), where))
    return rows


def _met(order: int, low_km_h: float, hz: float, first: int | None) -> str:
    """Say how often a turn, in which mode, and whether it is the slowest one met or lies beyond the road."""
    often = {1: "once a turn", 2: "twice a turn"}.get(order, f"{order} times a turn")
    where = "; the slowest of those met on the road" if order == first else ""
    where = f"; above {ROAD_KM_H:g} km/h" if low_km_h > ROAD_KM_H else where
    return f"{often}{where}; {hz:g} Hz mode, half-power width"


def speed_bands(case: Case, orders: tuple[int, ...]) -> list[tuple[float, int, float, float]]:
    """Mode [Hz], order, lower and upper speed [km/h] of every band in which an order is felt, first mode first."""
    turns = case.drive.revolutions_per_km
    return [
        (mode.hz, order, float(low), float(high))
        for mode in judder.modes_of(case)
        for order in orders
        if order <= ORDERS_TOLD
        for low, high in [judder.speed_bands_km_h(mode, turns)[order - 1]]
    ]


def _moves_rows(found: Any) -> list[Row]:
    if not found.moves_most:
        return []
    first, *others = found.moves_most
    named = [unsettled(key) for key in others[:NEXT_TOLD]]
    text = f"then {words.listed(named)}" if named else "measuring it narrows the band"
    return [("moves the answer most", unsettled(first), text)]
