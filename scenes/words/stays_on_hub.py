"""What stays with the hub, cleaned twice, in words: where to look, the turn that it rests on, the rotor beside it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scenes.words import acts
from sim.bench import next_act as act
from sim.bench import which_share
from sim.bench.one_turn import read_there

if TYPE_CHECKING:
    from sim.bench.told_by_mountings import ToldApart, Vector

#: No hub is bought whose own face does not explain what stays with it.
STAYS_AGAIN = (
    "{beyond} stays with the hub, though it was cleaned twice and its bare face does not "
    "explain it: the nuts slackened and tightened crosswise, studs and nut seats looked at (bent, drawn), a straight "
    "edge across hub face and rotor's seat with a light behind, the needle followed over that face between its places "
    "too, the spigot down into its root, burrs round the studs, scale that a brush leaves{near}; a scraper or a stone "
    "takes it (common practice, no source)"
)
#: What stands up between two places no turn at those places shows.
NEEDLE = (
    " The needle is followed between its places too, most of all towards stud {near}: the highest place it finds is "
    "looked at, a straight edge across it."
)
NOTHING_FOUND = (
    ". Where nothing is found and it reads so again no more reading is asked: hub and bearing as the vehicle maker "
    "says; until then this is not done"
)
#: In place of that where the rotor is over the limit on whatever hub: it is named, and goes on what is mended.
ROTOR_BY_ITSELF = (
    "the rotor, renewed or cut as the vehicle maker allows, on a clean hub, both of the axle: {rotor} goes with it, "
    "over the limit of {limit} by itself. Before one goes on, what lies between: {stays}, off the rotor's seat too, "
    "as scale turns with the rotor there; where there was some, back on the same stud it is read again first. Until "
    "then this is not done"
)

#: Where reading would end without a part, and what stays with the hub rests on a stud that was read by one turn.
ONE_TURN = (
    f"Next: {acts.MOVE}, one whole turn, before reading ends without a part: {{beyond}} stays with the hub, though it "
    "was cleaned twice and its bare face does not explain it, and that rests on the one turn of mount {mount}: begun "
    "at another place, or written the other way round, it would read so too."
)


def one_turn(told: ToldApart, todo_what: str, studs_turned: int) -> str:
    """Order one turn more of a stud that was read by one, before reading ends without a part; empty for other orders.

    Parameters
    ----------
    told : ToldApart
    todo_what : str
        What is ordered, of `sim.bench.next_act`.
    studs_turned : int
        Stud pitches from stud 1, counter-clockwise.
    """
    there = read_there(told, studs_turned)
    if todo_what != act.ANOTHER_STUD or not there or not stays_again(told) or told.stayed_beyond is None:
        return ""
    place, beyond = acts.on_stud(studs_turned), size(told.stayed_beyond)
    return ONE_TURN.format(place=place, beyond=beyond, mount=there[-1])


def stays_again(told: ToldApart) -> str:
    """Say what two cleanings left with the hub beyond its bare face, and where to look; empty where nothing is told."""
    if told.stayed_beyond is None or not which_share.unexplained(told):
        return ""
    near = acts.TOWARDS.format(near=stays_near(told))
    return STAYS_AGAIN.format(beyond=size(told.stayed_beyond), near=near) + NOTHING_FOUND


def needle(told: ToldApart) -> str:
    """Say where the needle is followed between the places of a bare face; empty where no direction is told."""
    near = stays_near(told)
    return NEEDLE.format(near=near) if near else ""


def rotor_by_itself(told: ToldApart, limit: str) -> str:
    """Name the rotor that is over the limit by itself, and what is looked at before another goes on.

    Parameters
    ----------
    told : ToldApart
    limit : str
        Of the mounted runout, with its unit.
    """
    stays = stays_again(told).removesuffix(NOTHING_FOUND)
    return ROTOR_BY_ITSELF.format(rotor=goes_with(told), limit=limit, stays=stays)


def goes_with(told: ToldApart) -> str:
    """Size of what goes with the rotor as it was read last, first order."""
    return size(told.states[-1].rotor[1])


def stays_near(told: ToldApart) -> int:
    """Stud that is nearest to what stays with the hub beyond its bare face, from 1; 0 where nothing is told."""
    return 0 if told.stayed_beyond is None else nearest(told.stayed_beyond, told.studs)


def nearest(one: Vector, studs: int) -> int:
    """Stud that is nearest to a vector's high spot, from 1. By definition."""
    return round(one.high_spot_deg / (360.0 / studs)) % studs + 1


def size(one: Vector) -> str:
    """Size of a vector with its half-width. [um TIR]."""
    return f"{one.runout_um:.0f} ± {one.half_um:.0f} µm"
