"""Wheel bolts instead of nuts on studs: where they pull, how deep they are screwed in, and what is refused."""

from dataclasses import replace

import numpy as np
import pytest

from sim.corner.beside import grip_length_mm
from sim.corner.clampings import clampings
from sim.corner.road_state import as_driven
from sim.errors import BadInput
from sim.parts.case import Case, Debris, Hub, Rotor, Studs, Wheel
from sim.parts.contradictions import check_case, contradictions, key_text
from sim.parts.fastener import (
    bolt_warnings,
    bolts_on_the_road,
    engagement_mm,
    reach_mm,
    spacer_mm,
    stands_out_mm,
)
from sim.parts.remarks import notes
from sim.seating.prepared import bolt_load, pair_key, prepare
from sim.seating.seat import seat
from sim.seating.studs import annulus_load
from sim.seating.thread_pull import depth_shares, flank_load

BOLTS = Studs(fastener="wheel bolt")
CASE = Case(studs=BOLTS, wheel=Wheel(pad_thickness_mm=20.0))


def of(case, **changes):
    return replace(case, studs=replace(case.studs, **changes))


def blamed(case):
    return [key_text(one.keys[0]) for one in contradictions(case)]


def grid(columns, rows):
    """Nodes of eight-node elements: corners and middles of sides, no middles."""
    r, z = np.meshgrid(np.arange(columns.size), np.arange(rows.size), indexing="ij")
    there = (r % 2 == 0) | (z % 2 == 0)
    return columns[r[there]], rows[z[there]]


def test_a_bolt_engages_twelve_tenths_of_its_thread_or_what_the_flange_leaves():
    assert engagement_mm(CASE) == 12.0
    assert engagement_mm(replace(CASE, hub=Hub(flange_thickness_mm=20.0))) == pytest.approx(16.8)
    assert engagement_mm(of(CASE, thread_engagement_mm=9.0)) == 9.0


def test_without_the_wheel_the_same_bolt_reaches_as_much_deeper_as_the_spacer_is_thinner_than_the_wheel():
    read = of(CASE, thread_engagement_mm=9.0)
    assert spacer_mm(read) == 20.0  # as thick as the wheel's pad
    assert reach_mm(read) == 9.0
    assert stands_out_mm(of(read, spacer_mm=5.0)) == 12.0
    assert engagement_mm(of(read, spacer_mm=5.0)) == 12.0  # no more than the flange holds
    assert engagement_mm(of(read, spacer_mm=24.0)) == 5.0
    assert engagement_mm(as_driven(of(read, spacer_mm=24.0))) == 9.0
    assert reach_mm(of(read, clamped_by="bare nuts")) == 29.0


def test_a_bolt_that_is_too_long_without_the_wheel_is_told_and_so_is_one_with_few_threads():
    assert bolt_warnings(CASE) == ()
    (said,) = bolt_warnings(of(CASE, clamped_by="bare nuts"))
    assert "20 mm out behind" in said
    assert "shorter bolts" in said
    assert said in notes(of(CASE, clamped_by="bare nuts"))
    (few,) = bolt_warnings(of(CASE, spacer_mm=26.0))
    assert "6.0 mm" in few
    assert bolt_warnings(Case()) == ()


@pytest.mark.parametrize(
    ("studs", "key"),
    [
        ({"thread_engagement_mm": 12.5}, "studs.thread_engagement_mm"),
        ({"spacer_mm": 29.5}, "studs.spacer_mm"),
        ({"fastener": "nut on stud", "thread_engagement_mm": 10.0}, "studs.thread_engagement_mm"),
        ({"fastener": "nut on stud", "spacer_mm": 20.0}, "studs.spacer_mm"),
    ],
)
def test_what_cannot_be_is_refused_with_the_key_to_blame(studs, key):
    case = of(CASE, **studs)
    assert blamed(case) == [key]
    with pytest.raises(BadInput, match=key):
        check_case(case)


def test_spacers_ask_for_the_thickness_of_the_wheel_that_they_stand_for():
    assert blamed(of(replace(CASE, wheel=Wheel()), spacer_mm=18.0)) == ["studs.spacer_mm"]
    assert blamed(replace(CASE, wheel=Wheel())) == []


def test_an_engagement_as_deep_as_the_flange_is_taken():
    assert blamed(of(CASE, thread_engagement_mm=12.0)) == []
    assert blamed(of(CASE, spacer_mm=29.0)) == []


@pytest.mark.parametrize(
    "studs", [{"thread_engagement_mm": -3.0}, {"thread_engagement_mm": 0.0}, {"fastener": "bolts"}, {"spacer_mm": -1}]
)
def test_values_out_of_range_are_refused(studs):
    with pytest.raises(BadInput):
        Studs(**({"fastener": "wheel bolt"} | studs))


def test_depth_shares_add_up_have_their_centroid_and_end_with_the_thread():
    z = np.linspace(-12.0, 0.0, 13)
    decay, deep = 14 / 3, 10.0
    shares = depth_shares(z, deep, decay)
    assert shares.sum() == pytest.approx(1.0, abs=1e-9)
    # Closed form: centroid of exp(-s / l) over 0 .. L.
    closed = decay - deep * np.exp(-deep / decay) / (1 - np.exp(-deep / decay))
    assert shares @ z == pytest.approx(-closed, abs=1e-6)
    assert abs(shares[:2]).max() < 0.02


def test_flank_loads_have_their_force_and_moment_and_no_node_in_the_middle():
    r, z = grid(np.linspace(48.0, 64.0, 17), np.linspace(-12.0, 0.0, 9))
    depth = depth_shares(np.unique(z), 12.0, 14 / 3)
    load = flank_load(r, z, 56.0, (6.2, 7.0), depth, 40)
    assert 2 * np.pi * load[0].sum() == pytest.approx(1.0, abs=1e-6)
    assert np.pi * load[1] @ r == pytest.approx(56.0, rel=1e-6)
    assert 2 * np.pi * load[0] @ z == pytest.approx(depth @ np.unique(z), abs=1e-6)


def test_a_pull_on_the_lowest_row_alone_is_the_pull_of_a_studs_head():
    # The limit that is exact: the same annulus, all of it on the rear of the flange.
    columns, rows = np.linspace(44.0, 68.0, 25), np.linspace(-12.0, 0.0, 9)
    r, z = grid(columns, rows)
    rear = np.zeros(rows.size)
    rear[0] = 1.0
    load = flank_load(r, z, 56.0, (7.0, 10.5), rear, 30)
    head = annulus_load(columns, 56.0, 7.0, 10.5, 30)
    np.testing.assert_allclose(load[:, z == -12.0], head, atol=1e-15)
    assert abs(load[:, z > -12.0]).max() == 0.0


def test_the_hubs_pull_enters_round_the_thread_between_face_and_end():
    pair = prepare(CASE, "fast")
    ports = pair.hub.flexibility.ports
    assert ports.z_mm[ports.top].max() == 0.0
    assert ports.z_mm[ports.top].min() == pytest.approx(-12.0)
    assert ports.r_mm[ports.top].min() <= 49.0
    assert ports.r_mm[ports.top].max() >= 63.0
    np.testing.assert_array_equal(pair.hub.stud_load, bolt_load(ports, CASE, 60))


def test_bolts_pull_the_hub_up_round_their_holes_where_studs_press_from_behind():
    # Face displacement of order 0 under one unit pull, at the pitch circle against the face's outer edge.
    def mound(case):
        hub = prepare(case, "fast").hub
        at = np.argmin(abs(hub.face_r_mm - 56.0))
        return hub.studs[0][at] - hub.studs[0][-1]

    assert mound(CASE) > mound(Case())


def test_even_bolts_on_a_clean_face_read_nothing_and_a_loose_one_more_than_a_loose_nut():
    assert seat(CASE, "fast").gauge_runout_um < 0.5
    uneven = {"torque_nm": (28.0, 140.0, 140.0, 140.0, 140.0)}
    nuts, bolts = (seat(of(case, **uneven), "fast").gauge_runout_um for case in (Case(), CASE))
    assert bolts > 1.2 * nuts


def test_dirt_one_pitch_on_turns_the_trace_one_pitch_on():
    def trace(angle):
        return seat(replace(CASE, debris=(Debris(angle_deg=angle),)), "fast").outboard_um

    np.testing.assert_allclose(np.roll(trace(36.0), 72), trace(108.0), atol=1e-6)


def test_what_is_kept_on_disk_knows_the_fastener_and_its_thread():
    keys = {
        pair_key(case, "fast").studs
        for case in (Case(), CASE, of(CASE, thread_engagement_mm=8.0), of(CASE, spacer_mm=23.0))
    }
    assert len(keys) == 4
    assert pair_key(of(CASE, spacer_mm=20.0), "fast") == pair_key(CASE, "fast")
    assert pair_key(Case(), "fast").studs.thread_engagement_mm is None


def test_as_read_and_as_driven_share_their_hub_where_the_spacer_is_as_thick_as_the_wheel():
    assert pair_key(CASE, "fast").studs == pair_key(as_driven(CASE), "fast").studs
    assert (
        pair_key(of(CASE, spacer_mm=23.0), "fast").studs != pair_key(as_driven(of(CASE, spacer_mm=23.0)), "fast").studs
    )


def test_the_grip_of_a_bolt_ends_in_the_hub_and_that_of_a_stud_behind_it():
    assert grip_length_mm(Case()) == 7.0 + 12.0
    assert grip_length_mm(as_driven(Case(wheel=CASE.wheel))) == 7.0 + 12.0 + 20.0
    assert grip_length_mm(CASE) == pytest.approx(7.0 + 20.0 + 14.0 * 5 / 6)
    assert grip_length_mm(as_driven(CASE)) == grip_length_mm(CASE)
    assert grip_length_mm(of(CASE, clamped_by="bare nuts")) == pytest.approx(7.0 + 14.0 * 5 / 6)


def test_every_clamping_of_a_workshop_can_be_seated_with_bolts():
    thin = replace(CASE, wheel=Wheel(pad_thickness_mm=10.0), rotor=Rotor(hole_diameter_mm=15.5))
    assert len(clampings(thin)) > 4
    for clamped in clampings(thin).values():
        assert seat(clamped, "fast").checks.force_residual < 1e-9


@pytest.mark.parametrize(("engaged_mm", "few"), [(7.0, True), (11.0, True), (11.5, False)])
def test_a_wheel_that_is_driven_on_half_a_diameter_of_thread_is_told(engaged_mm, few):
    """M14: common practice, no source, are 1 to 1.5 diameters; the flange of 12 mm gives 0.86."""
    assert bool(bolts_on_the_road(of(CASE, thread_engagement_mm=engaged_mm))) is few
    assert not bolt_warnings(of(CASE, thread_engagement_mm=engaged_mm))  # for reading it holds
