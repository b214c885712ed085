"""A finding written by hand for tests of pages and drawings: real readings, made-up weights; no estimator behind it."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np

import demo_geometry
from sim.bench.mountings import told_apart
from sim.causes import names
from sim.causes.answer import After, Finding, Fitted, NextReading, Ranked
from sim.causes.priors import Priors
from sim.files import dial_readings

TURN_DEG = np.arange(360.0)
FOUR = Path(demo_geometry.__file__).parent / "readings_four_mountings.csv"


def drawn_as(trace, orders):
    """What some orders of a trace draw, one value a degree, and the readings' mean."""
    basis = [np.ones_like(trace.angle_deg)]
    whole = [np.zeros_like(TURN_DEG)]
    for n in orders:
        for wave in (np.cos, np.sin):
            basis.append(wave(np.radians(n * trace.angle_deg)))
            whole.append(wave(np.radians(n * TURN_DEG)))
    fit, *_ = np.linalg.lstsq(np.stack(basis, 1), trace.value_um, rcond=None)
    return np.stack(whole, 1) @ fit, float(trace.value_um.mean())


def fitted(trace):
    """Dirt draws the trace well, hub face runout its first order only, the rotor the same one turned by a quarter."""
    full, mean = drawn_as(trace, (1, 2, 3))
    lean, _ = drawn_as(trace, (1,))
    drawn = {names.HUB_DIRT: full, names.HUB_FACE: lean, names.ROTOR: 0.6 * np.roll(lean, 70)}
    read = trace.value_um - mean
    left = {name: read - np.interp(trace.angle_deg, TURN_DEG, line, period=360.0) for name, line in drawn.items()}
    return Fitted(trace.kind, trace.mount, trace.angle_deg, read, drawn, left)


def ranked(cause, probability, runout=(20.0, 40.0, 60.0)):
    """One row; where it stands follows from nothing but the row."""
    return Ranked(cause, probability, min(1.0, 1.2 * probability), runout, runout, 62.0, 9.0, names.frame_of(cause))


def finding(path=FOUR, **changes):
    """Dirt on the hub, found; any field replaced."""
    return replace(_found(path), **changes)


@cache
def read_once(path):
    """Readings of a file that is shipped, read once for all tests of a process."""
    return dial_readings.read(path)


@cache
def _found(path):
    given = read_once(path)
    return Finding(
        told=told_apart(given),
        ranked=(
            ranked(names.HUB_DIRT, 0.86, (48.0, 61.0, 75.0)),
            ranked(names.HUB_FACE, 0.08),
            ranked(names.ROTOR, 0.04),
            ranked(names.SPIGOT, 0.02),
        ),
        finding=names.HUB_DIRT,
        cannot_tell=(),
        none_fits=False,
        misfit_share=0.4,
        after=(
            After("as it is", (70.0, 82.0, 95.0), 0.02, None),
            After("cleaned", (14.0, 28.0, 44.0), 0.93, None),
            After("indexed", (60.0, 71.0, 88.0), 0.05, 2),
            After("cleaned and indexed", (9.0, 21.0, 37.0), 0.97, 3),
        ),
        next_readings=(NextReading(names.CLEAN_AND_REFIT, 0, 12.0, 0.31, "what goes was dirt"),),
        do=names.CLEAN,
        fitted=tuple(fitted(trace) for trace in given.of("mounted")),
        columns=2400,
        effective_columns=210.0,
        priors=Priors(),
    )


def open_finding(**changes):
    """Hub face or dirt: not told apart, another reading asked for."""
    two = (
        ranked(names.HUB_DIRT, 0.47),
        ranked(names.HUB_FACE, 0.41),
        ranked(names.ROTOR, 0.08),
        ranked(names.SPIGOT, 0.04),
    )
    lead = {"ranked": two, "finding": None, "cannot_tell": (names.HUB_DIRT, names.HUB_FACE)}
    return finding(**(lead | {"do": names.MEASURE + names.CLEAN_AND_REFIT} | changes))


def on_the_ground(told):
    """What those readings tell as found, under bare nuts: the car is lifted and the rotor held before it is read."""
    return replace(told, states=(replace(told.states[0], clamped_by="bare nuts"),))
