"""What a second cleaning did: the reading after it beside the one before it, and which mounts then still count.

Dirt that cleaning left on the rotor's seat turns with the rotor as its own runout does, on every stud; dirt left on
the hub stays with it as its lean does. Cleaned once more and put back on the same stud, dirt shows and a part does not.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from scipy.special import chdtri

from sim.bench import one_seat
from sim.bench.mountings import TOLD, orders_of, vector
from sim.bench.read_alike import mounts_alike, read_alike
from sim.bench.read_otherwise import held
from sim.bench.scattering import alone_on_its_stud
from sim.bench.stoned import explains
from sim.bench.told_by_mountings import Again
from sim.files.dial_readings import Readings, Trace
from sim.files.readings_rows import AGAIN, CLEAN_STATES, CLEANED, RETORQUED
from sim.one_thread import one_thread

#: Traces of a rotor that stands: what they were read over is gone with a second cleaning.
STANDING = ("mounted", "inboard")
#: So seldom two readings of what stayed as it is differ by as much: what is left out is then read anew, no more.
TAIL = 0.05


def settled(readings: Readings) -> tuple[Readings, Again | None]:
    """Hold the reading after a second cleaning against the one before it; then mounts that three on one stud outweigh.

    Parameters
    ----------
    readings : Readings
        As `by_cleaning` takes them.

    Returns
    -------
    readings : Readings
    again : Again or None
        As `by_cleaning` has them.

    Notes
    -----
    `by_cleaning`, and `sim.bench.scattering.alone_on_its_stud`, whose sources stand there. [um]
    """
    read, again = by_cleaning(readings)
    return (alone_on_its_stud(read) if read.of("mounted") else read), again


@one_thread
def by_cleaning(readings: Readings) -> tuple[Readings, Again | None]:
    """Hold the reading after a second cleaning against the one before it.

    Parameters
    ----------
    readings : Readings
        Mounts read after a second cleaning are ``cleaned again``; so are those that follow them. Nuts tightened anew on
        clean faces make none dirty: such a turn takes the place of the one before it. A mount that two others on its
        stud contradict counts no more: `sim.bench.read_alike`.

    Returns
    -------
    readings : Readings
        All ``cleaned``; without the clean mounts that were read over what the second cleaning took away.
    again : Again or None
        None where nobody cleaned it twice, or where it stood on no stud on which something clean was read before.

    Notes
    -----
    Chi-square of what differs in the first order and in the second, that scale on the spigot makes (JCGM 100). [um]
    """
    readings = read_alike(_tightened(held(one_seat.held(readings))))
    mounted = readings.of("mounted")
    start = next((k for k, one in enumerate(mounted) if one.state == AGAIN), None)
    if start is None:
        return _renamed(readings), None
    before = [one for one in mounted[:start] if one.state == CLEANED]
    found = _on_one_stud(mounted, start)
    if before and found is None:
        return _renamed(readings), None
    if found is None:
        return _renamed(readings), Again(tuple(sorted({one.mount for one in mounted[start:]})), (), {}, False)
    earlier, start, later = found
    since, before = mounted[start:], [one for one in mounted[:start] if one.state in CLEAN_STATES]
    mounts = tuple(sorted({one.mount for one in since}))
    (was, was_sd), (now, now_sd) = (orders_of(one, readings.step_um(one)) for one in (earlier, later))
    gone, sd = was - now, np.hypot(was_sd, now_sd)
    read = [n for n in (1, 2) if np.isfinite(sd[n])]
    took = {n: vector(complex(gone[n]), float(sd[n]), n) for n in read}
    went = float((np.abs(gone[read]) ** 2 / sd[read] ** 2).sum()) > float(chdtri(2 * len(read), TAIL))
    # Two mounts of one stud so far apart contradict each other (`sim.bench.mountings`): here a cleaning lies between.
    went = went or bool(abs(gone[1]) > TOLD * sd[1])
    over = tuple(sorted({one.mount for one in before} - set(mounts))) if went else ()
    of_metal = went and 1 in took and explains(readings, took[1], later.studs_turned)
    kept = tuple(one for one in readings.traces if not _over(one, over))
    faults = tuple(one for one in readings.faults if not one.trace.endswith(tuple(f", mount {n}" for n in over)))
    return _renamed(replace(readings, traces=kept, faults=faults)), Again(mounts, over, took, went, of_metal)


def _on_one_stud(mounted: Sequence[Trace], start: int) -> tuple[Trace, int, Trace] | None:
    """Two readings of one stud with a second cleaning between them, and from where on it counts; None where none are.

    The rotor may have gone to another stud with the second cleaning: then a later mount is the first that stands where
    one was read before it; or, told so and cleaned once more there, the next of that stud is that says so.
    """
    before = [one for one in mounted[:start] if one.state == CLEANED]
    for later in mounted[start:]:
        for earlier in reversed(before):
            if earlier.studs_turned == later.studs_turned:
                return earlier, start, later
    for k, later in enumerate(mounted[start:], start):
        if later.state != AGAIN:
            continue  # put on there again, or tightened anew: nothing was cleaned between
        for earlier in reversed(mounted[start:k] if before else ()):
            if earlier.studs_turned == later.studs_turned and earlier.mount != later.mount:
                return earlier, k, later
    return None


def _tightened(readings: Readings) -> Readings:
    """Call clean what was tightened anew on clean faces, and leave out what that mount read before it."""
    clean: dict[int, str] = {}
    anew: dict[Trace, str] = {}
    for one in readings.of("mounted"):
        if one.state in CLEAN_STATES:
            clean[one.mount] = one.state
        elif one.state == RETORQUED and clean:
            anew[one] = clean.get(one.mount, CLEANED)
    gone = {one.mount for one in anew}
    traces = tuple(
        replace(one, state=anew[one]) if one in anew else one
        for one in readings.traces
        if one in anew or not (one.kind in STANDING and one.state in CLEAN_STATES and one.mount in gone)
    )
    return replace(readings, traces=traces) if anew else readings


def _over(trace: Trace, mounts: tuple[int, ...]) -> bool:
    return trace.kind in STANDING and trace.state in CLEAN_STATES and trace.mount in mounts


def _renamed(readings: Readings) -> Readings:
    """Return the table with one name for what was cleaned, once or twice, and what does not come back left out.

    A bare face keeps its own: cleaned again it was looked at, and what was stoned off counts no more.
    """
    if all(one.state != AGAIN for one in readings.traces):
        return readings
    again = [one.state == AGAIN and one.kind != "hub face" for one in readings.traces]
    traces = tuple(
        replace(one, state=CLEANED) if renamed else one for one, renamed in zip(readings.traces, again, strict=True)
    )
    return mounts_alike(replace(readings, traces=traces))
