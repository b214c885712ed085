"""The findings: each sentence is made from its figures, and each figure says what the finding claims."""

from functools import partial

import pytest

from sim.files.case_file import case_from_text
from sim.parts.case import Case
from sim.studies import findings
from sim.studies.findings import (
    FINDINGS,
    bare,
    by_angle,
    by_clamp,
    by_crushing,
    by_high_spot,
    by_hub,
    by_index,
    by_loose_stud,
    by_radius,
    by_second,
)

CASE = Case()


@pytest.fixture(scope="module", autouse=True)
def _quick():
    """Trends and factors are claimed, which finer cells do not change."""
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(findings, "seat", partial(findings.seat, preset="fast"))
        patched.setattr(findings, "FLANGES_MM", (8.0, 12.0, 25.0))
        yield


def values(found, name):
    return next(curve.values for curve in found.curves if curve.name.startswith(name))


def test_the_lever_is_wrong_in_size_and_in_trend():
    found = by_radius(CASE)
    lever, elastic = values(found, "stiff"), values(found, "elastic, at")
    assert list(lever) == sorted(lever)
    assert elastic[0] > 5 * elastic[-1]
    assert 1.3 < lever[0] / elastic[0] < 2.5
    assert f"{lever[0]:.0f}" in found.says


def test_more_clamp_less_runout_stiffer_hub_more_second_order():
    clamp = by_clamp(CASE)
    assert list(values(clamp, "speck at")) == sorted(values(clamp, "speck at"), reverse=True)
    hub = values(by_hub(CASE), "speck at")
    assert list(hub) == sorted(hub)
    second = by_second(CASE)
    assert second.answer_unit == "%"
    share = values(second, "speck at")
    assert list(share) == sorted(share)
    assert 20 <= share[-1] <= 80  # 0.2 .. 0.8 of the first on a stiff hub


def test_a_stud_holds_the_flange_down_and_the_lever_does_not_know():
    found = by_angle(CASE)
    elastic, lever = values(found, "elastic"), values(found, "stiff")
    assert elastic[0] > 1.3 * elastic[4]
    assert elastic == pytest.approx(elastic[::-1], rel=1e-6)  # mirror image about the middle between the studs
    assert lever == pytest.approx([lever[0]] * 9, rel=0.05)


def test_crushing_is_a_switch_that_moves_with_the_clamp_force():
    found = by_crushing(CASE)
    low, full = values(found, "15"), values(found, "50")
    assert low[0] < 0.02 * low[-1]
    assert low[3] > 0.7 * low[-1]
    assert full[3] < 0.02 * full[-1]


def test_a_loose_stud_counts_on_an_elastic_hub():
    found = by_loose_stud(CASE)
    assert values(found, "elastic")[0] > 2 * values(found, "rigid")[0]
    assert values(found, "elastic")[-1] < 0.5


def test_moving_round_cancels_the_first_order_only():
    found = by_index(CASE)
    first, second = values(found, "first"), values(found, "second")
    assert min(first) < 0.4 * max(first)
    assert second == pytest.approx([second[0]] * 5, rel=1e-6)


def test_the_high_spot_points_at_the_speck_where_hub_and_rotor_are_true():
    found = by_high_spot(CASE)
    bad, true, taken_off = (curve.values for curve in found.curves)
    within_30 = found.over.index(30.0)
    assert true[within_30] > 95.0
    assert 100 * 60 / 360 < bad[within_30] < 75.0  # better than chance, no proof
    assert taken_off[within_30] > bad[within_30] + 25.0
    assert list(bad) == sorted(bad)
    assert {one[-1] for one in (bad, true, taken_off)} == {100.0}


def test_sweeps_start_from_bare_parts():
    dirty = case_from_text(
        'base = "rear_solid_300"\n[hub]\nmaterial = "rigid"\n[studs]\ntorque_nm = [0, 90, 90, 140, 140]\n'
        'studs_turned = 2\nclamped_by = "screw only"\n[[debris]]\n'
    )
    clean = bare(dirty)
    assert clean.debris == ()
    assert clean.rotor.own_runout_um == 0.0
    assert clean.hub.material != "rigid"  # else no sweep would show what the hub does
    assert (clean.studs.torque_nm, clean.studs.clamped_by, clean.studs.studs_turned) == (140.0, "nuts and spacers", 0)
    assert len(FINDINGS) == 9
