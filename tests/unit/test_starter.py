"""The starter file loads as the default case, and a case is told back in words."""

import re
import tomllib

import pytest

import demo_geometry
from sim.errors import BadInput
from sim.files.case_file import case_from_text, load_case
from sim.files.starter import EXAMPLES, explain, keys_rows, starter_case, starter_on, toml_value
from sim.parts.case import Case, Debris, Studs
from sim.parts.keys import BY_TABLE, KEYS, TABLES, table_built


def test_the_starter_file_is_the_default_case():
    assert case_from_text(starter_case()) == Case()


def test_every_key_stands_in_the_starter_file_under_its_table():
    tables = {}
    table = ""
    for line in starter_case().splitlines():
        bare = line.removeprefix("# ")
        if bare.startswith("["):
            table = bare.split("]")[0].strip("[")
        elif " = " in bare.split("#")[0]:
            tables.setdefault(table, []).append(bare.split(" = ")[0])
    assert tables.pop("") == ["title", "axle", "base"]
    assert tables == {name: list(BY_TABLE[name]) for name in TABLES if name}


def test_every_example_of_a_key_without_default_is_allowed():
    assert set(EXAMPLES) == {key.path for key in KEYS if key.default is None}
    assert [key.path for key in KEYS if key.default is None and key.wrong(EXAMPLES[key.path])] == []


def test_the_commented_patches_are_good_when_the_marks_are_taken_off():
    text = starter_case()
    begin = text.index("# [[debris]]")
    block = text[begin : text.index("\n\n", begin)]
    built = [line.removeprefix("# ") for line in block.splitlines() if "not computed yet" not in line]
    assert len(case_from_text("\n".join(built)).debris) == 1


def test_the_vanes_of_the_starter_file_fit_its_rotor():
    vented = starter_case().replace('style = "solid" ', 'style = "vented"')
    vented = re.sub(r"^# (cheek_|vane_)", r"\1", vented, flags=re.MULTILINE)
    assert case_from_text(vented).rotor.vane_count == EXAMPLES["rotor.vane_count"]


def test_everything_wrong_in_a_file_is_told_even_past_what_is_no_toml_and_past_its_base():
    text = """titel = "a"
base = "rear_solid"
[rotor]
thickness_mm = 12,5
outer_diameter_mm = 700
[studs]
thread = "M12"
"""
    with pytest.raises(BadInput) as caught:
        case_from_text(text)
    assert {fault.line for fault in caught.value.faults} == {1, 2, 4, 5, 7}
    assert "M12x1.25, M12x1.5, M12x1.75" in str(caught.value)
    # What a broken line would have said is not held against the others.
    vented = 'base = "front_vented_320"\n[rotor]\nthickness_mm = 14,5\n[hub]\nspigot_diameter_mm = 80\n'
    with pytest.raises(BadInput) as caught:
        case_from_text(vented)
    assert "cheeks" not in str(caught.value)
    assert "is larger than the bore" in str(caught.value)


def test_values_are_written_as_toml():
    for value in ('a "quoted" \\ text', 0.1 + 0.2, 1e-5, 7, [1, 2], [1.5, 1e300]):
        assert tomllib.loads(f"a = {toml_value(value)}")["a"] == value


def test_the_listing_has_every_key_with_its_source():
    rows = keys_rows()
    assert [(row["table"], row["key"]) for row in rows] == [(key.table, key.name) for key in KEYS]
    assert all(row["source"] and row["allowed"] for row in rows)
    torque = next(row for row in rows if row["key"] == "torque_nm")
    assert (torque["unit"], torque["default"], torque["slip"]) == ("N m", 140.0, "N mm")
    assert {row["table"] for row in rows if not row["built"]} >= {name for name in TABLES if not table_built(name)}


def test_a_case_is_told_back():
    told = dict(
        explain(Case(debris=(Debris(on="rotor", angle_deg=36.0, height_um=-30.0),), studs=Studs(studs_turned=1)))
    )
    # T = K d F: 140 N m / (0.2 x 14 mm) = 50 kN, of a proof load of 830 MPa x 124.5 mm² = 103 kN.
    assert "140 N m, 50 kN each, at most 48% of the proof load" in told["studs"]
    assert "60 µm of play" in told["spigot in bore"]
    assert told["contact zone"] == "radius 34 .. 68 mm, 109 cm²"
    assert "hub 108 deg" in told["debris[1]"]
    assert "hollow by 30 µm" in told["debris[1]"]
    assert "turned by 1 of 5" in told["mounted"]


@pytest.mark.parametrize("studs", [Studs(preload_n=(1e4, 2e4, 3e4, 4e4, 5e4)), Studs(torque_nm=(0.0, 10, 20, 30, 40))])
def test_uneven_studs_are_told_one_by_one(studs):
    told = dict(explain(Case(studs=studs)))["studs"]
    assert "10, 20, 30, 40, 50 kN" in told or "0, 10, 20, 30, 40 N m" in told


def test_a_written_starter_file_can_be_loaded(tmp_path):
    path = tmp_path / "corner.toml"
    path.write_text(starter_case(), encoding="utf-8")
    assert load_case(path) == Case()


@pytest.mark.parametrize("name", demo_geometry.part_set_names())
def test_a_short_starter_on_a_part_set_loads_with_and_without_its_marks(name):
    text = starter_on(name)
    assert case_from_text(text).debris == ()
    opened = "\n".join(line.removeprefix("# ") if " = " in line or "[" in line else line for line in text.splitlines())
    case = case_from_text(opened)
    assert len(case.debris) == 1
    assert case.where_from("limits", "dtv_um") == "the case file"
