"""The r-z section: blocks, mesh lines and what the mesh fills."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from sim.bodies.section import contact_zone_mm, hub_blocks, mesh_section, rotor_blocks
from sim.parts.case import Case, Hub, Rotor
from sim.seating.prepared import PRESETS

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


def mesh(rotor=None, hub=None, preset="fast"):
    case = Case(rotor=rotor or Rotor(), hub=hub or Hub())
    blocks, side = (rotor_blocks(case.rotor), 1) if hub is None else (hub_blocks(case.hub), -1)
    return mesh_section(blocks, contact_zone_mm(case), (42.0, 48.0, 64.0, 70.0), PRESETS[preset].fineness, side), blocks


def areas_mm2(section):
    r, z = section.mesh.p[:, section.mesh.t]
    return 0.5 * np.abs(sum(r[k] * z[(k + 1) % 4] - r[(k + 1) % 4] * z[k] for k in range(4)))


def test_solid_rotor_is_where_the_drawing_says():
    flange, wall, ring = rotor_blocks(Rotor())
    assert (flange.r0, flange.r1, flange.z0, flange.z1) == (32.5, 76.0, 0.0, 7.0)
    assert (wall.r0, wall.r1, wall.z0, wall.z1) == (70.0, 76.0, -38.0, 0.0)
    assert (ring.r0, ring.r1, ring.z0, ring.z1) == (70.0, 150.0, -38.0, -26.0)


def test_vented_wall_joins_the_outboard_cheek_only():
    blocks = rotor_blocks(VENTED)
    _, wall, outboard, vanes, inboard = blocks
    assert (outboard.z0, outboard.z1) == (wall.z0, -15.0)
    assert (inboard.z0, inboard.z1) == (-43.0, -34.0)
    assert (vanes.z0, vanes.z1, vanes.kind) == (-34.0, -24.0, "vanes")
    assert inboard.r0 == 85.0
    assert inboard.r0 > wall.r1


@pytest.mark.parametrize("preset", ["fast", "standard"])
@pytest.mark.parametrize("which", ["solid", "vented", "hub"])
def test_mesh_fills_the_blocks_once(which, preset):
    section, blocks = mesh(
        *{"solid": (Rotor(), None), "vented": (VENTED, None), "hub": (None, Hub())}[which], preset=preset
    )
    whole = sum((b.r1 - b.r0) * (b.z1 - b.z0) for b in blocks)
    wall, ring = blocks[1], blocks[2]
    if which != "hub":  # the wall's foot lies within the ring or the cheek
        whole -= (min(wall.r1, ring.r1) - max(wall.r0, ring.r0)) * (min(wall.z1, ring.z1) - max(wall.z0, ring.z0))
    assert areas_mm2(section).sum() == pytest.approx(whole)


def test_mesh_lines_follow_zone_and_stud_seats():
    section, _ = mesh()
    on_face = np.unique(np.round(section.mesh.p[0][np.abs(section.mesh.p[1]) < 1e-9], 6))
    for line in (34.0, 68.0, 42.0, 48.0, 64.0):
        assert line in on_face


def test_elements_shrink_towards_the_face_and_every_plate_has_two():
    section, _ = mesh(preset="standard")
    r, z = section.mesh.p[:, section.mesh.t]
    flange = (r.mean(axis=0) > 40) & (r.mean(axis=0) < 43) & (z.mean(axis=0) > 0)
    layers = np.unique(np.round(z[:, flange], 6))
    assert np.diff(layers)[0] < 0.8
    assert (np.diff(np.diff(layers)) >= -1e-9).all()
    ring = (r.mean(axis=0) > 120) & (r.mean(axis=0) < 125)
    assert np.unique(np.round(z[:, ring], 6)).size >= 3


def test_nearly_equal_lines_make_no_slivers():
    """A stud seat 0.1 mm from the edge of the zone gives way to it."""
    case = Case()
    section = mesh_section(rotor_blocks(case.rotor), (34.0, 68.0), (33.9, 68.1), PRESETS["fast"].fineness, 1)
    lines = np.unique(np.round(section.mesh.p[0], 6))
    assert np.diff(lines).min() > 0.4


def test_zone_is_where_both_faces_are():
    assert contact_zone_mm(Case()) == (34.0, 68.0)
    wide = Case(hub=replace(Hub(), face_diameter_mm=150.0))
    assert contact_zone_mm(wide) == (34.0, 70.0)  # the hat's inside
    recess = Case(hub=replace(Hub(), face_inner_diameter_mm=60.0, spigot_diameter_mm=59.9), rotor=Rotor())
    assert contact_zone_mm(recess)[0] == 32.5  # the bore
    assert contact_zone_mm(wide) == wide.contact_zone_mm


def test_same_section_same_mesh():
    one, two = mesh()[0].mesh, mesh()[0].mesh
    assert np.array_equal(one.p, two.p)
    assert np.array_equal(one.t, two.t)
