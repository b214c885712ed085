"""Probabilities of the ranking hold on truths drawn from its own model: a slip in its algebra shows here.

A handful of ``python -m tests.studies.own_model``, whose page holds as many as tell it finely.
"""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest
import scipy

from sim.causes.ordered import MISFIT
from tests.studies import corners_at_fault as population
from tests.studies import own_model


@pytest.fixture(scope="module")
def studied():
    return own_model.study(24)


@pytest.mark.parametrize("which", [0, 2], ids=["dominant", "present"])
def test_a_stated_probability_is_observed_as_often(studied, which):
    stated, observed = studied[which].ravel(), studied[which + 1].ravel()
    for low, high in own_model.BINS:
        here = (stated >= low) & (stated < high)
        if here.sum() < 10:
            continue
        count, mean = int(here.sum()), float(stated[here].mean())
        least, most = scipy.stats.binom.ppf((0.001, 0.999), count, mean)
        assert least <= observed[here].sum() <= most, (low, high, mean, observed[here].mean(), count)


def test_a_band_holds_as_often_as_it_says(studied):
    inside = studied[4]
    least, most = scipy.stats.binom.ppf((0.001, 0.999), inside.size, 0.8)
    # Shares of one corner are not independent: twice as wide.
    middle = 0.8 * inside.size
    assert middle - 2 * (middle - least) <= inside.sum() <= middle + 2 * (most - middle)


def test_readings_of_the_list_seldom_fail_to_fit(studied):
    assert (studied[5] < MISFIT).mean() <= 0.04


def test_the_stored_page_is_whole():
    """Stated probabilities were observed as often, within five standard deviations of so many."""
    page = Path(own_model.__file__).with_suffix(".md").read_text(encoding="utf-8")
    rows = re.findall(r"^\| being [a-z ]+ \| .* \| (\d+) \| ([\d.]+)% \| ([\d.]+)% \|$", page, re.MULTILINE)
    assert len(rows) == 2 * len(own_model.BINS)
    for count, stated, observed in rows:
        mean = float(stated) / 100.0
        assert abs(float(observed) / 100.0 - mean) < 5.0 * np.sqrt(mean * (1.0 - mean) / int(count)) + 0.001
    held, bands = re.search(r"80 % bands hold ([\d.]+)% of (\d+)\.", page).groups()
    assert int(bands) > 2000
    assert 77.0 < float(held) < 83.0
    assert float(re.search(r"fail to fit in ([\d.]+)% of 600\.", page)[1]) <= 4.0


@pytest.mark.parametrize("fine", [False, True])
def test_a_thickness_of_the_study_lies_on_its_corner(fine):
    """A whole thickness, once: an even rotor between what may stay on and what is new."""
    shares = np.zeros((len(population.CAUSES), population.ORDERS + 1), dtype=complex)
    seated = np.zeros((5, 2, population.ORDERS + 1), dtype=complex)
    corner = population.Corner(0, (), shares, shares, seated, 0j)
    rotor = population.case_of(0).rotor
    read_mm = 1e-3 * population.table(1, 0, corner, population.Step("thickness", fine=fine), slips=0.0).value_um
    assert rotor.minimum_thickness_mm < read_mm.min() <= read_mm.max() < rotor.thickness_mm
