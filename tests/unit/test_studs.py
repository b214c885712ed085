"""Stud forces: from torque to preload, and spread over an annulus without losing force or moment."""

from __future__ import annotations

import numpy as np
import pytest

from sim.errors import Refused
from sim.parts.case import Studs
from sim.seating.studs import annulus_load, area_mean, line_quadrature, preloads_n, proof_warnings, pulls

LINE = np.linspace(32.5, 76.0, 41)


def test_torque_to_preload_as_in_the_handbook():
    """M10 class 8.8 at 50 N m, dry: F = T / (K d) = 25.0 kN (Shigley's Mechanical Engineering Design, T = K d F)."""
    studs = Studs(thread="M10x1.5", property_class="8.8", torque_nm=50.0, nut_factor=0.20)
    assert preloads_n(studs) == pytest.approx([25_000.0] * 5)
    # Within its proof load: 58.0 mm2 at 580 MPa (ISO 898-1).
    assert proof_warnings(studs) == ()


def test_one_torque_per_stud_and_a_nut_left_off():
    studs = Studs(torque_nm=(140.0, 70.0, 0.0, 140.0, 140.0), nut_factor=0.2)
    assert preloads_n(studs) == pytest.approx((50_000, 25_000, 0, 50_000, 50_000))


def test_preload_given_displaces_the_default_torque():
    assert preloads_n(Studs(preload_n=15_000.0)) == (15_000.0,) * 5


@pytest.mark.parametrize("studs", [Studs(torque_nm=0.0), Studs(torque_nm=(0.0,) * 5), Studs(preload_n=0.0)])
def test_no_nut_on_is_refused_with_exit_3(studs):
    with pytest.raises(Refused, match="no nut is on") as caught:
        preloads_n(studs)
    assert caught.value.exit_code == 3


def test_a_stud_beyond_its_proof_load_is_named():
    """M14x1.5: 124.55 mm2 at 830 MPa is 103.4 kN; 2 of 5 beyond it."""
    (words,) = proof_warnings(Studs(preload_n=(90_000.0, 104_000.0, 90_000.0, 90_000.0, 110_000.0)))
    assert words.startswith("stud 2, 5:")
    assert "103 kN" in words


def test_studs_stand_where_they_should():
    pulled = pulls(Studs(count=4, pitch_circle_mm=100.0, preload_n=(1000.0, 2000.0, 3000.0, 4000.0)))
    assert pulled.x_mm == pytest.approx([50, 0, -50, 0], abs=1e-12)
    assert pulled.y_mm == pytest.approx([0, 50, 0, -50], abs=1e-12)
    assert pulled.force_n.tolist() == [1000.0, 2000.0, 3000.0, 4000.0]


@pytest.mark.parametrize("nodes", [LINE, np.sort(np.r_[LINE[::2], (LINE[::2][1:] + LINE[::2][:-1]) / 2])])
@pytest.mark.parametrize(("inner", "outer"), [(7.5, 14.0), (8.0, 14.0), (7.3, 11.9), (5.0, 20.0)])
def test_annulus_keeps_force_and_moment(nodes, inner, outer):
    loads = annulus_load(nodes, 56.0, inner, outer, 90)
    assert 2 * np.pi * loads[0].sum() == pytest.approx(1.0, abs=1e-8)
    assert np.pi * loads[1] @ nodes == pytest.approx(56.0, rel=1e-8)


@pytest.mark.parametrize("order", [0, 1, 2, 5, 17])
def test_annulus_harmonics_by_brute_force(order):
    """Sum of cos n theta over many points of the annulus, against a node set that follows a parabola exactly."""
    loads = annulus_load(LINE, 56.0, 7.5, 14.0, 20)
    rho = np.sqrt(7.5**2 + (14.0**2 - 7.5**2) * (np.arange(400) + 0.5) / 400)
    turn = 2 * np.pi * (np.arange(800) + 0.5) / 800
    x, y = 56.0 + np.outer(rho, np.cos(turn)), np.outer(rho, np.sin(turn))
    r, theta = np.hypot(x, y), np.arctan2(y, x)
    brute = (np.cos(order * theta) * (1 + 0.01 * r**2)).mean() / (2 * np.pi if order == 0 else np.pi)
    # The same functional through the nodal loads: 1 + 0.01 r^2 is quadratic, so quadratic elements hold it exactly.
    assert loads[order] @ (1 + 0.01 * LINE**2) == pytest.approx(brute, rel=2e-5)


def test_annulus_that_hangs_over_is_refused_with_its_loss():
    with pytest.raises(Refused, match=r"hangs over the part it presses on: \d+\.\d % of its force arrives"):
        annulus_load(LINE, 56.0, 8.0, 25.0, 20)
    with pytest.raises(Refused, match="hangs over"):
        annulus_load(LINE, 40.0, 2.0, 10.0, 20)


def test_area_mean_is_exact_for_what_quadratic_elements_hold():
    inner, outer = np.array([32.5, 40.1, 75.0]), np.array([40.1, 75.0, 76.0])
    rows = area_mean(LINE, inner, outer)
    assert rows.sum(axis=1) == pytest.approx(np.ones(3))
    area = (outer**2 - inner**2) / 2
    assert rows @ LINE == pytest.approx((outer**3 - inner**3) / 3 / area)
    assert rows @ LINE**2 == pytest.approx((outer**4 - inner**4) / 4 / area)


def test_line_quadrature_is_exact_across_a_break():
    places, weights, shape = line_quadrature(LINE, (50.0,))
    assert weights.sum() == pytest.approx(76.0 - 32.5)
    assert (weights * (places > 50.0)).sum() == pytest.approx(26.0, rel=1e-9)
    assert shape.sum(axis=1) == pytest.approx(np.ones(places.size))
    assert shape @ LINE == pytest.approx(places)
    # A root at the end of an interval, as the width of a circle has.
    assert (weights * np.sqrt(np.clip(places - 50.0, 0, None))).sum() == pytest.approx(2 / 3 * 26.0**1.5, rel=1e-8)


def test_a_locating_screw_sits_half_way_between_two_studs_unless_said():
    """Judgement; a given angle counts."""
    held = pulls(Studs(clamped_by="screw only", screw_preload_n=900.0))
    assert held.angle_rad.tolist() == pytest.approx([np.pi / 5])
    assert held.force_n.tolist() == [900.0]
    assert pulls(Studs(clamped_by="screw only", screw_angle_deg=80.0)).angle_rad[0] == pytest.approx(np.deg2rad(80.0))
