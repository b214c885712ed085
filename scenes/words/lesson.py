"""What is said in the lesson: slides, plan by the minute, handout with its blanks; figures come from the runs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from scenes.words import felt, road, words
from scenes.words import spigot as spigot_words
from sim.bench.quiz import HEIGHT_UM, LONG_MM, Place

if TYPE_CHECKING:
    from collections.abc import Mapping

MINUTES = 45
INVENTED = (
    "Hub and rotor of the four questions are invented and perfect: no car has such parts, so one fault shows alone."
)
TITLE = "Why does it shake?"
OPENING = ("New rotors. Some thousand kilometres. It shakes again.", "Was it the rotor?")
CAUTIONS = ("maker first", "stands", "no compressed air", "never drawn home", "no impact gun", "pump the pedal")


@dataclass(frozen=True)
class Ask:
    """One of the four questions.

    Parameters
    ----------
    key, question : str
    choices : tuple of str
        What the class votes on.
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
    answer: str
    points: tuple[str, ...]
    blank: str


@dataclass(frozen=True)
class Minute:
    """One row of the plan: from and to, the slide, what to say, ask and do."""

    start: int
    end: int
    slides: str
    say: str
    ask: str
    do: str


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
    high = words.micrometres(outer.case.debris[0].height_um)
    ratio = outer.seat.gauge_runout_um / inner.seat.gauge_runout_um
    on_road = words.micrometres(driven_um(outer)), words.micrometres(driven_um(inner))
    return Ask(
        "where",
        f"The same hard speck, {high} high. Where does it do more harm?",
        ("A, at the outer edge", "B, further in", "no difference"),
        f"Under the dial the outer edge reads {words.times(ratio)} as much.",
        (
            f"At the edge {_read(outer)}, further in {_read(inner)}: the flange bends over what lies further in.",
            f"With the wheel on {on_road[0]} and {on_road[1]}: a dial that reads little does not clear the inside.",
            words.CLEAN_METAL,
        ),
        f"Under the dial a speck at the [outer] edge reads {_read(outer)}, the same speck further in {_read(inner)}. "
        f"With the wheel on, the one further in makes [{on_road[1]}]. So [both faces] are cleaned, [all over].",
    )


def _edge_only(runs: Mapping[str, Any]) -> Ask:
    band, edge = runs["band"], runs["edge"]
    left = edge.seat.gauge_runout_um / band.seat.gauge_runout_um
    on_road = driven_um(edge) / driven_um(band)
    return Ask(
        "edge",
        "Somebody cleans only the outer edge, where the brush reaches. How much runout is left?",
        ("none", "a quarter", "more than half"),
        f"{words.percent(left)} is left under the dial, {words.percent(on_road)} with the wheel on.",
        (
            f"As found {_read(band)}, edge cleaned {_read(edge)}, as driven {words.micrometres(driven_um(edge))}.",
            "What is left further in still holds the flange up, and the wheel presses just there.",
            "Clean to the spigot, round every stud, and the rotor's own seat.",
        ),
        f"With only the outer edge cleaned, [{words.percent(left)}] of the runout is left under the dial and "
        f"[{words.percent(on_road)}] with the wheel on. "
        "Clean to the [spigot], round every [stud], and the [rotor's] seat.",
    )


def _drawn_home(runs: Mapping[str, Any]) -> Ask:
    jammed, forced = runs["jammed"], runs["forced"]
    off = jammed.spigot["stand_off_um"]
    stands = spigot_words.distance(float(off[0]), float(off[1]))
    stress = words.with_unit(float(forced.spigot["hoop_stress_mpa"]), "MPa")
    return Ask(
        "home",
        "The rotor does not drop home. Why not draw it home with the nuts?",
        ("do it, the nuts are strong enough", "do it, then measure", "take it off again"),
        f"Because the bore may crack, and the dial then reads {_read(forced)}: it passes a damaged rotor.",
        (
            f"Scale on the spigot: by hand it stands {stands} off the face.",
            f"Drawn home: {stress} at the bore. {_warned(forced)}",
            "Take it off, clean spigot and bore, look for cracks. Cracked is scrap.",
        ),
        f"A rotor that stands {stands} off is [taken off], never drawn home. Its bore would bear [{stress}], and "
        f"the dial reads [{_read(forced)}]: it does not see the damage.",
    )


def _warned(forced: Any) -> str:
    strength = float(forced.spigot.get("hoop_stress_mpa", 0.0))
    return "More than half of what this iron breaks at." if forced.spigot.get("crack_warning") else f"({strength:.0f})"


def _how_soon(runs: Mapping[str, Any]) -> Ask:
    band, edge = runs["band"], runs["edge"]
    last = float(band.forecast.distance_km[-1])
    limit = band.case.limits.dtv_um
    chance = [words.chance(1.0 - run.forecast.probability_never) for run in (band, edge)]
    soonest = band.forecast.km_low
    first = "not before the end of the road shown" if soonest is None else f"hardly before {words.kilometres(soonest)}"
    shakes = felt.felt_plain(band.forecast)
    return Ask(
        "soon",
        "A new rotor goes on the dirty hub. How soon does the shaking come back?",
        ("on the way home", "after some thousand kilometres", "never"),
        f"Not on the way home: {first}.",
        (
            "The rim taps the pads at its high spot, every turn, and wears thin there.",
            f"{words.micrometres(limit)} within {words.kilometres(last)}: chance {chance[0]} as found, "
            f"{chance[1]} with the edge cleaned.",
            shakes or words.MODEL_ONLY,
        ),
        f"Mounted runout wears the rim [thin] at its [high spot]. Left dirty, {words.micrometres(limit)} of thickness "
        f"variation is reached [{first}]; that is why the car comes back [weeks later], not the same day.",
    )


def own_corner(run: Any) -> tuple[str, ...]:
    """Say what the trainer's own corner does: at most three lines."""
    if spigot_words.wrong(run.spigot):
        return tuple(spigot_words.plain(run))[:3]
    limit = run.case.limits.mounted_runout_um
    whose = words.limit_from(run.case, "mounted_runout_um")
    lines = [f"As read: {_read(run)} TIR; limit {words.micrometres(limit)}, {whose}."]
    driven = driven_um(run)
    if driven == driven:
        lines.append(f"With the wheel on: {words.micrometres(driven)}.")
    count = len(run.case.debris)
    lines.append(
        f"On it: {'nothing' if not count else 'one patch of dirt' if count == 1 else f'{count} patches of dirt'}."
    )
    return tuple(lines)


WORK = (
    "Read it before anything comes off.",
    "Paint stud 1 and the rotor's hole on it.",
    "Clean both faces all over, spigot and bore too.",
    "It drops home by hand, or it comes off again.",
    "Nuts by torque wrench, crosswise, in stages.",
    "Read again; over the limit, try the next hole.",
)


def plan(title: str) -> tuple[Minute, ...]:
    """Lay the lesson out by the minute; ``title`` is of the trainer's own corner."""
    return (
        Minute(0, 4, "1, 2", "New rotors, and after some thousand kilometres it shakes. The rotor gets the blame. "
               "Today we look behind it.", "Who had one come back? What was changed?",
               "Pass a rusty hub face round, if you have one. Hand out the handout; nobody writes answers in yet."),
        Minute(4, 11, "3, 4", "Same speck, two places. Vote first. Then the answer, then the turn in it: the wheel.",
               "A, B or no difference? Who changes their mind once the wheel is on, and why?",
               "Count hands, write the count on the board. Handout, question 1."),
        Minute(11, 18, "5, 6", "This is what the cup brush leaves. Looks clean from outside.",
               "How much is left? What tool reaches the inside?", "Count hands. Handout, question 2."),
        Minute(18, 24, "7, 8", "It hangs a few millimetres off. The long bar is in reach.",
               "What would you do at five in the afternoon? What does the dial say afterwards?",
               "Count hands. Let somebody read the caution aloud. Handout, question 3."),
        Minute(24, 31, "9, 10", "Nothing shakes on the way home: that is why the fitter never hears of it.",
               "How far until the customer feels it? At what speed?", "Count hands. Handout, question 4."),
        Minute(31, 34, "11", f"A corner of our own: {title}.", "Over the limit or under? What first?",
               "Bench card in hand: show where each reading goes."),
        Minute(34, 42, "12", "Where is the dirt? The high spot tells the angle, the size tells how far out.",
               "Which line of readings belongs to which hub face?", "Quiz, alone for five minutes, then with the "
               "neighbour. Key: keep it back."),
        Minute(42, 45, "13, 14", "Six lines to take to the car.", "Which of them did you not do last time?",
               "Collect the counts: how many voted right at first? At the car: fitting sheet and bench card."),
    )  # fmt: skip


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
    f"Hub and rotor are perfect but for one hard speck, {LONG_MM:.0f} mm long and {words.micrometres(HEIGHT_UM)} high, "
    "always the same one. The dial was read at twelve places of one turn, the painted hole on stud 1. "
    "Which hub face belongs to which turn?"
)
QUIZ_WHY = "The high spot stands over the speck; at the outer edge the same speck reads more than further in."
TO_MAKE = (
    "the car or stand, a dial and a hub face with real rust on it",
    "your own limits and torques: the vehicle maker's values",
    "photographs: none are in here, everything is drawn from computed corners",
)


def kilometres_row(run: Any) -> str:
    """Say the 80 % band of the kilometres to the limit."""
    forecast = run.forecast
    return road.band(forecast.km_low, forecast.km_high, float(forecast.distance_km[-1]))
