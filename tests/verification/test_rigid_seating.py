"""Exact rigid seating against a linear programme, closed forms of plane geometry, and its own proof of optimality.

Frame: hub frame, mm. The linear programme (scipy, HiGHS) minimises the plane's height at the clamp centre over many
points of rim and patches, and adds points where its plane comes nearest to an arc, until the polygon error is below the
tolerance of the programme itself (1e-10 mm). It may only err low, since it knows fewer points than there are.
"""

import numpy as np
import pytest
from scipy.optimize import linprog
from scipy.sparse import block_diag

from sim.rigid.batch import exchange, seat_rigid_batch
from sim.rigid.bearing_points import Holes, Patch
from sim.rigid.seat import seat_rigid
from sim.turn import harmonics, tir

RIM = 68.0
GAUGE = 140.0


def polar(radius, angle_rad, height):
    return np.column_stack(
        [radius * np.cos(angle_rad), radius * np.sin(angle_rad), np.full(np.size(angle_rad), height)]
    )


def sector_points(patch, steps):
    angle = np.radians(patch.angle_deg + np.linspace(-0.5, 0.5, steps) * patch.arc_deg)
    return np.vstack([polar(r, angle, patch.height_mm) for r in (patch.inner_radius_mm, patch.outer_radius_mm)])


def linear_programmes(tasks, rounds=7):
    """Height at the clamp centre and plane of each task; one programme of many blocks, set up once for all of them."""
    steps = np.concatenate([-np.geomspace(1e-7, 0.04, 14), [0.0], np.geomspace(1e-7, 0.04, 14)])
    points = [
        np.vstack([polar(RIM, np.arange(60) * np.pi / 30, 0.0), *(sector_points(p, 11) for p in patches)])
        for patches, _ in tasks
    ]
    planes, going = np.zeros((len(tasks), 3)), range(len(tasks))
    for _ in range(rounds):
        for k, plane in zip(going, lowest_planes([(points[k], tasks[k][1]) for k in going]), strict=True):
            planes[k] = plane
        more = {k: nearest_to_arcs(tasks[k][0], planes[k], steps) for k in going}
        # where no place stands out of the plane, nothing more is asked
        going = [k for k in going if (more[k] @ [-planes[k, 1], -planes[k, 2], 1.0] - planes[k, 0]).max() > 1e-13]
        for k in going:
            points[k] = np.vstack([points[k], more[k]])
    return [(plane @ [1.0, *centre], plane) for plane, (_, centre) in zip(planes, tasks, strict=True)]


def lowest_planes(parts):
    tolerance = {"primal_feasibility_tolerance": 1e-10, "dual_feasibility_tolerance": 1e-10}
    if not parts:
        return []
    matrix = block_diag([-np.column_stack([np.ones(len(points)), points[:, :2]]) for points, _ in parts], "csc")
    height = np.concatenate([points[:, 2] for points, _ in parts])
    cost = np.concatenate([[1.0, *centre] for _, centre in parts])
    found = linprog(cost, matrix, -height, bounds=(None, None), method="highs-ds", options=tolerance)
    return found.x.reshape(-1, 3)


def nearest_to_arcs(patches, plane, steps):
    arcs = [(RIM, 0.0, np.pi, 0.0)]
    arcs += [(p.outer_radius_mm, np.radians(p.angle_deg), np.radians(p.arc_deg) / 2, p.height_mm) for p in patches]
    near = np.arctan2(-plane[2], -plane[1]) + steps
    out = []
    for radius, middle, half, height in arcs:
        inside = np.abs((near - middle + np.pi) % (2 * np.pi) - np.pi) <= half
        out.append(polar(radius, near[inside], height))
    return np.vstack(out)


def random_patches(rng, most=4):
    patches = []
    for _ in range(rng.integers(1, most + 1)):
        inner = rng.uniform(35, 66)
        arc = rng.choice([0.0, 5.0, 20.0, 60.0, rng.uniform(0, 360)])
        patches.append(Patch(inner, rng.uniform(inner, RIM), rng.uniform(0, 360), arc, rng.uniform(0.01, 0.2)))
    return patches


def test_150_random_faces_against_the_linear_programme():
    rng = np.random.default_rng(20)
    tasks = []
    for case in range(150):
        patches = random_patches(rng)
        tasks.append((patches, (0.0, 0.0) if case % 2 else tuple(rng.uniform(-20, 20, 2))))
    for (patches, centre), (height, plane) in zip(tasks, linear_programmes(tasks), strict=True):
        seat = seat_rigid(patches, RIM, centre)
        assert -2e-10 < seat.height_mm - height < 2e-9
        # The lean is less sharp: across a smooth arc the height varies with its square, so 1e-10 mm leaves 0.1 um.
        np.testing.assert_allclose(np.array(seat.slope_xy) * GAUGE, plane[1:] * GAUGE, atol=1e-4)


def test_every_seat_carries_its_own_proof():
    """Feasible everywhere, and shares that balance the clamp force: together that proves the optimum, to round-off."""
    rng = np.random.default_rng(21)
    fine = np.arange(7200) * 2 * np.pi / 7200
    for case in range(120):
        patches = random_patches(rng)
        centre = (0.0, 0.0) if case % 2 else tuple(rng.uniform(-30, 30, 2))
        seat = seat_rigid(patches, RIM, centre)
        points = np.vstack([polar(RIM, fine, 0.0), *(sector_points(p, 800) for p in patches)])
        plane = seat.height_mm + (points[:, :2] - centre) @ np.array(seat.slope_xy)
        assert (points[:, 2] - plane).max() < 1e-14
        share = np.array([support.share for support in seat.supports])
        place = np.array([(support.x_mm, support.y_mm, support.height_mm) for support in seat.supports])
        assert share.min() > 0
        assert share.sum() == pytest.approx(1.0, abs=1e-12)
        np.testing.assert_allclose(share @ place, [*centre, seat.height_mm], atol=1e-11)


def test_corners_and_inner_edge_alone_would_be_wrong():
    """The outer arc matters: two wide patches of unlike height, of which the lower bears on its outer arc."""
    patches = [Patch(60.0, 68.0, 0.0, 20.0, 0.10), Patch(50.0, 66.0, 180.0, 60.0, 0.05)]
    seat = seat_rigid(patches, RIM)
    on_arc = [s for s in seat.supports if s.on == 1]
    assert len(on_arc) == 1
    assert np.hypot(on_arc[0].x_mm, on_arc[0].y_mm) == pytest.approx(66.0)
    assert on_arc[0].y_mm == pytest.approx(0.0, abs=1e-9)
    corners_only = [Patch(60.0, 68.0, 0.0, 20.0, 0.10)]
    corners_only += [Patch(r, r, 180.0 + side, 0.0, 0.05) for r in (50.0, 66.0) for side in (-30, 30)]
    assert seat.height_mm > seat_rigid(corners_only, RIM).height_mm + 1e-3


def test_reference_patch_from_the_triangle_of_its_supports():
    """It bears on both inner corners and on the rim opposite: TIR = 2 R h / (r cos 10 + r_rim)."""
    seat = seat_rigid([Patch(60.0, 68.0, 0.0, 20.0, 0.1)], RIM)
    assert seat.tir_mm(GAUGE) == pytest.approx(2 * GAUGE * 0.1 / (60 * np.cos(np.radians(10)) + 68), rel=1e-14)
    assert seat.tir_mm(GAUGE) == pytest.approx(0.2203, abs=5e-5)
    assert len(seat.supports) == 3


def test_speck_against_the_lever():
    for radius in (34.0, 50.0, 66.0):
        seat = seat_rigid([Patch(radius, radius, 25.0, 0.0, 0.08)], RIM)
        assert seat.tir_mm(GAUGE) == pytest.approx(2 * GAUGE * 0.08 / (radius + RIM), rel=1e-13)
        assert np.degrees(np.arctan2(*seat.slope_xy[::-1])) == pytest.approx(25.0)


def test_three_point_seat():
    """Three feet at 120 degrees on radius r, one higher by h: TIR at R is (4/3) (R/r) h, by plane geometry."""
    feet = [Patch(56.0, 56.0, 120.0 * k, 0.0, 1.0 + (0.03 if k == 0 else 0.0)) for k in range(3)]
    seat = seat_rigid(feet, RIM)
    assert seat.tir_mm(GAUGE) == pytest.approx(4 / 3 * GAUGE / 56 * 0.03, rel=1e-12)
    assert [support.share for support in seat.supports] == pytest.approx([1 / 3] * 3)
    theta = np.radians(np.arange(360))
    trace = GAUGE * (seat.slope_xy[0] * np.cos(theta) + seat.slope_xy[1] * np.sin(theta))
    assert tir(trace) == pytest.approx(seat.tir_mm(GAUGE), rel=1e-12)
    assert abs(harmonics(trace, 1)[1]) == pytest.approx(seat.tir_mm(GAUGE) / 2, rel=1e-12)


def test_stud_holes_against_the_linear_programme():
    """Points of the patch inside the holes are left out of the programme by hand."""
    holes = Holes(5, 56.0, 8.0)
    centres = polar(56.0, np.arange(5) * 2 * np.pi / 5, 0.0)[:, :2]
    rng = np.random.default_rng(22)
    for _ in range(25):
        patch = Patch(*np.sort(rng.uniform(46, 66, 2)), rng.choice([0, 72, 144]) + rng.uniform(-12, 12), 14.0, 0.1)
        r, a = np.meshgrid(
            np.linspace(patch.inner_radius_mm, patch.outer_radius_mm, 120),
            np.radians(patch.angle_deg + np.linspace(-7, 7, 240)),
        )
        grid = polar(r.ravel(), a.ravel(), 0.1)
        free = np.hypot(*(grid[:, None, :2] - centres).transpose(2, 0, 1)).min(axis=1) >= 8.0
        points = np.vstack([polar(RIM, np.arange(720) * np.pi / 360, 0.0), grid[free]])
        seat = seat_rigid([patch], RIM, holes=holes)
        rough = exchange(points[:, :2], points[:, 2])
        assert 0.0 <= seat.height_mm - rough[0] < 2e-4
        assert 2 * GAUGE * np.hypot(*rough[1:]) == pytest.approx(seat.tir_mm(GAUGE), abs=2e-3)


@pytest.mark.parametrize("pointed", [True, False])
def test_batch_is_the_single_seat_many_times(pointed):
    rng = np.random.default_rng(23)
    shape = (3000, 3)
    inner = rng.uniform(40, 66, shape)
    outer = inner if pointed else np.minimum(inner + rng.uniform(0, 9, shape), RIM)
    angle, arc = rng.uniform(0, 360, shape), np.zeros(shape) if pointed else rng.uniform(0, 90, shape)
    height = rng.uniform(0, 0.2, shape) * (rng.random(shape) < 0.6)
    found = seat_rigid_batch(inner, outer, angle, arc, height, RIM)
    assert np.isfinite(found).all()
    for row in range(0, 3000, 40):
        patches = [
            Patch(inner[row, k], outer[row, k], angle[row, k], arc[row, k], height[row, k])
            for k in range(3)
            if height[row, k] > 0
        ]
        seat = seat_rigid(patches, RIM)
        np.testing.assert_allclose(found[row], [seat.height_mm, *seat.slope_xy], atol=1e-14)


def test_exchange_on_a_measured_face_against_the_linear_programme():
    rng = np.random.default_rng(24)
    angle = np.arange(36) * np.pi / 18
    points = np.vstack([polar(r, angle, 0.0)[:, :2] for r in (38.0, 53.0, 68.0)])
    heights = rng.normal(0, 0.01, (60, 108)) + 0.05 * np.cos(2 * np.tile(angle, 3))
    for centre in ((0.0, 0.0), (12.0, -9.0)):
        found = exchange(points, heights, centre)
        for row in range(60):
            matrix = -np.column_stack([np.ones(108), points])
            best = linprog([1.0, *centre], matrix, -heights[row], bounds=[(None, None)] * 3, method="highs-ds")
            assert found[row, 0] == pytest.approx(best.fun, abs=1e-9)
            assert (heights[row] - found[row, 0] - (points - centre) @ found[row, 1:]).max() < 1e-15
