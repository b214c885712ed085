"""Turns that mostly read over a limit, each by itself: no one figure of them leaves anything on, at any door."""

from __future__ import annotations

import numpy as np
import pytest

from scenes.command.road_options import Measured
from scenes.words import mountings
from sim.bench.last_look import Look, of_mount
from sim.bench.mostly_over import held_back
from sim.errors import BadInput
from sim.files.dial_readings import parse
from sim.parts.case import Case
from sim.worn_rotor import worn_map
from tests.studies import odd_turns
from tests.studies.odd_turns import FACE, HEAD, LIMITS, MOUNT, THICKNESS


def table(kind, *turns_um, step=1.0):
    """All else of the corner far under its limits."""
    rows = "".join(
        odd_turns.rows(kind, 2, odd_turns.TWELVE, odd_turns.LEVEL_UM[kind] + wave(tir_um, step), step)
        for tir_um in turns_um
    )
    return HEAD.format(step=step) + odd_turns.beside(kind) + rows


def wave(tir_um, step=1.0):
    return step * np.round(tir_um / 2.0 * np.cos(np.radians(odd_turns.TWELVE - 20.0)) / step)


def asked(kind, *turns_um, step=1.0):
    return odd_turns.asked(odd_turns.Drawn(kind, 1.0, step, ("",) * len(turns_um), table(kind, *turns_um, step=step)))


@pytest.mark.parametrize(
    ("kind", "step", "turns_um", "told"),
    [
        (MOUNT, 1.0, (57, 43, 56, 42), "mounted, mount 2: 2 of 4 turns read over the limit of 50 µm by themselves"),
        (MOUNT, 5.0, (57, 43, 56, 42), "2 of 4 turns read over the limit of 50 µm by themselves (60, 60 µm)"),
        (FACE, 1.0, (27, 18, 27, 18), "hub face: 2 of 4 turns read over the limit of 23 µm by themselves (27, 27 µm)"),
        (THICKNESS, 1.0, (19, 9, 19, 9), "thickness, mount 2: 2 of 4 turns read over the limit of 15 µm by themselves"),
        (THICKNESS, 5.0, (18, 11, 18, 11), "their middle does not: mark radius and places"),
    ],
)
def test_turns_that_half_read_over_the_limit_are_read_on_and_then_counted_by_most_of_them(kind, step, turns_um, told):
    """Two and two: "the middle of 4 turns is 50, leave it there", of a rotor that ran out 57."""
    first = asked(kind, *turns_um, step=step)
    assert (first.decided.act.what, told in first.lead, first.left_on) == ("read again", True, False)
    assert "5 turns mostly over it count as over" in first.lead
    assert all(len(one.text) < 300 for one in first.decided.read.faults)
    assert "No more reading" not in mountings.thickness_line(first.decided.act)
    assert ("rock the hub first" in first.lead) == (kind != THICKNESS)
    over = asked(kind, *turns_um, turns_um[0], step=step)
    assert over.figure_um > odd_turns.LIMITS_UM[kind]
    assert not over.left_on
    assert over.decided.act.what != "read again"
    assert asked(kind, *turns_um, turns_um[1], step=step).left_on


def test_six_turns_half_of_them_over_count_as_over_by_what_the_turns_read():
    """Their middle is 50 or under; 56 is what counts, and what every figure of the order says."""
    for kind, turns_um, what in (
        (MOUNT, (56, 44, 43, 56, 43, 56), "index"),
        (FACE, (27, 18, 18, 27, 18, 27), "hub"),
        (THICKNESS, (19, 9, 9, 19, 9, 19), "thickness counts as over"),
    ):
        found = asked(kind, *turns_um)
        assert found.decided.act.what == what
        assert found.figure_um == pytest.approx(max(turns_um), abs=1.5)


def test_of_two_turns_that_agree_one_over_the_limit_is_enough_and_what_is_under_it_stays_on():
    assert Look((52.0, 40.0), (1.0, 1.0), 50.0).mostly_over
    assert not Look((50.5, 49.9), (1.0, 1.0), 50.0).mostly_over  # by less than it scatters
    assert not Look((52.0, 40.0, 41.0), (1.0,) * 3, 50.0).mostly_over
    assert not Look((), (), 50.0).mostly_over
    for kind, limit_um in odd_turns.LIMITS_UM.items():
        assert asked(kind, *(0.7 * limit_um + off for off in (1.0, -1.0, 0.5))).left_on
        odd = asked(kind, *(0.7 * limit_um + off for off in (1.0, -1.0)), 1.2 * limit_um)
        assert not odd.left_on


def test_turns_of_a_mount_that_were_left_out_are_looked_at_and_those_of_a_mount_that_is_gone_are_not():
    """Cleaned again, or put on anew, the turns before it say nothing of it."""
    kept = asked(MOUNT, 66, 43, 43, 43)
    assert any("one of 4 turns is left out" in one for one in kept.decided.read.notes)
    assert [round(one) for one in of_mount(kept.decided.read, LIMITS).each_um] == [64, 42, 42, 42]
    other = table(MOUNT, 57, 57, 57) + odd_turns.rows(MOUNT, 3, odd_turns.TWELVE, wave(40.0), 1.0).replace(
        "mounted,3,0,", "mounted,3,2,"
    )
    assert [round(one) for one in of_mount(parse(other), LIMITS).each_um] == [40]


def test_the_doors_that_take_a_table_to_a_road_or_to_its_past_stop_at_it_too(tmp_path):
    path = tmp_path / "turns.csv"
    for kind, turns_um in ((MOUNT, (57, 43, 56, 42)), (FACE, (27, 18, 27, 18)), (THICKNESS, (19, 9, 19, 9))):
        path.write_text(table(kind, *turns_um))
        assert held_back(parse(path.read_text()), LIMITS).slips_of(kind)
        case = Case(limits=LIMITS)
        with pytest.raises(BadInput, match="turns read over the limit"):
            Measured(mounted=path).road(case)
    with pytest.raises(BadInput, match="turns read over the limit"):
        worn_map(Case(limits=LIMITS), path, "both faces")
    path.write_text(table(MOUNT, 44, 56, 56, step=5.0))
    mounted = Measured(mounted=path).road(Case(limits=LIMITS)).mounted_um
    assert np.ptp(mounted) > 50.0  # not its first turn


def test_one_turn_of_a_bare_face_that_is_surely_over_is_read_on_before_its_middle_acquits():
    """31, 15, 16 by a dial of 1 µm: "17 ± 5, below its limit, leave it there"."""
    told = asked(FACE, 30, 15, 16)
    assert (told.decided.act.what, told.left_on) == ("read again", False)
    assert Look((30.0, 15.0, 16.0), (2.0,) * 3, 23.0, (True,) * 3).read_on
    assert not Look((30.0, 15.0, 16.0), (2.0,) * 3, 23.0, (False, True, True)).read_on  # put out by a reason of its own
    assert asked(FACE, 25, 15, 16).left_on  # as one dial scatters
    assert asked(FACE, 30, 15, 16, 15, 16).left_on  # read out, and mostly under


@pytest.mark.parametrize("step", [1.0, 2.0, 5.0])
def test_two_turns_of_a_thickness_that_agree_do_not_acquit_against_one_that_stands_off_over_the_limit(step):
    """9, 8 and 18 of a limit of 15: "8 ± 4, below it, leave it there", of a rotor that may vary by 18."""
    three = asked(THICKNESS, 9, 8, 18, step=step)
    assert (three.decided.act.what, three.left_on) == ("read again", False)
    assert "1 of 3 turns read over the limit of 15 µm by themselves" in three.lead
    assert "No more reading" not in mountings.thickness_line(three.decided.act)
    assert asked(THICKNESS, 9, 8, 18, 9, step=step).left_on
    four = asked(THICKNESS, 9, 8, 18, 17, step=step)
    assert (four.decided.act.what, four.left_on) == ("read again", False)
    assert not asked(THICKNESS, 9, 8, 18, 17, 18, step=step).left_on
    assert asked(THICKNESS, 9, 8, 18, 17, 8, step=step).left_on


def test_a_turn_that_is_over_by_no_more_than_turns_scatter_is_not_asked_for_another():
    assert Look((9.0, 18.0, 8.0), (2.9,) * 3, 15.0).stands_off
    assert Look((9.0, 16.0, 8.0, 17.0), (2.9,) * 4, 15.0).stands_off
    for each in ((13.0, 18.0, 12.0), (9.0, 14.9, 8.0), (9.0, 18.0, 8.0, 9.0), (16.0, 16.0, 25.0), (9.0, 18.0), ()):
        assert not Look(each, (2.9,) * len(each), 15.0).stands_off
    rng = np.random.default_rng(5)
    honest = [odd_turns.drawn(rng, THICKNESS, 0.55, step, ("",) * 3) for step in (1.0, 2.0, 5.0) for _ in range(20)]
    assert sum(odd_turns.BY_ITSELF in odd_turns.asked(one).lead for one in honest) <= 3
