"""Measured faces: read with every fault told, put under the rotor, taken apart into runout, bumps and dish."""

from dataclasses import replace

import numpy as np
import pytest

from sim.errors import BadInput
from sim.files.case_file import case_to_dict, dict_to_case, load_case
from sim.files.face_table import read_topography
from sim.parts.case import Case, Hub
from sim.parts.measured_face import Topography, face_errors
from sim.seating.seat import seat

ANGLES = np.arange(0.0, 360.0, 15.0)


def tilted(tir_um: float, spot_deg: float, radii=(36.0, 52.0, 66.0), bumps_um: float = 0.0) -> Topography:
    theta = np.deg2rad(ANGLES)
    rows = []
    for angle in theta:
        lean = tir_um / 2 * np.array(radii) / radii[-1] * np.cos(angle - np.deg2rad(spot_deg))
        rows.append(tuple(lean + bumps_um / 2 * np.cos(5 * angle)))
    return Topography(tuple(ANGLES), tuple(radii), tuple(rows))


def written(tmp_path, face: Topography, head="angle_deg,radius_mm,height_um", leave=lambda k: True):
    lines = [
        f"{a},{r},{h}"
        for a, row in zip(face.angle_deg, face.height_um, strict=True)
        for r, h in zip(face.radius_mm, row, strict=True)
    ]
    path = tmp_path / "face.csv"
    path.write_text("\n".join(["# invented", head, *(line for k, line in enumerate(lines) if leave(k))]) + "\n")
    return path


def test_a_measured_tilt_is_the_same_as_the_key_for_face_runout():
    by_key = seat(Case(hub=Hub(face_runout_um=30.0, face_runout_radius_mm=66.0, face_high_spot_deg=50.0)), "fast")
    by_map = seat(replace(Case(), hub_topography=tilted(30.0, 50.0)), "fast")
    assert by_map.outboard_um == pytest.approx(by_key.outboard_um, abs=0.6)


def test_the_mounting_face_goes_along_when_the_rotor_is_turned():
    case = replace(Case(), rotor_topography=tilted(30.0, 0.0))
    turned = replace(case, studs=replace(case.studs, studs_turned=2))
    assert seat(turned, "fast").outboard_um == pytest.approx(seat(case, "fast").outboard_um, abs=0.3)


def test_a_single_trace_is_a_tilt_that_grows_with_the_radius():
    one = Topography(tuple(ANGLES), (60.0,), tuple((15.0 * np.cos(np.deg2rad(a)),) for a in ANGLES))
    at = one.at_mm(np.array([30.0, 60.0]), np.array([0.0, 0.0])) * 1000.0
    assert at == pytest.approx([7.5, 15.0], abs=0.01)


def test_bumps_at_the_studs_are_kept_apart_from_runout():
    found = face_errors(tilted(20.0, 100.0, bumps_um=40.0), 5)
    assert found.runout_um == pytest.approx(20.0, abs=0.01)
    assert found.high_spot_deg == pytest.approx(100.0, abs=0.1)
    assert found.stud_bumps_um == pytest.approx(40.0, rel=0.02)
    assert found.rest_um < 0.1


@pytest.mark.parametrize("dish_um", [24.0, -24.0])
def test_a_face_whose_outer_edge_stands_up_is_hollow(dish_um):
    flat = tilted(20.0, 100.0)
    radii = np.array(flat.radius_mm)
    cone = dish_um * (radii - radii[0]) / (radii[-1] - radii[0])
    found = face_errors(Topography(flat.angle_deg, flat.radius_mm, np.array(flat.height_um) + cone), 5)
    assert found.dish_um == pytest.approx(dish_um, abs=1e-6)
    assert found.runout_um == pytest.approx(20.0, abs=0.01)


def test_a_case_file_names_its_map_and_a_run_folder_carries_it(tmp_path):
    written(tmp_path, tilted(25.0, 10.0))
    (tmp_path / "corner.toml").write_text('base = "rear_solid_300"\n[hub]\nface_map = "face.csv"\n')
    case = load_case(tmp_path / "corner.toml")
    assert face_errors(case.hub_topography, 5).runout_um == pytest.approx(25.0, abs=0.01)
    assert dict_to_case(case_to_dict(case)) == case


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"head": "angle_deg,radius_mm,height_thou"}, "25.4"),
        ({"head": "angle,radius,height"}, "columns"),
        ({"leave": lambda k: k != 7}, "missing"),
        ({"leave": lambda k: k < 9}, "angles"),
    ],
)
def test_faulty_maps_are_refused_in_words(tmp_path, change, words):
    with pytest.raises(BadInput, match=words):
        read_topography(written(tmp_path, tilted(20.0, 0.0), **change))


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("15,36,3", "twice"),
        ("7,36,x", "not a number"),
        ("7,36,nan", "not a number"),
        ("7,36", "values"),
        ("7,36,9999", "range"),
    ],
)
def test_faulty_lines_are_named(tmp_path, line, words):
    path = written(tmp_path, tilted(20.0, 0.0))
    path.write_text(path.read_text() + line + "\n")
    with pytest.raises(BadInput, match=words) as told:
        read_topography(path)
    assert f"{path}:" in str(told.value)


@pytest.mark.parametrize("name", ["/etc/passwd", "../face.txt", "missing.csv"])
def test_maps_outside_the_rules_are_refused_with_the_key(tmp_path, name):
    (tmp_path / "corner.toml").write_text(f'[hub]\nface_map = "{name}"\n')
    with pytest.raises(BadInput, match="hub.face_map"):
        load_case(tmp_path / "corner.toml")
