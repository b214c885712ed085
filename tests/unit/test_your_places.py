"""Places that an order names, in a table that counts clockwise: the other side of the hub was read, or stoned."""

from __future__ import annotations

from dataclasses import replace

import pytest

from scenes.words.your_stud import in_your_table
from sim.files.dial_readings import CLOCKWISE
from tests.unit.causes_corner import Corner


@pytest.mark.parametrize(
    ("ordered", "said"),
    [
        ("hub face: read 120 degrees again", "120° here is 240° there"),
        ("look at the bare hub face at 150° of 12, stoned flat", "150° here is 210° there"),
        ("read 30 and 60.5 degrees again", "30°, 60.5° here is 330°, 299.5° there"),
        ("high spot at 22 ± 19° on the hub", "22° here is 338° there"),
        ("read 180 degrees again", ""),
        ("clean hub face", ""),
    ],
)
def test_a_place_is_said_as_a_table_that_counts_clockwise_has_it(ordered, said):
    read = Corner(3).mounted(0, "cleaned").readings()
    assert in_your_table(ordered, read) == ordered
    more = in_your_table(ordered, replace(read, turned=CLOCKWISE)).removeprefix(ordered)
    assert more == (f" Your table counts clockwise: {said}." if said else "")
