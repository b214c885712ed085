"""Whether mountings of a table show that they scatter: before one of them leaves the rotor on, one mounting more.

A rotor that sits otherwise each time it is put on reads little once in a while. One mounting of each state shows none
of it: what cleaning took and what another seat took read alike. Where a table holds more it may be seen.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from sim.bench.mountings import TOLD, first_orders_apart, still_stand, told_apart
from sim.bench.read_alike import by_stand, two_groups
from sim.bench.seatings import ON_THE_SAME_STUD, seats
from sim.bench.told_by_mountings import Again, ToldApart
from sim.files.dial_readings import Readings, Trace
from sim.files.read_anew import LEAST_ALIKE
from sim.files.reading_faults import ReadingFault
from sim.files.readings_rows import AGAIN, AS_FOUND, CLEAN_STATES, CLEANED

SCATTER_SHOWN = "scatter"
#: Dirt that a first cleaning left lies where that took it from: so far off it is none. Judgement, 20 .. 60. [deg]
ASIDE_DEG = 30.0
#: Clean mounts that part hub and rotor and show nothing besides: more of them would scatter. By definition.
SHOWN = 2
#: Why one mounting more is asked for.
PARTED = "mountings of this table that stood on one stud do not read alike"
ASIDE = "the second cleaning took away {took:.0f} µm elsewhere than the first did, as a rotor does that sits otherwise"
ONLY_THEN = (
    "the second cleaning took away {took:.0f} µm and the first nothing that is told: dirt that held, or a rotor that "
    "sits otherwise"
)
BEYOND = "{beyond:.0f} µm more stays with the hub than its bare face explains, as where a rotor sits otherwise"
APART = (
    "clean mountings of this stud read as far as {apart:.0f} µm apart, and it is {room:.0f} µm under its limit: dirt "
    "that a second cleaning took, or a rotor that sits otherwise"
)
TEXT = (
    f"{{name}}: before it is left on by one mounting: {{why}}; {ON_THE_SAME_STUD}: {{many}} there that read alike "
    "leave it on"
)
#: So many, where mountings of the stud where it stands parted; else two.
MANY = {2: "two", LEAST_ALIKE: "three"}


def asked(readings: Readings, again: Again | None, room_um: float = np.inf) -> ReadingFault | None:
    """Say that the rotor is put on and read once more, as mountings show scatter; None for others.

    Parameters
    ----------
    readings : Readings
        Those that count: of `sim.bench.cleaned_again.settled`, the last read clean.
    again : Again or None
        As there.
    room_um : float
        How far it is under the limit that it is about to be left on by. [um TIR]

    Notes
    -----
    By rule, of four kinds: mountings of one stud that parted, of which fewer than three then agree; a second cleaning
    that took something elsewhere than the first (`ASIDE_DEG`); more with the hub, cleaned twice, than its face
    explains (`sim.bench.mountings.told_apart`); mountings of that stud in both clean states further apart than it is
    under its limit. The last three only where one mounting of the stud is left. [um]
    """
    last = readings.of("mounted")[-1]
    there = next(turns for turns in by_stand(readings) if turns[-1] is last)
    group = two_groups(readings, there)[0]
    alike = seats(readings, [one for one in there if one.mount in group])
    wanted = _wanted(readings, last)
    why = PARTED if alike < wanted else ""
    if not why and (alike != 1 or again is None):
        return None
    told = told_apart(readings, again)
    if not why and again is not None:
        why = _aside(readings, again) or _beyond(told) or _far_apart(told, again, room_um)
    if not why or any(one.at_odds for one in still_stand(told.states)):
        return None  # what parts still has an order of its own
    name = f"mounted, mount {last.mount}"
    return ReadingFault(SCATTER_SHOWN, name, (), 0.0, 0.0, TEXT.format(name=name, why=why, many=MANY[max(wanted, 2)]))


def in_one_mounting(told: ToldApart) -> bool:
    """Whether a clean rotor was read in one mounting where it stands, and cleaning moved it by more than putting it on.

    Parameters
    ----------
    told : ToldApart

    Notes
    -----
    Whether it was dirt or the seat that moved it no such table shows: by definition, of what is told.
    """
    last = told.states[-1]
    if (len(last.mounts) > SHOWN and not last.at_odds) or (told.again is not None and told.again.stoned):
        return False  # so many that fit one hub and rotor came back; or metal that was stoned off moved it
    return last.state in CLEAN_STATES and told.seats_there == 1 and told.taken_off is not None and told.taken_off.told


def _wanted(readings: Readings, last: Trace) -> int:
    """How many mountings of the stud where it stands are to read alike: three where some there parted, else two.

    As they were entered, of one state each: one that none parts from needs no second. A mount whose own turns part has
    a rule of its own (`sim.bench.read_alike`).
    """
    stands: dict[tuple[object, ...], list[Trace]] = {}
    for one in readings.as_entered:
        if one.kind == "mounted" and not one.in_part and not _by_itself(readings, one):
            stands.setdefault((one.studs_turned, one.state, one.corner, one.clamped_by), []).append(one)
    parted = [
        turns[-1] for turns in stands.values() if any(_apart(readings, one, other) for one in turns for other in turns)
    ]
    here = any(one.studs_turned == last.studs_turned and one.state in CLEAN_STATES for one in parted)
    return LEAST_ALIKE if here else 2 if parted else 1


def _by_itself(readings: Readings, one: Trace) -> bool:
    """Whether other turns of its mount part from this one, nobody having moved it between."""
    there = (other for other in readings.as_entered if (other.kind, other.mount) == (one.kind, one.mount))
    return any(other.state == one.state and readings.parted(one, other) for other in there if other is not one)


def _apart(readings: Readings, one: Trace, other: Trace) -> bool:
    if one.mount >= other.mount:
        return False
    apart, sd = first_orders_apart(readings, one, other)
    return abs(apart) > TOLD * sd


@dataclass(frozen=True)
class _Took:
    """What a cleaning took: first order in the rotor's frame, its standard deviation [um], and on which stud."""

    value: complex
    sd_um: float
    studs_turned: int

    @property
    def told(self) -> bool:
        return abs(self.value) > TOLD * self.sd_um


def _took(readings: Readings, before: str, after: str) -> _Took | None:
    """What a cleaning took: the last turn before it less the first after it on a stud that was read in both states.

    Of no mount whose own turns part: what one of them is off by no cleaning took.
    """
    mounted = [one for one in readings.as_entered if one.kind == "mounted" and not one.in_part]
    mounted = [one for one in mounted if not _by_itself(readings, one)]
    for later in (one for one in mounted if one.state == after):
        for earlier in (one for one in reversed(mounted) if one.state == before):
            if earlier.studs_turned == later.studs_turned and earlier.clamped_by == later.clamped_by:
                return _Took(*first_orders_apart(readings, earlier, later), later.studs_turned)
    return None


def _aside(readings: Readings, again: Again) -> str:
    """Say that a second cleaning took something elsewhere than the first; empty where it took nothing, or there."""
    if not again.went or again.stoned:
        return ""
    first, second = _took(readings, AS_FOUND, CLEANED), _took(readings, CLEANED, AGAIN)
    if first is None or second is None or not second.told:
        return ""
    turned = 2.0 * np.pi / readings.studs * (second.studs_turned - first.studs_turned)
    # Dirt on the rotor's seat turns with it, dirt on the hub does not.
    took = 2.0 * abs(second.value)
    if not first.told:
        return ONLY_THEN.format(took=took)
    off = min(abs(np.angle(second.value / first.value * np.exp(1j * by))) for by in (0.0, -turned))
    half = _half(first) + _half(second)
    return ASIDE.format(took=took) if off > np.radians(ASIDE_DEG) + half else ""


def _half(took: _Took) -> float:
    return float(np.arcsin(min(took.sd_um / abs(took.value), 1.0)))


def _beyond(told: ToldApart) -> str:
    beyond = told.stayed_beyond
    return BEYOND.format(beyond=beyond.runout_um) if beyond is not None and beyond.told else ""


def _far_apart(told: ToldApart, again: Again, room_um: float) -> str:
    """Say that clean mountings of that stud are further apart than it is under its limit; not of metal stoned off."""
    apart = 0.0 if again.stoned else told.apart_there_um
    return APART.format(apart=apart, room=room_um) if apart > max(room_um, 0.0) else ""
