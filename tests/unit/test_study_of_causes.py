"""What the study of causes takes for read: a table that gives a slip away is read again before anything is moved."""

from __future__ import annotations

import numpy as np

from tests.studies import causes as study
from tests.studies import corners_at_fault as population

SHARES = np.zeros((len(population.CAUSES), population.ORDERS + 1), dtype=complex)
EVEN = population.Corner(0, (), SHARES, SHARES, np.zeros((5, 2, population.ORDERS + 1), dtype=complex), 0j)
PLAN = (population.Step("mounted"), population.Step("mounted", "as found", 2, 2))


def test_a_slip_is_read_again_at_once_and_both_readings_stay_in_the_file():
    slipped = 0
    for number in range(60):
        taken = study.read_again(3, number, EVEN, PLAN)
        counts = study.last_of(taken)
        assert [step.kind for step in counts] == [step.kind for step in PLAN]
        assert len({(step.mount, step.again) for step in taken}) == len(taken)
        more = len(taken) - len(PLAN)
        given = population.readings(3, number, EVEN, taken)
        assert bool(more) == bool(given.faults)
        slipped += bool(more)
    assert 0 < slipped < 20
