"""A mount that was read before its bare hub face was looked at and changed: it is read anew, nothing rests on it."""

from __future__ import annotations

from sim.files.dial_readings import Readings
from sim.files.reading_faults import ReadingFault
from sim.files.readings_rows import AGAIN, CLEANED

CHANGED = "hub face changed"
READ_ANEW = (
    "mount {mount} was read before the bare hub face was looked at, and that reads otherwise since: put the rotor back "
    "on the same stud and read it (next mount number, state cleaned again)"
)


def changed_since(readings: Readings) -> tuple[ReadingFault, ...]:
    """Say that the mount that stands was read on another face: one that was stoned flat since, or cleaned of a lump.

    Parameters
    ----------
    readings : Readings

    Notes
    -----
    By rule: a bare face ``cleaned again`` that parts from the one that was ``cleaned``, and no mount behind it in the
    table; where the face has a table of its own (`sim.bench.from_readings.together`) a mount ``cleaned again`` is
    behind it, for lines tell no order there. Chi-square of a difference (`sim.files.reading_faults.read_twice`).
    """
    before = [one for one in readings.of("hub face") if one.state == CLEANED]
    since = [one for one in readings.of("hub face") if one.state == AGAIN]
    mounted = readings.of("mounted")
    if not (before and since and mounted) or not readings.parted(before[-1], since[-1]):
        return ()
    behind = readings.traces[readings.traces.index(since[0]) :]
    if any(one.kind == "mounted" for one in behind):
        return ()
    now = mounted[-1]
    # What a second cleaning did not change stands as cleaned by now: how it was entered counts.
    entered = {one.state for one in readings.as_entered if (one.kind, one.mount) == (now.kind, now.mount)}
    if now.line and not since[0].line and AGAIN in entered:
        return ()
    return (ReadingFault(CHANGED, f"mounted, mount {now.mount}", (), 0.0, 0.0, READ_ANEW.format(mount=now.mount)),)
