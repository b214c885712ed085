"""A rotor that reads clearly more once cleaned than as found is put on again before a stud or a part rests on it."""

from __future__ import annotations

from sim.bench.between_places import counted_um
from sim.bench.judged_thickness import judged_thickness
from sim.bench.mountings import TOLD, first_orders_apart
from sim.bench.next_act import bare_hub
from sim.bench.pooled_turns import standing
from sim.bench.seatings import ON_THAT_STUD
from sim.files.dial_readings import Readings, Trace
from sim.files.reading_faults import WORSE, ReadingFault
from sim.files.readings_rows import CLEAN_STATES
from sim.parts.case import Limits
from sim.parts.dial import ABOVE, Dial, against_limit
from sim.parts.thickness import MEAN_OF

TEXT = (
    "{name}: read clean it runs out {more:.0f} µm more than as found on that stud ({usual:.0f} µm is usual): dirt had "
    "cancelled there, or something lies under it now, or a turn was written otherwise; {again}"
)


def asked(readings: Readings, limits: Limits) -> ReadingFault | None:
    """Say that the one clean mounting of a table is put on again, as cleaning made it worse; None for others.

    Parameters
    ----------
    readings : Readings
        Those that count: of `sim.bench.cleaned_again.settled`.
    limits : Limits

    Notes
    -----
    By rule, of a runout that is over its limit by more than its dial is unsure by: below it what cleaning moved
    (`sim.bench.told_by_mountings.ToldApart.taken_off`) is said beside what leaves it on. More than two mountings of one
    rotor part by (`sim.bench.came_back`: 95 of 100), whatever cleaning took. Held against the middle of the turns as
    found, on the stud where it stands and held alike; not once so many turns of it were read that they have ends of
    their own (`MEAN_OF`). [um TIR]
    """
    mounted = readings.of("mounted")
    entered = [one for one in readings.as_entered if one.kind == "mounted" and not one.in_part]
    clean = {one.mount for one in entered if one.state in CLEAN_STATES}
    if not mounted or clean != {mounted[-1].mount}:
        return None
    last = mounted[-1]
    before = [one for one in mounted if one.state not in CLEAN_STATES and _alike(one, last)]
    if not before or _goes_anyway(readings, limits):
        return None
    now = standing(mounted, [readings.step_um(one) for one in mounted])
    step_um = readings.step_um(now)
    read_um = counted_um(now, step_um)
    doubt_um = Dial(step_um, now.turns).doubt_um
    more_um = read_um - counted_um(before[-1], readings.step_um(before[-1]))
    usual_um = 2.0 * TOLD * first_orders_apart(readings, before[-1], now)[1]
    if (
        now.turns >= MEAN_OF
        or more_um <= usual_um
        or against_limit(read_um, limits.mounted_runout_um, doubt_um) != ABOVE
    ):
        return None
    name = f"mounted, mount {last.mount}"
    again = ON_THAT_STUD.format(stud=last.studs_turned + 1)
    text = TEXT.format(name=name, more=more_um, usual=usual_um, again=again)
    return ReadingFault(WORSE, name, (), more_um, 0.0, text)


def _goes_anyway(readings: Readings, limits: Limits) -> bool:
    """Whether hub or rotor is over a limit of its own: no rotor is put on again for that."""
    face, thickness = bare_hub(readings, limits), readings.thickness
    varies = None if thickness is None else judged_thickness(readings, thickness, limits)
    return (face is not None and face.state == ABOVE) or (
        varies is not None and (varies.state == ABOVE or varies.counts_over)
    )


def _alike(one: Trace, last: Trace) -> bool:
    return (one.studs_turned, one.clamped_by, one.corner) == (last.studs_turned, last.clamped_by, last.corner)
