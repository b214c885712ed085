"""Bodies: watertight, one piece, the right number of openings, and the volume that Pappus gives."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import quad

from sim.bodies.solids import (
    RECESS_DEPTH_MM,
    debris_solid,
    hub_solid,
    pad_solids,
    rotor_solid,
    spigot_scale_solid,
    stud_solids,
)
from sim.errors import BadInput
from sim.parts.case import Case, Debris, Hub, Pads, Rotor, SpigotScale, Studs

VENTED = Rotor(
    style="vented",
    thickness_mm=22.0,
    overall_height_mm=50.0,
    cheek_thickness_mm=7.0,
    vane_count=36,
    vane_thickness_mm=5.0,
    vane_inner_diameter_mm=160.0,
    vane_outer_diameter_mm=296.0,
)


def tube(inner, outer, height):
    return np.pi * (outer**2 - inner**2) * height


def openings(mesh):
    """Handles of a closed surface, from its Euler number."""
    return (2 - mesh.euler_number) / 2


def sound(mesh):
    return mesh.is_watertight and mesh.is_winding_consistent and mesh.body_count == 1 and mesh.volume > 0


def solid_volume(rotor, studs):
    flange = tube(32.5, 76, 7) - studs.count * np.pi / 4 * rotor.hole_diameter_mm**2 * 7
    return flange + tube(70, 76, 45 - 7 - 12) + tube(70, 150, 12)


def vane_volume():
    def chord(y):
        return np.sqrt(148.0**2 - y * y) - np.sqrt(80.0**2 - y * y)

    return 36 * 8.0 * quad(chord, -2.5, 2.5)[0]


@pytest.mark.parametrize("refine", [None, 6.0])
def test_solid_rotor(refine):
    mesh = rotor_solid(Rotor(), Studs(), refine_mm=refine)
    assert sound(mesh)
    assert openings(mesh) == 1 + 5
    assert mesh.volume == pytest.approx(solid_volume(Rotor(), Studs()), rel=1e-4)
    np.testing.assert_allclose(mesh.bounds, [[-150, -150, -38], [150, 150, 7]], atol=1e-6)


def test_volume_error_falls_with_the_square_of_the_sections():
    rough = rotor_solid(replace(Rotor(), hole_diameter_mm=0.0), Studs(), sections=60).volume
    fine = rotor_solid(replace(Rotor(), hole_diameter_mm=0.0), Studs(), sections=120).volume
    exact = solid_volume(replace(Rotor(), hole_diameter_mm=0.0), Studs())
    assert (exact - rough) / (exact - fine) == pytest.approx(4.0, rel=0.01)


def test_vented_rotor_has_a_channel_between_every_two_vanes():
    mesh = rotor_solid(VENTED, Studs())
    assert sound(mesh)
    assert openings(mesh) == 36 + 5 + 1
    body = tube(32.5, 76, 7) - 5 * np.pi * 64 * 7
    body += tube(70, 76, 50 - 7 - 22) + 2 * tube(70, 150, 7) + vane_volume()
    assert mesh.volume == pytest.approx(body, rel=2e-4)


def test_four_studs_no_holes_and_a_chamfer():
    whole = rotor_solid(replace(Rotor(), hole_diameter_mm=0.0), Studs(count=4))
    assert openings(whole) == 1
    chamfered = rotor_solid(replace(Rotor(), hole_diameter_mm=0.0), Studs(count=4), bore_chamfer_mm=1.0)
    # Pappus: a right triangle of 1 x 1 mm whose centre stands a third of a mm outside the bore.
    assert whole.volume - chamfered.volume == pytest.approx(2 * np.pi * (32.5 + 1 / 3) * 0.5, rel=1e-3)
    assert openings(rotor_solid(Rotor(), Studs(count=4))) == 1 + 4


def test_refining_divides_the_flat_faces_and_moves_nothing():
    plain, fine = rotor_solid(Rotor(), Studs()), rotor_solid(Rotor(), Studs(), refine_mm=5.0)
    face = np.abs(fine.vertices[:, 2] + 26) < 1e-9
    radii = np.unique(np.round(np.hypot(*fine.vertices[face, :2].T), 6))
    assert np.diff(radii).max() <= 5.0 + 1e-6
    assert fine.volume == pytest.approx(plain.volume, rel=1e-9)


def test_hub():
    mesh = hub_solid(Hub())
    assert sound(mesh)
    assert openings(mesh) == 1
    body = tube(20, 68, 12) + tube(20, 30, 38) + tube(20, 32.47, 10)
    body -= tube(32.47, 34, RECESS_DEPTH_MM) + 2 * np.pi * (32.47 - 1 / 3) * 0.5
    assert mesh.volume == pytest.approx(body, rel=2e-4)
    assert openings(hub_solid(Hub(), Studs())) == 1 + 5


def test_studs_stand_on_their_circle_and_nuts_on_the_flange():
    bodies = stud_solids(Studs(), Rotor(), Hub())
    assert len(bodies) == 5
    assert all(sound(body) and openings(body) == 0 for body in bodies)
    angle = [np.degrees(np.arctan2(*body.center_mass[1::-1])) % 360 for body in bodies]
    np.testing.assert_allclose(np.array(angle) % 360, [0, 72, 144, 216, 288], atol=1e-3)
    bare = stud_solids(Studs(), Rotor(), Hub(), nuts=False)[0]
    beyond = bodies[0].vertices[bodies[0].vertices[:, 2] > 7 + 1e-6]
    assert np.hypot(beyond[:, 0] - 56, beyond[:, 1]).max() == pytest.approx(14.0, abs=0.01)
    assert np.hypot(bare.vertices[:, 0] - 56, bare.vertices[:, 1])[bare.vertices[:, 2] > 0].max() < 7.01


def test_debris_stands_up_on_the_hub_and_hangs_down_from_the_rotor():
    patch = Debris(angle_deg=350.0, arc_deg=60.0)
    up, down = debris_solid(patch, 2.0), debris_solid(replace(patch, on="rotor"), 2.0)
    assert sound(up)
    assert up.volume == pytest.approx(tube(60, 68, 2) / 6, rel=1e-3)
    assert up.bounds[:, 2] == pytest.approx([0, 2])
    assert down.bounds[:, 2] == pytest.approx([-2, 0])
    ring = debris_solid(replace(patch, arc_deg=360.0), 1.0)
    assert openings(ring) == 1


def test_spigot_scale_hugs_the_spigot():
    mesh = spigot_scale_solid(SpigotScale(), Hub(), 2.0)
    assert sound(mesh)
    assert mesh.bounds[:, 2] == pytest.approx([0, 10])
    assert mesh.centroid[0] < -30


def test_pads_leave_the_drawn_gap_and_stay_inside_the_friction_faces():
    case = Case(pads=Pads(inner_radius_mm=100.0, outer_radius_mm=148.0))
    bodies = pad_solids(case, angle_deg=90.0, gap_mm=1.5)
    assert all(sound(body) for body in bodies.values())
    assert bodies["outboard lining"].bounds[0, 2] == pytest.approx(-26 + 1.5)
    assert bodies["inboard lining"].bounds[1, 2] == pytest.approx(-38 - 1.5)
    radius = np.hypot(*bodies["outboard lining"].vertices[:, :2].T)
    # A chord of the sector's polygon dips inside its inner circle by 4e-3 mm.
    assert 99.9 < radius.min() < 100.1
    assert 147.9 < radius.max() <= 148.0 + 1e-6
    assert bodies["inboard lining"].volume == pytest.approx(bodies["outboard lining"].volume)


def test_what_makes_no_body_is_refused_by_name():
    with pytest.raises(BadInput) as missing:
        rotor_solid(replace(VENTED, vane_count=None, vane_thickness_mm=None), Studs())
    assert [fault.key for fault in missing.value.faults] == ["rotor.vane_count", "rotor.vane_thickness_mm"]
    with pytest.raises(BadInput, match="no room for vanes"):
        rotor_solid(replace(VENTED, cheek_thickness_mm=11.0), Studs())
    with pytest.raises(BadInput, match="separate bodies"):
        rotor_solid(replace(Rotor(), ring_inner_diameter_mm=160.0), Studs())
    with pytest.raises(BadInput, match="cannot be seen"):
        debris_solid(Debris(), 0.0)
