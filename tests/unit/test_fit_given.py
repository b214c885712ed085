"""A fit in place of the spigot's diameter: what it means, what is refused and where, how it comes back from a run."""

import json

import pytest

from scenes.command.app import main
from scenes.pages import report
from sim.chain import compute
from sim.errors import BadInput
from sim.files.case_file import case_from_text, case_to_dict, dict_to_case, load_case
from sim.files.starter import explain, starter_case
from sim.parts.case import Case, Hub, Rotor, SpigotScale
from sim.parts.contradictions import check_case
from sim.parts.iso_fits import fit
from sim.parts.spigot_room import clearance_mm, free_play
from sim.run_folder import load, save
from sim.spigot.fit_range import fit_play, with_clearance

FITTED = 'base = "rear_solid_300"\n[hub]\nspigot_fit = "H8/f8"\n'


def case_with(**keys) -> Case:
    return Case(hub=Hub(spigot_fit="H8/f8"), **keys)


@pytest.mark.parametrize("bore", [50.0, 65.0, 80.0, 80.5])
@pytest.mark.parametrize("name", ["H8/f8", "H7/g6", "H9/d9", "H7/h6"])
def test_the_spigot_leaves_the_middle_of_the_clearance(name, bore):
    hub = Hub(spigot_fit=name, face_inner_diameter_mm=bore + 3.0)
    case = Case(rotor=Rotor(bore_diameter_mm=bore), hub=hub)
    low, high = fit(name, bore).clearance_um
    assert 2000.0 * clearance_mm(case) == pytest.approx((low + high) / 2)
    assert case.rotor.bore_diameter_mm == bore


def test_play_and_runout_of_a_clean_fit_run_from_its_smallest_to_its_largest_clearance():
    """ISO 286: H8/f8 over 50 up to 80 mm leaves 30 to 122 um; a rotor pushed aside runs out by the clearance."""
    found = fit_play(case_with())
    assert found.free_play_um == pytest.approx((30.0, 122.0), rel=1e-3)
    assert found.hung_radial_runout_um == pytest.approx((30.0, 122.0), rel=1e-3)
    assert found.radial_runout_um == pytest.approx((0.0, 122.0), rel=1e-3, abs=1e-6)
    assert found.wedge_um == (0.0, 0.0)
    assert fit_play(Case()) is None


def test_the_range_holds_what_any_clearance_within_the_fit_gives():
    case = case_with(spigot_scale=(SpigotScale(height_um=40.0),))
    found = fit_play(case)
    for clearance in (30.0, 47.0, 60.0, 90.0, 122.0):
        one = free_play(with_clearance(case, clearance))
        assert found.hung_radial_runout_um[0] <= 2 * one.hung_um[0] + 2.0  # between two of the clearances tried
        assert 2 * one.hung_um[1] <= found.hung_radial_runout_um[1] + 1e-9
        assert found.free_play_um[0] <= one.most_um <= found.free_play_um[1]
    assert found.wedge_um[0] == 0.0 < found.wedge_um[1]
    assert "measure bore and spigot" in found.note


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ('spigot_fit = "H8/p6"', "no clearance fit: the bore is anything from 51 µm too tight to 14 µm of play"),
        ('spigot_fit = "H6/p6"', "from 51 µm too tight to 13 µm too tight"),
        ('spigot_fit = "H8/x8"', "not in the table of fits"),
        ('spigot_fit = "f8"', "is not a fit"),
        ("spigot_fit = 8", "is not text"),
        ('spigot_fit = "H8/f8"\nspigot_diameter_mm = 64.9', "are both given"),
        ('spigot_fit = "H8/f8"\n[rotor]\nbore_diameter_mm = 30.0', "outside the table of fits"),
    ],
)
def test_a_fit_that_cannot_be_is_refused_with_file_line_key_and_what_is_allowed(tmp_path, capsys, line, words):
    path = tmp_path / "corner.toml"
    path.write_text(f"[hub]\nbarrel_inner_diameter_mm = 20.0\n{line}\n")
    with pytest.raises(BadInput, match=words) as told:
        load_case(path)
    fault = next(fault for fault in told.value.faults if fault.key == "hub.spigot_fit")
    assert (fault.file, fault.line) == (str(path), 3)
    assert fault.allowed
    assert main(["check", str(path)]) == 2
    assert "hub.spigot_fit" in capsys.readouterr().err


def test_a_fit_that_cannot_be_is_refused_through_the_interface_too():
    with pytest.raises(BadInput, match=r"H7/k6 .* no clearance fit"):
        check_case(Case(hub=Hub(spigot_fit="H7/k6")))
    with pytest.raises(BadInput, match="not a fit"):
        Hub(spigot_fit="loose")


def test_of_a_case_and_its_base_the_case_stands(tmp_path):
    assert case_from_text(FITTED).hub.spigot_diameter_mm == pytest.approx(64.924)
    (tmp_path / "parts.toml").write_text('[hub]\nspigot_fit = "H8/f8"\n')
    case = case_from_text('base = "parts.toml"\n[hub]\nspigot_diameter_mm = 64.95\n', folder=tmp_path)
    assert (case.hub.spigot_fit, case.hub.spigot_diameter_mm) == (None, 64.95)


def test_it_comes_back_from_plain_data_and_from_a_run_folder(tmp_path):
    case = case_from_text(FITTED)
    assert dict_to_case(json.loads(json.dumps(case_to_dict(case)))) == case
    run = compute(case, None, "fast", fields_too=False)
    again = load(save(run, tmp_path / "run"))
    assert again.case == case
    assert again.spigot == json.loads(json.dumps(run.spigot))
    assert again.spigot["free_play_range_um"] == pytest.approx([30.0, 122.0], rel=1e-3)


def test_the_command_prints_the_range_and_what_was_computed_with(tmp_path, capsys):
    path = tmp_path / "corner.toml"
    path.write_text(FITTED)
    assert main(["seat", str(path), "--preset", "fast"]) == 0
    out = " ".join(capsys.readouterr().out.replace("\u00a0", " ").split())
    assert "30 to 122 µm" in out
    assert "at its middle, 76 µm" in out
    assert main(["seat", str(path), "--preset", "fast", "--json"]) == 0
    state = json.loads(capsys.readouterr().out)["spigot"]
    assert state["fit"]["name"] == "H8/f8"
    assert state["radial_runout_um"] == pytest.approx([0.0, 122.0], rel=1e-3, abs=1e-6)
    assert dict(explain(load_case(path)))["spigot in bore"].startswith("H8/f8, 30 to 122 µm")


def test_the_starter_file_shows_it_commented_out():
    line = next(line for line in starter_case().splitlines() if "spigot_fit" in line)
    assert line.startswith("# spigot_fit")
    assert "clearance fit" in line


def test_the_report_says_that_the_diameter_follows_from_the_fit():
    rows = {(row.table, row.key): row for row in report.inputs(case_from_text(FITTED))}
    assert rows["hub", "spigot_fit"].given
    assert not rows["hub", "spigot_diameter_mm"].given
    assert "middle clearance" in rows["hub", "spigot_diameter_mm"].source
