"""The further commands as a user runs them: figures in the table, JSON alone on stdout, faults in words."""

import json
import re
from functools import partial
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest

import demo_geometry
from scenes.command import options, tables_more, tables_road
from scenes.command.app import main
from sim import worn_rotor
from sim.bench import questions
from sim.bench.fitted_runout import CLEAN_AND_READ, UNEVEN
from sim.bench.worn_library import KM_GIVE_OR_TAKE
from sim.corner import behind_reading, clampings, trust
from sim.errors import BadInput, Refused
from sim.files.case_file import case_from_text, load_case
from sim.parts.case import Case
from sim.progress import silent
from sim.studies import closed_forms, findings
from sim.wear.brake import Fineness
from tests.unit.test_road import memory, shown

pytestmark = pytest.mark.usefixtures("fewest_draws", "fewest_corners", "few_wheels", "fewest_seatings")

DEMO = Path(__file__).parents[2] / "demo_geometry"
WORN = DEMO / "readings_worn_disc.csv"
EVEN = (140.0,) * 5
ROUGH = Fineness(angles=48, rings=2, release_angles=4, tolerance_mm=4.0e-4)


def told(capsys, *argv):
    code = main([str(word) for word in argv])
    out, err = capsys.readouterr()
    return code, out, err


def test_seat_says_what_stands_beside_it(capsys, tmp_path):
    path = tmp_path / "corner.toml"
    path.write_text('base = "rear_solid_300"\n[[debris]]\nkind = "loose scale"\nangle_deg = 36.0\n')
    code, out, _ = told(capsys, "seat", path, "--json", "--preset", "fast")
    answer = json.loads(out)
    assert code == 0
    assert answer["as_driven_um"] > 0
    assert answer["runout_range_um"][0] < answer["lateral_runout_um"]["outboard"] < answer["runout_range_um"][1]
    assert len(answer["preload_lost_n"]) == 5


def test_seat_shows_as_read_and_as_driven_side_by_side(capsys, tmp_path, monkeypatch):
    path = tmp_path / "corner.toml"
    path.write_text('base = "rear_solid_300"\n[[debris]]\nkind = "loose scale"\nangle_deg = 36.0\n')
    code, out, _ = told(capsys, "seat", path, "--preset", "fast")
    assert code == 0
    for words in ("computed, held", "as driven", "range, strength of the dirt", "clamp lost when it crushes"):
        assert words in out

    def refuse(*_, **__):
        raise Refused("the forces cannot seat the rotor")

    monkeypatch.setattr("sim.corner.driven.seat_corner", refuse)
    code, out, _ = told(capsys, "seat", path, "--preset", "fast")
    assert code == 0
    assert "does not sit" in out
    assert "the forces cannot seat the rotor" in out


def refuse(*_, **__):
    raise Refused("the forces cannot seat the rotor")


def test_clamp_puts_as_read_beside_as_driven_and_says_what_to_trust(capsys, tmp_path, monkeypatch):
    truth = np.geomspace(20.0, 200.0, 400)
    shares = {"two nuts, 20 N m": 2.0, "nuts and spacers, full torque": 1.25}
    wobble = np.exp(0.1 * np.sin(np.arange(400)))
    drawn = {
        name: behind_reading.Joint(truth * share * (wobble if share == 2.0 else 1.0), truth, np.arange(400))
        for name, share in shares.items()
    }
    monkeypatch.setattr(trust, "seated_corners", lambda _, name, *__: drawn.get(name) or refuse())
    monkeypatch.setattr(trust, "joined", lambda _, joint, __: joint)
    monkeypatch.setattr(behind_reading, "seated_corners", lambda _, name, *__: drawn[name])
    monkeypatch.setattr(behind_reading, "joined", lambda _, joint, __: joint)
    monkeypatch.setattr(clampings, "compare", partial(clampings.compare, preset="fast"))
    asked = ("clamp", DEMO / "demo_dirty.toml", "--reading", 100, "--by", "nuts and spacers, full torque")
    code, out, _ = told(capsys, *asked, "--out", tmp_path)
    assert code == 0
    assert "ratio to as driven" in out
    assert "Most to be trusted on this geometry: nuts and spacers, full torque" in out
    assert "80 µm in the middle" in out.replace("\u00a0", " ")
    assert "clears no hub" not in out
    assert "Beside the limit of 50 µm, as driven: " in out.replace("\u00a0", " ")
    assert "The limit itself is for what a dial reads" in " ".join(out.split())
    assert "does not bear its faults out" not in out  # the case as written shows 110
    assert "which tells a bad hub from dirt: at 10 µm there the band is" in " ".join(out.split()).replace("\u00a0", " ")
    behind = SimpleNamespace(low_um=1, middle_um=2, high_um=3, read_um=40, alike=9, given=())
    by = "two nuts, 20 N m"
    case = SimpleNamespace(name=by, refused="", caution="", runout_um=242.0, of_driven=2.99)
    few = tables_more.clampings((case,), (), behind, by, 50.0)
    assert "Beside the limit of 50 µm, as driven: not told under this clamping" in shown(few).replace("\u00a0", " ")
    assert "does not bear its faults out" in " ".join(shown(few).split())
    full = SimpleNamespace(name="nuts and spacers, full torque", refused="", caution="", runout_um=242.0, of_driven=1.0)
    held = " ".join(shown(tables_more.clampings((full,), (), behind, "nuts and spacers", 50.0)).split())
    assert "as driven: below the limit." in held
    trusted = (
        SimpleNamespace(name=full.name, low=0.9, middle=1.0, high=1.1, reads_high=0.1, reads_low=0.1, most=True),
    )
    bad = shown(tables_more.clampings((full,), trusted, behind, "nuts and spacers", 50.0, None, True))
    assert "Most to be trusted" not in bad
    assert "No clamping is to be trusted on this corner before what leads is put right." in " ".join(bad.split())
    assert "as driven: not told, what holds the wheel comes first" in " ".join(bad.split())
    assert "does not bear its faults out" in held  # one clamping by either of its names
    # Dirt inside: the reading bears the case out, and the wheel leans it over the limit.
    inside = SimpleNamespace(name="wheel on, full torque", refused="", caution="", runout_um=64.0, of_driven=1.0)
    full.runout_um = 42.0
    said = " ".join(shown(tables_more.clampings((full, inside), (), behind, "nuts and spacers", 50.0)).split())
    assert "as driven: not told, the case as written reads so and is over it." in said
    assert "reads the same and is driven at 64 µm" in said.replace("\u00a0", " ")
    assert "A small reading under few or hand-tight nuts" in shown(few)
    assert "One figure names no part and orders none" in shown(few)
    picture = (tmp_path / "clampings.svg").read_text().replace("\u00a0", " ")
    assert "wheel on" in picture
    assert "read: 100 µm" in picture
    assert "behind the reading," in picture
    code, out, _ = told(capsys, *asked, "--json")
    answer = json.loads(out)
    assert [one["name"] for one in answer["readings"]] == list(clampings.clampings(load_case(DEMO / "demo_dirty.toml")))
    assert answer["readings"][-1]["of_driven"] == 1.0
    assert answer["prediction"]["low_um"] < 80.0 < answer["prediction"]["high_um"]
    assert [(one["hub_um"], one["high_um"] > one["low_um"]) for one in answer["with_bare_hub"]] == [
        (10.0, True),
        (50.0, True),
    ]
    assert [(one["name"], one["most"]) for one in answer["trust"]] == [
        (name, share < 2) for name, share in sorted(shares.items(), key=lambda item: item[1])
    ]
    code, _, err = told(capsys, *asked[:3], 900, *asked[4:])
    assert code == 3
    assert "cannot tell" in err


def test_scale_that_jams_comes_before_the_torque_of_a_clamping(capsys, tmp_path):
    path = tmp_path / "jammed.toml"
    loose = (
        "[studs]\ntorque_nm = 2.0\n[[spigot_scale]]\nangle_deg = 180\narc_deg = 120\nheight_um = 115\nto_face_mm = 4\n"
    )
    path.write_text(f'base = "rear_solid_300"\n{loose}')
    code, out, err = told(capsys, "clamp", path, "--reading", 40, "--by", "nuts and spacers")
    assert (code, out) == (3, "")
    assert "not home on the hub" in err
    assert (
        err.index("The spigot first: ")
        < err.index("The nuts too: ")
        < err.index("no nut is tightened before the scale")
    )
    assert not any(order in err for order in ("maker's torque", "crosswise", "road_torque_nm", "in stages"))


@pytest.mark.parametrize(
    ("lines", "code", "words"),
    [
        ("[studs]\nroad_torque_nm = [140.0, 140.0, 10.0, 140.0, 140.0]\n", 3, "not fit to drive"),
        ("[rotor]\nthickness_mm = 10.0\n", 0, "at or under it the rotor is scrap"),
        ("[rotor]\nthickness_mm = 10.02\n", 0, "no wear to speak of is left"),
    ],
)
def test_duty_tables_no_corner_that_is_not_fit_to_drive(capsys, tmp_path, monkeypatch, lines, code, words):
    monkeypatch.setattr(questions, "drive", lambda *_, **__: None)
    monkeypatch.setattr(questions, "_row", lambda *_: None)
    monkeypatch.setattr("scenes.command.tables_road.duty", lambda *_: "THE TABLE")
    path = tmp_path / "corner.toml"
    path.write_text(f'base = "rear_solid_300"\n{lines}')
    got, out, err = told(capsys, "duty", path, "--no-bands")
    assert got == code
    assert words in " ".join((out or err).partition("THE TABLE")[0].split())
    if not code:
        _, out, _ = told(capsys, "duty", path, "--no-bands", "--json")
        assert words in json.loads(out)["leads"][0]


def test_verify_holds_here_and_says_so_when_it_does_not(capsys, monkeypatch):
    code, out, _ = told(capsys, "verify", "--json")
    assert code == 0
    checks = json.loads(out)["checks"]
    assert len(checks) >= 15
    assert all(one["holds"] and one["source"] for one in checks)
    wrong = closed_forms.Check("a length", 1.2, 1.0, "mm", "geometry")
    monkeypatch.setattr(closed_forms, "CHECKS", (lambda: wrong,))
    code, out, err = told(capsys, "verify")
    assert code == 3
    assert "NO" in out
    assert "a length" in err


def test_findings_writes_a_plot_for_each(capsys, tmp_path, monkeypatch):
    monkeypatch.setattr(findings, "seat", partial(findings.seat, preset="rough"))
    monkeypatch.setattr(findings, "FLANGES_MM", (8.0, 25.0))  # how the hub's flange works is asked of its own
    monkeypatch.setattr(findings, "HUB_NAMES", ("8", "25", "rigid"))
    monkeypatch.setattr(findings, "DRAWN", 8)
    code, out, _ = told(capsys, "findings", DEMO / "demo_dirty.toml", "--out", tmp_path)
    assert code == 0
    assert "wrong in trend" in out
    plots = sorted(tmp_path.glob("*.svg"))
    assert len(plots) == 9
    assert all(path.read_text().startswith("<") for path in plots)
    rows = (tmp_path / "findings.csv").read_text().splitlines()
    assert rows[0].startswith("finding,varied,unit,over,curve")
    assert {row.split(",")[0] for row in rows[1:]} == {path.stem.replace("-", " ") for path in plots}


def test_memory_tells_the_runout_at_fitting_and_blames_nobody(capsys):
    """The disc was worn for 8 000 km from 115 um of runout, lifted at 44 deg; the file says that it is simulated."""
    code, out, _ = told(capsys, "memory", DEMO / "readings_worn_disc.csv", "--km", 8000, "--json")
    found = json.loads(out)["memory"]
    assert code == 0
    assert found["finding"] == "above the limit at fitting"
    assert found["low_um"] < 114.7 < found["high_um"]
    assert found["fitted_runout_um"] == pytest.approx(114.7, rel=0.15)
    assert found["high_spot_deg"] == pytest.approx(44.0, abs=8.0)
    assert 3.0 < found["high_spot_half_width_deg"] < 10.0
    assert found["fitting_runout_um"]["median"] == found["fitted_runout_um"]
    assert {"hub face runout", "rotor's own runout", "dirt on the hub", "bearing play"} <= set(found["cannot_tell"])
    assert found["known"] == []  # what the demo corner states was not read at this one
    assert any("does not clear the fitting" in note for note in found["notes"])
    code, out, _ = told(capsys, "memory", DEMO / "readings_worn_disc.csv", "--km", 8000)
    said = " ".join(out.split())
    # How the thickness stands against its limit comes before anything that it tells of its fitting.
    assert said.index("The thickness as read varies by 12 to 29 µm, read as 19 µm") < said.index(
        "mounted runout at fitting"
    )
    assert "Cannot be told apart: hub face runout, dirt on the hub" in said
    assert "What would tell, in this order: 1. rock the hub" in said
    assert not re.search(r"\bfaults?\b", said)
    assert "whose" not in said


@pytest.mark.parametrize(
    ("places", "slip_um", "words"),
    [(6, 0, "thickness: 6 places are too few to tell what wore it (allowed: 9 or more"), (12, 90, "read 120 degrees")],
)
def test_memory_reckons_nothing_from_six_places_or_a_slip(capsys, tmp_path, places, slip_um, words):
    angles = [k * 360 // places for k in range(places)]
    rows = [f"thickness,1,0,{angle},{11_700 + slip_um * (angle == 120)}" for angle in angles]
    head = ["# studs: 5", "# turned: counter-clockwise", "trace,mount,studs_turned,angle_deg,reading_um"]
    path = tmp_path / "worn.csv"
    path.write_text("\n".join([*head, *rows]))
    code, out, err = told(capsys, "memory", path, "--km", 8000)
    assert (code, out) == (2, "")
    assert words in err
    assert str(path) in err


@pytest.mark.parametrize(("deep_um", "alone"), [(75, True), (0, False)])
def test_one_place_that_every_turn_reads_alike_is_no_wave_that_runout_wore(tmp_path, monkeypatch, deep_um, alone):
    asked = []
    monkeypatch.setattr(worn_rotor, "shelf", lambda *_: None)
    monkeypatch.setattr(worn_rotor, "remember", lambda _, disc, **__: asked.append(disc) or memory())
    turn = [11_060 + (k * 5) % 4 - deep_um * (k == 4) for k in range(12)]
    rows = [f"thickness,1,0,{30 * k},{value},1" for _ in range(3) for k, value in enumerate(turn)]
    head = ["# studs: 5", "# turned: counter-clockwise", "trace,mount,studs_turned,angle_deg,reading_um,dial_um"]
    path = tmp_path / "worn.csv"
    path.write_text("\n".join([*head, *rows]))
    told_of = worn_rotor.remembered(Case(), path, 8000.0, silent)
    assert asked[0].one_place is alone
    assert not any("again" in note for note in told_of.notes)  # three turns that agree are not asked for once more


@pytest.mark.parametrize(("inboard_um", "apart"), [(-30.0, False), (-26.0, False), (-10.0, True)])
def test_two_faces_that_the_micrometer_does_not_bear_out_are_read_again_first(tmp_path, monkeypatch, inboard_um, apart):
    monkeypatch.setattr(worn_rotor, "shelf", lambda *_: None)
    monkeypatch.setattr(worn_rotor, "remember", lambda *_, **__: memory())
    wave = np.cos(np.radians(np.arange(12) * 30.0))
    turns = {"mounted": 30.0 * wave, "inboard": inboard_um * wave, "thickness": 11_200.0 + 2.0 * wave}
    rows = [f"{kind},1,0,{30 * k},{round(v)},1" for kind, read in turns.items() for k, v in enumerate(read)]
    head = ["# studs: 5", "# turned: counter-clockwise", "# dial: + towards", "# dial_um: 1", "# gauge_radius_mm: 140"]
    path = tmp_path / "worn.csv"
    path.write_text("\n".join([*head, "trace,mount,studs_turned,angle_deg,reading_um,dial_um", *rows]))
    told_of = worn_rotor.remembered(Case(), path, 8000.0, silent)
    assert ("one of these turns is wrong" in told_of.faces_apart) is apart
    monkeypatch.setattr("scenes.words.memory.thickness", lambda *_: "")
    leads = tables_road.memory_leads(Case(), told_of)
    assert leads[0].startswith("The two faces as read differ by 40 µm once a turn, the micrometer reads 4 ±") is apart
    # Nothing is told of the fitting before they are read again: it said "very likely" and ordered another reading.
    assert told_of.tells is not apart
    assert (told_of.reason == worn_rotor.NOT_BEFORE) is apart
    assert (told_of.would_tell[:1] == (worn_rotor.BOTH_FACES_AGAIN,)) is apart
    monkeypatch.setattr(worn_rotor, "remembered", lambda *_: told_of)
    assert (worn_rotor.worn_by_runout(Case(), path, 8000.0, silent) is None) is apart
    worn_rotor.worn_map(Case(), path, "both faces", False)  # beside a mounted turn they lead that answer
    if apart:  # no road and no rest of a life from that micrometer alone
        with pytest.raises(BadInput, match="read both faces and the thickness once more"):
            worn_rotor.worn_map(Case(), path, "both faces")
    else:
        assert worn_rotor.worn_map(Case(), path, "both faces").thinnest_mm == pytest.approx(11.198)


def test_under_a_caliper_that_sticks_memory_answers_at_once_and_tells_nothing_of_the_fitting(
    capsys, tmp_path, monkeypatch
):
    """It simulated 2500 rotors under that drag, several times as long each: no answer in 400 s."""
    simulated = []
    monkeypatch.setattr(worn_rotor, "shelf", lambda *asked: simulated.append(asked))
    wave = np.cos(np.radians(np.arange(12) * 30.0))
    turns = {"mounted": 30.0 * wave, "inboard": -30.0 * wave, "thickness": 11_200.0 + 12.0 * wave}
    rows = [f"{kind},1,0,{30 * k},{round(v)},1" for kind, read in turns.items() for k, v in enumerate(read)]
    head = ["# studs: 5", "# turned: counter-clockwise", "# dial: + towards", "# dial_um: 1", "# gauge_radius_mm: 140"]
    path, case = tmp_path / "worn.csv", tmp_path / "case.toml"
    path.write_text("\n".join([*head, "trace,mount,studs_turned,angle_deg,reading_um,dial_um", *rows]))
    case.write_text('base = "rear_solid_300"\n[caliper]\nsticking_outboard_n = 400.0\n')
    code, out, _ = told(capsys, "memory", path, "--km", 20000, "--case", case, "--out", tmp_path)
    assert (code, simulated) == (0, [])
    said = " ".join(out.split())
    assert "The caliper" in said
    assert "Nothing is told of its fitting: the caliper sticks as given" in said
    assert "80 % band" not in said
    assert "runout now, first order, mean of both faces 60" in said
    assert "Above or within the limit: cannot tell" in (tmp_path / "memory.svg").read_text()
    code, out, _ = told(capsys, "memory", path, "--km", 20000, "--case", case, "--json")
    found = json.loads(out)["memory"]
    assert (found["finding"], found["fitted_runout_um"]) == ("cannot tell", None)
    assert found["thickness_variation_um"] == pytest.approx(24.0)
    assert worn_rotor.worn_by_runout(case_from_text(case.read_text()), path, 20000.0, silent) is None


@pytest.mark.parametrize(("half_um", "more"), [(35.0, True), (26.0, False)])
def test_a_face_that_runs_out_over_its_limit_today_was_mounted_with_no_less(tmp_path, monkeypatch, half_um, more):
    """`memory` said "cannot be told" above a turn of 70 µm that it left out."""
    monkeypatch.setattr(worn_rotor, "shelf", lambda *_: None)
    monkeypatch.setattr(worn_rotor, "remember", lambda *_, **__: memory(finding="cannot tell", reason="not told"))
    wave = np.cos(np.radians(np.arange(12) * 30.0))
    turns = {"mounted": half_um * wave, "thickness": 11_200.0 + 2.0 * wave}
    rows = [f"{kind},1,0,{30 * k},{round(v)},1" for kind, read in turns.items() for k, v in enumerate(read)]
    head = ["# studs: 5", "# turned: counter-clockwise", "# dial: + towards", "# dial_um: 1", "# gauge_radius_mm: 140"]
    path = tmp_path / "worn.csv"
    path.write_text("\n".join([*head, "trace,mount,studs_turned,angle_deg,reading_um,dial_um", *rows]))
    reason = worn_rotor.remembered(Case(), path, 8000.0, silent).reason
    assert reason.startswith("unless it was refitted since, it was mounted with more than 50 µm") is more
    assert reason.endswith("not told")


@pytest.mark.parametrize(
    ("state", "held", "counts", "said"),
    [
        ("as found", "nuts and spacers", True, ""),
        ("as found", "screw only", False, "they do not count"),
        ("cleaned", "nuts and spacers", False, worn_rotor.MOVED_SINCE),
        ("retorqued", "nuts and spacers", False, worn_rotor.MOVED_SINCE),
        ("as found", "", False, "held by wheel, "),  # each face held otherwise
    ],
)
def test_only_faces_read_as_they_ran_tell_memory_of_the_fitting(tmp_path, monkeypatch, state, held, counts, said):
    """Neither what one screw held, nor what was cleaned or tightened anew since; what was read is not asked for."""
    asked = []
    monkeypatch.setattr(worn_rotor, "shelf", lambda *_: None)
    told = memory(would_tell=(CLEAN_AND_READ, "rock it"))
    monkeypatch.setattr(worn_rotor, "remember", lambda _, disc, **__: asked.append(disc) or told)
    head, columns, rows = WORN.read_text().partition("reading_um\n")
    path = tmp_path / "worn.csv"
    path.write_text(
        f"{head}{columns[:-1]},state,clamped_by\n"
        + "".join(
            f"{row},{state},{held or ('wheel' if 'inboard' in row else 'screw only')}\n" for row in rows.splitlines()
        )
    )
    told_of = worn_rotor.remembered(load_case(DEMO / "demo_dirty.toml"), path, 8000.0, lambda *_: None)
    assert (asked[0].outboard_um is not None) is counts
    assert any(said and said in note for note in told_of.notes) is not counts
    assert (CLEAN_AND_READ in told_of.would_tell) is (state != "cleaned")


def test_remains_says_when_it_fades_where_runout_wore_it(capsys, tmp_path, monkeypatch):
    wave = 24.0 * np.cos(np.radians(np.arange(12) * 30.0))
    head = ["# studs: 5", "# turned: counter-clockwise", "trace,mount,studs_turned,angle_deg,reading_um,dial_um"]
    path = tmp_path / "worn.csv"
    path.write_text("\n".join([*head, *(f"thickness,1,0,{30 * k},{value:.1f},1" for k, value in enumerate(wave))]))
    asked = []

    def told_of(like, apart):
        def remembered(case, file, km, tell, give_or_take):
            asked.append((km, give_or_take))
            return SimpleNamespace(looks_like_wear=like, cannot_tell=apart, faces_apart="")

        monkeypatch.setattr(worn_rotor, "remembered", remembered)
        return worn_rotor.worn_by_runout(Case(), path, 8000.0, silent)

    assert worn_rotor.worn_by_runout(Case(), path, None, silent) is None
    assert told_of(False, ()) is False
    assert told_of(True, UNEVEN) is False
    assert told_of(True, ("dirt on the hub",)) is True
    argv = ("remains", path, "--driven", 8000, "--give-or-take", 40)
    code, out, _ = told(capsys, *argv, "--json", "--out", tmp_path)
    found = json.loads(out)
    assert code == 0
    assert asked == [(8000.0, options.KM_GIVE_OR_TAKE)] * 3 + [(8000.0, 40.0)]
    assert options.KM_GIVE_OR_TAKE == KM_GIVE_OR_TAKE
    assert found["dtv_now_um"] == pytest.approx(48.0, abs=1.0)
    assert 500 < found["km_to_fade"] < 30_000
    assert found["act"] == "Renew it, or cut it where its maker allows, in axle pairs"
    # Readings from any zero name no thickness, and nothing is cut on them.
    assert found["thickness_after_cut_mm"] is None
    assert found["cut"] is None
    assert len(found["missing_for_cut"]) == 2
    assert "no cut on the car is offered" in found["verdict"]
    assert (tmp_path / "remains.svg").exists()


def test_duty_table_without_bands(capsys, tmp_path, monkeypatch):
    monkeypatch.setattr("sim.bench.questions.Settings", partial(questions.Settings, fineness=ROUGH))
    monkeypatch.setattr(questions, "DUTIES", tuple(questions.DUTIES)[:1])
    code, _, _ = told(capsys, "duty", "--no-bands", "--out", tmp_path, "--km", 1000)
    rows = (tmp_path / "duty.csv").read_text().splitlines()
    assert code == 0
    assert len(rows) == 1 + 2 * 2 * 1 * 5


@pytest.mark.parametrize(
    ("argv", "words"),
    [
        (("clamp", DEMO / "demo_dirty.toml", "--reading", 100, "--by", "glue"), "not one of the clampings"),
        (("clamp", DEMO / "demo_dirty.toml", "--reading", -3, "--by", "three nuts, 20 N m"), "out of range"),
        (("clamp", DEMO / "demo_dirty.toml", "--reading", 0.09, "--by", "bare nuts"), "0.09 mm is 90"),
        (("clamp", DEMO / "demo_dirty.toml", "--by", "three nuts, 20 N m"), "no reading"),
        (("memory", DEMO / "readings_worn_disc.csv", "--km", -5), "out of range"),
        (("clamp", DEMO / "demo_dirty.toml", "--reading", 90), "--by: is missing: a reading counts with what held"),
        (("memory", DEMO / "readings_hub.csv", "--km", 5000), "no thickness trace"),
        (("duty", "--km", 1e12), "out of range"),
        (("memory", WORN), "--km: is missing (allowed: --km with its value)"),
        (("memory", WORN, "--km", 8000, "--give-or-take", 120), "--give-or-take: 120 is out of range"),
        (
            ("index", "--hub", WORN, "--rotor", WORN, "--shim", 50, 100),
            "--shim: 100 stands alone (allowed: --shim 50 --shim 100)",
        ),
    ],
)
def test_bad_input_is_refused_in_words(capsys, argv, words):
    code, out, err = told(capsys, *argv)
    assert code == 2
    assert out == ""
    assert words in err


@pytest.mark.parametrize("argv", [("memory", "--km", 8000), ("remains",)])
def test_readings_that_do_not_fit_the_demo_corner_ask_for_a_case(capsys, tmp_path, argv):
    path, own = tmp_path / "four.csv", tmp_path / "own.toml"
    path.write_text(WORN.read_text().replace("# studs: 5", "# studs: 4"))
    own.write_text('base = "rear_solid_300"\n')
    code, _, err = told(capsys, argv[0], path, *argv[1:])
    assert code == 2
    assert "studs: 4 in these readings, but 5 at the demo corner, which counts here (allowed: --case with a file" in err
    assert "but 5 in the case" in told(capsys, argv[0], path, *argv[1:], "--case", own)[2]


def test_a_measured_drag_and_thickness_narrow_the_band(capsys):
    plain = ("--json", "--preset", "fast")

    def band(*more):
        code, out, _ = told(capsys, "drive", DEMO / "demo_dirty.toml", "--km", 10_000, *plain, *more)
        answer = json.loads(out)
        assert code == 0
        return answer["dtv_high_um"][-1] - answer["dtv_low_um"][-1]

    assert band("--drag", 1.2, "--dtv", 12, "--dtv-km", 3000) < 0.8 * band()


@pytest.mark.usefixtures("undrawn")
def test_a_stored_run_goes_on_with_the_identical_result(capsys, tmp_path):
    case = DEMO / "demo_dirty.toml"
    told(capsys, "drive", case, "--preset", "fast", "--km", 3000, "--out", tmp_path / "first")
    further = ("drive", case, "--preset", "fast", "--km", 7000, "--json")
    _, gone_on, _ = told(capsys, *further, "--go-on-from", tmp_path / "first")
    _, at_once, _ = told(capsys, *further)
    assert json.loads(gone_on)["dtv_um"] == json.loads(at_once)["dtv_um"]


def test_a_road_test_weighs_the_orders_and_says_what_is_not_ours(capsys):
    words = ("--felt-speed", 48, "--no-only-braking", "--felt-at", "pedal")
    code, out, _ = told(capsys, "drive", DEMO / "demo_dirty.toml", "--json", "--preset", "fast", "--km", 5000, *words)
    found = json.loads(out)["road_test"]
    assert code == 0
    assert not found["ours"]
    assert found["share"][1] > found["share"][2]
    assert any("without braking" in line for line in found["remarks"])


@pytest.mark.parametrize(
    ("argv", "words"),
    [
        (("--dtv", 12), "needs its distance"),
        (("--drag", -1), "out of range"),
        (("--felt-speed", -3), "speed"),
        (("--go-on-from", "nowhere"), "nowhere"),
        (("--km", 0), "out of range"),
    ],
)
def test_bad_words_about_the_road_are_refused(capsys, argv, words):
    code, out, err = told(capsys, "drive", DEMO / "demo_dirty.toml", *argv)
    assert code == 2
    assert out == ""
    assert words in err


@pytest.mark.parametrize(
    ("lines", "words"),
    [
        ("[caliper]\nclearance_um = -5", "caliper.clearance_um"),
        ("[drive]\nbrake_share = 1.5", "drive.brake_share"),
        ("[pads]\nkind = 'magic'", "pads.kind"),
        ("[rotor]\nmachine_to_thickness_mm = 9.0", "rotor.machine_to_thickness_mm"),
    ],
)
def test_impossible_brakes_are_refused(capsys, tmp_path, lines, words):
    path = tmp_path / "corner.toml"
    path.write_text(f'base = "rear_solid_300"\n{lines}\n')
    code, _, err = told(capsys, "drive", path)
    assert code == 2
    assert words in err


def test_measured_runout_takes_the_place_of_the_seated_one(capsys):
    case = DEMO / "demo_clean.toml"
    words = ("--km", 5000, "--json", "--preset", "fast")
    _, seated, _ = told(capsys, "drive", case, *words)
    _, read, _ = told(capsys, "drive", case, *words, "--mounted", DEMO / "readings_worn_disc.csv")
    # Seated clean it runs out 32 um, read on the bench some 85 um: what was read makes more.
    assert json.loads(read)["dtv_um"][-1] > 1.3 * json.loads(seated)["dtv_um"][-1]
    code, _, err = told(capsys, "drive", case, "--mounted", DEMO / "readings_hub.csv")
    assert code == 2
    assert "no mounted trace" in err


def test_a_second_mode_is_felt_too(capsys, tmp_path):
    def index(extra):
        path = tmp_path / "corner.toml"
        path.write_text(f'base = "rear_solid_300"\n{extra}\n[[debris]]\nangle_deg = 36.0\n')
        _, out, _ = told(capsys, "drive", path, "--km", 5000, "--json", "--preset", "fast")
        return json.loads(out)["wheel_index"][-1]

    assert index("[judder]\nsecond_mode_hz = 16.0") != pytest.approx(index(""), rel=1e-3)


@pytest.mark.parametrize("command", ["index", "clamp", "face"])
@pytest.mark.parametrize(("case", "words"), [("spigot_jammed", "not home"), ("spigot_forced", "which is damage")])
def test_nothing_is_read_or_mapped_on_a_rotor_that_is_not_home(command, case, words, tmp_path, capsys):
    path = tmp_path / "case.toml"
    path.write_text(demo_geometry.text(case), encoding="utf-8")
    assert main([command, str(path)]) == 3
    told = capsys.readouterr()
    assert words in told.err
    assert "never draw a rotor home" in told.err
    assert told.out == ""
