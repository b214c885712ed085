"""What was read with the wheel on and is over its limit: no turn under the nuts lets that corner go."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from sim.bench.between_places import counted_um
from sim.bench.pooled_turns import standing
from sim.files.dial_readings import Readings, Trace
from sim.files.reading_faults import ReadingFault
from sim.files.readings_rows import CLEAN_STATES

WHEEL = "wheel"
#: Traces of a face, and which face that is.
FACE = {"mounted": "outboard", "inboard": "inboard"}
#: How such a turn is told among what is read again.
OVER = "wheel on"
TEXT = "the {face} face of mount {mount} reads {read:.0f} µm with the wheel on, over the limit of {limit:.3g} µm"
#: What only the wheel brings in no turn under the nuts shows.
CLEANED = (
    ": under the nuts it is rotor, hub and seat, and what only the wheel brings in lies between wheel and hat. Wheel "
    "off, its pad, the hat's face and the nuts' seats cleaned, wheel on, nuts tightened crosswise in stages as the "
    "vehicle maker says, and that face read once more with the wheel on, under the next mount number. Not driven "
    "before that"
)
#: The same where it reads so in two mountings or more.
ANOTHER = (
    ", as {times} mountings do: not driven. Another wheel that belongs to this car is tried, nuts tightened crosswise "
    "in stages, or wheel, hub and bearing are judged as the vehicle maker says, and that face is read once more with "
    "the wheel on, under the next mount number. No rotor is bought for it"
)


@dataclass(frozen=True)
class WheelOn:
    """The rotor as it stands, read over its limit with the wheel on.

    Parameters
    ----------
    trace : Trace
        Middle of the turns of its last mounting so. [um]
    read_um : float
        [um TIR]
    mountings : int
        How many of them read over it.
    """

    trace: Trace
    read_um: float
    mountings: int


def over(readings: Readings, limit_um: float) -> WheelOn | None:
    """Find what was last read with the wheel on of the rotor as it stands; None where that is not over the limit.

    Parameters
    ----------
    readings : Readings
    limit_um : float
        Of the mounted runout. [um TIR]

    Notes
    -----
    On the stud where it stands, and as clean as it is: on another stud, or over dirt that went since, it was another
    reading. The limit is made for turns with the wheel off (common practice, no source); that either over it counts as
    over is judgement.
    """
    mounted = readings.of("mounted")
    if not mounted or mounted[-1].clamped_by == WHEEL:
        return None  # else it is the reading that is judged anyway
    turns = [one for kind in FACE for one in readings.of(kind) if _as_now(one, mounted[-1])]
    mounts = sorted({one.mount for one in turns})
    over_it = [[one for one in _middles(readings, turns, mount) if one[1] > limit_um] for mount in mounts]
    if not over_it or not over_it[-1]:
        return None
    return WheelOn(*over_it[-1][-1], sum(map(bool, over_it)))


def _as_now(one: Trace, now: Trace) -> bool:
    alike = (one.corner, one.studs_turned) == (now.corner, now.studs_turned)
    return alike and one.clamped_by == WHEEL and (one.state in CLEAN_STATES) == (now.state in CLEAN_STATES)


def _middles(readings: Readings, turns: Sequence[Trace], mount: int) -> list[tuple[Trace, float]]:
    """Each face of one mounting, with what it reads. [um TIR]."""
    found = []
    for kind in FACE:
        here = [one for one in turns if (one.kind, one.mount) == (kind, mount)]
        if here:
            middle = standing(here, [readings.step_um(one) for one in here])
            found.append((middle, counted_um(middle, readings.step_um(middle))))
    return found


def held(readings: Readings, limit_um: float) -> ReadingFault | None:
    """Say of a clean rotor that it reads over its limit with the wheel on, and what is done; None where it does not.

    Parameters
    ----------
    readings : Readings
    limit_um : float
        [um TIR]

    Notes
    -----
    By rule: `over`. Over dirt nothing is left on, and it is cleaned whatever it reads.
    """
    found = over(readings, limit_um)
    if found is None or found.trace.state not in CLEAN_STATES:
        return None
    one = found.trace
    text = TEXT.format(face=FACE[one.kind], mount=one.mount, read=found.read_um, limit=limit_um)
    more = CLEANED if found.mountings < 2 else ANOTHER.format(times=found.mountings)
    return ReadingFault(OVER, f"{one.kind}, mount {one.mount}", (), found.read_um, 0.0, text + more)
