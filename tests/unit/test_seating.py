"""Seating as a whole: what must come out exactly, what must not matter, and what is refused. Fast preset throughout."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from sim.errors import BadInput, Refused
from sim.parts.case import Case, Contact, Debris, Gauge, Hub, Rotor, Studs
from sim.parts.measured_face import Topography
from sim.seating import flexibility
from sim.seating.lying_between import surfaces
from sim.seating.prepared import prepare
from sim.seating.seat import seat, seated_trace_um, seated_traces_um
from sim.solvers import contact
from sim.turn import harmonics, tir

CLEAN = Case()
RIGID = replace(CLEAN, hub=Hub(material="rigid"))
SPECK = Debris(angle_deg=36.0, height_um=100.0)
VENTED = Rotor(
    style="vented",
    outer_diameter_mm=320.0,
    thickness_mm=28.0,
    minimum_thickness_mm=26.0,
    overall_height_mm=50.0,
    friction_inner_diameter_mm=200.0,
    ring_inner_diameter_mm=170.0,
    cheek_thickness_mm=9.0,
    vane_count=37,
    vane_thickness_mm=6.0,
    vane_inner_diameter_mm=180.0,
    vane_outer_diameter_mm=312.0,
)


def fast(case, **more):
    return seat(case, "fast", **more)


def dirty(*debris, base=CLEAN):
    return replace(base, debris=debris)


def orders(seated, highest=12):
    return harmonics(seated.outboard_um, highest)


# ---------------------------------------------------------------- clean


@pytest.mark.parametrize("count", [3, 4, 5, 8])
def test_clean_even_corner_shows_its_studs_and_nothing_else(count):
    seated = fast(replace(RIGID, studs=Studs(count=count)))
    found = np.abs(orders(seated, 40))
    others = [n for n in range(1, 41) if n % count]
    assert found[others].max() < 1e-8
    assert tir(seated.outboard_um) < 2.0  # the flange sags between few studs


def test_clean_even_corner_on_a_steel_hub():
    seated = fast(CLEAN)
    assert seated.lateral_runout_um["outboard"] < 0.2
    assert tir(seated.thickness_um) < 0.01
    assert seated.warnings == ()
    assert seated.rigid_runout_um == pytest.approx(0.0, abs=1e-9)
    assert seated.contact.debris_force_n == ()


def test_vented_rotor_seats():
    seated = fast(dirty(SPECK, base=replace(CLEAN, rotor=VENTED)))
    assert 40.0 < seated.gauge_runout_um < seated.rigid_runout_um
    assert tir(seated.thickness_um) < 0.2
    for face, trace in (("outboard", seated.outboard_um), ("inboard", seated.inboard_um)):
        read = replace(seated.case, gauge=replace(seated.case.gauge, face=face))
        assert np.array_equal(seated_trace_um(read, "fast"), trace)


def test_result_proves_itself():
    seated = fast(dirty(SPECK, Debris(angle_deg=200.0, inner_radius_mm=40.0, outer_radius_mm=50.0)))
    for value in (seated.checks.force_residual, seated.checks.moment_residual, seated.checks.complementarity):
        assert 0.0 <= value <= 1e-9
    cells = seated.cells
    area = np.deg2rad(cells.arc_deg) * (cells.outer_radius_mm**2 - cells.inner_radius_mm**2) / 2
    force = cells.pressure_mpa * area
    assert force.sum() == pytest.approx(sum(seated.stud_preload_n), rel=1e-9)
    assert (force >= 0).all()
    assert np.abs(np.minimum(cells.pressure_mpa, cells.gap_um)).max() < 1e-6
    for index, share in enumerate(seated.contact.debris_force_n):
        assert force[cells.debris_index == index].sum() == pytest.approx(share)


# ---------------------------------------------------------------- hub face and rotor of their own


def test_hub_runout_is_a_pure_lever():
    """0.040 mm TIR read at r 64 is 0.0875 mm at r 140, first order only, the same phase on both faces."""
    tilted = replace(CLEAN, hub=Hub(face_runout_um=40.0, face_runout_radius_mm=64.0, face_high_spot_deg=100.0))
    seated, still = fast(tilted), fast(CLEAN)
    change = seated.outboard_um - still.outboard_um
    exact = 40.0 / 2 * 140.0 / 64.0 * np.cos(np.deg2rad(np.arange(360) - 100.0))
    assert np.abs(change - exact).max() < 1e-6
    assert np.abs(seated.inboard_um - still.inboard_um - exact).max() < 1e-6
    at_100 = seated.face_trace(100.0) - still.face_trace(100.0)
    assert np.abs(at_100 - exact * 100 / 140).max() < 1e-6
    assert seated.rigid_runout_um == pytest.approx(40.0 * 140 / 64)


def test_own_runout_and_thickness_add_as_vectors():
    rotor = Rotor(
        own_runout_um=30.0,
        own_high_spot_deg=50.0,
        own_runout_radius_mm=120.0,
        own_thickness_variation_um=8.0,
        own_thick_spot_deg=200.0,
    )
    change_out = fast(replace(CLEAN, rotor=rotor)).outboard_um - fast(CLEAN).outboard_um
    change_in = fast(replace(CLEAN, rotor=rotor)).inboard_um - fast(CLEAN).inboard_um
    theta = np.deg2rad(np.arange(360))
    lean = 15.0 * 140 / 120 * np.cos(theta - np.deg2rad(50.0))
    half = 2.0 * np.cos(theta - np.deg2rad(200.0))
    assert np.abs(change_out - lean - half).max() < 1e-9
    assert np.abs(change_in - lean + half).max() < 1e-9


def test_thickness_is_outboard_less_inboard():
    seated = fast(replace(dirty(SPECK), rotor=Rotor(own_thickness_variation_um=10.0)))
    assert np.array_equal(seated.thickness_um, seated.outboard_um - seated.inboard_um)
    assert tir(seated.thickness_um) == pytest.approx(10.0, abs=0.5)


def test_own_runout_can_cancel_the_hub():
    """Opposed vectors of equal size leave the studs' ripple only."""
    case = replace(
        CLEAN,
        hub=Hub(face_runout_um=32.0, face_runout_radius_mm=64.0),
        rotor=Rotor(own_runout_um=70.0, own_high_spot_deg=180.0),
    )
    assert fast(case).gauge_runout_um < 0.2


@pytest.mark.parametrize("which", ["hub", "rotor"])
def test_hollow_face_bears_on_its_edge_and_crowned_on_its_middle(which):
    def pressed(dish):
        part = {"hub": Hub(face_dish_um=dish), "rotor": None}[which] or CLEAN.hub
        rotor = Rotor(flange_dish_um=dish) if which == "rotor" else CLEAN.rotor
        seated = fast(replace(CLEAN, hub=part, rotor=rotor))
        assert np.abs(orders(seated, 4)[1:]).max() < 1e-8
        cells = seated.cells
        area = np.deg2rad(cells.arc_deg) * (cells.outer_radius_mm**2 - cells.inner_radius_mm**2)
        middle = (cells.inner_radius_mm + cells.outer_radius_mm) / 2
        return float((middle * area * cells.pressure_mpa).sum() / (area * cells.pressure_mpa).sum())

    assert pressed(60.0) > pressed(0.0) > pressed(-60.0)


def test_crowned_rotor_rocks_under_one_nut():
    one = Studs(torque_nm=(140.0, 0.0, 0.0, 0.0, 0.0))
    flat = fast(replace(CLEAN, studs=one)).gauge_runout_um
    assert fast(replace(CLEAN, studs=one, rotor=Rotor(flange_dish_um=-50.0))).gauge_runout_um > 2 * flat


# ---------------------------------------------------------------- debris


def test_a_saddle_is_the_face_that_is_measured_so_and_goes_round_with_its_part():
    angle = np.arange(0.0, 360.0, 5.0)
    measured = Topography(tuple(angle), (52.0,), tuple((10.0 * np.cos(2.0 * np.deg2rad(a - 20.0)),) for a in angle))
    on_hub = fast(replace(CLEAN, hub=Hub(face_saddle_um=20.0, face_saddle_deg=20.0)))
    assert orders(on_hub)[2] == pytest.approx(orders(fast(replace(CLEAN, hub_topography=measured)))[2], rel=0.01)
    assert abs(orders(on_hub)[2]) > 5 * abs(orders(on_hub)[1])
    turned = replace(CLEAN, studs=Studs(studs_turned=1))
    on_rotor = fast(replace(turned, rotor=Rotor(flange_saddle_um=20.0, flange_saddle_deg=20.0 - 72.0)))
    assert np.allclose(np.roll(on_rotor.outboard_um, 72), on_hub.outboard_um, atol=1e-6)
    high_in_low = replace(
        CLEAN, hub=Hub(face_saddle_um=20.0), rotor=Rotor(flange_saddle_um=20.0, flange_saddle_deg=90.0)
    )
    assert np.allclose(fast(high_in_low).outboard_um, fast(CLEAN).outboard_um, atol=1e-6)


def test_turning_a_patch_by_one_stud_pitch_turns_the_curve():
    here = fast(dirty(SPECK))
    there = fast(dirty(replace(SPECK, angle_deg=36.0 + 144.0)))
    assert np.abs(np.roll(here.outboard_um, 144) - there.outboard_um).max() < 1e-6
    assert here.contact.debris_force_n == pytest.approx(there.contact.debris_force_n)


def test_mirrored_patch_mirrors_the_curve():
    one = fast(dirty(replace(SPECK, angle_deg=20.0))).outboard_um
    other = fast(dirty(replace(SPECK, angle_deg=-20.0))).outboard_um
    assert np.abs(one[1:] - other[:0:-1]).max() < 1e-6


def test_high_spot_is_over_the_patch():
    found = orders(fast(dirty(SPECK)))
    assert np.rad2deg(-np.angle(found[1])) == pytest.approx(36.0, abs=1e-6)


def test_moving_the_rotor_round_moves_what_is_on_the_hub_within_the_rotors_own_frame():
    """Hub angle = rotor angle + turn; the rotor's own runout stays where it is."""
    base = replace(dirty(SPECK), rotor=Rotor(own_runout_um=30.0, own_high_spot_deg=20.0))
    own = 15.0 * np.exp(-1j * np.deg2rad(20.0))
    at_zero = orders(fast(base))[1] - own
    for turned in (1, 3):
        seated = fast(replace(base, studs=Studs(studs_turned=turned)))
        expected = at_zero * np.exp(1j * np.deg2rad(72.0 * turned)) + own
        assert orders(seated)[1] == pytest.approx(expected, abs=1e-6)
        assert (seated.cells.debris_index == 0).sum() == 40
        on_speck = seated.cells.angle_deg[seated.cells.debris_index == 0]
        assert on_speck.mean() == pytest.approx(36.0)  # hub frame: it has not moved


def test_dirt_on_the_rotor_goes_round_with_it():
    burr = replace(SPECK, on="rotor")
    still = fast(dirty(burr)).outboard_um
    turned = fast(replace(dirty(burr), studs=Studs(studs_turned=2))).outboard_um
    assert np.abs(still - turned).max() < 1e-6


def test_uneven_torque_stays_with_the_hub_studs():
    studs = Studs(torque_nm=(140.0, 60.0, 140.0, 140.0, 140.0))
    still = fast(replace(CLEAN, studs=studs)).outboard_um
    turned = fast(replace(CLEAN, studs=replace(studs, studs_turned=1))).outboard_um
    assert np.abs(np.roll(still, -72) - turned).max() < 1e-6


def test_loose_stud_is_seen_on_a_steel_hub_and_hardly_on_a_rigid_one():
    """Tens of micrometres against a few."""
    loose = Studs(torque_nm=(140.0, 0.0, 140.0, 140.0, 140.0))
    elastic, stiff = (fast(replace(case, studs=loose)).gauge_runout_um for case in (CLEAN, RIGID))
    assert 10.0 < elastic < 50.0
    assert 1.0 < stiff < 8.0
    # The rotor stands proud where nothing presses it down.
    assert np.rad2deg(-np.angle(orders(fast(replace(CLEAN, studs=loose)))[1])) % 360 == pytest.approx(72.0, abs=0.1)


def test_hollow_ground_into_the_face_lets_the_rotor_down_there():
    seated = fast(dirty(replace(SPECK, angle_deg=72.0, height_um=-50.0)))
    assert np.rad2deg(-np.angle(orders(seated)[1])) % 360 == pytest.approx(72.0 + 180.0, abs=0.1)
    assert 10.0 < seated.gauge_runout_um < 50.0
    assert seated.contact.debris_force_n == (0.0,)


def test_hollow_where_nothing_touches_changes_nothing():
    """Between two studs the outer edge of a clean face is open anyway."""
    hollow = fast(dirty(replace(SPECK, height_um=-50.0)))
    assert np.abs(hollow.outboard_um - fast(CLEAN).outboard_um).max() < 1e-9


def test_patch_partly_in_a_stud_hole_loses_that_part_and_says_so():
    seated = fast(dirty(Debris(angle_deg=0.0, arc_deg=10.0, inner_radius_mm=56.0, outer_radius_mm=68.0)))
    (words,) = seated.warnings
    assert words.startswith("debris 1:")
    assert "stud hole" in words
    whole = fast(
        replace(dirty(Debris(angle_deg=0.0, arc_deg=10.0, inner_radius_mm=56.0)), rotor=Rotor(hole_diameter_mm=0.0))
    )
    assert whole.warnings == ()
    assert (seated.cells.debris_index == 0).sum() < (whole.cells.debris_index == 0).sum()


def test_patch_wholly_in_a_stud_hole_carries_nothing_and_says_so():
    seated = fast(dirty(Debris(angle_deg=0.0, arc_deg=4.0, inner_radius_mm=54.0, outer_radius_mm=58.0)))
    assert "carries nothing" in seated.warnings[0]
    assert "carries nothing" in repr(seated)  # who only prints it reads it too
    assert np.array_equal(seated.outboard_um, fast(CLEAN).outboard_um)


def test_where_patches_overlap_the_higher_one_counts():
    low, high = replace(SPECK, height_um=40.0), replace(SPECK, height_um=100.0)
    alone = fast(dirty(high))
    for pair in ((low, high), (high, low)):
        both = fast(dirty(*pair))
        assert np.abs(both.outboard_um - alone.outboard_um).max() < 1e-9
        assert both.contact.debris_force_n[pair.index(low)] == 0.0


def test_the_same_patch_twice_is_one_patch():
    once, twice = fast(dirty(SPECK)), fast(dirty(SPECK, SPECK))
    assert np.abs(once.outboard_um - twice.outboard_um).max() < 1e-9


def test_ring_of_scale_all_round_gives_no_runout():
    ring = Debris(arc_deg=360.0, inner_radius_mm=60.0, outer_radius_mm=68.0, height_um=50.0)
    found = np.abs(orders(fast(dirty(ring)), 4))
    assert found[1:].max() < 1e-6


@pytest.mark.parametrize("hole", [16.0, 0.0])
def test_scale_over_the_whole_face_is_a_face_again(hole):
    whole = Debris(arc_deg=360.0, inner_radius_mm=34.0, outer_radius_mm=68.0, height_um=50.0)
    seated = fast(replace(dirty(whole), rotor=Rotor(hole_diameter_mm=hole)))
    assert seated.contact.debris_force_n[0] == pytest.approx(sum(seated.stud_preload_n))
    assert 0.0 <= seated.contact.closed_fraction <= 1.0
    assert seated.gauge_runout_um < 0.5


@pytest.mark.parametrize(("angle", "bound_um"), [(36.0, 0.01), (0.0, 0.3)])
def test_hardly_any_height_is_hardly_any_runout(angle, bound_um):
    """A hundredth of a micrometre, and the clean corner, read alike.

    Under a stud the patch and the bare cells beneath it both carry, each through its own layer: a small error that this
    bounds.
    """
    thin = fast(dirty(replace(SPECK, angle_deg=angle, height_um=0.01)))
    assert np.abs(thin.outboard_um - fast(CLEAN).outboard_um).max() < bound_um


def test_crush_is_a_switch():
    soft, hard = (replace(SPECK, crush_mpa=p, modulus_mpa=5000.0, residual_share=0.0) for p in (2.0, 2000.0))
    whole = fast(dirty(SPECK)).gauge_runout_um
    assert fast(dirty(soft)).gauge_runout_um < 0.05 * whole
    assert fast(dirty(hard)).gauge_runout_um > 0.8 * whole
    assert fast(dirty(soft)).contact.residual_height_um[0] < fast(dirty(hard)).contact.residual_height_um[0]
    assert fast(dirty(hard)).contact.residual_height_um[0] == pytest.approx(100.0)


def test_what_was_crushed_stays_crushed():
    crumbly = replace(SPECK, crush_mpa=30.0, modulus_mpa=5000.0)
    hard_on = fast(dirty(crumbly))
    again = fast(dirty(crumbly), before=hard_on)
    assert np.abs(again.outboard_um - hard_on.outboard_um).max() < 0.05
    gentle = replace(dirty(crumbly), studs=Studs(torque_nm=70.0))
    assert fast(gentle, before=hard_on).contact.residual_height_um[0] <= hard_on.contact.residual_height_um[0] + 1e-9
    assert fast(gentle).contact.residual_height_um[0] > hard_on.contact.residual_height_um[0]


def test_earlier_tightening_of_another_corner_is_refused():
    crumbly = replace(SPECK, crush_mpa=30.0)
    before = fast(dirty(crumbly))
    for other in (replace(crumbly, arc_deg=60.0), replace(crumbly, arc_deg=120.0), replace(crumbly, angle_deg=100.0)):
        with pytest.raises(BadInput, match="earlier tightening"):
            fast(dirty(other), before=before)


# ---------------------------------------------------------------- refusals


@pytest.mark.parametrize("torque", [0.0, (0.0,) * 5])
def test_no_nut_is_refused(torque):
    with pytest.raises(Refused, match="no nut is on"):
        fast(replace(CLEAN, studs=Studs(torque_nm=torque)))


@pytest.mark.parametrize("base", [CLEAN, RIGID])
def test_one_nut_leans_the_rotor_towards_it_with_proof(base):
    """Its pull lies within the face, so statics allows it."""
    seated = fast(replace(base, studs=Studs(torque_nm=(0.0, 0.0, 140.0, 0.0, 0.0))))
    assert 60.0 < seated.gauge_runout_um < 250.0
    assert np.rad2deg(-np.angle(orders(seated)[1])) % 360 == pytest.approx(144.0 + 180.0, abs=0.1)
    assert seated.checks.moment_residual < 1e-9


def test_one_nut_outside_everything_that_bears_is_refused():
    """Studs outside the hub face: one nut alone would tip the rotor off its rim."""
    case = replace(
        RIGID,
        hub=Hub(material="rigid", face_diameter_mm=100.0),
        studs=Studs(torque_nm=(140.0, 0.0, 0.0, 0.0, 0.0)),
    )
    with pytest.raises(BadInput, match="stand outside the hub face"):
        fast(case)


def test_a_bare_nut_presses_with_its_own_flat_and_no_wider():
    """1.6 thread diameters across (common proportion of a hexagon, no source): as a spacer of that seat, to the bit."""
    speck = (Debris(angle_deg=36.0),)
    bare, as_wide, spacer = (
        seat(Case(debris=speck, studs=studs), "fast").gauge_runout_um
        for studs in (
            Studs(clamped_by="bare nuts", seat_outer_diameter_mm=28.0),
            Studs(seat_outer_diameter_mm=1.6 * 14.0),
            Studs(seat_outer_diameter_mm=28.0),
        )
    )
    assert bare == as_wide
    assert abs(bare - spacer) > 0.1
    narrow = Studs(clamped_by="bare nuts", seat_outer_diameter_mm=20.0)  # a narrower seat that is given stays
    assert seat(Case(debris=speck, studs=narrow), "fast").gauge_runout_um == (
        seat(Case(debris=speck, studs=replace(narrow, clamped_by="nuts and spacers")), "fast").gauge_runout_um
    )


def test_a_nut_seat_that_hangs_over_the_flange_is_refused():
    with pytest.raises(BadInput, match="beyond the hat's inner radius"):
        fast(replace(RIGID, studs=Studs(seat_outer_diameter_mm=60.0)))


@pytest.mark.parametrize("radius", [20.0, 75.0, 151.0, 1e6, float("nan")])
def test_no_trace_where_there_is_no_friction_face(radius):
    with pytest.raises(BadInput, match="no friction face"):
        fast(CLEAN).face_trace(radius)


def test_stretched_stud_is_warned_of():
    assert "proof load" in fast(replace(RIGID, studs=Studs(preload_n=120_000.0))).warnings[0]


# ---------------------------------------------------------------- other views of the same answer


@pytest.mark.parametrize("face", ["outboard", "inboard"])
def test_whole_field_and_trace_agree(face):
    """The field is recovered by a solve of its own, not from the stored flexibility."""
    seated = fast(replace(dirty(SPECK), studs=Studs(torque_nm=(140.0, 90.0, 140.0, 140.0, 140.0))))
    rotor, theta = seated.case.rotor, np.deg2rad(np.arange(360.0))
    z = rotor.outboard_face_z_mm if face == "outboard" else rotor.inboard_face_z_mm
    points = np.column_stack([140.0 * np.cos(theta), 140.0 * np.sin(theta), np.full(360, z)])
    axial = seated.rotor_deformation().at(points)[:, 2] * 1000.0
    assert np.abs(axial - axial.mean() - (seated.outboard_um if face == "outboard" else seated.inboard_um)).max() < 0.01


def test_a_field_is_recovered_once_for_all_who_ask_for_it():
    """A drawing of the section asked part by part: four recoveries of a second each."""
    seated = fast(dirty(SPECK))
    assert seated.rotor_deformation() is seated.rotor_deformation()
    assert seated.hub_deformation() is seated.hub_deformation()
    assert not seated.rotor_deformation().axial_mm.flags.writeable
    other = fast(dirty(replace(SPECK, height_um=2 * SPECK.height_um)))
    assert other.rotor_deformation() is not seated.rotor_deformation()


def test_faces_meet_where_the_cells_say_so():
    """Rotor face and hub face, both as moved, are apart by the gap of the cell between them."""
    seated = fast(dirty(SPECK))
    cells, chosen = seated.cells, []
    for k in np.flatnonzero(seated.cells.debris_index == -1):
        # Away from the speck and from kinks, where a cell's mean and its middle differ.
        if abs((cells.angle_deg[k] - 216.0 + 180) % 360 - 180) < 60 and cells.inner_radius_mm[k] < 55:
            chosen.append(k)
    r = (cells.inner_radius_mm[chosen] + cells.outer_radius_mm[chosen]) / 2
    theta = np.deg2rad(cells.angle_deg[chosen])
    points = np.column_stack([r * np.cos(theta), r * np.sin(theta), np.zeros(r.size)])
    apart = seated.rotor_deformation().at(points)[:, 2] - seated.hub_deformation().at(points)[:, 2]
    # The layer between them gives by pressure over stiffness.
    apart += cells.pressure_mpa[chosen] / CLEAN.contact.layer_stiffness_n_mm3
    miss = np.abs(apart * 1000.0 - cells.gap_um[chosen])  # of a speck of 100; pictures keep 24 orders
    assert miss.max() < 1.0
    assert miss.mean() < 0.2


def test_rigid_hub_has_no_field():
    assert fast(RIGID).hub_deformation() is None


def test_gauge_face_and_place_are_the_users():
    seated = fast(replace(dirty(SPECK), gauge=Gauge(from_edge_mm=30.0, face="inboard")))
    assert seated.gauge_runout_um == seated.lateral_runout_um["inboard"]
    assert np.allclose(seated.outboard_um, fast(dirty(SPECK)).face_trace(120.0), atol=1e-9)


def test_presets_agree():
    base = replace(CLEAN, studs=Studs(seat_inner_diameter_mm=15.0), rotor=Rotor(hole_diameter_mm=0.0))
    values = [seat(dirty(SPECK, base=base), preset).gauge_runout_um for preset in ("fast", "standard")]
    assert values[0] == pytest.approx(values[1], rel=0.02)


def test_stiffer_contact_layer_changes_little():
    soft, stiff = (
        fast(replace(dirty(SPECK), contact=Contact(layer_stiffness_n_mm3=k))).gauge_runout_um for k in (1e5, 1e6)
    )
    assert soft == pytest.approx(stiff, rel=0.04)


def test_same_case_same_bits():
    one, two = fast(dirty(SPECK)), fast(dirty(SPECK))
    assert np.array_equal(one.outboard_um, two.outboard_um)


def test_corners_seated_together_are_the_same_to_the_bit_as_each_alone(monkeypatch):
    """Whoever stands beside it: patches of one shape and of others, even columns and uneven ones, under a wheel too."""
    patches = (
        (SPECK,),
        (replace(SPECK, angle_deg=200.0), replace(SPECK, angle_deg=205.0, kind="paint", arc_deg=9.0)),
        (replace(SPECK, shape="round", angle_deg=71.0), replace(SPECK, on="rotor", angle_deg=300.0)),
        (replace(SPECK, height_um=-30.0), replace(SPECK, ragged_share=0.5, seed=3, arc_deg=40.0)),
        (),
        (replace(SPECK, inner_radius_mm=20.0, outer_radius_mm=24.0),),
    )
    cases = [dirty(*some, base=replace(CLEAN, studs=Studs(studs_turned=k))) for k, some in enumerate(patches[:5])]
    cases += [dirty(*patches[5]), replace(cases[1], studs=Studs(clamped_by="wheel", studs_turned=1))]
    cases.insert(3, replace(CLEAN, studs=Studs(torque_nm=0.0)))
    together = seated_traces_um(cases, "fast")
    assert isinstance(together[3], Refused)
    for case, found in zip(cases, together, strict=True):
        if not isinstance(found, Refused):
            assert np.array_equal(seat(case, "fast").outboard_um, found)
    turned = seated_traces_um(cases[::-1], "fast")[::-1]
    monkeypatch.setattr("sim.seating.cut_ahead.MOST_CELLS", 20)  # larger ones are worked out when they are asked
    for found, *others in zip(together, turned, seated_traces_um(cases, "fast"), strict=True):
        assert isinstance(found, Refused) or all(np.array_equal(found, other) for other in others)


def test_the_small_system_and_the_whole_one_seat_alike(monkeypatch):
    """Dirt that crushes and dirt that does not, nuts of uneven torque: under the wheel and without it."""
    soft, hard = replace(SPECK, kind="paint", arc_deg=20.0), replace(SPECK, angle_deg=200.0, inner_radius_mm=40.0)
    read = dirty(soft, hard, base=replace(CLEAN, studs=Studs(torque_nm=(150.0, 120.0, 140.0, 130.0, 155.0))))
    driven = replace(read, studs=replace(read.studs, clamped_by="wheel"))
    with monkeypatch.context() as patched:
        for case in (read, driven):
            seat(replace(case, debris=()), "fast")  # the shared inverse
        patched.setattr(contact, "solve", lambda *_: pytest.fail("solved whole"))
        sooner = [fast(case) for case in (read, driven)]
    monkeypatch.setattr(contact, "solve_joined", lambda *_: None)
    for case, seated in zip((read, driven), sooner, strict=True):
        assert np.allclose(fast(case).outboard_um, seated.outboard_um, rtol=0.0, atol=1e-9)


def test_a_wheels_pad_gives_on_every_pitch_as_on_the_first(monkeypatch):
    """One pitch is worked out and turned; the sum over all of them by itself is the same."""
    case = replace(CLEAN, studs=Studs(clamped_by="wheel"))
    pair = prepare(case, "rough")
    block = surfaces(pair, case)[-1].block
    turned = flexibility._whole(pair, block, block, flexibility.BACK, flexibility.BACK)
    assert block.repeat == block.angle_rad.size // case.studs.count
    monkeypatch.setattr(type(block), "repeat", block.angle_rad.size)
    by_itself = flexibility._whole(pair, block, block, flexibility.BACK, flexibility.BACK)
    assert np.abs(turned - by_itself).max() < 1e-13 * np.abs(by_itself).max()


@pytest.mark.parametrize("shape", ["round", "sector"])
def test_a_patch_carries_on_its_own_area(shape):
    patch = Debris(angle_deg=36.0, shape=shape, inner_radius_mm=40.0, outer_radius_mm=46.0, arc_deg=9.0)
    (_, surface) = surfaces(prepare(dirty(patch), "fast"), dirty(patch))
    area = np.pi * 9.0 if shape == "round" else np.deg2rad(9.0) * (46.0**2 - 40.0**2) / 2
    assert surface.area_mm2.sum() == pytest.approx(area, rel=0.03)


def test_where_a_seating_begins_decides_how_long_it_takes_and_no_bit(monkeypatch):
    """High wide dirt: the face beside it is thought to be open, by a rule that another one may replace."""
    case = dirty(replace(SPECK, height_um=130.0, arc_deg=35.0))
    guessed = fast(case)
    monkeypatch.setattr("sim.seating.seat.OPENS_UM", np.inf)
    flat = fast(case)
    assert np.array_equal(guessed.outboard_um, flat.outboard_um)
    assert guessed.checks.iterations < flat.checks.iterations


@pytest.mark.parametrize(("across_mm", "told"), [(0.5, "5 %"), (1.1, "")])
def test_a_grain_finer_than_is_resolved_is_told_with_its_error(across_mm, told):
    arc_deg = float(np.rad2deg(across_mm / 66.0))
    grain = Debris(
        angle_deg=36.0, arc_deg=arc_deg, inner_radius_mm=66.0 - across_mm / 2, outer_radius_mm=66.0 + across_mm / 2
    )
    warned = [line for line in seat(Case(debris=(grain,)), "fast").warnings if "finer than is resolved" in line]
    assert len(warned) == (told != "")
    assert all(told in line for line in warned)


@pytest.mark.parametrize("across_mm", [1.0, 2.0])
def test_what_a_grain_lifts_does_not_follow_the_preset(across_mm):
    """Before the waves above the highest order were made up, 1 mm read 7 % apart in these two."""
    grain = Debris(
        angle_deg=36.0,
        arc_deg=float(np.rad2deg(across_mm / 66.0)),
        inner_radius_mm=66.0 - across_mm / 2,
        outer_radius_mm=66.0 + across_mm / 2,
        height_um=60.0,
    )
    quick, usual = (seat(dirty(grain), preset).gauge_runout_um for preset in ("fast", "standard"))
    assert quick == pytest.approx(usual, rel=0.04)
