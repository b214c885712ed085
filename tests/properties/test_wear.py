"""What must hold for any runout: no metal made, nothing grows back, frames, going on, no wear out of nothing."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from hypothesis import given, settings
from hypothesis import strategies as st

from sim.parts.case import Caliper, Case
from sim.wear.brake import Fineness, brake_of
from sim.wear.disc import balance, make_problem, parts_of
from sim.wear.march import march, one_turn, states_at

COARSE = Fineness(angles=60, release_angles=6, tolerance_mm=1e-4)
QUICK = settings(max_examples=25, deadline=None)
THETA = 2.0 * np.pi * np.arange(360) / 360

orders = st.lists(
    st.tuples(st.floats(0.0, 0.08), st.floats(0.0, 6.28)), min_size=1, max_size=4
)  # amplitude [mm] and phase of orders 1, 2, ...
styles = st.sampled_from(["floating", "fixed"])


def trace_of(parts):
    return sum(a * np.cos((n + 1) * THETA - phase) for n, (a, phase) in enumerate(parts))


def problem(style, trace, heights=None, **brake):
    made = replace(brake_of(Case(caliper=Caliper(style=style))), **brake)
    return make_problem(made, trace, 140.0, heights, COARSE)


@QUICK
@given(styles, orders, st.floats(0.0, 0.15), st.floats(300.0, 5000.0), st.floats(5.0, 200.0))
def test_metal_balances_and_only_goes(style, parts, clearance, holder, slip):
    one = problem(style, trace_of(parts), clearance_mm=clearance, holder_n_mm=holder, slip_n=slip)
    marched = march(one, 1e6)
    assert marched.balance.max() <= 1e-12
    worn = np.array([parts_of(one, state).depth_mm for state in marched.state])
    assert worn.min() >= 0.0
    assert np.diff(worn, axis=0).min() >= -1e-9
    assert np.all(marched.rate[:, :-4] >= 0.0)


@QUICK
@given(styles, orders, st.integers(1, 59))
def test_the_frame_does_not_matter(style, parts, cells):
    trace = trace_of(parts)
    here = problem(style, trace)
    there = problem(style, np.roll(trace, 6 * cells))
    one, other = (parts_of(p, one_turn(p, np.zeros(p.size))[0]).depth_mm for p in (here, there))
    assert np.max(np.abs(np.roll(one, cells, axis=-1) - other)) <= 1e-9 * one.max() + 1e-20


@QUICK
@given(orders)
def test_turning_the_disc_over_swaps_the_faces(parts):
    trace = trace_of(parts)
    up, down = problem("fixed", trace), problem("fixed", -trace)
    one, other = (parts_of(p, one_turn(p, np.zeros(p.size))[0]).depth_mm for p in (up, down))
    # Slipping pistons settle to within a few parts in 1e9 of where they would end.
    assert np.allclose(one, other[::-1], rtol=1e-7, atol=1e-20)


@QUICK
@given(styles, st.floats(0.1, 10.0), orders)
def test_work_and_iron_agree_for_a_worn_disc(style, deep, parts):
    rough = 1e-3 * deep * np.stack([np.cos(3.0 * THETA), np.sin(2.0 * THETA)])
    one = problem(style, trace_of(parts), heights=rough)
    rate, notes = one_turn(one, np.zeros(one.size))
    assert notes[1] == 0.0
    assert balance(one, rate) <= 1e-12


@QUICK
@given(styles, orders, st.floats(0.05, 0.95))
def test_going_on_changes_nothing(style, parts, share):
    one = problem(style, trace_of(parts))
    whole = march(one, 2e6)
    again = march(one, 2e6, so_far=march(one, share * 2e6))
    assert np.array_equal(whole.state, again.state)
    assert np.array_equal(whole.going, again.going)


@QUICK
@given(styles)
def test_a_true_disc_is_only_worn_by_braking(style):
    one = problem(style, np.zeros(360))
    marched = march(one, 1e6)
    worn = parts_of(one, marched.state[-1])
    assert not worn.released_mm.any()
    assert np.ptp(worn.braked_mm, axis=-1).max() < 1e-12  # round the turn; farther out it rubs faster


@QUICK
@given(styles)
def test_on_one_ring_braking_wears_a_true_disc_evenly_in_time(style):
    """Over several places the growing cone moves the pressure; on one there is nowhere for it to go."""
    one = make_problem(
        brake_of(Case(caliper=Caliper(style=style))), np.zeros(360), 140.0, None, replace(COARSE, rings=1)
    )
    marched = march(one, 1e6)
    worn = parts_of(one, marched.state[-1])
    half = states_at(marched, np.array([0.5e6]))
    assert np.allclose(parts_of(one, half[0]).braked_mm * marched.revolutions[-1], worn.braked_mm * 0.5e6, rtol=1e-9)
