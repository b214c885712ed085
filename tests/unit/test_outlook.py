"""The duty table and what remains after cleaning."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from sim.forecast import Settings, faces_from_thickness
from sim.outlook import after_cleaning, duty_table
from sim.parts import Case

THETA = 2.0 * np.pi * np.arange(360) / 360
FEW = Settings(draws=24, points=31)


def test_table_has_every_line_and_its_trends():
    rows = duty_table(Case(), runout_um=(20.0, 100.0), draws=0)
    assert len(rows) == 2 * 2 * 3 * 2
    quiet = [row for row in rows if row.runout_um == 20.0]
    assert all(row.peak_um < 0.01 and row.km_to_10 is None for row in quiet)
    peak = {(row.caliper, row.pads, row.duty): row for row in rows if row.runout_um == 100.0}
    for style in ("floating", "fixed"):
        for kind in ("abrasive", "adherent"):
            assert peak[style, kind, "gentle"].peak_um > peak[style, kind, "heavy"].peak_um
        abrasive, adherent = peak[style, "abrasive", "mixed"], peak[style, "adherent", "mixed"]
        assert abrasive.km_to_15 < adherent.km_to_15
        assert abrasive.end_um < abrasive.peak_um
    assert 4800.0 < peak["floating", "abrasive", "mixed"].km_to_15 < 11_300.0


def test_table_bands():
    told = []
    rows = duty_table(Case(), runout_um=(100.0,), km=12_000.0, draws=8, progress=lambda share, what: told.append(share))
    assert told[0] == 0.0
    assert told[-1] == 1.0
    assert all(0.0 <= row.probability_never <= 1.0 for row in rows)


def test_a_worn_disc_on_a_clean_hub_fades():
    worn = faces_from_thickness(9.0 * np.cos(THETA) + 3.0 * np.cos(2.0 * THETA))
    found = after_cleaning(Case(), worn, 5.0 * np.cos(THETA), settings=FEW)
    assert found.dtv_now_um > 18.0
    assert found.km_low <= found.km_to_fade <= found.km_high
    assert found.probability_fades > 0.5
    assert "below 15 µm after about" in found.verdict


def test_on_a_dirty_hub_it_does_not_fade():
    worn = faces_from_thickness(20.0 * np.cos(2.0 * THETA))
    found = after_cleaning(Case(), worn, 75.0 * np.cos(THETA), km=2000.0, settings=replace(FEW, draws=0))
    assert found.km_to_fade is None
    assert "cut it on the car" in found.verdict
    thin = replace(Case(), rotor=replace(Case().rotor, thickness_mm=10.05))
    again = after_cleaning(thin, worn, 75.0 * np.cos(THETA), km=500.0, settings=replace(FEW, draws=0))
    assert again.thickness_after_cut_mm < 10.0
    assert "replace it" in again.verdict


def test_a_disc_below_the_limit_is_told_so():
    found = after_cleaning(Case(), np.zeros((2, 90)), np.zeros(360), settings=replace(FEW, draws=0))
    assert found.verdict.endswith("below the limit of 15 µm")
    grows = after_cleaning(Case(), np.zeros((2, 90)), 60.0 * np.cos(THETA), settings=replace(FEW, draws=0))
    assert "grows again" in grows.verdict
    assert grows.km_low == pytest.approx(grows.km_high) if grows.km_low else grows.km_low is None
