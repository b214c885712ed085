"""Pads: derived geometry, windows, duties, and what is refused."""

from __future__ import annotations

import math
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from sim.errors import BadInput
from sim.parts.case import Case, Drive, Pads, Rotor
from sim.wear.brake import (
    DISC_WEAR_MM3_PER_NM,
    Fineness,
    brake_of,
    duty,
    effective_radius,
    pad_band,
    tilt_lever,
)
from sim.wear.grid import make_grid, window


def test_band_of_the_reference_rotor_and_of_a_larger_one():
    assert pad_band(Rotor(), Pads()) == pytest.approx((102.5, 147.5))
    inner, outer = pad_band(replace(Rotor(), outer_diameter_mm=340.0, friction_inner_diameter_mm=220.0), Pads())
    assert 110.0 < inner < outer < 170.0


def test_given_band_is_kept_and_must_lie_on_the_friction_faces():
    assert pad_band(Rotor(), Pads(inner_radius_mm=100.0, outer_radius_mm=140.0)) == (100.0, 140.0)
    with pytest.raises(BadInput, match="leaves the friction faces"):
        pad_band(Rotor(), Pads(inner_radius_mm=80.0))


def test_effective_radius():
    """2/3 (ro^3 - ri^3)/(ro^2 - ri^2): 126.35 mm for 102.5 .. 147.5; the mean radius of a thin band."""
    assert effective_radius(102.5, 147.5) == pytest.approx(126.35, abs=0.005)
    assert effective_radius(124.999, 125.001) == pytest.approx(125.0, rel=1e-9)


def test_tilt_lever():
    """Piston of 2030 mm2: radius 25.42 mm over root two."""
    assert tilt_lever(2030.0) == pytest.approx(17.97, abs=0.01)


def test_area_and_stiffness_of_the_reference_brake():
    """5400 mm2; 20 kN/mm in series with two linings of 30 N/mm3: 16.0 kN/mm."""
    brake = brake_of(Case())
    assert brake.area_mm2 == pytest.approx(5400.0, rel=1e-3)
    assert brake.spread_with_pads_n_mm == pytest.approx(16.0e3, rel=0.01)
    assert brake.clamp_n == pytest.approx(0.8 * brake.area_mm2)


@pytest.mark.parametrize("angles", [72, 90, 180, 360])
def test_window_keeps_the_arc_on_any_grid(angles):
    step = 2.0 * math.pi / angles
    share = window(math.radians(55.0), step)
    assert share.sum() * step == pytest.approx(math.radians(55.0), rel=1e-12)
    assert share.max() == 1.0
    assert np.array_equal(share, share[::-1])


@pytest.mark.parametrize("rings", [1, 3, 5])
def test_grid_has_the_pads_area_and_balanced_coordinates(rings):
    brake = brake_of(Case())
    grid = make_grid(brake, Fineness(rings=rings))
    assert grid.weight_mm2.sum() == pytest.approx(brake.area_mm2, rel=1e-12)
    assert abs(np.sum(grid.weight_mm2 * grid.along_mm)) < 1e-6
    assert abs(np.sum(grid.weight_mm2 * grid.across_mm)) < 1e-6
    assert np.all(np.diff(grid.radius_mm) > 0) if rings > 1 else grid.radius_mm[0] == pytest.approx(125.0)


def test_duties():
    assert duty(Drive()) == (0.03, 0.8)
    assert duty(Drive(duty="gentle")) == (0.012, 0.6)
    assert duty(Drive(duty="heavy", brake_share=0.1)) == (0.1, 1.2)
    assert duty(Drive(pressure_mpa=2.0)) == (0.03, 2.0)


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"duty": "racing"}, "unknown duty"),
        ({"brake_share": 3.0}, "not a percentage"),
        ({"brake_share": math.nan}, "brake share"),
        ({"pressure_mpa": 0.0}, "pad pressure"),
    ],
)
def test_impossible_duties_are_refused(values, words):
    """Also from parts that were built without their own checks."""
    bare = {"duty": "mixed", "brake_share": None, "pressure_mpa": None}
    with pytest.raises(BadInput, match=words):
        duty(SimpleNamespace(**{**bare, **values}))


def test_every_fault_is_named_at_once():
    case = Case()
    caliper = SimpleNamespace(
        **{**vars(case.caliper), "clearance_um": -10.0, "style": "sliding", "outboard_share": 2.0}
    )
    pads = SimpleNamespace(**{**vars(case.pads), "kind": "wooden"})
    with pytest.raises(BadInput) as caught:
        brake_of(SimpleNamespace(rotor=case.rotor, pads=pads, caliper=caliper, drive=case.drive))
    text = str(caught.value)
    for word in ("caliper.clearance_um", "caliper.style", "caliper.outboard_share", "pads.kind", "wooden"):
        assert word in text


def test_units_of_the_brake():
    """0.9e-5 mm3/(N m) = 0.9e-8 mm3/(N mm); um become mm, kN/mm become N/mm; sticking forces come from the caliper."""
    case = replace(Case(), caliper=replace(Case().caliper, sticking_inboard_n=40.0))
    brake = brake_of(case)
    assert brake.disc_wear == pytest.approx(0.9e-8)
    assert brake.clearance_mm == pytest.approx(0.030)
    assert brake.spread_n_mm == pytest.approx(20e3)
    assert brake.drag_n == (0.0, 40.0)


def test_adherent_pads_cut_less_and_leave_a_film():
    brake = brake_of(replace(Case(), pads=Pads(kind="adherent")))
    assert brake.disc_wear == pytest.approx(1e-3 * DISC_WEAR_MM3_PER_NM["adherent"])
    assert brake.adherence == 0.7
    given = brake_of(replace(Case(), pads=Pads(kind="adherent", disc_wear_mm3_per_nm=0.8e-5)))
    assert given.disc_wear == pytest.approx(0.8e-8)
