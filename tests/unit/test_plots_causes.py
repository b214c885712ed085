"""The overlay: which causes and traces it shows, that both scales are one, that it is ours and the same each time."""

import re
from dataclasses import replace

import numpy as np
import pytest

from scenes.plots import causes
from scenes.words import words
from sim.causes import names
from tests.unit.hand_made_finding import finding


def test_leading_causes_stand_beside_each_other_most_probable_first():
    found = finding()
    assert causes.leading(found) == (names.HUB_DIRT, names.HUB_FACE, names.ROTOR)
    turned = replace(found, ranked=found.ranked[::-1])
    assert causes.leading(turned) == (names.ROTOR, names.HUB_FACE, names.HUB_DIRT)


def test_the_traces_that_tell_are_those_where_the_causes_part():
    """One trace on which all causes draw the same says nothing and goes first."""
    found = finding()
    same = replace(found.fitted[1], residual_um=dict.fromkeys(found.fitted[1].residual_um, np.zeros(12)))
    fitted = (found.fitted[0], same, *found.fitted[2:])
    assert same not in causes.telling(replace(found, fitted=fitted), 3)
    assert [one.mount for one in causes.telling(found, 2)] == sorted(one.mount for one in causes.telling(found, 2))


def test_it_says_what_each_cause_leaves_over():
    found = finding()
    svg = causes.overlay(found)
    assert svg == causes.overlay(found)
    for cause in causes.leading(found):
        left = float(np.sqrt(np.mean(found.fitted[0].residual_um[cause] ** 2)))
        assert f"leaves {words.micrometres(left)}" in svg
    assert words.percent(0.86) in svg
    assert "Dirt on the hub" in svg
    assert not re.search(r"#1f77b4|#ff7f0e", svg, re.IGNORECASE)  # the drawing library's own first colours


@pytest.mark.parametrize("count", [1, 2, 3])
def test_one_scale_for_readings_and_what_is_left(count):
    """A micrometre is as long beneath as above, within each row."""
    found = finding()
    kept = causes.leading(found)[:count]
    fitted = tuple(
        replace(
            one,
            drawn={name: one.drawn[name] for name in kept},
            residual_um={name: one.residual_um[name] for name in kept},
        )
        for one in found.fitted
    )
    seen = []
    plain = causes.panel

    def watched(*place):
        axes = plain(*place)
        seen.append((place[-1], axes))
        return axes

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(causes, "panel", watched)
        causes.overlay(replace(found, fitted=fitted), 2)
    assert len(seen) == 2 * 2 * count
    for (above_mm, above), (below_mm, below) in zip(seen[::2], seen[1::2], strict=True):
        assert np.ptp(above.get_ylim()) / above_mm == pytest.approx(np.ptp(below.get_ylim()) / below_mm)
