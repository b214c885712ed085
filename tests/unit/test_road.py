"""The road as a user asks about it: worn discs, measurements, going on, interruptions, the words about distances."""

import io
import json
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from rich.console import Console

from scenes.command import tables_road
from scenes.command.app import main
from scenes.command.road_options import Measured
from scenes.plots import road as plots_road
from scenes.words import memory as memory_words
from scenes.words import road as road_words
from scenes.words import words
from sim import worn_rotor
from sim.bench.fitted_runout import Memory
from sim.bench.known_parts import KnownPart
from sim.bench.questions import NOT_BOUGHT, READ_CLEAN, DutyRow, Remains, about_km
from sim.errors import BadInput, Refused
from sim.parts.case import Case
from sim.parts.thickness import uneven
from sim.progress import silent
from sim.run_folder import load
from sim.wear import evidence
from sim.wear.asked import Settings, faces_from_thickness
from sim.wear.brake import COARSE, brake_of
from sim.wear.draws import Disc, Evidence
from sim.wear.forecast import drive
from sim.wear.judder import felt_speed_km_h
from tests import fakes

pytestmark = pytest.mark.usefixtures("fewest_draws", "fewest_corners", "few_wheels")

DEMO = Path(__file__).parents[2] / "demo_geometry"
DIRTY, WORN = DEMO / "demo_dirty.toml", DEMO / "readings_worn_disc.csv"
THETA = 2.0 * np.pi * np.arange(360) / 360
TRACE = 50.0 * np.cos(THETA)
FEW = Settings(draws=24, points=31)


def told(capsys, *argv):
    code = main([str(word) for word in argv])
    out, err = capsys.readouterr()
    return code, out.replace(words.GAP, " "), err.replace(words.GAP, " ")


def readings(path, thickness_mm):
    """Write a readings file with the thickness itself, as a micrometer shows it, in mm."""
    angle = np.arange(0, 360, 30)
    rows = [f"thickness,1,0,{at},{value:.4f}" for at, value in zip(angle, thickness_mm, strict=True)]
    head = ["# studs: 5", "# turned: counter-clockwise", "trace,mount,studs_turned,angle_deg,reading_mm"]
    text = "\n".join([*head, *rows])
    path.write_text(text + "\n")
    return path


CLOSE_UM = 7.45 * np.cos(np.radians(np.arange(0, 360, 30)))  # 14.9 µm of variation
TWELVE = 0.012 * np.cos(np.radians(np.arange(0, 360, 30)))


def test_a_worn_disc_can_be_the_start(capsys):
    code, out, _ = told(capsys, "drive", DIRTY, "--worn", WORN, "--km", 3000, "--preset", "fast", "--json")
    answer = json.loads(out)
    assert code == 0
    assert answer["dtv_um"][0] == pytest.approx(18.9, abs=0.5)  # highest less lowest reading, bent by the rounding
    assert any("from a worn rotor" in note for note in answer["notes"])


def test_measured_thickness_replaces_that_of_the_case(capsys, tmp_path):
    file = readings(tmp_path / "worn.csv", 11.2 + TWELVE)
    _, out, _ = told(capsys, "remains", file, "--json")
    found = json.loads(out)
    assert found["dtv_now_um"] == pytest.approx(24.0, abs=0.1)
    assert found["thickness_after_cut_mm"] is None  # the maker's least thickness after a cut is not in the case
    case = tmp_path / "corner.toml"
    case.write_text('base = "rear_solid_300"\n[rotor]\nmachine_to_thickness_mm = 10.4\n')
    _, out, _ = told(capsys, "remains", file, "--case", case, "--json")
    found = json.loads(out)
    # cut true: 11.212 less what is uneven, less a light cut on either side
    assert 11.07 < found["thickness_after_cut_mm"] < 11.11
    assert "cut it on the car" in found["verdict"]
    vented = DEMO / "front_dirty.toml"
    code, _, err = told(
        capsys, "drive", vented, "--worn", readings(tmp_path / "v.csv", 27.0 + TWELVE), "--km", 500, "--preset", "fast"
    )
    assert code == 0, err


def test_remains_heeds_the_uncertainty_of_the_readings_by_the_rule_of_memory(capsys, tmp_path):
    rows = [f"thickness,1,0,{at},{value:.4f}" for at, value in zip(range(0, 360, 30), CLOSE_UM, strict=True)]
    head = [
        "# studs: 5",
        "# turned: counter-clockwise",
        "# dial_um: 5",
        "trace,mount,studs_turned,angle_deg,reading_um",
    ]
    file = tmp_path / "close.csv"
    file.write_text("\n".join([*head, *rows]) + "\n")
    code, out, err = told(capsys, "remains", file)
    out = " ".join(out.split())
    assert code == 0, err
    assert "15 ± 7 µm: too close to the limit of 15 µm to tell; measure again with a finer micrometer" in out
    assert "Buy nothing yet: measure again with a finer micrometer" in out.split("once the hub is clean")[0]
    assert "below it after" not in out
    assert "▌ The vehicle maker's instructions stand above everything" in out
    assert "▲" not in out  # nothing goes yet
    assert "below the limit of 15 µm" not in out
    assert "Thickness itself not known, discard NOT checked: measure it" in out
    assert out.startswith("Your rotor; car, pads and caliper of the demo corner")
    quick = ("--worn", file, "--km", 500, "--preset", "fast")
    code, drove, err = told(capsys, "drive", DEMO / "demo_clean.toml", *quick)
    drove = " ".join(drove.split())
    assert code == 0, err
    assert "Cannot tell whether it starts over the limit, 15 µm (default, common practice): measured 15 ± 7 µm" in drove
    assert "Measure the thickness again, three turns with a finer micrometer" in drove
    assert "worn as read: close.csv" in drove
    answer = json.loads(told(capsys, "remains", file, "--json")[1])
    assert answer["km_to_fade"] is answer["probability_fades"] is None
    said = memory_words.thickness(Case(), memory(thickness_variation_um=14.9, thickness_doubt_um=7.0))
    assert "15 ± 7 µm: too close to the limit of 15 µm to tell; measure again with a finer micrometer" in said


@pytest.mark.parametrize(("state", "act"), [("as found", NOT_BOUGHT), ("cleaned", READ_CLEAN)])
def test_remains_asks_for_no_cleaning_that_its_table_holds(tmp_path, monkeypatch, state, act):
    def outlook(_case, worn_um, *_, **asked):
        road = drive(
            Case(), np.zeros(360), 100.0, worn_um=worn_um, settings=Settings(draws=0, points=3, fineness=COARSE)
        )
        return Remains(road, 0.0, None, None, None, None, None, f"{NOT_BOUGHT}. why", act=NOT_BOUGHT, why="why")

    monkeypatch.setattr(worn_rotor, "seat", lambda _: None)
    monkeypatch.setattr(worn_rotor, "pad_trace_um", lambda _: None)
    monkeypatch.setattr(worn_rotor, "cleaned_outlook", outlook)
    file = tmp_path / "read.csv"
    rows = [f"{kind},1,0,{at},{at // 30 % 2},{state}" for kind in ("thickness", "mounted") for at in range(0, 360, 30)]
    rows.append(f"mounted,1,0,feeler,100,{state}")
    head = ["# studs: 5", "# turned: counter-clockwise", "# dial: + towards", "# dial_um: 1"]
    file.write_text("\n".join([*head, "trace,mount,studs_turned,angle_deg,reading_um,state", *rows]) + "\n")
    _, found = worn_rotor.after_cleaning(Case(), file, "both faces", 100.0, silent)
    assert found.act == act
    assert found.verdict == f"{act}. why"


def test_readings_stand_in_the_head_of_a_road():
    assert Measured(mounted=Path("runout.csv")).read_from() == "as read: runout.csv"
    assert Measured().read_from() == ""


@pytest.mark.parametrize(
    ("thickness_mm", "exit_code", "said"),
    [
        (12.4 + TWELVE, 2, "does not lie on this corner, whose rotor is 12 mm when new"),
        (10.005 + TWELVE, 0, "scrap, renew it; in axle pairs"),
        (9.5 + TWELVE, 0, "scrap, renew it; in axle pairs"),
        (10.9 + 80 * TWELVE, 0, "scrap, renew it; in axle pairs"),
    ],
)
@pytest.mark.parametrize("command", ["remains", "drive"])
def test_discs_that_cannot_be_driven_are_refused(capsys, tmp_path, thickness_mm, exit_code, said, command):
    file = readings(tmp_path / "worn.csv", thickness_mm)
    argv = ("remains", file) if command == "remains" else ("drive", DIRTY, "--worn", file)
    code, out, err = told(capsys, *argv)
    assert code == exit_code
    assert not (out and err)
    assert said in " ".join((out + err).split())
    assert len(err.splitlines()) == (1 if exit_code else 0)
    assert "km" not in out


@pytest.mark.parametrize("places", [8, 9, 10, 11, 12, 16])
def test_what_even_places_miss_of_two_humps_is_in_the_half_width(places):
    # Every phase of two humps, read without error: the truth is inside, and at the worst phase just so.
    misses = []
    for phase in np.linspace(0.0, np.pi, 3961):
        read = uneven(8.0 * np.cos(2.0 * (2.0 * np.pi * np.arange(places) / places - phase)), 0.0, 15.0)
        misses.append(16.0 - read.value_um - read.doubt_um)
    assert max(misses) < 1e-9
    assert max(misses) > -0.05
    two = uneven(8.0 * np.cos(4.0 * np.pi * np.arange(places) / places), 2.0, 15.0)
    assert ("two humps" in two.said) == (two.between_um >= 0.5) == (places % 2 == 0)
    one = uneven(8.0 * np.cos(2.0 * np.pi * np.arange(places) / places), 0.0, 15.0)
    assert one.doubt_um == one.between_um == 0.0


@pytest.mark.parametrize("zero_um", [0.0, 11_000.0])
def test_a_road_from_a_worn_rotor_says_how_it_stands_against_its_discard_thickness(tmp_path, capsys, zero_um):
    values = zero_um + 10.0 * np.round(np.cos(np.radians(np.arange(12) * 30.0)))
    head = "# studs: 5\n# gauge_radius_mm: 140\n# dial_um: 5\n# turned: counter-clockwise\n# dial: + towards\n"
    rows = "".join(f"thickness,1,0,{30 * k},{value:g}\n" for k, value in enumerate(values))
    path = tmp_path / "worn.csv"
    path.write_text(f"{head}trace,mount,studs_turned,angle_deg,reading_um\n{rows}")
    corner = tmp_path / "corner.toml"
    corner.write_text('title = "a"\n')
    assert main(["drive", str(corner), "--worn", str(path), "--km", "300"]) == 0
    told = " ".join(capsys.readouterr().out.split())
    wanted = (
        "10.990 ± 0.007 mm (k = 2) at its thinnest" if zero_um else "thickness itself not known, discard NOT checked"
    )
    assert wanted in told.replace("\u00a0", " ").split("Thickness of the worn rotor: ")[1]


@pytest.mark.parametrize(
    ("worn", "said"),
    [
        (np.zeros((2, 5)), "two rows"),
        (np.zeros((3, 360)), "two rows"),
        (np.full((2, 360), -1.0), "thicker than new"),
    ],
)
def test_worn_maps_that_cannot_be_are_refused(worn, said):
    with pytest.raises(BadInput, match=said):
        drive(Case(), TRACE, 1000.0, worn_um=worn, settings=FEW)


def test_a_worn_map_down_to_the_discard_thickness_is_scrap():
    with pytest.raises(Refused, match="at or under it the rotor is scrap"):
        drive(Case(), TRACE, 1000.0, worn_um=np.full((2, 360), 1500.0), settings=FEW)


def test_a_measurement_moves_the_curve_to_it_and_says_how():
    """One thickness variation at a known distance: the curve then passes near it, inside its own band."""
    plain = drive(Case(), TRACE, 5000.0, settings=replace(FEW, draws=0))
    item = Evidence("dtv_um", 11.0, 4000.0, 0.5)
    found = drive(Case(), TRACE, 5000.0, settings=replace(FEW, draws=96, evidence=(item,)))
    here, before = (float(np.interp(4000.0, one.distance_km, one.dtv_um)) for one in (found, plain))
    assert abs(before - 11.0) > 2.5
    assert here == pytest.approx(11.0, abs=1.7)  # one standard doubt: 0.5 of the reading, 15 % for the model
    assert np.all(found.dtv_low_um <= found.dtv_um + 1e-9)
    assert np.all(found.dtv_um <= found.dtv_high_um + 1e-9)
    sentence = next(note for note in found.notes if note.startswith("narrowed"))
    for word in ("11 µm at 4000 km", "weighs as much as it explains", "pad carrier stiffness", f"{found.draws} draws"):
        assert word in sentence


def test_weights_do_not_depend_on_how_far_is_driven():
    item = (Evidence("drag_nm", 1.0, 0.0, 0.1),)
    settings = replace(FEW, evidence=item)
    first = drive(Case(), TRACE, 2000.0, settings=settings)
    onward = drive(Case(), TRACE, 5000.0, settings=settings, so_far=first.going_on)
    at_once = drive(Case(), TRACE, 5000.0, settings=settings)
    assert np.array_equal(onward.thickness_um, at_once.thickness_um)
    assert np.array_equal(onward.dtv_high_um, at_once.dtv_high_um)


@pytest.mark.parametrize(
    "changed",
    [
        {"worn_um": faces_from_thickness(10.0 * np.cos(THETA))},
        {"runout_um": 40.0 * np.cos(THETA)},
        {"settings": replace(FEW, evidence=(Evidence("drag_nm", 1.4, 0.0, 0.1),))},
    ],
)
def test_a_run_does_not_go_on_from_another_start(changed):
    first = drive(Case(), TRACE, 1000.0, settings=FEW)
    words_ = {"runout_um": TRACE, "km": 2000.0, "settings": FEW, "so_far": first.going_on}
    with pytest.raises(BadInput, match="began from other readings"):
        drive(Case(), **(words_ | changed))


def test_moved_values_lie_between_the_draws():
    brake = brake_of(Case())
    disc = Disc(TRACE * 1e-3, 140.0, np.zeros((2, 360)), 0.4, 519.5)
    weighed = evidence.weigh_draws(disc, brake, (Evidence("drag_nm", 2.0, 0.0, 0.1),), 64, 1)
    there = evidence.moved(brake, weighed)
    assert there.holder_n_mm > brake.holder_n_mm  # more drag than the case gives: stiffer holder or less clearance
    assert weighed.equivalent < weighed.weight.size


# --- interrupted ---------------------------------------------------------------------------------------------------


def test_an_interrupted_drive_leaves_nothing_half_written(capsys, tmp_path, monkeypatch):
    def stop(*_, **__):
        raise KeyboardInterrupt

    monkeypatch.setattr("sim.wear.forecast.spread", stop)
    code, out, err = told(capsys, "drive", DIRTY, "--preset", "fast", "--km", 2000, "--out", tmp_path / "run")
    assert code == 130
    assert "interrupted" in err
    assert not (tmp_path / "run").exists()


@pytest.mark.usefixtures("undrawn")
def test_interrupted_writing_keeps_the_older_run_whole(capsys, tmp_path, monkeypatch):
    folder, argv = tmp_path / "run", ("drive", DIRTY, "--preset", "fast", "--out", tmp_path / "run")
    told(capsys, *argv, "--km", 300)

    def stop(*_, **__):
        raise KeyboardInterrupt

    with monkeypatch.context() as patched:
        patched.setattr("sim.run_folder.np.savez", stop)
        code, _, _ = told(capsys, *argv, "--km", 600)
    assert code == 130
    assert load(folder).forecast.distance_km[-1] == 300.0
    assert not list(folder.glob("*.part"))
    # and it goes on from there, to the bit
    argv = ("drive", DIRTY, "--preset", "fast", "--km", 600, "--json")
    _, onward, _ = told(capsys, *argv, "--go-on-from", folder)
    _, at_once, _ = told(capsys, *argv)
    assert onward == at_once
    before = (*argv[:4], "--km", 300, "--go-on-from", folder)  # a forecast that ends before it
    code, _, err = told(capsys, *before)
    assert code == 2
    assert "--km: 300 is no further than the run was driven" in err
    code, _, err = told(capsys, *argv, "--go-on-from", folder, "--worn", WORN)
    assert code == 2
    assert "began from other readings" in err


# --- words, tables, plots ------------------------------------------------------------------------------------------


def test_distances_beyond_the_road_are_not_called_never():
    assert road_words.band(2200.0, None, 30_000.0).replace(words.GAP, " ") == "2 200 km to over 30 000 km, or never"
    assert road_words.band(None, None, 5000.0).replace(words.GAP, " ") == "not within 5 000 km"
    assert road_words.band(0.0, 900.0, 5000.0).replace(words.GAP, " ") == "at once to 900 km"


def test_rows_keep_both_kinds_of_wear_apart_and_give_lives_with_their_doubt():
    rows = {name: (figure.replace(words.GAP, " "), note.replace(words.GAP, " ")) for name, figure, note in
            road_words.road_rows(fakes.run())}  # fmt: skip
    assert rows["wear, brake released"] != rows["wear, brake applied"]
    assert rows["rotor lasts"] == ("110 000 km", "80 % band: 60 000 km to 210 000 km")
    assert rows["pads last"][1].startswith("24 000 km to 120 000 km")
    # One that the nuts drew home over scale may crack: it is promised no distance.
    damaged = fakes.run()
    damaged.spigot = {"home": "home", "wedged": True}
    assert ("rotor lasts", "not told", "drawn home over scale, which is damage") in road_words.road_rows(damaged)
    assert rows["residual drag, share from runout"][1].startswith("within the limit, 3.7 N m")
    assert {name.replace(words.GAP, " "): row[0] for name, row in rows.items()}[
        "limit reached within 30 000 km"
    ] == "82 %"
    assert rows["moves the answer most"][0] == "wear of the rotor"
    # order 2 meets the mode at half the speed of order 1
    low, high = (float(part) for part in rows["order 1 is felt at"][0].removesuffix(" km/h").split(" to "))
    assert low < felt_speed_km_h(1, 14.0, Case().drive.revolutions_per_km) < high


def test_of_many_parameters_only_the_next_three_are_named():
    run = fakes.run()
    run.forecast.moves_most = dict.fromkeys(road_words.UNSETTLED, 0.1)
    first, *others = road_words.UNSETTLED.values()
    told = next(row for row in road_words.road_rows(run) if row[0] == "moves the answer most")
    assert told[1:] == (first, f"then {others[0]}, {others[1]} and {others[2]}")


def test_lives_have_a_band_that_follows_the_wear():
    found = drive(Case(), TRACE, 3000.0, settings=FEW)
    low, high = found.disc_life_band_km
    assert low < found.disc_life_km < high
    # pads: from memory 1e-5 .. 5e-5 about the case's 2.5e-5
    assert found.pad_life_range_km == pytest.approx((found.pad_life_km / 2.0, found.pad_life_km * 2.5))


def row(runout, draws=200, **changed):
    values = {
        "duty": "mixed", "caliper": "floating", "pads": "abrasive", "runout_um": runout, "km_to_10": 2400.0,
        "km_to_15": 5500.0, "km_to_20": None, "km_to_limit": 5500.0, "km_low": 3100.0, "km_high": None,
        "probability_never": 0.27, "peak_um": 18.0, "peak_km": 13_000.0, "end_um": 12.0, "drag_nm": 1.0,
        "tap_force_n": 100.0, "draws": draws,
    }  # fmt: skip
    return DutyRow(**(values | changed))


def shown(renderable):
    show = Console(width=140, record=True, file=io.StringIO())
    show.print(renderable)
    return show.export_text().replace(words.GAP, " ")


def test_duty_table_and_map_say_band_and_beyond():
    rows = (row(100.0), row(30.0, km_to_limit=None, km_low=None, probability_never=0.99))
    text = shown(tables_road.duty(rows, 15.0, 30_000.0))
    assert "– not within 30 000 km" in text
    assert "3 100" in text
    assert "27 %" in text
    bare = shown(tables_road.duty((row(100.0, draws=0),), 15.0, 30_000.0))
    assert "27 %" not in bare
    assert "from" not in bare.splitlines()[1]  # no empty columns
    # A dash is never: what about half of the draws reach is told by their share, beside a peak over the limit.
    half = row(100.0, probability_never=0.57, km_to_20=16_000.0)
    text = shown(tables_road.duty((half,), 15.0, 30_000.0, ("floating", "abrasive")))
    assert "floating caliper, abrasive pads, as in the case" in text
    line = next(line for line in text.splitlines() if "mixed" in line)
    assert " ".join(line.split()) == "mixed 100 µm 2 400 43 % at most 43 % 3 100 – 57 % 18 µm 1.0 N m"
    assert "43 %" in plots_road.duty_map((half,), 15.0, 30_000.0).replace(words.GAP, " ")
    drawn = plots_road.duty_map(rows, 15.0, 30_000.0).replace(words.GAP, " ")
    assert "3 100 km or more" in drawn
    assert "5 500 km" in drawn
    assert plots_road.short_band(3100.0, 9000.0).replace(words.GAP, " ") == "3 100 to 9 000 km"


def test_the_duty_table_has_a_column_for_the_cases_own_limit_and_a_rotor_that_goes_leads_it():
    """A maker's 8 µm stood nowhere, and a rotor of 9 µm had no word of it above its distances."""
    text = shown(tables_road.duty((row(100.0, km_to_limit=1700.0),), 8.0, 30_000.0))
    assert "8.0 µm" in text.splitlines()[1]
    line = next(line for line in text.splitlines() if "mixed" in line)
    assert " ".join(line.split()).startswith("mixed 100 µm 1 700 2 400 5 500")
    stays = replace(Case(), limits=replace(Case().limits, dtv_um=8.0))
    assert not any(tables_road.duty_leads(stays))
    goes = replace(stays, rotor=replace(stays.rotor, own_thickness_variation_um=9.0))
    led, nothing = tables_road.duty_leads(goes)
    assert led.startswith("The rotor first, as given: its thickness varies by 9 µm, over its limit of 8 µm")
    assert "counts for nothing: the rotor as given goes first" in nothing


def test_speed_plot_names_bands_of_both_modes():
    corner = fakes.run()
    two = replace(corner.case, judder=replace(corner.case.judder, second_mode_hz=30.0))
    corner.case = two
    drawn = plots_road.speeds(corner).replace(words.GAP, " ")
    assert "14 Hz mode" in drawn
    assert "30 Hz mode" in drawn
    assert "order 1" in drawn


def memory(**changed):
    values = {
        "fitted_runout_um": 115.0, "low_um": 107.0, "high_um": 128.0, "runout_now_um": 86.0, "high_spot_deg": 44.0,
        "high_spot_band_deg": 0.3, "finding": "above the limit at fitting", "reason": "a <reason>",
        "looks_like_wear": True, "notes": ("runout shrinks",),
    }  # fmt: skip
    return Memory(**(values | changed))


def test_memory_is_told_and_drawn_with_and_without_the_faces():
    full, bare = memory(), memory(runout_now_um=None, high_spot_deg=None, high_spot_band_deg=None)
    part = KnownPart("what stays with the hub", 83.0, 334.0, 2.0, "a second stud position")
    text = shown(tables_road.memory(Case(), replace(full, known=(part,), studs_turned=2), 8000.0))
    assert "44° ± 1°" in text
    assert "83 µm at 118° on the hub" in text
    assert "as you say 8 000 km ± 25 %" in " ".join(text.split())
    assert "added by the wear model, over that distance 29 µm" in " ".join(text.split())
    assert "the readings do not tell" in shown(tables_road.memory(Case(), bare, 8000.0))
    unlike = shown(tables_road.memory(Case(), memory(looks_like_wear=False), 8000.0))
    assert "at fitting" not in unlike
    assert "44°" not in unlike
    drawn = plots_road.remembered(Case(), full).replace(words.GAP, " ")
    assert "107 to 128 µm, 80 % band" in drawn
    assert "high spot" in drawn
    assert "a &lt;reason&gt;" in drawn
    assert "the readings do not tell" in plots_road.remembered(Case(), bare)
    unlike = plots_road.remembered(Case(), memory(looks_like_wear=False))
    assert "80 % band" not in unlike
    assert "not told" in unlike


def test_memory_writes_its_plot(capsys, tmp_path, monkeypatch):
    monkeypatch.setattr("sim.worn_rotor.remembered", lambda *_: memory())
    code, out, _ = told(capsys, "memory", WORN, "--km", 8000, "--out", tmp_path)
    assert code == 0
    assert "does not clear" in out or "shrinks" in out
    assert (tmp_path / "memory.svg").read_text().startswith("<svg")


def test_two_figures_of_a_distance():
    assert [about_km(km) for km in (1869.0, 12_740.0, 0.4)] == ["1 900 km", "13 000 km", "0 km"]
