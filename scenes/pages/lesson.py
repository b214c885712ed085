"""The papers of a lesson: slides, copier set, plan, handout with blanks, quiz and its key; each one HTML document."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date
from functools import lru_cache
from typing import TYPE_CHECKING, Any

from markupsafe import Markup, escape

from scenes.pages.templated import environment
from scenes.plots import dial_setup, section
from scenes.plots import lesson as drawn
from scenes.plots.board import svg_of
from scenes.words import at_the_car, fastening, held_to_read, words
from scenes.words import lesson as said
from sim import turn
from sim.bench.quiz import speck

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from sim.bench.quiz import Question, Quiz
    from sim.parts.case import Case

TURN_MM = 67.0  # a turn of the quiz on paper, beside four faces
FOOT = (
    "Computed by trueseat from invented parts, not read on a car. Limits that no maker gave are common practice, no "
    "source; the vehicle maker's values stand above everything here. Nothing here says that a car is safe."
)
INVENTED_OWN = (
    "INVENTED: no car is like this corner; no figure of it goes on a card or a form. Nothing here says that a "
    "car is safe."
)
FOOT_OWN = FOOT.replace("from invented parts", "from a case file")
PAPERS = (
    ("slides.html, .pdf", "16:9, for the projector"),
    (
        "copier.html, .pdf",
        f"the slides two a page, black on white, lines to write on; no answer in it: quiz and {at_the_car.LINES} "
        "come later, on their own papers",
    ),
    ("answers.html, .pdf", "yours: the answers' slides, black on white, each with its letter and why"),
    ("plan.html, .pdf", "this plan, by the minute"),
    ("handout.html, .pdf", "one for each learner, before: guesses and words"),
    ("afterwards.html, .pdf", "one for each learner, only after the fourth vote: gaps to fill in; it holds answers"),
    ("at-the-car.html, .pdf", "one for each learner, at the end: drawings, cautions, one reading before and after"),
    ("quiz.html, .pdf", "where is the dirt?"),
    ("quiz-key.html, .pdf", "yours: its answers, and how near counts"),
    ("bench-card.html, .pdf", "after the third vote, which it answers: for whoever goes on to find a cause"),
    ("fitting-sheet.html, .pdf", "after the third vote as well: for work, both sides; the car's own data go on it"),
    ("cases", "the cases of the four questions, to compute or change: trueseat seat cases/lesson_outer_dirty.toml"),
)


@dataclass(frozen=True, eq=False)
class Told:
    """What the lesson is made from.

    Parameters
    ----------
    own : Run
        The trainer's corner, seated.
    runs : mapping of str to Run
        As `scenes.words.lesson.asks` takes them.
    quiz : Quiz
    captions : sequence of (str, str)
        Time and words of a film; empty without one.
    photos : sequence of str
        The trainer's own photographs, as data of a page.
    invented : bool
        Whether the trainer's corner is one of ours.
    """

    own: Any
    runs: Mapping[str, Any]
    quiz: Quiz
    captions: Sequence[tuple[str, str]] = ()
    photos: Sequence[str] = ()
    invented: bool = False


@dataclass(frozen=True)
class Slide:
    """One slide: its kind (a class of the template), head, words, picture."""

    kind: str
    kicker: str
    title: str
    lines: tuple[str, ...] = ()
    choices: tuple[str, ...] = ()
    answer: str = ""
    picture: Markup = Markup("")
    foot: str = ""
    number: str = ""
    back: bool = False  # an answer: nothing for a learner's page
    late: bool = False  # on a learner's paper of its own, after the votes that it answers


def slides(told: Told, look: drawn.Look = drawn.COLOUR) -> tuple[Slide, ...]:
    """Make the slides, in colour or for a copier."""
    runs, asks = told.runs, said.asks(told.runs)
    asked = _asked(told, look)
    answered = _answered(told, look)
    out = [
        Slide("title", "45 minutes at the hub face", said.TITLE, said.OPENING, picture=Markup(
            drawn.named_face(runs["outer"].case, look))),
        Slide("cautions", "Safety, 1 of 2", "Before anything is touched", said.SAFETY),
        Slide("cautions", "Safety, 2 of 2", "Before a car is lifted", said.AT_A_CAR),
        Slide("steps", "Before the first vote", said.FIRST_TITLE, said.FIRST, picture=Markup(
            dial_setup.counting(14.0, 90.0))),
    ]  # fmt: skip
    for number, ask in enumerate(asks):
        head = f"Question {number + 1} of {len(asks)}"
        letters = tuple(f"{'ABC'[k]}: {one}" for k, one in enumerate(ask.choices))
        out.append(Slide("ask", f"{head}: vote first", ask.question, choices=letters, picture=asked[number]))
        answer = f"{ask.letter}. {ask.answer}"
        out.append(Slide("told", head, answer, ask.points, picture=answered[number], back=True))
    chain = _chain(runs)
    out.append(Slide("wide steps", "The whole chain", "From a speck to a shaking wheel", chain,
                     picture=_leaning(runs["outer"]), back=True))  # fmt: skip
    own = told.own
    ours = "invented" if told.invented else "computed, not read on a car"
    title, face = words.clean(own.case.title, 70), Markup(drawn.faces([("", own.case)], look, heights=True))
    asked_of = said.own_asked(own.case)
    out.append(Slide("own", f"A corner of our own, {ours}: what do you say?", title, asked_of, picture=face))
    out.append(Slide("own", f"A corner of our own, {ours}", title, said.own_corner(own), picture=face, back=True))
    first = max(told.quiz.questions, key=lambda one: one.runout_um)
    one_turn = drawn.one_turn(first, told.quiz.case.studs, look, _span_um(told.quiz))
    out.append(Slide("wide", "Quiz: five minutes alone, then with your neighbour", "Where is the dirt?",
                     (said.QUIZ_WHY,), picture=Markup(one_turn), late=True))  # fmt: skip
    if told.photos:
        out.append(Slide("wide photos", "From our own workshop", said.PHOTO_QUESTION, picture=_photos(told.photos)))
    stands = Markup('<div class="cut">{}</div>').format(Markup(dial_setup.off_and_on(12.5, 100.0)))
    out.append(Slide("wide", "At the car", "How the dial stands", picture=stands))
    out.append(
        Slide(
            "steps alone", "At the car", f"{words.capital(at_the_car.LINES)} to take along", at_the_car.WORK, late=True
        )
    )
    count = len(out)
    return tuple(_numbered(slide, k, count, told.invented) for k, slide in enumerate(out, 1))


def _photos(photos: Sequence[str]) -> Markup:
    return Markup("").join(Markup('<img src="{}" alt="{}">').format(one, said.PHOTO_ALT) for one in photos)


def _span_um(quiz: Quiz) -> float:
    """One scale for every turn of a quiz, on slide and paper. [um]."""
    return 1.15 * max(float(max(one.reading_um) - min(one.reading_um)) for one in quiz.questions)


def _numbered(slide: Slide, number: int, count: int, invented: bool) -> Slide:
    own = INVENTED_OWN if invented else FOOT_OWN
    foot = said.INVENTED if slide.kind in ("told", "ask") else own if slide.kind == "own" else FOOT
    foot = said.PHOTO_FOOT if "photos" in slide.kind else foot
    return Slide(**{**vars(slide), "number": f"{number} / {count}", "foot": foot})


def _chain(runs: Mapping[str, Any]) -> tuple[str, ...]:
    outer = runs["outer"]
    high = words.micrometres(outer.case.debris[0].height_um)
    return (
        f"A speck of {high}, {said.in_mm(outer.case.debris[0].height_um)}, lies under the rotor.",
        f"The friction face runs out by {words.micrometres(outer.seat.gauge_runout_um)}: "
        f"{outer.seat.gauge_runout_um / said.DIVISION_UM:.0f} divisions of the dial.",
        "Leaning, it taps the pads once a turn; bent, twice: worn thin there.",
        f"From {words.DTV_RANGES['doubtful']}\u00a0µm of thickness variation on it is felt.",
    )


def _asked(told: Told, look: drawn.Look) -> tuple[Markup, ...]:
    case = {name: run.case for name, run in told.runs.items()}
    return (
        Markup(drawn.faces([("A", case["outer"]), ("B", case["inner"])], look)),
        Markup(drawn.faces([("as found", case["band"]), ("edge cleaned", case["edge"])], look)),
        _cut(told.runs["jammed"], 1000),
        Markup(drawn.faces([("as found", case["band"])], look)),
    )


def _answered(told: Told, look: drawn.Look) -> tuple[Markup, ...]:
    runs = told.runs
    case = runs["band"].case
    limits, whose = case.limits, said.limit_said

    mounted = limits.mounted_runout_um, whose(case, "mounted_runout_um")
    dtv = limits.dtv_um, whose(case, "dtv_um")

    def at(key: str) -> str:
        return said.radii(runs[key].case.debris[0]).removesuffix(" from the axis")

    def row(name: str, key: str) -> drawn.Bar:
        run = runs[key]
        return drawn.Bar(name, run.seat.gauge_runout_um, said.driven_um(run), said.band_um(run))

    return (
        Markup(
            drawn.bars(
                [row(f"outer edge, {at('outer')}", "outer"), row(f"further in, {at('inner')}", "inner")], *mounted, look
            )
        ),
        Markup(drawn.bars([row("as found", "band"), row("edge cleaned", "edge")], *mounted, look)),
        _cut(runs["forced"], 1000),
        Markup(drawn.roads([("as found", runs["band"]), ("edge cleaned", runs["edge"])], *dtv, look)),
    )


@lru_cache(maxsize=1)
def _leaning(run: Any) -> Markup:
    """Section of a rotor that leans on a speck: what the last row reads, and no more."""
    figure = section.section(run, 1100)
    axes = figure.axes[0]
    for text in (*figure.texts, axes.texts[-1]):  # heading, what is cut, the small print below
        text.remove()
    for text in axes.texts:
        text.set_fontsize(2.0 * float(text.get_fontsize()))
    figure.set_size_inches(11.0, 11.0 * axes.get_position().height * figure.get_figheight() / figure.get_figwidth())
    axes.set_position((0.0, 0.0, 1.0, 1.0))
    label = "section through rotor and hub at the speck, motion enlarged"
    return Markup('<div class="cut"><div class="seen">{}<b class="factor">{}</b></div></div>').format(
        Markup(svg_of(figure, label)), section.stretched(run)
    )


@lru_cache(maxsize=4)  # the same in colour, for the copier and on the handout
def _cut(run: Any, width: int) -> Markup:
    """Section through what keeps the rotor from sitting."""
    if run.case.spigot_scale:
        figure, label = section.bore_alone(run, width)
        below = Markup('<p class="enlarged">{}</p>').format(label)
    else:
        figure, label = section.section(run, width), "section through rotor and hub at the speck, motion enlarged"
        below = Markup("")
    drawn_larger = section.stretched(run)
    return Markup('<div class="cut"><div class="seen">{}<b class="factor">{}</b></div>{}</div>').format(
        Markup(svg_of(figure, label)), drawn_larger, below
    )


def slides_html(told: Told, copier: bool = False) -> str:
    """Build the slides, or the learners' set for a copier.

    Parameters
    ----------
    told : Told
    copier : bool
        Two a page of A4, black on white, no answer among them: those are `answers_html`.

    Returns
    -------
    str
        One HTML document, complete in itself.
    """
    if copier:
        return _two_a_page(told, said.TITLE, back=False)
    page = environment().get_template("lesson_slides.html").render(shown=slides(told), copier=False, heading=said.TITLE)
    return fastening.said_html(page, told.own.case)


def answers_html(told: Told) -> str:
    """Build the trainer's page of answers: two a page of A4, black on white, each with its letter and why."""
    return _two_a_page(told, f"{said.TITLE} Answers", back=True)


@lru_cache(maxsize=1)
def _for_copier(told: Told) -> tuple[Slide, ...]:
    """Slides of the learners' set and of the answers, drawn once for both."""
    return slides(told, drawn.COPIER)


def _two_a_page(told: Told, heading: str, back: bool) -> str:
    shown = [one for one in _for_copier(told) if one.back is back and not one.late]
    template = environment().get_template("lesson_slides.html")
    return fastening.said_html(template.render(shown=shown, copier=True, back=back, heading=heading), told.own.case)


def plan_html(told: Told, made_on: date | None = None) -> str:
    """Build the plan by the minute, with the handout filled in and the film's captions where there is one."""
    asks = [{"filled": _filled(ask.blank), "letter": ask.letter, "why": ask.answer} for ask in said.asks(told.runs)]
    return _page(
        told,
        "plan",
        "Plan of the lesson",
        made_on,
        minutes=said.MINUTES,
        invented=said.INVENTED,
        title=f"INVENTED: {told.own.case.title}" if told.invented else told.own.case.title,
        rows=said.plan(
            words.clean(told.own.case.title, 60), bool(told.photos), told.invented, len(told.own.case.debris)
        ),
        short=said.SHORT.format(minutes=said.SHORT_MINUTES),
        forms=said.WHICH_FORM,
        one_form=said.ONE_FORM,
        photos=told.photos,
        asks=asks,
        files=PAPERS,
        to_make=said.TO_MAKE,
        captions=told.captions,
        at_the_metal=said.AT_THE_METAL,
        hands=said.HANDS,
        hands_minutes=sum(minutes for minutes, _ in said.AT_THE_METAL),
    )


def handout_html(told: Told, made_on: date | None = None) -> str:
    """Build the handout: four questions to guess at, and the words; no answer on it, and nothing behind it."""
    pictures = _asked(told, drawn.COPIER)
    asks = [
        {"question": ask.question, "choices": ask.choices, "picture": picture}
        for ask, picture in zip(said.asks(told.runs), pictures, strict=True)
    ]
    strip = [(term.word, term.meaning) for term in words.GLOSSARY if term.word in said.STRIP]
    return _page(told, "handout", said.TITLE, made_on, asks=asks, strip=(*strip, *said.MORE_WORDS),
                 title=said.CLASSROOM, safety=said.SAFETY[:3], counts=said.COUNTS)  # fmt: skip


def afterwards_html(told: Told, made_on: date | None = None) -> str:
    """Build the sheet with the gaps: given out after the votes, since it holds answers."""
    asks = [{"question": ask.question, "blanks": _blanks(ask.blank)} for ask in said.asks(told.runs)]
    return _page(told, "afterwards", f"{said.TITLE} Afterwards", made_on, asks=asks, title=said.CLASSROOM,
                 invented=said.INVENTED)  # fmt: skip


def car_html(made_on: date | None = None) -> str:
    """Build the one page for the car: cautions first, how the dial stands, one reading before and one after.

    No figure of any corner of ours is on it: learners take it to a car that nobody described.
    """
    return str(
        environment()
        .get_template("lesson_pages.html")
        .render(
            sheet="car",
            heading="At the car",
            title=at_the_car.TITLE,
            cautions=at_the_car.CAUTIONS,
            drawings=(Markup(dial_setup.off_and_on()), Markup(dial_setup.counting())),
            work=tuple(zip(at_the_car.WORK, at_the_car.WORK_HOW, strict=True)),
            one_form=at_the_car.FORM,
            rows=at_the_car.ROWS,
            countersigned=at_the_car.COUNTERSIGNED,
            condition=at_the_car.ONE_CONDITION,
            places=held_to_read.PLACES,
            made_on=(made_on or date.today()).isoformat(),
            foot=at_the_car.FOOT,
        )
    )


def quiz_html(told: Told, key: bool = False, made_on: date | None = None) -> str:
    """Build the quiz, or its key."""
    quiz = told.quiz
    questions = [_question(one, quiz.case, key, _span_um(quiz)) for one in quiz.questions]
    heading = f"Where is the dirt? {'Key, ' if key else ''}seed {quiz.seed}"
    how = f"{said.QUIZ_WHY} Of these turns: {said.quiz_spans(quiz.questions)}"
    return _page(told, "key" if key else "quiz", heading, made_on, questions=questions,
                 quiz_words=said.QUIZ, places=said.quiz_places(quiz.case, told.runs["inner"]),
                 quiz_why=how, quiz_near=said.QUIZ_NEAR, title=said.QUIZ_TITLE)  # fmt: skip


def _question(one: Question, case: Case, key: bool, span_um: float) -> dict[str, Any]:
    dirt = tuple(speck(case, place) for place in one.choices)
    shown = {
        "turn": Markup(drawn.one_turn(one, case.studs, drawn.COPIER, span_um, TURN_MM)),
        "choices": Markup(drawn.choices(case, dirt, one.right if key else None)),
    }
    if not key:
        return shown
    told = {
        "letter": "ABCD"[one.right],
        "place": said.place(one.choices[one.right], case.studs.count),
        "runout": words.micrometres(turn.tir(one.reading_um)),
        "high_spot": words.degrees(one.high_spot_deg),
    }
    return shown | told


def _parts(text: str) -> list[str]:
    """Text and gaps in turn; every second one is a gap."""
    return re.split(r"\[(.*?)\]", text)


def _blanks(text: str) -> Markup:
    """Sentence with a line to write on for every gap."""
    return Markup("").join(
        Markup('<span class="gap"></span>') if k % 2 else escape(part) for k, part in enumerate(_parts(text))
    )


def _filled(text: str) -> Markup:
    """Sentence with its gaps filled in, underlined."""
    return Markup("").join(
        Markup('<span class="told">{}</span>').format(part) if k % 2 else escape(part)
        for k, part in enumerate(_parts(text))
    )


def _page(told: Told, sheet: str, heading: str, made_on: date | None, **shown: Any) -> str:
    page = (
        environment()
        .get_template("lesson_pages.html")
        .render(
            sheet=sheet,
            heading=heading,
            **({"title": told.own.case.title} | shown),
            made_on=(made_on or date.today()).isoformat(),
            foot=FOOT,
        )
    )
    return fastening.said_html(page, told.own.case)
