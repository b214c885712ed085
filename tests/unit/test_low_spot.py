"""A pit in a bare hub face: seen once it is read again, told where it is, and no hub is bought for it."""

from __future__ import annotations

import re

import numpy as np
import pytest

from scenes.words import mountings as said
from scenes.words import to_read_again
from sim.bench.low_spot import low_places_deg
from sim.causes.decision import decide
from sim.files.dial_readings import parse
from tests.studies import odd_turns
from tests.studies.odd_turns import FACE, LIMITS, TWELVE

CLEANED, AGAIN = "cleaned", "cleaned again"
SEEN = r"hub face: low by about (39|40|41) µm at {where} degrees, and reads so again: a pit"


def asked(*states, low=(4, 5), depth_um=40.0, lean_um=2.0, places=TWELVE, step=1.0):
    value = lean_um / 2.0 * np.cos(np.radians(places - 20.0))
    value[list(low)] -= depth_um
    rows = [odd_turns.rows(FACE, 2, places, step * np.round((value + k) / step), step, s) for k, s in enumerate(states)]
    text = odd_turns.HEAD.format(step=step) + odd_turns.beside(FACE) + "".join(rows)
    decided = decide(parse(text), LIMITS)
    lead = said.lead(decided.told, decided.act, to_read_again.doubts(decided.read))
    return decided, lead, to_read_again.remarks(decided.told, decided.read)


@pytest.mark.parametrize("step", [1.0, 10.0])
@pytest.mark.parametrize(("low", "where"), [((4,), "120"), ((4, 5), "120 and 150")])
def test_a_pit_that_was_read_twice_is_told_where_it_is_and_is_no_dirt_and_no_lean(low, where, step):
    """Look at 0°, what stands up there is stoned flat: it lay 40 µm low at 120°."""
    once = asked(CLEANED, low=low, step=step)[0].act
    assert once.what == "read again"
    for states in ((CLEANED,) * 2, (CLEANED,) * 3):
        decided, lead, remarks = asked(*states, low=low, step=step)
        assert decided.act.what == "done"
        assert decided.act.hub_face.state == "below"
        assert "look at the bare hub face" not in lead
        assert any(re.match(SEEN.format(where=where), one) for one in remarks)
        assert any("a straight edge across it must not rock" in one for one in remarks)


def test_no_hub_is_renewed_for_a_pit_once_the_face_was_looked_at():
    """Hub and bearing, of a face that leaned 2 µm."""
    decided, lead, _ = asked(CLEANED, AGAIN, AGAIN)
    assert decided.act.what != "hub"
    assert "Hub and bearing" not in lead


def test_a_face_that_leans_over_its_limit_is_over_with_a_pit_in_it_too():
    decided, _, remarks = asked(CLEANED, CLEANED, lean_um=40.0, depth_um=60.0)
    assert (decided.act.hub_face.state, decided.act.what) == ("above", "hub")
    assert any("and reads so again: a pit" in one for one in remarks)


def test_what_stands_up_or_lies_low_over_a_quarter_of_the_turn_is_no_pit():
    for low, depth_um, places in (((4,), -40.0, TWELVE), ((2, 3), 40.0, TWELVE[::2])):
        decided, _, remarks = asked(CLEANED, CLEANED, low=low, depth_um=depth_um, places=places)
        assert not any("a pit" in one for one in remarks)
        assert not low_places_deg(decided.read.bare_face, decided.read)
        assert decided.act.what != "done"
