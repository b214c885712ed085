"""One act for both: what readings alone would order, unless the probabilities expect to save more than that."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from sim.bench import next_act as rule
from sim.bench.bare_face import HubFace
from sim.bench.next_act import Act
from sim.bench.rock_asked import asks_rocking
from sim.bench.told_by_mountings import ToldApart
from sim.causes import names
from sim.files.dial_readings import Readings
from sim.files.readings_head import WITH_PLAY
from sim.files.readings_rows import CLEAN_STATES
from sim.files.trace import PLAY
from sim.parts.dial import ABOVE, TOO_CLOSE
from sim.parts.thickness import MEAN_OF, Uneven

# What is expected of two acts is no closer than that, in minutes of work and their worth: then the rule's act leads,
# which needs no geometry and no prior. Judgement, 5 .. 20.
CLOSE_MIN = 15.0
# Dear enough that what the rule reads first is read first.
PARTS = (names.RENEW, names.HUB_AND_BEARING)
#: What each act of the rule is called here; "open" ends the rule.
NAMED: Mapping[str, str] = {
    rule.READ_AGAIN: names.READ_AGAIN, rule.ANOTHER_STUD: names.MEASURE + names.ANOTHER_STUD, rule.CLEAN: names.CLEAN,
    rule.CLEAN_AGAIN: names.CLEAN, rule.BARE_HUB: names.MEASURE + names.BARE_HUB,
    rule.THICKNESS: names.MEASURE + names.THICKNESS, rule.MICROMETER: names.MEASURE + names.FINER_MICROMETER,
    rule.WORN: names.RENEW, rule.INDEX: names.INDEX, rule.BACK: names.INDEX, rule.DONE: names.LEAVE,
    rule.HUB: names.HUB_AND_BEARING, rule.FINER: names.MEASURE + names.FINER_DIAL, rule.OPEN: "",
    rule.AT_LIMIT: names.AT_LIMIT, rule.UNEVEN_COUNTED: names.UNEVEN_COUNTED,
    rule.SCATTERS: names.SCATTERS, rule.SEAT: names.CLEAN, rule.SPACERS: names.MEASURE + names.RETORQUED,
    rule.GAUGE: names.GAUGE, rule.SECOND_TURN: names.MEASURE + names.SECOND_TURN,
}  # fmt: skip


#: Readings of the rotor as it is mounted, for which it stays on.
AS_IT_STANDS = tuple(
    names.MEASURE + one
    for one in (names.FINER_DIAL, names.SECOND_TURN, names.THICKNESS, names.FINER_MICROMETER, names.RETORQUED)
)


def stays_on_for_it(do: str, turns: int) -> bool:
    """Whether an act asks for a reading of the rotor as it is: what takes it off comes after that.

    Parameters
    ----------
    do : str
        A name of `sim.causes.names`.
    turns : int
        Turns whose middle was judged: of `MEAN_OF` at the limit no more are asked.

    Notes
    -----
    By definition of the acts.
    """
    return do in AS_IT_STANDS or (do == names.AT_LIMIT and turns < MEAN_OF)


def first_step(do: str, cleaned: bool) -> str:
    """First thing that hands do: three ways to say "clean", and nothing is left on that was not read clean.

    Examples
    --------
    >>> first_step("clean, then index", False), first_step("leave it", False), first_step("leave it", True)
    ('clean', 'clean', 'leave it')
    """
    if do in (names.CLEAN_THEN_INDEX, names.MEASURE + names.CLEAN_AND_REFIT) or (do == names.LEAVE and not cleaned):
        return names.CLEAN
    return do


def read_next(do: str, cleaned: bool, face: HubFace | None, turns: int) -> str | None:
    """Name the reading that an act asks for; None where it renews a part, or ends.

    Parameters
    ----------
    do : str
        A name of `sim.causes.names`.
    cleaned : bool
        Whether it was read last on clean faces.
    face : HubFace or None
        The bare hub face, where it was read.
    turns : int
        Turns of which the runout is the middle.

    Examples
    --------
    >>> read_next("measure: another stud", True, None, 1), read_next("renew or cut the rotor", True, None, 1)
    ('another stud', None)
    """
    first = first_step(do, cleaned)
    near = face is not None and face.state == TOO_CLOSE and not face.read_out
    if first.startswith(names.MEASURE):
        return first.removeprefix(names.MEASURE)
    if first == names.AT_LIMIT and turns < MEAN_OF:
        return names.READ_AGAIN
    if first in (names.LEAVE, names.AT_LIMIT):
        return names.BARE_HUB if near and not (face is not None and face.let_be) else None
    if first == names.HUB_AND_BEARING:
        over = face is None or (face.state == ABOVE and not face.read_out)
        return names.BARE_HUB if over or near else None
    return first if first in (names.CLEAN, names.INDEX, names.RETORQUE, names.READ_AGAIN) else None


def decided_by(do: str, wanted: str | None) -> str:
    """Name an act by the bare face that is read on before it: no end is called by machine that a reading still decides.

    Parameters
    ----------
    do : str
        A name of `sim.causes.names`.
    wanted : str or None
        The reading that it asks for: `read_next`.

    Examples
    --------
    >>> decided_by("leave it", "bare hub"), decided_by("leave it", None), decided_by("clean", "bare hub")
    ('measure: bare hub', 'leave it', 'clean')
    """
    return names.MEASURE + names.BARE_HUB if wanted == names.BARE_HUB and do in (names.LEAVE, names.AT_LIMIT) else do


def has_play(told: ToldApart) -> bool:
    """Whether the table says that the hub was rocked and has play: hub or bearing comes before all that was read."""
    return told.bearing == WITH_PLAY


#: What leaves a rotor on by its turns: none does that show play.
LEFT_ON = (names.LEAVE, names.AT_LIMIT)


def shows_play(told: ToldApart) -> bool:
    """Whether turns of the table show a bearing with play: nothing is left on before it was judged."""
    return told.states[-1].now.left_out_of == PLAY


def rocked_first(told: ToldApart, act: Act | None = None, read: Readings | None = None) -> bool:
    """Whether the hub is rocked before what is ordered holds: turns show play, or some were left out.

    Parameters
    ----------
    told : ToldApart
    act : Act, optional
        What readings alone order: where that is the bearing itself no rocking comes before it.
    read : Readings, optional
        The table: then what is to be read again counts too, where that has the hub rocked before it.
    """
    ends = act is not None and act.what == rule.SCATTERS
    again = act is not None and act.what == rule.READ_AGAIN
    if again and read is not None and asks_rocking(told, read):
        return True
    return bool(told.states[-1].now.left_out) and not ends


def by_machine(act: Act, told: ToldApart) -> Act:
    """What readings alone order as an answer by machine calls it: `decided_by`; the bearing where turns show its play.

    Parameters
    ----------
    act : Act
    told : ToldApart
    """
    act = _more_turns(act)
    do, cleaned = NAMED[act.what], told.states[-1].state in CLEAN_STATES
    if do in LEFT_ON and shows_play(told):
        return replace(act, what=rule.SCATTERS)
    decides = decided_by(do, read_next(do, cleaned, act.hub_face, act.turns))
    return act if decides == do else replace(act, what=rule.BARE_HUB)


def asks_turns(do: str, close: Uneven | None) -> str:
    """Name a thickness too near its limit as it is read on: by more turns of the micrometer at hand, or a finer one.

    Parameters
    ----------
    do : str
        A name of `sim.causes.names`.
    close : Uneven or None
        That thickness.

    Examples
    --------
    >>> asks_turns("clean", None)
    'clean'
    """
    turns = do == names.MEASURE + names.FINER_MICROMETER and close is not None and not close.wants_finer
    return names.MEASURE + names.THICKNESS if turns else do


def _more_turns(act: Act) -> Act:
    asked = NAMED[act.what]
    return act if asks_turns(asked, act.thickness_close) == asked else replace(act, what=rule.THICKNESS)


def read_over_it(do: str, told: ToldApart, face: HubFace | None, turns: int, over: bool) -> str | None:
    """Name the reading that the end at the limit asks for where it counts as over; None where it asks for none.

    Parameters
    ----------
    do : str
        A name of `sim.causes.names`.
    told : ToldApart
    face : HubFace or None
        The bare hub face, where it was read.
    turns : int
        Turns of which the runout is the middle.
    over : bool
        Whether that middle lies over the limit.

    Notes
    -----
    By rule: the bare face before a part is sought, both faces once more before a rotor is.
    """
    if do != names.AT_LIMIT or turns < MEAN_OF or not over:
        return None
    follows = rule.counted_over(told, face)
    if follows == rule.HUB:
        return None if face is not None and face.read_out else names.BARE_HUB
    return {rule.BARE_HUB: names.BARE_HUB, rule.SEAT: names.CLEAN}.get(follows)


#: Acts that put the painted hole on a stud and read it there, whatever it is done for.
MOVES = frozenset({names.MEASURE + names.ANOTHER_STUD, names.MEASURE + names.BACK, names.INDEX})


def alike(do: str, ordered: str, cleaned: bool) -> bool:
    """Whether hands first do the same; where nothing is ordered, nothing differs."""
    return not ordered or {do, ordered} <= MOVES or first_step(do, cleaned) == first_step(ordered, cleaned)


#: What leaves a rotor where it is, or waits for one more turn of the dial alone.
ENDS = (
    names.LEAVE, names.MEASURE + names.SECOND_TURN, names.AT_LIMIT, names.UNEVEN_COUNTED,
    names.MEASURE + names.FINER_DIAL,
)  # fmt: skip


def held(todo: str, act: Act, cleaned: bool) -> str:
    """Hold what is best in expectation to what readings alone order: one rule for both doors.

    Parameters
    ----------
    todo : str
        What is best in expectation.
    act : Act
        What readings alone order.
    cleaned : bool
        Whether the corner was read cleaned last.

    Returns
    -------
    str
        Of a clean corner nothing is left on, put on another stud or bought before readings alone would. Probabilities
        choose between readings, clean once more, and tell a part from a stud that hardly any chance is left of.

    Notes
    -----
    A rule, no probability.
    """
    ordered = NAMED[act.what]
    if not cleaned or alike(todo, ordered, cleaned):
        return todo
    if todo in MOVES and act.what == rule.BARE_HUB and act.hub_face is not None and act.hub_face.first:
        return ordered
    if todo in PARTS and ordered in MOVES and act.what != rule.BACK:  # back: a stud that was read not over the limit
        return todo
    if act.what == rule.CLEAN_AGAIN and todo not in ENDS:  # how likely dirt stayed is weighed: nobody cleans for ever
        return todo
    if act.what == rule.SEAT and todo not in (*ENDS, *PARTS):  # before a rotor alone: a stud takes minutes
        return todo
    return ordered if todo in (*ENDS, names.INDEX, *PARTS) else todo


def same_step(do: str, act: Act, cleaned: bool) -> bool:
    """Whether an act is what readings alone would order; where those have no more to say, nothing differs."""
    return alike(do, NAMED[act.what], cleaned)


def as_led(act: Act, do: str, cleaned: bool, stud: int | None) -> Act:
    """What readings alone order, called as what leads wherever that is something else: no answer ends under an order.

    Parameters
    ----------
    act : Act
        What readings alone order.
    do : str
        What leads, a name of `sim.causes.names` or of an answer by machine.
    cleaned : bool
        Whether the corner was read cleaned last.
    stud : int or None
        Stud position of the reading that leads; None where it names none.
    """
    act = _more_turns(act)
    step, ordered = first_step(do, cleaned), NAMED[act.what]
    moved = do in MOVES and stud is not None and stud != act.studs_turned
    if ordered and not moved and (step == first_step(ordered, cleaned) or {do, ordered} <= MOVES):
        return act
    return replace(act, what=do, studs_turned=act.studs_turned if stud is None else stud)


def agreed(
    todo: str, act: Act, cleaned: bool, cost_min: Mapping[str, float], open_acts: Sequence[str]
) -> tuple[str, float | None]:
    """What leads, and what the rule's act would cost more.

    Parameters
    ----------
    todo : str
        What is best in expectation.
    act : Act
        What readings alone order.
    cleaned : bool
        Whether the corner was read cleaned last.
    cost_min : mapping of str to float
        Expected cost of every act that could be weighed. [min]
    open_acts : sequence of str
        Those that may be ordered.

    Returns
    -------
    str
        ``todo``, or the rule's act where that is as good.
    float or None
        What the rule's act would cost more, where it does not lead; None where it does or was not weighed. [min]

    Notes
    -----
    `CLOSE_MIN` is judgement. A reading that the rule orders leads here only where it pays; `held` comes after it.
    """
    ordered = NAMED[act.what]
    # Every end needs it: read now it may spare the rest; one that counts as over its limit goes whatever else is found.
    if act.what in (rule.THICKNESS, rule.MICROMETER, rule.UNEVEN_COUNTED):
        return ordered, None
    if not ordered or first_step(todo, cleaned) == first_step(ordered, cleaned) or ordered not in cost_min:
        return todo, None
    step = first_step(ordered, cleaned)
    least = min(cost for act, cost in cost_min.items() if first_step(act, cleaned) == step)
    more = least - cost_min.get(todo, min(cost_min.values()))
    close = 0.0 if ordered.startswith(names.MEASURE) else CLOSE_MIN
    return (ordered, None) if ordered in open_acts and more <= close else (todo, max(more, 0.0))
