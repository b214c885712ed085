"""Where reading ends without an order the figure stands beside its limit, and it is called over only where it is."""

import numpy as np
import pytest

from scenes.words import open_end
from sim.parts.dial import BELOW
from tests.unit.test_mountings import mounted
from tests.unit.test_one_turn import HUB, asked, cleaned_twice

LIES = HUB + 20.0 * np.exp(-0.7j)


def ended(rotor, hub):
    """Cleaned twice, the first stud read once more and back: what stays with the hub is told, and reading ends."""
    turns = cleaned_twice(rotor, hub=hub)
    return asked(*turns, *(mounted(stud, hub, rotor, k, "cleaned again") for k, stud in enumerate((0, 2), 5)))


@pytest.mark.parametrize(("rotor", "read"), [(-5.0j, 49), (8.0, 58)])
def test_a_runout_near_its_limit_is_said_with_its_figure_and_with_what_keeps_it_off(rotor, read):
    """45, 45 and 45 read, limit 50: "it is not below the limit"."""
    act, text = ended(rotor, LIES)
    assert (act.what, act.against, round(act.read_um)) == ("open", "too close to tell", read)
    assert f"Not done: on clean faces it reads {read} ± 11 µm (k = 2) on stud 3, limit 50 µm; this dial does" in text
    assert "what keeps it from being left on is what stays with the hub: " in text
    assert "not below" not in text


def test_a_runout_over_its_limit_is_said_to_be_over_with_its_figure():
    act, text = ended(-5.0, HUB + 30.0 * np.exp(-0.7j))
    assert (act.what, act.against) == ("open", "above")
    assert f"and on clean faces it runs out {act.read_um:.0f} µm on stud 3, over the limit, 50 µm: " in text


def test_a_mount_that_stands_over_where_its_middle_does_not_is_said_with_its_own_figure():
    assert "as it stands it reads 62\N{NO-BREAK SPACE}µm on stud {stud}" in open_end.order(BELOW, 40.0, 6.0, 2.0, 62.0)
