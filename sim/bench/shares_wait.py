"""Shares of hub, rotor and dirt wait while a turn that they rest on is under suspicion, or mountings contradict."""

from __future__ import annotations

from sim.bench.mountings import still_stand
from sim.bench.open_readings import open_readings
from sim.bench.told_by_mountings import ToldApart
from sim.files.dial_readings import Readings
from sim.files.reading_faults import WRITTEN


def shares_wait(readings: Readings, told: ToldApart) -> bool:
    """Whether nothing is reckoned from these mountings before one of them is read again, or what is written looked at.

    Parameters
    ----------
    readings : Readings
        Those that count, with what is to be read again.
    told : ToldApart
        What they tell.

    Notes
    -----
    A mounted turn that is to be read again; one, or a bare face, that would fit the others written otherwise and still
    counts; mountings of one stud that did not come back, or that fit no one hub and rotor. By rule.
    """
    asked = any(one.trace.startswith("mounted") for one in open_readings(readings))
    may_be = any(one.fault == WRITTEN and _counts(one.text, readings) for one in readings.faults)
    return asked or may_be or any(one.at_odds for one in still_stand(told.states))


def _counts(text: str, readings: Readings) -> bool:
    """Whether the turn of which this is said was not left out."""
    name = text.partition(":")[0]
    return any(name in (one.kind, f"{one.kind}, mount {one.mount}") for one in readings.traces)
