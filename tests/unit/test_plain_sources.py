"""What stands as a source can be read by its user, and what is at round-off is written as nothing."""

import re
from types import SimpleNamespace

import numpy as np
import pytest

from scenes.command import reference
from scenes.words import felt, road, words
from sim.parts.keys import KEYS

MODULE = re.compile(r"\b(sim|scenes|tests|demo_geometry)[./]\w|\.py\b|\b\w+_\w+\(\)")


@pytest.mark.parametrize("row", [*reference.sources(), *reference.CHECKS], ids=lambda row: row[0][:40])
def test_no_source_sends_its_reader_into_the_code(row):
    assert MODULE.search(row[0]) is None
    assert len(row[0].split()) > 0


def test_every_key_has_a_source_and_a_meaning():
    assert [key.path for key in KEYS if not key.source.strip() or not key.meaning.strip()] == []


def test_clearance_holes_are_those_of_iso_273():
    # ISO 273: fine, medium and coarse series.
    source = next(key.source for key in KEYS if key.path == "rotor.hole_diameter_mm")
    assert "M12 13, 13.5, 14.5" in source
    assert "M14 15, 15.5, 16.5" in source


@pytest.mark.parametrize("value", [4.2e-14, -2.0e-15, 0.0, 9e-10])
def test_round_off_is_written_as_nothing(value):
    assert words.number(value) == "0"
    assert words.micrometres(value) == f"0{words.GAP}µm"
    assert words.with_unit(value, "N m") == f"0{words.GAP}N{words.GAP}m"
    assert words.balanced(value) == "0"
    assert words.span(value, 0.0, "µm") == f"0{words.GAP}µm"


def test_small_figures_that_are_figures_stay():
    assert words.number(2.5e-5) == f"2.5e{words.MINUS}05"
    assert words.balanced(2e-7) == "2e-07"


def test_a_torque_at_round_off_is_not_felt():
    flat = SimpleNamespace(
        torque_variation_nm=np.array([[1e-15, 5e-16]]),
        dtv_um=np.array([1e-14]),
        judder_speed_km_h=np.array([194.0, 97.0]),
        judder_band_km_h=np.array([[172.0, 211.0], [86.0, 105.0]]),
        orders=(1, 2),
    )
    assert road.felt_orders(flat) == ([], [])
    assert felt.felt_at(flat) == "Nothing to be felt: the torque does not vary."
