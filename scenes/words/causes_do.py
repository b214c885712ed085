"""What a weighed finding orders, in a technician's words: each act in its sentence, and what is said beside it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from scenes.words import (
    acts,
    bare_face,
    causes_read,
    causes_why,
    finer_gauge,
    mountings,
    open_end,
    part_goes,
    rocked,
    second_turn,
    stays_on_hub,
    still_to_check,
    to_read_again,
    words,
    written,
)
from scenes.words.causes import read_clean, read_now, stays_on, where_now, whole
from scenes.words.causes_thickness import goes_uneven
from sim.bench import bearing_asked, which_share
from sim.bench import next_act as act
from sim.bench.bearing_asked import NOTHING, ROCK_IT
from sim.bench.left_on_studs import WORTH_OFFERING
from sim.bench.rock_asked import parts_on_a_stud
from sim.bench.shows_scatter import in_one_mounting
from sim.causes import names, one_act
from sim.causes.ordered import UNDER
from sim.causes.what_if import LEAST_TO_LEAVE
from sim.parts.dial import ABOVE, BELOW, TOO_CLOSE, Dial, against_limit, share_below

if TYPE_CHECKING:
    from sim.bench.bare_face import HubFace
    from sim.causes.answer import DirtLeft, Finding

RUNOUT_DONE = "The runout is done: on clean faces it runs out"
DO = {
    names.CLEAN: f"Next: {acts.CLEAN}.",
    names.INDEX: f"Next: {acts.MOVE}: {acts.BEST}, under the limit, {{limit}}, with a probability of {{odds}}.",
    names.CLEAN_THEN_INDEX: (
        f"Next: {acts.CLEAN}. Still over the limit: another stud may do, and which one that reading says."
    ),
    names.RENEW: f"{acts.RENEW}.{{because}}",
    names.HUB_AND_BEARING: "{hub_over}{because}",
    names.RETORQUE: f"Next: {acts.RETORQUE}.",
    names.READ_AGAIN: acts.READ_AGAIN,
    names.AT_LIMIT: (
        "{near_limit}: on clean faces it runs out {read} ± {half} (k = 2) on stud {now}, and no dial tells "
        "that from the limit, {limit} (probability to be under it, by that figure: {by_it}). Nothing is bought for it, "
        "and no stud is sure to be better. What decides is the vehicle maker's limit, then the middle of turns "
        "tightened anew: {anew}, and ask again; {ends}."
    ),
    names.OPEN: mountings.DO[act.OPEN],  # `_end`
    names.SCATTERS: mountings.DO[act.SCATTERS],
    names.GAUGE: mountings.DO[act.GAUGE],
    names.UNEVEN_COUNTED: (
        f"{acts.UNEVEN_END}. The runout reads {{read}} ± {{half}} (k = 2), limit {{limit}} (probability to be under "
        "it, by that figure: {by_it}). {cracks_own}."
    ),
    names.LEAVE: (
        f"{RUNOUT_DONE} {{read}} on stud {{now}}, under the limit, "
        "{limit} (probability {below}).{so} {there}. That is the runout "
        "alone: {own}. "
        f"{words.STILL_FELT}"
    ),
}
#: The same where the bare hub face is at or near its limit.
LEAVE_BY_THE_FACE = (
    f"{part_goes.HUB_DECIDES}.{{near}} On clean faces it runs out {{read}} on stud {{now}}, under the limit, {{limit}} "
    f"(probability {{below}}).{{so}} That is the runout alone: {{own}}. {words.STILL_FELT}"
)
RENEW_ONLY = f"{acts.RENEW_ONLY}.{{because}}"
THIN = acts.THIN_FIRST + (
    "The stamp decides, and its runout keeps no rotor on: that, {read} on stud {now}, is under its limit, {limit} "
    "(probability {below}). "
    "{own}."
)
#: The same over a stamp that the case file holds: nothing is left to ask. Judgement: a set of pads takes more.
THIN_BY_ITS_STAMP = acts.THIN_FIRST + (
    "Renew the rotor, both of the axle, each on a clean hub: so little over its stamp it is under it before its pads "
    "are worn (judgement)."
)
NO_LONGER = " That its runout is under its limit, {limit} (probability {below}), keeps it on no longer."
#: What is ordered of a rotor that its own stamp may make scrap: begins what nobody does before that is told.
ONLY_OVER = "Only over it: "
#: Left out before that: over its stamp the order goes on at once, and what it reads is asked with that figure.
AND_ASK_AGAIN = ", and ask again"
READ_RIGHT = f" Where it was read and written right: {acts.CLEAN_AGAIN}, {acts.READ_CLEANED_AGAIN}."
INDEX_FIRST = f"Next: {acts.MOVE}: {acts.TRY_FIRST}."
NOT_YET = (
    "Clean and read once more: as read its runout is under the limit, {limit} (probability {below}). But dirt can "
    "cancel what lies under it: rotor off, hub face, spigot and rotor seat clean, the painted hole back on stud {now}, "
    "and what it reads then decides. {stamp_own}."
)
CLEAN_AGAIN = (
    f"Next: {acts.CLEAN_AGAIN}{{where}}, before anything is indexed or bought{{why}}; "
    f"{acts.READ_CLEANED_AGAIN}.{{bare}}"
)
DIRTY_TWICE = (
    "cleaned twice, what is left still reads as dirt between the faces does (probability {odds}): burrs round the "
    "studs, the spigot's root and the nuts looked at, then once more on the same stud"
)
OR_BARE = " Or read the bare hub face first."
ROUND_SPIGOT = ", most of all the spigot down into its root"
#: A reading under the limit that dirt helps to bring about.
MASKED = (
    " It reads under the limit, {limit}, with whatever lies there: dirt settles and moves, and the next rotor is "
    "fitted on it. "
)
#: Of a stud chosen by the bare face, one clean stud read: begun a place off, or mirrored, that turn names another.
ON_ONE_TURN = ", if the one turn of the bare hub face is written right"
HIDES = "Without it the runout is over the limit with a probability of {over}."
LIKELY_THERE = "Dirt that cleaning may have left (probability {odds}) is cleaned off, whatever the dial shows."
#: The same of dirt that these readings do not make likely: the rule cleans once more, no probability does.
BY_RULE_ALONE = (
    "By these readings dirt hardly stayed (probability {odds}): it is cleaned once more to tell, {why}before a part is "
    "sought."
)
BEYOND = "as more stays with the hub ({stays}) than its bare face explains, "
LEFT_ON_IT = " Dirt may have stayed (probability {odds}); the runout is under the limit without it too."
STAMP = "thickness against the stamp, "
#: Behind a probability that rests on turns which play may have made.
NO_PLAY = ", if the bearing has no play"
#: The same behind one mounting that cleaning moved.
AS_MOUNTED = ", as it is mounted"
STAYS_ON = "the rotor is left on"
UNDER_IT = "under the limit, {limit} (probability {below})"
UNREAD = ", the hub's own limit (its bare face was not read)"
FACE_UNREAD = "; the bare hub face was not read and has a limit of its own"
HARDLY = 0.05  # under that no dirt is called likely to be left; judgement


def ends_at_the_bearing(found: Finding, thin: str) -> bool:
    """Whether turns that show play would leave the rotor on: the hub is rocked before, and nothing else is said.

    Parameters
    ----------
    found : Finding
    thin : str
        Of a rotor near its discard thickness, of `too_thin`: then its stamp comes first.
    """
    return not thin and read_clean(found) and rocked.ends_so(found.told, found.do)


def action(
    found: Finding,
    why: tuple[str, ...] = (),
    reason: str = "",
    limit: str = "the mounted runout's",
    thin: str = "",
    stated: bool = False,
    scrap: bool = False,
    there: str = "",
) -> str:
    """Say what to do, first of all.

    Parameters
    ----------
    found : Finding
    why : tuple of str
        What is to be read again, where the readings themselves are in doubt.
    reason : str
        Why a part must go, of `because`.
    limit : str
        Limit of the mounted runout, with its unit.
    thin : str
        Of a rotor near its discard thickness, of `too_thin`: it is not left on for its runout.
    stated : bool
        Whether the case file holds the figure of its stamp.
    scrap : bool
        Whether it is scrap by that.
    there : str
        How the rotor is left on, as a sentence without its stop; empty for `rocked.leave_there`.
    """
    play = bearing_asked.for_play(found.told)
    if thin and found.do == names.RENEW:
        return acts.THIN_FIRST.format(thin=thin) + RENEW_ONLY.format(because=reason)
    if thin and stated:
        goes = (acts.SCRAP_BY_ITS_STAMP if scrap else THIN_BY_ITS_STAMP).format(thin=thin)
        if found.do == names.HUB_AND_BEARING:
            return f"{goes} {_ordered(found, why, reason, limit, there)}{acts.THEN_NEW_ROTORS}"
        longer = NO_LONGER.format(limit=limit, below=_below(found)) if found.do == names.LEAVE else ""
        return goes + longer
    if thin and found.do == names.LEAVE:
        own = words.capital(still_to_check.own(ROCK_IT if play else NOTHING, "cracks", "the hub's own limit"))
        read, now = words.micrometres(read_now(found)), where_now(found) + 1
        return THIN.format(thin=thin, read=read, now=now, limit=limit, below=_below(found), own=own)
    if ends_at_the_bearing(found, thin):
        return rocked.not_done(found.told, words.micrometres(read_now(found)), _where_it_stands(found, limit))
    ordered = _ordered(found, why, reason, limit, there or rocked.leave_there(found.told))
    ordered = rocked.written_too(ordered) if found.do == names.READ_AGAIN else ordered
    if thin:  # the stamp decides: nothing else is said that lets it stay
        only = ordered.removeprefix("Next: ")
        at_once = found.do != names.AT_LIMIT
        stamp = acts.THIN_FIRST.format(thin=thin.replace(AND_ASK_AGAIN, "") if at_once else thin)
        ordered = stamp + ONLY_OVER + words.small(only)
    near = _near(found)
    in_front = found.do == names.LEAVE and hub_open(found)
    first = one_act.stays_on_for_it(found.do, found.turns)
    hub = "" if near is None or in_front else bare_face.near_its_limit(near, found.do == names.LEAVE, play, first)
    return (
        ordered
        + may_be_cleaned(found)
        + may_read_alike(found)
        + hub
        + _then_the_rotor(found, thin)
        + causes_why.by_rule(found)
    )


def may_read_alike(found: Finding) -> str:
    """Say what a bare face needs that this dial may read all alike, where it is read first; empty where it is not."""
    bare = (found.do == names.MEASURE + names.BARE_HUB and not looks(found)) or act.BARE_HUB in found.also
    unread = found.hub_face is None or found.hub_face.as_found
    return bare_face.all_alike(found.dial_um) if bare and unread else ""


def _where_it_stands(found: Finding, limit: str) -> str:
    """Where a runout that is left on otherwise stands beside its limit."""
    if found.do == names.LEAVE:
        return UNDER_IT.format(limit=limit, below=_below(found))
    half = words.micrometres(Dial(found.dial_um, found.turns).doubt_um)
    return f"± {half} (k = 2), and {acts.not_told_from(found.dial_um)} the limit, {limit}"


def may_be_cleaned(found: Finding) -> str:
    """Offer a second cleaning, and a stud that may read less, to who is left at the limit; empty of another end."""
    if found.do != names.AT_LIMIT:
        return ""
    return mountings.left_at_the_limit(
        found.told, found.turns, (read_now(found), found.limit_um), _may_read_less(found)
    )


def _may_read_less(found: Finding) -> tuple[int, float, float] | None:
    """The best stud of the table, where nobody read it and it may read less: one stud and one figure in an answer."""
    best = next((one for one in found.after if one.what == "indexed" and one.studs_turned is not None), None)
    if best is None or best.studs_turned is None or best.studs_turned in (*found.tried, where_now(found)):
        return None
    low, expected, high = best.runout_um
    half = (high - low) / 2.0
    worth = read_now(found) - expected > WORTH_OFFERING * half
    return (best.studs_turned, expected, half) if worth else None


def _then_the_rotor(found: Finding, thin: str) -> str:
    """Order the rotor that goes by its thickness after the hub; empty where the hub does not go, or the rotor not."""
    varies = found.varies
    if found.do != names.HUB_AND_BEARING or varies is None or not goes_uneven(found):
        return ""
    how = (
        "counts as over" if varies.counts_over else f"varies by {varies.figure.replace(' µm', words.GAP + 'µm')}, over"
    )
    because = f", whose thickness {how} its limit of {words.micrometres(varies.limit_um)}"
    then = acts.THEN_THE_ROTOR.format(because=because)
    return then.replace(acts.OR_CUT, "") if thin else then


def _ordered(found: Finding, why: tuple[str, ...], reason: str, limit: str, there: str) -> str:
    play = bearing_asked.for_play(found.told)
    if found.do.startswith(names.MEASURE):
        wanted = found.do.removeprefix(names.MEASURE)
        if found.hub_face is not None and looks(found):
            return f"Next: {bare_face.look_at(found.hub_face, play)}."
        if wanted == names.BARE_HUB and act.at_odds_once(found.told, found.hub_face):
            return mountings.face_at_odds(found.told)
        if wanted == names.BARE_HUB and found.hub_face is not None:
            return f"{mountings.FACE_BEFORE_A_PART}."
        if wanted == names.ANOTHER_STUD and (
            again := stays_on_hub.one_turn(found.told, wanted, causes_read.stud_to_read(found))
        ):
            return again
        if wanted == names.SECOND_TURN:
            read, beside = words.micrometres(read_now(found)), UNDER_IT.format(limit=limit, below=_below(found))
            hub = still_to_check.where(play, second_turn.ROCKED)
            stud, off = where_now(found) + 1, second_turn.off(found.told)
            return second_turn.DO.format(read=read, stud=stud, beside=beside, rocked=hub, off=off)
        read = causes_read.how(wanted, causes_read.stud_to_read(found), found)
        return f"Next: {read}.{_then(found, wanted, limit)}{_at_once(found, wanted)}"
    best = found.best_stud
    if found.do == names.CLEAN and found.dirt_left is not None:
        return CLEAN_AGAIN.format(
            where=_where_to_clean(found.dirt_left),
            stud=where_now(found) + 1,
            why="" if found.dirt_left.counts else f", as {acts.SEAT}",
            bare=mountings.bare_too(found.also, found.hub_face) if found.hub_face else OR_BARE,
        ) + _masked(found, limit)
    again = "; ".join(reasons(found, why)) or "no cause in the list draws such traces"
    below = _below(found)
    said = NOT_YET if not_clean_yet(found) else DO[found.do]
    near, face_open = _near(found), hub_open(found)
    leaves = found.do == names.LEAVE and not not_clean_yet(found)
    said = LEAVE_BY_THE_FACE if leaves and face_open else said
    checks = bearing_asked.still_to_check(found.told, stays_on(found) and not face_open)
    if found.do == names.INDEX:
        said = _index_first(found) or said
    left = found.dirt_left
    if found.do == names.LEAVE and left is not None and left.counts:
        said += LEFT_ON_IT.format(odds=words.chance(left.probability))
    by_itself = found.do == names.HUB_AND_BEARING  # its order has the face read once more
    bare = "" if by_itself and act.read_once(found.hub_face) else mountings.bare_too(found.also, found.hub_face)
    once = found.told.again is None and not found.told.states[-1].scatter_um  # a brush takes no play away
    once = once and not (why or parts_on_a_stud(found.told))  # of those the order is what is read again
    if found.do == names.READ_AGAIN and found.otherwise and once and read_clean(found):
        said += READ_RIGHT  # a slip that is none must end too
        face = found.hub_face  # with the rotor off, as for every second cleaning
        bare = mountings.BARE_ONCE_MORE if act.read_once(face) and face is not None and not face.as_found else bare
    runout, half = read_now(found), Dial(found.dial_um, found.turns).doubt_um
    against = against_limit(runout, found.limit_um, half)
    over_um = found.limit_um if against == ABOVE else None
    said = _end(found, (runout, half, against)) or said
    cracks = "cracks" if found.hub_face else f"cracks{UNREAD}"
    part = part_goes.part(found.told, found.hub_face, over_um)
    return said.format(stud=causes_read.back_on(found) + 1, now=causes_read.back_on(found) + 1, best=best + 1,
                       place=acts.on_stud(best),
                       why=again, below=below, because=reason, limit=limit, odds=_indexed(found),
                       own=still_to_check.own(checks, "thickness against the stamp", cracks),
                       stamp_own=words.capital(still_to_check.own(checks, "thickness against the stamp", "cracks")),
                       cracks_own=words.capital(still_to_check.own(checks, cracks)), read=words.micrometres(runout),
                       half=words.micrometres(half), anew=acts.anew(found.turns),
                       hub_over=bare_face.hub_and_bearing(found.hub_face, _rotor_most_um(found), play),
                       near_limit=acts.near_limit(runout, half, found.limit_um), takes="",
                       by_it=_noted(found, words.chance(share_below(runout, half, found.limit_um))),
                       part=part, then_part=still_to_check.first(play, part),
                       play=still_to_check.in_front(checks),
                       so=mountings.mounted_so(found.told, runout, found.limit_um) if read_clean(found) else "",
                       near="" if near is None else bare_face.near_its_limit(near, left_on=True, play=play),
                       play_then=still_to_check.where(play, words.small(still_to_check.CHECK_PLAY)),
                       scatters=to_read_again.scatters(found.told),
                       beside=words.against_limit(BELOW, runout, found.limit_um),
                       hub="" if found.hub_face else mountings.HUB_NOT_READ, thick=STAMP,
                       over_it=part_goes.over_it(found.told, found.hub_face, found.limit_um, play),
                       there=part_goes.HUB_DECIDES if face_open else there,
                       ends=part_goes.ends(
                           found.told, found.hub_face, found.limit_um, face_open, play)) + bare  # fmt: skip


def _end(found: Finding, read: tuple[float, float, str]) -> str:
    """Say an end that its figures word; empty of any other act. Runout, half-width, where it stands. [um]."""
    runout, half, against = read
    if found.do == names.AT_LIMIT:
        return acts.at_the_limit(found.turns, runout, half, found.limit_um, found.dial_um)
    if found.do == names.GAUGE:
        beside = acts.beside_at_last(against, found.turns, runout, found.limit_um, found.dial_um)
        of = (runout, half, found.limit_um, found.dial_um, found.turns, beside, where_now(found) + 1, read_clean(found))
        return finer_gauge.said(found.hub_face, found.varies, finer_gauge.Runout(*of))
    if found.do != names.OPEN:
        return ""
    if against == BELOW:
        return mountings.BELOW_IT[act.OPEN]
    last = found.told.states[-1]
    return open_end.order(against, runout, max(half, last.scatter_um), found.dial_um, last.now.alone_um)


def reasons(found: Finding, why: tuple[str, ...] = ()) -> list[str]:
    """Say why it is read again, a reason each, in their order; ``why`` as `action` takes it."""
    told = to_read_again.in_order(found.told, why, found.limit_um)
    # How two cleanings end is told of readings that agree: what others scatter by stays with the hub too.
    return [*told, *written.reasons(found, doubted=bool(why)), *([] if told else _dirty_twice(found))]


def _rotor_most_um(found: Finding) -> float | None:
    """Most that the rotor runs out by itself: as the readings tell it, no more than its weighed share. [um]."""
    own = next((one.if_there_um or one.runout_um for one in found.ranked if one.cause == names.ROTOR), None)
    known = [one for one in (found.told.rotor_most_um, None if own is None else own[2]) if one is not None]
    return min(known, default=None)


def _index_first(found: Finding) -> str:
    """What a stud that is likelier over the limit is read for, ``limit`` still to fill in; empty for one to pass."""
    at = next((one for one in found.after if one.what == "indexed"), None)
    if at is None or at.below >= 0.5:
        return ""
    may = f", under it with a probability of {words.chance(at.below)}"
    return INDEX_FIRST.format(place="{place}", limit="{limit}", may=may, expected=f"{whole(at.runout_um)} (80 % band)")


def _near(found: Finding) -> HubFace | None:
    """The bare face, where it is near its limit and the act does not settle it; else None."""
    face = found.hub_face
    settled = found.do in (names.READ_AGAIN, names.HUB_AND_BEARING, names.GAUGE, names.SCATTERS) or looks(found)
    ended = found.do == names.AT_LIMIT and acts.over_at_last(found.turns, read_now(found), found.limit_um)
    settled = settled or (ended and which_share.hub_counts_as_over(found.told, face))
    # Beside a rotor that goes it is said with that: `bare_face.hub_too`.
    settled |= face is not None and face.to_look_at and found.do in (names.RENEW, names.UNEVEN_COUNTED)
    return face if face is not None and face.state == TOO_CLOSE and read_clean(found) and not settled else None


def looks(found: Finding) -> bool:
    """Whether the bare face was read and is looked at, or read on, before anything else."""
    face = found.hub_face
    return face is not None and face.read_on and found.do == names.MEASURE + names.BARE_HUB


def hub_open(found: Finding) -> bool:
    """Whether the bare hub face is at or near its limit and to be read on, whatever else is done."""
    near = _near(found)
    return near is not None and not near.let_be


def _dirty_twice(found: Finding) -> list[str]:
    """What to look at where what two cleanings left still reads as dirt does, or is not what its bare face reads."""
    left, stays = found.dirt_left, stays_on_hub.stays_again(found.told)
    if stays:
        return [stays]
    if found.told.again is None or left is None or not left.counts:
        return []
    return [DIRTY_TWICE.format(odds=words.chance(left.probability))]


def not_clean_yet(found: Finding) -> bool:
    """Whether it is left on only once it was read clean."""
    return found.do == names.LEAVE and not read_clean(found)


def _where_to_clean(left: DirtLeft) -> str:
    """Where to clean first, where that is known."""
    if left.on_spigot > 0.5:
        return ROUND_SPIGOT
    return "" if left.stud is None else acts.TOWARDS.format(near=left.stud)


def _masked(found: Finding, limit: str) -> str:
    """Why it is cleaned though the dial reads under the limit; nothing where it does not."""
    left = found.dirt_left
    under = next((one.below for one in found.after if one.what == "as it is"), 0.0)
    if left is None or under < LEAST_TO_LEAVE or found.none_fits:
        return ""
    if left.below_without < LEAST_TO_LEAVE:
        return MASKED.format(limit=limit) + HIDES.format(over=words.chance(1.0 - left.below_without))
    if left.probability < HARDLY:
        stays = found.told.stayed_beyond
        why = BEYOND.format(stays=stays_on_hub.size(stays)) if stays is not None and stays.told else ""
        return MASKED.format(limit=limit) + BY_RULE_ALONE.format(odds=words.chance(left.probability), why=why)
    return MASKED.format(limit=limit) + LIKELY_THERE.format(odds=words.chance(left.probability))


def _below(found: Finding) -> str:
    """How often the runout as it is lies under its limit; by turns that play may have made, if there is none."""
    return _noted(found, next((words.chance(one.below) for one in found.after if one.what == "as it is"), "not known"))


def _noted(found: Finding, often: str) -> str:
    """Say of a probability to be under the limit on what it rests."""
    if one_act.rocked_first(found.told):
        return often + NO_PLAY
    return often + (AS_MOUNTED if in_one_mounting(found.told) else "")


def _at_once(found: Finding, wanted: str) -> str:
    """What follows an even thickness in the same go; nothing where `_then` tells the rest, or nothing does."""
    if wanted != names.THICKNESS:
        return ""
    return mountings.at_once(found.also, found.even_um, found.rule_studs_turned)


def _indexed(found: Finding) -> str:
    """How often it is under its limit on the stud that the action names; by one turn of the bare face, where it is."""
    often = next((words.chance(one.below) for one in found.after if one.what == "indexed"), "not known")
    by_face = found.do == names.INDEX and 1 not in found.told.states[-1].hub and act.read_once(found.hub_face)
    return often + (ON_ONE_TURN if by_face else "")


def _then(found: Finding, wanted: str, limit: str) -> str:
    """Say where a thickness that is within its limit ends the work, the runout being under its own; else nothing."""
    under_it = any(one.what == "as it is" and one.below >= UNDER for one in found.after)
    hidden = found.dirt_left is not None and found.dirt_left.counts
    if wanted != names.THICKNESS or not under_it or hidden or found.none_fits:
        return ""
    stays = STAYS_ON if found.turns > 1 else second_turn.THEN_STAYS
    rest = stays if read_clean(found) else "the faces are cleaned, it is read by two turns and left on"
    rest += "" if found.hub_face or act.BARE_HUB in found.also else FACE_UNREAD
    return f" The runout is under its limit, {limit} (probability {_below(found)}): thickness within its own, {rest}."
