"""Pieces of the order of work in the words of one corner's list: by what was held, rocked, let go and read before."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from scenes.words import held_to_read, words, work_order

if TYPE_CHECKING:
    from scenes.words.piece_of_work import Work
    from sim.parts.case import Case

#: What a thickness orders where the list goes on behind it.
THEN_NEW = "; at or under discard, or uneven over its limit in three turns: new ones, both of the axle"
#: The same of a corner whose part is looked at first: nothing is ordered by the number of a wrong one.
BY_ITS_NUMBER = ", ordered once the part below is checked"
UNEVEN_TOO = "; uneven over its limit in three turns the rotor goes too, whatever its stamp"
#: Of one that goes as its case gives it: the micrometer decides, by no fewer turns than of every other.
THREE_TURNS = ", three turns: their middle and the stamp decide"
#: Of a thickness that the table holds: what nobody told is the stamp.
READ_BEFORE = (
    "Thickness was read: the stamp too, the thinnest place over it; at or under it: new ones, both of the axle, and on "
    "with the rotor off."
)
#: Behind the bare hub face that nobody had read: what the reading orders.
HUB_OVER = "Over its limit: what stands up on it stoned flat, three turns; still over it bearing and hub first."
#: Where readings of clean faces name the stud at once.
MOVED = "The painted hole on stud {stud}, {home}"
#: Before what a last reading orders of a rotor that nothing before it moved.
WITHIN = "Within the limit: on with the caliper. Over it:"
FREE = (
    "Opened hydraulics bled, pedal pumped firm; brake released, the rotor turns by hand: else the caliper is not free."
)


def let_go(case: Case, key: str) -> Work:
    """A piece of what is done before the wheel is off, where each nut was let go and none tightened again.

    Parameters
    ----------
    case : Case
    key : str
        Of the work; one that does not say so stays as it is.
    """
    one = work_order.work(case, key)
    if key == "breakaway torque":
        return work_order.breakaway(case, again=False)
    return replace(one, how=tuple(line for line in one.how if "break loose with the wheel on" not in line))


def thickness(case: Case, then: str) -> Work:
    """The thickness, and what it orders: no stop at a scrap rotor where the list says what is done with it."""
    one = work_order.work(case, "thickness")
    stamp_there = then and then != UNEVEN_TOO  # else no stamp was read yet, or the rotor goes anyway
    return replace(one, what=f"{held_to_read.MEASURED}{then}.", how=one.how[:1], boxes=one.boxes if stamp_there else ())


def against_stamp(case: Case) -> Work:
    """Hold a thickness that was read before against a stamp that nobody gave; nothing is measured once more."""
    return replace(work_order.work(case, "thickness"), key="stamp", what=READ_BEFORE, how=(), boxes=("above discard",))


def rocked(case: Case, too: bool, held: bool) -> Work:
    """The hub rocked with the caliper off: ``too`` where the wheel was, and by itself where nothing holds its rotor."""
    one = work_order.work(case, "flange play")
    what = held_to_read.ROCK_TOO if too else held_to_read.ROCK_ALONE
    return replace(one, what=what, how=one.how if held else (held_to_read.LOOSE_ROCKS,))


def caliper_off(case: Case, held: bool) -> Work:
    """The caliper, hung up; it waits for nothing where nothing holds its rotor."""
    one = work_order.work(case, "caliper off")
    return one if held else replace(one, how=())


def rotor_off(case: Case, held: bool) -> Work:
    """The rotor taken off: no spacer comes off one that nothing held."""
    first = work_order.HOLDS_OFF if held else work_order.SCREW_OFF
    return replace(work_order.work(case, "rotor off"), what=work_order.OFF.format(first=first))


def hub_face(case: Case, dial_too: bool = False) -> Work:
    """The clean hub face read bare, and what it orders; ``dial_too``: by a dial that is only set up there."""
    one = work_order.work(case, "hub face")
    what = f"{f'{held_to_read.DIAL_UP}. ' if dial_too else ''}{one.what} {HUB_OVER}"
    return replace(one, what=what, how=tuple(line for line in one.how if line != work_order.HUB_OVER_IT))


def held_in_full(case: Case) -> Work:
    """How a rotor that went home by hand is held, in full: nothing before it said how it is held for a reading."""
    spacers = next(iter(work_order.works(case, ("spacers",))), None)
    if spacers is None:  # over scale its own piece of work says it
        return work_order.work(case, "tighten")
    return replace(spacers, key="tighten", how=(*spacers.how, held_to_read.HUB_HELD))


def first_read(case: Case) -> Work:
    """The runout, where none was read as found: each reading behind it is taken as this one."""
    return replace(work_order.work(case, "read"), how=(held_to_read.EACH_TIME,))


def moved(case: Case, stud: int) -> Work:
    """A rotor that was read clean, put on another stud: home by hand as ever."""
    one = work_order.work(case, "fit")
    return replace(one, what=MOVED.format(stud=stud, home=words.small(one.what)))


def freed(case: Case) -> Work:
    """A caliper that stuck, put back: only over its rotor it shows whether it is free, before a wheel hides that."""
    one = work_order.work(case, "caliper")
    return replace(one, what=f"{one.what} {FREE}", boxes=(*one.boxes, "rotor turns by hand"))


def index(case: Case, stud: int | None, hub_first: bool = False) -> Work:
    """Where a rotor is moved to over its limit: the stud where it read least, if several were read.

    ``hub_first``: whether the hub face comes before it, as no stud position cures one that is over its limit.
    """
    where = work_order.where_to(case) if stud is None else work_order.READ_BEST_THERE.format(stud=stud)
    over = work_order.OVER_ON_A_GOOD_HUB if hub_first else work_order.OVER
    return replace(work_order.work(case, "index"), what=work_order.OVER_INDEX.format(over=over, where=where))


def the_rest(case: Case, new: bool, on_one: bool = False, moved: bool = True) -> Work:
    """What is done where the last reading is over its limit; a new rotor is not renewed once more.

    ``moved``: whether it was moved before: else nothing said yet over what it is, nor what one within it does.
    """
    one = work_order.work(case, "the rest")
    what = work_order.NEW_ROTOR_OVER if new else work_order.READ_ON_ONE if on_one else one.what
    return replace(one, what=what if moved else f"{WITHIN} {what.partition(': ')[2]}")
