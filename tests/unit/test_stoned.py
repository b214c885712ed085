"""After stoning what a second cleaning took goes with the stone; what was true stands in the list at the end."""

from dataclasses import replace

import numpy as np
import pytest

from scenes.words import hub_and_rotor, open_work, stays_on_hub
from scenes.words import mountings as said
from sim.bench.mountings import vector
from sim.bench.shows_scatter import asked, in_one_mounting
from sim.bench.stoned import Stoned, explains, stoned
from sim.causes.decision import decide
from sim.files.dial_readings import Readings
from sim.files.reading_faults import REPLACED, STANDS_UP, ReadingFault
from tests.unit.test_mountings import EVEN, LIMITS, face_of, mounted

HUB, OWN = 2.0, 8.0


def table(took, height_um=60.0, at_deg=240.0):
    """A rotor that leaned on metal, cleaned, stoned off and read again; the face stands up no more."""
    turns = (mounted(0, HUB, OWN + took, 1, "as found"), mounted(0, HUB, OWN + took, 2, "cleaned"),
             mounted(0, HUB, OWN, 3, "cleaned again"), EVEN, face_of(HUB), face_of(HUB))  # fmt: skip
    up = ReadingFault(STANDS_UP, "hub face", (at_deg,), height_um, 9.0, "", (at_deg,), answer=REPLACED)
    return Readings(5, 140.0, 64.0, 10.0, turns, entered=turns, faults=(up,) if height_um else ())


def lean(to_deg, um=25.0):
    return um * np.exp(-1j * np.radians(to_deg))


@pytest.mark.parametrize(
    ("read", "more"),
    [
        (table(lean(240.0)), False),
        (table(lean(215.0)), False),
        (table(lean(60.0)), True),
        (table(lean(240.0, 110.0)), True),
        (table(lean(240.0), height_um=0.0), True),
    ],
    ids=["there", "between two places", "opposite", "more than it lifts", "nothing stoned"],
)
def test_what_was_stoned_off_asks_for_no_mounting_more(read, more):
    """ "The second cleaning took away 49 µm and the first nothing": the stone that was ordered was forgotten."""
    one = decide(read, LIMITS)
    assert (one.act.what == "read again") is more
    assert one.told.again.stoned is not more
    told = " ".join(hub_and_rotor.sentences(one.told))
    assert ("towards the metal that was stoned off the bare hub face" in told) is not more


def test_metal_that_still_stands_up_was_not_stoned():
    read = table(lean(240.0))
    assert stoned(read) == (Stoned(240.0, 60.0),)
    still = replace(read, faults=(replace(read.faults[0], answer=""),))
    assert stoned(still) == ()
    assert not explains(still, vector(lean(240.0), 3.0), 0)
    assert asked(read, None) is None


def test_a_bent_stud_and_metal_between_the_places_are_looked_for_before_a_hub_is_named():
    """A hub was bought for a bent stud, and for metal between two places that no turn at those places shows."""
    lies = HUB + 40.0
    turns = (mounted(0, lies, OWN, 2, "cleaned"), mounted(2, lies, OWN, 3, "cleaned"),
             mounted(2, lies, OWN, 4, "cleaned again"), EVEN, face_of(HUB))  # fmt: skip
    told = decide(Readings(5, 140.0, 64.0, 10.0, turns, entered=turns), LIMITS).told
    end = stays_on_hub.stays_again(told)
    hub = end.index("hub and bearing as the vehicle maker says")
    for looked in ("studs and nut seats looked at (bent, drawn)", "a straight edge across hub face and rotor's",
                   "the needle followed over that face between its places", "most of all towards stud 1"):  # fmt: skip
        assert end.index(looked) < hub
    assert "The needle is followed between its places too, most of all towards stud 1" in said.face_at_odds(told)
    assert "studs and nut seats (bent, drawn)" in open_work.LOOK


def test_one_mounting_is_said_of_one_alone():
    """Four clean mounts stood in the table: "it was read clean in one mounting"."""
    turns = [mounted(0, 12.0, 60.0j, 1, "as found")]
    turns += [mounted(stud, 12.0, 20.0, k, "cleaned") for k, stud in enumerate((0, 2, 4), 2)]
    every = (*turns, EVEN, face_of(12.0), face_of(12.0))
    assert not in_one_mounting(decide(Readings(5, 140.0, 64.0, 10.0, every, entered=every), LIMITS).told)
    two = (*turns[:2], *every[4:])
    assert in_one_mounting(decide(Readings(5, 140.0, 64.0, 10.0, two, entered=two), LIMITS).told)
