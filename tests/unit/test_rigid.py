"""Rigid seating: what it stands on, when it rocks, what it refuses, and the runout of a whole case."""

from dataclasses import replace

import numpy as np
import pytest

from sim.errors import BadInput, Refused
from sim.parts.case import Case, Debris, Hub, Rotor, Studs
from sim.rigid.batch import exchange, seat_rigid_batch
from sim.rigid.bearing_points import Holes, Patch
from sim.rigid.seat import clamp_centre_mm, rigid_runout, rigid_runout_um, seat_rigid

RIM = 68.0
CLEAN = Case()


def test_clean_face_seats_flat_on_its_rim():
    seat = seat_rigid([], RIM)
    assert seat.height_mm == 0.0
    assert seat.slope_xy == pytest.approx((0.0, 0.0))
    assert {support.on for support in seat.supports} == {-1}
    assert seat.unique


def test_an_even_ring_lifts_without_tilt():
    seat = seat_rigid([Patch(60.0, 64.0, 0.0, 360.0, 0.1)], RIM)
    assert seat.height_mm == pytest.approx(0.1)
    assert seat.tir_mm(140.0) == pytest.approx(0.0, abs=1e-15)


def test_two_specks_exactly_opposite_let_it_rock_and_the_range_is_reported():
    seat = seat_rigid([Patch(60.0, 60.0, 0.0, 0.0, 0.1), Patch(60.0, 60.0, 180.0, 0.0, 0.1)], RIM)
    assert not seat.unique
    assert seat.slope_xy == pytest.approx((0.0, 0.0), abs=1e-15)
    # It rocks until it meets the rim at 90 or 270 degrees: a lean of 0.1 over 68 mm either way.
    assert sorted(end[1] for end in seat.slope_range) == pytest.approx([-0.1 / 68, 0.1 / 68], rel=1e-12)
    assert seat.tir_range_mm(140.0) == pytest.approx((0.0, 280 * 0.1 / 68), abs=1e-12)


def test_unequal_specks_opposite_each_other_rock_about_their_line():
    seat = seat_rigid([Patch(60.0, 60.0, 0.0, 0.0, 0.10), Patch(60.0, 60.0, 180.0, 0.0, 0.05)], RIM)
    assert not seat.unique
    assert seat.height_mm == pytest.approx(0.075)
    assert seat.slope_xy[0] == pytest.approx(0.05 / 120)
    low, high = seat.tir_range_mm(140.0)
    assert low == pytest.approx(280 * 0.05 / 120)
    assert high > low


def test_wide_patches_opposite_each_other_do_not_rock():
    seat = seat_rigid([Patch(60.0, 66.0, 0.0, 20.0, 0.1), Patch(60.0, 66.0, 180.0, 20.0, 0.1)], RIM)
    assert seat.unique
    assert seat.height_mm == pytest.approx(0.1)


def test_corners_in_line_with_the_centre_rock_one_way_only():
    seat = seat_rigid([Patch(60.0, 66.0, 10.0, 20.0, 0.1), Patch(60.0, 66.0, 170.0, 20.0, 0.1)], RIM)
    assert not seat.unique
    lean = [end[1] for end in seat.slope_range]
    assert min(lean) == pytest.approx(0.0, abs=1e-12)
    assert max(lean) == pytest.approx(0.1 / 68, rel=1e-6)


def test_a_clamp_centre_outside_what_bears_is_refused():
    with pytest.raises(Refused, match="rocks"):
        seat_rigid([], RIM, centre_xy_mm=(69.0, 0.0))
    with pytest.raises(Refused):
        seat_rigid([], RIM, centre_xy_mm=(0.0, -68.0))
    with pytest.raises(Refused, match="rocks"):
        exchange([[1, 0], [2, 1], [2, -1]], [0.0, 0.0, 0.0])


def test_a_hollow_across_the_rim_moves_the_support_and_an_inner_one_changes_nothing():
    inner = seat_rigid([Patch(40.0, 60.0, 0.0, 90.0, -0.1)], RIM)
    assert inner.tir_mm(140.0) == pytest.approx(0.0, abs=1e-15)
    speck = Patch(60.0, 60.0, 180.0, 0.0, 0.1)
    broken = seat_rigid([speck, Patch(50.0, 68.0, 0.0, 90.0, -0.1)], RIM)
    # Opposite the speck the rim is gone within 45 degrees: it stands on the two ends of the rim that is left, or on
    # the hollow's inner edge at r 50, whichever reaches further: 68 cos 45 = 48.1 < 50.
    assert broken.tir_mm(140.0) == pytest.approx(280 * 0.1 / (60 + 50), rel=1e-12)
    wider = seat_rigid([speck, Patch(40.0, 68.0, 0.0, 90.0, -0.1)], RIM)
    assert wider.tir_mm(140.0) == pytest.approx(280 * 0.1 / (60 + 68 * np.cos(np.pi / 4)), rel=1e-12)


def test_a_hollow_all_round_leaves_its_floor_and_what_is_inside():
    speck = Patch(36.0, 36.0, 0.0, 0.0, 0.1)
    seat = seat_rigid([speck, Patch(50.0, 68.0, 0.0, 360.0, -0.05)], RIM, face_inner_mm=34.0)
    on_edge = 280 * 0.1 / (36 + 50)
    on_floor = 280 * 0.15 / (36 + 68)
    assert seat.tir_mm(140.0) == pytest.approx(min(on_edge, on_floor), rel=1e-12)


def test_more_than_the_face_counts_only_up_to_its_rim():
    inside = seat_rigid([Patch(60.0, 68.0, 0.0, 20.0, 0.1)], RIM)
    over = seat_rigid([Patch(60.0, 75.0, 0.0, 20.0, 0.1)], RIM)
    assert over == inside
    assert seat_rigid([Patch(70.0, 75.0, 0.0, 20.0, 0.1)], RIM).height_mm == 0.0


def test_a_patch_inside_a_stud_hole_carries_nothing_and_a_half_covered_one_bears_at_the_holes_edge():
    holes = Holes(5, 56.0, 8.0)
    assert seat_rigid([Patch(52.0, 60.0, 72.0, 8.0, 0.1)], RIM, holes=holes).height_mm == 0.0
    seat = seat_rigid([Patch(52.0, 66.0, 0.0, 2.0, 0.1)], RIM, holes=holes)
    edge = [s for s in seat.supports if s.on == 0]
    assert [np.hypot(s.x_mm - 56, s.y_mm) for s in edge] == pytest.approx([8.0, 8.0])


def test_batch_refuses_what_it_does_not_cover_and_leaves_clean_rows_flat():
    with pytest.raises(BadInput, match="from 0 up"):
        seat_rigid_batch(60, 62, 0, 5, [[-0.1]], RIM)
    with pytest.raises(BadInput, match="within the face"):
        seat_rigid_batch(60, 72, 0, 5, [[0.1]], RIM)
    found = seat_rigid_batch(60, 62, 0, 5, [[0.0], [0.1]], RIM)
    assert (found[0] == 0).all()
    assert found[1, 1] > 0


def test_batch_answers_draws_that_rock():
    found = seat_rigid_batch([[66.0, 50.0]], [[68.0, 52.0]], [[120.0, 270.0]], [[0.0, 60.0]], [[0.1, 0.05]], RIM)
    single = seat_rigid([Patch(66.0, 68.0, 120.0, 0.0, 0.1), Patch(50.0, 52.0, 270.0, 60.0, 0.05)], RIM)
    assert not single.unique
    assert found[0, 0] == pytest.approx(single.height_mm, rel=1e-6)


@pytest.mark.parametrize(
    "bad", [(0.0, 60.0, 0.0, 10.0, 0.1), (60.0, 50.0, 0.0, 10.0, 0.1), (50.0, 60.0, 0.0, 400.0, 0.1)]
)
def test_impossible_patches_are_refused(bad):
    with pytest.raises(BadInput):
        Patch(*bad)


def test_case_with_the_reference_patch():
    case = replace(CLEAN, debris=(Debris(),))
    assert rigid_runout_um(case) == pytest.approx(220.32, abs=0.005)
    assert rigid_runout(case).debris_um.imag == pytest.approx(0.0, abs=1e-9)


def test_debris_on_the_rotor_goes_with_it_and_debris_on_the_hub_stays():
    here = replace(CLEAN, debris=(Debris(angle_deg=36.0),), studs=Studs(studs_turned=2))
    there = replace(here, debris=(Debris(angle_deg=36.0, on="rotor"),))
    # In the rotor's frame hub dirt at 36 deg is seen at 36 - 144, rotor dirt at 36.
    assert np.degrees(np.angle(rigid_runout(here).debris_um)) == pytest.approx(-(36 - 144))
    assert np.degrees(np.angle(rigid_runout(there).debris_um)) == pytest.approx(-36)
    assert rigid_runout(here).tir_um == pytest.approx(rigid_runout(there).tir_um)


def test_hub_and_own_runout_add_as_vectors_and_scale_with_the_radius():
    hub = Hub(face_runout_um=64.0, face_runout_radius_mm=64.0, face_high_spot_deg=72.0)
    rotor = Rotor(own_runout_um=100.0, own_runout_radius_mm=100.0, own_high_spot_deg=180.0)
    case = replace(CLEAN, hub=hub, rotor=rotor)
    both = rigid_runout(case)
    assert 2 * abs(both.hub_face_um) == pytest.approx(140.0)
    assert 2 * abs(both.own_um) == pytest.approx(140.0)
    apart = np.radians(180 - 72)
    assert both.tir_um == pytest.approx(140 * np.sqrt(2 + 2 * np.cos(apart)))
    # Turned until they oppose each other (hub high spot at rotor angle 0): nothing is left.
    assert rigid_runout_um(replace(case, studs=Studs(studs_turned=1))) == pytest.approx(0.0, abs=1e-9)


def test_own_thickness_variation_shows_on_the_gauges_face():
    rotor = Rotor(own_runout_um=40.0, own_thickness_variation_um=12.0)
    out = rigid_runout_um(replace(CLEAN, rotor=rotor))
    inner = rigid_runout_um(replace(CLEAN, rotor=rotor, gauge=replace(CLEAN.gauge, face="inboard")))
    assert (out, inner) == pytest.approx((46.0, 34.0))


def test_uneven_torque_moves_the_clamp_centre_and_the_seat():
    studs = Studs(torque_nm=(140.0, 140.0, 140.0, 140.0, 0.0))
    loose = replace(CLEAN, studs=studs)
    assert clamp_centre_mm(loose) == pytest.approx((-14 * np.cos(np.radians(288)), -14 * np.sin(np.radians(288))))
    screw = replace(CLEAN, studs=Studs(torque_nm=0.0, clamped_by="screw only", screw_angle_deg=90.0))
    assert clamp_centre_mm(screw) == pytest.approx((0.0, screw.studs.pitch_radius_mm))  # no nut is on, and none need be
    assert rigid_runout_um(screw) == 0.0
    assert rigid_runout_um(loose) == pytest.approx(0.0, abs=1e-9)
    speck = replace(loose, debris=(Debris(angle_deg=36.0, arc_deg=2.0),))
    supports = rigid_runout(speck).seat.supports
    # Speck, clamp centre and the rim's support opposite stand in one line, which misses the middle.
    rim = next(s for s in supports if s.on == -1)
    patch = np.average(
        [(s.x_mm, s.y_mm) for s in supports if s.on == 0], axis=0, weights=[s.share for s in supports if s.on == 0]
    )
    to_centre, to_rim = np.array(clamp_centre_mm(speck)) - patch, np.array([rim.x_mm, rim.y_mm]) - patch
    assert np.angle(complex(*to_rim) / complex(*to_centre)) == pytest.approx(0.0, abs=1e-9)
    assert np.degrees(np.arctan2(rim.y_mm, rim.x_mm)) % 360 != pytest.approx(216.0, abs=1.0)


def test_no_nut_and_a_single_nut_are_refused():
    with pytest.raises(Refused, match="no nut"):
        rigid_runout(replace(CLEAN, studs=Studs(torque_nm=0.0)))
    single = replace(CLEAN, studs=Studs(torque_nm=(140.0, 0.0, 0.0, 0.0, 0.0)), debris=())
    assert rigid_runout_um(single) == pytest.approx(0.0, abs=1e-9)
    small = replace(single, hub=Hub(face_diameter_mm=110.0))
    with pytest.raises(Refused, match="rocks"):
        rigid_runout(small)
    with pytest.raises(BadInput):
        clamp_centre_mm(replace(CLEAN, studs=Studs(preload_n=(1e4, 1e4, 1e4))))


def test_a_crowned_face_bears_inside_and_a_hollow_one_on_its_rim():
    speck = (Debris(angle_deg=90.0, arc_deg=2.0, inner_radius_mm=64.0, outer_radius_mm=66.0, height_um=50.0),)
    flat = rigid_runout_um(replace(CLEAN, debris=speck))
    hollow = rigid_runout_um(replace(CLEAN, debris=speck, rotor=Rotor(flange_dish_um=20.0)))
    crowned = rigid_runout_um(replace(CLEAN, debris=speck, rotor=Rotor(flange_dish_um=-200.0)))
    assert hollow == pytest.approx(flat)
    assert crowned > flat
