"""What is read anew is the seat: nuts that are slackened alone leave a rotor on the grain that it sits on."""

from dataclasses import replace

import pytest

from scenes.words import mountings as said
from scenes.words import read_again_work, to_read_again
from sim.bench.read_alike import by_stand, two_groups
from sim.bench.seatings import ON_THE_SAME_STUD, one_seating, outvoted, seats
from sim.causes.decision import decide
from sim.files.dial_readings import Readings
from tests.unit.test_mountings import EVEN, LIMITS, face_of, mounted

HUB, SOUND, ON_A_GRAIN = 17.0, -30.0, 45.0


def table(*rotors, states=(), dials=()):
    """Mounts of stud 1 in their sequence, as entered."""
    turns = [
        replace(
            mounted(0, HUB, rotor, k, dict(enumerate(states, 1)).get(k, "cleaned")),
            dial_um=dict(enumerate(dials, 1)).get(k, 1.0),
        )
        for k, rotor in enumerate(rotors, 1)
    ]
    every = (*turns, EVEN, *(replace(face_of(HUB), dial_um=1.0) for _ in range(3)))
    return Readings(5, 140.0, 64.0, 1.0, every, entered=every)


def asked(read):
    told = decide(read, LIMITS)
    lead = said.lead(told.told, told.act, to_read_again.doubts(told.read)).replace("\u00a0", " ")
    return told, lead


def test_two_mountings_that_part_have_the_seat_read_anew_and_not_the_nuts():
    """Nuts slackened on a grain read alike; two alike outweighed the sound mount, and a good rotor was condemned."""
    told, lead = asked(table(SOUND, ON_A_GRAIN))
    assert told.act.what == "read again"
    assert "rotor off, both faces wiped, put the painted hole back on stud 1, tighten the nuts crosswise" in lead
    assert "slacken" not in lead
    keys = read_again_work.keys(to_read_again.contradictions(told.told))
    assert {"rotor off", "clean", "fit", "tighten", "read"} <= set(keys)
    told, _ = asked(table(SOUND, ON_A_GRAIN, SOUND))
    assert told.told.states[-1].mounts == (1, 3)


@pytest.mark.parametrize(
    ("how", "again"),
    [({"dials": (1.0, 10.0, 1.0)}, True), ({"states": ("cleaned", "cleaned", "retorqued")}, True), ({}, False)],
    ids=["finer dial", "retorqued", "put on"],
)
def test_turns_of_one_seating_are_no_two_against_the_mount_before_it(how, again):
    """Read by a finer dial, or its nuts slackened, the same seat outvoted the one before it."""
    told, lead = asked(table(SOUND, ON_A_GRAIN, ON_A_GRAIN, **how))
    assert (told.act.what == "read again", "left out" not in " ".join(told.read.notes)) == (again, again)
    assert ("put the painted hole back on stud 1" in lead) is again
    # The sound one once more, and the grain is out, whatever it was read by.
    told, _ = asked(table(SOUND, ON_A_GRAIN, ON_A_GRAIN, SOUND, SOUND, **how))
    assert told.told.states[-1].mounts == (1, 4, 5)


def test_a_seating_counts_once():
    read = table(SOUND, SOUND, SOUND, SOUND, dials=(10.0, 1.0, 1.0, 1.0))
    turns = by_stand(read)[0]
    assert [one_seating(read, one, later) for one, later in zip(turns[:-1], turns[1:], strict=True)] == [
        True, False, False]  # fmt: skip
    assert not one_seating(read, turns[0], turns[2])
    assert (seats(read, turns), seats(read, turns[:2]), seats(read, [])) == (3, 1, 0)


def test_two_seats_are_settled_by_one_more_and_many_by_two_more():
    for rotors, out in (
        ((SOUND, ON_A_GRAIN, SOUND), (2,)),
        ((SOUND, SOUND, ON_A_GRAIN, ON_A_GRAIN), ()),
        ((SOUND, SOUND, ON_A_GRAIN, ON_A_GRAIN, ON_A_GRAIN), (1, 2)),
        ((SOUND, SOUND, SOUND, ON_A_GRAIN, ON_A_GRAIN, ON_A_GRAIN), (1, 2, 3)),
        ((5.0, ON_A_GRAIN, SOUND, SOUND, SOUND), ()),
        ((5.0, ON_A_GRAIN, SOUND, SOUND, SOUND, SOUND), (1, 2)),
        ((SOUND, SOUND), ()),
    ):
        read = table(*rotors)
        there = by_stand(read)[0]
        assert outvoted(read, there, *two_groups(read, there)) == out, rotors


def test_what_stands_over_its_limit_by_itself_has_its_seat_read_anew():
    """It read 56 where two before it read 38 and 35: nuts slackened would have left it on whatever it sits on."""
    every = (*(mounted(0, 3.0, rotor, k, "cleaned") for k, rotor in enumerate((16.0, 15.0, 25.0), 1)), EVEN)
    fine = tuple(replace(one, dial_um=1.0) for one in (*every, face_of(3.0)))
    told, lead = asked(Readings(5, 140.0, 64.0, 1.0, fine))
    assert told.act.what == "read again"
    assert "over the limit of 50" in lead
    assert ON_THE_SAME_STUD in lead
