"""Fits, free play, bounds of scale, and the words and numbers of a spigot's state."""

from __future__ import annotations

import json
from dataclasses import replace

import numpy as np
import pressfit
import pytest

import demo_geometry
from sim.errors import BadInput, Refused
from sim.files.case_file import case_from_text
from sim.parts.case import Case, Hub, Rotor, SpigotScale, Studs
from sim.parts.contradictions import contradictions, key_text
from sim.parts.iso_fits import fit
from sim.parts.spigot_limits import crack_warning, most_overlap_mm
from sim.parts.spigot_room import free_play, root_overlap_mm
from sim.seating.prepared import prepare
from sim.seating.studs import pulls
from sim.solvers.friction_step import Rub, step
from sim.spigot import drawn_home, path_step
from sim.spigot import path as jammed
from sim.spigot.bore_cells import Rows, band_mean, bore_flexibility, bore_ports, columns_through
from sim.spigot.bore_cut import leaning_cells, scale_columns
from sim.spigot.drawn_home import draw_home
from sim.spigot.hand_and_nuts import FRICTION, HAND_N, pushes
from sim.spigot.path import push_on
from sim.spigot.state import spigot_deformation, spigot_json, spigot_state


def scaled(**more: float) -> Case:
    return Case(spigot_scale=(SpigotScale(**more),))


@pytest.mark.parametrize(
    "name", ["H8/f8", "H7/f7", "H7/g6", "H8/h9", "H7/p6", "H7/k6", "H7/n6", "H9/d9", "H8/e8", "H7/m6"]
)
@pytest.mark.parametrize("size", [40.0, 65.0, 80.0, 100.0, 150.0, 250.0])
def test_fits_are_those_of_iso_286(name: str, size: float) -> None:
    theirs = pressfit.fit(name, size)
    ours = fit(name, size)
    assert ours.clearance_um == tuple(map(float, theirs.clearance_um))
    assert ours.bore_mm == pytest.approx(theirs.hole_limits_mm, abs=1e-9)
    assert ours.spigot_mm == pytest.approx(theirs.shaft_limits_mm, abs=1e-9)


def test_fit_names_the_radial_runout_of_a_rotor_on_one_side() -> None:
    assert fit("H8/f8", 65.0).radial_runout_um == (30.0, 122.0)
    assert fit("H7/p6", 65.0).radial_runout_um == (0.0, 0.0)


@pytest.mark.parametrize(
    ("name", "size"), [("H8", 65), ("H8/z8", 65), ("G7/h6", 65), ("H8/k9", 65), ("H8/f8", 20), ("H12/f8", 65)]
)
def test_unknown_fits_are_refused(name: str, size: float) -> None:
    with pytest.raises(BadInput):
        fit(name, size)


def test_a_clean_fit_moves_by_its_clearance_in_every_direction() -> None:
    play = free_play(Case())
    assert play.most_um == pytest.approx(60.0, rel=1e-3)
    assert play.least_um == pytest.approx(60.0, rel=1e-3)
    assert play.off_centre_um == pytest.approx((0.0, 30.0), rel=1e-3)
    assert play.hung_um == pytest.approx((30.0, 30.0), rel=1e-3)
    assert not play.wedged


def test_a_narrow_speck_cuts_the_room_like_a_straight_wall() -> None:
    # The axis may lie in the circle of the clearance (30) cut off at 30 - 45 on the speck's side: by hand.
    play = free_play(scaled(angle_deg=0.0, arc_deg=0.2, height_um=45.0))
    assert play.off_centre_um[0] == pytest.approx(15.0, rel=2e-3)
    assert play.off_centre_um[1] == pytest.approx(30.0, rel=2e-3)
    assert play.least_um == pytest.approx(15.0, rel=2e-3)  # from the wall at 15 to the far side of the circle
    assert play.most_um == pytest.approx(2 * np.sqrt(30.0**2 - 15.0**2), rel=2e-2)


def test_scale_all_round_takes_its_height_off_the_play() -> None:
    assert free_play(scaled(arc_deg=360.0, height_um=20.0)).most_um == pytest.approx(20.0, rel=1e-3)
    assert free_play(scaled(arc_deg=360.0, height_um=80.0)).wedge_um == pytest.approx(50.0, rel=1e-6)


def test_a_narrow_wedge_is_half_of_what_is_too_much_on_diameter() -> None:
    assert free_play(scaled(arc_deg=0.2, height_um=90.0)).wedge_um == pytest.approx(15.0, rel=1e-3)


def test_root_scale_is_cleared_by_the_chamfer_until_it_is_too_thick() -> None:
    low = SpigotScale(height_um=300.0, to_face_mm=0.5)
    high = SpigotScale(height_um=300.0, to_face_mm=1.0)
    assert root_overlap_mm(Case(), low) == 0.0
    assert root_overlap_mm(Case(), high) == pytest.approx(0.27)
    assert not free_play(Case(spigot_scale=(high,))).wedged


def test_band_means_read_a_quadratic_exactly() -> None:
    nodes = np.array([0.0, 1.0, 2.0, 4.0, 6.0])
    rows = band_mean(nodes, np.array([0.5, 3.0, 5.0]), np.array([4.5, 3.0, 9.0]))
    exact = [(4.5**3 - 0.5**3) / 3 / 4.0, 9.0, (6.0**3 - 5.0**3) / 3]
    assert rows @ nodes**2 == pytest.approx(exact, rel=1e-5)


def test_columns_meet_every_border_and_close_the_turn() -> None:
    columns = columns_through([0.3, 1.7, -0.4], 0.25)
    assert sum(columns.arc_rad) == pytest.approx(2 * np.pi)
    starts = np.array(columns.angle_rad) - np.array(columns.arc_rad) / 2
    for border in (0.3, 1.7, 2 * np.pi - 0.4):
        assert np.abs((starts - border + np.pi) % (2 * np.pi) - np.pi).min() < 1e-7


@pytest.mark.parametrize(
    ("case", "key"),
    [
        (scaled(height_um=900.0), "height_um"),
        (scaled(from_face_mm=11.0, to_face_mm=12.0), "to_face_mm"),
        (scaled(from_face_mm=6.0, to_face_mm=5.0), "to_face_mm"),
        (Case(hub=replace(Hub(), spigot_diameter_mm=65.6)), "spigot_diameter_mm"),
    ],
)
def test_what_cannot_be_is_said_with_its_key(case: Case, key: str) -> None:
    (found,) = contradictions(case)
    assert key in key_text(found.keys[0])
    assert found.allowed
    with pytest.raises(BadInput):
        spigot_state(case, "fast")


def test_the_bound_of_scale_follows_from_the_ring_formula() -> None:
    # Lame, a 32.5, b 76, E 110 000, nu 0.26: 20 MPa gives hoop 28.95 MPa and 10.09 um; 500 MPa is 174 um.
    assert most_overlap_mm(Case()) == pytest.approx(500.0 / 28.95 * 10.09e-3, rel=2e-3)


def test_the_crack_warning_knows_the_wall_and_promises_nothing() -> None:
    thick = Case(rotor=replace(Rotor(), flange_thickness_mm=12.0))
    assert crack_warning(Case(), 124.0, 10.0) is None
    assert "bore" in str(crack_warning(Case(), 126.0, 10.0))
    assert "225" in str(crack_warning(thick, 120.0, 10.0))
    words = str(crack_warning(Case(), 10.0, 130.0))
    assert "hat corner" in words
    assert "fatigue is not covered" in words


def test_a_rigid_block_slides_at_friction_times_push() -> None:
    # Four columns at right angles, nothing but local give: p = overlap / give, F = mu times their sum.
    angle = np.arange(4) * np.pi / 2
    flat = np.zeros(4)
    rigid = np.column_stack([flat, -np.cos(angle), -np.sin(angle), np.cos(angle), np.sin(angle)])
    axial = np.column_stack([np.ones(4), 30 * np.cos(angle), 30 * np.sin(angle), flat, flat])
    rub = Rub(
        flexible=np.diag([1e-5] * 4 + [1e-6] * 4),
        column=np.arange(4),
        overlap_mm=np.full(4, 0.02),
        rigid=rigid,
        rigid_axial=axial,
        rim=np.zeros((0, 5)),
        rim_give=1e-6,
        before_mm=np.zeros(4),
        friction=0.2,
        push=-np.array([1.0, 0.0, 0.0, 0.0, 0.0]),
        bend=np.zeros(4),
        bend_axial=np.zeros(4),
        travel_mm=1.0,
        spring=np.array([0.0, 1.0, 1.0, 1e-3, 1e-3]),
        rest=np.zeros(5),
    )
    found = step(rub)
    assert found is not None
    assert found.push_n == pytest.approx(2000.0, rel=1e-6)
    assert found.force_n == pytest.approx(0.2 * 8000.0, rel=1e-6)
    # A push too short to slip: the columns hold, each giving way by its own little stiffness.
    short = step(replace(rub, travel_mm=1e-4))
    assert short is not None
    assert short.force_n == pytest.approx(4 * 1e-4 / 1e-6, rel=1e-6)
    assert (np.abs(short.rub_n) < 0.2 * short.push_n).all()
    # Friction without bound is glue, however far it is pushed.
    glued = step(replace(rub, friction=1e9))
    assert glued is not None
    assert glued.force_n == pytest.approx(4 * 1.0 / 1e-6, rel=1e-6)
    # No friction, no push.
    free = step(replace(rub, friction=0.0))
    assert free is not None
    assert free.force_n == pytest.approx(0.0, abs=1e-6)


def test_bands_fill_every_column_of_a_leaning_bore_and_meet_the_scale() -> None:
    case = scaled(arc_deg=90.0, to_face_mm=4.0)
    columns = scale_columns(case)
    cells = leaning_cells(case, columns, np.array([2.0, 0.01, -0.02, 0.0, 0.0]))
    for column in range(len(columns.angle_rad)):
        mine = cells.column == column
        low, high, lift = cells.low_mm[mine], cells.high_mm[mine], cells.lift_mm[mine][0]
        assert low[1:] == pytest.approx(high[:-1])
        assert (low[0], high[-1]) == pytest.approx((0.0, 7.0))
        assert (high - low).max() <= 1.2 + 1e-9
        assert np.abs(high + lift - 4.0).min() < 1e-9
    under = np.abs((np.array(columns.angle_rad) - np.pi + np.pi) % (2 * np.pi) - np.pi) < np.deg2rad(45.0)
    on_scale = under[cells.column] & (cells.high_mm + cells.lift_mm < 4.0 + 1e-9)
    assert ((cells.scale == 0) == on_scale).all()


def test_cells_of_a_bore_answer_each_other_like_their_rows() -> None:
    """Cells on slopes, in no order, on some columns: against the same sums written out."""
    pair = prepare(Case(), "fast")
    rng = np.random.default_rng(3)
    columns = columns_through([], np.deg2rad(30.0))
    column = rng.permutation(np.repeat(np.arange(12), 3))[:31]
    rows = []
    for body in pair.bodies:
        ports = bore_ports(body).size // 2
        rows.append(Rows(12, column, rng.random((31, ports)), rng.random((31, ports))))
    found = bore_flexibility(pair, columns, rows, rows)
    wanted = np.zeros((31, 31))
    for body, row in zip(pair.bodies, rows, strict=True):
        at = bore_ports(body)
        waves, factor = columns.waves(pair.orders), np.append(0.5, np.ones(pair.orders - 1)) / np.pi
        each = np.hstack([row.out, row.up])
        for n in range(pair.orders):
            turn = (waves[column, n][:, None] * waves[column, n].conj()[None, :]).real
            wanted += factor[n] * turn * (each @ body.flexibility.response[n][np.ix_(at, at)] @ each.T)
        force = rng.random(31)
        assert row.spread(force).ravel() == pytest.approx(row.matrix.T @ force)
        moved = rng.random(12 * at.size)
        assert row.read(moved) == pytest.approx(row.matrix @ moved)
    assert found == pytest.approx(wanted, rel=1e-9)


def test_columns_that_are_left_out_make_no_difference(monkeypatch) -> None:
    case = scaled(arc_deg=90.0, height_um=100.0, to_face_mm=4.0)
    pair = prepare(case, "fast")
    some = push_on(pair, case, 0.15)
    monkeypatch.setattr(path_step, "NEIGHBOURS", 99)
    every = push_on(pair, case, 0.15)
    # Thought idle, but pressed after all: found out and solved anew.
    monkeypatch.setattr(path_step, "_busy", lambda cells, carried, count: np.arange(count) > count // 3)
    wrong = push_on(pair, case, 0.15)
    for other in (some, wrong):
        assert len(other) == len(every)
        for a, b in zip(other, every, strict=True):
            assert a.motion == pytest.approx(b.motion, rel=1e-9, abs=1e-12)
            assert a.solved.push_n == pytest.approx(b.solved.push_n, rel=1e-8, abs=1e-6)
            assert a.slipped_mm == pytest.approx(b.slipped_mm, rel=1e-9, abs=1e-12)
            assert a.energy_n_mm == pytest.approx(b.energy_n_mm, rel=1e-9, abs=1e-9)
            assert a.needed_n == pytest.approx(b.needed_n, rel=1e-7, abs=1e-6)


def test_a_free_bore_says_range_and_no_lateral_runout() -> None:
    state = spigot_state(Case(), "fast")
    assert state.home == "home"
    assert not state.wedged
    assert state.radial_runout_um == pytest.approx((0.0, 60.0), rel=1e-3)
    assert state.lateral_runout_um["outboard"] < 0.5
    assert state.crack_warning is None
    assert any("range" in note for note in state.notes)
    assert spigot_deformation(Case(), state, preset="fast") is None


def test_four_states_in_words_and_json() -> None:
    wedge = SpigotScale(arc_deg=120.0, height_um=110.0, to_face_mm=4.0)
    forced = spigot_state(Case(spigot_scale=(wedge,)), "fast")
    jammed = spigot_state(Case(spigot_scale=(wedge,), studs=Studs(torque_nm=2.0)), "fast")
    held = spigot_state(scaled(height_um=130.0, to_face_mm=1.0), "fast")
    assert (forced.home, jammed.home, held.home) == ("home", "jammed", "held off")
    assert forced.wedged
    assert jammed.stand_off_um[1] > 1000.0
    assert 0.0 < held.stand_off_um[0] < held.stand_off_um[1] == pytest.approx(100.0)
    for state in (forced, jammed, held):
        assert any("take the rotor off" in note for note in state.notes)
        assert json.loads(json.dumps(spigot_json(state)))["home"] == state.home
        assert max(state.checks.values()) < 1e-9
    assert any("damage" in note for note in jammed.notes)
    assert jammed.lean_um > 0.0


@pytest.mark.parametrize("friction", [-0.15, 0.4])
def test_friction_that_is_locked_in_is_what_the_push_of_its_own_cells_gives(friction) -> None:
    """Up on one side of the bore, down on the other; the push that holds it is the one that it makes."""
    case = scaled()
    pair, pulled = prepare(case, "fast"), pulls(case.studs)
    bare = draw_home(pair, case, pulled)
    share = friction * np.sign(np.cos(bare.cells.angle_rad - np.deg2rad(case.spigot_scale[0].angle_deg)))
    found = draw_home(pair, case, pulled, share)
    axial = np.split(found.bore[0][0].real, 2)[1].sum() * 2 * np.pi  # mean order of the axial ports
    assert axial == pytest.approx(share @ found.force_n, rel=1e-8)
    assert abs(axial) > 20.0
    assert bare.locked == 0.0 < found.locked <= drawn_home.LOCKED


def test_friction_that_never_settles_is_refused(monkeypatch) -> None:
    case = scaled()
    monkeypatch.setattr(drawn_home, "MOST_PASSES", 2)
    pair, pulled = prepare(case, "fast"), pulls(case.studs)
    share = np.full(drawn_home.home_cells(case).size, 0.4)
    with pytest.raises(Refused, match="do not settle"):
        draw_home(pair, case, pulled, share)


def test_nothing_is_locked_in_on_the_chamfer() -> None:
    """A ring of scale in the root: the bore's chamfer alone carries, and friction has nothing to cock the rotor by."""
    held = spigot_state(scaled(height_um=130.0, to_face_mm=1.0, arc_deg=360.0), "fast")
    assert held.home == "held off"
    assert held.seated.force_n[~held.seated.cells.chamfer].sum() == 0.0
    assert held.lateral_range_um == (held.lateral_runout_um["outboard"],) * 2
    assert held.checks["locked_friction"] == 0.0
    wedge = spigot_state(scaled(), "fast")
    assert 0.0 < wedge.checks["locked_friction"] <= drawn_home.LOCKED
    assert wedge.lateral_range_um[0] < wedge.lateral_runout_um["outboard"] < wedge.lateral_range_um[1]


def test_the_bowed_rotor_carries_the_bore_outward() -> None:
    case = scaled(arc_deg=360.0, height_um=80.0)
    state = spigot_state(case, "fast")
    field = spigot_deformation(case, state, preset="fast")
    assert field is not None
    bore = field.at(np.array([[32.5, 0.0, 3.0], [0.0, 32.5, 3.0], [-32.5, 0.0, 3.0]]))
    outward = [bore[0, 0], bore[1, 1], -bore[2, 0]]
    # The spigot is squeezed for the rest of the 50 um.
    hub = spigot_deformation(case, state, "hub", preset="fast")
    assert hub is not None
    inward = hub.at(np.array([[32.47, 0.0, 3.0]]))[0, 0]
    assert outward[0] - inward == pytest.approx(0.050, abs=0.003)
    assert max(outward) - min(outward) < 1e-3


def test_the_shipped_states_are_what_they_claim() -> None:
    cases = {
        name: case_from_text(demo_geometry.text(f"spigot_{name}"), name)
        for name in ("clean", "off_centre", "jammed", "forced")
    }
    states = {name: spigot_state(case, "fast", with_one_nut=name == "forced") for name, case in cases.items()}
    assert states["clean"].radial_runout_um == pytest.approx((0.0, 60.0), abs=0.1)
    assert states["off_centre"].radial_runout_um == pytest.approx((23.1, 60.0), abs=0.1)
    assert states["clean"].lateral_runout_um["outboard"] == states["off_centre"].lateral_runout_um["outboard"]
    jammed, forced = states["jammed"], states["forced"]
    assert jammed.home == "jammed"
    assert jammed.stand_off_um[1] > 3500.0
    assert jammed.lateral_runout_um["outboard"] > 1000.0
    assert 2.0 < jammed.torque_to_force_home_nm[0] < 5.0
    nearest = float(np.argmin(jammed.outboard_um)) * 360.0 / jammed.outboard_um.size  # the hub's frame: index 0
    assert abs((nearest - jammed.low_side_deg + 180.0) % 360.0 - 180.0) < 5.0
    assert forced.home == "home"
    assert forced.hoop_stress_mpa == pytest.approx(138.0, rel=0.03)
    assert any("one nut run up first" in note for note in forced.notes)
    assert forced.crack_warning is not None


# ---------------------------------------------------------------- close to touch, narrow scale, bores that bind


@pytest.mark.parametrize("below_mm", [0.0005, 0.005, 0.0199, 0.03])
def test_a_place_just_below_first_touch_is_solved(below_mm):
    case = Case(spigot_scale=(SpigotScale(),))
    pair = prepare(case, "fast")
    path = jammed.push_on(pair, case, 0.15)
    place = jammed.push_to(pair, case, 0.15, path, jammed.first_touch_mm(case) - below_mm)
    assert np.isfinite(place.needed_n)
    assert place.solved.balance < 1e-9


@pytest.mark.parametrize(("height_um", "by_hand"), [(64.0, True), (71.0, False)])
def test_only_what_the_lightest_hand_does_takes_no_torque(height_um, by_hand):
    """Each nut takes its part of the push, T = K d F (Shigley); a push between the ends of a hand takes the nuts."""
    case = scaled(arc_deg=20.0, height_um=height_um, to_face_mm=4.0)
    found = pushes(prepare(case, "fast"), case, thorough=True)
    light, heavy = (found.most_n(friction) for friction in FRICTION)
    assert light < HAND_N[0] if by_hand else 1.2 * HAND_N[0] < light < 0.8 * HAND_N[1]
    low, high = found.torque_home_nm()
    assert high == pytest.approx(0.2 * 0.014 * heavy / 5)
    assert low == pytest.approx(0.0 if by_hand else 0.2 * 0.014 * light / 5)


def test_scale_that_hardly_wedges_is_no_crash():
    """A strip so narrow that its middle has no column that touches at first."""
    case = Case(spigot_scale=(SpigotScale(arc_deg=5.0, height_um=60.0, to_face_mm=8.0),))
    found = spigot_state(case, "fast")
    assert found.home == "home"
    assert found.push_to_force_home_n < 1.0


def test_a_nut_whose_bore_binds_has_no_torque_that_draws_it_down():
    case = Case(spigot_scale=(SpigotScale(arc_deg=360.0, height_um=90.0, from_face_mm=0.0, to_face_mm=10.0),))
    prepare(case, "fast")  # where nothing is stored yet, what bends is worked out first: terms that fade underflow
    with np.errstate(all="raise"):
        found = spigot_state(case, "fast", with_one_nut=True)
    alone = [nut for nut in found.one_nut if not np.isinf(nut.torque_nm)]
    assert all(nut.torque_nm > 10.0 for nut in alone)  # axisymmetric: none of them comes down by two newton metres
    assert json.dumps(spigot_json(found), allow_nan=False)


def test_a_fit_that_is_no_clearance_fit_is_refused_by_the_state_itself():
    with pytest.raises(BadInput, match="no clearance fit"):
        spigot_state(Case(hub=Hub(spigot_fit="H7/p6"), spigot_scale=(SpigotScale(),)), "fast")
