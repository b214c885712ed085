"""Turns whose high spots wander cancel in their middle: their own readings are told, judged and given odds."""

from types import SimpleNamespace

import numpy as np
import pytest

from scenes.words import left_on, mountings
from sim.bench import next_act as rules
from sim.bench.turns_cancel import counts_um
from sim.causes import names
from sim.causes.answer import After
from sim.causes.decision import decide
from sim.causes.ordered import _as_read, _not_over_as_read
from sim.files.dial_readings import parse
from sim.files.trace import Trace
from tests.unit.test_mountings import LIMITS
from tests.unit.test_scattering import HEAD
from tests.unit.test_second_turn import FACE, FOUND, THICK, rows

PLACES = np.arange(12) * 30.0


def turn(tir_um, at_deg, mount=2):
    value = 5.0 * np.round(tir_um / 10.0 * np.cos(np.radians(PLACES - at_deg)))
    return Trace("mounted", mount, 0, PLACES, value, None, "cleaned")


@pytest.mark.parametrize("mounts", [(2, 2), (2, 3)])
def test_two_that_part_read_as_the_larger_and_no_turn_reads_more_than_what_is_told(mounts):
    """Two of 45 µm were told as 40, of 10 as 5, 40 and 49 as 43 "of this mounting"."""
    wander = [turn(40.0, 0.0, mounts[0]), turn(50.0, 60.0, mounts[1])]
    assert counts_um(39.0, wander, [10.0, 10.0]) == 50.0
    three = [*wander, turn(40.0, 120.0, mounts[1])]
    assert counts_um(30.0, three, [10.0] * 3) == 40.0
    alike = [turn(40.0, 0.0, mounts[0]), turn(45.0, 0.0, mounts[1])]
    assert counts_um(42.5, alike, [10.0, 10.0]) == 42.5
    assert counts_um(40.0, alike[:1], [10.0]) == 40.0


def test_all_that_read_more_than_their_middle_by_more_than_rounding_count_by_themselves():
    alike = [turn(40.0, 0.0), turn(40.0, 0.0)]
    assert counts_um(34.0, alike, [10.0, 10.0]) == 40.0
    assert counts_um(37.0, alike, [10.0, 10.0]) == 37.0


def test_of_a_table_the_figure_the_verdict_and_the_lead_are_of_the_turns_themselves():
    """Mountings of 45 and 45 µm, 30 µm apart place by place, were "40 µm, below the limit, done": here 50 and 50."""
    apart = [rows(mount, 23.0 * np.exp(1j * at)) for mount, at in ((2, 0.02), (3, 0.5))]
    one = decide(parse(HEAD + FOUND + THICK + FACE + "".join(apart)), LIMITS)
    assert (one.act.read_um, one.told.states[-1].now.alone_um) == (50.0, 50.0)
    assert (one.act.against, one.act.what in (rules.DONE, rules.SECOND_TURN)) == ("too close to tell", False)
    assert "50\u00a0µm" in left_on.ordered(one)
    assert "the larger of 2 turns; too close" in mountings.against_limit(one.told, one.act, given=False)


def test_where_it_stands_the_table_has_the_reading_and_its_own_uncertainty_and_none_under_nine_in_ten_is_done():
    """Beside "50 ± 9 µm, at the limit" stood "as it is 51 to 60 µm, 8 %"; 49 ± 4 µm was 73 % under 50, and done."""
    rule = SimpleNamespace(
        what=rules.AT_LIMIT, read_um=49.0, limit_um=50.0, dial_um=1.0, turns=2, against="too close to tell"
    )
    band = (40.0, 43.0, 46.0)
    after = tuple(After(what, band, 0.95, stud) for what, stud in (("as it is", None), ("indexed", 2), ("cleaned", 2)))

    def told(scatter_um):
        return SimpleNamespace(states=(SimpleNamespace(scatter_um=scatter_um),))

    here, elsewhere, unsure = (
        _as_read(after, rule, told(um), SimpleNamespace(turned=at)) for um, at in ((0.0, 2), (0.0, 1), (20.0, 2))
    )
    assert [round(one.below, 2) for one in here] == [0.68, 0.68, 0.95]
    assert [round(one.below, 2) for one in elsewhere] == [0.68, 0.95, 0.95]
    assert [round(um) for um in here[0].runout_um] == [46, 49, 52]
    assert [round(um) for um in unsure[0].runout_um] == [36, 49, 62]
    assert here[1].runout_um == here[0].runout_um
    assert elsewhere[1] == after[1]
    assert _not_over_as_read(names.LEAVE, rule, here) == names.AT_LIMIT
    assert _not_over_as_read(names.LEAVE, rule, after) == names.LEAVE
