"""Which act a weighed corner orders: the one that pays, held to what readings alone order and to what comes first."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from sim.bench import next_act as rules
from sim.bench import second_turn, which_share
from sim.bench.bare_face import COARSE_UM, HubFace
from sim.bench.mountings import ONE_SCREW
from sim.bench.next_act import Act, most_of_hub_um
from sim.bench.open_readings import open_readings
from sim.bench.rock_asked import parts_on_a_stud
from sim.bench.scattering import scatters
from sim.bench.told_by_mountings import ToldApart
from sim.causes import names
from sim.causes.answer import After, DirtLeft, NextReading, Otherwise
from sim.causes.checks import checked, hub_first, looked_first
from sim.causes.next_reading import MINUTES, WHY, next_readings
from sim.causes.one_act import ENDS, MOVES, NAMED, PARTS, agreed, has_play, held, same_step
from sim.causes.otherwise import HUB_FACE, as_it_stands
from sim.causes.seen import Seen, Spot
from sim.causes.weigh import Posterior
from sim.causes.what_if import (
    CLEAN_BEFORE_STUD,
    COST,
    FAIR_CHANCE,
    HUB_MAY_BE_OVER,
    Cures,
    costs,
    cures,
    possible,
    share_of,
    tir_um,
)
from sim.files.dial_readings import Readings
from sim.files.readings_rows import CLEAN_STATES
from sim.parts.case import Case
from sim.parts.dial import ABOVE, COVERAGE, TOO_CLOSE, Dial, against_limit, share_below
from sim.parts.rotor_goes import as_given
from sim.parts.thickness import MEAN_OF

# Other ways of writing down together: from the first on nothing is found, from the second on it is read again; with
# something that is not in the list so likely, no cause fits. Judgement.
LIKELY, LIKELIER = 0.15, 0.5
# The readings fit worse than this share of readings would: no cause fits. Stated high, because the hypotheses are those
# that fit best: of 75 corners drawn from the model itself three lay below 0.12.
MISFIT = 0.12
#: What a corner that stays as it is leaves; under that probability what no dial tells from its limit is not done, nor
#: is an end told of it. Judgement.
AS_IT_IS, INDEXED, UNDER = "as it is", "indexed", 0.9
# Half of the middle 80 % of a normal law, in standard deviations.
MIDDLE_80 = 1.2816
# What can change what to do as found. Every other way leads through cleaning, and what is read clean decides.
BEFORE_CLEANING = (names.THICKNESS,)
# What readings alone leave on, at once or after one turn more.
LEFT_ON = (rules.DONE, rules.SECOND_TURN)


@dataclass(frozen=True, eq=False)
class Standing:
    """A corner as it was read and weighed.

    Parameters
    ----------
    readings : Readings
    case : Case
    told : ToldApart
    data : Seen
    found : Posterior
    now : Spot
        Last mounted trace, with all three orders.
    dominant : ndarray of int, shape (samples,)
        Cause with the largest share.
    dirt : DirtLeft or None
        What cleaning may have left; None where it was not read cleaned.
    rule : Act
        What readings alone order.
    face : HubFace or None
    scatter_um : tuple of float
        Of a new mounting, by order. [um]
    contradicted, slipped, cancelled, none_fits : bool
        The readings contradict themselves; a trace gives a slip away; the leading share was never seen on the dial; no
        cause fits.
    ways : tuple of Otherwise
        Other ways of writing down, likeliest first.
    beyond : float
        Probability of something that is not in the list.
    menu : bool
        Whether further readings are weighed.
    """

    readings: Readings
    case: Case
    told: ToldApart
    data: Seen
    found: Posterior
    now: Spot
    dominant: NDArray[np.int64]
    dirt: DirtLeft | None
    rule: Act
    face: HubFace | None
    scatter_um: tuple[float, float, float]
    contradicted: bool
    slipped: bool
    cancelled: bool
    none_fits: bool
    ways: tuple[Otherwise, ...]
    beyond: float
    menu: bool

    @property
    def written_wrong(self) -> float:
        """Probability that the readings were written down another way."""
        return sum(way.probability for way in self.ways)


@dataclass(frozen=True)
class Ordered:
    """What is ordered, a name of `sim.causes.names`; readings worth taking; what the rule's act would cost more. [min].

    With what every cure would leave, and the stud positions that were read as the corner stands.
    """

    do: str
    rows: tuple[NextReading, ...]
    rule_costs_min: float | None
    after: tuple[After, ...]
    tried: tuple[int, ...]


def order(corner: Standing) -> Ordered:
    """Choose what to do.

    Parameters
    ----------
    corner : Standing

    Returns
    -------
    Ordered

    Notes
    -----
    Least expected cost (`sim.causes.what_if`), then rules that hold for readings alone too. Judgement. [min]
    """
    readings, case, data, found, now, rule = (
        corner.readings, corner.case, corner.data, corner.found, corner.now, corner.rule
    )  # fmt: skip
    dirt, positions, wanted = corner.dirt, case.studs.positions, rule.studs_turned
    mounted = [spot for spot in data.spots if spot.kind == "mounted"]
    back = now.turned if now.cleaned else mounted[0].turned  # cleaned it is read where it stood first
    back = wanted if rule.what == rules.CLEAN else back
    tried, over = _tried(readings, corner.told, now.cleaned, case.limits.mounted_runout_um)
    left = cures(found, now, positions, case.limits, corner.scatter_um, back, wanted, over)
    tightened = any(spot.retorqued for spot in data.spots)
    open_cures, told_clean = _open_cures(now, tightened, left.under, dirt, rule)
    rows: tuple[NextReading, ...] = ()
    every = dict[str, NextReading]()
    costs_more = None
    if corner.menu and not (corner.contradicted or corner.slipped):
        another = wanted if rule.what in (rules.ANOTHER_STUD, rules.INDEX) else None
        settings = (rule.dial_um, corner.scatter_um, another)
        rows, every = next_readings(
            found, data, now, positions, corner.dominant, left, (open_cures, told_clean), settings,
        )  # fmt: skip
    todo = names.READ_AGAIN
    written, again = not (corner.written_wrong >= LIKELIER and checked(data)), bool(open_readings(readings))
    if written and not (corner.none_fits or corner.slipped or again):
        spent = _spent(left, open_cures, every)
        todo = _do(spent, open_cures, rows, now.cleaned)
        # Over dirt no stud tells anything.
        shut = (names.ANOTHER_STUD, names.BACK) if dirt is not None and dirt.counts else ()
        opened = (what for what in every if what not in shut and (now.cleaned or what in BEFORE_CLEANING))
        may = (*open_cures, names.CLEAN, *(names.MEASURE + what for what in opened))
        todo, costs_more = agreed(todo, rule, now.cleaned, spent, may)
        todo = names.CLEAN if todo == names.MEASURE + names.CLEAN_AND_REFIT else todo  # one act, by one name
        indexed, todo = todo == names.INDEX, _thickness_first(todo, rule, now.cleaned)
        doubted = corner.cancelled or corner.written_wrong >= LIKELY
        if doubted and (indexed or not todo.startswith(names.MEASURE)) and not _ends(todo, rule):
            rows, todo = _check_first(every, rows, todo, corner)
        todo = _worth_it(_a_stud_first(todo, left, rule, tried, dirt), rule, left, now, spent, open_cures, tried)
        todo = _not_where_it_sits(held(todo, rule, now.cleaned), rule, left, now, spent, open_cures)
        todo = _bare_before_a_part(todo, rule, readings)
        todo = _seat_before_a_rotor(todo, rule, corner.told)
        todo = _not_a_third_time(todo, rule, corner.told, most_of_hub_um(readings, case.limits), dirt)
        todo = hub_first(_hub_read_first(todo, _hub_hides(found, now, readings, case)), corner.face, now.cleaned)
        costs_more = None if same_step(todo, rule, now.cleaned) else costs_more
    elif not corner.slipped:
        as_written = written and not (corner.contradicted or again)
        only = found.misfit_share >= MISFIT and as_written and corner.beyond >= LIKELIER
        todo = _where_none_fits(rule, every, data, only, corner.face)
        todo = _by_readings_alone(todo, rule) if as_written else todo
        todo = _hub_by_itself(_clean_first(todo, rule, corner), rule, corner)
    todo = todo if corner.slipped or again else _another_than_its_own(_not_for_ever(todo, corner), left, now, every)
    todo = todo if corner.slipped else looked_first(todo, rule, corner.face)
    todo = _not_over_as_read(_at_last(todo, corner, again), rule, after := _as_read(left.after, rule, corner.told, now))
    todo = names.SCATTERS if has_play(corner.told) else _not_on_one_turn(todo, corner)  # nothing read on it counts
    named = todo == names.READ_AGAIN and (again or parts_on_a_stud(corner.told))  # what to read is said: one order
    rows = () if todo in (names.OPEN, names.SCATTERS, names.GAUGE) or named else rows
    return Ordered(todo, _first(rows, todo.removeprefix(names.MEASURE), every), costs_more, after, tried)


def _where_none_fits(rule: Act, every: Mapping[str, NextReading], data: Seen, stays: bool, face: HubFace | None) -> str:
    """What to do where nothing is blamed: of what no brush took the bare face first, then a second cleaning tells."""
    if rule.what == rules.WORN:
        return names.RENEW  # a micrometer needs no cause that fits
    if rule.what == rules.UNEVEN_COUNTED:
        return names.UNEVEN_COUNTED
    if face is not None and face.wavy and face.state == ABOVE and data.cleaned_last:
        return names.HUB_AND_BEARING  # no cause of the list has its humps: by its own reading it is over its limit
    if not stays:
        return names.LEAVE if rule.what in LEFT_ON else names.READ_AGAIN
    if NAMED[rule.what].startswith(names.MEASURE) and rule.what not in rules.ENDS:
        return NAMED[rule.what]
    if names.BARE_HUB in every:
        return names.MEASURE + names.BARE_HUB
    return names.READ_AGAIN if data.cleaned_last else names.CLEAN


def _at_last(todo: str, corner: Standing, again: bool) -> str:
    """What is to be read again leads whatever else was read, but where it scatters for ever.

    So do mountings of one stud that part, whatever dirt may have gone between, before the rotor is moved, left on or
    bought. Held by one screw it does not sit: nothing is done on such readings, nor left on.
    """
    ends = corner.rule.what in (rules.SCATTERS, rules.HUB) and scatters(corner.readings, corner.told)
    if ends:
        return NAMED[corner.rule.what]
    goes = todo in (*MOVES, *ENDS, *PARTS)
    again |= goes and corner.rule.what == rules.READ_AGAIN and parts_on_a_stud(corner.told)
    again |= todo in ENDS and rules.stands_over(corner.told, corner.case.limits.mounted_runout_um)
    loose = corner.told.states[-1].clamped_by == ONE_SCREW
    return names.READ_AGAIN if again or loose else todo


def _as_read(after: tuple[After, ...], rule: Act, told: ToldApart, now: Spot) -> tuple[After, ...]:
    """What the rotor leaves where it stands is what was read of it, as sure as that reading is: one figure everywhere.

    Normal distribution, `COVERAGE` standard deviations are its uncertainty (JCGM 100:2008). [um TIR]
    """
    doubt = max(Dial(rule.dial_um, rule.turns).doubt_um, told.states[-1].scatter_um)
    below, half = share_below(rule.read_um, doubt, rule.limit_um), MIDDLE_80 * doubt / COVERAGE
    band = (max(rule.read_um - half, 0.0), rule.read_um, rule.read_um + half)

    def stays(one: After) -> bool:
        return one.what == AS_IT_IS or (one.what == INDEXED and one.studs_turned == now.turned)

    return tuple(replace(one, below=below, runout_um=band) if stays(one) else one for one in after)


def _not_over_as_read(todo: str, rule: Act, after: Sequence[After] = ()) -> str:
    """No probability leaves on what reads over its limit, nor one under `UNDER` what no dial tells from it. [um TIR].

    Then what readings alone order holds.
    """
    below = next((one.below for one in after if one.what == AS_IT_IS), 1.0)
    unsure = rule.read_um > rule.limit_um or (below < UNDER and rule.against == TOO_CLOSE)
    return (NAMED[rule.what] or names.OPEN) if todo == names.LEAVE and unsure else todo


def _not_on_one_turn(todo: str, corner: Standing) -> str:
    """Nothing is left on by one turn, whatever probability it has; of a rotor that goes as given none is asked."""
    left = todo in (names.LEAVE, names.MEASURE + names.SECOND_TURN) and corner.now.cleaned
    if not left or not second_turn.wanted(corner.readings, corner.face, corner.case.limits.mounted_runout_um):
        return todo
    read = corner.readings
    goes = as_given(corner.case, level=read.thinnest_mm is None, varies=read.thickness is None)
    return names.LEAVE if goes else names.MEASURE + names.SECOND_TURN


def _not_for_ever(todo: str, corner: Standing) -> str:
    """What reads so again is not read again for ever: it goes on, and ends, as readings alone say.

    A bare face at odds with what stays with the hub is no slip once it was read twice alike: something lies between.
    Cleaned twice the readings alone say whether it is read once more (`rules.at_odds_once`), and what they read next,
    the bare face or a stud, tells which turn is the one that is off. Where no cause draws it and nothing says which
    turn is wrong, a thickness that scatters is told by the micrometer alone, and turns that repeat each other go on.
    """
    rule, ways = corner.rule, corner.ways
    if todo != names.READ_AGAIN or corner.contradicted or rule.what == rules.READ_AGAIN:
        return todo
    tells = (rules.BARE_HUB, rules.ANOTHER_STUD, rules.INDEX, rules.BACK)
    if corner.told.again is not None and rule.what in tells and not corner.slipped:
        return NAMED[rule.what]
    of_face = bool(ways) and ways[0].trace == "hub face"
    if of_face and rules.read_once(corner.face) and corner.data.cleaned_last and not corner.slipped:
        return names.MEASURE + names.BARE_HUB  # the one turn that is suspected is read once more
    at_odds = bool(ways) and ways[0].what == HUB_FACE and corner.written_wrong - ways[0].probability < LIKELY
    twice = corner.face is not None and corner.face.alike > 1
    if at_odds and (twice or which_share.unexplained(corner.told, most_of_hub_um(corner.readings, corner.case.limits))):
        return NAMED[rule.what] or names.OPEN
    doubted = corner.written_wrong >= LIKELIER and checked(corner.data)
    repeated = rule.turns > 1 and NAMED[rule.what] not in PARTS
    uneven = rule.what in (rules.THICKNESS, rules.MICROMETER) and rule.varies is not None  # it was read, and scatters
    if not (ways or doubted or corner.slipped) and (uneven or repeated):
        return NAMED[rule.what] or names.OPEN
    return names.OPEN if rule.what == rules.OPEN and not doubted else todo


def _by_readings_alone(todo: str, rule: Act) -> str:
    """What no cause draws, and reads so again, is not read again for ever: read clean it ends as readings alone say."""
    return NAMED[rule.what] if todo == names.READ_AGAIN and rule.what in rules.ENDS else todo


def _ends(todo: str, rule: Act) -> bool:
    """Whether both doors leave it as it reads: whatever the studs were called, that reading is under its limit."""
    return todo == names.LEAVE and rule.what in LEFT_ON


def _hub_by_itself(todo: str, rule: Act, corner: Standing) -> str:
    """Where nothing says what to read again, a bare face is held to its limit by its own reading, as without a case."""
    doubted = corner.ways or corner.contradicted or open_readings(corner.readings)
    return names.HUB_AND_BEARING if rule.what == rules.HUB and todo == names.READ_AGAIN and not doubted else todo


def _clean_first(todo: str, rule: Act, corner: Standing) -> str:
    """What lies between does not go with the bare face either: it is cleaned once more before that is read again."""
    at_odds = bool(corner.ways) and corner.ways[0].what == HUB_FACE
    fits = not (corner.contradicted or corner.none_fits or open_readings(corner.readings))
    return names.CLEAN if todo == names.READ_AGAIN and at_odds and fits and rule.what == rules.CLEAN_AGAIN else todo


def _tried(
    readings: Readings, told: ToldApart, cleaned: bool, limit_um: float
) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """Stud positions that were read as the corner stands now, and those that read over the limit there."""
    read = [
        (at, runout, mount)
        for one in told.states
        if (one.state in CLEAN_STATES) == cleaned
        for at, runout, mount in zip(one.positions, one.counted_um, one.mounts, strict=True)
    ]
    steps = {one.mount: readings.step_um(one) for one in readings.of("mounted")}
    over = [
        at
        for at, runout, mount in read
        if against_limit(runout, limit_um, Dial(step_um=steps.get(mount, readings.dial_um)).doubt_um) == ABOVE
    ]
    return tuple(sorted({at for at, _, _ in read})), tuple(sorted(set(over)))


def _a_stud_first(todo: str, left: Cures, rule: Act, tried: Sequence[int], dirt: DirtLeft | None) -> str:
    """No part is ordered while a stud that nobody tried has a fair chance: a try takes minutes and is read at once.

    Nor from one clean stud, nor is it cleaned twice for dirt that a second one would as likely not find.
    """
    one = len(tried) < 2 and rule.what in (rules.INDEX, rules.ANOTHER_STUD)
    if todo == names.CLEAN and dirt is not None:
        return names.MEASURE + names.ANOTHER_STUD if one and dirt.probability < CLEAN_BEFORE_STUD else todo
    if todo not in PARTS or rule.thickness_state == ABOVE or (dirt is not None and dirt.counts):
        return todo
    if one and dirt is not None:
        return names.MEASURE + names.ANOTHER_STUD
    at = next(one for one in left.after if one.what == "indexed")
    untried = at.studs_turned is not None and at.studs_turned not in tried
    return names.INDEX if untried and left.works[names.INDEX].mean() >= FAIR_CHANCE else todo


def _hub_hides(found: Posterior, now: Spot, readings: Readings, case: Case) -> bool:
    """Whether the hub is likely enough over its limit under a clean rotor that cancels it, and was not read bare."""
    if not now.cleaned or readings.of("hub face"):
        return False
    most_um = most_of_hub_um(readings, case.limits)
    return float(np.mean(tir_um(share_of(found, now, names.HUB_FACE)) > most_um)) >= HUB_MAY_BE_OVER


def _hub_read_first(todo: str, hides: bool) -> str:
    """Nothing is left on that the rotor alone holds under its limit."""
    return names.MEASURE + names.BARE_HUB if hides and todo in ENDS else todo


def _bare_before_a_part(todo: str, rule: Act, readings: Readings) -> str:
    """No part is ordered in place of a stud that readings alone would try before somebody read the hub bare."""
    unread = todo in PARTS and NAMED[rule.what] in MOVES and not readings.of("hub face")
    return names.MEASURE + names.BARE_HUB if unread else todo


def _seat_before_a_rotor(todo: str, rule: Act, told: ToldApart) -> str:
    """No rotor is bought for its runout before its seat was cleaned once more: dirt there turns with it too."""
    runout = todo == names.RENEW and rule.thickness_state != ABOVE
    return names.CLEAN if runout and told.again is None else todo


def _not_a_third_time(todo: str, rule: Act, told: ToldApart, most_um: float, dirt: DirtLeft | None) -> str:
    """What a second cleaning did not take a third will not: what readings alone order, else it is looked at.

    Where it took some, and dirt is likelier than not to lie there still, it is cleaned a third time, and no fourth.
    Nor is anything left on over what two cleanings left with the hub and its bare face does not explain.
    """
    if todo in ENDS and which_share.unexplained(told, most_um):
        return names.READ_AGAIN
    once = told.again is not None and told.again.went and len(told.again.mounts) == 1
    if once and dirt is not None and dirt.counts and dirt.probability >= LIKELIER and todo in (*ENDS, names.CLEAN):
        return names.CLEAN
    return (NAMED[rule.what] or names.READ_AGAIN) if todo == names.CLEAN and told.again is not None else todo


def _worth_it(
    todo: str, rule: Act, left: Cures, now: Spot, spent: Mapping[str, float], open_cures: Sequence[str],
    tried: Sequence[int],
) -> str:  # fmt: skip
    """No rotor is moved for less than a dial is sure to, nor renewed where no dial tells it from its limit.

    What takes the place of such a move is what the readings alone order, else the cheapest part that is open.
    """
    close = now.cleaned and rule.against == TOO_CLOSE
    if close and todo in PARTS:
        return NAMED[rule.what] or names.AT_LIMIT
    if todo != names.INDEX or rule.what in (rules.INDEX, rules.BACK):
        return todo
    if rule.what == rules.ANOTHER_STUD:
        return NAMED[rule.what]  # from one clean stud it is a reading, by the same name for both
    at = {one.what: one for one in left.after}
    gain = at[AS_IT_IS].runout_um[1] - at["indexed"].runout_um[1]
    if at["indexed"].studs_turned != now.turned and gain > Dial(step_um=rule.dial_um).doubt_um:
        return todo
    if close:
        return NAMED[rule.what] or names.AT_LIMIT
    if at["indexed"].studs_turned not in tried and rule.against == ABOVE:
        return todo  # over its limit a fair chance is enough
    parts = [what for what in open_cures if what in PARTS]
    return NAMED[rule.what] or min(parts, key=lambda what: spent[what], default=names.READ_AGAIN)


def _not_where_it_sits(
    todo: str, rule: Act, left: Cures, now: Spot, spent: Mapping[str, float], open_cures: Sequence[str]
) -> str:
    """A rotor that sits on its best stud is not moved there: near its limit a dial or the middle ends it, above a part.

    A finer dial is asked for once, and not after several turns.
    """
    at = next(one for one in left.after if one.what == "indexed")
    if todo != names.INDEX or at.studs_turned != now.turned:
        return todo
    if rule.against == TOO_CLOSE:
        finer = rule.dial_um > COARSE_UM and rule.turns < MEAN_OF
        return names.MEASURE + names.FINER_DIAL if finer else names.AT_LIMIT
    return min((what for what in open_cures if what != names.INDEX), key=lambda what: spent[what])


def _another_than_its_own(todo: str, left: Cures, now: Spot, every: Mapping[str, NextReading]) -> str:
    """A move that readings alone order is no move to the stud where it stands, as causes that do not fit have it."""
    at = next(one for one in left.after if one.what == "indexed")
    if todo != names.INDEX or at.studs_turned != now.turned:
        return todo
    return names.MEASURE + names.ANOTHER_STUD if names.ANOTHER_STUD in every else names.READ_AGAIN


def _first(rows: tuple[NextReading, ...], wanted: str, every: Mapping[str, NextReading]) -> tuple[NextReading, ...]:
    """Put the reading that is ordered first."""
    if wanted in every:
        ordered = every[wanted]
    elif wanted in (names.FINER_MICROMETER, names.FINER_DIAL, names.SECOND_TURN, names.BARE_HUB):
        ordered = NextReading(wanted, None, MINUTES[wanted], 0.0, WHY[wanted])
    else:
        return rows
    return (ordered, *(one for one in rows if one.what != wanted))


def _check_first(
    every: Mapping[str, NextReading], rows: tuple[NextReading, ...], todo: str, corner: Standing
) -> tuple[tuple[NextReading, ...], str]:
    """The reading that shows whether studs were counted right, before anything is done: another stud, the bare hub.

    Before those the mount that stands, where it is the one that may be written otherwise: that takes a minute.
    """
    if todo in (names.CLEAN, names.RETORQUE):
        return rows, todo
    if corner.ways and as_it_stands(corner.ways[0], corner.told):
        return rows, names.READ_AGAIN
    there = [every[what] for what in (names.ANOTHER_STUD, names.BARE_HUB, names.BACK) if what in every]
    if not there:
        return rows, todo
    return (there[0], *(one for one in rows if one.what != there[0].what)), names.MEASURE + there[0].what


def _open_cures(
    now: Spot, tightened: bool, under: float, dirt: DirtLeft | None, rule: Act
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Cures that are open, and those once no dirt is left; no part for what reads clean under its limit."""
    both = (possible(now, tightened, under, odds) for odds in (0.0 if dirt is None else dirt.probability, 0.0))
    shut = PARTS if now.cleaned and rule.read_um <= rule.limit_um else ()
    now_open, once_clean = (tuple(what for what in one if what not in shut) for one in both)
    return now_open, once_clean


def _thickness_first(todo: str, rule: Act, cleaned: bool) -> str:
    """A rotor whose thickness varies beyond its limit must go; none is left on whose was not read.

    Nor is one indexed, or a hub ordered under it: neither makes it even, and a micrometer takes minutes.
    """
    if rule.thickness_state == ABOVE:
        return names.RENEW
    ends = todo == names.INDEX or (todo == names.LEAVE and (cleaned or rule.what == rules.THICKNESS))
    if rule.thickness_um is None and (ends or todo == names.HUB_AND_BEARING):
        return names.MEASURE + names.THICKNESS
    return todo


def _spent(left: Cures, open_cures: Sequence[str], every: Mapping[str, NextReading]) -> dict[str, float]:
    """Expected cost of every cure, and of every reading with the cures behind it. [min]."""
    chances = np.array([left.works[what].mean() for what in COST])
    spent = dict(zip(COST, map(float, costs(chances)), strict=True))
    today = min(spent[what] for what in open_cures)
    return spent | {names.MEASURE + what: today - one.saves_min for what, one in every.items()}


def _do(spent: Mapping[str, float], open_cures: Sequence[str], rows: Sequence[NextReading], cleaned: bool) -> str:
    """Cheapest cure in expectation, or the reading that is worth more than its minutes.

    No part is ordered before the corner was cleaned and read. As found only a thickness can change what comes next.
    """
    worth = [one for one in rows if one.saves_min > 0.0 and (cleaned or one.what in BEFORE_CLEANING)]
    if worth:
        return names.MEASURE + max(worth, key=lambda one: one.saves_min).what
    best = min(open_cures, key=lambda what: spent[what])
    return names.CLEAN if best in PARTS and not cleaned else best
