"""A slice of the study of units: no turn typed in another unit leaves a rotor on without the feeler beside it."""

import numpy as np
import pytest

from tests.studies import units

TABLES = 12


@pytest.mark.parametrize("unit", [*units.UNITS_UM, ""])
def test_no_rotor_is_left_on_by_a_turn_whose_unit_nobody_tried(unit):
    rng = np.random.default_rng(5)
    told = [units.outcome(units.drawn(rng, unit)) for _ in range(TABLES)]
    assert units.LEFT not in told
    if unit:  # asked outright in most tables; else where it is left on
        assert told.count(units.REFUSED) >= 0.7 * TABLES
    else:
        assert told.count(units.OTHER) <= 0.2 * TABLES
