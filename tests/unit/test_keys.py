"""The one table of keys: its defaults are the parts', its bounds bite, and it knows what people mean."""

import dataclasses
import math

import pytest

from sim.files.case_file import PARTS
from sim.files.nearest_word import unknown_key, unknown_table
from sim.parts import keys
from sim.parts.case import Case
from sim.parts.checked import _settled
from sim.parts.keys import BY_TABLE, KEYS, NOT_BUILT, TABLES
from sim.units import shown, slip_text, stem_of, unit_of


@pytest.mark.parametrize("table", PARTS)
def test_defaults_and_names_are_those_of_the_parts(table):
    fields = {field.name: field.default for field in dataclasses.fields(PARTS[table])}
    assert fields == {name: key.default for name, key in BY_TABLE[table].items()}


def test_every_field_of_a_case_has_its_table():
    measured = {"hub_topography", "rotor_topography"}  # read from the files that face_map names
    assert {field.name for field in dataclasses.fields(Case)} == {"title", "axle", *PARTS, *measured, "given"}
    assert set(TABLES) - {""} == set(PARTS)


def test_names_are_lower_case_and_unique_within_their_table():
    assert len({key.path for key in KEYS}) == len(KEYS)
    assert all(key.name == key.name.lower() for key in KEYS)


def test_every_key_has_a_meaning_and_a_source():
    assert all(key.meaning.strip() and key.source.strip() for key in KEYS)


def test_every_default_is_within_its_own_range():
    assert [key.path for key in KEYS if key.wrong(key.default)] == []


def test_every_range_is_a_range_and_every_word_has_choices():
    for key in KEYS:
        if key.kind == "text":
            assert key.name in ("title", "face_map", "spigot_fit") or len(key.choices) >= 1
        else:
            assert key.lowest < key.highest, key.path


def test_what_is_not_built_exists_in_the_table():
    for name in NOT_BUILT:
        path, _, choice = name.partition(" = ")
        if path in TABLES:
            continue
        table, key = path.split(".")
        assert key in BY_TABLE[table]
        assert not choice or choice.strip('"') in BY_TABLE[table][key].choices


def test_taking_a_name_out_of_the_set_is_the_whole_edit(monkeypatch):
    crush, clamp = BY_TABLE["debris"]["crush_mpa"], BY_TABLE["studs"]["clamped_by"]
    monkeypatch.setattr(
        keys, "NOT_BUILT", frozenset({"debris.crush_mpa", 'studs.clamped_by = "wheel"', "spigot_scale"})
    )
    assert not crush.built
    assert not keys.table_built("spigot_scale")
    assert "not computed yet" in clamp.wrong("wheel")
    monkeypatch.setattr(keys, "NOT_BUILT", frozenset())
    assert crush.built
    assert clamp.wrong("wheel") == ""
    assert keys.table_built("spigot_scale")


@pytest.mark.parametrize(
    ("table", "name", "value", "said"),
    [
        ("rotor", "outer_diameter_mm", 0.3, "metres"),
        ("rotor", "thickness_mm", 12_000.0, "micrometres"),
        ("rotor", "youngs_modulus_mpa", 110.0, "GPa"),
        ("studs", "torque_nm", 140_000.0, "N mm"),
        ("studs", "preload_n", 50.0, "kilonewtons"),
        ("studs", "nut_factor", 20.0, "per cent"),
        ("limits", "mounted_runout_um", 0.05, "millimetres"),
        ("drive", "pressure_mpa", 8.0, "bar"),
        ("pads", "disc_wear_mm3_per_nm", 1e-8, "mm³/(N mm)"),
        ("pads", "disc_wear_mm3_per_nm", 1e-14, "m²/N"),
        ("caliper", "piston_area_mm2", 20.3, "square centimetres"),
        ("caliper", "clamp_stiffness_kn_mm", 20_000.0, "N/mm"),
    ],
)
def test_the_usual_slip_is_named(table, name, value, said):
    key = BY_TABLE[table][name]
    assert f"was it given in {said}?" in key.wrong(value)
    assert said in key.slip


def test_no_slip_is_named_where_no_other_unit_would_help():
    assert "was it given" not in BY_TABLE["rotor"]["outer_diameter_mm"].wrong(700.0)


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf, 10**400, True, "12", [12.0], 3j])
def test_what_is_no_number_is_refused(value):
    assert BY_TABLE["rotor"]["thickness_mm"].wrong(value)


def test_bounds_belong_to_the_range_unless_they_are_open():
    thickness, arc, hole = (
        BY_TABLE[t][n] for t, n in [("rotor", "thickness_mm"), ("debris", "arc_deg"), ("rotor", "hole_diameter_mm")]
    )
    assert thickness.wrong(thickness.lowest) == "" == thickness.wrong(thickness.highest)
    assert thickness.wrong(math.nextafter(thickness.lowest, 0)) != ""
    assert arc.wrong(0.0) != ""
    assert arc.wrong(360.0) == ""
    assert hole.wrong(0.0) == ""
    assert hole.wrong(1.0) != ""


@pytest.mark.parametrize("value", [5.0, True, "5", 2, 9])
def test_a_count_is_a_whole_number_in_range(value):
    assert BY_TABLE["studs"]["count"].wrong(value)


@pytest.mark.parametrize(
    ("name", "unit", "stem"),
    [
        ("layer_stiffness_n_mm3", "N/mm³", "layer_stiffness"),
        ("clamp_stiffness_kn_mm", "kN/mm", "clamp_stiffness"),
        ("holder_stiffness_n_mm", "N/mm", "holder_stiffness"),
        ("wear_mm3_per_nm", "mm³/(N m)", "wear"),
        ("torque_nm", "N m", "torque"),
        ("preload_n", "N", "preload"),
        ("revolutions_per_km", "1/km", "revolutions"),
        ("height_um", "µm", "height"),
        ("count", "", "count"),
        ("bore_m", "", "bore"),
        ("height_thou", "", "height"),
    ],
)
def test_unit_and_stem_are_read_from_the_name(name, unit, stem):
    assert (unit_of(name), stem_of(name)) == (unit, stem)


def test_a_slip_is_only_a_slip_when_it_lands_in_range():
    assert slip_text(0.3, "mm", 150.0, 500.0) == "was it given in metres?"
    assert slip_text(0.0, "mm", -1.0, 500.0) == ""


@pytest.mark.parametrize(
    ("table", "name", "meant"),
    [
        ("rotor", "hieght_mm", "overall_height_mm"),
        ("rotor", "bore_m", "bore_diameter_mm (in mm)"),
        ("rotor", "thickness_um", "thickness_mm (in mm)"),
        ("rotor", "outer_diamter_mm", "outer_diameter_mm"),
        ("rotor", "Bore_Diameter_MM", "bore_diameter_mm"),
        ("debris", "height_mm", "height_um (in µm)"),
        ("studs", "preload_kn", "preload_n (in N)"),
        ("rotor", "torque_nm", "[studs]"),
        ("", "thickness_mm", "[rotor] or [pads]"),
        ("", "titel", "title"),
    ],
)
def test_the_nearest_known_key_is_named(table, name, meant):
    assert unknown_key(table, name).endswith(meant)


def test_nothing_is_suggested_for_nonsense():
    assert unknown_key("rotor", "xyzzy") == "unknown key"
    assert unknown_table("stud").endswith("[studs]")
    assert unknown_table("q") == "unknown table"


def test_any_value_can_be_shown_on_one_safe_line():
    for value in ("\x1b[31m" * 50, 16**6000, "a\u202eb", [1] * 1000, float("nan")):
        text = shown(value)
        assert len(text) <= 40
        assert text.isprintable()


def test_the_quick_look_never_takes_what_the_long_one_refuses():
    """Whatever `settled` lets through, `wrong` lets through too, and it is kept as it is."""
    odd = (True, "", "nothing", float("nan"), float("inf"), -1e9, 1e9, 0.0, 0, 3, None, (), (1.0, float("nan")), [1.0])
    taken = 0
    for key in KEYS:
        values = [*odd, key.default, *key.choices, key.lowest, key.highest, (key.lowest, key.highest)]
        values += [(key.lowest + key.highest) / 2, ((key.lowest + key.highest) / 2,) * 5, key.highest * 1.001]
        for value in values:
            if key.settled(value):
                taken += 1
                assert not key.wrong(value), (key.path, value)
                kept = _settled(key, value)
                assert kept == value
                assert type(kept) is type(value), (key.path, value)
    assert taken > len(KEYS)
