"""A turn likely written otherwise: read again as it stands, left out once it was, or where it stands no more."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from sim.bench.one_seat import pairs
from sim.bench.seatings import ON_THE_SAME_STUD
from sim.bench.written_otherwise import EARLY, LATE, ON_STUD, REVERSED, TURNED_OVER, UNSIGNED, Way, otherwise
from sim.files.dial_readings import Readings, Trace
from sim.files.read_anew import LEAST_ALIKE
from sim.files.reading_faults import TWICE, WRITTEN, ReadingFault
from sim.files.readings_rows import CLEAN_STATES
from sim.files.trace import trace_name

#: From these odds on that some turn was, the cheapest of those that have so much of it is read again; one that has the
#: first by itself and can be read no more, or was read again, is left out. Judgement.
SURE, SHARE = 0.5, 0.08
#: From these on the turn that stands is: that takes a minute.
AS_IT_IS = 0.3
#: From these on one is left out; turns of one mount that part are no slip of the pen below them: a bearing throws so.
LEFT_OUT, PARTED = 0.9, 0.9
#: In the words of a table; a stud counts counter-clockwise from stud 1.
HOW = {
    TURNED_OVER: "with every sign turned over",
    REVERSED: "written the other way round",
    LATE: "begun one place off",
    EARLY: "begun one place off",
    UNSIGNED: "with minus signs that were left out",
}
STUD, FROM_STUD = "on stud {stud}, not stud {was}", "with its angles counted from stud {stud}"
WOULD_FIT = "{name}: {how} it would fit the other readings, and as it is written it does not"
AS_IT_STANDS = (
    "; before anything else is blamed read it again as it stands, one whole further turn, and write it down anew"
)
#: No turn as it stands tells a stud.
WHERE_IT_SITS = (
    "; before anything else is blamed look on which stud the painted hole sits: where it is that one write that stud, "
    f"and ask again; else {ON_THE_SAME_STUD}"
)
BARE = "; before anything else is blamed read it once more, as further lines"
#: A seat makes a mount so too, or a bearing: that is said.
SAT = "if it sat otherwise one mounting does not leave the rotor on"
GONE = (
    f", unless it sat otherwise there or the bearing throws: it stands no more and is left out; {SAT}; put on there "
    "again it is a new mount"
)
CHECK = ", unless it sat otherwise there: look at what is written"
SAID = "said"
READ_SINCE = "{name}: a turn that would fit the others {how} was read again and counts no more"


def held(readings: Readings) -> Readings:
    """Leave out turns likely written otherwise that were read since, or stand no more; ask for one that stands.

    Parameters
    ----------
    readings : Readings
        As they were entered.

    Returns
    -------
    Readings
        With what is to be read again, or said of what is left out, among its faults; the same where nothing is.

    Notes
    -----
    Bayes' rule: `sim.bench.written_otherwise.otherwise`; `SURE` and `SHARE` are judgement.
    """
    out: list[ReadingFault] = []
    while ways := _likely(readings):
        gone = next((one for one in ways if _goes(one, readings)), None)
        if gone is None:
            sure = sum(one.odds for one in otherwise(readings)) >= SURE
            asked = [one for one in _cheapest(ways, readings) if one.odds >= (SHARE if sure else AS_IT_IS)]
            # For its face the rotor comes off, and for a stud that is written right.
            asked = [one for one in asked if (sure if one.turn.kind == "hub face" else _tells(one, readings))]
            out += [_fault(one) for one in asked[:1]] or [_said(one) for one in ways[:1] if _to_be_said(one, readings)]
            break
        readings = _without(readings, gone.turn)
        name = trace_name(gone.turn.kind, gone.turn.mount)
        if _read_since(gone.turn, readings):
            readings = replace(readings, notes=(*readings.notes, READ_SINCE.format(name=name, how=how(gone))))
        else:
            out.append(ReadingFault(WRITTEN, name, (), 0.0, 0.0, WOULD_FIT.format(name=name, how=how(gone)) + GONE))
    told = {one.trace for one in out if one.trace}
    out = [one for one in out if one not in readings.faults]
    kept = tuple(one for one in readings.faults if not (one.fault == TWICE and one.trace in told))
    return replace(readings, faults=(*kept, *out)) if out else readings


def said(readings: Readings) -> tuple[str, ...]:
    """Say which turn may have been written otherwise, where nothing is read again for that.

    Parameters
    ----------
    readings : Readings
        Those that count: of `held`.
    """
    return tuple(one.text for one in readings.faults if (one.fault, one.answer) == (WRITTEN, SAID))


def how(way: Way) -> str:
    """Say how a turn would fit.

    Parameters
    ----------
    way : Way
    """
    if way.what != ON_STUD:
        return HOW[way.what]
    if way.turn.kind == "hub face":
        return FROM_STUD.format(stud=way.studs_turned + 1)
    return STUD.format(stud=way.studs_turned + 1, was=way.turn.studs_turned + 1)


def _likely(readings: Readings) -> Sequence[Way]:
    """Turns that may have been written otherwise, likeliest first; none where none is worth a word.

    What was read as found is dirt and all, and no more: of that only turns of one mount are held against each other,
    but where it may be the one that is off what stands is read once more. Of turns that part in any case only what no
    bearing does to them, and of two what more than the other tells.
    """
    parted = {one.trace for one in readings.faults if one.fault == TWICE}
    ways = otherwise(readings) if readings.of("mounted") else ()
    beside = [one for one in ways if trace_name(one.turn.kind, one.turn.mount) in parted]
    slips = sum(one.odds for one in beside if one.what in (TURNED_OVER, REVERSED, UNSIGNED))
    every = ways if slips >= PARTED else [one for one in ways if one not in beside]
    # A seat that two dials read otherwise is told so: it can be read again, whichever of them is off.
    of_one_seat = {one.mount for pair in pairs(readings) for one in pair}
    every = [one for one in every if one.turn.kind != "mounted" or one.turn.mount not in of_one_seat]
    sure = sum(one.odds for one in every) >= SURE
    counted = [one for one in every if _counts(one, readings) and not _by_one_alone(one.turn, readings)]
    return counted if any(one.odds >= (SHARE if sure else AS_IT_IS) for one in counted) else ()


def _counts(way: Way, readings: Readings) -> bool:
    turn = way.turn
    beside = (one for one in readings.of(turn.kind) if (one.mount, one.state) == (turn.mount, turn.state))
    return turn.state in CLEAN_STATES or len(list(beside)) > 1


def _stands(turn: Trace, readings: Readings) -> bool:
    """Whether a turn is the last of the mount that stands, or of the bare face: it can be read again."""
    last = readings.of(turn.kind)[-1]
    return turn is last


def _cheapest(ways: Sequence[Way], readings: Readings) -> list[Way]:
    """What can be read again, first as it stands: the rotor comes off for its bare face."""
    return [
        one for kind in ("mounted", "hub face") for one in ways if one.turn.kind == kind and _stands(one.turn, readings)
    ]


def _tells(way: Way, readings: Readings) -> bool:
    """Whether a mount that stands is read again for that: one of few turns, for another stud where it is likely."""
    turns = sum(one.mount == way.turn.mount for one in readings.of("mounted"))
    return turns < LEAST_ALIKE and (way.what != ON_STUD or way.odds >= SURE)


def _fault(way: Way) -> ReadingFault:
    name = trace_name(way.turn.kind, way.turn.mount)
    text = WOULD_FIT.format(name=name, how=how(way))
    if way.turn.kind == "hub face":
        text += BARE
    else:
        text += WHERE_IT_SITS if way.what == ON_STUD else AS_IT_STANDS
    return ReadingFault(WRITTEN, name, (), 0.0, 0.0, text)


def _goes(way: Way, readings: Readings) -> bool:
    """Whether a turn is left out: where its mount has another turn, likelier than not is enough for a mirror."""
    mirror = way.what in (TURNED_OVER, REVERSED, UNSIGNED) and way.turn.kind == "mounted"
    enough = SURE if mirror and _beside(way.turn, readings) else LEFT_OUT
    return way.odds >= enough and not _stands(way.turn, readings)


def _by_one_alone(turn: Trace, readings: Readings) -> bool:
    """Whether the other of two turns of its mount is all that speaks against one: a bearing throws so, and is rocked.

    Not where the rest of the table tells it without that other, nor once somebody said what was felt. By rule.
    """
    there = [one for one in readings.of(turn.kind) if (one.mount, one.state) == (turn.mount, turn.state)]
    if turn.kind != "mounted" or len(there) != 2 or readings.bearing:
        return False
    rest = tuple(one for one in readings.traces if one is turn or all(one is not other for other in there))
    alone = otherwise(replace(readings, traces=rest, entered=(), every=(), faults=()))
    least = SHARE if sum(one.odds for one in alone) >= SURE else AS_IT_IS
    return not any(one.turn is turn and one.odds >= least for one in alone)


def _beside(turn: Trace, readings: Readings) -> bool:
    """Whether its mount has other turns."""
    return sum(one.mount == turn.mount for one in readings.of(turn.kind)) > 1


def _to_be_said(way: Way, readings: Readings) -> bool:
    """Whether it is said of a mount: of one of several turns the others tell."""
    alone = way.what == ON_STUD or not _beside(way.turn, readings)
    return way.odds >= AS_IT_IS and way.turn.kind == "mounted" and alone


def _said(way: Way) -> ReadingFault:
    name = trace_name(way.turn.kind, way.turn.mount)
    return ReadingFault(WRITTEN, "", (), 0.0, 0.0, WOULD_FIT.format(name=name, how=how(way)) + CHECK, answer=SAID)


def _read_since(turn: Trace, readings: Readings) -> bool:
    """Whether other turns of the same thing are left: a bare face is one thing, however often it was cleaned."""
    return any(one.mount == turn.mount or turn.kind == "hub face" for one in readings.of(turn.kind))


def _without(readings: Readings, turn: Trace) -> Readings:
    """Take one turn out of a table, and what was said of it beside the others of its mount where those agree."""
    traces = tuple(one for one in readings.traces if one is not turn)
    left = [one for one in traces if (one.kind, one.mount, one.state) == (turn.kind, turn.mount, turn.state)]
    parted = any(readings.parted(one, other) for k, one in enumerate(left) for other in left[k + 1 :])
    name = trace_name(turn.kind, turn.mount)
    faults = tuple(one for one in readings.faults if parted or one.fault != TWICE or one.trace != name)
    entered = tuple(one for one in readings.entered if one is not turn)
    return replace(readings, traces=traces, entered=entered, faults=faults)
