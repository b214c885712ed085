"""Marks of an exercise: against the truth, and against what could honestly be concluded from the readings taken."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sim.causes import names
from sim.causes.answer import Finding
from sim.causes.finding import weigh
from sim.causes.what_if import COST
from sim.errors import BadInput, Fault
from sim.files.dial_readings import Readings
from sim.live.exercise import CURES, READINGS, Exercise, Taken, minutes_of, readings_of

# Points of ten, judgement; what matters is their order: told with evidence, honestly misled or honestly open, then a
# lucky guess, then a wrong one.
TOLD, MISLED, GUESSED = 6, 4, 2
OPEN, OPEN_BUT_TOLD, NEXT_NAMED = 5, 3, 2
CURED, CURED_DEARLY = 4, 2
CANNOT_TELL = "cannot tell"


@dataclass(frozen=True)
class Given:
    """What a learner hands in.

    Parameters
    ----------
    cause : str
        Of `sim.causes.names.CAUSES`, or `CANNOT_TELL`.
    then : str
        A cure of `CURES`; for `CANNOT_TELL` the reading to be taken next.
    """

    cause: str
    then: str


@dataclass(frozen=True)
class Mark:
    """How it was done.

    Parameters
    ----------
    points : int
        Of ten.
    why : str
        ``told``, ``misled``, ``guessed``, ``wrong``, ``open`` or ``open but told``.
    right : bool
        Whether the cause is the true one.
    concluded : str or None
        Cause that the readings taken bear out; None where they leave it open.
    probability : float
        Of the cause handed in, from those readings.
    likeliest : tuple of (str, float)
        Leading causes with their probabilities.
    next_readings : tuple of str
        What would have told more, best first.
    cure : str
        ``cheapest``, ``works``, ``hides``, ``does not``, ``next reading`` or ``another reading``.
    faults : tuple of str
    share_um : tuple of float
    left_um : tuple of (str, float)
        What every cure would leave. [um TIR]
    works : tuple of str
        Cures that bring it below its limit, cheapest first.
    minutes : float
    """

    points: int
    why: str
    right: bool
    concluded: str | None
    probability: float
    likeliest: tuple[tuple[str, float], ...]
    next_readings: tuple[str, ...]
    cure: str
    faults: tuple[str, ...]
    share_um: tuple[float, ...]
    left_um: tuple[tuple[str, float], ...]
    works: tuple[str, ...]
    minutes: float


def given_of(cause: object, then: object) -> Given:
    """Read what was handed in.

    Raises
    ------
    BadInput
        For a cause, cure or reading that there is not.
    """
    causes = (*names.CAUSES, CANNOT_TELL)
    if not isinstance(cause, str) or cause not in causes:
        raise BadInput(Fault("is no cause", key="cause", allowed=", ".join(causes)))
    allowed = READINGS if cause == CANNOT_TELL else CURES
    if not isinstance(then, str) or then not in allowed:
        raise BadInput(Fault("is not on the list", key="then", allowed=", ".join(allowed)))
    return Given(cause, then)


def mark(exercise: Exercise, taken: Sequence[Taken], given: Given) -> Mark:
    """Mark what a learner hands in.

    Parameters
    ----------
    exercise : Exercise
    taken : sequence of Taken
    given : Given

    Returns
    -------
    Mark

    Raises
    ------
    BadInput
        Before anything was read.
    """
    if not taken:
        raise BadInput(Fault("nothing was read yet", key="cause"))
    readings: Readings = readings_of(exercise, taken)[0]
    return marked(exercise, minutes_of(taken), given, weigh(readings, exercise.base))


def marked(exercise: Exercise, minutes: float, given: Given, found: Finding) -> Mark:
    """Mark by a finding that was made of the readings taken; a guess without evidence is worth less than honesty.

    Parameters
    ----------
    exercise : Exercise
    minutes : float
    given : Given
    found : Finding

    Notes
    -----
    Evidence is what `sim.causes.finding` would put its name to (its coverage: tests/studies/causes.md). [min, um]
    """
    odds = {one.cause: one.probability for one in found.ranked}
    right, told = given.cause == exercise.faults[0], found.finding
    nexts = wanted(found)
    cure = _cure(exercise, given)
    if given.cause == CANNOT_TELL:
        named = given.then in nexts[:2]
        why = "open" if told is None else "open but told"
        cure = "next reading" if named else "another reading"
        points = (OPEN + NEXT_NAMED * named) if told is None else OPEN_BUT_TOLD
    elif told == given.cause:
        why = "told" if right else "misled"
        points = TOLD + {"cheapest": CURED, "works": CURED_DEARLY}.get(cure, 0) if right else MISLED
    else:
        why, points = ("guessed", GUESSED) if right else ("wrong", 0)
    return Mark(
        points=points,
        why=why,
        right=right,
        concluded=told,
        probability=float(odds.get(given.cause, 0.0)),
        likeliest=tuple((one.cause, round(float(one.probability), 3)) for one in found.ranked[:3]),
        next_readings=nexts[:3],
        cure=cure,
        faults=exercise.faults,
        share_um=exercise.share_um,
        left_um=tuple(zip(CURES, exercise.left_um, strict=True)),
        works=exercise.works(),
        minutes=minutes,
    )


def wanted(found: Finding) -> tuple[str, ...]:
    """Readings that would honestly be taken next, best first: where cleaning is due, what is read after it."""
    due = (names.CLEAN_AND_REFIT,) if found.do in (names.CLEAN, names.CLEAN_THEN_INDEX) else ()
    listed = tuple(one.what for one in found.next_readings)
    return tuple(dict.fromkeys((*due, *listed)))


def _cure(exercise: Exercise, given: Given) -> str:
    """Whether the cure works or only hides what it leaves, and whether a cheaper one would have."""
    works = exercise.works()
    if given.then not in works:
        return "hides" if given.then in exercise.brings_below() else "does not"
    return "cheapest" if COST[given.then] <= COST[works[0]] else "works"
