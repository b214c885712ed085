"""Whatever lies between the faces, a seating ends with proof or says why not, and the laws of contact hold."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from corners import Draw, draw, faults_of, patch
from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st

from sim.errors import Refused
from sim.seating.seat import seat

CHECKED = settings(
    max_examples=25, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow], database=None
)
SOME = settings(CHECKED, max_examples=8)

TORQUE = st.floats(5.0, 200.0)
PATCH = st.builds(
    patch,
    inner=st.floats(34.0, 66.0),
    width=st.floats(0.5, 20.0),
    angle=st.floats(-180.0, 180.0),
    arc=st.floats(0.3, 360.0),
    height=st.one_of(st.floats(0.01, 500.0), st.floats(-500.0, -0.01)),
    on=st.sampled_from(["hub", "rotor"]),
    crush=st.one_of(st.just(0.0), st.floats(2.0, 2000.0)),
)


@st.composite
def corners(draw_from, flat=False, hard=False, count=5):
    def dish():
        return 0.0 if flat else draw_from(st.floats(-100.0, 100.0))

    patches = tuple(draw_from(st.lists(PATCH, max_size=3)))
    if hard:
        patches = tuple(replace(one, crush_mpa=None, modulus_mpa=None, on="hub") for one in patches)
    return Draw(
        count=count,
        material=draw_from(st.sampled_from(["steel", "rigid"])),
        torque_nm=tuple(draw_from(st.lists(TORQUE, min_size=count, max_size=count))),
        hub_runout_um=0.0 if flat else draw_from(st.floats(0.0, 100.0)),
        hub_high_deg=draw_from(st.floats(0.0, 360.0)),
        hub_dish_um=dish(),
        rotor_dish_um=dish(),
        turned=draw_from(st.integers(0, count - 1)),
        patches=patches,
    )


def seated_or_refused(case):
    try:
        return seat(case, "fast")
    except Refused as refusal:
        reason = str(refusal)
    assert len(reason) > 20
    return None


@CHECKED
@given(corners())
@example(Draw(5, "steel", (5.0,) * 5, 0.0, 0.0, 0.0, 0.0, 0, ()))
@example(Draw(5, "rigid", (200.0, 5.0, 5.0, 5.0, 5.0), 100.0, 0.0, -100.0, -100.0, 0, ()))
def test_every_seating_ends_with_proof_or_a_reason(corner):
    seated = seated_or_refused(corner.case())
    if seated is not None:
        assert faults_of(seated) == []
        checks = seated.checks
        assert max(checks.force_residual, checks.moment_residual, checks.complementarity) <= 1e-9


@CHECKED
@given(st.integers(0, 2**31))
def test_random_corners_as_the_soak_draws_them(seed):
    seated = seated_or_refused(draw(np.random.default_rng(seed)).case())
    assert seated is None or faults_of(seated) == []


def test_corners_as_they_are_usually_drawn_are_seated():
    """A program that refused everything would pass the others."""
    for seed in range(6):
        assert seated_or_refused(draw(np.random.default_rng(seed)).case()) is not None


@SOME
@given(corners(), st.integers(1, 4))
def test_turning_everything_by_stud_pitches_turns_the_curve(corner, steps):
    """All on the hub: dirt, tilt, torques. The rotor stays, so its trace turns whole."""
    pitch = 72.0 * steps
    corner = replace(corner, turned=0, patches=tuple(replace(one, on="hub") for one in corner.patches))
    turned = replace(
        corner,
        torque_nm=tuple(np.roll(corner.torque_nm, steps).tolist()),
        hub_high_deg=(corner.hub_high_deg + pitch) % 360.0,
        patches=tuple(replace(one, angle_deg=one.angle_deg + pitch - 360.0 * (one.angle_deg > 0))
                      for one in corner.patches),
    )  # fmt: skip
    here, there = seated_or_refused(corner.case()), seated_or_refused(turned.case())
    assert (here is None) == (there is None)
    if here is not None:
        scale = 1.0 + here.lateral_runout_um["outboard"]
        assert np.abs(np.roll(here.outboard_um, round(pitch)) - there.outboard_um).max() < 1e-6 * scale


@SOME
@given(corners())
def test_a_mirrored_corner_has_the_mirrored_curve(corner):
    corner = replace(corner, turned=0)
    mirrored = replace(
        corner,
        torque_nm=(corner.torque_nm[0], *corner.torque_nm[:0:-1]),
        hub_high_deg=-corner.hub_high_deg % 360.0,
        patches=tuple(replace(one, angle_deg=-one.angle_deg) for one in corner.patches),
    )
    here, there = seated_or_refused(corner.case()), seated_or_refused(mirrored.case())
    assert (here is None) == (there is None)
    if here is not None:
        scale = 1.0 + here.lateral_runout_um["outboard"]
        assert np.abs(np.roll(here.outboard_um[::-1], 1) - there.outboard_um).max() < 1e-6 * scale


@SOME
@given(corners(flat=True), st.floats(1.0, 100.0), st.floats(0.0, 360.0))
def test_a_crooked_hub_only_leans_what_it_carries(corner, runout, high):
    """Tilting the face tilts everything on it: the trace gains a first order, the forces stay."""
    straight = seated_or_refused(corner.case())
    crooked = seated_or_refused(replace(corner, hub_runout_um=runout, hub_high_deg=high).case())
    assert (straight is None) == (crooked is None)
    if straight is not None:
        angle = np.arange(360) - high + 72.0 * corner.turned
        lean = runout / 2 * 140.0 / 64.0 * np.cos(np.deg2rad(angle))
        scale = 1.0 + straight.lateral_runout_um["outboard"]
        assert np.abs(crooked.outboard_um - straight.outboard_um - lean).max() < 1e-6 * scale
        assert np.allclose(crooked.cells.pressure_mpa, straight.cells.pressure_mpa, atol=1e-5 * scale)
