"""What of a table is to be read again, in a technician's words: turns that part, mounts that contradict each other."""

from __future__ import annotations

import re
from collections.abc import Sequence

from scenes.words import rocked, words
from sim.bench.came_back import Returned
from sim.bench.mountings import ONE_SCREW, SCREW_ONLY, still_stand
from sim.bench.next_act import stands_over
from sim.bench.open_readings import left_out, open_readings
from sim.bench.open_readings import remarks as remarks_of
from sim.bench.read_otherwise import said
from sim.bench.rock_asked import by_stud
from sim.bench.scattering import scatters as bearing_ends
from sim.bench.seatings import COUNT, ON_THAT_STUD, ON_THE_SAME_STUD
from sim.bench.told_by_mountings import Apart, ToldApart
from sim.files.dial_readings import Readings
from sim.files.parted_turns import ends, ends_not
from sim.files.reading_faults import AS_IT_STANDS, TWICE
from sim.files.readings_head import UNDER_LOAD, WITH_PLAY, WITHOUT_PLAY
from sim.files.readings_rows import CLEAN_STATES
from sim.files.rocking import ROCK, by_what_was_felt

#: In place of how turns that differ end, of a mount that is off.
STANDS_NO_MORE = (
    "read mount {now} as it stands: mount {gone} stands no more, and two turns of mount {now} that agree settle it"
)
#: Behind what is read again of a thickness whose mount is off: it is one rotor, in whatever mount.
ENTERED_NOW = " (mount {gone} stands no more: on the rotor as it is, entered under mount {now})"
#: How two unlike readings of one stud end.
ONE_MORE = f"{ON_THAT_STUD}: {COUNT}"
#: Where three mountings of one stud or more part: two that then agree do so by chance.
PLAY_FIRST = (
    "the {count} mountings on stud {stud} read as far as {apart} apart ({usual} is usual), each as unsure as they "
    "scatter; so far {alike}"
)
#: Of three, the first two of which read alike: they are two seats, and neither is outweighed yet.
ONE_OFF = (
    "mounts {alike} on stud {stud} read alike, and mount {off}, on it since, as far as {apart} from them ({usual} is "
    "usual)"
)
#: What is read on is the seat: nuts that are slackened alone leave a rotor on what it sits on.
PUT_ON_BETWEEN = (
    "nuts tightened crosswise in stages, read under the next mount numbers, rotor off and both faces wiped between"
)
#: Which of them agree, the last that was read and others of its kind first.
READ_ALIKE, OTHERWISE, NO_TWO = "{mounts} read alike", "{mounts} otherwise than they", "no two of them read alike"
LIKE_NONE = "{mounts} like no other"
#: More than the others, and they count not yet: `COUNT`.
NOT_YET = " ({alike} to {others}, and as the others part from each other two more are wanted)"
#: How many of them count against those of other studs.
THREE_COUNT = "three on this stud that read alike count, against the other studs too"
#: What is done about mountings that part, and how it ends.
BEARING_FIRST = (
    ". The bearing first: the hub is rocked, its end float read by dial; play is what does not come back, and with it "
    "hub or bearing comes before any reading. Without play: nuts and studs, faces wiped once more, the dial's base; "
    f"then {{there}}{PUT_ON_BETWEEN}: {{end}}"
)
#: Where nothing says which of several mountings on several studs sat otherwise: on the stud where it stands.
NO_ONE = "the mountings {state} fit no one hub and rotor"
#: The same once it was rocked and has no play: what no hand feels is judged under load, before it is put on for ever.
NUTS_FIRST = (
    f". {{felt}}: nuts and studs, faces wiped once more, the dial's base; then {{there}}{PUT_ON_BETWEEN}: {{end}}"
)
ROCKED_TIGHT = (
    "Rocked, the hub has no play; judged under load, as the vehicle maker says, its bearing may have ('# bearing: "
    f"{UNDER_LOAD}' where not)"
)
SOUND = "Under load the bearing has no play"
STAYS_THERE = "the painted hole left on stud {stud}, "
_LOOKED_AT = (
    "a straight edge across hub face and rotor's seat with a light behind, the spigot's root, the rotor's bore, studs "
    "and nuts looked at (common practice, no source). What is found is mended, and a new table begins; where nothing "
    "is found: hub and bearing as the vehicle maker says. Until then this is not done, and no rotor is bought for it"
)
#: How mountings end that part however often it is put on.
SCATTERS = (
    "{first}: {part}. None of them counts, and no more reading is asked. The bearing "
    f"is judged under load as the vehicle maker says, {{by_hand}}; {_LOOKED_AT}"
)
#: The same once it was judged under load and has no play.
ANOTHER_THAN_ITS_BEARING = (
    "The rotor's seat: {part}. None of them counts, and no more reading is asked. Under load the bearing has no play, "
    f"as the table says; the dial's base and tip, {_LOOKED_AT}"
)
BEARING, OR_SEAT = "The bearing", "The bearing, or its seat"
TIGHT_BY_HAND, NONE_BY_HAND = "as by hand it may feel tight", "though by hand it has no play"
PUT_ON_SO = ", however often it is put on: it sits otherwise each time"
READ_SO = ", however often it is read"
#: Where turns of one mounting part, or of a bare face.
TURNS_PART = "turns of one thing that nobody moved between differ (the dial's base and tip looked at first)"
PUT_BACK = "the painted hole back on stud {stud}, "
#: Behind what is to be read again of a bare face.
ROTOR_OFF = " (the rotor comes off for it; put back on it is the next mount, and read again)"
#: What that middle does: one over the limit itself is so by less than the dial tells.
NO_LESS, OVER_TOO = "makes it no less", "is over it too, by less than the dial tells"
#: A rotor is left on as it stands, not as the middle of several mountings reads.
STANDS_OVER = (
    "mount {mount} by itself reads {alone}, over the limit of {limit}, and the middle with those before it on that "
    "stud, {middle}, {does}: "
    f"{ON_THE_SAME_STUD}; as it reads then it is judged with them"
)


def once_said(texts: Sequence[str]) -> list[str]:
    """Say once what is done about several things that part, and that a rotor comes off for the bare face.

    Parameters
    ----------
    texts : sequence of str
        What is to be read again.
    """
    rocked = [k for k, text in enumerate(texts) if ROCK in text]
    bare = [k for k, text in enumerate(texts) if text.startswith("hub face")]
    said = [text.replace(ROCK, ": ") if k in rocked[1:] else text for k, text in enumerate(texts)]
    return [text + ROTOR_OFF if k in bare[-1:] else text for k, text in enumerate(said)]


def doubts(read: Readings) -> tuple[str, ...]:
    """Say what is to be read again, and of mounts that stand no more what was: `lead` tells the two apart.

    Parameters
    ----------
    read : Readings
    """
    return (*(one.text for one in (*open_readings(read), *left_out(read))), *said(read))


def remarks(told: ToldApart, read: Readings) -> tuple[str, ...]:
    """Say what is worth knowing of a table, and what is to be read again as `lead` says it.

    Parameters
    ----------
    told : ToldApart
    read : Readings
    """
    if told.bearing == WITH_PLAY:  # nothing that was read on it is read again
        gone = [one.text for one in open_readings(read)]
        return tuple(one for one in remarks_of(read) if one not in gone)
    if not bearing_ends(read, told):
        return tuple(as_it_stands(one, told) for one in remarks_of(read))
    # No more reading is asked: no slip of a turn is to be read again, nor what parts.
    gone = [one.text for one in open_readings(read) if one.fault != TWICE]
    return tuple(as_it_stands(ends(one), told) for one in remarks_of(read) if one not in gone)


def as_it_stands(doubt: str, told: ToldApart) -> str:
    """Say of a mount whose turns differ, and that stands no more, by which turns it is settled; else as it is.

    Parameters
    ----------
    doubt : str
        What is to be read again.
    told : ToldApart
    """
    head, now = re.match(r"(mounted|thickness), mount (\d+):", doubt), told.states[-1].mounts[-1]
    if head is None or int(head[2]) >= now:
        return doubt
    if head[1] == "thickness":
        return doubt + ENTERED_NOW.format(gone=head[2], now=now)
    return ends_not(doubt).replace(AS_IT_STANDS, STANDS_NO_MORE.format(gone=head[2], now=now))


def contradictions(told: ToldApart, but: int = 0) -> list[str]:
    """Say what in the readings contradicts itself: nothing is blamed on such readings.

    Parameters
    ----------
    told : ToldApart
    but : int
        Mount that is to be read again first; 0 for none.
    """
    found = [
        _play_first(told, one, pairs)
        if len(pairs) > 1
        else f"mount {pairs[0].mounts[1]} {_stands(told, pairs[0])} {words.micrometres(pairs[0].apart_um)} apart "
        f"({words.micrometres(pairs[0].expected_um)} is usual): {_why(told)}dirt that moved, or nuts that pulled "
        f"otherwise; {by_what_was_felt(told.bearing).mounts}{_one_more(one, pairs[0].mounts[1])}{_again(one.state)}"
        for one in still_stand(told.states)
        for pairs in by_stud(one)
        if not all(pair.came_back for pair in pairs) and pairs[-1].mounts[1] != but
    ]
    found += [SCREW_ONLY for one in told.states if one.clamped_by == ONE_SCREW]
    found += [_no_one(told, one, bool(found or but)) for one in still_stand(told.states) if one.contradict]
    return found


def _why(told: ToldApart) -> str:
    """Begin the list of what makes mountings part; a bearing that was rocked and has no play is not in it."""
    return "" if told.bearing in WITHOUT_PLAY else "bearing play, "


def _no_one(told: ToldApart, state: Apart, ordered: bool) -> str:
    """Say that mountings on several studs contradict each other; where nothing else is ordered yet, how they end."""
    said = NO_ONE.format(state=words.clean(state.state))
    there = STAYS_THERE.format(stud=told.states[-1].positions[-1] + 1)
    return (
        said
        if ordered or state is not told.states[-1]
        else said + _bearing_first(told).format(there=there, end=THREE_COUNT)
    )


def _bearing_first(told: ToldApart) -> str:
    if told.bearing not in WITHOUT_PLAY:
        return BEARING_FIRST
    return NUTS_FIRST.replace("{felt}", SOUND if told.bearing == UNDER_LOAD else ROCKED_TIGHT)


def scatters(told: ToldApart) -> str:
    """How mountings end that part however often it is put on, or what play orders that was felt; no stop behind it.

    Parameters
    ----------
    told : ToldApart
    """
    if told.bearing == WITH_PLAY:
        return rocked.HAS_PLAY
    part = _parts(told)
    if told.bearing == UNDER_LOAD:
        return ANOTHER_THAN_ITS_BEARING.format(part=part)
    by_hand = NONE_BY_HAND if told.bearing else TIGHT_BY_HAND
    return SCATTERS.format(first=OR_SEAT if PUT_ON_SO in part else BEARING, part=part, by_hand=by_hand)


def _parts(told: ToldApart) -> str:
    """Say what parts however often it is read or put on."""
    states = still_stand(told.states)
    pairs = [pair for one in states for pair in one.returned if not pair.came_back]
    if not pairs:
        together = any(one.contradict for one in states)
        no_one = NO_ONE.format(state=words.clean(states[-1].state)) + PUT_ON_SO
        return no_one if together else TURNS_PART + READ_SO
    furthest = max(pairs, key=lambda pair: pair.apart_um)
    state = next(one for one in states if furthest in one.returned)
    stud = state.positions[state.mounts.index(furthest.mounts[0])]
    apart, usual = words.micrometres(furthest.apart_um), words.micrometres(furthest.expected_um)
    return f"its mountings on stud {stud + 1} read as far as {apart} apart ({usual} is usual)" + PUT_ON_SO


def _play_first(told: ToldApart, state: Apart, pairs: Sequence[Returned]) -> str:
    """How three unlike readings of a stud and more end: the bearing first."""
    stud = state.positions[state.mounts.index(pairs[0].mounts[0])]
    furthest = max(pairs, key=lambda pair: pair.apart_um)
    two_seats = len(pairs) == 2 and pairs[0].came_back
    return ((ONE_OFF if two_seats else PLAY_FIRST) + _bearing_first(told)).format(
        alike=" and ".join(map(str, pairs[0].mounts)) if two_seats else _so_far(state, stud),
        off=pairs[-1].mounts[1],
        count=len({mount for pair in pairs for mount in pair.mounts}),
        stud=stud + 1,
        apart=words.micrometres(furthest.apart_um),
        usual=words.micrometres(furthest.expected_um),
        end=COUNT,
        there="" if stud == told.states[-1].positions[-1] else PUT_BACK.format(stud=stud + 1),
    )


def _so_far(state: Apart, stud: int) -> str:
    """Say which mounts of a stud read alike, which otherwise, which like no other; why the most count not yet."""
    at = dict(zip(state.mounts, state.positions, strict=True))
    groups = [one for one in state.alike if len(one) > 1 and at.get(one[0]) == stud]
    named = [f"mounts {words.listed(list(map(str, one)))}" for one in groups]
    if not named:
        return NO_TWO
    ways = [READ_ALIKE, *[OTHERWISE] * len(named)]
    by_itself = sorted(one[0] for one in state.alike if len(one) == 1 and at.get(one[0]) == stud)
    rest = f"mount{'s' * (len(by_itself) > 1)} {words.listed(list(map(str, by_itself)))}"
    said = [way.format(mounts=one) for way, one in zip(ways, named, strict=False)]
    said += [LIKE_NONE.format(mounts=rest)] if by_itself else []
    alike, others = len(groups[0]), len(by_itself) + sum(len(one) for one in groups[1:])
    not_yet = NOT_YET.format(alike=alike, others=others) if alike > others else ""
    return ", ".join(said) + not_yet


def _stands(told: ToldApart, pair: Returned) -> str:
    before, mount = pair.mounts
    if mount == told.states[-1].mounts[-1]:
        return f"stands where mount {before} stood and reads"
    return f"stood where mount {before} had stood and read"


def _one_more(state: Apart, mount: int) -> str:
    """How two unlike readings of a stud end, on that stud."""
    stud = state.positions[state.mounts.index(mount)]
    return ONE_MORE.format(stud=stud + 1)


def in_order(told: ToldApart, doubts: Sequence[str], limit_um: float) -> list[str]:
    """Say all that is to be read again: as it stands first, then what it is put on anew for, last its bare hub face.

    While the mount that stands is to be read as it stands nothing of it orders it off: what it reads then does.

    Parameters
    ----------
    told : ToldApart
    doubts : sequence of str
        Of what can still be read again.
    limit_um : float
        Of the mounted runout. [um TIR]
    """
    now = told.states[-1].mounts[-1]
    # Nobody can read a slip of a mount again that is off; what else is open is enough to do.
    there = [text for text in doubts if not _slip_of_one_that_is_off(text, now)] or doubts
    said = once_said([as_it_stands(text, told) for text in there])
    off = [text for text in said if text.startswith("hub face")]
    on = [text for text in said if text not in off]
    if any(text.startswith(f"mounted, mount {now}:") for text in on):
        return [*on, *contradictions(told, now), *off]
    # Of mountings that part none counts, so no middle of them does, and how they are read on is ordered.
    return [*on, *(contradictions(told) or over_as_it_stands(told, limit_um)), *off]


def _slip_of_one_that_is_off(text: str, now: int) -> bool:
    """Whether this is said of one turn of a mount before this one; how turns that differ end has words of its own."""
    head = re.match(r"mounted, mount (\d+): (?!read (?:twice|\d+ times), )", text)
    return head is not None and int(head[1]) < now


def over_as_it_stands(told: ToldApart, limit_um: float) -> list[str]:
    """Say that the mount that stands is over its limit by itself, where the middle of its stud is not; else nothing.

    Parameters
    ----------
    told : ToldApart
    limit_um : float
        Of the mounted runout. [um TIR]
    """
    now = told.states[-1].now
    if not stands_over(told, limit_um):
        return []
    alone, middle, limit = (words.micrometres(one) for one in (now.alone_um, now.read_um, limit_um))
    does = OVER_TOO if now.read_um > limit_um else NO_LESS
    return [STANDS_OVER.format(mount=told.states[-1].mounts[-1], alone=alone, middle=middle, limit=limit, does=does)]


def _again(state: str) -> str:
    """What else may stand behind two unlike readings of cleaned faces."""
    if state not in CLEAN_STATES:
        return ""
    return (
        "; where it was cleaned once more in between, write cleaned again as the state of that mount; another "
        "rotor, hub or bearing begins a new table"
    )
