"""Whether turns of a table show what a bearing with play does, in whatever state: the hub is rocked before all.

A hub that knocks makes turns ragged, brings them back off their start, and apart from each other. One turn that reads
little on such a hub is one throw of it; what it read as found it does clean as well, as no brush takes play away.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations

import numpy as np
from scipy.special import chdtri

from sim import turn as ring
from sim.arrays import Floats
from sim.bench.one_seat import as_one
from sim.bench.open_readings import open_readings
from sim.bench.read_alike import marked
from sim.bench.unlike_mountings import far_apart
from sim.files.clean_turn import ROUGH_UM, reading_sd
from sim.files.dial_readings import Readings, Trace
from sim.files.reading_faults import most_drift_um
from sim.files.readings_head import NO_PLAY, UNDER_LOAD
from sim.files.readings_rows import CLEAN_STATES
from sim.files.trace import BARE_FACE, PLAY, LeftOut
from sim.files.unlike_turns import has_it_rocked, unlike
from sim.files.without_signs import unsigned
from sim.one_thread import one_thread

#: So many turns that came back off their start are no dial that was touched once. Judgement.
LEAST_OFF = 2
#: So seldom the turns of a rough hand and its dial are as ragged as that together: one table of a thousand.
TAIL = 0.001
#: Waves a turn that a rotor may have by itself, as far as its places carry them with some to spare.
MOST_WAVES, SPARE = 3, 3


def told(readings: Readings) -> Readings:
    """Say what turns show of the bearing: marks of play, or what was felt since, and clean turns that are not alike.

    Parameters
    ----------
    readings : Readings
        Those that count, with what is to be read again.
    """
    clean = [one for one in readings.of("mounted") if one.state in CLEAN_STATES]
    turns = as_one(readings, clean)
    found = (unlike(turns, readings.step_um) or far_apart(readings)) if clean else None
    if found is not None and found.one_mounting:
        written = {was.mount for was, one in zip(clean, turns, strict=True) if one.mount == found.mounts[0]}
        found = replace(found, mounts=tuple(sorted(written)), seat=len(written) > 1)
    return replace(felt(rocked(readings)), unlike=None if readings.bearing == UNDER_LOAD else found)


def rocked(readings: Readings) -> Readings:
    """Mark the mount that stands where turns show play: the hub is rocked before all.

    Parameters
    ----------
    readings : Readings
    """
    mounted = readings.of("mounted")
    if readings.bearing or not mounted:
        return readings  # it was rocked: `felt`
    if open_readings(readings):
        return _left_out_before(readings)  # what is to be read again says of play itself
    if _beside_left_out(readings):
        return marked(readings, LeftOut(PLAY, mounted[-1].state))
    return _left_out_before(readings)


def _beside_left_out(readings: Readings) -> bool:
    """Whether turns show play; of a mount of which turns were left out, by what says more than that they were."""
    last = readings.of("mounted")[-1]
    of_itself = bool(last.left_out) and last.left_out_of != BARE_FACE
    return shown(readings, parted=not of_itself)


def _shows_all_the_same(readings: Readings) -> bool:
    """Whether turns of a hub that by hand has no play show it, or something was left out as others agree.

    A slip of the pen looks so too; but one throw of a bearing that feels tight is no other. Judgement.
    """
    mounted = readings.of("mounted")
    if not mounted:
        return False
    return bool(mounted[-1].left_out or readings.left_out) or shown(replace(readings, bearing=""))


def _left_out_before(readings: Readings) -> Readings:
    """Mark the mount that stands where something was left out of another, clean or not as it is: play stays so moved.

    Whether the rotor went to another stud since or was put on again.
    """
    last = readings.of("mounted")[-1]
    clean = last.state in CLEAN_STATES
    before = [one for one in readings.left_out if (one.state in CLEAN_STATES) == clean]
    return readings if last.left_out or not before else marked(readings, before[-1])


def felt(readings: Readings) -> Readings:
    """Take every mark of play out of a table that says what was felt when the hub was rocked; others as they are.

    One that shows it though none was felt keeps that: by hand a bearing may feel tight.

    Parameters
    ----------
    readings : Readings
    """
    if not readings.bearing:
        return readings
    return replace(
        readings,
        tight=readings.bearing == NO_PLAY and _shows_all_the_same(readings),
        traces=tuple(replace(one, left_out=0, left_out_of=0, left_out_turns=0) for one in readings.traces),
        left_out=(),
    )


@one_thread
def shown(readings: Readings, parted: bool = True) -> bool:
    """Whether mounted turns of a table show play: off their start, apart from each other, or ragged.

    Parameters
    ----------
    readings : Readings
    parted : bool
        Whether turns of one mount that part count.

    Notes
    -----
    `LEAST_OFF` turns that did not come back; turns of one mounting that part more than a rough hand and its dial do
    (`sim.files.unlike_turns.has_it_rocked`), none of them for its signs; or what is left of all turns beside their low
    waves, of a mount that was read again what its turns differ by, more than a hand and its dial err by: chi-square
    (`sim.files.clean_turn.reading_sd`). None where somebody rocked the hub since. [um]
    """
    if readings.bearing:
        return False
    off = (one for one in readings.as_read if one.kind == "mounted" and one.drift_um is not None)
    if sum(abs(one.drift_um or 0.0) > most_drift_um(readings.step_um(one)) for one in off) >= LEAST_OFF:
        return True
    turns = [one for one in readings.as_entered if one.kind == "mounted" and not one.in_part]
    if parted and _any_part(readings, turns):
        return True
    square = freedom = 0.0
    for mount in dict.fromkeys((one.mount, one.state) for one in turns):
        there = [one for one in turns if (one.mount, one.state) == mount]
        more, free = _ragged(there, [readings.step_um(one) for one in there])
        square, freedom = square + more, freedom + free
    return bool(freedom and square > chdtri(freedom, TAIL))


def _any_part(readings: Readings, turns: Sequence[Trace]) -> bool:
    """Whether two turns of a mounting part so far that it is rocked, and neither is the other without minus signs.

    By rule.
    """

    def stand(one: Trace) -> tuple[object, ...]:
        return one.corner, one.mount, one.studs_turned, one.state, one.clamped_by

    pairs = [(one, other) for one, other in combinations(turns, 2) if stand(one) == stand(other)]
    for one, other in pairs:
        steps = readings.step_um(one), readings.step_um(other)
        part = readings.parted(one, other) or has_it_rocked(one, other, steps, len(pairs))
        if part and not (unsigned(one, other, steps[0]) or unsigned(other, one, steps[1])):
            return True
    return False


def _ragged(there: Sequence[Trace], steps_um: Sequence[float]) -> tuple[float, int]:
    """Squares of what turns of one mount leave beside their low waves, over a reading's variance; their freedom.

    Of several turns at the same places what each differs from their mean by: what a rotor's face has is in all.
    """
    alike = [one for one in there if np.array_equal(one.angle_deg, there[-1].angle_deg)]
    if len(alike) > 1:
        mean = np.mean([one.value_um for one in alike], axis=0)
        left = [replace(one, value_um=one.value_um - mean) for one in alike]
        share = (len(alike) - 1) / len(alike)
    else:
        left, share = [there[-1]], 1.0
    square, free = 0.0, 0.0
    for one, step in zip(left, steps_um[-len(left) :], strict=True):
        rest, each = _beside_waves(one)
        square += float((rest**2).sum()) / reading_sd(step, ROUGH_UM) ** 2
        free += each * share
    return square, round(free)


def _beside_waves(one: Trace) -> tuple[Floats, int]:
    """What a turn leaves beside its mean and low waves, and its degrees of freedom: none of few places. [um].

    Least squares.
    """
    places = one.angle_deg.size
    waves = min(MOST_WAVES, (places - 1 - SPARE) // 2)
    if waves < 1:
        return np.zeros(places), 0
    basis = ring.design_matrix(one.angle_deg, waves)
    rest: Floats = one.value_um - basis @ np.linalg.lstsq(basis, one.value_um, rcond=None)[0]
    return rest, places - basis.shape[1]
