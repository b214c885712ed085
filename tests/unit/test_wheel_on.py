"""A corner that reads over its limit with the wheel on, or behind the disc, is not let go by turns under the nuts."""

from __future__ import annotations

import numpy as np
import pytest

from scenes.words import read_again_work, to_read_again
from sim.bench import wheel_on
from sim.bench.open_readings import open_readings
from sim.files.mean_plane import mean_plane_read
from sim.parts.case import Case
from tests.unit.written_turns import FOUND, HEAD, decided, quiet, turn


def wheel(mount, tir_um, kind="inboard", state="cleaned", stud=0):
    return 2 * turn(kind, mount, tir_um, state, "wheel", stud)


def told(*turns):
    return " ".join(one.text for one in open_readings(decided(*turns).read))


@pytest.mark.parametrize("kind", ["inboard", "mounted"])
def test_what_the_wheel_brings_in_is_not_let_go_by_a_quiet_turn_under_the_nuts(kind):
    """It read 84 µm as it was driven, under a mount number of its own, and 25 under the nuts: "leave it there"."""
    over = (FOUND, wheel(2, 84.0, kind), quiet(3))
    act = decided(*over).act
    face = {"inboard": "inboard", "mounted": "outboard"}[kind]
    assert act.what == "read again"
    assert f"the {face} face of mount 2 reads 84 µm with the wheel on, over the limit of 50 µm" in told(*over)
    assert "lies between wheel and hat" in told(*over)
    assert decided(FOUND, quiet(2), wheel(3, 84.0)).act.what == "read again"  # whichever was read first
    assert "as 2 mountings do" in told(*over, wheel(4, 80.0))
    assert told(*over, wheel(4, 30.0)) == ""
    assert decided(*over, wheel(4, 30.0)).act.what == "done"


def test_on_another_stud_or_over_dirt_it_was_another_reading():
    assert told(FOUND, wheel(2, 84.0, stud=1), quiet(3)) == ""
    assert told(FOUND, wheel(1, 84.0, state="as found"), quiet(2)) == ""
    assert wheel_on.over(decided(FOUND, wheel(2, 44.0), quiet(3)).read, 50.0) is None


def test_the_card_has_the_wheel_off_and_on_and_that_face_read():
    for table in ((FOUND, wheel(2, 84.0), quiet(3)), (FOUND, wheel(2, 84.0), wheel(3, 84.0), quiet(4))):
        asked = [told(*table)]
        keys = read_again_work.keys(asked)
        boxes = " ".join(read_again_work.box(asked, key, keys) for key in keys)
        assert "the hat's face and the nuts' seats cleaned" in boxes
        assert "That face read with the wheel on" in boxes
        assert "Nuts slackened" not in boxes


def test_a_road_as_found_starts_from_the_turn_with_the_wheel_on_whatever_number_it_has(tmp_path):
    """28 µm under the nuts, 90 as it was driven: the road began at 28 and was quiet."""
    path = tmp_path / "found.csv"
    nuts = turn("mounted", 2, 28.0, "as found")
    path.write_text(HEAD + turn("inboard", 1, 90.0, "as found", "wheel") + nuts)
    read = mean_plane_read(Case(), path)
    assert read.clamped_by == "wheel"
    assert np.ptp(read.trace_um) == pytest.approx(90.0, abs=2.0)
    assert np.ptp(read.unused.value_um) == pytest.approx(28.0, abs=1.0)
    assert "mount 1, as found, painted hole on stud 1, the one that was read with the wheel on" in read.which
    path.write_text(HEAD + turn("inboard", 1, 90.0, "as found", "wheel") + quiet(2))
    assert mean_plane_read(Case(), path).clamped_by == "nuts and spacers"  # it was cleaned since


def test_an_inner_face_over_the_limit_that_no_thickness_explains_is_not_left_on():
    """24 µm outside, 84 inside, twice each, 4 by micrometer: "leave it there", at a probability of 15 %."""
    both = (FOUND, quiet(2), 2 * turn("inboard", 2, 84.0))
    found = decided(*both)
    assert found.act.what == "read again"
    assert "the two faces of mount 2 read 24 and inboard 84 µm, limit 50 µm" in told(*both)
    assert told(*both) in " ".join(to_read_again.remarks(found.told, found.read))
    assert told(FOUND, quiet(2), 2 * turn("inboard", 2, 27.0)) == ""
    assert told(FOUND, quiet(2), 2 * turn("inboard", 2, 48.0)) == ""  # both keep it, and each was read again
