"""Nothing is left on by one turn: before a dial comes off, a mount that is to stay is read by one turn more.

A bearing that throws the hub otherwise each turn, or a turn that slipped somewhere, may read little once, and nothing
in that turn says so. The second costs a minute; where the two part, `sim.files.read_anew` and the bearing come first.
"""

from __future__ import annotations

import math

from sim.bench.bare_face import HubFace
from sim.bench.read_alike import by_stand
from sim.files.dial_readings import Readings, Trace
from sim.files.readings_rows import CLEAN_STATES
from sim.parts.dial import TOO_CLOSE
from sim.turn import tir


def wanted(readings: Readings, face: HubFace | None, limit_um: float = math.inf) -> bool:
    """Whether the rotor as it stands, read clean, was read on its stud by one turn alone, and no bare face comes first.

    Parameters
    ----------
    readings : Readings
        Those that count: of `sim.bench.cleaned_again.settled`.
    face : HubFace or None
        The bare hub face: while more is asked of that (`HubFace.let_be`) the rotor comes off for it, and is read again
        on it.
    limit_um : float
        Of the mounted runout. [um TIR]

    Notes
    -----
    By rule. Turns of other mounts of that stud count too, whatever was read in between, where all that were put on
    there read alike (`sim.bench.read_alike`), in the same state and under the limit too: several that are over it leave
    nothing on for one that is not. Once one of them was left out the last is read twice by itself.
    """
    mounted = readings.of("mounted")
    if not mounted or mounted[-1].state not in CLEAN_STATES:
        return False
    if face is not None and face.state == TOO_CLOSE and not face.let_be:
        return False
    last = mounted[-1]
    there = next(turns for turns in by_stand(readings) if turns[-1] is last)
    counts = {one.mount for one in there}
    entered = [one for one in readings.as_entered if one.kind == "mounted" and one.studs_turned == last.studs_turned]
    state = next((one.state for one in reversed(entered) if one.mount == last.mount), last.state)
    # What a second cleaning took away was dirt: a mount that lay on it parts from no other.
    out = any(one.mount not in counts and one.state == state for one in entered)
    states = {one.mount: one.state for one in entered}

    def repeats(one: Trace) -> bool:
        return not out and states.get(one.mount) == state and tir(one.value_um) <= limit_um

    return len([one for one in there if one.mount == last.mount or repeats(one)]) == 1
