"""A turn by a finer dial, rotor and nuts untouched, is the seat before it: nothing moved where they part."""

from dataclasses import replace

import numpy as np
import pytest

from sim.bench import one_seat, shows_play
from sim.bench.seatings import one_seating
from sim.files.reading_faults import TWICE
from tests.unit.test_seatings import SOUND, asked, table

COARSE_THEN_FINE = (10.0, 1.0)


def more_turns(read, count, off_um=0.0):
    """The last mount read so many times more, as it stands."""
    last = read.of("mounted")[-1]
    more = [replace(last, value_um=last.value_um + off_um * np.cos(np.radians(last.angle_deg))) for _ in range(count)]
    return replace(read, traces=(*read.traces, *more), entered=(*read.entered, *more))


@pytest.mark.parametrize(
    ("rotor", "fits"), [(SOUND + 30.0, ""), (-SOUND - 34.0, "mount 1 with every sign turned over")]
)
def test_two_dials_on_one_seat_blame_no_dirt_no_nuts_and_no_other_stud(rotor, fits):
    """ "Bearing play, dirt that moved, or nuts that pulled otherwise", and nobody had touched rotor or nuts."""
    told, lead = asked(table(SOUND, rotor, dials=COARSE_THEN_FINE))
    assert told.act.what == "read again"
    assert "it is the seat of mount 1, rotor and nuts untouched" in lead
    assert "bearing play, a dial that moved (its base, its tip), or a turn written otherwise" in lead
    assert "read it as it stands now until three turns agree" in lead
    assert fits in lead
    for other in ("dirt that moved", "pulled otherwise", "rotor off", "on stud", "stands no more", "is usual"):
        assert other not in lead


def test_it_ends_as_turns_of_one_mounting_do():
    """Three turns of the finer dial that agree count, and the hub is rocked for the one left out that no slip fits."""
    read = more_turns(table(SOUND, SOUND + 30.0j, dials=COARSE_THEN_FINE), 2)
    told, lead = asked(read)
    assert told.told.states[-1].mounts == (2,)
    assert lead.startswith("Before anything else the hub is rocked: mount 1 was left out")
    assert "mount 1 is left out: on the same seat, rotor and nuts untouched" in " ".join(told.read.notes)


@pytest.mark.parametrize("felt", ["", "no play"])
@pytest.mark.parametrize("signs", [False, True])
def test_a_slip_that_was_named_and_read_again_has_no_bearing_judged(signs, felt):
    """ "Begun one place off would fit", three fine turns alike, and the bearing was judged under load all the same."""
    read = table(SOUND - 11.0, SOUND - 11.0, dials=COARSE_THEN_FINE)
    first, last = read.of("mounted")
    value = -last.value_um if signs else np.roll(last.value_um, 1)
    slip = replace(first, value_um=10.0 * np.round(value / 10.0))
    traces = tuple(slip if one is first else one for one in read.traces)
    read = replace(read, traces=traces, entered=traces, bearing=felt)
    before, lead = asked(read)
    assert before.act.what == "read again"
    assert "would fit" in lead
    told, lead = asked(more_turns(read, 2))
    assert "mount 1 is left out: " in " ".join(told.read.notes)
    assert (told.told.states[-1].mounts, told.told.states[-1].now.left_out, told.told.tight) == ((2,), 0, False)
    assert "Before anything else" not in lead
    assert "judged under load" not in lead
    assert "do not read alike" not in lead


def test_a_seat_is_held_by_the_yardstick_of_turns():
    """24 µm of two turns of one seat passed as 24 are usual of mountings."""
    read = table(SOUND, SOUND + 11.0, dials=(3.0, 1.0))
    (pair,) = one_seat.pairs(read)
    assert [one.mount for one in pair] == [1, 2]
    assert [one.fault for one in one_seat.held(read).faults] == [TWICE]
    assert not one_seat.pairs(table(SOUND, SOUND + 11.0, dials=(1.0, 1.0)))  # put on anew
    assert not one_seat.pairs(table(SOUND, SOUND + 2.0, dials=(3.0, 1.0)))
    nuts = table(SOUND, SOUND + 11.0, dials=(3.0, 1.0), states=("cleaned", "retorqued"))
    assert not one_seat.pairs(nuts)


def test_a_rotor_that_came_off_for_the_bare_face_sits_anew():
    """It was told "rotor and nuts untouched as that turn was ordered", two turns of the bare face between; it stood on
    another stud.
    """
    read = table(SOUND, SOUND + 30.0, dials=COARSE_THEN_FINE)
    kept = [replace(one, line=100 * one.mount) for one in read.traces if one.kind == "mounted"]
    face = replace(kept[0], kind="hub face", mount=0, value_um=kept[0].value_um * 0.1)
    for line, pairs in ((150, 0), (50, 1), (250, 1)):
        traces = (*kept, replace(face, line=line))
        there = replace(read, traces=traces, entered=traces)
        assert len(one_seat.pairs(there)) == pairs
        assert one_seating(there, *kept) == bool(pairs)


def test_once_it_is_put_on_anew_nothing_is_read_as_it_stands():
    told, lead = asked(table(SOUND, SOUND + 30.0, SOUND + 30.0, dials=(10.0, 1.0, 1.0)))
    assert told.told.states[-1].mounts == (2, 3)
    assert "as it stands" not in lead


def test_two_dials_on_one_seat_that_are_less_alike_than_dial_and_hand_have_the_bearing_judged():
    """24 µm of one seat passed without a word, as 24 are usual of mountings; 20 of two turns had it judged."""
    read = table(SOUND, SOUND, dials=(3.0, 1.0))
    last = read.of("mounted")[-1]
    off = replace(last, value_um=last.value_um + 8.0 * np.cos(np.radians(last.angle_deg)))
    traces = tuple(off if one is last else one for one in read.traces)
    read = replace(read, traces=traces, entered=traces)
    found = shows_play.told(read).unlike
    assert found is not None
    assert found.one_mounting
    anew = tuple(replace(one, dial_um=1.0) for one in traces)
    other = shows_play.told(replace(read, traces=anew, entered=anew)).unlike
    assert other is None or not other.one_mounting
