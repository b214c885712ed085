"""Threads against the tables of ISO 898-1: stress areas and proof loads (from memory of the printed tables)."""

import pytest

from sim.errors import BadInput
from sim.parts.case import Hub, Rotor
from sim.parts.materials import Metal, hub_metal, rotor_metal, tensile_strength_mpa
from sim.parts.threads import THREADS, nominal_diameter_mm, proof_load_n, stress_area_mm2


# The standard prints three figures.
@pytest.mark.parametrize(
    ("thread", "area"),
    [("M10x1.5", 58.0), ("M10x1.25", 61.2), ("M12x1.75", 84.3), ("M12x1.5", 88.1), ("M12x1.25", 92.1)]
    + [("M14x2", 115.0), ("M14x1.5", 125.0), ("M16x2", 157.0), ("M16x1.5", 167.0)],
)
def test_stress_area(thread, area):
    assert stress_area_mm2(thread) == pytest.approx(area, rel=0.005)


@pytest.mark.parametrize(
    ("thread", "strength", "kilonewtons"),
    [("M12x1.75", "8.8", 48.9), ("M12x1.75", "10.9", 70.0), ("M12x1.25", "10.9", 76.4)]
    + [("M12x1.5", "8.8", 51.1), ("M14x1.5", "8.8", 72.5), ("M14x1.5", "10.9", 104.0), ("M14x1.5", "12.9", 121.0)],
)
def test_proof_load(thread, strength, kilonewtons):
    assert proof_load_n(thread, strength) / 1000 == pytest.approx(kilonewtons, rel=0.007)


def test_handbook_example_of_a_bolt():
    # Shigley's worked example, as quoted on a teaching page: M12, class 8.8, 70 % of proof is 34.2 kN.
    assert 0.7 * proof_load_n("M12x1.75", "8.8") == pytest.approx(34_200, rel=0.005)


def test_every_thread_knows_its_diameter():
    assert all(thread.startswith(f"M{nominal_diameter_mm(thread):g}x") for thread in THREADS)


def test_unknown_threads_and_classes_are_refused():
    for refused in (lambda: stress_area_mm2("M13x1"), lambda: proof_load_n("M14x1.5", "5.6")):
        with pytest.raises(BadInput):
            refused()


def test_metals():
    assert rotor_metal(Rotor()) == Metal(110_000.0, 0.26)
    assert rotor_metal(Rotor(youngs_modulus_mpa=95_000)) == Metal(95_000.0, 0.26)
    assert hub_metal(Hub(poissons_ratio=0.3)) == Metal(205_000.0, 0.3)
    assert hub_metal(Hub(material="rigid")) is None


@pytest.mark.parametrize(
    ("wall", "strength"), [(4.0, 250.0), (7.0, 250.0), (10.0, 250.0), (12.0, 225.0), (28.0, 195.0), (60.0, 195.0)]
)
def test_iron_is_weaker_where_the_wall_is_thick(wall, strength):
    # EN 1561, EN-GJL-250: 250, 225, 195 MPa for walls of 5 .. 10, 10 .. 20, 20 .. 40 mm.
    assert tensile_strength_mpa(Rotor(), wall) == strength


def test_a_named_strength_rules():
    assert tensile_strength_mpa(Rotor(tensile_strength_mpa=207.0), 30.0) == 207.0
    assert tensile_strength_mpa(Rotor()) == 250.0  # the flange is 7 mm
