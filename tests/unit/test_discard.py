"""A rotor under its discard thickness is scrap, and a cut on the car needs what the maker and a micrometer say."""

from __future__ import annotations

import json
from dataclasses import replace
from importlib import resources
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

from scenes.command import app
from scenes.command.road_options import Measured
from scenes.words import causes_first, causes_read, causes_thickness, findings, to_do, what_leads
from scenes.words import steps as own_steps
from sim import index_case, seat
from sim.__main__ import main as numbers_alone
from sim.bench.cut_on_car import no_cut
from sim.causes import names
from sim.corner.driven import MountedReading
from sim.errors import Refused, Scrap
from sim.files import dial_readings
from sim.files.case_file import case_from_text, load_case
from sim.files.dial_readings import Readings
from sim.files.reading_faults import ReadingFault
from sim.files.trace import Trace
from sim.parts.case import Case, Rotor
from sim.parts.contradictions import check_case
from sim.parts.discard import discard_words, is_slim, refuse_scrap, refuse_thin, scrap_reason
from sim.wear.asked import faces_from_thickness
from sim.wear.forecast import drive
from sim.worn_rotor import worn_map
from tests import fakes
from tests.unit.hand_made_finding import FOUR, finding

DEMO = resources.files("demo_geometry")
CASE = """base = "rear_solid_300"
[rotor]
own_runout_um = 90
"""

DIAL = ("# studs: 5", "# turned: counter-clockwise", "# dial_um: 1", "# gauge_radius_mm: 140", "# dial: + towards")

pytestmark = pytest.mark.usefixtures("fewest_seatings", "fewest_draws", "fewest_corners", "few_wheels")


@pytest.fixture
def corner(tmp_path):
    def write(lines=""):
        path = tmp_path / "corner.toml"
        path.write_text(CASE + lines)
        return str(path)

    return write


@pytest.fixture
def micrometer(tmp_path):
    def write(thickness_mm):
        rows = [f"thickness,1,0,{angle},{thickness_mm}" for angle in range(0, 360, 30)]
        path = tmp_path / f"thickness_{thickness_mm}.csv"
        head = ["# studs: 5", "# turned: counter-clockwise", "trace,mount,studs_turned,angle_deg,reading_mm"]
        path.write_text("\n".join([*head, *rows]))
        return str(path)

    return write


def told(capsys, *argv):
    code = app.main([str(word) for word in argv])
    out, err = capsys.readouterr()
    return code, " ".join(out.split()), " ".join(err.split())


def test_a_thickness_just_under_is_not_rounded_up_to_the_discard_thickness():
    assert scrap_reason(Rotor(), 9.9999).startswith("9.9999 mm is under")
    assert scrap_reason(Rotor(), 10.0) == ""
    assert "nothing is left to wear" in scrap_reason(Rotor(), 10.0, at_too=True)


@pytest.mark.parametrize("command", ["check", "picture", "seat", "drive", "index", "face", "clamp", "duty", "report"])
def test_a_case_under_its_discard_thickness_is_scrap_in_every_command(capsys, corner, command):
    """It was one line and exit 3 under its stamp, at its stamp a page: what orders work orders the rotor."""
    case = corner("thickness_mm = 9.6\nminimum_thickness_mm = 10.0\n")
    said = "9.60 mm is under the discard thickness of 10 mm: scrap, renew it; in axle pairs"
    code, out, err = told(capsys, command, case)
    if command in ("check", "picture"):
        assert (code, out) == (3, "")
        assert said in err
        assert "allowed" not in err
        return
    assert (code, err) == (0, "")
    assert f"Its thickness comes first: {said}. Both rotors of the axle new" in out
    code, out, err = told(capsys, command, case, "--json")
    answer = json.loads(out)
    assert (code, err, answer["do"], answer["thinnest_mm"]) == (0, "", "renew the rotor", 9.6)
    assert answer["leads"][0].startswith("Its thickness comes first")
    code, out, err = told(capsys, command, corner("thickness_mm = 9.6\n"), "--json")  # by a part set's figure
    assert (code, err, json.loads(out)["do"]) == (0, "", "read the stamp")


def test_a_case_at_its_discard_thickness_is_scrap_in_one_manner(capsys, corner, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("sim.corner.face_map.face_map", lambda *_: SimpleNamespace(clean_um=20.0))
    monkeypatch.setattr("sim.corner.clampings.compare", lambda *_: ())
    monkeypatch.setattr("sim.corner.trust.trusted_clampings", lambda *_, **__: ())
    monkeypatch.setattr("sim.answers.face_answer", lambda *_: {})
    monkeypatch.setattr("scenes.command.cure.face_over", lambda *_: "")
    monkeypatch.setattr("sim.chain.compute", lambda asked, *_, **__: refuse_scrap(asked, at_too=True))
    case = corner("thickness_mm = 10.0\nminimum_thickness_mm = 10.0\n")
    for command in ("drive", "duty", "report", "face", "clamp"):
        code, out, err = told(capsys, command, case, "--json")
        assert (code, err) == (0, ""), command
        assert "10.00 mm is the discard thickness, nothing is left to wear: scrap" in " ".join(json.loads(out)["leads"])
    assert "Nothing is written: of a table that holds" in told(capsys, "report", case)[1]
    assert not (tmp_path / "report.html").exists()


@pytest.mark.parametrize("thick_mm", [10.0, 9.6])
def test_a_part_sets_figure_is_told_as_one_at_every_door(capsys, corner, thick_mm):
    """`drive` of a rotor at it said "is the discard thickness ... scrap", `index` "replace the rotor"."""
    case = corner(f"thickness_mm = {thick_mm}\n")
    side = "at" if thick_mm == 10.0 else "under"
    for command in ("seat", "drive", "index", "duty", "report"):
        code, out, err = told(capsys, command, case, "--json", *(["--no-pictures"] if command == "report" else []))
        assert code == 0, command
        assert not err.replace("100 % done", "").strip(), command  # progress, where the machine is slow
        (lead,) = [one for one in json.loads(out)["leads"] if " first" in one]
        assert f"{side} 10 mm, the discard thickness of the part set and not of your rotor: read the figure" in lead
        assert lead.endswith("Until its stamp is read nothing is cut, and nothing but that leaves it on."), command
        assert "nothing is left to wear" not in out
        assert "replace the rotor" not in out
        assert "No runout keeps it on" not in out
    _, out, _ = told(capsys, "index", corner(f"thickness_mm = {thick_mm}\nminimum_thickness_mm = 10.0\n"), "--json")
    assert "Both rotors of the axle new" in out


@pytest.mark.parametrize("stamp", ["minimum_thickness_mm = 10.0\n", ""])
def test_no_stud_and_no_cut_is_reckoned_of_a_rotor_at_its_discard_thickness(capsys, corner, micrometer, stamp):
    """`index` printed "stud 5 ... below ... any of these" and a cut, and its sentence behind them; `drive` an order."""
    at, exactly = corner(f"thickness_mm = 10.0\n{stamp}"), micrometer(10.0)
    for more in ((), ("--json",)):
        asked = told(capsys, "index", at, *more)
        assert asked == told(capsys, "drive", at, *more)
        assert "Its thickness comes first: 10.00 mm is" in asked[1]
        assert "best" not in asked[1]
    with pytest.raises(Scrap, match=r"rotor\.thickness_mm: 10\.00 mm is"):
        index_case(load_case(at))
    assert numbers_alone(["index", at]) == 3  # as its `drive`
    assert "best" not in capsys.readouterr().out
    worn = corner(stamp)  # thicker as given, and read at it
    for more in ((), ("--json",)):
        read = told(capsys, "index", worn, "--thickness", exactly, *more)
        assert read == told(capsys, "drive", worn, "--worn", exactly, *more)


def test_a_cut_that_leaves_less_than_the_discard_thickness_is_said_to_be_under_it():
    """ "About 9.90 mm, no wear to speak of over its discard thickness of 10 mm": it is under it."""
    stamped = case_from_text('base = "rear_solid_300"\n[rotor]\nminimum_thickness_mm = 10.0')
    assert no_cut(stamped, 10.05, 10.0) == "a cut would leave about 9.96 mm, under its discard thickness of 10 mm"
    assert no_cut(stamped, 10.093, 10.0) == "a cut would leave about 9.998 mm, under its discard thickness of 10 mm"
    assert no_cut(stamped, 10.15, 10.0).endswith("10.05 mm, no wear to speak of over its discard thickness of 10 mm")


def test_a_rotor_under_a_part_sets_figure_that_is_uneven_too_goes_whatever_its_stamp(capsys, corner, micrometer):
    """ "Nothing but its stamp leaves it on" stood over a list that renewed it for 30 µm, which the lead left out."""
    uneven, even = "own_thickness_variation_um = 30.0\n", ""
    for more, said in ((uneven, "varies by 30\xa0µm as given (measured before it is renewed), over its"), (even, "")):
        _, out, _ = told(capsys, "drive", corner(f"thickness_mm = 9.7\n{more}"), "--json")
        (lead,) = [one for one in json.loads(out)["leads"] if one.startswith("Its thickness comes first")]
        assert (said or "nothing but that leaves it on") in lead
        assert ("nothing but that leaves it on" in lead) is (not said)
    # A micrometer's turn counts, and not what the case gives.
    table = Path(micrometer(9.6))
    head, rows = table.read_text().split("thickness,", 1)[0], [f"thickness,1,0,{a}" for a in range(0, 360, 30)]
    wavy = [f"{row},{9.617 + 0.017 * np.cos(np.radians(30.0 * k)):.3f}" for k, row in enumerate(rows)]
    for turn, given, uneven in (([f"{row},9.6" for row in rows], 30.0, False), (wavy, 5.0, True)):
        table.write_text(head + "\n".join(turn) + "\n")
        case = corner(f"own_thickness_variation_um = {given}\n")
        _, out, _ = told(capsys, "drive", case, "--worn", table, "--json")
        (lead,) = [one for one in json.loads(out)["leads"] if one.startswith("Its thickness comes first")]
        assert ("over its stamp it goes too: its thickness varies by 34 ± " in lead) is uneven
        assert ("nothing but that leaves it on" in lead) is not uneven


def test_measured_under_the_discard_thickness_is_scrap_and_ordered_as_causes_orders_it(capsys, corner, micrometer):
    thin = micrometer(9.6)
    for stated, do in (("minimum_thickness_mm = 10.0\n", "renew the rotor"), ("", "read the stamp")):
        case = corner(stated)
        for argv in (
            ("drive", case, "--worn", thin),
            ("remains", thin, "--case", case),
            ("index", case, "--thickness", thin),
        ):
            code, out, err = told(capsys, *argv)
            assert (code, err) == (0, ""), argv
            assert "Its thickness comes first: 9.60 mm is under" in out
            assert "scrap, renew it; in axle pairs" in out
            assert ("Both rotors of the axle new, each on a clean hub; read after fitting" in out) is bool(stated)
            assert "The vehicle maker's instructions stand above everything" in out
            assert "Cracked means scrap" in out
            code, out, err = told(capsys, *argv, "--json")
            answer = json.loads(out)
            assert (code, err, answer["do"], answer["thinnest_mm"]) == (0, "", do, pytest.approx(9.6))
            assert answer["leads"][0].startswith("Its thickness comes first: 9.60 mm is under")


def test_the_thickness_that_stands_beside_a_mounted_runout_counts_on_the_road(capsys, corner, tmp_path):
    def table(thickness_um):
        path = tmp_path / "mounted.csv"
        head = "# studs: 5\n# gauge_radius_mm: 140\n# turned: counter-clockwise\n# dial: + towards\n# dial_um: 10\n"
        rows = [f"mounted,1,0,{a},{round(30 * np.cos(np.radians(a)), -1):.0f}" for a in range(0, 360, 30)]
        rows += [f"thickness,1,0,{a},{value:.0f}" for a, value in zip(range(0, 360, 30), thickness_um, strict=True)]
        path.write_text(f"{head}trace,mount,studs_turned,angle_deg,reading_um\n" + "\n".join(rows) + "\n")
        return path

    wave = 15.0 * np.cos(np.radians(np.arange(0, 360, 30)))
    code, out, err = told(capsys, "drive", corner(), "--mounted", table(9990.0 + wave))
    assert (code, err) == (0, "")
    assert "scrap, renew it; in axle pairs" in out
    road = Measured(mounted=table(11_690.0 + wave)).road(Case())
    assert road.worn_varies is not None
    assert road.worn_varies.value_um == pytest.approx(30.0)
    assert np.array(road.worn_um).sum(axis=0).max() == pytest.approx(30.0)
    assert road.worn_thinnest_mm == pytest.approx(11.675)
    assert "11.675 ± 0.007 mm (k = 2) at its thinnest" in road.worn_said
    slipped = wave.copy()
    slipped[4] += 500.0
    code, _, err = told(capsys, "drive", corner(), "--mounted", table(11_690.0 + slipped))
    assert code == 2
    assert "place 120" in err or "120 degrees" in err


def test_the_last_mounting_counts_on_the_road_and_the_bare_hub_beside_it(tmp_path):
    """As found 20 um, cleaned 100: the first mounting was driven, "quiet", and the hub called "not measured here"."""
    path = tmp_path / "mounted.csv"
    head = (
        "# studs: 5\n# gauge_radius_mm: 140\n# hub_face_radius_mm: 64\n# turned: counter-clockwise\n"
        "# dial: + towards\n# dial_um: 2\ntrace,mount,studs_turned,angle_deg,reading_um,state,clamped_by\n"
    )

    def turn(start, half_um, end):
        return [f"{start},{a},{2 * round(half_um * np.cos(np.radians(a)) / 2)},{end}" for a in range(0, 360, 30)]

    rows = turn("mounted,1,0", 10, "as found,wheel") + turn("mounted,2,1", 50, "cleaned,nuts and spacers")
    path.write_text(head + "\n".join(rows + turn("hub face,,", 27, "cleaned,")) + "\n")
    road = Measured(mounted=path).road(Case())
    assert np.ptp(road.mounted_um) == pytest.approx(100.0, abs=2.0)
    assert road.mounted_by == "nuts and spacers"
    assert road.mounted_which.startswith("mount 2, cleaned, painted hole on stud 2")
    assert road.bare_hub.runout_um == pytest.approx(54.0, abs=2.0)
    run = fakes.run(dirty=False)
    run.reading = MountedReading(np.zeros(360), "wheel", "the readings", (19.0, 20.0, 21.0), np.ones(1), 4.7)
    run.reading = replace(run.reading, which=road.mounted_which, bare_hub=road.bare_hub)
    assert "mount 2, cleaned" in findings.runout(run).sentence
    first = what_leads.hub_first(run)
    assert first.startswith("Hub and bearing first, no rotor and no stud cures a hub. Bare hub face as read")
    assert first in what_leads.headlines(run)
    assert not any("not measured here" in line for line in what_leads.noted(run))
    assert own_steps.HUB_READ_FIRST in to_do.next_steps(run)


def test_a_rotor_a_hair_above_its_discard_thickness_has_nothing_left_to_wear(corner):
    near = discard_words(Case(), 10.013)
    assert "10.01 mm at its thinnest, 0.01 mm above the part set's discard thickness of 10 mm: read the figure" in near
    own = load_case(corner("minimum_thickness_mm = 10.0\n"))
    assert "0.01 mm above its discard thickness of 10 mm: no wear to speak of is left" in discard_words(own, 10.013)
    assert "no wear" not in discard_words(own, 10.2)
    assert "10.013 ± 0.006 mm (k = 2) at its thinnest, 0.013 mm above its" in discard_words(own, 10.013, 0.006)
    # Within what its micrometer is sure to it counts as scrap; by a part set's figure nobody's rotor does.
    with pytest.raises(Refused, match=r"10\.004 ± 0\.006 mm \(k = 2\) cannot be told from .* 10 mm: count it as scrap"):
        refuse_thin(own, 10.004, "thinnest place", half_mm=0.006)
    refuse_thin(own, 10.007, "thinnest place", half_mm=0.006)
    refuse_thin(Case(), 10.004, "thinnest place", half_mm=0.006)
    assert not is_slim(own, None)


def test_one_sentence_on_the_discard_thickness_wherever_a_thickness_was_read(capsys, corner, micrometer):
    thin, thick, relative = micrometer(9.63), micrometer(10.7), DEMO / "readings_worn_disc.csv"
    unstamped = "9.63 mm is under 10 mm, the discard thickness of the part set and not of your rotor: read the figure"
    stated = corner("minimum_thickness_mm = 10.5\n")
    assert unstamped in told(capsys, "remains", thin)[1]
    assert (
        "10.700 ± 0.008 mm (k = 2) at its thinnest, scrap at or under its discard thickness of 10.5 mm"
        in told(capsys, "index", stated, "--thickness", thick)[1]
    )
    assert "9.63 mm is under the discard thickness of 10.5 mm" in told(capsys, "index", stated, "--thickness", thin)[1]
    plain = corner()
    assert unstamped in told(capsys, "index", plain, "--thickness", thin)[1]
    # The margin to the part set's figure is known, and is not the stamp's.
    assert (
        "10.700 ± 0.008 mm (k = 2) at its thinnest, 0.70 mm above 10 mm, the discard thickness of the part set; the "
        "stamp on your rotor decides" in told(capsys, "index", plain, "--thickness", thick)[1]
    )
    assert (
        "thickness itself not known, discard NOT checked: measure it"
        in told(capsys, "index", plain, "--thickness", relative)[1]
    )


@pytest.mark.parametrize("part_set", ["rear_solid_300", DEMO / "rear_solid_300.toml"])
def test_a_part_sets_stamp_orders_no_scrap_of_the_users_rotor(capsys, tmp_path, part_set):
    path = tmp_path / "read.csv"
    head = "# studs: 5\n# gauge_radius_mm: 140\n# turned: counter-clockwise\n# dial: + towards\n# dial_um: 10\n"
    rows = [f"mounted,1,0,{a},{round(30 * np.cos(np.radians(a)), -1):.0f},cleaned" for a in range(0, 360, 30)]
    rows += [f"thickness,1,0,{a},{9997 + a // 90},cleaned" for a in range(0, 360, 30)]
    path.write_text(f"{head}trace,mount,studs_turned,angle_deg,reading_um,state\n" + "\n".join(rows) + "\n")
    code, out, err = told(capsys, "causes", path, "--case", part_set)
    said = " ".join(out.split())
    stamp = "the discard thickness of the part set and not of your rotor: read the figure stamped on"
    assert (code, "scrap" in err) == (0, False)  # nobody's stamp is known: it comes first, the rest is answered
    assert "Its thickness comes first" in said
    assert f"{stamp} your rotor" in said
    assert "put that figure into a case file of your own, rotor.minimum_thickness_mm" in said
    assert said.index(stamp) < said.index("Only over it: ")


def test_scrap_is_refused_by_the_functions_too():
    thin = Case(rotor=Rotor(thickness_mm=9.6))
    for ask in (
        lambda: check_case(thin),
        lambda: seat(thin),
        lambda: drive(thin, np.zeros(360), 1000.0),
        lambda: drive(
            Case(rotor=Rotor(thickness_mm=10.01)), np.zeros(360), 1.0, faces_from_thickness(np.eye(360)[0] * 20)
        ),
    ):
        with pytest.raises(Refused, match="scrap, renew it"):
            ask()


def test_a_cut_needs_the_makers_thickness_and_a_micrometer(capsys, corner, micrometer):
    relative = DEMO / "readings_worn_disc.csv"
    makers = "machine_to_thickness_mm = 10.4\n"
    for lines, more, missing in (
        ("", (), "rotor.machine_to_thickness_mm and micrometer readings"),
        (makers, (), "micrometer readings of the thickness itself missing"),
        (makers, ("--thickness", relative), "micrometer readings of the thickness itself missing"),
        ("", ("--thickness", micrometer(11.2)), "the maker's rotor.machine_to_thickness_mm missing"),
    ):
        code, out, _ = told(capsys, "index", corner(lines), *more)
        assert code == 0
        assert "No cut on the car is offered" in out
        assert missing in out
        assert ". cut: " not in out
    code, out, _ = told(capsys, "index", corner(makers), "--thickness", micrometer(10.45))
    assert "less than the maker's 10.4 mm" in out


def test_no_micrometer_is_asked_for_where_no_cut_is_left_whatever_it_reads(capsys, corner, micrometer):
    """ "Micrometer readings missing" of a rotor at its machine-to figure as given; "machine-to missing" of scrap."""
    makers = "thickness_mm = 10.45\nmachine_to_thickness_mm = 10.4\n"
    for lines, more, why in (
        (makers, (), "No cut on the car: a cut would leave about 10.35 mm, its maker allows 10.4 mm at least"),
        ("minimum_thickness_mm = 10.0\n", ("--thickness", micrometer(10.03)), "above its discard thickness of 10 mm"),
    ):
        code, out, _ = told(capsys, "index", corner(lines), *more)
        assert code == 0
        assert why in out
        assert "missing" not in out
        _, out, _ = told(capsys, "index", corner(lines), *more, "--json")
        assert json.loads(out)["missing_for_cut"] == []


def test_an_offered_cut_promises_no_zero_and_names_the_wear_to_come(capsys, corner, micrometer):
    case, thickness = corner("machine_to_thickness_mm = 10.4\n"), micrometer(11.2)
    code, out, _ = told(capsys, "index", case, "--thickness", thickness)
    assert code == 0
    assert ". cut: leaves 11.1" in out
    assert "80 % band" in out
    assert "5 to 25 µm of runout (judgement)" in out
    assert "expected 0" not in out
    _, out, _ = told(capsys, "index", case, "--thickness", thickness, "--json")
    cut = json.loads(out)["cut"]
    assert cut["residual_um"] == [5.0, 25.0]
    assert cut["km_to_discard"][1] < cut["km_to_discard"][0] < cut["km_to_discard"][2]
    assert cut["left_mm"] == pytest.approx(cut["thickness_mm"] - 10.0)


def test_a_thickness_without_a_case_is_held_against_the_stamp(capsys, tmp_path):
    rotor = (DEMO / "readings_rotor.csv").read_text()
    rows = "".join(f"thickness,1,0,{angle},10450,as found,\n" for angle in range(0, 360, 30))
    path = tmp_path / "rotor.csv"
    path.write_text(rotor.rstrip() + "\n" + rows)
    code, out, _ = told(capsys, "index", "--hub", DEMO / "readings_hub.csv", "--rotor", path)
    assert code == 0
    assert "10.450 ± 0.008 mm (k = 2) at its thinnest: discard not checked against your rotor's stamp" in out
    code, _, err = told(capsys, "index", "--hub", "h.csv", "--rotor", "r.csv", "--thickness", path)
    assert code == 2
    assert "--thickness" in err


@pytest.mark.parametrize(("step", "half_um"), [("", 7.0), (",5", 7.0), (",1", 5.7)])
def test_a_micrometer_is_not_as_coarse_as_the_dial_beside_it(tmp_path, step, half_um):
    """With a dial of 10 um in the head a rotor was 18 +- 10 um; a micrometer that nobody names is one of 5 um."""
    head = "# studs: 5\n# gauge_radius_mm: 140\n# dial_um: 10\n# turned: counter-clockwise\n# dial: + towards\n"
    columns = f"trace,mount,studs_turned,angle_deg,reading_um{',dial_um' if step else ''}\n"
    rows = [f"mounted,1,0,{a},{10 * (a // 90)}{',10' if step else ''}" for a in range(0, 360, 30)]
    rows += [f"thickness,1,0,{a},{11600 + a // 30}{step}" for a in range(0, 360, 30)]
    path = tmp_path / "worn.csv"
    path.write_text(head + columns + "\n".join(rows) + "\n")
    assert worn_map(Case(), path, "both faces").varies.doubt_um == pytest.approx(half_um, abs=0.1)


def test_a_place_in_doubt_hides_no_stamp():
    """Eleven places under the stamp and a lump that was read once: the lump is read again, the stamp is said."""
    value = np.full(12, 9_980.0)
    value[6] = 10_050.0
    lump = ReadingFault("outlier", "thickness, mount 1", (180.0,), 65.0, 9.0, "thickness, mount 1: read 180 again")
    trace = Trace("thickness", 1, 0, np.arange(12) * 30.0, value, dial_um=1.0)
    read = Readings(5, 140.0, 64.0, 10.0, (trace,), faults=(lump,))
    case = case_from_text('base = "rear_solid_300"\n[rotor]\nminimum_thickness_mm = 10.0')
    said = causes_thickness.discard(None, read, case)
    assert said.startswith("Thickness as read, one place to be read again: 9.98 mm is under")


def test_a_turn_under_spacers_beside_one_with_the_wheel_on_is_held_against_the_limit(tmp_path):
    """Outboard 100 um under nuts and spacers, inboard 20 with the wheel on: the road starts from the 20 alone."""
    path = tmp_path / "both.csv"
    head = (
        "# studs: 5\n# gauge_radius_mm: 140\n# turned: counter-clockwise\n# dial: + towards\n# dial_um: 1\n"
        "trace,mount,studs_turned,angle_deg,reading_um,state,clamped_by\n"
    )
    rows = [
        f"{start},{a},{round(half * np.cos(np.radians(a)))},cleaned,{by}"
        for start, half, by in (("mounted,1,0", 50, "nuts and spacers"), ("inboard,1,0", -10, "wheel"))
        for a in range(0, 360, 30)
    ]
    path.write_text(head + "\n".join(rows) + "\n")
    road = Measured(mounted=path).road(Case())
    assert road.mounted_by == "wheel"
    assert road.worn_mounted_um == pytest.approx(100.0, abs=1.0)
    run = fakes.run(dirty=False)
    run.reading = MountedReading(np.zeros(360), "wheel", "the readings", (19.0, 20.0, 21.0), np.ones(1), 4.7)
    run.forecast.worn_mounted_um = road.worn_mounted_um
    assert any("starts from the turn with the wheel on" in line for line in what_leads.headlines(run))
    assert own_steps.LEAVE_IT_ON not in to_do.next_steps(run)


def test_a_micrometer_on_the_rotor_beats_a_case_that_is_scrap_as_given(capsys, corner, tmp_path, monkeypatch):
    """The case said 9.6 mm, twelve readings 11.2: "renew it", no reading named, and no job card with --out."""
    monkeypatch.setattr("sim.causes.signatures.SEATED", 40)  # three rotors, of which no odds are asked
    case = corner("thickness_mm = 9.6\nminimum_thickness_mm = 10.0\n")

    def table(thick_mm):
        path = tmp_path / f"read_{thick_mm}.csv"
        rows = [f"mounted,1,0,{at},{10.0 * np.cos(np.radians(at)):.0f},cleaned" for at in range(0, 360, 30)]
        if thick_mm:
            rows += [f"thickness,1,0,{at},{1000.0 * thick_mm:.0f}," for at in range(0, 360, 30)]
        head = ["trace,mount,studs_turned,angle_deg,reading_um,state"]
        path.write_text("\n".join([*DIAL, *head, *rows]))
        return str(path)

    made = tmp_path / "made.toml"
    code, out, err = told(capsys, "causes", table(11.2), "--case", case, "--write-case", made)
    assert (code, "scrap, renew it" in out, "11.200 ± " in out) == (0, False, True)
    assert "9.60 mm, under its discard thickness of 10 mm, and a micrometer read 11.20 mm at the thinnest" in err
    assert load_case(made).rotor.thickness_mm == pytest.approx(11.2)
    code, out, err = told(capsys, "causes", table(9.5), "--case", case)
    assert (code, "Its thickness comes first: 9.50 mm is under the discard thickness" in out) == (0, True)
    code, out, err = told(capsys, "causes", table(0.0), "--case", case)
    assert (code, "Its thickness comes first: 9.60 mm is under the discard thickness" in out) == (0, True)


def test_the_job_card_comes_though_the_case_is_scrap_as_given(capsys, corner, micrometer, tmp_path, monkeypatch):
    monkeypatch.setattr("scenes.command.hand_on._printed", lambda *_: [])
    monkeypatch.setattr("scenes.command.hand_on._pins", lambda *_: [])
    path = Path(micrometer(11.2))
    mounted = [f"mounted,1,0,{at},{0.02 * np.cos(np.radians(at)):.3f}" for at in range(0, 360, 30)]
    path.write_text("\n".join([*DIAL, path.read_text().split("clockwise\n")[1], *mounted]))
    case = corner("thickness_mm = 9.6\nminimum_thickness_mm = 10.0\n")
    assert told(capsys, "causes", path, "--case", case, "--out", tmp_path / "out")[0] == 0
    assert "11.20" in (tmp_path / "out" / "job_card.html").read_text(encoding="utf-8")


@pytest.mark.parametrize("do", [names.LEAVE, names.CLEAN, names.INDEX, names.RENEW])
def test_an_answer_by_machine_reads_the_stamp_where_the_words_do(do, corner):
    """Under a part set's discard thickness the words read the stamp first, beside "leave it" and "done" in the JSON."""
    rows = "".join(f"thickness,1,0,{angle},9900,as found,\n" for angle in range(0, 360, 30))
    read = dial_readings.parse(FOUR.read_text() + rows, "table")
    found = replace(finding(), do=do)
    assert causes_first.called(found, read, Case()) == "read the stamp"
    assert causes_read.reads_next(found, "read the stamp") == (None, None)
    stamped = load_case(corner("minimum_thickness_mm = 10.0\n"))
    assert causes_first.called(found, read, stamped) == "renew the rotor"
