"""The wear laws against what can be derived by hand.

Source: derivations from Archard's law and the balance of a stiff plate on a Winkler bed; each test states its formula.
Frame: as in ``sim`` (rotor frame, faces in their own outward direction). Tolerances are rounding where the statement is
exact on the grid, and per cent where the formula is a narrow-pad limit.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from wear_setup import GAUGE_MM, ONE_RING, angle, depth_rate, depths, orders, problem, runout_mm, window_means, with_law

from sim.wear.brake import Fineness, effective_radius
from sim.wear.disc import make_problem, parts_of
from sim.wear.march import march, one_turn
from sim.wear.worn_state import WORK, drag_of

TURNS_10000_KM = 519.5e4
#: What must hold exactly on the grid holds on one ring and on the layout that forecasts use.
LAYOUTS = pytest.mark.parametrize("layout", [ONE_RING, Fineness()], ids=["one ring", "standard"])


def swing_at_pad(tir, one):
    return 0.5 * tir * float(one.grid.radius_mm[0]) / GAUGE_MM


def close(ours, theirs, rel):
    """Relative difference below ``rel`` of the largest expected value."""
    assert np.max(np.abs(np.asarray(ours) - theirs)) <= rel * np.max(np.abs(theirs))


@pytest.mark.parametrize("style", ["floating", "fixed"])
@pytest.mark.parametrize("options", [{}, {"pad_profile": True}, {"rings": 1, "angles": 180}])
def test_no_metal_is_lost_or_made(style, options):
    one = problem(style, second=0.2, fineness=Fineness(**options))
    assert march(one, TURNS_10000_KM).balance.max() < 2e-13


@LAYOUTS
@pytest.mark.parametrize(("style", "rel"), [("fixed", 1e-13), ("floating", 1e-12)])
def test_turning_the_disc_turns_the_wear(style, rel, layout):
    one = problem(style, second=0.3, fineness=layout)
    turned = make_problem(one.brake, np.roll(runout_mm(0.10, 0.3), 78), GAUGE_MM, None, layout)
    close(depth_rate(turned), np.roll(depth_rate(one), 78 * layout.angles // 360, axis=-1), rel)


@LAYOUTS
def test_mirror(layout):
    one = problem("fixed", second=0.3, fineness=layout)
    trace = runout_mm(0.10, 0.3)
    mirrored = make_problem(one.brake, np.roll(trace[::-1], 1), GAUGE_MM, None, layout)
    close(depth_rate(mirrored), np.roll(depth_rate(one)[..., ::-1], 1, axis=-1), 1e-13)


@LAYOUTS
def test_turning_the_disc_over_swaps_the_faces(layout):
    """w -> -w with the clearance shares exchanged exchanges what the two faces lose."""
    one = problem("floating", second=0.3, fineness=layout)
    flipped = problem("floating", tir=-0.10, second=0.3, outboard_share=0.7, fineness=layout)
    close(depth_rate(flipped), depth_rate(one)[::-1], 1e-12)


@LAYOUTS
def test_centred_fixed_caliper_makes_no_odd_orders(layout):
    """Both faces lose the same, half a turn apart: odd orders of their sum vanish."""
    worn = depths(problem("fixed", fineness=layout), TURNS_10000_KM)[0, :, -1]
    found = orders(worn.sum(axis=0), 7)
    assert found[2] > 1e-3
    assert np.max(found[1::2]) < 1e-9 * found[2]


@pytest.mark.parametrize(("style", "most_apart"), [("fixed", 180.0), ("floating", 180.0)])
def test_faces_wear_half_a_turn_apart(style, most_apart):
    """With the brake released the outboard face is touched where the disc leans out, the inboard face opposite."""
    rate = depth_rate(problem(style, brake_share=0.0))[:, 0]
    at = np.degrees(np.angle(np.fft.rfft(rate, axis=1)[:, 1].conj()))
    assert at[0] % 360.0 == pytest.approx(0.0, abs=2.0) or at[0] % 360.0 == pytest.approx(360.0, abs=2.0)
    assert (at[1] - at[0]) % 360.0 == pytest.approx(most_apart, abs=2.0)


@LAYOUTS
def test_two_pads_that_always_touch_wear_the_disc_evenly(layout):
    """The strongest check: both faces in linear contact lose the same everywhere, so the thickness stays even."""
    one = problem("fixed", clearance_mm=-1.0, slip_n=1e9, brake_share=0.0, fineness=layout)
    for rate in np.moveaxis(depth_rate(one), 1, 0):
        assert np.ptp(rate.sum(axis=0)) < 1e-11 * rate.sum(axis=0).mean()
        assert np.ptp(rate[0]) > 1e-4 * rate[0].mean()


@pytest.mark.parametrize(("factor", "touches"), [(0.999, False), (1.001, True)])
def test_threshold_of_a_fixed_caliper(factor, touches):
    """The piston comes to rest g above the lowest window mean: contact from A + S_1 A > g on."""
    one = problem("fixed", brake_share=0.0)
    s, _ = window_means(one.grid, 1)
    tir = 2.0 * factor * 0.030 / (1.0 + s) * GAUGE_MM / float(one.grid.radius_mm[0])
    worn = depth_rate(problem("fixed", tir=tir, brake_share=0.0))
    assert (worn.max() > 0.0) == touches


@pytest.mark.parametrize(("factor", "touches"), [(0.999, False), (1.001, True)])
def test_threshold_across_the_pad(factor, touches):
    """Over the width the outermost place touches first: from A_outer + S_1 A_mean > g on, A as the radius.

    The face tilts across the pad too, and the pad keeps the mean tilt that it had on the brake: none.
    """
    one = problem("fixed", brake_share=0.0, fineness=Fineness())
    grid = one.grid
    share = grid.weight_mm2 / grid.weight_mm2.sum()
    psi = grid.step_rad * np.arange(-grid.half, grid.half + 1)
    mean = float(np.sum(share * grid.radius_mm[:, None] * np.cos(psi)))
    tir = 2.0 * factor * 0.030 * GAUGE_MM / (float(grid.radius_mm[-1]) + mean)
    worn = depth_rate(problem("fixed", tir=tir, brake_share=0.0, fineness=Fineness()))
    assert (worn.max() > 0.0) == touches


def test_one_face_in_full_contact():
    """Amplitude of order 1 = k_w r alpha A [k_eff S^2/A_pad + k_off (1 - S^2 - Q z)].

    k_eff: holder and bed in series; z = k_off I/(k_off I + k_s l^2), I = sum of X_t^2 dA.
    """
    one = with_law(problem("fixed", brake_share=0.0), gap_out=-1.0, gap_in=5.0, slip=1e9)
    law, grid = one.law, one.grid
    s, q = window_means(grid, 1)
    bed = law.bed_released * grid.area_mm2
    series = law.spring * bed / (law.spring + bed)
    z = law.bed_released * grid.along_square / (law.bed_released * grid.along_square + law.tilt_spring)
    radius = float(grid.radius_mm[0])
    arc = float(grid.share.sum()) * grid.step_rad
    expected = law.disc_wear * radius * arc * swing_at_pad(0.10, one)
    expected *= series * s**2 / grid.area_mm2 + law.bed_released * (1.0 - s**2 - q * z)
    rate = depth_rate(one)[:, 0]
    assert orders(rate[0])[1] == pytest.approx(expected, rel=1e-11)
    assert rate[1].max() == 0.0


def clipped_orders(clearance_share, highest):
    """Orders of max(0, cos theta - c): closed form of a narrow pad that touches beyond the clearance c."""
    phi = math.acos(clearance_share)
    out = np.zeros(highest + 1)
    out[1] = (phi - math.sin(phi) * math.cos(phi)) / math.pi
    for n in range(2, highest + 1):
        top = math.sin(n * phi) * math.cos(phi) - n * math.cos(n * phi) * math.sin(phi)
        out[n] = 2.0 * top / (math.pi * n * (n * n - 1.0))
    return out


@pytest.mark.parametrize("tir", [0.05, 0.10])
def test_orders_of_the_wear_of_a_narrow_pad(tir):
    one = problem(
        "fixed",
        tir=tir,
        brake_share=0.0,
        arc_rad=math.radians(6.0),
        tilt_lever_mm=0.3,
        holder_n_mm=0.5,
        fineness=Fineness(angles=720, rings=1),
    )
    swing = swing_at_pad(tir, one)
    c = (0.030 - swing) / swing
    rate = depth_rate(one)[:, 0]
    scale = one.law.disc_wear * one.law.spring * one.brake.arc_rad * swing * float(one.grid.radius_mm[0])
    expected = np.abs(clipped_orders(c, 4)[1:]) * scale / one.grid.area_mm2
    close(orders(rate[0], 4)[1:], expected, 0.006)
    both = orders(rate.sum(axis=0), 4)[1:]
    close(both[[1, 3]], 2.0 * expected[[1, 3]], 0.006)
    assert np.max(both[[0, 2]]) < 1e-9 * both[1]


@pytest.mark.parametrize("order", [1, 2, 3, 4, 8])
def test_healing_on_the_brake(order):
    """A thick spot of order n dies at k_w r alpha [2 K_t S^2/A_pad + k_on (1 - S^2 - Q)] per braked revolution."""
    height = 0.002 * np.cos(order * angle())
    one = with_law(problem("fixed", tir=0.0, heights=np.stack([height, height])), brake_share=1.0)
    law, grid = one.law, one.grid
    s, q = window_means(grid, order)
    arc = float(grid.share.sum()) * grid.step_rad
    bend = law.bed_braking * (1.0 - s**2 - q)
    expected = law.disc_wear * float(grid.radius_mm[0]) * arc * (2.0 * law.clamp_spring * s**2 / grid.area_mm2 + bend)
    rate = depth_rate(one)[:, 0]
    assert orders(rate[0])[order] / 0.002 == pytest.approx(expected, rel=1e-11)
    assert orders(rate.sum(axis=0))[order] / 0.004 == pytest.approx(expected, rel=1e-11)


def test_braking_hardly_cures_runout():
    """The antisymmetric part feels only the bending of the lining, k_on (1 - S^2 - Q): 1.6 million km at mixed duty."""
    one = with_law(problem("fixed", tir=0.02), brake_share=1.0)
    law, grid = one.law, one.grid
    s, q = window_means(grid, 1)
    arc = float(grid.share.sum()) * grid.step_rad
    expected = law.disc_wear * float(grid.radius_mm[0]) * arc * law.bed_braking * (1.0 - s**2 - q)
    rate = depth_rate(one)[:, 0]
    assert orders(rate[0])[1] / swing_at_pad(0.02, one) == pytest.approx(expected, rel=1e-9)
    assert 1.0 / (expected * 0.03 * 519.5) > 1e6


@pytest.mark.parametrize("style", ["floating", "fixed"])
def test_wear_coefficients_only_scale_time(style):
    one = problem(style, second=0.2)
    fast = problem(style, second=0.2, disc_wear=7.0 * one.brake.disc_wear, pad_wear=7.0 * one.brake.pad_wear)
    slow, quick = depths(one, 7e5 * np.arange(1.0, 5.0)), depths(fast, 1e5 * np.arange(1.0, 5.0))
    assert np.max(np.abs(slow - quick)) < 1e-8  # 0.01 nm


def test_clamp_force_drops_out_of_thickness_variation():
    soft, hard = (depths(problem("fixed", pressure_mpa=p), 2e6)[0, :, 0].sum(axis=0) for p in (0.8, 1.6))
    assert np.max(np.abs((soft - soft.mean()) - (hard - hard.mean()))) < 2e-5  # within the error allowed per step


def test_without_braking_taps_machine_the_faces_down_to_the_clearance():
    """Fixed caliper, never braked: growth ends when the face runout has come down to about the clearance."""
    one = problem("fixed", brake_share=0.0)
    worn = depths(one, 519.5 * 584_000.0)[0, :, 0]
    face = one.base_mm[:, 0] - worn
    assert np.ptp(face[0]) == pytest.approx(0.0317, rel=0.02)
    assert np.ptp(worn.sum(axis=0)) == pytest.approx(0.0317, rel=0.03)
    assert np.ptp(worn.sum(axis=0)) < 2.0 * (0.10 * float(one.grid.radius_mm[0]) / GAUGE_MM - 0.030)


@pytest.mark.parametrize("style", ["floating", "fixed"])
def test_more_runout_is_always_sooner(style):
    """Kilometres to 10 um fall strictly with the runout."""
    at = 519.5 * np.linspace(0.0, 30_000.0, 101)
    reached = []
    for tir in (0.08, 0.09, 0.10, 0.11, 0.12, 0.14, 0.16, 0.20):
        dtv = 1e3 * np.ptp(depths(problem(style, tir=tir), at).sum(axis=1)[:, 0], axis=1)
        k = int(np.argmax(dtv >= 10.0))
        assert k > 0
        reached.append(at[k - 1] + (10.0 - dtv[k - 1]) / (dtv[k] - dtv[k - 1]) * (at[k] - at[k - 1]))
    assert np.all(np.diff(reached) < 0.0)


def test_phase_of_the_second_order_matters():
    """Same TIR of both orders, another phase between them: quite another distance."""
    dtv = []
    for phase in (0.0, math.pi):
        one = make_problem(problem().brake, runout_mm(0.10, 0.3, phase), GAUGE_MM)
        dtv.append(1e3 * np.ptp(depths(one, 519.5 * 3000.0)[0, :, 0].sum(axis=0)))
    assert max(dtv) > 1.3 * min(dtv)


@pytest.mark.parametrize("rings", [1, 3])
def test_a_sticking_slide_keeps_its_pad_on_and_makes_one_thin_spot(rings):
    """A constant push of 60 N (40 um of holder travel) on one side: that face wears, order 1 outweighs order 2."""
    one = problem("floating", drag_n=(60.0, 0.0), brake_share=0.0, fineness=Fineness(rings=rings))
    rate = depth_rate(one)
    assert rate[0].mean() > 3.0 * rate[1].mean()
    found = orders(rate.sum(axis=0).mean(axis=0))
    assert found[1] > 2.0 * found[2]
    state = np.zeros(one.size)
    rate = one_turn(one, state)[0]
    work = parts_of(one, rate).released_work
    force = work / ((1.0 - one.brake.brake_share) * 2.0 * math.pi * one.grid.radius_mm.mean())
    assert force[0] == pytest.approx(60.0 - 1500.0 * 0.018, abs=25.0)
    lever = effective_radius(one.brake.inner_radius_mm, one.brake.outer_radius_mm)
    by_hand = 0.4 * lever * force.sum() * 1e-3  # of whole pads, wherever the rings stand
    assert drag_of(one, rate[None, WORK], 0.4)[0] == pytest.approx(by_hand, rel=1e-9 if rings == 1 else 0.03)


def test_film_settles_at_its_thickness_under_even_pressure():
    """Adherent pads on a true disc: film -> m0 (p/p0 = 1), and iron goes (1 - adherence) as fast."""
    one = problem("fixed", tir=0.0, kind="adherent")
    marched = march(one, 3e6)
    worn = parts_of(one, marched.state[-1])
    assert np.max(np.abs(worn.film_mm - one.law.film)) < 1e-3 * one.law.film
    depth_per_turn = 0.03 * 0.3 * one.law.disc_wear * one.law.pressure * float(one.grid.radius_mm[0])
    depth_per_turn *= float(one.grid.share.sum()) * one.grid.step_rad
    assert worn.depth_mm.mean() == pytest.approx(depth_per_turn * marched.revolutions[-1], rel=1e-9)


def test_knocked_back_piston_stays_where_its_holder_just_carries_the_tap():
    """Fixed caliper, slip active: no tap is stronger than the slip force."""
    _, notes = one_turn(problem("fixed", tir=0.15, slip_n=40.0), np.zeros(problem().size))
    assert notes[4] > 0.0
    assert notes[0] <= 40.0 * (1.0 + 1e-4)
