"""Whatever scale there is: a spigot's state ends with proof, and the laws of contact and friction hold."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from sim.parts.case import Case, Contact, SpigotScale, Studs
from sim.parts.contradictions import contradictions
from sim.parts.spigot_room import free_play
from sim.seating.prepared import prepare
from sim.seating.studs import pulls
from sim.spigot.drawn_home import draw_home, home_trace_um
from sim.spigot.path import push_on
from sim.spigot.state import spigot_state
from sim.turn import tir

CHECKED = settings(
    max_examples=6, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow], database=None
)
QUICK = settings(CHECKED, max_examples=30)

SCALE = st.builds(
    lambda angle, arc, height, low, length: SpigotScale(
        angle_deg=angle, arc_deg=arc, height_um=height, from_face_mm=low, to_face_mm=min(low + length, 10.0)
    ),
    st.floats(-180.0, 180.0),
    st.one_of(st.floats(2.0, 180.0), st.just(360.0)),
    st.floats(5.0, 140.0),
    st.one_of(st.just(0.0), st.floats(0.0, 7.0)),
    st.floats(1.5, 10.0),
)


@CHECKED
@given(st.lists(SCALE, min_size=1, max_size=2), st.sampled_from([0.0, 0.1, 0.2]), st.sampled_from([2.0, 140.0]))
def test_a_state_is_proved_and_sound(scales, friction, torque) -> None:
    case = Case(spigot_scale=tuple(scales), contact=Contact(bore_friction=friction), studs=Studs(torque_nm=torque))
    assert contradictions(case) == ()
    state = spigot_state(case, "rough", thorough=False)
    assert max(state.checks.values()) < 1e-8
    assert state.wedged == (free_play(case).wedge_um > 0)
    assert state.home in ("home", "held off", "jammed")
    assert 0.0 <= state.stand_off_um[0] <= state.stand_off_um[1] <= 10_000.0
    assert state.bore_pressure_mpa >= 0.0
    assert state.lateral_range_um[0] <= state.lateral_range_um[1]
    if not state.wedged:
        assert state.hoop_stress_mpa >= 0.0
        assert state.radial_runout_um[1] <= 60.1 or state.home == "held off"


@settings(CHECKED, max_examples=16)  # of which a third wedge
@given(SCALE, st.sampled_from([0.05, 0.15, 0.3]))
def test_no_step_breaks_the_friction_cone(scale, friction) -> None:
    case = Case(spigot_scale=(scale,))
    if not free_play(case).wedged:
        return
    path = push_on(prepare(case, "rough"), case, friction)
    assert path
    for place in path:
        solved, columns = place.solved, place.cells.column
        carried = np.bincount(columns, weights=solved.push_n, minlength=solved.rub_n.size)
        assert (solved.push_n >= 0).all()
        assert (np.abs(solved.rub_n) <= friction * carried + 1e-6).all()
        # Friction never pushes the way the bore slips.
        assert (solved.rub_n * solved.slip_mm <= 1e-9).all()
        assert solved.balance < 1e-9
        assert place.energy_n_mm >= -1e-6
        assert place.heat_n_mm >= -1e-9


@CHECKED
@given(st.floats(65.0, 110.0), st.floats(20.0, 180.0), st.integers(1, 4))
def test_scale_a_stud_further_turns_the_runout_by_a_stud(height, arc, studs) -> None:
    def trace(angle: float):
        case = Case(spigot_scale=(SpigotScale(angle_deg=angle, arc_deg=arc, height_um=height),))
        pair = prepare(case, "rough")
        return home_trace_um(pair, case, draw_home(pair, case, pulls(case.studs)), 140.0, "outboard")

    here, there = trace(10.0), trace(10.0 + 72.0 * studs)
    assert np.abs(np.roll(here, 72 * studs) - there).max() < 1e-6 * max(tir(here), 1.0) + 1e-6


@CHECKED
@given(st.floats(70.0, 100.0), st.floats(1.1, 1.5))
def test_thicker_scale_presses_and_stretches_more(height, factor) -> None:
    thin = Case(spigot_scale=(SpigotScale(arc_deg=90.0, height_um=height),))
    thick = replace(thin, spigot_scale=(SpigotScale(arc_deg=90.0, height_um=height * factor),))
    if not free_play(thin).wedged:
        return
    less, more = (spigot_state(case, "rough", thorough=False) for case in (thin, thick))
    assert more.hoop_stress_mpa > less.hoop_stress_mpa
    assert more.bore_pressure_mpa > less.bore_pressure_mpa
    assert more.push_to_force_home_n > less.push_to_force_home_n


@QUICK
@given(st.lists(SCALE, min_size=0, max_size=3))
def test_more_scale_never_gives_more_room(scales) -> None:
    rooms = [free_play(Case(spigot_scale=tuple(scales[:k]))) for k in range(len(scales) + 1)]
    for before, after in zip(rooms, rooms[1:], strict=False):
        assert after.most_um <= before.most_um + 0.01
        assert after.wedge_um >= before.wedge_um - 1e-6
        assert after.off_centre_um[1] >= after.off_centre_um[0] - 1e-6
