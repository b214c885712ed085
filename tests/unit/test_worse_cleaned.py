"""A rotor that reads clearly more once cleaned than as found is put on again before anything rests on that mounting."""

from dataclasses import replace

import numpy as np
import pytest

from sim.bench.mostly_over import as_it_counts
from sim.bench.open_readings import open_readings
from sim.causes import names
from sim.causes.decision import decide
from sim.files.dial_readings import Readings
from sim.files.reading_faults import WORSE
from tests.unit.causes_corner import CASE
from tests.unit.test_mountings import EVEN, LIMITS, face_of, mounted

#: Runs out 28 µm as found.
BEFORE = mounted(0, 4.0, 10.0)


def asked(*traces):
    read, _ = as_it_counts(Readings(5, 140.0, 64.0, 10.0, traces), LIMITS)
    return [one for one in open_readings(read) if one.fault == WORSE]


def test_it_is_put_on_again_with_how_much_more_it_reads_and_what_may_be_behind_it():
    """70 µm where it had read 30: the next stud was ordered at once, by a mounting that was written otherwise."""
    (one,) = asked(BEFORE, EVEN, face_of(4.0), mounted(0, 4.0, 31.0, 2, "cleaned"))
    assert one.trace == "mounted, mount 2"
    assert not one.doubts  # its road, as it stands, is driven
    assert "42 µm more than as found on that stud (25 µm is usual)" in one.text
    assert "put the painted hole back on stud 1" in one.text
    for cause in ("dirt had cancelled", "something lies under it", "written otherwise"):
        assert cause in one.text


@pytest.mark.parametrize(
    "clean",
    [
        [mounted(0, 4.0, 20.0, 2, "cleaned")],  # below its limit: what moved it is said beside the end
        [mounted(1, 4.0, 31.0, 2, "cleaned")],  # another stud
        [mounted(0, 4.0, 31.0, 2, "cleaned"), mounted(0, 4.0, 31.0, 3, "cleaned")],  # it came back
        [mounted(0, 4.0, 31.0, 2, "cleaned"), mounted(2, 4.0, 31.0, 3, "cleaned")],  # they are held against each other
        [mounted(0, 4.0, 31.0, 2)],  # over dirt
        [mounted(0, 4.0, 31.0, 2, "cleaned")] * 3,  # read out as it stands
    ],
)
def test_nobody_else_is_sent_for_it(clean):
    assert asked(BEFORE, EVEN, face_of(4.0), *clean) == []


def test_nobody_puts_it_on_again_for_a_hub_or_a_rotor_that_goes_anyway():
    clean = mounted(0, 4.0, 31.0, 2, "cleaned")
    assert asked(BEFORE, EVEN, face_of(4.0), clean)
    assert asked(BEFORE, EVEN, face_of(60.0), face_of(60.0), clean) == []
    uneven = replace(EVEN, value_um=EVEN.value_um + 40.0 * np.cos(2.0 * np.radians(EVEN.angle_deg)))
    assert asked(BEFORE, uneven, face_of(4.0), clean) == []


def test_no_more_than_two_mountings_part_by_is_no_wonder():
    over = mounted(0, 4.0, 24.0), mounted(0, 4.0, 31.0, 2, "cleaned")
    assert asked(over[0], EVEN, face_of(4.0), over[1]) == []


@pytest.mark.usefixtures("fewest_seatings")
def test_beside_it_no_other_reading_is_offered_with_a_case():
    """ "Put the painted hole back on stud 1" led, and "what to read next: clean once more, 20 min" stood below it."""
    even = replace(EVEN, value_um=EVEN.value_um - 10_400.0)
    first = mounted(0, 4.0, 3.5)
    worse = (first, even, face_of(4.0), mounted(0, 4.0, 43.5, 2, "cleaned"))
    found = decide(Readings(5, 140.0, 64.0, 10.0, worse), CASE.limits, CASE).found
    assert (found.do, found.next_readings) == (names.READ_AGAIN, ())
