"""What stands beside a seating: as driven, the range of unsettled dirt, the clamp lost when dirt crushes."""

from dataclasses import replace

import numpy as np
import pytest

from sim.beside import beside, grip_um, preload_lost_n, runout_range_um
from sim.dirt import DIRT, settled, unsettled
from sim.parts import Case, Debris, Studs
from sim.seating import seat

CASE = Case(studs=Studs(preload_n=30_000.0, torque_nm=None))


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
