"""Contact cells: areas, levers and averages against sums over many points; patches with exact edges."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from sim.parts.case import Debris
from sim.seating.cells import CellBlock, cut_holes, face_block, pad_block, patch_block, share_in_circles, share_under
from sim.seating.lying_between import BARE, Surface, alike_round

ZONE = (34.0, 68.0)


def points(inner, outer, middle, arc, steps=300):
    """Even in area."""
    share = (np.arange(steps) + 0.5) / steps
    r = np.sqrt(inner**2 + (outer**2 - inner**2) * share)
    return np.meshgrid(r, middle + arc * (share - 0.5))


def test_face_cells_tile_the_zone():
    grid = face_block(ZONE, 4.6, 75)
    assert grid.area_mm2.sum() == pytest.approx(np.pi * (68.0**2 - 34.0**2))
    assert grid.inner_mm[1:] == pytest.approx(grid.outer_mm[:-1])
    assert (grid.inner_mm[0], grid.outer_mm[-1]) == ZONE
    width = grid.outer_mm - grid.inner_mm
    assert width[:-3] == pytest.approx(width[0])
    assert np.all(np.diff(width[-4:]) < 0)  # closing up towards the edge
    assert 0.5 < width[-1] < 1.0


def test_rings_of_the_wheels_pad_close_up_towards_both_edges():
    pad = pad_block((35.5, 73.0), 8.0, 75)
    assert pad.area_mm2.sum() == pytest.approx(np.pi * (73.0**2 - 35.5**2))
    width = pad.outer_mm - pad.inner_mm
    assert width == pytest.approx(width[::-1])
    assert np.all(np.diff(width[: width.size // 2]) > 0)


def test_cells_come_again_only_where_all_that_are_kept_do():
    grid = face_block(ZONE, 9.0, 10)
    rings, cells = grid.inner_mm.size, np.arange(grid.size)
    whole = Surface(grid, cells, np.zeros(grid.size), 1e-3, np.inf, BARE)
    assert np.array_equal(alike_round([whole], 5), cells.reshape(5, 2 * rings))
    one_hole, other_hole = np.delete(cells, [0]), np.delete(cells, 2 * rings * np.arange(5) + [0, 0, 1, 0, 0])
    assert alike_round([whole, replace(whole, kept=one_hole)], 5) is None
    assert alike_round([replace(whole, kept=other_hole)], 5) is None
    assert alike_round([whole], 4) is None


def test_rigid_motion_and_average_of_a_cell_by_brute_force():
    block = CellBlock(np.array([60.0]), np.array([68.0]), np.array([0.4]), 0.3)
    r, theta = points(60.0, 68.0, 0.4, 0.3)
    brute = [1.0, (r * np.cos(theta)).mean(), (r * np.sin(theta)).mean()]
    assert block.rigid()[0] == pytest.approx(brute, rel=1e-6)
    share = block.averaging(20)[0]
    for n in (0, 1, 7, 19):
        assert share[n] == pytest.approx(np.cos(n * (theta - 0.4)).mean(), abs=1e-5)


def test_cells_come_angle_by_angle():
    block = CellBlock(np.array([34.0, 50.0]), np.array([50.0, 68.0]), np.array([0.0, 1.0, 2.0]), 0.1)
    inner, outer, angle = block.flat
    assert inner.tolist() == [34.0, 50.0] * 3
    assert outer.tolist() == [50.0, 68.0] * 3
    assert angle.tolist() == [0.0, 0.0, 1.0, 1.0, 2.0, 2.0]


@pytest.mark.parametrize("debris", [Debris(), Debris(arc_deg=3.0), Debris(arc_deg=360.0), Debris(arc_deg=77.0)])
def test_patch_has_its_exact_area_and_place(debris):
    block = patch_block(debris, ZONE, 0.0)
    whole = np.deg2rad(debris.arc_deg) * (68.0**2 - 60.0**2) / 2
    assert block.area_mm2.sum() == pytest.approx(whole)
    assert block.angle_rad.mean() == pytest.approx(np.deg2rad(debris.angle_deg), abs=1e-12)
    sides = np.append(block.angle_rad - block.arcs / 2, block.angle_rad[-1] + block.arcs[-1] / 2)
    assert sides[1:-1] == pytest.approx(block.angle_rad[:-1] + block.arcs[:-1] / 2)
    assert sides[-1] - sides[0] == pytest.approx(np.deg2rad(debris.arc_deg))
    # Narrow where the edge is, even where there is none.
    assert block.arcs[0] == pytest.approx(block.arcs.max() if debris.arc_deg == 360.0 else block.arcs.min())
    assert block.arcs[0] < 0.6 * block.arcs.max() or debris.arc_deg == 360.0


def test_patch_is_cut_at_the_zone_and_gone_beyond_it():
    block = patch_block(Debris(inner_radius_mm=64.0, outer_radius_mm=80.0), ZONE, 0.0)
    assert (block.inner_mm[0], block.outer_mm[-1]) == (64.0, 68.0)
    assert patch_block(Debris(inner_radius_mm=68.0, outer_radius_mm=80.0), ZONE, 0.0) is None
    assert patch_block(Debris(inner_radius_mm=20.0, outer_radius_mm=34.0), ZONE, 0.0) is None


def test_dirt_on_the_rotor_turns_with_it_and_dirt_on_the_hub_does_not():
    turn = np.deg2rad(72.0)
    still = patch_block(Debris(angle_deg=10.0), ZONE, turn)
    turned = patch_block(Debris(on="rotor", angle_deg=10.0), ZONE, turn)
    assert np.rad2deg(still.angle_rad.mean()) == pytest.approx(10.0)
    assert np.rad2deg(turned.angle_rad.mean()) == pytest.approx(82.0)


def test_share_under_a_sector_sees_across_angle_zero():
    block = CellBlock(np.array([60.0]), np.array([68.0]), np.array([0.0, np.pi]), np.deg2rad(10.0))
    over_zero = Debris(angle_deg=358.0, arc_deg=4.0)
    assert share_under(block, over_zero, 0.0) == pytest.approx([0.6, 0.0], abs=0.21)
    assert share_under(block, Debris(arc_deg=360.0), 0.0) == pytest.approx([1.0, 1.0])
    assert share_under(block, Debris(angle_deg=-180.0), 0.0) == pytest.approx([0.0, 1.0])


def test_share_in_a_stud_hole():
    block = CellBlock(np.array([50.0, 54.0]), np.array([54.0, 58.0]), np.array([0.0, 0.5]), np.deg2rad(4.0))
    share = share_in_circles(block, 56.0, np.array([0.0]), 8.0)
    assert share == pytest.approx([1.0, 1.0, 0.0, 0.0])
    half = share_in_circles(
        CellBlock(np.array([48.0]), np.array([64.0]), np.array([0.0]), 0.01), 56.0, np.zeros(1), 4.0
    )
    assert half[0] == pytest.approx(0.5, abs=0.15)


@pytest.mark.parametrize("per_turn", [72, 75, 77])
def test_hole_shares_repeat_every_stud_pitch(per_turn):
    """Even studs must see an even face, to the bit."""
    count = {72: 4, 75: 5, 77: 7}[per_turn]
    grid = face_block(ZONE, 4.6, per_turn)
    angles = 2 * np.pi * np.arange(count) / count
    lost = (share_in_circles(grid, 56.0, angles, 8.0) > 0.5).reshape(count, -1)
    assert (lost == lost[0]).all()
    assert lost.any()


HOLES = 2 * np.pi * np.arange(5) / 5


@pytest.mark.parametrize("hole_mm", [5.0, 6.5, 7.5, 8.5])
def test_holes_are_cut_with_their_area(hole_mm):
    """Whole cells of this size, dropped or kept, miss the area of a hole by up to a third."""
    block = cut_holes(face_block((35.5, 73.0), 8.0, 75), 56.0, HOLES, hole_mm)
    left = (block.area_mm2 * block.carried).sum()
    assert block.area_mm2.sum() - left == pytest.approx(5 * np.pi * hole_mm**2, rel=0.02)


def test_a_cell_with_a_hole_presses_where_its_metal_is():
    block = cut_holes(CellBlock(np.array([48.0]), np.array([56.0]), np.array([0.05]), 0.1), 56.0, np.zeros(1), 6.0)
    r, theta = points(48.0, 56.0, 0.05, 0.1)
    left = r**2 + 56.0**2 - 2 * r * 56.0 * np.cos(theta) >= 36.0
    assert block.carried[0] == pytest.approx(left.mean(), abs=0.01)
    x, y = r * np.cos(theta), r * np.sin(theta)
    assert block.rigid()[0] == pytest.approx([1.0, x[left].mean(), y[left].mean()], abs=0.12)
    wave = block.waves(40)[0, 0].sum(axis=0)
    for order in (0, 1, 5, 12):
        assert wave[order] == pytest.approx(np.exp(-1j * order * theta)[left].mean(), abs=6e-3)


def test_even_studs_see_even_holes_to_the_bit():
    block = cut_holes(face_block((35.5, 73.0), 8.0, 75), 56.0, HOLES, 7.5)
    share = block.carried.reshape(5, -1)
    assert np.ptp(share, axis=0).max() < 1e-12
    assert share.min() < 0.5


def test_holes_that_come_again_are_measured_once_and_uneven_ones_everywhere():
    grid = face_block((35.5, 73.0), 8.0, 75)
    for angles, repeat in ((HOLES, 15), (HOLES + 0.3, 15), (HOLES[:1], 75), (HOLES + [0.0, 0.02, 0.0, 0.0, 0.0], 75)):
        block = cut_holes(grid, 56.0, angles, 7.5)
        assert block.open_share.ravel() == pytest.approx(
            1.0 - share_in_circles(block.fine, 56.0, angles, 7.5), abs=1e-12
        )
        assert block.repeat == repeat


def test_a_circle_that_reaches_in_from_beside_covers_what_it_does():
    """Circles of 8 mm at 56: one centred beside the block, one across the zero, one far off; against every point."""
    block = CellBlock(np.array([48.0, 56.0]), np.array([56.0, 66.0]), np.deg2rad([4.0, 9.0]), np.deg2rad(5.0))
    angles = np.deg2rad([-5.0, 18.5, 180.0])
    r, theta = block.sample_points
    inside = np.any([r**2 + 56.0**2 - 2 * r * 56.0 * np.cos(theta - one) < 64.0 for one in angles], axis=0)
    share = share_in_circles(block, 56.0, angles, 8.0)
    assert 0.0 < share.sum() < block.size
    assert share == pytest.approx(inside.mean(axis=1), abs=1e-12)
    assert not share_in_circles(block, 56.0, angles[2:], 8.0).any()
    assert share_in_circles(block, 56.0, angles[2:], 130.0).all(), "a circle about the axis reaches everywhere"
