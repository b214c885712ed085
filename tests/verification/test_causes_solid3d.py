"""Readings drawn from the stored three-dimensional solutions, which share no mechanics with `sim`, put to the ranking.

What a deck shows stays with the hub, so that re-indexing turns it on in the rotor's frame (the bodies are round and
their studs alike); a rotor's own runout and a hub's lean are added exactly, since a plane only adds. The dial is of
0.01 mm, read to half divisions at twelve places.
"""

from dataclasses import replace

import numpy as np
import pytest

from sim.causes.finding import weigh
from sim.causes.names import HUB_DIRT, HUB_FACE, LEAVE, MEASURE, RETORQUE, TORQUE
from sim.files.dial_readings import Readings, Trace, parse, to_csv
from tests.verification.solid3d import stored

pytestmark = pytest.mark.usefixtures("fewest_seatings")
STUDS = 5
PLACES = np.arange(12) * 30.0


def _case(name):
    """The deck's own geometry with nothing wrong with it."""
    case = stored.reference(name).case
    return replace(case, debris=(), studs=replace(case.studs, preload_n=50_000.0))


def _on_hub(name, angle_deg):
    """The deck's outboard trace at hub angles."""
    trace = np.array(stored.reference(name).trace_um)
    at = np.arange(trace.size + 1) * 360.0 / trace.size
    return np.interp(angle_deg % 360.0, at, np.append(trace, trace[0]))


def _lean(tir_um, high_spot_deg, angle_deg):
    return tir_um / 2 * np.cos(np.radians(angle_deg - high_spot_deg))


def _readings(name, hub_um, own_um, steps):
    """Mountings of a deck: a step is state, studs turned, mount and whether what the deck solved is still there."""
    traces = []
    for state, turned, mount, there in steps:
        on_hub = PLACES + turned * 360.0 / STUDS
        value = _lean(*hub_um, on_hub) + _lean(*own_um, PLACES) + (_on_hub(name, on_hub) if there else 0.0)
        shown = np.round((value - value[0]) / 5.0) * 5.0
        traces.append(Trace("mounted", mount, turned, PLACES, shown, None, state, "", "nuts and spacers"))
    return parse(to_csv(Readings(STUDS, 140.0, None, 10.0, tuple(traces))))


def _asked(name, hub_um, own_um, steps):
    return weigh(_readings(name, hub_um, own_um, steps), _case(name))


def _ranked(answer, cause):
    return next(one for one in answer.ranked if one.cause == cause)


CLEANED = (("as found", 0, 1, True), ("as found", 2, 2, True), ("cleaned", 0, 3, False))


def test_a_speck_on_the_hub_is_found_where_it_lies():
    answer = _asked("E2", (6.0, 200.0), (12.0, 80.0), CLEANED)
    assert not answer.none_fits
    assert answer.ranked[0].cause == HUB_DIRT
    dirt = _ranked(answer, HUB_DIRT)
    solved = stored.reference("E2").lateral_runout_um["outboard"]
    assert dirt.runout_um[0] <= solved <= dirt.runout_um[2]
    assert abs((dirt.high_spot_deg - 36.0 + 180.0) % 360.0 - 180.0) <= 10.0


def test_a_lean_beside_a_smaller_speck_is_not_blamed_on_it():
    answer = _asked("E5", (90.0, 300.0), (12.0, 80.0), CLEANED)
    assert not answer.none_fits
    assert answer.ranked[0].cause == HUB_FACE
    lean = _ranked(answer, HUB_FACE)
    assert lean.runout_um[0] <= 90.0 <= lean.runout_um[2]
    assert abs((lean.high_spot_deg - 300.0 + 180.0) % 360.0 - 180.0) <= 10.0


def test_a_nut_that_was_off_is_not_left_out_and_blames_neither_dirt_nor_a_part():
    # 15 um TIR, hardly more than the scatter of putting a rotor on; tightened and read again in the same mounting.
    answer = _asked("E11", (3.0, 200.0), (4.0, 80.0), (("as found", 0, 1, True), ("retorqued", 0, 1, False)))
    assert not answer.none_fits
    assert answer.finding in (None, TORQUE)
    assert TORQUE in (answer.finding, *answer.cannot_tell)
    assert HUB_DIRT not in answer.cannot_tell
    torque, solved = _ranked(answer, TORQUE), stored.reference("E11").lateral_runout_um["outboard"]
    assert torque.runout_um[0] <= solved <= torque.runout_um[2]
    assert answer.do in (LEAVE, RETORQUE) or answer.do.startswith(MEASURE)
