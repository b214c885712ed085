"""The spigot through the whole chain: a run carries its state, a jammed rotor is not driven, the picture says it."""

import json
from pathlib import Path

import pytest

from scenes import drawings, work
from scenes.cli import main
from sim.case import load_case
from sim.errors import BadInput, Refused
from sim.run import compute, load, save

DEMO = Path(__file__).parents[2] / "demo_geometry"


@pytest.mark.parametrize(
    ("name", "home", "words"),
    [("off_centre", "home", "Off centre"), ("jammed", "jammed", "Not home"), ("forced", "home", "damage")],
)
def test_a_run_carries_its_state_and_the_section_says_it(tmp_path, name, home, words):
    run = compute(load_case(DEMO / f"spigot_{name}.toml"), None, "fast")
    assert run.spigot["home"] == home
    again = load(save(run, tmp_path / "run"))
    assert again.spigot == json.loads(json.dumps(run.spigot))
    figure = drawings.section(again, 800)
    assert any(words in text.get_text() for text in figure.texts)


def test_a_jammed_rotor_is_looked_at_but_not_driven():
    path = DEMO / "spigot_jammed.toml"
    with pytest.raises(Refused, match="take the rotor off"):
        compute(load_case(path), 1000.0, "fast")
    assert work.open_run(path, 1000.0, lambda done, what: None).forecast is None


def test_a_wedged_rotor_is_driven_with_the_waves_that_the_wedge_makes():
    wedged = compute(load_case(DEMO / "spigot_forced.toml"), 1000.0, "fast", fields_too=False)
    clean = compute(load_case(DEMO / "spigot_clean.toml"), 1000.0, "fast", fields_too=False)
    assert wedged.seat.outboard_um != pytest.approx(clean.seat.outboard_um, abs=1.0)
    assert wedged.seat.lateral_runout_um["outboard"] == pytest.approx(wedged.spigot["lateral_runout_um"]["outboard"])


def test_the_command_prints_the_state_and_its_cautions(capsys):
    assert main(["seat", str(DEMO / "spigot_jammed.toml"), "--preset", "fast"]) == 0
    out = capsys.readouterr().out
    assert "jammed" in out
    assert "never draw a rotor home with the nuts" in out
    assert "as driven" not in out
    assert main(["drive", str(DEMO / "spigot_jammed.toml")]) == 3


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
