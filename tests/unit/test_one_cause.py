"""The leading cause as a case file: it seats with the runout and the high spot that the readings gave the cause."""

import tomllib
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import demo_geometry
from sim import turn
from sim.causes import names
from sim.causes.one_cause import leading, tables_of
from sim.errors import BadInput, Refused
from sim.files.case_file import load_case
from sim.files.rewritten_case import rewritten
from sim.parts.thickness import Uneven
from sim.seating.seat import seat
from tests.unit.hand_made_finding import finding, ranked

DEMO = Path(demo_geometry.__file__).parent / "demo_dirty.toml"


def leads(cause, runout_um, **changes):
    one = replace(ranked(cause, 0.9, (0.8 * runout_um, runout_um, 1.2 * runout_um)), high_spot_deg=200.0)
    return finding(finding=cause, ranked=(one,), **changes)


def written(found, tmp_path, source=DEMO):
    case = load_case(source)
    target = tmp_path / "deeper" / "case.toml"
    target.parent.mkdir(exist_ok=True)
    target.write_text(rewritten(source, target, tables_of(found, case), ["made by a test"]), encoding="utf-8")
    return load_case(target)


@pytest.mark.parametrize(
    ("cause", "runout_um", "within_deg"),
    [(names.HUB_FACE, 60.0, 1.0), (names.ROTOR, 60.0, 1.0), (names.HUB_DIRT, 60.0, 4.0), (names.ROTOR_DIRT, 45.0, 4.0),
     (names.TORQUE, 9.0, 36.0)],
)  # fmt: skip
def test_the_written_corner_runs_out_as_the_cause_was_read(tmp_path, cause, runout_um, within_deg):
    """By another preset than it was sized with; a stud stands where studs stand."""
    case = written(leads(cause, runout_um), tmp_path)
    seated = seat(case, "standard")
    orders = turn.harmonics(seated.outboard_um, 3)
    drawn = turn.evaluate(np.concatenate([[0.0], orders[1:]]), np.radians(np.arange(360.0)))
    assert turn.tir(drawn) == pytest.approx(runout_um, rel=0.06)
    on = 0.0 if names.frame_of(cause) == "rotor" else case.studs.studs_turned * case.studs.pitch_deg
    high = turn.high_spot_deg(complex(orders[1]), 1) + on
    assert abs((high - 200.0 + 180.0) % 360.0 - 180.0) < within_deg


def test_the_case_holds_that_cause_and_no_other_and_stands_as_the_rotor_stood(tmp_path):
    found = leads(names.HUB_FACE, 60.0)
    case = written(found, tmp_path)
    assert case.debris == ()
    assert case.rotor.own_runout_um == 0.0
    assert case.studs.studs_turned == 2  # the last mounting as found
    assert case.title == "hub face runout alone, sized from readings"
    assert case.rotor.outer_diameter_mm == load_case(DEMO).rotor.outer_diameter_mm


def test_nuts_that_pull_unevenly_are_a_fault_too(tmp_path):
    source = tmp_path / "mine.toml"
    source.write_text("[studs]\ntorque_nm = [120.0, 20.0, 120.0, 120.0, 120.0]\n", encoding="utf-8")
    assert written(leads(names.HUB_FACE, 60.0), tmp_path, source).studs.torque_nm == 100.0


def test_thickness_is_written_as_it_was_read_or_not_at_all(tmp_path):
    told = finding().told
    with pytest.raises(Refused, match="thickness was not read"):
        tables_of(leads(names.WORN, 12.0), load_case(DEMO))
    thick = replace(told.states[-1].sum[1], runout_um=14.0, high_spot_deg=33.0)
    case = written(leads(names.NEW_DTV, 12.0, told=replace(told, thickness=thick)), tmp_path)
    assert (case.rotor.own_thickness_variation_um, case.rotor.own_thick_spot_deg) == (14.0, 33.0)
    # Two humps leave next to nothing of one wave: what was written the next command refused, as typed in millimetres.
    wave = replace(thick, runout_um=0.34)
    twice = leads(names.NEW_DTV, 12.0, told=replace(told, thickness=wave), varies=Uneven(17.5, 7.0, 15.0))
    with pytest.raises(Refused, match="the thickness varies by 18 µm, and not once a turn: no key of a case file"):
        tables_of(twice, load_case(DEMO))
    small = leads(names.NEW_DTV, 12.0, told=replace(told, thickness=wave))
    assert written(small, tmp_path).rotor.own_thickness_variation_um == 1.0


@pytest.mark.parametrize("cause", [names.SPIGOT, names.WARP])
def test_what_no_key_holds_is_refused_by_name(cause):
    with pytest.raises(Refused, match=cause):
        tables_of(leads(cause, 20.0), load_case(DEMO))


def test_where_no_cause_fits_none_is_written():
    with pytest.raises(Refused, match="no cause in the list"):
        tables_of(finding(none_fits=True, finding=None), load_case(DEMO))


def test_more_than_one_stud_can_do_is_refused():
    with pytest.raises(Refused, match="even at its largest"):
        tables_of(leads(names.TORQUE, 200.0), load_case(DEMO))


def test_the_leading_cause_is_the_finding_or_the_most_probable():
    assert leading(finding(finding=names.ROTOR)).cause == names.ROTOR
    assert leading(finding(finding=None)).cause == names.HUB_DIRT


def test_a_base_beside_the_source_is_named_from_the_target(tmp_path):
    (tmp_path / "parts.toml").write_text("[rotor]\nthickness_mm = 13.0\n", encoding="utf-8")
    source = tmp_path / "mine.toml"
    source.write_text(
        'base = "parts.toml"\ntitle = "a \\"b\\""\n[studs]\npreload_n = 40000.0\n[[debris]]\nangle_deg = 10.0\n'
        "arc_deg = 20.0\ninner_radius_mm = 60.0\nouter_radius_mm = 66.0\nheight_um = 50.0\n",
        encoding="utf-8",
    )
    target = tmp_path / "out" / "case.toml"
    target.parent.mkdir()
    text = rewritten(source, target, {"studs": {"torque_nm": [90.0, 0.0, 90.0, 90.0, 90.0]}, "debris": []}, ["x"])
    assert tomllib.loads(text)["base"] == "../parts.toml"
    target.write_text(text, encoding="utf-8")
    case = load_case(target)
    assert (case.rotor.thickness_mm, case.title, case.debris, case.studs.preload_n) == (13.0, 'a "b"', (), None)


def test_a_measured_face_is_not_replaced(tmp_path):
    source = tmp_path / "mine.toml"
    source.write_text('[hub]\nface_map = "face.csv"\n', encoding="utf-8")
    with pytest.raises(BadInput, match="measured face"):
        rewritten(source, tmp_path / "case.toml", {})
    source.write_text("[hub\n", encoding="utf-8")
    with pytest.raises(BadInput, match="cannot be read"):
        rewritten(source, tmp_path / "case.toml", {})
