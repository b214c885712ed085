"""What several mountings order, in a technician's words: the next act, how it is done, and how it ends."""

from __future__ import annotations

from collections.abc import Sequence

from scenes.words import (
    acts,
    bare_face,
    finer_gauge,
    left_out,
    open_end,
    rocked,
    second_turn,
    stays_on_hub,
    still_to_check,
    to_read_again,
    uneven_rotor,
    words,
)
from scenes.words.hub_and_rotor import between_places, nothing_taken, state_of, still_named
from scenes.words.part_goes import HUB_DECIDES, ends, over_it, part
from scenes.words.stamp import STAMP_LINE, _thinnest, stamp_first, stamped
from scenes.words.stays_on_hub import nearest as _nearest
from scenes.words.stays_on_hub import size as _size
from sim.bench import bearing_asked, which_share
from sim.bench import next_act as act
from sim.bench.bare_face import HubFace
from sim.bench.left_on_studs import less_elsewhere
from sim.bench.next_act import Act
from sim.bench.read_otherwise import CHECK
from sim.bench.shows_scatter import in_one_mounting
from sim.bench.told_by_mountings import ToldApart
from sim.bench.which_share import may_be_dirt
from sim.causes.one_act import NAMED, stays_on_for_it
from sim.files.readings_rows import CLEAN_STATES
from sim.files.seated_home import ask_home
from sim.parts.dial import ABOVE, BELOW, TOO_CLOSE, Dial
from sim.parts.thickness import MEAN_OF

AT_THE_LIMIT = "at the limit, and this dial cannot tell it from over it"
JUST_UNDER, JUST_OVER = (f"{side} the limit by less than this dial is sure to" for side in ("below", "over"))
THEN_THE_WHEEL = f"; then caliper and wheel as the fitting sheet says. {words.STILL_FELT}"
DO = {
    act.READ_AGAIN: acts.READ_AGAIN,
    act.ANOTHER_STUD: f"Next: {acts.MOVE}. {{parts}}",
    act.CLEAN: f"Next: {acts.CLEAN}: what goes was dirt, scale or how it sat.{{bare}}",
    act.CLEAN_AGAIN: (
        f"Next: {{nuts}}{acts.CLEAN_AGAIN}{acts.TOWARDS}: more "
        "stays with the hub ({beyond}) than its bare face explains; something still lies between or holds the "
        f"rotor off, or a turn was written otherwise. {words.capital(acts.READ_CLEANED_AGAIN)}.{{bare}}"
    ),
    act.SEAT: (
        f"Next: {acts.CLEAN_AGAIN}, before a rotor is bought: {acts.SEAT}. {{humps}}"
        f"{words.capital(acts.READ_CLEANED_AGAIN)}.{{bare}}"
    ),
    act.MICROMETER: (
        "Next: {again}. It varies by {thickness} as read, limit {dtv}: that does not tell. Above it then: renew the "
        "rotor, or cut it where its maker allows, on a clean hub, both of the axle. Nothing is left on before that."
    ),
    act.BARE_HUB: f"Next: {acts.BARE_HUB}: it parts the face itself from what lies between, dirt too.",
    act.THICKNESS: f"Next: {acts.THICKNESS}: one that varies over its limit goes, whatever else is found.{{at_once}}",
    act.WORN: (
        f"{acts.RENEW}. "
        "Why: its thickness varies by {thickness}, {over} the limit of {dtv}, and cleaning brings no metal back."
    ),
    act.INDEX: (
        f"Next: {acts.MOVE}: {{best}}. With the rotor off look at both faces once more: over dirt that cleaning "
        "left no stud is the right one."
    ),
    act.HUB: "{hub_over}",
    act.FINER: (
        f"Next: {acts.FINER_DIAL}. On clean faces it runs out {{read}} on stud {{stud}}, {{near_it}}; {acts.DECIDES}."
    ),
    act.SPACERS: (
        f"Next: {acts.SPACERS}. "
        "On stud {stud} it runs out {read}, but under bare nuts: where their cones pull it nothing computes, "
        "so a small reading clears nothing."
    ),
    act.BACK: "Put the painted hole back on stud {stud}, where it ran out least on clean faces, and read it once more.",
    act.DONE: (
        "{done}n clean faces it runs out {read} on stud {stud}, {beside}.{so} {there}. Still to check: {play}{thick}"
        "{hub}cracks{goes_on}"
    ),
    act.SECOND_TURN: second_turn.DO,
    act.AT_LIMIT: (
        "{near_limit}: on clean faces it runs out {read} ± {half} (k = 2) on stud {stud}, and no dial tells "
        "that from the limit of {limit}. Nothing is bought for it. What decides is the vehicle maker's limit{takes}, "
        "then the middle of turns tightened anew: {anew}, and ask again; {ends}."
    ),
    act.UNEVEN_COUNTED: (
        f"{acts.UNEVEN_END}. As read last it runs out {{read}} on stud {{stud}}, {{beside_it}}; still to check: "
        "{play}{hub}cracks."
    ),
    act.SCATTERS: "{scatters}.",
    act.GAUGE: "",  # `finer_gauge.said`
    act.OPEN: "",  # `open_end.order`
}
#: In place of the above where more stays with the hub than its limit allows, and its bare face was not read.
HUB_UNREAD = (
    f"Next: {acts.BARE_HUB}. "
    "On stud {stud} it runs out {read}, but {stayed} stays with the hub, and "
    "whether its face is over its limit nobody read: this rotor cancels it here, the next one does not."
)
#: Behind the end at the limit of a corner that was cleaned once.
CLEANED_ONCE = (
    " Where less is wanted: hub face, spigot and rotor seat cleaned once more, put back on the same stud and read "
    "(next mount number, state cleaned again), as dirt that cleaning left may be in it."
)
#: Beside it, or in its place: a stud that may read less, where the gain is not sure enough for an order.
LESS_ELSEWHERE = (
    "{first}another stud may read less: about {expected} (80 %) is expected by these readings with the painted hole on "
    "{place}; it is read there before it is left on."
)
#: With the rotor off anyway it takes minutes, and no hub is found or cleared without it.
BARE_TOO = " With the rotor off read the bare hub face too, before it goes back on."
#: The same where its one turn does not go with what stays with the hub.
BARE_ONCE_MORE = (
    " With the rotor off read the bare hub face once more too (state cleaned again), before it goes back on: the one "
    "turn of it may be the one that is off."
)
#: Where that was left out, and nothing else is ordered any more.
FACE_AT_ODDS = (
    f"Next: {acts.BARE_HUB} once more: {{stayed}} stays with the hub, though it was cleaned twice, and its bare face "
    "does not explain it. It was read by one turn alone since it was cleaned last: where a second reads as that one "
    "did something lies between, or the rotor sits otherwise each time it is put on.{near}"
)
#: Before a part is named: by that face studs were chosen, and by it the part is.
FACE_BEFORE_A_PART = (
    f"Next: {acts.BARE_HUB} once more, as a further turn, before a part is named: it was read by one turn alone, and "
    "which studs were tried rests on it. Begun at another place, or written the other way round, that turn looks as "
    "sound. Ask again with both: a stud that nobody tried and that may pass by them is tried first"
)
#: An even rotor needs no second question.
AT_ONCE = (
    " Where it varies by {even} or less and its thinnest place is over the stamp go on at once: rotor off, clean hub "
    "face, spigot and rotor seat,{bare_face} put the painted hole back on stud {stud} and read it again; all "
    "into the table."
)
#: Before it is cleaned once more where cleaning took nothing away: it takes minutes.
NUTS_FIRST = f"{acts.RETORQUE}, as uneven nuts stay with the hub too. If it reads as before: "
#: In place of the above where cleaning took what had hidden something.
HIDDEN = (
    f"Next: {acts.BARE_HUB}. "
    "On stud {stud} it runs out {read} now: what cleaning took had hidden as "
    "much, and that face tells whether it is the hub's or the rotor's."
)
HUB_NOT_READ = "the hub face's own limit (not read), "
#: In place of the above where the runout is below its limit.
BELOW_IT = {
    act.BARE_HUB: (
        f"Next: {acts.BARE_HUB}. "
        "On stud {stud} it runs out {read}, {beside}, but {stayed} "
        "still stays with the hub{than}: if the face does not explain it, dirt lies there and hides what the rotor "
        "does. Dirt settles and moves, and the next rotor is fitted on it: then clean once more."
    ),
    act.CLEAN_AGAIN: (
        f"Next: {{nuts}}{acts.CLEAN_AGAIN}{acts.TOWARDS}. On "
        "stud {stud} it runs out {read}, {beside}, but {beyond} stays with the hub that its bare face does not "
        "explain: dirt settles and moves, and the next rotor is fitted on it. "
        f"{words.capital(acts.READ_CLEANED_AGAIN)}.{{bare}}"
    ),
    act.OPEN: (
        "Not done: on clean faces it runs out {read} on stud {stud}, {beside}, as only this rotor there holds it down. "
        "{then_part}."
    ),
    act.ANOTHER_STUD: (
        f"Next: {acts.MOVE}. "
        "It runs out {read} now, {beside}, but {beyond} may stay with the hub that its bare "
        "face does not explain: dirt, unless dirt lay on both parts. A second clean stud tells, before anything is "
        "cleaned twice."
    ),
    act.THICKNESS: (
        f"Next: {acts.THICKNESS}. "
        "On clean faces it runs out {read} on stud {stud}, {beside}: "
        "where the thickness is within its own limit too, {stays}.{apart}"
    ),
}
#: In place of `acts.BEST` where it is known to tens of degrees alone.
TRY = "worth a try, {expected} there, as far as these readings know the directions"
TRY_IN_DOUBT = "worth a try; what to expect there is not told before what is written was looked at"
MAY_BE_UNDER = "; as far as these readings know the directions it may be under it"
#: Beside a reading that another mounting may lift over the limit.
MOUNTED_SO = " That is of this mounting: another may read up to {more} more."
#: The same on a stud on which mountings were read further apart than that.
READ_APART = " That holds as it stands: mountings on this stud read as far as {more} apart."
#: Of one that cleaning moved: whether dirt or the seat did that no one mounting shows.
IN_ONE = (
    " It was read clean in one mounting there, and cleaning moved it by {took}: whether it comes back when it is put "
    "on again one mounting does not show."
)
#: Before a rotor is bought: what cleaning left on its seat reads as the rotor does.
#: What no stud takes off.
NO_STUD_PASSES = "Two humps a turn of {humps} go with the rotor: no stud brings it under {limit}. "
ONE_STUD = "From one stud position nothing parts hub from rotor."
ONE_STUD_BY_FACE = (
    "By the bare hub face it reads least there of the studs that were not read; read there, turns of the rotor part "
    "hub from rotor too, and not that face alone."
)
#: Where a cleaning was read.
MORE_THAN_TAKEN = ", more than cleaning took away"
ONE_STUD_CLEAN = "On clean faces it was read on one stud only: a second parts hub from rotor as they are now."
NO_PART = "{beside} as found: no part is sought before it was read clean. "
THICK = "thickness against the stamp and round the turn, "
LIMIT = (
    "Read last: {read} on stud {stud}, {state}{mean}; {against}, {limit} ({whose}). Uncertainty {of}: ± {half} (k = 2)."
)
OF_DIAL, OF_MOUNTINGS = "of a dial of {step} a division", "by what the mountings there scatter"
TAKES = " (--limit takes it)"
PRACTICE = "common practice, no source; the vehicle maker's value rules, --limit takes it"
THICKNESS_PRACTICE = "common practice, no source; the vehicle maker's value rules"
GIVEN = "as given"
NO_PRIOR = (
    "Only the readings speak here: no cause is called the likelier. Half-widths hold 80 % "
    "(tests/studies/mountings.md) where no k = 2 stands beside them. A dial reading does not say that the car is safe; "
    "the vehicle maker's limits stand above it."
)
HOW_ON = (
    "To rank causes add the corner's geometry: --case rear_solid_300 (or front_vented_320), where one of these part "
    "sets is like yours; else trueseat new case corner.toml --base rear_solid_300, fill in, --case corner.toml."
)


def lead(told: ToldApart, todo: Act, doubts: Sequence[str]) -> str:
    """Say what to do next, or that the runout is done."""
    if rocked.ends_so(told, NAMED[todo.what]):
        beside = words.against_limit(todo.against, todo.read_um, todo.limit_um)
        stamp = "" if todo.thinnest_mm is None else f" {STAMP_LINE.format(least=_thinnest(todo))}"
        return rocked.not_done(told, words.micrometres(todo.read_um), beside) + stamp
    gone = left_out.stand_no_more(told, doubts)
    still = [text for text in doubts if text not in gone.values() and not left_out.first([text])]
    over = to_read_again.over_as_it_stands(told, todo.limit_um)
    why = "; ".join(to_read_again.in_order(told, still, todo.limit_um)) or "the mountings do not agree"
    beside = words.against_limit(todo.against, todo.read_um, todo.limit_um)
    at_it = round(todo.read_um) == round(todo.limit_um)
    half = Dial(todo.dial_um, todo.turns).doubt_um
    cleaned, play = told.states[-1].state in CLEAN_STATES, bearing_asked.for_play(told)
    face = todo.hub_face
    told_else = todo.what in (act.READ_AGAIN, act.HUB, act.GAUGE, act.SCATTERS) or _looks(todo)
    ended = todo.what == act.AT_LIMIT and acts.over_at_last(todo.turns, todo.read_um, todo.limit_um)
    told_else = told_else or (ended and which_share.hub_counts_as_over(told, face))
    near = face if face is not None and face.state == TOO_CLOSE and cleaned and not told_else else None
    open_hub = near is not None and not near.let_be
    below_it = todo.against == BELOW and cleaned and not over
    order = BELOW_IT.get(todo.what, DO[todo.what]) if below_it else DO[todo.what]
    if face is not None and _looks(todo):
        order = f"Next: {bare_face.look_at(face, play)}."
    elif todo.what == act.BARE_HUB and told.hid and may_be_dirt(told):
        order = HIDDEN
    elif todo.what == act.BARE_HUB and act.at_odds_once(told, face):
        order = face_at_odds(told)
    elif todo.what == act.BARE_HUB and face is not None:
        order = f"{FACE_BEFORE_A_PART}."
    elif todo.cancels:
        order = HUB_UNREAD
    elif stays_on_hub.one_turn(told, todo.what, todo.studs_turned):
        order = stays_on_hub.one_turn(told, todo.what, todo.studs_turned)
    elif not (todo.what == act.OPEN and below_it):
        order = _end(told, todo, half, cleaned) or order
    named = part(told, todo.hub_face, todo.limit_um if todo.against == ABOVE else None)
    said = order.format(
        beside=beside,
        near_limit=acts.near_limit(todo.read_um, half, todo.limit_um),
        takes=TAKES,
        near_it=AT_THE_LIMIT if at_it else JUST_UNDER if todo.read_um < todo.limit_um else JUST_OVER,
        half=words.micrometres(half),
        limit=words.micrometres(todo.limit_um),
        over_it=over_it(told, todo.hub_face, todo.limit_um, play),
        ends=ends(told, todo.hub_face, todo.limit_um, open_hub, play),
        goes_on="." if open_hub else THEN_THE_WHEEL,  # before an open bare face nothing goes back on
        anew=acts.anew(todo.turns),
        hub_over=bare_face.hub_and_bearing(todo.hub_face, told.rotor_most_um, play),
        bare=bare_too(todo.also, face),
        at_once=at_once(todo.also, todo.even_um, todo.studs_turned),
        over=words.over_limit(todo.thickness_um or 0.0, todo.thickness_limit_um or 0.0),
        why=why,
        stud=todo.studs_turned + 1,
        place=acts.on_stud(todo.studs_turned),
        best=_expected(todo, doubts),
        so=mounted_so(told, todo.read_um, todo.limit_um),
        apart=read_apart(told, todo.read_um, todo.limit_um),
        than="" if told.taken_off is None else MORE_THAN_TAKEN,
        parts=_why_another(told),
        nuts=NUTS_FIRST if nothing_taken(told) else "",
        near="" if told.stayed_beyond is None else _nearest(told.stayed_beyond, told.studs),
        beyond="" if told.stayed_beyond is None else still_named(told.stayed_beyond, told),
        stayed="" if told.stayed is None else still_named(told.stayed, told),
        read=words.micrometres(todo.read_um),
        again="" if todo.thickness_close is None else uneven_rotor.read_again(todo.thickness_close),
        beside_it=_beside_it(todo, beside, half),
        thickness=uneven_rotor.figure(todo.varies, todo.thickness_um),
        dtv=words.micrometres(todo.thickness_limit_um),
        thick=_thickness_left(todo),
        hub="" if todo.hub_face is not None else HUB_NOT_READ,
        done="O" if open_hub else f"{stamped(todo)}he runout is done: o",
        there=HUB_DECIDES if open_hub else rocked.leave_there(told),
        stays=words.small(rocked.LEAVE_THERE) if todo.turns > 1 else second_turn.THEN_STAYS,
        part=named,
        then_part=still_to_check.first(play, named),
        rocked=still_to_check.where(play, second_turn.ROCKED),
        off=second_turn.off(told),
        play=still_to_check.in_front(bearing_asked.still_to_check(told, _stays_on(todo) and not open_hub)),
        play_then=still_to_check.where(play, words.small(still_to_check.CHECK_PLAY)),
        scatters=to_read_again.scatters(told),
        humps=_humps(told, todo.limit_um),
    )
    said = rocked.written_too(said) if todo.what == act.READ_AGAIN else said
    no_part = todo.what in (act.CLEAN, act.THICKNESS) and todo.against == BELOW and not cleaned
    if act.BARE_HUB in (todo.what, *todo.also) and (face is None or face.as_found) and not _looks(todo):
        said += bare_face.all_alike(todo.dial_um)
    said += bare_too(todo.also, face) if todo.what == act.AT_LIMIT else ""
    if todo.what == act.AT_LIMIT:
        less = less_elsewhere(told, todo.read_um)
        said += left_at_the_limit(told, todo.turns, (todo.read_um, todo.limit_um), less)
    said += left_out.stand_no_more_said(gone)
    goes = todo.what in (act.WORN, act.UNEVEN_COUNTED)
    said += bare_face.hub_too(todo.hub_face, play) if goes else ""
    if near is not None and not (goes and near.to_look_at):
        said += bare_face.near_its_limit(
            near, todo.what == act.DONE, play, stays_on_for_it(NAMED[todo.what], todo.turns)
        )
    below = NO_PART.format(beside=words.capital(beside)) if no_part else ""
    return (
        ("" if todo.what == act.SCATTERS else rocked.first(told))
        + left_out.first(doubts, _stays_on(todo))  # before the stamp: "over it" follows on that
        + stamp_first(todo)
        + below
        + said
        + (uneven_rotor.left_on(todo.varies) if _stays_on(todo) else "")
    )


def left_at_the_limit(
    told: ToldApart, turns: int, read_um: tuple[float, float], less: tuple[int, float, float] | None
) -> str:
    """Say of who is left at the limit what another mounting may read, and what may bring less; empty of who is not.

    Parameters
    ----------
    told : ToldApart
    turns : int
        Of which the runout is the middle.
    read_um : (float, float)
        That middle, and the limit. [um TIR]
    less : (int, float, float) or None
        Stud that may read less, what is expected there and its half-width (80 %). [um TIR]
    """
    if turns < MEAN_OF or read_um[0] > read_um[1]:
        return ""
    # What one mounting more may read is nothing to a middle of several; those that read apart and count no more are.
    so = mounted_so(told, *read_um) if told.seats_there == 1 else _apart_unless_named(told, *read_um)
    once = CLEANED_ONCE if told.again is None else ""
    return so + once + _less_elsewhere(less, " Or " if once else " Where less is wanted: ")


def _less_elsewhere(less: tuple[int, float, float] | None, first: str) -> str:
    """Offer a stud that nobody tried and that may read less; empty where none may. [um TIR]."""
    if less is None:
        return ""
    stud, expected_um, half_um = less
    expected = f"{expected_um:.0f} ± {half_um:.0f}{words.GAP}µm"
    return LESS_ELSEWHERE.format(first=first, expected=expected, place=acts.on_stud(stud))


def _humps(told: ToldApart, limit_um: float) -> str:
    """Say that two humps a turn that go with the rotor are over the limit by themselves; empty where they are not."""
    last = told.states[-1]
    if act.humps_left_um(last) <= limit_um:
        return ""
    return NO_STUD_PASSES.format(humps=_size(last.rotor[2]), limit=words.micrometres(limit_um))


def _end(told: ToldApart, todo: Act, half_um: float, cleaned: bool) -> str:
    """Say an end that its figures word; empty of any other act."""
    if todo.what == act.AT_LIMIT:
        return acts.at_the_limit(todo.turns, todo.read_um, half_um, todo.limit_um, todo.dial_um)
    if todo.what == act.OPEN:
        last = told.states[-1]
        half_um = max(half_um, last.scatter_um)
        return open_end.order(todo.against, todo.read_um, half_um, todo.dial_um, last.now.alone_um)
    return _wants_finer(todo, half_um, cleaned) if todo.what == act.GAUGE else ""


def _wants_finer(todo: Act, half_um: float, cleaned: bool) -> str:
    """Say the end where only a finer gauge tells on."""
    beside = acts.beside_at_last(todo.against, todo.turns, todo.read_um, todo.limit_um, todo.dial_um)
    read_um, stud = todo.read_um, todo.studs_turned + 1
    of = finer_gauge.Runout(read_um, half_um, todo.limit_um, todo.dial_um, todo.turns, beside, stud, cleaned)
    return finer_gauge.said(todo.hub_face, todo.varies, of)


def _looks(todo: Act) -> bool:
    """Whether the bare face was read and is looked at, or read on, before anything else."""
    return todo.what == act.BARE_HUB and todo.hub_face is not None and todo.hub_face.read_on


def _stays_on(todo: Act) -> bool:
    return acts.stays_on(todo.what == act.DONE, todo.what == act.AT_LIMIT, todo.turns, todo.read_um, todo.limit_um)


def _beside_it(todo: Act, beside: str, half_um: float) -> str:
    """Where the runout stands, beside a thickness that is open; near its limit with the dial's own doubt."""
    if todo.against != TOO_CLOSE:
        return beside
    half, limit = words.micrometres(half_um), words.micrometres(todo.limit_um)
    return f"± {half} (k = 2): {acts.not_told_from(todo.dial_um)} the limit of {limit}"


def face_at_odds(told: ToldApart) -> str:
    """Order one turn more of a bare face whose one turn does not go with what two cleanings left with the hub."""
    stayed = "that" if told.stayed is None else still_named(told.stayed, told)
    return FACE_AT_ODDS.format(stayed=stayed, near=stays_on_hub.needle(told))


def bare_too(also: Sequence[str], face: HubFace | None) -> str:
    """Say that the bare hub face is read while the rotor is off, once more where it was read; empty where it is not."""
    if act.BARE_HUB not in also:
        return ""
    return BARE_ONCE_MORE if act.read_once(face) and face is not None and not face.as_found else BARE_TOO


def at_once(also: Sequence[str], even_um: float | None, studs_turned: int) -> str:
    """Say what follows a thickness that is within its limit, in the same go; empty where nothing does."""
    if act.CLEAN not in also:
        return ""
    bare = " read the bare hub face," if act.BARE_HUB in also else ""
    return AT_ONCE.format(even=words.micrometres(even_um), bare_face=bare, stud=studs_turned + 1)


def mounted_so(told: ToldApart, read_um: float, limit_um: float) -> str:
    """Say that another mounting may read more, where that may be over the limit, and of one alone how that is told.

    By how much as mountings commonly do, or as far as those on this stud read apart: one figure.
    """
    taken, more_um = told.taken_off, act.ANOTHER_MOUNTING_UM
    said = _apart_unless_named(told, read_um, limit_um)
    if not read_apart(told, read_um, limit_um) and read_um <= limit_um < read_um + more_um:
        said = MOUNTED_SO.format(more=words.micrometres(round(more_um)))
    return said + (IN_ONE.format(took=_size(taken)) if taken is not None and in_one_mounting(told) else "")


def read_apart(told: ToldApart, read_um: float, limit_um: float) -> str:
    """Say how far mountings of this stud read apart, whichever count, where one so far off may be over the limit.

    Parameters
    ----------
    told : ToldApart
    read_um, limit_um : float
        [um TIR]
    """
    stone = told.again is not None and told.again.stoned  # what it moved on that stud another mounting does not
    more_um = 0.0 if stone else told.apart_there_um
    if more_um <= act.ANOTHER_MOUNTING_UM or not read_um <= limit_um < read_um + more_um:
        return ""
    return READ_APART.format(more=words.micrometres(round(more_um)))


def _apart_unless_named(told: ToldApart, read_um: float, limit_um: float) -> str:
    """Say the same, but where the bearing is judged for these very mountings: there the figure stands."""
    return "" if rocked.names_apart(told, told.apart_there_um) else read_apart(told, read_um, limit_um)


def thickness_line(todo: Act) -> str:
    """Say how the thickness varies beside its limit; empty where nobody read it."""
    ordered = todo.what in (act.MICROMETER, act.UNEVEN_COUNTED, act.GAUGE) or _stays_on(todo)
    return uneven_rotor.beside_limit(todo.varies, f" ({THICKNESS_PRACTICE})", ordered)


def home_line(told: ToldApart) -> str:
    """Ask whether a rotor that runs out so far stands home at all; empty where it commonly may."""
    asked = ask_home(told.states[-1].read_um[-1])
    return f"{asked}, before any of this." if asked else ""


def _thickness_left(todo: Act) -> str:
    """What is still to check of the thickness; nothing where `stamp_first` has asked it."""
    return THICK if todo.thickness_um is None else ""


def _why_another(told: ToldApart) -> str:
    """Why a second stud is read; by the bare face only where that leans."""
    if told.parted:
        return ONE_STUD_CLEAN
    return ONE_STUD_BY_FACE if told.bare is not None and told.bare.told else ONE_STUD


def _expected(todo: Act, doubts: Sequence[str]) -> str:
    """Why that stud: called the best only where the direction behind it is known to less than a stud's half.

    Nothing is expected by a turn of which it is said that it may be written otherwise.
    """
    if any(text.endswith(CHECK) for text in doubts):
        return TRY_IN_DOUBT
    if todo.expected_um is None:
        return acts.BEST
    expected, limit = f"about {words.mark(round(todo.expected_um))}{words.GAP}µm is expected", todo.limit_um
    if todo.expected_um <= limit:
        return TRY.format(expected=expected)
    return acts.TRY_FIRST.format(expected=expected, limit=words.micrometres(limit), may=MAY_BE_UNDER)


def _of_turns(cancel: bool, turns: int) -> str:
    """Say of which turns a reading is the middle; of those that cancel in it, of two the larger one's. By rule."""
    if turns < 2:
        return ""
    return f", the {'larger' if cancel and turns == 2 else 'middle'} of {turns} turns"


def against_limit(told: ToldApart, todo: Act, given: bool) -> str:
    """Say the runout as read last beside its limit, both with figures."""
    last = told.states[-1]
    half = max(Dial(todo.dial_um, todo.turns).doubt_um, last.scatter_um)
    said = LIMIT.format(
        read=f"{todo.read_um:.0f}{words.GAP}µm",  # no digit that no dial is sure of
        stud=last.positions[-1] + 1,
        state=state_of(told, last.mounts[-1], last.state),
        against=words.against_limit(todo.against, todo.read_um, todo.limit_um),
        limit=words.micrometres(todo.limit_um),
        whose=GIVEN if given else PRACTICE,
        of=OF_MOUNTINGS if last.scatter_um else OF_DIAL.format(step=f"{words.mark(todo.dial_um)}{words.GAP}µm"),
        half=words.micrometres(half),
        mean=_of_turns(last.now.cancel, todo.turns),
    )
    return f"{said} {between_places(told)}".rstrip()
