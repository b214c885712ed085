"""What is said in the lesson: slides, plan by the minute, handout with its blanks; figures come from the runs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from scenes.words import cautions, felt, to_do, words, work_order
from scenes.words import spigot as spigot_words
from scenes.words.at_the_car import LINES
from scenes.words.corner import HAIR_UM
from sim.bench.quiz import HEIGHT_UM, LONG_MM, PLACES, STEP_UM, Place, speck
from sim.parts.materials import tensile_strength_mpa

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from sim.bench.quiz import Question
    from sim.parts.case import Case, Debris

MINUTES, SHORT_MINUTES = 45, 30
DIVISION_UM = 10.0  # of the dial that the lesson speaks of: 0.01 mm
INVENTED = (
    "INVENTED: hub and rotor of the four questions are perfect, no car has such parts, so that one fault shows alone."
)
CLASSROOM = "INVENTED, for the classroom: no figure here is of a car"
TITLE = "Why does it shake?"
OPENING = ("New rotors. It shakes again.", "Was it the rotor?")
#: Said before anything is touched, dust first: the class may have a rusty hub before it. No answer of a question.
#: Common practice, no source.
SAFETY = (
    "Mask first: made for fine dust, close to the face. Eyes covered, gloves on, before the wheel comes off and until "
    "the last rag is bagged.",
    "No air line, no dry brush: dust is wiped up wet, or by a vacuum made for fine dust.",
    "In class a rusty part goes round in a closed clear bag, or wiped wet, with gloves.",
    "Pads and friction faces: no oil, no grease, no bare hands.",
    "A cracked rotor is scrap, however true it runs.",
    "The vehicle maker's limits, torques and tools stand above all of this. Nothing here says that a car is safe.",
)
#: Said before a car is lifted. Common practice, no source.
AT_A_CAR = tuple(
    one.text
    for one in cautions.named(
        "stands", "nobody in", "service mode", "hot", "hang the caliper", "fingers out", "stuck rotor"
    )
)
CLEAN = (
    "So the inside too: rust and dirt off both faces, whatever the dial says. The maker's coating stays, unless the "
    "maker says otherwise."
)
COUNTS = (
    "Stud 1 is at the top, the rotor's painted hole on it: every angle here counts from there, against the clock, seen "
    "from outside, as the arrow shows."
)
#: Said before the first vote: how the dial is read, and nothing of what makes it read.
FIRST_TITLE = "How we read a rotor"
FIRST = (
    "The dial stands still, its tip on the friction face. The rotor is turned by hand, once round.",
    "Highest less lowest reading: the runout (TIR).",
    f"A division: {DIVISION_UM:.0f}\u00a0µm, 0.01\u00a0mm. A hair: about {HAIR_UM:.0f}\u00a0µm.",
    "Twelve places, against the clock from the painted hole, found on stud 1.",
)
EVENING_OUT = f"Dotted, evening out: {words.MODEL_ONLY}; no cure."
PARAMETER = "All of this invented car: no diagnosis."
TWICE, TWO_PLACES = "twice a turn", "twice a turn (thin in two places)"
STRIP = ("hub face", "spigot", "hat", "flange", "lateral runout", "high spot", "thickness variation (DTV)", "indexed")
MORE_WORDS = (
    ("TIR", "total indicator reading: highest less lowest reading of one turn, as every runout and limit here"),
    ("speck, scale, dirt", "speck: one small hard thing; scale: rust in a layer; dirt: either of them"),
    (
        "µm",
        f"a thousandth of a millimetre: {DIVISION_UM:.0f} µm is 0.01 mm, a division of our dial; "
        f"a hair is about {HAIR_UM:.0f} µm, {HAIR_UM / 1000.0:.2f} mm",
    ),
    ("once, twice a turn", "one thin place on the friction face, or two opposite ones: felt at half the speed"),
)


@dataclass(frozen=True)
class Ask:
    """One of the four questions.

    Parameters
    ----------
    key, question : str
    choices : tuple of str
        What the class votes on.
    right : int
        Position of the right choice.
    answer : str
        The answer in one line.
    points : tuple of str
        What is said of it.
    blank : str
        The sentence of the handout; what stands between ``[`` and ``]`` is blank on paper and printed in the key.
    """

    key: str
    question: str
    choices: tuple[str, ...]
    right: int
    answer: str
    points: tuple[str, ...]
    blank: str

    @property
    def letter(self) -> str:
        """The right choice, as it is voted for."""
        return "ABC"[self.right]


@dataclass(frozen=True)
class Minute:
    """One row of the plan: from and to, the slides, what to say, ask and do, and when it is cut."""

    start: int
    end: int
    slides: str
    say: str
    ask: str
    do: str
    cut: str = ""


def _read(run: Any) -> str:
    return words.micrometres(run.seat.gauge_runout_um)


def driven_um(run: Any) -> float:
    """Runout as driven; not a number where none is told. [um]."""
    told = None if run.beside is None else run.beside.as_driven_um
    return float("nan") if told is None else float(told)


def asks(runs: Mapping[str, Any]) -> tuple[Ask, ...]:
    """Ask the four questions, answered with the figures of the runs.

    Parameters
    ----------
    runs : mapping of str to Run
        ``outer``, ``inner``, ``band``, ``edge``, ``jammed``, ``forced``; ``band`` and ``edge`` driven.
    """
    return (_where(runs), _edge_only(runs), _drawn_home(runs), _how_soon(runs))


def _where(runs: Mapping[str, Any]) -> Ask:
    outer, inner = runs["outer"], runs["inner"]
    dirt = outer.case.debris[0]
    high = words.micrometres(dirt.height_um)
    ratio = as_printed(outer.seat.gauge_runout_um) / as_printed(inner.seat.gauge_runout_um)
    on_road = words.micrometres(driven_um(outer)), words.micrometres(driven_um(inner))
    return Ask(
        "where",
        f"The same hard speck, {high} ({in_mm(dirt.height_um)}) high. Where does the dial read more?",
        ("at the outer edge", "further in", "no difference"),
        0 if ratio > 1.1 else 1 if ratio < 0.9 else 2,
        f"The dial reads {words.times(ratio)} as much at the edge.",
        (
            f"Outer edge {_read(outer)}, further in {_read(inner)}: the flange bends over what lies further in.",
            f"With the wheel on {on_road[0]} and {on_road[1]}{_beside_each_other(outer, inner)}.",
            CLEAN,
        ),
        f"Under the dial a speck at the outer edge reads {_read(outer)}, the same speck further in {_read(inner)}. "
        f"With the wheel on, the one further in makes [{on_road[1]}]{_by_the_wheel(inner)}. So [both faces] are "
        "cleaned, all over.",
    )


def radii(patch: Debris) -> str:
    """Say how far from the axis of rotation a patch lies."""
    return f"{patch.inner_radius_mm:.0f} to {words.with_unit(patch.outer_radius_mm, 'mm')} from the axis"


def as_printed(height_um: float) -> float:
    """Round a height as it is printed, so that shares of printed figures are what a learner works out from them. [um].

    Examples
    --------
    >>> as_printed(57.6), as_printed(9.26)
    (58.0, 9.3)
    """
    figure = words.micrometres(height_um).split(words.GAP)[:-1]  # without its unit; thousands stand apart
    return float("".join(figure).replace(words.MINUS, "-"))


def limit_said(case: Case, name: str) -> str:
    """Say a limit, whose it is, and whose counts."""
    limit = words.micrometres(getattr(case.limits, name))
    return f"limit {limit}: {words.limit_from(case, name)}; the vehicle maker's counts"


def _beside_each_other(one: Any, other: Any) -> str:
    """Say that two corners cannot be told apart on the road, where nobody knows the wheel; nothing where they can."""
    bands = [band_um(run) for run in (one, other)]
    if None in bands:
        return ""
    (low, high), (low_b, high_b) = bands  # type: ignore[misc]
    apart = high < low_b or high_b < low
    told = f"{words.span(low, high, 'µm')} and {words.span(low_b, high_b, 'µm')} by the wheel"
    return f" ({told})" if apart else f" ({told}: too close to tell which is worse)"


def _by_the_wheel(run: Any) -> str:
    """Say the band of a figure as driven under a wheel that nobody described; nothing where there is none."""
    band = band_um(run)
    return "" if band is None else f" ({words.span(*band, 'µm')}, by the wheel)"


def band_um(run: Any) -> tuple[float, float] | None:
    """80 % band of the runout as driven under wheels that nobody described; None where there is none. [um]."""
    wheel = None if run.as_driven is None else run.as_driven.wheel
    return None if wheel is None else wheel.span_um(run.case.gauge.face)


def in_mm(height_um: float) -> str:
    r"""The same height as the dial and the micrometer write it.

    Examples
    --------
    >>> in_mm(70.0)
    '0.07\xa0mm'
    """
    return f"{height_um / 1000.0:.2f}{words.GAP}mm"


def _edge_only(runs: Mapping[str, Any]) -> Ask:
    band, edge = runs["band"], runs["edge"]
    left = as_printed(edge.seat.gauge_runout_um) / as_printed(band.seat.gauge_runout_um)
    driven = words.micrometres(driven_um(band)), words.micrometres(driven_um(edge))
    on_road = words.percent(as_printed(driven_um(edge)) / as_printed(driven_um(band)))
    return Ask(
        "edge",
        "Somebody cleans only the outer edge, where the brush reaches. How much runout is left?",
        ("none", "a quarter", "more than half"),
        2 if left > 0.5 else 1 if left > 0.1 else 0,
        f"{words.percent(left)} is left under the dial, {on_road} as driven.",
        (
            f"Under the dial {_read(band)} as found, {_read(edge)} with the edge cleaned. With the wheel on "
            f"{driven[0]} and {driven[1]}.",
            "What is left further in still holds the flange up, and the wheel presses just there.",
            f"Clean to the spigot, round every stud, and the rotor's own seat. {work_order.BY_HAND}",
        ),
        f"With only the outer edge cleaned, [{words.percent(left)}] of the runout is left under the dial, {on_road} "
        "with the wheel on. Clean to the [spigot], round every stud, and the rotor's seat.",
    )


def _drawn_home(runs: Mapping[str, Any]) -> Ask:
    jammed, forced = runs["jammed"], runs["forced"]
    off = jammed.spigot["stand_off_um"]
    stands = spigot_words.distance(float(off[0]), float(off[1]))
    stress, strength = float(forced.spigot["hoop_stress_mpa"]), tensile_strength_mpa(forced.case.rotor)
    return Ask(
        "home",
        "The rotor does not drop home by hand. What next?",
        ("draw it home with the nuts, evenly", "knock it home with a soft hammer", "take it off again"),
        2,
        f"Take it off. Drawn home the bore may crack; the dial misses it: {_read(forced)} of runout.",
        (
            f"Scale on the spigot: by hand it stands {stands} off.",
            f"{_one_nut(jammed, strength)}{_evenly(stress, strength)}",
            "Knocked home, by a soft hammer too, the same bore goes over the same scale.",
            "Take it off, clean spigot and bore, look for cracks. Cracked is scrap.",
        ),
        "A rotor that does not drop home by hand is [taken off], never drawn or knocked home. Drawn home, its bore "
        f"[may crack], and the dial reads {_read(forced)} of runout: it does not see the damage.",
    )


def _evenly(stress_mpa: float, strength_mpa: float) -> str:
    """Say that drawing home evenly is no way either: no share of a strength, which is heard as room to spare."""
    if stress_mpa >= strength_mpa:
        return f"Evenly it may crack too: {words.with_unit(stress_mpa, 'MPa')} where it breaks at {strength_mpa:.0f}."
    return (
        f"Evenly is no way either: the bore stays stretched ({words.with_unit(stress_mpa, 'MPa')}); rust pits, heat "
        "and every braking come on top, none of it computed."
    )


def _one_nut(run: Any, strength_mpa: float) -> str:
    """Say what one nut run up first does to the bore, at the worst; nothing where it was not followed."""
    worst = max((nut["hoop_mpa"] for nut in run.spigot.get("one_nut_first") or ()), default=0.0)
    if not worst:
        return ""
    breaks = words.with_unit(strength_mpa, "MPa")
    if worst < strength_mpa:
        return f"One nut run up first: {words.percent(worst / strength_mpa)} of the {breaks} that this iron breaks at. "
    return f"One nut run up first asks {words.times(worst / strength_mpa)} what this iron bears. "


def _how_soon(runs: Mapping[str, Any]) -> Ask:
    band, edge = runs["band"], runs["edge"]
    last = float(band.forecast.distance_km[-1])
    limit = band.case.limits.dtv_um
    chance = [words.chance(1.0 - run.forecast.probability_never) for run in (band, edge)]
    low = words.DTV_BANDS[0][0]
    felt_at = first_km(band.forecast, low)
    first = "not on the road shown" if felt_at is None else hardly(felt_at)
    shakes = felt.felt_plain(band.forecast)
    return Ask(
        "soon",
        "A new rotor goes on the dirty hub. When can the shaking be back, at the earliest?",
        ("on the way home", "weeks later", "never: the rotor is new"),
        1,
        f"Not on the way home: {first}.",
        (
            f"That is {words.micrometres(low)} of DTV. {words.micrometres(limit)}{_middle_of_felt(limit)} within "
            f"{words.kilometres(last)}: in {chance[0]} of such corners, "
            f"in {chance[1]} with the edge cleaned. Nobody can say in which.",
            *((EVENING_OUT,) if falls(band.forecast) else ()),
            *((f"{shakes.replace(TWICE, TWO_PLACES, 1)} {PARAMETER}",) if shakes else ()),
        ),
        "Mounted runout wears the friction face [thin] where it taps the pads, once a turn or twice. Left dirty, "
        f"{words.micrometres(low)} of thickness variation, where it begins to be felt, is reached {first}; "
        "that is why the car comes back [weeks later], not the same day.",
    )


def hardly(km: float) -> str:
    """Say the early end of a band of kilometres."""
    return f"hardly before {words.kilometres(km)}"


def first_km(forecast: Any, dtv_um: float) -> float | None:
    """Kilometres at which the early edge of the band first reaches a thickness variation; None where it does not.

    Parameters
    ----------
    forecast : Forecast
    dtv_um : float
        Thickness variation. [um]
    """
    high, km = forecast.dtv_high_um, forecast.distance_km
    if float(high.max()) < dtv_um:
        return None
    after = int((high >= dtv_um).argmax())
    if after == 0:
        return float(km[0])
    share = (dtv_um - high[after - 1]) / (high[after] - high[after - 1])
    return float(km[after - 1] + share * (km[after] - km[after - 1]))


def falls(forecast: Any) -> bool:
    """Whether thickness variation is highest before the end of the road: what comes then is the model's alone."""
    return int(forecast.dtv_um.argmax()) < len(forecast.dtv_um) - 1


def _middle_of_felt(limit_um: float) -> str:
    """Say where the limit lies in the band in which a driver begins to feel it; nothing where not in its middle."""
    low, high = (edge for edge, _ in words.DTV_BANDS[:2])
    return f", the middle of the {low:.0f} to {high:.0f} where it is felt," if 2.0 * limit_um == low + high else ""


def own_corner(run: Any) -> tuple[str, ...]:
    """Say what the trainer's own corner runs out, what lies on it and what is done first: at most four lines."""
    if spigot_words.wrong(run.spigot):
        return tuple(spigot_words.plain(run))[:3]
    lines = [f"As read: {_read(run)} TIR; {limit_said(run.case, 'mounted_runout_um')}."]
    driven = driven_um(run)
    if driven == driven:
        lines.append(f"With the wheel on: {words.micrometres(driven)}; a dial's limit says nothing of it.")
    if count := len(run.case.debris):
        lines.append(f"On it: {'one patch of dirt' if count == 1 else f'{count} patches of dirt'}.")
    return (*lines, f"First: {to_do.lead(run)}")


OWN = ("Over the limit or under?", "What would you do first?")
MOST_PATCHES = 3  # said on the slide, the highest first


def own_asked(case: Case) -> tuple[str, ...]:
    """Say what lies on the trainer's own corner and the limit, for a class that is to guess what a dial reads."""
    patches = sorted(case.debris, key=lambda one: -one.height_um)[:MOST_PATCHES]
    dirt = [
        f"{words.micrometres(one.height_um)} high at {words.degrees(case.hub_angle_deg(one))} from stud 1"
        for one in patches
    ]
    scale = [
        f"{words.micrometres(one.height_um)} on the spigot at {words.degrees(one.angle_deg)} from stud 1"
        for one in case.spigot_scale[:MOST_PATCHES]
    ]
    limit = words.micrometres(case.limits.mounted_runout_um)
    whose = words.limit_from(case, "mounted_runout_um")
    return (f"Dirt: {', '.join(dirt + scale) or 'none'}.", f"Limit at the dial: {limit} ({whose}).", *OWN)


PHOTO_QUESTION = "Would you fit a new rotor here?"
PHOTO_FOOT = "Photographs of the trainer's own; everything else in here is drawn from computed corners."
PHOTO_ALT = "photograph of a hub face"


#: What is left out first when it gets late, second, third; without all of them `SHORT_MINUTES` are enough.
CUT = ("cut first", "cut second", "cut third")
SHORT = (
    "In {minutes} minutes: leave out every row that can be cut. Gaps and quiz go home with the learners; go through "
    "both next time."
)


INSIDE_TOOL = f"Inside: {work_order.BY_HAND[0].lower()}{work_order.BY_HAND[1:]} Round every stud, up to the spigot."


#: Why one corner has two figures, where it has more than one patch of dirt.
OTHER_FIGURES = "It has {count} patches of dirt: bench and phone page hold only the highest, and read otherwise."


def plan(title: str, photos: bool = False, invented: bool = True, patches: int = 0) -> tuple[Minute, ...]:
    """Lay the lesson out by the minute.

    Parameters
    ----------
    title : str
        Of the trainer's own corner.
    photos : bool
        Whether photographs have a slide.
    invented : bool
        Whether that corner is one of ours.
    patches : int
        Of dirt on it.
    """
    other_figures = OTHER_FIGURES.format(count=patches) if patches > 1 else ""
    own = "invented, no car" if invented else "computed, not read on a car"
    rows = (  # minutes, slides, say, ask, do, when it is cut
        (6, 3, "New rotors, and it shakes again. The rotor gets the blame. Today we look behind it. First: dust, then "
         "the car.", "Who had one come back? What was changed?",
         "Slides 2 and 3 are read aloud before any part is shown. Then a rusty hub face goes round in a closed clear "
         "bag, or wiped wet and with gloves. Hand out the handout (guesses) and the copier set (notes).", ""),
        (6, 3, "Slide 4: what the needle does, how big a division is; show the arrow. Then: same speck, two places. "
         "Vote first. Then the answer, then the turn in it: the wheel.",
         "A, B or C? Who changes their mind once the wheel is on, and why?",
         "Count hands, write the count on the board.", ""),
        (5, 2, "Vote first. Then: this is what the cup brush leaves, it looks clean from outside.",
         "How much is left? What tool reaches the inside?", f"Count hands. {INSIDE_TOOL}", ""),
        (4, 2, "Vote first. It hangs a few millimetres off. The long bar is in reach.",
         "What would you do at five in the afternoon? What does the dial say afterwards?",
         "Count hands. Let somebody read the last point aloud.", ""),
        (4, 2, "Vote first. Then: nothing shakes on the way home, so the fitter never hears of it. A rotor that leans "
         "wears thin in one place: once a turn. One that bends like a saddle, in two opposite places: twice.",
         "How far until the customer feels it?", "Count hands.", ""),
        (3, 1, "The whole chain, once more, on the wall. Eight gaps.", "Which figure surprised you?",
         "Hand out the sheet Afterwards only now: it holds the answers. Everybody fills in.", CUT[1]),
        (3, 2, f"A corner of our own, {own}: {title}.", "Over the limit or under? What first?",
         f"Ask on the first of the slides, answer on the second. {other_figures} No figure of it goes on a card or a "
         "form.", CUT[0]),
        (5, 1, "Where is the dirt? The high spot tells the angle, the size tells how far out.",
         "Which line of readings belongs to which hub face?", "Quiz, alone.", CUT[2]),
        (4, 0, "Now with your neighbour, then together.", "What told the angle? What told how far out?",
         "Go through the key, one question at a time: which letter, by which of the two. Key: keep it back till now.",
         CUT[2]),
        (5, 3 if photos else 2, f"How the dial sits, and {LINES} to take to the car.",
         "Which of them did you not do last time?",
         "Hand out At the car. Its cautions are read aloud in turn, one each; then the drawings; then where the two "
         "readings go.", ""),
    )  # fmt: skip
    out, at, slide = [], 0, 1
    for minutes, count, say, ask, do, cut in rows:
        shown = ", ".join(str(slide + k) for k in range(count)) if count < 3 else f"{slide} to {slide + count - 1}"
        out.append(Minute(at, at + minutes, shown, say, ask, do, cut))
        at, slide = at + minutes, slide + count
    return tuple(out)


#: Which paper takes which reading, so that none is written twice.
WHICH_FORM = (
    ("At the car", "in class: one reading as found, one cleaned and fitted, on one page"),
    ("bench card", "whose runout is it? several mountings, hub face, thickness: what trueseat causes reads"),
    ("fitting sheet", "at work, when rotors are fitted: the whole order of work and all that is written down"),
)
ONE_FORM = "A reading goes on one of them, never on two."

#: What the class does with its hands, after these minutes: minutes and work.
AT_THE_METAL = (
    (5, "Masks, eyes, gloves; parts cool. Stop: the trainer looks at the stands of every car before a hand goes under. "
        "Nuts nipped up by hand, wheels rocked at 12 and 6: no bearing play. Rear: park brake off (electric: service "
        "mode), shoes backed off. Wheel off. Nobody sits in it. Everybody finds spigot, hat, hub face, stud 1."),
    (10, "Home, no gap? Nuts on spacers, in stages, the hub held by its holder; caliper off and hung on a hook; "
         "dial on the knuckle; each pair reads one turn and writes it on its page At the car."),
    (10, "Bracket off, rotor off, by a puller where it sticks. Nobody brushes yet: where would the high spot put the "
         f"dirt? One reading does not tell whose it is: dirt's, hub's or rotor's. Then clean. {work_order.BY_HAND}"),
    (10, "Rotor home by hand, torque in stages; read again, write it below the first."),
    (10, "Bracket and caliper on, then spacers off, wheel on, torque, pedal pumped firm from outside, fluid. "
         "Stop: the trainer looks at stands, torque and pedal and signs the page. Car down, the wheel's last stage of "
         "torque on the ground, signed too. Round the pages: who has less, who has more, why?"),
)  # fmt: skip
HANDS = (
    "Two to a corner, one axle of a car at a time, so that the other stands chocked: 16 learners are 8 corners, 4 "
    "cars. They stand ready before the class comes, since lifting takes longer than five minutes: chocked, nuts broken "
    "loose on the ground and nipped up by hand, on stands, cold. One trainer sees no more cars than he can look at "
    "before anybody goes on."
)


def place(one: Place, studs: int) -> str:
    """Say where a place of the quiz lies.

    Examples
    --------
    >>> place(Place(36.0, True), 5), place(Place(72.0, False), 5)
    ('between studs 1 and 2, at the outer edge', 'at stud 2, further in')
    """
    pitch = 360.0 / studs
    after = int(round(one.angle_deg / (pitch / 2)))
    stud = after // 2 + 1
    angle = f"between studs {stud} and {stud % studs + 1}" if after % 2 else f"at stud {stud}"
    return f"{angle}, {'at the outer edge' if one.at_edge else 'further in'}"


QUIZ = (
    f"Hub and rotor are perfect but for one hard speck, {LONG_MM:.0f} mm long and {words.micrometres(HEIGHT_UM)} "
    f"({HEIGHT_UM / 1000.0:.2f} mm) high, always the same one. The dial (0.01 mm a division, {DIVISION_UM:.0f} µm) was "
    "read to half a division at twelve places of one turn, the painted hole on stud 1; studs and degrees count against "
    "the clock, as the arrows show. Which hub face belongs to which turn?"
)
QUIZ_TITLE = "INVENTED, for the classroom"
QUIZ_WHY = (
    "On perfect parts the high spot stands over the speck; at the outer edge the same speck reads more than further in."
)


def quiz_places(case: Case, inner: Any) -> str:
    """Say where the specks of the quiz lie, and why they compare otherwise than those of the first question."""
    edge, inward = (radii(speck(case, Place(0.0, at))) for at in (True, False))
    first = inner.case.debris[0]
    return (
        f"Outer edge: {edge}; further in: {inward}. In question 1 it was {radii(first)} and "
        f"{words.micrometres(first.height_um)} high: another figure, the same rule."
    )


def quiz_spans(questions: Sequence[Question]) -> str:
    """Say what tells the outer edge from further in, of these very readings, highest less lowest."""
    spans: dict[bool, list[float]] = {True: [], False: []}
    for one in questions:
        spans[one.choices[one.right].at_edge].append(float(max(one.reading_um) - min(one.reading_um)))
    told = [
        f"{name} {words.span(min(read), max(read), 'µm')}"
        for name, read in (("at the outer edge", spans[True]), ("further in", spans[False]))
        if read
    ]
    apart = not all(spans.values()) or min(spans[True]) - max(spans[False]) > STEP_UM
    return f"{', '.join(told)}.{'' if apart else ' Where these meet, the high spot alone decides.'}"


#: How near an answer must be.
QUIZ_NEAR = (
    f"High spot within ± {180 / PLACES:.0f}°, half way to the next place that was read; TIR within ± {STEP_UM:.0f} µm, "
    "half a division."
)


TO_MAKE = (
    "a hub face with real rust on it in a closed clear bag",
    "your own limits and torques: the vehicle maker's values",
    "for the class: masks for fine dust, glasses, gloves",
    "for a car: chocks, stands, hooks, paint, feeler gauge 0.2 mm, spacers that fit the nuts, torque wrenches, a "
    "holder for the hub (nobody presses the pedal, nothing goes into the vanes), puller, brushes, pads and water, "
    "vacuum for fine dust, bags for waste; a micrometer for two corners, a dial for each",
    "trueseat handout, for phones: given out after the lesson, it answers votes 1, 3 and 4",
    "photographs: none of ours are in here, everything is drawn from computed corners. trueseat lesson ... --photo "
    "as-found.jpg --photo clean.jpg puts yours on a slide",
)
