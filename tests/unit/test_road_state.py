"""The road is driven with the wheel on: its torque, what is refused, and what every forecast starts from."""

import json
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from scenes.command.app import main
from scenes.words import findings, what_leads
from sim import answers
from sim.chain import Road, compute
from sim.corner import behind_reading, unknown_wheel, wheel_prior
from sim.corner.driven import Driven, bounds_um, mean_plane_um, verdict, wheel_span_um
from sim.corner.road_state import (
    KEY,
    as_driven,
    held_badly_by,
    nuts_first,
    past_proof,
    road_torque_nm,
    slack_nut,
    unfit,
    unfit_as_read,
)
from sim.corner.unknown_wheel import DRAWS, _design, draw_wheels, places, unknowns, wheel_at, wheel_band
from sim.corner.wheel_prior import METALS, THICKNESS_MM
from sim.errors import BadInput, Refused
from sim.files.case_file import case_from_text
from sim.parts.case import LIKELY_PAD_MM, Case, Debris, Hub, Limits, Studs, Wheel
from sim.parts.dial import Dial
from sim.run_folder import load, save
from sim.seating.seat import seat

pytestmark = pytest.mark.usefixtures("fewest_draws", "fewest_corners")

DIRTY = Case(hub=Hub(face_runout_um=10.0), debris=(Debris(angle_deg=36.0, height_um=80.0),))


def on(**keys) -> Case:
    return replace(DIRTY, studs=Studs(**keys))


@pytest.mark.parametrize(
    ("studs", "torque"),
    [
        ({"torque_nm": 140.0}, (140.0,) * 5),
        ({"torque_nm": 20.0, "road_torque_nm": 120.0}, (120.0,) * 5),
        ({"torque_nm": (140.0, 0.0, 0.0, 140.0, 0.0), "road_torque_nm": 120.0}, (120.0,) * 5),
        ({"road_torque_nm": (120.0, 60.0, 120.0, 120.0, 120.0)}, (120.0, 60.0, 120.0, 120.0, 120.0)),
        ({"preload_n": 40_000.0}, (112.0,) * 5),
        ({"preload_n": (40_000.0, 100.0, 0.0, 100.0, 100.0), "road_torque_nm": 120.0}, (120.0,) * 5),
    ],
)
def test_the_road_has_its_own_torque_and_the_wheel_is_on(studs, torque):
    found = as_driven(on(**studs))
    assert found.studs.clamped_by == "wheel"
    assert road_torque_nm(on(**studs).studs) == pytest.approx(torque)
    assert as_driven(found) == found
    assert replace(found, studs=DIRTY.studs) == DIRTY  # nothing but the studs is touched


@pytest.mark.parametrize(
    ("studs", "why"),
    [
        ({"torque_nm": 5.0}, "2 % of the proof load of M14x1.5 class 10.9"),
        ({"torque_nm": 0.0}, "no nut is on"),
        ({"torque_nm": (140.0, 0.0, 0.0, 140.0, 0.0)}, "no nut is on stud 2, 3, 5"),
        ({"torque_nm": (140.0, 130.0, 140.0, 140.0, 140.0)}, "is a list, uneven as fitted for reading"),
        ({"preload_n": 20_000.0}, "preload_n pulls 20.0 kN"),
        ({"preload_n": (50_000.0,) * 5}, "preload_n is a list, as fitted for reading"),
        ({"torque_nm": (5.0,) * 5}, "2 % of the proof load of M14x1.5 class 10.9, where a wheel takes 30 %"),
        ({"road_torque_nm": 5.0}, "road_torque_nm pulls"),
        ({"road_torque_nm": (140.0, 140.0, 20.0, 140.0, 140.0)}, "pulls 7.1 kN at stud 3, 7 % of the proof load"),
        ({"road_torque_nm": (140.0, 0.0, 140.0, 140.0, 140.0)}, "no nut is on stud 2"),
    ],
)
def test_what_is_not_fastened_gets_no_forecast(studs, why):
    with pytest.raises(Refused, match="not fit to drive") as told:
        compute(on(**studs), 1000.0, "fast", fields_too=False)
    assert why in str(told.value)
    assert KEY in str(told.value)
    # Whoever gave the road's torque is not asked for it, but for that of nuts that were looked at first.
    assert ("once every nut is at the vehicle maker's torque" in str(told.value)) == ("road_torque_nm" in studs)
    assert told.value.exit_code == 3


def test_the_share_of_the_proof_load_decides():
    """ISO 898-1: M14x1.5 class 10.9 bears 103.4 kN by our stress area; three tenths of it take 86.8 N m at K 0.2."""
    assert unfit(Studs(torque_nm=86.0))
    assert not unfit(Studs(torque_nm=88.0))
    assert not unfit(Studs(torque_nm=86.0, thread="M12x1.5"))  # a thinner stud is as tight with less
    assert unfit_as_read(Studs(torque_nm=5.0, road_torque_nm=140.0))
    assert not unfit(Studs(torque_nm=5.0, road_torque_nm=140.0))


def test_a_list_of_the_wrong_length_is_bad_input():
    with pytest.raises(BadInput, match="2 values for 5 studs"):
        case_from_text('base = "rear_solid_300"\n[studs]\nroad_torque_nm = [140.0, 140.0]\n')


def test_another_clamping_displaces_the_road_of_the_base():
    base = 'base = "rear_solid_300"\n'
    assert as_driven(case_from_text(base)).studs.torque_nm == 140.0
    with pytest.raises(Refused):
        as_driven(case_from_text(base + "[studs]\ntorque_nm = 5.0\n"))
    both = case_from_text(base + "[studs]\ntorque_nm = 5.0\nroad_torque_nm = 110.0\n")
    assert as_driven(both).studs.torque_nm == 110.0


@pytest.fixture(scope="module")
def driven():
    return compute(DIRTY, 3000.0, "fast", fields_too=False)


def test_the_forecast_starts_from_the_seating_as_driven(driven):
    wheel = seat(as_driven(DIRTY), "fast")
    assert np.array_equal(driven.as_driven.seat.outboard_um, wheel.outboard_um)
    assert not np.array_equal(driven.as_driven.seat.outboard_um, driven.seat.outboard_um)
    start = driven.forecast.face_runout_um[0]
    at_road, at_dial = (np.ptp(mean_plane_um(one)) for one in (driven.as_driven.seat, driven.seat))
    assert abs(start.mean() - at_road) < 0.02 * at_road < abs(at_dial - at_road)
    assert driven.started_from == "as driven"
    assert answers.drive_answer(driven)["started_from"] == "as driven"


def test_both_seatings_are_answered_and_the_dial_keeps_its_limit(driven):
    answer = answers.seat_answer(driven)
    block = answer["as_driven"]
    assert answer["lateral_runout_um"]["outboard"] == driven.seat.lateral_runout_um["outboard"]
    assert block["lateral_runout_um"]["outboard"] == answer["as_driven_um"] == driven.as_driven.seat.gauge_runout_um
    assert block["band_um"]["outboard"][0] < block["lateral_runout_um"]["outboard"] < block["band_um"]["outboard"][1]
    assert block["road_torque_nm"] == [140.0] * 5
    assert 0.0 < block["closed_fraction"] < 1.0
    assert block["against_limit"] in ("below", "above", "too close to tell")
    assert answers.drive_answer(driven)["as_driven"] == block


def test_both_seatings_come_back_from_the_folder_and_older_folders_load(driven, tmp_path):
    folder = save(driven, tmp_path / "run")
    back = load(folder)
    assert back.as_driven.seat.case == as_driven(DIRTY)
    assert np.array_equal(back.as_driven.seat.outboard_um, driven.as_driven.seat.outboard_um)
    assert np.array_equal(back.as_driven.wheel.plane_um, driven.as_driven.wheel.plane_um)
    document = json.loads((folder / "run.json").read_text())
    for name in ("as_driven", "reading"):
        document.pop(name)
    document["seat"]["contact"].pop("carrying_fraction")
    (folder / "run.json").write_text(json.dumps(document))
    old = load(folder)
    assert old.as_driven is None
    assert old.started_from == "as read"
    assert "as_driven" not in answers.seat_answer(old)
    assert [one.key for one in findings.found(old)][:2] == ["runout", "dtv"]


def test_the_dial_and_the_road_on_different_sides_is_the_headline():
    """A chip that the dial hardly sees under hand-tight nuts lifts the driven rotor, or the other way round."""
    slack = on(torque_nm=(20.0, 0.0, 20.0, 20.0, 0.0), road_torque_nm=140.0)
    run = compute(replace(slack, limits=Limits(mounted_runout_um=65.0)), None, "fast", fields_too=False)
    read, road = findings.runout(run), findings.as_driven(run)
    assert {read.state, road.state} == {"above", "too close to tell"} or read.state != road.state
    line = what_leads.disagreement(run)
    assert line.startswith("Dial and road disagree")
    assert what_leads.headlines(run)[-1] == line
    # Neither lets the other go: the limit is the dial's, the wear the road's.
    assert "The road counts" not in line
    assert line.endswith("the nuts come first.")  # two were off as it was read
    fitted = replace(run, case=replace(run.case, studs=replace(run.case.studs, torque_nm=140.0)))
    assert what_leads.disagreement(fitted).endswith("it counts as over; what wears the rotor is the road.")
    assert what_leads._counts("above", "below").startswith("Over the limit at the dial it counts as over")
    assert what_leads._counts("below", "above").endswith("the dial clears nothing here")
    # A nut that was loose on the road, or one screw: the figure as driven lets nothing go there.
    for studs, what in (
        (replace(run.case.studs, road_torque_nm=(140.0, 60.0, 140.0, 140.0, 140.0)), "the nuts come first."),
        (replace(run.case.studs, clamped_by="screw only"), "one screw does not seat a rotor."),
    ):
        assert what_leads.disagreement(replace(run, case=replace(run.case, studs=studs))).endswith(what)
    even = compute(DIRTY, None, "fast", fields_too=False)
    same = findings.runout(even).state == findings.as_driven(even).state
    assert (what_leads.disagreement(even) == "") == same


def test_a_reading_on_slack_nuts_is_labelled(tmp_path, capsys):
    path = tmp_path / "corner.toml"
    path.write_text('base = "rear_solid_300"\n[studs]\ntorque_nm = 5.0\n')
    assert main(["seat", str(path), "--preset", "fast"]) == 0
    first = " ".join(capsys.readouterr().out.split("seating ")[0].split())
    assert "As clamped for reading; not fit to drive" in first
    assert KEY in first
    assert main(["drive", str(path), "--preset", "fast", "--km", "1000"]) == 3
    told = capsys.readouterr()
    assert told.out == ""
    assert "not fit to drive" in told.err
    assert KEY in told.err
    assert main(["seat", str(path), "--preset", "fast", "--json"]) == 0
    block = json.loads(capsys.readouterr().out)["as_driven"]
    assert block["clamped_for_reading_fit_to_drive"] is False
    assert "lateral_runout_um" not in block


def test_a_seat_on_points_is_no_verdict():
    """One nut opposite a chip: the rotor stands on the chip and next to nothing else, and may well read little."""
    tall = Debris(angle_deg=0.0, arc_deg=6.0, inner_radius_mm=62.0, outer_radius_mm=66.0, height_um=400.0)
    nuts = Studs(torque_nm=(0.0, 0.0, 3.0, 3.0, 0.0), road_torque_nm=140.0)
    stood = seat(replace(DIRTY, debris=(tall,), studs=nuts), "fast")
    assert stood.contact.carrying_fraction < 0.05
    assert any("stands on points" in warning for warning in stood.warnings)
    run = compute(stood.case, None, "fast", fields_too=False)
    assert findings.runout(run).sentence.startswith("It carries on")
    flat = seat(Case(), "fast")
    assert flat.contact.carrying_fraction > 0.25  # nuts pull the face together round the studs only
    assert not flat.warnings


# ---------------------------------------------------------------- the wheel that nobody described


def test_what_the_case_says_of_its_wheel_is_not_drawn():
    every = {item.name for item in unknowns(DIRTY)}
    assert every == {
        "material",
        "pad_thickness_mm",
        "pad_dish_um",
        "pad_inner_diameter_mm",
        "pad_outer_diameter_mm",
    }
    given = case_from_text('base = "rear_solid_300"\n[wheel]\npad_thickness_mm = 20.0\nmaterial = "steel"\n')
    assert {item.name for item in unknowns(given)} == every - {"material", "pad_thickness_mm"}
    drawn = draw_wheels(given, 50, 1)
    assert {(one.material, one.pad_thickness_mm) for one in drawn} == {("steel", 20.0)}
    assert len({one.pad_dish_um for one in drawn}) == 50
    measured = case_from_text('base = "rear_solid_300"\n[wheel]\npad_thickness_mm = 11.0\n')
    assert {one.pad_thickness_mm for one in draw_wheels(measured, 50, 1)} == {11.0}
    assert {one.material for one in draw_wheels(measured, 50, 1)} == set(METALS)
    assert {one.thickness_mm for one in _design(measured, ("material",))} == {11.0}


def test_wheels_are_drawn_over_their_whole_ranges_by_the_same_seed():
    drawn = draw_wheels(DIRTY, 400, 3)
    assert drawn == draw_wheels(DIRTY, 400, 3)
    at = places(DIRTY, drawn)
    assert at.min(axis=0) == pytest.approx([-1.0] * 4, abs=0.05)
    assert at.max(axis=0) == pytest.approx([1.0] * 4, abs=0.05)
    for metal, law in wheel_prior.THICKNESS.items():
        thick = np.array([one.thickness_mm for one in drawn if one.material == metal])
        assert law.low_mm <= thick.min() < thick.max() <= law.high_mm
        assert np.mean(thick > law.likely_mm) == pytest.approx(0.5, abs=0.06)
        ends = [
            wheel_at(DIRTY, {"material": 2.0 * METALS.index(metal) - 1.0, "pad_thickness_mm": x}) for x in (-1.0, 1.0)
        ]
        assert [one.thickness_mm for one in ends] == pytest.approx([law.low_mm, law.high_mm])


def test_the_surface_stands_for_wheels_that_were_not_solved():
    """Solved one by one, wheels of either metal read what the surface says of them: within a fifth of their spread."""
    road = as_driven(DIRTY)
    band, _ = wheel_band(seat(road, "rough"), draws=12, seed=4)
    alone = [seat(replace(road, wheel=wheel), "rough").outboard_um for wheel in draw_wheels(road, 12, 4)]
    miss = band.outboard_um - np.ptp(alone, axis=1)
    assert np.sqrt(np.mean(miss**2)) < 0.2 * np.std(np.ptp(alone, axis=1))


def test_the_band_holds_the_stiffest_and_the_softest_of_common_wheels():
    road = as_driven(DIRTY)
    band, why = wheel_band(seat(road, "fast"))
    assert why == ""
    assert band.plane_um.shape == (DRAWS, 360)
    low, high = band.span_um("outboard")
    soft, stiff = (
        seat(replace(road, wheel=wheel), "fast").gauge_runout_um
        for wheel in (Wheel(pad_thickness_mm=13.5), Wheel(material="steel", pad_thickness_mm=15.0))
    )
    assert low < stiff < soft < high
    with pytest.MonkeyPatch.context() as patched:
        patched.setattr(unknown_wheel, "seat_along", None)  # other pads seat no wheel anew
        unknown_wheel._surface.cache_clear()  # nor does the next command: they are kept on disk
        again, _ = wheel_band(seat(replace(road, title="Other pads", pads=replace(road.pads, arc_deg=50.0)), "fast"))
        assert np.array_equal(again.plane_um, band.plane_um)
        with pytest.raises(TypeError):
            wheel_band(seat(replace(road, contact=replace(road.contact, layer_stiffness_n_mm3=9.0e4)), "fast"))
    ends = [seat(replace(road, wheel=w), "fast").gauge_runout_um for w in (Wheel(pad_thickness_mm=8.0),
            Wheel(material="steel", pad_thickness_mm=35.0))]  # fmt: skip
    assert ends[1] < low < high < ends[0]  # the middle eight tenths, not all of it


def test_one_law_of_wheels_serves_the_band_of_the_road_and_the_corners_behind_a_reading():
    """What a reading's corners are driven with is told, and stands for what the band of the wheel draws."""
    few = wheel_prior.typical(None, None)
    assert sum(odds for *_, odds in few) == pytest.approx(1.0)
    told = next(row.drawn for row in behind_reading.PRIOR if row.what == "wheel's pad")
    assert all(f"{metal} {thick:g} mm" in told for metal, thick, _ in few)
    corners = behind_reading.drawn_corners(Case(given=()), 300, 5).corners
    assert {(one.wheel.material, one.wheel.thickness_mm) for one in corners} == {one[:2] for one in few}
    drawn = draw_wheels(Case(given=()), 2000, 3)
    alloy = np.array([one.material == METALS[0] for one in drawn])
    assert alloy.mean() == pytest.approx(wheel_prior.ALLOY_SHARE, abs=0.01)
    assert np.mean([one.wheel.material == METALS[0] for one in corners]) == pytest.approx(alloy.mean(), abs=0.1)
    thick = [one.thickness_mm for one in drawn]
    for metal, these in zip(METALS, (alloy, ~alloy), strict=True):
        middle = np.median(np.array(thick)[these])
        mean = np.mean([mm for kind, mm, _ in few if kind == metal])
        assert middle == pytest.approx(mean, rel=0.05)
    ranges = {item.name: (item.low, item.high) for item in unknowns(Case())}
    assert ranges["pad_thickness_mm"] == THICKNESS_MM
    assert max(abs(one.pad_dish_um) for one in drawn) <= wheel_prior.DISH_UM


def test_a_case_that_says_steel_has_a_pressed_wheel_and_a_narrower_band():
    told = case_from_text('base = "rear_solid_300"\n[wheel]\nmaterial = "steel"\n')
    assert told.wheel.thickness_mm == LIKELY_PAD_MM["steel"]
    low, high = (wheel_prior.THICKNESS["steel"].at(np.array(share)) for share in (0.0, 1.0))
    thick = [one.thickness_mm for one in draw_wheels(told, 50, 1)]
    assert low <= min(thick) < max(thick) <= high
    corners = behind_reading.drawn_corners(told, 40, 5).corners
    assert {one.wheel.material for one in corners} == {"steel"}
    assert len({one.wheel.thickness_mm for one in corners}) > 1
    told = replace(told, debris=DIRTY.debris)
    known, _ = wheel_band(seat(as_driven(told), "fast"))
    unknown, _ = wheel_band(seat(as_driven(DIRTY), "fast"))
    assert np.ptp(known.span_um("outboard")) < 0.7 * np.ptp(unknown.span_um("outboard"))
    low, high = known.span_um("outboard")
    assert low < seat(as_driven(told), "fast").gauge_runout_um < high


def test_a_thick_pad_that_is_measured_is_hardly_of_steel():
    assert wheel_prior.alloy_odds(25.0) == 1.0
    assert wheel_prior.alloy_odds(11.0) < wheel_prior.alloy_odds(None) == wheel_prior.ALLOY_SHARE
    assert wheel_prior.typical(None, 25.0) == (("light alloy", 25.0, 1.0),)


def test_a_wheel_that_is_given_leaves_nothing_to_draw():
    whole = Wheel(
        pad_inner_diameter_mm=72.0,
        pad_outer_diameter_mm=145.0,
        pad_dish_um=10.0,
        pad_thickness_mm=18.0,
        material="steel",
    )
    band, why = wheel_band(seat(replace(as_driven(DIRTY), wheel=whole), "fast"))
    assert band is None
    assert why == "the wheel is given"


def test_the_unknown_wheel_widens_the_band_of_the_road(driven):
    known = replace(driven.as_driven, wheel=None)
    alone = Road().driven(DIRTY, known, None, 3000.0, lambda *_: None)
    assert np.array_equal(alone.dtv_um, driven.forecast.dtv_um)
    wide, narrow = (one.dtv_high_um[-1] - one.dtv_low_um[-1] for one in (driven.forecast, alone))
    assert wide > narrow
    assert "mounted runout" in driven.forecast.moves_most
    assert "mounted runout" not in alone.moves_most


def test_the_verdict_as_driven_is_never_surer_than_a_reading():
    seated = seat(as_driven(DIRTY), "fast")
    known = Driven(seated, "", (140.0,) * 5, None, "the wheel is given")
    value = seated.gauge_runout_um
    assert bounds_um(known, 10.0) == (value - 10.0, value + 10.0)
    assert verdict(known, value + 9.0, 10.0) == "too close to tell"
    assert verdict(known, value + 11.0, 10.0) == "below"
    assert verdict(known, value - 11.0, 10.0) == "above"


# ---------------------------------------------------------------- what was measured leads


def readings(path: Path, clamped_by: str) -> Path:
    rows = [f"mounted,1,0,{a},{45.0 * np.cos(np.radians(a - 60)):.1f},{clamped_by}" for a in range(0, 360, 30)]
    head = "# studs: 5\n# gauge_radius_mm: 140\n# dial_um: 1\n# turned: clockwise\n# dial: + towards\n"
    path.write_text(head + "trace,mount,studs_turned,angle_deg,reading_um,clamped_by\n" + "\n".join(rows) + "\n")
    return path


@pytest.mark.usefixtures("hardly_any_seatings")
@pytest.mark.parametrize("clamped_by", ["wheel", "nuts and spacers"])
def test_a_measured_runout_leads_and_passes_to_the_road(tmp_path, capsys, clamped_by):
    corner = tmp_path / "corner.toml"
    corner.write_text('base = "perfect_solid_300"\n')
    table = readings(tmp_path / "mounted.csv", clamped_by)
    asked = ["drive", str(corner), "--mounted", str(table), "--km", "1000", "--preset", "fast"]
    assert main([*asked, "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["started_from"] == "reading"
    read = answer["reading"]
    assert read["runout_um"] == pytest.approx(90.0, abs=2.0)
    assert read["clamped_by"] == clamped_by
    if clamped_by == "wheel":  # only the dial lies between, and it is no band of no width
        half = 1.2816 / 2.0 * Dial(1.0).doubt_um
        assert read["driven_high_um"] - read["runout_um"] == pytest.approx(half, rel=0.01)
        assert read["runout_um"] - read["driven_low_um"] == pytest.approx(half, rel=0.01)
        assert read["uncertainty_um"] == pytest.approx(Dial(1.0).doubt_um)
        assert answer["dtv_high_um"][-1] > answer["dtv_low_um"][-1]
    else:
        assert read["driven_low_um"] < read["driven_middle_um"] < read["driven_high_um"]
    assert answer["face_runout_um"][0][0] == pytest.approx(read["driven_middle_um"], rel=0.02)
    assert answer["as_driven"]["of"] == "the case, not what was read"
    # What `causes` orders of the same table, which the list below does too.
    assert main(["causes", str(table), "--case", str(corner), "--json"]) == 0
    causes = json.loads(capsys.readouterr().out)
    assert (answer["do"], answer["next"]) == (causes["do"], causes["next"])
    assert main(asked) == 0
    printed = " ".join(capsys.readouterr().out.replace("\u00a0", " ").split())
    first = printed.split("after thickness")[0]
    assert "Measured on the car: 90 µm (0.09 mm)" in first
    assert f"clamped by {clamped_by}" in first
    assert "runs out 0" not in first
    assert "reckoned on a new rotor, 0 µm of thickness variation" in first
    assert "these readings hold no thickness. Read it by micrometer at 12 places" in first
    if clamped_by == "wheel":
        assert "read with the wheel on, 90 µm (± 4.4 µm by its dial; another fitting may seat otherwise)" in first
    assert "held for reading: " not in first.split("As driven")[0]  # what was measured is not called computed


def test_the_figure_as_driven_lies_in_its_own_band():
    """63 um beside "64 to 65 um, 80 % band": the wheel that it is told for is one of those that it may be."""
    seat_ = SimpleNamespace(lateral_runout_um={"outboard": 63.0}, gauge_runout_um=63.0, case=Case())
    found = Driven(seat_, "", (140.0,) * 5, SimpleNamespace(span_um=lambda _: (64.0, 65.0), drawn=("material",)))
    assert wheel_span_um(found, "outboard") == (63.0, 65.0)
    assert "63 to 65" in findings._wheel(found, "outboard").replace("\u00a0", " ")


def test_one_share_of_the_proof_load_holds_a_wheel_whichever_key_says_so():
    """60 N m for reading says nothing of the road; given as the road's it holds no wheel."""
    assert "and counts as the road's too at 30 % or more" in unfit(Studs(torque_nm=60.0))
    assert "where a wheel takes 30 % or more" in unfit(Studs(torque_nm=140.0, road_torque_nm=60.0))
    assert unfit(Studs(torque_nm=140.0, road_torque_nm=90.0)) == ""


def test_uneven_nuts_for_reading_order_nothing_beside_a_road_that_holds():
    uneven = Studs(torque_nm=(140.0, 140.0, 90.0, 140.0, 140.0), road_torque_nm=140.0)
    assert slack_nut(uneven).startswith("stud 3 at 90 N m where others have 140 N m")
    assert slack_nut(Studs(torque_nm=(140.0, 140.0, 130.0, 140.0, 140.0), road_torque_nm=140.0)) == ""
    assert slack_nut(Studs(torque_nm=5.0, road_torque_nm=140.0)) == ""  # by hand for a look, as scale asks


def test_a_list_that_only_differs_leads_to_the_stud_past_its_proof_load():
    over, off = (140.0, 140.0, 330.0, 140.0, 140.0), (140.0, 0.0, 330.0, 140.0, 140.0)
    for studs in (Studs(torque_nm=over), Studs(torque_nm=over, road_torque_nm=140.0)):
        what, why = held_badly_by(Case(studs=studs))
        assert (what, why[:28]) == ("studs", "stud 3: preload above the pr")
    for studs in (Studs(torque_nm=off), Studs(torque_nm=over, road_torque_nm=60.0)):
        case = Case(studs=studs)
        what, why = held_badly_by(case)
        assert what == "nuts"
        told = nuts_first(case, why)
        assert told.index("look at stud") < told.index("stud 3: preload above") < told.index("then all to the")
    assert past_proof(Studs(torque_nm=0.0)) == ""


def test_studs_without_a_nut_do_not_make_those_that_hold_too_hard():
    """Two nuts of five at 140 N m: "stud 1 at 140 N m, stud 4 at 140 N m where others have 0 N m"."""
    assert "where others" not in unfit_as_read(Studs(torque_nm=(140.0, 0.0, 0.0, 140.0, 0.0)))
    slack = unfit_as_read(Studs(torque_nm=(140.0, 0.0, 0.0, 40.0, 140.0)))
    assert slack.startswith("no nut is on stud 2, 3, and stud 4 at 40 N m where others have 140 N m")


def test_one_nut_pulled_hard_does_not_make_the_others_slack():
    hard = Studs(torque_nm=140.0, road_torque_nm=(140.0, 190.0, 140.0, 140.0, 140.0))
    assert slack_nut(hard) == "as driven, stud 2 at 190 N m where others have 140 N m"
