"""The spigot through the whole chain: a run carries its state, a jammed rotor is not driven, the picture says it."""

import json
import re
from dataclasses import replace
from functools import partial
from pathlib import Path
from types import SimpleNamespace

import pytest

from scenes.command import doing
from scenes.command.app import main
from scenes.pages import fitting_sheet, report
from scenes.plots import section
from scenes.words import spigot, to_do
from sim import chain
from sim.chain import compute
from sim.errors import BadInput, Refused
from sim.files.case_file import load_case
from sim.parts.case import Case, Debris, SpigotScale
from sim.parts.materials import tensile_strength_mpa
from sim.run_folder import load, save
from sim.spigot.state import CRUSHED_MPA, spigot_state
from tests.drawn import KEPT

pytestmark = pytest.mark.usefixtures("few_draws", "drawn_once", "few_wheels")

DEMO = Path(__file__).parents[2] / "demo_geometry"


@pytest.fixture(scope="module")
def runs():
    names = ("off_centre", "jammed", "forced")
    return {name: compute(load_case(DEMO / f"spigot_{name}.toml"), None, "rough") for name in names}


@pytest.mark.parametrize(
    ("name", "home", "words"),
    [("off_centre", "home", "Off centre"), ("jammed", "jammed", "Not home"), ("forced", "home", "damage")],
)
def test_a_run_carries_its_state_and_the_section_says_it(runs, tmp_path, name, home, words):
    run = runs[name]
    assert run.spigot["home"] == home
    again = load(save(run, tmp_path / "run"))
    assert again.spigot == json.loads(json.dumps(run.spigot))
    figure = section.section(again, 800)
    assert any(words in text.get_text() for text in figure.texts)


def test_a_jammed_rotor_is_looked_at_but_not_driven(monkeypatch):
    monkeypatch.setattr(chain, "compute", partial(compute, preset="rough"))
    path = DEMO / "spigot_jammed.toml"
    with pytest.raises(Refused, match="take the rotor off"):
        compute(load_case(path), 1000.0, "rough")
    assert doing.open_run(path, 1000.0, lambda done, what: None).forecast is None


def test_a_wedged_rotor_is_driven_with_the_waves_that_the_wedge_makes():
    wedged = compute(load_case(DEMO / "spigot_forced.toml"), 1000.0, "rough", fields_too=False)
    clean = compute(load_case(DEMO / "spigot_clean.toml"), 1000.0, "rough", fields_too=False)
    assert wedged.seat.outboard_um != pytest.approx(clean.seat.outboard_um, abs=1.0)
    assert wedged.seat.lateral_runout_um["outboard"] == pytest.approx(wedged.spigot["lateral_runout_um"]["outboard"])


@pytest.fixture
def roughly(monkeypatch):
    """Commands compute the jammed corner as `runs` has it: they take no preset so rough, and what they say is asked."""

    def rough(case, km, preset, *more, **named):
        assert preset == "fast"
        return compute(case, km, "rough", *more, **named)

    monkeypatch.setattr(chain, "compute", rough)


@pytest.mark.usefixtures("roughly")
def test_the_command_prints_the_state_and_its_cautions(capsys):
    assert main(["seat", str(DEMO / "spigot_jammed.toml"), "--preset", "fast"]) == 0
    out = capsys.readouterr().out
    assert "jammed" in out
    assert "ever draw it home with the nuts" in out
    assert "as driven" not in out
    assert main(["drive", str(DEMO / "spigot_jammed.toml"), "--preset", "fast"]) == 3


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("to_face_mm = 40.0", "beyond the spigot"),
        ("height_um = 900.0", "too tight"),
        ("from_face_mm = 8.0\nto_face_mm = 3.0", "before it begins"),
    ],
)
def test_bad_scale_is_refused_with_its_file(tmp_path, line, words):
    path = tmp_path / "corner.toml"
    path.write_text(f'base = "rear_solid_300"\n[[spigot_scale]]\n{line}\n')
    with pytest.raises(BadInput, match=words) as told:
        load_case(path)
    assert str(path) in str(told.value)


def _text(html: str) -> str:
    plain = re.sub(r"<style>.*?</style>|<[^>]+>", " ", html, flags=re.DOTALL)
    return " ".join(plain.replace("\u00a0", " ").replace("&#39;", "'").split())


def test_the_report_of_a_jammed_rotor_says_what_it_is_what_to_do_and_why_no_road(runs):
    html = report.report_html(runs["jammed"])
    assert "What the dial reads" not in html  # a trace that counts for nothing
    first, back = _text(html).split("Appendix for the engineer")
    low, high = (value / 1000.0 for value in runs["jammed"].spigot["stand_off_um"])
    assert f"Not home: jammed on scale on the spigot. It stands {low:.1f} to {high:.1f} mm off the hub face" in first
    assert "never draw it home with the nuts" in first
    assert "No road is forecast" in first
    assert first.index("On the spigot") < first.index("What to do next")
    assert "that is damage, not a method" in first
    assert "round every stud, spigot all round from its tip to its root, rotor's seat and bore" in first
    for words in ("hoop stress at the bore", "fatigue is not covered", "would be forced home at", "friction 0.1 to 0.4",
                  "radial runout", "pressure on the bore", "lean at the dial", "the state is not unique"):  # fmt: skip
        assert words in back or words.capitalize() in back, words
    assert "Wear forecast" not in back
    assert "bare face that carries" not in back  # nothing lies on the face
    assert html.count("section through the scale on the spigot") >= 2
    assert "outward stretched 40 times" in html
    assert not re.search(r"\b(safe|passed|approved)\b", first + back)


@pytest.mark.usefixtures("undrawn")
def test_the_report_of_a_forced_and_of_a_free_rotor(runs):
    forced = _text(report.report_html(runs["forced"]))
    assert "Damage: the nuts drew it home over scale on the spigot." in forced
    assert "cracked is scrap" in forced
    # What the dial reads of a forced rotor is no pass.
    assert "which clears nothing, the spigot counts" in forced
    assert "below the limit" not in forced.split("Appendix for the engineer")[0].replace("below the limit, 23", "")
    assert "bare face that carries" in forced
    free = _text(report.report_html(runs["off_centre"]))
    assert "that makes no lateral runout" in free
    assert "radial runout" in free
    assert "Damage" not in free.split("Inputs")[0]


@pytest.mark.usefixtures("undrawn", "roughly")
def test_no_figure_stands_beside_the_nuts_that_would_force_it_home(runs, capsys):
    told = [" ".join(step.what + step.why for step in to_do.next_steps(runs[name])) for name in ("jammed", "forced")]
    told += [_text(report.report_html(runs[name])).split("Appendix")[0] for name in ("jammed", "forced")]
    for text in told:
        assert not re.search(r"\d N.m\b", text.replace("at 140 N m", "")), text
        assert re.search(r"drawn home by the nuts|nuts drew it home", text)
    assert main(["seat", str(DEMO / "spigot_jammed.toml"), "--preset", "fast"]) == 0
    said = capsys.readouterr().out
    assert not re.search(r"\d N.m\b|forced home at|\d[\s\u00a0]\d{3}[\s\u00a0]µm", said)
    assert "What a dial reads now counts for nothing" in said
    assert said.count("Not home") == 1
    assert "would be forced home at" in _text(report.report_html(runs["jammed"])).split("Appendix")[1]


def test_one_nut_is_followed_once_whatever_tightens_the_others(runs, monkeypatch):
    monkeypatch.setattr("sim.spigot.hand_and_nuts._one_nut", None)  # nothing is followed any more
    case = runs["jammed"].case
    other = spigot_state(replace(case, studs=replace(case.studs, torque_nm=3.0)), "rough", with_one_nut=True)
    assert [vars(nut) for nut in other.one_nut] == runs["jammed"].spigot["one_nut_first"]
    assert runs["forced"].spigot["one_nut_first"] == runs["jammed"].spigot["one_nut_first"]


def test_no_stress_past_the_irons_strength_is_printed_as_a_stress(runs):
    run = runs["jammed"]
    past = [nut for nut in run.spigot["one_nut_first"] if nut["hoop_mpa"] > tensile_strength_mpa(run.case.rotor)]
    assert past  # else this tests nothing
    told = " ".join(" ".join(row) for row in spigot.rows(run, engineer=True)) + " ".join(spigot.notes(run.spigot))
    pressures = [row[1] for row in spigot.rows(run) if row[0] == "pressure on the bore"]
    assert run.spigot["bore_pressure_mpa"] > CRUSHED_MPA
    assert [one.split(":")[0] for one in pressures] == ["crushed or scored"]
    for nut in past:
        assert f"{nut['hoop_mpa']:.0f}" not in told
        assert f"cracks: {nut['hoop_mpa'] / tensile_strength_mpa(run.case.rotor):.1f} times its strength" in told


def test_the_same_run_gives_the_same_report(runs):
    once = report.report_html(runs["jammed"])
    KEPT.clear()
    assert report.report_html(runs["jammed"]) == once


def test_steps_of_a_rotor_that_is_not_home_begin_with_taking_it_off(runs):
    steps = to_do.next_steps(runs["jammed"])
    assert "rotor off" in steps[1].what
    assert "by hand" in " ".join(step.what for step in steps)
    free = runs["off_centre"]
    steps = to_do.next_steps(free)
    assert "Paint stud 1" in steps[1].what
    # Scale that is known comes off before a nut is set to torque on it, jammed or not.
    before = " ".join(step.what for step in steps[: next(k for k, step in enumerate(steps) if "clean" in step.keys)])
    assert "torque of each" in before
    assert "maker's torque" not in before
    assert "as found" not in before
    assert "Dial on the knuckle" in steps[-3].what
    assert to_do.lead(free).startswith("Rotor off, clean spigot")
    clean = to_do.next_steps(replace(free, case=replace(free.case, spigot_scale=(), debris=(Debris(),))))
    assert "maker's torque" in " ".join(step.what for step in clean[:3])


def test_the_fitting_sheet_names_the_scale_and_no_hand_tight_torque(runs):
    text = _text(fitting_sheet.sheet_html(runs["jammed"].case))
    assert "115 µm of scale on the spigot at 180°" in text
    assert "2.00 N m" not in text


def test_stills_of_a_rotor_off_its_face_leave_out_what_shows_it_on_it(runs, tmp_path):
    made, missing = doing.stills(runs["jammed"], tmp_path, doing.STILLS)
    assert [item.what for item in made] == ["picture: section"]
    assert not missing
    for kind in ("hub face", "corner", "between the pads"):
        with pytest.raises(BadInput, match="does not lie on its hub face"):
            doing.write_still(runs["jammed"], kind, tmp_path / "face.png")


def test_one_page_tells_one_stress_the_larger(runs):
    """The wedge alone gave 181 MPa in the lead, all loads 185 MPa in the warning below it."""
    state = runs["forced"].spigot | {"hoop_stress_mpa": 181.0, "total_hoop_stress_mpa": 185.0}
    run = SimpleNamespace(spigot=state, case=runs["forced"].case)
    assert "reaches 185 MPa" in spigot.plain(run)[0].replace("\u00a0", " ")
    assert "185 MPa" in spigot.title(state, run.case).replace("\u00a0", " ")
    state = state | {"total_hoop_stress_mpa": 150.0}
    assert "181 MPa" in spigot.title(state, run.case).replace("\u00a0", " ")


def test_distances_are_told_in_the_unit_that_is_read():
    assert spigot.distance(2325.0, 3907.0) == "2.3 to 3.9\u00a0mm"
    assert spigot.nuts([None, None]) == "it binds"
    assert spigot.nuts([2.6, None]).endswith("or it binds")


@pytest.mark.parametrize(
    ("key", "value"),
    [("hoop_stress_mpa", "<b>"), ("radial_runout_um", [1.0]), ("notes", [3]), ("torque_to_force_home_nm", ["x", None]),
     ("one_nut_first", [{}]), ("wedged", None), ("fit", {"name": 3}), ("crack_warning", 5)],
)  # fmt: skip
def test_a_stored_state_that_is_none_is_refused(runs, tmp_path, key, value):
    folder = save(runs["forced"], tmp_path / "run")
    stored = json.loads((folder / "run.json").read_text())
    stored["spigot"][key] = value
    (folder / "run.json").write_text(json.dumps(stored))
    with pytest.raises(BadInput, match="damaged"):
        load(folder)


def test_a_rotor_that_scale_leaves_a_hair_of_play_is_not_told_as_free():
    """Scale of 29 um left 2 um of play and was told as home; at 32 um the same corner is damage."""
    state = {"home": "home", "wedged": False, "radial_runout_um": (0.0, 2.0), "free_play_um": 2.0}
    run = SimpleNamespace(spigot=state, case=Case(spigot_scale=(SpigotScale(height_um=29.0),)))
    assert "Only 2.0 µm of play is left" in " ".join(spigot.plain(run)).replace("\u00a0", " ")
    wide = SimpleNamespace(spigot=state | {"free_play_um": 60.0}, case=run.case)
    assert "of play is left" not in " ".join(spigot.plain(wide))
