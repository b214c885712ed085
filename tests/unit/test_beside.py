"""What stands beside a seating: as driven, the range of unsettled dirt, the clamp lost when dirt crushes."""

from dataclasses import replace

import numpy as np
import pytest

from sim.corner import beside as beside_module
from sim.corner.beside import beside, grip_um, preload_lost_n, runout_range_um
from sim.errors import Refused
from sim.parts.case import Case, Debris, Studs
from sim.parts.dirt import DIRT, settled, unsettled
from sim.seating.seat import seat

CASE = Case(studs=Studs(preload_n=32_000.0, torque_nm=None, road_torque_nm=89.6))


def dirty(**keys) -> Case:
    return replace(CASE, debris=(Debris(angle_deg=36.0, **keys),))


def test_hard_dirt_has_no_range_and_costs_no_clamp():
    seated = seat(dirty(), "fast")
    found = beside(seated)
    assert found.runout_range_um is None
    assert found.preload_lost_n == ()
    assert 0 < found.as_driven_um < seated.gauge_runout_um


def test_the_range_holds_the_usual_strength_and_closes_when_the_user_knows_it():
    case = dirty(kind="loose scale")
    low, high = runout_range_um(case, "fast")
    assert low < seat(case, "fast").gauge_runout_um < high
    known = dirty(kind="loose scale", crush_mpa=30.0)
    assert runout_range_um(known, "fast") is None
    assert not unsettled(known.debris[0])


def test_the_usual_strength_counts_where_it_reads_beyond_both_ends():
    """Loose scale against lower compact scale opposite: soft, both crush; hard, neither does; between, only one."""
    lone = Debris(angle_deg=36.0, kind="loose scale", height_um=100.0)
    against = Debris(angle_deg=216.0, kind="compact scale", height_um=50.0)
    case = replace(CASE, debris=(lone, against))
    low, high = runout_range_um(case, "fast")
    assert high == seat(case, "fast").gauge_runout_um
    ends = [seat(replace(case, debris=tuple(settled(one, which) for one in case.debris)), "fast") for which in (0, 2)]
    assert low == min(end.gauge_runout_um for end in ends)
    assert high > max(end.gauge_runout_um for end in ends) + 2.0


@pytest.mark.parametrize("kind", DIRT)
def test_every_kind_of_dirt_is_in_order_and_has_a_source(kind):
    dirt = DIRT[kind]
    assert dirt.crush_mpa[0] < dirt.crush_mpa[1] < dirt.crush_mpa[2]
    assert 0 < dirt.residual_share < 1
    assert "memory" in dirt.source or "judgement" in dirt.source
    given = settled(Debris(kind=kind, crush_mpa=77.0))
    assert given.crush_mpa == 77.0
    assert given.modulus_mpa == dirt.modulus_mpa


def test_only_studs_near_the_dirt_lose_clamp_and_never_more_than_they_have():
    seated = seat(dirty(kind="compact scale"), "fast")
    lost = np.array(preload_lost_n(seated))
    assert lost.shape == (5,)
    assert lost[:2].min() > 10 * lost[3]
    assert np.all((lost >= 0) & (lost < 30_000.0))
    assert lost[0] == pytest.approx(lost[1], rel=1e-6)


def test_the_grip_shortens_in_step_with_the_clamp_on_a_flat_face():
    short = [grip_um(seat(replace(CASE, studs=replace(CASE.studs, preload_n=f)), "fast")) for f in (20e3, 40e3)]
    assert np.all(short[0] < 0)
    assert np.ptp(short[0]) < 1e-6
    assert short[1] == pytest.approx(2 * short[0], rel=0.1)


def ring_mean_um(body, z_mm, radii_mm, angle_rad):
    """Axial displacement of a body's side, mean over a ring about one stud. [um]."""
    edge = np.sqrt(np.linspace(radii_mm[0] ** 2, radii_mm[1] ** 2, 21))
    reach, turn = np.meshgrid((edge[1:] + edge[:-1]) / 2, np.linspace(0.0, 2 * np.pi, 48, endpoint=False))
    x = 56.0 * np.cos(angle_rad) + reach * np.cos(turn)
    y = 56.0 * np.sin(angle_rad) + reach * np.sin(turn)
    points = np.column_stack([x.ravel(), y.ravel(), np.full(x.size, z_mm)])
    return 1000.0 * body.at(points)[:, 2].mean()


def test_the_grip_is_that_of_the_deformed_bodies():
    """Second opinion: both bodies' displacement, recovered in full, averaged under nut and head by plain sampling."""
    case = replace(dirty(kind="compact scale"), debris=(Debris(angle_deg=20.0, kind="compact scale"),))
    seated = seat(case)
    rotor, hub = seated.rotor_deformation(), seated.hub_deformation()
    angles = 2 * np.pi * np.arange(5) / 5
    head = 7.0, 10.5  # half and three quarters of the thread's 14 mm
    nut = case.studs.seat_inner_diameter_mm / 2, case.studs.seat_outer_diameter_mm / 2
    seen = [
        ring_mean_um(rotor, case.rotor.flange_thickness_mm, nut, a)
        - ring_mean_um(hub, -case.hub.flange_thickness_mm, head, a)
        for a in angles
    ]
    ours = grip_um(seated)
    # What is the same under every stud cancels in a loss; what differs must agree.
    assert ours - ours.mean() == pytest.approx(np.array(seen) - np.mean(seen), abs=0.05)
    assert np.ptp(ours) > 2.0


@pytest.mark.parametrize(("clamped_by", "grip_mm"), [("nuts and spacers", 7.0 + 12.0), ("wheel", 7.0 + 12.0 + 20.0)])
def test_a_stud_loses_its_stiffness_times_the_change_of_its_grip(clamped_by, grip_mm):
    """By hand: compact scale of 100 µm goes down to half; M14x1.5 has 125 mm² (ISO 898-1), steel 205 000 MPa."""
    speck = Debris(angle_deg=20.0, kind="compact scale")
    case = replace(CASE, debris=(speck,), studs=replace(CASE.studs, clamped_by=clamped_by))
    seated = seat(case, "fast")
    floor = seat(replace(case, debris=(replace(speck, kind="hard", height_um=50.0),)), "fast")
    change_mm = (grip_um(seated) - grip_um(floor)) / 1000
    lost = np.array(preload_lost_n(seated))
    assert lost.max() > 500.0
    assert lost == pytest.approx(np.clip(205_000 * 125 / grip_mm * change_mm, 0, 30_000), rel=0.01, abs=0.1)


def test_the_locating_screw_holds_nothing_on_the_road():
    screw = replace(dirty(kind="compact scale"), studs=replace(CASE.studs, clamped_by="screw only"))
    assert preload_lost_n(seat(screw, "fast")) == ()


def test_what_is_refused_under_another_clamping_is_said_and_the_seating_stands(monkeypatch):
    seated = seat(dirty(kind="paint"), "fast")

    def refuse(*_, **__):
        raise Refused("the forces cannot seat the rotor")

    monkeypatch.setattr(beside_module, "seat", refuse)
    found = beside(seated)
    assert found.as_driven_um is None
    assert found.as_driven_refused == "the forces cannot seat the rotor"
    assert found.runout_range_um is None
    assert found.preload_lost_n == ()
