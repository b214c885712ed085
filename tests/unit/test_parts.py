"""Parts check themselves, settle their values, and know a few figures that follow from them."""

import dataclasses

import pytest

from sim.errors import BadInput
from sim.parts import keys
from sim.parts.case import Case, Debris, Hub, Pads, Rotor, SpigotScale, Studs


def test_every_fault_of_a_part_is_said_at_once():
    with pytest.raises(BadInput) as caught:
        Rotor(style="drum", thickness_mm=0.012, vane_count=36.0)
    assert [fault.key for fault in caught.value.faults] == ["rotor.style", "rotor.thickness_mm", "rotor.vane_count"]
    assert "was it given in metres?" in str(caught.value)
    assert "allowed: 4 .. 60 mm" in str(caught.value)


@pytest.mark.parametrize(
    ("part", "values"),
    [
        (Hub, {"material": "cheese"}),
        (Hub, {"face_runout_um": -1.0}),
        (Studs, {"count": 9}),
        (Studs, {"thread": "M13x1"}),
        (Studs, {"torque_nm": [120.0, float("nan")]}),
        (Studs, {"clamped_by": "rope"}),
        (Debris, {"arc_deg": 0.0}),
        (Debris, {"on": "wheel"}),
        (Pads, {"kind": "magic"}),
        (Case, {"title": ""}),
        (Case, {"title": "x" * 121}),
        (Case, {"title": "\x1b[31mred"}),
        (Case, {"title": "two\nlines"}),
        (Case, {"title": "turned\u202eround"}),
    ],
)
def test_bad_values_are_refused(part, values):
    with pytest.raises(BadInput):
        part(**values)


def test_features_that_are_not_built_are_refused_by_name(monkeypatch):
    not_built = frozenset({"debris.crush_mpa", "debris.residual_share", "spigot_scale"})
    monkeypatch.setattr(keys, "NOT_BUILT", not_built)
    Debris()  # at its default a key that is not built harms nobody
    for make in (lambda: Debris(crush_mpa=120.0), lambda: Debris(residual_share=0.4)):
        with pytest.raises(BadInput, match="known but not computed yet"):
            make()
    with pytest.raises(BadInput, match="spigot_scale: known but not computed yet"):
        Case(spigot_scale=(SpigotScale(),))


def test_equal_parts_are_equal_keys_of_a_cache():
    assert Rotor(outer_diameter_mm=300) == Rotor()
    assert hash(Studs(torque_nm=[100, 110, 120, 130, 140])) == hash(
        Studs(torque_nm=(100.0, 110.0, 120.0, 130.0, 140.0))
    )
    assert isinstance(Rotor(thickness_mm=12).thickness_mm, float)
    assert Case(debris=[Debris()]).debris == (Debris(),)


def test_numpy_numbers_are_taken_and_become_plain():
    import numpy as np

    rotor = Rotor(thickness_mm=np.float32(12.0), style="solid")
    assert type(rotor.thickness_mm) is float
    assert type(Studs(studs_turned=np.int64(2)).studs_turned) is int


def test_a_given_preload_displaces_the_default_torque():
    assert Studs(preload_n=50_000.0).torque_nm is None
    assert Studs(preload_n=50_000.0, torque_nm=120.0).torque_nm == 120.0  # a contradiction, found by check_case


def test_parts_do_not_change():
    with pytest.raises(dataclasses.FrozenInstanceError):
        Rotor().thickness_mm = 11.0


def test_figures_of_the_reference_corner():
    case = Case()
    # Ring 38 to 26 mm behind the mounting face, contact zone r 34 .. 68 mm, dial at 140 mm: by hand from the drawing.
    assert (case.rotor.inboard_face_z_mm, case.rotor.outboard_face_z_mm) == (-38.0, -26.0)
    assert case.contact_zone_mm == (34.0, 68.0)
    assert case.gauge_radius_mm == 140.0
    assert case.rotor.own_runout_read_at_mm == 140.0
    assert case.rotor.hat_inner_radius_mm == 70.0
    assert case.studs.positions == (0, 1, 2, 3, 4)


def test_the_hat_limits_the_contact_zone_of_a_wide_hub():
    assert Case(rotor=Rotor(hat_wall_mm=12.0)).contact_zone_mm == (34.0, 64.0)


def test_dirt_on_the_rotor_turns_with_it():
    case = Case(studs=Studs(studs_turned=2))
    assert case.studs.turned_deg == 144.0
    assert case.hub_angle_deg(Debris(on="rotor", angle_deg=300.0)) == pytest.approx(84.0)
    assert case.hub_angle_deg(Debris(on="hub", angle_deg=300.0)) == 300.0
