"""Rigid seating: what geometry guarantees for any patches."""

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from sim.rigid.batch import exchange
from sim.rigid.bearing_points import Patch
from sim.rigid.seat import seat_rigid

RIM = 68.0
angles = st.floats(0.0, 360.0)


@st.composite
def patches(draw, most=4):
    some = []
    for _ in range(draw(st.integers(1, most))):
        inner = draw(st.floats(36.0, 66.0))
        outer = draw(st.floats(inner, RIM))
        some.append(Patch(inner, outer, draw(angles), draw(st.floats(0.0, 180.0)), draw(st.floats(0.001, 0.3))))
    return some


def moved(patch, by=0.0, scale=1.0):
    return Patch(
        patch.inner_radius_mm, patch.outer_radius_mm, patch.angle_deg + by, patch.arc_deg, patch.height_mm * scale
    )


@settings(max_examples=30, deadline=None)
@given(patches(), st.floats(0.01, 50.0))
def test_heights_scale_the_seat(some, factor):
    one, many = seat_rigid(some, RIM), seat_rigid([moved(p, scale=factor) for p in some], RIM)
    assert np.isclose(many.height_mm, factor * one.height_mm, rtol=1e-9, atol=1e-14)
    if one.unique and many.unique:
        assert np.isclose(many.tir_mm(140.0), factor * one.tir_mm(140.0), rtol=1e-6, atol=1e-9 * factor)


@settings(max_examples=30, deadline=None)
@given(patches(), angles)
def test_turning_everything_turns_the_lean(some, by):
    one, other = seat_rigid(some, RIM), seat_rigid([moved(p, by=by) for p in some], RIM)
    assert np.isclose(one.height_mm, other.height_mm, rtol=1e-9, atol=1e-14)
    if one.unique and other.unique:
        turned = complex(*one.slope_xy) * np.exp(1j * np.radians(by))
        assert abs(turned - complex(*other.slope_xy)) < 1e-6 * max(abs(turned), 1e-6)


@settings(max_examples=30, deadline=None)
@given(patches(most=3), patches(most=1))
def test_more_dirt_never_lowers_it_and_order_does_not_matter(some, more):
    before, after = seat_rigid(some, RIM), seat_rigid(some + more, RIM)
    assert after.height_mm >= before.height_mm - 1e-14
    assert np.isclose(seat_rigid(more + some, RIM).height_mm, after.height_mm, rtol=1e-9, atol=1e-14)


@settings(max_examples=20, deadline=None)
@given(patches(), st.floats(-20.0, 20.0), st.floats(-20.0, 20.0))
def test_it_bears_only_on_supports_that_balance_the_clamp_force(some, x, y):
    seat = seat_rigid(some, RIM, (x, y))
    share = np.array([s.share for s in seat.supports])
    place = np.array([(s.x_mm, s.y_mm) for s in seat.supports])
    assert share.min() > 0.0
    np.testing.assert_allclose(share @ place, [x, y], atol=1e-3)
    assert abs(share.sum() - 1.0) < 1e-5


@settings(max_examples=20, deadline=None)
@given(st.integers(0, 2**32 - 1), st.floats(-1e-3, 1e-3), st.floats(-1e-3, 1e-3), st.floats(-1.0, 1.0))
def test_a_leaning_hub_face_is_added_exactly(seed, a, b, lift):
    rng = np.random.default_rng(seed)
    angle = np.arange(72) * np.pi / 36
    points = np.vstack([r * np.column_stack([np.cos(angle), np.sin(angle)]) for r in (40.0, 68.0)])
    heights = rng.normal(0.0, 0.02, 144)
    plain = exchange(points, heights)
    leaning = exchange(points, heights + lift + points @ np.array([a, b]))
    np.testing.assert_allclose(leaning - plain, [lift, a, b], atol=1e-14 * (1 + 100 * abs(lift)))
