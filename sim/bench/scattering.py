"""Mountings, or turns of one, that fit no hub and rotor: three that agree count; where none do, it ends."""

from __future__ import annotations

from collections.abc import Sequence

from sim.bench.mountings import ONE_SCREW, still_stand, told_apart
from sim.bench.open_readings import open_readings
from sim.bench.read_alike import by_stand, two_groups, without
from sim.bench.told_by_mountings import ToldApart
from sim.files.dial_readings import Readings, Trace
from sim.files.read_anew import LEAST_ALIKE
from sim.files.reading_faults import MOST_TURNS, TWICE, ReadingFault
from sim.files.readings_rows import CLEAN_STATES

#: So many mountings on the stud where it stands, or on clean faces in all, and they still part: one more tells nothing
#: that those did not. Judgement: of mountings that scatter by 25 um no walk that ended took more.
MOST_ON_A_STUD, MOST_IN_ALL = 8, 12
NOTE = (
    "mount {gone} is left out: with mounts {alike}, that stand on one stud and read alike, it fits no one hub and rotor"
)


def alone_on_its_stud(readings: Readings) -> Readings:
    """Leave out mounts of other studs where three on one stud agree and fit no one hub and rotor with those.

    Parameters
    ----------
    readings : Readings
        Those that count on each stud: of `sim.bench.read_alike.read_alike`.

    Notes
    -----
    Nobody can read them as they stood; put on there again a rotor is the next mount. The fewest are left out: those of
    studs that were read so once, else also of studs that were read alike by fewer than three. They stay left out once
    the rotor was moved on, unless what is read then fits with them and not with the three. By rule, no source. [um]
    """
    left = _outweighed(readings)
    return _still_out(readings) if left is readings else left


def _still_out(readings: Readings) -> Readings:
    """Leave out what three on a stud outweighed before the rotor was moved on; see `alone_on_its_stud`."""
    mounts = list(dict.fromkeys(one.mount for one in readings.of("mounted")))
    for k in range(len(mounts) - 1, LEAST_ALIKE, -1):
        then = without(readings, mounts[k:], ())
        was = _outweighed(then)
        if was is then:
            continue
        kept = {one.mount for one in was.of("mounted")}
        gone = [mount for mount in mounts[:k] if mount not in kept]
        left = without(readings, gone, was.notes[len(then.notes) :])
        three = [one.mount for one in next(turns for turns in by_stand(then) if turns[-1].mount == mounts[k - 1])]
        instead = _fit_no_one(left, mounts[-1]) and not _fit_no_one(without(readings, three, ()), mounts[-1])
        return readings if instead else left
    return readings


def _outweighed(readings: Readings) -> Readings:
    """Leave out what the last three on the stud where it stands outweigh; the same where they do not all agree."""
    mounted = readings.of("mounted")
    stands = by_stand(readings)
    there = next((turns for turns in stands if turns[-1] is mounted[-1]), [])
    alike = list(dict.fromkeys(one.mount for one in there))[-LEAST_ALIKE:]
    here = {(one.state, one.clamped_by) for one in there}
    others = [turns for turns in stands if turns is not there and (turns[0].state, turns[0].clamped_by) in here]
    if len(alike) < LEAST_ALIKE or not others or not set(alike) <= set(two_groups(readings, there)[0]):
        return readings
    # What parts on another stud has an order of its own: read there once more.
    if not _fit_no_one(readings, alike[-1], came_back=True):
        return readings
    named = f"{', '.join(map(str, alike[:-1]))} and {alike[-1]}"
    often = [len(two_groups(readings, turns)[0]) for turns in others]
    left = readings
    for fewer in (2, LEAST_ALIKE, max(often) + 1):
        gone = sorted({one.mount for turns, many in zip(others, often, strict=True) if many < fewer for one in turns})
        left = without(readings, gone, [NOTE.format(gone=mount, alike=named) for mount in gone])
        if gone and not _fit_no_one(left, alike[-1]):
            break
    return left


def _fit_no_one(readings: Readings, mount: int, came_back: bool = False) -> bool:
    """Whether the mounts of the state of this one fit no one hub and rotor; if asked, though each stud comes back."""
    state = next((one for one in told_apart(readings).states if mount in one.mounts), None)
    if state is None or not state.contradict:
        return False
    return not came_back or all(pair.came_back for pair in state.returned)


def mounts_read(readings: Readings) -> tuple[int, int]:
    """How many mounts were read on the stud where it stands, and on any, cleaned or not as it is; by definition.

    Parameters
    ----------
    readings : Readings
    """
    last = readings.of("mounted")[-1]
    clean = last.state in CLEAN_STATES
    entered = [
        one for one in readings.as_entered if one.kind == "mounted" and (one.state in CLEAN_STATES) == clean
    ]  # fmt: skip
    here = {one.mount for one in entered if one.studs_turned == last.studs_turned}
    return len(here), len({one.mount for one in entered})


def scatters(readings: Readings, told: ToldApart) -> bool:
    """Whether mountings part however often it was put on: no more reading of them is asked.

    Parameters
    ----------
    readings : Readings
    told : ToldApart
        What they tell.

    Notes
    -----
    `MOST_ON_A_STUD`, `MOST_IN_ALL`, `MOST_TURNS`: judgement. Not while a slip is to be read again for itself.
    """
    if not readings.of("mounted") or told.states[-1].clamped_by == ONE_SCREW:
        return False
    still = open_readings(readings)
    here, every = mounts_read(readings)
    often = here >= MOST_ON_A_STUD or every >= MOST_IN_ALL
    at_odds = often and any(one.at_odds for one in still_stand(told.states))
    if still:
        parted = any(_read_for_ever(readings, one) or (at_odds and one.fault == TWICE) for one in still)
        parted |= here >= 2 * MOST_ON_A_STUD or (here >= MOST_ON_A_STUD and _many_slipped(readings))
        return parted and not any(one.trace.startswith("thickness") for one in still)
    return at_odds


def _many_slipped(readings: Readings) -> bool:
    """Whether one in three mounts of the stud where it stands gave a slip away: put on anew for each, it is none."""
    last = readings.of("mounted")[-1]
    clean = last.state in CLEAN_STATES
    here = {
        f"mounted, mount {one.mount}"
        for one in readings.as_read
        if (one.kind, one.studs_turned, one.state in CLEAN_STATES) == ("mounted", last.studs_turned, clean)
    }
    slipped = {one.trace for one in readings.faults if one.doubts and one.trace in here}
    return 3 * len(slipped) >= len(here)


def _read_for_ever(readings: Readings, fault: ReadingFault) -> bool:
    """Whether so many turns were read of what is to be read again, and they part, or hardly one is without a slip."""
    every = _turns(readings, readings.as_read, fault.trace)
    sound = [one for one in _turns(readings, readings.as_entered, fault.trace) if not one.in_part]
    return len(every) >= MOST_TURNS and (fault.fault == TWICE or len(sound) < LEAST_ALIKE)


def _turns(readings: Readings, among: Sequence[Trace], trace: str) -> list[Trace]:
    """Turns of the mount that stands, or of the bare hub face in its last state; none of others.

    A mount that was cleaned a second time counts as cleaned, and was entered as cleaned again.
    """
    now, faces = readings.of("mounted")[-1], readings.with_parts_of("hub face")
    if trace == f"mounted, mount {now.mount}":
        clean, there = now.state in CLEAN_STATES, [one for one in among if one.kind == "mounted"]
        return [one for one in there if one.mount == now.mount and (one.state in CLEAN_STATES) == clean]
    if trace == "hub face" and faces:
        return [one for one in among if (one.kind, one.state) == ("hub face", faces[-1].state)]
    return []
