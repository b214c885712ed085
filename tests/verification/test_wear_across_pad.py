"""Thickness variation at the gauge radius against even rings: wear follows the width of the pad, not one mean ring.

Before, one ring at the mean radius gave 1.8 um where six even rings gave 3.3 um (30 um of runout, floating, mixed):
the outer edge of a pad touches first and rubs farther. Even rings are laid out apart from ``sim`` (``wear_setup``).
The whole range is a study: ``python -m tests.studies.wear_across_pad``.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from wear_setup import GAUGE_MM, ONE_RING, angle, dtv_um, even_rings, problem, runout_mm

from sim.parts.case import Caliper, Case, Pads
from sim.wear.brake import COARSE, Fineness, brake_of
from sim.wear.disc import make_problem
from sim.wear.draws import bands_fineness
from sim.wear.grid import places, weights_at

KM = np.array([1.0, 2.0, 5.0, 10.0, 20.0, 30.0])
#: Below this a difference is no difference: no gauge reads it. [um]
FLOOR_UM = 0.1


def worst(found, expected):
    """Largest difference over what is allowed: 3 % or 0.1 um."""
    return float(np.max(np.abs(found - expected) / np.maximum(0.03 * expected, FLOOR_UM)))


@pytest.mark.parametrize(
    ("style", "duty", "tir"),
    [
        ("floating", "mixed", 0.03),
        ("floating", "gentle", 0.02),
        ("floating", "heavy", 0.05),
        ("floating", "heavy", 0.15),
        ("fixed", "mixed", 0.03),
        ("fixed", "heavy", 0.04),
        ("fixed", "gentle", 0.15),
    ],
)
def test_within_three_per_cent_of_eight_even_rings(style, duty, tir):
    one = problem(style, tir=tir, second=0.1, duty=duty, fineness=Fineness())
    expected = dtv_um(even_rings(one, 8), 519.5e3 * KM)
    assert worst(dtv_um(one, 519.5e3 * KM), expected) < 1.0


@pytest.mark.parametrize(("style", "duty"), [("floating", "mixed"), ("fixed", "heavy")])
def test_to_the_end_of_the_life(style, duty):
    at = 519.5e3 * np.array([10.0, 30.0, 60.0, 100.0])
    one = problem(style, tir=0.05, second=0.1, duty=duty, fineness=Fineness())
    assert worst(dtv_um(one, at), dtv_um(even_rings(one, 8), at)) < 1.0


def test_a_thick_spot_heals_as_on_even_rings():
    """A worn rotor, 24 um in two lobes, set true: at the gauge radius it heals slower than on one mean ring."""
    at = 519.5e3 * np.array([2.0, 5.0, 10.0, 20.0])
    lobes = 0.006 * np.cos(2.0 * angle())
    one, mean = (
        problem("fixed", tir=0.0, heights=np.stack([lobes, lobes]), fineness=f) for f in (Fineness(), ONE_RING)
    )
    even = replace(even_rings(one, 8), base_mm=np.repeat(one.base_mm[:, :1], 8, axis=1))
    assert worst(dtv_um(one, at), dtv_um(even, at)) < 0.5
    assert dtv_um(mean, at)[-1] < 0.85 * dtv_um(even, at)[-1]


def test_one_ring_falls_short():
    """What the test above is for: it can fail, and did."""
    at = 519.5e3 * KM
    one = problem(tir=0.03, second=0.1)
    assert worst(dtv_um(one, at), dtv_um(even_rings(problem(tir=0.03, second=0.1, fineness=Fineness()), 8), at)) > 10.0
    assert one.fineness is ONE_RING


@pytest.mark.parametrize("style", ["floating", "fixed"])
@pytest.mark.parametrize("duty", ["gentle", "mixed", "heavy"])
def test_the_draws_follow_the_width_too(style, duty):
    """Coarse setting of the bands against the standard: within 4 % or 0.1 um."""
    for tir in (0.03, 0.10):
        fine, coarse = (
            dtv_um(problem(style, tir=tir, second=0.1, duty=duty, fineness=f), 519.5e3 * KM)
            for f in (Fineness(), COARSE)
        )
        assert np.max(np.abs(coarse - fine) / np.maximum(0.04 * fine, 0.1)) < 1.0


@pytest.mark.parametrize(("style", "arc"), [("floating", 50.0), ("floating", 60.0), ("fixed", 60.0)])
def test_the_draws_fit_their_grid_to_the_arc_of_the_pad(style, arc):
    """On angles that cut the pad's ends as it happened, these were 3.6, 3.8 and 13 % off above 1 um."""
    brake = brake_of(Case(caliper=Caliper(style=style), pads=Pads(arc_deg=arc)))
    fine, coarse = (
        dtv_um(make_problem(brake, runout_mm(0.03, 0.1), GAUGE_MM, None, f), 519.5e3 * KM)
        for f in (Fineness(), bands_fineness(brake))
    )
    assert np.max(np.abs(coarse - fine)[fine > 1.0] / fine[fine > 1.0]) < 0.03


@pytest.mark.parametrize("count", [1, 2, 3, 4])
def test_places_add_up(count):
    """Area, and its moments in r squared up to degree 2 count - 1, are exact for Gauss's places."""
    radius, share = places(102.5, 147.5, count)
    assert share.sum() == pytest.approx(1.0, rel=1e-14)
    for degree in range(2 * count) if count > 1 else ():
        low, high = 102.5**2, 147.5**2
        exact = (high ** (degree + 1) - low ** (degree + 1)) / ((degree + 1) * (high - low))
        assert np.sum(share * radius ** (2 * degree)) == pytest.approx(exact, rel=1e-12)


@pytest.mark.parametrize("count", [1, 2, 3])
def test_carrying_to_the_gauge_radius_is_exact_for_polynomials(count):
    radius, _ = places(102.5, 147.5, count)
    weight = weights_at(radius, GAUGE_MM)
    for degree in range(count):
        assert np.sum(weight * radius**degree) == pytest.approx(GAUGE_MM**degree, rel=1e-12)
