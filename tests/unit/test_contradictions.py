"""What cannot be true at once is refused, with the key likelier to blame; what only looks odd is remarked on."""

from dataclasses import replace

import pytest

from sim.errors import BadInput
from sim.parts.case import Case, Debris, Gauge, Hub, Limits, Pads, Rotor, Studs
from sim.parts.contradictions import MOST_PATCHES, check_case, contradictions, key_text
from sim.parts.remarks import notes

VENTED = {
    "style": "vented",
    "outer_diameter_mm": 320.0,
    "friction_inner_diameter_mm": 202.0,
    "ring_inner_diameter_mm": 182.0,
    "thickness_mm": 28.0,
    "minimum_thickness_mm": 26.0,
    "overall_height_mm": 50.0,
    "hat_outer_diameter_mm": 164.0,
    "cheek_thickness_mm": 8.0,
    "vane_count": 38,
    "vane_thickness_mm": 5.5,
    "vane_inner_diameter_mm": 184.0,
    "vane_outer_diameter_mm": 318.0,
}


def blamed(case):
    return [key_text(contradiction.keys[0]) for contradiction in contradictions(case)]


def test_the_reference_corners_contradict_nothing():
    assert blamed(Case()) == []
    assert blamed(Case(rotor=Rotor(**VENTED))) == []


@pytest.mark.parametrize(
    ("change", "key"),
    [
        ({"friction_inner_diameter_mm": 300.0}, "rotor.friction_inner_diameter_mm"),
        ({"ring_inner_diameter_mm": 191.0}, "rotor.ring_inner_diameter_mm"),
        ({"machine_to_thickness_mm": 9.5}, "rotor.machine_to_thickness_mm"),
        ({"own_runout_radius_mm": 151.0}, "rotor.own_runout_radius_mm"),
        ({"hat_outer_diameter_mm": 200.0}, "rotor.hat_outer_diameter_mm"),
        ({"ring_inner_diameter_mm": 152.0}, "rotor.ring_inner_diameter_mm"),
        ({"bore_diameter_mm": 141.0}, "rotor.bore_diameter_mm"),
        ({"overall_height_mm": 18.9}, "rotor.overall_height_mm"),
        ({"vane_count": 38}, "rotor.vane_count"),
        ({"hole_diameter_mm": 13.0}, "rotor.hole_diameter_mm"),
        ({"hole_diameter_mm": 29.0}, "rotor.hole_diameter_mm"),
    ],
)
def test_a_solid_rotor_that_cannot_be(change, key):
    assert key in blamed(Case(rotor=Rotor(**change)))


@pytest.mark.parametrize(
    ("change", "key"),
    [
        ({"vane_count": None}, "rotor.vane_count"),
        ({"cheek_thickness_mm": 14.0}, "rotor.cheek_thickness_mm"),
        ({"vane_inner_diameter_mm": 318.0}, "rotor.vane_inner_diameter_mm"),
        ({"vane_inner_diameter_mm": 181.0}, "rotor.vane_inner_diameter_mm"),
        ({"vane_outer_diameter_mm": 320.5}, "rotor.vane_outer_diameter_mm"),
        ({"vane_thickness_mm": 15.3}, "rotor.vane_count"),  # 38 x 15.3 = 581 mm round 578 mm
    ],
)
def test_a_vented_rotor_that_cannot_be(change, key):
    assert blamed(Case(rotor=Rotor(**{**VENTED, **change}))) == [key]


@pytest.mark.parametrize(
    ("change", "key"),
    [
        ({"face_inner_diameter_mm": 136.0}, "hub.face_inner_diameter_mm"),
        ({"spigot_diameter_mm": 65.01}, "hub.spigot_diameter_mm"),  # larger than the bore
        ({"face_inner_diameter_mm": 64.0}, "hub.spigot_diameter_mm"),
        ({"barrel_outer_diameter_mm": 137.0}, "hub.barrel_outer_diameter_mm"),
        ({"barrel_inner_diameter_mm": 60.0}, "hub.barrel_inner_diameter_mm"),
        ({"face_runout_radius_mm": 68.5}, "hub.face_runout_radius_mm"),
        ({"face_diameter_mm": 140.0}, "hub.face_diameter_mm"),  # as wide as the inside of the hat
        ({"material": "rigid", "youngs_modulus_mpa": 205_000.0}, "hub.youngs_modulus_mpa"),
    ],
)
def test_a_hub_that_cannot_be(change, key):
    assert key in blamed(Case(hub=Hub(**change)))


def test_a_ring_that_cannot_pass_over_the_hub():
    case = Case(rotor=Rotor(ring_inner_diameter_mm=135.0))
    assert blamed(case) == ["hub.face_diameter_mm"]


def test_what_a_narrower_face_would_contradict_is_said_in_the_same_round():
    """A face set as the first round allowed was refused by the next, once for the ring, once for the studs."""
    rotor = Rotor(
        ring_inner_diameter_mm=118.0,
        friction_inner_diameter_mm=150.0,
        hat_outer_diameter_mm=136.0,
        bore_diameter_mm=56.1,
    )
    hub = Hub(
        face_diameter_mm=124.0, face_inner_diameter_mm=58.0, spigot_diameter_mm=56.04, barrel_outer_diameter_mm=54.0
    )
    studs = Studs(
        count=4, pitch_circle_mm=100.0, thread="M12x1.5", seat_inner_diameter_mm=14.0, seat_outer_diameter_mm=24.0
    )
    case = Case(rotor=replace(rotor, hole_diameter_mm=14.0), hub=hub, studs=studs)
    face, pitch = contradictions(case)
    assert [key_text(one.keys[0]) for one in (face, pitch)] == ["hub.face_diameter_mm", "studs.pitch_circle_mm"]
    assert face.allowed == "below 118 mm"
    assert "below 100 mm" in pitch.allowed
    kept = replace(case, hub=replace(hub, face_diameter_mm=117.9), studs=replace(studs, pitch_circle_mm=99.8))
    assert contradictions(kept) == ()


@pytest.mark.parametrize(
    ("change", "key"),
    [
        ({"pitch_circle_mm": 130.0}, "studs.pitch_circle_mm"),
        ({"pitch_circle_mm": 76.0}, "studs.pitch_circle_mm"),
        ({"torque_nm": (140.0, 140.0)}, "studs.torque_nm"),
        ({"preload_n": (5e4,) * 6}, "studs.preload_n"),
        ({"torque_nm": 120.0, "preload_n": 5e4}, "studs.preload_n"),
        ({"torque_nm": None}, "studs.torque_nm"),
        ({"studs_turned": 5}, "studs.studs_turned"),
        ({"studs_turned": 1, "index_positions": (0, 2)}, "studs.studs_turned"),
        ({"index_positions": (0, 2, 2)}, "studs.index_positions"),
        ({"index_positions": (0, 5)}, "studs.index_positions"),
        ({"seat_inner_diameter_mm": 28.0}, "studs.seat_inner_diameter_mm"),
        ({"seat_inner_diameter_mm": 15.9}, "studs.seat_inner_diameter_mm"),
        ({"seat_outer_diameter_mm": 28.1}, "studs.seat_outer_diameter_mm"),  # 56 + 14.05 beyond 70
    ],
)
def test_studs_that_cannot_be(change, key):
    assert key in blamed(Case(studs=Studs(**change)))


def test_neighbouring_seats_may_touch_but_not_overlap():
    # Eight studs on 76.5367 mm: neighbours 2 x 38.27 x sin(22.5 deg) = 29.29 mm apart.
    small = Hub(
        face_diameter_mm=100.0,
        face_inner_diameter_mm=44.0,
        spigot_diameter_mm=40.0,
        face_runout_radius_mm=48.0,
        barrel_outer_diameter_mm=46.0,
        barrel_inner_diameter_mm=30.0,
    )
    rotor = Rotor(bore_diameter_mm=40.06, hole_diameter_mm=14.0)
    for outer, keys in ((29.2, []), (29.4, ["studs.seat_outer_diameter_mm"])):
        studs = Studs(count=8, pitch_circle_mm=76.5367, seat_outer_diameter_mm=outer)
        assert blamed(Case(hub=small, rotor=rotor, studs=studs)) == keys


@pytest.mark.parametrize(
    ("patch", "key"),
    [
        (Debris(inner_radius_mm=68.0, outer_radius_mm=72.0), "debris[1].inner_radius_mm"),
        (Debris(inner_radius_mm=20.0, outer_radius_mm=34.0), "debris[1].inner_radius_mm"),
        (Debris(inner_radius_mm=62.0, outer_radius_mm=62.0), "debris[1].inner_radius_mm"),
        (Debris(angle_deg=72.0, arc_deg=4.0, inner_radius_mm=52.0, outer_radius_mm=60.0), "debris[1].angle_deg"),
        (Debris(angle_deg=-71.0, arc_deg=4.0, inner_radius_mm=52.0, outer_radius_mm=60.0), "debris[1].angle_deg"),
    ],
)
def test_patches_that_touch_nothing(patch, key):
    assert blamed(Case(debris=(patch,))) == [key]


@pytest.mark.parametrize(
    ("patch", "word"),
    [
        (Debris(angle_deg=36.0, inner_radius_mm=66.0, outer_radius_mm=72.0), "beyond the contact zone"),
        (Debris(angle_deg=3.0, arc_deg=4.0, inner_radius_mm=52.0, outer_radius_mm=66.0), "partly in a stud hole"),
        (Debris(angle_deg=36.0, height_um=0.1), "millimetres"),
        (Debris(angle_deg=36.0, height_um=0.0), "no height"),
    ],
)
def test_odd_patches_are_taken_with_a_remark(patch, word):
    case = Case(debris=(patch,))
    check_case(case)
    assert len(notes(case)) == 1
    assert word in notes(case)[0]


def test_holes_end_where_they_end():
    # Hole of radius 8 about r 56: along the stud's own ray metal begins at 64, and beside it at asin(8/56) = 8.21 deg.
    beyond = Debris(angle_deg=0.0, arc_deg=2.0, inner_radius_mm=64.1, outer_radius_mm=67.0)
    beside = Debris(angle_deg=10.0, arc_deg=3.0, inner_radius_mm=50.0, outer_radius_mm=60.0)  # from 8.5 deg
    nearer = replace(beside, angle_deg=9.5)  # from 8.0 deg
    assert [bool(notes(Case(debris=(patch,)))) for patch in (beyond, beside, nearer)] == [False, False, True]


def test_without_holes_no_patch_is_in_one():
    patch = Debris(angle_deg=0.0, arc_deg=4.0, inner_radius_mm=54.0, outer_radius_mm=58.0)
    case = Case(rotor=Rotor(hole_diameter_mm=0.0), debris=(patch,))
    assert blamed(case) == []
    assert notes(case) == ()


def test_overlap_is_seen_in_the_frame_of_the_hub():
    on_hub = Debris(angle_deg=108.0, arc_deg=10.0, inner_radius_mm=64.5)
    on_rotor = Debris(on="rotor", angle_deg=36.0, arc_deg=10.0, inner_radius_mm=64.5)
    apart = Case(debris=(on_hub, on_rotor))
    together = replace(apart, studs=Studs(studs_turned=1))
    assert notes(apart) == ()
    assert notes(together) == ("debris[1] and debris[2] overlap; the higher one counts there",)


def test_too_many_patches():
    assert blamed(Case(debris=(Debris(),) * (MOST_PATCHES + 1))) == ["debris"]


@pytest.mark.parametrize(
    ("change", "key"),
    [
        ({"gauge": Gauge(from_edge_mm=56.0)}, "gauge.from_edge_mm"),
        ({"pads": Pads(inner_radius_mm=94.0)}, "pads.inner_radius_mm"),
        ({"pads": Pads(outer_radius_mm=150.5)}, "pads.outer_radius_mm"),
        ({"pads": Pads(inner_radius_mm=120.0, outer_radius_mm=120.0)}, "pads.inner_radius_mm"),
    ],
)
def test_dial_and_pads_stay_on_the_friction_faces(change, key):
    assert blamed(Case(**change)) == [key]


def test_every_contradiction_is_said_at_once():
    case = Case(
        rotor=Rotor(machine_to_thickness_mm=9.0), hub=Hub(spigot_diameter_mm=65.2), gauge=Gauge(from_edge_mm=60.0)
    )
    with pytest.raises(BadInput) as caught:
        check_case(case)
    keys = [fault.key for fault in caught.value.faults]
    assert keys == ["rotor.machine_to_thickness_mm", "hub.spigot_diameter_mm", "gauge.from_edge_mm"]
    assert "larger than the bore of 65 mm" in str(caught.value)


@pytest.mark.parametrize(
    ("name", "value", "asked"), [("mounted_runout_um", 500, True), ("dtv_um", 150, True), ("dtv_um", 30, False)]
)
def test_a_limit_far_over_what_makers_publish_is_asked_about(name, value, asked):
    """0.10 mm mounted and 0.03 mm of thickness are the widest of workshop manuals of 1993 to 2010."""
    case = Case(limits=Limits(**{name: value}))
    assert any("check its decimal" in note for note in notes(case)) is asked
